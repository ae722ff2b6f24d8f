package setout

import "testing"

// A length that is written as 20 is read as millimetres without saying so, whichever side of 20 it was worked out to.
func TestLengthIsWrittenOnce(t *testing.T) {
	for v, want := range map[float64]string{0: "0", 19.5: "19.5 mm", 20: "20", 20 - 1e-11: "20", 20 + 1e-11: "20", 775: "775"} {
		if got := length(v); got != want {
			t.Errorf("%v: %q, want %q", v, got, want)
		}
	}
}
