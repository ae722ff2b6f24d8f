package cell

import "testing"

func TestParseLevel(t *testing.T) {
	at := func(ref Ref, mm float64) Level { return Level{Low: Height{ref, mm}} }
	to := func(ref Ref, mm float64, says Facing) Level { return Level{Low: Height{ref, mm}, Says: says} }
	between := func(low, high Height) Level { return Level{Low: low, High: high, Range: true} }
	none := Level{None: true}
	for _, test := range []struct {
		text string
		want Level
	}{
		{"none", none},
		{"None", none},
		{"open", none},
		{"no ceiling", none},
		{"No\u00a0Ceiling", none},
		{"open soffit", none},
		{"0", at(FFL, 0)},
		{"-0", at(FFL, 0)},
		{"0.000", at(FFL, 0)},
		{"2700", at(FFL, 2700)},
		{"+2700", at(FFL, 2700)},
		{"2700 mm", at(FFL, 2700)},
		{"20", at(FFL, 20)},
		{"-20", at(FFL, -20)},
		{"15 mm", at(FFL, 15)},
		{"2.7 m", at(FFL, 2700)},
		{"+2.700 m", at(FFL, 2700)},
		{"'2700", at(FFL, 2700)},
		{"FFL", at(FFL, 0)},
		{"FFL+0", at(FFL, 0)},
		{"FFL+2700", at(FFL, 2700)},
		{"ffl+2700", at(FFL, 2700)},
		{"FFL + 2700", at(FFL, 2700)},
		{"FFL\u00a0+\u202f2700", at(FFL, 2700)},
		{"FFL 2700", at(FFL, 2700)},
		{"FFL-150", at(FFL, -150)},
		{"FFL \u2212 150", at(FFL, -150)},
		{"FFL+2679.9", at(FFL, 2679.9)},
		{"FFL+17", at(FFL, 17)}, // a small number behind a reference that is written
		{"17 above FFL", at(FFL, 17)},
		{"AFFL 17", at(FFL, 17)},
		{"SSL-5", at(SSL, -5)},
		{"datum+12", at(Datum, 12)},
		{"project+7", at(Project, 7)},
		{"FFL+2.7m", at(FFL, 2700)},
		{"FFL+2.7 m", at(FFL, 2700)},
		{"FFL+15mm", at(FFL, 15)},
		{"2700 FFL", at(FFL, 2700)},
		{"2700 AFFL", at(FFL, 2700)},
		{"2700AFFL", at(FFL, 2700)},
		{"2.7 m AFFL", at(FFL, 2700)},
		{"AFFL 2700", at(FFL, 2700)},
		{"AFFL+2700", at(FFL, 2700)},
		{"2700 above FFL", at(FFL, 2700)},
		{"SSL+2750", at(SSL, 2750)},
		{"SFL+2750", at(SSL, 2750)},
		{"2750 SSL", at(SSL, 2750)},
		{"datum+1650", at(Datum, 1650)},
		{"datum line + 1650", at(Datum, 1650)},
		{"1650 above datum", at(Datum, 1650)},
		{"100 below datum", at(Datum, -100)},
		{"ceiling", at(Ceiling, 0)},
		{"ceiling+20", at(Ceiling, 20)},
		{"ceiling+5", at(Ceiling, 5)},
		{"FCL+20", at(Ceiling, 20)},
		{"ceiling line+20", at(Ceiling, 20)},
		{"u/s ceiling", at(Ceiling, 0)},
		{"ceiling 0", at(Ceiling, 0)},
		{"build-up+20", at(BuildUp, 20)},
		{"build-up+2.5", at(BuildUp, 2.5)},
		{"buildup + 20", at(BuildUp, 20)},
		{"build up+20", at(BuildUp, 20)},
		{"Build\u2013up+20", at(BuildUp, 20)},
		{"top of build-up+20", at(BuildUp, 20)},
		{"20 above build-up", at(BuildUp, 20)},
		{"20 over build-up", at(BuildUp, 20)},
		{"soffit", at(Soffit, 0)},
		{"soffit-60", at(Soffit, -60)},
		{"soffit \u2013 60", at(Soffit, -60)},
		{"soffit-0.06 m", at(Soffit, -60)},
		{"60 below soffit", at(Soffit, -60)},
		{"60 mm under soffit", at(Soffit, -60)},
		{"0 below soffit", at(Soffit, 0)},
		{"u/s soffit-60", at(Soffit, -60)},
		{"u/s of slab - 60", at(Soffit, -60)},
		{"60 below u/s of slab", at(Soffit, -60)},
		{"underside of the deck", at(Soffit, 0)},
		{"top of slab+50 mm", at(SSL, 50)},
		{"steel-60", at(Steel, -60)},
		{"beam-60", at(Steel, -60)},
		{"u/s beam", at(Steel, 0)},
		{"U/S of beam -60", at(Steel, -60)},
		{"bottom of steel-60", at(Steel, -60)},
		{"project+7250", at(Project, 7250)},
		{"project datum+7250", at(Project, 7250)},
		{"project+7.25 m", at(Project, 7250)},
		{"BOD 2700", to(FFL, 2700, Bottom)},
		{"2700 BOD", to(FFL, 2700, Bottom)},
		{"BOD FFL+2700", to(FFL, 2700, Bottom)},
		{"FFL+2700 BOD", to(FFL, 2700, Bottom)},
		{"FFL BOD 2700", to(FFL, 2700, Bottom)},
		{"BOD: 2700", to(FFL, 2700, Bottom)},
		{"u/s @ 2700", to(FFL, 2700, Bottom)},
		{"2700 AFFL u/s", to(FFL, 2700, Bottom)},
		{"underside 2700", to(FFL, 2700, Bottom)},
		{"BOP 2700", to(FFL, 2700, Bottom)},
		{"BOT ceiling+20", to(Ceiling, 20, Bottom)},
		{"BOS 3600", to(FFL, 3600, Bottom)},
		{"BOS +3600", to(FFL, 3600, Bottom)},
		{"BOS FFL-100", to(FFL, -100, Bottom)},
		{"CL 2700", to(FFL, 2700, Centre)},
		{"c/l 2700", to(FFL, 2700, Centre)},
		{"centre 2700", to(FFL, 2700, Centre)},
		{"2700 CL", to(FFL, 2700, Centre)},
		{"COP datum+1650", to(Datum, 1650, Centre)},
		{"TOD 2700", to(FFL, 2700, Top)},
		{"TOP 2700", to(FFL, 2700, Top)},
		{"TOT 2.7 m", to(FFL, 2700, Top)},
		{"TOS 3600", to(FFL, 3600, Top)},
		{"top steel-60", to(Steel, -60, Top)},
		{"soffit u/s", to(Soffit, 0, Bottom)},
		{"soffit-60 top", to(Soffit, -60, Top)},
		{"FFL+17..soffit", between(Height{FFL, 17}, Height{Soffit, 0})},
		{"FFL+17..FFL+2400", between(Height{FFL, 17}, Height{FFL, 2400})},
		{"FFL+2400..soffit", between(Height{FFL, 2400}, Height{Soffit, 0})},
		{"FFL+2400 .. soffit-20", between(Height{FFL, 2400}, Height{Soffit, -20})},
		{"FFL+2400 to soffit", between(Height{FFL, 2400}, Height{Soffit, 0})},
		{"FFL+2400 TO u/s soffit", between(Height{FFL, 2400}, Height{Soffit, 0})},
		{"2400..2700", between(Height{FFL, 2400}, Height{FFL, 2700})},
		{"2400...2700", between(Height{FFL, 2400}, Height{FFL, 2700})},
		{"2400\u20262700", between(Height{FFL, 2400}, Height{FFL, 2700})},
		{"2400 to 2700", between(Height{FFL, 2400}, Height{FFL, 2700})},
		{"2.4 m..2.7 m", between(Height{FFL, 2400}, Height{FFL, 2700})},
		{"2400..2.7 m", between(Height{FFL, 2400}, Height{FFL, 2700})},
		{"0..2700", between(Height{FFL, 0}, Height{FFL, 2700})},
		{"FFL+4468..FFL+6641.4", between(Height{FFL, 4468}, Height{FFL, 6641.4})},
		{"FFL-0.1..FFL+4679.9", between(Height{FFL, -0.1}, Height{FFL, 4679.9})},
		{"FFL-3500..FFL+5", between(Height{FFL, -3500}, Height{FFL, 5})},
		{"ceiling to soffit", between(Height{Ceiling, 0}, Height{Soffit, 0})},
		{"BOD 2400..TOD 2700", between(Height{FFL, 2400}, Height{FFL, 2700})},
		{"soffit..ceiling", between(Height{Soffit, 0}, Height{Ceiling, 0})}, // the building knows
		{"10000000", at(FFL, 1e7)},
	} {
		got := ParseLevel(test.text)
		test.want.Text = clean(test.text)
		if got.Fault != nil || got != test.want {
			t.Errorf("ParseLevel(%q) = %+v (%v), want %+v", test.text, got, got.Fault, test.want)
		}
	}
}

func TestParseLevelFaults(t *testing.T) {
	for _, test := range []struct{ text, hint string }{
		{"-", "leave the cell blank"},
		{"+", "leave the cell blank"},
		{"..", "a level, such as 2700, FFL+2700"},
		{"to", ""},
		{"2700..", ""},
		{"..2700", ""},
		{"none..2700", ""},
		{"x9", "a level, such as 2700"},
		{"@2700", ""},
		{"2.7", "2.7 is surely metres: write 2700 or 2.7 m"},
		{"3", "3 is surely metres: write 3000 or 3 m"},
		{"19.99", "write 19990 or 19.99 m"},
		{"-0.15", "0.15 is surely metres: write 150 or 0.15 m"},
		{"FFL+2.7", "2.7 is surely metres"},
		{"FFL +3.450", "3.450 is surely metres: write 3450 or 3.450 m"},
		{"2.7 AFFL", "2.7 is surely metres"},
		{"SSL+2.75", "2.75 is surely metres"},
		{"datum+1.65", "1.65 is surely metres"},
		{"project+7.25", "7.25 is surely metres"},
		{"BOD 2.7", "2.7 is surely metres"},
		{"2.4..2.7 m", "2.4 is surely metres"},
		{"2.4..soffit", "2.4 is surely metres"},
		{"2.4..2.7", "2.4 is surely metres"},
		{"ceiling..2.7", "2.7 is surely metres"},
		{"-0.1..ceiling+2700", "0.1 is surely metres"},
		{"0..2.7", "2.7 is surely metres"},
		{"17", "17 is surely metres"},
		{"17 BOD", "17 is surely metres"},
		{"FFL+0..FFL+3", "3 is surely metres"}, // nothing upright is 3 mm high
		{"FFL+2..FFL+5", "2 is surely metres"},
		{"ceiling 20", "write + for above and - for below"},
		{"soffit 60", "write + for above and - for below"},
		{"60 soffit", "write + for above and - for below"},
		{"beam 3600", "write + for above and - for below"},
		{"-60 below soffit", "without a sign"},
		{"+20 above ceiling", "without a sign"},
		{"TOS+100", "steel-60"},
		{"BOS-60", "steel-60"},
		{"u/s build-up+20", "finished face"},
		{"top of steel-20", "underside"},
		{"top of soffit", "underside"},
		{"top of ceiling", "finished face"},
		{"slab-60", "say soffit"},
		{"AOD 7.25", "ordnance datum"},
		{"7250 AOD", "ordnance datum"},
		{"IL 2700", "invert"},
		{"BOD", "no level"},
		{"u/s", "no level"},
		{"BOD TOD 2700", ""},
		{"BOD 2700 TOD", ""},
		{"FFL SSL 2700", ""},
		{"FFL FFL 2700", ""},
		{"FFL+2700 SSL", ""},
		{"FFL+2700+50", ""},
		{"2700 2800", ""},
		{"2400-2700", "2400..2700"},
		{"2400 \u2013 2700", "2400..2700"},
		{"2700..2400", "lower end first"},
		{"soffit-20..soffit-60", "lower end first"},
		{"2700..2700", "no height"},
		{"soffit..soffit", "no height"},
		{"CL 2400..2700", "needs no other face"},
		{"TOD 2400..2700", "needs no other face"},
		{"2400..BOD 2700", "needs no other face"},
		{"2400..2700..3000", ""},
		{"2,700", "2700"},
		{"2,7", "2.7"},
		{"1 200", "1200"},
		{"1.2E+03", "scientific"},
		{"FFL+1.2E+03", "scientific"},
		{"£2700", "currency"},
		{"NaN", "a program wrote it"},
		{"FFL+NaN", ""},
		{"0x10", "plain decimal number"},
		{"2_700", "underscore"},
		{"\uff12\uff17\uff10\uff10", "another script or width"},
		{"27OO", "write 2700"},
		{"03-Apr", "it looks like a date"},
		{"10000001", "at most 10 km"},
		{"FFL-99999999", "at most 10 km"},
		{"soffit-10001 m", "at most 10 km"},
		{"2700\x00", ""},
	} {
		got := ParseLevel(test.text)
		wantFault(t, "Level", test.text, got.Fault, test.hint)
		got.Text, got.Fault = "", nil
		if got != (Level{}) {
			t.Errorf("ParseLevel(%q) = %+v with a fault", test.text, got)
		}
	}
}

func TestLevelString(t *testing.T) {
	for _, test := range []struct{ text, want string }{
		{"2700", "FFL+2700"},
		{"FFL - 0.15 m", "FFL-150"},
		{"15 mm", "FFL+15 mm"},
		{"-5 mm..soffit", "FFL-5 mm..soffit"},
		{"ceiling + 5", "ceiling+5"},
		{"u/s beam", "steel"},
		{"2700 BOD", "FFL+2700 bottom"},
		{"TOD soffit - 60", "soffit-60 top"},
		{"open", "none"},
	} {
		if got := ParseLevel(test.text).String(); got != test.want {
			t.Errorf("ParseLevel(%q).String() = %q, want %q", test.text, got, test.want)
		}
	}
	for r := FFL; r <= Project; r++ {
		if got := ParseLevel(r.String()); got.Fault != nil || got.Low.Ref != r {
			t.Errorf("ParseLevel(%q) = %v (%v), want %d", r.String(), got.Low.Ref, got.Fault, r)
		}
	}
	if got := (Project + 1).String(); got != "unknown reference" {
		t.Errorf("Ref(%d).String() = %q", Project+1, got)
	}
}

func TestParseFace(t *testing.T) {
	for _, test := range []struct {
		want  Facing
		texts []string
	}{
		{Bottom, []string{"bottom", "Bottom", "u/s", "U/S", "underside", "under-side", "BOD", "B.O.D.", "BOP", "BOT", "BOS", " bod\u00a0"}},
		{Centre, []string{"centre", "center", "CL", "C/L", "axis", "COD", "COP", "COT", "centre line", "centreline"}},
		{Top, []string{"top", "TOD", "TOP", "TOT", "TOS"}},
	} {
		for _, text := range test.texts {
			if got := ParseFace(text); got.Fault != nil || got.Is != test.want {
				t.Errorf("ParseFace(%q) = %v (%v), want %v", text, got.Is, got.Fault, test.want)
			}
		}
		if got := ParseFace(test.want.String()); got.Is != test.want {
			t.Errorf("ParseFace(%q) = %v, want %v", test.want.String(), got.Is, test.want)
		}
	}
	for _, text := range []string{"-", "side", "2700", "bottom top", "a text that is longer than any word"} {
		wantFault(t, "Face", text, ParseFace(text).Fault, "bottom, centre or top")
	}
}

// What a level hints at stands anywhere in it, right after another word too.
func TestHintsAtTheSecondWord(t *testing.T) {
	for _, text := range []string{"slab", "under slab", "to deck", "of the slab"} {
		wantFault(t, "Level", text, ParseLevel(text).Fault, "say soffit for its underside")
	}
}

// However many apostrophes a spreadsheet has put in front, they are no part of the cell.
func TestApostrophesInFront(t *testing.T) {
	for _, text := range []string{"2700", "'2700", "''2700", " ' '' 2700 "} {
		if got := ParseLevel(text); got.Fault != nil || got.Text != "2700" {
			t.Errorf("ParseLevel(%q) = %q, %v; want 2700", text, got.Text, got.Fault)
		}
	}
}

// An offset that would be asked about, for it may be metres, is written with its unit; one that would not is not.
func TestSmallOffsetsAreWrittenWithTheirUnit(t *testing.T) {
	for text, want := range map[string]string{
		"FFL+20": "FFL+20", "FFL-20": "FFL-20", "FFL+19.9mm": "FFL+19.9 mm", "FFL-19.9mm": "FFL-19.9 mm", "FFL+0": "FFL", "soffit-5": "soffit-5",
	} {
		if got := ParseLevel(text); got.Fault != nil || got.String() != want {
			t.Errorf("ParseLevel(%q) is written %q, %v; want %q", text, got.String(), got.Fault, want)
		}
	}
}
