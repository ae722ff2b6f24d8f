// Package workbook reads a spreadsheet workbook (Office Open XML, ECMA-376 and ISO/IEC 29500, .xlsx) as a folder of tables: each sheet is one,
// called by the sheet's name. It knows what a workbook holds and decides nothing about what the tables mean.
//
// What comes in is the file; what goes out is an fs.FS in which each sheet is a CSV file whose lines are the sheet's rows, one line a row, so that a
// line's number is the row's. Values are as they are stored, never as a format shows them, but for four things that a number alone cannot say:
// a date, a time of day, a percentage, and leading zeros that the format asks for. A formula counts by the value that was saved with it.
//
// A kept library would have to read a sheet twice, and takes some hundred MB, to tell a date from a number; so the reader is our own (its
// cost and the library's are in BenchmarkRead). It is bounded: see the limits below.
package workbook

import (
	"archive/zip"
	"bytes"
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"os"
	"path"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"voidline/io/whole"
	"voidline/void"
)

// Limits of what is read.
const (
	mostPart   = 1 << 30 // bytes that one part of the workbook unfolds to
	mostRatio  = 300     // times its size in the file
	mostText   = 1 << 20 // bytes of one text or tag
	mostRows   = 1 << 20 // rows of a sheet, as the format has it
	mostCols   = 1 << 14 // columns of a sheet, as the format has it
	mostSheets = 1000
)

// Book is a workbook that was read. It is an fs.FS: NAME.csv for each sheet that is a table.
type Book struct {
	Name string // of the file
	// Problems keep a sheet from being read as it stands; Warnings are told besides: hidden sheets, rows and columns, merged cells, sheets
	// that are no tables. Both name a sheet's table by File and its row by Line.
	Problems, Warnings []void.Problem
	Lost               int // rows that are left out for their problems

	whole.Folder
	at [][]int // of each file: where each line begins
}

// Is reports whether a path names a workbook that this package reads.
func Is(name string) bool { return strings.EqualFold(path.Ext(name), ".xlsx") }

// Read reads a workbook. The error says that nothing of it can be read, and why.
func Read(ctx context.Context, name string) (*Book, error) {
	f, err := os.Open(name)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, bare(err))
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, bare(err))
	}
	b, err := read(ctx, f, info.Size())
	if ctx.Err() != nil {
		return nil, ctx.Err()
	} else if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	b.Name = info.Name()
	return b, nil
}

func bare(err error) error {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err
	}
	return err
}

// zipped is a workbook that is being read.
type zipped struct {
	ctx    context.Context
	parts  map[string]*zip.File
	shared []string
	styles []format // by the s of a cell
	from04 bool     // dates count from 1904
}

func read(ctx context.Context, in io.ReaderAt, size int64) (*Book, error) {
	z, err := zip.NewReader(in, size)
	if err != nil {
		return nil, errors.New("not a workbook, or damaged: it cannot be unzipped")
	}
	w := &zipped{ctx: ctx, parts: map[string]*zip.File{}}
	for _, f := range z.File {
		w.parts[strings.ToLower(strings.TrimPrefix(path.Clean("/"+f.Name), "/"))] = f
	}
	main := w.target("_rels/.rels", "", "/officeDocument")["*"]
	if main == "" {
		main = "xl/workbook.xml"
	}
	if w.parts[strings.ToLower(main)] == nil {
		return nil, errors.New("not a workbook: there is no list of sheets in it")
	}
	type sheet struct{ name, id, state string }
	var sheets []sheet
	if err := w.scan(main, func(t *token) error {
		switch {
		case t.opens("sheet"):
			if len(sheets) == mostSheets {
				return fmt.Errorf("more than %d sheets", mostSheets)
			}
			sheets = append(sheets, sheet{t.attr("name"), t.attr("id"), t.attr("state")})
		case t.opens("workbookPr"):
			w.from04 = yes(t.attr("date1904"))
		}
		return nil
	}); err != nil {
		return nil, err
	}
	if len(sheets) == 0 {
		return nil, errors.New("there is no sheet in it")
	}
	dir := path.Dir(main)
	rels := dir + "/_rels/" + path.Base(main) + ".rels"
	for _, name := range w.target(rels, dir, "/sharedStrings") {
		if err := w.texts(name); err != nil {
			return nil, err
		}
	}
	for _, name := range w.target(rels, dir, "/styles") {
		if err := w.formats(name); err != nil {
			return nil, err
		}
	}
	at := w.target(rels, dir, "/worksheet")
	b := &Book{}
	for _, s := range sheets {
		part, ok := at[s.id]
		if !ok {
			continue // a chart on a sheet of its own
		}
		name := strings.TrimSpace(s.name) + ".csv"
		if strings.HasPrefix(name, "#") {
			continue // for people alone
		}
		r := reading{w: w, b: b, name: name}
		if s.state == "hidden" || s.state == "veryHidden" {
			r.warn(0, "the sheet is hidden", "it is read all the same: show it, or take it out")
		}
		if err := w.scan(part, r.token); err != nil {
			return nil, err
		}
		r.end()
	}
	return b, nil
}

// target returns where the relations of a kind lead to, by their id; one of them under "*".
func (w *zipped) target(rels, dir, kind string) map[string]string {
	out := map[string]string{}
	if w.parts[strings.ToLower(rels)] == nil {
		return out
	}
	_ = w.scan(rels, func(t *token) error { // a damaged list is told by what is missing then
		if t.opens("Relationship") && strings.HasSuffix(t.attr("Type"), kind) && t.attr("TargetMode") != "External" {
			to := t.attr("Target")
			if !strings.HasPrefix(to, "/") {
				to = path.Join(dir, to)
			}
			to = strings.TrimPrefix(path.Clean("/"+to), "/")
			out[t.attr("Id")] = to
			if out["*"] == "" {
				out["*"] = to
			}
		}
		return nil
	})
	if kind != "/officeDocument" {
		delete(out, "*")
	}
	return out
}

// scan calls each with the tags of a part, one after the other.
func (w *zipped) scan(name string, each func(*token) error) error {
	f := w.parts[strings.ToLower(name)]
	if f == nil {
		return fmt.Errorf("damaged: %s is missing in it", name)
	}
	r, err := f.Open()
	if err != nil {
		return fmt.Errorf("damaged: %s cannot be unzipped", name)
	}
	defer r.Close()
	// What an entry says of its size may be a lie: what comes out is counted.
	most := min(int64(mostPart), max(int64(f.CompressedSize64)*mostRatio, 1<<20))
	t := newToken(&bounded{w.ctx, r, most})
	for {
		switch err := t.next(); {
		case err == io.EOF:
			return nil
		case w.ctx.Err() != nil:
			return w.ctx.Err()
		case err != nil:
			return fmt.Errorf("damaged: %s: %w", name, err)
		}
		if err := each(t); err != nil {
			return err
		}
	}
}

var errTooLarge = fmt.Errorf("it unfolds to more than %d times its size, or more than %d MB", mostRatio, mostPart>>20)

// bounded reads so many bytes and no more, and stops when ctx is done.
type bounded struct {
	ctx  context.Context
	in   io.Reader
	left int64
}

func (b *bounded) Read(p []byte) (int, error) {
	if err := b.ctx.Err(); err != nil {
		return 0, err
	}
	if b.left <= 0 {
		return 0, errTooLarge
	}
	n, err := b.in.Read(p[:min(int64(len(p)), b.left)])
	b.left -= int64(n)
	return n, err
}

// texts reads the texts that cells share.
func (w *zipped) texts(name string) error {
	var text strings.Builder
	spoken := false // how a text is said aloud is no part of it
	return w.scan(name, func(t *token) error {
		switch {
		case t.opens("rPh"), t.closes("rPh"):
			spoken = t.opens("rPh") && !t.alone
		case t.closes("t") && !spoken:
			text.WriteString(unescaped(t.text))
		case t.closes("si"), t.opens("si") && t.alone:
			w.shared = append(w.shared, text.String())
			text.Reset()
		}
		return nil
	})
}

// format is what a number's format says that its value does not.
type format struct {
	date, clock, percent bool
	zeros                int // digits that are shown at least
}

// formats reads the formats of cells.
func (w *zipped) formats(name string) error {
	codes := map[string]string{}
	in := false
	return w.scan(name, func(t *token) error {
		switch {
		case t.opens("numFmt"):
			codes[t.attr("numFmtId")] = t.attr("formatCode")
		case t.opens("cellXfs"), t.closes("cellXfs"):
			in = t.opens("cellXfs") && !t.alone
		case in && t.opens("xf"):
			id := t.attr("numFmtId")
			code, own := codes[id]
			if !own {
				code = builtIn[id]
			}
			w.styles = append(w.styles, formatOf(code))
		}
		return nil
	})
}

// builtIn are the formats that have a number alone (ECMA-376-1, 18.8.30) and say more than the value does. Those of 27 to 36 and 50 to 58
// are dates in some languages.
var builtIn = func() map[string]string {
	m := map[string]string{"9": "0%", "10": "0.00%", "22": "m/d/yy h:mm"}
	for _, k := range []int{14, 15, 16, 17, 27, 28, 29, 30, 31, 36, 50, 51, 52, 53, 54, 55, 56, 57, 58} {
		m[strconv.Itoa(k)] = "m/d/yy"
	}
	for _, k := range []int{18, 19, 20, 21, 32, 33, 34, 35, 45, 46, 47} {
		m[strconv.Itoa(k)] = "h:mm"
	}
	return m
}()

// formatOf says what a format code says of a number, by its first section.
func formatOf(code string) format {
	var f format
	var plain strings.Builder
	for i := 0; i < len(code); i++ {
		switch c := code[i]; c {
		case ';':
			i = len(code)
		case '"':
			if end := strings.IndexByte(code[i+1:], '"'); end >= 0 {
				i += end + 1
			} else {
				i = len(code)
			}
		case '\\', '_', '*':
			i++
		case '[':
			end := strings.IndexByte(code[i:], ']')
			if end < 0 {
				i = len(code)
				break
			}
			if in := strings.ToLower(code[i+1 : i+end]); strings.Trim(in, "h") == "" || strings.Trim(in, "m") == "" || strings.Trim(in, "s") == "" {
				f.clock = true
			}
			i += end
		default:
			plain.WriteByte(c)
		}
	}
	p := strings.ToLower(plain.String())
	if p == "general" {
		return f
	}
	f.percent = strings.Contains(p, "%")
	f.clock = f.clock || strings.ContainsAny(p, "hs")
	f.date = strings.ContainsAny(p, "yd") || strings.Contains(p, "m") && !f.clock
	if p != "" && strings.Trim(p, "0") == "" {
		f.zeros = len(p)
	}
	return f
}

// number returns the text of a number that is stored.
func (w *zipped) number(stored string, f format) string {
	v, err := strconv.ParseFloat(stored, 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
		return stored
	}
	switch {
	case f.date:
		return w.day(v, f.clock)
	case f.clock:
		return clock(v)
	case f.percent:
		return decimal(v*100) + "%"
	}
	if text := decimal(v); f.zeros > len(text) && v >= 0 && v == math.Trunc(v) {
		return strings.Repeat("0", f.zeros-len(text)) + text
	} else {
		return text
	}
}

// decimal returns a number with the 15 digits that a spreadsheet keeps, without an exponent.
func decimal(v float64) string {
	v, _ = strconv.ParseFloat(strconv.FormatFloat(v, 'g', 15, 64), 64)
	return strconv.FormatFloat(v, 'f', -1, 64)
}

// clock returns a time of day, a part of a day.
func clock(v float64) string {
	s := int64(math.Round(v * 86400))
	if s < 0 {
		return decimal(v)
	}
	text := fmt.Sprintf("%02d:%02d", s/3600, s/60%60)
	if s%60 != 0 {
		text += fmt.Sprintf(":%02d", s%60)
	}
	return text
}

// day returns a date, days since the workbook's first, with the time of day where the format has one.
func (w *zipped) day(v float64, timed bool) string {
	if timed {
		v = math.Round(v*86400) / 86400 // half a second before midnight is the next day
	}
	whole := math.Floor(v)
	if whole < 0 || whole > 2958465 { // the last day of 9999
		return decimal(v)
	}
	from := time.Date(1899, 12, 30, 0, 0, 0, 0, time.UTC)
	switch {
	case w.from04:
		from = time.Date(1904, 1, 1, 0, 0, 0, 0, time.UTC)
	case whole < 60: // the 29th of February 1900, which there was not, is counted
		from = from.AddDate(0, 0, 1)
	}
	text := from.AddDate(0, 0, int(whole)).Format("2006-01-02")
	if timed {
		text += " " + (clock(v-whole) + ":00")[:8]
	}
	return text
}

// reading is a sheet that is being read.
type reading struct {
	w    *zipped
	b    *Book
	name string

	out      bytes.Buffer
	csv      *csv.Writer
	at       []int // where lines begin
	row, col int   // of the cell at hand, from 1
	cells    []string
	headed   bool
	bad      bool // the row at hand has a cell that cannot be read

	kind, value, inline string // of the cell at hand: its t, its v and the text in it
	style               int
	formula, valued     bool
	spoken              bool

	unseen bool  // the row at hand
	hidden []int // rows with something in them
	told   int   // problems of the sheet
}

func (r *reading) warn(row int, what, hint string) {
	r.b.Warnings = append(r.b.Warnings, void.Problem{File: r.name, Line: row, What: what, Hint: hint})
}

// token takes the next tag of the sheet.
func (r *reading) token(t *token) error {
	switch {
	case t.opens("row"):
		n := r.row + 1
		if s := t.attr("r"); s != "" {
			n, _ = strconv.Atoi(s)
		}
		if n <= r.row || n > mostRows {
			return fmt.Errorf("damaged: sheet %s: row %q after row %d", strings.TrimSuffix(r.name, ".csv"), t.attr("r"), r.row)
		}
		r.row, r.col, r.cells, r.bad = n, 0, r.cells[:0], false
		r.unseen = yes(t.attr("hidden"))
	case t.closes("row"):
		r.line()
	case t.opens("c"):
		r.col++
		if s := t.attr("r"); s != "" {
			if r.col = columnOf(s); r.col < 1 || r.col > mostCols {
				return fmt.Errorf("damaged: sheet %s: a cell %q", strings.TrimSuffix(r.name, ".csv"), s)
			}
		}
		r.kind, r.value, r.inline, r.formula, r.valued = t.attr("t"), "", "", false, false
		r.style, _ = strconv.Atoi(t.attr("s"))
		if t.alone {
			r.cell()
		}
	case t.opens("f"):
		r.formula = true
	case t.closes("v"):
		r.value, r.valued = unescapedXML(t.text), true
	case t.opens("rPh"), t.closes("rPh"):
		r.spoken = t.opens("rPh") && !t.alone
	case t.closes("t") && !r.spoken:
		r.inline += unescaped(t.text)
	case t.closes("c"):
		r.cell()
	case t.opens("mergeCell"):
		if ref := t.attr("ref"); ref != "" {
			first, _, _ := strings.Cut(ref, ":")
			r.warn(rowOf(first), ref+" is merged", "its text counts for "+first+" alone: the other cells are blank")
		}
	case t.opens("col") && yes(t.attr("hidden")):
		from, _ := strconv.Atoi(t.attr("min"))
		to, _ := strconv.Atoi(t.attr("max"))
		if from >= 1 && from <= to && to <= mostCols {
			r.warn(0, "hidden: "+span("column", "columns", columnLetters(from), columnLetters(to)), "read all the same")
		}
	}
	return nil
}

// cell takes the cell at hand into its row.
func (r *reading) cell() {
	text := r.value
	switch r.kind {
	case "s":
		k, err := strconv.Atoi(strings.TrimSpace(r.value))
		if r.valued && (err != nil || k < 0 || k >= len(r.w.shared)) {
			r.problem("the text of the cell is missing in the workbook", "")
			return
		}
		if text = ""; r.valued {
			text = r.w.shared[k]
		}
	case "inlineStr":
		text = r.inline
	case "str", "e":
		text = unescapedText(text)
	case "b":
		text = map[bool]string{true: "yes", false: "no"}[yes(strings.TrimSpace(r.value))]
	default:
		var f format
		if r.style >= 0 && r.style < len(r.w.styles) {
			f = r.w.styles[r.style]
		}
		text = strings.TrimSpace(text)
		if text != "" && r.kind != "d" {
			text = r.w.number(text, f)
		}
	}
	if r.formula && (!r.valued || text == "" && r.kind != "str") {
		r.problem("a formula without a saved value", "open the workbook in a spreadsheet, save it, and try again")
		return
	}
	if text == "" {
		return
	}
	if !utf8.ValidString(text) {
		r.problem("the text of the cell is not UTF-8", "")
		return
	}
	for len(r.cells) < r.col {
		r.cells = append(r.cells, "")
	}
	// One line a row: a line break in a cell is a blank.
	r.cells[r.col-1] = strings.Join(strings.FieldsFunc(text, func(c rune) bool { return c == '\n' || c == '\r' }), " ")
}

// problem tells what is wrong with the cell at hand; its row is left out.
func (r *reading) problem(what, hint string) {
	r.bad = true
	if r.told++; r.told <= void.MostOfFile {
		r.b.Problems = append(r.b.Problems, void.Problem{File: r.name, Line: r.row, Place: r.place(r.col, r.row), What: what, Hint: hint})
	}
}

func (r *reading) place(col, row int) string {
	return fmt.Sprintf("%s!%s%d", strings.TrimSuffix(r.name, ".csv"), columnLetters(col), row)
}

// line writes the row at hand. Rows above the headings of which the first cell begins with # are for people.
func (r *reading) line() {
	first := slices.IndexFunc(r.cells, func(c string) bool { return strings.TrimSpace(c) != "" })
	if r.bad {
		r.b.Lost++
	}
	if first < 0 || r.bad || !r.headed && strings.HasPrefix(strings.TrimSpace(r.cells[first]), "#") {
		return
	}
	r.headed = true
	if r.unseen {
		r.hidden = append(r.hidden, r.row)
	}
	if r.csv == nil {
		r.csv = csv.NewWriter(&r.out)
	}
	for len(r.at) < r.row-1 {
		r.at = append(r.at, r.out.Len())
		r.out.WriteByte('\n')
	}
	r.at = append(r.at, r.out.Len())
	_ = r.csv.Write(r.cells) // to memory: nothing can fail
	r.csv.Flush()
}

// end takes the sheet into the book.
func (r *reading) end() {
	for k := 0; k < len(r.hidden); {
		to := k
		for to+1 < len(r.hidden) && r.hidden[to+1] == r.hidden[to]+1 {
			to++
		}
		r.warn(r.hidden[k], "hidden: "+span("row", "rows", strconv.Itoa(r.hidden[k]), strconv.Itoa(r.hidden[to])), "read all the same")
		k = to + 1
	}
	if !r.headed && r.told == 0 {
		r.warn(0, "an empty sheet", "not read")
		return
	}
	r.b.Folder, r.b.at = append(r.b.Folder, whole.File{Name: r.name, Data: r.out.Bytes()}), append(r.b.at, r.at)
}

func span(one, many, from, to string) string {
	if from == to {
		return one + " " + from
	}
	return many + " " + from + " to " + to
}

func yes(attr string) bool { return attr == "1" || attr == "true" }

// columnOf returns the number of a cell's column, from 1; 0 where it has none.
func columnOf(ref string) int {
	n := 0
	for i := 0; i < len(ref) && i < 4; i++ {
		c := ref[i] &^ 0x20
		if c < 'A' || c > 'Z' {
			break
		}
		n = n*26 + int(c-'A') + 1
	}
	return n
}

// rowOf returns the number of a cell's row; 0 where it has none.
func rowOf(ref string) int {
	n, _ := strconv.Atoi(strings.TrimLeft(ref, "ABCDEFGHIJKLMNOPQRSTUVWXYZ$"))
	return n
}

// columnLetters returns the letters of a column, from 1.
func columnLetters(n int) string {
	var b []byte
	for ; n > 0; n = (n - 1) / 26 {
		b = append(b, byte('A'+(n-1)%26))
	}
	slices.Reverse(b)
	return string(b)
}

// Place returns where in the workbook a byte column of a line of a table is, such as trays!C7; "" for none of the sheets. Line 0 is
// the whole sheet, column 0 the whole row.
func (b *Book) Place(name string, line, column int) string {
	k := slices.IndexFunc(b.Folder, func(f whole.File) bool { return f.Name == name })
	sheet := strings.TrimSuffix(name, ".csv")
	switch {
	case k < 0:
		return ""
	case line < 1:
		return sheet
	case column < 1:
		return fmt.Sprintf("%s row %d", sheet, line)
	}
	at := b.at[k]
	if line > len(at) {
		return fmt.Sprintf("%s row %d", sheet, line)
	}
	text := b.Folder[k].Data[at[line-1]:]
	col, quoted := 1, false
	for _, c := range text[:min(column-1, len(text))] {
		switch {
		case c == '"':
			quoted = !quoted
		case c == ',' && !quoted:
			col++
		}
	}
	return fmt.Sprintf("%s!%s%d", sheet, columnLetters(col), line)
}
