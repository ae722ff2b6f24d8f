package setout_test

import (
	"math"
	"testing"

	"voidline/clash"
	"voidline/clash/setout"
	"voidline/void/cell"
)

// What is fixed stays: a run of two lengths at 2900 has to go under a duct at 2800, to 2740 at the most, or over it. With nothing fixed all of it is
// struck lower; with the first length fixed a set leads from its 2900 down, no sooner than where it ends, at 3500; with both nothing can be done.
func TestFixedRowsStay(t *testing.T) {
	for _, test := range []struct {
		first, second string
		sets          int
		found         bool
	}{
		{"", "", 0, true},
		{"made", "", 0, true},
		{"fixed", "", 1, true},
		{"fixed", "fixed", 0, false},
	} {
		p := tables{
			"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,10000,6000,3600,2600\n",
			"ductwork.csv": "id,x1,y1,x2,y2,size,level\nD,6000,0,6000,6000,400x300,2800\n",
			"tray.csv": "id,kind,run,x1,y1,x2,y2,size,level,hanger,stage\nT1,tray,R,500,3000,4000,3000,300x60,2900,channel 41 M10," + test.first +
				"\nT2,tray,R,4000,3000,9000,3000,300x60,2900,channel 41 M10," + test.second + "\n",
		}.open(t)
		runs, err := setout.Assemble(p, "R", cell.Bottom)
		if err != nil {
			t.Fatal(err)
		}
		a := setout.SetOut(p, clash.Open(p, clash.Options{Touch: clash.None}), &runs[0], setout.Settings{})
		if a.Found != test.found || len(a.Line.Steps) != test.sets {
			t.Errorf("%q, %q: found %t with %d sets, want %t, %d", test.first, test.second, a.Found, len(a.Line.Steps), test.found, test.sets)
			continue
		}
		if test.sets == 0 {
			continue
		}
		if from := a.Line.Sections[0]; math.Abs(from.Level-2900) > 0.01 || a.Line.Steps[0].From < 3500 || a.Line.Steps[0].To > 5300 {
			t.Errorf("%q: %+v, %+v; want 2900 up to 3500, and down before 5300", test.first, from, a.Line.Steps[0])
		}
	}
}
