package table

import (
	"bytes"
	"encoding/binary"
	"math/bits"
	"strings"
	"unicode"
)

// splitter parts lines that are records by themselves into cells, as records does with encoding/csv.
// What is not such a line (a quoted cell goes on in the next one, a quote stands where none may), what has
// cells beyond the header, or what is too long, it leaves to records.
type splitter struct {
	sep    byte
	trims  bool     // blanks in front of a cell are left out
	cells  []string // of the last line that was split
	starts []int32  // where they begin in it, in bytes from 0; a quoted one at its quote
	n      int      // of cells and starts; both have room for as many cells as the header has
}

// newSplitter returns a splitter for lines of at most width cells.
func newSplitter(sep rune, width int) *splitter {
	return &splitter{sep: byte(sep), trims: sep != '\t', cells: make([]string, width), starts: make([]int32, width)}
}

// split parts a line, which is not blank; text is the same line. It reports whether the line is a record of
// as many cells as the header has, or fewer.
func (s *splitter) split(line []byte, text string) bool {
	s.n = 0
	if bytes.IndexByte(line, '"') >= 0 {
		return s.quoted(text)
	}
	const (
		ones = 0x0101010101010101
		low  = 0x7f7f7f7f7f7f7f7f
	)
	// Eight bytes at a time: in found, the top bit is set of each byte that is the separator.
	seps := uint64(s.sep) * ones
	start, i := 0, 0
	for ; i+8 <= len(line); i += 8 {
		x := binary.LittleEndian.Uint64(line[i:]) ^ seps
		for found := ^((x&low + low) | x | low); found != 0; found &= found - 1 {
			end := i + bits.TrailingZeros64(found)/8
			if !s.add(text, start, end) {
				return false
			}
			start = end + 1
		}
	}
	for ; i < len(line); i++ {
		if line[i] == s.sep {
			if !s.add(text, start, i) {
				return false
			}
			start = i + 1
		}
	}
	return s.add(text, start, len(text))
}

// add takes text[start:end] as the next cell. It reports whether there is room for it, or no need.
func (s *splitter) add(text string, start, end int) bool {
	if start < end && s.trims && (text[start] <= ' ' || text[start] >= 0x80) {
		start = end - len(strings.TrimLeftFunc(text[start:end], unicode.IsSpace))
	}
	if s.n < len(s.cells) {
		s.cells[s.n], s.starts[s.n] = text[start:end], int32(start)
		s.n++
		return true
	}
	return strings.TrimSpace(text[start:end]) == ""
}

// quoted parts a line with quotes in it.
func (s *splitter) quoted(text string) bool {
	for start := 0; ; {
		if s.trims {
			start = len(text) - len(strings.TrimLeftFunc(text[start:], unicode.IsSpace))
		}
		end := start
		if start == len(text) || text[start] != '"' {
			for end < len(text) && text[end] != s.sep {
				if text[end] == '"' {
					return false
				}
				end++
			}
			if !s.add(text, start, end) {
				return false
			}
		} else {
			twice := false
			for end++; ; end += 2 {
				i := strings.IndexByte(text[end:], '"')
				if i < 0 {
					return false
				}
				end += i
				if end+1 == len(text) || text[end+1] != '"' {
					break
				}
				twice = true
			}
			c := text[start+1 : end]
			if twice {
				c = strings.ReplaceAll(c, `""`, `"`)
			}
			switch {
			case s.n < len(s.cells):
				s.cells[s.n], s.starts[s.n] = c, int32(start)
				s.n++
			case strings.TrimSpace(c) != "":
				return false
			}
			end++
			if end < len(text) && text[end] != s.sep {
				return false
			}
		}
		if end == len(text) {
			return true
		}
		start = end + 1
	}
}

// blank reports whether the line that was split holds nothing but blanks in the cells under the header, which is all
// it has.
func (s *splitter) blank() bool {
	if s.n > 0 && s.cells[0] != "" && s.cells[0][0] > ' ' && s.cells[0][0] < 0x7f {
		return false
	}
	return blank(s.cells[:s.n])
}
