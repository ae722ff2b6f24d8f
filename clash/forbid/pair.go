package forbid

import (
	"math"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r3"

	"voidline/clash/figure"
	"voidline/clash/rules"
	"voidline/void"
	"voidline/void/body"
)

// letGo is by how much, in mm, a body may stay within a ban and still nothing is told of it (figure.Slack, less a thousandth of a hair, so
// that the place told is surely outside).
const letGo = figure.Slack - void.Hair/1000

// OfPair returns what one body alone forbids another: the shifts of m along dir at which it breaks what the choice, as seen from
// m, asks towards o. No index is asked, and nothing is excused. byHeight says that only heights are known.
func OfPair(m, o body.Body, ch *rules.Choice, dir r3.Vector, byHeight bool) []Ban {
	f := forbidding{q: Query{Full: m, Dir: dir}}
	var bans []Ban
	for _, l := range leavesOf(make([]leaf, 0, leavesMost), ch, byHeight) {
		if iv, ok := f.interval(&l, o, byHeight); ok {
			bans = append(bans, Ban{Interval: iv, Zone: -1, Bay: -1, Space: -1, Rule: l.use.Rule, Side: l.side, Asked: l.use.Gap, Along: l.along})
		}
	}
	return bans
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
