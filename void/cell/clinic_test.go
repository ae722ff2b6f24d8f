package cell

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"testing"

	"voidline/void/need"
)

// Every cell of the tables of a real building is read, where the data is present.
func TestRealBuilding(t *testing.T) {
	folder := realData()
	if folder == "" {
		need.Skip(t, "the tables of the real building are not here (shared/realdata/clinic beside the repository)")
	}
	columns := map[string]func(string) *Fault{
		"x1": func(s string) *Fault { return ParsePlace(s).Fault }, "y1": func(s string) *Fault { return ParsePlace(s).Fault },
		"x2": func(s string) *Fault { return ParsePlace(s).Fault }, "y2": func(s string) *Fault { return ParsePlace(s).Fault },
		"size": func(s string) *Fault { return ParseSize(s).Fault }, "level": func(s string) *Fault { return ParseLevel(s).Fault },
		"soffit": func(s string) *Fault { return ParseLevel(s).Fault }, "ceiling": func(s string) *Fault { return ParseLevel(s).Fault },
		"face": func(s string) *Fault { return ParseFace(s).Fault }, "fall": func(s string) *Fault { return ParseFall(s).Fault },
		"recessed": func(s string) *Fault { return ParseFlag(s).Fault }, "ffl": func(s string) *Fault { return ParseLength(s).Fault },
		"ssl": func(s string) *Fault { return ParseLength(s).Fault }, "datum": func(s string) *Fault { return ParseLength(s).Fault },
		"thickness": func(s string) *Fault { return ParseLength(s).Fault }, "id": func(s string) *Fault { return ParseWord(s).Fault },
		"run": func(s string) *Fault { return ParseWord(s).Fault }, "guid": func(s string) *Fault { return ParseWord(s).Fault },
	}
	files, err := filepath.Glob(filepath.Join(folder, "*.csv"))
	if err != nil || len(files) == 0 {
		t.Fatalf("no tables in %s (%v)", folder, err)
	}
	cells, shown := 0, 0
	for _, name := range files {
		file, err := os.Open(name)
		if err != nil {
			t.Fatal(err)
		}
		rows, err := csv.NewReader(file).ReadAll()
		file.Close()
		if err != nil {
			t.Fatal(err)
		}
		for i, row := range rows[1:] {
			for j, text := range row {
				parse := columns[rows[0][j]]
				if parse == nil {
					continue
				}
				cells++
				if f := parse(text); f != nil && shown < 20 {
					shown++
					t.Errorf("%s:%d: %s: %v", filepath.Base(name), i+2, rows[0][j], f)
				}
			}
		}
	}
	t.Logf("%d cells of %d tables read", cells, len(files))
	if cells == 0 {
		t.Error("no cell was tried")
	}
}

// realData looks for the data beside the repository, from the test's folder upwards.
func realData() string {
	folder, err := os.Getwd()
	if err != nil {
		return ""
	}
	for {
		data := filepath.Join(folder, "shared", "realdata", "clinic")
		if info, err := os.Stat(data); err == nil && info.IsDir() {
			return data
		}
		up := filepath.Dir(folder)
		if up == folder {
			return ""
		}
		folder = up
	}
}
