package table

import (
	"bytes"
	"encoding/csv"
	"errors"
	"io"
	"strings"
	"unicode"
	"unicode/utf8"

	"voidline/void"
)

var errLongRecord = errors.New("record of more than one line longer than 64 KiB")

// records splits lines into records with encoding/csv and knows where each cell stands. It goes on
// after a record that cannot be split.
//
// encoding/csv asks its input for a line only when it needs one. So the input hands it one line at
// a time, remembers the lines of the record at hand, and can hand them out again: when a quote
// is opened and never closed, reading goes on with the line after it instead of being swallowed.
type records struct {
	in  *lines
	sep rune
	csv *csv.Reader

	buf   []byte
	lines []lineAt
	first int // lines[first:handed] are the lines of the record at hand, lines[handed:] come again
	fresh bool
	// buf[pos:upto] is what is left of the line being handed out.
	handed, pos, upto int
}

// lineAt is a line in the buffer of records: buf[from:to], its end included.
type lineAt struct {
	mark
	from, to int
}

func newRecords(in *lines) *records {
	r := &records{in: in}
	r.csv = csv.NewReader(r)
	r.csv.FieldsPerRecord = -1
	r.csv.ReuseRecord = true
	r.separate(',')
	return r
}

// separate sets what stands between two cells.
func (r *records) separate(sep rune) {
	r.sep = sep
	r.csv.Comma = sep
	r.csv.TrimLeadingSpace = sep != '\t' // else it would take tabs, which are separators, for blanks
}

// peek returns the next line that is not blank and leaves it to be read.
func (r *records) peek() (string, mark, error) {
	r.begin()
	for {
		if r.handed == len(r.lines) {
			if err := r.pull(); err != nil {
				return "", mark{}, err
			}
		}
		l := r.lines[r.handed]
		if text := r.buf[l.from : l.to-1]; len(bytes.TrimSpace(text)) > 0 {
			return string(text), l.mark, nil
		}
		r.pass()
	}
}

// pass leaves out the line that is next in the buffer, before a record.
func (r *records) pass() {
	r.handed++
	if r.handed == len(r.lines) {
		r.buf, r.lines, r.handed = r.buf[:0], r.lines[:0], 0
	}
	r.first = r.handed
}

// seek passes over lines so that the next record begins at the line of this number, or after it.
func (r *records) seek(line int32) error {
	for r.begin(); ; r.pass() {
		if r.handed == len(r.lines) {
			if err := r.pull(); err != nil {
				return err
			}
		}
		if r.lines[r.handed].line >= line {
			return nil
		}
	}
}

// pull appends the next line of the file to the buffer.
func (r *records) pull() error {
	text, at, err := r.in.next()
	if err != nil {
		return err
	}
	r.push(text, at)
	return nil
}

// push appends a line that was taken from the file to the buffer.
func (r *records) push(text []byte, at mark) {
	from := len(r.buf)
	r.buf = append(append(r.buf, text...), '\n')
	r.lines = append(r.lines, lineAt{at, from, len(r.buf)})
}

// begin forgets the record at hand.
func (r *records) begin() {
	if r.handed == len(r.lines) {
		r.buf, r.lines, r.handed = r.buf[:0], r.lines[:0], 0
	}
	r.first, r.fresh = r.handed, true
	r.pos, r.upto = 0, 0
}

// Read hands encoding/csv the lines of a record, at most one a call.
func (r *records) Read(p []byte) (int, error) {
	for r.pos == r.upto {
		if r.handed == len(r.lines) {
			if err := r.pull(); err != nil {
				return 0, err
			}
		}
		l := r.lines[r.handed]
		if r.handed > r.first && l.to-r.lines[r.first].from > maxCell {
			return 0, errLongRecord // the line stays, to be read again
		}
		if r.fresh && l.to-l.from == 1 {
			r.pass()
			continue
		}
		r.fresh = false
		r.handed++
		r.pos, r.upto = l.from, l.to
	}
	n := copy(p, r.buf[r.pos:r.upto])
	r.pos += n
	return n, nil
}

// record returns the cells of the next record; the slice is good until the next call, the texts
// for ever. A record that cannot be split comes as a problem without a file. Its errors are
// io.EOF and those of lines.next: nothing more can be read after one.
func (r *records) record() ([]string, *void.Problem, error) {
	r.begin()
	cells, err := r.csv.Read()
	if err == nil {
		return cells, nil, nil
	}
	var parse *csv.ParseError
	switch {
	case errors.As(err, &parse) && errors.Is(parse.Err, csv.ErrBareQuote):
		return nil, &void.Problem{
			Line: int(r.lines[r.handed-1].line), Column: parse.Column,
			What: `a " inside a cell that does not begin with one`,
			Hint: `put the whole cell in quotes and write the quote twice: "5"" pipe"`,
		}, nil
	case parse == nil && !errors.Is(err, errLongRecord):
		return nil, nil, err
	}
	last := r.handed - 1
	line, column := r.opened()
	r.handed = line + 1
	if parse != nil && line == last && parse.Column <= r.lines[last].to-r.lines[last].from {
		return nil, &void.Problem{
			Line: int(r.lines[last].line), Column: parse.Column,
			What: `text after the " that closes a cell`,
			Hint: `write a quote inside a cell twice: "5"" pipe"`,
		}, nil
	}
	return nil, &void.Problem{
		Line: int(r.lines[line].line), Column: column,
		What: `a " opens a cell that is not closed`,
		Hint: "reading goes on with the next line",
	}, nil
}

// opened returns where the last quoted cell of the record at hand begins: the number of its line in
// r.lines, and the byte column.
func (r *records) opened() (line, column int) {
	line, column = r.first, 1
	const (
		begin = iota
		plain
		quoted
		closing
	)
	state := begin
	for i := r.first; i < r.handed; i++ {
		l := r.lines[i]
		for j, c := range string(r.buf[l.from:l.to]) {
			switch {
			case state == quoted && c == '"':
				state = closing
			case state == quoted:
			case state == closing && c == '"':
				state = quoted
			case c == r.sep:
				state = begin
			case state == begin && c == '"':
				state, line, column = quoted, i, j+1
			case state == begin && r.csv.TrimLeadingSpace && unicode.IsSpace(c):
			case state == closing:
				return line, column // this is what encoding/csv stopped at
			default:
				state = plain
			}
		}
	}
	return line, column
}

// at returns where the record at hand begins.
func (r *records) at() mark { return r.lines[r.first].mark }

// cell returns the line and the byte column of a cell of the record at hand. It panics where
// there is no such cell.
func (r *records) cell(i int) (line, column int32) {
	start, _ := r.csv.FieldPos(0)
	l, c := r.csv.FieldPos(i)
	return r.lines[r.first+l-start].line, int32(c)
}

// hasNUL reports whether the record at hand holds a NUL byte.
func (r *records) hasNUL() bool {
	return bytes.IndexByte(r.buf[r.lines[r.first].from:r.lines[r.handed-1].to], 0) >= 0
}

// blank reports whether a record holds nothing but blanks.
func blank(cells []string) bool {
	for _, c := range cells {
		if strings.TrimSpace(c) != "" {
			return false
		}
	}
	return true
}

// separators are what may stand between two cells, the usual one first.
var separators = [...]rune{',', ';', '\t'}

// declared reads a line such as sep=; that some spreadsheets write before the header.
func declared(line string) (sep rune, ok bool) {
	line = strings.Trim(line, " \"")
	if len(line) < 5 || !strings.EqualFold(line[:4], "sep=") {
		return 0, false
	}
	sep, n := utf8.DecodeRuneInString(line[4:])
	return sep, n == len(line)-4
}

// guess tells the separator of a table by its header: the one that splits it into most of the
// names that known takes, of equals the most frequent, of equals the usual one.
func guess(header string, known func(string) bool) rune {
	best, names, count := separators[0], -1, -1
	for _, sep := range separators {
		quoted := false
		parts := strings.FieldsFunc(header, func(c rune) bool {
			if c == '"' {
				quoted = !quoted
			}
			return c == sep && !quoted
		})
		n := 0
		for _, p := range parts[:min(len(parts), maxColumns)] {
			if known(p) {
				n++
			}
		}
		if n > names || n == names && len(parts) > count {
			best, names, count = sep, n, len(parts)
		}
	}
	return best
}

var _ io.Reader = (*records)(nil)
