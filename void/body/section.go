package body

import (
	"math"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"
)

// Plane is an upright plane, seen in plan as the line through At along the unit direction Dir. Places in it
// are given as (s, z): s in millimetres from At along Dir, z the level. Who looks at it has s to the right,
// and so looks to the left of Dir.
type Plane struct {
	At, Dir r2.Point
}

// Point returns the point of the plane at (s, z).
func (p Plane) Point(s, z float64) r3.Vector {
	return r3.Vector{X: p.At.X + s*p.Dir.X, Y: p.At.Y + s*p.Dir.Y, Z: z}
}

// Along returns s of the point of the plane nearest to v.
func (p Plane) Along(v r3.Vector) float64 {
	return (v.X-p.At.X)*p.Dir.X + (v.Y-p.At.Y)*p.Dir.Y
}

// Beyond returns how far v lies behind the plane for who looks at it, negative in front of it.
func (p Plane) Beyond(v r3.Vector) float64 {
	n := p.Dir.Ortho()
	return (v.X-p.At.X)*n.X + (v.Y-p.At.Y)*n.Y
}

// Section is the cut of a body by an upright plane.
type Section struct {
	// Outline is the cut's outline in (s, z), counter-clockwise, each corner once. Of a cut that has no
	// inside (a plate, a plane along an edge) it has the corners of what there is: one or two.
	Outline []r2.Point
	// Bound is how far the cut may reach outside the outline, in millimetres: 0 where the outline is exact.
	Bound float64
	// Oval is the exact outline of the cut of a Round; nil for a Box.
	Oval *Oval
}

// Oval is the exact outline of the cut of a flat-ended cylinder: a part of an ellipse between two straight
// ends square to its long axis, or in a plane along the cylinder a rectangle.
//
// At the station m, in millimetres from Centre along the unit direction Dir, From <= m <= To, the cut
// reaches to both sides of Dir by
//
//	Half(m) = √(R² - (Off - Lean·m)²)
//
// R is the radius, Off how far the axis lies off the plane at Centre, Lean how fast it nears it: the
// cosine of the angle between the axis and the plane's normal. Where Lean is not zero the ellipse has its
// middle at m = Off/Lean, the half axes R/|Lean| along Dir and R square to it.
type Oval struct {
	Centre, Dir r2.Point
	R, Off      float64
	Lean        float64
	From, To    float64
}

// half returns half the width of the cut at station m, 0 outside the ellipse.
func (o Oval) half(m float64) float64 {
	d := math.Abs(o.Off - o.Lean*m)
	if o.R-d <= 1e-13*o.R {
		return 0 // the tip: rounding alone would make it a millionth of R wide
	}
	return math.Sqrt((o.R - d) * (o.R + d))
}

// At returns the point at station m, aside to the left of Dir.
func (o Oval) At(m, aside float64) r2.Point {
	return o.Centre.Add(o.Dir.Mul(m)).Add(o.Dir.Ortho().Mul(aside))
}

// Whole reports whether the oval is a whole ellipse: neither end cuts a straight edge.
func (o Oval) Whole() bool {
	return o.From < o.To && o.half(o.From) == 0 && o.half(o.To) == 0
}

// angle returns the angle on the circle of which the ellipse is the stretched picture: the station m
// lies at Off - Lean·m = R·cos.
func (o Oval) angle(m float64) float64 {
	return math.Acos(math.Max(-1, math.Min(1, (o.Off-o.Lean*m)/o.R)))
}

// Area returns the exact area of the cut in mm²: of the Outline of a Box, of the Oval of a Round.
func (s Section) Area() float64 {
	if s.Oval == nil {
		return Area(s.Outline)
	}
	o := *s.Oval
	if !(o.R > 0) || o.To <= o.From {
		return 0
	}
	a, b := o.angle(o.From), o.angle(o.To)
	if math.Abs(b-a) < 1e-4 {
		// Nearly straight sides: the middle of three is exact to the fourth power of the angle.
		return (o.To - o.From) / 3 * (o.half(o.From) + 4*o.half((o.From+o.To)/2) + o.half(o.To))
	}
	// The integral of 2·R·sin over R/Lean·d(cos).
	f := func(x float64) float64 { return x - math.Sin(x)*math.Cos(x) }
	return math.Abs(o.R * o.R / o.Lean * (f(b) - f(a)))
}

// Area returns the area of a polygon in mm², positive where it runs counter-clockwise.
func Area(p []r2.Point) float64 {
	sum := 0.0
	for i := range p {
		if i > 1 {
			sum += p[i-1].Sub(p[0]).Cross(p[i].Sub(p[0]))
		}
	}
	return sum / 2
}

// outlineDip is how far the outline of a Round's cut may lie inside the true one, mm.
const outlineDip = 0.005

// Cut returns the exact cut of the closed body by the plane, false where the plane misses it (touching is
// not missing).
func Cut(b Body, p Plane) (Section, bool) {
	if b.Round && b.W > 0 && b.Along.Norm2() >= noAxis {
		return cutRound(b, p)
	}
	return cutBox(b, p)
}

// cutBox cuts a Box: the plane's line cuts the plan rectangle in one stretch, and over it top and bottom are
// straight. A Round of no radius or length has no cut of its own kind and is cut as the line that it is.
func cutBox(b Body, p Plane) (Section, bool) {
	l := math.Hypot(b.Along.X, b.Along.Y)
	w, h, rise := b.W, b.H, 0.0
	e, f := r2.Point{}, b.Across
	if b.Round {
		w, h = 0, 0
		if l == 0 {
			h = math.Abs(b.Along.Z)
		}
	}
	if l > 0 {
		e = r2.Point{X: b.Along.X / l, Y: b.Along.Y / l}
		rise = b.Along.Z / l
		if f == (r2.Point{}) {
			f = e.Ortho()
		}
	} else {
		if f == (r2.Point{}) {
			f = r2.Point{Y: 1}
		}
		e = r2.Point{X: f.Y, Y: -f.X}
	}
	o := p.At.Sub(r2.Point{X: b.Centre.X, Y: b.Centre.Y})
	s0 := -o.Dot(p.Dir) // the plane's point nearest to the centre: small numbers from here on
	off := o.Add(p.Dir.Mul(s0))
	iv := r1.Interval{Lo: math.Inf(-1), Hi: math.Inf(1)}
	for _, side := range []struct{ at, slope, half float64 }{
		{off.Dot(e), p.Dir.Dot(e), l}, {off.Dot(f), p.Dir.Dot(f), w},
	} {
		if math.Abs(side.slope) < 1e-14 {
			if math.Abs(side.at) > side.half+touchHair {
				return Section{}, false
			}
			continue
		}
		x, y := (-side.half-side.at)/side.slope, (side.half-side.at)/side.slope
		iv.Lo, iv.Hi = math.Max(iv.Lo, math.Min(x, y)), math.Min(iv.Hi, math.Max(x, y))
	}
	if iv.Lo > iv.Hi+touchHair || math.IsInf(iv.Lo, 0) || math.IsInf(iv.Hi, 0) {
		return Section{}, false
	}
	if iv.Lo > iv.Hi {
		iv = r1.IntervalFromPoint(iv.Center())
	}
	z := func(s float64) float64 { return b.Centre.Z + rise*(off.Dot(e)+s*p.Dir.Dot(e)) }
	zl, zh := z(iv.Lo), z(iv.Hi)
	return Section{Outline: distinct([]r2.Point{
		{X: s0 + iv.Lo, Y: zl - h}, {X: s0 + iv.Hi, Y: zh - h}, {X: s0 + iv.Hi, Y: zh + h}, {X: s0 + iv.Lo, Y: zl + h},
	})}, true
}

// touchHair is by how much a plane may miss a body through rounding and still touch it, mm.
const touchHair = 1e-9

// cutRound cuts a cylinder.
//
//  1. A point of the plane, u from the foot of the centre in it, lies at the station h·an + u·w along the
//     axis, h being the plane's distance from the centre, an the axis' share of the normal, w its share of
//     the plane. The ends are so two lines square to w.
//  2. In the disc at a station the plane is a chord square to w, at the distance |h·|w| - an·m| from the axis.
func cutRound(b Body, p Plane) (Section, bool) {
	half := b.Along.Norm()
	a := b.Along.Mul(1 / half)
	n := p.Dir.Ortho()
	// The plane lies h beyond the centre along n.
	h := (p.At.X-b.Centre.X)*n.X + (p.At.Y-b.Centre.Y)*n.Y
	an := a.X*n.X + a.Y*n.Y
	w := r2.Point{X: a.X*p.Dir.X + a.Y*p.Dir.Y, Y: a.Z}
	lw := w.Norm()
	o := Oval{Centre: r2.Point{X: p.Along(b.Centre), Y: b.Centre.Z}, Dir: r2.Point{X: 1}, R: b.W, Off: h * lw, Lean: an}
	from, to := math.Inf(-1), math.Inf(1)
	if lw > 1e-12 {
		o.Dir = w.Mul(1 / lw)
		from, to = (-half-h*an)/lw, (half-h*an)/lw
	} else if math.Abs(h*an) > half+touchHair {
		return Section{}, false
	}
	if math.Abs(an) > 1e-14 {
		x, y := (o.Off-b.W)/an, (o.Off+b.W)/an
		from, to = math.Max(from, math.Min(x, y)), math.Min(to, math.Max(x, y))
	} else if math.Abs(o.Off) > b.W+touchHair {
		return Section{}, false
	}
	if from > to+touchHair {
		return Section{}, false
	}
	if from > to {
		from = (from + to) / 2
		to = from
	}
	o.From, o.To = from, to
	s := Section{Oval: &o}
	// One side's stations from From to To, thick where the curve bends: each arc is halved until the point
	// at its middle angle, where the tangent is that of the chord, lies near enough to the chord.
	side := []float64{from}
	var split func(m0, m1, a0, a1 float64, deep int)
	split = func(m0, m1, a0, a1 float64, deep int) {
		p0, p1 := r2.Point{X: m0, Y: o.half(m0)}, r2.Point{X: m1, Y: o.half(m1)}
		bend := (m0 + m1) / 2
		if math.Abs(a1-a0) > 1e-6 {
			bend = math.Max(m0, math.Min(m1, (o.Off-o.R*math.Cos((a0+a1)/2))/an))
		}
		d := p1.Sub(p0)
		dip := 0.0
		if l := d.Norm(); l > 0 {
			dip = math.Abs(d.Cross(r2.Point{X: bend, Y: o.half(bend)}.Sub(p0))) / l
		}
		if dip > outlineDip && deep > 0 {
			am := o.angle(bend)
			split(m0, bend, a0, am, deep-1)
			split(bend, m1, am, a1, deep-1)
			return
		}
		s.Bound = math.Max(s.Bound, dip)
		side = append(side, m1)
	}
	if to > from {
		// The bulge first, so that no chord spans it.
		a0, a1 := o.angle(from), o.angle(to)
		if top := o.Off; math.Abs(an) > 1e-14 && top/an > from && top/an < to {
			split(from, top/an, a0, math.Pi/2, 24)
			split(top/an, to, math.Pi/2, a1, 24)
		} else {
			split(from, to, a0, a1, 24)
		}
	}
	pts := make([]r2.Point, 0, 2*len(side))
	for _, m := range side {
		pts = append(pts, o.At(m, -o.half(m)))
	}
	for i := len(side) - 1; i >= 0; i-- {
		pts = append(pts, o.At(side[i], o.half(side[i])))
	}
	s.Outline = distinct(pts)
	return s, true
}

// Shared returns what two convex counter-clockwise outlines have in common, counter-clockwise; nil where
// that has no inside.
func Shared(a, b []r2.Point) []r2.Point {
	if len(a) < 3 || len(b) < 3 {
		return nil
	}
	// What is cut has at most one corner more than before; two lists take turns.
	out := a
	turn := [2][]r2.Point{make([]r2.Point, 0, len(a)+len(b)), make([]r2.Point, 0, len(a)+len(b))}
	for i := range b {
		p, q := b[i], b[(i+1)%len(b)]
		d := q.Sub(p)
		next := turn[i%2][:0]
		for j := range out {
			u, v := out[j], out[(j+1)%len(out)]
			su, sv := d.Cross(u.Sub(p)), d.Cross(v.Sub(p))
			if su >= 0 {
				next = append(next, u)
			}
			if su > 0 && sv < 0 || su < 0 && sv > 0 {
				next = append(next, u.Add(v.Sub(u).Mul(su/(su-sv))))
			}
		}
		out = next
	}
	out = distinct(out)
	if Area(out) <= 0 {
		return nil
	}
	return out
}
