package measure

import (
	"math"
	"slices"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"

	"voidline/void"
	"voidline/void/body"
)

// How a service stands in an opening, and how it comes to stand in it with the room that is asked.
//
// The opening is a rectangle or a circle in a plane, seen from its middle: x along what it is in, y upwards (in a soffit x
// and y of the plan). The service is its cuts by the two faces of the web. All are convex, so the room that is left is a
// concave function of a shift, and the shifts that leave enough are a convex set.

// cut is the cut of a service by a plane, as seen from the middle of an opening.
type cut struct {
	span    r2.Rect    // how far it reaches
	corners []r2.Point // of one with straight sides
	mid     r2.Point   // of an ellipse: its middle and its two half axes
	p, q    r2.Point
}

// cutBy cuts a service by the plane through at square to normal; false where it misses it.
func cutBy(s body.Body, o *void.Opening, at, normal r3.Vector) (c cut, ok bool) {
	across, okA := body.CutReach(s, at, normal, o.Across)
	up, okU := body.CutReach(s, at, normal, o.Up)
	if !okA || !okU {
		return c, false
	}
	c.span = r2.Rect{X: across, Y: up}
	if !o.Round {
		return c, true // how far it reaches is all there is to know
	}
	seen := func(v r3.Vector) r2.Point { return r2.Point{X: v.Dot(o.Across), Y: v.Dot(o.Up)} }
	axis := s.Along.Normalize()
	lean := axis.Dot(normal)
	switch {
	case s.Round && math.Abs(lean) > 0.05:
		// Where the axis comes through the plane; the ellipse is as wide as the service, and longer the more it leans. Where
		// the service ends within the web that is more than there is of it.
		d := at.Sub(s.Centre).Dot(normal) / lean
		c.mid = seen(s.Centre.Add(axis.Mul(d)).Sub(at))
		long := axis.Sub(normal.Mul(lean))
		if long.Norm() < 1e-9 {
			long = o.Across
		}
		long = long.Normalize()
		c.p, c.q = seen(long).Mul(s.W/math.Abs(lean)), seen(normal.Cross(long)).Mul(s.W)
	case !s.Round && math.Abs(normal.Z) < 0.5:
		plane := body.Plane{At: r2.Point{X: at.X, Y: at.Y}, Dir: r2.Point{X: o.Across.X, Y: o.Across.Y}}
		if sec, is := body.Cut(s, plane); is {
			for _, v := range sec.Outline {
				c.corners = append(c.corners, r2.Point{X: v.X, Y: v.Y - at.Z})
			}
		}
	}
	if c.corners == nil && c.p == (r2.Point{}) {
		v := c.span.Vertices()
		c.corners = v[:]
	}
	return c, true
}

// far returns how far a cut, shifted, goes from the opening's middle.
func (c *cut) far(by r2.Point) float64 {
	if c.corners != nil {
		f := 0.0
		for _, v := range c.corners {
			f = math.Max(f, v.Add(by).Norm())
		}
		return f
	}
	mid := c.mid.Add(by)
	if a, b := c.p.Norm(), c.q.Norm(); math.Abs(a-b) < 1e-9*a {
		return mid.Norm() + a
	}
	at := func(t float64) float64 {
		s, co := math.Sincos(t)
		return mid.Add(c.p.Mul(co)).Add(c.q.Mul(s)).Norm()
	}
	// The distance has no more than two greatest places round an ellipse: each lies between the neighbours of a sample that
	// is greater than both.
	const n = 24
	var f [n]float64
	for k := range f {
		f[k] = at(2 * math.Pi * float64(k) / n)
	}
	best := 0.0
	for k := range f {
		if f[k] >= f[(k+1)%n] && f[k] >= f[(k+n-1)%n] {
			t := 2 * math.Pi * float64(k) / n
			t = peak(at, t-2*math.Pi/n, t+2*math.Pi/n, 1e-6)
			best = math.Max(best, at(t))
		}
	}
	return best
}

// peak returns where a function with one greatest place between lo and hi is greatest, within tol: by the golden section, which
// asks once a step.
func peak(f func(float64) float64, lo, hi, tol float64) float64 {
	const g = 0.6180339887498949
	a, b := hi-g*(hi-lo), lo+g*(hi-lo)
	fa, fb := f(a), f(b)
	for hi-lo > tol {
		if fa < fb {
			lo, a, fa = a, b, fb
			b = lo + g*(hi-lo)
			fb = f(b)
		} else {
			hi, b, fb = b, a, fa
			a = hi - g*(hi-lo)
			fa = f(a)
		}
	}
	return (lo + hi) / 2
}

// InOpening is a service where it passes an opening.
type InOpening struct {
	O    *void.Opening
	cuts []cut
}

// room returns the least distance from the cuts, shifted, to the edge of the opening; negative past it.
func (in *InOpening) room(by r2.Point) float64 {
	room := math.Inf(1)
	for k := range in.cuts {
		c := &in.cuts[k]
		if in.O.Round {
			room = math.Min(room, in.O.HalfA-c.far(by))
			continue
		}
		room = min(room, in.O.HalfA+c.span.X.Lo+by.X, in.O.HalfA-c.span.X.Hi-by.X, in.O.HalfB+c.span.Y.Lo+by.Y, in.O.HalfB-c.span.Y.Hi-by.Y)
	}
	return room
}

// meets reports whether a cut meets the opening at all.
func (in *InOpening) meets() bool {
	hole := r2.RectFromCenterSize(r2.Point{}, r2.Point{X: 2 * in.O.HalfA, Y: 2 * in.O.HalfB})
	return slices.ContainsFunc(in.cuts, func(c cut) bool { return c.span.InteriorIntersects(hole) })
}

// Passing returns how service s passes opening o in w, a beam or a wall; false where it cuts neither face of the web (of a
// wall: its faces).
func Passing(s, w body.Body, z *void.Zone, o *void.Opening) (in InOpening, ok bool) {
	half := w.W
	if t, ok := z.Web(); ok {
		half = t / 2
	}
	in.O = o
	normal := r3.Vector{X: w.Across.X, Y: w.Across.Y}
	for _, side := range [2]float64{-1, 1} {
		if c, ok := cutBy(s, o, o.Centre.Add(normal.Mul(side*half)), normal); ok {
			in.cuts = append(in.cuts, c)
		}
	}
	return in, len(in.cuts) > 0
}

// InHole looks among level openings for one that an upright body goes through.
func (t *Tape) InHole(full body.Body, holes []int32) (room, asked float64, in *void.Opening, ok bool) {
	best := math.Inf(-1)
	for _, k := range holes {
		o := &t.Project.Openings[k]
		pass := RiserIn(full, o)
		x := pass.room(r2.Point{})
		if x > best {
			best, in = x, o
			asked = t.Set.Opening.Gap
			if o.HasMargin {
				asked = o.Margin
			}
		}
	}
	return math.Max(0, best), asked, in, best >= -void.Hair
}

// NearHole reports whether some opening of the soffit meets the riser without holding it.
func (t *Tape) NearHole(full body.Body, j int32) bool {
	for _, k := range t.SoffitHole[j] {
		o := &t.Project.Openings[k]
		plan := r2.RectFromCenterSize(r2.Point{X: o.Centre.X, Y: o.Centre.Y}, r2.Point{X: 2 * o.HalfA, Y: 2 * o.HalfB})
		if plan.Intersects(full.Plan()) {
			return true
		}
	}
	return false
}

// Line returns the shifts t along a way that leave enough room, nearest to 0 first; false where none does.
func (in *InOpening) Line(from, way r2.Point, asked float64) (t float64, ok bool) {
	f := func(t float64) float64 { return in.room(from.Add(way.Mul(t))) }
	if f(0) >= asked-void.Hair/2 {
		return 0, true
	}
	far := in.extent(from) / way.Norm()
	top := peak(f, -far, far, void.Hair/10)
	if f(top) < asked-void.Hair/2 {
		return 0, false
	}
	out, bad := top, 0.0
	for range 48 {
		if mid := (out + bad) / 2; f(mid) >= asked-void.Hair/2 {
			out = mid
		} else {
			bad = mid
		}
	}
	return out, true
}

// extent returns a length beyond which no shift brings the cuts into the opening.
func (in *InOpening) extent(from r2.Point) float64 {
	e := in.O.HalfA + in.O.HalfB
	for k := range in.cuts {
		c := &in.cuts[k].span
		e = math.Max(e, in.O.HalfA+in.O.HalfB+c.Center().Add(from).Norm()+c.Size().Norm())
	}
	return e
}

// Nearest returns the least shift t along way and u along the other way, together, that leaves enough room; false where none
// does.
func (in *InOpening) Nearest(way, other r2.Point, asked float64) (t, u float64, ok bool) {
	far := in.extent(r2.Point{}) / way.Norm()
	side := in.extent(r2.Point{}) / other.Norm()
	most := func(t float64) float64 {
		g := func(u float64) float64 { return in.room(way.Mul(t).Add(other.Mul(u))) }
		return g(peak(g, -side, side, void.Hair/10))
	}
	top := peak(most, -far, far, void.Hair/10)
	if most(top) < asked-void.Hair/2 {
		return 0, 0, false
	}
	edge := func(bad float64) float64 {
		in := top
		for range 32 {
			if mid := (in + bad) / 2; most(mid) >= asked-void.Hair/2 {
				in = mid
			} else {
				bad = mid
			}
		}
		return in
	}
	length := func(t float64) float64 {
		u, ok := in.Line(way.Mul(t), other, asked)
		if !ok {
			u = side
		}
		return -math.Hypot(t, u)
	}
	t = peak(length, edge(-far), edge(far), void.Hair/10)
	u, ok = in.Line(way.Mul(t), other, asked)
	return t, u, ok
}

// RiserIn is an upright service in a level opening.
func RiserIn(s body.Body, o *void.Opening) InOpening {
	pl := s.Plan()
	mid := r2.Point{X: o.Centre.X, Y: o.Centre.Y}
	c := cut{span: r2.Rect{
		X: r1.Interval{Lo: pl.X.Lo - mid.X, Hi: pl.X.Hi - mid.X}, Y: r1.Interval{Lo: pl.Y.Lo - mid.Y, Hi: pl.Y.Hi - mid.Y},
	}}
	if s.Round {
		c.mid, c.p, c.q = c.span.Center(), r2.Point{X: s.W}, r2.Point{Y: s.W}
	} else {
		v := c.span.Vertices()
		c.corners = v[:]
	}
	return InOpening{o, []cut{c}}
}
