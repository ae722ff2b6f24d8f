package table

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"github.com/gocarina/gocsv"

	"voidline/void"
	"voidline/void/cell"
	"voidline/void/vocabulary"
)

// sheet is one table being read.
type sheet struct {
	name  string
	index int32
	kind  *kind
	stray bool // count the rows, no more

	file     fs.File
	in       *lines
	rec      *records
	fields   []field
	cols     []col
	headed   int   // cells of the header
	must     int   // a row has at least so many cells
	unnamed  []int // cells of the header that are blank
	headline int32
	// lost: the header is not one of this kind of table; the rows are only counted. broken: it lacks
	// something; the cells are looked at, and no row is handed over.
	lost, broken bool

	told, warned told
	batch        []void.Problem // of the rows at hand, not yet in order
	missing      int
	part         []string // first cells of rows that are missing: the thing that lacks a part; "" where it cannot be read
	rows         int
	whole        bool           // read to its end
	met          func(rows int) // told of rows between batches, in the goroutine that hands them over; may be nil
	stop         func()         // makes reading the file fail from now on

	// commas: a decimal comma was seen; points: a decimal point. doubt is the first of doubts cells whose points may be
	// decimal ones or part thousands, as the file has them elsewhere.
	commas, points bool
	doubt          void.Problem
	doubts         int
}

// col is a column that is read.
type col struct {
	field
	at     int // number of its cell in a record
	metres bool
	key    bool
}

// patient is a reader that stops when ctx is done.
type patient struct {
	ctx context.Context
	in  io.Reader
}

func (p patient) Read(b []byte) (int, error) {
	if err := p.ctx.Err(); err != nil {
		return 0, err
	}
	return p.in.Read(b)
}

// open opens the file and reads its header. A void.Problem for an error means that the file cannot be
// read (further).
func (s *sheet) open(ctx context.Context, fsys fs.FS) error {
	info, err := fs.Stat(fsys, s.name)
	switch {
	case err != nil:
		return unreadable(err)
	case info.IsDir():
		return void.Problem{What: "is a folder", Want: "a CSV file"}
	case !info.Mode().IsRegular():
		return void.Problem{What: "is no file (a device, a pipe or a socket)", Want: "a CSV file"} // opening one may never return
	}
	if s.file, err = fsys.Open(s.name); err != nil {
		return unreadable(err)
	}
	ctx, s.stop = context.WithCancel(ctx)
	if s.in, err = newLines(patient{ctx, s.file}); err != nil {
		s.close()
		return unreadable(err)
	}
	s.rec = newRecords(s.in)
	s.fields = s.kind.fields()
	if err := s.header(); err != nil {
		s.close()
		return err
	}
	return nil
}

func (s *sheet) close() {
	s.stop()
	s.file.Close()
}

// unreadable says why a file cannot be read.
func unreadable(err error) error {
	switch {
	case errors.Is(err, errZip):
		return void.Problem{What: "not a text table but " + errZip.Error(), Hint: "save it as CSV"}
	case errors.Is(err, errNoText):
		return void.Problem{What: "not a text table", Want: "a CSV file", Hint: "it holds bytes that no text has"}
	case errors.Is(err, fs.ErrPermission):
		return void.Problem{What: "no permission to read it"}
	}
	return void.Problem{What: "cannot be read: " + plainError(err).Error()}
}

// stopped says why reading stops within a file.
func (s *sheet) stopped(err error) error {
	if errors.Is(err, errLongLine) {
		return void.Problem{Line: int(s.in.here.line), What: "the line is longer than 1 MiB", Want: "a row of a table", Hint: "reading stops here"}
	}
	p := unreadable(err).(void.Problem)
	p.Line = int(s.in.here.line)
	return p
}

// header finds the separator, reads the header and says what is wrong with it.
func (s *sheet) header() error {
	known := func(heading string) bool { i, _ := match(s.fields, heading); return i >= 0 }
	line, _, err := s.rec.peek()
	sep, said := declared(line)
	if err == nil && said {
		s.rec.pass()
		line, _, err = s.rec.peek()
	}
	if err == io.EOF && s.stray {
		s.lost = true
		return nil
	} else if err == io.EOF {
		s.told.add(void.Problem{What: "the file is empty", Want: "a header and one row on each line"})
		s.lost = true
		return nil
	} else if err != nil {
		return s.stopped(err)
	}
	if !said {
		sep = guess(line, known)
	} else if !slices.Contains(separators[:], sep) {
		s.told.add(void.Problem{Line: 1, What: fmt.Sprintf("separator %q", sep), Want: "a comma, a semicolon or a tab"})
		s.lost = true
		return nil
	}
	s.rec.separate(sep)
	cells, bad, err := s.rec.record()
	s.headline = s.rec.at().line
	switch {
	case err != nil:
		return s.stopped(err)
	case bad != nil:
		s.told.add(*bad)
		s.lost = true
		return nil
	case s.stray:
		s.lost = true
		return nil
	case len(cells) > maxColumns:
		s.told.add(void.Problem{Line: int(s.headline), What: fmt.Sprintf("a header of %d cells", len(cells)), Want: "the columns of a table"})
		s.lost = true
		return nil
	}
	s.columns(cells)
	return nil
}

// columns matches the header with the columns of the kind.
func (s *sheet) columns(cells []string) {
	s.headed = len(cells)
	used := map[string]int{}
	var unknown []int
	for i, heading := range cells {
		line, column := s.rec.cell(i)
		p := void.Problem{Line: int(line), Column: int(column)}
		j, metres := match(s.fields, heading)
		switch first, double := 0, false; {
		case plain(heading) == "":
			s.unnamed = append(s.unnamed, i)
		case j < 0:
			unknown = append(unknown, i)
		default:
			f := s.fields[j]
			if first, double = used[f.name]; double {
				p.What = "column " + quote(heading) + " is there twice"
				p.Want = "each column once"
				p.Hint = fmt.Sprintf("the first is cell %d, %s", first+1, quote(cells[first]))
				s.told.add(p)
				s.broken = true
				continue
			}
			used[f.name] = i
			s.cols = append(s.cols, col{f, i, metres, slices.Contains(s.kind.key, f.name)})
		}
	}
	has := func(name string) bool { _, ok := used[name]; return ok }
	free := slices.DeleteFunc(slices.Clone(s.fields), func(f field) bool { return has(f.name) })
	hint := ""
	for _, i := range unknown {
		line, column := s.rec.cell(i)
		p := void.Problem{Line: int(line), Column: int(column), What: "unknown column " + quote(cells[i]) + ", not read"}
		if name, ok := nearest(cells[i], free); ok && s.warned.more == 0 {
			p.Hint = fmt.Sprintf("did you mean %q?", name)
			if hint == "" {
				hint = fmt.Sprintf("is %s meant for %q?", quote(cells[i]), name)
			}
		}
		s.warned.add(p)
	}
	var lacks []string
	for _, n := range s.kind.need {
		// Where the header has several ways to meet a need, a row may take the one that ends first.
		least := 0
		for _, all := range n.any {
			if !hasAll(all, has) {
				continue
			}
			end := 0
			for _, name := range all {
				end = max(end, used[name]+1)
			}
			if least == 0 || end < least {
				least = end
			}
		}
		if least == 0 {
			lacks = append(lacks, n.say)
		}
		s.must = max(s.must, least)
	}
	if len(lacks) == 0 {
		return
	}
	s.broken = true
	s.lost = slices.ContainsFunc(s.kind.key, func(name string) bool { return !has(name) })
	s.told.add(void.Problem{
		Line: int(s.headline), What: "no column for " + quoted(lacks), Hint: cmp.Or(s.meant(cells), hint),
	})
}

// quoted lists what is lacking: a column's name between quotes, a choice of columns in words.
func quoted(lacks []string) string {
	out := make([]string, len(lacks))
	for i, l := range lacks {
		out[i] = l
		if !strings.Contains(l, " ") {
			out[i] = strconv.Quote(l)
		}
	}
	return strings.Join(out, ", ")
}

// nearest returns the column that a heading may be meant for, for a hint.
func nearest(heading string, among []field) (string, bool) {
	var names []string
	for _, f := range among {
		names = append(names, f.name)
	}
	return vocabulary.Nearest(plain(heading), names)
}

// fits reports whether a header of these cells has what a table of the kind needs.
func (k *kind) fits(cells []string) bool {
	fields := k.fields()
	names := map[string]bool{}
	for _, c := range cells {
		if i, _ := match(fields, c); i >= 0 {
			names[fields[i].name] = true
		}
	}
	return !slices.ContainsFunc(k.need, func(n need) bool {
		return !slices.ContainsFunc(n.any, func(all []string) bool {
			return hasAll(all, func(name string) bool { return names[name] })
		})
	})
}

// meant guesses what a header that lacks columns may be, "" where there is no telling.
func (s *sheet) meant(cells []string) string {
	has := func(name string) bool {
		return slices.ContainsFunc(cells, func(c string) bool { return plain(c) == name })
	}
	switch {
	case has("givesway") && has("short"):
		return "these are the columns of an answer: keep it outside the folder"
	case len(cells) == 1 && strings.ContainsAny(cells[0], "|:/"):
		return "cells are separated by commas, semicolons or tabs"
	case s.kind != &zones && zones.fits(cells):
		return "these are the columns of a trade's table"
	}
	for _, k := range fixed {
		if k != s.kind && k != &origins && k.fits(cells) { // others have an x and a y, too
			return "these are the columns of " + k.file
		}
	}
	return ""
}

// title is how many rows are looked at for a header that stands under a title.
const title = 20

// under says so where these cells would be a good header for a file that seems to have none.
func (s *sheet) under(cells []string) {
	if s.stray || s.headed == 0 || s.rows > title || len(cells) > maxColumns || !s.kind.fits(cells) {
		return
	}
	s.told.list[len(s.told.list)-1].Hint = fmt.Sprintf("line %d looks like the header: take out what stands above it", s.rec.at().line)
	s.headed = 0 // said once
}

// batchSize is how many rows are decoded in one go.
const batchSize = 128

// batch is rows as they were split, by column of the sheet.
type batch struct {
	n      int
	texts  []string
	places []place
	at     []mark
	// Room for the cells as gocsv takes them.
	cells []string
	split given
	used  []int
}

type place struct{ line, column int32 }

// gather splits records until the batch is full. It returns io.EOF at the end of the file, a
// void.Problem where nothing more can be read.
func (s *sheet) gather(b *batch) error {
	b.n = 0
	for range batchSize {
		cells, bad, err := s.rec.record()
		if err == io.EOF {
			return err
		} else if err != nil {
			return s.stopped(err)
		}
		if bad == nil && blank(cells) {
			continue
		}
		s.rows++
		if s.lost {
			s.missing++
			s.part = append(s.part, "")
			s.under(cells)
			continue
		}
		if bad == nil {
			bad = s.ragged(cells)
		}
		if bad != nil {
			s.missing++
			s.part = append(s.part, "")
			s.batch = append(s.batch, *bad)
			continue
		}
		b.at[b.n] = s.rec.at()
		for i, c := range s.cols {
			k := b.n*len(s.cols) + i
			b.texts[k], b.places[k] = "", place{b.at[b.n].line, 0}
			if c.at < len(cells) {
				b.texts[k] = cells[c.at]
				b.places[k].line, b.places[k].column = s.rec.cell(c.at)
			}
		}
		b.n++
	}
	return nil
}

// ragged says what is wrong with the shape of a record, nil where nothing is.
func (s *sheet) ragged(cells []string) *void.Problem {
	p := void.Problem{Line: int(s.rec.at().line)}
	if s.rec.hasNUL() {
		p.What, p.Want = "the row holds a NUL byte", "text"
		return &p
	}
	for i, c := range cells {
		if len(c) > maxCell {
			line, column := s.rec.cell(i)
			p.Line, p.Column = int(line), int(column)
			p.What, p.Want = "the cell is longer than 64 KiB", "a word or a number"
			return &p
		}
	}
	// Spreadsheets leave blank cells at the end of a row away, so a short row is good while it has
	// what no row can do without.
	if len(cells) < s.must {
		p.What = fmt.Sprintf("%s where the header has %d", count(len(cells), "cell"), s.headed)
		return &p
	}
	for i := s.headed; i < len(cells); i++ {
		if strings.TrimSpace(cells[i]) == "" {
			continue
		}
		line, column := s.rec.cell(i)
		last := len(cells)
		for strings.TrimSpace(cells[last-1]) == "" {
			last--
		}
		p.Line, p.Column = int(line), int(column)
		p.What = fmt.Sprintf("%s where the header has %d", count(last, "cell"), s.headed)
		if s.rec.sep == ',' {
			p.Hint = "a comma inside a cell needs quotes around the cell"
		}
		return &p
	}
	s.unnamed = slices.DeleteFunc(s.unnamed, func(i int) bool {
		if i >= len(cells) || strings.TrimSpace(cells[i]) == "" {
			return false
		}
		line, column := s.rec.cell(i)
		s.warned.add(void.Problem{Line: int(line), Column: int(column), What: fmt.Sprintf("cell %d is under no heading", i+1), Hint: "this column is not read"})
		return true
	})
	return nil
}

func count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// given hands rows that are already split to gocsv.
type given [][]string

func (g given) Read() ([]string, error)      { return nil, io.EOF }
func (g given) ReadAll() ([][]string, error) { return g, nil }

// rows decodes the rows of the sheet and calls take for each that is good.
func rows[T any](ctx context.Context, s *sheet, take func(*T)) error {
	b := &batch{
		texts: make([]string, batchSize*len(s.cols)), places: make([]place, batchSize*len(s.cols)),
		at: make([]mark, batchSize),
	}
	out := make([]*T, batchSize)
	for {
		if err := ctx.Err(); err != nil {
			return err
		}
		end := s.gather(b)
		if b.n > 0 {
			if err := decode(s, b, out, take); err != nil {
				return err
			}
		}
		slices.SortStableFunc(s.batch, byPlace)
		for _, p := range s.batch {
			s.told.add(p)
		}
		s.batch = s.batch[:0]
		if s.met != nil {
			s.met(s.rows)
		}
		if end == io.EOF {
			s.whole = true
			return nil
		} else if end != nil {
			return end
		}
	}
}

// general is rows for who takes several rows at a time: they come one by one.
func general[T any](ctx context.Context, s *sheet, take func([]T)) error {
	var one [1]T
	return rows(ctx, s, func(row *T) {
		one[0] = *row
		take(one[:])
	})
}

func byPlace(a, b void.Problem) int {
	return cmp.Or(cmp.Compare(a.Line, b.Line), cmp.Compare(a.Column, b.Column))
}

// decode turns a batch into rows. gocsv takes it in one call, which runs in this goroutine and uses
// none of gocsv's process-wide settings; columns that are blank in the whole batch are left out, for a
// blank cell is the zero value.
func decode[T any](s *sheet, b *batch, out []*T, take func(*T)) error {
	width := len(s.cols)
	used := b.used[:0]
	for i := range s.cols {
		for j := range b.n {
			if b.texts[j*width+i] != "" {
				used = append(used, i)
				break
			}
		}
	}
	all, split := slices.Grow(b.cells[:0], (b.n+1)*len(used)), b.split[:0]
	for _, i := range used {
		all = append(all, s.cols[i].name)
	}
	split = append(split, all)
	for j := range b.n {
		from := len(all)
		for _, i := range used {
			text, doubtful := s.text(s.cols[i], b.texts[j*width+i])
			if doubtful {
				s.doubtful(s.cols[i], text, b.places[j*width+i])
			}
			all = append(all, text)
		}
		split = append(split, all[from:])
	}
	b.cells, b.split, b.used = all, split, used
	if err := gocsv.UnmarshalCSV(split, &out); err != nil {
		return fmt.Errorf("%s: %w", s.name, err)
	}
	for j := range b.n {
		row := reflect.ValueOf(out[j]).Elem()
		bad := s.broken
		for i, c := range s.cols {
			k := j*width + i
			p := void.Problem{Line: int(b.places[k].line), Column: int(b.places[k].column), Cell: c.name}
			written := row.Field(c.index)
			if f := written.Field(c.fault); !f.IsNil() {
				fault := f.Interface().(*cell.Fault)
				p.What, p.Want, p.Hint = fault.What, fault.Want, fault.Hint
			} else if c.key && written.Field(c.text).Len() == 0 {
				p.What = "blank"
			} else {
				continue
			}
			s.batch = append(s.batch, p)
			bad = true
		}
		if bad {
			s.missing++
			name := ""
			if w, ok := row.Field(1).Interface().(cell.Word); ok && w.Fault == nil {
				name = w.Text
			}
			if s.kind == &buildups || s.kind == &hangers {
				s.part = append(s.part, name)
			}
			continue
		}
		*row.Field(0).Addr().Interface().(*void.At) = void.At{File: s.index, Line: b.at[j].line, Offset: b.at[j].offset}
		take(out[j])
	}
	return nil
}

// text writes a cell as the cell types read it: with a decimal point, and with its unit where that is
// not the millimetre. It reports whether the cell is doubtful: a point in it may be a decimal one, or part thousands.
func (s *sheet) text(c col, text string) (_ string, doubtful bool) {
	if text == "" || !c.numeric {
		return text, false
	}
	if s.rec.sep != ',' {
		point := cell.DecimalComma
		if c.metres {
			point = cell.DecimalCommaMetres
		}
		written := text
		if text = point(text); text != written {
			s.commas = true
		} else {
			thousands, decimal := cell.Points(text)
			s.points = s.points || decimal
			doubtful = thousands && c.long && !c.metres
		}
	}
	if c.metres {
		text = cell.Metres(text)
	}
	return text, doubtful
}

// doubtful notes a cell of which text said that it is.
func (s *sheet) doubtful(c col, text string, at place) {
	if s.doubts++; s.doubts == 1 {
		s.doubt = void.Problem{Line: int(at.line), Column: int(at.column), Cell: c.name, What: quote(text)}
	}
}

// end says what can only be told when the whole file is read.
func (s *sheet) end() {
	if s.in == nil {
		return
	}
	if at := s.in.foreign; at.line > 0 {
		s.warned.add(void.Problem{Line: int(at.line), What: "not UTF-8: read as Windows-1252", Hint: "save it as CSV UTF-8 to be sure of letters with accents"})
	}
	if s.whole && s.rows == 0 && !s.lost {
		p := void.Problem{Line: int(s.headline), What: "a header and no rows"}
		if s.kind == &bays {
			p.Want = "a row for each bay"
			s.told.add(p)
		} else {
			s.warned.add(p)
		}
	}
	slices.SortStableFunc(s.warned.list, byPlace)
	if s.doubts > 0 && (s.commas || !s.points && s.rec.sep == ';') {
		if s.commas {
			s.doubt.What += " may have its point for a decimal one or for thousands"
			s.doubt.Want = "numbers written one way: the file has decimal commas elsewhere"
			s.doubt.Hint = "1200 for twelve hundred, 1,2 for one and two tenths"
		} else {
			s.doubt.What += " in a file with semicolons is probably a number of thousands"
			s.doubt.Want = "a number without a point between its thousands"
			s.doubt.Hint = "1000 for a thousand, 1 or 1,0 for one"
		}
		if s.doubts > 1 {
			s.doubt.Hint += fmt.Sprintf("; so in %d cells", s.doubts)
		}
		s.told.add(s.doubt)
		slices.SortStableFunc(s.told.list, byPlace)
	}
}

// quote returns a heading in quotation marks, cut where it is long.
func quote(text string) string {
	n := 0
	for i := range text {
		if n++; n > 40 {
			return strconv.Quote(text[:i] + "…")
		}
	}
	return strconv.Quote(text)
}
