package paper

import (
	"cmp"
	"strconv"
	"strings"

	"codeberg.org/go-pdf/fpdf"
	"github.com/golang/geo/r2"

	"voidline/reports/draw"
	"voidline/reports/meeting"
)

// The page, mm: A4 upright, room for a hole punch and for the running header.
const (
	pageWide, pageHigh = 210.0, 297.0
	left, right        = 14.0, 198.0
	top, bottom        = 20.0, 282.0
	wide               = right - left
	bottomMargin       = pageHigh - bottom - 4
)

// Type sizes, mm of type height (1 mm is 2.83 points), and the distance of lines.
const (
	body   = 2.9
	little = 2.5
	lead   = 1.32
)

// sheet is the document in the making: y is how far down the page at hand is written.
type sheet struct {
	p       *fpdf.Fpdf
	y       float64
	title   string
	date    string
	mid     string // of the running header, "" for the day of the report
	foot    string // of the running footer, "" for that of the report
	known   map[rune]bool
	heights []float64 // of the pages
	waiting []waits   // drawings that want a page of their own, behind the page at hand
	all     bool      // everything is written, not the printed edition
	out     []string  // what is left out of it
	lacks   bool      // a sign was met that the type does not have

	links map[string]int // anchor -> link
	pages map[string]int // anchor -> page
	refs  []ref
	ways  []way
}

// waits is a drawing that waits for a page; a name gives it a bookmark.
type waits struct {
	d    *draw.Drawing
	name string
}

// ref is a page number to be written when it is known.
type ref struct {
	page   int
	x, y   float64
	anchor string
}

// way is a place on a page that leads to an anchor, where the edition has it.
type way struct {
	page       int
	x, y, w, h float64
	anchor     string
}

// box stands for a sign that the type does not have.
const box = '□'

func newSheet(p *fpdf.Fpdf) *sheet {
	return &sheet{p: p, known: map[rune]bool{}, links: map[string]int{}, pages: map[string]int{}}
}

// clean replaces signs that the type does not have by a box, and takes note. The bold face has the same signs.
func (s *sheet) clean(t string) string {
	return strings.Map(func(r rune) rune {
		if r < 0x7f && r >= ' ' {
			return r
		}
		has, ok := s.known[r]
		if !ok {
			has = draw.Has(r)
			s.known[r] = has
		}
		if !has {
			s.lacks = true
			return box
		}
		return r
	}, draw.Compose(t))
}

func (s *sheet) newPage() {
	s.flush()
	s.add(pageWide, pageHigh)
}

func (s *sheet) add(w, h float64) {
	// Portrait takes the sides as they are given.
	s.p.AddPageFormat("P", fpdf.SizeType{Wd: w, Ht: h})
	s.heights = append(s.heights, h)
	s.y = top
}

// flush gives each drawing that waits a page of A4 lying, at its own size.
func (s *sheet) flush() {
	waiting := s.waiting
	s.waiting = nil
	for _, w := range waiting {
		d := w.d
		s.add(pageHigh, pageWide)
		if w.name != "" {
			name := s.clean(w.name)
			s.p.Bookmark(name, 1, top)
			s.say(left, top-2, draw.FitEnd(name, body, pageHigh-2*left, true), body, true, draw.Ink)
		}
		k := min(1, (pageHigh-2*left)/d.W, (pageWide-top-bottomMargin)/d.H)
		draw.Paint(s.p, d, left+(pageHigh-2*left-k*d.W)/2, top-2, k)
	}
}

// need begins a new page where less than h mm are left.
func (s *sheet) need(h float64) {
	if s.y+h > bottom && s.y > top {
		s.newPage()
	}
}

func (s *sheet) line(t draw.Tone, width, x0, y0, x1, y1 float64) {
	c := t.Light()
	s.p.SetDrawColor(int(c.R), int(c.G), int(c.B))
	s.p.SetLineWidth(width)
	s.p.SetLineCapStyle("butt")
	s.p.Line(x0, y0, x1, y1)
}

// say writes one line of clean text standing on y.
func (s *sheet) say(x, y float64, t string, size float64, bold bool, tone draw.Tone) {
	if t == "" {
		return
	}
	draw.Write(s.p, x, y, t, size, bold, tone)
}

// para writes a text from x on, folded at the right edge.
func (s *sheet) para(t string, x, size float64, bold bool, tone draw.Tone) {
	for _, l := range draw.Wrap(s.clean(t), size, right-x, bold) {
		s.need(size * lead)
		s.say(x, s.y+size, l, size, bold, tone)
		s.y += size * lead
	}
}

// point writes a text behind a dash.
func (s *sheet) point(t string) {
	s.need(body * lead)
	s.say(left+0.5, s.y+body, "–", body, false, draw.Soft)
	s.para(t, left+4, body, false, draw.Ink)
	s.y += 0.5
}

// heading writes the heading of a section on its line, with the mark of a level and its number in the report.
func (s *sheet) heading(sec meeting.Section, aside string) {
	s.y += 6
	s.need(30)
	const size = 4.6
	x := left + 6.5
	n := strconv.Itoa(sec.Number)
	t := sec.Title
	if aside != "" {
		t += ": " + aside
	}
	s.anchor(sec.ID, s.y-2)
	s.say(x, s.y+size, n, size, false, draw.Soft)
	s.say(x+draw.Width(n+" ", size, false), s.y+size, s.clean(t), size, true, draw.Ink)
	s.y += size + 1.8
	s.mark(left+3, s.y, 1.8)
	s.line(draw.Ink, 0.5, left, s.y, right, s.y)
	s.p.Bookmark(n+" "+s.clean(t), 0, s.y-size-2)
	s.y += 2.6
}

// mark draws the triangle of a level: its point stands on the line.
func (s *sheet) mark(x, y, half float64) {
	c := draw.Ink.Light()
	s.p.SetFillColor(int(c.R), int(c.G), int(c.B))
	s.p.Polygon([]fpdf.PointType{{X: x - half, Y: y - 1.5*half}, {X: x + half, Y: y - 1.5*half}, {X: x, Y: y}}, "F")
}

// sub writes a heading inside a section.
func (s *sheet) sub(t string) {
	s.y += 2
	s.need(14)
	s.para(t, left, 3.3, true, draw.Ink)
	s.y += 0.6
}

// anchor says that here is the place of an anchor.
func (s *sheet) anchor(name string, y float64) {
	s.p.SetLink(s.link(name), y, -1)
	s.pages[name] = s.p.PageNo()
}

func (s *sheet) link(name string) int {
	if _, ok := s.links[name]; !ok {
		s.links[name] = s.p.AddLink()
	}
	return s.links[name]
}

// stamp writes a stamp from x on, the line standing on y, and returns where it ends. Each word has its own
// frame: filled, double, plain, dashed.
func (s *sheet) stamp(x, y float64, word string) float64 {
	const size = 2.2
	w := draw.Width(word, size, true) + 2
	ink := draw.Ink.Light()
	s.p.SetDrawColor(int(ink.R), int(ink.G), int(ink.B))
	s.p.SetLineWidth(0.25)
	y0, h := y-size*0.95, size*1.3
	tone := draw.Ink
	switch word {
	case "new":
		s.p.SetFillColor(int(ink.R), int(ink.G), int(ink.B))
		s.p.Rect(x, y0, w, h, "FD")
		tone = draw.Paper
	case "back":
		s.p.Rect(x, y0, w, h, "D")
		s.p.Rect(x-0.6, y0-0.6, w+1.2, h+1.2, "D")
	case "agreed":
		s.p.SetDashPattern([]float64{0.8, 0.5}, 0)
		s.p.Rect(x, y0, w, h, "D")
		s.p.SetDashPattern(nil, 0)
	case "cleared":
		s.p.SetDashPattern([]float64{0.25, 0.6}, 0)
		s.p.Rect(x, y0, w, h, "D")
		s.p.SetDashPattern(nil, 0)
	default:
		s.p.Rect(x, y0, w, h, "D")
	}
	s.say(x+1, y-0.15, word, size, true, tone)
	return x + w + 1.8
}

// column is a column of a table. width is a share of the room that is left by the others; figures stand to the
// right.
type column struct {
	head  string
	share float64
	right bool
}

// cell is what stands in a table: lines, the first plain and the others small, or a stamp.
type cell struct {
	text  string
	small string
	bold  bool
	stamp string
	to    string // an anchor that it leads to
	here  string // an anchor that stands here
	page  string // an anchor whose page number it shows
}

func c(t string) cell           { return cell{text: t} }
func n(v int) cell              { return cell{text: dash(v)} }
func strong(t string) cell      { return cell{text: t, bold: true} }
func linked(t, to string) cell  { return cell{text: t, to: to} }
func also(t, small string) cell { return cell{text: t, small: small} }
func stamped(word string) cell  { return cell{stamp: word} }
func pageOf(anchor string) cell { return cell{page: anchor, to: anchor} }
func dash(v int) string         { return map[bool]string{true: "–", false: strconv.Itoa(v)}[v == 0] }

// frame is where a table stands: between two sides, down to bottom; where last is not 0 it goes over no page behind that one. Where least is
// not 0 people write into it: its rows are that high at the least, mm, and its columns are ruled.
type frame struct {
	from, to, bottom float64
	last             int
	least            float64
}

// whole is the frame of a page.
func whole() frame { return frame{left, right, bottom, 0, 0} }

// Sizes of a table.
const (
	tablePad  = 1.1
	tableType = 2.7
	tableFine = little * 0.94
)

// tablePage is the page of a table of the document.
type tablePage struct {
	*sheet
	fr frame
}

func (t tablePage) Say(x, y float64, d draw.Text) { t.say(x, y, d.S, d.Size, d.Bold, d.Tone) }
func (t tablePage) Rule(tone draw.Tone, width, x0, y0, x1, y1 float64) {
	t.line(tone, width, x0, y0, x1, y1)
}
func (t tablePage) Left() (y, bottom float64) { return t.y, t.fr.bottom }
func (t tablePage) Down(y float64)            { t.y = y }
func (t tablePage) Turn() bool {
	if t.fr.last > 0 && t.p.PageNo() >= t.fr.last {
		return false
	}
	t.newPage()
	return true
}

// Cell makes of a cell what is more than its text.
func (t tablePage) Cell(c draw.Cell, b r2.Rect) {
	k := c.More.(cell)
	if k.stamp != "" {
		t.stamp(b.X.Lo+tablePad, b.Y.Lo+tableType, k.stamp)
	}
	if k.page != "" {
		t.refs = append(t.refs, ref{t.p.PageNo(), b.X.Hi - tablePad, b.Y.Lo + tableType, k.page})
	}
	if k.to != "" {
		t.ways = append(t.ways, way{t.p.PageNo(), b.X.Lo, b.Y.Lo, b.X.Length(), b.Y.Length(), k.to})
	}
	if k.here != "" {
		t.anchor(k.here, b.Y.Lo-1)
	}
}

// set is a table as it is set in the document.
func (s *sheet) set(fr frame, cols []column, rows [][]cell, foot []cell) *draw.Table {
	t := &draw.Table{TableStyle: draw.TableStyle{
		Size: tableType, Fine: tableFine, Head: little, Lead: lead, Pad: tablePad, Gap: 1.2, Rule: 0.35, Thin: 0.12, Least: fr.least, Tone: draw.Faint,
	}}
	for _, k := range cols {
		t.Columns = append(t.Columns, draw.Column{Head: s.clean(k.head), Share: k.share, Right: k.right})
	}
	row := func(cells []cell) []draw.Cell {
		out := make([]draw.Cell, len(cells))
		for i, k := range cells {
			var small []string
			if k.small != "" {
				small = strings.Split(k.small, "\n")
			}
			for n, l := range small {
				small[n] = s.clean(l)
			}
			out[i] = draw.Cell{Text: s.clean(k.text), Small: strings.Join(small, "\n"), Bold: k.bold, More: k}
		}
		return out
	}
	for _, r := range rows {
		t.Rows = append(t.Rows, row(r))
	}
	if foot != nil {
		t.Foot = row(foot)
	}
	return t
}

// measure returns how high a table will be on one page.
func (s *sheet) measure(fr frame, cols []column, rows [][]cell) float64 {
	return s.set(fr, cols, rows, nil).Height(fr.from, fr.to)
}

// table writes a table over the width of the page.
func (s *sheet) table(cols []column, rows [][]cell, foot []cell) {
	s.tableIn(whole(), cols, rows, foot)
}

// tableIn writes a table; it returns how many rows have found room.
func (s *sheet) tableIn(fr frame, cols []column, rows [][]cell, foot []cell) int {
	s.y += 1
	if fr.last == 0 {
		s.need(16) // the head, and a row
	}
	n := s.set(fr, cols, rows, foot).Write(tablePage{s, fr}, fr.from, fr.to)
	s.y += 1.5
	return n
}

// finish writes what is known only at the end: page numbers, where bays stand, the running header and footer.
func (s *sheet) finish() {
	s.flush()
	total := s.p.PageCount()
	_, last := s.p.GetPageSize()
	// down turns a place on a page of another height into one as the library counts, which measures from the
	// foot of the last page.
	down := func(page int, y float64) float64 { return y + last - s.heights[page-1] }
	for _, w := range s.ways {
		if _, ok := s.pages[w.anchor]; ok {
			s.p.SetPage(w.page)
			s.p.Link(w.x, down(w.page, w.y), w.w, w.h, s.link(w.anchor))
		}
	}
	for _, r := range s.refs {
		s.p.SetPage(r.page)
		s.fresh()
		t := "–"
		if n, ok := s.pages[r.anchor]; ok {
			t = strconv.Itoa(n)
		}
		s.say(r.x-draw.Width(t, 2.7, false), down(r.page, r.y), t, 2.7, false, draw.Ink)
	}
	for i := 1; i <= total; i++ {
		s.p.SetPage(i)
		s.fresh()
		end, foot := right, 288.6
		if s.heights[i-1] < pageHigh {
			end, foot = pageHigh-left, pageWide-7
		}
		y := down(i, 12.6)
		s.say(left, y, draw.FitEnd(s.title, 2.6, 120, true), 2.6, true, draw.Ink)
		t := "page " + strconv.Itoa(i) + " of " + strconv.Itoa(total)
		s.say(end-draw.Width(t, 2.6, false), y, t, 2.6, false, draw.Ink)
		mid := cmp.Or(s.mid, "report of "+s.date)
		s.say(end-32-draw.Width(mid, 2.6, false), y, mid, 2.6, false, draw.Soft)
		s.line(draw.Ink, 0.35, left, y+1.8, end, y+1.8)
		said := cmp.Or(s.foot, "A check of the data given, not a survey: levels are to be verified on site before anything is fixed.")
		if s.lacks {
			said += "  □: a letter that this type does not have; report.html and findings.csv have it."
		}
		s.say(left, down(i, foot), said, 2.2, false, draw.Soft)
	}
	s.p.SetPage(total)
}

// fresh makes what is set next be written to a page that was left: its font, and the colour of its letters, which is written only where it is not
// that of what is filled. The page may have been left with any of the two.
func (s *sheet) fresh() {
	s.p.SetFont(draw.Family, "", 1)
	s.p.SetFillColor(255, 255, 255)
}
