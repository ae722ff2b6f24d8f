package clash

import (
	"context"
	"encoding/csv"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"

	"voidline/clash/finding"
	"voidline/clash/measure"
	"voidline/clash/rules"
	"voidline/io/table"
	"voidline/void"
	"voidline/void/cell"
	"voidline/void/need"
)

// shared returns a folder of reference data beside the repository, and skips where it is not there.
func shared(t testing.TB, name string) string {
	t.Helper()
	dir := filepath.Join("..", "..", "shared", filepath.FromSlash(name))
	if _, err := os.Stat(dir); err != nil {
		need.Skip(t, "reference data %s is not beside this repository", name)
	}
	return dir
}

func openClinic(t testing.TB, opt Options) (*void.Project, *Check) {
	t.Helper()
	p, err := table.Open(context.Background(), shared(t, "realdata/clinic"), table.Options{})
	if err != nil {
		t.Fatal(err)
	}
	for _, pr := range p.Problems {
		t.Errorf("problem: %v", pr)
	}
	return p, Open(p, opt)
}

// The clinic is open building data (its source and licence stand beside it). Its truth was computed
// from the original meshes by a general collision library: which pairs of elements intersect, and how far
// apart the others are. With one rule, any to any around 3 mm (by so much the source's round ducts are
// shallower than their circles), every pair whose meshes intersect must be found or be excused as
// joined; and what is found although the meshes are clear must have a cause.
func TestClinicAgainstMeshes(t *testing.T) {
	rule := []rules.Rule{{Name: "3 around everything", Of: "any", To: "any", Side: cell.Around, Gap: 3, Basis: rules.Practice}}
	p, ch := openClinic(t, Options{Touch: None, Rules: rule})
	var mu sync.Mutex
	excused := map[[2]string]measure.Tie{}
	ch.spy = func(a, b int32, why measure.Tie) {
		mu.Lock()
		excused[idPair(p.Zone(int(a)).ID, p.Zone(int(b)).ID)] = why
		mu.Unlock()
	}
	res, err := ch.Findings(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	found := map[[2]string]*finding.Finding{}
	for i := range res.Findings {
		f := &res.Findings[i]
		if f.B != nil {
			found[idPair(f.A, *f.B)] = f
		}
	}
	hits, joined, missed := 0, 0, 0
	causes := map[string]int{}
	for _, r := range truth(t, "meshes.csv") {
		k := idPair(r[0], r[1])
		f, isFound := found[k]
		switch {
		case r[2] == "1" && isFound:
			hits++
		case r[2] == "1" && excused[k] != measure.NoTie:
			joined++
		case r[2] == "1":
			missed++
			t.Errorf("%s and %s: meshes intersect, but nothing was found", r[0], r[1])
		case isFound:
			d, err := strconv.ParseFloat(r[3], 64)
			if err != nil {
				t.Fatal(err)
			}
			why := cause(f, d)
			if why == "" {
				t.Errorf("%s and %s: found (%s, gap %.1f) although the meshes are %.1f apart, and no cause is known", r[0], r[1], f.Kind, f.Gap, d)
			}
			causes[why]++
		}
	}
	if hits == 0 {
		t.Error("no pair found: the comparison compared nothing")
	}
	if joined > 0 {
		t.Errorf("%d pairs of different trades excused as joined: no duct and no pipe ends at a light fitting or in steel", joined)
	}
	t.Logf("meshes that intersect: %d found, %d excused as joined, %d missed", hits, joined, missed)
	for _, w := range sorted(causes) {
		t.Logf("found though the meshes are clear: %4d %s", causes[w], w)
	}
}

func idPair(a, b string) [2]string {
	if b < a {
		a, b = b, a
	}
	return [2]string{a, b}
}

func sorted(m map[string]int) []string {
	var out []string
	for k := range m {
		out = append(out, k)
	}
	slices.Sort(out)
	return out
}

func truth(t testing.TB, name string) [][]string {
	t.Helper()
	f, err := os.Open(filepath.Join(shared(t, "realdata/clinic"), "truth", name))
	if err != nil {
		need.Skip(t, "no truth beside the data: %v", err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows[1:]
}

// cause says why two bodies are found although the meshes they were fitted to are apart by d mm: the
// body fills what the mesh leaves open.
func cause(f *finding.Finding, d float64) string {
	kinds := []string{f.AKind, f.BKind}
	switch {
	case d <= 3+1:
		return "within the 3 mm asked and the 1 mm to which vertices were rounded"
	case slices.Contains(kinds, "joist"):
		return "an open web joist, taken as its box"
	case slices.Contains(kinds, "duct fitting"):
		return "the box round a fitting"
	case slices.Contains(kinds, "diffuser"):
		return "the box round a diffuser, which is a cone or a neck under a plate"
	case slices.Contains(kinds, "light fitting"):
		return "the box round a light fitting"
	case slices.Contains(kinds, "terminal unit"):
		return "the box round a terminal unit"
	case slices.Contains(kinds, "beam"):
		return "the pocket between a beam's flanges"
	}
	return ""
}

// The commands' own rules on the same data: the answer is in seconds, names no zone twice under one id,
// and every number in it is finite.
func TestClinicWithOwnRules(t *testing.T) {
	p, ch := openClinic(t, Options{Touch: 1})
	res, err := ch.Findings(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	if res.Checked.Zones != 5571 && res.Checked.Zones < 5000 {
		t.Errorf("%d zones were checked, the tables hold about 5,600", res.Checked.Zones)
	}
	if len(p.Problems) > 0 {
		t.Errorf("%d problems", len(p.Problems))
	}
	seen := map[string]bool{}
	byRule := map[string]int{}
	for i := range res.Findings {
		f := &res.Findings[i]
		if seen[f.ID] {
			t.Errorf("finding %s is told twice", f.ID)
		}
		seen[f.ID] = true
		byRule[string(f.Kind)+" "+f.Rule+" "+strings.Join([]string{f.AKind, f.BKind}, "/")]++
		if f.Short <= 0 && f.Kind != finding.Access {
			t.Errorf("finding %s is short by %g", f.ID, f.Short)
		}
	}
	for _, k := range sorted(byRule) {
		t.Logf("%4d %s", byRule[k], k)
	}
}
