package setout_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"voidline/clash"
	"voidline/clash/setout"
	"voidline/void"
	"voidline/void/cell"
)

// job is a void of 862 with a run 100 high along it and rows of others across it.
func job(rows ...string) tables {
	return tables{
		"bays.csv":        "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,12000,4000,3600,2700\n",
		"gaps.csv":        "of,to,side,gap\nany,ceiling,below,0\nany,structure,above,0\nany,any,around,0\n",
		"tray.csv":        "id,service,kind,x1,y1,x2,y2,size,level,run\nT1,LV power,trunking,500,2000,11500,2000,100x100,3000,T\n",
		"obstruction.csv": "id,service,kind,x1,y1,x2,y2,size,level,run\n" + strings.Join(rows, "\n") + "\n",
	}
}

func setOut(t *testing.T, p *void.Project, name string, o setout.Steps) *setout.Answer {
	t.Helper()
	runs, err := setout.Assemble(p, name, cell.Bottom)
	if err != nil {
		t.Fatal(err)
	}
	return setout.SetOut(p, clash.Open(p, clash.Options{Touch: clash.None}), &runs[0], setout.Settings{Steps: o})
}

func words(g setout.Give) string {
	var out []string
	for _, m := range g.Moves {
		out = append(out, fmt.Sprintf("%s %+g", m.Name, m.By))
	}
	return strings.Join(out, ", ")
}

// What has to give, in cases whose sums are plain.
func TestWhatHasToGive(t *testing.T) {
	z := func(v float64) *float64 { return &v }
	for _, test := range []struct {
		why   string
		rows  []string
		steps setout.Steps
		gives string // the first
		asked string
		n     int // how many are told; 0: not asked
		meets string
	}{
		{
			// 2700 to 2790 and 3510 to 3600 are free: 90 each, 100 wanted.
			why: "one duct in the middle", rows: []string{"D,supply air,duct,5000,500,5000,3500,400x720,2790,"},
			gives: "D +10", n: 2, // and the ceiling
		},
		{
			// Over it are 70, under it 80: it is 20 up, or 30 down.
			why: "one duct out of the middle", rows: []string{"D,supply air,duct,5000,500,5000,3500,400x750,2780,"},
			gives: "D +20",
		},
		{
			// Between them and over the upper are 90; the lower stands on the ceiling already.
			why: "two, of which each is enough", rows: []string{"D,supply air,duct,5000,500,5000,3500,400x350,2700,", "E,supply air,duct,5000,500,5000,3500,400x370,3140,"},
			gives: "E +10",
		},
		{
			why: "the rows of one run, moved together", rows: []string{
				"D1,supply air,duct,3000,500,3000,3500,400x720,2790,D", "D2,supply air,duct,8000,500,8000,3500,400x720,2790,D",
			},
			gives: "D +10", n: 2, // and the ceiling
		},
		{
			why: "two that both shut it", rows: []string{
				"D,supply air,duct,3000,500,3000,3500,400x720,2790,", "E,supply air,duct,8000,500,8000,3500,400x760,2770,",
			},
			gives: "D +10, E +30",
		},
		{
			// D lies in the middle of E and shuts nothing: of the pairs only that of E and F is enough.
			why: "two that both shut it, and one that does not", rows: []string{
				"D,supply air,duct,3000,500,3000,3500,400x100,3100,", "E,supply air,duct,3000,500,3000,3500,400x720,2790,",
				"F,supply air,duct,8000,500,8000,3500,400x760,2770,",
			},
			gives: "E +10, F +30",
		},
		{
			// Where it would go stands another beside the run.
			why: "it meets something there", rows: []string{"D,supply air,duct,5000,500,5000,3500,400x720,2790,", "E,supply air,duct,5000,3000,5000,3500,400x50,3515,"},
			gives: "D +10", meets: "E",
		},
		{
			why: "what is asked stands in the way", rows: []string{"D,supply air,duct,5000,500,5000,3500,400x300,2700,"},
			steps: setout.Steps{Max: z(2950)}, gives: "D -50", asked: "max", meets: "ceiling A",
		},
		{
			// From over the one to under the other are 200, the way between them is 50. With the one 100 up the run goes under
			// both, with the other 100 down over both.
			why: "no room for a set", rows: []string{"D,supply air,duct,5000,500,5000,3500,400x400,2700,", "E,supply air,duct,5450,500,5450,3500,400x600,3000,"},
			gives: "D +100", n: 3,
		},
		{
			// The beam leaves 90 over it and under it. Nobody moves a beam; the ceiling 10 down is enough.
			why: "a beam in the middle", rows: []string{"D,,beam,5000,500,5000,3500,400x720,2790,"},
			gives: "ceiling A -10", n: 1,
		},
	} {
		for _, file := range []string{"tray.csv", "0 tray.csv"} { // the run's rows behind the others, and before them
			ts := job(test.rows...)
			rows := ts["tray.csv"]
			delete(ts, "tray.csv")
			ts[file] = rows
			a := setOut(t, ts.open(t), "T", test.steps)
			if a.Found || len(a.Gives) == 0 {
				t.Errorf("%s: found %v, gives %v", test.why, a.Found, a.Gives)
				continue
			}
			if got := words(a.Gives[0]); got != test.gives {
				t.Errorf("%s: %s, want %s", test.why, got, test.gives)
			}
			if test.n > 0 && len(a.Gives) != test.n {
				t.Errorf("%s: %d ways out, want %d: %+v", test.why, len(a.Gives), test.n, a.Gives)
			}
			if got := strings.Join(a.Asked, ","); got != test.asked {
				t.Errorf("%s: asked %q, want %q", test.why, got, test.asked)
			}
			if got := strings.Join(a.Gives[0].Moves[0].Meets, ","); got != test.meets {
				t.Errorf("%s: it meets %q there, want %q", test.why, got, test.meets)
			}
		}
	}
}

// What one thing gives is enough, and 1.5 less of it is not: asked of random voids, by moving it in the tables.
func TestGivingIsEnough(t *testing.T) {
	seen := 0
	for seed := range 60 {
		r := rand.New(rand.NewPCG(uint64(seed), 48))
		var ids, rows []string
		at := map[string]float64{}
		level := func(id string, z float64) string {
			i := 0
			for ids[i] != id {
				i++
			}
			return strings.ReplaceAll(rows[i], "LEVEL", fmt.Sprintf("project%+.4f", z))
		}
		for k := range 2 + r.IntN(4) {
			id := fmt.Sprintf("D%d", k)
			x := 1500 + 50*r.IntN(180)
			ids = append(ids, id)
			rows = append(rows, fmt.Sprintf("%s,supply air,duct,%d,500,%d,3500,%dx%d,LEVEL,", id, x, x, 200+100*r.IntN(4), 300+10*r.IntN(50)))
			at[id] = float64(2700 + 10*r.IntN(40))
		}
		with := func(move string, by float64) *void.Project {
			var out []string
			for _, id := range ids {
				z := at[id]
				if id == move {
					z += by
				}
				out = append(out, level(id, z))
			}
			return job(out...).open(t)
		}
		o := setout.Steps{Straight: 100}
		a := setOut(t, with("", 0), "T", o)
		if a.Found {
			continue
		}
		for _, g := range a.Gives {
			if len(g.Moves) > 1 || g.Moves[0].Ceiling {
				continue
			}
			seen++
			m := g.Moves[0]
			if !setOut(t, with(m.Name, m.By), "T", o).Found {
				t.Errorf("seed %d: %s %+v is not enough", seed, m.Name, m.By)
			}
			if less := m.By - math.Copysign(1.5, m.By); math.Abs(m.By) > 2 && setOut(t, with(m.Name, less), "T", o).Found {
				t.Errorf("seed %d: %s %+v is more than enough: %v does", seed, m.Name, m.By, less)
			}
		}
	}
	t.Logf("%d moves", seen)
	if seen < 12 {
		t.Error("too few to mean anything")
	}
}

// What a run may be asked to keep: room above, a level at either end, a level to be near to, none higher or lower.
func TestWhatIsAsked(t *testing.T) {
	z := func(v float64) *float64 { return &v }
	duct := "D,supply air,duct,5000,500,5000,3500,400x300,3300,"
	for _, test := range []struct {
		why    string
		steps  setout.Steps
		levels []float64 // of the lines
	}{
		// Under the duct at 3300 the run of 100 lies at 3200, with 10 to spare at 3190.
		{"nothing", setout.Steps{}, []float64{3190}},
		{"room above", setout.Steps{Above: 150}, []float64{3040}},
		{"no higher", setout.Steps{Max: z(3111)}, []float64{3111}},
		{"no lower than the duct lets it", setout.Steps{Min: z(3200)}, []float64{3200}},
		{"near to a level that is free", setout.Steps{Prefer: z(2900)}, []float64{2900}},
		{"near to one that is not", setout.Steps{Prefer: z(3400)}, []float64{3190}},
		{"a level at the start", setout.Steps{Start: z(3000)}, []float64{3000}},
		{"a level at the end that goes over the duct", setout.Steps{End: z(3450)}, []float64{3190, 3450}},
		{"both ends", setout.Steps{Start: z(3450), End: z(3000)}, []float64{3450, 3000}},
		{"both ends high: down and up", setout.Steps{Start: z(3450), End: z(3400)}, []float64{3450, 3190, 3400}},
		{"the same with room above", setout.Steps{Start: z(3450), End: z(3450), Above: 50}, []float64{3450, 3140, 3450}},
	} {
		a := setOut(t, job(duct).open(t), "T", test.steps)
		var got []float64
		for _, s := range a.Line.Sections {
			got = append(got, math.Round(s.Level*1000)/1000)
		}
		if !a.Found || !slices.Equal(got, test.levels) {
			t.Errorf("%s: lines at %v, want %v", test.why, got, test.levels)
		}
	}
}

// A set keeps its straight from a corner: between two corners that are near to each other there is no room for one.
func TestSetsKeepFromCorners(t *testing.T) {
	for _, test := range []struct {
		between float64 // mm between the corners
		fits    bool
	}{{500, true}, {300, true}, {250, false}} {
		// Over the first duct, under the second; the run turns north between them, and on.
		ts := job()
		x := 5000.0
		ts["tray.csv"] = "id,service,kind,x1,y1,x2,y2,size,level,run\n" +
			fmt.Sprintf("T1,LV power,trunking,500,1000,%v,1000,100x100,3000,T\n", x) +
			fmt.Sprintf("T2,LV power,trunking,%v,1000,%v,%v,100x100,3000,T\n", x, x, 1000+test.between) +
			fmt.Sprintf("T3,LV power,trunking,%v,%v,11500,%v,100x100,3000,T\n", x, 1000+test.between, 1000+test.between)
		ts["obstruction.csv"] += fmt.Sprintf("D,supply air,duct,%v,500,%v,1060,400x350,2700,\n", x-260, x-260) + // 60 of plan over the run's middle
			fmt.Sprintf("E,supply air,duct,%v,%v,%v,3900,400x500,3100,\n", x+260, 940+test.between, x+260)
		a := setOut(t, ts.open(t), "T", setout.Steps{Straight: 100})
		if a.Found != test.fits {
			t.Errorf("%v between the corners: found %v, want %v\n%+v %+v", test.between, a.Found, test.fits, a.Line, a.Blocks)
			continue
		}
		if !a.Found {
			continue
		}
		if len(a.Line.Steps) != 1 {
			t.Errorf("%v between the corners: %+v", test.between, a.Line)
		}
		for _, s := range a.Line.Steps {
			for _, c := range a.Run.Corners {
				if s.From < c+100-1e-6 && s.To > c-100+1e-6 {
					t.Errorf("%v between the corners: a set from %v to %v, a corner at %v", test.between, s.From, s.To, c)
				}
			}
		}
	}
}

// No set stands in an item of the run, nor may it be moved into one, wherever the item sits between the duct that the run goes over and
// that which it goes under.
func TestSetsKeepFromItems(t *testing.T) {
	for x := 4000.0; x <= 8000; x += 250 {
		ts := job("D,supply air,duct,3000,500,3000,3500,400x350,2700,", "E,supply air,duct,9000,500,9000,3500,400x500,3100,")
		ts["boxes.csv"] = fmt.Sprintf("id,trade,service,kind,x1,y1,size,level,run,reach\nV,containment,LV power,junction box,%v,2000,300x100x100,3000,T,no\n", x)
		a := setOut(t, ts.open(t), "T", setout.Steps{})
		if !a.Found || len(a.Line.Steps) != 1 || len(a.Run.Items) != 1 {
			t.Fatalf("item at %v: found %v, %d sets, %d items; want one of each", x, a.Found, len(a.Line.Steps), len(a.Run.Items))
		}
		s, it := a.Line.Steps[0], a.Run.Items[0]
		// The run begins at 500; an item is taken as long as it is from corner to corner.
		if half := math.Hypot(150, 50); math.Abs(it.From-(x-half-500)) > 1e-6 || math.Abs(it.To-(x+half-500)) > 1e-6 {
			t.Fatalf("item at %v: it is from %v to %v", x, it.From, it.To)
		}
		if long := s.To - s.From; s.From < it.To-1e-6 && s.To > it.From+1e-6 || s.Earliest < it.To-1e-6 && s.Latest+long > it.From+1e-6 {
			t.Errorf("item from %v to %v: a set from %v to %v, which may begin at %v to %v", it.From, it.To, s.From, s.To, s.Earliest, s.Latest)
		}
	}
}

// With 50 to be kept above it a tray 60 high comes under D15, whose underside is at 2700.1, at 2590.1 or lower. Over the tiles of B it lies at 2593.9 or higher:
// 2400 + 38 + 100 + its channel of 55.9. So it steps down between the two and is down far enough where D15 begins, which the check
// alone would not ask: it knows nothing of the room that is kept. D2 in A, with its top at 2998, is what the first step comes down from.
func TestStepsKeepTheRoomAbove(t *testing.T) {
	p := tables{
		"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling,build-up\nA,0,0,6000,3000,3600,2700,\nB,6000,0,12000,3000,3600,2400,t\nC,12000,0,18000,3000,3600,2400,\n",
		"buildups.csv": "build-up,layer,thickness,lifts out\nt,tile,38,yes\n",
		"tray.csv":     "id,service,kind,x1,y1,x2,y2,size,level,run,hanger\nT,LV power,tray,500,500,17500,500,300x60,2900,T,channel 41 M10\n",
		"ductwork.csv": "id,service,kind,x1,y1,x2,y2,size,level\nD2,extract,duct,2500,200,2500,2900,400x260,2738\nD8,extract,duct,8000,200,8000,2900,500x850,2720\n" +
			"D15,extract,duct,15000,200,15000,2900,400x880,2700.1\n",
	}.open(t)
	a := setOut(t, p, "T", setout.Steps{AsDrawn: true, Above: 50, Straight: 100})
	if !a.Found || len(a.Line.Steps) != 2 {
		t.Fatalf("found %t, %d steps, want two", a.Found, len(a.Line.Steps))
	}
	if z := a.Line.LevelAt(14300); z > 2590.1+1e-6 {
		t.Errorf("the line is at %g where D15 begins, want it 50 under it", z)
	}
	s := &a.Line.Steps[1]
	if late := a.Line.Sections[1].Level + s.Rise*(14300-s.Latest)/(s.To-s.From); late > 2590.1+1e-6 || s.Latest > 14300 || s.Earliest < 11400 {
		t.Errorf("the second step may begin from %g to %g, want it between the tiles of B and D15; the latest is at %g there", s.Earliest, s.Latest, late)
	}
}
