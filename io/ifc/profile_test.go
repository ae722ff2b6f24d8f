package ifc_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/golang/geo/r2"
)

// Every named section, swept upright by 5000 from where it stands: its box in plan is as wide and as high as its measures say and lies
// about the section's own origin, and what lies outside the outline drawn tight round it, in mm², is free. From the definitions of
// IfcParameterizedProfileDef in IFC 4 (the origin is the middle of the box round the section, of a trapezium the middle of its lower side and half
// its height), worked out by hand.
func TestSections(t *testing.T) {
	for _, test := range []struct {
		def        string
		w, h, free float64
		middle     r2.Point
	}{
		{"IFCRECTANGLEPROFILEDEF(.AREA.,$,$,600.,300.)", 600, 300, 0, r2.Point{}},
		{"IFCRECTANGLEHOLLOWPROFILEDEF(.AREA.,$,$,600.,300.,10.,$,$)", 600, 300, 0, r2.Point{}},
		{"IFCISHAPEPROFILEDEF(.AREA.,$,$,200.,400.,10.,20.,$,$,$)", 200, 400, 0, r2.Point{}},
		{"IFCASYMMETRICISHAPEPROFILEDEF(.AREA.,$,$,200.,400.,10.,20.,$,120.,20.,$,$,$,$,$)", 200, 400, 2 * 40 * 380 / 2, r2.Point{}},
		{"IFCLSHAPEPROFILEDEF(.AREA.,$,$,150.,90.,12.,$,$,$)", 90, 150, 78 * 138 / 2, r2.Point{}},
		{"IFCLSHAPEPROFILEDEF(.AREA.,$,$,150.,$,12.,$,$,$)", 150, 150, 138 * 138 / 2, r2.Point{}},
		{"IFCTSHAPEPROFILEDEF(.AREA.,$,$,250.,180.,14.,22.,$,$,$,$,$)", 180, 250, 2 * 83 * 228 / 2, r2.Point{}},
		{"IFCUSHAPEPROFILEDEF(.AREA.,$,$,230.,90.,8.,14.,$,$,$)", 90, 230, 0, r2.Point{}},
		{"IFCCSHAPEPROFILEDEF(.AREA.,$,$,200.,70.,3.,18.,$)", 70, 200, 0, r2.Point{}},
		{"IFCZSHAPEPROFILEDEF(.AREA.,$,$,160.,70.,8.,9.,$,$)", 2*70 - 8, 160, 2 * 62 * 151 / 2, r2.Point{}},
		{"IFCTRAPEZIUMPROFILEDEF(.AREA.,$,$,400.,200.,150.,50.)", 400, 150, (50 + 150) * 150 / 2, r2.Point{}},
		{"IFCTRAPEZIUMPROFILEDEF(.AREA.,$,$,400.,300.,150.,250.)", 550, 150, (250*150 + 150*150) / 2, r2.Point{X: 75}},
	} {
		t.Run(strings.Split(test.def, "(")[0], func(t *testing.T) {
			b := bodyOf(t, strings.Replace(small, "IFCRECTANGLEPROFILEDEF(.AREA.,$,$,600.,300.)", test.def, 1))
			if len(b.Forms) != 1 {
				t.Fatal(len(b.Forms))
			}
			f := b.Forms[0]
			at := r2.Point{X: (f.Low.X + f.High.X) / 2, Y: (f.Low.Y + f.High.Y) / 2}
			got := fmt.Sprintf("%.6f x %.6f about %.6f %.6f", f.High.X-f.Low.X, f.High.Y-f.Low.Y, math.Abs(at.X-test.middle.X), math.Abs(at.Y-test.middle.Y))
			if want := fmt.Sprintf("%.6f x %.6f about %.6f %.6f", test.w, test.h, 0., 0.); got != want {
				t.Errorf("%s, want %s", got, want)
			}
			if want := 1 - test.free/(test.w*test.h); math.Abs(f.Fill-want) > 1e-9 {
				t.Errorf("fills %v, want %v", f.Fill, want)
			}
		})
	}
}
