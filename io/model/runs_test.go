package model_test

import (
	"fmt"
	"testing"

	"github.com/golang/geo/r3"

	"voidline/io/model"
	"voidline/void/body"
)

// TestRuns looks at what is put together as one run.
//
//	A --- B ==elbow== C     D --- tee --- E     F --- G (thinner)     H . I (ends that meet)     J . K . L (three ends that meet)
//	                               |
//	                               M
func TestRuns(t *testing.T) {
	for _, d := range []dialect{
		{schema: "IFC4", mm: 1, form: "extruded", seed: 1},
		{schema: "IFC2X3", mm: 304.8, form: "faces", depth: 2, shuffle: true, seed: 2},
	} {
		for _, ports := range []bool{true, false} {
			t.Run(fmt.Sprintf("%s, ports %v", d.schema, ports), func(t *testing.T) {
				d.storeys = map[string]float64{"Ground": 0}
				w := newWriter(d)
				pipe := func(name string, from, to r3.Vector, thick float64) {
					w.put(part{class: "IFCPIPESEGMENT", typeOf: "IFCFLOWSEGMENT", predefined: "RIGIDSEGMENT", guid: "2run" + name + "00000000000000000", name: name, system: "Heating flow 1", storey: "Ground", body: body.Cylinder(from, to, thick)})
				}
				fitting := func(name string, at r3.Vector) {
					w.put(part{class: "IFCPIPEFITTING", typeOf: "IFCFLOWFITTING", predefined: "BEND", guid: "2fit" + name + "00000000000000", name: name, system: "Heating flow 1", storey: "Ground", body: body.Box(at.Add(r3.Vector{X: -60}), at.Add(r3.Vector{X: 60}), 120, 120)})
				}
				p := func(x, y float64) r3.Vector { return r3.Vector{X: x, Y: y, Z: 3000} }
				pipe("A", p(0, 0), p(2000, 0), 60)
				pipe("B", p(2000, 0), p(4000, 0), 60)
				fitting("elbow", p(4100, 0))
				pipe("C", p(4100, 60), p(4100, 2000), 60)
				pipe("D", p(10e3, 0), p(12e3, 0), 60)
				fitting("tee01", p(12100, 0))
				pipe("E", p(12200, 0), p(14e3, 0), 60)
				pipe("M", p(12100, 60), p(12100, 2000), 60)
				pipe("F", p(20e3, 0), p(22e3, 0), 60)
				pipe("G", p(22e3, 0), p(24e3, 0), 40)
				pipe("H", p(0, 9e3), p(2000, 9e3), 60)
				pipe("I", p(2001, 9e3), p(2001, 11e3), 60)
				pipe("J", p(10e3, 9e3), p(12e3, 9e3), 60)
				pipe("K", p(12e3, 9e3), p(14e3, 9e3), 60)
				pipe("L", p(12e3, 9e3), p(12e3, 11e3), 60)
				id := func(n string) string {
					if len(n) == 1 {
						return "2run" + n + "00000000000000000"
					}
					return "2fit" + n + "00000000000000"
				}
				if ports {
					for _, c := range []struct {
						a, b string
						at   r3.Vector
					}{
						{"A", "B", p(2000, 0)},
						{"B", "elbow", p(4040, 0)},
						{"elbow", "C", p(4100, 60)},
						{"D", "tee01", p(12e3, 0)},
						{"tee01", "E", p(12200, 0)},
						{"tee01", "M", p(12100, 60)},
						{"F", "G", p(22e3, 0)},
					} {
						w.connect(id(c.a), id(c.b), "Ground", c.at)
					}
				}
				im := read(t, model.Options{Lattice: 30e3}, w.save(t, "runs.ifc"))
				project(t, im)
				pipes := cells(t, im, "pipework.csv")
				// A run is called by its system and the first of its rows.
				want := map[string]string{"A": "A", "B": "A", "C": "A", "D": "D", "E": "E", "M": "M", "F": "F", "G": "G", "H": "H", "I": "H", "J": "J", "K": "K", "L": "L"}
				if !ports {
					want["C"] = "C" // nothing says that the elbow joins them
				}
				for name, first := range want {
					if got := pipes[name]["run"]; got != "Heating flow 1/"+first {
						t.Errorf("%s is in run %q, want that of %s", name, got, first)
					}
					if pipes[name]["service"] != "LTHW" {
						t.Errorf("%s carries %q", name, pipes[name]["service"])
					}
				}
				joins := map[string]string{"A": "B", "B": "elbow", "C": "elbow", "D": "tee01", "E": "tee01", "M": "tee01", "F": "G"}
				for name, to := range joins {
					if !ports {
						to = ""
					}
					if got := pipes[name]["joins"]; got != to {
						t.Errorf("%s joins %q, want %q", name, got, to)
					}
				}
			})
		}
	}
}
