package cell

import "testing"

// A side is read back from the word that a record has of it, and no other word is one.
func TestTowardsAsText(t *testing.T) {
	for side := NoSide; side <= South; side++ {
		text, err := side.MarshalText()
		if err != nil {
			t.Fatal(err)
		}
		got := South + 1
		if err := got.UnmarshalText(text); err != nil || got != side {
			t.Errorf("%q is read as %d (%v), want %d", text, got, err, side)
		}
	}
	got := Above
	if err := got.UnmarshalText([]byte("up")); err == nil || got != Above {
		t.Errorf("up is read as %q, and no error", got)
	}
}
