package tolerance_test

import (
	"encoding/csv"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"voidline/clash/tolerance"
	"voidline/void/need"
)

func TestLeft(t *testing.T) {
	for _, test := range []struct {
		gap  float64
		off  []float64
		want tolerance.Clear
	}{
		{20, nil, tolerance.Clear{Drawn: 20, Worst: 20, Usual: 20}},
		{20, []float64{0}, tolerance.Clear{Drawn: 20, Worst: 20, Usual: 20}},
		{20, []float64{-10}, tolerance.Clear{Drawn: 20, Worst: 10, Usual: 10}},
		// 80 void, 60 basket: 20 left, with 10, 5 and 5.
		{80 - 60, []float64{10, 5, 5}, tolerance.Clear{Drawn: 20, Worst: 20 - 10 - 5 - 5, Usual: 20 - math.Sqrt(100+25+25)}},
		{0, []float64{3, 4}, tolerance.Clear{Drawn: 0, Worst: -7, Usual: -5}},
	} {
		got := tolerance.Left(test.gap, test.off...)
		if math.Abs(got.Drawn-test.want.Drawn)+math.Abs(got.Worst-test.want.Worst)+math.Abs(got.Usual-test.want.Usual) > 1e-12 {
			t.Errorf("Left(%v, %v) = %v, want %v", test.gap, test.off, got, test.want)
		}
	}
	if u := tolerance.Left(20, 10, 5, 5).Usual; math.Abs(u-7.8) > 0.05 {
		t.Errorf("by root sum of squares %v, want 7.8 to the nearest 0.1", u)
	}
}

func TestDeflection(t *testing.T) {
	for _, test := range []struct{ span, ratio, s, want float64 }{
		{9000, tolerance.UsualDeflection, 0.5, 25},
		{9000, 360, 0, 0},
		{9000, 360, 1, 0},
		{9000, 360, -0.1, 0},
		{9000, 360, 1.1, 0},
		{9000, 360, 0.25, 25 * 16 / 5. * (0.25 - 2/64. + 1/256.)},
		{6000, 200, 0.5, 30},
	} {
		if got := tolerance.Deflection(test.span, test.ratio, test.s); math.Abs(got-test.want) > 1e-9 {
			t.Errorf("Deflection(%v, %v, %v) = %v, want %v", test.span, test.ratio, test.s, got, test.want)
		}
	}
	// A basket hung from the beam over a ceiling carried from the walls, 20 clear, comes down into the build-up by 5; one
	// over a ceiling hung from the same beam does not.
	if d := 20 - tolerance.Sink(25, 0); d != -5 {
		t.Errorf("left %v, want -5", d)
	}
	if d := 20 - tolerance.Sink(25, 25); d != 20 {
		t.Errorf("left %v, want 20", d)
	}
	if d := 20 - tolerance.Sink(0, 25); d != 20 {
		t.Errorf("left %v, want 20: a gap is not widened", d)
	}
}

// Most and Least against many stations of the stretch.
func TestMostAndLeast(t *testing.T) {
	const seed = 7
	r := rand.New(rand.NewPCG(seed, 1))
	for range 2000 {
		span, ratio := 1000+r.Float64()*14000, 150+r.Float64()*500
		lo, hi := r.Float64()*1.4-0.2, r.Float64()*1.4-0.2
		if lo > hi {
			lo, hi = hi, lo
		}
		most, least := 0.0, math.Inf(1)
		const n = 400
		for k := range n + 1 {
			w := tolerance.Deflection(span, ratio, lo+(hi-lo)*float64(k)/n)
			most, least = math.Max(most, w), math.Min(least, w)
		}
		got := tolerance.Most(span, ratio, lo, hi)
		if got < most-1e-9 || got > most+span/ratio*0.001 {
			t.Fatalf("seed %d: Most(%v, %v, %v, %v) = %v, sampled %v", seed, span, ratio, lo, hi, got, most)
		}
		if got := tolerance.Least(span, ratio, lo, hi); math.Abs(got-least) > 1e-9 {
			t.Fatalf("seed %d: Least(%v, %v, %v, %v) = %v, sampled %v", seed, span, ratio, lo, hi, got, least)
		}
	}
}

// The defaults are those of the reference data, and say no more of where they come from than it does.
func TestDefaultsAreTheReferenceData(t *testing.T) {
	name := filepath.Join("..", "..", "..", "shared", "facts", "tolerances.csv")
	f, err := os.Open(name)
	if err != nil {
		need.Skip(t, "the reference data facts/tolerances.csv is not beside this repository")
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	at := map[string][]string{}
	for _, r := range rows[1:] {
		at[r[1]] = r
	}
	for of, item := range map[string]string{
		tolerance.Beam:     "floor beam level at column, deviation",
		tolerance.Slab:     "concrete slab soffit level, working value",
		tolerance.Ceiling:  "ceiling level used for a tight fit",
		tolerance.Services: "services setting-out, level",
	} {
		r := at[item]
		if r == nil {
			t.Errorf("no row %q in %s", item, name)
			continue
		}
		mm, err := strconv.ParseFloat(strings.TrimPrefix(r[2], "+/-"), 64)
		if err != nil || r[3] != "mm" {
			t.Errorf("%q: %q %q is no length", item, r[2], r[3])
		}
		if d := tolerance.Default(of); d.Of != of || d.MM != mm || d.Provenance != r[5] {
			t.Errorf("Default(%q) = %+v, want %v, %s", of, d, mm, r[5])
		}
	}
	if n := len(tolerance.Defaults()); n != 4 {
		t.Errorf("%d defaults, of which 4 are compared", n)
	}
	if r := at["beam deflection imposed, brittle finish"]; r == nil || r[2] != "span/"+strconv.Itoa(tolerance.UsualDeflection) {
		t.Errorf("usual deflection span/%d, the reference data says %v", tolerance.UsualDeflection, r)
	}
	if d := tolerance.Default("something else"); d.Of != tolerance.Services {
		t.Errorf("Default of an unknown word = %+v, want the services'", d)
	}
}
