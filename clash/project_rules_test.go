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
