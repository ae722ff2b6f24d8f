package body

import (
	"math"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"
)

// leveled is the difference of two level boxes at any angle: a plan figure times an interval of
// heights, so that plan and height are measured each by itself.
type leveled struct {
	f      float64   // plan distance of the outlines, not positive where they touch or overlap
	n      r3.Vector // the direction of that distance
	pa, pb r3.Vector // plan shares of a and b, about their centres, in the nearest or a common point
	cz, h  float64
	ha     float64 // a's part of h
	tol    float64
}

// levels sets t to the difference of two level boxes, and reports whether they are level and rounding leaves no doubt
// of the points.
func (t *leveled) levels(a, b *Body) bool {
	if a.Round || b.Round || math.Abs(a.Along.Z) > straight || math.Abs(b.Along.Z) > straight {
		return false
	}
	p, ok := outlineOf(a)
	q, okb := outlineOf(b)
	if !ok || !okb {
		return false
	}
	t.ha, t.h, t.cz = a.H, a.H+b.H, b.Centre.Z-a.Centre.Z
	c := r2.Point{X: b.Centre.X - a.Centre.X, Y: b.Centre.Y - a.Centre.Y}
	t.tol = 2e-9 + 1e-14*(math.Abs(c.X)+math.Abs(c.Y)+p.u+p.v+q.u+q.v+t.h+math.Abs(t.cz))
	pair := pairing(&p, &q, c)
	var n, pa, pb r2.Point
	if t.f, _ = pair.deepest(); t.f <= 0 {
		pa, pb, ok = pair.common()
	} else {
		t.f, n, pa, pb, ok = pair.apart()
	}
	t.n, t.pa, t.pb = r3.Vector{X: n.X, Y: n.Y}, r3.Vector{X: pa.X, Y: pa.Y}, r3.Vector{X: pb.X, Y: pb.Y}
	return ok
}

// levelPart returns Part of two level boxes, whether they overlap, and whether that is what they are and rounding
// leaves no doubt.
func levelPart(a, b *Body) (s Parting, ok, done bool) {
	if a.Round || b.Round || math.Abs(a.Along.Z) > straight || math.Abs(b.Along.Z) > straight {
		return s, false, false
	}
	p, ok := outlineOf(a)
	q, okb := outlineOf(b)
	if !ok || !okb {
		return s, false, false
	}
	pair := pairing(&p, &q, r2.Point{X: b.Centre.X - a.Centre.X, Y: b.Centre.Y - a.Centre.Y})
	f, i := pair.deepest()
	low := math.Abs(b.Centre.Z-a.Centre.Z) - a.H - b.H
	switch {
	case f > grazing || low > grazing:
		return s, false, true
	case f > -grazing || low > -grazing:
		return s, false, false
	}
	return Parting{MM: -f, Dir: pair.side(i).Mul(-math.Copysign(1, pair.at[i])), Bound: 1e-9}, true, true
}

// points returns the nearest or common points, z apart in height.
func (t *leveled) points(a, b *Body, z float64) (r3.Vector, r3.Vector) {
	pa, pb := t.pa, t.pb
	if t.h > 0 {
		s := math.Max(-1, math.Min(1, (z-t.cz)/t.h))
		pa.Z, pb.Z = -s*t.ha, s*(t.h-t.ha)
	}
	return a.Centre.Add(pa), b.Centre.Add(pb)
}

func (t *leveled) gap(a, b *Body) Measure {
	z := 0.0
	if o := math.Abs(t.cz) - t.h; o > 0 {
		z = math.Copysign(o, t.cz)
	}
	f := 0.0
	if t.f > t.tol {
		f = t.f
	}
	mm := math.Sqrt(f*f + z*z)
	pa, pb := t.points(a, b, z)
	if mm <= t.tol {
		return touching(pa, pb)
	}
	n := t.n.Mul(f / mm)
	n.Z = z / mm
	return Measure{MM: mm, A: pa, B: pb, Dir: n}
}

func (t *leveled) beside(a, b *Body) (Measure, bool) {
	if math.Abs(t.cz)-t.h > t.tol {
		return Measure{}, false
	}
	pa, pb := t.points(a, b, 0)
	if t.f <= t.tol {
		return touching(pa, pb), true
	}
	return Measure{MM: t.f, A: pa, B: pb, Dir: t.n}, true
}

// span returns Span straight up (sign 1) or down (-1), and whether the path meets.
func (t *leveled) span(sign float64) (r1.Interval, bool) {
	if t.f > t.tol {
		return r1.EmptyInterval(), false
	}
	return r1.Interval{Lo: sign*t.cz - t.h, Hi: sign*t.cz + t.h}, true
}
