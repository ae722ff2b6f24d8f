package setout

import (
	"math"
	"testing"
)

// Sections are laid to whole millimetres above FFL, and the sets between them follow: a set down keeps where it ends, a set up where
// it begins. At 45 degrees from 3000.4 to 2900.6 is 99.8 long, from 3000 to 2901 it is 99; from there to 3000 it is 99 again.
func TestRounded(t *testing.T) {
	const ffl = 100
	l := Line{
		Sections: []Section{{0, 4000, 3000.4 + ffl}, {4099.8, 6000, 2900.6 + ffl}, {6099.6, 10000, 3000.2 + ffl}},
		Steps: []Step{
			{From: 4000, To: 4099.8, Low: 3000.4 + ffl, High: 2900.6 + ffl, Rise: -99.8},
			{From: 6000, To: 6099.6, Low: 2900.6 + ffl, High: 3000.2 + ffl, Rise: 99.6},
		},
	}
	got := rounded(&Field{Length: 10000}, l, Steps{Angle: 45}, ffl)
	want := Line{
		Sections: []Section{{0, 4000.8, 3000 + ffl}, {4099.8, 6000, 2901 + ffl}, {6099, 10000, 3000 + ffl}},
		Steps: []Step{
			{From: 4000.8, To: 4099.8, Low: 3000 + ffl, High: 2901 + ffl, Rise: -99},
			{From: 6000, To: 6099, Low: 2901 + ffl, High: 3000 + ffl, Rise: 99},
		},
		Rise: 198,
	}
	near := func(a, b float64) bool { return math.Abs(a-b) < 1e-6 }
	for i, s := range got.Sections {
		if w := want.Sections[i]; !near(s.From, w.From) || !near(s.To, w.To) || !near(s.Level, w.Level) {
			t.Errorf("section %d is %+v, want %+v", i, s, w)
		}
	}
	for i, s := range got.Steps {
		if w := want.Steps[i]; !near(s.From, w.From) || !near(s.To, w.To) || !near(s.Low, w.Low) || !near(s.High, w.High) || !near(s.Rise, w.Rise) {
			t.Errorf("step %d is %+v, want %+v", i, s, w)
		}
	}
	if !near(got.Rise, want.Rise) {
		t.Errorf("rises and falls by %v, want %v", got.Rise, want.Rise)
	}
}

// A set ends no nearer to the end of the run than the straight that is asked, a run without one may be shorter than that. The line
// is held to 0 up to 700 and must be at 80 from 950: the set is as long as the straight and ends where it is 300 less that.
func TestStraightBeforeTheEnd(t *testing.T) {
	late := Field{Length: 1000, Bars: []Bar{{From: 0, To: 700, Lo: 0, Hi: 1000}, {From: 950, To: 1000, Lo: -1000, Hi: 80}}}
	least, most := 0.0, 100.0
	for _, test := range []struct {
		name     string
		f        Field
		straight float64
		steps    int
		ok       bool
	}{
		{"140 and 160 left", late, 140, 1, true},
		{"150 and 150 left", late, 150, 1, true},
		{"151 and 149 left", late, 151, 0, false},
		{"200 and 100 left", late, 200, 0, false},
		{"shorter than the straight, without a set", Field{Length: 100}, 200, 0, true},
	} {
		steps, ok := newSearch(&test.f, Steps{Angle: 45, Straight: test.straight, Min: &least, Max: &most, Most: 3}).fewest()
		if steps != test.steps || ok != test.ok {
			t.Errorf("%s: %d sets, %v; want %d, %v", test.name, steps, ok, test.steps, test.ok)
		}
	}
}
