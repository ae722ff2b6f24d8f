package setout_test

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"voidline/clash"
	"voidline/clash/setout"
	"voidline/void/cell"
	"voidline/void/need"
)

// clinic returns the clinic's tables (open building data, its source stands beside it).
func clinic(t *testing.T) tables {
	t.Helper()
	dir := filepath.Join("..", "..", "..", "shared", "realdata", "clinic")
	if _, err := os.Stat(dir); err != nil {
		need.Skip(t, "the clinic's tables are not beside this repository")
	}
	if testing.Short() {
		t.Skip("takes seconds")
	}
	return folder(t, dir)
}

// Containment of our own through the real steel and ducts of the clinic, on both storeys, along and across, straight and
// round a corner, at several levels: each answer put back leaves nothing of the run to find.
func TestTraysThroughClinic(t *testing.T) {
	real := clinic(t)
	by := map[int]int{}
	for _, test := range []struct {
		storey  string
		kind    string
		size    string
		level   float64 // of the rows, FFL+
		min     float64 // that is asked, FFL+
		prefer  float64 // FFL+, 0: as high as may be
		x1, y1  float64
		x2, y2  float64
		x3, y3  float64 // round a corner to; 0, 0: straight
		hanger  string
		service string
	}{
		{"First Floor", "tray", "300x60", 3000, 2700, 0, -40000, 12000, -18000, 12000, 0, 0, "channel 41 M10", "LV power"},
		{"First Floor", "tray", "300x60", 3000, 2700, 3000, -40000, 14300, -18000, 14300, 0, 0, "channel 41 M10", "LV power"},
		{"First Floor", "tray", "300x60", 3000, 2700, 0, -40000, 16600, -18000, 16600, 0, 0, "channel 41 M10", "LV power"},
		{"First Floor", "basket", "200x60", 3300, 2700, 3300, -40000, 21200, -18000, 21200, 0, 0, "channel 21 M8", "data"},
		{"First Floor", "basket", "450x60", 2900, 2700, 2900, -40000, 23500, -18000, 23500, 0, 0, "channel 41 M10", "data"},
		{"First Floor", "tray", "300x60", 3000, 2700, 0, -40000, 25800, -18000, 25800, 0, 0, "channel 41 M10", "LV power"},
		{"First Floor", "ladder", "600x100", 3200, 2700, 0, -36000, 28100, -18000, 28100, 0, 0, "channel 41 M12", "LV power"},
		{"First Floor", "tray", "150x50", 3100, 2700, 3100, -33000, 13000, -33000, 27000, 0, 0, "channel 41 M10", "fire alarm"},
		{"First Floor", "tray", "300x60", 3400, 2700, 3400, -38000, 18900, -24000, 18900, -24000, 30000, "channel 41 M10", "LV power"},
		{"Second Floor", "tray", "300x60", 3000, 2700, 0, -40000, 16600, -12000, 16600, 0, 0, "channel 41 M10", "LV power"},
		{"Second Floor", "basket", "300x60", 2950, 2700, 2950, -38000, 23500, -14000, 23500, -14000, 34000, "channel 21 M10", "data"},
		{"Second Floor", "ladder", "300x100", 3300, 2700, 0, -20000, 12000, -20000, 34000, 0, 0, "channel 41 M10", "LV power"},
	} {
		row := func(id string, x1, y1, x2, y2 float64) string {
			return fmt.Sprintf("%s,%s,%s,%s,%v,%v,%v,%v,%s,FFL+%v,%s,OUR\n", id, test.storey, test.service, test.kind, x1, y1, x2, y2, test.size, test.level, test.hanger)
		}
		rows := row("OUR-1", test.x1, test.y1, test.x2, test.y2)
		if test.x3 != 0 {
			rows += row("OUR-2", test.x2, test.y2, test.x3, test.y3)
		}
		ts := tables{}
		for name, text := range real {
			ts[name] = text
		}
		ts["our trays.csv"] = "id,storey,service,kind,x1,y1,x2,y2,size,level,hanger,run\n" + rows
		p := ts.open(t)
		name := fmt.Sprintf("%s, %s %s from %v, %v", test.storey, test.kind, test.size, test.x1, test.y1)
		runs, err := setout.Assemble(p, "OUR", cell.Bottom)
		if err != nil || len(runs) != 1 {
			t.Fatal(name, err, len(runs))
		}
		c := clash.Open(p, clash.Options{Touch: clash.None})
		ffl := p.Storeys[runs[0].Storey].FFL
		low := ffl + test.min
		o := setout.Steps{Straight: 100, Min: &low}
		if near := ffl + test.prefer; test.prefer > 0 {
			o.Prefer = &near
		}
		began := time.Now()
		a := setout.SetOut(p, c, &runs[0], setout.Settings{Steps: o})
		took := time.Since(began)
		if !a.Found {
			by[-1]++
			t.Logf("%s: cannot be done, %d things, %v; blocks %d, gives %d", name, len(a.Things), took, len(a.Blocks), len(a.Gives))
			if len(a.Blocks) == 0 || len(a.Blocks[0].Things) == 0 {
				t.Errorf("%s: nothing blocks it, and it cannot be done", name)
			}
			continue
		}
		by[len(a.Line.Steps)]++
		u := setout.SupportRun(p, clash.Open(p, clash.Options{Touch: clash.None}), a, setout.Hanging{})
		t.Logf("%s: %d sets among %d things, %v; %d supports, %d stretches without", name, len(a.Line.Steps), len(a.Things), took, len(u.List), len(u.Gaps))
		if len(a.Unproved) > 0 {
			t.Errorf("%s: not proved: %+v", name, a.Unproved)
		}
		rs, gone := setout.Rows(p, a, u)
		for _, f := range foundOf(t, ts.with(t, "our trays.csv", rs, gone).open(t), "OUR") {
			t.Errorf("%s: put back, the check finds %s of %s and %s: %s, short %v (%s)", name, f.Kind, f.A, *f.B, f.Rule, f.Short, f.Note)
		}
	}
	t.Logf("by number of sets (-1: cannot be done): %v", by)
	if len(by) < 3 || by[-1] > 6 {
		t.Errorf("too tame, or too hard, to mean anything: %v", by)
	}
}
