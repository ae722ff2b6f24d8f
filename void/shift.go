package void

import (
	"github.com/golang/geo/r3"

	"voidline/void/cell"
)

// Shift shifts a zone by so much on trial, mm to the nearest tenth, as EditCells does with what Moved says, but writes no cell and tells nothing;
// back puts it as it was. It is for a row whose body goes by that and by nothing else where its numbers do, and on which nothing else hangs: of
// any other it returns false and changes nothing, for only its cells can say what comes of it.
func (p *Project) Shift(zone int, by r3.Vector) (ch Change, back func(), ok bool) {
	z := p.Zone(zone)
	if z.ByHeight || z.Upright || z.Surveyed() || p.characters[z.Char].Entry.Beam {
		return ch, nil, false
	}
	by = r3.Vector{X: tenths(by.X), Y: tenths(by.Y), Z: tenths(by.Z)}
	now := z.own()
	for _, n := range [...]struct{ of, by *float64 }{{&now.x1, &by.X}, {&now.x2, &by.X}, {&now.y1, &by.Y}, {&now.y2, &by.Y}, {&now.low, &by.Z}} {
		*n.of = cell.Plus(*n.of, *n.by)
	}
	there := z.Bare().Centre.Add(by)
	e := p.edit(z.At(), "")
	alone := func() bool {
		return len(e.again) == 1 && len(e.astray)+len(e.openings)+len(e.spaces)+len(e.supports) == 0
	}
	if !e.redo(int32(zone), &now) || z.Bare().Centre.Distance(there) > Hair || !e.follow() || !alone() {
		e.refuse()
		return ch, nil, false
	}
	return Change{Zones: []int{zone}}, func() {
		*z = *e.was[int32(zone)]
		e.cut()
	}, true
}
