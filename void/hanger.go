package void

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"

	"voidline/void/body"
	"voidline/void/catalogue"
)

// add adds a part; what is inside the channel adds no height.
func (h *Hanger) add(part HangerPart) {
	h.Parts = append(h.Parts, part)
	if part.Inside {
		return
	}
	h.Width = math.Max(h.Width, part.Width)
	if part.Over {
		h.Over += part.Height
		return
	}
	h.Under += part.Height
	h.UnderWidth = math.Max(h.UnderWidth, part.Width)
}

// hung takes what a row says of rods and of what they hang from; the first row that says it counts.
func (p *Project) hung(h *Hanger, r *HangerRow) {
	if n := int(r.Rods.Value); n > 0 {
		switch {
		case h.Rods == 0:
			h.Rods = n
		case h.Rods != n:
			p.warn(r.At, "rods", fmt.Sprintf("%d rods, but %d in a row before", n, h.Rods), "one number a hanger", "")
		}
	}
	from := fold(r.From.Text)
	if from == "beam" {
		from = "beam flange"
	}
	switch {
	case from == "" || !isFrom(from):
	case h.From == "":
		h.From = from
	case h.From != from:
		p.warn(r.At, "from", fmt.Sprintf("hangs from %s, but from %s in a row before", from, h.From), "one thing a hanger hangs from", "")
	}
}

func isFrom(word string) bool {
	for _, w := range hangFrom {
		if w == word {
			return true
		}
	}
	return false
}

// builtInHanger returns a hanger of the catalogue as a project has it.
func builtInHanger(b catalogue.Hanger) Hanger {
	h := Hanger{Name: b.Name, From: b.From, Rods: b.Rods, Rod: b.Rod}
	for _, part := range b.Parts {
		h.add(HangerPart{Name: part.Name, Height: part.Height, Width: part.Width, Over: b.Over, Inside: part.Inside})
	}
	h.Width, h.UnderWidth = 0, 0 // of its parts alone: the channel is as long as the service wants it
	return h
}

// rodOf reads the diameter of a hanger's rods, mm, out of its name or the names of its parts; 0 where none says it.
func rodOf(h *Hanger) float64 {
	size := func(name string) float64 {
		for _, w := range strings.FieldsFunc(strings.ToUpper(name), func(r rune) bool { return !('0' <= r && r <= '9' || 'A' <= r && r <= 'Z') }) {
			switch w {
			case "M6":
				return 6
			case "M8":
				return 8
			case "M10":
				return 10
			case "M12":
				return 12
			case "M16":
				return 16
			}
		}
		return 0
	}
	if d := size(h.Name); d > 0 {
		return d
	}
	for _, part := range h.Parts {
		if d := size(part.Name); d > 0 {
			return d
		}
	}
	return 0
}

// isChannel reports whether a part is a channel that others may sit in.
func (part *HangerPart) isChannel() bool {
	name := fold(part.Name)
	return !part.Inside && (strings.Contains(name, "channel") || strings.Contains(name, "strut"))
}

// fitInside warns where the parts inside a hanger's channel do not go into it. A part of height 0 is as high as its
// name says, where the name is known (nut M10, large washer M10, plate washer, one thread); else it takes none.
func (p *Project) fitInside(h *Hanger) {
	var in *HangerPart
	for i := range h.Parts {
		if part := &h.Parts[i]; part.isChannel() {
			in = part
			break
		}
	}
	var heights []float64
	var names []string
	plate, widest := 0.0, ""
	for i := range h.Parts {
		part := &h.Parts[i]
		if !part.Inside {
			continue
		}
		high, wide := part.Height, part.Width
		if known, ok := catalogue.PartByName(part.Name, h.Rod); ok {
			if high == 0 {
				high = known.Height
			}
			if wide == 0 {
				wide = known.Width
			}
		}
		if wide > plate {
			plate, widest = wide, part.Name
		}
		if high > 0 {
			heights = append(heights, high)
			names = append(names, fmt.Sprintf("%s %g", part.Name, high))
		}
	}
	if in == nil || len(heights) == 0 && plate == 0 {
		return
	}
	across, high := catalogue.ChannelInside(0, in.Height)
	if _, why := catalogue.Fits(across, high, plate); why != "" {
		p.warn(h.Row, "hanger", fmt.Sprintf("%q: %s, %g wide, does not go into its channel, %g between the sides", h.Name, widest, plate, across),
			"round washers inside, or the plate under the channel", "")
	}
	if _, why := catalogue.Fits(across, high, 0, heights...); why != "" {
		sum := 0.0
		for _, v := range heights {
			sum += v
		}
		sum = math.Round(sum*1000) / 1000
		p.warn(h.Row, "hanger", fmt.Sprintf("%q: %s take %g inside its channel, which is %g high", h.Name, strings.Join(names, " + "), sum, high),
			"parts that go in, or some of them under the channel", "")
	}
}

// SteelAt returns the beam, joist, truss or purlin of a storey whose underside over a plan point is the lowest above a level,
// and that underside; false where none is over the point.
func (p *Project) SteelAt(storey int, at r2.Point, above float64) (zone int32, under float64, ok bool) {
	if storey >= len(p.beamTiles) {
		return 0, 0, false
	}
	var scratch [16]int32
	under = math.Inf(1)
	for _, j := range p.beamTiles[storey].near(r2.RectFromPoints(at), scratch[:0]) {
		if !p.isBeam(j, storey) {
			continue
		}
		b := p.Zone(int(j)).Bare()
		if !b.Plan().ContainsPoint(at) {
			continue
		}
		foot := body.Cylinder(r3.Vector{X: at.X, Y: at.Y, Z: above}, r3.Vector{X: at.X, Y: at.Y, Z: above + 1}, 0)
		v, meets := body.Span(foot, b, r3.Vector{Z: 1})
		if !meets {
			continue
		}
		// Shifted up by v.Lo the head of the point's foot touches the underside.
		u := above + 1 + v.Lo
		if u < above-Hair {
			continue
		}
		if u < under-Hair || u < under+Hair && ok && Natural(p.Zone(int(j)).ID, p.Zone(int(zone)).ID) < 0 {
			zone, under, ok = j, u, true
		}
	}
	return zone, under, ok
}

// SoffitAt returns the bay of a storey whose soffit is over a plan point, of several the lowest that is no lower than a level, and the
// soffit's level; where all are lower than that, the highest of them. On the edge of two bays it is the lower. ok is false
// outside every bay.
func (p *Project) SoffitAt(storey int, at r2.Point, above float64) (bay int32, soffit float64, ok bool) {
	if storey >= len(p.bayTiles) {
		return 0, 0, false
	}
	var scratch [16]int32
	for _, j := range p.bayTiles[storey].near(r2.RectFromPoints(at), scratch[:0]) {
		b := &p.Bays[j]
		if !b.Plan.Expanded(r2.Point{X: Hair, Y: Hair}).ContainsPoint(at) {
			continue
		}
		over, was := b.Soffit >= above-Hair, soffit >= above-Hair
		better := b.Soffit < soffit == over
		if b.Soffit == soffit {
			better = ok && Natural(b.Label, p.Bays[bay].Label) < 0
		}
		if !ok || over && !was || over == was && better {
			bay, soffit, ok = j, b.Soffit, true
		}
	}
	return bay, soffit, ok
}

// SteelNear returns the beams, joists, trusses and purlins of a storey that may lie over a plan rectangle.
func (p *Project) SteelNear(storey int, plan r2.Rect) []int32 {
	if storey >= len(p.beamTiles) {
		return nil
	}
	return slices.DeleteFunc(p.beamTiles[storey].near(plan, nil), func(i int32) bool { return !p.isBeam(i, storey) })
}
