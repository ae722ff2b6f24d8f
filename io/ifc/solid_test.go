package ifc_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/golang/geo/r3"
)

// Each kind of solid that IFC 4 has (IfcSolidModel, IfcCsgPrimitive3D, IfcTessellatedItem, IfcMappedItem and their subtypes), worked out by hand: the box round
// it, mm, and how low and how high it is at places in plan. What is round is told by straight pieces, 96 a turn (24 of a bent disk), so that it may be up
// to 0.06 % (1.5 %) of its radius within the round; near says by how much figures may be off.
func TestSolids(t *testing.T) {
	const corners = "#70=IFCCARTESIANPOINT((0.,0.,0.));\n#71=IFCCARTESIANPOINT((400.,0.,0.));\n#72=IFCCARTESIANPOINT((400.,200.,0.));\n#73=IFCCARTESIANPOINT((0.,200.,0.));\n" +
		"#74=IFCCARTESIANPOINT((0.,0.,300.));\n#75=IFCCARTESIANPOINT((400.,0.,300.));\n#76=IFCCARTESIANPOINT((400.,200.,300.));\n#77=IFCCARTESIANPOINT((0.,200.,300.));\n"
	const hole = "#80=IFCCARTESIANPOINT((100.,50.,300.));\n#81=IFCCARTESIANPOINT((300.,50.,300.));\n#82=IFCCARTESIANPOINT((300.,150.,300.));\n#83=IFCCARTESIANPOINT((100.,150.,300.));\n"
	const bottom = "#91=IFCFACE((#92));\n#92=IFCFACEOUTERBOUND(#93,.T.);\n#93=IFCPOLYLOOP((#70,#73,#72,#71));\n"
	const top = "#94=IFCFACE((#97,#95));\n#95=IFCFACEOUTERBOUND(#96,.T.);\n#96=IFCPOLYLOOP((#74,#75,#76,#77));\n#97=IFCFACEBOUND(#98,.T.);\n#98=IFCPOLYLOOP((#80,#83,#82,#81));\n"
	const moved = "#61=IFCAXIS2PLACEMENT3D(#62,$,#63);\n#62=IFCCARTESIANPOINT((10.,20.,30.));\n#63=IFCDIRECTION((0.,3.,0.));\n"
	const rectangle = "#59=IFCRECTANGLEPROFILEDEF(.AREA.,$,$,600.,300.);\n"
	const block = "#64=IFCREPRESENTATIONMAP(#6,#65);\n#65=IFCSHAPEREPRESENTATION(#5,'Body','CSG',(#66));\n#66=IFCBLOCK(#6,400.,200.,300.);\n"
	mapped := func(operator string) string {
		return "#55=IFCMAPPEDITEM(#64,#67);\n" + block + "#67=" + operator + ";\n#68=IFCCARTESIANPOINT((1000.,2000.,3000.));\n#61=IFCDIRECTION((0.,1.,0.));\n#62=IFCDIRECTION((-1.,0.,0.));\n#63=IFCDIRECTION((1.,0.,0.));\n#60=IFCDIRECTION((0.,0.,-1.));"
	}
	none := math.NaN() // nothing of it is there
	type at struct{ x, y, low, high float64 }
	for _, test := range []struct {
		name, is  string
		low, high r3.Vector
		near      float64 // how far figures may be off, mm
		at        []at
	}{
		{"a block", "#55=IFCBLOCK(#61,400.,200.,300.);\n" + moved, r3.Vector{X: -190, Y: 20, Z: 30}, r3.Vector{X: 10, Y: 420, Z: 330}, 1e-6, []at{{-100, 200, 30, 330}, {100, 200, none, none}}},
		{"a block as a solid of its own", "#55=IFCCSGSOLID(#56);\n#56=IFCBLOCK(#61,400.,200.,300.);\n" + moved, r3.Vector{X: -190, Y: 20, Z: 30}, r3.Vector{X: 10, Y: 420, Z: 330}, 1e-6, nil},
		{
			"two blocks together", "#55=IFCBOOLEANRESULT(.UNION.,#56,#57);\n#56=IFCBLOCK(#6,400.,200.,300.);\n#57=IFCBLOCK(#6,500.,100.,100.);",
			r3.Vector{},
			r3.Vector{X: 500, Y: 200, Z: 300},
			1e-6,
			[]at{{450, 50, 0, 100}, {450, 150, none, none}, {350, 150, 0, 300}},
		},
		{"a cylinder", "#55=IFCRIGHTCIRCULARCYLINDER(#61,500.,100.);\n" + moved, r3.Vector{X: -90, Y: -80, Z: 30}, r3.Vector{X: 110, Y: 120, Z: 530}, 1e-6, []at{{10 + 70, 20 + 70, 30, 530}, {10 + 72, 20 + 72, none, none}}},
		{"a cone", "#55=IFCRIGHTCIRCULARCONE(#61,500.,100.);\n" + moved, r3.Vector{X: -90, Y: -80, Z: 30}, r3.Vector{X: 110, Y: 120, Z: 530}, 0.3, []at{{10 + 50, 20, 30, 280}, {10, 20 - 75, 30, 155}}},
		{"a ball", "#55=IFCSPHERE(#61,100.);\n" + moved, r3.Vector{X: -90, Y: -80, Z: -70}, r3.Vector{X: 110, Y: 120, Z: 130}, 0.2, []at{{10 + 60, 20, -50, 110}, {10, 20 - 80, -30, 90}}},
		{
			"tapered", "#55=IFCEXTRUDEDAREASOLIDTAPERED(#59,#61,#10,1000.,#58);\n" + rectangle + "#58=IFCRECTANGLEPROFILEDEF(.AREA.,$,$,300.,150.);\n" + moved,
			r3.Vector{X: -140, Y: -280, Z: 30},
			r3.Vector{X: 160, Y: 320, Z: 1030},
			1e-6,
			[]at{{11, 21, 30, 1030}, {11, 20 + 225, 30, 530}},
		},
		{
			"from a rectangle to a round", "#55=IFCEXTRUDEDAREASOLIDTAPERED(#59,#61,#10,1000.,#58);\n" + rectangle + "#58=IFCCIRCLEPROFILEDEF(.AREA.,$,$,200.);\n" + moved,
			r3.Vector{X: -190, Y: -280, Z: 30},
			r3.Vector{X: 210, Y: 320, Z: 1030},
			1e-6,
			[]at{{11, 21, 30, 1030}},
		},
		{
			"a quarter turn", "#55=IFCREVOLVEDAREASOLID(#59,#6,#60,1.5707963267948966);\n" + rectangle + "#60=IFCAXIS1PLACEMENT(#61,#62);\n#61=IFCCARTESIANPOINT((0.,500.,0.));\n#62=IFCDIRECTION((-1.,0.,0.));",
			// About a line along -x through y = 500: what is at y = -150 stands 650 off it, and comes to lie 650 over or under it.
			r3.Vector{X: -300, Y: -150, Z: 0},
			r3.Vector{X: 300, Y: 500, Z: 650},
			1e-6, nil,
		},
		{"a disk along a line", "#55=IFCSWEPTDISKSOLID(#60,50.,$,$,$);\n#60=IFCPOLYLINE((#70,#71));\n" + corners, r3.Vector{Y: -50, Z: -50}, r3.Vector{X: 400, Y: 50, Z: 50}, 0.03, []at{{200, 30, -40, 40}}},
		{"a disk along a line of two pieces", "#55=IFCSWEPTDISKSOLID(#60,50.,$,$,$);\n#60=IFCPOLYLINE((#70,#61,#71));\n#61=IFCCARTESIANPOINT((100.,0.,0.));\n" + corners, r3.Vector{Y: -50, Z: -50}, r3.Vector{X: 400, Y: 50, Z: 50}, 0.03, []at{{50, 30, -40, 40}, {200, 30, -40, 40}}},
		{"a disk round a corner", "#55=IFCSWEPTDISKSOLID(#60,50.,$,$,$);\n#60=IFCPOLYLINE((#70,#71,#72));\n" + corners, r3.Vector{Y: -50, Z: -50}, r3.Vector{X: 450, Y: 200, Z: 50}, 0.8, []at{{200, 0, -50, 50}, {400, 150, -50, 50}, {300, 100, none, none}}},
		{"put elsewhere", mapped("IFCCARTESIANTRANSFORMATIONOPERATOR3D($,$,#68,$,$)"), r3.Vector{X: 1000, Y: 2000, Z: 3000}, r3.Vector{X: 1400, Y: 2200, Z: 3300}, 1e-6, nil},
		{"put elsewhere, turned and twice as large", mapped("IFCCARTESIANTRANSFORMATIONOPERATOR3D(#61,#62,#68,2.,$)"), r3.Vector{X: 600, Y: 2000, Z: 3000}, r3.Vector{X: 1000, Y: 2800, Z: 3600}, 1e-6, nil},
		{"put elsewhere, its axes by two of them", mapped("IFCCARTESIANTRANSFORMATIONOPERATOR3D(#61,#63,#68,1.,$)"), r3.Vector{X: 1000, Y: 2000, Z: 2700}, r3.Vector{X: 1200, Y: 2400, Z: 3000}, 1e-6, nil},
		{"put elsewhere in a mirror", mapped("IFCCARTESIANTRANSFORMATIONOPERATOR3D(#61,#62,#68,1.,#60)"), r3.Vector{X: 800, Y: 2000, Z: 2700}, r3.Vector{X: 1000, Y: 2400, Z: 3000}, 1e-6, nil},
		{"put elsewhere, each way by another", mapped("IFCCARTESIANTRANSFORMATIONOPERATOR3DNONUNIFORM($,$,#68,2.,$,3.,0.5)"), r3.Vector{X: 1000, Y: 2000, Z: 3000}, r3.Vector{X: 1800, Y: 2600, Z: 3150}, 1e-6, nil},
		{"put elsewhere, one way by another", mapped("IFCCARTESIANTRANSFORMATIONOPERATOR3DNONUNIFORM($,$,#68,2.,$,$,0.5)"), r3.Vector{X: 1000, Y: 2000, Z: 3000}, r3.Vector{X: 1800, Y: 2400, Z: 3150}, 1e-6, nil},
		{"faces, one with a hole", "#55=IFCFACETEDBREP(#90);\n#90=IFCCLOSEDSHELL((#91,#94));\n" + bottom + top + corners + hole, r3.Vector{}, r3.Vector{X: 400, Y: 200, Z: 300}, 1e-6, []at{{50, 25, 0, 300}, {200, 100, 0, 0}}},
		{"shells", "#55=IFCSHELLBASEDSURFACEMODEL((#90,#99));\n#90=IFCOPENSHELL((#91));\n#99=IFCOPENSHELL((#94));\n" + bottom + top + corners + hole, r3.Vector{}, r3.Vector{X: 400, Y: 200, Z: 300}, 1e-6, nil},
		{
			"a curved face", "#55=IFCADVANCEDBREP(#90);\n#90=IFCCLOSEDSHELL((#91,#94));\n" + bottom + corners +
				"#94=IFCADVANCEDFACE((#95),$,.T.);\n#95=IFCFACEOUTERBOUND(#96,.T.);\n#96=IFCEDGELOOP((#100,#101,#102));\n" +
				"#100=IFCORIENTEDEDGE(*,*,#110,.T.);\n#110=IFCEDGECURVE(#120,#121,#130,.T.);\n#120=IFCVERTEXPOINT(#75);\n#121=IFCVERTEXPOINT(#76);\n" +
				"#130=IFCCIRCLE(#131,100.);\n#131=IFCAXIS2PLACEMENT3D(#132,$,$);\n#132=IFCCARTESIANPOINT((400.,100.,300.));\n" +
				"#101=IFCORIENTEDEDGE(*,*,#111,.T.);\n#111=IFCEDGE(#121,#122);\n#122=IFCVERTEXPOINT(#74);\n#102=IFCORIENTEDEDGE(*,*,#112,.F.);\n#112=IFCEDGECURVE(#120,#122,#133,.T.);\n#133=IFCPOLYLINE((#74,#75));",
			r3.Vector{},
			r3.Vector{X: 500, Y: 200, Z: 300},
			0.2,
			[]at{{480, 100, 300, 300}, {380, 100, 0, 300}, {480, 170, none, none}, {100, 30, 0, 300}, {100, 70, 0, 0}},
		},
		{
			"a curved face, its arc the other way round", "#55=IFCADVANCEDBREP(#90);\n#90=IFCCLOSEDSHELL((#91,#94));\n" + bottom + corners +
				"#94=IFCADVANCEDFACE((#95),$,.T.);\n#95=IFCFACEOUTERBOUND(#96,.T.);\n#96=IFCEDGELOOP((#100,#101,#102));\n" +
				"#100=IFCORIENTEDEDGE(*,*,#110,.T.);\n#110=IFCEDGECURVE(#120,#121,#130,.F.);\n#120=IFCVERTEXPOINT(#75);\n#121=IFCVERTEXPOINT(#76);\n" +
				"#130=IFCCIRCLE(#131,100.);\n#131=IFCAXIS2PLACEMENT3D(#132,$,$);\n#132=IFCCARTESIANPOINT((400.,100.,300.));\n" +
				"#101=IFCORIENTEDEDGE(*,*,#111,.T.);\n#111=IFCEDGE(#121,#122);\n#122=IFCVERTEXPOINT(#74);\n#102=IFCORIENTEDEDGE(*,*,#112,.F.);\n#112=IFCEDGECURVE(#120,#122,#133,.T.);\n#133=IFCPOLYLINE((#74,#75));",
			r3.Vector{},
			r3.Vector{X: 400, Y: 200, Z: 300},
			0.2,
			[]at{{350, 90, 0, 0}, {250, 60, 0, 300}, {100, 30, 0, 300}, {480, 100, none, none}},
		},
		{
			"a round face, of one edge", "#55=IFCADVANCEDBREP(#90);\n#90=IFCCLOSEDSHELL((#91,#94));\n" + bottom + corners +
				"#94=IFCADVANCEDFACE((#95),$,.T.);\n#95=IFCFACEOUTERBOUND(#96,.T.);\n#96=IFCEDGELOOP((#100));\n#100=IFCORIENTEDEDGE(*,*,#110,.T.);\n#110=IFCEDGECURVE(#120,#120,#130,.T.);\n" +
				"#120=IFCVERTEXPOINT(#75);\n#130=IFCCIRCLE(#131,100.);\n#131=IFCAXIS2PLACEMENT3D(#132,$,$);\n#132=IFCCARTESIANPOINT((400.,100.,300.));",
			r3.Vector{},
			r3.Vector{X: 500, Y: 200, Z: 300},
			0.2,
			[]at{{480, 100, 300, 300}, {320, 100, 0, 300}, {280, 100, 0, 0}},
		},
		{
			"a round face, of one edge the other way round", "#55=IFCADVANCEDBREP(#90);\n#90=IFCCLOSEDSHELL((#91,#94));\n" + bottom + corners +
				"#94=IFCADVANCEDFACE((#95),$,.T.);\n#95=IFCFACEOUTERBOUND(#96,.T.);\n#96=IFCEDGELOOP((#100));\n#100=IFCORIENTEDEDGE(*,*,#110,.T.);\n#110=IFCEDGECURVE(#120,#120,#130,.F.);\n" +
				"#120=IFCVERTEXPOINT(#75);\n#130=IFCCIRCLE(#131,100.);\n#131=IFCAXIS2PLACEMENT3D(#132,$,$);\n#132=IFCCARTESIANPOINT((400.,100.,300.));",
			r3.Vector{},
			r3.Vector{X: 500, Y: 200, Z: 300},
			0.2,
			[]at{{480, 100, 300, 300}, {320, 100, 0, 300}, {280, 100, 0, 0}},
		},
		{
			"triangles", "#55=IFCTRIANGULATEDFACESET(#60,$,.T.,((1,2,3),(4,2,3),(1,4,2)),$);\n#60=IFCCARTESIANPOINTLIST3D(((0.,0.,0.),(300.,0.,0.),(0.,300.,0.),(0.,0.,300.)));",
			r3.Vector{},
			r3.Vector{X: 300, Y: 300, Z: 300},
			1e-6,
			[]at{{60, 90, 0, 150}},
		},
		{
			"triangles by numbers of numbers", "#55=IFCTRIANGULATEDFACESET(#60,$,.T.,((1,2,3),(4,2,3),(1,4,2)),(2,3,4,5));\n#60=IFCCARTESIANPOINTLIST3D(((9.,9.,9.),(0.,0.,0.),(300.,0.,0.),(0.,300.,0.),(0.,0.,300.)));",
			r3.Vector{},
			r3.Vector{X: 300, Y: 300, Z: 300},
			1e-6,
			[]at{{60, 90, 0, 150}},
		},
		{
			"faces by number, one with a hole", "#55=IFCPOLYGONALFACESET(#60,.T.,(#61,#62),$);\n#61=IFCINDEXEDPOLYGONALFACE((1,4,3,2));\n#62=IFCINDEXEDPOLYGONALFACEWITHVOIDS((5,6,7,8),((9,10,11,12)));\n" +
				"#60=IFCCARTESIANPOINTLIST3D(((0.,0.,0.),(400.,0.,0.),(400.,200.,0.),(0.,200.,0.),(0.,0.,300.),(400.,0.,300.),(400.,200.,300.),(0.,200.,300.),(100.,50.,300.),(300.,50.,300.),(300.,150.,300.),(100.,150.,300.)));",
			r3.Vector{},
			r3.Vector{X: 400, Y: 200, Z: 300},
			1e-6,
			[]at{{50, 25, 0, 300}, {200, 100, 0, 0}},
		},
	} {
		t.Run(test.name, func(t *testing.T) {
			b := bodyOf(t, small[:strings.Index(small, "#55=")]+test.is)
			low, high := r3.Vector{X: math.Inf(1), Y: math.Inf(1), Z: math.Inf(1)}, r3.Vector{X: math.Inf(-1), Y: math.Inf(-1), Z: math.Inf(-1)}
			for _, f := range b.Forms {
				low = r3.Vector{X: min(low.X, f.Low.X), Y: min(low.Y, f.Low.Y), Z: min(low.Z, f.Low.Z)}
				high = r3.Vector{X: max(high.X, f.High.X), Y: max(high.Y, f.High.Y), Z: max(high.Z, f.High.Z)}
			}
			if d := max(low.Sub(test.low).Norm(), high.Sub(test.high).Norm()); !(d <= test.near) {
				t.Errorf("from %v to %v, want %v to %v", low, high, test.low, test.high)
			}
			for _, p := range test.at {
				low, high, ok := b.Under(p.x, p.y)
				if ok == math.IsNaN(p.low) || ok && !(math.Abs(low-p.low) <= test.near && math.Abs(high-p.high) <= test.near) {
					t.Errorf("at %g, %g: %s, want %g to %g", p.x, p.y, fmt.Sprint(low, " to ", high, " ", ok), p.low, p.high)
				}
			}
		})
	}
}
