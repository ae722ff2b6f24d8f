package measure_test

import (
	"slices"
	"testing"

	"github.com/golang/geo/r3"

	"voidline/clash/measure"
	"voidline/void/body"
)

// Pieces of two lengths that meet end to end are one where no more than 50 is left of both together, whichever way each is drawn.
func TestPiecesThatMeetEndToEnd(t *testing.T) {
	length := func(from, to float64) body.Body {
		return body.Box(r3.Vector{X: from}, r3.Vector{X: to}, 100, 50)
	}
	for _, test := range []struct {
		name   string
		a, b   body.Body
		la, lb [2]float64 // what counts of each, in mm from its start
		joined bool
		most   float64
	}{
		{"20 and 30 left", length(0, 1000), length(1000, 2000), [2]float64{400, 980}, [2]float64{30, 500}, true, 580 + 470},
		{"20 and 31", length(0, 1000), length(1000, 2000), [2]float64{400, 980}, [2]float64{31, 500}, false, 580},
		{"30 and 30", length(0, 1000), length(1000, 2000), [2]float64{400, 970}, [2]float64{30, 500}, false, 570},
		{"the second drawn the other way", length(0, 1000), length(2000, 1000), [2]float64{400, 980}, [2]float64{500, 970}, true, 580 + 470},
		{"and 31 left", length(0, 1000), length(2000, 1000), [2]float64{400, 980}, [2]float64{500, 969}, false, 580},
	} {
		of := func(b body.Body, v [2]float64, row int) measure.Piece {
			return measure.Piece{Row: row, B: b, Lo: v[0]/500 - 1, Hi: v[1]/500 - 1}
		}
		ps := []measure.Piece{of(test.a, test.la, 0), of(test.b, test.lb, 1)}
		got, _ := measure.JoinUp(ps)
		want := []int{0, 1}
		if test.joined {
			want = []int{0, 0}
		}
		if most := measure.Longest(ps); !slices.Equal(got, want) || most < test.most-1e-6 || most > test.most+1e-6 {
			t.Errorf("%s: %v, %v long; want %v, %v", test.name, got, most, want, test.most)
		}
	}
}
