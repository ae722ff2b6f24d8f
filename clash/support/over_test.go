package support_test

import (
	"testing"

	"voidline/clash/support"
	"voidline/void/body"
)

// A part over the service is as wide as the table says, as one under it is. The tray is 300 wide, in y 850 to 1150, its top at 2960.
func TestWidthOfAPartOverTheService(t *testing.T) {
	hangers := map[string]string{"hangers.csv": "hanger,part,height,side,width,rods,from\n" +
		"hood,arm,30,over,400,,wall\n" +
		"over,channel,41,over,600,2,\n" +
		"both,channel,41,under,,2,\nboth,clamp,20,over,500,,\n"}
	for _, test := range []struct {
		hanger, want string
		under        float64 // how wide what hangs under is, 0: nothing does
	}{
		{"hood", "channel x 279.5 to 320.5, y 800 to 1200, z 2960 to 2990", 0},
		// Rods 30 from its ends.
		{"over", "rod x 295 to 305, y 725 to 735, z 2960 to 3600\nrod x 295 to 305, y 1265 to 1275, z 2960 to 3600\nchannel x 279.5 to 320.5, y 700 to 1300, z 2960 to 3001", 0},
		// Both lie between the same rods; what hangs under the tray along its length is as wide as the tray and 160, as ever.
		{
			"both", "rod x 295 to 305, y 775 to 785, z 2859 to 3600\nrod x 295 to 305, y 1215 to 1225, z 2859 to 3600\n" +
				"channel x 279.5 to 320.5, y 750 to 1250, z 2859 to 2900\nchannel x 279.5 to 320.5, y 750 to 1250, z 2960 to 2980", 460,
		},
	} {
		p := project(t, "T,,tray,0,1000,600,1000,300x60,,2900,,"+test.hanger+",,,\n", hangers)
		i := row(t, p, "T")
		ss := support.Of(p, support.Options{}).Zone(i)
		if len(ss) != 1 {
			t.Fatalf("%s: %d supports, want 1", test.hanger, len(ss))
		}
		if got := bodies(&ss[0]); got != test.want {
			t.Errorf("%s:\n%s\nwant\n%s", test.hanger, got, test.want)
		}
		checkBox(t, &ss[0])
		var strip body.Body
		strip, _ = p.HangFrom(p.Zone(i), p.Zone(i).Full())
		if got := 2 * strip.W; got != test.under {
			t.Errorf("%s: %g wide under the tray, want %g", test.hanger, got, test.under)
		}
	}
}
