package clash_test

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"voidline/clash"
)

// What is reached from a hatch, worked out by hand. The ceiling is boards, its face at 2400 and its top at 2490, the soffit at
// 3800. The damper is 200 x 200 x 300 at 2900, its middle at 5000, 5000; E is far off, so that its hatch is not for the
// damper's own good.
func TestReachedFromAHatch(t *testing.T) {
	const (
		bays   = "bay,x1,y1,x2,y2,soffit,ceiling,build-up\nA,0,0,10000,10000,3800,2400,boards\n"
		boards = "build-up,layer,thickness,lifts out\nboards,b,25,no\nboards,f,65,no\n"
		damper = "id,kind,x1,y1,size,level,reach\nD,volume control damper,5000,5000,200x200x300,2900,yes\nE,fan coil,1000,9000,200x200x200,2900,no\n"
		hatch  = "for,kind,side,depth,x,y,size\n"
		wall   = "id,x1,y1,x2,y2,size,level\n"
	)
	for _, test := range []struct {
		name   string
		access string
		walls  string
		ducts  string
		opt    clash.Options
		want   string
	}{
		{"590 away, an arm reaches 600", "E,hatch,,,5690,5000,300x300\n", "", "", clash.Options{}, ""},
		{"610 away", "E,hatch,,,5710,5000,300x300\n", "", "", clash.Options{}, "D 610 of 600, 10 short"},
		{"590 away, told that an arm is 550", "E,hatch,,,5690,5000,300x300\n", "", "", clash.Options{Reach: 550}, "D 590 of 550, 40 short"},
		{"590 away, told that an arm is 550, and common practice left out", "E,hatch,,,5690,5000,300x300\n", "", "", clash.Options{Reach: 550, Firm: true}, ""},
		{"610 away, head and shoulders 900", "E,hatch,,,5710,5000,450x600\n", "", "", clash.Options{}, ""},
		{"610 away, 440 is no more than an arm", "E,hatch,,,5710,5000,440x600\n", "", "", clash.Options{}, "D 610 of 600, 10 short"},
		{"910 away", "E,hatch,,,6010,5000,600x600\n", "", "", clash.Options{}, "D 910 of 900, 10 short"},
		{"910 away, told that one leans in 400", "E,hatch,,,6010,5000,600x600\n", "", "", clash.Options{ReachIn: 400}, ""},
		{"910 away, told that nobody leans in", "E,hatch,,,6010,5000,600x600\n", "", "", clash.Options{ReachIn: clash.None}, "D 910 of 600, 310 short"},
		{"910 away, told that nothing is to be reached", "E,hatch,,,6010,5000,600x600\n", "", "", clash.Options{Reach: clash.None}, ""},
		{"610 away, told that an arm is 650", "E,hatch,,,5710,5000,300x300\n", "", "", clash.Options{Reach: 650}, ""},
		{"right over a hatch of 140, through which no arm goes", "E,hatch,,,5000,5000,140x300\n", "", "", clash.Options{}, "D 0 of 0, 0 short"},
		{"a wall from floor to soffit", "E,hatch,,,5400,5000,300x300\n", "W,5200,0,5200,9000,100,FFL..soffit\n", "", clash.Options{}, "D 300 of 600, 0 short: W"},
		{"the wall has a leaf on either side: the nearer first", "E,hatch,,,5600,5000,600x600\n", "W1,5200,0,5200,9000,50,FFL..soffit\nW2,5300,0,5300,9000,50,FFL..soffit\n", "", clash.Options{}, "D 500 of 900, 0 short: W2, W1"},
		// The wall ends 100 beside the damper's middle: round its end, 75 from it, it is 175 aside and back, less than 600.
		{"round the end of a wall", "E,hatch,,,5400,5000,300x300\n", "W,5200,0,5200,5100,100,FFL..soffit\n", "", clash.Options{}, ""},
		// It ends 600 beside: 675 aside and back.
		{"the end of the wall is too far", "E,hatch,,,5400,5000,300x300\n", "W,5200,4000,5200,5600,100,FFL..soffit\n", "", clash.Options{}, "D 300 of 600, 0 short: W"},
		// Head at 3400: over it at 3475, and down 475 - 300 on the other side.
		{"over a wall of part height", "E,hatch,,,5400,5000,300x300\n", "W,5200,0,5200,9000,100,FFL..FFL+3400\n", "", clash.Options{}, ""},
		{"no arm's breadth over it: 3800 - 3660 = 140", "E,hatch,,,5400,5000,300x300\n", "W,5200,0,5200,9000,100,FFL..FFL+3660\n", "", clash.Options{}, "D 300 of 600, 0 short: W"},
		// A downstand to 2700: under it there are 2700 - 2490 = 210, and 150 are enough; to 2630 there are 140.
		{"under a downstand", "E,hatch,,,5400,5000,300x300\n", "W,5200,0,5200,9000,100,FFL+2700..soffit\n", "", clash.Options{}, ""},
		{"no room under a downstand", "E,hatch,,,5400,5000,300x300\n", "W,5200,0,5200,9000,100,FFL+2630..soffit\n", "", clash.Options{}, "D 300 of 600, 0 short: W"},
		{"a duct as high as the void", "E,hatch,,,5500,5000,300x300\n", "", "X,5250,2000,5250,9000,200x1200,2550\n", clash.Options{}, "D 400 of 600, 0 short: X"},
		// The duct, 300 x 400 at 2850, is drawn right through the damper and round it: the damper is set into it, so that it bars
		// nothing; a wall in front of both does.
		{"in line in a duct that is larger", "E,hatch,,,5000,5400,300x300\n", "", "X,4000,5000,6000,5000,300x400,2850\n", clash.Options{}, ""},
		{"in line, behind a wall", "E,hatch,,,5000,5400,300x300\n", "W,0,5250,9000,5250,100,FFL..soffit\n", "X,4000,5000,6000,5000,300x400,2850\n", clash.Options{}, "D 300 of 600, 0 short: W"},
		{"a duct that one reaches under", "E,hatch,,,5500,5000,300x300\n", "", "X,5250,2000,5250,9000,200x300,3000\n", clash.Options{}, ""},
		// Turned in plan: the wall stands at 45 degrees between the two.
		{"a turned wall", "E,hatch,,,5300,5300,300x300\n", "W,3000,7370,7370,3000,100,FFL..soffit\n", "", clash.Options{}, "D 283 of 600, 0 short: W"},
		{"worked on from the west, the hatch in the east", "E,hatch,,,5500,5000,300x300\nD,working space,west,300,,,\n", "", "", clash.Options{}, "D 400 of 600, 0 short: D; the side west"},
		{"worked on from the west or the east", "E,hatch,,,5500,5000,300x300\nD,working space,east,300,,,\nD,working space,west,300,,,\n", "", "", clash.Options{}, ""},
		{"worked on from the east", "E,hatch,,,5500,5000,300x300\nD,working space,east,300,,,\n", "", "", clash.Options{}, ""},
		// From the hatch right under it one reaches its underside with an arm of 150; to its top one goes round it, 100 + 75 aside.
		{"worked on from below", "D,hatch,,,,,300x300\nD,working space,below,300,,,\n", "", "", clash.Options{Reach: 150}, ""},
		{"worked on from above, the hatch under it", "D,hatch,,,,,300x300\nD,working space,above,300,,,\n", "", "", clash.Options{Reach: 150}, "D 0 of 150, 0 short: D; above"},
		{"of two hatches one reaches", "E,hatch,,,5400,5000,300x300\nE,hatch,,,4600,5000,300x300\n", "W,5200,0,5200,9000,100,FFL..soffit\n", "", clash.Options{}, ""},
	} {
		t.Run(test.name, func(t *testing.T) {
			files := map[string]string{"bays.csv": bays, "buildups.csv": boards, "mechanical.csv": damper, "access.csv": hatch + test.access}
			if test.walls != "" {
				files["partitions.csv"] = wall + test.walls
			}
			if test.ducts != "" {
				files["ductwork.csv"] = wall + test.ducts
			}
			p := openText(t, files)
			if len(p.Problems) > 0 {
				t.Fatal(p.Problems)
			}
			test.opt.Touch = 1
			res, err := clash.Open(p, test.opt).Findings(context.Background())
			if err != nil {
				t.Fatal(err)
			}
			var got []string
			for _, f := range res.Findings {
				if h := f.Hatch; h != nil {
					s := fmt.Sprintf("%s %.0f of %g, %g short", f.A, h.Away, h.Reach, f.Short)
					if len(h.Between) > 0 && h.Away <= h.Reach && h.Reach > 0 {
						s += ": " + strings.Join(h.Between, ", ")
					}
					if h.From != "" {
						s += "; " + h.From
					}
					got = append(got, s)
				}
			}
			if got := strings.Join(got, "; "); got != test.want {
				t.Errorf("came %q, want %q", got, test.want)
			}
		})
	}
}

// An item that is worked on from above: from a hatch right under it one reaches up past it where the arm, 150 thick, comes
// between its edge and that of the hatch; else from a hatch beside it. The boards' top is at 2490; the damper is 200 x 200 x 300.
func TestWorkedOnFromAbove(t *testing.T) {
	for _, test := range []struct {
		name, level, hatch string
		opt                clash.Options
		want               string
	}{
		{"right over a hatch of 600: the arm stands in it beside the damper, 100 + 75 from its middle, of 225", "2900", "D,hatch,above,5000,5000,600x600", clash.Options{}, ""},
		// 150 aside in the hatch; round the lower corner, 25 on and 75 or less up, up 300, and 75 down to the top: less than 588.
		{"a hatch of 450: out over the boards and up past it, 588 of 900", "2900", "D,hatch,above,5000,5000,450x450", clash.Options{}, ""},
		// 75 aside; 25 and a quarter of a turn of 75 round the corner, 118; up 300; 75: 593.
		{"a hatch of 300, an arm of 650", "2900", "D,hatch,above,5000,5000,300x300", clash.Options{Reach: 650}, ""},
		{"an arm of 550", "2900", "D,hatch,above,5000,5000,300x300", clash.Options{Reach: 550}, "there is no way past D itself for an arm that reaches 550"},
		{"60 over the boards: from its edge, at 100, to that of a hatch of 400, at 200, are 100 and 60: 117 in all", "2550", "D,hatch,above,5000,5000,400x400", clash.Options{}, "there is no way past D itself for an arm that reaches 600"},
		{"a hatch of 600, 200 and 60: 209", "2550", "D,hatch,above,5000,5000,600x600", clash.Options{}, ""},
		{"a hatch of 450 beside it, 300 from it, at the level of its top", "2550", "E,hatch,,5400,5000,450x450", clash.Options{}, ""},
		{"likewise south of it", "2550", "E,hatch,,5000,4600,450x450", clash.Options{}, ""},
	} {
		t.Run(test.name, func(t *testing.T) {
			p := openText(t, map[string]string{
				"bays.csv":       "bay,x1,y1,x2,y2,soffit,ceiling,build-up\nA,0,0,10000,10000,3800,2400,boards\n",
				"buildups.csv":   "build-up,layer,thickness,lifts out\nboards,b,25,no\nboards,f,65,no\n",
				"mechanical.csv": "id,kind,x1,y1,size,level,reach\nD,volume control damper,5000,5000,200x200x300," + test.level + ",yes\nE,fan coil,1000,9000,200x200x200,2900,no\n",
				"access.csv":     "for,kind,side,x,y,size,depth\n" + test.hatch + ",\nD,working space,above,,,,100\n",
			})
			if len(p.Problems) > 0 {
				t.Fatal(p.Problems)
			}
			test.opt.Touch = 1
			res, err := clash.Open(p, test.opt).Findings(context.Background())
			if err != nil {
				t.Fatal(err)
			}
			got := ""
			for _, f := range res.Findings {
				if f.Hatch != nil {
					got += f.Note
				}
			}
			if (got == "") != (test.want == "") || !strings.Contains(got, test.want) {
				t.Errorf("came %q, want %q", got, test.want)
			}
		})
	}
}

// A wall that comes and goes is asked about again, however far it is from everything else that changed: what is reached hangs
// on what stands between.
func TestReachIsAskedAgainWithWhatStandsBetween(t *testing.T) {
	p := openText(t, map[string]string{
		"bays.csv":       "bay,x1,y1,x2,y2,soffit,ceiling,build-up\nA,0,0,10000,10000,3800,2400,boards\n",
		"buildups.csv":   "build-up,layer,thickness,lifts out\nboards,b,90,no\n",
		"mechanical.csv": "id,kind,x1,y1,size,level,reach\nD,volume control damper,5000,5000,200x200x300,2900,yes\nE,fan coil,1000,9000,200x200x200,2900,no\n",
		"access.csv":     "for,kind,x,y,size\nE,hatch,5400,5000,300x300\n",
		"partitions.csv": "id,x1,y1,x2,y2,size,level\nW,0,9500,9000,9500,100,FFL..soffit\n",
	})
	if len(p.Problems) > 0 {
		t.Fatal(p.Problems)
	}
	check := clash.Open(p, clash.Options{Touch: 1})
	for k, step := range []struct {
		column, text string
		between      string
	}{{}, {"y1", "0", ""}, {"x1", "5200", ""}, {"x2", "5200", "W"}, {"level", "FFL..FFL+3000", ""}, {"level", "FFL..soffit", "W"}, {"y2", "2000", ""}} {
		if step.column != "" {
			ch, problem := p.Edit("W", step.column, step.text)
			if problem != nil {
				t.Fatal(problem)
			}
			check.Changed(ch)
		}
		for _, c := range []*clash.Check{check, clash.Open(p, clash.Options{Touch: 1})} {
			res, err := c.Findings(context.Background())
			if err != nil {
				t.Fatal(err)
			}
			got := ""
			for _, f := range res.Findings {
				if f.Hatch != nil {
					got = strings.Join(f.Hatch.Between, ", ")
				}
			}
			if got != step.between {
				t.Errorf("step %d, %s %s: between is %q, want %q", k, step.column, step.text, got, step.between)
			}
		}
	}
}
