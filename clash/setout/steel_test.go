package setout_test

import (
	"testing"

	"voidline/clash"
	"voidline/clash/setout"
	"voidline/void/cell"
)

// A run hung from steel, with more of it past its end: between two such beams there is no steel either, but that is no part of the run. Setting
// out ends, and tells the last stretch as far as the run goes. Of the beams B is over 1900 to 2100 of its 4100, the others
// begin 150 and 550 past its end.
func TestNothingClearAtTheEnd(t *testing.T) {
	p := tables{
		"bays.csv":        "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,3000,3600,2400\n",
		"steel.csv":       "id,kind,x1,y1,x2,y2,size,level\nB,beam,2500,0,2500,3000,200x300,3300\nC,beam,4850,0,4850,3000,200x300,3300\nD,beam,5250,0,5250,3000,200x300,3300\n",
		"containment.csv": "id,service,kind,x1,y1,x2,y2,size,level,hanger,run\nT,power,tray,500,1500,4600,1500,300x60,2900,channel 41 M10,R\n",
	}.open(t)
	runs, err := setout.Assemble(p, "R", cell.Bottom)
	if err != nil {
		t.Fatal(err)
	}
	a := setout.SetOut(p, clash.Open(p, clash.Options{Touch: clash.None}), &runs[0], setout.Settings{})
	u := setout.SupportRun(p, clash.Open(p, clash.Options{Touch: clash.None}), a, setout.Hanging{From: setout.FromSteel})
	if len(u.List) != 1 || len(u.Gaps) != 2 {
		t.Fatalf("%d supports, gaps %v; want one under the beam and a gap on either side", len(u.List), u.Gaps)
	}
	if g := u.Gaps[1]; g.To != 4100 {
		t.Errorf("the last gap is %v to %v, want it to end at 4100", g.From, g.To)
	}
}

// Rods under a beam are told as hanging from steel, whichever row of the project the beam is: here the very first.
func TestRodsFromTheFirstRow(t *testing.T) {
	p := tables{
		"bays.csv":        "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,3000,3600,2400\n",
		"beams.csv":       "id,trade,kind,x1,y1,x2,y2,size,level\nB,steel,beam,2500,0,2500,3000,200x300,3300\nC,steel,beam,1000,0,1000,3000,200x300,3300\n",
		"containment.csv": "id,service,kind,x1,y1,x2,y2,size,level,hanger,run\nT,power,tray,500,1500,3000,1500,300x60,2900,channel 41 M10,R\n",
	}.open(t)
	a := setOut(t, p, "R", setout.Steps{AsDrawn: true})
	u := setout.SupportRun(p, clash.Open(p, clash.Options{Touch: clash.None}), a, setout.Hanging{From: setout.FromSteel})
	of := map[string]int{}
	for _, s := range u.List {
		for _, r := range s.Each {
			if !r.Steel {
				t.Errorf("support %d: a rod from %s is not on steel", s.N, r.Of)
			}
			of[r.Of]++
		}
	}
	if of["B"] == 0 || of["C"] == 0 {
		t.Errorf("rods hang from %v, want some from each beam", of)
	}
}
