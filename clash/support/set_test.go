package support_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"voidline/clash/support"
)

// What is set out takes the place of the usual supports of its length, keeps its number, and may move as far as its neighbours let it: no
// further than 1500 from them, and than 300 from an end. R is T1 and T2, which is drawn the other way, 6000 long; V stays as usual.
func TestSet(t *testing.T) {
	p := project(t, "T1,,tray,0,1000,3000,1000,300x60,,2900,,channel 41 M10,,,R\nT2,,tray,6000,1000,3000,1000,300x60,,2900,,channel 41 M10,,,R\n"+
		"V,,tray,0,3000,3000,3000,300x60,,2900,,channel 41 M10,,,\n",
		map[string]string{"supports.csv": "run,row,number,along\n,T2,12,200\n,T1,10,250\nR,,11,1700\nr,,13,4000\n"})
	pl := support.Of(p, support.Options{})
	var got []string
	for _, id := range []string{"T1", "T2", "V"} {
		for _, s := range pl.Zone(row(t, p, id)) {
			got = append(got, fmt.Sprintf("%s %d at %g, x %g, %g to %g", id, s.N, r1(s.At), r1(s.Where.X), r1(s.Low), r1(s.High)))
		}
	}
	// T2's station is 6000 less its place: 13 at 4000, 12 at 5800. From 1700 to 4000 it is too far: there each may only come nearer.
	want := "T1 10 at 250, x 250, 200 to 300\nT1 11 at 1700, x 1700, 1700 to 1750\n" +
		"T2 13 at 2000, x 4000, 4000 to 4000\nT2 12 at 200, x 5800, 5700 to 5800\n" +
		"V 1 at 300, x 300, 0 to 300\nV 2 at 1500, x 1500, 1200 to 1800\nV 3 at 2700, x 2700, 2700 to 3000"
	if g := strings.Join(got, "\n"); g != want {
		t.Errorf("%s\nwant\n%s", g, want)
	}
}

// What bars two stretches is told once, with both lengths, and what bars the most first. Two openings in soffits are no zone: they are told
// apart by their rows.
func TestBarsOfTwoStretchesTogether(t *testing.T) {
	hole := func(row string, long float64) support.Barring {
		return support.Barring{What: support.BarredByHole, Part: "rod", Zone: -1, Name: row, Length: long}
	}
	got := support.Together([]support.Barring{hole("openings.csv:2", 300)}, []support.Barring{hole("openings.csv:3", 400), hole("openings.csv:2", 200)})
	// 300 and 200 are 500.
	if want := []support.Barring{hole("openings.csv:2", 500), hole("openings.csv:3", 400)}; !slices.Equal(got, want) {
		t.Errorf("came %+v, want %+v", got, want)
	}
}

// A support is made as its own row says: one rod in place of two, another hanger, hung from the soffit where steel is over both rods. What is
// fixed does not move. A run takes only what is set out of it: nothing on the length after its corner.
func TestSetMadeOtherwise(t *testing.T) {
	p := project(t, "T1,,tray,0,1000,3000,1000,300x60,,2900,,channel 41 M10,,,R\nT2,,tray,3000,1000,3000,4000,300x60,,2900,,channel 41 M10,,,R\n"+
		"T3,,tray,9000,1000,12000,1000,300x60,,2900,,channel 41 M10,,,\n",
		map[string]string{
			"steel.csv":    "id,kind,x1,y1,x2,y2,size,level,face\nSB,beam,500,0,500,8000,200x300,soffit,top\n",
			"supports.csv": "run,row,number,along,hanger,rods,from,stage\nR,,1,500,,,,fixed\nR,,2,540,,,soffit,\nR,,3,1500,channel 21 M10,,,\nR,,4,2500,,1,,\n",
		})
	pl := support.Of(p, support.Options{})
	var got []string
	for _, id := range []string{"T1", "T2", "T3"} {
		for _, s := range pl.Zone(row(t, p, id)) {
			got = append(got, fmt.Sprintf("%s %d %s, %d rods, %g under, from %s, fixed %t", id, s.N, p.Hangers[s.Hanger].Name, s.Rods, r1(s.Levels()[0].Carry), pl.HeldBy(&s), s.Fixed))
		}
	}
	// The beam is 400 to 600 along: 1 hangs from it, 2 is told not to.
	want := "T1 1 channel 41 M10, 2 rods, 41 under, from SB, fixed true\nT1 2 channel 41 M10, 2 rods, 41 under, from soffit B1, fixed false\n" +
		"T1 3 channel 21 M10, 2 rods, 21 under, from soffit B1, fixed false\nT1 4 channel 41 M10, 1 rods, 41 under, from soffit B1, fixed false\n" +
		"T3 1 channel 41 M10, 2 rods, 41 under, from soffit B1, fixed false\nT3 2 channel 41 M10, 2 rods, 41 under, from soffit B1, fixed false\nT3 3 channel 41 M10, 2 rods, 41 under, from soffit B1, fixed false"
	if g := strings.Join(got, "\n"); g != want {
		t.Errorf("%s\nwant\n%s", g, want)
	}
}
