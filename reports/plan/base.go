package plan

import (
	"fmt"
	"math"
	"slices"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"

	"voidline/reports/draw"
	"voidline/reports/words"
	"voidline/void"
	"voidline/void/body"
)

// Base is what every plan has: where on a sheet the building is, its bays and grid lines, and the places that words and marks take
// already. Places of the building are x and y in mm; the origin is the low corner of what is shown, so that numbers stay small.
type Base struct {
	*draw.Drawing
	project *void.Project
	storey  int
	bay     int // the one bay that is drawn, -1 for the whole storey
	text    float64
	small   float64
	show    r2.Rect   // of the building
	frame   r2.Rect   // its place on the sheet
	marks   r2.Rect   // of the sheet, where marks may be
	taken   []r2.Rect // places of words and marks on the sheet
}

// NewBase places a storey in a box of a sheet, grid bubbles and all, at the largest scale at which it fits (beyond the last of
// them, at that). The drawing's scale and origin are set for it.
func NewBase(d *draw.Drawing, p *void.Project, storey int, box r2.Rect, text float64) *Base {
	in := Input{Project: p, Storey: storey, Bay: -1}
	c := &Base{Drawing: d, project: p, storey: storey, bay: -1, text: text, small: 0.84 * text, show: in.extent()}
	room := c.room(box)
	// A bubble may be at the very edge of what is shown, and marks beside what is there.
	room.X.Hi -= bubble * text
	room.Y = room.Y.Expanded(-aside * text)
	for _, d.Scale = range phoneScales {
		if c.show.X.Length()/d.Scale <= room.X.Length() && c.show.Y.Length()/d.Scale <= room.Y.Length() {
			break
		}
	}
	c.settle(room.Lo())
	c.marks = r2.Rect{X: r1.Interval{Lo: box.X.Lo, Hi: c.Reach().X}, Y: r1.Interval{Lo: box.Y.Lo, Hi: c.Reach().Y}}
	return c
}

// aside is how far over and under the plan marks may be, in heights of type.
const aside = 2.2

// room returns what of a box is left for the plan beside the grid bubbles at its top and at its left.
func (c *Base) room(box r2.Rect) r2.Rect {
	round := 2*bubble*c.text + 1
	if len(c.project.GridY) > 0 {
		box.X.Lo += round
	}
	if len(c.project.GridX) > 0 {
		box.Y.Lo += round
	}
	return box
}

// settle lays the plan with its upper left corner at a place of the sheet, at the scale of the drawing.
func (c *Base) settle(at r2.Point) {
	w, h := c.show.X.Length()/c.Scale, c.show.Y.Length()/c.Scale
	c.frame = r2.Rect{X: r1.Interval{Lo: at.X, Hi: at.X + w}, Y: r1.Interval{Lo: at.Y, Hi: at.Y + h}}
	c.Origin = r2.Point{X: at.X, Y: at.Y + h}
	c.marks = r2.Rect{X: r1.Interval{Lo: 0.5, Hi: c.frame.X.Hi + 2}, Y: r1.Interval{Lo: 0.5, Hi: c.frame.Y.Hi + 2}}
}

// Reach returns how far to the right and down the sheet the plan reaches, with its grid bubbles and marks.
func (c *Base) Reach() r2.Point {
	return c.frame.Hi().Add(r2.Point{X: bubble * c.text, Y: aside * c.text})
}

// Bays draws the bays.
func (c *Base) Bays() {
	p := c.project
	for i := range p.Bays {
		b := &p.Bays[i]
		if b.Storey != c.storey || !c.show.Intersects(b.Plan) {
			continue
		}
		fill := draw.None
		if c.bay < 0 || i == c.bay {
			fill = draw.Wash
		}
		q := b.Plan.Intersection(c.show)
		v := q.Vertices()
		pts := make([]r2.Point, 4)
		for k := range v {
			pts[k] = c.At(v[k])
		}
		c.Add(draw.Path{ID: fmt.Sprintf("bay%d", i), Title: "bay " + words.Clean(b.Name), Fill: fill, Line: draw.Faint, Width: draw.Medium, Steps: draw.Polyline(pts, true), Measured: true})
	}
}

// textBox returns a rectangle on the sheet that a text takes.
func textBox(x, y, w, size float64, anchor draw.Anchor, up bool) r2.Rect {
	lo := 0.0
	switch anchor {
	case draw.Middle:
		lo = -w / 2
	case draw.End:
		lo = -w
	}
	if up {
		return r2.Rect{X: r1.Interval{Lo: x - 0.8*size, Hi: x + 0.25*size}, Y: r1.Interval{Lo: y - lo - w, Hi: y - lo}}
	}
	return r2.Rect{X: r1.Interval{Lo: x + lo, Hi: x + lo + w}, Y: r1.Interval{Lo: y - 0.8*size, Hi: y + 0.25*size}}
}

// Free reports whether nothing stands on a place of the sheet.
func (c *Base) Free(r r2.Rect) bool {
	return !slices.ContainsFunc(c.taken, r.Intersects)
}

// At returns the place in the picture of a place of the building.
func (c *Base) At(p r2.Point) r2.Point {
	return draw.B(p.X-c.show.X.Lo, p.Y-c.show.Y.Lo)
}

// Spot returns where on the sheet a place of the building is.
func (c *Base) Spot(p r2.Point) r2.Point {
	q := c.At(p)
	x, y := c.On(q)
	return r2.Point{X: x, Y: y}
}

// Grid draws the grid lines with their bubbles at the top and at the left.
func (c *Base) Grid() {
	r := bubble * c.text
	bubbleAt := func(x, y float64, label string) {
		c.Add(draw.Path{Fill: draw.Paper, Line: draw.Ink, Width: draw.Medium, Steps: draw.Ellipse(c.Sheet(x, y), r2.Point{X: 1}, r*c.Scale, r*c.Scale)})
		c.Say(x, y+0.36*c.text, draw.Text{S: draw.Fit(words.Name(label), c.text, 1.8*r, true), Size: c.text, Bold: true, Anchor: draw.Middle, Tone: draw.Ink})
	}
	var last float64
	for i, g := range c.project.GridX {
		if !c.show.X.Contains(g.Position) {
			continue
		}
		x := c.Spot(r2.Point{X: g.Position, Y: c.show.Y.Lo}).X
		c.Stroke(draw.Soft, draw.Thin, draw.Centre, x, c.frame.Y.Lo, x, c.frame.Y.Hi)
		if i == 0 || x-last >= 2*r || last == 0 {
			bubbleAt(x, c.frame.Y.Lo-r, g.Label)
			last = x
		}
	}
	last = 0
	for _, g := range c.project.GridY {
		if !c.show.Y.Contains(g.Position) {
			continue
		}
		y := c.Spot(r2.Point{X: c.show.X.Lo, Y: g.Position}).Y
		c.Stroke(draw.Soft, draw.Thin, draw.Centre, c.frame.X.Lo, y, c.frame.X.Hi, y)
		if last == 0 || last-y >= 2*r {
			bubbleAt(c.frame.X.Lo-r, y, g.Label)
			last = y
		}
	}
}

// BayNames writes the bays' names and the levels of their ceilings where nothing stands yet.
func (c *Base) BayNames() {
	p := c.project
	t := c.text
	for i := range p.Bays {
		b := &p.Bays[i]
		q := b.Plan.Intersection(c.show)
		if b.Storey != c.storey || q.IsEmpty() {
			continue
		}
		lo := c.Spot(r2.Point{X: q.X.Lo, Y: q.Y.Hi})
		w := q.X.Length() / c.Scale
		name := words.Name(b.Name)
		if name = draw.Fit(name, 1.05*t, w-t, true); draw.Width(name, 1.05*t, true) > w-t || len([]rune(name)) < 6 && name != words.Name(b.Name) {
			continue // a pointer over the bay says it
		}
		high := q.Y.Length() / c.Scale
		if high < 1.6*t {
			continue
		}
		second := "open to the soffit"
		if b.HasCeiling {
			second = "ceiling FFL" + words.AboveDown(b.Ceiling-p.Storeys[b.Storey].FFL)
		} else if b.Unsaid {
			second = "ceiling not given"
		}
		if draw.Width(second, c.small, false) > w-t || high < 2.7*t {
			second = ""
		}
		wide := math.Max(draw.Width(name, 1.05*t, true), draw.Width(second, c.small, false))
		// In a corner, or along the foot, wherever nothing is marked.
		for _, at := range []r2.Point{{X: lo.X + 0.5*t, Y: lo.Y + 1.3*t}, {X: lo.X + 0.5*t, Y: lo.Y + q.Y.Length()/c.Scale - 1.6*t}, {X: lo.X + w - wide - 0.5*t, Y: lo.Y + 1.3*t}, {X: lo.X + 0.5*t, Y: lo.Y + 3.9*t}} {
			box := r2.Rect{X: r1.Interval{Lo: at.X, Hi: at.X + wide}, Y: r1.Interval{Lo: at.Y - t, Hi: at.Y + 1.3*t}}
			if !c.Free(box) {
				continue
			}
			c.Take(box)
			c.Say(at.X, at.Y, draw.Text{S: name, Size: 1.05 * t, Bold: true, Tone: draw.Soft, Halo: true})
			c.Say(at.X, at.Y+1.1*t, draw.Text{S: second, Size: c.small, Tone: draw.Soft, Halo: true})
			break
		}
	}
}

// Clip returns an outline of the building in the picture where it is shown, nil for none.
func (c *Base) Clip(o []r2.Point) []r2.Point {
	r := r2.RectFromPoints(o...)
	if !c.show.Intersects(r) {
		return nil
	}
	if !c.show.Contains(r) {
		v := c.show.Vertices()
		if o = body.Shared(o, v[:]); o == nil {
			return nil
		}
	}
	out := make([]r2.Point, len(o))
	for i, p := range o {
		out[i] = c.At(p)
	}
	return out
}

// Take keeps a place of the sheet free from words and marks that come later.
func (c *Base) Take(r r2.Rect) { c.taken = append(c.taken, r) }

// Beside returns the place nearest to at, in rings, at which a mark of a height has room: box is what a mark takes there, free reports whether
// nothing is in it that may not be covered. ok is false where all is taken.
func (c *Base) Beside(at r2.Point, high float64, box func(r2.Point) r2.Rect, free func(r2.Rect) bool) (place r2.Point, ok bool) {
	fits := func(p r2.Point) bool {
		b := box(p)
		return c.marks.Contains(b) && free(b)
	}
	if fits(at) {
		return at, true
	}
	for ring := 1.0; ring <= 14; ring++ {
		for k := range 16 {
			sin, cos := math.Sincos(2*math.Pi*float64(k)/16 + math.Pi/2)
			if try := at.Add(r2.Point{X: cos, Y: -sin}.Mul(ring * 0.8 * high)); fits(try) {
				return try, true
			}
		}
	}
	return at, false
}

// Alongside writes a name along what lies in a rectangle of the building, in its middle or, off it by so much paper, at one of its sides, wherever
// nothing stands yet; false where there is no room.
func (c *Base) Alongside(r r2.Rect, name string, size, off float64) bool {
	up := r.Y.Length() > 1.2*r.X.Length()
	w := draw.Width(name, size, false)
	sides := []float64{0}
	if off > 0 {
		sides = []float64{-off, off}
	}
	for _, part := range []float64{0.5, 0.3, 0.7, 0.15, 0.85} {
		for _, side := range sides {
			v := r2.Point{X: r.X.Lo + part*r.X.Length(), Y: r.Y.Center()}
			if up {
				v = r2.Point{X: r.X.Center(), Y: r.Y.Lo + part*r.Y.Length()}
			}
			at := c.Spot(v)
			x, y := at.X, at.Y+0.33*size+side
			if up {
				x, y = at.X+0.33*size+side, at.Y
			}
			box := textBox(x, y, w, size, draw.Middle, up)
			if !c.Free(box) || box.X.Lo < c.frame.X.Lo || box.X.Hi > c.frame.X.Hi || box.Y.Lo < c.frame.Y.Lo || box.Y.Hi > c.frame.Y.Hi {
				continue
			}
			c.Take(box)
			c.Say(x, y, draw.Text{S: name, Size: size, Anchor: draw.Middle, Up: up, Tone: draw.Ink, Halo: true})
			return true
		}
	}
	return false
}
