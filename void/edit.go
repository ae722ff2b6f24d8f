package void

import (
	"fmt"
	"reflect"
	"slices"

	"voidline/void/cell"
)

// Row returns a zone's row as it was written, cell by cell in canonical spelling; sizes come back as
// one size cell of plain numbers.
func (p *Project) Row(i int) ZoneRow {
	z := p.Zone(i)
	c := p.Character(z.Char)
	w := &z.written
	word := func(s string) cell.Word { return cell.Word{Text: s} }
	length := func(v float64) cell.Length {
		l := cell.Length{MM: v}
		if v != 0 {
			l.Text = l.String()
		}
		return l
	}
	flag := func(on bool) cell.Flag {
		if on {
			return cell.Flag{Text: "yes", On: true}
		}
		return cell.Flag{Text: "no"}
	}
	place := func(q packedPlace) cell.Place {
		pl := cell.Place{Line: p.wordAt(q.line), MM: q.mm}
		if q.set() {
			pl.Text = "set"
			pl.Text = pl.String()
		}
		return pl
	}
	r := ZoneRow{
		At: z.At, ID: word(z.ID), Trade: word(c.Trade), Service: word(c.Service), Kind: word(c.Kind),
		Storey: word(p.words[w.storey]), Bay: word(p.words[w.bay]), X1: place(w.x1), Y1: place(w.y1), X2: place(w.x2), Y2: place(w.y2),
		Size: cell.Size{Form: w.form, A: w.a, B: w.b, C: w.c}, Joint: length(w.joint), Top: length(z.Top), Level: w.level(z.Upright), Fall: cell.Fall{Slope: w.fall},
		Hanger: word(p.words[w.hanger]), Run: word(z.Run), Recessed: flag(z.Recessed), Reach: flag(z.Reach), Class: word(c.Class),
	}
	r.Size.Text, r.Level.Text = "set", "set"
	r.Size.Text, r.Level.Text = r.Size.String(), r.Level.String()
	if w.fall != 0 {
		r.Fall.Text = "set"
		r.Fall.Text = r.Fall.String()
	}
	if z.Cover != 0 {
		r.Insulation = cell.Covering{Text: "set", MM: z.Cover, OverJoint: w.overJoint}
		r.Insulation.Text = r.Insulation.String()
	}
	if w.face != cell.Unsaid {
		r.Face = cell.Face{Text: w.face.String(), Is: w.face}
	}
	if c.Circuits != 0 {
		r.Circuits = cell.Number{Text: fmt.Sprint(c.Circuits), Value: c.Circuits}
	}
	if x := z.rare; x != nil {
		r.Frame, r.Tier, r.GUID, r.Note = word(x.frame), word(x.tier), word(x.guid), word(x.note)
		r.Joins = cell.Names{List: x.joins}
		if len(x.joins) > 0 {
			r.Joins.Text = "set"
			r.Joins.Text = r.Joins.String()
		}
		if x.rank != 0 {
			r.Rank = cell.Number{Text: fmt.Sprint(x.rank), Value: x.rank}
		}
		r.Tolerance = length(x.tolerance)
		switch {
		case x.holdsLevel && x.holdsPlace:
			r.Holds = word("both")
		case x.holdsLevel:
			r.Holds = word("level")
		case x.holdsPlace:
			r.Holds = word("place")
		}
	}
	return r
}

// Edit changes one cell of one zone (column by its canonical name, text as a person would type it into
// the table), resolves again what depends on it and returns the indices of the zones that changed,
// ascending. Where the text will not do, nothing changes and the problem comes back.
func (p *Project) Edit(zone, column, text string) ([]int, *Problem) {
	i, ok := p.ZoneByID(zone)
	if !ok {
		return nil, &Problem{What: fmt.Sprintf("no zone %q", zone), Want: "the id of a zone"}
	}
	row := p.Row(i)
	fault, ok := setCell(&row, column, text)
	if !ok || column == "id" {
		pr := p.say(row.At, "", fmt.Sprintf("no column %q to edit", column), "a column of the zone tables other than id", "")
		return nil, &pr
	}
	if fault != nil {
		pr := p.say(row.At, column, fault.What, fault.Want, fault.Hint)
		return nil, &pr
	}
	z := p.Zone(i)
	old := *z
	before := make([]Zone, p.zones.n)
	for k := range before {
		before[k] = *p.Zone(k)
	}
	had := len(p.Problems)
	p.settle()
	if p.fill(z, p.Files[row.At.File], &row) {
		p.Resolve()
	}
	if len(p.Problems) > had || p.zones.n != len(before) {
		pr := p.say(row.At, column, "will not do", "", "")
		if len(p.Problems) > had {
			pr = p.Problems[len(p.Problems)-1]
		}
		// Put everything back as it was; what resolved then resolves again.
		p.zones = zoneList{}
		p.zoneOf = map[string]int32{}
		for k := range before {
			*p.zones.add() = before[k]
			p.zoneOf[fold(before[k].ID)] = int32(k)
		}
		*p.Zone(i) = old
		p.Problems = p.Problems[:had]
		p.Resolve()
		return nil, &pr
	}
	var changed []int
	for k := range before {
		if !before[k].same(p.Zone(k)) {
			changed = append(changed, k)
		}
	}
	return changed, nil
}

// setCell puts text into the cell of a column; ok is false where there is no such column.
func setCell(row *ZoneRow, column, text string) (fault *cell.Fault, ok bool) {
	v := reflect.ValueOf(row).Elem()
	for k := 0; k < v.NumField(); k++ {
		if v.Type().Field(k).Tag.Get("csv") != column || column == "-" {
			continue
		}
		f := v.Field(k).Addr().Interface().(interface{ UnmarshalCSV(string) error })
		_ = f.UnmarshalCSV(text) // never fails: the fault stays in the cell
		if at := v.Field(k).FieldByName("Fault"); !at.IsNil() {
			fault = at.Interface().(*cell.Fault)
		}
		// A width, height or diameter replaces the size that the row had before.
		if column == "width" || column == "height" || column == "diameter" {
			row.Size = cell.Size{}
		}
		return fault, true
	}
	return nil, false
}

// same reports whether two states of a zone are alike to the check.
func (z *Zone) same(o *Zone) bool {
	return z.Char == o.Char && z.Storey == o.Storey && z.Bay == o.Bay && z.Bare == o.Bare && z.Grow == o.Grow &&
		z.Cover == o.Cover && z.Top == o.Top && z.Hanger == o.Hanger && z.Run == o.Run && z.Item == o.Item &&
		z.Upright == o.Upright && z.ByHeight == o.ByHeight && z.Recessed == o.Recessed && z.Reach == o.Reach &&
		slices.Equal(z.bays, o.bays) && (z.rare == nil) == (o.rare == nil) && (z.rare == nil || reflect.DeepEqual(*z.rare, *o.rare))
}
