package setout_test

import (
	"context"
	"math"
	"slices"
	"testing"

	"github.com/golang/geo/r2"
	"pgregory.net/rapid"

	"voidline/clash/setout"
	"voidline/io/table"
	"voidline/void/cell"
)

// sinceRun is the run LD2 of the demo, 11.5 m to the east from (1500, 2400).
func sinceRun(t *testing.T) func(then, now *setout.Issued) *setout.Since {
	p, err := table.Open(context.Background(), "../../testdata/demo", table.Options{})
	if err != nil {
		t.Fatal(err)
	}
	runs, err := setout.Assemble(p, "LD2", cell.Bottom)
	if err != nil || len(runs) != 1 {
		t.Fatal(runs, err)
	}
	return func(then, now *setout.Issued) *setout.Since {
		return setout.SinceIssued(p, []*setout.Run{&runs[0]}, then, now)
	}
}

// aSheet is a sheet of LD2 with supports at stations.
func aSheet(at ...float64) *setout.Issued {
	l := setout.IssuedLength{
		Lines: []setout.IssuedLine{{To: 11500, Where: r2.Point{X: 1500, Y: 2400}, Struck: setout.Struck{FFL: 3000, Datum: 2000, Project: 7200}}},
		Parts: []setout.Count{{Part: "nut", N: 2 * len(at)}},
	}
	for k, x := range at {
		l.Supports = append(l.Supports, setout.IssuedSupport{No: k + 1, From: x, Where: r2.Point{X: math.Round(1500 + x), Y: 2400}, Of: "soffit", Rods: 2, Cuts: []float64{500, 500}})
	}
	return &setout.Issued{Run: "LD2", Lengths: []setout.IssuedLength{l}}
}

// A sheet against itself says nothing. Supports of which each moves less than half of what two stand apart are the same supports, and each is
// told by how much it moves; one that is taken away is gone, from the other side new, and those behind it are numbered otherwise.
func TestSinceOfSupports(t *testing.T) {
	since := sinceRun(t)
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 7).Draw(t, "supports")
		var then, now []float64
		for k := range n {
			x := float64(300 + 1500*k + rapid.IntRange(0, 400).Draw(t, "at"))
			then, now = append(then, x), append(now, x+float64(rapid.IntRange(-3, 3).Draw(t, "moves")*100))
		}
		a := aSheet(then...)
		if s := since(a, a); !s.Holds() {
			t.Fatalf("against itself: %+v", s)
		}
		moved := since(a, aSheet(now...))
		if len(moved.Levels)+len(moved.Sets)+len(moved.Starts)+len(moved.Parts)+len(moved.Notes) > 0 {
			t.Fatalf("supports alone move: %+v", moved)
		}
		got := map[int]float64{}
		for _, x := range moved.Supports {
			if x.Is != setout.SupportMoves || x.No != x.Now || x.Drilled {
				t.Fatalf("%v to %v: %+v", then, now, x)
			}
			got[x.No] = x.Along
		}
		for k := range n {
			if math.Abs(got[k+1]-(now[k]-then[k])) > 1e-6 {
				t.Fatalf("support %d of %v to %v: moves %v", k+1, then, now, got[k+1])
			}
		}
		gone := rapid.IntRange(0, n-1).Draw(t, "gone")
		less := aSheet(slices.Delete(slices.Clone(then), gone, gone+1)...)
		count := func(s *setout.Since, is setout.SupportBecame) (nos []int) {
			for _, x := range s.Supports {
				if x.Is == is {
					nos = append(nos, x.No)
				}
			}
			return nos
		}
		if s := since(a, less); !slices.Equal(count(s, setout.SupportGone), []int{gone + 1}) || len(count(s, setout.SupportStays)) != n-1-gone || len(s.Supports) != n-gone || len(s.Parts) != 1 {
			t.Fatalf("without %d of %v: %+v", gone+1, then, s)
		}
		if s := since(less, a); !slices.Equal(count(s, setout.SupportNew), []int{gone + 1}) || len(s.Supports) != n-gone {
			t.Fatalf("with %d of %v: %+v", gone+1, then, s)
		}
	})
}

// Levels are told stretch by stretch, and nothing of a stretch where a set was or is; a start that is elsewhere is told, and what stays where it is in
// plan does not move.
func TestSinceOfLines(t *testing.T) {
	since := sinceRun(t)
	struck := func(z float64) setout.Struck { return setout.Struck{FFL: z, Datum: z - 1000, Project: z + 4200} }
	a, b := aSheet(300, 5000), aSheet(300, 5000)
	b.Lengths[0].Lines = []setout.IssuedLine{
		{To: 4000, Where: r2.Point{X: 1500, Y: 2400}, Struck: struck(3000)}, {From: 4100, To: 11500, Where: r2.Point{X: 5600, Y: 2400}, Struck: struck(3060)},
	}
	b.Lengths[0].Sets = []setout.IssuedSet{{From: 4000, To: 4100, Rise: 60}}
	s := since(a, b)
	if len(s.Levels) != 1 || s.Levels[0].From != 4100 || s.Levels[0].To != 11500 || s.Levels[0].Then.FFL != 3000 || s.Levels[0].Now.FFL != 3060 {
		t.Errorf("levels %+v", s.Levels)
	}
	if len(s.Sets) != 1 || s.Sets[0].Then != nil || s.Sets[0].Now.Rise != 60 {
		t.Errorf("sets %+v", s.Sets)
	}
	// A line that is cut in two and raised by 60 is told once, of whichever of the sheets it is cut on.
	whole, cut := aSheet(300, 5000), aSheet(300, 5000)
	cut.Lengths[0].Lines = []setout.IssuedLine{
		{To: 5000, Where: r2.Point{X: 1500, Y: 2400}, Struck: struck(3060)}, {From: 5000, To: 11500, Where: r2.Point{X: 6500, Y: 2400}, Struck: struck(3060)},
	}
	for _, s := range []*setout.Since{since(whole, cut), since(cut, whole)} {
		if len(s.Levels) != 1 || s.Levels[0].From != 0 || s.Levels[0].To != 11500 || math.Abs(s.Levels[0].Now.FFL-s.Levels[0].Then.FFL) != 60 {
			t.Errorf("cut in two: %+v", s.Levels)
		}
	}
	if s = since(b, b); !s.Holds() {
		t.Errorf("against itself: %+v", s)
	}
	// The issued run began 800 before: its supports at 1100 and 5800 stand where those at 300 and 5000 do.
	o := aSheet(1100, 5800)
	l := &o.Lengths[0]
	l.Lines[0].Where.X, l.Lines[0].To = 700, 12300
	l.Supports[0].Where.X, l.Supports[1].Where.X = 1800, 6500
	s = since(o, a)
	if len(s.Starts) != 1 || s.Starts[0].Along != 800 || s.Starts[0].Across != 0 || len(s.Supports) > 0 || len(s.Levels) != 1 || s.Levels[0].Now != nil || s.Levels[0].To != 0 {
		t.Errorf("a start that is elsewhere: %+v", s)
	}
}
