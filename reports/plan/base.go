package plan

import (
	"fmt"
	"math"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"

	"voidline/reports/draw"
	"voidline/reports/draw/look"
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
	show    r2.Rect  // of the building
	frame   r2.Rect  // its place on the sheet
	edge    r2.Point // upper left corner of what marks and circles may take of the sheet
	Labels  *draw.Labels
}

// NewBase places a storey in a box of a sheet, grid bubbles and all, at the largest scale at which it fits (beyond the last of
// them, at that). The drawing's scale and origin are set for it.
func NewBase(d *draw.Drawing, p *void.Project, storey int, box r2.Rect, text float64) *Base {
	in := Input{Project: p, Storey: storey, Bay: -1}
	c := &Base{Drawing: d, project: p, storey: storey, bay: -1, text: text, small: 0.84 * text, show: in.extent()}
	room := c.room(box)
	// A bubble may be at the very edge of what is shown, and marks beside what is there.
	room.X.Hi -= look.BubbleRadius(text)
	room.Y = room.Y.Expanded(-aside * text)
	for _, d.Scale = range look.Scales() {
		if c.show.X.Length()/d.Scale <= room.X.Length() && c.show.Y.Length()/d.Scale <= room.Y.Length() {
			break
		}
	}
	c.settle(room.Lo())
	c.Labels = draw.NewLabels(r2.Rect{X: r1.Interval{Lo: box.X.Lo, Hi: c.Reach().X}, Y: r1.Interval{Lo: box.Y.Lo, Hi: c.Reach().Y}})
	return c
}

// aside is how far over and under the plan marks may be, in heights of type.
const aside = 2.2

// room returns what of a box is left for the plan beside the grid bubbles at its top and at its left.
func (c *Base) room(box r2.Rect) r2.Rect {
	c.edge = box.Lo()
	x, y := len(c.project.GridX) > 0, len(c.project.GridY) > 0
	least := map[bool]float64{true: look.BubbleRadius(c.text)}[x || y] // a circle may be at the very corner
	room := map[bool]float64{true: look.BubbleRoom(c.text), false: least}
	box.X.Lo += room[y]
	box.Y.Lo += room[x]
	return box
}

// settle lays the plan with its upper left corner at a place of the sheet, at the scale of the drawing.
func (c *Base) settle(at r2.Point) {
	w, h := c.show.X.Length()/c.Scale, c.show.Y.Length()/c.Scale
	c.frame = r2.Rect{X: r1.Interval{Lo: at.X, Hi: at.X + w}, Y: r1.Interval{Lo: at.Y, Hi: at.Y + h}}
	c.Origin = r2.Point{X: at.X, Y: at.Y + h}
	c.Labels = draw.NewLabels(r2.Rect{X: r1.Interval{Lo: c.edge.X, Hi: c.frame.X.Hi + 1.2*c.text}, Y: r1.Interval{Lo: c.edge.Y, Hi: c.frame.Y.Hi + 1.8*c.text}})
}

// Reach returns how far to the right and down the sheet the plan reaches, with its grid bubbles and marks.
func (c *Base) Reach() r2.Point {
	return c.frame.Hi().Add(r2.Point{X: look.BubbleRadius(c.text), Y: aside * c.text})
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
	var over, beside []look.GridLine
	for _, g := range c.project.GridX {
		if c.show.X.Contains(g.Position) {
			x := c.Spot(r2.Point{X: g.Position, Y: c.show.Y.Lo}).X
			c.Stroke(draw.Soft, draw.Thin, draw.Centre, x, c.frame.Y.Lo, x, c.frame.Y.Hi)
			over = append(over, look.GridLine{At: x, Label: g.Label})
		}
	}
	for _, g := range c.project.GridY {
		if c.show.Y.Contains(g.Position) {
			y := c.Spot(r2.Point{X: c.show.X.Lo, Y: g.Position}).Y
			c.Stroke(draw.Soft, draw.Thin, draw.Centre, c.frame.X.Lo, y, c.frame.X.Hi, y)
			beside = append(beside, look.GridLine{At: y, Label: g.Label})
		}
	}
	look.Bubbles(c.Drawing, c.Labels, over, c.frame.Y.Lo, false, c.text, c.frame.X)
	look.Bubbles(c.Drawing, c.Labels, beside, c.frame.X.Lo, true, c.text, c.frame.Y)
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
		deep := 0.3 * t
		if second != "" {
			deep = 1.4 * t
		}
		// In a corner, or along the foot, wherever nothing is marked.
		for _, at := range []r2.Point{{X: lo.X + 0.5*t, Y: lo.Y + 1.3*t}, {X: lo.X + 0.5*t, Y: lo.Y + high - 1.6*t}, {X: lo.X + w - wide - 0.5*t, Y: lo.Y + 1.3*t}, {X: lo.X + 0.5*t, Y: lo.Y + 3.9*t}} {
			box := r2.Rect{X: r1.Interval{Lo: at.X, Hi: at.X + wide}, Y: r1.Interval{Lo: at.Y - t, Hi: at.Y + deep}}
			if !c.Labels.Free(box) {
				continue
			}
			c.Labels.Take(box)
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

// Alongside writes a name along what lies in a rectangle of the building, in its middle or, off it by so much paper, at one of its sides, wherever
// nothing stands yet; false where there is no room.
func (c *Base) Alongside(r r2.Rect, name string, size, off float64) bool {
	t := draw.Text{S: name, Size: size, Anchor: draw.Middle, Up: r.Y.Length() > 1.2*r.X.Length(), Tone: draw.Ink, Halo: true}
	sides := []float64{0}
	if off > 0 {
		sides = []float64{-off, off}
	}
	var places []r2.Point
	for _, part := range []float64{0.5, 0.3, 0.7, 0.15, 0.85} {
		for _, side := range sides {
			v, by := r2.Point{X: r.X.Lo + part*r.X.Length(), Y: r.Y.Center()}, r2.Point{Y: 0.33*size + side}
			if t.Up {
				v, by = r2.Point{X: r.X.Center(), Y: r.Y.Lo + part*r.Y.Length()}, r2.Point{X: 0.33*size + side}
			}
			if at := c.Spot(v).Add(by); c.frame.Contains(draw.TextBox(t, at.X, at.Y)) {
				places = append(places, at)
			}
		}
	}
	return c.Labels.Put(c.Drawing, t, places...)
}
