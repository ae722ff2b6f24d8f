package clash_test

import (
	"context"
	"math"
	"strings"
	"testing"

	"github.com/golang/geo/r3"

	"voidline/clash"
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
		case f.Kind == clash.Access && ok:
			t.Errorf("%s: access has a distance", f.ID)
		case !ok:
		case math.Abs(d.From.Sub(d.To).Norm()-d.MM) > 0.001:
			t.Errorf("%s: the points are %v apart, said %v", f.ID, d.From.Sub(d.To).Norm(), d.MM)
		case f.Kind == clash.Overlap && (!d.Overlap || math.Abs(d.MM-f.Depth.Vertical) > 0.1001):
			t.Errorf("%s: %+v, want the upright %v", f.ID, d, f.Depth.Vertical)
		case f.Kind == clash.Tight && (d.Overlap || math.Abs(d.MM-f.Gap) > 0.1001):
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
