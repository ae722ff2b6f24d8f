package setout_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/golang/geo/r3"

	"voidline/clash"
	"voidline/clash/setout"
	"voidline/void"
	"voidline/void/body"
	"voidline/void/cell"
)

// steppedJob is a run that has to step: over ducts and pipes on the ceiling, under beams, soffits that step at a bay line, all of it at
// any angle in plan. The run is rectangular or round.
func steppedJob(r *rand.Rand) tables {
	ts := tables{}
	round := r.IntN(3) == 0
	low := 3250 + 50*r.IntN(4)
	ts["bays.csv"] = fmt.Sprintf("bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,10000,20000,%d,2700\nB,10000,0,20000,20000,3600,2700\n", []int{3600, low}[r.IntN(2)])
	// Everything is laid out along a line from (2000, 10000), then turned about it.
	turn := []float64{0, 0, math.Pi / 2, 0.3, -0.7, 1.1}[r.IntN(6)]
	at := func(s, w float64) (x, y float64) {
		return 2000 + s*math.Cos(turn) - w*math.Sin(turn), 10000 + s*math.Sin(turn) + w*math.Cos(turn)
	}
	row := func(b *strings.Builder, id, what string, s1, w1, s2, w2 float64, rest string) {
		x1, y1 := at(s1, w1)
		x2, y2 := at(s2, w2)
		fmt.Fprintf(b, "%s,%s,%.3f,%.3f,%.3f,%.3f,%s\n", id, what, x1, y1, x2, y2, rest)
	}
	length := 9000.0
	if turn == 0 {
		length = 16000
	}
	var steel, mech, runs strings.Builder
	steel.WriteString("id,kind,x1,y1,x2,y2,size,level,face\n")
	mech.WriteString("id,service,kind,x1,y1,x2,y2,size,insulation,level\n")
	for i := range 1 + r.IntN(2) {
		s := 1500 + (length-3000)*r.Float64()
		skew := float64([]int{0, 0, 400, -900}[r.IntN(4)])
		row(&steel, fmt.Sprint("S", i), "beam", s-skew, -1500, s+skew, 1500, fmt.Sprintf("%dx%d,FFL+3600,top", 100+50*r.IntN(3), 350+50*r.IntN(4)))
	}
	for i := range 1 + r.IntN(3) {
		s := 1500 + (length-3000)*r.Float64()
		skew := float64([]int{0, 0, 300, -700}[r.IntN(4)])
		if r.IntN(2) == 0 {
			row(&mech, fmt.Sprint("D", i), "extract,duct", s-skew, -1500, s+skew, 1500, fmt.Sprintf("%dx%d,,%d", 200+100*r.IntN(4), 200+50*r.IntN(8), 2710+r.IntN(80)))
		} else {
			row(&mech, fmt.Sprint("P", i), "LTHW flow,pipe", s-skew, -1500, s+skew, 1500, fmt.Sprintf("ø%d,%d,%d", 100+20*r.IntN(8), 10*r.IntN(5), 2760+r.IntN(500)))
		}
	}
	runs.WriteString("id,service,kind,x1,y1,x2,y2,size,insulation,level,run\n")
	what, size := "data,basket", []string{"300x100", "150x60", "100x200"}[r.IntN(3)]+","
	if round {
		what, size = "CHW flow,pipe", []string{"ø114.3", "ø60.3", "DN100"}[r.IntN(3)]+","+fmt.Sprint(20*r.IntN(3))
	}
	from, to := 0.0, length
	if r.IntN(2) == 0 {
		from, to = to, from
	}
	mid := from + (to-from)*(0.3+0.4*r.Float64())
	rest := size + "," + fmt.Sprint(2850+r.IntN(300)) + ",R"
	if r.IntN(2) == 0 {
		row(&runs, "R1", what, from, 0, to, 0, rest)
	} else {
		row(&runs, "R1", what, from, 0, mid, 0, rest)
		row(&runs, "R2", what, to, 0, mid, 0, rest)
	}
	ts["steel.csv"], ts["mech.csv"], ts["run.csv"] = steel.String(), mech.String(), runs.String()
	return ts
}

// swept calls each with points of the run as it will stand, bends with their mitres: for each line at a distance from the line that is
// struck, level lengths and inclined ones up to where they cross. fine: mm between points along the run.
func swept(p *void.Project, a *setout.Answer, step int, fine float64, each func(q r3.Vector)) {
	st := &a.Line.Steps[step]
	length := st.To - st.From
	h := math.Hypot(length, st.Rise)
	pc := a.Run.PieceAt((st.From + st.To) / 2)
	z := p.Zone(pc.Zone)
	high, wide := 2*pc.Bare.H, 2*(pc.Bare.W+z.Grow)
	if pc.Bare.Round {
		high = 2 * pc.Bare.W
	}
	edge := func(v, x float64) float64 {
		px, pz := st.From-v*st.Rise/h, st.Low+v*length/h
		lo, hi := math.Min(st.Low, st.High)+v, math.Max(st.Low, st.High)+v
		return math.Max(lo, math.Min(hi, pz+st.Rise/length*(x-px)))
	}
	reach := high + z.Grow
	for x := math.Max(0, st.From-reach); x <= math.Min(a.Run.Length, st.To+reach); x += fine {
		q := a.Run.Point(x)
		d := a.Run.PieceAt(x).Bare.Along
		n := math.Hypot(d.X, d.Y)
		put := func(y, v float64) {
			each(r3.Vector{X: q.X - d.Y/n*y, Y: q.Y + d.X/n*y, Z: edge(v, x)})
		}
		const sides = 12
		for k := range sides + 1 {
			u := float64(k) / sides
			if pc.Bare.Round {
				radius := pc.Bare.W + z.Grow
				put(radius*math.Sin(2*math.Pi*u), pc.Bare.W+radius*math.Cos(2*math.Pi*u))
				continue
			}
			for _, y := range []float64{-wide / 2, 0, wide / 2} {
				put(y, -z.Grow+(high+2*z.Grow+z.Top)*u)
			}
		}
	}
}

// hit returns what of the project a set stands in, by sampling, "" where it is clear of all.
func hit(p *void.Project, a *setout.Answer, step int) string {
	type other struct {
		id   string
		full body.Body
	}
	var others []other
	for i := range p.Zones() {
		if z := p.Zone(i); z.Run() == "" {
			b := z.Full()
			b.W -= 0.05
			b.H = math.Max(0, b.H-0.05)
			others = append(others, other{z.ID, b})
		}
	}
	found := ""
	swept(p, a, step, 4, func(q r3.Vector) {
		if found != "" {
			return
		}
		for _, o := range others {
			h := o.full.Height()
			if q.Z <= h.Lo || q.Z >= h.Hi {
				continue
			}
			if body.Gap(body.Body{Centre: q}, o.full).MM == 0 {
				found = o.id
				return
			}
		}
		for j := range p.Bays {
			b := &p.Bays[j]
			in := q.X > b.Plan.X.Lo+0.05 && q.X < b.Plan.X.Hi-0.05 && q.Y > b.Plan.Y.Lo+0.05 && q.Y < b.Plan.Y.Hi-0.05
			if in && (q.Z > b.Soffit+0.05 || b.HasCeiling && q.Z < b.Top-0.05) {
				found = b.Name
			}
		}
	})
	return found
}

// A set is clear of everything with its mitres: by sampling its section point by point, and the check, asked of the rows, finds
// nothing. That holds wherever the sheet says that it may begin; and a little beyond, where nothing but what stands there
// bounds it, one of the two finds something, but for rules that count over a length.
func TestSetsAreClearWithTheirMitres(t *testing.T) {
	cases := 150
	if testing.Short() {
		cases = 50
	}
	sets, round, ends, beyond, blind := 0, 0, 0, 0, 0
	for seed := range cases {
		r := rand.New(rand.NewPCG(uint64(seed), 15))
		ts := steppedJob(r)
		p := ts.open(t)
		runs, err := setout.Assemble(p, "R", cell.Bottom)
		if err != nil || len(runs) != 1 {
			t.Fatalf("seed %d: %d runs, %v", seed, len(runs), err)
		}
		o := setout.Steps{Straight: float64(100 * r.IntN(3)), Angle: []float64{45, 30, 60}[r.IntN(3)]}
		o.AsDrawn = r.IntN(2) == 0
		opt := clash.Options{Touch: clash.None, Firm: r.IntN(2) == 0}
		c := clash.Open(p, opt)
		a := setout.SetOut(p, c, &runs[0], setout.Settings{Steps: o})
		if !a.Found || len(a.Line.Steps) == 0 {
			continue
		}
		back := func(a *setout.Answer) string {
			rows, gone := setout.Rows(p, a, nil)
			if fs := foundOf(t, ts.with(t, "run.csv", rows, gone).open(t), "R", opt); len(fs) > 0 {
				return fmt.Sprintf("%s %s of %s: %s", fs[0].Kind, *fs[0].B, fs[0].A, fs[0].Rule)
			}
			return ""
		}
		if len(a.Unproved) > 0 {
			t.Errorf("seed %d: not proved: %+v\n%+v\n%v", seed, a.Unproved, a.Line, ts)
			continue
		}
		if why := back(a); why != "" {
			t.Errorf("seed %d: put back: %s\n%+v\n%v", seed, why, a.Line, ts)
		}
		for i := range a.Line.Steps {
			sets++
			if runs[0].Pieces[0].Bare.Round {
				round++
			}
			if why := hit(p, a, i); why != "" {
				t.Errorf("seed %d: set %d stands in %s\n%+v\n%v", seed, i, why, a.Line, ts)
			}
			st := a.Line.Steps[i]
			for _, end := range []struct {
				at, out float64
				bound   bool // by the straights, the ends of the run or another set
			}{
				{st.Earliest, -1, i == 0 && st.Earliest <= o.Straight+80 || i > 0 && st.Earliest <= a.Line.Steps[i-1].To+o.Straight+80},
				{
					st.Latest, 1,
					i+1 == len(a.Line.Steps) && st.Latest+st.To-st.From >= runs[0].Length-o.Straight-80 ||
						i+1 < len(a.Line.Steps) && st.Latest+st.To-st.From >= a.Line.Steps[i+1].From-o.Straight-80,
				},
			} {
				moved := func(x float64) *setout.Answer {
					m := *a
					m.Line.Sections = append([]setout.Section(nil), a.Line.Sections...)
					m.Line.Steps = append([]setout.Step(nil), a.Line.Steps...)
					m.Line.Steps[i].From, m.Line.Steps[i].To = x, x+st.To-st.From
					m.Line.Sections[i].To, m.Line.Sections[i+1].From = x, x+st.To-st.From
					return &m
				}
				ends++
				m := moved(end.at)
				if why := hit(p, m, i); why != "" {
					t.Errorf("seed %d: set %d, said to be able to begin at %v, stands in %s\n%+v\n%v", seed, i, end.at, why, a.Line, ts)
				}
				if why := back(m); why != "" {
					t.Errorf("seed %d: set %d, said to be able to begin at %v: %s\n%+v\n%v", seed, i, end.at, why, a.Line, ts)
				}
				if m = moved(end.at + 6*end.out); end.bound {
					continue
				}
				beyond++
				if hit(p, m, i) == "" && back(m) == "" {
					blind++
					t.Errorf("seed %d: set %d might begin at %v too, beyond %v\n%+v\n%v", seed, i, end.at+6*end.out, end.at, a.Line, ts)
				}
			}
		}
	}
	t.Logf("%d sets, %d of them round; %d ends of where they may begin, %d looked beyond, of them %d without a finding", sets, round, ends, beyond, blind)
	if testing.Short() {
		return // too few cases for what follows
	}
	if sets < 40 || round < 10 || beyond < 20 {
		t.Error("too tame")
	}
}

// A basket 100 high in two bays, soffits 3600 and from station 8000 on 3300. To lay cables it wants 150 over it where that lacks over
// more than 600 of its run: under 3300 it may lie at 3050. A duct on its way in the first bay holds it over 3130. So a set down at 45°
// may begin so late that the stretch beyond station 8000 where the line is over 3050, on the level and down the slope together, is 600:
// at 8000 + 600 - √2·(level - 3050).
func TestASetMayDipIntoLayingRoom(t *testing.T) {
	ts := tables{
		"bays.csv": "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,10000,20000,3600,2700\nB,10000,0,20000,20000,3300,2700\n",
		"mech.csv": "id,service,kind,x1,y1,x2,y2,size,level\nD,extract,duct,5000,8500,5000,11500,500x400,2730\n",
		"run.csv":  "id,service,kind,x1,y1,x2,y2,size,level,run\nR1,data,basket,2000,10000,18000,10000,300x100,3045,R\n",
	}
	p := ts.open(t)
	runs, err := setout.Assemble(p, "R", cell.Bottom)
	if err != nil || len(runs) != 1 {
		t.Fatalf("%d runs, %v", len(runs), err)
	}
	a := setout.SetOut(p, clash.Open(p, clash.Options{Touch: clash.None}), &runs[0], setout.Settings{Steps: setout.Steps{Angle: 45}})
	if !a.Found || len(a.Unproved) > 0 || len(a.Line.Steps) == 0 {
		t.Fatalf("found %v, not proved %+v, line %+v", a.Found, a.Unproved, a.Line)
	}
	k := len(a.Line.Steps) - 1
	st := a.Line.Steps[k]
	if st.Low < 3130 || st.High > 3050 {
		t.Fatalf("the last set is %+v", st)
	}
	want := 8600 - math.Sqrt2*(st.Low-3050)
	if st.Latest > want || st.Latest < want-0.5 {
		t.Errorf("may begin up to %.2f, want %.2f", st.Latest, want)
	}
	for _, test := range []struct {
		x    float64
		some bool
	}{{st.Latest, false}, {want + 1, true}} {
		m := *a
		m.Line.Sections, m.Line.Steps = append([]setout.Section(nil), a.Line.Sections...), append([]setout.Step(nil), a.Line.Steps...)
		m.Line.Steps[k].From, m.Line.Steps[k].To = test.x, test.x+st.To-st.From
		m.Line.Sections[k].To, m.Line.Sections[k+1].From = test.x, test.x+st.To-st.From
		rows, gone := setout.Rows(p, &m, nil)
		if fs := foundOf(t, ts.with(t, "run.csv", rows, gone).open(t), "R", clash.Options{Touch: clash.None}); (len(fs) > 0) != test.some {
			t.Errorf("a set that begins at %.2f: %d findings %+v", test.x, len(fs), fs)
		}
	}
}
