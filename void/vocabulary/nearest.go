package vocabulary

// Nearest returns the word among the given ones that is spelled nearest to text, for a hint: at most 3
// letters, and at most a third of the letters of text, put in, left out, changed or swapped with their
// neighbour. Of equals the earlier wins. Matching is as everywhere here, so a word that differs in
// case or plural alone is nearest of all.
func Nearest(text string, among []string) (string, bool) {
	a := []rune(fold(text))
	if len(a) == 0 {
		return "", false
	}
	best, least := -1, min(3, len(a)/3)+1
	for i, word := range among {
		if d := distance(a, []rune(fold(word)), least); d < least {
			best, least = i, d
		}
	}
	if best < 0 {
		return "", false
	}
	return among[best], true
}

// NearestTrade returns the spelling of a trade that is nearest to text; see Nearest.
func NearestTrade(text string) (string, bool) { return Nearest(text, tradeSpellings) }

// NearestService returns the spelling of a service that is nearest to text; see Nearest.
func NearestService(text string) (string, bool) { return Nearest(text, serviceSpellings) }

// NearestKind returns the spelling of a kind that is nearest to text; see Nearest.
func NearestKind(text string) (string, bool) { return Nearest(text, kindSpellings) }

// The words come before all other spellings, so that of equals a word wins.
var (
	tradeSpellings   = spellings(Trades(), trades, func(e Entry) []string { return e.Spellings })
	serviceSpellings = spellings(Services(), services, func(e ServiceEntry) []string { return e.Spellings })
	kindSpellings    = spellings(Kinds(), kinds, func(e KindEntry) []string { return e.Spellings })
)

func spellings[T any](words []string, table []T, others func(T) []string) []string {
	for _, e := range table {
		words = append(words, others(e)...)
	}
	return words
}

// distance returns the number of letters to put in, take out, change or swap with their neighbour (each
// at most once) that make a into b, or limit where it is not less.
func distance(a, b []rune, limit int) int {
	if len(a)-len(b) >= limit || len(b)-len(a) >= limit {
		return limit
	}
	// Three rows of the usual table: the swap looks back two.
	before, above, row := make([]int, len(b)+1), make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range above {
		above[j] = j
	}
	for i, ra := range a {
		row[0] = i + 1
		for j, rb := range b {
			cost := 1
			if ra == rb {
				cost = 0
			}
			row[j+1] = min(above[j]+cost, above[j+1]+1, row[j]+1)
			if i > 0 && j > 0 && ra == b[j-1] && a[i-1] == rb {
				row[j+1] = min(row[j+1], before[j-1]+1)
			}
		}
		before, above, row = above, row, before
	}
	return min(above[len(b)], limit)
}
