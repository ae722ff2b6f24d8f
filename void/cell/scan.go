package cell

import (
	"strconv"
	"unicode"
	"unicode/utf8"
)

// Bound is the largest length that a cell may hold, in millimetres: 10 km, either way.
const Bound = 1e7

// scan reads the text of a cell from left to right. Its methods take what they find and step over
// it, or leave the position where it was. Nothing in it allocates, so that a million rows read fast.
type scan struct {
	text string
	at   int
}

// done steps over blanks and reports whether the text is used up.
func (s *scan) done() bool {
	s.blanks()
	return s.at == len(s.text)
}

// blanks steps over blanks of every width.
func (s *scan) blanks() {
	for s.at < len(s.text) {
		w := blankAt(s.text, s.at)
		if w == 0 {
			return
		}
		s.at += w
	}
}

// byte steps over the byte b.
func (s *scan) byte(b byte) bool {
	if s.at < len(s.text) && s.text[s.at] == b {
		s.at++
		return true
	}
	return false
}

// peek returns the byte at the position, 0 at the end of the text.
func (s *scan) peek() byte {
	if s.at < len(s.text) {
		return s.text[s.at]
	}
	return 0
}

// sign steps over one plus or minus: -1, +1, or 0 where there is none.
func (s *scan) sign() int {
	way, w := signAt(s.text, s.at)
	s.at += w
	return way
}

// letters returns the run of ASCII letters at the position in lower case, without stepping over it.
// A slash between letters belongs to the run, as in u/s. A run that does not fit into buf is
// returned as empty, since no word of the tables is that long; n is the length of the run in any case.
func (s *scan) letters(buf *[16]byte) (word []byte, n int) {
	i := s.at
	for i < len(s.text) && (isLetter(s.text[i]) ||
		s.text[i] == '/' && i > s.at && i+1 < len(s.text) && isLetter(s.text[i+1])) {
		if i-s.at < len(buf) {
			buf[i-s.at] = lower(s.text[i])
		}
		i++
	}
	n = i - s.at
	if n > len(buf) {
		return nil, n
	}
	return buf[:n], n
}

// word steps over the word w (lower case ASCII) where the text has it in any case and no letter
// follows.
func (s *scan) word(w string) bool {
	end := s.at + len(w)
	if end > len(s.text) || end < len(s.text) && isLetter(s.text[end]) {
		return false
	}
	for i := 0; i < len(w); i++ {
		if lower(s.text[s.at+i]) != w[i] {
			return false
		}
	}
	s.at = end
	return true
}

// unit is the unit written behind a number.
type unit uint8

const (
	noUnit unit = iota
	millimetre
	metre
)

// shift returns by how many places the decimal point moves to give millimetres.
func (u unit) shift() int {
	if u == metre {
		return 3
	}
	return 0
}

// unit steps over blanks and a unit. It leaves mm/m alone, and lets 600mmx300mm through.
func (s *scan) unit() unit {
	from := s.at
	s.blanks()
	if lower(s.peek()) != 'm' {
		s.at = from
		return noUnit
	}
	s.at++
	u := metre
	if lower(s.peek()) == 'm' {
		s.at++
		u = millimetre
	}
	if c := s.peek(); c == '/' || isLetter(c) && lower(c) != 'x' {
		s.at = from
		return noUnit
	}
	return u
}

// numeral is a number as it is written: ASCII digits with at most one decimal point.
type numeral struct {
	text  string
	whole uint64 // the digits without the point
	scale int    // digits behind the point
	exact bool   // whole holds all digits and is below 2^53
}

// numeral steps over a number without a sign: 12, 12.5, .5, and 12. as a spreadsheet prints it
// with the format 0.#. A point followed by another is no decimal point: 2400..2700.
func (s *scan) numeral() (numeral, bool) {
	n := numeral{exact: true}
	from := s.at
	digits, point := 0, false
	for s.at < len(s.text) {
		c := s.text[s.at]
		if c == '.' {
			if point || s.at+1 < len(s.text) && s.text[s.at+1] == '.' {
				break
			}
			point = true
			s.at++
			continue
		}
		if c < '0' || c > '9' {
			break
		}
		if n.whole > (1<<53-10)/10 {
			n.exact = false
		} else {
			n.whole = n.whole*10 + uint64(c-'0')
		}
		digits++
		if point {
			n.scale++
		}
		s.at++
	}
	if digits == 0 {
		s.at = from
		return numeral{}, false
	}
	n.text = s.text[from:s.at]
	return n, true
}

// tens holds the powers of ten that float64 holds exactly.
var tens = [...]float64{
	1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11,
	1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22,
}

// value returns the nearest float64 to the number with its decimal point moved by shift places to
// the right, so that 2.7 with shift 3 is exactly 2700. It may be +Inf. With all digits below 2^53
// and a power of ten that is exact, one division or multiplication rounds once and is the nearest;
// else the text with an exponent is read by strconv.
func (n numeral) value(shift int) float64 {
	if n.exact {
		switch e := shift - n.scale; {
		case e >= 0 && e < len(tens):
			return float64(n.whole) * tens[e]
		case e < 0 && -e < len(tens):
			return float64(n.whole) / tens[-e]
		}
	}
	var buf [64]byte
	text := append(buf[:0], n.text...)
	text = append(text, 'e')
	text = strconv.AppendInt(text, int64(shift), 10)
	v, _ := strconv.ParseFloat(string(text), 64) // +Inf where it is out of range; the bound catches it
	return v
}

// length steps over blanks, a sign, a number and a unit. way is the sign that is written, 0 for none.
func (s *scan) length() (mm float64, way int, u unit, ok bool) {
	from := s.at
	s.blanks()
	way = s.sign()
	s.blanks()
	n, ok := s.numeral()
	if !ok {
		s.at = from
		return 0, 0, noUnit, false
	}
	u = s.unit()
	return signed(n.value(u.shift()), way), way, u, true
}

// signed returns v with the sign; a zero is never negative.
func signed(v float64, way int) float64 {
	if way < 0 && v != 0 {
		return -v
	}
	return v
}

// surveyBound is the greatest coordinate in plan that a cell may hold, mm: 10,000 km, more than the grid of any country.
// What is more than Bound from the origin of the project is for the project to say.
const surveyBound = 1e10

// surveyed reports whether a coordinate is inside surveyBound; NaN and infinities are not.
func surveyed(mm float64) bool { return mm >= -surveyBound && mm <= surveyBound }

// within reports whether a length is inside the bound; NaN and infinities are not.
func within(mm float64) bool { return mm >= -Bound && mm <= Bound }

// clean trims blanks of every width and takes off the apostrophes that a spreadsheet puts in front
// of what it should leave alone.
func clean(text string) string {
	text = trim(text)
	for text != "" && text[0] == '\'' {
		text = trim(text[1:])
	}
	return text
}

// trim takes blanks of every width off both ends.
func trim(text string) string {
	i := 0
	for i < len(text) {
		w := blankAt(text, i)
		if w == 0 {
			break
		}
		i += w
	}
	return trimRight(text[i:])
}

// trimRight takes blanks of every width off the end.
func trimRight(text string) string {
	for text != "" {
		c := text[len(text)-1]
		if c > ' ' && c < utf8.RuneSelf {
			break
		}
		r, w := utf8.DecodeLastRuneInString(text)
		if !isBlank(r) {
			break
		}
		text = text[:len(text)-w]
	}
	return text
}

// blankAt returns the width in bytes of the blank at text[i], 0 where there is none.
func blankAt(text string, i int) int {
	if c := text[i]; c < utf8.RuneSelf {
		if c == ' ' || c >= '\t' && c <= '\r' {
			return 1
		}
		return 0
	}
	if r, w := utf8.DecodeRuneInString(text[i:]); isBlank(r) {
		return w
	}
	return 0
}

// isBlank reports whether r is a blank of any width: besides white space the non-breaking, thin and
// zero-width ones, the byte order mark and the direction marks that copied text carries.
func isBlank(r rune) bool {
	switch {
	case r >= 0x200b && r <= 0x200f, r == 0x2060, r == 0xfeff:
		return true
	}
	return unicode.IsSpace(r)
}

// signAt returns the sign at text[i] and its width in bytes: the ASCII signs, the minus sign, the en
// dash and the hyphens that text programs put in a minus sign's place.
func signAt(text string, i int) (way, width int) {
	if i >= len(text) {
		return 0, 0
	}
	switch c := text[i]; {
	case c == '+':
		return 1, 1
	case c == '-':
		return -1, 1
	case c < utf8.RuneSelf:
		return 0, 0
	}
	switch r, w := utf8.DecodeRuneInString(text[i:]); r {
	case '\u2212', '\u2013', '\u2010', '\u2011':
		return -1, w
	}
	return 0, 0
}

func isLetter(c byte) bool { return 'a' <= c && c <= 'z' || 'A' <= c && c <= 'Z' }

func isDigit(c byte) bool { return '0' <= c && c <= '9' }

func lower(c byte) byte {
	if 'A' <= c && c <= 'Z' {
		return c + ('a' - 'A')
	}
	return c
}

// fold puts the text into buf in lower case without blanks, points, hyphens and underscores, so that
// "One side", "one-side" and "ONESIDE" are one word. Text that does not fit gives an empty word.
func fold(buf *[24]byte, text string) []byte {
	n := 0
	for i := 0; i < len(text); {
		if w := blankAt(text, i); w > 0 {
			i += w
			continue
		}
		if way, w := signAt(text, i); way < 0 {
			i += w
			continue
		}
		c := text[i]
		i++
		if c == '.' || c == '_' {
			continue
		}
		if n == len(buf) {
			return nil
		}
		buf[n] = lower(c)
		n++
	}
	return buf[:n]
}
