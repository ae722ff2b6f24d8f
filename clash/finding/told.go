package finding

import (
	"voidline/clash/rules"
)

// Protection is a relation that is told, not measured: an electrical run with a wet one above it.
type Protection struct {
	Of    string      `json:"of"`     // what is to be protected: run, or zone id where there is none
	From  string      `json:"from"`   // what is above it
	OfRow string      `json:"of_row"` // file:line of the first row met
	Row   string      `json:"from_row"`
	Bay   *string     `json:"bay"`
	Pairs int         `json:"pairs"` // pairs of rows in this relation
	Rule  string      `json:"rule"`
	Basis rules.Basis `json:"basis"`
	At    Spot        `json:"at"`
}

// ExcusedPair is a pair that meets because it belongs together, and is no finding.
type ExcusedPair struct {
	A     string  `json:"a"` // zone id
	B     string  `json:"b"` // zone id, or ceiling X, soffit X
	Why   string  `json:"why"`
	Depth float64 `json:"depth"` // how deep the two are in each other: the least shift that parts them; 0 where they only touch
}

// Question is what the table of connections does not know: whether things of two kinds connect. Its pairs are findings
// until somebody says so in the column joins.
type Question struct {
	Of    string     `json:"of"`    // what ends there: kind, and what it carries
	To    string     `json:"to"`    // at what
	Pairs int        `json:"pairs"` // pairs of zones that it is asked of
	Text  string     `json:"text"`
	Cells []JoinCell `json:"cells"` // the cells to paste if the answer is yes, one for each row of the first
}

// JoinCell is a cell of the column joins.
type JoinCell struct {
	Zone  string `json:"zone"`
	Row   string `json:"row"`   // file:line
	Joins string `json:"joins"` // the whole cell: what it says now, and what is to be added
}

// InRoom is how many zones of a trade and kind lie in the room, under the ceiling, and are no finding.
type InRoom struct {
	Trade  string   `json:"trade"`
	Kind   string   `json:"kind"`
	Number int      `json:"number"`
	First  []string `json:"first"` // ids of the first few
}

// Through is an upright zone that passes through ceilings without an opening made for it: no finding, told once.
type Through struct {
	Zone     string   `json:"zone"`
	Trade    string   `json:"trade"`
	Kind     string   `json:"kind"`
	Run      string   `json:"run"`
	Row      string   `json:"row"` // file:line
	Storey   string   `json:"storey"`
	Ceilings []string `json:"ceilings"` // ceiling BAY of each that it passes through
	At       Spot     `json:"at"`       // on the lowest of them
}
