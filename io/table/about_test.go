package table

import (
	"context"
	"encoding/csv"
	"strings"
	"testing"
	"testing/fstest"
)

// What is said of a table is what the reader goes by: a table with every heading as it is told, and every example in
// a row, is read without a fault in any cell and with no column left unread.
func TestAboutsAreWhatIsRead(t *testing.T) {
	seen := map[string]bool{}
	for _, a := range Abouts() {
		seen[a.Name] = true
		if a.What == "" || len(a.Needs) == 0 {
			t.Errorf("%s: nothing is said of what it holds or needs", a.Name)
		}
		var heads, cells []string
		for _, c := range a.Columns {
			if c.What == "" || c.Like == "" {
				t.Errorf("%s, %s: no words or no example", a.Name, c.Name)
			}
			heads, cells = append(heads, c.Name), append(cells, c.Like)
		}
		var b strings.Builder
		w := csv.NewWriter(&b)
		if err := w.WriteAll([][]string{heads, cells}); err != nil {
			t.Fatal(err)
		}
		fsys := fstest.MapFS{
			"bays.csv": {Data: []byte("bay,x1,y1,x2,y2,soffit,ceiling\nB1,0,0,6000,6000,3600,2700\n")},
			"tray.csv": {Data: []byte("id,x1,y1,x2,y2,size,level\nT1,500,3000,5500,3000,300x60,2900\n")},
		}
		fsys[a.Name] = &fstest.MapFile{Data: []byte(b.String())}
		problems, warnings, rows := 0, 0, 0
		if a.Name == "sources.csv" {
			s, err := ReadSources(context.Background(), "", Options{FS: fsys})
			if err != nil {
				t.Fatal(err)
			}
			problems, warnings, rows = len(s.Problems), len(s.Warnings), len(s.Rows)
		} else {
			got, err := readTables(context.Background(), "", Options{FS: fsys})
			if err != nil {
				t.Fatal(err)
			}
			for _, p := range append(got.Problems, got.Warnings...) {
				t.Errorf("%s: %v", a.Name, p)
			}
			rows = 1 - got.RowsMissing
		}
		if problems+warnings != 0 || rows != 1 {
			t.Errorf("%s: %d problems, %d warnings, %d rows read\n%s", a.Name, problems, warnings, rows, b.String())
		}
	}
	for _, k := range fixed {
		if !seen[k.file] {
			t.Errorf("nothing is told of %s", k.file)
		}
	}
}

// A column told as needed is one without which the header is refused, and no other is.
func TestNeededColumnsAreNeeded(t *testing.T) {
	for _, k := range append([]*kind{&zones, &sources}, fixed...) {
		a := k.tell()
		for i, c := range a.Columns {
			var heads []string
			for j, o := range a.Columns {
				if j != i {
					heads = append(heads, o.Name)
				}
			}
			if got := !k.fits(heads); got != (c.Needed == "yes") {
				t.Errorf("%s without %s: refused %v, told %q", a.Name, c.Name, got, c.Needed)
			}
		}
	}
}

// What is a length and nothing else, a grid line's place or a level may not be: those are given in other ways, too.
func TestPlainColumns(t *testing.T) {
	plain := map[string]bool{}
	for _, a := range Abouts() {
		for _, c := range a.Columns {
			plain[a.Name+" "+c.Name] = c.Plain
		}
	}
	for column, want := range map[string]bool{
		"bays.csv trough": true, "bays.csv x1": false, "bays.csv soffit": false, "bays.csv bay": false, "levels.csv ffl": true,
		"buildups.csv thickness": true, "hangers.csv height": true, "openings.csv at": true, "openings.csv size": false, "gaps.csv gap": false,
	} {
		if got, is := plain[column]; !is || got != want {
			t.Errorf("%s: a length and nothing else: %v (there: %v), want %v", column, got, is, want)
		}
	}
}
