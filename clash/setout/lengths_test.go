package setout_test

import (
	"testing"

	"voidline/clash/setout"
	"voidline/void/cell"
)

// Ends up to 50 apart still meet: exactly 50 is one length, a tenth more is two.
func TestEndsFiftyApartAreOneLength(t *testing.T) {
	for _, test := range []struct {
		x    string
		want int
	}{{"5050", 1}, {"5050.1", 2}, {"4950", 1}} {
		ts := job()
		ts["tray.csv"] = "id,service,kind,x1,y1,x2,y2,size,level,run\n" +
			"T1,LV power,tray,500,2000,5000,2000,100x100,3000,T\nT2,LV power,tray," + test.x + ",2000,11000,2000,100x100,3000,T\n"
		runs, err := setout.Assemble(ts.open(t), "T", cell.Bottom)
		if err != nil || len(runs) != test.want {
			t.Errorf("the second begins at %s: %d lengths, %v; want %d", test.x, len(runs), err, test.want)
		}
	}
}

// A level length between two sets that is too short to need a support, and has none, names no hanger in the rows; a longer one does,
// and so does a short one with a support. How long it is counts, not where along the run it lies.
func TestShortLevelWithoutSupportHasNoHanger(t *testing.T) {
	ts := job()
	ts["tray.csv"] = "id,service,kind,x1,y1,x2,y2,size,level,hanger,run\nT1,LV power,tray,500,2000,11000,2000,100x100,3000,channel 41 M10,T\n"
	p := ts.open(t)
	runs, err := setout.Assemble(p, "T", cell.Bottom)
	if err != nil {
		t.Fatal(err)
	}
	a := &setout.Answer{Run: &runs[0], Line: setout.Line{
		Sections: []setout.Section{{From: 0, To: 5000, Level: 3000}, {From: 5100, To: 5600, Level: 2900}, {From: 5700, To: 10500, Level: 3000}},
		Steps: []setout.Step{
			{From: 5000, To: 5100, Low: 3000, High: 2900, Rise: -100}, {From: 5600, To: 5700, Low: 2900, High: 3000, Rise: 100},
		},
	}}
	hangers := func(at ...float64) []string {
		u := &setout.Supports{Hanging: setout.Hanging{First: 300}}
		for _, x := range at {
			u.List = append(u.List, setout.Support{At: x})
		}
		rows, _ := setout.Rows(p, a, u)
		var out []string
		for _, r := range rows {
			out = append(out, r[16])
		}
		return out
	}
	for _, test := range []struct {
		at     []float64
		middle string
	}{{[]float64{300, 4700, 6000, 10200}, ""}, {[]float64{300, 4700, 5350, 6000, 10200}, "channel 41 M10"}} {
		got := hangers(test.at...)
		if len(got) != 5 || got[0] == "" || got[1] != "" || got[2] != test.middle || got[3] != "" || got[4] == "" {
			t.Errorf("supports at %v: hangers %q", test.at, got)
		}
	}
}

// Rows of one run are one length whichever of them stands first in the tables.
func TestLengthWhicheverRowIsFirst(t *testing.T) {
	const first, middle, last = "T1,LV power,tray,500,2000,4000,2000,100x100,3000,T\n", "T2,LV power,tray,4000,2000,8000,2000,100x100,3000,T\n", "T3,LV power,tray,8000,2000,11000,2000,100x100,3000,T\n"
	for _, rows := range []string{first + middle + last, middle + first + last, last + middle + first, middle + last + first} {
		p := tables{"bays.csv": job()["bays.csv"], "tray.csv": "id,service,kind,x1,y1,x2,y2,size,level,run\n" + rows}.open(t)
		runs, err := setout.Assemble(p, "T", cell.Bottom)
		if err != nil || len(runs) != 1 || len(runs[0].Pieces) != 3 || runs[0].Length != 10500 || p.Zone(0).ID != rows[:2] {
			t.Errorf("rows from %s: %d lengths, %v; want one of three rows", rows[:2], len(runs), err)
		}
	}
}
