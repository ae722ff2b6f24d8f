package section_test

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"

	"voidline/clash"
	"voidline/clash/finding"
	"voidline/clash/support"
	"voidline/io/table"
	"voidline/reports/draw"
	"voidline/reports/draw/look"
	"voidline/reports/internal/svgread"
	"voidline/reports/section"
	"voidline/reports/words"
	"voidline/void"
	"voidline/void/body"
)

func open(t testing.TB, dir string, opt table.Options) (*void.Project, *clash.Check, *finding.Result) {
	t.Helper()
	p, err := table.Open(context.Background(), dir, opt)
	if err != nil {
		t.Fatal(err)
	}
	if len(p.Problems) > 0 {
		t.Fatal(p.Problems)
	}
	ch := clash.Open(p, clash.Options{Touch: 1})
	res, err := ch.Findings(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	return p, ch, res
}

// input cuts a bay by a plane and marks a finding, nil for none.
func input(t testing.TB, p *void.Project, ch *clash.Check, bay int, plane body.Plane, f *finding.Finding) section.Input {
	t.Helper()
	cut, ok := p.Section(bay, plane, 300)
	if !ok {
		t.Fatalf("the plane misses bay %s", p.Bays[bay].Label)
	}
	in := section.Input{Project: p, View: clash.View{Cut: cut, StackAt: cut.Inside.Center()}, Finding: f}
	if f != nil {
		in.StackAt = plane.Along(r3.Vector{X: f.At.X, Y: f.At.Y})
		if d, ok := ch.Between(f); ok {
			in.Between = &d
		}
	}
	at := plane.Point(in.StackAt, 0)
	s := ch.StackOver(bay, r2.Point{X: at.X, Y: at.Y})
	in.Stack = &s
	return in
}

func read(t testing.TB, d *draw.Drawing) *svgread.File {
	t.Helper()
	var b bytes.Buffer
	if err := draw.SVG(&b, d, draw.SVGOptions{Prefix: "s"}); err != nil {
		t.Fatal(err)
	}
	f, err := svgread.Read(&b)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// outside returns how far a point lies from the surface of a body, negative inside: in the body's own axes,
// not by the measures that made the drawing.
func outside(b body.Body, v r3.Vector) float64 {
	q := v.Sub(b.Centre)
	if b.Round {
		l := b.Along.Norm()
		a := b.Along.Mul(1 / l)
		t := q.Dot(a)
		return math.Max(q.Sub(a.Mul(t)).Norm()-b.W, math.Abs(t)-l)
	}
	l := math.Hypot(b.Along.X, b.Along.Y)
	x := (q.X*b.Along.X + q.Y*b.Along.Y) / l
	y := q.X*b.Across.X + q.Y*b.Across.Y
	z := q.Z - b.Along.Z*x/l
	return math.Max(math.Max(math.Abs(x)-l, math.Abs(y)-b.W), math.Abs(z)-b.H)
}

func area(lines [][]r2.Point) float64 {
	sum := 0.0
	for _, l := range lines {
		for i := range l {
			sum += l[i].Cross(l[(i+1)%len(l)]) / 2
		}
	}
	return math.Abs(sum)
}

// TestReadBack draws sections, reads the SVG back, and holds every outline against the body that it shows: each
// point lies on the body's surface and in the plane to within 0.02 mm (0.01 of rounding, 0.005 of curve), and the
// outline's area is that of the cut.
func TestReadBack(t *testing.T) {
	var projects []string
	for _, dir := range []string{"../../testdata/demo", "../../cmd/voidline/starter", clinic()} {
		if dir != "" {
			projects = append(projects, dir)
		}
	}
	for _, dir := range projects {
		p, ch, res := open(t, dir, table.Options{})
		outlines, points, whole, round := 0, 0, 0, 0
		worst := 0.0
		for i := range p.Bays {
			if i >= 25 {
				break
			}
			b := &p.Bays[i]
			planes := []body.Plane{b.AcrossX(b.Plan.X.Lo + 0.37*b.Plan.X.Length()), b.AcrossY(b.Plan.Y.Lo + 0.61*b.Plan.Y.Length())}
			c := b.Plan.Center()
			planes = append(planes, body.Plane{At: c, Dir: r2.Point{X: 0.8, Y: 0.6}})
			var fs []*finding.Finding
			for range planes {
				fs = append(fs, nil)
			}
			if f, ok := finding.Worst(res.Findings, b.Label); ok {
				if bay, pl, ok := ch.PlaneThrough(&f); ok && bay == i {
					planes, fs = append(planes, pl), append(fs, &f)
				}
			}
			for k, plane := range planes {
				in := input(t, p, ch, i, plane, fs[k])
				d := section.Draw(in, section.Options{})
				f := read(t, d)
				ffl := p.Storeys[b.Storey].FFL
				if f.Scale != d.Scale || math.Abs(f.ViewBox[2]/f.Scale-d.W) > 0.01 {
					t.Errorf("bay %s: the SVG is %v wide at 1:%v, want %v", b.Label, f.ViewBox[2], f.Scale, d.W*d.Scale)
				}
				for _, l := range []struct {
					id    string
					level float64
					is    bool
				}{{"s-soffit", b.Soffit - ffl, true}, {"s-ceiling", b.Ceiling - ffl, b.HasCeiling}, {"s-buildup", b.Top - ffl, b.HasCeiling && b.Top > b.Ceiling}} {
					s, there := f.Shapes[l.id]
					if there != l.is || l.is && math.Abs(-s.Lines[0][0].Y-l.level) > 0.006 {
						t.Errorf("bay %s: %s at %v, want %v (%v)", b.Label, l.id, s.Lines, l.level, l.is)
					}
				}
				for j := range in.Cut.Pieces {
					q := &in.Cut.Pieces[j]
					z := p.Zone(q.Zone)
					for part, x := range map[string]struct {
						cut  *body.Section
						body body.Body
					}{"b": {q.Bare, z.Bare()}, "f": {q.Full, z.Full()}} {
						if x.cut == nil {
							continue
						}
						s, there := f.Shapes[fmt.Sprintf("s-z%d%s", q.Zone, part)]
						if !there {
							continue // beside the bay, or below what is shown
						}
						outlines++
						if x.body.Round {
							round++
						}
						if !strings.HasPrefix(s.Title, z.ID+":") {
							t.Errorf("%s is titled %q", z.ID, s.Title)
						}
						r := r2.EmptyRect()
						for _, l := range s.Lines {
							for _, v := range l {
								r = r.AddPoint(v)
								off := outside(x.body, plane.Point(v.X, -v.Y+ffl))
								points++
								worst = math.Max(worst, math.Abs(off))
								if math.Abs(off) > 0.02 {
									t.Errorf("%s, bay %s: %s%s has a point %v from its surface", dir, b.Label, z.ID, part, off)
								}
							}
						}
						// Where the window does not cut it, all of it is there.
						own := r2.RectFromPoints(x.cut.Outline...)
						if len(s.Lines) == 1 && own.X.Lo >= in.Cut.Shown.Lo && own.X.Hi <= in.Cut.Shown.Hi && math.Abs(r.Y.Length()-own.Y.Length()) < 0.05 {
							whole++
							if want, hold := x.cut.Area(), 0.02*2*(own.X.Length()+own.Y.Length()); math.Abs(area(s.Lines)-want) > hold {
								t.Errorf("%s, bay %s: %s%s has %v mm², want %v", dir, b.Label, z.ID, part, area(s.Lines), want)
							}
						}
					}
				}
				if fs[k] != nil {
					if _, there := f.Shapes["s-finding"]; !there && in.Cut.Shown.Contains(in.StackAt) {
						t.Errorf("bay %s: finding %s is not marked", b.Label, fs[k].ID)
					}
				}
			}
		}
		t.Logf("%s: %d outlines (%d round), %d points, worst %.4f mm; %d whole", dir, outlines, round, points, worst, whole)
		if outlines < 5 || whole < 5 {
			t.Errorf("%s: too few outlines to mean anything", dir)
		}
	}
}

// clinic returns the folder of the real building, "" where it is not there.
func clinic() string {
	dir, err := filepath.Abs("../../../shared/realdata/clinic")
	if err != nil {
		return ""
	}
	if _, err := os.Stat(filepath.Join(dir, "bays.csv")); err != nil {
		return ""
	}
	return dir
}

// bad are names that a table may hold and a drawing must not trust.
var bad = []string{
	`<script>alert(1)</script>`, `A & B "quoted"`, "Tŷ-Gŵyr", "Łódź", "風管", "🔧", "=1+1", strings.Repeat("x", 300),
}

// hostile is a bay full of bad names.
func hostile(t testing.TB) (*void.Project, *clash.Check, *finding.Result) {
	quote := func(s string) string { return `"` + strings.ReplaceAll(s, `"`, `""`) + `"` }
	rows := "id,trade,service,x1,y1,x2,y2,size,level\n"
	for i, n := range bad {
		rows += fmt.Sprintf("%s,%s,%s,0,%d,6000,%d,300x200,%d\n", quote(n), quote("trade "+bad[(i+1)%len(bad)]), quote(bad[(i+2)%len(bad)]), 500+280*i, 500+280*i, 2900+10*i)
	}
	fsys := fstest.MapFS{
		"bays.csv":     {Data: []byte("bay,x1,y1,x2,y2,soffit,ceiling,build-up\n" + quote(bad[0]) + ",A,1000,6000,5000,3600,2700," + quote(bad[1]) + "\n")},
		"grid.csv":     {Data: []byte("axis,label,position\nx,A,0\ny," + quote(bad[0]) + ",3000\n")},
		"buildups.csv": {Data: []byte("build-up,layer,thickness\n" + quote(bad[1]) + "," + quote(bad[0]) + ",50\n")},
		"zones.csv":    {Data: []byte(rows)},
	}
	return open(t, "p <b>", table.Options{FS: fsys})
}

// TestHostile draws a bay of names that nobody should trust, in every form and on every sheet.
func TestHostile(t *testing.T) {
	p, ch, res := hostile(t)
	if len(res.Findings) == 0 {
		t.Fatal("nothing was found")
	}
	f := res.Findings[0]
	bay, plane, ok := ch.PlaneThrough(&f)
	if !ok {
		t.Fatal("no plane")
	}
	for _, sheet := range []look.Sheet{{}, look.A4(), look.A3(), look.Phone()} {
		d := section.Draw(input(t, p, ch, bay, p.Bays[bay].AcrossX(3000), &f), section.Options{Sheet: sheet})
		got := read(t, d)
		for i, n := range bad {
			s, there := got.Shapes[fmt.Sprintf("s-z%d%s", i, "b")]
			if !there {
				continue // on a phone not all of the bay is seen
			}
			if !strings.HasPrefix(s.Title, n+":") {
				t.Errorf("%s: %q is titled %q", sheet.Name, n, s.Title)
			}
		}
		if sheet.Name != "phone" && len(got.Shapes) < len(bad) {
			t.Errorf("%s: only %d shapes", sheet.Name, len(got.Shapes))
		}
		var b bytes.Buffer
		if err := draw.PDF(&b, d, draw.PDFOptions{}); err != nil || !bytes.HasPrefix(b.Bytes(), []byte("%PDF-")) {
			t.Errorf("%s: PDF: %v", sheet.Name, err)
		}
		b.Reset()
		if err := draw.PNG(&b, d, draw.PNGOptions{Dots: 2}); err != nil {
			t.Errorf("%s: PNG: %v", sheet.Name, err)
		}
	}
	_ = plane
}

// TestOnTheSheet checks for every bay of the demo that no words leave the sheet, in the widths of the program's own
// fonts, and that the drawing is the same twice.
func TestOnTheSheet(t *testing.T) {
	p, ch, res := open(t, "../../testdata/demo", table.Options{})
	for i := range p.Bays {
		f, ok := finding.Worst(res.Findings, p.Bays[i].Label)
		if !ok {
			continue
		}
		bay, plane, ok := ch.PlaneThrough(&f)
		if !ok || bay != i {
			t.Fatalf("no plane through %s", f.ID)
		}
		for _, sheet := range []look.Sheet{{}, look.Phone()} {
			make := func() *draw.Drawing {
				return section.Draw(input(t, p, ch, i, plane, &f), section.Options{Sheet: sheet})
			}
			d := make()
			texts := 0
			for _, it := range d.Items {
				x, ok := it.(draw.Text)
				if !ok || x.Up {
					continue
				}
				texts++
				at, y := d.On(x.At)
				w := draw.Width(x.S, x.Size, x.Bold)
				switch x.Anchor {
				case draw.Middle:
					at -= w / 2
				case draw.End:
					at -= w
				}
				if at < 0 || at+w > d.W+0.01 || y < 0 || y > d.H {
					t.Errorf("bay %s, %s: %q stands from %.1f to %.1f at %.1f, the sheet is %.0f x %.0f", p.Bays[i].Label, sheet.Name, x.S, at, at+w, y, d.W, d.H)
				}
			}
			if texts < 15 {
				t.Errorf("bay %s: only %d texts", p.Bays[i].Label, texts)
			}
			var a, b bytes.Buffer
			if err := draw.SVG(&a, d, draw.SVGOptions{}); err != nil {
				t.Fatal(err)
			}
			if err := draw.SVG(&b, make(), draw.SVGOptions{}); err != nil {
				t.Fatal(err)
			}
			if !bytes.Equal(a.Bytes(), b.Bytes()) {
				t.Errorf("bay %s: two drawings differ", p.Bays[i].Label)
			}
		}
	}
}

// TestSupports draws the sections through what was found of supports: rods, channels and what is under them are there, on
// the surfaces of their bodies; of an overlap the shared space is black and lies in both.
func TestSupports(t *testing.T) {
	p, ch, res := open(t, "../../testdata/demo", table.Options{})
	plan := support.Of(p, support.Options{})
	drawn, shared := 0, 0
	for i := range res.Findings {
		f := &res.Findings[i]
		row, ok := words.SupportsOf(f)
		if !ok {
			continue
		}
		zone, ok := p.ZoneByID(row)
		if !ok {
			t.Errorf("%s: no row %q", f.ID, row)
			continue
		}
		g := *f
		g.A = row
		bay, plane, ok := ch.PlaneThrough(&g)
		if !ok {
			continue
		}
		in := input(t, p, ch, bay, plane, f)
		ffl := p.Storeys[p.Bays[bay].Storey].FFL
		bodies := map[string]body.Body{}
		for _, s := range plan.Zone(zone) {
			u := support.Cut{Zone: zone, N: s.N}
			for _, part := range s.Bodies(nil) {
				if c, ok := body.Cut(part.Body, plane); ok {
					u.Parts = append(u.Parts, support.CutPart{What: part.What, Cut: c})
					bodies[fmt.Sprintf("s-z%ds%dp%d", zone, s.N, len(u.Parts))] = part.Body
				}
			}
			if len(u.Parts) > 0 {
				in.Supports = append(in.Supports, u)
			}
		}
		d := section.Draw(in, section.Options{})
		file := read(t, d)
		own := 0
		for id, b := range bodies {
			s, there := file.Shapes[id]
			if !there {
				continue // beyond what is shown
			}
			own++
			if !strings.HasPrefix(s.Title, "support ") || !strings.Contains(s.Title, " of "+row+": ") {
				t.Errorf("%s is titled %q", id, s.Title)
			}
			for _, l := range s.Lines {
				for _, v := range l {
					if off := outside(b, plane.Point(v.X, -v.Y+ffl)); math.Abs(off) > 0.02 {
						t.Errorf("finding %s: %s has a point %v from its surface", f.ID, id, off)
					}
				}
			}
		}
		if own == 0 {
			t.Errorf("finding %s (%s / %v): no support is drawn", f.ID, f.A, f.B)
		}
		drawn++
		if f.Kind != finding.Overlap {
			continue
		}
		s, there := file.Shapes["s-shared"]
		if !there {
			t.Errorf("finding %s: what is shared is not black", f.ID)
			continue
		}
		shared++
		k, _ := p.ZoneByID(*f.B)
		for _, l := range s.Lines {
			for _, v := range l {
				at := plane.Point(v.X, -v.Y+ffl)
				in := false
				for _, b := range bodies {
					in = in || outside(b, at) < 0.02
				}
				if off := outside(p.Zone(k).Full(), at); !in || off > 0.02 {
					t.Errorf("finding %s: a shared point is %v outside %s, in a support: %v", f.ID, off, *f.B, in)
				}
			}
		}
	}
	t.Logf("%d sections, %d with shared space", drawn, shared)
	if shared < 3 {
		t.Error("too few findings of supports in the demo to mean anything")
	}
}

// TestFlagsKeepApart: words of flags that point right and left do not lie over each other, in no section of the demo and
// on no sheet.
func TestFlagsKeepApart(t *testing.T) {
	p, ch, res := open(t, "../../testdata/demo", table.Options{})
	for i := range res.Findings {
		f := &res.Findings[i]
		bay, plane, ok := ch.PlaneThrough(f)
		if !ok {
			continue
		}
		for _, sheet := range []look.Sheet{look.A4(), look.A3()} {
			d := section.Draw(input(t, p, ch, bay, plane, f), section.Options{Sheet: sheet})
			var boxes []r2.Rect
			var said []string
			for _, it := range d.Items {
				x, is := it.(draw.Text)
				if !is || x.Up || !strings.Contains(x.S, ", u/s ") {
					continue
				}
				ax, ay := d.On(x.At)
				w := draw.Width(x.S, x.Size, x.Bold)
				switch x.Anchor {
				case draw.Middle:
					ax -= w / 2
				case draw.End:
					ax -= w
				}
				b := r2.RectFromPoints(r2.Point{X: ax, Y: ay - 0.7*x.Size}, r2.Point{X: ax + w, Y: ay})
				for k, o := range boxes {
					if v := o.Intersection(b); !v.IsEmpty() && v.X.Length() > 0.3 && v.Y.Length() > 0.3 {
						t.Errorf("finding %s on %s: %q lies over %q", f.ID, sheet.Name, x.S, said[k])
					}
				}
				boxes, said = append(boxes, b), append(said, x.S)
			}
		}
	}
}
