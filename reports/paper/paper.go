// Package paper writes the meeting's report as a PDF for the table: A4, numbered pages, a running header, text that
// can be selected, fonts embedded, and the same bytes for the same report and date.
package paper

import (
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"

	"voidline/reports/draw"
	"voidline/reports/meeting"
	"voidline/reports/words"
)

// Write writes the report. date is the day that the file says it was made.
func Write(w io.Writer, r *meeting.Report, date time.Time) error {
	p := draw.NewPDF(pageWide, pageHigh, draw.PDFOptions{Date: date})
	s := newSheet(p)
	name := r.Project
	if name == "" {
		name = "Project without a name"
	}
	s.title, s.date = s.clean("voidline: "+name), string(r.Date)
	p.SetTitle(s.clean(name+": report of "+string(r.Date)), true)
	p.SetLang("en")
	s.newPage()
	s.block(r, name)
	s.since(r)
	s.whose(r)
	s.decide(r)
	s.index(r)
	for i := range r.Bays {
		s.bay(&r.Bays[i])
	}
	s.newPage()
	if r.MayNotFit.Title != "" {
		s.section(r.MayNotFit.Title, r.MayNotFit)
	}
	s.section("Joints of runs to put right", r.Joints)
	s.section("Builder’s work", r.Work)
	s.section("To be protected", r.Protect)
	s.sources(r)
	s.rules(r)
	s.unchecked(r)
	s.before(r)
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
	for _, l := range fold(s.clean(name), 6.4, wide-8, true) {
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
	if r.Blanks != "" {
		notice("Drawings used", func() { s.para(r.Blanks+" They are listed after the bays.", left+4, body, false, draw.Ink) })
	}
}

func (s *sheet) since(r *meeting.Report) {
	s.heading("Changes since last time")
	s.para(r.Found+".", left, body, false, draw.Ink)
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
		s.para(fmt.Sprintf("Of the findings that are still there, %d are worse and %d are better.", m.Worse, m.Better), left, body, false, draw.Ink)
	}
	// The counts in boxes, as on a form.
	s.y += 2
	s.need(22)
	p, f := m.Problems, m.Findings
	boxes := []struct {
		name string
		a, b int
	}{{"New", p.New, f.New}, {"Back", p.Back, f.Back}, {"Still open", p.Open, f.Open}, {"Newly agreed", p.Agreed, f.Agreed}, {"Cleared", p.Cleared, f.Cleared}, {"Agreed earlier", p.Stand, f.Stand}}
	w := wide / float64(len(boxes))
	ink := draw.Ink.Light()
	for i, b := range boxes {
		x := left + w*float64(i)
		s.p.SetDrawColor(int(ink.R), int(ink.G), int(ink.B))
		s.p.SetLineWidth(0.35)
		s.p.Rect(x, s.y, w, 17, "D")
		mid := func(y float64, t string, size float64, bold bool, tone draw.Tone) {
			s.say(x+(w-draw.Width(t, size, bold))/2, y, t, size, bold, tone)
		}
		mid(s.y+4, b.name, little, true, draw.Ink)
		mid(s.y+11, strconv.Itoa(b.a), 6.2, true, draw.Ink)
		mid(s.y+15, words.Count(b.b, "finding", "findings"), 2.2, false, draw.Soft)
	}
	s.y += 18
	s.para("Large figures: problems; small: their findings.", left, 2.2, false, draw.Soft)
	if r.Chart != nil {
		s.y += 3
		s.need(r.Chart.H)
		draw.Paint(s.p, r.Chart, left, s.y, 1)
		s.y += r.Chart.H
	}
	list := func(title string, fs []*meeting.Finding) {
		if len(fs) == 0 {
			return
		}
		s.sub(title)
		var rows [][]cell
		for i, f := range fs {
			if i == 20 {
				break
			}
			rows = append(rows, []cell{stamped(f.Mark()), linked(f.Said.What, f.Bay.Anchor), c(f.Between), c(at(f.Bay)), also(f.ID, f.Standing.Turn)})
		}
		s.table([]column{{"", 1, false}, {"What", 2, false}, {"Between", 4.2, false}, {"Bay", 2, false}, {"Finding", 2, false}}, rows, nil)
		if n := len(fs) - 20; n > 0 {
			s.para(fmt.Sprintf("And %d more, marked in their bays.", n), left, little, false, draw.Soft)
		}
	}
	list("Back", m.Back)
	list("New", m.New)
	list("Agreed", m.Agreed)
	if len(m.Cleared) > 0 {
		s.sub("Cleared")
		var rows [][]cell
		for i, g := range m.Cleared {
			if i == 40 {
				break
			}
			bay := g.Bay
			if g.Storey != "" {
				bay += ", " + g.Storey
			}
			rows = append(rows, []cell{stamped("cleared"), c(g.Was), c(g.Between), c(bay), c(g.ID)})
		}
		s.table([]column{{"", 1.1, false}, {"Was", 2, false}, {"Between", 4.2, false}, {"Bay", 2, false}, {"Finding", 2, false}}, rows, nil)
		if n := len(m.Cleared) - 40; n > 0 {
			s.para(fmt.Sprintf("And %d more.", n), left, little, false, draw.Soft)
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

func at(b *meeting.Bay) string {
	if b.Storey != "" {
		return b.Name + ", " + b.Storey
	}
	return b.Name
}

func (s *sheet) whose(r *meeting.Report) {
	s.heading("Action by trade")
	if len(r.Whose) == 0 {
		s.para("Nothing is open.", left, body, false, draw.Ink)
		return
	}
	s.para("Open problems by the trade that has something to move. A problem in which each side has something to move is counted under both trades.", left, body, false, draw.Ink)
	var rows [][]cell
	for _, t := range r.Whose {
		worst := c("–")
		if t.Worst != nil {
			worst = linked(t.Worst.Said.What+", "+t.Worst.Bay.Name, t.Worst.Bay.Anchor)
		}
		rows = append(rows, []cell{c(t.Trade), {text: dash(t.Problems), bold: true}, n(t.New), n(t.Back), n(t.Firm), n(t.Bays), worst, n(t.Agreed)})
	}
	s.table([]column{{"Trade", 3, false}, {"Open problems", 1.6, true}, {"Of these new", 1.4, true}, {"Back", 1.1, true}, {"Of these firm", 1.9, true}, {"Bays", 1.1, true}, {"Worst", 3.4, false}, {"Agreed", 1.4, true}}, rows, nil)
	rows = nil
	for _, q := range r.Pairs {
		between := q.A
		if q.B != "" {
			between += " / " + q.B
		}
		rows = append(rows, []cell{c(between), {text: strconv.Itoa(q.Problems), bold: true}, n(q.Overlap), n(q.Tight), n(q.Access)})
	}
	q := r.PairSum
	s.table([]column{{"Between, what is open", 5, false}, {"Problems", 1.4, true}, {"Overlaps", 1.4, true}, {"Tight gaps", 1.4, true}, {"Access", 1.4, true}}, rows,
		[]cell{strong("all"), strong(strconv.Itoa(q.Problems)), n(q.Overlap), n(q.Tight), n(q.Access)})
	if len(r.Owners) > 0 {
		rows = nil
		for _, o := range r.Owners {
			due := o.Due
			if due == "" {
				due = "–"
			}
			rows = append(rows, []cell{c(o.Name), n(o.Problems), n(o.Late), c(due)})
		}
		s.table([]column{{"Owner, as the register names them", 5, false}, {"Open problems", 1.6, true}, {"Past their date", 1.6, true}, {"Next due", 2, false}}, rows, nil)
	}
}

func (s *sheet) decide(r *meeting.Report) {
	s.heading("Decisions needed")
	if len(r.Decisions) > 0 {
		s.para("One answer settles every finding on its line.", left, body, false, draw.Ink)
		var rows [][]cell
		for i := range r.Decisions {
			d := &r.Decisions[i]
			var bays []string
			for j, b := range d.Bays {
				if j == 8 {
					bays = append(bays, fmt.Sprintf("and %d more", len(d.Bays)-8))
					break
				}
				bays = append(bays, b.Name)
			}
			small := "worst: " + d.Worst.Said.What
			if m := d.Worst.Do(); m != "" {
				small += "; " + m
			}
			due := d.Due
			if due == "" {
				due = "–"
			}
			if d.Late {
				due += " past"
			}
			rows = append(rows, []cell{c(strconv.Itoa(i + 1)), c(d.Question), also(d.About+": "+d.Size(), small), linked(strings.Join(bays, ", "), d.Bays[0].Anchor), c(strings.Join(d.Who, ", ")), c(due)})
		}
		s.table([]column{{"No.", 0.7, true}, {"To decide", 3.4, false}, {"About", 3.4, false}, {"Where", 2, false}, {"By whom", 1.9, false}, {"Due", 1.3, false}}, rows, nil)
	}
	switch {
	case len(r.Decisions) > 0 && r.Plain > 0:
		s.para("The other "+words.Count(r.Plain, "open problem needs", "open problems need")+" no decision: one trade has to move, and the move is known.", left, body, false, draw.Ink)
	case len(r.Decisions) == 0 && r.Open > 0:
		s.para("None: in each of the "+words.Count(r.Open, "open problem", "open problems")+" one trade has to move, and the move is known.", left, body, false, draw.Ink)
	case len(r.Decisions) == 0:
		s.para("None.", left, body, false, draw.Ink)
	}
}

// index lists the bays with their pages.
func (s *sheet) index(r *meeting.Report) {
	s.heading("Bay by bay")
	if len(r.Bays) == 0 {
		s.para("No bay has a finding.", left, body, false, draw.Ink)
		return
	}
	var rows [][]cell
	for i := range r.Bays {
		b := &r.Bays[i]
		storey := b.Storey
		if storey == "" {
			storey = "–"
		}
		rows = append(rows, []cell{linked(b.Name, b.Anchor), c(storey), n(b.Open), n(b.Counts.Overlap), n(b.Counts.Tight), n(b.Counts.Access), c(b.Worst), pageOf(b.Anchor)})
	}
	s.table([]column{{"Bay", 3, false}, {"Storey", 2.4, false}, {"Open problems", 1.5, true}, {"Overlaps", 1.3, true}, {"Tight gaps", 1.3, true}, {"Access", 1.2, true}, {"Worst", 2.2, false}, {"Page", 1, true}}, rows, nil)
}

// bay writes a bay: its pictures, then its findings.
func (s *sheet) bay(b *meeting.Bay) {
	// A bay begins where its heading, its plan and a first finding have room.
	room := 30.0
	for _, p := range b.Pictures {
		d := p.Paper
		if d.W <= wide+0.1 {
			room += d.H
		} else {
			defer func() { s.waiting = append(s.waiting, d) }()
		}
	}
	s.y += 6
	s.need(room)
	s.anchor(b.Anchor, s.y-2)
	s.p.Bookmark(s.clean(at(b)), 1, s.y)
	if s.y > top {
		s.line(draw.Ink, 0.35, left, s.y-1.5, right, s.y-1.5)
	}
	s.para(at(b), left, 4.2, true, draw.Ink)
	s.para(words.Count(b.Problems, "problem", "problems")+", "+strconv.Itoa(b.Open)+" open", left, little, false, draw.Soft)
	s.y += 1
	for _, p := range b.Pictures {
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
		for _, l := range fold(s.clean(t), size, right-x, bold) {
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
func (s *sheet) section(title string, sec words.Section) {
	if sec.Aside != "" {
		title += ": " + sec.Aside
	}
	s.heading(title)
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
	s.heading("Drawings used")
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
	s.heading("Rules used")
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
	s.heading("What was not checked")
	s.parts(r.Checked.Parts)
	s.sub("Could not be checked")
	s.parts(r.Unchecked.Parts)
	s.sub("Meant to meet")
	s.parts(r.Excused.Parts)
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
	s.heading("Before you rely on this")
	s.para("All figures are whole millimetres, rounded to the safe side: gaps down; shortfalls, moves, needed gaps and hole sizes up. The position of a finding is where its figure was measured.", left, body, false, draw.Ink)
	for _, t := range r.Cautions {
		s.point(t)
	}
}
