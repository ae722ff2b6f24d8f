// Package issued reads the table of a setting-out sheet back, as voidline wrote it. It is strict: columns that are others, rows that are
// missing, figures that do not agree with each other and a seal that is not that of the cells are problems, each with
// file:line:column. What a spreadsheet does to a table without changing a cell (another separator, quotes, line ends, a
// byte order mark) is no matter.
package issued

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/golang/geo/r2"

	"voidline/clash/setout"
	"voidline/io/csvcell"
	"voidline/void"
)

const maxFile = 64 << 20

// Open reads the sheet of that name. What is wrong with it is the error, as void.Problems; then there is no sheet.
// run is the run that it must be of, as a sheet names it; "": of any.
func Open(name, run string) (*setout.Issued, error) {
	info, err := os.Stat(name)
	switch {
	case err != nil:
		return nil, fmt.Errorf("%s: %w", name, bare(err))
	case info.IsDir():
		return nil, fmt.Errorf("%s is a folder, not a sheet", name)
	case !info.Mode().IsRegular():
		return nil, fmt.Errorf("%s is no file", name)
	case info.Size() > maxFile:
		return nil, fmt.Errorf("%s is larger than 64 MiB: no sheet", name)
	}
	data, err := os.ReadFile(name)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, bare(err))
	}
	sheet, problems := Parse(filepath.Base(name), data, run)
	return sheet, void.Problems(problems).Err()
}

func bare(err error) error {
	var pe *fs.PathError
	if errors.As(err, &pe) {
		return pe.Err
	}
	return err
}

// Parse reads a sheet; name is what problems call it. See Open.
func Parse(name string, data []byte, run string) (*setout.Issued, []void.Problem) {
	r := &reader{name: name}
	data = bytes.TrimPrefix(data, []byte("\xef\xbb\xbf"))
	if !utf8.Valid(data) {
		r.problem(1, 1, "", "not UTF-8", aSheet)
		return nil, r.problems
	}
	c := csv.NewReader(bytes.NewReader(data))
	c.Comma, c.FieldsPerRecord = separator(data), -1
	for n := 0; ; n++ {
		cells, err := c.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		var bad *csv.ParseError
		if errors.As(err, &bad) {
			r.problem(bad.Line, bad.Column, "", bad.Err.Error(), aSheet)
			return nil, r.problems
		}
		at := make([]place, len(cells))
		for i := range cells {
			at[i].line, at[i].column = c.FieldPos(i)
		}
		r.rows, r.at = append(r.rows, cells), append(r.at, at)
	}
	if !r.header() || !r.body(run) {
		return nil, r.problems
	}
	return &r.sheet, nil
}

const aSheet = "a sheet as voidline setout DIR RUN --format csv writes it"

// separator returns what stands between the headings.
func separator(data []byte) rune {
	head, _, _ := bytes.Cut(data, []byte("\n"))
	for _, sep := range ";\t" {
		if bytes.ContainsRune(head, sep) {
			return sep
		}
	}
	return ','
}

type place struct{ line, column int }

type reader struct {
	name     string
	rows     [][]string
	at       [][]place
	sheet    setout.Issued
	problems []void.Problem
}

func (r *reader) problem(line, column int, cell, what, want string) {
	r.problems = append(r.problems, void.Problem{File: r.name, Line: line, Column: column, Cell: cell, What: what, Want: want})
}

// bad tells what is wrong with a cell.
func (r *reader) bad(row, col int, what, want string) {
	at := r.at[row][min(col, len(r.at[row])-1)]
	cell := ""
	if row > 0 && col < len(columns) {
		cell = columns[col]
	}
	r.problem(at.line, at.column, cell, what, want)
}

var columns = setout.SheetColumns()

func column(name string) int { return slices.Index(columns, name) }

func (r *reader) header() bool {
	if len(r.rows) == 0 {
		r.problem(1, 1, "", "the file is empty", aSheet)
		return false
	}
	for i, want := range columns {
		if i >= len(r.rows[0]) {
			r.bad(0, i, "column "+strconv.Quote(want)+" is missing", aSheet)
			return false
		}
		if got := strings.TrimSpace(r.rows[0][i]); !strings.EqualFold(got, want) {
			r.bad(0, i, fmt.Sprintf("%q is not a column of a sheet here", cut(got)), fmt.Sprintf("%q: %s", want, aSheet))
			return false
		}
	}
	if len(r.rows[0]) > len(columns) {
		r.bad(0, len(columns), fmt.Sprintf("%q is not a column of a sheet", cut(r.rows[0][len(columns)])), aSheet)
		return false
	}
	return true
}

// body reads the rows, and whether they are as they were written.
func (r *reader) body(run string) bool {
	last := len(r.rows) - 1
	if last == 0 {
		r.bad(0, 0, "there is no row under the headings", aSheet)
		return false
	}
	var l *setout.IssuedLength
	from := map[[2]float64]bool{} // project less FFL and datum, as the rows have it
	for i := 1; i <= last; i++ {
		cells := r.rows[i]
		if len(cells) != len(columns) {
			r.bad(i, len(cells)-1, fmt.Sprintf("%d cells, not %d", len(cells), len(columns)), aSheet)
			return false
		}
		row := &row{r: r, i: i}
		what := row.text("what")
		if i == 1 {
			r.sheet.Run = row.text("run")
		}
		switch {
		case i == 1 && run != "" && r.sheet.Run != run:
			r.bad(i, column("run"), fmt.Sprintf("the sheet is of run %q", cut(r.sheet.Run)), fmt.Sprintf("a sheet of run %q", run))
			return false
		case row.text("run") != r.sheet.Run:
			r.bad(i, column("run"), fmt.Sprintf("%q: the rows over it are of run %q", cut(row.text("run")), cut(r.sheet.Run)), "one run")
			return false
		}
		if what == setout.RowSeal {
			return r.sealed(row, i == last)
		}
		if part := row.text("length"); l == nil || part != l.Part {
			r.sheet.Lengths = append(r.sheet.Lengths, setout.IssuedLength{Part: part})
			l = &r.sheet.Lengths[len(r.sheet.Lengths)-1]
		}
		if !row.into(l, what) {
			return false
		}
		if what == setout.RowLine || what == setout.RowSupport {
			z := row.struck()
			from[[2]float64{math.Round(z.Project - z.FFL), math.Round(z.FFL - z.Datum)}] = true
			if len(r.problems) > 0 {
				return false
			}
			if len(from) > 1 {
				r.bad(i, column("ffl"), fmt.Sprintf("FFL, datum and project level do not agree with those over them: %s, %s, %s", cells[column("ffl")], cells[column("datum")], cells[column("project")]), edited)
				return false
			}
		}
		if len(r.problems) > 0 {
			return false
		}
	}
	r.bad(last, column("what"), fmt.Sprintf("the last row is not %q: rows at the end are missing", setout.RowSeal), aSheet)
	return false
}

const edited = "the sheet as it was written, no cell changed since"

// sealed reports whether the rows over the seal are those that were written.
func (r *reader) sealed(row *row, last bool) bool {
	if !last {
		r.bad(row.i+1, 0, "rows under the end of the sheet", edited)
		return false
	}
	if n := int(row.number("count")); len(r.problems) == 0 && n != row.i-1 {
		r.bad(row.i, column("count"), fmt.Sprintf("%d rows stand over it, %d were written", row.i-1, n), edited)
	} else if len(r.problems) == 0 && row.text("note") != setout.Seal(r.rows[1:row.i]) {
		r.bad(row.i, column("note"), "the sheet was edited: the seal is not that of the rows over it", edited)
	}
	return len(r.problems) == 0
}

// row is one row of the table.
type row struct {
	r *reader
	i int
}

func (w *row) text(name string) string {
	return csvcell.Undefuse(w.r.rows[w.i][column(name)])
}

// number returns a cell's figure; blank is 0.
func (w *row) number(name string) float64 {
	text := strings.TrimSpace(w.text(name))
	if text == "" {
		return 0
	}
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || math.IsNaN(v) || math.Abs(v) > 1e9 {
		w.r.bad(w.i, column(name), fmt.Sprintf("%q is not a figure", cut(text)), edited)
		return 0
	}
	return v
}

// needed is number where the cell must not be blank.
func (w *row) needed(name string) float64 {
	if strings.TrimSpace(w.text(name)) == "" {
		w.r.bad(w.i, column(name), "blank", edited)
	}
	return w.number(name)
}

func (w *row) where() r2.Point { return r2.Point{X: w.needed("x"), Y: w.needed("y")} }

func (w *row) struck() setout.Struck {
	return setout.Struck{FFL: w.needed("ffl"), Datum: w.needed("datum"), Project: w.needed("project")}
}

// into puts a row into the sheet of its length; false where it is no row of a sheet.
func (w *row) into(l *setout.IssuedLength, what string) bool {
	numbered := func(is int) {
		if got := w.needed("no"); int(got) != is {
			w.r.bad(w.i, column("no"), fmt.Sprintf("No %s, not %d", w.text("no"), is), edited)
		}
	}
	switch what {
	case setout.RowUnproved, setout.RowUnsupported:
		l.Holds = append(l.Holds, what+": "+w.text("note"))
	case setout.RowTier:
		l.Holds = append(l.Holds, w.text("note"))
	case setout.RowLine:
		numbered(len(l.Lines) + 1)
		x := setout.IssuedLine{From: w.needed("from"), To: w.needed("to"), Where: w.where(), Struck: w.struck()}
		x.Rise = w.number("rise")
		if x.To < x.From {
			w.r.bad(w.i, column("to"), fmt.Sprintf("%s is before %s", w.text("to"), w.text("from")), edited)
		}
		l.Lines = append(l.Lines, x)
	case setout.RowSet:
		numbered(len(l.Sets) + 1)
		l.Sets = append(l.Sets, setout.IssuedSet{From: w.needed("from"), To: w.needed("to"), Rise: w.needed("rise")})
	case setout.RowSupport:
		no := w.needed("no")
		if no < 1 || no != math.Trunc(no) || slices.ContainsFunc(l.Supports, func(x setout.IssuedSupport) bool { return x.No == int(no) }) {
			w.r.bad(w.i, column("no"), fmt.Sprintf("No %s is no number of a support, or another's", w.text("no")), edited)
		}
		l.Supports = append(l.Supports, setout.IssuedSupport{
			No: int(no), From: w.needed("from"), Where: w.where(), Of: w.text("hangs from"), Rods: int(w.number("rods")), Channel: w.number("channel"),
		})
	case setout.RowRod:
		if n := len(l.Supports); n == 0 {
			numbered(0)
		} else {
			numbered(l.Supports[n-1].No)
			l.Supports[n-1].Cuts = append(l.Supports[n-1].Cuts, w.needed("rod cut"))
		}
	case setout.RowCut:
		l.Cuts = append(l.Cuts, setout.Count{Part: w.text("part"), N: int(w.needed("count"))})
	case setout.RowPart:
		l.Parts = append(l.Parts, setout.Count{Part: w.text("part"), N: int(w.needed("count"))})
	case setout.RowChannel, setout.RowBlock, setout.RowGive, setout.RowClear, setout.RowPassed, setout.RowDoubt: // said by others, or of what cannot be done
	default:
		w.r.bad(w.i, column("what"), fmt.Sprintf("%q is no row of a sheet", cut(what)), aSheet)
	}
	return len(w.r.problems) == 0
}

// cut keeps a cell in a message short.
func cut(s string) string {
	if r := []rune(s); len(r) > 60 {
		return string(r[:60]) + "…"
	}
	return s
}
