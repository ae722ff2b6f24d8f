package clash_test

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"voidline/clash"
	"voidline/clash/finding"
	"voidline/clash/rules"
	"voidline/clash/support"
	"voidline/clash/tolerance"
	"voidline/void"
	"voidline/void/cell"
)

// More tests that fail on one small fault that once went through all others.

// Of two bays that change before one asking each bounds a room that reaches into it from a unit of a third bay: F's goes over the
// line of A, G's over that of B, both from 3000 to 3300. The boards come to 3040.
func TestTwoBaysChangeBesideAThird(t *testing.T) {
	p := openText(t, map[string]string{
		"bays.csv":       "bay,x1,y1,x2,y2,soffit,ceiling,build-up\nA,0,0,6000,6000,3600,2400,b\nB,12000,0,18000,6000,3600,2400,b\nC,6000,0,12000,6000,3600,2400,b\n",
		"buildups.csv":   "build-up,layer,thickness,lifts out\nb,board,50,no\n",
		"mechanical.csv": "id,kind,x1,y1,size,level,reach\nF,fan coil,6450,3000,800x600x300,3000,no\nG,fan coil,11550,3000,800x600x300,3000,no\n",
		"access.csv":     "for,kind,side,depth\nF,working space,west,500\nG,working space,east,500\n",
	})
	if len(p.Problems) > 0 {
		t.Fatal(p.Problems)
	}
	check := clash.Open(p, clash.Options{Touch: 1})
	for _, test := range []struct{ a, b, want string }{
		{"2400", "2400", ""},
		{"2410", "2990", "G/ceiling B 40"},
		{"2990", "2410", "F/ceiling A 40"},
		{"2410", "2990", "G/ceiling B 40"},
	} {
		for _, e := range [2][2]string{{"A", test.a}, {"B", test.b}} {
			ch, problem := p.EditBay(e[0], "ceiling", e[1])
			if problem != nil {
				t.Fatal(problem)
			}
			check.Changed(ch)
		}
		res, err := check.Findings(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, f := range res.Findings {
			got = append(got, fmt.Sprintf("%s/%s %g", f.A, *f.B, f.Depth.Vertical))
		}
		if got := strings.Join(got, "; "); got != test.want {
			t.Errorf("ceilings %s and %s: came %q, want %q", test.a, test.b, got, test.want)
		}
	}
}

// An opening in the first row of all goes with it: the duct of 300x200 stands in an opening of 400x300, 50 all round, and 200 along
// the beam it is out of it.
func TestOpeningInTheFirstRowMoves(t *testing.T) {
	p := openText(t, map[string]string{
		"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,9000,3600,none\n",
		"a.csv":        "id,trade,kind,x1,y1,x2,y2,size,level\nB,steel,beam,1000,4500,8000,4500,200x400,3000\n",
		"ductwork.csv": "id,x1,y1,x2,y2,size,level\nD,4000,1000,4000,8000,300x200,3100\n",
		"openings.csv": "in,at,size,level\nB,3000,400x300,3050\n",
	})
	if i, ok := p.ZoneByID("B"); len(p.Problems) > 0 || !ok || i != 0 {
		t.Fatal(p.Problems, i)
	}
	check := clash.Open(p, clash.Options{Touch: 1, Rules: []rules.Rule{}})
	for _, step := range []struct{ x1, want string }{{"", ""}, {"1200", "B/D"}, {"1000", ""}} {
		if step.x1 != "" {
			ch, problem := p.Edit("B", "x1", step.x1)
			if problem != nil {
				t.Fatal(problem)
			}
			check.Changed(ch)
		}
		got := ""
		for _, f := range mustFind(t, check).Findings {
			got += f.A + "/" + *f.B
		}
		if got != step.want {
			t.Errorf("from x %s: came %q, want %q", step.x1, got, step.want)
		}
	}
}

// What two services of two storeys do is told in the lower, whichever is named first.
func TestToldInTheLowerStorey(t *testing.T) {
	for _, test := range []struct{ low, high string }{{"A", "B"}, {"B", "A"}} {
		res := asked(t, map[string]string{
			"levels.csv": "storey,ffl\n1,4000\n0,0\n",
			"bays.csv":   "bay,storey,x1,y1,x2,y2,soffit,ceiling\nU,1,0,0,9000,9000,3600,none\nL,0,0,0,9000,9000,3600,none\n",
			"pipework.csv": "id,storey,x1,y1,x2,y2,size,level,run\n" + test.low + ",0,1000,3000,8000,3000,ø100,4200,P\n" +
				test.high + ",1,4000,1000,4000,8000,ø100,250,Q\n",
		}, clash.Options{Touch: 1, Rules: []rules.Rule{}})
		got := ""
		for _, f := range res.Findings {
			if f.A == "A" && *f.B == "B" {
				// From 4250 to 4300 above the datum they share 50; the middle of that is 4275 above the floor of the lower.
				got = fmt.Sprintf("%s %s %g", f.Storey, *f.Bay, f.At.Level)
			}
		}
		if got != "0 L 4275" {
			t.Errorf("%s below: told in %q, want 0 L 4275", test.low, got)
		}
	}
}

// What passes upright through a slab is a class of its own, whichever of the two is named first: here a riser that ends in it.
func TestCostOfARiserInASlab(t *testing.T) {
	for _, slab := range []string{"A", "Z"} {
		res := asked(t, map[string]string{
			"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,9000,3600,none\n",
			"slabs.csv":    "id,trade,kind,x1,y1,size,level\n" + slab + ",structure,slab,4000,4000,3000x3000x200,3000\n",
			"pipework.csv": "id,x1,y1,size,level\nP,4000,4000,ø100,FFL+0..FFL+3100\n",
		}, clash.Options{Touch: 1, Rules: []rules.Rule{}})
		if len(res.Findings) != 1 || res.Findings[0].Cost != "upright" {
			t.Errorf("slab %s: came %+v, want one finding of the class upright", slab, res.Findings)
		}
	}
}

// Of two of which only heights are known one runs over the other where both are of one bay: a wet pipe over a tray is told.
func TestToldByHeight(t *testing.T) {
	for _, test := range []struct{ bay, want string }{{"A", "T P"}, {"B", ""}} {
		res := asked(t, map[string]string{
			// The two bays share a strip of 1000.
			"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,6000,6000,3600,none\nB,5000,0,11000,6000,3600,none\n",
			"tray.csv":     "id,service,kind,bay,size,level\nT,LV power,tray,A,300x60,2800\n",
			"pipework.csv": "id,service,kind,bay,size,level\nP,CHW flow,pipe," + test.bay + ",ø60,3200\n",
		}, clash.Options{Touch: 1})
		got := ""
		for _, x := range res.ToBeProtected {
			got += x.Of + " " + x.From
		}
		if got != test.want {
			t.Errorf("the pipe in bay %s: told %q, want %q", test.bay, got, test.want)
		}
	}
}

// What passes through a ceiling is told by trade, of one trade in the order in which people count, however the rows stand.
func TestThroughInOrder(t *testing.T) {
	res := asked(t, map[string]string{
		"bays.csv": "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,9000,3600,2700\n",
		"rows.csv": "id,trade,x1,y1,size,level\nP10,pipework,1000,1000,ø100,FFL+0..FFL+3000\nP9,pipework,2000,1000,ø100,FFL+0..FFL+3000\nX,ductwork,3000,1000,ø100,FFL+0..FFL+3000\n",
	}, clash.Options{Touch: 1})
	var got []string
	for _, x := range res.Through {
		got = append(got, x.Trade+" "+x.Zone)
	}
	if got, want := strings.Join(got, "; "), "ductwork X; pipework P9; pipework P10"; got != want {
		t.Errorf("came %q, want %q", got, want)
	}
}

// What may come into each other stands before what may only come too near, though that lacks more: 26 less 20 and 20 off are -14,
// of 25 that are asked 26 less 10 and 10 lack 19.
func TestDoubtsIntoEachOtherFirst(t *testing.T) {
	res := asked(t, map[string]string{
		"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,9000,3900,none\n",
		"ductwork.csv": "id,kind,x1,y1,x2,y2,size,level,tolerance\nD1,duct,500,2000,8500,2000,300x200,3000,\nD2,duct,500,6000,8500,6000,300x200,3000,20\n",
		"pipework.csv": "id,kind,x1,y1,x2,y2,size,level,tolerance\nP1,pipe,4000,1000,4000,3000,ø60,3226,\nP2,pipe,4000,5000,4000,7000,ø60,3226,20\n",
	}, clash.Options{Touch: 1, Tolerance: tolerance.WorstCase})
	var got []string
	for _, d := range res.Doubtful {
		got = append(got, fmt.Sprintf("%s/%s %g of %g", d.Upper, d.Lower, d.Worst, d.Asked))
	}
	if got, want := strings.Join(got, "; "), "P2/D2 -14 of 25; P1/D1 6 of 25"; got != want {
		t.Errorf("came %q, want %q", got, want)
	}
}

// Where the hanger is what may come down on a ceiling, a doubt says so: 2820 less 55.9 is 14.1 over the boards at 2750; the tray may
// be 10 off, the ceiling 5.
func TestDoubtOfAHanger(t *testing.T) {
	for _, test := range []struct{ level, hanger, want string }{
		{"2820", "channel 41 M10", "14.1 -0.9 lowest point: the hanger under it: channel 41 M10"},
		{"2764", "", "14 -1 "},
	} {
		res := asked(t, map[string]string{
			"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling,build-up\nA,0,0,9000,9000,3600,2700,b\n",
			"buildups.csv": "build-up,layer,thickness,lifts out\nb,board,50,no\n",
			"gaps.csv":     "of,to,side,gap\nany,ceiling,below,0\n",
			"tray.csv":     "id,kind,x1,y1,x2,y2,size,level,hanger\nT,tray,500,4500,8500,4500,300x60," + test.level + "," + test.hanger + "\n",
		}, clash.Options{Touch: 1, Tolerance: tolerance.WorstCase, Supports: support.Options{Off: true}})
		got := ""
		for _, d := range res.Doubtful {
			got += fmt.Sprintf("%g %g %s", d.Drawn, d.Worst, d.Note)
		}
		if got != test.want {
			t.Errorf("%q: came %q, want %q", test.hanger, got, test.want)
		}
	}
}

// What is one branch: a pipe that begins within its section and 50 of another's end goes round a corner with it, one that begins
// further along is a branch of its own; and of two that go on nearly straight the straighter alone goes on.
func TestBranchesAtTheirBounds(t *testing.T) {
	const tray = "T1,tray,200,4000,3000,4000,300x60,2990,T\nT2,tray,3000,4000,3000,500,300x60,2990,T\n"
	for _, test := range []struct {
		name, pipes, trays string
		findings, problems int
	}{
		{"110 from its end, 60 and 50", "M,pipe,500,1000,4500,1000,ø60,3000,CW\nX,pipe,610,1000,610,8000,ø60,3000,CW\n", tray, 2, 1},
		{"111 from its end", "M,pipe,500,1000,4500,1000,ø60,3000,CW\nX,pipe,611,1000,611,8000,ø60,3000,CW\n", tray, 2, 2},
		// The tray meets M2 and M3, 264 apart there; M2 and M3, of two branches, run in each other where they part.
		{
			"10 degrees off the straight", "M1,pipe,500,1000,2000,1000,ø60,3000,CW\nM2,pipe,2000,1000,4500,1000,ø60,3000,CW\nM3,pipe,2000,1000,4000,1353,ø60,3000,CW\n",
			"T,tray,3500,200,3500,3000,300x60,2990,T\n", 3, 3,
		},
	} {
		res := asked(t, map[string]string{"bays.csv": twoBays, "pipework.csv": runHead + test.pipes, "tray.csv": runHead + test.trays}, clash.Options{Touch: 1, Rules: []rules.Rule{}})
		if len(res.Findings) != test.findings || res.Problems != test.problems {
			t.Errorf("%s: %d findings, %d problems, want %d and %d:\n%s", test.name, len(res.Findings), res.Problems, test.findings, test.problems, strings.Join(told(res), "\n"))
		}
	}
}

// A support may stand at the very end of its row: the rods of 10 at 3700 are clear of the duct, which ends at 3995, at 4000, which is
// 2000 from the support before.
func TestSupportMovesToTheEndOfItsRow(t *testing.T) {
	for _, test := range []struct{ to, want string }{{"3995", "1 of 3, 1 can, by 300"}, {"3996", "1 of 3, 0 can"}} {
		res := asked(t, map[string]string{
			"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,10000,10000,3600,2200\n",
			"tray.csv":     "id,kind,x1,y1,x2,y2,size,level,hanger,run\nT,tray,0,1000,4000,1000,300x60,2900,channel 41 M10,R\n",
			"ductwork.csv": "id,x1,y1,x2,y2,size,level,run\nD,3500,1300," + test.to + ",1300,250x250,3200,S\n",
		}, clash.Options{Touch: 1, Supports: support.Options{Spacing: 2000}})
		got := ""
		for _, f := range res.Findings {
			if h := f.Support; h != nil {
				got += fmt.Sprintf("%d of %d, %d can", h.Count, h.Of, h.Can)
				if h.Move != nil {
					got += fmt.Sprintf(", by %g", *h.Move)
				}
			}
		}
		if got != test.want {
			t.Errorf("to x %s: came %q, want %q", test.to, got, test.want)
		}
	}
}

// T and the tray before it are one length, whichever way T is drawn. A rod of 10 at 4500 of that length, the middle of T, is in the duct from 4430 to 4530; 35 on it stands at 4535 and
// is clear. That is 35 on from T's own start, and 35 back towards it where T is drawn from its other end.
func TestSupportMovesAlongItsOwnRow(t *testing.T) {
	for _, test := range []struct{ row, want string }{
		{"3000,1000,6000,1000", "at 1500 by 35"},
		{"6000,1000,3000,1000", "at 1500 by -35"},
	} {
		res := asked(t, map[string]string{
			"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,10000,10000,3600,2200\n",
			"tray.csv":     "id,kind,x1,y1,x2,y2,size,level,hanger,run\nS,tray,0,1000,3000,1000,300x60,2900,channel 41 M10,R\nT,tray," + test.row + ",300x60,2900,channel 41 M10,R\n",
			"ductwork.csv": "id,x1,y1,x2,y2,size,level,run\nD,4480,1150,4480,2000,100x250,3200,S\n",
			"supports.csv": "run,along\nR,300\nR,1500\nR,3000\nR,4500\nR,5700\n",
		}, clash.Options{Touch: 1, Supports: support.Options{Spacing: 2000}})
		got := ""
		for _, f := range res.Findings {
			if h := f.Support; h != nil {
				got += fmt.Sprintf("at %g", h.At)
				if h.Move != nil {
					got += fmt.Sprintf(" by %g", *h.Move)
				}
			}
		}
		if got != test.want {
			t.Errorf("T %s: came %q, want %q", test.row, got, test.want)
		}
	}
}

// A service at a skew is measured in its opening at both faces of the beam: at 45 degrees a duct of 100 is 141.4 wide in the cut, its
// middle 110 off at the one face and 10 at the other: 200 - 110 - 70.7 = 19.3 of 25.
func TestSkewInAnOpeningAtEitherFace(t *testing.T) {
	for _, row := range []string{"1060,2500,5060,6500", "5060,2500,1060,6500"} {
		res := asked(t, map[string]string{
			"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,9000,3600,none\n",
			"steel.csv":    "id,kind,x1,y1,x2,y2,size,level\nW,beam,0,4500,9000,4500,100x400,3000\n",
			"openings.csv": "in,at,size,level\nW,3000,400x300,3050\n",
			"ductwork.csv": "id,x1,y1,x2,y2,size,level\nD," + row + ",100x100,3150\n",
		}, clash.Options{Touch: 1})
		got := ""
		for _, f := range res.Findings {
			got += fmt.Sprintf("%s %s/%s %g", f.Kind, f.A, *f.B, f.Short)
		}
		if want := "tight D/W 5.7"; got != want {
			t.Errorf("%s: came %q, want %q", row, got, want)
		}
	}
}

// Two wide rows of a run that turn a corner, neither end of which is drawn into the other: 1200 wide they share a square at the
// corner further than 300 from either end, and that is the corner all the same.
func TestWideCornerDrawnApart(t *testing.T) {
	for _, test := range []struct{ run, want string }{{"R", ""}, {"Q", "overlap A/B"}} {
		res := asked(t, map[string]string{
			"bays.csv": "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,9000,3900,none\n",
			"ductwork.csv": "id,service,x1,y1,x2,y2,size,level,run\nA,supply air,1000,2000,5000,2000,1200x400,3000,R\n" +
				"B,extract air,5060,2060,5060,8000,1200x400,3000," + test.run + "\n",
		}, clash.Options{Touch: 1, Rules: []rules.Rule{}})
		got := ""
		for _, f := range res.Findings {
			got += fmt.Sprintf("%s %s/%s", f.Kind, f.A, *f.B)
		}
		if got != test.want {
			t.Errorf("B of run %s: came %q, want %q", test.run, got, test.want)
		}
	}
}

// A branch that comes beside the end of a drain is held to the drain's invert at that end, not to where the drain would be if it
// went on: 3000 at its high end; the branch's is 20 lower, and its end lies 95 before that.
func TestBranchBeforeTheHighEnd(t *testing.T) {
	got := jointsOf(t, map[string]string{
		"bays.csv": "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,12000,12000,3900,none\n",
		"drainage.csv": "id,x1,y1,x2,y2,size,level,fall,run\nM,2000,2000,6000,2000,100x100,3000,1 in 40,R\n" +
			"X,1905,500,1905,1905,100x100,2980,,R\n",
	})
	if want := "enters under the invert X/M 20"; got != want {
		t.Errorf("came %q, want %q", got, want)
	}
}

// A gap of a millimetre bars as any other, and one that counts over a length alone bars a row under what falls where that is: the
// pipe's underside is at 3490 where the row's top is at 2650, 200 are asked.
func TestBarsOfSmallGapsAndOfLengths(t *testing.T) {
	for _, test := range []struct {
		gaps   string
		asked  float64
		at, up float64
		want   bool
	}{
		{"tray,pipe,around,1,", 1, 600, 810, true}, // of what falls half a metre is taken together: down to 3454
		{"tray,pipe,around,1,", 1, 600, 795, false},
		{"tray,pipe,around,200,2000", 200, 600, 700, true},
		{"tray,pipe,around,200,2000", 200, 600, 475, false}, // long enough elsewhere: it is 3000 at the low end
		{"tray,pipe,around,200,2000", 200, 5400, 475, true},
		{"tray,pipe,around,200,7000", 200, 600, 700, false},
	} {
		p := openText(t, map[string]string{
			"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,9000,3900,none\n",
			"gaps.csv":     "of,to,side,gap,over\n" + test.gaps + "\n",
			"tray.csv":     "id,kind,x1,y1,x2,y2,size,level\nQ,tray,1000,7000,7000,7000,100x50,2600\n",
			"drainage.csv": "id,kind,x1,y1,x2,y2,size,level,fall\nG,pipe,1500,7000,6500,7000,100x100,3500,1 in 10\n",
		})
		if len(p.Problems) > 0 {
			t.Fatal(p.Problems)
		}
		i, _ := p.ZoneByID("Q")
		got := false
		for _, b := range clash.Open(p, clash.Options{Rules: []rules.Rule{}}).Bars(i, p.Zone(i).Bare()) {
			got = got || b.By == "G" && b.Asked == test.asked && b.From < test.at && test.at < b.To && b.Lo < test.up && test.up < b.Hi
		}
		if got != test.want {
			t.Errorf("%s: %g up at %g is barred %v, want %v", test.gaps, test.up, test.at, got, test.want)
		}
	}
}

// Hand room beside what falls counts where it is long enough, 600: the row, 60 high at 2600, has a duct along its right, and along its
// left one whose underside comes from 3400 down to 3000 over 4000. Going up by t it is beside 10 t - 3400 of that, until it
// leaves its top: 10000 - 10 t.
func TestBarsBetweenTwoOfWhichOneFalls(t *testing.T) {
	p := openText(t, map[string]string{
		"bays.csv": "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,9000,4200,none\n",
		"tray.csv": "id,kind,x1,y1,x2,y2,size,level\nT,tray,500,3000,8500,3000,300x60,2600\n",
		"ductwork.csv": "id,x1,y1,x2,y2,size,level,fall,run\nL,1000,3300,5000,3300,200x200,3400,1 in 10,L\n" +
			"R,500,2700,8500,2700,200x1000,2900,,R\n",
	})
	if len(p.Problems) > 0 {
		t.Fatal(p.Problems)
	}
	i, _ := p.ZoneByID("T")
	var got []string
	for _, b := range clash.Open(p, clash.Options{}).Bars(i, p.Zone(i).Bare()) {
		if b.Side == cell.OneSide {
			got = append(got, fmt.Sprintf("%s %.3f to %.3f", b.By, b.Lo, b.Hi))
		}
	}
	if got, want := strings.Join(got, "; "), "L 400.000 to 940.000"; got != want {
		t.Errorf("barred by %q, want %q", got, want)
	}
}

// A box stands on the way of the cables: on the axis of a tray it is in line.
func TestBoxOnATray(t *testing.T) {
	for _, test := range []struct{ y, want string }{{"3000", ""}, {"3160", "overlap J/T"}} {
		res := asked(t, map[string]string{
			"bays.csv": "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,9000,3600,none\n",
			"containment.csv": "id,service,kind,x1,y1,x2,y2,size,level,run,reach\nT,LV power,tray,500,3000,8500,3000,300x60,3000,R,\n" +
				"J,LV power,junction box,4000," + test.y + ",,,200x200x60,3000,,no\n",
		}, clash.Options{Touch: 1, Rules: []rules.Rule{}})
		got := ""
		for _, f := range res.Findings {
			got += fmt.Sprintf("%s %s/%s", f.Kind, f.A, *f.B)
		}
		if got != test.want {
			t.Errorf("at y %s: came %q, want %q", test.y, got, test.want)
		}
	}
}

// A fitting is drawn as the box round it: any of its six faces may be where a pipe passes that it belongs to, 10 into it here. The
// pipe is 100, the fitting 150, so that its middle is 115 off.
func TestFittingAtAnyFace(t *testing.T) {
	const along, north = "500,3000,8500,3000", "4000,500,4000,8500"
	for _, test := range []struct{ name, pipe, x, y, level string }{
		{"north of it", along, "4000", "3115", "2975"},
		{"south of it", along, "4000", "2885", "2975"},
		{"east of it", north, "4115", "3000", "2975"},
		{"west of it", north, "3885", "3000", "2975"},
		{"over it", along, "4000", "3000", "3090"},
		{"under it", along, "4000", "3000", "2860"},
	} {
		for _, of := range []struct{ service, runs, want string }{
			{"CHW flow", "R,R", ""}, {"CHW flow", ",", ""}, {"CHW flow", "R,Q", ""}, {"compressed air", ",Q", "overlap F/P"},
		} {
			mine, its, _ := strings.Cut(of.runs, ",")
			res := asked(t, map[string]string{
				"bays.csv": "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,9000,3900,none\n",
				"pipework.csv": "id,service,kind,x1,y1,x2,y2,size,level,run,reach\nP,CHW flow,pipe," + test.pipe + ",100x100,3000," + mine + ",\n" +
					"F," + of.service + ",pipe fitting," + test.x + "," + test.y + ",,,150x150x150," + test.level + "," + its + ",no\n",
			}, clash.Options{Touch: 1, Rules: []rules.Rule{}})
			got := ""
			for _, f := range res.Findings {
				got += fmt.Sprintf("%s %s/%s", f.Kind, f.A, *f.B)
			}
			if got != of.want {
				t.Errorf("%s, %s, runs %s: came %q, want %q", test.name, of.service, of.runs, got, of.want)
			}
		}
	}
}

// A fitting of 1 m drawn along a pipe, 10 into it, is met at its face where the row joins it by name, as it is in the pipe's run: no more than that ties a
// ductwork fitting to a pipe. It is longer than what passes a fitting may lie along.
func TestLongFittingThatIsJoined(t *testing.T) {
	for _, test := range []struct{ joins, y, want string }{
		{"P", "3115", ""},
		{"P", "2885", ""},
		{"", "3115", "overlap F/P 10"},
		{"P", "3045", "overlap F/P 80"}, // the pipe goes through its middle
	} {
		res := asked(t, map[string]string{
			"bays.csv": "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,9000,3900,none\n",
			"pipework.csv": "id,trade,kind,x1,y1,x2,y2,size,level,joins,reach\nP,pipework,pipe,500,3000,8500,3000,100x100,3000,,\n" +
				"F,ductwork,duct fitting,4000," + test.y + ",,,1000x150x150,2975," + test.joins + ",no\n",
		}, clash.Options{Touch: 1, Rules: []rules.Rule{}})
		got := ""
		for _, f := range res.Findings {
			got += fmt.Sprintf("%s %s/%s %g", f.Kind, f.A, *f.B, f.Short)
		}
		if got != test.want {
			t.Errorf("joins %q, y %s: came %q, want %q", test.joins, test.y, got, test.want)
		}
	}
}

// Of the openings of a soffit a riser goes through the one that it is in, and where it is near none a hole is made, as in a slab: 25
// larger all round than 200 by 100.
func TestRisersAndTheirHoles(t *testing.T) {
	res := asked(t, map[string]string{
		"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,9000,3600,none\n",
		"slabs.csv":    "id,trade,kind,x1,y1,size,level\nS,structure,slab,2000,7000,1000x1000x200,2000\n",
		"openings.csv": "in,x,y,size\nsoffit A,1000,1000,400x400\nsoffit A,4000,3000,400x400\nsoffit A,1000,4000,400x400\n",
		"ductwork.csv": "id,x1,y1,size,level\nR,4000,3000,200x100,FFL+0..FFL+4000\nH,7000,7000,200x100,FFL+0..FFL+4000\nX,2000,7000,200x100,FFL+0..FFL+3000\n",
	}, clash.Options{Touch: 1})
	if got, want := strings.Join(told(res), "; "), "hole H/soffit A 250x150; hole X/S 250x150"; got != want {
		t.Errorf("came %q, want %q", got, want)
	}
}

// Of the rules of the tiles the most exact counts, of two alike that which asks more, however they stand: a duct 80 over the tiles.
func TestWhichRuleOfTheTiles(t *testing.T) {
	for _, test := range []struct{ gaps, want string }{
		{"tiles,any,above,50\n", ""},
		{"tiles,any,above,120\n", "40"},
		{"tiles,any,above,50\ntiles,any,above,120\n", "40"},
		{"tiles,any,above,120\ntiles,any,above,50\n", "40"},
		{"tiles,duct,above,50\ntiles,any,above,120\n", ""},
		{"tiles,any,above,120\ntiles,duct,above,50\n", ""},
		{"tiles,pipe,above,120\n", "20"}, // built in: 100
		{"tiles,pipe,above,50\ntiles,duct,above,90\n", "10"},
	} {
		res := asked(t, map[string]string{
			"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling,build-up\nA,0,0,9000,9000,3600,2700,b\n",
			"buildups.csv": "build-up,layer,thickness,lifts out\nb,tile,50,yes\n",
			"gaps.csv":     "of,to,side,gap\n" + test.gaps,
			"ductwork.csv": "id,kind,x1,y1,x2,y2,size,level\nD,duct,500,4500,8500,4500,300x200,2830\n",
		}, clash.Options{Touch: 1})
		got := ""
		for _, f := range res.Findings {
			got += fmt.Sprint(f.Short)
		}
		if got != test.want {
			t.Errorf("%q: lacks %q, want %q", test.gaps, got, test.want)
		}
	}
}

// What a row of gaps.csv cannot ask, and what it asks of nothing.
func TestRowsOfGapsThatAskNothing(t *testing.T) {
	for _, test := range []struct{ row, problem, warning string }{
		{"tray,any,around,0", "", ""},
		{"tray,any,around,-1", "is negative", ""},
		{"tray,any,around,10001", "is not a gap", ""},
		{"tray,any,one side,300", "", ""},
		{"light fitting,any,one side,300", "", "one side is a side along a length"},
	} {
		p := openText(t, map[string]string{
			"bays.csv": "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,9000,3600,none\n",
			"gaps.csv": "of,to,side,gap\n" + test.row + "\n",
			"tray.csv": "id,kind,x1,y1,x2,y2,size,level\nT,tray,500,3000,8500,3000,300x60,3000\n",
		})
		res, err := clash.Open(p, clash.Options{Touch: 1}).Findings(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		says := func(list []finding.Issue, want string) bool {
			return want == "" && len(list) == 0 || want != "" && len(list) == 1 && strings.Contains(list[0].Text, want)
		}
		if !says(res.InputProblems, test.problem) || !says(res.Warnings, test.warning) {
			t.Errorf("%s: problems %v, warnings %v; want %q and %q", test.row, res.InputProblems, res.Warnings, test.problem, test.warning)
		}
	}
}

// A ceiling bars a row down to where what hangs under it leaves what is asked: 2750 and 5, under the tray at 3000 a channel with
// plate, nut and thread of 55.9. Over tiles that lift out 100 are asked of a duct.
func TestBarsOfACeiling(t *testing.T) {
	for _, test := range []struct{ zone, lifts, want string }{
		{"T", "no", "5 up to -189.1"},
		{"U", "no", "5 up to -245.0"},
		{"D", "no", "5 up to -245.0"},
		{"D", "yes", "100 up to -150.0"},
	} {
		p := openText(t, map[string]string{
			"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling,build-up\nA,0,0,9000,9000,3900,2700,b\n",
			"buildups.csv": "build-up,layer,thickness,lifts out\nb,board,50," + test.lifts + "\n",
			"gaps.csv":     "of,to,side,gap\nany,ceiling,below,5\n",
			"tray.csv":     "id,kind,x1,y1,x2,y2,size,level,hanger\nT,tray,500,1000,8500,1000,300x60,3000,channel 41 M10\nU,tray,500,3000,8500,3000,300x60,3000,\n",
			"ductwork.csv": "id,kind,x1,y1,x2,y2,size,level\nD,duct,500,5000,8500,5000,300x200,3000\n",
		})
		if len(p.Problems) > 0 {
			t.Fatal(p.Problems)
		}
		i, _ := p.ZoneByID(test.zone)
		got := ""
		for _, b := range clash.Open(p, clash.Options{}).Bars(i, p.Zone(i).Bare()) {
			if b.By == "ceiling A" {
				got += fmt.Sprintf("%g up to %.1f", b.Asked, b.Hi)
			}
		}
		if got != test.want {
			t.Errorf("%s, lifts out %s: barred %q, want %q", test.zone, test.lifts, got, test.want)
		}
	}
}

// A wide duct that ends in the side of a narrow one of its run at 30 degrees is in it for more than a meeting takes: (433 + 100) / 0.5
// = 1066 back from its end, where 1.5 times 200 and 300 are. At 90 degrees it is 100.
func TestWideEndInANarrowSide(t *testing.T) {
	for _, test := range []struct{ from, want string }{{"1535.9,1000", "overlap A/B"}, {"5000,1000", ""}} {
		res := asked(t, map[string]string{
			"bays.csv": "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,9000,3900,none\n",
			"ductwork.csv": "id,x1,y1,x2,y2,size,level,run\nA,500,3000,8500,3000,200x200,3000,R\n" +
				"B," + test.from + ",5000,3000,1000x200,3000,R\n",
		}, clash.Options{Touch: 1, Rules: []rules.Rule{}})
		got := ""
		for _, f := range res.Findings {
			got += fmt.Sprintf("%s %s/%s", f.Kind, f.A, *f.B)
		}
		if got != test.want {
			t.Errorf("from %s: came %q, want %q", test.from, got, test.want)
		}
	}
}

// How deep an end may go is read from the table: 100 in what a security cable feeds.
func TestHowDeepAnEndMayGo(t *testing.T) {
	for _, test := range []struct{ x, want string }{{"3900", ""}, {"3901", "overlap C/P"}} {
		res := asked(t, map[string]string{
			"bays.csv": "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,9000,3900,none\n",
			"rows.csv": "id,trade,service,kind,x1,y1,x2,y2,size,level,reach\nC,security,security,camera,4000,3000,,,400x400x200,3000,no\n" +
				"P,containment,security,trunking,500,3000," + test.x + ",3000,50x50,3080,\n",
		}, clash.Options{Touch: 1, Rules: []rules.Rule{}})
		got := ""
		for _, f := range res.Findings {
			got += fmt.Sprintf("%s %s/%s", f.Kind, f.A, *f.B)
		}
		if got != test.want {
			t.Errorf("to %s: came %q, want %q", test.x, got, test.want)
		}
	}
}

// What a row of gaps.csv cannot ask is told once, of however many checks, and no more once the row is put right.
func TestRowsOfGapsAreToldOnce(t *testing.T) {
	p := openText(t, map[string]string{
		"bays.csv": "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,9000,3600,none\n",
		"gaps.csv": "of,to,side,gap,over\ntray,any,around,10001,-1\nunicorn,any,around,5,\nlight fitting,any,one side,300,\n",
		"tray.csv": "id,kind,x1,y1,x2,y2,size,level\nT,tray,500,3000,8500,3000,300x60,3000\n",
	})
	for _, opt := range []clash.Options{{Touch: 1}, {Touch: 1, Firm: true}, {Touch: 1}} {
		check := clash.Open(p, opt)
		for _, step := range []struct {
			gap, over                   string // as they are; "" for no edit
			problems, missing, warnings int
		}{{"", "", 2, 1, 2}, {"50", "", 1, 1, 2}, {"", "0", 0, 0, 2}, {"10001", "", 1, 1, 2}, {"", "-1", 2, 1, 2}} {
			for column, text := range map[string]string{"gap": step.gap, "over": step.over} {
				if text == "" {
					continue
				}
				change, problem := p.EditGap(0, column, text)
				if problem != nil {
					t.Fatal(problem)
				}
				check.Changed(change)
			}
			res, err := check.Findings(context.Background())
			if err != nil {
				t.Fatal(err)
			}
			if len(res.InputProblems) != step.problems || res.RowsMissing != step.missing || len(res.Warnings) != step.warnings {
				t.Errorf("gap %q, over %q: %d problems, %d rows missing, %d warnings; want %d, %d, %d", step.gap, step.over,
					len(res.InputProblems), res.RowsMissing, len(res.Warnings), step.problems, step.missing, step.warnings)
			}
			p.Problems = append([]void.Problem(nil), p.Problems...)
			for i := range p.Problems {
				p.Problems[i].Column = 3 // as it is shown
			}
		}
	}
}

// A rod that would be fixed at the very edge of a hole in the soffit is beside it, a tenth further in it is not: the rods of the support at 3000 stand
// at y 800 and 1200.
func TestRodAtTheEdgeOfAHole(t *testing.T) {
	for _, test := range []struct {
		hole string
		over bool
	}{
		{"3100,700,200x400", false},
		{"3099.9,700,200x400", true}, // its edge along x at 3000
		{"2900,700,200x400", false},
		{"2900.1,700,200x400", true},
		{"3000,750,400x100", false},
		{"3000,750.1,400x100", true}, // its edge along y at 800
		{"3000,1250,400x100", false},
		{"3000,1249.9,400x100", true},
		{"3100,800,ø200", false},
		{"3099.9,800,ø200", true},
		{"3000,1300,ø200", false},
		{"3000,1299.9,ø200", true},
	} {
		res := asked(t, map[string]string{
			"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,9000,3600,2200\n",
			"tray.csv":     "id,kind,x1,y1,x2,y2,size,level,hanger\nT,tray,0,1000,6000,1000,300x60,2900,channel 41 M10\n",
			"openings.csv": "in,x,y,size\nsoffit A," + test.hole + "\n",
		}, clash.Options{Touch: 1, Supports: support.Options{Spacing: 3000}})
		got := false
		for _, f := range res.Findings {
			got = got || f.Support != nil && strings.Contains(f.Note, "would be fixed in the opening")
		}
		if got != test.over {
			t.Errorf("hole %s: under it %t, want %t", test.hole, got, test.over)
		}
	}
}

// Each rod may hang from a beam of its own that falls steeply, and meets neither of them: the rods of 10 at y 800 and 1200 end under the middle of what is
// over them, where a beam that falls 1 in 3 is 5/3 lower at the rod's side.
func TestRodsOfTwoBeams(t *testing.T) {
	for _, names := range [][2]string{{"B1", "B2"}, {"B2", "B1"}} {
		res := asked(t, map[string]string{
			"bays.csv":    "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,9000,4600,2200\n",
			"tray.csv":    "id,kind,x1,y1,x2,y2,size,level,hanger\nT,tray,0,1000,1200,1000,300x60,2900,FL\n",
			"hangers.csv": "hanger,part,height,side,width,rods,from\nFL,channel 41,41,under,,2,beam flange\nFL,nut M10,8,under,,,\n",
			"steel.csv":   fmt.Sprintf("id,kind,x1,y1,x2,y2,size,level,fall\n%s,beam,0,800,1200,800,60x300,3900,1 in 3\n%s,beam,0,1200,1200,1200,60x300,3900,1 in 3\n", names[0], names[1]),
		}, clash.Options{Touch: 1})
		got := ""
		for _, f := range res.Findings {
			if f.Support != nil {
				got += fmt.Sprintf("%s/%s %s ", f.A, name(f.B), f.Note)
			}
		}
		if got != "" {
			t.Errorf("%v: came %q, want nothing", names, got)
		}
	}
}

// What one row of a run names in joins is looked at with that row alone: Q comes to the end of M2, 300 over it, and is of another run. Where M1 names
// it, M2 has nothing to do with it; where M2 does, there is no riser between them.
func TestNamedByOneRowOfARun(t *testing.T) {
	for _, test := range []struct {
		m1, m2 string // what they join
		told   bool
	}{{"", "", false}, {"Q", "", false}, {"", "Q", true}, {"Q", "Q", true}} {
		got := jointsOf(t, map[string]string{
			"bays.csv": "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,12000,12000,3900,none\n",
			"ductwork.csv": "id,kind,x1,y1,x2,y2,size,level,run,joins\nM1,duct,1000,2000,5000,2000,200x200,3000,R," + test.m1 + "\n" +
				"M2,duct,5500,2000,9000,2000,200x200,3000,R," + test.m2 + "\nQ,duct,5500,2000,5500,6000,200x200,3300,S,\n",
		})
		if told := strings.Contains(got, "level jump, no riser M2/Q 300"); told != test.told || strings.Contains(got, "M2/Q") != test.told {
			t.Errorf("M1 joins %q, M2 %q: came %q, of M2 and Q %t", test.m1, test.m2, got, test.told)
		}
	}
}

// Two ducts of 200 x 200 in one place, with 25 between ducts: 225 up and 225 to the side. Of two moves as long the upright one is told first; 201 high, up is 226 and the side comes first.
func TestOfTwoMovesAsLongUpIsFirst(t *testing.T) {
	for _, test := range []struct{ size, want string }{{"200x200", "up 225"}, {"200x201", "left 225"}, {"201x200", "up 225"}} {
		res := asked(t, map[string]string{
			"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,9000,3900,none\n",
			"ductwork.csv": "id,service,kind,x1,y1,x2,y2,size,level,run\nD,supply air,duct,500,4000,5500,4000," + test.size + ",3000,D\nE,extract air,duct,500,4000,5500,4000," + test.size + ",3000,E\n",
		}, clash.Options{Touch: 1})
		got := ""
		for _, f := range res.Findings {
			got += fmt.Sprintf("%s %g", f.Moves[0].Direction, f.Moves[0].By)
		}
		if got != test.want {
			t.Errorf("%s: %q, want %q", test.size, got, test.want)
		}
	}
}
