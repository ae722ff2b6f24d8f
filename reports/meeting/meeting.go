// Package meeting puts what a check found into the order in which a site meeting takes it: one page with what must be decided
// today, then the decisions, what changed since last time, whose it is, the bays by need, then what is handed over and
// what it all rests on. It is free of form: page and paper lay it out, in one order and with one numbering (Sections).
//
// What people count and settle are problems (Finding.Problem); a finding is one place that was measured. Where findings are
// counted it is said.
package meeting

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"voidline/clash/finding"
	"voidline/clash/register"
	"voidline/clash/rules"
	"voidline/reports/draw"
	"voidline/reports/words"
	"voidline/void"
)

// Input is what a report is made of.
type Input struct {
	Result *finding.Result
	Rules  []rules.Rule
	Date   register.Date
	// Register is the project's register brought up to date, nil where there is none. Since is the comparison
	// with an earlier result, nil where none was given. With both, states are the register's.
	Register *register.Outcome
	Since    *register.Comparison
	// Sources has a source for each table of the project; SourcesNamed is false where there is no
	// table of sources.
	Sources      []Source
	SourcesNamed bool
	// Told is what else a reader must know: of the sources, of pictures left out. What is to be told of the register is taken from it.
	Told []string
	// Order is the order of the storeys, from the lowest up; a storey that is not in it comes last.
	Order []string
	// Numbers gives each problem (Finding.Problem) its number; nil: those of the result (finding.Numbers).
	Numbers map[string]int
	// Pictures draws a bay with its findings, Plan a storey with all of them, Section the section through one finding, low enough that
	// two stand on a page (without a drawing where none can be cut). They are asked when a form wants them; nil: no such pictures.
	Pictures func(findings []*finding.Finding) []Picture
	Plan     func(storey string) *draw.Drawing
	Section  func(f *finding.Finding) Picture
	// Closings is what is said of every bay before its ceiling is closed.
	Closings []register.Closing
}

// Source is where a table comes from, as people wrote it; "" is blank.
type Source struct{ File, Drawing, Revision, Date, By string }

// Report is what is laid out. Its texts are clean.
type Report struct {
	Project, Version string
	Date             register.Date
	Missing          []words.Part // to be said before all else
	Checked          words.Section
	Found            string // 30 problems, 28 of them open; 32 findings: 9 overlaps … and what counts as a problem
	Counts           finding.Counts
	Problems         int // all, agreed ones too
	Open             int // problems that are open or back

	Sections   []Section
	Since      Since
	Chart      *draw.Drawing    // the trend; nil where there is nothing to compare with
	Whose      []Whose          // the most first
	Owners     []register.Owner // who settles what is open, as the register names them; nothing without a register
	OwnerWeeks []string         // the ends of the weeks of Owner.Weeks
	Late       []Late           // what is past its date, by owner, the longest first
	Pairs      []finding.PairCount
	PairSum    finding.PairCount
	Decisions  []Decision
	Plain      int // open problems that want no decision: one trade has to move, and the move is known

	Bays        []Bay      // by storey and name
	Need        []Need     // the same, those first that want attention most
	Agreed      []*Finding // what stands as agreed, the newest agreement first
	Closings    []register.Closing
	Storeys     []string // with findings, from the lowest up
	Joints      words.Section
	Work        words.Section
	Protect     words.Section
	MayNotFit   words.Section // without a title where it was not asked for
	Sources     []SourceLine
	Blanks      string // what is blank among the sources, for page one; "" where nothing is
	Rules       []Rule
	Excused     words.Section
	Pardoned    []Pardoned // pairs that are meant to meet, and why; the first mostPardoned of PardonedAll
	PardonedAll int
	Surveyed    words.Section // without parts where there is no survey
	InRoom      words.Section // without parts where there is nothing to say
	Unchecked   words.Section
	Warnings    []string
	Told        []string
	Cautions    []string

	// Beside are the names of the files that are written beside the page.
	Beside []string

	// Plan and Section are Input's; nil: none.
	Plan    func(storey string) *draw.Drawing
	Section func(f *finding.Finding) Picture

	there map[string]bool // problems of which a part was there last time
}

// Section is a part of the report: every form calls it by the same number and title, also where it leaves others out.
type Section struct {
	ID, Title string
	Number    int
}

// The sections, in their order.
const (
	Today      = "today"
	Decide     = "decide"
	Changes    = "since"
	Action     = "whose"
	ByBay      = "bays"
	All        = "all"
	Fit        = "fit"
	Joints     = "joints"
	Work       = "work"
	Protect    = "protect"
	Agreed     = "agreed"
	Objections = "objections"
	Sources    = "sources"
	Rules      = "rules"
	Unchecked  = "not"
	Pardons    = "excused"
	Before     = "before"
)

// sections names and numbers them; what may not fit is one only where it was asked for.
func (rep *Report) sections() {
	for _, s := range [][2]string{
		{Today, "To be decided today"},
		{Decide, "Decisions needed"},
		{Changes, "Changes since last time"},
		{Action, "Action by trade and owner"},
		{ByBay, "Bays, in order of need"},
		{All, "All findings"},
		{Fit, rep.MayNotFit.Title},
		{Joints, "Joints of runs to put right"},
		{Work, "Builder’s work"},
		{Protect, "To be protected"},
		{Agreed, "Agreed"},
		{Objections, "No coordination objection"},
		{Sources, "Drawings used"},
		{Rules, "Rules used"},
		{Unchecked, "What was not checked"},
		{Pardons, "Pairs that are meant to meet"},
		{Before, "Before you rely on this"},
	} {
		if s[1] != "" {
			rep.Sections = append(rep.Sections, Section{s[0], s[1], len(rep.Sections) + 1})
		}
	}
}

// Called returns a section by its ID.
func (rep *Report) Called(id string) Section {
	for _, s := range rep.Sections {
		if s.ID == id {
			return s
		}
	}
	return Section{ID: id}
}

// Need is a bay and how much it wants attention.
type Need struct {
	*Bay
	Points int
	First  *Finding // the worst that is open; nil where none is
}

// Pardoned is a pair that is meant to meet.
type Pardoned struct{ A, B, Why, Deep string }

// mostPardoned is how many pairs that are meant to meet are listed one by one: findings.json has all.
const mostPardoned = 300

// Picture is a drawing as it stands on paper and on a wide screen, and the same for a phone: narrow, its letters as high
// as those round it. Phone draws that when it is wanted; nil: there is none.
type Picture struct {
	Of    string // of a section the id of the finding that it goes through
	Paper *draw.Drawing
	Phone func() *draw.Drawing
}

// Bay is a bay with findings, or all that lies outside every bay of a storey.
type Bay struct {
	Number   int    // of the bay in the report, from 1
	Anchor   string // bay-7
	Name     string // A-B/1-2, or outside every bay
	Outside  bool   // all that lies outside every bay of a storey
	Storey   string // "" where the building has one without a name
	Counts   finding.Counts
	Problems int
	Open     int // problems
	Worst    string
	Bundles  []Bundle
	All      []*Finding

	draw func() []Picture
}

// Pictures draws the bay: its plan, and the section through its worst finding; nothing where there are no pictures.
func (b *Bay) Pictures() []Picture {
	if b.draw == nil {
		return nil
	}
	return b.draw()
}

// Drawn reports whether there are pictures of the bay.
func (b *Bay) Drawn() bool { return b.draw != nil }

// Short is the name beside which the storey stands: without it.
func (b *Bay) Short() string { return strings.TrimSuffix(b.Name, ", "+b.Storey) }

// At names the bay with its storey.
func (b *Bay) At() string {
	return words.InStorey(b.Name, b.Storey)
}

// Bundle is findings that are said together; Heading is "" for one alone.
type Bundle struct {
	Heading  string
	Common   []string
	Findings []*Finding
}

// Finding is one finding as the report says it.
type Finding struct {
	*finding.Finding
	Said     words.Said
	Number   string // of its problem: it stands on the plan, and before the finding in check --format lines
	Between  string // short
	Trade    string // whose it is
	Standing Standing
	RuleSaid bool // its bundle says the rule
	WaySaid  bool // its bundle says who gives way
	Bay      *Bay
}

// Mark is what a finding is stamped with: new, back, open, agreed.
func (f *Finding) Mark() string { return f.Standing.Mark }

// Do says the least moves; "" for none.
func (f *Finding) Do() string { return words.AnyMove(f.Finding) }

// Proof says which move clears it and meets nothing, or what the least one meets; of supports where they can be set; where nothing was put to
// the proof the least moves, "" for none.
func (f *Finding) Proof() string {
	if f.HatchPlace != nil {
		return words.HatchTo(f.Finding)
	}
	if s := words.SupportToMove(f.Finding); s != "" {
		return s
	}
	if p := words.Proof(f.Finding); p != "" {
		return p
	}
	if m := f.Do(); m != "" {
		return words.Name(f.GivesWay) + " " + m
	}
	return ""
}

// Rule is a rule in force.
type Rule struct {
	Name, Of, To, Side, Gap, Over, Basis, Why, Source, Row string
	Findings                                               int // that break it
}

// SourceLine is a row of the table of sources.
type SourceLine struct {
	Source
	Blank bool // something is
}

// mostDoubts is how many rows of what may not fit are laid out: the table beside the report has all of them.
const mostDoubts = 300

// mostRows is how many joints, holes and pairs to be protected are laid out: the record beside the report has all of them.
const mostRows = 600

// Make gathers the report.
func Make(in Input) *Report {
	r := in.Result
	rep := &Report{
		Project: words.Clean(r.Project), Version: words.Clean(r.Voidline), Date: in.Date,
		Missing: words.Missing(r), Checked: words.Checked(r), Counts: r.Counts, Problems: r.Problems,
		Joints: words.Joints(r, mostRows), Work: words.BuildersWork(r, mostRows), Protect: words.ToBeProtected(r, mostRows), MayNotFit: words.Doubtful(r, mostDoubts), Excused: words.Excused(r), Surveyed: words.Surveyed(r), InRoom: words.InRoom(r), Unchecked: words.Unchecked(r),
	}
	rep.sections()
	rep.Plan, rep.Section, rep.Closings = in.Plan, in.Section, in.Closings
	stands := standings(in)
	rep.bays(in, stands)
	rep.need()
	rep.since(in, stands)
	rep.Found = fmt.Sprintf("%s, %d of them open; %s: %s", words.Count(r.Problems, "problem", "problems"), rep.Open,
		words.Count(len(r.Findings), "finding", "findings"), words.Kinds(r.Counts))
	if len(r.Findings) == 0 {
		rep.Found = "Nothing found: no overlap, no tight gap and no access finding in what was checked"
	}
	rep.whose()
	rep.decide(in)
	rep.owners(in)
	rep.agreed()
	rep.pardoned(r)
	rep.rules(in)
	rep.sources(in)
	for _, w := range r.Warnings {
		rep.Warnings = append(rep.Warnings, issue(w))
	}
	for _, t := range in.Told {
		rep.Told = append(rep.Told, words.Clean(t))
	}
	rep.toldOf(in.Register)
	for _, c := range r.Cautions {
		rep.Cautions = append(rep.Cautions, words.Clean(c))
	}
	rep.Chart = chart(&rep.Since)
	return rep
}

func issue(i finding.Issue) string {
	if l := words.Issues([]finding.Issue{i}); len(l) == 1 {
		return l[0]
	}
	return words.Clean(i.Text)
}

// bays sorts the findings into bays: by storey, then by name, what lies outside every bay last.
func (rep *Report) bays(in Input, stands map[string]Standing) {
	type key struct {
		storey, bay string
		none        bool
	}
	by := map[key][]*finding.Finding{}
	var keys []key
	for i := range in.Result.Findings {
		f := &in.Result.Findings[i]
		k := key{storey: f.Storey, none: f.Bay == nil}
		if f.Bay != nil {
			k.bay = *f.Bay
		}
		if by[k] == nil {
			keys = append(keys, k)
		}
		by[k] = append(by[k], f)
	}
	storey := func(name string) int {
		if i := slices.Index(in.Order, name); i >= 0 {
			return i
		}
		return len(in.Order)
	}
	slices.SortFunc(keys, func(a, b key) int {
		last := func(k key) int {
			if k.none {
				return 1
			}
			return 0
		}
		return cmp.Or(
			cmp.Compare(storey(a.storey), storey(b.storey)), void.Natural(a.storey, b.storey),
			cmp.Compare(last(a), last(b)), void.Natural(a.bay, b.bay), cmp.Compare(a.bay, b.bay),
		)
	})
	numbers := in.Numbers
	if numbers == nil {
		numbers = finding.Numbers(in.Result.Findings)
	}
	rep.Bays = make([]Bay, len(keys))
	for n, k := range keys {
		b := &rep.Bays[n]
		*b = Bay{Number: n + 1, Anchor: "bay-" + strconv.Itoa(n+1), Name: words.Clean(k.bay), Storey: words.Clean(k.storey)}
		if k.none {
			b.Name, b.Outside = "outside every bay", true
		}
		here, open := map[string]bool{}, map[string]bool{}
		var drawn []*finding.Finding
		for _, g := range words.Bundles(by[k]) {
			bundle := Bundle{Heading: g.Heading, Common: g.Common}
			for i, c := range g.Findings {
				p := c.Problem()
				here[p] = true
				f := &Finding{
					Finding: c, Said: words.Say(c), Number: strconv.Itoa(numbers[p]), Between: words.Between(c), Trade: words.Clean(c.Mover()),
					Standing: stands[c.ID], RuleSaid: g.RuleSaid[i], WaySaid: g.WaySaid[i], Bay: b,
				}
				drawn = append(drawn, c)
				bundle.Findings = append(bundle.Findings, f)
				b.All = append(b.All, f)
				tally(&b.Counts, c.Kind)
				if f.Standing.open() {
					open[p] = true
				}
			}
			b.Bundles = append(b.Bundles, bundle)
		}
		b.Problems, b.Open = len(here), len(open)
		worst := slices.MinFunc(by[k], finding.Worse)
		b.Worst = words.What(worst)
		if in.Pictures != nil {
			b.draw = func() []Picture { return in.Pictures(drawn) }
		}
		if k.storey != "" && !slices.Contains(rep.Storeys, k.storey) || len(rep.Storeys) == 0 {
			rep.Storeys = append(rep.Storeys, k.storey)
		}
	}
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

func (rep *Report) rules(in Input) {
	breaks := map[string]int{}
	for i := range in.Result.Findings {
		f := &in.Result.Findings[i]
		once := map[string]bool{f.Rule: true}
		for _, a := range f.Also {
			once[a.Rule] = true
		}
		for name := range once {
			breaks[name]++
		}
	}
	for _, r := range in.Rules {
		l := Rule{
			Name: words.Clean(r.Name), Of: words.Clean(r.Of), To: words.Clean(r.To), Side: words.Side(r.Side), Gap: words.Up(r.Gap),
			Basis: words.Basis(r.Basis), Why: words.Clean(r.Why), Source: words.Clean(r.Source), Row: words.Clean(r.Row), Findings: breaks[r.Name],
		}
		switch {
		case r.Told:
			l.Gap = "told"
		case r.Formula != "":
			l.Gap = words.Clean(r.Formula) + ", at most " + l.Gap
		}
		if r.Over > 0 {
			l.Over = words.Up(r.Over)
		}
		rep.Rules = append(rep.Rules, l)
	}
}

func (rep *Report) sources(in Input) {
	var blank int
	for _, s := range in.Sources {
		l := SourceLine{Source: Source{words.Clean(s.File), words.Clean(s.Drawing), words.Clean(s.Revision), words.Clean(s.Date), words.Clean(s.By)}}
		l.Blank = l.Drawing == "" || l.Revision == "" || l.Date == "" || l.By == ""
		if l.Blank {
			blank++
		}
		rep.Sources = append(rep.Sources, l)
	}
	switch {
	case blank == 0:
	case !in.SourcesNamed:
		rep.Blanks = "There is no sources.csv: none of the " + words.Count(len(in.Sources), "table", "tables") + " says which drawing and revision it was taken from."
	default:
		rep.Blanks = "The drawing, revision, date or author is missing for: "
		n := 0
		for _, l := range rep.Sources {
			if !l.Blank {
				continue
			}
			if n++; n > 12 {
				rep.Blanks += " and " + strconv.Itoa(blank-12) + " more"
				break
			}
			if n > 1 {
				rep.Blanks += ", "
			}
			rep.Blanks += words.Name(l.File)
		}
		rep.Blanks += "."
	}
}

// need puts the bays in order of need.
func (rep *Report) need() {
	bays, of := map[*finding.Finding]*Bay{}, map[*finding.Finding]*Finding{}
	var fs []*finding.Finding
	for i := range rep.Bays {
		for _, f := range rep.Bays[i].All {
			fs = append(fs, f.Finding)
			bays[f.Finding], of[f.Finding] = &rep.Bays[i], f
		}
	}
	type key struct {
		storey, bay string
		none        bool
	}
	where := map[key]*Bay{}
	at := func(storey string, bay *string) key {
		k := key{storey: storey, none: bay == nil}
		if bay != nil {
			k.bay = *bay
		}
		return k
	}
	for _, f := range fs {
		where[at(f.Storey, f.Bay)] = bays[f]
	}
	for _, n := range finding.Needs(fs, func(f *finding.Finding) bool { return of[f].Standing.open() }) {
		need := Need{Bay: where[at(n.Storey, n.Bay)], Points: n.Points}
		if n.Worst != nil {
			need.First = of[n.Worst]
		}
		rep.Need = append(rep.Need, need)
	}
}

// agreed lists what stands as agreed, by storey and bay; what was agreed since last time first.
func (rep *Report) agreed() {
	for i := range rep.Bays {
		for _, f := range rep.Bays[i].All {
			if f.Standing.Mark == MarkAgreed {
				rep.Agreed = append(rep.Agreed, f)
			}
		}
	}
	slices.SortStableFunc(rep.Agreed, func(a, b *Finding) int {
		fresh := func(f *Finding) int {
			if f.Standing.Fresh {
				return 0
			}
			return 1
		}
		return cmp.Compare(fresh(a), fresh(b))
	})
}

func (rep *Report) pardoned(r *finding.Result) {
	rep.PardonedAll = len(r.ExcusedPairs)
	for _, p := range r.ExcusedPairs[:min(len(r.ExcusedPairs), mostPardoned)] {
		rep.Pardoned = append(rep.Pardoned, Pardoned{words.Name(p.A), words.Name(p.B), words.Clean(p.Why), words.Up(p.Depth)})
	}
}

// mostTold is how many entries of the register that are to be put right are listed one by one.
const mostTold = 40

// toldOf says what is to be put right in the register, each entry by the number and the two zones of its problem; what is of the register
// as a whole is said whatever there is besides.
func (rep *Report) toldOf(o *register.Outcome) {
	if o == nil {
		return
	}
	at := map[string]*Finding{}
	for i := range rep.Bays {
		for _, f := range rep.Bays[i].All {
			at[f.ID] = f
		}
	}
	said, all := 0, 0
	var last []string
	for _, t := range o.Told {
		if t.ID == "" {
			last = append(last, words.Clean(t.Text))
			continue
		}
		if all++; all > mostTold {
			continue
		}
		said++
		name := words.Clean(t.ID)
		if f := at[t.ID]; f != nil {
			name = f.Number + ", " + f.Between + " (" + name + ")"
		}
		rep.Told = append(rep.Told, name+": "+words.Clean(t.Text))
	}
	if all > said {
		rep.Told = append(rep.Told, "and "+strconv.Itoa(all-said)+" more entries of the register")
	}
	rep.Told = append(rep.Told, last...)
}
