package measure

import (
	"math"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"

	"voidline/clash/scene"
	"voidline/void"
	"voidline/void/body"
	"voidline/void/cell"
)

// square reports whether a body is a level box square to the axes: it is its own bounding box.
func square(b *body.Body) bool {
	return !b.Round && b.Along.Z == 0 && (b.Along.X == 0 || b.Along.Y == 0)
}

// LengthOf returns the length of a body along its axis, mm.
func LengthOf(b body.Body) float64 { return 2 * b.Along.Norm() }

// Long reports whether l is nearer than g to b for more than over along its length.
func Long(l, b body.Body, g, over float64) bool { return LongOn(l, b, cell.Around, g, over) }

// StretchOn returns the stations of o, from -1 to 1, at which its own cut is nearer than g to t on a side: all round, at the
// same height, or with t over or under the cut. false where none is.
func StretchOn(o, t body.Body, side cell.Towards, g float64) (lo, hi float64, ok bool) {
	switch side {
	case cell.Above:
		return stretchUp(o, t, g, 1)
	case cell.Below:
		return stretchUp(o, t, g, -1)
	case cell.Beside:
		return stretchBeside(o, t, math.Max(0, g-void.Hair))
	}
	return body.Stretch(o, t, math.Max(0, g-void.Hair))
}

// A length lies beside things along its axis. A block has none: it may along either of its sides, however it is turned, and along its height.
const (
	byAxis   int8 = iota // along Along
	bySide               // along Across
	byHeight             // straight up
)

// Ways returns how many ways there are to go along a body: Along and StretchWay take their numbers, from 0.
func Ways(o body.Body) int8 {
	if o.Block {
		return byHeight + 1
	}
	return byAxis + 1
}

// Along returns a body with the axis along which it is gone; straight up it is good for its length and its ends alone.
func Along(o body.Body, way int8) body.Body {
	n := o.Along.Norm()
	switch way {
	case bySide:
		o.Along, o.Across, o.W = r3.Vector{X: o.Across.X, Y: o.Across.Y}.Mul(o.W), r2.Point{X: -o.Along.X / n, Y: -o.Along.Y / n}, n
	case byHeight:
		o.Along = r3.Vector{Z: o.H}
	}
	return o
}

// StretchWay is StretchOn along a way of o. Straight up nothing is over or under it.
func StretchWay(o, t body.Body, side cell.Towards, g float64, way int8) (lo, hi float64, ok bool) {
	if way != byHeight {
		return StretchOn(Along(o, way), t, side, g)
	}
	if side == cell.Above || side == cell.Below {
		return 0, 0, false
	}
	return stretchBy(-1, 1, math.Max(0, g-void.Hair), func(s float64) float64 {
		cut := o
		cut.Centre.Z += s * o.H
		cut.H = 0
		if side != cell.Beside {
			return body.Gap(cut, t).MM
		}
		m, ok := body.Beside(cut, t)
		if !ok {
			return math.Inf(1)
		}
		return m.MM
	})
}

// LongOn reports whether o is nearer than g to t on a side for more than over along one of the ways to go along it.
func LongOn(o, t body.Body, side cell.Towards, g, over float64) bool {
	if over <= 0 {
		return true
	}
	for way := range Ways(o) {
		long := LengthOf(Along(o, way))
		if long <= over+void.Hair {
			continue
		}
		if lo, hi, ok := StretchWay(o, t, side, g, way); ok && (hi-lo)/2*long > over+void.Hair {
			return true
		}
	}
	return false
}

// stretchUp returns the stations of o at which t stands no more than g over its cut (way 1) or under it (way -1), or in it. A
// cut with the room over it is a box where o is one. Of a round o the room under t is taken instead, which is a box
// where t is one. Of two round ones it is that of the one that is level (roundRoom), and where both fall each cut is measured.
func stretchUp(o, t body.Body, g, way float64) (lo, hi float64, ok bool) {
	switch {
	case !o.Round || o.Along.X == 0 && o.Along.Y == 0:
		return body.Stretch(roomOver(o, g, way, true), t, 0)
	case !t.Round || t.Along.X == 0 && t.Along.Y == 0:
		return body.Stretch(o, roomOver(t, g, -way, true), 0)
	}
	if o.Along.Z != 0 && t.Along.Z != 0 {
		return stretchCuts(o, t, g, way)
	}
	lo, hi = math.Inf(1), math.Inf(-1)
	for k := range 3 {
		a, b := o, t
		if o.Along.Z == 0 {
			a = roundRoom(o, g, way, k)
		} else {
			b = roundRoom(t, g, -way, k)
		}
		if from, to, some := body.Stretch(a, b, 0); some {
			lo, hi, ok = math.Min(lo, from), math.Max(hi, to), true
		}
	}
	if !ok {
		return 0, 0, false
	}
	return lo, hi, true
}

// roundRoom returns one of the three bodies that together are a level round body with the room of height g over it (way 1) or
// under it (way -1): itself, itself g further up or down, and the box between their axes. What meets all three meets one
// stretch, for they are convex together.
func roundRoom(b body.Body, g, way float64, part int) body.Body {
	switch part {
	case 1:
		b.Centre.Z += way * g
	case 2:
		b.Centre.Z += way * g / 2
		b.Round, b.H = false, g/2
	}
	return b
}

// stretchCuts is stretchUp of two round bodies, each cut of o measured.
func stretchCuts(o, t body.Body, g, way float64) (lo, hi float64, ok bool) {
	from, to, ok := body.Stretch(Tall(o), Tall(t), 0)
	if !ok {
		return 0, 0, false
	}
	dir := r3.Vector{Z: way}
	return stretchBy(from, to, g, func(s float64) float64 {
		v, ok := body.Span(body.Slice(o, s), t, dir)
		if !ok || v.Hi < 0 {
			return math.Inf(1)
		}
		return v.Lo
	})
}

// stretchBeside returns the stations of o at which its cut is no further than g from t at the same height.
func stretchBeside(o, t body.Body, g float64) (lo, hi float64, ok bool) {
	if o.Along.Norm2() == 0 {
		return body.Stretch(o, t, g)
	}
	if o.Along.Z == 0 && t.Along.Z == 0 && !o.Round && !t.Round {
		return body.Stretch(Tall(o), Tall(t), g) // level boxes share their height all along, or nowhere
	}
	from, to, ok := body.Stretch(o, t, g)
	if !ok {
		return 0, 0, false
	}
	return stretchBy(from, to, g, func(s float64) float64 {
		m, ok := body.Beside(body.Slice(o, s), t)
		if !ok {
			return math.Inf(1)
		}
		return m.MM
	})
}

// stretchBy returns where a convex function of the stations between from and to is no more than g: by thirds to where it is
// least, by halves to where it is g. Beyond an end of where it is finite it may be infinite.
func stretchBy(from, to, g float64, far func(s float64) float64) (lo, hi float64, ok bool) {
	// Where it is finite at all; a little inside, for at its very ends it is not sure.
	const some = 64
	first, last := math.Inf(1), math.Inf(-1)
	for k := range some + 1 {
		if s := from + (to-from)*float64(k)/some; !math.IsInf(far(s), 1) {
			first, last = math.Min(first, s), math.Max(last, s)
		}
	}
	if first > last {
		return 0, 0, false
	}
	a, b := first, last
	for range 60 {
		m, n := a+(b-a)/3, b-(b-a)/3
		if far(m) <= far(n) {
			b = n
		} else {
			a = m
		}
	}
	best := (a + b) / 2
	if far(best) > g {
		return 0, 0, false
	}
	edge := func(out float64) float64 {
		in := best
		if far(out) <= g {
			return out
		}
		for range 50 {
			if mid := (in + out) / 2; far(mid) <= g {
				in = mid
			} else {
				out = mid
			}
		}
		return in
	}
	return edge(from), edge(to), true
}

// Boxed returns a level or sloping round body as the box round it; others as they are.
func Boxed(b body.Body) body.Body {
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

// Flat presses a body into the plan.
func Flat(b body.Body) body.Body {
	b = Boxed(b)
	b.Centre.Z, b.Along.Z, b.H = 0, 0, 0
	return b
}

// roomOver returns the box of height g that stands on a body (way 1) or hangs under it (way -1); with
// the body itself where whole is true.
func roomOver(b body.Body, g, way float64, whole bool) body.Body {
	r := Boxed(b)
	if whole {
		r.Centre.Z += way * g / 2
		r.H += g / 2
		return r
	}
	r.Centre.Z += way * (r.H + g/2)
	r.H = g / 2
	return r
}

// RoomBeside returns the box of width g along the left (side 1) or right (side -1) of a body.
func RoomBeside(b body.Body, g, side float64) body.Body {
	r := Boxed(b)
	d := side * (r.W + g/2)
	r.Centre = r.Centre.Add(r3.Vector{X: r.Across.X * d, Y: r.Across.Y * d})
	r.W = g / 2
	return r
}

// Middle returns, axis by axis, the middle of what two boxes share, or of what lies between them.
func Middle(a, b scene.Box) r3.Vector {
	var c [3]float64
	for i := range c {
		c[i] = (math.Max(a.Lo[i], b.Lo[i]) + math.Min(a.Hi[i], b.Hi[i])) / 2
	}
	return r3.Vector{X: c[0], Y: c[1], Z: c[2]}
}

// highest and lowest levels of what is as high as the building, mm: beyond anything that a project may hold.
const farUp = 4e6

// Tall returns a body as high as the building: only its plan counts.
func Tall(b body.Body) body.Body {
	b = Boxed(b)
	b.Centre.Z, b.Along.Z, b.H = 0, 0, farUp
	return b
}
