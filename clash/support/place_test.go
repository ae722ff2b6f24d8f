package support_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	geo "github.com/golang/geo/r1"

	"voidline/clash/support"
)

// Over random stretches, in whole mm, supports are held against trying every way: as few as will do, each clear, no nearer to each
// other than they are wide and no further than they may be; and where a gap is told there is none.
func TestPlaceByForce(t *testing.T) {
	gapped, moved, several := 0, 0, 0
	for seed := range 4000 {
		r := rand.New(rand.NewPCG(uint64(seed), 17))
		n := 20 + r.IntN(200)
		a := support.Apart{First: float64(3 + r.IntN(20)), Most: float64(15 + r.IntN(40)), Between: float64(1 + r.IntN(8))}
		free := make([]bool, n+1)
		var clear []geo.Interval
		for at := 0; at <= n; at += 1 + r.IntN(12) {
			end := min(n, at+r.IntN(25))
			for k := at; k <= end; k++ {
				free[k] = true
			}
			if len(clear) > 0 && float64(at) <= clear[len(clear)-1].Hi+1 {
				clear[len(clear)-1].Hi = math.Max(clear[len(clear)-1].Hi, float64(end))
			} else {
				clear = append(clear, geo.Interval{Lo: float64(at), Hi: float64(end)})
			}
			at = end + r.IntN(30)
		}
		list, gaps := support.Place(0, float64(n), clear, a)
		say := fmt.Sprintf("seed %d, 0 to %d, %+v, clear %v: %v, gaps %v", seed, n, a, clear, list, gaps)

		// fewest[x] is the least supports with which the last is at x; 0: x cannot be reached.
		fewest := make([]int, n+1)
		best := 0
		for x := range n + 1 {
			if !free[x] {
				continue
			}
			if float64(x) <= a.First {
				fewest[x] = 1
			}
			for w := range x {
				if d := float64(x - w); fewest[w] > 0 && d >= a.Between && d <= a.Most && (fewest[x] == 0 || fewest[w]+1 < fewest[x]) {
					fewest[x] = fewest[w] + 1
				}
			}
			if fewest[x] > 0 && float64(n-x) <= a.First && (best == 0 || fewest[x] < best) {
				best = fewest[x]
			}
		}
		switch {
		case best == 0 && len(gaps) == 0:
			t.Fatalf("%s: by force there is no way without a gap", say)
		case best > 0 && (len(gaps) > 0 || len(list) != best):
			t.Fatalf("%s: by force %d will do", say, best)
		}
		in := func(from, to float64) bool {
			return slices.ContainsFunc(gaps, func(g geo.Interval) bool { return g.Lo == from && g.Hi == to })
		}
		was := 0.0
		for i, s := range list {
			if !slices.ContainsFunc(clear, func(v geo.Interval) bool { return v.Lo-1e-6 <= s.At && s.At <= v.Hi+1e-6 }) {
				t.Fatalf("%s: %v is not clear", say, s.At)
			}
			most := a.Most
			if i == 0 {
				most = a.First
			} else if s.At-was < a.Between-1e-6 {
				t.Fatalf("%s: %v and %v are nearer to each other than they are wide", say, was, s.At)
			}
			if long := s.At-was > most+1e-6; long != in(was, s.At) {
				t.Fatalf("%s: from %v to %v is a gap: %v, told: %v", say, was, s.At, long, !long)
			}
			if s.Moved != 0 {
				moved++
			}
			was = s.At
		}
		if long := float64(n)-was > a.First+1e-6; long != in(was, float64(n)) {
			t.Fatalf("%s: the end, from %v on, is a gap: %v, told: %v", say, was, long, !long)
		}
		// A gap cannot be filled: no clear station of it is near enough to both of its ends, nor any chain of them.
		if len(gaps) > 0 {
			gapped++
		}
		if len(list) > 2 {
			several++
		}
	}
	if gapped < 200 || moved < 200 || several < 200 {
		t.Errorf("%d with gaps, %d moved, %d with several: too few to say anything", gapped, moved, several)
	}
}

// One on each of the beams, whatever else would fit on its flange; two where the gap to the next beam wants it.
func TestPlaceOneABeam(t *testing.T) {
	flange := func(mids ...float64) (out []geo.Interval) {
		for _, m := range mids {
			out = append(out, geo.Interval{Lo: m - 73, Hi: m + 73})
		}
		return out
	}
	at := func(list []support.Stand) (out []float64) {
		for _, s := range list {
			out = append(out, s.At)
		}
		return out
	}
	a := support.Apart{First: 300, Most: 1200, Between: 41}
	list, gaps := support.Place(0, 20000, flange(2500, 5000, 7500, 10000, 15000), a)
	if want := []float64{2500, 5000, 7500, 10000, 15000}; !slices.Equal(at(list), want) || len(gaps) != 6 {
		t.Errorf("%v, gaps %v; want %v and 6 gaps", at(list), gaps, want)
	}
	// Beams 1300 apart, 146 wide: from edge to edge they are 1154 apart, so a support at each edge of the middle one will do.
	list, gaps = support.Place(0, 2800, flange(100, 1400, 2700), a)
	if len(list) != 4 || len(gaps) > 0 || list[1].At < 1327 || list[2].At > 1473 || list[2].At-list[1].At < 41 {
		t.Errorf("%v, gaps %v; want four, two of them at the middle beam", at(list), gaps)
	}
	// 1 mm more than twice the first: two, not 1 apart but where each has a half of it.
	if list, _ = support.Place(0, 601, []geo.Interval{{Lo: 0, Hi: 601}}, a); !slices.Equal(at(list), []float64{150.25, 450.75}) {
		t.Errorf("%v, want 150.25 and 450.75", at(list))
	}
}

// What is longer than so many supports serve by less than a hair, as rounded coordinates of a turned row make it, has no support more, and the last stands
// where it reaches.
func TestPlaceWithinAHair(t *testing.T) {
	a := support.Apart{First: 300, Most: 1200, Between: 41}
	for _, test := range []struct {
		to, clear float64
		n         int
	}{{9000, 9000, 8}, {9000.0001, 9000.0001, 8}, {9000.0009, 9000.0009, 8}, {9000.0009, 8700, 8}, {9000.0011, 9000.0011, 9}} {
		list, gaps := support.Place(0, test.to, []geo.Interval{{Lo: 0, Hi: test.clear}}, a)
		if len(list) != test.n || len(gaps) > 0 {
			t.Errorf("%v: %d supports, gaps %v, want %d and none", test, len(list), gaps, test.n)
		}
		for k, s := range list {
			if even := 300 + float64(k)*(test.to-600)/float64(test.n-1); !(math.Abs(s.At-even) < 0.001) || !(math.Abs(s.Moved) < 0.001) {
				t.Errorf("%v: support %d at %v, moved %v, want at %v", test, k+1, s.At, s.Moved, even)
			}
		}
	}
}
