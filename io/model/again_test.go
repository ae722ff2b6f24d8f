package model_test

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/golang/geo/r3"
	"pgregory.net/rapid"

	"voidline/io/model"
	"voidline/io/table"
	"voidline/void/body"
)

// piece is an element of a small model that is revised.
type piece struct {
	guid, name string
	at         r3.Vector
	wide       float64
	pipe       bool
}

// floorOf writes a floor of one room, with a slab and a ceiling, and these pieces.
func floorOf(pieces []piece) []byte {
	w := newWriter(dialect{schema: "IFC4", mm: 1, form: "extruded", seed: 1, storeys: map[string]float64{"Ground": 0}})
	flat := func(lo, hi float64) body.Body {
		return body.Box(r3.Vector{Y: 10e3, Z: (lo + hi) / 2}, r3.Vector{X: 20e3, Y: 10e3, Z: (lo + hi) / 2}, 20e3, hi-lo)
	}
	w.put(part{class: "IFCSPACE", guid: "2room00000000000000001", name: "101", storey: "Ground", body: flat(0, 2600)})
	w.put(part{class: "IFCSLAB", predefined: "FLOOR", guid: "2slab00000000000000001", name: "slab", storey: "Ground", body: flat(4000, 4200)})
	w.put(part{class: "IFCCOVERING", predefined: "CEILING", guid: "2ceil00000000000000001", name: "ceiling", storey: "Ground", body: flat(2600, 2612)})
	for _, p := range pieces {
		e := part{class: "IFCDUCTSEGMENT", predefined: "RIGIDSEGMENT", guid: p.guid, name: p.name, storey: "Ground", body: body.Box(p.at, p.at.Add(r3.Vector{X: 3000}), p.wide, 200)}
		if p.pipe {
			e.class, e.body = "IFCPIPESEGMENT", body.Cylinder(p.at, p.at.Add(r3.Vector{Y: 2500}), p.wide/5)
		}
		w.put(e)
	}
	return w.bytes()
}

// sheetRows reads a table: its heading and its rows.
func sheetRows(t testing.TB, file string) [][]string {
	t.Helper()
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	all, err := csv.NewReader(bytes.NewReader(data)).ReadAll()
	if err != nil {
		t.Fatalf("%s: %v\n%s", file, err, data)
	}
	return all
}

// byID returns the rows of the trades' tables of a folder by id, each with its cells by heading and the file it stands in as "".
func byID(t testing.TB, dir string) map[string]map[string]string {
	t.Helper()
	out := map[string]map[string]string{}
	for _, name := range []string{"ductwork.csv", "pipework.csv"} {
		file := filepath.Join(dir, name)
		if _, err := os.Stat(file); err != nil {
			continue
		}
		all := sheetRows(t, file)
		for _, r := range all[1:] {
			m := map[string]string{"": name}
			for i, c := range r {
				if i < len(all[0]) && c != "" {
					m[all[0][i]] = c
				}
			}
			if out[m["id"]] != nil {
				t.Fatalf("%s is there twice", m["id"])
			}
			out[m["id"]] = m
		}
	}
	return out
}

// put writes cells into a row of a table, as a person does in a spreadsheet; a heading that is not there comes behind the others.
func putCells(t testing.TB, dir, file, id string, cells map[string]string) {
	t.Helper()
	name := filepath.Join(dir, file)
	all := sheetRows(t, name)
	for _, c := range slices.Sorted(maps.Keys(cells)) {
		k := slices.Index(all[0], c)
		if k < 0 {
			k = len(all[0])
			for i := range all {
				all[i] = append(all[i], "")
			}
			all[0][k] = c
		}
		found := false
		for _, r := range all[1:] {
			if r[slices.Index(all[0], "id")] == id {
				r[k], found = cells[c], true
			}
		}
		if !found {
			row := make([]string, len(all[0]))
			row[slices.Index(all[0], "id")], row[k] = id, cells[c]
			all = append(all, row)
		}
	}
	var b bytes.Buffer
	if err := csv.NewWriter(&b).WriteAll(all); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(name, b.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
}

func importTo(t testing.TB, root, name string, data []byte) (dir, file string) {
	t.Helper()
	file = filepath.Join(root, name+".ifc")
	if err := os.WriteFile(file, data, 0o644); err != nil {
		t.Fatal(err)
	}
	im, err := model.Read(t.Context(), []string{file}, model.Options{})
	if err != nil {
		t.Fatal(err)
	}
	dir = filepath.Join(root, name)
	if err := im.Write(dir); err != nil {
		t.Fatal(err)
	}
	return dir, file
}

// TestAgainKeepsWhatPeopleWrote goes through random revisions of a model and random edits of its tables: no cell that a person wrote
// is lost, and no row stands for an element that is gone.
func TestAgainKeepsWhatPeopleWrote(t *testing.T) {
	root := t.TempDir()
	n := 0
	rapid.Check(t, func(rt *rapid.T) {
		n++
		var pieces []piece
		for i := range rapid.IntRange(2, 6).Draw(rt, "pieces") {
			pieces = append(pieces, piece{
				guid: fmt.Sprintf("2piece%016d", i), name: fmt.Sprintf("P-%d", i), pipe: rapid.Bool().Draw(rt, "pipe"),
				at: r3.Vector{X: 1000, Y: 1000 + 2900*float64(i), Z: 3000}, wide: 300 + 10*float64(i),
			})
		}
		dir, file := importTo(t, root, fmt.Sprintf("p%d", n), floorOf(pieces))
		defer os.RemoveAll(dir)
		defer os.Remove(file)

		// What people write.
		type cell struct{ id, column, text string }
		var theirs []cell
		edited := map[string]bool{} // rows in which place, size or level was changed
		touched := map[string]bool{}
		for _, p := range pieces {
			row := byID(t, dir)[p.name]
			write := map[string]string{}
			for _, c := range []struct{ column, text string }{{"hanger", "channel 41 M10"}, {"rank", "2"}, {"stage", "ordered"}, {"my own", "ask for it"}, {"level", "FFL+3333"}} {
				if rapid.IntRange(0, 3).Draw(rt, p.name+" "+c.column) == 0 {
					write[c.column] = c.text
					theirs = append(theirs, cell{p.name, c.column, c.text})
					edited[p.name] = edited[p.name] || c.column == "level"
					touched[p.name] = true
				}
			}
			if len(write) > 0 {
				putCells(t, dir, row[""], p.name, write)
			}
		}
		own := rapid.Bool().Draw(rt, "own row")
		if own {
			name := byID(t, dir)[pieces[0].name][""]
			putCells(t, dir, name, "MINE", map[string]string{"x1": "9000", "y1": "500", "x2": "12000", "y2": "500", "size": "100x100", "level": "FFL+2900"})
		}

		// What the model does.
		next := slices.Clone(pieces)
		moved, gone := map[string]bool{}, map[string]bool{}
		for i := 0; i < len(next); i++ {
			p := &next[i]
			switch rapid.SampledFrom([]string{"stays", "stays", "up", "aside", "wider", "gone", "new guid"}).Draw(rt, p.name+" does") {
			case "up":
				p.at.Z += 50
				moved[p.name] = true
			case "aside":
				p.at.X += 100
			case "wider":
				p.wide += 20
				moved[p.name] = moved[p.name] || p.pipe // its underside comes down
			case "gone":
				gone[p.name] = true
				next = slices.Delete(next, i, i+1)
				i--
			case "new guid":
				p.guid = "3" + p.guid[1:]
			}
		}
		if rapid.Bool().Draw(rt, "one more") {
			next = append(next, piece{guid: "2piecenew0000000000000", name: "P-new", at: r3.Vector{X: 8000, Y: 1000, Z: 3200}, wide: 400})
		}
		revised := filepath.Join(root, fmt.Sprintf("p%d-b.ifc", n))
		if err := os.WriteFile(revised, floorOf(next), 0o644); err != nil {
			rt.Fatal(err)
		}
		defer os.Remove(revised)
		before := map[string]string{}
		for _, name := range []string{"ductwork.csv", "pipework.csv", "model.csv", "bays.csv"} {
			data, _ := os.ReadFile(filepath.Join(dir, name)) // not all are there
			before[name] = string(data)
		}

		r, err := model.Again(t.Context(), dir, []string{revised}, model.Options{}, model.Choices{})
		if err != nil {
			rt.Fatal(err)
		}
		conflicts := 0
		for _, p := range pieces {
			if moved[p.name] && edited[p.name] && !gone[p.name] || gone[p.name] && touched[p.name] {
				conflicts++
			}
		}
		if len(r.Open) != conflicts {
			rt.Fatalf("%d to be chosen about, want %d: %v", len(r.Open), conflicts, r.Open)
		}
		whose := rapid.SampledFrom([]model.Whose{model.Model, model.Table}).Draw(rt, "take")
		if conflicts > 0 {
			if r, err = model.Again(t.Context(), dir, []string{revised}, model.Options{}, model.Choices{All: whose}); err != nil || len(r.Open) > 0 {
				rt.Fatal(err, r.Open)
			}
		}
		kept, err := r.Write()
		if err != nil {
			rt.Fatal(err)
		}
		for _, k := range kept {
			if name, ok := strings.CutSuffix(k, ".old"); ok && before[name] != "" {
				if data, err := os.ReadFile(filepath.Join(dir, k)); err != nil || string(data) != before[name] {
					rt.Errorf("%s is not what %s was", k, name)
				}
			}
		}

		now := byID(t, dir)
		for _, c := range theirs {
			row := now[c.id]
			switch {
			case gone[c.id] && whose == model.Model:
			case row == nil:
				rt.Errorf("%s is gone, with what was written: %s", c.id, c.column)
			case c.column == "level" && moved[c.id] && whose == model.Model:
			case row[c.column] != c.text:
				rt.Errorf("%s: %s was written as %q, is %q", c.id, c.column, c.text, row[c.column])
			}
		}
		if own && now["MINE"] == nil {
			rt.Errorf("a row of a person's own is gone")
		}
		there := map[string]piece{}
		for _, p := range next {
			there[p.guid] = p
		}
		for id, row := range now {
			p, ok := there[row["guid"]]
			if row["guid"] != "" && !ok {
				rt.Errorf("%s stands for %s, which is in the model no more", id, row["guid"])
			}
			delete(there, row["guid"])
			if row["guid"] == "" {
				continue
			}
			if want := fmt.Sprint(p.at.X); row["x1"] != want {
				rt.Errorf("%s: x1 %s, want %s", id, row["x1"], want)
			}
		}
		for _, p := range there {
			rt.Errorf("%s has no row", p.name)
		}
		if _, err := table.Open(t.Context(), dir, table.Options{}); err != nil {
			rt.Error(err)
		}
		// The same revision once more changes nothing.
		if r, err = model.Again(t.Context(), dir, []string{revised}, model.Options{}, model.Choices{}); err != nil || len(r.Open)+len(r.Changed)+len(r.Added)+len(r.Gone) > 0 {
			rt.Errorf("once more: %v %v %v %v %v", err, r.Open, r.Changed, r.Added, r.Gone)
		}
	})
}

// TestAgainOfWhatIsOverABay: the ceiling of a bay is another element in the next revision, and the slab is two, at one level: the first is named and the
// slab no more. What a person wrote there stays; a project that was imported before bays had these columns gets them.
func TestAgainOfWhatIsOverABay(t *testing.T) {
	root := t.TempDir()
	floor := func(ceiling string, halves bool) []byte {
		w := newWriter(dialect{schema: "IFC4", mm: 1, form: "extruded", seed: 1, storeys: map[string]float64{"Ground": 0}})
		flat := func(x0, x1, lo, hi float64) body.Body {
			return body.Box(r3.Vector{X: x0, Y: 10e3, Z: (lo + hi) / 2}, r3.Vector{X: x1, Y: 10e3, Z: (lo + hi) / 2}, 20e3, hi-lo)
		}
		w.put(part{class: "IFCSPACE", guid: "2room00000000000000001", name: "101", storey: "Ground", body: flat(0, 10e3, 0, 2600)})
		w.put(part{class: "IFCCOVERING", predefined: "CEILING", guid: ceiling, name: "ceiling", storey: "Ground", body: flat(0, 10e3, 2600, 2612)})
		for i, x := range []float64{0, 5e3} {
			if x1 := x + 5e3; halves {
				w.put(part{class: "IFCSLAB", predefined: "FLOOR", guid: fmt.Sprintf("2half0000000000000000%d", i), name: "slab", storey: "Ground", body: flat(x, x1, 4000, 4200)})
			} else if i == 0 {
				w.put(part{class: "IFCSLAB", predefined: "FLOOR", guid: "2slab00000000000000001", name: "slab", storey: "Ground", body: flat(0, 10e3, 4000, 4200)})
			}
		}
		return w.bytes()
	}
	dir, file := importTo(t, root, "a", floor("2ceil00000000000000001", false))
	over := func() []string {
		var out []string
		for _, r := range sheetRows(t, filepath.Join(dir, "bays.csv")) {
			out = append(out, strings.Join(r, ","))
		}
		return out
	}
	again := func(data []byte) {
		t.Helper()
		if data != nil {
			if err := os.WriteFile(file, data, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		r, err := model.Again(t.Context(), dir, []string{file}, model.Options{}, model.Choices{})
		if err != nil || len(r.Open) > 0 {
			t.Fatal(err, r)
		}
		if _, err := r.Write(); err != nil {
			t.Fatal(err)
		}
	}
	want := func(ceiling, slab string) {
		t.Helper()
		if got, want := over(), []string{"bay,storey,x1,y1,x2,y2,soffit,ceiling,build-up,guid,ceiling guid,soffit guid", "101,Ground,0,0,10000,20000,FFL+4000,FFL+2600,ceiling 12,2room00000000000000001," + ceiling + "," + slab}; !slices.Equal(got, want) {
			t.Errorf("%q, want %q", got, want)
		}
	}
	want("2ceil00000000000000001", "2slab00000000000000001")
	again(floor("2ceil00000000000000002", true))
	want("2ceil00000000000000002", "")
	put := func(name, from, to string) {
		t.Helper()
		data, err := os.ReadFile(filepath.Join(dir, name))
		if err != nil || !strings.Contains(string(data), from) {
			t.Fatalf("%v: no %s in %s", err, from, data)
		}
		if err := os.WriteFile(filepath.Join(dir, name), []byte(strings.ReplaceAll(string(data), from, to)), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	put("bays.csv", "2ceil00000000000000002", "2mine00000000000000001")
	again(floor("2ceil00000000000000003", false))
	want("2mine00000000000000001", "2slab00000000000000001")
	put("bays.csv", ",ceiling guid,soffit guid", "")
	put("bays.csv", ",2mine00000000000000001,2slab00000000000000001", "")
	put("model.csv", " | ceiling guid=2ceil00000000000000003 | soffit guid=2slab00000000000000001", "")
	again(nil)
	want("2ceil00000000000000003", "2slab00000000000000001")
}

// TestAgainWantsAllModels: what is not given would look as if all of it were gone.
func TestAgainWantsAllModels(t *testing.T) {
	root := t.TempDir()
	dir, _ := importTo(t, root, "a", floorOf([]piece{{guid: "2piece0000000000000001", name: "P-1", at: r3.Vector{X: 1000, Y: 1000, Z: 3000}, wide: 300}}))
	w := newWriter(dialect{schema: "IFC4", mm: 1, form: "extruded", seed: 1, storeys: map[string]float64{"Ground": 0}})
	w.put(part{class: "IFCDUCTSEGMENT", guid: "2other0000000000000001", name: "O-1", storey: "Ground", body: body.Box(r3.Vector{Z: 3000}, r3.Vector{X: 3000, Z: 3000}, 300, 200)})
	other := w.save(t, "other.ifc")
	if _, err := model.Again(t.Context(), dir, []string{other}, model.Options{Lattice: 5000}, model.Choices{}); err == nil || !strings.Contains(err.Error(), "nothing of a.ifc is in the files that were given") {
		t.Errorf("err %v", err)
	}
}

// TestRoomsOfTwoFiles: two models of one building have its rooms, each its own copy: each room is one bay.
func TestRoomsOfTwoFiles(t *testing.T) {
	root := t.TempDir()
	floor := floorOf([]piece{{guid: "2piece0000000000000001", name: "P-1", at: r3.Vector{X: 1000, Y: 1000, Z: 3000}, wide: 300}})
	var files []string
	for i, data := range [][]byte{floor, bytes.ReplaceAll(floor, []byte("2room"), []byte("3room"))} {
		files = append(files, filepath.Join(root, fmt.Sprintf("%d.ifc", i)))
		if err := os.WriteFile(files[i], data, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	im := read(t, model.Options{}, files...)
	if bays := cells(t, im, "bays.csv"); len(bays) != 1 || bays["101"]["guid"] != "2room00000000000000001" {
		t.Errorf("bays %v", bays)
	}
	if !strings.Contains(strings.Join(im.Summary.Told, "\n"), "space 101 stands where IfcSpace 101 (2room00000000000000001) stands (0.ifc): taken once") {
		t.Errorf("told %q", im.Summary.Told)
	}
}

// TestAgainTellsWhatStays: of what goes alone, such as the kind, what a person wrote stays where the model has another now, which is told once; of place and
// size somebody has to choose, and nothing is told besides.
func TestAgainTellsWhatStays(t *testing.T) {
	root := t.TempDir()
	p := piece{guid: "2piece0000000000000000", name: "P-0", at: r3.Vector{X: 1000, Y: 1000, Z: 3000}, wide: 300}
	dir, _ := importTo(t, root, "told", floorOf([]piece{p}))
	putCells(t, dir, "ductwork.csv", "P-0", map[string]string{"kind": "flexible", "x1": "1100"})
	p.pipe = true
	p.at.X = 1200
	revised := filepath.Join(root, "told-b.ifc")
	if err := os.WriteFile(revised, floorOf([]piece{p}), 0o644); err != nil {
		t.Fatal(err)
	}
	r, err := model.Again(t.Context(), dir, []string{revised}, model.Options{}, model.Choices{})
	if err != nil {
		t.Fatal(err)
	}
	if want := []string{"ductwork.csv:2: kind of P-0 is pipe in the model now; what was written, flexible, stays"}; !slices.Equal(r.Told, want) {
		t.Errorf("told %q, want %q", r.Told, want)
	}
	if len(r.Open) != 1 || !strings.Contains(r.Open[0].Error(), "x1") {
		t.Errorf("to be chosen about: %v", r.Open)
	}
}
