package catalogue

import (
	"math"
	"strings"
)

// Barrier is what stands between power and data cables that run side by side, as EN 50174-2 tells it
// apart. Its order is that of the standard's table: from the least shielding to the most.
type Barrier int

// The barriers. A ladder counts as none. Basket counts as open metallic where its mesh is 50 x 100 or
// finer, and any of them only where the cables stay 10 below its top edge (both from memory). Solid
// metallic is steel trunking and steel conduit.
const (
	NoBarrier Barrier = iota
	OpenMetallic
	PerforatedMetallic
	SolidMetallic
)

// String returns the barrier in words.
func (b Barrier) String() string {
	switch b {
	case NoBarrier:
		return "no barrier"
	case OpenMetallic:
		return "open metallic (basket)"
	case PerforatedMetallic:
		return "perforated metallic (tray)"
	case SolidMetallic:
		return "solid metallic (trunking)"
	}
	return "unknown barrier"
}

// barriers are the containments by the barrier they make, in words of trade and standard.
var barriers = map[string]Barrier{
	"none": NoBarrier, "nobarrier": NoBarrier, "plastic": NoBarrier, "ladder": NoBarrier, "cableladder": NoBarrier,
	"plastictrunking": NoBarrier, "plasticconduit": NoBarrier, "cable": NoBarrier,
	"basket": OpenMetallic, "cablebasket": OpenMetallic, "openmetallic": OpenMetallic,
	"tray": PerforatedMetallic, "cabletray": PerforatedMetallic, "perforatedmetallic": PerforatedMetallic,
	"trunking": SolidMetallic, "conduit": SolidMetallic, "solidmetallic": SolidMetallic, "steeltrunking": SolidMetallic,
	"steelconduit": SolidMetallic,
}

// barrierByName returns the barrier that a kind of containment makes, by its word (tray, basket, ladder,
// trunking, conduit, plastic trunking) or the standard's; trunking and conduit are taken as
// steel. False for what is no containment.
func barrierByName(name string) (Barrier, bool) {
	b, ok := barriers[squeeze(name)]
	return b, ok
}

// UKMinimum is the least room in mm between power and data in the United Kingdom without a divider,
// whatever the separation works out at (BS 6701, from memory). It is a rule of safety, not of
// interference: the caller takes the larger.
const UKMinimum = 50

const (
	segregationSource = "EN 50174-2:2009 and later, tables of minimum separation S and of power cabling factor P"
	segregationSeen   = "confirmed: electrician's pocket book of 2017 with the full tables of S and P"
)

// separations is S in mm by class and barrier. Class follows the coupling attenuation or TCL of the
// data cable; typically d is category 7 screened, c category 5e to 6A screened, b category 5e and 6
// unscreened, a coaxial, lower or unknown.
var separations = map[string][4]float64{
	"a": {300, 225, 150, 0},
	"b": {100, 75, 50, 0},
	"c": {50, 38, 25, 0},
	"d": {10, 8, 5, 0},
}

// factors is P for up to so many circuits of 20 A at 230 V, single phase.
var factors = []struct{ upTo, p float64 }{
	{3, 0.2},
	{6, 0.4},
	{9, 0.6},
	{12, 0.8},
	{15, 1},
	{30, 2},
	{45, 3},
	{60, 4},
	{75, 5},
	{math.Inf(1), 6},
}

// Sep is the separation that EN 50174-2 asks between power and data that run side by side.
//
// MM = S x P, rounded up to the next whole mm (practice: the standard does not say how, and up is the
// safe side). 0 asks for none. Sure is false where S is from memory: class a.
type Sep struct {
	S, P, MM           float64
	Sure               bool
	Source, Provenance string
}

// Separation returns what data cables of a class ("a" to "d", in either case, with or without the word
// class) want beside so many circuits of 20 A at 230 V single phase (a three-phase circuit counts
// as three, one above 20 A as so many times 20 A, both from memory). It is not found for an unknown
// class or barrier and for circuits that are not a positive, finite number.
func Separation(class string, barrier Barrier, circuits float64) (Sep, bool) {
	c := strings.TrimPrefix(squeeze(class), "class")
	s, ok := separations[c]
	if !ok || barrier < NoBarrier || barrier > SolidMetallic {
		return Sep{}, false
	}
	if !(circuits > 0) || math.IsInf(circuits, 1) {
		return Sep{}, false
	}
	sep := Sep{S: s[barrier], Sure: true, Source: segregationSource, Provenance: segregationSeen}
	for _, f := range factors {
		if circuits <= f.upTo {
			sep.P = f.p
			break
		}
	}
	// None of the products in the tables now comes out a hair above a whole number; the slack keeps it so
	// should a figure change (3 x 0.1 is 0.30000000000000004).
	sep.MM = math.Ceil(sep.S*sep.P - 1e-9)
	if sep.MM <= 0 {
		sep.MM = 0 // not the negative zero of a rounded hair
	}
	if c == "a" {
		sep.Sure, sep.Provenance = false, "S "+FromMemory+"; P "+segregationSeen
	}
	return sep, true
}
