package setout_test

import (
	"fmt"
	"testing"

	"voidline/clash"
	"voidline/clash/setout"
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
