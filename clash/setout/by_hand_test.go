package setout_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/golang/geo/r1"
	gocmp "github.com/google/go-cmp/cmp"

	"voidline/clash"
	"voidline/clash/setout"
	"voidline/void/cell"
)

// What several lengths want of fittings. R: 6 m to the east, a corner of 90 degrees, 4 m to the north, one of 30 degrees, 4 m; S comes to its first
// row from the south, and is a row of its own with a riser. Sets: 100 up in 100 is 45 degrees; 50 in 200 lies at atan(1/4) = 14.04, less than
// what is asked; 100 in 57.7 would be 60, but no more is asked than 45, or 30.
func TestFittingsByHand(t *testing.T) {
	p := tables{
		"bays.csv": "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,20000,20000,3600,2400\n",
		"tray.csv": "id,kind,x1,y1,x2,y2,size,level,run\n" +
			"R1,tray,1000,5000,7000,5000,300x60,2900,R\nR2,tray,7000,5000,7000,9000,300x60,2900,R\nR3,tray,7000,9000,5000,12464.1,200x60,2900,R\n" +
			"S1,tray,4000,1000,4000,4850,150x60,2900,S\nS2,tray,4000,1000,,,150x60,FFL+0..FFL+2900,s\nS3,tray,4000,500,,,150x60,FFL+0..FFL+2900,s\n",
	}.open(t)
	length := func(name string, angle float64, joints []setout.Joint, steps ...setout.Step) setout.Ordered {
		runs, err := setout.Assemble(p, name, cell.Bottom)
		if err != nil || len(runs) != 1 {
			t.Fatal(name, runs, err)
		}
		return setout.Ordered{Answer: &setout.Answer{Run: &runs[0], Line: setout.Line{Steps: steps}}, Joints: joints, Angle: angle}
	}
	said := func(lengths ...setout.Ordered) string {
		o := setout.OrderFor(p, lengths)
		var out []string
		for _, c := range o.Fittings {
			out = append(out, fmt.Sprintf("%d %s", c.N, c.Part))
		}
		if o.Supports != nil || len(o.Between) > 0 {
			out = append(out, "supports")
		}
		return strings.Join(out, "; ")
	}
	r := func(angle float64, steps ...setout.Step) setout.Ordered { return length("R", angle, nil, steps...) }
	const corners = "1 corner of 30 degrees, 200x60 tray; 1 corner of 90 degrees, 300x60 tray"
	for _, test := range []struct{ name, got, want string }{
		{"corners alone", said(r(0)), corners},
		{"100 up in 100", said(r(0, setout.Step{From: 1000, To: 1100, Rise: 100})), "2 bend of 45 degrees up or down, 300x60 tray; " + corners},
		{"100 down in 100", said(r(0, setout.Step{From: 1000, To: 1100, Rise: -100})), "2 bend of 45 degrees up or down, 300x60 tray; " + corners},
		{"50 in 200: 14.04", said(r(0, setout.Step{From: 1000, To: 1200, Rise: 50})), "2 bend of 14 degrees up or down, 300x60 tray; " + corners},
		{"100 in 57.7, 45 if nothing is asked", said(r(0, setout.Step{From: 1000, To: 1057.7, Rise: 100})), "2 bend of 45 degrees up or down, 300x60 tray; " + corners},
		{"60 asked: 59.99", said(r(60, setout.Step{From: 1000, To: 1057.7, Rise: 100})), "2 bend of 60 degrees up or down, 300x60 tray; " + corners},
		{"30 asked", said(r(30, setout.Step{From: 1000, To: 1100, Rise: 100})), "2 bend of 30 degrees up or down, 300x60 tray; " + corners},
		{
			"one on the first row and two on the last", said(r(45, setout.Step{From: 1000, To: 1100, Rise: 100}, setout.Step{From: 10500, To: 10600, Rise: 100}, setout.Step{From: 11500, To: 11600, Rise: 100})),
			"4 bend of 45 degrees up or down, 200x60 tray; 2 bend of 45 degrees up or down, 300x60 tray; " + corners,
		},
		{
			"a tee at its end, and the risers of its run once", said(length("S", 45, []setout.Joint{{End: 3850, Other: 0, Station: 3000}}), length("S", 45, nil)),
			"2 riser, 150x60 tray; 1 tee, 150x60 tray",
		},
	} {
		if test.got != test.want {
			t.Errorf("%s: came %q, want %q", test.name, test.got, test.want)
		}
	}
}

// What two lengths want of supports is cut together: their lists follow each other.
func TestSupportsOfTwoAreCountedTogether(t *testing.T) {
	p := tables{
		"bays.csv": "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,20000,20000,3600,2400\n",
		"tray.csv": "id,kind,x1,y1,x2,y2,size,level,hanger,run\nR1,tray,1000,5000,7000,5000,300x60,2900,channel 41 M10,R\nS1,tray,1000,9000,4000,9000,300x60,2900,channel 41 M10,S\n",
	}.open(t)
	check := clash.Open(p, clash.Options{Touch: clash.None})
	var lengths []setout.Ordered
	n, nuts := 0, 0
	nutsOf := func(u *setout.Supports) (n int) {
		for _, c := range u.Parts {
			if strings.Contains(c.Part, "nut") {
				n += c.N
			}
		}
		return n
	}
	for _, name := range []string{"R", "S"} {
		runs, err := setout.Assemble(p, name, cell.Bottom)
		if err != nil {
			t.Fatal(err)
		}
		a := setout.SetOut(p, check, &runs[0], setout.Settings{})
		u := setout.SupportRun(p, check, a, setout.Hanging{})
		n += len(u.List)
		nuts += nutsOf(u)
		lengths = append(lengths, setout.Ordered{Answer: a, Supports: u})
	}
	// 6000 long, the first 300 from either end, at 1500: 5 spans of 1080 or less are 6 supports; of 3000 2400 in two, 3.
	o := setout.OrderFor(p, lengths)
	if o.Supports == nil || len(o.Supports.List) != n || nutsOf(o.Supports) != nuts || nuts == 0 {
		t.Errorf("%d supports and %d nuts in two, together %+v", n, nuts, o.Supports)
	}
	var channel float64
	for _, l := range lengths {
		channel += l.Supports.Channel
	}
	if o.Supports.Channel != channel || channel == 0 {
		t.Errorf("%g of channel, want %g", o.Supports.Channel, channel)
	}
}

// The form of two storeys, the upper of which has nothing in it: no point of it stands there. Bay A is 10000 by 6000: its middle lies under a beam of
// 200, which has 100 and 200 to either side; then come -3000, -1800 and 3000, 1800 and -3000, 1800 from the middle. A beam is read 300 from its
// ends and in its middle, a row that is fixed 300 from its ends, one of less than 2000 and an item in the middle; what is not fixed, upright or known by
// height alone is not read.
func TestFormByHand(t *testing.T) {
	p := tables{
		"levels.csv":     "storey,ffl,ssl,datum\nG,0,-50,1000\nX,8000,7950,1000\nF,4000,3950,1200\n",
		"bays.csv":       "bay,storey,x1,y1,x2,y2,soffit,ceiling\nA,G,0,0,10000,6000,3600,2400\nB,F,0,0,2000,3000,3500,none\n",
		"steel.csv":      "id,storey,kind,x1,y1,x2,y2,size,level\nB9,G,beam,5000,0,5000,6000,200x300,3200\nB10,G,beam,0,5900,1999,5900,100x300,3100\nC,G,column,100,100,,,200x200,FFL+0..FFL+3600\n",
		"tray.csv":       "id,storey,kind,x1,y1,x2,y2,size,level,stage\nT1,G,tray,1000,1000,4000,1000,300x60,2900,fixed\nT2,G,tray,1000,2000,4000,2000,300x60,2900,made\nT3,G,tray,1000,3000,2999,3000,300x60,2950,fixed\n",
		"mechanical.csv": "id,storey,kind,x1,y1,size,level,reach,stage\nU,G,fan coil,8000,4000,800x600x300,3000,no,fixed\n",
	}.open(t)
	var got []string
	for _, q := range setout.Form(p) {
		got = append(got, strings.TrimSpace(fmt.Sprintf("%d %s %s %s%s %s: %g %g %g", q.No, p.Storeys[q.Storey].Name, q.What, q.Bay, q.Zone, q.Place, q.Drawn, q.FFL, q.Datum)))
	}
	want := []string{
		"1 G datum  : 1000 0 1000",
		"2 G soffit A 2000, 1200: 3600 0 1000", "3 G soffit A 8000, 4800: 3600 0 1000", "4 G soffit A 2000, 4800: 3600 0 1000", "5 G floor A 2000, 1200: 0 0 1000",
		"6 G steel B9 5000, 300: 3200 0 1000", "7 G steel B9 5000, 3000: 3200 0 1000", "8 G steel B9 5000, 5700: 3200 0 1000", "9 G steel B10 1000, 5900: 3100 0 1000",
		"10 G zone T1 1300, 1000: 2900 0 1000", "11 G zone T1 3700, 1000: 2900 0 1000", "12 G zone T3 2000, 3000: 2950 0 1000", "13 G zone U 8000, 4000: 3000 0 1000",
		"14 G datum  : 1000 0 1000",
		"15 F datum  : 5200 4000 5200", "16 F soffit B 1000, 1500: 7500 4000 5200", "17 F soffit B 400, 600: 7500 4000 5200", "18 F soffit B 1600, 2400: 7500 4000 5200",
		"19 F floor B 1000, 1500: 4000 4000 5200", "20 F datum  : 5200 4000 5200",
	}
	if d := gocmp.Diff(want, got); d != "" {
		t.Errorf("(-want +got):\n%s", d)
	}
}

// The lowest steel of a bay: of two as low the first as people count; one that falls by its lowest end; none of another bay or storey, and no wall.
// Void 3600 less 2700 and 50 of build-up.
func TestLevelsByHand(t *testing.T) {
	ts := tables{
		"levels.csv":   "storey,ffl\nG,0\nF,4000\n",
		"buildups.csv": "build-up,layer,thickness\nb,board,50\n",
		"bays.csv":     "bay,storey,x1,y1,x2,y2,soffit,ceiling,build-up\nA,G,0,0,6000,6000,3600,2700,b\nB,G,6000,0,12000,6000,3500,none,\nA2,F,0,0,6000,6000,3600,2700,b\n",
		"steel.csv": "id,storey,kind,x1,y1,x2,y2,size,level,fall\nB10,G,beam,1000,1000,1000,5000,100x200,3200,\nB9,G,beam,2000,1000,2000,5000,100x200,3200,\n" +
			"W,G,wall,3000,1000,3000,5000,100,FFL+0..FFL+2000,\nB8,G,beam,7000,1000,7000,5000,100x200,3300,1 in 40\nB7,G,beam,8000,1000,8000,5000,100x200,3250,\n",
	}
	said := func() string {
		var out []string
		for _, l := range setout.Levels(ts.open(t)) {
			out = append(out, fmt.Sprintf("%s %s: soffit %g, steel %g %q %t, ceiling %g, top %g, void %g, under %g", l.Bay.Name, l.Storey.Name, l.Soffit, l.Steel, l.BeamID, l.HasSteel, l.Ceiling, l.Top, l.Void, l.Under))
		}
		return strings.Join(out, "\n")
	}
	want := "A G: soffit 3600, steel 3200 \"B9\" true, ceiling 2700, top 2750, void 850, under 450\n" +
		"B G: soffit 3500, steel 3200 \"B8\" true, ceiling 0, top 0, void 0, under 0\n" +
		"A2 F: soffit 7600, steel +Inf \"\" false, ceiling 6700, top 6750, void 850, under 850"
	if got := said(); got != want {
		t.Errorf("came\n%s\nwant\n%s", got, want)
	}
	// A beam that is higher than the soffit leaves the void what it is to the soffit.
	ts["steel.csv"] = "id,storey,kind,x1,y1,x2,y2,size,level\nB1,G,beam,1000,1000,1000,5000,100x200,3700\n"
	if got, want := setout.Levels(ts.open(t))[0].Under, 850.0; got != want {
		t.Errorf("under a beam over the soffit %g, want %g", got, want)
	}
}

// A run from its side: the bays that its axis goes through, what stands over its plan and where, its own faces, and its levels as it falls.
func TestElevationByHand(t *testing.T) {
	p := tables{
		"bays.csv": "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,5000,6000,3600,2400\nB,5000,0,9000,6000,3600,2400\n",
		"pipework.csv": "id,service,kind,x1,y1,x2,y2,size,level,fall,run,insulation,top\nR1,soil,pipe,1000,1000,5000,1000,100x100,3000,1 in 40,R,20,15\nR2,soil,pipe,5000,1000,10000,1000,100x100,2900,1 in 50,R,,\n" +
			"Q,heating,pipe,3000,0,3000,4000,ø60,3300,,Q,,\nQ2,heating,pipe,3000,1051,8000,1051,ø60,3300,,Q,,\nN,heating,pipe,500,3000,9000,3000,ø60,3300,,,,\n",
	}.open(t)
	runs, err := setout.Assemble(p, "R", cell.Bottom)
	if err != nil || len(runs) != 1 {
		t.Fatal(err, runs)
	}
	r := &runs[0]
	var got []string
	for _, b := range r.Bays(p) {
		name := "outside"
		if b.Bay >= 0 {
			name = p.Bays[b.Bay].Name
		}
		got = append(got, fmt.Sprintf("%s %g-%g", name, b.From, b.To))
	}
	for _, b := range r.Beside(p) {
		got = append(got, fmt.Sprintf("%s %.0f-%.0f at %.0f-%.0f", p.Zone(b.Zone).ID, b.From, b.To, b.Levels.Lo, b.Levels.Hi))
	}
	if got, want := strings.Join(got, "; "), "A 0-4000; B 4000-8000; outside 8000-9000; Q 1970-2030 at 3300-3360; Q2 2000-7000 at 3300-3360"; got != want {
		t.Errorf("came %q, want %q", got, want)
	}
	for _, test := range []struct {
		face     cell.Facing
		piece    int
		up, down float64
	}{{cell.Bottom, 0, 115, 0}, {cell.Centre, 0, 65, 50}, {cell.Top, 0, 15, 100}, {cell.Bottom, 1, 100, 0}} {
		r.Face = test.face
		if up, down := r.Faces(p, &r.Pieces[test.piece]); up != test.up || down != test.down {
			t.Errorf("%v, piece %d: %g over the line, %g under it; want %g and %g", test.face, test.piece, up, down, test.up, test.down)
		}
	}
	start := 3010.0
	f := setout.Fall{Run: r, Falls: []float64{1.0 / 40, 1.0 / 50}, Now: 3000, Start: &start}
	for _, test := range []struct{ at, want float64 }{{-10, 3010}, {0, 3010}, {400, 3000}, {4000, 2910}, {4500, 2900}, {9000, 2810}, {9500, 2810}} {
		if z := f.LevelAt(test.at); math.Abs(z-test.want) > 1e-9 {
			t.Errorf("at %g: level %g, want %g", test.at, z, test.want)
		}
	}
	if v := f.Levels(); math.Abs(v.Lo-2810) > 1e-9 || v.Hi != 3010 {
		t.Errorf("from %g to %g, want 2810 to 3010", v.Lo, v.Hi)
	}
	f.Start = nil
	if z := f.LevelAt(400); z != 2990 {
		t.Errorf("not laid: %g at 400, want 2990", z)
	}
	l := setout.Line{Sections: []setout.Section{{From: 0, To: 100, Level: 2900}, {From: 200, To: 300, Level: 2700}, {From: 400, To: 500, Level: 3000}}}
	if v := l.Levels(); v != (r1.Interval{Lo: 2700, Hi: 3000}) {
		t.Errorf("levels of a line %v", v)
	}
}
