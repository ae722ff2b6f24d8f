package model

import (
	"cmp"
	"context"
	"fmt"
	"io/fs"
	"math"
	"path/filepath"
	"slices"
	"strings"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"

	"voidline/io/ifc"
	"voidline/io/table"
	"voidline/void"
	"voidline/void/vocabulary"
)

// Options says how models are read.
type Options struct {
	// Mapping is the folder whose mapping.csv counts before the built-in table; nil: none.
	Mapping fs.FS
	// Lattice is the side of the squares into which a storey is cut where neither rooms nor ceilings nor grid lines say
	// what its bays are, mm; 0: it is not cut.
	Lattice float64
	// Turn says how far the building is turned back, degrees; nil: as it stands.
	Turn *float64
	// Origin is the point in origin.csv; nil: one is made where the models stand in map coordinates.
	Origin *r2.Point
	// Progress is called now and then with what is done, and how far.
	Progress func(what string, done, of int64)
}

// thing is an element that may become something, with its form.
type thing struct {
	file  int
	el    *ifc.Element
	line  *line // of the mapping
	forms []ifc.Form
	body  *ifc.Body // of rooms, ceilings, soffits and openings
	low   r3.Vector // of the box round all its forms
	high  r3.Vector

	systems      []ifc.System
	service      string
	trade        string
	insulation   float64
	across, deep float64 // by its properties, mm: of a circle deep is 0; both 0 where they say none
	sizeFrom     string  // the property
	layers       []ifc.Layer
	storey       int
	rows         []*Row // what it became
	became       string // in the summary
}

// building is what several files say of one building.
type building struct {
	opt     Options
	files   []source
	storeys []storey
	things  []*thing
	of      map[*ifc.Element]*thing
	mapping *mapping
	turn    float64 // the model's main direction, degrees from x towards y: what is told here is turned back by it
	origin  r2.Point
	axes    []axis
	bays    []bay
	joins   [][2]*thing
	// soffits are what may be the soffit of a bay, openings what is in something, taken the names of bays, by storey.
	soffits  []*thing
	openings map[*thing][]*thing
	taken    map[bayName]bool
	told     teller
	user     string // name of the user's mapping.csv
	userRow  []table.MappingRow
}

// source is one model file.
type source struct {
	name   string // as it is told
	schema string
	mm     float64
	m      *ifc.Model
	low    r3.Vector
	high   r3.Vector
	any    bool
}

// bayName is the name of a bay, in lower case, and its storey.
type bayName struct {
	storey int
	name   string
}

// storey is a storey of the project.
type storey struct {
	name string
	z    float64
	guid string
	file string
}

// axis is a grid line that stands square to the axes.
type axis struct {
	axis  string // x or y
	label string
	at    float64
}

// sameLevel is how far apart two levels may be and be told as one, mm.
const sameLevel = 1.0

// Read reads model files and makes tables of them. The error is for what keeps it from that: a file that cannot be read, a mapping
// with mistakes (void.Problems).
func Read(ctx context.Context, files []string, opt Options) (*Import, error) {
	b := &building{opt: opt, of: map[*ifc.Element]*thing{}, openings: map[*thing][]*thing{}, taken: map[bayName]bool{}}
	if err := b.readMapping(ctx); err != nil {
		return nil, err
	}
	seen := map[string]bool{}
	defer func() {
		for i := range b.files {
			if b.files[i].m != nil {
				b.files[i].m.Close()
			}
		}
	}()
	for _, name := range files {
		base := filepath.Base(name)
		if seen[base] {
			return nil, fmt.Errorf("%s is given twice, or two files have that name: rename one, for rows say by its name which model they are from", base)
		}
		seen[base] = true
		f, err := ifc.Open(ctx, name, func(done, of int64) { b.progress("indexing "+base, done, of) })
		if err != nil {
			return nil, err
		}
		m, err := ifc.ReadModel(ctx, f)
		if err != nil {
			f.Close()
			return nil, err
		}
		b.files = append(b.files, source{name: base, schema: f.Schema, mm: m.MM, m: m})
	}
	b.mergeStoreys()
	if len(b.storeys) == 0 {
		return nil, void.Problem{File: b.files[0].name, What: "no storey in any file (IFCBUILDINGSTOREY): levels above a floor are not known"}
	}
	if err := b.stand(ctx); err != nil {
		return nil, err
	}
	for i := range b.files {
		if err := b.take(ctx, i); err != nil {
			return nil, err
		}
	}
	b.apart()
	b.covers()
	b.doubles()
	b.grid()
	b.makeBays()
	if len(b.bays) == 0 {
		why := "no room, no ceiling and no grid line says what its bays are: --lattice MM cuts it into squares"
		if b.opt.Lattice > 0 {
			why = "nothing of the services is in it, and no room or ceiling: it has no bays"
		}
		return nil, void.Problem{File: b.files[0].name, What: why}
	}
	b.makeZones()
	b.makeRuns()
	b.makeOpenings()
	im, err := b.tables(ctx)
	if err != nil {
		return nil, err
	}
	return im, ctx.Err()
}

func (b *building) progress(what string, done, of int64) {
	if b.opt.Progress != nil {
		b.opt.Progress(what, done, of)
	}
}

func (b *building) readMapping(ctx context.Context) error {
	if b.opt.Mapping == nil {
		b.mapping, _ = newMapping(nil, "")
		return nil
	}
	t, err := table.ReadMapping(ctx, b.opt.Mapping)
	if err != nil {
		return err
	}
	var wrong []void.Problem
	b.user, b.userRow = t.Name, t.Rows
	b.mapping, wrong = newMapping(t.Rows, t.Name)
	return void.Problems(wrong).Err()
}

// mergeStoreys puts the storeys of all files together: those of one name and level are one.
func (b *building) mergeStoreys() {
	for i := range b.files {
		f := &b.files[i]
		for _, s := range f.m.Storeys {
			if !math.IsNaN(s.Elevation) && math.Abs(s.Elevation-s.Z) > sameLevel {
				b.told.add("storeys", "%s:%d: storey %s is placed at %s and says of itself that it is at %s: where it is placed counts", f.name, s.Line, s.Name, mm(s.Z), mm(s.Elevation))
			}
			name := s.Name
			if name == "" {
				name = "level " + mm(s.Z)
			}
			at := slices.IndexFunc(b.storeys, func(o storey) bool { return strings.EqualFold(o.name, name) })
			level := slices.IndexFunc(b.storeys, func(o storey) bool { return math.Abs(o.z-s.Z) <= sameLevel })
			switch {
			case at >= 0 && math.Abs(b.storeys[at].z-s.Z) <= sameLevel:
			case at >= 0 && slices.ContainsFunc(f.m.Storeys, func(o ifc.Storey) bool { return o.Name == s.Name && o.ID != s.ID }) && level < 0:
				b.storeys = append(b.storeys, storey{name + ", " + mm(s.Z), s.Z, s.GUID, f.name})
			case at >= 0:
				b.told.first("%s:%d: storey %s is at %s here and at %s in a file before it: the files do not agree; the first counts", f.name, s.Line, name, mm(s.Z), mm(b.storeys[at].z))
			case level >= 0:
				b.told.add("storeys", "%s:%d: storey %s is at the level of %s, %s: one storey, called %s", f.name, s.Line, name, b.storeys[level].name, mm(s.Z), b.storeys[level].name)
			default:
				if i > 0 {
					b.told.add("storeys", "%s:%d: storey %s at %s is in no file before it", f.name, s.Line, name, mm(s.Z))
				}
				b.storeys = append(b.storeys, storey{name, s.Z, s.GUID, f.name})
			}
		}
	}
	slices.SortFunc(b.storeys, func(a, c storey) int { return cmp.Or(cmp.Compare(a.z, c.z), cmp.Compare(a.name, c.name)) })
	for i := range b.storeys {
		b.storeys[i].z = round(b.storeys[i].z)
	}
}

// storeyAt returns the storey whose floor is the highest at or below a level; the lowest where none is.
func (b *building) storeyAt(z float64) int {
	at := 0
	for i, s := range b.storeys {
		if s.z <= z+sameLevel {
			at = i
		}
	}
	return at
}

// above returns the level of the floor over a storey; ok is false where there is none.
func (b *building) above(s int) (float64, bool) {
	for i := s + 1; i < len(b.storeys); i++ {
		if b.storeys[i].z > b.storeys[s].z+1500 { // a step in a floor, a level that was drawn for a beam: no floor of its own
			return b.storeys[i].z, true
		}
	}
	return 0, false
}

// sampled is how many elements are looked at to find the building's main direction.
const sampled = 400

// stand finds how the building stands in its axes, and turns it back where it stands turned.
func (b *building) stand(ctx context.Context) error {
	type dir struct{ angle, weight float64 } // 0 to 90 degrees
	var dirs []dir
	add := func(v r2.Point) {
		if n := v.Norm(); n > 1 {
			a := math.Mod(math.Atan2(v.Y, v.X)*180/math.Pi+360, 90)
			dirs = append(dirs, dir{a, n})
		}
	}
	for i := range b.files {
		m := b.files[i].m
		for _, a := range m.Axes {
			add(a.B.Sub(a.A))
		}
		var ask []*ifc.Element
		for k := range m.Elements {
			e := &m.Elements[k]
			if strings.HasPrefix(e.Class, "IFCWALL") || strings.HasPrefix(e.Class, "IFCBEAM") || strings.HasSuffix(e.Kind(), "SEGMENT") || e.Class == "IFCSPACE" || e.Class == "IFCFLOWSEGMENT" {
				ask = append(ask, e)
			}
		}
		for k := 0; k < len(ask); k += 1 + len(ask)/sampled {
			if ctx.Err() != nil {
				return ctx.Err()
			}
			body, err := m.Body(ask[k])
			if err != nil {
				continue // told where it is taken
			}
			for _, f := range body.Forms {
				switch s := f.Straight; {
				case s != nil && !s.Upright():
					add(r2.Point{X: s.B.X - s.A.X, Y: s.B.Y - s.A.Y})
					continue
				case s != nil && s.Round:
					continue // upright and round: it stands no way
				}
				sin, cos := math.Sincos(f.Turned.Turn * math.Pi / 180)
				if f.Turned.Long != f.Turned.Wide || f.Turned.Turn != 0 {
					add(r2.Point{X: cos, Y: sin}.Mul(max(f.Turned.Long, f.Turned.Wide)))
				}
			}
		}
	}
	turn := 0.0
	if b.opt.Turn != nil {
		turn = *b.opt.Turn
	} else {
		// The direction by which the most length lies, to a twentieth of a degree.
		const near = 0.05
		slices.SortFunc(dirs, func(a, c dir) int { return cmp.Or(cmp.Compare(a.angle, c.angle), cmp.Compare(a.weight, c.weight)) })
		along := func(angle float64) (weight, mean float64) {
			for _, d := range dirs {
				off := math.Mod(d.angle-angle+135, 90) - 45
				if math.Abs(off) <= near {
					weight += d.weight
					mean += off * d.weight
				}
			}
			return weight, angle + mean/max(weight, 1)
		}
		straight, _ := along(0)
		all := 0.0
		for _, d := range dirs {
			all += d.weight
		}
		best, last := max(straight, 0.3*all/1.2), -1.0 // less than three tenths of all is no main direction
		for _, d := range dirs {
			if d.angle-last < near/2 {
				continue
			}
			last = d.angle
			if w, at := along(d.angle); w > best*1.2 {
				best, turn = w, at
			}
		}
		if turn > 45 {
			turn -= 90
		}
		if math.Abs(turn) < 0.01 {
			turn = 0
		}
		turn = math.Round(turn*1e7) / 1e7
	}
	if b.turn = turn; turn != 0 {
		b.told.first("The building stands turned by %s degrees: the tables are turned back by that about the model's origin (origin.csv keeps it), and what goes back to the model is turned again", degrees(turn))
		for i := range b.files {
			b.files[i].m.Turn(-turn)
		}
	}
	return nil
}

// take reads what a file's elements become.
func (b *building) take(ctx context.Context, file int) error {
	f := &b.files[file]
	m := f.m
	f.low, f.high = r3.Vector{X: math.Inf(1), Y: math.Inf(1), Z: math.Inf(1)}, r3.Vector{X: math.Inf(-1), Y: math.Inf(-1), Z: math.Inf(-1)}
	ids := map[string]*thing{}
	order := make([]int, len(m.Elements))
	for i := range order {
		order[i] = i
	}
	for n, i := range order {
		if n&63 == 0 {
			if ctx.Err() != nil {
				return ctx.Err()
			}
			b.progress("reading "+f.name, int64(n), int64(len(order)))
		}
		e := &m.Elements[i]
		t := &thing{file: file, el: e, storey: -1, systems: e.Systems}
		b.of[e] = t
		b.things = append(b.things, t)
		if e.Unread {
			t.out("not read")
			continue
		}
		if e.GUID == "" {
			b.told.at("no id", m, e, "has no GlobalId: it cannot be known again in the next revision")
		} else if first := ids[e.GUID]; first != nil {
			b.told.at("one id", m, e, "has the GlobalId of %s: by its name alone it is known again in the next revision", b.called(first))
		} else {
			ids[e.GUID] = t
		}
		b.properties(m, t)
		t.line = b.mapping.find(e, t.systems)
		if t.line == nil && e.Parts {
			t.became = inParts
			continue
		}
		if t.line == nil {
			t.became = notMapped
			continue
		}
		if of := b.partOf(m, e); of != "" && !t.line.user {
			t.out("part of " + of)
			continue
		}
		t.line.took++
		if t.line.Becomes == vocabulary.AsDrop {
			t.out(t.line.Why)
			continue
		}
		body, err := m.Body(e)
		if err != nil {
			b.told.problem(err)
			t.out("its form is not read")
			continue
		}
		if len(body.Forms) == 0 && t.line.Becomes == vocabulary.AsZone {
			if body, err = b.along(m, t); err != nil {
				b.told.problem(err)
				t.out("its form is not read")
				continue
			}
		}
		if len(body.Forms) == 0 {
			if e.Parts {
				t.became = inParts
			} else {
				t.out("no form in the file")
				b.told.at("no form", m, e, "has no form in the file")
			}
			continue
		}
		b.formed(f, t, body)
	}
	for _, p := range m.Problems {
		b.told.problem(p)
	}
	if m.Map != nil {
		b.told.add("map", "%s: its origin is at easting %s, northing %s, height %s of %s, turned by %s degrees: not added to the numbers", f.name, metres(m.Map.Eastings), metres(m.Map.Northings), metres(m.Map.Height), cmp.Or(m.Map.CRS, "a map"), degrees(m.Map.Turn))
	}
	return nil
}

// What became of elements, where more than one place says it.
const (
	leftOut   = "left out: " // and why
	inParts   = "made of parts, which are counted"
	notMapped = "not mapped"
)

// out says why an element is left out.
func (t *thing) out(why string) { t.became = leftOut + why }

// partOf returns the class of what an element is a part of where that is left out, as a stair or a curtain wall is; else "".
func (b *building) partOf(m *ifc.Model, e *ifc.Element) string {
	if e.Parent < 0 {
		return ""
	}
	p := &m.Elements[e.Parent]
	if l := b.mapping.find(p, p.Systems); l == nil || l.Becomes != vocabulary.AsDrop || p.Class == "IFCSITE" {
		return ""
	}
	return vocabulary.ClassName(p.Class)
}

// leastHigh is the least height of what is taken, mm: what is flatter is a surface, a line, a mark.
const leastHigh = 1.0

// formed takes the form of an element.
func (b *building) formed(f *source, t *thing, body ifc.Body) {
	m, e := f.m, t.el
	t.forms = body.Forms
	t.low, t.high = body.Forms[0].Low, body.Forms[0].High
	for _, g := range body.Forms[1:] {
		t.low = r3.Vector{X: min(t.low.X, g.Low.X), Y: min(t.low.Y, g.Low.Y), Z: min(t.low.Z, g.Low.Z)}
		t.high = r3.Vector{X: max(t.high.X, g.High.X), Y: max(t.high.Y, g.High.Y), Z: max(t.high.Z, g.High.Z)}
	}
	switch t.line.Becomes {
	case vocabulary.AsRoom, vocabulary.AsSoffit, vocabulary.AsOpening:
		t.body = &body
	case vocabulary.AsCeiling:
		t.body = &body
		t.layers = m.Layers(e)
	case vocabulary.AsZone, vocabulary.AsAbove:
		if body.Clipped {
			b.told.at("cut", m, e, "is cut by something that is not followed: told larger than it is")
		}
		if body.Whole {
			b.told.at("pieces", m, e, "has so many pieces apart from each other that the box round all of them is told")
		} else if len(body.Forms) > 1 {
			b.told.at("pieces", m, e, "has %d pieces apart from each other: a row for each", len(body.Forms))
		}
	}
	if body.Other {
		b.told.at("forms", m, e, "has more than one body: the first is taken")
	}
	if t.line.Becomes != vocabulary.AsCover {
		f.any = true
		f.low = r3.Vector{X: min(f.low.X, t.low.X), Y: min(f.low.Y, t.low.Y), Z: min(f.low.Z, t.low.Z)}
		f.high = r3.Vector{X: max(f.high.X, t.high.X), Y: max(f.high.Y, t.high.Y), Z: max(f.high.Z, t.high.Z)}
	}
}

// properties takes from an element's properties what its class and form do not say: its system, in 2x3, its insulation, and the size that it
// has if the file holds no body of it.
func (b *building) properties(m *ifc.Model, t *thing) {
	e := t.el
	if !strings.Contains(e.Class, "FLOW") && !vocabulary.IsService(e.Kind()) {
		return
	}
	var width, high float64
	for _, p := range m.Properties(e) {
		name := strings.ToLower(strings.ReplaceAll(strings.ReplaceAll(p.Name, " ", ""), "_", ""))
		length := p.MM
		if !p.Length {
			length = lengthOf(p.Text)
		}
		switch name {
		case "outsidediameter", "outerdiameter", "diameter", "nominaldiameter":
			if length > 0 && (t.across == 0 || t.deep > 0 || strings.HasPrefix(name, "out")) {
				t.across, t.deep, t.sizeFrom = length, 0, p.Name
			}
		case "width", "nominalwidth":
			width = length
		case "height", "nominalheight":
			high = length
		case "systemtype", "systemclassification", "systemname":
			if p.Text != "" && len(e.Systems) == 0 {
				t.systems = append(slices.Clone(t.systems), ifc.System{Name: p.Text})
				b.told.count("properties", "Systems of elements that are in no system, from a property (%s)", p.Name)
			}
		case "insulationthickness":
			if length > 0 && length < 500 {
				t.insulation = length
				b.told.count("properties", "Insulation from a property (%s)", p.Name)
			}
		}
	}
	if width > 0 && high > 0 && t.across == 0 {
		t.across, t.deep, t.sizeFrom = width, high, "width and height"
	}
	for _, s := range t.systems {
		service, trade, ok := vocabulary.ServiceOfSystem(s.Name, s.Predefined)
		if ok && t.service == "" {
			t.service, t.trade = service, trade
		}
		if !ok && t.service == "" {
			b.told.count("services", "Elements of the system %s, of which it is not known what it carries", cmp.Or(s.Name, s.Predefined))
		}
	}
}

// along returns the body of an element that has a line and no body, if its properties say its size: a diameter, or width and height.
func (b *building) along(m *ifc.Model, t *thing) (body ifc.Body, err error) {
	if t.across == 0 {
		return body, nil
	}
	body, ok, err := m.Along(t.el, t.across, t.deep)
	if ok && err == nil {
		b.told.count("properties", "Sizes of elements that have a line and no body, from a property (%s)", t.sizeFrom)
	}
	return body, err
}

// liesApart is how far the box of a file's elements may be from those of the others, mm.
const liesApart = 5000.0

// apart tells of files that do not lie where the others lie.
func (b *building) apart() {
	if b.opt.Origin != nil {
		b.origin = *b.opt.Origin
	}
	for i := range b.files {
		f := &b.files[i]
		if !f.any {
			continue
		}
		if f.low.X > 1e7 || f.low.Y > 1e7 || f.high.X < -1e7 || f.high.Y < -1e7 {
			if b.origin == (r2.Point{}) && b.opt.Origin == nil {
				b.origin = r2.Point{X: math.Floor(f.low.X/1e5) * 1e5, Y: math.Floor(f.low.Y/1e5) * 1e5}
				b.told.first("%s stands at x %s, y %s: map coordinates. An origin near it is in origin.csv", f.name, metres(f.low.X), metres(f.low.Y))
			}
		}
		// To the nearest of the others, in plan and in height.
		nearest, other := math.Inf(1), ""
		for j := range b.files {
			o := &b.files[j]
			if j == i || !o.any {
				continue
			}
			gap := func(al, ah, bl, bh float64) float64 { return max(al-bh, bl-ah) }
			d := max(gap(f.low.X, f.high.X, o.low.X, o.high.X), gap(f.low.Y, f.high.Y, o.low.Y, o.high.Y), gap(f.low.Z, f.high.Z, o.low.Z, o.high.Z))
			if d < nearest {
				nearest, other = d, o.name
			}
		}
		if other != "" && nearest > liesApart {
			b.told.first("%s lies %s from %s, the nearest of the others: it has another origin, or is of another building", f.name, metres(nearest), other)
		}
	}
}

// covers gives what has insulation drawn on it the insulation's thickness: half of how much higher that is.
func (b *building) covers() {
	for _, t := range b.things {
		m := b.files[t.file].m
		for _, i := range t.el.Covers {
			c := b.of[&m.Elements[i]]
			if c == nil || len(c.forms) == 0 || len(t.forms) == 0 || c.line.Becomes != vocabulary.AsCover || t.insulation > 0 {
				continue
			}
			if by := ((c.high.Z - c.low.Z) - (t.high.Z - t.low.Z)) / 2; by > leastHigh {
				t.insulation = round(by)
				b.told.count("properties", "Insulation from what is drawn on it")
			}
		}
	}
}

// doubles drops what stands twice in one place.
func (b *building) doubles() {
	type key struct {
		class string
		box   [6]int64
	}
	of := func(t *thing, shift float64) key {
		k := key{class: t.el.Kind()}
		for i, v := range [6]float64{t.low.X, t.low.Y, t.low.Z, t.high.X, t.high.Y, t.high.Z} {
			k.box[i] = int64(math.Floor(v/2 + shift))
		}
		return k
	}
	at := map[key]*thing{}
	order := slices.Clone(b.things)
	slices.SortStableFunc(order, func(x, y *thing) int { return cmp.Compare(x.el.GUID, y.el.GUID) })
	for _, t := range order {
		if len(t.forms) == 0 || t.line.Becomes == vocabulary.AsOpening || t.line.Becomes == vocabulary.AsCover {
			continue
		}
		first := at[of(t, 0)]
		if first == nil {
			first = at[of(t, 0.5)]
		}
		if first != nil {
			b.told.at("doubles", b.files[t.file].m, t.el, "stands where %s stands (%s): taken once", b.called(first), b.files[first.file].name)
			t.out("double of another")
			t.forms = nil
			continue
		}
		at[of(t, 0)], at[of(t, 0.5)] = t, t
	}
}

// called names an element for people: its name, with its id.
func (b *building) called(t *thing) string {
	return strings.TrimSpace(fmt.Sprintf("%s %s", vocabulary.ClassName(t.el.Class), cmp.Or(t.el.Name, t.el.Tag))) + " (" + t.el.GUID + ")"
}

// grid takes the grid lines that stand square to the axes.
func (b *building) grid() {
	for i := range b.files {
		for _, a := range b.files[i].m.Axes {
			d := a.B.Sub(a.A)
			g := axis{label: a.Tag}
			switch {
			case math.Abs(d.X) <= 1e-3*math.Abs(d.Y):
				g.axis, g.at = "x", (a.A.X+a.B.X)/2
			case math.Abs(d.Y) <= 1e-3*math.Abs(d.X):
				g.axis, g.at = "y", (a.A.Y+a.B.Y)/2
			default:
				b.told.add("grid", "%s:%d: grid line %s stands askew and is left out", b.files[i].name, a.Line, a.Tag)
				continue
			}
			same := slices.IndexFunc(b.axes, func(o axis) bool { return o.axis == g.axis && strings.EqualFold(o.label, g.label) })
			switch {
			case g.label == "":
				b.told.add("grid", "%s:%d: a grid line without a label is left out", b.files[i].name, a.Line)
			case same < 0:
				b.axes = append(b.axes, g)
			case math.Abs(b.axes[same].at-g.at) > sameLevel:
				b.told.add("grid", "%s:%d: grid line %s is at %s here and at %s before: the first counts", b.files[i].name, a.Line, a.Tag, mm(g.at), mm(b.axes[same].at))
			}
		}
	}
	slices.SortFunc(b.axes, func(x, y axis) int {
		return cmp.Or(cmp.Compare(x.axis, y.axis), cmp.Compare(x.at, y.at), cmp.Compare(x.label, y.label))
	})
}
