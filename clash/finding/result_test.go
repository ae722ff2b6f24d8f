package finding_test

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"voidline/clash/finding"
)

func TestPairCounts(t *testing.T) {
	bay, b := "X", "L1"
	f := func(a, at, arun, b, bt, brun string, k finding.Kind) finding.Finding {
		return finding.Finding{A: a, ATrade: at, ARun: arun, B: &b, BTrade: bt, BRun: brun, Kind: k, Bay: &bay}
	}
	fs := []finding.Finding{
		f("T1-1", "tray", "T1", "D1-1", "duct", "D1", finding.Overlap),
		f("D1-2", "duct", "D1", "T1-1", "tray", "T1", finding.Tight), // the same two runs the other way round
		f("D1-2", "duct", "D1", "T1-1", "tray", "", finding.Tight),   // a zone, not the run of its name
		f("T1-1", "tray", "T1", "D1-1", "duct", "D1", finding.Overlap),
		{A: b, ATrade: "duct", Kind: finding.Access, Bay: &bay},
		{A: b, ATrade: "duct", Kind: finding.Access}, // outside every bay
	}
	fs[3].Storey = "2"
	want := []finding.PairCount{
		{A: "duct", Counts: finding.Counts{Access: 2}, Problems: 2},
		{A: "duct", B: "tray", Counts: finding.Counts{Overlap: 2, Tight: 2}, Problems: 3},
	}
	if d := cmp.Diff(want, finding.PairCounts(fs)); d != "" {
		t.Errorf("PairCounts (-want +got):\n%s", d)
	}
}

// The problems of an answer are numbered in the order of its findings, each once; what only a later answer has goes on from there.
func TestNumbers(t *testing.T) {
	f := func(problem string) finding.Finding { return finding.Finding{ProblemID: problem} }
	whole := []finding.Finding{f("c"), f("a"), f("c"), f("b"), f("a")}
	narrowed := []finding.Finding{f("b"), f("d")}
	if d := cmp.Diff(map[string]int{"c": 1, "a": 2, "b": 3, "d": 4}, finding.Numbers(whole, narrowed)); d != "" {
		t.Errorf("Numbers (-want +got):\n%s", d)
	}
	if n := finding.CountProblems(whole); n != 3 {
		t.Errorf("%d problems, want 3", n)
	}
}
