package clash

import (
	"context"
	"fmt"
	"math"
	"testing"
	"testing/fstest"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r3"

	"voidline/clash/forbid"
	"voidline/io/table"
)

// Along a level direction a bay's ceiling and soffit are prisms over its plan. A pipe of 50 from x 1000 to 2000 lies with its top at
// 3050, its underside at 3000; bay B, from x 6000 to 9000, has its soffit at 3020 and its ceiling at 2500, C, from 9000 to
// 12000, its ceiling at 2990 with 25 asked over it. To the east it is let go 4000 until its end comes to B, and again only past B
// and C, which no shift within 9000 does. So it is wherever the whole stands, and with x and y the other way about.
func TestForbiddenBesideBays(t *testing.T) {
	for _, at := range [][2]int{{0, 0}, {0, 50000}, {50000, 0}, {-30000, -70000}} {
		for _, turned := range []bool{false, true} {
			forbiddenBesideBays(t, at, turned)
		}
	}
}

func forbiddenBesideBays(t *testing.T, at [2]int, turned bool) {
	t.Helper()
	xy := func(x1, y1, x2, y2 int) string {
		if turned {
			x1, y1, x2, y2 = y1, x1, y2, x2
		}
		return fmt.Sprint(at[0]+x1, ",", at[1]+y1, ",", at[0]+x2, ",", at[1]+y2)
	}
	dir := r3.Vector{X: 1}
	if turned {
		dir = r3.Vector{Y: 1}
	}
	p, err := table.Open(context.Background(), "p", table.Options{FS: fstest.MapFS{
		"bays.csv": {Data: []byte("bay,x1,y1,x2,y2,soffit,ceiling\nA," + xy(0, 0, 6000, 4000) + ",3600,2500\nB," + xy(6000, 0, 9000, 4000) +
			",3020,2500\nC," + xy(9000, 0, 12000, 4000) + ",3600,2990\n")},
		"pipe.csv": {Data: []byte("id,service,kind,x1,y1,x2,y2,size,level\nP,CHW flow,pipe," + xy(1000, 2000, 2000, 2000) + ",ø50,3000\n")},
	}})
	if err != nil || len(p.Problems) > 0 {
		t.Fatal(err, p.Problems)
	}
	c := Open(p, Options{})
	c.Laid(0)
	got := map[string]r1.Interval{}
	for _, b := range forbid.Forbidden(c.tape, forbid.Query{Full: c.Full(0), Dir: dir, Within: r1.Interval{Lo: -9000, Hi: 9000}, Hung: true}) {
		x := c.bar(&b)
		got[x.By] = b.Interval
	}
	want := map[string]r1.Interval{"soffit B": {Lo: 4000, Hi: 8000}, "ceiling C": {Lo: 7000, Hi: 11000}}
	for by, w := range want {
		if g, ok := got[by]; !ok || math.Abs(g.Lo-w.Lo) > 1e-6 || math.Abs(g.Hi-w.Hi) > 1e-6 {
			t.Errorf("at %v, turned %v: %s forbids %v, want %v", at, turned, by, g, w)
		}
	}
	if len(got) != len(want) {
		t.Errorf("at %v, turned %v: %v forbid, want no more than %v", at, turned, got, want)
	}
}
