package measure

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"

	"voidline/void"
	"voidline/void/body"
)

// What a cut reaches from the middle of a round opening is what points all over the service's surface in the plane reach, of
// pipes at a skew and falling, and of ducts. The points lie 0.01 of a degree apart.
func TestCutsReachAsFarAsTheirPoints(t *testing.T) {
	rnd := rand.New(rand.NewPCG(5, 5))
	in := func(lo, hi float64) float64 { return lo + (hi-lo)*rnd.Float64() }
	for n := range 60 {
		o := &void.Opening{Across: r3.Vector{X: 1}, Up: r3.Vector{Z: 1}, Round: true, HalfA: 200, HalfB: 200}
		normal := r3.Vector{Y: 1}
		skew, fall := in(-1.2, 1.2), in(-0.2, 0.2)
		e := r3.Vector{X: math.Sin(skew), Y: math.Cos(skew), Z: fall}.Normalize()
		mid := r3.Vector{X: in(-60, 60), Y: 0, Z: in(-60, 60)}
		p, q := mid.Sub(e.Mul(2000)), mid.Add(e.Mul(2000))
		far, pipe := 0.0, n%2 == 0
		r, w, h := in(10, 100), in(40, 200), in(40, 200)
		s := body.Box(p, q, w, h)
		if pipe {
			s = body.Cylinder(p, q, 2*r)
			// Along each line of the surface to the plane.
			a := e.Cross(r3.Vector{Z: 1}).Normalize()
			b := e.Cross(a)
			for k := range 36000 {
				si, co := math.Sincos(float64(k) * math.Pi / 18000)
				v := mid.Add(a.Mul(r * co)).Add(b.Mul(r * si))
				v = v.Sub(e.Mul(v.Y / e.Y))
				far = math.Max(far, math.Hypot(v.X, v.Z))
			}
		} else {
			for _, side := range [4][2]float64{{1, 1}, {1, -1}, {-1, 1}, {-1, -1}} { // its four long edges
				v := mid.Add(r3.Vector{X: -math.Cos(skew), Y: math.Sin(skew)}.Mul(side[0] * w / 2)).Add(r3.Vector{Z: side[1] * h / 2})
				v = v.Sub(e.Mul(v.Y / e.Y))
				far = math.Max(far, math.Hypot(v.X, v.Z))
			}
		}
		c, ok := cutBy(s, o, r3.Vector{}, normal)
		if got := c.far(r2.Point{}); !ok || math.Abs(got-far) > 1e-4 {
			t.Errorf("%d, pipe %v, skew %g, fall %g: reaches %g, its points %g", n, pipe, skew, fall, got, far)
		}
	}
}

// The least way into an opening: none of many shorter ones leaves the room that is asked.
func TestNearestIntoAnOpening(t *testing.T) {
	rnd := rand.New(rand.NewPCG(5, 6))
	in := func(lo, hi float64) float64 { return lo + (hi-lo)*rnd.Float64() }
	both := 0
	for n := range 60 {
		o := &void.Opening{Across: r3.Vector{X: 1}, Up: r3.Vector{Z: 1}, Round: n%2 == 0, HalfA: in(100, 300), HalfB: in(100, 300)}
		if o.Round {
			o.HalfB = o.HalfA
		}
		skew := in(-0.8, 0.8)
		e := r3.Vector{X: math.Sin(skew), Y: math.Cos(skew), Z: in(-0.02, 0.02)}
		mid := r3.Vector{X: in(-500, 500), Z: in(-400, 400)}
		s := body.Cylinder(mid.Sub(e.Mul(2000)), mid.Add(e.Mul(2000)), in(20, 120))
		if n%3 == 0 {
			s = body.Box(mid.Sub(e.Mul(2000)), mid.Add(e.Mul(2000)), in(20, 120), in(20, 120))
		}
		c, _ := cutBy(s, o, r3.Vector{}, r3.Vector{Y: 1})
		pass := InOpening{o, []cut{c}}
		way, up := r2.Point{X: 1 / math.Cos(skew), Y: in(-0.05, 0.05)}, r2.Point{Y: 1}
		const asked = 25
		a, b, ok := pass.Nearest(way, up, asked)
		if !ok {
			continue
		}
		if room := pass.room(way.Mul(a).Add(up.Mul(b))); room < asked-void.Hair {
			t.Fatalf("%d: %g and %g leave %g", n, a, b, room)
		}
		if math.Abs(a) > 1 && math.Abs(b) > 1 {
			both++
		}
		for k := range 720 {
			si, co := math.Sincos(float64(k) * math.Pi / 360)
			l := math.Hypot(a, b) - 0.05
			if l > 0 && pass.room(way.Mul(l*co).Add(up.Mul(l*si))) >= asked {
				t.Fatalf("%d: %g and %g, and %g less along %g, %g will do", n, a, b, 0.05, co, si)
			}
		}
	}
	if both < 15 {
		t.Errorf("only %d go both ways", both)
	}
}
