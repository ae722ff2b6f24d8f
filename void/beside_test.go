package void_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/golang/geo/r3"
)

// Where the room beside a row lies, by the row's sides: its depth is 500 out from that side, its width as wide as the side, or
// 200 about the side's middle. All figures are in mm, from where to where east, north and up.
func TestRoomBesideEachSide(t *testing.T) {
	const (
		box    = "storey,id,trade,kind,x1,y1,size,level\nGround,"
		length = "storey,id,trade,kind,x1,y1,x2,y2,size,level\nGround,"
	)
	for _, test := range []struct {
		what, header, row string
		sides             []string // the side, what it holds, and what a width of 200 leaves of it
	}{
		{"an item of 600 by 400, 300 high", box, "Z,mechanical,fan coil,3000,2000,600x400x300,3000", []string{
			"east: 3300..3800 1800..2200 3000..3300; 3300..3800 1900..2100 3000..3300",
			"west: 2200..2700 1800..2200 3000..3300; 2200..2700 1900..2100 3000..3300",
			"north: 2700..3300 2200..2700 3000..3300; 2900..3100 2200..2700 3000..3300",
			"south: 2700..3300 1300..1800 3000..3300; 2900..3100 1300..1800 3000..3300",
			"above: 2700..3300 1800..2200 3300..3800; 2900..3100 1800..2200 3300..3800",
			"below: 2700..3300 1800..2200 2500..3000; 2900..3100 1800..2200 2500..3000",
		}},
		// The room beside a round body begins where it is widest, and is as wide and as high as it is.
		{"a round item 400 wide and 300 high", box, "Z,mechanical,fan,3000,2000,ø400x300,3000", []string{
			"east: 3200..3700 1800..2200 3000..3300; 3200..3700 1900..2100 3000..3300",
			"north: 2800..3200 2200..2700 3000..3300; 2900..3100 2200..2700 3000..3300",
			"below: 2800..3200 1800..2200 2500..3000; 2900..3100 1800..2200 2500..3000",
		}},
		{"a round riser", box, "Z,pipework,,3000,2000,ø400,1000..2000", []string{
			"east: 3200..3700 1800..2200 1000..2000; 3200..3700 1900..2100 1000..2000",
			"west: 2300..2800 1800..2200 1000..2000; 2300..2800 1900..2100 1000..2000",
			"north: 2800..3200 2200..2700 1000..2000; 2900..3100 2200..2700 1000..2000",
			"south: 2800..3200 1300..1800 1000..2000; 2900..3100 1300..1800 1000..2000",
			"above: 2800..3200 1800..2200 2000..2500; 2900..3100 1800..2200 2000..2500",
		}},
		{"a duct drawn east", length, "Z,ductwork,duct,1000,2000,5000,2000,400x300,3000", []string{
			"start: 500..1000 1800..2200 3000..3300; 500..1000 1900..2100 3000..3300",
			"end: 5000..5500 1800..2200 3000..3300; 5000..5500 1900..2100 3000..3300",
			"left: 1000..5000 2200..2700 3000..3300; 2900..3100 2200..2700 3000..3300",
			"right: 1000..5000 1300..1800 3000..3300; 2900..3100 1300..1800 3000..3300",
			"above: 1000..5000 1800..2200 3300..3800; 2900..3100 1800..2200 3300..3800",
			"below: 1000..5000 1800..2200 2500..3000; 2900..3100 1800..2200 2500..3000",
		}},
		{"a pipe drawn south", length, "Z,pipework,,2000,5000,2000,1000,ø200,3000", []string{
			"start: 1900..2100 5000..5500 3000..3200; 1900..2100 5000..5500 3000..3200",
			"end: 1900..2100 500..1000 3000..3200; 1900..2100 500..1000 3000..3200",
			"left: 2100..2600 1000..5000 3000..3200; 2100..2600 2900..3100 3000..3200",
			"right: 1400..1900 1000..5000 3000..3200; 1400..1900 2900..3100 3000..3200",
			"above: 1900..2100 1000..5000 3200..3700; 1900..2100 2900..3100 3200..3700",
		}},
	} {
		for _, want := range test.sides {
			side, want, _ := strings.Cut(want, ": ")
			p := build(t, "", "", map[string]string{
				"zones.csv":  test.header + test.row + "\n",
				"access.csv": fmt.Sprintf("for,kind,side,depth,width\nZ,working space,%[1]s,500,\nZ,working space,%[1]s,500,200\n", side),
			})
			if len(p.Problems) > 0 {
				t.Fatal(test.what, p.Problems)
			}
			var got []string
			for _, s := range p.Spaces {
				x, y, z := s.Body.Reach(r3.Vector{X: 1}), s.Body.Reach(r3.Vector{Y: 1}), s.Body.Reach(r3.Vector{Z: 1})
				got = append(got, fmt.Sprintf("%g..%g %g..%g %g..%g", x.Lo, x.Hi, y.Lo, y.Hi, z.Lo, z.Hi))
			}
			if got := strings.Join(got, "; "); got != want {
				t.Errorf("%s, %s: the room is %s, want %s", test.what, side, got, want)
			}
		}
	}
}
