package setout

import (
	"math"
	"slices"

	"github.com/golang/geo/r3"

	"voidline/void"
	"voidline/void/body"
)

// solid is a part of a run as it will stand, with joint, insulation and top.
type solid struct {
	zone int
	full body.Body
	hung bool // it may have a hanger: level lengths
}

// bodies returns what the run is made of once it is laid to a line: together they fill its section from end to end, the mitres of
// its bends included. They may lie over each other.
func (r *Run) bodies(p *void.Project, l *Line) []solid {
	var out []solid
	for i := range l.Sections {
		s := &l.Sections[i]
		out = append(out, r.level(p, s.From, s.To, s.Level)...)
		if i < len(l.Steps) {
			out = append(out, r.set(p, &l.Steps[i])...)
		}
	}
	return out
}

// pieces calls each with the parts of the pieces between two stations; the first and the last piece are as long as may be.
func (r *Run) pieces(from, to float64, each func(pc *Piece, from, to float64)) {
	for k := range r.Pieces {
		pc := &r.Pieces[k]
		a, b := math.Max(from, pc.From), math.Min(to, pc.To)
		if b-a > void.Hair {
			each(pc, a, b)
		}
	}
}

// level returns a level length.
func (r *Run) level(p *void.Project, from, to, z float64) []solid {
	var out []solid
	r.pieces(from, to, func(pc *Piece, a, b float64) {
		out = append(out, solid{pc.Zone, p.Zone(pc.Zone).Around(r.part(pc, a, b, z, z)), true})
	})
	return out
}

// set returns a set with its two mitres. What of its bends is no more than the level lengths beside it, ended upright where the
// line bends, may be left out.
func (r *Run) set(p *void.Project, st *Step) []solid {
	var out []solid
	up, down := 0.0, 0.0
	for k := range r.Pieces {
		u, d := r.section(p, &r.Pieces[k])
		up, down = math.Max(up, u), math.Max(down, d)
	}
	before, past := overhang(st.Rise, st.To-st.From, up, down)
	r.pieces(st.From-before, st.To+past, func(pc *Piece, from, to float64) {
		if pc.Bare.Round {
			if b, ok := r.roundSet(p, pc, st, from, to); ok {
				out = append(out, solid{pc.Zone, b, false})
			}
			return
		}
		b := p.Zone(pc.Zone).Around(pc.Bare)
		up, down := r.section(p, pc)
		mitredSet(st, up, down, from, to, func(s0, s1, low0, low1, high float64) {
			out = append(out, solid{pc.Zone, r.box(pc, b.W, s0, s1, low0, low1, high), false})
		})
	})
	return out
}

// box returns the box over a piece between two stations, from a level at each up to so much over it, w wide to each side.
func (r *Run) box(pc *Piece, w, s0, s1, low0, low1, high float64) body.Body {
	p, q := pc.At(s0), pc.At(s1)
	return body.Box(r3.Vector{X: p.X, Y: p.Y, Z: low0 + high/2}, r3.Vector{X: q.X, Y: q.Y, Z: low1 + high/2}, 2*w, high)
}

// mitredSet fills the section of a set between two stations with pieces that have upright ends: each from one station to
// another, its lower side from one level to another, and so much high.
//
// Between the bends of the two edges each edge is level or at the slope of the set. Where one is level and the other is not,
// a level piece and one along the slope fill what is between; shorter ones where that would stand out.
func mitredSet(st *Step, up, down, from, to float64, each func(s0, s1, low0, low1, high float64)) {
	t := mitre(st.Rise, st.To-st.From)
	if st.Rise > 0 {
		t = -t
	}
	edge := func(off float64) (first, last float64, at func(s float64) float64) {
		first, last = st.From+off*t, st.To+off*t
		return first, last, func(s float64) float64 {
			switch {
			case s <= first:
				return st.Low + off
			case s >= last:
				return st.High + off
			}
			return st.Low + off + st.Rise*(s-first)/(last-first)
		}
	}
	u0, u1, top := edge(up)
	d0, d1, low := edge(-down)
	var fill func(a, b float64)
	fill = func(a, b float64) {
		// Just inside: where the set is upright an edge has two levels at one station.
		in := math.Min(1e-9, (b-a)/4)
		la, lb, ha, hb := low(a+in), low(b-in), top(a+in), top(b-in)
		slopes := func(x, y float64) bool { return math.Abs(x-y) > void.Hair/100 }
		switch sl, sh := slopes(la, lb), slopes(ha, hb); {
		case sl == sh:
			each(a, b, la, lb, math.Min(ha-la, hb-lb))
		case sl:
			if k := math.Abs(la - lb); k > ha-math.Max(la, lb) && b-a > 0.01 {
				fill(a, (a+b)/2)
				fill((a+b)/2, b)
			} else {
				each(a, b, math.Max(la, lb), math.Max(la, lb), ha-math.Max(la, lb))
				each(a, b, la, lb, k)
			}
		default:
			if k := math.Abs(ha - hb); k > math.Min(ha, hb)-la && b-a > 0.01 {
				fill(a, (a+b)/2)
				fill((a+b)/2, b)
			} else {
				each(a, b, la, la, math.Min(ha, hb)-la)
				each(a, b, ha-k, hb-k, k)
			}
		}
	}
	cuts := []float64{from, to, u0, u1, d0, d1}
	slices.Sort(cuts)
	for i := 1; i < len(cuts); i++ {
		if a, b := math.Max(from, cuts[i-1]), math.Min(to, cuts[i]); b-a > void.Hair/10 {
			fill(a, b)
		}
	}
}

// roundSet returns the inclined length of a round set over a piece: its axis meets those of the level lengths, and it is as much
// longer at each end as the outer side of the bend is.
func (r *Run) roundSet(p *void.Project, pc *Piece, st *Step, from, to float64) (body.Body, bool) {
	b := p.Zone(pc.Zone).Around(pc.Bare)
	s0, s1, z0, z1 := r.axis(pc, st)
	long := math.Hypot(s1-s0, z1-z0)
	along, up := (s1-s0)/long, (z1-z0)/long // for each mm of the length; along is 0 where it is upright
	lo := -b.W * mitre(st.Rise, st.To-st.From)
	hi := long - lo
	if along > 1e-9 {
		lo, hi = math.Max(lo, (from-s0)/along), math.Min(hi, (to-s0)/along)
	} else if s0 < from || s0 > to {
		return b, false
	}
	if hi <= lo {
		return b, false
	}
	at := func(x float64) r3.Vector {
		q := pc.At(s0 + along*x)
		return r3.Vector{X: q.X, Y: q.Y, Z: z0 + up*x}
	}
	return body.Cylinder(at(lo), at(hi), 2*b.W), true
}

// axis returns where the axis of a round piece bends at a set, and its levels there: the line stands off the axis, so the axis bends
// that much further along, or less far.
func (r *Run) axis(pc *Piece, st *Step) (s0, s1, z0, z1 float64) {
	up := sectionHeight(pc.Bare)/2 - r.faceAbove(pc.Bare)
	t := up * mitre(st.Rise, st.To-st.From)
	if st.Rise > 0 {
		t = -t
	}
	return st.From + t, st.To + t, st.Low + up, st.High + up
}
