package measure

import (
	"math"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"

	"voidline/clash/scene"
	"voidline/void"
	"voidline/void/body"
	"voidline/void/cell"
)

// Where a finding is. The place belongs to the point that gives the amount, so that the stack over it and the section
// through it show that amount: of a gap the middle of its proof points, of an overlap in height the deepest point, of
// one sideways the middle of the shared stretch, and against a ceiling or a soffit the lowest or highest point over the
// bay. Where many points give it, it is their middle.

const (
	// AsNear is by how much, in mm, a point may be further than the nearest and still count as near: what falls gently
	// is then told a little in from its very edge, and of a level stretch nothing changes.
	AsNear = 0.02
	// inFromEdge is how far a place stands in from the edges of what falls and of a bay, mm: places are told to 0.1, and a
	// rounded one is still over both.
	inFromEdge = 0.1
)

// LowestAt returns where over a bay a body is lowest, or with top where it is highest.
func LowestAt(b body.Body, bay *void.Bay, top bool) r3.Vector {
	find := body.Lowest
	if top {
		find = body.Highest
	}
	at := func(b body.Body, over r2.Rect) (r3.Vector, bool) {
		if over.IsEmpty() {
			return r3.Vector{}, false
		}
		return find(b, over)
	}
	if !scene.Level(&b) {
		if p, ok := at(inward(b), bay.Plan.ExpandedByMargin(-inFromEdge)); ok {
			return p
		}
	}
	if p, ok := at(b, bay.Plan); ok {
		return p
	}
	return SpotAlong(b, body.Upright(bay.Plan, b.Height()))
}

// inward returns a body a little shorter and, of a box, narrower.
func inward(b body.Body) body.Body {
	if in, ok := body.Trim(b, inFromEdge, inFromEdge); ok {
		b = in
	}
	if !b.Round {
		b.W = math.Max(b.W/2, b.W-inFromEdge)
	}
	return b
}

// UnderAt is lowestAt of what under found of zone i, were it the body f: what hangs level under a row is told under the row.
func UnderAt(f, low body.Body, bay *void.Bay) r3.Vector {
	if scene.Level(&low) && !math.IsInf(scene.Lowest(f, bay), 1) {
		low = f
	}
	return LowestAt(low, bay, false)
}

// PlaceOf returns where two bodies are what the verdict says of them.
func PlaceOf(a, b body.Body, v *Verdict) r3.Vector {
	if square(&a) && square(&b) {
		return Middle(scene.BoxOf(a), scene.BoxOf(b))
	}
	main := v.Main()
	switch {
	case v.Overlap && !(v.Sideways < v.Vertical), !v.Overlap && (main.Side == cell.Above || main.Side == cell.Below):
		if at, ok := UprightAt(a, b); ok {
			return at
		}
	case !v.Overlap && main.Side == cell.Beside && main.Gap > v.Gap+void.Hair:
		if m, ok := body.Beside(a, b); ok {
			return m.A.Add(m.B).Mul(0.5)
		}
	}
	return Spot(a, b)
}

// UprightAt returns where two bodies come nearest upright, or are deepest in each other: the one is shifted straight up
// or down, the lesser way, until they touch, and the place is where they do.
func UprightAt(a, b body.Body) (r3.Vector, bool) {
	a, b = inward(a), inward(b)
	if q, ok := crossing(a, b); ok {
		za, zb := thick(a), thick(b)
		return r3.Vector{X: q.X, Y: q.Y, Z: (math.Max(za.Lo, zb.Lo) + math.Min(za.Hi, zb.Hi)) / 2}, true
	}
	span, ok := body.Span(a, b, scene.Up)
	if !ok {
		return r3.Vector{}, false
	}
	t := span.Hi
	if math.Abs(span.Lo) < math.Abs(span.Hi) {
		t = span.Lo
	}
	var at r3.Vector
	if q, ok := body.Deepest(a, b, t == span.Hi); ok {
		at.X, at.Y = q.X, q.Y
	} else {
		at = nearest(a.Shift(scene.Up.Mul(t)), b)
	}
	if alo, ahi, ok := levelsOver(a, at); ok {
		if blo, bhi, ok := levelsOver(b, at); ok {
			at.Z = (math.Max(alo, blo) + math.Min(ahi, bhi)) / 2
			return at, true
		}
	}
	return r3.Vector{}, false
}

// thick returns the levels that a level body covers over its axis.
func thick(b body.Body) r1.Interval {
	half := b.H
	if b.Round {
		half = b.W
	}
	return r1.Interval{Lo: b.Centre.Z - half, Hi: b.Centre.Z + half}
}

// crossing returns where in plan the axes of two level bodies cross, if that is the middle of where nearest finds them near once
// one is shifted up or down to touch the other: both look alike from there towards either end.
//
// Of two round ones a cut s along from the crossing, of radius A, lies in the ball of that radius. Of the other axis, t = s·sin of the
// angle away in plan and h = A + B in height, it is √(t² + h²) - h away at least. So what is no further than AsNear lies within
// t² = (h + AsNear)² - h² of the crossing, and faces what is no further along the other than that and A together.
//
// Where one has a flat side they are near where they lie over each other, a parallelogram with the crossing in its middle, and as far beside it
// as a round side rises by no more than AsNear.
func crossing(a, b body.Body) (r2.Point, bool) {
	if a.Along.Z != 0 || b.Along.Z != 0 {
		return r2.Point{}, false
	}
	g, h := r2.Point{X: a.Along.X, Y: a.Along.Y}, r2.Point{X: b.Along.X, Y: b.Along.Y}
	c := r2.Point{X: b.Centre.X - a.Centre.X, Y: b.Centre.Y - a.Centre.Y}
	la, lb, turn := g.Norm(), h.Norm(), g.Cross(h)
	s, u := c.Cross(h)/turn, c.Cross(g)/turn
	sine := math.Abs(turn) / (la * lb) // what follows is without end where they lie alike
	var alongA, alongB float64         // how far from the crossing they may be near, along either
	if a.Round && b.Round {
		t := math.Sqrt(AsNear*(2*(a.W+b.W)+AsNear)) / sine
		alongA = t + math.Max(a.W, b.W)
		alongB = alongA
	} else {
		cosine := math.Abs(g.Dot(h)) / (la * lb)
		beside := AsNear + math.Sqrt(AsNear*(2*math.Max(a.W, b.W)+AsNear))
		alongA = (b.W + a.W*cosine + beside) / sine
		alongB = (a.W + b.W*cosine + beside) / sine
	}
	if !(math.Abs(s)*la+alongA < la && math.Abs(u)*lb+alongB < lb) {
		return r2.Point{}, false
	}
	return r2.Point{X: a.Centre.X + s*g.X, Y: a.Centre.Y + s*g.Y}, true
}

// levelsOver returns the levels that a body covers over a point, as it is and not as the box round it.
func levelsOver(b body.Body, at r3.Vector) (lo, hi float64, ok bool) {
	s, ok := body.Span(body.Cylinder(at, at, 0), b, scene.Up)
	return at.Z + s.Lo, at.Z + s.Hi, ok
}

// Spot returns the middle of the stretch over which a and b are closest, or share space.
func Spot(a, b body.Body) r3.Vector { return SpotAlong(longer(a, b)) }

// longer returns the longer of two first: the shorter may be an item, whose x side is nothing special.
func longer(a, b body.Body) (body.Body, body.Body) {
	if b.Along.Norm2() > a.Along.Norm2()*(1+1e-9) {
		return b, a
	}
	return a, b
}

// SpotAlong is spot, the stretch taken along a.
func SpotAlong(a, b body.Body) r3.Vector {
	if square(&a) && square(&b) {
		return Middle(scene.BoxOf(a), scene.BoxOf(b))
	}
	if body.Gap(a, b).MM > 0 {
		return nearestAlong(a, b)
	}
	return sharedAlong(a, b)
}

// nearest returns the middle of where two bodies that do not overlap are nearest: along the longer of the two, then
// across it, and last between the two points that prove the gap.
func nearest(a, b body.Body) r3.Vector { return nearestAlong(longer(a, b)) }

func nearestAlong(a, b body.Body) r3.Vector {
	m := body.Gap(a, b)
	for range 2 {
		if lo, hi, ok := body.Stretch(a, b, m.MM+AsNear); ok && a.Along.Norm2() > 0 {
			a = body.Slice(a, (lo+hi)/2)
			m = body.Gap(a, b)
		}
		if a.Round {
			break
		}
		a = across(a)
	}
	return m.A.Add(m.B).Mul(0.5)
}

// sharedAlong returns the middle of the stretch of a that b shares: of its length, of its width there, and of the height
// that both have there.
func sharedAlong(a, b body.Body) r3.Vector {
	cut := a
	for range 2 {
		if lo, hi, ok := body.Stretch(cut, b, void.Hair); ok && cut.Along.Norm2() > 0 {
			cut = body.Slice(cut, (lo+hi)/2)
		}
		if a.Along.X == 0 && a.Along.Y == 0 {
			break // upright, or a thing without a length
		}
		cut = across(Boxed(cut))
	}
	at := cut.Centre
	alo, ahi, okA := levelsOver(a, at)
	blo, bhi, okB := levelsOver(b, at)
	if !okA || !okB {
		return Middle(scene.BoxOf(cut), scene.BoxOf(b))
	}
	at.Z = (math.Max(alo, blo) + math.Min(ahi, bhi)) / 2
	return at
}

// across returns the cut of a box as a body whose length lies across the box.
func across(b body.Body) body.Body {
	b.Along, b.Across, b.W = r3.Vector{X: b.Across.X * b.W, Y: b.Across.Y * b.W}, b.Across.Ortho(), 0
	return b
}
