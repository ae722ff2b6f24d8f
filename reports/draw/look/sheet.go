package look

import (
	"math"
	"strconv"

	"voidline/reports/draw"
	"voidline/reports/words"
)

// Sheet is a size of paper, landscape, or a phone's screen.
type Sheet struct {
	Name string
	// W and H in mm. H of 0 grows with what stands on it.
	W, H float64
	// Text is the height of its type, mm: big enough to be read when the sheet is as wide as a screen.
	Text float64
	// Margin all round, mm.
	Margin float64
}

// A4, A3 and Phone are the sheets. A phone of 360 dots shows 4 dots to the millimetre of its sheet: its
// letters are as high as those of a page written for it.
func A4() Sheet    { return Sheet{"A4", 297, 210, 2.9, 7} }
func A3() Sheet    { return Sheet{"A3", 420, 297, 3.9, 8} }
func Phone() Sheet { return Sheet{"phone", 90, 0, 3, 2.5} }

// scales are those of ISO 5455 and, between them, those that a scale rule has besides (from memory), so that a sheet is used: from one to the
// next of the former a drawing shrinks to a quarter.
var scales = [...]float64{1, 2, 5, 10, 20, 25, 50, 75, 100, 125, 200, 250, 300, 400, 500, 750, 1000, 1250, 1500, 2000, 2500, 3000, 4000, 5000, 7500, 10000, 20000, 50000, 1e5}

// Scales returns the scales of drawings from the largest picture down.
func Scales() []float64 { return scales[:] }

// Staff is the length in mm of a block of the levelling staff and of the scale bar: at least 1.8 mm of paper.
func Staff(scale float64) float64 {
	for _, b := range []float64{10, 50, 100, 500, 1000, 5000, 10000, 50000} {
		if b/scale >= 1.8 {
			return b
		}
	}
	return 1e5
}

// Strip writes the left part of a title strip: the title, its first line standing at y, and what is to be said under it,
// no line lower than last. Long names take the title one line where two leave no room, and then the words under it.
func Strip(d *draw.Drawing, x, y, wide, last, text, small float64, title string, said []string) {
	var under []string
	for _, s := range said {
		if s != "" {
			under = append(under, draw.Fold(words.Clean(s), small, wide, false, 2)...)
		}
	}
	const size, step, below = 1.45, 1.7, 1.25
	lines := draw.Fold(title, size*text, wide, true, 2)
	if n := len(under); n > 0 && len(lines) > 1 && y+step*text*float64(len(lines))+below*small*float64(n-1) > last {
		lines = draw.Fold(title, size*text, wide, true, 1)
	}
	for _, l := range lines {
		d.Say(x, y, draw.Text{S: l, Size: size * text, Bold: true, Tone: draw.Ink})
		y += step * text
	}
	for _, l := range under {
		if y > last+0.01 {
			return
		}
		d.Say(x, y, draw.Text{S: l, Size: small, Tone: draw.Ink})
		y += below * small
	}
}

// ScaleBar draws a bar of true lengths in the manner of a levelling staff, its left end at (x, y) of the sheet,
// no wider than most, and the scale in words over it.
func ScaleBar(d *draw.Drawing, x, y, most, text float64, sheet string) {
	unit := 0.0
	for _, b := range []float64{10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 10000, 20000, 50000} {
		if 5*b/d.Scale <= most {
			unit = b
		}
	}
	said := "scale 1:" + strconv.FormatFloat(d.Scale, 'f', -1, 64)
	if sheet != "" {
		said += " on " + sheet
	}
	d.Say(x, y-0.55*text, draw.Text{S: said, Size: text, Bold: true, Tone: draw.Ink})
	if unit == 0 {
		return
	}
	w, h := unit/d.Scale, 0.55*text
	for i := range 5 {
		fill := draw.Ink
		if i%2 == 1 {
			fill = draw.Paper
		}
		d.Area(fill, draw.Ink, draw.Thin, x+float64(i)*w, y, x+float64(i+1)*w, y, x+float64(i+1)*w, y+h, x+float64(i)*w, y+h)
	}
	label := func(v float64) string {
		if unit >= 1000 {
			return strconv.FormatFloat(v/1000, 'f', -1, 64) + " m"
		}
		return strconv.FormatFloat(v, 'f', -1, 64)
	}
	small := 0.8 * text
	d.Say(x, y+h+small, draw.Text{S: "0", Size: small, Tone: draw.Ink, Anchor: draw.Start})
	d.Say(x+w, y+h+small, draw.Text{S: label(unit), Size: small, Tone: draw.Ink, Anchor: draw.Middle})
	d.Say(x+5*w, y+h+small, draw.Text{S: label(5 * unit), Size: small, Tone: draw.Ink, Anchor: draw.End})
}

// swatch draws a piece of a trade's hatch.
func swatch(d *draw.Drawing, t Trade, x, y, w, h float64) {
	corners := []float64{x, y, x + w, y, x + w, y + h, x, y + h}
	d.Area(t.Tint, draw.None, 0, corners...)
	Hatch(d, t, draw.Path{Steps: draw.Polyline(sheetPoints(d, corners), true)})
	d.Area(draw.None, draw.Ink, draw.Medium, corners...)
}

// Legend draws the trades named, in columns of a width, from (x, y) down; it returns the height used.
func Legend(d *draw.Drawing, words []string, x, y, width, column, text float64) float64 {
	n := max(1, int(width/column))
	w, h, row := 2.4*text, 1.15*text, 1.75*text
	i := 0
	put := func(t Trade, name string) {
		cx, cy := x+float64(i%n)*column, y+float64(i/n)*row
		swatch(d, t, cx, cy, w, h)
		d.Say(cx+w+0.5*text, cy+0.92*text, draw.Text{S: draw.FitEnd(name, text, column-w-text, false), Size: text, Tone: draw.Ink})
		i++
	}
	in := map[string]bool{}
	for _, word := range words {
		in[word] = true
	}
	for _, t := range Trades() {
		if in[t.Word] {
			put(t, t.Word)
			delete(in, t.Word)
		}
	}
	for _, word := range words {
		if in[word] {
			put(Of(word), word)
			delete(in, word)
		}
	}
	return math.Ceil(float64(i)/float64(n)) * row
}

// Bands draws the mark of pipe identification, as wide as w; it returns false where a service has none.
func Bands(d *draw.Drawing, trade, service string, x, y, w, h float64) bool {
	bands := Mark(trade, service)
	if bands == nil {
		return false
	}
	step := w / float64(len(bands))
	for i, t := range bands {
		d.Area(t, draw.None, 0, x+float64(i)*step, y, x+float64(i+1)*step, y, x+float64(i+1)*step, y+h, x+float64(i)*step, y+h)
	}
	d.Area(draw.None, draw.Ink, draw.Thin, x, y, x+w, y, x+w, y+h, x, y+h)
	return true
}
