package void

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"
	"unicode"

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
	Module    float64 // of tiles: from one to the next, mm; 0 where it has none
}

// TileModule is the module of tiles that say none, mm: common practice, no source.
const TileModule = 600.0

// BuildUp is the layers of a ceiling from the finished face up.
type BuildUp struct {
	Name   string
	Layers []Layer
	Row    At
}

// thickness returns the height of all layers together, mm.
func (b BuildUp) thickness() float64 {
	t := 0.0
	for _, l := range b.Layers {
		t += l.Thickness
	}
	return t
}

// LiftsOut reports whether the ceiling can be lifted out to reach what lies over it: its face does, the first of its
// layers, for what carries the face leaves openings of its size. A build-up without layers does not.
func (b BuildUp) LiftsOut() bool { return len(b.Layers) > 0 && b.Layers[0].LiftsOut }

// Module returns by how much what is set into the ceiling moves at a time, mm: that of its tiles; 0 where it may stand anywhere.
func (b BuildUp) Module() float64 {
	for _, l := range b.Layers {
		if l.Module > 0 {
			return l.Module
		}
	}
	return 0
}

// Bay is one bay: a plan rectangle between soffit and ceiling.
type Bay struct {
	Name    string
	Label   string // Name, with the storey where two storeys use the name
	Storey  int
	Plan    r2.Rect
	Soffit  float64 // above the project datum
	Trough  float64 // how far above the soffit services may stand, mm: the troughs of a deck, a coffer
	Ceiling float64 // finished face, above the project datum; valid when HasCeiling
	Top     float64 // top of the build-up; the finished face where there is none
	// HasCeiling is false where the bay is open to the soffit, or nobody said (Unsaid).
	HasCeiling bool
	Unsaid     bool // the ceiling cell is blank
	Drawn      DrawnLevels
	BuildUp    int // index into Project.BuildUps, -1 for none
	Row        At

	row  int32 // in the project's rows of bays
	next int32 // the next bay of the same name, -1 for none
}

// DrawnLevels are soffit, ceiling and top of the build-up of a bay as the tables have them, whatever was found on site.
type DrawnLevels struct {
	Soffit, Ceiling, Top float64
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
	// Sheets: the tables are sheets of a workbook, and a row is told as trays!A7, not as trays.csv:7.
	Sheets bool

	Storeys  []Storey   // from the lowest up
	GridX    []GridLine // lines of constant x, by position
	GridY    []GridLine // lines of constant y, by position
	BuildUps []BuildUp
	Bays     []Bay // by storey and name
	Hangers  []Hanger
	Openings []Opening
	Spaces   []Space
	Supports []SetSupport // in the order of their rows
	Gaps     []GapRow

	Problems    []Problem
	Warnings    []Problem
	Told        []Note
	RowsMissing int // rows that are not part of the answer

	rows struct {
		origins  []OriginRow
		levels   []LevelRow
		grid     []GridRow
		buildups []BuildUpRow
		bays     chunks[bayCells]
		hangers  []HangerRow
		openings chunks[OpeningRow]
		access   chunks[AccessRow]
		surveyed []SurveyRow
		supports chunks[SupportRow]
	}
	survey     *survey                 // what was found on site; nil where nothing was
	readAs     map[string]writtenLevel // by folded id: of rows that were surveyed, what they said of their level then
	origin     origin
	zones      zoneList
	openingAt  []int32            // by row of openings: index into Openings, -1 where the row is missing
	spaceAt    []int32            // by row of access: index into Spaces
	supportAt  []int32            // by row of supports: index into Supports
	supportNo  []int32            // by row of supports: its number, whoever gave it
	runRows    map[string][]int32 // by runKey: the rows of runs that supports.csv names, and maybe some that are of them no more; nil until it is asked for
	ids        idTable
	alikes     alikes
	words      wordList
	gridded    []gridded // the grid lines that places of zones are from; the first is of none
	griddedOf  map[[4]int32]int32
	namedSizes map[string]*namedSize
	filling    filling
	characters []Character
	charOf     map[charKey]int32
	raws       []rawCharacter
	rawIndex   map[rawKey]int32
	rawRecent  [rawRecent]int32
	storeyOf   map[string]int
	bayNamed   map[string]int32 // the first bay of a folded name
	labelled   map[string]int32 // bays by their folded labels; nil until it is asked for
	buildUpOf  map[string]int
	gridOf     map[string][2]int // folded label -> index+1 in GridX, in GridY
	hangerOf   map[string]int
	bayTiles   []tiles   // by storey
	highest    []float64 // by storey: no soffit of its bays is above
	beamTiles  []tiles
	framedRows map[string][]int32 // see framed; nil until an edit asks

	resolves int // how often Resolve was called

	// For edits; nil until one wants them.
	edited       bool
	typed        typed                                             // by edits
	typedBays    typed                                             // by edits of bays, by row of bays.csv
	originals    func(at At, column string) (text string, ok bool) // see Originals
	onSteel      []tiles                                           // by storey: zones that hang on the steel
	joinedBy     map[string][]int32                                // by folded id: zones that join it, or did
	openingsOf   map[string][]int32                                // by folded id: rows of openings.csv
	openingsHung []int32                                           // rows of openings.csv whose level hangs on the steel
	spacesOf     map[string][]int32                                // by folded id: rows of access.csv
	supportsOf   map[string][]int32                                // by folded id: rows of supports.csv
	supportsRun  map[string][]int32                                // by runKey: rows of supports.csv

	told     tellings
	tallies  tallies          // of Problems
	warned   tallies          // of Warnings
	unkept   counts           // of both, what may be forgotten and is only counted
	piles    map[pile]int32   // numbers of what is in unkept
	by       teller           // who tells
	toldOnce map[string]bool  // words of hangers
	wordTold map[string]int32 // unknown words of zones: the zone that told it, -1 where its row is missing
	broken   map[string]bool
	notWhole map[string]bool
	// zonesMissing: some zone row is not there, so that what names one may not find it.
	zonesMissing bool
	missing      [parts]int // rows of RowsMissing that each part counted; none of byReader
}

// New returns an empty project with the files that its rows will name.
func New(name string, files []string) *Project {
	p := &Project{
		Name: name, Files: files, gridded: make([]gridded, 1), griddedOf: map[[4]int32]int32{}, namedSizes: map[string]*namedSize{},
		charOf: map[charKey]int32{}, rawIndex: map[rawKey]int32{}, wordTold: map[string]int32{}, told: tellings{}, tallies: tallies{}, warned: tallies{}, unkept: counts{}, piles: map[pile]int32{},
		toldOnce: map[string]bool{}, broken: map[string]bool{}, notWhole: map[string]bool{},
	}
	p.filling.p = p
	return p
}

// AddLevel adds a row of levels.csv. Like every Add, it keeps the row; what is wrong with it comes out of Resolve.
func (p *Project) AddLevel(r LevelRow) { p.rows.levels = append(p.rows.levels, r) }

// AddGrid adds a row of grid.csv.
func (p *Project) AddGrid(r GridRow) { p.rows.grid = append(p.rows.grid, r) }

// AddBuildUp adds a row of buildups.csv.
func (p *Project) AddBuildUp(r BuildUpRow) { p.rows.buildups = append(p.rows.buildups, r) }

// AddBay adds a row of bays.csv.
func (p *Project) AddBay(r BayRow) { p.rows.bays.add(p.packBay(&r)) }

// BayRows returns the number of rows of bays.csv that were added.
func (p *Project) BayRows() int { return p.rows.bays.n }

// AddGap adds a row of gaps.csv.
func (p *Project) AddGap(r GapRow) { p.Gaps = append(p.Gaps, r) }

// AddHanger adds a row of hangers.csv.
func (p *Project) AddHanger(r HangerRow) { p.rows.hangers = append(p.rows.hangers, r) }

// AddOpening adds a row of openings.csv.
func (p *Project) AddOpening(r OpeningRow) { p.rows.openings.add(r) }

// AddAccess adds a row of access.csv.
func (p *Project) AddAccess(r AccessRow) { p.rows.access.add(r) }

// AddSupport adds a row of supports.csv.
func (p *Project) AddSupport(r SupportRow) { p.rows.supports.add(r) }

// FileLine returns "file:line" of a row, "" for the zero At of something built in.
func (p *Project) FileLine(at At) string {
	if at.Line == 0 || int(at.File) >= len(p.Files) {
		return ""
	}
	if p.Sheets {
		return fmt.Sprintf("%s!A%d", strings.TrimSuffix(p.Files[at.File], ".csv"), at.Line)
	}
	return fmt.Sprintf("%s:%d", p.Files[at.File], at.Line)
}

// trouble is why something cannot be worked out, in the parts of a Problem; what is "" for no trouble.
type trouble struct {
	what, want, hint string
	far              Far
	guess            *guess // what looks for the hint
}

// leans is the trouble of a row that names something which may stand in a row that is missing: that
// row's problem is told, once, and this row is missing too.
const leans = "depends on a row that could not be read"

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

// once warns about a word only the first time it is met.
func (p *Project) once(at At, column, what, want, hint string) {
	key := column + "\x00" + what
	if p.toldOnce[key] {
		return
	}
	p.toldOnce[key] = true
	p.warn(at, column, what, want, hint)
}

// fold returns the form in which names are compared: blanks trimmed and single, no case, without the signs that nobody
// sees.
func fold(s string) string {
	blanks, upper, ascii := false, false, true
	for i := 0; i < len(s); i++ {
		switch c := s[i]; {
		case c >= 'A' && c <= 'Z':
			upper = true
		case c >= 0x7f:
			ascii = false
		case c <= ' ':
			blanks = blanks || c != ' ' || i == 0 || i == len(s)-1 || s[i-1] == ' '
		}
	}
	switch {
	case !ascii || blanks:
		return strings.ToLower(strings.Join(strings.Fields(strings.Map(seen, s)), " "))
	case upper:
		return strings.ToLower(s)
	}
	return s
}

// seen returns a sign of a name, or -1 for one that nobody sees: what does not print and is no blank (zero-width blanks
// and joiners, the soft hyphen, marks of direction, control characters), what only chooses the look of the sign before,
// and letters that are blanks to the eye.
func seen(r rune) rune {
	switch {
	case unicode.IsSpace(r):
		return r
	case unicode.IsControl(r), unicode.Is(unicode.Cf, r), unicode.Is(unicode.Variation_Selector, r):
		return -1
	}
	switch r {
	case '\u034f', '\u115f', '\u1160', '\u17b4', '\u17b5', '\u3164', '\uffa0': // joiners and fillers
		return -1
	case '\u2800': // a Braille cell without dots
		return ' '
	}
	return r
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
// of an earlier call are forgotten except those added by the reader before the first, and those of rows that are
// missing since.
func (p *Project) Resolve() {
	p.again(byFixed, byBays, byOver, bySurvey, byZone, byJoin, byOpening, bySpace, bySupport)
	p.toldOnce = map[string]bool{}
	p.resolves++
	p.onSteel, p.joinedBy, p.openingsOf = nil, nil, nil
	p.by = teller{part: byFixed}
	p.resolveOrigin()
	p.resolveStoreys()
	p.resolveGrid()
	p.resolveBuildUps()
	p.by = teller{part: byBays}
	p.resolveBays()
	p.by = teller{part: byFixed}
	p.resolveHangers()
	p.resolveZones()
	p.resolveOpenings()
	p.resolveAccess()
	p.resolveSupports()
	p.by = teller{}
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
			p.problem(r.At, "storey", fmt.Sprintf("storey %q is already in line %d", r.Storey.Text, p.Storeys[j].Row.Line), "one row for each storey", "")
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
	for i := range p.rows.bays.n {
		r := p.bayRow(i)
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
	p.miss(1)
	p.broken[table] = true
}

// miss counts rows that are missing.
func (p *Project) miss(n int) {
	p.RowsMissing += n
	p.missing[p.by.part] += n
}

// again forgets what parts of the work told and counted, which are to be done again.
func (p *Project) again(these ...part) {
	p.forgetParts(these...)
	for _, b := range these {
		p.RowsMissing -= p.missing[b]
		p.missing[b] = 0
	}
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
			p.problem(r.At, "label", fmt.Sprintf("grid line %q is already in line %d", r.Label.Text, at.Line), "one row for each grid line", "")
			bad = true
		}
		if bad {
			p.lost("grid")
			continue
		}
		seen[k] = r.At
		l := GridLine{Label: r.Label.Text, Position: p.origin.less(r.Position.MM, either(axis == "x", 0, 1))}
		if math.Abs(l.Position) > maxPlan {
			why := p.tooFar(r.Position.Text, r.Position.MM, either(axis == "x", 0, 1))
			p.troubled(r.At, "position", why)
			p.lost("grid")
			continue
		}
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

// place returns the coordinate that a cell of a table names: axis 0 for x, 1 for y.
func (p *Project) place(c cell.Place, axis int) (float64, trouble) {
	if c.Line == "" {
		c.MM = p.origin.less(c.MM, axis)
	}
	return p.point(c, axis)
}

// point returns the coordinate of a grid line and an offset, or of a number less the project's origin.
func (p *Project) point(c cell.Place, axis int) (float64, trouble) {
	mm, want := c.MM, "a number or a grid line of grid.csv"
	if c.Line != "" {
		at := p.gridOf[fold(c.Line)]
		hint := func() string { return date(c.Text, near(c.Line, p.gridLabels(axis))) }
		switch {
		case at[axis] != 0 && axis == 0:
			mm = p.GridX[at[0]-1].Position + mm
		case at[axis] != 0:
			mm = p.GridY[at[1]-1].Position + mm
		case p.broken["grid"]:
			return 0, trouble{what: leans}
		case at[1-axis] != 0:
			return 0, trouble{what: fmt.Sprintf("grid line %q is a line of the other axis", c.Line), want: want, hint: hint()}
		default:
			return 0, trouble{what: fmt.Sprintf("no grid line %q in grid.csv", c.Line), want: want, hint: hint()}
		}
	}
	if math.Abs(mm) > maxPlan {
		return 0, p.tooFar(c.Text, p.origin.whole(mm, axis), axis)
	}
	return mm, trouble{}
}

// gridLines returns the index of the grid lines that the places of a zone are from.
func (p *Project) gridLines(labels [4]string) int32 {
	var g gridded
	for k, label := range labels {
		g.line[k] = p.words.index(label)
	}
	i, ok := p.griddedOf[g.line]
	if !ok {
		p.resolveLines(&g)
		i = int32(len(p.gridded))
		p.gridded = append(p.gridded, g)
		p.griddedOf[g.line] = i
	}
	return i
}

// resolveGridded finds the grid lines that zones name.
func (p *Project) resolveGridded() {
	for i := range p.gridded {
		p.resolveLines(&p.gridded[i])
	}
}

func (p *Project) resolveLines(g *gridded) {
	g.at, g.found = [4]float64{}, true
	for k, w := range g.line {
		if w == 0 {
			continue
		}
		switch at := p.gridOf[fold(p.word(w))][k%2]; {
		case at == 0:
			g.found = false
		case k%2 == 0:
			g.at[k] = p.GridX[at-1].Position
		default:
			g.at[k] = p.GridY[at-1].Position
		}
	}
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
				what = fmt.Sprintf("%q is negative", r.Thickness.Text)
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
		lifts, module := r.LiftsOut.On, r.Module.MM
		tile := strings.Contains(fold(r.Layer.Text), "tile")
		if r.LiftsOut.Text == "" {
			// Tiles and the grid that carries them lift out unless the row says otherwise.
			lifts = tile || strings.Contains(fold(r.Layer.Text), "grid")
		}
		if tile && r.Module.Text == "" {
			module = TileModule
		}
		if module < 0 {
			p.problem(r.At, "module", fmt.Sprintf("%q is negative", r.Module.Text), "the size of a tile in millimetres", "")
			module = 0
		}
		p.BuildUps[j].Layers = append(p.BuildUps[j].Layers, Layer{Name: r.Layer.Text, Thickness: r.Thickness.MM, LiftsOut: lifts, Module: module})
	}
}

// Hanger is what holds a service up: the parts under it (and over it), mm.
type Hanger struct {
	Name  string
	Under float64 // height of what hangs under the service
	Over  float64 // height of what sits over it
	Width float64 // plan width of the widest part, under the service or over it; 0: as long as the service wants it
	// UnderWidth is the plan width of the widest part under the service; 0: as wide as the service and 160.
	UnderWidth float64
	// From is what it hangs from: soffit, deck, beam flange, purlin, wall; "" where nobody says.
	From string
	Rods int     // rods of one support; 0 where nobody says, or there are none
	Rod  float64 // their diameter; 0 where neither the hanger nor its parts say
	// Parts are in the order of the table, from the service outwards.
	Parts []HangerPart
	Row   At // zero for a built-in hanger
}

// HangerPart is one part of a hanger with its height.
type HangerPart struct {
	Name   string
	Height float64 // of a part inside the channel what it takes of the channel's height: it counts nothing under the service
	Width  float64 // plan width as the row says; of a built-in part its own; 0: not known
	Over   bool
	Inside bool // inside the channel: side inside, or height 0
}

// maxPart bounds a part of a hanger, mm.
const maxPart = 1e5

// hangFrom is what a hanger may hang from.
var hangFrom = []string{"soffit", "deck", "beam", "beam flange", "purlin", "wall"}

// sides of a part of a hanger, by what rows may call them.
var partSide = map[string]HangerPart{
	"": {}, "under": {}, "below": {}, "over": {Over: true}, "above": {Over: true}, "inside": {Inside: true}, "in": {Inside: true},
}

func (p *Project) resolveHangers() {
	p.Hangers, p.hangerOf = nil, map[string]int{}
	for i := range p.rows.hangers {
		r := &p.rows.hangers[i]
		name := fold(r.Hanger.Text)
		side := fold(r.Side.Text)
		part, known := partSide[side]
		switch {
		case name == "":
			p.problem(r.At, "hanger", "blank", "the name of the hanger", "")
		case r.Height.Text == "" || r.Height.MM < 0:
			p.problem(r.At, "height", fmt.Sprintf("%q is not the height of a part", r.Height.Text), "millimetres, 0 for a part inside another", "")
		case !known:
			p.problem(r.At, "side", fmt.Sprintf("%q is not a side of the service", r.Side.Text), "under, over, or inside (the channel)", "")
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
			part.Name, part.Height, part.Width = r.Part.Text, r.Height.MM, r.Width.MM
			part.Inside = part.Inside || part.Height == 0
			h.add(part)
			p.hung(h, r)
			continue
		}
		p.NotWhole("hangers", r.Hanger.Text)
		p.lost("hangers")
	}
	for i := range p.Hangers {
		h := &p.Hangers[i]
		h.Rod = rodOf(h)
		p.fitInside(h)
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
	h := builtInHanger(b)
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
