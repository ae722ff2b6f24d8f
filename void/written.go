package void

import (
	"fmt"

	"voidline/void/cell"
)

// Row returns a zone's row as it was written, cell by cell in canonical spelling; sizes come back as
// one size cell of plain numbers, and what follows from the file or the kind is said.
func (p *Project) Row(i int) ZoneRow {
	z := p.Zone(i)
	r := p.written(z)
	c := p.Character(z.Char)
	r.Trade, r.Service, r.Kind, r.Class = word(c.Trade), word(c.Service), word(c.Kind), word(c.Class)
	r.Recessed, r.Reach = yesNo(z.Recessed), yesNo(z.Reach)
	r.Size = figures(&z.said)
	if r.Face.Is = z.facing(); r.Face.Is != cell.Unsaid {
		r.Face.Text = r.Face.Is.String()
	}
	r.Level.Says = cell.Unsaid
	r.Level.Text = r.Level.String()
	return r
}

// written returns a zone's row with the cells that say the same as the row's own: a blank cell is blank, a name is
// as it was written, a number is the same number.
func (p *Project) written(z *Zone) ZoneRow {
	raw := &p.raws[z.raw]
	r := ZoneRow{
		At: z.At(), ID: word(z.ID), Trade: word(raw.trade), Service: word(raw.service), Kind: word(raw.kind), Class: word(raw.class),
		Storey: word(p.word(z.storey)), Bay: word(p.word(z.bay)), Hanger: word(p.word(z.hanger)), Run: word(z.Run()),
		Size: figures(&z.said), Joint: length(z.joint), Top: length(z.Top), Recessed: raw.recessed.cell(), Reach: z.reach.cell(),
		InRoom: z.room.cell(),
	}
	if z.size != 0 {
		r.Size = cell.ParseSize(p.word(z.size))
	}
	if raw.circuits != 0 {
		r.Circuits = cell.Number{Text: fmt.Sprint(raw.circuits), Value: raw.circuits}
	}
	place := func(k int, mm float64) cell.Place {
		c := cell.Place{MM: mm}
		if z.grid != 0 {
			c.Line = p.word(p.gridded[z.grid].line[k])
		}
		if c.Line == "" {
			c.MM = p.origin.whole(mm, k%2)
		}
		return set(c, func(c *cell.Place) *string { return &c.Text })
	}
	if !z.ByHeight {
		r.X1, r.Y1 = place(0, z.x1), place(1, z.y1)
		if !z.Item {
			r.X2, r.Y2 = place(2, z.x2), place(3, z.y2)
		}
	}
	r.Level = cell.Level{Low: cell.Height{Ref: z.lowRef, MM: z.low}, Range: z.Upright, Says: z.says}
	if z.Upright {
		r.Level.High = cell.Height{Ref: z.highRef, MM: z.more.high}
	} else if z.end != 0 {
		r.Fall = set(cell.Fall{Slope: z.end}, func(c *cell.Fall) *string { return &c.Text })
	}
	r.Level = set(r.Level, func(c *cell.Level) *string { return &c.Text })
	if z.cover != 0 {
		r.Insulation = set(cell.Covering{MM: z.cover, OverJoint: z.overJoint}, func(c *cell.Covering) *string { return &c.Text })
	}
	if z.face != cell.Unsaid {
		r.Face = cell.Face{Text: z.face.String(), Is: z.face}
	}
	x := z.rare()
	r.Frame, r.Tier, r.GUID, r.Note = word(p.word(x.frame)), word(p.word(x.tier)), word(x.guid), word(x.note)
	if x.tolerates {
		r.Tolerance = set(cell.Length{MM: x.tolerance}, func(c *cell.Length) *string { return &c.Text })
	}
	if len(x.joins) > 0 {
		r.Joins = set(cell.Names{List: x.joins}, func(c *cell.Names) *string { return &c.Text })
	}
	if x.rank != 0 {
		r.Rank = cell.Number{Text: fmt.Sprint(x.rank), Value: x.rank}
	}
	switch {
	case x.holdsLevel && x.holdsPlace:
		r.Holds = word("both")
	case x.holdsLevel:
		r.Holds = word("level")
	case x.holdsPlace:
		r.Holds = word("place")
	case x.letGo:
		r.Holds = word("none")
	}
	if x.stage != Drawn {
		r.Stage = word(x.stage.String())
	}
	return r
}

// figures returns the size of a row in plain numbers.
func figures(k *said) cell.Size {
	return set(cell.Size{Form: k.form, A: k.a, B: k.b, C: k.c}, func(c *cell.Size) *string { return &c.Text })
}

// set gives a cell that is not blank its text: cells print themselves where they have one.
func set[C fmt.Stringer](c C, text func(*C) *string) C {
	*text(&c) = "set"
	*text(&c) = c.String()
	return c
}

func word(s string) cell.Word { return cell.Word{Text: s} }

func length(mm float64) cell.Length {
	if mm == 0 {
		return cell.Length{}
	}
	return set(cell.Length{MM: mm}, func(c *cell.Length) *string { return &c.Text })
}

func yesNo(on bool) cell.Flag {
	if on {
		return flagYes.cell()
	}
	return flagNo.cell()
}
