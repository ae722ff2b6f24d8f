package clash

import (
	"math"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"

	"voidline/clash/book"
	"voidline/clash/figure"
	"voidline/clash/finding"
	"voidline/clash/measure"
	"voidline/clash/rules"
	"voidline/void/body"
)

// Kinds of access besides those of access spaces, in the words that ids are made of: they stay, whatever a rule is called.
const (
	accessReach  = "reach from a hatch"
	accessFixing = "nothing may be fixed here"
	accessHang   = "rods want something over them"
)

// brief is what a verdict on a pair comes to before it is worded; A and B are what was measured of the two. It says the
// same as finding.
func (r *run) brief(a, b int32, A, B body.Body, v *measure.Verdict, byHeight bool) book.Hit {
	h := book.Hit{A: a, B: b, ID: finding.PairID(r.Zone(a).ID, r.Zone(b).ID), Kind: finding.Severity(finding.Tight)}
	basis := rules.Geometry
	if v.N > 0 {
		main := v.Main()
		basis = main.Rule.Basis
		h.Short = main.Short()
		if v.Overlap {
			h.Short = main.Asked + v.Depth()
		}
		if !main.OfA {
			a, b, A, B = b, a, B, A
		}
	} else {
		h.Short = v.Depth()
	}
	if v.Overlap {
		h.Kind = finding.Severity(finding.Overlap)
	}
	h.Short = figure.Tenth(h.Short)
	h.Cost = r.costOf(finding.KindOf(h.Kind), basis, h.A, h.B)
	h.Storey = r.Zone(r.teller(a, b)).Storey
	if j, ok := r.bayRound(int(h.Storey), A, B, math.Max(v.Gap, v.Main().Gap), byHeight); ok {
		h.Bay = int32(j)
		return h
	}
	storey, bay := r.toldIn(r.spotOf(a, b, A, B, v, byHeight), a, b)
	h.Storey, h.Bay = int32(storey), int32(bay)
	return h
}

// bayRound returns the bay of a finding where any place that it may have is in that bay. The spot lies between a point
// of the one and a point of the other that are no more than the gap apart.
func (r *run) bayRound(storey int, a, b body.Body, gap float64, byHeight bool) (int, bool) {
	if byHeight {
		return 0, false
	}
	g := r2.Point{X: gap + 2*measure.AsNear, Y: gap + 2*measure.AsNear}
	within := a.Plan().Expanded(g).Intersection(b.Plan().Expanded(g))
	if within.IsEmpty() {
		return 0, false
	}
	return r.Project.BayRound(storey, within)
}

// spotOf returns where a finding of two zones is.
func (r *run) spotOf(a, b int32, A, B body.Body, v *measure.Verdict, byHeight bool) r3.Vector {
	at := measure.PlaceOf(A, B, v)
	if byHeight {
		// The place is the middle of the part of the bay that the row with a place takes.
		row, bay := a, r.Zone(b).Bay
		if r.Zone(a).ByHeight {
			row, bay = b, r.Zone(a).Bay
		}
		over := measure.OverBay(r.Full(row), &r.Project.Bays[bay])
		at.X, at.Y = over.X, over.Y
	}
	return at
}

// teller returns which of two zones a finding between them is told by: that which is no structure, of two such the one of
// the lower storey. A column that stands through storeys is met where the service is.
func (c *Check) teller(a, b int32) int32 {
	if sa, sb := c.Structure(a), c.Structure(b); sa != sb {
		if sa {
			return b
		}
		return a
	}
	if x, y := c.Zone(a).Storey, c.Zone(b).Storey; x != y && c.Project.Storeys[y].FFL < c.Project.Storeys[x].FFL {
		return b
	}
	return a
}

// toldIn returns the storey and the bay, book.NoBay for none, that a finding of one or two zones at a place is told in: those of
// its teller, else, where the place lies in no bay of that storey, of the other.
func (c *Check) toldIn(at r3.Vector, zones ...int32) (storey, bay int) {
	first, last := zones[0], zones[len(zones)-1]
	if c.teller(first, last) == last {
		first, last = last, first
	}
	for _, i := range [2]int32{first, last} {
		s := int(c.Zone(i).Storey)
		if j, ok := c.BayAt(s, r2.Point{X: at.X, Y: at.Y}); ok {
			return s, j
		}
	}
	for _, i := range [2]int32{first, last} {
		if z := c.Zone(i); z.ByHeight {
			return int(z.Storey), int(z.Bay)
		}
	}
	return int(c.Zone(first).Storey), book.NoBay
}

// hitOf returns the hit of a worded finding, which is worked out once.
func (r *run) hitOf(p *book.Placed) book.Hit {
	if p.Hit.Worded == nil {
		p.Hit = r.briefOf(&p.Finding)
	}
	return p.Hit
}

// briefOf is the hit of a worded finding.
func (r *run) briefOf(f *finding.Finding) book.Hit {
	h := book.Hit{
		ID: f.IDNumber(), Short: f.Short, A: -1, B: -1, Worded: f, Bay: book.NoBay, Kind: finding.Severity(f.Kind), Cost: f.CostClass(),
		Practice: f.Kind == finding.Access && f.Basis == rules.Practice, Storey: math.MaxInt32,
	}
	if f.Bay != nil {
		h.Bay = r.bayNamed(*f.Bay)
	}
	if j, ok := r.storeyNamed(f.Storey); ok {
		h.Storey = int32(j)
	}
	return h
}
