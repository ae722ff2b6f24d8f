package ifc_test

import (
	"archive/zip"
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"voidline/io/ifc"
)

// wrapped wraps instances in what a file has round them.
func wrapped(instances string) string {
	return "ISO-10303-21;\nHEADER;\nFILE_DESCRIPTION((''),'2;1');\nFILE_NAME('x','2026-11-30T10:00:00',(''),(''),'','','');\nFILE_SCHEMA(('IFC4'));\nENDSEC;\nDATA;\n" + instances + "\nENDSEC;\nEND-ISO-10303-21;\n"
}

// small is a model with one duct; its instances from line 8.
const small = `#1=IFCPROJECT('0000000000000000000001',$,'p',$,$,$,$,(#5),#2);
#2=IFCUNITASSIGNMENT((#3));
#3=IFCSIUNIT(*,.LENGTHUNIT.,.MILLI.,.METRE.);
#5=IFCGEOMETRICREPRESENTATIONCONTEXT($,'Model',3,1.E-05,#6,$);
#6=IFCAXIS2PLACEMENT3D(#7,$,$);
#7=IFCCARTESIANPOINT((0.,0.,0.));
#8=IFCLOCALPLACEMENT($,#6);
#9=IFCBUILDINGSTOREY('0000000000000000000002',$,'Ground',$,$,#8,$,$,.ELEMENT.,0.);
#10=IFCDIRECTION((0.,0.,1.));
#50=IFCDUCTSEGMENT('0000000000000000000d01',$,'D1',$,$,#8,#53,$,.RIGIDSEGMENT.);
#53=IFCPRODUCTDEFINITIONSHAPE($,$,(#54));
#54=IFCSHAPEREPRESENTATION(#5,'Body','SweptSolid',(#55));
#55=IFCEXTRUDEDAREASOLID(#59,$,#10,5000.);
#59=IFCRECTANGLEPROFILEDEF(.AREA.,$,$,600.,300.);`

// bodyOf returns the body of the first element of a model of these instances.
func bodyOf(t *testing.T, instances string) ifc.Body {
	t.Helper()
	file := filepath.Join(t.TempDir(), "one.ifc")
	if err := os.WriteFile(file, []byte(wrapped(instances)), 0o666); err != nil {
		t.Fatal(err)
	}
	m := open(t, file)
	b, err := m.Body(&m.Elements[0])
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// readAll reads a file and the forms of all its elements, and returns what was wrong with it.
func readAll(ctx context.Context, name string) (problems []string, err error) {
	f, err := ifc.Open(ctx, name, nil)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	m, err := ifc.ReadModel(ctx, f)
	if err != nil {
		return nil, err
	}
	for i := range m.Elements {
		if _, err := m.Body(&m.Elements[i]); err != nil {
			problems = append(problems, err.Error())
		}
		m.Properties(&m.Elements[i])
		m.Layers(&m.Elements[i])
	}
	for _, p := range m.Problems {
		problems = append(problems, p.String())
	}
	return problems, nil
}

// TestHostile: what is wrong is refused or told, with file and line, and costs no more than what is right.
func TestHostile(t *testing.T) {
	deep := func(n int) string { return strings.Repeat("(", n) + strings.Repeat(")", n) }
	var chain, maps strings.Builder
	for i := range 70 {
		fmt.Fprintf(&chain, "#%d=IFCLOCALPLACEMENT(#%d,#6);\n", 100+i, 101+i)
	}
	chain.WriteString("#170=IFCLOCALPLACEMENT($,#6);")
	// Each shape is two of the next: 2 to the 40.
	for i := range 40 {
		at := 100 + 10*i
		fmt.Fprintf(&maps, "#%d=IFCREPRESENTATIONMAP(#6,#%d);\n#%d=IFCSHAPEREPRESENTATION(#5,'Body','MappedRepresentation',(#%d,#%d));\n", at, at+1, at+1, at+2, at+3)
		fmt.Fprintf(&maps, "#%d=IFCMAPPEDITEM(#%d,#99);\n#%d=IFCMAPPEDITEM(#%d,#99);\n", at+2, at+10, at+3, at+10)
	}
	maps.WriteString("#500=IFCREPRESENTATIONMAP(#6,#54);\n#99=IFCCARTESIANTRANSFORMATIONOPERATOR3D($,$,#7,$,$);")
	const solid = "#55=IFCEXTRUDEDAREASOLID(#59,$,#10,5000.)"
	for _, test := range []struct{ name, text, want string }{
		{"sound", wrapped(small), ""},
		{"nothing", "", "x.ifc: it is empty"},
		{"xml", "<?xml version='1.0'?><ifcXML/>", "it is XML"},
		{"json", `{"type":"ifcJSON"}`, "it is JSON"},
		{"binary", "ISO-10303-21;\x00\x00", "x.ifc:1: a zero byte"},
		{"no header", "ISO-10303-21;\nDATA;\n#1=A();\nENDSEC;\nEND-ISO-10303-21;\n", "x.ifc:2: no FILE_SCHEMA"},
		{"another schema", strings.Replace(wrapped(small), "IFC4", "AUTOMOTIVE_DESIGN", 1), "x.ifc:7: FILE_SCHEMA is AUTOMOTIVE_DESIGN"},
		{"no instances", wrapped(""), "it has no instances"},
		{"cut short", wrapped(small)[:700], "it was cut short"},
		{"cut after an instance", strings.Split(wrapped(small), "ENDSEC;\nEND")[0], "x.ifc:22: the file ends without END-ISO-10303-21: it was cut short"},
		{"twice", wrapped(small + "\n#8=IFCLOCALPLACEMENT($,#6);"), "x.ifc:22: #8 is there twice, first in line 14"},
		{"comment without end", wrapped(small + "\n/* "), "the file ends in a comment"},
		{"no units", wrapped(strings.Replace(small, "(#5),#2", "(#5),$", 1)), "x.ifc:8: #1 IFCPROJECT: it has no units: they are not guessed"},
		{"other units only", wrapped(strings.Replace(small, "LENGTHUNIT", "AREAUNIT", 1)), "x.ifc:9: #2 IFCUNITASSIGNMENT: it lists no unit of length"},
		{"a unit of itself", wrapped(strings.Replace(small, "#3=IFCSIUNIT(*,.LENGTHUNIT.,.MILLI.,.METRE.);", "#3=IFCCONVERSIONBASEDUNIT($,.LENGTHUNIT.,'X',#4);#4=IFCMEASUREWITHUNIT(IFCRATIOMEASURE(1.),#3);", 1)), "made of itself"},
		{"placed on itself", wrapped(strings.Replace(small, "#8=IFCLOCALPLACEMENT($,#6)", "#8=IFCLOCALPLACEMENT(#8,#6)", 1)), "x.ifc:14: #8 IFCLOCALPLACEMENT: it stands, by way of others, on itself"},
		{"placed too deep", wrapped(strings.Replace(small, "$,$,#8,#53", "$,$,#100,#53", 1) + chain.String()), "it stands on more than 64 others"},
		{"mapped in itself", wrapped(strings.Replace(small, "(#55)", "(#60)", 1) + "\n#60=IFCMAPPEDITEM(#61,#62);\n#61=IFCREPRESENTATIONMAP(#6,#54);\n#62=IFCCARTESIANTRANSFORMATIONOPERATOR3D($,$,#7,$,$);"), "one made of the other"},
		{"mapped into millions", wrapped(strings.Replace(small, "(#53", "(#53", 1) + "\n#90=IFCDUCTSEGMENT('0000000000000000000d02',$,'D2',$,$,#8,#91,$,.RIGIDSEGMENT.);\n#91=IFCPRODUCTDEFINITIONSHAPE($,$,(#101));\n" + maps.String()), "a form of more than"},
		{"cut by itself", wrapped(strings.Replace(small, "#55=IFCEXTRUDEDAREASOLID(#59,$,#10,5000.)", "#55=IFCBOOLEANRESULT(.UNION.,#55,#55)", 1)), "one made of the other"},
		{"lists in lists", wrapped(small + "\n#60=IFCPROPERTYSET('0000000000000000000q01',$,'x',$,(#61));\n#61=IFCPROPERTYSINGLEVALUE('x',$,IFCLABEL(" + deep(100) + "),$);\n#62=IFCRELDEFINESBYPROPERTIES('0000000000000000000r01',$,$,$,(#50),#60);"), "x.ifc:23: more than 64 lists, one inside the other"},
		{"a long string", wrapped(small + "\n#60=IFCLABEL('" + strings.Repeat("x", 100<<10) + "');"), "x.ifc:22: a string of more than 64 KB"},
		{"a string without end", wrapped(small + "\n#60=IFCLABEL('" + strings.Repeat("x", 100<<10)), "a string of more than 64 KB"},
		{"what is not there", wrapped(strings.Replace(small, "(#55)", "(#777)", 1)), "#777 is referred to, and is not in the file"},
		{"no number", wrapped(strings.Replace(small, "5000.", "'5000'", 1)), "x.ifc:20: #55 IFCEXTRUDEDAREASOLID: its value 4 is no number"},
		{"no size", wrapped(strings.Replace(small, "600.,300.", "0.,-300.", 1)), "x.ifc:21: #59 IFCRECTANGLEPROFILEDEF: a size of 0"},
		{"endless", wrapped(strings.Replace(small, "5000.", "1.E400", 1)), "is no number"},
		{"a form that is not known", wrapped(strings.Replace(small, "#55=IFCEXTRUDEDAREASOLID(#59,$,#10,5000.)", "#55=IFCSECTIONEDSPINE(#59,$,$)", 1)), "x.ifc:20: #55 IFCSECTIONEDSPINE: a form that is not read"},
		{"no value", wrapped(strings.Replace(small, "5000.", "#", 1)), "is no number of an instance"},
		{"broken off", wrapped(strings.Replace(small, "5000.)", "5000.", 1)), "x.ifc:20: a ) is missing"},
		{"more behind its end", wrapped(strings.Replace(small, "5000.)", "5000.) x", 1)), `x.ifc:20: "x" behind its end`},
		{"no comma", wrapped(strings.Replace(small, "#10,5000.", "#10 5000.", 1)), `x.ifc:20: "5000.)" where a comma or a ) should be`},
		{"two types", wrapped(strings.Replace(small, "IFCEXTRUDEDAREASOLID(#59", "(#59", 1)), "x.ifc:20: an instance of several types at once"},
		{"no bracket", wrapped(strings.Replace(small, "IFCEXTRUDEDAREASOLID(#59,$,#10,5000.)", "IFCEXTRUDEDAREASOLID", 1)), "x.ifc:20: its ( is missing"},
		{"a word without its second point", wrapped(strings.Replace(small, "5000.", ".X", 1)), "x.ifc:20: a word between points without its second point"},
		{"a typed value without brackets", wrapped(strings.Replace(small, "5000.", "IFCLENGTHMEASURE", 1)), `"IFCLENGTHMEASURE" where a value should be`},
		{"a sign for a value", wrapped(strings.Replace(small, "5000.", "%", 1)), `"%)" where a value should be`},
		{"no =", wrapped(strings.Replace(small, "#55=", "#55 ", 1)), "x.ifc:20: #55 is not followed by ="},
		{"spaces round =", wrapped(strings.Replace(small, "#55=", "#55 \t= ", 1)), ""},
		{"no number of an instance", wrapped(strings.Replace(small, "#55=", "#x=", 1)), `x.ifc:20: "#x=IFCEXTRUDEDAREASOLID(#59,$,#10,5000.)" is no number of an instance`},
		{"too large a number of an instance", wrapped(small + "\n#4294967296=IFCLABEL('');"), "is no number of an instance"},
		{"the largest number of an instance", wrapped(small + "\n#4294967295=IFCLABEL('');"), ""},
		{"no instance", wrapped(strings.Replace(small, "#55=", "x=", 1)), `x.ifc:20: "x=IFCEXTRUDEDAREASOLID(#59,$,#10,5000.)" where an instance, such as #12=IFCWALL(...), should be`},
		{"a comment in an instance, a star in it", wrapped(strings.Replace(small, "#55=IFC", "#55=/* a ** / b **/IFC", 1)), ""},
		{"a comment between instances", wrapped(strings.Replace(small, "#55=IFC", "/**//* #1 ; ' */ #55=IFC", 1)), ""},
		{"a comment within the list", wrapped(strings.Replace(small, "#10,5000.", "#10/* ,1 */,/**/5000.", 1)), ""},
		{"a / in an instance", wrapped(strings.Replace(small, "5000.", "/5000.", 1)), `where a value should be`},
		{"a / between instances", wrapped(strings.Replace(small, "#55=", "/ #55=", 1)), "x.ifc:20: a / where an instance or a comment should begin"},
		{"a byte order mark", "\xef\xbb\xbf" + wrapped(small), ""},
		{"UTF-16", "\xff\xfeI\x00", "it is UTF-16; STEP files are plain text"},
		{"UTF-16 the other way", "\xfe\xff\x00I", "it is UTF-16; STEP files are plain text"},
		{"text", "Dear all,", "x.ifc: it does not begin with ISO-10303-21"},
		{"nearly", "ISO-10303-211;\nHEADER;\n", "x.ifc:1: it does not begin with ISO-10303-21"},
		{"a comment first", "/* by hand */ " + wrapped(small), ""},
		{"no project", wrapped(strings.Replace(small, "#1=IFCPROJECT(", "#1=IFCPROXY(", 1)), "x.ifc: no IFCPROJECT in it: its units are not known"},
		{"two units of length", wrapped(strings.Replace(small, "(#3)", "(#3,#3)", 1)), "x.ifc:9: #2 IFCUNITASSIGNMENT: it lists two units of length"},
		{"a prefix that nobody has", wrapped(strings.Replace(small, ".MILLI.", ".MYRIA.", 1)), "x.ifc:10: #3 IFCSIUNIT: prefix MYRIA"},
		{"a unit that is none", wrapped(strings.Replace(small, "(#3)", "(#7)", 1)), "it lists no unit of length"},
		{"placed by grid lines", wrapped(strings.Replace(small, "$,$,#8,#53", "$,$,#90,#53", 1) + "\n#90=IFCGRIDPLACEMENT($,$,$);"), "x.ifc:22: #90 IFCGRIDPLACEMENT: it is placed by grid lines, which is not read"},
		{"placed by an alignment", wrapped(strings.Replace(small, "$,$,#8,#53", "$,$,#90,#53", 1) + "\n#90=IFCLINEARPLACEMENT($,$,$);"), "x.ifc:22: #90 IFCLINEARPLACEMENT: it is placed by an alignment, which is not read"},
		{"placed by a point", wrapped(strings.Replace(small, "#8=IFCLOCALPLACEMENT($,#6)", "#8=IFCLOCALPLACEMENT($,#7)", 1)), "x.ifc:13: #7 IFCCARTESIANPOINT: where a placement should be"},
		{"a line for a point", wrapped(strings.Replace(small, "#10=IFCDIRECTION((0.,0.,1.))", "#10=IFCLINE($,$)", 1)), "x.ifc:16: #10 IFCLINE: where a point or a direction should be"},
		{"no direction", wrapped(strings.Replace(small, "(0.,0.,1.)", "(0.,0.,0.)", 1)), ""},
		{"no place", wrapped(strings.Replace(small, "#6=IFCAXIS2PLACEMENT3D(#7", "#6=IFCAXIS2PLACEMENT3D($", 1)), "x.ifc:12: #6 IFCAXIS2PLACEMENT3D: its value 1 is missing"},
		{"a number for a place", wrapped(strings.Replace(small, "#6=IFCAXIS2PLACEMENT3D(#7", "#6=IFCAXIS2PLACEMENT3D(7.", 1)), "its value 1 is no reference"},
		{"a number for a list", wrapped(strings.Replace(small, "(0.,0.,1.)", "7.", 1)), "x.ifc:16: #10 IFCDIRECTION: its value 1 is no list"},
		{"a word among numbers", wrapped(strings.Replace(small, "(0.,0.,1.)", "(0.,'0',1.)", 1)), "x.ifc:16: #10 IFCDIRECTION: something that is no number among numbers"},
		{"numbers with their kind", wrapped(strings.Replace(small, "(0.,0.,1.)", "(IFCREAL(0.),0.,IFCREAL(1.))", 1)), ""},
		{"one reference for a list", wrapped(strings.Replace(small, "(#55)", "#55", 1)), ""},
		{"a number in a list of references", wrapped(strings.Replace(small, "(#55)", "(#55,7.)", 1)), "its value 4 holds something that is no reference"},
		{"pushed for ever", wrapped(strings.Replace(small, "5000.", "1.E9", 1)), "x.ifc:20: #55 IFCEXTRUDEDAREASOLID: pushed by 1e+09"},
		{"turned too often", wrapped(strings.Replace(small, solid, "#55=IFCREVOLVEDAREASOLID(#59,$,#6,6.29)", 1)), "x.ifc:20: #55 IFCREVOLVEDAREASOLID: turned by 6.29"},
		{"a disk of no radius", wrapped(strings.Replace(small, solid, "#55=IFCSWEPTDISKSOLID(#60,0.,$,$,$)", 1) + "\n#60=IFCPOLYLINE((#7,#61));\n#61=IFCCARTESIANPOINT((1.,0.,0.));"), "x.ifc:20: #55 IFCSWEPTDISKSOLID: a radius of 0"},
		{"a disk along nothing", wrapped(strings.Replace(small, solid, "#55=IFCSWEPTDISKSOLID(#60,1.,$,$,$)", 1) + "\n#60=IFCPOLYLINE((#7,#7));"), "x.ifc:20: #55 IFCSWEPTDISKSOLID: a path of no length"},
		{"a section of two corners", wrapped(strings.Replace(small, "#59=IFCRECTANGLEPROFILEDEF(.AREA.,$,$,600.,300.)", "#59=IFCARBITRARYCLOSEDPROFILEDEF(.AREA.,$,#60);\n#60=IFCPOLYLINE((#7,#61));\n#61=IFCCARTESIANPOINT((1.,0.,0.))", 1)), "x.ifc:21: #59 IFCARBITRARYCLOSEDPROFILEDEF: a section of fewer than three corners"},
		{"a corner that is not there", wrapped(strings.Replace(small, solid, "#55=IFCTRIANGULATEDFACESET(#60,$,.T.,((1,2,4)),$);\n#60=IFCCARTESIANPOINTLIST3D(((0.,0.,0.),(1.,0.,0.),(0.,1.,0.)))", 1)), "x.ifc:20: #55 IFCTRIANGULATEDFACESET: corner 4 of 3"},
		{"corner 0", wrapped(strings.Replace(small, solid, "#55=IFCTRIANGULATEDFACESET(#60,$,.T.,((0,1,2)),$);\n#60=IFCCARTESIANPOINTLIST3D(((0.,0.,0.),(1.,0.,0.),(0.,1.,0.)))", 1)), "x.ifc:20: #55 IFCTRIANGULATEDFACESET: corner 0 of 3"},
		{"a point with one number", wrapped(strings.Replace(small, solid, "#55=IFCTRIANGULATEDFACESET(#60,$,.T.,((1,1,1)),$);\n#60=IFCCARTESIANPOINTLIST3D(((0.)))", 1)), "x.ifc:21: #60 IFCCARTESIANPOINTLIST3D: point 1 has no two numbers"},
		{"lines only", wrapped(strings.Replace(small, solid, "#55=IFCPOLYLINE((#7,#7))", 1)), ""},
	} {
		t.Run(test.name, func(t *testing.T) {
			name := filepath.Join(t.TempDir(), "x.ifc")
			if err := os.WriteFile(name, []byte(test.text), 0o644); err != nil {
				t.Fatal(err)
			}
			problems, err := readAll(t.Context(), name)
			got := strings.Join(problems, "\n")
			if err != nil {
				got = err.Error()
			}
			if test.want == "" && got != "" || !strings.Contains(got, test.want) {
				t.Errorf("got %q, want %q", got, test.want)
			}
		})
	}
}

// zipped writes a zipped file of entries.
func zipped(t *testing.T, entries map[string]string) string {
	t.Helper()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for name, text := range entries {
		w, err := z.Create(name)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := w.Write([]byte(text)); err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	name := filepath.Join(t.TempDir(), "x.ifczip")
	if err := os.WriteFile(name, b.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
	return name
}

func TestZipped(t *testing.T) {
	temp := t.TempDir()
	t.Setenv("TMPDIR", temp)
	for _, test := range []struct {
		name    string
		entries map[string]string
		want    string
	}{
		{"one", map[string]string{"model.ifc": wrapped(small), "texture.png": "x"}, ""},
		{"none", map[string]string{"readme.txt": "x"}, "x.ifczip: no .ifc in it"},
		{"two", map[string]string{"a.ifc": wrapped(small), "b.ifc": wrapped(small)}, "x.ifczip: it holds more than one model"},
		{"a bomb", map[string]string{"a.ifc": wrapped(small + "/*" + strings.Repeat(" ", 50<<20) + "*/")}, "at most 200 times its size"},
	} {
		t.Run(test.name, func(t *testing.T) {
			_, err := readAll(t.Context(), zipped(t, test.entries))
			if test.want == "" && err != nil || test.want != "" && (err == nil || !strings.Contains(err.Error(), test.want)) {
				t.Errorf("got %v, want %q", err, test.want)
			}
			left, err := filepath.Glob(filepath.Join(temp, "voidline-*"))
			if err != nil || len(left) > 0 {
				t.Errorf("left behind: %v, %v", left, err)
			}
		})
	}
}

// TestCancel: told to stop, reading stops, and nothing is left behind.
func TestCancel(t *testing.T) {
	temp := t.TempDir()
	t.Setenv("TMPDIR", temp)
	name := zipped(t, map[string]string{"a.ifc": wrapped(small)})
	ctx, stop := context.WithCancel(t.Context())
	stop()
	if _, err := readAll(ctx, name); !errors.Is(err, context.Canceled) {
		t.Errorf("err %v", err)
	}
	if left, err := filepath.Glob(filepath.Join(temp, "voidline-*")); err != nil || len(left) > 0 {
		t.Errorf("left behind: %v, %v", left, err)
	}
}

// FuzzRead: whatever stands in a file, it is read or refused.
func FuzzRead(f *testing.F) {
	f.Add([]byte(wrapped(small)))
	f.Add([]byte(wrapped(strings.Replace(small, "#8=IFCLOCALPLACEMENT($,#6)", "#8=IFCLOCALPLACEMENT(#8,#6)", 1))))
	f.Add([]byte(wrapped(small + "\n#60=IFCLABEL('\\X2\\00E9\\X0\\ \\S\\i''/* no comment */');/* it's one; */")))
	f.Add([]byte(wrapped(strings.Replace(small, "#55=IFCEXTRUDEDAREASOLID(#59,$,#10,5000.)", "#55=IFCTRIANGULATEDFACESET(#60,$,.T.,((1,2,3),(1,3,4)),$);#60=IFCCARTESIANPOINTLIST3D(((0.,0.,0.),(1.,0.,0.),(0.,1.,0.),(0.,0.,1.)))", 1))))
	f.Add([]byte(wrapped(strings.Replace(small, "#55=IFCEXTRUDEDAREASOLID(#59,$,#10,5000.)", "#55=IFCSWEPTDISKSOLID(#60,50.,$,$,$);#60=IFCPOLYLINE((#7,#61,#62));#61=IFCCARTESIANPOINT((500.,0.,0.));#62=IFCCARTESIANPOINT((500.,500.,0.))", 1))))
	dir := f.TempDir()
	f.Fuzz(func(t *testing.T, data []byte) {
		if len(data) > 1<<16 {
			return
		}
		name := filepath.Join(dir, "x.ifc")
		if err := os.WriteFile(name, data, 0o644); err != nil {
			t.Fatal(err)
		}
		_, _ = readAll(t.Context(), name) // that it ends, and does not panic
	})
}
