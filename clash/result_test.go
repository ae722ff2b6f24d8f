package clash

import (
	"context"
	"errors"
	"sync/atomic"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"voidline/clash/rules"
	"voidline/void"
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

// However many workers there are, things come in order and each once; the reader's error or a done context ends it at once, and nothing is made after it.
func TestStreamWhateverWorkers(t *testing.T) {
	p := void.New("", nil)
	p.Resolve()
	for _, workers := range []int{1, 2, 7} {
		c := Open(p, Options{Workers: workers})
		for _, n := range []int{0, 1, wordedBatch - 1, wordedBatch, wordedBatch + 1, 20*wordedBatch + 3} {
			for _, ends := range []int{n + 1, n / 2, 1} { // how many are read before it is ended; beyond n: it is not
				for _, cancelled := range []bool{false, true} {
					ctx, cancel := context.WithCancel(context.Background())
					enough := errors.New("enough")
					over := atomic.Bool{}
					read := 0
					err := stream(ctx, c, n, func(_ *rules.Reader, k int) int {
						if k%wordedBatch == wordedBatch/2 {
							time.Sleep(time.Millisecond) // so that some are being made when it ends
						}
						if over.Load() {
							t.Error("made after the end")
						}
						return k
					}, func(list []int) error {
						for _, k := range list {
							if k != read {
								t.Fatalf("%d workers, of %d: %d comes as number %d", workers, n, k, read)
							}
							read++
						}
						if read >= ends && cancelled {
							cancel()
						} else if read >= ends {
							return enough
						}
						return nil
					})
					over.Store(true)
					cancel()
					want, most := error(nil), n
					if ends <= n && n > 0 {
						want, most = enough, min(n, ends+wordedBatch-1)
						if cancelled {
							want = context.Canceled
						}
					}
					if cancelled && read == n {
						want = nil // all was there
					}
					if err != want || read > most || want == nil && read != n {
						t.Errorf("%d workers, ended behind %d of %d (cancelled %t): %v, %d read", workers, ends, n, cancelled, err, read)
					}
				}
			}
		}
	}
}
