package setout_test

import (
	"bytes"
	"context"
	"encoding/csv"
	"fmt"
	"strings"
	"testing"

	"voidline/clash"
	"voidline/clash/setout"
	"voidline/io/table"
	"voidline/reports/draw"
	"voidline/reports/internal/golden"
	sheets "voidline/reports/setout"
	"voidline/reports/words"
	"voidline/void"
	"voidline/void/cell"
)

const three = "../../clash/setout/testdata/three"

func open(t *testing.T, dir string) (*void.Project, *clash.Check) {
	t.Helper()
	p, err := table.Open(context.Background(), dir, table.Options{})
	if err != nil || len(p.Problems) > 0 {
		t.Fatal(err, p.Problems)
	}
	return p, clash.Open(p, clash.Options{})
}

func sheetOf(t *testing.T, dir, run string) *sheets.Sheet {
	t.Helper()
	p, c := open(t, dir)
	runs, err := setout.Assemble(p, run, cell.Bottom)
	if err != nil {
		t.Fatal(err)
	}
	s := &sheets.Sheet{Project: p}
	if runs[0].Falls() {
		s.Fall = setout.SetFall(p, c, &runs[0], nil)
		return s
	}
	s.Answer = setout.SetOut(p, c, &runs[0], setout.Settings{Steps: setout.Steps{Straight: 100}})
	if s.Answer.Found {
		s.Supports = setout.SupportRun(p, s.Answer, setout.Hanging{Kerf: 2})
	}
	return s
}

func TestTextIsAsItWas(t *testing.T) {
	for _, run := range []string{"T1", "T2", "T3"} {
		for _, width := range []int{80, 120} {
			var b bytes.Buffer
			if err := sheets.Text(&b, sheetOf(t, three, run), width); err != nil {
				t.Fatal(err)
			}
			for i, l := range strings.Split(b.String(), "\n") {
				if words.Width(l) > width {
					t.Errorf("%s, line %d is wider than %d: %q", run, i+1, width, l)
				}
			}
			golden.Equal(t, fmt.Sprintf("%s-%d.txt", run, width), b.Bytes())
		}
	}
}

func TestCSVHasEveryRowWhole(t *testing.T) {
	s := sheetOf(t, three, "T2")
	var b bytes.Buffer
	if err := sheets.CSV(&b, s); err != nil {
		t.Fatal(err)
	}
	recs, err := csv.NewReader(&b).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	n := map[string]int{}
	for _, r := range recs[1:] {
		n[r[1]]++
	}
	if n["line"] != 3 || n["set"] != 2 || n["support"] != len(s.Supports.List) || n["part"] != len(s.Supports.Parts) {
		t.Errorf("rows %v: want 3 lines, 2 sets, %d supports, %d parts", n, len(s.Supports.List), len(s.Supports.Parts))
	}
}

func TestLevelsAsTextAndCSV(t *testing.T) {
	p, _ := open(t, three)
	var b bytes.Buffer
	if err := sheets.LevelsText(&b, setout.Levels(p), 80); err != nil {
		t.Fatal(err)
	}
	golden.Equal(t, "levels.txt", b.Bytes())
	b.Reset()
	if err := sheets.LevelsCSV(&b, setout.Levels(p)); err != nil {
		t.Fatal(err)
	}
	golden.Equal(t, "levels.csv", b.Bytes())
}

// Nothing on the drawn sheets stands past the paper's edge, and the answer in large figures is on the first.
func TestDrawnStaysOnThePaper(t *testing.T) {
	for _, of := range []struct{ dir, run, says string }{
		{three, "T1", "datum+2133"},
		{three, "T2", "datum+2175"},
		{three, "T3", "CANNOT BE DONE"},
		{"../../testdata/demo", "TR1", ""},
		{"../../testdata/demo", "CD1", ""},
	} {
		pages := sheets.Drawn(sheetOf(t, of.dir, of.run))
		said := false
		for i, d := range pages {
			for _, it := range d.Items {
				switch it := it.(type) {
				case draw.Text:
					x, y := d.On(it.At)
					w := draw.Width(it.S, it.Size, it.Bold)
					lo, hi := x, x+w
					switch it.Anchor {
					case draw.Middle:
						lo, hi = x-w/2, x+w/2
					case draw.End:
						lo, hi = x-w, x
					}
					if it.Up {
						lo, hi = x-it.Size, x
					}
					if lo < 2 || hi > d.W-2 || y > d.H-2 || y < 2 {
						t.Errorf("%s, sheet %d: %q at %.1f, %.1f stands past the edge", of.run, i+1, it.S, x, y)
					}
					said = said || i == 0 && it.Size > 8 && it.S == of.says
				case draw.Path:
					for _, s := range it.Steps {
						if s.Op == draw.Close {
							continue
						}
						if x, y := d.On(s.End()); x < 2 || x > d.W-2 || y < 2 || y > d.H-2 {
							t.Errorf("%s, sheet %d: a line reaches %.1f, %.1f", of.run, i+1, x, y)
						}
					}
				}
			}
		}
		if of.says != "" && !said {
			t.Errorf("%s: %q is not in large figures on the first sheet", of.run, of.says)
		}
		if len(pages) > 3 {
			t.Errorf("%s: %d sheets", of.run, len(pages))
		}
	}
}
