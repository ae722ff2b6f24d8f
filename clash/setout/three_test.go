package setout_test

import (
	"math"
	"os"
	"path/filepath"
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
		// Between the duct's top, 2770 + 750 + 25, and the soffit at 3600 are 55; the tray is 100 high.
		{"T3", 0, false, "SA-3", -(100 - (3600 - 2770 - 750 - 25))},
	} {
		p := ts.open(t)
		runs, err := setout.Assemble(p, test.run, cell.Bottom)
		if err != nil {
			t.Fatal(err)
		}
		a := setout.SetOut(p, clash.Open(p, clash.Options{}), &runs[0], setout.Settings{Steps: setout.Steps{Straight: 100}})
		if a.Found != test.found || len(a.Line.Steps) != test.sets {
			t.Errorf("%s: found %v with %d sets, want %v with %d", test.run, a.Found, len(a.Line.Steps), test.found, test.sets)
		}
		if !a.Found {
			if len(a.Blocks) != 1 || !a.Blocks[0].Shut || len(a.Gives) == 0 || a.Gives[0].Moves[0].Name != test.gives || a.Gives[0].Moves[0].By != test.by {
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
		return setout.SetOut(p, clash.Open(p, clash.Options{}), &runs[0], setout.Settings{Steps: setout.Steps{Straight: 100}})
	}
	// The tray of the alarms: under the steel, the highest whole millimetre below 3600 - 251.4 - 50.
	if a := out("FA1"); !a.Found || a.Level == nil || *a.Level != 4200+3298 {
		t.Errorf("FA1: %+v", a.Line)
	}
	// The ladder of 125: over a duct at 2950 + 200 + 25, under the beam of 355 at 3600, over a duct at 2925 + 200 + 25.
	over1, under, over2 := 2950+200+25.0, 3600-355-125.0, 2925+200+25.0
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
