package clash

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/golang/geo/r3"

	"voidline/void"
	"voidline/void/body"
)

// The ends of a stretch are near enough, and a ten-thousandth of a millimetre further out is not.
func TestStretchEnds(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	random := func() body.Body {
		at := func(spread float64) float64 { return spread * r.Float64() }
		p := r3.Vector{X: at(1000), Y: at(3000), Z: at(300)}
		q := r3.Vector{X: 5000 + at(100), Y: at(3000), Z: at(300)}
		if r.IntN(4) == 0 {
			q.Y = p.Y // square to the axes in plan
		}
		return body.Cylinder(p, q, 20+at(80))
	}
	inner := 0
	for range 3000 {
		a, b := random(), random()
		g := body.Gap(a, b).MM + 200*r.Float64()*float64(r.IntN(2)) + void.Hair
		lo, hi, ok := stretch(a, b, g)
		if !ok {
			t.Fatalf("%+v, %+v: none nearer than %g", a, b, g)
		}
		step := 1.1 * void.Hair / 10 / math.Sqrt(a.Along.Norm2())
		for _, e := range [2]struct{ at, out float64 }{{lo, -step}, {hi, step}} {
			if d := body.Gap(body.Slice(a, e.at), b).MM; d > g+1e-9 && hi > lo {
				t.Errorf("%+v, %+v: at %g the gap is %.9f, more than %.9f", a, b, e.at, d, g)
			}
			if out := e.at + e.out; math.Abs(out) <= 1 {
				inner++
				if d := body.Gap(body.Slice(a, out), b).MM; d <= g {
					t.Errorf("%+v, %+v: at %g, past the end %g, the gap is %.9f, not more than %.9f", a, b, out, e.at, d, g)
				}
			}
		}
	}
	if inner < 1000 {
		t.Errorf("only %d ends lie within the body", inner)
	}
}
