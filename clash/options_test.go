package clash_test

import (
	"testing"

	"voidline/clash"
)

// Of every length of Options 0 is the built-in figure and None none; of Reach, TestReach holds it.
func TestLengthsOfOptions(t *testing.T) {
	for _, test := range []struct{ said, want float64 }{{0, 1}, {clash.None, 0}, {clash.Length(0), 0}, {clash.Length(2.5), 2.5}} {
		if got := (&clash.Options{Touch: test.said}).Resting(); got != test.want {
			t.Errorf("touch %g: things rest on each other up to %g, want %g", test.said, got, test.want)
		}
	}
	// A hatch of 450 takes head and shoulders: 600 for the arm, 300 more; one of 449 the arm alone.
	for _, test := range []struct{ size, further, want float64 }{{450, 0, 900}, {450, clash.None, 600}, {450, 120, 720}, {449, 0, 600}, {100, 0, 0}} {
		if got := clash.HatchReach(test.size, 600, test.further); got != test.want {
			t.Errorf("a hatch of %g, %g further: %g, want %g", test.size, test.further, got, test.want)
		}
	}
}
