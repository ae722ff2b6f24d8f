package table

import (
	"bytes"
	"context"
	"io"
	"math"
	"runtime"
	"strings"

	"voidline/void"
	"voidline/void/cell"
)

// longReader reads tables that may have a million rows: those of the trades, and the bays. It says of every file
// what rows would say, and is made for rows as they should be:
//
//  1. A line that is a record by itself is split in place; any other is left to records, and what is wrong
//     with the shape of a row to sheet.ragged.
//  2. Each column knows its field of the row from the header on. Cells are read into rows that are used
//     again; numbers, and levels that are little more, are read here, the rest by package cell, once for
//     texts that come again.
//  3. In a long table, where there are two processors, one goroutine reads some rows ahead of the one that hands
//     them over.
type longReader[T any] struct {
	*cells
	s     *sheet
	split *splitter
	cols  []longCol[T]
	ahead []*longBatch[T]
	// alone is how many rows of a table are read before another goroutine reads ahead.
	alone int

	// The record at hand. inLine: it is a line split by split; else it is in s.rec.
	record []string
	start  mark
	inLine bool

	lines   store
	setters map[string]setter[T]     // by the name of the column
	blank   map[string]func(*T) bool // by the names of the columns that no row leaves blank
	at      func(row *T) *void.At
}

// setter reads a text, trimmed in front, into a cell of the row and returns the cell's fault. It clears the cell where the text
// is blank.
type setter[T any] func(row *T, text string) *cell.Fault

// longCol is a column of a long table.
type longCol[T any] struct {
	col
	set   setter[T]
	blank func(*T) bool // nil where it may be blank
	// rewritten: the cells may need a decimal point or a unit before they are read.
	rewritten bool
}

// longBatch is some rows, read and not yet handed over.
type longBatch[T any] struct {
	rows []T // the first n are good
	n    int
	met  int   // rows of the file that were met up to here
	end  error // what sheet.stopped says, or io.EOF; nil: there may be more
}

const (
	longBatchSize = 64 // rows; 1.2 KB each, so that they stay near the processor
	// batchesAhead is how many batches are filled, emptied or wait. With three the goroutines mostly wake each
	// other, and it is slower than one goroutine alone.
	batchesAhead = 12
)

func newLongReader[T any](c *cells, at func(row *T) *void.At) *longReader[T] {
	z := &longReader[T]{
		cells: c, at: at, lines: store{size: 32 << 10},
		alone: 4096, // so many take a millisecond or two
	}
	if runtime.GOMAXPROCS(0) == 1 {
		z.alone = math.MaxInt
	}
	return z
}

func newZoneReader() *longReader[void.ZoneRow] {
	c := newCells()
	z := newLongReader(c, func(r *void.ZoneRow) *void.At { return &r.At })
	z.blank = map[string]func(*void.ZoneRow) bool{"id": func(r *void.ZoneRow) bool { return r.ID.Text == "" }}
	z.setters = map[string]setter[void.ZoneRow]{
		"id":         func(r *void.ZoneRow, text string) *cell.Fault { return c.name(&r.ID, text) },
		"trade":      func(r *void.ZoneRow, text string) *cell.Fault { return c.word(&r.Trade, text) },
		"service":    func(r *void.ZoneRow, text string) *cell.Fault { return c.word(&r.Service, text) },
		"kind":       func(r *void.ZoneRow, text string) *cell.Fault { return c.word(&r.Kind, text) },
		"storey":     func(r *void.ZoneRow, text string) *cell.Fault { return c.word(&r.Storey, text) },
		"bay":        func(r *void.ZoneRow, text string) *cell.Fault { return c.word(&r.Bay, text) },
		"x1":         func(r *void.ZoneRow, text string) *cell.Fault { return c.place(&r.X1, text) },
		"y1":         func(r *void.ZoneRow, text string) *cell.Fault { return c.place(&r.Y1, text) },
		"x2":         func(r *void.ZoneRow, text string) *cell.Fault { return c.place(&r.X2, text) },
		"y2":         func(r *void.ZoneRow, text string) *cell.Fault { return c.place(&r.Y2, text) },
		"size":       func(r *void.ZoneRow, text string) *cell.Fault { return c.size(&r.Size, text) },
		"width":      func(r *void.ZoneRow, text string) *cell.Fault { return c.length(&r.Width, text) },
		"height":     func(r *void.ZoneRow, text string) *cell.Fault { return c.length(&r.Height, text) },
		"diameter":   func(r *void.ZoneRow, text string) *cell.Fault { return c.length(&r.Diameter, text) },
		"joint":      func(r *void.ZoneRow, text string) *cell.Fault { return c.length(&r.Joint, text) },
		"top":        func(r *void.ZoneRow, text string) *cell.Fault { return c.length(&r.Top, text) },
		"insulation": func(r *void.ZoneRow, text string) *cell.Fault { return c.covering(&r.Insulation, text) },
		"level":      func(r *void.ZoneRow, text string) *cell.Fault { return c.level(&r.Level, text) },
		"face":       func(r *void.ZoneRow, text string) *cell.Fault { return c.face(&r.Face, text) },
		"fall":       func(r *void.ZoneRow, text string) *cell.Fault { return c.fall(&r.Fall, text) },
		"hanger":     func(r *void.ZoneRow, text string) *cell.Fault { return c.word(&r.Hanger, text) },
		"frame":      func(r *void.ZoneRow, text string) *cell.Fault { return c.word(&r.Frame, text) },
		"tier":       func(r *void.ZoneRow, text string) *cell.Fault { return c.word(&r.Tier, text) },
		"run":        func(r *void.ZoneRow, text string) *cell.Fault { return c.word(&r.Run, text) },
		"joins":      func(r *void.ZoneRow, text string) *cell.Fault { return c.list(&r.Joins, text) },
		"recessed":   func(r *void.ZoneRow, text string) *cell.Fault { return c.flag(&r.Recessed, text) },
		"reach":      func(r *void.ZoneRow, text string) *cell.Fault { return c.flag(&r.Reach, text) },
		"inroom":     func(r *void.ZoneRow, text string) *cell.Fault { return c.flag(&r.InRoom, text) },
		"circuits":   func(r *void.ZoneRow, text string) *cell.Fault { return c.number(&r.Circuits, text) },
		"class":      func(r *void.ZoneRow, text string) *cell.Fault { return c.word(&r.Class, text) },
		"rank":       func(r *void.ZoneRow, text string) *cell.Fault { return c.number(&r.Rank, text) },
		"holds":      func(r *void.ZoneRow, text string) *cell.Fault { return c.word(&r.Holds, text) },
		"tolerance":  func(r *void.ZoneRow, text string) *cell.Fault { return c.length(&r.Tolerance, text) },
		"guid":       func(r *void.ZoneRow, text string) *cell.Fault { return c.name(&r.GUID, text) },
		"note":       func(r *void.ZoneRow, text string) *cell.Fault { return c.word(&r.Note, text) },
	}
	return z
}

func newBayReader() *longReader[void.BayRow] {
	c := newCells()
	z := newLongReader(c, func(r *void.BayRow) *void.At { return &r.At })
	z.blank = map[string]func(*void.BayRow) bool{
		"bay": func(r *void.BayRow) bool { return r.Bay.Text == "" },
		"x1":  func(r *void.BayRow) bool { return r.X1.Text == "" },
		"y1":  func(r *void.BayRow) bool { return r.Y1.Text == "" },
		"x2":  func(r *void.BayRow) bool { return r.X2.Text == "" },
		"y2":  func(r *void.BayRow) bool { return r.Y2.Text == "" },
	}
	z.setters = map[string]setter[void.BayRow]{
		"bay":     func(r *void.BayRow, text string) *cell.Fault { return c.name(&r.Bay, text) },
		"storey":  func(r *void.BayRow, text string) *cell.Fault { return c.word(&r.Storey, text) },
		"x1":      func(r *void.BayRow, text string) *cell.Fault { return c.place(&r.X1, text) },
		"y1":      func(r *void.BayRow, text string) *cell.Fault { return c.place(&r.Y1, text) },
		"x2":      func(r *void.BayRow, text string) *cell.Fault { return c.place(&r.X2, text) },
		"y2":      func(r *void.BayRow, text string) *cell.Fault { return c.place(&r.Y2, text) },
		"soffit":  func(r *void.BayRow, text string) *cell.Fault { return c.level(&r.Soffit, text) },
		"ceiling": func(r *void.BayRow, text string) *cell.Fault { return c.level(&r.Ceiling, text) },
		"buildup": func(r *void.BayRow, text string) *cell.Fault { return c.word(&r.BuildUp, text) },
		"trough":  func(r *void.BayRow, text string) *cell.Fault { return c.length(&r.Trough, text) },
		"note":    func(r *void.BayRow, text string) *cell.Fault { return c.word(&r.Note, text) },
	}
	return z
}

// rows reads the rows of a sheet as the function rows does.
func (z *longReader[T]) rows(ctx context.Context, s *sheet, take func([]T)) error {
	if s.lost || !z.begin(s) {
		return general(ctx, s, take)
	}
	first := z.batch(0)
	z.fill(first)
	for ; ; z.fill(first) {
		if err := ctx.Err(); err != nil {
			return err
		}
		if done, err := z.deliver(first, take); done {
			return err
		}
		if s.rows > z.alone {
			return z.readAhead(ctx, take)
		}
	}
}

// readAhead reads the rest of a sheet in a goroutine of its own and hands the rows over in this one. The goroutine has
// ended when readAhead returns.
func (z *longReader[T]) readAhead(ctx context.Context, take func([]T)) error {
	full, empty := make(chan *longBatch[T], batchesAhead), make(chan *longBatch[T], batchesAhead)
	for i := range batchesAhead {
		empty <- z.batch(i)
	}
	s := z.s
	go func() {
		defer close(full)
		for b := range empty {
			z.fill(b)
			full <- b
			if b.end != nil {
				return
			}
		}
	}()
	defer func() {
		s.stop() // the goroutine may be reading a file without end
		close(empty)
		for range full {
		}
	}()
	for b := range full {
		if err := ctx.Err(); err != nil {
			return err
		}
		if done, err := z.deliver(b, take); done {
			return err
		}
		empty <- b
	}
	panic("table: rows end without saying why")
}

// deliver hands over the rows of a batch and reports whether it is the last one, and the error of rows.
func (z *longReader[T]) deliver(b *longBatch[T], take func([]T)) (done bool, err error) {
	s := z.s
	if b.n > 0 {
		take(b.rows[:b.n])
	}
	if s.met != nil {
		s.met(b.met)
	}
	if b.end == io.EOF {
		s.whole = true
		return true, nil
	}
	return b.end != nil, b.end
}

// begin makes the reader ready for a sheet. It reports false where the sheet has a column that is not known here.
func (z *longReader[T]) begin(s *sheet) bool {
	z.s, z.split, z.cols = s, newSplitter(s.rec.sep, s.headed), z.cols[:0]
	for _, c := range s.cols {
		set := z.setters[c.name]
		if set == nil {
			return false
		}
		z.cols = append(z.cols, longCol[T]{c, set, z.blank[c.name], c.numeric && (s.rec.sep != ',' || c.metres)})
	}
	for _, b := range z.ahead {
		clear(b.rows) // cells of columns that this sheet has not
	}
	return true
}

// batch returns batch i, which is empty.
func (z *longReader[T]) batch(i int) *longBatch[T] {
	for len(z.ahead) <= i {
		z.ahead = append(z.ahead, &longBatch[T]{rows: make([]T, longBatchSize)})
	}
	return z.ahead[i]
}

// fill reads rows into a batch. With rows that cannot be read it may come out empty.
func (z *longReader[T]) fill(b *longBatch[T]) {
	b.n, b.end = 0, nil
	for range longBatchSize {
		ok, err := z.next(&b.rows[b.n])
		if err != nil {
			b.end = err
			break
		}
		if ok {
			b.n++
		}
	}
	b.met = z.s.rows
}

// next reads the next row, blank ones left out. It reports false where the row is missing. Its errors are those of
// sheet.gather.
func (z *longReader[T]) next(row *T) (ok bool, err error) {
	s := z.s
	r := s.rec
	for {
		again := r.handed < len(r.lines)
		var line []byte
		if again {
			l := r.lines[r.handed]
			line, z.start = r.buf[l.from:l.to-1], l.mark
		} else if line, z.start, err = s.in.next(); err == io.EOF {
			return false, err
		} else if err != nil {
			return false, s.stopped(err)
		}
		if len(line) == 0 {
			if again {
				r.pass()
			}
			continue
		}
		if z.inLine = z.whole(line); z.inLine {
			if again {
				r.pass()
			}
			if z.split.blank() {
				continue
			}
			s.rows++
			z.record = z.split.cells[:z.split.n]
			break
		}
		if !again {
			r.begin()
			r.push(line, z.start)
		}
		cells, bad, err := r.record()
		if err == io.EOF {
			return false, err
		} else if err != nil {
			return false, s.stopped(err)
		}
		if bad == nil && blank(cells) {
			continue
		}
		s.rows++
		if bad == nil {
			bad = s.ragged(cells)
		}
		if bad != nil {
			s.missing++
			s.told.add(*bad)
			return false, nil
		}
		z.record = cells
		break
	}
	if !z.decode(row) {
		s.missing++
		return false, nil
	}
	*z.at(row) = void.At{File: s.index, Line: z.start.line, Offset: z.start.offset}
	return true, nil
}

// whole splits a line where it is a record by itself in which sheet.ragged would find nothing.
func (z *longReader[T]) whole(line []byte) bool {
	if len(line) > maxCell || bytes.IndexByte(line, 0) >= 0 || !z.split.split(line, z.lines.addBytes(line)) {
		return false
	}
	if z.split.n < z.s.must {
		return false
	}
	for _, i := range z.s.unnamed {
		if i < z.split.n && strings.TrimSpace(z.split.cells[i]) != "" {
			return false
		}
	}
	return true
}

// decode reads the cells at hand into the row. It reports whether the row is good, and says why not.
func (z *longReader[T]) decode(row *T) bool {
	s := z.s
	good := !s.broken
	for i := range z.cols {
		c := &z.cols[i]
		text := ""
		if c.at < len(z.record) {
			text = z.record[c.at]
		}
		if c.rewritten && (c.metres || strings.IndexByte(text, ',') >= 0 || strings.IndexByte(text, '.') >= 0) {
			var doubtful bool
			if text, doubtful = s.text(c.col, text); doubtful {
				s.doubtful(c.col, text, z.where(c.at))
			}
		}
		fault := c.set(row, text)
		if fault == nil && (c.blank == nil || !c.blank(row)) {
			continue
		}
		at := z.where(c.at)
		p := void.Problem{Line: int(at.line), Column: int(at.column), Cell: c.name, What: "blank"}
		if fault != nil {
			p.What, p.Want, p.Hint = fault.What, fault.Want, fault.Hint
		}
		s.told.add(p) // the columns are in the order of the file
		good = false
	}
	return good
}

// where returns the place of a cell that the record at hand has. It has all that can be faulty, doubtful or
// blank where it may not be: a row without an id cell is too short.
func (z *longReader[T]) where(i int) place {
	if z.inLine {
		return place{z.start.line, z.split.starts[i] + 1}
	}
	line, column := z.s.rec.cell(i)
	return place{line, column}
}
