package clash

import (
	"voidline/clash/measure"
	"voidline/clash/rules"
	"voidline/clash/support"
	"voidline/void/cell"
)

// Kind is what a finding is.
type Kind string

// The kinds of finding.
const (
	Overlap Kind = "overlap" // two bodies share space
	Tight   Kind = "tight"   // less clear than the rule asks
	Access  Kind = "access"  // something that must be reached cannot be
)

// Finding is one thing found, as measured: the record that reports write and that io reads back.
// Lengths are millimetres, in JSON to the nearest 0.1. A field tagged added:"later" may be missing from answers
// of before it was there, which are read all the same.
type Finding struct {
	ID       string       `json:"id"`
	Kind     Kind         `json:"kind"`
	A        string       `json:"a"`              // zone id, or supports of one; the rule's `of`
	B        *string      `json:"b"`              // the other zone; null for access findings with no second zone
	ATrade   string       `json:"a_trade"`        // "" never: the ceiling's trade is ceilings, a soffit's structure
	BTrade   string       `json:"b_trade"`        // "" where b is null
	ARow     string       `json:"a_row"`          // file:line
	BRow     string       `json:"b_row"`          // file:line, "" where b is null
	Bay      *string      `json:"bay"`            // null: outside every bay
	Storey   string       `json:"storey"`         // "" where the building has one storey without a name
	At       Spot         `json:"at"`             // the middle of the closest or shared stretch
	Gap      float64      `json:"gap"`            // what there is; 0 when they touch or overlap
	Depth    *Depth       `json:"overlap"`        // null unless they overlap
	Asked    float64      `json:"asked"`          // what the rule asks
	Short    float64      `json:"short"`          // the shortfall: asked less gap, and the depth of an overlap
	Side     cell.Towards `json:"side"`           // around, above, below, beside, one side; seen from a
	Rule     string       `json:"rule"`           // the rule in words
	Basis    rules.Basis  `json:"basis"`          // law, maker, practice; geometry for an overlap: "law" is never claimed for one
	ByHeight bool         `json:"by_height"`      // one of the two lies over a whole bay: only heights are known
	Also     []Also       `json:"also"`           // what else the pair breaks
	GivesWay string       `json:"gives_way"`      // zone id
	Cost     string       `json:"cost,omitempty"` // what it costs to put right: a word of Costs
	// ProblemID is the same for all findings that people count as one problem: 12 letters; see Problem.
	ProblemID string `json:"problem,omitempty"`
	Moves     []Move `json:"moves"` // the least moves that clear it, of the zone that gives way
	// Holds says, where no move is known, what the zone that gives way keeps: "level", "place" or "both", because its row or its kind
	// says so; "" nothing.
	Holds string `json:"holds,omitempty" added:"later"`
	// Together are two moves that are clear at once, where none is clear alone; empty where one is, or no such two are known.
	Together []Move `json:"together,omitempty" added:"later"`
	// Tried are moves that were put to the proof besides, where none is clear, alone or with another: what they meet, or By 0 where that way
	// there is no room at all.
	Tried []Move `json:"tried,omitempty" added:"later"`
	Note  string `json:"note"` // what a reader must know: "outside an opening: full box", what blocks the other side …

	// Support says which of a row's supports it is about; nil where it is about none.
	Support *Held `json:"support,omitempty"`
	// SupportNo is the one support that it is about, of several the worst; nil where it is about none.
	SupportNo *support.No `json:"support_no,omitempty"`
	// SupportWith is the support of another run that it meets; nil where it meets none.
	SupportWith *support.No `json:"support_with,omitempty" added:"later"`

	ARun  string `json:"a_run"` // the run that a belongs to, "" for none
	BRun  string `json:"b_run"`
	AKind string `json:"a_kind"` // what a is: duct, tray, beam, ceiling, soffit …
	BKind string `json:"b_kind"`

	// SideTowards is where a side looks that is given as start, end, left or right of a row: a grid line, else the compass; "" for
	// any other side.
	SideTowards string `json:"side_towards" added:"later"`

	// Hatch is the hatch that is nearest to what cannot be reached from any; nil where there is none, and for any other finding.
	Hatch *FromHatch `json:"hatch,omitempty"`

	// HatchPlace is where a hatch would do: for what is not reached, and for a hatch with something in its shaft; nil where there is no such place,
	// none was looked for, and for any other finding.
	HatchPlace *HatchPlace `json:"hatch_place,omitempty" added:"later"`

	// Surveyed says that it came only with what was found on site: as drawn it is not there.
	Surveyed bool `json:"surveyed,omitempty" added:"later"`

	// TooDeep says of two that connect how deep the one may go into the other; nil where it goes no deeper, and where they do not.
	TooDeep *TooDeep `json:"too_deep,omitempty"`
}

// TooDeep says that an end, or a thing without ends, goes deeper into another than the table of connections lets it.
type TooDeep struct {
	Of   string  `json:"of"`   // zone id of what goes into the other
	In   float64 `json:"in"`   // mm that it goes in
	Most float64 `json:"most"` // mm that such a connection goes at most
}

// FromHatch says why what cannot be reached is not reached from a hatch.
type FromHatch struct {
	For     string   `json:"for"`     // zone id of what the hatch was made for
	Row     string   `json:"row"`     // file:line of the hatch
	Away    float64  `json:"away"`    // mm in plan from the middle of the hatch to the item
	Reach   float64  `json:"reach"`   // mm that one reaches from there through a hatch of its size
	Between []string `json:"between"` // what bars the straight way, the nearest to the hatch first: zone ids, ceiling X, soffit X
	From    string   `json:"side"`    // where the item is worked on from, in words: below, the side north; "" where any will do
}

// Mover returns the trade that a finding is counted with: that of the zone that has to move, or of a where the record names
// nobody.
func (f *Finding) Mover() string {
	if f.B != nil && f.GivesWay == *f.B && f.GivesWay != f.A {
		return f.BTrade
	}
	return f.ATrade
}

// Spot is a place: plan coordinates, z above the project datum, level above the storey's FFL, and
// the place in words by the nearest grid lines.
type Spot struct {
	X     float64 `json:"x"`
	Y     float64 `json:"y"`
	Z     float64 `json:"z"`
	Level float64 `json:"level"`
	Where string  `json:"where"`
}

// Depth is how far two bodies overlap: the least vertical and the least sideways shift that
// parts them. Sideways is null against a ceiling or a soffit, and where places are not known.
type Depth struct {
	Vertical float64  `json:"vertical"`
	Sideways *float64 `json:"sideways"`
}

// Held says which supports of a row a finding is about, and whether they can be moved to be clear. Lengths in mm along the row
// from its start.
type Held struct {
	Part  string    `json:"part"`  // what of the worst one meets it: rod, channel …; support where nothing is over it
	At    float64   `json:"at"`    // where the worst one is
	Count int       `json:"count"` // how many of the row's supports meet it
	Of    int       `json:"of"`    // how many the row has
	Can   int       `json:"can"`   // of Count, how many have a clear place within their spacing
	Move  *float64  `json:"move"`  // by how much the worst one must move to be clear, towards the end of the row; null where no move does
	Two   []float64 `json:"two"`   // where two in its place are clear: the one that much nearer the start, the other nearer the end; else empty
	// Crowded says that so much is near the worst one that no clear place was looked for, or not to the end.
	Crowded bool `json:"crowded,omitempty"`
	// Longer is the least longer channel with which the worst one is clear where it stands; nil where it can move, none is known, or none was looked for.
	Longer *Longer `json:"longer,omitempty" added:"later"`
	// Fixed says that the worst one is fixed where it stands: no place was looked for.
	Fixed bool `json:"fixed,omitempty" added:"later"`
}

// Clears reports whether the support can be moved, or two set in its place, so that it is clear.
func (h *Held) Clears() bool { return h.Move != nil || len(h.Two) > 0 }

// Also is another rule that the same pair breaks.
type Also struct {
	Rule  string       `json:"rule"`
	Side  cell.Towards `json:"side"`
	Gap   float64      `json:"gap"`
	Asked float64      `json:"asked"`
	Short float64      `json:"short"`
	Basis rules.Basis  `json:"basis"`
}

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

// Meets is what a move meets next.
type Meets struct {
	With string  `json:"with"` // zone id, ceiling X, soffit X
	By   float64 `json:"by"`   // how much is lacking there, or lacks more than before, mm
}

// Counts counts findings by kind.
type Counts struct {
	Overlap int `json:"overlap"`
	Tight   int `json:"tight"`
	Access  int `json:"access"`
}

// Checked says what was checked.
type Checked struct {
	Storeys int            `json:"storeys"`
	Bays    int            `json:"bays"`
	Zones   int            `json:"zones"`
	ByTrade map[string]int `json:"by_trade"`
	Rules   int            `json:"rules"`
	Pairs   int            `json:"pairs"` // pairs near enough for a rule to matter
}

// Hole is builder's work: a service goes through a wall or a slab that has no opening.
type Hole struct {
	Service string  `json:"service"` // zone id of what goes through
	In      string  `json:"in"`      // zone id of the wall or slab, or soffit X
	Row     string  `json:"row"`     // file:line of the service
	InRow   string  `json:"in_row"`
	Bay     *string `json:"bay"`
	Storey  string  `json:"storey"`
	At      Spot    `json:"at"` // the middle of the hole
	Round   bool    `json:"round"`
	Width   float64 `json:"width"`  // clear width of the hole: service, joint, insulation, margin; the diameter when round
	Height  float64 `json:"height"` // clear height; along y for a slab; the diameter when round
	Level   float64 `json:"level"`  // of the hole's underside above FFL; of a hole in a slab its own level
	Margin  float64 `json:"margin"` // included all round
	Note    string  `json:"note"`   // what a reader must know; may be empty
	// Number is what every form of answer calls it by, from 1, however the answer is narrowed; Trade is that of the service.
	Number int    `json:"number,omitempty"`
	Trade  string `json:"trade,omitempty"`
}

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

// tieWords are the words for why a pair is excused.
var tieWords = [measure.Ties]string{
	measure.SameRun:    "pieces of one run that meet",
	measure.SameTrade:  "rows of one trade and service that meet",
	measure.NamedJoin:  "rows that name each other in joins",
	measure.EndsAtUnit: "an end at a unit, diffuser, damper, valve, head or light fitting",
	measure.SetInto:    "set into the ceiling it meets",
	measure.MadeWay:    "through an opening made for it",
	measure.DropsInto:  "comes down to something set into the ceiling",
	measure.Connected:  "what connects to it by the table of connections",
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

// Note is something told about the input or the check: what could not be checked and why.
type Note struct {
	Zone string `json:"zone,omitempty"`
	Bay  string `json:"bay,omitempty"`
	Row  string `json:"row,omitempty"` // file:line
	Text string `json:"text"`
}

// Issue is a problem or a warning of the input in JSON.
type Issue struct {
	File   string `json:"file"`
	Line   int    `json:"line"`
	Column int    `json:"column"`
	Text   string `json:"text"`
	// More is how many issues of the file it stands for, which are not told one by one; 0: it is one itself.
	More int `json:"more,omitempty"`
}

// CountIssues returns how many issues a list stands for.
func CountIssues(list []Issue) int {
	n := 0
	for i := range list {
		n += max(1, list[i].More)
	}
	return n
}

// PairCount counts findings between two trades (in alphabetical order).
type PairCount struct {
	A, B string
	Counts
	Problems int // as Finding.Problem tells them apart
}

// Limits narrow an answer: findings outside them are neither given nor counted. What is empty does not narrow.
type Limits struct {
	Bays   []string `json:"bays"`
	Trades []string `json:"trades"`
	Only   []Kind   `json:"only"`
	Firm   bool     `json:"firm"` // rules that rest on practice are left out
}

// Result is the whole answer: the JSON document.
type Result struct {
	Voidline        string         `json:"voidline"` // version
	Project         string         `json:"project"`  // folder name
	Checked         Checked        `json:"checked"`
	RowsMissing     int            `json:"rows_missing"`
	Filter          string         `json:"filter,omitempty"`                          // what narrows the answer, in words
	Limits          *Limits        `json:"limits,omitempty"`                          // the same for programs; nil where nothing does
	SupportsLeftOut bool           `json:"supports_left_out,omitempty" added:"later"` // although rows are hung
	Survey          *Survey        `json:"survey,omitempty" added:"later"`            // what was found on site; nil where nothing was
	Counts          Counts         `json:"counts"`
	Problems        int            `json:"problem_count"`  // counted in problems, not in pairs
	Held            int            `json:"held,omitempty"` // findings that are counted but not given, those given are the worst
	Findings        []Finding      `json:"findings"`
	BuildersWork    []Hole         `json:"builders_work"`
	Together        []Together     `json:"holes_together,omitempty" added:"later"` // holes that one might do for
	ToBeProtected   []Protection   `json:"to_be_protected"`
	Tolerance       *ToleranceUsed `json:"tolerance,omitempty"`       // how doubts were looked for; nil where they were not asked for
	Doubtful        []Doubt        `json:"doubtful,omitempty"`        // clear as drawn, may not fit once built; no findings
	Excused         map[string]int `json:"excused"`                   // why -> pairs that belong together
	InRoom          []InRoom       `json:"in_room,omitempty"`         // under the ceiling, and no finding: by trade and kind
	Through         []Through      `json:"through_ceiling,omitempty"` // upright, through a ceiling without an opening: no finding
	// What documents of an earlier version have not is marked added.
	ExcusedPairs  []ExcusedPair `json:"excused_pairs" added:"later"` // the same pair by pair; in JSON alone
	Questions     []Question    `json:"questions" added:"later"`
	Joints        []Joint       `json:"joints" added:"later"` // no findings; they count for the exit status
	JointCount    int           `json:"joint_count" added:"later"`
	Warnings      []Issue       `json:"warnings"`
	InputProblems []Issue       `json:"problems"`
	Unchecked     []Note        `json:"unchecked"`
	Cautions      []string      `json:"cautions"`
}
