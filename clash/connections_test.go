package clash_test

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"voidline/clash"
	"voidline/clash/finding"
	"voidline/clash/measure"
	"voidline/clash/rules"
)

// connectionBay is 9 m square, ceiling at 2500, soffit at 3600.
const connectionBay = "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,9000,3600,none\n"

// checked opens files and checks them with the built-in rules left out, so that overlaps alone are told.
func overlapsIn(t *testing.T, files map[string]string) *finding.Result {
	t.Helper()
	if files["bays.csv"] == "" {
		files["bays.csv"] = connectionBay
	}
	p := openText(t, files)
	if len(p.Problems) > 0 {
		t.Fatal(p.Problems)
	}
	res, err := clash.Open(p, clash.Options{Touch: 1, Excused: true, Rules: []rules.Rule{}}).Findings(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	return res
}

// What can connect is excused up to the depth of the table, and nothing else. Figures worked out by hand.
func TestWhatConnects(t *testing.T) {
	const (
		run   = "id,service,kind,x1,y1,x2,y2,size,level,run\n"
		item  = "id,service,kind,x1,y1,size,level,reach\n"
		units = item + "F,,fan coil,3000,3000,1000x600x300,3000,no\n" // x 2500 to 3500
	)
	for _, test := range []struct {
		name  string
		files map[string]string
		want  string // overlaps, and what is excused with its depth
	}{
		{"a heating pipe ends 60 inside a fan coil", map[string]string{
			"mechanical.csv": units, "pipework.csv": run + "P,LTHW,pipe,1000,3000,2560,3000,ø40,3100,H\n",
		}, "F P 60"},
		{"and turned in plan, from the north: the unit ends at 3300", map[string]string{
			"mechanical.csv": units, "pipework.csv": run + "P,LTHW,pipe,3000,5000,3000,3240,ø40,3100,H\n",
		}, "F P 60"},
		{"151 is deeper than its connection goes: 151 sideways, 140 down", map[string]string{
			"mechanical.csv": units, "pipework.csv": run + "P,LTHW,pipe,1000,3000,2651,3000,ø40,3100,H\n",
		}, "overlap F/P 140, P 151 of 150"},
		{"150 is not", map[string]string{
			"mechanical.csv": units, "pipework.csv": run + "P,LTHW,pipe,1000,3000,2650,3000,ø40,3100,H\n",
		}, "F P 140"},
		{"through it and 100 out on the other side it is no end that is too deep", map[string]string{
			"mechanical.csv": units, "pipework.csv": run + "P,LTHW,pipe,1000,3000,3600,3000,ø40,3100,H\n",
		}, "overlap F/P 140"},
		{"drawn from within: 300 in", map[string]string{
			"mechanical.csv": units, "pipework.csv": run + "P,LTHW,pipe,2800,3000,1000,3000,ø40,3100,H\n",
		}, "overlap F/P 140, P 300 of 150"},
		{"turned 3-4-5, 300 in y inside the unit's face: 375 along it, and 3/4 of 20 more for its corner", map[string]string{
			"mechanical.csv": units, "pipework.csv": run + "P,LTHW,pipe,4500,5000,3000,3000,ø40,3100,H\n",
		}, "overlap F/P 140, P 390 of 150"},
		{"a sprinkler pipe does not feed it", map[string]string{
			"mechanical.csv": units, "sprinklers.csv": run + "P,,pipe,1000,3000,2560,3000,ø40,3100,H\n",
		}, "overlap F/P 60"},
		{"joins says that it does", map[string]string{
			"mechanical.csv": units, "sprinklers.csv": "id,x1,y1,x2,y2,size,level,joins\nP,1000,3000,2560,3000,ø40,3100,F\n",
		}, "F P 60"},
		{"power feeds it, data does not", map[string]string{
			"mechanical.csv": units, "tray.csv": run + "T,power,conduit,1000,3000,2550,3000,ø25,3100,\nU,data,conduit,1000,3200,2550,3200,ø25,3100,\n",
		}, "overlap F/U 50; F T 50"},
		{"pipe and duct fittings of a run stand right through a unit: 340 x 140 of them in it", map[string]string{
			"ductwork.csv": item + "F,,fan coil,3000,3000,1000x600x300,3000,no\n", "fittings.csv": "id,trade,kind,x1,y1,size,level\nE,ductwork,duct fitting,3000,3000,1400x340x140,3080\n",
		}, "overlap E/F 220, E 220 of 150"},
		{"a supply duct does not end in an extract grille", map[string]string{
			"ductwork.csv": item + "G,extract,grille,3000,3000,600x600x200,2800,no\n", "ducts.csv": "id,trade,service,x1,y1,x2,y2,size,level\nD,ductwork,supply air,1000,3000,2750,3000,200x100,2850\n",
		}, "overlap D/G 50"},
		{"in a supply diffuser it does", map[string]string{
			"ductwork.csv": item + "G,supply,diffuser,3000,3000,600x600x200,2800,no\n", "ducts.csv": "id,trade,service,x1,y1,x2,y2,size,level\nD,ductwork,supply air,1000,3000,2750,3000,200x100,2850\n",
		}, "D G 50"},
		{"a VAV box stands in line on an unbroken duct of another run", map[string]string{
			"ductwork.csv": run + "D,supply air,duct,1000,3000,6000,3000,300x200,3000,S\nV,supply air,VAV,2500,3000,3300,3000,500x300,2950,T\n",
		}, "D V 250"},
		{"across it is struck: 300 wide and 500, 250 + 150 sideways, 250 up", map[string]string{
			"ductwork.csv": run + "D,supply air,duct,1000,3000,6000,3000,300x200,3000,S\nV,supply air,VAV,3000,2500,3000,3300,500x300,2950,T\n",
		}, "overlap D/V 250"},
		{"a row that ends anywhere in the damper on its axis is in line", map[string]string{
			"ductwork.csv": run + "D,extract,duct,1000,3000,3190,3000,300x200,3000,S\n", "dampers.csv": "id,trade,kind,x1,y1,size,level,reach\nV,ductwork,damper,3000,3000,400x350x250,2975,no\n",
		}, "D V 225"},
		// The duct's middle is at y 3000, it is 400 wide. The box of 1000 reaches into it from y 2900 or 2740, its middle out of it; its
		// middle half begins at 3150, so that the duct's axis runs beside it, or at 2990. It is 300 deep sideways, of 500 in height.
		{"a box whose outer quarter the axis goes through is struck", map[string]string{
			"ductwork.csv": run + "D,supply air,duct,1000,3000,6000,3000,400x400,3000,S\n", "boxes.csv": "id,trade,service,kind,x1,y1,size,level,reach\nV,ductwork,supply air,damper,3000,3400,1000x1000x500,2950,no\n",
		}, "overlap D/V 300"},
		{"one whose middle half it goes through is in line", map[string]string{
			"ductwork.csv": run + "D,supply air,duct,1000,3000,6000,3000,400x400,3000,S\n", "boxes.csv": "id,trade,service,kind,x1,y1,size,level,reach\nV,ductwork,supply air,damper,3000,3240,1000x1000x500,2950,no\n",
		}, "D V 450"},
		{"a valve on a pipe of another trade is struck", map[string]string{
			"pipework.csv": item + "V,,valve,3000,3000,200x200x200,2930,no\n", "sprinklers.csv": "id,x1,y1,x2,y2,size,level\nP,1000,3000,6000,3000,ø60,3000\n",
		}, "overlap P/V 130"},
		{"a valve of its own, unnamed, sits in it: 3060 - 2930", map[string]string{
			"pipework.csv": run + "P,,pipe,1000,3000,6000,3000,ø60,3000,S\n", "valves.csv": "id,trade,kind,x1,y1,size,level,reach\nV,pipework,valve,3000,3000,200x200x200,2930,no\n",
		}, "P V 130"},
		{"recessed items of two trades in one place", map[string]string{
			"lighting.csv": "id,kind,x1,y1,size,level\nL,light fitting,3000,3000,600x600x100,2700\n", "fa.csv": "id,trade,kind,x1,y1,size,level\nS,fire alarm,detector,3250,3000,ø100x80,2690\n",
		}, "overlap L/S 70"},
		{"two lights of one table too, upright as well: 600 / 2 + 172 / 2 - 200 = 186, 60 up", map[string]string{
			"lighting.csv": "id,kind,x1,y1,size,level\nL,light fitting,3000,3000,600x600x150,2500\nM,light fitting,3200,3000,172x172,FFL+2460..FFL+2560\n",
		}, "overlap L/M 60"},
		{"a luminaire fixed under trunking, 20 up its sides", map[string]string{
			"lighting.csv": "id,kind,x1,y1,x2,y2,size,level,recessed\nL,light fitting,3000,3000,4200,3000,80x80,2940,no\nT,trunking,1000,3000,6000,3000,50x50,3000,\n",
		}, "L T 20"},
		{"30 up is an overlap", map[string]string{
			"lighting.csv": "id,kind,x1,y1,x2,y2,size,level,recessed\nL,light fitting,3000,3000,4200,3000,80x80,2950,no\nT,trunking,1000,3000,6000,3000,50x50,3000,\n",
		}, "overlap L/T 30, L 30 of 25"},
		{"a branch to the axis, half of 60, is a tee whatever the runs are called", map[string]string{
			"pipework.csv": run + "M,LTHW,pipe,1000,3000,6000,3000,ø60,3000,M1\nB,LTHW,pipe,3000,5000,3000,3000,ø40,3010,B7\n",
		}, "B M 30"},
		{"of another service it is none", map[string]string{
			"pipework.csv": run + "M,LTHW,pipe,1000,3000,6000,3000,ø60,3000,M1\nB,CHW,pipe,3000,5000,3000,3000,ø40,3010,B7\n",
		}, "overlap B/M 30"},
		{"in metres, a drop into a head", map[string]string{
			"sprinklers.csv": "id,kind,x1_m,y1_m,size,level\nH,head,3.0,3.0,ø60x60,2.660 m\nP,pipe,3.0,3.0,ø33,FFL+2690..FFL+3200\n",
		}, "H P 30"},
	} {
		t.Run(test.name, func(t *testing.T) {
			res := overlapsIn(t, test.files)
			var got []string
			for _, f := range res.Findings {
				if f.Kind == finding.Overlap {
					a, b := f.A, *f.B
					if b < a {
						a, b = b, a
					}
					got = append(got, fmt.Sprintf("overlap %s/%s %g", a, b, f.Short))
					if d := f.TooDeep; d != nil {
						got[len(got)-1] += fmt.Sprintf(", %s %g of %g", d.Of, d.In, d.Most)
						if !strings.HasSuffix(f.Note, fmt.Sprintf("; a connection there goes %g at most", d.Most)) {
							t.Errorf("the note does not say how deep it may go: %q", f.Note)
						}
					}
				}
			}
			for _, x := range res.ExcusedPairs {
				got = append(got, fmt.Sprintf("%s %s %g", x.A, x.B, x.Depth))
			}
			if s := strings.Join(got, "; "); s != test.want {
				t.Errorf("came %q, want %q (%v)", s, test.want, res.Excused)
			}
		})
	}
}

// A pair of kinds that the table does not know is one question for the whole project, with the cells to paste; pasted,
// they answer it.
func TestQuestionsOfConnections(t *testing.T) {
	lights := "id,kind,x1,y1,size,level\nL1,light fitting,3000,3000,600x600x200,2700\nL2,light fitting,6000,3000,600x600x200,2700\n"
	ducts := "id,service,x1,y1,x2,y2,size,level,joins\nD1,extract,1000,3000,2720,3000,150x100,2750,%s\nD2,extract,8000,3000,6280,3000,150x100,2750,%s\n"
	res := overlapsIn(t, map[string]string{"lighting.csv": lights, "ductwork.csv": fmt.Sprintf(ducts, "", "")})
	if res.Counts.Overlap != 2 || len(res.Questions) != 1 {
		t.Fatalf("%d overlaps, %d questions; want 2, 1: %+v", res.Counts.Overlap, len(res.Questions), res.Questions)
	}
	q := res.Questions[0]
	if q.Of != "duct (extract air)" || q.To != "light fitting" || q.Pairs != 2 || len(q.Cells) != 2 ||
		q.Cells[0] != (finding.JoinCell{Zone: "D1", Row: "ductwork.csv:2", Joins: "L1"}) || q.Cells[1].Joins != "L2" {
		t.Errorf("asked %+v", q)
	}
	res = overlapsIn(t, map[string]string{"lighting.csv": lights, "ductwork.csv": fmt.Sprintf(ducts, q.Cells[0].Joins, q.Cells[1].Joins)})
	if res.Counts.Overlap != 0 || len(res.Questions) != 0 || len(res.ExcusedPairs) != 2 {
		t.Errorf("with the cells %d overlaps, %d questions, %d excused; want 0, 0, 2", res.Counts.Overlap, len(res.Questions), len(res.ExcusedPairs))
	}
	// What says no kind is called by its trade.
	other := "id,trade,service,x1,y1,x2,y2,size,level\nD1,mechanical,%s,1000,3000,2720,3000,150x100,2750\n"
	for _, test := range [][2]string{{"", "mechanical"}, {"tube post", "mechanical (tube post)"}} {
		res = overlapsIn(t, map[string]string{"lighting.csv": lights, "other.csv": fmt.Sprintf(other, test[0])})
		if len(res.Questions) != 1 || res.Questions[0].Of != test[1] || res.Questions[0].To != "light fitting" {
			t.Errorf("of %q asked %+v", test[0], res.Questions)
		}
	}
}

// Every line of the table of connections says why, names its source, and how deep it goes where it connects; and the
// pairs that are excused one by one are as many as are counted.
func TestTableOfConnections(t *testing.T) {
	for _, l := range measure.Connections() {
		if l.Why == "" || l.Source == "" || l.Never == (l.Deep > 0) || l.Deep > 300 {
			t.Errorf("%+v: wants a reason, a source, and a depth where it connects", l)
		}
	}
	for seed := range uint64(6) {
		p := random(4400+seed, mix{zones: 150, storeys: 2, gaps: 2}).opened(t, spelling{})
		for _, once := range []bool{false, true} {
			res, err := clash.Open(p, clash.Options{Touch: 1, Excused: true, Once: once}).Findings(context.Background())
			if err != nil {
				t.Fatal(err)
			}
			n := map[string]int{}
			for _, x := range res.ExcusedPairs {
				n[x.Why]++
			}
			for why, want := range res.Excused {
				if n[why] != want {
					t.Errorf("seed %d: %d pairs excused for %q are given, %d counted", seed, n[why], why, want)
				}
			}
		}
	}
}
