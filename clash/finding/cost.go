package finding

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
	CostStructure = iota
	CostFixed
	CostDrainage
	CostLarge
	CostSmall
	CostAccessFirm
	CostAccess
	CostGapFirm
	CostSupport
	CostGap
	CostUpright
)

var costs = [...]Cost{
	CostStructure:  {"structure", "an overlap with a beam, a column, a slab or a wall", "an opening or another way is to be found, and the structural engineer decides", 8},
	CostFixed:      {"fixed", "an overlap in which what would have to move may not, is the ceiling or is set into it", "the levels and the layout of a ceiling are agreed with others; somebody has to decide", 8},
	CostDrainage:   {"drainage", "an overlap in which gravity drainage has to move", "it keeps its fall, so the rest of its run moves with it", 6},
	CostLarge:      {"large", "an overlap in which a unit, ductwork or a large pipe has to move", "it is made to measure and takes most room elsewhere", 5},
	CostSmall:      {"small", "any other overlap", "two things cannot be in one place, but what moves is small and made on site", 3},
	CostAccessFirm: {"access required", "an access finding that rests on law or a maker's word", "it is asked for at handover", 4},
	CostAccess:     {"access", "an access finding that rests on practice", "a hatch or a route costs a visit to the ceiling", 2},
	CostGapFirm:    {"gap required", "a tight gap that rests on law or a maker's word", "nobody on site may waive it", 3},
	CostSupport:    {"support", "a support in the way that can be moved along its run", "rods are set out last and cost least to set out again", 1},
	CostGap:        {"gap", "a tight gap that rests on practice", "it can be agreed", 1},
	CostUpright:    {"upright", "what passes upright through a soffit, a slab or a ceiling: risers and drops", "it wants a hole and no move, however many millimetres the move would be", 1},
}

// CostWord returns the word of a class.
func CostWord(class uint8) string { return costs[class].Word }

// Costs returns the classes of findings by what they cost to put right, the worst first.
func Costs() []Cost { return slices.Clone(costs[:]) }

// CostByKind returns the class of a finding of which no more is known.
func CostByKind(kind Kind, basis rules.Basis) uint8 {
	firm := basis == rules.Law || basis == rules.Maker
	switch {
	case kind == Overlap:
		return CostSmall
	case kind == Access && firm:
		return CostAccessFirm
	case kind == Access:
		return CostAccess
	case firm:
		return CostGapFirm
	}
	return CostGap
}

// CostClass returns the class of a worded finding; one that says none, as older answers do, goes by its kind.
func (f *Finding) CostClass() uint8 {
	if k := slices.IndexFunc(costs[:], func(c Cost) bool { return c.Word == f.Cost }); k >= 0 {
		return uint8(k)
	}
	return CostByKind(f.Kind, f.Basis)
}

// Worse orders findings, the worst first: by what they cost to put right (Costs), of one class by the shortfall, of
// equals by id. Less than 0: a before b.
func Worse(a, b *Finding) int {
	return cmp.Or(cmp.Compare(a.CostClass(), b.CostClass()), cmp.Compare(b.Short, a.Short), cmp.Compare(a.ID, b.ID))
}

// Worst returns the worst finding of a bay (by its label), as Worse has it; false where there is none.
func Worst(fs []Finding, bay string) (Finding, bool) {
	best, found := Finding{}, false
	for _, f := range fs {
		if f.Bay == nil || *f.Bay != bay {
			continue
		}
		if !found || Worse(&f, &best) < 0 {
			best, found = f, true
		}
	}
	return best, found
}
