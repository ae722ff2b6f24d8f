package meeting

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"voidline/clash/finding"
	"voidline/clash/register"
)

func to[T any](v T) *T { return &v }

// finding is a too tight gap between a (of a run, or none) of ductwork and b of pipework, which gives way.
func found(a, run, b, bay string, short float64) finding.Finding {
	return finding.Finding{
		ID: finding.ID(a, b, ""), Kind: finding.Tight, A: a, ARun: run, ATrade: "ductwork", AKind: "duct", B: to(b), BTrade: "pipework", BKind: "pipe",
		Bay: to(bay), Asked: 25, Gap: 25 - short, Short: short, Rule: "insulation", Basis: "practice",
		GivesWay: b, Moves: []finding.Move{{Zone: b, Direction: "up", By: short}},
	}
}

func result(fs ...finding.Finding) *finding.Result {
	r := &finding.Result{Voidline: "0.1", Project: "job", Findings: fs, Checked: finding.Checked{Storeys: 1}}
	problems := map[string]bool{}
	for i := range fs {
		tally(&r.Counts, fs[i].Kind)
		problems[fs[i].Problem()] = true
	}
	r.Problems = len(problems)
	return r
}

func update(t *testing.T, rows []register.Row, r *finding.Result, on register.Date) *register.Outcome {
	t.Helper()
	o, err := register.Update(rows, r, register.Options{Date: on, Touch: 1, Zone: func(string) bool { return true }}) // nothing is renamed
	if err != nil {
		t.Fatal(err)
	}
	return o
}

// set writes a person's cell of the row of a finding.
func set(t *testing.T, o *register.Outcome, id string, c register.Column, text string) {
	t.Helper()
	for i := range o.Rows {
		if o.Rows[i].Cells[register.ColFinding] == id {
			o.Rows[i].Cells[c] = text
			return
		}
	}
	t.Fatalf("no row for %s", id)
}

// TestProblemsAreCounted: a duct drawn as three rows against one pipe in a bay is one problem.
func TestProblemsAreCounted(t *testing.T) {
	rep := Make(Input{Date: "2026-03-09", Result: result(
		found("D-1", "SA1", "P-1", "A", 5), found("D-2", "SA1", "P-1", "A", 9), found("D-3", "SA1", "P-1", "A", 7),
		found("D-4", "SA1", "P-1", "B", 3), found("D-5", "", "P-2", "B", 2),
	)})
	if rep.Problems != 3 || rep.Open != 3 || len(rep.Bays) != 2 {
		t.Errorf("%d problems, %d open, %d bays, want 3, 3, 2", rep.Problems, rep.Open, len(rep.Bays))
	}
	if len(rep.Whose) != 1 || rep.Whose[0].Trade != "pipework" || rep.Whose[0].Problems != 3 || rep.Whose[0].Tight != 5 || rep.Whose[0].Worst.A != "D-2" {
		t.Errorf("whose it is: %+v", rep.Whose)
	}
	if len(rep.Pairs) != 1 || rep.Pairs[0].Problems != 3 || rep.PairSum.Problems != 3 || rep.PairSum.Tight != 5 {
		t.Errorf("pairs: %+v, all %+v", rep.Pairs, rep.PairSum)
	}
	// The three of one problem share a number, as on the plan.
	var numbers []string
	for _, f := range rep.Bays[0].All {
		numbers = append(numbers, f.Number)
	}
	if d := cmp.Diff([]string{"1", "1", "1"}, numbers); d != "" {
		t.Error(d)
	}
	if rep.Plain != 3 || len(rep.Decisions) != 0 {
		t.Errorf("%d plain, decisions %+v, want 3 and none", rep.Plain, rep.Decisions)
	}
	if rep.Since.Known || rep.Chart != nil {
		t.Error("something is said of last time, and there is none")
	}
}

func TestSinceByRegister(t *testing.T) {
	a, b, c, d := found("D-1", "SA1", "P-1", "A", 5), found("D-2", "", "P-2", "A", 6), found("D-3", "", "P-3", "B", 7), found("D-4", "", "P-4", "B", 8)
	first := update(t, nil, result(a, b, c, d), "2026-03-02")
	set(t, first, b.ID, register.ColState, "agreed")
	set(t, first, b.ID, register.ColReason, "as it is")
	set(t, first, b.ID, register.ColAgreedBy, "A. K.")
	set(t, first, d.ID, register.ColOwner, "M. H.")
	set(t, first, d.ID, register.ColDue, "2026-03-05")

	// c is gone; e is another piece of the run of a against the same pipe; f is new.
	e, f := found("D-1b", "SA1", "P-1", "A", 2), found("D-9", "", "P-9", "C", 1)
	r := result(a, b, d, e, f)
	rep := Make(Input{Date: "2026-03-09", Result: r, Register: update(t, first.Rows, r, "2026-03-09")})
	s := rep.Since
	if want := (Moved{New: 1, Cleared: 1, Agreed: 1, Open: 2}); s.Problems != want {
		t.Errorf("problems: %+v, want %+v: a new piece of an old problem is no new problem", s.Problems, want)
	}
	if want := (Moved{New: 2, Cleared: 1, Agreed: 1, Open: 2}); s.Findings != want {
		t.Errorf("findings: %+v, want %+v", s.Findings, want)
	}
	if len(s.Cleared) != 1 || s.Cleared[0].ID != c.ID || s.Cleared[0].Between != "D-3 / P-3" || s.Cleared[0].Was != "tight, 7 short" {
		t.Errorf("cleared: %+v", s.Cleared)
	}
	if rep.Open != 3 {
		t.Errorf("%d open, want 3: the agreed one is not", rep.Open)
	}
	// Of the four problems of the first week one is agreed and one is cleared; f is one more. What is agreed is not open.
	if d := cmp.Diff([]Week{{"2026-03-02", 4}, {"2026-03-09", 3}}, s.Weeks); d != "" {
		t.Errorf("weeks (-want +got):\n%s", d)
	}
	if rep.Chart == nil || rep.Chart.Desc != "2026-03-02: 4 open; 2026-03-09: 3 open." {
		t.Errorf("the chart says %v", rep.Chart)
	}
	if w := rep.Whose[0]; w.Problems != 3 || w.New != 1 || w.Agreed != 1 {
		t.Errorf("whose it is: %+v, want 3 open, 1 of them new, 1 agreed", w)
	}
	// M. H. has d, four days past its date; the other two are nobody's. b was his neighbour's in name alone: it is agreed.
	owners := []register.Owner{{Name: "M. H.", Open: 1, Overdue: 1, Days: 4, Due: "2026-03-05", Weeks: []int{1, 1}}, {Open: 2, Weeks: []int{3, 2}}}
	if d := cmp.Diff(owners, rep.Owners); d != "" {
		t.Errorf("owners (-want +got):\n%s", d)
	}
	if len(rep.Late) != 1 || rep.Late[0].Owner != "M. H." || rep.Late[0].Days != 4 || rep.Late[0].First.A != "D-4" {
		t.Errorf("late: %+v", rep.Late)
	}
	if len(rep.Agreed) != 1 || rep.Agreed[0].Standing.Reason != "as it is" || rep.Agreed[0].Standing.AgreedBy != "A. K." {
		t.Errorf("agreed: %+v", rep.Agreed)
	}
	// What is past its date is asked about.
	if len(rep.Decisions) != 1 || rep.Decisions[0].why != whyLate || rep.Decisions[0].Who[0] != "M. H." || rep.Decisions[0].Days != 4 || rep.Decisions[0].When() != "2026-03-05, overdue 4 days" {
		t.Errorf("decisions: %+v", rep.Decisions)
	}
}

// TestOwnersSaid: one problem, two pieces of a run against a pipe, of which one finding has an owner: it is counted with him and as unassigned, and that
// is said where it makes the sum of the owners more than what is open, not otherwise.
func TestOwnersSaid(t *testing.T) {
	a, b := found("D-1", "SA1", "P-1", "A", 5), found("D-1b", "SA1", "P-1", "A", 2)
	first := update(t, nil, result(a, b), "2026-03-02")
	for _, all := range []bool{false, true} {
		set(t, first, a.ID, register.ColOwner, "M. H.")
		if all {
			set(t, first, b.ID, register.ColOwner, "M. H.")
		}
		rep := Make(Input{Date: "2026-03-09", Result: result(a, b), Register: update(t, first.Rows, result(a, b), "2026-03-09")})
		if said := rep.OwnersSaid(); rep.Open != 1 || len(rep.Owners) != map[bool]int{false: 2, true: 1}[all] || (said == "") != all {
			t.Errorf("both his: %v: %d open, owners %+v, said %q", all, rep.Open, rep.Owners, said)
		}
	}
}

func TestBackIsDecided(t *testing.T) {
	a := found("D-1", "", "P-1", "A", 5)
	first := update(t, nil, result(a), "2026-03-02")
	set(t, first, a.ID, register.ColState, "agreed")
	set(t, first, a.ID, register.ColReason, "as it is")
	set(t, first, a.ID, register.ColAgreedBy, "A. K.")
	second := update(t, first.Rows, result(a), "2026-03-03")
	worse := found("D-1", "", "P-1", "A", 20)
	rep := Make(Input{Date: "2026-03-09", Result: result(worse), Register: update(t, second.Rows, result(worse), "2026-03-09")})
	if rep.Since.Problems != (Moved{Back: 1}) || rep.Bays[0].All[0].Mark() != MarkBack {
		t.Errorf("since: %+v, mark %s, want back", rep.Since.Problems, rep.Bays[0].All[0].Mark())
	}
	if len(rep.Decisions) != 1 || rep.Decisions[0].why != whyBack || rep.Decisions[0].Who[0] != "A. K." {
		t.Errorf("decisions: %+v, want that whoever agreed is asked", rep.Decisions)
	}
}

func TestSinceByAnswer(t *testing.T) {
	old := result(found("D-1", "", "P-1", "A", 5), found("D-2", "", "P-2", "A", 6), found("D-3", "", "P-3", "A", 6))
	r := result(found("D-1", "", "P-1", "A", 9), found("D-2", "", "P-2", "A", 2), found("D-7", "", "P-7", "B", 2))
	c, err := register.Compare(old, r, register.CompareOptions{Touch: 1, Zone: func(string) bool { return true }})
	if err != nil {
		t.Fatal(err)
	}
	rep := Make(Input{Date: "2026-03-09", Result: r, Since: c})
	if want := (Moved{New: 1, Cleared: 1, Open: 2}); rep.Since.Problems != want {
		t.Errorf("problems: %+v, want %+v", rep.Since.Problems, want)
	}
	if rep.Since.Worse != 1 || rep.Since.Better != 1 {
		t.Errorf("%d worse, %d better, want 1 and 1", rep.Since.Worse, rep.Since.Better)
	}
	if f := rep.Bays[0].All[0]; f.Standing.Turn != "worse by 4" {
		t.Errorf("%s is %q, want worse by 4", f.A, f.Standing.Turn)
	}
	if len(rep.Since.Weeks) != 2 || rep.Since.Weeks[0].Open != 3 || rep.Since.Weeks[1].Open != 3 || len(rep.Since.Worsened) != 1 {
		t.Errorf("weeks: %+v", rep.Since.Weeks)
	}
}

func TestDecisions(t *testing.T) {
	steel := func(n, run string) finding.Finding {
		f := found(n, run, "UB-1", "A", 50)
		f.Kind, f.BTrade, f.BKind, f.Depth, f.GivesWay = finding.Overlap, "steel", "beam", &finding.Depth{Vertical: 25}, n
		f.Moves = []finding.Move{{Zone: n, Direction: "down", By: 50}}
		return f
	}
	stuck := found("D-5", "", "P-5", "C", 3)
	stuck.Moves = nil
	law := found("D-6", "", "P-6", "C", 3)
	law.Basis = "law"
	access := finding.Finding{ID: finding.ID("V-1", "", "hatch"), Kind: finding.Access, A: "V-1", ATrade: "ductwork", Bay: to("D"), GivesWay: "V-1", Basis: "geometry"}
	rep := Make(Input{Date: "2026-03-09", Result: result(
		steel("D-1", "SA1"), steel("D-2", "SA1"), steel("D-3", ""), steel("D-4", ""), stuck, law, access, found("D-8", "", "P-8", "C", 1),
	)})
	type line struct {
		why      int
		about    string
		who      string
		problems int
	}
	var got []line
	for i := range rep.Decisions {
		d := &rep.Decisions[i]
		got = append(got, line{d.why, d.About, strings.Join(d.Who, ", "), d.Problems})
	}
	want := []line{
		{whyStructure, "2 of kind duct (ductwork) against steel", "structural engineer, ductwork", 2},
		{whyStructure, "run SA1 (ductwork) against steel", "structural engineer, ductwork", 1},
		{whyNoMove, "P-5 (pipework) against ductwork", "pipework, ductwork, coordinator", 1},
		{whyAccess, "V-1 (ductwork)", "ductwork, ceilings", 1},
		{whyLaw, "P-6 (pipework) against ductwork", "designer, pipework", 1},
	}
	if d := cmp.Diff(want, got, cmp.AllowUnexported(line{})); d != "" {
		t.Errorf("decisions (-want +got):\n%s", d)
	}
	if rep.Plain != 1 {
		t.Errorf("%d plain, want 1", rep.Plain)
	}
}

func TestBaysInOrderOfPlace(t *testing.T) {
	f := func(a, bay, storey string) finding.Finding {
		f := found(a, "", "P"+a, bay, 5)
		f.Storey = storey
		if bay == "" {
			f.Bay = nil
		}
		return f
	}
	rep := Make(Input{Date: "2026-03-09", Order: []string{"Ground", "First"}, Result: result(
		f("1", "B-10", "First"), f("2", "B-9", "First"), f("3", "", "Ground"), f("4", "B-1", "Ground"),
	)})
	var got []string
	for _, b := range rep.Bays {
		got = append(got, b.Storey+": "+b.Name)
	}
	if d := cmp.Diff([]string{"Ground: B-1", "Ground: outside every bay", "First: B-9", "First: B-10"}, got); d != "" {
		t.Errorf("(-want +got):\n%s", d)
	}
}

func TestBlankSources(t *testing.T) {
	full := Source{"duct.csv", "M-1", "C1", "2026-03-01", "J. N."}
	for _, test := range []struct {
		name  string
		named bool
		list  []Source
		want  string
	}{
		{"all said", true, []Source{full}, ""},
		{"none named", false, []Source{{File: "duct.csv"}, {File: "bays.csv"}}, "There is no sources.csv: none of the 2 tables says which drawing and revision it was taken from."},
		{"one lacks a revision", true, []Source{full, {File: "tray.csv", Drawing: "E-1", Date: "x", By: "y"}}, "The drawing, revision, date or author is missing for: tray.csv."},
	} {
		if got := Make(Input{Date: "2026-03-09", Result: result(), Sources: test.list, SourcesNamed: test.named}).Blanks; got != test.want {
			t.Errorf("%s: %q, want %q", test.name, got, test.want)
		}
	}
}

func TestNoAmountIsNoNumber(t *testing.T) {
	a := found("D-1", "", "P-1", "A", 5)
	o := update(t, nil, result(a), "2026-03-02")
	if !math.IsNaN(o.Entries[0].Agreed) {
		t.Fatalf("the register gives an amount agreed where there is none: %v", o.Entries[0].Agreed)
	}
	rep := Make(Input{Date: "2026-03-02", Result: result(a), Register: o})
	if s := rep.Bays[0].All[0].Standing; s.Amount != "" {
		t.Errorf("amount %q, want none", s.Amount)
	}
}

// TestSupportsDecided: a support that has a clear place along its run is the fitter's to set there; one that has none is
// a question, of the row's trade and of what is in the way.
func TestSupportsDecided(t *testing.T) {
	by := 55.0
	support := func(b, trade string, held finding.Held) finding.Finding {
		f := found("supports of T-1", "T1", b, "A", 12)
		f.Kind, f.ATrade, f.AKind, f.BTrade, f.GivesWay, f.Moves, f.Support = finding.Overlap, "containment", "support", trade, "T-1", nil, &held
		return f
	}
	rep := Make(Input{Date: "2026-03-09", Result: result(
		support("D-1", "ductwork", finding.Held{Part: "rod", At: 300, Count: 1, Of: 3, Can: 1, Move: &by}),
		support("D-2", "ductwork", finding.Held{Part: "rod", At: 900, Count: 1, Of: 3}),
		support("SB-1", "steel", finding.Held{Part: "rod", At: 1500, Count: 1, Of: 3, Can: 1, Two: []float64{84, 73}}),
		support("SB-2", "steel", finding.Held{Part: "rod", At: 2100, Count: 1, Of: 3}),
	)})
	var got []string
	for i := range rep.Decisions {
		d := &rep.Decisions[i]
		got = append(got, d.About+": "+d.Size()+": "+strings.Join(d.Who, ", "))
	}
	want := []string{
		"supports of run T1 (containment) against ductwork: problem 2: 1 overlap: containment, ductwork",
		"supports of run T1 (containment) against steel: problem 4: 1 overlap: containment, structural engineer",
	}
	if d := cmp.Diff(want, got); d != "" {
		t.Errorf("decisions (-want +got):\n%s", d)
	}
	if rep.Plain != 2 {
		t.Errorf("%d problems want no decision, want the 2 that may be set elsewhere", rep.Plain)
	}
}

// TestReplies: what came home is said with its finding, the newest of it, and that something is proposed.
func TestReplies(t *testing.T) {
	const cell = "2026-03-04 B: two; 2026-03-01 C: one; status agreed; no day: three; 2026-03-05 D: four"
	if got, want := replies(cell), "1 earlier in the register; 2026-03-01 C: one; 2026-03-04 B: two; 2026-03-05 D: four"; got != want {
		t.Errorf("replies %q, want %q", got, want)
	}
	s := Standing{Mark: MarkOpen, Replies: "2026-03-04 B: two", Proposed: true}
	if got := s.Notes(); !slices.Equal(got, []string{"replies: 2026-03-04 B: two", proposed}) {
		t.Errorf("notes %q", got)
	}
	// With a question stand those of its findings, each with its number, the first three.
	d := Decision{}
	if got := d.Replies(); got != "" {
		t.Errorf("a question of nothing has the replies %q", got)
	}
	for i, r := range []string{"", "B: two", "C: three", "", "D: five", "E: six"} {
		d.Findings = append(d.Findings, &Finding{Number: strconv.Itoa(i + 1), Standing: Standing{Replies: r}})
	}
	if got, want := d.Replies(), "Replies: problem 2, B: two; problem 3, C: three; problem 5, D: five; and about 1 more finding"; got != want {
		t.Errorf("the replies to a question: %q, want %q", got, want)
	}
}

// TestAgainstBoth: with a register and an answer of last time it is said which figure is from which.
func TestAgainstBoth(t *testing.T) {
	res := result(found("a", "", "b", "A", 5))
	o, err := register.Update(nil, res, register.Options{Date: "2026-03-02", Touch: 1})
	if err != nil {
		t.Fatal(err)
	}
	c, err := register.Compare(res, res, register.CompareOptions{Touch: 1})
	if err != nil {
		t.Fatal(err)
	}
	for _, test := range []struct {
		since *register.Comparison
		want  string
	}{
		{nil, "the register as it was before 2026-03-09"},
		{c, "the register as it was before 2026-03-09 (new, back, agreed and cleared); worse and better are against the result given with --since"},
	} {
		if got := Make(Input{Result: res, Date: "2026-03-09", Register: o, Since: test.since}).Since.Against; got != test.want {
			t.Errorf("against %q, want %q", got, test.want)
		}
	}
}

// TestWorseByTheRegister: with the register alone what lacks more than it had is worse. The register holds whole millimetres, up: 5.4 was
// written as 6, and 6.5 now is 0.5 more, no more than the touch tolerance; 9 are 3 more.
func TestWorseByTheRegister(t *testing.T) {
	a, b := found("D-1", "", "P-1", "A", 5.4), found("D-2", "", "P-2", "A", 5.4)
	first := update(t, nil, result(a, b), "2026-03-02")
	r := result(found("D-1", "", "P-1", "A", 6.5), found("D-2", "", "P-2", "A", 9))
	rep := Make(Input{Date: "2026-03-09", Result: r, Register: update(t, first.Rows, r, "2026-03-09")})
	if len(rep.Since.Worsened) != 1 || rep.Since.Worsened[0].A != "D-2" || rep.Since.Worsened[0].Standing.Turn != "worse by 3" || rep.Since.Worse != 1 || rep.Since.Better != 0 {
		t.Errorf("worse: %d, better: %d, %+v", rep.Since.Worse, rep.Since.Better, rep.Since.Worsened)
	}
}

// TestNeedOfBays: bays in order of need, each the bay of the report; what is agreed counts for nothing.
func TestNeedOfBays(t *testing.T) {
	over := found("D-3", "", "P-3", "B", 5)
	over.Kind, over.Cost = finding.Overlap, "structure"
	rep := Make(Input{Date: "2026-03-09", Result: result(found("D-1", "", "P-1", "A", 5), found("D-2", "", "P-2", "A", 6), over)})
	if len(rep.Need) != 2 || rep.Need[0].Name != "B" || rep.Need[0].Points != 8 || rep.Need[1].Name != "A" || rep.Need[1].Points != 2 || rep.Need[1].First.A != "D-2" {
		t.Errorf("need: %+v", rep.Need)
	}
	if rep.Need[0].Bay != &rep.Bays[1] {
		t.Error("a need is of another bay than the report's")
	}
}

// TestSectionsAreNumbered: each section has a title and its own number, in order, whether or not what may not fit was asked for.
func TestSectionsAreNumbered(t *testing.T) {
	for _, fit := range []bool{false, true} {
		r := result()
		if fit {
			r.Tolerance = &finding.ToleranceUsed{}
		}
		rep := Make(Input{Date: "2026-03-09", Result: r})
		want := 16
		if fit {
			want = 17
		}
		if len(rep.Sections) != want || rep.Called(Today).Number != 1 || rep.Called(Before).Number != want || (rep.Called(Fit).Number > 0) != fit {
			t.Errorf("fit %v: %+v", fit, rep.Sections)
		}
	}
}
