package void_test

import (
	"context"
	"errors"
	"math"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"

	"voidline/io/table"
	"voidline/void"
	"voidline/void/cell"
)

// building is two bays side by side on two storeys, the second with a lower ceiling.
var building = map[string]string{
	"levels.csv":   "storey,ffl,ssl,datum\nGround,0,-75,1000\nFirst,4200,4050,1200\n",
	"grid.csv":     "axis,label,position\nx,A,0\nx,B,6000\nx,C,12000\ny,1,0\ny,2,8000\n",
	"buildups.csv": "build-up,layer,thickness,lifts out\nboards,board,12.5,no\nboards,board,12.5,no\nboards,top-hat,25,no\ntiles,tile,20,\ntiles,grid,38,\n",
	"bays.csv": "bay,storey,x1,y1,x2,y2,soffit,ceiling,build-up\n" +
		"G1,Ground,A,grid 1,B,grid 2,3600,2700,boards\n" +
		"G2,Ground,B,grid 1,C,grid 2,SSL+3675,FFL+2600,tiles\n" +
		"F1,First,A,grid 1,B,grid 2,FFL+3600,soffit-900,tiles\n" +
		"F2,First,B,grid 1,C,grid 2,FFL+3600,none,\n",
	"steel.csv": "id,storey,x1,y1,x2,y2,size,level,face\n" +
		"B1,Ground,A,grid 2-4000,C,grid 2-4000,UB 457x191x67,soffit,top\n",
}

func build(t testing.TB, header, row string, more map[string]string) *void.Project {
	t.Helper()
	fsys := fstest.MapFS{}
	for name, text := range building {
		fsys[name] = &fstest.MapFile{Data: []byte(text)}
	}
	for name, text := range more {
		fsys[name] = &fstest.MapFile{Data: []byte(text)}
	}
	if header != "" {
		fsys["zones.csv"] = &fstest.MapFile{Data: []byte("id,trade," + header + "\nZ,pipework," + row + "\n")}
	}
	p, err := table.Open(context.Background(), "p", table.Options{FS: fsys})
	if bad := (void.Problems{}); err != nil && !errors.As(err, &bad) {
		t.Fatal(err)
	}
	return p
}

// Every reference of a level, each written as the sum that gives it.
func TestLevels(t *testing.T) {
	const h = 453.4 // UB 457x191x67, EN 10365 (see void/catalogue)
	for _, test := range []struct {
		name, header, row string
		lo, hi            float64 // of the bare body, above the project datum
	}{
		{"plain number", "storey,x1,y1,x2,y2,size,level", "Ground,500,1000,5500,1000,300x60,2800", 2800, 2800 + 60},
		{"FFL of an upper storey", "storey,x1,y1,x2,y2,size,level", "First,500,1000,5500,1000,300x60,FFL+2800", 4200 + 2800, 4200 + 2860},
		{"SSL", "storey,x1,y1,x2,y2,size,level", "First,500,1000,5500,1000,300x60,SSL+2800", 4050 + 2800, 4050 + 2860},
		{"datum line", "storey,x1,y1,x2,y2,size,level", "First,500,1000,5500,1000,300x60,datum+1650", 4200 + 1200 + 1650, 4200 + 1200 + 1650 + 60},
		{"project datum", "storey,x1,y1,x2,y2,size,level", "First,500,1000,5500,1000,300x60,project+7250", 7250, 7310},
		{"finished face", "storey,x1,y1,x2,y2,size,level", "Ground,500,1000,5500,1000,300x60,ceiling+80", 2700 + 80, 2700 + 140},
		{"top of the build-up", "storey,x1,y1,x2,y2,size,level", "Ground,500,1000,5500,1000,300x60,build-up+20", 2700 + 12.5 + 12.5 + 25 + 20, 2700 + 50 + 20 + 60},
		{"ceiling from the soffit", "storey,x1,y1,x2,y2,size,level", "First,500,1000,5500,1000,300x60,ceiling+0", 4200 + 3600 - 900, 4200 + 3600 - 900 + 60},
		{"soffit from SSL, to the top", "storey,x1,y1,x2,y2,size,level,face", "Ground,6500,1000,11500,1000,300x60,soffit-40,top", -75 + 3675 - 40 - 60, -75 + 3675 - 40},
		{"steel", "storey,x1,y1,x2,y2,size,level,face", "Ground,2000,3000,2000,5000,300x60,steel-100,top", 3600 - h - 100 - 60, 3600 - h - 100},
		{"centre", "storey,x1,y1,x2,y2,size,level,face", "Ground,500,1000,5500,1000,ø100,2900,centre", 2900 - 50, 2900 + 50},
		{"face in the level", "storey,x1,y1,x2,y2,size,level", "Ground,500,1000,5500,1000,ø100,CL 2900", 2900 - 50, 2900 + 50},
		{"metres", "storey,x1,y1,x2,y2,size,level", "Ground,500,1000,5500,1000,300x60,2.8 m", 2800, 2860},
		{"metres by column", "storey,x1,y1,x2,y2,size,level_m", "Ground,500,1000,5500,1000,300x60,2.8", 2800, 2860},
		{"range", "storey,x1,y1,size,level", "Ground,500,1000,ø100,FFL+2400..soffit", 2400, 3600},
		{"item", "storey,x1,y1,size,level", "Ground,500,1000,600x600x100,ceiling+0", 2700, 2800},
		{"by height", "storey,bay,size,level", "Ground,G1,300x60,build-up+20", 2770, 2830},
		{"DN by the default standard", "storey,x1,y1,x2,y2,size,level", "Ground,500,1000,5500,1000,DN150,2800", 2800, 2800 + 168.3},
		{"DN by its own", "storey,x1,y1,x2,y2,size,level", "Ground,500,1000,5500,1000,DN150 EN 10255,2800", 2800, 2800 + 165.1},
		// 12 m at 1 in 80 falls 150: worked example 10 (Approved Document H gradient, arithmetic); here 5 m fall 62.5.
		{"fall", "storey,x1,y1,x2,y2,size,level,fall", "Ground,500,1000,5500,1000,100x50,3000,1 in 80", 3000 - 5000.0/80, 3050},
	} {
		t.Run(test.name, func(t *testing.T) {
			p := build(t, test.header, test.row, nil)
			if len(p.Problems) > 0 {
				t.Fatal(p.Problems)
			}
			i, ok := p.ZoneByID("Z")
			if !ok {
				t.Fatal("no zone Z")
			}
			got := p.Zone(i).Bare().Height()
			if math.Abs(got.Lo-test.lo) > 1e-9 || math.Abs(got.Hi-test.hi) > 1e-9 {
				t.Errorf("levels %v, want [%v, %v]", got, test.lo, test.hi)
			}
		})
	}
}

// What cannot be told is told as a problem with its reason, never guessed.
func TestLevelsRefused(t *testing.T) {
	for _, test := range []struct{ header, row, want string }{
		{"storey,x1,y1,x2,y2,size,level", "Ground,500,1000,11500,1000,300x60,ceiling+80", `ceiling differs by 100.0 between bay "G1" and bay "G2"`},
		{"storey,x1,y1,x2,y2,size,level", "Ground,500,1000,11500,1000,300x60,build-up+80", `build-up differs by 92.0 between bay "G1" and bay "G2"`},
		{"storey,x1,y1,x2,y2,size,level", "Ground,20000,1000,25000,1000,300x60,ceiling+80", "no bay holds this row"},
		{"storey,x1,y1,x2,y2,size,level", "First,6500,1000,11500,1000,300x60,ceiling+80", `bay "F2" has no ceiling`},
		{"storey,x1,y1,x2,y2,size,level", "First,500,1000,5500,1000,300x60,steel-80", "no beam lies over this row"},
		{"x1,y1,x2,y2,size,level", "500,1000,5500,1000,300x60,2800", "more than one storey"},
		{"storey,x1,y1,size,level", "Ground,500,1000,ø100,soffit..FFL+2400", "ends 1200.0 below its start"},
		{"storey,x1,y1,x2,y2,size,level,fall", "Ground,500,1000,,,600x600x100,2800,1 in 80", "a fall needs a length"},
	} {
		p := build(t, test.header, test.row, nil)
		if len(p.Problems) != 1 || !strings.Contains(p.Problems[0].String(), test.want) {
			t.Errorf("%s: problems %v, want one with %q", test.row, p.Problems, test.want)
		}
		if p.RowsMissing != 1 {
			t.Errorf("%s: %d rows missing, want 1", test.row, p.RowsMissing)
		}
		if _, there := p.ZoneByID("Z"); there {
			t.Errorf("%s: the zone is in the answer all the same", test.row)
		}
	}
}

// The soffit of both bays is one level although one is written from SSL: -75 + 3675 = 3600. A row across
// both may then hang on it.
func TestSameLevelWrittenTwice(t *testing.T) {
	p := build(t, "storey,x1,y1,x2,y2,size,level,face", "Ground,500,1000,11500,1000,300x60,soffit-40,top", nil)
	if len(p.Problems) > 0 {
		t.Fatal(p.Problems)
	}
	i, _ := p.ZoneByID("Z")
	if got := p.Zone(i).Bays(); len(got) != 2 {
		t.Errorf("the row enters bays %v, want both", got)
	}
}

// Joint and insulation go outside the bare section on every side: the larger counts, or both where
// the insulation is over the joint. Worked example 5 (common practice, no source): a 300 high duct with
// a 30 flange and 40 insulation is 360 bare with its flanges, 380 by the larger, 440 over the flange.
func TestOutside(t *testing.T) {
	for _, test := range []struct {
		joint, insulation string
		high              float64
	}{
		{"", "", 300}, {"30", "", 300 + 2*30}, {"30", "40", 300 + 2*40}, {"30", "40 over joint", 300 + 2*30 + 2*40}, {"50", "40", 300 + 2*50},
	} {
		p := build(t, "storey,x1,y1,x2,y2,size,joint,insulation,level", "Ground,500,1000,5500,1000,500x300,"+test.joint+","+test.insulation+",2800", nil)
		if len(p.Problems) > 0 {
			t.Fatal(p.Problems)
		}
		i, _ := p.ZoneByID("Z")
		f := p.Zone(i).Full()
		if got := f.Height().Length(); math.Abs(got-test.high) > 1e-9 {
			t.Errorf("joint %q, insulation %q: %v high, want %v", test.joint, test.insulation, got, test.high)
		}
		if got, want := f.Plan().X, (r1.Interval{Lo: 500, Hi: 5500}); got != want {
			t.Errorf("joint %q, insulation %q: along %v, want %v: nothing goes on the ends", test.joint, test.insulation, got, want)
		}
	}
}

// What hangs under a service, by the parts table: the trapeze stacks of the reference data on hangers.
func TestHangers(t *testing.T) {
	for _, test := range []struct {
		name  string
		under float64
	}{
		{"channel 41 M10", 41 + 5 + 8.4 + 1.5},
		{"channel 21 M10", 21 + 5 + 8.4 + 1.5},
		{"channel 41 M8", 41 + 5 + 6.8 + 1.25},
		{"channel 41 M10 long tail", 41 + 5 + 8.4 + 25},
		{"channel 21 nut inside", 21},
		{"side bracket", 0},
		{"our own", 30 + 8},
		{"none", 0},
	} {
		p := build(t, "storey,x1,y1,x2,y2,size,level,hanger", "Ground,500,1000,5500,1000,300x60,2900,"+test.name,
			map[string]string{"hangers.csv": "hanger,part,height,side,width\nour own,strut,30,under,400\nour own,nut,8,,\nour own,lid,12,over,\n"})
		if len(p.Problems) > 0 {
			t.Fatal(p.Problems)
		}
		i, _ := p.ZoneByID("Z")
		z := p.Zone(i)
		if got := p.Under(z); math.Abs(got-test.under) > 1e-9 {
			t.Errorf("under %q: %v, want %v", test.name, got, test.under)
		}
		hang, ok := p.Hang(z)
		if ok != (test.under > 0) {
			t.Errorf("%q: something hangs under it: %v", test.name, ok)
		} else if ok {
			h := hang.Height()
			if math.Abs(h.Hi-2900) > 1e-9 || math.Abs(h.Lo-(2900-test.under)) > 1e-9 {
				t.Errorf("%q hangs over levels %v, want [%v, 2900]", test.name, h, 2900-test.under)
			}
		}
	}
}

// Places by grid line, and back in words.
func TestWhere(t *testing.T) {
	p := build(t, "", "", nil)
	for _, test := range []struct {
		x, y string
		at   r2.Point
		say  string
	}{
		{"B+1200", "grid 2-450", r2.Point{X: 7200, Y: 7550}, "B+1200, grid 2-450"},
		{"A", "grid 1", r2.Point{}, "A, grid 1"},
		{"2999.96", "4000.04", r2.Point{X: 2999.96, Y: 4000.04}, "A+3000, grid 2-4000"},
		{"-0.04", "0.04", r2.Point{X: -0.04, Y: 0.04}, "A, grid 1"},
		{"C+100", "9000", r2.Point{X: 12100, Y: 9000}, "C+100, grid 2+1000"},
	} {
		at, what := p.Point(cell.ParsePlace(test.x), cell.ParsePlace(test.y))
		if what != "" || at != test.at {
			t.Errorf("Point(%s, %s) = %v %s, want %v", test.x, test.y, at, what, test.at)
		}
		if got := p.Where(at); got != test.say {
			t.Errorf("Where(%v) = %q, want %q", at, got, test.say)
		}
	}
	if _, what := p.Point(cell.ParsePlace("grid 1"), cell.ParsePlace("0")); !strings.Contains(what, "other axis") {
		t.Errorf("a line of y taken for x says %q", what)
	}
}

// Bays of one name on two storeys are told apart by their storey in every label.
func TestBayLabels(t *testing.T) {
	more := map[string]string{"bays.csv": "bay,storey,x1,y1,x2,y2,soffit,ceiling\nX,First,0,0,1000,1000,3000,2500\nX,Ground,0,0,1000,1000,3000,2500\nY,Ground,2000,0,3000,1000,3000,none\n", "steel.csv": "id,storey,bay,size,level\nB,Ground,X,100x100,2600\n"}
	p := build(t, "", "", more)
	var got []string
	for i := range p.Bays {
		got = append(got, p.Bays[i].CeilingID())
	}
	want := "ceiling X, Ground|ceiling Y|ceiling X, First"
	if s := strings.Join(got, "|"); s != want {
		t.Errorf("ceilings %s, want %s: from the lowest storey up, by name", s, want)
	}
}

// Natural orders as people count.
func TestNatural(t *testing.T) {
	order := []string{"", "A", "A1", "A2", "A10", "A10b", "B", "B01", "B1"}
	for i, a := range order {
		for j, b := range order {
			got := void.Natural(a, b)
			if (got < 0) != (i < j) || (got > 0) != (i > j) {
				t.Errorf("Natural(%q, %q) = %d", a, b, got)
			}
		}
	}
}

// Bays that lie over each other are told, once for the building; neighbours that touch are not.
func TestBaysOverEachOther(t *testing.T) {
	for _, test := range []struct {
		rows string
		want int
	}{
		{"P,Ground,0,0,6000,8000,3600,2700,\nQ,Ground,6000,0,12000,8000,3600,2700,\n", 0},
		{"P,Ground,0,0,6000,8000,3600,2700,\nQ,Ground,5999.5,0,12000,8000,3600,2700,\n", 0},
		{"P,Ground,0,0,6000,8000,3600,2700,\nQ,Ground,5000,0,12000,8000,3600,2700,\nR,Ground,0,0,500,500,3600,2600,\n", 1},
		{"P,Ground,0,0,6000,8000,3600,2700,\nQ,First,0,0,6000,8000,3600,2700,\n", 0},
	} {
		p := build(t, "", "", map[string]string{"bays.csv": "bay,storey,x1,y1,x2,y2,soffit,ceiling,build-up\n" + test.rows})
		if len(p.Problems) > 0 {
			t.Fatal(p.Problems)
		}
		if len(p.Told) != test.want {
			t.Errorf("%q tells %v, want %d notes", test.rows, p.Told, test.want)
		}
	}
}

// A riser from 1000 over the ground floor to 1000 over the second stands in the bays of all three storeys, not in those of the third.
func TestRiserThroughThreeStoreys(t *testing.T) {
	p := build(t, "storey,x1,y1,size,level", "Ground,3000,4000,ø100,FFL+1000..FFL+9400", map[string]string{
		"levels.csv": "storey,ffl,ssl,datum\nGround,0,-75,1000\nFirst,4200,4050,1200\nSecond,8400,8250,\nThird,12600,12450,\n",
		"bays.csv":   building["bays.csv"] + "S1,Second,A,grid 1,B,grid 2,FFL+3600,none,\nT1,Third,A,grid 1,B,grid 2,FFL+3600,none,\n",
	})
	if len(p.Problems) > 0 {
		t.Fatal(p.Problems)
	}
	i, _ := p.ZoneByID("Z")
	var in []string
	for _, j := range p.Zone(i).Bays() {
		in = append(in, p.Bays[j].Label)
	}
	if got := strings.Join(in, " "); got != "G1 F1 S1" {
		t.Errorf("it stands in %q, want G1 F1 S1", got)
	}
}

// The one storey of a building needs no name; one of two does.
func TestOneStoreyNeedsNoName(t *testing.T) {
	for _, test := range []struct {
		levels string
		want   string // the problem
		n      int    // storeys
	}{
		{"storey,ffl\n,4200", "", 1},
		{"storey,ffl\nG,4200", "", 1},
		{"storey,ffl\n,4200\nF,8400", "levels.csv:2: storey: blank; give the name of the storey", 1},
	} {
		p := build(t, "x1,y1,x2,y2,size,level", "500,1000,5500,1000,300x60,2900", map[string]string{"levels.csv": test.levels + "\n"})
		got := ""
		for _, pr := range p.Problems {
			if pr.File == "levels.csv" {
				got += pr.String()
			}
		}
		if got != test.want || len(p.Storeys) != test.n || p.Storeys[0].FFL != map[bool]float64{true: 8400, false: 4200}[test.want != ""] {
			t.Errorf("%q: %q with storeys %+v, want %q", test.levels, got, p.Storeys, test.want)
		}
	}
}
