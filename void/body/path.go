package body

import (
	"math"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r3"
)

// The shifts of a along a line that make it meet b, for bodies without a closed form:
//
//  1. In each of a few directions (faces, flat ends, edges across axes) the bodies are two intervals, of which the
//     one moves: outside the shifts at which they share a point the bodies are apart. What is left over is too
//     wide, never too narrow.
//  2. Two boxes have no other faces than those: it is exact.
//  3. Else a is shifted to either end, and its gap from b measured. None: the end is right. Otherwise the gap's own
//     direction cuts more off, which is Newton's method on a convex function, from outside.
//
// What only grazes, or does not close in a few steps, is left to the general search.

// path is the line of shifts t·u, c from a to b, and what of it is left over.
type path struct {
	c, u   r3.Vector
	lo, hi float64
	atLo   float64 // how much of its own direction the cut at lo has of u, at hi
	atHi   float64
	flat   bool // the bodies have hardly an extent in some direction
}

// left is what a cut leaves of a path.
type left int

const (
	some left = iota
	none
	doubt // rounding decides
)

// grazing is by how little a path may enter, or miss, for rounding to decide, in millimetres.
const grazing = 1e-6

// cut leaves of the path where the bodies, h about their centres in direction n of length l, share a point.
func (p *path) cut(n r3.Vector, l, h float64) left {
	k, m := n.Dot(p.u), n.Dot(p.c)
	if h <= grazing*l {
		p.flat = true
	}
	if math.Abs(k) <= 1e-9*l {
		switch off := math.Abs(m) - h; {
		case off > grazing*l:
			return none
		case off > -grazing*l:
			return doubt
		}
		return some
	}
	h = math.Abs(h / k)
	if lo := m/k - h; lo > p.lo {
		p.lo, p.atLo = lo, math.Abs(k)/l
	}
	if hi := m/k + h; hi < p.hi {
		p.hi, p.atHi = hi, math.Abs(k)/l
	}
	switch d := p.hi - p.lo; {
	case d < -grazing:
		return none
	case d < grazing:
		return doubt
	}
	return some
}

// pathSpan returns Span along the unit direction u, whether it meets, and whether that was found.
func pathSpan(a, b *Body, u r3.Vector) (iv r1.Interval, hits, ok bool) {
	p := path{c: b.Centre.Sub(a.Centre), u: u, lo: math.Inf(-1), hi: math.Inf(1)}
	cut := func(n r3.Vector) bool {
		l := n.Norm()
		if l < 1e-9 { // of two unit vectors nearly parallel
			return true
		}
		switch p.cut(n, l, a.half(n)+b.half(n)) {
		case none:
			ok = true
			return false
		case doubt:
			return false
		}
		return true
	}
	if !a.Round && !b.Round {
		s := difference(*a, *b)
		for i := 0; i < s.n; i++ {
			for j := i + 1; j < s.n; j++ {
				n := normal(s.g[i], s.g[j])
				if n == (r3.Vector{}) {
					continue
				}
				switch p.cut(n, 1, s.half(n)) {
				case none:
					return r1.EmptyInterval(), false, true
				case doubt:
					return iv, false, false
				}
			}
		}
		return r1.Interval{Lo: p.lo, Hi: p.hi}, true, !p.flat && min(p.atLo, p.atHi) > 1e-2
	}
	if !a.Round && a.slopes() || !b.Round && b.slopes() {
		return iv, false, false // only corners to walk: the search is as quick
	}
	if !cut(u) {
		return r1.EmptyInterval(), false, ok
	}
	var axes [2]r3.Vector
	for i, b := range [2]*Body{a, b} {
		if b.Round {
			axes[i] = unit(b.Along)
			w := axes[i]
			if w == (r3.Vector{}) || !cut(w) || !cut(u.Cross(w)) || !cut(u.Sub(w.Mul(u.Dot(w)))) {
				return r1.EmptyInterval(), false, ok
			}
		}
	}
	switch {
	case a.Round && b.Round:
		if !cut(axes[0].Cross(axes[1])) {
			return r1.EmptyInterval(), false, ok
		}
	default:
		box, w := a, axes[1]
		if a.Round {
			box, w = b, axes[0]
		}
		across := r3.Vector{X: box.Across.X, Y: box.Across.Y}
		along := r3.Vector{X: across.Y, Y: -across.X}
		for _, n := range [...]r3.Vector{
			across, along, {Z: 1}, {X: -w.Y, Y: w.X}, across.Cross(w), along.Cross(w),
		} {
			if !cut(n) {
				return r1.EmptyInterval(), false, ok
			}
		}
	}
	lo, okLo := p.end(a, b, 1)
	hi, okHi := p.end(a, b, -1)
	if !okLo || !okHi || hi-lo < 0.1 {
		return iv, false, false
	}
	return r1.Interval{Lo: lo, Hi: hi}, true, true
}

// end returns the lower (way 1) or upper (way -1) end of the path, and whether it was found.
func (p *path) end(a, b *Body, way float64) (float64, bool) {
	t, steep := p.lo, p.atLo
	if way < 0 {
		t, steep = p.hi, p.atHi
	}
	s := *a
	for range 8 {
		s.Centre = a.Centre.Add(p.u.Mul(t))
		m, ok := quick(&s, b)
		if !ok {
			return t, false
		}
		if steep < 0.05 {
			break // so flat a way in is not told from touching
		}
		if m.MM == 0 {
			return t, true
		}
		k := m.Dir.Dot(p.u)
		t += m.MM / k
		steep = k * way
	}
	return t, false
}
