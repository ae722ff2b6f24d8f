package setout

import (
	"math"
	"slices"
	"testing"

	"github.com/golang/geo/r1"
)

// Levels of tiers that may have some levels only, worked out by hand: each at least so much over the one below, moved the least in sum.
func TestStacked(t *testing.T) {
	at := func(zs ...float64) (band []r1.Interval) {
		for _, z := range zs {
			band = append(band, r1.Interval{Lo: z, Hi: z})
		}
		return band
	}
	tier := func(now float64, band []r1.Interval, over map[int]float64) tierLevels {
		return tierLevels{now: now, want: now, band: band, over: over}
	}
	for _, test := range []struct {
		name  string
		tiers []tierLevels
		room  float64
		want  []float64
	}{
		{"as they are", []tierLevels{tier(200, at(100, 200, 300), map[int]float64{1: 50}), tier(260, at(150, 260, 400), nil)}, 0, []float64{200, 260}},
		// 260 is 60 over 200, and 50 + 15 are wanted: 100 and 260 come to 100 of moving, 200 and 400 to 140.
		{"with 15 to spare", []tierLevels{tier(200, at(100, 200, 300), map[int]float64{1: 50}), tier(260, at(150, 260, 400), nil)}, 15, []float64{100, 260}},
		{"only the lowest of the lower one will do", []tierLevels{tier(300, at(100, 200, 300), map[int]float64{1: 50}), tier(400, at(150), nil)}, 0, []float64{100, 150}},
		{"by exactly what is wanted", []tierLevels{tier(100, at(100), map[int]float64{1: 50}), tier(200, at(150), nil)}, 0, []float64{100, 150}},
		{"by a tenth less", []tierLevels{tier(100, at(100), map[int]float64{1: 50.1}), tier(200, at(150), nil)}, 0, nil},
		// The third is to be 120 over the first: 100 + 120.
		{"one that does not follow", []tierLevels{tier(100, at(100), map[int]float64{1: 50, 2: 120}), tier(160, at(150), map[int]float64{2: 50}), tier(220, at(200), nil)}, 0, nil},
		{"one that does not follow, enough", []tierLevels{tier(100, at(100), map[int]float64{1: 50, 2: 120}), tier(160, at(150), map[int]float64{2: 50}), tier(220, at(220), nil)}, 0, []float64{100, 150, 220}},
		// 101 to 111 holds 105 and 110 in whole 5; 103 is nearest to 105, with (10 - 5) / 2 = 2.5 to spare on both sides 105 is left.
		{"in whole 5", []tierLevels{tier(103, []r1.Interval{{Lo: 101, Hi: 111}}, nil)}, 0, []float64{105}},
		{"no whole 5: as near as may be", []tierLevels{tier(100, []r1.Interval{{Lo: 101, Hi: 104}}, nil)}, 0, []float64{101}},
		{"farther than is tried", []tierLevels{tier(100, at(100+farthestTier+1), nil)}, 0, nil},
		{"as far as is tried", []tierLevels{tier(100, at(100+farthestTier), nil)}, 0, []float64{100 + farthestTier}},
	} {
		got, ok := stacked(test.tiers, test.room, 0)
		if ok != (test.want != nil) || !slices.Equal(got, test.want) {
			t.Errorf("%s: %v, %v, want %v", test.name, got, ok, test.want)
		}
	}
}

// Of two levels the higher is kept as long as may be. Up to 8 the line is to be no lower than 10, from 14 on no higher than 5: down by
// 5 at 45 degrees it may begin from 8 to 9, and the last is taken. Upwards the same from the other end, of 20: from 6 to 7, and the
// first is taken.
func TestSetsStandWhereTheHigherLevelIsLongest(t *testing.T) {
	inf := math.Inf(1)
	for _, test := range []struct {
		name string
		bars []Bar
		want Step
	}{
		{"down", []Bar{{From: 0, To: 8, Lo: -inf, Hi: 10}, {From: 14, To: 20, Lo: 5, Hi: inf}}, Step{From: 9, To: 14, Low: 10, High: 5, Rise: -5, Earliest: 8, Latest: 9}},
		{"up", []Bar{{From: 12, To: 20, Lo: -inf, Hi: 10}, {From: 0, To: 6, Lo: 5, Hi: inf}}, Step{From: 6, To: 11, Low: 5, High: 10, Rise: 5, Earliest: 6, Latest: 7}},
	} {
		f := Field{Length: 20, Bars: test.bars}
		l, ok := f.find(Steps{})
		if !ok || !slices.Equal(l.Steps, []Step{test.want}) {
			t.Errorf("%s: %+v, %v, want %+v", test.name, l, ok, test.want)
		}
		if want := []Section{{0, test.want.From, test.want.Low}, {test.want.To, 20, test.want.High}}; !slices.Equal(l.Sections, want) {
			t.Errorf("%s: sections %+v, want %+v", test.name, l.Sections, want)
		}
	}
}
