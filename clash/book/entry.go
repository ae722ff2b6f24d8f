package book

import (
	"voidline/clash/finding"
	"voidline/clash/measure"
	"voidline/clash/rules"
)

// Party is whom zones are counted with: a run of a trade, or the first row by id of a branch of it.
type Party struct{ Run, Trade, Branch string }

// Along is a rule of one run towards another.
type Along struct{ Rule, Of, To string }

// The entries beside findings, each with the zones that it came of.
type (
	// Excuse is a pair that is excused, and why. Of OfLevel B is a bay, of OfSpace A an access space.
	Excuse struct {
		Of   Origin
		Why  measure.Tie
		A, B int32
	}

	// Hole is builder's work.
	Hole struct {
		A, B int32 // B < 0: the soffit of bay -1-B
		finding.Hole
	}

	// Joint is a joint with the two zones and the run it came of.
	Joint struct {
		A, B int32
		Run  Party
		finding.Joint
	}

	// Asking is a pair of which nobody knows whether the end of zone A at zone B is a connection.
	Asking struct{ A, B int32 }

	// Warning is what measuring a pair has to tell of its tables.
	Warning struct {
		A, B int32
		Text string
	}

	// Serving says that Zone meets something set into the ceiling, Other.
	Serving struct{ Zone, Other int32 }

	// Note is what was not checked, and why.
	Note struct {
		Of Origin
		A  int32
		finding.Note
	}

	// OverTile is a zone that leaves less than is asked to lift a tile of a bay, mm.
	OverTile struct {
		Bay, Zone int32
		Gap, Lack float64
		Rule      *rules.Rule
	}

	// UnsaidCeiling is a zone that lies over a bay of which no ceiling is said.
	UnsaidCeiling struct{ Bay, Zone int32 }

	// UnderFace is a zone wholly under the finished face of a bay's ceiling.
	UnderFace struct {
		Zone, Bay int32
		Meant     bool // for the room
		Sure      bool // a finding whatever else is there
		Told      bool // its finding is in the book
	}

	// ThroughCeiling is an upright zone that passes through the ceiling of a bay.
	ThroughCeiling struct{ Zone, Bay int32 }

	// Relation is one pair of rows of which a rule tells what is over what.
	Relation struct {
		Of, From           int32
		OfParty, FromParty int32 // set when the relation is taken into the book
		Rule               *rules.Rule
	}

	// Group is what is told of two runs, once: the first pair of rows stands for all.
	Group struct {
		Relation
		Pairs int32
		Words *finding.Protection // nil until it is worded
	}

	// SideBlock is a zone, By, that stands in the hand room along one side of another, Of.
	SideBlock struct {
		Of, By int32
		Left   bool
		Gap    float64 // mm
		Rule   *rules.Rule
		Asked  float64 // mm
		Lo, Hi float64 // stations of the row between which it stands there, -1 to 1
		Run    string  // of the row, or the row where it is of none
	}

	// Crossing is a pair of rows that is nearer than a rule's gap of which one is part of a run, and over which length. The
	// other may be the soffit or the ceiling of a bay.
	Crossing struct {
		A, B    int32 // the pair; B is NoZone for a soffit or a ceiling
		Bay     int32 // whose soffit or ceiling
		Ceiling bool
		Of      int32 // which of the two the rule is of; towards a soffit or a ceiling the row, along which it counts
		Rule    *rules.Rule
		Way     int8    // along which it is gone, of those of its body (measure.Ways)
		Lo, Hi  float64 // stations of Of between which it is too near, -1 to 1
		Key     Along
	}
)

// Key is what the blocks along one run have in common.
func (s *SideBlock) Key() Along { return Along{Of: s.Run} }

// Side is 1 for the left side of the row, -1 for the right.
func (s *SideBlock) Side() int8 {
	if s.Left {
		return 1
	}
	return -1
}
