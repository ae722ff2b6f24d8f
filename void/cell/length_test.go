package cell

import "testing"

func TestParseLength(t *testing.T) {
	for _, test := range []struct {
		text string
		want float64
	}{
		{"0", 0},
		{"-0", 0},
		{"0.0 m", 0},
		{"2700", 2700},
		{"+2700", 2700},
		{"-35.5", -35.5},
		{"\u221235.5", -35.5},
		{"\u2013 35.5", -35.5},
		{"2700mm", 2700},
		{"2700 MM", 2700},
		{"2700\u00a0mm", 2700},
		{"2700\u202fmm", 2700},
		{" 2700 ", 2700},
		{"\u00a02700\u2009", 2700},
		{"\ufeff2700", 2700},
		{"'2700", 2700},
		{"' 2700", 2700},
		{"2.7 m", 2700},
		{"2.7m", 2700},
		{"2.7 M", 2700},
		{"-2.7 m", -2700},
		{"2.7005 m", 2700.5},
		{".5", 0.5},
		{".5 m", 500},
		{"12.", 12}, // a spreadsheet's format 0.#
		{"12. m", 12000},
		{"007", 7},
		{"10000000", 1e7},
		{"-10000000", -1e7},
		{"10000 m", 1e7},
		{"0.1 m", 100},
		{"1.001 m", 1001}, // 1.001 * 1000 is 1000.9999999999999
		{"4.35 m", 4350},  // 4.35 * 1000 is 4350 minus a bit
		{"0.000000000000000000000000000001", 1e-30},
		{"2700.000000000000000000000000000001", 2700},
	} {
		got := ParseLength(test.text)
		if got.Fault != nil || got.MM != test.want {
			t.Errorf("ParseLength(%q) = %v (%v), want %v", test.text, got.MM, got.Fault, test.want)
		}
	}
}

func TestParseLengthFaults(t *testing.T) {
	for _, test := range []struct {
		text string
		hint string
	}{
		{"-", "leave the cell blank"},
		{"+", "leave the cell blank"},
		{"\u2013", "leave the cell blank"},
		{"\u2014", "leave the cell blank"},
		{"- -", "leave the cell blank"},
		{".", "millimetres, such as 2700"},
		{"m", "millimetres, such as 2700"},
		{"mm", ""},
		{"--5", ""},
		{"x9", "millimetres, such as 2700, or metres with an m"},
		{"2700 mm mm", ""},
		{"2 m 700", ""},
		{"2700mm/m", ""},
		{"2700 2800", ""},
		{"1.2.3", ""},
		{"1,200", "write 1200, or 1.200 with a point"},
		{"12,5", "12.5"},
		{"0,200", "0.200"},
		{"1,2345", "1.2345"},
		{"1234,567", "1234.567"},
		{"1.200,5", "1200.5"},
		{"1,234.5", "1234.5"},
		{"1,234,567", "1234567"},
		{"1.234.567", "1234567"},
		{"1 200", "write it without thousands separators: 1200"},
		{"1\u00a0200", "1200"},
		{"1\u202f200,5", "1200.5"},
		{"1'200", "1200"},
		{"1\u2019200", "1200"},
		{"\u00a31200", "currency"},
		{"$1200", "currency"},
		{"1200 \u20ac", "currency"},
		{"1.2E+03", "scientific"},
		{"1E3", "scientific"},
		{"-1.2e-05", "scientific"},
		{"1.2E+03 m", "scientific"},
		{"NaN", "a program wrote it"},
		{"Inf", "a program wrote it"},
		{"+Inf", "a program wrote it"},
		{"-infinity", "a program wrote it"},
		{"0x10", "plain decimal number"},
		{"0b11", "plain decimal number"},
		{"1_000", "underscore"},
		{"\uff11\uff12", "another script or width"},
		{"\u0665", "another script or width"},
		{"12 cm", "only mm and m"},
		{"12\"", "feet and inches"},
		{"12 ft", "feet and inches"},
		{"2.7 metres", "only mm and m"},
		{"03-Apr", "it looks like a date: a spreadsheet makes one of 3-4"},
		{"27OO", "write 2700"},
		{"10000000.1", "at most 10 km"},
		{"-10000001", "at most 10 km"},
		{"10001 m", "at most 10 km"},
		{"99999999999999999999999999", "at most 10 km"},
		{"2700\x00", "2700\\x00"},
		{"\xff", "\\xff"},
	} {
		got := ParseLength(test.text)
		wantFault(t, "Length", test.text, got.Fault, test.hint)
		if got.MM != 0 {
			t.Errorf("ParseLength(%q) = %v with a fault, want 0", test.text, got.MM)
		}
	}
}

func TestParseNumber(t *testing.T) {
	for _, test := range []struct {
		text string
		want float64
	}{
		{"0", 0}, {"-0", 0}, {"3", 3}, {"+3", 3}, {"2.5", 2.5}, {"3.", 3}, {"10000000", 1e7}, {"'4", 4}, {" 4\u00a0", 4},
	} {
		got := ParseNumber(test.text)
		if got.Fault != nil || got.Value != test.want {
			t.Errorf("ParseNumber(%q) = %v (%v), want %v", test.text, got.Value, got.Fault, test.want)
		}
	}
	for _, test := range []struct{ text, hint string }{
		{"-1", "is negative"},
		{"\u22121", "is negative"},
		{"3 m", "a number that is not negative"},
		{"three", "a number that is not negative"},
		{"1,200", "1200"},
		{"1E3", "scientific"},
		{"NaN", "a program wrote it"},
		{"10000001", "at most 10000000"},
	} {
		got := ParseNumber(test.text)
		wantFault(t, "Number", test.text, got.Fault, test.hint)
		if got.Value != 0 {
			t.Errorf("ParseNumber(%q) = %v with a fault, want 0", test.text, got.Value)
		}
	}
}

func TestParseAsked(t *testing.T) {
	for _, test := range []struct {
		text string
		mm   float64
		told bool
	}{
		{"0", 0, false},
		{"50", 50, false},
		{"50 mm", 50, false},
		{"0.05 m", 50, false},
		{"told", 0, true},
		{"TOLD", 0, true},
		{" told ", 0, true},
	} {
		got := ParseAsked(test.text)
		if got.Fault != nil || got.MM != test.mm || got.Told != test.told {
			t.Errorf("ParseAsked(%q) = %+v (%v), want %v, told %v", test.text, got, got.Fault, test.mm, test.told)
		}
	}
	for _, test := range []struct{ text, hint string }{
		{"-50", "is negative"}, {"tolds", "or told"}, {"told 50", "or told"}, {"1,200", "1200"}, {"99999999", "at most 10 km"},
	} {
		wantFault(t, "Asked", test.text, ParseAsked(test.text).Fault, test.hint)
	}
}

func TestParseCovering(t *testing.T) {
	for _, test := range []struct {
		text string
		mm   float64
		over bool
	}{
		{"0", 0, false},
		{"none", 0, false},
		{"No", 0, false},
		{"25", 25, false},
		{"25 mm", 25, false},
		{"13", 13, false},
		{"40 over joint", 40, true},
		{"40mm over joints", 40, true},
		{"40 Over The Flange", 40, true},
		{"0.04 m over joint", 40, true},
		{"40 over flanges", 40, true},
		{"40over joint", 40, true},
	} {
		got := ParseCovering(test.text)
		if got.Fault != nil || got.MM != test.mm || got.OverJoint != test.over {
			t.Errorf("ParseCovering(%q) = %+v (%v), want %v, over the joint %v", test.text, got, got.Fault, test.mm, test.over)
		}
	}
	for _, test := range []struct{ text, hint string }{
		{"-25", "is negative"},
		{"over joint", "40 over joint"},
		{"40 over", "40 over joint"},
		{"40 under joint", "40 over joint"},
		{"40 over joint joint", "40 over joint"},
		{"2,5", "2.5"},
		{"99999999", "at most 10 km"},
		{"wool", "a thickness"},
	} {
		wantFault(t, "Covering", test.text, ParseCovering(test.text).Fault, test.hint)
	}
}
