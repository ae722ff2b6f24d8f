package cell

import (
	"testing"

	"pgregory.net/rapid"
)

func TestInMetres(t *testing.T) {
	for _, test := range []struct{ text, want string }{
		{"", ""},
		{"2700", "2.7"},
		{"2950", "2.95"},
		{"-35.5", "-0.0355"},
		{"0", "0"},
		{"12000", "12"},
		{"2.70 m", "2.70"},
		{"2.740m", "2.740"},
		{"40 mm", "0.04"},
		{"FFL+2700", "FFL+2.7"},
		{"FFL+2400..soffit-60", "FFL+2.4..soffit-0.06"},
		{"FFL+2.4 m..soffit", "FFL+2.4..soffit"},
		{"2400 to 2700", "2.4 to 2.7"},
		{"2700 AFFL", "2.7 AFFL"},
		{"CL 3000", "CL 3"},
		{"grid 3 - 450", "grid 3 - 0.45"},
		{"grid 3", "grid 3"},
		{"B+1200", "B+1.2"},
		{"A1-450", "A1-0.45"},
		{"600x300", "0.6x0.3"},
		{"600x600x100", "0.6x0.6x0.1"},
		{"0.6x0.3 m", "0.6x0.3"},
		{"ø250", "ø0.25"},
		{"DN50", "DN50"},
		{"UB 406x178x60", "UB 406x178x60"},
		{"none", "none"},
		{"40 over joint", "0.04 over joint"},
	} {
		if got := InMetres(test.text); got != test.want {
			t.Errorf("InMetres(%q) = %q, want %q", test.text, got, test.want)
		}
	}
}

func TestWithComma(t *testing.T) {
	for _, test := range []struct{ text, want string }{
		{"", ""},
		{"2700", "2700"},
		{"2700.5", "2700,5"},
		{"FFL+2.74 m..soffit-0.06 m", "FFL+2,74 m..soffit-0,06 m"},
		{"2400..2700", "2400..2700"},
		{"grid 3.1 - 0.45 m", "grid 3.1 - 0,45 m"},
		{"A.1+3", "A.1+3"},
		{"12.5 mm/m", "12,5 mm/m"},
		{"1.25 %", "1,25 %"},
		{"DN50", "DN50"},
		{"ø168.3", "ø168,3"},
	} {
		if got := WithComma(test.text); got != test.want {
			t.Errorf("WithComma(%q) = %q, want %q", test.text, got, test.want)
		}
	}
}

// What is written in metres, or with a comma, is read as what it was.
func TestWrittenIsRead(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		of := func(label string, from ...string) string { return rapid.SampledFrom(from).Draw(t, label) }
		number := of("number", "2700", "2700.5", "150", "2.70 m", "0.5 m", "2950 mm", "10000", "100.25", "2.745 m")
		text := of("in front", "", "FFL+", "soffit-", "CL ", "datum line + ", "ceiling - ") + number
		want := ParseLevel(text)
		if want.Fault != nil {
			t.Skip("no level")
		}
		same := func(c Level) bool { return c.Fault == nil && c.Low == want.Low && c.Says == want.Says }
		if m := InMetres(text); !same(ParseLevel(Metres(m))) {
			t.Fatalf("%q in metres is %q", text, m)
		} else if mc := WithComma(m); !same(ParseLevel(Metres(DecimalCommaMetres(mc)))) {
			t.Fatalf("%q in metres with a comma is %q", text, mc)
		}
		if c := WithComma(text); !same(ParseLevel(DecimalComma(c))) {
			t.Fatalf("%q with a comma is %q", text, c)
		}
	})
}
