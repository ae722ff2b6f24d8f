package setout_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"voidline/clash"
	"voidline/clash/setout"
	"voidline/void/cell"
)

// A drain of two rows, 1 in 100 as drawn from 2700, is laid at 5 mm/m from 2760: it begins 60 higher, and every metre 5 more. An
// eye 2000 along it goes up by 70, one at the joint by 80, 6000 along by 90, one at the end by 100, each once; and the first in the
// table lies on the second row.
func TestFallRowsOfItems(t *testing.T) {
	p := tables{
		"bays.csv": "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,8000,3000,3600,2000\n",
		"drainage.csv": "id,service,kind,x1,y1,x2,y2,size,level,fall,run\n" +
			"E6,soil,rodding eye,6000,1500,,,150x150x180,2600,,D\nE2,soil,rodding eye,2000,1500,,,150x150x180,2600,,D\n" +
			"E8,soil,rodding eye,8000,1500,,,150x150x180,2600,,D\nE4,soil,rodding eye,4000,1500,,,150x150x180,2600,,D\n" +
			"D1,soil,pipe,0,1500,4000,1500,ø110,2700,1 in 100,D\nD2,soil,pipe,4000,1500,8000,1500,ø110,2660,1 in 100,D\n",
	}.open(t)
	runs, err := setout.Assemble(p, "D", cell.Bottom)
	if err != nil || len(runs) != 1 {
		t.Fatal(runs, err)
	}
	start, fall := 2760.0, 0.005
	f := setout.SetFall(p, clash.Open(p, clash.Options{Touch: clash.None}), &runs[0], &fall, setout.Steps{Start: &start})
	if f.Start == nil {
		t.Fatalf("it does not fit: %+v", f)
	}
	rows, gone := setout.FallRows(p, f)
	var got []string
	for _, r := range rows {
		got = append(got, fmt.Sprintf("%s %s to %s %s %s", r[0], r[5], r[7], r[13], r[15]))
	}
	want := []string{
		"D1 0 to 4000 FFL+2760 5 mm/m", "E2 2000 to  FFL+2670 ",
		"D2 4000 to 8000 FFL+2740 5 mm/m", "E4 4000 to  FFL+2680 ", "E6 6000 to  FFL+2690 ", "E8 8000 to  FFL+2700 ",
	}
	if !slices.Equal(got, want) {
		t.Errorf("rows %q,\nwant %q", got, want)
	}
	if slices.Sort(gone); !slices.Equal(gone, []string{"D1", "D2", "E2", "E4", "E6", "E8"}) {
		t.Errorf("they take the place of %v", gone)
	}
}

// A second length of a run begins at its free end, wherever in the table its rows stand.
func TestSecondLengthBeginsAtItsEnd(t *testing.T) {
	ts := job()
	ts["tray.csv"] = "id,service,kind,x1,y1,x2,y2,size,level,run\nT1,LV power,tray,500,2000,1500,2000,100x100,3000,T\n" +
		"T2,LV power,tray,5000,2000,8000,2000,100x100,3000,T\nT3,LV power,tray,3000,2000,5000,2000,100x100,3000,T\nT4,LV power,tray,8000,2000,9000,2000,100x100,3000,T\n"
	p := ts.open(t)
	runs, err := setout.Assemble(p, "T", cell.Bottom)
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, r := range runs {
		var ids []string
		for _, pc := range r.Pieces {
			ids = append(ids, p.Zone(pc.Zone).ID)
		}
		got = append(got, fmt.Sprintf("%v long: %s", r.Length, strings.Join(ids, " ")))
	}
	if want := []string{"6000 long: T3 T2 T4", "1000 long: T1"}; !slices.Equal(got, want) {
		t.Errorf("lengths %q, want %q", got, want)
	}
}

// Two tiers of a frame, 200 apart, over a duct whose top is at 2860: the lower one, drawn at 2800, has to go up to 2870, 10 to spare,
// and the upper one with it: to 2870 + 60 of its own height + 150 of room to lay cables + 10 to spare. What the line is told to - bottom, centre or top of trays 60 high - changes the levels by 30 and 60 and nothing else.
func TestTiersByEveryFace(t *testing.T) {
	p := tables{
		"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,20000,6000,4200,2500\n",
		"ductwork.csv": "id,service,kind,x1,y1,x2,y2,size,level\nD,extract,duct,7000,0,7000,6000,600x200,2660\n",
		"tray.csv": "id,service,kind,x1,y1,x2,y2,size,level,run,hanger,frame,tier\n" +
			"T1-1,data,tray,0,3000,20000,3000,300x60,2800,T1,channel 41 M10,F1,1\nT2-1,data,tray,0,3000,20000,3000,300x60,3000,T2,channel 41 M10,F1,2\n",
	}.open(t)
	for _, test := range []struct {
		face cell.Facing
		up   float64
	}{{cell.Bottom, 0}, {cell.Centre, 30}, {cell.Top, 60}} {
		runs, err := setout.Assemble(p, "T1", test.face)
		if err != nil {
			t.Fatal(err)
		}
		a := setout.SetOut(p, clash.Open(p, clash.Options{Touch: clash.None}), &runs[0], setout.Settings{Steps: setout.Steps{AsDrawn: true}})
		if a.Level == nil || len(a.Mates) != 1 {
			t.Errorf("%v: no level, or no other tier: %+v", test.face, a)
			continue
		}
		if *a.Level != 2870+test.up || a.Mates[0].Line != 3090+test.up {
			t.Errorf("%v: %v, the other at %v; want %v and %v", test.face, *a.Level, a.Mates[0].Line, 2870+test.up, 3090+test.up)
		}
	}
}
