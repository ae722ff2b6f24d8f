package setout

import (
	"math"
	"reflect"
	"testing"

	"github.com/golang/geo/r1"

	"voidline/void/body"
)

// The level that is struck, at every width of what is free: in whole 5 mm above FFL with as much to spare on each side as leaves 5 between, 10 at
// the most; else in whole 5, in whole mm, or as it is.
func TestStrike(t *testing.T) {
	z := func(v float64) *float64 { return &v }
	for _, test := range []struct {
		why          string
		lo, hi, want float64
		ffl          float64
		o            Steps
		struck       float64
	}{
		{"as wanted, in whole 5", 2700, 2800, 2745, 0, Steps{}, 2745},
		{"the nearest below", 2700, 2800, 2747.4, 0, Steps{}, 2745},
		{"the nearest above", 2700, 2800, 2747.6, 0, Steps{}, 2750},
		{"10 to spare under it", 2700, 2800, 2600, 0, Steps{}, 2710},
		{"10 to spare over it", 2700, 2800, 2900, 0, Steps{}, 2790},
		{"above an FFL at 3", 2700, 2800, 2750, 3, Steps{}, 2748},
		{"25 are free: 10, 5, 10", 2700, 2725, 2700, 0, Steps{}, 2710},
		{"24 are free: 9.5, 5, 9.5", 2700, 2724, 2700, 0, Steps{}, 2710},
		{"13 are free: 4, 5, 4", 2700, 2713, 2700, 0, Steps{}, 2705},
		{"likewise from above", 2700, 2713, 2713, 0, Steps{}, 2705},
		{"7 are free: 1, 5, 1", 2699, 2706, 2699, 0, Steps{}, 2700},
		{"5 are free", 2700, 2705, 2704, 0, Steps{}, 2705},
		{"4 are free, no whole 5 among them", 2701, 2704, 2702.4, 0, Steps{}, 2702},
		{"less than one is free", 2701.2, 2701.8, 2700, 0, Steps{}, 2701.2},
		{"nothing to spare to what is asked", 2700, 2800, 2600, 0, Steps{Min: z(2700)}, 2700},
		{"nor from above", 2700, 2800, 2900, 0, Steps{Max: z(2800)}, 2800},
		{"but to the other side", 2700, 2800, 2900, 0, Steps{Min: z(2700)}, 2790},
		{"what is asked is struck as it is", 2700, 2800, 2733.3, 0, Steps{Prefer: z(2733.3)}, 2733.3},
		{"not outside what is free", 2700, 2800, 2833.3, 0, Steps{Prefer: z(2833.3)}, 2790},
		{"nothing over it", 2700, math.Inf(1), 2700, 0, Steps{}, 2710},
		{"nothing under it", math.Inf(-1), 2700, 2700, 0, Steps{}, 2690},
	} {
		if got := strike(r1.Interval{Lo: test.lo, Hi: test.hi}, test.want, test.o, test.ffl); math.Abs(got-test.struck) > 0.002 {
			t.Errorf("%s: %g to %g, wanted %g: struck at %g, want %g", test.why, test.lo, test.hi, test.want, got, test.struck)
		}
	}
}

// aRun is four pieces of 1000, 2000, 3000 and 4000 with corners behind the first and the third, and an item in the middle of each.
func aRun() Run {
	r := Run{Name: "R", Length: 10000, Corners: []float64{1000, 6000}}
	at := 0.0
	for k := range 4 {
		to := at + float64(1000*(k+1))
		r.Pieces = append(r.Pieces, Piece{Zone: k, From: at, To: to, Reversed: k == 2, Bare: body.Body{W: float64(k)}})
		mid := (at + to) / 2
		r.Items = append(r.Items, Piece{Zone: 10 + k, From: mid - 100, To: mid + 200, Item: true})
		at = to
	}
	return r
}

// A run from its other end: all of it the other way round, and twice turned as it was.
func TestTurned(t *testing.T) {
	r := aRun()
	got := r.turned()
	want := Run{Name: "R", Length: 10000, Corners: []float64{4000, 9000}, Pieces: []Piece{
		{Zone: 3, From: 0, To: 4000, Reversed: true, Bare: body.Body{W: 3}},
		{Zone: 2, From: 4000, To: 7000, Bare: body.Body{W: 2}},
		{Zone: 1, From: 7000, To: 9000, Reversed: true, Bare: body.Body{W: 1}},
		{Zone: 0, From: 9000, To: 10000, Reversed: true},
	}, Items: []Piece{
		{Zone: 13, From: 1800, To: 2100, Item: true},
		{Zone: 12, From: 5300, To: 5600, Item: true},
		{Zone: 11, From: 7800, To: 8100, Item: true},
		{Zone: 10, From: 9300, To: 9600, Item: true},
	}}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("turned:\n%+v\nwant\n%+v", got, want)
	}
	if again := got.turned(); !reflect.DeepEqual(again, r) {
		t.Errorf("twice turned:\n%+v\nwant\n%+v", again, r)
	}
}

// The parts of a run whose rows are wanted: each has its stations, corners and items from its own start; where a part begins or ends there is
// no corner.
func TestOnlyWhatIsWanted(t *testing.T) {
	r := aRun()
	item := func(zone int, from float64) Piece { return Piece{Zone: zone, From: from, To: from + 300, Item: true} }
	for _, test := range []struct {
		wanted []bool
		want   []Run
	}{
		{[]bool{false, false, false, false}, nil},
		{[]bool{true, true, true, true}, []Run{r}},
		{[]bool{false, true, true, false}, []Run{{Name: "R", Length: 5000, Pieces: []Piece{
			{Zone: 1, From: 0, To: 2000, Bare: body.Body{W: 1}}, {Zone: 2, From: 2000, To: 5000, Reversed: true, Bare: body.Body{W: 2}},
		}, Items: []Piece{item(11, 900), item(12, 3400)}}}},
		{[]bool{true, false, true, true}, []Run{
			{Name: "R", Length: 1000, Pieces: []Piece{{Zone: 0, From: 0, To: 1000}}, Items: []Piece{item(10, 400)}},
			{Name: "R", Length: 7000, Corners: []float64{3000}, Pieces: []Piece{
				{Zone: 2, From: 0, To: 3000, Reversed: true, Bare: body.Body{W: 2}}, {Zone: 3, From: 3000, To: 7000, Bare: body.Body{W: 3}},
			}, Items: []Piece{item(12, 1400), item(13, 4900)}},
		}},
	} {
		var got []Run
		for _, part := range r.only(test.wanted) {
			got = append(got, *part)
		}
		if !reflect.DeepEqual(got, test.want) {
			t.Errorf("%v:\n%+v\nwant\n%+v", test.wanted, got, test.want)
		}
	}
}

// Where a length lies on its floor's line at 2900, where at a place and where beside one: of sections at 2900, 2700 and 2900 with sets of 100 between
// them, and two places that meet, each told by itself. An upper tier 100 over the line is on it where it is laid 100 higher.
func TestStretchesOfALength(t *testing.T) {
	laid := func(up float64) *Answer {
		return &Answer{Found: true, Line: Line{Sections: []Section{{0, 2500, 2900 + up}, {2600, 4200, 2700 + up}, {4300, 10000, 2900 + up}}}}
	}
	both := []Stretch{{0, 2500, OnIt}, {2500, 3000, OffIt}, {3000, 3200, AtPlace}, {3200, 3500, AtPlace}, {3500, 4300, OffIt}, {4300, 10000, OnIt}}
	for _, test := range []struct {
		what   string
		offset float64
		answer *Answer
		want   []Stretch
	}{
		{"laid", 0, laid(0), both},
		{"an upper tier", 100, laid(100), both},
		{"laid elsewhere all along", 0, laid(100), []Stretch{{0, 3000, OffIt}, {3000, 3200, AtPlace}, {3200, 3500, AtPlace}, {3500, 10000, OffIt}}},
		{"not laid", 0, &Answer{}, []Stretch{{0, 3000, OnIt}, {3000, 3200, AtPlace}, {3200, 3500, AtPlace}, {3500, 10000, OnIt}}},
	} {
		r := Run{Length: 10000, Pieces: []Piece{{From: 0, To: 4000}, {From: 4000, To: 10000}}}
		o, other := &OnLine{Run: &r, Offset: test.offset, Answer: test.answer}, &OnLine{Run: &Run{Length: 5000}}
		f := Floor{Level: 2900, Runs: []*OnLine{o, other}, Places: []Place{{Run: other, From: 0, To: 1000}, {Run: o, From: 3000, To: 3200}, {Run: o, From: 3200, To: 3500}}}
		if got := f.Stretches(o); !reflect.DeepEqual(got, test.want) {
			t.Errorf("%s: %v, want %v", test.what, got, test.want)
		}
		want := 4000.0 // of the other, past its place
		for _, s := range test.want {
			if s.Is == OnIt {
				want += s.To - s.From
			}
		}
		if got := f.Kept(); got != want {
			t.Errorf("%s: %v stays on the line, want %v", test.what, got, want)
		}
	}
}
