package finding_test

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"voidline/clash/finding"
)

// Bay A: one problem of two findings, a gap (1) and a small overlap (3): its worst counts, 3. Bay B: a structure (8) that is agreed, and
// two gaps of two problems: 1 + 1 = 2. Bay C: a support, 1. Outside every bay: a required gap and nothing else, 3; its worst is no
// overlap, so A comes before it. Level 2's bay A is another bay than Level 1's.
func TestNeedsOfBays(t *testing.T) {
	f := func(id, problem, cost, bay, storey string, kind finding.Kind, short float64) *finding.Finding {
		f := &finding.Finding{ID: id, ProblemID: problem, Cost: cost, Storey: storey, Kind: kind, Short: short}
		if bay != "" {
			f.Bay = &bay
		}
		return f
	}
	agreed := f("b1", "P3", "structure", "B", "1", finding.Overlap, 90)
	fs := []*finding.Finding{
		f("a1", "P1", "gap", "A", "1", finding.Tight, 50), f("a2", "P1", "small", "A", "1", finding.Overlap, 5),
		agreed, f("b2", "P4", "gap", "B", "1", finding.Tight, 5), f("b3", "P5", "gap", "B", "1", finding.Tight, 6),
		f("c1", "P6", "support", "C", "1", finding.Access, 5), f("n1", "P7", "gap required", "", "1", finding.Tight, 5),
		f("d1", "P8", "fixed", "A", "2", finding.Overlap, 5),
	}
	type line struct {
		bay, storey  string
		points, open int
		worst        string
	}
	var got []line
	for _, n := range finding.Needs(fs, func(f *finding.Finding) bool { return f != agreed }) {
		bay := "outside"
		if n.Bay != nil {
			bay = *n.Bay
		}
		got = append(got, line{bay, n.Storey, n.Points, n.Open, n.Worst.ID})
	}
	want := []line{
		{"A", "2", 8, 1, "d1"}, {"A", "1", 3, 1, "a2"}, {"outside", "1", 3, 1, "n1"}, {"B", "1", 2, 2, "b3"}, {"C", "1", 1, 1, "c1"},
	}
	if d := cmp.Diff(want, got, cmp.AllowUnexported(line{})); d != "" {
		t.Errorf("(-want +got):\n%s", d)
	}
	// A bay of which all is agreed comes last, with no need.
	if n := finding.Needs(fs[2:3], func(*finding.Finding) bool { return false }); len(n) != 1 || n[0].Points != 0 || n[0].Worst != nil {
		t.Errorf("agreed: %+v", n)
	}
}
