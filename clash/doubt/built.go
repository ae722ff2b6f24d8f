package doubt

import (
	"math"

	"github.com/golang/geo/r2"

	"voidline/clash/measure"
	"voidline/void"
	"voidline/void/body"
)

// Built is what is left of a gap between two neighbours over one point once they are built, mm; below nothing they are in each other.
type Built struct {
	// Fixed says that the two go up and down together (one fixed tight to the other, or belonging to it): nothing is taken off.
	Fixed bool
	Left
	BeamDown float64 // what is left with the beam down before any tolerance; as drawn where none comes down
}

// Built returns what is left of the gap between two neighbours over a point of a bay: as deep as the two are in each other already. Where All
// takes the most over all that two bodies share in plan, here it is what comes down at the point.
func (d *Weigher) Built(upper, lower Thing, gap float64, bay int32, at r2.Point) Built {
	if d.fixed(upper, lower, gap) {
		return Built{Fixed: true, Left: Left{Drawn: gap, Worst: gap, RSS: gap}, BeamDown: gap}
	}
	off := []Off{d.Of(upper), d.Of(lower)}
	with, held := off, [2]Thing{nothing, nothing}
	for k, t := range []Thing{upper, lower} {
		if t.Zone < 0 {
			continue
		}
		tight := d.tightTo(t.Zone)
		if held[k] = tight.Thing; held[k] != nothing {
			with = append(with, tight)
		}
	}
	if held[0] != held[1] { // with the same they go together
		off = with
	}
	var down *Down
	if upper.Zone >= 0 {
		U := d.Full(upper.Zone)
		L := body.Upright(d.Project.Bays[bay].Plan, U.Height())
		if lower.Zone >= 0 {
			L = d.Full(lower.Zone)
		}
		down = d.sink(upper.Zone, lower.Zone, d.sliceAt(upper.Zone, at), L)
	}
	x := Built{Left: left(gap, off, down), BeamDown: gap}
	in := math.Min(0, gap) // doubts begin where two touch
	x.Drawn, x.Worst, x.RSS = gap, x.Worst+in, x.RSS+in
	if down != nil {
		x.BeamDown -= down.By
	}
	return x
}

// fixed reports whether two neighbours go up and down together: what is tight to structure or to what it belongs to, steel and slabs that
// meet, what is set into the ceiling.
func (d *Weigher) fixed(upper, lower Thing, gap float64) bool {
	touch := d.touch + void.Hair
	if gap > touch {
		return false
	}
	if lower.Zone < 0 && !lower.Soffit {
		return upper.Zone >= 0 && d.Zone(upper.Zone).Recessed
	}
	built := func(t Thing) bool { return t.Soffit || d.Structure(t.Zone) }
	if built(upper) && built(lower) || upper.Zone >= 0 && lower.Zone >= 0 && d.Together(upper.Zone, lower.Zone, d.touch) {
		return true
	}
	return gap >= -touch && (built(upper) || built(lower) || d.Belong(upper.Zone, lower.Zone) != measure.NoTie)
}

// sliceHalf is half the length of a slice, mm: long enough to lie over something, short enough to be one place.
const sliceHalf = 0.05

// sliceAt returns the part of a zone at a point: a length bends with the beam over it. An item goes down whole, and what
// lies over a whole bay may be anywhere in it.
func (d *Weigher) sliceAt(i int32, at r2.Point) body.Body {
	f := d.Full(i)
	n := math.Hypot(f.Along.X, f.Along.Y)
	if z := d.Zone(i); z.Item || z.Upright || z.ByHeight || n <= sliceHalf {
		return f
	}
	s := ((at.X-f.Centre.X)*f.Along.X + (at.Y-f.Centre.Y)*f.Along.Y) / (n * n)
	f.Centre = f.Centre.Add(f.Along.Mul(math.Max(-1, math.Min(1, s))))
	f.Along = f.Along.Mul(sliceHalf / n)
	return f
}
