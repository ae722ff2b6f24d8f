package clash_test

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"voidline/clash"
)

// A tray of 9 m on channels, under pipes across it that its rods go through: 15 wide and 60 apart, so that a rod of 10 has room
// between two. Its supports are 1500 apart, so one layer has 50 pipes within the 3 m that a support may move in, and eight
// layers, 30 apart in height, have 400: then no clear place is looked for, and the finding says so.
func TestNoPlaceIsLookedForWhereVeryManyThingsAreNear(t *testing.T) {
	for _, test := range []struct {
		layers  int
		crowded bool
	}{{1, false}, {8, true}} {
		var pipes strings.Builder
		pipes.WriteString("id,x1,y1,x2,y2,size,level\n")
		for l := range test.layers {
			for k := range 151 {
				fmt.Fprintf(&pipes, "P%d.%d,%d,0,%d,2000,ø15,%d\n", l, k, 60*k, 60*k, 3200+30*l)
			}
		}
		p := openText(t, map[string]string{
			"bays.csv":        "bay,x1,y1,x2,y2,soffit,ceiling\nA,-1000,-1000,11000,3000,3800,none\n",
			"hangers.csv":     "hanger,part,height,side,width,rods,from\nchannel,channel,41,under,,2,soffit\n",
			"containment.csv": "id,service,kind,x1,y1,x2,y2,size,level,hanger\nT,power,tray,0,1000,9000,1000,300x60,2900,channel\n",
			"pipework.csv":    pipes.String(),
		})
		if len(p.Problems) > 0 {
			t.Fatal(p.Problems)
		}
		res, err := clash.Open(p, clash.Options{Touch: 1}).Findings(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		held, crowded := 0, 0
		for _, f := range res.Findings {
			if h := f.Support; h != nil {
				if held++; h.Crowded {
					crowded++
				}
				if h.Crowded && h.Clears() {
					t.Errorf("%d layers: %s moves though nothing was looked for", test.layers, *f.B)
				}
			}
		}
		if held == 0 || crowded != 0 && !test.crowded || crowded != held && test.crowded {
			t.Errorf("%d layers: of %d findings of supports %d are crowded, want all: %v", test.layers, held, crowded, test.crowded)
		}
	}
}
