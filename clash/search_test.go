package clash

import (
	"context"
	"fmt"
	"math"
	"math/rand"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/fstest"

	"voidline/clash/rules"
	"voidline/clash/scene"
	"voidline/io/table"
)

// scattered is a project of n ducts thrown over a floor, some very long, one of every so many in one point.
func scattered(t testing.TB, n int, seed int64, every int) *Check {
	t.Helper()
	rng := rand.New(rand.NewSource(seed))
	side := int(3000 * math.Sqrt(float64(n)))
	var b strings.Builder
	b.WriteString("id,x1,y1,x2,y2,size,level,run\n")
	for i := range n {
		x, y, l := rng.Intn(side), rng.Intn(side), 500+rng.Intn(4000)
		switch {
		case i%97 == 5:
			l = 150000 // over more tiles than one zone may take
		case i%every == 1:
			x, y = 1000, 1000
		}
		x2, y2 := x+l, y
		if i%2 == 0 {
			x2, y2 = x+l/2, y+l
		}
		fmt.Fprintf(&b, "D%d,%d,%d,%d,%d,300x200,%d,R%d\n", i, x, y, x2, y2, 2600+rng.Intn(1200), i)
	}
	p, err := table.Open(context.Background(), "p", table.Options{FS: fstest.MapFS{
		"bays.csv": {Data: []byte("bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,100,100,9000,100\n")}, "ductwork.csv": {Data: []byte(b.String())},
	}})
	if err != nil || len(p.Problems) > 0 {
		t.Fatal(err, p.Problems)
	}
	return Open(p, Options{})
}

func pairsOf(t testing.TB, c *Check) []scene.Pair {
	t.Helper()
	var mu sync.Mutex
	var got []scene.Pair
	if err := c.Candidates(context.Background(), func(int, int) {}, func(_ *rules.Reader, _ int, ps []scene.Pair) {
		mu.Lock()
		got = append(got, ps...)
		mu.Unlock()
	}); err != nil {
		t.Fatal(err)
	}
	slices.SortFunc(got, func(a, b scene.Pair) int {
		if a.A != b.A {
			return int(a.A - b.A)
		}
		return int(a.B - b.B)
	})
	return got
}

// The search finds each pair of boxes that is near enough once, and no other: the same as looking at all
// pairs.
func TestCandidatesAreAllNearPairs(t *testing.T) {
	for seed := range int64(6) {
		nearPairs(t, scattered(t, 400, seed, 31), seed)
	}
}

// So it does where a tile holds so many that they are looked at in several jobs (scene has a test that they are).
func TestCandidatesOfOneTile(t *testing.T) {
	c := scattered(t, 2000, 1, 2)
	nearPairs(t, c, 1)
}

func nearPairs(t *testing.T, c *Check, seed int64) {
	t.Helper()
	var want []scene.Pair
	h := c.Set.Reader()
	for a := range int32(len(c.Boxes)) {
		for b := a + 1; b < int32(len(c.Boxes)); b++ {
			if c.Wanted(h, a, b) {
				want = append(want, scene.Pair{A: a, B: b})
			}
		}
	}
	if len(want) < 100 {
		t.Fatalf("seed %d: only %d pairs to find", seed, len(want))
	}
	for _, workers := range []int{1, 2, 7} {
		c.Workers = workers
		if got := pairsOf(t, c); !slices.Equal(got, want) {
			t.Errorf("seed %d, %d workers: %d pairs, want the %d of all pairs", seed, workers, len(got), len(want))
		}
	}
}

func BenchmarkCandidates(b *testing.B) {
	for _, n := range []int{1000, 10000, 100000} {
		b.Run(fmt.Sprintf("zones=%d", n), func(b *testing.B) {
			c := scattered(b, n, 1, 31)
			pairs := 0
			for b.Loop() {
				pairs = len(pairsOf(b, c))
			}
			b.ReportMetric(float64(pairs), "pairs")
			b.ReportMetric(float64(n)*float64(b.N)/b.Elapsed().Seconds(), "zones/s")
		})
	}
}
