package body

import (
	"math"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"
)

// Parting is the least horizontal shift of a body that parts it from another: by MM along the
// unit direction Dir, after which they only touch. No horizontal shift shorter than MM - Bound
// parts them.
type Parting struct {
	Dir       r2.Point
	MM, Bound float64
}

// Part returns the least horizontal shift of a that parts it from b. It returns false where their
// insides do not overlap by more than rounding.
//
// Where the cut of their difference at one level is a polygon, the answer is the nearest of its edges; with an
// upright cylinder, that less or more its radius; else a search over the angle which keeps an
// inscribed polygon (what cannot be beaten) and circumscribed lines (what is known to part), until
// they are 1e-7 mm apart. Only for cylinders both nearly upright may it give up sooner and say so
// in Bound; and where the bodies share less than 1e-6 mm of height Bound is MM.
func Part(a, b Body) (Parting, bool) {
	var t aligned
	if t.align(&a, &b) {
		return t.part()
	} else if t.rb > 0 {
		if p, ok, done := t.crossedPart(); done {
			return p, ok
		}
	}
	if p, ok, done := levelPart(&a, &b); done {
		return p, ok
	}
	if p, ok, done := quickPart(&a, &b); done {
		if !ok {
			return Parting{}, false
		}
		return p, true
	}
	return part(a, b)
}

// part is Part by the general search.
func part(a, b Body) (Parting, bool) {
	s := difference(a, b)
	tol := s.rounding()
	shared := s.half(r3.Vector{Z: 1}) - math.Abs(s.c.Z)
	if shared <= tol || !meet(a, b) {
		return Parting{}, false
	}
	r := s.upright()
	var p Parting
	if s.nd == 0 {
		p = s.edges()
		if r > 0 && p.MM <= tol || p.MM == math.Inf(1) {
			// The origin lies outside the polygon, in the round of a corner or side; or the polygon has no
			// width, and its ends are no edges; or there is none.
			m, _ := s.beside(a, b)
			if l := math.Hypot(m.Dir.X, m.Dir.Y); l > 0 {
				p = Parting{Dir: r2.Point{X: -m.Dir.X / l, Y: -m.Dir.Y / l}, MM: -m.MM}
			} else if p.MM > 0 {
				p = Parting{Dir: r2.Point{X: 1}}
			}
		}
	} else {
		e, u, v := r3.Vector{Z: 1}, r3.Vector{X: 1}, r3.Vector{Y: 1}
		t := s.seen(e, u, v)
		t.c = t.c.Mul(-1)
		guess := heading{0, 1}
		support := func(m heading) (float64, r2.Point) {
			k := t.on(m, false)
			b := k.best(guess)
			guess = b.n
			return -b.f / b.n.s, r2.Point{X: -(m.c*b.x.Y - m.s*b.x.Z), Y: -(m.s*b.x.Y + m.c*b.x.Z)}
		}
		var first []heading
		add := func(x, y float64) {
			if l := math.Hypot(x, y); l > 0 {
				first = append(first, heading{x / l, y / l}, heading{-x / l, -y / l})
			}
		}
		for i := 0; i < s.n; i++ {
			add(-s.g[i].Y, s.g[i].X)
			for j := i + 1; j < s.n; j++ {
				n := s.g[i].Cross(s.g[j])
				add(n.X, n.Y)
			}
		}
		for i := 0; i < s.nd; i++ {
			add(s.w[i].X, s.w[i].Y)
		}
		add(s.c.X, s.c.Y)
		p = least(support, first, tol-r)
	}
	p.MM += r
	p.Bound += 1e-9 + 1e-14*s.scale
	if shared < 1e-6 {
		p.Bound = p.MM // where heights only just overlap, the cut hangs on rounding
	}
	if p.MM <= tol {
		return Parting{}, false
	}
	return p, true
}

// upright takes the disks that lie level out of the shape and returns the sum of their radii.
func (s *shape) upright() float64 {
	r, n := 0.0, 0
	for i := 0; i < s.nd; i++ {
		if w := s.w[i]; w != (r3.Vector{}) && math.Hypot(w.X, w.Y)*s.r[i] <= 1e-10 {
			r += s.r[i]
			continue
		}
		s.w[n], s.r[n], s.part[n] = s.w[i], s.r[i], s.part[i]
		n++
	}
	s.nd = n
	return r
}

// edges returns the nearest line along an edge of the cut at z = 0 of a shape without disks; MM is
// negative where the origin lies outside by that line, and infinite for a shape with no edges.
func (s *shape) edges() Parting {
	p := Parting{MM: math.Inf(1)}
	for i := 0; i < s.n; i++ {
		for j := i + 1; j < s.n; j++ {
			n := normal(s.g[i], s.g[j])
			l := math.Hypot(n.X, n.Y)
			if l <= 1e-15 {
				continue
			}
			n = n.Mul(1 / l)
			c := n.Dot(s.c)
			if c > 0 {
				n, c = n.Mul(-1), -c
			}
			if h := c + s.half(n); h < p.MM {
				p.MM, p.Dir = h, r2.Point{X: n.X, Y: n.Y}
			}
		}
	}
	return p
}

// least returns the least support over all directions of a convex plane figure: support gives it
// and a point where it is reached. first are directions worth trying. It stops as soon as a support
// is not over enough.
//
//  1. The support at any direction is an upper bound.
//  2. Between two neighbours with points p and q the figure holds the chord pq; its distance is a
//     lower bound there.
//  3. A range whose lower bound is within 1e-7 of the best is done; else it is cut at the chord's
//     normal. With the best of the first directions known, few ranges live long.
func least(support func(heading) (float64, r2.Point), first []heading, enough float64) Parting {
	const budget = 4000
	top := Parting{MM: math.Inf(1)}
	calls := 0
	at := func(m heading) node {
		calls++
		h, x := support(m)
		if h < top.MM {
			top.MM, top.Dir = h, r2.Point{X: m.c, Y: m.s}
		}
		return node{m: m, h: h, x: x}
	}
	low := math.Inf(1)
	done := func(l float64) bool {
		if l >= top.MM-1e-7 || calls >= budget {
			low = math.Min(low, l)
			return true
		}
		return false
	}
	var split func(p, q node)
	split = func(p, q node) {
		l, m := floor(&p, &q)
		if top.MM <= enough || done(l) {
			return
		}
		if !(p.m.cross(m) > 1e-15 && m.cross(q.m) > 1e-15) {
			m = p.m.middle(q.m)
			if !(p.m.cross(m) > 1e-15 && m.cross(q.m) > 1e-15) {
				low = math.Min(low, l)
				return
			}
		}
		r := at(m)
		// The better half first: it may spare the other.
		if p.h < q.h {
			split(p, r)
			split(r, q)
		} else {
			split(r, q)
			split(p, r)
		}
	}
	ring := make([]node, 0, 8+len(first))
	for i := 0; i < 8; i++ {
		s, c := math.Sincos(2 * math.Pi * (float64(i) + 0.3) / 8)
		ring = append(ring, at(heading{c, s}))
	}
	for _, m := range first {
		ring = append(ring, at(m))
	}
	sortNodes(len(ring), func(i, j int) bool {
		return math.Atan2(ring[i].m.s, ring[i].m.c) < math.Atan2(ring[j].m.s, ring[j].m.c)
	}, func(i, j int) { ring[i], ring[j] = ring[j], ring[i] })
	for i := range ring {
		p, q := ring[i], ring[(i+1)%len(ring)]
		if p.m.cross(q.m) > 0 {
			split(p, q)
		}
	}
	if top.Bound = top.MM - low; top.Bound < 0 || math.IsNaN(top.Bound) || math.IsInf(low, 1) {
		top.Bound = 0
	}
	return top
}

// sortNodes sorts a few things in place.
func sortNodes(n int, less func(i, j int) bool, swap func(i, j int)) {
	for i := 1; i < n; i++ {
		for j := i; j > 0 && less(j, j-1); j-- {
			swap(j, j-1)
		}
	}
}

// PlanOverlap returns how deep the plan outlines of two bodies overlap: the least shift that parts
// them, in millimetres and above zero, where they do; else zero or less, minus an amount by which
// they are apart (the distance, or less). Outlines of no width never overlap.
func PlanOverlap(a, b Body) float64 {
	if p, ok := outlineOf(&a); ok {
		if q, ok := outlineOf(&b); ok {
			t := pairing(&p, &q, r2.Point{X: b.Centre.X - a.Centre.X, Y: b.Centre.Y - a.Centre.Y})
			f, _ := t.deepest()
			return -f
		}
	}
	return planOverlap(a, b)
}

// planOverlap is PlanOverlap by the general search.
func planOverlap(a, b Body) float64 {
	s := difference(a, b)
	r := s.upright()
	s.c.Z = 0
	n := 0
	for i := 0; i < s.n; i++ {
		s.g[i].Z = 0
		if s.g[i] != (r3.Vector{}) {
			s.g[n] = s.g[i]
			n++
		}
	}
	s.n = n
	// A level disk is a segment in plan; the others are ellipses.
	n = 0
	for i := 0; i < s.nd; i++ {
		w := s.w[i]
		if w.X*w.X+w.Y*w.Y > 0.5 && math.Abs(w.Z)*s.r[i] <= 1e-10 {
			l := math.Hypot(w.X, w.Y)
			s.segment(r3.Vector{X: -w.Y / l * s.r[i], Y: w.X / l * s.r[i]}, 0)
			continue
		}
		s.w[n], s.r[n] = w, s.r[i]
		n++
	}
	s.nd = n
	side := func(m heading) float64 { return s.half(r3.Vector{X: m.c, Y: m.s}) }
	top := math.Inf(1)
	first := make([]heading, 0, 12)
	add := func(x, y float64) {
		l := math.Hypot(x, y)
		if l == 0 {
			return
		}
		m := heading{x / l, y / l}
		if m.c*s.c.X+m.s*s.c.Y > 0 {
			m = heading{-m.c, -m.s}
		}
		first = append(first, m)
		top = math.Min(top, side(m)+m.c*s.c.X+m.s*s.c.Y)
	}
	for i := 0; i < s.n; i++ {
		add(-s.g[i].Y, s.g[i].X)
	}
	add(s.c.X, s.c.Y)
	if top+r <= 0 || (len(first) == 0 && r == 0 && s.nd == 0) {
		if math.IsInf(top, 1) {
			return 0
		}
		return top + r
	}
	if s.nd == 0 {
		d := math.Hypot(s.c.X, s.c.Y)
		if r == 0 || d == 0 {
			if math.IsInf(top, 1) {
				top = 0
			}
			if s.n == 0 {
				top = -d
			}
			return top + r
		}
		u := r3.Vector{X: s.c.X / d, Y: s.c.Y / d}
		t := s.seen(r3.Vector{X: -u.Y, Y: u.X}, u, r3.Vector{Z: 1})
		k := t.on(heading{1, 0}, true)
		if b := k.best(heading{0, 1}); b.f > 0 {
			return r - b.f
		}
		// The direction to the centre is no edge's: leave it out.
		top = math.Inf(1)
		first = first[:0]
		for i := 0; i < s.n; i++ {
			add(-s.g[i].Y, s.g[i].X)
		}
		return top + r
	}
	// Every ellipse holds a disk of its least radius of curvature: that much is the same all
	// round, and is left out of the search.
	keep := 0.0
	for i := 0; i < s.nd; i++ {
		keep += s.r[i] * s.w[i].Z * s.w[i].Z
		if s.w[i] == (r3.Vector{}) {
			keep += s.r[i]
		}
	}
	support := func(m heading) (float64, r2.Point) {
		x := s.c
		n := r3.Vector{X: m.c, Y: m.s}
		for i := 0; i < s.n; i++ {
			if n.Dot(s.g[i]) > 0 {
				x = x.Add(s.g[i])
			} else {
				x = x.Sub(s.g[i])
			}
		}
		for i := 0; i < s.nd; i++ {
			if q, l := across(n, s.w[i]); l >= onAxis {
				x = x.Add(q.Mul(s.r[i] / l))
			}
		}
		x = x.Sub(n.Mul(keep))
		return x.Dot(n), r2.Point{X: x.X, Y: x.Y}
	}
	return least(support, first, -r-keep).MM + r + keep
}

// SharedHeight returns the length of the levels that two bodies share, in millimetres: zero where
// they touch in height, negative by the height between them where they share none.
func SharedHeight(a, b Body) float64 {
	s, t := a.Height(), b.Height()
	return math.Min(s.Hi, t.Hi) - math.Max(s.Lo, t.Lo)
}
