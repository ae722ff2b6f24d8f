package body

import (
	"fmt"
	"math"
	"testing"

	"github.com/golang/geo/r3"
)

// Each way of answering without the general search is held against it here, called directly: on random pairs of the
// class it is for, touching, nearly touching, nearly parallel, without a width or a length, and far from the origin.

// crossing turns two cylinders level and square to each other.
func (r maker) crossing(a, b Body) (Body, Body) {
	d := unit(r3.Vector{X: a.Along.X, Y: a.Along.Y})
	if d == (r3.Vector{}) {
		d = r3.Vector{X: 1}
	}
	return turnTo(a, d), turnTo(b, r3.Vector{X: -d.Y, Y: d.X})
}

// Two level cylinders square to each other: Part, and Span along the frame.
func TestCrossedForms(t *testing.T) {
	n, used, meets, spans := 0, 0, 0, 0
	forSites(t, 11, 4**pairs, []int{level}, []int{level}, func(r maker, a, b Body) string {
		a, b = r.crossing(a, b)
		var c aligned
		if c.align(&a, &b) || c.rb == 0 {
			return ""
		}
		n++
		for _, d := range []r3.Vector{{Z: 1}, {Z: -1}, {X: c.x.X, Y: c.x.Y}, {X: -c.y.X, Y: -c.y.Y}} {
			if s, hits, ok := c.span(d); ok {
				spans++
				if failed := againstSpanProof(a, b, d, s.Lo, s.Hi, hits); failed != "" {
					return failed
				}
			}
		}
		p, ok, done := c.crossedPart()
		if !done {
			return ""
		}
		used++
		if ok {
			meets++
		}
		q, qok := part(a, b)
		if ok != qok && max(p.MM, q.MM) > 1e-6 || ok && qok && math.Abs(p.MM-q.MM) > allowed(a, b)+p.Bound+q.Bound {
			return fmt.Sprintf("Part = %v %v by closed form, %v %v by the search", p, ok, q, qok)
		}
		return ""
	})
	t.Logf("%d pairs, %d by closed form, %d of them meet", n, used, meets)
	if used < n/4 || meets < n/20 {
		t.Errorf("of %d pairs a closed form was used for only %d, of which %d meet", n, used, meets)
	}
	if spans < 2*n {
		t.Errorf("of %d pairs only %d spans in closed form", n, spans)
	}
}

// againstSpanProof compares a Span with the general search.
func againstSpanProof(a, b Body, d r3.Vector, l, h float64, hits bool) string {
	lo, hi, ok := spanProof(a, b, d)
	m := grazes(a, b, unit(d))
	switch {
	case hits != ok:
		// Only a path that grazes may be seen otherwise.
		if math.Abs(m) > 2e-6 {
			return fmt.Sprintf("Span along %v hits %v, by the search %v; it enters by %v", d, hits, ok, -m)
		}
		return ""
	case !hits:
		return ""
	}
	tol := allowed(a, b)
	if m > -1e-3 {
		// Where the path grazes something round the ends hang on the square root of a hair,
		tol += math.Sqrt(8 * (a.W + b.W) * (1e-8 + 1e-13*longest(a, b)))
	}
	// and where it enters little, on the hair by which the search makes bodies thicker.
	tol += 4e-9 * longest(a, b) / math.Abs(m)
	if math.Abs(l-lo.T) > tol || math.Abs(h-hi.T) > tol {
		return fmt.Sprintf("Span along %v = [%v, %v], by the search [%v, %v]; it enters by %v", d, l, h, lo.T, hi.T, -m)
	}
	return ""
}

// The gap of what is round from what is near it, and by walking corners.
func TestQuickGap(t *testing.T) {
	n, used, walked := 0, 0, 0
	check := func(r maker, a, b Body) string {
		n++
		tol := allowed(a, b)
		if m, ok := walk(&a, &b, b.Centre.Sub(a.Centre)); ok {
			walked++
			if g := gap(a, b); math.Abs(m.MM-g.MM) > tol || proof(a, b, m) > tol {
				return fmt.Sprintf("walk = %v, by the search %v; proof fails by %v", m, g, proof(a, b, m))
			}
		}
		m, ok := quick(&a, &b)
		if !ok {
			return ""
		}
		used++
		if g := gap(a, b); math.Abs(m.MM-g.MM) > tol || proof(a, b, m) > tol {
			return fmt.Sprintf("quick = %v, by the search %v; proof fails by %v", m, g, proof(a, b, m))
		}
		return ""
	}
	forSites(t, 12, *pairs, every, []int{level, sloping, upright}, check)
	forSites(t, 13, *pairs/2, every, []int{falling, turned}, check)
	t.Logf("%d pairs, %d quick, %d by walking corners alone", n, used, walked)
	if used < n*8/10 {
		t.Errorf("only %d of %d pairs were quick", used, n)
	}
}

// Plan rectangles against the general search in plan.
func TestPaired(t *testing.T) {
	forSites(t, 14, 2**pairs, []int{square0, turned, falling, level}, []int{square0, turned, falling, level}, func(r maker, a, b Body) string {
		p, okP := outlineOf(&a)
		q, okQ := outlineOf(&b)
		if !okP || !okQ {
			return "a plan rectangle has no outline"
		}
		flat := func(b Body) Body {
			b.Round, b.Along.Z, b.Centre.Z, b.H = false, 0, 0, 1
			return b
		}
		a, b = flat(a), flat(b)
		u := pairing(&p, &q, r3to2(b.Centre.Sub(a.Centre)))
		f, _ := u.deepest()
		tol := allowed(a, b)
		if d := planOverlap(a, b); math.Abs(d+f) > tol && (d > tol || f < -tol) {
			return fmt.Sprintf("deepest = %v, by the search %v", f, -d)
		}
		return ""
	})
}

// A round body falling along a side of a level box, straight up and down.
func TestSlopingSpan(t *testing.T) {
	n, used := 0, 0
	forSites(t, 15, 8**pairs, []int{square0, turned}, []int{sloping}, func(r maker, a, b Body) string {
		if a.Round {
			a, b = b, a
		}
		// Along or across a, at b's own slope.
		d := unit(r3.Vector{X: a.Across.Y, Y: -a.Across.X})
		if r.IntN(2) == 0 {
			d = r3.Vector{X: -d.Y, Y: d.X}
		}
		rise := math.Max(-3, math.Min(3, b.Along.Z/math.Max(1e-9, math.Hypot(b.Along.X, b.Along.Y))))
		b = turnTo(b, unit(r3.Vector{X: d.X, Y: d.Y, Z: rise}))
		// Mostly over or under one another.
		if r.IntN(4) != 0 {
			b.Centre = a.Centre.Add(b.Along.Mul(2*r.Float64() - 1)).Add(a.Along.Mul(2*r.Float64() - 1)).Add(r.ball().Mul(a.W + b.W))
		}
		n++
		for _, z := range []float64{1, -1} {
			for range 2 {
				iv, hits, ok := slopingUp(&a, &b, z)
				if ok {
					used++
					if failed := againstSpanProof(a, b, r3.Vector{Z: z}, iv.Lo, iv.Hi, hits); failed != "" {
						return failed
					}
				}
				a, b = b, a
			}
		}
		return ""
	})
	t.Logf("%d pairs, %d spans", n, used)
	if used < 2*n {
		t.Errorf("only %d spans of %d pairs in closed form", used, n)
	}
}

// Span along any line.
func TestPathSpan(t *testing.T) {
	n, used, hit := 0, 0, 0
	forSites(t, 16, *pairs, every, every, func(r maker, a, b Body) string {
		d := unit(r.direction())
		if r.IntN(2) == 0 {
			d = r3.Vector{Z: 1}
		}
		if r.IntN(2) == 0 { // on the path
			b.Centre = a.Centre.Add(d.Mul(1000 * r.NormFloat64())).Add(r.ball().Mul(0.5 * (a.W + b.W + a.H + b.H)))
		}
		n++
		iv, hits, ok := pathSpan(&a, &b, d)
		if !ok {
			return ""
		}
		used++
		if hits {
			hit++
		}
		return againstSpanProof(a, b, d, iv.Lo, iv.Hi, hits)
	})
	t.Logf("%d pairs, %d found, %d of them meet", n, used, hit)
	if used < n*6/10 || hit < n/5 {
		t.Errorf("of %d pairs only %d found, %d of them meet", n, used, hit)
	}
}

// The least parting.
func TestQuickPart(t *testing.T) {
	n, used, meets := 0, 0, 0
	forSites(t, 17, *pairs/2, every, every, func(r maker, a, b Body) string {
		if r.IntN(3) != 0 {
			b.Centre = a.Centre.Add(a.Along.Mul(2*r.Float64() - 1)).Add(b.Along.Mul(2*r.Float64() - 1)).Add(r.ball().Mul(0.7 * (a.W + b.W + a.H + b.H)))
		}
		n++
		p, ok, done := levelPart(&a, &b)
		if !done {
			p, ok, done = quickPart(&a, &b)
		}
		if !done {
			return ""
		}
		used++
		q, qok := part(a, b)
		if ok {
			meets++
		}
		tol := allowed(a, b)
		if ok != qok && max(p.MM, q.MM) > 1e-6 || ok && qok && math.Abs(p.MM-q.MM) > tol+p.Bound+q.Bound {
			return fmt.Sprintf("quickPart = %v %v, by the search %v %v", p, ok, q, qok)
		}
		if ok && p.Bound > math.Max(2e-7, tol) {
			return fmt.Sprintf("quickPart = %v", p)
		}
		return ""
	})
	t.Logf("%d pairs, %d found, %d of them meet", n, used, meets)
	if used < n*6/10 || meets < n/5 {
		t.Errorf("of %d pairs only %d found, %d of them meet", n, used, meets)
	}
}

// The least that a parting can be, by the cuts at one level, is never more than it is; and level bodies whose tops are over one
// another are as far apart upright as their heights say.
func TestLevelCuts(t *testing.T) {
	n, near, spans := 0, 0, 0
	flat := []int{square0, turned, level}
	forSites(t, 18, *pairs/2, flat, flat, func(r maker, a, b Body) string {
		if r.IntN(3) != 0 {
			b.Centre = a.Centre.Add(a.Along.Mul(2*r.Float64() - 1)).Add(b.Along.Mul(2*r.Float64() - 1)).Add(r.ball().Mul(0.7 * (a.W + b.W + a.H + b.H)))
		}
		if math.Abs(a.Along.Z) > straight || math.Abs(b.Along.Z) > straight {
			return ""
		}
		n++
		if least := PartAtLeast(a, b); least > 0 {
			p, ok := part(a, b)
			if least > p.MM+allowed(a, b) && (ok || least > 1e-6) {
				return fmt.Sprintf("PartAtLeast = %v, by the search %v %v", least, p, ok)
			}
			if least > 0.8*p.MM {
				near++
			}
		}
		if iv, ok := topsSpan(&a, &b, 1); ok {
			spans++
			return againstSpanProof(a, b, r3.Vector{Z: 1}, iv.Lo, iv.Hi, true)
		}
		return ""
	})
	t.Logf("%d pairs, the least near the parting of %d, %d spans", n, near, spans)
	if near < n/10 || spans < n/10 {
		t.Errorf("of %d pairs the least is near the parting of %d, and %d spans", n, near, spans)
	}
}
