package setout_test

import (
	"bytes"
	"flag"
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"testing"

	"voidline/clash"
	"voidline/clash/setout"
	"voidline/reports/floor"
	sheets "voidline/reports/setout"
	"voidline/void/cell"
	"voidline/void/need"
)

// Sheets that are kept: of each of some random jobs, set out in many ways, how many bytes there are on its sheets, in its rows and in what is to be
// ordered, and a sum of them: enough to see that something changed. What it was is seen with -kept.sheets FOLDER, before the change and after it.

var (
	keptUpdate = flag.Bool("update", false, "write the kept sums anew")
	keptSheets = flag.String("kept.sheets", "", "a `folder` to write the sheets into of which testdata/kept.txt has the sums")
)

// settings draws how a run is set out.
func settings(r *rand.Rand) (setout.Steps, setout.Hanging) {
	or := func(v float64) *float64 {
		if r.IntN(4) > 0 {
			return nil
		}
		return &v
	}
	of := func(vs ...float64) float64 { return vs[r.IntN(len(vs))] }
	o := setout.Steps{
		Angle: of(0, 0, 30, 60, 90), Straight: of(0, 0, 100, 250), Most: r.IntN(4) * r.IntN(3), Above: of(0, 0, 50),
		Min: or(2700 + 50*of(0, 1, 2)), Max: or(3100 + 50*of(0, 1, 2)), Prefer: or(2950), Start: or(2900 + 10*of(0, 1, 2)), End: or(3000),
		AsDrawn: r.IntN(2) == 0,
	}
	h := setout.Hanging{
		Spacing: of(0, 0, 900, 1500), First: of(0, 0, 150), Clamp: of(0, 40), Screw: of(0, 12), Adjust: of(0, -1, 10), Beside: of(0, 65), Clear: of(0, 40), Kerf: of(0, 3),
	}
	if r.IntN(3) == 0 {
		h.Stock, h.Bars = []float64{1000, 2000}, []float64{6000}
	}
	return o, h
}

func TestKeptSheets(t *testing.T) {
	need.Amd64(t)
	sums := need.Sums{File: filepath.Join("testdata", "kept.txt"), Update: *keptUpdate, Folder: *keptSheets}
	gentle := 1.0 / 100
	job := func(name string, ts tables, r *rand.Rand) {
		var out bytes.Buffer
		p := ts.open(t)
		c := clash.Open(p, clash.Options{Touch: clash.None, Firm: r.IntN(4) == 0})
		o, h := settings(r)
		runs, err := setout.Assemble(p, "R", cell.Bottom)
		if err != nil {
			t.Fatal(name, err)
		}
		var all []*sheets.Sheet
		var lengths []setout.Ordered
		joints := setout.Joints(runs)
		for k := range runs {
			s := &sheets.Sheet{Project: p, Joints: joints[k], Lengths: &all}
			var rows [][]string
			var gone []string
			if runs[k].Falls() {
				if s.Fall = setout.SetFall(p, c, &runs[k], [...]*float64{nil, nil, &gentle}[r.IntN(3)], o); s.Fall.Start != nil {
					rows, gone = setout.FallRows(p, s.Fall)
				}
				s.Supports = setout.SupportFall(p, c, s.Fall, h)
			} else if s.Answer = setout.SetOut(p, c, &runs[k], setout.Settings{Steps: o}); s.Answer.Found {
				s.Supports = setout.SupportRun(p, c, s.Answer, h)
				rows, gone = setout.Rows(p, s.Answer, s.Supports)
			}
			fmt.Fprintf(&out, "%q for %q\n", rows, gone)
			all = append(all, s)
			lengths = append(lengths, setout.Ordered{Answer: s.Answer, Fall: s.Fall, Supports: s.Supports, Joints: s.Joints})
		}
		order := setout.OrderFor(p, lengths)
		for _, s := range all {
			if err := sheets.Text(&out, s, 160); err != nil {
				t.Fatal(name, err)
			}
		}
		if err := sheets.JSON(&out, all, order, nil); err != nil {
			t.Fatal(name, err)
		}
		if err := sheets.OrderText(&out, order, 160); err != nil {
			t.Fatal(name, err)
		}
		sums.Keep(t, name, out.Bytes())
	}
	for n := range uint64(80) {
		r := rand.New(rand.NewPCG(n, 601))
		job(fmt.Sprint("level-", n), randomJob(r), r)
		job(fmt.Sprint("stepped-", n), steppedJob(r), r)
		job(fmt.Sprint("falling-", n), fallingJob(r), r)
	}
	for n := range uint64(30) {
		r := rand.New(rand.NewPCG(n, 602))
		f := randomOracleFloor(r)
		f.tables["trays.csv"] = f.trays(false, 2900)
		p := tables(f.tables).open(t)
		o, _ := settings(r)
		fl, err := setout.Strike(p, clash.Open(p, clash.Options{Touch: clash.None}), setout.FloorSettings{Lines: 1 + r.IntN(2), Prefer: o.Prefer, Steps: o})
		if err != nil {
			t.Fatal(n, err)
		}
		var out bytes.Buffer
		if err := (&floor.Sheet{Project: p, Floor: fl}).JSON(&out); err != nil {
			t.Fatal(n, err)
		}
		sums.Keep(t, fmt.Sprint("floor-", n), out.Bytes())
	}
	sums.Compare(t)
}
