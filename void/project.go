package void

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"

	"voidline/void/catalogue"
	"voidline/void/cell"
	"voidline/void/vocabulary"
)

// Hair is the length in mm below which two lengths are equal in every comparison.
const Hair = 0.001

// Bounds of everything that is placed, mm (design: |x|, |y| <= 10 km, |z| <= 2 km).
const (
	maxPlan  = 1e7
	maxLevel = 2e6
)

// Storey is one storey: levels above the project datum, mm.
type Storey struct {
	Name   string
	FFL    float64
	SSL    float64
	HasSSL bool
	Datum  float64 // height of the datum line above FFL
	Row    At
}

// GridLine is one grid line: all points of one x (axis x) or one y.
type GridLine struct {
	Label    string
	Position float64
}

// Layer is one layer of a build-up.
type Layer struct {
	Name      string
	Thickness float64
	LiftsOut  bool
}

// BuildUp is the layers of a ceiling from the finished face up.
type BuildUp struct {
	Name   string
	Layers []Layer
	Row    At
}

// Thickness returns the height of all layers together, mm.
func (b BuildUp) Thickness() float64 {
	t := 0.0
	for _, l := range b.Layers {
		t += l.Thickness
	}
	return t
}

// LiftsOut reports whether the finished face, and all above it, can be lifted out to reach what lies over it:
// every layer lifts out. A build-up without layers does not.
func (b BuildUp) LiftsOut() bool {
	for _, l := range b.Layers {
		if !l.LiftsOut {
			return false
		}
	}
	return len(b.Layers) > 0
}

// Bay is one bay: a plan rectangle between soffit and ceiling.
type Bay struct {
	Name    string
	Label   string // Name, with the storey where two storeys use the name
	Storey  int
	Plan    r2.Rect
	Soffit  float64 // above the project datum
	Ceiling float64 // finished face, above the project datum; valid when HasCeiling
	Top     float64 // top of the build-up; the finished face where there is none
	// HasCeiling is false where the bay is open to the soffit, or nobody said (Unsaid).
	HasCeiling bool
	Unsaid     bool // the ceiling cell is blank
	BuildUp    int  // index into Project.BuildUps, -1 for none
	Row        At

	written BayRow
}

// Void returns the interval of levels from the top of the build-up (or, in an open bay, the FFL
// given) to the soffit.
func (b *Bay) Void(ffl float64) r1.Interval {
	lo := ffl
	if b.HasCeiling {
		lo = b.Top
	}
	return r1.Interval{Lo: lo, Hi: b.Soffit}
}

// CeilingID returns the zone id of the bay's ceiling.
func (b *Bay) CeilingID() string { return "ceiling " + b.Label }

// SoffitID returns the zone id of the bay's soffit.
func (b *Bay) SoffitID() string { return "soffit " + b.Label }

// Note is something told about the input that is no problem: what cannot be checked, and why.
type Note struct {
	Zone string
	Bay  string
	Row  At
	Text string
}

// Project is a building as its tables describe it.
type Project struct {
	Name  string
	Files []string // by At.File; slash-separated, relative to the project folder

	Storeys  []Storey   // from the lowest up
	GridX    []GridLine // lines of constant x, by position
	GridY    []GridLine // lines of constant y, by position
	BuildUps []BuildUp
	Bays     []Bay // by storey and name
	Hangers  []Hanger
	Openings []Opening
	Spaces   []Space
	Gaps     []GapRow

	Problems    []Problem
	Warnings    []Problem
	Told        []Note
	RowsMissing int // rows that are not part of the answer

	rows struct {
		levels   []LevelRow
		grid     []GridRow
		buildups []BuildUpRow
		bays     []BayRow
		hangers  []HangerRow
		openings []OpeningRow
		access   []AccessRow
	}
	zones      zoneList
	words      []string // what many rows say, each once; the first is ""
	wordOf     map[string]int32
	block      []int32 // bays of zones, many zones to a block
	characters []Character
	charOf     map[charKey]int32
	rawChar    map[rawKey]int32
	storeyOf   map[string]int
	bayOf      map[bayKey]int
	buildUpOf  map[string]int
	gridOf     map[string][2]int // folded label -> index+1 in GridX, in GridY
	zoneOf     map[string]int32
	hangerOf   map[string]int
	bayTiles   []tiles // by storey
	beamTiles  []tiles
	toldOnce   map[string]bool
	resolved   bool
	broken     map[string]bool
	notWhole   map[string]bool
	// zonesMissing: some zone row is not there, so that what names one may not find it.
	zonesMissing bool
	base         tallies
}

type bayKey struct {
	storey int
	name   string
}

// New returns an empty project with the files that its rows will name.
func New(name string, files []string) *Project {
	return &Project{
		Name: name, Files: files,
		words: []string{""}, wordOf: map[string]int32{},
		charOf: map[charKey]int32{}, rawChar: map[rawKey]int32{}, zoneOf: map[string]int32{}, toldOnce: map[string]bool{}, broken: map[string]bool{}, notWhole: map[string]bool{},
	}
}

// AddLevel adds a row of levels.csv. Like every Add, it keeps the row; what is wrong with it comes out of Resolve.
func (p *Project) AddLevel(r LevelRow) { p.rows.levels = append(p.rows.levels, r) }

// AddGrid adds a row of grid.csv.
func (p *Project) AddGrid(r GridRow) { p.rows.grid = append(p.rows.grid, r) }

// AddBuildUp adds a row of buildups.csv.
func (p *Project) AddBuildUp(r BuildUpRow) { p.rows.buildups = append(p.rows.buildups, r) }

// AddBay adds a row of bays.csv.
func (p *Project) AddBay(r BayRow) { p.rows.bays = append(p.rows.bays, r) }

// AddGap adds a row of gaps.csv.
func (p *Project) AddGap(r GapRow) { p.Gaps = append(p.Gaps, r) }

// AddHanger adds a row of hangers.csv.
func (p *Project) AddHanger(r HangerRow) { p.rows.hangers = append(p.rows.hangers, r) }

// AddOpening adds a row of openings.csv.
func (p *Project) AddOpening(r OpeningRow) { p.rows.openings = append(p.rows.openings, r) }

// AddAccess adds a row of access.csv.
func (p *Project) AddAccess(r AccessRow) { p.rows.access = append(p.rows.access, r) }

// FileLine returns "file:line" of a row, "" for the zero At of something built in.
func (p *Project) FileLine(at At) string {
	if at.Line == 0 || int(at.File) >= len(p.Files) {
		return ""
	}
	return fmt.Sprintf("%s:%d", p.Files[at.File], at.Line)
}

// trouble is why something cannot be worked out, in the parts of a Problem; what is "" for no trouble.
type trouble struct{ what, want, hint string }

// leans is the trouble of a row that names something which may stand in a row that is missing: that
// row's problem is told, once, and this row is missing too.
const leans = "leans on a row that is missing"

// Broken says that a fixed table ("levels", "grid", "buildups", "bays", "hangers") or, as "zones", some
// trade's table could not be read whole: what its missing rows would have named is no problem of the
// rows that name it.
func (p *Project) Broken(table string) {
	p.broken[table] = true
	if table == "zones" {
		p.zonesMissing = true
	}
}

// NotWhole says that a row of a build-up ("buildups") or of a hanger ("hangers") is missing: what names
// it is missing too, for its height would be wrong. "" stands for any of them.
func (p *Project) NotWhole(table, name string) { p.notWhole[table+" "+fold(name)] = true }

// isWhole reports whether no row of a build-up or hanger is missing.
func (p *Project) isWhole(table, name string) bool {
	return !p.notWhole[table+" "] && !p.notWhole[table+" "+fold(name)]
}

// blank says of a cell that it is blank, or quotes it.
func blank(text, isNot string) string {
	if text == "" {
		return "blank"
	}
	return fmt.Sprintf("%q %s", text, isNot)
}

func (p *Project) problem(at At, column, what, want, hint string) {
	if what == leans {
		return
	}
	p.Problems = append(p.Problems, p.say(at, column, what, want, hint))
}

func (p *Project) warn(at At, column, what, want, hint string) {
	p.Warnings = append(p.Warnings, p.say(at, column, what, want, hint))
}

func (p *Project) say(at At, column, what, want, hint string) Problem {
	pr := Problem{Line: int(at.Line), Cell: column, What: what, Want: want, Hint: hint}
	if at.Line > 0 && int(at.File) < len(p.Files) {
		pr.File = p.Files[at.File]
	}
	return pr
}

// once warns about a word only the first time it is met.
func (p *Project) once(at At, column, what, want, hint string) {
	key := column + "\x00" + what
	if p.toldOnce[key] {
		return
	}
	p.toldOnce[key] = true
	p.warn(at, column, what, want, hint)
}

// fold returns the form in which names are compared: blanks trimmed and single, no case.
func fold(s string) string {
	blanks, upper, ascii := false, false, true
	for i := 0; i < len(s); i++ {
		switch c := s[i]; {
		case c >= 'A' && c <= 'Z':
			upper = true
		case c >= 0x80:
			ascii = false
		case c <= ' ':
			blanks = blanks || c != ' ' || i == 0 || i == len(s)-1 || s[i-1] == ' '
		}
	}
	switch {
	case !ascii || blanks:
		return strings.ToLower(strings.Join(strings.Fields(s), " "))
	case upper:
		return strings.ToLower(s)
	}
	return s
}

// near returns a hint that names the nearest of the known words, "" where none is near.
func near(text string, among []string) string {
	if n, ok := vocabulary.Nearest(text, among); ok {
		return fmt.Sprintf("did you mean %q?", n)
	}
	return ""
}

// mean returns a hint that names a word, "" where there is none.
func mean(word string, ok bool) string {
	if !ok {
		return ""
	}
	return fmt.Sprintf("did you mean %q?", word)
}

// date adds to a hint that the text looks like a date that a spreadsheet made.
func date(text, hint string) string {
	if was, ok := cell.LooksLikeDate(text); ok {
		d := fmt.Sprintf("this looks like a date that a spreadsheet made of %q: format the column as text and type it again", was)
		if hint == "" {
			return d
		}
		return hint + "; " + d
	}
	return hint
}

// Resolve works everything out. It may be called again after an Edit; problems, warnings and notes
// of an earlier call are forgotten except those added by the reader before the first.
func (p *Project) Resolve() {
	if !p.resolved {
		p.base = tallies{len(p.Problems), len(p.Warnings), len(p.Told), p.RowsMissing}
		p.resolved = true
	} else {
		p.settle()
	}
	p.resolveStoreys()
	p.resolveGrid()
	p.resolveBuildUps()
	p.resolveBays()
	p.resolveHangers()
	p.resolveZones()
	p.resolveOpenings()
	p.resolveAccess()
}

// tallies counts what has been told.
type tallies struct{ problems, warnings, told, missing int }

// settle forgets what an earlier Resolve told; what was told while reading stays.
func (p *Project) settle() {
	p.Problems, p.Warnings = p.Problems[:p.base.problems], p.Warnings[:p.base.warnings]
	p.Told, p.RowsMissing = p.Told[:p.base.told], p.base.missing
}

func (p *Project) resolveStoreys() {
	p.Storeys, p.storeyOf = nil, map[string]int{}
	for i := range p.rows.levels {
		r := &p.rows.levels[i]
		name := fold(r.Storey.Text)
		if name == "" && len(p.rows.levels) > 1 {
			p.problem(r.At, "storey", "blank", "the name of the storey", "")
			p.lost("levels")
			continue
		}
		if j, ok := p.storeyOf[name]; ok {
			p.problem(r.At, "storey", fmt.Sprintf("storey %q is there already, in line %d", r.Storey.Text, p.Storeys[j].Row.Line), "one row a storey", "")
			p.lost("levels")
			continue
		}
		if r.FFL.Text == "" {
			p.problem(r.At, "ffl", "blank", "the finished floor level above the project datum", "")
			p.lost("levels")
			continue
		}
		metres := false
		for _, c := range []struct {
			name string
			cell.Length
		}{{"ffl", r.FFL}, {"ssl", r.SSL}, {"datum", r.Datum}} {
			if v := math.Abs(c.MM); v > 0 && v < 20 && !strings.HasSuffix(strings.TrimSpace(c.Text), "m") {
				p.problem(r.At, c.name, fmt.Sprintf("%q is too small for a level in millimetres", c.Text), "millimetres above the project datum",
					c.Text+" is surely metres: write "+fmt.Sprint(c.MM*1000)+" or "+c.Text+" m")
				metres = true
			}
		}
		if metres {
			p.lost("levels")
			continue
		}
		s := Storey{Name: r.Storey.Text, FFL: r.FFL.MM, SSL: r.SSL.MM, HasSSL: r.SSL.Text != "", Datum: 1000, Row: r.At}
		if r.Datum.Text != "" {
			s.Datum = r.Datum.MM
		}
		if math.Abs(s.FFL) > maxLevel || math.Abs(s.SSL) > maxLevel {
			p.problem(r.At, "ffl", "more than 2 km from the project datum", "a level within 2 km", "")
			p.lost("levels")
			continue
		}
		p.storeyOf[name] = len(p.Storeys)
		p.Storeys = append(p.Storeys, s)
	}
	if len(p.rows.levels) > 0 {
		slices.SortStableFunc(p.Storeys, func(a, b Storey) int {
			return cmp.Or(cmp.Compare(a.FFL, b.FFL), Natural(a.Name, b.Name))
		})
		for i := range p.Storeys {
			p.storeyOf[fold(p.Storeys[i].Name)] = i
		}
		return
	}
	// Without levels.csv there is one storey, whose FFL is the project datum.
	name, at := "", At{}
	for i := range p.rows.bays {
		r := &p.rows.bays[i]
		switch {
		case r.Storey.Text == "":
		case name == "":
			name, at = r.Storey.Text, r.At
		case fold(name) != fold(r.Storey.Text) && !p.broken["levels"]:
			p.broken["levels"] = true
			p.problem(r.At, "storey", fmt.Sprintf("a second storey, %q beside %q", r.Storey.Text, name),
				"levels.csv with the FFL of each storey", "one storey alone needs no levels.csv")
		}
	}
	p.Storeys = []Storey{{Name: name, Datum: 1000, Row: at}}
	p.storeyOf[fold(name)] = 0
}

// lost counts a row of a fixed table that is missing.
func (p *Project) lost(table string) {
	p.RowsMissing++
	p.broken[table] = true
}

func (p *Project) resolveGrid() {
	p.GridX, p.GridY, p.gridOf = nil, nil, map[string][2]int{}
	type key struct {
		axis  string
		label string
	}
	seen := map[key]At{}
	for i := range p.rows.grid {
		r := &p.rows.grid[i]
		axis := fold(r.Axis.Text)
		bad := false
		if axis != "x" && axis != "y" {
			p.problem(r.At, "axis", fmt.Sprintf("%q is not an axis", r.Axis.Text), "x (a line of constant x) or y", "")
			bad = true
		}
		if r.Label.Text == "" {
			p.problem(r.At, "label", "blank", "the grid line's letter or number", "")
			bad = true
		}
		if r.Position.Text == "" {
			p.problem(r.At, "position", "blank", "millimetres along the axis", "")
			bad = true
		}
		k := key{axis, fold(r.Label.Text)}
		if at, ok := seen[k]; ok && !bad {
			p.problem(r.At, "label", fmt.Sprintf("grid line %q is there already, in line %d", r.Label.Text, at.Line), "one row a grid line", "")
			bad = true
		}
		if bad {
			p.lost("grid")
			continue
		}
		seen[k] = r.At
		l := GridLine{Label: r.Label.Text, Position: r.Position.MM}
		if axis == "x" {
			p.GridX = append(p.GridX, l)
		} else {
			p.GridY = append(p.GridY, l)
		}
	}
	for _, g := range [][]GridLine{p.GridX, p.GridY} {
		sort.SliceStable(g, func(i, j int) bool { return g[i].Position < g[j].Position })
	}
	for i, l := range p.GridX {
		e := p.gridOf[fold(l.Label)]
		e[0] = i + 1
		p.gridOf[fold(l.Label)] = e
	}
	for i, l := range p.GridY {
		e := p.gridOf[fold(l.Label)]
		e[1] = i + 1
		p.gridOf[fold(l.Label)] = e
	}
}

// place returns the coordinate that a place names: axis 0 for x, 1 for y.
func (p *Project) place(line string, mm float64, axis int) (float64, string) {
	if line == "" {
		if math.Abs(mm) > maxPlan {
			return 0, "more than 10 km from the origin"
		}
		return mm, ""
	}
	e := p.gridOf[fold(line)]
	if e[axis] == 0 && p.broken["grid"] {
		return 0, leans
	}
	if e[axis] == 0 {
		if e[1-axis] != 0 {
			return 0, fmt.Sprintf("grid line %q is a line of the other axis", line)
		}
		return 0, fmt.Sprintf("no grid line %q in grid.csv", line)
	}
	at := p.GridX
	if axis == 1 {
		at = p.GridY
	}
	v := at[e[axis]-1].Position + mm
	if math.Abs(v) > maxPlan {
		return 0, "more than 10 km from the origin"
	}
	return v, ""
}

func (p *Project) gridLabels(axis int) []string {
	at := p.GridX
	if axis == 1 {
		at = p.GridY
	}
	out := make([]string, len(at))
	for i, l := range at {
		out[i] = l.Label
	}
	return out
}

func (p *Project) resolveBuildUps() {
	p.BuildUps, p.buildUpOf = nil, map[string]int{}
	for i := range p.rows.buildups {
		r := &p.rows.buildups[i]
		if r.BuildUp.Text == "" {
			p.problem(r.At, "buildup", "blank", "the name of the build-up", "")
			p.lost("buildups")
			continue
		}
		if r.Thickness.Text == "" || r.Thickness.MM < 0 {
			what := "blank"
			if r.Thickness.Text != "" {
				what = fmt.Sprintf("%q is below nothing", r.Thickness.Text)
			}
			p.problem(r.At, "thickness", what, "the thickness of the layer in millimetres", "")
			p.NotWhole("buildups", r.BuildUp.Text)
			p.lost("buildups")
			continue
		}
		name := fold(r.BuildUp.Text)
		j, ok := p.buildUpOf[name]
		if !ok {
			j = len(p.BuildUps)
			p.buildUpOf[name] = j
			p.BuildUps = append(p.BuildUps, BuildUp{Name: r.BuildUp.Text, Row: r.At})
		}
		lifts := r.LiftsOut.On
		if r.LiftsOut.Text == "" {
			// Tiles and the grid that carries them lift out unless the row says otherwise.
			l := fold(r.Layer.Text)
			lifts = strings.Contains(l, "tile") || strings.Contains(l, "grid")
		}
		p.BuildUps[j].Layers = append(p.BuildUps[j].Layers, Layer{Name: r.Layer.Text, Thickness: r.Thickness.MM, LiftsOut: lifts})
	}
}

// Hanger is what holds a service up: the parts under it (and over it), mm.
type Hanger struct {
	Name  string
	Under float64 // height of what hangs under the service
	Over  float64 // height of what sits over it
	Width float64 // plan width of the widest part under the service; 0: as wide as the service and 160
	Parts []HangerPart
	Row   At // zero for a built-in hanger
}

// HangerPart is one part of a hanger with its height.
type HangerPart struct {
	Name   string
	Height float64
	Over   bool
}

// maxPart bounds a part of a hanger, mm.
const maxPart = 1e5

// hangFrom is what a hanger may hang from.
var hangFrom = []string{"soffit", "deck", "beam", "beam flange", "purlin", "wall"}

func (p *Project) resolveHangers() {
	p.Hangers, p.hangerOf = nil, map[string]int{}
	for i := range p.rows.hangers {
		r := &p.rows.hangers[i]
		name := fold(r.Hanger.Text)
		side := fold(r.Side.Text)
		over := side == "over" || side == "above"
		switch {
		case name == "":
			p.problem(r.At, "hanger", "blank", "the name of the hanger", "")
		case r.Height.Text == "" || r.Height.MM < 0:
			p.problem(r.At, "height", fmt.Sprintf("%q is not the height of a part", r.Height.Text), "millimetres, 0 for a part inside another", "")
		case side != "" && !over && side != "under" && side != "below":
			p.problem(r.At, "side", fmt.Sprintf("%q is not a side of the service", r.Side.Text), "under or over", "")
		case r.Height.MM > maxPart:
			p.problem(r.At, "height", fmt.Sprintf("%q is more than 100 m", r.Height.Text), "millimetres", "")
		case r.Width.MM < 0 || r.Width.MM > maxPart:
			p.problem(r.At, "width", fmt.Sprintf("%q is not the width of a part", r.Width.Text), "millimetres, at most 100 m", "")
		case r.Rods.Value != math.Trunc(r.Rods.Value):
			p.problem(r.At, "rods", fmt.Sprintf("%q is not a number of rods", r.Rods.Text), "a whole number", "")
		default:
			j, ok := p.hangerOf[name]
			if !ok {
				j = len(p.Hangers)
				p.hangerOf[name] = j
				p.Hangers = append(p.Hangers, Hanger{Name: r.Hanger.Text, Row: r.At})
			}
			if from := fold(r.From.Text); from != "" && !slices.Contains(hangFrom, from) {
				p.once(r.At, "from", fmt.Sprintf("%q is not a place to hang from known by name", r.From.Text), strings.Join(hangFrom, ", "), near(from, hangFrom))
			}
			h := &p.Hangers[j]
			h.Parts = append(h.Parts, HangerPart{r.Part.Text, r.Height.MM, over})
			if over {
				h.Over += r.Height.MM
			} else {
				h.Under += r.Height.MM
				h.Width = math.Max(h.Width, r.Width.MM)
			}
			continue
		}
		p.NotWhole("hangers", r.Hanger.Text)
		p.lost("hangers")
	}
}

// hanger returns the index of a hanger by name: the project's own, or a built-in one, which is taken
// into Hangers when first named.
func (p *Project) hanger(name string) (int, bool) {
	if i, ok := p.hangerOf[fold(name)]; ok {
		return i, true
	}
	b, ok := catalogue.HangerByName(name)
	if !ok {
		return 0, false
	}
	if i, ok := p.hangerOf[fold(b.Name)]; ok {
		p.hangerOf[fold(name)] = i
		return i, true
	}
	h := Hanger{Name: b.Name}
	for _, part := range b.Parts {
		hp := HangerPart{Name: part.Name, Height: part.Height, Over: b.Over}
		if part.Inside {
			hp.Height = 0
		}
		h.Parts = append(h.Parts, hp)
		if b.Over {
			h.Over += hp.Height
		} else {
			h.Under += hp.Height
		}
	}
	i := len(p.Hangers)
	p.Hangers = append(p.Hangers, h)
	p.hangerOf[fold(b.Name)] = i
	p.hangerOf[fold(name)] = i
	return i, true
}

// nearHanger returns a hint that names the hanger nearest to a name, the project's own first.
func (p *Project) nearHanger(name string) string {
	var own []string
	for _, h := range p.Hangers {
		if h.Row.Line > 0 {
			own = append(own, h.Name)
		}
	}
	if hint := near(name, own); hint != "" {
		return hint
	}
	return mean(catalogue.NearestHanger(name))
}
