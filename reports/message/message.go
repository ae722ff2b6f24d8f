// Package message writes what one pastes into an e-mail to one trade: only what that trade must do, in order of
// place, as plain text or Markdown.
package message

import (
	"bufio"
	"cmp"
	"io"
	"slices"
	"strconv"
	"strings"

	"voidline/clash/finding"
	"voidline/reports/markdown"
	"voidline/reports/meeting"
	"voidline/reports/words"
	"voidline/void"
)

// Options say what to write.
type Options struct {
	Trade string // canonical word
	// Markdown writes Markdown; else text of lines no wider than Width (72 where it is 0).
	Markdown bool
	Width    int
	// Result is the answer that the report is of: holes and what is to be protected are in it as records.
	Result *finding.Result
	// TradeOf gives the trade of a zone or a run, "" where it is not known.
	TradeOf func(zoneOrRun string) string
	// Tables are the trade's own tables, for warnings about them and for their sources.
	Tables []string
}

// task is one thing to do: a problem in which the trade has something to move.
type task struct {
	bay   *meeting.Bay
	first *meeting.Finding // the worst
	all   []*meeting.Finding
	x, y  float64
}

// Write writes the message. Agreed problems are left out, and those in which another trade has to move.
func Write(w io.Writer, r *meeting.Report, o Options) error {
	tasks := tasksOf(r, o.Trade)
	b := &sheet{w: bufio.NewWriter(w), md: o.Markdown, width: o.Width}
	if b.width <= 0 {
		b.width = 72
	}
	title := words.Clean(o.Trade) + ": what to do"
	if r.Project != "" {
		title += ", " + r.Project
	}
	b.title(title + ", " + string(r.Date))
	if len(r.Missing) > 0 {
		if t, ok := r.Missing[0].(words.Para); ok { // what they are stands with whose tables they are
			b.para(string(t))
		}
	}
	if len(tasks) == 0 {
		b.para("Nothing for " + words.Clean(o.Trade) + " to move: no open problem falls to this trade.")
	} else {
		b.para(words.Count(len(tasks), "problem is", "problems are") + " yours to clear, in order of position, each with its number on the plan and in the report. Levels are above the finished floor (FFL). All figures in mm.")
	}
	if s := replyBy(tasks); s != "" {
		b.para(s)
	}
	var bay *meeting.Bay
	for _, t := range tasks {
		if t.bay != bay {
			bay = t.bay
			name := bay.Name
			if !bay.Outside {
				name = "Bay " + name
			} else {
				name = "Outside every bay"
			}
			b.heading(words.InStorey(name, bay.Storey))
		}
		b.item(t.first.Number, lines(t))
	}
	b.doubts(o)
	b.holes(r, o)
	b.protect(o)
	b.tables(r, o)
	b.heading("Before you rely on this")
	for _, c := range r.Cautions {
		b.point(c)
	}
	return b.w.Flush()
}

// replyBy says by when an answer is wanted, the earliest date first, and who owns what is to be done, as the register has it.
func replyBy(tasks []*task) string {
	var owners []string
	var first *meeting.Finding
	for _, t := range tasks {
		for _, f := range t.all {
			if o := f.Standing.Owner; o != "" && !slices.Contains(owners, o) {
				owners = append(owners, o)
			}
			if f.Standing.Due != "" && (first == nil || f.Standing.Due < first.Standing.Due) {
				first = f
			}
		}
	}
	slices.Sort(owners)
	var l []string
	if first != nil {
		l = append(l, "Reply by "+first.Standing.By())
	}
	switch len(owners) {
	case 0:
	case 1:
		l = append(l, "owner: "+owners[0])
	default:
		l = append(l, "owners: "+strings.Join(owners, ", "))
	}
	s := strings.Join(l, "; ")
	if first == nil {
		s = strings.Replace(s, "owner", "Owner", 1)
	}
	return s
}

// tasksOf gathers what is open and the trade's to a task a problem, in order of place. A problem in more than one bay stands
// in the first of them.
func tasksOf(r *meeting.Report, trade string) []*task {
	var tasks []*task
	all := map[string]*task{}
	for i := range r.Bays {
		bay := &r.Bays[i]
		var here []*task
		for _, f := range bay.All {
			if f.Trade != words.Clean(trade) || f.Standing.Mark == meeting.MarkAgreed {
				continue
			}
			p := f.Problem()
			t := all[p]
			if t == nil {
				t = &task{bay: bay, first: f, x: f.At.X, y: f.At.Y}
				all[p] = t
				here = append(here, t)
			}
			t.all = append(t.all, f)
			if finding.Worse(f.Finding, t.first.Finding) < 0 {
				t.first = f
			}
			if t.bay == bay && (f.At.X < t.x || f.At.X == t.x && f.At.Y < t.y) {
				t.x, t.y = f.At.X, f.At.Y
			}
		}
		slices.SortStableFunc(here, func(a, b *task) int {
			return cmp.Or(cmp.Compare(a.x, b.x), cmp.Compare(a.y, b.y), cmp.Compare(a.first.ID, b.first.ID))
		})
		tasks = append(tasks, here...)
	}
	for _, t := range tasks {
		slices.SortStableFunc(t.all, func(a, b *meeting.Finding) int {
			return cmp.Or(cmp.Compare(a.At.X, b.At.X), cmp.Compare(a.At.Y, b.At.Y), cmp.Compare(a.ID, b.ID))
		})
	}
	return tasks
}

// lines says a task: what to do first, then why.
func lines(t *task) []string {
	f := t.first
	var l []string
	do := words.Clean(f.GivesWay)
	if do == "" {
		do = words.Clean(f.A)
	}
	run := f.ARun
	if f.B != nil && f.GivesWay == *f.B {
		run = f.BRun
	}
	if run != "" {
		do += " (run " + words.Name(run) + ")"
	}
	row, held := words.SupportsOf(f.Finding)
	zone, moves, so := words.Proved(f.Finding)
	switch m := f.Do(); {
	case f.HatchPlace != nil:
		do = words.HatchTo(f.Finding)
	case zone != "" && zone != f.GivesWay: // only the other moves
		do += ": " + words.Name(zone) + " " + moves + " " + so + "; agree it with " + words.Name(tradeOf(f, zone))
	case zone != "" && words.Clears(f.Finding):
		do = "Move " + do + " " + moves + ": that " + so
	case zone != "":
		do = "Move " + do + " " + moves + ": that " + so + "; propose another"
	case m != "":
		do = "Move " + do + " " + m
	case held && f.GivesWay == row && f.Support != nil:
		do = words.SupportToMove(f.Finding)
		if !f.Support.Clears() && f.Support.Longer == nil {
			do += "; propose one"
		}
	case held && f.GivesWay == row:
		do = words.ToMove(f.Finding) + "; propose one"
	case f.Kind == finding.Access:
		do += ": make it reachable"
	default:
		do += " to move: no single move is known that clears it; propose one"
	}
	if f.Standing.Mark != meeting.MarkOpen {
		do += " [" + f.Standing.Mark + "]"
	}
	l = append(l, do)
	for _, g := range t.all {
		other := ""
		if g.B != nil {
			other = words.Clean(*g.B)
			trade := g.BTrade
			if g.GivesWay == *g.B {
				other, trade = words.Clean(g.A), g.ATrade
			}
			if is, _ := void.Identity(other); is == void.OwnZone || is == void.OwnSupports {
				other += " (" + words.Name(trade) + ")"
			}
			other = " with " + other
		}
		s := "at " + g.Said.Where + ", " + g.Said.Level + ": " + g.Said.What + other
		if len(t.all) > 1 && g != f {
			if m := g.Do(); m != "" {
				s += "; move " + words.Name(g.GivesWay) + " " + m
			}
		}
		l = append(l, s+" ["+g.ID+"]")
	}
	l = append(l, f.Said.There)
	if f.Said.Rule != "" {
		l = append(l, "Rule: "+f.Said.Rule)
	}
	l = append(l, f.Said.Notes...)
	for _, k := range [][2]string{{"owner: ", f.Standing.Owner}, {"reply by: ", f.Standing.By()}, {"action: ", f.Standing.Action}, {"query: ", f.Standing.Query}} {
		if k[1] != "" {
			l = append(l, k[0]+k[1])
		}
	}
	for _, g := range t.all {
		of := ""
		if len(t.all) > 1 {
			of = " to " + g.ID
		}
		if s := g.Standing.Replies; s != "" {
			l = append(l, "replies"+of+": "+s)
		}
	}
	return l
}

// tradeOf is the trade of one of the two zones of a finding.
func tradeOf(f *meeting.Finding, zone string) string {
	if f.B != nil && zone == *f.B {
		return f.BTrade
	}
	return f.ATrade
}

// doubts lists what may not fit once built, where that was asked for.
func (b *sheet) doubts(o Options) {
	if o.Result == nil {
		return
	}
	said := 0
	for i := range o.Result.Doubtful {
		d := &o.Result.Doubtful[i]
		if d.UpperTrade != o.Trade && d.LowerTrade != o.Trade {
			continue
		}
		switch said++; said {
		case 1:
			b.heading(words.MayNotFit + ": no findings, but measure before you fix")
			b.point("Worst: all tolerances of level the wrong way at once. RSS: the root of the sum of their squares. A figure with * is a default, mostly from memory or common practice; yours, if you know better, belongs in the column tolerance.")
		case mostDoubts + 1:
			b.point("and more; the whole list is in the report")
			return
		}
		b.point(words.SayDoubt(d))
	}
}

// mostDoubts is how much of what may not fit a message lists.
const mostDoubts = 40

func (b *sheet) holes(r *meeting.Report, o Options) {
	if o.Result == nil || o.TradeOf == nil {
		return
	}
	said := false
	for _, h := range o.Result.BuildersWork {
		if o.TradeOf(h.Service) != o.Trade {
			continue
		}
		if !said {
			b.heading("Builder's work holes for your services: confirm size and position to the builder")
			b.point("Fire stopping of each hole is for the designer to name: it is not checked.")
			said = true
		}
		size := words.Up(h.Width) + "x" + words.Up(h.Height)
		if h.Round {
			size = "ø" + words.Up(h.Width)
		}
		s := ""
		if h.Number > 0 {
			s = words.HoleName(h.Number) + ": "
		}
		s += words.Clean(h.Service) + " through " + words.Clean(h.In) + ": hole " + size + ", underside " + words.Level(h.Level) + ", at " + words.Where(h.At)
		if h.Bay != nil {
			s += ", bay " + words.Name(*h.Bay)
		}
		b.point(s)
	}
	for i := range o.Result.Together {
		if t := &o.Result.Together[i]; t.Trade == o.Trade {
			b.point("Could one hole do? " + words.Together(t))
		}
	}
}

func (b *sheet) protect(o Options) {
	if o.Result == nil || o.TradeOf == nil {
		return
	}
	said := false
	for _, p := range o.Result.ToBeProtected {
		if o.TradeOf(p.Of) != o.Trade {
			continue
		}
		if !said {
			b.heading("To be protected from what runs above, as the designer says")
			said = true
		}
		s := words.Clean(p.Of) + " from " + words.Clean(p.From) + ", first at " + words.Where(p.At)
		if p.Bay != nil {
			s += ", bay " + words.Name(*p.Bay)
		}
		b.point(s)
	}
}

// tables says what is doubtful or blank about the trade's own tables.
func (b *sheet) tables(r *meeting.Report, o Options) {
	var l []string
	for _, s := range r.Sources {
		if !slices.Contains(o.Tables, s.File) || !s.Blank {
			continue
		}
		var blank []string
		for _, c := range [][2]string{{"drawing", s.Drawing}, {"revision", s.Revision}, {"date", s.Date}, {"by whom", s.By}} {
			if c[1] == "" {
				blank = append(blank, c[0])
			}
		}
		l = append(l, words.Name(s.File)+": say which drawing it was taken from ("+strings.Join(blank, ", ")+" blank)")
	}
	if o.Result != nil {
		for _, w := range append(slices.Clone(o.Result.InputProblems), o.Result.Warnings...) {
			if slices.Contains(o.Tables, w.File) {
				l = append(l, string(words.Issues([]finding.Issue{w})[0]))
			}
		}
	}
	if len(l) == 0 {
		return
	}
	b.heading("Your tables")
	for i, s := range l {
		if i == 20 {
			b.point("and " + strconv.Itoa(len(l)-i) + " more")
			break
		}
		b.point(s)
	}
}

// sheet is a message being written. A bufio.Writer keeps its first error for Flush.
type sheet struct {
	w     *bufio.Writer
	md    bool
	width int
	under bool // the line before is that under a heading
}

func (b *sheet) put(s ...string) {
	for _, s := range s {
		_, _ = b.w.WriteString(s)
	}
}

// wrapped writes a line of text broken to the width; the first begins with lead, the others under it.
func (b *sheet) wrapped(lead, s string) {
	under := strings.Repeat(" ", words.Width(lead))
	for i, l := range words.Wrap(s, b.width-words.Width(lead)) {
		if i == 0 {
			b.put(lead, l, "\n")
		} else {
			b.put(under, l, "\n")
		}
	}
}

func (b *sheet) title(s string) {
	if b.md {
		b.put("# ", markdown.Escape(s), "\n")
		return
	}
	b.wrapped("", s)
}

func (b *sheet) para(s string) {
	b.put("\n")
	if b.md {
		b.put(markdown.Escape(s), "\n")
		return
	}
	b.wrapped("", s)
}

func (b *sheet) heading(s string) {
	b.put("\n")
	if b.md {
		b.put("## ", markdown.Escape(s), "\n\n")
		return
	}
	b.wrapped("", s)
	b.put(strings.Repeat("-", min(words.Width(s), b.width)), "\n")
	b.under = true
}

func (b *sheet) item(number string, lines []string) {
	lead := number + ". "
	if b.md {
		lead = "- " // a numbered list would be numbered anew
		for i, l := range lines {
			switch i {
			case 0:
				b.put(lead, "**", number, ": ", markdown.Escape(l), "**")
			default:
				b.put("<br>\n", strings.Repeat(" ", len(lead)), markdown.Escape(l))
			}
		}
		b.put("\n")
		return
	}
	if !b.under {
		b.put("\n")
	}
	b.under = false
	for i, l := range lines {
		if i == 0 {
			b.wrapped(lead, l)
		} else {
			b.wrapped(strings.Repeat(" ", len(lead)), l)
		}
	}
}

func (b *sheet) point(s string) {
	if b.md {
		b.put("- ", markdown.Escape(s), "\n")
		return
	}
	b.wrapped("- ", s)
}
