package legible_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"

	"voidline/clash"
	"voidline/clash/finding"
	"voidline/clash/setout"
	"voidline/io/table"
	"voidline/reports/draw"
	"voidline/reports/draw/look"
	"voidline/reports/floor"
	"voidline/reports/internal/legible"
	"voidline/reports/plan"
	"voidline/reports/section"
	"voidline/void"
	"voidline/void/need"
)

// checked is a project with what was found in it.
type checked struct {
	p       *void.Project
	ch      *clash.Check
	res     *finding.Result
	numbers map[string]int
}

func check(t testing.TB, dir string, files fstest.MapFS) *checked {
	t.Helper()
	opt := table.Options{}
	if files != nil {
		opt.FS = files
	}
	p, err := table.Open(context.Background(), dir, opt)
	if err != nil {
		t.Fatal(err)
	}
	if len(p.Problems) > 0 {
		t.Fatal(p.Problems)
	}
	ch := clash.Open(p, clash.Options{Touch: 1})
	res, err := ch.Findings(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	return &checked{p, ch, res, finding.Numbers(res.Findings)}
}

// counts is how many drawings were looked at, and what is amiss.
type counts struct {
	drawings, texts, faults int
	sheets                  map[string]int
}

func (n *counts) look(t testing.TB, d *draw.Drawing, what string) {
	t.Helper()
	n.drawings++
	for _, it := range d.Items {
		if _, is := it.(draw.Text); is {
			n.texts++
		}
	}
	faults := legible.Faults(d)
	n.faults += len(faults)
	if len(faults) > 0 {
		n.sheets[strings.Fields(what)[0]]++
		if n.faults-len(faults) < 40 {
			t.Errorf("%s:\n  %s", what, strings.Join(faults[:min(len(faults), 4)], "\n  "))
		}
		if dir := os.Getenv("VOIDLINE_LOOK"); dir != "" && n.faults-len(faults) < 40 {
			f, err := os.Create(filepath.Join(dir, fmt.Sprintf("bad-%03d.png", n.drawings)))
			if err != nil {
				t.Fatal(err)
			}
			defer f.Close()
			if err := draw.PNG(f, d, draw.PNGOptions{}); err != nil {
				t.Fatal(err)
			}
		}
	}
}

// bay looks at the plan and the sections of a bay, on paper and on a phone.
func (n *counts) bay(t testing.TB, k *checked, bay int) {
	t.Helper()
	b := &k.p.Bays[bay]
	held := k.ch.SupportPlan()
	for _, sheet := range []look.Sheet{{}, look.Phone(), {Name: "A4", W: 184, H: 106, Text: 2.4, Margin: 1}} {
		in := plan.Input{Project: k.p, Storey: b.Storey, Bay: bay, Findings: k.res.Findings, Numbers: k.numbers, Supports: held.FromAbove(finding.SupportNos(k.res.Findings))}
		n.look(t, plan.Draw(in, plan.Options{Sheet: sheet}), "plan of "+b.Label+" on "+sheet.Name)
	}
	var ins []section.Input
	if f, ok := finding.Worst(k.res.Findings, b.Label); ok {
		if at, plane, ok := k.ch.PlaneThrough(&f); ok && at == bay {
			if v, ok := k.ch.View(bay, plane, &f, held); ok {
				ins = append(ins, section.Input{Project: k.p, View: v, Finding: &f, Number: strconv.Itoa(k.numbers[f.Problem()]), Why: "through finding " + f.ID})
			}
		}
	}
	if v, ok := k.ch.View(bay, b.Middle(), nil, held); ok {
		ins = append(ins, section.Input{Project: k.p, View: v, Why: "through the middle of the bay"})
	}
	for _, in := range ins {
		for _, sheet := range []look.Sheet{{}, look.Phone(), {Name: "A4", W: 184, H: 118, Text: 2.2, Margin: 1}} {
			n.look(t, section.Draw(in, section.Options{Sheet: sheet}), "section through "+b.Label+" on "+sheet.Name)
		}
	}
}

// TestRealBuilding looks at every bay of the open building data.
func TestRealBuilding(t *testing.T) {
	dir := filepath.Join("..", "..", "..", "..", "shared", "realdata", "clinic")
	if _, err := os.Stat(dir); err != nil {
		need.Skip(t, "the open building data is not at %s", dir)
	}
	k := check(t, dir, nil)
	n := counts{sheets: map[string]int{}}
	for i := range k.p.Bays {
		n.bay(t, k, i)
	}
	t.Logf("%d bays: %d drawings with %d texts, %d faults on %v", len(k.p.Bays), n.drawings, n.texts, n.faults, n.sheets)
	if n.drawings < 1500 {
		t.Error("too few drawings to mean anything")
	}
}

// TestDemo looks at the demo: its bays, its storey, its runs and its floor.
func TestDemo(t *testing.T) {
	k := check(t, "../../../testdata/demo", nil)
	n := counts{sheets: map[string]int{}}
	for i := range k.p.Bays {
		n.bay(t, k, i)
	}
	f, err := setout.Strike(k.p, clash.Open(k.p, clash.Options{Touch: clash.None, Once: true}), setout.FloorSettings{})
	if err != nil {
		t.Fatal(err)
	}
	for _, sheet := range []look.Sheet{look.A3(), look.Phone()} {
		n.look(t, (&floor.Sheet{Project: k.p, Floor: f}).Drawn(sheet), "floor on "+sheet.Name)
	}
	t.Logf("%d drawings with %d texts, %d faults on %v", n.drawings, n.texts, n.faults, n.sheets)
}

// randomBay returns the tables of a bay of any shape, full of services at any level: round and flat, falling, upright, lagged, with steel, walls and
// grid lines close to each other, with and without a ceiling, and names of any length.
func randomBay(seed uint64) fstest.MapFS {
	r := rand.New(rand.NewPCG(seed, 14))
	f := func(lo, hi float64) float64 { return lo + (hi-lo)*r.Float64() }
	l, w := f(1200, 9000), f(1200, 9000)
	switch r.IntN(6) {
	case 0:
		l, w = 42000, 1200 // a corridor
	case 1:
		l, w = 1500, 30000
	}
	soffit := f(2600, 4800)
	bays := "bay,x1,y1,x2,y2,soffit,ceiling\n"
	ceiling := ""
	if r.IntN(4) > 0 {
		ceiling = fmt.Sprintf("%.0f", soffit-f(300, 1600))
	}
	name := []string{"B1", "Corridor north of the plant room", "A-B/1-2"}[r.IntN(3)]
	bays += fmt.Sprintf("%s,0,0,%.0f,%.0f,%.0f,%s\n", name, l, w, soffit, ceiling)
	grid := "axis,label,position\n"
	for i := range r.IntN(5) {
		grid += fmt.Sprintf("x,%c,%.0f\n", 'A'+i, float64(i)*f(300, l/2)+float64(i))
	}
	for i := range r.IntN(4) {
		grid += fmt.Sprintf("y,%d,%.0f\n", i+1, float64(i)*f(300, w/2)+float64(i))
	}
	zones := "id,trade,service,kind,x1,y1,x2,y2,size,diameter,level,insulation\n"
	trades := [][3]string{ // trade, service, kind
		{"ductwork", "supply air", "duct"},
		{"pipework", "LTHW flow", "pipe"},
		{"pipework", "chilled water", "pipe"},
		{"containment", "power", "tray"},
		{"sprinklers", "sprinkler", "pipe"},
		{"drainage", "soil", "pipe"},
		{"steel", "", "beam"},
		{"lighting", "", "light fitting"},
	}
	for i := range 2 + r.IntN(22) {
		k := trades[r.IntN(len(trades))]
		x, y := f(0, l), f(0, w)
		x2, y2 := x, f(0, w)
		if r.IntN(2) == 0 {
			x2, y2 = f(0, l), y
		}
		if abs(x2-x)+abs(y2-y) < 200 {
			x2 += 300
		}
		size := fmt.Sprintf("%.0fx%.0f,", f(50, 900), f(50, 500))
		if k[2] == "pipe" {
			size = fmt.Sprintf(",%.0f", f(20, 250))
		}
		level := f(soffit-1500, soffit-100)
		if k[2] == "beam" {
			size, level = fmt.Sprintf("%.0fx%.0f,", f(100, 300), f(200, 500)), soffit-f(200, 500)
		}
		ins := ""
		if k[0] != "steel" && k[0] != "lighting" && k[0] != "containment" && r.IntN(3) == 0 {
			ins = "25"
		}
		id := fmt.Sprintf("Z%d", i)
		if r.IntN(5) == 0 {
			id += "-LEVEL-01-NORTH-WING"[:r.IntN(20)]
		}
		zones += fmt.Sprintf("%s,%s,%s,%s,%.0f,%.0f,%.0f,%.0f,%s,%.0f,%s\n", id, k[0], k[1], k[2], x, y, x2, y2, size, level, ins)
	}
	files := fstest.MapFS{"bays.csv": {Data: []byte(bays)}, "zones.csv": {Data: []byte(zones)}}
	if strings.Count(grid, "\n") > 1 {
		files["grid.csv"] = &fstest.MapFile{Data: []byte(grid)}
	}
	return files
}

func abs(v float64) float64 {
	if v < 0 {
		return -v
	}
	return v
}

// TestRandomBays looks at 500 bays.
func TestRandomBays(t *testing.T) {
	n := counts{sheets: map[string]int{}}
	found := 0
	for seed := range uint64(500) {
		k := check(t, "p", randomBay(seed))
		found += len(k.res.Findings)
		n.bay(t, k, 0)
	}
	t.Logf("%d findings: %d drawings with %d texts, %d faults on %v", found, n.drawings, n.texts, n.faults, n.sheets)
	if found < 3000 || n.drawings < 4000 {
		t.Error("too little to mean anything")
	}
}
