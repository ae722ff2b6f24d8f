package forbid

import (
	"math"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r3"

	"voidline/clash/figure"
	"voidline/clash/measure"
	"voidline/clash/rules"
	"voidline/void"
)

// letGo is by how much, in mm, a body may stay within a ban and still nothing is told of it (figure.Slack, less a thousandth of a hair, so
// that the place told is surely outside).
const letGo = figure.Slack - void.Hair/1000

// OfPair returns what one body alone forbids another: the shifts along dir of the first of two at which it breaks what the choice, as
// seen from it, asks towards the second. No index is asked, and nothing is excused. Of what forbids it to be where it is only the
// end along dir is sought: against it the ban has no end.
func OfPair(here *measure.Two, ch *rules.Choice, dir r3.Vector) []Ban {
	m, o, byHeight := here.Bodies()
	f := forbidding{q: Query{Full: m, Dir: dir}, here: here}
	var bans []Ban
	for _, l := range leavesOf(make([]leaf, 0, leavesMost), ch, byHeight) {
		if iv, ok := f.interval(&l, o, byHeight); ok {
			bans = append(bans, Ban{Interval: iv, Zone: -1, Bay: -1, Space: -1, Rule: l.use.Rule, Side: l.side, Asked: l.use.Gap, Along: l.along})
		}
	}
	return bans
}

// Between reports whether one thing that the choice asks forbids the first of two to be where it is and where the shift by takes it: then it
// forbids all between.
func Between(here *measure.Two, ch *rules.Choice, by r3.Vector) bool {
	m, o, byHeight := here.Bodies()
	there := measure.TwoOf(m.Shift(by), o, 0, byHeight)
	for _, l := range leavesOf(make([]leaf, 0, leavesMost), ch, byHeight) {
		if l.convex(by) && l.broken(here) && l.broken(&there) {
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
