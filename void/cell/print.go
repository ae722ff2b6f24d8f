package cell

import (
	"strconv"
	"strings"
)

// plain prints v in full, without an exponent, with as few digits as give the same float64 again.
func plain(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// moved prints v with its decimal point moved by shift places to the right. The digits are those of
// v itself, so that reading them with the point moved back gives v again.
func moved(v float64, shift int) string {
	text := strconv.FormatFloat(v, 'e', -1, 64)
	sign := ""
	if text[0] == '-' {
		sign, text = "-", text[1:]
	}
	mantissa, exponent, _ := strings.Cut(text, "e")
	e, err := strconv.Atoi(exponent)
	if err != nil {
		return sign + text // infinities and NaN, which no cell holds
	}
	digits := strings.Replace(mantissa, ".", "", 1)
	point := 1 + e + shift // how many of the digits stand in front of the point
	switch {
	case point <= 0:
		return sign + "0." + strings.Repeat("0", -point) + digits
	case point >= len(digits):
		return sign + digits + strings.Repeat("0", point-len(digits))
	}
	return sign + digits[:point] + "." + digits[point:]
}

// offset prints v with its sign in front, nothing for zero.
func offset(v float64) string {
	switch {
	case v == 0:
		return ""
	case v > 0:
		return "+" + plain(v)
	}
	return plain(v)
}
