package void_test

import (
	"context"
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"

	"voidline/io/table"
	"voidline/void"
	"voidline/void/cell"
)

// opened is a project of tables, whatever is wrong with them.
func opened(t *testing.T, files map[string]string) *void.Project {
	t.Helper()
	fsys := fstest.MapFS{}
	for name, text := range files {
		fsys[name] = &fstest.MapFile{Data: []byte(text)}
	}
	p, err := table.Open(context.Background(), "p", table.Options{FS: fsys})
	if bad := (void.Problems{}); err != nil && !errors.As(err, &bad) {
		t.Fatal(err)
	}
	return p
}

// two is two bays beside each other that share the line x 6000, the second lower, a third 3 m away, and beams over the first.
var two = map[string]string{
	"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,6000,6000,3600,2400\nB,6000,0,12000,9000,3300,none\nC,15000,0,18000,3000,3600,2500\n",
	"steel.csv":    "id,kind,x1,y1,x2,y2,size,level\nS1,beam,1000,1000,1000,5000,200x300,3200\nS2,beam,500,3000,5500,3000,100x300,3100\n",
	"ductwork.csv": "id,x1,y1,x2,y2,size,level,fall\nD,500,2000,5500,2000,300x200,2700,1 in 50\n",
}

// Which bay a place is in: within it; on its edge, and no further than that; and the one bay that holds a rectangle whole.
func TestBaysOfAPlace(t *testing.T) {
	p := opened(t, two)
	name := func(j int, ok bool) string {
		if !ok {
			return ""
		}
		return p.Bays[j].Name
	}
	for _, test := range []struct {
		x, y float64
		want string
	}{
		{1, 1, "A"},
		{5999.9, 3000, "A"},
		{6000, 3000, "A"},
		{6000.1, 3000, "B"},
		{0, 0, "A"},
		{-0.1, 3000, ""},
		{6000, 6000.1, "B"},
		{3000, 6000, "A"},
		{3000, 6000.1, ""},
		{12000, 9000, "B"},
		{12000.1, 9000, ""},
		{13000, 1000, ""},
		{15000, 3000, "C"},
	} {
		if got := name(p.BayAt(0, r2.Point{X: test.x, Y: test.y})); got != test.want {
			t.Errorf("%g, %g: bay %q, want %q", test.x, test.y, got, test.want)
		}
	}
	for _, test := range []struct {
		x1, y1, x2, y2 float64
		want           string
	}{
		{100, 100, 5900, 5900, "A"},
		{100, 100, 6000, 5900, ""},
		{100, 100, 6100, 5900, ""},
		{0, 100, 5900, 5900, ""},
		{6100, 100, 11900, 8900, "B"},
		{13000, 100, 14000, 200, ""},
		{15100, 100, 15100, 100, "C"},
		{14900, 100, 15100, 200, ""},
	} {
		if got := name(p.BayRound(0, r2.RectFromPoints(r2.Point{X: test.x1, Y: test.y1}, r2.Point{X: test.x2, Y: test.y2}))); got != test.want {
			t.Errorf("%v: whole in %q, want %q", test, got, test.want)
		}
	}
	near := func(list []int32) string {
		out := ""
		for _, j := range list {
			if r := p.Bays[j].Plan; r.Intersects(r2.RectFromPoints(r2.Point{X: 5000, Y: 1000}, r2.Point{X: 7000, Y: 2000})) {
				out += p.Bays[j].Name
			}
		}
		return out
	}
	if got := near(p.BaysNear(0, r2.RectFromPoints(r2.Point{X: 5000, Y: 1000}, r2.Point{X: 7000, Y: 2000}))); got != "AB" {
		t.Errorf("near the line between them: %q", got)
	}
}

// What is over a place: the soffit, of two on their line the lower that is over the level, where none is the highest; the lowest steel over the level.
func TestOverAPlace(t *testing.T) {
	p := opened(t, two)
	for _, test := range []struct {
		x, y, above float64
		soffit      string
		steel       string
	}{
		{3000, 5000, 2000, "A 3600", ""},
		{3000, 5000, 3700, "A 3600", ""},
		{6000, 3000, 2000, "B 3300", ""},
		{6000, 3000, 3300, "B 3300", ""},
		{6000, 3000, 3301, "A 3600", ""},
		{6000, 3000, 3601, "A 3600", ""},
		{13000, 0, 2000, "", ""},
		{16000, 1000, 2000, "C 3600", ""},
		{1000, 1500, 2000, "A 3600", "S1 3200"},
		{1000, 3000, 2000, "A 3600", "S2 3100"},
		{1000, 3000, 3100, "A 3600", "S2 3100"},
		{1000, 3000, 3101, "A 3600", "S1 3200"},
		{1000, 3000, 3201, "A 3600", ""},
		{1100, 1500, 2000, "A 3600", "S1 3200"},
		{1101, 1500, 2000, "A 3600", ""},
		{1000, 999, 2000, "A 3600", ""},
	} {
		at := r2.Point{X: test.x, Y: test.y}
		got := ""
		if j, z, ok := p.SoffitAt(0, at, test.above); ok {
			got = fmt.Sprintf("%s %g", p.Bays[j].Name, z)
		}
		if got != test.soffit {
			t.Errorf("%g, %g over %g: soffit %q, want %q", test.x, test.y, test.above, got, test.soffit)
		}
		got = ""
		if i, z, ok := p.SteelAt(0, at, test.above); ok {
			got = fmt.Sprintf("%s %g", p.Zone(int(i)).ID, z)
		}
		if got != test.steel {
			t.Errorf("%g, %g over %g: steel %q, want %q", test.x, test.y, test.above, got, test.steel)
		}
	}
	for _, test := range []struct {
		x, y, within float64
		want         bool
	}{{1000, 2000, 1, true}, {1150, 2000, 49, false}, {1150, 2000, 51, true}, {1000, 900, 99, false}, {1000, 900, 101, true}, {3000, 5000, 200, false}} {
		if got := p.UnderSteel(0, r2.Point{X: test.x, Y: test.y}, test.within); got != test.want {
			t.Errorf("%g, %g within %g: under steel %t, want %t", test.x, test.y, test.within, got, test.want)
		}
	}
	got := ""
	for _, i := range p.SteelNear(0, r2.RectFromPoints(r2.Point{X: 0, Y: 0}, r2.Point{X: 6000, Y: 6000})) {
		got += p.Zone(int(i)).ID + " "
	}
	if got != "S1 S2 " {
		t.Errorf("steel over A: %q", got)
	}
	// The underside of a row that falls 1 in 50 from 2700: 20 lower after 1000, 100 at its end.
	i, _ := p.ZoneByID("D")
	for x, want := range map[float64]float64{500: 2700, 1500: 2680, 5500: 2600} {
		if z := p.Zone(i).UndersideAt(r2.Point{X: x, Y: 2000}); math.Abs(z-want) > 0.05 { // square to its axis it is 200 high
			t.Errorf("at x %g its underside is at %g, want %g", x, z, want)
		}
	}
}

// The sides of a body: a plate of 1 over it, and the way that it looks. Of a length start and end are its own, of an item the compass goes.
func TestSidesOfABody(t *testing.T) {
	p := opened(t, map[string]string{
		"bays.csv": two["bays.csv"],
		"mech.csv": "id,trade,kind,x1,y1,x2,y2,size,level\nU,mechanical,fan coil,3000,3000,,,800x600x300,2800\nD,ductwork,duct,1000,5000,3000,5000,400x200,2800\n",
	})
	for _, test := range []struct {
		id, side string
		want     string // looks, centre of the plate
	}{
		{"U", "east", "(1 0 0) (3400.5 3000 2950)"},
		{"U", "west", "(-1 0 0) (2599.5 3000 2950)"},
		{"U", "north", "(0 1 0) (3000 3300.5 2950)"},
		{"U", "south", "(0 -1 0) (3000 2699.5 2950)"},
		{"U", "above", "(0 0 1) (3000 3000 3100.5)"},
		{"U", "below", "(0 0 -1) (3000 3000 2799.5)"},
		{"U", "start", ""},
		{"U", "left", ""},
		{"D", "start", "(-1 0 0) (999.5 5000 2900)"},
		{"D", "end", "(1 0 0) (3000.5 5000 2900)"},
		{"D", "left", "(0 1 0) (2000 5200.5 2900)"},
		{"D", "right", "(0 -1 0) (2000 4799.5 2900)"},
		{"D", "above", "(0 0 1) (2000 5000 3000.5)"},
		{"D", "below", "(0 0 -1) (2000 5000 2799.5)"},
		{"D", "east", ""},
	} {
		i, _ := p.ZoneByID(test.id)
		z := p.Zone(i)
		got := ""
		if plate, out, ok := void.SideOf(z, z.Bare(), cell.ParseSide(test.side).Is); ok {
			v := func(v r3.Vector) string {
				return fmt.Sprintf("(%g %g %g)", math.Round(v.X*10)/10+0, math.Round(v.Y*10)/10+0, math.Round(v.Z*10)/10+0)
			}
			got = v(out) + " " + v(plate.Centre)
		}
		if got != test.want {
			t.Errorf("%s, %s: %q, want %q", test.id, test.side, got, test.want)
		}
	}
}

// Where one comes to: the next grid line ahead, where the way is within 10 degrees of square to it, else the compass; more than 1 ahead.
func TestTowardsTheGrid(t *testing.T) {
	p := opened(t, map[string]string{"bays.csv": two["bays.csv"], "ductwork.csv": two["ductwork.csv"], "grid.csv": "axis,label,position\nx,A,0\nx,B,6000\nx,C,12000\ny,1,0\ny,2,6000\n"})
	sin, cos := math.Sincos(9.5 * math.Pi / 180)
	sin2, cos2 := math.Sincos(10.5 * math.Pi / 180)
	for _, test := range []struct {
		x, y, dx, dy float64
		want         string
	}{
		{3000, 3000, 1, 0, "grid B"},
		{3000, 3000, -5, 0, "grid A"},
		{3000, 3000, 0, 2, "grid 2"},
		{3000, 3000, 0, -1, "grid 1"},
		{7000, 3000, 1, 0, "grid C"},
		{13000, 3000, 1, 0, "east"},
		{5999, 3000, 1, 0, "grid C"},
		{5998.9, 3000, 1, 0, "grid B"},
		{13000, 3000, -1, 0, "grid C"},
		{3000, 7000, 0, 1, "north"},
		{3000, -7000, 0, -1, "south"},
		{-10, 0, -1, 0, "west"},
		{3000, 3000, cos, sin, "grid B"},
		{3000, 3000, cos2, sin2, "east"},
		{3000, 3000, 1, 1, "north-east"},
		{3000, 3000, -1, 1, "north-west"},
		{3000, 3000, -1, -1, "south-west"},
		{3000, 3000, 1, -1, "south-east"},
		{3000, 3000, 0, 0, ""},
		{3000, 3000, sin, -cos, "grid 1"},
		{3000, 3000, -sin2, cos2, "north"},
	} {
		if got := p.Towards(r2.Point{X: test.x, Y: test.y}, r2.Point{X: test.dx, Y: test.dy}); got != test.want {
			t.Errorf("from %g, %g along %g, %g: %q, want %q", test.x, test.y, test.dx, test.dy, got, test.want)
		}
	}
	for _, test := range []struct {
		x, y       float64
		want, text string
	}{
		{0, 0, "A, grid 1", "A, grid 1"},
		{3000, 3000, "A+3000, grid 1+3000", "A+3000, grid 1+3000"},
		{3001, 3001, "B-2999, grid 2-2999", "B-2999, grid 2-2999"},
		{-40, 6000.4, "A-40, grid 2", "A-40, grid 2"},
		{12500, 6001, "C+500, grid 2+1", "C+500, grid 2+1"},
		{6000.44, 5999.55, "B, grid 2", "B, grid 2"},
	} {
		if got := p.Where(r2.Point{X: test.x, Y: test.y}); got != test.want {
			t.Errorf("%g, %g: %q, want %q", test.x, test.y, got, test.want)
		}
		if got := p.PlaceText(r2.Point{X: test.x, Y: test.y}); got != test.text {
			t.Errorf("%g, %g in a table: %q, want %q", test.x, test.y, got, test.text)
		}
	}
}

// With an origin of 500000, 180000, and the model turned by 90 degrees to the left, a place of 1000, 2000 is 501000, 182000 in the tables, and
// -182000, 501000 in the model.
func TestPlacesWithAnOrigin(t *testing.T) {
	p := opened(t, map[string]string{
		"origin.csv":   "x,y,turn\n500000,180000,90\n",
		"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling\nA,500000,180000,506000,186000,3600,2400\n",
		"ductwork.csv": "id,x1,y1,x2,y2,size,level\nD,501000,182000,503000,182000,300x200,2700\n",
	})
	if len(p.Problems) > 0 {
		t.Fatal(p.Problems)
	}
	i, _ := p.ZoneByID("D")
	if c := p.Zone(i).Bare().Centre; c != (r3.Vector{X: 2000, Y: 2000, Z: 2800}) {
		t.Errorf("D is at %v", c)
	}
	if x, y := p.Whole(1000, 2000); x != 501000 || y != 182000 {
		t.Errorf("in the tables %g, %g", x, y)
	}
	if got := p.PlaceText(r2.Point{X: 1000, Y: 2000}); got != "501000, 182000" {
		t.Errorf("as a place %q", got)
	}
	if got := p.Where(r2.Point{X: 1000, Y: 2000}); got != "x 1000, y 2000" {
		t.Errorf("where: %q", got)
	}
	near := func(v, w r3.Vector) bool { return v.Sub(w).Norm() < 1e-6 }
	if v := p.InModel(r3.Vector{X: 1000, Y: 2000, Z: 50}); !near(v, r3.Vector{X: -182000, Y: 501000, Z: 50}) {
		t.Errorf("in the model %v", v)
	}
	if d := p.WayInModel(r2.Point{X: 1, Y: 2}); d.Sub(r2.Point{X: -2, Y: 1}).Norm() > 1e-9 {
		t.Errorf("a way in the model %v", d)
	}
}

// What is told of many: each once, by file, line and column, a thousand of each file, and how many more there are.
func TestBoundedProblems(t *testing.T) {
	var ps []void.Problem
	for i := range void.MostOfFile + 3 {
		ps = append(ps, void.Problem{File: "b.csv", Line: void.MostOfFile + 5 - i, What: "w"})
	}
	ps = append(ps, void.MoreOf("b.csv", 4), void.Problem{File: "a.csv", Line: 2, Column: 7, What: "second"}, void.Problem{File: "a.csv", Line: 2, Column: 3, What: "first"}, void.Problem{File: "a.csv", Line: 2, Column: 7, What: "second"})
	out := void.Bounded(ps)
	if len(out) != 2+void.MostOfFile+1 || out[0].What != "first" || out[1].What != "second" || out[2].Line != 3 || out[1001].Line != void.MostOfFile+2 || out[1002] != void.MoreOf("b.csv", 7) {
		t.Errorf("%d: %v, %v, %v … %v, %v", len(out), out[0], out[1], out[2], out[len(out)-2], out[len(out)-1])
	}
	if n := void.CountProblems(out); n != 2+void.MostOfFile+7 {
		t.Errorf("they stand for %d", n)
	}
	exact := void.Bounded(ps[:void.MostOfFile])
	if len(exact) != void.MostOfFile || exact[len(exact)-1].More != 0 {
		t.Errorf("a thousand are all told: %d", len(exact))
	}
	if got := void.Problems(out[:2]).Error(); got != "2 problems, the first is "+out[0].String() {
		t.Errorf("as an error: %s", got)
	}
	if got := void.Problems(out[:1]).Error(); got != out[0].String() {
		t.Errorf("one as an error: %s", got)
	}
	if void.Problems(nil).Err() != nil {
		t.Error("none is an error")
	}
}

// Build-ups: the thickness of all layers; whether the face lifts out, which is the first; the module, that of the first that has one. Of a bay the void
// is from the top of that, without a ceiling from the level that is given.
func TestBuildUpsByHand(t *testing.T) {
	p := opened(t, map[string]string{
		"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling,build-up,trough\nA,0,0,6000,6000,3600,2400,tiles,60\nB,6000,0,12000,6000,3600,2400,boards,\nC,12000,0,18000,6000,3600,none,,\nE,18000,0,24000,6000,3600,2400,,\n",
		"buildups.csv": "build-up,layer,thickness,lifts out,module\ntiles,tile,20,yes,600\ntiles,grid,38,no,1200\nboards,board,12.5,no,\nboards,board,12.5,yes,\nboards,channel,45,,500\n",
		"ductwork.csv": two["ductwork.csv"],
	})
	got := []string{}
	for i := range p.Bays {
		b := &p.Bays[i]
		s := fmt.Sprintf("%s %g %g %t trough %g void %g-%g", b.Name, b.Ceiling, b.Top, b.HasCeiling, b.Trough, b.Void(10).Lo, b.Void(10).Hi)
		if b.BuildUp >= 0 {
			u := p.BuildUps[b.BuildUp]
			s += fmt.Sprintf(" %s lifts %t module %g", u.Name, u.LiftsOut(), u.Module())
		}
		got = append(got, s)
	}
	want := "A 2400 2458 true trough 60 void 2458-3600 tiles lifts true module 600\nB 2400 2470 true trough 0 void 2470-3600 boards lifts false module 500\n" +
		"C 0 0 false trough 0 void 10-3600\nE 2400 2400 true trough 0 void 2400-3600"
	if s := strings.Join(got, "\n"); s != want {
		t.Errorf("came\n%s\nwant\n%s", s, want)
	}
	if (void.BuildUp{}).LiftsOut() || (void.BuildUp{}).Module() != 0 {
		t.Error("a build-up without layers lifts out")
	}
	for name, want := range map[string]r2.Point{"A": {X: 1}, "B": {X: 1}} { // square: along x
		for i := range p.Bays {
			if b := &p.Bays[i]; b.Name == name && b.Middle().Dir != want {
				t.Errorf("%s is cut along %v", name, b.Middle().Dir)
			}
		}
	}
	long := void.Bay{Plan: r2.RectFromPoints(r2.Point{X: 100, Y: 200}, r2.Point{X: 1100, Y: 4200})}
	if pl := long.Middle(); pl.At != (r2.Point{X: 600, Y: 200}) || pl.Dir != (r2.Point{Y: 1}) {
		t.Errorf("a bay that is longer along y is cut at %v along %v", pl.At, pl.Dir)
	}
}

// What a row says of itself besides its place.
func TestWhatARowSays(t *testing.T) {
	p := opened(t, map[string]string{
		"bays.csv": two["bays.csv"],
		"rows.csv": "id,trade,kind,x1,y1,x2,y2,size,level,rank,stage,holds,tolerance,guid\nA,containment,tray,500,1000,5500,1000,300x60,2700,3,made,level,0,abc\n" +
			"B,containment,tray,500,2000,5500,2000,300x60,2700,,fixed,,7.5,\nC,containment,tray,500,3000,5500,3000,300x60,2700,,,none,,\nD,containment,tray,500,4000,5500,4000,300x60,2700,,ordered,both,,\n",
		"steel.csv": "id,kind,x1,y1,x2,y2,size,level\nS,beam,1000,1000,1000,5000,UB 406x178x60,3100\nT,beam,2000,1000,2000,5000,200x300,3100\n",
	})
	if len(p.Problems) > 0 {
		t.Fatal(p.Problems)
	}
	var got []string
	for _, id := range []string{"A", "B", "C", "D"} {
		i, _ := p.ZoneByID(id)
		z := p.Zone(i)
		rank, ranked := z.Rank()
		level, place := z.Holds()
		off, told := z.Tolerance()
		got = append(got, fmt.Sprintf("%s rank %g %t, %s, holds %t %t, lets go %t, tolerance %g %t, guid %q", id, rank, ranked, z.Stage(), level, place, z.LetGo(), off, told, z.GUID()))
	}
	want := "A rank 3 true, made, holds true false, lets go false, tolerance 0 true, guid \"abc\"\nB rank 0 false, fixed, holds true true, lets go false, tolerance 7.5 true, guid \"\"\n" +
		"C rank 0 false, drawn, holds false false, lets go true, tolerance 0 false, guid \"\"\nD rank 0 false, ordered, holds true true, lets go false, tolerance 0 false, guid \"\""
	if s := strings.Join(got, "\n"); s != want {
		t.Errorf("came\n%s\nwant\n%s", s, want)
	}
	for id, want := range map[string]float64{"S": 7.9, "T": 0} { // the web of UB 406x178x60, EN 10365 (see void/catalogue)
		i, _ := p.ZoneByID(id)
		if w, ok := p.Zone(i).Web(); w != want || ok != (want > 0) {
			t.Errorf("the web of %s is %g %t, want %g", id, w, ok, want)
		}
	}
}

// Rows of supports.csv: where each comes to, on which row, and what is wrong with it. R is R1 from x 1000 to 4000 and R2, drawn back, from 7000 to 4000;
// only R2 and Q are hung. Q comes in two lengths.
func TestSupportRowsByHand(t *testing.T) {
	files := map[string]string{
		"bays.csv":    "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,20000,9000,3600,2400\n",
		"hangers.csv": "hanger,part,height\nsmall,channel,21\nlarge,channel,82\n",
		"tray.csv": "id,kind,x1,y1,x2,y2,size,level,hanger,run\nR1,tray,1000,1000,4000,1000,300x60,2700,,R\nR2,tray,7000,1000,4000,1000,300x60,2700,channel 41 M10,R\n" +
			"Q1,tray,1000,3000,4000,3000,300x60,2700,channel 41 M10,Q\nQ2,tray,6000,3000,8000,3000,300x60,2700,channel 41 M10,Q\n",
	}
	for _, test := range []struct{ row, want string }{
		{"R,,,1,4000,,,,", "R2 2000 no 1"}, // 3000 along R is the start of R2's far end: 3000 - 1000 from its own start
		{"R,,,2,6000,,,,", "R2 0 no 2"},
		{"R,,,3,3000,,,,", "R2 3000 no 3"},
		{"R,,,4,6001,,,,", "along: 6001 is past the end of \"R\", 6000 mm long"},
		{"R,,,5,2000,,,,", "run: \"R1\" names no hanger"},
		{",R2,,1,500,,,,", "R2 500 no 1"},
		{",R2,,1,3000,,,,", "R2 3000 no 1"},
		{",R2,,1,3001,,,,", "along: 3001 is past the end of \"R2\", 3000 mm long"},
		{",R1,,1,500,,,,", "row: \"R1\" names no hanger"},
		{",R9,,1,500,,,,", "row: no zone \"R9\""},
		{"Q,,1 of 2,1,500,,,,", "Q1 500 no 1"},
		{"Q,,2 of 2,1,500,,,,", "Q2 500 no 1"},
		{"Q,,2,1,500,,,,", "Q2 500 no 1"},
		{"Q,,3 of 2,1,500,,,,", "length: \"3 of 2\" is not a length of \"Q\""},
		{"Q,,0 of 2,1,500,,,,", "length: \"0 of 2\" is not a length of \"Q\""},
		{"Q,,1 of 3,1,500,,,,", ""},
		{"Q,,first,1,500,,,,", "length: \"first\" is not a length of \"Q\""},
		{"R,R2,,1,500,,,,", "row: both run and row are given"},
		{",,,1,500,,,,", "run: blank"},
		{",R2,1 of 1,1,500,,,,", "length: a row is one length"},
		{"R2,,,1,500,,,,", "run: \"R2\" is the id of a row, not the name of a run"},
		{"S,,,1,500,,,,", "run: no length with a place is of a run \"S\""},
		{",R2,,0,500,,,,", "number: \"0\" is not the number of a support"},
		{",R2,,1.5,500,,,,", "number: \"1.5\" is not the number of a support"},
		{",R2,,1000000,500,,,,", "R2 500 no 1000000"},
		{",R2,,1000001,500,,,,", "number: \"1000001\" is not the number of a support"},
		{",R2,,1,,,,,", "along: blank"},
		{",R2,,1,-1,,,,", "along: \"-1\" is negative"},
		{",R2,,1,0,,,,", "R2 0 no 1"},
		{",R2,,1,2.5,,,,", "along: \"2.5\" is too small for millimetres along a run"},
		{",R2,,1,2.5 m,,,,", "R2 2500 no 1"},
		{",R2,,1,500,3,,,", "rods: \"3\" is not a number of rods"},
		{",R2,,1,500,2,,,", "R2 500 no 1 rods 2"},
		{",R2,,1,500,0,,,", "R2 500 no 1 rods 0"},
		{",R2,,1,500,-1,,,", "rods: \"-1\" is negative"},
		{",R2,,1,500,1.5,,,", "rods: \"1.5\" is not a number of rods"},
		{",R2,,1,500,,beam,,", "R2 500 no 1 from beam flange"},
		{",R2,,1,500,,soffit,,", "R2 500 no 1 from soffit"},
		{",R2,,1,500,,sky,,", "from: \"sky\" is not a place to hang from known by name"},
		{",R2,,1,500,,,fixed,", "R2 500 no 1 fixed"},
		{",R2,,1,500,,,Made,", "R2 500 no 1 made"},
		{",R2,,1,500,,,bought,", "stage: \"bought\" is not a stage"},
		{",R2,,1,500,,,,small", "R2 500 no 1 hanger small"},
		{",R2,,1,500,,,,channel 41 M10", "R2 500 no 1"},
		{",R2,,1,500,,,,large", "hanger: \"large\" takes 82.0 under \"R2\", whose own, \"channel 41 M10\", takes 55.9"},
		{",R2,,1,500,,,,rope", "hanger: no hanger \"rope\" in hangers.csv or built in"},
	} {
		files["supports.csv"] = "run,row,length,number,along,rods,from,stage,hanger\n" + test.row + "\n"
		p := opened(t, files)
		got := ""
		for _, pr := range p.Problems {
			if pr.File == "supports.csv" {
				got += pr.Cell + ": " + pr.What
			}
		}
		for _, s := range p.Supports {
			if s.Zone < 0 {
				continue // of a length that its run does not come in
			}
			got += fmt.Sprintf("%s %g no %d", p.Zone(int(s.Zone)).ID, math.Round(s.Along*1e6)/1e6, s.Number)
			if s.Rods >= 0 {
				got += fmt.Sprintf(" rods %d", s.Rods)
			}
			if s.From != "" {
				got += " from " + s.From
			}
			if s.Stage != void.Drawn {
				got += " " + s.Stage.String()
			}
			if s.Hanger >= 0 {
				got += " hanger " + p.Hangers[s.Hanger].Name
			}
		}
		if got != test.want {
			t.Errorf("%s: came %q, want %q", test.row, got, test.want)
		}
		if others := strings.Contains(fmt.Sprint(p.Warnings), "not as its supports say"); others != (test.want == "") {
			t.Errorf("%s: warned of other lengths %t", test.row, others)
		}
	}
}

// A hole in a soffit or in a ceiling goes with it: edited from 3600 to 3500, and from 2400 to 2450, its middle is there, and back again.
func TestHolesGoWithTheirBay(t *testing.T) {
	p := opened(t, map[string]string{
		"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,6000,6000,3600,2400\nB,6000,0,12000,6000,3700,2400\n",
		"ductwork.csv": two["ductwork.csv"],
		"openings.csv": "in,x,y,size\nsoffit A,1000,1000,300x300\nceiling A,2000,1000,300x300\nsoffit B,7000,1000,300x300\n",
	})
	if len(p.Problems) > 0 || len(p.Openings) != 3 {
		t.Fatal(p.Problems, p.Openings)
	}
	for _, test := range []struct {
		bay, column, text string
		want              [3]float64
	}{
		{"A", "soffit", "3500", [3]float64{3500, 2400, 3700}},
		{"A", "ceiling", "2450", [3]float64{3500, 2450, 3700}},
		{"B", "soffit", "3650", [3]float64{3500, 2450, 3650}},
		{"A", "soffit", "3600", [3]float64{3600, 2450, 3650}},
		{"A", "ceiling", "2400", [3]float64{3600, 2400, 3650}},
	} {
		change, pr := p.EditBay(test.bay, test.column, test.text)
		if pr != nil {
			t.Fatal(pr)
		}
		got := [3]float64{p.Openings[0].Centre.Z, p.Openings[1].Centre.Z, p.Openings[2].Centre.Z}
		if got != test.want || !change.Openings {
			t.Errorf("%s of %s to %s: holes at %v, want %v; said %t", test.column, test.bay, test.text, got, test.want, change.Openings)
		}
	}
}

// Hints name what is nearest: a grid line of that axis, and a hanger of the project's own before one that is built in, though another row hangs on that and its name is nearer.
func TestHintsNameWhatIsNearest(t *testing.T) {
	p := opened(t, map[string]string{
		"bays.csv":    "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,6000,6000,3600,2400\n",
		"grid.csv":    "axis,label,position\nx,East,0\nx,West,6000\ny,North,0\ny,South,6000\n",
		"hangers.csv": "hanger,part,height\nstrappss,strip,4\n",
		"tray.csv": "id,x1,y1,x2,y2,size,level,hanger\nT1,grid Eest+500,1000,5500,1000,300x60,2900,\nT2,500,grid Souht-500,5500,5500,300x60,2900,\nT3,500,2000,5500,2000,300x60,2900,strap\n" +
			"T4,500,3000,5500,3000,300x60,2900,strapp\n",
	})
	var got []string
	for _, pr := range p.Problems {
		got = append(got, fmt.Sprintf("%d %s %s", pr.Line, pr.Cell, pr.Hint))
	}
	if got, want := strings.Join(got, "; "), `2 x1 did you mean "East"?; 3 y1 did you mean "South"?; 5 hanger did you mean "strappss"?`; got != want {
		t.Errorf("came %s\nwant %s", got, want)
	}
}

// A row that surveyed.csv names can be read while it has one level; as an upright one it cannot, and steel that is no beam neither. An edit that makes a row into such a one is refused, and one
// that makes it one that can be read takes what was told away: as the tables read anew say.
func TestSurveyedRowsThatBecomeReadable(t *testing.T) {
	const one, upright = "FFL+2800", "FFL+2800..FFL+3000" // of an item the height is in its size, or in the range
	size := map[string]string{one: "200x200x200", upright: "200x200"}
	files := func(level, kind string) map[string]string {
		return map[string]string{
			"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,6000,6000,3600,2400\n",
			"pipework.csv": "id,kind,x1,y1,size,level\nV,valve,2000,2000," + size[level] + "," + level + "\n",
			"steel.csv":    "id,kind,x1,y1,x2,y2,size,level\nS,\"" + kind + "\",0,3000,6000,3000,200x300,3200\n",
			"surveyed.csv": "what,zone,level\nzone,V,FFL+2790\nsteel,S,FFL+3190\n",
		}
	}
	for _, test := range []struct {
		level, kind, zone, column, text string // as read, and an edit
		problems                        int    // as read
		refused                         bool
	}{
		{one, "beam", "V", "level", upright, 0, true},
		{one, "beam", "S", "kind", "brace", 0, true},
		{upright, "beam", "V", "level", one, 1, false},
		{one, "brace", "S", "kind", "beam", 1, false},
	} {
		p := opened(t, files(test.level, test.kind))
		if len(p.Problems) != test.problems {
			t.Fatalf("%s, %s: %v", test.level, test.kind, p.Problems)
		}
		cells := []void.CellText{{Column: test.column, Text: test.text}}
		if test.column == "level" {
			cells = append(cells, void.CellText{Column: "size", Text: size[test.text]})
		}
		_, pr := p.EditCells(test.zone, cells)
		if (pr != nil) != test.refused || !test.refused && len(p.Problems) != 0 || test.refused && len(p.Problems) != test.problems {
			t.Errorf("%s %s = %q: %v, then %v", test.zone, test.column, test.text, pr, p.Problems)
		}
		if _, pr := p.Remove(test.zone); pr == nil || !strings.Contains(pr.What, "was found on site") {
			t.Errorf("%s is taken out: %v", test.zone, pr)
		}
	}
}

// Of each file a thousand warnings are kept and the rest counted; with the last row of each file put right one fewer is counted, in whichever of the files it stands.
func TestWarningsThatAreOnlyCountedAreTakenBack(t *testing.T) {
	const rows = void.MostOfFile + 3
	files := map[string]string{"bays.csv": "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,60000,60000,3600,2400\n"}
	names := []string{"a", "b", "c", "d", "e"}
	for _, name := range names {
		var b strings.Builder
		b.WriteString("id,trade,kind,x1,y1,x2,y2,size,level,joins\n")
		for i := range rows {
			fmt.Fprintf(&b, "%s%d,containment,tray,500,%[3]d,1500,%[3]d,100x50,2900,%[1]s-none\n", name, i, 100+20*i)
		}
		files[name+".csv"] = b.String()
	}
	p := opened(t, files)
	count := func() (n int) {
		for _, w := range p.Warnings {
			n += max(1, w.More)
		}
		return n
	}
	want := len(names) * rows
	for k, name := range names {
		if got := count(); got != want-k {
			t.Fatalf("%d warnings, want %d", got, want-k)
		}
		if _, pr := p.Edit(fmt.Sprintf("%s%d", name, rows-1), "joins", ""); pr != nil {
			t.Fatal(pr)
		}
	}
	if got := count(); got != want-len(names) {
		t.Errorf("%d warnings at last, want %d", got, want-len(names))
	}
}

// An opening whose place cannot be read is none: it stands nowhere, rather than at the point where the grid begins. One beside it, which can, is there.
func TestAnOpeningWithoutItsPlace(t *testing.T) {
	p := opened(t, map[string]string{
		"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,9000,3600,none\n",
		"walls.csv":    "id,trade,kind,x1,y1,x2,y2,size,level\nW,partitions,wall,3000,0,3000,6000,150,FFL..FFL+3600\n",
		"openings.csv": "in,x,y,size,level\nW,Q+100,500,ø200,3000\nW,3000,2000,ø300,3000\n",
	})
	if len(p.Problems) != 1 || len(p.Openings) != 1 || p.Openings[0].HalfA != 150 {
		t.Errorf("%d problems, openings %+v; want one of each, of 300", len(p.Problems), p.Openings)
	}
}

// What leans on a row that is missing is missing too, in the project as it is drawn as in that which was surveyed, and no second problem.
func TestAsDrawnKnowsWhatIsMissing(t *testing.T) {
	p := opened(t, map[string]string{
		"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling,build-up\nA,0,0,9000,9000,3600,2700,boards\nB,9000,0,18000,9000,3600,2700,\n",
		"buildups.csv": "build-up,layer,thickness,lifts out\nboards,board,thick,no\n",
		"pipes.csv":    "id,trade,x1,y1,x2,y2,size,level\nP,pipework,10000,1000,15000,1000,ø50,3000\n",
		"surveyed.csv": "what,bay,level\nsoffit,B,FFL+3570\n",
	})
	if len(p.Problems) != 1 {
		t.Fatalf("problems %v, want the one of the thickness", p.Problems)
	}
	if d := p.AsDrawn(); len(d.Problems) != 0 || d.Zones() != p.Zones() || len(d.Bays) != len(p.Bays) {
		t.Errorf("as drawn: problems %v, %d zones, %d bays; want none, %d and %d", d.Problems, d.Zones(), len(d.Bays), p.Zones(), len(p.Bays))
	}
}

// A class that is none is told as such in the very first row of a project, too.
func TestTheFirstRowsClass(t *testing.T) {
	p := opened(t, map[string]string{
		"bays.csv": "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,9000,3600,none\n",
		"tray.csv": "id,kind,class,x1,y1,x2,y2,size,level\nT,tray,e,1000,1000,4000,1000,300x60,3000\n",
	})
	if len(p.Problems) != 1 || !strings.Contains(p.Problems[0].What, "segregation class") {
		t.Errorf("%v, want the class", p.Problems)
	}
}
