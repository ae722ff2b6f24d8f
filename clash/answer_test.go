package clash_test

import (
	"bytes"
	"context"
	"slices"
	"testing"

	"voidline/clash"
	"voidline/clash/finding"
	"voidline/reports/record"
)

// An answer written as its findings are worded is the document of the whole result.
func TestAnswerIsTheResult(t *testing.T) {
	ctx := context.Background()
	for seed := range uint64(4) {
		p := random(700+seed, mix{zones: 160, storeys: 2, gaps: 2}).opened(t, spelling{})
		for _, workers := range []int{1, 3} {
			a, err := clash.Open(p, clash.Options{Touch: 1, Workers: workers}).Answer(ctx)
			if err != nil {
				t.Fatal(err)
			}
			var streamed, whole bytes.Buffer
			if err := record.Answer(ctx, &streamed, a); err != nil {
				t.Fatal(err)
			}
			res, err := a.Result(ctx)
			if err != nil {
				t.Fatal(err)
			}
			if err := record.Check(&whole, res); err != nil {
				t.Fatal(err)
			}
			if a.Len() != len(res.Findings) || a.Len() < 20 {
				t.Errorf("seed %d: %d findings counted, %d given", seed, a.Len(), len(res.Findings))
			}
			if !bytes.Equal(streamed.Bytes(), whole.Bytes()) {
				t.Errorf("seed %d, %d workers: the two documents differ:\n%s", seed, workers, difference(streamed.String(), whole.String()))
			}
		}
	}
}

// The worst of an answer are its worst, in the order of the whole, and the counts stay those of all.
func TestWorstAreTheWorst(t *testing.T) {
	ctx := context.Background()
	p := random(710, mix{zones: 160, storeys: 2}).opened(t, spelling{})
	a, err := clash.Open(p, clash.Options{Touch: 1}).Answer(ctx)
	if err != nil {
		t.Fatal(err)
	}
	all, err := a.Result(ctx)
	if err != nil {
		t.Fatal(err)
	}
	const most = 12
	some, err := a.Worst(ctx, most)
	if err != nil {
		t.Fatal(err)
	}
	if len(some.Findings) != most || some.Held != len(all.Findings)-most || some.Counts != all.Counts || some.Problems != all.Problems {
		t.Fatalf("%d findings, %d held back, %+v, %d problems; all are %d, %+v, %d", len(some.Findings), some.Held, some.Counts, some.Problems,
			len(all.Findings), all.Counts, all.Problems)
	}
	given := map[string]bool{}
	for _, f := range some.Findings {
		given[f.ID] = true
	}
	rank := func(f *finding.Finding) int {
		return slices.IndexFunc(finding.Costs(), func(c finding.Cost) bool { return c.Word == f.Cost })
	}
	var in []finding.Finding
	for _, f := range all.Findings {
		if given[f.ID] {
			in = append(in, f)
			continue
		}
		for _, g := range some.Findings {
			if rank(&f) < 0 || rank(&f) < rank(&g) || f.Cost == g.Cost && f.Short > g.Short {
				t.Fatalf("%s (short %g) is held back, %s (short %g) is given", f.Cost, f.Short, g.Cost, g.Short)
			}
		}
	}
	for i := range in {
		if in[i].ID != some.Findings[i].ID {
			t.Fatalf("finding %d is %s, in the whole answer %s comes there", i, some.Findings[i].ID, in[i].ID)
		}
	}
	if whole, err := a.Worst(ctx, len(all.Findings)); err != nil || whole.Held != 0 || len(whole.Findings) != len(all.Findings) {
		t.Errorf("the worst of all: %d findings, %d held back, %v", len(whole.Findings), whole.Held, err)
	}
}
