package body

import (
	"math"

	"github.com/golang/geo/r2"
)

// outline is a plan rectangle about its centre: half sides u along e and v across it.
type outline struct {
	e    r2.Point
	u, v float64
}

// outlineOf returns the plan outline of a body where it is a rectangle: that of a Box, and of a level Round.
func outlineOf(b *Body) (outline, bool) {
	o := outline{e: r2.Point{X: b.Across.Y, Y: -b.Across.X}, v: b.W}
	if b.Round && math.Abs(b.Along.Z) > straight {
		return o, false
	}
	if k := o.e.X*o.e.X + o.e.Y*o.e.Y; math.Abs(k-1) > 1e-12 {
		return o, false
	}
	o.u = math.Abs(b.Along.X*o.e.X + b.Along.Y*o.e.Y)
	if b.Round && math.Abs(b.Along.X*o.e.Y-b.Along.Y*o.e.X) > 1e-12*o.u {
		return o, false
	}
	return o, true
}

// paired is two plan rectangles, q's centre at c from p's. Their difference is an eight-sided figure, whose
// sides are square to theirs:
//
//	   .----.      for each of the four directions: how far c lies along it, and how
//	 .'      '.    far the figure reaches, so that
//	|    +     |     - the greatest of the differences is how far they are apart along a side, or
//	 '.      .'        with the sign changed the least shift that parts them;
//	   '----'        - the least distance is from a corner of one to the other.
type paired struct {
	p, q     *outline
	c        r2.Point
	cos, sin float64    // of the turn from p to q
	at       [4]float64 // c along p's length and across it, along q's and across it
	reach    [4]float64
}

func pairing(p, q *outline, c r2.Point) (t paired) {
	t.p, t.q, t.c = p, q, c
	t.cos, t.sin = p.e.X*q.e.X+p.e.Y*q.e.Y, p.e.X*q.e.Y-p.e.Y*q.e.X
	t.at = [4]float64{
		c.X*p.e.X + c.Y*p.e.Y, c.Y*p.e.X - c.X*p.e.Y,
		c.X*q.e.X + c.Y*q.e.Y, c.Y*q.e.X - c.X*q.e.Y,
	}
	x, y := math.Abs(t.cos), math.Abs(t.sin)
	t.reach = [4]float64{
		p.u + x*q.u + y*q.v, p.v + y*q.u + x*q.v,
		q.u + x*p.u + y*p.v, q.v + y*p.u + x*p.v,
	}
	return t
}

// deepest returns by how much the rectangles are apart along the side along which they are most, and that
// side's number. Where it is negative they overlap by so much less.
func (t *paired) deepest() (f float64, side int) {
	f = math.Inf(-1)
	for i, x := range t.at {
		if d := math.Abs(x) - t.reach[i]; d > f {
			f, side = d, i
		}
	}
	return f, side
}

// side returns the direction of a side's number.
func (t *paired) side(i int) r2.Point {
	e := t.p.e
	if i >= 2 {
		e = t.q.e
	}
	if i&1 == 1 {
		return e.Ortho()
	}
	return e
}
