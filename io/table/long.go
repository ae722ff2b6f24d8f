package table

import (
	"bytes"
	"context"
	"io"
	"math"
	"reflect"
	"runtime"
	"strings"
	"unsafe"

	"voidline/void"
	"voidline/void/cell"
)

// longReader reads tables that may have a million rows: those of the trades, and the bays. It says of every file
// what rows would say, and is made for rows as they should be:
//
//  1. A line that is a record by itself is split in place; any other is left to records, and what is wrong
//     with the shape of a row to sheet.ragged.
//  2. Cells are read straight into rows that are used again. Which columns there are, where in the row the cell of
//     each is and how it is read comes from the struct of the row, worked out once (fields, setters): going through
//     reflection for each cell would cost more than reading it.
//  3. In a long table, where there are two processors, one goroutine reads some rows ahead of the one that hands
//     them over.
type longReader[T any] struct {
	s     *sheet
	split *splitter
	cols  []longCol
	ahead []*longBatch[T]
	// alone is how many rows of a table are read before another goroutine reads ahead.
	alone int

	// The record at hand. inLine: it is a line split by split; else it is in s.rec.
	record []string
	start  mark
	inLine bool

	lines   store
	setters []setter // by the field of the row
}

// longCol is a column of a long table.
type longCol struct {
	col
	set setter
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

func newLongReader[T any]() *longReader[T] {
	z := &longReader[T]{
		lines: store{size: 32 << 10}, setters: setters(reflect.TypeFor[T]()),
		alone: 4096, // so many take a millisecond or two
	}
	if runtime.GOMAXPROCS(0) == 1 {
		z.alone = math.MaxInt
	}
	return z
}

// rows reads the rows of a sheet as the function rows does.
func (z *longReader[T]) rows(ctx context.Context, s *sheet, take func([]T)) error {
	if s.lost {
		return general(ctx, s, take)
	}
	z.begin(s)
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

// begin makes the reader ready for a sheet.
func (z *longReader[T]) begin(s *sheet) {
	z.s, z.split, z.cols = s, newSplitter(s.rec.sep, s.headed), z.cols[:0]
	for _, c := range s.cols {
		z.cols = append(z.cols, longCol{c, z.setters[c.index], c.numeric && (s.rec.sep != ',' || c.metres)})
	}
	for _, b := range z.ahead {
		clear(b.rows) // cells of columns that this sheet has not
	}
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
	if !z.decode(unsafe.Pointer(row)) {
		s.missing++
		return false, nil
	}
	// Where a row stands is the first field of every row, here as in decode.
	*(*void.At)(unsafe.Pointer(row)) = void.At{File: s.index, Line: z.start.line, Offset: z.start.offset}
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

// decode reads the cells at hand into the row, a *T. It reports whether the row is good, and says why not.
func (z *longReader[T]) decode(row unsafe.Pointer) bool {
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
		to := unsafe.Add(row, c.offset)
		c.set(to, text)
		fault := *(**cell.Fault)(unsafe.Add(to, c.faultAt))
		if fault == nil && !(c.key && *(*string)(unsafe.Add(to, c.textAt)) == "") {
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
