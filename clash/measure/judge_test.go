package measure_test

import (
	"testing"

	"voidline/clash/measure"
)

// Of the rules that a pair breaks that counts which lacks most, of equals the first.
func TestWorst(t *testing.T) {
	of := func(asked, gap float64) measure.Breach { return measure.Breach{Asked: asked, Gap: gap} }
	for _, test := range []struct {
		of   []measure.Breach
		want int
	}{
		{[]measure.Breach{of(10, 0)}, 0},
		{[]measure.Breach{of(10, 0), of(30, 10)}, 1},
		{[]measure.Breach{of(30, 10), of(10, 0)}, 0},
		{[]measure.Breach{of(10, 0), of(50, 45), of(100, 80)}, 2},
		{[]measure.Breach{of(10, 0), of(20, 10)}, 0},
		{[]measure.Breach{of(10, 0), of(20.0005, 10)}, 0}, // within a hair
	} {
		if got := measure.Worst(test.of); got != test.want {
			t.Errorf("Worst(%v) = %d, want %d", test.of, got, test.want)
		}
	}
}
