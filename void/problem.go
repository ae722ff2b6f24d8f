package void

import (
	"fmt"
	"strings"
)

// Problem is something in the input that is wrong (or, among the warnings, doubtful).
// It is said the same way everywhere: file:line:column: what is wrong; give what is to be written.
type Problem struct {
	File   string // as the reader named it, relative to the project folder; "" for the folder itself
	Line   int    // counted from 1; 0 when the whole file is meant
	Column int    // byte column counted from 1; 0 when not known or the whole line is meant
	Cell   string // name of the column (the header's canonical word), "" when the whole line is meant
	What   string // what is wrong, in a few words that quote the text
	Want   string // what was expected; may be ""
	Hint   string // "did you mean …", or what to do; may be ""
	More   int    // how many problems of the file it stands for, which are not kept one by one; 0: it is one itself
	Far    Far    // of a coordinate that is too far away
}

// CountProblems returns how many problems a list stands for.
func CountProblems(ps []Problem) int {
	n := 0
	for i := range ps {
		n += max(1, ps[i].More)
	}
	return n
}

// String returns the problem as one line.
func (p Problem) String() string {
	var b strings.Builder
	if p.File != "" {
		b.WriteString(p.File)
		b.WriteByte(':')
		if p.Line > 0 {
			fmt.Fprintf(&b, "%d:", p.Line)
			if p.Column > 0 {
				fmt.Fprintf(&b, "%d:", p.Column)
			}
		}
		b.WriteByte(' ')
	}
	if p.Cell != "" {
		b.WriteString(p.Cell)
		b.WriteString(": ")
	}
	b.WriteString(p.What)
	if p.Want != "" {
		b.WriteString("; give ")
		b.WriteString(p.Want)
	}
	if p.Hint != "" {
		b.WriteString(" (")
		b.WriteString(p.Hint)
		b.WriteByte(')')
	}
	return b.String()
}

// Error makes a single problem usable as an error.
func (p Problem) Error() string { return p.String() }
