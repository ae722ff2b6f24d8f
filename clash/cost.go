package clash

import (
	"cmp"
	"slices"

	"voidline/clash/rules"
)

// Worst is what costs most to put right, not what has the most millimetres. Each finding is of one class, and of one class
// the greater shortfall is the worse.

// Cost is one class of findings by what they cost to put right.
type Cost struct {
	Word string // as a finding's cost says it
	What string // which findings
	Why  string // why they stand where they stand in the order
	// Points is what an open problem whose worst finding is of this class counts in the need of its bay (Needs).
	Points int
}

// The classes of cost, the worst first; the order and the points are common practice, no source.
const (
	costStructure = iota
	costFixed
	costDrainage
	costLarge
	costSmall
	costAccessFirm
	costAccess
	costGapFirm
	costSupport
	costGap
	costUpright
)

var costs = [...]Cost{
	costStructure:  {"structure", "an overlap with a beam, a column, a slab or a wall", "an opening or another way is to be found, and the structural engineer decides", 8},
	costFixed:      {"fixed", "an overlap in which what would have to move may not, is the ceiling or is set into it", "the levels and the layout of a ceiling are agreed with others; somebody has to decide", 8},
	costDrainage:   {"drainage", "an overlap in which gravity drainage has to move", "it keeps its fall, so the rest of its run moves with it", 6},
	costLarge:      {"large", "an overlap in which a unit, ductwork or a large pipe has to move", "it is made to measure and takes most room elsewhere", 5},
	costSmall:      {"small", "any other overlap", "two things cannot be in one place, but what moves is small and made on site", 3},
	costAccessFirm: {"access required", "an access finding that rests on law or a maker's word", "it is asked for at handover", 4},
	costAccess:     {"access", "an access finding that rests on practice", "a hatch or a route costs a visit to the ceiling", 2},
	costGapFirm:    {"gap required", "a tight gap that rests on law or a maker's word", "nobody on site may waive it", 3},
	costSupport:    {"support", "a support in the way that can be moved along its run", "rods are set out last and cost least to set out again", 1},
	costGap:        {"gap", "a tight gap that rests on practice", "it can be agreed", 1},
	costUpright:    {"upright", "what passes upright through a soffit, a slab or a ceiling: risers and drops", "it wants a hole and no move, however many millimetres the move would be", 1},
}

// Costs returns the classes of findings by what they cost to put right, the worst first.
func Costs() []Cost { return slices.Clone(costs[:]) }

// costOf returns the class of a finding of two zones.
func (r *run) costOf(kind Kind, basis rules.Basis, a, b int32) uint8 {
	for _, p := range [2][2]int32{{a, b}, {b, a}} {
		if r.Zone(p[0]).Upright && !r.Structure(p[0]) && r.Char(p[1]).Kind == "slab" {
			return costUpright
		}
	}
	if kind == Overlap && (r.Structure(a) || r.Structure(b)) {
		return costStructure
	}
	return r.costAlone(kind, basis, r.givesWay(a, b))
}

// costAlone returns the class of a finding in which one zone has to move, whatever it moves from.
func (r *run) costAlone(kind Kind, basis rules.Basis, mover int32) uint8 {
	if kind != Overlap {
		return costByKind(kind, basis)
	}
	level, place := r.Zone(mover).Holds()
	switch order := r.nature(mover); {
	case level && place, order <= orderRecessed:
		return costFixed
	case order <= orderDrainage:
		return costDrainage
	case order <= orderLarge:
		return costLarge
	}
	return costSmall
}

// costByKind returns the class of a finding of which no more is known.
func costByKind(kind Kind, basis rules.Basis) uint8 {
	firm := basis == rules.Law || basis == rules.Maker
	switch {
	case kind == Overlap:
		return costSmall
	case kind == Access && firm:
		return costAccessFirm
	case kind == Access:
		return costAccess
	case firm:
		return costGapFirm
	}
	return costGap
}

// cost returns the class of a worded finding; one that says none, as older answers do, goes by its kind.
func (f *Finding) cost() uint8 {
	if k := slices.IndexFunc(costs[:], func(c Cost) bool { return c.Word == f.Cost }); k >= 0 {
		return uint8(k)
	}
	return costByKind(f.Kind, f.Basis)
}

// Worse orders findings, the worst first: by what they cost to put right (Costs), of one class by the shortfall, of
// equals by id. Less than 0: a before b.
func Worse(a, b *Finding) int {
	return cmp.Or(cmp.Compare(a.cost(), b.cost()), cmp.Compare(b.Short, a.Short), cmp.Compare(a.ID, b.ID))
}

// worse is Worse for hits.
func worse(x, y *hit) int {
	return cmp.Or(cmp.Compare(x.cost, y.cost), cmp.Compare(y.short, x.short), cmp.Compare(x.id, y.id))
}
