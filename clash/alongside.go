package clash

import (
	"cmp"
	"math"
	"slices"

	"github.com/golang/geo/r2"

	"voidline/clash/book"
	"voidline/clash/finding"
	"voidline/clash/measure"
	"voidline/clash/rules"
	"voidline/clash/scene"
	"voidline/void"
	"voidline/void/body"
)

// Neighbour is what is over or under a zone in plan, were its body another, and how much is clear between the two, mm: 0 where they touch.
type Neighbour struct {
	Bar              // By, Zone, Bay and Structure; nothing is forbidden
	Over  bool       // it is over the zone
	Clear float64    // body to body; over a ceiling from what hangs under the zone
	Plan  []r2.Point // what the two share in plan, an outline
}

// neighbourReach is how far over and under a zone neighbours are looked for, mm: further than a storey is high.
const neighbourReach = 10000.0

// Neighbours returns what is over and under zone i, were its body, with joint, insulation and top, the one given; hung: with what hangs under it. What
// belongs together with it, and what it goes through, is none. lifts are zones taken to be so much higher than they are, mm.
func (c *Check) Neighbours(i int, full body.Body, hung bool, lifts map[int32]float64) []Neighbour {
	c.Laid(scene.StraysMost)
	a := int32(i)
	var out []Neighbour
	outline := body.Outline(full)
	box := scene.BoxOf(full)
	box.Lo[2], box.Hi[2] = box.Lo[2]-neighbourReach, box.Hi[2]+neighbourReach
	c.Near(box, 0, func(j int32) {
		if j == a || c.Zone(j).ByHeight || c.SameNamedRun(a, j) || c.Belong(a, j) != measure.NoTie {
			return
		}
		other := c.Full(j)
		if by := lifts[j]; by != 0 {
			other = other.Shift(scene.Up.Mul(by))
		}
		plan := body.Shared(outline, body.Outline(other))
		span, meet := body.Span(full, other, scene.Up)
		if len(plan) == 0 || !meet || span.Lo < -c.touch-void.Hair && span.Hi > c.touch+void.Hair {
			return // beside it, or it goes through that
		}
		n := Neighbour{Bar: Bar{By: c.Zone(j).ID, Zone: int(j), Bay: book.NoZone, Structure: c.Structure(j)}, Over: span.Lo+span.Hi > 0, Plan: plan}
		if n.Clear = math.Max(0, -span.Hi); n.Over {
			n.Clear = math.Max(0, span.Lo)
		}
		out = append(out, n)
	})
	for _, j := range c.Project.BaysNear(int(c.Zone(a).Storey), full.Plan()) {
		bay := &c.Project.Bays[j]
		v := bay.Plan.Vertices()
		plan := body.Shared(outline, v[:])
		if len(plan) == 0 {
			continue
		}
		add := func(id string, over bool, clear float64) {
			if clear >= -c.touch-void.Hair && !math.IsInf(clear, 0) {
				out = append(out, Neighbour{Bar: Bar{By: id, Zone: book.NoZone, Bay: int(j), Structure: over}, Over: over, Clear: math.Max(0, clear), Plan: plan})
			}
		}
		add(bay.SoffitID(), true, bay.Soffit-scene.Highest(full, bay))
		if bay.HasCeiling {
			low := scene.Lowest(full, bay)
			if hung {
				low, _, _ = c.Under(a, full, bay)
			}
			add(bay.CeilingID(), false, low-bay.Top)
		}
	}
	slices.SortFunc(out, func(x, y Neighbour) int { return cmp.Or(cmp.Compare(x.Clear, y.Clear), void.Natural(x.By, y.By)) })
	return out
}

// GoesThrough is a beam, a wall or a slab that a zone goes through, were its body another: by an opening, or by a hole that is to be made.
type GoesThrough struct {
	Zone    int           // what it goes through
	Opening *void.Opening // by that one; nil: by the hole
	Room    float64       // least between the zone and the edge of the opening, mm
	Asked   float64       // what is to be left there, by Rule
	Rule    *rules.Rule
	Hole    finding.Hole // builder's work, as the check sizes it; not numbered
}

// Through returns what zone i goes through, were its body, with joint, insulation and top, the one given.
func (c *Check) Through(i int, full body.Body) []GoesThrough {
	c.Laid(scene.StraysMost)
	a, r := int32(i), &run{Check: c}
	h := c.Set.Reader()
	put := c.Put(a, full)
	var out []GoesThrough
	c.Near(put.Box, 0, func(j int32) {
		if !c.Structure(j) || c.Zone(j).ByHeight {
			return
		}
		e := c.Encounter(put, c.Drawn(j), h.Between(c.Trait(a), c.Trait(j)), c.touch, false)
		if e.Comes != measure.ToPassage {
			return
		}
		x := GoesThrough{Zone: int(j)}
		switch {
		case e.Passage.How == measure.Bored:
			x.Hole = r.hole(put, c.Drawn(j), &e.Passage.Bore)
			x.Hole.Trade = c.Char(a).Trade
		case e.Passage.In.O != nil:
			x.Opening, x.Room = e.Passage.In.O, math.Max(0, e.Passage.Room)
			x.Asked, x.Rule = c.MarginOf(a, j, x.Opening)
		default:
			return // the opening of a soffit, which is not this one's
		}
		out = append(out, x)
	})
	slices.SortFunc(out, func(x, y GoesThrough) int { return void.Natural(c.Zone(int32(x.Zone)).ID, c.Zone(int32(y.Zone)).ID) })
	return out
}
