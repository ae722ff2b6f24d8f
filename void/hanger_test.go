package void_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/golang/geo/r2"
)

// What hangers.csv says of rods, of what they hang from and of what sits inside a channel.
func TestHangerRows(t *testing.T) {
	head := "hanger,part,height,side,width,rods,from\n"
	for _, test := range []struct {
		rows, name    string
		under         float64
		from          string
		rods          int
		rod           float64
		inside, warns string
	}{
		{"h,channel,41,,,2,soffit\nh,plate washer,5,,,,\nh,nut M8,6.8\n", "h", 52.8, "soffit", 2, 8, "", ""},
		{"h,channel,41,,,,beam\n", "h", 41, "beam flange", 0, 0, "", ""},
		{"h M12,channel,41,,,,\nh M12,nut,10.8,,,2,purlin\n", "h M12", 51.8, "purlin", 2, 12, "", ""},
		{"h,channel,41,,,2,deck\nh,nut M10,8.4,,,2,deck\n", "h", 49.4, "deck", 2, 10, "", ""},
		{
			"h,channel,41,,,2,deck\nh,nut M10,8.4,,,1,wall\n", "h", 49.4, "deck", 2, 10, "",
			"rods: 1 rods, but 2 in a row before; from: hangs from wall, but from deck in a row before",
		},
		// 2.5 + 2 + 8.4 + 1.5 = 14.4 of 21, said as they are or known by name.
		{
			"h,channel,21,,,,\nh,large washer M10,2.5,inside,30\nh,washer M10,2,inside,20\nh,nut M10,8.4,inside\nh,one thread,1.5,inside\n",
			"h", 21, "", 0, 10, "large washer M10 2.5, washer M10 2, nut M10 8.4, one thread 1.5", "",
		},
		{
			"h,channel,21,,,,\nh,large washer M10,0\nh,washer M10,0\nh,nut M10,0\nh,one thread M10,0\n",
			"h", 21, "", 0, 10, "large washer M10 0, washer M10 0, nut M10 0, one thread M10 0", "",
		},
		{
			"h,channel,21,,,,\nh,spacer,7,inside\nh,washer M10,0\nh,nut M10,0\nh,nut M10,0\n", "h", 21, "", 0, 10, "spacer 7, washer M10 0, nut M10 0, nut M10 0",
			`hanger: "h": spacer 7 + washer M10 2 + nut M10 8.4 + nut M10 8.4 take 25.8 inside its channel, which is 21 high`,
		},
		{
			"h,channel,41,,,,\nh,plate washer,0\nh,nut M10,0\n", "h", 41, "", 0, 10, "plate washer 0, nut M10 0",
			`hanger: "h": plate washer, 40 wide, does not go into its channel, 36 between the sides`,
		},
		{"h,channel,41,,,,\nh,plate,5,inside,36\n", "h", 41, "", 0, 0, "plate 5", ""},
		{
			"h,channel,41,,,,\nh,plate,5,inside,36.1\n", "h", 41, "", 0, 0, "plate 5",
			`hanger: "h": plate, 36.1 wide, does not go into its channel, 36 between the sides`,
		},
		// Of a part whose height nobody knows nothing is said: 8.4 + 15.
		{
			"h,channel,21,,,,\nh,nut M10,8.4,inside\nh,clip,0,inside\nh,spacer,15,inside\n", "h", 21, "", 0, 10, "nut M10 8.4, clip 0, spacer 15",
			`hanger: "h": nut M10 8.4 + spacer 15 take 23.4 inside its channel, which is 21 high`,
		},
		// Of one whose width nobody knows the height is said all the same, and of one whose height nobody knows the width.
		{"h,channel,21,,,,\nh,spacer,22,inside\n", "h", 21, "", 0, 0, "spacer 22", `hanger: "h": spacer 22 take 22 inside its channel, which is 21 high`},
		{"h,channel,21,,,,\nh,spacer,21,inside\n", "h", 21, "", 0, 0, "spacer 21", ""},
		{"h,channel,41,,,,\nh,plate,0,inside,50\n", "h", 41, "", 0, 0, "plate 0", `hanger: "h": plate, 50 wide, does not go into its channel, 36 between the sides`},
		// Without a channel there is nothing that they must fit.
		{"h,strip 40x4,4,,180\nh,nut M10,8.4,inside\nh,plate washer,0\n", "h", 4, "", 0, 10, "nut M10 8.4, plate washer 0", ""},
		// Built-in ones.
		{"h,arm,1\n", "channel 41 M12", 41 + 5 + 10.8 + 1.75, "", 2, 12, "", ""},
		{"h,arm,1\n", "channel 21 nut inside", 21, "", 2, 10, "large washer M10 2.5, washer M10 2, nut M10 8.4, one thread 1.5", ""},
		{"h,arm,1\n", "side bracket", 0, "wall", 0, 0, "", ""},
		{"h,arm,1\n", "pipe clip", 0, "", 1, 10, "", ""},
	} {
		p := build(t, "storey,x1,y1,x2,y2,size,level,hanger", "Ground,500,1000,5500,1000,300x60,2900,"+test.name, map[string]string{"hangers.csv": head + test.rows})
		if len(p.Problems) > 0 {
			t.Fatal(p.Problems)
		}
		i, _ := p.ZoneByID("Z")
		h := &p.Hangers[p.Zone(i).Hanger]
		var inside, warns []string
		for _, part := range h.Parts {
			if part.Inside {
				inside = append(inside, fmt.Sprintf("%s %g", part.Name, part.Height))
			}
		}
		for _, w := range p.Warnings {
			warns = append(warns, w.Cell+": "+w.What)
			if w.File != "hangers.csv" || w.Line == 0 {
				t.Errorf("%q: the warning stands at %s:%d", test.rows, w.File, w.Line)
			}
		}
		if d := h.Under - test.under; d > 1e-9 || d < -1e-9 || h.From != test.from || h.Rods != test.rods || h.Rod != test.rod {
			t.Errorf("%q: %s has %v under it, %d rods of %v from %q; want %v, %d of %v from %q", test.rows, test.name, h.Under, h.Rods, h.Rod, h.From, test.under, test.rods, test.rod, test.from)
		}
		if got := strings.Join(inside, ", "); got != test.inside {
			t.Errorf("%q: inside %s are %q, want %q", test.rows, test.name, got, test.inside)
		}
		if got := strings.Join(warns, "; "); got != test.warns {
			t.Errorf("%q: warnings %q\nwant %q", test.rows, got, test.warns)
		}
	}
}

// SteelAt finds the lowest steel over a point that is above a level.
func TestSteelAt(t *testing.T) {
	p := build(t, "storey,x1,y1,x2,y2,size,level,kind", "Ground,500,1000,5500,1000,300x60,2900,tray", map[string]string{
		"steel.csv": "id,storey,kind,x1,y1,x2,y2,size,level,fall\nB1,Ground,beam,0,1000,6000,1000,200x300,3300,\nB2,Ground,purlin,2000,0,2000,4000,100x200,3100,\n" +
			"B3,Ground,beam,4000,0,4000,4000,100x200,3100,1 in 20\nC,Ground,column,1000,1000,,,200x200,FFL..3000,\n",
	})
	if len(p.Problems) > 0 {
		t.Fatal(p.Problems)
	}
	ffl := p.Storeys[0].FFL
	for _, test := range []struct {
		x, y, above float64
		want        string
	}{
		{1000, 1000, 2960, "B1 3300"},
		{2000, 1000, 2960, "B2 3100"},
		{2000, 1000, 3150, "B1 3300"}, // the purlin is not above it
		{2000, 1000, 3100, "B2 3100"}, // it rests against it
		{2000, 1000, 3301, ""},
		{1000, 1200, 2960, ""},
		{4000, 2000, 2900, "B3 3000"}, // falling: 100 lower after 2000
		{4000, 3000, 2900, "B3 2950"},
	} {
		got := ""
		if i, u, ok := p.SteelAt(0, r2.Point{X: test.x, Y: test.y}, ffl+test.above); ok {
			got = fmt.Sprintf("%s %.0f", p.Zone(int(i)).ID, u-ffl)
		}
		if got != test.want {
			t.Errorf("SteelAt(%v, %v, %v) = %q, want %q", test.x, test.y, test.above, got, test.want)
		}
	}
}
