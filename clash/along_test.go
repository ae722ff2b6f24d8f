package clash_test

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"voidline/clash"
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
