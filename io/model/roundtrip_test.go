package model_test

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"
	"pgregory.net/rapid"

	"voidline/clash"
	"voidline/io/model"
	"voidline/io/table"
	"voidline/void"
	"voidline/void/body"
	"voidline/void/need"
)

// draws are the kinds of bodies that are drawn, each with the class that it has in a model.
var draws = []struct {
	name                      string
	class, typeOf, predefined string
	table                     string
	body                      func(t *rapid.T, at r3.Vector) body.Body
}{
	{"rect", "IFCDUCTSEGMENT", "IFCFLOWSEGMENT", "RIGIDSEGMENT", "ductwork", func(t *rapid.T, at r3.Vector) body.Body {
		return body.Box(at, at.Add(across(t, 800, 9000)), side(t), side(t)/4)
	}},
	{"rect falls", "IFCCABLECARRIERSEGMENT", "IFCFLOWSEGMENT", "CABLETRAYSEGMENT", "containment", func(t *rapid.T, at r3.Vector) body.Body {
		d := across(t, 800, 9000)
		d.Z = -d.Norm() * rapid.Float64Range(0.002, 0.09).Draw(t, "fall")
		return body.Box(at, at.Add(d), side(t), side(t)/4)
	}},
	{"round", "IFCPIPESEGMENT", "IFCFLOWSEGMENT", "RIGIDSEGMENT", "pipework", func(t *rapid.T, at r3.Vector) body.Body {
		return body.Cylinder(at, at.Add(across(t, 300, 9000)), side(t)/3)
	}},
	{"round falls", "IFCPIPESEGMENT", "IFCFLOWSEGMENT", "RIGIDSEGMENT", "pipework", func(t *rapid.T, at r3.Vector) body.Body {
		d := across(t, 800, 9000)
		d.Z = -d.Norm() * rapid.Float64Range(0.002, 0.8).Draw(t, "fall")
		return body.Cylinder(at, at.Add(d), side(t)/3)
	}},
	{"round stands", "IFCPIPESEGMENT", "IFCFLOWSEGMENT", "RIGIDSEGMENT", "pipework", func(t *rapid.T, at r3.Vector) body.Body {
		return body.Cylinder(at, at.Add(r3.Vector{Z: rapid.Float64Range(900, 3000).Draw(t, "tall")}), side(t)/3)
	}},
	{"rect stands", "IFCDUCTSEGMENT", "IFCFLOWSEGMENT", "RIGIDSEGMENT", "ductwork", func(t *rapid.T, at r3.Vector) body.Body {
		return body.Box(at, at.Add(across(t, 200, 600)), side(t)/2, rapid.Float64Range(1000, 3000).Draw(t, "tall"))
	}},
	{"item", "IFCLIGHTFIXTURE", "IFCFLOWTERMINAL", "", "lighting", func(t *rapid.T, at r3.Vector) body.Body {
		return body.Box(at, at.Add(r3.Vector{X: side(t)}), side(t), side(t)/5)
	}},
	{"turned item", "IFCDUCTFITTING", "IFCFLOWFITTING", "BEND", "ductwork", func(t *rapid.T, at r3.Vector) body.Body {
		return body.Box(at, at.Add(across(t, 200, 700)), side(t), side(t)/2)
	}},
	{"beam", "IFCBEAM", "", "BEAM", "structure", func(t *rapid.T, at r3.Vector) body.Body {
		return body.Box(at, at.Add(across(t, 3000, 9000)), side(t)/3, side(t))
	}},
}

func side(t *rapid.T) float64 {
	v := rapid.Float64Range(60, 900).Draw(t, "side")
	if rapid.Bool().Draw(t, "whole") {
		v = math.Round(v)
	}
	return v
}

// across is a length that goes level: along an axis, or anywhere.
func across(t *rapid.T, least, most float64) r3.Vector {
	l := rapid.Float64Range(least, most).Draw(t, "long")
	angle := rapid.SampledFrom([]float64{0, 90, 180, 270, 30, 45, -1}).Draw(t, "angle")
	if angle < 0 {
		angle = rapid.Float64Range(0, 360).Draw(t, "any angle")
	}
	s, c := math.Sincos(angle * math.Pi / 180)
	if math.Mod(angle, 90) == 0 {
		s, c = math.Round(s), math.Round(c)
	}
	return r3.Vector{X: l * c, Y: l * s}
}

func drawDialect(t *rapid.T) dialect {
	d := dialect{
		schema: rapid.SampledFrom([]string{"IFC4", "IFC2X3"}).Draw(t, "schema"), mm: rapid.SampledFrom([]float64{1, 1000, 304.8, 25.4}).Draw(t, "unit"),
		form:  rapid.SampledFrom([]string{"extruded", "triangles", "polygons", "faces", "surface", "disk", "mapped", "clipped"}).Draw(t, "form"),
		depth: rapid.IntRange(0, 6).Draw(t, "depth"), shuffle: rapid.Bool().Draw(t, "shuffle"), seed: rapid.Int64Range(1, 1e9).Draw(t, "seed"), stands: rapid.Bool().Draw(t, "stands"),
		storeys: map[string]float64{"Ground": 0, "First": 4200},
	}
	if d.schema == "IFC2X3" && (d.form == "triangles" || d.form == "polygons") {
		d.form = "faces" // 2x3 has no others
	}
	return d
}

// apartAs is how far two bodies are from being one: the most by which their reaches differ in a set of directions.
func apartAs(a, b body.Body) float64 {
	worst := 0.0
	for x := -2.0; x <= 2; x++ {
		for y := -2.0; y <= 2; y++ {
			for z := -2.0; z <= 2; z++ {
				if x == 0 && y == 0 && z == 0 {
					continue
				}
				n := r3.Vector{X: x, Y: y, Z: z}.Normalize()
				p, q := a.Reach(n), b.Reach(n)
				worst = max(worst, math.Abs(p.Lo-q.Lo), math.Abs(p.Hi-q.Hi))
			}
		}
	}
	return worst
}

// TestRoundTrip writes random bodies in random dialects and reads them again: the same bodies to a tenth of a millimetre.
func TestRoundTrip(t *testing.T) {
	dir := t.TempDir()
	n := 0
	rapid.Check(t, func(rt *rapid.T) {
		d := drawDialect(rt)
		w := newWriter(d)
		want := map[string]body.Body{}
		tableOf := map[string]string{}
		for i, kind := range draws {
			for k := range rapid.IntRange(1, 2).Draw(rt, kind.name) {
				id := fmt.Sprintf("%c-%d é", 'A'+i, k+1)
				at := r3.Vector{X: rapid.Float64Range(-20e3, 20e3).Draw(rt, "x") + float64(40*i+20*k), // no two in one place
					Y: rapid.Float64Range(-20e3, 20e3).Draw(rt, "y"), Z: rapid.Float64Range(2000, 3500).Draw(rt, "z")}
				b := kind.body(rt, at)
				want[id], tableOf[id] = b, kind.table
				w.put(part{class: kind.class, typeOf: kind.typeOf, predefined: kind.predefined, guid: fmt.Sprintf("2%c%020d", 'A'+i, k+1), name: id, storey: "Ground", body: b})
			}
		}
		n++
		file := filepath.Join(dir, fmt.Sprintf("m%d.ifc", n))
		if err := os.WriteFile(file, w.bytes(), 0o644); err != nil {
			rt.Fatal(err)
		}
		defer os.Remove(file)
		turn := 0.0
		im, err := model.Read(t.Context(), []string{file}, model.Options{Lattice: 50e3, Turn: &turn})
		if err != nil {
			rt.Fatal(err)
		}
		if len(im.Problems) > 0 || len(im.Summary.Open) > 0 {
			rt.Fatalf("%v %v", im.Problems, im.Summary.Open)
		}
		p, err := im.Project(t.Context())
		if err != nil {
			rt.Fatal(err)
		}
		got := map[string]*void.Zone{}
		for i := range p.Zones() {
			got[p.Zone(i).ID] = p.Zone(i)
		}
		for id, b := range want {
			z := got[id]
			if z == nil {
				rt.Errorf("%s %v is not there: %v", id, b, im.Summary.Told)
				continue
			}
			if file := p.Files[z.At().File]; file != tableOf[id]+".csv" {
				rt.Errorf("%s is in %s", id, file)
			}
			if off := apartAs(b, z.Bare()); off > 0.1 {
				rt.Errorf("%s (%s): off by %.3f\nwas  %+v\nread %+v", id, d.form, off, b, z.Bare())
			}
		}
		if len(got) != len(want) {
			rt.Errorf("%d rows of %d elements", len(got), len(want))
		}
	})
}

// rooms writes the bays of a project as rooms, with a ceiling and a slab over each.
func rooms(w *writer, p *void.Project) {
	for i := range p.Bays {
		b := &p.Bays[i]
		storey := p.Storeys[b.Storey]
		slab := func(lo, hi float64) body.Body {
			c := b.Plan.Center()
			a := r3.Vector{X: b.Plan.X.Lo, Y: c.Y, Z: (lo + hi) / 2}
			return body.Box(a, r3.Vector{X: b.Plan.X.Hi, Y: c.Y, Z: (lo + hi) / 2}, b.Plan.Y.Length(), hi-lo)
		}
		w.put(part{class: "IFCSPACE", guid: fmt.Sprintf("2room%017d", i), name: b.Name, storey: storey.Name, body: slab(storey.FFL, storey.FFL+2000)})
		w.put(part{class: "IFCSLAB", predefined: "FLOOR", guid: fmt.Sprintf("2slab%017d", i), name: fmt.Sprintf("slab %d", i), storey: storey.Name, body: slab(b.Soffit, b.Soffit+200)})
		if b.HasCeiling {
			var layers []void.Layer
			if b.BuildUp >= 0 {
				layers = p.BuildUps[b.BuildUp].Layers
			}
			w.put(part{class: "IFCCOVERING", predefined: "CEILING", guid: fmt.Sprintf("2ceil%017d", i), name: fmt.Sprintf("ceiling %d", i), storey: storey.Name, layers: layers, body: slab(b.Ceiling, max(b.Top, b.Ceiling+0.4))})
		}
	}
}

// whole writes a project as a model, and a mapping that says of each element what its row is.
func whole(t *testing.T, p *void.Project, d dialect) (file, mapping string) {
	t.Helper()
	d.storeys = map[string]float64{}
	for _, s := range p.Storeys {
		d.storeys[s.Name] = s.FFL
	}
	w := newWriter(d)
	rooms(w, p)
	lines := map[string]bool{}
	var rows strings.Builder
	rows.WriteString("class,name,becomes,trade,service,kind\n")
	for i := range p.Zones() {
		z := p.Zone(i)
		c := p.Character(z.Char)
		if z.ByHeight || c.Entry.Mark {
			continue
		}
		object := fmt.Sprintf("%s/%s/%s", c.Trade, c.Service, c.Kind)
		if !lines[object] {
			lines[object] = true
			fmt.Fprintf(&rows, "IfcBuildingElementProxy,%s,zone,%s,%s,%s\n", object, c.Trade, c.Service, c.Kind)
		}
		w.put(part{class: "IFCBUILDINGELEMENTPROXY", guid: fmt.Sprintf("2zone%017d", i), name: z.ID, object: object, storey: p.Storeys[z.Storey].Name, body: z.Bare(), stands: z.Upright})
	}
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "mapping.csv"), []byte(rows.String()), 0o644); err != nil {
		t.Fatal(err)
	}
	return w.save(t, "whole.ifc"), dir
}

// stripped is a folder of tables without what a model does not hold: of its tables these alone, without these columns.
func stripped(t *testing.T, fsys fs.FS, gaps fs.FS) fstest.MapFS {
	t.Helper()
	out := fstest.MapFS{}
	take := func(from fs.FS, name string, not func(column string) bool) {
		data, err := fs.ReadFile(from, name)
		if errors.Is(err, fs.ErrNotExist) {
			return
		} else if err != nil {
			t.Fatal(err)
		}
		all, err := csv.NewReader(bytes.NewReader(data)).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		var b bytes.Buffer
		w := csv.NewWriter(&b)
		for _, r := range all {
			var row []string
			for i, c := range r {
				if !not(all[0][i]) {
					row = append(row, c)
				}
			}
			if err := w.Write(row); err != nil {
				t.Fatal(err)
			}
		}
		w.Flush()
		out[name] = &fstest.MapFile{Data: b.Bytes()}
	}
	names, err := fs.Glob(fsys, "*.csv")
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range names {
		switch name {
		case "openings.csv", "access.csv", "gaps.csv", "hangers.csv", "sources.csv", "mapping.csv", "model.csv", "supports.csv", "surveyed.csv", "register.csv":
		case "bays.csv", "levels.csv", "grid.csv", "buildups.csv", "origin.csv":
			take(fsys, name, func(c string) bool { return c == "trough" })
		default:
			take(fsys, name, func(c string) bool {
				switch c {
				case "id", "trade", "service", "kind", "storey", "bay", "x1", "y1", "x2", "y2", "size", "width", "height", "diameter", "level", "face", "fall", "x1_m", "y1_m", "x2_m", "y2_m", "level_m":
					return false
				}
				return true
			})
		}
	}
	for _, name := range []string{"gaps.csv", "hangers.csv"} {
		take(gaps, name, func(string) bool { return false })
	}
	return out
}

// found is the findings of a project by the two that they are of, with what lacks.
func found(t *testing.T, fsys fs.FS) map[string]float64 {
	t.Helper()
	p, err := table.Open(t.Context(), "job", table.Options{FS: fsys})
	if err != nil {
		t.Fatal(err)
	}
	res, err := clash.Open(p, clash.Options{Touch: 1}).Findings(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]float64{}
	for _, f := range res.Findings {
		b := ""
		if f.B != nil {
			b = *f.B
		}
		out[string(f.Kind)+" "+min(f.A, b)+" / "+max(f.A, b)] = f.Short
	}
	return out
}

// TestProjects writes the demo and the clinic as models and reads them again: the same bodies, the same bays and, with the same rules laid beside,
// the same findings.
func TestProjects(t *testing.T) {
	clinic := filepath.Join("..", "..", "..", "shared", "realdata", "clinic")
	for _, test := range []struct {
		name, dir string
		d         dialect
	}{
		{"demo, extruded", filepath.Join("..", "..", "testdata", "demo"), dialect{schema: "IFC4", mm: 1, form: "extruded", seed: 1}},
		{"demo, faces in feet, deep", filepath.Join("..", "..", "testdata", "demo"), dialect{schema: "IFC2X3", mm: 304.8, form: "faces", depth: 3, shuffle: true, seed: 2}},
		{"demo, turned", filepath.Join("..", "..", "testdata", "demo"), dialect{schema: "IFC4", mm: 1000, form: "mapped", depth: 1, seed: 3, turn: 27}},
		{"clinic", clinic, dialect{schema: "IFC4", mm: 1, form: "extruded", depth: 1, seed: 4}},
	} {
		t.Run(test.name, func(t *testing.T) {
			if _, err := os.Stat(test.dir); err != nil {
				need.Skip(t, "no reference data beside this repository: %v", err)
			}
			p, err := table.Open(t.Context(), test.dir, table.Options{})
			if err != nil {
				t.Fatal(err)
			}
			file, mapping := whole(t, p, test.d)
			im := read(t, model.Options{Mapping: os.DirFS(mapping)}, file)
			q, err := im.Project(t.Context())
			if err != nil {
				t.Fatal(err)
			}
			got := map[string]*void.Zone{}
			for i := range q.Zones() {
				got[q.Zone(i).ID] = q.Zone(i)
			}
			n, doubles := 0, 0
			for i := range p.Zones() {
				z := p.Zone(i)
				if z.ByHeight || p.Character(z.Char).Entry.Mark {
					continue
				}
				o := got[z.ID]
				if o == nil {
					if told := strings.Join(im.Summary.Told, "\n"); !strings.Contains(told, " "+z.ID+" stands where ") && !strings.Contains(told, "(doubles)") {
						t.Errorf("%s is not there", z.ID)
					}
					doubles++
					continue
				}
				if off := apartAs(z.Bare(), o.Bare()); off > 0.1 {
					t.Errorf("%s is off by %.3f: %+v, read as %+v", z.ID, off, z.Bare(), o.Bare())
				}
				n++
			}
			if n != len(got) {
				t.Errorf("%d of %d rows", len(got), n)
			}
			// Of rooms that lie in each other, as some of the clinic do, the lower ceiling counts: they are another matter.
			in := map[string]bool{}
			for i := range p.Bays {
				for k := range p.Bays {
					a, b := p.Bays[i].Plan, p.Bays[k].Plan
					if i != k && p.Bays[i].Storey == p.Bays[k].Storey && a.X.Intersection(b.X).Length() > 1 && a.Y.Intersection(b.Y).Length() > 1 {
						in[p.Bays[i].Name] = true
					}
				}
			}
			if len(in) == 0 && len(p.Bays) != len(q.Bays) {
				t.Errorf("%d of %d bays", len(q.Bays), len(p.Bays))
			}
			for i := range q.Bays {
				b := &q.Bays[i]
				for k := range p.Bays {
					o := &p.Bays[k]
					if o.Name == b.Name && !in[b.Name] && p.Storeys[o.Storey].Name == q.Storeys[b.Storey].Name && (!o.Plan.ApproxEqual(b.Plan) && apartRect(o.Plan, b.Plan) > 0.1 || math.Abs(o.Soffit-b.Soffit) > 0.1 || o.HasCeiling != b.HasCeiling || o.HasCeiling && math.Abs(o.Ceiling-b.Ceiling) > 0.1) {
						t.Errorf("bay %s: %+v, read as %+v", b.Name, *o, *b)
					}
				}
			}
			was, now := found(t, stripped(t, os.DirFS(test.dir), os.DirFS(test.dir))), found(t, stripped(t, im.Folder(), os.DirFS(test.dir)))
			for k, v := range was {
				a, b, _ := strings.Cut(k[strings.IndexByte(k, ' ')+1:], " / ")
				if (got[a] == nil && !strings.Contains(a, "ceiling ") && !strings.Contains(a, "soffit ") && a != "") || got[b] == nil && !strings.Contains(b, "ceiling ") && !strings.Contains(b, "soffit ") {
					continue // of a row that has no place, or that is a double
				}
				if len(in) > 0 && (strings.Contains(k, "ceiling ") || strings.Contains(k, "soffit ")) {
					continue
				}
				if w, ok := now[k]; (!ok || math.Abs(v-w) > 0.5) && v > 0.5 {
					t.Errorf("%s: %.1f before, %.1f now (there: %v)", k, v, w, ok)
				}
			}
			for k, v := range now {
				if len(in) > 0 && (strings.Contains(k, "ceiling ") || strings.Contains(k, "soffit ")) {
					continue
				}
				if _, ok := was[k]; !ok && v > 0.5 {
					t.Errorf("%s: %.1f now, not before", k, v)
				}
			}
			t.Logf("%d bodies, %d bays, %d findings, %d doubles", n, len(q.Bays), len(was), doubles)
		})
	}
}

func apartRect(a, b r2.Rect) float64 {
	return max(math.Abs(a.X.Lo-b.X.Lo), math.Abs(a.X.Hi-b.X.Hi), math.Abs(a.Y.Lo-b.Y.Lo), math.Abs(a.Y.Hi-b.Y.Hi))
}
