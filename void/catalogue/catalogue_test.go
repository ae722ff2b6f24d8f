package catalogue

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"voidline/void/need"
)

// facts reads a table of published values that stands beside the repository, one map a row by the names of
// the columns, and skips without it.
func facts(t *testing.T, name string) []map[string]string {
	t.Helper()
	at, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	for range 6 {
		if _, err := os.Stat(filepath.Join(at, "go.mod")); err == nil {
			break
		}
		at = filepath.Dir(at)
	}
	f, err := os.Open(filepath.Join(at, "..", "shared", "facts", name))
	if err != nil {
		need.Skip(t, "the folder shared/facts does not stand beside the repository: %v", err)
	}
	defer f.Close()
	table, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var rows []map[string]string
	for _, r := range table[1:] {
		row := map[string]string{}
		for i, cell := range r {
			row[table[0][i]] = cell
		}
		rows = append(rows, row)
	}
	if len(rows) == 0 {
		t.Fatalf("%s holds no rows", name)
	}
	return rows
}

// number reads a cell that must be a number.
func number(t *testing.T, text string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// sameStanding tells whether two provenances are of one kind: confirmed, from memory, practice.
func sameStanding(a, b string) bool {
	for _, kind := range []string{"confirmed", FromMemory, Practice} {
		if strings.HasPrefix(a, kind) {
			return strings.HasPrefix(b, kind)
		}
	}
	return false
}

// near tells whether two lengths that are sums of printed figures are one.
func near(a, b float64) bool { return math.Abs(a-b) < 1e-9 }

// Every section of the facts is in the table with every dimension, and the table holds no other.
func TestSectionsAgainstFacts(t *testing.T) {
	rows := facts(t, "steel_sections.csv")
	for _, row := range rows {
		s, ok := SectionByName(row["section"])
		if !ok {
			t.Errorf("SectionByName(%q): not found", row["section"])
			continue
		}
		for column, got := range map[string]float64{"h_mm": s.H, "b_mm": s.B, "tw_mm": s.Tw, "tf_mm": s.Tf, "r_mm": s.R, "mass_kg_m": s.Mass} {
			if want := number(t, row[column]); got != want {
				t.Errorf("%s: %s = %v, want %v", s.Name, column, got, want)
			}
		}
		if s.Name != row["section"] || !sameStanding(s.Provenance, row["provenance"]) || !strings.HasPrefix(row["source"], s.Source) {
			t.Errorf("%s: name %q, source %q, provenance %q, want those of %v", row["section"], s.Name, s.Source, s.Provenance, row)
		}
	}
	if len(Sections()) != len(rows) {
		t.Errorf("%d sections, want %d", len(Sections()), len(rows))
	}
	t.Logf("%d sections compared", len(rows))
}

// Mass follows from the dimensions at 7850 kg/m3 (EN 1991-1-1 takes 77 to 78.5 kN/m3 for steel, from
// memory): two flanges, the web between them and four fillets.
func TestSectionMass(t *testing.T) {
	worst, which := 0.0, ""
	for _, s := range Sections() {
		area := 2*s.B*s.Tf + (s.H-2*s.Tf)*s.Tw + (4-math.Pi)*s.R*s.R // mm2
		mass := area * 1e-6 * 7850
		off := math.Abs(mass-s.Mass) / s.Mass
		if off > 0.005 {
			t.Errorf("%s: mass from its dimensions %.2f, in the table %v: %.2f %% off", s.Name, mass, s.Mass, 100*off)
		}
		if off > worst {
			worst, which = off, s.Name
		}
	}
	t.Logf("%d sections, worst %s, %.2f %% off", len(Sections()), which, 100*worst)
}

func TestSectionsOrder(t *testing.T) {
	all := Sections()
	if len(all) != 105 {
		t.Errorf("%d sections, want 105", len(all))
	}
	// By family, then number by number.
	compare := func(a, b Section) int {
		ka, okA := sectionKey(a.Name)
		kb, okB := sectionKey(b.Name)
		if !okA || !okB {
			t.Fatalf("%q or %q cannot be taken apart", a.Name, b.Name)
		}
		if c := strings.Compare(ka.family, kb.family); c != 0 {
			return c
		}
		return slices.Compare(ka.numbers, kb.numbers)
	}
	for i := 1; i < len(all); i++ {
		if compare(all[i-1], all[i]) >= 0 {
			t.Errorf("%s stands before %s", all[i-1].Name, all[i].Name)
		}
	}
	all[0].H = -1
	if Sections()[0].H == -1 {
		t.Error("Sections hands out its own table")
	}
}

func TestSectionByName(t *testing.T) {
	for _, test := range []struct {
		name, want string // "": not found
		h          float64
	}{
		{"", "", 0},
		{"UB", "", 0},
		{"406x178x60", "", 0}, // a plain size
		{"UB 406x178", "", 0},
		{"UB 406x178x61", "", 0},
		{"UB 406x178x60x1", "", 0},
		{"UB 406xx178x60", "", 0},
		{"UB 406x178x60x", "", 0},
		{"IPE 300 A", "", 0}, // another section than IPE 300
		{"IPE A 300", "", 0},
		{"HE 200", "", 0}, // A or B
		{"HE 200 M", "", 0},
		{"UB 99999999999999999999", "", 0},
		{"UB 406x178x60", "UB 406x178x60", 406.4},
		{"UB406x178x60", "UB 406x178x60", 406.4},
		{"406x178x60UB", "UB 406x178x60", 406.4},
		{"406 x 178 UB 60", "UB 406x178x60", 406.4},
		{"406x178x60 kg/m UB", "", 0}, // the unit only at the end
		{"ub 406 X 178 X 60 kg/m", "UB 406x178x60", 406.4},
		{"406×178×60 UKB", "UB 406x178x60", 406.4},
		{"UB-406*178*60", "UB 406x178x60", 406.4},
		{"UC 203x203x46", "UC 203x203x46", 203.2},
		{"203x203x46UC", "UC 203x203x46", 203.2},
		{"UC 406x178x60", "", 0},
		{"HEA 200", "HE 200 A", 190},
		{"HE 200 A", "HE 200 A", 190},
		{"HE200A", "HE 200 A", 190},
		{"he-a-200", "HE 200 A", 190},
		{"200 HEA", "HE 200 A", 190},
		{"HEB200", "HE 200 B", 200},
		{"IPE 300", "IPE 300", 300},
		{"IPE300", "IPE 300", 300},
	} {
		s, ok := SectionByName(test.name)
		if s.Name != test.want || s.H != test.h || ok != (test.want != "") {
			t.Errorf("SectionByName(%q) = %q, h %v, %v, want %q, h %v", test.name, s.Name, s.H, ok, test.want, test.h)
		}
	}
	for _, s := range Sections() {
		for _, name := range []string{s.Name, strings.ToLower(s.Name), strings.ReplaceAll(s.Name, " ", ""), strings.ReplaceAll(s.Name, "x", " x ")} {
			if got, ok := SectionByName(name); !ok || got != s {
				t.Errorf("SectionByName(%q) = %v, %v, want %v", name, got.Name, ok, s.Name)
			}
		}
	}
}

func TestNearestSection(t *testing.T) {
	for _, test := range []struct{ name, want string }{
		{"", ""},
		{"600x300", ""},
		{"UB 406x178x61", "UB 406x178x60"},
		{"UB 406x178x67", "UB 406x178x60"}, // of equals the smaller
		{"UB 457x191x90", "UB 457x191x82"}, // 8 either way: the same
		{"UB 457x191x133", "UB 457x191x98"},
		{"IPE 310", "IPE 300"},
		{"IPE 1000", "IPE 100"}, // nothing near in depth: the spelling
		{"IPE 9999", ""},
		{"HEA 210", "HE 200 A"},
		{"406x178x60", "UB 406x178x60"},
		{"UB 460x178x60", "UB 406x178x60"},
		{"UV 406x178x60", "UB 406x178x60"},
	} {
		got, ok := NearestSection(test.name)
		if got != test.want || ok != (test.want != "") {
			t.Errorf("NearestSection(%q) = %q, %v, want %q", test.name, got, ok, test.want)
		}
	}
}

// Every outside diameter of the facts is in the table, and the table holds no other.
func TestPipesAgainstFacts(t *testing.T) {
	forms := []struct {
		form     *regexp.Regexp
		standard string // "": by the words of the row
	}{
		{regexp.MustCompile(`^steel pipe OD DN([\d.]+)$`), "EN 10220"},
		{regexp.MustCompile(`^steel tube OD EN 10255 DN([\d.]+)$`), "EN 10255"},
		{regexp.MustCompile(`^copper tube OD ([\d.]+)$`), "EN 1057"},
		{regexp.MustCompile(`^plastic waste pipe OD ([\d.]+) solvent weld$`), "EN 1455"},
		{regexp.MustCompile(`^plastic waste pipe OD ([\d.]+) push fit$`), "EN 1451"},
		{regexp.MustCompile(`^plastic soil pipe OD ([\d.]+)( \(3 inch\))?$`), "EN 1329"},
		{regexp.MustCompile(`^cast-iron soil pipe OD DN([\d.]+) \(EN 877\)$`), "EN 877"},
	}
	// The outside of a socket is no pipe: it belongs into the column joint.
	socket := "plastic soil pipe socket OD for 110"
	found := map[pipeKey]bool{}
	for _, row := range facts(t, "pipes.csv") {
		if !strings.Contains(row["item"], " OD ") || row["item"] == socket {
			continue
		}
		matched := false
		for _, f := range forms {
			m := f.form.FindStringSubmatch(row["item"])
			if m == nil {
				continue
			}
			matched = true
			p, ok := PipeByDN(number(t, m[1]), f.standard)
			if !ok || p.OD != number(t, row["value"]) {
				t.Errorf("PipeByDN(%s, %q) = %v, %v, want OD %s", m[1], f.standard, p.OD, ok, row["value"])
			}
			if p.Source != row["source"] || !sameStanding(p.Provenance, row["provenance"]) {
				t.Errorf("%s: source %q, provenance %q, want %q, %q", row["item"], p.Source, p.Provenance, row["source"], row["provenance"])
			}
			found[pipeKey{p.DN, p.Standard}] = true
			// 110 and 160 are EN 1401 (drains below ground) by the same row.
			if strings.Contains(row["source"], "EN 1401") {
				q, ok := PipeByDN(p.DN, "EN 1401")
				if !ok || q.OD != p.OD {
					t.Errorf("PipeByDN(%v, EN 1401) = %v, %v, want OD %v", p.DN, q.OD, ok, p.OD)
				}
				found[pipeKey{q.DN, q.Standard}] = true
			}
		}
		if !matched {
			t.Errorf("row %q is not understood", row["item"])
		}
	}
	for _, p := range Pipes() {
		if !found[pipeKey{p.DN, p.Standard}] {
			t.Errorf("DN%v of %s stands in no row of the facts", p.DN, p.Standard)
		}
	}
	if len(found) != len(Pipes()) {
		t.Errorf("%d pipes in the facts, %d in the table", len(found), len(Pipes()))
	}
	t.Logf("%d pipes compared", len(found))
}

func TestPipeByDN(t *testing.T) {
	for _, test := range []struct {
		dn       float64
		standard string
		od       float64 // 0: not found
		is       string
	}{
		{0, "", 0, ""},
		{-100, "", 0, ""},
		{math.NaN(), "", 0, ""},
		{17, "", 0, ""},
		{110, "", 0, ""}, // plastic soil only
		{100, "EN", 0, ""},
		{100, "BS", 0, ""},
		{100, "EN 9999", 0, ""},
		{100, "", 114.3, "EN 10220"},
		{150, "", 168.3, "EN 10220"},
		{150, " ", 168.3, "EN 10220"},
		{150, "EN 10220", 168.3, "EN 10220"},
		{150, "EN 10255", 165.1, "EN 10255"},
		{150, "en10255", 165.1, "EN 10255"},
		{150, "BS EN 10255:2004", 165.1, "EN 10255"},
		{150, "10255", 165.1, "EN 10255"},
		{22, "EN 1057", 22, "EN 1057"},
		{66.7, "copper", 66.7, "EN 1057"},
		{40, "EN 1455", 43, "EN 1455"},
		{40, "EN 1455-1", 43, "EN 1455"},
		{40, "EN 1451", 41, "EN 1451"},
		{40, "push-fit", 41, "EN 1451"},
		{110, "EN 1329-1", 110, "EN 1329"},
		{82, "EN 1329", 82.4, "EN 1329"},
		{82, "EN 1401", 0, ""},
		{100, "EN 877", 110, "EN 877"},
		{100, "cast iron", 110, "EN 877"},
	} {
		p, ok := PipeByDN(test.dn, test.standard)
		if p.OD != test.od || p.Standard != test.is || ok != (test.od != 0) {
			t.Errorf("PipeByDN(%v, %q) = %v of %q, %v, want %v of %q", test.dn, test.standard, p.OD, p.Standard, ok, test.od, test.is)
		}
	}
	if got := PipeStandards(110); !slices.Equal(got, []string{"EN 1329", "EN 1401"}) {
		t.Errorf("PipeStandards(110) = %q", got)
	}
	if got := PipeStandards(17); got != nil {
		t.Errorf("PipeStandards(17) = %q, want none", got)
	}
	all := Pipes()
	all[0].OD = -1
	if Pipes()[0].OD == -1 {
		t.Error("Pipes hands out its own table")
	}
}

func TestPipeConflict(t *testing.T) {
	var differ []float64
	for _, p := range Pipes() {
		if note, ok := PipeConflict(p.DN); ok && !slices.Contains(differ, p.DN) {
			differ = append(differ, p.DN)
			if want := "DN150 is 168.3 outside by EN 10220 and 165.1 by EN 10255"; note != want {
				t.Errorf("PipeConflict(%v) = %q, want %q", p.DN, note, want)
			}
		}
	}
	if !slices.Equal(differ, []float64{150}) {
		t.Errorf("standards differ at DN %v, want 150 alone", differ)
	}
}

// Every row of the facts about hangers is in the table, or is a hanger of its own, or is named here as
// no figure.
func TestHangersAgainstFacts(t *testing.T) {
	// Rows that hold several figures, as the table has them.
	several := map[string][]struct {
		item  string
		value float64
	}{
		"slotted channel thickness, heavy / light": {{"slotted channel thickness, heavy", 2.5}, {"slotted channel thickness, light", 1.5}},
		"slot in channel":                          {{"slot in channel, width", 14}, {"slot in channel, length", 28}},
		"square plate washer thickness":            {{"square plate washer thickness", 5}},
		"threaded rod past nut, minimum":           {{"threaded rod past nut, minimum", 1}},
		"rod embed into wedge or drop-in anchor": {
			{"rod embed into wedge or drop-in anchor, M8", 30},
			{"rod embed into wedge or drop-in anchor, M10", 40},
			{"rod embed into wedge or drop-in anchor, M12", 50},
		},
		"rod screw-in to drop-in anchor, minimum": {{"rod screw-in to drop-in anchor, minimum", 1}},
		"rod spacing for a trapeze":               {{"rod spacing for a trapeze, beyond service width", 100}},
		"channel cut length":                      {{"channel cut length, beyond rod spacing", 60}},
		"rod stock length": {
			{"rod stock length, shortest", 1}, {"rod stock length, middle", 2}, {"rod stock length, longest", 3},
		},
		"lock arrangement above the channel, M10": {{"lock arrangement above the channel, M10", 5 + 8.4}},
	}
	stacks := map[string]string{
		"trapeze stack below the service, deep channel, M10":    "channel 41 M10",
		"trapeze stack below the service, shallow channel, M10": "channel 21 M10",
		"trapeze stack below the service, deep channel, M8":     "channel 41 M8",
		"same with 25 mm tail, deep channel, M10":               "channel 41 M10 long tail",
	}
	noFigure := []string{"rod safe working load, M8 / M10 / M12", "rod length formula"}
	seen := map[string]bool{}
	check := func(row map[string]string, item string, value float64) {
		t.Helper()
		f, ok := HangerFigure(item)
		if !ok || !near(f.Value, value) {
			t.Errorf("HangerFigure(%q) = %v, %v, want %v", item, f.Value, ok, value)
		}
		if !sameStanding(f.Provenance, row["provenance"]) || f.Unit == "" || f.Source == "" {
			t.Errorf("%s: unit %q, source %q, provenance %q, want those of %v", item, f.Unit, f.Source, f.Provenance, row)
		}
		// A standard's number must be the one of the facts.
		if strings.HasPrefix(row["source"], "ISO") || strings.HasPrefix(row["source"], "BS") {
			if f.Source != row["source"] || f.Unit != row["unit"] {
				t.Errorf("%s: source %q, unit %q, want %q, %q", item, f.Source, f.Unit, row["source"], row["unit"])
			}
		}
		seen[item] = true
	}
	for _, row := range facts(t, "hangers.csv") {
		item := row["item"]
		switch {
		case slices.Contains(noFigure, item):
		case stacks[item] != "":
			_, sum, _ := strings.Cut(row["value"], "=")
			h, ok := HangerByName(stacks[item])
			if want := number(t, strings.TrimSpace(sum)); !ok || !near(h.Below(), want) {
				t.Errorf("%s reaches %v under the service, want %v", stacks[item], h.Below(), want)
			}
		case several[item] != nil:
			for _, f := range several[item] {
				check(row, f.item, f.value)
				if text := strconv.FormatFloat(f.value, 'f', -1, 64); !strings.Contains(row["value"], text) {
					t.Errorf("%s: %s does not stand in %q", f.item, text, row["value"])
				}
			}
		default:
			check(row, item, number(t, row["value"]))
		}
	}
	for _, f := range HangerFigures() {
		if !seen[f.Item] {
			t.Errorf("figure %q stands in no row of the facts", f.Item)
		}
	}
	t.Logf("%d figures compared", len(seen))
}

func TestHangerBelow(t *testing.T) {
	// channel + plate washer + nut (greatest height, ISO 4032) + one thread (pitch, ISO 261) or tail of 25
	for _, test := range []struct {
		name string
		want float64
	}{
		{"channel 41 M10", 41 + 5 + 8.4 + 1.5},
		{"channel 21 M10", 21 + 5 + 8.4 + 1.5},
		{"channel 41 M8", 41 + 5 + 6.8 + 1.25},
		{"channel 21 M8", 21 + 5 + 6.8 + 1.25},
		{"channel 41 M12", 41 + 5 + 10.8 + 1.75},
		{"channel 21 M12", 21 + 5 + 10.8 + 1.75},
		{"channel 41 M10 long tail", 41 + 5 + 8.4 + 25},
		{"channel 21 M10 long tail", 21 + 5 + 8.4 + 25},
		{"channel 41 M8 long tail", 41 + 5 + 6.8 + 25},
		{"channel 21 M8 long tail", 21 + 5 + 6.8 + 25},
		{"channel 41 M12 long tail", 41 + 5 + 10.8 + 25},
		{"channel 21 M12 long tail", 21 + 5 + 10.8 + 25},
		{"channel 41 nut inside", 41},
		{"channel 21 nut inside", 21},
		{"channel 41 M8 nut inside", 41},
		{"channel 21 M8 nut inside", 21},
		{"channel 41 M12 nut inside", 41},
		{"channel 21 M12 nut inside", 21},
		{"side bracket", 0},
		{"pipe clip", 0},
		{"strap", 0},
		{"wire", 0},
	} {
		h, ok := HangerByName(test.name)
		if !ok || h.Name != test.name || !near(h.Below(), test.want) {
			t.Errorf("HangerByName(%q) = %q, %v, %v below, want %v", test.name, h.Name, ok, h.Below(), test.want)
		}
		if h.Over != (test.want == 0) || h.Channel != strings.HasPrefix(test.name, "channel") {
			t.Errorf("%s: over %v, channel %v", test.name, h.Over, h.Channel)
		}
	}
	if got := (Hanger{Over: true, Parts: []Part{{Height: 50}}}).Below(); got != 0 {
		t.Errorf("a hanger over the service reaches %v under it, want 0", got)
	}
	if got := (Hanger{}).Below(); got != 0 {
		t.Errorf("a hanger without parts reaches %v under the service, want 0", got)
	}
}

// What the built-in hangers put inside a channel fits it: 2.5 + 2 + 8.4 + 1.5 = 14.4 of 21, the widest, a washer
// of 30, into 41 - 2 x 2.5 = 36.
func TestInsideFits(t *testing.T) {
	across, high := ChannelInside(0, 21)
	if across != 36 || high != 21 {
		t.Errorf("ChannelInside(0, 21) = %v, %v, want 36, 21", across, high)
	}
	held := 0
	for _, h := range Hangers() {
		sum, widest := 0.0, 0.0
		for _, p := range h.Parts {
			if p.Inside {
				sum += p.Height
				widest = max(widest, p.Width)
			}
		}
		if sum == 0 {
			continue
		}
		held++
		if !h.Channel || h.Parts[0].Inside {
			t.Fatalf("%s has parts inside and no channel first", h.Name)
		}
		across, high := ChannelInside(h.Parts[0].Width, h.Parts[0].Height)
		if sum > high || widest > across {
			t.Errorf("%s: parts of %v, the widest %v, in %v by %v", h.Name, sum, widest, across, high)
		}
		if h.Name == "channel 21 nut inside" && (!near(sum, 2.5+2+8.4+1.5) || widest != 30) {
			t.Errorf("%s: parts of %v, the widest %v, want 14.4 and 30", h.Name, sum, widest)
		}
	}
	if held != 6 {
		t.Errorf("%d built-in hangers with parts inside, want 6", held)
	}
}

// Rods and what they hang from.
func TestHangerRods(t *testing.T) {
	for _, test := range []struct {
		name string
		rods int
		rod  float64
		from string
	}{
		{"channel 41 M10", 2, 10, ""},
		{"channel 21 M12 long tail", 2, 12, ""},
		{"channel 41 M8 nut inside", 2, 8, ""},
		{"pipe clip", 1, 10, ""},
		{"strap", 1, 10, ""},
		{"wire", 1, 3, ""},
		{"side bracket", 0, 0, "wall"},
	} {
		h, ok := HangerByName(test.name)
		if !ok || h.Rods != test.rods || h.Rod != test.rod || h.From != test.from {
			t.Errorf("HangerByName(%q) = %d rods of %v from %q, want %d of %v from %q", test.name, h.Rods, h.Rod, h.From, test.rods, test.rod, test.from)
		}
	}
}

// Parts by what people call them.
func TestPartByName(t *testing.T) {
	for _, test := range []struct {
		name   string
		rod    float64
		height float64 // 0: not known
		width  float64
	}{
		{"nut M10", 0, 8.4, 16},
		{"Nut", 8, 6.8, 13},
		{"nut", 0, 8.4, 16},
		{"M12 hex nut", 8, 10.8, 18},
		{"lock nut M10", 0, 5, 16},
		{"washer M10", 0, 2, 20},
		{"large washer M10", 0, 2.5, 30},
		{"penny washer", 10, 2.5, 30},
		{"plate washer", 10, 5, 40},
		{"one thread", 10, 1.5, 10},
		{"strip 40x4", 10, 0, 0},
		{"", 10, 0, 0},
	} {
		p, ok := PartByName(test.name, test.rod)
		if ok != (test.height > 0) || p.Height != test.height || p.Width != test.width {
			t.Errorf("PartByName(%q, %v) = %+v, %v, want %v high, %v wide", test.name, test.rod, p, ok, test.height, test.width)
		}
	}
}

// Every name and alias belongs to one hanger, and every part carries its source.
func TestHangers(t *testing.T) {
	seen := map[string]string{}
	for _, h := range Hangers() {
		for _, name := range append([]string{h.Name}, h.Aliases...) {
			if other, twice := seen[squeeze(name)]; twice {
				t.Errorf("%q: name %q stands for %q too", h.Name, name, other)
			}
			seen[squeeze(name)] = h.Name
			if got, ok := HangerByName(strings.ToUpper(name)); !ok || got.Name != h.Name {
				t.Errorf("HangerByName(%q) = %q, %v, want %q", strings.ToUpper(name), got.Name, ok, h.Name)
			}
		}
		for _, p := range h.Parts {
			if p.Name == "" || !(p.Height > 0) || p.Source == "" || p.Provenance == "" {
				t.Errorf("%s: part %+v lacks something", h.Name, p)
			}
		}
		if h.Note == "" || len(h.Parts) == 0 && !h.Over {
			t.Errorf("%s: note %q, %d parts", h.Name, h.Note, len(h.Parts))
		}
	}
	for _, test := range []struct{ name, want string }{
		{"", ""},
		{"nothing", ""},
		{"channel 31", ""},
		{"channel", "channel 41 M10"},
		{"trapeze", "channel 41 M10"},
		{"Deep channel trapeze M10", "channel 41 M10"},
		{"deep channel", "channel 41 M10"},
		{"shallow channel", "channel 21 M10"},
		{"channel 41x41 M10", "channel 41 M10"},
		{"41 x 21 channel M8", "channel 21 M8"},
		{"41x41 M10", "channel 41 M10"},
		{"channel 41, nut inside", "channel 41 nut inside"},
		{"41x21 channel, nut inside", "channel 21 nut inside"},
		{"channel 41x41 M8 nut inside", "channel 41 M8 nut inside"},
		{"trapeze 21 M12 nut inside", "channel 21 M12 nut inside"},
		{"deep channel M10 untrimmed", "channel 41 M10 long tail"},
		{"pipe band", "strap"},
		{"Clip", "pipe clip"},
	} {
		if got, ok := HangerByName(test.name); got.Name != test.want || ok != (test.want != "") {
			t.Errorf("HangerByName(%q) = %q, %v, want %q", test.name, got.Name, ok, test.want)
		}
	}
	for _, test := range []struct{ name, want string }{
		{"", ""}, {"xylophone", ""}, {"chanel 41 M10", "channel 41 M10"}, {"side braket", "side bracket"},
	} {
		if got, ok := NearestHanger(test.name); got != test.want || ok != (test.want != "") {
			t.Errorf("NearestHanger(%q) = %q, %v, want %q", test.name, got, ok, test.want)
		}
	}
	h, _ := HangerByName("channel 41 M10")
	h.Parts[0].Height, h.Aliases[0] = 1000, "spoilt"
	if again, _ := HangerByName("channel 41 M10"); again.Parts[0].Height != 41 || again.Aliases[0] == "spoilt" {
		t.Error("HangerByName hands out its own table")
	}
}

// S and P as the facts have them, class by class and bin by bin.
func TestSeparationAgainstFacts(t *testing.T) {
	barriers := map[string]Barrier{
		"no electromagnetic barrier (or plastic)": NoBarrier,
		"open metallic containment (basket)":      OpenMetallic,
		"perforated metallic containment (tray)":  PerforatedMetallic,
		"solid metallic containment (trunking)":   SolidMetallic,
	}
	sForm := regexp.MustCompile(`^S class ([a-d]), (.*)$`)
	pForm := regexp.MustCompile(`^power cabling factor P, (?:(\d+) to (\d+)|over (\d+)) circuits`)
	s, p := 0, 0
	for _, row := range facts(t, "segregation.csv") {
		if m := sForm.FindStringSubmatch(row["item"]); m != nil {
			s++
			barrier, known := barriers[m[2]]
			sep, ok := Separation(m[1], barrier, 15) // P is 1
			want := number(t, row["value"])
			if !known || !ok || sep.S != want || sep.MM != want {
				t.Errorf("Separation(%q, %v, 15) = S %v, %v mm, %v, want %v", m[1], barrier, sep.S, sep.MM, ok, want)
			}
			if sep.Sure != strings.HasPrefix(row["provenance"], "confirmed") || !strings.Contains(sep.Provenance, strings.Split(row["provenance"], ":")[0]) {
				t.Errorf("Separation(%q, %v): sure %v, %q, want the standing of %q", m[1], barrier, sep.Sure, sep.Provenance, row["provenance"])
			}
		}
		if m := pForm.FindStringSubmatch(row["item"]); m != nil {
			p++
			var circuits []float64
			if m[3] != "" {
				over := number(t, m[3])
				circuits = []float64{over + 1, over + 0.5, 1e6}
			} else {
				from, to := number(t, m[1]), number(t, m[2])
				circuits = []float64{from, (from + to) / 2, to}
			}
			for _, n := range circuits {
				sep, ok := Separation("b", NoBarrier, n)
				if want := number(t, row["value"]); !ok || sep.P != want {
					t.Errorf("Separation(b, none, %v): P = %v, %v, want %v", n, sep.P, ok, want)
				}
			}
		}
		if row["item"] == "UK minimum power to telecom without divider" && number(t, row["value"]) != UKMinimum {
			t.Errorf("UKMinimum = %v, want %s", UKMinimum, row["value"])
		}
	}
	if s != 4*4 || p != 10 {
		t.Errorf("%d values of S and %d of P compared, want 16 and 10", s, p)
	}
}

func TestSeparation(t *testing.T) {
	for _, test := range []struct {
		class    string
		barrier  Barrier
		circuits float64
		want     float64
		ok       bool
	}{
		{"", NoBarrier, 1, 0, false},
		{"e", NoBarrier, 1, 0, false},
		{"b", -1, 1, 0, false},
		{"b", SolidMetallic + 1, 1, 0, false},
		{"b", NoBarrier, 0, 0, false},
		{"b", NoBarrier, -1, 0, false},
		{"b", NoBarrier, math.NaN(), 0, false},
		{"b", NoBarrier, math.Inf(1), 0, false},
		{"B", OpenMetallic, 12, 60, true}, // 75 x 0.8 = 60, not 61
		{"class b", NoBarrier, 20, 200, true},
		{"c", OpenMetallic, 5, 16, true},    // 38 x 0.4 = 15.2
		{"d", OpenMetallic, 1, 2, true},     // 8 x 0.2 = 1.6
		{"b", OpenMetallic, 80, 450, true},  // 75 x 6; the source misprints 400
		{"b", SolidMetallic, 1000, 0, true}, // nothing asked
		{"b", NoBarrier, 3 * 4, 80, true},   // 63 A three-phase: 3 x ceil(63/20) circuits
		{"b", NoBarrier, 3.5, 40, true},     // more than three: the next bin
		{"b", NoBarrier, 0.5, 20, true},
		{"a", NoBarrier, 15, 300, true},
	} {
		got, ok := Separation(test.class, test.barrier, test.circuits)
		if got.MM != test.want || ok != test.ok {
			t.Errorf("Separation(%q, %v, %v) = %v, %v, want %v, %v", test.class, test.barrier, test.circuits, got.MM, ok, test.want, test.ok)
		}
		if ok && (got.Source == "" || got.Provenance == "" || math.Signbit(got.MM)) {
			t.Errorf("Separation(%q, %v, %v) = %+v lacks something", test.class, test.barrier, test.circuits, got)
		}
	}
	// Every product is rounded up by less than 1.
	for class := range separations {
		for b := NoBarrier; b <= SolidMetallic; b++ {
			for n := 1.0; n <= 80; n++ {
				sep, _ := Separation(class, b, n)
				if d := sep.MM - sep.S*sep.P; d < -1e-9 || d >= 1 || sep.MM != math.Trunc(sep.MM) {
					t.Errorf("Separation(%q, %v, %v) = %v from %v x %v", class, b, n, sep.MM, sep.S, sep.P)
				}
			}
		}
	}
}

func TestBarrierByName(t *testing.T) {
	for _, test := range []struct {
		name string
		want Barrier
		ok   bool
	}{
		{"", NoBarrier, false},
		{"beam", NoBarrier, false},
		{"none", NoBarrier, true},
		{"plastic", NoBarrier, true},
		{"ladder", NoBarrier, true},
		{"plastic trunking", NoBarrier, true},
		{"basket", OpenMetallic, true},
		{"Tray", PerforatedMetallic, true},
		{"trunking", SolidMetallic, true},
		{"conduit", SolidMetallic, true},
	} {
		if got, ok := barrierByName(test.name); got != test.want || ok != test.ok {
			t.Errorf("BarrierByName(%q) = %v, %v, want %v, %v", test.name, got, ok, test.want, test.ok)
		}
	}
}

// The worked examples of the facts that the tables alone answer. Each compares what the program says with
// the text of the row, so that neither can change unseen.
func TestWorkedExamples(t *testing.T) {
	hanger := func(name string) float64 {
		h, ok := HangerByName(name)
		if !ok {
			t.Fatalf("no hanger %q", name)
		}
		return h.Below()
	}
	apart := func(class string, b Barrier, circuits float64) float64 {
		s, ok := Separation(class, b, circuits)
		if !ok {
			t.Fatalf("no separation for %s, %v, %v", class, b, circuits)
		}
		return s.MM
	}
	od := func(dn float64, standard string) float64 {
		p, ok := PipeByDN(dn, standard)
		if !ok {
			t.Fatalf("no DN%v of %q", dn, standard)
		}
		return p.OD
	}
	g := func(v float64) string { return strconv.FormatFloat(math.Round(v*100)/100, 'f', -1, 64) }
	answers := map[string]string{
		"7": fmt.Sprintf("%s (M8), %s (M10); 21 channel M10: %s", g(hanger("channel 41 M8")), g(hanger("channel 41 M10")), g(hanger("channel 21 M10"))),
		"9": fmt.Sprintf("%s vs %s", g(od(150, "")+2*50), g(od(150, "EN 10255")+2*50)),
		"12": fmt.Sprintf("A = %s; with UK 50 mm minimum: max(60,50)=%s",
			g(apart("b", OpenMetallic, 12)), g(max(apart("b", OpenMetallic, 12), UKMinimum))),
		"13": fmt.Sprintf("%s; %s", g(apart("b", OpenMetallic, 80)), g(apart("b", NoBarrier, 20))),
	}
	notes := map[string]string{
		"7": "with 25 tail M10: " + g(hanger("channel 41 M10 long tail")),
		"12": fmt.Sprintf("5 circuits class c basket: 38x0.4=15.2 -> round up %s -> governed by %s",
			g(apart("c", OpenMetallic, 5)), g(max(apart("c", OpenMetallic, 5), UKMinimum))),
	}
	done := 0
	for _, row := range facts(t, "worked_examples.csv") {
		if want, ok := answers[row["no"]]; ok {
			done++
			if row["expected"] != want {
				t.Errorf("example %s: the tables give %q; give %q", row["no"], want, row["expected"])
			}
		}
		if want, ok := notes[row["no"]]; ok && row["note"] != want {
			t.Errorf("example %s: the tables give %q, the note says %q", row["no"], want, row["note"])
		}
	}
	if done != len(answers) {
		t.Errorf("%d of %d examples found", done, len(answers))
	}
}

// The distance agrees with the plain recursive definition of it.
func TestDistance(t *testing.T) {
	var plain func(a, b string) int
	plain = func(a, b string) int {
		if a == "" || b == "" {
			return len(a) + len(b)
		}
		if a[0] == b[0] {
			return plain(a[1:], b[1:])
		}
		return 1 + min(plain(a[1:], b), plain(a, b[1:]), plain(a[1:], b[1:]))
	}
	all := []string{"", "a", "b", "ab", "ba", "abc", "acb", "cab", "aabb", "abab", "bbaa", "406x178", "460x178", "ub406", "uc460"}
	for _, a := range all {
		for _, b := range all {
			for limit := range 8 {
				if got, want := distance([]rune(a), []rune(b), limit), min(plain(a, b), limit); got != want {
					t.Errorf("distance(%q, %q, %d) = %d, want %d", a, b, limit, got, want)
				}
			}
		}
	}
}
