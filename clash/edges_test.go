package clash_test

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"voidline/clash"
	"voidline/clash/finding"
	"voidline/io/table"
)

// A hole in a soffit is told once where a slab that is drawn lies on it: where its underside is no more than 50 over or under the
// soffit at 3600. The hole is 25 larger all round than the duct of 200 by 100.
func TestOneHoleWhereTheSlabLiesOnTheSoffit(t *testing.T) {
	const slab, soffit = "hole R/S 250x150", "hole R/soffit A 250x150"
	for _, test := range []struct {
		underside float64
		want      string
	}{{3549, slab + "; " + soffit}, {3550, slab}, {3600, slab}, {3650, slab}, {3651, slab + "; " + soffit}} {
		res := asked(t, map[string]string{
			"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,9000,3600,none\n",
			"slabs.csv":    fmt.Sprintf("id,trade,kind,x1,y1,size,level\nS,structure,slab,4000,4000,3000x3000x200,%g\nO,structure,slab,8000,8000,1000x1000x200,3600\n", test.underside),
			"ductwork.csv": "id,x1,y1,size,level\nR,4000,4000,200x100,FFL+0..FFL+4500\n",
		}, clash.Options{Touch: 1})
		if got := strings.Join(told(res), "; "); got != test.want {
			t.Errorf("slab at %g: came %q, want %q", test.underside, got, test.want)
		}
	}
}

// Reach is asked of what has a place and is no structure: of what is known by its bay alone nobody knows from where it would be reached.
func TestWhatIsAskedToBeReached(t *testing.T) {
	for _, test := range []struct{ what, file, row, want string }{
		{"a unit with a place", "mechanical.csv", "id,kind,bay,x1,y1,size,level,reach\nF,fan coil,A,3000,3000,600x600x300,2900,yes\n", "F"},
		{"one that need not be reached", "mechanical.csv", "id,kind,bay,x1,y1,size,level,reach\nF,fan coil,A,3000,3000,600x600x300,2900,no\n", ""},
		{"by its bay alone", "ductwork.csv", "id,kind,bay,size,level,reach\nF,duct,A,600x300,2900,yes\n", ""},
		{"a beam", "steel.csv", "id,kind,x1,y1,x2,y2,size,level,reach\nF,beam,0,3000,6000,3000,200x300,2900,yes\n", ""},
		{"in the room", "mechanical.csv", "id,kind,bay,x1,y1,size,level,reach\nF,fan coil,A,3000,3000,600x600x300,2000,yes\n", ""},
	} {
		res := asked(t, map[string]string{
			"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling,build-up\nA,0,0,6000,6000,3600,2400,boards\n",
			"buildups.csv": "build-up,layer,thickness,lifts out\nboards,b,30,no\n",
			test.file:      test.row,
		}, clash.Options{Touch: 1})
		got := ""
		for _, f := range res.Findings {
			if f.Kind == finding.Access {
				got += f.A
			}
		}
		if got != test.want {
			t.Errorf("%s: to be reached is %q, want %q", test.what, got, test.want)
		}
	}
}

// Of two things one gives way, whichever is asked first.
func TestOneOfTwoGivesWay(t *testing.T) {
	p, err := table.Open(context.Background(), "../testdata/demo", table.Options{})
	if err != nil {
		t.Fatal(err)
	}
	c := clash.Open(p, clash.Options{})
	for a := range p.Zones() {
		for b := range a {
			if x, y := c.GivesWay(a, b), c.GivesWay(b, a); x != y || x != a && x != b {
				t.Fatalf("of %s and %s %s gives way, and the other way round %s", p.Zone(a).ID, p.Zone(b).ID, p.Zone(x).ID, p.Zone(y).ID)
			}
		}
	}
}

// How deep the two of an excuse are in each other: a duct of 400 by 300 of which the one thing belongs to it, or the ceiling is cut for it.
func TestHowDeepTheExcused(t *testing.T) {
	const rows = "id,trade,kind,bay,x1,y1,x2,y2,size,level,joins,recessed,reach\n"
	for _, test := range []struct{ what, rows, want string }{
		// 1000 to 5000 and 4900 to 8000: 100, which is less than 300 and 400.
		{"end to end", "D,ductwork,duct,,1000,2000,5000,2000,400x300,3000,E,,\nE,ductwork,duct,,4900,2000,8000,2000,400x300,3000,,,\n", "D/E 100"},
		// 2860 to 3160 by height, and 3000 to 3300.
		{"by height alone", "D,ductwork,duct,A,,,,,400x300,3000,E,,\nE,ductwork,duct,A,,,,,400x300,2860,,,\n", "D/E 160"},
		{"by height, and with a place", "D,ductwork,duct,,1000,2000,5000,2000,400x300,3000,E,,\nE,ductwork,duct,A,,,,,400x300,2860,,,\n", "D/E 160"},
		// The tiles are from 2700 to 2720; it hangs 10 under them.
		{"set into the ceiling", "L,lighting,light fitting,,3000,2000,,,600x600x100,2690,,yes,no\n", "L/ceiling A 30"},
	} {
		res := asked(t, map[string]string{
			"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling,build-up\nA,0,0,9000,6000,3600,2700,tiles\n",
			"buildups.csv": "build-up,layer,thickness,lifts out\ntiles,tile,20,yes\n",
			"rows.csv":     rows + test.rows,
		}, clash.Options{Touch: 1, Excused: true})
		var got []string
		for _, x := range res.ExcusedPairs {
			got = append(got, fmt.Sprintf("%s/%s %g", x.A, x.B, x.Depth))
		}
		if got := strings.Join(got, "; "); got != test.want {
			t.Errorf("%s: came %q, want %q", test.what, got, test.want)
		}
	}
}

// The 25 that is usual round what passes through an opening is common practice, and is not asked where that is left out; what its row asks is
// asked all the same. A pipe of 100 in a square opening.
func TestRoomInAnOpeningAtItsLimit(t *testing.T) {
	for _, test := range []struct {
		size, margin string
		firm         bool
		want         string
	}{
		{"150x150", "", false, ""},
		{"149x149", "", false, "tight P/soffit A 0.5"},
		{"130x130", "", false, "tight P/soffit A 10"},
		{"150x148", "", false, "tight P/soffit A 1"},
		{"ø150", "", false, ""},
		{"ø148", "", false, "tight P/soffit A 1"},
		{"130x130", "", true, ""},
		{"101x101", "", true, ""},
		{"140x140", "20", false, ""},
		{"138x138", "20", false, "tight P/soffit A 1"},
		{"138x138", "20", true, "tight P/soffit A 1"},
		{"140x140", "20", true, ""},
		{"101x101", "0", false, ""},
	} {
		res := asked(t, map[string]string{
			"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,9000,3600,none\n",
			"openings.csv": "in,x,y,size,margin\nsoffit A,4000,3000," + test.size + "," + test.margin + "\n",
			"pipework.csv": "id,x1,y1,size,level\nP,4000,3000,ø100,FFL+0..FFL+4000\n",
		}, clash.Options{Touch: 1, Firm: test.firm})
		if got := strings.Join(told(res), "; "); got != test.want {
			t.Errorf("%s, margin %q, firm %v: came %q, want %q", test.size, test.margin, test.firm, got, test.want)
		}
	}
}
