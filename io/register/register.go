// Package register reads a project's register of findings, register.csv, and writes it back so that nothing a
// person wrote is lost: the file keeps its separator, its encoding, its byte order mark, its line ends,
// its columns and rows in their order, and every cell that did not change stands as it stood, to the byte.
//
// A register that is open in a spreadsheet, or that somebody changed since it was read, is not written.
package register

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"voidline/clash/register"
	"voidline/io/csvcell"
	"voidline/io/whole"
	"voidline/void"
)

// Name is what the register is called in a project folder.
const Name = "register.csv"

// The bounds of what is read: a register of ten thousand findings is far inside them.
const (
	maxFile    = 64 << 20
	maxColumns = 1000
)

// Errors of Write. They come wrapped in what to do.
var (
	ErrChanged = whole.ErrChanged
	ErrOpen    = whole.ErrOpen
	ErrBusy    = whole.ErrBusy
	ErrPeople  = errors.New("a cell that a person wrote would change")
	ErrLetter  = errors.New("the file's encoding has no such letter")
	ErrOwn     = errors.New("the next run could not read it")
	ErrLocked  = whole.ErrLocked
)

// File is a register as read.
type File struct {
	name     string // "" where it is not on a disk
	there    bool
	seen     [sha256.Size]byte
	encoding encoding
	lead     string // a line sep=; before the header
	sep      rune
	point    bool // numbers are written with a decimal point
	newline  string
	header   int // index of the header in records; -1 where there is none
	records  []record
	rows     []int                     // records that hold rows
	at       [register.ColumnCount]int // cell of each column, -1 where there is none
	width    int                       // cells of the longest record
	read     []register.Row
}

// Open reads the register of that name. A file that is not there is a register without rows. What is wrong
// with the file is the error, as void.Problems with file:line:column. With any error there is no File.
func Open(name string) (*File, error) {
	info, err := os.Stat(name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		f := fresh()
		f.name = name
		return f, nil
	case err != nil:
		return nil, fmt.Errorf("%s: %w", name, bare(err))
	case info.IsDir():
		return nil, fmt.Errorf("%s is a folder, not a register", name)
	case !info.Mode().IsRegular():
		return nil, fmt.Errorf("%s is no file", name)
	case info.Size() > maxFile:
		return nil, fmt.Errorf("%s is larger than 64 MiB: no register", name)
	}
	data, err := readAll(name)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, bare(err))
	}
	f, problems := parse(filepath.Base(name), data)
	if len(problems) > 0 {
		return nil, void.Problems(problems)
	}
	f.name, f.there = name, true
	return f, nil
}

func readAll(name string) ([]byte, error) {
	in, err := os.Open(name)
	if err != nil {
		return nil, err
	}
	defer in.Close()
	return io.ReadAll(io.LimitReader(in, maxFile+1))
}

func bare(err error) error {
	var pe *fs.PathError
	if errors.As(err, &pe) {
		return pe.Err
	}
	return err
}

// fresh is a register that is not there yet.
func fresh() *File {
	f := &File{encoding: utf8Plain, sep: ',', point: true, newline: "\r\n", header: -1}
	for c := range f.at {
		f.at[c] = -1
	}
	return f
}

// Begin says what stands between the cells of a register that is not there yet, a comma unless it is said; where that is
// none, numbers have decimal commas. One that is there keeps its own.
func (f *File) Begin(sep rune) {
	if !f.there {
		f.sep, f.point = sep, sep == ','
	}
}

func columnOf(heading string) (register.Column, bool) { return register.ColumnOf(heading) }

// parse reads a register from its bytes; name is what problems call it. See Open.
func parse(name string, data []byte) (*File, []void.Problem) {
	f := fresh()
	f.seen = sha256.Sum256(data)
	var problems []void.Problem
	problem := func(p void.Problem) {
		p.File = name
		problems = append(problems, p)
	}
	enc, text, err := decode(data)
	if err != nil {
		problem(void.Problem{What: err.Error(), Want: "a CSV file"})
		return f, problems
	}
	f.encoding = enc
	sep, size, ok := declared(text)
	if ok {
		f.lead = text[:size]
	} else {
		body := strings.TrimLeft(text, "\r\n")
		sep = guess(body)
	}
	f.sep = sep
	records, bad := split(text[len(f.lead):], sep)
	skip := countLines(f.lead)
	for i := range records {
		records[i].line += skip
	}
	if bad != nil {
		bad.Line += skip
		problem(*bad)
		return f, problems
	}
	f.records = records
	for i := range records {
		r := &records[i]
		if !r.blank() {
			f.width = max(f.width, len(r.fields))
			if f.header < 0 {
				f.header = i
			} else {
				f.rows = append(f.rows, i)
			}
		}
	}
	if f.header < 0 {
		return f, problems
	}
	head := &records[f.header]
	f.newline = head.end
	if f.newline == "" {
		f.newline = "\r\n"
	}
	for i, h := range head.fields {
		c, ok := columnOf(h.text)
		if !ok {
			continue
		}
		if f.at[c] >= 0 {
			problem(void.Problem{Line: head.line, Column: h.column, What: fmt.Sprintf("column %q is there twice", h.text), Want: "each column once"})
			continue
		}
		f.at[c] = i
	}
	if f.at[register.ColFinding] < 0 {
		problem(void.Problem{Line: head.line, What: `no column for "finding"`, Want: "the id of a finding in each row", Hint: "is the header there, and is this the register?"})
	}
	f.point = sep == ','
	for _, i := range f.rows {
		r := register.Row{Line: records[i].line}
		for c, at := range f.at {
			if at >= 0 && at < len(records[i].fields) {
				t := records[i].fields[at].text
				if !register.Column(c).People() {
					t = csvcell.Undefuse(t)
				}
				r.Cells[c] = t
			}
		}
		for _, c := range []register.Column{register.ColShort, register.ColAgreed} {
			if strings.Contains(r.Cells[c], ".") {
				f.point = true
			}
		}
		f.read = append(f.read, r)
	}
	return f, problems
}

// countLines returns how many lines a text that ends with a line end has.
func countLines(text string) int {
	n := 0
	for text != "" {
		if e := lineEnd(text); e != "" {
			n++
			text = text[len(e):]
		} else {
			text = text[1:]
		}
	}
	return n
}

// There reports whether the file was there when it was read.
func (f *File) There() bool { return f.there }

// Rows returns the rows of the register in the order of the file, blank lines left out. Text in the program's
// columns is as the program gave it: without the apostrophe that keeps a spreadsheet from running it.
func (f *File) Rows() []register.Row { return slices.Clone(f.read) }

// bytes returns the file with these rows: first those of Rows, in their order, then new ones. The cells that
// differ are written, no other byte changes, save that columns which the header lacks are put behind the
// last one. It refuses, with ErrPeople, to change a cell that a person wrote, and with ErrLetter
// what the file's encoding cannot say.
func (f *File) bytes(rows []register.Row) ([]byte, error) {
	if len(rows) < len(f.read) {
		return nil, fmt.Errorf("%w: %d rows where the file has %d", ErrPeople, len(rows), len(f.read))
	}
	for i := range f.read {
		for c := range f.at {
			col := register.Column(c)
			if was := f.read[i].Cells[c]; col.People() && was != rows[i].Cells[c] && strings.TrimSpace(was) != "" {
				return nil, fmt.Errorf("%w: line %d, %s", ErrPeople, f.read[i].Line, col.Heading())
			}
		}
	}
	if slices.Equal(rows, f.read) && (f.header >= 0 || len(rows) == 0 && f.there) {
		return f.encoding.encode(f.text(f.records))
	}
	out := slices.Clone(f.records)
	at := f.at
	width := f.width
	end := func() {
		if n := len(out); n > 0 && out[n-1].end == "" {
			out[n-1].end = f.newline
		}
	}
	if f.header < 0 {
		end()
		out = append(out, record{end: f.newline})
	}
	head := f.header
	if head < 0 {
		head = len(out) - 1
	}
	h := out[head]
	grown := false
	for c := range at {
		if at[c] < 0 {
			for len(h.fields) < width {
				h.fields = append(h.fields, field{})
			}
			at[c] = len(h.fields)
			name := register.Column(c).Heading()
			h.fields = append(h.fields, field{raw: csvcell.Quote(name, f.sep), text: name})
			width = max(width, len(h.fields))
			grown = true
		}
	}
	if grown {
		h.raw = f.join(h.fields)
		out[head] = h
	}
	for i := range rows {
		if i < len(f.read) {
			k := f.rows[i]
			r := out[k]
			r.fields = slices.Clone(r.fields)
			changed := false
			for c, is := range rows[i].Cells {
				if is == f.read[i].Cells[c] {
					continue
				}
				for len(r.fields) <= at[c] {
					r.fields = append(r.fields, field{})
				}
				r.fields[at[c]].raw = csvcell.Quote(f.said(register.Column(c), is), f.sep)
				changed = true
			}
			if changed {
				r.raw = f.join(r.fields)
				out[k] = r
			}
			continue
		}
		end()
		cells := make([]field, len(h.fields))
		for c, is := range rows[i].Cells {
			cells[at[c]].raw = csvcell.Quote(f.said(register.Column(c), is), f.sep)
		}
		out = append(out, record{raw: f.join(cells), end: f.newline})
	}
	text := f.text(out)
	enc := f.encoding
	if f.header < 0 && !f.there && !isASCII(text) {
		enc = utf8BOM // some spreadsheets take a file for UTF-8 only then
	}
	return enc.encode(text)
}

// said is the text of a cell as it is written in this file.
func (f *File) said(c register.Column, text string) string {
	if !f.point && (c == register.ColShort || c == register.ColAgreed) {
		text = strings.Replace(text, ".", ",", 1)
	}
	return csvcell.Defuse(text)
}

func (f *File) join(cells []field) string {
	var b strings.Builder
	for i, c := range cells {
		if i > 0 {
			b.WriteRune(f.sep)
		}
		b.WriteString(c.raw)
	}
	return b.String()
}

func (f *File) text(records []record) string {
	var b strings.Builder
	b.WriteString(f.lead)
	for _, r := range records {
		b.WriteString(r.raw)
		b.WriteString(r.end)
	}
	return b.String()
}

func isASCII(s string) bool {
	return strings.IndexFunc(s, func(r rune) bool { return r > 0x7e }) < 0
}

// Write writes these rows (see Bytes), whole or not at all, and reports whether there was anything to write. It
// refuses, and the file stays as it is, where the next run could not read what would be written, where the file is
// read-only, where a spreadsheet has the register open, where somebody changed it since Open, up to the moment in which it is
// replaced, or while another voidline writes it. After it, the File is not to be used again.
func (f *File) Write(rows []register.Row) (bool, error) {
	data, err := f.bytes(rows)
	if err != nil {
		return false, fmt.Errorf("%s: nothing was written: %w", f.name, err)
	}
	if f.there && sha256.Sum256(data) == f.seen {
		return false, nil
	}
	if len(data) > maxFile {
		return false, fmt.Errorf("%s: nothing was written: %w: it would be %d MiB, at most %d are read", f.name, ErrOwn, len(data)>>20, maxFile>>20)
	}
	if _, problems := parse(filepath.Base(f.name), data); len(problems) > 0 {
		return false, fmt.Errorf("%s: nothing was written: %w: %s", f.name, ErrOwn, problems[0])
	}
	unlock, err := whole.Lock(filepath.Dir(f.name))
	if err != nil {
		return false, fmt.Errorf("%s: nothing was written: %w", f.name, err)
	}
	defer unlock()
	if err := f.unchanged(); err != nil {
		return false, err
	}
	err = replace(f.name, data, f.unchanged)
	return err == nil, err
}

// replace puts a register in the place of the old one.
var replace = whole.Replace

// unchanged returns why a register may not be replaced: somebody has it open, has changed it since it was read, or wants it to
// stay as it is.
func (f *File) unchanged() error {
	no := func(err error, more string) error {
		return fmt.Errorf("%s: nothing was written: %w%s", f.name, err, more)
	}
	if l := whole.OpenIn(f.name); l != "" {
		return no(ErrOpen, ": close it there and run again (if nobody has it open, take "+l+" away)")
	}
	now, err := readAll(f.name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		if f.there {
			return no(ErrChanged, ": it is gone; run again")
		}
	case err != nil:
		return no(bare(err), "")
	case !f.there || sha256.Sum256(now) != f.seen:
		return no(ErrChanged, "; run again")
	case !whole.Writable(f.name):
		return no(ErrLocked, ": make it writable, or leave --register out")
	}
	return nil
}
