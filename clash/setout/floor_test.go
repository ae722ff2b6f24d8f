package setout_test

import (
	"bytes"
	"context"
	"encoding/csv"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"voidline/clash"
	"voidline/clash/setout"
	"voidline/io/table"
	"voidline/void"
)

var floorFloors = flag.Int("floor.floors", 25, "random floors of TestFloorAgainstTheCheck")

func openFloor(t testing.TB, files map[string]string) *void.Project {
	t.Helper()
	fs := fstest.MapFS{}
	for k, v := range files {
		fs[k] = &fstest.MapFile{Data: []byte(v)}
	}
	p, err := table.Open(context.Background(), "floor", table.Options{FS: fs})
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func struck(t testing.TB, firm bool, set setout.FloorSettings, files map[string]string) *setout.Floor {
	t.Helper()
	p := openFloor(t, files)
	f, err := setout.Strike(p, clash.Open(p, clash.Options{Touch: clash.None, Firm: firm, Once: true}), set)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// said is the level, the places and the length on the line.
func said(f *setout.Floor) string {
	s := fmt.Sprintf("%g: %g of %g", f.Level, f.Clear, f.All)
	for _, pl := range f.Places {
		s += fmt.Sprintf("; %s %g-%g %s", pl.Run.Run.Name, math.Round(pl.From*10)/10, math.Round(pl.To*10)/10, strings.Join(pl.By, " "))
	}
	return s
}

const floorBays = "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,8000,8000,3500,2600\n"

// A steel 80 over the build-up, a basket of 60: with firm rules alone and nothing hung under it is struck at the build-up + 20 and touches the
// steel; what is left for a hanger is 20, so that a channel of 41 with its nuts (55.9) is 35.9 short and one of 21 with the nut
// inside 1. With the 25 to the ceiling that is usual it is 5 short.
func TestFloorWhereTheVoidCloses(t *testing.T) {
	files := map[string]string{
		"bays.csv":    floorBays,
		"steel.csv":   "id,kind,x1,y1,x2,y2,size,level\nB,beam,4000,0,4000,8000,200x820,2680\n",
		"tray.csv":    "id,trade,kind,x1,y1,x2,y2,size,level\nT,containment,basket,1000,4000,7000,4000,300x60,2650\n",
		"hangers.csv": "hanger,part,height,side\nchannel 41,channel,55.9,under\nchannel 21,channel,21,under\n",
	}
	f := struck(t, true, setout.FloorSettings{}, files)
	if got := said(f); got != "2620: 6000 of 6000" {
		t.Errorf("firm: %s", got)
	}
	left := func(f *setout.Floor) string {
		s := ""
		for _, h := range f.Heights {
			for _, g := range h.Hangers {
				s += fmt.Sprintf("%s %.1f; ", g.Hanger, g.Left)
			}
		}
		return s
	}
	if got := left(f); got != " 20.0; channel 21 -1.0; channel 41 -35.9; " {
		t.Errorf("firm leaves %s", got)
	}
	// With what is usual it is struck over the rest of the bay, and at the steel it is 5 short. Where the steel is as wide as the run is long there is
	// nothing but that: it is struck where it is in nothing, and short of the 25 and of 150 to lay cables: 175 - 20.
	f = struck(t, false, setout.FloorSettings{}, files)
	if len(f.Places) != 1 || math.Abs(f.Places[0].Short()-5) > 0.01 || !math.IsInf(f.Places[0].Up, 1) {
		t.Errorf("with what is usual: %s, short %+v", said(f), f.Places)
	}
	files["steel.csv"] = "id,kind,x1,y1,x2,y2,size,level\nB,beam,4000,0,4000,8000,8000x820,2680\n"
	f = struck(t, false, setout.FloorSettings{}, files)
	if f.Level != 2620 || !strings.HasPrefix(left(f), " -5.0; ") || len(f.Places) != 1 || math.Abs(f.Places[0].Short()-155) > 0.01 {
		t.Errorf("under steel all along: %s, leaves %s, %+v", said(f), left(f), f.Places)
	}
}

// Two trays of 200 x 50 with nothing under them and nothing asked; a duct from 2900 to the soffit crosses the one from x = 3000 to 3400, a pipe from
// 2750 to 2850 the other from x = 5000 to 5100. Under the duct the highest is 2850, over the pipe the lowest: one level fits. Alone the
// second goes up to 3500 - 150 to lay cables - 50.
func TestFloorByHand(t *testing.T) {
	files := func(more string) map[string]string {
		return map[string]string{
			"bays.csv":     floorBays,
			"ductwork.csv": "id,x1,y1,x2,y2,size,level\nD,3200,1000,3200,3000,400x600,2900\n",
			"pipework.csv": "id,x1,y1,x2,y2,size,level\nP,5050,4000,5050,6000,100x100,2750\n",
			"gaps.csv":     "of,to,gap\nany,any,0\n",
			"tray.csv":     "id,trade,kind,x1,y1,x2,y2,size,level\nT1,containment,tray,1000,2000,7000,2000,200x50,2700\nT2,containment,tray,1000,5000,7000,5000,200x50,2700\n" + more,
		}
	}
	for _, test := range []struct {
		name, more, want string
		set              setout.FloorSettings
	}{
		// Under the pipe and over the ceiling it is clear from 2600 to 2700, over it at 2850 alone; without hangers the highest is struck.
		{"both", "", "2850: 12000 of 12000", setout.FloorSettings{}},
		{"a level struck already", "", "2690: 12000 of 12000", setout.FloorSettings{Prefer: ptr(2690.0)}},
		{"one run", "", "3300: 6000 of 6000", setout.FloorSettings{Run: "T2"}},
		// T3 crosses T1 (400 wide, so T1 gives way, from x = 1800 to 2200) and T2 likewise.
		{"two that cross", "T3,containment,tray,2000,1000,2000,7000,400x50,2700\n", "2850: 17200 of 18000; T1 800-1200 T3; T2 800-1200 T3", setout.FloorSettings{}},
		{"what holds its level is left out", "T4,containment,tray,1000,7000,7000,7000,200x50,2700\n", "2850: 18000 of 18000", setout.FloorSettings{}},
		// T2 cannot pass the ducts E and F at any level: E bars its line from 2550 to 2840, F from 2810 to 2900; G, from 2900 up, bars it from 2850
		// and is touched at 2850, no more.
		{
			"what is touched does not bar", "E,ductwork,duct,6000,4000,6000,6000,200x240,2600\nF,ductwork,duct,6000,4000,6000,6000,200x30,2860\nG,ductwork,duct,6000,4000,6000,6000,200x600,2900\n",
			"2850: 5800 of 6000; T2 4900-5100 F",
			setout.FloorSettings{Run: "T2", Prefer: ptr(2850.0)},
		},
	} {
		if got := said(struck(t, false, test.set, files(test.more))); got != test.want {
			t.Errorf("%s: %s, want %s", test.name, got, test.want)
		}
	}
}

func ptr(v float64) *float64 { return &v }

// Random floors: at every level that is asked about, a run of which the line says that it is clear has no finding with anything that is not struck
// with it, and one with a place has one, as the check has it with the rows laid there. At the level that is struck the rows, with
// their sets, are put in place of the tables' own, and the check finds nothing about them.
func TestFloorAgainstTheCheck(t *testing.T) {
	floors := *floorFloors
	if testing.Short() {
		floors /= 5
	}
	clean, places := 0, 0
	for seed := range floors {
		rng := rand.New(rand.NewPCG(uint64(seed), 5))
		n := func(lo, hi int) int { return lo + rng.IntN(hi-lo+1) }
		var steel, ducts, trays strings.Builder
		steel.WriteString("id,kind,x1,y1,x2,y2,size,level\n")
		for k := range n(0, 2) {
			fmt.Fprintf(&steel, "B%d,beam,%d,0,%[2]d,8000,150x%d,%d\n", k, n(2, 6)*1000, 300, 3200)
		}
		ducts.WriteString("id,trade,x1,y1,x2,y2,size,level\n")
		for k := range n(1, 4) {
			x, y := n(1, 7)*1000, n(1, 7)*1000
			if rng.IntN(2) == 0 {
				fmt.Fprintf(&ducts, "D%d,ductwork,%d,500,%[2]d,7500,%dx200,%d\n", k, x, n(2, 6)*100, n(265, 330)*10)
			} else {
				fmt.Fprintf(&ducts, "D%d,pipework,500,%d,7500,%[2]d,ø%d,%d\n", k, y, n(3, 12)*10, n(265, 340)*10)
			}
		}
		hung := []string{"", "channel 41 M10"}[rng.IntN(2)]
		trays.WriteString("id,trade,kind,run,x1,y1,x2,y2,size,level,hanger\n")
		for k := range n(1, 3) {
			if rng.IntN(3) > 0 {
				fmt.Fprintf(&trays, "T%d,containment,tray,R%[1]d,600,%d,7400,%[2]d,%dx60,2800,%s\n", k, 700+1900*k, n(1, 4)*100, hung)
			} else {
				fmt.Fprintf(&trays, "T%d,containment,tray,R%[1]d,%d,600,%[2]d,7400,%dx60,2800,%s\n", k, 900+2100*k, n(1, 4)*100, hung)
			}
		}
		files := map[string]string{"bays.csv": floorBays, "steel.csv": steel.String(), "d.csv": ducts.String(), "tray.csv": trays.String()}
		p := openFloor(t, files)
		f, err := setout.Strike(p, clash.Open(p, clash.Options{Touch: clash.None, Once: true}), setout.FloorSettings{})
		if err != nil {
			t.Fatal(seed, err)
		}
		ours := map[string]bool{}
		for _, o := range f.Runs {
			for _, pc := range o.Run.Pieces {
				ours[p.Zone(pc.Zone).ID] = true
			}
		}
		check := func(tray string) (with map[string]bool, list string) {
			files := map[string]string{"bays.csv": floorBays, "steel.csv": steel.String(), "d.csv": ducts.String(), "tray.csv": tray}
			q := openFloor(t, files)
			if len(q.Problems) > 0 {
				t.Fatal(seed, q.Problems[0])
			}
			res, err := clash.Open(q, clash.Options{Touch: clash.None}).Findings(context.Background())
			if err != nil {
				t.Fatal(err)
			}
			with = map[string]bool{}
			for i := range res.Findings {
				x := &res.Findings[i]
				if x.Support != nil {
					continue // where supports stand is set out, not struck
				}
				b := ""
				if x.B != nil {
					b = *x.B
				}
				a, _, _ := strings.Cut(x.A, "/")
				b, _, _ = strings.Cut(b, "/")
				switch {
				case ours[a] && ours[b]:
					with["struck"] = true
				case ours[a]:
					with[a] = true
				case ours[b]:
					with[b] = true
				default:
					continue
				}
				list += fmt.Sprintf("%s %s %s %g; ", x.A, b, x.Rule, x.Short)
			}
			return with, list
		}
		at := func(z float64) string {
			return strings.ReplaceAll(trays.String(), "x60,2800,", fmt.Sprintf("x60,%g,", z))
		}
		levels := []float64{f.Level}
		for range 6 {
			levels = append(levels, f.Curve[rng.IntN(len(f.Curve))].Level)
		}
		for _, z := range levels {
			k := slices.IndexFunc(f.Curve, func(c setout.AtLevel) bool { return math.Abs(c.Level-z) < 1e-6 })
			if k < 0 {
				continue // the level that is struck need not be a whole 5
			}
			with, list := check(at(z))
			if free := f.Curve[k].Places == 0; free != (len(with) == 0) {
				t.Errorf("floor %d at %g: %d places, the check finds %s\n%s%s", seed, z, f.Curve[k].Places, list, ducts.String(), trays.String())
			}
			if f.Curve[k].Places == 0 && len(f.Places) > 0 {
				t.Errorf("floor %d: struck at %g with %d places, %g has none", seed, f.Level, len(f.Places), z)
			}
		}
		// The rows that it says.
		var b bytes.Buffer
		w := csv.NewWriter(&b)
		_ = w.Write(setout.Columns())
		all := true
		for _, o := range f.Runs {
			if all = all && o.Answer.Found && len(o.Answer.Unproved) == 0; !all {
				break
			}
			rows, _ := setout.Rows(p, o.Answer, nil)
			_ = w.WriteAll(rows)
		}
		if places += len(f.Places); !all {
			continue
		}
		clean++
		if _, list := check(b.String()); list != "" {
			t.Errorf("floor %d: its rows put back: %s\nat %g\n%s%s%s%s", seed, list, f.Level, steel.String(), ducts.String(), trays.String(), b.String())
		}
	}
	t.Logf("%d floors, %d whole and clean when put back, %d places", floors, clean, places)
	if clean < floors/3 || places == 0 {
		t.Error("too few say anything")
	}
}

// A run over two bays, the ceiling of the second 400 higher. In the first two ducts come down to 2900: a tray of 50 goes under them at 2850; in the
// second it lies over 3000. One line has half of the run as a place; two lines have one place, where the run changes from the one to the
// other, and all of it is on a line.
func TestTwoLines(t *testing.T) {
	files := map[string]string{
		"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,6000,4000,3500,2600\nB,6000,0,12000,4000,3500,3000\n",
		"ductwork.csv": "id,x1,y1,x2,y2,size,level\nD1,2000,0,2000,4000,400x600,2900\nD2,4000,0,4000,4000,400x600,2900\n",
		"gaps.csv":     "of,to,gap\nany,any,0\n",
		"tray.csv":     "id,trade,kind,x1,y1,x2,y2,size,level\nT,containment,tray,500,2000,11500,2000,200x50,2700\n",
	}
	f := struck(t, false, setout.FloorSettings{Lines: 2}, files)
	if f.Level != 2850 || len(f.Places) != 1 || math.Abs(f.Clear-5500) > 1 {
		t.Errorf("one line: %s", said(f))
	}
	two := f.Two
	if len(two.Lines) != 2 || two.Changes != 1 || two.Places != 1 || math.Abs(two.Clear-11000) > 1 {
		t.Fatalf("two lines: %+v", two)
	}
	a, b := two.Lines[0], two.Lines[1]
	if a.Level > 2850 || a.Level < 2600 || a.Tops[0] != 2600 || a.Places != 0 || b.Level < 3000 || b.Tops[0] != 3000 || b.Places != 0 || math.Abs(a.All-5500) > 1 || math.Abs(b.All-5500) > 1 {
		t.Errorf("two lines: %+v", two.Lines)
	}
	// Where one line is clear everywhere a second gains nothing.
	files["ductwork.csv"] = "id,x1,y1,x2,y2,size,level\nD1,2000,0,2000,4000,400x200,2650\n"
	if f = struck(t, false, setout.FloorSettings{Lines: 2}, files); len(f.Two.Lines) != 1 || f.Two.Places != 0 {
		t.Errorf("one is enough: %+v", f.Two)
	}
}

// A run of three rows, the middle one fixed where it is: it stays, and the rows on its two sides are lengths of their own on the line. A row that is left
// out is not among the rows that are written.
func TestFloorLeavesWhatHoldsWhereItIs(t *testing.T) {
	p := openFloor(t, map[string]string{
		"bays.csv": floorBays, "gaps.csv": "of,to,gap\nany,any,0\n",
		"tray.csv": "id,trade,kind,run,x1,y1,x2,y2,size,level,stage\nA,containment,tray,R,1000,2000,3000,2000,200x50,2700,\n" +
			"B,containment,tray,R,3000,2000,5000,2000,200x50,2700,fixed\nC,containment,tray,R,5000,2000,7000,2000,200x50,2700,\n",
	})
	f, err := setout.Strike(p, clash.Open(p, clash.Options{Touch: clash.None, Once: true}), setout.FloorSettings{})
	if err != nil {
		t.Fatal(err)
	}
	if len(f.Runs) != 2 || f.All != 4000 || len(f.LeftOut) != 1 || f.LeftOut[0] != (setout.LeftOut{Zone: "B", Why: "it holds its level"}) {
		t.Fatalf("%d lengths, %g, left out %v", len(f.Runs), f.All, f.LeftOut)
	}
	var gone []string
	for _, o := range f.Runs {
		_, g := setout.Rows(p, o.Answer, nil)
		gone = append(gone, g...)
	}
	if fmt.Sprint(gone) != "[A C]" {
		t.Errorf("rows for %v", gone)
	}
}

// Two lots of levels come to one place. Up to 2710 it is the duct D, 400 of the tray: it goes over it and comes back, two sets. From 2990 up it is E, 200 of
// the tray, so more is clear there; but E hangs from the soffit, and right behind it lies K: the tray goes under E and can come up no more, so that less than half of it stays. What is
// left on the line once it is laid counts before what is clear on it.
func TestFloorWeighsWhatSetsTake(t *testing.T) {
	f := struck(t, true, setout.FloorSettings{}, map[string]string{
		"bays.csv": "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,12000,4000,3500,2600\n",
		"gaps.csv": "of,to,gap\nany,any,0\n",
		"ductwork.csv": "id,x1,y1,x2,y2,size,level\nD,2000,0,2000,4000,400x120,2640\n" + // forbids undersides from 2590 to 2760
			"E,4100,0,4100,4000,200x740,2760\nK,7950,0,7950,4000,7300x190,2800\n", // from 2710 up, and from 2750 to 2990
		"tray.csv": "id,trade,kind,x1,y1,x2,y2,size,level\nT,containment,tray,500,2000,11500,2000,200x50,2700\n",
	})
	at := func(z float64) setout.AtLevel {
		return f.Curve[slices.IndexFunc(f.Curve, func(c setout.AtLevel) bool { return c.Level == z })]
	}
	if lo, hi := at(2700), at(3000); lo.Places != 1 || hi.Places != 1 || lo.Clear != 10600 || hi.Clear != 10800 {
		t.Errorf("at 2700 %+v, at 3000 %+v", lo, hi)
	}
	// Over D at 2760, back at the line: as far along as up, twice.
	up := 2760 - f.Level
	if f.Level < 2600 || f.Level > 2710 || len(f.Places) != 1 || len(f.Places[0].Sets) != 2 || math.Abs(f.Kept()-(10600-2*up)) > 60 {
		t.Errorf("struck at %s, %d sets, %g stay on it", said(f), len(f.Places[0].Sets), f.Kept())
	}
	if l := at(f.Level).Laid; l == nil || l.Sets != 2 || l.Blocked != 0 || math.Abs(l.Kept-f.Kept()) > 0.1 {
		t.Errorf("the curve says %+v", l)
	}
}

// A and Z can get past what stands from ceiling to soffit at no level, and T goes over D with two sets, as in the test above: the curve counts the two, and T's sets and
// what of it stays on the line, wherever in the order of the runs T comes.
func TestCurveCountsPastABlockedRun(t *testing.T) {
	f := struck(t, true, setout.FloorSettings{}, map[string]string{
		"bays.csv": "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,12000,12000,3500,2600\n",
		"gaps.csv": "of,to,gap\nany,any,0\n",
		"ductwork.csv": "id,x1,y1,x2,y2,size,level\nD,2000,0,2000,4000,400x120,2640\nE,4100,0,4100,4000,200x740,2760\nK,7950,0,7950,4000,7300x190,2800\n" +
			"B,6000,4500,6000,11500,400x900,2600\n",
		"tray.csv": "id,trade,kind,x1,y1,x2,y2,size,level\nA,containment,tray,500,6000,11500,6000,200x50,2700\nT,containment,tray,500,2000,11500,2000,200x50,2700\n" +
			"Z,containment,tray,500,9000,11500,9000,200x50,2700\n",
	})
	up := 2760 - f.Level
	if l := f.Curve[f.CurveAt()].Laid; l == nil || l.Blocked != 2 || l.Sets != 2 || math.Abs(l.Kept-(10600-2*up)) > 60 {
		t.Errorf("struck at %s: the curve says %+v", said(f), l)
	}
}

// A corridor and a room beside it have ceilings of one height. In the corridor a duct comes down to 2900, so that a tray of 50 goes under it at 2850; in the room one
// lies up to 3000. By height they are one group and a second line gains nothing; by rooms each has its own line and no place, for a wall stands between them. With a
// door of 900 in it they still are two; without the wall they are one.
func TestTwoLinesByRoom(t *testing.T) {
	files := map[string]string{
		"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling\nC,0,0,8000,2000,3500,2600\nR,0,2000,8000,6000,3500,2600\n",
		"gaps.csv":     "of,to,gap\nany,any,0\n",
		"ductwork.csv": "id,x1,y1,x2,y2,size,level\nD1,4000,0,4000,1900,7400x600,2900\nD2,4000,2100,4000,6000,7400x400,2600\n",
		"tray.csv":     "id,trade,kind,x1,y1,x2,y2,size,level\nT1,containment,tray,500,1000,7500,1000,200x50,2700\nT2,containment,tray,500,4000,7500,4000,200x50,3100\n",
		"walls.csv":    "id,trade,kind,x1,y1,x2,y2,size,level\nW1,partitions,wall,0,2000,3000,2000,100x1000,2500\nW2,partitions,wall,3900,2000,8000,2000,100x1000,2500\n",
	}
	two := func(by setout.By) *setout.TwoLines {
		return struck(t, true, setout.FloorSettings{Lines: 2, By: by}, files).Two
	}
	if x := two(setout.ByHeight); x.Groups != 1 || len(x.Lines) != 1 {
		t.Errorf("by height %+v", x)
	}
	x := two(setout.ByRoom)
	if x.Groups != 2 || len(x.Lines) != 2 || x.Places != 0 || x.Changes != 0 || math.Abs(x.Clear-14000) > 1 {
		t.Fatalf("by room %+v", x)
	}
	if a, b := x.Lines[0], x.Lines[1]; a.Level > 2850 || len(a.Bays) != 1 || b.Level < 3000 || len(b.Bays) != 1 {
		t.Errorf("by room %+v", x.Lines)
	}
	delete(files, "walls.csv")
	if x := two(setout.ByRoom); x.Groups != 1 {
		t.Errorf("without the wall %+v", x)
	}
}

// Only 3112 and 3113 pass over the one duct and under the other: no level in whole 5 does. Two lines are no worse than the one: by hand, the
// tray of 60 is on the low duct's top, 2800 + 312, or under the high one's underside, 3173 - 60.
func TestTwoLinesAreNoWorseThanOne(t *testing.T) {
	for _, by := range []setout.By{setout.ByHeight, setout.ByRoom} {
		f := struck(t, true, setout.FloorSettings{Lines: 2, By: by}, map[string]string{
			"bays.csv": "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,4000,4000,3600,2600\nB,4000,0,8000,4000,3600,2850\n",
			"things.csv": "id,kind,trade,x1,y1,x2,y2,size,level\nLow,duct,ductwork,2000,1000,2000,3000,300x312,2800\n" +
				"High,duct,ductwork,6000,1000,6000,3000,300x400,3173\nOver,duct,ductwork,3000,1000,3000,3000,300x400,3173\n",
			"tray.csv": "id,trade,kind,run,x1,y1,x2,y2,size,level\nT,containment,tray,T,1000,2000,7000,2000,300x60,3000\n",
		})
		if f.Level < 3112 || f.Level > 3113 || len(f.Places) != 0 {
			t.Fatalf("struck at %g with %d places", f.Level, len(f.Places))
		}
		if f.Two.Places != 0 || f.Two.Changes != 0 || len(f.Two.Lines) != 1 || f.Two.Lines[0].Level < 3112 || f.Two.Lines[0].Level > 3113 {
			t.Errorf("by %q, two lines: %+v", by, f.Two)
		}
	}
}

// Three tiers of one frame, 140 between two where the rules ask 150: they keep that as they are, and the first, which a duct between 2860 and 3060 keeps off the line at 3000, does not
// come nearer to the second: it goes under the duct, at 2860 - 60 - 10, and not up to 3070 with 70 under the second.
func TestLineKeepsTiersApart(t *testing.T) {
	f := struck(t, false, setout.FloorSettings{}, map[string]string{
		"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,20000,10000,3600,2500\n",
		"ductwork.csv": "id,service,kind,x1,y1,x2,y2,size,level\nD-1,extract,duct,5000,0,5000,10000,600x200,2860\nD-2,extract,duct,15000,0,15000,10000,600x280,2540\n",
		"tray.csv": "id,service,kind,trade,x1,y1,x2,y2,size,level,run,hanger,frame,tier\nA-1,data,basket,containment,0,3000,20000,3000,150x60,2900,A,channel 41 M10,F1,1\n" +
			"B-1,power,tray,containment,0,3000,20000,3000,300x60,3100,B,channel 41 M10,F1,2\nC-1,fire alarm,tray,containment,0,3000,20000,3000,100x50,3300,C,channel 41 M10,F1,3\n",
	})
	if f.Level != 3000 || len(f.Places) != 1 || len(f.Places[0].Laid) != 1 || f.Places[0].Laid[0].Level != 2790 {
		t.Errorf("%s, laid %+v", said(f), f.Places[0].Laid)
	}
}
