package tolerance

// Way is how tolerances of level are added up.
type Way string

// The ways. AsDrawn adds nothing.
const (
	AsDrawn       Way = ""
	WorstCase     Way = "worst" // all the wrong way at once
	RootOfSquares Way = "rss"   // the root of the sum of their squares
)

// Of returns what is left by a way of adding up.
func (w Way) Of(drawn, worst, rss float64) float64 {
	switch w {
	case WorstCase:
		return worst
	case RootOfSquares:
		return rss
	}
	return drawn
}
