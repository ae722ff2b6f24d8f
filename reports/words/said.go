package words

import (
	"slices"

	"voidline/clash/finding"
	"voidline/clash/rules"
)

// Said is one finding in words, part by part, for those who lay it out themselves. All of it is clean; a part
// that there is nothing to say about is "".
type Said struct {
	ID     string
	What   string   // overlap 36; tight, 4 short; access, 229 short
	A, B   string   // the two zones, each with trade, run and row
	Where  string   // the place by the grid
	Level  string   // FFL+2964
	There  string   // what there is, what is needed, what is lacking
	Rule   string   // with its basis
	ToMove string   // what is to be moved, and by which least moves: an instruction
	Rest   []string // Also and Notes, as further lines
	Notes  []string // heights only, and what a reader must know
}

// Say puts a finding into words.
func Say(f *finding.Finding) Said {
	s := Said{
		ID: Clean(f.ID), What: what(f), A: zone(f.A, f.ATrade, f.ARun, f.ARow), Where: where(f.At), Level: Level(f.At.Level),
		There: there(f), ToMove: toMove(f), Rest: rest(f), Notes: notes(f),
	}
	if f.B != nil {
		s.B = zone(*f.B, f.BTrade, f.BRun, f.BRow)
	}
	if f.Rule != "" {
		s.Rule = rule(f.Rule, f.Basis)
	}
	return s
}

// What says a finding's kind and amount: overlap 36; tight, 4 short; access, 229 short.
func What(f *finding.Finding) string { return what(f) }

// There says what there is, what is needed and what is lacking.
func There(f *finding.Finding) string { return there(f) }

// ToMove says what is to be moved and by how much, as an instruction; "" where the record names nobody.
func ToMove(f *finding.Finding) string { return toMove(f) }

// Between names the two zones of a finding, short.
func Between(f *finding.Finding) string {
	if f.B == nil {
		return Name(f.A)
	}
	return Name(f.A) + " / " + Name(*f.B)
}

// AnyMove lists the least moves, any one of which clears the finding: up 41, or left 250. "" for none.
func AnyMove(f *finding.Finding) string { return moves(f, f.GivesWay) }

// Where says a place in words.
func Where(s finding.Spot) string { return where(s) }

// Bay names a finding's bay with its storey: bay A-B/1-2, Level 1.
func Bay(f *finding.Finding) string { return bayName(f.Bay, f.Storey) }

// Basis says what a rule rests on.
func Basis(b rules.Basis) string { return basis(b) }

// OneProblem says what counts as one problem.
const OneProblem = "Findings between the same two runs in a bay count as one problem (a run that branches: by branch; a run through one beam, wall or slab: in all bays)"

// Kinds counts findings by kind: 2 overlaps, 1 tight gap.
func Kinds(c finding.Counts) string { return kinds(c) }

// Bundle is findings of one bay that are said together: of one run or zone against one kind of thing. Alone,
// a finding has no heading.
type Bundle struct {
	Heading  string   // run air 2 (ductwork) against 6 light fittings: 7 overlaps
	Common   []string // what holds for all of them: the rule, what is to move
	Findings []*finding.Finding
	// RuleSaid and WaySaid tell of each finding whether Common says its rule, and what is to move.
	RuleSaid, WaySaid []bool
}

// Bundles sorts the findings of a bay into bundles, worst first.
func Bundles(fs []*finding.Finding) []Bundle {
	all := slices.Clone(fs)
	slices.SortStableFunc(all, finding.Worse)
	shown := map[*finding.Finding]bool{}
	for _, f := range all {
		shown[f] = true
	}
	var out []Bundle
	for _, g := range gather(all) {
		grp, _ := g.group(shown)
		b := Bundle{Heading: grp.Heading, Common: grp.Common, Findings: g.fs, RuleSaid: make([]bool, len(g.fs)), WaySaid: make([]bool, len(g.fs))}
		if b.Heading != "" {
			most := g.rule()
			// Common is the rule, where there is one, and what is to move, where it is always the same.
			lines := 0
			if most.Rule != "" {
				lines = 1
			}
			way := len(b.Common) > lines
			for i, f := range g.fs {
				b.RuleSaid[i] = f.Rule == most.Rule && (f.Basis == most.Basis || f.Basis == rules.Geometry)
				b.WaySaid[i] = way
			}
		}
		out = append(out, b)
	}
	return out
}

// Parts of an answer, for a report that has an order of its own. Of each table at most most rows are said; less
// than 0: all.

// Missing says what is missing from the answer, nothing where nothing is.
func Missing(r *finding.Result) []Part { return missing(r) }

// Checked says what was checked.
func Checked(r *finding.Result) Section { return checked(r) }

// Joints lists the joints of runs to put right.
func Joints(r *finding.Result, most int) Section { return joints(r, allOr(most, len(r.Joints))) }

// BuildersWork lists the holes that are wanted.
func BuildersWork(r *finding.Result, most int) Section {
	return buildersWork(r, allOr(most, len(r.BuildersWork)))
}

// ToBeProtected lists what runs under what may harm it.
func ToBeProtected(r *finding.Result, most int) Section {
	return toBeProtected(r, allOr(most, len(r.ToBeProtected)))
}

// Excused lists why things that meet are no findings.
func Excused(r *finding.Result) Section { return excused(r) }

// Surveyed says what was found on site elsewhere than drawn; it has no parts where there is no survey.
func Surveyed(r *finding.Result) Section { return surveyed(r, mostFindings) }

// InRoom says what lies under the ceilings and what passes through them; it has no parts where nothing does.
func InRoom(r *finding.Result) Section { return inRoom(r) }

// Unchecked lists what could not be checked.
func Unchecked(r *finding.Result) Section { return unchecked(r) }

// Issues lists problems or warnings of the input, the first few.
func Issues(all []finding.Issue) List { return issues(all) }

func allOr(most, all int) int {
	if most < 0 {
		return all
	}
	return most
}
