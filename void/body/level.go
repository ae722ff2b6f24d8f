package body

import (
	"math"

	"github.com/golang/geo/r1"
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

// levels returns the difference of two level boxes. It returns false for other bodies, and where
// rounding leaves the common point in doubt.
func levels(a, b Body) (leveled, bool) {
	t := leveled{ha: a.H, h: a.H + b.H, cz: b.Centre.Z - a.Centre.Z}
	if a.Round || b.Round || math.Abs(a.Along.Z) > straight || math.Abs(b.Along.Z) > straight {
		return t, false
	}
	flat := func(b Body) Body {
		b.Centre.Z, b.Along.Z, b.H = 0, 0, 0
		return b
	}
	s := difference(flat(a), flat(b))
	t.tol = 2e-9 + 1e-14*(s.scale+t.h+math.Abs(t.cz))
	d := math.Hypot(s.c.X, s.c.Y)
	if d <= t.tol {
		return t, true
	}
	u := r3.Vector{X: s.c.X / d, Y: s.c.Y / d}
	e, z := r3.Vector{X: -u.Y, Y: u.X}, r3.Vector{Z: 1}
	k := s.seen(e, u, z)
	m := k.on(heading{1, 0}, true)
	p := m.best(heading{0, 1})
	pa, pb := m.parts(&p.lo, 0, 0)
	t.n = unit(uncoords(r3.Vector{X: p.n.c, Y: p.n.s}, e, u, z))
	t.pa, t.pb = uncoords(pa, e, u, z), uncoords(pb, e, u, z)
	t.f = t.n.Dot(s.c) - s.half(t.n)
	if t.f > t.tol {
		return t, math.Abs(math.Hypot(p.x.X, p.x.Y)-t.f) <= 1e-7+1e-12*s.scale
	}
	if p.x.Y > t.tol || math.Abs(p.x.X) > t.tol {
		return t, false
	}
	if p.x.Y < 0 {
		k := d / (d - p.x.Y)
		t.pa, t.pb = t.pa.Mul(k), t.pb.Mul(k)
	}
	return t, true
}

// points returns the nearest or common points, z apart in height.
func (t *leveled) points(a, b Body, z float64) (r3.Vector, r3.Vector) {
	pa, pb := t.pa, t.pb
	if t.h > 0 {
		s := math.Max(-1, math.Min(1, (z-t.cz)/t.h))
		pa.Z, pb.Z = -s*t.ha, s*(t.h-t.ha)
	}
	return a.Centre.Add(pa), b.Centre.Add(pb)
}

func (t *leveled) gap(a, b Body) Measure {
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

func (t *leveled) beside(a, b Body) (Measure, bool) {
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
