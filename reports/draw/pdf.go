package draw

import (
	"fmt"
	"io"
	"time"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
)

// PDFOptions say how to write a PDF.
type PDFOptions struct {
	// Date is the date that the file says it was made; zero is 1 January 2000, so that one drawing gives
	// the same bytes on every day.
	Date time.Time
}

// Family is the name under which addFonts makes the fonts known.
const Family = "voidline"

// addFonts makes the fonts of drawings known to a PDF, "" and "B".
func addFonts(p *fpdf.Fpdf) {
	p.AddUTF8FontFromBytes(Family, "", goregular.TTF)
	p.AddUTF8FontFromBytes(Family, "B", gobold.TTF)
}

// NewPDF returns an empty PDF with the fonts and the settings that make it the same bytes every time: sorted,
// dated, and with no library's version in it.
func NewPDF(w, h float64, o PDFOptions) *fpdf.Fpdf {
	// The library swaps the sides of a landscape sheet; with portrait it takes them as they are.
	p := fpdf.NewCustom(&fpdf.InitType{OrientationStr: "P", UnitStr: "mm", Size: fpdf.SizeType{Wd: w, Ht: h}})
	date := o.Date
	if date.IsZero() {
		date = time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)
	}
	p.SetCreationDate(date)
	p.SetModificationDate(date)
	p.SetCatalogSort(true)
	p.SetProducer("voidline", false)
	p.SetMargins(0, 0, 0)
	p.SetAutoPageBreak(false, 0)
	addFonts(p)
	return p
}

// PDF writes drawings as a PDF, each a page the size of its sheet; it is called as the first is.
func PDF(w io.Writer, d *Drawing, o PDFOptions, more ...*Drawing) error {
	p := NewPDF(d.W, d.H, o)
	p.SetTitle(printable(d.Name, false), true)
	p.SetSubject(printable(d.Desc, false), true)
	for _, d := range append([]*Drawing{d}, more...) {
		p.AddPageFormat("P", fpdf.SizeType{Wd: d.W, Ht: d.H})
		if len(more) > 0 {
			p.Bookmark(printable(d.Name, false), 0, 0)
		}
		Paint(p, d, 0, 0, 1)
	}
	if err := p.Output(w); err != nil {
		return fmt.Errorf("PDF: %w", err)
	}
	return nil
}

// Paint paints the drawing on the page of a PDF whose unit is the millimetre and which knows the fonts: its
// sheet's top left corner at (x, y), every length times factor.
func Paint(p *fpdf.Fpdf, d *Drawing, x, y, factor float64) {
	k := factor / d.Scale
	at := d.Sheet(0, 0)
	px := func(v float64) float64 { return x + (v-at.X)*k }
	py := func(v float64) float64 { return y + (v-at.Y)*k }
	p.SetLineCapStyle("round")
	p.SetLineJoinStyle("round")
	for _, it := range d.Items {
		switch it := it.(type) {
		case Path:
			if len(it.Steps) == 0 || it.Fill == None && it.Line == None {
				continue
			}
			style := ""
			if it.Fill != None {
				c := it.Fill.Light()
				p.SetFillColor(int(c.R), int(c.G), int(c.B))
				style = "F"
			}
			if it.Line != None {
				c := it.Line.Light()
				p.SetDrawColor(int(c.R), int(c.G), int(c.B))
				p.SetLineWidth(it.Width * factor)
				var dash []float64
				for _, l := range it.Dash.lengths() {
					dash = append(dash, l*factor)
				}
				p.SetDashPattern(dash, 0)
				style += "D"
			}
			for _, s := range it.Steps {
				switch s.Op {
				case Move:
					p.MoveTo(px(s.P[0].X), py(s.P[0].Y))
				case Line:
					p.LineTo(px(s.P[0].X), py(s.P[0].Y))
				case Curve:
					p.CurveBezierCubicTo(px(s.P[0].X), py(s.P[0].Y), px(s.P[1].X), py(s.P[1].Y), px(s.P[2].X), py(s.P[2].Y))
				case Close:
					p.ClosePath()
				}
			}
			p.DrawPath(style)
		case Text:
			if it.S == "" {
				continue
			}
			pdfText(p, &it, px(it.At.X), py(it.At.Y), factor)
		}
	}
	p.SetDashPattern(nil, 0)
}

const pointMM = 25.4 / 72

func pdfText(p *fpdf.Fpdf, t *Text, x, y, factor float64) {
	s := printable(t.S, t.Bold)
	line := newLine(p, s, t.Size*factor, t.Bold)
	if t.Up {
		p.TransformBegin()
		p.TransformRotate(90, x, y)
	}
	left := x
	switch w := Width(s, t.Size*factor, t.Bold); t.Anchor {
	case Middle:
		left -= w / 2
	case End:
		left -= w
	}
	if t.Halo {
		line.outlined(left, y, Paper, haloWidth(t.Size)*factor)
	}
	line.write(left, y, t.Tone)
	if t.Up {
		p.TransformEnd()
	}
}

// Write writes one line of text on the page of a PDF that knows the fonts, standing on y from x on; size is the
// type's height in mm. s is composed, and the fonts have its letters (Compose, Has): what they have not must have
// been replaced.
func Write(p *fpdf.Fpdf, x, y float64, s string, size float64, b bool, tone Tone) {
	newLine(p, s, size, b).write(x, y, tone)
}

// line is a line of text for a PDF, cut where its font changes. The Go fonts have a bold face; a bold letter of
// the eastern one is drawn round with a stroke of its own colour.
type line struct {
	p     *fpdf.Fpdf
	parts []stretch
	size  float64
	bold  bool
}

// newLine sets the font that the line begins with.
func newLine(p *fpdf.Fpdf, s string, size float64, b bool) *line {
	l := &line{p, stretches(s, b), size, b}
	l.font(&l.parts[0])
	return l
}

func (l *line) font(part *stretch) {
	family, style := Family, ""
	if part.east {
		family = eastFamily
		useEast(l.p)
	} else if l.bold {
		style = "B"
	}
	l.p.SetFont(family, style, l.size/pointMM)
}

// each calls do for every part, its font set, with where it begins.
func (l *line) each(x float64, do func(x float64, part *stretch)) {
	for i := range l.parts {
		part := &l.parts[i]
		if len(l.parts) > 1 {
			l.font(part)
		}
		do(x, part)
		x += Width(part.s, l.size, l.bold)
	}
}

// write writes the line.
func (l *line) write(x, y float64, tone Tone) {
	c := tone.Light()
	l.p.SetTextColor(int(c.R), int(c.G), int(c.B))
	l.each(x, func(x float64, part *stretch) {
		if !part.east || !l.bold {
			l.p.Text(x, y, part.s)
			return
		}
		width := l.p.GetLineWidth()
		r, g, b := l.p.GetDrawColor()
		l.stroked(x, y, part, tone, eastHeavy*l.size)
		l.p.SetLineWidth(width)
		l.p.SetDrawColor(r, g, b)
	})
}

// outlined writes the line grown by a stroke. Eastern letters stand too far apart for it to close the gaps between
// them: they get a ground of their own.
func (l *line) outlined(x, y float64, tone Tone, width float64) {
	c := tone.Light()
	l.p.SetTextColor(int(c.R), int(c.G), int(c.B))
	l.each(x, func(x float64, part *stretch) {
		if !part.east {
			l.stroked(x, y, part, tone, width)
			return
		}
		r, g, b := l.p.GetFillColor()
		l.p.SetFillColor(int(c.R), int(c.G), int(c.B))
		l.p.Rect(x, y-eastUp*l.size, Width(part.s, l.size, l.bold), (eastUp+eastDown)*l.size, "F")
		l.p.SetFillColor(r, g, b)
		grown := width
		if l.bold {
			grown += eastHeavy * l.size
		}
		l.stroked(x, y, part, tone, grown)
	})
}

func (l *line) stroked(x, y float64, part *stretch, tone Tone, width float64) {
	c := tone.Light()
	l.p.SetDrawColor(int(c.R), int(c.G), int(c.B))
	l.p.SetLineWidth(width)
	l.p.SetDashPattern(nil, 0)
	l.p.SetTextRenderingMode(2)
	l.p.Text(x, y, part.s)
	l.p.SetTextRenderingMode(0)
}
