package cell

import "testing"

func TestMetres(t *testing.T) {
	for _, test := range []struct{ text, want string }{
		{"", ""},
		{" ", " "},
		{"-", "-"},
		{"none", "none"},
		{"told", "told"},
		{"x9", "x9"},
		{"#REF!", "#REF!"},
		{"2.7", "2.7 m"},
		{" 2.7 ", " 2.7 m "},
		{"'2.7", "'2.7 m"},
		{"-0.15", "-0.15 m"},
		{"\u22120.15", "\u22120.15 m"},
		{".5", ".5 m"},
		{"3", "3 m"},
		{"2.7 m", "2.7 m"},
		{"2.7m", "2.7m"},
		{"2700 mm", "2700 mm"},
		{"2700mm", "2700mm"},
		{"2,700", "2,700"},
		{"1 200", "1 m 200 m"}, // refused either way
		{"1.2E+03", "1.2E+03"},
		{"FFL+1.2E+03", "FFL+1.2E+03"},
		{"0.6x0.3", "0.6x0.3 m"},
		{"0.6 x 0.3", "0.6 x 0.3 m"},
		{"0.6×0.3", "0.6×0.3 m"},
		{"0.6 by 0.3", "0.6 by 0.3 m"},
		{"0.6x0.6x0.1", "0.6x0.6x0.1 m"},
		{"600x300 mm", "600x300 mm"},
		{"600 mm x 0.3", "600 mm x 0.3 m"},
		{"ø0.25", "ø0.25 m"},
		{"dia 0.25", "dia 0.25 m"},
		{"dia0.25", "dia0.25 m"},
		{"0.25 dia", "0.25 m dia"},
		{"0.25dia", "0.25 m dia"},
		{"0.25ø", "0.25 m ø"},
		{"ø0.25x0.1", "ø0.25x0.1 m"},
		{"DN50", "DN50"},
		{"DN 150 EN 10255", "DN 150 EN 10255"},
		{"15 EN 1057", "15 EN 1057"},
		{"UB 406x178x60", "UB 406x178x60"},
		{"406x178UB60", "406x178UB60"},
		{"406 x 178 UB 60", "406 x 178 UB 60"},
		{"406x178x60 UB", "406x178x60 UB"},
		{"HEA 200", "HEA 200"},
		{"HE200A", "HE200A"},
		{"IPE300", "IPE300"},
		{"FFL+2.7", "FFL+2.7 m"},
		{"FFL + 2.7", "FFL + 2.7 m"},
		{"2.7 AFFL", "2.7 m AFFL"},
		{"2.7AFFL", "2.7 m AFFL"},
		{"AFFL 2.7", "AFFL 2.7 m"},
		{"BOD 2.7", "BOD 2.7 m"},
		{"2.7 BOD", "2.7 m BOD"},
		{"2.7 to u/s soffit", "2.7 m to u/s soffit"},
		{"datum line 1.65", "datum line 1.65 m"},
		{"soffit-0.06", "soffit-0.06 m"},
		{"0.06 below soffit", "0.06 m below soffit"},
		{"2.4..2.7", "2.4 m..2.7 m"},
		{"2.4 .. 2.7", "2.4 m .. 2.7 m"},
		{"2.4\u20262.7", "2.4 m \u20262.7 m"},
		{"2.4..2.7 m", "2.4 m..2.7 m"},
		{"2.4 to 2.7", "2.4 m to 2.7 m"},
		{"2.4to2.7", "2.4 m to2.7 m"},
		{"FFL+2.4..soffit", "FFL+2.4 m..soffit"},
		{"B", "B"},
		{"B+1.2", "B+1.2 m"},
		{"B2 + 1.2", "B2 + 1.2 m"},
		{"A.1+1.2", "A.1+1.2 m"},
		{"3A+1.2", "3A+1.2 m"},
		{"3E+1.2", "3E+1.2"}, // with the label of a number in scientific form: refused
		{"grid 3", "grid 3"},
		{"grid3", "grid3"},
		{"grid\u00a03", "grid\u00a03"},
		{"grid line 3 + 1.2", "grid line 3 + 1.2 m"},
		{"grid 3 - 0.45", "grid 3 - 0.45 m"},
		{"0.04 over joint", "0.04 m over joint"},
	} {
		got := Metres(test.text)
		if got != test.want {
			t.Errorf("Metres(%q) = %q, want %q", test.text, got, test.want)
		}
		if again := Metres(got); again != got {
			t.Errorf("Metres(%q) = %q, want it left alone", got, again)
		}
	}
}

func TestDecimalComma(t *testing.T) {
	for _, test := range []struct{ text, want, metres string }{
		{"", "", ""},
		{",", ",", ","},
		{"2700", "2700", "2700"},
		{"2.7", "2.7", "2.7"},
		{"2,7", "2.7", "2.7"},
		{"-2,75", "-2.75", "-2.75"},
		{"0,200", "0.200", "0.200"},
		{"1,2000", "1.2000", "1.2000"},
		{"1234,567", "1234.567", "1234.567"},
		{",5", ".5", ".5"},
		{"12,", "12.", "12."},
		{"1,200", "1,200", "1.200"},
		{"12,500", "12,500", "12.500"},
		{"1,200 mm", "1,200 mm", "1,200 mm"},
		{"1,200 m", "1.200 m", "1.200 m"},
		{"1,200m", "1.200m", "1.200m"},
		{"1,2 mm", "1.2 mm", "1.2 mm"},
		{"1.234,5", "1234.5", "1234.5"},
		{"1.234,567", "1234.567", "1234.567"},
		{"1.234.567,8", "1234567.8", "1234567.8"},
		{"1.23,5", "1.23,5", "1.23,5"},
		{"1,234.5", "1,234.5", "1,234.5"},
		{"1,234,567", "1,234,567", "1,234,567"},
		{"1 234,5", "1 234.5", "1 234.5"}, // refused: the blank stays
		{"0,6x0,3", "0.6x0.3", "0.6x0.3"},
		{"62,5 x 30,5", "62.5 x 30.5", "62.5 x 30.5"},
		{"1,200x600", "1,200x600", "1.200x600"},
		{"1,200x0,600 m", "1.200x0.600 m", "1.200x0.600 m"},
		{"1,200x1,600 mm", "1,200x1,600 mm", "1,200x1,600 mm"},
		{"ø62,5", "ø62.5", "ø62.5"},
		{"dia62,5", "dia62.5", "dia62.5"},
		{"66,7 EN 1057", "66.7 EN 1057", "66.7 EN 1057"},
		{"FFL+2,7m", "FFL+2.7m", "FFL+2.7m"},
		{"FFL+2400,5..soffit", "FFL+2400.5..soffit", "FFL+2400.5..soffit"},
		{"2,4..2,7 m", "2.4..2.7 m", "2.4..2.7 m"},
		{"2,400..2,700", "2,400..2,700", "2.400..2.700"},
		{"2,4 to 2,7", "2.4 to 2.7", "2.4 to 2.7"},
		{"1,25 %", "1.25 %", "1.25 %"},
		{"1,250 %", "1.250 %", "1.250 %"},
		{"12,5 mm/m", "12.5 mm/m", "12.5 mm/m"},
		{"1 in 80,5", "1 in 80.5", "1 in 80.5"},
		{"B+1,2 m", "B+1.2 m", "B+1.2 m"},
		{"grid 3,5 + 1,2", "grid 3,5 + 1.2", "grid 3,5 + 1.2"},
		{"A,5", "A,5", "A,5"},
	} {
		if got := DecimalComma(test.text); got != test.want {
			t.Errorf("DecimalComma(%q) = %q, want %q", test.text, got, test.want)
		}
		if got := DecimalCommaMetres(test.text); got != test.metres {
			t.Errorf("DecimalCommaMetres(%q) = %q, want %q", test.text, got, test.metres)
		}
	}
}

func TestDecimalCommaThenMetres(t *testing.T) {
	for _, test := range []struct {
		text string
		want float64
	}{
		{"2,7", 2700}, {"2,700", 2700}, {"1.234,5", 1234500}, {"2,7 m", 2700}, {"2700 mm", 2700}, {"0,2", 200}, {"-0,15", -150},
	} {
		got := ParseLength(Metres(DecimalCommaMetres(test.text)))
		if got.Fault != nil || got.MM != test.want {
			t.Errorf("%q in a column in metres = %v (%v), want %v", test.text, got.MM, got.Fault, test.want)
		}
	}
	for _, text := range []string{"1,200", "1,200 mm"} {
		wantFault(t, "Length", text, ParseLength(DecimalComma(text)).Fault, "write 1200, or 1.200 with a point")
	}
}

func TestPoints(t *testing.T) {
	for _, test := range []struct {
		thousands, decimal bool
		texts              []string
	}{
		{true, false, []string{"1.200", "-12.500", "123.456", " 1.200\u00a0", "B+1.200", "1.200x600", "600x1.200", "FFL+2.850", "1.200 mm", "2.400..2.700", "ø1.000"}},
		{false, true, []string{"1.2", "0.200", "1234.567", "1.200 m", "1.2000", ".200", "12.5x10", "FFL+2679.9", "1 in 82.5", "1200.0"}},
		{true, true, []string{"1.200x0.5"}},
		{false, false, []string{"", "1200", "1.200.300", "1,200", "grid 3.100", "2400..2700", "01.02.2026", "A.1+1200", "FFL+2400..soffit"}},
	} {
		for _, text := range test.texts {
			if thousands, decimal := Points(text); thousands != test.thousands || decimal != test.decimal {
				t.Errorf("Points(%q) = %v, %v, want %v, %v", text, thousands, decimal, test.thousands, test.decimal)
			}
		}
	}
}
