package catalogue

import "strings"

// squeeze takes out of a name what no look-up minds: case, blanks, hyphens, underscores
// and commas.
func squeeze(name string) string {
	return strings.Map(func(r rune) rune {
		switch r {
		case ' ', '\t', '\u00a0', '-', '_', ',':
			return -1
		case '×', '*':
			return 'x'
		}
		return r
	}, strings.ToLower(name))
}

// nearest returns the place of the name nearest to text by edit distance: at most 3, and at most a
// third of the text's length. Of equals the first.
func nearest(text string, names []string) (int, bool) {
	a := []rune(text)
	best, least := -1, min(3, len(a)/3)+1
	for i, name := range names {
		if d := distance(a, []rune(name), least); d < least {
			best, least = i, d
		}
	}
	return best, best >= 0
}

// distance returns the number of runes to put in, take out or change to make a into b, or limit where
// it is not less.
func distance(a, b []rune, limit int) int {
	if len(a)-len(b) >= limit || len(b)-len(a) >= limit {
		return limit
	}
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i, ra := range a {
		diagonal := row[0]
		row[0] = i + 1
		for j, rb := range b {
			cost := 1
			if ra == rb {
				cost = 0
			}
			diagonal, row[j+1] = row[j+1], min(diagonal+cost, row[j]+1, row[j+1]+1)
		}
	}
	return min(row[len(b)], limit)
}
