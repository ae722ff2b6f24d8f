package support

import (
	"reflect"
	"testing"
)

// A stretch is cut where each row of its frame begins and ends, as far along its own row as that is: a row that begins 1000 past the frame's start, and one
// drawn from its end.
func TestFrameCuts(t *testing.T) {
	pl := Plan{
		placeOf: []int32{0, 1, 2},
		places:  []place{{from: 1000, to: 7000}, {from: 2500, to: 5000}, {from: 500, to: 6000, back: true}},
		lengths: []length{{zones: []int32{0, 1, 2}, frame: true}},
	}
	for row, want := range [][]float64{
		{0, 6000, 1500, 4000, -500, 5000},
		{-1500, 4500, 0, 2500, -2000, 3500},
		{5000, -1000, 3500, 1000, 5500, 0},
	} {
		if got := pl.frameCuts(&Stretch{Row: row}); !reflect.DeepEqual(got, want) {
			t.Errorf("row %d is cut at %v, want %v", row, got, want)
		}
	}
}
