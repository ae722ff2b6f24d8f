package doubt

import (
	"math"
	"slices"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"

	"voidline/clash/measure"
	"voidline/clash/rules"
	"voidline/clash/support"
	"voidline/clash/tolerance"
	"voidline/void"
	"voidline/void/body"
)

// tile is a square of a storey's plan.
type tile struct {
	storey, x, y int32
}

const tileSteel = 6000.0 // mm

// beamSpan is a part of a beam between two supports, by station (-1 at the start of the row, 1 at its end).
type beamSpan struct {
	lo, hi float64
	mm     float64
}

// ready lays beams and slabs into tiles, and cuts beams at the columns under them.
func (d *Weigher) ready() {
	d.steel, d.spans = map[tile][]int32{}, map[int32][]beamSpan{}
	columns := map[tile][]int32{}
	for i := range int32(d.Project.Zones()) {
		if d.Boxes[i].Gone() || !d.Structure(i) {
			continue
		}
		to := d.steel
		if d.Char(i).Kind == "column" {
			to = columns
		} else if d.Zone(i).Upright {
			continue // a wall or a post carries nothing that hangs
		}
		tilesUnder(d.Zone(i).Storey, d.Full(i).Plan(), func(t tile) { to[t] = append(to[t], i) })
	}
	if d.ratio == 0 {
		return
	}
	for i := range int32(d.Project.Zones()) {
		if z := d.Zone(i); !d.Boxes[i].Gone() && d.Structure(i) && d.Char(i).Entry.Beam && !z.Item && !z.Upright && !z.ByHeight {
			d.spans[i] = d.cut(i, columns)
			for _, s := range d.spans[i] {
				d.most = math.Max(d.most, s.mm/d.ratio)
			}
		}
	}
}

// tilesUnder calls for every tile that a plan lies over.
func tilesUnder(storey int32, plan r2.Rect, call func(tile)) {
	at := func(v float64) int32 { return int32(math.Floor(v / tileSteel)) }
	for x := at(plan.X.Lo); x <= at(plan.X.Hi); x++ {
		for y := at(plan.Y.Lo); y <= at(plan.Y.Hi); y++ {
			call(tile{storey, x, y})
		}
	}
}

// inTiles returns the zones of an index whose tiles a plan lies over, ascending.
func inTiles(index map[tile][]int32, storey int32, plan r2.Rect) []int32 {
	var out []int32
	tilesUnder(storey, plan, func(t tile) { out = append(out, index[t]...) })
	slices.Sort(out)
	return slices.Compact(out)
}

// cut returns the spans of a beam between its ends and the columns that stand under it.
func (d *Weigher) cut(i int32, columns map[tile][]int32) []beamSpan {
	b := d.Full(i)
	under, n2 := b.Height().Lo, b.Along.Norm2()
	at := []float64{-1, 1}
	for _, k := range inTiles(columns, d.Zone(i).Storey, b.Plan()) {
		c := d.Full(k)
		if h := c.Height(); h.Lo > under-void.Hair || h.Hi < under-rules.MeetEnds || body.PlanOverlap(b, c) <= void.Hair {
			continue // it stands on the beam, or stops under it
		}
		if s := c.Centre.Sub(b.Centre).Dot(r3.Vector{X: b.Along.X, Y: b.Along.Y}) / n2; s > -1 && s < 1 {
			at = append(at, s)
		}
	}
	slices.Sort(at)
	var out []beamSpan
	for k := range at[1:] {
		if mm := (at[k+1] - at[k]) * math.Sqrt(n2); mm > void.Hair {
			out = append(out, beamSpan{at[k], at[k+1], mm})
		}
	}
	return out
}

// FlangeReach is how far beside a flange a clamp and its bracket reach, mm (common practice, no source): what hangs there comes down with the beam.
const FlangeReach = 300.0

// hangs reports whether a zone hangs from what is above it. Everything in a void does that is no structure, is not set
// into the ceiling and does not stand through levels, whether its row names a hanger or not; but not what is bracketed from
// a wall.
func (d *Weigher) hangs(i int32) bool {
	z := d.Zone(i)
	if d.Structure(i) || z.Recessed || z.Hanger >= 0 && d.Project.Hangers[z.Hanger].From == support.FromWall {
		return false
	}
	if !z.Upright {
		return true
	}
	// A drop within the void hangs with what it drops from.
	h := d.Full(i).Height()
	for _, j := range z.Bays() {
		if bay := &d.Project.Bays[j]; !bay.HasCeiling || h.Lo < bay.Top-void.Hair || h.Hi > bay.Soffit+void.Hair {
			return false
		}
	}
	return len(z.Bays()) > 0
}

// down returns how far a beam comes down over the plans of all of the bodies: the most, or the least, of it.
func (d *Weigher) down(beam int32, least bool, over ...body.Body) (Down, bool) {
	b := d.Full(beam)
	lo, hi := -1.0, 1.0
	for _, o := range over {
		if body.PlanOverlap(b, o) <= void.Hair {
			return Down{}, false
		}
		l, h, ok := body.Stretch(measure.Flat(b), measure.Flat(o), void.Hair)
		if lo, hi = math.Max(lo, l), math.Min(hi, h); !ok || lo > hi {
			return Down{}, false
		}
	}
	best, found := Down{Beam: beam}, false
	for _, s := range d.spans[beam] {
		if s.hi < lo || s.lo > hi {
			continue
		}
		part := func(t float64) float64 { return math.Min(1, math.Max(0, (t-s.lo)/(s.hi-s.lo))) }
		by := tolerance.Most(s.mm, d.ratio, part(lo), part(hi))
		if least {
			by = tolerance.Least(s.mm, d.ratio, part(lo), part(hi))
		}
		if !found || least && by < best.By || !least && by > best.By {
			best.By, best.Span, found = by, s.mm, true
		}
	}
	return best, found
}

// carried returns how far what carries a zone comes down at most over the plans of the bodies; nil for not at all. F is
// what is measured of the zone.
func (d *Weigher) carried(i int32, F body.Body, over ...body.Body) *Down {
	if d.most == 0 {
		return nil
	}
	if _, is := d.spans[i]; is {
		if c, ok := d.down(i, false, over...); ok && c.By > 0 {
			return &c
		}
		return nil
	}
	if !d.hangs(i) {
		return nil
	}
	over = append([]body.Body{F}, over...)
	if z := d.Zone(i); z.Hanger >= 0 && support.OnSteel(d.Project.Hangers[z.Hanger].From) {
		for k := range over {
			over[k].W += FlangeReach
		}
	}
	var most *Down
	for _, k := range inTiles(d.steel, d.Zone(i).Storey, over[0].Plan()) {
		if _, is := d.spans[k]; !is || d.Full(k).Height().Hi <= F.Height().Hi+void.Hair {
			continue // not over it
		}
		if c, ok := d.down(k, false, over...); ok && c.By > 0 && (most == nil || c.By > most.By || c.By == most.By && d.Zone(c.Beam).ID < d.Zone(most.Beam).ID) {
			most = &c
		}
	}
	return most
}

// sink returns what brings zone a, over the plan that it shares with what is under it, down on that: zone b, or where b is
// below 0 the ceiling of a bay whose plan is B.
func (d *Weigher) sink(a, b int32, A, B body.Body) *Down {
	if b >= 0 && d.hangs(b) {
		return nil // what is over that place brings both down
	}
	c := d.carried(a, A, B)
	if c == nil || b < 0 {
		return c
	}
	if _, is := d.spans[b]; is {
		if lower, ok := d.down(b, true, A); ok {
			if c.By = tolerance.Sink(c.By, lower.By); c.By <= 0 {
				return nil
			}
		}
	}
	return c
}
