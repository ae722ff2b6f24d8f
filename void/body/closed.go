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
// It is by far the most common case, and every measure has a closed form. Of two cylinders square to each other, which
// have two disks, only some have one (crossed.go).
type aligned struct {
	x, y  r2.Point // the frame in plan
	c, l  [3]float64
	la    [3]float64 // a's part of l
	k     int        // axis of the disk, -1 for none
	r, ra float64    // its radius, and a's part of that

	// Of two disks square to different axes k and r are a's; b's are these. rb is 0 where there are no two.
	kb int
	rb float64

	tol float64
}

// plain is math.Hypot for lengths that can neither overflow nor matter where they underflow.
func plain(x, y float64) float64 { return math.Sqrt(x*x + y*y) }

// straight is how far off its frame a body may stand, in millimetres, to count as square.
const straight = 1e-10

// align sets t to the difference in its frame, and reports whether the bodies stand square to one, with one disk at most. Where
// they do but for a second disk, it returns false and rb is not 0.
func (t *aligned) align(a, b *Body) bool {
	if a.slopes() || b.slopes() {
		return false
	}
	t.k, t.r, t.ra, t.rb = -1, 0, 0, 0
	var lb [3]float64
	var ra, rb float64
	var ka, kb int
	var ok bool
	if t.x, ok = bearing(a); !ok {
		if t.x, ok = bearing(b); !ok {
			t.x = r2.Point{X: 1}
		}
	}
	t.y = r2.Point{X: -t.x.Y, Y: t.x.X}
	if kb, rb, ok = b.square(&lb); ok {
		ka, ra, ok = a.square(&t.la)
	}
	switch {
	case ok && t.x.Y == 0:
	case ok && t.x.X == 0:
		t.la[0], t.la[1] = t.la[1], t.la[0]
		lb[0], lb[1] = lb[1], lb[0]
		ka, kb = swapped[ka+1], swapped[kb+1]
	default:
		if kb, rb, ok = t.standing(b, &lb); !ok {
			return false
		}
		if ka, ra, ok = t.standing(a, &t.la); !ok {
			return false
		}
	}
	x, y := b.Centre.X-a.Centre.X, b.Centre.Y-a.Centre.Y
	t.c = [3]float64{x*t.x.X + y*t.x.Y, x*t.y.X + y*t.y.Y, b.Centre.Z - a.Centre.Z}
	switch {
	case ra > 0 && rb > 0 && ka != kb:
		t.k, t.r, t.ra, t.kb, t.rb = ka, ra, ra, kb, rb
	case ra > 0:
		t.k, t.r, t.ra = ka, ra+rb, ra
	case rb > 0:
		t.k, t.r = kb, rb
	}
	scale := ra + rb
	for i := range t.l {
		t.l[i] = t.la[i] + lb[i]
		scale += t.l[i] + math.Abs(t.c[i])
	}
	t.tol = 2e-9 + 1e-14*scale
	return t.rb == 0
}

// slopes reports whether a body is plainly neither level nor upright.
func (b *Body) slopes() bool {
	return math.Abs(b.Along.Z) > straight && (!b.Round || math.Abs(b.Along.X)+math.Abs(b.Along.Y) > 2*straight)
}

// swapped is what the axes -1 to 2 are called after a quarter turn in plan.
var swapped = [4]int{-1, 1, 0, 2}

// bearing returns the plan direction of a body's length, and whether it has one.
func bearing(b *Body) (r2.Point, bool) {
	if !b.Round {
		return r2.Point{X: b.Across.Y, Y: -b.Across.X}, b.Across != r2.Point{}
	}
	switch {
	case b.Along.Y == 0 && math.Abs(b.Along.X) > straight:
		return r2.Point{X: math.Copysign(1, b.Along.X)}, true
	case b.Along.X == 0 && math.Abs(b.Along.Y) > straight:
		return r2.Point{Y: math.Copysign(1, b.Along.Y)}, true
	}
	l := plain(b.Along.X, b.Along.Y)
	if l <= straight {
		return r2.Point{}, false
	}
	return r2.Point{X: b.Along.X / l, Y: b.Along.Y / l}, true
}

// square sets l to the half sides of a body that stands exactly square to the axes of space, and returns
// the axis and radius of its disk (-1 and 0 for none), and whether it stands so.
func (b *Body) square(l *[3]float64) (k int, r float64, ok bool) {
	x, y, z := math.Abs(b.Along.X), math.Abs(b.Along.Y), math.Abs(b.Along.Z)
	if b.Round {
		*l = [3]float64{x, y, z}
		switch {
		case x+y+z < 1e-90: // the disk may have no axis
			return -1, 0, false
		case y == 0 && z == 0:
			return 0, b.W, true
		case x == 0 && z == 0:
			return 1, b.W, true
		case x == 0 && y == 0:
			return 2, b.W, true
		}
		return -1, 0, false
	}
	switch {
	case z != 0:
		return -1, 0, false
	case y == 0 && b.Across.X == 0 && math.Abs(b.Across.Y) == 1:
		*l = [3]float64{x, b.W, b.H}
		return -1, 0, true
	case x == 0 && b.Across.Y == 0 && math.Abs(b.Across.X) == 1:
		*l = [3]float64{b.W, y, b.H}
		return -1, 0, true
	}
	return -1, 0, false
}

// standing sets l to the half sides of a body in the frame, and returns the axis and radius of its disk,
// and whether it stands square.
func (t *aligned) standing(b *Body, l *[3]float64) (k int, r float64, ok bool) {
	x := math.Abs(b.Along.X*t.x.X + b.Along.Y*t.x.Y)
	y := math.Abs(b.Along.X*t.y.X + b.Along.Y*t.y.Y)
	z := math.Abs(b.Along.Z)
	if !b.Round {
		if z > straight {
			return 0, 0, false
		}
		s := math.Abs(b.Across.X*t.x.X + b.Across.Y*t.x.Y)
		c := math.Abs(b.Across.X*t.y.X + b.Across.Y*t.y.Y)
		switch {
		case s*b.W <= straight && y <= straight && (b.W > 0 || s <= c):
			*l = [3]float64{x, b.W, b.H}
			return -1, 0, true
		case c*b.W <= straight && x <= straight:
			*l = [3]float64{b.W, y, b.H}
			return -1, 0, true
		}
		return 0, 0, false
	}
	*l = [3]float64{}
	n := x + y + z
	if b.Along.Norm2() < noAxis {
		return -1, 0, b.W == 0
	}
	tilt := straight / (1 + b.W/n)
	switch {
	case y <= tilt && z <= tilt:
		l[0] = x
		return 0, b.W, true
	case x <= tilt && z <= tilt:
		l[1] = y
		return 1, b.W, true
	case x <= tilt && y <= tilt:
		l[2] = z
		return 2, b.W, true
	}
	return 0, 0, false
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
func (t *aligned) space(x *[3]float64) r3.Vector {
	return r3.Vector{X: t.x.X*x[0] + t.y.X*x[1], Y: t.x.Y*x[0] + t.y.Y*x[1], Z: x[2]}
}

// points returns the points of a and b whose difference has the given block part (q, within the
// block) and disk part (d).
func (t *aligned) points(a, b *Body, q, d *[3]float64) (r3.Vector, r3.Vector) {
	var pa, pb [3]float64
	for i := range q {
		s := 0.0
		switch {
		case q[i] != 0:
			s = -math.Copysign(1, t.c[i]) // outside: the near sides
		case t.l[i] > 0:
			s = max(-1, min(1, -t.c[i]/t.l[i]))
		}
		pa[i], pb[i] = -s*t.la[i], s*(t.l[i]-t.la[i])
	}
	if t.r > 0 {
		k := t.ra / t.r
		for i := range d {
			pa[i] -= d[i] * k
			pb[i] += d[i] * (1 - k)
		}
	}
	return a.Centre.Add(t.space(&pa)), b.Centre.Add(t.space(&pb))
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

// squareGap is aligned.gap for bodies that stand exactly square to the axes of space, which most do, with at
// most one disk; and whether they do.
func squareGap(a, b *Body) (m Measure, ok bool) {
	var la, lb [3]float64
	ka, ra, ok := a.square(&la)
	if !ok {
		return m, false
	}
	kb, rb, ok := b.square(&lb)
	if !ok || ra > 0 && rb > 0 && ka != kb {
		return m, false
	}
	cx, cy, cz := b.Centre.X-a.Centre.X, b.Centre.Y-a.Centre.Y, b.Centre.Z-a.Centre.Z
	x, ax, bx := sides(cx, la[0], lb[0])
	y, ay, by := sides(cy, la[1], lb[1])
	z, az, bz := sides(cz, la[2], lb[2])
	r := ra + rb
	tol := 2e-9 + 1e-14*(math.Abs(cx)+math.Abs(cy)+math.Abs(cz)+la[0]+la[1]+la[2]+lb[0]+lb[1]+lb[2]+r)
	if r > 0 {
		if ra == 0 {
			ka = kb
		}
		var l float64
		switch ka {
		case 0:
			l = plain(y, z)
		case 1:
			l = plain(x, z)
		default:
			l = plain(x, y)
		}
		if l > 0 {
			// Towards each other in the plane of the disks, so that k of the way is left.
			k := max(0, 1-r/l)
			a, b := (1-k)*ra/r, (1-k)*rb/r
			if ka != 0 {
				ax, bx, x = ax+a*x, bx-b*x, k*x
			}
			if ka != 1 {
				ay, by, y = ay+a*y, by-b*y, k*y
			}
			if ka != 2 {
				az, bz, z = az+a*z, bz-b*z, k*z
			}
		}
	}
	m.A = r3.Vector{X: a.Centre.X + ax, Y: a.Centre.Y + ay, Z: a.Centre.Z + az}
	m.B = r3.Vector{X: b.Centre.X + bx, Y: b.Centre.Y + by, Z: b.Centre.Z + bz}
	m.MM = math.Sqrt(x*x + y*y + z*z)
	if m.MM <= tol {
		return touching(m.A, m.B), true
	}
	k := 1 / m.MM
	m.Dir = r3.Vector{X: x * k, Y: y * k, Z: z * k}
	return m, true
}

// sides returns how far two intervals of half lengths la and lb are apart, b's middle c from a's, and the places in
// a and in b, from their middles, that are nearest or share the middle of what they have in common.
func sides(c, la, lb float64) (q, pa, pb float64) {
	l := la + lb
	switch {
	case c > l:
		return c - l, la, -lb
	case c < -l:
		return c + l, -la, lb
	case l > 0:
		c /= l
		return 0, c * la, -c * lb
	}
	return 0, 0, 0
}

// gap returns Gap.
func (t *aligned) gap(a, b *Body) Measure {
	q := t.nearest()
	i, j, _ := t.others()
	var d [3]float64
	if t.r > 0 {
		if l := plain(q[i], q[j]); l > 0 {
			s := min(1, t.r/l)
			d[i], d[j] = -s*q[i], -s*q[j]
		}
	}
	x := [3]float64{q[0] + d[0], q[1] + d[1], q[2] + d[2]}
	mm := math.Sqrt(x[0]*x[0] + x[1]*x[1] + x[2]*x[2])
	pa, pb := t.points(a, b, &q, &d)
	if mm <= t.tol {
		return touching(pa, pb)
	}
	return Measure{MM: mm, A: pa, B: pb, Dir: t.space(&x).Mul(1 / mm)}
}

// round returns the signed distance of the origin from the block and disk seen along axis k.
func (t *aligned) round() float64 {
	i, j, _ := t.others()
	p, q := t.over(i), t.over(j)
	return plain(max(0, p), max(0, q)) + min(0, max(p, q)) - t.r
}

// meet returns Meet.
func (t *aligned) meet() bool {
	_, _, k := t.others()
	return t.over(k) < -t.tol && t.round() < -t.tol
}

// chord returns half the chord of a circle of radius r at the distance d from its middle, 0 outside.
func chord(r, d float64) float64 { return math.Sqrt(max(0, (r-d)*(r+d))) }

// wing returns how far the disk, square to x or y, reaches to the side at z = 0, and whether it
// reaches that level at all.
func (t *aligned) wing() (float64, bool) {
	z := max(0, t.over(2))
	if z > t.r+t.tol {
		return 0, false
	}
	return chord(t.r, z), true
}

// beside returns Beside, whether heights meet, and whether there was a closed form.
func (t *aligned) beside(a, b *Body) (m Measure, ok, done bool) {
	q := t.nearest()
	var d [3]float64
	if t.k == 2 || t.k < 0 {
		if t.over(2) > t.tol {
			return m, false, true
		}
		q[2] = 0
		if l := plain(q[0], q[1]); t.r > 0 && l > 0 {
			s := min(1, t.r/l)
			d[0], d[1] = -s*q[0], -s*q[1]
		}
		x := [3]float64{q[0] + d[0], q[1] + d[1], 0}
		mm := plain(x[0], x[1])
		pa, pb := t.points(a, b, &q, &d)
		if mm <= t.tol {
			return touching(pa, pb), true, true
		}
		return Measure{MM: mm, A: pa, B: pb, Dir: t.space(&x).Mul(1 / mm)}, true, true
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
		d[j] = -min(w, q[j])
	} else {
		d[j] = min(w, -q[j])
	}
	x := [3]float64{q[0] + d[0], q[1] + d[1], 0}
	mm := plain(x[0], x[1])
	pa, pb := t.points(a, b, &q, &d)
	if mm <= t.tol {
		return touching(pa, pb), true, true
	}
	n := x
	n[2] = math.Abs(x[j]) * q[2] / w
	l := plain(mm, n[2])
	return Measure{MM: mm, A: pa, B: pb, Dir: t.space(&n).Mul(1 / l)}, true, true
}

// axis returns the axis of the frame that dir lies along, and its sign; false where it lies along none.
func (t *aligned) axis(dir r3.Vector) (at int, sign float64, ok bool) {
	if dir.X == 0 && dir.Y == 0 {
		return 2, math.Copysign(1, dir.Z), dir.Z != 0
	}
	u := unit(dir)
	d := [3]float64{u.X*t.x.X + u.Y*t.x.Y, u.X*t.y.X + u.Y*t.y.Y, u.Z}
	for i := range d {
		if math.Abs(d[i]) == 1 && math.Abs(d[(i+1)%3]) <= 1e-16 && math.Abs(d[(i+2)%3]) <= 1e-16 {
			return i, d[i], true
		}
	}
	return 0, 0, false
}

// span returns Span along an axis of the frame, whether the path meets, and whether dir is one.
func (t *aligned) span(dir r3.Vector) (iv r1.Interval, hits, ok bool) {
	at, sign, ok := t.axis(dir)
	if !ok {
		return iv, false, false
	}
	c := sign * t.c[at]
	if t.rb > 0 {
		h, hits := t.crossedReach(at)
		if !hits {
			return r1.EmptyInterval(), false, true
		}
		return r1.Interval{Lo: c - h, Hi: c + h}, true, true
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
		p := max(0, t.over(o))
		hits = t.over(k) <= t.tol && p <= t.r+t.tol
		h += chord(t.r, p)
	}
	if !hits {
		return r1.EmptyInterval(), false, true
	}
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

// part returns Part, and whether the bodies overlap.
func (t *aligned) part() (s Parting, ok bool) {
	low := t.over(2) // less what the disk adds: minus the height that is shared
	if t.k == 2 || t.k < 0 {
		if low >= -t.tol {
			return s, false
		}
		s = t.upright()
	} else {
		w, ok := t.wing()
		low -= t.r
		if !ok || low >= -t.tol {
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
	if low > -1e-6 {
		s.Bound = s.MM
	}
	return s, true
}
