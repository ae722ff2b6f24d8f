package measure_test

import (
	"context"
	"math"
	"testing"
	"testing/fstest"

	"voidline/clash/measure"
	"voidline/clash/rules"
	"voidline/clash/scene"
	"voidline/io/table"
)

// Of a pipe that joins a unit as much is excused as goes in at its end, up to 1.5 times the unit's section and 300 more: 900 + 300. What
// is left is measured as any two. The unit is 3000 long from x 1500 to 4500, 600 wide and 300 high from 3000; the pipe of 40 lies
// 100 over its underside, in the middle of its width: 140 down parts them, and 300 + 20 sideways.
func TestWhatIsLeftOfAMeeting(t *testing.T) {
	for _, test := range []struct {
		name, pipe         string
		comes              measure.Outcome
		vertical, sideways float64
	}{
		{"1100 in: nothing is left", "0,3000,2600,3000", measure.ToExcuse, 0, 0},
		{"2000 in: 800 are left", "0,3000,3500,3000", measure.ToFinding, 140, 320},
		{"and drawn the other way", "3500,3000,0,3000", measure.ToFinding, 140, 320},
		{"1300 in: 100 along it are less than either", "0,3000,2800,3000", measure.ToFinding, 140, 100},
		{"all in it, 2000 long: 1200 off either end", "2000,3000,4000,3000", measure.ToExcuse, 0, 0},
		{"all in it, 2800 long: 400 are left", "1600,3000,4400,3000", measure.ToFinding, 140, 320},
	} {
		p, err := table.Open(context.Background(), "p", table.Options{FS: fstest.MapFS{
			"bays.csv":  {Data: []byte("bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,9000,3800,2400\n")},
			"units.csv": {Data: []byte("id,kind,x1,y1,size,level,reach\nU,unit,3000,3000,3000x600x300,3000,no\n")},
			"pipes.csv": {Data: []byte("id,trade,service,kind,x1,y1,x2,y2,size,level,joins\nP,pipework,LTHW,pipe," + test.pipe + ",ø40,3100,U\n")},
		}})
		if err != nil || len(p.Problems) > 0 {
			t.Fatal(err, p.Problems)
		}
		s := scene.Of(p, 1)
		s.Set = rules.New(p, []rules.Rule{}, false)
		s.Look()
		tape := measure.On(s)
		i, _ := p.ZoneByID("P")
		j, _ := p.ZoneByID("U")
		e := tape.Encounter(tape.Drawn(int32(i)), tape.Drawn(int32(j)), s.Set.Between(s.Trait(int32(i)), s.Trait(int32(j))), 1, true)
		ok := e.Comes == test.comes
		if test.comes == measure.ToFinding {
			ok = ok && e.V.Overlap && math.Abs(e.V.Vertical-test.vertical) < 1e-6 && math.Abs(e.V.Sideways-test.sideways) < 1e-6
		}
		if !ok {
			t.Errorf("%s: comes to %v, %v upright and %v level; want %v, %v and %v", test.name, e.Comes, e.V.Vertical, e.V.Sideways, test.comes, test.vertical, test.sideways)
		}
	}
}
