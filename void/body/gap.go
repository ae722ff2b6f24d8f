package body

import (
	"math"

	"github.com/golang/geo/r3"
)

// Measure is a distance between two bodies with its proof.
//
// A and B are points of the first and the second body MM apart (to the accuracy of the
// measure), so the distance is no more than MM. Dir is the unit direction from the first body to
// the second along which all of the first lies MM before all of the second, so it is no less.
// Where MM is 0, Dir is zero and A equals B.
type Measure struct {
	MM   float64
	A, B r3.Vector
	Dir  r3.Vector
}

// Gap returns the distance between two closed bodies in millimetres, 0 where they touch or overlap.
// It is right within 1e-6 mm or 1e-11 of the longest length in it, whichever is more.
//
// What is quickest and sure is asked first: closed forms for bodies square to one frame, then what
// is nearest of a round body, then walking corners. What none of them proves is left to the general search, which is
// the judge of all of them in the tests; Span, Part and the others go the same way.
func Gap(a, b Body) Measure {
	if m, ok := squareGap(&a, &b); ok {
		return m
	}
	var t aligned
	if t.align(&a, &b) {
		return t.gap(&a, &b)
	}
	if m, ok := quick(&a, &b); ok {
		return m
	}
	return gap(a, b)
}

// quick is Gap by what is nearest of a round body, or by walking corners, and whether either found it.
func quick(a, b *Body) (m Measure, ok bool) {
	switch {
	case a.Round && b.Round:
		m, ok = roundRound(a, b)
	case b.Round:
		if f, level := blockOf(a); level {
			m, ok = boxRound(a, b, &f)
		}
	case a.Round:
		if f, level := blockOf(b); level {
			m, ok = boxRound(b, a, &f)
			m = m.flipped()
		}
	}
	if ok {
		return m, true
	}
	// Where the sides did not decide, their direction is where to look first.
	if m.Dir == (r3.Vector{}) {
		m.Dir = b.Centre.Sub(a.Centre)
	}
	return walk(a, b, m.Dir)
}

// gap is Gap by the general search.
func gap(a, b Body) Measure {
	s := difference(a, b)
	d := s.c.Norm()
	if d <= s.rounding() {
		return touching(a.Centre, b.Centre)
	}
	u := unit(s.c)
	e, v := frameAbout(u)
	t := s.seen(e, u, v)
	thick := 2 * s.rounding()
	for {
		ans := t.search(true, true, true)
		pa, pb := uncoords(ans.pa, e, u, v), uncoords(ans.pb, e, u, v)
		n := unit(uncoords(ans.n, e, u, v))
		f := n.Dot(s.c) - s.half(n)
		apart := ans.positive && f > s.rounding()
		if t.n == s.n && (apart && ans.x.Norm()-f > 1e-7+1e-12*s.scale || !apart && (ans.x.Y > thick || math.Hypot(ans.x.X, ans.x.Z) > thick)) {
			// Flat bodies in one plane, or nearly, leave the point to rounding. So much thicker
			// they do not.
			t.slack(r3.Vector{X: thick})
			t.slack(r3.Vector{Z: thick})
			continue
		}
		if apart {
			return Measure{MM: f, A: a.Centre.Add(pa), B: b.Centre.Add(pb), Dir: n}
		}
		// The line from ans.x to the centre of C passes through the origin.
		k := 1.0
		if ans.x.Y < 0 {
			k = d / (d - ans.x.Y)
		}
		return touching(a.Centre.Add(pa.Mul(k)), b.Centre.Add(pb.Mul(k)))
	}
}

// touching returns the measure of bodies that share a point, found twice.
func touching(p, q r3.Vector) Measure {
	m := p.Add(q).Mul(0.5)
	return Measure{A: m, B: m}
}

// Meet reports whether the insides of two bodies share space: they overlap by more than
// rounding (about 2e-9 mm). A body of no thickness meets another where it passes through its inside; two
// in one plane never meet.
func Meet(a, b Body) bool {
	var t aligned
	if t.align(&a, &b) {
		return t.meet()
	}
	return meet(a, b)
}

// meet is Meet by the general search.
func meet(a, b Body) bool {
	s := difference(a, b)
	tol := s.rounding()
	if z := (r3.Vector{Z: 1}); math.Abs(s.c.Z)-s.half(z) >= -tol {
		return false
	}
	// Slabs: exact where there are no disks, and they find what is flat.
	slabs := 0
	for i := 0; i < s.n; i++ {
		for j := i + 1; j < s.n; j++ {
			n := normal(s.g[i], s.g[j])
			if n == (r3.Vector{}) {
				continue
			}
			slabs++
			if math.Abs(n.Dot(s.c))-s.half(n) >= -tol {
				return false
			}
		}
	}
	if s.nd == 0 {
		return slabs > 0
	}
	for i := 0; i < s.nd; i++ {
		if w := s.w[i]; w != (r3.Vector{}) && math.Abs(w.Dot(s.c))-s.half(w) >= -tol {
			return false
		}
	}
	if s.c.Norm() <= tol {
		return true
	}
	u := unit(s.c)
	if s.c.Norm()-s.half(u) >= -tol {
		return false
	}
	e, v := frameAbout(u)
	t := s.seen(e, u, v)
	ans := t.search(true, true, false)
	n := unit(uncoords(ans.n, e, u, v))
	return n.Dot(s.c)-s.half(n) < -tol
}
