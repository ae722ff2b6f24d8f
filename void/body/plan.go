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

// common returns the parts of p and q, about their centres, that make one common point, and whether they have one.
//
// The figure is symmetric. It is shrunk until c lies on its side: there the parts are known, and they
// shrink with it.
func (t *paired) common() (pp, pq r2.Point, ok bool) {
	k, side := 0.0, -1
	for i, x := range t.at {
		if t.reach[i] <= 0 {
			return pp, pq, t.c == r2.Point{} // one point on another, or lines that the sides do not tell
		}
		if r := math.Abs(x) / t.reach[i]; r >= k {
			k, side = r, i
		}
	}
	if k == 0 {
		return pp, pq, true
	}
	// The nearest side of the figure, square to n, towards c. Of the rectangle whose side it is the part along it is
	// free, all others are at their ends: c = k·(own side + free + other's corner).
	n := t.side(side)
	if t.at[side] < 0 {
		n = n.Mul(-1)
	}
	m := n.Ortho()
	own, other := t.p, t.q
	if side >= 2 {
		own, other = t.q, t.p
	}
	h, w := own.u, own.v
	if side&1 == 1 {
		h, w = w, h
	}
	e, f := other.e, other.e.Ortho()
	u, v := math.Copysign(other.u, e.Dot(n)), math.Copysign(other.v, f.Dot(n))
	rest := t.c.Dot(m)/k - u*e.Dot(m) - v*f.Dot(m)
	free := max(-w, min(w, rest))
	if rest -= free; rest != 0 {
		// A side of the other that is nearly square to n as well takes what rounding leaves.
		if em, fm := e.Dot(m), f.Dot(m); math.Abs(em) > math.Abs(fm) {
			u = max(-other.u, min(other.u, u+rest/em))
		} else {
			v = max(-other.v, min(other.v, v+rest/fm))
		}
	}
	near, far := n.Mul(h).Add(m.Mul(free)), e.Mul(u).Add(f.Mul(v))
	pp, pq = near.Mul(k), far.Mul(-k)
	if side >= 2 {
		pp, pq = far.Mul(k), near.Mul(-k)
	}
	off := t.c.Add(pq).Sub(pp)
	return pp, pq, math.Abs(off.X)+math.Abs(off.Y) <= closes
}

// apart returns the least distance of two rectangles that do not overlap, the unit direction in which
// it lies, and the two points, about their centres; false where they do.
func (t *paired) apart() (f float64, n, pp, pq r2.Point, ok bool) {
	best := math.Inf(1)
	var x, y, cx, cy float64 // the way to the corner, and the corner, in the frame of the rectangle
	ofP := false
	for k := range 2 {
		own, other, ax, ay, sin := t.p, t.q, t.at[0], t.at[1], t.sin
		if k == 1 {
			own, other, ax, ay, sin = t.q, t.p, -t.at[2], -t.at[3], -t.sin
		}
		// The corners of the other about own's centre.
		ux, uy, vx, vy := other.u*t.cos, other.u*sin, -other.v*sin, other.v*t.cos
		for i := range 4 {
			px, py := ax, ay
			if i&1 == 0 {
				px, py = px+ux, py+uy
			} else {
				px, py = px-ux, py-uy
			}
			if i&2 == 0 {
				px, py = px+vx, py+vy
			} else {
				px, py = px-vx, py-vy
			}
			ox, oy := outside(px, own.u), outside(py, own.v)
			if d := ox*ox + oy*oy; d < best {
				best, x, y, cx, cy, ofP = d, ox, oy, px, py, k == 0
			}
		}
	}
	if f = math.Sqrt(best); f == 0 {
		return 0, n, pp, pq, false
	}
	own := t.p
	if !ofP {
		own = t.q
	}
	o := own.e.Ortho()
	turn := func(x, y float64) r2.Point { return own.e.Mul(x).Add(o.Mul(y)) }
	n, pp, pq = turn(x/f, y/f), turn(cx-x, cy-y), turn(cx, cy)
	if ofP {
		pq = pq.Sub(t.c)
	} else {
		n, pp, pq = n.Mul(-1), pq.Add(t.c), pp
	}
	// Along a side the direction is known, where a corner that rounding prefers would give another.
	if d, i := t.deepest(); f-d <= closes/10 {
		f, n = d, t.side(i).Mul(math.Copysign(1, t.at[i]))
	}
	return f, n, pp, pq, true
}
