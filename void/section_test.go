package void_test

import (
	"math"
	"testing"

	"github.com/golang/geo/r2"

	"voidline/void"
	"voidline/void/body"
)

// TestSection cuts a bay whose every length is known.
func TestSection(t *testing.T) {
	p := build(t, "", "", map[string]string{
		"zones.csv": "id,trade,storey,x1,y1,x2,y2,size,insulation,level,hanger,bay\n" +
			"D,ductwork,Ground,0,2000,6000,2000,600x300,25,2900,,\n" + // across the cut at x
			"E,ductwork,Ground,3000,500,3000,7500,200x100,,3300,,\n" + // along it
			"F,pipework,Ground,3000,5000,5000,5000,ø100,,3000,,\n" + // starts in the plane, and lies before it for who looks west
			"G,pipework,Ground,1000,6000,3000,6000,ø100,,3000,,\n" + // ends in it, and lies behind
			"T,containment,Ground,0,7000,6000,7000,300x60,,3100,channel 41 M10,\n" +
			"H,ductwork,Ground,,,,,50x100,,3450,,G1\n" + // by height
			"N,ductwork,Ground,6500,3000,11500,3000,300x300,,2900,,\n" + // the next bay's
			"U,ductwork,First,0,2000,6000,2000,600x300,25,2900,,\n", // the storey above
		"openings.csv": "in,at,size,level\nB1,3000,ø200,\n",
	})
	if len(p.Problems) > 0 {
		t.Fatal(p.Problems)
	}
	bay := 0
	for i := range p.Bays {
		if p.Bays[i].Name == "G1" {
			bay = i
		}
	}
	s, ok := p.Section(bay, p.Bays[bay].AcrossX(3000), 300)
	if !ok {
		t.Fatal("the plane misses the bay")
	}
	if s.Inside.Lo != 0 || s.Inside.Hi != 8000 || s.Shown.Lo != -300 || s.Shown.Hi != 8300 {
		t.Errorf("the cut runs over %v, shown %v", s.Inside, s.Shown)
	}
	const beam, channel = 453.4, 41 + 5 + 8.4 + 1.5 // UB 457x191x67; see void/catalogue
	// What is cut, as (s, z) from corner to corner; a zone that is not there is not cut.
	want := map[string][3]r2.Rect{
		"B1": {rect(4000-189.9/2, 3600-beam, 4000+189.9/2, 3600)},
		"D":  {rect(1700, 2900, 2300, 3200), rect(1675, 2875, 2325, 3225)},
		"E":  {rect(500, 3300, 7500, 3400)},
		"G":  {rect(5950, 3000, 6050, 3100)},
		"T":  {rect(6850, 3100, 7150, 3160), {}, rect(7000-460/2, 3100-channel, 7000+460/2, 3100)},
		"H":  {rect(0, 3450, 8000, 3550)},
	}
	got := map[string]bool{}
	for _, q := range s.Pieces {
		id := p.Zone(q.Zone).ID
		got[id] = true
		w, ok := want[id]
		if !ok {
			t.Errorf("%s is cut", id)
			continue
		}
		for k, c := range []*r2.Rect{bounds(q.Bare), bounds(q.Full), bounds(q.Hang)} {
			switch {
			case w[k] == (r2.Rect{}) && c != nil:
				t.Errorf("%s: cut %d is %v, want none", id, k, *c)
			case w[k] == (r2.Rect{}):
			case c == nil:
				t.Errorf("%s: no cut %d, want %v", id, k, w[k])
			case c.Lo().Sub(w[k].Lo()).Norm() > 0.02 || c.Hi().Sub(w[k].Hi()).Norm() > 0.02:
				t.Errorf("%s: cut %d is %v, want %v", id, k, *c, w[k])
			}
		}
	}
	for id := range want {
		if !got[id] {
			t.Errorf("%s is not cut", id)
		}
	}
	if len(s.Holes) != 1 || math.Abs(s.Holes[0].Cut.Area()-200*189.9) > 1 {
		t.Errorf("holes %+v, want the opening cut along its axis", s.Holes)
	}
	// Boards of 12.5, 12.5 and 25 from the finished face at 2700 up.
	at := 2700.0
	for i, l := range s.Layers {
		if want := []float64{12.5, 12.5, 25}[i]; l.Z.Lo != at || l.Z.Hi != at+want {
			t.Errorf("layer %d lies at %v, want %v thick from %v", i, l.Z, want, at)
		}
		at = l.Z.Hi
	}
	if len(s.Layers) != 3 {
		t.Errorf("%d layers, want 3", len(s.Layers))
	}
	if len(s.Grid) != 2 || s.Grid[0] != (void.SectionMark{Label: "1"}) || s.Grid[1] != (void.SectionMark{Label: "2", S: 8000}) {
		t.Errorf("grid lines %+v", s.Grid)
	}
	// Looking north along y: s runs east from the bay's west side.
	s, _ = p.Section(bay, p.Bays[bay].AcrossY(2000), 0)
	if len(s.Grid) != 2 || s.Grid[0].Label != "A" || s.Grid[1].S != 6000 {
		t.Errorf("grid lines %+v", s.Grid)
	}
	for _, x := range []float64{-1, 6001} {
		if _, ok := p.Section(bay, p.Bays[bay].AcrossX(x), 300); ok {
			t.Errorf("a plane at x = %v cuts the bay", x)
		}
	}
}

func rect(x0, y0, x1, y1 float64) r2.Rect {
	return r2.RectFromPoints(r2.Point{X: x0, Y: y0}, r2.Point{X: x1, Y: y1})
}

func bounds(s *body.Section) *r2.Rect {
	if s == nil {
		return nil
	}
	r := r2.RectFromPoints(s.Outline...)
	return &r
}
