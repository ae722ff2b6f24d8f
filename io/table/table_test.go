package table

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"

	"voidline/void"
	"voidline/void/cell"
)

// goodBays and goodZones make a folder complete where a test is about another file.
const (
	goodBays  = "bay,storey,x1,y1,x2,y2,soffit,ceiling\nB1,,0,0,6000,6000,3000,2700\n"
	goodZones = "id,x1,y1,size,level\nD1,100,200,600x300,2700\n"
)

// folder puts files beside goodBays and goodZones; a name given twice is taken from the latter.
func folder(files map[string]string) fstest.MapFS {
	fsys := fstest.MapFS{"bays.csv": {Data: []byte(goodBays)}, "ductwork.csv": {Data: []byte(goodZones)}}
	for name, data := range files {
		fsys[name] = &fstest.MapFile{Data: []byte(data)}
	}
	return fsys
}

// zoneRow is what a test compares of a zone, with the name that its file gives to the trade.
type zoneRow struct {
	File string
	Row  void.ZoneRow
}

func read(t *testing.T, fsys fstest.MapFS) (*Tables, []zoneRow) {
	t.Helper()
	var zones []zoneRow
	tables, err := readTables(context.Background(), "project", Options{FS: fsys, Zone: func(file string, row *void.ZoneRow) {
		zones = append(zones, zoneRow{file, *row})
	}})
	if err != nil {
		t.Fatalf("Read: %v", err)
	}
	checkTwin(t, fsys)
	return tables, zones
}

func asText(problems []void.Problem) []string {
	var list []string
	for _, p := range problems {
		list = append(list, p.String())
	}
	return list
}

// unmark takes the position marks out of a table: § where a problem's cell begins, ¶ anywhere in a
// line that is meant as a whole. It returns the text and the marked places as "line:column: " or "line: ".
func unmark(text string) (plain string, places []string) {
	var b strings.Builder
	line, column := 1, 1
	for _, r := range text {
		switch r {
		case '§':
			places = append(places, fmt.Sprintf("%d:%d: ", line, column))
			continue
		case '¶':
			places = append(places, fmt.Sprintf("%d: ", line))
			continue
		case '\n':
			line, column = line+1, 0
		}
		b.WriteRune(r)
		column += len(string(r))
	}
	return b.String(), places
}

func fault(f *cell.Fault) string {
	if f == nil {
		panic("the cell has no fault")
	}
	return f.Error()
}

// TestProblems reads one table with something wrong in it. Places are marked in the text.
func TestProblems(t *testing.T) {
	for _, test := range []struct {
		about   string
		file    string // what else is in the folder is good
		text    string
		want    []string // in the order of the marks, a warning with ~ in front
		missing int
	}{
		{about: "nothing", file: "pipes.csv", text: "id,x1,y1,size,level\nP1,0,0,ø50,2700\n"},

		// Empty.
		{about: "empty trade", file: "pipes.csv", text: "", want: []string{"the file is empty; give a header and one row on each line"}},
		{about: "empty bays", file: "bays.csv", text: "", want: []string{"the file is empty; give a header and one row on each line"}},
		{about: "blank lines", file: "pipes.csv", text: "\n\r\n  \n\n", want: []string{"the file is empty; give a header and one row on each line"}},
		{about: "only a byte order mark", file: "pipes.csv", text: "\ufeff", want: []string{"the file is empty; give a header and one row on each line"}},
		{about: "only the separator", file: "pipes.csv", text: "sep=;\n", want: []string{"the file is empty; give a header and one row on each line"}},
		{about: "header only", file: "pipes.csv", text: "¶id,x1,y1,size,level", want: []string{"~a header and no rows"}},
		{about: "bays header only", file: "bays.csv", text: "¶bay,storey,x1,y1,x2,y2,soffit,ceiling\n", want: []string{"a header and no rows; give a row for each bay"}},
		{about: "header and blank rows", file: "grid.csv", text: "\n\n¶axis,label,position\n,,\n \n,\n", want: []string{"~a header and no rows"}},

		// Headers.
		{
			about: "no zone column", file: "prices.csv", text: "¶§item,§what it costs\nduct,100\npipe,20\n", missing: 2,
			want: []string{"no column for \"id\", a place (x1 and y1, or bay), a size (size, or width and height, or diameter), \"level\"", `~unknown column "item", not read`, `~unknown column "what it costs", not read`},
		},
		{
			about: "no level", file: "pipes.csv", text: "¶id,x1,y1,size,§levle\nP1,0,0,ø50,2700\nP2,§x9!,0,ø50,2700\n", missing: 2,
			want: []string{`no column for "level" (is "levle" meant for "level"?)`, `~unknown column "levle", not read (did you mean "level"?)`, "x1: " + fault(cell.ParsePlace("x9!").Fault)},
		},
		{
			about: "bays without places", file: "bays.csv", text: "¶bay,soffit,ceiling\nB1,3000,2700\n", missing: 1,
			want: []string{"no column for \"x1\", \"y1\", \"x2\", \"y2\""},
		},
		{
			about: "bays in a trade's file", file: "rooms.csv", text: "¶bay,x1,y1,x2,y2,§soffit,§ceiling\nB2,0,0,1,1,3000,2700\n", missing: 1,
			want: []string{"no column for \"id\", a size (size, or width and height, or diameter), \"level\" (these are the columns of bays.csv)", `~unknown column "soffit", not read`, `~unknown column "ceiling", not read`},
		},
		{
			about: "zones in grid.csv", file: "grid.csv", text: "¶§id,§x1,§y1,§size,§level\nP1,0,0,ø50,2700\n", missing: 1,
			want: []string{"no column for \"axis\", \"label\", \"position\" (these are the columns of a trade's table)", `~unknown column "id", not read`, `~unknown column "x1", not read`, `~unknown column "y1", not read`, `~unknown column "size", not read`, `~unknown column "level", not read`},
		},
		{
			about: "title above the header", file: "pipes.csv", text: "¶§Pipework schedule,,,,\n,,,,\nid,x1,y1,size,level\nP1,0,0,ø50,2700\n", missing: 2,
			want: []string{"no column for \"id\", a place (x1 and y1, or bay), a size (size, or width and height, or diameter), \"level\" (line 3 looks like the header: take out what stands above it)", `~unknown column "Pipework schedule", not read`},
		},
		{
			about: "pipes between the cells", file: "pipes.csv", text: "¶§id|x1|y1|size|level\nP1|0|0|ø50|2700\n", missing: 1,
			want: []string{"no column for \"id\", a place (x1 and y1, or bay), a size (size, or width and height, or diameter), \"level\" (cells are separated by commas, semicolons or tabs)", `~unknown column "id|x1|y1|size|level", not read`},
		},
		{
			about: "separator not read", file: "pipes.csv", text: "¶sep=|\nid|x1|y1|size|level\nP1|0|0|ø50|2700\n", missing: 2,
			want: []string{`separator '|'; give a comma, a semicolon or a tab`},
		},
		{
			about: "twice the same", file: "pipes.csv", text: "id,x1,y1,size,level,§ID,§X1 (m)\nP1,0,0,ø50,2700,P2,1\n", missing: 1,
			want: []string{
				`column "ID" is there twice; give each column once (the first is cell 1, "id")`,
				`column "X1 (m)" is there twice; give each column once (the first is cell 2, "x1")`,
			},
		},
		{
			about: "unknown", file: "pipes.csv", text: "id,x1,y1,size,level,§colour,§Fase,§note_m\nP1,0,0,ø50,2700,red,,\n",
			want: []string{`~unknown column "colour", not read`, `~unknown column "Fase", not read (did you mean "face"?)`, `~unknown column "note_m", not read (did you mean "note"?)`},
		},
		{
			about: "no heading", file: "pipes.csv", text: "id,x1,y1,,size,level,\nP1,0,0,,ø50,2700\nP2,0,0,§look,ø50,2700,\nP3,0,0,here,ø50,2700,\n",
			want: []string{"~cell 4 is under no heading (this column is not read)"},
		},
		{
			about: "header with a stray quote", file: "pipes.csv", text: "id,x1,y1,size§\",level\nP1,0,0,ø50,2700\n", missing: 1,
			want: []string{`a " inside a cell that does not begin with one (put the whole cell in quotes and write the quote twice: "5"" pipe")`},
		},
		{
			about: "an answer", file: "old.csv", text: "¶id,§a,§b,§short,§gives_way\nX,1,2,3,4\n", missing: 1,
			want: []string{"no column for a place (x1 and y1, or bay), a size (size, or width and height, or diameter), \"level\" (these are the columns of an answer: keep it outside the folder)", `~unknown column "a", not read`, `~unknown column "b", not read`, `~unknown column "short", not read`, `~unknown column "gives_way", not read`},
		},

		// Rows.
		{
			about: "shapes", file: "pipes.csv", missing: 4,
			text: "id,x1,y1,size,level,note\n¶P1,0,0,ø50\nP2,0,0,ø50,2700\nP3,0,0,ø50,2700,a,§b\nP4,0,0,ø50,2700,a,,,\n¶P5\nP6,0,0,ø50,2700,pump, §3 off,\n",
			want: []string{short(4, 6), long(7, 6), short(1, 6), long(7, 6)},
		},
		{
			about: "shapes and cells", file: "pipes.csv", missing: 3,
			text: "id,x1,y1,size,level,x2\nP1,0,0,ø50,§up\n¶P2\nP3,0,0,ø50,2700,,§b\nP4,0,0,ø50,2700\n",
			want: []string{"level: " + fault(cell.ParseLevel("up").Fault), short(1, 6), long(7, 6)},
		},
		{
			about: "no decimal commas among commas", file: "pipes.csv", missing: 1,
			text: "id,x1,y1,size,level\nP1,§\"1200,5\",0,ø50,2700\n",
			want: []string{"x1: " + fault(cell.ParsePlace("1200,5").Fault)},
		},
		{
			about: "more commas than semicolons in the header", file: "pipes.csv",
			text: "id;x1;y1;size;level;§a,b,c,d,e,f,g\nP1;1200,5;0;ø50;2700;\n",
			want: []string{`~unknown column "a,b,c,d,e,f,g", not read`},
		},
		{
			about: "a bay or a place", file: "pipes.csv", missing: 1,
			text: "id,bay,size,level,x1,y1,width,height\nP1,B1,ø50,2700\n¶P2,B1,ø50\nP3,,ø50,2700,0,0\n",
			want: []string{short(3, 8)},
		},
		{
			about: "semicolons: no word of commas", file: "pipes.csv", missing: 1,
			text: "id;x1;y1;size;level\nP1;0;0;ø50;2700;§b\n",
			want: []string{"6 cells where the header has 5"},
		},
		{
			about: "a bay without y2", file: "bays.csv", missing: 2,
			text: "bay,x1,y1,soffit,ceiling,x2,y2,build-up\n¶B1,0,0,3000,2700,6000\nB2,0,0,3000,2700,6000,6000\nB3,0,0,3000,2700,6000,§\n",
			want: []string{short(6, 8), "y2: blank"},
		},
		{
			about: "no id", file: "pipes.csv", missing: 3,
			text: "size,id,x1,y1,level\nø50,§,0,0,2700\nø50,§',0,0,2700\nø50,  §,§x?,0,2700\n",
			want: []string{"id: blank", "id: blank", "id: blank", "x1: " + fault(cell.ParsePlace("x?").Fault)},
		},
		{
			about: "faults", file: "pipes.csv", missing: 2,
			text: "id,x1,y1,size,level,fall,note\nP1,§NaN,§1e999,§bent,§up,§steep,\"two\nlines\"\nP2,\"0\n\",0,§\"bent\",2700\nP3,0,0,ø50,2700,,\n",
			want: []string{
				"x1: " + fault(cell.ParsePlace("NaN").Fault), "y1: " + fault(cell.ParsePlace("1e999").Fault),
				"size: " + fault(cell.ParseSize("bent").Fault), "level: " + fault(cell.ParseLevel("up").Fault), "fall: " + fault(cell.ParseFall("steep").Fault),
				"size: " + fault(cell.ParseSize("bent").Fault),
			},
		},
		{
			about: "a bad date in a short last line", file: "pipes.csv", missing: 1,
			text: "id,x1,y1,size,level\n\n\nP1,0,0,ø50,§up",
			want: []string{"level: " + fault(cell.ParseLevel("up").Fault)},
		},
		{
			about: "NUL in a row", file: "pipes.csv", missing: 1,
			text: strings.Repeat("id,x1,y1,size,level\nP0,0,0,ø50,2700\n", 1) + strings.Repeat("P1,0,0,ø50,2700\n", 400) + "¶P\x00,0,0,ø50,2700\n",
			want: []string{"the row holds a NUL byte; give text"},
		},
		{
			about: "a long cell", file: "pipes.csv", missing: 1,
			text: "id,x1,y1,size,level,note\nP0,0,0,ø50,2700,§" + strings.Repeat("n", 64<<10+1) + "\nP1,0,0,ø50,2700," + strings.Repeat("n", 64<<10) + "\n",
			want: []string{"the cell is longer than 64 KiB; give a word or a number"},
		},
		{
			about: "a long line", file: "pipes.csv",
			text: "id,x1,y1,size,level,note\nP0,0,0,ø50,2700\n¶" + strings.Repeat("n,", 512<<10) + "nn\nP1,0,0,ø50,2700\n",
			want: []string{"the line is longer than 1 MiB; give a row of a table (reading stops here)"},
		},
		{
			about: "a long header", file: "pipes.csv",
			text: "¶" + strings.Repeat("n,", 512<<10) + "nn\nP1,0,0,ø50,2700\n",
			want: []string{"the line is longer than 1 MiB; give a row of a table (reading stops here)"},
		},

		// Quotes.
		{
			about: "inches", file: "pipes.csv", missing: 1,
			text: "id,x1,y1,size,level,note\nP1,0,0,ø50,2700,5§\" pipe\nP2,0,0,ø50,2700,\"5\"\" pipe\"\n",
			want: []string{bare},
		},
		{
			about: "text after a quote", file: "pipes.csv", missing: 2,
			text: "id,x1,y1,size,level,note\nP1,0,0,ø50,2700,\"5§\" pipe\"\nP2,0,0,ø50,2700,\nP3,\"0\n0\",0,ø50,2700,\"big§\" pipe\nP4,0,0,ø50,2700,\n",
			want: []string{after, after},
		},
		{
			about: "never closed", file: "pipes.csv", missing: 1,
			text: "id,x1,y1,size,level,note\nP1,0,0,ø50,2700,§\"big\nP2,0,0,ø50,2700,\nP3,0,0,ø50,2700,pump\n",
			want: []string{open},
		},
		{
			about: "closed by the next", file: "pipes.csv", missing: 1,
			text: "id,x1,y1,size,level,note\nP1,0,0,ø50,2700,§\"big\nP2,0,0,ø50,2700,\"pump\"\nP3,0,0,ø50,2700,\"pump, big\"\n",
			want: []string{open},
		},
		{
			about: "opened on a later line", file: "pipes.csv", missing: 1,
			text: "id,x1,y1,note,size,level\nP1,0,0,\"two\nlines\",§\"ø50,2700\nP2,0,0,,ø50,2700\n",
			want: []string{open},
		},
		{
			about: "in the last line", file: "pipes.csv", missing: 1,
			text: "id,x1,y1,size,level,note\nP1,0,0,ø50,2700,§\"big",
			want: []string{open},
		},
		{
			about: "open for 64 KiB", file: "pipes.csv", missing: 1,
			text: "id,x1,y1,size,level,note\nP1,0,0,ø50,2700,§\"big\n" + strings.Repeat("P2,0,0,ø50,2700,\n", 5000) + "P2,0,0,ø50,2700,\"x\"\n",
			want: []string{open},
		},
		{
			about: "blanks before a quote", file: "pipes.csv", missing: 1,
			text: "id, x1, y1, size, level, note\nP1, 0, 0, \"ø50\", 2700, \"a, b\"\nP2, 0, 0, \"ø50\", §\"up\", \"a, b\"\n",
			want: []string{"level: " + fault(cell.ParseLevel("up").Fault)},
		},
		{
			about: "quotes and tabs", file: "pipes.csv", missing: 1,
			text: "id\tx1\ty1\tsize\tlevel\tx2\ty2\tnote\nP1\t0\t0\t\"ø50\"\t2700\t\t\tpump\nP2\t0\t0\tø50\t2700\t\t\t §\"pump\"\n",
			want: []string{bare},
		},
	} {
		t.Run(test.about, func(t *testing.T) {
			text, places := unmark(test.text)
			tables, _ := read(t, folder(map[string]string{test.file: text}))
			var want []string
			for i, p := range test.want {
				at := " "
				if i < len(places) {
					at = places[i]
				}
				text, warning := strings.CutPrefix(p, "~")
				p = test.file + ":" + at + text
				if warning {
					p = "~" + p
				}
				want = append(want, p)
			}
			all := append(tables.Problems[:len(tables.Problems):len(tables.Problems)], tables.Warnings...)
			for i := range tables.Warnings {
				all[len(tables.Problems)+i].File = "~" + test.file
			}
			if !slices.IsSortedFunc(tables.Problems, byPlace) || !slices.IsSortedFunc(tables.Warnings, byPlace) {
				t.Errorf("not in the order of the file: %q, %q", asText(tables.Problems), asText(tables.Warnings))
			}
			slices.SortStableFunc(all, byPlace)
			got := asText(all)
			if diff := cmp.Diff(want, got); diff != "" {
				t.Errorf("problems and warnings (-want +got):\n%s", diff)
			}
			if tables.RowsMissing != test.missing {
				t.Errorf("RowsMissing = %d, want %d", tables.RowsMissing, test.missing)
			}
		})
	}
}

const (
	bare  = `a " inside a cell that does not begin with one (put the whole cell in quotes and write the quote twice: "5"" pipe")`
	after = `text after the " that closes a cell (write a quote inside a cell twice: "5"" pipe")`
	open  = `a " opens a cell that is not closed (reading goes on with the next line)`
)

func short(cells, header int) string {
	return fmt.Sprintf("%s where the header has %d", count(cells, "cell"), header)
}

func long(cells, header int) string {
	return short(cells, header) + " (a comma inside a cell needs quotes around the cell)"
}
