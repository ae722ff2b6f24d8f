package body

import (
	"math"
	"slices"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"
)

// Lowest returns the lowest point of b over a plan rectangle square to the axes, false where b is not over it. Where
// more points than one are as low it is the middle of them: of a level length the middle of the stretch over the
// rectangle, of a box that falls the middle of its lowest edge there.
func Lowest(b Body, over r2.Rect) (r3.Vector, bool) {
	if b.Round {
		return lowestRound(b, over)
	}
	c := r2.Point{X: b.Centre.X, Y: b.Centre.Y}
	e := r2.Point{X: b.Across.Y, Y: -b.Across.X}
	slope := 0.0
	if n := b.Along.X*e.X + b.Along.Y*e.Y; n != 0 {
		slope = b.Along.Z / n
	}
	at := Shared(Outline(b), corners(over))
	if at == nil {
		return r3.Vector{}, false
	}
	along := func(q r2.Point) float64 { return q.Sub(c).Dot(e) }
	under := func(q r2.Point) float64 { return b.Centre.Z - b.H + slope*along(q) }
	if slope != 0 {
		least := math.Inf(1)
		for _, q := range at {
			least = math.Min(least, under(q))
		}
		at = slices.DeleteFunc(at, func(q r2.Point) bool { return under(q) > least+asLow })
		return lift(over.ClampPoint(mean(at)), least), true
	}
	q := over.ClampPoint(midCut(at, e))
	return lift(q, under(q)), true
}

// Highest is Lowest upside down.
func Highest(b Body, over r2.Rect) (r3.Vector, bool) {
	b.Centre.Z, b.Along.Z = -b.Centre.Z, -b.Along.Z
	p, ok := Lowest(b, over)
	p.Z = -p.Z
	return p, ok
}

// asLow is how much higher, in mm, a point may be that counts as low as the lowest: rounding alone.
const asLow = 1e-6

// Deepest returns where in plan a box must go furthest up (with rise) or down to stand clear over, or under, another: the
// middle of that place where there are more than one. False where their plans share nothing.
func Deepest(a, b Body, rise bool) (r2.Point, bool) {
	if a.Round || b.Round {
		return r2.Point{}, false
	}
	at := Shared(Outline(a), Outline(b))
	if at == nil {
		return r2.Point{}, false
	}
	c := r2.Point{X: b.Centre.X - a.Centre.X, Y: b.Centre.Y - a.Centre.Y}
	fall := a.slope().Sub(b.slope()) // how fast a rises over b
	if !rise {
		fall = fall.Mul(-1)
	}
	if fall.Norm()*(c.Norm()+a.Along.Norm()+b.Along.Norm()) <= asLow {
		e := r2.Point{X: a.Across.Y, Y: -a.Across.X}
		if b.Along.Norm2() > a.Along.Norm2()*(1+1e-9) {
			e = r2.Point{X: b.Across.Y, Y: -b.Across.X}
		}
		return midCut(at, e), true
	}
	least := math.Inf(1)
	for _, q := range at {
		least = math.Min(least, q.Dot(fall))
	}
	return mean(slices.DeleteFunc(at, func(q r2.Point) bool { return q.Dot(fall) > least+asLow })), true
}

// slope returns how fast a box rises in plan, as a vector.
func (b Body) slope() r2.Point {
	n2 := b.Along.X*b.Along.X + b.Along.Y*b.Along.Y
	if n2 == 0 {
		return r2.Point{}
	}
	return r2.Point{X: b.Along.X, Y: b.Along.Y}.Mul(b.Along.Z / n2)
}

// lowestRound is Lowest of a Round.
//
//  1. Upright: its foot, over the middle of what its circle and the rectangle share.
//  2. Level: its underside along the axis where that is over the rectangle, else the flank that is nearest to the axis.
//  3. Falling: its lower end where that is over the rectangle, else one point on the rectangle's edge, which Span
//     finds with its proof.
func lowestRound(b Body, over r2.Rect) (r3.Vector, bool) {
	c := r2.Point{X: b.Centre.X, Y: b.Centre.Y}
	half := r2.Point{X: b.Along.X, Y: b.Along.Y}
	if half == (r2.Point{}) {
		q := over.ClampPoint(c)
		if q.Sub(c).Norm() >= b.W {
			return r3.Vector{}, false
		}
		if m := b.Plan().Intersection(over).Center(); m.Sub(c).Norm() < b.W {
			q = m
		}
		return lift(q, b.Height().Lo), true
	}
	lo, hi, crosses := clip(c, half, over)
	if b.Along.Z == 0 {
		if crosses {
			return lift(c.Add(half.Mul((lo+hi)/2)), b.Height().Lo), true
		}
		at := Shared(Outline(b), corners(over))
		if at == nil {
			return r3.Vector{}, false
		}
		off := func(q r2.Point) float64 { return math.Abs(q.Sub(c).Dot(b.Across)) }
		least := math.Inf(1)
		for _, q := range at {
			least = math.Min(least, off(q))
		}
		at = slices.DeleteFunc(at, func(q r2.Point) bool { return off(q) > least+asLow })
		return lift(over.ClampPoint(mean(at)), b.Centre.Z-chord(b.W, least)), true
	}
	if end := -math.Copysign(1, b.Along.Z); crosses && (end < 0 && lo == -1 || end > 0 && hi == 1) {
		// The lowest point is the foot of the end's disk, a little in from the end of the axis: b.W times the sine of
		// the slope. On a drain that is less than a millimetre, and the end of the axis is what people measure to.
		n := b.Along.Norm()
		sin := math.Abs(b.Along.Z) / n
		q := c.Add(half.Mul(end))
		in := half.Mul(-end / half.Norm() * b.W * sin)
		if b.W*sin*sin > endsAt {
			q = q.Add(in)
		}
		if over.ContainsPoint(q) && over.ContainsPoint(c.Add(half.Mul(end)).Add(in)) {
			return lift(q, b.Height().Lo), true
		}
	}
	h := b.Height()
	_, t, ok := spanProof(b, Upright(over, r1.Interval{Lo: h.Lo - 2, Hi: h.Lo - 1}), r3.Vector{Z: 1})
	if !ok {
		return r3.Vector{}, false
	}
	return lift(over.ClampPoint(r2.Point{X: t.At.X, Y: t.At.Y}), h.Lo-1-t.T), true
}

// endsAt is by how much, in mm, the underside over the end of a falling axis may differ from the lowest point when the one is
// taken for the other.
const endsAt = 0.05

func lift(q r2.Point, z float64) r3.Vector { return r3.Vector{X: q.X, Y: q.Y, Z: z} }

// corners returns the corners of a rectangle, counter-clockwise.
func corners(r r2.Rect) []r2.Point { v := r.Vertices(); return v[:] }

func mean(at []r2.Point) (m r2.Point) {
	for _, q := range at {
		m = m.Add(q.Mul(1 / float64(len(at))))
	}
	return m
}

// midCut returns the middle of the cut across a convex outline halfway along the direction e.
func midCut(at []r2.Point, e r2.Point) r2.Point {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, q := range at {
		lo, hi = math.Min(lo, q.Dot(e)), math.Max(hi, q.Dot(e))
	}
	s := (lo + hi) / 2
	f := e.Ortho()
	left, right := math.Inf(1), math.Inf(-1)
	for i, p := range at {
		q := at[(i+1)%len(at)]
		u, v := p.Dot(e)-s, q.Dot(e)-s
		if u > 0 && v > 0 || u < 0 && v < 0 {
			continue
		}
		k := 0.0
		if u != v {
			k = u / (u - v)
		}
		w := p.Add(q.Sub(p).Mul(k)).Dot(f)
		left, right = math.Min(left, w), math.Max(right, w)
	}
	return e.Mul(s).Add(f.Mul((left + right) / 2))
}

// clip returns the stations, from -1 to 1, at which the line through c with that half length lies over a rectangle.
func clip(c, half r2.Point, over r2.Rect) (lo, hi float64, ok bool) {
	lo, hi = -1, 1
	for _, k := range [2]struct {
		c, d float64
		r    r1.Interval
	}{{c.X, half.X, over.X}, {c.Y, half.Y, over.Y}} {
		if k.d == 0 {
			if !k.r.Contains(k.c) {
				return 0, 0, false
			}
			continue
		}
		u, v := (k.r.Lo-k.c)/k.d, (k.r.Hi-k.c)/k.d
		lo, hi = math.Max(lo, math.Min(u, v)), math.Min(hi, math.Max(u, v))
	}
	return lo, hi, lo <= hi
}
