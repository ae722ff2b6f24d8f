// Package legible holds drawings against what a person needs to read them: no words over other words, nothing beyond the sheet, none that a
// line strikes through or an area covers. It goes by what is painted, in the order of painting, not by what placed it.
package legible

import (
	"fmt"
	"math"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"

	"voidline/reports/draw"
)

// Of letters, in heights of type: capitals stand so high over the line, tails hang so far under it (the Go fonts, measured), and a line strikes
// a word through where it runs within the body of its letters.
const (
	high, deep       = 0.73, 0.21
	bodyTop, bodyLow = 0.58, 0.06
	slack            = 0.15 // mm of paper that make no difference
)

// said is a text and the places of the sheet that it takes.
type said struct {
	draw.Text
	all, body r2.Rect
	halo      bool // or a ground of its own, under it
}

// Faults lists what cannot be read on a drawing.
func Faults(d *draw.Drawing) []string {
	var out []string
	var texts []said
	add := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	near := newGrid()
	at := map[int]int{} // item -> text
	for i, it := range d.Items {
		t, is := it.(draw.Text)
		if !is || t.S == "" {
			continue
		}
		s := said{Text: t, all: box(d, &t, high, deep, 0), body: box(d, &t, bodyTop, -bodyLow, 0.3), halo: t.Halo}
		if s.all.X.Lo < -slack || s.all.Y.Lo < -slack || s.all.X.Hi > d.W+slack || s.all.Y.Hi > d.H+slack {
			add("%q leaves the sheet: %.1f to %.1f, %.1f to %.1f of %.0f x %.0f", t.S, s.all.X.Lo, s.all.X.Hi, s.all.Y.Lo, s.all.Y.Hi, d.W, d.H)
		}
		k := len(texts)
		near.each(s.all, func(j int) {
			if v := texts[j].all.Intersection(s.all); !v.IsEmpty() && v.X.Length() > slack && v.Y.Length() > slack {
				add("%q stands over %q at %.1f, %.1f", t.S, texts[j].S, v.Center().X, v.Center().Y)
			}
		})
		texts = append(texts, s)
		near.put(s.all, k)
		at[i] = k
	}
	// The last ground of each text, and what is painted after it.
	ground := make([]int, len(texts))
	order := make([]int, len(texts))
	for i, k := range at {
		order[k] = i
		ground[k] = -1
	}
	told := map[[2]int]bool{}
	for i, it := range d.Items {
		p, is := it.(draw.Path)
		if !is || len(p.Steps) == 0 {
			continue
		}
		lines := flat(d, p.Steps)
		page := r2.Rect{X: r1.Interval{Hi: d.W}, Y: r1.Interval{Hi: d.H}}.ExpandedByMargin(0.5)
		for _, l := range lines {
			if r := r2.RectFromPoints(l...); !page.Contains(r) && len(out) < 100 {
				add("a line reaches %.1f to %.1f, %.1f to %.1f of %.0f x %.0f", r.X.Lo, r.X.Hi, r.Y.Lo, r.Y.Hi, d.W, d.H)
			}
		}
		if p.Fill != draw.None {
			all := r2.EmptyRect()
			for _, l := range lines {
				all = all.Union(r2.RectFromPoints(l...))
			}
			near.each(all, func(k int) {
				b := texts[k].body
				if i < order[k] {
					if all.Contains(b) && within(lines, b) {
						ground[k] = i // what was painted before is not seen under it
					}
				} else if v := all.Intersection(b); !v.IsEmpty() && v.X.Length() > slack && v.Y.Length() > slack && within(lines, v) && !told[[2]int{k, 0}] {
					told[[2]int{k, 0}] = true
					add("%q is covered at %.1f, %.1f", texts[k].S, v.Center().X, v.Center().Y)
				}
			})
		}
	}
	for i, it := range d.Items {
		p, is := it.(draw.Path)
		if !is || p.Line == draw.None {
			continue
		}
		for _, l := range flat(d, p.Steps) {
			for j := 0; j+1 < len(l); j++ {
				a, b := l[j], l[j+1]
				near.each(r2.RectFromPoints(a, b), func(k int) {
					s := &texts[k]
					if i < order[k] && (s.halo || i <= ground[k]) || told[[2]int{k, 1}] {
						return
					}
					if crosses(s.body, a, b) {
						told[[2]int{k, 1}] = true
						add("%q is struck through at %.1f, %.1f by a line from %.1f, %.1f to %.1f, %.1f", s.S, s.body.Center().X, s.body.Center().Y, a.X, a.Y, b.X, b.Y)
					}
				})
			}
		}
	}
	return out
}

// box returns what a text takes of the sheet, from so high over its line to so deep under it, less an edge at either end.
func box(d *draw.Drawing, t *draw.Text, over, under, edge float64) r2.Rect {
	x, y := d.On(t.At)
	w := draw.Width(t.S, t.Size, t.Bold)
	lo := 0.0
	switch t.Anchor {
	case draw.Middle:
		lo = -w / 2
	case draw.End:
		lo = -w
	}
	e := math.Min(edge, w/3)
	if t.Up {
		return r2.Rect{X: r1.Interval{Lo: x - over*t.Size, Hi: x + under*t.Size}, Y: r1.Interval{Lo: y - lo - w + e, Hi: y - lo - e}}
	}
	return r2.Rect{X: r1.Interval{Lo: x + lo + e, Hi: x + lo + w - e}, Y: r1.Interval{Lo: y - over*t.Size, Hi: y + under*t.Size}}
}

// flat returns steps as polylines of the sheet; a curve is cut into four.
func flat(d *draw.Drawing, steps []draw.Step) [][]r2.Point {
	var out [][]r2.Point
	var line []r2.Point
	on := func(p r2.Point) r2.Point {
		x, y := d.On(p)
		return r2.Point{X: x, Y: y}
	}
	for _, s := range steps {
		switch s.Op {
		case draw.Move:
			if len(line) > 0 {
				out = append(out, line)
			}
			line = []r2.Point{on(s.P[0])}
		case draw.Line:
			line = append(line, on(s.P[0]))
		case draw.Curve:
			if len(line) == 0 {
				continue
			}
			a := line[len(line)-1]
			for k := 1; k <= 4; k++ {
				t := float64(k) / 4
				u := 1 - t
				line = append(line, a.Mul(u*u*u).Add(on(s.P[0]).Mul(3*u*u*t)).Add(on(s.P[1]).Mul(3*u*t*t)).Add(on(s.P[2]).Mul(t*t*t)))
			}
		case draw.Close:
			if len(line) > 0 {
				line = append(line, line[0])
			}
		}
	}
	if len(line) > 0 {
		out = append(out, line)
	}
	return out
}

// within reports whether the middle of a box lies in closed lines (even-odd).
func within(lines [][]r2.Point, b r2.Rect) bool {
	c, in := b.Center(), false
	for _, l := range lines {
		for i := range l {
			p, q := l[i], l[(i+1)%len(l)]
			if (p.Y > c.Y) != (q.Y > c.Y) && c.X < p.X+(c.Y-p.Y)/(q.Y-p.Y)*(q.X-p.X) {
				in = !in
			}
		}
	}
	return in
}

// crosses reports whether a line from a to b goes through the inside of a box.
func crosses(box r2.Rect, a, b r2.Point) bool {
	lo, hi := 0.0, 1.0
	for _, k := range [2][4]float64{{a.X, b.X - a.X, box.X.Lo, box.X.Hi}, {a.Y, b.Y - a.Y, box.Y.Lo, box.Y.Hi}} {
		from, d, least, most := k[0], k[1], k[2], k[3]
		if math.Abs(d) < 1e-12 {
			if from <= least || from >= most {
				return false
			}
			continue
		}
		s, e := (least-from)/d, (most-from)/d
		lo, hi = math.Max(lo, math.Min(s, e)), math.Min(hi, math.Max(s, e))
	}
	return lo < hi
}

// grid finds boxes near a place.
type grid struct {
	cells map[[2]int][]int
	seen  map[int]int
	turn  int
}

const cellSide = 12.0 // mm

func newGrid() *grid { return &grid{cells: map[[2]int][]int{}, seen: map[int]int{}} }

func (g *grid) over(r r2.Rect, do func([2]int)) {
	at := func(v float64) int { return int(math.Floor(math.Max(-1e4, math.Min(1e4, v)) / cellSide)) }
	if at(r.X.Hi)-at(r.X.Lo) > 400 || at(r.Y.Hi)-at(r.Y.Lo) > 400 {
		for c := range g.cells {
			do(c)
		}
		return
	}
	for x := at(r.X.Lo); x <= at(r.X.Hi); x++ {
		for y := at(r.Y.Lo); y <= at(r.Y.Hi); y++ {
			do([2]int{x, y})
		}
	}
}

func (g *grid) put(r r2.Rect, k int) {
	g.over(r, func(c [2]int) { g.cells[c] = append(g.cells[c], k) })
}

func (g *grid) each(r r2.Rect, do func(int)) {
	g.turn++
	g.over(r, func(c [2]int) {
		for _, k := range g.cells[c] {
			if g.seen[k] != g.turn {
				g.seen[k] = g.turn
				do(k)
			}
		}
	})
}
