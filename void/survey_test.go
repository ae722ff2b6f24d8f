package void

import (
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/golang/geo/r3"
	gocmp "github.com/google/go-cmp/cmp"
)

// surveyed is floors with rows of surveyed.csv.
func surveyed(t fataler, rows string) *Project {
	p := floors(t)
	p.Files = append(p.Files, "surveyed.csv")
	tableOf(t, rows, func(r SurveyRow) {
		r.At.File = int32(len(p.Files) - 1)
		r.Place.Text = strings.ReplaceAll(r.Place.Text, ";", ",")
		p.AddSurvey(r)
	})
	p.Resolve()
	return p
}

// aSurvey is readings of all kinds, by all ways of saying where.
const aSurvey = `what,storey,place,bay,zone,level,reading,setup,face
datum,G,,,,,0,1,
soffit,G,A+2000; grid 1+2000,,,FFL+3560,,,
soffit,G,A+4000; grid 1+2000,,,datum+2580,,,
soffit,G,,b2,,,2520,1,
ceiling,G,,a1,,FFL+2710,,,
floor,G,,a1,,datum-1004,,,
steel,,3000; 8000,,B2,FFL+3440,,,
steel,G,A+1000; grid 1+4000,,,FFL+3140,,,
zone,,,,D1,FFL+2880,,,
zone,,,,D3,FFL+2990,,,top`

func levelOf(p *Project, id string) float64 {
	i, _ := p.ZoneByID(id)
	return math.Round(p.Zone(i).at*1000) / 1000
}

func bayOf(p *Project, label string) *Bay {
	j, _ := p.bayLabelled(fold(label))
	return &p.Bays[j]
}

// What was found goes before what is drawn. Figures by hand: a1, G has its soffit at 3600 and readings of 3560 and 3580: 3560 counts. B1 lies
// under the soffit of a1 and a2 with its top, 406.4 deep, so its underside is drawn at 3193.6 and follows the lower soffit; it was read at
// 3140, which counts: its top is at 3546.4. D2 hangs 100 under the steel, and goes with it: 3040. D6 hangs 40 under it.
func TestFoundGoesBeforeDrawn(t *testing.T) {
	p := surveyed(t, aSurvey)
	for _, pr := range p.Problems {
		if strings.HasPrefix(pr.File, "surveyed") {
			t.Error(pr)
		}
	}
	for _, x := range []struct {
		bay             string
		soffit, ceiling float64
	}{{"a1, G", 3560, 2710}, {"a2", 3600, 2600}, {"b2", 3500, 0}, {"a1, F", 7800, 6900}} {
		if b := bayOf(p, x.bay); b.Soffit != x.soffit || b.Ceiling != x.ceiling {
			t.Errorf("bay %s: soffit %g, ceiling %g, want %g, %g", x.bay, b.Soffit, b.Ceiling, x.soffit, x.ceiling)
		}
	}
	if b := bayOf(p, "a1, G"); b.Top != 2760 || b.Drawn != (DrawnLevels{3600, 2700, 2750}) {
		t.Errorf("a1: top %g, drawn %+v", b.Top, b.Drawn)
	}
	// B2: top at 3600, 146 high, so its underside is 3454: found 3440 by one reading, 14 lower. D3: round, ø200, u/s at 3000 where it starts, read
	// at its top, which is above its underside by 200 along its fall of 1 in 80: 200 sqrt(1+1/6400) = 200.0156.
	for id, want := range map[string]float64{"B1": 3546.4, "B2": 3586, "D1": 2880, "D2": 3040, "D6": 3100, "D3": 2789.984, "U1": 2780, "W1": 0} {
		if at := levelOf(p, id); at != want {
			t.Errorf("%s is at %g, want %g", id, at, want)
		}
	}
	// The opening in W1 is told from the steel over the wall, B1, which was found at 3140; it is 300 high, with its underside 500 below.
	w, _ := p.ZoneByID("W1")
	if k := slices.IndexFunc(p.Openings, func(o Opening) bool { return o.In == int32(w) }); k < 0 || p.Openings[k].Centre.Z != 3140-500+150 {
		t.Errorf("openings %+v, want the one in W1 with its middle at 2790", p.Openings)
	}
	s := p.Survey()
	if s.Readings != 9 || s.Blank != 0 || len(s.SetUps) != 1 || s.SetUps[0].Misclose != 0 {
		t.Errorf("survey: %+v", s)
	}
	got := map[string]Found{}
	for _, f := range s.Found {
		name := string(f.What)
		if f.Bay >= 0 {
			name += " " + p.Bays[f.Bay].Label
		} else {
			name += " " + p.Zone(f.Zone).ID
		}
		f.Row, f.Zone, f.Bay = At{}, 0, 0
		f.Drawn, f.Found, f.Counts = math.Round(f.Drawn*10)/10, math.Round(f.Found*10)/10, math.Round(f.Counts*10)/10
		f.Spread = math.Round(f.Spread*10) / 10
		got[name] = f
	}
	want := map[string]Found{
		"soffit a1, G":  {What: "soffit", Drawn: 3600, Found: 3560, Counts: 3560, Readings: 2, Spread: 20},
		"soffit b2":     {What: "soffit", Drawn: 3500, Found: 3520, Counts: 3500, Readings: 1},
		"ceiling a1, G": {What: "ceiling", Drawn: 2700, Found: 2710, Counts: 2710, Readings: 1},
		"floor a1, G":   {What: "floor", Drawn: 0, Found: -4, Counts: 0, Readings: 1},
		"steel B1":      {What: "steel", Drawn: 3193.6, Found: 3140, Counts: 3140, Readings: 1},
		"steel B2":      {What: "steel", Drawn: 3454, Found: 3440, Counts: 3440, Readings: 1},
		"zone D1":       {What: "zone", Drawn: 2900, Found: 2880, Counts: 2880, Readings: 1},
		"zone D3":       {What: "zone", Drawn: 3200, Found: 2990, Counts: 2990, Readings: 1},
	}
	if d := gocmp.Diff(want, got); d != "" {
		t.Errorf("found (-want +got):\n%s", d)
	}
}

// The opening in B1 is at mid-depth, and goes down with it; one at a level of its own, too, for it is in the steel.
func TestAnOpeningIsFoundWithItsBeam(t *testing.T) {
	p := floors(t)
	tableOf(t, "in,at,size,level\nB1,6000,ø200,FFL+3300", p.AddOpening)
	tableOf(t, "what,zone,level\nsteel,B1,FFL+3173.6", p.AddSurvey)
	p.Resolve()
	var at []float64
	for _, o := range p.Openings {
		if o.In >= 0 && p.Zone(int(o.In)).ID == "B1" {
			at = append(at, math.Round(o.Centre.Z*10)/10)
		}
	}
	if d := gocmp.Diff([]float64{3376.8, 3380}, at); d != "" { // 3173.6 + 406.4/2; 3300 + 100 - 20
		t.Error(d)
	}
}

// One reading never raises a soffit or a beam, nor lowers a ceiling; two at places apart do. A row that is read by its id goes up, too.
func TestOneReadingNeverMakesRoom(t *testing.T) {
	for _, x := range []struct {
		rows string
		of   func(p *Project) float64
		want float64
	}{
		{"what,bay,level\nsoffit,b2,FFL+3530", func(p *Project) float64 { return bayOf(p, "b2").Soffit }, 3500},
		{"what,place,level\nsoffit,B+2000; grid 2+2000,FFL+3530\nsoffit,B+2000; grid 2+2900,FFL+3520", func(p *Project) float64 { return bayOf(p, "b2").Soffit }, 3500},
		{"what,place,level\nsoffit,B+2000; grid 2+2000,FFL+3530\nsoffit,B+2000; grid 2+3000,FFL+3520", func(p *Project) float64 { return bayOf(p, "b2").Soffit }, 3520},
		{"what,bay,level\nceiling,a2,FFL+2580", func(p *Project) float64 { return bayOf(p, "a2").Ceiling }, 2600},
		{"what,place,level\nceiling,B+1000; 2000,FFL+2580\nceiling,B+4000; 2000,FFL+2590", func(p *Project) float64 { return bayOf(p, "a2").Ceiling }, 2590},
		{"what,zone,level\nsteel,B1,FFL+3200", func(p *Project) float64 { return levelOf(p, "B1") }, 3600},
		{"what,zone,place,level\nsteel,B1,500; 4000,FFL+3203.6\nsteel,B1,11500; 4000,FFL+3213.6", func(p *Project) float64 { return levelOf(p, "B1") }, 3610},
		{"what,zone,level\nzone,D1,FFL+2930", func(p *Project) float64 { return levelOf(p, "D1") }, 2930},
	} {
		rows := strings.ReplaceAll(x.rows, "\n", "\n") // as they are
		head, rest, _ := strings.Cut(rows, "\n")
		all := "storey," + head
		for _, l := range strings.Split(rest, "\n") {
			if strings.HasPrefix(l, "steel,B1") || strings.HasPrefix(l, "zone") {
				all += "\n," + l
			} else {
				all += "\nG," + l
			}
		}
		p := surveyed(t, all)
		if got := x.of(p); got != x.want {
			t.Errorf("%q: %g, want %g (%v)", all, got, x.want, p.Problems)
		}
	}
}

// A row that goes through bays whose soffits were found to differ, but are drawn alike, hangs from the lowest.
func TestALevelFromSoffitsThatWereFoundToDiffer(t *testing.T) {
	p := floors(t)
	p.AddZone("ductwork.csv", func() *ZoneRow {
		r := cells[ZoneRow](t, 90, map[string]string{"id": "L1", "storey": "G", "x1": "500", "y1": "2000", "x2": "11000", "y2": "2000", "size": "100x50", "level": "soffit-60", "face": "top"})
		return &r
	}())
	tableOf(t, "what,bay,storey,level\nsoffit,a1,G,FFL+3570\nsoffit,a2,G,FFL+3585", p.AddSurvey)
	p.Resolve()
	if got := levelOf(p, "L1"); got != 3510 {
		t.Errorf("L1 at %g, want 3510: 60 under the lower soffit, 3570", got)
	}
}

// A reading counts from what its set-up reads on the datum line: -205 there, the laser is 205 over it. Two checks: the mean, and a misclose of 4.
func TestReadingsCountFromTheDatumLine(t *testing.T) {
	p := surveyed(t, "what,storey,bay,reading,setup\ndatum,G,,-203,2\ndatum,G,,-207,2\ndatum,G,,0,1\nsoffit,G,b2,2275,2\nsoffit,G,a2,2590,1")
	// 1000 + 2275 + 205 = 3480; 1000 + 2590 = 3590.
	if b2, a2 := bayOf(p, "b2").Soffit, bayOf(p, "a2").Soffit; b2 != 3480 || a2 != 3590 {
		t.Errorf("b2 %g, a2 %g (%v)", b2, a2, p.Problems)
	}
	s := p.Survey()
	if len(s.SetUps) != 2 || s.SetUps[1].Name != "2" || s.SetUps[1].Misclose != 4 || s.SetUps[1].Checks != 2 {
		t.Errorf("%+v", s.SetUps)
	}
}

// What stands in the bay's row relative to what was found follows: b1's ceiling is 900 under its soffit.
func TestACeilingFromASoffitThatWasFound(t *testing.T) {
	p := surveyed(t, "what,storey,bay,level\nsoffit,G,b1,FFL+3570")
	if b := bayOf(p, "b1"); b.Soffit != 3570 || b.Ceiling != 2670 || b.Top != 2728 {
		t.Errorf("%+v", b)
	}
}

// Without the survey the project is as the tables have it.
func TestAsDrawn(t *testing.T) {
	p := surveyed(t, aSurvey)
	if d := gocmp.Diff(projectOf(floors(t)), projectOf(p.AsDrawn()), gocmp.AllowUnexported(Bay{})); d != "" {
		t.Errorf("(-drawn +as drawn):\n%s", d)
	}
	if d := gocmp.Diff(projectOf(surveyed(t, aSurvey)), projectOf(p), gocmp.AllowUnexported(Bay{})); d != "" {
		t.Errorf("and it changed what it was made of:\n%s", d)
	}
}

// A survey that is equal to the drawings changes nothing.
func TestASurveyEqualToTheDrawings(t *testing.T) {
	p := surveyed(t, `what,storey,place,bay,zone,level
soffit,G,,a1,,FFL+3600
soffit,G,B+1000; grid 1+1000,,,datum+2600
soffit,F,,f2,,project+7800
ceiling,G,,a1,,FFL+2700
steel,,,,B1,FFL+3193.6
zone,,,,D1,FFL+2900
zone,,9000; 9000,,D3,FFL+2900`)
	is, was := projectOf(p), projectOf(floors(t))
	if d := gocmp.Diff(was, is, gocmp.AllowUnexported(Bay{})); d != "" {
		t.Errorf("(-was +is):\n%s", d)
	}
	if n := len(p.Survey().Found); n != 6+1 {
		t.Errorf("%d found", n)
	}
}

// What is wrong with a row is told with its column, and the rest counts.
func TestRowsOfASurveyThatWillNotDo(t *testing.T) {
	for _, x := range []struct{ row, want string }{
		{"soffit,,,,B7,FFL+3500,,,", `surveyed.csv:2: zone: a soffit is not read by the id of a row`},
		{"zone,,,,D77,FFL+2900,,,", `surveyed.csv:2: zone: no zone "D77"`},
		{"zone,F,,,D1,FFL+2900,,,", `surveyed.csv:2: storey: "D1" is in storey "G"`},
		{"zone,,,,W1,FFL+2900,,,", `surveyed.csv:2: zone: "W1" is upright`},
		{"steel,,,,D1,FFL+2900,,,", `surveyed.csv:2: what: "D1" is no beam`},
		{"zone,,,,,FFL+2900,,,", `surveyed.csv:2: zone: blank`},
		{"soffit,G,40000; 40000,,,FFL+3500,,,", `surveyed.csv:2: place: "40000, 40000" is outside every bay`},
		{"soffit,G,A+100; grid 1+100,a2,,FFL+3500,,,", `surveyed.csv:2: place: "A+100, grid 1+100" is not in bay "a2"; give a place in it, or bay "a1, G"`},
		{"soffit,G,A+3000; grid 2,,,FFL+3500,,,", ``}, // on the edge of two bays with one soffit
		{"soffit,G,B+3000; grid 2,,,FFL+3500,,,", `surveyed.csv:2: place: "B+3000, grid 2" is on the edge of bays "a2" and "b2", whose soffits differ`},
		{"soffit,G,Q+100; grid 1,,,FFL+3500,,,", `surveyed.csv:2: place: no grid line "Q" in grid.csv`},
		{"soffit,G,nowhere,,,FFL+3500,,,", `surveyed.csv:2: place: "nowhere" is no bay, no place and no id of a row`},
		{"soffit,G,,a9,,FFL+3500,,,", `surveyed.csv:2: bay: no bay "a9" in bays.csv`},
		{"soffit,,,a1,,FFL+3500,,,", `surveyed.csv:2: storey: blank, and bay "a1" is in 2 storeys`},
		{"soffit,,1000; 1000,,,FFL+3500,,,", `surveyed.csv:2: storey: blank, and there is more than one storey`},
		{"soffit,G,,,,FFL+3500,,,", `surveyed.csv:2: place: blank`},
		{"soffit,G,,a2,,3500,,,", `surveyed.csv:2: level: "3500" does not say from where; give datum+3500 or FFL+3500`},
		{"soffit,G,,a2,,steel+10,,,", `surveyed.csv:2: level: "steel+10": what was found is not told from the steel`},
		{"soffit,G,,a2,,,2500,3,", `surveyed.csv:2: reading: set-up "3" has no reading of the datum line`},
		{"soffit,G,,a2,,,2.51,3,", `surveyed.csv:2: reading: "2.51" is too small for a reading in millimetres`},
		{"soffit,G,,a2,,FFL+3500,2500,1,", `surveyed.csv:2: reading: both level and reading are given`},
		{"soffit,G,,a2,,FFL+2640,,,", `surveyed.csv:2: level: the soffit of bay "a2" was found at FFL+2640, which is 18 below the top of its ceiling`},
		{"soffit,G,,a2,,FFL-10,,,", `surveyed.csv:2: level: FFL-10 is not over the floor`},
		{"floor,G,,a2,,FFL+700,,,", `surveyed.csv:2: level: a floor at FFL+700`},
		{"ceiling,G,,b2,,FFL+2700,,,", `surveyed.csv:2: what: bay "b2" has no ceiling`},
		{"sofit,G,,a2,,FFL+3500,,,", `surveyed.csv:2: what: "sofit" is nothing that is surveyed; give soffit, steel, ceiling, floor, zone, or datum (a check of the set-up) (did you mean "soffit"?)`},
		{"steel,G,A+1000; grid 1+1000,,,FFL+3100,,,", `surveyed.csv:2: place: no beam is over A+1000, grid 1+1000`},
		{"datum,,,,,,0,1,", `surveyed.csv:2: storey: blank, and there is more than one storey`},
		{"soffit,G,,a2,,,,,", ``}, // not surveyed yet
	} {
		p := surveyed(t, "what,storey,place,bay,zone,level,reading,setup,day\n"+x.row)
		var got []string
		for _, pr := range p.Problems {
			if pr.File == "surveyed.csv" {
				got = append(got, pr.String())
			}
		}
		if text := strings.Join(got, "\n"); !strings.HasPrefix(text, x.want) || (x.want == "") != (text == "") {
			t.Errorf("%s:\n got %s\nwant %s", x.row, text, x.want)
		}
		if miss := p.RowsMissing - floors(t).RowsMissing; (miss == 1) != (x.want != "") {
			t.Errorf("%s: %d rows are missing", x.row, miss)
		}
	}
}

// A row that was found is moved from where it was found, and with another level the reading counts no more; given its level again, it does. Drawn at
// 2900, found at 2880: 40 up is 2920. It does not go while surveyed.csv names it.
func TestWhatWasFoundIsMovedFromThere(t *testing.T) {
	p := surveyed(t, aSurvey)
	d1, _ := p.ZoneByID("D1")
	if level, place := p.Zone(d1).Holds(); level || place {
		t.Errorf("D1 holds its level %t, its place %t", level, place)
	}
	cells, pr := p.Moved(d1, r3.Vector{Z: 40})
	if pr != nil || len(cells) != 1 || cells[0] != (CellText{"level", "FFL+2920"}) {
		t.Fatalf("40 up: %v, %v", cells, pr)
	}
	if cells, pr := p.Moved(d1, r3.Vector{Y: 40}); pr != nil || len(cells) != 2 {
		t.Errorf("40 north: %v, %v", cells, pr)
	}
	for _, x := range []struct {
		level string
		at    float64
		old   int
	}{{"FFL+2920", 2920, 1}, {"FFL+2900", 2880, 0}} {
		if _, pr := p.Edit("D1", "level", x.level); pr != nil {
			t.Fatal(pr)
		}
		if at, old := levelOf(p, "D1"), p.Outdated(); at != x.at || len(old) != x.old || x.old == 1 && old[0] != "D1 (surveyed.csv:10)" {
			t.Errorf("%s: at %g, outdated %v", x.level, at, old)
		}
	}
	// What else says where a row is leaves its reading behind as its level does, until it says so again; what says nothing of that does not.
	d3, _ := p.ZoneByID("D3")
	for _, x := range []struct {
		column, text string
		old          int
	}{{"fall", "1 in 100", 1}, {"fall", p.CellOf(d3, "fall"), 0}, {"face", "centre", 1}, {"face", p.CellOf(d3, "face"), 0}, {"size", "ø150", 0}, {"note", "moved", 0}} {
		if _, pr := p.Edit("D3", x.column, x.text); pr != nil {
			t.Fatal(x.column, pr)
		}
		if old := p.Outdated(); len(old) != x.old {
			t.Errorf("D3, %s %q: outdated %v, want %d", x.column, x.text, old, x.old)
		}
	}
	if _, pr := p.Remove("D1"); pr == nil || !strings.Contains(pr.String(), "to remove it") {
		t.Errorf("remove: %v", pr)
	}
}

// A bay whose soffit or ceiling was found is edited as it is drawn; what was found goes before what is drawn now as before. a1, G: 3560 and 2710
// found, a build-up of 50. b2: one reading of 3520, which lowers a soffit that is drawn higher and raises none.
func TestABayThatWasFoundIsEdited(t *testing.T) {
	p := surveyed(t, aSurvey)
	for _, x := range []struct {
		bay, column, text           string
		soffit, top, ceiling, drawn float64 // the soffit as drawn
	}{
		{"a1, G", "ceiling", "2650", 3560, 2760, 2710, 3600},
		{"a1, G", "buildup", "", 3560, 2710, 2710, 3600},
		{"a1, G", "buildup", "boards", 3560, 2760, 2710, 3600},
		{"b2", "soffit", "3550", 3520, 0, 0, 3550},
		{"b2", "soffit", "3510", 3510, 0, 0, 3510},
	} {
		if _, pr := p.EditBay(x.bay, x.column, x.text); pr != nil {
			t.Fatal(x.column, pr)
		}
		if b := bayOf(p, x.bay); b.Soffit != x.soffit || b.Top != x.top || b.Ceiling != x.ceiling || b.Drawn.Soffit != x.drawn {
			t.Errorf("%s, %s %q: soffit %g, top %g, ceiling %g, drawn %g, want %g, %g, %g, %g", x.bay, x.column, x.text, b.Soffit, b.Top, b.Ceiling, b.Drawn.Soffit, x.soffit, x.top, x.ceiling, x.drawn)
		}
		if len(p.Survey().Found) != 8 {
			t.Errorf("%s %q: %d found", x.column, x.text, len(p.Survey().Found))
		}
	}
}
