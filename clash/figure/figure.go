// Package figure rounds: one thing has one figure in text, table, drawing, register and exchange file.
//
// What comes in is millimetres as measured; what goes out is the nearest 0.1 mm, which the record carries, or the whole
// millimetres that people read: always of the nearest 0.1, so that both are of one figure. It knows nothing of findings.
package figure

import (
	"math"
	"strconv"
)

// Slack is up to how much, in mm, may be lacking before anything is told: half of the 0.1 that the record carries, and a hair
// (0.001), so that nothing is told as short by 0 and nothing hangs on the last bits of a sum.
const Slack = 0.051

// Lacks reports whether what there is falls short of what is needed by more than Slack, both in mm.
func Lacks(there, needed float64) bool { return there < needed-Slack }

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
// then up. It is for what must not be told too small: a shortfall, a move, what is needed, the
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

// AboveUp is Above for the top of a thing (a build-up, a tray): up, so that what is clear over it is not told too large.
func AboveUp(mm float64) string { return signed(Up(mm)) }

// AboveDown is Above for the underside of a thing (a soffit, steel, a finished face): down, for what is under it.
func AboveDown(mm float64) string { return signed(Down(mm)) }

func signed(s string) string {
	if s[0] != '-' && s[0] != '?' {
		s = "+" + s
	}
	return s
}

// Level returns a level above the storey's finished floor: FFL+2964.
func Level(mm float64) string { return "FFL" + Above(mm) }
