package clash_test

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"

	"voidline/clash"
	"voidline/clash/finding"
	"voidline/void"
	"voidline/void/body"
)

// findingsOf checks a small project.
func findingsOf(t *testing.T, files map[string]string) (*void.Project, *clash.Check, *finding.Result) {
	t.Helper()
	p := openText(t, files)
	if len(p.Problems) > 0 {
		t.Fatal(p.Problems)
	}
	ch := clash.Open(p, clash.Options{Touch: 1})
	res, err := ch.Findings(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	return p, ch, res
}

// A finding is told where its amount is, within the bay that it is told for. Worked out by hand.
func TestPlacesByHand(t *testing.T) {
	const (
		step  = "bay,x1,y1,x2,y2,soffit,ceiling,build-up\nA,0,0,6000,6000,3800,2400,b\nB,6000,0,12000,6000,3400,2700,b\n"
		layer = "build-up,layer,thickness,lifts out\nb,board,50,no\n"
		head  = "id,x1,y1,x2,y2,size,level,face,fall,hanger\n"
	)
	for _, test := range []struct {
		name, row string
		more      map[string]string
		want      string // with, kind, depth or gap, x, y, level
	}{
		// The duct of 200 x 100 falls 100 in 8000: at its end its underside is at 2450 - 20.
		{"towards its end", "D,1000,3000,5000,3000,200x100,2470,bottom,1 in 100,\n", nil, "ceiling A overlap 20 at 5000 3000 2440"},
		{"drawn the other way", "D,5000,3000,1000,3000,200x100,2470,bottom,1 in 100,\n", nil, "ceiling A overlap 20 at 1000 3000 2440"},
		// Over the step of the ceiling at x 6000: underside 2740 at x 8000, so 10 into B's build-up of 2750 there; at x 6000
		// it is 2760, clear by 10 of 25. In A it falls on to 2720 at x 10000.
		{"as far as the bay: it falls west, and is 10 into B at the bay's edge", "D,10000,3000,2000,3000,200x100,2780,bottom,1 in 100,\n", nil, "ceiling B overlap 10 at 6000 3000 2745"},
		{"a pipe as far as the bay: axis 2800, at x 6000 40 lower, its underside 50 under that", "D,10000,3000,2000,3000,ø100,2800,centre,1 in 100,\n", nil, "ceiling B overlap 40 at 6000 3000 2730"},
		{"turned: 45 degrees, its end at 4000, 4000", "D,1000,1000,4000,4000,200x100,2470,bottom,10 mm/m,\n", nil, "ceiling A overlap 22 at 4000 4000 2439"},
		{"its crown at the soffit of 3800: 3810 at the start, 3790 at the end", "D,1000,3000,3000,3000,200x100,3810,top,1 in 100,\n", nil, "soffit A overlap 10 at 1000 3000 3805"},
		{"its crown over the step of the soffit: 3460 at x 2000, 3420 at x 6000", "D,2000,3000,10000,3000,200x100,3460,top,1 in 100,\n", nil, "soffit B overlap 20 at 6000 3000 3410"},
		// A level tray of 200 over a duct that falls from 3100 (its crown) at x 1000 to 3060: 20 into each other at x 1000, where it
		// begins.
		{"through a level row: deepest where it is highest", "D,1000,3000,5000,3000,200x100,3100,top,1 in 100,\n", map[string]string{
			"tray.csv": "id,kind,x1,y1,x2,y2,size,level\nT,tray,1000,3000,5000,3000,200x50,3080\n",
		}, "T overlap 20 at 1000 3000 3090"},
	} {
		t.Run(test.name, func(t *testing.T) {
			files := map[string]string{"bays.csv": step, "buildups.csv": layer, "ductwork.csv": head + test.row}
			for k, v := range test.more {
				files[k] = v
			}
			_, _, res := findingsOf(t, files)
			var got []string
			for _, f := range res.Findings {
				if f.Kind != finding.Overlap {
					continue
				}
				with := *f.B
				if with == "D" {
					with = f.A
				}
				d := f.Depth.Vertical
				got = append(got, fmt.Sprintf("%s %s %.0f at %.0f %.0f %.0f", with, f.Kind, d, f.At.X, f.At.Y, f.At.Level))
			}
			if s := strings.Join(got, "; "); s != test.want {
				t.Errorf("told %q, want %q", s, test.want)
			}
		})
	}
}

// The stack over a finding's place shows the finding's amount, whichever way things fall or are turned.
func TestStackAtThePlace(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 10))
	ceilings, soffits, pairs, falling := 0, 0, 0, 0
	for n := range 80 {
		bays := "bay,x1,y1,x2,y2,soffit,ceiling,build-up\n"
		for i := range 3 {
			for k := range 2 {
				bays += fmt.Sprintf("B%d%d,%d,%d,%d,%d,%d,%d,b\n", i, k, i*4000, k*4000, i*4000+4000, k*4000+4000, 3500+random.IntN(5)*50, 2400+random.IntN(5)*50)
			}
		}
		rows := "id,kind,x1,y1,x2,y2,size,level,fall,hanger\n"
		for i := range 24 {
			x, y := 200+random.Float64()*11600, 200+random.Float64()*7600
			u, v := 200+random.Float64()*11600, 200+random.Float64()*7600
			switch random.IntN(3) {
			case 0:
				v = y
			case 1:
				u = x
			}
			size, kind := fmt.Sprintf("%dx%d", 100+random.IntN(5)*100, 50+random.IntN(4)*50), "duct"
			if random.IntN(2) == 0 {
				size, kind = fmt.Sprintf("ø%d", 50+random.IntN(200)), "pipe"
			}
			fall, hanger := "", ""
			if random.IntN(3) > 0 {
				fall = fmt.Sprintf("1 in %d", 40+random.IntN(160))
			}
			if random.IntN(3) == 0 {
				hanger = "channel 41 M10"
			}
			rows += fmt.Sprintf("Z%d,%s,%.0f,%.0f,%.0f,%.0f,%s,%d,%s,%s\n", i, kind, x, y, u, v, size, 2350+random.IntN(1200), fall, hanger)
		}
		p, ch, res := findingsOf(t, map[string]string{
			"bays.csv": bays, "buildups.csv": "build-up,layer,thickness,lifts out\nb,board,50,no\n", "ductwork.csv": rows,
		})
		for i := range res.Findings {
			f := &res.Findings[i]
			if f.Kind == finding.Access || f.Bay == nil || strings.HasPrefix(f.A, "supports of ") {
				continue
			}
			upright := f.Gap
			if f.Depth != nil {
				upright = -f.Depth.Vertical
			}
			bay := -1
			for j := range p.Bays {
				if p.Bays[j].Label == *f.Bay {
					bay = j
				}
			}
			at := r2.Point{X: f.At.X, Y: f.At.Y}
			if !p.Bays[bay].Plan.ContainsPoint(at) {
				t.Fatalf("%d %s: %s / %s at %v is not in bay %s", n, f.ID, f.A, *f.B, at, *f.Bay)
			}
			if f.Kind == finding.Tight && f.Gap == 0 {
				continue // in it by less than counts
			}
			level := f.AKind == "ceiling" || f.BKind == "ceiling" || f.AKind == "soffit" || f.BKind == "soffit"
			if !level && (f.Depth == nil || f.Depth.Sideways != nil && *f.Depth.Sideways < f.Depth.Vertical || f.AKind == "pipe" || f.BKind == "pipe") {
				continue // measured sideways, or round a round one
			}
			s := ch.StackOver(bay, at)
			span := map[string][2]float64{}
			for _, l := range s.Layers {
				v, ok := span[l.Name]
				if !ok || l.Kind == clash.HangerLayer && level {
					v = [2]float64{l.Bottom, l.Top}
					if ok {
						v[0], v[1] = math.Min(span[l.Name][0], v[0]), math.Max(span[l.Name][1], v[1])
					}
					span[l.Name] = v
				}
			}
			a, okA := span[f.A]
			b, okB := span[*f.B]
			for _, l := range s.Layers { // a ceiling counts by the top of its build-up
				if l.Kind == clash.BuildUpLayer {
					if strings.HasPrefix(f.A, "ceiling ") {
						a = [2]float64{math.Inf(-1), math.Max(a[1], l.Top)}
					}
					if strings.HasPrefix(*f.B, "ceiling ") {
						b = [2]float64{math.Inf(-1), math.Max(b[1], l.Top)}
					}
				}
			}
			if !okA || !okB {
				t.Errorf("%d %s: the stack over %v has not both of %s and %s", n, f.ID, at, f.A, *f.B)
				continue
			}
			for _, v := range []*[2]float64{&a, &b} {
				if v == &a && strings.HasPrefix(f.A, "soffit ") || v == &b && strings.HasPrefix(*f.B, "soffit ") {
					v[1] = math.Inf(1)
				}
			}
			if k, ok := p.ZoneByID(f.A); ok && f.AKind == "pipe" && level || !ok && f.BKind == "pipe" {
				if !ok {
					k, _ = p.ZoneByID(*f.B)
				}
				// Where the axis passes by the bay a flank alone counts, and a stack has the whole section.
				if row := p.Zone(k).Full(); body.Gap(body.Cylinder(row.Start(), row.End(), 0), body.Upright(p.Bays[bay].Plan, r1.Interval{Lo: -1e4, Hi: 1e4})).MM > 0 {
					continue
				}
			}
			hair := 0.15
			if f.AKind == "pipe" || f.BKind == "pipe" {
				hair = 0.4 // at the edge of a bay a little off its axis
			}
			// One of the two ways out: of an overlap the other may be less just there.
			if over, under := b[0]-a[1], a[0]-b[1]; math.Abs(over-upright) > hair && math.Abs(under-upright) > hair {
				got := math.Max(over, under)
				t.Errorf("%d %s: %s / %s %s: %g at %v, and the stack has %g", n, f.ID, f.A, *f.B, f.Kind, upright, at, got)
			}
			switch {
			case f.AKind == "ceiling" || f.BKind == "ceiling":
				ceilings++
			case level:
				soffits++
			default:
				pairs++
			}
			if i, ok := p.ZoneByID(f.A); ok && p.Zone(i).Full().Along.Z != 0 {
				falling++
			}
		}
	}
	t.Logf("%d at ceilings, %d at soffits, %d pairs, %d of falling rows", ceilings, soffits, pairs, falling)
	if ceilings < 100 || soffits < 100 || pairs < 100 || falling < 200 {
		t.Error("too few were compared")
	}
}
