package void

import (
	"cmp"
	"fmt"
	"reflect"
	"slices"

	"voidline/void/cell"
)

// CellText is the text of a cell of a zone's row, as a person would type it into the table: with a decimal point, in
// millimetres where no unit is written.
type CellText struct {
	Column string // the column's canonical name
	Text   string
}

// EditCells is Edit for several cells of one row at once, each column at most once: they are resolved together, and all change or none.
// A width, a height or a diameter takes the place of the size, and of a length's rectangle the side that is not among the
// cells stays, unless the size is among them.
func (p *Project) EditCells(zone string, cells []CellText) (Change, *Problem) {
	i, ok := p.ZoneByID(zone)
	if !ok {
		return Change{}, &Problem{What: fmt.Sprintf("no zone %q", zone), Want: "the id of a zone"}
	}
	z := p.Zone(i)
	if pr := p.found(z, "level", heldLevel); pr != nil && slices.ContainsFunc(cells, func(c CellText) bool { return c.Column == "level" }) {
		return Change{}, pr
	}
	row := p.written(z)
	column := ""
	for k, c := range cells {
		column = c.Column
		if slices.ContainsFunc(cells[:k], func(o CellText) bool { return o.Column == c.Column }) {
			pr := p.say(row.At, column, "is changed twice", "each column once", "")
			return Change{}, &pr
		}
		if c.Column == "id" {
			c.Column = ""
		}
		if pr := p.setCell(&row, row.At, c.Column, c.Text, "a column of the zone tables other than id"); pr != nil {
			return Change{}, pr
		}
	}
	if len(cells) > 1 {
		column = ""
	}
	var before *snapshot
	if p.survey.bearsOn(p, z, cells) {
		before = p.snapshot()
	}
	resized := sized(&row, cells, &z.said)
	e := p.edit(row.At, column)
	now, ok := e.fill(p.raws[z.raw].file, &row)
	if !ok || !e.redo(int32(i), &now) || !e.follow() {
		return e.refuse()
	}
	for _, c := range cells {
		p.typed.set(i, c.Column, c.Text)
	}
	if resized {
		for _, c := range []CellText{{"size", row.Size.Text}, {"width", row.Width.Text}, {"height", row.Height.Text}, {"diameter", row.Diameter.Text}} {
			p.typed.set(i, c.Column, c.Text)
		}
	}
	ch, pr := e.done()
	if before != nil && pr == nil {
		return p.edit(row.At, column).anew(func() {
			e.cut()
			p.restore(before)
		})
	}
	return ch, pr
}

// sized makes room in a row for a width, a height or a diameter that was set: it takes the place of the size. Of a
// length's rectangle the other side stays. It reports whether any of the four was set.
func sized(row *ZoneRow, cells []CellText, was *said) bool {
	set := func(column string) bool {
		return slices.ContainsFunc(cells, func(c CellText) bool { return c.Column == column })
	}
	width, height, diameter := set("width"), set("height"), set("diameter")
	switch {
	case set("size"):
		return true
	case !width && !height && !diameter:
		return false
	}
	row.Size = cell.Size{}
	if was.form == cell.Rectangle && !was.Item && row.Diameter.Text == "" {
		switch {
		case width && !height:
			row.Height = length(was.b)
		case height && !width:
			row.Width = length(was.a)
		}
	}
	return true
}

// typed is the cells of zones that were typed since the tables were read.
type typed map[typedAt]string

type typedAt struct {
	zone   int32
	column string
}

func (t *typed) set(zone int, column, text string) {
	if *t == nil {
		*t = typed{}
	}
	(*t)[typedAt{int32(zone), column}] = text
}

// renumbered returns the cells after zones, ascending, were dropped.
func (t typed) renumbered(dropped []int32) typed {
	var out typed
	for at, text := range t {
		if k, there := slices.BinarySearch(dropped, at.zone); !there {
			out.set(int(at.zone)-k, at.column, text)
		}
	}
	return out
}

// Originals tells the project whom to ask for the text of a cell as it stands in its table, by row and by the column's canonical name: with
// a decimal point, and with its unit where the column is not in millimetres; false where the row is not to be had.
func (p *Project) Originals(text func(at At, column string) (string, bool)) { p.originals = text }

// original returns the text of a cell of a zone as it stands in its table.
func (p *Project) original(zone int, column string) (string, bool) {
	at := p.Zone(zone).At()
	if p.originals == nil || at.Line == 0 {
		return "", false
	}
	return p.originals(at, column)
}

// CellOf returns the text of a cell of a zone's row, so that EditCells with it leaves the row as it is: as it was typed last; else as it
// stands in the table, where that is to be had (see Originals); else in canonical form. "" where it is blank, or there is no
// such column.
func (p *Project) CellOf(zone int, column string) string {
	if text, ok := p.typed[typedAt{int32(zone), column}]; ok {
		return text
	}
	if text, ok := p.original(zone, column); ok {
		return text
	}
	row := p.written(p.Zone(zone))
	v := reflect.ValueOf(&row).Elem()
	for k := range v.NumField() {
		if v.Type().Field(k).Tag.Get("csv") == column && column != "-" {
			return v.Field(k).Interface().(fmt.Stringer).String()
		}
	}
	return ""
}

// TypedCell is a cell that was typed since its table was read.
type TypedCell struct {
	Zone int // its index
	CellText
}

// Typed returns the cells of rows that were typed since the tables were read and stand otherwise in them, as far as that is to be had, by zone
// and column. A width that took the place of a size leaves that blank, which is among them. Rows that are gone have none.
func (p *Project) Typed() []TypedCell {
	var out []TypedCell
	for at, text := range p.typed {
		if was, ok := p.original(int(at.zone), at.column); (!ok || was != text) && !p.Zone(int(at.zone)).Gone {
			out = append(out, TypedCell{int(at.zone), CellText{at.column, text}})
		}
	}
	slices.SortFunc(out, func(a, b TypedCell) int { return cmp.Or(a.Zone-b.Zone, cmp.Compare(a.Column, b.Column)) })
	return out
}
