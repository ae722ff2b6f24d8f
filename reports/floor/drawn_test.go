package floor_test

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/golang/geo/r2"

	"voidline/clash"
	"voidline/clash/setout"
	"voidline/io/table"
	"voidline/reports/draw"
	"voidline/reports/draw/look"
	"voidline/reports/floor"
)

func sheetOf(t testing.TB, dir string, files map[string]string) *floor.Sheet {
	t.Helper()
	var opt table.Options
	if files != nil {
		fs := fstest.MapFS{}
		for k, v := range files {
			fs[k] = &fstest.MapFile{Data: []byte(v)}
		}
		opt.FS = fs
	}
	p, err := table.Open(context.Background(), dir, opt)
	if err != nil {
		t.Fatal(err)
	}
	if len(p.Problems) > 0 {
		t.Fatal(p.Problems)
	}
	f, err := setout.Strike(p, clash.Open(p, clash.Options{Touch: clash.None, Once: true}), setout.FloorSettings{})
	if err != nil {
		t.Fatal(err)
	}
	return &floor.Sheet{Project: p, Floor: f}
}

const demo = "../../testdata/demo"

// crowded is a floor of n trays beside each other along 80 m, each through a downstand beam every 8 m: ten places a tray, so close to each other on
// paper that nothing beside them has room.
func crowded(n int, name string) map[string]string {
	bays := "bay,x1,y1,x2,y2,soffit,ceiling\n"
	steel := "id,kind,x1,y1,x2,y2,size,level\n"
	tray := "id,trade,kind,run,x1,y1,x2,y2,size,level\n"
	for k := range 10 {
		bays += fmt.Sprintf("B%d,%d,0,%d,%d,3600,2600\n", k, 8000*k, 8000*(k+1), 400*n)
		steel += fmt.Sprintf("S%d,beam,%d,0,%d,%d,200x1000,2600\n", k, 8000*k+4000, 8000*k+4000, 400*n)
	}
	for i := range n {
		tray += fmt.Sprintf("%s%d,containment,tray,%sr%d,500,%d,79500,%d,200x60,3000\n", name, i, name, i, 400*i+200, 400*i+200)
	}
	return map[string]string{"bays.csv": bays, "steel.csv": steel, "tray.csv": tray}
}

// said is a text of a drawing and what it covers of the sheet.
type said struct {
	draw.Text
	box r2.Rect
}

func texts(d *draw.Drawing) []said {
	var out []said
	for _, it := range d.Items {
		x, is := it.(draw.Text)
		if !is {
			continue
		}
		ax, ay := d.On(x.At)
		w, h := draw.Width(x.S, x.Size, x.Bold), 0.7*x.Size
		from := 0.0
		switch x.Anchor {
		case draw.Middle:
			from = -w / 2
		case draw.End:
			from = -w
		}
		box := r2.RectFromPoints(r2.Point{X: ax + from, Y: ay - h}, r2.Point{X: ax + from + w, Y: ay})
		if x.Up {
			box = r2.RectFromPoints(r2.Point{X: ax - h, Y: ay - from - w}, r2.Point{X: ax, Y: ay - from})
		}
		out = append(out, said{x, box})
	}
	return out
}

// Nothing is past the paper's edge, no words are over others, every place is drawn, has its number on the plan and in the list or is counted,
// and what to strike is in large letters.
func TestDrawn(t *testing.T) {
	for _, of := range []struct {
		name   string
		s      *floor.Sheet
		places int
	}{
		{"the demo", sheetOf(t, demo, nil), 8},
		{"one tray", sheetOf(t, "one", crowded(1, "T")), 10},
		{"crowded", sheetOf(t, "crowded", crowded(40, "T")), 400},
		{"long names", sheetOf(t, strings.Repeat("long", 60), crowded(2, strings.Repeat("Länge名", 30))), 20},
		{"no place", sheetOf(t, "clear", map[string]string{
			"bays.csv": "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,8000,3000,3600,2600\n",
			"tray.csv": "id,trade,kind,x1,y1,x2,y2,size,level\nT,containment,tray,500,1000,7500,1000,200x60,3000\n",
		}), 0},
	} {
		if n := len(of.s.Floor.Places); n != of.places {
			t.Errorf("%s: %d places, want %d", of.name, n, of.places)
		}
		for _, sheet := range []look.Sheet{look.A4(), look.A3(), look.Phone()} {
			d := of.s.Drawn(sheet)
			all := texts(d)
			large, counted := false, 0
			times := map[string]int{}
			for i, x := range all {
				if x.box.X.Lo < 2 || x.box.X.Hi > d.W-2 || x.box.Y.Lo < 2 || x.box.Y.Hi > d.H-2 {
					t.Errorf("%s, %s: %.40q at %v is past the edge of %g x %g", of.name, sheet.Name, x.S, x.box, d.W, d.H)
				}
				for _, o := range all[:i] {
					if v := x.box.Intersection(o.box); !v.IsEmpty() && v.X.Length() > 0.3 && v.Y.Length() > 0.3 {
						t.Errorf("%s, %s: %.40q is over %.40q at %v", of.name, sheet.Name, x.S, o.S, v)
					}
				}
				large = large || x.Size > 5 && strings.HasPrefix(x.S, "Strike datum")
				if _, err := fmt.Sscanf(x.S, "and %d more place", &counted); err != nil && x.Bold {
					times[x.S]++
				}
			}
			if !large {
				t.Errorf("%s, %s: what to strike is not in large letters", of.name, sheet.Name)
			}
			shown := of.places - counted
			if of.places > 0 && shown < 1 {
				t.Errorf("%s, %s: the list has no place", of.name, sheet.Name)
			}
			for i := range shown {
				if n := times[strconv.Itoa(i+1)]; n < 2 {
					t.Errorf("%s, %s: the number %d is there %d times, want on the plan and in the list", of.name, sheet.Name, i+1, n)
				}
			}
			boxes := 0
			for _, it := range d.Items {
				p, is := it.(draw.Path)
				if !is {
					continue
				}
				for _, s := range p.Steps {
					if x, y := d.On(s.End()); s.Op != draw.Close && (x < -0.01 || x > d.W+0.01 || y < -0.01 || y > d.H+0.01) {
						t.Errorf("%s, %s: a line reaches %.1f, %.1f", of.name, sheet.Name, x, y)
					}
				}
				if p.Fill == draw.Paper && p.Line == draw.Ink && p.Width == draw.Medium && len(p.Steps) == 5 && p.Steps[1].Op == draw.Line {
					boxes++
				}
			}
			if legend := 1; boxes < of.places+legend {
				t.Errorf("%s, %s: %d places are drawn, want %d", of.name, sheet.Name, boxes-legend, of.places)
			}
			var a, b bytes.Buffer
			if err := draw.SVG(&a, d, draw.SVGOptions{}); err != nil {
				t.Fatal(err)
			}
			if err := draw.SVG(&b, of.s.Drawn(sheet), draw.SVGOptions{}); err != nil {
				t.Fatal(err)
			}
			if !bytes.Equal(a.Bytes(), b.Bytes()) {
				t.Errorf("%s, %s: two drawings differ", of.name, sheet.Name)
			}
		}
	}
}

// What is drawn as on the line, off it and as places is the whole of every length; of the demo what stays on the line is less than what is clear
// on it, for TR1 never comes to it.
func TestStretches(t *testing.T) {
	f := sheetOf(t, demo, nil).Floor
	on, places := 0.0, 0
	for _, o := range f.Runs {
		at := 0.0
		for _, v := range f.Stretches(o) {
			if math.Abs(v.From-at) > 0.01 || v.To <= v.From {
				t.Errorf("%s: a stretch from %g to %g after %g", o.Run.Name, v.From, v.To, at)
			}
			at = v.To
			switch v.Is {
			case setout.OnIt:
				on += v.To - v.From
				if o.Run.Name == "TR1" {
					t.Errorf("TR1 is on the line from %g to %g", v.From, v.To)
				}
			case setout.AtPlace:
				places++
			}
		}
		if math.Abs(at-o.Run.Length) > 0.01 {
			t.Errorf("%s ends at %g of %g", o.Run.Name, at, o.Run.Length)
		}
	}
	if math.Abs(on-f.Kept()) > 0.01 || on >= f.Clear || on <= 0 {
		t.Errorf("%g on the line, Kept says %g, clear on it are %g", on, f.Kept(), f.Clear)
	}
	if places != len(f.Places) {
		t.Errorf("%d stretches are places, want %d", places, len(f.Places))
	}
}

// A run that branches comes in many lengths: its name stands once where they are together, and again where they are far away.
func TestNameOfARunThatBranches(t *testing.T) {
	tray := "id,trade,kind,run,x1,y1,x2,y2,size,level\nM,containment,tray,LV,500,4000,55500,4000,200x60,3000\n"
	for i := range 27 {
		tray += fmt.Sprintf("N%d,containment,tray,LV,%d,4000,%[2]d,%d,200x60,3000\n", i, 1000+2000*i, 500+7000*(i%2))
	}
	s := sheetOf(t, "branches", map[string]string{"bays.csv": "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,56000,8000,3600,2600\n", "tray.csv": tray})
	var at []r2.Point
	for _, x := range texts(s.Drawn(look.A4())) {
		if x.S == "LV" {
			at = append(at, x.box.Center())
		}
	}
	if len(at) == 0 || len(at) > 4 {
		t.Errorf("the name stands %d times", len(at))
	}
	for i, a := range at {
		for _, b := range at[:i] {
			if a.Sub(b).Norm() < 25 { // written beside lengths whose middles are 50 apart
				t.Errorf("twice, %.0f apart", a.Sub(b).Norm())
			}
		}
	}
}
