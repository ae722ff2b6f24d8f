package model_test

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"voidline/io/model"
	"voidline/io/table"
	"voidline/void/need"
)

// Tables that are kept: of the demo, written as a model in many dialects, and of the models beside this repository, how many bytes there are in each table that
// comes of them, and in what is told of them, and a sum: enough to see that something changed. What it was is seen with -kept.tables FOLDER, before the change
// and after it.

var (
	keptUpdate = flag.Bool("update", false, "write the kept sums anew")
	keptTables = flag.String("kept.tables", "", "a `folder` to write the tables into of which testdata/kept.txt and kept-models.txt have the sums")
)

// keepImport keeps each table of an import and what is told of it.
func keepImport(t *testing.T, sums *need.Sums, name string, im *model.Import) {
	t.Helper()
	for _, f := range im.Files {
		sums.Keep(t, name+", "+f.Name, f.Data)
	}
	sums.Keep(t, name+", told", fmt.Appendf(nil, "%v\n%+v\n", im.Problems, im.Summary))
}

func TestKeptTables(t *testing.T) {
	need.Amd64(t)
	p, err := table.Open(t.Context(), filepath.Join("..", "..", "testdata", "demo"), table.Options{})
	if err != nil {
		t.Fatal(err)
	}
	sums := need.Sums{File: filepath.Join("testdata", "kept.txt"), Update: *keptUpdate, Folder: *keptTables}
	forms := []string{"extruded", "triangles", "polygons", "faces", "surface", "disk", "mapped", "clipped"}
	for n := range 3 * len(forms) {
		d := dialect{
			schema: []string{"IFC4", "IFC2X3"}[n%2], mm: []float64{1, 1000, 25.4, 304.8, 10}[n%5], form: forms[n%len(forms)], depth: n % 4, shuffle: n%3 == 0, seed: int64(100 + n),
			stands: n%5 < 2, turn: []float64{0, 0, 27, -90}[n/2%4],
		}
		file, mapping := whole(t, p, d)
		opt := model.Options{}
		if n%4 != 3 {
			opt.Mapping = os.DirFS(mapping)
		}
		keepImport(t, &sums, fmt.Sprint(n, " ", d.schema, " ", d.form), read(t, opt, file))
	}
	sums.Compare(t)
}

func TestKeptModels(t *testing.T) {
	need.Amd64(t)
	sums := need.Sums{File: filepath.Join("testdata", "kept-models.txt"), Update: *keptUpdate, Folder: *keptTables}
	for _, names := range [][]string{{"Building-Hvac", "Building-Structural"}, {"Duplex_A_20110907", "Duplex_Electrical_20121207"}, {"made_structure", "made_ceilings", "made_services"}, {"made_services_2x3_ft"}} {
		keepImport(t, &sums, strings.Join(names, " and "), read(t, model.Options{Lattice: 6000}, realdata(t, names...)...))
	}
	sums.Compare(t)
}
