package setout

import (
	"crypto/sha256"
	"encoding/base32"
	"strings"

	"github.com/golang/geo/r2"
)

// SheetColumns returns the columns of a sheet's table, in order: what reports write and what is read back of a sheet that was issued.
func SheetColumns() []string {
	return []string{
		"run", "length", "what", "no", "from", "to", "place", "x", "y", "ffl", "datum", "project", "rise", "earliest", "latest",
		"hangs from", "channel top ffl", "rods", "rod exact", "rod cut", "channel", "moved", "part", "count", "note",
	}
}

// The kinds of rows of a sheet's table, by the column `what`.
const (
	RowUnproved    = "not proved"
	RowUnsupported = "not supported"
	RowTier        = "tier"
	RowLine        = "line"
	RowSet         = "set"
	RowClear       = "clear"  // the tightest over the line (rise above 0: so much is clear), or under it (below 0)
	RowPassed      = "passes" // a beam, or what it goes through
	RowDoubt       = "tolerance"
	RowBlock       = "block"
	RowGive        = "give"
	RowSupport     = "support"
	RowRod         = "rod"
	RowChannel     = "channel"
	RowCut         = "cut"
	RowPart        = "part"
	RowOrder       = "order"   // of several runs, what they want together
	RowBetween     = "between" // of two runs that are not clear of each other when both are laid
	RowSeal        = "seal"    // the last: how many rows stand over it, and Seal of them as its note
)

// Seal returns twelve letters that hang on every cell of a sheet's table: where they are others, somebody changed a cell.
func Seal(rows [][]string) string {
	h := sha256.New()
	for _, r := range rows {
		for _, c := range r {
			h.Write([]byte(c + "\x1f"))
		}
		h.Write([]byte("\x1e"))
	}
	return strings.ToLower(base32.StdEncoding.EncodeToString(h.Sum(nil))[:12])
}

// Issued is a setting-out sheet as its table says it: of each length of the run what is struck, drilled, cut and counted.
// Stations are mm along the run from the start of the length, as on the sheet.
type Issued struct {
	Run     string
	Lengths []IssuedLength
}

// IssuedLength is the sheet of one length of a run.
type IssuedLength struct {
	Part     string // "2 of 3" where the run comes in several
	Lines    []IssuedLine
	Sets     []IssuedSet
	Supports []IssuedSupport
	Parts    []Count
	Cuts     []Count
	Holds    []string // what it holds only with, or is not proved: tiers, lacks; in words
}

// IssuedLine is a stretch of the line to strike.
type IssuedLine struct {
	From, To float64
	Where    r2.Point // plan point at From
	Struck
}

// Struck is a level of the line, mm above FFL, from the datum line and above the project datum; over a stretch it rises by Rise.
type Struck struct {
	FFL     float64 `json:"ffl"`
	Datum   float64 `json:"datum"`
	Project float64 `json:"project"`
	Rise    float64 `json:"rise,omitempty"`
}

// IssuedSet is a set of the line: from where to where, and how far up.
type IssuedSet struct {
	From float64 `json:"from"`
	To   float64 `json:"to"`
	Rise float64 `json:"rise"`
}

// IssuedSupport is a support of the sheet.
type IssuedSupport struct {
	No      int
	From    float64
	Where   r2.Point
	Of      string // what it hangs from
	Rods    int
	Channel float64   // its length; 0: none
	Cuts    []float64 // of its rods, one by one; empty where there are none, or they are on another sheet
}
