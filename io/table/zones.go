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

// zoneReader reads the tables of the trades, which may have a million rows. It says of every file what rows
// would say, and is made for rows as they should be:
//
//  1. A line that is a record by itself is split in place; any other is left to records, and what is wrong
//     with the shape of a row to sheet.ragged.
//  2. Each column knows its field of the row from the header on. Cells are read into rows that are used
//     again; numbers, and levels that are little more, are read here, the rest by package cell, once for
//     texts that come again.
//  3. In a long table, where there are two processors, one goroutine reads some rows ahead of the one that hands
//     them over.
type zoneReader struct {
	s     *sheet
	split *splitter
	cols  []zoneCol
	ahead []*zoneBatch
	// alone is how many rows of a table are read before another goroutine reads ahead.
	alone int

	// The record at hand. inLine: it is a line split by split; else it is in s.rec.
	cells  []string
	at     mark
	inLine bool

	lines, names, memos store // lines; words and what else is likely to be kept; texts of the memos

	words     memo[cell.Word]
	places    memo[cell.Place]
	sizes     memo[cell.Size]
	lengths   memo[cell.Length]
	coverings memo[cell.Covering]
	levels    memo[cell.Level]
	faces     memo[cell.Face]
	falls     memo[cell.Fall]
	flags     memo[cell.Flag]
	numbers   memo[cell.Number]
	setters   map[string]setter // by the name of the column
}

// setter reads a text, trimmed in front, into a cell of the row and returns the cell's fault. It clears the cell where the text
// is blank.
type setter func(row *void.ZoneRow, text string) *cell.Fault

// zoneCol is a column of a table of zones.
type zoneCol struct {
	col
	set setter
	// rewritten: the cells may need a decimal point or a unit before they are read.
	rewritten bool
}

// zoneBatch is some rows, read and not yet handed over.
type zoneBatch struct {
	rows []void.ZoneRow // the first n are good
	n    int
	met  int   // rows of the file that were met up to here
	end  error // what sheet.stopped says, or io.EOF; nil: there may be more
}

const (
	zoneBatchSize = 64 // rows; 1.2 KB each, so that they stay near the processor
	// zonesAhead is how many batches are filled, emptied or wait. With three the goroutines mostly wake each
	// other, and it is slower than one goroutine alone.
	zonesAhead = 12
)

func newZoneReader() *zoneReader {
	z := &zoneReader{
		lines: store{size: 32 << 10}, names: store{size: 16 << 10}, memos: store{size: 4 << 10},
		alone: 4096, // so many take a millisecond or two
	}
	if runtime.GOMAXPROCS(0) == 1 {
		z.alone = math.MaxInt
	}
	remember(&z.words, &z.names, cell.ParseWord)
	remember(&z.places, &z.memos, func(text string) cell.Place {
		p := cell.ParsePlace(text)
		p.Line = z.names.add(p.Line)
		return p
	})
	remember(&z.sizes, &z.memos, func(text string) cell.Size {
		s := cell.ParseSize(text)
		s.Name, s.Standard = z.names.add(s.Name), z.names.add(s.Standard)
		return s
	})
	remember(&z.lengths, &z.memos, cell.ParseLength)
	remember(&z.coverings, &z.memos, cell.ParseCovering)
	remember(&z.levels, &z.memos, cell.ParseLevel)
	remember(&z.faces, &z.memos, cell.ParseFace)
	remember(&z.falls, &z.memos, cell.ParseFall)
	remember(&z.flags, &z.memos, cell.ParseFlag)
	remember(&z.numbers, &z.memos, cell.ParseNumber)
	z.setters = map[string]setter{
		"id":         func(r *void.ZoneRow, text string) *cell.Fault { return z.name(&r.ID, text) },
		"trade":      func(r *void.ZoneRow, text string) *cell.Fault { return z.word(&r.Trade, text) },
		"service":    func(r *void.ZoneRow, text string) *cell.Fault { return z.word(&r.Service, text) },
		"kind":       func(r *void.ZoneRow, text string) *cell.Fault { return z.word(&r.Kind, text) },
		"storey":     func(r *void.ZoneRow, text string) *cell.Fault { return z.word(&r.Storey, text) },
		"bay":        func(r *void.ZoneRow, text string) *cell.Fault { return z.word(&r.Bay, text) },
		"x1":         func(r *void.ZoneRow, text string) *cell.Fault { return z.place(&r.X1, text) },
		"y1":         func(r *void.ZoneRow, text string) *cell.Fault { return z.place(&r.Y1, text) },
		"x2":         func(r *void.ZoneRow, text string) *cell.Fault { return z.place(&r.X2, text) },
		"y2":         func(r *void.ZoneRow, text string) *cell.Fault { return z.place(&r.Y2, text) },
		"size":       func(r *void.ZoneRow, text string) *cell.Fault { return z.size(&r.Size, text) },
		"width":      func(r *void.ZoneRow, text string) *cell.Fault { return z.length(&r.Width, text) },
		"height":     func(r *void.ZoneRow, text string) *cell.Fault { return z.length(&r.Height, text) },
		"diameter":   func(r *void.ZoneRow, text string) *cell.Fault { return z.length(&r.Diameter, text) },
		"joint":      func(r *void.ZoneRow, text string) *cell.Fault { return z.length(&r.Joint, text) },
		"top":        func(r *void.ZoneRow, text string) *cell.Fault { return z.length(&r.Top, text) },
		"insulation": func(r *void.ZoneRow, text string) *cell.Fault { return z.covering(&r.Insulation, text) },
		"level":      func(r *void.ZoneRow, text string) *cell.Fault { return z.level(&r.Level, text) },
		"face":       func(r *void.ZoneRow, text string) *cell.Fault { return z.face(&r.Face, text) },
		"fall":       func(r *void.ZoneRow, text string) *cell.Fault { return z.fall(&r.Fall, text) },
		"hanger":     func(r *void.ZoneRow, text string) *cell.Fault { return z.word(&r.Hanger, text) },
		"frame":      func(r *void.ZoneRow, text string) *cell.Fault { return z.word(&r.Frame, text) },
		"tier":       func(r *void.ZoneRow, text string) *cell.Fault { return z.word(&r.Tier, text) },
		"run":        func(r *void.ZoneRow, text string) *cell.Fault { return z.word(&r.Run, text) },
		"joins":      func(r *void.ZoneRow, text string) *cell.Fault { return z.list(&r.Joins, text) },
		"recessed":   func(r *void.ZoneRow, text string) *cell.Fault { return z.flag(&r.Recessed, text) },
		"reach":      func(r *void.ZoneRow, text string) *cell.Fault { return z.flag(&r.Reach, text) },
		"circuits":   func(r *void.ZoneRow, text string) *cell.Fault { return z.number(&r.Circuits, text) },
		"class":      func(r *void.ZoneRow, text string) *cell.Fault { return z.word(&r.Class, text) },
		"rank":       func(r *void.ZoneRow, text string) *cell.Fault { return z.number(&r.Rank, text) },
		"holds":      func(r *void.ZoneRow, text string) *cell.Fault { return z.word(&r.Holds, text) },
		"tolerance":  func(r *void.ZoneRow, text string) *cell.Fault { return z.length(&r.Tolerance, text) },
		"guid":       func(r *void.ZoneRow, text string) *cell.Fault { return z.name(&r.GUID, text) },
		"note":       func(r *void.ZoneRow, text string) *cell.Fault { return z.word(&r.Note, text) },
	}
	return z
}

func remember[C any](m *memo[C], texts *store, read func(string) C) { m.texts, m.read = texts, read }

// rows reads the rows of a sheet as the function rows does.
func (z *zoneReader) rows(ctx context.Context, s *sheet, take func(*void.ZoneRow)) error {
	if s.lost || !z.begin(s) {
		return rows(ctx, s, take)
	}
	first := z.batch(0)
	z.fill(first)
	for ; ; z.fill(first) {
		if err := ctx.Err(); err != nil {
			return err
		}
		if done, err := s.deliver(first, take); done {
			return err
		}
		if s.rows > z.alone {
			return z.readAhead(ctx, take)
		}
	}
}

// readAhead reads the rest of a sheet in a goroutine of its own and hands the rows over in this one. The goroutine has
// ended when readAhead returns.
func (z *zoneReader) readAhead(ctx context.Context, take func(*void.ZoneRow)) error {
	full, empty := make(chan *zoneBatch, zonesAhead), make(chan *zoneBatch, zonesAhead)
	for i := range zonesAhead {
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
		if done, err := s.deliver(b, take); done {
			return err
		}
		empty <- b
	}
	panic("table: rows end without saying why")
}

// deliver hands over the rows of a batch and reports whether it is the last one, and the error of rows.
func (s *sheet) deliver(b *zoneBatch, take func(*void.ZoneRow)) (done bool, err error) {
	for i := range b.n {
		take(&b.rows[i])
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
func (z *zoneReader) begin(s *sheet) bool {
	z.s, z.split, z.cols = s, newSplitter(s.rec.sep, s.headed), z.cols[:0]
	for _, c := range s.cols {
		set := z.setters[c.name]
		if set == nil {
			return false
		}
		z.cols = append(z.cols, zoneCol{c, set, c.numeric && (s.rec.sep != ',' || c.metres)})
	}
	for _, b := range z.ahead {
		clear(b.rows) // cells of columns that this sheet has not
	}
	return true
}

// batch returns batch i, which is empty.
func (z *zoneReader) batch(i int) *zoneBatch {
	for len(z.ahead) <= i {
		z.ahead = append(z.ahead, &zoneBatch{rows: make([]void.ZoneRow, zoneBatchSize)})
	}
	return z.ahead[i]
}

// fill reads rows into a batch. With rows that cannot be read it may come out empty.
func (z *zoneReader) fill(b *zoneBatch) {
	b.n, b.end = 0, nil
	for range zoneBatchSize {
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
func (z *zoneReader) next(row *void.ZoneRow) (ok bool, err error) {
	s := z.s
	r := s.rec
	for {
		again := r.handed < len(r.lines)
		var line []byte
		if again {
			l := r.lines[r.handed]
			line, z.at = r.buf[l.from:l.to-1], l.mark
		} else if line, z.at, err = s.in.next(); err == io.EOF {
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
			z.cells = z.split.cells[:z.split.n]
			break
		}
		if !again {
			r.begin()
			r.push(line, z.at)
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
		z.cells = cells
		break
	}
	if !z.decode(row) {
		s.missing++
		return false, nil
	}
	row.At = void.At{File: s.index, Line: z.at.line, Offset: z.at.offset}
	return true, nil
}

// whole splits a line where it is a record by itself in which sheet.ragged would find nothing.
func (z *zoneReader) whole(line []byte) bool {
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
func (z *zoneReader) decode(row *void.ZoneRow) bool {
	s := z.s
	good := !s.broken
	for i := range z.cols {
		c := &z.cols[i]
		text := ""
		if c.at < len(z.cells) {
			text = z.cells[c.at]
		}
		if c.rewritten && (c.metres || strings.IndexByte(text, ',') >= 0 || strings.IndexByte(text, '.') >= 0) {
			var doubtful bool
			if text, doubtful = s.text(c.col, text); doubtful {
				s.doubtful(c.col, text, z.where(c.at))
			}
		}
		fault := c.set(row, text)
		if fault == nil && !(c.key && row.ID.Text == "") { // the id is the one key
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
func (z *zoneReader) where(i int) place {
	if z.inLine {
		return place{z.at.line, z.split.starts[i] + 1}
	}
	line, column := z.s.rec.cell(i)
	return place{line, column}
}

// name reads a word that hardly ever comes twice.
func (z *zoneReader) name(c *cell.Word, text string) *cell.Fault {
	*c = cell.Word{}
	if text != "" {
		*c = cell.ParseWord(text)
		c.Text = z.names.add(c.Text)
	}
	return c.Fault
}

func (z *zoneReader) word(c *cell.Word, text string) *cell.Fault {
	if text == "" {
		*c = cell.Word{}
		return nil
	}
	*c = *z.words.get(text)
	return c.Fault
}

func (z *zoneReader) place(c *cell.Place, text string) *cell.Fault {
	if text == "" {
		*c = cell.Place{}
	} else if mm, ok := decimal(text); ok {
		*c = cell.Place{Text: text, MM: mm}
	} else {
		*c = *z.places.get(text)
	}
	return c.Fault
}

func (z *zoneReader) length(c *cell.Length, text string) *cell.Fault {
	if text == "" {
		*c = cell.Length{}
	} else if mm, ok := decimal(text); ok {
		*c = cell.Length{Text: text, MM: mm}
	} else {
		*c = *z.lengths.get(text)
	}
	return c.Fault
}

// level reads a level. A number alone is above FFL, and in doubt where it is small.
func (z *zoneReader) level(c *cell.Level, text string) *cell.Fault {
	if text == "" {
		*c = cell.Level{}
		return nil
	}
	number := text
	if len(text) > 5 && text[:4] == "FFL+" && text[4] != '-' {
		number = text[4:]
	}
	if mm, ok := decimal(number); ok && (mm >= 20 || mm <= -20) {
		*c = cell.Level{Text: text, Low: cell.Height{Ref: cell.FFL, MM: mm}}
		return nil
	}
	*c = *z.levels.get(text)
	return c.Fault
}

func (z *zoneReader) size(c *cell.Size, text string) *cell.Fault {
	if text == "" {
		*c = cell.Size{}
		return nil
	}
	*c = *z.sizes.get(text)
	return c.Fault
}

func (z *zoneReader) covering(c *cell.Covering, text string) *cell.Fault {
	if text == "" {
		*c = cell.Covering{}
		return nil
	}
	*c = *z.coverings.get(text)
	return c.Fault
}

func (z *zoneReader) face(c *cell.Face, text string) *cell.Fault {
	if text == "" {
		*c = cell.Face{}
		return nil
	}
	*c = *z.faces.get(text)
	return c.Fault
}

func (z *zoneReader) fall(c *cell.Fall, text string) *cell.Fault {
	if text == "" {
		*c = cell.Fall{}
		return nil
	}
	*c = *z.falls.get(text)
	return c.Fault
}

func (z *zoneReader) flag(c *cell.Flag, text string) *cell.Fault {
	if text == "" {
		*c = cell.Flag{}
		return nil
	}
	*c = *z.flags.get(text)
	return c.Fault
}

func (z *zoneReader) number(c *cell.Number, text string) *cell.Fault {
	if text == "" {
		*c = cell.Number{}
		return nil
	}
	*c = *z.numbers.get(text)
	return c.Fault
}

func (z *zoneReader) list(c *cell.Names, text string) *cell.Fault {
	*c = cell.Names{}
	if text != "" {
		*c = cell.ParseNames(z.names.add(text))
	}
	return c.Fault
}

// decimal reads a number such as 1200, -35.5 or 12. as cell.ParseLength and cell.ParsePlace read it. It reports
// false of any other text, of more than 15 characters behind the sign, and of what is beyond cell.Bound.
func decimal(text string) (float64, bool) {
	digits := text
	if text[0] == '-' {
		digits = text[1:]
	}
	if digits == "" || len(digits) > 15 || digits[0] == '.' {
		return 0, false
	}
	whole, point := uint64(0), -1
	for i := 0; i < len(digits); i++ {
		if d := digits[i] - '0'; d <= 9 {
			whole = whole*10 + uint64(d)
		} else if digits[i] == '.' && point < 0 {
			point = i
		} else {
			return 0, false
		}
	}
	v := float64(whole)
	if point >= 0 {
		v /= tens[len(digits)-1-point] // both are exact, so that the result is the nearest
	}
	if v > cell.Bound {
		return 0, false
	}
	if len(digits) < len(text) && v != 0 {
		v = -v
	}
	return v, true
}

// tens are powers of ten.
var tens = [...]float64{1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14}
