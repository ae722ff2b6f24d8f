package model_test

import (
	"flag"
	"fmt"
	"os"
	"testing"

	"github.com/golang/geo/r3"

	"voidline/io/model"
	"voidline/void/body"
)

var (
	writeTo  = flag.String("model.to", "", "TestWriteLarge writes a large model to this file")
	writeMB  = flag.Int("model.mb", 100, "of how many megabytes")
	readFrom = flag.String("model.from", "", "BenchmarkLarge reads this model")
)

// large writes a building of many storeys, rooms and services, half of them meshes, until it has so many bytes.
func large(mb int) []byte {
	d := dialect{schema: "IFC4", mm: 1, form: "extruded", depth: 1, seed: 1, storeys: map[string]float64{}}
	for s := range 10 {
		d.storeys[fmt.Sprintf("Level %d", s)] = 4000 * float64(s)
	}
	w := newWriter(d)
	forms := []string{"extruded", "faces", "triangles", "mapped", "faces", "surface"}
	size, n := 0, 0
	for at := 0; size < mb<<20; {
		s := n % 10
		x, y := float64(n/10%200)*600, float64(n/2000)*7000
		storey := fmt.Sprintf("Level %d", s)
		if n%40 < 10 {
			flat := func(lo, hi float64) body.Body {
				return body.Box(r3.Vector{X: x, Y: y + 3000, Z: d.storeys[storey] + (lo+hi)/2}, r3.Vector{X: x + 2400, Y: y + 3000, Z: d.storeys[storey] + (lo+hi)/2}, 6000, hi-lo)
			}
			w.d.form = "extruded"
			w.put(part{class: "IFCSPACE", guid: fmt.Sprintf("2r%020d", n), name: fmt.Sprint(n), storey: storey, body: flat(0, 2600)})
			w.put(part{class: "IFCSLAB", guid: fmt.Sprintf("2s%020d", n), name: "slab", storey: storey, body: flat(3600, 4000)})
			w.put(part{class: "IFCCOVERING", predefined: "CEILING", guid: fmt.Sprintf("2c%020d", n), name: "ceiling", storey: storey, body: flat(2600, 2615)})
		}
		w.d.form = forms[n%len(forms)]
		a := r3.Vector{X: x, Y: y, Z: d.storeys[storey] + 3000 + float64(n%7)*60}
		p := part{class: "IFCPIPESEGMENT", predefined: "RIGIDSEGMENT", guid: fmt.Sprintf("2p%020d", n), name: fmt.Sprintf("P%d", n), system: fmt.Sprintf("Heating %d", n%50), storey: storey, body: body.Cylinder(a, a.Add(r3.Vector{Y: 5500}), 100)}
		if n%3 == 0 {
			p.class, p.body = "IFCDUCTSEGMENT", body.Box(a, a.Add(r3.Vector{Y: 5500}), 400, 200)
		}
		w.put(p)
		for ; at < len(w.lines); at++ {
			size += len(w.lines[at]) + 1
		}
		n++
	}
	return w.bytes()
}

// TestWriteLarge writes a large model for measurements: go test ./io/model -run TestWriteLarge -model.to /tmp/large.ifc
func TestWriteLarge(t *testing.T) {
	if *writeTo == "" {
		t.Skip("no -model.to")
	}
	if err := os.WriteFile(*writeTo, large(*writeMB), 0o644); err != nil {
		t.Fatal(err)
	}
}

// BenchmarkLarge imports a large model.
func BenchmarkLarge(b *testing.B) {
	if *readFrom == "" {
		b.Skip("no -model.from")
	}
	for b.Loop() {
		im, err := model.Read(b.Context(), []string{*readFrom}, model.Options{})
		if err != nil {
			b.Fatal(err)
		}
		b.ReportMetric(float64(len(im.Rows)), "rows")
	}
}
