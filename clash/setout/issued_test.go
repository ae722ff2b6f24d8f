package setout_test

import (
	"testing"

	"voidline/clash/setout"
)

// The seal of a sheet that was issued stays what it is in every later version, or a sheet that nobody touched would be told as edited. The
// hash is of each cell with 1F behind it and of each row with 1E behind it: SHA-256, the first twelve letters of its base 32 (RFC 4648).
func TestSealStaysTheSame(t *testing.T) {
	rows := [][]string{{"run", "what"}, {"L1", "line"}}
	// printf 'run\x1fwhat\x1f\x1eL1\x1fline\x1f\x1e' | sha256sum | xxd -r -p | base32 | tr A-Z a-z | cut -c 1-12
	if got, want := setout.Seal(rows), "tsbckknon6qt"; got != want {
		t.Errorf("came %s, want %s", got, want)
	}
	// A cell that moves into the next row, or a text that moves into the next cell, is another sheet.
	for _, other := range [][][]string{{{"run"}, {"what", "L1", "line"}}, {{"runwhat", ""}, {"L1", "line"}}} {
		if setout.Seal(other) == setout.Seal(rows) {
			t.Errorf("%q and %q have one seal", other, rows)
		}
	}
}
