package cell

import (
	"unicode"
	"unicode/utf8"
)

const wantPlace = "millimetres, such as 1200, or a grid line and an offset, such as B+1200 or grid 3 - 450"

// ParsePlace reads one coordinate in plan: 1200, -35.5, 1.2 m, or a grid line with an offset or without:
// B, B+1200, B - 1.2 m, 3A+600, grid 3, grid 3 - 450. Without a unit it is in millimetres. A label that
// is itself a number takes the word grid in front (gridline, grid line and line do as well), and so
// does any label that could be taken for something else. Line keeps the label as written.
func ParsePlace(text string) Place {
	t := clean(text)
	if t == "" {
		return Place{}
	}
	s := scan{text: t}
	if mm, _, _, ok := s.length(); ok && s.done() {
		if !surveyed(mm) {
			return Place{Text: t, Fault: tooFarAway(t)}
		}
		return Place{Text: t, MM: mm}
	}
	s.at = 0
	named := s.gridWord()
	label, mm := splitOffset(t[s.at:])
	if !isLabel(label, named) {
		return Place{Text: t, Fault: placeFault(t, label, named)}
	}
	if !named && mm != 0 && looksSpoilt(t, label) {
		return Place{Text: t, Fault: placeFault(t, label, named)}
	}
	if !within(mm) {
		return Place{Text: t, Fault: tooFar(t)}
	}
	return Place{Text: t, Line: label, MM: mm}
}

// looksSpoilt reports whether a grid line with an offset is more likely what a spreadsheet has made of
// something else: Apr-03 of 4-3, or 3E+03 of 3000; it writes exponents below 100 with two digits.
func looksSpoilt(text, label string) bool {
	if month(label) > 0 {
		_, ok := LooksLikeDate(text)
		return ok
	}
	n := len(text)
	return isDigit(text[0]) && n > 4 && allDigits(text[:n-4]) && lower(text[n-4]) == 'e' && allDigits(text[n-2:])
}

// gridWord steps over the word grid in front of a label.
func (s *scan) gridWord() bool {
	switch {
	case s.word("grid"):
		s.then("line")
	case s.word("gridline"), s.word("line"):
	default:
		return false
	}
	s.blanks()
	return true
}

// splitOffset parts a label from the offset behind its last sign. Where what stands there is no length,
// all of the text is the label.
func splitOffset(text string) (label string, mm float64) {
	last := -1
	for i := 1; i < len(text); i++ {
		if way, w := signAt(text, i); w > 0 {
			if way != 0 {
				last = i
			}
			i += w - 1
		}
	}
	if last < 0 {
		return text, 0
	}
	s := scan{text: text, at: last}
	mm, _, _, ok := s.length()
	if !ok || !s.done() {
		return text, 0
	}
	return trim(text[:last]), mm
}

// isLabel reports whether the text may be the label of a grid line. Behind the word grid anything may
// that does not begin or end with a sign. Else it begins with a letter, or with a number and up to three
// letters that are no unit, and holds nothing that makes it look like a sum or a forgotten sign.
func isLabel(label string, named bool) bool {
	if label == "" || endsInSign(label) {
		return false
	}
	if way, _ := signAt(label, 0); way != 0 {
		return false
	}
	if named {
		for _, r := range label {
			if unicode.IsControl(r) {
				return false
			}
		}
		return true
	}
	if isDigit(label[0]) {
		i := 0
		for i < len(label) && isDigit(label[i]) {
			i++
		}
		from := i
		for i < len(label) && isLetter(label[i]) {
			i++
		}
		if i == from || i-from > 3 {
			return false
		}
		switch rest := label[from:i]; {
		case len(rest) == 1 && lower(rest[0]) == 'm', len(rest) == 1 && lower(rest[0]) == 'e' && i < len(label):
			return false
		case len(rest) == 2:
			switch c := lower(rest[0]); {
			case lower(rest[1]) == 'm' && (c == 'm' || c == 'c' || c == 'd' || c == 'k'),
				c == 'f' && lower(rest[1]) == 't', c == 'i' && lower(rest[1]) == 'n':
				return false
			}
		}
		return i == len(label) || label[i] == '\'' && i+1 == len(label) || label[i] == '.' && allDigits(label[i+1:])
	}
	gap := false // the last thing was a blank
	for i, r := range label {
		switch {
		case i == 0 && (!unicode.IsLetter(r) || r == 'ø' || r == 'Ø'):
			return false
		case gap && r >= '0' && r <= '9': // B 1200: a sign was forgotten
			return false
		}
		gap = isBlank(r)
		switch {
		case r == utf8.RuneError || r >= utf8.RuneSelf && unicode.IsDigit(r):
			return false
		case unicode.IsLetter(r), unicode.IsDigit(r), gap && r != '\n' && r != '\r':
		case r == '.' || r == '\'' || r == '/' || r == '_' || r == '*':
		default:
			way, w := signAt(label, i)
			if way >= 0 || i+w < len(label) && isDigit(label[i+w]) { // A+B; A-1+1200: two offsets
				return false
			}
		}
	}
	// Words that are no labels.
	s := scan{text: label}
	switch len(label) {
	case 3:
		return !s.word("nan") && !s.word("inf")
	case 8:
		return !s.word("infinity")
	}
	return true
}

func endsInSign(text string) bool {
	_, w := utf8.DecodeLastRuneInString(text)
	way, _ := signAt(text, len(text)-w)
	return way != 0
}

func allDigits(text string) bool {
	for i := 0; i < len(text); i++ {
		if !isDigit(text[i]) {
			return false
		}
	}
	return text != ""
}

// placeFault explains why a place cannot be read.
func placeFault(text, label string, named bool) *Fault {
	f := &Fault{What: quote(text) + " is not a place", Want: wantPlace}
	if len(text) > longest {
		f.Hint = damage(text)
		return f
	}
	s := scan{text: text}
	n, number := s.numeral()
	after := s.at
	s.blanks()
	way := s.sign()
	_, _, _, length := s.length()
	if original, ok := LooksLikeDate(text); ok && !named {
		f.Hint = "it looks like a date: a spreadsheet makes one of " + original
		return f
	}
	switch {
	case named && label == "":
		f.Hint = "the label of the grid line is missing"
	case named:
		f.Hint = damage(label)
	case number && way != 0 && length && s.done(): // 3-450
		f.Hint = "a grid line whose label is a number is written grid " + n.text + text[after:]
	case isScientific(text):
		f.Hint = damage(text)
		if n.scale == 0 {
			f.Hint += "; a grid line is written grid " + text
		}
	default:
		if f.Hint = damage(text); f.Hint != "" {
			break
		}
		f.Hint = forgottenSign(text)
		switch {
		case f.Hint != "":
		case len(label) < len(text) && isLabel(label, true): // A-1+1200
			f.Hint = "where the label is " + label + ", write grid " + text
		case endsInSign(text):
			f.Hint = "the offset is missing"
		}
	}
	return f
}

// forgottenSign explains B 1200.
func forgottenSign(text string) string {
	for i := len(text) - 1; i > 0; i-- {
		w := blankAt(text, i)
		if w == 0 {
			continue
		}
		s := scan{text: text, at: i}
		if _, way, _, ok := s.length(); ok && way == 0 && s.done() {
			if label := trim(text[:i]); isLabel(label, false) {
				return "write " + label + "+" + trim(text[i:]) + " for an offset, grid " + text + " for a label with a blank in it"
			}
		}
	}
	return ""
}

// UnmarshalCSV reads the cell; it never returns an error, the fault is kept in the cell.
func (c *Place) UnmarshalCSV(text string) error { *c = ParsePlace(text); return nil }

// Blank reports whether nothing is written in the cell.
func (c Place) Blank() bool { return c.Text == "" }

// String returns the place as ParsePlace takes it, in millimetres: 1200, B, B+1200, grid 3-450; "" when
// blank, and the text as written where there is a fault.
func (c Place) String() string {
	if c.Text == "" || c.Fault != nil {
		return c.Text
	}
	if c.Line == "" {
		return plain(c.MM)
	}
	// The shortest form that is read as the same place.
	bare := c.Line + offset(c.MM)
	for _, text := range [...]string{bare, "grid " + bare, "grid line " + bare} {
		if p := ParsePlace(text); p.Fault == nil && p.Line == c.Line && p.MM == c.MM {
			return text
		}
	}
	return "grid line " + c.Line + "+0"
}
