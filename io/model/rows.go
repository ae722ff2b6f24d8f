package model

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/golang/geo/r2"

	"voidline/io/ifc"
	"voidline/void"
	"voidline/void/vocabulary"
)

// Row is a row of a table, with what it was made of.
type Row struct {
	Table string            // file name of the table
	ID    string            // its id, or the name of its bay
	GUID  string            // of the element, "" where it is of none alone
	Piece int               // of an element in several rows, from 1; 0: it is one
	File  string            // of the model
	Class string            // of the element
	Name  string            // its name there
	Cells map[string]string // by column

	t    *thing
	form *ifc.Form
	long *lengthRow
}

// lengthRow is a row that is a length: where it begins, and which way it goes.
type lengthRow struct {
	from r2.Point
	dir  r2.Point // of length 1
	mm   float64
}

// The lengths and shares by which a form is written one way or another.
const (
	poor      = 0.6  // of the body that is told, filled less than this
	steep     = 1.0  // a rectangular section that rises more than this for each mm of plan is told as a box
	levelEnds = 0.05 // ends of one level, mm
	inReach   = 2100 // over the floor, mm: in a bay without a ceiling what is lower stands in the room
	nearBay   = 500  // mm: walls and columns stand between rooms
)

// round is to a hundredth of a millimetre.
func round(v float64) float64 { return math.Round(v*100)/100 + 0 }

// mm writes a length.
func mm(v float64) string { return strconv.FormatFloat(round(v), 'f', -1, 64) }

func metres(v float64) string { return strconv.FormatFloat(math.Round(v)/1000, 'f', -1, 64) + " m" }

func degrees(v float64) string { return strconv.FormatFloat(math.Round(v*1e7)/1e7, 'f', -1, 64) }

// lengthOf reads a length out of a property's text: the first number in it; 0 where it says none.
func lengthOf(text string) float64 {
	text = strings.TrimSpace(strings.ReplaceAll(text, ",", "."))
	i := 0
	for i < len(text) && (text[i] >= '0' && text[i] <= '9' || text[i] == '.') {
		i++
	}
	v, err := strconv.ParseFloat(text[:i], 64)
	if err != nil {
		return 0
	}
	switch strings.TrimSpace(text[i:]) {
	case "", "mm":
		return v
	case "m":
		return v * 1000
	case "\"", "in":
		return v * 25.4
	}
	return 0
}

// makeZones makes rows of what becomes a zone.
func (b *building) makeZones() {
	for _, t := range b.things {
		if len(t.forms) == 0 || t.line.Becomes != vocabulary.AsZone && t.line.Becomes != vocabulary.AsAbove {
			continue
		}
		m := b.files[t.file].m
		if t.line.Becomes == vocabulary.AsAbove {
			if why := b.inTheRoom(t); why != "" {
				t.out(why)
				continue
			}
		}
		for i := range t.forms {
			f := &t.forms[i]
			r := b.zone(t, f)
			if r == nil {
				b.told.at("flat", m, t.el, "has no height or no breadth: left out")
				continue
			}
			if len(t.forms) > 1 {
				r.Piece = i + 1
			}
			t.rows = append(t.rows, r)
		}
		if len(t.rows) == 0 {
			t.out("no height or no breadth")
			continue
		}
		t.became = "zones: " + t.rows[0].Table
	}
	b.nameZones()
}

// inTheRoom says why an element that only counts over a ceiling does not, "" where it does.
func (b *building) inTheRoom(t *thing) string {
	lowest, near := math.Inf(1), false
	s := b.storeyAt(t.low.Z + 300)
	box := r2.RectFromPoints(r2.Point{X: t.low.X, Y: t.low.Y}, r2.Point{X: t.high.X, Y: t.high.Y}).ExpandedByMargin(nearBay)
	for i := range b.bays {
		v := &b.bays[i]
		// A thing that goes through several storeys counts in each.
		if !v.r.Intersects(box) || v.storey != s && (b.storeys[v.storey].z < b.storeys[s].z || t.high.Z < b.storeys[v.storey].z+1000) {
			continue
		}
		near = true
		face := b.storeys[v.storey].z + inReach
		if v.over != nil {
			face = v.face
		}
		lowest = min(lowest, face)
	}
	switch {
	case !near:
		return "in no bay"
	case t.high.Z <= lowest+10:
		return "stands in the room"
	}
	return ""
}

// zone makes a row of one piece of an element, nil where it has no height.
func (b *building) zone(t *thing, f *ifc.Form) *Row {
	if f.High.Z-f.Low.Z < leastHigh || f.Turned.Long < leastHigh || f.Turned.Wide < leastHigh {
		return nil
	}
	trade, kind, service := t.line.Trade, t.line.Kind, cmp.Or(t.line.Service, t.service)
	if !t.line.user && t.trade != "" && trade == "pipework" {
		trade = t.trade
	}
	if k := f.Straight; t.line.Becomes == vocabulary.AsAbove && kind == "beam" && k != nil {
		switch d := k.B.Sub(k.A); {
		case k.Upright():
			kind = "column"
		case math.Abs(d.Z) > 0.2*d.Norm():
			kind = "brace"
		}
	}
	entry, _ := vocabulary.KindWord(kind)
	r := &Row{
		Table: strings.ReplaceAll(trade, " ", "-") + ".csv", GUID: t.el.GUID, File: b.files[t.file].name, Class: vocabulary.ClassName(t.el.Kind()),
		Name: t.el.Name, Cells: map[string]string{}, t: t, form: f,
	}
	r.Cells["kind"] = kind
	if !entry.Structure {
		r.Cells["service"] = service
	}
	low := f.Low.Z
	if entry.Word == "wall" || entry.Word == "column" {
		low += 300 // they stand on the slab, under the floor's finish
	}
	s := b.storeyAt(low)
	t.storey = s
	if len(b.storeys) > 1 {
		r.Cells["storey"] = b.storeys[s].name
	}
	b.place(r, f, entry, b.storeys[s].z)
	if t.insulation > 0 && !entry.Item {
		r.Cells["insulation"] = mm(t.insulation)
	}
	if entry.Recessed {
		b.recess(r, f, s)
	}
	var note []string
	if f.Fill < poor && !entry.Structure {
		note = append(note, fmt.Sprintf("fills %.0f %% of this", 100*f.Fill))
		b.told.at("poorly filled", b.files[t.file].m, t.el, "fills %.0f %% of the body that is told: bent, or not square", 100*f.Fill)
	}
	r.Cells["note"] = strings.Join(note, "; ")
	r.Cells["guid"] = t.el.GUID
	return r
}

// recess says where what is usually set into a ceiling is not.
func (b *building) recess(r *Row, f *ifc.Form, s int) {
	v := b.bayAt(s, r2.Point{X: f.Turned.Middle.X, Y: f.Turned.Middle.Y})
	if v == nil {
		return
	}
	if v.over == nil {
		r.Cells["recessed"] = "no"
		return
	}
	top := v.face
	for _, l := range v.layers {
		top += l.mm
	}
	if f.Low.Z >= top-1 {
		r.Cells["recessed"] = "no"
	}
}

// place writes place, size and level of a form.
func (b *building) place(r *Row, f *ifc.Form, kind vocabulary.KindEntry, ffl float64) {
	c := r.Cells
	level := func(z float64) string { return "FFL" + signed(z-ffl) }
	span := func(lo, hi float64) string { return level(lo) + ".." + level(hi) }
	start := func(p r2.Point) { c["x1"], c["y1"] = mm(p.X), mm(p.Y) }
	length := func(a, z r2.Point) {
		start(a)
		c["x2"], c["y2"] = mm(z.X), mm(z.Y)
		d := z.Sub(a)
		r.long = &lengthRow{a, d.Normalize(), d.Norm()}
	}
	box := f.Turned
	middle := r2.Point{X: box.Middle.X, Y: box.Middle.Y}
	sin, cos := math.Sincos(box.Turn * math.Pi / 180)
	if box.Turn == 90 {
		sin, cos = 1, 0
	}
	along := r2.Point{X: cos, Y: sin}
	if kind.Word == "wall" {
		long, wide := box.Long, box.Wide
		if wide > long {
			long, wide, along = wide, long, r2.Point{X: -along.Y, Y: along.X}
		}
		length(middle.Sub(along.Mul(long/2)), middle.Add(along.Mul(long/2)))
		c["size"], c["level"] = mm(wide), span(f.Low.Z, f.High.Z)
		return
	}
	if s := f.Straight; s != nil && !kind.Item {
		tall := math.Abs(s.B.Z - s.A.Z)
		flat := r2.Point{X: s.B.X - s.A.X, Y: s.B.Y - s.A.Y}
		switch {
		case s.Upright() && (tall >= max(s.Across, s.High) || kind.Structure || s.Round):
			at := r2.Point{X: (s.A.X + s.B.X) / 2, Y: (s.A.Y + s.B.Y) / 2}
			c["level"] = span(min(s.A.Z, s.B.Z), max(s.A.Z, s.B.Z))
			switch {
			case s.Round:
				start(at)
				c["size"] = "ø" + mm(s.Across)
			case s.Turn == 0:
				start(at)
				c["size"] = mm(s.Across) + "x" + mm(s.High)
			case math.Abs(s.Turn-90) < 1e-6:
				start(at)
				c["size"] = mm(s.High) + "x" + mm(s.Across)
			default: // turned in plan: a length along its broader side, with its thickness
				sin, cos := math.Sincos(s.Turn * math.Pi / 180)
				u, long, wide := r2.Point{X: cos, Y: sin}, s.Across, s.High
				if wide > long {
					u, long, wide = r2.Point{X: -sin, Y: cos}, wide, long
				}
				length(at.Sub(u.Mul(long/2)), at.Add(u.Mul(long/2)))
				c["size"] = mm(wide)
			}
			return
		case flat.Norm() >= 1 && !s.Upright() && (s.Round || s.Sheared || tall <= steep*flat.Norm()):
			a, z := s.A, s.B
			if a.Z < z.Z {
				a, z = z, a // falls go down from the start
			}
			drop := a.Z - z.Z
			slope := drop / flat.Norm()
			length(r2.Point{X: a.X, Y: a.Y}, r2.Point{X: z.X, Y: z.Y})
			under := s.High / 2
			if s.Round || !s.Sheared {
				under *= math.Hypot(1, slope) // upright from the line to the underside
			}
			if drop <= levelEnds {
				a.Z, slope, under = (a.Z+z.Z)/2, 0, s.High/2
			} else {
				c["fall"] = fall(slope, flat.Norm())
			}
			if s.Round {
				c["size"] = "ø" + mm(s.Across)
			} else {
				c["size"] = mm(s.Across) + "x" + mm(2*under)
			}
			c["level"] = level(a.Z - under)
			return
		}
	}
	c["level"] = level(f.Low.Z)
	if s := f.Straight; s != nil && s.Round && s.Upright() {
		start(r2.Point{X: s.A.X, Y: s.A.Y})
		c["size"] = "ø" + mm(s.Across) + "x" + mm(math.Abs(s.B.Z-s.A.Z))
		return
	}
	switch box.Turn {
	case 0:
		start(middle)
		c["size"] = mm(box.Long) + "x" + mm(box.Wide) + "x" + mm(box.Tall)
	case 90:
		start(middle)
		c["size"] = mm(box.Wide) + "x" + mm(box.Long) + "x" + mm(box.Tall)
	default:
		length(middle.Sub(along.Mul(box.Long/2)), middle.Add(along.Mul(box.Long/2)))
		c["size"] = mm(box.Wide) + "x" + mm(box.Tall)
	}
}

// fall writes a slope over a length in plan: as 1 in so much where that is it, else in mm/m.
func fall(slope, over float64) string {
	if n := math.Round(1 / slope); n >= 1 && n <= 2000 && math.Abs(1/n-slope)*over <= 0.02 {
		return "1 in " + mm(n)
	}
	return strconv.FormatFloat(math.Round(slope*1e7)/1e4, 'f', -1, 64) + " mm/m"
}

// plainName reports whether a name will do as an id: short, with nothing that a list of ids or a spreadsheet takes for something else.
func plainName(s string) bool {
	if s == "" || len([]rune(s)) > 24 || s != strings.TrimSpace(s) || strings.ContainsAny(s, ",;\"'#=\n\r\t") || strings.ContainsAny(s[:1], "+-@*.") {
		return false
	}
	if is, _ := void.Identity(strings.ToLower(s)); is != void.OwnZone {
		return false
	}
	letters := strings.IndexFunc(s, func(r rune) bool { return r < '0' || r > '9' }) >= 0
	return letters || len(s) <= 9
}

// nameZones gives the rows their ids: the element's name where it is short and nobody else's, else its tag, else its kind with the
// end of its GUID.
func (b *building) nameZones() {
	var rows []*Row
	for _, t := range b.things {
		rows = append(rows, t.rows...)
	}
	slices.SortStableFunc(rows, func(x, y *Row) int {
		return cmp.Or(cmp.Compare(x.GUID, y.GUID), cmp.Compare(x.File, y.File), cmp.Compare(x.t.el.ID, y.t.el.ID), cmp.Compare(x.Piece, y.Piece))
	})
	names, tags := map[string]int{}, map[string]int{}
	for _, r := range rows {
		if r.Piece <= 1 {
			names[strings.ToLower(r.t.el.Name)]++
			tags[strings.ToLower(r.t.el.Tag)]++
		}
	}
	taken := map[string]bool{}
	for _, r := range rows {
		e := r.t.el
		id := ""
		switch {
		case plainName(e.Name) && names[strings.ToLower(e.Name)] == 1:
			id = e.Name
		case plainName(e.Tag) && tags[strings.ToLower(e.Tag)] == 1:
			id = e.Tag
		default:
			stem := r.Cells["kind"]
			if plainName(e.Name) && len(e.Name) <= 16 {
				stem = e.Name
			}
			tail := strings.Map(func(c rune) rune {
				if c == '$' || c == '_' {
					return 'x'
				}
				return c
			}, e.GUID)
			for n := 4; ; n += 2 {
				if id = stem + "-" + tail[max(0, len(tail)-n):]; n >= len(tail) || !taken[strings.ToLower(id)] || r.Piece > 1 {
					break
				}
			}
		}
		if r.Piece > 0 {
			id = fmt.Sprintf("%s.%d", id, r.Piece)
		}
		for k, base := 2, id; taken[strings.ToLower(id)]; k++ {
			id = fmt.Sprintf("%s-%d", base, k)
		}
		taken[strings.ToLower(id)] = true
		r.ID = id
		r.Cells["id"] = id
		if e.Name != "" && e.Name != id && !strings.HasPrefix(id, e.Name) {
			r.Cells["note"] = strings.TrimPrefix(r.Cells["note"]+"; "+e.Name, "; ")
		}
	}
}
