package setout_test

import (
	"math"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"voidline/clash"
	"voidline/clash/setout"
	"voidline/void/cell"
)

// folder reads the tables of a folder as text.
func folder(t *testing.T, dir string) tables {
	t.Helper()
	ts := tables{}
	files, err := filepath.Glob(filepath.Join(dir, "*.csv"))
	if err != nil || len(files) == 0 {
		t.Fatalf("%s: %v, %d tables", dir, err, len(files))
	}
	for _, f := range files {
		b, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		ts[filepath.Base(f)] = string(b)
	}
	return ts
}

// Three runs: one needs no set, one needs two, one cannot be done.
func TestThreeRuns(t *testing.T) {
	ts := folder(t, "testdata/three")
	for _, test := range []struct {
		run   string
		sets  int
		found bool
		gives string
		by    float64
	}{
		{"T1", 0, true, "", 0},
		{"T2", 2, true, "", 0},
		// Between the duct's top, 2770 + 750 + 25, and the soffit at 3600 are 55; the tray is 100 high, with 150 over it to lay cables.
		{"T3", 0, false, "SA-3", -(100 + 150 - (3600 - 2770 - 750 - 25))},
	} {
		p := ts.open(t)
		runs, err := setout.Assemble(p, test.run, cell.Bottom)
		if err != nil {
			t.Fatal(err)
		}
		a := setout.SetOut(p, clash.Open(p, clash.Options{Touch: clash.None}), &runs[0], setout.Settings{Steps: setout.Steps{Straight: 100}})
		if a.Found != test.found || len(a.Line.Steps) != test.sets {
			t.Errorf("%s: found %v with %d sets, want %v with %d", test.run, a.Found, len(a.Line.Steps), test.found, test.sets)
		}
		if !a.Found {
			if len(a.Blocks) != 1 || !a.Blocks[0].Shut || len(a.Gives) == 0 || a.Gives[0].Moves[0].Name != test.gives || a.Gives[0].Moves[0].By != test.by ||
				!slices.Equal(a.Gives[0].Moves[0].Meets, []string{"ceiling B-C"}) { // its underside comes down from 2745, 7 over the tiles, into them
				t.Errorf("%s: blocks %+v, gives %+v, want %s by %v", test.run, a.Blocks, a.Gives, test.gives, test.by)
			}
			continue
		}
		rows, gone := setout.Rows(p, a, nil)
		if fs := foundOf(t, ts.with(t, "containment.csv", rows, gone).open(t), test.run); len(fs) > 0 {
			t.Errorf("%s put back: %+v", test.run, fs)
		}
	}
}

// The demo holds a run that needs no set, one that needs two, and one that cannot be done.
func TestDemoRuns(t *testing.T) {
	ts := folder(t, "../../testdata/demo")
	p := ts.open(t)
	out := func(name string) *setout.Answer {
		runs, err := setout.Assemble(p, name, cell.Bottom)
		if err != nil || len(runs) != 1 {
			t.Fatal(name, err, len(runs))
		}
		return setout.SetOut(p, clash.Open(p, clash.Options{Touch: clash.None}), &runs[0], setout.Settings{Steps: setout.Steps{Straight: 100}})
	}
	// The tray of the alarms: under the steel, the highest whole 5 mm with 10 to spare below 3600 - 251.4 - 50.
	if a := out("FA1"); !a.Found || a.Level == nil || *a.Level != 4200+3285 {
		t.Errorf("FA1: %+v", a.Line)
	}
	// The ladder of 125: over a duct at 2950 + 200 + 25, under the beam of 355 at 3600, over a duct at 2925 + 200 + 25.
	// Each with 10 to spare.
	over1, under, over2 := 2950+200+25+10.0, 3600-355-125-10.0, 2925+200+25+10.0
	a := out("LD2")
	if !a.Found || len(a.Line.Steps) != 2 || math.Abs(a.Line.Rise-(over1-under+over2-under)) > 1e-6 {
		t.Fatalf("LD2: %+v", a.Line)
	}
	for i, want := range []float64{over1, under, over2} {
		if got := a.Line.Sections[i].Level - 4200; math.Abs(got-want) > 1e-6 {
			t.Errorf("LD2: line %d at %v, want %v", i+1, got, want)
		}
	}
	rows, gone := setout.Rows(p, a, nil)
	if fs := foundOf(t, ts.with(t, "containment.csv", rows, gone).open(t), "LD2"); len(fs) > 0 {
		t.Errorf("LD2 put back: %+v", fs)
	}
	// The spur of 100: between the chilled main, DN80 with 40 about 2760, and the supply duct at 2950 - 25 are 80.6.
	a = out("SP2")
	short := 100 - (2950 - 25 - (2760 + 88.9/2 + 40))
	if a.Found || len(a.Gives) == 0 || len(a.Gives[0].Moves) != 1 {
		t.Fatalf("SP2: %+v", a)
	}
	if m := a.Gives[0].Moves[0]; m.Name != "SA1-02" || m.By != math.Ceil(short) || len(m.Meets) > 0 {
		t.Errorf("SP2: %+v, want SA1-02 up %v", m, math.Ceil(short))
	}
	named := map[string]bool{}
	for _, th := range a.Blocks[0].Things {
		named[th.Name] = true
	}
	for _, n := range []string{"SA1-02", "CHW-F-02", "SB-2B"} {
		if !named[n] {
			t.Errorf("SP2: %s is not among what stands there: %v", n, named)
		}
	}
}

func TestAssembleSaysWhatItHasNot(t *testing.T) {
	ts := folder(t, "testdata/three")
	p := ts.open(t)
	for _, name := range []string{"T9", "SB-1"} {
		if _, err := setout.Assemble(p, name, cell.Bottom); err == nil {
			t.Errorf("%s is no run", name)
		}
	}
	if runs, err := setout.Assemble(p, "SA-1", cell.Bottom); err != nil || len(runs) != 1 || runs[0].Length != 3100 {
		t.Errorf("the one row SA-1: %+v, %v", runs, err)
	}
}

func TestLevels(t *testing.T) {
	p := folder(t, "testdata/three").open(t)
	for _, l := range setout.Levels(p) {
		// UB 406x178x60 is 406.4 deep; 3600 - 406.4 = 3193.6; tiles 15 + 23.
		if !l.HasSteel || l.Steel != 4200+3600-406.4 || l.Top != 4200+2738 || l.Void != 862 || l.Under-(3193.6-2738) > 1e-9 {
			t.Errorf("%s: %+v", l.Bay.Name, l)
		}
	}
}

// A run that comes in several lengths gets one level for all of them where there is one, though each alone would lie higher.
func TestOneLevelForAllLengths(t *testing.T) {
	for _, test := range []struct {
		why    string
		ducts  []string
		levels []float64
		shared bool
	}{
		// Each is 100 high under its own duct, 10 to spare.
		{"the lower of the two", []string{"D,supply air,duct,2000,500,2000,3500,400x300,3300,", "E,supply air,duct,9000,500,9000,3500,400x500,3100,"}, []float64{2990, 2990}, true},
		// The one lies over its duct only, the other under its own only.
		{"none for both", []string{"D,supply air,duct,2000,500,2000,3500,400x700,2700,", "E,supply air,duct,9000,500,9000,3500,400x700,2900,"}, []float64{3490, 2790}, false},
	} {
		ts := job(test.ducts...)
		ts["tray.csv"] = "id,service,kind,x1,y1,x2,y2,size,level,run\nT1,LV power,trunking,500,2000,5500,2000,100x100,3000,T\nT2,LV power,trunking,6500,2000,11000,2000,100x100,3000,T\n"
		p := ts.open(t)
		runs, err := setout.Assemble(p, "T", cell.Bottom)
		if err != nil || len(runs) != 2 {
			t.Fatal(err, len(runs))
		}
		c := clash.Open(p, clash.Options{Touch: clash.None})
		var all []*setout.Answer
		for k := range runs {
			all = append(all, setout.SetOut(p, c, &runs[k], setout.Settings{}))
		}
		if got := setout.OneLevel(p, c, all, setout.Settings{}); got != test.shared {
			t.Errorf("%s: OneLevel %v, want %v", test.why, got, test.shared)
		}
		for k, a := range all {
			if a.Level == nil || *a.Level != test.levels[k] || a.Shared != test.shared || len(a.Unproved) > 0 {
				t.Errorf("%s: length %d at %v, shared %v, not proved %v; want %v", test.why, k+1, a.Level, a.Shared, a.Unproved, test.levels[k])
			}
		}
	}
}

// Where lengths of a run meet is told by the end of the one and the station of the other.
func TestJoints(t *testing.T) {
	ts := job()
	ts["tray.csv"] = "id,service,kind,x1,y1,x2,y2,size,level,run\n" +
		"T1,LV power,trunking,500,2000,11000,2000,100x100,3000,T\n" + // the main
		"T2,LV power,trunking,4000,2000,4000,3500,100x100,3000,T\n" + // from its middle
		"T3,LV power,trunking,8000,500,8000,1950,100x100,3000,T\n" // to its side
	p := ts.open(t)
	runs, err := setout.Assemble(p, "T", cell.Bottom)
	if err != nil || len(runs) != 3 {
		t.Fatal(err, len(runs))
	}
	got := setout.Joints(runs)
	if len(got[0]) != 0 {
		t.Errorf("the main: %+v", got[0])
	}
	for k := 1; k < 3; k++ {
		want := map[string]setout.Joint{"T2": {End: 0, Other: 0, Station: 3500}, "T3": {End: 1450, Other: 0, Station: 7500}}[p.Zone(runs[k].Pieces[0].Zone).ID]
		if len(got[k]) != 1 || got[k][0] != want {
			t.Errorf("%s: %+v, want %+v", p.Zone(runs[k].Pieces[0].Zone).ID, got[k], want)
		}
	}
}
