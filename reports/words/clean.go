package words

import (
	"bytes"
	"fmt"
	"strings"
	"unicode"
	"unicode/utf16"
	"unicode/utf8"

	"github.com/clipperhouse/displaywidth"
)

// NameMost is the display width to which a name is shortened where it is only mentioned; the line
// that introduces it gives it in full.
const NameMost = 40

// Clean returns text from a table fit for one line of a terminal or a page: runs of blanks, tabs and
// line ends become one blank; what does not print (control characters, escape sequences' first
// byte, marks that turn the writing direction, bad UTF-8) becomes U+FFFD, so that two names that
// differ in such a sign alone still look unlike a clean one.
func Clean(s string) string {
	plain := true
	for i := 0; i < len(s); i++ {
		if s[i] < 0x20 || s[i] >= 0x7f || s[i] == ' ' && (i == 0 || i == len(s)-1 || s[i-1] == ' ') {
			plain = false
			break
		}
	}
	if plain {
		return s
	}
	var b strings.Builder
	blank := false
	for _, r := range s { // a bad byte comes as utf8.RuneError, which is U+FFFD
		if unicode.IsSpace(r) {
			blank = b.Len() > 0
			continue
		}
		if unicode.Is(unicode.Variation_Selector, r) {
			continue // chooses between two looks of one letter, and makes its width doubtful
		}
		if blank {
			b.WriteByte(' ')
			blank = false
		}
		if !unicode.IsPrint(r) {
			r = utf8.RuneError
		}
		b.WriteRune(r)
	}
	return b.String()
}

// Plain returns text from a table without what does not print, in one line: a name that is the same to void's tables, for
// rows that go back into one.
func Plain(s string) string {
	return strings.Join(strings.Fields(strings.Map(func(r rune) rune {
		if unicode.IsSpace(r) {
			return ' '
		}
		if !unicode.IsPrint(r) {
			return -1
		}
		return r
	}, s)), " ")
}

// Spelled returns JSON in which the signs that do not print, and that a terminal may obey, are written as \u and their
// number.
func Spelled(text []byte) []byte {
	if printed(text) || !bytes.ContainsFunc(text, obeyed) {
		return text
	}
	var b bytes.Buffer
	for _, r := range string(text) {
		switch {
		case !obeyed(r):
			b.WriteRune(r)
		case r > 0xffff:
			hi, lo := utf16.EncodeRune(r)
			fmt.Fprintf(&b, `\u%04x\u%04x`, hi, lo)
		default:
			fmt.Fprintf(&b, `\u%04x`, r)
		}
	}
	return b.Bytes()
}

// printed reports whether text is signs of ASCII that print, as nearly all is.
func printed(text []byte) bool {
	for _, c := range text {
		if c >= 0x7f {
			return false
		}
	}
	return true
}

// obeyed reports whether a sign is one of those; the line ends between the members of a list are none.
func obeyed(r rune) bool {
	return r >= 0x7f && (r < 0xa0 || unicode.Is(unicode.Cf, r)) // json.Marshal has written those below
}

// Width returns the number of columns that s takes on a terminal that shows each sign for itself: the
// sum of its runes' widths, which is also how tables are set. Signs of ambiguous width count one: no
// locale is asked.
func Width(s string) int {
	w := 0
	for _, r := range s {
		w += displaywidth.Rune(r)
	}
	return w
}

// Short returns s, or where it is wider than most columns its beginning and its end with "…" between:
// names of one run often differ at the end.
func Short(s string, most int) string {
	if Width(s) <= most {
		return s
	}
	if most < 3 {
		return "…"
	}
	rs := []rune(s)
	tail := (most - 1) / 3
	head := most - 1 - tail
	i, w := 0, 0
	for i < len(rs) && w+displaywidth.Rune(rs[i]) <= head {
		w += displaywidth.Rune(rs[i])
		i++
	}
	j, w := len(rs), 0
	for j > i && w+displaywidth.Rune(rs[j-1]) <= tail {
		w += displaywidth.Rune(rs[j-1])
		j--
	}
	return string(rs[:i]) + "…" + string(rs[j:])
}

// Name returns a name from a table, cleaned and short enough to be mentioned.
func Name(s string) string { return Short(Clean(s), NameMost) }

// Wrap breaks one line of clean text at its blanks into lines of at most width columns; a word wider
// than that is broken inside. Width below 1 counts as 1. Nothing gives one empty line.
func Wrap(s string, width int) []string {
	width = max(width, 1)
	var lines []string
	var line strings.Builder
	used := 0
	end := func() {
		lines = append(lines, line.String())
		line.Reset()
		used = 0
	}
	for _, word := range strings.Fields(s) {
		w := Width(word)
		if used > 0 && used+1+w <= width {
			line.WriteByte(' ')
			line.WriteString(word)
			used += 1 + w
			continue
		}
		if used > 0 {
			end()
		}
		for w > width {
			head, rest := cut(word, width)
			line.WriteString(head)
			end()
			word, w = rest, Width(rest)
		}
		line.WriteString(word)
		used = w
	}
	if used > 0 || line.Len() > 0 || len(lines) == 0 {
		end()
	}
	return lines
}

// cut splits word after as many signs as fit in width columns, at least one; marks that take no width
// stay with their letter. It prefers a place behind a sign that joins words, if one is in the
// second half.
func cut(word string, width int) (head, rest string) {
	w, soft := 0, 0
	for i, r := range word {
		n := displaywidth.Rune(r)
		if n > 0 && i > 0 {
			if before := word[i-1]; strings.IndexByte("-/_:;,.+", before) >= 0 && 2*w >= width {
				soft = i
			}
			if w+n > width {
				if soft > 0 {
					i = soft
				}
				return word[:i], word[i:]
			}
		}
		w += n
	}
	return word, ""
}
