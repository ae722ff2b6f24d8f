package clash_test

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"

	"voidline/clash"
	"voidline/clash/finding"
	"voidline/clash/rules"
	"voidline/clash/support"
	"voidline/clash/tolerance"
	"voidline/void/cell"
)

// Each of these tests fails on one small fault that once went through all others.

// A pair of which only heights are known is told in the bay that it is in, though that is not the first: to the filter, which
// asks before the finding is worded, as in words.
func TestByHeightInSecondBay(t *testing.T) {
	p := openText(t, map[string]string{
		"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,6000,6000,3600,none\nB,6000,0,12000,6000,3600,none\nC,12000,0,18000,6000,3600,none\n",
		"ductwork.csv": "id,kind,bay,size,level\nD,duct,B,600x300,3000\n",
		"tray.csv":     "id,kind,x1,y1,x2,y2,size,level\nT,tray,7000,3000,11000,3000,300x60,3100\n",
	})
	for bay, want := range map[string]int{"A": 0, "B": 1, "C": 0} {
		res, err := clash.Open(p, clash.Options{Touch: 1, Rules: []rules.Rule{}, Bays: []string{bay}}).Findings(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		if len(res.Findings) != want || want > 0 && (*res.Findings[0].Bay != "B" || !res.Findings[0].ByHeight) {
			t.Errorf("bay %s: %d findings, want %d", bay, len(res.Findings), want)
		}
	}
}

// A duct that serves two diffusers set into a ceiling of tiles need not leave the room to lift a tile, as long as it serves
// one. Asked again after each edit the answer is that of a check opened anew.
func TestServesTheOtherStill(t *testing.T) {
	p := openText(t, map[string]string{
		"bays.csv":      "bay,x1,y1,x2,y2,soffit,ceiling,build-up\nA,0,0,12000,6000,3600,2700,tiles\n",
		"buildups.csv":  "build-up,layer,thickness,lifts out\ntiles,tile,20,yes\n",
		"ductwork.csv":  "id,service,kind,x1,y1,x2,y2,size,level,run\nD,supply air,duct,1000,3000,9000,3000,300x200,2770,SA\n",
		"diffusers.csv": "id,trade,service,kind,x1,y1,size,level,joins\nF1,ductwork,supply air,diffuser,2000,3000,300x300x80,ceiling,D\nF2,ductwork,supply air,diffuser,8000,3000,300x300x80,ceiling,D\n",
	})
	if len(p.Problems) > 0 {
		t.Fatal(p.Problems)
	}
	opt := clash.Options{Touch: 1}
	check := clash.Open(p, opt)
	ask := func(c *clash.Check) string {
		res, err := c.Findings(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		var out []string
		for _, f := range res.Findings {
			out = append(out, fmt.Sprintf("%s %s/%s %s %g", f.Kind, f.A, *f.B, f.Rule, f.Short))
		}
		slices.Sort(out)
		return strings.Join(out, "; ")
	}
	// 50 over the tiles at 2720, 100 asked.
	const lift = "tight ceiling A/D tile lift-out 50"
	for _, e := range []struct {
		id, y string
		want  string
	}{{"", "", ""}, {"F1", "500", ""}, {"F2", "500", lift}, {"F1", "3000", ""}, {"F2", "3000", ""}, {"F2", "500", ""}, {"F1", "500", lift}} {
		if e.id != "" {
			ch, pr := p.Edit(e.id, "y1", e.y)
			if pr != nil {
				t.Fatal(pr)
			}
			check.Changed(ch)
		}
		if got, fresh := ask(check), ask(clash.Open(p, opt)); got != e.want || fresh != e.want {
			t.Errorf("%s at y %s: %q, anew %q, want %q", e.id, e.y, got, fresh, e.want)
		}
	}
}

// jointsOf writes the joints of an answer in a few words.
func jointsOf(t *testing.T, files map[string]string) string {
	t.Helper()
	p := openText(t, files)
	if len(p.Problems) > 0 {
		t.Fatal(p.Problems)
	}
	res, err := clash.Open(p, clash.Options{Touch: 1}).Findings(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, j := range res.Joints {
		got = append(got, fmt.Sprintf("%s %s/%s %g", j.Kind, j.A, j.B, j.By))
	}
	return strings.Join(got, "; ")
}

// An item between two lengths, its faces 200 from either end: what joins names may be 300 away, what is of the run 150.
func TestItemBetweenEnds(t *testing.T) {
	const (
		bay  = "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,12000,12000,3900,none\n"
		head = "id,trade,kind,x1,y1,x2,y2,size,level,run,joins,reach\n"
		item = "V,ductwork,volume control damper,5250,2000,,,100x400x250,3000,"
	)
	row := func(id, x1, x2, joins string) string {
		return id + ",ductwork,duct," + x1 + ",2000," + x2 + ",2000,400x250,3000,R," + joins + ",\n"
	}
	for _, test := range []struct{ name, rows, want string }{
		{"of the run", row("M1", "1000", "5000", "") + row("M2", "5500", "9000", "") + item + "R,,no\n", "ends apart M1/M2 500"},
		{"named by one of them, of no run", row("M1", "1000", "5000", "V") + row("M2", "5500", "9000", "") + item + ",,no\n", ""},
		{"of no run and not named", row("M1", "1000", "5000", "") + row("M2", "5500", "9000", "") + item + ",,no\n", "ends apart M1/M2 500"},
	} {
		if got := jointsOf(t, map[string]string{"bays.csv": bay, "rows.csv": head + test.rows}); got != test.want {
			t.Errorf("%s: came %q, want %q", test.name, got, test.want)
		}
	}
}

// A tray with something along either side at its height: it is enough to be clear of one of the two, so that the shorter bars it.
func TestShorterOfTwoSidesBars(t *testing.T) {
	for _, test := range []struct{ left, right, want string }{
		{"500,3300,8500,3300", "3000,2700,5000,2700", "R"},
		{"3000,3300,5000,3300", "500,2700,8500,2700", "L"},
	} {
		p := openText(t, map[string]string{
			"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,6000,3900,none\n",
			"tray.csv":     "id,kind,x1,y1,x2,y2,size,level\nT,tray,1000,3000,8000,3000,400x60,3000\n",
			"pipework.csv": "id,x1,y1,x2,y2,size,level\nL," + test.left + ",ø100,2980\nR," + test.right + ",ø100,2980\n",
		})
		if len(p.Problems) > 0 {
			t.Fatal(p.Problems)
		}
		i, _ := p.ZoneByID("T")
		got := ""
		for _, b := range clash.Open(p, clash.Options{}).Bars(i, p.Zone(i).Bare()) {
			if b.Side == cell.OneSide {
				got += b.By
			}
		}
		if got != test.want {
			t.Errorf("left %s, right %s: barred by %q, want %q", test.left, test.right, got, test.want)
		}
	}
}

// What lies over the hatch itself, in its shaft, bars the arm as anything else does: the plate at 2600 leaves 110 over the
// boards, where an arm wants 150, and one reaches 900.
func TestBarredInTheShaft(t *testing.T) {
	for _, test := range []struct{ plate, want string }{
		{"", ""},
		{"id,x1,y1,x2,y2,size,level\nX,4000,5000,6000,5000,2000x100,2600\n", "X"},
	} {
		files := map[string]string{
			"bays.csv":       "bay,x1,y1,x2,y2,soffit,ceiling,build-up\nA,0,0,10000,10000,3800,2400,boards\n",
			"buildups.csv":   "build-up,layer,thickness,lifts out\nboards,b,90,no\n",
			"mechanical.csv": "id,kind,x1,y1,size,level,reach\nD,volume control damper,5000,5000,200x200x300,2900,yes\nE,fan coil,1000,9000,200x200x200,2900,no\n",
			"access.csv":     "for,kind,x,y,size\nE,hatch,5000,5000,600x600\n",
		}
		if test.plate != "" {
			files["ductwork.csv"] = test.plate
		}
		p := openText(t, files)
		if len(p.Problems) > 0 {
			t.Fatal(p.Problems)
		}
		res, err := clash.Open(p, clash.Options{Touch: 1}).Findings(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		got := ""
		for _, f := range res.Findings {
			if f.Hatch != nil {
				got += strings.Join(f.Hatch.Between, ", ")
			}
		}
		if got != test.want {
			t.Errorf("with %q: between is %q, want %q", test.plate, got, test.want)
		}
	}
}

// The way of an item's move is told from its middle: the unit stands over grid 2 and goes away from it.
func TestItemMovesFromItsMiddle(t *testing.T) {
	p := openText(t, map[string]string{
		"grid.csv":       "axis,label,position\nx,1,0\nx,2,5000\nx,3,9000\ny,A,0\ny,B,9000\n",
		"bays.csv":       "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,9000,3600,none\n",
		"steel.csv":      "id,x1,y1,x2,y2,size,level\nB,5800,1000,5800,8000,400x300,3000\n",
		"mechanical.csv": "id,kind,x1,y1,size,level,reach\nF,fan coil,4900,3000,2000x500x300,3000,no\n",
	})
	if len(p.Problems) > 0 {
		t.Fatal(p.Problems)
	}
	res, err := clash.Open(p, clash.Options{Touch: 1, Rules: []rules.Rule{}}).Findings(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	// The beam's side is at 5600, the unit's end in it at 5900; it happens east of grid 2, and the unit's middle is west of it.
	got := ""
	if len(res.Findings) == 1 {
		for _, m := range res.Findings[0].Moves {
			if m.Zone == "F" && m.DX != 0 {
				got = m.Way()
			}
		}
	}
	if got != "300 towards grid 1" {
		t.Errorf("came %q, want 300 towards grid 1", got)
	}
}

// What hung and is removed is not counted among what hangs.
func TestRemovedHangsNoMore(t *testing.T) {
	p := openText(t, map[string]string{
		"bays.csv": "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,9000,3600,2500\n",
		"tray.csv": "id,kind,x1,y1,x2,y2,size,level,hanger\nT1,tray,1000,3000,8000,3000,300x60,3000,channel 41 M10\nT2,tray,1000,5000,8000,5000,300x60,3000,channel 41 M10\n",
	})
	if len(p.Problems) > 0 {
		t.Fatal(p.Problems)
	}
	check := clash.Open(p, clash.Options{Touch: 1, Supports: support.Options{Off: true}})
	notes := func() string {
		res, err := check.Findings(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		for _, n := range res.Unchecked {
			if strings.HasPrefix(n.Text, "what hangs under") {
				return n.Text[:len("what hangs under 2")]
			}
		}
		return ""
	}
	if got := notes(); got != "what hangs under 2" {
		t.Errorf("%q, want 2", got)
	}
	ch, problem := p.Remove("T2")
	if problem != nil {
		t.Fatal(problem)
	}
	check.Changed(ch)
	if got := notes(); got != "what hangs under 1" {
		t.Errorf("after one is removed: %q, want 1", got)
	}
}

// asked reads a project and asks the check of it once.
func asked(t *testing.T, files map[string]string, opt clash.Options) *finding.Result {
	t.Helper()
	p := openText(t, files)
	if len(p.Problems) > 0 {
		t.Fatal(p.Problems)
	}
	res, err := clash.Open(p, opt).Findings(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	return res
}

// Two changes before one asking: of each it is looked again which access spaces it came into or left.
func TestTwoChangesOneInASpace(t *testing.T) {
	p := openText(t, map[string]string{
		"bays.csv":       "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,9000,3600,none\n",
		"mechanical.csv": "id,kind,x1,y1,size,level,reach\nF,fan coil,3000,3000,800x600x300,3000,no\n",
		"access.csv":     "for,kind,side,depth\nF,working space,east,500\n",
		"pipework.csv":   "id,x1,y1,size,level\nP1,8000,8000,ø100,FFL+0..FFL+3500\nP2,3650,8000,ø100,FFL+0..FFL+3500\n",
	})
	if len(p.Problems) > 0 {
		t.Fatal(p.Problems)
	}
	check := clash.Open(p, clash.Options{Touch: 1})
	// The unit ends at x 3400, its room at 3900, the pipe begins at 3600: 200 of 500.
	for _, step := range []struct{ y1, y2, want string }{{"8000", "8000", ""}, {"7500", "3000", "access F/P2 300"}, {"8000", "8000", ""}} {
		for id, y := range map[string]string{"P1": step.y1, "P2": step.y2} {
			ch, problem := p.Edit(id, "y1", y)
			if problem != nil {
				t.Fatal(problem)
			}
			check.Changed(ch)
		}
		res, err := check.Findings(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		got := ""
		for _, f := range res.Findings {
			if f.Kind == finding.Access {
				got += fmt.Sprintf("access %s/%s %g", f.A, *f.B, f.Short)
			}
		}
		if got != step.want {
			t.Errorf("P1 at y %s, P2 at y %s: came %q, want %q", step.y1, step.y2, got, step.want)
		}
	}
}

// Two bays that change before one asking: of each it is looked again which access spaces it bounds. The room under the unit goes
// from 3000 to 2500; the boards come to 2650.
func TestTwoBaysChangeOneUnderASpace(t *testing.T) {
	p := openText(t, map[string]string{
		"bays.csv":       "bay,x1,y1,x2,y2,soffit,ceiling,build-up\nA,0,0,6000,6000,3600,2400,b\nB,6000,0,12000,6000,3600,2400,b\n",
		"buildups.csv":   "build-up,layer,thickness,lifts out\nb,board,50,no\n",
		"mechanical.csv": "id,kind,x1,y1,size,level,reach\nF,fan coil,3000,3000,800x600x300,3000,no\nG,fan coil,9000,3000,800x600x300,3000,no\n",
		"access.csv":     "for,kind,side,depth\nF,working space,below,500\nG,working space,below,500\n",
	})
	if len(p.Problems) > 0 {
		t.Fatal(p.Problems)
	}
	check := clash.Open(p, clash.Options{Touch: 1})
	for _, test := range []struct{ a, b, want string }{
		{"2400", "2400", ""},
		{"2410", "2600", "G/ceiling B 150"},
		{"2600", "2410", "F/ceiling A 150"},
		{"2410", "2600", "G/ceiling B 150"},
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
			got = append(got, fmt.Sprintf("%s/%s %g", f.A, *f.B, f.Short))
		}
		if got := strings.Join(got, "; "); got != test.want {
			t.Errorf("ceilings %s and %s: came %q, want %q", test.a, test.b, got, test.want)
		}
	}
}

// A drop at the line of two bays is told in each: in one it ends in the face of what it serves, through the lower ceiling of the
// other it passes.
func TestDropOverTwoBays(t *testing.T) {
	for _, test := range []struct{ a, b, x, diffuser, want string }{
		{"2700", "2760", "5990", "5850", "ceiling B"},
		{"2760", "2700", "6010", "6150", "ceiling A"},
	} {
		res := asked(t, map[string]string{
			"bays.csv":      "bay,x1,y1,x2,y2,soffit,ceiling,build-up\nA,0,0,6000,6000,3600," + test.a + ",b\nB,6000,0,12000,6000,3600," + test.b + ",b\n",
			"buildups.csv":  "build-up,layer,thickness,lifts out\nb,board,50,no\n",
			"ductwork.csv":  "id,service,kind,x1,y1,size,level,run\nV,supply air,duct," + test.x + ",3000,ø100,FFL+2730..FFL+3300,S\n",
			"diffusers.csv": "id,trade,service,kind,x1,y1,size,level,joins,reach\nF,ductwork,supply air,diffuser," + test.diffuser + ",3000,300x300x80,2700,V,no\n",
		}, clash.Options{Touch: 1})
		if len(res.Through) != 1 || res.Through[0].Zone != "V" || strings.Join(res.Through[0].Ceilings, "; ") != test.want {
			t.Errorf("told through ceilings %+v, want V through %s (excused %v)", res.Through, test.want, res.Excused)
		}
		if len(res.Findings) > 0 { // it passes the one ceiling and ends over the other at what it serves
			t.Errorf("found %+v", res.Findings[0])
		}
	}
}

// What may not fit, asked but once as the command does; bays, spans and soffits each by themselves. Worked out by hand: a
// service counts 10, the ceiling 5, a slab 15, the beam and the tray here 10 and 5.
func TestDoubtsOfEach(t *testing.T) {
	const (
		bay    = "bay,x1,y1,x2,y2,soffit,ceiling,build-up\nA,0,0,9000,9000,3600,2700,b\n"
		board  = "build-up,layer,thickness,lifts out\nb,board,50,no\n"
		gaps   = "of,to,side,gap\nany,ceiling,below,0\n"
		beam   = "id,kind,x1,y1,x2,y2,size,level,tolerance\nB,beam,0,4500,9000,4500,200x400,%s,10\n"
		basket = "id,kind,x1,y1,x2,y2,size,level,tolerance\n"
		column = "id,trade,kind,x1,y1,size,level\nC,steel,column,3000,4500,100x100,FFL..FFL+%s\n"
	)
	for _, test := range []struct {
		name  string
		files map[string]string
		want  string
	}{
		{"a column at 3000 makes spans of 3 and 6 m; under both, tight to the beam, 6000 / 360 counts: 20 - 10 - 5 - 5 - 16.7", map[string]string{
			"steel.csv": fmt.Sprintf(beam, "2830"), "columns.csv": fmt.Sprintf(column, "2830"),
			"tray.csv": basket + "T,basket,500,4500,8500,4500,150x60,2770,5\n",
		}, "T/ceiling A 20 -16.7 -8.9 0 B 16.7"},
		{"crossing under the middle of the second on rods: it goes with the beam, 10 below it", map[string]string{
			"steel.csv": fmt.Sprintf(beam, "2840"), "columns.csv": fmt.Sprintf(column, "2840"),
			"tray.csv": basket + "T,basket,6000,500,6000,8500,150x60,2770,5\n",
		}, "T/ceiling A 20 -6.7 -3.7 0 B 16.7; B/T 10 -5 -1.2 0"},
		{"10 over a beam of the same spans as the one it hangs from: both come down together, 10 - 5 - 10", map[string]string{
			"steel.csv":   "id,kind,x1,y1,x2,y2,size,level,tolerance\nU,beam,0,4500,9000,4500,200x200,3400,10\nL,beam,0,4500,9000,4500,200x200,2800,10\n",
			"columns.csv": fmt.Sprintf(column, "2800") + "K,steel,column,3000,4500,100x100,FFL+3000..FFL+3400\n",
			"tray.csv":    basket + "T,basket,6000,500,6000,8500,150x60,3010,5\n",
		}, "T/L 10 -5 -1.2 0 U 0"},
		{"tight under the soffit of A, which goes with it, and 20 under that of B: 20 - 15 - 15 - 10", map[string]string{
			"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,4500,9000,3600,none\nB,4500,0,9000,9000,3620,none\n",
			"ductwork.csv": "id,x1,y1,x2,y2,size,level,run\nD,500,4500,8500,4500,300x200,3400,1\n",
		}, "soffit B/D 20 -20 -3.5 0"},
	} {
		files := map[string]string{"bays.csv": bay, "buildups.csv": board, "gaps.csv": gaps}
		for k, v := range test.files {
			files[k] = v
		}
		res := asked(t, files, clash.Options{Touch: 1, Tolerance: tolerance.WorstCase, Deflection: 360, Once: true})
		if got := strings.Join(doubted(res), "; "); got != test.want {
			t.Errorf("%s: may not fit: %s, want %s", test.name, got, test.want)
		}
	}
}

// Of a bay whose tiles cannot be lifted out one finding is told, which says of how many it is the lowest: 100 are needed, the
// tiles end at 2750.
func TestLowestOfHowMany(t *testing.T) {
	for _, test := range []struct{ e, want string }{
		{"2840", "ceiling A/D 20: the lowest of 2 that leave too little to lift a tile in this bay"},
		{"2850", "ceiling A/D 20: "},
	} {
		res := asked(t, map[string]string{
			"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling,build-up\nA,0,0,9000,9000,3600,2700,b\n",
			"buildups.csv": "build-up,layer,thickness,lifts out\nb,tile,50,yes\n",
			"ductwork.csv": "id,x1,y1,x2,y2,size,level,run\nD,500,4500,8500,4500,300x200,2830,1\nE,500,6500,8500,6500,300x200," + test.e + ",2\n",
		}, clash.Options{Touch: 1})
		got := ""
		for _, f := range res.Findings {
			got += fmt.Sprintf("%s/%s %g: %s", f.A, *f.B, f.Short, f.Note)
		}
		if got != test.want {
			t.Errorf("the other at %s: came %q, want %q", test.e, got, test.want)
		}
	}
}

// An answer says what narrows it, a single kind too.
func TestFilterOfOneKind(t *testing.T) {
	files := map[string]string{
		"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,9000,3600,none\n",
		"ductwork.csv": "id,x1,y1,x2,y2,size,level\nD,1000,3000,8000,3000,400x300,3000\n",
	}
	for _, test := range []struct {
		opt  clash.Options
		want string
	}{
		{clash.Options{}, ""},
		{clash.Options{Only: []finding.Kind{finding.Tight}}, "only tight"},
		{clash.Options{Bays: []string{"A"}, Trades: []string{"ductwork"}, Only: []finding.Kind{finding.Tight, finding.Access}}, "bay A; trade ductwork; only tight, access"},
	} {
		if got := asked(t, files, test.opt).Filter; got != test.want {
			t.Errorf("%+v: %q, want %q", test.opt, got, test.want)
		}
	}
}

// The distance of a finding between a zone and a ceiling or a soffit goes to that level, whichever of the two is told first.
func TestDistanceToCeilingAndSoffit(t *testing.T) {
	p := openText(t, map[string]string{
		"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling,build-up\nA,0,0,9000,9000,3600,2700,b\n",
		"buildups.csv": "build-up,layer,thickness,lifts out\nb,board,50,no\n",
		"ductwork.csv": "id,x1,y1,x2,y2,size,level,run\nD,500,4500,8500,4500,300x200,2740,1\nE,500,6500,8500,6500,300x200,3430,2\n",
	})
	check := clash.Open(p, clash.Options{Touch: 1})
	res, err := check.Findings(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for k := range res.Findings {
		f := &res.Findings[k]
		if d, ok := check.Between(f); ok {
			got = append(got, fmt.Sprintf("%s/%s %.0f to %.0f, %.0f", f.A, *f.B, d.From.Z, d.To.Z, d.MM))
		}
	}
	slices.Sort(got)
	// D begins 10 under the boards' top at 2750; E ends 30 over the soffit.
	if got, want := strings.Join(got, "; "), "D/ceiling A 2750 to 2740, 10; E/soffit A 3630 to 3600, 30"; got != want {
		t.Errorf("came %q, want %q", got, want)
	}
}

// The room kept free to reach a row is no bar to its own supports, and to those of another it is: the channel, 55.9 high, hangs
// under the tray at 2900, and the room goes from 2900 down.
func TestOwnSpaceOfSupports(t *testing.T) {
	const tray = "id,kind,x1,y1,x2,y2,size,level,hanger,run\nT,tray,0,1000,6000,1000,300x60,2900,channel 41 M10,R\n"
	for _, test := range []struct{ access, want string }{
		{"for,kind,side,depth\nT,working space,below,500\n", ""},
		{"for,kind,side,depth\nU,working space,east,500\n", "access T/U 50 up 30 aside 79.5 of 500"},
	} {
		got := strings.Join(supportFindings(t, map[string]string{
			"bays.csv": "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,10000,10000,3600,2200\n", "tray.csv": tray, "access.csv": test.access,
			// Its end at x 2900, its room to 3400 and from y 1200, where the channel of the support at 3000 ends at 1230.
			"mechanical.csv": "id,kind,x1,y1,size,level,reach\nU,fan coil,2600,1350,600x300x250,2850,no\n",
		}, clash.Options{Touch: 1}), "; ")
		if got, _, _ = strings.Cut(got, " T gives way"); got != test.want {
			t.Errorf("%q: came %q, want %q", test.access, got, test.want)
		}
	}
}

// Of three supports that meet one duct one can be moved clear within its 150: the duct goes from x 1490 to 4400, the rods of 10
// stand at 1650, which would have to get before 1485, at 3000, and at 4350, which goes to 4405.
func TestOneOfThreeSupportsCanMove(t *testing.T) {
	res := asked(t, map[string]string{
		"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,10000,10000,3600,2200\n",
		"tray.csv":     "id,kind,x1,y1,x2,y2,size,level,hanger,run\nT,tray,0,1000,6000,1000,300x60,2900,channel 41 M10,R\n",
		"ductwork.csv": "id,x1,y1,x2,y2,size,level,run\nD,1490,1300,4400,1300,250x250,3200,S\n",
	}, clash.Options{Touch: 1})
	got := ""
	for _, f := range res.Findings {
		if h := f.Support; h != nil {
			got += fmt.Sprintf("%d of %d, %d can", h.Count, h.Of, h.Can)
		}
	}
	if got != "3 of 5, 1 can" {
		t.Errorf("came %q, want 3 of 5, 1 can", got)
	}
}

// An upright duct that ends in a wide one of its run is cut off at its top, not at its sides: 1200 are more than the 300 and a
// half that a meeting takes.
func TestWideRiserEndsInItsRun(t *testing.T) {
	res := asked(t, map[string]string{
		"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,9000,3600,none\n",
		"ductwork.csv": "id,x1,y1,x2,y2,size,level,run\nR,4000,3000,,,1200x800,FFL+0..FFL+3100,S\nD,2000,3000,6000,3000,1400x400,3000,S\n",
	}, clash.Options{Touch: 1})
	if got := strings.Join(told(res), "; "); got != "" {
		t.Errorf("came %q, want nothing", got)
	}
}

// More sorts of things than a table of all pairs holds (512): 600 trays of as many circuits each are asked about all the same.
func TestMoreSortsThanATableHolds(t *testing.T) {
	var rows strings.Builder
	rows.WriteString("id,service,kind,x1,y1,x2,y2,size,level,circuits,class\n")
	for k := 1; k <= 600; k++ {
		fmt.Fprintf(&rows, "P%d,power,tray,1000,%d,6000,%d,100x60,3000,%d,\n", k, 1000*k, 1000*k, k)
	}
	rows.WriteString("D,data,tray,1000,20210,6000,20210,300x60,3000,,c\n")
	res := asked(t, map[string]string{
		"bays.csv": "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,8000,610000,3600,none\n", "tray.csv": rows.String(),
	}, clash.Options{Touch: 1, Firm: true})
	// P20 ends at y 20050, D begins at 20060: 10 where 20 circuits and class c want 50 (see TestShortRowsOfOneRun).
	if got, want := strings.Join(told(res), "; "), "tight P20/D 40 "; !strings.HasPrefix(got, want) || len(res.Findings) != 1 {
		t.Errorf("came %q, want %q", got, want)
	}
}

// The room in which a unit is worked on bars the rows of others from its heights, and what falls bars each height only where it
// is at it.
func TestBarsOfASpaceAndOfWhatFalls(t *testing.T) {
	p := openText(t, map[string]string{
		"bays.csv":       "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,9000,3900,none\n",
		"mechanical.csv": "id,kind,x1,y1,size,level,reach\nF,fan coil,3000,3000,800x600x300,3000,no\n",
		"access.csv":     "for,kind,side,depth\nF,working space,east,500\n",
		"pipework.csv":   "id,x1,y1,x2,y2,size,level\nP,3650,500,3650,8500,ø50,2600\nQ,1000,7000,7000,7000,ø50,2600\n",
		"drainage.csv":   "id,x1,y1,x2,y2,size,level,fall\nG,1500,7000,6500,7000,ø100,3500,1 in 10\n",
	})
	if len(p.Problems) > 0 {
		t.Fatal(p.Problems)
	}
	check := clash.Open(p, clash.Options{Rules: []rules.Rule{}})
	i, _ := p.ZoneByID("P")
	var got []string
	for _, b := range check.Bars(i, p.Zone(i).Bare()) {
		if b.By == "F" {
			got = append(got, fmt.Sprintf("%s from %.0f to %.0f, %.0f to %.0f up", b.Rule, b.From, b.To, b.Lo, b.Hi))
		}
	}
	// The pipe's top is at 2650, its underside at 2600; the room goes from 3000 to 3300, and from y 2700 to 3300.
	if got, want := strings.Join(got, "; "), "working space of F from 2200 to 2800, 350 to 700 up"; got != want {
		t.Errorf("barred by %q, want %q", got, want)
	}
	// G falls by 500 over 5 m: where it begins it is at 3500, and no row is barred there from going 500 lower.
	i, _ = p.ZoneByID("Q")
	at := func(x, up float64) bool {
		for _, b := range check.Bars(i, p.Zone(i).Bare()) {
			if b.By == "G" && b.From < x && x < b.To && b.Lo < up && up < b.Hi {
				return true
			}
		}
		return false
	}
	if !at(600, 925) || at(600, 475) || at(5400, 925) || !at(5400, 475) {
		t.Errorf("barred at the high end %v and %v, at the low end %v and %v; want true, false, false, true", at(600, 925), at(600, 475), at(5400, 925), at(5400, 475))
	}
}

// A row that is given another run is looked at with that one, and no more with the one that it had.
func TestJointsAfterAnotherRun(t *testing.T) {
	p := openText(t, map[string]string{
		"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,12000,12000,3900,none\n",
		"ductwork.csv": "id,x1,y1,x2,y2,size,level,run\nM1,1000,2000,5000,2000,400x250,3000,R\nM2,5000,2000,9000,2000,400x250,3400,R\nM3,9000,2000,9000,8000,400x250,3000,Q\n",
	})
	if len(p.Problems) > 0 {
		t.Fatal(p.Problems)
	}
	check := clash.Open(p, clash.Options{Touch: 1})
	for _, test := range []struct{ run, want string }{
		{"R", "M1/M2 400"}, {"Q", "M2/M3 400"}, {"R", "M1/M2 400"}, {"S", ""}, {"R", "M1/M2 400"},
	} {
		ch, problem := p.Edit("M2", "run", test.run)
		if problem != nil {
			t.Fatal(problem)
		}
		check.Changed(ch)
		res, err := check.Findings(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, j := range res.Joints {
			got = append(got, fmt.Sprintf("%s/%s %g", j.A, j.B, j.By))
		}
		if got := strings.Join(got, "; "); got != test.want {
			t.Errorf("run %s: came %q, want %q", test.run, got, test.want)
		}
	}
}

// Two things without a length in a bay are shown across it: a corridor is never shown along.
func TestPlaneAcrossACorridor(t *testing.T) {
	for _, test := range []struct{ x2, y2, want string }{{"9000", "3000", "x"}, {"3000", "9000", "y"}} {
		p := openText(t, map[string]string{
			"bays.csv":       "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0," + test.x2 + "," + test.y2 + ",3600,none\n",
			"mechanical.csv": "id,kind,x1,y1,size,level,reach\nF,fan coil,1500,1500,800x800x300,3000,no\nG,fan coil,1700,1700,800x800x300,3000,no\n",
		})
		check := clash.Open(p, clash.Options{Touch: 1})
		res, err := check.Findings(context.Background())
		if err != nil || len(res.Findings) != 1 {
			t.Fatal(err, res.Findings)
		}
		_, plane, ok := check.PlaneThrough(&res.Findings[0])
		got := "x" // the plane x = …, which goes north
		if plane.Dir.X != 0 {
			got = "y"
		}
		if !ok || got != test.want {
			t.Errorf("%s by %s: the plane of one %s, want one %s", test.x2, test.y2, got, test.want)
		}
	}
}

// Ends that look at each other need not be in one line: 200 apart and 100 aside are 223.6.
func TestEndsAsideLookAtEachOther(t *testing.T) {
	for _, test := range []struct{ y, want string }{{"2100", "ends apart M1/M2 223.6"}, {"2310", ""}} {
		if got := jointsOf(t, map[string]string{
			"bays.csv": "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,12000,12000,3900,none\n",
			"tray.csv": "id,kind,x1,y1,x2,y2,size,level,run\nM1,tray,1000,2000,5000,2000,300x50,3000,R\nM2,tray,5200," + test.y + ",9000," + test.y + ",300x50,3000,R\n",
		}); got != test.want {
			t.Errorf("y %s: came %q, want %q", test.y, got, test.want)
		}
	}
}

// A hole is 25 larger all round than the duct of 200 at 3000; it goes from 2975 to 3225, and says how far that is beyond the wall.
func TestHoleBeyondTheWall(t *testing.T) {
	for _, test := range []struct{ level, want string }{
		{"FFL+0..FFL+3210", "the hole is 15 above the head of the wall"},
		{"FFL+2980..soffit", "the hole is 5 below the foot of the wall"},
		{"FFL+0..soffit", ""},
	} {
		res := asked(t, map[string]string{
			"bays.csv":       "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,9000,3600,none\n",
			"partitions.csv": "id,x1,y1,x2,y2,size,level\nW,0,2000,9000,2000,100," + test.level + "\n",
			"ductwork.csv":   "id,x1,y1,x2,y2,size,level,run\nD,3000,500,3000,5000,300x200,3000,S\n",
		}, clash.Options{Touch: 1})
		if len(res.BuildersWork) != 1 || res.BuildersWork[0].Note != test.want {
			t.Errorf("%s: came %+v, want one hole that says %q", test.level, res.BuildersWork, test.want)
		}
	}
}

// What is kept free for something of the row's own run bars it not, and a way through an opening of a beam is open.
func TestBarsOfItsOwnRunAndOfAnOpening(t *testing.T) {
	p := openText(t, map[string]string{
		"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,9000,3900,none\n",
		"ductwork.csv": "id,kind,x1,y1,x2,y2,size,level,run,reach\nP,duct,3650,500,3650,8500,100x100,2600,R,\nV,volume control damper,3000,3000,,,800x600x300,2600,R,no\n",
		"access.csv":   "for,kind,side,depth\nV,working space,east,500\n",
		"steel.csv":    "id,kind,x1,y1,x2,y2,size,level\nB,beam,0,6000,9000,6000,200x400,3000\n",
		"openings.csv": "in,at,size,level\nB,3650,300x200,3100\n",
	})
	if len(p.Problems) > 0 {
		t.Fatal(p.Problems)
	}
	i, _ := p.ZoneByID("P")
	got := ""
	for _, b := range clash.Open(p, clash.Options{Rules: []rules.Rule{}}).Bars(i, p.Zone(i).Bare()) {
		if b.Zone < 0 {
			continue // the soffit
		}
		got += fmt.Sprintf("%s %.0f to %.0f", b.By, b.Lo, b.Hi)
		for _, o := range b.Open {
			got += fmt.Sprintf(" but %.0f to %.0f", o.Lo, o.Hi)
		}
	}
	// The duct goes from 2600 to 2700; the beam from 3000 to 3400, its opening from 3100 to 3300.
	if want := "B 300 to 800 but 500 to 600"; got != want {
		t.Errorf("barred %q, want %q", got, want)
	}
}

// A riser in an opening made for it that is too small is told by both names: (130 - 100) / 2 = 15 of 25.
func TestRiserInATightOpening(t *testing.T) {
	res := asked(t, map[string]string{
		"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,9000,3600,none\n",
		"openings.csv": "in,x,y,size\nsoffit A,4000,3000,130x130\n",
		"pipework.csv": "id,x1,y1,size,level\nP,4000,3000,ø100,FFL+0..FFL+4000\n",
	}, clash.Options{Touch: 1})
	if got := strings.Join(told(res), "; "); got != "tight P/soffit A 10" {
		t.Errorf("came %q, want tight P/soffit A 10", got)
	}
}

// Two of which only heights are known and that are joined may stand anywhere to each other: the duct ends at 3200, the pipe begins
// at 3226, 25 are asked and either may be 10 off.
func TestNoDoubtByHeightOfWhatIsJoined(t *testing.T) {
	for _, test := range []struct{ joins, want string }{{"", "P/D 26 6 11.9 25"}, {"D", ""}} {
		res := asked(t, map[string]string{
			"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,9000,3900,none\n",
			"ductwork.csv": "id,kind,bay,size,level\nD,duct,A,300x200,3000\n",
			"pipework.csv": "id,kind,bay,size,level,joins\nP,pipe,A,ø60,3226," + test.joins + "\n",
		}, clash.Options{Touch: 1, Tolerance: tolerance.WorstCase})
		if got := strings.Join(doubted(res), "; "); got != test.want {
			t.Errorf("joins %q: may not fit %q, want %q", test.joins, got, test.want)
		}
	}
}

// A riser that misses the opening made in a soffit is told so, with the move that brings it in: the opening goes from x 3800 to
// 4200, the pipe of 100 to 4230, and 25 are asked all round.
func TestRiserMissesItsOpening(t *testing.T) {
	res := asked(t, map[string]string{
		"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,9000,3600,none\n",
		"openings.csv": "in,x,y,size\nsoffit A,4000,3000,400x400\n",
		"pipework.csv": "id,x1,y1,size,level\nP,4180,3000,ø100,FFL+0..FFL+4000\n",
	}, clash.Options{Touch: 1})
	got := ""
	for _, f := range res.Findings {
		got += fmt.Sprintf("%s/%s %s;", f.A, *f.B, f.Note)
		for _, m := range f.Moves {
			got += fmt.Sprintf(" %g %g", m.DX, m.DY)
		}
	}
	if want := "P/soffit A misses the opening of openings.csv:2; -55 0"; got != want {
		t.Errorf("came %q, want %q", got, want)
	}
}
