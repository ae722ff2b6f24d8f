package body_test

// Straight bodies by their corners, and round ones between a prism inside and a prism outside.

import (
	"math"
	"sort"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"

	"voidline/void/body"
)

// sides is how many sides the prisms inside and outside a round body have. A cut of the two differs
// by (1/cos(pi/n) - 1) of the radius, 1.2e-3 at 64.
const sides = 64

// prism returns the corners of a body, taken about its own middle less from; a round one is
// replaced by a prism of n sides, drawn inside it, or round it when grow is true. The corners come
// as two rings: the near end and the far end.
func prism(s body.Body, from r3.Vector, n int, grow bool) (near, far []r3.Vector) {
	c := s.Centre.Sub(from)
	if !s.Round {
		w := r3.Vector{X: s.Across.X * s.W, Y: s.Across.Y * s.W}
		h := r3.Vector{Z: s.H}
		for _, k := range [4][2]float64{{-1, -1}, {1, -1}, {1, 1}, {-1, 1}} {
			o := w.Mul(k[0]).Add(h.Mul(k[1]))
			near = append(near, c.Sub(s.Along).Add(o))
			far = append(far, c.Add(s.Along).Add(o))
		}
		return near, far
	}
	e := s.Along.Normalize()
	p := e.Ortho()
	q := e.Cross(p)
	r := s.W
	if grow {
		r /= math.Cos(math.Pi / float64(n))
	}
	for i := 0; i < n; i++ {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		o := p.Mul(r * cos).Add(q.Mul(r * sin))
		near = append(near, c.Sub(s.Along).Add(o))
		far = append(far, c.Add(s.Along).Add(o))
	}
	return near, far
}

// edges returns the two ends of every edge of a prism.
func edges(near, far []r3.Vector) [][2]r3.Vector {
	var out [][2]r3.Vector
	for i := range near {
		j := (i + 1) % len(near)
		out = append(out, [2]r3.Vector{near[i], near[j]}, [2]r3.Vector{far[i], far[j]}, [2]r3.Vector{near[i], far[i]})
	}
	return out
}

// boxesMeet reports by how much two boxes are apart along the best of the fifteen directions in
// which two boxes can be parted: face normals and products of edges. Not more than 0: they meet.
func boxesMeet(a, b body.Body) float64 {
	axes := func(s body.Body) []r3.Vector {
		return []r3.Vector{s.Along, {X: s.Across.X, Y: s.Across.Y}, {Z: 1}}
	}
	var ns []r3.Vector
	ea, eb := axes(a), axes(b)
	for i := 0; i < 3; i++ {
		ns = append(ns, ea[i].Cross(ea[(i+1)%3]), eb[i].Cross(eb[(i+1)%3]))
		for j := 0; j < 3; j++ {
			ns = append(ns, ea[i].Cross(eb[j]))
		}
	}
	best := math.Inf(-1)
	for _, n := range ns {
		if l := n.Norm(); l > 1e-14*(1+ea[0].Norm())*(1+eb[0].Norm()) {
			n = n.Mul(1 / l)
			best = math.Max(best, math.Max(apart(a, b, n), apart(a, b, n.Mul(-1))))
		}
	}
	return best
}

// cornerGap returns the distance of two boxes that do not meet: the least over every corner of one
// against the other, and every edge against every edge.
func cornerGap(a, b body.Body) float64 {
	from := a.Centre
	an, af := prism(a, from, 0, false)
	bn, bf := prism(b, from, 0, false)
	a.Centre, b.Centre = r3.Vector{}, b.Centre.Sub(from)
	best := math.Inf(1)
	for _, p := range append(append([]r3.Vector{}, an...), af...) {
		best = math.Min(best, nearest(b, p).Sub(p).Norm())
	}
	for _, p := range append(append([]r3.Vector{}, bn...), bf...) {
		best = math.Min(best, nearest(a, p).Sub(p).Norm())
	}
	eb := edges(bn, bf)
	for _, p := range edges(an, af) {
		for _, q := range eb {
			best = math.Min(best, edgeGap(p, q))
		}
	}
	return best
}

// edgeGap returns a distance between two segments that is exact where the nearest points are inside
// both and is never less than the distance.
func edgeGap(p, q [2]r3.Vector) float64 {
	u, v, w := p[1].Sub(p[0]), q[1].Sub(q[0]), p[0].Sub(q[0])
	n := u.Cross(v)
	n2 := n.Norm2()
	if n2 == 0 {
		return math.Inf(1)
	}
	s, t := -v.Cross(n).Dot(w)/n2, -u.Cross(n).Dot(w)/n2
	if !(s >= 0 && s <= 1 && t >= 0 && t <= 1) {
		return math.Inf(1)
	}
	// Twice in turn: what cancelled in the products comes right again.
	for i := 0; i < 2; i++ {
		x := p[0].Add(u.Mul(s))
		t = math.Max(0, math.Min(1, x.Sub(q[0]).Dot(v)/v.Norm2()))
		y := q[0].Add(v.Mul(t))
		s = math.Max(0, math.Min(1, y.Sub(p[0]).Dot(u)/u.Norm2()))
	}
	return p[0].Add(u.Mul(s)).Sub(q[0].Add(v.Mul(t))).Norm()
}

// cornerBody is what a difference is made of here: rings of corners.
type cornerBody struct{ near, far []r3.Vector }

func (c cornerBody) all() []r3.Vector { return append(append([]r3.Vector{}, c.near...), c.far...) }

// levelCut returns the hull of the cut of b - a at z = 0, as a ring without its first point
// repeated: every corner of b less every corner of a is a corner or an inner point of b - a, so the
// cut is the hull of where the lines between those above and those below pass through.
// Only the outermost at each side would be needed; all are taken.
func levelCut(a, b body.Body, n int, grow bool) []r2.Point {
	from := a.Centre
	var ca, cb cornerBody
	ca.near, ca.far = prism(a, from, n, grow)
	cb.near, cb.far = prism(b, from, n, grow)
	var above, below []r3.Vector
	var cut []r2.Point
	for _, p := range ca.all() {
		for _, q := range cb.all() {
			switch d := q.Sub(p); {
			case d.Z > 0:
				above = append(above, d)
			case d.Z < 0:
				below = append(below, d)
			default:
				cut = append(cut, r2.Point{X: d.X, Y: d.Y})
			}
		}
	}
	for _, p := range above {
		for _, q := range below {
			t := p.Z / (p.Z - q.Z)
			cut = append(cut, r2.Point{X: p.X + t*(q.X-p.X), Y: p.Y + t*(q.Y-p.Y)})
		}
	}
	return hull(cut)
}

// hull returns the convex hull of points, counter-clockwise, by the chain of lower and upper sides.
func hull(p []r2.Point) []r2.Point {
	p = append([]r2.Point{}, p...)
	sort.Slice(p, func(i, j int) bool { return p[i].X < p[j].X || p[i].X == p[j].X && p[i].Y < p[j].Y })
	if len(p) < 3 {
		return p
	}
	var h []r2.Point
	for pass := 0; pass < 2; pass++ {
		start := len(h)
		for _, q := range p {
			for len(h) >= start+2 && h[len(h)-1].Sub(h[len(h)-2]).Cross(q.Sub(h[len(h)-1])) <= 0 {
				h = h[:len(h)-1]
			}
			h = append(h, q)
		}
		h = h[:len(h)-1]
		for i, j := 0, len(p)-1; i < j; i, j = i+1, j-1 {
			p[i], p[j] = p[j], p[i]
		}
	}
	return h
}

// ringDistance returns the distance of the origin from a convex ring seen as an area, and depth: the
// distance from the origin to the nearest side when it lies inside (0 otherwise).
func ringDistance(h []r2.Point) (out, depth float64) {
	out, depth = math.Inf(1), math.Inf(1)
	inside := len(h) > 2
	for i, p := range h {
		q := h[(i+1)%len(h)]
		v := q.Sub(p)
		t := 0.0
		if n := v.Dot(v); n > 0 {
			t = math.Max(0, math.Min(1, -p.Dot(v)/n))
		}
		out = math.Min(out, p.Add(v.Mul(t)).Norm())
		if l := v.Norm(); l > 0 {
			side := v.Cross(p.Mul(-1)) / l // positive: the origin is on the left, inside
			if side < 0 {
				inside = false
			}
			depth = math.Min(depth, side)
		}
	}
	if inside {
		return 0, depth
	}
	return out, 0
}

// planeCut returns the least and the greatest (x - at)·dir over the corners of the cut of a body by a
// plane, and false when the plane misses it.
func planeCut(s body.Body, at, normal, dir r3.Vector, n int, grow bool) (lo, hi float64, ok bool) {
	near, far := prism(s, at, n, grow)
	normal = normal.Normalize()
	lo, hi = math.Inf(1), math.Inf(-1)
	for _, e := range edges(near, far) {
		a, b := e[0].Dot(normal), e[1].Dot(normal)
		if a > 0 && b > 0 || a < 0 && b < 0 {
			continue
		}
		t := 0.0
		if a != b {
			t = a / (a - b)
		}
		for _, p := range []r3.Vector{e[0].Add(e[1].Sub(e[0]).Mul(t)), e[1].Sub(e[1].Sub(e[0]).Mul(1 - t))} {
			x := p.Dot(dir)
			lo, hi = math.Min(lo, x), math.Max(hi, x)
		}
		if a == b { // the whole edge lies in the plane
			x := e[1].Dot(dir)
			lo, hi = math.Min(lo, x), math.Max(hi, x)
		}
	}
	return lo, hi, lo <= hi
}
