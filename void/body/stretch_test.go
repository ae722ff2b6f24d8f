package body

import (
	"fmt"
	"math"
	"testing"

	"github.com/golang/geo/r3"
)

// halved returns Stretch by halving from a station that is near enough, and whether one was found.
func halved(l, b Body, g float64) (lo, hi float64, ok bool) {
	m := gap(l, b)
	if m.MM > g {
		return 0, 0, false
	}
	n2 := l.Along.Norm2()
	if n2 == 0 {
		return -1, 1, true
	}
	near := func(s float64) bool { return gap(Slice(l, s), b).MM <= g }
	in := l.station(m.A)
	if !near(in) {
		return in, in, true
	}
	edge := func(out float64) float64 {
		if near(out) {
			return out
		}
		in := in
		for i := 0; i < 60 && math.Abs(out-in)*math.Sqrt(n2) > 1e-6; i++ {
			if mid := (in + out) / 2; near(mid) {
				in = mid
			} else {
				out = mid
			}
		}
		return in
	}
	return edge(-1), edge(1), true
}

func TestStretch(t *testing.T) {
	n, some, closed, level := 0, 0, 0, 0
	forSites(t, 18, *pairs/6, every, every, func(r maker, l, b Body) string {
		if r.IntN(2) == 0 { // square to each other or along
			if l.Round && b.Round {
				l, b = r.crossing(l, b)
			} else if d := unit(b.Along); d.Z == 0 && !l.Round && b.Along.Norm() > 0 && l.Along.Norm() > 0 {
				l = turnTo(l, d)
			}
		}
		g := 0.0
		if r.IntN(3) != 0 {
			g = math.Pow(10, 4*r.Float64()-1)
		}
		n++
		lo, hi, ok := Stretch(l, b, g)
		wlo, whi, wok := halved(l, b, g)
		if ok != wok {
			if m := gap(l, b).MM; math.Abs(m-g) > allowed(l, b) {
				return fmt.Sprintf("Stretch within %v: %v, by halving %v; they are %v apart", g, ok, wok, m)
			}
			return ""
		}
		if !ok {
			return ""
		}
		some++
		var c aligned
		if c.align(&l, &b) {
			if _, _, _, done := c.stretch(&l, g); done {
				closed++
			}
		}
		if _, _, ok := levelStretch(&l, &b, g); ok {
			level++
		}
		if !(-1 <= lo && lo <= hi && hi <= 1) {
			return fmt.Sprintf("Stretch within %v = %v, %v", g, lo, hi)
		}
		// At an end that is not the body's own the distance is g; where it hardly changes along l the place hangs
		// on rounding.
		tol := 1e-4 + 1e-9*longest(l, b)
		for _, e := range [][2]float64{{lo, wlo}, {hi, whi}} {
			if math.Abs(e[0]-e[1])*l.Along.Norm() <= tol {
				continue
			}
			if x, y := gap(Slice(l, e[0]), b).MM, gap(Slice(l, e[1]), b).MM; math.Abs(x-g) > 3*allowed(l, b) || math.Abs(y-g) > 3*allowed(l, b) {
				return fmt.Sprintf("Stretch within %v = %v, %v, by halving %v, %v: %v mm off, there they are %v and %v apart",
					g, lo, hi, wlo, whi, math.Abs(e[0]-e[1])*l.Along.Norm(), x, y)
			}
		}
		return ""
	})
	t.Logf("%d pairs, %d stretches, %d of them in closed form, %d of level boxes", n, some, closed, level)
	if some < n/3 || closed < some/10 || level < some/50 {
		t.Errorf("of %d pairs only %d stretches, %d of them in closed form, %d of level boxes", n, some, closed, level)
	}
}

// A tray 200 wide along x, and one 100 wide that crosses it at 45° at its middle: at the flanks, 100 aside, the crossing one
// reaches 100 + 50√2 along, and grown by 30 it reaches 100 + 80√2. One 60 wide at 45° that ends over the tray's middle at 500
// has a corner 30/√2 further, which grows by 30; at the flank, 100 aside, its own flank is at 400 - 30√2, or 400 - 60√2.
func TestStretchOfLevelBoxes(t *testing.T) {
	tray := Box(r3.Vector{X: -1000}, r3.Vector{X: 1000}, 200, 50)
	across := Box(r3.Vector{X: -700, Y: -700}, r3.Vector{X: 700, Y: 700}, 100, 50)
	ends := Box(r3.Vector{X: -100, Y: -600}, r3.Vector{X: 500}, 60, 50)
	for _, test := range []struct {
		name   string
		l, b   Body
		g      float64
		lo, hi float64
	}{
		{"across", tray, across, 0, -100 - 50*math.Sqrt2, 100 + 50*math.Sqrt2},
		{"within 30", tray, across, 30, -100 - 80*math.Sqrt2, 100 + 80*math.Sqrt2},
		{"the tray the other way round", Box(tray.End(), tray.Start(), 200, 50), across, 0, -100 - 50*math.Sqrt2, 100 + 50*math.Sqrt2},
		{"ends in it", tray, ends, 0, 400 - 30*math.Sqrt2, 500 + 15*math.Sqrt2},
		{"ends within 30", tray, ends, 30, 400 - 60*math.Sqrt2, 530 + 15*math.Sqrt2},
	} {
		lo, hi, ok := levelStretch(&test.l, &test.b, test.g)
		if !ok || math.Abs(lo*1000-test.lo) > 1e-9 || math.Abs(hi*1000-test.hi) > 1e-9 {
			t.Errorf("%s: from %v to %v, %v, want from %v to %v", test.name, lo*1000, hi*1000, ok, test.lo, test.hi)
		}
	}
}
