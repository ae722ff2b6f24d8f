package void

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"

	"voidline/void/body"
	"voidline/void/cell"
)

// What was found on site goes before what is drawn, wherever levels are worked out, so that nothing that asks for a level needs to know
// of it:
//
//  1. Of a bay the lowest reading of its soffit counts, and the highest of its ceiling. What stands in the bay's row relative to what was
//     found (a ceiling of soffit-900) follows.
//  2. A beam takes the lowest of its readings, each compared with the beam as drawn at that place; any other row that is read by its id
//     likewise. An opening in it goes with it.
//  3. What would find more room than is drawn wants two readings at places apart: a soffit or a beam is never raised by one, a ceiling never
//     lowered. A row that is read by its id goes where it was found, up or down.
//  4. A floor is told, and moves nothing: levels to FFL come from the datum line.
//
// Rows with levels relative to what was found elsewhere than drawn follow, for they are worked out from it; where bays differ since they were
// surveyed, but not as drawn, the lowest soffit counts for a row, and the highest ceiling.

// SurveyApart is how far apart two places are at least whose readings tell of more than one place, mm: common practice, no source.
const SurveyApart = 1000.0

// Surveyed is what a reading of the survey is of.
type Surveyed string

// What is surveyed.
const (
	SurveyedSoffit  Surveyed = "soffit"
	SurveyedSteel   Surveyed = "steel"
	SurveyedCeiling Surveyed = "ceiling"
	SurveyedFloor   Surveyed = "floor"
	SurveyedZone    Surveyed = "zone"
	surveyedDatum   Surveyed = "datum" // a check of a set-up back to the datum line
)

// surveyWords are the words for what is surveyed, in the column what.
var surveyWords = map[string]Surveyed{
	"soffit": SurveyedSoffit, "slab": SurveyedSoffit, "deck": SurveyedSoffit, "steel": SurveyedSteel, "beam": SurveyedSteel,
	"ceiling": SurveyedCeiling, "floor": SurveyedFloor, "zone": SurveyedZone, "row": SurveyedZone, "service": SurveyedZone,
	"datum": surveyedDatum, "datum line": surveyedDatum, "datum check": surveyedDatum,
}

const wantSurveyed = "soffit, steel, ceiling, floor, zone, or datum (a check of the set-up)"

// Found is what was found of one thing.
type Found struct {
	What Surveyed
	Zone int // of steel or a zone: its index; -1 otherwise
	Bay  int // of a soffit, a ceiling or a floor; -1 otherwise
	// Drawn, Found and Counts are levels above the project datum, mm: as the tables have it without the survey; as found, of several readings
	// the lowest (of a ceiling or a floor the highest); what counts now: Found, or Drawn where one reading cannot say that there is more room.
	// Of a row that falls they are at the place of the reading that counts.
	Drawn, Found, Counts float64
	Readings             int
	Spread               float64 // the highest less the lowest, each against what is drawn at its place, mm
	Row                  At      // of the reading that counts
	Day, By              string  // of it
}

// SetUp is a set-up of the instrument, and its checks back to the datum line.
type SetUp struct {
	Name   string
	Storey int
	Checks int
	// Misclose is the highest reading of the datum line less the lowest, mm; of one reading 0.
	Misclose float64
	mean     float64 // of its readings; while they are read, their sum
	lowest   float64
}

// reading is a row of surveyed.csv that has a level.
type reading struct {
	row    At
	what   Surveyed
	height cell.Height // valid unless it is raw
	raw    bool        // over the line of the instrument
	mm     float64     // that reading
	storey int         // -1: that of the zone
	face   cell.Facing
	at     r2.Point // the place, where there is one
	placed bool
	level  float64 // above the project datum; of a zone worked out with it
	day    string
	by     string
}

// survey is what surveyed.csv says. It does not change until everything is resolved again.
type survey struct {
	readings []reading
	ofBay    map[int32][]int32  // readings of soffits, ceilings and floors
	ofZone   map[string][]int32 // by folded id; of beams that were named by a place, too
	loose    []looseReading     // of steel by its place or its bay
	setUps   []SetUp
	blank    int // rows without a level
	notSeen  int // of them, those that say why
	stray    bool
	refused  map[string]At   // by folded id: of rows that cannot be read as they are (upright, no beam), a reading that names them
	noDatum  map[string]bool // by storey and folded name: set-ups without a reading of the datum line that were told
}

// looseReading is a reading of steel without an id: of the lowest beam over a place or in a bay.
type looseReading struct {
	reading int32
	bay     int32
}

// Survey is what was found, as a whole.
type Survey struct {
	Readings int // rows with a level that count
	Blank    int // rows without one
	NotSeen  int // of Blank, those that say that nothing could be seen
	SetUps   []SetUp
	Days, By []string
	Found    []Found // soffits, ceilings, floors by bay, then zones by id
}

// HasSurvey reports whether anything was surveyed: whether there are rows of surveyed.csv.
func (p *Project) HasSurvey() bool { return len(p.rows.surveyed) > 0 }

// AddSurvey adds a row of surveyed.csv.
func (p *Project) AddSurvey(r SurveyRow) { p.rows.surveyed = append(p.rows.surveyed, r) }

// AsDrawn returns the project of the rows as they are now without what was surveyed.
func (p *Project) AsDrawn() *Project {
	q := p.withoutZones()
	q.rows.supports = p.rows.supports
	for i := range p.zones.n {
		if z := p.Zone(i); !z.Gone {
			r := p.written(z)
			q.AddZone(p.raws[z.raw].file, &r)
		}
	}
	q.Resolve()
	return q
}

// withoutZones returns a project with all rows of this one but those of zones, of supports and of what was surveyed; it is not resolved.
func (p *Project) withoutZones() *Project {
	q := New(p.Name, p.Files)
	q.rows.levels, q.rows.grid, q.rows.buildups, q.rows.hangers = p.rows.levels, p.rows.grid, p.rows.buildups, p.rows.hangers
	q.rows.openings, q.rows.access, q.Gaps = p.rows.openings, p.rows.access, p.Gaps
	q.broken, q.notWhole, q.zonesMissing = maps.Clone(p.broken), maps.Clone(p.notWhole), p.zonesMissing
	for _, r := range p.rows.origins {
		q.AddOrigin(r)
	}
	for i := range p.rows.bays.n {
		q.AddBay(p.bayRow(i))
	}
	return q
}

// Instead is a row that takes the place of a zone's own, or of a part of it: the zone's row with other cells. The first of a zone stands for it.
type Instead struct {
	Zone  int
	Cells []CellText
}

// Replaced returns the project of the rows as they are now with others in place of some: without supports.csv, and without what was surveyed
// of the rows that are replaced. A cell that will not do is a problem, and there is no project.
func (p *Project) Replaced(rows []Instead) (*Project, *Problem) {
	q := p.withoutZones()
	of := map[int][]int{}
	gone := map[string]bool{}
	for k := range rows {
		i := rows[k].Zone
		of[i], gone[fold(p.Zone(i).ID)] = append(of[i], k), true
	}
	for _, r := range p.rows.surveyed {
		if !gone[fold(r.Zone.Text)] {
			q.AddSurvey(r)
		}
	}
	for i := range p.zones.n {
		z := p.Zone(i)
		if z.Gone {
			continue
		}
		file := p.raws[z.raw].file
		if of[i] == nil {
			r := p.written(z)
			q.AddZone(file, &r)
		}
		for _, k := range of[i] {
			r := p.written(z)
			for _, c := range rows[k].Cells {
				if pr := p.setCell(&r, r.At, c.Column, c.Text, "a column of the zone tables"); pr != nil {
					return nil, pr
				}
			}
			q.AddZone(file, &r)
		}
	}
	q.Resolve()
	return q, nil
}

// bay notes a reading of a bay.
func (s *survey) addBay(j int32, k int32) { s.ofBay[j] = append(s.ofBay[j], k) }

// readSurvey reads the rows of surveyed.csv, and finds the bays that they name. Zones are found when they are known: see surveyZones.
func (p *Project) readSurvey() {
	p.survey = nil
	if len(p.rows.surveyed) == 0 {
		return
	}
	s := &survey{ofBay: map[int32][]int32{}, ofZone: map[string][]int32{}, refused: map[string]At{}}
	p.survey = s
	for i := range p.rows.surveyed {
		p.readDatum(&p.rows.surveyed[i])
	}
	for i := range s.setUps {
		s.setUps[i].mean /= float64(s.setUps[i].Checks)
	}
	slices.SortFunc(s.setUps, func(a, b SetUp) int { return cmp.Or(a.Storey-b.Storey, Natural(a.Name, b.Name)) })
	for i := range p.rows.surveyed {
		if r := &p.rows.surveyed[i]; surveyWords[fold(r.What.Text)] != surveyedDatum && !p.readReading(r) {
			s.stray = true
			p.miss(1)
		}
	}
}

// surveyBad tells a problem of a row.
func (p *Project) surveyBad(r *SurveyRow, column, what, want, hint string) bool {
	p.problem(r.At, column, what, want, hint)
	return false
}

// surveyStorey returns the storey that a row names, -1 where the cell is blank and there are several.
func (p *Project) surveyStorey(r *SurveyRow) (int, bool) {
	if r.Storey.Text == "" && len(p.Storeys) != 1 {
		return -1, true
	}
	s, what, hint := p.storey(r.Storey.Text)
	if what != "" {
		return -1, p.surveyBad(r, "storey", what, "a storey of levels.csv", hint)
	}
	return s, true
}

// open counts a row without a level; with one it returns false.
func (s *survey) open(r *SurveyRow) bool {
	if r.Level.Text != "" || r.Reading.Text != "" {
		return false
	}
	s.blank++
	if r.NotSeen.On {
		s.notSeen++
	}
	return true
}

// readDatum reads a check of a set-up back to the datum line.
func (p *Project) readDatum(r *SurveyRow) {
	s := p.survey
	if surveyWords[fold(r.What.Text)] != surveyedDatum || r.Reading.Text == "" && r.Level.Text == "" {
		return
	}
	if r.Reading.Text == "" {
		p.surveyBad(r, "level", "the datum line is at its own level", "under reading: what the staff reads on the datum line, 0 where the laser is on it", "")
		p.miss(1)
		return
	}
	storey, ok := p.surveyStorey(r)
	if ok && storey < 0 {
		ok = p.surveyBad(r, "storey", "blank, and there is more than one storey", "the storey of the datum line", "")
	}
	if !ok || !p.plausible(r) {
		p.miss(1)
		return
	}
	mm := r.Reading.MM
	for i := range s.setUps {
		if u := &s.setUps[i]; u.Storey == storey && fold(u.Name) == fold(r.SetUp.Text) {
			u.Checks++
			u.mean += mm
			lo, hi := math.Min(u.lowest, mm), math.Max(u.lowest+u.Misclose, mm)
			u.lowest, u.Misclose = lo, hi-lo
			return
		}
	}
	s.setUps = append(s.setUps, SetUp{Name: r.SetUp.Text, Storey: storey, Checks: 1, mean: mm, lowest: mm})
}

// mostReading bounds what a staff reads over the line of an instrument, mm.
const mostReading = 1e5

// plausible reports whether the cell reading of a row can be one.
func (p *Project) plausible(r *SurveyRow) bool {
	mm := r.Reading.MM
	metres := math.Abs(mm) < 20 && mm != math.Trunc(mm) && surveyWords[fold(r.What.Text)] != surveyedDatum
	switch {
	case metres && !strings.HasSuffix(strings.TrimSpace(r.Reading.Text), "m"):
		return p.surveyBad(r, "reading", fmt.Sprintf("%q is too small for a reading in millimetres", r.Reading.Text), "millimetres over the line of the instrument",
			"if it is metres, write "+r.Reading.Text+" m")
	case math.Abs(mm) > mostReading:
		return p.surveyBad(r, "reading", fmt.Sprintf("%q is more than 100 m", r.Reading.Text), "millimetres over the line of the instrument", "")
	}
	return true
}

// readReading reads a row that is no check of a set-up; false where there is something wrong with it.
func (p *Project) readReading(r *SurveyRow) bool {
	s := p.survey
	what, known := surveyWords[fold(r.What.Text)]
	if !known {
		var list []string
		for w := range surveyWords {
			list = append(list, w)
		}
		slices.Sort(list)
		return p.surveyBad(r, "what", blank(r.What.Text, "is nothing that is surveyed"), wantSurveyed, near(r.What.Text, list))
	}
	d := reading{row: r.At, what: what, face: r.Face.Is, day: r.Day.Text, by: r.By.Text}
	var ok bool
	if d.storey, ok = p.surveyStorey(r); !ok {
		return false
	}
	zone, bays, ok := p.surveyPlace(r, &d)
	if !ok {
		return false
	}
	if s.open(r) {
		return true
	}
	if r.NotSeen.On {
		return p.surveyBad(r, "notseen", "yes, but there is a level", "one of the two", "")
	}
	if d.storey < 0 && zone == "" {
		return p.surveyBad(r, "storey", "blank, and there is more than one storey", "the storey of the reading", "")
	}
	if !p.readLevel(r, &d) {
		return false
	}
	if d.raw && d.storey >= 0 && p.setUp(d.storey, r.SetUp.Text) == nil {
		return p.noDatum(r, d.storey)
	}
	k := int32(len(s.readings))
	if zone == "" {
		if d.level, ok = p.surveyLevel(r, &d, d.storey); !ok {
			return false
		}
	}
	switch {
	case zone != "":
		s.ofZone[fold(zone)] = append(s.ofZone[fold(zone)], k)
	case what == SurveyedSteel && d.placed:
		s.loose = append(s.loose, looseReading{k, -1})
	case what == SurveyedSteel:
		s.loose = append(s.loose, looseReading{k, bays[0]})
	default:
		for _, j := range bays {
			if what == SurveyedCeiling && !p.Bays[j].HasCeiling {
				return p.surveyBad(r, "what", fmt.Sprintf("bay %q has no ceiling", p.Bays[j].Label), "a bay with a ceiling in bays.csv", "")
			}
		}
		for _, j := range bays {
			s.addBay(j, k)
		}
	}
	s.readings = append(s.readings, d)
	return true
}

// readLevel reads the level of a row: a level that says to what, or a reading over the line of a set-up.
func (p *Project) readLevel(r *SurveyRow, d *reading) bool {
	l := r.Level
	bare := cell.ParseLength(l.Text)
	switch {
	case l.Text != "" && r.Reading.Text != "":
		return p.surveyBad(r, "reading", "both level and reading are given", "one of the two", "")
	case l.Text != "" && (l.Range || l.None):
		return p.surveyBad(r, "level", fmt.Sprintf("%q is not one level", l.Text), "one level, such as datum+1650", "")
	case l.Text != "" && bare.Fault == nil:
		return p.surveyBad(r, "level", fmt.Sprintf("%q does not say from where", l.Text), fmt.Sprintf("datum%+g or FFL%+g, or the number under reading, with a reading of the datum line", bare.MM, bare.MM), "")
	case l.Text != "":
		d.height = l.Low
		if d.face == cell.Unsaid {
			d.face = l.Says
		}
		if ref := l.Low.Ref; ref != cell.FFL && ref != cell.SSL && ref != cell.Datum && ref != cell.Project {
			return p.surveyBad(r, "level", fmt.Sprintf("%q: what was found is not told from the %s", l.Text, ref), "a level from the datum line, FFL, SSL or the project datum", "")
		}
		return true
	case !p.plausible(r):
		return false
	}
	d.raw, d.mm = true, r.Reading.MM
	return true
}

// noDatum tells that a set-up has no reading of the datum line: once, for all rows of it.
func (p *Project) noDatum(r *SurveyRow, storey int) bool {
	key := p.Storeys[storey].Name + "\x00" + fold(r.SetUp.Text)
	if p.survey.noDatum[key] {
		return false
	}
	if p.survey.noDatum == nil {
		p.survey.noDatum = map[string]bool{}
	}
	p.survey.noDatum[key] = true
	rows := 0
	for i := range p.rows.surveyed {
		if o := &p.rows.surveyed[i]; o.Reading.Text != "" && fold(o.SetUp.Text) == fold(r.SetUp.Text) && fold(o.Storey.Text) == fold(r.Storey.Text) && surveyWords[fold(o.What.Text)] != surveyedDatum {
			rows++
		}
	}
	what := fmt.Sprintf("set-up %q has no reading of the datum line", r.SetUp.Text)
	if r.SetUp.Text == "" {
		if what = "no reading of the datum line"; len(p.survey.setUps) > 0 {
			what = "no set-up is named, and none without a name has a reading of the datum line"
		}
	}
	if rows > 1 {
		what += fmt.Sprintf(" (%d rows)", rows)
	}
	return p.surveyBad(r, "reading", what, "a row with what datum, this set-up and its reading", "the reading is 0 where the laser is on the datum line; or give the level, such as datum+1650")
}

// surveyLevel returns the level of a reading above the project datum, of a storey.
func (p *Project) surveyLevel(r *SurveyRow, d *reading, storey int) (float64, bool) {
	st := &p.Storeys[storey]
	at := 0.0
	if d.raw {
		u := p.setUp(storey, r.SetUp.Text)
		if u == nil {
			return 0, p.noDatum(r, storey)
		}
		at = st.FFL + st.Datum + d.mm - u.mean
	} else {
		v, why := p.fixed(storey, d.height)
		if why.what != "" {
			p.troubled(r.At, "level", why)
			return 0, false
		}
		at = v
	}
	column := "level"
	if d.raw {
		column = "reading"
	}
	switch {
	case math.Abs(at) > maxLevel:
		return 0, p.surveyBad(r, column, "more than 2 km from the project datum", "a level within 2 km", "")
	case d.what == SurveyedFloor && math.Abs(at-st.FFL) > floorMost:
		return 0, p.surveyBad(r, column, fmt.Sprintf("a floor at FFL%+.0f", at-st.FFL), fmt.Sprintf("the level of the floor, within %d of FFL", floorMost), "")
	case d.what != SurveyedFloor && at <= st.FFL:
		return 0, p.surveyBad(r, column, fmt.Sprintf("FFL%+.0f is not over the floor", at-st.FFL), fmt.Sprintf("the level of the %s", d.what), "")
	}
	return at, true
}

// floorMost is how far from FFL a floor is at most that was found, mm: more is another floor, or a slip.
const floorMost = 500

// setUp returns a set-up of a storey that was checked back to the datum line; a blank name is the only one.
func (p *Project) setUp(storey int, name string) *SetUp {
	var only *SetUp
	n := 0
	for i := range p.survey.setUps {
		u := &p.survey.setUps[i]
		if u.Storey != storey {
			continue
		}
		if fold(u.Name) == fold(name) {
			return u
		}
		only = u
		n++
	}
	if name != "" || n != 1 {
		return nil
	}
	return only
}

// surveyPlace finds what a row is about: the id of a zone, or bays, of one place all that touch it.
func (p *Project) surveyPlace(r *SurveyRow, d *reading) (zone string, bays []int32, ok bool) {
	zone, bay := r.Zone.Text, r.Bay.Text
	ofZone := d.what == SurveyedZone || d.what == SurveyedSteel
	place := r.Place.Text
	if zone == "" && bay == "" && place != "" { // it may be a name
		switch _, is := p.ZoneByID(place); {
		case is && ofZone:
			zone, place = place, ""
		case len(p.BaysNamed(place)) > 0:
			bay, place = place, ""
		}
	}
	if place != "" {
		if d.at, ok = p.surveyPoint(r, place); !ok {
			return "", nil, false
		}
		d.placed = true
	}
	if bay != "" {
		if bays, ok = p.surveyBay(r, bay, d); !ok {
			return "", nil, false
		}
	}
	switch {
	case zone != "" && !ofZone:
		return "", nil, p.surveyBad(r, "zone", fmt.Sprintf("a %s is not read by the id of a row", d.what), "a bay or a place, or what zone or steel", "")
	case zone != "":
		return zone, nil, p.surveyedZone(r, zone, d)
	case d.what == SurveyedZone:
		return "", nil, p.surveyBad(r, "zone", "blank", "the id of the row that was found", "")
	case place == "" && bay == "":
		return "", nil, p.surveyBad(r, "place", "blank", "where it was read: a place by grid, a bay, or the id of a row", "")
	case d.storey < 0:
		return "", nil, p.surveyBad(r, "storey", "blank, and there is more than one storey", "the storey of the reading", "")
	}
	if !d.placed {
		return "", bays, true
	}
	in := p.baysTouching(d.storey, d.at)
	switch {
	case len(in) == 0 && p.broken["bays"]:
		return "", nil, false
	case len(in) == 0:
		return "", nil, p.surveyBad(r, "place", fmt.Sprintf("%q is outside every bay", r.Place.Text), "a place in a bay of the storey", "")
	case len(bays) > 0 && !slices.Contains(in, bays[0]):
		return "", nil, p.surveyBad(r, "place", fmt.Sprintf("%q is not in bay %q", r.Place.Text, p.Bays[bays[0]].Label), fmt.Sprintf("a place in it, or bay %q", p.Bays[in[0]].Label), "")
	case len(bays) > 0:
		return "", bays, true
	}
	for _, j := range in[1:] {
		a, b := &p.Bays[in[0]], &p.Bays[j]
		if d.what == SurveyedSoffit && math.Abs(a.Soffit-b.Soffit) > Hair || d.what == SurveyedCeiling && (a.HasCeiling != b.HasCeiling || math.Abs(a.Ceiling-b.Ceiling) > Hair) {
			return "", nil, p.surveyBad(r, "place", fmt.Sprintf("%q is on the edge of bays %q and %q, whose %ss differ", r.Place.Text, a.Label, b.Label, d.what), "the bay, in the column bay", "")
		}
	}
	return "", in, true
}

// surveyBay finds the bay that a row names.
func (p *Project) surveyBay(r *SurveyRow, name string, d *reading) ([]int32, bool) {
	in := p.BaysNamed(name)
	if d.storey >= 0 {
		in = slices.DeleteFunc(slices.Clone(in), func(j int32) bool { return p.Bays[j].Storey != d.storey })
	}
	switch {
	case len(in) == 1:
		d.storey = p.Bays[in[0]].Storey
		return in, true
	case len(in) > 1:
		return nil, p.surveyBad(r, "storey", fmt.Sprintf("blank, and bay %q is in %d storeys", name, len(in)), "the storey of the reading", "")
	case p.broken["bays"]:
		return nil, false
	}
	hint := p.guess(r.At, func() string {
		var names []string
		for j := range p.Bays {
			names = append(names, p.Bays[j].Label)
		}
		return date(name, near(name, names))
	})
	return nil, p.surveyBad(r, "bay", fmt.Sprintf("no bay %q in bays.csv", name), "the name of a bay", hint)
}

// surveyPoint reads a place by grid as the program writes them: "B+1200, grid 2-300". Both "B/2" and "B, 2" are the crossing of two grid lines.
func (p *Project) surveyPoint(r *SurveyRow, text string) (at r2.Point, ok bool) {
	x, y, two := strings.Cut(text, ",")
	if !two {
		x, y, two = strings.Cut(text, "/")
	}
	if !two {
		x, y, two = strings.Cut(text, ";")
	}
	if !two {
		what := fmt.Sprintf("%q is no bay, no place and no id of a row", text)
		return at, p.surveyBad(r, "place", what, "a bay, the id of a row, or two grid lines with their offsets, such as B+1200, grid 2-300", p.guess(r.At, func() string {
			names := p.gridLabels(0)
			for j := range p.Bays {
				names = append(names, p.Bays[j].Label)
			}
			return date(text, near(text, names))
		}))
	}
	var v [2]float64
	for axis, t := range [...]string{x, y} {
		t = strings.TrimSpace(t)
		if rest, is := strings.CutPrefix(strings.ToLower(t), [...]string{"x ", "y "}[axis]); is {
			t = rest
		}
		c := cell.ParsePlace(t)
		if _, is := p.gridOf[fold(t)]; is && c.Line == "" {
			c = cell.ParsePlace("grid " + t) // a grid line whose label is a number
		}
		if c.Fault != nil {
			return at, p.surveyBad(r, "place", c.Fault.What, c.Fault.Want, c.Fault.Hint)
		}
		if c.Text == "" {
			return at, p.surveyBad(r, "place", fmt.Sprintf("%q is only half a place", text), "two grid lines with their offsets, such as B+1200, grid 2-300", "")
		}
		mm, why := p.place(c, axis)
		if why.what != "" {
			p.troubled(r.At, "place", why)
			return at, false
		}
		v[axis] = mm
	}
	return r2.Point{X: v[0], Y: v[1]}, true
}

// baysTouching returns the bays of a storey that hold a point, or have it on their edge, ascending.
func (p *Project) baysTouching(storey int, at r2.Point) (in []int32) {
	for _, j := range p.bayTiles[storey].near(r2.RectFromPoints(at), nil) {
		if p.Bays[j].Plan.Expanded(r2.Point{X: Hair, Y: Hair}).ContainsPoint(at) {
			in = append(in, j)
		}
	}
	slices.Sort(in)
	return slices.Compact(in)
}

// surveyedZone reports whether a row can be read by its id as the reading says. What hangs on its storey is looked at when that is known.
func (p *Project) surveyedZone(r *SurveyRow, id string, d *reading) bool {
	i, there := p.ZoneByID(id)
	if !there {
		if p.zonesMissing {
			return false
		}
		return p.surveyBad(r, "zone", fmt.Sprintf("no zone %q", id), "the id of a row", "")
	}
	z := p.Zone(i)
	switch {
	case d.what == SurveyedSteel && !p.characters[z.Char].Entry.Beam:
		p.survey.refused[fold(z.ID)] = r.At
		return p.surveyBad(r, "what", fmt.Sprintf("%q is no beam", z.ID), "zone, for a row that is none", "")
	case z.Upright:
		p.survey.refused[fold(z.ID)] = r.At
		return p.surveyBad(r, "zone", fmt.Sprintf("%q is upright: from where to where it goes, a reading does not say", z.ID), "a row with one level", "")
	}
	return true
}

// surveyBays puts what was found of soffits and ceilings in the place of what is drawn.
func (p *Project) surveyBays() {
	s := p.survey
	for j := range p.Bays {
		b := &p.Bays[j]
		if s == nil || len(s.ofBay[int32(j)]) == 0 {
			continue
		}
		soffit, hasSoffit := p.foundOf(SurveyedSoffit, j)
		ceiling, hasCeiling := p.foundOf(SurveyedCeiling, j)
		r := p.bayRow(int(b.row))
		if hasSoffit {
			by := soffit.Counts - b.Soffit
			b.Soffit = soffit.Counts
			if b.HasCeiling && r.Ceiling.Low.Ref == cell.Soffit {
				b.Ceiling, b.Top = b.Ceiling+by, b.Top+by
			}
		}
		if hasCeiling {
			by := ceiling.Counts - b.Drawn.Ceiling
			b.Top += ceiling.Counts - b.Ceiling
			b.Ceiling = ceiling.Counts
			if ref := r.Soffit.Low.Ref; !hasSoffit && (ref == cell.Ceiling || ref == cell.BuildUp) {
				b.Soffit += by
			}
		}
		if b.HasCeiling && b.Top > b.Soffit+Hair {
			st := &p.Storeys[b.Storey]
			row, what := soffit.Row, fmt.Sprintf("the soffit of bay %q was found at FFL%+.0f, which is %.0f below the top of its ceiling", b.Label, b.Soffit-st.FFL, b.Top-b.Soffit)
			if !hasSoffit {
				row, what = ceiling.Row, fmt.Sprintf("the ceiling of bay %q was found at FFL%+.0f, its top %.0f above the soffit", b.Label, b.Ceiling-st.FFL, b.Top-b.Soffit)
			}
			column := "level"
			if k := slices.IndexFunc(p.rows.surveyed, func(r SurveyRow) bool { return r.At == row }); k >= 0 && p.rows.surveyed[k].Level.Text == "" {
				column = "reading"
			}
			p.problem(row, column, what, "a ceiling below the soffit: read again, or put the ceiling right in bays.csv", "")
			p.miss(1)
			b.Soffit, b.Ceiling, b.Top = b.Drawn.Soffit, b.Drawn.Ceiling, b.Drawn.Top
			delete(s.ofBay, int32(j))
		}
	}
}

// foundOf returns what was found of a bay; false where nothing was.
func (p *Project) foundOf(what Surveyed, j int) (Found, bool) {
	b := &p.Bays[j]
	drawn := b.Drawn.Soffit
	switch what {
	case SurveyedCeiling:
		drawn = b.Drawn.Ceiling
	case SurveyedFloor:
		drawn = p.Storeys[b.Storey].FFL
	}
	f := Found{What: what, Zone: -1, Bay: j, Drawn: drawn}
	t := taken{}
	for _, k := range p.survey.ofBay[int32(j)] {
		if d := &p.survey.readings[k]; d.what == what {
			t.add(d, d.level-drawn, what != SurveyedSoffit)
		}
	}
	if len(t.all) == 0 {
		return f, false
	}
	more := t.by > 0 // more room than drawn
	if what == SurveyedCeiling {
		more = t.by < 0
	}
	t.into(&f, drawn, what == SurveyedFloor || more && !t.apart())
	return f, true
}

// taken are the readings of one thing, and of them the one that counts.
type taken struct {
	all    []*reading
	best   *reading
	by     float64 // of it: found less drawn
	lo, hi float64
}

func (t *taken) add(d *reading, by float64, highest bool) {
	if math.Abs(by) <= tenth/2+Hair {
		by = 0 // the form says to the nearest tenth what is drawn
	}
	if len(t.all) == 0 {
		t.lo, t.hi = by, by
	}
	t.lo, t.hi = math.Min(t.lo, by), math.Max(t.hi, by)
	t.all = append(t.all, d)
	better := by < t.by
	if highest {
		better = by > t.by
	}
	if t.best == nil || better || by == t.by && d.before(t.best) {
		t.best, t.by = d, by
	}
}

// before orders readings by what they say, so that nothing hangs on the order of the rows.
func (d *reading) before(o *reading) bool {
	return cmp.Or(strings.Compare(d.day, o.day), strings.Compare(d.by, o.by), cmp.Compare(d.at.X, o.at.X), cmp.Compare(d.at.Y, o.at.Y)) < 0
}

// apart reports whether two of the readings are of places apart.
func (t *taken) apart() bool {
	for i, a := range t.all {
		for _, b := range t.all[:i] {
			if a.placed && b.placed && a.at.Sub(b.at).Norm() >= SurveyApart-Hair {
				return true
			}
		}
	}
	return false
}

// into says what was found; drawn is as drawn at the place of the reading that counts. kept: what is drawn counts all the same.
func (t *taken) into(f *Found, drawn float64, kept bool) {
	f.Drawn, f.Found = drawn, drawn+t.by
	if t.by != 0 {
		f.Found = t.best.level
	}
	f.Counts = f.Found
	if kept {
		f.Counts = drawn
	}
	f.Readings, f.Spread, f.Row, f.Day, f.By = len(t.all), t.hi-t.lo, t.best.row, t.best.day, t.best.by
}

// surveyZones looks at what the rows that were found by their ids need of their zones, whose storeys are known by now.
func (p *Project) surveyZones() {
	s := p.survey
	if s == nil {
		return
	}
	defer func(by teller) { p.by = by }(p.by)
	p.by = teller{part: bySurvey}
	rows := map[At]*SurveyRow{}
	for i := range p.rows.surveyed {
		rows[p.rows.surveyed[i].At] = &p.rows.surveyed[i]
	}
	for id, list := range s.ofZone {
		i, ok := p.ZoneByID(id)
		if !ok {
			continue
		}
		z := p.Zone(i)
		s.ofZone[id] = slices.DeleteFunc(list, func(k int32) bool {
			d := &s.readings[k]
			r := rows[d.row]
			if len(z.unfound) > 0 {
				return true // its row is missing, and says why
			}
			if d.storey >= 0 && d.storey != int(z.Storey) && r.Storey.Text != "" {
				p.surveyBad(r, "storey", fmt.Sprintf("%q is in storey %q", z.ID, p.Storeys[z.Storey].Name), "its storey, or blank", "")
				p.miss(1)
				return true
			}
			p.reads(z)
			if d.level, ok = p.surveyLevel(r, d, int(z.Storey)); !ok {
				p.miss(1)
				return true
			}
			return false
		})
	}
}

// surveySteel gives readings of steel by a place or a bay to the lowest beam there, and puts those beams where they were found.
func (p *Project) surveySteel(r *resolving) {
	s := p.survey
	if s == nil || len(s.loose) == 0 {
		return
	}
	defer func(by teller) { p.by = by }(p.by)
	p.by = teller{part: bySurvey}
	again := map[int32]bool{}
	for _, l := range s.loose {
		d := &s.readings[l.reading]
		plan := r2.RectFromPoints(d.at)
		if l.bay >= 0 {
			plan = p.Bays[l.bay].Plan
		}
		var under []int32
		lowest := math.Inf(1)
		for _, i := range p.beamTiles[d.storey].near(plan, nil) {
			z := p.Zone(int(i))
			b := p.drawnBare(z)
			var level float64
			switch {
			case !p.isBeam(i, d.storey):
				continue
			case l.bay >= 0:
				if !slices.Contains(z.Bays(), l.bay) {
					continue
				}
				level = b.Height().Lo
			default:
				at := body.Upright(r2.RectFromCenterSize(d.at, r2.Point{X: 2, Y: 2}), b.Height())
				if body.PlanOverlap(b, at) <= Hair {
					continue
				}
				level = z.faceAt(&b, cell.Bottom, d)
			}
			if level < lowest-Hair {
				under, lowest = under[:0], level
			}
			if level <= lowest+Hair {
				under = append(under, i)
			}
		}
		if len(under) == 0 && !p.zonesMissing {
			where := "in bay " + fmt.Sprintf("%q", first(l.bay, p.Bays))
			if l.bay < 0 {
				where = "over " + p.Where(d.at)
			}
			p.problem(d.row, "place", "no beam is "+where, "a place under a beam, or its id under zone", "")
			p.miss(1)
		}
		for _, i := range under {
			id := fold(p.Zone(int(i)).ID)
			p.reads(p.Zone(int(i)))
			s.ofZone[id] = append(s.ofZone[id], l.reading)
			again[i] = true
		}
	}
	for i := range again {
		r.resolve(i, p.Zone(int(i))) // it could be resolved before
	}
}

func first(bay int32, bays []Bay) string {
	if bay < 0 {
		return ""
	}
	return bays[bay].Label
}

// found returns the row of the reading that a zone's level is by, nil where it was not surveyed.
func (z *Zone) found() *At {
	if z.more == nil {
		return nil
	}
	return z.more.found
}

// writtenLevel is what a row says of its level.
type writtenLevel struct {
	ref       cell.Ref
	low, fall float64
	face      cell.Facing
}

func (z *Zone) written() writtenLevel {
	w := writtenLevel{ref: z.lowRef, low: z.low, face: z.facing()}
	if !z.Upright {
		w.fall = z.end
	}
	return w
}

// reads notes what a row says of its level when it is first read: a row that an edit gives another level is moved, and what was read of it before
// counts no more, until it has that level again.
func (p *Project) reads(z *Zone) {
	if p.readAs == nil {
		p.readAs = map[string]writtenLevel{}
	}
	if _, there := p.readAs[fold(z.ID)]; !there {
		p.readAs[fold(z.ID)] = z.written()
	}
}

// Outdated returns the rows that were surveyed and have another level since, each with the row of surveyed.csv that told where it was.
func (p *Project) Outdated() []string {
	var out []string
	if p.survey == nil {
		return nil
	}
	for id, list := range p.survey.ofZone {
		if i, ok := p.ZoneByID(id); ok && len(list) > 0 && p.readAs[id] != p.Zone(i).written() {
			out = append(out, fmt.Sprintf("%s (%s)", p.Zone(i).ID, p.FileLine(p.survey.readings[list[0]].row)))
		}
	}
	slices.SortFunc(out, Natural)
	return out
}

// Surveyed reports whether the zone was read by its own id, or is a beam that was read: its level is as found.
func (z *Zone) Surveyed() bool { return z.found() != nil }

// drawnAt returns the level of a zone, above the project datum, as the tables have it without the survey.
func (p *Project) drawnAt(z *Zone) float64 {
	if p.survey == nil {
		return z.at
	}
	var flat body.Body
	z.flat(&flat)
	at, why := p.levelAs(z, &flat, cell.Height{Ref: z.lowRef, MM: z.low}, true)
	if why.what != "" {
		return z.at // it cannot be worked out, as found neither
	}
	return at
}

// drawnBare returns the bare body as drawn.
func (p *Project) drawnBare(z *Zone) body.Body {
	b := z.Bare()
	if p.survey != nil && !z.Upright {
		b.Centre.Z += p.drawnAt(z) - z.at
	}
	return b
}

// find puts a zone that is resolved where it was found.
func (r *resolving) find(z *Zone) {
	if z.more != nil {
		z.more.found = nil
	}
	s := r.p.survey
	if s == nil || len(s.ofZone) == 0 || z.Upright {
		return
	}
	if f, ok := r.p.foundZone(z); ok {
		z.some().found = &f.Row
		z.at = r.p.drawnAt(z) + (f.Counts - f.Drawn)
	}
}

// foundZone returns what was found of a zone; false where nothing was.
func (p *Project) foundZone(z *Zone) (Found, bool) {
	s := p.survey
	list := s.ofZone[fold(z.ID)]
	if len(list) == 0 || p.readAs[fold(z.ID)] != z.written() {
		return Found{}, false
	}
	b := p.drawnBare(z)
	t := taken{}
	byID := false
	for _, k := range list {
		d := &s.readings[k]
		t.add(d, d.level-z.faceAt(&b, d.face, d), false)
		byID = byID || d.what == SurveyedZone
	}
	f := Found{What: SurveyedSteel, Zone: -1, Bay: -1}
	if byID {
		f.What = SurveyedZone
	}
	t.into(&f, z.faceAt(&b, t.best.face, t.best), !byID && t.by > 0 && !t.apart())
	return f, true
}

// faceAt returns the level of a face of the zone's bare body at the place of a reading, at its start where the reading has none.
func (z *Zone) faceAt(b *body.Body, face cell.Facing, d *reading) float64 {
	axis, half := b.Centre, b.H
	if b.Round {
		half = b.Along.Z // an upright disc
		if n := across(b.Along.X, b.Along.Y); n > 0 {
			half = b.W * math.Hypot(1, b.Along.Z/n)
		}
	}
	if n := b.Along.X*b.Along.X + b.Along.Y*b.Along.Y; n > 0 && !z.Item && !z.ByHeight {
		t := -1.0
		if d.placed {
			t = ((d.at.X-b.Centre.X)*b.Along.X + (d.at.Y-b.Centre.Y)*b.Along.Y) / n
		}
		axis = axis.Add(b.Along.Mul(math.Max(-1, math.Min(1, t))))
	}
	switch face {
	case cell.Centre:
		return axis.Z
	case cell.Top:
		return axis.Z + half
	}
	return axis.Z - half
}

// Survey returns what was found; nil where there is no survey.
func (p *Project) Survey() *Survey {
	s := p.survey
	if s == nil {
		return nil
	}
	out := &Survey{Readings: len(s.readings), Blank: s.blank, NotSeen: s.notSeen, SetUps: slices.Clone(s.setUps)}
	for i := range s.readings {
		out.Days, out.By = append(out.Days, s.readings[i].day), append(out.By, s.readings[i].by)
	}
	out.Days, out.By = names(out.Days), names(out.By)
	for j := range p.Bays {
		for _, what := range [...]Surveyed{SurveyedSoffit, SurveyedCeiling, SurveyedFloor} {
			if f, ok := p.foundOf(what, j); ok {
				out.Found = append(out.Found, f)
			}
		}
	}
	var zones []Found
	for id := range s.ofZone {
		i, ok := p.ZoneByID(id)
		if !ok || p.Zone(i).Gone {
			continue
		}
		if f, ok := p.foundZone(p.Zone(i)); ok {
			f.Zone = i
			zones = append(zones, f)
		}
	}
	slices.SortFunc(zones, func(a, b Found) int { return Natural(p.Zone(a.Zone).ID, p.Zone(b.Zone).ID) })
	out.Found = append(out.Found, zones...)
	return out
}

// bearsOn reports whether the survey has to be read again because of an edit: it names the row and the row is changed in what finds it or
// in what it is, or becomes upright or level; steel was read by its place and the row is a beam, or becomes one; or, where cells is nil, the row is new and may be one
// that was not found.
func (s *survey) bearsOn(p *Project, z *Zone, cells []CellText, upright bool) bool {
	if s == nil {
		return false
	}
	changes := func(columns ...string) bool {
		return slices.ContainsFunc(cells, func(c CellText) bool { return slices.Contains(columns, c.Column) })
	}
	return cells == nil && s.stray ||
		len(s.loose) > 0 && (p.characters[z.Char].Entry.Beam || changes("kind", "trade", "service")) ||
		s.names(z) && (upright != z.Upright || changes("kind", "trade", "service", "storey", "bay"))
}

// names reports whether a reading names a row by its id, or counts for it as the beam over a place.
func (s *survey) names(z *Zone) bool {
	_, refused := s.refused[fold(z.ID)]
	return refused || len(s.ofZone[fold(z.ID)]) > 0
}

// surveyNames returns the problem of taking a row out that surveyed.csv names, by its id or as the beam over a place; nil where it does not.
func (p *Project) surveyNames(z *Zone) *Problem {
	if p.survey == nil || !p.survey.names(z) {
		return nil
	}
	row := p.survey.refused[fold(z.ID)]
	if list := p.survey.ofZone[fold(z.ID)]; len(list) > 0 {
		row = p.survey.readings[list[0]].row
	}
	pr := p.say(z.At(), "", fmt.Sprintf("%q was found on site (%s)", z.ID, p.FileLine(row)), "that row of it out first, to remove it", "")
	return &pr
}

// names returns what is not blank of a list, each once, in order.
func names(list []string) []string {
	slices.Sort(list)
	return slices.DeleteFunc(slices.Compact(list), func(s string) bool { return s == "" })
}

// Followed returns by how much a zone that was not read itself is above where it is drawn, mm, because what its level is written relative to was
// found elsewhere; of a range of its lower end, or of its upper one where only that follows.
func (p *Project) Followed(z *Zone) float64 {
	if p.survey == nil || z.Surveyed() {
		return 0
	}
	by := z.at - p.drawnAt(z)
	if z.Upright && math.Abs(by) <= Hair {
		var flat body.Body
		z.flat(&flat)
		if high, why := p.levelAs(z, &flat, cell.Height{Ref: z.highRef, MM: z.more.high}, true); why.what == "" {
			by = z.end - high
		}
	}
	return by
}

// PlaceText says a plan point as the column place of surveyed.csv takes it: by the nearest grid lines, or in numbers as the tables have them.
func (p *Project) PlaceText(at r2.Point) string {
	x, y := p.Places(at)
	wx, wy := p.Whole(at.X, at.Y)
	if len(p.GridX) == 0 {
		x = fmt.Sprintf("%.0f", whole(wx))
	}
	if len(p.GridY) == 0 {
		y = fmt.Sprintf("%.0f", whole(wy))
	}
	return x + ", " + y
}

// UnderSteel reports whether a beam of a storey lies over a plan point, or within so much of it, mm.
func (p *Project) UnderSteel(storey int, at r2.Point, within float64) bool {
	foot := body.Upright(r2.RectFromCenterSize(at, r2.Point{X: 2 * within, Y: 2 * within}), r1.Interval{Lo: 0, Hi: 1})
	return slices.ContainsFunc(p.beamTiles[storey].near(foot.Plan(), nil), func(i int32) bool {
		return p.isBeam(i, storey) && body.PlanOverlap(p.Zone(int(i)).Bare(), foot) > Hair
	})
}

// UndersideAt returns the level of the underside of a zone's bare section at a place along it, above the project datum.
func (z *Zone) UndersideAt(at r2.Point) float64 {
	b := z.Bare()
	return z.faceAt(&b, cell.Bottom, &reading{at: at, placed: true})
}
