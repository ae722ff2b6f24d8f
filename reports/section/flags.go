package section

import (
	"cmp"
	"math"
	"slices"
	"strconv"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"

	"voidline/reports/draw"
	"voidline/reports/draw/look"
	"voidline/reports/words"
	"voidline/void"
)

// flag is the words for one piece, or for several that are alike: on a pole over the soffit or under the ceiling, or in the piece. Its places
// are of the sheet, mm, down from the soffit until the section stands.
type flag struct {
	name, rest, second string
	trade, service     string
	s, level           float64 // the middle of the piece's visible cut
	box                r2.Rect // what is seen of it
	w                  float64 // of the words
	x                  float64 // of the pole, or of the middle of words inside
	row                int
	left               bool   // the words stand to the left of the pole
	alike              string // what it has in common with other pieces of structure
}

// mostRows is how many rows of flags a paper sheet has over or under the section; a narrow one has as many as it takes.
const mostRows = 9

// alike is how many pieces of structure that are alike are named one by one; more are named once.
const alike = 4

// names makes the words for every piece that is seen.
func (c *canvas) names(most float64) []flag {
	p := c.in.Project
	var out []flag
	count := map[string]int{}
	for i := range c.in.Cut.Pieces {
		q := &c.in.Cut.Pieces[i]
		z := p.Zone(q.Zone)
		ch := p.Character(z.Char)
		if c.elsewhere(q) {
			continue
		}
		cut := q.Bare
		if cut == nil {
			cut = q.Full
		}
		if cut == nil {
			cut = q.Hang
		}
		low := math.Inf(1)
		for _, v := range cut.Outline {
			low = math.Min(low, v.Y-c.ffl)
		}
		box := c.seen(cut.Outline)
		if box.IsEmpty() {
			continue
		}
		f := flag{name: words.Name(z.ID), trade: ch.Trade, service: ch.Service, box: box}
		f.rest = words.Name(ch.Service)
		if f.rest == "" {
			f.rest = words.Name(ch.Kind)
		}
		f.second = Size(z)
		switch {
		case z.ByHeight:
			f.second += ", place not known"
		case z.Upright:
		default:
			f.second += ", u/s " + words.AboveDown(low)
			if q.Hang != nil {
				under := math.Inf(1)
				for _, v := range q.Hang.Outline {
					under = math.Min(under, v.Y-c.ffl)
				}
				f.second += ", hanger to " + words.AboveDown(under)
			}
		}
		f.s = c.s.Lo + (box.Center().X-c.x.Lo)*c.Scale
		f.level = c.bay.Soffit - c.ffl - (box.Center().Y-c.top)*c.Scale
		if ch.Structure() {
			f.alike = ch.Trade + "\x00" + f.rest + "\x00" + f.second
			count[f.alike]++
		}
		out = append(out, f)
	}
	// What is alike and more than a few is named once, at the middle one.
	for key, n := range count {
		if n <= alike {
			continue
		}
		var all []int
		for i := range out {
			if out[i].alike == key {
				all = append(all, i)
			}
		}
		slices.SortFunc(all, func(a, b int) int { return cmp.Compare(out[a].s, out[b].s) })
		mid := &out[all[len(all)/2]]
		mid.name = strconv.Itoa(n) + " alike: " + out[all[0]].name + " … " + out[all[len(all)-1]].name
		for _, i := range all {
			if &out[i] != mid {
				out[i].name = ""
			}
		}
	}
	out = slices.DeleteFunc(out, func(f flag) bool { return f.name == "" })
	for i := range out {
		f := &out[i]
		// No name is wider than what is drawn.
		f.name = draw.Fit(f.name, c.text, most-3*c.text, true)
		if c.nameWide(*f) > most {
			f.rest = ""
		}
		f.second = draw.FitEnd(f.second, c.small, most, false)
		f.w = math.Max(c.nameWide(*f), draw.Width(f.second, c.small, false)) + 0.9*c.text
	}
	return out
}

// seen returns what of an outline of the cut is seen, on the sheet.
func (c *canvas) seen(outline []r2.Point) r2.Rect {
	r := r2.EmptyRect()
	for _, v := range outline {
		r = r.AddPoint(r2.Point{X: v.X, Y: v.Y - c.ffl})
	}
	if r = r.Intersection(c.window()); r.IsEmpty() {
		return r
	}
	return r2.RectFromPoints(r2.Point{X: c.px(r.X.Lo), Y: c.py(r.Y.Lo)}, r2.Point{X: c.px(r.X.Hi), Y: c.py(r.Y.Hi)})
}

// flags makes the words for every piece and finds places for them, the poles between the ends of room: in the piece where they have room
// there, else over the soffit or under the ceiling. It returns how many find none
// within so many rows. What lies under low is not seen.
//
// A pole goes straight up or down from the piece and the words stand beside its end, in the first row in which they meet no
// other words and no pole. It is tried with all words to the right of their poles, with those behind the widest gap to the left, and with the
// poles drawn together; what takes fewest rows is drawn.
func (c *canvas) flags(room r1.Interval, most int, low float64) int {
	soffit := c.bay.Soffit - c.ffl
	base := 0.0
	if c.bay.HasCeiling {
		base = c.bay.Top - c.ffl
	}
	c.top = 0
	c.Origin = r2.Point{X: c.x.Lo - c.s.Lo/c.Scale, Y: soffit / c.Scale}
	c.low, c.bottom = math.Max(low, math.Min(0, base)-1e4), 0
	l := draw.NewLabels(r2.Rect{X: room, Y: r1.Interval{Lo: math.Inf(-1), Hi: math.Inf(1)}})
	all := c.names(room.Length() - 2*c.text)
	var up, down []flag
	c.inside = nil
	for i, f := range all {
		fits := false
		for _, part := range []float64{0.5, 0.25, 0.75} {
			// Along a long piece there is more than one place.
			at := r2.Point{X: f.box.X.Lo + part*f.box.X.Length(), Y: f.box.Y.Center()}
			try := r2.RectFromCenterSize(at, r2.Point{X: f.w, Y: 2.4 * c.text})
			if !f.box.Contains(try.ExpandedByMargin(0.4)) || !l.Free(try) || c.in.Stack != nil && try.X.Contains(c.px(c.in.StackAt)) ||
				slices.ContainsFunc(c.in.Cut.Grid, func(g void.SectionMark) bool { return try.X.Contains(c.px(g.S)) }) {
				continue
			}
			if fits = !slices.ContainsFunc(all, func(o flag) bool { return o.box != all[i].box && o.box.Intersects(try) }); fits {
				l.Take(try)
				f.x = at.X
				break
			}
		}
		switch {
		case fits:
			c.inside = append(c.inside, f)
		case f.level > (soffit+base)/2 || f.trade == "steel" || f.trade == "partitions" || f.trade == "structure":
			up = append(up, f)
		default:
			down = append(down, f)
		}
	}
	most = min(most, len(all))
	var without, more int
	c.above, without = c.place(up, -1, room, most)
	// Under the ceiling the words keep off what stands at the bay's far end.
	if hi := c.px(math.Min(c.s.Hi, c.in.Cut.Inside.Hi)) + 1; hi-room.Lo > 30*c.text {
		room.Hi = math.Min(room.Hi, hi)
	}
	c.below, more = c.place(down, 1, room, most)
	return without + more
}

// nameWide returns how wide the first line of a flag is.
func (c *canvas) nameWide(f flag) float64 {
	w := draw.Width(f.name, c.text, true)
	if f.rest != "" && f.rest != f.name {
		w += 0.6*c.text + draw.Width(f.rest, c.small, false)
	}
	if look.Mark(f.trade, f.service) != nil {
		w += 2.2 * c.text
	}
	return w
}

// place gives the flags of a band their poles and rows, and returns how many find no row.
func (c *canvas) place(fs []flag, way float64, room r1.Interval, most int) (best []flag, without int) {
	slices.SortStableFunc(fs, func(a, b flag) int { return cmp.Compare(a.s, b.s) })
	n := len(fs)
	if n == 0 {
		return nil, 0
	}
	wanted, gap := make([]float64, n), make([]float64, n)
	wide := 0.0
	for i := range fs {
		wanted[i], gap[i] = math.Max(room.Lo, c.px(fs[i].s)), 1.3
		wide = math.Max(wide, fs[i].w)
	}
	split, widest := n, math.Inf(-1)
	for i := range n {
		d := wanted[i] - room.Lo - fs[i].w
		if i > 0 {
			d = wanted[i] - wanted[i-1] - fs[i].w - fs[i-1].w
		}
		if (i > 0 || d >= 0) && d > widest {
			widest, split = d, i
		}
	}
	without = n + 1
	for _, try := range []struct {
		split int
		hi    float64
	}{{n, room.Hi}, {split, room.Hi}, {n, math.Max(room.Lo, room.Hi-wide)}} {
		got := slices.Clone(fs)
		apart := slices.Clone(gap)
		if try.split > 0 && try.split < n {
			apart[try.split] = fs[try.split-1].w + fs[try.split].w + 1
			if d := wanted[try.split] - wanted[try.split-1]; d < apart[try.split] {
				apart[try.split] = math.Max(1.3, d)
			}
		}
		for i, x := range draw.Spread(wanted, apart, room.Lo, try.hi) {
			got[i].x, got[i].left = x, i >= try.split
		}
		if lost := c.rows(got, try.split, way, room, most); lost < without || lost == without && rowsOf(got) < rowsOf(best) {
			best, without = got, lost
		}
	}
	return slices.DeleteFunc(best, func(f flag) bool { return f.row < 0 }), without
}

// rows gives each flag the first row in which its words are free and its pole crosses none, -1 where there is none; it returns of how many that is so.
// Those that point right are hung from the right, the others from the left, so that each finds the poles that it may not cross.
func (c *canvas) rows(fs []flag, split int, way float64, room r1.Interval, most int) (lost int) {
	l := draw.NewLabels(r2.Rect{X: room.Expanded(0.01), Y: r1.Interval{Lo: math.Inf(-1), Hi: math.Inf(1)}})
	for i := range c.inside {
		l.Take(c.insideBox(&c.inside[i]))
	}
	hang := func(f *flag) {
		for f.row = 0; f.row < most; f.row++ {
			box, pole := c.flagBox(f, way), c.pole(f, way)
			if stem := pole[len(pole)-2:]; l.Free(box) && l.Clear(stem...) {
				l.Take(box)
				l.Line(stem...)
				return
			}
		}
		f.row = -1
		lost++
	}
	for i := split - 1; i >= 0; i-- {
		hang(&fs[i])
	}
	for i := split; i < len(fs); i++ {
		hang(&fs[i])
	}
	return lost
}

// rowsOf returns how many rows flags take.
func rowsOf(fs []flag) int {
	n := 0
	for i := range fs {
		n = max(n, fs[i].row+1)
	}
	return n
}

// flagBase returns where the flags of a band begin: over the soffit (way -1) or under the ceiling (way 1).
func (c *canvas) flagBase(way float64) float64 {
	switch {
	case way < 0:
		return c.top - c.hatch - 1.2
	case !c.bay.HasCeiling:
		return c.top + 8
	}
	return c.top + (c.bay.Soffit-math.Max(c.bay.Ceiling, c.ffl))/c.Scale + 3
}

// pole returns the line from a piece to its words: to the base of its band, and from there straight to their row.
func (c *canvas) pole(f *flag, way float64) []r2.Point {
	y := c.py(f.level)
	if c.bottom > c.top {
		y = math.Max(c.top, math.Min(c.bottom-1.5, y))
	}
	base := c.flagBase(way)
	turn := base
	if way > 0 {
		turn = math.Max(turn, y)
	}
	end := base + way*(float64(f.row)+1)*flagHigh*c.text
	return []r2.Point{{X: c.px(f.s), Y: y}, {X: f.x, Y: turn}, {X: f.x, Y: end}}
}

// flagBox returns what the words of a flag take of the sheet.
func (c *canvas) flagBox(f *flag, way float64) r2.Rect {
	high := flagHigh * c.text
	top := c.flagBase(way) + way*float64(f.row)*high
	if way < 0 {
		top -= high
	}
	x := f.x + 0.3
	if f.left {
		x = f.x - 0.3 - f.w
	}
	return r2.Rect{X: r1.Interval{Lo: x, Hi: x + f.w}, Y: r1.Interval{Lo: top + 0.02, Hi: top + high - 0.02}}
}

// take keeps the places of flags free.
func (c *canvas) take() {
	for _, b := range []struct {
		flags []flag
		way   float64
	}{{c.above, -1}, {c.below, 1}} {
		for i := range b.flags {
			c.labels.Take(c.flagBox(&b.flags[i], b.way))
			c.labels.Line(c.pole(&b.flags[i], b.way)...)
		}
	}
	for i := range c.inside {
		c.labels.Take(c.insideBox(&c.inside[i]))
	}
}

// insideBox returns what words in their piece take of the sheet.
func (c *canvas) insideBox(f *flag) r2.Rect {
	return r2.RectFromCenterSize(r2.Point{X: f.x, Y: c.py(f.level)}, r2.Point{X: f.w, Y: 2.4 * c.text})
}

// poles draws the poles of a band.
func (c *canvas) poles(fs []flag, way float64) {
	for i := range fs {
		p := c.pole(&fs[i], way)
		c.Stroke(draw.Ink, draw.Thin, draw.Solid, p[0].X, p[0].Y, p[1].X, p[1].Y, p[2].X, p[2].Y)
		r := 0.16 * c.text
		c.Add(draw.Path{Fill: draw.Ink, Steps: draw.Ellipse(c.Sheet(p[0].X, p[0].Y), r2.Point{X: 1}, r*c.Scale, r*c.Scale)})
	}
}

// words writes a band's flags beside their poles.
func (c *canvas) words(fs []flag, way float64) {
	for i := range fs {
		f := &fs[i]
		b := c.flagBox(f, way)
		if f.left {
			c.say(f, b.X.Hi-0.15*c.text, b.Y.Lo+1.1*c.text, draw.End)
		} else {
			c.say(f, b.X.Lo+0.15*c.text, b.Y.Lo+1.1*c.text, draw.Start)
		}
	}
}

// within writes the words that stand in their pieces; on a hatch they want a ground of their own.
func (c *canvas) within() {
	for i := range c.inside {
		f := &c.inside[i]
		y := c.py(f.level) - 0.2*c.text
		c.Area(draw.Paper, draw.None, 0, f.x-f.w/2, y-0.95*c.text, f.x+f.w/2, y-0.95*c.text, f.x+f.w/2, y+1.35*c.text, f.x-f.w/2, y+1.35*c.text)
		c.say(f, f.x, y, draw.Middle)
	}
}

// say writes a flag: x is where its lines start, end or have their middle, y the foot of the first.
func (c *canvas) say(f *flag, x, y float64, anchor draw.Anchor) {
	at := x
	switch anchor {
	case draw.Middle:
		at -= c.nameWide(*f) / 2
	case draw.End:
		at -= c.nameWide(*f)
	}
	if look.Mark(f.trade, f.service) != nil {
		look.Bands(c.Drawing, f.trade, f.service, at, y-0.7*c.text, 1.8*c.text, 0.7*c.text)
		at += 2.2 * c.text
	}
	c.Say(at, y, draw.Text{S: f.name, Size: c.text, Bold: true, Tone: draw.Ink, Halo: true})
	if f.rest != "" && f.rest != f.name {
		c.Say(at+draw.Width(f.name, c.text, true)+0.6*c.text, y, draw.Text{S: f.rest, Size: c.small, Tone: draw.Soft, Halo: true})
	}
	c.Say(x, y+1.05*c.text, draw.Text{S: f.second, Size: c.small, Tone: draw.Ink, Halo: true, Anchor: anchor})
}
