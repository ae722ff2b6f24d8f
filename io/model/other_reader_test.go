package model_test

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"os/exec"
	"testing"

	"github.com/golang/geo/r3"
	"pgregory.net/rapid"

	"voidline/io/ifc"
	"voidline/void/body"
	"voidline/void/need"
)

// TestAnotherReader has an independent reader, web-ifc, read what the tests' own writer writes: its boxes are those of the bodies that
// were meant, and those that this reader sees. So the two ends of the round trip do not agree on a mistake. VOIDLINE_WEB_IFC is the
// folder of that library, as npm installs it (.ci/run does).
func TestAnotherReader(t *testing.T) {
	library := os.Getenv("VOIDLINE_WEB_IFC")
	if _, err := os.Stat(library); library == "" || err != nil {
		need.Skip(t, "VOIDLINE_WEB_IFC names no folder of the library: %v", err)
	}
	if _, err := exec.LookPath("node"); err != nil {
		need.Skip(t, "no node: %v", err)
	}
	for i, form := range []string{"extruded", "triangles", "polygons", "faces", "surface", "disk", "mapped", "clipped"} {
		t.Run(form, func(t *testing.T) {
			d := dialect{schema: "IFC4", mm: []float64{1, 1000, 304.8}[i%3], form: form, depth: i % 4, shuffle: i%2 == 1, stands: i%2 == 0, seed: int64(i + 1), storeys: map[string]float64{"Ground": 0}}
			if form != "triangles" && form != "polygons" && i%2 == 0 {
				d.schema = "IFC2X3"
			}
			w := newWriter(d)
			want := map[string]body.Body{}
			rapid.Custom(func(rt *rapid.T) bool {
				for k, kind := range draws {
					guid := fmt.Sprintf("2%c%020d", 'A'+k, i)
					b := kind.body(rt, r3.Vector{X: 1000 * float64(k), Y: 500 * float64(i), Z: 2500})
					want[guid] = b
					w.put(part{class: kind.class, typeOf: kind.typeOf, predefined: kind.predefined, guid: guid, name: kind.name, storey: "Ground", body: b})
				}
				return true
			}).Example(i)
			file := w.save(t, "x.ifc")
			out, err := exec.CommandContext(t.Context(), "node", "testdata/boxes.mjs", library, file).Output()
			if err != nil {
				t.Fatal(err)
			}
			var other map[string][6]float64
			if err := json.Unmarshal(out[lastLine(out):], &other); err != nil {
				t.Fatalf("%v: %s", err, out)
			}
			f, err := ifc.Open(t.Context(), file, nil)
			if err != nil {
				t.Fatal(err)
			}
			defer f.Close()
			m, err := ifc.ReadModel(t.Context(), f)
			if err != nil {
				t.Fatal(err)
			}
			n := 0
			for k := range m.Elements {
				e := &m.Elements[k]
				b, ok := want[e.GUID]
				if !ok {
					continue
				}
				n++
				// A circle cut into 48 or 96 pieces is up to its sagitta smaller than the circle.
				slack := 0.1
				if b.Round {
					slack += b.W * (1 - math.Cos(math.Pi/48))
				}
				mine, err := m.Body(e)
				if err != nil || len(mine.Forms) != 1 {
					t.Fatal(err, len(mine.Forms))
				}
				got := mine.Forms[0]
				for a, axis := range []r3.Vector{{X: 1}, {Y: 1}, {Z: 1}} {
					reach := b.Reach(axis)
					for side, meant := range []float64{reach.Lo, reach.Hi} {
						seen, ours := other[e.GUID][3*side+a], [2]r3.Vector{got.Low, got.High}[side].Dot(axis)
						if math.Abs(seen-meant) > slack || math.Abs(ours-meant) > slack {
							t.Errorf("%s (%s): meant %.3f, the other reader sees %.3f, this one %.3f", e.Name, form, meant, seen, ours)
						}
					}
				}
			}
			if n != len(want) || len(other) != len(want) {
				t.Errorf("%d and %d of %d elements", n, len(other), len(want))
			}
		})
	}
}

// lastLine returns where the last line of an output begins.
func lastLine(out []byte) int {
	for i := len(out) - 2; i >= 0; i-- {
		if out[i] == '\n' {
			return i + 1
		}
	}
	return 0
}
