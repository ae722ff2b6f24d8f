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

// Trays of our own through the real steel and ducts of the clinic (open building data, its source stands beside it): each
// answer put back leaves nothing of the run to find.
func TestTraysThroughClinic(t *testing.T) {
	dir := filepath.Join("..", "..", "..", "shared", "realdata", "clinic")
	if _, err := os.Stat(dir); err != nil {
		need.Skip(t, "the clinic's tables are not beside this repository")
	}
	if testing.Short() {
		t.Skip("takes seconds")
	}
	clinic := folder(t, dir)
	by := map[int]int{}
	for k := range 10 {
		y := 12000 + 2300*float64(k)
		ts := tables{}
		for name, text := range clinic {
			ts[name] = text
		}
		ts["our trays.csv"] = "id,storey,service,kind,x1,y1,x2,y2,size,level,hanger,run\n" +
			fmt.Sprintf("OUR-1,First Floor,LV power,tray,-40000,%v,-18000,%v,300x60,FFL+3000,channel 41 M10,OUR\n", y, y)
		p := ts.open(t)
		runs, err := setout.Assemble(p, "OUR", cell.Bottom)
		if err != nil {
			t.Fatal(err)
		}
		c := clash.Open(p, clash.Options{})
		low := p.Storeys[0].FFL + 2700
		began := time.Now()
		a := setout.SetOut(p, c, &runs[0], setout.Settings{Steps: setout.Steps{Straight: 100, Min: &low}})
		took := time.Since(began)
		if !a.Found {
			by[-1]++
			t.Logf("y %v: cannot be done, %d things, %v; gives %d", y, len(a.Things), took, len(a.Gives))
			continue
		}
		by[len(a.Line.Steps)]++
		t.Logf("y %v: %d sets among %d things, %v", y, len(a.Line.Steps), len(a.Things), took)
		if len(a.Unproved) > 0 {
			t.Errorf("y %v: not proved: %+v", y, a.Unproved)
		}
		rows, gone := setout.Rows(p, a)
		for _, f := range foundOf(t, ts.with(t, "our trays.csv", rows, gone).open(t), "OUR") {
			t.Errorf("y %v: put back, the check finds %s of %s and %s: %s, short %v (%s)", y, f.Kind, f.A, *f.B, f.Rule, f.Short, f.Note)
		}
	}
	t.Logf("trays by number of sets (-1: cannot be done): %v", by)
}
