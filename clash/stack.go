package clash

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"

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
func (c *Check) StackOver(bay int, at r2.Point) Stack {
	p := c.p
	b := &p.Bays[bay]
	ffl := p.Storeys[b.Storey].FFL
	s := Stack{Bay: b, At: at}
	type piece struct {
		Layer
		zone int32
	}
	var mids []piece
	for i := int32(0); i < int32(p.Zones()); i++ {
		z := c.zone(i)
		if int(z.Storey) != b.Storey {
			continue
		}
		if z.ByHeight && int(z.Bay) != bay || c.char(i).Entry.Mark {
			continue
		}
		lo, hi, ok := over(c.full(i), at)
		if !ok || lo > b.Soffit+void.Hair && c.structure(i) {
			continue
		}
		ch := c.char(i)
		what := strings.TrimSpace(ch.Service + " " + ch.Kind)
		if z.Grow > 0 {
			what += fmt.Sprintf(", %.0f round it", z.Grow)
		}
		row := p.FileLine(z.At())
		mids = append(mids, piece{Layer{Kind: ZoneLayer, Name: z.ID, Trade: ch.Trade, What: what, Row: row, Top: hi - ffl, Bottom: lo - ffl}, i})
		if hang, ok := p.Hang(z); ok {
			if hlo, hhi, ok := over(hang, at); ok {
				h := &p.Hangers[z.Hanger]
				mids = append(mids, piece{Layer{
					Kind: HangerLayer, Name: z.ID, Trade: ch.Trade, What: "hangs under it: " + h.Name, Row: row, Top: hhi - ffl, Bottom: hlo - ffl,
				}, i})
			}
		}
	}
	slices.SortFunc(mids, func(x, y piece) int {
		if d := y.Top + y.Bottom - x.Top - x.Bottom; math.Abs(d) > void.Hair {
			if d < 0 {
				return -1
			}
			return 1
		}
		return strings.Compare(x.Name, y.Name)
	})
	h := c.chooser()
	list := append([]piece{{Layer{Kind: SoffitLayer, Name: b.SoffitID(), Row: p.FileLine(b.Row), Top: b.Soffit - ffl, Bottom: b.Soffit - ffl}, -1}}, mids...)
	bottom := math.Inf(-1)
	if b.HasCeiling {
		bottom = b.Top - ffl
		list = append(list, piece{Layer{Kind: BuildUpLayer, Top: bottom, Bottom: bottom}, -2})
	}
	trait := func(z int32) int32 {
		switch z {
		case -1:
			return c.soffitTrait
		case -2:
			return c.ceilingTrait
		}
		return c.trait(z)
	}
	built := func(z int32) bool { return z < 0 || c.structure(z) }
	for k := range list {
		l := &list[k]
		if k+1 == len(list) {
			break
		}
		n := &list[k+1]
		l.HasGap, l.Gap = true, l.Bottom-n.Top
		if l.zone == n.zone && l.zone >= 0 {
			l.HasGap = false // a service and its own hanger
			continue
		}
		if l.Kind == HangerLayer && n.zone >= 0 || n.Kind == HangerLayer && l.zone >= 0 {
			// Supports have no places yet: what hangs under a service is checked against the ceiling alone.
			l.HasGap = l.Gap > void.Hair
			continue
		}
		if c.together(l.zone, n.zone) {
			l.HasGap = l.Gap > void.Hair // what belongs together is in one place without being in the way
			continue
		}
		if built(l.zone) && built(n.zone) {
			continue // structure, soffit and ceiling ask nothing of each other
		}
		// The upper over the lower: seen from the lower, something stands over it.
		ch := h.of(trait(n.zone), trait(l.zone))
		for _, u := range []use{ch.over, ch.around} {
			if u.valid && u.gap > 0 && (!l.HasAsked || u.gap > l.Asked) {
				l.HasAsked, l.Asked, l.Rule = true, u.gap, fmt.Sprintf("%s (%s)", u.rule.Name, u.rule.Basis)
				if u.rule.Over > 0 {
					l.Rule += fmt.Sprintf(", where longer than %.0f", u.rule.Over)
				}
			}
		}
		if l.HasAsked {
			l.Short = math.Max(0, l.Asked-l.Gap)
		}
	}
	if b.HasCeiling {
		list = list[:len(list)-1]
		if b.BuildUp >= 0 {
			u := &p.BuildUps[b.BuildUp]
			top := b.Top - ffl
			for k := len(u.Layers) - 1; k >= 0; k-- {
				l := u.Layers[k]
				list = append(list, piece{Layer{
					Kind: BuildUpLayer, Name: l.Name, What: "build-up " + u.Name, Row: p.FileLine(u.Row), Top: top, Bottom: top - l.Thickness,
				}, -2})
				top -= l.Thickness
			}
		}
		list = append(list, piece{Layer{Kind: CeilingLayer, Name: b.CeilingID(), Row: p.FileLine(b.Row), Top: b.Ceiling - ffl, Bottom: b.Ceiling - ffl}, -2})
		s.HasVoid, s.Void = true, b.Soffit-b.Top
		// What the things in the void come to: the part of the height that any of them takes.
		s.Bodies = covered(mids, func(q piece) (float64, float64) { return math.Max(q.Bottom, bottom), math.Min(q.Top, b.Soffit-ffl) })
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

// together reports whether the check excuses two neighbours of a stack: what is set into the ceiling, and
// what meets. -1 is the soffit, -2 the ceiling.
func (c *Check) together(a, b int32) bool {
	if b == -2 {
		return a >= 0 && c.zone(a).Recessed
	}
	if a < 0 || c.zone(a).ByHeight || c.zone(b).ByHeight {
		return false
	}
	why := c.belong(a, b)
	if why == "" {
		return false
	}
	A, B, left, met := c.apart(a, b, why)
	if !met || !left {
		return met
	}
	v := judge(A, B, c.choiceOf(c.trait(a), c.trait(b)), c.opt.Touch, false)
	return !v.any()
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
	s, ok := body.Span(point, boxed(b), up)
	if !ok {
		return 0, 0, false
	}
	return b.Centre.Z + s.Lo, b.Centre.Z + s.Hi, true
}

// covered returns the length of the union of intervals; empty ones count nothing.
func covered[T any](list []T, of func(T) (lo, hi float64)) float64 {
	type iv struct{ lo, hi float64 }
	var ivs []iv
	for _, x := range list {
		if lo, hi := of(x); hi > lo {
			ivs = append(ivs, iv{lo, hi})
		}
	}
	slices.SortFunc(ivs, func(a, b iv) int {
		if a.lo < b.lo {
			return -1
		}
		if a.lo > b.lo {
			return 1
		}
		return 0
	})
	sum, at := 0.0, math.Inf(-1)
	for _, v := range ivs {
		if v.hi > at {
			sum += v.hi - math.Max(v.lo, at)
			at = v.hi
		}
	}
	return sum
}
