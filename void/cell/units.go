package cell

import "strings"

// A reader that knows a column to be in metres, or a file to have decimal commas, rewrites the text of
// a cell before it is parsed, in this order:
//
//  1. DecimalComma, or DecimalCommaMetres for a column in metres, where the file is separated by
//     semicolons or tabs; on columns of numbers, lengths, places, sizes, levels, falls, gaps and
//     insulation, never on names and texts.
//  2. Metres, for a column in metres, on columns of lengths, places, sizes, levels, gaps and insulation.
//
// Both leave alone what they do not understand, so that parsing finds the fault and quotes the text.

// Metres marks the numbers of a cell from a column in metres with an m: "2.7" becomes "2.7 m",
// "0.6x0.3" becomes "0.6x0.3 m", "FFL+2.4..soffit" becomes "FFL+2.4 m..soffit". Numbers that have a unit
// keep it; the labels of grid lines, DN and steel names are no lengths and stay. Marking twice
// is marking once.
func Metres(text string) string {
	if text == "" || hasFixedSize(text) || isScientific(clean(text)) {
		return text
	}
	var b strings.Builder
	done := 0 // how much of the text is in b
	s := scan{text: text}
	for s.at < len(text) {
		from := s.at
		if strings.HasPrefix(text[from:], "..") {
			s.at += 2
			continue
		}
		if !isDigit(s.peek()) && s.peek() != '.' {
			s.at++
			continue
		}
		if _, ok := s.numeral(); !ok {
			s.at++
			continue
		}
		end := s.at
		if !startsNumber(text, from) {
			continue
		}
		if u := s.unit(); u != noUnit {
			continue
		}
		if !endsNumber(text, end) {
			continue
		}
		b.WriteString(text[done:end])
		b.WriteString(" m")
		if r := text[end:]; r != "" && blankAt(r, 0) == 0 && !strings.ContainsAny(r[:1], ".+-:)") {
			b.WriteByte(' ')
		}
		done = end
	}
	if done == 0 {
		return text
	}
	b.WriteString(text[done:])
	return b.String()
}

// hasFixedSize reports whether the text holds a nominal size, a standard or a steel name, whose numbers
// are no lengths.
func hasFixedSize(text string) bool {
	s := scan{text: text}
	var buf [16]byte
	digit := false // there is a digit in front of the position
	for s.at < len(text) {
		_, n := s.letters(&buf)
		if n == 0 {
			digit = digit || isDigit(s.peek())
			s.at++
			continue
		}
		from := s.at
		for at := from; at < from+n; at++ { // 406x178UB60: the run of letters may begin with the x
			if at > from+1 {
				break
			}
			t := scan{text: text, at: at}
			if t.word("dn") || t.word("en") || t.family() > noFamily && from+n-at > 1 {
				t.blanks()
				if isDigit(t.peek()) || digit {
					return true
				}
			}
		}
		s.at = from + n
	}
	return false
}

// startsNumber reports whether the number at text[i] can be a length: it is not part of a label or of
// a longer number, and does not follow the word grid.
func startsNumber(text string, i int) bool {
	before := trimRight(text[:i])
	if before == "" {
		return true
	}
	if len(before) == i {
		switch c := before[i-1]; {
		case isDigit(c), c == ',', c == '/', c == '_', c == '\'' && clean(before) != "",
			c == '.' && !strings.HasSuffix(before, ".."):
			return false
		case isLetter(c):
			// x between the numbers of a size, and to and words for a diameter, may stand close.
			word := lastLetters(before)
			return word == "to" || word == "dia" || word == "x" && len(before) > 1 && !isLetter(before[i-2])
		}
		return true
	}
	switch lastLetters(before) {
	case "grid", "gridline", "line":
		// "datum line 1.65" is a level.
		rest := trimRight(before[:len(before)-len(lastLetters(before))])
		w := lastLetters(rest)
		return w == "datum" || w == "ceiling"
	}
	return true
}

// lastLetters returns the letters at the end of the text in lower case.
func lastLetters(text string) string {
	i := len(text)
	for i > 0 && isLetter(text[i-1]) {
		i--
	}
	return strings.ToLower(text[i:])
}

// endsNumber reports whether the number that ends at text[i] can be a length: no further number of
// a size follows, whose unit holds for both, nor an offset or letters that make it a label.
func endsNumber(text string, i int) bool {
	s := scan{text: text, at: i}
	if s.times() {
		s.blanks()
		s.sign()
		s.blanks()
		_, ok := s.numeral()
		return !ok
	}
	s.at = i
	s.blanks()
	if s.sign() != 0 { // the label of grid A-1+1200
		return false
	}
	s.at = i
	if s.at < len(text) && (s.peek() == ',' || s.peek() == '/' || s.peek() == '_' || s.peek() == '\'' || s.peek() == ':' || s.peek() == '%') {
		return false
	}
	if !isLetter(s.peek()) {
		return true
	}
	// 2.7AFFL and 0.25dia: words that may stand close.
	if _, ok := s.ref(); ok {
		return true
	}
	return s.diameter() || s.word("to") || s.word("over")
}

// DecimalComma turns the decimal commas of a cell into points, for files separated by semicolons or
// tabs and columns in millimetres or without a unit: "2,7" becomes "2.7", "1.234,5" becomes "1234.5".
// A comma with exactly three digits behind it may part thousands ("1,200") and stays, so that parsing
// explains it; it is decimal where an m or % follows, or where the number begins with a zero.
func DecimalComma(text string) string { return decimalComma(text, false) }

// DecimalCommaMetres is DecimalComma for a column in metres, where "1,200" is 1.2: nobody parts
// thousands of metres. Numbers with mm behind them are left as DecimalComma leaves them.
func DecimalCommaMetres(text string) string { return decimalComma(text, true) }

func decimalComma(text string, metres bool) string {
	if strings.IndexByte(text, ',') < 0 {
		return text
	}
	var b strings.Builder
	done := 0
	for i := 0; i < len(text); {
		if !isDigit(text[i]) && text[i] != ',' {
			i++
			continue
		}
		// The run of digits, commas and single points.
		end := i
		for end < len(text) && (isDigit(text[end]) || text[end] == ',' ||
			text[end] == '.' && end > i && (end+1 == len(text) || text[end+1] != '.') && text[end-1] != '.') {
			end++
		}
		if end == i {
			i++
			continue
		}
		if startsDecimal(text, i) {
			if number, ok := withPoint(text[i:end], metres, text[end:]); ok {
				b.WriteString(text[done:i])
				b.WriteString(number)
				done = end
			}
		}
		i = end
	}
	if done == 0 {
		return text
	}
	b.WriteString(text[done:])
	return b.String()
}

// startsDecimal reports whether the run at text[i] can be a number with a decimal comma.
func startsDecimal(text string, i int) bool {
	if i > 0 && strings.HasSuffix(text[:i], "..") {
		return true
	}
	return startsNumber(text, i)
}

// withPoint returns a run of digits, commas and points with a decimal point, where it is clear which
// comma is the decimal one. The unit is looked for in what follows.
func withPoint(run string, metres bool, follows string) (string, bool) {
	comma := strings.IndexByte(run, ',')
	if comma < 0 || comma != strings.LastIndexByte(run, ',') {
		return "", false
	}
	whole, part := run[:comma], run[comma+1:]
	if strings.IndexByte(part, '.') >= 0 || whole == "" && part == "" {
		return "", false
	}
	if strings.IndexByte(whole, '.') >= 0 {
		groups := strings.Split(whole, ".")
		for i, g := range groups {
			if i > 0 && len(g) != 3 || len(g) == 0 || len(g) > 3 {
				return "", false
			}
		}
		return strings.Join(groups, "") + "." + part, part != ""
	}
	if len(part) == 3 && len(whole) >= 1 && len(whole) <= 3 && whole[0] != '0' {
		switch unitAfter(follows) {
		case metre:
		case millimetre:
			return "", false
		default:
			if !metres && !strings.HasPrefix(trim(follows), "%") {
				return "", false
			}
		}
	}
	return whole + "." + part, true
}

// unitAfter returns the unit of a number from what follows it: its own, or in a size that behind the
// last number.
func unitAfter(follows string) unit {
	s := scan{text: follows}
	for range 3 { // a size has no more numbers
		if u := s.unit(); u != noUnit {
			return u
		}
		if !s.times() {
			return noUnit
		}
		s.blanks()
		from := s.at
		for isDigit(s.peek()) || s.peek() == ',' || s.peek() == '.' {
			s.at++
		}
		if s.at == from {
			return noUnit
		}
	}
	return noUnit
}

// Points says what the points in the numbers of a text can be. thousands: one has up to three digits in front of its
// point, exactly three behind it and no metres: 1.200, which is 1200 where numbers have decimal commas and 1.2 where
// they have decimal points. decimal: one has a point that can be nothing but a decimal one: 12.5, 1200.000, 2.850 m.
func Points(text string) (thousands, decimal bool) {
	if strings.IndexByte(text, '.') < 0 {
		return false, false
	}
	s := scan{text: text}
	for s.at < len(text) {
		from := s.at
		if strings.HasPrefix(text[from:], "..") {
			s.at += 2
			continue
		}
		n, ok := s.numeral()
		if !ok {
			s.at++
			continue
		}
		whole := len(n.text) - n.scale - 1
		switch {
		case n.scale == 0 || s.peek() == '.' || !startsNumber(text, from): // 1.234.567; grid 3.1
			for s.peek() == '.' || isDigit(s.peek()) {
				if strings.HasPrefix(text[s.at:], "..") {
					break
				}
				s.at++
			}
		case n.scale != 3 || whole < 1 || whole > 3 || n.text[0] == '0' || s.unit() == metre:
			decimal = true
		default:
			thousands = true
		}
	}
	return thousands, decimal
}
