package setout_test

import (
	"bytes"
	"context"
	"encoding/csv"
	"fmt"
	"math"
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

const (
	three = "../../clash/setout/testdata/three"
	frame = "../../clash/setout/testdata/frame"
)

func open(t *testing.T, dir string) (*void.Project, *clash.Check) {
	t.Helper()
	p, err := table.Open(context.Background(), dir, table.Options{})
	if err != nil || len(p.Problems) > 0 {
		t.Fatal(err, p.Problems)
	}
	return p, clash.Open(p, clash.Options{Touch: clash.None})
}

// sheetsOf sets out all lengths of a run as the command does.
func sheetsOf(t *testing.T, dir, run string) []*sheets.Sheet {
	t.Helper()
	p, c := open(t, dir)
	runs, err := setout.Assemble(p, run, cell.Bottom)
	if err != nil {
		t.Fatal(err)
	}
	var all []*sheets.Sheet
	falls := make([]*setout.Fall, len(runs))
	for k := range runs {
		s := &sheets.Sheet{Project: p, Joints: setout.Joints(runs)[k], Lengths: &all}
		if len(runs) > 1 {
			s.Part = fmt.Sprintf("%d of %d", k+1, len(runs))
		}
		if runs[k].Falls() {
			s.Fall = setout.SetFall(p, c, &runs[k], nil, setout.Steps{})
			falls[k] = s.Fall
		} else {
			s.Answer = setout.SetOut(p, c, &runs[k], setout.Settings{Steps: setout.Steps{Straight: 100}})
		}
		all = append(all, s)
	}
	setout.Drain(p, runs, falls)
	for _, s := range all {
		if s.Fall != nil {
			s.Supports = setout.SupportFall(p, clash.Open(p, clash.Options{Touch: clash.None}), s.Fall, setout.Hanging{Kerf: 2})
		} else if s.Answer.Found {
			s.Supports = setout.SupportRun(p, clash.Open(p, clash.Options{Touch: clash.None}), s.Answer, setout.Hanging{Kerf: 2})
		}
	}
	return all
}

func sheetOf(t *testing.T, dir, run string) *sheets.Sheet {
	t.Helper()
	return sheetsOf(t, dir, run)[0]
}

const demo = "../../testdata/demo"

func TestTextIsAsItWas(t *testing.T) {
	for _, test := range []struct {
		dir, run string
		widths   []int
	}{
		{three, "T1", []int{60, 80, 120}},
		{three, "T2", []int{60, 80, 120}},
		{three, "T3", []int{60, 80, 120}},
		{demo, "LD2", []int{60}},
		{demo, "SP2", []int{60}},
		{demo, "CD1", []int{60, 80}},
		{frame, "P", []int{80}},
		{frame, "D", []int{80}},
		{frame, "W", []int{60}},
	} {
		for _, width := range test.widths {
			var b bytes.Buffer
			for _, s := range sheetsOf(t, test.dir, test.run) {
				if err := sheets.Text(&b, s, width); err != nil {
					t.Fatal(err)
				}
			}
			for i, l := range strings.Split(b.String(), "\n") {
				if words.Width(l) > width {
					t.Errorf("%s, line %d is wider than %d: %q", test.run, i+1, width, l)
				}
			}
			golden.Equal(t, fmt.Sprintf("%s-%d.txt", test.run, width), b.Bytes())
		}
	}
}

func TestCSVHasEveryRowWhole(t *testing.T) {
	s := sheetOf(t, three, "T2")
	var b bytes.Buffer
	if err := sheets.CSV(&b, []*sheets.Sheet{s}, ','); err != nil {
		t.Fatal(err)
	}
	recs, err := csv.NewReader(&b).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	n := map[string]int{}
	for _, r := range recs[1:] {
		n[r[2]]++
	}
	if n["line"] != 3 || n["set"] != 2 || n["support"] != len(s.Supports.List) || n["part"] != len(s.Supports.Parts) {
		t.Errorf("rows %v: want 3 lines, 2 sets, %d supports, %d parts", n, len(s.Supports.List), len(s.Supports.Parts))
	}
}

// What cannot be done says in the table too what stands there and what has to give; a frame's channels are rows.
func TestCSVOfWhatCannotBeDone(t *testing.T) {
	count := func(s *sheets.Sheet) map[string]int {
		var b bytes.Buffer
		if err := sheets.CSV(&b, []*sheets.Sheet{s}, ','); err != nil {
			t.Fatal(err)
		}
		recs, err := csv.NewReader(&b).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		n := map[string]int{}
		for _, r := range recs[1:] {
			n[r[2]]++
		}
		return n
	}
	s := sheetOf(t, demo, "SP2")
	if n := count(s); n["block"] != len(s.Answer.Blocks[0].Things) || n["give"] != len(s.Answer.Gives) || n["give"] == 0 || n["line"] != 0 {
		t.Errorf("SP2: %v", n)
	}
	if n := count(sheetOf(t, frame, "W")); n["block"] != 1 || n["line"] != 0 {
		t.Errorf("W: %v", n)
	}
	d := sheetOf(t, frame, "D")
	if n := count(d); n["channel"] != 2*len(d.Supports.List) || n["support"] != len(d.Supports.List) {
		t.Errorf("D: %v", n)
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
	if err := sheets.LevelsCSV(&b, setout.Levels(p), ','); err != nil {
		t.Fatal(err)
	}
	golden.Equal(t, "levels.csv", b.Bytes())
}

// Nothing on the drawn sheets stands past the paper's edge, no words stand over others, and the answer in large figures is
// on the first.
func TestDrawnStaysOnThePaper(t *testing.T) {
	for _, of := range []struct {
		dir, run, says string
		pages          int
	}{
		{three, "T1", "datum+2120", 1},
		{three, "T2", "datum+2185", 1},
		{three, "T3", "CANNOT BE DONE", 1},
		{demo, "LD2", "datum+2185", 1},
		{demo, "SP2", "CANNOT BE DONE", 1},
		{demo, "TR1", "", 2}, // with two lines of headline
		{demo, "BR1", "", 1},
		{demo, "CD1", "", 3},
		{demo, "LTHW-F", "CANNOT BE DONE", 2},
		{demo, "DT1", "CANNOT BE DONE", 1},
		{frame, "P", "", 1},
		{frame, "D", "", 1},
		{frame, "W", "RUNS OUT OF DEPTH", 1},
	} {
		all := sheetsOf(t, of.dir, of.run)
		pages := sheets.Drawn(all)
		if len(pages) > of.pages {
			t.Errorf("%s: %d sheets, want %d", of.run, len(pages), of.pages)
		}
		said := false
		for i, d := range append(pages, sheets.Strip(all)) {
			type words struct {
				s              string
				x0, x1, y0, y1 float64
			}
			var seen []words
			for _, it := range d.Items {
				switch it := it.(type) {
				case draw.Text:
					x, y := d.On(it.At)
					w := draw.Width(it.S, it.Size, it.Bold)
					lo, hi, up, down := x, x+w, y-0.7*it.Size, y
					switch it.Anchor {
					case draw.Middle:
						lo, hi = x-w/2, x+w/2
					case draw.End:
						lo, hi = x-w, x
					}
					if it.Up {
						lo, hi, up, down = x-0.7*it.Size, x, y-w/2, y+w/2
					}
					if lo < 2 || hi > d.W-2 || down > d.H-2 || up < 2 {
						t.Errorf("%s, sheet %d: %q at %.1f, %.1f stands past the edge", of.run, i+1, it.S, x, y)
					}
					for _, o := range seen {
						if math.Min(hi, o.x1)-math.Max(lo, o.x0) > 0.3 && math.Min(down, o.y1)-math.Max(up, o.y0) > 0.3 {
							t.Errorf("%s, sheet %d: %q stands over %q at %.1f, %.1f", of.run, i+1, it.S, o.s, x, y)
						}
					}
					seen = append(seen, words{it.S, lo, hi, up, down})
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
	}
}
