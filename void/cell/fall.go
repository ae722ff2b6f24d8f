package cell

import (
	"strconv"
	"strings"
)

const wantFall = "1 in 80, 12.5 mm/m or 1.25 %"

// ParseFall reads a slope downwards from the start of a row: 1 in 80, 1:80, 1/80, 12.5 mm/m, 1.25 %;
// 0, level and none are no fall. A minus in front is a rise. A number without a unit is a fault, since it
// might be any of the three, and so is a ratio over 1 in 1, which is surely the wrong way round;
// mm/m and % go up to a slope of 1000, for the length of duct that rises from one level to another.
func ParseFall(text string) Fall {
	t := clean(text)
	if t == "" {
		return Fall{}
	}
	if isLetter(t[0]) {
		var buf [24]byte
		switch string(fold(&buf, t)) {
		case "level", "none", "flat":
			return Fall{Text: t}
		}
	}
	s := scan{text: t}
	way := s.sign()
	s.blanks()
	n, ok := s.numeral()
	if !ok {
		return Fall{Text: t, Fault: fallFault(t)}
	}
	s.blanks()
	var slope float64
	switch {
	case s.at == len(t):
		if slope = n.value(0); slope != 0 {
			return Fall{Text: t, Fault: fallFault(t)}
		}
	case s.byte('%'):
		slope = n.value(-2)
	case s.word("mm/m"):
		slope = n.value(-3)
	case s.word("mm"):
		s.blanks()
		per := s.byte('/') || s.word("per")
		s.blanks()
		if !per || !s.word("m") && !s.word("metre") && !s.word("meter") {
			return Fall{Text: t, Fault: fallFault(t)}
		}
		slope = n.value(-3)
	case s.peek() == ':', s.peek() == '/', s.word("in"):
		colon := s.byte(':')
		if !colon {
			s.byte('/')
		}
		s.blanks()
		run, ok := s.numeral()
		over := run.value(0)
		if !ok || over == 0 || colon && way == 0 && isTimeOfDay(n.text, run.text) {
			return Fall{Text: t, Fault: fallFault(t)}
		}
		slope = n.value(0) / over
		if !(slope <= 1) {
			return Fall{Text: t, Fault: fallFault(t)}
		}
	default:
		return Fall{Text: t, Fault: fallFault(t)}
	}
	if !s.done() {
		return Fall{Text: t, Fault: fallFault(t)}
	}
	if !(slope <= steepest) {
		return Fall{Text: t, Fault: &Fault{What: quote(t) + " is too steep", Want: wantFall}}
	}
	return Fall{Text: t, Slope: signed(slope, way)}
}

// steepest is the bound of a slope. Beyond it a row is upright, and is written with a range of levels.
const steepest = 1000

// longestRun is the flattest fall, 1 in so much, that a time of day is taken for (common practice, no
// source: drains are not laid flatter).
const longestRun = 600

// isTimeOfDay reports whether hours and minutes are as a spreadsheet writes them: with a leading zero,
// or from two o'clock on with two digits for the minutes. 1:20 is a fall, and the same fall where
// a spreadsheet has made it twenty past one.
func isTimeOfDay(hours, minutes string) bool {
	if len(minutes) != 2 || minutes[0] > '5' || minutes[1] == '.' {
		return false
	}
	return len(hours) == 2 && hours[1] != '.' && (hours[0] <= '1' || hours <= "23") ||
		len(hours) == 1 && hours != "1"
}

// fallFault explains why a fall cannot be read.
func fallFault(text string) *Fault {
	f := &Fault{What: quote(text) + " is not a fall", Want: wantFall}
	if len(text) > longest {
		f.Hint = damage(text)
		return f
	}
	if run, ok := timeOfDay(text); ok {
		f.Hint = "it looks like a time of day: a spreadsheet makes one of " + madeOf(':', run)
		return f
	}
	if d, ok := readDate(text); ok {
		f.Hint = "it looks like a date: a spreadsheet makes one of " + madeOf('/', d.run())
		return f
	}
	s := scan{text: text}
	s.sign()
	s.blanks()
	n, ok := s.numeral()
	switch {
	case ok && s.done():
		f.Hint = "say which it is: 1 in …, mm/m or %"
		// A time of day as a part of a day, with more digits than anyone writes.
		minutes := n.value(0) * 24 * 60
		if whole := float64(int(min(minutes, 24*60) + 0.5)); n.scale >= 5 && whole > 60 &&
			minutes-whole < 0.01 && whole-minutes < 0.01 {
			f.Hint = "it looks like a time of day as a part of a day: a spreadsheet makes one of " + madeOf(':', int(whole)-60)
		}
	case ok && (s.byte(':') || s.byte('/') || s.word("in")):
		s.blanks()
		if run, ok := s.numeral(); ok && s.done() && n.value(0) > run.value(0) {
			f.What = quote(text) + " is steeper than 1 in 1"
			f.Hint = "the rise comes first, then the run; a steep one is written in mm/m"
		}
		if f.Hint == "" && otherUnit(strings.ToLower(strings.TrimLeft(text, "+-"))) == "" { // the in of 1 in is no inch
			f.Hint = damage(text)
		}
	default:
		f.Hint = damage(text)
	}
	return f
}

// madeOf names the fall that a spreadsheet took for something else, and how to write it so that it does
// not. A run of 0 is not known.
func madeOf(sep byte, run int) string {
	if run == 0 {
		return "1" + string(sep) + "80; write 1 in 80"
	}
	n := strconv.Itoa(run)
	return "1" + string(sep) + n + "; write 1 in " + n
}

// run returns the run of the fall 1/run that was taken for the date, 0 where it was none: 1/20 is shown
// as Jan-20 or 20-Jan, 1/10 as 01-Oct or Jan-10, 1/80 as Jan-80, and by its value as 1 January 1980.
func (d date) run() int {
	switch {
	case d.day == 0 && d.month == 1:
		return d.year % 100
	case d.day == 1 && d.month == 1 && d.year > 31:
		return d.year % 100
	case d.month == 1:
		return d.day
	case d.day == 1:
		return d.month
	}
	return 0
}

// timeOfDay reports whether the text is a time of day as a spreadsheet shows one (02:20, 2:20, 01:40:00,
// 1:40 AM), and of which fall 1:run it was made: 1 hour 80 minutes is 02:20. The run is 0 where it was
// made of none.
func timeOfDay(text string) (run int, ok bool) {
	s := scan{text: text}
	digits := func() string {
		from := s.at
		for isDigit(s.peek()) {
			s.at++
		}
		return text[from:s.at]
	}
	h := digits()
	if len(h) == 0 || len(h) > 3 || !s.byte(':') {
		return 0, false
	}
	m := digits()
	if len(m) != 2 || m[0] > '5' {
		return 0, false
	}
	if s.byte(':') {
		if sec := digits(); len(sec) != 2 || sec[0] > '5' {
			return 0, false
		}
	}
	hours := asInt(h)
	s.blanks()
	switch {
	case s.word("am"):
		hours %= 12
	case s.word("pm"):
		hours = 24 // of no fall: see longestRun
	}
	if !s.done() {
		return 0, false
	}
	run = (hours-1)*60 + asInt(m)
	if run < 1 || run > longestRun {
		run = 0
	}
	return run, true
}

// UnmarshalCSV reads the cell; it never returns an error, the fault is kept in the cell.
func (c *Fall) UnmarshalCSV(text string) error { *c = ParseFall(text); return nil }

// Blank reports whether nothing is written in the cell.
func (c Fall) Blank() bool { return c.Text == "" }

// String returns the fall as ParseFall takes it: 1 in 80 where that is exactly it, else in mm/m, 0
// where there is none; "" when blank, and the text as written where there is a fault.
func (c Fall) String() string {
	switch {
	case c.Text == "" || c.Fault != nil:
		return c.Text
	case c.Slope == 0:
		return "0"
	}
	way, slope := "", c.Slope
	if slope < 0 {
		way, slope = "-", -slope
	}
	if run := 1 / slope; run <= 1e6 {
		if whole := float64(int(run + 0.5)); 1/whole == slope {
			return way + "1 in " + plain(whole)
		}
	}
	return way + moved(slope, 3) + " mm/m"
}
