package cell

import (
	"slices"
	"testing"
)

func TestParseWord(t *testing.T) {
	for _, test := range []struct{ text, want string }{
		{"T1", "T1"},
		{" T1 ", "T1"},
		{"\u00a0T1\u200b", "T1"},
		{"'3-4", "3-4"},
		{"' 3-4", "3-4"},
		{"''3-4", "'3-4"},
		{"A'", "A'"},
		{"03-Apr", "03-Apr"}, // a project may name a bay so
		{"plant room, level 2", "plant room, level 2"},
		{"#3", "#3"},
		{"#", "#"},
		{"Küche", "Küche"},
	} {
		got := ParseWord(test.text)
		if got.Fault != nil || got.Text != test.want {
			t.Errorf("ParseWord(%q) = %q (%v), want %q", test.text, got.Text, got.Fault, test.want)
		}
	}
}

func TestParseFlag(t *testing.T) {
	for _, text := range []string{"yes", "Y", "TRUE", "1", "x", "X", "✓", " yes\u00a0", "'1"} {
		if got := ParseFlag(text); got.Fault != nil || !got.On {
			t.Errorf("ParseFlag(%q) = %v (%v), want yes", text, got.On, got.Fault)
		}
	}
	for _, text := range []string{"no", "N", "False", "0"} {
		if got := ParseFlag(text); got.Fault != nil || got.On {
			t.Errorf("ParseFlag(%q) = %v (%v), want no", text, got.On, got.Fault)
		}
	}
	for _, test := range []struct{ text, hint string }{
		{"maybe", "yes or no"},
		{"2", "yes or no"},
		{"-", "leave the cell blank"},
		{"yes no", "yes or no"},
		{"a text that is longer than any word", "yes or no"},
	} {
		got := ParseFlag(test.text)
		wantFault(t, "Flag", test.text, got.Fault, test.hint)
		if got.On {
			t.Errorf("ParseFlag(%q) is on with a fault", test.text)
		}
	}
}

func TestParseNames(t *testing.T) {
	for _, test := range []struct {
		text string
		want []string
	}{
		{";", nil},
		{" ; , ;", nil},
		{"T1", []string{"T1"}},
		{"T1;T2", []string{"T1", "T2"}},
		{"T2, T1", []string{"T2", "T1"}},
		{"T1; T2,, T1 ;", []string{"T1", "T2", "T1"}},
		{"duct 1;\u00a0duct 2", []string{"duct 1", "duct 2"}},
		{"T1\nT2\r\nT3", []string{"T1", "T2", "T3"}},
		{"'3-4;5-6", []string{"3-4", "5-6"}},
	} {
		got := ParseNames(test.text)
		if got.Fault != nil || !slices.Equal(got.List, test.want) || got.List == nil != (test.want == nil) {
			t.Errorf("ParseNames(%q) = %q (%v), want %q", test.text, got.List, got.Fault, test.want)
		}
	}
	f := ParseNames("T1; #REF!")
	if f.Fault == nil || f.Fault.What != `"#REF!" is not a name` || f.List != nil {
		t.Errorf("ParseNames with a failed formula: %+v", f)
	}
}
