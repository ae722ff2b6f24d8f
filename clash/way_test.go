package clash_test

import (
	"context"
	"fmt"
	"testing"

	"voidline/clash"
)

// Where moves lead, worked out by hand: towards the grid line ahead, else by the compass, never left or right.
func TestMovesAreToldByGridAndCompass(t *testing.T) {
	const (
		bays = "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,20000,20000,3600,none\n"
		grid = "axis,label,position\nx,A,0\nx,B,6000\nx,C,12000\ny,1,0\ny,2,9000\n"
		rule = "of,to,side,gap,basis\ndetector,diffuser,beside,1000,law\n"
	)
	// The diffuser 600 x 600 stands at 5000, 5000; the detector is 100 across: its middle is clear 300 + 1000 + 50 away from
	// the diffuser's middle, beside a side, and 1000 + 50 from a corner.
	detector := func(x, y float64) map[string]string {
		return map[string]string{
			"gaps.csv": rule,
			"d.csv":    fmt.Sprintf("id,trade,kind,x1,y1,size,level\nDIF,ductwork,diffuser,5000,5000,600x600x300,3000\nSD,fire alarm,smoke detector,%g,%g,ø100x80,3050\n", x, y),
		}
	}
	// A duct 600 wide and a pipe of 100 x 300 along it, 50 to the side of its middle: 300 + 50 + 25 - 50 = 325 and it is clear.
	row := func(duct, pipe string) map[string]string {
		return map[string]string{
			"ductwork.csv": "id,x1,y1,x2,y2,size,level,holds\nD," + duct + ",600x300,3000,both\n",
			"pipework.csv": "id,x1,y1,x2,y2,size,level,holds\nP," + pipe + ",100x300,3000,level\n",
		}
	}
	for _, test := range []struct {
		name  string
		grid  bool
		files map[string]string
		want  string
	}{
		{"700 clear to the east: 300 more", true, detector(6050, 5000), "sideways 300 (300, 0): 300 towards grid C"},
		{"the same without a grid", false, detector(6050, 5000), "sideways 300 (300, 0): 300 east"},
		{"to the west", true, detector(3950, 5000), "sideways 300 (-300, 0): 300 towards grid A"},
		{"to the north is left, by the record", true, detector(5000, 6100), "left 250 (0, 250): 250 towards grid 2"},
		{"to the south", true, detector(5000, 3900), "right 250 (0, -250): 250 towards grid 1"},
		{"past the last grid line the compass", true, detector(5000, 14000), ""},
		{
			// 400 east and 300 north of the corner: 500 of 1050 away; 550 on in the same way, 440 and 330.
			"past a corner", true, detector(5700, 5600), "sideways 550 (440, 330): 550 north-east (440 east, 330 north)",
		},
		{"past the corner opposite", true, detector(4300, 4400), "sideways 550 (-440, -330): 550 south-west (440 west, 330 south)"},
		{"a row to the east", true, row("1000,1000,9000,1000", "1000,1050,9000,1050"), "left 325 (0, 325): 325 towards grid 2"},
		{"drawn from its other end", true, row("1000,1000,9000,1000", "9000,1050,1000,1050"), "right 325 (0, 325): 325 towards grid 2"},
		// Turned by 4 in 3: 50 to the left is 30 west and 40 north; 325 are 195 and 260.
		{"a turned row", true, row("1000,1000,9000,7000", "970,1040,8970,7040"), "left 325 (-195, 260): 325 north-west"},
		{"hardly turned", true, row("1000,1000,9000,1100", "999.375,1050,8999.375,1150"), "left 325 (-4.1, 325): 325 towards grid 2"},
	} {
		t.Run(test.name, func(t *testing.T) {
			files := map[string]string{"bays.csv": bays}
			if test.grid {
				files["grid.csv"] = grid
			}
			for k, v := range test.files {
				files[k] = v
			}
			p := openText(t, files)
			if len(p.Problems) > 0 {
				t.Fatal(p.Problems)
			}
			res, err := clash.Open(p, clash.Options{Touch: 1}).Findings(context.Background())
			if err != nil {
				t.Fatal(err)
			}
			got := ""
			for _, f := range res.Findings {
				for _, m := range f.Moves {
					if m.DX != 0 || m.DY != 0 {
						got += fmt.Sprintf("%s %g (%g, %g): %s", m.Direction, m.By, m.DX, m.DY, m.Way())
					}
				}
			}
			if got != test.want {
				t.Errorf("came %q, want %q", got, test.want)
			}
		})
	}
}
