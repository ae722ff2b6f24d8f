package measure_test

import (
	"math"
	"testing"

	"github.com/golang/geo/r3"

	"voidline/clash/measure"
	"voidline/void/body"
	"voidline/void/cell"
)

// Over a round body counts what stands over its cut: of a pipe of 200 the top is 80 high at 60 from its axis, so that 50 over it
// is what is at 130 there. A bar at 45 degrees, 100 wide along the pipe, is over that strip of 120 for 60 + 50 each way, of 1000.
func TestStretchOverARoundBody(t *testing.T) {
	bar := func(z, way float64) body.Body {
		d := 2000 / math.Sqrt2
		// 70.7 wide: 50 each way along the pipe.
		return body.Box(r3.Vector{X: -d, Y: -d, Z: way * (z + 50)}, r3.Vector{X: d, Y: d, Z: way * (z + 50)}, 100/math.Sqrt2, 100)
	}
	for _, test := range []struct {
		name string
		o    body.Body
	}{
		{"along y", body.Cylinder(r3.Vector{Y: -1000}, r3.Vector{Y: 1000}, 200)},
		{"along x", body.Cylinder(r3.Vector{X: -1000}, r3.Vector{X: 1000}, 200)},
	} {
		for _, side := range []struct {
			side cell.Towards
			way  float64
		}{{cell.Above, 1}, {cell.Below, -1}} {
			lo, hi, ok := measure.StretchOn(test.o, bar(130, side.way), side.side, 50)
			if !ok || math.Abs(lo+0.11) > 1e-6 || math.Abs(hi-0.11) > 1e-6 {
				t.Errorf("a pipe %s, a bar %s: from %v to %v %v, want -0.11 to 0.11", test.name, side.side, lo, hi, ok)
			}
		}
	}
}
