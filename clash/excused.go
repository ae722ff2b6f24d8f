package clash

import (
	"math"

	"voidline/clash/figure"
	"voidline/clash/finding"
	"voidline/clash/measure"
)

// tieWords are the words for why a pair is excused.
var tieWords = [measure.Ties]string{
	measure.SameRun:    "pieces of one run that meet",
	measure.SameTrade:  "rows of one trade and service that meet",
	measure.NamedJoin:  "rows that name each other in joins",
	measure.EndsAtUnit: "an end at a unit, diffuser, damper, valve, head or light fitting",
	measure.SetInto:    "set into the ceiling it meets",
	measure.MadeWay:    "through an opening made for it",
	measure.DropsInto:  "comes down to something set into the ceiling",
	measure.Connected:  "what connects to it by the table of connections",
}

// namedExcuse is an excuse with the names of the two, by which it is put in order.
type namedExcuse struct {
	excuse
	a, b string
}

// withNames names the two of an excuse.
func (r *run) withNames(x excuse) namedExcuse {
	var a, b string
	switch x.of {
	case ofLevel:
		bay := &r.Project.Bays[x.b]
		a, b = r.Zone(x.a).ID, bay.CeilingID()
		if x.why == measure.MadeWay && r.Full(x.a).Height().Center() > (bay.Ceiling+bay.Soffit)/2 {
			b = bay.SoffitID()
		}
	case ofSpace:
		a, b = r.Zone(r.Project.Spaces[x.a].For).ID, r.Zone(x.b).ID
	default:
		a, b = r.Zone(x.a).ID, r.Zone(x.b).ID
	}
	if x.of != ofLevel && b < a {
		a, b = b, a
	}
	return namedExcuse{x, a, b}
}

// excusedPair says how deep the two of an excuse are in each other.
func (r *run) excusedPair(n *namedExcuse) finding.ExcusedPair {
	x := n.excuse
	p := finding.ExcusedPair{A: n.a, B: n.b, Why: tieWords[x.why]}
	switch x.of {
	case ofLevel:
		bay, h := &r.Project.Bays[x.b], r.Full(x.a).Height()
		if n.b == bay.SoffitID() {
			p.Depth = math.Max(0, h.Hi-bay.Soffit)
		} else {
			p.Depth = math.Max(0, bay.Top-h.Lo)
		}
	case ofSpace:
		p.Depth = measure.DeepIn(r.Project.Spaces[x.a].Body, r.Full(x.b))
	default:
		p.Depth = measure.DeepIn(r.Full(x.a), r.Full(x.b))
		if z, o := r.Zone(x.a), r.Zone(x.b); z.ByHeight || o.ByHeight {
			p.Depth = math.Max(0, r.Full(x.a).Height().Intersection(r.Full(x.b).Height()).Length())
		}
	}
	p.Depth = figure.Tenth(p.Depth)
	return p
}
