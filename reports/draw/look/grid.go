package look

import (
	"cmp"
	"slices"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"

	"voidline/reports/draw"
	"voidline/reports/words"
)

// Of the circles that name grid lines, in heights of type: their radius; and the paper mm between a circle and its line, in which the
// line bends where its circle had to stand aside.
const (
	bubble = 1.5
	bend   = 1.6
)

// BubbleRoom is how much of the sheet the circles at the end of grid lines take, mm.
func BubbleRoom(text float64) float64 { return 2*bubble*text + bend + 0.4 }

// BubbleRadius is the radius of such a circle, mm.
func BubbleRadius(text float64) float64 { return bubble * text }

// GridLine is a grid line where it meets the edge of a drawing, so many mm of the sheet along it.
type GridLine struct {
	At    float64
	Label string
}

// Bubbles names grid lines in circles beside each other: over a drawing that begins at edge, or with beside at its side. A circle that would
// stand over the one before it is drawn aside and its line bent; where all of them together find no room between the ends of span, some go without.
func Bubbles(d *draw.Drawing, l *draw.Labels, lines []GridLine, edge float64, beside bool, text float64, span r1.Interval) {
	r := bubble * text
	apart := 2*r + 0.5
	lines = slices.SortedFunc(slices.Values(lines), func(a, b GridLine) int { return cmp.Compare(a.At, b.At) })
	if float64(len(lines)-1)*apart > span.Length() {
		kept := lines[:0]
		for _, g := range lines {
			if n := len(kept); n == 0 || g.At-kept[n-1].At >= apart {
				kept = append(kept, g)
			}
		}
		lines = kept
	}
	wanted, gap := make([]float64, len(lines)), make([]float64, len(lines))
	for i, g := range lines {
		wanted[i], gap[i] = g.At, apart
	}
	for i, at := range draw.Spread(wanted, gap, span.Lo, span.Hi) {
		on := func(along, off float64) r2.Point {
			if beside {
				return r2.Point{X: edge - off, Y: along}
			}
			return r2.Point{X: along, Y: edge - off}
		}
		c, from, to := on(at, bend+r), on(at, bend), on(lines[i].At, 0)
		d.Stroke(draw.Soft, draw.Thin, draw.Solid, from.X, from.Y, to.X, to.Y)
		d.Add(draw.Path{Fill: draw.Paper, Line: draw.Ink, Width: draw.Medium, Steps: draw.Ellipse(d.Sheet(c.X, c.Y), r2.Point{X: 1}, r*d.Scale, r*d.Scale)})
		name := words.Name(lines[i].Label)
		size := text
		for size > 0.7*text && draw.Width(name, size, true) > 1.8*r {
			size *= 0.9
		}
		d.Say(c.X, c.Y+0.36*size, draw.Text{S: draw.Fit(name, size, 1.8*r, true), Size: size, Bold: true, Anchor: draw.Middle, Tone: draw.Ink})
		l.Take(r2.RectFromCenterSize(c, r2.Point{X: 2 * r, Y: 2 * r}))
	}
}
