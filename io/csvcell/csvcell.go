// Package csvcell says how the text of a cell is written into a table that people open in a spreadsheet.
package csvcell

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// signs are what a spreadsheet takes for the beginning of a formula.
const signs = "=+-@＝＋－＠"

// Defuse puts an apostrophe before what a spreadsheet would run.
func Defuse(text string) string {
	if r, _ := utf8.DecodeRuneInString(text); text != "" && strings.ContainsRune(signs, r) && !isNumber(text) {
		return "'" + text
	}
	return text
}

// Undefuse takes off what Defuse put before a text.
func Undefuse(text string) string {
	if rest, ok := strings.CutPrefix(text, "'"); ok && Defuse(rest) != rest {
		return rest
	}
	return text
}

func isNumber(text string) bool {
	digits := strings.TrimLeft(text, "+-")
	if len(text)-len(digits) > 1 || digits == "" {
		return false
	}
	points := 0
	for i, r := range digits {
		switch {
		case r >= '0' && r <= '9':
		case (r == '.' || r == ',') && i > 0 && i < len(digits)-1:
			points++
		default:
			return false
		}
	}
	return points <= 1
}

// Quote writes a cell, in quotes where it must be: where it holds the separator, a quote or a line end, or begins or ends with a
// blank.
func Quote(text string, sep rune) string {
	first, _ := utf8.DecodeRuneInString(text)
	last, _ := utf8.DecodeLastRuneInString(text)
	if strings.ContainsRune(text, sep) || strings.ContainsAny(text, "\"\r\n") || text != "" && (unicode.IsSpace(first) || unicode.IsSpace(last)) {
		return `"` + strings.ReplaceAll(text, `"`, `""`) + `"`
	}
	return text
}
