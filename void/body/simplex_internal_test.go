package body

import (
	"testing"

	"github.com/golang/geo/r3"
	"pgregory.net/rapid"
)

// What is nearest to the origin of four vertices is the point of their shares, and no vertex lies nearer along it; the origin itself is nearest where they hold it.
// Vertices are on a coarse lattice, so that the origin in a face, and four in one plane, are frequent.
func TestNearestOfFourVertices(t *testing.T) {
	drawn := rapid.Custom(func(t *rapid.T) r3.Vector {
		at := rapid.IntRange(-4, 4)
		return r3.Vector{X: float64(at.Draw(t, "x")), Y: float64(at.Draw(t, "y")), Z: float64(at.Draw(t, "z"))}
	})
	rapid.Check(t, func(t *rapid.T) {
		s := simplex{n: 4}
		var p [4]r3.Vector
		for k := range p {
			p[k] = drawn.Draw(t, "vertex")
			s.v[k].x = p[k]
		}
		for k := range p { // as in a walk, no three of them are in a line
			a, b, c := p[k], p[(k+1)%4], p[(k+2)%4]
			if b.Sub(a).Cross(c.Sub(a)).Norm() == 0 {
				t.Skip("three in a line")
			}
		}
		x, inside := s.nearest()
		if inside && x.Norm() > 0 {
			t.Fatalf("%v hold the origin, nearest is %v", p, x)
		}
		made, _, ok := s.mixed()
		if !ok || made.Sub(x).Norm() > 1e-9 {
			t.Fatalf("%v: nearest is %v, the shares make %v (%t)", p, x, made, ok)
		}
		for _, v := range p {
			if v.Sub(x).Dot(x) < -1e-9 {
				t.Fatalf("%v: %v is not nearest, %v is before it", p, x, v)
			}
		}
	})
}
