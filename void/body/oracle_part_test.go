package body_test

// The least level shift that parts two bodies, by a search over its angle that bounds what it has
// not looked at: every direction looked at leaves a point of the cut, and between two directions
// the reach is not less than that of the two points they left.

import (
	"math"
	"testing"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"

	"voidline/void/body"
)

// plainSum is a convexSum in plain floats, for searches that ask it very often.
type plainSum struct {
	c    r3.Vector
	segs []r3.Vector
	r    []float64
	axis []r3.Vector
}

func plainDifference(a, b body.Body) plainSum {
	k := plainSum{c: b.Centre.Sub(a.Centre)}
	for _, s := range []body.Body{a, b} {
		k.segs = append(k.segs, s.Along)
		if s.Round {
			k.r, k.axis = append(k.r, s.W), append(k.axis, s.Along.Normalize())
			continue
		}
		k.segs = append(k.segs, r3.Vector{X: s.Across.X * s.W, Y: s.Across.Y * s.W}, r3.Vector{Z: s.H})
	}
	return k
}

// far returns the point of the set that lies farthest along n.
func (k plainSum) far(n r3.Vector) r3.Vector {
	p := k.c
	for _, g := range k.segs {
		if g.Dot(n) < 0 {
			g = g.Mul(-1)
		}
		p = p.Add(g)
	}
	for i, e := range k.axis {
		// Taken twice: what is left of n along the axis must not be blown up when little is left at all.
		v := n.Sub(e.Mul(e.Dot(n))).Normalize()
		v = v.Sub(e.Mul(e.Dot(v)))
		if l := v.Norm(); l > 0.5 {
			p = p.Add(v.Mul(k.r[i] / l))
		}
	}
	return p
}

// levelReach encloses how far the cut at z = 0 reaches along the level unit direction e: a point p of
// the cut, and an upper bound. The cut must not be empty. The reach is the least of h(e + l up) over
// l, and the height of the far point grows with l, so l is halved in until nothing is between.
func (k plainSum) levelReach(e r2.Point) (p r2.Point, out float64) {
	n := func(l float64) r3.Vector { return r3.Vector{X: e.X, Y: e.Y, Z: l} }
	lo, hi := -1.0, 1.0
	for i := 0; i < 80 && k.far(n(lo)).Z > 0; i++ {
		lo *= 2
	}
	for i := 0; i < 80 && k.far(n(hi)).Z < 0; i++ {
		hi *= 2
	}
	for i := 0; i < 200; i++ {
		m := (lo + hi) / 2
		if m <= lo || m >= hi || hi-lo < 1e-17 {
			break
		}
		if k.far(n(m)).Z > 0 {
			hi = m
		} else {
			lo = m
		}
	}
	a, b := k.far(n(lo)), k.far(n(hi))
	out = math.Min(a.Dot(n(lo)), b.Dot(n(hi)))
	t := 0.5
	if b.Z-a.Z > 0 {
		t = math.Max(0, math.Min(1, -a.Z/(b.Z-a.Z)))
	}
	q := a.Add(b.Sub(a).Mul(t))
	return r2.Point{X: q.X, Y: q.Y}, out
}

// parting is the least level shift found, and a bound under which there is none.
type parting struct {
	dir     r2.Point
	mm      float64
	bound   float64
	looked  int     // directions looked at
	unsound float64 // the most by which a reach and the point that proves it differ
}

func unit(angle float64) r2.Point {
	sin, cos := math.Sincos(angle)
	return r2.Point{X: cos, Y: sin}
}

// leastParting searches all directions until what is left cannot be better by more than tol, or most
// have been looked at. The origin must lie in the cut of b - a at z = 0.
func leastParting(a, b body.Body, tol float64, most int) parting {
	k := plainDifference(a, b)
	best := parting{mm: math.Inf(1)}
	type look struct {
		at float64
		p  r2.Point
		h  float64
	}
	see := func(at float64) look {
		e := unit(at)
		p, h := k.levelReach(e)
		best.looked++
		best.unsound = math.Max(best.unsound, math.Abs(h-p.Dot(e)))
		if h < best.mm {
			best.mm, best.dir = h, e
		}
		return look{at, p, h}
	}
	type part struct {
		l, r  look
		bound float64
		split float64
	}
	enclose := func(l, r look) part {
		pt := part{l: l, r: r, split: (l.at + r.at) / 2}
		pt.bound = math.Min(l.p.Dot(unit(l.at)), r.p.Dot(unit(r.at)))
		// The two points reach equally far square to the line between them.
		if d := r.p.Sub(l.p); d.Norm() > 0 {
			x := math.Atan2(d.Y, d.X) - math.Pi/2
			x += 2 * math.Pi * math.Round((pt.split-x)/(2*math.Pi))
			if x > l.at && x < r.at {
				pt.bound = math.Min(pt.bound, math.Max(0, math.Max(l.p.Dot(unit(x)), r.p.Dot(unit(x)))))
				if w := r.at - l.at; x > l.at+1e-3*w && x < r.at-1e-3*w || w < 1e-6 {
					pt.split = x
				}
			}
		}
		return pt
	}
	var open []part
	const start = 24
	first := see(0)
	last := first
	for i := 1; i <= start; i++ {
		next := look{2 * math.Pi, first.p, first.h}
		if i < start {
			next = see(2 * math.Pi * float64(i) / start)
		}
		open = append(open, enclose(last, next))
		last = next
	}
	for {
		w := 0
		for i := range open {
			if open[i].bound < open[w].bound {
				w = i
			}
		}
		p := open[w]
		best.bound = math.Min(p.bound, best.mm)
		if p.bound >= best.mm-tol || best.looked >= most || !(p.split > p.l.at && p.split < p.r.at) {
			return best
		}
		m := see(p.split)
		open[w] = enclose(p.l, m)
		open = append(open, enclose(m, p.r))
		// What cannot hold the least any more is let go, so that the list stays short.
		keep := open[:0]
		for _, o := range open {
			if o.bound < best.mm-tol/2 || len(keep) == 0 {
				keep = append(keep, o)
			}
		}
		open = keep
	}
}

// denseParting looks at every direction of a circle in n steps.
func denseParting(a, b body.Body, n int) float64 {
	k := plainDifference(a, b)
	best := math.Inf(1)
	for i := 0; i < n; i++ {
		_, h := k.levelReach(unit(2 * math.Pi * float64(i) / float64(n)))
		best = math.Min(best, h)
	}
	return best
}

// partPair makes pairs most of which overlap: b's middle is brought near to a place in a.
func partPair(seed uint64, c combo, n uint64) (a, b body.Body, how string) {
	a, b, how = pair(seed, c, n)
	d := roll(seed+1, n*64+uint64(c.a)*8+uint64(c.b))
	if d.IntN(6) == 0 {
		return a, b, how
	}
	p := a.Centre.Add(a.Along.Mul(d.in(-1, 1)))
	q := b.Centre.Add(b.Along.Mul(d.in(-1, 1)))
	slip := d.ball().Mul(d.in(0, 0.8))
	w, h := math.Min(a.W+b.W, 5000), math.Min(halfWidth(a, r3.Vector{Z: 1})+halfWidth(b, r3.Vector{Z: 1}), 3000)
	b = b.Shift(p.Sub(q).Add(r3.Vector{X: slip.X * w, Y: slip.Y * w, Z: slip.Z * h}))
	return a, b, how + ", brought together"
}

// TestOraclePart compares with the search above (its bound closed or not), with the sides of the cut
// where both bodies are straight, and with a dense circle of directions.
func TestOraclePart(t *testing.T) {
	for _, c := range combos() {
		y := newTally(t, c)
		widest := 0.0
		for i := uint64(0); i < times(120); i++ {
			a, b, how := partPair(*oracleSeed+11, c, i)
			l := longest(a, b)
			tol := hold(l)
			y.n++
			var p body.Parting
			var overlap bool
			if said := caught(func() { p, overlap = body.Part(a, b) }); said != "" {
				y.fail(i, how, a, b, "(seed + 11) Part panics: %s", said)
				continue
			}
			up, closed := spanOf(a, b, r3.Vector{Z: 1}, tol/10)
			deep := 0.0 // how deep they are in one another, upright
			if closed && up.missLo <= 0 {
				deep = math.Min(up.up.mid(), up.down.mid())
			}
			if deep < tol && overlap {
				if g, _ := dualGap(a, b, tol); g.Lo > tol {
					y.fail(i, how, a, b, "(seed + 11) Part = %+v, and they are %v apart", p, g.Lo)
					continue
				}
			}
			if !closed || deep < tol {
				continue
			}
			want := leastParting(a, b, tol/10, 4000)
			if want.mm <= tol {
				continue // they touch: both answers are right
			}
			if !overlap {
				y.fail(i, how, a, b, "(seed + 11) Part says no overlap; they overlap by %v upright and %v level", deep, want.mm)
				continue
			}
			y.count("overlap", true)
			sound := want.unsound <= tol/2
			y.count("sound", sound)
			if !sound {
				continue
			}
			y.count("closed", want.mm-want.bound <= tol)
			e := p.Dir
			if n := e.Norm(); math.Abs(n-1) > 1e-12 {
				y.fail(i, how, a, b, "(seed + 11) Part = %+v: its direction is not of length 1", p)
				continue
			}
			if at, h := plainDifference(a, b).levelReach(e); at.Dot(e) > p.MM+tol {
				y.fail(i, how, a, b, "(seed + 11) Part = %+v: that shift does not part them, it wants %v", p, h)
			}
			// Bound is how much less than MM there might be.
			if d := p.MM - p.Bound - want.mm; !y.within(math.Max(0, d), tol) {
				y.fail(i, how, a, b, "(seed + 11) Part = %+v, the search found less than it allows: %+v", p, want)
			}
			if p.Bound > tol {
				y.count("Bound over tolerance", true)
				t.Logf("Part = %+v, the search found %+v: %s", p, want, told(c, i, how, a, b))
			}
			if d := want.bound - p.MM; !y.within(math.Max(0, d), tol) {
				y.fail(i, how, a, b, "(seed + 11) Part = %+v, less than the search allows: %+v", p, want)
			}
			if !(p.Bound >= 0) {
				y.fail(i, how, a, b, "(seed + 11) Part = %+v: a bound is not less than nothing", p)
			}
			widest = math.Max(widest, p.Bound)
			if !a.Round && !b.Round {
				_, depth := ringDistance(levelCut(a, b, 0, false))
				y.count("by sides", true)
				if d := math.Abs(depth - p.MM); !y.within(d, 2*tol) {
					y.fail(i, how, a, b, "(seed + 11) Part = %+v, the nearest side of the cut is at %v", p, depth)
				}
			}
			if i%20 == 0 {
				y.count("dense", true)
				if d := denseParting(a, b, 7200); p.MM-p.Bound > d+tol {
					y.fail(i, how, a, b, "(seed + 11) Part = %+v, a dense circle of directions gives %v", p, d)
				}
			}
		}
		y.print("overlap", "sound", "closed", "Bound over tolerance", "by sides", "dense")
		y.t.Logf("%-17v widest Bound %.2g mm", c, widest)
	}
}
