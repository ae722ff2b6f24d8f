package clash_test

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"voidline/clash"
	"voidline/void"
)

// Pieces of a run, and what joins names, that do not meet. Levels and distances are worked out by hand.
func TestJointsOfRuns(t *testing.T) {
	const (
		bay    = "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,12000,12000,3900,none\n"
		drains = "id,trade,service,x1,y1,x2,y2,size,level,face,fall,run,joins\n"
		ducts  = "id,trade,x1,y1,x2,y2,size,level,run,joins\n"
		risers = "id,trade,storey,x1,y1,x2,y2,size,level,run\n"
	)
	floors := map[string]string{
		"levels.csv": "storey,ffl\nL0,0\nL1,4500\n",
		"bays.csv":   "bay,storey,x1,y1,x2,y2,soffit,ceiling\nA,L0,0,0,12000,12000,3900,none\nA,L1,0,0,12000,12000,3900,none\n",
	}
	for _, test := range []struct {
		name, rows, want string
		more             map[string]string
	}{
		{name: "a drain falls 4000 / 80 = 50 to 2750 and goes on at 2790", rows: drains +
			"D1,drainage,soil,1000,7000,5000,7000,ø110,2800,centre,1 in 80,R,\nD2,drainage,soil,5000,7000,9000,7000,ø110,2790,centre,1 in 80,R,\n", want: "step up D1/D2 40"},
		{name: "falling the other way, turned in plan", rows: drains +
			"D1,drainage,waste,3000,9000,3000,5000,ø110,2800,centre,1 in 80,R,\nD2,drainage,waste,3000,5000,3000,1000,ø110,2790,centre,1 in 80,R,\n", want: "step up D1/D2 40"},
		{name: "by joins alone", rows: drains +
			"D1,drainage,soil,1000,7000,5000,7000,ø110,2800,centre,1 in 80,,D2\nD2,drainage,soil,5000,7000,9000,7000,ø110,2790,centre,1 in 80,,\n", want: "step up D1/D2 40"},
		{name: "as it should", rows: drains +
			"D1,drainage,soil,1000,7000,5000,7000,ø110,2800,centre,1 in 80,R,\nD2,drainage,soil,5000,7000,9000,7000,ø110,2750,centre,1 in 80,R,\n"},
		{name: "a larger pipe, concentric: the smaller lies inside it", rows: drains +
			"D1,drainage,soil,1000,7000,5000,7000,ø110,2800,centre,1 in 80,R,\nD2,drainage,soil,5000,7000,9000,7000,ø160,2750,centre,1 in 80,R,\n"},
		{name: "the second piece rises along the flow: 4000 / 80", rows: drains +
			"D1,drainage,soil,1000,7000,5000,7000,ø110,2800,centre,1 in 80,R,\nD2,drainage,soil,9000,7000,5000,7000,ø110,2800,centre,1 in 80,R,\nD0,drainage,soil,1000,7000,1000,3000,ø110,2850,centre,,Q,\n", want: "fall the wrong way"},
		{name: "a branch enters at 2700 - 700 / 80 = 2691.25 where the drain is at 2775", rows: drains +
			"D1,drainage,soil,1000,7000,5000,7000,ø110,2800,centre,1 in 80,R,\nB,drainage,soil,3000,6300,3000,7000,ø110,2700,centre,1 in 80,S,D1\n", want: "enters under the invert B/D1 83.8"},
		{name: "none into an upright stack", rows: drains +
			"ST,drainage,soil,3000,7000,,,ø110,FFL+0..FFL+3900,,,R,\nB,drainage,soil,3000,6300,3000,7000,ø110,2700,centre,1 in 80,R,\n"},
		{name: "a duct is 400 over what it goes on from", rows: ducts +
			"M1,ductwork,1000,2000,5000,2000,400x250,3000,R,\nM2,ductwork,5000,2000,9000,2000,400x250,3400,R,\n", want: "level jump, no riser M1/M2 400"},
		{name: "a pipe by joins, round a corner", rows: ducts +
			"M1,pipework,1000,2000,5000,2000,ø60,3000,,M2\nM2,pipework,5000,2000,5000,6000,ø60,3100,,\n", want: "level jump, no riser M1/M2 100"},
		{name: "with a riser between them", rows: ducts +
			"M1,pipework,1000,2000,5000,2000,ø60,3000,R,\nM2,pipework,5000,2000,9000,2000,ø60,3400,R,\nV,pipework,5000,2000,,,ø60,FFL+3030..FFL+3430,R,\n"},
		// A riser to M's length, not to an end of it, 200 under its underside: from 2800 to 3000.
		{name: "a riser stops under a length, a third along it", rows: ducts +
			"M,pipework,1000,2000,7000,2000,ø60,3000,R,\nV,pipework,3000,2020,,,ø60,FFL+0..FFL+2800,R,\n", want: "level jump, no riser V/M 200"},
		{name: "a riser stops over a length, at its very end but one", rows: ducts +
			"M,pipework,1000,2000,7000,2000,ø60,3000,R,\nV,pipework,6900,2000,,,ø60,FFL+3260..FFL+3900,R,\n", want: "level jump, no riser V/M 200"},
		{name: "a riser stops at a length", rows: ducts +
			"M,pipework,1000,2000,7000,2000,ø60,3000,R,\nV,pipework,3000,2000,,,ø60,FFL+0..FFL+3000,R,\n"},
		// M falls 6000 / 60 = 100 from 3000 to 2900: 2975 at 2500, its underside at 2945.
		{name: "a riser stops under a length that falls", rows: drains +
			"M,pipework,LTHW,1000,2000,7000,2000,ø60,3000,centre,1 in 60,R,\nV,pipework,LTHW,2500,2000,,,ø60,FFL+0..FFL+2745,,,R,\n", want: "level jump, no riser V/M 200"},
		{name: "flat bottom, flat top, concentric", rows: ducts +
			"M1,ductwork,1000,2000,3000,2000,400x300,3000,R,\nM2,ductwork,3000,2000,5000,2000,300x200,3000,R,\nM3,ductwork,5000,2000,7000,2000,400x300,2900,R,\nM4,ductwork,7000,2000,9000,2000,400x200,2950,R,\n"},
		// T stops at M's side, whose top is at 3250, and begins 50 over that. E begins 700 past M, further than anything is looked for at a side, and is in one line with T, 1100
		// from it: but something is at T's end.
		{name: "a branch that jumps at a side has found its end", rows: ducts +
			"M,ductwork,1000,2000,9000,2000,400x250,3000,R,\nT,ductwork,5000,500,5000,1800,400x250,3300,R,\nE,ductwork,5000,2900,5000,5000,400x250,3300,R,\n", want: "level jump, no riser T/M 300"},
		{name: "ends 200 apart", rows: ducts +
			"M1,containment,1000,2000,5000,2000,300x50,3000,R,\nM2,containment,5200,2000,9000,2000,300x50,3000,R,\n", want: "ends apart M1/M2 200"},
		{
			name: "a damper between them", rows: ducts +
				"M1,ductwork,1000,2000,5000,2000,400x250,3000,R,\nM2,ductwork,5200,2000,9000,2000,400x250,3000,R,\n",
			more: map[string]string{"d.csv": "id,trade,kind,x1,y1,size,level,reach\nV,ductwork,damper,5100,2000,150x400x250,3000,no\n"},
		},
		{
			name: "containment stops at a wall", rows: ducts +
				"M1,containment,1000,2000,5000,2000,300x50,3000,R,\nM2,containment,5200,2000,9000,2000,300x50,3000,R,\n",
			more: map[string]string{"partitions.csv": "id,x1,y1,x2,y2,size,level\nW,5100,0,5100,9000,100,FFL+0..soffit\n"},
		},
		{
			name: "two floors that use one run's name", rows: "id,trade,storey,x1,y1,x2,y2,size,level,run\n" +
				"M1,ductwork,L0,1000,2000,5000,2000,400x250,3000,R\nM2,ductwork,L1,5000,2000,9000,2000,400x250,3000,R\n",
			more: map[string]string{"levels.csv": "storey,ffl\nL0,0\nL1,4500\n", "bays.csv": "bay,storey,x1,y1,x2,y2,soffit,ceiling\nA,L0,0,0,12000,12000,3900,none\nA,L1,0,0,12000,12000,3900,none\n"},
		},
		{
			name: "a riser in two pieces: 1500 to 1700; the branch at 1200 comes to its side and not to its head", rows: ducts +
				"R1,pipework,3000,2000,,,ø60,FFL+0..FFL+1500,R,\nR2,pipework,3000,2000,,,ø60,FFL+1700..FFL+3900,R,\nB,pipework,3000,2000,6000,2000,ø60,1170,R,\n",
			want: "ends apart R1/R2 200",
		},
		{name: "a valve between them", rows: ducts +
			"R1,pipework,3000,2000,,,ø60,FFL+0..FFL+1500,R,\nR2,pipework,3000,2000,,,ø60,FFL+1700..FFL+3900,R,\n", more: map[string]string{"d.csv": "id,trade,kind,x1,y1,size,level,reach,joins\nV,pipework,valve,3000,2000,100x100x150,1525,no,R1\n"}},
		{name: "40 between them: a movement joint", rows: ducts +
			"R1,pipework,3000,2000,,,ø60,FFL+0..FFL+1500,R,\nR2,pipework,3000,2000,,,ø60,FFL+1540..FFL+3900,R,\n"},
		{name: "a bellows between them, a piece of the run", rows: ducts +
			"R1,pipework,3000,2000,,,ø60,FFL+0..FFL+1500,R,\nR2,pipework,3000,2000,,,ø60,FFL+1800..FFL+3900,R,\n", more: map[string]string{"d.csv": "id,trade,kind,x1,y1,size,level,run\nV,pipework,bellows,3000,2000,100x100x300,1500,R\n"}},
		{name: "square ducts that stand 300 apart in plan, 2000 to 2300, and no offset between them", rows: ducts +
			"R1,ductwork,3000,2000,,,300x300,FFL+0..FFL+2000,R,\nR2,ductwork,3000,2300,,,300x300,FFL+2000..FFL+3900,R,\n", want: "ends apart R1/R2 300"},
		{
			name: "with an offset between them", rows: ducts +
				"R1,ductwork,3000,2000,,,300x300,FFL+0..FFL+2000,R,\nO,ductwork,3000,1850,3000,2450,300x300,2000,R,\nR2,ductwork,3000,2300,,,300x300,FFL+2300..FFL+3900,R,\n",
		},
		{name: "by joins, 400 apart in plan and 300 in level: 500", rows: ducts +
			"R1,pipework,3000,2000,,,ø60,FFL+0..FFL+2000,,R2\nR2,pipework,3400,2000,,,ø60,FFL+2300..FFL+3900,,\n", want: "ends apart R1/R2 500"},
		{name: "a smaller riser on a larger, flush at a side: it lies inside", rows: ducts +
			"R1,ductwork,3000,2000,,,300x300,FFL+0..FFL+2000,R,\nR2,ductwork,3000,2050,,,300x200,FFL+2000..FFL+3900,R,\n"},
		{name: "flow and return of one name side by side, each whole", rows: ducts +
			"R1,pipework,3000,2000,,,ø60,FFL+0..FFL+2000,R,\nR2,pipework,3000,2000,,,ø60,FFL+2000..FFL+3900,R,\n" +
			"R3,pipework,3200,2000,,,ø60,FFL+0..FFL+2000,R,\nR4,pipework,3200,2000,,,ø60,FFL+2000..FFL+3900,R,\n"},
		{name: "two heads at one level belong to two drops", rows: ducts +
			"R1,pipework,3000,2000,,,ø60,FFL+2000..FFL+3000,R,\nR2,pipework,3400,2000,,,ø60,FFL+2000..FFL+3000,R,\n"},
		{name: "storey by storey: from 3900, the soffit, to 4500, the next floor", rows: risers +
			"R1,pipework,L0,3000,2000,,,ø60,FFL+0..FFL+3900,R\nR2,pipework,L1,3000,2000,,,ø60,FFL+0..FFL+3900,R\n", more: floors},
		{name: "the lower stops at 3700, 200 under the soffit: 800 to the next floor", rows: risers +
			"R1,pipework,L0,3000,2000,,,ø60,FFL+0..FFL+3700,R\nR2,pipework,L1,3000,2000,,,ø60,FFL+0..FFL+3900,R\n", want: "ends apart R1/R2 800", more: floors},
		{name: "the upper begins 300 over its floor: 900 from the soffit", rows: risers +
			"R1,pipework,L0,3000,2000,,,ø60,FFL+0..FFL+3900,R\nR2,pipework,L1,3000,2000,,,ø60,FFL+300..FFL+3900,R\n", want: "ends apart R1/R2 900", more: floors},
		{name: "over a floor, 400 aside", rows: risers +
			"R1,pipework,L0,3000,2000,,,ø60,FFL+0..FFL+3900,R\nR2,pipework,L1,3000,1600,,,ø60,FFL+0..FFL+3900,R\n", want: "ends apart R1/R2 400", more: floors},
		{name: "in a shaft that is in no bay", rows: risers +
			"R1,pipework,L0,13000,2000,,,ø60,FFL+0..FFL+3700,R\nR2,pipework,L1,13000,2000,,,ø60,FFL+0..FFL+3900,R\n", more: floors},
		{
			name: "at a slab that is drawn", rows: ducts +
				"R1,pipework,3000,2000,,,ø60,FFL+0..FFL+1500,R,\nR2,pipework,3000,2000,,,ø60,FFL+1700..FFL+3900,R,\n",
			more: map[string]string{"slabs.csv": "id,trade,kind,x1,y1,x2,y2,size,level\nS,structure,slab,0,2000,9000,2000,4000x200,FFL+1500\n"},
		},
		{name: "a branch that stops short of a side: 6700 to 7000 - 200 / 2 = 200", rows: ducts +
			"M,ductwork,1000,7000,9000,7000,200x200,3000,R,\nB,ductwork,3000,4000,3000,6700,200x200,3000,R,\n", want: "ends apart B/M 200"},
		{name: "mirrored, drawn towards its start", rows: ducts +
			"M,ductwork,9000,5000,1000,5000,200x200,3000,R,\nB,ductwork,3000,5300,3000,8000,200x200,3000,R,\n", want: "ends apart B/M 200"},
		{name: "turned by 3-4-5: the end is 500 from the axis, the pipe 100 thick: 450", rows: ducts +
			"M,pipework,1000,1000,5000,4000,ø100,3000,R,\nB,pipework,2700,2900,1500,4500,ø100,3000,R,\n", want: "ends apart B/M 450"},
		{name: "by joins", rows: ducts +
			"M,containment,1000,7000,9000,7000,300x50,3000,,\nB,containment,3000,4000,3000,6650,300x50,3000,,M\n", want: "ends apart B/M 200"},
		{
			name: "containment stops at a wall before the side", rows: ducts +
				"M,containment,1000,7000,9000,7000,300x50,3000,R,\nB,containment,3000,4000,3000,6650,300x50,3000,R,\n",
			more: map[string]string{"partitions.csv": "id,x1,y1,x2,y2,size,level\nW,0,6720,9000,6720,100,FFL+0..soffit\n"},
		},
		{
			name: "a damper there", rows: ducts +
				"M,ductwork,1000,7000,9000,7000,200x200,3000,R,\nB,ductwork,3000,4000,3000,6700,200x200,3000,R,\n",
			more: map[string]string{"d.csv": "id,trade,kind,x1,y1,size,level,reach\nV,ductwork,damper,3000,6800,200x200x200,3000,no\n"},
		},
		{
			name: "a flexible connection", rows: "id,trade,kind,x1,y1,x2,y2,size,level,run\n" +
				"M,ductwork,,1000,7000,9000,7000,200x200,3000,R\nB,ductwork,,3000,4000,3000,6700,200x200,3000,R\nF,ductwork,flexible,3000,6700,3000,6900,200x200,3000,R\n",
		},
		{name: "20 short", rows: ducts + "M,ductwork,1000,7000,9000,7000,200x200,3000,R,\nB,ductwork,3000,4000,3000,6880,200x200,3000,R,\n"},
		{name: "it passes under: 500 over it", rows: ducts + "M,ductwork,1000,7000,9000,7000,200x200,3000,R,\nB,ductwork,3000,4000,3000,6700,200x200,2500,R,\n"},
		{name: "700 short: nobody knows that it was to reach it", rows: ducts + "M,ductwork,1000,7000,9000,7000,200x200,3000,R,\nB,ductwork,3000,4000,3000,6200,200x200,3000,R,\n"},
		{name: "falling drains: the branch is at 2700 - 2500 / 50 = 2650, the drain there at 2690 - 2000 / 50 = 2650; 6500 to 6945", rows: drains +
			"M,drainage,soil,1000,7000,9000,7000,ø110,2690,centre,1 in 50,R,\nB,drainage,soil,3000,4000,3000,6500,ø110,2700,centre,1 in 50,R,\n", want: "ends apart B/M 445"},
		{name: "short of a riser: 2700 to 3000 - 60 / 2 = 270", rows: ducts +
			"R1,pipework,3000,2000,,,ø60,FFL+0..FFL+3900,R,\nB,pipework,1000,2000,2700,2000,ø60,2000,R,\n", want: "ends apart B/R1 270"},
		{name: "two branches, one on each side: each stops short of the side, not of the other", rows: ducts +
			"M,ductwork,1000,7000,9000,7000,200x200,3000,R,\nB,ductwork,3000,4000,3000,6700,200x200,3000,R,\nC,ductwork,3000,7300,3000,9000,200x200,3000,R,\n", want: "ends apart B/M 200; ends apart C/M 200"},
		{name: "what joins names is 1000 away", rows: ducts +
			"M1,containment,1000,2000,5000,2000,300x50,3000,,M2\nM2,containment,1000,3300,5000,3300,300x50,3000,,\n", want: "ends apart M1/M2 1000"},
	} {
		t.Run(test.name, func(t *testing.T) {
			files := map[string]string{"bays.csv": bay, "rows.csv": test.rows}
			for k, v := range test.more {
				files[k] = v
			}
			p := openText(t, files)
			if len(p.Problems) > 0 {
				t.Fatal(p.Problems)
			}
			s := jointsSaid(t, clash.Open(p, clash.Options{Touch: 1, Once: true}))
			if s != test.want && (test.want != "fall the wrong way" || strings.Contains(s, ";") || !strings.HasPrefix(s, test.want)) {
				t.Errorf("came %q, want %q", s, test.want)
			}
		})
	}
}

// An edit to what is between two ends, or to the soffit of the floor between two uprights, is an edit to whether they join.
func TestJointsAgain(t *testing.T) {
	p := openText(t, map[string]string{
		"levels.csv": "storey,ffl\nL0,0\nL1,4500\n",
		"bays.csv":   "bay,storey,x1,y1,x2,y2,soffit,ceiling\nA,L0,0,0,12000,12000,3900,none\nB,L1,0,0,12000,12000,3900,none\n",
		"rows.csv": "id,trade,service,kind,storey,x1,y1,x2,y2,size,level,run\n" +
			"R1,pipework,LTHW,,L0,3000,2000,,,ø60,FFL+0..FFL+3900,R\nR2,pipework,LTHW,,L1,3000,2000,,,ø60,FFL+0..FFL+1500,R\n" +
			"R3,pipework,LTHW,,L1,3000,2000,,,ø60,FFL+1700..FFL+3900,R\nV,pipework,LTHW,bellows,L1,3000,2000,,,100x100x200,1500,R\n" +
			"M,pipework,LTHW,,L1,1000,7000,9000,7000,ø60,1570,S\nB,pipework,LTHW,,L1,5000,4000,5000,6970,ø60,1570,S\n",
	})
	if len(p.Problems) > 0 {
		t.Fatal(p.Problems)
	}
	opt := clash.Options{Touch: 1}
	check := clash.Open(p, opt)
	for _, test := range []struct{ zone, column, text, want string }{
		{"", "", "", ""},
		{"A", "soffit", "4100", "ends apart R1/R2 600"}, // 200 more than the floor from 4100 to 4500
		{"A", "soffit", "3900", ""},
		{"V", "x1", "9000", "ends apart R2/R3 200"},
		{"R3", "level", "FFL+1500..FFL+3900", ""},
		{"B", "y2", "6670", "ends apart B/M 300"},
		{"V", "y1", "6750", "ends apart B/M 300"}, // 4000 beside it
		{"V", "x1", "5000", ""},
		{"M", "run", "", ""},
		{"V", "x1", "8000", ""},
		{"M", "run", "S", "ends apart B/M 300"},
	} {
		var ch void.Change
		var pr *void.Problem
		switch {
		case test.column == "soffit":
			ch, pr = p.EditBay(test.zone, test.column, test.text)
		case test.zone != "":
			ch, pr = p.Edit(test.zone, test.column, test.text)
		}
		if pr != nil {
			t.Fatal(pr)
		}
		check.Changed(ch)
		if got, want := answerOf(t, check), answerOf(t, clash.Open(p, opt)); got != want {
			t.Errorf("%v: asked again differs from in full:\n%s", test, difference(got, want))
		}
		if got := jointsSaid(t, check); got != test.want {
			t.Errorf("%v: came %q", test, got)
		}
	}
}

// jointsSaid returns the joints that a check tells: kind, pieces and amount.
func jointsSaid(t *testing.T, c *clash.Check) string {
	t.Helper()
	res, err := c.Findings(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	if res.JointCount != len(res.Joints) {
		t.Errorf("%d joints counted, %d given", res.JointCount, len(res.Joints))
	}
	var got []string
	for _, j := range res.Joints {
		got = append(got, fmt.Sprintf("%s %s/%s %g", j.Kind, j.A, j.B, j.By))
	}
	return strings.Join(got, "; ")
}
