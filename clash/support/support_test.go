package support_test

import (
	"context"
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/golang/geo/r2"

	"voidline/clash/support"
	"voidline/io/table"
	"voidline/void"
	"voidline/void/need"
)

// project makes a project of one or more bays from the lines of its tables; what names no file goes into tray.csv.
func project(t testing.TB, rows string, more map[string]string) *void.Project {
	t.Helper()
	fs := fstest.MapFS{
		"bays.csv": {Data: []byte("bay,x1,y1,x2,y2,soffit,ceiling\nB1,0,0,30000,8000,3600,2700\n")},
		"tray.csv": {Data: []byte("id,service,kind,x1,y1,x2,y2,size,insulation,level,fall,hanger,frame,tier,run\n" + rows)},
	}
	for name, text := range more {
		fs[name] = &fstest.MapFile{Data: []byte(text)}
	}
	p, err := table.Open(context.Background(), "test", table.Options{FS: fs})
	if err != nil {
		t.Fatal(err)
	}
	for _, pr := range p.Problems {
		t.Fatalf("problem: %v", pr)
	}
	return p
}

func row(t testing.TB, p *void.Project, id string) int {
	t.Helper()
	i, ok := p.ZoneByID(id)
	if !ok {
		t.Fatalf("no zone %q", id)
	}
	return i
}

// stations returns where along the rows supports stand, as "row at".
func stations(t testing.TB, p *void.Project, pl *support.Plan, ids ...string) string {
	var out []string
	for _, id := range ids {
		for _, s := range pl.Zone(row(t, p, id)) {
			out = append(out, fmt.Sprintf("%s %.0f", p.Zone(int(s.Zone)).ID, s.At))
		}
	}
	return strings.Join(out, ", ")
}

// Where supports stand: the first 300 from an end or a corner, the others evenly, no further apart than the kind allows.
func TestStations(t *testing.T) {
	const c = "channel 41 M10"
	for _, test := range []struct {
		about, rows string
		ids         []string
		opt         support.Options
		want        string
	}{
		{
			"tray of 6000: 5400 between the outer two, in 4 of 1350", "T,,tray,0,1000,6000,1000,300x60,,2900,," + c + ",,,",
			[]string{"T"},
			support.Options{},
			"T 300, T 1650, T 3000, T 4350, T 5700",
		},
		{"just so: 300 + 2 x 1500 + 300", "T,,tray,0,1000,3600,1000,300x60,,2900,," + c + ",,,", []string{"T"}, support.Options{}, "T 300, T 1800, T 3300"},
		{"a millimetre more is one more", "T,,tray,0,1000,3603,1000,300x60,,2900,," + c + ",,,", []string{"T"}, support.Options{}, "T 300, T 1301, T 2302, T 3303"},
		{"basket", "T,,basket,0,1000,3000,1000,300x60,,2900,," + c + ",,,", []string{"T"}, support.Options{}, "T 300, T 1500, T 2700"},
		{"ladder", "T,,ladder,0,1000,3600,1000,300x60,,2900,," + c + ",,,", []string{"T"}, support.Options{}, "T 300, T 3300"},
		{"too short for two", "T,,tray,0,1000,500,1000,300x60,,2900,," + c + ",,,", []string{"T"}, support.Options{}, "T 250"},
		{"settable", "T,,tray,0,1000,6000,1000,300x60,,2900,," + c + ",,,", []string{"T"}, support.Options{Spacing: 2700, First: 600}, "T 600, T 3000, T 5400"},
		{"settable by kind", "T,,tray,0,1000,6000,1000,300x60,,2900,," + c + ",,,", []string{"T"}, support.Options{Kinds: map[string]float64{"tray": 2700}}, "T 300, T 3000, T 5700"},
		{"a row without a hanger has none", "T,,tray,0,1000,6000,1000,300x60,,2900,,,,,", []string{"T"}, support.Options{}, ""},
		{"a bracket has no body", "T,,tray,0,1000,6000,1000,300x60,,2900,,side bracket,,,", []string{"T"}, support.Options{}, ""},
		{
			"two rows of one run straight on are one length, whichever way they are drawn: 300, 1650, 3000, 4350, 5700",
			"T1,,tray,3000,1000,0,1000,300x60,,2900,," + c + ",,,R\nT2,,tray,3000,1000,6000,1000,300x60,,2900,," + c + ",,,R",
			[]string{"T1", "T2"},
			support.Options{},
			"T1 1350, T1 2700, T2 2700, T2 1350, T2 0",
		},
		{
			"not two runs",
			"T1,,tray,0,1000,3000,1000,300x60,,2900,," + c + ",,,R\nT2,,tray,3000,1000,6000,1000,300x60,,2900,," + c + ",,,Q",
			[]string{"T1", "T2"},
			support.Options{},
			"T1 300, T1 1500, T1 2700, T2 300, T2 1500, T2 2700",
		},
		{
			"a corner begins anew",
			"T1,,tray,0,1000,3000,1000,300x60,,2900,," + c + ",,,R\nT2,,tray,3000,1000,3000,4000,300x60,,2900,," + c + ",,,R",
			[]string{"T1", "T2"},
			support.Options{},
			"T1 300, T1 1500, T1 2700, T2 300, T2 1500, T2 2700",
		},
		{
			"so does a step",
			"T1,,tray,0,1000,3000,1000,300x60,,2900,," + c + ",,,R\nT2,,tray,3000,1000,6000,1000,300x60,,2930,," + c + ",,,R",
			[]string{"T1", "T2"},
			support.Options{},
			"T1 300, T1 1500, T1 2700, T2 300, T2 1500, T2 2700",
		},
		{
			"and a tee: three ends in one place",
			"T1,,tray,0,1000,3000,1000,300x60,,2900,," + c + ",,,R\nT2,,tray,3000,1000,6000,1000,300x60,,2900,," + c + ",,,R\nT3,,tray,3000,1000,6000,1000,100x60,,2900,," + c + ",,,R",
			[]string{"T1", "T2"},
			support.Options{},
			"T1 300, T1 1500, T1 2700, T2 300, T2 1500, T2 2700",
		},
	} {
		p := project(t, test.rows+"\n", nil)
		pl := support.Of(p, test.opt)
		if got := stations(t, p, pl, test.ids...); got != test.want {
			t.Errorf("%s: %s\nwant %s", test.about, got, test.want)
		}
	}
}

// Rows that turn by less than a degree each are straight on, and may close to a ring; short rows drawn over each other too.
func TestRing(t *testing.T) {
	const n, r = 400, 12000.0
	var b strings.Builder
	at := func(k int) (x, y float64) {
		a := 2 * math.Pi * float64(k%n) / n
		return r1(15000 + r/4*math.Cos(a)), r1(4000 + r/4*math.Sin(a))
	}
	total := 0.0
	for k := range n {
		x1, y1 := at(k)
		x2, y2 := at(k + 1)
		total += math.Hypot(x2-x1, y2-y1)
		fmt.Fprintf(&b, "P%d,,tray,%g,%g,%g,%g,300x60,,2900,,channel 41 M10,,,R\n", (k*7+3)%n, x1, y1, x2, y2)
	}
	b.WriteString("A,,tray,1000,1000,1040,1000,300x60,,2900,,channel 41 M10,,,S\nB,,tray,1040,1000,1000,1000,300x60,,2900,,channel 41 M10,,,S\n")
	p := project(t, b.String(), nil)
	pl := support.Of(p, support.Options{})
	got := 0
	for k := range n {
		got += len(pl.Zone(row(t, p, fmt.Sprint("P", k))))
	}
	if want := 1 + int(math.Ceil((total-600)/1500)); got != want {
		t.Errorf("%d supports round a ring of %.0f, want %d", got, total, want)
	}
	// It begins with the first row by id: 47.1 long, so the first support, 300 along, is in the seventh.
	if got := stations(t, p, pl, "P0", "P7", "P14", "P21", "P28", "P35", "P42"); got != "P42 17" {
		t.Errorf("the first support of the ring: %q, want P42 17", got)
	}
	if got, want := stations(t, p, pl, "A", "B"), "A 40"; got != want {
		t.Errorf("rows over each other: %s, want %s", got, want)
	}
}

// bodies prints the bodies of a support, each as its kind and its box in plan and height.
func bodies(s *support.Support) string {
	var out []string
	for _, b := range s.Bodies(nil) {
		pl, h := b.Body.Plan(), b.Body.Height()
		out = append(out, fmt.Sprintf("%s x %g to %g, y %g to %g, z %g to %g", b.What, r1(pl.X.Lo), r1(pl.X.Hi), r1(pl.Y.Lo), r1(pl.Y.Hi), r1(h.Lo), r1(h.Hi)))
	}
	return strings.Join(out, "\n")
}

func r1(v float64) float64 { return math.Round(v*1000) / 1000 }

// The bodies of single supports. A tray of 300 in y 850 to 1150: rods 50 beside it at y 800 and 1200, the channel 30 past
// them; channel 41, plate 5, M10 nut 8.4, thread 1.5 under it.
func TestBodies(t *testing.T) {
	hangers := map[string]string{"hangers.csv": "hanger,part,height,side,width,rods,from\n" +
		"strip,strip 40x4,4,under,180,2,soffit\nstrip,nut M8,6.8,,,,\n" +
		"over,channel,41,over,,2,\n" +
		"one,clevis M12,30,under,,1,\n" +
		"arm,arm,30,under,400,,wall\n" +
		"hood,arm,30,over,,,wall\n" +
		"hook,hook,0,,,,\n"}
	for _, test := range []struct{ row, want string }{
		{
			"T,,tray,0,1000,600,1000,300x60,,2900,,channel 41 M10,,,",
			"rod x 295 to 305, y 795 to 805, z 2844.1 to 3600\nrod x 295 to 305, y 1195 to 1205, z 2844.1 to 3600\n" +
				"channel x 279.5 to 320.5, y 770 to 1230, z 2859 to 2900\n" +
				"washer and nut x 280 to 320, y 780 to 820, z 2844.1 to 2859\nwasher and nut x 280 to 320, y 1180 to 1220, z 2844.1 to 2859",
		},
		{
			"T,,tray,0,1000,600,1000,300x60,,2900,,channel 21 nut inside,,,",
			"rod x 295 to 305, y 795 to 805, z 2879 to 3600\nrod x 295 to 305, y 1195 to 1205, z 2879 to 3600\nchannel x 279.5 to 320.5, y 770 to 1230, z 2879 to 2900",
		},
		// Insulated: 30 on every side, the channel under it.
		{
			"T,,pipe,0,1000,600,1000,ø60,30,2900,,channel 21 M8,,,",
			"rod x 296 to 304, y 886 to 894, z 2835.95 to 3600\nrod x 296 to 304, y 1106 to 1114, z 2835.95 to 3600\n" +
				"channel x 279.5 to 320.5, y 860 to 1140, z 2849 to 2870\n" +
				"washer and nut x 280 to 320, y 870 to 910, z 2835.95 to 2849\nwasher and nut x 280 to 320, y 1090 to 1130, z 2835.95 to 2849",
		},
		{"T,,pipe,0,1000,600,1000,ø60,,2900,,pipe clip,,,", "rod x 295 to 305, y 995 to 1005, z 2960 to 3600"},
		{"T,,duct,0,1000,600,1000,400x200,,2900,,wire,,,", "rod x 298.5 to 301.5, y 998.5 to 1001.5, z 3100 to 3600"},
		// 100 wide on a strip of 180: rods 30 from its ends.
		{
			"T,,basket,0,1000,600,1000,100x60,,2900,,strip,,,",
			"rod x 296 to 304, y 936 to 944, z 2889.2 to 3600\nrod x 296 to 304, y 1056 to 1064, z 2889.2 to 3600\n" +
				"channel x 279.5 to 320.5, y 910 to 1090, z 2896 to 2900\n" +
				"washer and nut x 296 to 304, y 936 to 944, z 2889.2 to 2896\nwasher and nut x 296 to 304, y 1056 to 1064, z 2889.2 to 2896",
		},
		{
			"T,,tray,0,1000,600,1000,300x60,,2900,,over,,,",
			"rod x 295 to 305, y 795 to 805, z 2960 to 3600\nrod x 295 to 305, y 1195 to 1205, z 2960 to 3600\nchannel x 279.5 to 320.5, y 770 to 1230, z 2960 to 3001",
		},
		{"T,,pipe,0,1000,600,1000,ø60,,2900,,one,,,", "rod x 294 to 306, y 994 to 1006, z 2960 to 3600\nchannel x 279.5 to 320.5, y 970 to 1030, z 2870 to 2900"},
		{"T,,tray,0,1000,600,1000,300x60,,2900,,arm,,,", "channel x 279.5 to 320.5, y 800 to 1200, z 2870 to 2900"},
		{"T,,tray,0,1000,600,1000,300x60,,2900,,hood,,,", "channel x 279.5 to 320.5, y 850 to 1150, z 2960 to 2990"},
		// Nothing under it and nothing over it: one rod.
		{"T,,pipe,0,1000,600,1000,ø60,,2900,,hook,,,", "rod x 295 to 305, y 995 to 1005, z 2960 to 3600"},
		// Falling by 1 in 10: at its middle the underside is 30 lower than at its start.
		{
			"T,,duct,0,1000,600,1000,300x60,,2900,1 in 10,channel 21 nut inside,,,",
			"rod x 295 to 305, y 795 to 805, z 2849 to 3600\nrod x 295 to 305, y 1195 to 1205, z 2849 to 3600\nchannel x 279.5 to 320.5, y 770 to 1230, z 2849 to 2870",
		},
	} {
		p := project(t, test.row+"\n", hangers)
		ss := support.Of(p, support.Options{}).Zone(row(t, p, "T"))
		if len(ss) != 1 {
			t.Errorf("%s: %d supports, want 1", test.row, len(ss))
			continue
		}
		if got := bodies(&ss[0]); got != test.want {
			t.Errorf("%s:\n%s\nwant\n%s", test.row, got, test.want)
		}
		checkBox(t, &ss[0])
	}
}

// checkBox compares the box of a support, square to the axes, with the one round the boxes of its bodies.
func checkBox(t testing.TB, s *support.Support) {
	t.Helper()
	lo, hi := s.Box()
	plan, height := r2.EmptyRect(), r2.EmptyRect().X
	for _, b := range s.Bodies(nil) {
		plan, height = plan.Union(b.Body.Plan()), height.Union(b.Body.Height())
	}
	is := []float64{r1(lo.X), r1(hi.X), r1(lo.Y), r1(hi.Y), r1(lo.Z), r1(hi.Z)}
	want := []float64{r1(plan.X.Lo), r1(plan.X.Hi), r1(plan.Y.Lo), r1(plan.Y.Hi), r1(height.Lo), r1(height.Hi)}
	if !slices.Equal(is, want) {
		t.Errorf("the box is %v, want %v", is, want)
	}
}

// What rods hang from: the soffit of the bay over them, or steel.
func TestHeld(t *testing.T) {
	more := map[string]string{
		"bays.csv":    "bay,x1,y1,x2,y2,soffit,ceiling\nB1,0,0,3000,8000,3600,2700\nB2,3000,0,6000,8000,3400,2700\nB3,2000,5000,4000,8000,3300,2700\n",
		"steel.csv":   "id,kind,x1,y1,x2,y2,size,level\nSB,beam,1500,0,1500,4000,200x300,3300\nSP,purlin,2800,0,2800,4000,60x200,3200\nSO,beam,9250,0,9250,4000,200x300,3500\n",
		"hangers.csv": "hanger,part,height,side,width,rods,from\nclamped,channel 41,41,under,,2,beam\n",
	}
	held := func(s *support.Support, p *void.Project) string {
		switch {
		case !s.Held:
			return fmt.Sprintf("%.0f nothing", s.At)
		case s.FromSteel >= 0:
			return fmt.Sprintf("%.0f %s %g", s.At, p.Zone(int(s.FromSteel)).ID, r1(s.Top))
		}
		return fmt.Sprintf("%.0f %s %g", s.At, p.Bays[s.FromBay].Name, r1(s.Top))
	}
	for _, test := range []struct {
		row  string
		opt  support.Options
		want []string
	}{
		{"T,,tray,0,1000,6600,1000,300x60,,2900,,channel 41 M10,,,", support.Options{}, []string{"300 B1 3600", "1800 B1 3600", "3300 B2 3400", "4800 B2 3400", "6300 nothing"}},
		// Of bays that lie over each other the lower soffit.
		{"T,,tray,2400,6000,3000,6000,300x60,,2900,,channel 41 M10,,,", support.Options{}, []string{"300 B3 3300"}},
		// The service itself is above the soffit: its rods end at its top.
		{"T,,tray,4500,6000,5100,6000,300x60,,3400,,channel 41 M10,,,", support.Options{}, []string{"300 B2 3460"}},
		// On steel: as near to even, 300 and 1500 along, as steel lets them; 1400 to 1600 and 2770 to 2830 are steel.
		{"T,,tray,1200,1000,3000,1000,300x60,,2900,,clamped,,,", support.Options{}, []string{"300 SB 3300", "1570 SP 3200"}},
		{"T,,tray,1200,1000,3000,1000,300x60,,2900,,clamped,,,", support.Options{Clamp: 25}, []string{"300 SB 3275", "1570 SP 3175"}},
		// Nothing is over the last.
		{"T,,tray,1200,1000,4200,1000,300x60,,2900,,clamped,,,", support.Options{}, []string{"300 SB 3300", "1570 SP 3200", "2850 nothing"}},
		// One of its rods stands out past the beams' ends at y 4000.
		{"T,,tray,1200,3900,1700,3900,300x60,,2900,,clamped,,,", support.Options{}, []string{"300 nothing"}},
		// Where the hanger does not say, from steel that is over both rods, and no lower than the service's top.
		{"T,,tray,1200,1000,1700,1000,300x60,,2900,,channel 41 M10,,,", support.Options{}, []string{"250 SB 3300"}},
		{"T,,tray,1200,1000,1700,1000,300x60,,2900,,channel 41 M10,,,", support.Options{Clamp: 25}, []string{"250 SB 3275"}},
		{"T,,tray,1200,3900,1700,3900,300x60,,2900,,channel 41 M10,,,", support.Options{}, []string{"250 B1 3600"}},
		{"T,,tray,1200,1000,1700,1000,300x60,,3250,,channel 41 M10,,,", support.Options{}, []string{"250 B1 3600"}},
		{"T,,pipe,1200,1000,1700,1000,ø60,,2900,,pipe clip,,,", support.Options{}, []string{"250 SB 3300"}},
		// Out of every bay there may be steel all the same.
		{"T,,tray,9000,1000,9500,1000,300x60,,2900,,channel 41 M10,,,", support.Options{}, []string{"250 SO 3500"}},
	} {
		p := project(t, test.row+"\n", more)
		var got []string
		for _, s := range support.Of(p, test.opt).Zone(row(t, p, "T")) {
			got = append(got, held(&s, p))
		}
		if !slices.Equal(got, test.want) {
			t.Errorf("%s: %q, want %q", test.row, got, test.want)
		}
	}
}

// Two rods under beams of different depths: what they are cut for is the higher, what they are checked with the lower.
func TestUnevenSteel(t *testing.T) {
	p := project(t, "T,,tray,0,1000,3000,1000,300x60,,2900,,clamped,,,\n", map[string]string{
		"hangers.csv": "hanger,part,height,side,width,rods,from\nclamped,channel 41,41,under,,2,beam\n",
		"steel.csv":   "id,kind,x1,y1,x2,y2,size,level\nA,beam,0,800,3000,800,200x300,3300\nC,beam,0,1200,3000,1200,200x200,3400\n",
	})
	list := support.Of(p, support.Options{Clamp: 10}).Zone(row(t, p, "T"))
	if len(list) == 0 {
		t.Fatal("no supports")
	}
	for _, s := range list {
		if !s.Held || p.Zone(int(s.FromSteel)).ID != "A" || s.Top != 3290 || s.Highest != 3390 {
			t.Errorf("at %v from %v to %v, held %v; want 3290 and 3390", s.At, s.Top, s.Highest, s.Held)
		}
	}
}

// Rows of one frame share rods outside the widest tier, and have one channel a tier. Basket 200 and tray 300 side by side
// with 100 between them below (y 900 to 1500), ladder 400 over them (y 1000 to 1400), pipe 60 without a hanger of its own.
func TestFrame(t *testing.T) {
	p := project(t, "A,,tray,0,1050,2100,1050,300x60,,2900,,channel 41 M10,F,1,\n"+
		"B,,basket,600,1400,2100,1400,200x60,,2900,,channel 41 M10,F,1,\n"+
		"C,,ladder,2100,1200,0,1200,400x100,,3100,,channel 41 M12,f,2,\n"+
		"D,,tray,0,5000,2100,5000,300x60,,2900,,channel 41 M10,F,1,\n"+
		"E,,tray,0,1200,0,4000,300x60,,2900,,channel 41 M10,F,1,\n"+
		"G,,pipe,0,1200,2100,1200,ø60,,3300,,,F,3,\n", nil)
	pl := support.Of(p, support.Options{})
	// The baskets of the frame ask for 1200: 300, 1050, 1800; A is first by id all along.
	if got, want := stations(t, p, pl, "A", "B", "C", "G"), "A 300, A 1050, A 1800"; got != want {
		t.Errorf("%s, want %s", got, want)
	}
	if got, want := stations(t, p, pl, "D", "E"), "D 300, D 1800, E 300, E 1400, E 2500"; got != want {
		t.Errorf("apart and across: %s, want %s", got, want)
	}
	var mates []string
	for _, i := range pl.Frame(row(t, p, "C")) {
		mates = append(mates, p.Zone(int(i)).ID)
	}
	if got, want := strings.Join(mates, " "), "A B C G"; got != want {
		t.Errorf("mates of C: %s, want %s", got, want)
	}
	ss := pl.Zone(row(t, p, "A"))
	// At 300 only A, C and G are there: y 900 to 1200 and 1000 to 1400, so rods at 850 and 1450; M12, the largest.
	want := "rod x 294 to 306, y 844 to 856, z 2844.1 to 3600\nrod x 294 to 306, y 1444 to 1456, z 2844.1 to 3600\n" +
		"channel x 279.5 to 320.5, y 820 to 1480, z 2859 to 2900\n" +
		"washer and nut x 280 to 320, y 830 to 870, z 2844.1 to 2859\nwasher and nut x 280 to 320, y 1430 to 1470, z 2844.1 to 2859\n" +
		"channel x 279.5 to 320.5, y 820 to 1480, z 3059 to 3100\n" + // 41 + 5 + 10.8 + 1.75 under the ladder
		"washer and nut x 280 to 320, y 830 to 870, z 3041.45 to 3059\nwasher and nut x 280 to 320, y 1430 to 1470, z 3041.45 to 3059\n" +
		"channel x 279.5 to 320.5, y 820 to 1480, z 3259 to 3300\n" + // G hangs like the first
		"washer and nut x 280 to 320, y 830 to 870, z 3244.1 to 3259\nwasher and nut x 280 to 320, y 1430 to 1470, z 3244.1 to 3259"
	if got := bodies(&ss[0]); got != want {
		t.Errorf("frame at 300:\n%s\nwant\n%s", got, want)
	}
	// At 1050 the basket too: y 900 to 1500, rods at 850 and 1550.
	if a, b := ss[1].RodPoint(0), ss[1].RodPoint(1); r1(a.Y) != 850 || r1(b.Y) != 1550 || r1(a.X) != 1050 {
		t.Errorf("rods at %v and %v, want y 850 and 1550", a, b)
	}
	for k := range ss {
		checkBox(t, &ss[k])
	}
}

// A support asked for at a station stands there, and where a plan has one it is the same.
func TestAt(t *testing.T) {
	p := project(t, "T1,,tray,3000,1000,0,1000,300x60,,2900,,channel 41 M10,,,R\nT2,,tray,3000,1000,6000,1000,300x60,,2900,,channel 41 M10,,,R\n"+
		"S,,duct,100,2000,5100,6000,300x60,,2900,1 in 50,channel 21 M8,,,\n", nil)
	pl := support.Of(p, support.Options{})
	n := 0
	for _, id := range []string{"T1", "T2", "S"} {
		i := row(t, p, id)
		for _, s := range pl.Zone(i) {
			n++
			o, ok := pl.At(i, s.Station, support.Made{})
			if !ok || bodies(&o) != bodies(&s) || o.At != s.At {
				t.Errorf("At(%s, %v) = %s, want %s", id, s.Station, bodies(&o), bodies(&s))
			}
			if s.Low > s.Station+void.Hair || s.High < s.Station-void.Hair || s.Prev > s.Low+void.Hair || s.Next < s.High-void.Hair {
				t.Errorf("%s at %v may stand between %v and %v, its neighbours at %v and %v", id, s.Station, s.Low, s.High, s.Prev, s.Next)
			}
		}
	}
	if n != 5+4 {
		t.Errorf("%d supports, want 9", n)
	}
	// A station of the run in its other row: 2000 along from T2's end is x 4000.
	s, ok := pl.At(row(t, p, "T1"), 2000, support.Made{})
	if !ok || p.Zone(int(s.Zone)).ID != "T2" || r1(s.Where.X) != 4000 || r1(s.At) != 1000 {
		t.Errorf("At(T1, 2000) is %+v", s)
	}
}

// Asked for along a row at another level: of a frame all rows on the tier's channel go up with it, and the support is the first row's
// that lies there. The beam is over the first three metres.
func TestAlong(t *testing.T) {
	p := project(t, "T1,,tray,0,1000,3000,1000,300x60,,2900,,channel 41 M10,,,R\nT2,,tray,6000,1000,3000,1000,300x60,,2900,,channel 41 M10,,,R\n"+
		"P,,pipe,0,1000,3000,1000,ø60,,3100,,one,,,\nS,,tray,4000,2000,7000,2000,300x60,,2900,,clamped,,,\nV,,tray,0,3000,3000,3000,300x60,,2900,,over,,,\n"+
		"A,,tray,0,5000,3000,5000,300x60,,2900,,channel 41 M10,F,1,\nC,,tray,0,5000,3000,5000,300x60,,3100,,channel 41 M10,F,2,\n", map[string]string{
		"hangers.csv": "hanger,part,height,side,width,rods,from\nclamped,channel,21,under,,2,beam\nover,channel,41,over,,2,\none,clevis,30,under,,1,\n",
		"steel.csv":   "id,kind,x1,y1,x2,y2,size,level\nB,beam,0,1000,3000,1000,1000x200,3400\n",
	})
	pl := support.Of(p, support.Options{})
	for _, test := range []struct {
		row  string
		up   float64
		from string
		want string
	}{
		// 41 under 2900, then 14.9 of washer and nut; the beam is lower than the soffit.
		{"T1", 0, "", "T1 x 1000, 2844.1 to 3400, B"},
		{"T1", 100, "", "T1 x 1000, 2944.1 to 3400, B"},
		{"T1", 100, "soffit", "T1 x 1000, 2944.1 to 3600, B1"},
		{"T2", 100, "", "T2 x 5000, 2944.1 to 3600, B1"}, // it begins at 6000
		// Its hanger holds on to steel alone, and there is none: the rods end at its top.
		{"S", 0, "", "S x 5000, 2879 to 2960, nothing"},
		{"S", 100, "", "S x 5000, 2979 to 3060, nothing"},
		{"P", 100, "", "P x 1000, 3260 to 3400, B"},   // one rod, from its top
		{"V", -100, "", "V x 1000, 2860 to 3600, B1"}, // rods from the underside of what is over it
		{"C", 0, "", "A x 1000, 2844.1 to 3600, B1"},
		{"C", 100, "", "A x 1000, 2844.1 to 3600, B1"},
		{"A", -100, "", "A x 1000, 2744.1 to 3600, B1"},
	} {
		s, ok := pl.Along(row(t, p, test.row), 1000, test.up, support.Made{From: test.from})
		from := "nothing"
		switch {
		case s.FromSteel >= 0:
			from = p.Zone(int(s.FromSteel)).ID
		case s.FromBay >= 0:
			from = p.Bays[s.FromBay].Name
		}
		got := fmt.Sprintf("%s x %g, %g to %g, %s", p.Zone(int(s.Zone)).ID, r1(s.Where.X), r1(s.Tail), r1(s.Top), from)
		if !ok || got != test.want {
			t.Errorf("%s up %g from %q: %s, want %s", test.row, test.up, test.from, got, test.want)
		}
	}
	if _, ok := pl.Along(row(t, p, "B"), 1000, 0, support.Made{}); ok {
		t.Error("a beam has a support")
	}
}

// After an edit a plan that took note of it is as one made anew, and what stands elsewhere was named.
func TestChanged(t *testing.T) {
	p := project(t, "T1,,tray,0,1000,3000,1000,300x60,,2900,,channel 41 M10,,,R\nT2,,tray,3000,1000,6000,1000,300x60,,2900,,channel 41 M10,,,R\n"+
		"T3,,tray,6000,1000,9000,1000,300x60,,2900,,channel 41 M10,,,Q\nT4,,tray,0,3000,9000,3000,300x60,,2900,,,,,\n"+
		"T5,,tray,0,5000,9000,5000,300x60,,2900,,channel 41 M10,F,1,\nT6,,basket,0,5000,9000,5000,300x60,,3100,,channel 41 M10,,,R\n", nil)
	pl := support.Of(p, support.Options{})
	all := func(pl *support.Plan) map[string]string {
		m := map[string]string{}
		for i := range p.Zones() {
			var b strings.Builder
			for _, s := range pl.Zone(i) {
				fmt.Fprintf(&b, "%g %g %g\n%s\n", r1(s.At), r1(s.Low), r1(s.High), bodies(&s))
			}
			m[p.Zone(i).ID] = b.String()
		}
		return m
	}
	for _, edit := range [][3]string{
		{"T3", "run", "R"},             // joins the run
		{"T2", "level", "2930"},        // steps out of it
		{"T2", "level", "2900"},        // and back
		{"T4", "hanger", "channel 21"}, // is hung
		{"T1", "x1", "-500"},
		{"T2", "run", ""},
		{"T6", "frame", "F"},
		{"T6", "tier", "1"}, // onto the channel of the other
		{"T5", "frame", ""},
		{"T4", "hanger", ""},
		{"T2", "run", "R"},
	} {
		before := all(pl)
		ch, pr := p.Edit(edit[0], edit[1], edit[2])
		if pr != nil {
			t.Fatalf("%v: %v", edit, pr)
		}
		named := map[string]bool{}
		rows := pl.Changed(ch.Zones, ch.Supports)
		if !slices.IsSorted(rows) {
			t.Errorf("%v: rows %v are not in order", edit, rows)
		}
		for _, i := range rows {
			named[p.Zone(int(i)).ID] = true
		}
		now, fresh := all(pl), all(support.Of(p, support.Options{}))
		differ := 0
		for id := range fresh {
			if now[id] != fresh[id] {
				t.Errorf("%v: %s\n%s\nwant\n%s", edit, id, now[id], fresh[id])
			}
			if now[id] != before[id] {
				differ++
				if !named[id] {
					t.Errorf("%v: the supports of %s changed and it was not named", edit, id)
				}
			}
		}
		if differ == 0 {
			t.Errorf("%v changed nothing", edit)
		}
	}
}

// The figures that are typed in stand in the reference data, where it is at hand.
func TestSpacingsAgainstFacts(t *testing.T) {
	o := support.Options{}
	for kind, want := range map[string]float64{"basket": 1200, "tray": 1500, "ladder": 3000, "duct": 2400, "pipe": 1500} {
		if got := o.Of(kind); got != want {
			t.Errorf("Of(%q) = %v, want %v", kind, got, want)
		}
	}
	for _, s := range support.Spacings() {
		if !strings.Contains(s.Source, "common practice, no source") {
			t.Errorf("%s: source %q", s.Kind, s.Source)
		}
	}
	facts := factsOf(t, "containment.csv", "ducts.csv")
	for item, text := range map[string]string{
		"tray or basket support spacing, basket": "1.2 to 1.5", "tray support spacing, tray": "1.5 to 2.0", "ladder support spacing": "3.0",
		"duct support spacing, rectangular, maximum": "3.0", // practice 2.4 to 3.0, in its note
	} {
		if facts[item] != text {
			t.Errorf("the facts have %q for %s, want %q", facts[item], item, text)
		}
	}
}

// factsOf reads items and values of the reference data beside the repository, and skips where it is not there.
func factsOf(t *testing.T, names ...string) map[string]string {
	t.Helper()
	m := map[string]string{}
	for _, name := range names {
		f, err := os.Open(filepath.Join("..", "..", "..", "shared", "facts", name))
		if err != nil {
			need.Skip(t, "reference data %s is not beside this repository", name)
		}
		rows, err := csv.NewReader(f).ReadAll()
		f.Close()
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range rows[1:] {
			m[r[1]] = r[2]
		}
	}
	return m
}
