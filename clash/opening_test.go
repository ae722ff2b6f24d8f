package clash_test

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"voidline/clash"
)

// Services in the openings of a beam, and what brings them in. The beam runs north at x 5000 under a soffit of 3800: 602.6
// high, its web 10.5 thick (UB 610x229x101). 25 is to be left round a service.
func TestOpeningsAndWhatBringsServicesIn(t *testing.T) {
	const (
		bay   = "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,10000,6000,3800,none\n"
		steel = "id,kind,x1,y1,x2,y2,size,level,face\nB,beam,5000,0,5000,6000,UB 610x229x101,soffit,top\n"
		row   = "id,x1,y1,x2,y2,size,level,face\n"
	)
	round := "in,at,size,level\nB,2000,ø150,3400\n"     // middle at y 2000, 3475
	square := "in,at,size,level\nB,4000,400x300,3350\n" // y 3800 to 4200, 3350 to 3650
	for _, test := range []struct {
		name           string
		openings, rows string
		file           string
		want           string
	}{
		{"a pipe in the middle but for 10: 75 - 10 - 30.15 = 34.85", round, row + "P,2000,2010,8000,2010,DN50,3475,centre\n", "pipework", ""},
		{
			"a duct 30 to the side: 200 - 150 - 30 = 20; 5 south", square, row + "Q,2000,4030,8000,4030,300x200,3400,bottom\n", "ductwork",
			"tight 5 Q: 5 south [right 5 (0, -5, 0)]",
		},
		{"the same from its other end", square, row + "Q,8000,4030,2000,4030,300x200,3400,bottom\n", "ductwork", "tight 5 Q: 5 south [left 5 (0, -5, 0)]"},
		{"15 under the least level, 3350 + 25", square, row + "Q,2000,4000,8000,4000,300x200,3360,bottom\n", "ductwork", "tight 15 Q: up 15 [up 15 (0, 0, 15)]"},
		{
			// Past the edge by 150 + 300 - 200 = 250 to the side: 275 south, and not 3600 - 3197.4 down (it is 400 in the beam
			// either way up or down, 3800 - 3400).
			"beside its opening", square, row + "Q,2000,4300,8000,4300,300x200,3400,bottom\n", "ductwork",
			"overlap 400 Q: 275 south [right 275 (0, -275, 0)]",
		},
		{
			// Its underside 25 below the opening's and 5 too far to the side, no single way brings it in; 50 up and 5 south do.
			"under it and to the side", square, row + "Q,2000,4030,8000,4030,300x200,3325,bottom\n", "ductwork",
			"overlap 327.6 Q: up 50 and 5 south [up and right 50.3 (0, -5, 50)]",
		},
		{
			// Its level is held: only to the side.
			"level held", square, "id,x1,y1,x2,y2,size,level,face,holds\nQ,2000,4300,8000,4300,300x200,3400,bottom,level\n", "ductwork",
			"overlap 400 Q: 275 south [right 275 (0, -275, 0)]",
		},
		{"too wide for it, 360 + 50 of 400", square, row + "Q,2000,4000,8000,4000,360x200,3400,bottom\n", "ductwork", "tight 5 Q:  []"},
		{
			// It lies at 4 east to 3 north: 240 / 0.8 = 300 wide along the beam, and at the faces of the web 5.25 x 3 / 4 = 3.94 further
			// to either side. 150 to the side it goes to 303.94 of 175: 128.94 along the beam, 0.8 of that to its right.
			"a turned duct", square, row + "Q,1000,1150,9000,7150,240x200,3400,bottom\n", "ductwork",
			"overlap 400 Q: 104 south-east [right 103.2 (61.9, -82.6, 0)]",
		},
		{
			// 30.15 / cos 45 = 42.64 along the beam, 30.15 high, its middle 20 above the opening's and 5.25 to the side at the
			// faces: the ellipse reaches 54.9 from the middle, and the circle round it 20.68 + 42.64 = 63.32. At 10.7 above, where
			// 45.6 to the side is 20.5 up on it, it reaches 50.
			"a pipe at 45 degrees", round, row + "P,3000,0,7000,4000,DN50,3495,centre\n", "pipework", "tight 4.9 P: down 10 [down 9.3 (0, 0, -9.3)]",
		},
	} {
		t.Run(test.name, func(t *testing.T) {
			p := openText(t, map[string]string{"bays.csv": bay, "steel.csv": steel, "openings.csv": test.openings, test.file + ".csv": test.rows})
			if len(p.Problems) > 0 {
				t.Fatal(p.Problems)
			}
			res, err := clash.Open(p, clash.Options{Touch: 1}).Findings(context.Background())
			if err != nil {
				t.Fatal(err)
			}
			var got []string
			for _, f := range res.Findings {
				var ways, exact []string
				for _, m := range f.Moves {
					ways = append(ways, m.Way())
					exact = append(exact, fmt.Sprintf("%s %g (%g, %g, %g)", m.Direction, m.By, m.DX, m.DY, m.DZ))
				}
				got = append(got, fmt.Sprintf("%s %g %s: %s %v", f.Kind, f.Short, f.GivesWay, strings.Join(ways, ", or "), exact))
			}
			if got := strings.Join(got, "; "); got != test.want {
				t.Errorf("came %q, want %q", got, test.want)
			}
		})
	}
}
