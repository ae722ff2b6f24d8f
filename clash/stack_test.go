package clash_test

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/golang/geo/r2"

	"voidline/clash"
	"voidline/clash/tolerance"
	"voidline/io/table"
	"voidline/void"
)

// builtGaps writes the gaps of a stack in a few words: the two, as drawn, at worst, by the root of the sum of squares, and by
// how much a beam comes down and what that leaves; = where the two go together. The build-up stands for its ceiling.
func builtGaps(s *clash.Stack) string {
	var out []string
	for i, l := range s.Layers {
		if !l.HasGap {
			continue
		}
		lower := s.Layers[i+1].Name
		if k := s.Layers[i+1].Kind; k == clash.BuildUpLayer || k == clash.CeilingLayer {
			lower = "ceiling"
		}
		name := strings.TrimSuffix(l.Name, " A")
		if l.Kind == clash.HangerLayer {
			name += "'s hanger"
		}
		b := l.Built
		switch {
		case b == nil:
			out = append(out, fmt.Sprintf("%s/%s %.1f nothing said", name, lower, l.Gap))
		case b.Fixed:
			out = append(out, fmt.Sprintf("%s/%s %.1f =", name, lower, b.AtWorst))
		default:
			say := fmt.Sprintf("%s/%s %.1f %.1f %.1f", name, lower, l.Gap, math.Round(b.AtWorst*10)/10+0, b.ByRoot)
			if c := b.ComesDown; c != nil && c.By > 0.05 {
				say += fmt.Sprintf(" %s %.1f leaves %.1f", c.Beam, c.By, b.Down)
			}
			out = append(out, say)
		}
	}
	return strings.Join(out, "; ")
}

// Small stacks and what is left of their gaps, worked out by hand.
func TestStackBuilt(t *testing.T) {
	const (
		bay  = "bay,x1,y1,x2,y2,soffit,ceiling,build-up\nA,0,0,9000,9000,3600,2700,b\n"
		slab = "build-up,layer,thickness,lifts out\nb,board,50,no\n"
		beam = "id,kind,x1,y1,x2,y2,size,level,tolerance\nB,beam,0,4500,9000,4500,200x400,2830,10\n"
		tray = "id,kind,x1,y1,x2,y2,size,level,tolerance,hanger\nT,basket,500,4500,8500,4500,150x60,2770,5,\n"
		// soffit 3600 over the beam's top at 3230: 370 - 15 - 10 and 370 - sqrt(325)
		over = "soffit/B 370.0 345.0 352.0; B/T 0.0 =; "
	)
	for _, test := range []struct {
		name       string
		files      map[string]string
		at         r2.Point
		deflection float64
		want       string
	}{
		{"nothing there: 3600 - 2750, 15 and 5", nil, r2.Point{X: 100, Y: 100}, 360, "soffit/ceiling 850.0 830.0 834.2"},
		{"80 void, 60 basket tight under the beam, 20 left, with 10, 5 and 5: 0 at worst, 7.8 by squares", map[string]string{
			"steel.csv": beam, "tray.csv": tray,
		}, r2.Point{X: 4500, Y: 4500}, 0, over + "T/ceiling 20.0 0.0 7.8"},
		{"under a beam of 9 m at span/360, 25 at mid-span: 5 into the build-up, and the tolerances", map[string]string{
			"steel.csv": beam, "tray.csv": tray,
		}, r2.Point{X: 4500, Y: 4500}, 360, over + "T/ceiling 20.0 -25.0 -17.2 B 25.0 leaves -5.0"},
		{"a quarter along it comes down by 25 * 57/80 = 17.8", map[string]string{
			"steel.csv": beam, "tray.csv": tray,
		}, r2.Point{X: 2250, Y: 4500}, 360, over + "T/ceiling 20.0 -17.8 -10.1 B 17.8 leaves 2.2"},
		{"at its end it does not", map[string]string{
			"steel.csv": beam, "tray.csv": strings.Replace(tray, "T,basket,500", "T,basket,0", 1),
		}, r2.Point{X: 0, Y: 4500}, 360, over + "T/ceiling 20.0 0.0 7.8"},
		{"beside the flange the basket goes down all the same: 3600 - 2830 over it, 15, 5 and its beam's 10", map[string]string{
			"steel.csv": strings.Replace(beam, "200x400", "100x400", 1), "tray.csv": tray,
		}, r2.Point{X: 4500, Y: 4560}, 360, "soffit/T 770.0 740.0 751.3; T/ceiling 20.0 -25.0 -17.2 B 25.0 leaves -5.0"},
		{"away from the beam what crosses it stays with the slab", map[string]string{
			"steel.csv": beam, "tray.csv": strings.Replace(tray, "500,4500,8500,4500", "4500,500,4500,8500", 1),
		}, r2.Point{X: 4500, Y: 1000}, 360, "soffit/T 770.0 740.0 751.3; T/ceiling 20.0 0.0 7.8"},
		{"bracketed from the wall: the beam comes down on it, 10 - 10 - 5 - 25; its bracket does not, 20 - 5 - 5", map[string]string{
			"steel.csv": strings.Replace(beam, "2830", "2840", 1), "tray.csv": strings.Replace(tray, ",5,\n", ",5,side bracket\n", 1),
		}, r2.Point{X: 4500, Y: 4500}, 360, "soffit/B 360.0 335.0 342.0; B/T 10.0 -30.0 -26.2 B 25.0 leaves -15.0; T/ceiling 20.0 10.0 12.9"},
		{"what hangs under a service goes with it: 120 - 55.9, 5 and 5", map[string]string{
			"tray.csv": strings.Replace(strings.Replace(tray, ",5,\n", ",5,channel 41 M10\n", 1), "2770", "2870", 1),
		}, r2.Point{X: 4500, Y: 4500}, 360, "soffit/T 670.0 650.0 654.2; T's hanger/ceiling 64.1 54.1 57.0"},
		{"two that hang over one place go down together: 25 - 10 - 10", map[string]string{
			"steel.csv":    strings.Replace(beam, "2830", "3200", 1),
			"ductwork.csv": "id,x1,y1,x2,y2,size,level,run\nD,4500,500,4500,8500,300x200,2900,1\n",
			"pipework.csv": "id,x1,y1,x2,y2,size,level,run\nP,500,4500,8500,4500,ø60,3125,1\n",
		}, r2.Point{X: 4500, Y: 4500}, 360, "soffit/B 0.0 =; B/P 15.0 -5.0 0.9; P/D 25.0 5.0 10.9; D/ceiling 150.0 110.0 113.8 B 25.0 leaves 125.0"},
		{"in each other as drawn: -30 - 10 - 10", map[string]string{
			"ductwork.csv": "id,x1,y1,x2,y2,size,level,run\nD,4500,500,4500,8500,300x200,2900,1\n",
			"pipework.csv": "id,x1,y1,x2,y2,size,level,run\nP,500,4500,8500,4500,ø60,3070,1\n",
		}, r2.Point{X: 4500, Y: 4500}, 360, "soffit/P 470.0 445.0 452.0; P/D -30.0 -50.0 -44.1; D/ceiling 150.0 135.0 138.8"},
		{"set into the ceiling it goes with it; the duct over it comes down, 80 - 10 - 5 - 25", map[string]string{
			"steel.csv":    strings.Replace(beam, "2830", "3200", 1),
			"ductwork.csv": "id,x1,y1,x2,y2,size,level,run\nD,4500,500,4500,8500,300x200,2920,1\n",
			"lighting.csv": "id,kind,recessed,x1,y1,size,level\nL,light fitting,yes,4500,4500,600x600x140,2700\n",
		}, r2.Point{X: 4500, Y: 4500}, 360, "soffit/B 0.0 =; B/D 80.0 60.0 65.9; D/L 80.0 40.0 43.8 B 25.0 leaves 55.0"},
		{"by height only: it may be anywhere under the beam", map[string]string{
			"steel.csv": strings.Replace(beam, "2830", "3200", 1), "tray.csv": "id,kind,bay,size,level,run\nT,tray,A,300x60,2780,1\n",
		}, r2.Point{X: 100, Y: 100}, 360, "soffit/T 760.0 735.0 742.0; T/ceiling 30.0 -10.0 -6.2 B 25.0 leaves 5.0"},
	} {
		t.Run(test.name, func(t *testing.T) {
			fsys := fstest.MapFS{"bays.csv": {Data: []byte(bay)}, "buildups.csv": {Data: []byte(slab)}}
			for name, text := range test.files {
				fsys[name] = &fstest.MapFile{Data: []byte(text)}
			}
			if len(test.files) == 0 {
				fsys["steel.csv"] = &fstest.MapFile{Data: []byte(beam)}
			}
			p, err := table.Open(context.Background(), "stack", table.Options{FS: fsys})
			if err != nil {
				t.Fatal(err)
			}
			if len(p.Problems) > 0 {
				t.Fatal(p.Problems[0])
			}
			s := clash.Open(p, clash.Options{Touch: 1}).StackBuilt(0, test.at, test.deflection)
			if got := builtGaps(&s); got != test.want {
				t.Errorf("%s\nwant %s", got, test.want)
			}
		})
	}
}

// Without tolerances asked for a stack has none; with them the rest of it is the same. Each tolerance says where it comes
// from.
func TestStackBuiltOnlyAsked(t *testing.T) {
	p, err := table.Open(context.Background(), demoFolder, table.Options{})
	if err != nil {
		t.Fatal(err)
	}
	c := clash.Open(p, clash.Options{Touch: 1})
	for bay := range p.Bays {
		at := p.Bays[bay].Plan.Center()
		plain, built := c.StackOver(bay, at), c.StackBuilt(bay, at, 360)
		for i := range built.Layers {
			l, q := &built.Layers[i], &plain.Layers[i]
			if q.Tolerance != nil || q.Built != nil {
				t.Errorf("bay %s, %s: tolerances that nobody asked for", p.Bays[bay].Label, q.Name)
			}
			if (l.Built != nil) != l.HasGap {
				t.Errorf("bay %s, %s: has a gap %t, built %v", p.Bays[bay].Label, l.Name, l.HasGap, l.Built)
			}
			if (l.Tolerance == nil) != (l.Kind == clash.BuildUpLayer) {
				t.Errorf("bay %s, %s: tolerance %v", p.Bays[bay].Label, l.Name, l.Tolerance)
			}
			if d := l.Tolerance; d != nil && (d.From == "") == (d.Default == "") {
				t.Errorf("bay %s, %s: tolerance from %q, default of %q", p.Bays[bay].Label, l.Name, d.From, d.Default)
			}
			l.Tolerance, l.Built = nil, nil
			if *l != *q {
				t.Errorf("bay %s: %+v, without tolerances %+v", p.Bays[bay].Label, *l, *q)
			}
		}
	}
}

// Where the check doubts two neighbours of a stack that are as far apart there, the stack says the same of them; of what
// comes down it may say less, as the check tells the most over all that the two share.
func TestStackBuiltAsDoubted(t *testing.T) {
	p, err := table.Open(context.Background(), demoFolder, table.Options{})
	if err != nil {
		t.Fatal(err)
	}
	c := clash.Open(p, clash.Options{Touch: 1, Tolerance: tolerance.WorstCase, Deflection: 360})
	res, err := c.Findings(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	same, down := 0, 0
	for _, d := range res.Doubtful {
		bay := slices.IndexFunc(p.Bays, func(b void.Bay) bool { return d.Bay != nil && b.Label == *d.Bay })
		if bay < 0 {
			continue
		}
		s := c.StackBuilt(bay, r2.Point{X: d.At.X, Y: d.At.Y}, 360)
		for i, l := range s.Layers {
			if !l.HasGap || l.Name != d.Upper || math.Abs(l.Gap-d.Drawn) > 0.06 {
				continue
			}
			n := s.Layers[i+1]
			if n.Name != d.Lower && !(strings.HasPrefix(d.Lower, "ceiling ") && (n.Kind == clash.BuildUpLayer || n.Kind == clash.CeilingLayer)) {
				continue
			}
			b := l.Built
			off := 0.0 // what more comes down elsewhere
			if d.ComesDown != nil {
				off = d.ComesDown.By
				if b.ComesDown != nil {
					off -= b.ComesDown.By
				}
				down++
			} else if b.ComesDown != nil {
				t.Errorf("%s over %s: %+v comes down, in the check nothing", d.Upper, d.Lower, b.ComesDown)
			}
			if off < -0.06 || math.Abs(b.AtWorst-off-d.Worst) > 0.16 || math.Abs(b.ByRoot-off-d.RSS) > 0.16 {
				t.Errorf("%s over %s: %.1f at worst, %.1f by squares; the check %.1f and %.1f with %.1f more down", d.Upper, d.Lower, b.AtWorst, b.ByRoot, d.Worst, d.RSS, off)
			}
			same++
		}
	}
	t.Logf("%d of %d doubts seen in a stack, %d with a beam that comes down", same, len(res.Doubtful), down)
	if same < 3 {
		t.Errorf("only %d of %d doubts seen in a stack: too few to show anything", same, len(res.Doubtful))
	}
}
