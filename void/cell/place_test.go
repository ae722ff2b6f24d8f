package cell

import (
	"slices"
	"strings"
	"testing"
)

func TestParsePlace(t *testing.T) {
	for _, test := range []struct {
		text string
		line string
		mm   float64
	}{
		{"0", "", 0},
		{"1200", "", 1200},
		{"-35.5", "", -35.5},
		{"+1200", "", 1200},
		{"1.2 m", "", 1200},
		{"2.7", "", 2.7}, // a place may be near the origin
		{"B", "B", 0},
		{"b", "b", 0},
		{"M", "M", 0},
		{"M+5", "M", 5},
		{"B+1200", "B", 1200},
		{"B + 1200", "B", 1200},
		{"B-1200", "B", -1200},
		{"B\u22121200", "B", -1200},
		{"B \u2013 1200", "B", -1200},
		{"B+1.2 m", "B", 1200},
		{"B + 1200 mm", "B", 1200},
		{"B+0", "B", 0},
		{"AA+5", "AA", 5},
		{"A1", "A1", 0},
		{"A1-450", "A1", -450},
		{"A.1+3", "A.1", 3},
		{"A'", "A'", 0},
		{"A-1", "A", -1},
		{"A-B", "A-B", 0},
		{"A-B+1200", "A-B", 1200},
		{"Ä+12", "Ä", 12},
		{"3A", "3A", 0},
		{"3A+600", "3A", 600},
		{"3A.1+600", "3A.1", 600},
		{"12ABC", "12ABC", 0},
		{"3E+1200", "3E", 1200},
		{"grid 3", "3", 0},
		{"Grid 3", "3", 0},
		{"grid3", "3", 0},
		{"grid 3 - 450", "3", -450},
		{"grid 3-0.45 m", "3", -450},
		{"grid\u00a03\u00a0\u2212\u00a0450", "3", -450},
		{"gridline 3+5", "3", 5},
		{"grid line B", "B", 0},
		{"line 4", "4", 0},
		{"grid A-1+1200", "A-1", 1200},
		{"grid A-1+0", "A-1", 0},
		{"grid grid", "grid", 0},
		{"grid line line 3", "line 3", 0},
		{"grid A 1", "A 1", 0},
		{"grid NaN", "NaN", 0},
		{"grid Apr-03", "Apr", -3},
		{"grid 3E+12", "3E", 12},
		{"3E+120", "3E", 120},
		{"3F+12", "3F", 12},
		{"liner+3", "liner", 3},
		{"Gridiron", "Gridiron", 0},
		{"'B+5", "B", 5},
		{"B+10000000", "B", 1e7},
	} {
		got := ParsePlace(test.text)
		if got.Fault != nil || got.Line != test.line || got.MM != test.mm {
			t.Errorf("ParsePlace(%q) = %q %v (%v), want %q %v", test.text, got.Line, got.MM, got.Fault, test.line, test.mm)
		}
	}
}

func TestParsePlaceFaults(t *testing.T) {
	for _, test := range []struct{ text, hint string }{
		{"+", "leave the cell blank"},
		{"--5", "a grid line and an offset"},
		{"B+", "the offset is missing"},
		{"B +", "the offset is missing"},
		{"B+ +5", ""},
		{"B+5+3", "grid B+5+3"},
		{"grid", "label of the grid line is missing"},
		{"grid line", "label of the grid line is missing"},
		{"grid -", ""},
		{"grid +5", ""},
		{"line", ""},
		{"3-450", "grid 3-450"},
		{"3 + 450", "grid 3 + 450"},
		{"3-4", "grid 3-4"},
		{"B 1200", "write B+1200 for an offset, grid B 1200 for a label with a blank in it"},
		{"1200 east", ""},
		{"12ABCD", ""},
		{"12east+5", ""},
		{"A-1+1200", "grid A-1+1200"},
		{"03-Apr", "spreadsheet makes one of 3-4"},
		{"4-Mar", "spreadsheet makes one of 3-4"},
		{"Apr-03", "spreadsheet makes one of 4-3"},
		{"2026-04-03", "spreadsheet makes one of 3-4"},
		{"03/04/2026", "spreadsheet makes one of 3-4"},
		{"1.2E+03", "scientific"},
		{"3E+12", "a grid line is written grid 3E+12"},
		{"3E-03", "scientific"},
		{"3'", "feet and inches"},
		{"NaN", "a program wrote it"},
		{"inf", "a program wrote it"},
		{"Infinity", "a program wrote it"},
		{"£1200", "currency"},
		{"1,200", "1200"},
		{"1 200", "1200"},
		{"1'200", "1200"},
		{"1.200,5", "1200.5"},
		{"12cm", "only mm and m"},
		{"12 ft", "feet and inches"},
		{"0x1F", "plain decimal number"},
		{"1_2", "underscore"},
		{"ø250", ""},
		{"３", "another script or width"},
		{"A３", "another script or width"},
		{"10000000001", "at most 10000 km"},
		{"-10000000.1 m", "at most 10000 km"},
		{"B+10000001", "at most 10 km"},
		{"B+99999999999999999999 m", "at most 10 km"},
		{"B\x00", ""},
		{"B\xff", ""},
		{"grid B\x00", ""},
	} {
		got := ParsePlace(test.text)
		wantFault(t, "Place", test.text, got.Fault, test.hint)
		if got.MM != 0 || got.Line != "" {
			t.Errorf("ParsePlace(%q) = %q %v with a fault", test.text, got.Line, got.MM)
		}
	}
}

// A blank before a number is told as a forgotten sign only where the one is a label and the other a whole length.
func TestParsePlaceForgottenSign(t *testing.T) {
	for _, text := range []string{"B 1200 1200x", "7 8", "? 1200"} {
		if got := ParsePlace(text); got.Fault == nil || strings.Contains(got.Fault.Hint, "for an offset") {
			t.Errorf("ParsePlace(%q): %+v", text, got.Fault)
		}
	}
}

// A number and letters are the label of a grid line but where the letters are a unit, or make the number of a spreadsheet of it:
// tried of every one and two letters, alone and with an offset.
func TestParsePlaceNumberAndLetters(t *testing.T) {
	const letters = "abcdefghijklmnopqrstuvwxyz"
	var ends []string
	for _, a := range letters {
		ends = append(ends, string(a))
		for _, b := range letters {
			ends = append(ends, string(a)+string(b))
		}
	}
	units := strings.Fields("m mm cm dm km ft in")
	for _, end := range ends {
		for _, letters := range []string{end, strings.ToUpper(end)} {
			unit := slices.Contains(units, end)
			for _, offset := range []string{"", "+600"} {
				text := "12" + letters + offset
				got := ParsePlace(text)
				switch {
				case offset == "" && (end == "m" || end == "mm"): // a length
					if got.Fault != nil || got.Line != "" {
						t.Errorf("ParsePlace(%q) = %+v, want a length", text, got)
					}
				case unit && got.Fault == nil || !unit && (got.Fault != nil || got.Line != "12"+letters || (got.MM == 600) != (offset != "")):
					t.Errorf("ParsePlace(%q) = %+v, want a grid line %v", text, got, !unit)
				}
			}
		}
	}
}
