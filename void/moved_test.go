package void

import (
	"fmt"
	"maps"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/golang/geo/r3"
	gocmp "github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// shiftable is a building with an origin, two storeys, a grid, steel at two levels, and zones of these rows, whose texts can be had again as
// from a table.
func shiftable(t fataler, rows ...map[string]string) *Project {
	p := New("shiftable", []string{"bays.csv", "steel.csv", "ductwork.csv"})
	p.AddOrigin(cells[OriginRow](t, 2, map[string]string{"x": "1000000", "y": "2000000"}))
	tableOf(t, "storey,ffl,ssl,datum\nG,0,-75,1000\nF,4200,4125,1000", p.AddLevel)
	tableOf(t, "axis,label,position\nx,A,1000000\nx,B,1006000\nx,A-1,1012000\ny,1,2000000\ny,2,2008000\ny,3,2016000", p.AddGrid)
	tableOf(t, "buildup,layer,thickness\nboards,board,25\ntiles,tile,20", p.AddBuildUp)
	tableOf(t, `bay,storey,x1,y1,x2,y2,soffit,ceiling,buildup
a1,G,A,grid 1,B,grid 2,3600,2700,boards
a2,G,B,grid 1,grid A-1+0,grid 2,3500.5,2600,tiles
b1,G,A,grid 2,B,grid 3,3600,none,
a1,F,A,grid 1,B,grid 2,3600,2700,boards
f2,F,B,grid 1,grid A-1+0,grid 3,3600,2700,`, p.AddBay)
	add := func(file int32, text string) {
		tableOf(t, text, func(r ZoneRow) {
			r.At.File = file
			p.AddZone(p.Files[file], &r)
		})
	}
	add(1, "id,storey,x1,y1,x2,y2,size,level,kind\nB1,G,A,grid 2,grid A-1+0,grid 2,300x400,3200,beam\nB2,G,A,grid 2+1000,B,grid 2+1000,300x400,2900,beam")
	texts := map[string]string{}
	for i, row := range rows {
		r := cells[ZoneRow](t, i+2, row)
		r.At.File = 2
		p.AddZone(p.Files[2], &r)
		for column, text := range row {
			texts[fmt.Sprint(i+2, column)] = text
		}
	}
	p.Originals(func(at At, column string) (string, bool) {
		return texts[fmt.Sprint(at.Line, column)], at.File == 2
	})
	p.Resolve()
	return p
}

// text returns cells as one text, sorted by column.
func text(cells []CellText) string {
	var list []string
	for _, c := range cells {
		list = append(list, c.Column+" "+c.Text)
	}
	slices.Sort(list)
	return strings.Join(list, "; ")
}

// Rows of every form are shifted in the form in which they are written.
func TestMoved(t *testing.T) {
	length := map[string]string{"id": "Z", "storey": "G", "x1": "B-5000", "y1": "2001000", "x2": "grid A-1 - 7000", "y2": "2001.00 m", "size": "300x200", "level": "FFL+2700", "face": "top"}
	item := map[string]string{"id": "Z", "storey": "G", "x1": "A+1200.5", "y1": "grid 1 + 600", "size": "300x300x200", "level": "BOD 2900"}
	upright := map[string]string{"id": "Z", "storey": "G", "x1": "1001000", "y1": "2003000", "size": "150x150", "level": "FFL+2400..FFL+2700"}
	byHeight := map[string]string{"id": "Z", "storey": "G", "bay": "a1", "size": "300x200", "level": "datum+1650"}
	like := func(row map[string]string, more ...string) map[string]string {
		row = maps.Clone(row)
		for i := 0; i < len(more); i += 2 {
			row[more[i]] = more[i+1]
		}
		return row
	}
	const over = "a range that reaches to the structure"
	for _, test := range []struct {
		name string
		row  map[string]string
		by   r3.Vector
		want string // the cells, or how the problem begins
	}{
		{"nothing", length, r3.Vector{}, ""},
		{"less than the least that is written", length, r3.Vector{X: 0.04, Z: -0.04}, ""},
		{"up", length, r3.Vector{Z: 40}, "level FFL+2740"},
		{"no more than 0.1", length, r3.Vector{Z: 40.16}, "level FFL+2740.2"},
		{"east", length, r3.Vector{X: 300}, "x1 B-4700; x2 grid A-1 - 6700"},
		{"north", length, r3.Vector{Y: -15}, "y1 2000985; y2 2000.985 m"},
		{"every way", length, r3.Vector{X: 0.5, Y: 40, Z: -100}, "level FFL+2600; x1 B-4999.5; x2 grid A-1 - 6999.5; y1 2001040; y2 2001.04 m"},
		{"onto its grid line", length, r3.Vector{X: 5000}, "x1 B; x2 grid A-1 - 2000"},
		{"a fall stays", like(length, "fall", "1 in 80"), r3.Vector{Z: 40}, "level FFL+2740"},
		{"an item", item, r3.Vector{X: 299.5, Y: -600, Z: 40}, "level BOD 2940; x1 A+1500; y1 grid 1"},
		{"what is upright", upright, r3.Vector{X: 10, Z: -40}, "level FFL+2360..FFL+2660; x1 1001010"},
		{over, like(upright, "level", "FFL+2400..soffit"), r3.Vector{Z: 40}, `level: "FFL+2400..soffit" reaches to the soffit, which does not move; give a level of its own for that end`},
		{over + ", in plan", like(upright, "level", "FFL+2400..soffit"), r3.Vector{X: 40}, "x1 1001040"},
		{over + ", to another", like(upright, "level", "FFL+2400..soffit"), r3.Vector{X: 7000}, `level: "FFL+2400..soffit" reaches to the soffit`},
		{"a range with a gap to the structure", like(upright, "level", "FFL+2400..soffit-300"), r3.Vector{Z: 40}, "level FFL+2440..soffit-260"},
		{"by its height", byHeight, r3.Vector{Z: 40}, "level datum+1690"},
		{"by its height, in plan", byHeight, r3.Vector{X: 40}, "x1: the row has no place: it lies over the whole bay"},
		{"past the soffit", like(item, "level", "soffit-60"), r3.Vector{Z: 80}, "level soffit+20"},
		{"under another soffit", like(item, "level", "soffit-60"), r3.Vector{X: 6000, Z: 1}, "level soffit+40.5; x1 A+7200.5"},
		{"over another ceiling", like(item, "level", "ceiling + 100", "bay", "a1"), r3.Vector{X: 6000}, "bay a2; level ceiling + 200; x1 A+7200.5"},
		{"where there is no ceiling", like(item, "level", "ceiling+100"), r3.Vector{Y: 8000}, `level: ceiling: bay "b1" has no ceiling`},
		{"under another beam", like(item, "level", "steel-60", "y1", "grid 2"), r3.Vector{Y: 1000}, "level steel+240; y1 grid 2 + 1000"},
		{"from under the steel", like(item, "level", "steel-60", "y1", "grid 2"), r3.Vector{Y: -3000}, "level FFL+3140; y1 grid 2 - 3000"},
		{"from under the steel, and up", like(item, "level", "steel-60", "y1", "grid 2"), r3.Vector{Y: -3000, Z: 40}, "level FFL+3180; y1 grid 2 - 3000"},
		{"its middle, from 60 under the steel at 3200", like(item, "level", "CL steel-60", "y1", "grid 2"), r3.Vector{Y: -3000}, "level FFL+3140 centre; y1 grid 2 - 3000"},
		{"too far", length, r3.Vector{X: 2e7}, "a shift of 2e+07 mm; give a shift of at most 10 km"},
		{"no shift", length, r3.Vector{Z: math.NaN()}, "a shift of NaN mm"},
	} {
		p := shiftable(t, test.row)
		if len(p.Problems) > 0 {
			t.Fatal(test.name, p.Problems)
		}
		i, _ := p.ZoneByID("Z")
		got, pr := p.Moved(i, test.by)
		said := text(got)
		if pr != nil {
			said = strings.TrimPrefix(pr.String(), "ductwork.csv:2: ")
			if got != nil || !strings.HasPrefix(said, test.want) || test.want == "" {
				t.Errorf("%s: %v, %q, want %q", test.name, got, said, test.want)
			}
			continue
		}
		if said != test.want {
			t.Errorf("%s: %q, want %q", test.name, said, test.want)
		}
	}
}

// Random rows of every form, shifted in the tables' own words: the body has moved by that and nothing else about the row is different, it is what reading the
// cells gives, and back again the cells are to the letter what they were.
func TestMovedMoves(t *testing.T) {
	took, level := map[string]int{}, map[string]int{}
	// Each form has draws of its own: were the form drawn too, the rarest would now and then not come up at all.
	for _, form := range []string{"length", "falling", "round", "round falling", "item", "disc", "upright", "upright round", "wall", "by height", "recessed"} {
		t.Run(form, rapid.MakeCheck(func(t *rapid.T) { movedMoves(t, form, took, level) }))
		if took[form] == 0 {
			t.Errorf("%s: not shifted once", form)
		}
	}
	if took["on trial"] == 0 {
		t.Error("none was shifted on trial")
	}
	t.Log(took, level)
}

// movedMoves draws one row of a form and shifts it; took counts the rows shifted and refused by form, level the ways of writing levels that were shifted.
func movedMoves(t *rapid.T, form string, took, level map[string]int) {
	of := func(label string, from ...string) string { return rapid.SampledFrom(from).Draw(t, label) }
	row := map[string]string{"id": "Z", "storey": of("storey", "G", "F"), "hanger": of("hanger", "", "channel 41 M10"), "insulation": of("insulation", "", "25")}
	x := func(k string) string {
		return of(k, "1001000", "1001500.5", "1002.25 m", "A+1200", "A + 2000", "B", "B-300", "B - 4.5 m", "grid A-1 - 900", "A")
	}
	y := func(k string) string {
		return of(k, "2001000", "2003000.25", "2004.5 m", "grid 1 + 600", "grid 1+3000", "grid 2", "grid 2 - 450", "grid 3-200")
	}
	ref := func(k string) string {
		return of(k, "FFL+2700", "2700", "2.7 m", "2.850 m AFFL", "FFL + 2805.5", "datum+1650", "project+2900", "SSL+2900", "soffit-260", "300 below soffit", "ceiling+120", "build-up+20", "steel-60", "u/s beam", "TOD 2900", "3000 CL", "soffit - 0.4 m")
	}
	row["x1"], row["y1"], row["level"], row["face"] = x("x1"), y("y1"), ref("level"), of("face", "", "", "top", "centre", "bottom")
	if strings.ContainsAny(row["level"], "CD") {
		row["face"] = ""
	}
	long := form == "length" || form == "wall" || strings.HasSuffix(form, "falling") || form == "round"
	if long {
		row["x2"], row["y2"] = x("x2"), y("y2")
	}
	row["size"] = map[string]string{
		"length": "300x200", "falling": "300x200", "round": "ø150", "round falling": "DN100", "item": "300x400x200", "disc": "ø200x100", "upright": "150x150",
		"upright round": "ø150", "wall": "100", "by height": "300x200", "recessed": "600x600x100",
	}[form]
	if strings.HasSuffix(form, "falling") {
		row["fall"] = of("fall", "1 in 80", "-1.25 %", "12.5 mm/m")
	}
	if form == "upright" || form == "upright round" || form == "wall" {
		row["level"] = of("range", "FFL+2400..FFL+2700", "2400 to 2700", "2.4 m..2.70 m", "FFL+2400..soffit-100", "ceiling+20 .. soffit - 20", "FFL..soffit", "ceiling..3500")
		row["face"] = ""
	}
	row["bay"] = of("bay", "", "a1")
	if form == "by height" {
		row["bay"] = "a1"
		delete(row, "x1")
		delete(row, "y1")
	}
	if form == "recessed" {
		row["kind"], row["recessed"] = "light fitting", "yes"
	}
	for c, text := range row {
		if text == "" {
			delete(row, c)
		}
	}
	p := shiftable(t, row)
	i, ok := p.ZoneByID("Z")
	if !ok {
		t.Skip("no good row: ", p.Problems)
	}
	step := func(k string) float64 {
		if rapid.Bool().Draw(t, k+" not at all") {
			return 0
		}
		return float64(rapid.IntRange(-3000, 3000).Draw(t, k)) / float64(rapid.SampledFrom([]int{1, 1, 10}).Draw(t, k+" by"))
	}
	by := r3.Vector{X: step("east"), Y: step("north"), Z: step("up")}
	if form == "by height" && rapid.IntRange(0, 3).Draw(t, "in plan") > 0 {
		by.X, by.Y = 0, 0
	}
	was, before := p.Zone(i).own(), p.Row(i)
	moved, pr := p.Moved(i, by)
	// On trial it comes to the same, and leaves nothing behind.
	var there Zone
	_, takeBack, onTrial := p.Shift(i, by)
	if onTrial {
		took["on trial"]++
		there = p.Zone(i).own()
		if takeBack(); pr != nil || !reflect.DeepEqual(p.Zone(i).own(), was) || len(p.Typed()) > 0 {
			t.Fatalf("%v shifted %v on trial, which cells cannot say (%v), or not taken back: %+v, was %+v", row, by, pr, p.Zone(i), was)
		}
	}
	took[form+map[bool]string{true: ", refused"}[pr != nil]]++
	if pr != nil {
		if form != "by height" && !strings.Contains(pr.What, "reaches to") && !strings.Contains(pr.What, "differs by") && !strings.Contains(pr.What, "no beam") && !strings.Contains(pr.What, "no bay holds") && !strings.Contains(pr.What, "has no ceiling") {
			t.Fatalf("%v shifted %v: %v", row, by, pr)
		}
		return
	}
	undo := []CellText{}
	for _, c := range moved {
		is := p.CellOf(i, c.Column)
		if is == c.Text || is != row[c.Column] {
			t.Fatalf("%v shifted %v: %v, and %s is %q", row, by, moved, c.Column, is)
		}
		undo = append(undo, CellText{c.Column, is})
	}
	if _, pr := p.EditCells("Z", moved); pr != nil {
		t.Fatalf("%v shifted %v: %v: %v", row, by, moved, pr)
	}
	level[of("", row["level"])]++
	if z := p.Zone(i); onTrial && (!z.same(&there) || z.Storey != there.Storey) {
		t.Fatalf("%v shifted %v: %+v, and on trial %+v", row, by, z.Bare(), there.Bare())
	}
	a, b := was.Bare(), p.Zone(i).Bare()
	b.Centre = b.Centre.Sub(by)
	if d := b.Centre.Sub(a.Centre); d.Norm() > 0.001 || math.Abs(a.H-b.H)+math.Abs(a.W-b.W)+a.Along.Sub(b.Along).Norm() > 0.001 {
		t.Fatalf("%v shifted %v by %v: the body is %+v, was %+v, off by %v", row, by, moved, b, a, d)
	}
	after := p.Row(i)
	after.X1, after.Y1, after.X2, after.Y2, after.Level, after.Bay = before.X1, before.Y1, before.X2, before.Y2, before.Level, before.Bay
	if d := gocmp.Diff(before, after); d != "" {
		t.Fatalf("%v shifted %v: the row is another (-was +is):\n%s", row, by, d)
	}
	read := maps.Clone(row)
	for _, c := range moved {
		read[c.Column] = c.Text
		if p.CellOf(i, c.Column) != c.Text {
			t.Fatalf("%s is typed as %q and comes back as %q", c.Column, c.Text, p.CellOf(i, c.Column))
		}
		if strings.ContainsAny(c.Text, "eE") && c.Column != "level" {
			t.Fatalf("%s has an exponent: %q", c.Column, c.Text)
		}
	}
	if d := gocmp.Diff(projectOf(shiftable(t, read)), projectOf(p), gocmp.AllowUnexported(Bay{})); d != "" {
		t.Fatalf("%v shifted %v is not what reading %v gives (-read +edited):\n%s", row, by, moved, d)
	}
	// Back, and then to the letter as it was.
	back, pr := p.Moved(i, by.Mul(-1))
	if pr != nil {
		t.Fatalf("%v shifted %v does not come back: %v", row, by, pr)
	}
	for _, c := range back {
		if by.X != math.Trunc(by.X/10)*10 || by.Y != math.Trunc(by.Y/10)*10 || by.Z != math.Trunc(by.Z/10)*10 || strings.HasSuffix(row[c.Column], "m") || c.Text == row[c.Column] {
			continue
		}
		t.Fatalf("%v shifted %v by %v, and back by %v", row, by, moved, back)
	}
	if _, pr := p.EditCells("Z", undo); pr != nil {
		t.Fatalf("%v shifted %v is not undone by %v: %v", row, by, undo, pr)
	}
	if z := p.Zone(i); z.Bare() != was.Bare() || len(p.Typed()) > 0 {
		t.Fatalf("%v shifted %v and undone by %v: %+v, was %+v; typed %v", row, by, undo, z.Bare(), was.Bare(), p.Typed())
	}
}

// Without its table a row's cells are in canonical form, and are shifted in it.
func TestMovedWithoutTables(t *testing.T) {
	p := shiftable(t, map[string]string{"id": "Z", "storey": "G", "x1": "A + 1200", "y1": "2001000", "size": "300x300x200", "level": "2.9 m AFFL BOD"})
	p.Originals(nil)
	i, _ := p.ZoneByID("Z")
	got, pr := p.Moved(i, r3.Vector{X: 300, Y: 5, Z: 40})
	if want := "level FFL+2940 bottom; x1 A+1500; y1 2001005"; pr != nil || text(got) != want {
		t.Errorf("%v %v, want %s", text(got), pr, want)
	}
	for column, want := range map[string]string{"level": "FFL+2900 bottom", "x1": "A+1200", "size": "300x300x200", "id": "Z", "width": "", "no such": "", "-": ""} {
		if got := p.CellOf(i, column); got != want {
			t.Errorf("%s is %q, want %q", column, got, want)
		}
	}
}
