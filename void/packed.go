package void

import "voidline/void/cell"

// chunks is a list that grows without copying what is in it.
type chunks[T any] struct {
	list [][]T
	n    int
}

const chunk = 256

func (c *chunks[T]) at(i int) *T { return &c.list[i/chunk][i%chunk] }

func (c *chunks[T]) add(v T) {
	if c.n%chunk == 0 {
		c.list = append(c.list, make([]T, chunk))
	}
	c.n++
	*c.at(c.n - 1) = v
}

// bayCells is a row of bays.csv, of which there may be tens of thousands, without what is not needed: the guid of its room and note,
// and of a range its upper end. Words are indices into the project's words.
type bayCells struct {
	name            string
	file, line      int32
	storey, buildUp int32
	x1, y1, x2, y2  placeCell
	soffit, ceiling levelCell
	trough          lengthCell
	overhead        [2]int32 // guids of ceiling and soffit: many bays have those of one ceiling, of one slab
}

type placeCell struct {
	text string
	mm   float64
	line int32 // the word of a grid line
}

type lengthCell struct {
	text string
	mm   float64
}

type levelCell struct {
	text         string
	mm           float64
	ref          cell.Ref
	ranges, none bool
}

func (p *Project) packBay(r *BayRow) bayCells {
	place := func(c *cell.Place) placeCell { return placeCell{c.Text, c.MM, p.words.index(c.Line)} }
	level := func(c *cell.Level) levelCell { return levelCell{c.Text, c.Low.MM, c.Low.Ref, c.Range, c.None} }
	return bayCells{
		r.Bay.Text, r.At.File, r.At.Line, p.words.index(r.Storey.Text), p.words.index(r.BuildUp.Text),
		place(&r.X1), place(&r.Y1), place(&r.X2), place(&r.Y2), level(&r.Soffit), level(&r.Ceiling),
		lengthCell{r.Trough.Text, r.Trough.MM},
		[2]int32{p.words.index(r.CeilingGUID.Text), p.words.index(r.SoffitGUID.Text)},
	}
}

// bayRow returns a row of bays.csv.
func (p *Project) bayRow(i int) BayRow {
	r := p.rows.bays.at(i)
	place := func(c *placeCell) cell.Place { return cell.Place{Text: c.text, MM: c.mm, Line: p.word(c.line)} }
	level := func(c *levelCell) cell.Level {
		return cell.Level{Text: c.text, Low: cell.Height{Ref: c.ref, MM: c.mm}, Range: c.ranges, None: c.none}
	}
	return BayRow{
		At: At{File: r.file, Line: r.line}, Bay: word(r.name), Storey: word(p.word(r.storey)), BuildUp: word(p.word(r.buildUp)),
		X1: place(&r.x1), Y1: place(&r.y1), X2: place(&r.x2), Y2: place(&r.y2), Soffit: level(&r.soffit), Ceiling: level(&r.ceiling),
		Trough: cell.Length{Text: r.trough.text, MM: r.trough.mm}, CeilingGUID: word(p.word(r.overhead[0])), SoffitGUID: word(p.word(r.overhead[1])),
	}
}
