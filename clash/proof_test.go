package clash

import (
	"context"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"testing"
	"testing/fstest"

	"github.com/golang/geo/r3"

	"voidline/clash/figure"
	"voidline/clash/finding"
	"voidline/io/table"
	"voidline/void"
)

var proofFloors = flag.Int("proof.floors", 12, "random floors of TestProvedMovesPutBack")

// shortfalls are the greatest shortfall of each finding of a project that is checked anew.
func shortfalls(t *testing.T, p *void.Project) map[string]float64 {
	t.Helper()
	res, err := Open(p, Options{Touch: 1}).Findings(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]float64{}
	for i := range res.Findings {
		out[res.Findings[i].ID] = res.Findings[i].Short
	}
	return out
}

// putBack shifts what a move says, its run with it where it takes that, and returns what puts it back again.
func putBack(t *testing.T, p *void.Project, m *finding.Move) (undo func()) {
	t.Helper()
	i, ok := p.ZoneByID(m.Zone)
	if !ok {
		t.Fatalf("no zone %s", m.Zone)
	}
	rows := []int32{int32(i)}
	if m.Takes == finding.TakesRun {
		rows = Open(p, Options{}).RowsOf(int32(i))
	}
	type cells struct {
		id  string
		was []void.CellText
	}
	var back []cells
	for _, i := range rows {
		id := p.Zone(int(i)).ID
		now, pr := p.Moved(int(i), m.Vector())
		if pr != nil {
			t.Fatal(pr)
		}
		was := make([]void.CellText, len(now))
		for k, c := range now {
			was[k] = void.CellText{Column: c.Column, Text: p.CellOf(int(i), c.Column)}
		}
		if _, pr := p.EditCells(id, now); pr != nil {
			t.Fatal(pr)
		}
		back = append(back, cells{id, was})
	}
	return func() {
		for _, b := range back {
			if _, pr := p.EditCells(b.id, b.was); pr != nil {
				t.Fatal(pr)
			}
		}
	}
}

// proofsHold puts back every move that is told as clear, of every so many findings, and checks the project anew: the finding is gone,
// nothing is new and nothing lacks more. A move that is not clear has something that it meets.
func proofsHold(t *testing.T, p *void.Project, every int) (clear, meets, none int) {
	t.Helper()
	res, err := Open(p, Options{Touch: 1, Proved: true}).Findings(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	before := shortfalls(t, p)
	for k := range res.Findings {
		f := &res.Findings[k]
		if len(f.Moves) == 0 {
			none++
		}
		for n := range f.Moves {
			m := &f.Moves[n]
			if m.Clear == nil {
				continue
			}
			if !*m.Clear {
				if meets++; m.Meets == nil || m.Meets.With == "" {
					t.Errorf("%s and %s: %+v is not clear of nothing", f.A, name(f.B), m)
				}
				continue
			}
			clear++
			if k%every != 0 {
				continue
			}
			undo := putBack(t, p, m)
			after := shortfalls(t, p)
			if _, there := after[f.ID]; there {
				t.Errorf("%s and %s: %+v does not clear it", f.A, name(f.B), m)
			}
			for id, short := range after {
				if was, there := before[id]; !there || short > was+0.1+figure.Slack {
					t.Errorf("%s and %s: after %+v finding %s lacks %g, before %g", f.A, name(f.B), m, id, short, was)
				}
			}
			undo()
		}
	}
	return clear, meets, none
}

func name(s *string) string {
	if s == nil {
		return ""
	}
	return *s
}

// Every move told as clear is put back and checked in full: the demo, and floors of ducts thrown about.
func TestProvedMovesPutBack(t *testing.T) {
	p, err := table.Open(context.Background(), "demo", table.Options{FS: os.DirFS("../testdata/demo")})
	if err != nil {
		t.Fatal(err)
	}
	clear, meets, none := proofsHold(t, p, 1)
	t.Logf("demo: %d moves clear, %d meet something; %d findings have none", clear, meets, none)
	if clear < 20 || meets < 3 {
		t.Errorf("too few of one sort")
	}
	clear, meets = 0, 0
	for seed := range int64(*proofFloors) {
		c, m, _ := proofsHold(t, scattered(t, 120, seed, 17).Project, 1)
		clear, meets = clear+c, meets+m
	}
	t.Logf("%d floors: %d moves clear, %d meet something", *proofFloors, clear, meets)
	if clear < 10**proofFloors {
		t.Errorf("too few are clear")
	}
}

// No smaller shift along its way, in whole mm, is clear.
func TestProvedMovesAreLeast(t *testing.T) {
	rnd := rand.New(rand.NewPCG(12, 1))
	tried, smaller := 0, 0
	for seed := range int64(4) {
		c := scattered(t, 120, 100+seed, 17)
		c.touch = 0 // a move goes all the way, though things may rest on each other by the touch tolerance
		a, err := c.Answer(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		if err := a.prove(context.Background()); err != nil {
			t.Fatal(err)
		}
		v := a.r.trials()
		for k := range a.hits {
			for _, m := range a.proved[a.hits[k].ID].moves {
				if !m.IsClear() || m.By < 3 || rnd.IntN(3) > 0 {
					continue
				}
				i, _ := c.Project.ZoneByID(m.Zone)
				rows := []int32{int32(i)}
				if m.Takes == finding.TakesRun {
					rows = c.RowsOf(int32(i))
				}
				by := m.Vector()
				for range 5 {
					less := float64(rnd.IntN(int(m.By)-1) + 1)
					if rnd.IntN(2) == 0 {
						less = m.By - 1
					}
					if m.DZ == 0 && m.By-less < 2 {
						continue // its parts are in whole tenths
					}
					s := by.Mul(less / by.Norm())
					s = r3.Vector{X: math.Round(s.X*10) / 10, Y: math.Round(s.Y*10) / 10, Z: math.Round(s.Z*10) / 10}
					out, ok, err := v.shift(context.Background(), rows, s)
					if err != nil {
						t.Fatal(err)
					}
					tried++
					if ok && out.gone[a.hits[k].ID] && len(out.worse) == 0 {
						if smaller++; smaller < 5 {
							t.Logf("%+v: %g is clear, too", m, less)
						}
					}
				}
			}
		}
	}
	t.Logf("%d shorter shifts tried, %d of them clear", tried, smaller)
	if tried < 200 || smaller > tried/50 {
		t.Errorf("%d shorter shifts tried, %d of them clear", tried, smaller)
	}
}

// P2 moved 16 to the north, as its pair with P1 alone would have it, is 5.6 short of P3: what is told is clear of P1 to P5.
func TestMoveIntoNeighbour(t *testing.T) {
	p, err := table.Open(context.Background(), "p", table.Options{FS: fstest.MapFS{
		"bays.csv":     {Data: []byte("bay,x1,y1,x2,y2,soffit,ceiling\nOFF,0,0,10000,6000,3800,2700\n")},
		"pipework.csv": {Data: []byte("id,service,x1,y1,x2,y2,size,level,run\nP1,CWS,1000,2000,9000,2000,DN50,CL 3000,P1\nP2,CWS,1000,2070,9000,2070,DN50,CL 3000,P2\nP3,CWS,1000,2165,9000,2165,DN50,CL 3000,P3\n")},
	}})
	if err != nil || len(p.Problems) > 0 {
		t.Fatal(err, p.Problems)
	}
	res, err := Open(p, Options{Touch: 1, Proved: true}).Findings(context.Background())
	if err != nil || len(res.Findings) != 1 {
		t.Fatal(err, len(res.Findings))
	}
	for _, m := range res.Findings[0].Moves {
		if m.Clear == nil || !*m.Clear || m.Zone == "P2" && m.Direction == "left" && m.By < 100 {
			t.Errorf("%+v", m)
		}
	}
	proofsHold(t, p, 1)
}

// What is tried equals editing the tables and comparing two answers: random cells of random floors.
func TestTryIsEditingAndComparing(t *testing.T) {
	rnd := rand.New(rand.NewPCG(12, 2))
	sorts := [4]int{}
	for seed := range int64(10) {
		p := scattered(t, 80, 300+seed, 17).Project
		opt := Options{Touch: 1}
		before, err := Open(p, opt).Findings(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		c := Open(p, opt)
		for range 4 {
			z := p.Zone(rnd.IntN(p.Zones()))
			cells := [][]void.CellText{
				{{Column: "level", Text: strconv.Itoa(2600 + rnd.IntN(1200))}},
				{{Column: "size", Text: strconv.Itoa(100+rnd.IntN(400)) + "x200"}},
				{{Column: "insulation", Text: strconv.Itoa(rnd.IntN(60))}},
			}[rnd.IntN(3)]
			got, err := c.Try(context.Background(), []void.RowChange{{Zone: z.ID, Cells: cells}})
			if err != nil {
				t.Fatal(err)
			}
			after, err := Open(p, opt).Findings(context.Background())
			if err != nil {
				t.Fatal(err)
			}
			want := finding.Compared(before, after)
			ids := func(fs []finding.Finding) (out []string) {
				for i := range fs {
					out = append(out, fs[i].ID)
				}
				return out
			}
			altered := func(as []finding.Altered) (out []string) {
				for i := range as {
					out = append(out, fmt.Sprintf("%s %.1f %.1f", as[i].ID, as[i].Before, as[i].After))
				}
				return out
			}
			if !slices.Equal(ids(got.Cleared), ids(want.Cleared)) || !slices.Equal(ids(got.Made), ids(want.Made)) || got.Left != want.Left ||
				!slices.Equal(altered(got.Worse), altered(want.Worse)) || !slices.Equal(altered(got.Better), altered(want.Better)) {
				t.Fatalf("%s %v: %+v, want %+v", z.ID, cells, got, want)
			}
			for k, n := range []int{len(got.Cleared), len(got.Made), len(got.Worse), len(got.Better)} {
				sorts[k] += n
			}
			before = after
		}
	}
	if slices.Min(sorts[:]) == 0 {
		t.Errorf("cleared, made, worse, better: %v", sorts)
	}
}

// The moves of the findings, made one after the other, never end with more than there was, and make nothing new or worse: random floors.
func TestImproveHarmsNobody(t *testing.T) {
	before, after, cells, moved, mm := 0, 0, 0, 0, 0.0
	stay := map[string]int{}
	for seed := range int64(*proofFloors) {
		p := scattered(t, 100, 500+seed, 17).Project
		stood := make([]r3.Vector, p.Zones())
		for i := range stood {
			stood[i] = p.Zone(i).Full().Centre
		}
		tried, err := Open(p, Options{Touch: 1}).Improve(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		if tried.Harms() || tried.After.Problems > tried.Before.Problems {
			t.Errorf("floor %d: %d new, %d worse", seed, len(tried.Made), len(tried.Worse))
		}
		res, err := Open(p, Options{Touch: 1}).Findings(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		if res.Counts != tried.After.Counts {
			t.Errorf("floor %d: %+v, checked anew %+v", seed, tried.After.Counts, res.Counts)
		}
		before, after, cells = before+tried.Before.Problems, after+tried.After.Problems, cells+len(tried.Changes)
		for i := range stood {
			if by := p.Zone(i).Full().Centre.Sub(stood[i]).Norm(); by > void.Hair {
				moved, mm = moved+1, mm+by
			}
		}
		left, err := Open(p, Options{Touch: 1, Proved: true}).Findings(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range left.Findings {
			switch {
			case slices.ContainsFunc(f.Moves, finding.Move.IsClear):
				stay["a move is clear that does not pay, or takes sets"]++
			case len(f.Moves) > 0:
				stay["what it moves to meets something"]++
			case f.Holds != "":
				stay["held"]++
			case f.Support != nil:
				stay["supports"]++
			default:
				stay["no move is known"]++
			}
		}
	}
	t.Logf("%d floors: %d problems before, %d after; %d rows moved, %.0f mm in all, %d cells; left: %v", *proofFloors, before, after, moved, mm, cells, stay)
	if after > before/4 {
		t.Errorf("%d of %d problems are left", after, before)
	}
}

// A pipe of 100 whose top is 30 into a beam cannot drop for the duct 30 under it, nor go aside, for it holds its place; the duct has room to
// drop. Neither moves alone, but the two together are clear: the pipe drops by its overlap, the duct by what the pipe then lacks to it.
func TestTwoTogether(t *testing.T) {
	p, err := table.Open(context.Background(), "p", table.Options{FS: fstest.MapFS{
		"bays.csv":     {Data: []byte("bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,8000,6000,3300,2480\n")},
		"steel.csv":    {Data: []byte("id,kind,x1,y1,x2,y2,size,level\nB,beam,4000,0,4000,6000,150x300,3000\n")},
		"pipework.csv": {Data: []byte("id,service,x1,y1,x2,y2,size,level,holds\nP,CHW flow,1000,3000,7000,3000,ø100,2930,place\n")},
		"ductwork.csv": {Data: []byte("id,x1,y1,x2,y2,size,level,holds\nD,1000,3000,7000,3000,400x300,2600,place\n")},
	}})
	if err != nil {
		t.Fatal(err)
	}
	res, err := Open(p, Options{Touch: 1, Proved: true}).Findings(context.Background())
	if err != nil || len(res.Findings) != 1 {
		t.Fatal(err, res.Findings)
	}
	f := &res.Findings[0]
	if len(f.Together) != 2 || f.Together[0].Zone != "P" || f.Together[1].Zone != "D" || slices.ContainsFunc(f.Moves, finding.Move.IsClear) {
		t.Fatalf("moves %+v, together %+v", f.Moves, f.Together)
	}
	alone := &f.Moves[0]
	if alone.Meets == nil || alone.Meets.With != "D" || f.Together[0].By != alone.By || f.Together[1].By != math.Ceil(alone.Meets.By) || alone.By < 30 {
		t.Errorf("alone %+v meets %+v, together %+v", alone, alone.Meets, f.Together)
	}
	for k := range f.Together {
		putBack(t, p, &f.Together[k])
	}
	if left := shortfalls(t, p); len(left) != 0 {
		t.Errorf("put back, there are left %v", left)
	}
}
