package catalogue

import (
	"math"
	"slices"
)

// dinCoupler is where the length of a coupler is from.
const dinCoupler = "DIN 6334, length 3 x diameter"

// rodFigures is what is bought to make up rods, and how rods are joined.
var rodFigures = []Figure{
	{"threaded rod stock length", 1000, "mm", "none", Practice, ""},
	{"threaded rod stock length", 2000, "mm", "none", Practice, ""},
	{"threaded rod stock length", 3000, "mm", "none", Practice, ""},
	{"coupler M6 length", 18, "mm", dinCoupler, FromMemory, coupled},
	{"coupler M8 length", 24, "mm", dinCoupler, FromMemory, coupled},
	{"coupler M10 length", 30, "mm", dinCoupler, FromMemory, coupled},
	{"coupler M12 length", 36, "mm", dinCoupler, FromMemory, coupled},
	{"coupler M16 length", 48, "mm", dinCoupler, FromMemory, coupled},
	{"coupler M20 length", 60, "mm", dinCoupler, FromMemory, coupled},
	{"shortest piece of a joined rod", leastPiece, "mm", "none", Practice, "room for the coupler and for a spanner beside it"},
	{"channel stock length", 3000, "mm", "none", Practice, "6 m is sold too"},
}

const (
	coupled    = "the two rods meet in its middle: joining takes nothing off their lengths"
	leastPiece = 100.0
)

// RodFigures returns the lengths that threaded rod and channel are bought in, and how rods are joined.
func RodFigures() []Figure { return slices.Clone(rodFigures) }

// stock returns the lengths of an item, ascending.
func stock(item string) []float64 {
	var out []float64
	for _, f := range rodFigures {
		if f.Item == item {
			out = append(out, f.Value)
		}
	}
	return out
}

// RodStock returns the lengths that threaded rod is bought in, mm, ascending.
func RodStock() []float64 { return stock("threaded rod stock length") }

// ChannelStock returns the lengths that channel is bought in, mm, ascending.
func ChannelStock() []float64 { return stock("channel stock length") }

// JoinRod returns the pieces, from the top, that a rod is joined of, one alone where the longest stock is long enough:
// whole lengths of the longest stock, then the rest. Where the rest would be shorter than the shortest piece
// that can be joined, the length before it gives it what it lacks. Two pieces meet in the middle of a coupler, so
// the pieces come to the rod.
func JoinRod(length, longest float64) []float64 {
	const hair = 1e-9
	if length <= longest+hair || longest <= 0 {
		return []float64{length}
	}
	n := math.Ceil(length/longest-hair) - 1
	var out []float64
	for range int(n) {
		out = append(out, longest)
	}
	rest := length - n*longest
	if least := math.Min(leastPiece, longest/2); rest < least {
		out[len(out)-1] -= least - rest
		rest = least
	}
	return append(out, rest)
}
