package look

import (
	"math"
	"strconv"

	"github.com/golang/geo/r2"

	"voidline/clash/finding"
	"voidline/clash/rules"
	"voidline/reports/draw"
	"voidline/reports/words"
)

func sheetPoints(d *draw.Drawing, xy []float64) []r2.Point {
	var p []r2.Point
	for i := 0; i+1 < len(xy); i += 2 {
		p = append(p, d.Sheet(xy[i], xy[i+1]))
	}
	return p
}

// Hatch adds the hatch of a trade inside the closed straight-sided outlines of a path.
func Hatch(d *draw.Drawing, t Trade, p draw.Path) {
	var outlines [][]r2.Point
	var o []r2.Point
	for _, s := range p.Steps {
		if s.Op == draw.Move && len(o) > 0 {
			outlines = append(outlines, o)
			o = nil
		}
		if s.Op != draw.Close {
			o = append(o, s.End())
		}
	}
	if len(o) > 0 {
		outlines = append(outlines, o)
	}
	if l := t.Pattern.Lines(outlines, d.Scale); len(l) > 0 {
		d.Add(draw.Path{Steps: l, Line: t.Line, Width: hatchWidth})
	}
}

// hatchWidth is the width of hatch lines: half of the thin line, of the ISO 128 series (from memory).
const hatchWidth = 0.18

// Bob draws the mark of a finding, a plumb bob with its tip at (x, y) of the sheet and its number in it:
// solid for an overlap, open for a tight gap, open with a bar for access. It returns the width and height.
func Bob(d *draw.Drawing, kind finding.Kind, number, id, title string, x, y, size float64) (w, h float64) {
	w, h = BobSize(number, size)
	fill, word := draw.Paper, draw.Ink
	if kind == finding.Overlap {
		fill, word = draw.Ink, draw.Paper
	}
	head := 1.25 * size
	d.Add(draw.Path{
		ID: id, Title: title, Fill: fill, Line: draw.Ink, Width: draw.Thick,
		Steps: draw.Polyline(sheetPoints(d, []float64{
			x, y, x - w/2, y - h + head, x - w/2, y - h, x + w/2, y - h, x + w/2, y - h + head,
		}), true),
	})
	if kind == finding.Access {
		d.Area(draw.Ink, draw.None, 0, x-w/2, y-h, x+w/2, y-h, x+w/2, y-h+0.22*size, x-w/2, y-h+0.22*size)
	}
	d.Say(x, y-h+0.98*size, draw.Text{S: number, Size: size, Bold: true, Tone: word, Anchor: draw.Middle})
	return w, h
}

// BobSize returns the width and height of a finding's mark.
func BobSize(number string, size float64) (w, h float64) {
	return math.Max(1.35*size, draw.Width(number, size, true)+0.7*size), 1.9 * size
}

// HoleSize returns the width and height of the mark of a hole to be made.
func HoleSize(number int, size float64) (w, h float64) {
	h = 1.35 * size
	return math.Max(h, draw.Width(strconv.Itoa(number), size, true)+0.6*size), h
}

// HoleMark draws the mark of a hole to be made, its number in a square with its middle at (x, y) of the sheet.
func HoleMark(d *draw.Drawing, hole *finding.Hole, x, y, size float64) {
	w, h := HoleSize(hole.Number, size)
	p := draw.Path{
		Fill: draw.Paper, Line: draw.Ink, Width: draw.Medium,
		Steps: draw.Polyline(sheetPoints(d, []float64{x - w/2, y - h/2, x + w/2, y - h/2, x + w/2, y + h/2, x - w/2, y + h/2}), true),
	}
	if hole.Service != "" {
		p.Title = "hole " + strconv.Itoa(hole.Number) + ": " + words.Clean(hole.Service) + " through " + words.Clean(hole.In)
	}
	d.Add(p)
	d.Say(x, y+0.36*size, draw.Text{S: strconv.Itoa(hole.Number), Size: size, Bold: true, Tone: draw.Ink, Anchor: draw.Middle})
}

// Pair names the two of a finding.
func Pair(f *finding.Finding) string {
	s := words.Name(f.A)
	if f.B != nil {
		s += " / " + words.Name(*f.B)
	}
	return s
}

// Rule says the rule and what it rests on.
func Rule(f *finding.Finding) string {
	if f.Rule == "" {
		return ""
	}
	s := words.Clean(f.Rule)
	switch f.Basis {
	case rules.Practice:
		s += " (common practice)"
	case "":
	default:
		s += " (" + words.Clean(string(f.Basis)) + ")"
	}
	return s
}
