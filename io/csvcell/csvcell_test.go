package csvcell

import (
	"strings"
	"testing"
)

func TestDefuse(t *testing.T) {
	for _, test := range []struct{ text, want string }{
		{"", ""},
		{"T-1", "T-1"},
		{"=1+1", "'=1+1"},
		{"-1200", "-1200"},
		{"+36.5", "+36.5"},
		{"-1,5", "-1,5"},
		{"-", "'-"},
		{"--1", "'--1"},
		{"-1-2", "'-1-2"},
		{"@cmd", "'@cmd"},
		{"＝1", "'＝1"},
		{"'=1", "'=1"},
		{"-1.", "'-1."},
	} {
		if got := Defuse(test.text); got != test.want {
			t.Errorf("Defuse(%q) = %q, want %q", test.text, got, test.want)
		}
		if strings.HasPrefix(test.text, "'") {
			continue
		}
		if got := Undefuse(Defuse(test.text)); got != test.text {
			t.Errorf("Undefuse(Defuse(%q)) = %q", test.text, got)
		}
	}
}

// An apostrophe is taken off only where Defuse would have put it.
func TestUndefuse(t *testing.T) {
	for _, test := range []struct{ text, want string }{
		{"", ""},
		{"'", "'"},
		{"'tis", "'tis"},
		{"'1200", "'1200"},
		{"'-1200", "'-1200"},
		{"''=1", "''=1"},
		{"=1", "=1"},
		{"'=1", "=1"},
		{"'-", "-"},
		{"'+1+1", "+1+1"},
		{"'@cmd", "@cmd"},
		{"'＋x", "＋x"},
	} {
		if got := Undefuse(test.text); got != test.want {
			t.Errorf("Undefuse(%q) = %q, want %q", test.text, got, test.want)
		}
	}
}

// Each sign that begins a formula is defused, plain or wide, and no other.
func TestDefuseEachSign(t *testing.T) {
	for r := rune(' '); r < 0xFFFF; r++ {
		text := string(r) + "x"
		if got, want := Defuse(text) != text, strings.ContainsRune("=+-@＝＋－＠", r); got != want {
			t.Errorf("Defuse(%q): defused %v, want %v", text, got, want)
		}
	}
}

func TestQuote(t *testing.T) {
	for _, test := range []struct {
		text string
		sep  rune
		want string
	}{
		{"", ',', ""},
		{"T-1", ',', "T-1"},
		{"2,7", ',', `"2,7"`},
		{"2,7", ';', "2,7"},
		{`5" pipe`, ';', `"5"" pipe"`},
		{" T", ';', `" T"`},
		{"a\tb", '\t', "\"a\tb\""},
	} {
		if got := Quote(test.text, test.sep); got != test.want {
			t.Errorf("Quote(%q, %q) = %q, want %q", test.text, test.sep, got, test.want)
		}
	}
}
