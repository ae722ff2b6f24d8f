package meeting

import (
	"strconv"
	"strings"

	"voidline/clash/register"
	"voidline/reports/words"
)

// How much page one holds at most; the sections behind it have all.
const (
	summaryDecisions = 12
	summaryOwners    = 8
	summaryBays      = 10
	summaryMoved     = 4
)

// FewDecisions returns the decisions that page one has room for.
func (rep *Report) FewDecisions() []Decision {
	return rep.Decisions[:min(summaryDecisions, len(rep.Decisions))]
}

// FewOwners returns the owners that page one has room for.
func (rep *Report) FewOwners() []register.Owner {
	return rep.Owners[:min(summaryOwners, len(rep.Owners))]
}

// FewBays returns the bays of most need that page one has room for.
func (rep *Report) FewBays() []Need {
	var open []Need
	for _, n := range rep.Need {
		if n.First != nil && len(open) < summaryBays {
			open = append(open, n)
		}
	}
	return open
}

// MovedLine says how many problems are new, back or worse since last time, with the worst of them; or that none is.
type MovedLine struct {
	Said  string
	First []*Finding
}

// String is the line as one text.
func (m MovedLine) String() string {
	s := m.Said
	for i, f := range m.First {
		s += map[bool]string{true: ": ", false: "; "}[i == 0] + f.Line()
	}
	return s
}

// MovedLines says what is back, worse and new since last time, with the worst of each, and last what there is none of.
func (rep *Report) MovedLines() []MovedLine {
	s := &rep.Since
	if !s.Known {
		return nil
	}
	var out []MovedLine
	var none []string
	for _, m := range []struct {
		word     string
		problems int
		of       []*Finding
	}{{"back", s.Problems.Back, s.Back}, {"worse", s.Worse, s.Worsened}, {"new", s.Problems.New, s.New}} {
		if m.problems == 0 {
			none = append(none, m.word)
			continue
		}
		line := MovedLine{Said: words.Count(m.problems, "problem", "problems") + " " + m.word}
		had := map[string]bool{}
		for _, f := range m.of {
			if p := f.Problem(); !had[p] && len(line.First) < summaryMoved {
				had[p] = true
				line.First = append(line.First, f)
			}
		}
		out = append(out, line)
	}
	switch n := len(none); {
	case n > 1:
		out = append(out, MovedLine{Said: "No problem is " + strings.Join(none[:n-1], ", ") + " or " + none[n-1]})
	case n == 1:
		out = append(out, MovedLine{Said: "No problem is " + none[0]})
	}
	return out
}

// Line names a finding in one line: 12: overlap 82, SA1-12 / SB-B1, bay A-B/1-2, Level 1.
func (f *Finding) Line() string {
	s := f.Number + ": " + f.Said.What + ", " + f.Between + ", "
	if f.Finding.Bay != nil {
		s += "bay "
	}
	s += f.Bay.At()
	if f.Standing.Turn != "" {
		s += " (" + f.Standing.Turn + ")"
	}
	return s
}

// OwnerName is what an owner is called; nobody named is unassigned, for who has to move is not to blame.
func OwnerName(name string) string {
	if name == "" {
		return "unassigned"
	}
	return name
}

// OwnersSaid says why the problems of the owners come to more than are open; "" where they do not.
func (rep *Report) OwnersSaid() string {
	all := 0
	for i := range rep.Owners {
		all += rep.Owners[i].Open
	}
	if all <= rep.Open {
		return ""
	}
	return "A problem whose findings have several owners is counted with each of them."
}

// Trend says how many problems were open with an owner at the end of each week: 3, 2, 2.
func Trend(weeks []int) string {
	var l []string
	for _, n := range weeks {
		l = append(l, strconv.Itoa(n))
	}
	return strings.Join(l, ", ")
}

// DecideAside says how many questions there are, and how many of them are past a date.
func (rep *Report) DecideAside() string {
	s := words.Count(len(rep.Decisions), "question", "questions")
	late := 0
	for i := range rep.Decisions {
		if rep.Decisions[i].Days > 0 {
			late++
		}
	}
	if late > 0 {
		s += ", " + strconv.Itoa(late) + " overdue"
	}
	return s
}

// Rest says what is open besides the questions.
func (rep *Report) Rest() string {
	switch {
	case len(rep.Decisions) > 0 && rep.Plain > 0:
		return "The other " + words.Count(rep.Plain, "open problem needs", "open problems need") + " no decision: one trade has to move, and the move is known."
	case len(rep.Decisions) > 0:
		return ""
	case rep.Open > 0:
		return "None: in each of the " + words.Count(rep.Open, "open problem", "open problems") + " one trade has to move, and the move is known."
	}
	return "None: nothing is open."
}

// NoRegister says what page one lacks without a register, and how to come by it; "" where there is one.
func (rep *Report) NoRegister() string {
	if rep.OwnerWeeks != nil || rep.Owners != nil || rep.Since.Known {
		return ""
	}
	return "There is nothing to compare with yet. Keep a register (--register), or give the result of last time (--since findings.json), and this page also says who owns what is open, what is overdue, and what is new, back or worse."
}

// Summary is page one in words, for a terminal or an e-mail.
func (rep *Report) Summary() words.Answer {
	name := rep.Project
	if name == "" {
		name = "Project without a name"
	}
	a := words.Answer{Title: name + ": to be decided, " + string(rep.Date), Missing: rep.Missing}
	s := words.Section{Level: 1, Title: rep.Called(Today).Title, Aside: rep.DecideAside()}
	s.Parts = append(s.Parts, words.Para(rep.Found+". "+words.OneProblem+". Lengths in mm."))
	if len(rep.Decisions) > 0 {
		t := words.Table{Columns: []words.Column{{Head: "No.", Right: true}, {Head: "To decide"}, {Head: "By whom"}, {Head: "Due"}}}
		for i, d := range rep.FewDecisions() {
			cell := d.Question + "\n" + d.About + ", " + d.Where(4) + "; " + d.Size()
			if p := d.Worst.Proof(); p != "" {
				cell += "\n" + d.Worst.Number + ": " + p
			}
			if r := d.Replies(); r != "" {
				cell += "\n" + r
			}
			t.Rows = append(t.Rows, []string{strconv.Itoa(i + 1), cell, strings.Join(d.Who, ", "), orNone(d.When())})
		}
		s.Parts = append(s.Parts, t)
		if n := len(rep.Decisions) - summaryDecisions; n > 0 {
			s.Parts = append(s.Parts, words.Para("And "+words.Count(n, "question", "questions")+" more, in the report."))
		}
	}
	if r := rep.Rest(); r != "" {
		s.Parts = append(s.Parts, words.Para(r))
	}
	a.Sections = append(a.Sections, s)
	if len(rep.Owners) > 0 {
		s := words.Section{Level: 1, Title: "Open problems by owner"}
		t := words.Table{Columns: []words.Column{{Head: "Owner"}, {Head: "Open", Right: true}, {Head: "Overdue", Right: true}, {Head: "Days", Right: true}, {Head: "Next due"}}}
		for _, w := range rep.OwnerWeeks {
			t.Columns = append(t.Columns, words.Column{Head: short(w), Right: true})
		}
		for _, o := range rep.FewOwners() {
			row := []string{OwnerName(o.Name), strconv.Itoa(o.Open), dashed(o.Overdue), dashed(o.Days), orNone(string(o.Due))}
			for _, n := range o.Weeks {
				row = append(row, dashed(n))
			}
			t.Rows = append(t.Rows, row)
		}
		s.Parts = append(s.Parts, t)
		if said := rep.OwnersSaid(); said != "" {
			s.Parts = append(s.Parts, words.Para(said))
		}
		if n := len(rep.Owners) - summaryOwners; n > 0 {
			s.Parts = append(s.Parts, words.Para("And "+words.Count(n, "owner", "owners")+" more."))
		}
		a.Sections = append(a.Sections, s)
	}
	if bays := rep.FewBays(); len(bays) > 0 {
		s := words.Section{Level: 1, Title: "Bays by need"}
		t := words.Table{Columns: []words.Column{{Head: "Bay"}, {Head: "Need", Right: true}, {Head: "Open", Right: true}, {Head: "Worst"}}}
		for _, n := range bays {
			t.Rows = append(t.Rows, []string{n.At(), strconv.Itoa(n.Points), strconv.Itoa(n.Open), n.First.Number + ": " + n.First.Said.What + "\n" + n.First.Between})
		}
		s.Parts = append(s.Parts, words.Para(NeedSaid), t)
		if n := len(rep.Bays) - len(bays); n > 0 {
			s.Parts = append(s.Parts, words.Para("And "+words.Count(n, "bay", "bays")+" more."))
		}
		a.Sections = append(a.Sections, s)
	}
	if l := rep.MovedLines(); l != nil {
		s := words.Section{Level: 1, Title: "Since last time"}
		var list words.List
		for _, m := range l {
			list = append(list, m.String())
		}
		s.Parts = append(s.Parts, list)
		a.Sections = append(a.Sections, s)
	}
	if t := rep.NoRegister(); t != "" {
		a.Sections = append(a.Sections, words.Section{Level: 1, Title: "Since last time", Parts: []words.Part{words.Para(t)}})
	}
	last := words.Section{Level: 1, Title: rep.Called(Before).Title}
	last.Parts = append(last.Parts, words.List(rep.Cautions))
	a.Sections = append(a.Sections, last)
	return a
}

// NeedSaid says what the need of a bay is.
const NeedSaid = "Need: each open problem counts by what its worst finding costs to put right, from 8 for structure to 1 for a tight gap (voidline tables costs)."

// short is the day of a week's end without its year.
func short(label string) string {
	if len(label) == 10 && label[4] == '-' {
		return label[5:]
	}
	return label
}

// Short is a date without its year, as heads of narrow columns have it.
func Short(label string) string { return short(label) }

func orNone(s string) string {
	if s == "" {
		return "-"
	}
	return s
}

func dashed(n int) string {
	if n == 0 {
		return "-"
	}
	return strconv.Itoa(n)
}
