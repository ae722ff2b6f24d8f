package clash

import (
	"cmp"
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

// inOpening is a service where it passes an opening.
type inOpening struct {
	o    *void.Opening
	cuts []cut
}

// room returns the least distance from the cuts, shifted, to the edge of the opening; negative past it.
func (in *inOpening) room(by r2.Point) float64 {
	room := math.Inf(1)
	for k := range in.cuts {
		c := &in.cuts[k]
		if in.o.Round {
			room = math.Min(room, in.o.HalfA-c.far(by))
			continue
		}
		room = min(room, in.o.HalfA+c.span.X.Lo+by.X, in.o.HalfA-c.span.X.Hi-by.X, in.o.HalfB+c.span.Y.Lo+by.Y, in.o.HalfB-c.span.Y.Hi-by.Y)
	}
	return room
}

// meets reports whether a cut meets the opening at all.
func (in *inOpening) meets() bool {
	hole := r2.RectFromCenterSize(r2.Point{}, r2.Point{X: 2 * in.o.HalfA, Y: 2 * in.o.HalfB})
	return slices.ContainsFunc(in.cuts, func(c cut) bool { return c.span.InteriorIntersects(hole) })
}

// passing returns how service s passes opening o in w, a beam or a wall; false where it cuts neither face of the web (of a
// wall: its faces).
func passing(s, w body.Body, z *void.Zone, o *void.Opening) (in inOpening, ok bool) {
	half := w.W
	if t, ok := z.Web(); ok {
		half = t / 2
	}
	in.o = o
	normal := r3.Vector{X: w.Across.X, Y: w.Across.Y}
	for _, side := range [2]float64{-1, 1} {
		if c, ok := cutBy(s, o, o.Centre.Add(normal.Mul(side*half)), normal); ok {
			in.cuts = append(in.cuts, c)
		}
	}
	return in, len(in.cuts) > 0
}

// inHole looks among level openings for one that an upright body goes through.
func (t *tape) inHole(full body.Body, holes []int32) (room, asked float64, in *void.Opening, ok bool) {
	best := math.Inf(-1)
	for _, k := range holes {
		o := &t.p.Openings[k]
		pass := inOpening{o, []cut{riserCut(full, o)}}
		x := pass.room(r2.Point{})
		if x > best {
			best, in = x, o
			asked = t.rules.Opening.Gap
			if o.HasMargin {
				asked = o.Margin
			}
		}
	}
	return math.Max(0, best), asked, in, best >= -void.Hair
}

// nearHole reports whether some opening of the soffit meets the riser without holding it.
func (t *tape) nearHole(full body.Body, j int32) bool {
	for _, k := range t.soffitHole[j] {
		o := &t.p.Openings[k]
		plan := r2.RectFromCenterSize(r2.Point{X: o.Centre.X, Y: o.Centre.Y}, r2.Point{X: 2 * o.HalfA, Y: 2 * o.HalfB})
		if plan.Intersects(full.Plan()) {
			return true
		}
	}
	return false
}

// line returns the shifts t along a way that leave enough room, nearest to 0 first; false where none does.
func (in *inOpening) line(from, way r2.Point, asked float64) (t float64, ok bool) {
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
func (in *inOpening) extent(from r2.Point) float64 {
	e := in.o.HalfA + in.o.HalfB
	for k := range in.cuts {
		c := &in.cuts[k].span
		e = math.Max(e, in.o.HalfA+in.o.HalfB+c.Center().Add(from).Norm()+c.Size().Norm())
	}
	return e
}

// nearest returns the least shift t along way and u along the other way, together, that leaves enough room; false where none
// does.
func (in *inOpening) nearest(way, other r2.Point, asked float64) (t, u float64, ok bool) {
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
		u, ok := in.line(way.Mul(t), other, asked)
		if !ok {
			u = side
		}
		return -math.Hypot(t, u)
	}
	t = peak(length, edge(-far), edge(far), void.Hair/10)
	u, ok = in.line(way.Mul(t), other, asked)
	return t, u, ok
}

// into returns the least moves of service s that bring it into an opening of w with the room that is asked, the least
// first: up or down, and sideways (of a row to its left or right), else the two together. fits is false where the opening
// is too small.
func (r *run) into(s int32, in *inOpening, asked float64) (moves []Move, fits bool) {
	z, S, o := r.zone(s), r.full(s), in.o
	level, place := z.Holds()
	level = level || z.Recessed
	normal := o.Across.Cross(o.Up)
	// How the cuts go when the service goes sideways: a row that passes askew goes further along the web than it is shifted,
	// and one that falls goes up or down in it.
	left, row := leftOf(z, S)
	way := r2.Point{X: left.Dot(o.Across), Y: left.Dot(o.Up)}
	if !row {
		left, way = o.Across, r2.Point{X: 1}
	} else if lean := S.Along.Dot(normal); math.Abs(lean) < 1e-6*S.Along.Norm() {
		place = true // it runs along the web: no way sideways brings it through
	} else {
		by := left.Dot(normal) / lean
		way = way.Sub(r2.Point{X: S.Along.Dot(o.Across), Y: S.Along.Dot(o.Up)}.Mul(by))
	}
	name := func(by r3.Vector) string {
		n, _ := r.levelName(s, by)
		return n
	}
	upright := r2.Point{Y: 1}
	reaches := func(by float64) bool { return math.Abs(by) <= r.headroom(s, up.Mul(by))+void.Hair }
	word := func(by float64) string {
		if by > 0 {
			return "up"
		}
		return "down"
	}
	if t, ok := in.line(r2.Point{}, upright, asked); ok && !level && reaches(t) {
		moves = append(moves, r.moveOf(s, o.Centre, word(t), up.Mul(t)))
	}
	if t, ok := in.line(r2.Point{}, way, asked); ok && !place {
		moves = append(moves, r.moveOf(s, o.Centre, name(left.Mul(t)), left.Mul(t)))
	}
	if len(moves) > 0 {
		slices.SortStableFunc(moves, func(a, b Move) int { return cmp.Compare(a.By, b.By) })
		return moves, true
	}
	t, u, ok := in.nearest(way, upright, asked)
	if ok && !level && !place && reaches(u) {
		moves = append(moves, r.moveOf(s, o.Centre, word(u)+" and "+name(left.Mul(t)), left.Mul(t).Add(up.Mul(u))))
	}
	return moves, ok
}

// orInto adds to the moves of service s that clear structure w whole those that bring it into one of its openings, where they
// are less; what is moved into an opening is not told, too, to go hundreds down.
func (r *run) orInto(moves []Move, s, w int32) []Move {
	var best []Move
	for _, k := range r.openingsIn[w] {
		in, ok := passing(r.full(s), r.full(w), r.zone(w), &r.p.Openings[k])
		if !ok {
			continue
		}
		asked, _ := r.marginOf(s, w, in.o)
		if into, _ := r.into(s, &in, asked); len(into) > 0 && (best == nil || into[0].By < best[0].By-void.Hair) {
			best = into
		}
	}
	if best == nil {
		return moves
	}
	var out []Move
	for _, m := range moves {
		if m.By < best[0].By {
			out = append(out, m)
		}
	}
	for _, m := range best {
		if len(out) == 0 || m.By <= farAside {
			out = append(out, m)
		}
	}
	return out
}

// riserInto returns the least level move of upright service s that brings it into a level opening with the room that is asked.
func (r *run) riserInto(s int32, o *void.Opening, asked float64) []Move {
	if _, place := r.zone(s).Holds(); place {
		return nil
	}
	in := inOpening{o, []cut{riserCut(r.full(s), o)}}
	t, u, ok := in.nearest(r2.Point{X: 1}, r2.Point{Y: 1}, asked)
	if !ok {
		return nil
	}
	by := r3.Vector{X: t, Y: u}
	name, ok := r.levelName(s, by)
	if !ok {
		return nil
	}
	return []Move{r.moveOf(s, o.Centre, name, by)}
}

// riserCut is the plan of an upright service as seen from the middle of a level opening.
func riserCut(s body.Body, o *void.Opening) cut {
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
	return c
}
