package setout

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"
	"testing/fstest"

	"voidline/clash"
	"voidline/io/table"
)

// The cut is no worse than any other way in which groups take one of two levels, over random costs, changes and places that are one.
func TestLeastCutAgainstEveryWay(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 13))
	both := 0
	for range 4000 {
		n := 1 + r.IntN(7)
		costs := make([][]groupCost, n)
		b := between{changes: square(n), one: [][][]int{square(n), square(n)}}
		for k := range costs {
			for range 2 {
				costs[k] = append(costs[k], groupCost{places: r.IntN(6), off: float64(r.IntN(5000)), never: []uint64{0}})
			}
			for l := range k {
				if c := r.IntN(4); r.IntN(2) == 0 {
					b.changes[k][l], b.changes[l][k] = c, c
					for z := range 2 {
						o := r.IntN(c + 1)
						b.one[z][k][l], b.one[z][l][k] = o, o
					}
				}
			}
		}
		c0, c1 := make([]int64, n), make([]int64, n)
		for k := range costs {
			c0[k], c1[k] = costs[k][0].summed([]uint64{0}), costs[k][1].summed([]uint64{0})
		}
		least := int64(math.MaxInt64)
		takes := make([]bool, n)
		for way := range 1 << n {
			for k := range takes {
				takes[k] = way>>k&1 == 1
			}
			s := b.sum(costs, [2]int{0, 1}, takes)
			least = min(least, s.all())
		}
		cut := leastCut(c0, c1, b.changes, b.one[0], b.one[1])
		if s := b.sum(costs, [2]int{0, 1}, cut); s.all() != least {
			t.Fatalf("the cut comes to %d, the least is %d", s.all(), least)
		}
		first, second := false, false
		for _, x := range cut {
			first, second = first || !x, second || x
		}
		if first && second {
			both++
		}
	}
	if both < 500 {
		t.Errorf("only %d take both levels", both)
	}
}

// A level is looked up among what the levels between edges, and those of edges, come to: at an edge it is the edge's.
func TestHeightAt(t *testing.T) {
	h := &height{states: []state{
		{lo: math.Inf(-1), hi: 2700, places: 0},
		{lo: 2700, hi: 2700, places: 1},
		{lo: 2700, hi: 2750, places: 2},
		{lo: 2750, hi: 2750, places: 3},
		{lo: 2750, hi: math.Inf(1), places: 4},
	}}
	for z, want := range map[float64]int{2600: 0, 2699.9: 0, 2700: 1, 2700 - 5e-7: 1, 2700 + 5e-7: 1, 2700.1: 2, 2749.9: 2, 2750: 3, 2750.1: 4, 9000: 4} {
		if got := h.at(z).places; got != want {
			t.Errorf("level %v: state %d, want %d", z, got, want)
		}
	}
}

// Two lines are as good as the best of every two levels in whole 5 mm with every way in which the groups take them, added up one by one: over random floors of
// three or four bays, by height and by room.
func TestTwoLinesAgainstEveryPair(t *testing.T) {
	const floors = 40 // of the first ten none has two lines
	two, changes := 0, 0
	for seed := range floors {
		r := rand.New(rand.NewPCG(uint64(seed), 22))
		bays, duct, tray := "bay,x1,y1,x2,y2,soffit,ceiling\n", "id,x1,y1,x2,y2,size,level\n", "id,trade,kind,run,x1,y1,x2,y2,size,level\n"
		n := 3 + r.IntN(2)
		for k := range n {
			bays += fmt.Sprintf("B%d,%d,0,%d,6000,3300,%d\n", k, 4000*k, 4000*(k+1), 2600+100*r.IntN(3))
		}
		for k := range 2 + r.IntN(8) {
			duct += fmt.Sprintf("D%d,%d,%d,%[2]d,%[4]d,%[5]dx%[6]d,%[7]d\n", k, 200+100*r.IntN(40*n-4), 200+3000*r.IntN(2), 5800-2500*r.IntN(2), 100*(1+r.IntN(8)), 50*(1+r.IntN(6)), 2600+10*r.IntN(60))
		}
		for k := range 1 + r.IntN(3) {
			tray += fmt.Sprintf("T%[1]d,containment,tray,R%[1]d,300,%[2]d,%[3]d,%[2]d,200x60,2800\n", k, 1000+2000*k, 4000*n-300)
		}
		p, err := table.Open(context.Background(), "job", table.Options{FS: fstest.MapFS{
			"bays.csv": {Data: []byte(bays)}, "ductwork.csv": {Data: []byte(duct)}, "tray.csv": {Data: []byte(tray)},
		}})
		if err != nil {
			t.Fatal(seed, err)
		}
		for _, by := range []By{ByHeight, ByRoom} {
			f := &floor{p: p, c: clash.Open(p, clash.Options{Touch: 1, Firm: true}), Floor: Floor{LowestOf: -1}, set: FloorSettings{By: by}}
			if err := f.gather(); err != nil {
				t.Fatal(err)
			}
			f.bars()
			got := f.two()
			hs, borders := f.heightsOf()
			b := between{changes: square(len(hs))}
			for _, x := range borders {
				b.changes[x.a][x.b]++
				b.changes[x.b][x.a]++
			}
			costs := make([][]groupCost, len(hs))
			for _, h := range hs {
				h.states = h.sweep()
			}
			levels := 0
			for z := f.base() + 1400; z <= f.base()+2400; z += whole5 {
				for k, h := range hs {
					s := h.at(z)
					costs[k] = append(costs[k], groupCost{places: s.places, off: s.off, never: h.never(z)})
				}
				one := square(len(hs))
				for i := range borders {
					if x := &borders[i]; x.joins(hs) {
						one[x.a][x.b]++
						one[x.b][x.a]++
					}
				}
				b.one = append(b.one, one)
				levels++
			}
			least := int64(math.MaxInt64)
			takes := make([]bool, len(hs))
			for i := range levels {
				for j := i; j < levels; j++ {
					for way := range 1 << len(hs) {
						for k := range takes {
							takes[k] = way>>k&1 == 1
						}
						s := b.sum(costs, [2]int{i, j}, takes)
						least = min(least, s.all())
					}
				}
			}
			if is := inOne(got.never, got.Places, f.All-got.Clear); is > least+1 {
				t.Errorf("floor %d by %q: two lines come to %d, the least of every pair is %d: %+v\n%s%s%s", seed, by, is, least, got, bays, duct, tray)
			}
			if sum := got.Changes; len(got.Lines) == 2 {
				if sum += got.Lines[0].Places + got.Lines[1].Places; sum != got.Places {
					t.Errorf("floor %d by %q: %+v come to %d places, their lines to %d", seed, by, got.Lines, got.Places, sum)
				}
				two, changes = two+1, changes+got.Changes
			}
		}
	}
	if t.Logf("%d with two lines, %d changes", two, changes); two == 0 || changes == 0 {
		t.Error("too few say anything")
	}
}

// A run that is in one group alone has its bit there, and in no other; one that is in two, the first group among them, or in none, has none.
func TestRunsOfOneGroupAlone(t *testing.T) {
	in := [][]int{{0}, {1}, {0, 1}, {1, 2}, {0, 2}, {2}, {}, {0, 1, 2}} // by run: the groups that have a length of it
	f := floor{}
	hs := make([]*height, 3)
	for k := range hs {
		hs[k] = &height{}
	}
	for _, groups := range in {
		f.Runs = append(f.Runs, &OnLine{})
		for k, h := range hs {
			o := &OnLine{}
			if slices.Contains(groups, k) {
				o.length = 1000
			}
			h.Runs = append(h.Runs, o)
		}
	}
	// Runs 0, 1 and 5 are bits 0, 1 and 5.
	if got, want := f.alone(hs), [][]uint64{{1}, {2}, {32}}; !reflect.DeepEqual(got, want) {
		t.Errorf("%v, want %v", got, want)
	}
}
