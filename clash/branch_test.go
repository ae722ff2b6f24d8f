package clash_test

import (
	"context"
	"fmt"
	"math/rand"
	"slices"
	"strings"
	"testing"

	"voidline/clash"
	"voidline/clash/finding"
	"voidline/clash/rules"
)

const (
	twoBays = "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,5000,9000,3600,2400\nB,5000,0,10000,9000,3600,2400\n"
	runHead = "id,kind,x1,y1,x2,y2,size,level,run\n"
)

// What people count: run against run in a bay; of a run that branches each branch; one thing through one beam once.
func TestProblems(t *testing.T) {
	for _, test := range []struct {
		name     string
		files    map[string]string
		findings int
		problems int
	}{
		{"five short rows of a pipe in a duct, all in one bay", map[string]string{
			"ductwork.csv": runHead + "D,duct,500,1000,4500,1000,600x300,3000,SA\n",
			"pipework.csv": runHead + "P1,pipe,500,1000,1200,1000,ø60,3100,CW\nP2,pipe,1200,1000,1900,1000,ø60,3100,CW\nP3,pipe,1900,1000,2600,1000,ø60,3100,CW\n" +
				"P4,pipe,2600,1000,3300,1000,ø60,3100,CW\nP5,pipe,3300,1000,4000,1000,ø60,3100,CW\n",
		}, 5, 1},
		{"the same in two bays: 500 to 5000 and on to 9500", map[string]string{
			"ductwork.csv": runHead + "D,duct,500,1000,9500,1000,600x300,3000,SA\n",
			"pipework.csv": runHead + "P1,pipe,500,1000,2500,1000,ø60,3100,CW\nP2,pipe,2500,1000,4900,1000,ø60,3100,CW\nP3,pipe,5100,1000,8000,1000,ø60,3100,CW\nP4,pipe,8000,1000,9500,1000,ø60,3100,CW\n",
		}, 4, 2},
		{"a pipe that turns a corner is one branch", map[string]string{
			"ductwork.csv": runHead + "D1,duct,500,1000,4500,1000,600x300,3000,SA\nD2,duct,4500,1000,4500,8000,600x300,3000,SA\n",
			"pipework.csv": runHead + "P1,pipe,500,1000,4500,1000,ø60,3100,CW\nP2,pipe,4500,1000,4500,8000,ø60,3100,CW\n",
		}, 4, 1}, // each of the two rows meets both of the other's at the corner
		{"a name for a whole network: the main and three branches, each through a tray of one run", map[string]string{
			"pipework.csv": runHead + "M1,pipe,500,1000,2000,1000,ø60,3000,CW\nM2,pipe,2000,1000,4500,1000,ø60,3000,CW\n" +
				"X1,pipe,1000,1000,1000,8000,ø40,3000,CW\nX2,pipe,2000,1000,2000,8000,ø40,3000,CW\nX3,pipe,3000,1000,3000,8000,ø40,3000,CW\n",
			"tray.csv": runHead + "T,tray,200,4000,4800,4000,300x60,2990,T\n",
		}, 3, 3},
		{"of which two cross twice: still one each", map[string]string{
			"pipework.csv": runHead + "M1,pipe,500,1000,4500,1000,ø60,3000,CW\n" +
				"X1,pipe,1000,1000,1000,8000,ø40,3000,CW\nX2,pipe,2000,1000,2000,8000,ø40,3000,CW\n",
			"tray.csv": runHead + "T1,tray,200,4000,4800,4000,300x60,2990,T\nT2,tray,200,6000,4800,6000,300x60,2990,T\nT3,tray,4800,4000,4800,6000,300x60,2990,T\n",
		}, 4, 2},
		{"a duct cut under a beam on the line of the bays goes through one beam", map[string]string{
			"steel.csv":    "id,x1,y1,x2,y2,size,level,face\nSB,5000,0,5000,9000,300x500,3600,top\n",
			"ductwork.csv": runHead + "D1,duct,500,1000,5000,1000,600x300,3150,SA\nD2,duct,5000,1000,9500,1000,600x300,3150,SA\n",
		}, 2, 1},
		{"two ducts through one beam are two", map[string]string{
			"steel.csv":    "id,x1,y1,x2,y2,size,level,face\nSB,5000,0,5000,9000,300x500,3600,top\n",
			"ductwork.csv": runHead + "D1,duct,500,1000,9500,1000,600x300,3150,SA\nD2,duct,500,3000,9500,3000,600x300,3150,SB\n",
		}, 2, 2},
		{"and one duct through two", map[string]string{
			"steel.csv":    "id,x1,y1,x2,y2,size,level,face,run\nSB,4000,0,4000,9000,300x500,3600,top,S\nSC,7000,0,7000,9000,300x500,3600,top,S\n",
			"ductwork.csv": runHead + "D1,duct,500,1000,9500,1000,600x300,3150,SA\n",
		}, 2, 2},
		{"runs without joints are no network: gaps of 500 at what is not drawn", map[string]string{
			"ductwork.csv": runHead + "D,duct,500,1000,4500,1000,600x300,3000,SA\n",
			"pipework.csv": runHead + "P1,pipe,500,1000,1500,1000,ø60,3100,CW\nP2,pipe,2000,1000,3000,1000,ø60,3100,CW\nP3,pipe,3500,1000,4500,1000,ø60,3100,cw\n",
		}, 3, 1},
	} {
		t.Run(test.name, func(t *testing.T) {
			test.files["bays.csv"] = twoBays
			p := openText(t, test.files)
			if len(p.Problems) > 0 {
				t.Fatal(p.Problems)
			}
			for _, once := range []bool{false, true} {
				res, err := clash.Open(p, clash.Options{Touch: 1, Rules: []rules.Rule{}, Once: once}).Findings(context.Background())
				if err != nil {
					t.Fatal(err)
				}
				if len(res.Findings) != test.findings || res.Problems != test.problems || finding.CountProblems(res.Findings) != test.problems {
					t.Errorf("once %t: %d findings, %d problems, %d by their keys; want %d and %d:\n%s", once, len(res.Findings), res.Problems, finding.CountProblems(res.Findings),
						test.findings, test.problems, strings.Join(told(res), "\n"))
				}
			}
		})
	}
}

// Moving, renaming and removing rows of a network leaves the problems that a check opened anew counts.
func TestProblemsAgain(t *testing.T) {
	rng := rand.New(rand.NewSource(5))
	p := openText(t, map[string]string{
		"bays.csv": twoBays,
		"pipework.csv": runHead + "M1,pipe,500,1000,2000,1000,ø60,3000,CW\nM2,pipe,2000,1000,4500,1000,ø60,3000,CW\nM3,pipe,4500,1000,9500,1000,ø60,3000,CW\n" +
			"X1,pipe,1000,1000,1000,8000,ø40,3000,CW\nX2,pipe,2000,1000,2000,8000,ø40,3000,CW\nX3,pipe,3000,1000,3000,8000,ø40,3000,CW\nX4,pipe,6000,1000,6000,8000,ø40,3000,CW\n",
		"tray.csv":     runHead + "T1,tray,200,4000,9800,4000,300x60,2990,T\nT2,tray,200,6000,9800,6000,300x60,2990,T\nT3,tray,9800,4000,9800,6000,300x60,2990,T\n",
		"ductwork.csv": runHead + "D,duct,200,2000,9800,2000,300x300,2900,SA\n",
	})
	opt := clash.Options{Touch: 1, Rules: []rules.Rule{}}
	check := clash.Open(p, opt)
	counts := map[int]bool{}
	for step := range 250 {
		pick := func(list ...string) string { return list[rng.Intn(len(list))] }
		id := pick("M1", "M2", "M3", "X1", "X2", "X3", "X4", "T1", "T2", "T3")
		column, text := "y1", pick("1000", "900", "1500", "4000")
		switch rng.Intn(4) {
		case 0:
			column, text = "run", pick("CW", "cw", "T", "HW", "")
		case 1:
			column, text = "x1", pick("500", "1000", "2000", "3000", "4500", "6000")
		case 2:
			column, text = "trade", pick("pipework", "containment")
		}
		ch, pr := p.Edit(id, column, text)
		if pr != nil {
			continue
		}
		check.Changed(ch)
		got, err := check.Findings(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		want, err := clash.Open(p, opt).Findings(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		keys := func(r *finding.Result) string {
			var out []string
			for i := range r.Findings {
				out = append(out, r.Findings[i].ID+" "+r.Findings[i].ProblemID)
			}
			return strings.Join(out, "\n")
		}
		if got.Problems != want.Problems || keys(got) != keys(want) {
			t.Fatalf("step %d: %s of %s becomes %q: %d problems, want %d\n%s\nwant\n%s", step, column, id, text, got.Problems, want.Problems, keys(got), keys(want))
		}
		counts[got.Problems] = true
	}
	if len(counts) < 6 {
		t.Errorf("only %d counts were met", len(counts))
	}
}

// Worst is what costs most to put right: a riser "down 19978" through a soffit is read last, in the bay and over all.
func TestWorst(t *testing.T) {
	p := openText(t, map[string]string{
		"bays.csv":      "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,9000,3600,2600\n",
		"gaps.csv":      "of,to,side,gap,basis\nduct,tray,around,400,law\npipe,tray,around,500,practice\n",
		"steel.csv":     "id,x1,y1,x2,y2,size,level,face\nSB,8500,0,8500,9000,300x500,3600,top\n",
		"openings.csv":  "in,x,y,size\nsoffit A,1000,8300,200x200\n",
		"risers.csv":    "id,trade,kind,x1,y1,size,level\nR,ductwork,duct,1000,8200,300x300,FFL+3000..FFL+23578\n",
		"ductwork.csv":  "id,kind,x1,y1,x2,y2,size,level\nD1,duct,7000,1000,8400,1000,300x200,3200\nD2,duct,500,3000,3000,3000,300x200,3000\nD3,duct,1500,2000,1500,4000,300x200,3050\n",
		"drainage.csv":  "id,service,kind,x1,y1,x2,y2,size,level,fall\nS1,soil,pipe,4000,3000,6000,3000,ø110,3000,1 in 80\nS2,soil,pipe,5000,2000,5000,4000,ø110,3000,1 in 80\n",
		"tray.csv":      "id,kind,x1,y1,x2,y2,size,level\nT1,tray,500,6000,3000,6000,100x50,3000\nT2,tray,1500,5500,1500,6500,100x50,3020\nT3,tray,500,5000,1000,5000,100x50,3000\n",
		"pipework.csv":  "id,kind,x1,y1,x2,y2,size,level\nP,pipe,5000,7000,6000,7000,ø60,3000\n",
		"ductwork2.csv": "id,trade,kind,x1,y1,x2,y2,size,level\nE,ductwork,duct,4400,8300,6000,8300,300x200,2650\n",
		"tray2.csv":     "id,trade,kind,x1,y1,x2,y2,size,level\nU,containment,tray,6300,7000,6600,7000,100x50,3000\n",
	})
	if len(p.Problems) > 0 {
		t.Fatal(p.Problems)
	}
	check := clash.Open(p, clash.Options{Touch: 1})
	res, err := check.Findings(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for i, f := range res.Findings {
		if c := fmt.Sprintf("%s %s", f.Kind, f.Cost); len(got) == 0 || got[len(got)-1] != c {
			got = append(got, c)
		}
		if i > 0 && finding.Worse(&res.Findings[i-1], &f) >= 0 {
			t.Errorf("%s is no worse than %s", res.Findings[i-1].A, f.A)
		}
	}
	want := []string{"overlap structure", "overlap drainage", "overlap large", "overlap small", "tight gap", "overlap upright"}
	if !slices.Equal(got, want) {
		t.Errorf("%v, want %v", got, want)
	}
	if w, ok := finding.Worst(res.Findings, "A"); !ok || w.A != "D1" && *w.B != "D1" {
		t.Errorf("worst: %+v", w)
	}
	last := res.Findings[len(res.Findings)-1]
	if last.A != "R" || last.Short != 19978 {
		t.Errorf("last: %s, %v", last.A, last.Short)
	}
	some, err := clash.Open(p, clash.Options{Touch: 1}).Answer(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	for most := range len(res.Findings) {
		part, err := some.Worst(context.Background(), most)
		if err != nil {
			t.Fatal(err)
		}
		for i := range part.Findings { // in one bay the worst are those that stand first
			if part.Findings[i].ID != res.Findings[i].ID {
				t.Errorf("the worst %d: %s is none of them", most, part.Findings[i].A)
			}
		}
	}
	words := map[string]bool{}
	for _, c := range finding.Costs() {
		if words[c.Word] || c.What == "" || c.Why == "" {
			t.Errorf("%+v", c)
		}
		words[c.Word] = true
	}
}
