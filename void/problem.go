package void

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// Problem is something in the input that is wrong (or, among the warnings, doubtful).
// It is said the same way everywhere: file:line:column: what is wrong; give what is to be written.
type Problem struct {
	File   string // as the reader named it, relative to the project folder; "" for the folder itself
	Line   int    // counted from 1; 0 when the whole file is meant
	Place  string // in a workbook, in place of the three: trays!C7; "" elsewhere
	Column int    // byte column counted from 1; 0 when not known or the whole line is meant
	Cell   string // name of the column (the header's canonical word), "" when the whole line is meant
	What   string // what is wrong, in a few words that quote the text
	Want   string // what was expected; may be ""
	Hint   string // "did you mean …", or what to do; may be ""
	More   int    // how many problems of the file it stands for, which are not kept one by one; 0: it is one itself
	Far    Far    // of a coordinate that is too far away
	guess  *guess // what looks for the hint once the problem is kept; nil where there is none to look for
}

// guess looks for a hint among many words. Of a million problems a thousand are kept, so it is asked of those alone.
type guess struct{ near func() string }

// guessed returns the problem with the hint that is still to be looked for.
func (p Problem) guessed() Problem {
	if p.guess != nil {
		p.Hint, p.guess = p.guess.near(), nil
	}
	return p
}

// Problems is what is wrong with a project's tables, or with another file, as an error.
type Problems []Problem

// Err returns the problems as an error, nil where there are none.
func (ps Problems) Err() error {
	if len(ps) == 0 {
		return nil
	}
	return ps
}

// Error returns the first problem, and how many there are.
func (ps Problems) Error() string {
	if n := CountProblems(ps); n > 1 {
		return fmt.Sprintf("%d problems, the first is %s", n, ps[0])
	}
	return ps[0].String()
}

// MostOfFile is how many problems, and how many warnings, of one file are kept; of the rest the number is told.
const MostOfFile = 1000

// MoreOf is the problem that stands for n more of a file.
func MoreOf(file string, n int) Problem {
	return Problem{File: file, What: "and " + strconv.Itoa(n) + " more", More: n}
}

// Bounded returns problems by file, line and column, each once: of each file the first MostOfFile, and how many more there are.
func Bounded(ps []Problem) []Problem {
	all := slices.Clone(ps)
	slices.SortStableFunc(all, func(a, b Problem) int {
		return cmp.Or(strings.Compare(a.File, b.File), cmp.Compare(min(a.More, 1), min(b.More, 1)), cmp.Compare(a.Line, b.Line), cmp.Compare(a.Column, b.Column))
	})
	all = slices.Compact(all)
	out := all[:0]
	for len(all) > 0 {
		file, kept, more := all[0].File, 0, 0
		for ; len(all) > 0 && all[0].File == file; all = all[1:] {
			switch p := all[0]; {
			case p.More > 0:
				more += p.More
			case kept == MostOfFile:
				more++
			default:
				kept++
				out = append(out, p)
			}
		}
		if more > 0 {
			out = append(out, MoreOf(file, more))
		}
	}
	return out
}

// pile is problems of which the first MostOfFile are kept: those of a file, and of those by themselves, by axis, the
// coordinates that are too far away, which are told together (see Gathered).
type pile struct{ file, far string }

// tally is how many of a pile are kept in a list, and where the problem that stands for the rest may be in it.
type tally struct{ kept, rest int }

// tallies bound a list of problems while it grows.
//
// What an edit may take back is bounded too: who told what is only counted is counted (uncounted), so the number stays
// right. But of those nothing takes the place of one that is taken back: then fewer than MostOfFile are told one by one.
type tallies map[pile]tally

// pile returns the pile that a problem belongs to.
func (p *Problem) pile() pile { return pile{p.File, p.Far.Axis} }

// full reports whether a problem would be counted and not kept.
func (t tallies) full(p *Problem) bool { return p.More > 0 || t[p.pile()].kept >= MostOfFile }

// add appends a problem to a list, or counts it where enough of its pile are there.
func (t tallies) add(list []Problem, p Problem) []Problem {
	s := p.pile()
	if t.full(&p) {
		return t.count(list, s, max(1, p.More))
	}
	n := t[s]
	n.kept++
	t[s] = n
	return append(list, p)
}

// count counts so many more of a pile, or fewer, that are not kept.
func (t tallies) count(list []Problem, s pile, by int) []Problem {
	n := t[s]
	stands := func(q Problem) bool { return q.More > 0 && q.pile() == s }
	if n.rest >= len(list) || !stands(list[n.rest]) {
		if n.rest = slices.IndexFunc(list, stands); n.rest < 0 {
			n.rest = len(list)
			list = append(list, Problem{})
		}
		t[s] = n
	}
	if by += list[n.rest].More; by <= 0 {
		return slices.Delete(list, n.rest, n.rest+1)
	}
	list[n.rest] = MoreOf(s.file, by)
	list[n.rest].Far.Axis = s.far
	return list
}

// less takes problems that were kept out of a list.
func (t tallies) less(list, gone []Problem) []Problem {
	for i := range gone {
		n := t[gone[i].pile()]
		n.kept--
		t[gone[i].pile()] = n
	}
	return without(list, gone, plainProblem)
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
	if p.Place != "" {
		b.WriteString(p.Place + ": ")
	} else if p.File != "" {
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
