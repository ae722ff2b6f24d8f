package draw

import (
	"math"
	"strings"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"
)

// Table is rows under a head that stands again on every page. Every document and sheet lays its tables out by it.
type Table struct {
	Columns []Column
	Rows    [][]Cell
	Foot    []Cell // a last row, nil for none
	TableStyle
}

// Column is a column. Share is its part of the width, but for what heads need: no word of a head is broken. Figures stand to the right.
type Column struct {
	Head  string
	Share float64
	Right bool
}

// Cell is what stands in a table: a text, and under it small lines. More is what the page makes of it besides, such as a link.
type Cell struct {
	Text  string
	Small string
	Bold  bool
	More  any
}

// TableStyle is how a table is set: heights of type of its cells, of their small lines and of its head, mm; the distance of lines in heights of type;
// what stands free at the sides of a cell and between rows, mm.
type TableStyle struct {
	Size, Fine, Head float64
	Lead, Pad, Gap   float64
	Rule, Thin       float64 // widths of the lines over and under the head, and between rows
	Most             int     // lines that a cell may take, the last cut short; 0: as many as it needs
	Least            float64 // height of a row that people write into, whose columns are ruled then; 0: none is
	Tone             Tone    // of the lines between rows
}

// descent is how far a g reaches under its line, in heights of type.
const descent = 0.27

// Page is what a table is written on.
type Page interface {
	Say(x, y float64, t Text)
	Rule(tone Tone, width, x0, y0, x1, y1 float64)
	Left() (y, bottom float64) // from where to where the page is free
	Down(y float64)            // it is written so far
	Turn() bool                // the next page; false where this table has none
	Cell(c Cell, box r2.Rect)  // a cell begins here
}

// Wrap breaks a text into lines no wider than width, at blanks and between ideographs; a word wider than that is
// broken inside, no sign is lost.
func Wrap(t string, size, width float64, bold bool) []string {
	var lines []string
	line, used := "", 0.0
	blank := Width(" ", size, bold)
	put := func(gap, w string, room float64) {
		v := Width(w, size, bold)
		if line != "" && used+room+v <= width {
			line, used = line+gap+w, used+room+v
			return
		}
		if line != "" {
			lines = append(lines, line)
			line, used = "", 0
		}
		for v > width {
			n, u, soft := 0, 0.0, 0
			for i, r := range w {
				a := Width(string(r), size, bold)
				if u+a > width && i > 0 {
					break
				}
				u += a
				n = i + len(string(r))
				if strings.ContainsRune("-/_:;,.+", r) && u > width/2 {
					soft = n
				}
			}
			if soft > 0 && n < len(w) {
				n = soft
			}
			lines = append(lines, w[:n])
			w = w[n:]
			v = Width(w, size, bold)
		}
		line, used = w, v
	}
	for _, w := range strings.Fields(t) {
		gap, room := " ", blank
		for _, piece := range Pieces(w) {
			put(gap, piece, room)
			gap, room = "", 0
		}
	}
	if line != "" || len(lines) == 0 {
		lines = append(lines, line)
	}
	return lines
}

// sides returns where the columns begin, and where the last ends.
func (t *Table) sides(from, to float64) []float64 {
	wide := make([]float64, len(t.Columns))
	held := make([]bool, len(t.Columns))
	for again := true; again; {
		again = false
		left, sum := to-from, 0.0
		for i, k := range t.Columns {
			if held[i] {
				left -= wide[i]
			} else {
				sum += k.Share
			}
		}
		for i, k := range t.Columns {
			if held[i] {
				continue
			}
			wide[i] = left * k.Share / sum
			need := 0.0
			for _, w := range strings.Fields(k.Head) {
				need = math.Max(need, Width(w, t.Head, true)+2*t.Pad)
			}
			if wide[i] < need && need < (to-from)/3 {
				wide[i], held[i], again = need, true, true
			}
		}
	}
	x := make([]float64, len(wide)+1)
	x[0] = from
	for i, w := range wide {
		x[i+1] = x[i] + w
	}
	return x
}

// laid is what stands in a cell, in lines.
type laid struct {
	lines []string
	small int // from this line on
}

// high returns how high the lines are, from one on.
func (t *Table) high(l *laid, from int) float64 {
	n := float64(len(l.lines))
	small := n - math.Max(float64(l.small), float64(from))
	return t.Lead * (t.Fine*small + t.Size*(n-small-float64(from)))
}

// lay breaks the cells of a row into lines and returns how high it is.
func (t *Table) lay(x []float64, cells []Cell) (sets []laid, high float64) {
	sets = make([]laid, len(cells))
	for i, k := range cells {
		w := x[i+1] - x[i] - 2*t.Pad
		var l laid
		switch t.Most {
		case 0:
			l.lines = Wrap(k.Text, t.Size, w, k.Bold)
		case 1:
			l.lines = []string{Fit(k.Text, t.Size, w, k.Bold)}
		default:
			l.lines = Fold(k.Text, t.Size, w, k.Bold, t.Most)
		}
		l.small = len(l.lines)
		if k.Small != "" {
			for s := range strings.SplitSeq(k.Small, "\n") {
				l.lines = append(l.lines, Wrap(s, t.Fine, w, false)...)
			}
		}
		sets[i] = l
		high = math.Max(high, t.high(&l, 0))
	}
	return sets, math.Max(high, t.Least)
}

// heads breaks the heads into lines and returns how high they are.
func (t *Table) heads(x []float64) (lines [][]string, high float64) {
	lines = make([][]string, len(t.Columns))
	most := 1
	for i, k := range t.Columns {
		lines[i] = Wrap(k.Head, t.Head, x[i+1]-x[i]-2*t.Pad, true)
		most = max(most, len(lines[i]))
	}
	return lines, float64(most)*t.Head*t.Lead + t.Gap
}

// Height returns how high the table will be on one page.
func (t *Table) Height(from, to float64) float64 {
	x := t.sides(from, to)
	_, h := t.heads(x)
	rows := t.Rows
	if t.Foot != nil {
		rows = append(rows[:len(rows):len(rows)], t.Foot)
	}
	for _, r := range rows {
		_, high := t.lay(x, r)
		h += high + t.Gap
	}
	return h + t.Gap
}

// Fits returns how many rows, under the head, a height has room for.
func (t *Table) Fits(from, to, high float64) int {
	x := t.sides(from, to)
	_, h := t.heads(x)
	h += t.Gap
	for i, r := range t.Rows {
		_, more := t.lay(x, r)
		if h += more + t.Gap; h > high {
			return i
		}
	}
	return len(t.Rows)
}

// Write writes the table between two sides of a page and those after it. A row stands on one page where it fits on one. It returns how many rows
// have found room.
func (t *Table) Write(p Page, from, to float64) int {
	x := t.sides(from, to)
	above, below := t.Gap*5/12, t.Gap*7/12
	under := math.Max(0.75*t.Gap, descent*t.Head+t.TableStyle.Rule/2) // the last line of the head: a g stands clear of the line under it
	head := func() {
		lines, h := t.heads(x)
		y, _ := p.Left()
		p.Rule(Ink, t.TableStyle.Rule, from, y, to, y)
		for i, k := range t.Columns {
			for j, l := range lines[i] {
				s := Text{S: l, Size: t.Head, Bold: true, Tone: Ink}
				p.Say(t.across(&s, x, i, k.Right), y+h-under-float64(len(lines[i])-1-j)*t.Head*t.Lead, s)
			}
		}
		y += h
		p.Rule(Ink, t.TableStyle.Rule, from, y, to, y)
		p.Down(y + above)
	}
	row := func(cells []Cell, last bool) bool {
		sets, h := t.lay(x, cells)
		y, bottom := p.Left()
		if y+h+below > bottom {
			// Most rows are a line or two; one that is higher than a page goes on over the edge.
			full := p.Turn()
			if !full {
				return false
			}
			head()
		}
		for done := 0; ; {
			y0, bottom := p.Left()
			low, more := y0, 0
			for i, k := range cells {
				y := y0
				for j := done; j < len(sets[i].lines); j++ {
					s := Text{S: sets[i].lines[j], Size: t.Size, Bold: k.Bold, Tone: Ink}
					if j >= sets[i].small {
						s = Text{S: s.S, Size: t.Fine, Tone: Soft}
					}
					if y+s.Size*t.Lead > bottom && j > done {
						more = max(more, j)
						break
					}
					p.Say(t.across(&s, x, i, t.Columns[i].Right), y+s.Size, s)
					y += s.Size * t.Lead
				}
				low = math.Max(low, y)
			}
			if done == 0 {
				low = math.Max(low, y0+t.Least)
				for i, k := range cells {
					p.Cell(k, r2.Rect{X: r1.Interval{Lo: x[i], Hi: x[i+1]}, Y: r1.Interval{Lo: y0, Hi: low}})
				}
			}
			if t.Least > 0 {
				for _, at := range x {
					p.Rule(Faint, t.Thin, at, y0-above, at, low+below)
				}
			}
			p.Down(low)
			if more == 0 || !p.Turn() {
				break
			}
			done = more
			head()
		}
		y, _ = p.Left()
		y += below
		if last {
			p.Rule(Ink, t.TableStyle.Rule, from, y, to, y)
		} else {
			p.Rule(t.Tone, t.Thin, from, y, to, y)
		}
		p.Down(y + above)
		return true
	}
	head()
	n := 0
	for i, r := range t.Rows {
		if !row(r, i == len(t.Rows)-1 && t.Foot != nil) {
			return n
		}
		n++
	}
	if t.Foot != nil {
		row(t.Foot, false)
	}
	return n
}

// across returns where a line of a column begins.
func (t *Table) across(s *Text, x []float64, i int, right bool) float64 {
	if right {
		return x[i+1] - t.Pad - Width(s.S, s.Size, s.Bold)
	}
	return x[i] + t.Pad
}
