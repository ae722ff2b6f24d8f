package ifc_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/golang/geo/r2"
)

// areaOf is the area of an outline, mm².
func areaOf(c []r2.Point) float64 {
	a := 0.0
	for i, p := range c {
		a += p.Cross(c[(i+1)%len(c)]) / 2
	}
	return math.Abs(a)
}

// A section is pushed up whose outline is each kind of curve that IFC 4 has (IfcCurve and its subtypes, IfcProfileDef and its subtypes): from where to
// where it reaches in plan, mm, and how large it is, mm². Worked out by hand; a full turn is 96 straight pieces whose corners lie on the circle,
// so that a circle of radius r has 48 r² sin(3.75 degrees).
func TestOutlines(t *testing.T) {
	disc := 48 * math.Sin(2*math.Pi/96) // of a circle of radius 1
	const closed = "#59=IFCARBITRARYCLOSEDPROFILEDEF(.AREA.,$,#60);\n"
	const circle = "#70=IFCCIRCLE(#71,100.);\n#71=IFCAXIS2PLACEMENT2D(#72,$);\n#72=IFCCARTESIANPOINT((400.,100.));\n"
	const ellipse = "#70=IFCELLIPSE(#71,200.,100.);\n#71=IFCAXIS2PLACEMENT2D(#72,#73);\n#72=IFCCARTESIANPOINT((50.,60.));\n#73=IFCDIRECTION((0.,2.));\n"
	const points = "#80=IFCCARTESIANPOINT((0.,0.));\n#81=IFCCARTESIANPOINT((400.,0.));\n#82=IFCCARTESIANPOINT((400.,200.));\n#83=IFCCARTESIANPOINT((0.,200.));\n#84=IFCPOLYLINE((#83,#80,#81));\n"
	const segments = "#60=IFCCOMPOSITECURVE((#61,#62),.F.);\n#61=IFCCOMPOSITECURVESEGMENT(.CONTINUOUS.,.T.,#84);\n#62=IFCCOMPOSITECURVESEGMENT(.CONTINUOUS.,%s,#63);\n" + points + circle
	bullet := 400*200 + disc*100*100/2 // a rectangle and half a circle at its right end
	const rectangle = "#90=IFCRECTANGLEPROFILEDEF(.AREA.,$,#91,600.,300.);\n#91=IFCAXIS2PLACEMENT2D(#92,#93);\n#92=IFCCARTESIANPOINT((1000.,500.));\n#93=IFCDIRECTION((0.,1.));\n"
	for _, test := range []struct {
		name, is  string
		low, high r2.Point
		area      float64
	}{
		{
			"points in order", closed + "#60=IFCINDEXEDPOLYCURVE(#61,$,$);\n#61=IFCCARTESIANPOINTLIST2D(((100.,50.),(700.,50.),(700.,350.),(100.,350.)));",
			r2.Point{X: 100, Y: 50},
			r2.Point{X: 700, Y: 350},
			600 * 300,
		},
		{
			"points by number, as lines and arcs", closed + "#60=IFCINDEXEDPOLYCURVE(#61,(IFCLINEINDEX((2,3)),IFCARCINDEX((3,4,5)),IFCLINEINDEX((5,6)),IFCARCINDEX((6,1,2))),.F.);\n" +
				"#61=IFCCARTESIANPOINTLIST2D(((-100.,100.),(0.,0.),(400.,0.),(500.,100.),(400.,200.),(0.,200.)));",
			r2.Point{X: -100, Y: 0},
			r2.Point{X: 500, Y: 200},
			400*200 + disc*100*100,
		},
		{
			"an arc of three quarters", closed + "#60=IFCINDEXEDPOLYCURVE(#61,(IFCARCINDEX((1,2,3)),IFCLINEINDEX((3,4,1))),.F.);\n#61=IFCCARTESIANPOINTLIST3D(((100.,0.,0.),(-100.,0.,0.),(0.,-100.,0.),(0.,0.,0.)));",
			r2.Point{X: -100, Y: -100},
			r2.Point{X: 100, Y: 100},
			disc * 100 * 100 * 3 / 4,
		},
		{
			"an arc through three points in line", closed + "#60=IFCINDEXEDPOLYCURVE(#61,(IFCARCINDEX((1,2,3)),IFCLINEINDEX((3,4,1))),.F.);\n#61=IFCCARTESIANPOINTLIST2D(((0.,0.),(100.,0.),(300.,0.),(300.,200.)));",
			r2.Point{},
			r2.Point{X: 300, Y: 200},
			300 * 200 / 2,
		},
		{"a circle", closed + "#60=IFCCIRCLE(#71,100.);\n" + circle, r2.Point{X: 300, Y: 0}, r2.Point{X: 500, Y: 200}, disc * 100 * 100},
		{"an ellipse that stands on end", closed + strings.Replace(ellipse, "#70", "#60", 1), r2.Point{X: -50, Y: -140}, r2.Point{X: 150, Y: 260}, disc * 200 * 100},
		{
			"half a circle by angles, in radians", closed + fmt.Sprintf(segments, ".T.") + "#63=IFCTRIMMEDCURVE(#70,(IFCPARAMETERVALUE(-1.5707963267948966)),(IFCPARAMETERVALUE(1.5707963267948966)),.T.,.PARAMETER.);",
			r2.Point{},
			r2.Point{X: 500, Y: 200},
			bullet,
		},
		{"half a circle by points", closed + fmt.Sprintf(segments, ".T.") + "#63=IFCTRIMMEDCURVE(#70,(#81),(#82),.T.,.CARTESIAN.);", r2.Point{}, r2.Point{X: 500, Y: 200}, bullet},
		{
			"half a circle by points that go before angles", closed + fmt.Sprintf(segments, ".T.") + "#63=IFCTRIMMEDCURVE(#70,(IFCPARAMETERVALUE(0.),#81),(#82,IFCPARAMETERVALUE(0.)),.T.,.CARTESIAN.);",
			r2.Point{},
			r2.Point{X: 500, Y: 200},
			bullet,
		},
		{
			"half a circle by angles that go before points", closed + fmt.Sprintf(segments, ".T.") + "#63=IFCTRIMMEDCURVE(#70,(IFCPARAMETERVALUE(-1.5707963267948966),#82),(#81,IFCPARAMETERVALUE(1.5707963267948966)),.T.,.PARAMETER.);",
			r2.Point{},
			r2.Point{X: 500, Y: 200},
			bullet,
		},
		{"half a circle from its end", closed + fmt.Sprintf(segments, ".F.") + "#63=IFCTRIMMEDCURVE(#70,(#82),(#81),.F.,.CARTESIAN.);", r2.Point{}, r2.Point{X: 500, Y: 200}, bullet},
		{"half a circle the other way round", closed + fmt.Sprintf(segments, ".T.") + "#63=IFCTRIMMEDCURVE(#70,(#81),(#82),.F.,.CARTESIAN.);", r2.Point{}, r2.Point{X: 400, Y: 200}, 400*200 - disc*100*100/2},
		{
			"half an ellipse", closed + "#60=IFCTRIMMEDCURVE(#70,(#74),(#75),.T.,.CARTESIAN.);\n" + ellipse + "#74=IFCCARTESIANPOINT((50.,260.));\n#75=IFCCARTESIANPOINT((50.,-140.));",
			r2.Point{X: -50, Y: -140},
			r2.Point{X: 50, Y: 260},
			disc * 200 * 100 / 2,
		},
		{
			"a line by points", closed + fmt.Sprintf(segments, ".T.") + "#63=IFCTRIMMEDCURVE(#64,(#81),(#82),.T.,.CARTESIAN.);\n#64=IFCLINE(#80,#65);\n#65=IFCVECTOR(#66,3.);\n#66=IFCDIRECTION((0.,1.));",
			r2.Point{},
			r2.Point{X: 400, Y: 200},
			400 * 200,
		},
		{
			"a line by lengths", closed + fmt.Sprintf(segments, ".T.") + "#63=IFCTRIMMEDCURVE(#64,(IFCPARAMETERVALUE(2.)),(IFCPARAMETERVALUE(52.)),.T.,.PARAMETER.);\n#64=IFCLINE(#81,#65);\n#65=IFCVECTOR(#66,5.);\n#66=IFCDIRECTION((0.,1.));",
			r2.Point{},
			r2.Point{X: 400, Y: 260},
			400*260 - 400*60/2,
		},
		{"corners of a spline", closed + "#60=IFCBSPLINECURVE(2,(#80,#81,#82,#83),.UNSPECIFIED.,.T.,.F.);\n" + points, r2.Point{}, r2.Point{X: 400, Y: 200}, 400 * 200},
		{
			"what is trimmed of another curve is taken whole", closed + "#60=IFCTRIMMEDCURVE(#61,(IFCPARAMETERVALUE(0.)),(IFCPARAMETERVALUE(1.)),.T.,.PARAMETER.);\n#61=IFCPOLYLINE((#80,#81,#82,#83,#80));\n" + points,
			r2.Point{},
			r2.Point{X: 400, Y: 200},
			400 * 200,
		},
		{"an ellipse by name", "#59=IFCELLIPSEPROFILEDEF(.AREA.,$,$,200.,100.);", r2.Point{X: -200, Y: -100}, r2.Point{X: 200, Y: 100}, disc * 200 * 100},
		{"a section that is turned and elsewhere", strings.Replace(rectangle, "#90", "#59", 1), r2.Point{X: 850, Y: 200}, r2.Point{X: 1150, Y: 800}, 600 * 300},
		{
			"two sections together", "#59=IFCCOMPOSITEPROFILEDEF(.AREA.,$,(#90,#95),$);\n" + rectangle + "#95=IFCRECTANGLEPROFILEDEF(.AREA.,$,#96,300.,600.);\n#96=IFCAXIS2PLACEMENT2D(#97,$);\n#97=IFCCARTESIANPOINT((2000.,500.));",
			r2.Point{X: 850, Y: 200},
			r2.Point{X: 2150, Y: 800},
			1300 * 600,
		},
		{"in a mirror", "#59=IFCMIRROREDPROFILEDEF(.AREA.,$,#90,*,$);\n" + rectangle, r2.Point{X: -1150, Y: 200}, r2.Point{X: -850, Y: 800}, 600 * 300},
		{
			"made larger, turned and elsewhere", "#59=IFCDERIVEDPROFILEDEF(.AREA.,$,#90,#95,$);\n" + rectangle + "#95=IFCCARTESIANTRANSFORMATIONOPERATOR2D(#93,$,#96,2.);\n#96=IFCCARTESIANPOINT((10.,20.));",
			r2.Point{X: 10 - 1600, Y: 20 + 1700},
			r2.Point{X: 10 - 400, Y: 20 + 2300},
			4 * 600 * 300,
		},
		{
			"made larger, each way by another", "#59=IFCDERIVEDPROFILEDEF(.AREA.,$,#90,#95,$);\n" + rectangle + "#95=IFCCARTESIANTRANSFORMATIONOPERATOR2DNONUNIFORM($,#97,#96,2.,0.5);\n#96=IFCCARTESIANPOINT((10.,20.));\n#97=IFCDIRECTION((0.,-1.));",
			r2.Point{X: 10 + 1700, Y: 20 - 400},
			r2.Point{X: 10 + 2300, Y: 20 - 100},
			600 * 300,
		},
		{
			"with a hole", "#59=IFCARBITRARYPROFILEDEFWITHVOIDS(.AREA.,$,#60,(#70));\n#60=IFCPOLYLINE((#80,#81,#82,#83,#80));\n" + points + strings.Replace(circle, "(400.,100.)", "(200.,100.)", 1),
			r2.Point{},
			r2.Point{X: 400, Y: 200},
			400*200 - disc*100*100,
		},
	} {
		t.Run(test.name, func(t *testing.T) {
			b := bodyOf(t, strings.Replace(small, "#59=IFCRECTANGLEPROFILEDEF(.AREA.,$,$,600.,300.);", test.is, 1))
			if len(b.Forms) != 1 {
				t.Fatal(len(b.Forms))
			}
			f := b.Forms[0]
			var outer, all float64
			for _, o := range b.Outlines() {
				outer, all = max(outer, areaOf(o)), all+areaOf(o)
			}
			area := outer - (all - outer) // the others are holes
			got := fmt.Sprintf("%.4f %.4f to %.4f %.4f, %.3f", f.Low.X+0, f.Low.Y+0, f.High.X+0, f.High.Y+0, area)
			if want := fmt.Sprintf("%.4f %.4f to %.4f %.4f, %.3f", test.low.X, test.low.Y, test.high.X, test.high.Y, test.area); got != want {
				t.Errorf("%s, want %s", got, want)
			}
		})
	}
}
