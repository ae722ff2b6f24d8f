package clash_test

import (
	"context"
	"fmt"
	"strings"
	"testing"
	"testing/fstest"

	"voidline/clash"
	"voidline/clash/finding"
	"voidline/io/table"
)

// movesFor returns the moves of the finding between two zones, and the finding.
func movesFor(t *testing.T, a, b string, files map[string]string) (string, *finding.Finding) {
	t.Helper()
	fs := fstest.MapFS{}
	for k, v := range files {
		fs[k] = &fstest.MapFile{Data: []byte(v)}
	}
	p, err := table.Open(context.Background(), "p", table.Options{FS: fs})
	if err != nil {
		t.Fatal(err)
	}
	res, err := clash.Open(p, clash.Options{Touch: 1, Proved: true}).Findings(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	for i := range res.Findings {
		f := &res.Findings[i]
		if f.B == nil || !(f.A == a && *f.B == b || f.A == b && *f.B == a) {
			continue
		}
		s := ""
		for _, m := range f.Moves {
			how := ""
			if m.Clear == nil {
				how = " not proved"
			} else if !*m.Clear {
				how = fmt.Sprintf(" meets %s %g", m.Meets.With, m.Meets.By)
			}
			s += fmt.Sprintf("%s %s %g (%g %g %g)%s %s%s; ", m.Zone, m.Direction, m.By, m.DX, m.DY, m.DZ, m.Takes, m.Wants, how)
		}
		return s, f
	}
	t.Fatalf("no finding between %s and %s: %+v", a, b, res.Findings)
	return "", nil
}

// A light of 600 x 600 stands with its east side at 3300, in a column that begins at 3050: 250 to the west and it is clear. In a ceiling of tiles it
// goes by whole tiles, a small one as far as it must: 250 wide, its east side at 3125, 75.
func TestWhatTakesATileMovesByTiles(t *testing.T) {
	for _, test := range []struct {
		name, holds, size, buildups, want, keeps string
		over                                     bool // it lies over two bays, of which the first has no tiles
	}{
		{name: "by tiles of the second of its bays", size: "600x600x100", buildups: "build-up,layer,thickness\nT,tile,19\n", want: "L left 600 (0 600 0) ; ", over: true},
		{name: "no tiles", size: "600x600x100", want: "L sideways 250 (-250 0 0) ; "},
		{name: "held", holds: "place", size: "600x600x100", keeps: "both"},
		{name: "by tiles", size: "600x600x100", buildups: "build-up,layer,thickness\nT,tile,19\n", want: "L left 600 (0 600 0) ; "},
		{name: "a small one", size: "250x250x100", buildups: "build-up,layer,thickness\nT,tile,19\n", want: "L sideways 75 (-75 0 0) ; "},
		{name: "by tiles of 300", size: "600x600x100", buildups: "build-up,layer,thickness,module\nT,tile,19,300\n", want: "L sideways 300 (-300 0 0) ; "},
		{name: "by planks that say their module", size: "600x600x100", buildups: "build-up,layer,thickness,module\nT,plank,19,280\n", want: "L sideways 280 (-280 0 0) ; "},
	} {
		files := map[string]string{
			"bays.csv":  "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,6000,6000,3600,2500\n",
			"steel.csv": "id,kind,x1,y1,size,level\nC,column,3200,3000,300x300,0..3600\n",
			"l.csv":     "id,trade,kind,x1,y1,size,level,holds\nL,lighting,light fitting,3000,3000," + test.size + ",2500," + test.holds + "\n",
		}
		if test.buildups != "" {
			files["bays.csv"] = "bay,x1,y1,x2,y2,soffit,ceiling,build-up\nA,0,0,6000,6000,3600,2500,T\n"
			files["buildups.csv"] = test.buildups
		}
		if test.over {
			files["bays.csv"] = "bay,x1,y1,x2,y2,soffit,ceiling,build-up\nA,0,0,2900,6000,3600,2500,\nB,2900,0,6000,6000,3600,2500,T\n"
		}
		got, f := movesFor(t, "L", "C", files)
		if got != test.want || f.Holds != test.keeps {
			t.Errorf("%s: %s, keeps %q; want %s, %q", test.name, got, f.Holds, test.want, test.keeps)
		}
	}
}

// A held duct comes down into what is set into the ceiling, so that has to move: a speaker, and a light only where it is let go. Where the duct is
// not held it moves. Of a light and a speaker in one place the speaker moves, small or large.
func TestWhatIsLaidOutStays(t *testing.T) {
	for _, test := range []struct{ kind, holds, duct, want string }{
		{"speaker", "", "level", "S sideways 200 (200 0 0) ; "},
		{"light fitting", "", "level", "D "},
		{"light fitting", "none", "level", "S sideways 200 (200 0 0) ; "},
	} {
		// The duct is 600 wide about x = 3000; the thing reaches from 3100 on. Square to itself the duct meets a beam on each side.
		got, _ := movesFor(t, "S", "D", map[string]string{
			"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,6000,6000,3000,2500\n",
			"ductwork.csv": "id,x1,y1,x2,y2,size,level,holds\nD,3000,0,3000,6000,600x300,2560," + test.duct + "\n",
			"steel.csv":    "id,kind,x1,y1,x2,y2,size,level\nW,beam,1350,0,1350,6000,2700x450,2550\nE,beam,4650,0,4650,6000,2700x300,2700\n",
			"gaps.csv":     "of,to,gap\nany,any,0\n",
			"s.csv":        "id,trade,kind,x1,y1,size,level,holds\nS,lighting," + test.kind + ",3200,3000,200x200x100,2500," + test.holds + "\n",
		})
		if !strings.HasPrefix(got, test.want) || strings.Contains(got, "S ") != strings.HasPrefix(test.want, "S ") {
			t.Errorf("%s, holds %q: %s, want %s", test.kind, test.holds, got, test.want)
		}
	}
	for _, size := range []string{"200x200x100", "800x800x100"} {
		got, f := movesFor(t, "S", "L", map[string]string{
			"bays.csv": "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,6000,6000,3000,2500\n",
			"s.csv": "id,trade,kind,x1,y1,size,level\nS,fire alarm,speaker,3000,3000," + size + ",2500\n" +
				"L,lighting,light fitting,3000,3000,600x600x100,2500\n",
		})
		if f.GivesWay != "S" {
			t.Errorf("%s gives way: %s", f.GivesWay, got)
		}
	}
}

// A box of 400 x 400 stands 50 deep in steel to its east. 30 to its west is a post from y = 2900
// northwards: 50 west alone is 20 deep in it, past it are 700 west. 50 west and 300 south it is past both: 304.1, the root of 92,500.
func TestItemComesOutOfACorner(t *testing.T) {
	got, _ := movesFor(t, "J", "E", map[string]string{
		"bays.csv": "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,6000,6000,3600,2500\n",
		"w.csv": "id,trade,kind,x1,y1,x2,y2,size,level\nE,steel,column,3250,3000,,,200x6000,0..3600\n" +
			"W,steel,column,2635,4450,,,270x3100,0..3600\n",
		"j.csv":    "id,trade,kind,x1,y1,size,level,holds,reach\nJ,electrical,unit,3000,3000,400x400x200,2900,level,no\n",
		"gaps.csv": "of,to,gap\nany,any,0\n",
	})
	if want := "J sideways 304.2 (-50 -300 0) ; "; got != want {
		t.Errorf("%s, want %s", got, want)
	}
}

// The like turned by 3 in 4, with a drum of 400 across. Along u = (0.8, 0.6) it stands 50 deep in a wall; a second one, from v = -100 on along
// v = (-0.6, 0.8), has its face at u = -210. 50 back along u leaves 160 to the corner of the second; the drum of 200 is past it where v is
// 120 beyond, the third side of 120, 160, 200: at -220. -50 u - 220 v is (-40 + 132, -30 - 176). Gone square to the building it is further.
func TestItemComesOutOfATurnedCorner(t *testing.T) {
	got, _ := movesFor(t, "J", "E", map[string]string{
		"bays.csv": "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,6000,6000,3600,2500\n",
		"w.csv": "id,trade,kind,x1,y1,x2,y2,size,level\nE,steel,column,4400,1550,2000,4750,200,0..3600\n" +
			"W,steel,column,2784,2713,1524,4393,270,0..3600\n",
		"j.csv":    "id,trade,kind,x1,y1,size,level,holds,reach\nJ,electrical,unit,3000,3000,ø400x200,2900,level,no\n",
		"gaps.csv": "of,to,gap\nany,any,0\n",
	})
	if want := "J sideways 225.7 (92 -206 0) ; "; got != want {
		t.Errorf("%s, want %s", got, want)
	}
}

// Three lengths of a pipe, the ends of the run held; the middle one is in a duct. It goes up or down alone, with a set at each of its ends: a wet
// pipe then wants a vent or a drain; air none.
func TestSetsWantAVentOrADrain(t *testing.T) {
	for _, test := range []struct{ service, level, want string }{
		{"LTHW", "3180", "P2 up 70 (0 0 70)sets vent; "},
		{"LTHW", "3060", "P2 down 110 (0 0 -110)sets drain; "},
		{"compressed air", "3180", "P2 up 70 (0 0 70)sets ; "},
	} {
		got, _ := movesFor(t, "P2", "D", map[string]string{
			"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,6000,4000,2300\n",
			"ductwork.csv": "id,x1,y1,x2,y2,size,level,holds\nD,4500,0,4500,6000,400x200,CL 3100,both\n",
			"gaps.csv":     "of,to,gap\nany,duct,0\n",
			"p.csv": "id,trade,kind,service,run,x1,y1,x2,y2,size,level,holds\nP1,pipework,pipe," + test.service + ",R,1000,3000,3000,3000,ø100,CL " + test.level + ",both\n" +
				"P2,pipework,pipe," + test.service + ",R,3000,3000,6000,3000,ø100,CL " + test.level + ",\n" +
				"P3,pipework,pipe," + test.service + ",R,6000,3000,8000,3000,ø100,CL " + test.level + ",both\n",
		})
		if len(got) < len(test.want) || got[:len(test.want)] != test.want {
			t.Errorf("%s at %s: %s, want %s", test.service, test.level, got, test.want)
		}
	}
}

// A beam fills the void, with an opening of 240 in its web from 2880 to 3120. A pipe of 100 goes through it 90 too high or too low for the 25 all
// round that an opening asks: it moves into the opening, by no more than that.
func TestMoveIntoAnOpening(t *testing.T) {
	for _, test := range []struct{ level, want string }{
		{"3135", "P down 90 (0 0 -90) ; "},
		{"2865", "P up 90 (0 0 90) ; "},
	} {
		got, _ := movesFor(t, "P", "B", map[string]string{
			"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,6000,3400,2600\n",
			"steel.csv":    "id,kind,x1,y1,x2,y2,size,level\nB,beam,4500,0,4500,6000,200x700,2700\n",
			"openings.csv": "in,at,size,level,margin\nB,3000,240x240,2880,25\n",
			"pipework.csv": "id,x1,y1,x2,y2,size,level\nP,1000,3000,8000,3000,ø100,CL " + test.level + "\n",
		})
		if got != test.want {
			t.Errorf("at %s: %s, want %s", test.level, got, test.want)
		}
	}
}

// The middle of three lengths must go up by 220, over a duct, or down by 380. The set up at 3000 lies on the length before, from 2780 on, or on the
// middle one, up to 3220: a thing in the way of the first alone leaves the second, one in the way of each bars it, and it goes down. So it does where
// the length before is 200 and the other way is barred.
func TestSetsGetThrough(t *testing.T) {
	const before, after = "B,2890,2000,2890,4000,60x40,CL 3290,both\n", "C,3110,2000,3110,4000,60x40,CL 3290,both\n"
	for _, test := range []struct{ name, start, things, want string }{
		{"nothing in the way", "1000", "", "P2 up 220 (0 0 220)sets vent; "},
		{"on the length before", "1000", before, "P2 up 220 (0 0 220)sets vent; "},
		{"on the middle one", "1000", after, "P2 up 220 (0 0 220)sets vent; "},
		{"on both", "1000", before + after, "P2 down 380 (0 0 -380)sets drain; "},
		{"the length before is too short", "2800", after, "P2 down 380 (0 0 -380)sets drain; "},
		{"it is just long enough", "2780", after, "P2 up 220 (0 0 220)sets vent; "},
	} {
		got, _ := movesFor(t, "P2", "D", map[string]string{
			"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,6000,4000,2300\n",
			"ductwork.csv": "id,x1,y1,x2,y2,size,level,holds\nD,4500,0,4500,6000,400x500,CL 3100,both\n" + test.things,
			"gaps.csv":     "of,to,gap\nany,any,0\n",
			"p.csv": "id,trade,kind,service,run,x1,y1,x2,y2,size,level,holds\nP1,pipework,pipe,LTHW,R," + test.start + ",3000,3000,3000,ø100,CL 3180,both\n" +
				"P2,pipework,pipe,LTHW,R,3000,3000,6000,3000,ø100,CL 3180,\n" +
				"P3,pipework,pipe,LTHW,R,6000,3000,8000,3000,ø100,CL 3180,both\n",
		})
		if len(got) < len(test.want) || got[:len(test.want)] != test.want {
			t.Errorf("%s: %s, want %s", test.name, got, test.want)
		}
	}
}

// A duct of 400 wide joins one that is held, 700 from a terminal unit in line: a set at that joint wants 3 x 400 = 1200 straight, so 500 are
// lacking. With the unit 1300 away nothing is.
// The unit is drawn 20 beside the axis: it is in line all the same.
func TestSetsKeepDuctsStraight(t *testing.T) {
	for _, test := range []struct {
		unit, size, want string
	}{
		{"8700", "400x300", "D2 up 50 (0 0 50)sets  meets V 500; "},
		{"9300", "400x300", "D2 up 50 (0 0 50)sets ; "},
		{"8700", "ø400", "D2 up 100 (0 0 100)sets  meets V 500; "},
		{"9300", "ø400", "D2 up 100 (0 0 100)sets ; "},
	} {
		got, _ := movesFor(t, "D2", "P", map[string]string{
			"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,12000,6000,4000,2300\n",
			"pipework.csv": "id,x1,y1,x2,y2,size,level,holds\nP,4500,0,4500,6000,ø100,CL 3000,both\n",
			"gaps.csv":     "of,to,gap\nany,any,0\n",
			"d.csv": "id,trade,kind,service,run,x1,y1,x2,y2,size,level,holds,reach\nD1,ductwork,duct,supply,R,1000,3000,3000,3000," + test.size + ",CL 3150,both,\n" +
				"D2,ductwork,duct,supply,R,3000,3000,8000,3000," + test.size + ",CL 3150,,\n" +
				"D3,ductwork,duct,supply,R,8000,3000," + test.unit + ",3000," + test.size + ",CL 3150,both,\n" +
				"V,ductwork,terminal unit,supply,R," + test.unit + ",3020,9900,3020," + test.size + ",CL 3150,both,no\n",
		})
		if got != test.want {
			t.Errorf("unit at %s, %s: %s, want %s", test.unit, test.size, got, test.want)
		}
	}
}

// A beam fills the void from 50 over the ceiling to the soffit, and so does one on each side of the pipe: nothing is clear, and what was tried
// is told.
func TestWhatWasTriedIsTold(t *testing.T) {
	got, f := movesFor(t, "P", "B", map[string]string{
		"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,6000,6000,3000,2500\n",
		"steel.csv":    "id,kind,x1,y1,x2,y2,size,level\nB,beam,3000,0,3000,6000,200x450,2550\nS,beam,0,1400,6000,1400,3000x450,2550\nN,beam,0,4600,6000,4600,3000x450,2550\n",
		"pipework.csv": "id,x1,y1,x2,y2,size,level\nP,0,3000,6000,3000,ø100,CL 2700\n",
	})
	if len(f.Tried) == 0 {
		t.Fatalf("nothing told of what was tried: %s", got)
	}
	for _, m := range f.Tried {
		if m.Clear != nil && *m.Clear || m.By > 0 && m.Meets == nil {
			t.Errorf("tried in vain, it says, but %+v", m)
		}
	}
}
