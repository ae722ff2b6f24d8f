package cell

import "testing"

func TestParseSide(t *testing.T) {
	for _, test := range []struct {
		want  Towards
		texts []string
	}{
		{Around, []string{"around", "Around", "all round", "all-around", "all sides", "round"}},
		{Above, []string{"above", "over", "on top", "top"}},
		{Below, []string{"below", "under", "underneath", "beneath", "bottom"}},
		{Beside, []string{"beside", "both sides", "alongside"}},
		{OneSide, []string{"one side", "One-Side", "one_side", "oneside"}},
		{Start, []string{"start"}},
		{End, []string{"end"}},
		{Left, []string{"left", "LH", "left-hand"}},
		{Right, []string{"right", "RHS"}},
		{East, []string{"east", "E"}},
		{North, []string{"north", "n"}},
		{West, []string{"west"}},
		{South, []string{"south", " S "}},
	} {
		for _, text := range append(test.texts, test.want.String()) {
			if got := ParseSide(text); got.Fault != nil || got.Is != test.want {
				t.Errorf("ParseSide(%q) = %v (%v), want %v", text, got.Is, got.Fault, test.want)
			}
		}
	}
	for _, test := range []struct{ text, hint string }{
		{"-", "leave the cell blank"},
		{"either side", "one side where either will do"},
		{"side", "beside for both"},
		{"up", "around, above"},
		{"one side two", "around, above"},
		{"a text that is longer than any word", "around, above"},
	} {
		wantFault(t, "Side", test.text, ParseSide(test.text).Fault, test.hint)
	}
	if NoSide.String() != "" || (South+1).String() != "" {
		t.Errorf("no side prints as %q, an unknown one as %q, want nothing", NoSide, South+1)
	}
}
