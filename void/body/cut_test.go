package body

import (
	"fmt"
	"math"
	"testing"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"
)

func TestCutReachTable(t *testing.T) {
	x, y, z := at(1, 0, 0), at(0, 1, 0), at(0, 0, 1)
	none := r1.EmptyInterval()
	slope := math.Hypot(80, 1)
	tests := []struct {
		name            string
		b               Body
		at, normal, dir r3.Vector
		want            r1.Interval
		ok              bool
	}{
		{"no normal", tray, at(0, 0, 0), at(0, 0, 0), y, none, false},
		{"no direction square to the normal", tray, at(0, 0, 0), x, at(2, 0, 0), none, false},
		{"a point", point, at(0, 0, 0), x, y, r1.Interval{}, true},
		{"a plane past a point", point, at(1, 0, 0), x, y, none, false},
		{"along a rod", rod, at(0, 0, 0), y, x, r1.Interval{Lo: 0, Hi: 1000}, true},
		{"in a plate", plate, at(0, 0, 0), z, y, r1.Interval{Lo: -200, Hi: 200}, true},
		{"across a tray, width", tray, at(1000, 0, 0), x, y, r1.Interval{Lo: -150, Hi: 150}, true},
		{"across a tray, height, from its top", tray, at(1000, 0, 30), x, z, r1.Interval{Lo: -60, Hi: 0}, true},
		{"at a tray's end", tray, at(3000, 0, 0), x, y, r1.Interval{Lo: -150, Hi: 150}, true},
		{"past a tray's end", tray, at(3000.01, 0, 0), x, y, none, false},
		{"through a tray at 45", tray, at(1000, 0, 0), at(1, 1, 0), at(1, -1, 0), r1.Interval{Lo: -150 * math.Sqrt2, Hi: 150 * math.Sqrt2}, true},
		{"across a pipe", pipe, at(1000, 0, 0), x, z, r1.Interval{Lo: -50, Hi: 50}, true},
		{"along a pipe, 30 over its axis", pipe, at(0, 0, 30), z, y, r1.Interval{Lo: -40, Hi: 40}, true},
		{"through a pipe at 45", pipe, at(1000, 0, 0), at(1, 1, 0), at(1, -1, 0), r1.Interval{Lo: -50 * math.Sqrt2, Hi: 50 * math.Sqrt2}, true},
		{"plumb through a drain", drain, at(4000, 0, -50), x, z, r1.Interval{Lo: -55 * slope / 80, Hi: 55 * slope / 80}, true},
		{"plumb through a ramp", ramp, at(800, 0, 0), x, z, r1.Interval{Lo: 10 - 150, Hi: 10 + 150}, true},
	}
	for _, test := range tests {
		got, ok := CutReach(test.b, test.at, test.normal, test.dir)
		if ok != test.ok || ok && (math.Abs(got.Lo-test.want.Lo) > 1e-6 || math.Abs(got.Hi-test.want.Hi) > 1e-6) {
			t.Errorf("%s: CutReach(%v, %v, %v, %v) = %v, %v, want %v, %v", test.name, test.b, test.at, test.normal, test.dir, got, ok, test.want, test.ok)
		}
	}
}

func TestSlice(t *testing.T) {
	for _, b := range []Body{point, rod, plate, wall, tray, duct, pipe, riser, drain, ramp} {
		for _, s := range []float64{-1, 0, 0.25, 1} {
			c := Slice(b, s)
			if want := b.Centre.Add(b.Along.Mul(s)); c.Centre != want || c.W != b.W || c.H != b.H || c.Across != b.Across {
				t.Errorf("Slice(%v, %v) = %v", b, s, c)
			}
			// A slice lies in its body, and reaches as far to the side and square to the axis as it.
			side := unit(r3.Vector{X: -b.Along.Y, Y: b.Along.X})
			if side == (r3.Vector{}) {
				side = at(0, 1, 0)
			}
			if g, w := c.half(side), b.half(side); math.Abs(g-w) > 1e-9 {
				t.Errorf("Slice(%v, %v) reaches %v to the side, want %v", b, s, g, w)
			}
			if g := c.half(unit(b.Along)); b.Round && g > 2e-7 {
				t.Errorf("Slice(%v, %v) is %v long", b, s, 2*g)
			}
			if b.Along != (r3.Vector{}) && Gap(b, c).MM != 0 {
				t.Errorf("Slice(%v, %v) lies outside", b, s)
			}
		}
	}
	// The slice of a duct in an opening of a web: what is left over to each side.
	c := Slice(tray, 0)
	hole := Box(at(1490, 0, 0), at(1510, 0, 0), 500, 200)
	if iv, ok := Span(c, hole, at(0, 1, 0)); !ok || math.Abs(iv.Hi-(250+150)) > 1e-6 {
		t.Errorf("Span(%v, %v) = %v, %v, want an end at 400", c, hole, iv, ok)
	}
}

func TestTrim(t *testing.T) {
	tests := []struct {
		b          Body
		start, end float64
		p, q       r3.Vector
		ok         bool
	}{
		{point, 0, 0, at(0, 0, 0), at(0, 0, 0), true},
		{point, 0, 1, at(0, 0, 0), at(0, 0, 0), false},
		{tray, 0, 0, at(0, 0, 0), at(3000, 0, 0), true},
		{tray, 100, 400, at(100, 0, 0), at(2600, 0, 0), true},
		{tray, 1500, 1500, at(0, 0, 0), at(0, 0, 0), false},
		{tray, 3001, 0, at(0, 0, 0), at(0, 0, 0), false},
		{pipe, 0, 1000, at(0, 0, 0), at(4000, 0, 0), true},
		{riser, 1000, 0, at(0, 0, 1000), at(0, 0, 3000), true},
		{drain, math.Hypot(80, 1), 0, at(80, 0, -1), at(8000, 0, -100), true},
	}
	for _, test := range tests {
		got, ok := Trim(test.b, test.start, test.end)
		if ok != test.ok || ok && (got.Start().Distance(test.p) > 1e-9 || got.End().Distance(test.q) > 1e-9 || got.W != test.b.W || got.H != test.b.H) {
			t.Errorf("Trim(%v, %v, %v) = %v, %v, want %v to %v, %v", test.b, test.start, test.end, got, ok, test.p, test.q, test.ok)
		}
	}
}

func TestOutline(t *testing.T) {
	for _, test := range []struct {
		b       Body
		corners int
	}{{point, 1}, {rod, 2}, {plate, 4}, {wall, 2}, {tray, 4}, {duct, 4}, {ramp, 4}, {pipe, 4}, {cross, 4}} {
		if got := Outline(test.b); len(got) != test.corners {
			t.Errorf("Outline(%v) = %v, want %d corners", test.b, got, test.corners)
		}
	}
	n := 0
	forPairs(t, 40, func(t *testing.T, r maker, b, _ Body, how string) {
		p := Outline(b)
		n++
		dip := math.Max(0.01, 1e-5*b.W) + 1e-9*(b.Along.Norm()+b.Centre.Norm()+1)
		for i := 0; i < 64; i++ {
			s, c := math.Sincos(2 * math.Pi * float64(i) / 64)
			reach := b.Reach(r3.Vector{X: c, Y: s})
			most := math.Inf(-1)
			for _, q := range p {
				most = math.Max(most, q.X*c+q.Y*s)
			}
			if most > reach.Hi+1e-8 || most < reach.Hi-dip {
				t.Errorf("Outline(%v) reaches %v along %v, %v, want %v", show(b), most, c, s, reach.Hi)
			}
		}
		area := 0.0
		for i := range p {
			q, o := p[(i+1)%len(p)], r2.Point{X: b.Centre.X, Y: b.Centre.Y}
			a := p[i].Sub(o).Cross(q.Sub(o))
			area += a
			if a < -1e-6*(1+b.Along.Norm()) {
				t.Errorf("Outline(%v) turns clockwise at corner %d", show(b), i)
			}
		}
		if area < -1e-6 {
			t.Errorf("Outline(%v) has area %v", show(b), area)
		}
	})
	t.Logf("%d outlines", n)
}

// TestExtremes asks everything of bodies at the edge of what is allowed: no answer may be NaN or
// infinite, and nothing may panic.
func TestExtremes(t *testing.T) {
	lengths := []float64{0, 0, 5e-324, 1e-300, 1e-20, 1e-9, 1e-6, 1, 600, 1e5}
	places := []float64{0, 0, 1e-300, -1e-9, 300, 2e6, -1e7, 1e7}
	n := 0
	for k := uint64(0); k < uint64(*pairs)*8; k++ {
		r := newMaker(seed+7, k)
		one := func() Body {
			l := lengths[r.IntN(len(lengths))]
			along := [8]r3.Vector{{X: 1}, {Y: -1}, {X: 1, Y: 1}, {X: 1, Z: 1e-9}, {X: 1, Y: 1e-12, Z: 0.0125}, {Z: 1}, {}, {X: 1e-11, Z: 1}}[r.IntN(8)].Mul(l)
			c := at(places[r.IntN(len(places))], places[r.IntN(len(places))], places[r.IntN(6)])
			b := Body{Centre: c, Along: along, W: lengths[r.IntN(len(lengths))], H: lengths[r.IntN(len(lengths))], Round: r.IntN(2) == 0}
			if !b.Round && math.Abs(along.Z) > math.Abs(along.X) {
				b.Along = r3.Vector{} // a box does not stand on end: it has no length
			}
			if u := unit(r3.Vector{X: along.X, Y: along.Y}); u != (r3.Vector{}) {
				b.Across = r2.Point{X: -u.Y, Y: u.X}
			} else {
				b.Across = r2.Point{X: 0.6, Y: 0.8}
			}
			return b
		}
		a, b := one(), one()
		if r.IntN(3) == 0 {
			b.Centre = a.Centre
		}
		var all []float64
		vec := func(v ...r3.Vector) {
			for _, v := range v {
				all = append(all, v.X, v.Y, v.Z)
			}
		}
		for _, g := range []Measure{Gap(a, b), gap(a, b)} {
			all = append(all, g.MM)
			vec(g.A, g.B, g.Dir)
			if e := proof(a, b, g); !(e <= allowed(a, b)) {
				t.Errorf("Gap(a, b) = %v: proof fails by %v", g, e)
			}
		}
		for _, f := range []func(a, b Body) (Measure, bool){Beside, beside} {
			m, _ := f(a, b)
			all = append(all, m.MM)
			vec(m.A, m.B, m.Dir)
		}
		for _, d := range []r3.Vector{{Z: 1}, {X: 1}, {X: 1, Y: 2, Z: -3}} {
			if iv, ok := Span(a, b, d); ok {
				all = append(all, iv.Lo, iv.Hi)
			}
			if lo, hi, ok := spanProof(a, b, d); ok {
				all = append(all, lo.T, hi.T)
				vec(lo.At, lo.Dir, hi.At, hi.Dir)
			}
			if iv, ok := CutReach(a, b.Centre, d, at(0.3, -1, 0.2)); ok {
				all = append(all, iv.Lo, iv.Hi)
			}
		}
		for _, f := range []func(a, b Body) (Parting, bool){Part, part} {
			p, _ := f(a, b)
			all = append(all, p.MM, p.Bound, p.Dir.X, p.Dir.Y)
		}
		Meet(a, b)
		meet(a, b)
		all = append(all, PlanOverlap(a, b), planOverlap(a, b), SharedHeight(a, b))
		for _, p := range Outline(a) {
			all = append(all, p.X, p.Y)
		}
		s := Slice(a, 0.3)
		vec(s.Centre, s.Along)
		s, _ = Trim(a, 1, 2)
		vec(s.Centre, s.Along)
		for i, x := range all {
			if math.IsNaN(x) || math.IsInf(x, 0) {
				t.Errorf("number %d of the answers is %v", i, x)
				break
			}
		}
		n += len(all)
		if t.Failed() {
			t.Fatalf("pair %d, seed %d:\na := %s\nb := %s", k, seed+7, show(a), show(b))
		}
	}
	t.Logf("%d numbers, all finite", n)
}

// What has no width along dir reaches from a place to the same place, never less than nothing.
func TestCutReachOfThin(t *testing.T) {
	n := 0
	forSites(t, 21, *pairs/3, every, []int{square0}, func(r maker, b, _ Body) string {
		b.W, b.H = 0, 0
		along := unit(b.Along)
		if along == (r3.Vector{}) {
			return ""
		}
		normal := unit(along.Add(r.ball().Mul(0.9)))
		dir, _ := frameAbout(normal)
		at := b.Centre.Add(r.ball().Mul(1000))
		at = at.Add(normal.Mul(b.Centre.Sub(at).Dot(normal)))
		iv, ok := CutReach(b, at, normal, dir)
		if !ok {
			return fmt.Sprintf("CutReach(b, %v, %v, %v) misses a line that it cuts in the middle", at, normal, dir)
		}
		n++
		want := b.Centre.Sub(at).Dot(dir)
		if tol := 1e-6 + 1e-11*longest(b, Body{Centre: at}); !(iv.Lo <= iv.Hi && iv.Lo >= want-tol && iv.Hi <= want+tol) {
			return fmt.Sprintf("CutReach(b, %v, %v, %v) = %v, want %v", at, normal, dir, iv, want)
		}
		return ""
	})
	t.Logf("%d cuts", n)
	if n < *pairs/3 {
		t.Errorf("only %d cuts", n)
	}
}
