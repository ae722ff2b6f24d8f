package setout_test

import (
	"bytes"
	"context"
	"encoding/csv"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"

	"voidline/clash"
	"voidline/clash/setout"
	"voidline/clash/tolerance"
	"voidline/io/table"
	"voidline/reports/draw"
	"voidline/reports/internal/golden"
	"voidline/reports/internal/legible"
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
	return setOut(t, p, c, run)
}

func setOut(t *testing.T, p *void.Project, c *clash.Check, run string) []*sheets.Sheet {
	t.Helper()
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
			s.Next = s.Fall.NextTo(p, clash.Open(p, clash.Options{Touch: clash.None}))
			s.Supports = setout.SupportFall(p, clash.Open(p, clash.Options{Touch: clash.None}), s.Fall, setout.Hanging{Kerf: 2})
		} else if s.Answer.Found {
			s.Next = s.Answer.NextTo(p, clash.Open(p, clash.Options{Touch: clash.None}))
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
	if err := sheets.CSV(&b, []*sheets.Sheet{s}, nil, ','); err != nil {
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
		if err := sheets.CSV(&b, []*sheets.Sheet{s}, nil, ','); err != nil {
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
		{three, "T2", "datum+2185", 2}, // with drill points and what it passes
		{three, "T3", "CANNOT BE DONE", 1},
		{demo, "LD2", "datum+2185", 2},
		{demo, "SP2", "CANNOT BE DONE", 1},
		{demo, "TR1", "", 2}, // with two lines of headline
		{demo, "BR1", "", 1},
		{demo, "CD1", "", 4}, // three lengths
		{demo, "LTHW-F", "CANNOT BE DONE", 2},
		{demo, "DT1", "CANNOT BE DONE", 1},
		{frame, "P", "", 1},
		{frame, "D", "", 1},
		{frame, "W", "RUNS OUT OF DEPTH", 1},
	} {
		all := sheetsOf(t, of.dir, of.run)
		pages := sheets.Drawn(all, nil)
		if len(pages) > of.pages {
			t.Errorf("%s: %d sheets, want %d", of.run, len(pages), of.pages)
		}
		said := false
		for i, d := range append(pages, sheets.Strip(all, nil)) {
			for _, l := range legible.Faults(d) {
				t.Errorf("%s, sheet %d: %s", of.run, i+1, l)
			}
			for _, it := range d.Items {
				if it, is := it.(draw.Text); is {
					said = said || i == 0 && it.Size > 8 && it.S == of.says
				}
			}
		}
		if of.says != "" && !said {
			t.Errorf("%s: %q is not in large figures on the first sheet", of.run, of.says)
		}
	}
}

var randomSheets = flag.Int("setout.sheets", 500, "random floors of TestLabelsOfRandomSheets")

// On random sheets no label stands over another or past the paper's edge: runs of 0.4 to 60 m, level, falling, stepped, impossible, in several lengths, on
// frames, under beams as near as a metre, with long names, with and without a grid and ceilings.
func TestLabelsOfRandomSheets(t *testing.T) {
	found, sets, blocked, falls, beams := 0, 0, 0, 0, 0
	for seed := range *randomSheets {
		rng := rand.New(rand.NewPCG(uint64(seed), 13))
		n := func(lo, hi int) int { return lo + rng.IntN(hi-lo+1) }
		long := []int{n(8, 24) * 100, n(2, 12) * 1000, n(12, 60) * 1000}[rng.IntN(3)]
		name := []string{"R", "LV power containment east riser to core B", "CT-0017"}[rng.IntN(3)]
		var bays, steel, ducts, tray, grid strings.Builder
		bays.WriteString("bay,x1,y1,x2,y2,soffit,ceiling\n")
		bay := n(3, 12) * 1000
		for k := 0; k*bay < long+1000; k++ {
			ceiling := "none"
			if rng.IntN(4) > 0 {
				ceiling = strconv.Itoa(n(24, 28) * 100)
			}
			fmt.Fprintf(&bays, "%s %d,%d,0,%d,8000,%d,%s\n", []string{"B", "Bay of the long corridor"}[rng.IntN(2)], k, k*bay, (k+1)*bay, n(33, 38)*100, ceiling)
		}
		grid.WriteString("axis,label,position\n")
		if rng.IntN(4) > 0 {
			for k := 0; k*bay < long+1000; k++ {
				fmt.Fprintf(&grid, "x,%c,%d\n", 'A'+k%26, k*bay)
				if k == 25 {
					break
				}
			}
			grid.WriteString("y,1,0\ny,2,8000\n")
		}
		steel.WriteString("id,kind,x1,y1,x2,y2,size,level\n")
		if rng.IntN(4) > 0 {
			apart := n(1, 9) * 1000
			for x, k := 300, 0; x < long; x, k = x+apart, k+1 {
				fmt.Fprintf(&steel, "%s%d,beam,%d,0,%[3]d,8000,%dx%d,%d\n", []string{"S", "SB-level 3-"}[rng.IntN(2)], k, x, n(1, 3)*100, n(2, 4)*100, n(29, 32)*100)
				beams++
			}
			if rng.IntN(2) == 0 {
				fmt.Fprintf(&steel, "W-wall,wall,%d,0,%[1]d,8000,100x1200,2400\n", long/2)
			}
		}
		ducts.WriteString("id,trade,x1,y1,x2,y2,size,level\n")
		for k := range n(0, 14) {
			x := n(0, long+200)
			fmt.Fprintf(&ducts, "%s%d,%s,%d,500,%[4]d,7500,%dx%d,%d\n", []string{"D", "extract duct number "}[rng.IntN(2)], k, []string{"ductwork", "pipework"}[rng.IntN(2)], x, n(1, 6)*100, n(1, 3)*100, n(255, 330)*10)
		}
		tray.WriteString("id,trade,kind,run,x1,y1,x2,y2,size,level,hanger,frame,tier,fall\n")
		hung := []string{"", "channel 41 M10", "channel 21 M10"}[rng.IntN(3)]
		switch rng.IntN(4) {
		case 0: // a frame of two
			fmt.Fprintf(&tray, "T1,containment,tray,%s,400,3000,%d,3000,300x60,2700,%s,F,1,\nT2,containment,tray,%[1]s up,400,3000,%[2]d,3000,300x60,2950,%[3]s,F,2,\n", name, long, hung)
		case 1: // it falls
			fmt.Fprintf(&tray, "T1,drainage,pipe,%s,400,3000,%d,3000,ø110,2900,%s,,,1 in %d\n", name, long, hung, n(40, 200))
		case 2: // it turns
			fmt.Fprintf(&tray, "T1,containment,tray,%s,400,3000,%d,3000,300x60,%d,%s,,,\nT2,containment,tray,%[1]s,%[2]d,3000,%[2]d,6000,300x60,%[3]d,%[4]s,,,\n", name, long, n(27, 30)*100, hung)
		default:
			fmt.Fprintf(&tray, "T1,containment,ladder,%s,400,3000,%d,3000,%dx100,%d,%s,,,\n", name, long, n(1, 6)*100, n(26, 31)*100, hung)
		}
		fs := fstest.MapFS{}
		for f, b := range map[string]*strings.Builder{"bays": &bays, "steel": &steel, "ducts": &ducts, "tray": &tray, "grid": &grid} {
			fs[f+".csv"] = &fstest.MapFile{Data: []byte(b.String())}
		}
		p, err := table.Open(context.Background(), "job", table.Options{FS: fs})
		if err != nil {
			t.Fatal(seed, err)
		}
		all := setOut(t, p, clash.Open(p, clash.Options{Touch: clash.None}), name)
		var lengths []setout.Ordered
		for _, s := range all {
			if s.Fall != nil {
				falls++
			} else if s.Answer.Found {
				found, sets = found+1, sets+len(s.Answer.Line.Steps)
			} else {
				blocked++
			}
			lengths = append(lengths, setout.Ordered{Answer: s.Answer, Fall: s.Fall, Supports: s.Supports, Joints: s.Joints})
		}
		built, err := setout.AsBuilt(context.Background(), p, lengths, clash.Options{Touch: clash.None, Tolerance: tolerance.WorstCase})
		if err != nil {
			t.Fatal(seed, err)
		}
		for i, s := range all {
			s.Tolerance, s.Doubts = built.Tolerance, built.Doubts[i]
		}
		order := setout.OrderFor(p, lengths)
		for i, d := range append(sheets.Drawn(all, order), sheets.Strip(all, order)) {
			for _, l := range legible.Faults(d) {
				t.Errorf("floor %d, page %d: %s", seed, i+1, l)
			}
		}
	}
	if t.Logf("%d found with %d sets, %d that cannot be done, %d that fall, %d beams", found, sets, blocked, falls, beams); found == 0 || sets == 0 || blocked == 0 || falls == 0 || beams == 0 {
		t.Error("too few kinds of sheets")
	}
}

// The ducts of SA1 in the demo are 600x300, 500x300 and 400x250: what is drawn of the run is as high as each where it is, and steps where they meet. Every edge of it
// is level, upright, or of its one set.
func TestDrawnStepsWhereTheSizeChanges(t *testing.T) {
	s := sheetOf(t, demo, "SA1")
	if len(s.Answer.Line.Steps) != 1 {
		t.Fatalf("%d sets", len(s.Answer.Line.Steps))
	}
	for _, it := range sheets.Drawn([]*sheets.Sheet{s}, nil)[0].Items {
		p, is := it.(draw.Path)
		if !is || p.Fill != draw.Ink || p.Line != draw.Ink || p.Width != draw.Medium || len(p.Steps) < 8 {
			continue
		}
		slanted, heights := 0, map[int]bool{}
		for i := 1; i < len(p.Steps) && p.Steps[i].Op == draw.Line; i++ {
			a, b := p.Steps[i-1].P[0], p.Steps[i].P[0]
			if math.Abs(a.X-b.X) > 0.01 && math.Abs(a.Y-b.Y) > 0.01 {
				slanted++
			}
			heights[int(math.Round(100*b.Y))] = true
		}
		if slanted != 2 || len(heights) < 5 { // two undersides, three tops
			t.Errorf("%d slanted edges at %d heights: %v", slanted, len(heights), p.Steps)
		}
		return
	}
	t.Error("no run is drawn")
}
