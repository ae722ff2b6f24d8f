package setout

import (
	"math"
	"slices"

	"github.com/golang/geo/r1"

	"voidline/clash/rules"
	"voidline/void"
)

// Clear is what is clear between a run that is set out and one thing over it or under it: body to body, of a ceiling from what hangs under the run.
type Clear struct {
	Thing    *Thing
	From, To float64 // stations between which it is so
	MM       float64 // 0: they touch
}

// Passed is a beam that a run passes, or a beam or a wall that it goes through.
type Passed struct {
	Thing    *Thing
	From, To float64     // stations
	Above    bool        // the beam is over the run
	Clear    float64     // and so much is clear between them; of one that it goes through from the line to the nearer of the ends of Line
	Through  bool        // the run goes through it
	Opening  bool        // by an opening that openings.csv has in it; else the hole is builder's work
	Line     r1.Interval // levels that the line may have there
}

// Tightest returns what leaves the least clear over a run as it is set out, and under it, of equals what comes first along it; nil where nothing is, and
// where no line was found.
//
// Bars say how far it is to what is in the way: those of a body alone its distance, those of ceilings and soffits with what is asked besides.
func (a *Answer) Tightest() (above, below *Clear) {
	a.clears(func(c Clear, over bool) {
		best := &below
		if over {
			best = &above
		}
		if *best == nil || c.MM < (*best).MM-void.Hair || c.MM < (*best).MM+void.Hair && c.From < (*best).From-void.Hair {
			*best = &c
		}
	})
	return above, below
}

// clears calls each with what is clear over and under the level lengths of the line, thing by thing.
func (a *Answer) clears(each func(c Clear, over bool)) {
	for i := range a.field.Bars {
		b := &a.field.Bars[i]
		if b.Of < 0 || len(b.Open) > 0 {
			continue
		}
		t := &a.Things[b.Of]
		if asked := t.Asked; t.Zone >= 0 && (asked > 0 || t.Basis != rules.Geometry) {
			continue // that one asks for room beside it, too: it says no distance
		}
		for _, s := range a.Line.Sections {
			from, to := math.Max(b.From, s.From), math.Min(b.To, s.To)
			if to-from <= void.Hair {
				continue
			}
			switch {
			case b.Lo >= s.Level-void.Hair:
				each(Clear{t, from, to, math.Max(0, b.Lo-s.Level+t.Asked)}, true)
			case b.Hi <= s.Level+void.Hair:
				each(Clear{t, from, to, math.Max(0, s.Level-b.Hi+t.Asked)}, false)
			}
		}
	}
}

// Passes returns the beams that the run passes over or under, and the openings that it goes through, in its order.
func (a *Answer) Passes(p *void.Project) (out []Passed) {
	a.clears(func(c Clear, over bool) {
		if c.Thing.Zone < 0 || !p.Character(p.Zone(c.Thing.Zone).Char).Entry.Beam {
			return
		}
		if k := slices.IndexFunc(out, func(x Passed) bool {
			return x.Thing.Zone == c.Thing.Zone && x.Above == over && c.From <= x.To+void.Hair && c.To >= x.From-void.Hair
		}); k >= 0 {
			out[k].From, out[k].To, out[k].Clear = math.Min(out[k].From, c.From), math.Max(out[k].To, c.To), math.Min(out[k].Clear, c.MM)
			return
		}
		out = append(out, Passed{Thing: c.Thing, From: c.From, To: c.To, Above: over, Clear: c.MM})
	})
	for i := range a.field.Bars {
		b := &a.field.Bars[i]
		if b.Of < 0 || len(b.Open) == 0 || a.Things[b.Of].Zone < 0 || !a.Things[b.Of].Structure {
			continue
		}
		for _, s := range a.Line.Sections {
			from, to := math.Max(b.From, s.From), math.Min(b.To, s.To)
			if to-from <= void.Hair || b.Lo >= s.Level-void.Hair || b.Hi <= s.Level+void.Hair {
				continue
			}
			for _, v := range b.Open {
				if v.Lo-void.Hair <= s.Level && s.Level <= v.Hi+void.Hair {
					x := Passed{Thing: &a.Things[b.Of], From: from, To: to, Through: true, Line: v, Opening: slices.ContainsFunc(p.Openings, func(o void.Opening) bool { return int(o.In) == a.Things[b.Of].Zone }), Clear: math.Max(0, math.Min(s.Level-v.Lo, v.Hi-s.Level))}
					if !slices.ContainsFunc(out, func(y Passed) bool {
						return y.Through && y.Thing.Zone == x.Thing.Zone && math.Abs(y.From-from) <= void.Hair
					}) {
						out = append(out, x)
					}
				}
			}
		}
	}
	slices.SortStableFunc(out, func(x, y Passed) int {
		switch {
		case x.From < y.From-void.Hair:
			return -1
		case y.From < x.From-void.Hair:
			return 1
		}
		return void.Natural(x.Thing.Name, y.Thing.Name)
	})
	return out
}

// Bend is where a fitter marks a set: on the run itself, mm along it from its start, sets before it straightened out. Between the two marks is the length
// of the set on the slope, which is the same on the centre line as on either face; common practice, no source.
type Bend struct {
	Angle         float64 // of each of the two, degrees, whole
	First, Second float64
}

// Bends returns the marks of the sets of a line, in its order.
func (a *Answer) Bends(angle float64) (out []Bend) {
	more := 0.0 // by so much the run is longer than its plan
	for _, st := range a.Line.Steps {
		slope := math.Hypot(st.Rise, st.To-st.From)
		out = append(out, Bend{setAngle(st, angle), st.From + more, st.From + more + slope})
		more += slope - (st.To - st.From)
	}
	return out
}
