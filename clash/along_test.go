package clash_test

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"

	"voidline/clash"
	"voidline/clash/finding"
)

// A run cut into short rows breaks what one long row breaks: power beside data over 5 m, 10 apart, class
// c in trays with 20 circuits. S x P = 25 x 2.0 = 50 (EN 50174-2, as quoted in the segregation
// figures of void/catalogue): 40 short, by law.
func TestShortRowsOfOneRun(t *testing.T) {
	for _, rows := range []int{1, 5, 10} {
		for _, named := range []bool{true, false} {
			var power, data strings.Builder
			head := "id,service,kind,x1,y1,x2,y2,size,level,run,circuits,class\n"
			power.WriteString(head)
			for i := range rows {
				run := ""
				if named {
					run = "PW"
				}
				fmt.Fprintf(&power, "P%d,power,tray,%d,1000,%d,1000,300x60,3000,%s,20,\n", i, 1000+i*5000/rows, 1000+(i+1)*5000/rows, run)
			}
			fmt.Fprintf(&data, "%sD,data,tray,1000,1310,6000,1310,300x60,3000,DT,,c\n", head)
			p := openText(t, map[string]string{
				"bays.csv":        "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,8000,8000,3600,none\n",
				"containment.csv": power.String(), "data tray.csv": data.String(),
			})
			if len(p.Problems) > 0 {
				t.Fatal(p.Problems)
			}
			res, err := clash.Open(p, clash.Options{Touch: 1, Firm: true}).Findings(context.Background())
			if err != nil {
				t.Fatal(err)
			}
			want := rows
			if rows == 10 && !named {
				want = 0 // ten rows of 500 that nothing says belong together: each crosses no more than 500
			}
			if len(res.Findings) != want {
				t.Errorf("%d rows, named %v: %d findings, want %d", rows, named, len(res.Findings), want)
				continue
			}
			for _, f := range res.Findings {
				if f.Asked != 50 || f.Gap != 10 || f.Short != 40 || f.Basis != "law" || f.Rule != "power to data" {
					t.Errorf("%d rows, named %v: gap %g asked %g short %g by %s (%s), want 10, 50, 40, power to data (law)", rows, named, f.Gap, f.Asked, f.Short, f.Rule, f.Basis)
				}
			}
			if rows > 1 && named && res.Problems != 1 {
				t.Errorf("%d rows: %d problems, want the one of run against run", rows, res.Problems)
			}
		}
	}
}

// Lengths add up along a run only where they join end to end, and are those of the bodies.
func TestJoinedLengths(t *testing.T) {
	const (
		bay  = "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,14000,14000,3800,none\n"
		head = "id,kind,x1,y1,x2,y2,size,level,fall,run\n"
	)
	for _, test := range []struct {
		name  string
		gaps  string
		files map[string]string
		want  string
	}{
		{"two ducts of one run cross a tray 8 m apart, 400 wide each: two crossings", "", map[string]string{
			"tray.csv":     head + "T,tray,500,1000,13500,1000,300x60,3000,,T\n",
			"ductwork.csv": head + "D1,duct,1000,500,1000,3000,400x200,3100,,S\nD2,duct,9000,500,9000,3000,400x200,3100,,S\n",
		}, ""},
		{"side by side, 50 between them: 850", "", map[string]string{
			"tray.csv":     head + "T,tray,500,1000,13500,1000,300x60,3000,,T\n",
			"ductwork.csv": head + "D1,duct,1000,500,1000,3000,400x200,3100,,S\nD2,duct,1450,500,1450,3000,400x200,3100,,S\n",
		}, "tight T/D1 110; tight T/D2 110"},
		{"51 between them", "", map[string]string{
			"tray.csv":     head + "T,tray,500,1000,13500,1000,300x60,3000,,T\n",
			"ductwork.csv": head + "D1,duct,1000,500,1000,3000,400x200,3100,,S\nD2,duct,1451,500,1451,3000,400x200,3100,,S\n",
		}, ""},
		{"a tray in rows of 500 under a duct of 5 m", "", map[string]string{
			"tray.csv":     head + "T1,tray,1000,1000,1500,1000,300x60,3000,,T\nT2,tray,1500,1000,2000,1000,300x60,3000,,T\nT3,tray,2500,1000,2000,1000,300x60,3000,,T\n",
			"ductwork.csv": head + "D,duct,500,1000,5500,1000,400x200,3100,,S\n",
		}, "tight T1/D 110; tight T2/D 110; tight T3/D 110"},
		{"with gaps of 60 in it no two join: 500 each", "", map[string]string{
			"tray.csv":     head + "T1,tray,1000,1000,1500,1000,300x60,3000,,T\nT2,tray,1560,1000,2060,1000,300x60,3000,,T\nT3,tray,2120,1000,2620,1000,300x60,3000,,T\n",
			"ductwork.csv": head + "D,duct,500,1000,5500,1000,400x200,3100,,S\n",
		}, ""},
		{"turned in plan, 3-4-5: rows of 500, and crossings of 500 far apart", "", map[string]string{
			"tray.csv": head + "T1,tray,1000,1000,1300,1400,300x60,3000,,T\nT2,tray,1300,1400,1600,1800,300x60,3000,,T\n" +
				"U1,tray,9000,1000,9300,1400,300x60,3000,,U\nU2,tray,9600,1800,9900,2200,300x60,3000,,U\n",
			"ductwork.csv": head + "D,duct,700,600,2500,3000,400x200,3100,,S\nE,duct,8700,600,10500,3000,400x200,3100,,S\n",
		}, "tight T1/D 110; tight T2/D 110"},
		{"round over round: the cuts, not the boxes round them. ø400 under a pipe ø60 at 7 in 24, 30 over its top: within 50 where it has dropped " +
			"less than 20, over 2 x 87.2 x 24/7 and about what the pipe is wide, not 400 x 24/7 and more", "of,to,side,gap,over\nduct,pipe,above,50,1000\n", map[string]string{
			"ductwork.csv": head + "D,duct,1000,3000,9000,3000,ø400,3000,,S\n",
			"pipework.csv": head + "P,pipe,2600,2300,7400,3700,ø60,3430,,P\n",
		}, ""},
		{"and that is more than 550", "of,to,side,gap,over\nduct,pipe,above,50,550\n", map[string]string{
			"ductwork.csv": head + "D,duct,1000,3000,9000,3000,ø400,3000,,S\n",
			"pipework.csv": head + "P,pipe,2600,2300,7400,3700,ø60,3430,,P\n",
		}, "tight D/P 20"},
		{"beside: it falls past the tray and shares its height for 60 + 60 of 1 in 10, though it is within 400 for longer", "of,to,side,gap,over\npipe,tray,beside,400,1500\n", map[string]string{
			"tray.csv":     head + "T,tray,1000,1000,9000,1000,300x60,3000,,T\n",
			"pipework.csv": head + "P,pipe,1000,1400,9000,1400,ø60,3400,1 in 10,P\n",
		}, ""},
		{"and for 1200: all of the height that they share", "of,to,side,gap,over\npipe,tray,beside,400,1100\n", map[string]string{
			"tray.csv":     head + "T,tray,1000,1000,9000,1000,300x60,3000,,T\n",
			"pipework.csv": head + "P,pipe,1000,1400,9000,1400,ø60,3400,1 in 10,P\n",
		}, "tight P/T 180"},
		{"hand room: 400 blocked on both sides twice, 8 m apart", "", map[string]string{
			"tray.csv": head + "T,tray,500,1000,13500,1000,300x60,3000,,T\n",
			"boxes.csv": "id,trade,kind,x1,y1,size,level\nA,ductwork,duct fitting,1000,1250,400x100x60,3000\nB,ductwork,duct fitting,9000,1250,400x100x60,3000\n" +
				"C,ductwork,duct fitting,1000,750,400x100x60,3000\nE,ductwork,duct fitting,9000,750,400x100x60,3000\n",
		}, ""},
	} {
		t.Run(test.name, func(t *testing.T) {
			test.files["bays.csv"] = bay
			if test.gaps != "" {
				test.files["gaps.csv"] = test.gaps
			}
			p := openText(t, test.files)
			if len(p.Problems) > 0 {
				t.Fatal(p.Problems)
			}
			res, err := clash.Open(p, clash.Options{Touch: 1}).Findings(context.Background())
			if err != nil {
				t.Fatal(err)
			}
			var got []string
			for _, f := range res.Findings {
				got = append(got, fmt.Sprintf("%s %s/%s %g", f.Kind, f.A, *f.B, f.Short))
			}
			slices.Sort(got)
			if s := strings.Join(got, "; "); s != test.want {
				t.Errorf("%q, want %q", s, test.want)
			}
		})
	}
}

// Rows of 500 of one run along a soffit or a ceiling, or between what closes both their sides, are what one row of their
// length is. The tray is 60 high; its top 40 under the soffit of 3600 leaves 110 of 150 wanting.
func TestShortRowsAlongSoffitAndHandRoom(t *testing.T) {
	const (
		bay  = "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,9000,3600,none\n"
		head = "id,kind,x1,y1,x2,y2,size,level,run\n"
	)
	// rows draws n rows of a tray from (1000, 1000), step by step; every other one against the run.
	rows := func(n int, dx, dy float64, level, run string) string {
		var b strings.Builder
		b.WriteString(head)
		for k := range n {
			x1, y1 := 1000+float64(k)*dx, 1000+float64(k)*dy
			x2, y2 := x1+dx, y1+dy
			if k%2 == 1 {
				x1, y1, x2, y2 = x2, y2, x1, y1
			}
			fmt.Fprintf(&b, "T%d,tray,%g,%g,%g,%g,300x60,%s,%s\n", k+1, x1, y1, x2, y2, level, run)
		}
		return b.String()
	}
	all := func(n int, other string, short float64) string {
		var out []string
		for k := range n {
			out = append(out, fmt.Sprintf("T%d/%s %g", k+1, other, short))
		}
		return strings.Join(out, "; ")
	}
	// A duct 90 clear of the tray on either side, as high as the tray: its edge at 1000 + 150 + 90.
	ducts := "id,kind,x1,y1,x2,y2,size,level\nD1,duct,500,1340,8500,1340,200x60,3000\nD2,duct,500,660,8500,660,200x60,3000\n"
	for _, test := range []struct {
		name  string
		files map[string]string
		want  string
	}{
		{"one row of 2 m", map[string]string{"tray.csv": rows(1, 2000, 0, "3500", "T")}, "T1/soffit A 110"},
		{"four of 500", map[string]string{"tray.csv": rows(4, 500, 0, "3500", "T")}, all(4, "soffit A", 110)},
		{"in metres from the soffit", map[string]string{"tray.csv": rows(4, 500, 0, "soffit-0.1 m", "T")}, all(4, "soffit A", 110)},
		{"turned 3-4-5", map[string]string{"tray.csv": rows(4, 300, 400, "3500", "T")}, all(4, "soffit A", 110)},
		{"hard to the soffit", map[string]string{"tray.csv": rows(3, 500, 0, "3540", "T")}, all(3, "soffit A", 150)},
		{"with its room", map[string]string{"tray.csv": rows(4, 500, 0, "3390", "T")}, ""},
		{"of no run nothing joins", map[string]string{"tray.csv": rows(4, 500, 0, "3500", "")}, ""},
		{"600 in all is a crossing", map[string]string{"tray.csv": rows(2, 300, 0, "3500", "T")}, ""},
		{"602 in all", map[string]string{"tray.csv": rows(2, 301, 0, "3500", "T")}, all(2, "soffit A", 110)},
		{"round a corner", map[string]string{"tray.csv": head + "T1,tray,1000,1000,1500,1000,300x60,3500,T\nT2,tray,1500,1000,1500,1500,300x60,3500,T\n"}, all(2, "soffit A", 110)},
		{"two of 500, 60 between", map[string]string{"tray.csv": head + "T1,tray,1000,1000,1500,1000,300x60,3500,T\nT2,tray,1560,1000,2060,1000,300x60,3500,T\n"}, ""},
		{"one row over a bay line, 500 either side, the one soffit 100 higher", map[string]string{
			"bays.csv": "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,1500,9000,3600,none\nB,1500,0,9000,9000,3700,none\n", "tray.csv": rows(1, 1000, 0, "3500", ""),
		}, "T1/soffit A 110; T1/soffit B 10"},
		{"and 300 either side", map[string]string{
			"bays.csv": "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,1300,9000,3600,none\nB,1300,0,9000,9000,3700,none\n", "tray.csv": rows(1, 600, 0, "3500", ""),
		}, ""},
		{"two storeys, a row in each, one run", map[string]string{
			"levels.csv": "storey,ffl\nL0,0\nL1,4000\n", "bays.csv": "bay,storey,x1,y1,x2,y2,soffit,ceiling\nA,L0,0,0,9000,9000,3600,none\nB,L1,0,0,9000,9000,3600,none\n",
			"tray.csv": "id,storey,kind,x1,y1,x2,y2,size,level,run\nT1,L0,tray,1000,1000,1500,1000,300x60,3500,T\nT2,L1,tray,1500,1000,2000,1000,300x60,3500,T\n",
		}, ""},
		{"falling: at 1 in 100 from 140 under the soffit it comes within 150 for a metre of its two", map[string]string{
			"tray.csv": "id,kind,x1,y1,x2,y2,size,level,fall,run\nT1,tray,1000,1000,1500,1000,300x60,3400,1 in 100,T\nT2,tray,1500,1000,2000,1000,300x60,3395,1 in 100,T\n" +
				"T3,tray,2000,1000,2500,1000,300x60,3390,1 in 100,T\n",
		}, "T1/soffit A 10; T2/soffit A 5"},
		{"over a ceiling", map[string]string{
			"bays.csv": "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,9000,3600,2600\n", "gaps.csv": "of,to,side,gap,over\ntray,ceiling,below,100,600\n",
			"tray.csv": rows(3, 500, 0, "2630", "T"),
		}, all(3, "ceiling A", 70)},
		{"hand room: one row of 2 m", map[string]string{"tray.csv": rows(1, 2000, 0, "3000", "T"), "ductwork.csv": ducts}, "T1/D1 60"},
		{"hand room: four of 500", map[string]string{"tray.csv": rows(4, 500, 0, "3000", "T"), "ductwork.csv": ducts}, all(4, "D1", 60)},
		{"hand room: of no run", map[string]string{"tray.csv": rows(4, 500, 0, "3000", ""), "ductwork.csv": ducts}, ""},
		{"hand room: 600 in all", map[string]string{"tray.csv": rows(2, 300, 0, "3000", "T"), "ductwork.csv": ducts}, ""},
		{"hand room: one side clear", map[string]string{
			"tray.csv": rows(4, 500, 0, "3000", "T"), "ductwork.csv": "id,kind,x1,y1,x2,y2,size,level\nD1,duct,500,1340,8500,1340,200x60,3000\n",
		}, ""},
		{"hand room: four rows with one side closed, then four with the other: each row has its side", map[string]string{
			"tray.csv":     rows(8, 500, 0, "3000", "T"),
			"ductwork.csv": "id,kind,x1,y1,x2,y2,size,level\nD1,duct,500,1340,3000,1340,200x60,3000\nD2,duct,3000,660,8500,660,200x60,3000\n",
		}, ""},
		{"hand room: turned 3-4-5, every other row drawn against the run: likewise", map[string]string{
			"tray.csv": rows(8, 300, 400, "3000", "T"),
			"ductwork.csv": "id,kind,x1,y1,x2,y2,size,level\nD1,duct,428,804,1928,2804,200x60,3000\n" + // 340 aside: 272 and 204
				"D2,duct,2472,2396,4272,4796,200x60,3000\n",
		}, ""},
		{"hand room: the two overlap for 500: the row from 3000 to 3500 has both sides closed, each for 2000 and more of the run", map[string]string{
			"tray.csv":     rows(8, 500, 0, "3000", "T"),
			"ductwork.csv": "id,kind,x1,y1,x2,y2,size,level\nD1,duct,500,1340,3500,1340,200x60,3000\nD2,duct,3000,660,8500,660,200x60,3000\n",
		}, "T5/D1 60"},
		{"hand room: one row of 4 m, one side closed for its first half, the other for its second: neither is clear along it", map[string]string{
			"tray.csv":     rows(1, 4000, 0, "3000", "T"),
			"ductwork.csv": "id,kind,x1,y1,x2,y2,size,level\nD1,duct,500,1340,3000,1340,200x60,3000\nD2,duct,3000,660,8500,660,200x60,3000\n",
		}, "T1/D1 60"},
		// D1 is 120 from the tray and D2, further along, 60 on the same side; D3 is 90 from it on the other: that side has the more.
		{"hand room: of one side the nearest counts, wherever along it", map[string]string{
			"tray.csv":     rows(1, 7000, 0, "3000", "T"),
			"ductwork.csv": "id,kind,x1,y1,x2,y2,size,level\nD1,duct,500,1370,4000,1370,200x60,3000\nD2,duct,4200,1310,8500,1310,200x60,3000\nD3,duct,500,660,8500,660,200x60,3000\n",
		}, "T1/D3 60"},
	} {
		t.Run(test.name, func(t *testing.T) {
			if test.files["bays.csv"] == "" {
				test.files["bays.csv"] = bay
			}
			p := openText(t, test.files)
			if len(p.Problems) > 0 {
				t.Fatal(p.Problems)
			}
			check := clash.Open(p, clash.Options{Touch: 1})
			answer := func(c *clash.Check) (string, *finding.Result) {
				res, err := c.Findings(context.Background())
				if err != nil {
					t.Fatal(err)
				}
				var got []string
				for _, f := range res.Findings {
					got = append(got, fmt.Sprintf("%s/%s %g", f.A, *f.B, f.Short))
				}
				slices.Sort(got)
				return strings.Join(got, "; "), res
			}
			got, res := answer(check)
			if got != test.want {
				t.Errorf("%q, want %q", got, test.want)
			}
			if once, _ := answer(clash.Open(p, clash.Options{Touch: 1, Once: true})); once != test.want {
				t.Errorf("asked once: %q, want %q", once, test.want)
			}
			if n := strings.Count(got, ";") + 1; n > 2 && res.Problems != 1 {
				t.Errorf("%d problems, want the one of the run", res.Problems)
			}
			// A row that is taken out of the run, brought down, and put back: asked again as in full.
			for _, e := range [][2]string{{"run", "U"}, {"run", "T"}, {"level", "2900"}, {"level", "3500"}, {"x1", "7000"}} {
				ch, pr := p.Edit("T1", e[0], e[1])
				if pr != nil {
					t.Fatal(pr)
				}
				check.Changed(ch)
				again, _ := answer(check)
				if full, _ := answer(clash.Open(p, clash.Options{Touch: 1})); again != full {
					t.Errorf("after %v: %q, in full %q", e, again, full)
				}
			}
			ch, pr := p.EditBay("A", "soffit", "3800")
			if pr != nil {
				t.Fatal(pr)
			}
			check.Changed(ch)
			again, _ := answer(check)
			if full, _ := answer(clash.Open(p, clash.Options{Touch: 1})); again != full {
				t.Errorf("after the soffit is 200 up: %q, in full %q", again, full)
			}
		})
	}
}

// A row that has both sides closed for less than the rule's 600 is told for what it is of its run: its note says for how long. A row that is long enough
// by itself says nothing of it. One side closed for 2000 and the other for 1100 of them come to 1100.
func TestHandRoomSaysHowLongItIsOfItsRun(t *testing.T) {
	for _, test := range []struct{ rows, until, want string }{
		{"0-600-1200", "2000", "for 1200 along the run, its rows together; for 1200 along the run, its rows together"},
		{"0-601-1202", "2000", "; "},
		{"0-500-1000-1500-2000", "1100", "for 1100 along the run, its rows together; for 1100 along the run, its rows together; for 1100 along the run, its rows together"},
		{"0-2000", "2000", ""},
		{"0-2000", "400", "none"},     // the other side is clear for most of it
		{"0-300-600", "2000", "none"}, // a crossing
	} {
		tray := "id,kind,x1,y1,x2,y2,size,level,run\n"
		at := strings.Split(test.rows, "-")
		for k := 1; k < len(at); k++ {
			tray += fmt.Sprintf("T%d,tray,%s,1000,%s,1000,300x60,3000,T\n", k, at[k-1], at[k])
		}
		res := asked(t, map[string]string{
			"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling\nA,-9000,-9000,9000,9000,3600,none\n",
			"tray.csv":     tray,
			"ductwork.csv": "id,kind,x1,y1,x2,y2,size,level\nD1,duct,-500,1340,8500,1340,200x60,3000\nD2,duct,-500,660," + test.until + ",660,200x60,3000\n",
		}, clash.Options{Touch: 1})
		got := []string{}
		for _, f := range res.Findings {
			at := strings.Index(f.Note, "for ")
			if at < 0 {
				at = len(f.Note)
			}
			got = append(got, f.Note[at:])
		}
		if len(got) == 0 {
			got = append(got, "none")
		}
		if g := strings.Join(got, "; "); g != test.want {
			t.Errorf("rows %s, the other side until %s: %q, want %q", test.rows, test.until, g, test.want)
		}
	}
}

// What stands at a point has no length to be drawn along: a rule that counts over a length counts over its longest side that is near, however it is turned, and
// over its height. Power beside data, 30 apart where 50 are needed for more than 600.
func TestOverALengthOfWhatStandsAtAPoint(t *testing.T) {
	const head = "id,trade,service,kind,x1,y1,x2,y2,size,level,circuits,class\n"
	for _, test := range []struct{ name, rows, want string }{
		{"two risers 3900 high, square", "P,containment,LV power,trunking,3000,3000,,,100x100,FFL+0..soffit,30,\nD,containment,data,trunking,3130,3000,,,100x100,FFL+0..soffit,,b\n", "tight P/D 20"},
		{"and round", "P,containment,LV power,conduit,3000,3000,,,ø100,FFL+0..soffit,30,\nD,containment,data,conduit,3130,3000,,,ø100,FFL+0..soffit,,b\n", "tight P/D 20"},
		{"beside each other for 600 of their height", "P,containment,LV power,trunking,3000,3000,,,100x100,FFL+0..FFL+2560,30,\nD,containment,data,trunking,3130,3000,,,100x100,FFL+2000..soffit,,b\n", ""},
		{
			// Nearer than 50 as far past the other's end as √(50² - 30²) = 40, on either side.
			"for 561 of it, and 40 more", "P,containment,LV power,trunking,3000,3000,,,100x100,FFL+0..FFL+2561,30,\nD,containment,data,trunking,3130,3000,,,100x100,FFL+2000..soffit,,b\n", "tight P/D 20",
		},
		{"a board 650 long beside a trunking", "P,containment,LV power,trunking,3000,3000,,,650x100x100,3000,30,\nD,containment,data,trunking,1000,3130,6000,3130,100x100,3000,,b\n", "tight P/D 20"},
		{"600 long", "P,containment,LV power,trunking,3000,3000,,,600x100x100,3000,30,\nD,containment,data,trunking,1000,3130,6000,3130,100x100,3000,,b\n", ""},
		{"650 long, across it", "P,containment,LV power,trunking,3000,3000,,,100x650x100,3000,30,\nD,containment,data,trunking,1000,3405,6000,3405,100x100,3000,,b\n", ""},
		{"650 each way", "P,containment,LV power,trunking,3000,3000,,,650x650x100,3000,30,\nD,containment,data,trunking,1000,3405,6000,3405,100x100,3000,,b\n", "tight P/D 20"},
		{"and 700 high, a riser beside it", "P,containment,LV power,trunking,3000,3000,,,100x200x700,3000,30,\nD,containment,data,trunking,3130,3000,,,100x100,FFL+0..soffit,,b\n", "tight P/D 20"},
	} {
		res := asked(t, map[string]string{
			"bays.csv": "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,9000,3900,none\n",
			"z.csv":    head + test.rows,
		}, clash.Options{Touch: 1})
		got := []string{}
		for _, f := range res.Findings {
			got = append(got, fmt.Sprintf("%s %s/%s %g", f.Kind, f.A, *f.B, f.Short))
		}
		if g := strings.Join(got, "; "); g != test.want {
			t.Errorf("%s: %q, want %q", test.name, g, test.want)
		}
	}
}

// Hand room that is missing on both sides of a row has no move where what gives way holds its place; the tray gives way to the ducts.
func TestHandRoomMovesNothingThatHoldsItsPlace(t *testing.T) {
	for _, test := range []struct{ tray, ducts, want string }{
		{"", "both", "T1 1 moves"}, {"place", "both", "none"}, {"level", "both", "T1 1 moves"},
	} {
		res := asked(t, map[string]string{
			"bays.csv": "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,9000,3600,none\n",
			"tray.csv": "id,kind,x1,y1,x2,y2,size,level,holds\nT1,tray,1000,1000,4000,1000,300x60,3000," + test.tray + "\n",
			// 90 on the one side, 330 on the other: together what one side needs.
			"ductwork.csv": "id,kind,x1,y1,x2,y2,size,level,holds\nD1,duct,500,1340,8500,1340,200x60,3000," + test.ducts + "\nD2,duct,500,621,8500,621,200x60,3000," + test.ducts + "\n",
		}, clash.Options{Touch: 1})
		got := "none"
		for _, f := range res.Findings {
			if f.Rule == "hand room on one side" || len(f.Moves) > 0 {
				got = fmt.Sprintf("%s %d moves", f.Moves[0].Zone, len(f.Moves))
			}
		}
		if got != test.want {
			t.Errorf("tray holds %q: %s, want %s (%+v)", test.tray, got, test.want, res.Findings)
		}
	}
}

// What sits in a run is part of it, whichever way the run goes: two pipes of 400 with a valve of 200 between them lie 50 beside a tray for 1000, where hot pipes
// keep 150 for more than 600. Two risers of 400 and 400, one on the other, are 800 high.
func TestAnItemInARunIsPartOfItsLength(t *testing.T) {
	for _, test := range []struct{ name, rows, want string }{
		{"along x", "P1,pipework,LTHW flow,pipe,1000,3000,1400,3000,ø60,3000,R,,\nV,pipework,LTHW flow,valve,1500,3000,,,200x60x60,3000,R,,\nP2,pipework,LTHW flow,pipe,1600,3000,2000,3000,ø60,3000,R,,\n" +
			"T,containment,LV power,tray,500,3230,5000,3230,300x60,3000,,,\n", "P1/T 100; P2/T 100; V/T 100"},
		{"along y", "P1,pipework,LTHW flow,pipe,3000,1000,3000,1400,ø60,3000,R,,\nV,pipework,LTHW flow,valve,3000,1500,,,60x200x60,3000,R,,\nP2,pipework,LTHW flow,pipe,3000,1600,3000,2000,ø60,3000,R,,\n" +
			"T,containment,LV power,tray,2770,500,2770,5000,300x60,3000,,,\n", "P1/T 100; P2/T 100; V/T 100"},
		{"with 60 between the valve and the second pipe", "P1,pipework,LTHW flow,pipe,3000,1000,3000,1400,ø60,3000,R,,\nV,pipework,LTHW flow,valve,3000,1500,,,60x200x60,3000,R,,\n" +
			"P2,pipework,LTHW flow,pipe,3000,1660,3000,2060,ø60,3000,R,,\nT,containment,LV power,tray,2770,500,2770,5000,300x60,3000,,,\n", ""},
		{"one on the other", "P1,containment,LV power,trunking,3000,3000,,,100x100,FFL+2000..FFL+2400,R,30,\nP2,containment,LV power,trunking,3000,3000,,,100x100,FFL+2400..FFL+2800,R,30,\n" +
			"D,containment,data,trunking,3130,3000,,,100x100,FFL+0..soffit,,,b\n", "P1/D 20; P2/D 20"},
		{"one of them alone", "P1,containment,LV power,trunking,3000,3000,,,100x100,FFL+2000..FFL+2400,R,30,\nD,containment,data,trunking,3130,3000,,,100x100,FFL+0..FFL+2400,,,b\n", ""},
	} {
		res := asked(t, map[string]string{
			"bays.csv": "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,9000,3900,none\n",
			"z.csv":    "id,trade,service,kind,x1,y1,x2,y2,size,level,run,circuits,class\n" + test.rows,
		}, clash.Options{Touch: 1})
		got := []string{}
		for _, f := range res.Findings {
			got = append(got, fmt.Sprintf("%s/%s %g", f.A, *f.B, f.Short))
		}
		slices.Sort(got)
		if g := strings.Join(got, "; "); g != test.want {
			t.Errorf("%s: %q, want %q", test.name, g, test.want)
		}
	}
}
