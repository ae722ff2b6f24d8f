package forbid

import (
	"math"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r3"

	"voidline/clash/figure"
	"voidline/clash/measure"
	"voidline/clash/rules"
	"voidline/void"
	"voidline/void/body"
	"voidline/void/cell"
)

// letGo is by how much, in mm, a body may stay within a ban and still nothing is told of it (figure.Slack, less a thousandth of a hair, so
// that the place told is surely outside).
const letGo = figure.Slack - void.Hair/1000

// Pair is two bodies where they are, of which the first may be shifted, and what is asked between them. No index is asked, and nothing is
// excused. Each measure of the two is taken once.
type Pair struct {
	here   measure.Two
	leaves []leaf
	line   r3.Vector // along which span was taken
	span   r1.Interval
	meets  bool
}

// PairOf returns the pair of two bodies that rest on nothing; ch as seen from the first, byHeight as measure.TwoOf has it.
func PairOf(m, o body.Body, ch *rules.Choice, byHeight bool) *Pair {
	return &Pair{here: measure.TwoOf(m, o, 0, byHeight), leaves: pairLeaves(make([]leaf, 0, leavesMost), ch, byHeight)}
}

// pairLeaves adds to out, which is empty, what a pair asks whose two rest on nothing. What overlaps has no gap at all: where one is asked all
// round and over any length, the overlap forbids nothing besides.
func pairLeaves(out []leaf, ch *rules.Choice, byHeight bool) []leaf {
	out = leavesOf(out, ch, byHeight)
	if len(out) > 1 && !byHeight && out[1].side == cell.Around && !out[1].along && figure.Lacks(0, out[1].use.Gap) {
		return out[1:]
	}
	return out
}

// Span returns between which shifts along dir the first of the two is in the other (body.Span); false where it never is.
func (p *Pair) Span(dir r3.Vector) (r1.Interval, bool) {
	switch dir {
	case p.line:
		return p.span, p.meets
	case p.line.Mul(-1):
		return r1.Interval{Lo: -p.span.Hi, Hi: -p.span.Lo}, p.meets
	}
	m, o, _ := p.here.Bodies()
	p.line = dir
	p.span, p.meets = body.Span(m, o, dir)
	return p.span, p.meets
}

// Bans returns the shifts along dir of the first of the two at which it breaks what is asked towards the second. Of what forbids it to be
// where it is only the end along dir is sought: against it the ban has no end.
func (p *Pair) Bans(dir r3.Vector) []Ban {
	m, o, byHeight := p.here.Bodies()
	f := forbidding{q: Query{Full: m, Dir: dir, Within: r1.Interval{Lo: 0, Hi: math.Inf(1)}}, pair: p}
	var bans []Ban
	for k := range p.leaves {
		l := &p.leaves[k]
		if iv, ok := f.interval(l, o, byHeight); ok {
			bans = append(bans, Ban{Interval: iv, Zone: -1, Bay: -1, Space: -1, Rule: l.use.Rule, Side: l.side, Asked: l.use.Gap, Along: l.along})
		}
	}
	return bans
}

// Between reports whether one thing that is asked forbids the first of the two to be where it is and where the shift by takes it: then it
// forbids all between.
func (p *Pair) Between(by r3.Vector) bool {
	m, o, byHeight := p.here.Bodies()
	there := measure.TwoOf(m.Shift(by), o, 0, byHeight)
	for k := range p.leaves {
		if l := &p.leaves[k]; l.convex(by) && l.broken(&p.here) && l.broken(&there) {
			return true
		}
	}
	return false
}

// Out returns the least shift from t on that no ban forbids, going up for way 1 and down for way -1; infinite where there is none.
// What lacks so little that nothing is told of it counts as free.
func Out(bans []Ban, t, way float64) float64 {
	for moved := true; moved; {
		moved = false
		for k := range bans {
			if to := bans[k].out(t, way); to != t {
				t, moved = to, true
			}
		}
	}
	return t
}

// out returns the least shift from t on that the ban allows.
func (b *Ban) out(t, way float64) float64 {
	if t <= b.Lo+letGo || t >= b.Hi-letGo {
		return t
	}
	out := b.Hi - letGo
	if way < 0 {
		out = b.Lo + letGo
	}
	for _, h := range b.Holes {
		if h.Lo-letGo <= t && t <= h.Hi+letGo {
			return t
		}
		if to := (r1.Interval{Lo: h.Lo, Hi: h.Hi}).ClampPoint(t); (to-t)*way > 0 && math.Abs(to-t) < math.Abs(out-t) {
			out = to
		}
	}
	return out
}
