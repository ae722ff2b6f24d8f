package body

import (
	"math"

	"github.com/golang/geo/r3"
)

// The gap by walking corners: the point nearest to the origin of a few support points of C (a point, a segment,
// a triangle, or, where they hold the origin, a four-sided solid) says in which direction to look for
// the next one.
//
//  1. Look along n from the nearest point so far: the support point there shows that nothing of C is nearer than
//     its share of n.
//  2. If that closes on the nearest point, or the origin lies inside, done.
//  3. Else take it in, and drop what the new nearest point does not need.
//
// Both answers are proofs by themselves: two points and a direction, or a common point. What does not close in a
// few steps is left to the general search.

// vertex is a point of C and the point of a, about its centre, that it is made with.
type vertex struct{ x, a r3.Vector }

// simplex is up to four vertices and their shares of the nearest point.
type simplex struct {
	v     [4]vertex
	share [4]float64
	n     int
}

// edge returns the point of a segment nearest to the origin, and how far along it lies.
func edge(p, q r3.Vector) (x r3.Vector, t float64) {
	d := q.Sub(p)
	l := d.Norm2()
	t = -p.Dot(d)
	switch {
	case t <= 0 || l == 0:
		return p, 0
	case t >= l:
		return q, 1
	}
	t /= l
	return p.Add(d.Mul(t)), t
}

// face returns the point of a triangle nearest to the origin, and its shares.
func face(a, b, c r3.Vector) (x r3.Vector, pa, pb, pc float64) {
	ab, ac := b.Sub(a), c.Sub(a)
	d1, d2 := -ab.Dot(a), -ac.Dot(a)
	if d1 <= 0 && d2 <= 0 {
		return a, 1, 0, 0
	}
	d3, d4 := -ab.Dot(b), -ac.Dot(b)
	if d3 >= 0 && d4 <= d3 {
		return b, 0, 1, 0
	}
	vc := d1*d4 - d3*d2
	if vc <= 0 && d1 >= 0 && d3 <= 0 {
		t := d1 / (d1 - d3)
		return a.Add(ab.Mul(t)), 1 - t, t, 0
	}
	d5, d6 := -ab.Dot(c), -ac.Dot(c)
	if d6 >= 0 && d5 <= d6 {
		return c, 0, 0, 1
	}
	vb := d5*d2 - d1*d6
	if vb <= 0 && d2 >= 0 && d6 <= 0 {
		t := d2 / (d2 - d6)
		return a.Add(ac.Mul(t)), 1 - t, 0, t
	}
	va := d3*d6 - d5*d4
	if va <= 0 && d4-d3 >= 0 && d5-d6 >= 0 {
		t := (d4 - d3) / ((d4 - d3) + (d5 - d6))
		return b.Add(c.Sub(b).Mul(t)), 0, 1 - t, t
	}
	// Inside: the foot of the origin on the plane, by its normal.
	n := ab.Cross(ac)
	k := n.Dot(a) / n.Norm2()
	s := 1 / (va + vb + vc)
	return n.Mul(k), va * s, vb * s, vc * s
}

// nearest brings the simplex down to the part of it nearest to the origin, and returns that point; inside
// where the simplex holds the origin.
func (s *simplex) nearest() (x r3.Vector, inside bool) {
	switch s.n {
	case 1:
		s.share[0] = 1
		return s.v[0].x, false
	case 2:
		x, t := edge(s.v[0].x, s.v[1].x)
		s.share[0], s.share[1] = 1-t, t
		s.drop()
		return x, false
	case 3:
		x, s.share[0], s.share[1], s.share[2] = face(s.v[0].x, s.v[1].x, s.v[2].x)
		s.drop()
		return x, false
	}
	// The origin lies behind every face, or is nearest to one that it lies before.
	best := math.Inf(1)
	var share [4]float64
	p := [4]r3.Vector{s.v[0].x, s.v[1].x, s.v[2].x, s.v[3].x}
	for i := range 4 {
		j, k, l := (i+1)%4, (i+2)%4, (i+3)%4
		n := p[k].Sub(p[j]).Cross(p[l].Sub(p[j]))
		o, d := -n.Dot(p[j]), n.Dot(p[i].Sub(p[j]))
		if o*d > 0 && math.Abs(d) > 1e-10*n.Norm()*p[i].Sub(p[j]).Norm() {
			continue // the origin lies on the side of the fourth vertex
		}
		y, pj, pk, pl := face(p[j], p[k], p[l])
		if q := y.Norm2(); q < best {
			best, x = q, y
			share[i], share[j], share[k], share[l] = 0, pj, pk, pl
		}
	}
	if math.IsInf(best, 1) {
		// Inside: the shares are those of the volumes.
		vol := func(a, b, c r3.Vector) float64 { return a.Dot(b.Cross(c)) }
		v := [4]float64{
			vol(p[1], p[2], p[3]), -vol(p[0], p[2], p[3]), vol(p[0], p[1], p[3]), -vol(p[0], p[1], p[2]),
		}
		sum := v[0] + v[1] + v[2] + v[3]
		for i := range v {
			s.share[i] = v[i] / sum
		}
		return r3.Vector{}, true
	}
	s.share = share
	s.drop()
	return x, false
}

// drop leaves out the vertices that have no share.
func (s *simplex) drop() {
	n := 0
	for i := 0; i < s.n; i++ {
		if s.share[i] > 0 {
			s.v[n], s.share[n] = s.v[i], s.share[i]
			n++
		}
	}
	s.n = n
}

// walk returns the gap of a and b, and whether it closed. n is where to look first, from a to b.
func walk(a, b *Body, n r3.Vector) (Measure, bool) {
	c := b.Centre.Sub(a.Centre)
	scale := math.Abs(c.X) + math.Abs(c.Y) + math.Abs(c.Z) + a.extent() + b.extent()
	var s simplex
	var at r3.Vector
	d, low := math.Inf(1), math.Inf(-1)
	for range 40 {
		l := n.Norm()
		if !(l > 0) {
			return Measure{}, false
		}
		n = n.Mul(1 / l)
		pa := a.furthest(n)
		p := c.Add(b.furthest(n.Mul(-1))).Sub(pa)
		if f := n.Dot(p); f > low {
			low, at = f, n
		}
		if d-low <= closes/2 || d-low <= 1e-13*scale {
			break
		}
		s.v[s.n] = vertex{p, pa}
		s.n++
		y, inside := s.nearest()
		if inside || y.Norm() <= closes/10 {
			x, pa, ok := s.mixed()
			p := a.Centre.Add(pa)
			return touching(p, p.Add(x)), ok && x.Norm() <= closes/10
		}
		e := y.Norm()
		n = y
		if e >= d {
			break // no nearer: rounding has the rest
		}
		d = e
	}
	x, pa, ok := s.mixed()
	if !ok {
		return Measure{}, false
	}
	pb := x.Sub(c).Add(pa)
	if m, ok := proven(a, b, pa, pb, at); ok {
		return m, true
	}
	// Squared to the sides of what is nearest the direction may do: along long sides rounding shows.
	for i := 1; i < s.n; i++ {
		at = squared(at, s.v[i].x.Sub(s.v[0].x))
	}
	return proven(a, b, pa, pb, at)
}

// mixed returns the point that the vertices make by their shares, and its part of a; false where a share is
// none.
func (s *simplex) mixed() (x, a r3.Vector, ok bool) {
	sum := 0.0
	for i := 0; i < s.n; i++ {
		k := s.share[i]
		if !(k >= 0) {
			return x, a, false
		}
		sum += k
		x, a = x.Add(s.v[i].x.Mul(k)), a.Add(s.v[i].a.Mul(k))
	}
	return x, a, math.Abs(sum-1) <= 1e-12
}

// squared returns n less its part along d, where that is but rounding.
func squared(n, d r3.Vector) r3.Vector {
	l := d.Norm2()
	if l == 0 {
		return n
	}
	k := n.Dot(d) / l
	if math.Abs(k)*math.Sqrt(l) > 1e-6 {
		return n
	}
	return n.Sub(d.Mul(k))
}

// extent returns a length that no point of b lies further from its centre than.
func (b *Body) extent() float64 {
	return math.Abs(b.Along.X) + math.Abs(b.Along.Y) + math.Abs(b.Along.Z) + b.W + b.H
}
