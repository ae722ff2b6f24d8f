package body

import (
	"math"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"
)

// sliver is the half length of a cut through a Round, which without it would lose the direction
// of its axis.
const sliver = 1e-7

// CutReach returns how far the cut of b by the plane through at, square to normal, reaches along
// dir: the closed interval of (x - at)·dir over the points x of the cut, in millimetres. It returns
// false where the plane misses b (touching is not missing). normal and dir are made units, dir is
// taken square to normal; where either is zero it returns false.
func CutReach(b Body, at, normal, dir r3.Vector) (r1.Interval, bool) {
	e := unit(normal)
	m := unit(dir.Sub(e.Mul(dir.Dot(e))))
	if e == (r3.Vector{}) || m == (r3.Vector{}) {
		return r1.EmptyInterval(), false
	}
	s := difference(Body{Centre: at}, b)
	h := s.half(e)
	t := s.seen(e, m, e.Cross(m))
	if math.Abs(t.c.X) > h+s.rounding() {
		return r1.EmptyInterval(), false
	}
	t.c.X = math.Max(-h, math.Min(h, t.c.X))
	// So much thicker that a plane along a face, or within a plate, finds all of it. The direction
	// found then says how far the body itself reaches.
	slack := s.rounding()
	t.slack(r3.Vector{X: slack})
	end := func() float64 {
		k := t.on(heading{1, 0}, false)
		p := k.best(heading{0, 1})
		return (p.f + slack*math.Abs(p.n.c)) / p.n.s
	}
	lo := end()
	t.c = t.c.Mul(-1)
	iv := r1.Interval{Lo: lo, Hi: -end()}
	if iv.Lo > iv.Hi {
		iv = r1.IntervalFromPoint(iv.Center())
	}
	return iv, true
}

// Slice returns the cut of b across its length at station s, -1 at the start and 1 at the end:
// the same section with no length. A Box keeps its Across, and has an Along of zero; a Round keeps
// a half length of 1e-7 mm, for the direction of its axis.
func Slice(b Body, s float64) Body {
	b.Centre = b.Centre.Add(b.Along.Mul(s))
	if b.Round {
		b.Along = unit(b.Along).Mul(sliver)
	} else {
		b.Along = r3.Vector{}
	}
	return b
}

// Trim returns b shortened by fromStart and fromEnd, millimetres measured along its axis; the ends
// keep their form. It returns false where nothing is left.
func Trim(b Body, fromStart, fromEnd float64) (Body, bool) {
	if fromStart == 0 && fromEnd == 0 {
		return b, true
	}
	l := 2 * b.Along.Norm()
	left := l - fromStart - fromEnd
	if !(left > 0) || l == 0 {
		return Body{}, false
	}
	b.Centre = b.Centre.Add(b.Along.Mul((fromStart - fromEnd) / l))
	b.Along = b.Along.Mul(left / l)
	return b, true
}

// Outline returns the outline of b in plan, counter-clockwise, each corner once: four corners for a
// Box and a level Round. A sloping or upright Round is drawn by an inscribed polygon that is nowhere
// more than 0.01 mm or 1e-5 of the radius inside, whichever is more: for drawing and for what a
// hair does not change; Reach along a level direction is exact.
func Outline(b Body) []r2.Point {
	c := r2.Point{X: b.Centre.X, Y: b.Centre.Y}
	along := r2.Point{X: b.Along.X, Y: b.Along.Y}
	if !b.Round {
		w := b.Across.Mul(b.W)
		if along.Cross(w) < 0 {
			w = w.Mul(-1)
		}
		return distinct([]r2.Point{
			c.Sub(along).Sub(w), c.Add(along).Sub(w), c.Add(along).Add(w), c.Sub(along).Add(w),
		})
	}
	axis := unit(b.Along)
	t := r2.Point{X: 1}
	if u := unit(r3.Vector{X: along.X, Y: along.Y}); u != (r3.Vector{}) {
		t = r2.Point{X: u.X, Y: u.Y}
	}
	rise := math.Abs(axis.Z)
	if axis == (r3.Vector{}) {
		rise = 1
	}
	left := t.Ortho()
	half := 1
	if rise > 0 && b.W > 0 {
		dip := math.Max(0.01/b.W, 1e-5)
		half = int(math.Ceil(math.Pi / (2 * math.Acos(math.Max(0, 1-dip)))))
		half = max(half, 8)
	}
	points := make([]r2.Point, 0, 2*half+2)
	for end := 1.0; end >= -1; end -= 2 {
		for i := 0; i <= half; i++ {
			s, k := math.Sincos(math.Pi * (float64(i)/float64(half) - 0.5))
			if i == 0 || i == half {
				k = 0
			}
			p := left.Mul(s).Add(t.Mul(k * rise)).Mul(b.W).Add(along)
			points = append(points, c.Add(p.Mul(end)))
		}
	}
	return distinct(points)
}

// distinct drops points that repeat their neighbour.
func distinct(p []r2.Point) []r2.Point {
	q := p[:0]
	for _, x := range p {
		if len(q) == 0 || q[len(q)-1] != x {
			q = append(q, x)
		}
	}
	for len(q) > 1 && q[0] == q[len(q)-1] {
		q = q[:len(q)-1]
	}
	return q
}
