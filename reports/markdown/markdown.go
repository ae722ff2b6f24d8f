// Package markdown writes the answer of a check as Markdown (CommonMark with pipe tables), for an
// e-mail, a wiki or the minutes of a meeting. It says the same as the text answer.
package markdown

import (
	"bufio"
	"io"
	"strings"

	"voidline/clash/finding"
	"voidline/reports/words"
)

// Options says how much to write.
type Options struct {
	Most int // findings (and rows of each other table) that are written; 0 stands for 300, less than 0 for all
}

// Check writes the result of a check. Text from tables stands for itself: no sign of it is taken as
// Markdown or HTML.
func Check(w io.Writer, r *finding.Result, opt Options) error {
	return Answer(w, words.Check(r, opt.Most))
}

// Answer writes an answer in words.
func Answer(w io.Writer, a words.Answer) error {
	b := bufio.NewWriter(w)
	put := func(ss ...string) {
		for _, s := range ss {
			b.WriteString(s) // a bufio.Writer keeps its first error for Flush
		}
	}
	put("# ", Escape(a.Title), "\n")
	for i, part := range a.Missing {
		put("\n")
		if para, ok := part.(words.Para); ok && i == 0 {
			put("**", Escape(string(para)), "**\n")
			continue
		}
		write(put, part)
	}
	for _, s := range a.Sections {
		put("\n", strings.Repeat("#", s.Level+1), " ", Escape(s.Title))
		if s.Aside != "" {
			put(": ", Escape(s.Aside))
		}
		put("\n")
		for _, part := range s.Parts {
			put("\n")
			write(put, part)
		}
	}
	return b.Flush()
}

func write(put func(...string), part words.Part) {
	switch part := part.(type) {
	case words.Para:
		put(Escape(string(part)), "\n")
	case words.List:
		for _, l := range part {
			put("- ", Escape(l), "\n")
		}
	case words.Table:
		table(put, part)
	case words.Group:
		if part.Heading != "" {
			put("#### ", Escape(part.Heading), "\n\n")
			for i, c := range part.Common {
				if i > 0 {
					put("; ")
				}
				put(Escape(c))
			}
			if len(part.Common) > 0 {
				put("\n\n")
			}
		}
		for _, it := range part.Items {
			put("- **", Escape(it.What), "**")
			if it.ID != "" {
				put(" (", Escape(it.ID), ")")
			}
			for _, l := range it.Lines {
				put("<br>\n  ", Escape(l))
			}
			put("\n")
		}
	}
}

func table(put func(...string), t words.Table) {
	row := func(cells []string) {
		put("|")
		for i := range t.Columns {
			cell := ""
			if i < len(cells) {
				cell = cells[i]
			}
			put(" ", cellText(cell), " |")
		}
		put("\n")
	}
	heads := make([]string, len(t.Columns))
	for i, c := range t.Columns {
		heads[i] = c.Head
	}
	row(heads)
	put("|")
	for _, c := range t.Columns {
		if c.Right {
			put(" ---: |")
		} else {
			put(" --- |")
		}
	}
	put("\n")
	for _, r := range t.Rows {
		row(r)
	}
	if t.Foot != nil {
		row(t.Foot)
	}
}

// cellText escapes the lines of a cell and joins them by a break.
func cellText(s string) string {
	ls := strings.Split(s, "\n")
	for i := range ls {
		ls[i] = escape(ls[i], false)
	}
	return strings.Join(ls, "<br>")
}

// Escape returns one line of plain text as Markdown that shows just that text: line ends become blanks,
// what HTML or Markdown would take for its own is escaped, also at the head of a line.
func Escape(s string) string { return escape(s, true) }

// escape is Escape for text that may stand at the head of a line (head) or never does.
func escape(s string, head bool) string {
	s = words.Clean(s)
	var b strings.Builder
	for i, r := range s {
		switch r {
		case '<':
			b.WriteString("&lt;")
			continue
		case '>':
			b.WriteString("&gt;")
			continue
		case '&':
			b.WriteString("&amp;")
			continue
		case '\\', '`', '*', '_', '[', ']', '|', '~', '$', '!':
			b.WriteByte('\\')
		case '#', '+', '-', '=':
			if head && i == 0 {
				b.WriteByte('\\')
			}
		case '.', ')':
			// "1." and "1)" at the head of a line begin a list.
			if head && i > 0 && strings.Trim(s[:i], "0123456789") == "" {
				b.WriteByte('\\')
			}
		case ':':
			// A bare web address would become a link: a name is never one.
			if strings.HasPrefix(s[i:], "://") {
				b.WriteString("&#58;")
				continue
			}
		}
		b.WriteRune(r)
	}
	return b.String()
}
