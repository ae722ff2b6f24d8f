package body

import (
	"math"

	"github.com/golang/geo/r3"
)

// Beside returns how far apart two closed bodies are at the same height: the least plan distance
// between a point of a and a point of b at one level, 0 where they touch or overlap. It returns
// false where they share no level (they do share one where they only touch in height).
//
// A and B of the measure lie at one level. The proof along Dir, which may slope, is of the plan:
// the bodies lie MM times the plan length of Dir apart along it, so that sliding at one level
// closes no less than MM.
func Beside(a, b Body) (Measure, bool) {
	var t aligned
	if t.align(&a, &b) {
		if m, ok, done := t.beside(&a, &b); done {
			return m, ok
		}
	}
	return beside(a, b)
}

// beside is Beside by the general search.
func beside(a, b Body) (Measure, bool) {
	s := difference(a, b)
	return s.beside(a, b)
}

// beside is Beside for the difference of a and b.
func (s *shape) beside(a, b Body) (Measure, bool) {
	tol := s.rounding()
	z := r3.Vector{Z: 1}
	h := s.half(z)
	if math.Abs(s.c.Z) > h+tol {
		return Measure{}, false
	}
	// A known point of C at z = 0: from the centre towards its top or bottom.
	down := z
	if s.c.Z < 0 {
		down.Z = -1
	}
	f := s.seen(down, r3.Vector{X: 1}, r3.Vector{Y: 1})
	p := f.on(heading{1, 0}, false)
	x, _ := p.support(heading{1, 0}, 0, 0)
	k := 0.0
	if h > 0 {
		k = math.Min(1, math.Abs(s.c.Z)/h)
	}
	known := spot{at: heading{1, 0}, x: x}
	qa, qb := p.parts(&known, 0, 0)
	qa = uncoords(qa, down, r3.Vector{X: 1}, r3.Vector{Y: 1}).Mul(k)
	qb = uncoords(qb, down, r3.Vector{X: 1}, r3.Vector{Y: 1}).Mul(k)
	at := s.c.Add(qb.Sub(qa))
	l := math.Hypot(at.X, at.Y)
	if l <= tol {
		return touching(a.Centre.Add(qa), b.Centre.Add(qb)), true
	}
	u := r3.Vector{X: at.X / l, Y: at.Y / l}
	v := r3.Vector{X: -u.Y, Y: u.X}
	t := s.seen(z, u, v)
	low := tol
	if h-math.Abs(s.c.Z) < 1e-6 {
		// Heights only just meet. So much higher the answer does not hang on rounding.
		low = math.Max(5e-7, 5e-12*s.scale)
	}
	t.slack(r3.Vector{X: low})
	for {
		ans := t.search(false, true, true)
		pa, pb := uncoords(ans.pa, z, u, v), uncoords(ans.pb, z, u, v)
		n := unit(uncoords(ans.n, z, u, v))
		mm := (n.Dot(s.c) - s.half(n)) / math.Hypot(n.X, n.Y)
		d := math.Hypot(ans.x.Y, ans.x.Z)
		apart := ans.positive && d > tol
		loose := math.Abs(d-mm) > 1e-7+1e-12*s.scale
		if t.n == s.n+1 && (apart && loose || !apart && (ans.x.Y > 2*tol || math.Abs(ans.x.Z) > 2*tol)) {
			t.slack(r3.Vector{Z: 2 * tol}) // as for Gap
			continue
		}
		if loose {
			mm = d
		}
		if apart && mm > tol {
			return Measure{MM: mm, A: a.Centre.Add(pa), B: b.Centre.Add(pb), Dir: n}, true
		}
		k := 1.0
		if ans.x.Y < 0 {
			k = l / (l - ans.x.Y)
		}
		mix := func(c, p, q r3.Vector) r3.Vector { return c.Add(p.Mul(k)).Add(q.Mul(1 - k)) }
		return touching(mix(a.Centre, pa, qa), mix(b.Centre, pb, qb)), true
	}
}
