package clash_test

import (
	"context"
	"fmt"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/golang/geo/r3"

	"voidline/clash"
	"voidline/io/table"
	"voidline/void"
	"voidline/void/body"
)

func liftJob(t *testing.T, rows string) *void.Project {
	t.Helper()
	p, err := table.Open(context.Background(), "job", table.Options{FS: fstest.MapFS{
		"bays.csv": {Data: []byte("bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,4000,3600,2000\n")},
		"gaps.csv": {Data: []byte("of,to,side,gap,over\ntray,pipe,around,200,700\n")},
		"tray.csv": {Data: []byte("id,service,kind,x1,y1,x2,y2,size,level,fall,run\n" + rows)},
		"pipe.csv": {Data: []byte("id,service,kind,x1,y1,x2,y2,size,level\nP,CHW flow,pipe,1000,2150,1690,2150,ø50,3000\n")},
	}})
	if err != nil || len(p.Problems) > 0 {
		t.Fatal(err, p.Problems)
	}
	return p
}

// What is added up along a run agrees with the check of the same rows, sets with their length along the slope.
func TestSummedAgreesWithTheCheck(t *testing.T) {
	// A pipe of 690 beside a tray; near is what lies closer than 200, and counts from 700 on. The pipe's ends reach a
	// little further along the tray: sqrt(200 x 200 - 100 x 100) = 173 each.
	level := func(from, to float64, z int) string { return fmt.Sprintf("%v,2000,%v,2000,50x50,%d,,T", from, to, z) }
	for _, test := range []struct {
		why  string
		rows []string
		want bool
	}{
		{"one row, not long enough", []string{level(1000, 1650, 3000)}, false},
		{"one row, long enough: a finding of its own", []string{level(0, 3000, 3000)}, false},
		{"two short rows, not long enough together", []string{level(1000, 1300, 3000), level(1300, 1650, 3000)}, false},
		{"two short rows, long enough together", []string{level(1000, 1400, 3000), level(1400, 1800, 3000)}, true},
		{"a set, which is longer along its slope", []string{level(1000, 1250, 3000), "1250,2000,1500,2000,50x50,3000,1000 mm/m,T", level(1500, 1670, 2750)}, false},
		{"a set that makes it long enough", []string{level(1000, 1250, 3000), "1250,2000,1350,2000,50x50,3000,-1000 mm/m,T", level(1350, 1690, 3100)}, true},
	} {
		rows := ""
		for i, r := range test.rows {
			rows += fmt.Sprintf("T%d,LV power,tray,%s\n", i+1, r)
		}
		p := liftJob(t, rows)
		c := clash.Open(p, clash.Options{})
		res, err := c.Findings(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		found := false
		for _, f := range res.Findings {
			found = found || strings.Contains(f.Note, "its rows together")
		}
		var laid []clash.Laid
		for i := range p.Zones() {
			if p.Zone(i).Run() == "T" {
				laid = append(laid, clash.Laid{Zone: i, Bare: p.Zone(i).Bare()})
			}
		}
		got := c.Summed(laid)
		if found != test.want || (len(got) == 1) != test.want {
			t.Errorf("%s: the check finds it %v, Summed %+v, want %v", test.why, found, got, test.want)
		}
		// One row, laid in parts, says the same.
		if len(test.rows) == 1 {
			continue
		}
		for i := range laid {
			laid[i].Zone = laid[0].Zone
		}
		if got := c.Summed(laid); (len(got) == 1) != test.want {
			t.Errorf("%s: in parts of one row Summed %+v", test.why, got)
		}
	}
}

// Bars at once forbid all that bars do.
func TestBarsAtOnceForbidMore(t *testing.T) {
	p := liftJob(t, "T1,LV power,tray,1000,2000,1400,2000,50x50,2800,,T\n")
	c := clash.Open(p, clash.Options{})
	i, _ := p.ZoneByID("T1")
	b := body.Box(r3.Vector{X: 1000, Y: 2000, Z: 2825}, r3.Vector{X: 1400, Y: 2000, Z: 2825}, 50, 50)
	barred := func(bars []clash.Bar) bool {
		for _, x := range bars {
			if x.By == "P" && x.Asked == 200 {
				return true
			}
		}
		return false
	}
	if barred(c.Bars(i, b)) || !barred(c.BarsAtOnce(i, b)) {
		t.Errorf("400 beside a pipe, which counts from 700 on: %v, at once %v; want false, true", barred(c.Bars(i, b)), barred(c.BarsAtOnce(i, b)))
	}
}
