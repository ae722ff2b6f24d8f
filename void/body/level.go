package body

import (
	"math"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"
)

// cutAtLevel returns the plan outline of what a level plane z above the middle of a level body cuts of it, and whether that is
// a rectangle: of a Round the narrower the further from its axis, at its top the line along it.
func cutAtLevel(b *Body, z float64) (outline, bool) {
	if math.Abs(b.Along.Z) > straight {
		return outline{}, false
	}
	o, ok := outlineOf(b)
	if b.Round {
		// Of a short one the ends lean the more, the wider it is.
		ok = ok && math.Abs(b.Along.Z)*(o.u+b.W) <= straight*o.u
		o.v = chord(b.W, math.Abs(z))
	}
	return o, ok
}

// halfHeight returns half the height of a level body.
func (b *Body) halfHeight() float64 {
	if b.Round {
		return b.W
	}
	return b.H
}

// commonLevel returns the level at which two level bodies are cut, above the middle of each: that of a Round's axis in a Box, or as
// near to it as the Box goes, else in the middle of the height that they share.
func commonLevel(a, b *Body) (za, zb float64) {
	c := b.Centre.Z - a.Centre.Z
	switch {
	case !a.Round && b.Round:
		za = max(-a.H, min(a.H, c))
	case a.Round && !b.Round:
		za = max(c-b.H, min(c+b.H, 0))
	default:
		ha, hb := a.halfHeight(), b.halfHeight()
		za = (max(-ha, c-hb) + min(ha, c+hb)) / 2
	}
	return za, za - c
}

// levelCuts returns the pairing of the cuts of two level bodies at one level, for p and q to hold them; whether they are level and
// share that level; and whether the cuts are the whole outlines of both.
func levelCuts(a, b *Body, p, q *outline) (pair paired, ok, whole bool) {
	za, zb := commonLevel(a, b)
	if math.Abs(za) > a.halfHeight() || math.Abs(zb) > b.halfHeight() {
		return pair, false, false
	}
	var okA, okB bool
	if *p, okA = cutAtLevel(a, za); !okA {
		return pair, false, false
	}
	if *q, okB = cutAtLevel(b, zb); !okB {
		return pair, false, false
	}
	whole = (!a.Round || math.Abs(za) <= straight) && (!b.Round || math.Abs(zb) <= straight)
	return pairing(p, q, r2.Point{X: b.Centre.X - a.Centre.X, Y: b.Centre.Y - a.Centre.Y}), true, whole
}

// PartAtLeast returns a length that no horizontal shift which parts two bodies is shorter than, quickly: what it takes to part
// their cuts at one level; 0 where nothing is known so quickly. It may be less than Part has it, never more, but for
// rounding (1e-9 mm).
func PartAtLeast(a, b Body) float64 {
	var p, q outline
	pair, ok, _ := levelCuts(&a, &b, &p, &q)
	if !ok || SharedHeight(a, b) < grazing {
		return 0
	}
	f, _ := pair.deepest()
	return max(0, -f)
}

// levelPart returns Part of two level bodies that one level plane cuts in their whole outlines (any two level boxes, cylinders
// whose axes are at one level), whether they overlap, and whether that is what they are and rounding leaves no doubt.
func levelPart(a, b *Body) (s Parting, ok, done bool) {
	low := math.Abs(b.Centre.Z-a.Centre.Z) - a.halfHeight() - b.halfHeight()
	if !a.Round && !b.Round && low > grazing && math.Abs(a.Along.Z) <= straight && math.Abs(b.Along.Z) <= straight {
		return s, false, true
	}
	var p, q outline
	pair, ok, whole := levelCuts(a, b, &p, &q)
	if !ok || !whole {
		return s, false, false
	}
	f, i := pair.deepest()
	switch {
	case f > grazing:
		return s, false, true
	case f > -grazing || low > -grazing:
		return s, false, false
	}
	return Parting{MM: -f, Dir: pair.side(i).Mul(-math.Copysign(1, pair.at[i])), Bound: 1e-9}, true, true
}

// topsSpan returns Span straight up (sign 1) or down (-1) of two level bodies, and whether it is known so: where the flat tops
// of the two, of a Round the line along its top, are over one another in plan, the heights alone count.
func topsSpan(a, b *Body, sign float64) (r1.Interval, bool) {
	p, ok := cutAtLevel(a, a.halfHeight())
	if !ok {
		return r1.Interval{}, false
	}
	q, ok := cutAtLevel(b, b.halfHeight())
	if !ok {
		return r1.Interval{}, false
	}
	pair := pairing(&p, &q, r2.Point{X: b.Centre.X - a.Centre.X, Y: b.Centre.Y - a.Centre.Y})
	if f, _ := pair.deepest(); f > -grazing {
		return r1.Interval{}, false
	}
	c, h := sign*(b.Centre.Z-a.Centre.Z), a.halfHeight()+b.halfHeight()
	return r1.Interval{Lo: c - h, Hi: c + h}, true
}
