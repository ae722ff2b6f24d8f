package draw

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"image"
	"image/color"
	"io"
	"math"
	"math/rand/v2"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/golang/geo/r2"
)

// hostile are names that a table may hold and a picture must not trust.
var hostile = []string{
	`<script>alert(1)</script>`, `a & b < c > "d" 'e'`, "esc\x1b[31mred\x00", strings.Repeat("LONG-name-of-a-duct/", 15),
	"Tŷ Gŵyr, Łódź, źdźbło", "风管 漢字", "emoji 🔧 here", "bad \xff utf-8", "=1+1", "]]>", "", " ",
}

// sample is a drawing of every kind of item, with names that nobody should trust.
func sample() *Drawing {
	d := &Drawing{Name: hostile[0], Desc: hostile[1], W: 200, H: 120, Scale: 25, Origin: r2.Point{X: 20, Y: 100}}
	d.Area(Paper, None, 0, 0, 0, 200, 0, 200, 120, 0, 120)
	d.Add(Path{ID: "z1b", Title: hostile[0], Steps: Polyline([]r2.Point{B(0, 0), B(1000, 0), B(1000, 512.34), B(0, 512.34)}, true), Fill: BlueTint, Line: Ink, Width: Thick, Measured: true})
	d.Add(Path{Steps: Pattern{Angle: 45, Gap: 2, Cross: true}.Lines([][]r2.Point{{B(0, 0), B(1000, 0), B(1000, 512.34), B(0, 512.34)}}, 25), Line: Blue, Width: 0.18})
	d.Add(Path{ID: "z2b", Steps: Ellipse(B(2000, 800), r2.Point{X: 0.8, Y: 0.6}, 400, 200), Fill: GreenTint, Line: Ink, Width: Medium, Measured: true})
	d.Stroke(Soft, Thin, Centre, 10, 10, 190, 10)
	d.Stroke(Ink, Medium, Hidden, 10, 14, 190, 14, 190, 20)
	for i, s := range hostile {
		d.Say(20+15*float64(i%8), 30+8*float64(i/8), Text{S: s, Size: 3, Tone: Ink, Anchor: Anchor(i % 3), Bold: i%2 == 0, Up: i%5 == 4, Halo: i%3 == 0})
	}
	return d
}

func svg(t *testing.T, d *Drawing, o SVGOptions) string {
	t.Helper()
	var b bytes.Buffer
	if err := SVG(&b, d, o); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// TestSVGHostile reads an SVG back with an XML parser: every text is there as text, and nothing of it became an
// element, a script, an id or an attribute.
func TestSVGHostile(t *testing.T) {
	s := svg(t, sample(), SVGOptions{Prefix: "p7"})
	dec := xml.NewDecoder(strings.NewReader(s))
	known := []string{"svg", "title", "desc", "style", "path", "text"}
	attrs := regexp.MustCompile(`^(id|class|role|aria-labelledby|width|height|viewBox|data-scale|font-family|fill|stroke-linecap|stroke-linejoin|stroke-width|stroke-dasharray|d|x|y|font-size|font-weight|text-anchor|transform|aria-hidden|xmlns)$`)
	ids := map[string]bool{}
	var texts []string
	in := ""
	for {
		tok, err := dec.Token()
		if err == io.EOF {
			break
		}
		if err != nil {
			t.Fatalf("not XML: %v", err)
		}
		switch tok := tok.(type) {
		case xml.StartElement:
			in = tok.Name.Local
			if !slices.Contains(known, in) {
				t.Errorf("element <%s>", in)
			}
			for _, a := range tok.Attr {
				if !attrs.MatchString(a.Name.Local) {
					t.Errorf("attribute %s of <%s>", a.Name.Local, in)
				}
				if a.Name.Local == "id" {
					if !strings.HasPrefix(a.Value, "p7") || ids[a.Value] {
						t.Errorf("id %q: not of this drawing, or there twice", a.Value)
					}
					ids[a.Value] = true
				}
			}
		case xml.CharData:
			if in == "text" {
				texts = append(texts, string(tok))
			}
		case xml.EndElement:
			in = ""
		}
	}
	for _, id := range []string{"p7", "p7-t", "p7-d", "p7-z1b"} {
		if !ids[id] {
			t.Errorf("no id %q", id)
		}
	}
	for _, want := range hostile {
		want = strings.NewReplacer("\x1b", "\ufffd", "\x00", "\ufffd", "\xff", "\ufffd").Replace(want) // a text of blanks alone draws nothing
		if strings.TrimSpace(want) != "" && !slices.Contains(texts, want) {
			t.Errorf("the text %q is not in the SVG", want)
		}
	}
	if !strings.Contains(s, `role="img"`) || !strings.Contains(s, "prefers-color-scheme:dark") {
		t.Error("no role, or no dark form")
	}
	if bare := svg(t, sample(), SVGOptions{Bare: true}); strings.Contains(bare, "<style") || strings.Contains(bare, "<?xml") {
		t.Error("a bare drawing brings its style or an XML line")
	}
}

// TestHalo: in a file by itself the edge of a text with a halo lies under its letters without any order of painting, and a
// screen reader is told the words once; in a page it is one element.
func TestHalo(t *testing.T) {
	d := &Drawing{W: 100, H: 50, Scale: 10}
	d.Say(10, 10, Text{S: "SA1-03", Size: 3, Tone: Ink, Halo: true})
	alone := svg(t, d, SVGOptions{})
	at, over := strings.Index(alone, `class="s1"`), strings.Index(alone, fmt.Sprintf(`class="f%d" font-size`, Ink))
	if at < 0 || over < at {
		t.Errorf("the edge is not before the letters:\n%s", alone)
	}
	if n := strings.Count(alone, ">SA1-03<"); n != 2 {
		t.Errorf("the words stand %d times, want edge and letters", n)
	}
	if n := strings.Count(alone, `aria-hidden="true">SA1-03<`); n != 1 {
		t.Errorf("%d of the two are hidden from who listens, want the edge", n)
	}
	if page := svg(t, d, SVGOptions{Bare: true}); strings.Count(page, ">SA1-03<") != 1 || !strings.Contains(page, " s1 h") {
		t.Errorf("in a page:\n%s", page)
	}
}

// number is a number of a path.
var number = regexp.MustCompile(`-?\d+(?:\.\d+)?`)

// ReadPath reads the steps of an SVG path as this package writes them.
func readPath(t *testing.T, s string) []Step {
	t.Helper()
	var out []Step
	var at, first r2.Point
	for len(s) > 0 {
		op := s[0]
		end := strings.IndexAny(s[1:], "MLCZmlcz")
		if end < 0 {
			end = len(s) - 1
		}
		var v []float64
		for _, n := range number.FindAllString(s[1:1+end], -1) {
			f, err := strconv.ParseFloat(n, 64)
			if err != nil {
				t.Fatal(err)
			}
			v = append(v, f)
		}
		s = s[1+end:]
		base := r2.Point{}
		if op >= 'a' {
			base = at
		}
		pt := func(i int) r2.Point { return base.Add(r2.Point{X: v[2*i], Y: v[2*i+1]}) }
		var st Step
		switch op | 0x20 {
		case 'm':
			st = Step{Op: Move, P: [3]r2.Point{pt(0)}}
			first = pt(0)
		case 'l':
			st = Step{Op: Line, P: [3]r2.Point{pt(0)}}
		case 'c':
			st = Step{Op: Curve, P: [3]r2.Point{pt(0), pt(1), pt(2)}}
		case 'z':
			st = Step{Op: Close}
		}
		out = append(out, st)
		at = st.End()
		if st.Op == Close {
			at = first
		}
	}
	return out
}

var pathOf = regexp.MustCompile(`<path[^>]*? d="([^"]*)"`)

// TestSamePrimitives writes one drawing three ways. SVG and PDF have the same paths with the same steps in the
// same places; and each item drawn alone as PNG marks the dots where it lies.
func TestSamePrimitives(t *testing.T) {
	d := sample()
	var paths []Path
	texts := 0
	for _, it := range d.Items {
		switch it := it.(type) {
		case Path:
			paths = append(paths, it)
		case Text:
			if it.S != "" {
				texts++
			}
		}
	}
	s := svg(t, d, SVGOptions{})
	got := pathOf.FindAllStringSubmatch(s, -1)
	// Edges of halos are elements of their own.
	if n := strings.Count(s, "<text") - strings.Count(s, "aria-hidden"); len(got) != len(paths) || n != texts {
		t.Fatalf("SVG has %d paths and %d texts, want %d and %d", len(got), n, len(paths), texts)
	}
	p := NewPDF(d.W, d.H, PDFOptions{})
	p.SetCompression(false)
	p.AddPage()
	Paint(p, d, 0, 0, 1)
	var b bytes.Buffer
	if err := p.Output(&b); err != nil {
		t.Fatal(err)
	}
	// The PDF's page: operators of paths, in points from the lower left corner.
	var pdf [][]Step
	var now []Step
	stream := b.String()[strings.Index(b.String(), "stream\n"):]
	stream = stream[:strings.Index(stream, "endstream")]
	halos := 0
	for _, line := range strings.Split(stream, "\n") {
		f := strings.Fields(line)
		if len(f) == 0 {
			continue
		}
		at := func(i int) r2.Point {
			x, _ := strconv.ParseFloat(f[i], 64)
			y, _ := strconv.ParseFloat(f[i+1], 64)
			return d.Sheet(x*pointMM, d.H-y*pointMM)
		}
		switch op := f[len(f)-1]; {
		case op == "m" && len(f) == 3:
			now = append(now, Step{Op: Move, P: [3]r2.Point{at(0)}})
		case op == "l" && len(f) == 3:
			now = append(now, Step{Op: Line, P: [3]r2.Point{at(0)}})
		case op == "c" && len(f) == 7:
			now = append(now, Step{Op: Curve, P: [3]r2.Point{at(0), at(2), at(4)}})
		case op == "h":
			now = append(now, Step{Op: Close})
		case op == "f" || op == "S" || op == "B":
			pdf = append(pdf, now)
			now = nil
		case strings.HasSuffix(line, " Tj ET") || strings.Contains(line, "Tj"):
			halos++
		}
	}
	if len(pdf) != len(paths) {
		t.Fatalf("the PDF has %d paths, want %d", len(pdf), len(paths))
	}
	want := 0
	for _, it := range d.Items {
		if tx, ok := it.(Text); ok && tx.S != "" {
			n := len(stretches(printable(tx.S, tx.Bold), tx.Bold))
			want += n
			if tx.Halo {
				want += n
			}
		}
	}
	if halos != want {
		t.Errorf("the PDF has %d texts, want %d with those behind them", halos, want)
	}
	for i, p := range paths {
		grid := 0.05 * d.Scale
		if p.Measured {
			grid = 0.01
		}
		for name, steps := range map[string][]Step{"SVG": readPath(t, got[i][1]), "PDF": pdf[i]} {
			hold := grid
			if name == "PDF" {
				hold = 0.01 * pointMM * d.Scale
			}
			if len(steps) != len(p.Steps) {
				t.Errorf("path %d of the %s has %d steps, want %d", i, name, len(steps), len(p.Steps))
				continue
			}
			for k, st := range steps {
				if st.Op != p.Steps[k].Op {
					t.Errorf("path %d of the %s: step %d is a %d, want %d", i, name, k, st.Op, p.Steps[k].Op)
				}
				for j := range st.P {
					if st.Op != Close && st.P[j].Sub(p.Steps[k].P[j]).Norm() > hold {
						t.Errorf("path %d of the %s: step %d at %v, want %v", i, name, k, st.P[j], p.Steps[k].P[j])
					}
				}
			}
		}
	}
	// PNG: alone on its sheet, an item marks dots as far as it reaches and no further.
	const dots = 5.0
	for i, p := range paths {
		if p.Fill == Paper {
			continue
		}
		one := *d
		one.Items = []Item{p}
		m, err := Raster(&one, PNGOptions{Dots: dots})
		if err != nil {
			t.Fatal(err)
		}
		r := r2.EmptyRect()
		lines, _ := flat(p.Steps, 0.1)
		for _, l := range lines {
			for _, q := range l {
				x, y := d.On(q)
				r = r.AddPoint(r2.Point{X: x * dots, Y: y * dots})
			}
		}
		ink := marked(m)
		if ink.Empty() || math.Abs(float64(ink.Min.X)-r.X.Lo) > 0.5*p.Width*dots+1.5 || math.Abs(float64(ink.Max.X)-r.X.Hi) > 0.5*p.Width*dots+1.5 ||
			math.Abs(float64(ink.Min.Y)-r.Y.Lo) > 0.5*p.Width*dots+1.5 || math.Abs(float64(ink.Max.Y)-r.Y.Hi) > 0.5*p.Width*dots+1.5 {
			t.Errorf("path %d marks %v of the PNG, want %v", i, ink, r)
		}
	}
}

// marked returns the rectangle of what is not paper.
func marked(m *image.RGBA) image.Rectangle {
	paper := Paper.Light()
	r := image.Rectangle{Min: image.Pt(math.MaxInt32, math.MaxInt32)}
	for y := m.Rect.Min.Y; y < m.Rect.Max.Y; y++ {
		for x := m.Rect.Min.X; x < m.Rect.Max.X; x++ {
			c := m.RGBAAt(x, y)
			if c.R != paper.R || c.G != paper.G || c.B != paper.B {
				r.Min.X, r.Min.Y = min(r.Min.X, x), min(r.Min.Y, y)
				r.Max.X, r.Max.Y = max(r.Max.X, x+1), max(r.Max.Y, y+1)
			}
		}
	}
	return r
}

// TestFillArea compares what an ellipse covers in the PNG with its area.
func TestFillArea(t *testing.T) {
	d := &Drawing{W: 60, H: 40, Scale: 10}
	d.Add(Path{Steps: Ellipse(d.Sheet(30, 20), r2.Point{X: 0.6, Y: 0.8}, 150, 80), Fill: Ink})
	m, err := Raster(d, PNGOptions{Dots: 10})
	if err != nil {
		t.Fatal(err)
	}
	sum, ink, paper := 0.0, float64(Ink.Light().G), 255.0
	for y := range m.Rect.Max.Y {
		for x := range m.Rect.Max.X {
			sum += (paper - float64(m.RGBAAt(x, y).G)) / (paper - ink)
		}
	}
	if want := math.Pi * 150 * 80; math.Abs(sum-want) > 0.003*want {
		t.Errorf("the ellipse covers %.0f dots, want %.0f", sum, want)
	}
}

// TestSameBytes writes the same drawing twice in each form.
func TestSameBytes(t *testing.T) {
	for name, write := range map[string]func(io.Writer) error{
		"SVG": func(w io.Writer) error { return SVG(w, sample(), SVGOptions{}) },
		"PDF": func(w io.Writer) error { return PDF(w, sample(), PDFOptions{}) },
		"PNG": func(w io.Writer) error { return PNG(w, sample(), PNGOptions{Dots: 4}) },
	} {
		var first []byte
		for i := range 6 {
			var b bytes.Buffer
			if err := write(&b); err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			if i == 0 {
				first = b.Bytes()
			} else if !bytes.Equal(first, b.Bytes()) {
				t.Errorf("%s: %d bytes, then others", name, len(first))
				break
			}
		}
		if len(first) < 500 {
			t.Errorf("%s: only %d bytes", name, len(first))
		}
	}
}

// luminance and contrast are those of WCAG 2.
func luminance(c RGB) float64 {
	f := func(v uint8) float64 {
		s := float64(v) / 255
		if s <= 0.04045 {
			return s / 12.92
		}
		return math.Pow((s+0.055)/1.055, 2.4)
	}
	return 0.2126*f(c.R) + 0.7152*f(c.G) + 0.0722*f(c.B)
}

func contrast(a, b RGB) float64 {
	x, y := luminance(a), luminance(b)
	return (math.Max(x, y) + 0.05) / (math.Min(x, y) + 0.05)
}

// TestContrast holds words to 7:1 and 4.5:1, and lines to 3:1 on paper and on their own tint (WCAG 2.2, success
// criteria 1.4.3, 1.4.6 and 1.4.11), on light and on dark.
func TestContrast(t *testing.T) {
	if c := contrast(RGB{}, RGB{255, 255, 255}); math.Abs(c-21) > 1e-9 {
		t.Fatalf("black on white has %v, want 21", c)
	}
	for name, of := range map[string]func(Tone) RGB{"light": Tone.Light, "dark": Tone.Dark} {
		for _, test := range []struct {
			a, b Tone
			want float64
		}{{Ink, Paper, 7}, {Ink, Wash, 7}, {Soft, Paper, 4.5}, {Soft, Wash, 4.5}, {Faint, Paper, 3}} {
			if c := contrast(of(test.a), of(test.b)); c < test.want {
				t.Errorf("%s: tone %d on %d has %.2f, want %v", name, test.a, test.b, c, test.want)
			}
		}
		for l := Steel; l < MarkGreen; l += 2 {
			for _, ground := range []Tone{Paper, l + 1} {
				if c := contrast(of(l), of(ground)); c < 3 {
					t.Errorf("%s: line %d on %d has %.2f, want 3", name, l, ground, c)
				}
			}
			if c := contrast(of(Ink), of(l+1)); c < 7 {
				t.Errorf("%s: words on tint %d have %.2f, want 7", name, l+1, c)
			}
		}
	}
}

// TestHatch checks that every hatch line lies in its area, and that there is as much of it as area over gap.
func TestHatch(t *testing.T) {
	const seed, scale = 5, 20.0
	r := rand.New(rand.NewPCG(seed, 0))
	for i := range 60 {
		n := 3 + r.IntN(5)
		var p []r2.Point
		c := r2.Point{X: 3000 * r.Float64(), Y: -3000 * r.Float64()}
		for k := range n {
			s, co := math.Sincos(2 * math.Pi * (float64(k) + 0.8*r.Float64()) / float64(n))
			p = append(p, c.Add(r2.Point{X: co, Y: s}.Mul(600)))
		}
		area := 0.0
		for k := range p {
			area += p[k].Cross(p[(k+1)%n]) / 2
		}
		for _, h := range []Pattern{{Angle: 45, Gap: 1}, {Angle: 0, Gap: 1.2, Dash: 1}, {Angle: 90, Gap: 0.8, Cross: true}, {Angle: 135, Gap: 1.5, Pair: true}} {
			sum := 0.0
			steps := h.Lines([][]r2.Point{p}, scale)
			for k := 0; k+1 < len(steps); k += 2 {
				a, b := steps[k].P[0], steps[k+1].P[0]
				sum += b.Sub(a).Norm()
				for _, q := range []r2.Point{a, b, a.Add(b).Mul(0.5)} {
					for e := range p {
						d := p[(e+1)%n].Sub(p[e])
						if d.Cross(q.Sub(p[e])) < -1e-6*d.Norm() {
							t.Fatalf("seed %d %d: %+v has a line at %v outside %v", seed, i, h, q, p)
						}
					}
				}
			}
			want := area / (h.Gap * scale)
			if h.Cross || h.Pair {
				want *= 2
			}
			if h.Dash > 0 {
				want /= 2
			}
			if math.Abs(sum-want) > 0.12*want {
				t.Errorf("seed %d %d: %+v has %.0f of lines in %.0f, want %.0f", seed, i, h, sum, area, want)
			}
		}
	}
	if got := (Pattern{}).Lines([][]r2.Point{{{}, {X: 1}, {Y: 1}}}, 1); got != nil {
		t.Errorf("no hatch has %d lines", len(got))
	}
}

// TestSpread checks order, room and ends, and against all small cases that nothing nearer can be had.
func TestSpread(t *testing.T) {
	const seed = 6
	r := rand.New(rand.NewPCG(seed, 0))
	for i := range 300 {
		n := 1 + r.IntN(8)
		wanted, gap := make([]float64, n), make([]float64, n)
		total := 0.0
		for k := range wanted {
			wanted[k], gap[k] = 100*r.Float64(), 1+10*r.Float64()
			if k > 0 {
				total += gap[k]
			}
		}
		slices.Sort(wanted)
		lo, hi := -20.0, 120.0
		at := Spread(wanted, gap, lo, hi)
		for k := range at {
			if k > 0 && at[k]-at[k-1] < gap[k]-1e-9 {
				t.Fatalf("seed %d %d: Spread(%v, %v) = %v: %d is too near", seed, i, wanted, gap, at, k)
			}
			if total < hi-lo && (at[k] < lo-1e-9 || at[k] > hi+1e-9) {
				t.Fatalf("seed %d %d: Spread(%v, %v) = %v leaves %v to %v", seed, i, wanted, gap, at, lo, hi)
			}
		}
		// No small move of one label, alone or with all that touch it on a side, comes nearer.
		cost := func(p []float64) float64 {
			s := 0.0
			for k := range p {
				s += (p[k] - wanted[k]) * (p[k] - wanted[k])
			}
			return s
		}
		for from := range n {
			for to := from + 1; to <= n; to++ {
				for _, d := range []float64{-0.01, 0.01} {
					q := slices.Clone(at)
					for k := from; k < to; k++ {
						q[k] += d
					}
					ok := q[0] >= lo && q[n-1] <= hi
					for k := 1; k < n; k++ {
						ok = ok && q[k]-q[k-1] >= gap[k]
					}
					if ok && cost(q) < cost(at)-1e-3 {
						t.Fatalf("seed %d %d: Spread(%v, %v) = %v, and %v is nearer", seed, i, wanted, gap, at, q)
					}
				}
			}
		}
	}
}

// TestEllipse checks the curves against the ellipse.
func TestEllipse(t *testing.T) {
	c, dir := r2.Point{X: 100, Y: -50}, r2.Point{X: 0.6, Y: 0.8}
	const a, b = 400.0, 90.0
	lines, closed := flat(Ellipse(c, dir, a, b), 1e-4)
	if len(lines) != 1 || !closed[0] {
		t.Fatalf("%d outlines", len(lines))
	}
	for _, p := range lines[0] {
		q := p.Sub(c)
		v := math.Hypot(q.Dot(dir)/a, q.Dot(dir.Ortho())/b)
		if math.Abs(v-1) > 5e-6 {
			t.Errorf("%v lies at %v of the ellipse, want 1", p, v)
		}
	}
}

// TestLetters checks that the fonts have what trades write, and what happens to the rest.
func TestLetters(t *testing.T) {
	for _, b := range []bool{false, true} {
		if got := printable("Tŷ Gŵyr Łódź ø250 600×300 ±0 ≥ – —…", b); strings.ContainsRune(got, unknown) {
			t.Errorf("printable = %q", got)
		}
		if got, want := printable("a漢🔧\x01b", b), "a漢"+strings.Repeat(string(unknown), 2)+"b"; got != want {
			t.Errorf("printable = %q, want %q", got, want)
		}
		if !faceOf(b).has(unknown) {
			t.Errorf("the font has no %c", unknown)
		}
	}
	if w := Width("mm", 10, false); !(w > 10 && w < 22) {
		t.Errorf("Width(mm, 10) = %v", w)
	}
	for _, s := range hostile {
		for _, width := range []float64{0, 3, 20, 300} {
			if got := Fit(s, 3, width, false); Width(got, 3, false) > math.Max(width, Width("…", 3, false))+1e-9 {
				t.Errorf("Fit(%q, 3, %v) = %q is %v wide", s, width, got, Width(got, 3, false))
			}
			for _, l := range Fold(s, 3, width, false, 2) {
				if Width(l, 3, false) > math.Max(width, Width("…", 3, false))+1e-9 {
					t.Errorf("Fold(%q, 3, %v) has %q", s, width, l)
				}
			}
		}
	}
}

// TestInset lays one drawing into another: what was at a place of its sheet is at that place of the other's.
func TestInset(t *testing.T) {
	d := &Drawing{W: 200, H: 100, Scale: 50, Origin: r2.Point{X: 10, Y: 90}}
	e := &Drawing{W: 50, H: 50, Scale: 5, Origin: r2.Point{X: 25, Y: 25}}
	e.Add(Path{Steps: Polyline([]r2.Point{B(0, 0), B(100, 0)}, false), Line: Ink, Width: Thin, Measured: true})
	d.Inset(e, 120, 30)
	p := d.Items[0].(Path)
	for i, want := range []r2.Point{{X: 145, Y: 55}, {X: 165, Y: 55}} {
		x, y := d.On(p.Steps[i].P[0])
		if math.Hypot(x-want.X, y-want.Y) > 1e-9 {
			t.Errorf("point %d at %v, %v, want %v", i, x, y, want)
		}
	}
	if p.Measured {
		t.Error("an inset's lines pass for measured in the other's scale")
	}
}

func TestTooLarge(t *testing.T) {
	for _, d := range []*Drawing{{W: 1e6, H: 10, Scale: 1}, {W: 0, H: 10, Scale: 1}} {
		if err := PNG(io.Discard, d, PNGOptions{}); err == nil {
			t.Errorf("a PNG of %v x %v mm", d.W, d.H)
		}
	}
}

func ExamplePattern_Lines() {
	p := Pattern{Angle: 0, Gap: 2}
	for _, s := range p.Lines([][]r2.Point{{{X: 0, Y: 1}, {X: 10, Y: 1}, {X: 10, Y: 5}, {X: 0, Y: 5}}}, 1) {
		fmt.Println(s.Op, s.P[0].X, s.P[0].Y)
	}
	// Output:
	// 0 0 2
	// 1 10 2
	// 0 0 4
	// 1 10 4
}

// TestFew: with few colours a picture stays what it is: no dot is further from its colour than the steps of the buckets, and
// a picture of few colours keeps them to within one of these.
func TestFew(t *testing.T) {
	m, err := Raster(sample(), PNGOptions{Dots: 4})
	if err != nil {
		t.Fatal(err)
	}
	few := Few(m)
	if n := len(few.Palette); n < 2 || n > 256 {
		t.Fatalf("%d colours, want 2 to 256", n)
	}
	far, worst := 0, 0
	for y := range m.Rect.Dy() {
		for x := range m.Rect.Dx() {
			a, b := m.RGBAAt(x, y), few.Palette[few.ColorIndexAt(x, y)].(color.RGBA)
			off := 0
			for _, d := range []int{int(a.R) - int(b.R), int(a.G) - int(b.G), int(a.B) - int(b.B)} {
				off = max(off, d, -d)
			}
			worst = max(worst, off)
			if off > 8 {
				far++
			}
		}
	}
	if all := m.Rect.Dx() * m.Rect.Dy(); far*200 > all || worst > 64 {
		t.Errorf("%d of %d dots are off by more than 8, the worst by %d", far, all, worst)
	}
}
