package setout_test

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"math"
	"slices"
	"testing"

	"voidline/clash"
	"voidline/clash/setout"
	"voidline/void"
	"voidline/void/cell"
)

// A tray at 3000 steps down under a duct and up again after it. A support that is set out and can be moved is told where a set lands on it; where it is
// fixed no set is over any of its 41 mm, nor can one begin so that it would be.
func TestNoSetOverAFixedSupport(t *testing.T) {
	told := 0
	for _, stage := range []string{"drawn", "fixed"} {
		for _, at := range []float64{4300, 4350, 4400, 4450} {
			ts := job()
			ts["tray.csv"] = "id,service,kind,x1,y1,x2,y2,size,level,hanger,run\nT1,LV power,tray,500,2000,10500,2000,100x100,3000,channel 41 M10,T\n"
			ts["ductwork.csv"] = "id,service,kind,x1,y1,x2,y2,size,level\nD,supply air,duct,5300,0,5300,4000,600x300,2990\n"
			ts["supports.csv"] = fmt.Sprintf("run,number,along,stage\nT,12,%v,%s\n", at, stage)
			p := ts.open(t)
			ch := clash.Open(p, clash.Options{Touch: clash.None})
			runs, err := setout.Assemble(p, "T", cell.Bottom)
			if err != nil || len(p.Supports) != 1 {
				t.Fatal(err, p.Problems)
			}
			z := 3000.0
			a := setout.SetOut(p, ch, &runs[0], setout.Settings{Steps: setout.Steps{Straight: 100, Start: &z, End: &z}})
			if !a.Found || len(a.Line.Steps) != 2 {
				t.Fatalf("%v: no line with two sets: %+v", at, a.Line)
			}
			u := setout.SupportRun(p, ch, a, setout.Hanging{})
			onSet := len(u.Stuck) > 0 && u.Stuck[0].OnSet && u.Stuck[0].N == 12
			if !onSet && (len(u.List) != 1 || u.List[0].N != 12 || u.List[0].At != at) {
				t.Errorf("%s at %v: supports %+v, stuck %+v", stage, at, u.List, u.Stuck)
			}
			if stage == "drawn" {
				if onSet {
					told++
				}
				continue
			}
			for _, st := range a.Line.Steps {
				long := st.To - st.From
				for _, from := range []float64{st.From, st.Earliest, st.Latest} {
					if from < at+20.5-1e-6 && from+long > at-20.5+1e-6 {
						t.Errorf("the fixed support at %v: a set from %v to %v (%+v)", at, from, from+long, st)
					}
				}
			}
		}
	}
	if told == 0 {
		t.Error("no set lands on a support: the test says little")
	}
}

// The rods of a tray are barred by a duct over it from 2900 to 3100, where one would stand in the middle, so one support is not at its usual place. Its sheet written as supports.csv, and read back, is what would be
// placed anyway: nothing is said to be set out. With one of them 10 further on it is.
func TestPlacesBesideABarComeBack(t *testing.T) {
	ts := tables{
		"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,12000,9000,3600,2400\n",
		"tray.csv":     "id,service,kind,x1,y1,x2,y2,size,level,hanger,run\nT1,LV power,tray,0,2000,6000,2000,300x60,3000,channel 41 M10,T\n",
		"ductwork.csv": "id,service,kind,x1,y1,x2,y2,size,level\nD,supply air,duct,3000,0,3000,4000,200x200,3220\n",
	}
	out := func() (*void.Project, *setout.Run, *setout.Supports) {
		p := ts.open(t)
		runs, err := setout.Assemble(p, "T", cell.Bottom)
		if err != nil || len(p.Problems) > 0 {
			t.Fatal(err, p.Problems)
		}
		ch := clash.Open(p, clash.Options{Touch: clash.None})
		a := setout.SetOut(p, ch, &runs[0], setout.Settings{Steps: setout.Steps{AsDrawn: true}})
		if !a.Found || len(a.Line.Steps) > 0 {
			t.Fatalf("no level line: %+v", a.Line)
		}
		return p, &runs[0], setout.SupportRun(p, ch, a, setout.Hanging{})
	}
	p, run, was := out()
	for _, s := range was.List {
		if s.At > 2895+1e-6 && s.At < 3105-1e-6 {
			t.Errorf("a rod of 10 at %g is in the duct", s.At)
		}
	}
	rows := setout.SupportRows(p, run, "", was)
	for _, move := range []bool{false, true} {
		var b bytes.Buffer
		w := csv.NewWriter(&b)
		_ = w.Write(setout.SupportColumns())
		for k, r := range rows {
			if move && k == 2 {
				r = slices.Clone(r)
				at := slices.Index(setout.SupportColumns(), "along")
				r[at] = fmt.Sprint(was.List[2].At + 10)
			}
			_ = w.Write(r)
		}
		w.Flush()
		ts["supports.csv"] = b.String()
		if _, _, is := out(); is.Set != move || len(is.List) != len(was.List) {
			t.Errorf("moved %v: set out %v, %d supports, before %d", move, is.Set, len(is.List), len(was.List))
		}
	}
}

// A tray of two lengths comes to a frame of which the usual places are barred by a duct over it, so that one support stands just where the frame begins.
// It is the frame's: with its own sheet as supports.csv nothing is said to be set out, and each stands where it did.
func TestPlacesAtTheBeginningOfAFrameComeBack(t *testing.T) {
	ts := tables{
		"bays.csv": "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,4000,6000,3600,2400\nB,4000,0,12000,6000,3550,2400\n",
		"tray.csv": "id,kind,x1,y1,x2,y2,size,level,hanger,frame,tier,run\n" +
			"T0,tray,1055,500,2000,500,150x60,2900,channel 41 M10,,,T\nT1,tray,2000,500,4675,500,150x60,2900,channel 41 M10,,,T\n" +
			"T2,tray,4675,500,5375,500,150x60,2900,channel 41 M10,F,1,T\nU,tray,4675,500,5375,500,150x60,3122,channel 41 M10,F,2,U\n",
		"ductwork.csv": "id,service,kind,x1,y1,x2,y2,size,level\nD,supply air,duct,4900,0,4900,6000,400x200,3150\n",
	}
	out := func() (*void.Project, *setout.Run, *setout.Supports) {
		p := ts.open(t)
		runs, err := setout.Assemble(p, "T", cell.Bottom)
		if err != nil || len(p.Problems) > 0 {
			t.Fatal(err, p.Problems)
		}
		ch := clash.Open(p, clash.Options{Touch: clash.None})
		a := setout.SetOut(p, ch, &runs[0], setout.Settings{Steps: setout.Steps{AsDrawn: true}})
		if !a.Found || len(a.Line.Steps) > 0 {
			t.Fatalf("no level line: %+v", a.Line)
		}
		return p, &runs[0], setout.SupportRun(p, ch, a, setout.Hanging{})
	}
	p, run, was := out()
	const begins = 4675 - 1055
	if !slices.ContainsFunc(was.List, func(s setout.Support) bool { return s.At == begins && len(s.Tiers) == 2 }) {
		t.Fatalf("none stands where the frame begins: %+v", was.List)
	}
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	_ = w.Write(setout.SupportColumns())
	_ = w.WriteAll(setout.SupportRows(p, run, "", was))
	ts["supports.csv"] = b.String()
	_, _, is := out()
	if was.Set || is.Set {
		t.Errorf("set out before: %v, with its own sheet: %v", was.Set, is.Set)
	}
	if !slices.EqualFunc(was.List, is.List, func(x, y setout.Support) bool {
		return math.Abs(x.At-y.At) <= 2*void.Hair && len(x.Tiers) == len(y.Tiers)
	}) {
		t.Errorf("before %+v, with its own sheet %+v", was.List, is.List)
	}
}
