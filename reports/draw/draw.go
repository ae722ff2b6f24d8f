// Package draw holds pictures: a drawing is described once, in lines, areas and words, and written
// as SVG, PDF or PNG from that one description, so that the three cannot differ.
//
// A drawing has two measures. The building's: u to the right and v up, in millimetres of the building.
// The sheet's: x to the right and y down, in millimetres of paper. Everything is kept in the units of the
// picture: one unit is one millimetre of the building, x to the right and y down, and the building's origin
// is (0, 0). So the numbers in an SVG are true lengths; only the sheet's furniture (letters, line widths,
// frames) is multiplied by the scale.
package draw

import (
	"math"

	"github.com/golang/geo/r2"
)

// Drawing is one sheet.
type Drawing struct {
	Name string // what it is, in a few words: the title that a screen reader says
	Desc string // what it shows, in sentences
	W, H float64
	// Scale is how many millimetres of the building one millimetre of paper shows.
	Scale float64
	// Origin is where on the sheet the building's origin lies, paper mm from the top left corner.
	Origin r2.Point
	Items  []Item
}

// Item is a Path or a Text.
type Item interface{ item() }

// Step is one step of a path. Of a cubic curve P holds two control points and the end, else the end alone.
type Step struct {
	Op Op
	P  [3]r2.Point
}

// Op is what a step does.
type Op uint8

// The steps of a path.
const (
	Move Op = iota
	Line
	Curve
	Close
)

// End returns where the step ends.
func (s Step) End() r2.Point {
	if s.Op == Curve {
		return s.P[2]
	}
	return s.P[0]
}

// Path is lines and areas, filled first and then drawn along.
type Path struct {
	ID    string // unique in the drawing, letters, digits and hyphens; "" for none
	Title string // what a pointer over it shows; "" for none
	Steps []Step
	Fill  Tone    // None: not filled
	Line  Tone    // None: no line
	Width float64 // of the line, paper mm
	Dash  Dash
	// Measured marks what lies where the building has it: its numbers are kept to 0.01 mm of the building.
	// The rest is kept to 0.01 mm of paper.
	Measured bool
}

// Text is one line of words.
type Text struct {
	At     r2.Point // on the line that the letters stand on
	S      string
	Size   float64 // height of the type, paper mm: capitals are about 0.7 of it
	Bold   bool
	Anchor Anchor
	Up     bool // turned to read upwards
	Tone   Tone
	Halo   bool // with the paper's colour round the letters, for words that stand on lines
}

func (Path) item() {}
func (Text) item() {}

// Anchor says which part of a text stands at its place.
type Anchor uint8

// The anchors.
const (
	Start Anchor = iota
	Middle
	End
)

// Dash is how a line is broken (ISO 128-2, from memory: dashed for hidden, long dash and dot for centre lines).
type Dash uint8

// The lines.
const (
	Solid Dash = iota
	Hidden
	Centre
)

// lengths returns the dashes and blanks of a line in paper mm, nil for none.
func (d Dash) lengths() []float64 {
	switch d {
	case Hidden:
		return []float64{1.6, 0.9}
	case Centre:
		return []float64{5, 0.9, 0.5, 0.9}
	}
	return nil
}

// Line widths in paper mm, of the series of ISO 128 (from memory), thick to thin 2:1.
const (
	Thin   = 0.25
	Medium = 0.35
	Thick  = 0.5
	Bold   = 0.7
)

// B returns the point of the picture at (u, v) of the building.
func B(u, v float64) r2.Point { return r2.Point{X: u, Y: -v} }

// Sheet returns the point of the picture at (x, y) of the sheet.
func (d *Drawing) Sheet(x, y float64) r2.Point {
	return r2.Point{X: (x - d.Origin.X) * d.Scale, Y: (y - d.Origin.Y) * d.Scale}
}

// On returns where on the sheet a point of the picture lies.
func (d *Drawing) On(p r2.Point) (x, y float64) {
	return p.X/d.Scale + d.Origin.X, p.Y/d.Scale + d.Origin.Y
}

// Add adds items, the later over the earlier.
func (d *Drawing) Add(items ...Item) { d.Items = append(d.Items, items...) }

// Say adds a text at a place of the sheet.
func (d *Drawing) Say(x, y float64, t Text) {
	t.At = d.Sheet(x, y)
	d.Add(t)
}

// Stroke adds an open line through places of the sheet, given as x, y, x, y ….
func (d *Drawing) Stroke(tone Tone, width float64, dash Dash, xy ...float64) {
	d.Add(Path{Steps: Polyline(d.points(xy), false), Line: tone, Width: width, Dash: dash})
}

// Area adds a closed area with corners at places of the sheet.
func (d *Drawing) Area(fill, line Tone, width float64, xy ...float64) {
	d.Add(Path{Steps: Polyline(d.points(xy), true), Fill: fill, Line: line, Width: width})
}

func (d *Drawing) points(xy []float64) []r2.Point {
	p := make([]r2.Point, 0, len(xy)/2)
	for i := 0; i+1 < len(xy); i += 2 {
		p = append(p, d.Sheet(xy[i], xy[i+1]))
	}
	return p
}

// Inset adds what another drawing shows, its sheet laid on this one's with its corner at (x, y): letters and
// lines keep their size, and what was measured is kept to 0.01 mm of paper, for its scale is another.
func (d *Drawing) Inset(e *Drawing, x, y float64) {
	to := func(p r2.Point) r2.Point {
		ex, ey := e.On(p)
		return d.Sheet(x+ex, y+ey)
	}
	for _, it := range e.Items {
		switch it := it.(type) {
		case Path:
			steps := make([]Step, len(it.Steps))
			for i, s := range it.Steps {
				for k := range s.P {
					s.P[k] = to(s.P[k])
				}
				steps[i] = s
			}
			it.Steps, it.Measured = steps, false
			d.Add(it)
		case Text:
			it.At = to(it.At)
			d.Add(it)
		}
	}
}

// Polyline returns the steps along points, closed or open.
func Polyline(p []r2.Point, closed bool) []Step {
	s := make([]Step, 0, len(p)+1)
	for i, q := range p {
		op := Line
		if i == 0 {
			op = Move
		}
		s = append(s, Step{Op: op, P: [3]r2.Point{q}})
	}
	if closed && len(p) > 0 {
		s = append(s, Step{Op: Close})
	}
	return s
}

// Ellipse returns the steps round an ellipse with the half axes a along dir and b square to it, as eight
// curves, nowhere off by more than 5e-6 of the larger half axis.
func Ellipse(c, dir r2.Point, a, b float64) []Step {
	return ellipseArc(c, dir, a, b, 0, 2*math.Pi)
}

// ellipseArc returns the steps along a part of an ellipse, from angle to angle: at the angle t lies
// c + dir·a·cos t + ortho(dir)·b·sin t. A whole turn is closed.
func ellipseArc(c, dir r2.Point, a, b, from, to float64) []Step {
	n := max(1, int(math.Ceil(math.Abs(to-from)/(math.Pi/4)-1e-9)))
	side := dir.Ortho()
	at := func(t float64) (p, d r2.Point) {
		s, k := math.Sincos(t)
		return c.Add(dir.Mul(a * k)).Add(side.Mul(b * s)), dir.Mul(-a * s).Add(side.Mul(b * k))
	}
	step := (to - from) / float64(n)
	arm := 4.0 / 3 * math.Tan(step/4)
	p, d := at(from)
	steps := []Step{{Op: Move, P: [3]r2.Point{p}}}
	for i := 1; i <= n; i++ {
		q, e := at(from + step*float64(i))
		if i == n && math.Abs(to-from) >= 2*math.Pi-1e-12 {
			q, _ = at(from)
		}
		steps = append(steps, Step{Op: Curve, P: [3]r2.Point{p.Add(d.Mul(arm)), q.Sub(e.Mul(arm)), q}})
		p, d = q, e
	}
	if math.Abs(to-from) >= 2*math.Pi-1e-12 {
		steps = append(steps, Step{Op: Close})
	}
	return steps
}

// flat turns steps into polylines, curves cut into pieces nowhere further than dip from them; closed tells
// which of them are closed.
func flat(steps []Step, dip float64) (lines [][]r2.Point, closed []bool) {
	var line []r2.Point
	end := func(c bool) {
		if len(line) > 0 {
			lines, closed = append(lines, line), append(closed, c)
		}
		line = nil
	}
	var at, first r2.Point
	for _, s := range steps {
		switch s.Op {
		case Move:
			end(false)
			at, first = s.P[0], s.P[0]
			line = []r2.Point{at}
		case Line:
			if len(line) == 0 {
				line = []r2.Point{at}
			}
			at = s.P[0]
			line = append(line, at)
		case Curve:
			if len(line) == 0 {
				line = []r2.Point{at}
			}
			// A cubic is off its chord by at most 3/4 of its arms' reach, and that falls by n².
			a, b := s.P[0].Sub(at.Mul(2)).Add(s.P[1]), s.P[1].Sub(s.P[0].Mul(2)).Add(s.P[2])
			n := max(1, int(math.Ceil(math.Sqrt(0.75*math.Max(a.Norm(), b.Norm())/dip))))
			for i := 1; i <= n; i++ {
				t := float64(i) / float64(n)
				u := 1 - t
				q := at.Mul(u * u * u).Add(s.P[0].Mul(3 * u * u * t)).Add(s.P[1].Mul(3 * u * t * t)).Add(s.P[2].Mul(t * t * t))
				line = append(line, q)
			}
			at = s.P[2]
		case Close:
			end(true)
			at = first
		}
	}
	end(false)
	return lines, closed
}

// Spread moves labels apart along one axis: each keeps as near as may be to its wanted place, in the given
// order, at least gap[i] from the one before it, and all between lo and hi where they fit. wanted must
// not fall.
func Spread(wanted, gap []float64, lo, hi float64) []float64 {
	n := len(wanted)
	at := make([]float64, n)
	if n == 0 {
		return at
	}
	// Pools of labels that touch stand about the mean of what they want (least squares, in order).
	type pool struct {
		from, to int
		sum      float64 // of wanted less the offset from the first of all
	}
	var pools []pool
	off := make([]float64, n) // of each label from the first of all
	for i := 1; i < n; i++ {
		off[i] = off[i-1] + gap[i]
	}
	mean := func(p pool) float64 { return p.sum / float64(p.to-p.from) }
	for i := range n {
		p := pool{from: i, to: i + 1, sum: wanted[i] - off[i]}
		for len(pools) > 0 && mean(pools[len(pools)-1]) > mean(p) {
			q := pools[len(pools)-1]
			p.from, p.sum = q.from, p.sum+q.sum
			pools = pools[:len(pools)-1]
		}
		pools = append(pools, p)
	}
	for _, p := range pools {
		m := math.Min(math.Max(mean(p), lo), math.Max(lo, hi-off[n-1]))
		for i := p.from; i < p.to; i++ {
			at[i] = m + off[i]
		}
	}
	return at
}
