package measure

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"

	"voidline/void/body"
)

// Two pipes, ø60 and ø40, cross at 30° at (1000, 500), the first along x. Shifted to touch, their axes are 50 apart in
// height; what is no further than 0.02 lies within √(50.02² - 50²) = 1.4144 of the crossing square to the other pipe,
// 1.4144 / sin 30° = 2.829 along. So the crossing is where they are deepest if each has 2.829 + 30 past it.
func TestLevelPipesAreDeepestWhereTheyCross(t *testing.T) {
	pipe := func(size, angle, from, to float64) body.Body {
		w := r3.Vector{X: math.Cos(angle), Y: math.Sin(angle)}
		at := r3.Vector{X: 1000, Y: 500, Z: 2900}
		return body.Cylinder(at.Add(w.Mul(from)), at.Add(w.Mul(to)), size)
	}
	for _, test := range []struct {
		from, to float64 // of the first pipe, along it from the crossing
		ok       bool
	}{
		{-700, 900, true},
		{-700, 32.84, true},
		{-32.84, 900, true},
		{-700, 32.82, false},
		{-32.82, 900, false},
		{100, 900, false},
	} {
		a, b := pipe(60, 0, test.from, test.to), pipe(40, math.Pi/6, -300, 500)
		for _, c := range [][2]body.Body{{a, b}, {b, a}} {
			at, ok := crossing(c[0], c[1])
			if ok != test.ok || ok && at.Sub(r2.Point{X: 1000, Y: 500}).Norm() > 1e-9 {
				t.Errorf("from %v to %v: they cross at %v, %v", test.from, test.to, at, ok)
			}
		}
	}
	for _, angle := range []float64{0, math.Pi, 1e-9} {
		if at, ok := crossing(pipe(60, 0, -700, 900), pipe(40, angle, -300, 500)); ok {
			t.Errorf("two at an angle of %v cross at %v", angle, at)
		}
	}
}

// Where they cross is where looking along them finds them near, over random pipes (the seed is 5).
func TestCrossingIsWhereTheyAreNear(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 0))
	met := 0
	for range 3000 {
		pipe := func() body.Body {
			at := r3.Vector{X: r.Float64()*4000 - 2000, Y: r.Float64()*4000 - 2000, Z: 3000 + r.Float64()*50}
			w := r.Float64() * 2 * math.Pi
			by := r3.Vector{X: math.Cos(w), Y: math.Sin(w)}.Mul(1000 + r.Float64()*2000)
			return body.Cylinder(at.Sub(by), at.Add(by), 20+r.Float64()*400)
		}
		a, b := pipe(), pipe()
		q, ok := crossing(a, b)
		if !ok {
			continue
		}
		met++
		up := a.W + b.W + b.Centre.Z - a.Centre.Z
		if near := nearest(a.Shift(r3.Vector{Z: up}), b); math.Hypot(near.X-q.X, near.Y-q.Y) > 1e-3 {
			t.Errorf("%+v and %+v cross at %v, are near at %v", a, b, q, near)
		}
	}
	if met < 500 {
		t.Errorf("only %d crossed", met)
	}
}
