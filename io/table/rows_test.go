package table

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"voidline/void"
	"voidline/void/cell"

	want "voidline/void/need"
)

var (
	word   = cell.ParseWord
	length = cell.ParseLength
	inPlan = cell.ParsePlace
)

// TestTables reads one or two rows of each table, with headings as people write them.
func TestTables(t *testing.T) {
	got, zones := read(t, folder(map[string]string{
		"levels.csv":   "Storey,FFL (m),ssl_m,Datum\nGround,0,-0.05,\n\nFirst,4.57,,1000\n",
		"grid.csv":     "AXIS;label;Position_m\nx;A;0\ny;3;7,200\n",
		"buildups.csv": "Build-up,layer,thickness,Lifts out\nboard,board,12.5,\ngrid,\"tile, 600\",19,yes\n",
		"bays.csv":     "bay,storey,x1,y1,x2,y2,soffit,ceiling,Build up,note\nB1,Ground,A,0,B+1200,6000,3000,none,,\nB2,First,0,0,1,1,FFL+3000,2700,grid,stair\n",
		"gaps.csv":     "of,to,side,gap,over,basis,why,source\ntray,any,above,150,600,practice,laying room,\nwet,electrical,above,told,,,,\n",
		"hangers.csv":  "hanger,part,height,side,width,rods,from\nrod and channel,channel,41,,41,2,soffit\n",
		"openings.csv": "in,at,x,y,size,level,face,margin,note\nB12,1200,,,\"600x300\",,,25,\nsoffit B1,,0,5,ø200,,,,riser\n",
		"access.csv":   "for\tkind\tside\tdepth_mm\twidth\tx\ty\tsize\tnote\nV1\thatch\tbelow\t\t\t1,5\tA\t600x600\t\n",
		"tray.csv": "id,trade,service,kind,storey,bay,x1,y1,x2_m,y2,size,width,height,diameter,joint,top,insulation,level_m,face,fall,hanger,frame,tier," +
			"run,joins,recessed,reach,circuits,class,rank,holds,tolerance,guid,note\n" +
			"T1,power,LV,tray,Ground,B1,0,A+5,12.5,B,300x60,,,,1,2,25 over joint,2.7,top,1 in 80,rod and channel,F1,2,R1,T2;T3,no,yes,12,B,1,level,5,0NwX,'=1+1\n" +
			"T2,,,,,B1,,,,,,300,60,,,,,2.7,,,,,,,,,,,,,,,,\n",
	}))
	at := func(file, line int32) void.At { return void.At{File: file, Line: line} }
	want := &Tables{
		Name:  "project",
		Files: []string{"levels.csv", "grid.csv", "buildups.csv", "bays.csv", "gaps.csv", "hangers.csv", "openings.csv", "access.csv", "ductwork.csv", "tray.csv"},
		Levels: []void.LevelRow{
			{At: at(0, 2), Storey: word("Ground"), FFL: length("0 m"), SSL: length("-0.05 m")},
			{At: at(0, 4), Storey: word("First"), FFL: length("4.57 m"), Datum: length("1000")},
		},
		Grid: []void.GridRow{
			{At: at(1, 2), Axis: word("x"), Label: word("A"), Position: cell.ParseCoordinate("0 m")},
			{At: at(1, 3), Axis: word("y"), Label: word("3"), Position: cell.ParseCoordinate("7.200 m")},
		},
		BuildUps: []void.BuildUpRow{
			{At: at(2, 2), BuildUp: word("board"), Layer: word("board"), Thickness: length("12.5")},
			{At: at(2, 3), BuildUp: word("grid"), Layer: word("tile, 600"), Thickness: length("19"), LiftsOut: cell.ParseFlag("yes")},
		},
		Bays: []void.BayRow{
			{At: at(3, 2), Bay: word("B1"), Storey: word("Ground"), X1: inPlan("A"), Y1: inPlan("0"), X2: inPlan("B+1200"), Y2: inPlan("6000"), Soffit: cell.ParseLevel("3000"), Ceiling: cell.ParseLevel("none")},
			{At: at(3, 3), Bay: word("B2"), Storey: word("First"), X1: inPlan("0"), Y1: inPlan("0"), X2: inPlan("1"), Y2: inPlan("1"), Soffit: cell.ParseLevel("FFL+3000"), Ceiling: cell.ParseLevel("2700"), BuildUp: word("grid"), Note: word("stair")},
		},
		Gaps: []void.GapRow{
			{At: at(4, 2), Of: word("tray"), To: word("any"), Side: cell.ParseSide("above"), Gap: cell.ParseAsked("150"), Over: length("600"), Basis: word("practice"), Why: word("laying room")},
			{At: at(4, 3), Of: word("wet"), To: word("electrical"), Side: cell.ParseSide("above"), Gap: cell.ParseAsked("told")},
		},
		Hangers:  []void.HangerRow{{At: at(5, 2), Hanger: word("rod and channel"), Part: word("channel"), Height: length("41"), Width: length("41"), Rods: cell.ParseNumber("2"), From: word("soffit")}},
		Openings: []void.OpeningRow{{At: at(6, 2), In: word("B12"), Along: length("1200"), Size: cell.ParseSize("600x300"), Margin: length("25")}, {At: at(6, 3), In: word("soffit B1"), X: inPlan("0"), Y: inPlan("5"), Size: cell.ParseSize("ø200"), Note: word("riser")}},
		Access:   []void.AccessRow{{At: at(7, 2), For: word("V1"), Kind: word("hatch"), Side: cell.ParseSide("below"), X: inPlan("1.5"), Y: inPlan("A"), Size: cell.ParseSize("600x600")}},
	}
	offset := cmpopts.IgnoreFields(void.At{}, "Offset") // TestForms has it
	if diff := cmp.Diff(want, got, offset); diff != "" {
		t.Errorf("tables (-want +got):\n%s", diff)
	}
	wantZones := []zoneRow{
		{"ductwork.csv", void.ZoneRow{At: at(8, 2), ID: word("D1"), X1: inPlan("100"), Y1: inPlan("200"), Size: cell.ParseSize("600x300"), Level: cell.ParseLevel("2700")}},
		{"tray.csv", void.ZoneRow{
			At: at(9, 2), ID: word("T1"), Trade: word("power"), Service: word("LV"), Kind: word("tray"), Storey: word("Ground"), Bay: word("B1"),
			X1: inPlan("0"), Y1: inPlan("A+5"), X2: inPlan("12.5 m"), Y2: inPlan("B"), Size: cell.ParseSize("300x60"), Joint: length("1"), Top: length("2"), Insulation: cell.ParseCovering("25 over joint"),
			Level: cell.ParseLevel("2.7 m"), Face: cell.ParseFace("top"), Fall: cell.ParseFall("1 in 80"), Hanger: word("rod and channel"), Frame: word("F1"), Tier: word("2"), Run: word("R1"), Joins: cell.ParseNames("T2;T3"),
			Recessed: cell.ParseFlag("no"), Reach: cell.ParseFlag("yes"), Circuits: cell.ParseNumber("12"), Class: word("B"), Rank: cell.ParseNumber("1"), Holds: word("level"), Tolerance: length("5"), GUID: word("0NwX"), Note: word("'=1+1"),
		}},
		{"tray.csv", void.ZoneRow{At: at(9, 3), ID: word("T2"), Bay: word("B1"), Width: length("300"), Height: length("60"), Level: cell.ParseLevel("2.7 m")}},
	}
	if diff := cmp.Diff(wantZones, zones, offset); diff != "" {
		t.Errorf("zones (-want +got):\n%s", diff)
	}
}

// TestHeadings matches headings with the columns of a trade's table.
func TestHeadings(t *testing.T) {
	fields := zones.fields()
	for _, test := range []struct {
		heading, want string
		metres        bool
	}{
		{"x1", "x1", false},
		{" X 1 ", "x1", false},
		{"X-1", "x1", false},
		{"x_1", "x1", false},
		{"x1_mm", "x1", false},
		{"x1_m", "x1", true},
		{"X1 [m]", "x1", true},
		{"X1 (mm)", "x1", false},
		{"x1\n(m)", "x1", true},
		{"\ufeffid", "id", false},
		{"Level_M", "level", true},
		{"insulation_m", "insulation", true},
		{"size_m", "size", true},
		{"Joins", "joins", false},
		// What is no length has no unit.
		{"fall_m", "", false},
		{"rank_mm", "", false},
		{"note_m", "", false},
		{"m", "", false},
		{"mm", "", false},
		{"_m", "", false},
		{"", "", false},
		{"x1_cm", "", false},
		{"x", "", false},
	} {
		got := ""
		i, metres := match(fields, test.heading)
		if i >= 0 {
			got = fields[i].name
		}
		if got != test.want || metres != test.metres {
			t.Errorf("match(%q) = %q, metres %v, want %q, %v", test.heading, got, metres, test.want, test.metres)
		}
	}
	// No column is another one in metres.
	for _, k := range append([]*kind{&zones}, fixed...) {
		for _, f := range k.fields() {
			if i, metres := match(k.fields(), f.name); metres || k.fields()[i].name != f.name {
				t.Errorf("%s%s: column %q is not read as itself", k.file, k.row, f.name)
			}
			if f.name != plain(f.name) {
				t.Errorf("%s%s: column %q is not written plainly", k.file, k.row, f.name)
			}
		}
		// What is needed is there.
		for _, n := range k.need {
			for _, all := range n.any {
				for _, name := range all {
					if i, _ := match(k.fields(), name); i < 0 {
						t.Errorf("%s needs a column %q, which its rows have not", k.file, name)
					}
				}
			}
		}
	}
}

// TestDoubtfulPoint reads files with semicolons in which a point may part thousands: what the file has elsewhere says
// whether its points are decimal ones.
func TestDoubtfulPoint(t *testing.T) {
	const (
		header = "id;x1;y1;size;level;rank;x2_m\n"
		want   = `"1.200" may have its point for a decimal one or for thousands; give numbers written one way: the file has decimal commas elsewhere (1200 for twelve hundred, 1,2 for one and two tenths`
		asks   = `"1.200" in a file with semicolons is probably a number of thousands; give a number without a point between its thousands (1000 for a thousand, 1 or 1,0 for one`
	)
	for _, test := range []struct {
		about, rows string
		want        []string
	}{
		{"nothing else with a point", "D1;1.200;0;ø50;2700;;\n", []string{"tray.csv:2:4: x1: " + asks + ")"}},
		{"in a size", "D1;0;0;1.200x600x300;2700;;\n", []string{`tray.csv:2:8: size: "1.200x600x300"` + asks[7:] + ")"}},
		{"twice", "D1;1.200;1.200;ø50;2700;;\n", []string{"tray.csv:2:4: x1: " + asks + "; so in 2 cells)"}},
		{"decimal points before", "D1;0.5;0;ø50;2700;;\nD2;1.200;0;ø50;2700;;\n", nil},
		{"decimal points after, three digits always", "D1;1.200;0;ø50;2700;;\nD2;1200.000;0;ø50;2700;;\n", nil},
		{"decimal points in metres", "D1;1.200;0;ø50;2700;;1.25\n", nil},
		{"commas before", "D1;0,5;0;ø50;2700;;\nD2;1.200;0;ø50;2700;;\n", []string{"tray.csv:3:4: x1: " + want + ")"}},
		{"commas after", "D1;0;1.200;ø50;2700;;\nD2;1.200;0,5;ø50;2700;;\n", []string{"tray.csv:2:6: y1: " + want + "; so in 2 cells)"}},
		{"metres are not in doubt", "D1;0;0;ø50;2700;;1.200\nD2;1;0,5;ø50;2700;;\n", nil},
	} {
		tables, _ := read(t, folder(map[string]string{"tray.csv": header + test.rows}))
		if diff := cmp.Diff(test.want, asText(tables.Problems)); diff != "" {
			t.Errorf("%s: problems (-want +got):\n%s", test.about, diff)
		}
	}
	// Between commas and between tabs a point is a decimal one.
	for _, sep := range []string{",", "\t"} {
		rows := strings.ReplaceAll(header+"D1;1.200;0;ø50;2700;;\n", ";", sep)
		if tables, _ := read(t, folder(map[string]string{"tray.csv": rows})); len(tables.Problems) > 0 {
			t.Errorf("parted by %q: %v", sep, asText(tables.Problems))
		}
	}
}

// TestLocate finds the columns of cells whose lines alone are known.
func TestLocate(t *testing.T) {
	dir := t.TempDir()
	for name, text := range map[string]string{
		"tray.csv":   "sep=;\nid;\"x\n1\";y1;size;level;build;Note\n\nD1;\"1\";22;ø50;2700\n\n\nDü; 1 ;\"2\n2\";ø50;2700;;n\n\"open;\nD3;0;0;ø50;2700\n",
		"Bays.csv":   "bay,x1,y1,x2,y2,soffit,ceiling,Build-Up\nB1,0,0,1,1,3000,2700,grid\n",
		"zipped.csv": "PK\x03\x04",
	} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	for _, test := range []struct {
		file         string
		line         int
		cell         string
		wantLine, to int
	}{
		{"tray.csv", 5, "id", 5, 1},
		{"tray.csv", 5, "x1", 5, 4},
		{"tray.csv", 5, "y1", 5, 8},
		{"tray.csv", 5, "level", 5, 16},
		{"tray.csv", 8, "x1", 8, 6},
		{"tray.csv", 8, "y1", 8, 9},
		{"tray.csv", 8, "size", 9, 4},
		{"tray.csv", 8, "note", 9, 15},
		{"tray.csv", 11, "level", 11, 13},
		{"Bays.csv", 2, "buildup", 2, 22},
		{"Bays.csv", 2, "build-up", 2, 22},
		// Not to be found: the problem stays as it is.
		{"tray.csv", 5, "note", 5, 0},
		{"tray.csv", 5, "build", 5, 0},
		{"tray.csv", 5, "x2", 5, 0},
		{"tray.csv", 5, "", 5, 0},
		{"tray.csv", 0, "id", 0, 0},
		{"tray.csv", 6, "id", 6, 0},
		{"tray.csv", 9, "id", 9, 0},
		{"tray.csv", 10, "id", 10, 0},
		{"tray.csv", 99, "id", 99, 0},
		{"zipped.csv", 1, "id", 1, 0},
		{"gone.csv", 1, "id", 1, 0},
		{"", 1, "id", 1, 0},
	} {
		p := void.Problem{File: test.file, Line: test.line, Cell: test.cell, What: "x", Want: "y", Hint: "z"}
		want := p
		want.Line, want.Column = test.wantLine, test.to
		got := []void.Problem{p}
		if locate(os.DirFS(dir), got); got[0] != want {
			t.Errorf("located, %v is %v, want %v", p, got[0], want)
		}
	}
	p := void.Problem{File: "tray.csv", Line: 5, Column: 99, Cell: "id"}
	got := []void.Problem{p}
	if locate(os.DirFS(dir), got); got[0] != p {
		t.Errorf("located, %v is %v, want it unchanged", p, got[0])
	}
}

// TestClinic reads the tables of a real building without a problem: each line but the header is a row.
func TestClinic(t *testing.T) {
	dir, err := filepath.Abs(filepath.Join("..", "..", "..", "shared", "realdata", "clinic"))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(dir); err != nil {
		want.Skip(t, "the real tables are not beside the repository: %v", err)
	}
	rows := map[string]int{}
	got, err := readTables(context.Background(), dir, Options{Zone: func(file string, _ *void.ZoneRow) { rows[file]++ }})
	if err != nil {
		t.Fatal(err)
	}
	if len(got.Problems) > 0 || len(got.Warnings) > 0 || got.RowsMissing > 0 || len(got.Unread) > 0 {
		t.Errorf("problems %q, warnings %q, %d rows missing, %q unread, want none", asText(got.Problems), asText(got.Warnings), got.RowsMissing, got.Unread)
	}
	rows["bays.csv"], rows["levels.csv"], rows["buildups.csv"] = len(got.Bays), len(got.Levels), len(got.BuildUps)
	files, err := filepath.Glob(filepath.Join(dir, "*.csv"))
	if err != nil {
		t.Fatal(err)
	}
	want := map[string]int{}
	for _, f := range files {
		data, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		n := -1
		for _, c := range data {
			if c == '\n' {
				n++
			}
		}
		want[filepath.Base(f)] = n
	}
	if diff := cmp.Diff(want, rows); diff != "" {
		t.Errorf("rows of each file (-want +got):\n%s", diff)
	}
	t.Log(rows)
}
