package measure

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/golang/geo/r3"

	"voidline/void/body"
)

// A conduit of 20 along x and one of 30 across it, 100 higher: their cuts are no more than 200 under it for as long as it is wide,
// 15 either side. Of 80 the room reaches to 90, and the conduit over it is at 90 or lower where it is no less than 10 high
// over its middle: √(15² - 10²) = 11.180 either side. The other way round it is a room under the upper one.
func TestStretchOfRoundBodies(t *testing.T) {
	low := body.Cylinder(r3.Vector{X: -500}, r3.Vector{X: 500}, 20)
	high := body.Cylinder(r3.Vector{Y: -400, Z: 100}, r3.Vector{Y: 400, Z: 100}, 30)
	falls := high
	falls.Along.Z = 1e-3 // measured by the room under it
	for _, test := range []struct{ g, half float64 }{{200, 15}, {80, math.Sqrt(125)}} {
		for _, o := range []body.Body{high, falls} {
			lo, hi, ok := stretchUp(low, o, test.g, 1)
			if !ok || math.Abs(lo*500+test.half) > 1e-3 || math.Abs(hi*500-test.half) > 1e-3 {
				t.Errorf("within %g: from %g to %g, %v, want %g either side", test.g, lo*500, hi*500, ok, test.half)
			}
		}
	}
	if _, _, ok := stretchUp(low, high, 74.9, 1); ok {
		t.Error("75 clear is no more than 74.9")
	}
	if _, _, ok := stretchUp(low, high, 200, -1); ok {
		t.Error("what is over it is under it")
	}
}

// Of round bodies, level and falling: a cut just within the stretch is no more than the gap under the other, one just beyond is more.
func TestStretchOfRoundBodiesIsThatOfTheirCuts(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	some := func(falls bool) body.Body {
		at := r3.Vector{X: 400 * (random.Float64() - 0.5), Y: 400 * (random.Float64() - 0.5), Z: 200 * (random.Float64() - 0.5)}
		y, x := math.Sincos(2 * math.Pi * random.Float64())
		along := r3.Vector{X: x, Y: y}.Mul(100 + 900*random.Float64())
		if falls {
			along.Z = along.Norm() * (random.Float64() - 0.5) / 5
		}
		return body.Cylinder(at.Sub(along), at.Add(along), 5+50*random.Float64())
	}
	const hair = 1e-3 // mm
	met, apart := 0, 0
	for k := range 300 {
		o, b := some(k%3 == 1), some(k%3 == 2)
		g, way := 200*random.Float64(), float64(1-2*(k&1))
		near := func(s, slack float64) bool {
			v, ok := body.Span(body.Slice(o, s), b, r3.Vector{Z: way})
			return ok && v.Hi >= -slack && v.Lo <= g+slack
		}
		lo, hi, ok := stretchUp(o, b, g, way)
		step := hair / LengthOf(o)
		if !ok {
			apart++
			for s := -1.0; s <= 1; s += 1.0 / 32 {
				if near(s, -hair) {
					t.Errorf("%d: nowhere near, but at %g: %+v, %+v, %g %g", k, s, o, b, g, way)
					break
				}
			}
			continue
		}
		met++
		if hi-lo > 2*step && (!near(lo+step, hair) || !near(hi-step, hair)) {
			t.Errorf("%d: not near within %g to %g: %+v, %+v, %g %g", k, lo, hi, o, b, g, way)
		}
		if lo > -1+step && near(lo-step, 0) || hi < 1-step && near(hi+step, 0) {
			t.Errorf("%d: near beyond %g to %g: %+v, %+v, %g %g", k, lo, hi, o, b, g, way)
		}
	}
	if met < 80 || apart < 80 {
		t.Errorf("%d meet, %d do not: too few of one sort", met, apart)
	}
}

// Where a convex function of the stations is no more than a length, it says to the last bit that matters, on either side of where it is least, at a
// place that no halving meets.
func TestStretchBy(t *testing.T) {
	least := 0.3
	for _, test := range []struct{ g, lo, hi float64 }{{50, 0.3 - 0.05, 0.3 + 0.1}, {5, 0.3 - 0.005, 0.3 + 0.01}, {500, -0.2, 1}, {2000, -1, 1}} {
		lo, hi, ok := stretchBy(-1, 1, test.g, func(s float64) float64 {
			if s < least {
				return (least - s) * 1000
			}
			return (s - least) * 500
		})
		if !ok || math.Abs(lo-test.lo) > 1e-9 || math.Abs(hi-test.hi) > 1e-9 {
			t.Errorf("within %g: %v to %v, %t, want %v to %v", test.g, lo, hi, ok, test.lo, test.hi)
		}
	}
	if _, _, ok := stretchBy(-1, 1, 1, func(s float64) float64 { return 2 + math.Abs(s) }); ok {
		t.Error("nowhere less than 2 is no more than 1")
	}
}
