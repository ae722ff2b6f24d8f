package support_test

import (
	"fmt"
	"testing"

	"voidline/clash/support"
)

// The box round a support is that round all its bodies: channel and rods, and the plates of 40 under the channel where it ends
// within them.
func TestBox(t *testing.T) {
	hangers := map[string]string{"hangers.csv": "hanger,part,height,side,width,rods,from\n" +
		"over,channel,41,over,,2,\none,clevis M12,30,under,,1,\narm,arm,30,under,400,,wall\n"}
	for _, test := range []struct {
		row  string
		past float64
		want string
	}{
		{"T,,tray,0,1000,600,1000,300x60,,2900,,channel 41 M10,,,", 0, "279.5 770 2844.1 to 320.5 1230 3600"},
		{"T,,tray,0,1000,600,1000,300x60,,2900,,channel 41 M10,,,", 10, "279.5 780 2844.1 to 320.5 1220 3600"},
		{"T,,tray,1000,0,1000,600,300x60,,2900,,channel 41 M10,,,", 10, "780 279.5 2844.1 to 1220 320.5 3600"},
		{"T,,tray,0,1000,600,1000,300x60,,2900,,over,,,", 0, "279.5 770 2960 to 320.5 1230 3600"},
		{"P,,pipe,0,1000,600,1000,ø60,,2900,,one,,,", 0, "279.5 970 2870 to 320.5 1030 3600"},
		{"T,,tray,0,1000,600,1000,300x60,,2900,,arm,,,", 0, "279.5 800 2870 to 320.5 1200 2900"},
	} {
		p := project(t, test.row+"\n", hangers)
		pl := support.Of(p, support.Options{Past: test.past})
		s := pl.Zone(0)[0]
		lo, hi := s.Box()
		if got := fmt.Sprintf("%g %g %g to %g %g %g", r1(lo.X), r1(lo.Y), r1(lo.Z), r1(hi.X), r1(hi.Y), r1(hi.Z)); got != test.want {
			t.Errorf("%s, past %g: %s, want %s\n%s", test.row, test.past, got, test.want, bodies(&s))
		}
	}
}
