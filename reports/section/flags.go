package section

import (
	"cmp"
	"math"
	"slices"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"

	"voidline/reports/draw"
	"voidline/reports/draw/look"
	"voidline/reports/words"
)

// flag is the words for one piece: on a pole over the soffit or under the ceiling, or in the piece.
type flag struct {
	name, rest, second string
	trade, service     string
	s, level           float64 // the middle of the piece's visible cut
	w                  float64 // of the words, paper mm
	x, y               float64 // of the pole, or of words inside
	row                int
	left               bool // the words stand to the left of the pole
}

// band is the flags over or under the section.
type band struct {
	flags []flag
	rows  int
}

// flags makes the words for every piece and finds places for them, the poles between the ends of room.
//
// A pole goes straight up or down from the piece and the words stand beside its end. Words must not stand where
// another pole passes: of flags that point right, one further left hangs deeper than those whose poles it
// would reach. Where the words of the rightmost would leave the sheet, those from the widest gap on point left.
func (c *canvas) flags(room r1.Interval) {
	p := c.in.Project
	var up, down []flag
	soffit := c.bay.Soffit - c.ffl
	base := 0.0
	if c.bay.HasCeiling {
		base = c.bay.Top - c.ffl
	}
	c.Origin = r2.Point{X: c.x.Lo - c.s.Lo/c.Scale}
	c.low = math.Min(0, base) - 1e4
	type spot struct {
		f   flag
		box r2.Rect
	}
	var spots []spot
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
		box := r2.EmptyRect()
		low := math.Inf(1)
		for _, v := range cut.Outline {
			box = box.AddPoint(r2.Point{X: v.X, Y: v.Y - c.ffl})
			low = math.Min(low, v.Y-c.ffl)
		}
		box = box.Intersection(c.window())
		if box.IsEmpty() {
			continue
		}
		f := flag{name: words.Name(z.ID), trade: ch.Trade, service: ch.Service}
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
		f.s, f.level = box.Center().X, box.Center().Y
		// No name is wider than what is drawn.
		most := room.Length() - 2*c.text
		f.name = draw.Fit(f.name, c.text, most-3*c.text, true)
		if c.nameWide(f) > most {
			f.rest = ""
		}
		f.second = draw.FitEnd(f.second, c.small, most, false)
		f.w = math.Max(c.nameWide(f), draw.Width(f.second, c.small, false)) + 0.9*c.text
		spots = append(spots, spot{f, box})
	}
	for i, sp := range spots {
		f := sp.f
		w, h := sp.box.X.Length()/c.Scale, sp.box.Y.Length()/c.Scale
		words := r2.RectFromCenterSize(sp.box.Center(), r2.Point{X: f.w * c.Scale, Y: 2.4 * c.text * c.Scale})
		clear := w >= f.w+1 && h >= 2.4*c.text
		if clear && w > 2*f.w {
			// Along a long piece there is more than one place: a third from either end, then the middle.
			clear = false
			for _, part := range []float64{0.5, 0.25, 0.75} {
				at := r2.Point{X: sp.box.X.Lo + part*sp.box.X.Length(), Y: sp.box.Center().Y}
				try := r2.RectFromCenterSize(at, r2.Point{X: f.w * c.Scale, Y: 2.4 * c.text * c.Scale})
				if !slices.ContainsFunc(spots, func(o spot) bool { return o != sp && o.box.Intersects(try) }) {
					clear, words, f.s = true, try, at.X
					break
				}
			}
		}
		for j, o := range spots {
			clear = clear && (j == i || !o.box.Intersects(words))
		}
		if clear && c.in.Stack != nil && words.X.Contains(c.in.StackAt) {
			clear = false
		}
		switch {
		case clear:
			c.inside = append(c.inside, f)
		case f.level > (soffit+base)/2 || look.Of(f.trade).Word == "steel" || f.trade == "partitions" || f.trade == "structure":
			up = append(up, f)
		default:
			down = append(down, f)
		}
	}
	c.above = c.place(up, room)
	// Under the ceiling the words keep off what stands at the bay's far end.
	if hi := c.px(math.Min(c.s.Hi, c.in.Cut.Inside.Hi)) + 1; hi-room.Lo > 30*c.text {
		room.Hi = math.Min(room.Hi, hi)
	}
	c.below = c.place(down, room)
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

// place gives the flags of a band their poles and rows.
func (c *canvas) place(fs []flag, room r1.Interval) band {
	slices.SortStableFunc(fs, func(a, b flag) int { return cmp.Compare(a.s, b.s) })
	n := len(fs)
	if n == 0 {
		return band{}
	}
	wanted, gap := make([]float64, n), make([]float64, n)
	wide := 0.0
	for i := range fs {
		wanted[i], gap[i] = c.px(fs[i].s), 1.3
		wide = math.Max(wide, fs[i].w)
	}
	split := n
	if wanted[n-1]+fs[n-1].w > room.Hi {
		// Those from the widest gap on point left; from the first on, where there is room before it.
		widest := math.Inf(-1)
		for i := range n {
			d := wanted[i] - room.Lo - fs[i].w
			if i > 0 {
				d = wanted[i] - wanted[i-1] - fs[i].w - fs[i-1].w
			}
			if (i > 0 || d >= 0) && d > widest {
				widest, split = d, i
			}
		}
	}
	// apart is how much further than need be the two sides stand from each other.
	try := func(split int, lo, hi, apart float64) bool {
		g := slices.Clone(gap)
		if split > 0 && split < n {
			g[split] = fs[split-1].w + fs[split].w + 1 + apart
		}
		at := draw.Spread(wanted, g, lo, math.Max(lo, hi))
		ok := true
		for i := range fs {
			fs[i].x, fs[i].left = at[i], i >= split
			if fs[i].left {
				ok = ok && at[i] <= room.Hi && at[i]-fs[i].w >= room.Lo
			} else {
				ok = ok && at[i] >= room.Lo && at[i]+fs[i].w <= room.Hi
			}
		}
		return ok
	}
	hi := room.Hi
	if split == n {
		hi -= fs[n-1].w
	}
	ok, rows, apart := false, 0, 0.0
	for range 6 { // parting the sides may bring others of them into one row
		if ok = try(split, room.Lo, hi, apart); !ok {
			break
		}
		rows = nest(fs, split)
		over := meet(fs, split)
		if over <= 0 {
			return band{fs, rows}
		}
		apart += over
	}
	// All to the right, the poles drawn together; what would then reach over the end hangs by itself.
	if !ok || apart > 0 {
		try(n, room.Lo, room.Hi-wide, 0)
		rows = nest(fs, n)
	}
	return band{fs, rows}
}

// nest gives the flags their rows, those before split pointing right and the others left; it returns how many.
func nest(fs []flag, split int) int {
	rows := 0
	for i := split - 1; i >= 0; i-- {
		fs[i].row = 0
		for j := i + 1; j < split; j++ {
			if fs[j].x < fs[i].x+fs[i].w {
				fs[i].row = max(fs[i].row, fs[j].row+1)
			}
		}
		rows = max(rows, fs[i].row+1)
	}
	for i := split; i < len(fs); i++ {
		fs[i].row = 0
		for j := split; j < i; j++ {
			if fs[j].x > fs[i].x-fs[i].w {
				fs[i].row = max(fs[i].row, fs[j].row+1)
			}
		}
		rows = max(rows, fs[i].row+1)
	}
	return rows
}

// meet returns how far the words of flags that point right reach into words or over poles of flags that point left, or
// these into those; 0 where they do not.
func meet(fs []flag, split int) float64 {
	over := 0.0
	for i := range split {
		for j := split; j < len(fs); j++ {
			a, b := fs[i].x+fs[i].w, fs[j].x-fs[j].w
			if fs[i].row == fs[j].row {
				over = math.Max(over, a-b)
			}
			if fs[j].row > fs[i].row { // the pole passes beside these words
				over = math.Max(over, a-fs[j].x)
			}
			if fs[i].row > fs[j].row {
				over = math.Max(over, fs[i].x-b)
			}
		}
	}
	if over > 0 {
		over += 0.5
	}
	return over
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

// flagEnd returns where a flag's pole ends and where its words begin, from the top of the sheet.
func (c *canvas) flagEnd(f flag, way float64) (end, top float64) {
	end = c.flagBase(way) + way*(float64(f.row)+1)*flagHigh*c.text
	if way > 0 {
		return end, end - flagHigh*c.text
	}
	return end, end
}

// hang draws the flags of a band.
func (c *canvas) hang(b *band, way float64) {
	base := c.flagBase(way)
	for _, f := range b.flags {
		x, y := c.px(f.s), math.Max(c.top, math.Min(c.bottom-1.5, c.py(f.level)))
		end, top := c.flagEnd(f, way)
		turn := base
		if way > 0 && turn < y {
			turn = y
		}
		c.Stroke(draw.Ink, draw.Thin, draw.Solid, x, y, f.x, turn, f.x, end)
		r := 0.16 * c.text
		c.Add(draw.Path{Fill: draw.Ink, Steps: draw.Ellipse(c.Sheet(x, y), r2.Point{X: 1}, r*c.Scale, r*c.Scale)})
		anchor := draw.Start
		tx := f.x + 0.45*c.text
		if f.left {
			anchor, tx = draw.End, f.x-0.45*c.text
		}
		c.words(f, tx, top+1.1*c.text, anchor)
	}
}

// words writes a flag: x is where its lines start, end or have their middle, y the foot of the first.
func (c *canvas) words(f flag, x, y float64, anchor draw.Anchor) {
	w := c.nameWide(f)
	switch anchor {
	case draw.Middle:
		x, y = c.px(f.s), c.py(f.level)-0.2*c.text
		// On a hatch words want a ground of their own.
		c.Area(draw.Paper, draw.None, 0, x-f.w/2, y-0.95*c.text, x+f.w/2, y-0.95*c.text, x+f.w/2, y+1.35*c.text, x-f.w/2, y+1.35*c.text)
	case draw.Start, draw.End:
	}
	start := x
	switch anchor {
	case draw.Middle:
		start -= w / 2
	case draw.End:
		start -= w
	}
	at := start
	if look.Mark(f.trade, f.service) != nil {
		look.Bands(c.Drawing, f.trade, f.service, at, y-0.7*c.text, 1.8*c.text, 0.7*c.text)
		at += 2.2 * c.text
	}
	c.Say(at, y, draw.Text{S: f.name, Size: c.text, Bold: true, Tone: draw.Ink, Halo: true})
	if f.rest != "" && f.rest != f.name {
		c.Say(at+draw.Width(f.name, c.text, true)+0.6*c.text, y, draw.Text{S: f.rest, Size: c.small, Tone: draw.Soft, Halo: true})
	}
	second := draw.Text{S: f.second, Size: c.small, Tone: draw.Ink, Halo: true, Anchor: anchor}
	c.Say(x, y+1.05*c.text, second)
}
