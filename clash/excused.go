package clash

import (
	"math"

	"voidline/clash/figure"
)

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
		bay := &r.p.Bays[x.b]
		a, b = r.zone(x.a).ID, bay.CeilingID()
		if x.why == madeWay && r.full(x.a).Height().Center() > (bay.Ceiling+bay.Soffit)/2 {
			b = bay.SoffitID()
		}
	case ofSpace:
		a, b = r.zone(r.p.Spaces[x.a].For).ID, r.zone(x.b).ID
	default:
		a, b = r.zone(x.a).ID, r.zone(x.b).ID
	}
	if x.of != ofLevel && b < a {
		a, b = b, a
	}
	return namedExcuse{x, a, b}
}

// excusedPair says how deep the two of an excuse are in each other.
func (r *run) excusedPair(n *namedExcuse) ExcusedPair {
	x := n.excuse
	p := ExcusedPair{A: n.a, B: n.b, Why: tieWords[x.why]}
	switch x.of {
	case ofLevel:
		bay, h := &r.p.Bays[x.b], r.full(x.a).Height()
		if n.b == bay.SoffitID() {
			p.Depth = math.Max(0, h.Hi-bay.Soffit)
		} else {
			p.Depth = math.Max(0, bay.Top-h.Lo)
		}
	case ofSpace:
		p.Depth = deepIn(r.p.Spaces[x.a].Body, r.full(x.b))
	default:
		p.Depth = deepIn(r.full(x.a), r.full(x.b))
		if z, o := r.zone(x.a), r.zone(x.b); z.ByHeight || o.ByHeight {
			p.Depth = math.Max(0, r.full(x.a).Height().Intersection(r.full(x.b).Height()).Length())
		}
	}
	p.Depth = figure.Tenth(p.Depth)
	return p
}
