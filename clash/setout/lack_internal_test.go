package setout

import (
	"math"
	"testing"

	"github.com/golang/geo/r1"
)

// How much is lacking where nothing is free, by hand: between a ceiling that takes all up to 100 and a soffit that takes all from 80 the best level is 90,
// 10 in each. With one of them alone nothing is lacking, for the other way is open.
func TestLack(t *testing.T) {
	inf := math.Inf(1)
	ceiling, soffit := r1.Interval{Lo: -inf, Hi: 100}, r1.Interval{Lo: 80, Hi: inf}
	for _, test := range []struct {
		name string
		bars []r1.Interval
		want float64
	}{
		{"a ceiling alone", []r1.Interval{ceiling}, 0},
		{"a soffit alone", []r1.Interval{soffit}, 0},
		{"both", []r1.Interval{ceiling, soffit}, 10},
		{"both, and a duct from 85 to 200 in the middle", []r1.Interval{ceiling, soffit, {Lo: 85, Hi: 200}}, 15},
	} {
		if got := lack(test.bars); got != test.want {
			t.Errorf("%s: %v, want %v", test.name, got, test.want)
		}
	}
}
