package clash_test

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"voidline/clash"
)

// Pieces of a run, and what joins names, that do not meet. Levels and distances are worked out by hand.
func TestJointsOfRuns(t *testing.T) {
	const (
		bay    = "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,12000,12000,3900,none\n"
		drains = "id,trade,service,x1,y1,x2,y2,size,level,face,fall,run,joins\n"
		ducts  = "id,trade,x1,y1,x2,y2,size,level,run,joins\n"
	)
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
		{name: "flat bottom, flat top, concentric", rows: ducts +
			"M1,ductwork,1000,2000,3000,2000,400x300,3000,R,\nM2,ductwork,3000,2000,5000,2000,300x200,3000,R,\nM3,ductwork,5000,2000,7000,2000,400x300,2900,R,\nM4,ductwork,7000,2000,9000,2000,400x200,2950,R,\n"},
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
			res, err := clash.Open(p, clash.Options{Touch: 1, Once: true}).Findings(context.Background())
			if err != nil {
				t.Fatal(err)
			}
			var got []string
			for _, j := range res.Joints {
				got = append(got, fmt.Sprintf("%s %s/%s %g", j.Kind, j.A, j.B, j.By))
			}
			s := strings.Join(got, "; ")
			if s != test.want && (test.want != "fall the wrong way" || len(got) != 1 || !strings.HasPrefix(s, test.want)) {
				t.Errorf("came %q, want %q", s, test.want)
			}
			if res.JointCount != len(res.Joints) {
				t.Errorf("%d joints counted, %d given", res.JointCount, len(res.Joints))
			}
		})
	}
}
