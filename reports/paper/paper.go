// Package paper writes the meeting's report as a PDF for the table: A4, numbered pages, a running header, text that
// can be selected, fonts embedded, and the same bytes for the same report and date.
package paper

import (
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"time"

	"voidline/clash/finding"
	"voidline/clash/register"
	"voidline/reports/draw"
	"voidline/reports/meeting"
	"voidline/reports/words"
	"voidline/void"
)

// Options say which edition is written.
type Options struct {
	Date time.Time // the day that the file says it was made
	// Summary is page one alone. All is everything that the report has; else it is the printed edition, of at most MostPages pages.
	Summary, All bool
}

// MostPages is how many pages the printed edition has at most; the parts of it that can grow have so many each.
const (
	MostPages    = 40
	decidePages  = 6
	sectionPages = 9 // two pictures on each
	changePages  = 2
	actionPages  = 2
	needPages    = 3
	planPages    = 8
	listPages    = 4
	agreedPages  = 2
)

// Write writes the report.
func Write(w io.Writer, r *meeting.Report, o Options) error {
	p := draw.NewPDF(pageWide, pageHigh, draw.PDFOptions{Date: o.Date})
	s := newSheet(p)
	s.all = o.All
	name := r.Project
	if name == "" {
		name = "Project without a name"
	}
	s.title, s.date = s.clean("voidline: "+name), string(r.Date)
	p.SetTitle(s.clean(name+": report of "+string(r.Date)), true)
	p.SetLang("en")
	s.newPage()
	s.block(r, name)
	s.today(r)
	if !o.Summary {
		s.newPage()
		s.decide(r)
		s.changes(r)
		s.action(r)
		s.bays(r)
		s.list(r)
		if o.All {
			if r.MayNotFit.Title != "" {
				s.section(r.Called(meeting.Fit), r.MayNotFit)
			}
			s.section(r.Called(meeting.Joints), r.Joints)
			s.section(r.Called(meeting.Work), r.Work)
			s.section(r.Called(meeting.Protect), r.Protect)
		}
		s.agreed(r)
		if o.All {
			s.objections(r)
			s.sources(r)
			s.rules(r)
			s.unchecked(r)
			s.pardons(r)
		}
		s.before(r)
		s.leftOut(r, o)
	}
	s.finish()
	if err := p.Output(w); err != nil {
		return fmt.Errorf("PDF: %w", err)
	}
	return nil
}

// block draws the title block of page one.
func (s *sheet) block(r *meeting.Report, name string) {
	y0 := s.y
	s.y += 2.2
	for _, l := range draw.Wrap(s.clean(name), 6.4, wide-8, true) {
		s.say(left+4, s.y+6.4, l, 6.4, true, draw.Ink)
		s.y += 7.6
	}
	s.y += 2
	s.line(draw.Ink, 0.35, left, s.y, right, s.y)
	cells := [][2]string{
		{"Report of", string(r.Date)},
		{"Open problems", strconv.Itoa(r.Open)},
		{"To decide", strconv.Itoa(len(r.Decisions))},
		{"Bays with findings", strconv.Itoa(len(r.Bays))},
		{"voidline", r.Version},
	}
	w := wide / float64(len(cells))
	for i, k := range cells {
		x := left + w*float64(i)
		if i > 0 {
			s.line(draw.Ink, 0.25, x, s.y, x, s.y+11)
		}
		s.say(x+2, s.y+3.4, k[0], 2.3, false, draw.Soft)
		s.say(x+2, s.y+8.8, s.clean(k[1]), 4.4, true, draw.Ink)
	}
	s.y += 11
	s.p.SetLineWidth(0.6)
	c := draw.Ink.Light()
	s.p.SetDrawColor(int(c.R), int(c.G), int(c.B))
	s.p.Rect(left, y0, wide, s.y-y0, "D")
	s.y += 2
	notice := func(head string, say func()) {
		s.y += 2
		y, page := s.y, s.p.PageNo()
		s.y += 1
		s.para(head, left+4, body, true, draw.Ink)
		say()
		s.y += 1
		if s.p.PageNo() == page {
			s.line(draw.Ink, 1.6, left+0.8, y, left+0.8, s.y)
		}
	}
	if len(r.Missing) > 0 {
		notice("Missing from this report", func() {
			for _, q := range r.Missing {
				switch q := q.(type) {
				case words.Para:
					s.para(string(q), left+4, body, false, draw.Ink)
				case words.List:
					for _, t := range q {
						s.para("– "+t, left+4, body, false, draw.Ink)
					}
				}
			}
		})
	}
}

// today writes page one: the questions, whose what is open, the bays by need, what moved. Nothing of it goes over the page.
func (s *sheet) today(r *meeting.Report) {
	page := s.p.PageNo()
	s.heading(r.Called(meeting.Today), r.DecideAside())
	s.para(r.Found+". "+words.OneProblem+". All lengths in mm.", left, little, false, draw.Soft)

	// What stands under the questions is measured first; they have the room that it leaves.
	owners, ownerCols := s.ownerRows(r, r.FewOwners())
	const half = (wide - 5) / 2
	lower := frame{left, left + half, bottom, page, 0}
	var bays [][]cell
	for _, n := range r.FewBays() {
		bays = append(bays, []cell{linked(n.At(), n.Anchor), {text: strconv.Itoa(n.Points), bold: true}, count(n.Open), also(n.First.Number+": "+n.First.Said.What, n.First.Between)})
	}
	bayCols := []column{{"Bay", 2.6, false}, {"Need", 1, true}, {"Open", 1, true}, {"Worst", 4, false}}
	var moved []string
	if t := r.OwnersSaid(); t != "" {
		moved = append(moved, t)
	}
	for _, m := range r.MovedLines() {
		moved = append(moved, m.String())
	}
	if t := r.NoRegister(); t != "" {
		moved = append(moved, t)
	}
	if r.Blanks != "" {
		moved = append(moved, r.Blanks)
	}
	under := 4.0
	for _, t := range moved {
		under += float64(len(draw.Wrap(s.clean(t), little, wide-4, false)))*little*lead + 0.5
	}
	bayFrame := lower
	if len(owners) > 0 {
		bayFrame.from, bayFrame.to = left+half+5, right
	} else {
		bayFrame.to = right
	}
	const most = 84.0 // what the two lower tables take at most, so that there are questions
	for len(bays) > 3 && s.measure(bayFrame, bayCols, bays) > most {
		bays = bays[:len(bays)-1]
	}
	for len(owners) > 3 && s.measure(lower, ownerCols, owners) > most {
		owners = owners[:len(owners)-1]
	}
	tables := 0.0
	if len(bays) > 0 {
		tables = s.measure(bayFrame, bayCols, bays)
	}
	if len(owners) > 0 {
		tables = max(tables, s.measure(lower, ownerCols, owners))
	}
	if tables > 0 {
		tables += 10
	}
	if len(r.Decisions) > 0 {
		var rows [][]cell
		for i := range r.Decisions {
			d := &r.Decisions[i]
			rows = append(rows, []cell{c(strconv.Itoa(i + 1)), also(d.Question, d.About+", "+d.Where(3)+"; "+d.Size()), c(strings.Join(d.Who, ", ")), due(d)})
		}
		n := s.tableIn(frame{left, right, bottom - under - tables - 6, page, 0}, []column{{"No.", 0.6, true}, {"To decide", 6, false}, {"By whom", 2.4, false}, {"Due", 1.5, false}}, rows, nil)
		if more := len(rows) - n; more > 0 {
			s.para("And "+words.Count(more, "question", "questions")+" more: section "+strconv.Itoa(r.Called(meeting.Decide).Number)+".", left, little, false, draw.Ink)
		}
	}
	if t := r.Rest(); t != "" {
		s.para(t, left, little, false, draw.Ink)
	}
	y := s.y + 2
	if len(owners) > 0 {
		s.y = y
		s.para("Open problems by owner, and at the end of each week", left, 3, true, draw.Ink)
		s.tableIn(lower, ownerCols, owners, nil)
	}
	end := s.y
	if len(bays) > 0 {
		s.y = y
		s.para("Bays by need", bayFrame.from, 3, true, draw.Ink)
		s.tableIn(bayFrame, bayCols, bays, nil)
	}
	s.y = max(s.y, end) + 1
	for _, t := range moved {
		if s.y+little*lead > bottom {
			break
		}
		s.para("– "+t, left, little, false, draw.Ink)
		s.y += 0.5
	}
}

// ownerRows lists who settles what is open, with the trend.
func (s *sheet) ownerRows(r *meeting.Report, of []register.Owner) (rows [][]cell, cols []column) {
	cols = []column{{"Owner", 3, false}, {"Open", 1.5, true}, {"Overdue", 2, true}, {"Days", 1.4, true}}
	for _, w := range r.OwnerWeeks {
		cols = append(cols, column{meeting.Short(w), 1.5, true})
	}
	for _, o := range of {
		row := []cell{c(meeting.OwnerName(o.Name)), {text: strconv.Itoa(o.Open), bold: true}, n(o.Overdue), n(o.Days)}
		for _, k := range o.Weeks {
			row = append(row, n(k))
		}
		rows = append(rows, row)
	}
	return rows, cols
}

// due says by when a decision is due, and by how much that is past.
func due(d *meeting.Decision) cell {
	switch {
	case d.Days > 0:
		return cell{text: words.Overdue(d.Days), small: "due " + d.Due, bold: true}
	case d.Due != "":
		return c(d.Due)
	}
	return c("–")
}

// decide writes every question, with room for minutes, then the sections through what they are about.
func (s *sheet) decide(r *meeting.Report) {
	s.heading(r.Called(meeting.Decide), r.DecideAside())
	if len(r.Decisions) > 0 {
		s.para("One answer settles every problem on its line; the numbers are those on plans and sections.", left, body, false, draw.Ink)
		var rows [][]cell
		for i := range r.Decisions {
			d := &r.Decisions[i]
			small := d.About + "; " + d.Size()
			if p := d.Worst.Proof(); p != "" {
				small += "\n" + d.Worst.Number + ", " + d.Worst.Said.What + ": " + p
			} else {
				small += "\nworst: " + d.Worst.Number + ", " + d.Worst.Said.What
			}
			if t := d.Replies(); t != "" {
				small += "\n" + t
			}
			rows = append(rows, []cell{c(strconv.Itoa(i + 1)), also(d.Question, small), linked(d.Where(6), d.Bays[0].Anchor), c(strings.Join(d.Who, ", ")), due(d), c("")})
		}
		fr := s.upTo(decidePages)
		if n := s.tableIn(fr, []column{{"No.", 0.6, true}, {"To decide", 5.4, false}, {"Where", 1.7, false}, {"By whom", 1.9, false}, {"Due", 1.3, false}, {"Minutes", 2.6, false}}, rows, nil); n < len(rows) {
			s.cut(words.Count(len(rows)-n, "question", "questions"))
		}
	}
	if t := r.Rest(); t != "" {
		s.para(t, left, body, false, draw.Ink)
	}
	if r.Section == nil {
		return
	}
	drawn := map[string]bool{}
	last := s.upTo(sectionPages).last
	for i := range r.Decisions {
		f := r.Decisions[i].Worst
		if drawn[f.Number] {
			continue
		}
		d := r.Section(f.Finding).Paper
		if d == nil {
			continue
		}
		if full := s.y+d.H+8 > bottom || d.W > wide; last > 0 && full && s.p.PageNo()+len(s.waiting) >= last {
			s.cut(words.Count(len(r.Decisions)-i, "section", "sections") + " of these questions (voidline section draws each)")
			return
		}
		drawn[f.Number] = true
		if d.W > wide+0.1 { // it wants a page of its own
			s.waiting = append(s.waiting, waits{d, "Question " + strconv.Itoa(i+1) + ": " + f.Line()})
			continue
		}
		s.need(d.H + 8)
		s.y += 2
		s.p.Bookmark("Question "+strconv.Itoa(i+1)+": "+s.clean(f.Line()), 1, s.y)
		s.para("Question "+strconv.Itoa(i+1)+": "+f.Line(), left, 2.9, true, draw.Ink)
		draw.Paint(s.p, d, left, s.y, 1)
		s.y += d.H + 2
	}
}

// upTo is the frame of a table that takes so many pages from here on; where all is written it takes what it takes.
func (s *sheet) upTo(pages int) frame {
	fr := whole()
	if !s.all {
		fr.last = s.p.PageNo() + pages - 1
	}
	return fr
}

// cut says that something is left out here, and keeps it for the list of what is.
func (s *sheet) cut(what string) {
	s.para("Left out of this edition: "+what+".", left, little, true, draw.Ink)
	s.out = append(s.out, what)
}

func (s *sheet) changes(r *meeting.Report) {
	s.heading(r.Called(meeting.Changes), "")
	m := &r.Since
	if !m.Known {
		s.para("There is nothing to compare with yet. Give the result of last time (--since findings.json) or keep a register (--register), and this section lists what is new, back, cleared and agreed.", left, body, false, draw.Ink)
		s.told(r)
		return
	}
	against := "Compared with " + m.Against + "."
	if m.NotChecked > 0 {
		against += " Rows are missing from this result, so it is not known whether " + words.Count(m.NotChecked, "finding is", "findings are") + " cleared."
	}
	s.para(against, left, body, false, draw.Ink)
	if m.Worse+m.Better > 0 {
		s.para(fmt.Sprintf("Of the problems that are still there, %d are worse and %d are better.", m.Worse, m.Better), left, body, false, draw.Ink)
	}
	// The counts in boxes, as on a form.
	s.y += 2
	s.need(22)
	p := m.Problems
	boxes := []struct {
		name string
		n    int
	}{{"New", p.New}, {"Back", p.Back}, {"Still open", p.Open}, {"Newly agreed", p.Agreed}, {"Cleared", p.Cleared}, {"Agreed earlier", p.Stand}}
	w := wide / float64(len(boxes))
	ink := draw.Ink.Light()
	for i, b := range boxes {
		x := left + w*float64(i)
		s.p.SetDrawColor(int(ink.R), int(ink.G), int(ink.B))
		s.p.SetLineWidth(0.35)
		s.p.Rect(x, s.y, w, 13, "D")
		mid := func(y float64, t string, size float64) {
			s.say(x+(w-draw.Width(t, size, true))/2, y, t, size, true, draw.Ink)
		}
		mid(s.y+4, b.name, little)
		mid(s.y+11, strconv.Itoa(b.n), 6.2)
	}
	s.y += 14
	s.para("Problems. One that has findings of several fates is counted once, by the first of: back, open, new, agreed, cleared.", left, 2.2, false, draw.Soft)
	if r.Chart != nil {
		s.y += 3
		s.need(r.Chart.H)
		draw.Paint(s.p, r.Chart, left, s.y, 1)
		s.y += r.Chart.H
	}
	fr := s.upTo(changePages)
	list := func(title string, fs []*meeting.Finding) {
		if len(fs) == 0 {
			return
		}
		s.sub(title)
		var rows [][]cell
		for i, f := range fs {
			if i == 20 && !s.all {
				break
			}
			rows = append(rows, []cell{c(f.Number), stamped(f.Mark()), linked(f.Said.What, f.Bay.Anchor), c(f.Between), c(f.Bay.At()), also(f.ID, f.Standing.Turn)})
		}
		w := s.tableIn(fr, []column{{"No.", 0.7, true}, {"", 1, false}, {"What", 2, false}, {"Between", 4, false}, {"Bay", 2, false}, {"Finding", 2, false}}, rows, nil)
		if more := len(fs) - w; more > 0 {
			s.cut(words.Count(more, "finding that is ", "findings that are ") + strings.ToLower(title))
		}
	}
	list("Back", m.Back)
	list("Worse", m.Worsened)
	list("New", m.New)
	if len(m.Cleared) > 0 {
		s.sub("Cleared")
		var rows [][]cell
		for i, g := range m.Cleared {
			if i == 20 && !s.all {
				break
			}
			rows = append(rows, []cell{stamped("cleared"), c(g.Was), c(g.Between), c(words.InStorey(g.Bay, g.Storey)), c(g.ID)})
		}
		w := s.tableIn(fr, []column{{"", 1.1, false}, {"Was", 2, false}, {"Between", 4.2, false}, {"Bay", 2, false}, {"Finding", 2, false}}, rows, nil)
		if more := len(m.Cleared) - w; more > 0 {
			s.cut(words.Count(more, "finding that is cleared", "findings that are cleared"))
		}
	}
	s.told(r)
}

func (s *sheet) told(r *meeting.Report) {
	if len(r.Told) == 0 {
		return
	}
	s.sub("Register entries to put right")
	for _, t := range r.Told {
		s.point(t)
	}
}

func (s *sheet) action(r *meeting.Report) {
	s.heading(r.Called(meeting.Action), "")
	if len(r.Whose) == 0 {
		s.para("Nothing is open.", left, body, false, draw.Ink)
		return
	}
	s.para("Open problems by the trade that has something to move: to have to move is not to be to blame. A problem in which each side has something to move is counted under both trades. Firm: the rule rests on law, a maker’s word or geometry.", left, body, false, draw.Ink)
	var rows [][]cell
	for _, t := range r.Whose {
		worst := c("–")
		if t.Worst != nil {
			worst = linked(t.Worst.Number+": "+t.Worst.Said.What+", "+t.Worst.Bay.Name, t.Worst.Bay.Anchor)
		}
		rows = append(rows, []cell{c(t.Trade), {text: dash(t.Problems), bold: true}, n(t.New), n(t.Back), n(t.Firm), n(t.Bays), worst, n(t.Agreed)})
	}
	fr := s.upTo(actionPages)
	s.tableIn(fr, []column{{"Trade", 3, false}, {"Open problems", 1.6, true}, {"Of these new", 1.4, true}, {"Back", 1.1, true}, {"Of these firm", 1.9, true}, {"Bays", 1.1, true}, {"Worst", 3.4, false}, {"Agreed", 1.4, true}}, rows, nil)
	rows = nil
	for _, q := range r.Pairs {
		between := q.A
		if q.B != "" {
			between += " / " + q.B
		}
		rows = append(rows, []cell{c(between), {text: strconv.Itoa(q.Problems), bold: true}, n(q.Overlap), n(q.Tight), n(q.Access)})
	}
	q := r.PairSum
	s.tableIn(fr, []column{{"Between, what is open: problems, and their findings by kind", 5, false}, {"Problems", 1.4, true}, {"Overlaps", 1.4, true}, {"Tight gaps", 1.4, true}, {"Access", 1.4, true}}, rows,
		[]cell{strong("all"), strong(strconv.Itoa(q.Problems)), n(q.Overlap), n(q.Tight), n(q.Access)})
	if len(r.Owners) > 0 {
		s.sub("By owner, as the register names them; at the end of each week")
		rows, cols := s.ownerRows(r, r.Owners)
		s.tableIn(fr, cols, rows, nil)
		if t := r.OwnersSaid(); t != "" {
			s.para(t, left, little, false, draw.Soft)
		}
	}
	if len(r.Late) > 0 {
		s.sub("Overdue, by owner")
		rows = nil
		for _, l := range r.Late {
			f := l.First
			rows = append(rows, []cell{c(meeting.OwnerName(l.Owner)), c(l.Due), count(l.Days), c(f.Number), linked(f.Said.What+", "+f.Between, f.Bay.Anchor), c(f.Bay.At())})
		}
		if w := s.tableIn(fr, []column{{"Owner", 2.4, false}, {"Due", 1.5, false}, {"Days overdue", 1.2, true}, {"No.", 0.8, true}, {"What", 4.4, false}, {"Bay", 2, false}}, rows, nil); w < len(rows) {
			s.cut(words.Count(len(rows)-w, "overdue problem", "overdue problems"))
		}
	}
}

// count is a cell of a number, nothing too.
func count(n int) cell { return c(strconv.Itoa(n)) }

// bays writes the bays in order of need, then a plan of each storey, of those first that have the bays of most need; where all is
// written also every bay.
func (s *sheet) bays(r *meeting.Report) {
	s.heading(r.Called(meeting.ByBay), "")
	if len(r.Need) == 0 {
		s.para("No bay has a finding.", left, body, false, draw.Ink)
		return
	}
	s.para(meeting.NeedSaid, left, little, false, draw.Soft)
	var rows [][]cell
	for _, k := range r.Need {
		b := k.Bay
		worst, do := c("–"), c("")
		if f := k.First; f != nil {
			worst = also(f.Number+": "+f.Said.What, f.Between)
			do = c(f.Proof())
		}
		row := []cell{{text: b.Short(), small: b.Storey, to: b.Anchor}, {text: strconv.Itoa(k.Points), bold: true}, n(b.Open), n(b.Counts.Overlap), n(b.Counts.Tight), n(b.Counts.Access), worst, do}
		if s.all {
			row = append(row, pageOf(b.Anchor))
		} else {
			row[0].here, row[0].to = b.Anchor, ""
		}
		rows = append(rows, row)
	}
	cols := []column{{"Bay", 2, false}, {"Need", 0.8, true}, {"Open problems", 1.3, true}, {"Overlaps", 1.2, true}, {"Tight gaps", 0.9, true}, {"Access", 1.1, true}, {"Worst", 3.2, false}, {"What clears it", 3.4, false}}
	if s.all {
		cols = append(cols, column{"Page", 0.8, true})
	}
	if w := s.tableIn(s.upTo(needPages), cols, rows, nil); w < len(rows) {
		s.cut(words.Count(len(rows)-w, "bay", "bays"))
	}
	if r.Plan != nil {
		storeys := []string{}
		for _, k := range r.Need {
			if !slices.Contains(storeys, k.Bay.All[0].Storey) {
				storeys = append(storeys, k.Bay.All[0].Storey)
			}
		}
		for i, name := range storeys {
			if i == planPages && !s.all {
				s.cut(words.Count(len(storeys)-i, "plan of a storey", "plans of storeys") + " (voidline plan --storey draws each)")
				break
			}
			if d := r.Plan(name); d != nil {
				s.waiting = append(s.waiting, waits{d, d.Name})
			}
		}
	}
	if s.all {
		for _, k := range r.Need {
			s.bay(k.Bay)
		}
	}
}

// list writes a line for each finding, in the order of their numbers; where there are more than the edition has room for, the worst.
func (s *sheet) list(r *meeting.Report) {
	s.heading(r.Called(meeting.All), "")
	var fs []*meeting.Finding
	for i := range r.Bays {
		fs = append(fs, r.Bays[i].All...)
	}
	if len(fs) == 0 {
		s.para("Nothing was found.", left, body, false, draw.Ink)
		return
	}
	const aPage = 60 // rows of one line each
	if most := listPages * aPage; len(fs) > most && !s.all {
		slices.SortStableFunc(fs, func(a, b *meeting.Finding) int { return finding.Worse(a.Finding, b.Finding) })
		s.para("The worst are listed.", left, little, false, draw.Ink)
	} else {
		slices.SortStableFunc(fs, func(a, b *meeting.Finding) int { return void.Natural(a.Number, b.Number) })
	}
	s.para("Findings of one problem have one number, which plans, sections, messages and the register’s reports use. The small letters are the finding’s id, which it keeps.", left, little, false, draw.Soft)
	fr := s.upTo(listPages)
	var rows [][]cell
	for _, f := range fs {
		rows = append(rows, []cell{c(f.Number), stamped(f.Mark()), also(f.Said.What, f.ID), c(f.Between), also(f.Bay.Short(), f.Bay.Storey), also(f.Trade, f.Standing.Owner), c(f.Proof())})
		if !s.all && len(rows) == listPages*aPage {
			break
		}
	}
	if w := s.tableIn(fr, []column{{"No.", 0.7, true}, {"", 1, false}, {"What", 1.8, false}, {"Between", 3.4, false}, {"Bay", 1.5, false}, {"To move", 1.6, false}, {"What clears it", 3.4, false}}, rows, nil); w < len(fs) {
		s.cut(words.Count(len(fs)-w, "finding", "findings") + " (findings.csv has all)")
	}
}

// agreed lists what stands as agreed, with the reason and the name.
func (s *sheet) agreed(r *meeting.Report) {
	s.heading(r.Called(meeting.Agreed), "")
	if len(r.Agreed) == 0 {
		s.para("Nothing is agreed to stand.", left, body, false, draw.Ink)
		return
	}
	var rows [][]cell
	for _, f := range r.Agreed {
		when := ""
		if f.Standing.Fresh {
			when = "since last time"
		}
		rows = append(rows, []cell{c(f.Number), also(f.Said.What, f.ID), c(f.Between), c(f.Bay.At()), c(dashText(f.Standing.Amount)), c(f.Standing.Reason), also(f.Standing.AgreedBy, when)})
	}
	if w := s.tableIn(s.upTo(agreedPages), []column{{"No.", 0.7, true}, {"What", 1.9, false}, {"Between", 3, false}, {"Bay", 1.8, false}, {"Agreed, mm", 1.1, true}, {"Reason", 3.4, false}, {"By", 1.8, false}}, rows, nil); w < len(rows) {
		s.cut(words.Count(len(rows)-w, "agreed finding", "agreed findings"))
	}
}

func dashText(t string) string {
	if t == "" {
		return "–"
	}
	return t
}

// objections writes the table of what is said of every bay before its ceiling is closed.
func (s *sheet) objections(r *meeting.Report) {
	s.heading(r.Called(meeting.Objections), "")
	s.para(words.ClosingCaution, left, body, false, draw.Ink)
	for _, sec := range words.Closings(r.Closings) {
		s.signed(sec)
	}
}

// signed writes the bays of a storey with columns to be signed.
func (s *sheet) signed(sec words.Section) {
	t := sec.Parts[0].(words.Table)
	s.sub(sec.Title)
	shares := []float64{1.6, 1.15, 1.2, 1.7, 0.9, 1.2, 0.9, 1.45, 1.25, 0.95, 1.55, 1.6}
	cols := make([]column, len(t.Columns))
	for i, k := range t.Columns {
		cols[i] = column{k.Head, shares[i], k.Right}
	}
	var rows [][]cell
	for _, k := range t.Rows {
		var row []cell
		for _, text := range k {
			first, rest, _ := strings.Cut(text, "\n")
			row = append(row, also(first, rest))
		}
		rows = append(rows, row)
	}
	fr := whole()
	fr.least = 8
	s.tableIn(fr, cols, rows, nil)
}

// Objections writes what is said of every bay before its ceiling is closed as sheets to be signed: a page or more for each storey.
func Objections(w io.Writer, project string, date register.Date, cs []register.Closing, cautions []string, missing []words.Part) error {
	day, _ := time.Parse("2006-01-02", string(date))
	p := draw.NewPDF(pageWide, pageHigh, draw.PDFOptions{Date: day})
	s := newSheet(p)
	name := words.Name(project)
	s.title, s.date, s.mid = s.clean("voidline: "+name), string(date), "no coordination objection, "+string(date)
	p.SetTitle(s.clean(name+": no coordination objection, "+string(date)), true)
	p.SetLang("en")
	storeys := words.Closings(cs)
	for i, sec := range storeys {
		s.newPage()
		s.p.Bookmark(s.clean(sec.Title), 0, s.y)
		s.para("No coordination objection: "+name, left, 4.6, true, draw.Ink)
		s.parts(missing)
		s.para(words.ClosingCaution, left, body, false, draw.Ink)
		s.signed(sec)
		if i == len(storeys)-1 {
			for _, t := range cautions {
				s.point(words.Clean(t))
			}
		}
	}
	if len(storeys) == 0 {
		s.newPage()
		s.para("The project has no bays.", left, body, false, draw.Ink)
	}
	s.finish()
	if err := p.Output(w); err != nil {
		return fmt.Errorf("PDF: %w", err)
	}
	return nil
}

// pardons lists pairs that are meant to meet, and why.
func (s *sheet) pardons(r *meeting.Report) {
	s.heading(r.Called(meeting.Pardons), "")
	s.parts(r.Excused.Parts)
	if len(r.Pardoned) == 0 {
		return
	}
	var rows [][]cell
	for _, p := range r.Pardoned {
		rows = append(rows, []cell{c(p.A), c(p.B), c(p.Why), c(p.Deep)})
	}
	s.table([]column{{"One", 3, false}, {"The other", 3, false}, {"Why", 4, false}, {"Deep, mm", 1, true}}, rows, nil)
	if more := r.PardonedAll - len(rows); more > 0 {
		s.para("And "+words.Count(more, "pair", "pairs")+" more; findings.json has all.", left, body, false, draw.Ink)
	}
}

// leftOut says what this edition leaves out, and where it is.
func (s *sheet) leftOut(r *meeting.Report, o Options) {
	if o.All {
		return
	}
	s.sub("Left out of this edition")
	s.para("This is the edition to be printed, of at most "+strconv.Itoa(MostPages)+" pages. report.html has everything; voidline report --all writes all of it as PDF. Not here:", left, body, false, draw.Ink)
	for _, t := range s.out {
		s.point(t)
	}
	s.point("each bay’s own plan, section and findings in full: report.html, section " + strconv.Itoa(r.Called(meeting.ByBay).Number) + ", or voidline plan --bay and voidline section")
	s.point("where a storey has more problems than its plan can mark: the sheets on which each is marked and listed, by voidline plan --storey -o plan.pdf")
	var l []string
	for _, id := range []string{meeting.Fit, meeting.Joints, meeting.Work, meeting.Protect, meeting.Objections, meeting.Sources, meeting.Rules, meeting.Unchecked, meeting.Pardons} {
		if sec := r.Called(id); sec.Number > 0 {
			l = append(l, strconv.Itoa(sec.Number)+" "+sec.Title)
		}
	}
	s.point("sections " + strings.Join(l, ", ") + ": report.html; section " + strconv.Itoa(r.Called(meeting.Objections).Number) + " also by voidline check --objections")
}

// bay writes a bay: its pictures, then its findings.
func (s *sheet) bay(b *meeting.Bay) {
	// A bay begins where its heading, its plan and a first finding have room.
	room := 30.0
	pictures := b.Pictures()
	for _, p := range pictures {
		d := p.Paper
		if d.W <= wide+0.1 {
			room += d.H
		} else {
			defer func() { s.waiting = append(s.waiting, waits{d, ""}) }()
		}
	}
	s.y += 6
	s.need(room)
	s.anchor(b.Anchor, s.y-2)
	s.p.Bookmark(s.clean(b.At()), 1, s.y)
	if s.y > top {
		s.line(draw.Ink, 0.35, left, s.y-1.5, right, s.y-1.5)
	}
	s.para(b.At(), left, 4.2, true, draw.Ink)
	s.para(words.Count(b.Problems, "problem", "problems")+", "+strconv.Itoa(b.Open)+" open", left, little, false, draw.Soft)
	s.y += 1
	for _, p := range pictures {
		d := p.Paper
		if d.W > wide+0.1 {
			continue // on a page of its own
		}
		s.need(d.H)
		draw.Paint(s.p, d, left, s.y, 1)
		s.y += d.H + 1.5
	}
	for _, g := range b.Bundles {
		if g.Heading != "" {
			s.y += 1.6
			s.need(20)
			s.para(g.Heading, left, 3, true, draw.Ink)
			for _, t := range g.Common {
				s.para(t, left, little, false, draw.Soft)
			}
		}
		for _, f := range g.Findings {
			s.finding(f)
		}
	}
}

// finding writes one finding with the bar of its kind down its side: whole for an overlap, double for too
// tight, broken for access.
func (s *sheet) finding(f *meeting.Finding) {
	s.y += 1.4
	s.need(16)
	x := left + 4
	bar := func(y0, y1 float64) {
		switch f.Kind {
		case "overlap":
			s.line(draw.Ink, 1.4, left+1, y0, left+1, y1)
		case "tight":
			s.line(draw.Ink, 0.4, left+0.5, y0, left+0.5, y1)
			s.line(draw.Ink, 0.4, left+1.5, y0, left+1.5, y1)
		default:
			s.p.SetDashPattern([]float64{1.2, 0.9}, 0)
			s.line(draw.Ink, 1.4, left+1, y0, left+1, y1)
			s.p.SetDashPattern(nil, 0)
		}
	}
	page, y0 := s.p.PageNo(), s.y
	barred := func() {
		if s.p.PageNo() == page {
			bar(y0, s.y)
		}
		page, y0 = s.p.PageNo(), s.y
	}
	// The number as on the plan.
	w := max(draw.Width(f.Number, 2.6, true)+2, 4.4)
	s.p.SetLineWidth(0.3)
	ink := draw.Ink.Light()
	s.p.SetDrawColor(int(ink.R), int(ink.G), int(ink.B))
	s.p.RoundedRect(x, s.y, w, 3.9, 1.9, "1234", "D")
	s.say(x+(w-draw.Width(f.Number, 2.6, true))/2, s.y+2.9, f.Number, 2.6, true, draw.Ink)
	at := x + w + 1.5
	s.say(at, s.y+3, f.Said.What, 3, true, draw.Ink)
	at += draw.Width(f.Said.What, 3, true) + 2.5
	at = s.stamp(at, s.y+3, f.Mark())
	s.say(at+0.6, s.y+3, f.ID, 2.6, false, draw.Soft)
	s.y += 4.6
	write := func(t string, size float64, bold bool, tone draw.Tone) {
		for _, l := range draw.Wrap(s.clean(t), size, right-x, bold) {
			if s.y+size*lead > bottom {
				barred()
				s.newPage()
				page, y0 = s.p.PageNo(), s.y
			}
			s.say(x, s.y+size, l, size, bold, tone)
			s.y += size * lead
		}
	}
	pair := f.Said.A
	if f.Said.B != "" {
		pair += " with " + f.Said.B
	}
	write(pair, 2.7, false, draw.Ink)
	write("at "+f.Said.Where+", "+f.Said.Level+": "+f.Said.There, 2.7, false, draw.Ink)
	if !f.RuleSaid && f.Said.Rule != "" {
		write("Rule: "+f.Said.Rule, little, false, draw.Soft)
	}
	if !f.WaySaid {
		if f.Said.ToMove != "" {
			write(f.Said.ToMove, 2.7, true, draw.Ink)
		}
	} else if m := f.Do(); m != "" {
		write(m, 2.7, true, draw.Ink)
	}
	for _, t := range f.Said.Rest {
		write(t, little, false, draw.Soft)
	}
	if t := f.Standing.Notes(); len(t) > 0 {
		write(strings.Join(t, "; "), little, false, draw.Ink)
	}
	barred()
	s.y += 0.8
}

// section writes a part of the answer as words has it.
func (s *sheet) section(of meeting.Section, sec words.Section) {
	s.heading(of, sec.Aside)
	s.parts(sec.Parts)
}

func (s *sheet) parts(ps []words.Part) {
	for _, p := range ps {
		switch p := p.(type) {
		case words.Para:
			s.para(string(p), left, body, false, draw.Ink)
			s.y += 0.8
		case words.List:
			for _, t := range p {
				s.point(t)
			}
		case words.Table:
			cols := make([]column, len(p.Columns))
			for i, k := range p.Columns {
				cols[i] = column{k.Head, 1, k.Right}
				for _, r := range p.Rows {
					for l := range strings.SplitSeq(r[i], "\n") {
						cols[i].share = max(cols[i].share, min(signs(l)/7, 5))
					}
				}
			}
			var rows [][]cell
			for _, r := range p.Rows {
				var cells []cell
				for _, t := range r {
					first, rest, _ := strings.Cut(t, "\n")
					cells = append(cells, also(first, rest))
				}
				rows = append(rows, cells)
			}
			s.table(cols, rows, nil)
		}
	}
}

// signs counts the letters of a line, broad ones as two.
func signs(l string) float64 {
	n := 0
	for _, r := range l {
		n++
		if draw.Broad(r) {
			n++
		}
	}
	return float64(n)
}

func (s *sheet) sources(r *meeting.Report) {
	s.heading(r.Called(meeting.Sources), "")
	var rows [][]cell
	said := func(t string) cell {
		if t == "" {
			return strong("not given")
		}
		return c(t)
	}
	for _, l := range r.Sources {
		rows = append(rows, []cell{c(l.File), said(l.Drawing), said(l.Revision), said(l.Date), said(l.By)})
	}
	s.para("The drawing and revision that each table was taken from.", left, body, false, draw.Ink)
	s.table([]column{{"Table", 3, false}, {"Drawing", 2, false}, {"Revision", 1.2, false}, {"Date", 1.5, false}, {"By", 2, false}}, rows, nil)
}

func (s *sheet) rules(r *meeting.Report) {
	s.heading(r.Called(meeting.Rules), "")
	var rows [][]cell
	for _, k := range r.Rules {
		asks := k.Of + " to " + k.To + ", " + k.Side + ": " + k.Gap
		over := ""
		if k.Over != "" {
			over = "where closer for more than " + k.Over
		}
		source := k.Source
		if source == "" {
			source = "no source given"
		}
		rows = append(rows, []cell{also(k.Name, k.Row), also(asks, over), c(k.Basis), also(k.Why, source), n(k.Findings)})
	}
	s.table([]column{{"Rule", 2.6, false}, {"Asks", 3, false}, {"Rests on", 1.4, false}, {"Why, and source", 4.4, false}, {"Findings", 1.2, true}}, rows, nil)
}

func (s *sheet) unchecked(r *meeting.Report) {
	s.heading(r.Called(meeting.Unchecked), "")
	s.parts(r.Checked.Parts)
	s.sub("Could not be checked")
	s.parts(r.Unchecked.Parts)
	if len(r.Surveyed.Parts) > 0 {
		s.sub("As found")
		s.parts(r.Surveyed.Parts)
	}
	if len(r.InRoom.Parts) > 0 {
		s.sub("In the room")
		s.parts(r.InRoom.Parts)
	}
	s.sub("Warnings about the tables")
	if len(r.Warnings) == 0 {
		s.para("None.", left, body, false, draw.Ink)
	}
	for i, t := range r.Warnings {
		if i == 100 {
			s.point(fmt.Sprintf("and %d more; report.html and findings.json have them all", len(r.Warnings)-i))
			break
		}
		s.point(t)
	}
}

func (s *sheet) before(r *meeting.Report) {
	s.heading(r.Called(meeting.Before), "")
	s.para("All figures are whole millimetres, rounded to the safe side: gaps down; shortfalls, moves, needed gaps and hole sizes up. The position of a finding is where its figure was measured.", left, body, false, draw.Ink)
	for _, t := range r.Cautions {
		s.point(t)
	}
}
