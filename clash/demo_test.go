package clash_test

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"voidline/clash"
	"voidline/clash/finding"
	"voidline/clash/rules"
	"voidline/io/table"
)

// The demo project is a floor of an invented building. What it must come to was worked out by hand
// from the tables, before the program was asked, as the sums below; levels are above FFL.
const (
	tiles  = 2700 + 15 + 23.0               // top of the tile grid
	boards = 2500 + 12.5 + 12.5 + 26 + 45.0 // top of the boards on furring

	dn20, dn25, dn32, dn40, dn50 = 26.9, 33.7, 42.4, 48.3, 60.3 // EN 10220
	dn80, dn100                  = 88.9, 114.3                  // EN 10220
	beam356                      = 3600 - 355.0                 // underside of UB 356x171x51
	beam406                      = 3600 - 406.4                 // underside of UB 406x178x60
	half406                      = 177.9 / 2                    // half its width
	channel41                    = 41 + 5 + 8.4 + 1.5           // channel, plate washer, nut M10, one thread
	channel21                    = 21 + 5 + 8.4 + 1.5
	strip                        = 4 + 6.8 + 1.25 // the project's own hanger: strip, nut M8, one thread
)

// Names of rules as the program prints them.
const (
	inOnePlace   = "no two things in the same space"
	ofCeiling    = "clear of the ceiling"
	ofPipes      = "insulation to insulation, pipes"
	tileLift     = "tile lift-out"
	luminaire    = "luminaire lift-out"
	shaft        = "hatch to VCD-01: the shaft from the finished face to its underside"
	fromHatch    = "reach from a hatch"
	roundOpening = "room round a service in an opening"
	supportRule  = "supports at the usual spacing"
)

// demoFinding is one finding in short.
type demoFinding struct {
	kind        finding.Kind
	a, b, bay   string
	gap         float64
	up, aside   float64 // of an overlap: the least upright and sideways moves; demoNone for none
	asked, lack float64
	rule, basis string
	also        string // rules that the pair breaks too, in order of name
	gives       string
	byHeight    bool
}

// demoNone stands for a move that is not there.
var demoNone = math.NaN()

// demoTight is a gap of which less is there than asked.
func demoTight(bay, a, b string, gap, asked float64, rule string, basis rules.Basis, gives string) demoFinding {
	return demoFinding{finding.Tight, a, b, bay, gap, demoNone, demoNone, asked, asked - gap, rule, string(basis), "", gives, false}
}

// demoOverlap is two things in one place; asked is what a rule between them asks besides.
func demoOverlap(bay, a, b string, up, aside, asked float64, also, gives string) demoFinding {
	depth := up
	if aside < up {
		depth = aside
	}
	return demoFinding{finding.Overlap, a, b, bay, 0, up, aside, asked, asked + depth, inOnePlace, string(rules.Geometry), also, gives, false}
}

// demoBlocked is room that something stands in: there of asked are free.
func demoBlocked(bay, a, b string, there, asked, up, aside float64, rule string, basis rules.Basis, gives string) demoFinding {
	return demoFinding{finding.Access, a, b, bay, there, up, aside, asked, asked - there, rule, string(basis), "", gives, false}
}

// demoFar is something to be reached that no hatch is near to: the nearest is 600 x 600, and head and shoulders reach 900.
func demoFar(bay, a string, away float64) demoFinding {
	c := "ceiling " + bay
	return demoFinding{finding.Access, a, c, bay, away, demoNone, demoNone, 900, away - 900, fromHatch, string(rules.Practice), "", c, false}
}

// demoSupport is a rod, or a channel, of a row's supports in something else.
func demoSupport(bay, row, b string, up, aside float64, gives string) demoFinding {
	f := demoOverlap(bay, "supports of "+row, b, up, aside, 0, "", gives)
	f.rule, f.basis = supportRule, string(rules.Practice)
	return f
}

func demoWith(f demoFinding, change func(*demoFinding)) demoFinding { change(&f); return f }

// wantFindings are the findings, bay by bay.
func wantFindings() []demoFinding {
	practice, law, maker := rules.Practice, rules.Law, rules.Maker
	lthw, hf2 := dn50/2+30, dn20/2+20 // half the insulated pipe
	chw, chf1 := dn80/2+40, dn32/2+30
	// Drains that fall: half the pipe measured upright is its radius and the slope's hypotenuse.
	slope := func(s float64) float64 { return math.Hypot(1, s) }
	cd1 := (43/2.0 + 10) * slope(1/100.0)
	dr2 := 56 / 2.0 * slope(12.5/1000)
	// The main stands in the shaft of a hatch with its edge alone: its underside there, where the shaft begins.
	chwOverHatch := 2760 - math.Sqrt(chw*chw-(7200-300-6844)*(7200-300-6844))
	dr2At := func(y float64) float64 { return 2668 - 1.25/100*(y-9500) } // axis of DR2-02

	return []demoFinding{
		// Offices south, tiles.
		demoTight("A-B/1-2", "ceiling A-B/1-2", "BR1-02", 112-channel21, 100, tileLift, practice, "BR1-02"),
		demoTight("A-B/1-2", "SD-01", "DIF-01", (4600-50)-(3500+300), 1000, "detector clear beside to diffuser", law, "SD-01"),
		// Exactly over both its ducts, 2950 + 200 + 25 and 2925 + 200 + 25; the beam runs from grid 1 at 0 on.
		demoOverlap("A-B/1-2", "LD2-01", "SB-B1", (3175+125)-beam356, 2400+150, 0, "", "LD2-01"),
		demoOverlap("B-C/1-2", "HF2-01", "ceiling B-C/1-2", tiles-(2760-hf2), demoNone, 100, ofCeiling+"; "+tileLift, "HF2-01"), // the worst of the bay: its tiles ask
		demoOverlap("B-C/1-2", "HR2-01", "ceiling B-C/1-2", tiles-(2760-hf2), demoNone, 25, ofCeiling, "HR2-01"),
		demoTight("B-C/1-2", "LB2-01", "BM2-01", (930-25)-(800+75), 50, "power to data, least", practice, "BM2-01"),
		demoTight("B-C/1-2", "SPR1-02", "SB-C1", 100/2.0-(3410-3400)-dn40/2, 25, roundOpening, practice, "SPR1-02"),
		demoOverlap("C-D/1-2", "SA1-31", "SB-2C", (3050+200+25)-beam406, 6500-(6000-half406), 0, "", "SA1-31"),
		demoWith(demoOverlap("C-D/1-2", "DIF-03", "SEC-01", (2850+50)-2700, demoNone, 0, "", "SEC-01"), func(f *demoFinding) { f.byHeight = true }),

		// Corridor, boards.
		demoTight("A-B/2-3", "TR1-03", "FA1-01", (7800-150)-(7560+50), 150, "hand room on one side of tray", practice, "FA1-01"),
		demoTight("A-B/2-3", "LTHW-F-03", "LTK1-01", (6300-lthw)-(6160+50), 150, "hot pipe to cables", practice, "LTHW-F-03"),
		demoTight("B-C/2-3", "LTHW-F-02", "LTHW-R-02", (6435-6300)-2*lthw, 25, ofPipes, practice, "LTHW-R-02"),
		demoOverlap("B-C/2-3", "HR2-01", "LTHW-F-02", lthw+hf2, 6435-(6300-lthw), 25, ofPipes, "HR2-01"),
		demoTight("B-C/2-3", "TR1-02", "DT1-02", 3080-(2900+60), 150, "room above tray to lay cables", practice, "DT1-02"),
		demoTight("B-C/2-3", "DT1-02", "RF1-01", (3300-30)-(3080+60), 150, "room above basket to lay cables", practice, "RF1-01"),
		demoOverlap("B-C/2-3", "SA1-02", "SP2-01", (2900+100)-(2950-25), 7800-(6500-250-25), 0, "", "SP2-01"),
		demoOverlap("C-D/2-3", "DT1-01", "EA2-01", (2975+200)-3110, (7800+100)-7250, 0, "", "DT1-01"),
		demoBlocked("C-D/2-3", "VCD-01", "CHW-R-01", chwOverHatch-2500, 2925-2500, 2925-chwOverHatch, (6844+chw)-(7200-300),
			shaft, rules.Geometry, "VCD-01"), // the hatch is shifted more easily than the main

		// Plant room, open.
		demoTight("D-E/2-3", "GAS-01", "TR1-01", 2970-(2900+60), 25, "gas to electrical", law, "GAS-01"),
		demoTight("D-E/2-3", "GAS-01", "EXH-01", math.Hypot((25950-150)-25768, (2970+dn25/2)-(2780+200))-dn25/2, 25,
			"insulation to insulation, pipe and duct", practice, "GAS-01"),
		demoTight("D-E/2-3", "LD1-01", "EXH-01", 2780-(2600+100), 150, "room above ladder to lay cables", practice, "LD1-01"),
		demoBlocked("D-E/2-3", "AHU-1", "GAS-01", (25768-dn25/2)-(24600+600), 600, (2970+dn25)-2600, (24600+600+600)-(25768-dn25/2),
			"working space of AHU-1", maker, "GAS-01"),

		// Meeting rooms north, tiles.
		demoTight("A-B/3-4", "FCU-01", "SPR2-01", (beam356-65-dn32/2)-(2880+250), 50, "fan coil clear above to any", maker, "SPR2-01"),
		demoTight("A-B/3-4", "FC1-01", "KX1-01", (3840-100)-(3500+200+25), 25, "insulation to insulation, ducts", practice, "KX1-01"),
		demoTight("A-B/3-4", "LT-06", "CHF1-02", (tiles+130+dn32/2-chf1)-(2700+110), 50, luminaire, practice, "CHF1-02"),
		demoTight("B-C/3-4", "ceiling B-C/3-4", "CD1-21", 2830-(10650-8400)/100.0-cd1-tiles, 100, tileLift, practice, "CD1-21"),
		demoTight("B-C/3-4", "PB3-02", "DB3-02", (9255-75)-(9000+100), 38*3, "power to data", law, "DB3-02"),
		demoBlocked("B-C/3-4", "FCU-02", "SPD-03", (11000-600)-(10100+dn25/2), 500, 3180-2850, (10100+dn25/2)-(11000-600-500),
			"withdrawal of FCU-02", maker, "SPD-03"),

		// Toilets, boards.
		demoOverlap("C-D/3-4", "DR2-02", "ceiling C-D/3-4", boards-(dr2At(13950)-dr2), demoNone, 25, ofCeiling, "DR2-02"),
		demoOverlap("C-D/3-4", "DL-03", "DR2-02", (2500+150)-(dr2At(12500+75)-dr2), 75+28, 50, luminaire, "DR2-02"),
		demoOverlap("C-D/3-4", "LB1-01", "ceiling C-D/3-4", channel41-20, demoNone, 25, ofCeiling, "LB1-01"),
		demoTight("C-D/3-4", "LB1-02", "ceiling C-D/3-4", 20-strip, 25, ofCeiling, practice, "LB1-02"),
		demoFar("C-D/3-4", "IV-01", math.Hypot((21000-55)-18000, (8900-55)-7200)),
		demoFar("C-D/3-4", "RE-01", math.Hypot(18000-(15900+60), (9500-60)-7200)),

		// Supports. The whole of TR1 is one length, from x 25790 to 2700: 22490 between the outer two, in 15 parts. Its rods
		// stand at y 7800 -200 and +200, from the nuts under the channel to the soffit; the eighth, at x 14996, and the thirteenth, at
		// 7498, to the beams SB-C2 and SB-B2, 146.1 wide about 15000 and 7500.
		demoSupport("D-E/2-3", "TR1-01", "AHU-1", 2900-2600, tr1(1)+20.5-24000, "TR1-01"), // the channel, 41 wide
		demoBlocked("D-E/2-3", "supports of TR1-01", "AHU-1", tr1(0)-20.5-(24600+600), 600, 2900-2600, 7600-(7800-230),
			"working space of AHU-1", practice, "TR1-01"),
		demoSupport("C-D/2-3", "TR1-01", "W-D2", 3600-(2900-41), tr1(2)+20.5-(22500-100), "TR1-01"),
		demoSupport("B-C/2-3", "TR1-02", "FA1-01", 2950-(2900-channel41), (7560+50)-(7600-5), "FA1-01"), // beside it all along
		demoSupport("A-B/2-3", "TR1-03", "FA1-01", 2950-(2900-channel41), (7560+50)-(7600-5), "FA1-01"),
		// SP2 is 2800 long: 300, 1400 and 2500 from y 7800. BR1-02 is 4600: 300 and every 1000 from y 5800.
		demoSupport("B-C/2-3", "SP2-01", "SA1-02", (2950+300+25)-(2900-channel41), (7800-1400+5)-(6500-250-25), "SP2-01"),
		demoSupport("A-B/1-2", "BR1-02", "LD2-01", 3600-3175, (2400+150)-(5800-3300-5), "BR1-02"),
	}
}

// tr1 is the place of support k of TR1 along x, from its start.
func tr1(k float64) float64 { return 25790 - 300 - (23090-600)/15.0*k }

// demoHole is builder's work in short; level is its underside, of a hole in a soffit the soffit.
type demoHole struct {
	service, in          string
	width, height, level float64
	round                bool
}

// wantHoles are the holes: what goes through, and 25 all round.
func wantHoles() []demoHole {
	box := func(s, in string, w, h, underside float64) demoHole {
		return demoHole{s, in, w + 2*25, h + 2*25, underside - 25, false}
	}
	core := func(s, in string, d, axis float64) demoHole {
		return demoHole{s, in, d + 2*25, d + 2*25, axis - d/2 - 25, true}
	}
	// A drain that falls by 1 in 100 is cut upright: its hole is higher by the slope's hypotenuse.
	drain := func(s, in string, axis float64) demoHole {
		d := 43 + 2*10.0
		h := d * math.Hypot(1, 1/100.0)
		return demoHole{s, in, d + 2*25, h + 2*25, axis - h/2 - 25, true}
	}
	return []demoHole{
		box("SA1-11", "W-2A", 250+2*25, 200+2*25, 2950-25),
		box("BR1-01", "W-2A", 150, 60, 2850),
		core("HF2-01", "W-2B", dn20+2*20, 2760),
		core("HR2-01", "W-2B", dn20+2*20, 2760),
		box("SP2-01", "W-2B", 150, 100, 2900),
		box("SA1-31", "W-2C", 250+2*25, 200+2*25, 3600-550-25),
		box("LD2-01", "W-B1", 300, 125, 3175),
		core("CHF1-01", "W-3A", dn32+2*30, 2868+dn32/2),
		core("CHR1-01", "W-3A", dn32+2*30, 2868+dn32/2),
		box("EA1-41", "W-3A", 200, 200, 2975),
		drain("CD1-11", "W-3A", 2905-(10650-8400)/100.0),
		drain("CD1-21", "W-3B", 2830-(10650-8400)/100.0),
		box("PB3-01", "W-3B", 200, 60, 2900),
		box("DB3-01", "W-3B", 150, 60, 3080),
		drain("CD1-04", "W-3C", 2755-(8400-8230)/100.0),
		box("EA2-01", "W-3C", 300, 200, 2975),
		core("CWS1-02", "W-3C", 28+2*25, 2670),
		core("HWS1-02", "W-3C", 28+2*25, 2670),
		core("CWS1-01", "W-D2", 28+2*25, 2670),
		core("HWS1-01", "W-D2", 28+2*25, 2670),
		core("SPM-01", "W-D2", dn100, 3600-800),
		{"RF1-00", "soffit B-C/2-3", 60 + 2*25, 60 + 2*25, 3600, true},
		{"SVP-1", "soffit C-D/3-4", 110 + 2*25, 110 + 2*25, 3600, true},
	}
}

// wantProtected are cables and fittings with something wet above them: "what below what: pairs of rows".
var wantProtected = []string{
	"BR1 below SPR1: 1",
	"LB2 below SPR1: 1",
	"BM2 below SPR1: 1",
	"SEC below SPR1: 2", // by height: SPR1-02 and SPR1-03 cross its bay
	"LT-06 below CHW-F: 1",
	"DL-03 below DR2: 1",
	"LD1 below SPM: 1",
}

// wantNotes are what is told, by zone and the beginning of the text.
var wantNotes = []string{
	": supports of 8 rows are taken at the usual spacing (basket 1200, ladder 3000, tray 1500, the first within 300 of an end or a corner)",
	"RWP-1: is outside every bay",
	"DT1-03: power to data is not worked out: circuits of the power cables",
}

// wantOpenings counts the passages through openings: two webs on the range, one for the refrigerant,
// one branch, two ducts, four mains, tray and basket.
const wantOpenings = 2 + 1 + 1 + 2 + 4 + 2

func TestDemo(t *testing.T) {
	r := demoCheck(t, 1)
	for _, q := range slices.Concat(r.InputProblems, r.Warnings) {
		t.Errorf("the tables have a problem or a warning: %+v", q)
	}
	demoCompare(t, "finding", demoFindings(r), wantFindings(), demoFinding.key, demoFinding.like)

	var holes []demoHole
	for _, h := range r.BuildersWork {
		holes = append(holes, demoHole{h.Service, h.In, h.Width, h.Height, h.Level, h.Round})
	}
	demoCompare(t, "hole", holes, wantHoles(), func(h demoHole) string { return h.service + " in " + h.in }, demoHole.like)

	same := func(a, b string) bool { return a == b }
	self := func(s string) string { return s }
	var protected []string
	for _, q := range r.ToBeProtected {
		protected = append(protected, fmt.Sprintf("%s below %s: %d", q.Of, q.From, q.Pairs))
	}
	demoCompare(t, "protection", protected, wantProtected, self, same)

	var notes []string
	for _, n := range r.Unchecked {
		text := n.Zone + n.Bay + ": " + n.Text
		for _, w := range wantNotes {
			if strings.HasPrefix(text, w) {
				text = w
			}
		}
		notes = append(notes, text)
	}
	demoCompare(t, "note", notes, wantNotes, self, same)

	// A pendant hangs in the room, and a stack passes through a ceiling.
	if got, want := roomTold(&finding.Result{InRoom: r.InRoom, Through: r.Through}), "1 lighting light fitting; SVP-1 through ceiling C-D/3-4"; got != want {
		t.Errorf("told %q, want %q", got, want)
	}
	if n := r.Excused["through an opening made for it"]; n != wantOpenings {
		t.Errorf("%d passages through openings, want %d", n, wantOpenings)
	}
}

// TestDemoNearMisses makes a finding of each thing in the demo project that is all but one: a cell is
// changed by as little as it takes, and that finding and no other must come.
func TestDemoNearMisses(t *testing.T) {
	before := map[string]bool{}
	for _, f := range demoFindings(demoCheck(t, 1)) {
		before[f.key()] = true
	}
	type gap struct {
		key string
		mm  float64
	}
	for _, test := range []struct {
		why                string
		zone, column, text string
		want               []gap
	}{
		{"exactly 100 over the tiles", "CHF1-02", "level", "build-up+129", []gap{{"tight ceiling A-B/3-4 / CHF1-02", 129 - 30}}},
		{"exactly 1000 from the diffuser", "SD-02", "x1", "B+4849", []gap{{"tight SD-02 / DIF-02", 4849 - 50 - (3500 + 300)}}},
		{"exactly 150 over the tray", "DT1-01", "level", "project+7309", []gap{{"tight TR1-01 / DT1-01", 7309 - 4200 - (2900 + 60)}}},
		{"exactly 25 over the boards", "IV-01", "level", "FFL+2620", []gap{{"tight IV-01 / ceiling C-D/3-4", 2620 - boards}}},
		{"exactly 25 round it in the web", "RF1-02", "level", "CL FFL+3301", []gap{{"tight RF1-02 / SB-3B", (110-60)/2 - 1}}},
		{"28.35 round it in the web", "SPR1-01", "level", "CL FFL+3396", []gap{{"tight SPR1-01 / SB-B1", 150/2.0 - (3600 - 355/2.0 - 3396) - dn40/2}}},
		{"exactly the margin of 50 in the wall", "SA1-01", "level", "FFL+2949", []gap{{"tight SA1-01 / W-D2", 2949 - 25 - 2875}}},
		{"half a millimetre into the beam", "TR6-01", "level", "steel-58.9", []gap{{"overlap SB-B3 / TR6-01", 0}}},
		{"over the tray for 300", "EA2-01", "size", "650x200", []gap{{"tight TR1-01 / EA2-01", 2975 - (2900 + 60)}}},
		{"near the hot pipes for 150 and twice 147", "BR1-01", "size", "310x60", []gap{
			{"tight LTHW-F-03 / BR1-01", 2850 - (2760 + dn50/2 + 30)}, {"tight LTHW-R-03 / BR1-01", 2850 - (2760 + dn50/2 + 30)},
		}},
		{"a tee whatever the runs are called", "SA1-02", "run", "SA2", nil},
	} {
		p, err := table.Open(context.Background(), demoFolder, table.Options{})
		if err != nil {
			t.Fatal(err)
		}
		if _, problem := p.Edit(test.zone, test.column, test.text); problem != nil {
			t.Errorf("%s: %v", test.why, problem)
			continue
		}
		r, err := clash.Open(p, clash.Options{Touch: 1}).Findings(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		var got []gap
		for _, f := range demoFindings(r) {
			if !before[f.key()] {
				got = append(got, gap{f.key(), f.gap})
			}
		}
		demoCompare(t, test.why+": finding", got, test.want, func(g gap) string { return g.key }, func(g, w gap) bool { return demoNear(g.mm, w.mm) })
	}
}

// TestDemoTouch says that without a touch tolerance the tray that is half a millimetre into its beam is
// found, and nothing else besides; the beam is wider, so it then stands in the hand room too.
func TestDemoTouch(t *testing.T) {
	before := map[string]bool{}
	for _, f := range demoFindings(demoCheck(t, 1)) {
		before[f.key()] = true
	}
	var got []demoFinding
	for _, f := range demoFindings(demoCheck(t, 0)) {
		if !before[f.key()] {
			got = append(got, f)
		}
	}
	want := []demoFinding{demoOverlap("A-B/3-4", "SB-B3", "TR6-01", 60-59.5, 171.5/2+150/2.0, 0, "hand room on one side of tray", "TR6-01")}
	demoCompare(t, "finding", got, want, demoFinding.key, demoFinding.like)
}

const demoFolder = "../testdata/demo"

// demoCheck checks the demo project with a touch tolerance in mm.
func demoCheck(t *testing.T, touch float64) *finding.Result {
	t.Helper()
	p, err := table.Open(context.Background(), demoFolder, table.Options{})
	if err != nil {
		t.Fatal(err)
	}
	r, err := clash.Open(p, clash.Options{Touch: clash.Length(touch)}).Findings(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// demoFindings gives the findings of an answer in short.
func demoFindings(r *finding.Result) []demoFinding {
	var all []demoFinding
	for i := range r.Findings {
		f := &r.Findings[i]
		g := demoFinding{f.Kind, f.A, "", "", f.Gap, demoNone, demoNone, f.Asked, f.Short, f.Rule, string(f.Basis), "", f.GivesWay, f.ByHeight}
		if f.B != nil {
			g.b = *f.B
		}
		if f.Bay != nil {
			g.bay = *f.Bay
		}
		if f.Depth != nil {
			g.up = f.Depth.Vertical
			if f.Depth.Sideways != nil {
				g.aside = *f.Depth.Sideways
			}
		}
		var also []string
		for _, a := range f.Also {
			also = append(also, a.Rule)
		}
		g.also = strings.Join(also, "; ")
		all = append(all, g)
	}
	return all
}

func (f demoFinding) key() string { return string(f.kind) + " " + f.a + " / " + f.b }

// demoCompare reports what is missing, what is too much and what differs between got and want, matched
// by key.
func demoCompare[T any](t *testing.T, what string, got, want []T, key func(T) string, like func(got, want T) bool) {
	t.Helper()
	byKey := map[string]T{}
	for _, g := range got {
		if _, twice := byKey[key(g)]; twice {
			t.Errorf("%s twice: %s", what, key(g))
		}
		byKey[key(g)] = g
	}
	wanted := map[string]bool{}
	for _, w := range want {
		k := key(w)
		if wanted[k] {
			t.Errorf("%s wanted twice: %s", what, k)
		}
		wanted[k] = true
		switch g, ok := byKey[k]; {
		case !ok:
			t.Errorf("%s missing: %s\nwant %+v", what, k, w)
		case !like(g, w):
			t.Errorf("%s %s:\n got %+v\nwant %+v", what, k, g, w)
		}
	}
	for _, g := range got {
		if !wanted[key(g)] {
			t.Errorf("%s too much: %s\n got %+v", what, key(g), g)
		}
	}
}

// demoNear reports whether a length of the answer, to the nearest 0.1, is the sum.
func demoNear(got, want float64) bool {
	return math.IsNaN(got) && math.IsNaN(want) || math.Abs(got-want) <= 0.05+1e-6
}

func (f demoFinding) like(w demoFinding) bool {
	return demoNear(f.gap, w.gap) && demoNear(f.up, w.up) && demoNear(f.aside, w.aside) && demoNear(f.asked, w.asked) && demoNear(f.lack, w.lack) &&
		f.bay == w.bay && f.rule == w.rule && f.basis == w.basis && f.also == w.also && f.gives == w.gives && f.byHeight == w.byHeight
}

func (h demoHole) like(w demoHole) bool {
	return demoNear(h.width, w.width) && demoNear(h.height, w.height) && demoNear(h.level, w.level) && h.round == w.round
}
