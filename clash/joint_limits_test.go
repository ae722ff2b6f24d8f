package clash_test

import (
	"context"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"testing"

	"voidline/clash"
)

// Each length by which joints are judged, at it and 1 mm past it, drawn as here, mirrored, turned in plan and with the rows in the
// other order. A row is an id, from where to where in plan, what it is, its size and its level; x2 and y2 are - of what is upright or an
// item.
func TestJointsAtTheirLimits(t *testing.T) {
	const head = "id,x1,y1,x2,y2,trade,kind,service,size,level,face,fall,run,joins,storey,reach\n"
	const (
		drain = ",drainage,pipe,soil,ø110,"
		duct  = ",ductwork,duct,,400x250,"
		tray  = ",containment,tray,,300x50,"
		pipe  = ",pipework,pipe,,ø60,"
	)
	for _, test := range []struct {
		what string
		rows func(mm float64) []string
		at   float64 // the last that is on this side of the limit
		by   float64 // the step past it
		here string  // what is told at the limit
		past string
	}{
		// 4000 / 80 = 50 lower at its end.
		{"step up in a drain", func(mm float64) []string {
			return []string{"D1 1000 7000 5000 7000" + drain + "2800,centre,1 in 80,R,", fmt.Sprintf("D2 5000 7000 9000 7000"+drain+"%g,centre,1 in 80,R,", 2750+mm)}
		}, 5, 1, "", "step up 6"},
		{"jump up", func(mm float64) []string {
			return []string{"M1 1000 2000 5000 2000" + duct + "3000,,,R,", fmt.Sprintf("M2 5000 2000 9000 2000"+duct+"%g,,,R,", 3000+mm)}
		}, 25, 1, "", "level jump, no riser 26"},
		{"jump down", func(mm float64) []string {
			return []string{"M1 1000 2000 5000 2000" + duct + "3000,,,R,", fmt.Sprintf("M2 5000 2000 9000 2000"+duct+"%g,,,R,", 3000-mm)}
		}, 25, 1, "", "level jump, no riser 26"},
		{"jump of containment", func(mm float64) []string {
			return []string{"M1 1000 2000 5000 2000" + tray + "3000,,,R,", fmt.Sprintf("M2 5000 2000 9000 2000"+tray+"%g,,,R,", 3000+mm)}
		}, 50, 1, "", "level jump, no riser 51"},
		{"gap between ends", func(mm float64) []string {
			return []string{"M1 1000 2000 5000 2000" + duct + "3000,,,R,", fmt.Sprintf("M2 %g 2000 9000 2000"+duct+"3000,,,R,", 5000+mm)}
		}, 50, 1, "", "ends apart 51"},
		{"ends of two that are drawn into each other", func(mm float64) []string {
			return []string{"M1 1000 2000 5000 2000" + duct + "3000,,,R,", fmt.Sprintf("M2 %g 2000 9000 2000"+duct+"3000,,,R,", 5000-mm)}
		}, 50, 1, "", ""},
		{"one end beside the other", func(mm float64) []string {
			return []string{"M1 1000 2000 5000 2000" + duct + "3000,,,R,", fmt.Sprintf("M2 5000 %[1]g 9000 %[1]g"+duct+"3000,,,R,", 2000+mm)}
		}, 50, 1, "", "ends apart 51"},
		{"so far beside it that it is another line: 200 and 50", func(mm float64) []string {
			return []string{"M1 1000 2000 5000 2000" + duct + "3000,,,R,", fmt.Sprintf("M2 5000 %[1]g 9000 %[1]g"+duct+"3000,,,R,", 2000+mm)}
		}, 250, 1, "ends apart 250", ""},
		{"furthest in line", func(mm float64) []string {
			return []string{"M1 1000 2000 5000 2000" + duct + "3000,,,R,", fmt.Sprintf("M2 %g 2000 9000 2000"+duct+"3000,,,R,", 5000+mm)}
		}, 1500, 1, "ends apart 1500", ""},
		{"in line as far as they look at each other: 200 and 200; 300, 400, 500", func(mm float64) []string {
			return []string{"M1 1000 2000 5000 2000" + duct + "3000,,,R,", fmt.Sprintf("M2 5300 %[1]g 9000 %[1]g"+duct+"3000,,,R,", 2000+mm)}
		}, 400, 1, "ends apart 500", ""},
		{"round a corner, furthest; 360, 600: 699.7", func(mm float64) []string {
			return []string{"M1 1000 2000 5000 2000" + duct + "3000,,,R,", fmt.Sprintf("M2 5360 %g 5360 9000"+duct+"3000,,,R,", 2000+mm)}
		}, 600, 1, "ends apart 699.7", ""},
		{"round a corner, furthest, the other way", func(mm float64) []string {
			return []string{"M1 1000 2000 5000 2000" + duct + "3000,,,R,", fmt.Sprintf("M2 %[1]g 2360 %[1]g 9000"+duct+"3000,,,R,", 5000+mm)}
		}, 600, 1, "ends apart 699.7", ""},
		// Half diagonals of two ducts 400 wide, 200 x 1.414 = 282.8, and 50; past it the first stops 333 - 200 short of the side of the other.
		{"round a corner, met", func(mm float64) []string {
			return []string{"M1 1000 2000 5000 2000" + duct + "3000,,,R,", fmt.Sprintf("M2 %[1]g 2000 %[1]g 9000"+duct+"3000,,,R,", 5000+mm)}
		}, 332, 1, "", "ends apart 133"},
		{"short of a side: 200 of its width", func(mm float64) []string {
			return []string{"M 1000 7000 9000 7000" + duct + "3000,,,R,", fmt.Sprintf("B 3000 4000 3000 %g"+duct+"3000,,,R,", 6800-mm)}
		}, 50, 1, "", "ends apart 51"},
		{"short of a side, furthest", func(mm float64) []string {
			return []string{"M 1000 7000 9000 7000" + duct + "3000,,,R,", fmt.Sprintf("B 3000 4000 3000 %g"+duct+"3000,,,R,", 6800-mm)}
		}, 600, 1, "ends apart 600", ""},
		// The main is 250 high: what is over it by 25 has its middle 275 higher.
		{"over the side that it comes to", func(mm float64) []string {
			return []string{"M 1000 7000 9000 7000" + duct + "3000,,,R,", fmt.Sprintf("B 3000 4000 3000 6800"+duct+"%g,,,R,", 3250+mm)}
		}, 25, 1, "", "level jump, no riser 276"},
		{"under the side that it comes to", func(mm float64) []string {
			return []string{"M 1000 7000 9000 7000" + duct + "3000,,,R,", fmt.Sprintf("B 3000 4000 3000 6800"+duct+"%g,,,R,", 2750-mm)}
		}, 25, 1, "", "level jump, no riser 276"},
		// The drain is at 2800 - 2000 / 80 = 2775 there.
		{"under the invert", func(mm float64) []string {
			return []string{"D 1000 7000 5000 7000" + drain + "2800,centre,1 in 80,R,", fmt.Sprintf("B 3000 6000 3000 7000"+drain+"%g,centre,,S,D", 2775-mm)}
		}, 5, 1, "", "enters under the invert 6"},
		{"over the head of a riser", func(mm float64) []string {
			return []string{"R1 3000 2000 - -" + pipe + "FFL+0..FFL+2000,,,R,", fmt.Sprintf("B 3000 2000 6000 2000"+pipe+"%g,,,R,", 2000+mm)}
		}, 25, 1, "", "level jump, no riser 26"},
		{"under the foot of a riser", func(mm float64) []string {
			return []string{"R1 3000 2000 - -" + pipe + "FFL+2000..FFL+3900,,,R,", fmt.Sprintf("B 3000 2000 6000 2000"+pipe+"%g,,,R,", 2000-60-mm)}
		}, 25, 1, "", "level jump, no riser 26"},
		{"short of a riser of 60", func(mm float64) []string {
			return []string{"R1 3000 2000 - -" + pipe + "FFL+0..FFL+3900,,,R,", fmt.Sprintf("B 1000 2000 %g 2000"+pipe+"2000,,,R,", 2970-mm)}
		}, 50, 1, "", "ends apart 51"},
		{"short of a riser, furthest", func(mm float64) []string {
			return []string{"R1 3000 2000 - -" + pipe + "FFL+0..FFL+3900,,,R,", fmt.Sprintf("B 1000 2000 %g 2000"+pipe+"2000,,,R,", 2970-mm)}
		}, 600, 1, "ends apart 600", ""},
		{"a riser over another", func(mm float64) []string {
			return []string{"R1 3000 2000 - -" + pipe + "FFL+0..FFL+1500,,,R,", fmt.Sprintf("R2 3000 2000 - -"+pipe+"FFL+%g..FFL+3900,,,R,", 1500+mm)}
		}, 50, 1, "", "ends apart 51"},
		{"a riser over another, furthest", func(mm float64) []string {
			return []string{"R1 3000 2000 - -" + pipe + "FFL+0..FFL+1500,,,R,", fmt.Sprintf("R2 3000 2000 - -"+pipe+"FFL+%g..FFL+3900,,,R,", 1500+mm)}
		}, 1500, 1, "ends apart 1500", ""},
		{"a riser beside that on which it stands", func(mm float64) []string {
			return []string{"R1 3000 2000 - -" + pipe + "FFL+0..FFL+2000,,,R,", fmt.Sprintf("R2 %g 2000 - -"+pipe+"FFL+2000..FFL+3900,,,R,", 3000+mm)}
		}, 50, 1, "", "ends apart 51"},
		{"a riser beside that on which it stands, furthest", func(mm float64) []string {
			return []string{"R1 3000 2000 - -" + pipe + "FFL+0..FFL+2000,,,R,", fmt.Sprintf("R2 %g 2000 - -"+pipe+"FFL+2000..FFL+3900,,,R,", 3000+mm)}
		}, 600, 1, "ends apart 600", ""},
		// In a shaft, where no bay says how thick the floor is: what stands on the upper floor, at 4500, comes through it, and so does what stops up to 50 under it.
		{"from the floor above, in a shaft", func(mm float64) []string {
			return []string{"R1 13000 2000 - -" + pipe + "FFL+0..FFL+3900,,,R,", fmt.Sprintf("R2 13000 2000 - -"+pipe+"FFL+%g..FFL+8000,,,R,", 4450-mm)}
		}, 0, 1, "", "ends apart 549"},
		// 400 long and square: its faces are at 200 from its middle.
		{"to an item of the run", func(mm float64) []string {
			return []string{"M1 1000 2000 5000 2000" + duct + "3000,,,R,", fmt.Sprintf("V %g 2000 - -,ductwork,damper,,400x400x250,3000,,,R,,L0,no", 5200+mm), "M2 9000 2000 10000 2000" + duct + "3000,,,Q,"}
		}, 150, 1, "", ""},
		{"to an item on both sides, of the run", func(mm float64) []string {
			return []string{
				"M1 1000 2000 5000 2000" + duct + "3000,,,R,", fmt.Sprintf("V %g 2000 - -,ductwork,damper,,400x400x250,3000,,,R,,L0,no", 5200+mm),
				fmt.Sprintf("M2 %g 2000 9000 2000"+duct+"3000,,,R,", 5400+2*mm),
			}
		}, 150, 1, "", "ends apart 702"},
		{"to an item on both sides, that joins names", func(mm float64) []string {
			return []string{
				"M1 1000 2000 5000 2000" + duct + "3000,,,R,V", fmt.Sprintf("V %g 2000 - -,ductwork,damper,,400x400x250,3000,,,,,L0,no", 5200+mm),
				fmt.Sprintf("M2 %g 2000 9000 2000"+duct+"3000,,,R,V", 5400+2*mm),
			}
		}, 300, 1, "", "ends apart 1002; ends apart 301; ends apart 301"},
		// The upper storey's floor is at 4500.
		{"rows of two storeys, furthest", func(mm float64) []string {
			return []string{"M1 1000 2000 5000 2000" + duct + "3100,,,R,,L0", fmt.Sprintf("M2 5000 2000 9000 2000"+duct+"%g,,,R,,L1", mm-1400)}
		}, 1500, 1, "level jump, no riser 1500", ""},
	} {
		for _, how := range []string{"as drawn", "mirrored", "turned", "rows in the other order"} {
			for k, want := range []string{test.here, test.past} {
				rows := test.rows(test.at + float64(k)*test.by)
				table := head
				if how == "rows in the other order" {
					slices.Reverse(rows)
				}
				for _, row := range rows {
					place, rest, _ := strings.Cut(row, ",")
					f := strings.Fields(place)
					for n := range f {
						f[n] = strings.Trim(f[n], "-")
					}
					for n := 1; n < 5 && how == "mirrored"; n += 2 {
						if v, err := strconv.ParseFloat(f[n], 64); err == nil {
							f[n] = fmt.Sprint(12000 - v)
						}
					}
					if how == "turned" {
						f[1], f[2], f[3], f[4] = f[2], f[1], f[4], f[3]
					}
					if n := strings.Count(rest, ","); n < 9 {
						rest += ",L0"
					}
					table += strings.Join(f, ",") + "," + rest + strings.Repeat(",", 10-strings.Count(rest, ",")) + "\n"
				}
				p := openText(t, map[string]string{
					"levels.csv": "storey,ffl\nL0,0\nL1,4500\n",
					"bays.csv":   "bay,storey,x1,y1,x2,y2,soffit,ceiling\nA,L0,0,0,12000,12000,3900,none\nA,L1,0,0,12000,12000,3900,none\n",
					"rows.csv":   table,
				})
				if len(p.Problems) > 0 {
					t.Fatal(test.what, p.Problems, table)
				}
				res, err := clash.Open(p, clash.Options{Touch: 1}).Findings(context.Background())
				if err != nil {
					t.Fatal(err)
				}
				var got []string
				for _, j := range res.Joints {
					got = append(got, fmt.Sprintf("%s %.4g", j.Kind, j.By))
				}
				slices.Sort(got)
				if got := strings.Join(got, "; "); got != want {
					t.Errorf("%s, %s, at %g: came %q, want %q", test.what, how, test.at+float64(k)*test.by, got, want)
				}
			}
		}
	}
}
