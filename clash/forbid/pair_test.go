package forbid

import (
	"math"
	"testing"

	"github.com/golang/geo/r1"
)

// The least way out of what is forbidden, up and down: past bans that follow each other, and no further than to a hole.
func TestOut(t *testing.T) {
	bans := []Ban{
		{Interval: r1.Interval{Lo: 0, Hi: 10}},
		{Interval: r1.Interval{Lo: 8, Hi: 30}, Holes: []r1.Interval{{Lo: 18, Hi: 20}, {Lo: 25, Hi: 26}}},
		{Interval: r1.Interval{Lo: 40, Hi: math.Inf(1)}},
	}
	for _, test := range []struct{ t, way, want float64 }{
		{-1, 1, -1},
		{0, 1, 0},
		{5, -1, 0},
		{9, -1, 0},
		{5, 1, 18}, // out of the first at 10, where the second holds as far as its first hole
		{19, 1, 19},
		{22, 1, 25},
		{22, -1, 20},
		{28, 1, 30},
		{28, -1, 26},
		{35, -1, 35},
		{41, -1, 40},
		{41, 1, math.Inf(1)},
	} {
		// What lacks so little that nothing is told of it counts as free.
		if got := Out(bans, test.t, test.way); got != test.want && !(math.Abs(got-test.want) <= letGo+1e-9) {
			t.Errorf("from %v, way %v: out at %v, want %v", test.t, test.way, got, test.want)
		}
	}
}
