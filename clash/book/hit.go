package book

import (
	"cmp"

	"voidline/clash/finding"
)

// Origin says which part of the check an entry came of.
type Origin uint8

// What an entry came of: A and B are those of the entry.
const (
	OfPair    Origin = iota
	OfSide           // hand room along one of the sides of zone A
	OfRun            // rows of runs A and B, together
	OfLevel          // zone A against ceilings and soffits
	OfTiles          // bay A
	OfSpace          // access space A
	OfReach          // zone A that must be reached
	OfSupport        // the supports of zone A, of a finding yet to be worded in zone B
	OfCeiling        // zone A against the ceiling of a bay
	OfSoffit         // zone A against the soffit of a bay
	OfRoom           // zone A, wholly under the finished face of a bay
)

// Surface reports whether a finding is between a zone and the ceiling or the soffit of a bay.
func (o Origin) Surface() bool { return o == OfCeiling || o == OfSoffit || o == OfRoom }

// What stands for no zone and no bay in an entry.
const (
	NoZone = -1
	NoBay  = -1 // outside every bay
	AnyBay = -2 // of a problem: structure is one of the two
)

// Hit is a finding as it is counted and put in order, yet to be worded: 64 bytes, for there may be millions.
type Hit struct {
	ID     uint64           // in the order of the id's letters
	Short  float64          // mm
	Worded *finding.Finding // nil: it is to be worded
	Held   *Held            // of supports: what is to be worded
	A, B   int32            // the pair; B is NoZone for a ceiling or a soffit, that of Bay
	P, Q   int32            // the two parties, once it is in order
	Bay    int32            // NoBay outside every bay
	// Storey is that of the finding.
	Storey int32
	In     int32  // the bay that it is counted in, AnyBay where structure is one of the two; once it is in order
	Of     Origin // what it is of, where it is to be worded
	Kind   uint8  // see finding.Severity
	Cost   uint8  // see finding.Costs
	// Practice: an access problem that rests on practice.
	Practice bool
}

// Problem is what people count as one: two parties in a bay of a storey.
type Problem [4]int32

// Problem returns the problem of a hit whose parties are known.
func (x *Hit) Problem() Problem { return Problem{min(x.P, x.Q), max(x.P, x.Q), x.Storey, x.In} }

// Worse is the order of hits by what they cost to put right, the worst first: that of findings (finding.Worse).
func Worse(x, y *Hit) int {
	return cmp.Or(cmp.Compare(x.Cost, y.Cost), cmp.Compare(y.Short, x.Short), cmp.Compare(x.ID, y.ID))
}

// Held is what the supports of a row have to do with one other zone, until it is worded.
type Held struct {
	N, Stuck, S        int32
	Part, OtherPart    uint16
	Other              int32 // number of the support of the other row, 0: it is the row itself
	Can                CanMove
	Vertical, Sideways float64 // mm
	By, After          float64 // mm; of two, By is before
}

// CanMove says whether a support may move: see support.Shift.
type CanMove uint8

// Whether a support may move, may be two, or why not.
const (
	Cannot CanMove = iota
	MayMove
	MayBeTwo
	TooCrowded
	IsFixed
)

// Placed is a worded finding and what it came of.
type Placed struct {
	Of      Origin
	A, B    int32
	Key     Along // of runs
	Finding finding.Finding
	Hit     Hit // of the finding; its Worded is nil until it is asked for
}
