package finding

import (
	"slices"
	"strings"

	"voidline/clash/figure"
	"voidline/clash/rules"
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
	SupportNo *SupportNo `json:"support_no,omitempty"`
	// SupportWith is the support of another run that it meets; nil where it meets none.
	SupportWith *SupportNo `json:"support_with,omitempty" added:"later"`

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

// Mover returns the trade that a finding is counted with: that of the zone that has to move, or of a where the record names
// nobody.
func (f *Finding) Mover() string {
	if f.B != nil && f.GivesWay == *f.B && f.GivesWay != f.A {
		return f.BTrade
	}
	return f.ATrade
}

// SideWords says the side of a rule or of a space to people, who see no left and right: "below", "end, towards grid C", "north".
func (f *Finding) SideWords() string {
	switch {
	case f.Side == cell.Left || f.Side == cell.Right:
		if f.SideTowards == "" {
			return cell.Beside.String()
		}
		return TowardsWords(f.SideTowards)
	case f.SideTowards != "":
		return f.Side.String() + ", " + TowardsWords(f.SideTowards)
	}
	return f.Side.String()
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

// Round takes a place to the nearest 0.1 mm.
func (s *Spot) Round() {
	s.X, s.Y, s.Z, s.Level = figure.Tenth(s.X), figure.Tenth(s.Y), figure.Tenth(s.Z), figure.Tenth(s.Level)
}

// Depth is how far two bodies overlap: the least vertical and the least sideways shift that
// parts them. Sideways is null against a ceiling or a soffit, and where places are not known.
type Depth struct {
	Vertical float64  `json:"vertical"`
	Sideways *float64 `json:"sideways"`
}

// Also is another rule that the same pair breaks.
type Also struct {
	Rule  string       `json:"rule"`
	Side  cell.Towards `json:"side"`
	Gap   float64      `json:"gap"`
	Asked float64      `json:"asked"`
	Short float64      `json:"short"`
	Basis rules.Basis  `json:"basis"`
}

// TooDeep says that an end, or a thing without ends, goes deeper into another than the table of connections lets it.
type TooDeep struct {
	Of   string  `json:"of"`   // zone id of what goes into the other
	In   float64 `json:"in"`   // mm that it goes in
	Most float64 `json:"most"` // mm that such a connection goes at most
}

// Words says it for the note of a finding: into is the other.
func (t *TooDeep) Words(into string) string {
	return t.Of + " goes " + figure.Up(t.In) + " into " + into + "; a connection there goes " + figure.Down(t.Most) + " at most"
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

// Words says which hatch is nearest and what is between, for the note of a finding.
func (f *FromHatch) Words() string {
	s := "the nearest hatch, that of " + f.For + " (" + f.Row + "), is " + figure.Up(f.Away) + " away"
	switch {
	case f.Away > f.Reach+figure.Slack:
		s += "; through it one reaches " + figure.Down(f.Reach)
	case len(f.Between) == 1 && f.Between[0] == f.For:
		s += ", but there is no way past " + f.For + " itself for an arm that reaches " + figure.Down(f.Reach)
	case len(f.Between) > 0:
		s += ", but between them " + plural(len(f.Between), "is ", "are ") + strings.Join(f.Between, ", ")
	default:
		s += ", but the way round is longer than the " + figure.Down(f.Reach) + " that one reaches"
	}
	if f.From != "" {
		s += "; it is worked on from " + f.From
	}
	return s
}

func plural(n int, one, more string) string {
	if n == 1 {
		return one
	}
	return more
}

// HatchPlace is a place for a hatch from which an item is reached and where nothing stands in its shaft.
type HatchPlace struct {
	For     string  `json:"for"`     // zone id of what is reached from it
	Row     string  `json:"row"`     // file:line of the hatch that is moved there; "" for another hatch
	X       float64 `json:"x"`       // of its middle, mm
	Y       float64 `json:"y"`       // of its middle, mm
	Where   string  `json:"where"`   // that place, as the columns x and y of access.csv take it
	Size    string  `json:"size"`    // along x and y, "600x600"
	By      float64 `json:"by"`      // how far that is from where the hatch is now, mm; 0 for another hatch
	Towards string  `json:"towards"` // where that leads, a grid line or the compass; "" for another hatch
}

// SupportNo names a support: whose it is, and the number that it has there.
type SupportNo struct {
	Row    string `json:"row"`    // zone id; of a frame that of the first by id of the rows that it holds
	Number int    `json:"number"` // from 1, in the order of the row's length
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

// Longer is a longer channel with which a support is clear where it stands.
type Longer struct {
	By      float64 `json:"by"`      // how much longer than the one there now, mm
	Channel float64 `json:"channel"` // how long it then is, mm
}

// What findings call the trades of a ceiling and of a soffit, and what they are.
const (
	CeilingTrade   = "ceilings"
	StructureTrade = "structure"
	CeilingKind    = "ceiling"
	SoffitKind     = "soffit"
)

// SupportKind is what a finding calls the kind of a support.
const SupportKind = "support"

// SupportNos returns the supports that findings are about, each once, in their order.
func SupportNos(fs []Finding) []SupportNo {
	var out []SupportNo
	for i := range fs {
		for _, no := range [2]*SupportNo{fs[i].SupportNo, fs[i].SupportWith} {
			if no != nil && !slices.Contains(out, *no) {
				out = append(out, *no)
			}
		}
	}
	return out
}

// kinds are the kinds of finding in the order of their severity.
var kinds = [...]Kind{Overlap, Access, Tight}

// KindOf returns the kind of a severity.
func KindOf(severity uint8) Kind { return kinds[severity] }

// Severity returns the place of a kind in the order of severity, 0 the worst.
func Severity(k Kind) uint8 {
	switch k {
	case Overlap:
		return 0
	case Access:
		return 1
	}
	return 2
}
