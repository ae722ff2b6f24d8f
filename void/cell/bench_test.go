package cell

import "testing"

func BenchmarkParseLength(b *testing.B) {
	benchmark(b, []string{"2700", "-39518.8", "2.7 m", "41"}, func(text string) *Fault { return ParseLength(text).Fault })
}

func BenchmarkParsePlace(b *testing.B) {
	benchmark(b, []string{"1200", "-39518.8", "B+1200", "grid 3 - 450"}, func(text string) *Fault { return ParsePlace(text).Fault })
}

func BenchmarkParseSize(b *testing.B) {
	benchmark(b, []string{"600x300", "152.9x455.2", "ø250", "DN50", "UB 406x178x60"}, func(text string) *Fault { return ParseSize(text).Fault })
}

func BenchmarkParseLevel(b *testing.B) {
	benchmark(b, []string{"2700", "FFL+2679.9", "ceiling+20", "build-up+20", "FFL+2400..soffit", "2700 AFFL"}, func(text string) *Fault { return ParseLevel(text).Fault })
}

func BenchmarkParseFall(b *testing.B) {
	benchmark(b, []string{"1 in 80", "1:80", "12.5 mm/m", "1.25 %"}, func(text string) *Fault { return ParseFall(text).Fault })
}

func benchmark(b *testing.B, texts []string, parse func(string) *Fault) {
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		if f := parse(texts[i%len(texts)]); f != nil {
			b.Fatal(f)
		}
	}
}

// What can be read is read without allocating, except where a name must be put together.
func TestParseDoesNotAllocate(t *testing.T) {
	for _, test := range []struct {
		name  string
		run   func(string) *Fault
		texts []string
	}{
		{name: "Word", run: func(s string) *Fault { return ParseWord(s).Fault }, texts: []string{"T1", "'3-4", " Küche\u00a0"}},
		{name: "Length", run: func(s string) *Fault { return ParseLength(s).Fault }, texts: []string{"2700", "2.7 m", "\u2212 35.5\u00a0mm", "0.123456789012345678"}},
		{name: "Number", run: func(s string) *Fault { return ParseNumber(s).Fault }, texts: []string{"3"}},
		{name: "Flag", run: func(s string) *Fault { return ParseFlag(s).Fault }, texts: []string{"yes", "No"}},
		{name: "Place", run: func(s string) *Fault { return ParsePlace(s).Fault }, texts: []string{"1200", "B+1200", "grid 3 \u2212 450", "3A+1.2 m"}},
		{name: "Size", run: func(s string) *Fault { return ParseSize(s).Fault }, texts: []string{"600x300", "600 × 300", "ø250", "250 dia", "DN150 EN 10255", "UB 406x178x60", "HE 200 A"}},
		{name: "Level", run: func(s string) *Fault { return ParseLevel(s).Fault }, texts: []string{"2700", "FFL+2700", "2700 AFFL", "build-up+20", "u/s of beam-60", "BOD 2700", "FFL+2400 to soffit", "none"}},
		{name: "Face", run: func(s string) *Fault { return ParseFace(s).Fault }, texts: []string{"u/s", "Centre"}},
		{name: "Fall", run: func(s string) *Fault { return ParseFall(s).Fault }, texts: []string{"1 in 80", "1.25 %", "level"}},
		{name: "Side", run: func(s string) *Fault { return ParseSide(s).Fault }, texts: []string{"one side", "left"}},
		{name: "Asked", run: func(s string) *Fault { return ParseAsked(s).Fault }, texts: []string{"50", "told"}},
		{name: "Covering", run: func(s string) *Fault { return ParseCovering(s).Fault }, texts: []string{"25", "40 over joint", "none"}},
	} {
		for _, text := range test.texts {
			if f := test.run(text); f != nil {
				t.Errorf("Parse%s(%q): %v", test.name, text, f)
			}
			if n := testing.AllocsPerRun(20, func() { test.run(text) }); n != 0 {
				t.Errorf("Parse%s(%q) allocates %v times, want none", test.name, text, n)
			}
		}
	}
}
