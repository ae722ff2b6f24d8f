package paper

import (
	"fmt"
	"io"
	"math"
	"strconv"

	"voidline/clash/finding"
	"voidline/clash/setout"
	"voidline/reports/draw"
	sheets "voidline/reports/setout"
	"voidline/reports/words"
)

// Columns of the form: where each ends, mm from the left margin, and what stands over it.
var formColumns = []struct {
	head string
	to   float64
}{{"No", 10}, {"What, and where", 84}, {"Drawn", 101}, {"Reading", 127}, {"Set-up", 142}, {"Not seen", 157}, {"Note", wide}}

// formRow is the height of a row, mm: room for figures written by hand on a knee.
const formRow = 8.4

// Form writes the form to walk a floor with: A4, a page begun for each storey. name is that of the project, storeys are the names of its storeys.
func Form(w io.Writer, points []setout.Point, name string, storeys []string) error {
	p := draw.NewPDF(pageWide, pageHigh, draw.PDFOptions{})
	s := newSheet(p)
	if name == "" {
		name = "Project without a name"
	}
	s.title, s.mid, s.foot = s.clean("voidline: "+name), "levels as found", "Drawn levels are as in the tables; what is read goes before them. Beam undersides and rows: bare section, without insulation."
	p.SetTitle(s.clean(name+": form to walk the floor with"), true)
	p.SetLang("en")
	for i := 0; i < len(points); {
		to := i
		for to < len(points) && points[to].Storey == points[i].Storey {
			to++
		}
		s.newPage()
		s.formHead(points[i], storeys)
		s.formRows(points[i:to])
		i = to
	}
	if len(points) == 0 {
		s.newPage()
		s.para("No bay, no beam and nothing that is fixed: there is nothing to read.", left, body, false, draw.Ink)
	}
	s.finish()
	if err := p.Output(w); err != nil {
		return fmt.Errorf("PDF: %w", err)
	}
	return nil
}

// formHead writes how the form is filled in, and the checks of each set-up.
func (s *sheet) formHead(q setout.Point, storeys []string) {
	said := "Levels as found"
	if n := storeys[q.Storey]; n != "" {
		said += ": " + n
	}
	s.para(said, left, 5, true, draw.Ink)
	s.y += 3
	s.say(left, s.y+body, fmt.Sprintf("Datum line FFL%+.0f", q.Datum-q.FFL), body, false, draw.Ink)
	for _, k := range [...]struct {
		said     string
		from, to float64
	}{{"Read by", 60, 120}, {"Day", 128, wide}} {
		s.say(left+k.from, s.y+body, k.said, body, false, draw.Ink)
		s.line(draw.Ink, 0.2, left+k.from+draw.Width(k.said, body, false)+2, s.y+body+0.4, left+k.to, s.y+body+0.4)
	}
	s.y += body + 3
	for _, l := range sheets.FormHead() {
		s.point(l)
	}
	s.y += 2
	// The checks back to the datum line.
	w := [...]float64{24, 40, 40, 40, wide - 144}
	x := left
	for i, h := range [...]string{"Set-up", "Datum, first", "Datum, last", "Misclose", "At most " + words.Near(finding.MiscloseMost) + "; else read again"} {
		s.say(x+1, s.y+little, h, little, true, draw.Ink)
		x += w[i]
	}
	s.y += little + 1.4
	for range 3 {
		s.grid(w[:4], 7)
	}
	s.y += 4
}

// grid draws a row of boxes, so many mm wide, and steps under it.
func (s *sheet) grid(widths []float64, high float64) {
	x := left
	for _, w := range widths {
		for _, e := range [...][4]float64{{x, s.y, x + w, s.y}, {x, s.y + high, x + w, s.y + high}, {x, s.y, x, s.y + high}, {x + w, s.y, x + w, s.y + high}} {
			s.line(draw.Ink, 0.2, e[0], e[1], e[2], e[3])
		}
		x += w
	}
	s.y += high
}

// formRows writes the points; the head of the table stands again on every page.
func (s *sheet) formRows(points []setout.Point) {
	var widths []float64
	from := 0.0
	for _, k := range formColumns {
		widths = append(widths, k.to-from)
		from = k.to
	}
	head := func() {
		x := left
		for i, k := range formColumns {
			s.say(x+1, s.y+little, k.head, little, true, draw.Ink)
			x += widths[i]
		}
		s.y += little + 1.4
	}
	head()
	last := ""
	for i := range points {
		q := &points[i]
		about := q.What + q.Bay + q.Zone
		if s.y+formRow > bottom {
			s.newPage()
			head()
			last = ""
		} else if i > 0 && about != last {
			s.line(draw.Ink, 0.6, left, s.y, right, s.y)
		}
		last = about
		y := s.y
		s.grid(widths, formRow)
		s.say(left+1, y+5.4, strconv.Itoa(q.No), body, false, draw.Ink)
		room := widths[1] - 2
		name, place := s.clean(sheets.PointName(q)), s.clean(q.Place)
		if place == "" {
			s.say(left+11, y+5.4, draw.Fit(name, body, room, true), body, true, draw.Ink)
		} else {
			s.say(left+11, y+3.5, draw.Fit(name, body, room, true), body, true, draw.Ink)
			s.say(left+11, y+7.1, draw.Fit(place, body, room, false), body, false, draw.Ink)
		}
		drawn := fmt.Sprintf("%+g", words.Tenth(q.Drawn-q.Datum))
		if math.Abs(q.Drawn-q.Datum) < 0.05 {
			drawn = "0"
		}
		s.say(left+formColumns[2].to-1.5-draw.Width(drawn, body, false), y+5.4, drawn, body, false, draw.Ink)
	}
}
