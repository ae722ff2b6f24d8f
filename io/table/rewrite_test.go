package table

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/golang/geo/r3"
	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"voidline/io/whole"
	"voidline/void"
)

// onDisk writes a project folder and opens it.
func onDisk(t fataler, dir string, files map[string]string) (*void.Project, *Originals) {
	t.Helper()
	for name, text := range files {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			t.Fatalf("%v", err)
		}
	}
	return openKept(t, dir)
}

func openKept(t fataler, dir string) (*void.Project, *Originals) {
	t.Helper()
	p, o, err := OpenKept(context.Background(), dir, Options{})
	if bad := (void.Problems{}); err != nil && !errors.As(err, &bad) {
		t.Fatalf("%v", err)
	}
	return p, o
}

func stands(t fataler, dir, name string) string {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(dir, name))
	if err != nil {
		t.Fatalf("%v", err)
	}
	return string(data)
}

// entries returns what stands in a folder.
func entries(t fataler, dir string) []string {
	t.Helper()
	list, err := os.ReadDir(dir)
	if err != nil {
		t.Fatalf("%v", err)
	}
	var names []string
	for _, e := range list {
		names = append(names, e.Name())
	}
	return names
}

const rewriteBays = "bay,storey,x1,y1,x2,y2,soffit,ceiling\nB1,,0,0,9000,9000,3600,2700\n"

// A cell that is changed stands as a person would have written it there, and not one other byte of the file is different.
func TestRewrite(t *testing.T) {
	cells := func(s ...string) (out []void.CellText) {
		for i := 0; i < len(s); i += 2 {
			out = append(out, void.CellText{Column: s[i], Text: s[i+1]})
		}
		return out
	}
	const plain = "id,x1,y1,x2,y2,size,level,note\nT1,0,0,3000,0,300x60,FFL+2700,as is\n\nT2,0,500,3000,500,300x60,2700,\n,,,\n\n"
	const metres = "id;x1_m;y1_m;x2_m;y2_m;size;level_m;note\r\nT1;0,50;1;3,0;1;300x60;2,70;\r\nT2;0,5;2;3;2;300x60;FFL+2,705;\r\n"
	for _, test := range []struct {
		name, was, zone string
		cells           []void.CellText
		want            string
	}{
		{"a level", plain, "T1", cells("level", "FFL+2740"), strings.Replace(plain, "FFL+2700", "FFL+2740", 1)},
		{"one that says the same", plain, "T2", cells("level", "FFL+2700.0"), plain},
		{"two cells", plain, "T2", cells("level", "2740", "x1", "-300"), strings.Replace(plain, "T2,0,500,3000,500,300x60,2700", "T2,-300,500,3000,500,300x60,2740", 1)},
		{"the last cell", plain, "T2", cells("note", `5" pipe, new`), strings.Replace(plain, "60,2700,\n", "60,2700,\"5\"\" pipe, new\"\n", 1)},
		{"a formula", plain, "T1", cells("note", "=1+1"), strings.Replace(plain, "as is", "'=1+1", 1)},
		{"a cell that is blanked", plain, "T1", cells("note", ""), strings.Replace(plain, "as is", "", 1)},
		{
			"a column that is not there", plain, "T2", cells("fall", "1 in 80"),
			"id,x1,y1,x2,y2,size,level,note,fall\nT1,0,0,3000,0,300x60,FFL+2700,as is,\n\nT2,0,500,3000,500,300x60,2700,,1 in 80\n,,,\n\n",
		},
		{
			"two of them, one blank", plain, "T1", cells("in room", "yes"),
			"",
		},
		{"a blank cell in a column that is not there", plain, "T1", cells("fall", ""), plain},
		{
			"a width in place of the size", plain, "T1", cells("width", "350"),
			"id,x1,y1,x2,y2,size,level,note,width,height\nT1,0,0,3000,0,,FFL+2700,as is,350,60\n\nT2,0,500,3000,500,300x60,2700,,,\n,,,\n\n",
		},
		{"in metres", metres, "T1", cells("level", "2740"), strings.Replace(metres, "2,70;", "2,74;", 1)},
		{"in metres, as it is moved", metres, "T1", cells("level", "2.80 m"), strings.Replace(metres, "2,70;", "2,80;", 1)},
		{"in metres from a reference", metres, "T2", cells("level", "soffit-60.5"), strings.Replace(metres, "FFL+2,705", "soffit-0,0605", 1)},
		{"a range in metres", "id;x1_m;y1_m;size_m;level_m\nT1;1;1;0,15x0,15;2,4..soffit\n", "T1", cells("level", "FFL+2440..soffit", "size", "150x200"), "id;x1_m;y1_m;size_m;level_m\nT1;1;1;0,15x0,2;FFL+2,44..soffit\n"},
		{"a short row", "id,x1,y1,x2,y2,size,level,fall,note\nT1,0,0,3000,0,300x60,2700\nT2,0,0,3000,0,300x60,2900,,n\n", "T1", cells("note", "new"), "id,x1,y1,x2,y2,size,level,fall,note\nT1,0,0,3000,0,300x60,2700,,new\nT2,0,0,3000,0,300x60,2900,,n\n"},
		{"a short row, blanked", "id,x1,y1,x2,y2,size,level,fall,note\nT1,0,0,3000,0,300x60,2700\n", "T1", cells("note", ""), "id,x1,y1,x2,y2,size,level,fall,note\nT1,0,0,3000,0,300x60,2700\n"},
		{"blanks round it, and no last line end", " id , level,x1,y1,size\nT1,  2700  ,1,1 , 100x100x100", "T1", cells("level", "2740", "size", "200x200x100"), " id , level,x1,y1,size\nT1,  2740  ,1,1 , 200x200x100"},
		{"quotes", "\"id\",\"level\",x1,y1,\"size\"\n\"T1\",\"2700\",1,1,\"100x100x100\"\n", "T1", cells("level", "2740"), "\"id\",\"level\",x1,y1,\"size\"\n\"T1\",\"2740\",1,1,\"100x100x100\"\n"},
		{"a cell of two lines", "id,level,x1,y1,size,note\nT1,2700,1,1,100x100x100,\"a\n\"\"b\"\"\"\nT2,2700,1,1,100x100x100,c\n", "T2", cells("note", "d"), "id,level,x1,y1,size,note\nT1,2700,1,1,100x100x100,\"a\n\"\"b\"\"\"\nT2,2700,1,1,100x100x100,d\n"},
		{"a cell of two lines itself", "id,note,x1,y1,size,level\r\nT1,\"a\r\n\"\"b\"\"\",1,1,100x100x100,2700\r\nT2,c,1,1,100x100x100,2700\r\n", "T1", cells("note", "d", "level", "2800"), "id,note,x1,y1,size,level\r\nT1,\"d\",1,1,100x100x100,2800\r\nT2,c,1,1,100x100x100,2700\r\n"},
		{"sep=, and a row that goes on behind", "sep=;\rid;level;x1;y1;size;note\rT1;2700;1;1;100x100x100;;;\r", "T1", cells("note", "a;b", "rank", "2"), "sep=;\rid;level;x1;y1;size;note;rank\rT1;2700;1;1;100x100x100;\"a;b\";2;\r"},
		{"points in a file with semicolons", "id;level;x1;y1;size\nT1;2700;1.5;1;100x100x100\n", "T1", cells("level", "2740.5"), "id;level;x1;y1;size\nT1;2740.5;1.5;1;100x100x100\n"},
		{"no sign of either", "id;level;x1;y1;size\nT1;2700;1;1;100x100x100\n", "T1", cells("level", "2740.5"), "id;level;x1;y1;size\nT1;2740,5;1;1;100x100x100\n"},
		{"tabs", "id\tlevel\tx1\ty1\tsize\nT1\t 2700 \t1\t1\t100x100x100\n", "T1", cells("level", "2740.5"), "id\tlevel\tx1\ty1\tsize\nT1\t 2740.5 \t1\t1\t100x100x100\n"},
		{"a sign in front, as a person has it", "id,level,x1,y1,size\nT1,+2.70 m,1,1,100x100x100\n", "T1", cells("level", "+2.74 m"), "id,level,x1,y1,size\nT1,+2.74 m,1,1,100x100x100\n"},
		{"a sign in front, as nobody has it", "id,level,x1,y1,size\nT1,2700,1,1,100x100x100\n", "T1", cells("level", "+2.74 m"), "id,level,x1,y1,size\nT1,'+2.74 m,1,1,100x100x100\n"},
		{"DN and steel with decimal commas", "id;level;x1;y1;x2;y2;size;note\nT1;2700,5;1;1;1;900;DN50;\n", "T1", cells("size", "ø168.3"), "id;level;x1;y1;x2;y2;size;note\nT1;2700,5;1;1;1;900;ø168,3;\n"},
	} {
		t.Run(test.name, func(t *testing.T) {
			dir := t.TempDir()
			p, o := onDisk(t, dir, map[string]string{"bays.csv": rewriteBays, "tray.csv": test.was})
			if len(p.Problems) > 0 {
				t.Fatal(p.Problems)
			}
			_, pr := p.EditCells(test.zone, test.cells)
			if test.want == "" {
				if pr == nil {
					t.Error("a column that nobody knows was taken")
				}
				return
			}
			if pr != nil {
				t.Fatal(pr)
			}
			kept, err := o.Rewrite(Changes(p))
			if err != nil {
				t.Fatal(err)
			}
			if got := stands(t, dir, "tray.csv"); got != test.want {
				t.Errorf("the file is\n%q, want\n%q", got, test.want)
			}
			if test.want == test.was {
				if kept != nil || len(entries(t, dir)) != 2 {
					t.Errorf("nothing changes, and %v is kept, %v there", kept, entries(t, dir))
				}
				return
			}
			if !slices.Equal(kept, []string{"tray.csv.old"}) || stands(t, dir, "tray.csv.old") != test.was {
				t.Errorf("kept: %v, %q", kept, stands(t, dir, "tray.csv.old"))
			}
			if got := entries(t, dir); !slices.Equal(got, []string{"bays.csv", "tray.csv", "tray.csv.old"}) {
				t.Errorf("the folder holds %v", got)
			}
			sameZones(t, p, dir)
		})
	}
}

// sameZones wants that a folder, read anew, has the zones of a project.
func sameZones(t fataler, p *void.Project, dir string) {
	t.Helper()
	q, _ := openKept(t, dir)
	is, was := zoneLines(q), zoneLines(p)
	if d := cmp.Diff(was, is); d != "" {
		t.Fatalf("the files make other zones (-edited +read):\n%s", d)
	}
}

// zoneLines is what others see of the zones of a project, by line.
func zoneLines(p *void.Project) []string {
	var out []string
	for i := range p.Zones() {
		if z := p.Zone(i); !z.Gone {
			r := p.Row(i)
			r.At = void.At{}
			out = append(out, fmt.Sprintf("%+v %+v %+v", r, z.Bare(), z.Full()))
		}
	}
	for _, pr := range append(slices.Clone(p.Problems), p.Warnings...) {
		pr.Column = 0
		pr.Line = 0                                                              // a cell of two lines may have become one
		if pr.Cell != "" || !strings.Contains(pr.What, "read as Windows-1252") { // the one letter may be gone
			out = append(out, pr.String())
		}
	}
	slices.Sort(out)
	return out
}

// In every separator, line end and encoding, with quotes or without, the bytes are those of the same text with the cell replaced.
func TestRewriteForms(t *testing.T) {
	for _, sep := range []string{",", ";", "\t"} {
		for _, end := range []string{"\n", "\r\n", "\r"} {
			for _, enc := range encodings {
				t.Run(fmt.Sprintf("%q %q %s", sep, end, enc.name), func(t *testing.T) {
					for _, quoted := range []bool{false, true} {
						text := func(level, note, more, blank string) string {
							records := [][]string{{"id", "x1", "y1", "size", "level", "note" + more}, {"Dü1", "1", "1", "100x100x100", "2700", "ø" + blank}, {}, {"D2", "1", "2", "100x100x100", level, note}, {"", "", ""}, {"Dü3", "1", "3", "100x100x100", "2700", "plain" + blank}}
							s, _ := write(records, sep, end, func() bool { return quoted })
							if quoted {
								s = strings.ReplaceAll(s, `fall"`, `note"`+sep+`fall`)
								s = strings.ReplaceAll(s, `note`+`note"`, `note"`)
							}
							return s
						}
						dir := t.TempDir()
						was := text("2700", "€", "", "")
						p, o := onDisk(t, dir, map[string]string{"bays.csv": rewriteBays, "tray.csv": string(enc.encode(was))})
						if len(p.Problems) > 0 {
							t.Fatal(p.Problems)
						}
						if _, pr := p.EditCells("d2", []void.CellText{{Column: "level", Text: "FFL+2740"}, {Column: "note", Text: "ä, \"b\"; €"}}); pr != nil {
							t.Fatal(pr)
						}
						if _, err := o.Rewrite(Changes(p)); err != nil {
							t.Fatal(err)
						}
						want := text("FFL+2740", "ä, \"b\"; €", "", "")
						if got := stands(t, dir, "tray.csv"); got != string(enc.encode(want)) {
							t.Errorf("the file is\n%q, want\n%q", got, enc.encode(want))
						}
						sameZones(t, p, dir)
					}
				})
			}
		}
	}
}

// What is refused leaves the folder as it was, and says why.
func TestRewriteRefused(t *testing.T) {
	const zones = "id,x1,y1,size,level,note\nT1,1,1,100x100x100,2700,ü\nT2,1,2,100x100x100,2800,\n"
	level := []CellChange{{File: "tray.csv", Line: 2, ID: "T1", Column: "level", Text: "2740"}}
	but := func(f func(*CellChange)) []CellChange {
		c := slices.Clone(level)
		f(&c[0])
		return c
	}
	nothing := func(string) error { return nil }
	for _, test := range []struct {
		name    string
		was     string
		before  func(dir string) error
		changes []CellChange
		is      error
		says    string
	}{
		{"changed since", zones, func(dir string) error {
			return os.WriteFile(filepath.Join(dir, "tray.csv"), []byte(zones+"T3,1,3,100x100x100,2800,\n"), 0o644)
		}, level, whole.ErrChanged, "tray.csv: nothing was written: somebody changed it since it was read; run again"},
		{"changed, and as long as it was", zones, func(dir string) error {
			return os.WriteFile(filepath.Join(dir, "tray.csv"), []byte(strings.Replace(zones, "2800", "2801", 1)), 0o644)
		}, level, whole.ErrChanged, "somebody changed it"},
		{"gone", zones, func(dir string) error { return os.Remove(filepath.Join(dir, "tray.csv")) }, level, whole.ErrChanged, "it is gone"},
		{"read-only", zones, func(dir string) error { return os.Chmod(filepath.Join(dir, "tray.csv"), 0o444) }, level, whole.ErrLocked, "tray.csv: nothing was written: it is read-only: make it writable"},
		{"open in a spreadsheet", zones, func(dir string) error { return os.WriteFile(filepath.Join(dir, ".~lock.tray.csv#"), nil, 0o644) }, level, whole.ErrOpen, "take .~lock.tray.csv# away"},
		{"a link", zones, func(dir string) error {
			if err := os.Rename(filepath.Join(dir, "tray.csv"), filepath.Join(dir, "tray.txt")); err != nil {
				return err
			}
			return os.Symlink("tray.txt", filepath.Join(dir, "tray.csv"))
		}, level, nil, "it is a link"},
		{"another row", zones, nothing, but(func(c *CellChange) { c.ID = "T9" }), ErrRow, `tray.csv:2: level: the row is not found again: "T1" stands there, not "T9"`},
		{"no row", zones, nothing, but(func(c *CellChange) { c.Line = 9 }), ErrRow, "tray.csv:9: level: the row is not found again: no row begins there"},
		{"the header", zones, nothing, but(func(c *CellChange) { c.Line = 1 }), ErrRow, "no row begins there"},
		{"no file", zones, nothing, but(func(c *CellChange) { c.File = "pipes.csv" }), ErrRow, "pipes.csv: nothing was written"},
		{"a row of no file", zones, nothing, but(func(c *CellChange) { c.File = "" }), ErrRow, "T1: nothing was written: the row is not found again: no table of the folder has it"},
		{"no column", zones, nothing, but(func(c *CellChange) { c.Column = "colour" }), ErrText, "there is no such column"},
		{"no level", zones, nothing, but(func(c *CellChange) { c.Text = "up" }), ErrText, `"up" would not be read as it is meant`},
		{"a control character", zones, nothing, but(func(c *CellChange) { c.Column, c.Text = "note", "a\x1bb" }), ErrText, "it holds a control character"},
		{"a line end", zones, nothing, but(func(c *CellChange) { c.Column, c.Text = "note", "a\nb" }), ErrText, "it holds a control character"},
		{"no text", zones, nothing, but(func(c *CellChange) { c.Column, c.Text = "note", "a\xff" }), ErrText, "it is no text"},
		{"a long text", zones, nothing, but(func(c *CellChange) { c.Column, c.Text = "note", strings.Repeat("x", maxCell) }), ErrText, "it is longer than 32 KiB"},
		{"twice", zones, nothing, append(slices.Clone(level), level...), ErrText, "it is changed twice"},
		{"a letter that the encoding has not", string(windows(zones)), nothing, but(func(c *CellChange) { c.Column, c.Text = "note", "\u2192" }), ErrLetter, `tray.csv:2: note: the file's encoding has no such letter: '→' in Windows-1252; save the file once as CSV UTF-8`},
		{"one of two", zones, nothing, append(slices.Clone(level), CellChange{File: "tray.csv", Line: 3, ID: "T1", Column: "level", Text: "1"}), ErrRow, "tray.csv:3"},
	} {
		t.Run(test.name, func(t *testing.T) {
			dir := t.TempDir()
			_, o := onDisk(t, dir, map[string]string{"bays.csv": rewriteBays, "tray.csv": test.was})
			if err := test.before(dir); err != nil {
				t.Fatal(err)
			}
			was, there := map[string]string{}, entries(t, dir)
			for _, name := range there {
				was[name] = stands(t, dir, name)
			}
			kept, err := o.Rewrite(test.changes)
			if err == nil || kept != nil || test.is != nil && !errors.Is(err, test.is) || !strings.Contains(err.Error(), test.says) {
				t.Errorf("%v, kept %v, want %v: %s", err, kept, test.is, test.says)
			}
			if got := entries(t, dir); !slices.Equal(got, there) {
				t.Errorf("it left %v, was %v", got, there)
			}
			for name, text := range was {
				if got := stands(t, dir, name); got != text {
					t.Errorf("%s is %q, was %q", name, got, text)
				}
			}
		})
	}
}

// Several files change together, what is kept never takes the place of what was kept before, and what is kept is no table.
func TestRewriteKeeps(t *testing.T) {
	dir := t.TempDir()
	const tray, pipes = "id,x1,y1,size,level\nT1,1,1,100x100x100,2700\n", "id,x1,y1,size,level\nP1,1,1,100x100x100,2700\n"
	onDisk(t, dir, map[string]string{"bays.csv": rewriteBays, "tray.csv": tray, "pipes.csv": pipes, "tray.csv.old": "mine"})
	if err := os.Chmod(filepath.Join(dir, "tray.csv"), 0o640); err != nil {
		t.Fatal(err)
	}
	for n, want := range [][]string{{"pipes.csv.old", "tray.csv.old2"}, {"pipes.csv.old2", "tray.csv.old3"}, {"pipes.csv.old3", "tray.csv.old4"}} {
		p, o := openKept(t, dir)
		if p.Zones() != 2 || len(p.Warnings) > 0 {
			t.Fatal(p.Zones(), p.Warnings)
		}
		for i := range p.Zones() {
			moved, pr := p.Moved(i, r3.Vector{Z: 40})
			if pr == nil {
				_, pr = p.EditCells(p.Zone(i).ID, moved)
			}
			if pr != nil {
				t.Fatal(pr)
			}
		}
		kept, err := o.Rewrite(Changes(p))
		if err != nil || !slices.Equal(kept, want) {
			t.Fatalf("kept %v, %v, want %v", kept, err, want)
		}
		if got, want := stands(t, dir, "tray.csv"), strings.Replace(tray, "2700", fmt.Sprint(2740+40*n), 1); got != want {
			t.Fatalf("the file is %q, want %q", got, want)
		}
		if got, want := stands(t, dir, kept[1]), strings.Replace(tray, "2700", fmt.Sprint(2700+40*n), 1); got != want {
			t.Fatalf("%s is %q, want %q", kept[1], got, want)
		}
		if _, err := o.Rewrite(Changes(p)); !errors.Is(err, ErrRow) {
			t.Errorf("written twice from one reading: %v", err)
		}
	}
	if stands(t, dir, "tray.csv.old") != "mine" {
		t.Error("somebody's own file was replaced")
	}
	if info, err := os.Stat(filepath.Join(dir, "tray.csv")); err != nil || info.Mode().Perm() != 0o640 {
		t.Errorf("the file's permissions are %v, %v", info.Mode(), err)
	}
}

// Cells come as they stand in the file, from the bytes that were read, whatever becomes of the file; with decimal points and units.
func TestCellOf(t *testing.T) {
	dir := t.TempDir()
	p, _ := onDisk(t, dir, map[string]string{"bays.csv": rewriteBays, "tray.csv": "id;x1_m;y1;size;level_m;note\r\nT0;1;1;100x100x100;2;\r\n\"T1\";1,50;1 ;'100 x 100 x 100;FFL+2,70;\"a\r\nb\"\r\n\r\nT2;1;1;;2,7\r\n"})
	if err := os.Remove(filepath.Join(dir, "tray.csv")); err != nil {
		t.Fatal(err)
	}
	i, _ := p.ZoneByID("T1")
	for column, want := range map[string]string{"id": "T1", "x1": "1.50 m", "y1": "1", "size": "'100 x 100 x 100", "level": "FFL+2.70 m", "note": "a\nb", "x2": "", "rank": "", "width": "", "colour": ""} {
		if got := p.CellOf(i, column); got != want {
			t.Errorf("%s is %q, want %q", column, got, want)
		}
	}
	if n := len(p.Typed()); n > 0 {
		t.Errorf("%d cells were typed", n)
	}
}

// Random edits of random tables in every form: written into the files, they are read as what the edits made; the rest of the bytes stays.
func TestRewriteIsTheEdit(t *testing.T) {
	dir := t.TempDir()
	wrote := 0
	rapid.Check(t, func(t *rapid.T) {
		for _, name := range entries(t, dir) {
			if err := os.Remove(filepath.Join(dir, name)); err != nil {
				t.Fatal(err)
			}
		}
		of := func(label string, from ...string) string { return rapid.SampledFrom(from).Draw(t, label) }
		sep, end := of("separator", ",", ";", "\t"), of("line end", "\n", "\r\n", "\r")
		enc := encodings[rapid.IntRange(0, len(encodings)-1).Draw(t, "encoding")]
		commas := sep != "," && rapid.Bool().Draw(t, "decimal commas")
		unit := map[string]string{"x1": of("x1 in", "", "_m", "_mm"), "level": of("level in", "", "_m"), "size": of("size in", "", "_m")}
		columns := []string{"id", "x1", "y1", "x2", "y2", "size", "level"}
		for _, c := range []string{"note", "insulation", "fall", "kind", "face", "joins", "run"} {
			if rapid.Bool().Draw(t, "with "+c) {
				columns = append(columns, c)
			}
		}
		columns = rapid.Permutation(columns).Draw(t, "columns")
		values := map[string][]string{
			"x1": {"0", "500.5", "1.25 m", "-300"}, "y1": {"0", "250", "1.5 m"}, "x2": {"3000", "2500.5"}, "y2": {"0", "4000"},
			"size": {"300x60", "300x60.5", "ø150", "DN50"}, "level": {"2700", "FFL+2700.5", "2.70 m", "soffit-260", "2850 AFFL", "CL 3000", "ceiling + 100"},
			"note": {"", "as is", "ü ø, x; \"y\"", "=1+1", "'quoted", "-", "+44 x"}, "insulation": {"", "25", "40 over joint", "12.5"}, "fall": {"", "1 in 80", "1.25 %"},
			"kind": {"", "duct", "pipe"}, "face": {"", "top", "centre"}, "joins": {"", "T1; T2"}, "run": {"", "R-1", "@home"},
			"rank": {"", "2"}, "width": {"300", "12.5"}, "height": {"250.5"}, "inroom": {"", "yes"}, "tolerance": {"", "10", "0"}, "guid": {"", "x-1"}, "class": {"", "b"},
		}
		file := func(column, text string) string {
			if unit[column] == "_m" {
				text = map[string]string{
					"0": "0", "500.5": "0.5005", "1.25 m": "1.25", "-300": "-0.3", "300x60": "0.3x0.06", "300x60.5": "0.3x0.0605", "ø150": "ø0.15", "DN50": "DN50",
					"2700": "2.7", "FFL+2700.5": "FFL+2.7005", "2.70 m": "2.70 m", "soffit-260": "soffit-0.26", "2850 AFFL": "2.85 AFFL", "CL 3000": "CL 3", "ceiling + 100": "ceiling + 0.1",
				}[text]
			}
			if commas && column != "note" && column != "run" {
				text = strings.Replace(text, ".", ",", 1)
			}
			return text
		}
		head := make([]string, len(columns))
		for i, c := range columns {
			head[i] = c + unit[c]
		}
		records := [][]string{head}
		for i := range rapid.IntRange(1, 4).Draw(t, "rows") {
			row := make([]string, len(columns))
			for k, c := range columns {
				if row[k] = fmt.Sprint("T", i+1); c != "id" {
					row[k] = file(c, of(c, values[c]...))
				}
			}
			records = append(records, row)
			if rapid.IntRange(0, 5).Draw(t, "a blank line") == 0 {
				records = append(records, []string{})
			}
		}
		text, _ := write(records, sep, end, func() bool { return rapid.IntRange(0, 4).Draw(t, "quoted") == 0 })
		p, o := onDisk(t, dir, map[string]string{"bays.csv": "bay,storey,x1,y1,x2,y2,soffit,ceiling\nB1,,-9000,-9000,9000,9000,3600,2700\n", "tray.csv": string(enc.encode(text))})
		if len(p.Problems) > 0 {
			t.Skip(p.Problems)
		}
		var names []string
		for c := range values {
			names = append(names, c)
		}
		slices.Sort(names)
		edits := map[string]bool{}
		for range rapid.IntRange(1, 6).Draw(t, "edits") {
			i := rapid.IntRange(0, p.Zones()-1).Draw(t, "zone")
			var cells []void.CellText
			if rapid.Bool().Draw(t, "moved") {
				var pr *void.Problem
				if cells, pr = p.Moved(i, r3.Vector{X: float64(rapid.IntRange(-500, 500).Draw(t, "east")), Z: float64(rapid.IntRange(-500, 500).Draw(t, "up")) / 10}); pr != nil {
					continue
				}
			} else {
				for range rapid.IntRange(1, 3).Draw(t, "cells") {
					c := of("column", names...)
					cells = append(cells, void.CellText{Column: c, Text: of("text", values[c]...)})
				}
			}
			if _, pr := p.EditCells(p.Zone(i).ID, cells); pr == nil {
				edits[p.Zone(i).ID] = true
			}
		}
		changes := Changes(p)
		kept, err := o.Rewrite(changes)
		if err != nil {
			if errors.Is(err, ErrLetter) {
				return
			}
			t.Fatalf("%q with %+v: %v", text, changes, err)
		}
		if got := zoneLines(p); len(got) > 0 {
			q, _ := openKept(t, dir)
			if d := cmp.Diff(got, zoneLines(q)); d != "" {
				t.Fatalf("%q with %+v is %q, which is read as (-edited +read):\n%s", text, changes, stands(t, dir, "tray.csv"), d)
			}
		}
		if len(kept) == 0 {
			return
		}
		wrote++
		// Lines of rows that nobody edited are as they were, but for a separator where the table has a new column.
		was, is := bytes.Split(enc.encode(text), enc.encode(end)[len(enc.encode("")):]), bytes.Split([]byte(stands(t, dir, "tray.csv")), enc.encode(end)[len(enc.encode("")):])
		if len(was) != len(is) {
			t.Fatalf("%d lines, were %d", len(is), len(was))
		}
		for k := range was {
			if k > 0 && k < len(records) && len(records[k]) > 0 && !edits[records[k][slices.Index(columns, "id")]] && !bytes.HasPrefix(is[k], was[k]) {
				t.Fatalf("line %d is %q, was %q", k+1, is[k], was[k])
			}
		}
	})
	if wrote < 30 && !testing.Short() { // rapid draws a fifth as many then
		t.Errorf("%d times something was written: that says little", wrote)
	}
}

// Cells of bays are written as a person wrote the others, and are read as what the edits made; the other rows keep their bytes.
func TestRewriteBays(t *testing.T) {
	const (
		mm     = "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,8000,6000,3600,2700\n\"B\",8000,0,16000,6000,\"3600\",2700\n"
		metres = "bay;x1_m;y1_m;x2_m;y2_m;soffit_m;ceiling_m\r\nA;0;0;8,0;6,0;3,60;2,70\r\nB;8,0;0;16,0;6,0;3,60;2,70\r\n"
	)
	for _, test := range []struct{ table, bay, column, text, want string }{
		{mm, "A", "ceiling", "2650", "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,8000,6000,3600,2650\n\"B\",8000,0,16000,6000,\"3600\",2700\n"},
		{mm, "B", "soffit", "FFL+3550", "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,8000,6000,3600,2700\n\"B\",8000,0,16000,6000,\"FFL+3550\",2700\n"},
		{mm, "B", "bay", "North wing", "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,8000,6000,3600,2700\n\"North wing\",8000,0,16000,6000,\"3600\",2700\n"},
		{mm, "A", "ceiling", "", "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,8000,6000,3600,\n\"B\",8000,0,16000,6000,\"3600\",2700\n"},
		{metres, "B", "ceiling", "2650", "bay;x1_m;y1_m;x2_m;y2_m;soffit_m;ceiling_m\r\nA;0;0;8,0;6,0;3,60;2,70\r\nB;8,0;0;16,0;6,0;3,60;2,65\r\n"},
		{metres, "B", "x2", "15500", "bay;x1_m;y1_m;x2_m;y2_m;soffit_m;ceiling_m\r\nA;0;0;8,0;6,0;3,60;2,70\r\nB;8,0;0;15,5;6,0;3,60;2,70\r\n"},
	} {
		dir := t.TempDir()
		p, o := onDisk(t, dir, map[string]string{"bays.csv": test.table})
		if _, pr := p.EditBay(test.bay, test.column, test.text); pr != nil {
			t.Fatal(pr)
		}
		if kept, err := o.Rewrite(Changes(p)); err != nil || !slices.Equal(kept, []string{"bays.csv.old"}) {
			t.Fatalf("%s %s %q: kept %v, %v", test.bay, test.column, test.text, kept, err)
		}
		if got := stands(t, dir, "bays.csv"); got != test.want {
			t.Errorf("%s %s %q: %q, want %q", test.bay, test.column, test.text, got, test.want)
		}
		if got := stands(t, dir, "bays.csv.old"); got != test.table {
			t.Errorf("kept %q, was %q", got, test.table)
		}
		q, _ := openKept(t, dir)
		for i := range p.Bays {
			if a, b := p.Bays[i], q.Bays[i]; a.Name != b.Name || a.Plan != b.Plan || a.Soffit != b.Soffit || a.Ceiling != b.Ceiling || a.HasCeiling != b.HasCeiling {
				t.Errorf("%s %s %q: read back as %+v, edited to %+v", test.bay, test.column, test.text, b, a)
			}
		}
	}

	// Typed and taken back nothing differs; typed otherwise, the text in the table is the one to come back to.
	p, _ := onDisk(t, t.TempDir(), map[string]string{"bays.csv": mm})
	for _, text := range []string{"2650", "FFL+2700", "2700"} {
		if _, pr := p.EditBay("A", "ceiling", text); pr != nil {
			t.Fatal(pr)
		}
		if got := p.CellOfBay("A", "ceiling"); got != text {
			t.Errorf("ceiling is %q, typed was %q", got, text)
		}
	}
	if c := Changes(p); len(c) > 0 {
		t.Errorf("taken back, and yet %+v", c)
	}
	if _, pr := p.EditBay("A", "ceiling", "9000"); pr == nil {
		t.Error("a ceiling over the soffit is taken")
	} else if got := p.CellOfBay("A", "ceiling"); got != "2700" {
		t.Errorf("refused, and the cell is %q", got)
	}
}
