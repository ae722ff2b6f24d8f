package setout_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"voidline/clash"
	"voidline/clash/setout"
	"voidline/void/cell"
)

// A drain laid at either end of its band, and in the middle of it, leaves nothing of the run to find.
func TestFallPutBackLeavesNothing(t *testing.T) {
	fits, not := 0, 0
	for seed := range 60 {
		r := rand.New(rand.NewPCG(uint64(seed), 47))
		ts := randomJob(r)
		n := []int{60, 80, 120}[r.IntN(3)]
		lengths := []float64{float64(4000 + r.IntN(4000)), float64(3000 + r.IntN(4000))}
		x := float64(1000 + r.IntN(7000))
		lay := func(z float64) string {
			a, b := x+lengths[0], x+lengths[0]+lengths[1]
			return "id,service,kind,x1,y1,x2,y2,size,insulation,level,fall,run\n" +
				fmt.Sprintf("W1,soil,pipe,%v,4000,%v,4000,ø110,10,project%+.4f,1 in %d,D\n", x, a, z, n) +
				fmt.Sprintf("W2,soil,pipe,%v,4000,%v,4000,ø110,10,project%+.4f,1 in %d,D\n", a, b, z-lengths[0]/float64(n), n)
		}
		ts["tray.csv"] = lay(7100)
		p := ts.open(t)
		runs, err := setout.Assemble(p, "D", cell.Bottom)
		if err != nil || len(runs) != 1 {
			t.Fatal(err, len(runs))
		}
		f := setout.SetFall(p, clash.Open(p, clash.Options{Touch: clash.None}), &runs[0], nil, setout.Steps{})
		if len(f.Band) == 0 {
			not++
			if f.Out == nil || f.Out.Short <= 0 {
				t.Errorf("seed %d: it does not fit, and does not run out: %+v", seed, f.Out)
			}
			continue
		}
		fits++
		for _, b := range f.Band {
			for _, z := range []float64{b.Lo, (b.Lo + b.Hi) / 2, b.Hi} {
				ts["tray.csv"] = lay(z)
				if fs := foundOf(t, ts.open(t), "D"); len(fs) > 0 {
					t.Errorf("seed %d: at %.4f of %.4f to %.4f the check finds %s of %s: %s, %v of %v %s\n%v", seed, z, b.Lo, b.Hi, fs[0].Kind, *fs[0].B, fs[0].Rule,
						fs[0].Gap, fs[0].Asked, fs[0].Note, ts)
				}
			}
		}
	}
	t.Logf("%d drains fit, %d do not", fits, not)
	if fits == 0 {
		t.Error("no drain fits")
	}
}

// The rows that a falling run is written back as, with an eye on it that goes with it, leave nothing of the run to find; one
// that does not fit fits at the fall that is told, and not at a steeper one.
func TestFallRowsLeaveNothing(t *testing.T) {
	fits, gentler := 0, 0
	for seed := range 60 {
		r := rand.New(rand.NewPCG(uint64(seed), 49))
		ts := randomJob(r)
		x, z := float64(1000+r.IntN(7000)), 7000+float64(r.IntN(300))
		a, b := x+float64(4000+r.IntN(4000)), x+float64(8000+r.IntN(6000))
		n := float64([]int{40, 60, 80}[r.IntN(3)])
		rows := fmt.Sprintf("W1,soil,pipe,%v,4000,%v,4000,ø110,10,project%+.4f,1 in %v,D,\n", x, a, z, n)
		if r.IntN(2) == 0 { // written from its lower end
			rows = fmt.Sprintf("W1,soil,pipe,%v,4000,%v,4000,ø110,10,project%+.4f,-%.6f mm/m,D,\n", a, x, z-(a-x)/n, 1000/n)
		}
		eye := x + float64(r.IntN(3000))
		ts["tray.csv"] = "id,service,kind,x1,y1,x2,y2,size,insulation,level,fall,run,reach\n" + rows +
			fmt.Sprintf("W2,soil,pipe,%v,4000,%v,4000,ø110,10,project%+.4f,1 in %v,D,\n", a, b, z-(a-x)/n, n) +
			fmt.Sprintf("RE,soil,rodding eye,%v,4000,,,150x150x180,,project%+.4f,,D,no\n", eye, z-(eye-x)/n-30)
		p := ts.open(t)
		runs, err := setout.Assemble(p, "D", cell.Bottom)
		if err != nil || len(runs) != 1 || len(runs[0].Items) != 1 {
			t.Fatal(err, runs)
		}
		c := clash.Open(p, clash.Options{Touch: clash.None})
		f := setout.SetFall(p, c, &runs[0], nil, setout.Steps{})
		if f.Start == nil {
			if f.Fits == nil {
				continue
			}
			gentler++
			at := *f.Fits
			if g := setout.SetFall(p, c, &runs[0], &at, setout.Steps{}); len(g.Band) == 0 {
				t.Errorf("seed %d: at %v mm/m it does not fit either", seed, at*1000)
			}
			if at += 0.0003; at < 1/n {
				if g := setout.SetFall(p, c, &runs[0], &at, setout.Steps{}); len(g.Band) > 0 {
					t.Errorf("seed %d: at %v mm/m it fits as well", seed, at*1000)
				}
			}
			continue
		}
		fits++
		rs, gone := setout.FallRows(p, f)
		if len(rs) != 3 || len(gone) != 3 {
			t.Fatalf("seed %d: %d rows for %v", seed, len(rs), gone)
		}
		if fs := foundOf(t, ts.with(t, "tray.csv", rs, gone).open(t), "D"); len(fs) > 0 {
			t.Errorf("seed %d: put back, the check finds %s of %s and %s: %s, %v of %v\n%v\n%v", seed, fs[0].Kind, fs[0].A, *fs[0].B, fs[0].Rule, fs[0].Gap, fs[0].Asked, rs, ts)
		}
	}
	t.Logf("%d fit, %d would at a gentler fall", fits, gentler)
	if fits < 10 || gentler < 5 {
		t.Error("too few to mean anything")
	}
}

// What is asked of a falling run: the level of an end, the least of the lower end, the most of the higher.
func TestFallAsked(t *testing.T) {
	p := tables{
		"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,8000,3000,3000,2500\n",
		"drainage.csv": "id,service,kind,x1,y1,x2,y2,size,level,fall,run\nD1,soil,pipe,0,1500,8000,1500,ø110,2800,1 in 80,D\n",
		"gaps.csv":     "of,to,side,gap\nany,ceiling,below,0\n",
	}.open(t)
	runs, err := setout.Assemble(p, "D", cell.Bottom)
	if err != nil {
		t.Fatal(err)
	}
	z := func(v float64) *float64 { return &v }
	for _, test := range []struct {
		why   string
		o     setout.Steps
		start float64 // 0: it does not fit
		asked string
	}{
		{"nothing", setout.Steps{}, 2880, ""}, // 3000 less 110 and a little for the slope, 10 to spare, in whole 5
		{"as drawn", setout.Steps{AsDrawn: true}, 2800, ""},
		{"a start", setout.Steps{Start: z(2700)}, 2700, ""},
		{"an end: 100 under the start", setout.Steps{End: z(2700)}, 2800, ""},
		{"both, at the fall", setout.Steps{Start: z(2800), End: z(2700)}, 2800, ""},
		{"both, not at the fall", setout.Steps{Start: z(2800), End: z(2650)}, 0, "start,end"},
		{"no more than", setout.Steps{Max: z(2750)}, 2750, ""},
		{"the lower end no less than more than there is", setout.Steps{Min: z(2800)}, 0, "min"},
		{"near to", setout.Steps{Prefer: z(2660)}, 2660, ""},
		{"a start in the ceiling", setout.Steps{Start: z(2550)}, 0, "start"},
	} {
		f := setout.SetFall(p, clash.Open(p, clash.Options{Touch: clash.None}), &runs[0], nil, test.o)
		got := 0.0
		if f.Start != nil {
			got = *f.Start
		}
		if got != test.start || strings.Join(f.Asked, ",") != test.asked {
			t.Errorf("%s: start %v, without %v it fits; want %v, %q (band %v)", test.why, got, f.Asked, test.start, test.asked, f.Band)
		}
	}
}

// Laid to a fall, a run that the tables have level falls from its start; one that they have falling comes back from its higher end, whichever
// way it is drawn. Its 8000 at 1 in 80 drop 100.
func TestFallFromItsHigherEnd(t *testing.T) {
	slope := 1.0 / 80
	for _, test := range []struct {
		name, row string
		turned    bool
		x         float64 // where it begins
	}{
		{"level", "0,1500,8000,1500,ø110,2800,", false, 0},
		{"level, drawn from the other end", "8000,1500,0,1500,ø110,2800,", false, 8000},
		{"falling", "0,1500,8000,1500,ø110,2800,1 in 100", false, 0},
		{"rising", "0,1500,8000,1500,ø110,2700,-10 mm/m", true, 8000},
	} {
		p := tables{
			"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,8000,3000,3000,2500\n",
			"drainage.csv": "id,service,kind,x1,y1,x2,y2,size,level,fall,run\nD1,soil,pipe," + test.row + ",D\n",
		}.open(t)
		runs, err := setout.Assemble(p, "D", cell.Bottom)
		if err != nil {
			t.Fatal(err)
		}
		f := setout.SetFall(p, clash.Open(p, clash.Options{Touch: clash.None}), &runs[0], &slope, setout.Steps{})
		if at := f.Run.Point(0); f.Turned != test.turned || at.X != test.x || math.Abs(f.Drop-100) > 1e-9 {
			t.Errorf("%s: turned %v, from x %v, drops %v; want %v, %v, 100", test.name, f.Turned, at.X, f.Drop, test.turned, test.x)
		}
	}
}

// Gradients are measured against those that are usual, with what they rest on.
func TestGradients(t *testing.T) {
	for _, test := range []struct {
		service, size, fall string
		says                string // of the note; "" for none
		usual               string
	}{
		{"soil", "ø110", "1 in 80", "", "1 in 80"},
		{"soil", "ø110", "1 in 100", "less than is usual", "1 in 80"},
		{"soil", "ø160", "1 in 149", "", "1 in 150"},
		{"soil", "ø160", "1 in 160", "less than is usual", "1 in 150"},
		{"soil", "ø110", "100 mm/m", "more than is usual", "1 in 80"},
		{"waste", "ø43", "1 in 80", "less than is usual", "from memory"},
		{"condensate", "ø43", "1 in 100", "", "1 in 100"},
		{"fan coil condensate", "ø43", "1 in 200", "less than is usual", "1 in 100"},
		{"rainwater", "ø110", "1 in 200", "less than is usual", "siphonic"},
		{"CHW flow", "ø43", "1 in 500", "", ""},
	} {
		p := tables{
			"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,3000,3000,4000,2000\n",
			"drainage.csv": "id,service,kind,x1,y1,x2,y2,size,level,fall,run\nD1," + test.service + ",pipe,100,1500,2900,1500," + test.size + ",3000," + test.fall + ",D\n",
		}.open(t)
		runs, _ := setout.Assemble(p, "D", cell.Bottom)
		f := setout.SetFall(p, clash.Open(p, clash.Options{Touch: clash.None}), &runs[0], nil, setout.Steps{})
		if notes := strings.Join(f.Notes, " "); !strings.Contains(notes, test.says) || (notes == "") != (test.says == "") {
			t.Errorf("%s at %s: %q, want %q", test.service, test.fall, notes, test.says)
		}
		if u := strings.Join(f.Usual, " "); !strings.Contains(u, test.usual) || (u == "") != (test.usual == "") {
			t.Errorf("%s: usual %q, want %q", test.service, u, test.usual)
		}
	}
}

// Lengths that drain into each other are fitted to each other: the main no higher than its branch allows, the branch
// on the main's line.
func TestBranchesDrainIntoTheMain(t *testing.T) {
	for _, test := range []struct {
		why          string
		beam         string // over the branch
		main, branch float64
		under        float64
	}{
		// Under the soffit at 3000 the underside begins 111 lower, for it falls; with 10 to spare and in whole 5 at 2880. The main drops 50
		// to the branch's end, and the branch 25.
		{"a branch with room", "", 2880, 2880 - 50 + 25, 0},
		// The branch comes no higher than 2700 - 110: the main begins 50 - 25 over that, 10 to spare.
		{"a branch under a beam", "B1,beam,4000,200,4000,2000,200x300,2700,", 2700 - 110 + 50 - 25 - 10, 2700 - 110 - 10, 0},
	} {
		ts := tables{
			"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,3000,3000,2000\n",
			"drainage.csv": "id,service,kind,x1,y1,x2,y2,size,level,fall,run\nM1,soil,pipe,0,2500,8000,2500,ø110,2500,1 in 80,D\nX1,soil,pipe,4000,500,4000,2500,ø110,2500,1 in 80,D\n",
			"gaps.csv":     "of,to,side,gap\nany,ceiling,below,0\n",
		}
		if test.beam != "" {
			ts["steel.csv"] = "id,kind,x1,y1,x2,y2,size,level,face\n" + test.beam + "\n"
		}
		p := ts.open(t)
		runs, err := setout.Assemble(p, "D", cell.Bottom)
		if err != nil || len(runs) != 2 {
			t.Fatal(err, len(runs))
		}
		c := clash.Open(p, clash.Options{Touch: clash.None})
		falls := []*setout.Fall{setout.SetFall(p, c, &runs[0], nil, setout.Steps{}), setout.SetFall(p, c, &runs[1], nil, setout.Steps{})}
		setout.Drain(p, runs, falls)
		if got := *falls[0].Start; math.Abs(got-test.main) > 1.001 {
			t.Errorf("%s: the main begins at %v, want %v", test.why, got, test.main)
		}
		x := falls[1]
		if got := *x.Start; math.Abs(got-test.branch) > 1.001 {
			t.Errorf("%s: the branch begins at %v, want %v", test.why, got, test.branch)
		}
		if x.Into == nil || x.Into.Other != 0 || x.Into.Under != test.under || *x.Start-x.Drop < *falls[0].Start-50-1e-6 {
			t.Errorf("%s: into %+v", test.why, x.Into)
		}
	}
}
