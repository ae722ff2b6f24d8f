package plan_test

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
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
	"voidline/reports/internal/legible"
	"voidline/reports/internal/svgread"
	"voidline/reports/plan"
	"voidline/reports/words"
	"voidline/void"
	"voidline/void/body"
	"voidline/void/need"
)

func open(t testing.TB, dir string, opt table.Options) (*void.Project, *finding.Result) {
	t.Helper()
	p, err := table.Open(context.Background(), dir, opt)
	if err != nil {
		t.Fatal(err)
	}
	if len(p.Problems) > 0 {
		t.Fatal(p.Problems)
	}
	res, err := clash.Open(p, clash.Options{Touch: 1}).Findings(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	return p, res
}

func read(t testing.TB, d *draw.Drawing) *svgread.File {
	t.Helper()
	var b bytes.Buffer
	if err := draw.SVG(&b, d, draw.SVGOptions{Prefix: "p"}); err != nil {
		t.Fatal(err)
	}
	f, err := svgread.Read(&b)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// TestReadBack reads plans back: every outline lies on the zone's, every finding is marked at its place or has a
// line from there, and its number stands in the list.
func TestReadBack(t *testing.T) {
	p, res := open(t, "../../testdata/demo", table.Options{})
	for bay := -1; bay < len(p.Bays); bay++ {
		d := plan.Draw(plan.Input{Project: p, Bay: bay, Findings: res.Findings, Numbers: finding.Numbers(res.Findings)}, plan.Options{})
		f := read(t, d)
		// The low corner of what is shown is the origin.
		lo := r2.EmptyRect()
		for i := range p.Bays {
			if bay < 0 || i == bay {
				lo = lo.Union(p.Bays[i].Plan)
			}
		}
		origin := lo.Lo().Sub(r2.Point{X: 400, Y: 400})
		show := lo.ExpandedByMargin(400)
		zones := 0
		for i := range p.Zones() {
			z := p.Zone(i)
			s, there := f.Shapes[fmt.Sprintf("p-z%d", i)]
			in := !z.ByHeight && show.InteriorIntersects(z.Bare().Plan())
			if there != in {
				t.Errorf("bay %d: %s is drawn: %v, want %v", bay, z.ID, there, in)
				continue
			}
			if !there {
				continue
			}
			zones++
			if !strings.HasPrefix(s.Title, z.ID+":") {
				t.Errorf("%s is titled %q", z.ID, s.Title)
			}
			for _, l := range s.Lines {
				for _, v := range l {
					q := origin.Add(r2.Point{X: v.X, Y: -v.Y})
					// The gap of the point, as an upright line, is nothing; and it is no deeper in than the outline may be.
					line := body.Cylinder(r3.Vector{X: q.X, Y: q.Y, Z: -1e6}, r3.Vector{X: q.X, Y: q.Y, Z: 1e6}, 0)
					if g := body.Gap(line, z.Bare()).MM; g > 0.02 {
						t.Errorf("bay %d: %s has a corner %v beside it", bay, z.ID, g)
					}
					edge := math.Min(math.Min(q.X-show.X.Lo, show.X.Hi-q.X), math.Min(q.Y-show.Y.Lo, show.Y.Hi-q.Y))
					if in := body.PlanOverlap(line, z.Bare()); in > 0.13 && edge > 0.02 {
						t.Errorf("bay %d: %s has a corner %v within it", bay, z.ID, in)
					}
				}
			}
		}
		var fs []*finding.Finding
		for i := range res.Findings {
			g := &res.Findings[i]
			if bay < 0 || g.Bay != nil && *g.Bay == p.Bays[bay].Label {
				fs = append(fs, g)
			}
		}
		problems := plan.Problems(fs, finding.Numbers(res.Findings))
		// A long list ends with how many it has no room for; they are numbered on the plan all the same.
		more := 0
		for _, x := range f.Texts {
			if strings.HasPrefix(x, "and ") && strings.Contains(x, "numbered on the plan") {
				if _, err := fmt.Sscanf(x, "and %d more", &more); err != nil || bay >= 0 || more > len(problems)/4 {
					t.Errorf("bay %d: %q of %d problems", bay, x, len(problems))
				}
			}
		}
		for k, q := range problems {
			g := q.Findings[0]
			s, there := f.Shapes["p-f-"+g.ID]
			if !there {
				t.Errorf("bay %d: %s is not marked", bay, g.ID)
				continue
			}
			// The tip of the bob is its first corner.
			tip := origin.Add(r2.Point{X: s.Lines[0][0].X, Y: -s.Lines[0][0].Y})
			if far := tip.Sub(r2.Point{X: g.At.X, Y: g.At.Y}).Norm() / d.Scale; far > 90 {
				t.Errorf("bay %d: %s is marked %.0f mm of paper from its place", bay, g.ID, far)
			}
			if !has(f.Texts, q.Number) {
				t.Errorf("bay %d: no number %s", bay, q.Number)
			}
			if k < len(problems)-more && !strings.Contains(strings.Join(f.Texts, "\n"), words.What(g)) {
				t.Errorf("bay %d: the list does not say %q", bay, words.What(g))
			}
		}
		if bay < 0 {
			t.Logf("%d zones, %d problems of %d findings", zones, len(problems), len(fs))
			if zones < 80 || len(problems) < 20 {
				t.Error("too few to mean anything")
			}
		}
	}
}

func has(list []string, s string) bool {
	for _, x := range list {
		if x == s {
			return true
		}
	}
	return false
}

// TestApart checks that marks do not stand over each other, and that words stay on the sheet.
func TestApart(t *testing.T) {
	p, res := open(t, "../../testdata/demo", table.Options{})
	for bay := -1; bay < len(p.Bays); bay++ {
		for _, sheet := range []look.Sheet{{}, look.A3(), look.Phone()} {
			d := plan.Draw(plan.Input{Project: p, Bay: bay, Findings: res.Findings, Numbers: finding.Numbers(res.Findings)}, plan.Options{Sheet: sheet})
			f := read(t, d)
			var boxes []r2.Rect
			for id, s := range f.Shapes {
				if strings.HasPrefix(id, "p-f-") {
					boxes = append(boxes, r2.RectFromPoints(s.Lines[0]...))
				}
			}
			for i := range boxes {
				for j := range i {
					if v := boxes[i].Intersection(boxes[j]); !v.IsEmpty() && v.X.Length() > 0.5*d.Scale && v.Y.Length() > 0.5*d.Scale {
						t.Errorf("bay %d, %s: two marks share %v", bay, sheet.Name, v)
					}
				}
			}
			for _, it := range d.Items {
				x, ok := it.(draw.Text)
				if !ok {
					continue
				}
				at, y := d.On(x.At)
				w := draw.Width(x.S, x.Size, x.Bold)
				if x.Up {
					w = 0
				}
				switch x.Anchor {
				case draw.Middle:
					at -= w / 2
				case draw.End:
					at -= w
				}
				if at < 0 || at+w > d.W+0.01 || y < 0 || y > d.H {
					t.Errorf("bay %d, %s: %q stands from %.1f to %.1f at %.1f, the sheet is %.0f x %.0f", bay, sheet.Name, x.S, at, at+w, y, d.W, d.H)
				}
			}
		}
	}
}

// TestCrowded draws the real building, with more findings than any sheet could number: each bay's number is told, and
// all together are all.
func TestCrowded(t *testing.T) {
	dir, err := filepath.Abs("../../../shared/realdata/clinic")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(filepath.Join(dir, "bays.csv")); err != nil {
		t.Skipf("the real building is not here: %v", err)
	}
	p, res := open(t, dir, table.Options{})
	for s := range p.Storeys {
		in := plan.Input{Project: p, Storey: s, Bay: -1, Findings: res.Findings, Numbers: finding.Numbers(res.Findings)}
		d := plan.Draw(in, plan.Options{})
		f := read(t, d)
		var fs []*finding.Finding
		for i := range res.Findings {
			if res.Findings[i].Storey == p.Storeys[s].Name {
				fs = append(fs, &res.Findings[i])
			}
		}
		problems := plan.Problems(fs, finding.Numbers(res.Findings))
		bays, outside := map[string]bool{}, 0
		for _, q := range problems {
			if b := q.Findings[0].Bay; b == nil {
				bays[""] = true
				outside++
			} else {
				bays[*b] = true
			}
		}
		if !has(f.Texts, fmt.Sprintf("%d problems in %d bays", len(problems), len(bays))) {
			t.Errorf("%s does not tell its %d problems", p.Storeys[s].Name, len(problems))
		}
		sum := outside // which have a cross each
		for _, x := range f.Texts {
			if n, err := strconv.Atoi(x); err == nil {
				sum += n
			}
		}
		if sum != len(problems) {
			t.Errorf("%s: the numbers written come to %d of %d problems", p.Storeys[s].Name, sum, len(problems))
		}
		var a, b bytes.Buffer
		if err := draw.SVG(&a, d, draw.SVGOptions{}); err != nil {
			t.Fatal(err)
		}
		if err := draw.SVG(&b, plan.Draw(in, plan.Options{}), draw.SVGOptions{}); err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(a.Bytes(), b.Bytes()) {
			t.Error("two drawings differ")
		}
		t.Logf("%s: %d problems, %d kB", p.Storeys[s].Name, len(problems), a.Len()/1000)
	}
}

// TestSheets draws a storey of the real building on as many sheets as it takes: each problem is marked on one sheet and listed on it, the key says on
// which, and nothing is left out.
func TestSheets(t *testing.T) {
	dir, err := filepath.Abs("../../../shared/realdata/clinic")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(filepath.Join(dir, "bays.csv")); err != nil {
		need.Skip(t, "the real building is not here: %v", err)
	}
	p, res := open(t, dir, table.Options{})
	numbers := finding.Numbers(res.Findings)
	for s := range p.Storeys {
		in := plan.Input{Project: p, Storey: s, Bay: -1, Findings: res.Findings, Numbers: numbers}
		var fs []*finding.Finding
		for i := range res.Findings {
			if res.Findings[i].Storey == p.Storeys[s].Name {
				fs = append(fs, &res.Findings[i])
			}
		}
		problems := plan.Problems(fs, numbers)
		sheets := plan.Sheets(in, plan.Options{})
		key := strings.Join(read(t, sheets[0]).Texts, " ")
		marked, listed := map[string]int{}, map[string]int{}
		for k, d := range sheets[1:] {
			f := read(t, d)
			var here []plan.Problem
			for _, q := range problems {
				if _, there := f.Shapes["p-f-"+q.Findings[0].ID]; !there {
					continue
				}
				marked[q.Number]++
				here = append(here, q)
				n := 0
				for _, x := range f.Texts {
					if x == q.Number {
						n++
					}
				}
				if n >= 2 { // on the plan and in the list
					listed[q.Number]++
				}
			}
			if want := fmt.Sprintf("Sheet %d: %s %s", k+2, words.Count(len(here), "problem", "problems"), plan.Ranges(here)); !strings.Contains(key, want) {
				t.Errorf("%s: the key does not say %q", p.Storeys[s].Name, want)
			}
			// The small plan in its strip shows which part it is: the places of its problems are in the black of it, and others are not.
			box := func(id string) r2.Rect {
				r := r2.EmptyRect()
				for _, l := range f.Shapes[id].Lines {
					r = r.Union(r2.RectFromPoints(l...))
				}
				return r
			}
			bays := r2.EmptyRect()
			for i := range p.Bays {
				if p.Bays[i].Storey == s {
					bays = bays.Union(p.Bays[i].Plan)
				}
			}
			storey, part := box("p-storey"), box("p-here")
			if storey.IsEmpty() || part.IsEmpty() {
				t.Errorf("%s, sheet %d does not say which part it is", p.Storeys[s].Name, k+2)
				continue
			}
			scale := storey.X.Length() / bays.X.Length()
			in := func(q plan.Problem) bool {
				at := q.Findings[0].At
				return part.ExpandedByMargin(0.3 * d.Scale).ContainsPoint(r2.Point{X: storey.X.Lo + scale*(at.X-bays.X.Lo), Y: storey.Y.Lo + scale*(bays.Y.Hi-at.Y)})
			}
			for _, q := range here {
				if !in(q) {
					t.Errorf("%s, sheet %d: problem %s is not in the part that its key plan shows", p.Storeys[s].Name, k+2, q.Number)
				}
			}
			if n := len(slices.DeleteFunc(slices.Clone(problems), func(q plan.Problem) bool { return !in(q) })); len(sheets) > 2 && n == len(problems) {
				t.Errorf("%s, sheet %d: its key plan shows all %d problems", p.Storeys[s].Name, k+2, n)
			}
			for _, x := range legible.Faults(d) {
				t.Errorf("%s, sheet %d: %s", p.Storeys[s].Name, k+2, x)
			}
			if d.Scale > 100 {
				t.Errorf("%s, sheet %d is 1:%v", p.Storeys[s].Name, k+2, d.Scale)
			}
		}
		for _, x := range legible.Faults(sheets[0]) {
			t.Errorf("%s, key: %s", p.Storeys[s].Name, x)
		}
		for _, q := range problems {
			if marked[q.Number] != 1 || listed[q.Number] != 1 {
				t.Errorf("%s: problem %s is marked on %d sheets and listed on %d, want 1", p.Storeys[s].Name, q.Number, marked[q.Number], listed[q.Number])
			}
		}
		t.Logf("%s: %d problems on %d sheets", p.Storeys[s].Name, len(problems), len(sheets))
	}
}

// TestRanges says numbers in a row by their ends.
func TestRanges(t *testing.T) {
	var ps []plan.Problem
	for _, n := range []string{"16", "3", "4", "5", "12", "14", "15", "20", "21"} {
		ps = append(ps, plan.Problem{Number: n})
	}
	if got, want := plan.Ranges(ps), "3 to 5, 12, 14 to 16, 20, 21"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}

// TestNothing draws a project without findings, without grid lines and with one zone of a bad name.
func TestNothing(t *testing.T) {
	name := `</text><script>alert("x")</script>`
	p, res := open(t, "p", table.Options{FS: fstest.MapFS{
		"bays.csv":     {Data: []byte("bay,x1,y1,x2,y2,soffit,ceiling\nB,0,0,6000,6000,3600,2700\n")},
		"ductwork.csv": {Data: []byte("id,x1,y1,x2,y2,size,level\n\"" + strings.ReplaceAll(name, `"`, `""`) + "\",0,3000,6000,3000,600x300,2900\n")},
	}})
	if len(res.Findings) != 0 {
		t.Fatalf("%d findings", len(res.Findings))
	}
	for _, sheet := range []look.Sheet{{}, look.Phone()} {
		d := plan.Draw(plan.Input{Project: p, Bay: -1}, plan.Options{Sheet: sheet})
		f := read(t, d)
		if !has(f.Texts, "nothing was found here") {
			t.Error("it does not say that nothing was found")
		}
		if s := f.Shapes["p-z0"]; !strings.HasPrefix(s.Title, name) {
			t.Errorf("the zone is titled %q", s.Title)
		}
		var b bytes.Buffer
		if err := draw.PDF(&b, d, draw.PDFOptions{}); err != nil {
			t.Error(err)
		}
	}
	p, _ = open(t, "p", table.Options{FS: fstest.MapFS{
		"bays.csv":     {Data: []byte("bay,x1,y1,x2,y2,soffit,ceiling\nB,0,0,6000,6000,3600,2700\n")},
		"ductwork.csv": {Data: []byte("id,x1,y1,x2,y2,size,level\n")},
	}})
	read(t, plan.Draw(plan.Input{Project: p, Bay: 0}, plan.Options{}))
}

// TestSupports: a support that a finding is about stands on the plan where it is.
func TestSupports(t *testing.T) {
	p, res := open(t, "../../testdata/demo", table.Options{})
	held := support.Of(p, support.Options{})
	for i := range res.Findings {
		f := &res.Findings[i]
		row, ok := words.SupportsOf(f)
		if !ok {
			continue
		}
		zone, _ := p.ZoneByID(row)
		s := held.Zone(zone)[0]
		u := support.Outline{Zone: zone, N: s.N}
		var want []r2.Rect
		for _, part := range s.Bodies(nil) {
			u.Outlines = append(u.Outlines, body.Outline(part.Body))
			want = append(want, part.Body.Plan())
		}
		file := read(t, plan.Draw(plan.Input{Project: p, Bay: -1, Findings: res.Findings, Numbers: finding.Numbers(res.Findings), Supports: []support.Outline{u}}, plan.Options{}))
		lo := r2.EmptyRect()
		for i := range p.Bays {
			lo = lo.Union(p.Bays[i].Plan)
		}
		o := lo.ExpandedByMargin(400).Lo()
		for k, w := range want {
			sh, there := file.Shapes[fmt.Sprintf("p-z%ds%dp%d", zone, s.N, k+1)]
			if !there {
				t.Fatalf("body %d of the support of %s is not drawn", k+1, row)
			}
			got := r2.EmptyRect()
			for _, l := range sh.Lines {
				for _, v := range l {
					got = got.AddPoint(r2.Point{X: v.X + o.X, Y: -v.Y + o.Y})
				}
			}
			if math.Abs(got.X.Lo-w.X.Lo) > 0.2 || math.Abs(got.X.Hi-w.X.Hi) > 0.2 || math.Abs(got.Y.Lo-w.Y.Lo) > 0.2 || math.Abs(got.Y.Hi-w.Y.Hi) > 0.2 {
				t.Errorf("%s: body %d at %v, want %v", row, k+1, got, w)
			}
		}
		return
	}
	t.Error("no finding of supports in the demo")
}

// TestListGoesOn: where the list beside a plan is full it goes on under the plan as long as there is room.
func TestListGoesOn(t *testing.T) {
	p, res := open(t, "../../testdata/demo", table.Options{})
	d := plan.Draw(plan.Input{Project: p, Bay: -1, Findings: res.Findings, Numbers: finding.Numbers(res.Findings)}, plan.Options{Sheet: look.A3()})
	f := read(t, d)
	var fs []*finding.Finding
	for i := range res.Findings {
		fs = append(fs, &res.Findings[i])
	}
	all := plan.Problems(fs, finding.Numbers(res.Findings))
	said := strings.Join(f.Texts, "\n")
	if strings.Contains(said, "more: numbered on the plan") {
		t.Errorf("%d problems are cut short with half a sheet empty", len(all))
	}
	for _, pr := range all {
		if n := strings.Count("\n"+said+"\n", "\n"+pr.Number+"\n"); n < 2 {
			t.Errorf("problem %s stands %d times, want on the plan and in the list", pr.Number, n)
		}
	}
	// No text is written over the title strip or outside the sheet.
	for _, it := range d.Items {
		if x, is := it.(draw.Text); is {
			if ax, ay := d.On(x.At); ax < 0 || ax > d.W || ay < 0 || ay > d.H {
				t.Errorf("%q stands outside the sheet, at %v %v", x.S, ax, ay)
			}
		}
	}
}

// TestLongNames: a bay's name of 300 letters, of any alphabet, lies over nothing in the title strip.
func TestLongNames(t *testing.T) {
	for _, name := range []string{strings.Repeat("NAME", 75), strings.Repeat("名", 300), strings.Repeat("a long name ", 25)} {
		project := t.TempDir()
		for file, text := range map[string]string{
			"bays.csv":   "bay,storey,x1,y1,x2,y2,soffit,ceiling\n" + name + ",三階,0,0,2000,6000,FFL+3600,FFL+2700\n",
			"levels.csv": "storey,ffl\n三階,0\n", "ductwork.csv": "id,x1,y1,x2,y2,size,level\nD-1,500,1000,500,5000,300x200,FFL+3000\n",
		} {
			if err := os.WriteFile(filepath.Join(project, file), []byte(text), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		p, res := open(t, project, table.Options{})
		for _, sheet := range []look.Sheet{look.A4(), look.A3(), {Name: "A4", W: 184, H: 84, Text: 2.4, Margin: 1}} {
			d := plan.Draw(plan.Input{Project: p, Bay: 0, Findings: res.Findings, Numbers: finding.Numbers(res.Findings)}, plan.Options{Sheet: sheet})
			var boxes []r2.Rect
			var said []string
			for _, it := range d.Items {
				x, is := it.(draw.Text)
				if !is || x.Up {
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
				b := r2.RectFromPoints(r2.Point{X: ax, Y: ay - 0.6*x.Size}, r2.Point{X: ax + w, Y: ay})
				if b.X.Hi > d.W+0.1 {
					t.Errorf("%s: %.20q… ends at %.1f of %.1f", sheet.Name, x.S, b.X.Hi, d.W)
				}
				for k, o := range boxes {
					if v := o.Intersection(b); !v.IsEmpty() && v.X.Length() > 0.2 && v.Y.Length() > 0.2 {
						t.Errorf("%s: %.20q… lies over %.20q…", sheet.Name, x.S, said[k])
					}
				}
				boxes, said = append(boxes, b), append(said, x.S)
			}
		}
	}
}

// TestTooMany: where marks would cover a bay, squares of it bear how many they have, all of them counted; a few are marked
// one by one.
func TestTooMany(t *testing.T) {
	dir := t.TempDir()
	for file, text := range map[string]string{
		"bays.csv": "bay,x1,y1,x2,y2,soffit,ceiling\nhall,0,0,60000,40000,FFL+3600,FFL+2700\n", "ductwork.csv": "id,x1,y1,x2,y2,size,level\nD-1,500,1000,9000,1000,300x200,FFL+3000\n",
	} {
		if err := os.WriteFile(filepath.Join(dir, file), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	p, _ := open(t, dir, table.Options{})
	bay := p.Bays[0].Label
	for _, n := range []int{10, 2500} {
		var fs []finding.Finding
		for i := range n {
			b := fmt.Sprintf("P-%d", i)
			fs = append(fs, finding.Finding{
				ID: finding.ID("D", b, ""), Kind: finding.Overlap, A: "D", B: &b, Bay: &bay,
				At: finding.Spot{X: float64(500 + i%50*1180), Y: float64(500 + i/50*780)}, Depth: &finding.Depth{Vertical: 10},
			})
		}
		for _, whole := range []int{0, -1} {
			d := plan.Draw(plan.Input{Project: p, Bay: whole, Findings: fs, Numbers: finding.Numbers(fs)}, plan.Options{Sheet: look.A4()})
			f := read(t, d)
			marks := 0
			for id := range f.Shapes {
				if strings.HasPrefix(id, "p-f-") {
					marks++
				}
			}
			said := strings.Join(f.Texts, "\n")
			switch {
			case n == 10 && marks != n:
				t.Errorf("bay %d: %d marks for %d problems", whole, marks, n)
			case n > 10 && whole == 0:
				sum := 0
				for _, it := range d.Items {
					if x, is := it.(draw.Text); is && x.Tone == draw.Paper && x.Bold {
						// The plan is 60.8 m by 40.8 m, in the upper left corner; lists stand beside and under it.
						if ax, ay := d.On(x.At); ax < 7+60800/d.Scale+1 && ay < 7+40800/d.Scale+1 {
							v, err := strconv.Atoi(x.S)
							if err != nil {
								t.Errorf("a square says %q", x.S)
							}
							sum += v
						}
					}
				}
				if sum != n || marks > 0 || !strings.Contains(said, "too many to mark one by one") {
					t.Errorf("the squares count %d of %d problems, %d are marked:\n%.300s", sum, n, marks, said)
				}
			}
		}
	}
}
