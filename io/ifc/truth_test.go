package ifc_test

import (
	"context"
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/golang/geo/r3"

	"voidline/io/ifc"
	"voidline/void/need"
)

// realdata returns a folder of the models beside the repository, and skips where it is not there.
func realdata(t testing.TB, name string) string {
	t.Helper()
	dir := filepath.Join("..", "..", "..", "shared", "realdata", "ifc", name)
	if _, err := os.Stat(dir); err != nil {
		need.Skip(t, "the models are not beside this repository: %v", err)
	}
	return dir
}

// rows reads a table of the truth: of each row its cells by heading.
func rows(t testing.TB, name string) []map[string]string {
	t.Helper()
	f, err := os.Open(name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	all, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out []map[string]string
	for _, r := range all[1:] {
		m := map[string]string{}
		for i, h := range all[0] {
			m[h] = r[i]
		}
		out = append(out, m)
	}
	return out
}

func num(t testing.TB, s string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

func open(t testing.TB, name string) *ifc.Model {
	t.Helper()
	f, err := ifc.Open(context.Background(), name, nil)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(f.Close)
	m, err := ifc.ReadModel(context.Background(), f)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

var files = []string{"Building-Hvac", "Building-Structural", "Duplex_A_20110907", "Duplex_Electrical_20121207", "made_structure", "made_ceilings", "made_services", "made_services_2x3_ft"}

// explained are the differences from what was measured, by file and instance, each with its reason.
var explained = map[string]map[uint32]string{
	"Building-Hvac": {
		85: "a round flue: its section was measured over the flats of a mesh, 193.2; its corners lie on a circle of 200",
	},
	"Duplex_A_20110907": {
		4287: "a wall cut back by a half space, 57: the first operand is taken, the larger box",
		4399: "a wall cut back by a half space, 57: the first operand is taken, the larger box",
	},
}

// TestBoxes holds the box of every element against that which an independent reader measured.
func TestBoxes(t *testing.T) {
	for _, name := range files {
		t.Run(name, func(t *testing.T) {
			m := open(t, filepath.Join(realdata(t, "files"), name+".zip"))
			of := map[uint32]*ifc.Element{}
			for i := range m.Elements {
				of[m.Elements[i].ID] = &m.Elements[i]
			}
			for _, p := range m.Problems {
				t.Errorf("%v", p)
			}
			n := 0
			for _, r := range rows(t, filepath.Join(realdata(t, "truth"), name+".csv")) {
				e := of[uint32(num(t, r["step_id"]))]
				if e == nil || e.GUID != r["guid"] {
					t.Errorf("#%s %s is not there", r["step_id"], r["class"])
					continue
				}
				b, err := m.Body(e)
				if err != nil {
					t.Errorf("#%d: %v", e.ID, err)
					continue
				}
				if len(b.Forms) == 0 {
					t.Errorf("#%d %s: no form", e.ID, e.Class)
					continue
				}
				low, high := b.Forms[0].Low, b.Forms[0].High
				for _, f := range b.Forms {
					low = r3.Vector{X: min(low.X, f.Low.X), Y: min(low.Y, f.Low.Y), Z: min(low.Z, f.Low.Z)}
					high = r3.Vector{X: max(high.X, f.High.X), Y: max(high.Y, f.High.Y), Z: max(high.Z, f.High.Z)}
				}
				worst := 0.0
				for i, h := range []string{"xmin", "ymin", "zmin", "xmax", "ymax", "zmax"} {
					got := [6]float64{low.X, low.Y, low.Z, high.X, high.Y, high.Z}[i]
					worst = max(worst, math.Abs(got-num(t, r[h])))
				}
				n++
				why, known := explained[name][e.ID]
				differs := false
				check := func(wrong bool, format string, a ...any) {
					if differs = differs || wrong; wrong && !known {
						t.Errorf(format, a...)
					}
				}
				if worst > 0.5 {
					check(true, "#%d %s %s: box %.1f..%.1f, measured %s %s %s .. %s %s %s (off by %.1f)", e.ID, e.Class, e.Name, low, high, r["xmin"], r["ymin"], r["zmin"], r["xmax"], r["ymax"], r["zmax"], worst)
				}
				if r["straight"] == "yes" {
					s := b.Forms[0].Straight
					if s == nil || len(b.Forms) != 1 {
						t.Errorf("#%d %s %s: not straight, %d pieces", e.ID, e.Class, e.Name, len(b.Forms))
						continue
					}
					a, z := s.A, s.B
					wa, wz := r3.Vector{X: num(t, r["ax1"]), Y: num(t, r["ay1"]), Z: num(t, r["az1"])}, r3.Vector{X: num(t, r["ax2"]), Y: num(t, r["ay2"]), Z: num(t, r["az2"])}
					if a.Sub(wa).Norm() > a.Sub(wz).Norm() {
						a, z = z, a
					}
					off := max(a.Sub(wa).Norm(), z.Sub(wz).Norm())
					sec := max(math.Abs(s.Across-num(t, r["across"])), math.Abs(s.High-num(t, r["high"])))
					if off > 0.1 || sec > 0.1 {
						check(true, "#%d %s %s: line %.1f %.1f section %.1f x %.1f (round %v, exact %v), measured %.1f %.1f %s x %s", e.ID, e.Class, e.Name, a, z, s.Across, s.High, s.Round, s.Exact, wa, wz, r["across"], r["high"])
					}
				}
				if known && !differs {
					t.Errorf("#%d agrees now: %s", e.ID, why)
				}
			}
			t.Logf("%d compared", n)
		})
	}
}

// TestConstruction holds the centre line and section of what was made for these tests against what was meant.
func TestConstruction(t *testing.T) {
	for _, name := range files[4:] {
		t.Run(name, func(t *testing.T) {
			m := open(t, filepath.Join(realdata(t, "files"), name+".zip"))
			of := map[string]*ifc.Element{}
			for i := range m.Elements {
				of[m.Elements[i].GUID] = &m.Elements[i]
			}
			for _, r := range rows(t, filepath.Join(realdata(t, "truth"), name+".construction.csv")) {
				e := of[r["guid"]]
				if e == nil || e.Class != r["class"] || e.Name != r["name"] {
					t.Errorf("%s %s is not there", r["class"], r["name"])
					continue
				}
				if s := e.Storey; s < 0 || m.Storeys[s].Name != r["storey"] {
					t.Errorf("%s: storey %d", e.Name, s)
				}
				if name == "made_services" && (len(e.Systems) != 1 || e.Systems[0].Name != r["systems"]) {
					t.Errorf("%s: systems %v, want %s", e.Name, e.Systems, r["systems"])
				}
				if r["ax1"] == "" {
					continue
				}
				b, err := m.Body(e)
				if err != nil || len(b.Forms) != 1 || b.Forms[0].Straight == nil {
					t.Errorf("%s: %v, %d pieces", e.Name, err, len(b.Forms))
					continue
				}
				s := b.Forms[0].Straight
				a, z := s.A, s.B
				wa, wz := r3.Vector{X: num(t, r["ax1"]), Y: num(t, r["ay1"]), Z: num(t, r["az1"])}, r3.Vector{X: num(t, r["ax2"]), Y: num(t, r["ay2"]), Z: num(t, r["az2"])}
				if a.Sub(wa).Norm() > a.Sub(wz).Norm() {
					a, z = z, a
				}
				if a.Sub(wa).Norm() > 0.1 || z.Sub(wz).Norm() > 0.1 || math.Abs(s.Across-num(t, r["across"])) > 0.1 || math.Abs(s.High-num(t, r["high"])) > 0.1 {
					if e.Name == "F-1" && s.B.Sub(s.A).Norm() < 601 { // square in plan, with no axis of its own
						continue
					}
					t.Errorf("%s: line %.1f %.1f section %.1f x %.1f, meant %.1f %.1f %s x %s", e.Name, a, z, s.Across, s.High, wa, wz, r["across"], r["high"])
				}
			}
		})
	}
}

// TestPortsAndProperties looks at what the made services say besides their forms.
func TestPortsAndProperties(t *testing.T) {
	m := open(t, filepath.Join(realdata(t, "files"), "made_services.zip"))
	named := map[string]*ifc.Element{}
	for i := range m.Elements {
		named[m.Elements[i].Name] = &m.Elements[i]
	}
	d := named["D-1"]
	if len(d.Ports) != 2 {
		t.Fatalf("D-1 has %d ports", len(d.Ports))
	}
	if p := m.Ports[d.Ports[1]]; p.At != (r3.Vector{X: 7500, Y: 5000, Z: 3250}) || p.To < 0 || m.Elements[m.Ports[p.To].Of].Name != "F-1" {
		t.Errorf("D-1 connects at %v to %d", p.At, p.To)
	}
	var insulation float64
	for _, p := range m.Properties(d) {
		if p.Name == "InsulationThickness" && p.Length {
			insulation = p.MM
		}
	}
	if insulation != 30 {
		t.Errorf("insulation of D-1 %g, want 30", insulation)
	}
	if m.Map == nil || m.Map.Eastings != 691200 || math.Abs(m.Map.Turn+20) > 1e-6 || math.Abs(m.North-20) > 1e-6 {
		t.Errorf("map %+v, north %g", m.Map, m.North)
	}
	m = open(t, filepath.Join(realdata(t, "files"), "made_services_2x3_ft.zip"))
	for _, e := range m.Elements {
		if e.Name == "M-5" && (e.Kind() != "IFCCABLECARRIERSEGMENT" || e.Predefined != "CABLETRAYSEGMENT" || len(e.Ports) != 2) {
			t.Errorf("M-5 is %s %s with %d ports", e.Kind(), e.Predefined, len(e.Ports))
		}
	}
	m = open(t, filepath.Join(realdata(t, "files"), "made_structure.zip"))
	tags := ""
	for _, a := range m.Axes {
		tags += a.Tag
	}
	if tags != "ABCD123" || m.Axes[1].A.X != 8200 {
		t.Errorf("grid lines %s, %+v", tags, m.Axes)
	}
	for _, e := range m.Elements {
		if e.Class == "IFCOPENINGELEMENT" && (e.In < 0 || m.Elements[e.In].Name != "IPE450/B1") {
			t.Errorf("the opening is in %d", e.In)
		}
	}
	m = open(t, filepath.Join(realdata(t, "files"), "made_ceilings.zip"))
	for i := range m.Elements {
		if e := &m.Elements[i]; e.Class == "IFCCOVERING" {
			if l := m.Layers(e); len(l) != 2 || l[0].Thickness != 15 || l[1].Thickness != 38 || l[1].Material != "grid" {
				t.Errorf("layers %v", l)
			}
		}
	}
}
