package setout_test

import (
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
			if len(a.Blocks) != 1 || !a.Blocks[0].Shut || len(a.Gives) == 0 || a.Gives[0].Thing.Name != test.gives || a.Gives[0].By != test.by {
				t.Errorf("%s: blocks %+v, gives %+v, want %s by %v", test.run, a.Blocks, a.Gives, test.gives, test.by)
			}
			continue
		}
		rows, gone := setout.Rows(p, a)
		if fs := foundOf(t, ts.with(t, "containment.csv", rows, gone).open(t), test.run); len(fs) > 0 {
			t.Errorf("%s put back: %+v", test.run, fs)
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
