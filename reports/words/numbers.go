package words

import (
	"math"
	"strconv"
)

// tenths returns mm in whole tenths of a millimetre, and false where it is no number.
func tenths(mm float64) (float64, bool) {
	if math.IsNaN(mm) || math.IsInf(mm, 0) {
		return 0, false
	}
	return math.Round(mm * 10), true
}

// Tenth returns mm to the nearest 0.1, halves away from zero, and never minus zero. Not-a-number and
// the infinities come back as they are: the writer of a record refuses them.
func Tenth(mm float64) float64 {
	n, ok := tenths(mm)
	if !ok {
		return mm
	}
	if math.Abs(n) >= 1<<53 {
		return mm // no tenths are left in so large a number
	}
	return n/10 + 0 // minus zero plus zero is zero
}

// Up returns mm in whole millimetres for people: first to the nearest 0.1, so that 60.00001 stays 60,
// then up. It is for what must not be told too small: a shortfall, a move, what is asked, the
// size of a hole. What is no number is "?".
func Up(mm float64) string { return whole(mm, math.Ceil) }

// Down returns mm in whole millimetres for people: first to the nearest 0.1, so that 59.99999 is 60,
// then down. It is for what must not be told too large: a gap. What is no number is "?".
func Down(mm float64) string { return whole(mm, math.Floor) }

// Near returns mm in whole millimetres for people: first to the nearest 0.1, then to the nearest,
// halves away from zero. It is for places and levels, which have no side of safety.
func Near(mm float64) string { return whole(mm, math.Round) }

func whole(mm float64, to func(float64) float64) string {
	n, ok := tenths(mm)
	if !ok {
		return "?"
	}
	return strconv.FormatFloat(to(n/10)+0, 'f', 0, 64)
}

// Above returns mm as an offset with its sign, to the nearest whole millimetre: +2964, -120, +0.
func Above(mm float64) string { return signed(Near(mm)) }

// AboveUp and AboveDown are Above rounded to the side of safety: the top of a thing up, its underside down.
func AboveUp(mm float64) string { return signed(Up(mm)) }

// AboveDown returns the level of an underside.
func AboveDown(mm float64) string { return signed(Down(mm)) }

func signed(s string) string {
	if s[0] != '-' && s[0] != '?' {
		s = "+" + s
	}
	return s
}

// Level returns a level above the storey's finished floor: FFL+2964.
func Level(mm float64) string { return "FFL" + Above(mm) }

// Count returns a number and its noun: 1 bay, 2 bays, 0 bays. Many is the plural.
func Count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return strconv.Itoa(n) + " " + many
}
