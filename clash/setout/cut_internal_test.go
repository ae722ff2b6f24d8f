package setout

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// The two ways of cutting stock agree: the table over how many are left, and branch and bound.
func TestBothWaysOfCuttingAgree(t *testing.T) {
	for seed := range 300 {
		r := rand.New(rand.NewPCG(uint64(seed), 46))
		stock := [][]float64{{1000, 2000, 3000}, {3000}, {2500, 3333}}[r.IntN(3)]
		var ps []float64
		for range 1 + r.IntN(11) {
			ps = append(ps, float64(150+50*r.IntN(40)))
		}
		slices.Sort(ps)
		slices.Reverse(ps)
		make := func() *cutter {
			c := &cutter{ps: ps, stock: stock, kerf: float64(seed % 3), in: make([]int, len(ps)), best: math.Inf(1), unit: commonUnit(stock)}
			c.rest = make([]float64, len(ps)+1)
			for i := len(ps) - 1; i >= 0; i-- {
				c.rest[i] = c.rest[i+1] + ps[i]
			}
			return c
		}
		a, b := make(), make()
		if !a.byCounts() {
			t.Fatalf("seed %d: too many states", seed)
		}
		b.place(0, 0)
		if b.visits >= cutVisits || math.Abs(a.best-b.best) > 1e-6 {
			t.Errorf("seed %d: %v from %v: %v by counts, %v by branch and bound (%d visits)", seed, ps, stock, a.best, b.best, b.visits)
		}
	}
}
