package void

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"

	"voidline/void/body"
	"voidline/void/catalogue"
	"voidline/void/cell"
	"voidline/void/vocabulary"
)

// Character is what a zone is, apart from where: the words that rules speak of. Zones of one character
// are alike to every rule, so rules are chosen once for each pair of characters.
type Character struct {
	Trade   string // canonical; the text itself where the word is unknown
	Service string // canonical, "" where blank
	Kind    string // canonical
	Groups  []string
	Entry   vocabulary.KindEntry // of the kind; zero where the kind is unknown
	// Class and Circuits are for segregation: "" and 0 where blank.
	Class       string
	Circuits    float64
	Power, Data bool // which cables EN 50174-2 keeps apart
	Recessed    bool // set into the ceiling that it meets
	Order       int  // who gives way by default, 1 stays longest; 0 where neither kind nor trade are known
}

type charKey struct {
	trade, service, kind, class string
	circuits                    float64
	recessed                    bool
}

// In reports whether the character belongs to the group, "any" included.
func (c *Character) In(group string) bool {
	return group == "any" || slices.Contains(c.Groups, group)
}

// Structure reports whether it is structure: beams, columns, slabs, walls.
func (c *Character) Structure() bool {
	return c.Entry.Structure || slices.Contains(c.Groups, "structure")
}

// Zone is the room that a trade claims: one row, resolved. Lengths in mm, z above the project datum.
type Zone struct {
	ID     string
	At     At
	Char   int32 // index into the project's characters
	Storey int32
	Bay    int32 // of the bay cell, -1 where blank

	Bare  body.Body // the bare section
	Grow  float64   // joint and insulation outside it, on every side, not on the ends
	Cover float64   // insulation alone
	Top   float64   // lid or heaped cables above the section

	Hanger int32 // index into Hangers, -1 for none
	Run    string
	rare   *rare

	bays []int32 // bays whose plan the zone's own plan enters, ascending

	web float64 // thickness of a steel section's web, 0 where not known

	Item     bool // a thing at a point
	Upright  bool // its level is a range: it stands through levels
	ByHeight bool // only its bay and heights are known
	Recessed bool
	Reach    bool

	written written
}

// rare holds what few rows say.
type rare struct {
	frame, tier string
	joins       []string
	rank        float64
	holdsLevel  bool
	holdsPlace  bool
	tolerance   float64
	guid, note  string
}

// written is the row as written, packed: what Resolve needs and cannot look up again. Words are indices
// into the project's words.
type written struct {
	x1, y1, x2, y2  packedPlace
	a, b, c         float64 // of the size, as cell.Size has them
	low, high       float64 // of the level
	fall, joint     float64
	bay, storey     int32
	hanger          int32
	form            cell.SizeForm
	lowRef, highRef cell.Ref
	face            cell.Facing
	overJoint       bool
}

// packedPlace is a place: line is the word of a grid line, 0 for none, noPlace for a blank cell.
type packedPlace struct {
	mm   float64
	line int32
}

const noPlace = -1

func (q packedPlace) set() bool { return q.line != noPlace }

// level returns the level as it was written.
func (w *written) level(upright bool) cell.Level {
	return cell.Level{Low: cell.Height{Ref: w.lowRef, MM: w.low}, High: cell.Height{Ref: w.highRef, MM: w.high}, Range: upright}
}

// word returns the index of a word, "" is 0.
func (p *Project) word(s string) int32 {
	if s == "" {
		return 0
	}
	i, ok := p.wordOf[s]
	if !ok {
		i = int32(len(p.words))
		p.words = append(p.words, s)
		p.wordOf[s] = i
	}
	return i
}

// Full returns the body with joint, insulation and top. They go outside the bare section on every side
// but not on the ends: an upright prism's ends are its foot and its head; an item has no ends; a row
// over its whole bay has its section's height alone.
func (z *Zone) Full() body.Body {
	b := z.Bare
	if z.Grow > 0 {
		switch {
		case z.ByHeight:
			b.H += z.Grow
		case z.Item:
			b.W += z.Grow
			if !b.Round {
				n := b.Along.Norm()
				b.Along = b.Along.Mul((n + z.Grow) / n)
			}
			if !z.Upright {
				b.H += z.Grow
				if b.Round {
					b.Along.Z += z.Grow
				}
			}
		case z.Upright:
			b.W += z.Grow
		default:
			b.W += z.Grow
			b.H += z.Grow
		}
	}
	if z.Top > 0 {
		b.H += z.Top / 2
		b.Centre.Z += z.Top / 2
	}
	return b
}

// Frame returns the name of the shared frame and the tier in it, "" for none.
func (z *Zone) Frame() (frame, tier string) {
	if z.rare == nil {
		return "", ""
	}
	return z.rare.frame, z.rare.tier
}

// Joins returns the ids that the row says it connects to.
func (z *Zone) Joins() []string {
	if z.rare == nil {
		return nil
	}
	return z.rare.joins
}

// Rank returns the rank that the row sets (1 stays longest), false where it is blank.
func (z *Zone) Rank() (float64, bool) {
	if z.rare == nil || z.rare.rank == 0 {
		return 0, false
	}
	return z.rare.rank, true
}

// Holds reports whether the level and the place may not change.
func (z *Zone) Holds() (level, place bool) {
	if z.rare == nil {
		return false, false
	}
	return z.rare.holdsLevel, z.rare.holdsPlace
}

// Web returns the thickness of a steel section's web in mm, false where only its outside is known.
func (z *Zone) Web() (float64, bool) { return z.web, z.web > 0 }

// GUID returns the zone's id in a building model, "" where blank.
func (z *Zone) GUID() string {
	if z.rare == nil {
		return ""
	}
	return z.rare.guid
}

// Bays returns the indices of the bays whose plan the zone's own plan enters, ascending.
func (z *Zone) Bays() []int32 { return z.bays }

// Under returns the height of what hangs under the zone, mm.
func (p *Project) Under(z *Zone) float64 {
	if z.Hanger < 0 {
		return 0
	}
	return p.Hangers[z.Hanger].Under
}

// Hang returns the body of what hangs under a zone along its whole length, false where nothing does.
func (p *Project) Hang(z *Zone) (body.Body, bool) {
	under := p.Under(z)
	if under <= 0 {
		return body.Body{}, false
	}
	f := z.Full()
	half := f.H
	if f.Round {
		half = f.W
		if n := math.Hypot(f.Along.X, f.Along.Y); n > 0 {
			half *= math.Hypot(1, f.Along.Z/n) // the underside of a sloping pipe, measured upright
		}
		f.Round = false
		if f.Across == (r2.Point{}) {
			f.Across = r2.Point{Y: 1}
		}
	}
	w := p.Hangers[z.Hanger].Width
	if w == 0 {
		w = 2*f.W + 160 // rods 50 clear each side and 30 of channel beyond them: common practice, no source
	}
	f.W, f.H = w/2, under/2
	f.Centre.Z -= half + under/2
	return f, true
}

// zoneList keeps zones in blocks that never move, so that a pointer to a zone stays good.
type zoneList struct {
	blocks []*[zoneBlock]Zone
	n      int
}

const zoneBlock = 1024

func (l *zoneList) at(i int) *Zone { return &l.blocks[i/zoneBlock][i%zoneBlock] }

func (l *zoneList) add() *Zone {
	if l.n%zoneBlock == 0 {
		l.blocks = append(l.blocks, new([zoneBlock]Zone))
	}
	l.n++
	return l.at(l.n - 1)
}

// Zones returns the number of zones.
func (p *Project) Zones() int { return p.zones.n }

// Zone returns zone i, 0 <= i < Zones(). It is not to be changed.
func (p *Project) Zone(i int) *Zone { return p.zones.at(i) }

// ZoneByID returns the index of a zone by its id (case and blanks do not count), false where there is none.
func (p *Project) ZoneByID(id string) (int, bool) {
	i, ok := p.zoneOf[fold(id)]
	return int(i), ok
}

// Characters returns the number of characters.
func (p *Project) Characters() int { return len(p.characters) }

// Character returns character i.
func (p *Project) Character(i int32) *Character { return &p.characters[i] }

// AddZone adds a row of a trade's table; file is the name of its table, which is the trade unless
// the row says otherwise. The row is copied.
func (p *Project) AddZone(file string, r *ZoneRow) {
	z := p.zones.add()
	ok := p.fill(z, file, r)
	if ok {
		key := fold(z.ID)
		if j, there := p.zoneOf[key]; there {
			o := p.Zone(int(j))
			p.problem(r.At, "id", fmt.Sprintf("id %q is there already, in %s", z.ID, p.FileLine(o.At)), "an id of its own for each row", "")
			ok = false
		} else {
			p.zoneOf[key] = int32(p.zones.n - 1)
		}
	}
	if !ok {
		p.RowsMissing++
		p.zonesMissing = true
		*z = Zone{}
		p.zones.n--
		if p.zones.n%zoneBlock == 0 {
			p.zones.blocks = p.zones.blocks[:len(p.zones.blocks)-1]
		}
	}
}

// fill takes the cells of a row that need nothing else to be understood.
func (p *Project) fill(z *Zone, file string, r *ZoneRow) bool {
	ok := true
	bad := func(column, what, want, hint string) {
		p.problem(r.At, column, what, want, hint)
		ok = false
	}
	*z = Zone{ID: r.ID.Text, At: r.At, Bay: -1, Hanger: -1, Run: p.words[p.word(r.Run.Text)]}
	if z.ID == "" {
		bad("id", "blank", "an id, unique in the project", "")
	}
	low := fold(z.ID)
	if strings.HasPrefix(low, "ceiling ") || strings.HasPrefix(low, "soffit ") {
		bad("id", fmt.Sprintf("%q is the name of a bay's own ceiling or soffit", z.ID), "another id", "")
	}
	p.characterise(z, file, r, bad)
	w := &z.written
	place := func(c cell.Place) packedPlace {
		if c.Text == "" {
			return packedPlace{line: noPlace}
		}
		return packedPlace{c.MM, p.word(c.Line)}
	}
	w.x1, w.y1, w.x2, w.y2 = place(r.X1), place(r.Y1), place(r.X2), place(r.Y2)
	w.bay, w.storey, w.hanger = p.word(r.Bay.Text), p.word(r.Storey.Text), p.word(r.Hanger.Text)
	switch {
	case w.x1.set() != w.y1.set():
		bad(either(w.x1.set(), "y1", "x1"), "blank, but "+either(w.x1.set(), "x1", "y1")+" is given", "both, or neither and a bay", "")
	case w.x2.set() != w.y2.set():
		bad(either(w.x2.set(), "y2", "x2"), "blank, but "+either(w.x2.set(), "x2", "y2")+" is given", "both for a straight length, neither for an item", "")
	case !w.x1.set() && w.x2.set():
		bad("x1", "blank, but x2 and y2 are given", "the start of the length", "")
	case !w.x1.set() && w.bay == 0:
		bad("x1", "no place", "x1 and y1, or a bay", "")
	}
	z.ByHeight = !w.x1.set()
	z.Item = w.x1.set() && !w.x2.set()
	p.sizeOf(z, r, bad)
	w.lowRef, w.low, w.highRef, w.high = r.Level.Low.Ref, r.Level.Low.MM, r.Level.High.Ref, r.Level.High.MM
	z.Upright = r.Level.Range
	w.face = r.Face.Is
	if r.Level.Text == "" || r.Level.None {
		bad("level", blank(r.Level.Text, "is not a level"), "a level, such as 2700, FFL+2700 or soffit-60", "")
	}
	if s := r.Level.Says; s != cell.Unsaid {
		if w.face != cell.Unsaid && w.face != s {
			bad("face", fmt.Sprintf("face says %s, level says %s (%s)", w.face, s, r.Level.Text), "one of the two", "")
		}
		w.face = s
	}
	w.fall = r.Fall.Slope
	if w.fall != 0 && (z.Item || z.ByHeight || z.Upright) {
		bad("fall", "a fall needs a length", "x2 and y2, or no fall", "")
	}
	for _, c := range []struct {
		name string
		v    float64
	}{{"joint", r.Joint.MM}, {"top", r.Top.MM}, {"insulation", r.Insulation.MM}, {"tolerance", r.Tolerance.MM}} {
		if c.v < 0 {
			bad(c.name, fmt.Sprintf("%g is below nothing", c.v), "millimetres, not negative", "")
		}
		if c.v > maxPlan/100 {
			bad(c.name, fmt.Sprintf("%g mm is more than 100 m", c.v), "millimetres", "")
		}
	}
	if f := z.written.form; r.Top.MM > 0 && (f == cell.Circle || f == cell.Disc) {
		bad("top", "a round section has no top", "a width and a height, or no top", "")
	}
	z.Grow = math.Max(r.Joint.MM, r.Insulation.MM)
	if r.Insulation.OverJoint {
		z.Grow = r.Joint.MM + r.Insulation.MM
	}
	z.Cover, z.Top = r.Insulation.MM, r.Top.MM
	w.joint, w.overJoint = r.Joint.MM, r.Insulation.OverJoint
	e := p.characters[z.Char].Entry
	z.Recessed, z.Reach = p.characters[z.Char].Recessed, e.Reach
	if r.Reach.Text != "" {
		z.Reach = r.Reach.On
	}
	x := rare{
		frame: r.Frame.Text, tier: r.Tier.Text, joins: r.Joins.List, rank: r.Rank.Value,
		tolerance: r.Tolerance.MM, guid: r.GUID.Text, note: r.Note.Text,
	}
	if r.Rank.Text != "" && r.Rank.Value <= 0 {
		bad("rank", fmt.Sprintf("%q is not a rank", r.Rank.Text), "1 (stays longest) or more", "")
	}
	switch fold(r.Holds.Text) {
	case "":
	case "level":
		x.holdsLevel = true
	case "place":
		x.holdsPlace = true
	case "both":
		x.holdsLevel, x.holdsPlace = true, true
	default:
		bad("holds", fmt.Sprintf("%q is not what may be held", r.Holds.Text), "level, place or both", near(r.Holds.Text, []string{"level", "place", "both"}))
	}
	if x.frame != "" || x.tier != "" || len(x.joins) > 0 || x.rank != 0 || x.tolerance != 0 || x.guid != "" || x.note != "" || x.holdsLevel || x.holdsPlace {
		z.rare = &x
	}
	return ok
}

func either(first bool, a, b string) string {
	if first {
		return a
	}
	return b
}

// characterise finds the character of a row: trade, service, kind, and what belongs to them.
func (p *Project) characterise(z *Zone, file string, r *ZoneRow, bad func(column, what, want, hint string)) {
	raw := rawKey{file, r.Trade.Text, r.Service.Text, r.Kind.Text, r.Class.Text, r.Circuits.Value, r.Recessed.Text}
	if i, ok := p.rawChar[raw]; ok {
		z.Char = i
		return
	}
	var k charKey
	columnKind, columnService := "", ""
	stem := strings.TrimSuffix(file[strings.LastIndexByte(file, '/')+1:], ".csv")
	fileTrade, fileKind, known := vocabulary.TradeOfFile(file)
	switch {
	case r.Trade.Text != "":
		if t, ok := vocabulary.TradeWord(r.Trade.Text); ok {
			k.trade = t.Word
		} else if t, kind, ok := vocabulary.TradeOfFile(r.Trade.Text); ok {
			// gas, diffusers: what would do as the name of a table does in its column too.
			k.trade, columnKind = t, kind
			columnService, _ = vocabulary.ServiceOfFile(r.Trade.Text)
		} else {
			k.trade = fold(r.Trade.Text)
			p.once(r.At, "trade", fmt.Sprintf("%q is not a trade known by name: only rules for any apply to it", r.Trade.Text), "", mean(vocabulary.NearestTrade(r.Trade.Text)))
		}
	case known:
		k.trade = fileTrade
	default:
		k.trade = fold(stem)
		p.once(At{File: r.At.File}, "", fmt.Sprintf("%s: %q is not a trade known by name: only rules for any apply to its rows", file, stem), "", mean(vocabulary.NearestTrade(stem)))
	}
	if r.Service.Text != "" {
		if s, ok := vocabulary.ServiceWord(r.Service.Text); ok {
			k.service = s.Word
		} else {
			k.service = fold(r.Service.Text)
			p.once(r.At, "service", fmt.Sprintf("%q is not a service known by name: only rules for any, its kind and its trade apply to it", r.Service.Text), "", mean(vocabulary.NearestService(r.Service.Text)))
		}
	}
	switch {
	case r.Service.Text == "" && r.Trade.Text == "":
		k.service, _ = vocabulary.ServiceOfFile(file)
	case r.Service.Text == "":
		k.service = columnService
	}
	switch {
	case r.Kind.Text != "":
		if e, ok := vocabulary.KindWord(r.Kind.Text); ok {
			k.kind = e.Word
		} else {
			k.kind = fold(r.Kind.Text)
			p.once(r.At, "kind", fmt.Sprintf("%q is not a kind known by name", r.Kind.Text), "", mean(vocabulary.NearestKind(r.Kind.Text)))
		}
	case fileKind != "" && r.Trade.Text == "":
		k.kind = fileKind
	case columnKind != "":
		k.kind = columnKind
	default:
		k.kind, _ = vocabulary.DefaultKind(k.trade)
	}
	k.class = fold(r.Class.Text)
	good := k.class == "" || len(k.class) == 1 && k.class[0] >= 'a' && k.class[0] <= 'd'
	if !good {
		bad("class", fmt.Sprintf("%q is not a segregation class", r.Class.Text), "a, b, c or d (EN 50174-2)", "")
	}
	k.circuits = r.Circuits.Value
	e, _ := vocabulary.KindWord(k.kind)
	k.recessed = e.Recessed
	if r.Recessed.Text != "" {
		k.recessed = r.Recessed.On
	}
	i, ok := p.charOf[k]
	if !ok {
		i = int32(len(p.characters))
		p.charOf[k] = i
		c := Character{Trade: k.trade, Service: k.service, Kind: k.kind, Class: k.class, Circuits: k.circuits}
		c.Entry = e
		c.Groups = vocabulary.GroupsOf(k.trade, k.service, k.kind)
		c.Order, _ = vocabulary.OrderOf(k.trade, k.service, k.kind)
		if e, ok := vocabulary.ServiceWord(k.service); ok {
			c.Power, c.Data = e.Power, e.Data
		}
		c.Recessed = k.recessed
		p.characters = append(p.characters, c)
	}
	z.Char = i
	if good && len(p.rawChar) < rawMost {
		p.rawChar[raw] = i
	}
}

// rawKey is what the rows of one table say of their character, as they say it; rawMost bounds how many such
// are remembered.
type rawKey struct {
	file, trade, service, kind, class string
	circuits                          float64
	recessed                          string
}

const rawMost = 1 << 14

// sizeOf gathers size, width, height and diameter into one size of plain numbers:
// Rectangle, Solid, Circle, Disc or Single.
func (p *Project) sizeOf(z *Zone, r *ZoneRow, bad func(column, what, want, hint string)) {
	s := r.Size
	s.Fault = nil
	cols := r.Width.Text != "" || r.Height.Text != "" || r.Diameter.Text != ""
	switch s.Form {
	case cell.SteelName:
		c, ok := catalogue.SectionByName(s.Name)
		if !ok {
			n, _ := catalogue.NearestSection(s.Name)
			hint := ""
			if n != "" {
				hint = fmt.Sprintf("did you mean %q?", n)
			}
			bad("size", fmt.Sprintf("no steel section %q in the table", s.Text), "a section of EN 10365, or its width x height", hint)
			return
		}
		s.Form, s.A, s.B = cell.Rectangle, c.B, c.H
		z.web = c.Tw
	case cell.NominalDN:
		c, ok := catalogue.PipeByDN(s.A, s.Standard)
		if !ok {
			want := "a DN of EN 10220, or the standard's name after it"
			if s.Standard != "" {
				if known, ok := catalogue.PipeStandard(s.Standard); ok {
					want = "a DN of " + known
				} else {
					want = "a standard of the tables: " + strings.Join(catalogue.Standards(), ", ")
				}
			}
			if in := catalogue.PipeStandards(s.A); len(in) > 0 {
				want += fmt.Sprintf(" (%g is in %s)", s.A, strings.Join(in, ", "))
			}
			bad("size", fmt.Sprintf("no pipe %q in the table", s.Text), want, "or give the outside diameter, such as ø168.3")
			return
		}
		if note, two := catalogue.PipeConflict(s.A); two && s.Standard == "" {
			p.once(r.At, "size", fmt.Sprintf("DN%g: %s; %s taken, %.1f", s.A, note, c.Standard, c.OD), "", "name the standard after the size, such as DN150 EN 10255")
		}
		s.Form, s.A = cell.Circle, c.OD
	}
	s.Name, s.Standard = "", ""
	w, h, d := r.Width, r.Height, r.Diameter
	switch {
	case !cols:
	case s.Form == cell.NoSize && d.Text != "" && w.Text == "" && h.Text == "":
		s.Form, s.A = cell.Circle, d.MM
	case s.Form == cell.NoSize && d.Text != "" && w.Text == "" && z.Item:
		s.Form, s.A, s.B = cell.Disc, d.MM, h.MM
	case s.Form == cell.NoSize && d.Text == "" && w.Text != "" && h.Text != "":
		s.Form, s.A, s.B = cell.Rectangle, w.MM, h.MM
	case s.Form == cell.NoSize && d.Text == "" && h.Text == "":
		s.Form, s.A = cell.Single, w.MM
	case s.Form == cell.NoSize && d.Text == "" && w.Text == "" && z.ByHeight:
		s.Form, s.A = cell.Single, h.MM
	case s.Form == cell.Rectangle && z.Item && h.Text != "" && w.Text == "" && d.Text == "":
		s.Form, s.C = cell.Solid, h.MM
	case s.Form == cell.Circle && z.Item && h.Text != "" && w.Text == "" && d.Text == "":
		s.Form, s.B = cell.Disc, h.MM
	default:
		first := "diameter"
		switch {
		case r.Size.Text != "":
			first = "size"
		case w.Text != "":
			first = "width"
		case h.Text != "":
			first = "height"
		}
		bad(first, "size, width, height and diameter do not go together", "size alone, or width and height, or diameter", "")
		return
	}
	sized := "size" // the column that a problem stands in
	for _, l := range []struct {
		name string
		cell.Length
	}{{"width", w}, {"height", h}, {"diameter", d}} {
		if l.Text == "" {
			continue
		}
		if sized == "size" {
			sized = l.name
		}
		if l.MM <= 0 || l.MM > 2e5 {
			bad(l.name, fmt.Sprintf("%s is not a side of a section", l.Text), "more than nothing, at most 200 m", "")
			return
		}
	}
	if s.Text != "" {
		sized = "size"
	}
	for _, v := range []float64{s.A, s.B, s.C} {
		if v < 0 || v > 2e5 {
			bad(sized, fmt.Sprintf("%g mm is not a side of a section", v), "more than nothing, at most 200 m", "")
			return
		}
	}
	zero := s.A <= 0 || (s.Form == cell.Rectangle || s.Form == cell.Solid || s.Form == cell.Disc) && s.B <= 0 || s.Form == cell.Solid && s.C <= 0
	text := r.Size.Text
	if text == "" {
		text = strings.TrimSpace(w.Text + " " + h.Text + " " + d.Text)
	}
	upright := r.Level.Range
	want, hint := "", ""
	switch {
	case s.Form == cell.NoSize:
		want = "a size, such as 600x300, ø250, DN50 or UB 406x178x60"
	case zero:
		want = "a size of more than nothing"
	case z.Item && upright && s.Form != cell.Rectangle && s.Form != cell.Circle:
		want = "an item's plan, 150x150 or ø150: its height is the range of levels"
	case z.Item && !upright && s.Form != cell.Solid && s.Form != cell.Disc:
		want = "an item's size along x by along y by high, 600x600x100, or ø150x100"
		hint = "or give x2 and y2 for a length, or a range of levels"
	case !z.Item && !z.ByHeight && upright && s.Form != cell.Rectangle && s.Form != cell.Single:
		want = "the thickness: the height is the range of levels"
	case !z.Item && !z.ByHeight && !upright && s.Form != cell.Rectangle && s.Form != cell.Circle:
		want = "across x high, such as 600x300, or a diameter"
	}
	if want != "" {
		what := fmt.Sprintf("%q will not do here", text)
		if text == "" {
			what = "blank"
		}
		bad(sized, what, want, hint)
		return
	}
	w0 := &z.written
	w0.form, w0.a, w0.b, w0.c = s.Form, s.A, s.B, s.C
}

// resolveZones gives every zone its body. Zones that hang on the steel come after the beams are known.
func (p *Project) resolveZones() {
	n := p.zones.n
	drop := map[int]bool{}
	p.beamTiles = make([]tiles, len(p.Storeys))
	var later []int
	for i := 0; i < n; i++ {
		z := p.Zone(i)
		lv := z.written.level(z.Upright)
		if lv.Low.Ref == cell.Steel || lv.Range && lv.High.Ref == cell.Steel {
			later = append(later, i)
			if e := p.characters[z.Char].Entry; e.Beam {
				p.problem(z.At, "level", fmt.Sprintf("the level of beam %q hangs on the beams over it", z.ID), "a beam's level from FFL, SSL or the soffit", "")
				drop[i] = true
			}
			continue
		}
		if !p.resolveZone(i) {
			drop[i] = true
		} else if p.characters[z.Char].Entry.Beam {
			p.beamTiles[z.Storey].add(z.Bare.Plan(), int32(i))
		}
	}
	for _, i := range later {
		if !drop[i] && !p.resolveZone(i) {
			drop[i] = true
		}
	}
	if len(drop) > 0 {
		p.RowsMissing += len(drop)
		p.zonesMissing = true
		p.compact(drop)
	}
	for i := 0; i < p.zones.n; i++ {
		z := p.Zone(i)
		for _, j := range z.Joins() {
			if _, ok := p.zoneOf[fold(j)]; !ok {
				p.warn(z.At, "joins", fmt.Sprintf("no zone %q", j), "ids of zones", near(j, nil))
			}
		}
	}
}

// compact takes dropped zones out of the list, keeping the order of the rest.
func (p *Project) compact(drop map[int]bool) {
	k := 0
	for i := 0; i < p.zones.n; i++ {
		if drop[i] {
			delete(p.zoneOf, fold(p.Zone(i).ID))
			continue
		}
		if k != i {
			*p.zones.at(k) = *p.zones.at(i)
			p.zoneOf[fold(p.Zone(k).ID)] = int32(k)
		}
		k++
	}
	for i := k; i < p.zones.n; i++ {
		*p.zones.at(i) = Zone{}
	}
	p.zones.n = k
	// Beam tiles hold indices from before: make them anew.
	p.beamTiles = make([]tiles, len(p.Storeys))
	for i := 0; i < k; i++ {
		if z := p.Zone(i); p.characters[z.Char].Entry.Beam {
			p.beamTiles[z.Storey].add(z.Bare.Plan(), int32(i))
		}
	}
}

// resolveZone gives one zone its storey, plan, levels, body and bays; false where a problem was told.
func (p *Project) resolveZone(i int) bool {
	z := p.Zone(i)
	w := &z.written
	bayName, storeyName, hangerName := p.words[w.bay], p.words[w.storey], p.words[w.hanger]
	ok := true
	bad := func(column, what, want, hint string) {
		p.problem(z.At, column, what, want, hint)
		ok = false
	}
	// Storey and bay.
	z.Bay, z.Hanger, z.bays = -1, -1, nil
	if storeyName == "" && bayName != "" && len(p.Storeys) > 1 {
		hits := 0
		for s := range p.Storeys {
			if b, there := p.bayOf[bayKey{s, fold(bayName)}]; there {
				z.Storey, z.Bay = int32(s), int32(b)
				hits++
			}
		}
		if hits == 0 && p.broken["bays"] {
			bad("bay", leans, "", "")
			return false
		}
		if hits != 1 {
			bad("storey", fmt.Sprintf("blank, and bay %q is in %d storeys", bayName, hits), "the storey of the row", "")
			return false
		}
	} else {
		s, what, hint := p.storey(storeyName)
		if what != "" {
			bad("storey", what, "a storey of levels.csv", hint)
			return false
		}
		z.Storey = int32(s)
		if bayName != "" {
			b, there := p.bayOf[bayKey{s, fold(bayName)}]
			if !there && p.broken["bays"] {
				bad("bay", leans, "", "")
				return false
			}
			if !there {
				var names []string
				for j := range p.Bays {
					if p.Bays[j].Storey == s {
						names = append(names, p.Bays[j].Name)
					}
				}
				bad("bay", fmt.Sprintf("no bay %q in bays.csv", bayName), "a bay of the row's storey", date(bayName, near(bayName, names)))
				return false
			}
			z.Bay = int32(b)
		}
	}
	if hangerName != "" && fold(hangerName) != "none" {
		h, there := p.hanger(hangerName)
		if !there && p.broken["hangers"] || !p.isWhole("hangers", hangerName) {
			bad("hanger", leans, "", "")
		} else if !there {
			bad("hanger", fmt.Sprintf("no hanger %q in hangers.csv or built in", hangerName), "the name of a hanger", p.nearHanger(hangerName))
		}
		z.Hanger = int32(h)
	}
	if !ok {
		return false
	}
	// Plan.
	var start, end r2.Point
	if z.ByHeight {
		b := &p.Bays[z.Bay]
		start = b.Plan.Center()
	} else {
		coord := func(column string, c packedPlace, axis int) float64 {
			v, what := p.place(p.wordAt(c.line), c.mm, axis)
			if what != "" {
				bad(column, what, "a number or a grid line of grid.csv", near(p.wordAt(c.line), p.gridLabels(axis)))
			}
			return v
		}
		start = r2.Point{X: coord("x1", w.x1, 0), Y: coord("y1", w.y1, 1)}
		end = start
		if !z.Item {
			end = r2.Point{X: coord("x2", w.x2, 0), Y: coord("y2", w.y2, 1)}
		}
		if !ok {
			return false
		}
		if !z.Item && end.Sub(start).Norm() <= Hair {
			bad("x2", "the length is zero", "an end apart from the start, or blank for an item", "")
			return false
		}
		if end.Sub(start).Norm() > 2e5+Hair {
			bad("x2", fmt.Sprintf("%.0f m is longer than anything in a building", end.Sub(start).Norm()/1000), "a length of at most 200 m", "")
			return false
		}
	}
	p.shape(z, start, end)
	p.enter(z)
	if z.Bay >= 0 && !z.ByHeight && !slices.Contains(z.bays, z.Bay) {
		p.warn(z.At, "bay", fmt.Sprintf("the row says bay %q, but its place is not in it", bayName), "", "its place counts")
	}
	// Levels.
	low, why := p.level(z, w.level(z.Upright).Low)
	if why.what != "" {
		bad("level", why.what, why.want, why.hint)
		return false
	}
	high := low
	if z.Upright {
		if high, why = p.level(z, w.level(z.Upright).High); why.what != "" {
			bad("level", why.what, why.want, why.hint)
			return false
		}
		if high-low <= Hair {
			bad("level", fmt.Sprintf("the range ends %.1f below its start", low-high), "a range from the lower to the upper level", "")
			return false
		}
	}
	if math.Abs(low) > maxLevel || math.Abs(high) > maxLevel {
		bad("level", "more than 2 km from the project datum", "a level within 2 km", "")
		return false
	}
	p.lift(z, low, high)
	if z.Upright && len(p.Storeys) > 1 {
		p.rise(z)
	}
	if h := z.Bare.Height(); math.Abs(h.Lo) > maxLevel || math.Abs(h.Hi) > maxLevel {
		bad("fall", "it falls to more than 2 km from the project datum", "a level within 2 km", "")
		return false
	}
	return true
}

// shape sets the bare body in plan, its section's middle at level 0 at the start.
func (p *Project) shape(z *Zone, start, end r2.Point) {
	w := &z.written
	s := cell.Size{Form: w.form, A: w.a, B: w.b, C: w.c}
	if z.ByHeight {
		b := &p.Bays[z.Bay]
		h := s.A // Single, Circle
		switch s.Form {
		case cell.Rectangle, cell.Disc:
			h = s.B
		case cell.Solid:
			h = s.C
		}
		z.Bare = body.Body{
			Centre: r3.Vector{X: start.X, Y: start.Y},
			Along:  r3.Vector{X: b.Plan.X.Length() / 2}, Across: r2.Point{Y: 1},
			W: b.Plan.Y.Length() / 2, H: h / 2,
		}
		return
	}
	if z.Item {
		c := r3.Vector{X: start.X, Y: start.Y}
		switch s.Form {
		case cell.Circle, cell.Disc:
			z.Bare = body.Cylinder(c.Sub(r3.Vector{Z: s.B / 2}), c.Add(r3.Vector{Z: s.B / 2}), s.A)
		default: // Rectangle (its height is the range), Solid
			z.Bare = body.Body{Centre: c, Along: r3.Vector{X: s.A / 2}, Across: r2.Point{Y: 1}, W: s.B / 2, H: s.C / 2}
		}
		return
	}
	drop := w.fall * end.Sub(start).Norm()
	a, b := r3.Vector{X: start.X, Y: start.Y}, r3.Vector{X: end.X, Y: end.Y, Z: -drop}
	if s.Form == cell.Circle {
		z.Bare = body.Cylinder(a, b, s.A)
		return
	}
	z.Bare = body.Box(a, b, s.A, s.B)
}

// lift moves the bare body to its level: low is the level of the row's face at its start, or the
// lower end of a range.
func (p *Project) lift(z *Zone, low, high float64) {
	b := &z.Bare
	if z.Upright {
		b.Centre.Z = (low + high) / 2
		if b.Round {
			b.Along.Z = (high - low) / 2
		} else {
			b.H = (high - low) / 2
		}
		return
	}
	half := b.H
	if b.Round {
		if n := math.Hypot(b.Along.X, b.Along.Y); n > 0 {
			half = b.W * math.Hypot(1, b.Along.Z/n) // upright from the axis to the underside
		} else {
			half = b.Along.Z // an upright disc
		}
	}
	at := low
	switch z.written.face {
	case cell.Centre:
	case cell.Top:
		at -= half
	default:
		at += half
	}
	b.Centre.Z += at
}

// enter finds the bays whose inside the zone's bare plan enters.
func (p *Project) enter(z *Zone) {
	if z.ByHeight {
		z.bays = p.keep(z.Bay)
		return
	}
	box := z.Bare.Plan()
	var scratch, found [16]int32
	in := found[:0]
	for _, j := range p.bayTiles[z.Storey].near(box, scratch[:0]) {
		if p.enters(z.Bare, &p.Bays[j]) {
			in = append(in, j)
		}
	}
	z.bays = p.keep(in...)
}

// rise adds the bays of other storeys that an upright zone stands through.
func (p *Project) rise(z *Zone) {
	h := z.Bare.Height()
	var scratch [16]int32
	in := append(scratch[:0:0], z.bays...)
	var near []int32
	for s := range p.Storeys {
		if s == int(z.Storey) {
			continue
		}
		near = p.bayTiles[s].near(z.Bare.Plan(), near)
		for _, j := range near {
			b := &p.Bays[j]
			if h.Hi > p.Storeys[s].FFL+Hair && h.Lo < b.Soffit-Hair && p.enters(z.Bare, b) {
				in = append(in, j)
			}
		}
	}
	if len(in) > len(z.bays) {
		slices.Sort(in)
		z.bays = p.keep(in...)
	}
}

// keep copies a few indices into a block that many zones share.
func (p *Project) keep(in ...int32) []int32 {
	if len(in) == 0 {
		return nil
	}
	if len(p.block)+len(in) > cap(p.block) {
		p.block = make([]int32, 0, max(4096, len(in)))
	}
	from := len(p.block)
	p.block = append(p.block, in...)
	return p.block[from:len(p.block):len(p.block)]
}

// wordAt returns a grid line's word; "" for a place without one.
func (p *Project) wordAt(line int32) string {
	if line == noPlace {
		return ""
	}
	return p.words[line]
}

// enters reports whether the body's plan and the bay's plan share more than a hair.
func (p *Project) enters(b body.Body, bay *Bay) bool {
	box := b.Plan()
	if box.X.Intersection(bay.Plan.X).Length() <= Hair || box.Y.Intersection(bay.Plan.Y).Length() <= Hair {
		return false
	}
	if b.Along.X == 0 || b.Along.Y == 0 {
		if !b.Round || b.Along.Z == 0 {
			return true // square to the axes: its plan is its rectangle
		}
	}
	if b.Round && (b.Along.X == 0) != (b.Along.Y == 0) {
		// A falling pipe square to the axes covers at least the rectangle along its axis.
		x, y := math.Abs(b.Along.X), math.Abs(b.Along.Y)
		if x == 0 {
			x = b.W
		} else {
			y = b.W
		}
		inner := r2.RectFromCenterSize(r2.Point{X: b.Centre.X, Y: b.Centre.Y}, r2.Point{X: 2 * x, Y: 2 * y})
		if inner.X.Intersection(bay.Plan.X).Length() > Hair && inner.Y.Intersection(bay.Plan.Y).Length() > Hair {
			return true
		}
	}
	return body.PlanOverlap(b, body.Upright(bay.Plan, b.Height())) > Hair
}

// level returns a height of a zone's row above the project datum; the text says why not.
func (p *Project) level(z *Zone, h cell.Height) (float64, trouble) {
	other := "a level from FFL, SSL or the datum"
	switch h.Ref {
	case cell.Ceiling, cell.BuildUp, cell.Soffit:
	case cell.Steel:
		return p.steelOver(z, h)
	default:
		return p.fixed(int(z.Storey), h)
	}
	if len(z.bays) == 0 {
		if p.broken["bays"] {
			return 0, trouble{what: leans}
		}
		return 0, trouble{fmt.Sprintf("%s: no bay holds this row", h.Ref), other, ""}
	}
	var at float64
	var first *Bay
	for _, j := range z.bays {
		b := &p.Bays[j]
		v := b.Soffit
		if h.Ref != cell.Soffit {
			if !b.HasCeiling {
				return 0, trouble{fmt.Sprintf("%s: bay %q has no ceiling", h.Ref, b.Name), other, ""}
			}
			v = b.Ceiling
			if h.Ref == cell.BuildUp {
				v = b.Top
			}
		}
		if first == nil {
			at, first = v, b
		} else if math.Abs(v-at) > 0.1+Hair {
			return 0, trouble{
				fmt.Sprintf("%s differs by %.1f between bay %q and bay %q", h.Ref, math.Abs(v-at), first.Name, b.Name),
				"a level that is the same over the whole row", "split the row where the level differs",
			}
		}
	}
	return at + h.MM, trouble{}
}

// steelOver returns the underside of the lowest beam over the zone's own plan.
func (p *Project) steelOver(z *Zone, h cell.Height) (float64, trouble) {
	lowest, found := math.Inf(1), false
	var scratch [16]int32
	plan := z.Bare
	plan.Along.Z = 0
	for _, j := range p.beamTiles[z.Storey].near(plan.Plan(), scratch[:0]) {
		b := p.Zone(int(j))
		if body.PlanOverlap(plan, b.Bare) > Hair {
			// The lowest of the beam over this row's plan: a falling beam counts where it is over it.
			under := b.Bare.Height().Lo
			if b.Bare.Along.Z != 0 {
				if s, ok := body.Span(plan, b.Bare, r3.Vector{Z: 1}); ok {
					under = s.Lo + plan.Height().Hi
				}
			}
			lowest, found = math.Min(lowest, under), true
		}
	}
	if !found {
		if p.zonesMissing {
			return 0, trouble{what: leans} // the beam may be among the rows that are missing
		}
		return 0, trouble{"steel: no beam lies over this row", "a level from FFL, SSL, the soffit or the datum", ""}
	}
	return lowest + h.MM, trouble{}
}
