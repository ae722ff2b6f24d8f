package void

import (
	"cmp"
	"fmt"
	"maps"
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
	if p.survey.bearsOn(p, z, cells, row.Level.Range) {
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

// typed is the cells of zones, or of bays, that were typed since the tables were read.
type typed map[typedAt]string

type typedAt struct {
	row    int32 // the zone's index; of a bay that of its row
	column string
}

func (t *typed) set(row int, column, text string) {
	if *t == nil {
		*t = typed{}
	}
	(*t)[typedAt{int32(row), column}] = text
}

// renumbered returns the cells after zones, ascending, were dropped.
func (t typed) renumbered(dropped []int32) typed {
	var out typed
	for at, text := range t {
		if k, there := slices.BinarySearch(dropped, at.row); !there {
			out.set(int(at.row)-k, at.column, text)
		}
	}
	return out
}

// Originals tells the project whom to ask for the text of a cell as it stands in its table, by row and by the column's canonical name: with
// a decimal point, and with its unit where the column is not in millimetres; false where the row is not to be had.
func (p *Project) Originals(text func(at At, column string) (string, bool)) { p.originals = text }

// original returns the text of a cell of a row as it stands in its table.
func (p *Project) original(at At, column string) (string, bool) {
	if p.originals == nil || at.Line == 0 {
		return "", false
	}
	return p.originals(at, column)
}

// CellOf returns the text of a cell of a zone's row, so that EditCells with it leaves the row as it is: as it was typed last; else as it
// stands in the table, where that is to be had (see Originals); else in canonical form. "" where it is blank, or there is no
// such column.
func (p *Project) CellOf(zone int, column string) string {
	return p.cellOf(p.typed, zone, p.Zone(zone).At(), column, func() reflect.Value {
		row := p.written(p.Zone(zone))
		return reflect.ValueOf(row)
	})
}

// CellOfBay is CellOf for a bay, by its label or its name: EditBay with the text leaves the bay as it is.
func (p *Project) CellOfBay(bay, column string) string {
	j, pr := p.findBay(bay)
	if pr != nil {
		return ""
	}
	row := p.bayRow(int(p.Bays[j].row))
	return p.cellOf(p.typedBays, int(p.Bays[j].row), row.At, column, func() reflect.Value { return reflect.ValueOf(row) })
}

// cellOf returns the text of a cell of a row: typed, as it stands in its table, or as canonical has the row.
func (p *Project) cellOf(t typed, row int, at At, column string, canonical func() reflect.Value) string {
	if text, ok := t[typedAt{int32(row), column}]; ok {
		return text
	}
	if text, ok := p.original(at, column); ok {
		return text
	}
	v := canonical()
	for k := range v.NumField() {
		if v.Type().Field(k).Tag.Get("csv") == column && column != "-" {
			return v.Field(k).Interface().(fmt.Stringer).String()
		}
	}
	return ""
}

// TypedCell is a cell that was typed since its table was read.
type TypedCell struct {
	At        // of its row; line 0 of one that is in no table
	ID string // the zone's id, or the bay's name as its row has it
	CellText
}

// Typed returns the cells of rows that were typed since the tables were read and stand otherwise in them, as far as that is to be had: of zones, by zone
// and column, then of bays. A width that took the place of a size leaves that blank, which is among them. Rows that are gone have none.
func (p *Project) Typed() []TypedCell {
	var out []TypedCell
	other := func(at At, column, text string) bool {
		was, ok := p.original(at, column)
		return !ok || was != text
	}
	for _, at := range p.typed.sorted() {
		if z := p.Zone(int(at.row)); !z.Gone && other(z.At(), at.column, p.typed[at]) {
			out = append(out, TypedCell{z.At(), z.ID, CellText{at.column, p.typed[at]}})
		}
	}
	for _, at := range p.typedBays.sorted() {
		row := p.bayRow(int(at.row))
		id := row.Bay.Text
		if name, ok := p.original(row.At, "bay"); ok {
			id = name // it may have been renamed
		}
		if other(row.At, at.column, p.typedBays[at]) {
			out = append(out, TypedCell{row.At, id, CellText{at.column, p.typedBays[at]}})
		}
	}
	return out
}

// sorted returns where cells were typed, by row and column.
func (t typed) sorted() []typedAt {
	return slices.SortedFunc(maps.Keys(t), func(a, b typedAt) int { return cmp.Or(cmp.Compare(a.row, b.row), cmp.Compare(a.column, b.column)) })
}
