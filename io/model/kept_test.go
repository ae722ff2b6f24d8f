package model_test

import (
	"flag"
	"fmt"
	"hash/fnv"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"voidline/io/model"
	"voidline/io/table"
)

// Tables that are kept: of the demo, written as a model in many dialects, and of the models beside this repository, how many bytes there are in each table that
// comes of them, and in what is told of them, and a sum: enough to see that something changed. What it was is seen with -kept.tables FOLDER, before the change
// and after it.

var (
	keptUpdate = flag.Bool("update", false, "write the kept sums anew")
	keptTables = flag.String("kept.tables", "", "a `folder` to write the tables into of which testdata/kept.txt and kept-models.txt have the sums")
)

// keptOf returns a line for each table of an import and for what is told of it.
func keptOf(t *testing.T, name string, im *model.Import) (out []string) {
	t.Helper()
	keep := func(table string, data []byte) {
		h := fnv.New64a()
		h.Write(data)
		out = append(out, fmt.Sprintf("%s: %s %d %016x", name, table, len(data), h.Sum64()))
		if *keptTables != "" {
			if err := os.WriteFile(filepath.Join(*keptTables, name+", "+table), data, 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
	for _, f := range im.Files {
		keep(f.Name, f.Data)
	}
	keep("told", fmt.Appendf(nil, "%v\n%+v\n", im.Problems, im.Summary))
	return out
}

func keptEqual(t *testing.T, name string, lines []string) {
	t.Helper()
	file := filepath.Join("testdata", name)
	if *keptUpdate {
		if err := os.WriteFile(file, []byte(strings.Join(lines, "\n")+"\n"), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	was, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	kept := strings.Split(strings.TrimSpace(strings.ReplaceAll(string(was), "\r\n", "\n")), "\n")
	if len(kept) != len(lines) {
		t.Fatalf("%d tables, %d are kept", len(lines), len(kept))
	}
	for k, l := range lines {
		if l != kept[k] {
			t.Errorf("%s, kept is %s (-update writes it anew; say in the commit why the new table is right)", l, kept[k])
		}
	}
}

func TestKeptTables(t *testing.T) {
	if runtime.GOARCH != "amd64" {
		t.Skip("the sums were made on amd64; where a product and a sum are rounded at once, as on arm64, a tenth may be another")
	}
	p, err := table.Open(t.Context(), filepath.Join("..", "..", "testdata", "demo"), table.Options{})
	if err != nil {
		t.Fatal(err)
	}
	var lines []string
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
		lines = append(lines, keptOf(t, fmt.Sprint(n, " ", d.schema, " ", d.form), read(t, opt, file))...)
	}
	keptEqual(t, "kept.txt", lines)
}

func TestKeptModels(t *testing.T) {
	if runtime.GOARCH != "amd64" {
		t.Skip("the sums were made on amd64; where a product and a sum are rounded at once, as on arm64, a tenth may be another")
	}
	var lines []string
	for _, names := range [][]string{{"Building-Hvac", "Building-Structural"}, {"Duplex_A_20110907", "Duplex_Electrical_20121207"}, {"made_structure", "made_ceilings", "made_services"}, {"made_services_2x3_ft"}} {
		lines = append(lines, keptOf(t, strings.Join(names, " and "), read(t, model.Options{Lattice: 6000}, realdata(t, names...)...))...)
	}
	keptEqual(t, "kept-models.txt", lines)
}
