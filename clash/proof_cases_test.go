package clash_test

import (
	"context"
	"slices"
	"testing"

	"voidline/clash"
	"voidline/clash/finding"
)

// A move that bars the way of an arm is not clear. The void is 2490 to 3720; the damper's hatch is east of it, and between the two
// runs a duct of 2700 to 3700. Over that are 20, under it 210. A pipe that stays lies 55 deep in the duct's
// top and asks for 25 more: 80 down the duct leaves 130 under it and 100 over it, and an arm needs 150. Where the pipe is only 25 deep 160 are left; and of a damper that need not be
// reached nothing is asked.
func TestMoveThatBarsTheReachIsNotClear(t *testing.T) {
	for _, test := range []struct {
		name, reach, level string
		by                 float64
		meets              string
	}{
		{"80 down leaves 130", "yes", "3645", 80, "D"},
		{"50 down leaves 160", "yes", "3675", 50, ""},
		{"nobody reaches for it", "no", "3645", 80, ""},
	} {
		p := openText(t, map[string]string{
			"bays.csv":       "bay,x1,y1,x2,y2,soffit,ceiling,build-up\nA,0,0,10000,10000,3720,2400,boards\n",
			"buildups.csv":   "build-up,layer,thickness,lifts out\nboards,b,90,no\n",
			"mechanical.csv": "id,kind,x1,y1,size,level,reach\nD,volume control damper,5000,5000,200x200x300,2900," + test.reach + "\nE,fan coil,1000,9000,200x200x200,2900,no\n",
			"access.csv":     "for,kind,x,y,size\nE,hatch,5560,5000,450x600\n",
			"ductwork.csv":   "id,x1,y1,x2,y2,size,level\nX,5250,1000,5250,9000,150x1000,2700\n",
			"pipework.csv":   "id,x1,y1,x2,y2,size,level,holds\nQ,4000,8000,6500,8000,ø50," + test.level + ",both\n",
		})
		if len(p.Problems) > 0 {
			t.Fatal(p.Problems)
		}
		res, err := clash.Open(p, clash.Options{Touch: 1, Proved: true}).Findings(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		k := slices.IndexFunc(res.Findings, func(f finding.Finding) bool { return f.A == "Q" && *f.B == "X" && len(f.Moves) > 0 })
		if k < 0 {
			t.Fatalf("%s: %+v", test.name, res.Findings)
		}
		m := res.Findings[k].Moves[0]
		met := ""
		if m.Meets != nil {
			met = m.Meets.With
		}
		if m.Zone != "X" || m.DZ != -test.by || m.Clear == nil || *m.Clear != (test.meets == "") || met != test.meets {
			t.Errorf("%s: %+v meets %q, want X down %g to meet %q", test.name, m, met, test.by, test.meets)
		}
	}
}

// A run is shifted whole only where every row of it may move: none holds its level or its place, none is set into a ceiling. Two rows
// of a pipe, end to end; the first lies 40 deep in a duct that stays.
func TestRunMovesWholeOnlyWhereEachRowMay(t *testing.T) {
	for _, test := range []struct {
		name, holds, recessed string
		whole                 bool
	}{
		{"nothing is held", "", "", true},
		{"the other row holds its level", "level", "", false},
		{"the other row holds its place", "place", "", false},
		{"the other row holds both", "both", "", false},
		{"the other row is set into the ceiling", "", "yes", false},
	} {
		p := openText(t, map[string]string{
			"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,10000,10000,3800,2400\n",
			"pipework.csv": "id,x1,y1,x2,y2,size,level,run,holds,recessed\nP1,1000,3000,5000,3000,ø100,3000,R,,\nP2,5000,3000,9000,3000,ø100,3000,R," + test.holds + "," + test.recessed + "\n",
			"ductwork.csv": "id,x1,y1,x2,y2,size,level,holds\nD,2000,1000,2000,5000,300x200,3060,both\n",
		})
		if len(p.Problems) > 0 {
			t.Fatal(p.Problems)
		}
		res, err := clash.Open(p, clash.Options{Touch: 1, Proved: true}).Findings(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		moves, whole := 0, false
		for _, f := range res.Findings {
			for _, m := range f.Moves {
				moves++
				whole = whole || m.Takes == finding.TakesRun
			}
		}
		if moves == 0 || whole != test.whole {
			t.Errorf("%s: %d moves, the run whole %v, want %v", test.name, moves, whole, test.whole)
		}
	}
}
