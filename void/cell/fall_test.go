package cell

import "testing"

func TestParseFall(t *testing.T) {
	for _, test := range []struct {
		text string
		want float64
	}{
		{"0", 0},
		{"-0", 0},
		{"0.00", 0},
		{"0 %", 0},
		{"-0 mm/m", 0},
		{"0 in 80", 0},
		{"level", 0},
		{"None", 0},
		{"flat", 0},
		{"1 in 80", 1.0 / 80},
		{"1 IN 80", 1.0 / 80},
		{"1in80", 1.0 / 80},
		{"1:80", 1.0 / 80},
		{"1 : 80", 1.0 / 80},
		{"1/80", 1.0 / 80},
		{"1 / 80", 1.0 / 80},
		{"1 in 80.5", 1 / 80.5},
		{"1.5 in 100", 1.5 / 100},
		{"1:20", 1.0 / 20},
		{"1:5", 1.0 / 5},
		{"1:05", 1.0 / 5}, // five past one is the same fall
		{"2:100", 2.0 / 100},
		{"2:60", 2.0 / 60}, // no time of day
		{"1.0:80", 1.0 / 80},
		{"12.5 mm/m", 0.0125},
		{"12.5mm/m", 0.0125},
		{"12.5 mm / m", 0.0125},
		{"12.5 mm per m", 0.0125},
		{"12.5 mm per metre", 0.0125},
		{"1.25 %", 0.0125},
		{"1.25%", 0.0125},
		{"1.25\u00a0%", 0.0125},
		{"1.1 %", 0.011}, // 1.1 / 100 is 0.011000000000000001
		{"100 %", 1},
		{"-13044.5860 mm/m", -13.044586},
		{"100000 %", 1000},
		{"1 in 1", 1},
		{"-1 in 80", -1.0 / 80},
		{"\u22121 in 80", -1.0 / 80},
		{"- 1.25 %", -0.0125},
		{"-2:20", -2.0 / 20}, // no time of day has a sign
		{"+1:80", 1.0 / 80},
		{"'1:80", 1.0 / 80},
	} {
		got := ParseFall(test.text)
		if got.Fault != nil || got.Slope != test.want {
			t.Errorf("ParseFall(%q) = %v (%v), want %v", test.text, got.Slope, got.Fault, test.want)
		}
	}
}

func TestParseFallFaults(t *testing.T) {
	for _, test := range []struct{ text, hint string }{
		{"-", "leave the cell blank"},
		{"in", ""},
		{"1 in", ""},
		{"in 80", ""},
		{"1:", ""},
		{":80", ""},
		{"1:0", ""},
		{"1 in 80 in 2", ""},
		{"1.25 % %", ""},
		{"12.5 mm", ""},
		{"12.5 mm/mm", ""},
		{"80", "say which it is"},
		{"-12.5", "say which it is"},
		{"0.0125", "say which it is"},
		{"0.05", "say which it is"},
		{"80:1", "steeper than 1 in 1"},
		{"2 in 1", "steeper than 1 in 1"},
		{"99999999999999999999 in 1", "steeper than 1 in 1"},
		{"100001 %", "too steep"},
		{"99999999999999999999999999 mm/m", "too steep"},
		// 1:80 as a spreadsheet shows it: one hour and eighty minutes.
		{"02:20", "a time of day: a spreadsheet makes one of 1:80; write 1 in 80"},
		{"2:20", "1:80; write 1 in 80"},
		{"02:20:00", "1:80; write 1 in 80"},
		{"2:20:00", "1:80; write 1 in 80"},
		{"2:20 AM", "1:80; write 1 in 80"},
		{"2:20:00 am", "1:80; write 1 in 80"},
		{"01:40", "1:40; write 1 in 40"},
		{"01:40:00", "1:40; write 1 in 40"},
		{"1:40 AM", "1:40; write 1 in 40"},
		{"01:20", "1:20; write 1 in 20"},
		{"01:20:00", "1:20; write 1 in 20"},
		{"03:20", "1:140"}, // (3 - 1) * 60 + 20
		{"00:45", "a time of day"},
		{"1:40 PM", "a time of day"},
		{"12:30 AM", "one of 1:80"}, // half past midnight was no fall; 1:80 is the example
		{"9:40 AM", "1:520"},        // (9 - 1) * 60 + 40
		{"24:20", "a time of day"},
		{"1:8O", ""},
		{"1:1,5", "1.5"},
		{"0.0972222222222222", "1:80; write 1 in 80"}, // 140 minutes of 1440
		{"0.0555555556", "1:20; write 1 in 20"},       // 80 minutes of 1440
		{"0.06944444", "1:40; write 1 in 40"},         // 100 minutes of 1440
		// 1/80 and 1/20 as a spreadsheet shows them.
		{"Jan-80", "a date: a spreadsheet makes one of 1/80; write 1 in 80"},
		{"01-Jan-80", "1/80; write 1 in 80"},
		{"1980-01-01", "1/80; write 1 in 80"},
		{"20-Jan", "1/20; write 1 in 20"},
		{"01/20/2026", "1/20; write 1 in 20"},
		{"01-Oct", "1/10; write 1 in 10"},
		{"03-Apr", "a date"},
		{"1,25 %", "1.25"},
		{"12,5 mm/m", "12.5"},
		{"1.2E-02", "scientific"},
		{"NaN", "a program wrote it"},
		{"1 in NaN", ""},
		{"１:80", "another script or width"},
	} {
		got := ParseFall(test.text)
		wantFault(t, "Fall", test.text, got.Fault, test.hint)
		if got.Slope != 0 {
			t.Errorf("ParseFall(%q) = %v with a fault", test.text, got.Slope)
		}
	}
}

func TestFallString(t *testing.T) {
	for _, test := range []struct{ text, want string }{
		{"0.0", "0"},
		{"level", "0"},
		{"1.25 %", "1 in 80"},
		{"- 12.5 mm/m", "-1 in 80"},
		{"1:3", "1 in 3"},
		{"1.1 %", "11 mm/m"},
		{"3 %", "30 mm/m"},
		{"0.7 mm/m", "0.7 mm/m"},
		{"100 %", "1 in 1"},
		{"1500 mm/m", "1500 mm/m"},
	} {
		if got := ParseFall(test.text).String(); got != test.want {
			t.Errorf("ParseFall(%q).String() = %q, want %q", test.text, got, test.want)
		}
	}
}
