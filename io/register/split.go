package register

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"voidline/void"
)

// field is a cell as it stands in the file and what it says.
type field struct {
	raw    string // quotes and all
	text   string
	column int // byte column in its line, from 1
}

// record is a line of the table, or several where a quoted cell holds line ends.
type record struct {
	line   int // from 1
	raw    string
	end    string // how the line ends: "\n", "\r\n", "\r", or "" at the end of the file
	fields []field
}

func (r *record) blank() bool {
	for _, f := range r.fields {
		if strings.TrimSpace(f.text) != "" {
			return false
		}
	}
	return true
}

// split cuts a text into records. Put together again, raw and end of all of them are the text. A quote that
// does not stand at the beginning of a cell is a sign like any other. What cannot be split is a problem,
// and the rest of the text is not looked at.
func split(text string, sep rune) ([]record, *void.Problem) {
	var all []record
	line, start := 1, 0 // start: of the line at hand
	for at := 0; at < len(text); {
		r := record{line: line}
		from := at
		for {
			f, next, problem := cell(text, at, sep, &line, &start)
			if problem != nil {
				return all, problem
			}
			r.fields = append(r.fields, f)
			if len(r.fields) > maxColumns {
				return all, &void.Problem{Line: r.line, What: fmt.Sprintf("more than %d cells", maxColumns), Want: "a row of the register"}
			}
			at = next
			if at < len(text) && strings.HasPrefix(text[at:], string(sep)) {
				at += utf8.RuneLen(sep)
				continue
			}
			break
		}
		r.raw = text[from:at]
		r.end = lineEnd(text[at:])
		at += len(r.end)
		line++
		start = at
		all = append(all, r)
	}
	return all, nil
}

// lineEnd returns the line end that a text begins with, "" where it begins with none.
func lineEnd(text string) string {
	switch {
	case strings.HasPrefix(text, "\r\n"):
		return "\r\n"
	case strings.HasPrefix(text, "\n"), strings.HasPrefix(text, "\r"):
		return text[:1]
	}
	return ""
}

// cell reads the cell that begins at a place of the text, up to a separator, a line end or the end.
func cell(text string, at int, sep rune, line, start *int) (field, int, *void.Problem) {
	f := field{column: at - *start + 1}
	quoteAt := at
	for quoteAt < len(text) && text[quoteAt] == ' ' {
		quoteAt++ // some write a blank behind each comma
	}
	if quoteAt >= len(text) || text[quoteAt] != '"' {
		end := len(text)
		if i := strings.IndexFunc(text[at:], func(r rune) bool { return r == sep || r == '\n' || r == '\r' }); i >= 0 {
			end = at + i
		}
		f.raw = text[at:end]
		f.text = f.raw
		return f, end, nil
	}
	opened, column := *line, f.column
	var b strings.Builder
	for i := quoteAt + 1; i < len(text); {
		switch {
		case strings.HasPrefix(text[i:], `""`):
			b.WriteByte('"')
			i += 2
		case text[i] == '"':
			i++
			end := i
			for end < len(text) && text[end] == ' ' {
				end++
			}
			if end < len(text) && lineEnd(text[end:]) == "" && !strings.HasPrefix(text[end:], string(sep)) {
				return f, 0, &void.Problem{Line: *line, Column: i - *start + 1, What: `text after the " that closes a cell`, Hint: `write a quote inside a cell twice: "5"" pipe"`}
			}
			f.raw, f.text = text[at:end], b.String()
			return f, end, nil
		default:
			if e := lineEnd(text[i:]); e != "" {
				b.WriteString(e)
				i += len(e)
				*line++
				*start = i
				continue
			}
			b.WriteByte(text[i])
			i++
		}
	}
	return f, 0, &void.Problem{Line: opened, Column: column, What: `a " opens a cell that is not closed`}
}

// guess tells the separator by the first line: the one that cuts it into most known headings.
func guess(text string) rune {
	best, most := ',', -1
	for _, sep := range []rune{',', ';', '\t'} {
		head := text
		if i := strings.IndexAny(head, "\r\n"); i >= 0 {
			head = head[:i]
		}
		rs, problem := split(head, sep)
		if problem != nil || len(rs) == 0 {
			continue
		}
		n := 0
		for _, f := range rs[0].fields {
			if _, ok := columnOf(f.text); ok {
				n++
			}
		}
		if n > most {
			best, most = sep, n
		}
	}
	return best
}

// declared reads a first line sep=; that some spreadsheets write: the separator and how long the line is.
func declared(text string) (sep rune, size int, ok bool) {
	end := strings.IndexAny(text, "\r\n")
	if end < 0 {
		return 0, 0, false
	}
	whole := strings.Trim(text[:end], "\" ")
	if len(whole) != 5 || !strings.EqualFold(whole[:4], "sep=") {
		return 0, 0, false
	}
	sep = rune(whole[4])
	if !strings.ContainsRune(",;\t", sep) {
		return 0, 0, false
	}
	return sep, end + len(lineEnd(text[end:])), true
}
