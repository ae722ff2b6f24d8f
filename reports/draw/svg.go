package draw

import (
	"bufio"
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"github.com/golang/geo/r2"

	"voidline/reports/words"
)

// SVGOptions say how to write an SVG.
type SVGOptions struct {
	// Prefix begins every id, so that many drawings can stand in one page: a letter, then letters,
	// digits and hyphens. Blank is "drawing".
	Prefix string
	// Bare leaves out the XML line and the colours: the page that holds it has Style once.
	Bare bool
}

// Style returns the style sheet of every drawing: the colours for light screens, dark screens and printing.
func Style() string {
	var b strings.Builder
	rules := func(of func(Tone) RGB) {
		for t := Paper; t < tones; t++ {
			fmt.Fprintf(&b, ".vl .f%d{fill:%s}.vl .s%d{stroke:%s}", t, of(t), t, of(t))
		}
	}
	b.WriteString(".vl{max-width:100%;height:auto}.vl text{white-space:pre}.vl .h{paint-order:stroke;stroke-linejoin:round}")
	rules(Tone.Light)
	b.WriteString("@media screen and (prefers-color-scheme:dark){")
	// What does not change need not be said again.
	for t := Paper; t < tones; t++ {
		if d := t.Dark(); d != t.Light() {
			fmt.Fprintf(&b, ".vl .f%d{fill:%s}.vl .s%d{stroke:%s}", t, d, t, d)
		}
	}
	b.WriteString("}")
	return b.String()
}

// Fonts is the family of fonts that an SVG asks for.
const Fonts = "Arial, 'Liberation Sans', 'DejaVu Sans', Helvetica, sans-serif"

// SVG writes the drawing as SVG: no scripts, nothing loaded, every text escaped. Its units are millimetres
// of the building (see the package comment), rounded to 0.01.
func SVG(w io.Writer, d *Drawing, o SVGOptions) error {
	b := bufio.NewWriter(w)
	prefix := o.Prefix
	if prefix == "" {
		prefix = "drawing"
	}
	if !o.Bare {
		b.WriteString(`<?xml version="1.0" encoding="UTF-8"?>` + "\n")
	}
	at := d.Sheet(0, 0)
	fmt.Fprintf(b, `<svg xmlns="http://www.w3.org/2000/svg" id="%s" class="vl" role="img" aria-labelledby="%s-t %s-d" width="%smm" height="%smm" viewBox="%s %s %s %s" data-scale="%s" font-family="%s" fill="none" stroke-linecap="round" stroke-linejoin="round">`+"\n",
		prefix, prefix, prefix, num(d.W), num(d.H), num(at.X), num(at.Y), num(d.W*d.Scale), num(d.H*d.Scale), num(d.Scale), Fonts)
	fmt.Fprintf(b, `<title id="%s-t">%s</title><desc id="%s-d">%s</desc>`+"\n", prefix, escaped(d.Name), prefix, escaped(d.Desc))
	if !o.Bare {
		fmt.Fprintf(b, "<style>%s</style>\n", Style())
	}
	for _, it := range d.Items {
		switch it := it.(type) {
		case Path:
			svgPath(b, d, &it, prefix)
		case Text:
			svgText(b, d, &it, o.Bare)
		}
	}
	b.WriteString("</svg>\n")
	return b.Flush()
}

func svgPath(b *bufio.Writer, d *Drawing, p *Path, prefix string) {
	if len(p.Steps) == 0 || p.Fill == None && p.Line == None {
		return
	}
	b.WriteString("<path")
	if p.ID != "" {
		fmt.Fprintf(b, ` id="%s-%s"`, prefix, p.ID)
	}
	class := ""
	if p.Fill != None {
		class = fmt.Sprintf("f%d", p.Fill)
	}
	if p.Line != None {
		class = strings.TrimSpace(fmt.Sprintf("%s s%d", class, p.Line))
	}
	fmt.Fprintf(b, ` class="%s"`, class)
	if p.Line != None {
		fmt.Fprintf(b, ` stroke-width="%s"`, num(p.Width*d.Scale))
		if l := p.Dash.lengths(); l != nil {
			parts := make([]string, len(l))
			for i, v := range l {
				parts[i] = num(v * d.Scale)
			}
			fmt.Fprintf(b, ` stroke-dasharray="%s"`, strings.Join(parts, " "))
		}
	}
	b.WriteString(` d="`)
	if p.Measured {
		svgSteps(b, p.Steps)
	} else {
		svgCoarse(b, p.Steps, 0.05*d.Scale)
	}
	if p.Title == "" {
		b.WriteString("\"/>\n")
		return
	}
	fmt.Fprintf(b, "\"><title>%s</title></path>\n", escaped(p.Title))
}

// svgSteps writes the steps of a path to 0.01 of a millimetre of the building.
func svgSteps(b *bufio.Writer, steps []Step) {
	pt := func(p r2.Point) {
		b.WriteString(num(p.X))
		b.WriteByte(' ')
		b.WriteString(num(p.Y))
	}
	for _, s := range steps {
		switch s.Op {
		case Move:
			b.WriteByte('M')
			pt(s.P[0])
		case Line:
			b.WriteByte('L')
			pt(s.P[0])
		case Curve:
			b.WriteByte('C')
			pt(s.P[0])
			b.WriteByte(' ')
			pt(s.P[1])
			b.WriteByte(' ')
			pt(s.P[2])
		case Close:
			b.WriteByte('Z')
		}
	}
}

// svgCoarse writes the steps of a path that measures nothing: each point to the nearest multiple of grid, and
// as steps from the one before, which keeps hatches short.
func svgCoarse(b *bufio.Writer, steps []Step, grid float64) {
	var at, first r2.Point
	round := func(p r2.Point) r2.Point {
		return r2.Point{X: math.Round(p.X/grid) * grid, Y: math.Round(p.Y/grid) * grid}
	}
	write := func(p r2.Point) {
		x, y := num(p.X-at.X), num(p.Y-at.Y)
		b.WriteString(x)
		if y[0] != '-' {
			b.WriteByte(' ')
		}
		b.WriteString(y)
	}
	for _, s := range steps {
		switch s.Op {
		case Move:
			b.WriteByte('m')
			write(round(s.P[0]))
			at = round(s.P[0])
			first = at
		case Line:
			b.WriteByte('l')
			write(round(s.P[0]))
			at = round(s.P[0])
		case Curve:
			b.WriteByte('c')
			write(round(s.P[0]))
			b.WriteByte(' ')
			write(round(s.P[1]))
			b.WriteByte(' ')
			write(round(s.P[2]))
			at = round(s.P[2])
		case Close:
			b.WriteByte('z')
			at = first
		}
	}
}

// svgText writes a text; one with a halo in a page as one element, its edge painted before its face. A file by itself may come
// to a program that does not know that order and would paint the edge over the face: there the edge is an element
// of its own, under the letters.
func svgText(b *bufio.Writer, d *Drawing, t *Text, page bool) {
	if t.S == "" {
		return
	}
	extra := ""
	switch t.Anchor {
	case Middle:
		extra += ` text-anchor="middle"`
	case End:
		extra += ` text-anchor="end"`
	}
	if t.Bold {
		extra += ` font-weight="bold"`
	}
	x, y := num(t.At.X), num(t.At.Y)
	if t.Up {
		extra += fmt.Sprintf(` transform="rotate(-90 %s %s)"`, x, y)
	}
	write := func(class, more string) {
		fmt.Fprintf(b, `<text x="%s" y="%s" class="%s" font-size="%s"%s%s>%s</text>`+"\n", x, y, class, num(t.Size*d.Scale), more, extra, escaped(t.S))
	}
	class, edge := fmt.Sprintf("f%d", t.Tone), fmt.Sprintf(` stroke-width="%s"`, num(haloWidth(t.Size)*d.Scale))
	switch {
	case !t.Halo:
		write(class, "")
	case page:
		write(class+fmt.Sprintf(" s%d h", Paper), edge)
	default:
		write(fmt.Sprintf("s%d", Paper), edge+` aria-hidden="true"`)
		write(class, "")
	}
}

// haloWidth returns the width of the stroke behind a text with a halo, paper mm.
func haloWidth(size float64) float64 { return 0.32 * size }

// num returns a number to the nearest 0.01, without needless zeros.
func num(v float64) string {
	v = math.Round(v*100) / 100
	if v == 0 || math.IsNaN(v) || math.IsInf(v, 0) {
		return "0"
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

// escaped returns a text safe inside an element or an attribute; what does not print, which XML mostly cannot hold, becomes
// U+FFFD.
func escaped(s string) string {
	var b strings.Builder
	if err := xml.EscapeText(&b, []byte(words.Clean(s))); err != nil {
		return ""
	}
	return b.String()
}
