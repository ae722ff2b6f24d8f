package setout_test

import (
	"fmt"
	"math"
	"testing"

	"voidline/clash"
	"voidline/clash/setout"
	"voidline/void/cell"
)

// A tray 100 high at 2900 to 3000, from x 500 to 10500, under a beam B at x 4900 to 5100 whose underside is at 3000 (it touches), a second, C, at 8000 whose
// underside is at 3150, and over a pipe P, 2700 to 2800 at x 6950 to 7050. 100 are clear between the two.
func TestTightestAlongTheRun(t *testing.T) {
	ts := job()
	ts["tray.csv"] = "id,service,kind,x1,y1,x2,y2,size,level,hanger,run\nT1,LV power,tray,500,2000,10500,2000,100x100,2900,channel 41 M10,T\n"
	ts["steel.csv"] = "id,kind,x1,y1,x2,y2,size,level,face\nB,beam,5000,0,5000,4000,200x300,3000,bottom\nC,beam,8000,0,8000,4000,200x200,3150,bottom\n"
	ts["ductwork.csv"] = "id,service,kind,x1,y1,x2,y2,size,level\nP,supply air,duct,7000,0,7000,4000,100x100,2700\n"
	ts["gaps.csv"] = "of,to,side,gap,basis\nany,any,around,0,practice\n"
	p := ts.open(t)
	ch := clash.Open(p, clash.Options{Touch: clash.None})
	runs, err := setout.Assemble(p, "T", cell.Bottom)
	if err != nil {
		t.Fatal(err)
	}
	z := 2900.0
	a := setout.SetOut(p, ch, &runs[0], setout.Settings{Steps: setout.Steps{Min: &z, Max: &z}})
	if !a.Found {
		t.Fatalf("no line: %+v", a.Blocks)
	}
	above, below := a.Tightest()
	said := func(c *setout.Clear) string {
		if c == nil {
			return "nothing"
		}
		return fmt.Sprintf("%.1f of %s, %.0f to %.0f", c.MM, c.Thing.Name, c.From, c.To)
	}
	if got := said(above); got != "0.0 of B, 4400 to 4600" {
		t.Errorf("above %s", got)
	}
	if got := said(below); got != "100.0 of P, 6450 to 6550" {
		t.Errorf("below %s", got)
	}
	var got []string
	for _, x := range a.Passes(p) {
		got = append(got, fmt.Sprintf("%s %.0f to %.0f, above %t, %.1f", x.Thing.Name, x.From, x.To, x.Above, x.Clear))
	}
	if g := fmt.Sprint(got); g != "[B 4400 to 4600, above true, 0.0 C 7400 to 7600, above true, 150.0]" {
		t.Error(g)
	}
}

// A set of 100 up over 100 lies at 45 degrees: its marks are 141.4 apart, and what comes after is 41.4 further along the run than along the plan. One of 30 over
// 100 lies at 17 degrees, 104.4 long.
func TestBendMarks(t *testing.T) {
	a := setout.Answer{Line: setout.Line{Steps: []setout.Step{{From: 1000, To: 1100, Rise: 100}, {From: 3000, To: 3100, Rise: -30}}}}
	got := a.Bends(0)
	want := []setout.Bend{{Angle: 45, First: 1000, Second: 1000 + 100*math.Sqrt2}, {Angle: 17, First: 3000 + 100*(math.Sqrt2-1), Second: 3000 + 100*(math.Sqrt2-1) + math.Hypot(100, 30)}}
	for i := range want {
		if g, w := got[i], want[i]; g.Angle != w.Angle || math.Abs(g.First-w.First) > 1e-9 || math.Abs(g.Second-w.Second) > 1e-9 {
			t.Errorf("%+v, want %+v", g, w)
		}
	}
}
