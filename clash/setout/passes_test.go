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
	next := a.NextTo(p, ch)
	said := func(c *setout.Clear) string {
		if c == nil {
			return "nothing"
		}
		return fmt.Sprintf("%.1f of %s, %.0f to %.0f", c.MM, c.Thing.Name, c.From, c.To)
	}
	if got := said(next.Above); got != "0.0 of B, 4400 to 4600" {
		t.Errorf("above %s", got)
	}
	if got := said(next.Below); got != "100.0 of P, 6450 to 6550" {
		t.Errorf("below %s", got)
	}
	var got []string
	for _, x := range next.Passed {
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

// next says what is next to a run, as text.
func next(n setout.Alongside) string {
	s := ""
	for _, c := range []*setout.Clear{n.Above, n.Below} {
		if c != nil {
			s += fmt.Sprintf("%.1f of %s, %.1f to %.1f; ", c.MM, c.Thing.Name, c.From, c.To)
		}
	}
	for i := range n.Passed {
		x := &n.Passed[i]
		switch {
		case x.Through == nil:
			s += fmt.Sprintf("%s %.1f above %t; ", x.Thing.Name, x.Clear, x.Above)
		case x.Through.Opening == nil:
			h := &x.Through.Hole
			s += fmt.Sprintf("%s hole %g x %g at %g, %g round; ", x.Thing.Name, h.Width, h.Height, h.Level, h.Margin)
		default:
			s += fmt.Sprintf("%s opening, room %g of %g; ", x.Thing.Name, x.Through.Room, x.Through.Asked)
		}
	}
	return s
}

// A tray 100 high rises by 100 over 100 of its length, from station 1000: its upper edge bends where the two lines through it meet, 100 x tan 22.5 = 41.4
// before its lower one, so that it is at 3000 + (1020 - 958.6) = 3061.4 where the beam B ends, station 1020, whose underside is at 3080: 18.6 are clear. Beside
// its level lengths alone 80 would be. Under its lower edge, which bends at 1000 itself, a pipe from 1080 to 1100 has its top at 2950: 2980 - 2950 = 30.
func TestNextToASet(t *testing.T) {
	ts := job()
	ts["tray.csv"] = "id,service,kind,x1,y1,x2,y2,size,level,run\nT1,LV power,tray,500,2000,10500,2000,100x100,2900,T\n"
	ts["steel.csv"] = "id,kind,x1,y1,x2,y2,size,level,face\nB,beam,1510,0,1510,4000,20x300,3080,bottom\n"
	ts["ductwork.csv"] = "id,service,kind,x1,y1,x2,y2,size,level\nP,supply air,duct,1590,0,1590,4000,20x100,2850\n"
	ts["gaps.csv"] = "of,to,side,gap,basis\nany,any,around,0,practice\n"
	p := ts.open(t)
	runs, err := setout.Assemble(p, "T", cell.Bottom)
	if err != nil {
		t.Fatal(err)
	}
	a := setout.Answer{Run: &runs[0], Found: true, Line: setout.Line{
		Sections: []setout.Section{{From: 0, To: 1000, Level: 2900}, {From: 1100, To: 10000, Level: 3000}},
		Steps:    []setout.Step{{From: 1000, To: 1100, Low: 2900, High: 3000, Rise: 100}},
	}}
	if got := next(a.NextTo(p, clash.Open(p, clash.Options{Touch: clash.None}))); got != "18.6 of B, 1020.0 to 1020.0; 30.0 of P, 1080.0 to 1080.0; B 18.6 above true; " {
		t.Error(got)
	}
}

// A duct 100 high falls by 1 in 100 from 2900: at the near side of the beam B, station 4000, its top is at 3000 - 40 = 2960, 90 under the beam's 3050. Its
// lower end is 100 over the ceiling; the pipe P, 119 under it, is further. The hole in the wall W is 100 + 50 each way, as the check has it in the middle of the wall,
// station 6000: 25 under 2900 - 60.
func TestNextToAFall(t *testing.T) {
	ts := job()
	delete(ts, "tray.csv")
	ts["drainage.csv"] = "id,service,kind,x1,y1,x2,y2,size,level,run,fall\nT1,condensate,pipe,500,2000,10500,2000,100x100,2900,T,1 in 100\n"
	ts["steel.csv"] = "id,kind,x1,y1,x2,y2,size,level,face\nB,beam,4550,0,4550,4000,100x300,3050,bottom\nW,wall,6500,0,6500,4000,400x1500,2200,bottom\n"
	ts["ductwork.csv"] = "id,service,kind,x1,y1,x2,y2,size,level\nP,supply air,duct,8550,0,8550,4000,100x100,2600\n"
	ts["gaps.csv"] = "of,to,side,gap,basis\nany,any,around,0,practice\n"
	p := ts.open(t)
	c := clash.Open(p, clash.Options{Touch: clash.None})
	runs, err := setout.Assemble(p, "T", cell.Bottom)
	if err != nil {
		t.Fatal(err)
	}
	f := setout.SetFall(p, c, &runs[0], nil, setout.Steps{AsDrawn: true})
	if f.Start == nil || *f.Start != 2900 {
		t.Fatalf("start %v", f.Start)
	}
	if got := next(f.NextTo(p, c)); got != "90.0 of B, 4000.0 to 4000.0; 100.0 of ceiling A, 10000.0 to 10000.0; B 90.0 above true; W hole 150 x 150 at 2815, 25 round; " {
		t.Error(got)
	}
}

// passedAt returns what run T goes through where it is laid at a level above FFL.
func passedAt(t *testing.T, ts tables, z float64) setout.Alongside {
	t.Helper()
	p := ts.open(t)
	c := clash.Open(p, clash.Options{Touch: clash.None})
	runs, err := setout.Assemble(p, "T", cell.Bottom)
	if err != nil {
		t.Fatal(err)
	}
	n := setout.SetOut(p, c, &runs[0], setout.Settings{Steps: setout.Steps{Min: &z, Max: &z}}).NextTo(p, c)
	n.Above, n.Below = nil, nil
	return n
}

// A tray of 200 x 60 at 2900 through a wall: the hole is 200 + 50 by 60 + 50, its underside 25 under the tray's. Through a beam by an opening of 300 x 200 whose middle is at
// 2930, as the tray's: 50 are left beside it and 70 over and under it; the project's own rule needs none.
func TestGoesThrough(t *testing.T) {
	ts := job()
	ts["tray.csv"] = "id,service,kind,x1,y1,x2,y2,size,level,run\nT1,LV power,tray,500,2000,10500,2000,200x60,2900,T\n"
	ts["steel.csv"] = "id,kind,x1,y1,x2,y2,size,level,face\nB,beam,5000,0,5000,4000,200x600,2600,bottom\nW,wall,8000,0,8000,4000,100x1500,2200,bottom\n"
	ts["openings.csv"] = "in,x,y,size,level,face\nB,5000,2000,300x200,2930,centre\n"
	ts["gaps.csv"] = "of,to,side,gap,basis\nany,any,around,0,practice\n"
	n := passedAt(t, ts, 2900)
	if got := next(n); got != "B opening, room 50 of 0; W hole 250 x 110 at 2875, 25 round; " {
		t.Error(got)
	}
	if len(n.Passed) > 0 {
		// From the underside of the opening, 2830, to its top less the tray, 3030 - 60.
		if v := n.Passed[0].Line; math.Abs(v.Lo-2830) > 0.1 || math.Abs(v.Hi-2970) > 0.1 {
			t.Errorf("the line can be from %g to %g", v.Lo, v.Hi)
		}
	}
}

// A run of two rows whose joint is in the web of a beam goes through its opening of 300 x 200 once, with the least room of the two: beside the one of 200 wide 50
// are left, beside that of 220 wide 40, over and under both 70.
func TestGoesThroughWithTheLeastRoom(t *testing.T) {
	for _, test := range []struct{ first, second string }{{"200x60", "220x60"}, {"220x60", "200x60"}} {
		ts := job()
		ts["tray.csv"] = "id,service,kind,x1,y1,x2,y2,size,level,run\nT1,LV power,tray,500,2000,5000,2000," + test.first + ",2900,T\nT2,LV power,tray,5000,2000,10500,2000," + test.second + ",2900,T\n"
		ts["steel.csv"] = "id,kind,x1,y1,x2,y2,size,level,face\nB,beam,5000,0,5000,4000,200x600,2600,bottom\n"
		ts["openings.csv"] = "in,x,y,size,level,face\nB,5000,2000,300x200,2930,centre\n"
		ts["gaps.csv"] = "of,to,side,gap,basis\nany,any,around,0,practice\n"
		n := passedAt(t, ts, 2900)
		if got := next(n); got != "B opening, room 40 of 0; " {
			t.Errorf("%s, then %s: %s", test.first, test.second, got)
		}
	}
}
