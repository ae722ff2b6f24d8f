package body

import (
	"math"

	"github.com/golang/geo/r1"
)

// A round body that falls along a side of a level box, as pipes do that run square to the building, measured
// upright. Seen from the side the box is a rectangle, and what of the cylinder lies over or under it is widest where
// its axis is nearest to the box's middle across:
//
//	          .--'       from the end    .--.
//	   .--''  .-'        of the run:    /    \
//	.-'  .-''     +----+            +--|--+  |
//	|.-''         |    |            |  |  |  |     the width left over at v is
//	              +----+            +--|--+  |     2·rho, with rho² = r² - v²
//	                                    v
//
// So it is the difference of two rectangles in a plane, one of them tilted: a figure with straight sides, whose heights
// at one place are found by going along its sides in the order of their slopes.

// slopingSpan returns Span straight up from the level box p, f in its frame, to the round body r, whether they meet,
// and whether r falls along a side of p.
func slopingSpan(p, r *Body, f *block) (iv r1.Interval, hits, ok bool) {
	c, g := f.of(r.Centre.Sub(p.Centre)), f.of(r.Along)
	i, j := 0, 1
	if math.Abs(g[0]) < math.Abs(g[1]) {
		i, j = 1, 0
	}
	long := plain(g[i], g[2])
	if math.Abs(g[i]) < 1e-90 || math.Abs(g[j])*(1+r.W/long) > straight {
		return iv, false, false
	}
	v := outside(c[j], f.h[j])
	switch d := math.Abs(v) - r.W; {
	case d > grazing:
		return r1.EmptyInterval(), false, true
	case d > -grazing:
		return iv, false, false
	}
	rho := chord(r.W, math.Abs(v))
	// The sides, to the right and up, half as long as they are: the axis, the box's, and across the axis; for the upper
	// ones in the order of their slopes.
	run, rise := math.Abs(g[i]), g[2]*math.Copysign(1, g[i])
	sides := [3][2]float64{{run, rise}, {f.h[i], 0}, {rho * rise / long, -rho * run / long}}
	if rise <= 0 {
		sides = [3][2]float64{{-rho * rise / long, rho * run / long}, {f.h[i], 0}, {run, rise}}
	}
	width := sides[0][0] + sides[1][0] + sides[2][0]
	switch d := math.Abs(c[i]) - width; {
	case d > grazing:
		return r1.EmptyInterval(), false, true
	case d > -grazing:
		return iv, false, false
	}
	// From the left end over the top as far as the middle of the box, and along the bottom.
	left := -sides[0][1] - sides[2][1]
	top, bottom := left, left
	way := width - c[i]
	for k := range 3 {
		top += climb(sides[k], &way)
	}
	way = width - c[i]
	for k := range 3 {
		bottom += climb(sides[2-k], &way)
	}
	h := f.h[2]
	return r1.Interval{Lo: c[2] + bottom - h, Hi: c[2] + top + h}, true, true
}

// climb goes along a side, from end to end or as far as there is way to go, and returns how far that leads up.
func climb(side [2]float64, way *float64) float64 {
	if *way <= 0 {
		return 0
	}
	if *way >= 2*side[0] {
		*way -= 2 * side[0]
		return 2 * side[1]
	}
	up := *way / side[0] * side[1]
	*way = 0
	return up
}
