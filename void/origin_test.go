package void_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/golang/geo/r2"

	"voidline/void"
	"voidline/void/cell"
)

// surveyed is two bays in survey coordinates, in metres and millimetres, by grid line and by number.
var surveyed = map[string]string{
	"origin.csv":   "x,y\n530120000,180340000\n",
	"levels.csv":   "storey,ffl\nGround,0\nFirst,4200\n",
	"grid.csv":     "axis,label,position_m\nx,A,530123.4567\nx,B,530129.4567\ny,1,180345.1\ny,2,180353.1\n",
	"buildups.csv": "build-up,layer,thickness,lifts out\nboards,board,12.5,no\n",
	"bays.csv": "bay,storey,x1,y1,x2,y2,soffit,ceiling,build-up\n" +
		"G1,Ground,A,grid 1,B,grid 2,3600,2700,boards\n" +
		"G2,Ground,530129456.7,180345100,530135456.7,180353100,3600,2600,boards\n",
	"steel.csv": "id,storey,x1,y1,x2,y2,size,level,face\n" +
		"B1,Ground,530123456.7,180349100,530135456.7,180349100,UB 457x191x67,soffit,top\n",
	"openings.csv": "in,at,x,y,size,level\nB1,6000,,,ø200,\nsoffit G1,,530126456.7,180347100,300x300,\n",
	"access.csv":   "for,kind,x,y\nZ,hatch,530124000,grid 1+1000\n",
}

// What an origin leaves of a coordinate is what one gets on paper, to the last digit: 530123456.7 - 530120000 = 3456.7.
func TestOrigin(t *testing.T) {
	p := build(t, "storey,x1,y1,x2,y2,size,level", "Ground,530124000.1,180346100,A+600,grid 1+1000,600x300,2900", surveyed)
	if len(p.Problems) > 0 {
		t.Fatal(p.Problems)
	}
	if p.GridX[0].Position != 3456.7 || p.GridY[1].Position != 13100 {
		t.Errorf("grid lines at %v, %v, want 3456.7 and 13100", p.GridX[0].Position, p.GridY[1].Position)
	}
	want := map[string]r2.Rect{
		"G1": r2.RectFromPoints(r2.Point{X: 3456.7, Y: 5100}, r2.Point{X: 9456.7, Y: 13100}),
		"G2": r2.RectFromPoints(r2.Point{X: 9456.7, Y: 5100}, r2.Point{X: 15456.7, Y: 13100}),
	}
	for i := range p.Bays {
		if b := &p.Bays[i]; b.Plan != want[b.Name] {
			t.Errorf("bay %s: %v, want %v", b.Name, b.Plan, want[b.Name])
		}
	}
	n, _ := p.ZoneByID("Z")
	b := p.Zone(n).Bare()
	if x := b.Centre.X - math.Abs(b.Along.X); math.Abs(x-4000.1) > 1e-9 {
		t.Errorf("the row begins at x %v, want 4000.1 (530124000.1 - 530120000)", x)
	}
	if o := p.Openings[1].Centre; o.X != 6456.7 || o.Y != 7100 {
		t.Errorf("the hole in the soffit is at %v, want 6456.7, 7100", o)
	}
	if c := p.Spaces[0].Body.Centre; c.X != 4000 || c.Y != 6100 {
		t.Errorf("the hatch is at %v, want 4000, 6100", c)
	}

	// Cells that are written back are as they were.
	r := p.Row(n)
	if r.X1.Text != "530124000.1" || r.Y1.Text != "180346100" || r.X2.Text != "A+600" {
		t.Errorf("written back as %s, %s, %s", r.X1.Text, r.Y1.Text, r.X2.Text)
	}
	if x, y := p.Whole(4000.1, 6100); x != 530124000.1 || y != 180346100 {
		t.Errorf("Whole = %v, %v", x, y)
	}

	// An edit is written as the table is.
	if _, err := p.Edit("Z", "x1", "530125000"); err != nil {
		t.Fatal(err)
	}
	if r := p.Row(n); r.X1.Text != "530125000" || len(p.Problems) > 0 {
		t.Errorf("after the edit %q, %v", r.X1.Text, p.Problems)
	}
	b = p.Zone(n).Bare()
	if lo, hi := b.Plan().X.Lo, b.Plan().X.Hi; lo > 4056.7+1e-9 || hi < 5000 {
		t.Errorf("after the edit it reaches from %v to %v, want 4056.7 to 5000 in it", lo, hi)
	}

	// Numbers that are asked about are as in answers.
	if at, what := p.Point(cell.ParsePlace("4000"), cell.ParsePlace("grid 1")); what != "" || at != (r2.Point{X: 4000, Y: 5100}) {
		t.Errorf("Point(4000, grid 1) = %v %s", at, what)
	}

	// It is told, once.
	told := 0
	for _, w := range p.Warnings {
		if strings.Contains(w.What, "subtracted from every place") {
			told++
			if w.String() != "origin.csv:2: x 530120000 and y 180340000 are subtracted from every place in the tables: places in answers are less that" {
				t.Error(w)
			}
		}
	}
	if told != 1 {
		t.Errorf("told %d times, want once", told)
	}
}

// Without an origin survey coordinates are refused, with the hint to give one, wherever they stand; with one that is far away,
// too.
func TestSurveyWithoutOrigin(t *testing.T) {
	for _, origin := range []string{"", "x,y\n0,0\n"} {
		more := map[string]string{}
		for name, text := range surveyed {
			more[name] = text
		}
		delete(more, "origin.csv")
		if origin != "" {
			more["origin.csv"] = origin
		}
		p := build(t, "", "", more)
		var got []string
		for _, pr := range p.Problems {
			got = append(got, fmt.Sprintf("%s:%d: %s: %s", pr.File, pr.Line, pr.Cell, pr.What))
			if hint := strings.Contains(pr.Hint, "origin.csv with columns x and y"); hint != (origin == "") {
				t.Errorf("%v", pr)
			}
		}
		// What leans on the grid lines that are missing is missing too, and no second problem.
		all := strings.Join(got, "\n")
		for _, want := range []string{`grid.csv:2: position: "530123.4567 m" is more than 10 km`, "grid.csv:5: position: ", `bays.csv:3: x1: "530129456.7" is more than 10 km`, `steel.csv:2: x1: "530123456.7" is more than 10 km`} {
			if !strings.Contains(all, want) {
				t.Errorf("no problem %q in\n%s", want, all)
			}
		}
	}
}

// A row of the origin that cannot be read is the one problem: what is far away leans on it.
func TestOriginMissing(t *testing.T) {
	more := map[string]string{}
	for name, text := range surveyed {
		more[name] = text
	}
	more["origin.csv"] = "x,y\n530120000,north\n"
	p := build(t, "", "", more)
	if len(p.Problems) != 1 || p.Problems[0].File != "origin.csv" {
		t.Errorf("problems %v, want the one of origin.csv", p.Problems)
	}
	for cell, row := range map[string]string{"x": ",180340000\n", "y": "530120000,\n"} {
		more["origin.csv"] = "x,y\n" + row
		p := build(t, "", "", more)
		if len(p.Problems) != 1 || p.Problems[0].File != "origin.csv" || p.Problems[0].Line != 2 || p.Problems[0].Cell != cell || p.Problems[0].What != "blank" {
			t.Errorf("%s blank: problems %v, want the one of it", cell, p.Problems)
		}
	}
	more["origin.csv"] = surveyed["origin.csv"] + "1,1\n"
	delete(more, "access.csv")
	p = build(t, "", "", more)
	if len(p.Problems) != 1 || !strings.Contains(p.Problems[0].What, "second origin") {
		t.Errorf("problems %v, want that of a second origin", p.Problems)
	}
}

// Names are compared without the signs that nobody sees.
func TestInvisibleSigns(t *testing.T) {
	for _, sign := range []string{"\u200b", "\u00ad", "\ufeff", "\u2060", "\u200e", "\u202e", "\ufe0f", "\u3164", "\x07", "\x7f", "\u061c"} {
		p := build(t, "", "", map[string]string{
			"more.csv": "id,trade,storey,x1,y1,x2,y2,size,level\nZ1,pipework,Ground,500,3000,5500,3000,300x60,2800\n" +
				"Z" + sign + "1,pipework,Ground,500,5000,5500,5000,300x60,2800\n",
		})
		if len(p.Problems) != 1 {
			t.Errorf("Z1 and Z%+q1: problems %v", sign, p.Problems)
			continue
		}
		pr := p.Problems[0]
		if !strings.Contains(pr.What, "is already used in") || !strings.Contains(pr.Hint, "signs that nobody sees") || strings.Contains(pr.String(), sign) {
			t.Errorf("Z1 and Z%+q1: %v", sign, pr)
		}
		if n, ok := p.ZoneByID("z" + sign + sign + "1 "); !ok || p.Zone(n).ID == "" {
			t.Errorf("Z%+q1 is not found", sign)
		}
	}
	// Blanks of other widths are blanks; what is seen tells two ids apart.
	for second, same := range map[string]bool{"DU\u00a01": true, "DU\u20031": true, "du 1": true, "DU\u28001": true, "DU1": false, "DU-1": false, "DÜ 1": false} {
		p := build(t, "", "", map[string]string{
			"more.csv": "id,trade,storey,x1,y1,x2,y2,size,level\nDU 1,pipework,Ground,500,3000,5500,3000,300x60,2800\n" +
				second + ",pipework,Ground,500,5000,5500,5000,300x60,2800\n",
		})
		if got := len(p.Problems) > 0; got != same {
			t.Errorf("DU 1 and %+q: problems %v", second, p.Problems)
		}
	}
}

// A ceiling lifts out where its face does, whatever carries the face.
func TestFaceLiftsOut(t *testing.T) {
	for layers, want := range map[string]bool{
		"tile,yes\ngrid,no\n":       true,
		"tile,yes\nboard,no\n":      true,
		"board,no\ntile,yes\n":      false,
		"tile,\ngrid,\nhanger,no\n": true,
		"board,\n":                  false,
	} {
		text := "build-up,layer,thickness,lifts out\n"
		for l := range strings.Lines(layers) {
			layer, lifts, _ := strings.Cut(strings.TrimSpace(l), ",")
			text += "U," + layer + ",20," + lifts + "\n"
		}
		p := build(t, "", "", map[string]string{"buildups.csv": text + "boards,b,1,\ntiles,t,1,\n"})
		if got := p.BuildUps[0].LiftsOut(); got != want {
			t.Errorf("%q: lifts out %v, want %v", layers, got, want)
		}
	}
}

// A bay that would go into 100 x 100 mm was given in metres.
func TestBayInMetres(t *testing.T) {
	for _, test := range []struct{ row, hint string }{
		{"0,0,10,10", "end the headings x1, y1, x2 and y2 in _m"},
		{"0,0,99,99", "end the headings"},
		{"0,0,0.099 m,7.2", "end the headings"},
		{"0,0,100,10", ""}, // a strip
		{"0,0,10,4000", ""},
		{"a,grid a,b,grid b", "end the heading position in grid.csv in _m"},
		{"0,0,6000,6000,3600,2700\nG2,Ground,6000,0,6010,14", ""},   // a sliver beside a bay
		{"0,0,6000,6000,3600,2700\nG2,Ground,6,0,12,6", "6 x 6 mm"}, // one of two in metres
		{"0,0,6000,6000,3600,2700\nG2,First,6000,0,6010,14", "10 x 14 mm"},
	} {
		p := build(t, "", "", map[string]string{
			"grid.csv":  "axis,label,position\nx,a,0\nx,b,7.2\ny,a,0\ny,b,8.4\n",
			"bays.csv":  "bay,storey,x1,y1,x2,y2,soffit,ceiling\nG1,Ground," + test.row + ",3600,2700\n",
			"steel.csv": "id,storey,x1,y1,x2,y2,size,level\nB1,Ground,0,0,1000,0,100x100,3000\n",
		})
		switch {
		case test.hint == "" && len(p.Problems) > 0, test.hint != "" && len(p.Problems) != 1:
			t.Errorf("%s: problems %v", test.row, p.Problems)
		case test.hint != "" && !strings.Contains(p.Problems[0].String(), test.hint):
			t.Errorf("%s: %v, want %q in it", test.row, p.Problems[0], test.hint)
		}
	}
}

// A hatch for what is not above the ceiling is told: also where its underside is exactly at the ceiling's level, and a hair
// over it; a millimetre over, it is above.
func TestHatchForWhatIsNotAbove(t *testing.T) {
	for _, test := range []struct {
		level string
		told  bool
	}{{"2699", true}, {"2700", true}, {"2700.0009", true}, {"2700.5", false}, {"2701", false}} {
		p := build(t, "storey,x1,y1,size,level,kind", "Ground,3000,1000,600x600x200,"+test.level+",fan coil", map[string]string{
			"access.csv": "for,kind\nZ,hatch\n",
		})
		if len(p.Problems) > 0 {
			t.Fatal(p.Problems)
		}
		told := false
		for _, n := range p.Told {
			told = told || n.Text == "the hatch serves something that is not above the ceiling"
		}
		if s := p.Spaces[0]; told != test.told || s.Open == test.told || s.Kind != void.Hatch {
			t.Errorf("a unit at %s over a ceiling at 2700: told %v, room known %v, want told %v", test.level, told, s.Open, test.told)
		}
	}
}
