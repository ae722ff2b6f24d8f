package setout

import (
	"math"
	"math/rand/v2"
	"testing"
)

// The cut is no worse than any other way in which groups take one of two levels, over random costs, changes and places that are one.
func TestLeastCutAgainstEveryWay(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 13))
	both := 0
	for range 4000 {
		n := 1 + r.IntN(7)
		costs := make([][]groupCost, n)
		b := between{changes: square(n), one: [][][]int{square(n), square(n)}}
		for k := range costs {
			for range 2 {
				costs[k] = append(costs[k], groupCost{places: r.IntN(6), off: float64(r.IntN(5000)), never: []uint64{0}})
			}
			for l := range k {
				if c := r.IntN(4); r.IntN(2) == 0 {
					b.changes[k][l], b.changes[l][k] = c, c
					for z := range 2 {
						o := r.IntN(c + 1)
						b.one[z][k][l], b.one[z][l][k] = o, o
					}
				}
			}
		}
		c0, c1 := make([]int64, n), make([]int64, n)
		for k := range costs {
			c0[k], c1[k] = costs[k][0].summed([]uint64{0}), costs[k][1].summed([]uint64{0})
		}
		least := int64(math.MaxInt64)
		takes := make([]bool, n)
		for way := range 1 << n {
			for k := range takes {
				takes[k] = way>>k&1 == 1
			}
			s := b.sum(costs, [2]int{0, 1}, takes)
			least = min(least, s.all())
		}
		cut := leastCut(c0, c1, b.changes, b.one[0], b.one[1])
		if s := b.sum(costs, [2]int{0, 1}, cut); s.all() != least {
			t.Fatalf("the cut comes to %d, the least is %d", s.all(), least)
		}
		first, second := false, false
		for _, x := range cut {
			first, second = first || !x, second || x
		}
		if first && second {
			both++
		}
	}
	if both < 500 {
		t.Errorf("only %d take both levels", both)
	}
}
