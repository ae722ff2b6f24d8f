package setout_test

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"voidline/clash"
	"voidline/clash/setout"
	"voidline/void/cell"
)

// Frames of two to four tiers, along x or along y, with a duct across: what the sheets of all tiers say agrees, whichever is asked;
// the tiers stay in their order; and with the rows of all of them put back the check finds nothing between the rows.
func TestTiersTogether(t *testing.T) {
	whole, moved, alone := 0, 0, 0
	for seed := range 60 {
		r := rand.New(rand.NewPCG(uint64(seed), 5))
		n, turned := 2+r.IntN(3), r.IntN(2) == 0
		at := func(x0, y0, x1, y1 float64) string {
			if turned {
				x0, y0, x1, y1 = y0, x0, y1, x1
			}
			return fmt.Sprintf("%v,%v,%v,%v", x0, y0, x1, y1)
		}
		ts := tables{
			"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,20000,20000,4200,2500\n",
			"ductwork.csv": fmt.Sprintf("id,service,kind,x1,y1,x2,y2,size,level\nD,extract,duct,%s,600x%d,%d\n", at(7000, 0, 7000, 10000), 100+50*r.IntN(4), 2600+20*r.IntN(60)),
		}
		rows, level := "id,service,kind,x1,y1,x2,y2,size,level,run,hanger,frame,tier\n", 2650+10*r.IntN(20)
		for k := range n {
			kind := []string{"basket", "tray"}[r.IntN(2)]
			rows += fmt.Sprintf("T%d-1,data,%s,%s,%dx60,%d,T%d,channel 41 M10,F1,%d\n", k+1, kind, at(0, 3000, 20000, 3000), 100+50*r.IntN(4), level, k+1, k+1)
			level += 180 + 10*r.IntN(15)
		}
		ts["tray.csv"] = rows
		p := ts.open(t)
		c := clash.Open(p, clash.Options{Touch: clash.None})
		back := ts
		levels := map[string]float64{}
		var sheets []*setout.Answer
		found := true
		for k := range n {
			runs, err := setout.Assemble(p, fmt.Sprintf("T%d", k+1), cell.Bottom)
			if err != nil {
				t.Fatal(err)
			}
			a := setout.SetOut(p, c, &runs[0], setout.Settings{Steps: setout.Steps{AsDrawn: true}})
			if found = found && a.Level != nil; !found {
				break
			}
			if len(a.Mates) != n-1 {
				t.Fatalf("seed %d: %d others on the frame, want %d", seed, len(a.Mates), n-1)
			}
			levels[runs[0].Name] = *a.Level
			sheets = append(sheets, a)
			out, gone := setout.Rows(p, a, nil)
			back = back.with(t, "tray.csv", out, gone)
		}
		if !found {
			alone++
			continue
		}
		whole++
		for k, a := range sheets {
			if k > 0 && levels[fmt.Sprintf("T%d", k+1)] <= levels[fmt.Sprintf("T%d", k)] {
				t.Errorf("seed %d: the tiers are out of order: %v", seed, levels)
			}
			for _, m := range a.Mates {
				if math.Abs(m.Line-levels[m.Name]) > 1e-6 {
					t.Errorf("seed %d: the sheet of %s has %s at %v, its own at %v", seed, a.Run.Name, m.Name, m.Line, levels[m.Name])
				}
				if m.Moves() {
					moved++
				}
			}
			// Rods and channels of the frame, on the sheet of the first: at the levels of all the sheets.
			u := setout.SupportRun(p, clash.Open(p, clash.Options{Touch: clash.None}), a, setout.Hanging{})
			for _, s := range u.List {
				var got, want []float64
				for _, x := range s.Tiers {
					got = append(got, math.Round(x.Top*10)/10)
				}
				for _, z := range levels {
					want = append(want, math.Round(z*10)/10)
				}
				if slices.Sort(want); !slices.Equal(got, want) {
					t.Fatalf("seed %d, sheet of %s: channel tops %v, want %v", seed, a.Run.Name, got, want)
				}
			}
		}
		res, err := clash.Open(back.open(t), clash.Options{Touch: clash.None}).Findings(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range res.Findings {
			// Supports are taken at their usual places there, not at those of the sheets.
			if !strings.HasPrefix(f.A, "supports of") {
				t.Errorf("seed %d: %v put back: %s %s / %v, %s, %v short", seed, levels, f.Kind, f.A, name(f.B), f.Rule, f.Short)
			}
		}
	}
	t.Logf("%d frames whole, %d others moved, %d frames with a tier that has no one level", whole, moved, alone)
	if whole < 20 || moved < 20 {
		t.Errorf("%d frames whole, %d others moved: too few to say anything", whole, moved)
	}
}

// Two tiers that have nothing else about them: the tray on tier 2 stands 40 over the one on tier 1, where its channel 41 M10 needs 55.9. Either sheet says the same two
// levels, with that and 10 to spare between them, however the rows stand in the tables.
func TestTwoTiersAlone(t *testing.T) {
	rows := []string{"A,data,tray,0,3000,9000,3000,300x60,2650,A,channel 41 M10,F1,1\n", "B,data,tray,0,3000,9000,3000,300x60,2750,B,channel 41 M10,F1,2\n"}
	for k := range 2 {
		p := tables{
			"bays.csv": "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,20000,20000,4200,none\n",
			"gaps.csv": "of,to,side,gap\nany,any,around,0\ntray,any,above,0\n",
			"tray.csv": "id,service,kind,x1,y1,x2,y2,size,level,run,hanger,frame,tier\n" + rows[k] + rows[1-k],
		}.open(t)
		for _, of := range []string{"A", "B"} {
			a := setOut(t, p, of, setout.Steps{AsDrawn: true})
			if a.Level == nil || len(a.Mates) != 1 {
				t.Fatalf("%s: no level, or %d mates", of, len(a.Mates))
			}
			line := map[string]float64{of: *a.Level, a.Mates[0].Name: a.Mates[0].Line}
			if d := line["B"] - line["A"] - 60; d < 55.9+10 || d >= 55.9+10+5 {
				t.Errorf("the sheet of %s: %v, %.1f between the two", of, line, d)
			}
		}
		// Kept at 2720 or higher, where the upper one stands now, the lower one goes there and the upper one makes way.
		low := 2720.0
		a := setOut(t, p, "A", setout.Steps{AsDrawn: true, Min: &low})
		if a.Level == nil || len(a.Mates) != 1 {
			t.Fatalf("kept at 2720: no level, or %d mates", len(a.Mates))
		}
		if own, mate := *a.Level, a.Mates[0].Line; own > 2735 || mate < own+60+55.9 {
			t.Errorf("kept at 2720: it goes to %g, the upper one to %g", own, mate)
		}
	}
}

// Frames of two to four tiers under a duct that comes down and over one that stands up from the ceiling, so that a tier has no one level there and needs sets. Whichever sheet
// is asked, the tiers that have one level are at the same ones, the one with sets goes round them, and with the rows of all of them put back the check finds nothing
// between the rows.
func TestTiersWithSets(t *testing.T) {
	sets, disagree := 0, 0
	for seed := range 300 {
		r := rand.New(rand.NewPCG(uint64(seed), 6))
		n := 2 + r.IntN(3)
		ts := tables{
			"ductwork.csv": fmt.Sprintf("id,service,kind,x1,y1,x2,y2,size,level\nD,extract,duct,5000,0,5000,10000,600x%d,%d\nE,extract,duct,15000,0,15000,10000,600x%d,2430\n",
				100+50*r.IntN(4), 2820+10*r.IntN(20), 300+10*r.IntN(25)),
		}
		rows, level := "id,service,kind,x1,y1,x2,y2,size,level,run,hanger,frame,tier\n", 2850+10*r.IntN(20)
		for k := range n {
			rows += fmt.Sprintf("T%d-1,data,tray,0,3000,20000,3000,%dx60,%d,T%d,channel 21 M10,F1,%d\n", k+1, 100+50*r.IntN(4), level, k+1, k+1)
			level += 210 + 10*r.IntN(10)
		}
		ts["tray.csv"] = rows
		ts["bays.csv"] = fmt.Sprintf("bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,20000,20000,%d,2400\n", level+10*r.IntN(10))
		p := ts.open(t)
		c := clash.Open(p, clash.Options{Touch: clash.None})
		back := ts
		levels := map[string]float64{}
		var sheets []*setout.Answer
		found, stepped := true, 0
		for k := range n {
			runs, err := setout.Assemble(p, fmt.Sprintf("T%d", k+1), cell.Bottom)
			if err != nil {
				t.Fatal(err)
			}
			a := setout.SetOut(p, c, &runs[0], setout.Settings{Steps: setout.Steps{AsDrawn: true}})
			if found = found && a.Found && len(a.Unproved) == 0; !found {
				break
			}
			if a.Level == nil {
				stepped++
			} else {
				levels[runs[0].Name] = *a.Level
			}
			sheets = append(sheets, a)
			out, gone := setout.Rows(p, a, nil)
			back = back.with(t, "tray.csv", out, gone)
		}
		if !found || stepped == 0 {
			continue
		}
		sets++
		apart := false
		for _, a := range sheets {
			for _, m := range a.Mates {
				if z, level := levels[m.Name]; m.Sets == level || level && math.Abs(m.Line-z) > 1e-6 {
					apart = true
					t.Logf("seed %d: the sheet of %s has %s at %v, its own sheet at %v", seed, a.Run.Name, m.Name, m.Line, z)
				}
			}
		}
		if apart {
			disagree++
			continue
		}
		res, err := clash.Open(back.open(t), clash.Options{Touch: clash.None}).Findings(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range res.Findings {
			if !strings.HasPrefix(f.A, "supports of") {
				t.Errorf("seed %d: %v put back: %s %s / %v, %s, %v short\n%s%s", seed, levels, f.Kind, f.A, name(f.B), f.Rule, f.Short, ts["ductwork.csv"], rows)
			}
		}
	}
	t.Logf("%d frames with sets, of %d of them the sheets disagree", sets, disagree)
	if sets < 10 || disagree > 0 {
		t.Errorf("%d frames with sets, of %d of them the sheets disagree", sets, disagree)
	}
}

// Two trays side by side on tier 2 over a wide one on tier 1. A pipe over B, its underside at 2920, wants B at 2850 or lower: 60 high and 10 to spare. The wide one,
// 60 high, then goes down to 2720: 60, 55.9 of the channel and 10 to spare under B. A stays. Every sheet says the same of all three, whatever they are called.
func TestTwoOnOneTier(t *testing.T) {
	for _, names := range [][3]string{{"L", "A", "B"}, {"L", "B", "A"}, {"Z", "B", "A"}} {
		p := tables{
			"bays.csv": "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,12000,6000,3600,2400\n",
			"gaps.csv": "of,to,side,gap\nany,any,around,0\ntray,any,above,0\nany,ceiling,below,0\n",
			"tray.csv": fmt.Sprintf("id,service,kind,x1,y1,x2,y2,size,level,run,hanger,frame,tier\n%[1]s,data,tray,1000,3000,9000,3000,600x60,2770,%[1]s,channel 41 M10,F1,1\n"+
				"%[2]s,data,tray,1000,2850,9000,2850,200x60,2900,%[2]s,channel 41 M10,F1,2\n%[3]s,data,tray,1000,3150,9000,3150,200x60,2900,%[3]s,channel 41 M10,F1,2\n", names[0], names[1], names[2]),
			"pipework.csv": "id,service,kind,x1,y1,x2,y2,size,level\nP,cold water,pipe,500,3150,9500,3150,ø100,2920\n",
		}.open(t)
		want := map[string]float64{names[0]: 2720, names[1]: 2900, names[2]: 2850}
		for _, of := range names {
			a := setOut(t, p, of, setout.Steps{AsDrawn: true})
			if a.Level == nil {
				t.Fatalf("%v: no level of %s", names, of)
			}
			got := map[string]float64{of: *a.Level}
			for _, m := range a.Mates {
				got[m.Name] = m.Line
			}
			for n, z := range want {
				if math.Abs(got[n]-z) > 1e-6 {
					t.Errorf("%v: the sheet of %s has %s at %g, want %g", names, of, n, got[n], z)
				}
			}
		}
	}
}

func name(s *string) string {
	if s == nil {
		return ""
	}
	return *s
}
