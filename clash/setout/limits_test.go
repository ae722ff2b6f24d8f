package setout_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"voidline/clash"
	"voidline/clash/rules"
	"voidline/clash/setout"
	"voidline/void/cell"
)

// What holds a run bay by bay. A tray 100 high passes under a duct of 3000 to 3300 in bay A; A has its ceiling at 2600 and its soffit
// at 3600, B 2700 and 3200, C no ceiling and 3500. So the line lies between 2700 (B's ceiling) and 2900 (3000 - 100), at 2890 to
// spare 10. In A it may go up to 2900, in B to 3100, in C to 3400; past C's end, out of every bay, nothing holds it.
func TestLimitsBayByBay(t *testing.T) {
	const a, b, c, out = "2600 ceiling A, 2900 D", "2700 ceiling B, 3100 soffit B", "-Inf , 3400 soffit C", "-Inf , +Inf "
	for _, test := range []struct {
		name, rows string
		want       []string
	}{
		{"as drawn", "T1,500,1500,11500,1500", []string{"A 0..3500 " + a, "B 3500..7500 " + b, "C 7500..11000 " + c}},
		{"drawn from the other end", "T1,11500,1500,500,1500", []string{"C 0..3500 " + c, "B 3500..7500 " + b, "A 7500..11000 " + a}},
		{"on past the last bay", "T1,500,1500,13000,1500", []string{"A 0..3500 " + a, "B 3500..7500 " + b, "C 7500..11500 " + c, "- 11500..12500 " + out}},
		{"two rows, turning in B: one stretch of it", "T1,500,1500,6000,1500\nT2,6000,1500,6000,2800", []string{"A 0..3500 " + a, "B 3500..6800 " + b}},
		{"and the second the other way", "T1,500,1500,6000,1500\nT2,6000,2800,6000,1500", []string{"A 0..3500 " + a, "B 3500..6800 " + b}},
		// 4500 east and 6000 north, 7500 in all: its axis comes to y 0 at 1500 x 5/4, to x 4000 at 3000 x 5/3, to y 3000 at 4500 x 5/4.
		// Its edges, 150 to either side, are in A and under D before the axis is in A, in B before it is, and still in B after it.
		{"askew", "T1,1000,-1500,5500,4500", []string{
			"- 0..1875 " + a, "A 1875..5000 2700 ceiling B, 2900 D", "B 5000..5625 " + b, "- 5625..7500 " + b,
		}},
	} {
		for _, turned := range []bool{false, true} {
			xy := func(id, x1, y1, x2, y2 string) string {
				if turned {
					x1, y1, x2, y2 = y1, x1, y2, x2
				}
				return strings.Join([]string{id, x1, y1, x2, y2}, ",")
			}
			ts := tables{
				"bays.csv": "bay,x1,y1,x2,y2,soffit,ceiling\n" + xy("A", "0", "0", "4000", "3000") + ",3600,2600\n" +
					xy("B", "4000", "0", "8000", "3000") + ",3200,2700\n" + xy("C", "8000", "0", "12000", "3000") + ",3500,none\n",
				"duct.csv": "id,x1,y1,x2,y2,service,kind,size,level\n" + xy("D", "2000", "-2000", "2000", "5000") + ",supply air,duct,400x300,3000\n",
				"tray.csv": "id,x1,y1,x2,y2,service,kind,size,level,run\n",
			}
			for _, row := range strings.Split(test.rows, "\n") {
				f := strings.Split(row, ",")
				ts["tray.csv"] += xy(f[0], f[1], f[2], f[3], f[4]) + ",LV power,tray,300x100,2800,T\n"
			}
			p := ts.open(t)
			runs, err := setout.Assemble(p, "T", cell.Bottom)
			if err != nil || len(runs) != 1 {
				t.Fatal(err, runs)
			}
			var got []string
			answer := setout.SetOut(p, clash.Open(p, clash.Options{Touch: clash.None, Rules: []rules.Rule{}}), &runs[0], setout.Settings{})
			for _, l := range answer.Limits {
				bay, below, above := "-", "", ""
				if l.Bay >= 0 {
					bay = p.Bays[l.Bay].Name
				}
				if l.Below != nil {
					below = l.Below.Name
				}
				if l.Above != nil {
					above = l.Above.Name
				}
				got = append(got, fmt.Sprintf("%s %.0f..%.0f %.0f %s, %.0f %s", bay, l.From, l.To, l.Low, below, l.High, above))
				if l.Line != 2890 {
					t.Errorf("%s, turned %v: the line is at %v in %s, want 2890", test.name, turned, l.Line, bay)
				}
			}
			if !slices.Equal(got, test.want) {
				t.Errorf("%s, turned %v:\n%s\nwant\n%s", test.name, turned, strings.Join(got, "\n"), strings.Join(test.want, "\n"))
			}
		}
	}
}

// What a rule counts along a run is longer where the run steps: 690 of tray beside a pipe are less than 700, with a set of 110 they are
// 690 + 110 (√2 - 1) = 735.6. So the line goes where nothing adds up, though that takes a higher set: of 130, more than 200 over the pipe.
//
// At the start the ducts leave 2990 to 3000 and 3290 to 3300 for the line of a tray of 50, at the end 3100 to 3110 and 3420 to 3430: it
// lies in the middle of those.
func TestSetsThatAddUpGoElsewhere(t *testing.T) {
	for _, test := range []struct {
		name, pipe string
		low, high  float64
	}{
		{"beside the pipe", "P,CHW flow,pipe,1000,2150,1690,2150,ø50,3000\n", 3295, 3425},
		{"beside a pipe further off", "P,CHW flow,pipe,1000,2251,1690,2251,ø50,3000\n", 2995, 3105},
	} {
		p := tables{
			"bays.csv": "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,4000,3600,2500\n",
			"gaps.csv": "of,to,side,gap,over\ntray,pipe,around,200,700\n",
			"tray.csv": "id,service,kind,x1,y1,x2,y2,size,level,run\nT1,LV power,tray,1000,2000,1690,2000,50x50,3000,T\n",
			"pipe.csv": "id,service,kind,x1,y1,x2,y2,size,level\n" + test.pipe,
			"duct.csv": "id,x1,y1,x2,y2,size,level\nA1,1050,1000,1050,3000,100x490,2500\nA2,1050,1000,1050,3000,100x240,3050\nA3,1050,1000,1050,3000,100x250,3350\n" +
				"B1,1640,1000,1640,3000,100x600,2500\nB2,1640,1000,1640,3000,100x260,3160\nB3,1640,1000,1640,3000,100x120,3480\n",
		}.open(t)
		runs, err := setout.Assemble(p, "T", cell.Bottom)
		if err != nil {
			t.Fatal(err)
		}
		a := setout.SetOut(p, clash.Open(p, clash.Options{Touch: clash.None, Rules: []rules.Rule{}}), &runs[0], setout.Settings{})
		if !a.Found || len(a.Unproved) > 0 || len(a.Line.Sections) != 2 || a.Line.Sections[0].Level != test.low || a.Line.Sections[1].Level != test.high {
			t.Errorf("%s: found %v by %+v, unproved %v; want %v to %v", test.name, a.Found, a.Line.Sections, a.Unproved, test.low, test.high)
		}
	}
}
