package body

import (
	"math"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"
)

// The least horizontal shift that parts two bodies is the distance of the origin from the edge of the cut of C
// at z = 0, from inside.
//
//  1. How far the cut reaches in a plan direction m (reach) is how far C does along the best of the
//     directions (m, t) of any slope t: a sum of lengths |a + b·t| and of circles, convex in t. Its corners are known;
//     each is tried, and halves the range; between two of them Newton's method has the rest.
//  2. Faces, edges across axes and flat ends give plan directions at once, each an upper bound. From the best of
//     them a ring of four directions is made.
//  3. Between two neighbours on the ring the cut holds the chord of the points where it reaches furthest: the
//     chord's distance is a lower bound there. A range whose bound is as good as the best is done, else it is
//     cut in two at the chord's normal.

// node is a plan direction, how far a figure reaches along it, and where.
type node struct {
	m heading
	h float64
	x r2.Point
	z float64 // how far the point is off the level of the figure
}

// floor returns what the support of a convex figure is no less than between two of its nodes, and where to
// look next.
func floor(p, q *node) (float64, heading) {
	l, next := min(p.h, q.h), p.m.middle(q.m)
	d := q.x.Sub(p.x)
	if n := plain(d.X, d.Y); n > 0 {
		m := heading{d.Y / n, -d.X / n}
		if p.m.cross(m) > 0 && m.cross(q.m) > 0 {
			l = min(l, max(p.x.X*m.c+p.x.Y*m.s, q.x.X*m.c+q.x.Y*m.s))
			next = m
		}
	}
	// A point on the far side of the origin is nearest where it lies straight behind.
	for _, x := range [2]r2.Point{p.x, q.x} {
		if n := plain(x.X, x.Y); n > 0 {
			m := heading{-x.X / n, -x.Y / n}
			if p.m.cross(m) > 0 && m.cross(q.m) > 0 {
				l = min(l, -n)
			}
		}
	}
	return l, next
}

// cutAt is the cut of a shape at z = 0, about the origin, and what is known of its nearest edge.
type cutAt struct {
	shape
	top   Parting
	low   float64 // the least lower bound of the ranges that are done
	calls int
}

// tilted is what counts in one plan direction m: the parts along m and upwards of segments, and along m, across
// it and upwards of axes.
type tilted struct {
	a, b       [8]float64
	wm, wo, wz [2]float64
}

// slope returns the slope in t of how far the shape reaches along (m, t), without the parts in tied, and how it bends.
func (s *cutAt) slope(k *tilted, t float64, tied uint16) (slope, bend float64) {
	slope = s.c.Z
	for i := 0; i < s.n; i++ {
		if tied>>i&1 == 0 {
			if k.a[i]+k.b[i]*t > 0 {
				slope += k.b[i]
			} else {
				slope -= k.b[i]
			}
		}
	}
	for i := 0; i < s.nd; i++ {
		if tied>>(s.n+i)&1 != 0 {
			continue
		}
		// The square of (m, t) across the axis, without cancelling.
		e, o := t*k.wm[i]-k.wz[i], k.wo[i]*k.wo[i]
		q := math.Sqrt(e*e + o + t*t*o)
		if q == 0 {
			continue
		}
		d := (e*k.wm[i] + t*o) / q
		slope += s.r[i] * d
		bend += s.r[i] * max(0, k.wm[i]*k.wm[i]+o-d*d) / q
	}
	return slope, bend
}

// corner returns where the part i, a segment or after those a disk, turns, and whether it does.
func (s *cutAt) corner(k *tilted, i int) (float64, bool) {
	if i < s.n {
		return -k.a[i] / k.b[i], math.Abs(k.b[i]) > 1e-12*math.Abs(k.a[i])
	}
	i -= s.n
	return k.wz[i] / k.wm[i], math.Abs(k.wo[i]) <= 1e-15 && math.Abs(k.wm[i]) > 1e-3
}

// reach returns the node of the unit plan direction m; false where Newton's method does not close in.
func (s *cutAt) reach(m heading) (node, bool) {
	var k tilted
	for i := 0; i < s.n; i++ {
		k.a[i], k.b[i] = s.g[i].X*m.c+s.g[i].Y*m.s, s.g[i].Z
	}
	for i := 0; i < s.nd; i++ {
		k.wm[i], k.wo[i], k.wz[i] = s.w[i].X*m.c+s.w[i].Y*m.s, s.w[i].Y*m.c-s.w[i].X*m.s, s.w[i].Z
	}
	lo, hi := math.Inf(-1), math.Inf(1)
	// A corner is where segments turn, or where a disk is looked at from the edge along its own axis. What turns
	// there, together up to turn either way, may level the slope by its share of that; else it halves the range.
	for i := 0; i < s.n+s.nd; i++ {
		t, ok := s.corner(&k, i)
		if !ok || t <= lo || t >= hi {
			continue
		}
		tied, turn := uint16(0), 0.0
		for j := 0; j < s.n+s.nd; j++ {
			if u, ok := s.corner(&k, j); ok && math.Abs(u-t) <= 1e-15*math.Abs(t) {
				tied |= 1 << j
				if j < s.n {
					turn += math.Abs(k.b[j])
				} else {
					turn += s.r[j-s.n] * math.Abs(k.wm[j-s.n])
				}
			}
		}
		switch slope, _ := s.slope(&k, t, tied); {
		case slope-turn > 0:
			hi = t
		case slope+turn < 0:
			lo = t
		default:
			return s.nodeAt(m, &k, t, tied, -slope/turn), true
		}
	}
	// A disk seen nearly from the edge turns within a narrow range.
	for i := 0; i < s.nd; i++ {
		if t := k.wz[i] / k.wm[i]; math.Abs(k.wm[i]) > 1e-3 && t > lo && t < hi {
			if slope, _ := s.slope(&k, t, 0); slope > 0 {
				hi = t
			} else {
				lo = t
			}
		}
	}
	t := halfway(lo, hi)
	small := 1e-14 * s.scale
	width := math.Inf(1)
	for step := range 100 {
		slope, bend := s.slope(&k, t, 0)
		if math.Abs(slope) <= small {
			return s.nodeAt(m, &k, t, 0, 0), true
		}
		if slope > 0 {
			hi = t
		} else {
			lo = t
		}
		next := t - slope/bend
		if !(next > lo && next < hi) || step%4 == 3 && hi-lo > width/4 {
			next = halfway(lo, hi)
		}
		if step%4 == 3 {
			width = hi - lo
		}
		fine := 1e-15 * (1 + math.Abs(t))
		if math.Abs(next-t) <= fine {
			if math.Abs(slope) <= 1e-9 {
				return s.nodeAt(m, &k, t, 0, 0), true
			}
			next = halfway(lo, hi)
		}
		if hi-lo <= fine {
			// So narrow a turn that no t is level enough: the points on both sides of it are mixed.
			p, q := s.nodeAt(m, &k, lo, 0, 0), s.nodeAt(m, &k, hi, 0, 0)
			if !(p.z < 0 && q.z > 0) {
				return node{}, false
			}
			f := p.z / (p.z - q.z)
			p.x = p.x.Mul(1 - f).Add(q.x.Mul(f))
			p.h, p.z = max(p.h, q.h), 0
			return p, true
		}
		t = next
	}
	return node{}, false
}

// halfway returns a number between two, either of which may be infinite.
func halfway(lo, hi float64) float64 {
	switch {
	case math.IsInf(lo, 0) && math.IsInf(hi, 0):
		return 0
	case math.IsInf(lo, 0):
		return hi - 2*math.Abs(hi) - 1
	case math.IsInf(hi, 0):
		return lo + 2*math.Abs(lo) + 1
	}
	return (lo + hi) / 2
}

// nodeAt returns the node of (m, t), with the parts in tied at their share of the way.
func (s *cutAt) nodeAt(m heading, k *tilted, t float64, tied uint16, share float64) node {
	x := s.c
	for i := 0; i < s.n; i++ {
		f := 1.0
		switch {
		case tied>>i&1 != 0:
			f = math.Copysign(share, share*k.b[i])
		case k.a[i]+k.b[i]*t <= 0:
			f = -1
		}
		x = x.Add(s.g[i].Mul(f))
	}
	for i := 0; i < s.nd; i++ {
		if tied>>(s.n+i)&1 != 0 {
			// In the disk, upright over m.
			f := math.Copysign(share, share*k.wm[i]) * s.r[i]
			x = x.Add(r3.Vector{X: -k.wz[i] * m.c, Y: -k.wz[i] * m.s, Z: k.wm[i]}.Mul(f))
			continue
		}
		n := r3.Vector{X: m.c, Y: m.s, Z: t}
		x = x.Add(unitAcross(n.Mul(1/n.Norm()), s.w[i]).Mul(s.r[i]))
	}
	return node{m, x.X*m.c + x.Y*m.s + x.Z*t, r2.Point{X: x.X, Y: x.Y}, x.Z}
}

// try takes in the node of a direction.
func (s *cutAt) try(m heading) (node, bool) {
	s.calls++
	n, ok := s.reach(m)
	if n.h < s.top.MM && ok {
		s.top.MM, s.top.Dir = n.h, r2.Point{X: m.c, Y: m.s}
	}
	return n, ok
}

// nearest finds the nearest edge of the cut, or one that is not over enough; false where it is given up.
func (s *cutAt) nearest(enough float64) bool {
	s.top.MM, s.low = math.Inf(1), math.Inf(1)
	var first heading
	var best node
	best.h = math.Inf(1)
	look := func(x, y float64) bool {
		l := plain(x, y)
		if l < 1e-6 {
			return true
		}
		m := heading{x / l, y / l}
		if m.c*s.c.X+m.s*s.c.Y > 0 {
			m = heading{-m.c, -m.s}
		}
		n, ok := s.try(m)
		if n.h < best.h {
			best, first = n, m
		}
		return ok
	}
	for i := 0; i < s.n; i++ {
		if !look(-s.g[i].Y, s.g[i].X) {
			return false
		}
	}
	for i := 0; i < s.nd; i++ {
		if !look(s.w[i].X, s.w[i].Y) {
			return false
		}
	}
	if s.nd == 2 {
		if n := s.w[0].Cross(s.w[1]); !look(n.X, n.Y) {
			return false
		}
	}
	if math.IsInf(best.h, 1) {
		return false
	}
	if s.top.MM <= enough {
		return true
	}
	ring := [5]node{best}
	for i := range 3 {
		first = heading{-first.s, first.c}
		n, ok := s.try(first)
		if !ok {
			return false
		}
		ring[i+1] = n
	}
	ring[4] = best
	for i := range 4 {
		if !s.split(&ring[i], &ring[i+1], enough) {
			return false
		}
	}
	s.top.Bound = max(0, s.top.MM-s.low)
	return true
}

// split settles the range between two nodes.
func (s *cutAt) split(p, q *node, enough float64) bool {
	l, m := floor(p, q)
	if s.top.MM <= enough {
		return true
	}
	if l >= s.top.MM-1e-7 {
		s.low = min(s.low, l)
		return true
	}
	if !(p.m.cross(m) > 1e-15 && m.cross(q.m) > 1e-15) || s.calls > 200 {
		return false
	}
	r, ok := s.try(m)
	if !ok {
		return false
	}
	// The better half first: it may spare the other.
	if p.h < q.h {
		return s.split(p, &r, enough) && s.split(&r, q, enough)
	}
	return s.split(&r, q, enough) && s.split(p, &r, enough)
}

// quickPart returns Part, whether the bodies overlap, and whether it was found.
func quickPart(a, b *Body) (p Parting, ok, done bool) {
	s := cutAt{shape: difference(*a, *b)}
	shared := s.half(r3.Vector{Z: 1}) - math.Abs(s.c.Z)
	if shared < 1e-6 {
		return p, false, false
	}
	tol := s.rounding()
	r := s.upright()
	if s.nd == 0 {
		p = s.edges()
		if math.IsInf(p.MM, 1) || r > 0 && p.MM <= 1e-6 && p.MM+r > tol {
			return p, false, false // in the round of a corner
		}
	} else {
		if !s.nearest(tol - r) {
			return p, false, false
		}
		p = s.top
	}
	p.MM += r
	p.Bound += 1e-9 + 1e-14*s.scale
	if p.MM <= tol {
		return p, false, true // they touch along that direction at most
	}
	// C holds a disk of radius p at z = 0 and points that high above and below it, no further away than it is
	// long. Where so flat a thing is as thin as rounding, it decides.
	return p, true, p.MM*shared > 4e-6*s.scale
}
