package support

import (
	"cmp"
	"math"
	"slices"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"

	"voidline/clash/measure"
	"voidline/clash/scene"
	"voidline/void"
	"voidline/void/body"
)

// Move returns how far support s of the row must move along its length to be clear of everything, and whether it may.
func (w *Looker) Move(i, s int32) Shift {
	if !w.shifts[s].known {
		w.shifts[s] = w.findMove(i, &w.List[s], w.Bodies(s))
		w.shifts[s].known = true
	}
	return w.shifts[s]
}

// obstacle is something that forbids a support some stations.
type obstacle struct {
	body body.Body
	box  scene.Box // of the body; not wanted for rods
	rods bool      // only what is fixed over it counts: rods, by their plan
	// touch is how deep a support may be in it: none, for it is moved clear all the way, but of what it rests against by no
	// more than the touch tolerance where it stands.
	touch float64
}

// What bounds the looking for a place of one support; where there is more, it is told that none was looked for.
const (
	triesMost   = 256  // places that are tried
	crowdedMost = 128  // things that are near anywhere on the way
	fallingStep = 50.0 // mm between the places that are tried along a falling row, besides the ends of what is in the way
)

// Bounds returns how much is looked at before an answer says that no more was.
func Bounds() []void.Bound {
	const measured = "measured: 200 trays that cross in one point take 1.4 s of processor time with the two bounds, 6.7 s without, and that grows faster than the square of their number"
	return []void.Bound{
		{Name: "things near a support, on its way to its neighbours", Most: crowdedMost, Why: "where more are within 3 m along a run nobody moves a rod, the run moves; the finding says that there are too many", Source: measured},
		{Name: "places tried for a support", Most: triesMost, Why: "two for each thing that may be near it, the nearest first; the finding says that there are too many", Source: measured},
	}
}

func (w *Looker) findMove(i int32, s *Support, parts []Part) Shift {
	lo, hi := s.Prev-s.Station, s.Next-s.Station
	if hi-lo < 1 {
		return Shift{}
	}
	// What is near anywhere on the way.
	swept := scene.Box{}
	for k, st := range [3]float64{s.Prev, s.Station, s.Next} {
		e, ok := w.Plan.At(int(i), st)
		if !ok {
			return Shift{}
		}
		a, b := e.Box()
		eb := scene.Within(a, b)
		if k == 0 {
			swept = eb
		}
		swept = scene.Union(swept, eb)
	}
	z := w.tape.Zone(i)
	plan := r2.Rect{X: r1.Interval{Lo: swept.Lo[0], Hi: swept.Hi[0]}, Y: r1.Interval{Lo: swept.Lo[1], Hi: swept.Hi[1]}}
	bays := w.tape.Project.BaysNear(int(z.Storey), plan)
	for _, j := range bays {
		swept.Hi[2] = max(swept.Hi[2], w.tape.Project.Bays[j].Soffit) // on the way the soffit may be higher
	}
	var list []obstacle
	if w.tape.Some(swept, 0, func(o int32) bool {
		// The beam that it happens to hang from is in the way of its rods beside it.
		if w.InTheWay(i, o, s) || s.HangsFrom(o) && w.Plan.MayHangFromSteel(int(i)) {
			list = append(list, obstacle{body: w.tape.Full(o), box: w.tape.Boxes[o]})
		}
		return len(list) > crowdedMost
	}) {
		return Shift{Crowded: true}
	}
	w.spaces.Near(swept, func(k int) {
		if w.tape.Project.Spaces[w.spaces.Of[k]].For != i {
			list = append(list, obstacle{body: w.spaces.Body[k], box: w.spaces.Box[k]})
		}
	})
	w.marks.Near(scene.Column(swept), func(k int) {
		o := w.tape.Zone(w.marks.Of[k])
		if o.Storey == z.Storey && o.Full().Height().Hi >= s.Levels()[0].Over-void.Hair {
			list = append(list, obstacle{body: w.marks.Body[k], rods: true})
		}
	})
	if len(list) > crowdedMost {
		return Shift{Crowded: true}
	}
	dir := r3.Vector{X: s.Along.X, Y: s.Along.Y}
	var tries []float64
	to := func(v float64) {
		if v != 0 && lo-void.Hair <= v && v <= hi+void.Hair {
			tries = append(tries, v)
		}
	}
	// Whole millimetres, as a fitter sets them: out of what forbids it, to either side of where something begins.
	out := func(v r1.Interval) {
		to(math.Floor(v.Lo + 1e-6))
		to(math.Ceil(v.Hi - 1e-6))
	}
	try := func(t float64) {
		to(math.Floor(t + 1e-6))
		to(math.Ceil(t - 1e-6))
	}
	// Where the soffit ends, or is open, and where steel is.
	for _, j := range bays {
		b := &w.tape.Project.Bays[j]
		for _, c := range [4][2]float64{{b.Plan.X.Lo - s.Where.X, s.Along.X}, {b.Plan.X.Hi - s.Where.X, s.Along.X}, {b.Plan.Y.Lo - s.Where.Y, s.Along.Y}, {b.Plan.Y.Hi - s.Where.Y, s.Along.Y}} {
			if c[1] != 0 {
				try(c[0] / c[1])
			}
		}
		for _, k := range w.tape.SoffitHole[j] {
			o := &w.tape.Project.Openings[k]
			list = append(list, obstacle{body: measure.Tall(body.Upright(r2.RectFromCenterSize(r2.Point{X: o.Centre.X, Y: o.Centre.Y}, r2.Point{X: 2 * o.HalfA, Y: 2 * o.HalfB}),
				r1.Interval{})), rods: true})
		}
	}
	if w.Plan.OnSteel(int(i)) || w.Plan.MayHangFromSteel(int(i)) {
		for _, j := range w.tape.Project.SteelNear(int(z.Storey), plan) {
			beam := measure.Tall(w.tape.Zone(j).Bare())
			for rod := range s.Rods {
				q := s.RodPoint(rod)
				if v, ok := body.Span(body.Cylinder(r3.Vector{X: q.X, Y: q.Y}, r3.Vector{X: q.X, Y: q.Y, Z: 1}, 0), beam, dir); ok {
					try(v.Lo)
					try(v.Hi)
				}
			}
		}
	}
	slope := dir
	if n := math.Hypot(z.Bare().Along.X, z.Bare().Along.Y); n > 0 && z.Bare().Along.Z != 0 {
		slope.Z = z.Bare().Along.Z / n
		if s.Back {
			slope.Z = -slope.Z
		}
		for t := -fallingStep * math.Floor(-lo/fallingStep); t <= hi; t += fallingStep {
			try(t) // rods do not shift with the service where it falls: what is shifted is not quite what stands there
		}
	}
	for k := range list {
		o := &list[k]
		rests, hit := false, false
		for _, part := range parts {
			b, d := part.Body, slope
			if o.rods {
				if part.What != Rod {
					continue
				}
				b, d = measure.Tall(b), dir
			}
			if v, in := inEachOther(b, o.body, 0); in {
				rests = true
				hit = hit || v.Depth() > w.touch+void.Hair
			}
			if part.What == Rod && !o.rods {
				// As long as the soffit may ask on the way.
				b = body.Cylinder(b.Start(), b.End().Add(r3.Vector{Z: math.Max(0, swept.Hi[2]-b.End().Z)}), s.Rod)
			}
			if v, ok := body.Span(b, o.body, d); ok {
				out(v)
			}
		}
		if rests && !hit {
			o.touch = w.touch
		}
	}
	slices.SortFunc(tries, func(a, b float64) int {
		return cmp.Or(cmp.Compare(math.Abs(a), math.Abs(b)), cmp.Compare(a, b))
	})
	tries = slices.Compact(tries)
	clear := func(t float64) bool {
		e, ok := w.Plan.At(int(i), s.Station+t)
		return ok && w.clearAt(&e, list)
	}
	from, until := s.Low-s.Station-void.Hair, s.High-s.Station+void.Hair
	two := Shift{Before: math.Inf(-1), After: math.Inf(1)}
	for k, t := range tries {
		switch {
		case k >= triesMost:
			return Shift{Crowded: true}
		case t < from && !math.IsInf(two.Before, 0), t > until && !math.IsInf(two.After, 0):
		case !clear(t):
		case t < from:
			two.Before = t
		case t > until:
			two.After = t
		default:
			return Shift{May: true, By: t}
		}
	}
	two.Two = two.After-two.Before <= w.Plan.Spacing(int(i))+void.Hair
	return two
}

// clearAt reports whether a support is clear of the obstacles and has something to hang from.
func (w *Looker) clearAt(s *Support, list []obstacle) bool {
	if !s.Held && s.Rods > 0 || w.OverHole(s) != nil {
		return false
	}
	parts := s.Bodies(nil)
	lo, hi := s.Box()
	whole := scene.Within(lo, hi)
	for k := range list {
		o := &list[k]
		if !o.rods && whole.Apart(&o.box) > 0 {
			continue
		}
		for _, part := range parts {
			b := part.Body
			if o.rods {
				if part.What != Rod {
					continue
				}
				if body.PlanOverlap(b, o.body) > o.touch+void.Hair {
					return false
				}
				continue
			}
			if _, in := inEachOther(b, o.body, o.touch); in {
				return false
			}
		}
	}
	return true
}
