package vocabulary

import (
	"strings"
	"unicode"
)

// fold returns the form in which words are compared: lower case, letters and digits alone, the plural
// at the end taken off. Words that end in s anyway lose it too ("gas" is "ga"); as every word goes
// through here, that does no harm as long as no two words fold to one, which a test watches.
func fold(text string) string {
	s := strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			return unicode.ToLower(r)
		}
		return -1
	}, text)
	switch {
	case len(s) < 3:
		return s
	case strings.HasSuffix(s, "ies") && len(s) > 4:
		return s[:len(s)-3] + "y"
	case hasAnySuffix(s, "xes", "ches", "shes", "sses"):
		return s[:len(s)-2]
	case strings.HasSuffix(s, "s") && !strings.HasSuffix(s, "ss"):
		return s[:len(s)-1]
	}
	return s
}

func hasAnySuffix(s string, suffixes ...string) bool {
	for _, x := range suffixes {
		if strings.HasSuffix(s, x) {
			return true
		}
	}
	return false
}
