package clash

import (
	"math"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"

	"voidline/void"
	"voidline/void/body"
)

var up = r3.Vector{Z: 1}

// square reports whether a body is a level box square to the axes: it is its own bounding box.
func square(b *body.Body) bool {
	return !b.Round && b.Along.Z == 0 && (b.Along.X == 0 || b.Along.Y == 0)
}

// lengthOf returns the length of a body along its axis, mm.
func lengthOf(b body.Body) float64 { return 2 * b.Along.Norm() }

// long reports whether l is nearer than g to b for more than over along its length.
func long(l, b body.Body, g, over float64) bool {
	if over <= 0 {
		return true
	}
	if lengthOf(l) <= over+void.Hair {
		return false
	}
	lo, hi, ok := body.Stretch(l, b, math.Max(0, g-void.Hair))
	return ok && (hi-lo)/2*lengthOf(l) > over+void.Hair
}

// boxed returns a level or sloping round body as the box round it; others as they are.
func boxed(b body.Body) body.Body {
	if !b.Round {
		return b
	}
	if math.Hypot(b.Along.X, b.Along.Y) == 0 {
		h := b.Height()
		return body.Body{Centre: b.Centre, Along: r3.Vector{X: b.W}, Across: r2.Point{Y: 1}, W: b.W, H: h.Length() / 2}
	}
	b.Round, b.H = false, b.W*math.Hypot(1, b.Along.Z/math.Hypot(b.Along.X, b.Along.Y))
	return b
}

// roomOver returns the box of height g that stands on a body (way 1) or hangs under it (way -1); with
// the body itself where whole is true.
func roomOver(b body.Body, g, way float64, whole bool) body.Body {
	r := boxed(b)
	if whole {
		r.Centre.Z += way * g / 2
		r.H += g / 2
		return r
	}
	r.Centre.Z += way * (r.H + g/2)
	r.H = g / 2
	return r
}

// roomBeside returns the box of width g along the left (side 1) or right (side -1) of a body.
func roomBeside(b body.Body, g, side float64) body.Body {
	r := boxed(b)
	d := side * (r.W + g/2)
	r.Centre = r.Centre.Add(r3.Vector{X: r.Across.X * d, Y: r.Across.Y * d})
	r.W = g / 2
	return r
}

// middle returns, axis by axis, the middle of what two boxes share, or of what lies between them.
func middle(a, b box) r3.Vector {
	var c [3]float64
	for i := range c {
		c[i] = (math.Max(a.lo[i], b.lo[i]) + math.Min(a.hi[i], b.hi[i])) / 2
	}
	return r3.Vector{X: c[0], Y: c[1], Z: c[2]}
}
