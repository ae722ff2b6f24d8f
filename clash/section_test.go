package clash_test

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/golang/geo/r3"

	"voidline/clash"
	"voidline/clash/finding"
	"voidline/io/table"
	"voidline/void/body"
)

// TestPlaneThrough checks, for every finding of the demo, that the plane goes through its place and its bay, that it
// cuts what it can of the two, and that the distance to be drawn is the finding's own.
func TestPlaneThrough(t *testing.T) {
	p, err := table.Open(context.Background(), "../testdata/demo", table.Options{})
	if err != nil {
		t.Fatal(err)
	}
	ch := clash.Open(p, clash.Options{Touch: 1})
	res, err := ch.Findings(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	through, both, drawn, upright := 0, 0, 0, 0
	for i := range res.Findings {
		f := &res.Findings[i]
		bay, plane, ok := ch.PlaneThrough(f)
		if ok != (f.Bay != nil) {
			t.Errorf("%s %s: a plane: %v, and its bay is %v", f.ID, f.A, ok, f.Bay)
			continue
		}
		if !ok {
			continue
		}
		through++
		if p.Bays[bay].Label != *f.Bay {
			t.Errorf("%s: in bay %s, want %s", f.ID, p.Bays[bay].Label, *f.Bay)
		}
		if d := plane.Beyond(r3.Vector{X: f.At.X, Y: f.At.Y}); math.Abs(d) > 1e-6 {
			t.Errorf("%s: the plane lies %v from the place", f.ID, d)
		}
		cuts := func(pl body.Plane) int {
			n := 0
			for _, id := range []string{strings.TrimPrefix(f.A, "supports of "), *f.B} { // supports are shown by their row
				if k, ok := p.ZoneByID(id); ok {
					if _, ok := body.Cut(p.Zone(k).Full(), pl); ok {
						n++
					}
				}
			}
			return n
		}
		if f.B != nil {
			b := &p.Bays[bay]
			n := cuts(plane)
			if best := max(cuts(b.AcrossX(f.At.X)), cuts(b.AcrossY(f.At.Y))); n < best {
				t.Errorf("%s: %s / %s: the plane cuts %d of the two, another would %d", f.ID, f.A, *f.B, n, best)
			}
			if n == 2 {
				both++
			}
		}
		d, ok := ch.Between(f)
		switch {
		case f.Kind == finding.Access && ok:
			t.Errorf("%s: access has a distance", f.ID)
		case !ok:
		case math.Abs(d.From.Sub(d.To).Norm()-d.MM) > 0.001:
			t.Errorf("%s: the points are %v apart, said %v", f.ID, d.From.Sub(d.To).Norm(), d.MM)
		case f.Kind == finding.Overlap && (!d.Overlap || math.Abs(d.MM-f.Depth.Vertical) > 0.1001):
			t.Errorf("%s: %+v, want the upright %v", f.ID, d, f.Depth.Vertical)
		case f.Kind == finding.Tight && (d.Overlap || math.Abs(d.MM-f.Gap) > 0.1001):
			t.Errorf("%s: %+v, want the gap %v", f.ID, d, f.Gap)
		default:
			drawn++
			if d.From.X == d.To.X && d.From.Y == d.To.Y {
				upright++
			}
		}
	}
	t.Logf("%d findings, %d cut through, both cut in %d, %d with a distance, %d of them upright", len(res.Findings), through, both, drawn, upright)
	if through < 20 || both < 10 || drawn < 15 || upright == 0 || upright == drawn {
		t.Errorf("too few to mean anything")
	}
}

// The supports of a tray stand at 300, 1800, 3300, … of its length, from x = 500 on: a channel of 41, from 779.5 to 820.5, square washers of 40 under it, and two rods of 10. A section shows what its
// plane cuts: all at 800, no rod at 810, the channel alone at 820.3, nothing at 821; nor anything of a tray beyond the part of the plane that is shown.
func TestSectionCutsSupports(t *testing.T) {
	p := openText(t, map[string]string{
		"bays.csv": "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,6000,4000,3600,2400\nB,0,4000,6000,8000,3600,2400\n",
		"tray.csv": "id,kind,x1,y1,x2,y2,size,level,hanger\nT,tray,500,2000,5500,2000,300x60,3000,channel 41 M10\nU,tray,500,7000,5500,7000,300x60,3000,channel 41 M10\n",
	})
	if len(p.Problems) > 0 {
		t.Fatal(p.Problems)
	}
	ch := clash.Open(p, clash.Options{Touch: 1})
	for _, test := range []struct {
		x    float64
		want string
	}{{800, "T 1: rod rod channel washer and nut washer and nut"}, {810, "T 1: channel washer and nut washer and nut"}, {820.3, "T 1: channel"}, {821, ""}} {
		view, ok := ch.View(0, p.Bays[0].AcrossX(test.x), nil, ch.SupportPlan())
		if !ok {
			t.Fatal("the plane cuts no bay")
		}
		got := ""
		for _, s := range view.Supports {
			got += fmt.Sprintf("%s %d:", p.Zone(s.Zone).ID, s.N)
			for _, part := range s.Parts {
				got += fmt.Sprintf(" %v", part.What)
			}
		}
		if got != test.want {
			t.Errorf("at %g: %q, want %q", test.x, got, test.want)
		}
	}
}

// The stack of a finding's section is told at its place where something lies there, between two that overlap; between two that stand beside each other
// there is nothing, and it is told over the middle of what gives way.
func TestSectionsStackWhereSomethingLies(t *testing.T) {
	p := openText(t, map[string]string{
		"bays.csv": "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,9000,3600,none\n",
		"gaps.csv": "of,to,side,gap\nduct,duct,beside,50\n",
		"d.csv": "id,trade,service,kind,x1,y1,x2,y2,size,level\nD1,ductwork,supply air,duct,2000,1000,2000,6000,400x200,3000\nD2,ductwork,extract,duct,2420,1000,2420,6000,400x200,3000\n" +
			"D3,ductwork,supply air,duct,6000,1000,6000,6000,400x200,3000\nD4,ductwork,extract,duct,6300,1000,6300,6000,400x200,3000\n",
	})
	ch := clash.Open(p, clash.Options{Touch: 1})
	res, err := ch.Findings(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	if len(res.Findings) != 2 {
		t.Fatalf("%d findings, want the overlap of D3 and D4 and the tight gap of D1 and D2", len(res.Findings))
	}
	for i := range res.Findings {
		f := &res.Findings[i]
		view, ok := ch.View(0, p.Bays[0].AcrossY(f.At.Y), f, nil)
		if !ok {
			t.Fatal("the plane cuts no bay")
		}
		want := f.At.X
		if f.Kind == finding.Tight {
			want = map[string]float64{"D1": 2000, "D2": 2420}[f.GivesWay]
		}
		if math.Abs(view.StackAt-want) > 0.1 || len(view.Stack.Layers) < 2 {
			t.Errorf("%s of %s and %s: the stack at %g has %d layers, want it at %g", f.Kind, f.A, *f.B, view.StackAt, len(view.Stack.Layers), want)
		}
	}
}
