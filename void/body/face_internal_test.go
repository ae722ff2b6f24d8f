package body

import (
	"testing"

	"github.com/golang/geo/r3"
)

// The point of a triangle that is nearest to the origin, in each of the seven regions: at a corner, on an edge, inside. The triangle is (0, 0), (4, 0), (0, 4) on the plane z = 3, moved
// so that the origin is over the place given.
func TestFaceInEveryRegion(t *testing.T) {
	for _, test := range []struct {
		over, at r3.Vector // of the triangle as it lies
		shares   [3]float64
	}{
		{r3.Vector{X: -1, Y: -2}, r3.Vector{}, [3]float64{1, 0, 0}},
		{r3.Vector{X: 6, Y: -1}, r3.Vector{X: 4}, [3]float64{0, 1, 0}},
		{r3.Vector{X: -1, Y: 6}, r3.Vector{Y: 4}, [3]float64{0, 0, 1}},
		{r3.Vector{X: 1, Y: -2}, r3.Vector{X: 1}, [3]float64{0.75, 0.25, 0}},
		{r3.Vector{X: -2, Y: 3}, r3.Vector{Y: 3}, [3]float64{0.25, 0, 0.75}},
		{r3.Vector{X: 4, Y: 2}, r3.Vector{X: 3, Y: 1}, [3]float64{0, 0.75, 0.25}},
		{r3.Vector{X: 1, Y: 2}, r3.Vector{X: 1, Y: 2}, [3]float64{0.25, 0.25, 0.5}},
	} {
		to := r3.Vector{Z: 3}.Sub(test.over)
		x, a, b, c := face(to, r3.Vector{X: 4}.Add(to), r3.Vector{Y: 4}.Add(to))
		got := [3]float64{a, b, c}
		if want := test.at.Add(to); x.Sub(want).Norm() > 1e-12 || got != test.shares {
			t.Errorf("over %v: %v with shares %v, want %v with %v", test.over, x, got, want, test.shares)
		}
	}
}
