package cell

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// A level is shifted in the form in which it is written: each of these, so much higher.
func TestLevelShifted(t *testing.T) {
	for _, test := range []struct {
		text string
		by   float64
		want string
	}{
		{"FFL+2700", 40, "FFL+2740"},
		{"FFL+2740", -40, "FFL+2700"},
		{"FFL + 2700", 40, "FFL + 2740"},
		{"ffl 2700", 40, "ffl 2740"},
		{"2700", 40, "2740"},
		{"+2700", 40, "+2740"},
		{"2700", 0.5, "2700.5"},
		{"2700.5", -0.5, "2700"},
		{"2700.0", 40, "2740.0"},
		{"2700.04", 0.1, "2700.14"},
		{"2700 mm", 40, "2740 mm"},
		{"30", -15, "15 mm"},
		{"30", -40, "-10 mm"},
		{"-30", 40, "10 mm"},
		{"-30", 80, "50"},
		{"2.70 m", 40, "2.74 m"},
		{"2.74 m", -40, "2.70 m"},
		{"2.7 m", 40, "2.74 m"},
		{"2.70m", 45, "2.745m"},
		{"2.700 m", 100, "2.800 m"},
		{"FFL+2.7 m", 300, "FFL+3.0 m"},
		{"2700 AFFL", 40, "2740 AFFL"},
		{"AFFL 2700", 40, "AFFL 2740"},
		{"2.70 m AFFL", 40, "2.74 m AFFL"},
		{"SSL+2750", -50, "SSL+2700"},
		{"datum+1650", 40, "datum+1690"},
		{"datum line + 1650", 40, "datum line + 1690"},
		{"100 below datum", 40, "60 below datum"},
		{"100 below datum", 140, "40 above datum"},
		{"1650 above datum", -1700, "50 below datum"},
		{"CL 3000", 40, "CL 3040"},
		{"3000 CL", 40, "3040 CL"},
		{"BOD 2900", 40, "BOD 2940"},
		{"BOD: 2900", 40, "BOD: 2940"},
		{"u/s @ 2700", -5, "u/s @ 2695"},
		{"FFL+2700 BOD", 40, "FFL+2740 BOD"},
		{"FFL BOD 2700", 40, "FFL BOD 2740"},
		{"ceiling+20", 40, "ceiling+60"},
		{"ceiling+20", -20, "ceiling"},
		{"ceiling+20", -50, "ceiling-30"},
		{"ceiling", 40, "ceiling+40"},
		{"FCL+20", 5, "FCL+25"},
		{"build up+20", 40, "build up+60"},
		{"project+7250", 40, "project+7290"},
		{"soffit-60", 40, "soffit-20"},
		{"soffit-60", 60, "soffit"},
		{"soffit-60", 80, "soffit+20"},
		{"soffit", -60, "soffit-60"},
		{"soffit - 60", 60, "soffit - 0"},
		{"soffit - 60", 80, "soffit + 20"},
		{"soffit - 0", -60, "soffit - 60"},
		{"soffit \u2212 60", 40, "soffit \u2212 20"},
		{"soffit-0.06 m", 40, "soffit-0.02 m"},
		{"60 below soffit", 40, "20 below soffit"},
		{"60 below soffit", 80, "20 above soffit"},
		{"60 mm under u/s of slab", 80, "20 mm over u/s of slab"},
		{"u/s beam", -60, "u/s beam-60"},
		{"U/S of beam -60", 40, "U/S of beam -20"},
		{"soffit CL", -60, "soffit-60 centre"},
		{"soffit 0", -60, "soffit -60"},
		{"'FFL+2700", 40, "FFL+2740"},
		{"FFL+2400..FFL+2700", 40, "FFL+2440..FFL+2740"},
		{"FFL+2400 .. FFL+2700", 40, "FFL+2440 .. FFL+2740"},
		{"2400 to 2700", 40, "2440 to 2740"},
		{"2.4 m..2.7 m", 40, "2.44 m..2.74 m"},
		{"FFL-0.1..FFL+4680", 40, "FFL+39.9..FFL+4720"},
		{"FFL..FFL+2700", 40, "FFL+40..FFL+2740"},
		{"FFL+2400..soffit-60", 40, "FFL+2440..soffit-20"},
	} {
		got, ok := ParseLevel(test.text).Shifted(test.by, test.by)
		if !ok || got != test.want {
			t.Errorf("%q shifted %g: %q, %t; want %q", test.text, test.by, got, ok, test.want)
		}
	}
	for _, text := range []string{"", "none", "x", "2,7"} {
		if got, ok := ParseLevel(text).Shifted(40, 40); ok {
			t.Errorf("%q shifted: %q, want none", text, got)
		}
	}
	// Each end of a range by itself.
	if got, ok := ParseLevel("FFL+2400..soffit").Shifted(40, 0); !ok || got != "FFL+2440..soffit" {
		t.Errorf("the lower end alone: %q, %t", got, ok)
	}
	if got, ok := ParseLevel("FFL+2400..FFL+2440").Shifted(40, 0); ok {
		t.Errorf("a range without height: %q", got)
	}
	if got, ok := ParseLevel("2700").Shifted(math.NaN(), 0); ok {
		t.Errorf("by no length: %q", got)
	}
}

// A place stays from its own grid line.
func TestPlaceShifted(t *testing.T) {
	for _, test := range []struct {
		text string
		by   float64
		want string
	}{
		{"1200", 300, "1500"},
		{"1200", -1500, "-300"},
		{"-300", 1500, "1200"},
		{"0", 40, "40"},
		{"1200.5", 0.2, "1200.7"},
		{"1.20 m", 300, "1.50 m"},
		{"530120000.25", 40, "530120040.25"},
		{"B", 300, "B+300"},
		{"B+300", -300, "B"},
		{"B+1200", 300, "B+1500"},
		{"B+1200", -1500, "B-300"},
		{"B + 1200", 300, "B + 1500"},
		{"B + 1200", -1200, "B + 0"},
		{"B-1.2 m", 300, "B-0.9 m"},
		{"A-B+1200", 300, "A-B+1500"},
		{"A-B", 300, "A-B+300"},
		{"grid 3 - 450", 300, "grid 3 - 150"},
		{"grid 3 - 450", 450, "grid 3"},
		{"grid 3 - 450", 600, "grid 3 + 150"},
		{"grid 3", -450, "grid 3 - 450"},
		{"grid3", -450, "grid3-450"},
		{"grid 3-450", 450, "grid 3-0"},
		{"grid A-1+1200", 300, "grid A-1+1500"},
		{"grid line B", 300, "grid line B + 300"},
		{"3E", 3, "3E+3"},
		{"3E", 3000, "3E+3000"},
		{"M", 5, "M+5"},
	} {
		got, ok := ParsePlace(test.text).Shifted(test.by)
		if !ok || got != test.want {
			t.Errorf("%q shifted %g: %q, %t; want %q", test.text, test.by, got, ok, test.want)
		}
	}
	for _, text := range []string{"", "+", "B 12"} {
		if got, ok := ParsePlace(text).Shifted(40); ok {
			t.Errorf("%q shifted: %q, want none", text, got)
		}
	}
}

// Whatever a level or a place is written like and whatever it is shifted by, it says that much more, and in whole steps of what is written
// it comes back to the letter.
func TestShiftedAndBack(t *testing.T) {
	refs := []string{"", "FFL", "FFL ", "AFFL", "ssl", "datum", "Datum line ", "project", "ceiling", "FCL", "build-up", "soffit", "u/s of slab ", "beam", "steel "}
	rapid.Check(t, func(t *rapid.T) {
		of := func(label string, from ...string) string { return rapid.SampledFrom(from).Draw(t, label) }
		number := func(label string) string {
			n := rapid.IntRange(100, 9999).Draw(t, label)
			switch of("unit of "+label, "", "", "mm", "m2", "m3", ".5") {
			case "mm":
				return fmt.Sprint(n, " mm")
			case "m2":
				return fmt.Sprintf("%d.%02d m", n/1000, n%1000/10)
			case "m3":
				return fmt.Sprintf("%d.%03d m", n/1000, n%1000)
			case ".5":
				return fmt.Sprint(n, ".5")
			}
			return fmt.Sprint(n)
		}
		ref := of("reference", refs...)
		sign := of("sign", "+", "-", " + ", " - ")
		if ref == "" {
			sign = of("sign of a number alone", "", "", "-", "+")
		}
		text := of("face", "", "", "CL ", "BOD ") + ref + sign + number("level")
		l := ParseLevel(text)
		if l.Fault != nil {
			t.Skip("no level: ", text)
		}
		by := float64(rapid.IntRange(-9000, 9000).Draw(t, "tenths")) / 10
		if rapid.Bool().Draw(t, "whole") {
			by = math.Round(by/10) * 10
		}
		up, ok := l.Shifted(by, by)
		if !ok {
			t.Fatalf("%q cannot be shifted %g", text, by)
		}
		is := ParseLevel(up)
		if is.Fault != nil || is.Low.Ref != l.Low.Ref || is.Says != l.Says || math.Abs(is.Low.MM-l.Low.MM-by) > 1e-6 {
			t.Fatalf("%q shifted %g is %q: %+v", text, by, up, is)
		}
		back, ok := is.Shifted(-by, -by)
		if b := ParseLevel(back); !ok || b.Fault != nil || math.Abs(b.Low.MM-l.Low.MM) > 1e-6 || b.Low.Ref != l.Low.Ref {
			t.Fatalf("%q shifted %g and back is %q", text, by, back)
		}
		// A + before a number alone is lost below zero, and a number below 20 gets its unit.
		keeps := math.Abs(is.Low.MM) >= 20 && (ref != "" || sign != "+" || is.Low.MM > 0)
		if whole := by == math.Round(by/10)*10; whole && keeps && back != text {
			t.Fatalf("%q shifted %g is %q, and back %q", text, by, up, back)
		}

		place := of("line", "", "B", "grid 3", "grid A-1", "AA") + of("sign of the place", "+", "-", " + ", " - ") + number("place")
		p := ParsePlace(place)
		if p.Fault != nil {
			t.Skip("no place: ", place)
		}
		to, ok := p.Shifted(by)
		if q := ParsePlace(to); !ok || q.Fault != nil || q.Line != p.Line || math.Abs(q.MM-p.MM-by) > 1e-6 {
			t.Fatalf("%q shifted %g is %q", place, by, to)
		}
		if back, ok := ParsePlace(to).Shifted(-by); !ok || by == math.Round(by/10)*10 && p.Line != "" && back != place {
			t.Fatalf("%q shifted %g is %q, and back %q", place, by, to, back)
		}
	})
}
