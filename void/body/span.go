package body

import (
	"math"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r3"
)

// spanEnd is one end of a Span with its proof: shifted by T along the direction, the first body
// touches the second at the point At (of the second, where it is), and along the unit direction
// Dir, from the first to the second, all of the shifted first lies before all of the second.
type spanEnd struct {
	T   float64
	At  r3.Vector
	Dir r3.Vector
}

// Span returns the closed interval of shifts t, in millimetres, for which a moved by t along dir
// (made a unit) meets the closed body b. It returns false where no shift makes them meet, and for
// a zero dir. A body that only grazes the other's path within rounding (about 2e-9 mm) meets it.
//
// For dir straight up: a is clear under b by Lo when Lo > 0, clear over b by -Hi when Hi < 0,
// and they meet when Lo <= 0 <= Hi.
func Span(a, b Body, dir r3.Vector) (r1.Interval, bool) {
	var t aligned
	if t.align(&a, &b) || t.rb > 0 {
		if iv, hits, ok := t.span(dir); ok {
			return iv, hits
		}
	}
	if dir.X == 0 && dir.Y == 0 && dir.Z != 0 {
		if iv, ok := topsSpan(&a, &b, math.Copysign(1, dir.Z)); ok {
			return iv, true
		}
		if iv, hits, ok := slopingUp(&a, &b, dir.Z); ok {
			return iv, hits
		}
	}
	if u := unit(dir); u != (r3.Vector{}) {
		if iv, hits, ok := pathSpan(&a, &b, u); ok {
			return iv, hits
		}
	}
	lo, hi, ok := spanProof(a, b, dir)
	if !ok {
		return r1.EmptyInterval(), false
	}
	return r1.Interval{Lo: lo.T, Hi: hi.T}, true
}

// spanProof returns the two ends of Span with their proofs, by the general search.
func spanProof(a, b Body, dir r3.Vector) (lo, hi spanEnd, ok bool) {
	u := unit(dir)
	if u == (r3.Vector{}) {
		return lo, hi, false
	}
	s := difference(a, b)
	e, v := frameAbout(u)
	t := s.seen(e, u, v)
	// So much wider square to dir that a path along a face, or within a plate, is none missed.
	tol := s.rounding()
	t.slack(r3.Vector{X: tol})
	t.slack(r3.Vector{Z: tol})

	// Does the line meet C at all? Seen along dir, how far is C from the origin?
	if l := math.Hypot(t.c.X, t.c.Z); l > tol {
		m := r3.Vector{X: t.c.X / l, Z: t.c.Z / l}
		flat := t.seen(r3.Vector{X: -m.Z, Z: m.X}, m, r3.Vector{Y: 1})
		p := flat.on(heading{1, 0}, true)
		if p.best(heading{0, 1}).f > 0 {
			return lo, hi, false
		}
	}
	end := func(sign float64) spanEnd {
		t := t
		t.c = t.c.Mul(sign)
		ans := t.search(false, false, false)
		n := unit(uncoords(ans.n, e, u, v))
		c := s.c.Mul(sign)
		at := (n.Dot(c) - s.half(n)) / n.Dot(u)
		// Where the path grazes, the direction is worth nothing along it: the point decides.
		if !(math.Abs(at-ans.x.Y) <= 1e-7+1e-12*s.scale) {
			at = ans.x.Y
		}
		p := uncoords(ans.pb, e, u, v)
		return spanEnd{T: sign * at, At: b.Centre.Add(p.Mul(sign)), Dir: n.Mul(sign)}
	}
	lo, hi = end(1), end(-1)
	if lo.T > hi.T {
		lo.T = (lo.T + hi.T) / 2
		hi.T = lo.T
	}
	return lo, hi, true
}

// slopingUp is slopingSpan for any order of the two, along the sign of z.
func slopingUp(a, b *Body, z float64) (iv r1.Interval, hits, ok bool) {
	if a.Round == b.Round {
		return iv, false, false
	}
	p, r := a, b
	if a.Round {
		p, r, z = b, a, -z
	}
	f, ok := blockOf(p)
	if !ok {
		return iv, false, false
	}
	iv, hits, ok = slopingSpan(p, r, &f)
	if hits && z < 0 {
		iv.Lo, iv.Hi = -iv.Hi, -iv.Lo
	}
	return iv, hits, ok
}
