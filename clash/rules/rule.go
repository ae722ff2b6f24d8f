package rules

import (
	"voidline/void"
	"voidline/void/cell"
)

// Basis says what a rule rests on.
type Basis string

// The bases of rules. Geometry is the basis of an overlap: two things cannot share one space.
const (
	Law      Basis = "law"
	Maker    Basis = "maker"
	Practice Basis = "practice"
	Geometry Basis = "geometry"
)

// Purpose says where a rule is asked.
type Purpose uint8

// The purposes of rules.
const (
	OfPairs    Purpose = iota // of two zones, or of a zone and a ceiling or a soffit
	OfTiles                   // over the tiles of a ceiling that lifts out: one finding a bay
	InOpenings                // round a service in an opening that says no margin
	OfReach                   // from a hatch to what must be reached
	OfSupports                // that what holds up a row is checked
)

// Rule says that Of wants Gap clear on its Side towards To. Rules are data: the same table feeds the
// check, the rules command and every legend.
type Rule struct {
	Name   string       // short words, unique among the rules in force
	Of, To string       // canonical word of a kind, service, trade or group
	Side   cell.Towards // Around, Above, Below, Beside, OneSide
	Gap    float64      // mm; of a formula the largest it can give
	// Formula is "" for a fixed gap, else the words in which the gap is worked out pair by pair
	// (power to data: S x P of EN 50174-2).
	Formula string
	For     Purpose // where it is asked
	Told    bool    // a relation, gathered under "to be protected", not a measure
	Over    float64 // mm along Of for which the two must be closer than Gap before the rule counts
	Basis   Basis
	Why     string
	Source  string  // published source, or "common practice, no source"
	Row     string  // file:line of a project's own rule, "" for a built-in one
	At      void.At // the same, as numbers; zero for a built-in rule
}
