package words

import (
	"cmp"
	"maps"
	"slices"
	"strconv"
	"strings"

	"voidline/clash/finding"
	"voidline/void"
)

// Answer is what a check says, in order, free of form. All text in it is clean.
type Answer struct {
	Title    string
	Missing  []Part // what is missing from the answer: to be said before all else; empty when nothing is
	Sections []Section
}

// Section is a heading and what stands under it. Level 1 is a part of the answer, level 2 a bay.
type Section struct {
	Level int
	Title string
	Aside string // a few words that belong to the title: counts; may be ""
	Parts []Part
}

// Part is one of Para, List, Table, Group.
type Part interface{ part() }

// Para is a paragraph.
type Para string

// List is a list of short paragraphs.
type List []string

// Table has as many cells in each row as it has columns; lines in a cell are parted by \n.
type Table struct {
	Columns []Column
	Rows    [][]string
	Foot    []string // a row of sums, or nil
}

// Column is the head of a column.
type Column struct {
	Head  string
	Right bool // figures stand to the right
}

// Group is one finding, or several that are gathered under a heading.
type Group struct {
	Heading string   // "" for a single finding
	Common  []string // what holds for all of them
	Items   []Item
}

// Item is one finding.
type Item struct {
	What  string   // what it is and by how much: overlap 36
	ID    string   // its id, which the register knows it by
	Lines []string // between what, where, what there is and is needed, what to move, the rule
}

func (Para) part()  {}
func (List) part()  {}
func (Table) part() {}
func (Group) part() {}

// How many of each list are said before the rest is only counted.
const (
	mostFindings = 300
	mostWarnings = 10
	mostNotes    = 40 // texts of what could not be checked
	mostSubjects = 8  // zones or bays named for one such text
	mostBays     = 60 // rows of the table of bays
)

// Check puts a result into words. At most most findings (and rows of each of the other tables) are
// said, the worst; the answer says how many are not shown. 0 stands for 300, less than 0 for all.
func Check(r *finding.Result, most int) Answer {
	if most == 0 {
		most = mostFindings
	}
	if most < 0 {
		most = max(len(r.Findings), len(r.Doubtful), len(r.BuildersWork), len(r.ToBeProtected), len(r.Joints), 1)
	}
	a := Answer{Title: "voidline check"}
	if r.Project != "" {
		a.Title += " of " + Name(r.Project)
	}
	if r.Voidline != "" {
		a.Title += " (version " + Name(r.Voidline) + ")"
	}
	a.Missing = missing(r)
	a.Sections = append(a.Sections, checked(r), found(r))
	a.Sections = append(a.Sections, findings(r, most)...)
	if r.Tolerance != nil {
		a.Sections = append(a.Sections, doubtful(r, most))
	}
	if s := surveyed(r, most); len(s.Parts) > 0 {
		a.Sections = append(a.Sections, s)
	}
	a.Sections = append(a.Sections, joints(r, most), buildersWork(r, most), toBeProtected(r, most), excused(r))
	if s := inRoom(r); len(s.Parts) > 0 {
		a.Sections = append(a.Sections, s)
	}
	a.Sections = append(a.Sections, unchecked(r))
	if len(r.Warnings) > 0 {
		a.Sections = append(a.Sections, Section{
			1, "Warnings about the tables", "",
			[]Part{Para(Count(finding.CountIssues(r.Warnings), "warning", "warnings") + ":"), issues(r.Warnings)},
		})
	}
	last := Section{Level: 1, Title: "Before you rely on this", Parts: []Part{
		Para("All figures are whole millimetres, rounded to the safe side: gaps down; shortfalls, moves, needed gaps and hole sizes up. The position of a finding is where its figure was measured."),
	}}
	var cautions List
	for _, c := range r.Cautions {
		cautions = append(cautions, Clean(c))
	}
	if len(cautions) > 0 {
		last.Parts = append(last.Parts, cautions)
	}
	a.Sections = append(a.Sections, last)
	return a
}

func missing(r *finding.Result) []Part {
	var parts []Part
	switch {
	case r.RowsMissing > 0:
		parts = append(parts, Para(Count(r.RowsMissing, "row is MISSING from this result: it", "rows are MISSING from this result: they")+" could not be read, and nothing was checked against "+map[bool]string{true: "it", false: "them"}[r.RowsMissing == 1]+"."))
	case len(r.InputProblems) > 0:
		parts = append(parts, Para("The tables have errors, so this result may be INCOMPLETE."))
	default:
		return nil
	}
	if len(r.InputProblems) > 0 {
		parts = append(parts, Para(Count(finding.CountIssues(r.InputProblems), "error", "errors")+" in the tables:"), issues(r.InputProblems))
	}
	return parts
}

// issues says the first few, and how many more there are.
func issues(all []finding.Issue) List {
	var l List
	for i, is := range all {
		if i == mostWarnings {
			held := "the JSON result has them all"
			if slices.ContainsFunc(all, func(is finding.Issue) bool { return is.More > 0 }) {
				held = "the JSON result has the first of each file"
			}
			l = append(l, "and "+strconv.Itoa(finding.CountIssues(all[i:]))+" more; "+held)
			break
		}
		var b strings.Builder
		if is.File != "" {
			b.WriteString(Clean(is.File))
			b.WriteByte(':')
			if is.Line > 0 {
				b.WriteString(strconv.Itoa(is.Line) + ":")
				if is.Column > 0 {
					b.WriteString(strconv.Itoa(is.Column) + ":")
				}
			}
			b.WriteByte(' ')
		}
		b.WriteString(Clean(is.Text))
		l = append(l, b.String())
	}
	return l
}

func checked(r *finding.Result) Section {
	s := Section{Level: 1, Title: "What was checked"}
	c := r.Checked
	s.Parts = append(s.Parts, Para(strings.Join([]string{
		Count(c.Storeys, "storey", "storeys"), Count(c.Bays, "bay", "bays"), Count(c.Zones, "zone", "zones"),
		Count(c.Rules, "rule", "rules"),
	}, ", ")+"; "+Count(c.Pairs, "pair", "pairs")+" close enough for a rule to apply."))
	if c.Zones == 0 {
		s.Parts = append(s.Parts, Para("No zone was there to be checked."))
	}
	var trades []string
	for _, t := range slices.Sorted(maps.Keys(c.ByTrade)) {
		trades = append(trades, Name(t)+" "+strconv.Itoa(c.ByTrade[t]))
	}
	if len(trades) > 0 {
		s.Parts = append(s.Parts, Para("Zones by trade: "+strings.Join(trades, ", ")+"."))
	}
	if r.Survey != nil {
		s.Parts = append(s.Parts, Para(surveyLine(r.Survey)))
	}
	if r.Filter != "" {
		s.Parts = append(s.Parts, Para("Limited to: "+Clean(r.Filter)+". Nothing else is shown or counted."))
	}
	return s
}

func found(r *finding.Result) (s Section) {
	s = Section{Level: 1, Title: "What was found"}
	n := r.Counts.Overlap + r.Counts.Tight + r.Counts.Access
	if r.JointCount > 0 {
		defer func() {
			s.Parts = append(s.Parts, Para(Count(r.JointCount, "joint of a run", "joints of runs")+" to put right."))
		}()
	}
	if n == 0 && len(r.Findings) == 0 {
		s.Parts = append(s.Parts, Para(none(r.Limits)))
		return s
	}
	line := Count(n, "finding", "findings") + ": " + kinds(r.Counts) + ". All figures in mm."
	if r.Problems > 0 {
		line = Count(r.Problems, "problem", "problems") + ", " + line
	}
	s.Parts = append(s.Parts, Para(line))
	if r.Problems > 0 {
		s.Parts = append(s.Parts, Para(OneProblem+"."))
	}

	if r.Held > 0 {
		s.Parts = append(s.Parts, Para("There are so many that only the worst "+strconv.Itoa(len(r.Findings))+" are counted below; "+
			"a CSV or JSON file has them all."))
	}

	pairs := Table{Columns: []Column{{"Between", false}, {"Overlap", true}, {"Tight gap", true}, {"Access", true}, {"Problems", true}}}
	var all finding.PairCount
	for _, p := range finding.PairCounts(r.Findings) {
		all.Overlap += p.Overlap
		all.Tight += p.Tight
		all.Access += p.Access
		between := Name(p.A)
		if p.B != "" {
			between += " / " + Name(p.B)
		}
		pairs.Rows = append(pairs.Rows, []string{between, orDash(p.Overlap), orDash(p.Tight), orDash(p.Access), orDash(p.Problems)})
	}
	if len(pairs.Rows) > 1 {
		pairs.Foot = []string{"all", orDash(all.Overlap), orDash(all.Tight), orDash(all.Access), orDash(r.Problems)}
	}
	s.Parts = append(s.Parts, pairs)

	if n := len(r.Findings); n > 0 {
		s.Parts = append(s.Parts, Para("Findings to move, by trade: "+movers(r.Findings)+"."))
	}

	bays := baysOf(r.Findings)
	storeys := false
	for _, b := range bays {
		storeys = storeys || b.storey != ""
	}
	t := Table{Columns: []Column{{"Bay", false}}}
	if storeys {
		t.Columns = append(t.Columns, Column{"Storey", false})
	}
	t.Columns = append(t.Columns, Column{"Overlap", true}, Column{"Tight gap", true}, Column{"Access", true}, Column{"Worst", false})
	for i, b := range bays {
		if i == mostBays {
			break
		}
		row := []string{b.name()}
		if storeys {
			row = append(row, Name(b.storey))
		}
		t.Rows = append(t.Rows, append(row, orDash(b.counts.Overlap), orDash(b.counts.Tight), orDash(b.counts.Access), what(b.all[0])))
	}
	s.Parts = append(s.Parts, t)
	if len(bays) > mostBays {
		s.Parts = append(s.Parts, Para("And "+strconv.Itoa(len(bays)-mostBays)+" more bays with findings."))
	}
	return s
}

// orDash is a count in a table; nothing is a dash, so that what is there stands out.
func orDash(n int) string {
	if n == 0 {
		return "-"
	}
	return strconv.Itoa(n)
}

// kinds counts findings by kind in words, leaving out what is not there.
func kinds(c finding.Counts) string {
	var parts []string
	if c.Overlap > 0 {
		parts = append(parts, Count(c.Overlap, "overlap", "overlaps"))
	}
	if c.Tight > 0 {
		parts = append(parts, Count(c.Tight, "tight gap", "tight gaps"))
	}
	if c.Access > 0 {
		parts = append(parts, Count(c.Access, "access finding", "access findings"))
	}
	if len(parts) == 0 {
		return "none"
	}
	return strings.Join(parts, ", ")
}

func tally(c *finding.Counts, k finding.Kind) {
	switch k {
	case finding.Overlap:
		c.Overlap++
	case finding.Tight:
		c.Tight++
	case finding.Access:
		c.Access++
	}
}

// movers counts findings by the trade that has something to move, the most first.
func movers(fs []finding.Finding) string {
	by := map[string]int{}
	for i := range fs {
		by[fs[i].Mover()]++
	}
	trades := slices.SortedFunc(maps.Keys(by), func(a, b string) int {
		return cmp.Or(cmp.Compare(by[b], by[a]), cmp.Compare(a, b))
	})
	var parts []string
	for _, t := range trades {
		parts = append(parts, Name(t)+" "+strconv.Itoa(by[t]))
	}
	return strings.Join(parts, ", ")
}

// none says that nothing was found of what was asked for.
func none(l *finding.Limits) string {
	named := []struct {
		kind       finding.Kind
		no, plural string
	}{{finding.Overlap, "overlap", "overlaps"}, {finding.Tight, "tight gap", "tight gaps"}, {finding.Access, "access finding", "access findings"}}
	if l == nil || len(l.Only) == 0 {
		return "Nothing found: no overlap, no tight gap and no access finding in what was checked."
	}
	var no, not []string
	for _, n := range named {
		if slices.Contains(l.Only, n.kind) {
			no = append(no, "no "+n.no)
		} else {
			not = append(not, n.plural)
		}
	}
	s := "Nothing found: " + strings.Join(no, ", ") + "."
	if len(not) > 0 {
		other := strings.Join(not, " and ")
		s += " " + strings.ToUpper(other[:1]) + other[1:] + " were not asked for."
	}
	return s
}

// joints lists the joints of runs to put right.
func joints(r *finding.Result, most int) Section {
	s := Section{Level: 1, Title: "Joints of runs to put right"}
	if len(r.Joints) == 0 {
		s.Parts = []Part{Para("None: the pieces of each run, and what rows name in joins, meet where they ought to.")}
		return s
	}
	s.Aside = Count(len(r.Joints), "joint", "joints")
	s.Parts = append(s.Parts, Para("Pieces of a run, or what a row names in joins, that do not meet as they ought to. They are no overlaps and no gaps."))
	t := Table{Columns: []Column{{"Pieces", false}, {"What, mm", false}, {"By, mm", true}, {"Bay", false}, {"Level", true}}}
	for i, j := range r.Joints {
		if i == most {
			s.Parts = append(s.Parts, t, Para("And "+Count(len(r.Joints)-most, "joint", "joints")+" more, not shown."))
			return s
		}
		run := ""
		if j.Run != "" {
			run = "run " + Name(j.Run)
		}
		rows := ""
		for k, row := range j.Rows {
			if k > 0 {
				rows += ", "
			}
			rows += Name(row)
		}
		t.Rows = append(t.Rows, []string{
			lines(Name(j.A)+" / "+Name(j.B), run, rows), lines(string(j.Kind), Clean(j.Note)), Up(j.By),
			lines(baySaid(j.Bay), storeySaid(r, j.Storey), where(j.At)), Level(j.At.Level),
		})
	}
	s.Parts = append(s.Parts, t)
	return s
}

func buildersWork(r *finding.Result, most int) Section {
	s := Section{Level: 1, Title: "Builder's work"}
	if len(r.BuildersWork) == 0 {
		s.Parts = []Part{Para("None: no service goes through a wall or a slab without an opening.")}
		return s
	}
	s.Aside = Count(len(r.BuildersWork), "hole", "holes")
	s.Parts = append(s.Parts, Para("Services that go through a wall or a slab where no opening is given. Hole: clear size needed for the service with its joint and insulation, plus the margin all round. All in mm."))
	margin := r.BuildersWork[0].Margin
	for _, h := range r.BuildersWork {
		if h.Margin != margin {
			margin = -1
		}
	}
	if margin >= 0 {
		s.Parts = append(s.Parts, Para("Margin all round: "+Up(margin)+"."))
	}
	s.Parts = append(s.Parts, Para("Fire stopping of each hole is for the designer to name: it is not checked."))
	t := Table{Columns: []Column{{"No.", false}, {"Service", false}, {"Goes through", false}, {"Bay", false}, {"Hole", true}, {"Underside", true}}}
	for i, h := range r.BuildersWork {
		if i == most {
			break
		}
		size := Up(h.Width) + "x" + Up(h.Height)
		if h.Round {
			size = "ø" + Up(h.Width)
		}
		if margin < 0 {
			size += "\nmargin " + Up(h.Margin)
		}
		t.Rows = append(t.Rows, []string{
			HoleName(h.Number), lines(Name(h.Service), Name(h.Row)), lines(Name(h.In), Name(h.InRow), Clean(h.Note)),
			lines(baySaid(h.Bay), storeySaid(r, h.Storey), where(h.At)), size, Level(h.Level),
		})
	}
	s.Parts = append(s.Parts, t)
	if n := len(r.BuildersWork) - most; n > 0 {
		s.Parts = append(s.Parts, Para("And "+Count(n, "hole", "holes")+" more, not shown here."))
	}
	if len(r.Together) > 0 {
		s.Parts = append(s.Parts, Para("Could one hole do? These are of one trade and near each other in one wall or slab; nothing is decided by it:"))
		var l List
		for i := range r.Together {
			if i == most {
				l = append(l, "and "+strconv.Itoa(len(r.Together)-i)+" more")
				break
			}
			l = append(l, Together(&r.Together[i]))
		}
		s.Parts = append(s.Parts, l)
	}
	return s
}

// Together asks whether one hole may do for several.
func Together(t *finding.Together) string {
	var names []string
	for _, n := range t.Holes {
		names = append(names, HoleName(n))
	}
	return Clean(t.Trade) + ", " + Name(t.In) + ": " + strings.Join(names, ", ") + " as one of " + Up(t.Width) + "x" + Up(t.Height) + ", underside " + Level(t.Level) + "?"
}

// baySaid names a bay in a column of bays.
func baySaid(bay *string) string {
	if bay == nil {
		return "outside every bay"
	}
	return Name(*bay)
}

// storeySaid names the storey where there is more than one.
func storeySaid(r *finding.Result, storey string) string {
	if r.Checked.Storeys < 2 {
		return ""
	}
	return Name(storey)
}

func toBeProtected(r *finding.Result, most int) Section {
	s := Section{Level: 1, Title: "To be protected"}
	if len(r.ToBeProtected) == 0 {
		s.Parts = []Part{Para("None.")}
		return s
	}
	s.Aside = Count(len(r.ToBeProtected), "pair", "pairs")
	s.Parts = append(s.Parts, Para("Not findings: what runs below something that may harm it, to be shielded or moved as the designer says."))
	t := Table{Columns: []Column{{"Protect", false}, {"From what is above", false}, {"First met in bay", false}, {"Times", true}, {"Rule", false}}}
	for i, p := range r.ToBeProtected {
		if i == most {
			break
		}
		t.Rows = append(t.Rows, []string{
			lines(Name(p.Of), Name(p.OfRow)), lines(Name(p.From), Name(p.Row)),
			lines(baySaid(p.Bay), where(p.At)), strconv.Itoa(p.Pairs), Clean(p.Rule) + " (" + basis(p.Basis) + ")",
		})
	}
	s.Parts = append(s.Parts, t)
	if n := len(r.ToBeProtected) - most; n > 0 {
		s.Parts = append(s.Parts, Para("And "+strconv.Itoa(n)+" more, not shown here."))
	}
	return s
}

func excused(r *finding.Result) Section {
	s := Section{Level: 1, Title: "Meant to meet"}
	if len(r.Excused) == 0 {
		s.Parts = []Part{Para("None: no two zones that meet were taken as belonging together.")}
		return s
	}
	s.Parts = append(s.Parts, Para("Pairs that belong together, not counted as findings:"))
	t := Table{Columns: []Column{{"Pairs", true}, {"Why", false}}}
	for _, why := range slices.Sorted(maps.Keys(r.Excused)) {
		t.Rows = append(t.Rows, []string{strconv.Itoa(r.Excused[why]), Clean(why)})
	}
	s.Parts = append(s.Parts, t)
	return s
}

// inRoom says what lies under the ceilings, by trade and kind, and what passes through them; nothing where nothing does.
func inRoom(r *finding.Result) Section {
	s := Section{Level: 1, Title: "In the room"}
	if len(r.InRoom) > 0 {
		all := 0
		t := Table{Columns: []Column{{"Rows", true}, {"Trade", false}, {"Kind", false}, {"Which", false}}}
		for _, in := range r.InRoom {
			all += in.Number
			var ids []string
			for _, id := range in.First {
				ids = append(ids, Name(id))
			}
			which := strings.Join(ids, ", ")
			if n := in.Number - len(ids); n > 0 {
				which += " and " + strconv.Itoa(n) + " more"
			}
			t.Rows = append(t.Rows, []string{strconv.Itoa(in.Number), Name(in.Trade), Name(in.Kind), which})
		}
		s.Aside = Count(all, "row", "rows")
		s.Parts = append(s.Parts, Para("Under the ceiling, taken as meant to be there, not counted as findings:"), t)
	}
	if len(r.Through) > 0 {
		var named []string
		for i, x := range r.Through {
			if i == mostSubjects {
				break
			}
			_, bay := void.Identity(x.Ceilings[0])
			named = append(named, Name(x.Zone)+" (ceiling "+Name(bay)+")")
		}
		line := Count(len(r.Through), "upright row passes", "upright rows pass") + " through a ceiling: " + strings.Join(named, ", ")
		if n := len(r.Through) - len(named); n > 0 {
			line += " and " + strconv.Itoa(n) + " more"
		}
		s.Parts = append(s.Parts, Para(line+". The ceiling has to be cut for them; they are not counted as findings."))
	}
	return s
}

// unchecked gathers notes of the same text, in the order of the first of each.
func unchecked(r *finding.Result) Section {
	s := Section{Level: 1, Title: "Could not be checked"}
	asked := questions(r)
	if len(r.Unchecked) == 0 {
		if s.Parts = asked; asked == nil {
			s.Parts = []Part{Para("None told.")}
		}
		return s
	}
	by := map[string][]string{}
	var texts []string
	for _, n := range r.Unchecked {
		text := Clean(n.Text)
		if _, ok := by[text]; !ok {
			texts = append(texts, text)
		}
		var who string
		switch {
		case n.Zone != "" && n.Row != "":
			who = Name(n.Zone) + " (" + Name(n.Row) + ")"
		case n.Zone != "":
			who = Name(n.Zone)
		case n.Bay != "" && n.Row != "":
			who = "bay " + Name(n.Bay) + " (" + Name(n.Row) + ")"
		case n.Bay != "":
			who = "bay " + Name(n.Bay)
		default:
			who = Name(n.Row)
		}
		by[text] = append(by[text], who)
	}
	s.Aside = Count(len(r.Unchecked), "note", "notes")
	var l List
	for i, text := range texts {
		if i == mostNotes {
			l = append(l, "and "+strconv.Itoa(len(texts)-i)+" more reasons; the JSON result has them all")
			break
		}
		var named []string
		for _, who := range by[text] {
			if who != "" {
				named = append(named, who)
			}
		}
		line := text
		if n := len(named); n > 0 {
			rest := ""
			if n > mostSubjects {
				named, rest = named[:mostSubjects], " and "+strconv.Itoa(n-mostSubjects)+" more"
			}
			line = strings.Join(named, ", ") + rest + ": " + line
		}
		l = append(l, line)
	}
	s.Parts = append(append(s.Parts, l), asked...)
	return s
}

// questions says what the table of connections does not know, with the cells to paste.
func questions(r *finding.Result) []Part {
	var parts []Part
	for _, q := range r.Questions {
		parts = append(parts, Para("Question, for "+Count(q.Pairs, "place", "places")+": "+Clean(q.Text)+" If it does, put this into the column joins:"))
		t := Table{Columns: []Column{{"Row", false}, {"Cell \"joins\"", false}}}
		for i, c := range q.Cells {
			if i == mostNotes {
				parts = append(parts, Para("Of "+strconv.Itoa(len(q.Cells))+" rows the first "+strconv.Itoa(i)+"; the JSON result has them all:"))
				break
			}
			t.Rows = append(t.Rows, []string{lines(Name(c.Zone), Name(c.Row)), Name(c.Joins)})
		}
		parts = append(parts, t)
	}
	return parts
}

// lines joins what is not empty into the lines of a cell.
func lines(of ...string) string {
	return strings.Join(slices.DeleteFunc(of, func(s string) bool { return s == "" }), "\n")
}
