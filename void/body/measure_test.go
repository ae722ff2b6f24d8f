package body

import (
	"math"
	"testing"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"
)

// The closed forms for bodies that stand square to one frame against the general search.
func TestClosedForms(t *testing.T) {
	n, used := 0, 0
	kinds := []int{square0, turned, level, upright}
	for _, i := range kinds {
		for _, j := range kinds {
			for k := 0; k < *pairs; k++ {
				r := newMaker(seed+1, uint64(k)<<8|uint64(i)<<4|uint64(j))
				a, b, how := r.pair(i, j)
				if i != square0 && j != square0 && j != upright && i != upright {
					// Turn b to lie along a, or square to it.
					d := r3.Vector{X: a.Along.X, Y: a.Along.Y}
					if r.IntN(2) == 0 {
						d = r3.Vector{X: -a.Along.Y, Y: a.Along.X}
					}
					d = unit(d).Mul(b.Along.Norm())
					if b.Round {
						b = Cylinder(b.Centre.Sub(d), b.Centre.Add(d), 2*b.W)
					} else {
						b = Box(b.Centre.Sub(d), b.Centre.Add(d), 2*b.W, 2*b.H)
					}
				}
				n++
				var c aligned
				if !c.align(&a, &b) {
					continue
				}
				used++
				tol := allowed(a, b)
				fail := func(what string, got, want any) {
					t.Errorf("%s(a, b) = %v by closed form, %v by the search; pair %d (%s)\na := %s\nb := %s", what, got, want, k, how, show(a), show(b))
				}
				if g, h := c.gap(&a, &b), gap(a, b); math.Abs(g.MM-h.MM) > tol || proof(a, b, g) > tol {
					fail("Gap", g, h)
				}
				if s, ok, done := c.beside(&a, &b); done {
					u, uk := beside(a, b)
					sure := math.Abs(SharedHeight(a, b)) > 1e-3
					if sure && (ok != uk || ok && math.Abs(s.MM-u.MM) > 2*tol || ok && proofBeside(a, b, s) > tol) {
						fail("Beside", s, u)
					}
				}
				for _, d := range []r3.Vector{{Z: 1}, {Z: -1}, {X: c.x.X, Y: c.x.Y}, {X: -c.y.X, Y: -c.y.Y}} {
					s, hits, ok := c.span(d)
					if !ok {
						continue
					}
					if failed := againstSpanProof(a, b, d, s.Lo, s.Hi, hits); failed != "" {
						fail(failed, s, hits)
					}
				}
				p, ok := c.part()
				q, qok := part(a, b)
				if ok != qok && math.Abs(math.Max(p.MM, q.MM)) > 1e-6 || ok && qok && math.Abs(p.MM-q.MM) > tol+p.Bound+q.Bound {
					fail("Part", p, q)
				}
				if x := c.meet(); x != meet(a, b) && math.Abs(math.Max(p.MM, q.MM)) > 1e-6 {
					fail("Meet", x, !x)
				}
				if t.Failed() {
					return
				}
			}
		}
	}
	t.Logf("%d pairs, %d with a closed form", n, used)
	if used < n/4 {
		t.Errorf("only %d of %d pairs have a closed form", used, n)
	}
}

// grazes returns how far the path of a along d passes b, negative by how deep it enters, by a
// search over the directions square to d.
func grazes(a, b Body, d r3.Vector) float64 {
	u := unit(d)
	c := b.Centre.Sub(a.Centre)
	e, v := frameAbout(u)
	f := func(w float64) float64 {
		s, k := math.Sincos(w)
		n := e.Mul(k).Add(v.Mul(s))
		return n.Dot(c) - a.half(n) - b.half(n)
	}
	worst, at := math.Inf(-1), 0.0
	try := func(w float64) {
		if h := f(w); h > worst {
			worst, at = h, w
		}
	}
	for i := 0; i < 360; i++ {
		try(float64(i) * math.Pi / 180)
	}
	s := difference(a, b)
	for i := 0; i < s.n; i++ {
		w := math.Atan2(-s.g[i].Dot(e), s.g[i].Dot(v))
		try(w)
		try(w + math.Pi)
	}
	for i := 0; i < s.nd; i++ {
		w := math.Atan2(s.w[i].Dot(v), s.w[i].Dot(e))
		try(w)
		try(w + math.Pi)
	}
	for step := math.Pi / 180; step > 1e-15; step /= 2 {
		try(at + step)
		try(at - step)
	}
	return worst
}

// TestSpanEnds shifts a to the ends of its span and a hair either side.
func TestSpanEnds(t *testing.T) {
	n, odd := 0, 0
	forPairs(t, *pairs/5, func(t *testing.T, r maker, a, b Body, how string) {
		d := unit(r.direction())
		iv, ok := Span(a, b, d)
		if !ok {
			if m := grazes(a, b, d); m < -1e-3 {
				t.Errorf("Span(a, b, %v) misses, but the path enters by %v", d, -m)
			}
			return
		}
		n++
		tol := allowed(a, b)
		for _, s := range []float64{-1, 1} {
			end := iv.Lo
			if s > 0 {
				end = iv.Hi
			}
			if g := Gap(a.Shift(d.Mul(end)), b); g.MM > tol {
				t.Errorf("Span(a, b, %v) = %v: at %v the gap is %v", d, iv, end, g.MM)
			}
			// Beyond the end: clear. Inside: meeting, to the rounding of both.
			out := Gap(a.Shift(d.Mul(end+s*1e-3)), b)
			if out.MM == 0 {
				odd++ // a shift along a face that slopes by less than a millionth
				if m := Gap(a.Shift(d.Mul(end+s*(1e-3+1e5*tol))), b); m.MM == 0 && grazes(a, b, d) < -1 {
					t.Errorf("Span(a, b, %v) = %v: beyond %v they still touch", d, iv, end)
				}
			}
			if iv.Length() > 2e-3 {
				if in := Gap(a.Shift(d.Mul(end-s*1e-3)), b); in.MM > tol {
					t.Errorf("Span(a, b, %v) = %v: inside %v the gap is %v", d, iv, end, in.MM)
				}
			}
		}
	})
	t.Logf("%d spans, %d ends where 1e-3 does not show", n, odd)
}

// cutSupport returns, by golden section in the slope of the direction, how far the cut of C at z = 0
// reaches along the plan direction m.
func cutSupport(a, b Body, m r2.Point) float64 {
	c := b.Centre.Sub(a.Centre)
	h := func(t float64) float64 {
		// n = (m, tan t), scaled to length one in plan.
		n := r3.Vector{X: m.X, Y: m.Y, Z: math.Tan(t)}
		return n.Dot(c) + a.half(n) + b.half(n)
	}
	lo, hi := -math.Pi/2, math.Pi/2
	const g = 0.6180339887498949
	p, q := hi-g*(hi-lo), lo+g*(hi-lo)
	hp, hq := h(p), h(q)
	for i := 0; i < 80; i++ {
		if hp < hq {
			hi, q, hq = q, p, hp
			p = hi - g*(hi-lo)
			hp = h(p)
		} else {
			lo, p, hp = p, q, hq
			q = lo + g*(hi-lo)
			hq = h(q)
		}
	}
	return math.Min(hp, hq)
}

func TestPartDense(t *testing.T) {
	worst, loosest := 0.0, 0.0
	n, meets := 0, 0
	forPairs(t, *pairs/30, func(t *testing.T, r maker, a, b Body, how string) {
		if math.Max(a.Along.Norm(), b.Along.Norm()) > 3000 {
			return // a dense search of a turn is too coarse
		}
		tol := allowed(a, b)
		p, ok := Part(a, b)
		if ok != Meet(a, b) && p.MM > 1e-6 {
			t.Errorf("Part(a, b) = %v, %v but Meet is %v", p, ok, Meet(a, b))
		}
		n++
		if !ok {
			return
		}
		meets++
		if p.Bound > 1e-6 {
			if SharedHeight(a, b) > 1e-6 {
				t.Errorf("Part(a, b) = %v", p)
			}
			return
		}
		loosest = math.Max(loosest, p.Bound)
		// It parts them, and a little less does not.
		d := r3.Vector{X: p.Dir.X, Y: p.Dir.Y}
		if s := a.Shift(d.Mul(p.MM + 1e-5)); Meet(s, b) {
			t.Errorf("Part(a, b) = %v: they still overlap", p)
		}
		dense, at := math.Inf(1), 0.0
		for i := 0; i < 720; i++ {
			w := float64(i) * math.Pi / 360
			if h := cutSupport(a, b, r2.Point{X: math.Cos(w), Y: math.Sin(w)}); h < dense {
				dense, at = h, w
			}
		}
		for step := math.Pi / 360; step > 1e-9; step /= 2 {
			for _, w := range []float64{at - step, at + step} {
				if h := cutSupport(a, b, r2.Point{X: math.Cos(w), Y: math.Sin(w)}); h < dense {
					dense, at = h, w
				}
			}
		}
		worst = math.Max(worst, (p.MM-p.Bound-dense)/tol)
		if dense < p.MM-p.Bound-tol {
			t.Errorf("Part(a, b) = %v, but %v at angle %v parts them", p, dense, at)
		}
		if h := cutSupport(a, b, p.Dir); math.Abs(h-p.MM) > 1e-4 {
			t.Errorf("Part(a, b) = %v, but along its direction %v parts them", p, h)
		}
	})
	t.Logf("%d pairs, %d overlap, largest bound %.3g mm; a dense search is never less by more than %.3g of what is allowed", n, meets, loosest, worst)
}

// TestPlanOverlapDense compares with the least support of the outlines over a turn.
func TestPlanOverlapDense(t *testing.T) {
	n := 0
	forPairs(t, *pairs/10, func(t *testing.T, r maker, a, b Body, how string) {
		got := PlanOverlap(a, b)
		tol := allowed(a, b)
		c := b.Centre.Sub(a.Centre)
		h := func(w float64) float64 {
			n := r3.Vector{X: math.Cos(w), Y: math.Sin(w)}
			return n.Dot(c) + a.half(n) + b.half(n)
		}
		dense, at := math.Inf(1), 0.0
		try := func(w float64) {
			if d := h(w); d < dense {
				dense, at = d, w
			}
		}
		for i := 0; i < 3600; i++ {
			try(float64(i) * math.Pi / 1800)
		}
		s := difference(a, b)
		for i := 0; i < s.n; i++ {
			w := math.Atan2(s.g[i].Y, s.g[i].X)
			try(w + math.Pi/2)
			try(w - math.Pi/2)
		}
		for step := math.Pi / 1800; step > 1e-16; step /= 2 {
			try(at - step)
			try(at + step)
		}
		n++
		if got > tol && got > dense+tol {
			t.Errorf("PlanOverlap(a, b) = %v, but %v is enough at angle %v", got, dense, at)
		}
		if got < dense-tol && got > 0 {
			t.Errorf("PlanOverlap(a, b) = %v, least found %v", got, dense)
		}
		if got <= 0 && dense > tol || got < dense-tol {
			t.Errorf("PlanOverlap(a, b) = %v, least found %v", got, dense)
		}
	})
	t.Logf("%d pairs", n)
}

// TestMeet compares Meet with the gap and the parting of the same bodies.
func TestMeet(t *testing.T) {
	n, meets := 0, 0
	forPairs(t, *pairs, func(t *testing.T, r maker, a, b Body, how string) {
		n++
		m := Meet(a, b)
		if m {
			meets++
			if g := Gap(a, b); g.MM != 0 {
				t.Errorf("Meet(a, b) with gap %v", g)
			}
			return
		}
		// Bodies that do not meet are parted by a shift of a hair in some direction.
		if p, ok := Part(a, b); ok {
			t.Errorf("Meet(a, b) is false, Part(a, b) = %v", p)
		}
	})
	t.Logf("%d pairs, %d meet", n, meets)
}

// TestCutReach compares with the cut of a slice of a body against many points on its skin.
func TestCutReach(t *testing.T) {
	n := 0
	forPairs(t, *pairs/10, func(t *testing.T, r maker, b, _ Body, how string) {
		normal := unit(r.direction())
		if r.IntN(2) == 0 {
			normal = unit(b.Along)
		}
		dir, _ := frameAbout(normal)
		reach := b.half(normal)
		at := b.Centre.Add(normal.Mul(reach * (2.2*r.Float64() - 1.1)))
		iv, ok := CutReach(b, at, normal, dir)
		off := math.Abs(at.Sub(b.Centre).Dot(normal))
		if ok != (off <= reach) && math.Abs(off-reach) > 1e-7 {
			t.Errorf("CutReach = %v, %v, plane off by %v of %v", iv, ok, off, reach)
		}
		if !ok {
			return
		}
		n++
		tol := math.Max(1e-6, 1e-11*(b.Along.Norm()+b.W+b.H))
		// The plane as a very large thin plate: where it meets b along dir is the cut's reach.
		c := b.Centre.Sub(at)
		for k, end := range []float64{iv.Lo, iv.Hi} {
			s := float64(2*k - 1)
			// Dual: over slopes of the normal no tilted plane holds b back further in.
			h := func(w float64) float64 {
				n := dir.Mul(s).Add(normal.Mul(math.Tan(w)))
				return n.Dot(c) + b.half(n)
			}
			lo, hi := -math.Pi/2, math.Pi/2
			const g = 0.6180339887498949
			for i := 0; i < 90; i++ {
				p, q := hi-g*(hi-lo), lo+g*(hi-lo)
				if h(p) < h(q) {
					hi = q
				} else {
					lo = p
				}
			}
			want := s * h((lo+hi)/2)
			slack := tol + 1e-6*math.Abs(math.Tan((lo+hi)/2))
			if math.Abs(want-end) > slack {
				t.Errorf("CutReach(b, %v, %v, %v) = %v, want %v at end %d", at, normal, dir, iv, want, k)
			}
		}
	})
	t.Logf("%d cuts", n)
}

func r3to2(v r3.Vector) r2.Point { return r2.Point{X: v.X, Y: v.Y} }
