package support

import (
	"math"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"

	"voidline/clash/finding"
	"voidline/void"
	"voidline/void/body"
)

// Cut is what a plane cuts of one support.
type Cut struct {
	Zone  int // the row
	N     int // which of the row's supports, from 1
	Parts []CutPart
}

// CutPart is one body of a support, cut.
type CutPart struct {
	What What
	Cut  body.Section
}

// Outline is one support from above.
type Outline struct {
	Zone     int // the row
	N        int // which of the row's supports, from 1
	Outlines [][]r2.Point
}

// Cut returns what the plane of a section cuts of the supports of its bay's storey, where the section is shown. Of no plan that is
// nothing.
func (pl *Plan) Cut(s void.Section) []Cut {
	if pl == nil {
		return nil
	}
	var out []Cut
	var list []Support
	var parts []Part
	for i := range pl.p.Zones() {
		z := pl.p.Zone(i)
		if z.Gone || z.Storey != int32(pl.p.Bays[s.Bay].Storey) || !pl.Has(i) || !meets(s, z.Full().Plan().ExpandedByMargin(pl.reach())) {
			continue
		}
		list = pl.append(list[:0], i)
		for k := range list {
			lo, hi := list[k].Box()
			if !meets(s, r2.RectFromPoints(r2.Point{X: lo.X, Y: lo.Y}, r2.Point{X: hi.X, Y: hi.Y})) {
				continue
			}
			u := Cut{Zone: i, N: list[k].N}
			parts = list[k].Bodies(parts[:0])
			for _, part := range parts {
				if c, ok := body.Cut(part.Body, s.Plane); ok && c.Area() > 0 {
					u.Parts = append(u.Parts, CutPart{part.What, c})
				}
			}
			if len(u.Parts) > 0 {
				out = append(out, u)
			}
		}
	}
	return out
}

// meets reports whether a section may cut something with this plan.
func meets(s void.Section, plan r2.Rect) bool {
	near, far := math.Inf(1), math.Inf(-1)
	along := r1.EmptyInterval()
	for _, v := range plan.Vertices() {
		q := r3.Vector{X: v.X, Y: v.Y}
		d := s.Plane.Beyond(q)
		near, far = math.Min(near, d), math.Max(far, d)
		along = along.AddPoint(s.Plane.Along(q))
	}
	return near <= 0 && far >= 0 && along.Intersects(s.Shown)
}

// FromAbove returns the outlines in plan of supports by their numbers; what does not stand in the plan is left out.
func (pl *Plan) FromAbove(nos []finding.SupportNo) []Outline {
	if pl == nil {
		return nil
	}
	var out []Outline
	for _, no := range nos {
		i, ok := pl.p.ZoneByID(no.Row)
		if !ok {
			continue
		}
		for _, s := range pl.Zone(i) {
			if s.N != no.Number {
				continue
			}
			u := Outline{Zone: i, N: s.N}
			for _, part := range s.Bodies(nil) {
				u.Outlines = append(u.Outlines, body.Outline(part.Body))
			}
			out = append(out, u)
		}
	}
	return out
}
