package setout

import (
	"math"
	"slices"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"

	"voidline/clash"
	"voidline/clash/support"
	"voidline/void"
	"voidline/void/body"
)

// Clear is what is clear between a run that is set out and one thing over it or under it: body to body, of a ceiling from what hangs under the run, of
// two tiers of a frame from the channel between them.
type Clear struct {
	Thing    *Thing
	From, To float64 // stations between which it is so; of a slope the one where it is
	MM       float64 // 0: they touch
}

// Passed is a beam that a run passes, or a beam, a wall or a slab that it goes through.
type Passed struct {
	Thing    *Thing
	From, To float64            // stations
	Above    bool               // the beam is over the run
	Clear    float64            // and so much is clear between them
	Through  *clash.GoesThrough // how the run goes through it; nil: over or under it
	Line     r1.Interval        // through an opening by a level length: levels that the line may have there; empty where that is not known
}

// Alongside is what is next to a run as it is laid, level lengths, sets and falls: measured body to body.
type Alongside struct {
	Above, Below *Clear   // what leaves the least clear over it and under it, of equals what comes first along it; nil where nothing is
	Passed       []Passed // beams that it passes over or under, and what it goes through, in its order
}

// NextTo returns what is next to a run that was set out; nothing where no line was found.
func (a *Answer) NextTo(p *void.Project, c *clash.Check) Alongside {
	if !a.Found {
		return Alongside{}
	}
	out := a.Run.nextTo(p, c, a.Run.bodies(p, &a.Line), a.lifts)
	for i := range out.Passed {
		x := &out.Passed[i]
		for k := range a.field.Bars {
			b := &a.field.Bars[k]
			if x.Through == nil || x.Through.Opening == nil || b.Of < 0 || a.Things[b.Of].Zone != x.Thing.Zone || b.From > x.To || b.To < x.From {
				continue
			}
			for _, s := range a.Line.Sections {
				for _, v := range b.Open {
					if s.From < x.To && s.To > x.From && v.Lo-void.Hair <= s.Level && s.Level <= v.Hi+void.Hair {
						x.Line = v
					}
				}
			}
		}
	}
	return out
}

// NextTo returns what is next to a falling run, laid from the start that was found; nothing where there is none.
func (f *Fall) NextTo(p *void.Project, c *clash.Check) Alongside {
	if f.Start == nil {
		return Alongside{}
	}
	var laid []solid
	for k := range f.Run.Pieces {
		pc := &f.Run.Pieces[k]
		laid = append(laid, solid{pc.Zone, p.Zone(pc.Zone).Around(f.Run.part(pc, pc.From, pc.To, f.LevelAt(pc.From), f.LevelAt(pc.To))), true})
	}
	return f.Run.nextTo(p, c, laid, nil)
}

// nextTo measures what is next to a run that is laid as bodies.
//
//  1. Of each body what is over and under it in plan, and what it goes through, as the check measures that.
//     Of two tiers of a frame it is clear from what carries the upper one.
//  2. The least over and under is the tightest. Of a beam stretches that meet are one, with the least that is clear.
func (r *Run) nextTo(p *void.Project, c *clash.Check, laid []solid, lifts map[int32]float64) (out Alongside) {
	fr := &frames{p: p}
	for _, b := range laid {
		pc := r.pieceOf(b.zone)
		for _, n := range c.Neighbours(b.zone, b.full, b.hung, lifts) {
			if n.Zone >= 0 && support.SameFrame(p.Zone(b.zone), p.Zone(n.Zone)) {
				if fr.plan == nil {
					fr.plan = support.Of(p, support.Options{})
				}
				upper := b.zone
				if n.Over {
					upper = n.Zone
				}
				n.Clear = math.Max(0, n.Clear-fr.carries(upper))
			}
			from, to := r.along(pc, n.Plan)
			t := thing(p, n.Bar, b.zone, 0)
			if n.Zone >= 0 && p.Character(p.Zone(n.Zone).Char).Entry.Beam {
				out.add(Passed{Thing: &t, From: from, To: to, Above: n.Over, Clear: n.Clear, Line: r1.EmptyInterval()})
			}
			if rise := b.full.Along.Z * (b.full.Along.X*pc.dir().X + b.full.Along.Y*pc.dir().Y); rise != 0 && (n.Zone < 0 || p.Zone(n.Zone).Full().Along.Z == 0) {
				// Of a slope and something level the one end is the tightest.
				if from = to; (rise > 0) != n.Over {
					from, _ = r.along(pc, n.Plan)
				}
				to = from
			}
			best := &out.Below
			if n.Over {
				best = &out.Above
			}
			if x := *best; x == nil || n.Clear < x.MM-void.Hair || n.Clear < x.MM+void.Hair && from < x.From-void.Hair {
				*best = &Clear{&t, from, to, n.Clear}
			}
		}
		for _, g := range c.Through(b.zone, b.full) {
			from, to := r.along(pc, body.Shared(body.Outline(b.full), body.Outline(p.Zone(g.Zone).Full())))
			t := thing(p, clash.Bar{By: p.Zone(g.Zone).ID, Zone: g.Zone, Bay: -1, Structure: true}, b.zone, 0)
			out.add(Passed{Thing: &t, From: from, To: to, Through: &g, Line: r1.EmptyInterval()})
		}
	}
	slices.SortStableFunc(out.Passed, func(x, y Passed) int {
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

// add adds what is passed to what is there already of the same thing, where the two stretches meet.
func (l *Alongside) add(x Passed) {
	k := slices.IndexFunc(l.Passed, func(o Passed) bool {
		return o.Thing.Zone == x.Thing.Zone && (o.Through == nil) == (x.Through == nil) && (o.Through != nil || o.Above == x.Above) && x.From <= o.To+void.Hair && x.To >= o.From-void.Hair
	})
	if k < 0 {
		l.Passed = append(l.Passed, x)
		return
	}
	o := &l.Passed[k]
	o.From, o.To, o.Clear = math.Min(o.From, x.From), math.Max(o.To, x.To), math.Min(o.Clear, x.Clear)
	if o.Through != nil && o.Through.Opening != nil && x.Through.Room < o.Through.Room {
		o.Through = x.Through
	}
}

// along returns the stretch of a run under an outline that lies over a piece of it.
func (r *Run) along(pc *Piece, outline []r2.Point) (from, to float64) {
	from, to = math.Inf(1), math.Inf(-1)
	at, d := pc.At(pc.From), pc.dir()
	for _, q := range outline {
		s := pc.From + q.Sub(at).Dot(d)
		from, to = math.Min(from, s), math.Max(to, s)
	}
	return math.Max(0, from), math.Min(r.Length, to)
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
