package clash

import (
	"math"

	"voidline/clash/book"
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
	book.Excuse
	a, b string
}

// withNames names the two of an excuse.
func (r *run) withNames(x book.Excuse) namedExcuse {
	var a, b string
	switch x.Of {
	case book.OfLevel:
		bay := &r.Project.Bays[x.B]
		a, b = r.Zone(x.A).ID, bay.CeilingID()
		if x.Why == measure.MadeWay && r.Full(x.A).Height().Center() > (bay.Ceiling+bay.Soffit)/2 {
			b = bay.SoffitID()
		}
	case book.OfSpace:
		a, b = r.Zone(r.Project.Spaces[x.A].For).ID, r.Zone(x.B).ID
	default:
		a, b = r.Zone(x.A).ID, r.Zone(x.B).ID
	}
	if x.Of != book.OfLevel && b < a {
		a, b = b, a
	}
	return namedExcuse{x, a, b}
}

// excusedPair says how deep the two of an excuse are in each other.
func (r *run) excusedPair(n *namedExcuse) finding.ExcusedPair {
	x := n.Excuse
	p := finding.ExcusedPair{A: n.a, B: n.b, Why: tieWords[x.Why]}
	switch x.Of {
	case book.OfLevel:
		bay, h := &r.Project.Bays[x.B], r.Full(x.A).Height()
		if n.b == bay.SoffitID() {
			p.Depth = math.Max(0, h.Hi-bay.Soffit)
		} else {
			p.Depth = math.Max(0, bay.Top-h.Lo)
		}
	case book.OfSpace:
		p.Depth = measure.DeepIn(r.Project.Spaces[x.A].Body, r.Full(x.B))
	default:
		p.Depth = measure.DeepIn(r.Full(x.A), r.Full(x.B))
		if z, o := r.Zone(x.A), r.Zone(x.B); z.ByHeight || o.ByHeight {
			p.Depth = math.Max(0, r.Full(x.A).Height().Intersection(r.Full(x.B).Height()).Length())
		}
	}
	p.Depth = figure.Tenth(p.Depth)
	return p
}
