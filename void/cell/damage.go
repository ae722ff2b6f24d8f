package cell

import (
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// This file says what probably happened to a text that cannot be read. It runs only for such texts.

// longest is the length in bytes of the longest text that is explained. Longer ones are no cell that
// a person has written, and explaining them would only take time.
const longest = 200

// fault returns the fault of a text: what it is not, what was expected, and what probably happened.
func fault(text, isNot, want string) *Fault {
	return &Fault{What: quote(text) + " " + isNot, Want: want, Hint: damage(text)}
}

// tooFar returns the fault of a length over the bound.
func tooFar(text string) *Fault {
	return &Fault{What: quote(text) + " is more than 10 km", Want: wantBounded}
}

// tooFarAway returns the fault of a coordinate over surveyBound.
func tooFarAway(text string) *Fault {
	return &Fault{What: quote(text) + " is more than 10000 km", Want: "at most 10000 km"}
}

// quote returns the text in quotation marks, with what does not print written out. A long text is cut.
func quote(text string) string {
	const most = 60
	n := 0
	for i := range text {
		if n++; n > most {
			return strconv.Quote(text[:i] + "…")
		}
	}
	return strconv.Quote(text)
}

// damage says what probably happened to a text that should hold a number, "" where it has no idea.
func damage(text string) string {
	if len(text) > longest {
		return "it is far too long for a cell"
	}
	if hint := spreadsheetError(text); hint != "" {
		return hint
	}
	if hint := onlySign(text); hint != "" {
		return hint
	}
	if isScientific(text) {
		return "a spreadsheet has put it into scientific form and digits may be lost: format the column as plain numbers and write it again"
	}
	for _, r := range text {
		if r >= utf8.RuneSelf && unicode.IsDigit(r) {
			return "it has digits of another script or width: write plain 0 to 9"
		}
		if unicode.Is(unicode.Sc, r) {
			return "take the currency sign off"
		}
	}
	bare := strings.ToLower(strings.TrimLeft(text, "+-"))
	switch {
	case bare == "nan" || bare == "inf" || bare == "infinity":
		return "a program wrote it where it had no number"
	case len(bare) > 2 && bare[0] == '0' && strings.IndexByte("xbo", bare[1]) >= 0 && isHex(bare[2:]):
		return "write it as a plain decimal number"
	case strings.Contains(text, "_") && isDigit(bare[0]):
		return "take the underscore out"
	}
	if hint := thousands(text); hint != "" {
		return hint
	}
	if hint := otherUnit(bare); hint != "" {
		return hint
	}
	if original, ok := LooksLikeDate(text); ok {
		return "it looks like a date: a spreadsheet makes one of " + original
	}
	if digits := letterForDigit(bare); digits != "" {
		return "it has a letter in place of a digit: write " + digits
	}
	return ""
}

// letterForDigit returns the digits of a number that has the letter O for a zero or l for a one, ""
// for any other text. The text is in lower case.
func letterForDigit(text string) string {
	digits := strings.NewReplacer("o", "0", "l", "1").Replace(text)
	if digits == text || !allDigits(digits) || strings.Trim(text, "ol") == "" {
		return ""
	}
	return digits
}

// spreadsheetError explains the error texts that spreadsheets leave in a cell, "" for any other text.
func spreadsheetError(text string) string {
	if text == "" || text[0] != '#' {
		return ""
	}
	if len(text) > 1 && strings.Trim(text, "#") == "" {
		return "the column was too narrow when the spreadsheet was saved: widen it and save again"
	}
	switch strings.ToUpper(text) {
	case "#REF!", "#N/A", "#VALUE!", "#DIV/0!", "#NAME?", "#NUM!", "#NULL!", "#SPILL!", "#CALC!", "#ERROR!":
		return "a formula in the spreadsheet has failed: mend it and save again"
	}
	return ""
}

// onlySign explains a cell that holds dashes or signs and nothing else.
func onlySign(text string) string {
	if strings.Trim(text, "+-\u2010\u2011\u2012\u2013\u2014\u2212 ") == "" {
		return "leave the cell blank where there is nothing"
	}
	return ""
}

// isScientific reports whether a number in the text has an exponent: 1.2E+03.
func isScientific(text string) bool {
	s := scan{text: text}
	for s.at < len(text) {
		if s.at > 0 && isLetter(text[s.at-1]) || !isDigit(s.peek()) {
			s.at++
			continue
		}
		s.numeral()
		if lower(s.peek()) != 'e' {
			continue
		}
		s.at++
		s.sign()
		if isDigit(s.peek()) {
			return true
		}
	}
	return false
}

func isHex(text string) bool {
	for i := 0; i < len(text); i++ {
		if c := lower(text[i]); !isDigit(c) && (c < 'a' || c > 'f') {
			return false
		}
	}
	return text != ""
}

// thousands explains the first number in the text that has a separator between its digits: a comma,
// an apostrophe, a blank, or more than one point.
func thousands(text string) string {
	for i := 0; i < len(text); i++ {
		if !isDigit(text[i]) {
			continue
		}
		from := i
		for i < len(text) && (isDigit(text[i]) || separatorAt(text, i) > 0) {
			i += max(1, separatorAt(text, i))
		}
		if hint := separated(text[from:i]); hint != "" {
			return hint
		}
	}
	return ""
}

// separatorAt returns the width of what parts digits at text[i]: a comma, a point or an apostrophe
// with a digit behind it, a blank with three. 0 where there is none.
func separatorAt(text string, i int) int {
	r, w := utf8.DecodeRuneInString(text[i:])
	need := 1
	switch {
	case isBlank(r):
		need = 3
	case r != ',' && r != '.' && r != '\'' && r != '\u2019':
		return 0
	}
	n := 0
	for i+w+n < len(text) && isDigit(text[i+w+n]) {
		n++
	}
	if n < need || need == 3 && n > 3 {
		return 0
	}
	return w
}

// separated explains one run of digits and separators, "" where it is a plain number or none at all.
func separated(run string) string {
	// The digits in groups, and the last comma or point, which may be the decimal one.
	var groups []string
	group, last, commas, points, others := "", rune(0), 0, 0, 0
	for _, r := range run {
		if r >= '0' && r <= '9' {
			group += string(r)
			continue
		}
		groups = append(groups, group)
		group, last = "", r
		switch r {
		case ',':
			commas++
		case '.':
			points++
		default:
			others++
		}
	}
	inThrees := len(groups) > 0
	for i, g := range groups {
		if len(g) > 3 || i > 0 && len(g) < 3 {
			inThrees = false
		}
	}
	whole := strings.Join(groups, "")
	switch {
	case len(groups) == 0 || points == 1 && len(groups) == 1:
		return ""
	case commas == 1 && len(groups) == 1:
		if inThrees && len(group) == 3 && whole[0] != '0' {
			return "the comma may part thousands or be a decimal comma: write " + whole + group + ", or " +
				whole + "." + group + " with a point"
		}
		return "write a decimal point in place of the comma: " + whole + "." + group
	case !inThrees:
		return ""
	case last == ',' && commas == 1 || last == '.' && points == 1:
		return "write it without thousands separators, and with a decimal point: " + whole + "." + group
	case len(group) == 3:
		return "write it without thousands separators: " + whole + group
	}
	return ""
}

// otherUnit explains a number with a unit that the tables do not take. The text is in lower case.
func otherUnit(text string) string {
	s := scan{text: text}
	s.blanks()
	if _, ok := s.numeral(); !ok {
		return ""
	}
	s.blanks()
	switch rest := s.text[s.at:]; rest {
	case "cm", "dm", "km", "centimetres", "millimetres", "metres", "millimeters", "meters", "metre", "meter":
		return "only mm and m are read as units"
	case "\"", "''", "in", "inch", "inches", "'", "ft", "feet", "\u2033", "\u2032":
		return "only mm and m are read as units: turn feet and inches into millimetres"
	}
	return ""
}

// months in the short form of spreadsheets.
var months = [...]string{"jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"}

// LooksLikeDate reports whether the text is a date as a spreadsheet shows one, and what it probably
// was before: 3-4 for 03-Apr, 4-Mar, 03/04/2026, 2026-04-03 and 2026-04-03 00:00:00; 1-80 for Jan-80.
// A day without its leading zero is how a spreadsheet shows a date that was typed month first. A plain
// number is never a date here, although a spreadsheet's serial number may be one. The answer is for a
// hint, when a name is not found: a project may really name a thing so.
func LooksLikeDate(text string) (original string, ok bool) {
	d, ok := readDate(text)
	if !ok {
		return "", false
	}
	first, second := d.day, d.month
	switch {
	case d.day == 0:
		first, second = d.month, d.year%100
	case d.monthFirst:
		first, second = d.month, d.day
	}
	return strconv.Itoa(first) + "-" + strconv.Itoa(second), true
}

// date is a date as a spreadsheet shows it.
type date struct {
	day, month int  // day 0: a month of a year
	year       int  // 0: not shown; below 100 as shown
	monthFirst bool // was probably typed month first
}

// readDate reads a date as a spreadsheet shows it. Of 03/04/2026 the first is taken for the day; it was
// typed in that order whichever it is.
func readDate(text string) (date, bool) {
	t := clean(text)
	if len(t) > longest {
		return date{}, false
	}
	s := scan{text: t}
	var part [3]string
	n, apart := 0, false // apart: two parts have only a blank between them
	for n < 3 && s.at < len(t) {
		if n > 0 {
			// A separator, or the time of day behind the date.
			from := s.at
			s.blanks()
			if way, w := signAt(t, s.at); way < 0 {
				s.at += w
			} else if s.byte('.') || s.byte('/') {
				s.blanks()
			} else {
				apart = true
			}
			if s.at == from {
				return date{}, false
			}
		}
		from := s.at
		for isDigit(s.peek()) {
			s.at++
		}
		if s.at == from {
			for isLetter(s.peek()) {
				s.at++
			}
		}
		if s.at == from {
			return date{}, false
		}
		part[n] = t[from:s.at]
		n++
	}
	if rest := t[s.at:]; rest != "" && !isMidnight(rest) {
		return date{}, false
	}
	a, b, c := part[0], part[1], part[2]
	if apart && month(a) == 0 && month(b) == 0 {
		return date{}, false
	}
	switch {
	case n == 2 && isDay(a) && month(b) > 0: // 03-Apr, 4-Mar
		return date{day: asInt(a), month: month(b), monthFirst: len(a) == 1}, true
	case n == 2 && month(a) > 0 && isYear(b): // Apr-03, Jan-80, Jan 1980
		return date{month: month(a), year: asInt(b)}, true
	case n == 3 && isDay(a) && month(b) > 0 && isYear(c): // 03-Apr-2026
		return date{day: asInt(a), month: month(b), year: asInt(c), monthFirst: len(a) == 1}, true
	case n == 3 && isDay(a) && isDay(b) && isYear(c) && asInt(b) <= 12: // 03/04/2026
		return date{day: asInt(a), month: asInt(b), year: asInt(c)}, true
	case n == 3 && isDay(a) && isDay(b) && isYear(c) && asInt(a) <= 12: // 4/13/2026
		return date{day: asInt(b), month: asInt(a), year: asInt(c), monthFirst: true}, true
	case n == 3 && len(a) == 4 && isYear(a) && isDay(c) && isDay(b) && asInt(b) <= 12: // 2026-04-03
		return date{day: asInt(c), month: asInt(b), year: asInt(a)}, true
	}
	return date{}, false
}

// isMidnight reports whether the text is the time of day that follows a date without one.
func isMidnight(text string) bool {
	text = trim(strings.TrimPrefix(text, "T"))
	return text == "00:00:00" || text == "00:00" || text == "0:00"
}

// month returns the month, 1 to 12, by its English name, short or in full; 0 for another word.
func month(word string) int {
	if len(word) < 3 {
		return 0
	}
	word = strings.ToLower(word)
	for i, m := range months {
		if word == m || word == longMonths[i] || m == "sep" && word == "sept" {
			return i + 1
		}
	}
	return 0
}

var longMonths = [...]string{
	"january", "february", "march", "april", "may", "june", "july", "august",
	"september", "october", "november", "december",
}

func isDay(text string) bool {
	if len(text) == 0 || len(text) > 2 || !isDigit(text[0]) {
		return false
	}
	d := asInt(text)
	return d >= 1 && d <= 31
}

func isYear(text string) bool {
	if len(text) != 2 && len(text) != 4 || !isDigit(text[0]) {
		return false
	}
	return len(text) == 2 || asInt(text) >= 1900 && asInt(text) < 2100
}

// asInt returns the number that a short run of digits is.
func asInt(digits string) int {
	n, _ := strconv.Atoi(digits)
	return n
}
