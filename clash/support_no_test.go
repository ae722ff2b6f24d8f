package clash_test

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"voidline/clash"
	"voidline/clash/finding"
	"voidline/io/table"
	"voidline/void"
)

// A finding about a support carries whose it is and its number. Tray T, 3300 long, has supports 300, 1650 and 3000 from its start, at
// x 800, 2150 and 3500; a duct 300 wide is put round each of them. In frame F row A, the first by id, tells the supports of all; B of the upper tier
// has none of its own, and what carries it comes down to 2990 - 55.9 = 2934.1, into A up to 2960.
func TestFindingCarriesItsSupport(t *testing.T) {
	p := openText(t, map[string]string{
		"bays.csv": "bay,x1,y1,x2,y2,soffit,ceiling\nB,0,0,9000,9000,3600,2400\n",
		"tray.csv": "id,kind,x1,y1,x2,y2,size,level,hanger,frame,tier\n" +
			"T,tray,500,1000,3800,1000,300x60,2900,channel 41 M10,,\n" +
			"A,tray,500,5000,3800,5000,300x60,2900,channel 41 M10,F,1\n" +
			"B,tray,500,5000,3800,5000,300x60,2990,channel 41 M10,F,2\n",
		"duct.csv": "id,kind,x1,y1,x2,y2,size,level\nD,duct,800,400,800,1600,300x30,2845\n",
	})
	wantNo(t, p, "supports of T / D: T 1", "supports of B / A: A 1")
	for at, want := range map[string]string{"2150": "supports of T / D: T 2", "3500": "supports of T / D: T 3"} {
		if _, pr := p.EditCells("D", []void.CellText{{Column: "x1", Text: at}, {Column: "x2", Text: at}}); pr != nil {
			t.Fatal(pr)
		}
		wantNo(t, p, want, "supports of B / A: A 1")
	}
}

// wantNo checks what findings of supports a project has, each with the support that it is of, and that this one is where the finding says.
func wantNo(t *testing.T, p *void.Project, want ...string) {
	t.Helper()
	c := clash.Open(p, clash.Options{Rules: supportsOnly()})
	res, err := c.Findings(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	got := map[string]bool{}
	for i := range res.Findings {
		f := &res.Findings[i]
		if f.AKind != "support" {
			continue
		}
		if f.SupportNo == nil || f.B == nil {
			t.Fatalf("%s: %+v has no number", f.ID, f)
		}
		got[fmt.Sprintf("%s / %s: %s %d", f.A, *f.B, f.SupportNo.Row, f.SupportNo.Number)] = true
		row, _ := p.ZoneByID(f.SupportNo.Row)
		list := c.SupportPlan().Zone(row)
		s := list[f.SupportNo.Number-1]
		if h := f.Support; h != nil && (h.At-s.At > 0.05 || s.At-h.At > 0.05 || h.Of != len(list)) {
			t.Errorf("%s: support %d stands at %v, the finding is at %v of %d", f.A, s.N, s.At, h.At, h.Of)
		}
	}
	if len(got) != len(want) {
		t.Errorf("%d findings %v, want %q", len(got), got, want)
	}
	for _, w := range want {
		if !got[w] {
			t.Errorf("%v, want %q", got, w)
		}
	}
}

// Every finding of supports of the demo has one, and drawings find it by that.
func TestDemoFindingsCarryTheirSupports(t *testing.T) {
	p, err := table.Open(context.Background(), demoFolder, table.Options{})
	if err != nil {
		t.Fatal(err)
	}
	c := clash.Open(p, clash.Options{Touch: 1})
	res, err := c.Findings(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	about := 0
	for i := range res.Findings {
		if f := &res.Findings[i]; strings.HasPrefix(f.A, "supports of ") != (f.SupportNo != nil) {
			t.Errorf("%s: %s has support %v", f.ID, f.A, f.SupportNo)
		} else if f.SupportNo != nil {
			about++
		}
	}
	nos := finding.SupportNos(res.Findings)
	if about < 5 || len(nos) > about {
		t.Errorf("%d findings are about supports, %d supports", about, len(nos))
	}
	if seen := c.SupportPlan().FromAbove(nos); len(seen) != len(nos) {
		t.Errorf("%d of %d are drawn", len(seen), len(nos))
	}
	if seen := c.SupportPlan().FromAbove([]finding.SupportNo{{Row: "nobody", Number: 1}, {Row: nos[0].Row, Number: 99}}); len(seen) != 0 {
		t.Errorf("supports that do not stand are drawn: %v", seen)
	}
}
