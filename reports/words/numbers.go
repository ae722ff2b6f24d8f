package words

import (
	"strconv"

	"voidline/clash/figure"
)

// Tenth returns mm to the nearest 0.1, as the record carries it.
func Tenth(mm float64) float64 { return figure.Tenth(mm) }

// Up returns whole millimetres, up: what must not be told too small.
func Up(mm float64) string { return figure.Up(mm) }

// Down returns whole millimetres, down: what must not be told too large.
func Down(mm float64) string { return figure.Down(mm) }

// Near returns whole millimetres, the nearest: places and levels.
func Near(mm float64) string { return figure.Near(mm) }

// Above returns a whole number of millimetres with its sign.
func Above(mm float64) string { return figure.Above(mm) }

// AboveUp is Above for the top of a thing: up.
func AboveUp(mm float64) string { return figure.AboveUp(mm) }

// AboveDown is Above for an underside: down.
func AboveDown(mm float64) string { return figure.AboveDown(mm) }

// Level returns a level above the storey's finished floor: FFL+2964.
func Level(mm float64) string { return figure.Level(mm) }

// Count returns a number and its noun: 1 bay, 2 bays, 0 bays. Many is the plural.
func Count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return strconv.Itoa(n) + " " + many
}

// Overdue says by how many days something is past its date: overdue 1 day, overdue 12 days.
func Overdue(days int) string { return "overdue " + Count(days, "day", "days") }
