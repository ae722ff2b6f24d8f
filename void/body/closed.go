package body

import (
	"math"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"
)

// aligned is the difference of two bodies that stand square to one frame: level boxes in the
// same direction or square to each other, level cylinders along or across it, upright cylinders.
// C is then a block with half sides l, and at most one disk, square to axis k of the frame:
//
//	block        block + disk across x     block + upright disk
//	+----+         (----)                    .-----.
//	|    |  plan   |    |  seen along x      |     |  plan
//	+----+         (----)                    '-----'
//
// It is by far the most common case, and every measure has a closed form.
type aligned struct {
	x, y  r2.Point // the frame in plan
	c, l  [3]float64
	la    [3]float64 // a's part of l
	k     int        // axis of the disk, -1 for none
	r, ra float64

	tol float64
}

// plain is math.Hypot for lengths that can neither overflow nor matter where they underflow.
func plain(x, y float64) float64 { return math.Sqrt(x*x + y*y) }

// straight is how far off its frame a body may stand, in millimetres, to count as square.
const straight = 1e-10

// align returns the difference in its frame, and whether the bodies stand square to one.
func align(a, b Body) (aligned, bool) {
	t := aligned{k: -1}
	var ok bool
	if t.x, ok = bearing(a); !ok {
		if t.x, ok = bearing(b); !ok {
			t.x = r2.Point{X: 1}
		}
	}
	t.y = r2.Point{X: -t.x.Y, Y: t.x.X}
	lb, kb, rb, ok := t.standing(b)
	if !ok {
		return t, false
	}
	la, ka, ra, ok := t.standing(a)
	if !ok {
		return t, false
	}
	if ra > 0 && rb > 0 && ka != kb {
		return t, false
	}
	if ra > 0 {
		t.k = ka
	} else if rb > 0 {
		t.k = kb
	}
	t.r, t.ra = ra+rb, ra
	c := b.Centre.Sub(a.Centre)
	t.c = [3]float64{c.X*t.x.X + c.Y*t.x.Y, c.X*t.y.X + c.Y*t.y.Y, c.Z}
	scale := t.r
	for i := range t.l {
		t.l[i], t.la[i] = la[i]+lb[i], la[i]
		scale += t.l[i] + math.Abs(t.c[i])
	}
	t.tol = 2e-9 + 1e-14*scale
	return t, true
}

// bearing returns the plan direction of a body's length, and whether it has one.
func bearing(b Body) (r2.Point, bool) {
	if !b.Round {
		return r2.Point{X: b.Across.Y, Y: -b.Across.X}, b.Across != r2.Point{}
	}
	l := plain(b.Along.X, b.Along.Y)
	if l <= straight {
		return r2.Point{}, false
	}
	return r2.Point{X: b.Along.X / l, Y: b.Along.Y / l}, true
}

// standing returns the half sides of a body in the frame, the axis and radius of its disk, and
// whether it stands square.
func (t *aligned) standing(b Body) (l [3]float64, k int, r float64, ok bool) {
	x := math.Abs(b.Along.X*t.x.X + b.Along.Y*t.x.Y)
	y := math.Abs(b.Along.X*t.y.X + b.Along.Y*t.y.Y)
	z := math.Abs(b.Along.Z)
	if !b.Round {
		if z > straight {
			return l, 0, 0, false
		}
		s := math.Abs(b.Across.X*t.x.X + b.Across.Y*t.x.Y)
		c := math.Abs(b.Across.X*t.y.X + b.Across.Y*t.y.Y)
		switch {
		case s*b.W <= straight && y <= straight && (b.W > 0 || s <= c):
			return [3]float64{x, b.W, b.H}, -1, 0, true
		case c*b.W <= straight && x <= straight:
			return [3]float64{b.W, y, b.H}, -1, 0, true
		}
		return l, 0, 0, false
	}
	n := x + y + z
	if b.Along.Norm2() < noAxis {
		return l, -1, 0, b.W == 0
	}
	tilt := straight / (1 + b.W/n)
	switch {
	case y <= tilt && z <= tilt:
		return [3]float64{0: x}, 0, b.W, true
	case x <= tilt && z <= tilt:
		return [3]float64{1: y}, 1, b.W, true
	case x <= tilt && y <= tilt:
		return [3]float64{2: z}, 2, b.W, true
	}
	return l, 0, 0, false
}

// over returns how far the centre lies outside the block along axis i, negative inside.
func (t *aligned) over(i int) float64 { return math.Abs(t.c[i]) - t.l[i] }

// others returns the two axes in the disk; x and y where there is none.
func (t *aligned) others() (i, j, k int) {
	switch t.k {
	case 0:
		return 1, 2, 0
	case 1:
		return 0, 2, 1
	}
	return 0, 1, 2
}

// space returns a vector of the frame in space.
func (t *aligned) space(x [3]float64) r3.Vector {
	return r3.Vector{X: t.x.X*x[0] + t.y.X*x[1], Y: t.x.Y*x[0] + t.y.Y*x[1], Z: x[2]}
}

// points returns the points of a and b whose difference has the given block part (q, within the
// block) and disk part (d).
func (t *aligned) points(a, b Body, q, d [3]float64) (r3.Vector, r3.Vector) {
	var pa, pb [3]float64
	for i := range q {
		s := 0.0
		if t.l[i] > 0 {
			s = math.Max(-1, math.Min(1, (q[i]-t.c[i])/t.l[i]))
		}
		pa[i], pb[i] = -s*t.la[i], s*(t.l[i]-t.la[i])
		if t.r > 0 {
			pa[i] -= d[i] * t.ra / t.r
			pb[i] += d[i] * (1 - t.ra/t.r)
		}
	}
	return a.Centre.Add(t.space(pa)), b.Centre.Add(t.space(pb))
}

// nearest returns the point of the block nearest the origin.
func (t *aligned) nearest() (q [3]float64) {
	for i := range q {
		if o := t.over(i); o > 0 {
			q[i] = math.Copysign(o, t.c[i])
		}
	}
	return q
}

func (t *aligned) gap(a, b Body) Measure {
	q := t.nearest()
	i, j, _ := t.others()
	var d [3]float64
	if t.r > 0 {
		if l := plain(q[i], q[j]); l > 0 {
			s := math.Min(1, t.r/l)
			d[i], d[j] = -s*q[i], -s*q[j]
		}
	}
	x := [3]float64{q[0] + d[0], q[1] + d[1], q[2] + d[2]}
	mm := math.Sqrt(x[0]*x[0] + x[1]*x[1] + x[2]*x[2])
	pa, pb := t.points(a, b, q, d)
	if mm <= t.tol {
		return touching(pa, pb)
	}
	return Measure{MM: mm, A: pa, B: pb, Dir: t.space(x).Mul(1 / mm)}
}

// round returns the signed distance of the origin from the block and disk seen along axis k.
func (t *aligned) round() float64 {
	i, j, _ := t.others()
	p, q := t.over(i), t.over(j)
	return plain(math.Max(0, p), math.Max(0, q)) + math.Min(0, math.Max(p, q)) - t.r
}

func (t *aligned) meet() bool {
	_, _, k := t.others()
	return t.over(k) < -t.tol && t.round() < -t.tol
}

// wing returns how far the disk, square to x or y, reaches to the side at z = 0, and whether it
// reaches that level at all.
func (t *aligned) wing() (float64, bool) {
	z := math.Max(0, t.over(2))
	if z > t.r+t.tol {
		return 0, false
	}
	return math.Sqrt(math.Max(0, (t.r-z)*(t.r+z))), true
}

// beside returns Beside, whether heights meet, and whether there was a closed form.
func (t *aligned) beside(a, b Body) (m Measure, ok, done bool) {
	q := t.nearest()
	var d [3]float64
	if t.k == 2 || t.k < 0 {
		if t.over(2) > t.tol {
			return m, false, true
		}
		q[2] = 0
		if l := plain(q[0], q[1]); t.r > 0 && l > 0 {
			s := math.Min(1, t.r/l)
			d[0], d[1] = -s*q[0], -s*q[1]
		}
		x := [3]float64{q[0] + d[0], q[1] + d[1], 0}
		mm := plain(x[0], x[1])
		pa, pb := t.points(a, b, q, d)
		if mm <= t.tol {
			return touching(pa, pb), true, true
		}
		return Measure{MM: mm, A: pa, B: pb, Dir: t.space(x).Mul(1 / mm)}, true, true
	}
	w, ok := t.wing()
	if !ok {
		return m, false, true
	}
	if w <= 1e-3*t.r {
		return m, false, false // heights only just meet: the general search weighs that
	}
	j := 1 - t.k
	// The disk goes to the level of the origin, and to the side as far as is wanted.
	d[2] = -q[2]
	if q[j] > 0 {
		d[j] = -math.Min(w, q[j])
	} else {
		d[j] = math.Min(w, -q[j])
	}
	x := [3]float64{q[0] + d[0], q[1] + d[1], 0}
	mm := plain(x[0], x[1])
	pa, pb := t.points(a, b, q, d)
	if mm <= t.tol {
		return touching(pa, pb), true, true
	}
	n := x
	n[2] = math.Abs(x[j]) * q[2] / w
	l := plain(mm, n[2])
	return Measure{MM: mm, A: pa, B: pb, Dir: t.space(n).Mul(1 / l)}, true, true
}

// span returns Span along an axis of the frame, whether the path meets, and whether dir is one.
func (t *aligned) span(dir r3.Vector) (iv r1.Interval, hits, ok bool) {
	u := unit(dir)
	d := [3]float64{u.X*t.x.X + u.Y*t.x.Y, u.X*t.y.X + u.Y*t.y.Y, u.Z}
	at := -1
	for i := range d {
		if math.Abs(d[i]) == 1 && math.Abs(d[(i+1)%3]) <= 1e-16 && math.Abs(d[(i+2)%3]) <= 1e-16 {
			at = i
		}
	}
	if at < 0 {
		return iv, false, false
	}
	i, j, k := t.others()
	h := t.l[at]
	if at == k || t.r == 0 {
		if t.r > 0 {
			hits = t.round() <= t.tol
		} else {
			hits = t.over((at+1)%3) <= t.tol && t.over((at+2)%3) <= t.tol
		}
	} else {
		o := i + j - at
		p := math.Max(0, t.over(o))
		hits = t.over(k) <= t.tol && p <= t.r+t.tol
		h += math.Sqrt(math.Max(0, (t.r-p)*(t.r+p)))
	}
	if !hits {
		return r1.EmptyInterval(), false, true
	}
	c := math.Copysign(1, d[at]) * t.c[at]
	return r1.Interval{Lo: c - h, Hi: c + h}, true, true
}

// sides returns the least shift along x or y that takes the origin out of a rectangle with half
// sides p and q, and its direction.
func (t *aligned) sides(p, q float64) Parting {
	s := Parting{MM: p - math.Abs(t.c[0]), Dir: t.x.Mul(-math.Copysign(1, t.c[0]))}
	if h := q - math.Abs(t.c[1]); h < s.MM {
		s = Parting{MM: h, Dir: t.y.Mul(-math.Copysign(1, t.c[1]))}
	}
	return s
}

// upright returns the parting of a rectangle with round corners.
func (t *aligned) upright() Parting {
	p, q := t.over(0), t.over(1)
	if p > 0 || q > 0 {
		x := t.nearest()
		l := plain(x[0], x[1])
		if l < 1e-100 {
			return Parting{MM: t.r, Dir: t.x}
		}
		return Parting{MM: t.r - l, Dir: t.x.Mul(-x[0] / l).Add(t.y.Mul(-x[1] / l))}
	}
	s := t.sides(t.l[0], t.l[1])
	s.MM += t.r
	return s
}

func (t *aligned) part() (Parting, bool) {
	var s Parting
	if t.k == 2 || t.k < 0 {
		if t.over(2) >= -t.tol {
			return s, false
		}
		s = t.upright()
	} else {
		w, ok := t.wing()
		if !ok || t.over(2)-t.r >= -t.tol {
			return s, false
		}
		l := [2]float64{t.l[0], t.l[1]}
		l[1-t.k] += w
		s = t.sides(l[0], l[1])
	}
	if s.MM <= t.tol || !t.meet() {
		return Parting{}, false
	}
	s.Bound = t.tol
	if t.over(2) > -1e-6 && (t.k < 0 || t.k == 2 || t.over(2)-t.r > -1e-6) {
		s.Bound = s.MM
	}
	return s, true
}

func (t *aligned) planOverlap() float64 {
	if t.k == 2 || t.k < 0 {
		return t.upright().MM
	}
	l := [2]float64{t.l[0], t.l[1]}
	l[1-t.k] += t.r
	return t.sides(l[0], l[1]).MM
}
