package void_test

import (
	"testing"

	"voidline/void"
)

// What an id is of is said in one place, so what makes the ids of ceilings, soffits and supports is read back by it.
func TestIdentity(t *testing.T) {
	bay := void.Bay{Label: "A-B/1-2, Level 1"}
	for id, want := range map[string]struct {
		is void.Own
		of string
	}{
		bay.CeilingID():              {void.OwnCeiling, "A-B/1-2, Level 1"},
		bay.SoffitID():               {void.OwnSoffit, "A-B/1-2, Level 1"},
		void.SupportsID("ceiling 3"): {void.OwnSupports, "ceiling 3"},
		"AHU ceiling 3":              {void.OwnZone, "AHU ceiling 3"},
		"ceilings":                   {void.OwnZone, "ceilings"},
	} {
		if is, of := void.Identity(id); is != want.is || of != want.of {
			t.Errorf("%q is %d of %q, want %d of %q", id, is, of, want.is, want.of)
		}
	}
}
