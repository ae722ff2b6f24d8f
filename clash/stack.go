package clash

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"

	"voidline/clash/doubt"
	"voidline/clash/figure"
	"voidline/clash/finding"
	"voidline/clash/measure"
	"voidline/clash/rules"
	"voidline/clash/scene"
	"voidline/clash/support"
	"voidline/void"
	"voidline/void/body"
)

// LayerKind says what a layer of a stack is.
type LayerKind uint8

// What stands in a stack, from the top down.
const (
	SoffitLayer LayerKind = iota
	ZoneLayer
	HangerLayer
	BuildUpLayer
	CeilingLayer
)

// Layer is one thing over a point of the plan. Levels are above the storey's FFL, mm. Of a soffit and a
// ceiling Top and Bottom are the same.
type Layer struct {
	Kind        LayerKind
	Name, Trade string
	What, Row   string
	Top, Bottom float64
	// Gap is what is clear from Bottom to the next layer's Top, negative where they share height; valid
	// when HasGap (not between the layers of a build-up, nor under the last).
	Gap    float64
	HasGap bool
	// Asked is what a rule asks of the two, valid when HasAsked; Short what is lacking.
	Asked, Short float64
	HasAsked     bool
	Rule         string
	// Tolerance is how far off its level the thing may be built, and Built what is then left of Gap: both nil unless
	// asked for (StackBuilt). The layers of a build-up have none: they go with the ceiling.
	Tolerance *finding.Tolerance
	Built     *Built
}

// Built is what is left of a gap of a stack once the two are built. Lengths are mm; below nothing the two are in each other.
type Built struct {
	// Fixed says that the two go up and down together (one fixed tight to the other, or belonging to it): nothing is
	// taken off.
	Fixed bool
	// AtWorst is what is left when all of Off go the wrong way at once, ByRoot by the root of the sum of their squares,
	// both with the beam down. Down is what is left with the beam down before any of Off; as drawn where none comes down.
	AtWorst, ByRoot, Down float64
	Off                   []finding.Tolerance
	ComesDown             *finding.ComesDown // nil where no beam brings the upper down on the lower
}

// Stack is everything over one point of the plan in order of height.
type Stack struct {
	Bay    *void.Bay
	At     r2.Point
	Layers []Layer
	// Void is from the soffit to the top of the ceiling's build-up; valid when HasVoid. Bodies is what
	// the things in it come to, Gaps what is left.
	Void, Bodies, Gaps float64
	HasVoid            bool
	Notes              []string
}

// StackOver returns the stack over a point of a bay. A body counts with the full height of its section (with
// insulation, and with what hangs under it) over its plan; a falling one at its level over the point.
func (c *Check) StackOver(bay int, at r2.Point) Stack { return c.stack(bay, at, nil) }

// StackBuilt is StackOver with the tolerance of each thing, and what is left of each gap once it is built: the sums are those
// of doubts (see Doubt), as deep as the two are in each other already. Beams come down by their span over deflection (0: they
// do not). Where the check tells the most over all that two bodies share in plan, a stack tells what comes down at its point.
func (c *Check) StackBuilt(bay int, at r2.Point, deflection float64) Stack {
	return c.stack(bay, at, doubt.On(c.tape, c.touch, deflection))
}

// In a stack the soffit and the ceiling of the bay stand where zones have their number.
const (
	soffitHere  = -1
	ceilingHere = -2
)

// piece is one layer of a stack while it is added up: with the number of the zone that it is, or is of.
type piece struct {
	Layer
	zone int32
}

// stack adds up what is over a point, and with d what is left of it once built.
func (c *Check) stack(bay int, at r2.Point, d *doubt.Weigher) Stack {
	p := c.Project
	b := &p.Bays[bay]
	ffl := p.Storeys[b.Storey].FFL
	s := Stack{Bay: b, At: at}
	between := c.piecesOver(bay, at)
	list := append([]piece{{Layer{Kind: SoffitLayer, Name: b.SoffitID(), Row: p.FileLine(b.Row), Top: b.Soffit - ffl, Bottom: b.Soffit - ffl}, soffitHere}}, between...)
	if b.HasCeiling {
		list = append(list, piece{Layer{Kind: BuildUpLayer, Top: b.Top - ffl, Bottom: b.Top - ffl}, ceilingHere})
	}
	h := c.Set.Reader()
	for k := range len(list) - 1 {
		c.gapOf(h, &list[k], &list[k+1])
	}
	if d != nil {
		for k := range list {
			l := &list[k]
			if l.Tolerance = c.offs(d.Of(inStack(l.zone, bay))); l.HasGap {
				l.Built = c.built(d.Built(inStack(l.zone, bay), inStack(list[k+1].zone, bay), l.Gap, int32(bay), at))
			}
		}
	}
	if b.HasCeiling {
		list = append(list[:len(list)-1], c.ceilingPieces(bay, d)...)
		// What the things in the void come to: the part of the height that any of them takes.
		s.HasVoid, s.Void = true, b.Soffit-b.Top
		s.Bodies = measure.Covered(between, func(q piece) (float64, float64) { return math.Max(q.Bottom, b.Top-ffl), math.Min(q.Top, b.Soffit-ffl) })
		s.Gaps = s.Void - s.Bodies
	} else {
		why := "the bay is open: there is no ceiling to measure from"
		if b.Unsaid {
			why = "the bay's ceiling is not given: there is nothing to measure from"
		}
		s.Notes = append(s.Notes, why)
	}
	for _, l := range list {
		s.Layers = append(s.Layers, l.Layer)
	}
	return s
}

// piecesOver returns what zones, and what hangs under them, stand over a point of a bay, from the top down.
func (c *Check) piecesOver(bay int, at r2.Point) (out []piece) {
	p := c.Project
	b := &p.Bays[bay]
	ffl := p.Storeys[b.Storey].FFL
	for i := range int32(p.Zones()) {
		z := c.Zone(i)
		if !p.Stands(z, bay) || z.ByHeight && int(z.Bay) != bay || c.Char(i).Entry.Mark {
			continue
		}
		ch, row := c.Char(i), p.FileLine(z.At())
		if lo, hi, ok := over(c.Full(i), at); ok {
			if lo > b.Soffit+void.Hair && c.Structure(i) {
				continue
			}
			what := strings.TrimSpace(ch.Service + " " + ch.Kind)
			if z.Grow > 0 {
				what += fmt.Sprintf(", %.0f round it", z.Grow)
			}
			out = append(out, piece{Layer{Kind: ZoneLayer, Name: z.ID, Trade: ch.Trade, What: what, Row: row, Top: hi - ffl, Bottom: lo - ffl}, i})
		}
		if hang, ok := p.Hang(z); ok { // it may be wider than what it carries
			if lo, hi, ok := over(hang, at); ok {
				what := "hangs under it: " + p.Hangers[z.Hanger].Name
				out = append(out, piece{Layer{Kind: HangerLayer, Name: z.ID, Trade: ch.Trade, What: what, Row: row, Top: hi - ffl, Bottom: lo - ffl}, i})
			}
		}
	}
	slices.SortFunc(out, func(x, y piece) int {
		if d := y.Top + y.Bottom - x.Top - x.Bottom; math.Abs(d) > void.Hair {
			return cmp.Compare(d, 0)
		}
		return strings.Compare(x.Name, y.Name)
	})
	return out
}

// gapOf says what is clear between a layer of a stack and the next one under it, and what is asked of the two.
func (c *Check) gapOf(h *rules.Reader, l, n *piece) {
	l.HasGap, l.Gap = true, l.Bottom-n.Top
	built := func(z int32) bool { return z < 0 || c.Structure(z) }
	switch {
	case l.zone == n.zone && l.zone >= 0:
		l.HasGap = false // a service and its own hanger
		return
	case l.Kind == HangerLayer && n.zone >= 0 || n.Kind == HangerLayer && l.zone >= 0:
		// Supports have no places yet: what hangs under a service is checked against the ceiling alone, but for the
		// tiers of a frame, of which each needs its channel over the next.
		l.HasGap = l.Gap > void.Hair || l.Kind == HangerLayer && n.Kind == ZoneLayer && n.zone >= 0 && support.SameFrame(c.Zone(l.zone), c.Zone(n.zone))
		return
	case c.together(l.zone, n.zone):
		l.HasGap = l.Gap > void.Hair // what belongs together is in one place without being in the way
		return
	case built(l.zone) && built(n.zone):
		return // structure, soffit and ceiling ask nothing of each other
	}
	// The upper over the lower: seen from the lower, something stands over it.
	ch := h.Between(c.traitInStack(n.zone), c.traitInStack(l.zone))
	for _, u := range []rules.Use{ch.Over, ch.Around} {
		if u.Valid && u.Gap > 0 && (!l.HasAsked || u.Gap > l.Asked) {
			l.HasAsked, l.Asked, l.Rule = true, u.Gap, fmt.Sprintf("%s (%s)", u.Rule.Name, u.Rule.Basis)
			if u.Rule.Over > 0 {
				l.Rule += fmt.Sprintf(", where longer than %.0f", u.Rule.Over)
			}
		}
	}
	if l.HasAsked && figure.Lacks(l.Gap, l.Asked) {
		l.Short = l.Asked - l.Gap
	}
}

// traitInStack returns what rules see of a thing in a stack, by its number there.
func (c *Check) traitInStack(i int32) int32 {
	switch i {
	case soffitHere:
		return c.Set.Soffit
	case ceilingHere:
		return c.Set.Ceiling
	}
	return c.Trait(i)
}

// ceilingPieces returns the layers of a bay's build-up, from the top down, and its finished face.
func (c *Check) ceilingPieces(bay int, d *doubt.Weigher) (out []piece) {
	p := c.Project
	b := &p.Bays[bay]
	ffl := p.Storeys[b.Storey].FFL
	if b.BuildUp >= 0 {
		u, top := &p.BuildUps[b.BuildUp], b.Top-ffl
		for _, l := range slices.Backward(u.Layers) {
			what, row := "build-up "+u.Name, p.FileLine(u.Row)
			out = append(out, piece{Layer{Kind: BuildUpLayer, Name: l.Name, What: what, Row: row, Top: top, Bottom: top - l.Thickness}, ceilingHere})
			top -= l.Thickness
		}
	}
	face := Layer{Kind: CeilingLayer, Name: b.CeilingID(), Row: p.FileLine(b.Row), Top: b.Ceiling - ffl, Bottom: b.Ceiling - ffl}
	if d != nil {
		face.Tolerance = c.offs(d.Of(doubt.CeilingOf(int32(bay))))
	}
	return append(out, piece{face, ceilingHere})
}

// inStack returns what stands in a stack of a bay, by its number there.
func inStack(i int32, bay int) doubt.Thing {
	switch i {
	case soffitHere:
		return doubt.SoffitOf(int32(bay))
	case ceilingHere:
		return doubt.CeilingOf(int32(bay))
	}
	return doubt.OfZone(i)
}

// built says in names what is left of a gap.
func (c *Check) built(x doubt.Built) *Built {
	return &Built{Fixed: x.Fixed, AtWorst: x.Worst, ByRoot: x.RSS, Down: x.BeamDown, Off: c.offsOf(x.Off), ComesDown: c.comesDown(x.Left.Down)}
}

// together reports whether the check excuses two neighbours of a stack: what is set into the ceiling, and what meets.
func (c *Check) together(a, b int32) bool {
	if b == ceilingHere {
		return a >= 0 && c.Zone(a).Recessed
	}
	return a >= 0 && c.Together(a, b, c.touch)
}

// over returns the levels that a body covers over a point, with the full height of its section; false
// where it is not over the point.
func over(b body.Body, at r2.Point) (lo, hi float64, ok bool) {
	if !b.Plan().ContainsPoint(at) {
		return 0, 0, false
	}
	if b.Round && b.Along.X == 0 && b.Along.Y == 0 {
		if math.Hypot(at.X-b.Centre.X, at.Y-b.Centre.Y) > b.W+void.Hair {
			return 0, 0, false
		}
		h := b.Height()
		return h.Lo, h.Hi, true
	}
	point := body.Cylinder(r3.Vector{X: at.X, Y: at.Y, Z: b.Centre.Z}, r3.Vector{X: at.X, Y: at.Y, Z: b.Centre.Z}, 0)
	s, ok := body.Span(point, measure.Boxed(b), scene.Up)
	if !ok {
		return 0, 0, false
	}
	return b.Centre.Z + s.Lo, b.Centre.Z + s.Hi, true
}
