package clash_test

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"

	"voidline/clash"
)

// A project's rules go before the built-in ones wherever these apply, in whatever words, and say what is told from either end.
func TestProjectRules(t *testing.T) {
	const (
		head = "id,service,kind,x1,y1,x2,y2,size,level,run,circuits,class\n"
		tray = head + "L,lighting,tray,500,1000,5500,1000,300x60,3000,LT,20,\nD,data,tray,500,1340,5500,1340,300x60,3000,DT,,c\n" // 40 apart
		bay  = "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,9000,3600,none\n"
		over = "id,service,kind,x1,y1,x2,y2,size,level\n"
	)
	for _, test := range []struct {
		name  string
		files map[string]string
		want  string
	}{
		{"the project asks 30 of power and data: lighting too", map[string]string{"containment.csv": tray, "gaps.csv": "of,to,side,gap\npower,data,around,30\n"}, ""},
		{"and 200", map[string]string{"containment.csv": tray, "gaps.csv": "of,to,side,gap\npower,data,around,200\n"}, "tight L/D 160"},
		{"said from the other end", map[string]string{"containment.csv": tray, "gaps.csv": "of,to,side,gap\ndata,power,around,200\n"}, "tight D/L 160"},
		{"built in, 40 where 50 are asked", map[string]string{"containment.csv": tray}, "tight L/D 10"},
		{"trade words as the tables have them", map[string]string{
			"containment.csv": tray, "gaps.csv": "of,to,side,gap\nCable-Tray L2,data_tray,around,100\npower,data,around,0\n",
		}, "tight D/L 60"},
		{"told below is the same as told above from the other end", map[string]string{
			"containment.csv": over + "T,data,tray,500,3000,5500,3000,300x60,2800\n", "pipework.csv": over + "P,compressed air,pipe,500,3000,5500,3000,DN50,3300\n",
			"gaps.csv": "of,to,side,gap\ncompressed air,tray,below,told\n",
		}, "told T below P"},
		{"and not of what is above", map[string]string{
			"containment.csv": over + "T,data,tray,500,3000,5500,3000,300x60,3300\n", "pipework.csv": over + "P,compressed air,pipe,500,3000,5500,3000,DN50,2800\n",
			"gaps.csv": "of,to,side,gap\ncompressed air,tray,below,told\n",
		}, ""},
	} {
		t.Run(test.name, func(t *testing.T) {
			test.files["bays.csv"] = bay
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
			for _, r := range res.ToBeProtected {
				got = append(got, fmt.Sprintf("told %s below %s", r.Of, r.From))
			}
			slices.Sort(got)
			if s := strings.Join(got, "; "); s != test.want {
				t.Errorf("%q, want %q", s, test.want)
			}
		})
	}
}

// A gap asked by practice and one asked by law, of two pipes beside each other (their sides are at 1030, and 1030 more and the gap), at both sides of
// the edge of each. For one side one rule counts, the one by kinds before the one by services: with firm rules alone that is the one of law, for practice then
// asks nothing, however near the two are. Each is met where it is exactly as wide, and where it
// lacks less than the tenth that is told.
func TestFirmAtItsEdges(t *testing.T) {
	for _, test := range []struct {
		gap        float64
		want, firm string // what is told with all rules, and with firm ones
	}{
		{50.1, "", ""},
		{50, "", ""},
		{49.9, "tight 49.9 of 50 practice", ""},
		{30, "tight 30 of 50 practice", ""},
		{29.9, "tight 29.9 of 50 practice", "tight 29.9 of 30 law"},
		{0, "tight 0 of 50 practice", "tight 0 of 30 law"},
		{-2, "overlap 2 geometry", "overlap 2 geometry"},
	} {
		p := openText(t, map[string]string{
			"bays.csv": "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,9000,3600,none\n",
			"gaps.csv": "of,to,side,gap,basis\npipe,pipe,around,50,practice\ngas,water,around,30,law\n",
			"pipework.csv": "id,service,kind,x1,y1,x2,y2,size,level\nG,gas,pipe,500,1000,5500,1000,ø60,3000\n" +
				fmt.Sprintf("W,cold water,pipe,500,%[1]g,5500,%[1]g,ø60,3000\n", 1060+test.gap),
		})
		if len(p.Problems) > 0 {
			t.Fatal(p.Problems)
		}
		for firm, want := range map[bool]string{false: test.want, true: test.firm} {
			res, err := clash.Open(p, clash.Options{Touch: 1, Firm: firm}).Findings(context.Background())
			if err != nil {
				t.Fatal(err)
			}
			got := ""
			for _, f := range res.Findings {
				if f.Depth != nil {
					got += fmt.Sprintf("%s %g %s", f.Kind, *f.Depth.Sideways, f.Basis)
					continue
				}
				got += fmt.Sprintf("%s %g of %g %s", f.Kind, f.Gap, f.Asked, f.Basis)
			}
			if got != want {
				t.Errorf("%g apart, firm %v: %q, want %q", test.gap, firm, got, want)
			}
		}
	}
}

// A rule for a group is more exact than one for any, however much either asks: a wet pipe 50 beside a duct.
func TestAGroupIsMoreExactThanAny(t *testing.T) {
	for _, test := range []struct{ gaps, want string }{
		{"duct,any,beside,100\nduct,wet,beside,25\n", ""},
		{"duct,wet,beside,25\nduct,any,beside,100\n", ""},
		{"duct,any,beside,25\nduct,wet,beside,100\n", "50"},
		{"duct,any,beside,100\n", "50"},
	} {
		res := asked(t, map[string]string{
			"bays.csv": "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,9000,3600,none\n",
			"gaps.csv": "of,to,side,gap\n" + test.gaps,
			"z.csv":    "id,trade,service,kind,x1,y1,x2,y2,size,level\nD,ductwork,supply air,duct,1000,1000,5000,1000,200x200,3000\nP,pipework,cold water,pipe,1000,1175,5000,1175,50x50,3000\n",
		}, clash.Options{Touch: 1})
		got := ""
		for _, f := range res.Findings {
			got += fmt.Sprintf("%g", f.Short)
		}
		if got != test.want {
			t.Errorf("%q: %q, want %q", test.gaps, got, test.want)
		}
	}
}
