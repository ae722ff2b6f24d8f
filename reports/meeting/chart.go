package meeting

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/golang/geo/r2"

	"voidline/reports/draw"
)

// The chart's sheet, paper mm.
const (
	chartWide, chartHigh = 128.0, 46.0
	chartFoot            = 36.0 // the line that the columns stand on
	chartTop             = 12.0
	chartLeft            = 6.0
)

// chart draws the trend: a column for each week, what is back and open from below, what is agreed on top, each
// with its own hatch. nil where there is nothing to compare with.
func chart(s *Since) *draw.Drawing {
	if len(s.Weeks) == 0 {
		return nil
	}
	d := &draw.Drawing{Name: "How it goes: findings at the end of each week", W: chartWide, H: chartHigh, Scale: 1}
	most, desc := 1, []string{}
	for _, w := range s.Weeks {
		most = max(most, w.Open+w.Back+w.Agreed)
		desc = append(desc, fmt.Sprintf("%s: %d open, %d back, %d agreed, %d new", w.Label, w.Open, w.Back, w.Agreed, w.New))
	}
	d.Desc = strings.Join(desc, "; ") + "."
	parts := []struct {
		name       string
		line, tint draw.Tone
		hatch      draw.Pattern
		n          func(Week) int
	}{
		{"back", draw.Purple, draw.PurpleTint, draw.Pattern{Angle: 45, Gap: 1.5, Cross: true}, func(w Week) int { return w.Back }},
		{"open", draw.Blue, draw.BlueTint, draw.Pattern{Angle: 45, Gap: 1.5}, func(w Week) int { return w.Open }},
		{"agreed", draw.Grey, draw.Paper, draw.Pattern{Gap: 1.2, Dots: true}, func(w Week) int { return w.Agreed }},
	}
	box := func(x0, y0, x1, y1 float64, line, tint draw.Tone, hatch draw.Pattern) {
		out := []r2.Point{d.Sheet(x0, y0), d.Sheet(x1, y0), d.Sheet(x1, y1), d.Sheet(x0, y1)}
		d.Add(
			draw.Path{Steps: draw.Polyline(out, true), Fill: tint},
			draw.Path{Steps: hatch.Lines([][]r2.Point{out}, d.Scale), Line: line, Width: draw.Thin},
			draw.Path{Steps: draw.Polyline(out, true), Line: draw.Ink, Width: draw.Thin},
		)
	}
	// The key stands over the columns.
	x := chartLeft
	for _, p := range parts {
		box(x, 2, x+5, 5.4, p.line, p.tint, p.hatch)
		d.Say(x+6.4, 5, draw.Text{S: p.name, Size: 3, Tone: draw.Ink})
		x += 9.5 + draw.Width(p.name, 3, false)
	}
	d.Say(chartWide-2, 5, draw.Text{S: "findings; +n: new that week", Size: 3, Tone: draw.Soft, Anchor: draw.End})
	pitch := min((chartWide-chartLeft-2)/float64(len(s.Weeks)), 22)
	wide := min(pitch*0.56, 11)
	for i, w := range s.Weeks {
		mid := chartLeft + pitch*(float64(i)+0.5)
		y := chartFoot
		for _, p := range parts {
			n := p.n(w)
			if n == 0 {
				continue
			}
			h := (chartFoot - chartTop) * float64(n) / float64(most)
			box(mid-wide/2, y-h, mid+wide/2, y, p.line, p.tint, p.hatch)
			y -= h
		}
		d.Say(mid, y-1.2, draw.Text{S: strconv.Itoa(w.Open + w.Back + w.Agreed), Size: 3.2, Bold: true, Tone: draw.Ink, Anchor: draw.Middle})
		label := w.Label
		if len(label) == 10 && label[4] == '-' {
			label = label[5:] // month and day: the year stands on the page
		}
		d.Say(mid, chartFoot+4, draw.Text{S: label, Size: 2.8, Tone: draw.Soft, Anchor: draw.Middle})
		if w.New > 0 {
			d.Say(mid, chartFoot+8, draw.Text{S: "+" + strconv.Itoa(w.New), Size: 2.8, Tone: draw.Ink, Anchor: draw.Middle})
		}
	}
	d.Stroke(draw.Ink, draw.Medium, draw.Solid, chartLeft-2, chartFoot, chartWide-2, chartFoot)
	return d
}
