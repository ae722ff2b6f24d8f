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

// Family is the name under which AddFonts makes the fonts known.
const Family = "voidline"

// AddFonts makes the fonts of drawings known to a PDF, "" and "B".
func AddFonts(p *fpdf.Fpdf) {
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
	AddFonts(p)
	return p
}

// PDF writes the drawing as a PDF of one page, the size of its sheet.
func PDF(w io.Writer, d *Drawing, o PDFOptions) error {
	p := NewPDF(d.W, d.H, o)
	p.SetTitle(printable(d.Name, false), true)
	p.SetSubject(printable(d.Desc, false), true)
	p.AddPage()
	Paint(p, d, 0, 0, 1)
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
	style := ""
	if t.Bold {
		style = "B"
	}
	s := printable(t.S, t.Bold)
	p.SetFont(Family, style, t.Size*factor/pointMM)
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
		c := Paper.Light()
		p.SetDrawColor(int(c.R), int(c.G), int(c.B))
		p.SetTextColor(int(c.R), int(c.G), int(c.B))
		p.SetLineWidth(haloWidth(t.Size) * factor)
		p.SetDashPattern(nil, 0)
		p.SetTextRenderingMode(2)
		p.Text(left, y, s)
		p.SetTextRenderingMode(0)
	}
	c := t.Tone.Light()
	p.SetTextColor(int(c.R), int(c.G), int(c.B))
	p.Text(left, y, s)
	if t.Up {
		p.TransformEnd()
	}
}
