// Package cell says how a place, a size, a level, a fall and the like are written in a table:
// it parses the text of a cell and prints it back. All lengths come out in millimetres.
//
// Every cell type keeps its Text as written (blanks trimmed) and, where it cannot be read, a Fault.
// Decoding never fails: a row with a bad cell is still a row, and says what is bad. The zero value is
// a blank cell. A blank cell has Text "" and no fault.
package cell

// Fault says what is wrong with the text of a cell.
type Fault struct {
	What string // quotes the text: `"x9" is not a length`
	Want string // what was expected: `millimetres, such as 2700`
	Hint string // what probably happened or what to do; may be ""
}

// Error returns the fault as one line.
func (f *Fault) Error() string {
	s := f.What
	if f.Want != "" {
		s += "; give " + f.Want
	}
	if f.Hint != "" {
		s += " (" + f.Hint + ")"
	}
	return s
}

// Word is a name or a free text. An apostrophe that a spreadsheet put in front is taken off.
type Word struct {
	Text  string
	Fault *Fault
}

// Length is a plain length with its sign, in millimetres.
type Length struct {
	Text  string
	MM    float64
	Fault *Fault
}

// Number is a plain number without a unit (circuits, rank, rods), not negative.
type Number struct {
	Text  string
	Value float64
	Fault *Fault
}

// Flag is yes or no.
type Flag struct {
	Text  string
	On    bool
	Fault *Fault
}

// Place is one coordinate in plan: a number, or a grid line and an offset.
type Place struct {
	Text  string
	Line  string  // label of the grid line, "" where the place is a plain number
	MM    float64 // the coordinate, or the offset from the grid line
	Fault *Fault
}

// Coordinate is one coordinate in plan as a plain number, in millimetres: of a grid line, or of a survey.
type Coordinate struct {
	Text  string
	MM    float64
	Fault *Fault
}

// SizeForm says in which form a size is written.
type SizeForm uint8

// The forms of a size.
const (
	NoSize    SizeForm = iota // blank
	Rectangle                 // 600x300: A across, B high; an item's 150x150 in plan where its level is a range
	Solid                     // 600x600x100: A along x, B along y, C high
	Circle                    // ø250: A diameter
	Disc                      // ø250x100: A diameter, B high: a round item
	Single                    // 150: one length: the thickness of a wall whose level is a range
	NominalDN                 // DN50: A the nominal number; Standard where one is named
	SteelName                 // UB 406x178x60: Name in the catalogue's own spelling
)

// Size is the bare size of a section or an item.
type Size struct {
	Text     string
	Form     SizeForm
	A, B, C  float64
	Name     string // SteelName: canonical name as catalogue.Section takes it
	Standard string // NominalDN: "EN 10255", …; "" for the default
	Fault    *Fault
}

// Ref is what a level is measured from.
type Ref uint8

// The references of a level. Plain numbers are above FFL.
const (
	FFL     Ref = iota // finished floor level of the row's storey
	SSL                // structural slab level
	Datum              // the datum line
	Ceiling            // the finished face of the ceiling
	BuildUp            // the top of the build-up
	Soffit
	Steel   // the lowest beam over the row's own plan
	Project // the project datum
)

// Height is a reference and an offset upwards from it.
type Height struct {
	Ref Ref
	MM  float64
}

// Level is a level, or a range of levels.
type Level struct {
	Text  string
	Low   Height // the level; of a range the lower end
	High  Height // of a range the upper end
	Range bool
	None  bool   // written none: open, nothing there
	Says  Facing // the face that the text itself names (BOD, TOT, u/s, CL …); zero value where it names none
	Fault *Fault
}

// Facing is which face of the section a level is to.
type Facing uint8

// The faces. Unsaid counts as the bottom.
const (
	Unsaid Facing = iota
	Bottom
	Centre
	Top
)

// Face says what a level is to.
type Face struct {
	Text  string
	Is    Facing
	Fault *Fault
}

// Fall is a slope downwards from the start of a row, as rise over run: 0.0125 for 1 in 80.
// It may be negative: the row rises.
type Fall struct {
	Text  string
	Slope float64
	Fault *Fault
}

// Towards is a side: of a rule or of an access space.
type Towards uint8

// The sides of rules and of access spaces.
const (
	NoSide Towards = iota
	Around
	Above
	Below
	Beside
	OneSide
	Start
	End
	Left
	Right
	East
	North
	West
	South
)

// Side is a cell that names a side.
type Side struct {
	Text  string
	Is    Towards
	Fault *Fault
}

// Asked is the gap of a rule: a length, or told.
type Asked struct {
	Text  string
	MM    float64
	Told  bool
	Fault *Fault
}

// Covering is insulation: a thickness, and whether it goes over the joint.
type Covering struct {
	Text      string
	MM        float64
	OverJoint bool
	Fault     *Fault
}

// Names is a list of names: separated by semicolons, or by commas, or by blanks and semicolons.
type Names struct {
	Text  string
	List  []string
	Fault *Fault
}
