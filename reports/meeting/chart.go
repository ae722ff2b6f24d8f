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
	chartWide, chartHigh = 128.0, 41.0
	chartFoot            = 36.0 // the line that the columns stand on
	chartTop             = 12.0
	chartLeft            = 6.0
)

// chart draws the trend: a column for each week, of the problems that were open at its end. nil where there is nothing to compare with.
func chart(s *Since) *draw.Drawing {
	if len(s.Weeks) < 2 {
		return nil
	}
	d := &draw.Drawing{Name: "Open problems at the end of each week", W: chartWide, H: chartHigh, Scale: 1}
	most, desc := 1, []string{}
	for _, w := range s.Weeks {
		most = max(most, w.Open)
		desc = append(desc, fmt.Sprintf("%s: %d open", w.Label, w.Open))
	}
	d.Desc = strings.Join(desc, "; ") + "."
	hatch := draw.Pattern{Angle: 45, Gap: 1.5}
	d.Say(chartLeft-2, 4, draw.Text{S: "Open problems at the end of each week", Size: 3, Bold: true, Tone: draw.Ink})
	pitch := min((chartWide-chartLeft-2)/float64(len(s.Weeks)), 22)
	wide := min(pitch*0.56, 11)
	for i, w := range s.Weeks {
		mid := chartLeft + pitch*(float64(i)+0.5)
		y := chartFoot
		if w.Open > 0 {
			y -= (chartFoot - chartTop) * float64(w.Open) / float64(most)
			out := []r2.Point{d.Sheet(mid-wide/2, y), d.Sheet(mid+wide/2, y), d.Sheet(mid+wide/2, chartFoot), d.Sheet(mid-wide/2, chartFoot)}
			d.Add(
				draw.Path{Steps: draw.Polyline(out, true), Fill: draw.BlueTint},
				draw.Path{Steps: hatch.Lines([][]r2.Point{out}, d.Scale), Line: draw.Blue, Width: draw.Thin},
				draw.Path{Steps: draw.Polyline(out, true), Line: draw.Ink, Width: draw.Thin},
			)
		}
		d.Say(mid, y-1.2, draw.Text{S: strconv.Itoa(w.Open), Size: 3.2, Bold: true, Tone: draw.Ink, Anchor: draw.Middle})
		label := w.Label
		if len(label) == 10 && label[4] == '-' {
			label = label[5:] // month and day: the year stands on the page
		}
		d.Say(mid, chartFoot+4, draw.Text{S: label, Size: 2.8, Tone: draw.Soft, Anchor: draw.Middle})
	}
	d.Stroke(draw.Ink, draw.Medium, draw.Solid, chartLeft-2, chartFoot, chartWide-2, chartFoot)
	return d
}
