package finding

import (
	"math"
	"strings"

	"github.com/golang/geo/r3"

	"voidline/clash/figure"
)

// Move is one least move of a zone that clears a finding. DX, DY and DZ are the whole of it; Direction says the same
// as seen along the row from its start: up, down, left, right, or two of them ("up and left"). Left and right of an item are
// north and south; one that moves any other way moves sideways. People read Way.
type Move struct {
	Zone      string  `json:"zone"`
	Direction string  `json:"direction"`
	By        float64 `json:"by"`               // mm, straight from where it is to where it is clear
	DX        float64 `json:"dx" added:"later"` // mm to the east
	DY        float64 `json:"dy" added:"later"` // mm to the north
	DZ        float64 `json:"dz" added:"later"` // mm upwards
	// Towards is where DX and DY lead: a grid line ("grid C"), else the compass ("north", "south-east"); "" where they are 0.
	Towards string `json:"towards" added:"later"`
	// Takes says what else the move takes: "run", the other rows of its run go with it; "sets", its run needs a set wherever another row
	// of it joins on; "" nothing.
	Takes string `json:"takes,omitempty" added:"later"`
	// Wants says what a row between sets then wants: "vent" at its high point, "drain" at its low one; "" nothing.
	Wants string `json:"wants,omitempty" added:"later"`
	// Clear says whether the move was put to the proof and nothing new was found there, and nothing that lacks more than before; nil
	// where it was not put to it. Meets is what it meets otherwise.
	Clear *bool  `json:"clear" added:"later"`
	Meets *Meets `json:"meets" added:"later"`
}

// What a move takes.
const (
	TakesRun  = "run"
	TakesSets = "sets"
)

// What a row between sets wants.
const (
	WantsVent  = "vent"  // at its high point
	WantsDrain = "drain" // at its low point
)

// Meets is what a move meets next.
type Meets struct {
	With string  `json:"with"` // zone id, ceiling X, soffit X
	By   float64 `json:"by"`   // how much is lacking there, or lacks more than before, mm
}

// IsClear reports whether a move was put to the proof and is clear.
func (m Move) IsClear() bool { return m.Clear != nil && *m.Clear }

// Vector returns the shift of a move.
func (m *Move) Vector() r3.Vector {
	switch {
	case m.DX == 0 && m.DY == 0 && m.DZ == 0 && m.Direction == "up":
		return r3.Vector{Z: m.By}
	case m.DX == 0 && m.DY == 0 && m.DZ == 0 && m.Direction == "down":
		return r3.Vector{Z: -m.By}
	}
	return r3.Vector{X: m.DX, Y: m.DY, Z: m.DZ}
}

// Round takes a move to 0.1 mm, each part to the side that clears.
func (m *Move) Round() {
	away := func(v float64) float64 {
		r := math.Ceil(math.Abs(v)*10-0.01) / 10
		if r <= 0 {
			return 0
		}
		return math.Copysign(r, v)
	}
	m.By, m.DX, m.DY, m.DZ = away(m.By), away(m.DX), away(m.DY), away(m.DZ)
	switch m.Direction {
	case "up":
		m.DZ = m.By
	case "down":
		m.DZ = -m.By
	}
}

// Way says a move in words, without what moves: "up 30", "250 towards grid 3", "250 north-east (200 east, 150 north)",
// "up 40 and 30 north".
func (m Move) Way() string {
	level := figure.Up(m.By)
	if m.DZ != 0 {
		level = figure.Up(math.Hypot(m.DX, m.DY))
	}
	switch {
	case m.Towards != "":
		level += " " + TowardsWords(m.Towards)
	case m.Direction == "up" || m.Direction == "down":
		return m.Direction + " " + figure.Up(m.By)
	default:
		return "sideways " + level // of an answer that was written before moves had a direction in plan
	}
	if m.Direction == "sideways" && m.DX != 0 && m.DY != 0 { // an item has no axis to be square to
		level += " (" + compass(m.DX, "east", "west") + ", " + compass(m.DY, "north", "south") + ")"
	}
	if m.DZ != 0 {
		return compass(m.DZ, "up", "down") + " and " + level
	}
	return level
}

// compass says a signed length by the two ways that it may go: "200 east", "up 40".
func compass(v float64, plus, minus string) string {
	way := plus
	if v < 0 {
		way = minus
	}
	if way == "up" || way == "down" {
		return way + " " + figure.Up(math.Abs(v))
	}
	return figure.Up(math.Abs(v)) + " " + way
}

// TowardsWords says a direction as people are told it: "towards grid C", or "north".
func TowardsWords(towards string) string {
	if strings.HasPrefix(towards, "grid ") {
		return "towards " + towards
	}
	return towards
}
