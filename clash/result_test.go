package clash

import (
	"testing"

	"github.com/google/go-cmp/cmp"
)

func TestPairCounts(t *testing.T) {
	bay, b := "X", "L1"
	f := func(a, at, arun, b, bt, brun string, k Kind) Finding {
		return Finding{A: a, ATrade: at, ARun: arun, B: &b, BTrade: bt, BRun: brun, Kind: k, Bay: &bay}
	}
	fs := []Finding{
		f("T1-1", "tray", "T1", "D1-1", "duct", "D1", Overlap),
		f("D1-2", "duct", "D1", "T1-1", "tray", "T1", Tight), // the same two runs the other way round
		f("D1-2", "duct", "D1", "T1-1", "tray", "", Tight),   // a zone, not the run of its name
		f("T1-1", "tray", "T1", "D1-1", "duct", "D1", Overlap),
		{A: b, ATrade: "duct", Kind: Access, Bay: &bay},
		{A: b, ATrade: "duct", Kind: Access}, // outside every bay
	}
	fs[3].Storey = "2"
	want := []PairCount{
		{A: "duct", Counts: Counts{Access: 2}, Problems: 2},
		{A: "duct", B: "tray", Counts: Counts{Overlap: 2, Tight: 2}, Problems: 3},
	}
	if d := cmp.Diff(want, PairCounts(fs)); d != "" {
		t.Errorf("PairCounts (-want +got):\n%s", d)
	}
}

// The problems of an answer are numbered in the order of its findings, each once; what only a later answer has goes on from there.
func TestNumbers(t *testing.T) {
	f := func(problem string) Finding { return Finding{ProblemID: problem} }
	whole := []Finding{f("c"), f("a"), f("c"), f("b"), f("a")}
	narrowed := []Finding{f("b"), f("d")}
	if d := cmp.Diff(map[string]int{"c": 1, "a": 2, "b": 3, "d": 4}, Numbers(whole, narrowed)); d != "" {
		t.Errorf("Numbers (-want +got):\n%s", d)
	}
	if n := CountProblems(whole); n != 3 {
		t.Errorf("%d problems, want 3", n)
	}
}
