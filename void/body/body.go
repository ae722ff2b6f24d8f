// Package body holds the convex solids of which a building's services are made, and the measures between two of them. Whoever
// opens it first reads Body, then Gap.
//
// In come bodies, as values: a Box (a straight rectangular length, level or falling, its ends upright, or an upright prism) or a
// Round (a flat-ended cylinder at any slope); and with two of them a direction, a distance or a station. Lengths are in
// millimetres, x east, y north, z up, within 10 km of the origin in plan and 2 km in height.
//
// Out come lengths and places: how far two bodies are apart (Gap), and at the same height (Beside); which shifts along a line make
// them meet (Span), and the least level one that parts them (Part); where along its length one is near another (Stretch); how
// their plans and heights overlap (PlanOverlap, SharedHeight); the lowest point over a rectangle (Lowest); and what a plane
// cuts of a body (Cut, CutReach, Slice, Outline). A measure is right within 1e-6 mm, or 1e-11 of the longest length in it,
// whichever is more. Where there is no answer a false comes back, never a made-up number.
//
// The room may not know what a body is for: no zone, kind, rule, trade, bay or level above a floor. It knows no tolerance but
// rounding, keeps nothing from one call to the next, and may be asked by many at once.
//
// Inside, each measure is a question about one convex set, the difference of the two bodies, which the general search
// answers (search.go says how). Forms for what stands square, is level or is round come before it where they save time in a
// whole check; each is held against the search by a test, and BenchmarkQuick says what it saves.
package body

import (
	"math"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"
)

// Body is a convex solid: a value, never changed in place.
//
// Centre is its middle. Along goes from the centre to the middle of the far end. For a Box, W is
// half the width (horizontal, square to Along in plan) and H half the height (measured upright);
// Along's plan must not be zero. For a Round, W is the radius, H is not used, and Along may be
// upright. Zero W, H or Along are allowed (a plate, a line, a point): a cut of a body is a body.
type Body struct {
	Centre r3.Vector
	Along  r3.Vector
	// Across is the horizontal unit direction to the left of Along in plan. It is kept, not
	// derived, so that a body of no length still has its width. Unused for a Round.
	Across r2.Point
	W, H   float64
	Round  bool
	// Block says that a Box has no length: it stands at a point, and Along is a side of it as good as the other.
	Block bool
}

// Box returns the straight rectangular length of the given width and height (both full, upright
// height) whose section's middle runs from p to q. p and q must differ in plan.
func Box(p, q r3.Vector, width, height float64) Body {
	along := q.Sub(p).Mul(0.5)
	n := math.Hypot(along.X, along.Y)
	return Body{
		Centre: p.Add(q).Mul(0.5), Along: along,
		Across: r2.Point{X: -along.Y / n, Y: along.X / n},
		W:      width / 2, H: height / 2,
	}
}

// Upright returns the upright prism over a plan rectangle square to the axes.
func Upright(plan r2.Rect, z r1.Interval) Body {
	c := plan.Center()
	return Body{
		Centre: r3.Vector{X: c.X, Y: c.Y, Z: z.Center()},
		Along:  r3.Vector{X: plan.X.Length() / 2},
		Across: r2.Point{Y: 1},
		W:      plan.Y.Length() / 2, H: z.Length() / 2,
	}
}

// Cylinder returns the flat-ended cylinder about the axis from p to q.
func Cylinder(p, q r3.Vector, diameter float64) Body {
	along := q.Sub(p).Mul(0.5)
	b := Body{Centre: p.Add(q).Mul(0.5), Along: along, W: diameter / 2, Round: true}
	if n := math.Hypot(along.X, along.Y); n > 0 {
		b.Across = r2.Point{X: -along.Y / n, Y: along.X / n}
	}
	return b
}

// Shift returns the body moved by v.
func (b Body) Shift(v r3.Vector) Body {
	b.Centre = b.Centre.Add(v)
	return b
}

// Start returns the middle of the near end.
func (b Body) Start() r3.Vector { return b.Centre.Sub(b.Along) }

// End returns the middle of the far end.
func (b Body) End() r3.Vector { return b.Centre.Add(b.Along) }

// PlanEnds returns where the body starts and ends in plan.
func (b Body) PlanEnds() [2]r2.Point {
	s, e := b.Start(), b.End()
	return [2]r2.Point{{X: s.X, Y: s.Y}, {X: e.X, Y: e.Y}}
}

// noAxis is the squared half length, in square millimetres, under which a Round has no axis.
const noAxis = 1e-200

// half returns the support of the body about its centre in direction n (any length).
func (b Body) half(n r3.Vector) float64 {
	s := math.Abs(b.Along.Dot(n))
	if !b.Round {
		return s + b.W*math.Abs(b.Across.X*n.X+b.Across.Y*n.Y) + b.H*math.Abs(n.Z)
	}
	l2 := b.Along.Norm2()
	if l2 < noAxis {
		return s + b.W*n.Norm() // a disk of no known axis: a ball covers it
	}
	return s + b.W*n.Cross(b.Along).Norm()/math.Sqrt(l2)
}

// Reach returns the interval that the body covers along direction n: [min, max] of x·n, closed.
func (b Body) Reach(n r3.Vector) r1.Interval {
	c, h := b.Centre.Dot(n), b.half(n)
	return r1.Interval{Lo: c - h, Hi: c + h}
}

// Height returns the closed interval of levels that the body covers.
func (b Body) Height() r1.Interval {
	h := math.Abs(b.Along.Z)
	switch {
	case !b.Round:
		h += b.H
	case b.Along.Z == 0:
		h = b.W
	case b.Along.X != 0 || b.Along.Y != 0 || b.Along.Norm2() < noAxis:
		h = b.half(r3.Vector{Z: 1})
	}
	return r1.Interval{Lo: b.Centre.Z - h, Hi: b.Centre.Z + h}
}

// Plan returns the smallest axis-aligned plan rectangle round the body, closed.
func (b Body) Plan() r2.Rect {
	return r2.Rect{X: b.Reach(r3.Vector{X: 1}), Y: b.Reach(r3.Vector{Y: 1})}
}
