package cell

import "testing"

// fuzzCell fuzzes the parser of one type: see checkCell for what must hold.
func fuzzCell(f *testing.F, name string, seeds ...string) {
	for _, text := range blanks {
		f.Add(text)
	}
	for _, text := range append(seeds, spoilt...) {
		f.Add(text)
	}
	for _, p := range parsers {
		if p.name == name {
			f.Fuzz(func(t *testing.T, text string) { checkCell(t, name, p.parse, p.zero, text) })
			return
		}
	}
	f.Fatalf("no parser for %s", name)
}

// spoilt are texts as spreadsheets and people spoil them.
var spoilt = []string{
	"-", "+", "\u2013", ".", "..", "'", "NaN", "+Inf", "0x1F", "1_000", "1.2E+03", "1,200", "2,7", "1.234,5", "1 200", "1'200", "£1200",
	"#REF!", "#N/A", "####", "03-Apr", "4-Mar", "2026-04-03", "02:20:00", "1:40 AM", "0.0972222222", "２７００", "27OO", "99999999999",
	"\x00", "\xff\xfe", "\u200b1\u200b",
}

func FuzzParseWord(f *testing.F)   { fuzzCell(f, "Word", "T1", "''3-4", "plant room") }
func FuzzParseLength(f *testing.F) { fuzzCell(f, "Length", "2700", "2.7 m", "-35.5 mm", ".5", "12.") }
func FuzzParseNumber(f *testing.F) { fuzzCell(f, "Number", "3", "-1", "2.5") }
func FuzzParseFlag(f *testing.F)   { fuzzCell(f, "Flag", "yes", "No", "x", "0") }
func FuzzParsePlace(f *testing.F) {
	fuzzCell(f, "Place", "1200", "B+1200", "B - 1.2 m", "grid 3 - 450", "3A+600", "A.1", "grid line A-1+0", "B 1200", "3-450", "3E+12")
}

func FuzzParseSize(f *testing.F) {
	fuzzCell(f, "Size", "600x300", "0.6 x 0.3 m", "ø250x100", "dia. 250", "250 mm dia", "600x600x100", "150", "DN150 (BS EN 10255:2004)",
		"15 EN 1057", "UB 406x178x60", "406x178 UB 60", "HE200A", "HEB 300", "IPE 300", "600mmx300mm")
}

func FuzzParseLevel(f *testing.F) {
	fuzzCell(f, "Level", "2700", "FFL + 2.7 m", "2700 AFFL", "datum line+1650", "build up+20", "60 below u/s of slab", "BOD: 2700",
		"soffit-60 top", "FFL+2400..soffit", "2400 to 2700", "no ceiling", "TOS+100", "u/s beam", "-5 mm\u2026ceiling")
}
func FuzzParseFace(f *testing.F) { fuzzCell(f, "Face", "bottom", "u/s", "C.L.", "TOD") }
func FuzzParseFall(f *testing.F) {
	fuzzCell(f, "Fall", "1 in 80", "1:80", "-1/80", "12.5 mm/m", "1.25 %", "level", "0", "2:100", "12.5 mm per metre")
}

func FuzzParseSide(f *testing.F)  { fuzzCell(f, "Side", "one side", "All-Round", "either side", "LH") }
func FuzzParseAsked(f *testing.F) { fuzzCell(f, "Asked", "50", "told", "0.05 m", "-50") }
func FuzzParseCovering(f *testing.F) {
	fuzzCell(f, "Covering", "25", "40 over the joint", "none", "0.04 m over flange")
}

func FuzzParseNames(f *testing.F) { fuzzCell(f, "Names", "T1; T2", "T1,,T2;", "'3-4;5-6", "T1\r\nT2") }

func FuzzLooksLikeDate(f *testing.F) {
	for _, text := range append(blanks, spoilt...) {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		original, ok := LooksLikeDate(text)
		if ok == (original == "") || len(original) > 6 { // 31-12, 12-1980
			t.Errorf("LooksLikeDate(%q) = %q, %v", text, original, ok)
		}
	})
}

// Rewriting the text of a cell changes nothing the second time, and leaves a text that parses or is
// refused like any other.
func FuzzRewrite(f *testing.F) {
	for _, text := range append(blanks, spoilt...) {
		f.Add(text)
	}
	for _, text := range []string{"0,6x0,3", "FFL+2,4..2,7 m", "grid 3 - 0,45", "ø0,25", "406x178UB60", "1.234.567,8 m", "B+1,200", "2.7AFFL"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		for _, comma := range []func(string) string{DecimalComma, DecimalCommaMetres} {
			points := comma(text)
			if again := comma(points); again != points {
				t.Errorf("%q with points %q, again %q", text, points, again)
			}
			metres := Metres(points)
			if again := Metres(metres); again != metres {
				t.Errorf("%q in metres %q, again %q", points, metres, again)
			}
			for _, p := range parsers {
				checkCell(t, p.name, p.parse, p.zero, metres)
			}
		}
		Points(text)
	})
}
