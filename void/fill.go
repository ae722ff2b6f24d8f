package void

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"voidline/void/catalogue"
	"voidline/void/cell"
)

// filling takes the cells of a row into a zone.
type filling struct {
	p        *Project
	at       At
	problems []Problem
	words    []unknownWord // that the row is the first to say, or may be
}

func (f *filling) bad(column, what, want, hint string) {
	f.problems = append(f.problems, f.p.say(f.at, column, what, want, hint))
}

// AddZones adds rows of a trade's table as AddZone does, one after the other.
func (p *Project) AddZones(file string, rows []ZoneRow) {
	for len(rows) > 0 {
		n := min(len(rows), 64)
		p.ids.warm(rows[:n])
		for i := range n {
			p.AddZone(file, &rows[i])
		}
		rows = rows[n:]
	}
}

// AddZone adds a row of a trade's table; file is the name of its table, which is the trade unless
// the row says otherwise. The row is copied; the texts of its words (the id, the run and the like) are kept.
func (p *Project) AddZone(file string, r *ZoneRow) {
	n := p.zones.n
	z := p.zones.add()
	f := &p.filling
	f.fill(z, file, r)
	if len(f.problems) == 0 {
		if j, ok := p.ids.add(&p.zones, int32(n)); !ok {
			f.there(z.ID, j)
		}
	}
	zone := int32(n)
	if len(f.problems) > 0 {
		zone = -1
		for _, pr := range f.problems {
			p.addProblem(pr, teller{})
		}
		p.RowsMissing++
		p.zonesMissing = true
		p.zones.cut(n)
	}
	for i := range f.words {
		p.tellWord(r.At, zone, &f.words[i])
	}
}

// there says that an id is the id of another zone.
func (f *filling) there(id string, other int32) {
	z, hint := f.p.Zone(int(other)), ""
	if !strings.EqualFold(id, z.ID) {
		hint = fmt.Sprintf("it differs from %+q there only by blanks and signs that nobody sees", z.ID)
	}
	f.bad("id", fmt.Sprintf("%s is already used in %s; give each row its own id", bare(id), f.p.FileLine(z.At())), "", hint)
}

// bare quotes a name with the signs that nobody sees written out.
func bare(name string) string {
	if strings.ContainsFunc(name, func(r rune) bool { return r != ' ' && (seen(r) != r || unicode.IsSpace(r)) }) {
		return strconv.QuoteToASCII(name)
	}
	return strconv.Quote(name)
}

// fill takes the cells of a row that need nothing else to be understood. What is wrong with them is in
// f.problems.
func (f *filling) fill(z *Zone, file string, r *ZoneRow) {
	p := f.p
	f.at, f.problems, f.words = r.At, f.problems[:0], f.words[:0]
	bad := f.bad
	k := said{file: r.At.File}
	*z = Zone{ID: r.ID.Text, line: r.At.Line, in: [2]int32{-1, -1}}
	if r.Run.Text != "" {
		z.run = p.words.index(r.Run.Text)
	}
	if z.ID == "" {
		bad("id", "blank", "an id, unique in the project", "")
	} else if strings.IndexByte("cCsS", z.ID[0]) >= 0 || !plain(z.ID, 0) {
		switch is, _ := Identity(fold(z.ID)); is {
		case OwnCeiling, OwnSoffit:
			bad("id", fmt.Sprintf("%q is the name of a bay's own ceiling or soffit", z.ID), "another id", "")
		case OwnSupports:
			bad("id", fmt.Sprintf("%q is the name of a row's own supports", z.ID), "another id", "")
		}
	}
	raw, good, words := p.rawOf(file, r)
	f.words = append(f.words, words...)
	switch {
	case !good && raw < 0:
		bad("", fmt.Sprintf("differs in trade, service, kind, class, circuits or recessed from all rows before, and those differ in %d ways already", mostCharacters), "there what many rows share", "ids or notes may stand under one of these headings")
	case !good:
		bad("class", fmt.Sprintf("%q is not a segregation class", r.Class.Text), "a, b, c or d (EN 50174-2)", "")
	default:
		k.raw, k.Char = raw, p.raws[raw].char
	}
	k.bay, k.storey, k.hanger = p.words.index(r.Bay.Text), p.words.index(r.Storey.Text), p.words.index(r.Hanger.Text)
	x1, y1, x2, y2 := r.X1.Text != "", r.Y1.Text != "", r.X2.Text != "", r.Y2.Text != ""
	switch {
	case x1 != y1:
		bad(either(x1, "y1", "x1"), "blank, but "+either(x1, "x1", "y1")+" is given", "both, or neither and a bay", "")
	case x2 != y2:
		bad(either(x2, "y2", "x2"), "blank, but "+either(x2, "x2", "y2")+" is given", "both for a straight length, neither for an item", "")
	case !x1 && x2:
		bad("x1", "blank, but x2 and y2 are given", "the start of the length", "")
	case !x1 && k.bay == 0:
		bad("x1", "no place", "x1 and y1, or a bay", "")
	}
	z.x1, z.y1, z.x2, z.y2 = f.offset(&r.X1, 0), f.offset(&r.Y1, 1), f.offset(&r.X2, 0), f.offset(&r.Y2, 1)
	if r.X1.Line != "" || r.Y1.Line != "" || r.X2.Line != "" || r.Y2.Line != "" {
		z.grid = p.gridLines([4]string{r.X1.Line, r.Y1.Line, r.X2.Line, r.Y2.Line})
	}
	k.ByHeight = !x1
	k.Item = x1 && !x2
	web, doubt := f.sizeOf(&k, r)
	k.lowRef, k.highRef = r.Level.Low.Ref, r.Level.High.Ref
	z.low = r.Level.Low.MM
	k.Upright = r.Level.Range
	if k.Upright {
		z.some().high = r.Level.High.MM
	}
	k.face, k.says = r.Face.Is, r.Level.Says
	if r.Level.Text == "" || r.Level.None {
		bad("level", blank(r.Level.Text, "is not a level"), "a level, such as 2700, FFL+2700 or soffit-60", "")
	}
	if k.says != cell.Unsaid && k.face != cell.Unsaid && k.face != k.says {
		bad("face", fmt.Sprintf("face says %s, level says %s (%s)", k.face, k.says, r.Level.Text), "one of the two", "")
	}
	z.end = r.Fall.Slope
	if z.end != 0 && (k.Item || k.ByHeight || k.Upright) {
		bad("fall", "a fall needs a length", "x2 and y2, or no fall", "")
	}
	if r.Joint.MM != 0 || r.Top.MM != 0 || r.Insulation.MM != 0 || r.Tolerance.MM != 0 {
		for _, c := range []struct {
			name string
			v    float64
		}{{"joint", r.Joint.MM}, {"top", r.Top.MM}, {"insulation", r.Insulation.MM}, {"tolerance", r.Tolerance.MM}} {
			if c.v < 0 {
				bad(c.name, fmt.Sprintf("%g is negative", c.v), "millimetres, not negative", "")
			}
			if c.v > maxPlan/100 {
				bad(c.name, fmt.Sprintf("%g mm is more than 100 m", c.v), "millimetres", "")
			}
		}
		if r.Top.MM > 0 && (k.form == cell.Circle || k.form == cell.Disc) {
			bad("top", "a round section has no top", "a width and a height, or no top", "")
		}
	}
	k.joint, k.cover, k.Top, k.overJoint = r.Joint.MM, r.Insulation.MM, r.Top.MM, r.Insulation.OverJoint
	if good {
		c := &p.characters[k.Char]
		k.Recessed, k.Reach = c.Recessed, c.Entry.Reach
	}
	if k.reach = flagOf(r.Reach); k.reach != blankFlag {
		k.Reach = r.Reach.On
	}
	k.room = flagOf(r.InRoom)
	f.rare(z, r)
	if len(f.problems) > 0 {
		if doubt != nil {
			f.words = append(f.words, *doubt)
		}
		return
	}
	a, found := p.alikes.find(p, &k)
	if !found {
		a.Grow = math.Max(k.joint, k.cover)
		if k.overJoint {
			a.Grow = k.joint + k.cover
		}
		a.web, a.doubt = web, doubt
		if doubt != nil {
			f.words = append(f.words, *doubt)
		}
	}
	z.alike = a
}

// offset returns how far a place is from its grid line, or from the project's origin.
func (f *filling) offset(c *cell.Place, axis int) float64 {
	if c.Line != "" || c.Text == "" {
		return c.MM
	}
	return f.p.origin.less(c.MM, axis)
}

// some returns what few zones have, to be filled in.
func (z *Zone) some() *more {
	if z.more == nil {
		z.more = &more{}
	}
	return z.more
}

// rare takes in the cells that are blank in most rows.
func (f *filling) rare(z *Zone, r *ZoneRow) {
	if r.Frame.Text == "" && r.Tier.Text == "" && len(r.Joins.List) == 0 && r.Rank.Text == "" && r.Tolerance.Text == "" && r.Tolerance.MM == 0 &&
		r.GUID.Text == "" && r.Note.Text == "" && r.Holds.Text == "" && r.Stage.Text == "" {
		return
	}
	x := rare{
		frame: f.p.words.index(r.Frame.Text), tier: f.p.words.index(r.Tier.Text), joins: r.Joins.List, rank: r.Rank.Value,
		tolerance: r.Tolerance.MM, tolerates: r.Tolerance.Text != "" || r.Tolerance.MM != 0, guid: r.GUID.Text, note: r.Note.Text,
	}
	if r.Rank.Text != "" && r.Rank.Value <= 0 {
		f.bad("rank", fmt.Sprintf("%q is not a rank", r.Rank.Text), "1 (stays longest) or more", "")
	}
	switch fold(r.Holds.Text) {
	case "":
	case "level":
		x.holdsLevel = true
	case "none":
		x.letGo = true
	case "place":
		x.holdsPlace = true
	case "both":
		x.holdsLevel, x.holdsPlace = true, true
	default:
		f.bad("holds", fmt.Sprintf("%q is not what may be held", r.Holds.Text), "level, place, both or none", near(r.Holds.Text, []string{"level", "place", "both", "none"}))
	}
	if k := slices.Index(stages[:], fold(r.Stage.Text)); k >= 0 {
		x.stage = Stage(k)
	} else if r.Stage.Text != "" {
		f.bad("stage", fmt.Sprintf("%q is not a stage", r.Stage.Text), "drawn, ordered, made or fixed", near(r.Stage.Text, stages[:]))
	}
	z.some().rare = &x
}

func either[T any](first bool, a, b T) T {
	if first {
		return a
	}
	return b
}

// sizeOf gathers size, width, height and diameter into one size of plain numbers:
// Rectangle, Solid, Circle, Disc or Single.
func (f *filling) sizeOf(k *said, r *ZoneRow) (web float64, doubt *unknownWord) {
	bad := f.bad
	s := r.Size
	s.Fault = nil
	cols := r.Width.Text != "" || r.Height.Text != "" || r.Diameter.Text != ""
	if s.Form == cell.SteelName || s.Form == cell.NominalDN {
		n := f.named(&s)
		if n == nil {
			return 0, nil
		}
		s.Form, s.A, s.B, k.size, web, doubt = n.form, n.a, n.b, n.word, n.web, n.doubt
	}
	s.Name, s.Standard = "", ""
	w, h, d := r.Width, r.Height, r.Diameter
	switch {
	case !cols:
	case s.Form == cell.NoSize && d.Text != "" && w.Text == "" && h.Text == "":
		s.Form, s.A = cell.Circle, d.MM
	case s.Form == cell.NoSize && d.Text != "" && w.Text == "" && k.Item:
		s.Form, s.A, s.B = cell.Disc, d.MM, h.MM
	case s.Form == cell.NoSize && d.Text == "" && w.Text != "" && h.Text != "":
		s.Form, s.A, s.B = cell.Rectangle, w.MM, h.MM
	case s.Form == cell.NoSize && d.Text == "" && h.Text == "":
		s.Form, s.A = cell.Single, w.MM
	case s.Form == cell.NoSize && d.Text == "" && w.Text == "" && k.ByHeight:
		s.Form, s.A = cell.Single, h.MM
	case s.Form == cell.Rectangle && k.Item && h.Text != "" && w.Text == "" && d.Text == "":
		s.Form, s.C = cell.Solid, h.MM
	case s.Form == cell.Circle && k.Item && h.Text != "" && w.Text == "" && d.Text == "":
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
		return 0, doubt
	}
	sized := "size" // the column that a problem stands in
	if cols {
		k.size, web = 0, 0 // it is written in figures again
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
			if l.MM > 0 && l.MM < cell.LeastSide {
				bad(l.name, fmt.Sprintf("%q is too small for a size in millimetres", l.Text), "more than 0, at most 200 m", fmt.Sprintf("if it is metres, write %s m", l.Text))
				return 0, doubt
			}
			if l.MM <= 0 || l.MM > 2e5 {
				bad(l.name, fmt.Sprintf("%s is not a side of a section", l.Text), "more than 0, at most 200 m", "")
				return 0, doubt
			}
		}
	}
	if s.Text != "" {
		sized = "size"
	}
	for _, v := range [...]float64{s.A, s.B, s.C} {
		if v < 0 || v > 2e5 {
			bad(sized, fmt.Sprintf("%g mm is not a side of a section", v), "more than 0, at most 200 m", "")
			return 0, doubt
		}
	}
	zero := s.A <= 0 || (s.Form == cell.Rectangle || s.Form == cell.Solid || s.Form == cell.Disc) && s.B <= 0 || s.Form == cell.Solid && s.C <= 0
	upright := r.Level.Range
	want, hint := "", ""
	switch {
	case s.Form == cell.NoSize:
		want = "a size, such as 600x300, ø250, DN50 or UB 406x178x60"
	case zero:
		want = "a size of more than nothing"
	case k.Item && upright && s.Form != cell.Rectangle && s.Form != cell.Circle:
		want = "an item's plan, 150x150 or ø150: its height is the range of levels"
	case k.Item && !upright && s.Form != cell.Solid && s.Form != cell.Disc:
		want = "an item's size along x by along y by high, 600x600x100, or ø150x100"
		hint = "or give x2 and y2 for a length, or a range of levels"
	case !k.Item && !k.ByHeight && upright && s.Form != cell.Rectangle && s.Form != cell.Single:
		want = "the thickness: the height is the range of levels"
	case !k.Item && !k.ByHeight && !upright && s.Form != cell.Rectangle && s.Form != cell.Circle:
		want = "width x height, such as 600x300, or a diameter"
	}
	if want != "" {
		what := "blank"
		if text := strings.TrimSpace(w.Text + " " + h.Text + " " + d.Text); r.Size.Text != "" || text != "" {
			what = fmt.Sprintf("%q is no size for this", cmp.Or(r.Size.Text, text))
		}
		bad(sized, what, want, hint)
		return 0, doubt
	}
	k.form, k.a, k.b, k.c = s.Form, s.A, s.B, s.C
	return web, doubt
}

// namedSize is a size that is written by a name, in figures.
type namedSize struct {
	word  int32 // the text
	form  cell.SizeForm
	a, b  float64
	web   float64
	doubt *unknownWord
}

// named returns the figures of a size by name; nil where no table has it, which is a problem.
func (f *filling) named(s *cell.Size) *namedSize {
	if n := f.p.namedSizes[s.Text]; n != nil {
		return n
	}
	n := &namedSize{}
	switch s.Form {
	case cell.SteelName:
		c, ok := catalogue.SectionByName(s.Name)
		if !ok {
			hint := f.p.guess(f.at, func() string { return mean(catalogue.NearestSection(s.Name)) })
			f.bad("size", fmt.Sprintf("no steel section %q in the table", s.Text), "a section of EN 10365, or its width x height", hint)
			return nil
		}
		n.form, n.a, n.b, n.web = cell.Rectangle, c.B, c.H, c.Tw
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
			f.bad("size", fmt.Sprintf("no pipe %q in the table", s.Text), want, "or give the outside diameter, such as ø168.3")
			return nil
		}
		if note, two := catalogue.PipeConflict(s.A); two && s.Standard == "" {
			n.doubt = &unknownWord{column: "size", what: fmt.Sprintf("DN%g: %s; %s taken, %.1f", s.A, note, c.Standard, c.OD), hint: "name the standard after the size, such as DN150 EN 10255"}
		}
		n.form, n.a = cell.Circle, c.OD
	}
	n.word = f.p.words.keep(s.Text)
	f.p.namedSizes[f.p.word(n.word)] = n
	return n
}
