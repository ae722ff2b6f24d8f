package setout_test

import (
	"bytes"
	"context"
	"encoding/csv"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"voidline/clash"
	"voidline/clash/finding"
	"voidline/clash/setout"
	"voidline/io/table"
	"voidline/void"
	"voidline/void/cell"
)

// tables is a project as text.
type tables map[string]string

func (ts tables) open(t *testing.T) *void.Project {
	t.Helper()
	fsys := fstest.MapFS{}
	for name, text := range ts {
		fsys[name] = &fstest.MapFile{Data: []byte(text)}
	}
	p, err := table.Open(context.Background(), "job", table.Options{FS: fsys})
	if err != nil {
		t.Fatal(err)
	}
	if len(p.Problems) > 0 {
		t.Fatalf("%v\n%v", p.Problems, ts)
	}
	return p
}

// with returns the tables with the rows of a run in place of those that are gone, which stand in file.
func (ts tables) with(t *testing.T, file string, rows [][]string, gone []string) tables {
	t.Helper()
	out := tables{}
	for k, v := range ts {
		out[k] = v
	}
	recs, err := csv.NewReader(strings.NewReader(ts[file])).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	kept := recs[:1:1]
	for _, r := range recs[1:] {
		there := false
		for _, g := range gone {
			there = there || r[0] == g
		}
		if !there {
			kept = append(kept, r)
		}
	}
	write := func(recs [][]string) string {
		var b bytes.Buffer
		w := csv.NewWriter(&b)
		if err := w.WriteAll(recs); err != nil {
			t.Fatal(err)
		}
		return b.String()
	}
	out[file] = write(kept)
	if len(kept) == 1 {
		delete(out, file)
	}
	out["set out.csv"] = write(append([][]string{setout.Columns()}, rows...))
	return out
}

// foundOf returns what a check finds of a run. What it says of supports is left out: it takes them at the usual spacing, the
// sheet has places of its own (TestSupportsStandClear).
func foundOf(t *testing.T, p *void.Project, run string, opt ...clash.Options) []finding.Finding {
	t.Helper()
	res, err := clash.Open(p, append(opt, clash.Options{Touch: clash.None})[0]).Findings(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	var out []finding.Finding
	for _, f := range res.Findings {
		if (f.ARun == run || f.BRun == run) && f.AKind != "support" && f.BKind != "support" {
			out = append(out, f)
		}
	}
	return out
}

// randomJob is a void with things across and along it and a run through them.
func randomJob(r *rand.Rand) tables {
	ts := tables{
		"bays.csv": "bay,x1,y1,x2,y2,soffit,ceiling,build-up\nA,0,0,12000,8000,3600,2700,tiles\nB,12000,0,24000,8000,3600," +
			fmt.Sprint(2600+r.IntN(150)) + ",boards\n",
		"buildups.csv": "build-up,layer,thickness,lifts out\ntiles,tile,40,yes\nboards,board,60,no\n",
		"hangers.csv":  "hanger,part,height\nthin,strip,4\n",
		"levels.csv":   "storey,ffl,datum\nL1,4200,1000\n",
		"openings.csv": "in,at,size,level\nB0,4000,500x150,\nB1,4000,ø200,\n",
	}
	var b strings.Builder
	b.WriteString("id,kind,x1,y1,x2,y2,size,level\n")
	for i := range 2 {
		x := 5000 + r.IntN(14000)
		fmt.Fprintf(&b, "B%d,beam,%d,0,%d,8000,UB 406x178x60,%s\n", i, x, x, []string{"TOS FFL+3600", "TOS FFL+3560"}[r.IntN(2)])
	}
	ts["steel.csv"] = b.String()
	b.Reset()
	b.WriteString("id,service,kind,x1,y1,x2,y2,size,insulation,level,fall\n")
	for i := range 1 + r.IntN(5) {
		x, y := 1000+r.IntN(22000), 1000+r.IntN(6000)
		dx, dy := 0, 0
		switch r.IntN(4) {
		case 0, 1:
			y, dy = 500, 7000
		case 2:
			dx = 2000 + r.IntN(6000)
		default:
			dx, dy = 1500, 1500
		}
		fmt.Fprintf(&b, "D%d,supply air,duct,%d,%d,%d,%d,%dx%d,%d,%d,\n", i, x, y, x+dx, y+dy, 200+50*r.IntN(5), 150+50*r.IntN(4), 25*r.IntN(2), 2750+r.IntN(500))
	}
	for i := range 1 + r.IntN(5) {
		x := 1000 + r.IntN(22000)
		fall := []string{"", "1 in 60"}[r.IntN(2)]
		if r.IntN(3) == 0 {
			y := 3600 + r.IntN(800)
			fmt.Fprintf(&b, "P%d,soil,pipe,%d,%d,%d,%d,ø110,,%d,%s\n", i, x-800, y, x+3000, y+r.IntN(300), 2760+r.IntN(500), fall)
			continue
		}
		fmt.Fprintf(&b, "P%d,%s,pipe,%d,300,%d,7700,%s,%d,%d,%s\n", i, []string{"LTHW flow", "soil", "gas"}[r.IntN(3)], x, x+r.IntN(600),
			[]string{"ø110", "DN50", "DN25"}[r.IntN(3)], 15*r.IntN(3), 2760+r.IntN(600), fall)
	}
	ts["mech.csv"] = b.String()
	kind := []string{"tray", "basket", "trunking"}[r.IntN(3)]
	hanger := []string{"", "channel 41 M10", "channel 21 M8", "thin"}[r.IntN(4)]
	size := []string{"300x60", "150x60", "450x50"}[r.IntN(3)]
	level := 2800 + r.IntN(400)
	b.Reset()
	b.WriteString("id,service,kind,x1,y1,x2,y2,size,level,hanger,run,joins\n")
	row := func(id string, x1, y1, x2, y2 int) {
		if r.IntN(2) == 0 {
			x1, y1, x2, y2 = x2, y2, x1, y1
		}
		fmt.Fprintf(&b, "%s,LV power,%s,%d,%d,%d,%d,%s,%d,%s,R,\n", id, kind, x1, y1, x2, y2, size, level+r.IntN(60), hanger)
	}
	switch r.IntN(3) {
	case 0:
		row("R1", 500, 4000, 23500, 4000)
	case 1:
		row("R1", 500, 4000, 9000, 4000)
		row("R2", 9000, 4000, 23500, 4000)
	default:
		row("R1", 500, 4000, 15000, 4000)
		row("R2", 15000, 4000, 15000, 7500)
		row("R3", 15000, 7500, 23000, 7500)
	}
	ts["tray.csv"] = b.String()
	return ts
}

// fallingJob is randomJob with the run at a fall.
func fallingJob(r *rand.Rand) tables {
	ts := randomJob(r)
	ts["tray.csv"] = strings.NewReplacer("joins\n", "joins,fall\n", ",R,\n", ",R,,1 in "+fmt.Sprint(60+20*r.IntN(4))+"\n").Replace(ts["tray.csv"])
	return ts
}

// Every answer, put back into the tables, leaves nothing to find of the run.
func TestPutBackLeavesNothing(t *testing.T) {
	cases := 160
	if testing.Short() {
		cases = 60
	}
	by := map[int]int{}
	for seed := range cases {
		r := rand.New(rand.NewPCG(uint64(seed), 41))
		ts := randomJob(r)
		p := ts.open(t)
		runs, err := setout.Assemble(p, "R", cell.Bottom)
		if err != nil || len(runs) != 1 {
			t.Fatalf("seed %d: %d runs, %v", seed, len(runs), err)
		}
		set := setout.Settings{Steps: setout.Steps{Straight: float64(100 * r.IntN(3)), Angle: []float64{45, 30, 60}[r.IntN(3)]}}
		a := setout.SetOut(p, clash.Open(p, clash.Options{Touch: clash.None}), &runs[0], set)
		if !a.Found {
			by[-1]++
			if len(a.Blocks) == 0 {
				t.Errorf("seed %d: nothing blocks it, and it cannot be done", seed)
			}
			continue
		}
		by[len(a.Line.Steps)]++
		if len(a.Unproved) > 0 {
			t.Errorf("seed %d: not proved: %+v\n%+v", seed, a.Unproved, a.Line)
			continue
		}
		rows, gone := setout.Rows(p, a, nil)
		if fs := foundOf(t, ts.with(t, "tray.csv", rows, gone).open(t), "R"); len(fs) > 0 {
			t.Errorf("seed %d: put back, the check finds %s %v of %s: %s, gap %v of %v, %s\nline %+v\nrows %v\n%v", seed, fs[0].Kind, *fs[0].B, fs[0].A, fs[0].Rule,
				fs[0].Gap, fs[0].Asked, fs[0].Note, a.Line, rows, ts)
		}
	}
	t.Logf("cases by number of steps (-1: cannot be done): %v", by)
	for _, k := range []int{-1, 0, 1, 2} {
		if by[k] == 0 {
			t.Errorf("no case with %d steps", k)
		}
	}
}

// The band is where the check finds nothing: at its ends, and not a little beyond.
func TestBandIsWhatTheCheckAllows(t *testing.T) {
	ends, careful := 0, 0
	for seed := range 40 {
		r := rand.New(rand.NewPCG(uint64(seed), 42))
		ts := randomJob(r)
		p := ts.open(t)
		runs, _ := setout.Assemble(p, "R", cell.Bottom)
		a := setout.SetOut(p, clash.Open(p, clash.Options{Touch: clash.None}), &runs[0], setout.Settings{})
		for _, b := range a.Band {
			for _, try := range []struct {
				z    float64
				free bool
			}{{b.Lo, true}, {b.Hi, true}, {b.Lo - 0.1, false}, {b.Hi + 0.1, false}, {(b.Lo + b.Hi) / 2, true}} {
				at := *a
				at.Line = setout.Line{Sections: []setout.Section{{From: 0, To: runs[0].Length, Level: try.z}}}
				rows, gone := setout.Rows(p, &at, nil)
				back := ts.with(t, "tray.csv", rows, gone)
				fs := foundOf(t, back.open(t), "R")
				ends++
				if !try.free && len(fs) == 0 && (tilesBlocked(t, back) || len(runs[0].Pieces) > 1) {
					// One finding a bay for tiles: it names what hangs lowest there. And of several rows the lengths
					// over which they are near are added up in plan, which may be more than the check finds.
					careful++
					continue
				}
				if (len(fs) == 0) != try.free {
					t.Errorf("seed %d: at %.3f of the band %.3f to %.3f the check finds %d: %+v\n%v", seed, try.z, b.Lo, b.Hi, len(fs), fs, ts)
				}
			}
		}
	}
	t.Logf("%d levels, of them %d at which the band is narrower than it need be", ends, careful)
	if ends < 60 || careful > ends/20 {
		t.Errorf("%d levels were tried, %d are too careful", ends, careful)
	}
}

// tilesBlocked reports whether something leaves too little room to lift tiles.
func tilesBlocked(t *testing.T, ts tables) bool {
	t.Helper()
	res, err := clash.Open(ts.open(t), clash.Options{Touch: clash.None}).Findings(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range res.Findings {
		if f.Rule == "tile lift-out" {
			return true
		}
	}
	return false
}

// Whatever a run may be told (angles, straights, room above, levels to keep above, below, near to, to begin and to end at), what comes of it is put back into the
// tables, and the check finds nothing of the run; it keeps to what was told, and its supports stand on it in order. The last three are sets at a right angle of
// round runs, whose bends stood into a beam.
func TestToldPutBack(t *testing.T) {
	seeds := make([]uint64, 60)
	for n := range seeds {
		seeds[n] = uint64(n)
	}
	done := 0
	for _, n := range append(seeds, 358, 370, 578) {
		for kind := range 2 {
			r := rand.New(rand.NewPCG(n, 880+uint64(kind)))
			ts := randomJob(r)
			if kind == 1 {
				ts = steppedJob(r)
			}
			file := map[int]string{0: "tray.csv", 1: "run.csv"}[kind]
			p := ts.open(t)
			opt := clash.Options{Touch: clash.None, Firm: r.IntN(4) == 0}
			c := clash.Open(p, opt)
			o, h := settings(r)
			runs, err := setout.Assemble(p, "R", cell.Bottom)
			if err != nil {
				t.Fatal(err)
			}
			if len(runs) != 1 || runs[0].Falls() {
				continue
			}
			a := setout.SetOut(p, c, &runs[0], setout.Settings{Steps: o})
			if !a.Found {
				continue
			}
			if len(a.Unproved) > 0 {
				t.Errorf("seed %d %d: not proved: %+v\n%+v\n%v", n, kind, a.Unproved, a.Line, ts)
			}
			sup := setout.SupportRun(p, c, a, h)
			rows, gone := setout.Rows(p, a, nil)
			done++
			q := ts.with(t, file, rows, gone).open(t)
			if fs := foundOf(t, q, "R", opt); len(fs) > 0 {
				t.Errorf("seed %d %d: %+v\n%v\n%v", n, kind, fs, rows, ts)
			}
			for k, s := range sup.List {
				if !(s.At >= -0.001 && s.At <= a.Run.Length+0.001) {
					t.Errorf("seed %d %d: support at %v of %v", n, kind, s.At, a.Run.Length)
				}
				if k > 0 && s.At < sup.List[k-1].At-0.001 {
					t.Errorf("seed %d %d: supports out of order", n, kind)
				}
			}
			for _, s := range a.Line.Sections {
				if o.Min != nil && s.Level < *o.Min-0.001 || o.Max != nil && s.Level > *o.Max+0.001 {
					t.Errorf("seed %d %d: level %v outside %v %v", n, kind, s.Level, o.Min, o.Max)
				}
			}
			if o.Start != nil && fmt.Sprint(a.Line.Sections[0].Level) != fmt.Sprint(*o.Start) {
				t.Errorf("seed %d %d: starts at %v, want %v", n, kind, a.Line.Sections[0].Level, *o.Start)
			}
			if o.End != nil && fmt.Sprint(a.Line.Sections[len(a.Line.Sections)-1].Level) != fmt.Sprint(*o.End) {
				t.Errorf("seed %d %d: ends at %v, want %v", n, kind, a.Line.Sections[len(a.Line.Sections)-1].Level, *o.End)
			}
		}
	}
	if t.Logf("%d put back", done); done < 40 {
		t.Error("too few to mean anything")
	}
}

// The same of a run that falls: where there is a start, its rows are put back and nothing is found of the run; where there is none, the sheet says why.
func TestToldFallsPutBack(t *testing.T) {
	done, none, together := 0, 0, 0
	for n := range uint64(150) {
		r := rand.New(rand.NewPCG(n, 990))
		ts := fallingJob(r)
		p := ts.open(t)
		opt := clash.Options{Touch: clash.None, Firm: r.IntN(4) == 0}
		o, h := settings(r)
		runs, err := setout.Assemble(p, "R", cell.Bottom)
		if err != nil {
			t.Fatal(err)
		}
		if len(runs) != 1 || !runs[0].Falls() {
			continue
		}
		gentle := 1.0 / 100
		c := clash.Open(p, opt)
		f := setout.SetFall(p, c, &runs[0], [...]*float64{nil, nil, &gentle}[r.IntN(3)], o)
		if f.Start == nil {
			none++
			if f.AskedTogether {
				together++
			}
			if f.Out == nil && len(f.Asked) == 0 {
				t.Errorf("seed %d: no start, and nothing says why\n%+v", n, o)
			}
			continue
		}
		done++
		rows, gone := setout.FallRows(p, f)
		if fs := foundOf(t, ts.with(t, "tray.csv", rows, gone).open(t), "R", opt); len(fs) > 0 {
			t.Errorf("seed %d: %s %s of %s: %s\n%+v\n%v", n, fs[0].Kind, *fs[0].B, fs[0].A, fs[0].Rule, o, rows)
		}
		for k, list := 0, setout.SupportFall(p, c, f, h).List; k < len(list); k++ {
			if at := list[k].At; !(at >= -0.001 && at <= f.Run.Length+0.001) || k > 0 && at < list[k-1].At-0.001 {
				t.Errorf("seed %d: a support at %v of %v", n, at, f.Run.Length)
			}
		}
		if low := f.LevelAt(f.Run.Length); o.Min != nil && low < *o.Min-0.001 || o.Max != nil && *f.Start > *o.Max+0.001 {
			t.Errorf("seed %d: from %v to %v, and it was to keep from %v to %v", n, *f.Start, low, o.Min, o.Max)
		}
	}
	if t.Logf("%d put back, %d have no start, %d of them for levels that do not go together", done, none, together); done < 10 || together < 3 {
		t.Error("too few to mean anything")
	}
}

// However supports are asked for, on each level length between ends, corners and sets that is longer than twice First the first stands no further than that
// from its ends, and two that follow each other no further apart than Spacing, unless a gap is told there; and what is cut from stock is each rod that they
// have, in no more than there is of it.
func TestToldSupports(t *testing.T) {
	done, far := 0, 0
	for n := range uint64(80) {
		r := rand.New(rand.NewPCG(n, 1880))
		ts := randomJob(r)
		if n%2 == 1 {
			ts = steppedJob(r)
		}
		p := ts.open(t)
		c := clash.Open(p, clash.Options{Touch: clash.None})
		o, h := settings(r)
		h.From = [...]setout.Fixing{setout.AsHanger, setout.AsHanger, setout.FromSoffit, setout.FromSteel}[r.IntN(4)]
		runs, err := setout.Assemble(p, "R", cell.Bottom)
		if err != nil {
			t.Fatal(err)
		}
		a := setout.SetOut(p, c, &runs[0], setout.Settings{Steps: o})
		if !a.Found {
			continue
		}
		done++
		u := setout.SupportRun(p, c, a, h)
		apart := func(lo, hi, most float64) {
			if hi-lo <= most+0.002 {
				return
			}
			far++
			if !slices.ContainsFunc(u.Gaps, func(g setout.Gap) bool { return g.From < hi-0.001 && g.To > lo+0.001 }) {
				t.Errorf("job %d: nothing from %v to %v, at most %v, and no gap is told: %+v", n, lo, hi, most, u.Gaps)
			}
		}
		for _, s := range a.Line.Sections {
			ends := []float64{s.From}
			for _, x := range append(slices.Clone(a.Run.Corners), s.To) {
				if x > s.From && x <= s.To {
					ends = append(ends, x)
				}
			}
			slices.Sort(ends)
			for k := 1; k < len(ends); k++ {
				lo, hi := ends[k-1], ends[k]
				if hi-lo <= 2*u.Hanging.First {
					continue
				}
				last, most := lo, u.Hanging.First
				for _, x := range u.List {
					if x.At >= lo-0.001 && x.At <= hi+0.001 {
						apart(last, x.At, most)
						last, most = x.At, u.Hanging.Spacing
					}
				}
				apart(last, hi, u.Hanging.First)
			}
		}
		var rods, cut []float64
		for _, x := range u.List {
			for _, e := range x.Each {
				if e.Cut > 0 {
					rods = append(rods, e.Cut)
				}
			}
		}
		for _, of := range u.Rods {
			cut = append(cut, of.Long...)
			for _, b := range of.Cuts {
				used := -h.Kerf
				for _, piece := range b.Pieces {
					used += piece + h.Kerf
				}
				if used > b.Stock+0.001 {
					t.Errorf("job %d: %v from a length of %v", n, b.Pieces, b.Stock)
				}
				for range b.Times {
					cut = append(cut, b.Pieces...)
				}
			}
		}
		slices.Sort(rods)
		slices.Sort(cut)
		if !slices.EqualFunc(rods, cut, func(a, b float64) bool { return math.Abs(a-b) < 1e-6 }) {
			t.Errorf("job %d: rods %v, cut %v", n, rods, cut)
		}
	}
	if t.Logf("%d jobs, %d stretches without", done, far); done < 30 || far < 10 {
		t.Error("too few to mean anything")
	}
}
