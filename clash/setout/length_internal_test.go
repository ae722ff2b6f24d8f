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

// In a table with semicolons 456.498 may be 456,498: what is written there says which, and is read back.
func TestFiguresHaveOneReading(t *testing.T) {
	for v, want := range map[float64]string{456.498: "456.4980", 1456.498: "1456.498", 456.5: "456.5", 0.125: "0.125", -12.345: "-12.3450", 7: "7"} {
		if got := number(v); got != want {
			t.Errorf("%v: %q, want %q", v, got, want)
		}
	}
	if got, want := offset(2.125), "+2.1250 mm"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	if got, want := slope(12.345, 0, 1000), "12.3450 mm/m"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}
