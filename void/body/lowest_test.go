package body

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"
)

// TestLowest holds the lowest point over a rectangle against many points of the body: none over the rectangle is lower,
// and the point found is one of the body and over the rectangle.
func TestLowest(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 1))
	over := r2.Rect{X: r1.Interval{Lo: -500, Hi: 500}, Y: r1.Interval{Lo: -500, Hi: 500}}
	met, missed := 0, 0
	for n := range 1500 {
		spread := func() float64 { return random.Float64()*4000 - 2000 }
		p := r3.Vector{X: spread(), Y: spread(), Z: 3000}
		q := r3.Vector{X: spread(), Y: spread(), Z: 3000 + random.Float64()*400 - 200}
		if n%3 == 0 {
			q.Y = p.Y // square to the building
		}
		if n%5 == 0 {
			q.Z = p.Z // level
		}
		b := Box(p, q, 50+random.Float64()*600, 50+random.Float64()*300)
		if n%2 == 1 {
			b = Cylinder(p, q, 50+random.Float64()*300)
		}
		low, ok := Lowest(b, over)
		high, okHigh := Highest(b, over)
		if ok != okHigh {
			t.Fatalf("%d: a lowest point: %v, a highest: %v", n, ok, okHigh)
		}
		lo, hi := math.Inf(1), math.Inf(-1)
		for i := -200.0; i <= 200; i++ {
			at := b.Centre.Add(b.Along.Mul(i / 200))
			left := r3.Vector{X: b.Across.X, Y: b.Across.Y}
			rise := b.Along.Cross(left).Normalize()
			for k := range 90 {
				sin, cos := math.Sincos(float64(k) / 90 * 2 * math.Pi)
				v, h := at.Add(left.Mul(b.W*cos)).Add(rise.Mul(b.W*sin)), 0.0
				if !b.Round {
					v, h = at.Add(left.Mul(b.W*(float64(k)/44.5-1))), b.H
				}
				if over.ContainsPoint(r2.Point{X: v.X, Y: v.Y}) {
					lo, hi = math.Min(lo, v.Z-h), math.Max(hi, v.Z+h)
				}
			}
		}
		if !ok {
			missed++
			if !math.IsInf(lo, 1) {
				t.Errorf("%d: %+v is over the rectangle", n, b)
			}
			continue
		}
		met++
		if lo < low.Z-1e-6 || hi > high.Z+1e-6 {
			t.Errorf("%d: %+v from %g to %g, and a point of it at %g or %g", n, b, low.Z, high.Z, lo, hi)
		}
		for _, v := range []r3.Vector{low, high} {
			if !over.ContainsPoint(r2.Point{X: v.X, Y: v.Y}) {
				t.Errorf("%d: %v is not over the rectangle", n, v)
			}
			if d := Gap(Cylinder(v, v, 0), b).MM; d > 3 { // the end of an axis stands for the foot of its disk: the root of 0.05 times a radius of 175
				t.Errorf("%d: %v is %g from the body", n, v, d)
			}
		}
	}
	if met < 500 || missed < 100 {
		t.Errorf("only %d met and %d missed", met, missed)
	}
}

// TestLowestByHand holds points worked out by hand: a box of 200 x 100 from (0, 0) to (8000, 0), 100 down in all, its middle
// at 3000 at the start.
func TestLowestByHand(t *testing.T) {
	over := func(x1, y1, x2, y2 float64) r2.Rect {
		return r2.RectFromPoints(r2.Point{X: x1, Y: y1}, r2.Point{X: x2, Y: y2})
	}
	box := Box(r3.Vector{Z: 3000}, r3.Vector{X: 8000, Z: 2900}, 200, 100)
	back := Box(r3.Vector{X: 8000, Z: 2900}, r3.Vector{Z: 3000}, 200, 100)
	pipe := Cylinder(r3.Vector{Z: 3000}, r3.Vector{X: 8000, Z: 2900}, 100)
	flat := Cylinder(r3.Vector{Z: 3000}, r3.Vector{X: 8000, Z: 3000}, 100)
	for _, x := range []struct {
		name string
		b    Body
		over r2.Rect
		want r3.Vector
	}{
		{"its low end", box, over(-1e4, -1e4, 1e4, 1e4), r3.Vector{X: 8000, Z: 2850}},
		{"drawn the other way", back, over(-1e4, -1e4, 1e4, 1e4), r3.Vector{X: 8000, Z: 2850}},
		{"as far as the bay: 4000 of 8000, 50 down", box, over(0, -1e4, 4000, 1e4), r3.Vector{X: 4000, Z: 2900}},
		{"half its width over the bay", box, over(0, 0, 4000, 1e4), r3.Vector{X: 4000, Y: 50, Z: 2900}},
		{"level: the middle of the stretch", flat, over(2000, -1e4, 1e4, 1e4), r3.Vector{X: 5000, Z: 2950}},
		{"level: its flank, 30 off its axis, 40 under it", flat, over(2000, 30, 1e4, 1e4), r3.Vector{X: 5000, Y: 30, Z: 2960}},
		{"a pipe's low end", pipe, over(-1e4, -1e4, 1e4, 1e4), r3.Vector{X: 8000, Z: 2900 - 50/math.Hypot(1, 1.0/80)}},
		{"a pipe as far as the bay", pipe, over(0, -1e4, 4000, 1e4), r3.Vector{X: 4000, Z: 2950 - 50*math.Hypot(1, 1.0/80)}},
	} {
		got, ok := Lowest(x.b, x.over)
		if !ok || got.Sub(x.want).Norm() > 1e-3 {
			t.Errorf("%s: %v, %v, want %v", x.name, got, ok, x.want)
		}
	}
	if p, ok := Lowest(box, over(0, 200, 4000, 1e4)); ok {
		t.Errorf("beside the bay: %v", p)
	}
}
