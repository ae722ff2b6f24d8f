package body

import (
	"math"

	"github.com/golang/geo/r3"
)

// The gap of a round body from another that it does not stand square to. A cylinder is its axis, thickened by
// its radius square to it, so:
//
//  1. The axis alone is measured against the other body: a segment against a box (pierced) or against the
//     other axis (feet). Where the nearest point of the axis lies within its length, the direction is square
//     to it and the radius comes off: the side is nearest, or the bodies overlap.
//  2. Else an end is nearest: its flat face, which is a direction known beforehand, or its rim against a
//     face, an edge, a corner or a side, by Newton's method. Two rims are left to 3.
//  3. What comes of 2 counts only where its proof closes (proven). Where it does not, the corners of the
//     difference are walked (simplex.go), and at last the general search decides.

// closes is how far the proof of a quick answer may be open, in millimetres: two points so near are one.
const closes = 1e-8

// proven returns the measure of the points pa and pb (about the centres of a and b) with the direction n
// (any length, from a to b), and whether its proof closes.
func proven(a, b *Body, pa, pb, n r3.Vector) (Measure, bool) {
	c := b.Centre.Sub(a.Centre)
	d, l := c.Add(pb.Sub(pa)).Norm(), n.Norm()
	switch {
	case d <= 2*closes:
		return touching(a.Centre.Add(pa), b.Centre.Add(pb)), true
	case !(l > 0):
		return Measure{}, false
	}
	n = n.Mul(1 / l)
	f := n.Dot(c) - a.half(n) - b.half(n)
	if !(f > 0 && d-f <= closes && f-d <= 1e-6) { // further than two points of them: those are none
		return Measure{}, false
	}
	return Measure{MM: f, A: a.Centre.Add(pa), B: b.Centre.Add(pb), Dir: n}, true
}

// flipped returns the measure with its bodies changed over.
func (m Measure) flipped() Measure {
	m.A, m.B = m.B, m.A
	m.Dir = r3.Vector{}.Sub(m.Dir)
	return m
}

// triple is a vector whose axes are counted.
type triple [3]float64

func (v triple) dot(u triple) float64 { return v[0]*u[0] + v[1]*u[1] + v[2]*u[2] }

func (v triple) norm2() float64 { return v.dot(v) }

// plus returns v + k·u.
func (v triple) plus(k float64, u triple) triple {
	return triple{v[0] + k*u[0], v[1] + k*u[1], v[2] + k*u[2]}
}

// outside returns how far v lies outside the interval [-h, h], 0 inside.
func outside(v, h float64) float64 {
	switch {
	case v > h:
		return v - h
	case v < -h:
		return v + h
	}
	return 0
}

// block is a level box about its centre, in its own frame: along, across and up.
type block struct {
	e, f struct{ x, y float64 } // plan directions of its length and width
	h    triple                 // half sides
}

// blockOf returns a level box in its frame, and whether b is one.
func blockOf(b *Body) (f block, ok bool) {
	f.e.x, f.e.y = b.Across.Y, -b.Across.X
	f.f.x, f.f.y = b.Across.X, b.Across.Y
	f.h = triple{math.Abs(b.Along.X*f.e.x + b.Along.Y*f.e.y), b.W, b.H}
	return f, !b.Round && math.Abs(b.Along.Z) <= straight && (f.e.x != 0 || f.e.y != 0)
}

func (f *block) of(v r3.Vector) triple {
	return triple{v.X*f.e.x + v.Y*f.e.y, v.X*f.f.x + v.Y*f.f.y, v.Z}
}

func (f *block) space(v triple) r3.Vector {
	return r3.Vector{X: v[0]*f.e.x + v[1]*f.f.x, Y: v[0]*f.e.y + v[1]*f.f.y, Z: v[2]}
}

// out returns how far v lies outside the block along each axis.
func (f *block) out(v triple) triple {
	return triple{outside(v[0], f.h[0]), outside(v[1], f.h[1]), outside(v[2], f.h[2])}
}

// pierced returns the s of the point c + s·g, -1 <= s <= 1, of a segment that is nearest to the block, how
// far that lies outside along each axis, and the slope of half the distance's square in s: nothing, or at
// an end of the segment (s = 1: less, s = -1: more) where the block lies ahead.
func (f *block) pierced(c, g triple) (s float64, q triple, slope float64, ok bool) {
	lo, hi := -1.0, 1.0
	triedLo, triedHi := false, false
	was := -1 // the axes and sides of the piece of the slope that gave s
	for range 24 {
		q = f.out(c.plus(s, g))
		slope = q.dot(g)
		k, set := 0.0, 0
		for i, x := range q {
			set *= 3
			if x != 0 {
				k += g[i] * g[i]
				set++
				if x < 0 {
					set++
				}
			}
		}
		switch {
		case slope == 0, set == was, slope > 0 && s == -1, slope < 0 && s == 1:
			return s, q, slope, true
		case slope > 0:
			hi = s
		default:
			lo = s
		}
		// The slope is made of straight pieces.
		was = set
		s -= slope / k
		if s <= lo || s >= hi {
			was = -1
			switch {
			case s <= -1 && !triedLo && lo == -1:
				s, triedLo = -1, true
			case s >= 1 && !triedHi && hi == 1:
				s, triedHi = 1, true
			default:
				s = (lo + hi) / 2
			}
		}
	}
	return s, q, slope, false
}

// middle returns the middle of the stretch of the segment c + s·g that lies q outside the block, as c + s·g
// does at s.
func (f *block) middle(c, g, q triple, s float64) float64 {
	lo, hi := -1.0, 1.0
	for i, k := range g {
		switch k = math.Abs(k); {
		case k <= closes/20: // the same all along
		case q[i] != 0:
			return s
		default:
			m := -c[i] / g[i]
			lo, hi = max(lo, m-f.h[i]/k), min(hi, m+f.h[i]/k)
		}
	}
	if lo <= s && s <= hi {
		return (lo + hi) / 2
	}
	return s
}

// squareOn reports whether a unit direction, with ng its share of a half length of the square gg, is square to a
// cylinder of radius r but for what a proof may leave open.
func squareOn(ng, gg, r float64) bool {
	const by = 0.25 * closes
	return math.Abs(ng) <= by && r*r*ng*ng <= by*by*gg
}

// boxRound returns the gap of the level box p, f in its frame, from the round body r, and whether it was found;
// if not, the direction at least of p from the axis of r.
func boxRound(p, r *Body, f *block) (Measure, bool) {
	c, g := f.of(r.Centre.Sub(p.Centre)), f.of(r.Along)
	s, q, slope, ok := f.pierced(c, g)
	if !ok {
		return Measure{}, false
	}
	d := math.Sqrt(q.dot(q))
	gg := g.dot(g)
	if gg < noAxis {
		return Measure{}, false
	}
	in := d <= closes/10
	side := in || squareOn(slope/d, gg, r.W)
	if side {
		s = f.middle(c, g, q, s)
	}
	e := c.plus(s, g)  // the point of the axis
	v := e.plus(-1, q) // and that of the box
	if side {
		at := p.Centre.Add(f.space(v))
		if in || d <= r.W+closes {
			return touching(at, at), true
		}
		n := f.space(q).Mul(1 / d)
		return Measure{MM: d - r.W, A: at, B: at.Add(n.Mul(d - r.W)), Dir: n}, true
	}
	if s*s != 1 {
		return Measure{Dir: f.space(q)}, false // rounding left the place in doubt
	}
	w := triple{}.plus(s/math.Sqrt(gg), g) // out of the end; the box lies ahead
	hint := Measure{Dir: f.space(q)}
	done := func(v, m, n triple) (Measure, bool) {
		if m, ok := proven(p, r, f.space(v), f.space(m.plus(-1, c)), f.space(n)); ok {
			return m, true
		}
		return hint, false
	}

	// The flat end against a corner, edge or face.
	u := triple{facing(-w[0], e[0], f.h[0]), facing(-w[1], e[1], f.h[1]), facing(-w[2], e[2], f.h[2])}
	x := u.plus(-1, e)
	if k := x.dot(w); k > -closes && x.plus(-k, w).norm2() <= r.W*r.W {
		return done(u, u.plus(-k, w), triple{}.plus(-1, w))
	}
	// The rim against a face.
	clear := 0
	for i, k := range q {
		if k == 0 {
			continue
		}
		clear++
		if k*w[i] >= 0 || w[i]*w[i] > 1-1e-10 {
			continue
		}
		var n triple
		n[i] = math.Copysign(1, k)
		m := rim(e, w, n, r.W)
		o := f.out(m)
		if o.norm2() <= closes*closes {
			at := p.Centre.Add(f.space(m))
			return touching(at, at), true
		}
		if o[(i+1)%3] == 0 && o[(i+2)%3] == 0 && o[i]*k > 0 {
			return done(m.plus(-1, o), m, n)
		}
	}
	switch clear {
	case 3: // against a corner
		x = v.plus(-1, e)
		x = x.plus(-x.dot(w), w)
		m := e.plus(r.W/math.Sqrt(x.norm2()), x)
		if m, ok := done(v, m, m.plus(-1, v)); ok {
			return m, true
		}
	case 2: // against an edge
		k := 0
		for q[k] != 0 {
			k++
		}
		i, j := (k+1)%3, (k+2)%3
		n, ok := rimAcross(heading{e[i] - v[i], e[j] - v[j]}, heading{w[i], w[j]}, w[k], r.W)
		if !ok {
			return hint, false
		}
		var t triple
		t[i], t[j] = n.c, n.s
		m := rim(e, w, t, r.W)
		if math.Abs(m[k]) <= f.h[k] {
			v[k] = m[k]
			return done(v, m, t)
		}
	}
	return hint, false
}

// facing returns the coordinate of the side of [-h, h] that lies furthest along n; where n is nothing, that
// nearest to e.
func facing(n, e, h float64) float64 {
	if math.Abs(n) <= 1e-12 {
		return max(-h, min(h, e))
	}
	return math.Copysign(h, n)
}

// rim returns the point lowest along n of the circle of radius r about e, square to the unit vector w; e where n
// is along w.
func rim(e, w, n triple, r float64) triple {
	p := n.plus(-n.dot(w), w)
	l := p.dot(p)
	if l < 1e-6 { // near the axis: what cancelling leaves is squared to it once more
		p = p.plus(-p.dot(w), w)
		if l = p.dot(p); l < onAxis*onAxis {
			return e
		}
	}
	return e.plus(-r/math.Sqrt(l), p)
}

// rimAcross returns the direction in a plane in which a circle of radius r is furthest from the origin: n
// with the greatest n·e - r·|n - (n·w)w|. e and w are the plane's parts of its middle and of its unit axis, and out
// is the axis' part square to the plane.
//
// In the plane the circle is an ellipse with the half axes r, square to w, and r·|out|, along w. At its point nearest
// to p the normal is that of the ellipse as well: (p0/(t+r0²), p1/(t+r1²)) for the one t that brings the point on to it,
// which Newton's method finds from below without ever passing it.
func rimAcross(e, w heading, out, r float64) (n heading, ok bool) {
	l := plain(w.c, w.s)
	if l < 1e-9 || r == 0 {
		return e.unit(), true
	}
	minor := heading{w.c / l, w.s / l}
	major := heading{-minor.s, minor.c}
	p0, p1 := major.dot(e), minor.dot(e)
	x, y, r1 := math.Abs(p0), math.Abs(p1), r*math.Abs(out)
	var n0, n1 float64
	switch {
	case r1 < 1e-12*r && x <= r:
		n1 = 1 // the flat of a disk that is seen from the edge
	case r1 < 1e-12*r:
		n0, n1 = x-r, y
	default:
		t := max(r1*(y-r1), r*(x-r))
		if t == 0 {
			return n, false
		}
		for step := 0; ; step++ {
			a, b := 1/(t+r*r), 1/(t+r1*r1)
			u, v := r*x*a, r1*y*b
			f := u*u + v*v - 1
			by := f / (2 * (u*u*a + v*v*b))
			t += by
			if !(by > 1e-15*math.Abs(t)) {
				break
			}
			if step == 40 {
				return n, false
			}
		}
		n0, n1 = x/(t+r*r), y/(t+r1*r1)
	}
	n0, n1 = math.Copysign(n0, p0), math.Copysign(n1, p1)
	n = heading{major.c*n0 + minor.c*n1, major.s*n0 + minor.s*n1}
	if n == (heading{}) {
		return n, false
	}
	return n.unit(), true
}

// feet returns the points s·g and c + t·h, -1 <= s, t <= 1, of two segments that are nearest to each other,
// the middle ones where they run side by side.
func feet(c, g, h r3.Vector) (s, t float64) {
	gg, hh, gh := g.Norm2(), h.Norm2(), g.Dot(h)
	gc, hc := g.Dot(c), h.Dot(c)
	det := gg*hh - gh*gh
	if det > 1e-10*gg*hh {
		s = max(-1, min(1, (gc*hh-gh*hc)/det))
	} else if lo, hi := max(-1, (gc-math.Abs(gh))/gg), min(1, (gc+math.Abs(gh))/gg); lo < hi {
		// So nearly parallel that one end of the stretch on which they run side by side is as near as any
		// point of it.
		l, u := off(c, g, h, lo, (gh*lo-hc)/hh), off(c, g, h, hi, (gh*hi-hc)/hh)
		switch {
		case math.Abs(l-u) <= closes/20:
			s = (lo + hi) / 2
		case l < u:
			s = lo
		default:
			s = hi
		}
	} else {
		s = max(-1, min(1, (lo+hi)/2))
	}
	t = (gh*s - hc) / hh
	if t < -1 || t > 1 {
		t = math.Copysign(1, t)
		s = max(-1, min(1, (gc+gh*t)/gg))
	}
	return s, t
}

// off returns how far c + t·h lies from s·g.
func off(c, g, h r3.Vector, s, t float64) float64 { return c.Add(h.Mul(t)).Sub(g.Mul(s)).Norm() }

// roundRound returns the gap of two round bodies, and whether it was found; if not, the direction at least from one
// axis to the other.
func roundRound(a, b *Body) (Measure, bool) {
	c, g, h := b.Centre.Sub(a.Centre), a.Along, b.Along
	gg, hh := g.Norm2(), h.Norm2()
	if gg < noAxis || hh < noAxis {
		return Measure{}, false
	}
	wa, wb := g.Mul(1/math.Sqrt(gg)), h.Mul(1/math.Sqrt(hh))
	if lean := wa.Cross(wb).Norm2(); lean <= 1e-12 {
		if l := a.W + b.W + math.Sqrt(gg) + math.Sqrt(hh); lean*l*l <= closes*closes/16 {
			return parallel(a, b, wa, c)
		}
	}
	s, t := feet(c, g, h)
	p, q := g.Mul(s), h.Mul(t)
	v := c.Add(q).Sub(p)
	d := v.Norm()
	if d <= closes/10 {
		return touching(a.Centre.Add(p), b.Centre.Add(q)), true
	}
	n := v.Mul(1 / d)
	ng, nh := n.Dot(g), n.Dot(h)
	endA, endB := !squareOn(ng, gg, a.W), !squareOn(nh, hh, b.W)
	if endA && !(ng*s >= math.Abs(ng)) || endB && !(nh*t <= -math.Abs(nh)) {
		return Measure{}, false // rounding left the feet in doubt
	}
	if !endA && !endB {
		m := d - a.W - b.W
		if m <= closes {
			at := a.Centre.Add(p).Add(n.Mul(min(d, a.W)))
			return touching(at, at), true
		}
		return Measure{MM: m, A: a.Centre.Add(p).Add(n.Mul(a.W)), B: b.Centre.Add(q).Sub(n.Mul(b.W)), Dir: n}, true
	}
	if !endA {
		if m, ok := sideRim(a, b, wa, wb, c, q, n, d); ok {
			return m, true
		}
	}
	if !endB {
		if m, ok := sideRim(b, a, wb, wa, c.Mul(-1), p, n.Mul(-1), d); ok {
			return m.flipped(), true
		}
	}
	// A flat end against what of the other comes lowest over it.
	if endA {
		if m, ok := capOf(a, b, wa.Mul(s), c); ok {
			return m, true
		}
	}
	if endB {
		if m, ok := capOf(b, a, wb.Mul(t), c.Mul(-1)); ok {
			return m.flipped(), true
		}
	}
	return Measure{Dir: v}, false
}

// parallel returns the gap of two cylinders with the same axis direction w.
func parallel(a, b *Body, w, c r3.Vector) (Measure, bool) {
	la, lb := a.Along.Norm(), b.Along.Norm()
	z := c.Dot(w)
	side := c.Sub(w.Mul(z))
	l := side.Norm()
	// The middle of the stretch that they share, or the two ends that face each other.
	p := (max(-la, z-lb) + min(la, z+lb)) / 2
	pa, pb := w.Mul(max(-la, min(la, p))), w.Mul(max(-lb, min(lb, p-z)))
	if l > 0 {
		k := min(1, (a.W+b.W)/l) / (a.W + b.W)
		if a.W+b.W == 0 {
			k = 0
		}
		pa, pb = pa.Add(side.Mul(k*a.W)), pb.Sub(side.Mul(k*b.W))
	}
	return proven(a, b, pa, pb, c.Add(pb).Sub(pa))
}

// sideRim returns the gap of the side of a from the rim of b's end about q. c goes from a to b, n at that end from
// the axis of a, d far.
func sideRim(a, b *Body, wa, wb, c, q, n r3.Vector, d float64) (Measure, bool) {
	o := wa.Cross(n)
	k, ok := rimAcross(heading{d, 0}, heading{wb.Dot(n), wb.Dot(o)}, wb.Dot(wa), b.W)
	if !ok {
		return Measure{}, false
	}
	n = n.Mul(k.c).Add(o.Mul(k.s))
	pb := q.Sub(unitAcross(n, wb).Mul(b.W))
	m := c.Add(pb) // about a's centre
	along := m.Dot(wa)
	if along*along > a.Along.Norm2() {
		return Measure{}, false
	}
	foot := wa.Mul(along)
	if m.Sub(foot).Norm2() <= a.W*a.W {
		at := a.Centre.Add(m)
		return touching(at, at), true
	}
	return proven(a, b, foot.Add(n.Mul(a.W)), pb, n)
}

// capOf returns the gap of the flat end of a, w out of it, from b.
func capOf(a, b *Body, w, c r3.Vector) (Measure, bool) {
	pb := b.furthest(w.Mul(-1))
	m := c.Add(pb) // about a's centre
	k := m.Dot(w) - a.Along.Norm()
	if k <= -closes || m.Sub(w.Mul(m.Dot(w))).Norm2() > a.W*a.W {
		return Measure{}, false
	}
	return proven(a, b, m.Sub(w.Mul(k)), pb, w)
}

// unitAcross returns the unit vector of n's part square to the unit vector w, nothing where there is none.
func unitAcross(n, w r3.Vector) r3.Vector {
	p, l := across(n, w)
	if l < onAxis {
		return r3.Vector{}
	}
	return p.Mul(1 / l)
}

// furthest returns the point of b, about its centre, that lies furthest along the unit vector n.
func (b *Body) furthest(n r3.Vector) r3.Vector {
	k := n.Dot(b.Along)
	p := b.Along
	if k < 0 {
		p = p.Mul(-1)
	}
	if b.Round {
		var w r3.Vector
		if l2 := b.Along.Norm2(); l2 >= noAxis {
			w = b.Along.Mul(1 / math.Sqrt(l2))
		}
		return p.Add(unitAcross(n, w).Mul(b.W))
	}
	w := b.W
	if b.Across.X*n.X+b.Across.Y*n.Y < 0 {
		w = -w
	}
	p.X += w * b.Across.X
	p.Y += w * b.Across.Y
	p.Z += math.Copysign(b.H, n.Z)
	return p
}
