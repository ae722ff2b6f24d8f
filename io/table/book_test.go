package table_test

import (
	"context"
	"encoding/csv"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/xuri/excelize/v2"

	"voidline/io/table"
	"voidline/void"
)

// bookOf writes the tables of a folder into a workbook, by a general-purpose library: numbers as numbers.
func bookOf(t *testing.T, dir string, change func(*excelize.File)) string {
	t.Helper()
	must := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	x := excelize.NewFile()
	defer x.Close()
	files, err := filepath.Glob(filepath.Join(dir, "*.csv"))
	must(err)
	for _, f := range files {
		data, err := os.ReadFile(f)
		must(err)
		sheet := strings.TrimSuffix(filepath.Base(f), ".csv")
		_, err = x.NewSheet(sheet)
		must(err)
		rows, err := csv.NewReader(strings.NewReader(string(data))).ReadAll()
		must(err)
		for r, row := range rows {
			for k, text := range row {
				cell, err := excelize.CoordinatesToCellName(k+1, r+1)
				must(err)
				if v, err := strconv.ParseFloat(text, 64); err == nil {
					must(x.SetCellValue(sheet, cell, v))
				} else if text != "" {
					must(x.SetCellValue(sheet, cell, text))
				}
			}
		}
	}
	must(x.DeleteSheet("Sheet1"))
	if change != nil {
		change(x)
	}
	name := filepath.Join(t.TempDir(), "job.xlsx")
	must(x.SaveAs(name))
	return name
}

const demo = "../../testdata/demo"

// A workbook with the demo's tables is the demo, row for row.
func TestBookIsFolder(t *testing.T) {
	folder, err := table.Open(context.Background(), demo, table.Options{})
	if err != nil {
		t.Fatal(err)
	}
	name := bookOf(t, demo, nil)
	book, err := table.Open(context.Background(), name, table.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if book.Zones() != folder.Zones() || book.Zones() == 0 || len(book.Bays) != len(folder.Bays) || book.Name != "job" {
		t.Fatalf("%s: %d zones and %d bays, want %d and %d", book.Name, book.Zones(), len(book.Bays), folder.Zones(), len(folder.Bays))
	}
	for i := range folder.Zones() {
		k, ok := book.ZoneByID(folder.Zone(i).ID)
		if !ok {
			t.Fatalf("%s is not there", folder.Zone(i).ID)
		}
		a, b := folder.Zone(i), book.Zone(k)
		if a.Bare() != b.Bare() || a.Full() != b.Full() || !slices.Equal(a.Bays(), b.Bays()) {
			t.Errorf("%s: %+v, want %+v", a.ID, b.Bare(), a.Bare())
		}
		if d := cmp.Diff(folder.Row(i), book.Row(k), cmp.FilterPath(func(p cmp.Path) bool { return p.String() == "At" }, cmp.Ignore())); d != "" {
			t.Errorf("%s (-folder +book):\n%s", a.ID, d)
		}
		was, now := folder.FileLine(a.At()), book.FileLine(b.At())
		if want := strings.Replace(was, ".csv:", "!A", 1); now != want {
			t.Errorf("%s stands at %s, want %s", a.ID, now, want)
		}
	}
	if d := cmp.Diff(len(folder.Openings), len(book.Openings)); d != "" {
		t.Error(d)
	}
	if !table.IsBook(name) || table.IsBook(demo) || table.Home(name) != filepath.Dir(name) || table.Home(demo) != demo {
		t.Error("which is the workbook?")
	}
}

// Problems name the sheet and the cell: what the reader of the workbook finds, what the cells are read for, and what is found later.
func TestBookPlaces(t *testing.T) {
	clock := "h:mm"
	name := bookOf(t, demo, func(x *excelize.File) {
		for _, c := range []struct {
			sheet, cell string
			value       any
		}{{"containment", "I2", "wide"}, {"pipework", "B2", nil}, {"grid", "C2", "no number"}, {"drainage", "K2", 0.09722222222222222}} {
			if err := x.SetCellValue(c.sheet, c.cell, c.value); err != nil {
				t.Fatal(err)
			}
		}
		style, err := x.NewStyle(&excelize.Style{CustomNumFmt: &clock})
		if err != nil || x.SetCellStyle("drainage", "K2", "K2", style) != nil || x.SetCellFormula("pipework", "B2", "B3") != nil {
			t.Fatal("the workbook cannot be made")
		}
	})
	p, err := table.Open(context.Background(), name, table.Options{})
	var bad void.Problems
	if !errors.As(err, &bad) {
		t.Fatal(err)
	}
	var places []string
	for _, pr := range table.Placed(name, p.Problems) {
		if places = append(places, pr.Place); !strings.HasPrefix(pr.String(), pr.Place+": ") {
			t.Errorf("%q does not say where first", pr)
		}
	}
	for _, want := range []string{"containment!I2", "drainage!K2", "grid!C2", "pipework!B2"} {
		if !slices.Contains(places, want) {
			t.Errorf("%s is not told: %q", want, places)
		}
	}
	if got := table.PlaceOf(name, table.CellChange{File: "containment.csv", Line: 3, Column: "level"}); got != "containment!J3" {
		t.Errorf("level of the second row is at %q", got)
	}
}

// One table in two forms is a problem, whatever the two say; and a workbook is never written.
func TestBookBesideTables(t *testing.T) {
	name := bookOf(t, demo, nil)
	if err := os.WriteFile(filepath.Join(filepath.Dir(name), "Containment.csv"), []byte("id\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(filepath.Dir(name), "gas.csv"), []byte("id\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	p, tables, err := table.OpenKept(context.Background(), name, table.Options{})
	if err == nil || len(p.Problems) != 1 || p.Problems[0].File != "Containment.csv" || !strings.Contains(p.Problems[0].What, "sheet containment of job.xlsx") {
		t.Errorf("%v", p.Problems)
	}
	was, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := tables.Rewrite([]table.CellChange{{File: "containment.csv", Line: 2, ID: "TR1-01", Column: "note", Text: "x"}}); err == nil {
		t.Error("written")
	}
	if now, err := os.ReadFile(name); err != nil || string(now) != string(was) {
		t.Error("the workbook is another")
	}
}
