package setout_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"voidline/clash"
	"voidline/clash/setout"
	"voidline/clash/support"
	"voidline/void/catalogue"
	"voidline/void/cell"
)

// flatBox is a rectangle in plan with a level: a bay with its soffit, or a beam with its underside.
type flatBox struct{ x0, y0, x1, y1, z float64 }

func (b *flatBox) holds(x, y float64) bool {
	return x >= b.x0-1e-6 && x <= b.x1+1e-6 && y >= b.y0-1e-6 && y <= b.y1+1e-6
}

// over returns the lowest of them over a point that is no lower than a level, or +Inf.
func over(list []flatBox, x, y, from float64) float64 {
	z := math.Inf(1)
	for i := range list {
		if b := &list[i]; b.holds(x, y) && b.z >= from-1e-6 {
			z = math.Min(z, b.z)
		}
	}
	return z
}

// Over random soffits, beams and bay lines, along x, along y and turned in plan, each rod is as long as it is from what is over that very
// point (worked out here, from the rectangles alone) down to its lower end; no two supports stand nearer than they are wide; what
// is too far apart is told; and what is cut and counted comes to what stands in the table.
func TestRodsByForce(t *testing.T) {
	uneven, joined, steels, gaps, rods := 0, 0, 0, 0, 0
	for seed := range 150 {
		r := rand.New(rand.NewPCG(uint64(seed), 71))
		hanger := []string{"channel 41 M10", "at the flange", "off the soffit"}[r.IntN(3)]
		const half, level = 75.0, 2900.0
		// A run that goes near bay lines and over them.
		x0, y0 := 500+float64(r.IntN(1000)), 500+float64(r.IntN(1000))
		x1, y1 := x0+float64(4000+r.IntN(4000)), y0
		switch r.IntN(3) {
		case 0:
			x1, y1 = x0, y0+float64(4000+r.IntN(4000))
		case 1:
			y1 = y0 + float64(r.IntN(6000))
		}
		var bays, beams []flatBox
		bayRows, steel := "bay,x1,y1,x2,y2,soffit,ceiling\n", "id,kind,x1,y1,x2,y2,size,level,face\n"
		xs := []float64{0, x0 + float64(r.IntN(7)-3)*50, 5000, 10000}
		ys := []float64{0, y0 + float64(r.IntN(7)-3)*50, 4500, 10000}
		for i := 1; i < len(xs); i++ {
			for j := 1; j < len(ys); j++ {
				if r.IntN(12) == 0 {
					continue // nothing is known there
				}
				b := flatBox{xs[i-1], ys[j-1], xs[i], ys[j], 3300 + float64(r.IntN(5))*100}
				if r.IntN(8) == 0 {
					b.z = 6000 + float64(r.IntN(3))*1300 // a hall
				}
				bays = append(bays, b)
				bayRows += fmt.Sprintf("B%d%d,%v,%v,%v,%v,%v,2500\n", i, j, b.x0, b.y0, b.x1, b.y1, b.z)
			}
		}
		if len(bays) == 0 {
			continue
		}
		for k := range r.IntN(5) {
			at, w := 1000+float64(r.IntN(70))*100, 100+float64(r.IntN(4))*50
			b := flatBox{at - w/2, 0, at + w/2, 10000, 3150 + float64(r.IntN(4))*30}
			row := fmt.Sprintf("S%d,beam,%v,0,%v,10000,%vx100,%v,bottom\n", k, at, at, w, b.z)
			if r.IntN(2) == 0 {
				b = flatBox{0, at - w/2, 10000, at + w/2, b.z}
				row = fmt.Sprintf("S%d,beam,0,%v,10000,%v,%vx100,%v,bottom\n", k, at, at, w, b.z)
			}
			beams = append(beams, b)
			steel += row
		}
		ts := tables{
			"bays.csv": bayRows, "steel.csv": steel, "gaps.csv": "of,to,side,gap,basis\n",
			"hangers.csv": "hanger,part,height,side,width,rods,from\nat the flange,channel 41,41,under,,2,beam flange\noff the soffit,channel 41,41,under,,2,soffit\n",
			"tray.csv":    fmt.Sprintf("id,service,kind,x1,y1,x2,y2,size,level,run,hanger\nT-1,data,basket,%v,%v,%v,%v,150x60,%v,R,%s\n", x0, y0, x1, y1, level, hanger),
		}
		p := ts.open(t)
		runs, err := setout.Assemble(p, "R", cell.Bottom)
		if err != nil {
			t.Fatal(err)
		}
		z := level
		a := setout.SetOut(p, clash.Open(p, clash.Options{Touch: clash.None}), &runs[0], setout.Settings{Steps: setout.Steps{Start: &z, Min: &z, Max: &z}})
		if !a.Found {
			continue
		}
		u := setout.SupportRun(p, clash.Open(p, clash.Options{Touch: clash.None}), a, setout.Hanging{Kerf: 2})
		under := 41.0
		if hanger == "channel 41 M10" {
			under = 41 + 5 + 8.4 + 1.5
		}
		n := math.Hypot(x1-x0, y1-y0)
		ex, ey := -(y1-y0)/n, (x1-x0)/n // to the left of the run
		var pieces, couplers, clamps int
		cut := 0.0
		for i, s := range u.List {
			if len(s.Each) != 2 {
				t.Fatalf("seed %d: support %d has %d rods %s %+v\n%s%s", seed, s.N, len(s.Each), hanger, s, bayRows, steel)
			}
			cx, cy := x0+(x1-x0)*s.At/n, y0+(y1-y0)*s.At/n
			var soffit, beam [2]float64
			for k, side := range []float64{-1, 1} {
				x, y := cx+side*ex*(half+50), cy+side*ey*(half+50)
				if q := s.Each[k].Where; math.Hypot(q.X-x, q.Y-y) > 1e-6 {
					t.Fatalf("seed %d: rod %d of support %d at %v, want %v, %v", seed, k, s.N, q, x, y)
				}
				soffit[k], beam[k] = over(bays, x, y, level+60), over(beams, x, y, level+60)
			}
			from := soffit
			onSteel := hanger == "at the flange"
			if hanger == "channel 41 M10" {
				onSteel = beam[0] < soffit[0] && beam[1] < soffit[1] && math.Abs(beam[0]-beam[1]) < 1
			}
			if onSteel {
				from = beam
				steels++
			}
			for k := range s.Each {
				q := &s.Each[k]
				want := from[k] - (level - under) + 10
				if math.IsInf(want, 1) {
					t.Errorf("seed %d: nothing is over rod %d of support %d, and it is %v long", seed, k, s.N, q.Length)
				} else if math.Abs(q.Length-want) > 1e-6 || q.Cut != math.Ceil((want+25)/5-1e-9)*5 || q.Steel != onSteel {
					t.Errorf("seed %d, %s: rod %d of support %d at %v is %v long, cut %v, on steel %v; want %v, on steel %v", seed, hanger, k, s.N, q.Where, q.Length, q.Cut, q.Steel, want, onSteel)
				}
				sum := 0.0
				for _, l := range q.Pieces {
					if l > 3000 || l < 100 && len(q.Pieces) > 1 {
						t.Errorf("seed %d: a piece of %v in %v", seed, l, q.Pieces)
					}
					sum += l
				}
				if math.Abs(sum-q.Cut) > 1e-6 || len(q.Pieces) != int(math.Ceil(q.Cut/3000)) {
					t.Errorf("seed %d: a rod of %v is joined of %v", seed, q.Cut, q.Pieces)
				}
				rods++
				cut += q.Cut
				pieces += len(q.Pieces)
				couplers += len(q.Pieces) - 1
				if q.Steel {
					clamps++
				}
				if len(q.Pieces) > 1 {
					joined++
				}
			}
			if s.Each[0].Cut != s.Each[1].Cut {
				uneven++
			}
			if i > 0 {
				d := s.At - u.List[i-1].At
				if d < 41-1e-6 {
					t.Errorf("seed %d: supports %v and %v are nearer than they are wide", seed, u.List[i-1].At, s.At)
				}
				told := false
				for _, g := range u.Gaps {
					told = told || math.Abs(g.From-u.List[i-1].At) < 1e-6 && math.Abs(g.To-s.At) < 1e-6
				}
				if told != (d > 1200+1e-6) {
					t.Errorf("seed %d: supports %v and %v, told as a gap: %v", seed, u.List[i-1].At, s.At, told)
				}
			}
		}
		for _, g := range u.Gaps {
			if gaps++; len(g.Barred) == 0 {
				t.Errorf("seed %d: nothing is named that bars %v to %v", seed, g.From, g.To)
			}
		}
		if len(u.List) == 0 {
			if len(u.Gaps) == 0 {
				t.Errorf("seed %d: no support, and nothing told", seed)
			}
			continue
		}
		count := map[string]int{}
		for _, c := range u.Parts {
			count[c.Part] += c.N
		}
		if count["coupler M10"] != couplers || count["clamp for the flange, M10"] != clamps || count["fixing into the soffit, M10"] != 2*len(u.List)-clamps {
			t.Errorf("seed %d: %d couplers, %d clamps of %d rods, counted %v", seed, couplers, clamps, 2*len(u.List), count)
		}
		got, stock := 0.0, 0
		for _, list := range u.Rods {
			if len(list.Long) > 0 {
				t.Errorf("seed %d: %v are left out of the order", seed, list.Long)
			}
			for _, c := range list.Cuts {
				for _, l := range c.Pieces {
					got, stock = got+l*float64(c.Times), stock+c.Times
				}
			}
		}
		if math.Abs(got-cut) > 1e-6 || stock != pieces {
			t.Errorf("seed %d: cut are %d pieces, %v in all; the table has %d, %v", seed, stock, got, pieces, cut)
		}
	}
	if uneven < 20 || joined < 20 || steels < 20 || gaps < 20 || rods < 500 {
		t.Errorf("%d supports with two lengths, %d rods joined, %d on steel, %d gaps, %d rods: too few to say anything", uneven, joined, steels, gaps, rods)
	}
}

// Two runs whose middle is in the low bay, 20 from the line to the high one, are cut for both; and one whose rod stands out of every
// bay has nothing to hang it from.
func TestRodsBesideABayLine(t *testing.T) {
	p := tables{
		"bays.csv": "bay,x1,y1,x2,y2,soffit,ceiling\nLOW,0,0,10000,3000,3300,2700\nHIGH,0,3000,10000,6000,3600,2700\n",
		"tray.csv": "id,kind,x1,y1,x2,y2,size,level,run,hanger\nT-1,basket,0,2980,4000,2980,150x60,2950,T1,channel 41 M10\n" +
			"T-2,basket,0,5900,4000,5900,150x60,2950,T2,channel 41 M10\nT-3,basket,6000,1000,6000,5000,150x60,2950,T3,channel 41 M10\n",
	}.open(t)
	sheet := func(run string) *setout.Supports {
		runs, err := setout.Assemble(p, run, cell.Bottom)
		if err != nil {
			t.Fatal(err)
		}
		z := 2950.0
		a := setout.SetOut(p, clash.Open(p, clash.Options{Touch: clash.None}), &runs[0], setout.Settings{Steps: setout.Steps{Start: &z, End: &z, Min: &z, Max: &z}})
		return setout.SupportRun(p, clash.Open(p, clash.Options{Touch: clash.None}), a, setout.Hanging{})
	}
	// Rods at y 2855 and 3105: 3300 - 2950 + 55.9 + 10 = 415.9 and 300 more.
	for _, s := range sheet("T1").List {
		if math.Abs(s.Each[0].Length-415.9) > 1e-6 || math.Abs(s.Each[1].Length-715.9) > 1e-6 || s.Each[0].Of != "soffit LOW" || s.Each[1].Of != "soffit HIGH" {
			t.Errorf("%+v", s.Each)
		}
	}
	u := sheet("T2")
	if len(u.List) != 0 || len(u.Gaps) != 1 || u.Gaps[0].From != 0 || u.Gaps[0].To != 4000 || u.Gaps[0].Barred[0].What != support.BarredByNothing {
		t.Errorf("%d supports, %+v", len(u.List), u.Gaps)
	}
	// Over the line: what stands at y 3000 exactly is under the lower.
	for _, s := range sheet("T3").List {
		want := 415.9
		if s.Where.Y > 3000 {
			want += 300
		}
		if math.Abs(s.Rod-want) > 1e-6 || math.Abs(s.Each[0].Length-want) > 1e-6 || math.Abs(s.Each[1].Length-want) > 1e-6 {
			t.Errorf("at y %v: %+v, want %v", s.Where.Y, s.Each, want)
		}
	}
}

// Rods that are too near something: it is named, and the least longer channel with which all stands clear. The beam is 300 wide over a
// basket of 150: rods 50 beside it stand under its edge, 25 inside; they must be 25 outside, so 50 further out, at either side.
func TestWiderChannelClears(t *testing.T) {
	p := tables{
		"bays.csv":    "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,10000,6000,3600,2700\n",
		"steel.csv":   "id,kind,x1,y1,x2,y2,size,level,face\nS-1,beam,0,3000,10000,3000,300x300,3600,top\n",
		"tray.csv":    "id,kind,x1,y1,x2,y2,size,level,run,hanger\nT-1,basket,1000,3000,9000,3000,150x60,2900,T1,off the soffit\n",
		"hangers.csv": "hanger,part,height,side,width,rods,from\noff the soffit,channel 41,41,under,,2,soffit\n",
	}.open(t)
	runs, err := setout.Assemble(p, "T1", cell.Bottom)
	if err != nil {
		t.Fatal(err)
	}
	z := 2900.0
	a := setout.SetOut(p, clash.Open(p, clash.Options{Touch: clash.None}), &runs[0], setout.Settings{Steps: setout.Steps{Start: &z, Min: &z, Max: &z}})
	u := setout.SupportRun(p, clash.Open(p, clash.Options{Touch: clash.None}), a, setout.Hanging{})
	if len(u.List) != 0 || len(u.Gaps) != 1 {
		t.Fatalf("%d supports, %+v", len(u.List), u.Gaps)
	}
	g := u.Gaps[0]
	if len(g.Barred) != 1 || g.Barred[0].Name != "S-1" || g.Barred[0].Part != "rod" || g.Barred[0].What != support.BarredByThing {
		t.Errorf("barred by %+v, want the rods by S-1", g.Barred)
	}
	// 25 off exactly is clear, as in the check.
	if g.Channel != 310+100 || g.Wider != 100 {
		t.Errorf("a channel of %v, %v longer; want 410, 100", g.Channel, g.Wider)
	}
}

// What a rod is joined of: whole lengths of the longest stock, then the rest; no piece too short for a coupler.
func TestJoinRod(t *testing.T) {
	for _, test := range []struct {
		rod, longest float64
		want         string
	}{
		{2999, 3000, "2999"},
		{3000, 3000, "3000"},
		{3595, 3000, "3000 595"},
		{3010, 3000, "2910 100"},
		{6000, 3000, "3000 3000"},
		{6030, 3000, "3000 2930 100"},
		{3595, 1000, "1000 1000 1000 595"},
	} {
		var got []string
		for _, l := range catalogue.JoinRod(test.rod, test.longest) {
			got = append(got, fmt.Sprint(l))
		}
		if strings.Join(got, " ") != test.want {
			t.Errorf("%v of %v: %v, want %s", test.rod, test.longest, got, test.want)
		}
	}
}
