package measure

import (
	"math"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r3"

	"voidline/clash/rules"
	"voidline/void"
	"voidline/void/body"
	"voidline/void/cell"
)

// LongBy reports whether a body is nearer than a rule's gap to a bay's ceiling or soffit for more than the rule's over along the body,
// within the bay.
func LongBy(b body.Body, bay *void.Bay, u rules.Use, ceiling bool) bool {
	side, slab := SlabOf(b, bay, ceiling)
	return LongOn(b, slab, side, u.Gap, u.Over)
}

// SlabOf returns a bay's ceiling or soffit as a body, and on which side of b it is. Sideways does not count, so the room
// under (over) the body must meet the ceiling itself, however far the body stands under (over) it.
func SlabOf(b body.Body, bay *void.Bay, ceiling bool) (cell.Towards, body.Body) {
	h := b.Height()
	if ceiling {
		return cell.Below, body.Upright(bay.Plan, r1.Interval{Lo: math.Min(bay.Top, h.Lo) - 1000, Hi: bay.Top})
	}
	return cell.Above, body.Upright(bay.Plan, r1.Interval{Lo: bay.Soffit, Hi: math.Max(bay.Soffit, h.Hi) + 1000})
}

// OverBay returns the middle of the part of a body's plan that lies over a bay.
func OverBay(b body.Body, bay *void.Bay) r3.Vector {
	return SpotAlong(b, body.Upright(bay.Plan, b.Height()))
}

// Together reports whether two zones are excused where they are: what meets by belonging together, and breaks nothing besides.
func (t *Tape) Together(a, b int32, touch float64) bool {
	if t.Zone(a).ByHeight || t.Zone(b).ByHeight {
		return false
	}
	why := t.Belong(a, b)
	if why == NoTie {
		return false
	}
	A, B, left, met := t.Apart(t.Drawn(a), t.Drawn(b), why)
	if !met || !left {
		return met
	}
	v := Judge(A, B, t.Set.Between(t.Trait(a), t.Trait(b)), touch, false)
	return !v.Any()
}
