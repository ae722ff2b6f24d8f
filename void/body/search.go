package body

import (
	"math"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"
)

// Every measure between bodies a and b is a question about one convex set, their difference
// C = b - a = c + sum of segments [-1,1]·g + sum of disks. It is symmetric about c. Its lower
// support f(n) = min{n·x : x in C} is concave and homogeneous, and each measure is
//
//	max f(n) over n with gauge(n) = 1
//
// where the gauge is |n| (Gap), n·dir (Span) or the plan length of n (Beside). The search:
//
//  1. A frame (e, u, v): e is a pole in which f is not positive, u leads to a known point of C
//     (so that n·u > 0 wherever f is positive). n = C·e + S·m, m = cu·u + su·v: a meridian and a
//     place on it. On every meridian and across the meridians f/gauge is quasi-concave.
//  2. Along a meridian (best): C projects to a plane figure of corners and elliptic arcs. The
//     places where a segment changes sides are known beforehand; each is tested with the
//     segment left free, which either is the answer or halves the range. Between them: closed
//     form for corners, safeguarded Newton where there are arcs.
//  3. Across meridians (search): the sign of the slope is that of the support point's third
//     coordinate. Facet normals and disk axes are tried first from both sides, then a
//     safeguarded secant.
//  4. The support points on both sides of the answer, mixed so that the slopes cancel, are a
//     point of C at the measured distance; n is the proof from the other side.
//
// Nothing is assumed of the segments: they may be parallel, nearly parallel, or zero.

// shape is C, in space or in a frame (X along the pole e, Y along u or m, Z along v or o).
type shape struct {
	c     r3.Vector
	g     [8]r3.Vector // segments, half lengths
	of    [8]int8      // +1 from b, -1 from a, 0 slack
	n     int
	w     [2]r3.Vector // unit axes of the disks; zero for a ball
	r     [2]float64
	part  [2]float64 // how much of the disk is a's, 0 to 1
	nd    int
	scale float64 // longest length that enters a sum
}

// difference returns b - a in space. Parts of no size are left out.
func difference(a, b Body) shape {
	s := shape{c: b.Centre.Sub(a.Centre)}
	s.add(a, -1)
	s.add(b, +1)
	s.scale = s.c.Norm()
	for i := 0; i < s.n; i++ {
		s.scale += s.g[i].Norm()
	}
	for i := 0; i < s.nd; i++ {
		s.scale += s.r[i]
	}
	return s
}

// nothing is a length that is left out, so that no product of two lengths underflows.
const nothing = 1e-60

func (s *shape) add(b Body, of int8) {
	if b.Along.Norm2() > nothing*nothing {
		s.segment(b.Along, of)
	}
	if !b.Round {
		if b.W > nothing && b.Across != (r2.Point{}) {
			s.segment(r3.Vector{X: b.Across.X * b.W, Y: b.Across.Y * b.W}, of)
		}
		if b.H > nothing {
			s.segment(r3.Vector{Z: b.H}, of)
		}
		return
	}
	if b.W <= nothing {
		return
	}
	var w r3.Vector
	if b.Along.Norm2() >= noAxis {
		w = unit(b.Along)
	}
	p := 0.0
	if of < 0 {
		p = 1
	}
	if s.nd == 1 && (w == r3.Vector{}) == (s.w[0] == r3.Vector{}) && w.Cross(s.w[0]).Norm() <= 4e-16 {
		r := s.r[0] + b.W
		s.part[0] = (s.part[0]*s.r[0] + p*b.W) / r
		s.r[0] = r
		return
	}
	s.w[s.nd], s.r[s.nd], s.part[s.nd] = w, b.W, p
	s.nd++
}

func (s *shape) segment(g r3.Vector, of int8) {
	s.g[s.n], s.of[s.n] = g, of
	s.n++
}

// slack adds a segment so short that it stands for rounding alone.
func (s *shape) slack(g r3.Vector) { s.segment(g, 0) }

// rounding returns the length under which two bodies count as touching.
func (s *shape) rounding() float64 { return 2e-9 + 1e-14*s.scale }

// half returns the support of C about its centre in direction n.
func (s *shape) half(n r3.Vector) float64 {
	h := 0.0
	for i := 0; i < s.n; i++ {
		h += math.Abs(n.Dot(s.g[i]))
	}
	for i := 0; i < s.nd; i++ {
		h += s.r[i] * n.Sub(s.w[i].Mul(n.Dot(s.w[i]))).Norm()
	}
	return h
}

// seen returns the shape in the frame (e, u, v).
func (s *shape) seen(e, u, v r3.Vector) shape {
	t := *s
	t.c = coords(s.c, e, u, v)
	for i := 0; i < s.n; i++ {
		t.g[i] = coords(s.g[i], e, u, v)
	}
	for i := 0; i < s.nd; i++ {
		t.w[i] = coords(s.w[i], e, u, v)
	}
	return t
}

func coords(x, e, u, v r3.Vector) r3.Vector {
	return r3.Vector{X: x.Dot(e), Y: x.Dot(u), Z: x.Dot(v)}
}

func uncoords(x, e, u, v r3.Vector) r3.Vector {
	return r3.Vector{
		X: e.X*x.X + u.X*x.Y + v.X*x.Z,
		Y: e.Y*x.X + u.Y*x.Y + v.Y*x.Z,
		Z: e.Z*x.X + u.Z*x.Y + v.Z*x.Z,
	}
}

// across returns the part of n square to the unit axis w (or n, for an axis of zero) and its length.
// Near the axis that part is what cancelling leaves, so it is squared to the axis once more.
func across(n, w r3.Vector) (r3.Vector, float64) {
	k := n.X*w.X + n.Y*w.Y + n.Z*w.Z
	p := r3.Vector{X: n.X - k*w.X, Y: n.Y - k*w.Y, Z: n.Z - k*w.Z}
	l := math.Sqrt(p.X*p.X + p.Y*p.Y + p.Z*p.Z)
	if l < 1e-3 {
		k = p.Dot(w)
		p = r3.Vector{X: p.X - k*w.X, Y: p.Y - k*w.Y, Z: p.Z - k*w.Z}
		l = p.Norm()
	}
	return p, l
}

// unit returns v at length one, zero for zero.
func unit(v r3.Vector) r3.Vector {
	m := math.Max(math.Abs(v.X), math.Max(math.Abs(v.Y), math.Abs(v.Z)))
	if m == 0 {
		return r3.Vector{}
	}
	v = r3.Vector{X: v.X / m, Y: v.Y / m, Z: v.Z / m}
	return v.Mul(1 / v.Norm())
}

// normal returns a unit vector square to g and h, zero where they are exactly parallel. Where they are
// nearly so, what cancelling leaves is squared to the longer one again: it may lean about that one,
// which the shorter hardly shows.
func normal(g, h r3.Vector) r3.Vector {
	c := g.Cross(h)
	n := unit(c)
	if c.Norm2() < 1e-6*g.Norm2()*h.Norm2() {
		if h.Norm2() > g.Norm2() {
			g = h
		}
		u := unit(g)
		for range 2 {
			n = unit(n.Sub(u.Mul(u.Dot(n))))
		}
	}
	return n
}

// frameAbout returns a unit vector square to the unit vector u, as near to z as may be, and the
// third one.
func frameAbout(u r3.Vector) (e, v r3.Vector) {
	e = r3.Vector{Z: 1}
	if math.Abs(u.Z) > 0.99 {
		e = r3.Vector{X: 1}
	}
	e = unit(e.Sub(u.Mul(u.Dot(e))))
	e = unit(e.Sub(u.Mul(u.Dot(e))))
	return e, e.Cross(u)
}

// heading is a unit direction in a plane.
type heading struct{ c, s float64 }

func (h heading) cross(o heading) float64 { return h.c*o.s - h.s*o.c }
func (h heading) dot(o heading) float64   { return h.c*o.c + h.s*o.s }

// turned returns the heading turned by a small angle, anticlockwise.
func (h heading) turned(by float64) heading {
	return heading{h.c - by*h.s, h.s + by*h.c}.unit()
}

func (h heading) unit() heading {
	l := math.Sqrt(h.c*h.c + h.s*h.s)
	if l < 1e-150 || l > 1e150 {
		l = math.Hypot(h.c, h.s)
	}
	return heading{h.c / l, h.s / l}
}

// middle returns the heading half way from h anticlockwise to o, at most half a turn away.
func (h heading) middle(o heading) heading {
	if h.dot(o) < -0.5 {
		return heading{h.s*-1 + o.s, h.c - o.c}.unit() // square to the chord
	}
	return heading{h.c + o.c, h.s + o.s}.unit()
}

// toward returns the heading the share k of the way from h to o, less than half a turn away.
func (h heading) toward(o heading, k float64) heading {
	return heading{h.c + k*(o.c-h.c), h.s + k*(o.s-h.s)}.unit()
}

// spot is a support point of a meridian's plane figure: sides are those of the heading at,
// the segments in the mask tied are at s (as seen by the slope), a disk on its axis is at d.
type spot struct {
	at   heading
	tied uint16
	down uint16 // the tied ones that raise the slope when they are negative
	s    float64
	disk int8 // 1 + index of the disk that is free, 0 for none
	d    r3.Vector
	x    r3.Vector
}

// best is the answer on one meridian.
type best struct {
	m      heading // the meridian
	n      heading // the place on it: n = n.c·e + n.s·m
	f      float64 // n·x
	lo, hi spot
	lam    float64   // x = (1-lam)·lo.x + lam·hi.x
	x      r3.Vector // in (e, m, o)
	free   float64   // where the parts that only show across the meridian are, -1 to 1
	loose  float64   // how far the free disk reaches across
	slope  float64   // across the meridians
}

// meridian is C seen in (e, m, o).
type meridian struct {
	shape
	ball bool   // the gauge along the meridian is |n|, else n·m
	idle uint16 // segments square to the meridian's plane
	size [8]float64
}

// on returns the shape, given in (e, u, v), as seen on a meridian.
func (s *shape) on(m heading, ball bool) meridian {
	t := meridian{shape: *s, ball: ball}
	t.c = r3.Vector{X: s.c.X, Y: m.c*s.c.Y + m.s*s.c.Z, Z: m.c*s.c.Z - m.s*s.c.Y}
	for i := 0; i < s.n; i++ {
		g := s.g[i]
		h := r3.Vector{X: g.X, Y: m.c*g.Y + m.s*g.Z, Z: m.c*g.Z - m.s*g.Y}
		t.g[i] = h
		t.size[i] = math.Abs(h.X) + math.Abs(h.Y) + math.Abs(h.Z)
		if math.Abs(h.X)+math.Abs(h.Y) <= 1e-15*t.size[i] {
			t.idle |= 1 << i
		}
	}
	for i := 0; i < s.nd; i++ {
		g := s.w[i]
		t.w[i] = r3.Vector{X: g.X, Y: m.c*g.Y + m.s*g.Z, Z: m.c*g.Z - m.s*g.Y}
	}
	return t
}

// onAxis is how near the axis of a disk, in radians, a direction is the axis: every point of the disk
// is then a support point, its middle as good as any.
const onAxis = 4e-16

// support returns the point of C lowest along n, the segments in skip and the disk skipDisk
// (1 + index) left at their middle; and the bend, the sum of what the disks give to the slope's
// own slope.
func (t *meridian) support(n heading, skip uint16, skipDisk int8) (x r3.Vector, bend float64) {
	x = t.c
	skip |= t.idle
	for i := 0; i < t.n; i++ {
		if skip>>i&1 != 0 {
			continue
		}
		g := &t.g[i]
		if n.c*g.X+n.s*g.Y > 0 {
			x.X -= g.X
			x.Y -= g.Y
			x.Z -= g.Z
		} else {
			x.X += g.X
			x.Y += g.Y
			x.Z += g.Z
		}
	}
	for i := 0; i < t.nd; i++ {
		if int8(i+1) == skipDisk {
			continue
		}
		w := &t.w[i]
		p, l := across(r3.Vector{X: n.c, Y: n.s}, *w)
		if l < onAxis {
			continue
		}
		r := t.r[i] / l
		x.X -= r * p.X
		x.Y -= r * p.Y
		x.Z -= r * p.Z
		k := n.c*w.Y - n.s*w.X // n'·w
		q := r3.Vector{X: -n.s - k*w.X, Y: n.c - k*w.Y, Z: -k * w.Z}
		pq := p.Dot(q) / l
		bend += r * math.Max(0, q.Norm2()-pq*pq)
	}
	return x, bend
}

// slope returns the slope along the meridian that x gives at n, and n·x. A positive slope says
// that the answer lies further from e.
func (t *meridian) slope(n heading, x r3.Vector) (slope, f float64) {
	f = n.c*x.X + n.s*x.Y
	if t.ball && f > 0 {
		return n.c*x.Y - n.s*x.X, f
	}
	return -x.X, f
}

// tilt returns the part of the slope that g gives at n, of the kind that f calls for.
func (t *meridian) tilt(n heading, f float64, g r3.Vector) float64 {
	if t.ball && f > 0 {
		return n.c*g.Y - n.s*g.X
	}
	return -g.X
}

// best returns the greatest f/gauge on the meridian. guess is a place to begin with where arcs are met. Each step either has the
// answer or leaves a narrower range for the next.
func (t *meridian) best(guess heading) best {
	r := between{lo: spot{at: heading{1, 0}}, hi: spot{at: heading{-1, 0}}}
	if b, ok := t.corners(&r); ok {
		return b
	}
	if t.nd == 0 {
		return t.vertex(&r)
	}
	if b, ok := t.flats(&r); ok {
		return b
	}
	if b, ok := t.arcs(&r, guess); ok {
		return b
	}
	return t.ends(&r)
}

// between is the range of a meridian that the answer lies in: the slope is positive at lo and negative at hi, once they are known.
// Until then lo is the pole and hi its opposite.
type between struct {
	lo, hi         spot
	haveLo, haveHi bool
}

func (r *between) above(p spot) { r.lo, r.haveLo = p, true }
func (r *between) below(p spot) { r.hi, r.haveHi = p, true }

// holds reports whether k lies inside the range.
func (r *between) holds(k heading) bool { return r.lo.at.cross(k) > 0 && k.cross(r.hi.at) > 0 }

// corners tests the places on the meridian where segments change sides. There those that do (tied) may lie anywhere between their
// ends: if that can make the slope nothing the answer is there; else the range ends there.
func (t *meridian) corners(r *between) (best, bool) {
	for i := 0; i < t.n; i++ {
		g := &t.g[i]
		if t.idle>>i&1 != 0 || g.X == 0 {
			continue
		}
		k := heading{g.Y, -g.X}
		if k.s < 0 {
			k = heading{-g.Y, g.X}
		}
		k = k.unit()
		if !r.holds(k) || (r.haveLo && r.lo.tied>>i&1 != 0) || (r.haveHi && r.hi.tied>>i&1 != 0) {
			continue
		}
		tied := t.turning(k, i)
		x, _ := t.support(k, tied, 0)
		at, f := t.slope(k, x)
		reach := 0.0
		for j := 0; j < t.n; j++ {
			if tied>>j&1 != 0 {
				reach += math.Abs(t.tilt(k, f, t.g[j]))
			}
		}
		switch {
		case at-reach > 0:
			r.above(t.tie(x, k, f, tied, -1))
		case at+reach < 0:
			r.below(t.tie(x, k, f, tied, 1))
		default:
			s := 0.0
			if reach > 0 {
				s = -at / reach
			}
			p := t.tie(x, k, f, tied, s)
			return best{n: k, f: k.c*p.x.X + k.s*p.x.Y, lo: p, hi: p, x: p.x}, true
		}
	}
	return best{}, false
}

// turning returns the mask of the segments that change sides at k, as segment i does.
func (t *meridian) turning(k heading, i int) uint16 {
	tied := uint16(1) << i
	for j := 0; j < t.n; j++ {
		if j != i && t.idle>>j&1 == 0 && math.Abs(k.c*t.g[j].X+k.s*t.g[j].Y) <= 1e-15*t.size[j] {
			tied |= 1 << j
		}
	}
	return tied
}

// vertex is the answer between the corners of a figure without arcs, where one point is the support all along.
func (t *meridian) vertex(r *between) best {
	look := r.lo.at.middle(r.hi.at)
	p := spot{at: look}
	p.x, _ = t.support(look, 0, 0)
	n := look
	if l := math.Hypot(p.x.X, p.x.Y); t.ball && l > 0 {
		k := heading{p.x.X / l, p.x.Y / l}
		switch {
		case r.lo.at.cross(k) >= 0 && k.cross(r.hi.at) >= 0:
			n = k
		case look.dot(k) <= 0:
		case look.cross(k) < 0:
			n = r.lo.at
		default:
			n = r.hi.at
		}
	}
	return best{n: n, f: n.c*p.x.X + n.s*p.x.Y, lo: p, hi: p, x: p.x}
}

// flats tests the places on the meridian where a disk is looked at along its axis, or nearly. Along it every point of the disk is
// a support: as at a corner, that may make the slope nothing.
func (t *meridian) flats(r *between) (best, bool) {
	for i := 0; i < t.nd; i++ {
		w := &t.w[i]
		if math.Abs(w.Z) > 1e-3 || math.Abs(w.X)+math.Abs(w.Y) < 0.5 {
			continue
		}
		k := heading{w.X, w.Y}
		if k.s < 0 {
			k = heading{-w.X, -w.Y}
		}
		k = k.unit()
		if !r.holds(k) {
			continue
		}
		if math.Abs(w.Z) > 1e-15 { // nearly: it only narrows the range
			x, _ := t.support(k, 0, 0)
			if at, _ := t.slope(k, x); at > 0 {
				r.above(spot{at: k, x: x})
			} else {
				r.below(spot{at: k, x: x})
			}
			continue
		}
		if b, ok := t.flat(r, i, k); ok {
			return b, true
		}
	}
	return best{}, false
}

// flat is the step of flats for disk i, whose axis k is.
func (t *meridian) flat(r *between, i int, k heading) (best, bool) {
	x, _ := t.support(k, 0, int8(i+1))
	at, f := t.slope(k, x)
	q := heading{-k.s, k.c}                         // along the meridian, in the disk
	tilt := t.tilt(k, f, r3.Vector{X: q.c, Y: q.s}) // of one millimetre of q, not negative
	reach := t.r[i] * tilt
	s := 0.0 // the share of the radius, along q
	switch {
	case at-reach > 0:
		s = -1
	case at+reach < 0:
		s = 1
	case reach > 0:
		s = -at / reach
	}
	p := spot{at: k, disk: int8(i + 1), d: r3.Vector{X: q.c * s * t.r[i], Y: q.s * s * t.r[i]}}
	p.x = x.Add(p.d)
	switch {
	case at-reach > 0:
		r.above(p)
	case at+reach < 0:
		r.below(p)
	default:
		loose := t.r[i] * math.Sqrt(math.Max(0, 1-s*s))
		return best{n: k, f: k.c*p.x.X + k.s*p.x.Y, lo: p, hi: p, x: p.x, loose: loose}, true
	}
	return best{}, false
}

// arcs closes the range where only arcs are left, by Newton's method: a step that leaves the range, or a range that does not shrink
// to a quarter in four steps, is halved instead. It has the answer where the slope comes to nothing.
func (t *meridian) arcs(r *between, guess heading) (best, bool) {
	small := 1e-15 * t.scale
	cur := guess
	if !r.holds(cur) {
		cur = r.lo.at.middle(r.hi.at)
	}
	width := math.Inf(1) // of the range four steps ago
	for step := 0; step < 200; step++ {
		x, bend := t.support(cur, 0, 0)
		at, f := t.slope(cur, x)
		p := spot{at: cur, x: x}
		if math.Abs(at) <= small {
			return best{n: cur, f: f, lo: p, hi: p, x: x}, true
		}
		if at > 0 {
			r.above(p)
		} else {
			r.below(p)
		}
		w := r.lo.at.cross(r.hi.at)
		near := r.lo.at.dot(r.hi.at) > 0
		if near && w <= 2e-15 {
			break
		}
		next := r.lo.at.middle(r.hi.at)
		if step%4 != 3 || (near && w < 0.25*width) {
			steep := cur.s * bend
			if t.ball && f > 0 {
				steep = bend + f
			}
			if by := at / steep; math.Abs(by) < 0.5 {
				if math.Abs(by) < 1e-12 {
					by += math.Copysign(4e-16, by) // a hair too far, to close the range
				}
				if k := cur.turned(by); r.holds(k) {
					next = k
				}
			}
		}
		if step%4 == 3 {
			width = math.Inf(1)
			if near {
				width = w
			}
		}
		if !r.holds(next) {
			next = r.lo.at.middle(r.hi.at)
			if !r.holds(next) {
				break
			}
		}
		cur = next
	}
	return best{}, false
}

// ends is the answer of a range that has no more places inside: the better end for the direction, and the points of both ends
// mixed so that their slopes cancel. At least one end is known, for arcs makes each place it looks at one.
func (t *meridian) ends(r *between) best {
	b := best{lo: r.lo, hi: r.hi}
	switch {
	case r.haveLo && r.haveHi:
		fl, fh := r.lo.at.c*r.lo.x.X+r.lo.at.s*r.lo.x.Y, r.hi.at.c*r.hi.x.X+r.hi.at.s*r.hi.x.Y
		b.n, b.f = r.lo.at, fl
		if fh > fl {
			b.n, b.f = r.hi.at, fh
		}
		slopeLo, slopeHi := t.tilt(b.n, b.f, r.lo.x), t.tilt(b.n, b.f, r.hi.x)
		if slopeLo > slopeHi {
			b.lam = math.Min(1, math.Max(0, slopeLo/(slopeLo-slopeHi)))
		}
		b.x = r.lo.x.Mul(1 - b.lam).Add(r.hi.x.Mul(b.lam))
	case r.haveHi:
		b.n, b.x, b.lam = r.hi.at, r.hi.x, 1
	default:
		b.n, b.x = r.lo.at, r.lo.x
	}
	b.f = b.n.c*b.x.X + b.n.s*b.x.Y
	return b
}

// tie returns the spot at n with the tied segments, which x lacks, at s: each the way that raises
// the slope when s is 1.
func (t *meridian) tie(x r3.Vector, n heading, f float64, tied uint16, s float64) spot {
	p := spot{at: n, tied: tied, s: s}
	for j := 0; j < t.n; j++ {
		if tied>>j&1 == 0 {
			continue
		}
		k := s
		if t.tilt(n, f, t.g[j]) < 0 {
			k = -s
			p.down |= 1 << j
		}
		x = x.Add(t.g[j].Mul(k))
	}
	p.x = x
	return p
}

// parts returns the shares of a and b in the spot p of the meridian, about their centres and
// in (e, m, o): p.x = c + pb - pa (slack apart).
func (t *meridian) parts(p *spot, free, loose float64) (pa, pb r3.Vector) {
	put := func(i int, g r3.Vector) {
		switch t.of[i] {
		case -1:
			pa = pa.Sub(g)
		case 1:
			pb = pb.Add(g)
		}
	}
	for i := 0; i < t.n; i++ {
		g := t.g[i]
		switch {
		case t.idle>>i&1 != 0:
			k := free
			if g.Z < 0 {
				k = -free
			}
			put(i, g.Mul(k))
		case p.tied>>i&1 != 0:
			k := p.s
			if p.down>>i&1 != 0 {
				k = -p.s
			}
			put(i, g.Mul(k))
		case p.at.c*g.X+p.at.s*g.Y > 0:
			put(i, g.Mul(-1))
		default:
			put(i, g)
		}
	}
	for i := 0; i < t.nd; i++ {
		var d r3.Vector
		if p.disk == int8(i+1) {
			d = p.d
			d.Z += free * loose
		} else {
			q, l := across(r3.Vector{X: p.at.c, Y: p.at.s}, t.w[i])
			if l >= onAxis {
				d = q.Mul(-t.r[i] / l)
			}
		}
		pa = pa.Sub(d.Mul(t.part[i]))
		pb = pb.Add(d.Mul(1 - t.part[i]))
	}
	return pa, pb
}

// answer is what a search found, in the frame (e, u, v).
type answer struct {
	n        r3.Vector // unit, the best direction
	positive bool      // f is positive there
	x        r3.Vector // point of C
	pa, pb   r3.Vector // its shares in a and b, about their centres
}

// search maximises f/gauge over the half sphere about u. along and round say whether the
// gauge counts as a length along the meridians and across them; brief, that the search may end once
// the origin is known to lie in C. The shape is in the frame (e, u, v).
func (s *shape) search(along, round, brief bool) answer {
	h := hunt{
		shape: s, along: along, round: round, brief: brief,
		from: heading{0, -1}, to: heading{0, 1}, guess: heading{0, 1}, small: 1e-15 * s.scale,
	}
	h.try(heading{1, 0})
	h.facets()
	h.secant()
	return h.answer()
}

// hunt is a search across the meridians of shape: the answer lies between the meridians from, where the slope across is positive,
// and to, where it is negative, once they are known (at first they are a quarter turn to both sides of u).
type hunt struct {
	shape               *shape
	along, round, brief bool // as for search

	from, to       heading
	lo, hi         best // the answers on those two
	haveLo, haveHi bool
	top            best // the best of all so far
	haveTop        bool
	guess          heading // the last place on a meridian, for the next one to begin with
	small          float64 // a slope that is none, mm
	done           bool
}

func (h *hunt) inside(m heading) bool { return h.from.cross(m) > 0 && m.cross(h.to) > 0 }

// value returns f/gauge of an answer on a meridian.
func (h *hunt) value(b *best) float64 {
	switch {
	case h.along:
		return b.f
	case h.round:
		return b.f / b.n.s
	}
	return b.f / (b.n.s * b.m.c)
}

// try looks at a meridian, ends the range there, and returns the slope across.
func (h *hunt) try(m heading) float64 {
	t := h.shape.on(m, h.along)
	b := t.best(h.guess)
	b.m = m
	h.guess = b.n
	h.level(&t, &b)
	if !h.haveTop || h.value(&b) > h.value(&h.top) {
		h.top, h.haveTop = b, true
	}
	switch {
	case math.Abs(b.slope) <= h.small:
		h.lo, h.hi, h.haveLo, h.haveHi, h.done = b, b, true, true, true
		h.from, h.to = m, m
	case b.slope > 0:
		h.lo, h.haveLo, h.from = b, true, m
	default:
		h.hi, h.haveHi, h.to = b, true, m
	}
	if h.brief && h.surrounded() {
		h.done = true
	}
	return b.slope
}

// level sets the slope across the meridians of b, the answer on t. What shows only across the meridian (segments square to its
// plane, a disk seen along its axis) lies where it brings the slope to nothing, or nearest to that.
func (h *hunt) level(t *meridian, b *best) {
	reach := 0.0
	for i := 0; i < t.n; i++ {
		if t.idle>>i&1 != 0 {
			reach += math.Abs(t.g[i].Z)
		}
	}
	reach += b.loose
	if h.round && b.f > 0 {
		b.slope = b.x.Z
	} else {
		b.slope = b.m.s*b.x.Y + b.m.c*b.x.Z
		reach *= b.m.c
	}
	if reach <= 0 {
		return
	}
	switch {
	case b.slope > reach:
		b.free, b.slope = -1, b.slope-reach
	case b.slope < -reach:
		b.free, b.slope = 1, b.slope+reach
	default:
		b.free, b.slope = -b.slope/reach, 0
	}
	for i := 0; i < t.n; i++ {
		if t.idle>>i&1 != 0 {
			b.x.Z += b.free * math.Abs(t.g[i].Z)
		}
	}
	b.x.Z += b.free * b.loose
}

// surrounded reports whether the origin is known to lie in C: the line from the point of one side to that of the other crosses the
// line of u behind it.
func (h *hunt) surrounded() bool {
	lo, hi := &h.lo, &h.hi
	if !(h.haveLo && h.haveHi && !(lo.f > 0) && !(hi.f > 0) && lo.slope > hi.slope) {
		return false
	}
	k := lo.slope / (lo.slope - hi.slope)
	return (1-k)*(lo.m.c*lo.x.Y-lo.m.s*lo.x.Z)+k*(hi.m.c*hi.x.Y-hi.m.s*hi.x.Z) < -h.small
}

// facets tries the meridians on which the slope across may jump: those of disk axes and of the normals of two segments.
func (h *hunt) facets() {
	s := h.shape
	for i := 0; i < s.nd && !h.done; i++ {
		h.bothSides(s.w[i].Y, s.w[i].Z)
	}
	for i := 0; i < s.n && !h.done; i++ {
		for j := i + 1; j < s.n && !h.done; j++ {
			g, k := &s.g[i], &s.g[j]
			h.bothSides(g.Z*k.X-g.X*k.Z, g.X*k.Y-g.Y*k.X)
		}
	}
}

// bothSides tries a hair to both sides of the meridian of the direction with the parts y along u and z along v. It is done where
// the slope changes its sign between them.
func (h *hunt) bothSides(y, z float64) {
	if math.Abs(y)+math.Abs(z) < 1e-140 {
		return
	}
	m := heading{y, z}
	if y < 0 {
		m = heading{-y, -z}
	}
	m = m.unit()
	if !h.inside(m) {
		return
	}
	aside := 1e-13 // radians
	if !h.round {
		aside *= math.Max(m.c, 1e-9) // a gauge that vanishes at the ends calls for finer steps there
	}
	if k := m.turned(-aside); h.inside(k) {
		if h.try(k) <= 0 || h.done {
			return
		}
	}
	if k := m.turned(aside); h.inside(k) {
		if h.try(k) <= 0 && h.haveLo {
			h.done = true
		}
	}
}

// secant closes the range between facets: by the line through both slopes, that of an end that stays put halved each time, and by
// halving the range where it does not shrink to three tenths in three steps, or where the slopes are of two kinds.
func (h *hunt) secant() {
	enough := 1e-10 + 1e-15*h.shape.scale
	wLo, wHi, last := 1.0, 1.0, 0
	width := math.Inf(1) // of the range three steps ago
	for step := 0; step < 200 && !h.done; step++ {
		w := h.from.cross(h.to)
		near := h.from.dot(h.to) > 0
		fine := 1e-15
		if !h.round {
			fine *= math.Max(1e-9, math.Max(h.from.c, h.to.c))
		}
		if near && w <= fine {
			return
		}
		allowed := enough
		if !h.round || !(h.lo.f > 0) {
			allowed *= h.lo.m.c * h.hi.m.c
		}
		alike := near && h.haveLo && h.haveHi && (!h.round || (h.lo.f > 0) == (h.hi.f > 0))
		if alike && math.Min(h.lo.slope, -h.hi.slope)*w <= allowed {
			return
		}
		m := h.from.middle(h.to)
		if alike && (step%3 != 2 || w < 0.3*width) {
			m = h.from.toward(h.to, wLo*h.lo.slope/(wLo*h.lo.slope-wHi*h.hi.slope))
		}
		if step%3 == 2 {
			width = math.Inf(1)
			if near {
				width = w
			}
		}
		if !h.inside(m) {
			m = h.from.middle(h.to)
			if !h.inside(m) {
				return
			}
		}
		if h.try(m) > 0 {
			wLo = 1
			if last > 0 {
				wHi /= 2
			} else {
				wHi = 1
			}
			last = 1
		} else {
			wHi = 1
			if last < 0 {
				wLo /= 2
			} else {
				wLo = 1
			}
			last = -1
		}
	}
}

// answer returns the best direction, and the points of both sides mixed so that the slope across is nothing.
func (h *hunt) answer() answer {
	if !h.haveLo {
		h.lo = h.hi
	}
	if !h.haveHi {
		h.hi = h.lo
	}
	lo, hi, top := &h.lo, &h.hi, &h.top
	ans := answer{positive: top.f > 0}
	ans.n = unit(r3.Vector{X: top.n.c, Y: top.n.s * top.m.c, Z: top.n.s * top.m.s})
	xl, al, bl := h.shape.placed(lo, h.along)
	xh, ah, bh := h.shape.placed(hi, h.along)
	sl, sh := xl.Z, xh.Z
	switch {
	case !h.round || !ans.positive:
	case lo.f > 0 && hi.f > 0:
		sl, sh = lo.slope, hi.slope
	default:
		sl, sh = top.m.c*xl.Z-top.m.s*xl.Y, top.m.c*xh.Z-top.m.s*xh.Y
	}
	k := 0.0
	if sl > sh {
		k = math.Min(1, math.Max(0, sl/(sl-sh)))
	}
	ans.x = xl.Mul(1 - k).Add(xh.Mul(k))
	ans.pa = al.Mul(1 - k).Add(ah.Mul(k))
	ans.pb = bl.Mul(1 - k).Add(bh.Mul(k))
	return ans
}

// placed returns the point of an answer on a meridian and its shares, in (e, u, v).
func (s *shape) placed(b *best, along bool) (x, pa, pb r3.Vector) {
	t := s.on(b.m, along)
	pa, pb = t.parts(&b.lo, b.free, b.loose)
	if b.lam != 0 {
		qa, qb := t.parts(&b.hi, b.free, b.loose)
		pa = pa.Mul(1 - b.lam).Add(qa.Mul(b.lam))
		pb = pb.Mul(1 - b.lam).Add(qb.Mul(b.lam))
	}
	back := func(x r3.Vector) r3.Vector {
		return r3.Vector{X: x.X, Y: b.m.c*x.Y - b.m.s*x.Z, Z: b.m.s*x.Y + b.m.c*x.Z}
	}
	return back(b.x), back(pa), back(pb)
}
