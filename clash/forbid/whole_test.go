package forbid_test

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r3"

	"voidline/clash"
	"voidline/clash/figure"
	"voidline/clash/finding"
	"voidline/clash/forbid"
	"voidline/clash/measure"
	"voidline/clash/rules"
	"voidline/clash/scene"
	"voidline/io/table"
	"voidline/void"
	"voidline/void/body"
	"voidline/void/cell"
)

// opened is a project of tables, which must be in order.
func opened(t *testing.T, files map[string]string) *void.Project {
	t.Helper()
	fsys := fstest.MapFS{}
	for name, text := range files {
		fsys[name] = &fstest.MapFile{Data: []byte(text)}
	}
	p, err := table.Open(context.Background(), "p", table.Options{FS: fsys})
	if bad := (void.Problems{}); err != nil && !errors.As(err, &bad) {
		t.Fatal(err)
	}
	if len(p.Problems) > 0 {
		t.Fatalf("%v\n%v", p.Problems, files)
	}
	return p
}

// tapeOver is a tape over a project with the built-in rules.
func tapeOver(p *void.Project) *measure.Tape {
	s := scene.Of(p, 1)
	s.Set = rules.New(p, rules.BuiltIn(), false)
	s.Look()
	s.Laid(0)
	return measure.On(s)
}

var forbidPlaces = flag.Int("forbid.places", 80, "projects of TestForbiddenIsWhatACheckFinds")

// oneSide is the side of rules that ask for hand room.
const oneSide = "one side"

// told names a ban as a finding names it.
func told(p *void.Project, b *forbid.Ban) string {
	switch {
	case b.Bay >= 0 && b.Soffit:
		return p.Bays[b.Bay].SoffitID()
	case b.Bay >= 0:
		return p.Bays[b.Bay].CeilingID()
	case b.Space >= 0:
		return "room of " + p.Zone(int(b.Zone)).ID
	case b.Side == cell.OneSide:
		return oneSide
	}
	return p.Zone(int(b.Zone)).ID
}

// foundOf names what a check finds of row T: what it meets, and the room that it stands in; and the rows that have no hand room on
// either side. Nothing rests on anything.
func foundOf(t *testing.T, c *clash.Check) (found, closed map[string]bool) {
	t.Helper()
	res, err := c.Findings(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	found, closed = map[string]bool{}, map[string]bool{}
	for _, f := range res.Findings {
		if f.Side == cell.OneSide || slices.ContainsFunc(f.Also, func(a finding.Also) bool { return a.Side == cell.OneSide }) {
			closed[f.A] = true
		}
		if f.B == nil || f.A != "T" && *f.B != "T" || f.Support != nil || f.Side == cell.OneSide && !slices.ContainsFunc(f.Also, func(a finding.Also) bool { return a.Side != cell.OneSide }) {
			continue
		}
		other := *f.B
		if other == "T" {
			other = f.A
		}
		if f.Kind == finding.Access {
			other = "room of " + other
		}
		found[other] = true
	}
	return found, closed
}

// randomPlace is a void of two bays with things of every kind about (4000, 2000), 3000 high, and row T among them.
func randomPlace(rnd *rand.Rand) map[string]string {
	n := rnd.IntN
	some := func(of ...string) string { return of[n(len(of))] }
	files := map[string]string{
		"bays.csv": fmt.Sprintf("bay,x1,y1,x2,y2,soffit,ceiling,build-up\nA,0,0,4500,4000,%d,%d,b\nB,4500,0,9000,4000,%d,%s,\n",
			3250+n(150), 2600+n(200), 3250+n(150), some("2750", "2800", "none")),
		"buildups.csv": "build-up,layer,thickness,lifts out\nb,board,50,no\n",
		"steel.csv":    "id,kind,x1,y1,x2,y2,size,level\n",
		"units.csv":    "id,service,kind,x1,y1,size,level,reach,recessed\n",
		"access.csv":   "for,kind,side,depth,width\n",
		"openings.csv": "in,at,size,level,margin\n",
	}
	add := func(file, format string, args ...any) { files[file] += fmt.Sprintf(format, args...) + "\n" }
	mid := func(by int) int { return n(2*by+1) - by }
	if n(3) == 0 {
		add("steel.csv", "S,beam,%d,0,%d,4000,UB 406x178x60,TOS %d", 4000+mid(900), 4000+mid(900), 3250)
		if n(3) > 0 {
			add("openings.csv", "S,%d,%s,%d,%s", 2000+mid(150), some("400x250", "ø300", "ø220"), 2880+n(60), some("", "10", "0"))
		}
	}
	if n(4) == 0 {
		add("steel.csv", "W,wall,%d,0,%d,4000,%dx3250,0", 3500+mid(700), 3500, 100+n(200))
		if n(2) == 0 {
			add("openings.csv", "W,%d,%s,%d,%s", 2000+mid(200), some("500x300", "ø350"), 2800+n(100), some("", "20"))
		}
	}
	if n(4) == 0 {
		add("steel.csv", "C,column,%d,%d,,,%s,0..3300", 4000+mid(1500), 2000+mid(500), some("300x300", "ø350"))
	}
	if n(3) == 0 {
		add("units.csv", "U,%s,%s,%d,%d,%dx%dx250,%d,no,", some("chilled water", "supply air", ""), some("fan coil", "unit", "junction box"), 4000+mid(1500), 2000+mid(600), 300+n(500), 300+n(500), 2850+n(250))
		if n(2) == 0 {
			add("access.csv", "U,%s,%s,%d,", some("working space", "withdrawal"), some("north", "south", "east", "west", "below"), 200+n(400))
		}
	}
	if n(4) == 0 {
		add("units.csv", "G,supply air,diffuser,%d,%d,%dx%dx150,ceiling+0,no,yes", 3500+mid(500), 2000+mid(200), 300+n(300), 300+n(300))
	}
	files["others.csv"] = "id,trade,service,kind,bay,x1,y1,x2,y2,size,insulation,level,fall\n"
	for k := range 1 + n(3) {
		what := [][3]string{
			{"ductwork", "supply air", "duct"},
			{"pipework", "LTHW flow", "pipe"},
			{"pipework", "cold water", "pipe"},
			{"containment", "data", "basket"},
			{"pipework", "gas", "pipe"},
			{"drainage", "soil", "pipe"},
			{"containment", "LV power", "tray"},
		}[n(7)]
		size := some("ø60", "ø110", "ø250")
		if what[2] != "pipe" && (what[2] != "duct" || n(2) == 0) {
			size = some("200x60", "300x200", "150x100")
		}
		x1, y1, x2, y2 := 500+n(2000), 2000+mid(600), 5500+n(3000), 0
		y2 = y1
		switch n(4) {
		case 0:
			y2 = 2000 + mid(800)
		case 1:
			x1, y1, y2 = 4000+mid(1200), 200, 3800
			x2 = x1 + n(2)*mid(500)
		}
		if n(3) == 0 {
			x1, y1, x2, y2 = x2, y2, x1, y1
		}
		if what[0] == "containment" && n(6) == 0 {
			add("others.csv", "H%d,%s,%s,%s,%s,,,,,%s,,%d,", k, what[0], what[1], what[2], some("A", "B"), "200x60", 2900+n(200))
			continue
		}
		add("others.csv", "O%d,%s,%s,%s,,%d,%d,%d,%d,%s,%d,%d,%s", k, what[0], what[1], what[2], x1, y1, x2, y2, size, 20*n(2), 2850+n(250), some("", "", "1 in 60", "1 in 100"))
	}
	x1, x2, y := 2000+n(1500), 4500+n(2500), 2000
	if n(4) == 0 {
		x2 = 4360 + n(130) // a little before bay B
	}
	if n(3) == 0 {
		x1, x2 = x2, x1
	}
	files["t.csv"] = "id,trade,service,kind,x1,y1,x2,y2,size,insulation,hanger,level,fall,joins\n"
	head := [...]string{"T,containment,LV power,tray", "T,containment,LV power,ladder", "T,ductwork,supply air,duct", "T,pipework,cold water,pipe", "T,drainage,soil,pipe"}[n(5)]
	size, fall := "300x60", ""
	switch {
	case strings.HasSuffix(head, "pipe"):
		size, fall = some("ø60", "ø110"), some("", "1 in 60", "1 in 40")
	case strings.HasSuffix(head, "duct"):
		size = some("400x200", "ø200")
	}
	joins := some("", "", "U", "O0")
	if !strings.Contains(files["units.csv"], "\nU,") && joins == "U" || !strings.Contains(files["others.csv"], "\nO0,") {
		joins = ""
	}
	add("t.csv", "%s,%d,%d,%d,%d,%s,%d,%s,%d,%s,%s", head, x1, y, x2, y+n(2)*mid(300), size, 25*n(2), some("", "channel 41 M10"), 2900+n(200), fall, joins)
	for name, text := range files {
		if strings.Count(text, "\n") == 1 {
			delete(files, name)
		}
	}
	return files
}

// about returns up to twelve shifts: on either side of each of those given, in the middle between two of them, and none.
func about(rnd *rand.Rand, ends []float64) []float64 {
	tries := map[float64]bool{0: true}
	tenth := func(s float64) float64 { return math.Round(s*10) / 10 }
	for k, e := range ends {
		tries[tenth(e-0.2)], tries[tenth(e+0.2)] = true, true
		if k > 0 {
			tries[tenth((ends[k-1]+e)/2)] = true
		}
	}
	at := slices.Sorted(maps.Keys(tries))
	rnd.Shuffle(len(at), func(a, b int) { at[a], at[b] = at[b], at[a] })
	return at[:min(len(at), 12)]
}

// What is forbidden to a row among others is what a check finds of it once it is moved: at shifts about every end of every ban and
// every hole, in the middle of each, and between, up and both level ways, the two name the same things. Nearer to an end than 0.15,
// more than measuring lets go, either may be said.
func TestForbiddenIsWhatACheckFinds(t *testing.T) {
	hits, shifts, careful, summed := map[string]int{}, 0, 0, 0
	for seed := range *forbidPlaces {
		rnd := rand.New(rand.NewPCG(uint64(seed), 28))
		files := randomPlace(rnd)
		p := opened(t, files)
		i, _ := p.ZoneByID("T")
		tape := tapeOver(p)
		way := [...]r3.Vector{{Z: 1}, {X: 1}, {Y: 1}}[seed%3]
		others := maps.Clone(files)
		delete(others, "t.csv")
		_, without := foundOf(t, clash.Open(opened(t, others), clash.Options{Touch: clash.None, Workers: 1}))
		const far = 450
		bans := forbid.Forbidden(tape, forbid.Query{Zone: int32(i), Full: tape.Full(int32(i)), Dir: way, Within: r1.Interval{Lo: -far, Hi: far}, Hung: true})
		var ends []float64
		for k, b := range bans {
			if b.Length() <= 0 {
				t.Errorf("seed %d, along %v: %s forbids nothing: %v\n%v", seed, way, told(p, &bans[k]), b.Interval, files)
			}
			for _, v := range append([]r1.Interval{b.Interval}, b.Holes...) {
				ends = append(ends, math.Max(-far, v.Lo), math.Min(far, v.Hi))
			}
		}
		slices.Sort(ends)
		q, shifted := opened(t, files), 0.0
		check := clash.Open(q, clash.Options{Touch: clash.None, Workers: 1})
		for _, s := range about(rnd, ends) {
			if slices.ContainsFunc(ends, func(e float64) bool { return math.Abs(e-s) < 0.15 }) || math.Abs(s) > far-1 {
				continue
			}
			want, long := map[string]bool{}, map[string]bool{}
			for k := range bans {
				b := &bans[k]
				if b.InteriorContains(s) && !slices.ContainsFunc(b.Holes, func(h r1.Interval) bool { return h.Contains(s) }) {
					want[told(p, b)] = true
					long[told(p, b)] = b.Bay >= 0 && b.Rule != nil && b.Rule.Over > 0
				}
			}
			cells, why := q.Moved(i, way.Mul(s-shifted))
			if why != nil {
				t.Fatal(why)
			}
			change, why := q.EditCells("T", cells)
			if why != nil {
				continue // out of every bay
			}
			shifted = s
			check.Changed(change)
			got, closed := foundOf(t, check)
			shifts++
			for n := range want {
				hits[strings.TrimRight(n, "0123456789")]++
			}
			// A row that T itself closes on both sides is one that T runs into.
			maps.DeleteFunc(closed, func(n string, _ bool) bool { return without[n] || want[n] && !want[oneSide] })
			switch {
			case len(closed) > 0 && !want[oneSide]:
				summed++ // several things come to more than the rule's over, of which each by itself does not
			case len(closed) > 0:
				got[oneSide] = true
			case len(without) > 0:
				delete(want, oneSide)
			}
			for n := range want {
				if j, ok := p.ZoneByID(strings.TrimPrefix(n, "room of ")); ok && !got[n] {
					// Where the two belong together not every shift at which they meet is known; and where faces graze each other a shift
					// of much is a depth of little.
					m := tape.Full(int32(i)).Shift(way.Mul(s))
					if tape.Belong(int32(i), int32(j)) != measure.NoTie || body.Gap(m, tape.Full(int32(j))).MM == 0 && measure.DeepIn(m, tape.Full(int32(j))) < 2*figure.Slack {
						careful++
						delete(want, n)
					}
				} else if !ok && !got[n] && long[n] {
					careful++ // over how much of the row a rule counts that looks at a ceiling or a soffit is taken from its length
					delete(want, n)
				}
			}
			if !maps.Equal(got, want) {
				t.Errorf("seed %d, along %v by %v: forbidden by %v, the check finds %v\n%v", seed, way, s, slices.Sorted(maps.Keys(want)), slices.Sorted(maps.Keys(got)), files)
			}
		}
	}
	t.Logf("%d shifts, %d too careful, %d of several, forbidden by %v", shifts, careful, summed, hits)
	for _, n := range []string{"C", "G", "H", "O", "S", "U", "W", "ceiling A", "soffit B", "room of U", oneSide} {
		if hits[n] < *forbidPlaces/6 {
			t.Errorf("%s forbids %d of %d shifts: too few", n, hits[n], shifts)
		}
	}
	if summed > shifts/200 {
		t.Errorf("at %d of %d shifts hand room is closed that was not forbidden", summed, shifts)
	}
	if careful > shifts/20 {
		t.Errorf("at %d of %d shifts more is forbidden than the check finds", careful, shifts)
	}
}

// What belongs together does not forbid a place where the two meet, and forbids it all the same where more of the one is in the way
// than what meets.
//
// The unit's side is at x 3300, the room east of it reaches to 3800. A pipe that comes to that side is excused over its last 300: one of
// 250 whole, one that goes on to 5000 stands in the room from 3600 on.
//
// A tray from x 1000 to 7000, 300 wide at y 2000, has a duct along it 50 to the north. A ladder of 650 that ends at its south side
// closes the 150 there for 650, more than 600: where it carries the same it is a branch, and closes nothing.
//
// Of a basket that is known by its height in bay B alone, from x 9000 on, it is not known how far it is from what ends before it.
func TestForbiddenWhereTwoMeet(t *testing.T) {
	for _, test := range []struct {
		name, rest, row string
		by              string
		want            bool
	}{
		{"a short end in the unit's room", "unit", "CHW flow,pipe,3300,2000,3550,2000,ø50,3100,U", "room of U", false},
		{"a long one", "unit", "CHW flow,pipe,3300,2000,5000,2000,ø50,3100,U", "room of U", true},
		{"a long one that is not joined", "unit", "gas,pipe,3300,2000,5000,2000,ø50,3100,", "room of U", true},
		{"a branch beside a tray", "tray", "LV power,ladder,4000,1850,4000,500,650x60,3000,", oneSide, false},
		{"another service's beside it", "tray", "data,ladder,4000,1850,4000,500,650x60,3000,", oneSide, true},
		{"and one of 590", "tray", "data,ladder,4000,1850,4000,500,590x60,3000,", oneSide, false},
		{"30 before the bay of what is known by its height", "height", "LV power,tray,4000,2000,8970,2000,300x60,3000,", "H", false},
		{"30 into it", "height", "LV power,tray,4000,2000,9030,2000,300x60,3000,", "H", true},
	} {
		files := map[string]string{
			"bays.csv":        "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,4000,3600,2400\nB,9000,0,12000,4000,3600,2400\n",
			"containment.csv": "id,service,kind,x1,y1,x2,y2,size,level,joins\nT," + test.row + "\n",
		}
		switch test.rest {
		case "height":
			files["lists.csv"] = "id,trade,service,kind,bay,size,level\nH,containment,data,basket,B,200x60,3020\n"
		case "unit":
			files["units.csv"] = "id,service,kind,x1,y1,size,level,reach\nU,chilled water,fan coil,3000,2000,600x600x300,3000,no\n"
			files["access.csv"] = "for,kind,side,depth\nU,working space,east,500\n"
		default:
			files["containment.csv"] += "M,LV power,tray,1000,2000,7000,2000,300x60,3000,\n"
			files["ductwork.csv"] = "id,service,kind,x1,y1,x2,y2,size,level\nD,supply air,duct,1000,2300,7000,2300,200x200,2950\n"
		}
		p := opened(t, files)
		i, _ := p.ZoneByID("T")
		tape := tapeOver(p)
		got := false
		for _, b := range forbid.Forbidden(tape, forbid.Query{Zone: int32(i), Full: tape.Full(int32(i)), Dir: scene.Up, Within: r1.Interval{Lo: -50, Hi: 50}}) {
			if told(p, &b) == test.by && b.InteriorContains(0) && !slices.ContainsFunc(b.Holes, func(h r1.Interval) bool { return h.Contains(0) }) {
				got = true
			}
		}
		if got != test.want {
			t.Errorf("%s: %s forbids it %v, want %v", test.name, test.by, got, test.want)
		}
		found, closed := foundOf(t, clash.Open(p, clash.Options{Touch: clash.None}))
		if there := found[test.by] || test.by == oneSide && closed["M"]; there != test.want {
			t.Errorf("%s: the check finds %v %v, want %v", test.name, found, closed, test.want)
		}
	}
}

// A rule of a soffit that counts over a length counts by the row as long as it is asked about, with the rows that join it: T is 300 long, U goes on from it
// for 250. At 300, 550 in all, no more than 600 are under the soffit; at 400, 650.
func TestForbiddenOverTheLengthAskedAbout(t *testing.T) {
	p := opened(t, map[string]string{
		"bays.csv":        "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,4000,3600,2400\n",
		"containment.csv": "id,service,kind,x1,y1,x2,y2,size,level,run\nT,LV power,tray,3000,2000,3300,2000,300x60,3000,R\nU,LV power,tray,3300,2000,3550,2000,300x60,3000,R\n",
		"gaps.csv":        "of,to,side,gap,over\ntray,soffit,above,150,600\n",
	})
	i, _ := p.ZoneByID("T")
	tape := tapeOver(p)
	for _, long := range []float64{300, 400} {
		b := tape.Full(int32(i))
		b.Along.X = long / 2
		b.Centre.X = 3300 - long/2
		asked := -1.0
		for _, x := range forbid.Forbidden(tape, forbid.Query{Zone: int32(i), Full: b, Dir: scene.Up, Within: r1.Interval{Lo: -1000, Hi: 1000}}) {
			if x.Soffit {
				asked = x.Asked
			}
		}
		if want := map[float64]float64{300: 0, 400: 150}[long]; asked != want {
			t.Errorf("%g long: the soffit asks %g, want %g", long, asked, want)
		}
	}
}
