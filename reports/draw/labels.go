package draw

import (
	"math"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"
)

// Labels finds room for words and marks on a sheet: none stands over another, none leaves the page, and none lies where a line of the drawing
// goes that would strike it through. Every drawing places its words by it. Places are paper mm from the upper left corner of the sheet.
type Labels struct {
	page  r2.Rect
	boxes []r2.Rect
	lines [][2]r2.Point
	cells map[[2]int32]*cell
}

// cell is what lies in a square of the sheet, so that little is looked at.
type cell struct{ boxes, lines []int32 }

const cellSide = 10.0 // mm

// NewLabels returns a page on which nothing stands.
func NewLabels(page r2.Rect) *Labels { return &Labels{page: page, cells: map[[2]int32]*cell{}} }

// TextBox returns what a text takes of the sheet where it is said at (x, y), its anchor heeded.
func TextBox(t Text, x, y float64) r2.Rect {
	const high, deep = 0.78, 0.24 // over and under the line that letters stand on, in heights of type
	w, lo := Width(t.S, t.Size, t.Bold), 0.0
	switch t.Anchor {
	case Middle:
		lo = -w / 2
	case End:
		lo = -w
	}
	if t.Up {
		return r2.Rect{X: r1.Interval{Lo: x - high*t.Size, Hi: x + deep*t.Size}, Y: r1.Interval{Lo: y - lo - w, Hi: y - lo}}
	}
	return r2.Rect{X: r1.Interval{Lo: x + lo, Hi: x + lo + w}, Y: r1.Interval{Lo: y - high*t.Size, Hi: y + deep*t.Size}}
}

// over calls do for the squares that a place touches, until it returns false.
func (l *Labels) over(r r2.Rect, do func([2]int32) bool) {
	at := func(v float64) int32 { return int32(math.Floor(math.Max(-1e4, math.Min(1e4, v)) / cellSide)) }
	for x := at(r.X.Lo); x <= at(r.X.Hi); x++ {
		for y := at(r.Y.Lo); y <= at(r.Y.Hi); y++ {
			if !do([2]int32{x, y}) {
				return
			}
		}
	}
}

func (l *Labels) in(k [2]int32) *cell {
	c := l.cells[k]
	if c == nil {
		c = &cell{}
		l.cells[k] = c
	}
	return c
}

// Take keeps places free from words and marks that come later.
func (l *Labels) Take(rs ...r2.Rect) {
	for _, r := range rs {
		if r.IsEmpty() {
			continue
		}
		l.boxes = append(l.boxes, r)
		l.over(r, func(k [2]int32) bool {
			c := l.in(k)
			c.boxes = append(c.boxes, int32(len(l.boxes)-1))
			return true
		})
	}
}

// Line keeps words that come later off a line through some points.
func (l *Labels) Line(p ...r2.Point) {
	for i := 0; i+1 < len(p); i++ {
		l.lines = append(l.lines, [2]r2.Point{p[i], p[i+1]})
		l.over(r2.RectFromPoints(p[i], p[i+1]), func(k [2]int32) bool {
			c := l.in(k)
			c.lines = append(c.lines, int32(len(l.lines)-1))
			return true
		})
	}
}

// Free reports whether a place is on the page, nothing stands on it and no line goes through it.
func (l *Labels) Free(r r2.Rect) bool {
	if !l.page.Contains(r) {
		return false
	}
	free := true
	l.over(r, func(k [2]int32) bool {
		c := l.cells[k]
		if c == nil {
			return true
		}
		for _, i := range c.boxes {
			free = free && !r.InteriorIntersects(l.boxes[i])
		}
		for _, i := range c.lines {
			free = free && !crosses(r, l.lines[i][0], l.lines[i][1])
		}
		return free
	})
	return free
}

// Clear reports whether a line through some points crosses nothing that stands there.
func (l *Labels) Clear(p ...r2.Point) bool {
	clear := true
	for i := 0; i+1 < len(p) && clear; i++ {
		l.over(r2.RectFromPoints(p[i], p[i+1]), func(k [2]int32) bool {
			if c := l.cells[k]; c != nil {
				for _, j := range c.boxes {
					clear = clear && !crosses(l.boxes[j], p[i], p[i+1])
				}
			}
			return clear
		})
	}
	return clear
}

// crosses reports whether a line from a to b goes through the inside of a box.
func crosses(box r2.Rect, a, b r2.Point) bool {
	lo, hi := 0.0, 1.0
	for _, k := range [2][4]float64{{a.X, b.X - a.X, box.X.Lo, box.X.Hi}, {a.Y, b.Y - a.Y, box.Y.Lo, box.Y.Hi}} {
		if math.Abs(k[1]) < 1e-12 {
			if k[0] <= k[2] || k[0] >= k[3] {
				return false
			}
			continue
		}
		s, e := (k[2]-k[0])/k[1], (k[3]-k[0])/k[1]
		lo, hi = math.Max(lo, math.Min(s, e)), math.Min(hi, math.Max(s, e))
	}
	return lo < hi
}

// Put says a text at the first of some places where it has room, and takes that; false where it has none.
func (l *Labels) Put(d *Drawing, t Text, at ...r2.Point) bool {
	for _, p := range at {
		if b := TextBox(t, p.X, p.Y); l.Free(parted(b, t)) {
			l.Take(b)
			d.Say(p.X, p.Y, t)
			return true
		}
	}
	return false
}

// parted returns what a text takes with a blank before and behind it, so that two on one line do not read as one.
func parted(b r2.Rect, t Text) r2.Rect {
	blank := 0.25 * t.Size
	if t.Up {
		return b.Expanded(r2.Point{Y: blank})
	}
	return b.Expanded(r2.Point{X: blank})
}

// Beside returns the place nearest to at, in rings a step apart, at which a mark has room: box is what the mark takes there, and the line from
// there to at crosses nothing. also, where it is not nil, has a say besides. ok is false where all is taken.
func (l *Labels) Beside(at r2.Point, step float64, box func(r2.Point) r2.Rect, also func(r2.Rect) bool) (place r2.Point, ok bool) {
	return rings(at, step, func(p r2.Point) bool {
		b := box(p)
		return l.Free(b) && (also == nil || also(b)) && (p == at || l.Clear(p, at.Add(p.Sub(at).Normalize().Mul(0.5))))
	})
}

// Nearest is Beside whatever the line from there to at crosses.
func (l *Labels) Nearest(at r2.Point, step float64, box func(r2.Point) r2.Rect) (place r2.Point, ok bool) {
	return rings(at, step, func(p r2.Point) bool { return l.Free(box(p)) })
}

// rings looks for a place at and round a point.
func rings(at r2.Point, step float64, fits func(r2.Point) bool) (place r2.Point, ok bool) {
	if fits(at) {
		return at, true
	}
	for ring := 1.0; ring <= 24; ring++ {
		n := 16
		if ring > 6 {
			n = 32
		}
		for k := range n {
			sin, cos := math.Sincos(2*math.Pi*float64(k)/float64(n) + math.Pi/2)
			if try := at.Add(r2.Point{X: cos, Y: -sin}.Mul(ring * step)); fits(try) {
				return try, true
			}
		}
	}
	return at, false
}
