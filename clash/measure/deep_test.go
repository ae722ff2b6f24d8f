package measure_test

import (
	"math"
	"testing"

	"github.com/golang/geo/r3"

	"voidline/clash/measure"
	"voidline/void/body"
)

// How deep two bodies are in each other is the lesser of the way up or down and the way sideways that parts them; nothing where they are
// apart or touch.
func TestDeepIn(t *testing.T) {
	// 1000 long, 200 wide, 100 high, its underside at z.
	along := func(y, z float64) body.Body {
		return body.Box(r3.Vector{Y: y, Z: z + 50}, r3.Vector{X: 1000, Y: y, Z: z + 50}, 200, 100)
	}
	across := body.Box(r3.Vector{X: 500, Y: -1000, Z: 50}, r3.Vector{X: 500, Y: 1000, Z: 50}, 200, 100)
	pipe := body.Cylinder(r3.Vector{X: 500, Y: -1000, Z: 130}, r3.Vector{X: 500, Y: 1000, Z: 130}, 100)
	for _, test := range []struct {
		name string
		a, b body.Body
		want float64
	}{
		{"10 beside", along(0, 0), along(210, 0), 0},
		{"side by side", along(0, 0), along(200, 0), 0},
		{"10 over", along(0, 0), along(0, 110), 0},
		{"one on the other", along(0, 0), along(0, 100), 0},
		{"30 in from above", along(0, 0), along(0, 70), 30},
		{"30 in from beside", along(0, 0), along(170, 0), 30},
		{"70 sideways, 60 up", along(0, 0), along(130, 40), 60},
		{"crossing: 100 up, and 600 sideways", along(0, 0), across, 100},
		{"a pipe of 100 across it, its axis 30 over it: 20", along(0, 0), pipe, 20},
	} {
		for _, got := range []float64{measure.DeepIn(test.a, test.b), measure.DeepIn(test.b, test.a)} {
			if math.Abs(got-test.want) > 1e-6 {
				t.Errorf("%s: %v deep, want %v", test.name, got, test.want)
			}
		}
	}
}
