// Package section draws the section of a bay: soffit, steel, what the plane cuts, build-up, ceiling line,
// datum and FFL, with levels down one side, the stack over one point beside it, and a finding marked. It
// measures nothing: cuts come from void, gaps and findings from clash.
package section

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"

	"voidline/clash"
	"voidline/clash/finding"
	"voidline/clash/support"
	"voidline/reports/draw"
	"voidline/reports/draw/look"
	"voidline/reports/words"
	"voidline/void"
	"voidline/void/body"
)

// Input is what was measured.
type Input struct {
	Project *void.Project
	clash.View
	// Finding is the finding to mark, nil for none; Number what stands in its mark ("1" where blank).
	Finding *finding.Finding
	Number  string
	// Others are further findings in the plane, and Holes holes to be made; each bears its number.
	Others []Marked
	Holes  []finding.Hole
	// Why says why the cut is where it is, in a few words; may be blank.
	Why string
}

// Marked is a finding and the number of its problem.
type Marked struct {
	Finding *finding.Finding
	Number  string
}

// Options say how to draw.
type Options struct {
	// Sheet is the paper; without a name it is A4 or A3, whichever shows the cut larger (A4 where both do alike).
	Sheet look.Sheet
	// Span draws only so many millimetres of the cut, about the plumb line; 0 is the whole bay or, where that is too long to be read,
	// what fits at a scale that can be.
	Span float64
}

// canvas is a drawing in the making. Levels in it are above the storey's FFL, mm; y and x are paper mm.
type canvas struct {
	*draw.Drawing
	in     Input
	sheet  look.Sheet
	text   float64
	small  float64
	bay    *void.Bay
	ffl    float64
	datum  float64
	phone  bool
	labels *draw.Labels
	s      r1.Interval // shown stretch of the cut
	x      r1.Interval // its place on the sheet
	low    float64     // lowest level drawn
	top    float64     // place of the soffit on the sheet
	bottom float64     // and of the lowest level
	broken bool        // the room below is cut short
	above  []flag
	below  []flag
	inside []flag
	silent int     // pieces whose words have no room
	need   float64 // height that the words under the ceiling take, mm of the sheet
	over   float64 // height over the soffit
	trades []string
	hatch  float64 // height of the ground over the soffit, paper mm
	cap    float64 // highest level drawn; 0 is that ground over the soffit
	prefix string  // before the ids of what is drawn
}

// Draw draws the section.
func Draw(in Input, o Options) *draw.Drawing {
	b := &in.Project.Bays[in.Cut.Bay]
	st := &in.Project.Storeys[b.Storey]
	make := func(sheet look.Sheet, scale float64, s r1.Interval) *canvas {
		return &canvas{
			Drawing: &draw.Drawing{Scale: scale, W: sheet.W, H: sheet.H}, in: in, sheet: sheet, text: sheet.Text, small: 0.84 * sheet.Text,
			bay: b, ffl: st.FFL, datum: st.Datum, phone: sheet.H == 0, s: s, hatch: 2.2,
		}
	}
	if o.Sheet.Name != "" && o.Sheet.H == 0 {
		return phone(make, o)
	}
	sheets := []look.Sheet{look.A4(), look.A3()}
	if o.Sheet.Name != "" {
		sheets = []look.Sheet{o.Sheet}
	}
	// All of the cut, or what is asked for, where that can be read; else so much of it about the finding as can; else the words of some
	// pieces are left out.
	s := in.stretch(o.Span)
	for _, scale := range look.Scales() {
		for _, sheet := range sheets {
			if c := make(sheet, scale, s); scale <= smallest && c.wide(false) {
				return c.draw()
			}
		}
	}
	for _, k := range []struct {
		least  float64
		forced bool
	}{{25, false}, {50, true}} {
		for _, scale := range look.Scales() {
			for _, sheet := range sheets {
				if scale < k.least || !k.forced && scale > smallest {
					continue
				}
				c := make(sheet, scale, r1.Interval{})
				c.s = in.stretch(math.Min(s.Length(), c.room().Length()*scale))
				if c.wide(k.forced) {
					return c.draw()
				}
			}
		}
	}
	c := make(sheets[0], 1e5, s) // a void higher than anything
	c.wide(true)
	return c.draw()
}

// smallest is the smallest scale at which a section can be read.
const smallest = 100

// stretch returns the shown stretch of the cut: all of it, or span mm about the plumb line.
func (in *Input) stretch(span float64) r1.Interval {
	s := in.Cut.Shown
	if span <= 0 || span >= s.Length()-1e-6 {
		return s
	}
	at := in.Cut.Inside.Center()
	if in.Stack != nil {
		at = in.StackAt
	}
	lo := math.Max(s.Lo, math.Min(at-span/2, s.Hi-span))
	return r1.Interval{Lo: lo, Hi: lo + span}
}

// Sizes of the furniture in heights of type.
const (
	staffWide = 12.5 // levels and staff, left
	coreWide  = 19.0 // stack, right
	stripHigh = 13.0 // title strip, below
	flagHigh  = 2.35
)

// room returns what of the width of a paper sheet is left for the cut.
func (c *canvas) room() r1.Interval {
	r := r1.Interval{Lo: c.sheet.Margin + staffWide*c.text, Hi: c.sheet.W - c.sheet.Margin}
	if c.in.Stack != nil {
		r.Hi -= coreWide * c.text
	}
	return r
}

// wide lays a paper sheet out; false where the cut and the words of its pieces do not fit at this scale. Where it is forced they need not all.
func (c *canvas) wide(forced bool) bool {
	room := c.room()
	w := c.s.Length() / c.Scale
	if w > room.Length()+1e-6 {
		return false
	}
	c.x = r1.Interval{Lo: room.Lo, Hi: room.Lo + w}
	start, end := c.sheet.Margin+1.2*c.text, c.sheet.H-c.sheet.Margin-stripHigh*c.text
	for most := mostRows; most >= 0; most-- {
		if ok := c.flagged(room, most, func() bool { return c.stand(start, end, false) }); ok && (forced || c.silent == 0) {
			return true
		}
		if !forced {
			return false
		}
	}
	return false
}

// flagged finds places for the words of the pieces and then stands the section on the sheet; where that breaks the room below off, once more for the pieces
// that are seen then.
func (c *canvas) flagged(room r1.Interval, most int, stand func() bool) bool {
	c.need = 0
	c.silent = c.flags(room, most, math.Inf(-1))
	if !stand() {
		return false
	}
	if c.broken {
		c.silent = c.flags(room, most, c.low)
		return stand()
	}
	return true
}

// stand places soffit and floor between two heights of the sheet; with grow the lower follows from what is
// needed.
func (c *canvas) stand(start, end float64, grow bool) bool {
	soffit := c.bay.Soffit - c.ffl
	c.over = c.hatch + 1
	if len(c.above) > 0 {
		c.over += float64(rowsOf(c.above))*flagHigh*c.text + 2
	}
	if slices.ContainsFunc(c.in.Cut.Grid, func(g void.SectionMark) bool { return c.s.Contains(g.S) }) {
		c.over += look.BubbleRoom(c.text)
	}
	if !grow && c.in.Stack != nil {
		c.over = math.Max(c.over, 2.4*c.text) // the heading of the stack beside it
	}
	if grow && c.in.Finding != nil {
		c.over += 2.6 * c.text // a narrow sheet has no other room for its mark
	}
	c.top = start + c.over
	face := 0.0
	if c.bay.HasCeiling {
		face = c.bay.Ceiling - c.ffl
	}
	c.need = math.Max(c.need, float64(rowsOf(c.below))*flagHigh*c.text)
	need := c.need
	floor := (soffit - math.Min(0, face)) / c.Scale
	if face > 0 {
		// Under the ceiling: the flags, and what hangs lower.
		need = math.Max(need+3, 0)
		least := (soffit-face)/c.Scale + need + 3
		switch {
		case grow:
			c.low, c.broken = face-(need+2)*c.Scale, true
			if c.low <= 0 {
				c.low, c.broken = math.Min(c.low, -2*c.Scale), false
			}
			c.bottom = c.top + (soffit-c.low)/c.Scale
		case c.top+math.Max(floor+2, least) <= end:
			c.low = math.Min(-2*c.Scale, soffit-least*c.Scale)
			c.bottom = c.top + (soffit-c.low)/c.Scale
		case c.top+least <= end-4.2*c.text:
			c.broken = true
			c.bottom = end - 4.2*c.text
			c.low = soffit - (c.bottom-c.top)*c.Scale
		default:
			return false
		}
	} else {
		least := floor + 3
		if len(c.below) > 0 {
			least = math.Max(least, need+8)
		}
		if !grow && c.top+least > end {
			return false
		}
		c.bottom = c.top + least
		c.low = soffit - least*c.Scale
	}
	c.Origin = r2.Point{X: c.x.Lo - c.s.Lo/c.Scale, Y: c.top + soffit/c.Scale}
	return true
}

// phone lays the drawing out for a narrow screen: the section, the stack under it, then the words.
func phone(make func(look.Sheet, float64, r1.Interval) *canvas, o Options) *draw.Drawing {
	sheet := o.Sheet
	c := make(sheet, 10, r1.Interval{})
	m := sheet.Margin
	left, right := m+6.8*sheet.Text, sheet.W-m
	high := c.bay.Soffit - c.ffl
	if c.bay.HasCeiling {
		high = c.bay.Soffit - c.bay.Ceiling
	}
	for _, scale := range look.Scales() {
		if scale < 10 || high/scale > 60 && scale < 1000 || o.Span > 0 && o.Span/scale > right-left {
			continue
		}
		span := (right - left) * scale
		if o.Span > 0 {
			span = math.Min(span, o.Span)
		}
		c = make(sheet, scale, c.in.stretch(span))
		break
	}
	c.x = r1.Interval{Lo: left, Hi: left + c.s.Length()/c.Scale}
	head := m + c.heading(0, 0, sheet.W-2*m, true)
	c.flagged(r1.Interval{Lo: left, Hi: right}, math.MaxInt, func() bool { return c.stand(head+1.2*c.text, 0, true) })
	return c.draw()
}

// draw puts everything on the sheet.
func (c *canvas) draw() *draw.Drawing {
	c.Name, c.Desc = c.title(), c.describe()
	c.Area(draw.Paper, draw.None, 0, 0, 0, c.sheet.W, 0, c.sheet.W, 1, 0, 1) // made as high as the sheet at the end
	m := c.sheet.Margin
	c.labels = draw.NewLabels(r2.Rect{X: r1.Interval{Lo: c.x.Lo, Hi: math.Max(c.x.Hi, c.sheet.W-m)}, Y: r1.Interval{Lo: c.top - c.over, Hi: c.bottom}})
	if !c.phone {
		c.labels = draw.NewLabels(r2.Rect{X: c.room(), Y: r1.Interval{Lo: c.top - c.over, Hi: c.bottom}})
	}
	// All lines first, then the words, so that no line is drawn over a word.
	c.ground()
	c.pieces()
	c.gridLines()
	c.plumb()
	c.poles(c.above, -1)
	c.poles(c.below, 1)
	c.take()
	after := c.sides()
	c.mark()
	c.numbers()
	c.rooms()
	c.staff()
	c.within()
	c.words(c.above, -1)
	c.words(c.below, 1)
	if c.phone {
		c.heading(m, m, c.sheet.W-2*m, false)
		y := after + 1.6*c.text
		y += look.Legend(c.Drawing, c.trades, m, y, c.sheet.W-2*m, (c.sheet.W-2*m)/2, c.text)
		y += 1.8 * c.text
		look.ScaleBar(c.Drawing, m, y, 0.6*c.sheet.W, c.text, "")
		y += 2.6 * c.text
		for _, l := range draw.Fold(caution, c.small, c.sheet.W-2*m, false, 0) {
			c.Say(m, y, draw.Text{S: l, Size: c.small, Tone: draw.Soft})
			y += 1.25 * c.small
		}
		c.H = math.Ceil(y + m - c.small)
	} else {
		c.strip()
	}
	c.Items[0] = draw.Path{Fill: draw.Paper, Steps: draw.Polyline([]r2.Point{
		c.Sheet(0, 0), c.Sheet(c.W, 0), c.Sheet(c.W, c.H), c.Sheet(0, c.H),
	}, true)}
	return c.Drawing
}

const caution = "A check of the data given, not a survey: verify levels on site."

// px and py return the place on the sheet of a station of the cut and of a level.
func (c *canvas) px(s float64) float64     { return c.Origin.X + s/c.Scale }
func (c *canvas) py(level float64) float64 { return c.Origin.Y - level/c.Scale }

// number is what stands in the finding's mark.
func (c *canvas) number() string {
	if c.in.Number == "" {
		return "1"
	}
	return words.Clean(c.in.Number)
}

// title says what is cut.
func (c *canvas) title() string {
	s := "Section through bay " + words.Name(c.bay.Name)
	if n := c.in.Project.Storeys[c.bay.Storey].Name; n != "" {
		s += ", " + words.Name(n)
	}
	return s
}

// cutWords says where the plane lies and which way one looks.
func (c *canvas) cutWords() string {
	p := c.in.Cut.Plane
	at := p.Point((c.in.Cut.Inside.Lo+c.in.Cut.Inside.Hi)/2, 0)
	place := func(axis string, v float64, lines []void.GridLine, name string) string {
		s := axis + " = " + words.Near(v)
		if len(lines) > 0 {
			s += " (" + name + ")"
		}
		return s
	}
	wx, wy := c.in.Project.Places(r2.Point{X: at.X, Y: at.Y})
	switch {
	case p.Dir.Y == 1:
		return "cut at " + place("x", at.X, c.in.Project.GridX, wx) + ", looking west"
	case p.Dir.X == 1:
		return "cut at " + place("y", at.Y, c.in.Project.GridY, wy) + ", looking north"
	}
	return fmt.Sprintf("cut at an angle of %.1f degrees to x", math.Atan2(p.Dir.Y, p.Dir.X)*180/math.Pi)
}

// describe says the drawing in sentences, for who cannot see it.
func (c *canvas) describe() string {
	s := c.title() + ", " + c.cutWords() + ", scale 1:" + strconv.FormatFloat(c.Scale, 'f', -1, 64) + ". "
	s += "Soffit FFL" + words.AboveDown(c.bay.Soffit-c.ffl)
	if c.bay.HasCeiling {
		s += ", top of build-up FFL" + words.AboveUp(c.bay.Top-c.ffl) + ", ceiling FFL" + words.AboveDown(c.bay.Ceiling-c.ffl)
	} else {
		s += ", no ceiling"
	}
	s += ". "
	if f := c.in.Finding; f != nil {
		s += "Finding: " + words.What(f) + ", " + look.Pair(f) + "; " + words.There(f) + ". "
	}
	var names []string
	for i := range c.in.Cut.Pieces {
		if !c.elsewhere(&c.in.Cut.Pieces[i]) {
			names = append(names, words.Name(c.in.Project.Zone(c.in.Cut.Pieces[i].Zone).ID))
		}
	}
	if len(names) > 0 {
		s += "Cut: " + strings.Join(names, ", ") + "."
	}
	return s
}

// ground draws soffit, build-up, ceiling line, datum and FFL.
func (c *canvas) ground() {
	in := c.in.Cut.Inside
	lo, hi := math.Max(c.s.Lo, in.Lo), math.Min(c.s.Hi, in.Hi)
	if lo >= hi {
		return
	}
	w := c.window()
	soffit := c.bay.Soffit - c.ffl
	x0, x1 := c.px(lo), c.px(hi)
	// The ground over the soffit: how thick the slab is nobody said.
	y := c.py(soffit)
	var ticks []draw.Step
	for x := x0; x < x1-0.5 && c.hatch > 0; x += 1.6 {
		ticks = append(ticks, draw.Polyline([]r2.Point{c.Sheet(x, y), c.Sheet(math.Min(x+c.hatch, x1), y-math.Min(c.hatch, x1-x))}, false)...)
	}
	c.Add(draw.Path{Steps: ticks, Line: draw.Soft, Width: draw.Thin})
	level := func(tone draw.Tone, width float64, dash draw.Dash, v float64, id, title string) {
		if w.Y.Contains(v) {
			c.Add(draw.Path{ID: c.prefix + id, Title: title, Line: tone, Width: width, Dash: dash, Measured: true, Steps: draw.Polyline([]r2.Point{draw.B(lo, v), draw.B(hi, v)}, false)})
		}
	}
	if c.bay.HasCeiling {
		t := look.Of("ceilings")
		top, face := c.bay.Top-c.ffl, c.bay.Ceiling-c.ffl
		if z := (r1.Interval{Lo: face, Hi: top}).Intersection(w.Y); z.Length() > 0 {
			p := draw.Path{Fill: t.Tint, Measured: true, Steps: draw.Polyline([]r2.Point{draw.B(lo, z.Lo), draw.B(hi, z.Lo), draw.B(hi, z.Hi), draw.B(lo, z.Hi)}, true)}
			c.Add(p)
			look.Hatch(c.Drawing, t, p)
			c.trades = append(c.trades, "ceilings")
		}
		for i, l := range c.in.Cut.Layers {
			name := fmt.Sprintf("%s, %s thick, %s to %s", words.Clean(l.Name), words.Near(l.Thickness), words.Level(l.Z.Lo-c.ffl), words.Level(l.Z.Hi-c.ffl))
			level(draw.Purple, draw.Thin, draw.Solid, l.Z.Hi-c.ffl, fmt.Sprintf("layer%d", i+1), name)
		}
		level(draw.Ink, draw.Bold, draw.Solid, face, "ceiling", "finished face of the ceiling FFL"+words.AboveDown(face))
		if top > face {
			level(draw.Ink, draw.Medium, draw.Solid, top, "buildup", "top of the build-up FFL"+words.AboveUp(top))
		}
	}
	level(draw.Ink, draw.Bold, draw.Solid, soffit, "soffit", "soffit FFL"+words.AboveDown(soffit))
	level(draw.Ink, draw.Thick, draw.Solid, 0, "ffl", "finished floor")
	if c.datum < soffit {
		level(draw.Ink, draw.Thin, draw.Centre, c.datum, "datum", "datum line "+words.Level(c.datum))
	}
	// The bay goes on beside, and the room below: lines broken in the manner of ISO 128.
	for _, e := range []struct{ at, end float64 }{{c.s.Lo, in.Lo}, {c.s.Hi, in.Hi}} {
		if math.Abs(e.at-e.end) > 1 && in.Contains(e.at) && c.cap == 0 {
			x, m := c.px(e.at), (c.top+c.bottom)/2
			c.Stroke(draw.Soft, draw.Thin, draw.Solid, x, c.top-c.hatch, x, m-3, x-1.2, m-1, x+1.2, m+1, x, m+3, x, c.bottom)
		}
	}
	if c.broken {
		y := c.bottom
		for x := x0; x < x1; x += 12 {
			e := math.Min(x+12, x1)
			c.Stroke(draw.Soft, draw.Thin, draw.Solid, x, y, x+0.4*(e-x), y, x+0.45*(e-x), y-1.2, x+0.55*(e-x), y+1.2, x+0.6*(e-x), y, e, y)
		}
	}
}

// pieces draws what is cut: grounds first, then hatches, then outlines, so that where two share space both
// are seen.
func (c *canvas) pieces() {
	p := c.in.Project
	var fills, hatches, lines []func()
	seen := map[string]bool{}
	for i := range c.in.Cut.Pieces {
		q := &c.in.Cut.Pieces[i]
		z := p.Zone(q.Zone)
		ch := p.Character(z.Char)
		if c.elsewhere(q) {
			continue
		}
		t := look.Of(ch.Trade)
		shown := false
		part := func(s *body.Section, name, said string, fill, line draw.Tone, width float64, dash draw.Dash, hatch bool) {
			if s == nil {
				return
			}
			outline, edges := c.shape(s)
			if outline == nil {
				return
			}
			shown = true
			id := fmt.Sprintf("%sz%d%s", c.prefix, q.Zone, name)
			area := draw.Path{Fill: fill, Steps: outline, Measured: true}
			fills = append(fills, func() { c.Add(area) })
			if hatch {
				poly := draw.Path{Steps: draw.Polyline(c.clipped(s.Outline), true)}
				hatches = append(hatches, func() { look.Hatch(c.Drawing, t, poly) })
			}
			lines = append(lines, func() {
				c.Add(draw.Path{ID: id, Title: said, Line: line, Width: width, Dash: dash, Steps: edges, Measured: true})
			})
		}
		said := words.Clean(z.ID) + ": " + c.what(z) + "; " + p.FileLine(z.At())
		part(q.Hang, "h", words.Clean(z.ID)+": hangs under it", draw.Wash, draw.Soft, draw.Thin, draw.Solid, false)
		part(q.Full, "f", said+" (with what is round it)", draw.Wash, t.Line, draw.Medium, draw.Hidden, false)
		width := draw.Thick
		if q.Bare != nil && c.bulk(q.Bare) < 4 {
			width = draw.Medium
		}
		part(q.Bare, "b", said, t.Tint, draw.Ink, width, draw.Solid, true)
		if shown && !seen[ch.Trade] {
			seen[ch.Trade] = true
			c.trades = append(c.trades, ch.Trade)
		}
	}
	for _, f := range fills {
		f()
	}
	for _, f := range hatches {
		f()
	}
	for k, h := range c.in.Cut.Holes {
		outline, edges := c.shape(&h.Cut)
		if outline == nil {
			continue
		}
		c.Add(draw.Path{
			ID: fmt.Sprintf("%so%d", c.prefix, k+1), Title: "opening; " + p.FileLine(p.Openings[h.Opening].Row), Fill: draw.Paper, Line: draw.Soft, Width: draw.Thin, Dash: draw.Hidden, Steps: edges, Measured: true,
		})
	}
	for k, r := range c.in.Cut.Rooms {
		if _, edges := c.shape(&r.Cut); edges != nil {
			sp := &p.Spaces[r.Space]
			said := sp.Kind.String() + " of " + words.Clean(p.Zone(int(sp.For)).ID) + "; " + p.FileLine(sp.Row)
			c.Add(draw.Path{ID: fmt.Sprintf("%sa%d", c.prefix, k+1), Title: said, Line: draw.Ink, Width: draw.Thin, Dash: draw.Centre, Steps: edges, Measured: true})
		}
	}
	for _, f := range lines {
		f()
	}
	c.supports()
}

// supports draws what holds the services up, those that the finding is about with a thicker line.
func (c *canvas) supports() {
	p := c.in.Project
	for i := range c.in.Supports {
		s := &c.in.Supports[i]
		z := p.Zone(s.Zone)
		own := c.own(s)
		for k := range s.Parts {
			q := &s.Parts[k]
			if !own && r2.RectFromPoints(q.Cut.Outline...).X.Intersection(c.in.Cut.Inside).Length() <= void.Hair {
				continue
			}
			area, edges := c.shape(&q.Cut)
			if area == nil {
				continue
			}
			width := draw.Thin
			if own {
				width = draw.Medium
			}
			said := fmt.Sprintf("support %d of %s: %s; %s", s.N, words.Clean(z.ID), words.Clean(string(q.What)), p.FileLine(z.At()))
			c.Add(draw.Path{Fill: draw.Faint, Steps: area, Measured: true})
			c.Add(draw.Path{ID: fmt.Sprintf("%sz%ds%dp%d", c.prefix, s.Zone, s.N, k+1), Title: said, Line: draw.Ink, Width: width, Steps: edges, Measured: true})
		}
	}
}

// own reports whether a support is the one that the finding is about.
func (c *canvas) own(s *support.Cut) bool {
	f := c.in.Finding
	return f != nil && c.is(s, f.SupportNo)
}

// is reports whether a support is the one of a name.
func (c *canvas) is(s *support.Cut, no *finding.SupportNo) bool {
	return no != nil && s.N == no.Number && strings.EqualFold(no.Row, c.in.Project.Zone(s.Zone).ID)
}

// ownPart says which body of a support the finding is about, "" where it is about none.
func ownPart(f *finding.Finding) string {
	switch {
	case f.SupportNo == nil:
		return ""
	case f.Support == nil:
		return string(support.Channel) // of a tier
	}
	return f.Support.Part
}

// elsewhere reports whether a piece lies wholly beside the bay and is no structure: it is another bay's.
func (c *canvas) elsewhere(q *void.Piece) bool {
	if c.in.Project.Character(c.in.Project.Zone(q.Zone).Char).Structure() {
		return false
	}
	for _, s := range []*body.Section{q.Bare, q.Full, q.Hang} {
		if s != nil && r2.RectFromPoints(s.Outline...).X.Intersection(c.in.Cut.Inside).Length() > void.Hair {
			return false
		}
	}
	return true
}

// bulk returns the lesser side of a cut on paper.
func (c *canvas) bulk(s *body.Section) float64 {
	r := r2.RectFromPoints(s.Outline...)
	return math.Min(r.X.Length(), r.Y.Length()) / c.Scale
}

// window returns what is drawn of the cut, in (s, level).
func (c *canvas) window() r2.Rect {
	hi := c.bay.Soffit - c.ffl + c.hatch*c.Scale
	if c.cap != 0 {
		hi = c.cap
	}
	return r2.Rect{X: c.s, Y: r1.Interval{Lo: c.low, Hi: hi}}
}

// clipped returns an outline, in picture units, where it lies in the window; nil for none.
func (c *canvas) clipped(outline []r2.Point) []r2.Point {
	w := c.window()
	own := make([]r2.Point, len(outline))
	for i, p := range outline {
		own[i] = r2.Point{X: p.X, Y: p.Y - c.ffl}
	}
	if !w.Contains(r2.RectFromPoints(own...)) {
		v := w.Vertices()
		own = body.Shared(own, v[:])
	}
	out := make([]r2.Point, len(own))
	for i, p := range own {
		out[i] = draw.B(p.X, p.Y)
	}
	return out
}

// shape returns the steps of a cut's area, and of its edges, which leave out where the window cuts it.
func (c *canvas) shape(s *body.Section) (area, edges []draw.Step) {
	w := c.window()
	r := r2.EmptyRect()
	for _, p := range s.Outline {
		r = r.AddPoint(r2.Point{X: p.X, Y: p.Y - c.ffl})
	}
	if !w.Intersects(r) {
		return nil, nil
	}
	if w.Contains(r) && s.Oval != nil && s.Oval.Whole() {
		o := s.Oval
		m := o.Off / o.Lean
		at := o.At(m, 0)
		e := draw.Ellipse(draw.B(at.X, at.Y-c.ffl), r2.Point{X: o.Dir.X, Y: -o.Dir.Y}, o.R/math.Abs(o.Lean), o.R)
		return e, e
	}
	p := c.clipped(s.Outline)
	if len(p) < 2 {
		return nil, nil
	}
	area = draw.Polyline(p, true)
	if w.Contains(r) {
		return area, area
	}
	// An edge that the window made is no edge of the body.
	made := func(a, b r2.Point) bool {
		near := func(x, y float64) bool { return math.Abs(x-y) < 1e-6 }
		return near(a.X, w.X.Lo) && near(b.X, w.X.Lo) && r.X.Lo < w.X.Lo-1e-6 || near(a.X, w.X.Hi) && near(b.X, w.X.Hi) && r.X.Hi > w.X.Hi+1e-6 ||
			near(-a.Y, w.Y.Lo) && near(-b.Y, w.Y.Lo) && r.Y.Lo < w.Y.Lo-1e-6 || near(-a.Y, w.Y.Hi) && near(-b.Y, w.Y.Hi) && r.Y.Hi > w.Y.Hi+1e-6
	}
	pen := false
	for i := range p {
		a, b := p[i], p[(i+1)%len(p)]
		if made(a, b) {
			pen = false
			continue
		}
		if !pen {
			edges = append(edges, draw.Step{Op: draw.Move, P: [3]r2.Point{a}})
		}
		edges = append(edges, draw.Step{Op: draw.Line, P: [3]r2.Point{b}})
		pen = true
	}
	return area, edges
}

// what says in words what a zone is.
func (c *canvas) what(z *void.Zone) string {
	ch := c.in.Project.Character(z.Char)
	s := strings.TrimSpace(ch.Service + " " + ch.Kind)
	return words.Clean(strings.TrimSpace(s + " " + Size(z)))
}

// Size says a zone's bare section, and what is round it.
func Size(z *void.Zone) string {
	b := z.Bare()
	num := func(v float64) string { return strconv.FormatFloat(words.Tenth(v), 'f', -1, 64) }
	s := ""
	switch {
	case z.ByHeight:
		s = num(2*b.H) + " high"
	case b.Round:
		s = "ø" + num(2*b.W)
	case z.Item:
		s = num(2*math.Hypot(b.Along.X, b.Along.Y)) + "x" + num(2*b.W)
		if !z.Upright {
			s += "x" + num(2*b.H)
		}
	default:
		s = num(2 * b.W)
		if !z.Upright {
			s += "x" + num(2*b.H)
		}
	}
	if z.Grow > 0 {
		s += " + " + num(z.Grow) + " all round"
	}
	return s
}

// gridLines draws the grid lines that the cut crosses, and the edges of the bay where none is.
func (c *canvas) gridLines() {
	var lines []look.GridLine
	edge := c.top - c.over + look.BubbleRoom(c.text)
	for _, g := range c.in.Cut.Grid {
		if c.s.Contains(g.S) {
			x := c.px(g.S)
			c.Stroke(draw.Soft, draw.Thin, draw.Centre, x, edge, x, c.bottom+1)
			lines = append(lines, look.GridLine{At: x, Label: g.Label})
		}
	}
	r := look.BubbleRadius(c.text)
	look.Bubbles(c.Drawing, c.labels, lines, edge, false, c.text, r1.Interval{Lo: c.x.Lo + math.Min(0, r-3), Hi: math.Min(math.Max(c.x.Hi, c.x.Lo+4*r), c.sheet.W-r-0.5)})
	for _, e := range []float64{c.in.Cut.Inside.Lo, c.in.Cut.Inside.Hi} {
		on := slices.ContainsFunc(c.in.Cut.Grid, func(g void.SectionMark) bool { return math.Abs(g.S-e) < 1 })
		if !on && c.s.Contains(e) {
			x := c.px(e)
			c.Stroke(draw.Faint, draw.Thin, draw.Hidden, x, c.top-c.hatch, x, c.bottom)
		}
	}
}

// staff draws the levelling staff at the left with the levels to FFL and to the datum.
func (c *canvas) staff() {
	w := 0.9 * c.text
	x1 := c.x.Lo - 0.6*c.text
	x0 := x1 - w
	soffit := c.bay.Soffit - c.ffl
	block := look.Staff(c.Scale)
	low := math.Max(c.low, 0)
	if c.bay.HasCeiling && c.bay.Ceiling < c.ffl {
		low = c.low
	}
	c.Area(draw.Paper, draw.Ink, draw.Thin, x0, c.py(low), x1, c.py(low), x1, c.py(soffit), x0, c.py(soffit))
	var blocks []draw.Step
	for k := math.Floor(low / block); k*block < soffit; k++ {
		if a, b := math.Max(low, k*block), math.Min(soffit, (k+1)*block); a < b && int64(k)&1 == 0 {
			blocks = append(blocks, draw.Polyline([]r2.Point{c.Sheet(x0, c.py(a)), c.Sheet(x1, c.py(a)), c.Sheet(x1, c.py(b)), c.Sheet(x0, c.py(b))}, true)...)
		}
	}
	c.Add(draw.Path{Steps: blocks, Fill: draw.Ink})
	type entry struct {
		name  string
		level float64
		say   func(float64) string
	}
	var list []entry
	add := func(name string, level float64, say func(float64) string) {
		list = append(list, entry{name, level, say})
	}
	// Undersides are told down, tops up: to the side of safety.
	add("soffit", soffit, words.AboveDown)
	steel, found := math.Inf(1), false
	for i := range c.in.Cut.Pieces {
		q := &c.in.Cut.Pieces[i]
		z := c.in.Project.Zone(q.Zone)
		if e := c.in.Project.Character(z.Char).Entry; e.Beam && q.Bare != nil {
			if r := r2.RectFromPoints(q.Bare.Outline...); r.X.Intersects(c.s) {
				steel, found = math.Min(steel, r.Y.Lo-c.ffl), true
			}
		}
	}
	if found && steel < soffit-void.Hair {
		add("u/s steel", steel, words.AboveDown)
	}
	if c.bay.HasCeiling {
		if c.bay.Top > c.bay.Ceiling {
			name := "top of build-up"
			if c.phone {
				name = "build-up"
			}
			add(name, c.bay.Top-c.ffl, words.AboveUp)
		}
		add("ceiling", c.bay.Ceiling-c.ffl, words.Above)
	}
	add("datum", c.datum, words.Above)
	add("FFL", 0, words.Above)
	slices.SortStableFunc(list, func(a, b entry) int {
		switch {
		case a.level > b.level:
			return -1
		case a.level < b.level:
			return 1
		}
		return 0
	})
	var wanted, gap []float64
	for _, e := range list {
		wanted = append(wanted, math.Min(c.py(e.level), c.bottom+1.2*c.text))
		gap = append(gap, 2.15*c.text)
	}
	at := draw.Spread(wanted, gap, c.top-c.over, math.Max(c.bottom+3*c.text, c.top+2*c.text*float64(len(list))))
	right := x0 - 1.1*c.text
	for i, e := range list {
		if y := c.py(e.level); y <= c.bottom+0.01 {
			c.Stroke(draw.Ink, draw.Thin, draw.Solid, c.x.Lo, y, x0-0.15*c.text, y, right+0.2*c.text, at[i])
		}
		line := "FFL" + e.say(e.level) + "  datum" + e.say(e.level-c.datum)
		switch {
		case e.name == "FFL":
			line = "datum" + e.say(-c.datum)
		case e.name == "datum", c.phone:
			line = "FFL" + e.say(e.level)
		}
		c.Say(right, at[i]-0.05*c.text, draw.Text{S: e.name, Size: c.small, Bold: true, Anchor: draw.End, Tone: draw.Ink})
		c.Say(right, at[i]+0.9*c.text, draw.Text{S: line, Size: 0.93 * c.small, Anchor: draw.End, Tone: draw.Ink})
	}
}

// plumb draws the plumb line over whose point the stack is told.
func (c *canvas) plumb() {
	if c.in.Stack == nil || !c.s.Contains(c.in.StackAt) {
		return
	}
	x := c.px(c.in.StackAt)
	end := c.bottom - 0.5
	if c.bay.HasCeiling {
		end = math.Min(c.bottom-1, c.py(c.bay.Ceiling-c.ffl)+1.6*c.text)
	}
	c.Stroke(draw.Ink, draw.Medium, draw.Centre, x, c.top, x, end-0.9*c.text)
	h := 0.9 * c.text
	c.Area(draw.Ink, draw.None, 0, x, end, x-0.28*c.text, end-0.6*h, x-0.28*c.text, end-h, x+0.28*c.text, end-h, x+0.28*c.text, end-0.6*h)
}

// amiss draws what is amiss where it is: what is shared is black, a gap has its dimension. It returns the
// place in (s, level).
func (c *canvas) amiss(id string) r2.Point {
	f := c.in.Finding
	at := r2.Point{X: c.in.Cut.Plane.Along(r3.Vector{X: f.At.X, Y: f.At.Y}), Y: f.At.Level}
	if f.Kind == finding.Overlap {
		if p := c.shared(f); p != nil {
			q := c.clipped(p)
			if len(q) > 2 {
				c.Add(draw.Path{ID: id, Title: "shared space: " + words.What(f), Fill: draw.Ink, Line: draw.Ink, Width: draw.Thin, Steps: draw.Polyline(q, true), Measured: true})
				r := r2.RectFromPoints(p...)
				at = r2.Point{X: r.X.ClampPoint(at.X), Y: r.Y.Center() - c.ffl}
			}
		}
	}
	if d := c.in.Between; d != nil {
		a := r2.Point{X: c.in.Cut.Plane.Along(d.From), Y: d.From.Z - c.ffl}
		b := r2.Point{X: c.in.Cut.Plane.Along(d.To), Y: d.To.Z - c.ffl}
		c.dimension(a, b, d)
		if f.Kind != finding.Overlap {
			at = a.Add(b).Mul(0.5)
		}
	}
	return at
}

// mark marks the finding with its bob, and says what is amiss.
func (c *canvas) mark() {
	f := c.in.Finding
	if f == nil {
		return
	}
	number := c.number()
	at := c.amiss("shared")
	if !c.s.Contains(at.X) {
		return
	}
	x, y := c.px(at.X), math.Max(c.top-c.hatch, math.Min(c.bottom-1, c.py(at.Y)))
	said := words.What(f)
	second := ""
	switch what := ownPart(f); {
	case what != "":
		row, _ := words.SupportsOf(f)
		second = words.Clean(what) + " of " + words.Name(row)
	case f.Kind == finding.Access:
	case f.Kind == finding.Overlap && f.Asked > 0.05:
		second = words.Up(f.Asked) + " needed"
	case f.Kind == finding.Tight:
		second = words.Down(f.Gap) + " clear, " + words.Up(f.Asked) + " needed"
	}
	bw, bh := look.BobSize(number, c.text)
	w := bw + 0.5*c.text + math.Max(draw.Width(said, c.text, true), draw.Width(second, c.small, false))
	h := math.Max(bh, 2.3*c.text)
	place := r2.Point{X: x, Y: y}
	box := func(tip r2.Point) r2.Rect {
		return r2.Rect{X: r1.Interval{Lo: tip.X - bw/2 - 0.3, Hi: tip.X - bw/2 + w + 0.3}, Y: r1.Interval{Lo: tip.Y - bh, Hi: tip.Y - bh + h}}
	}
	// Rather off what is cut than on it.
	var cut []r2.Rect
	for i := range c.in.Cut.Pieces {
		if o, ok := c.in.Cut.Pieces[i].Outer(); ok && !c.elsewhere(&c.in.Cut.Pieces[i]) {
			cut = append(cut, c.seen(o.Outline))
		}
	}
	tip, ok := c.labels.Beside(place, 1.2*c.text, box, func(r r2.Rect) bool { return !slices.ContainsFunc(cut, r.Intersects) })
	if !ok {
		tip, ok = c.labels.Beside(place, 1.2*c.text, box, nil)
	}
	if !ok { // the words are written over its line
		tip, ok = c.labels.Nearest(place, 1.2*c.text, box)
	}
	if !ok { // the mark alone
		w, said, second = bw, "", ""
		tip, _ = c.labels.Nearest(place, 1.2*c.text, box)
	}
	c.labels.Take(box(tip))
	if tip != place {
		// The line to the place, on a ground of paper so that it is seen on hatches.
		c.labels.Line(tip, place)
		c.Stroke(draw.Paper, 1.1, draw.Solid, tip.X, tip.Y-0.1, x, y)
		c.Stroke(draw.Ink, draw.Medium, draw.Solid, tip.X, tip.Y-0.1, x, y)
		r := 0.32 * c.text
		c.Add(draw.Path{Fill: draw.Paper, Line: draw.Ink, Width: draw.Thick, Steps: draw.Ellipse(c.Sheet(x, y), r2.Point{X: 1}, r*c.Scale, r*c.Scale)})
	}
	look.Bob(c.Drawing, f.Kind, number, "finding", words.What(f)+": "+look.Pair(f)+"; "+words.There(f), tip.X, tip.Y, c.text)
	tx, ty := tip.X+bw/2+0.4*c.text, tip.Y-bh
	c.Say(tx, ty+0.95*c.text, draw.Text{S: said, Size: c.text, Bold: true, Tone: draw.Ink, Halo: true})
	c.Say(tx, ty+2*c.text, draw.Text{S: second, Size: c.small, Tone: draw.Ink, Halo: true})
}

// numbers marks what else was found in the plane, each problem once, and the holes to be made, where there is room for their numbers.
func (c *canvas) numbers() {
	size := 0.8 * c.text
	beside := func(s, level, w, h float64, tip bool) (place, at r2.Point, ok bool) {
		at = r2.Point{X: c.px(s), Y: c.py(level)}
		if !c.s.Contains(s) || at.Y < c.top-c.hatch || at.Y > c.bottom {
			return at, at, false
		}
		box := func(p r2.Point) r2.Rect {
			if tip {
				p.Y -= h / 2
			}
			return r2.RectFromCenterSize(p, r2.Point{X: w + 0.4, Y: h + 0.4})
		}
		if place, ok = c.labels.Beside(at, 0.8*h, box, nil); ok {
			c.labels.Take(box(place))
			c.labels.Line(place, at)
			if place != at {
				c.Stroke(draw.Ink, draw.Thin, draw.Solid, place.X, place.Y, at.X, at.Y)
			}
		}
		return place, at, ok
	}
	done := map[string]bool{c.number(): true}
	for _, o := range c.in.Others {
		if f := o.Finding; !done[o.Number] {
			done[o.Number] = true
			w, h := look.BobSize(o.Number, size)
			if p, _, ok := beside(c.in.Cut.Plane.Along(r3.Vector{X: f.At.X, Y: f.At.Y}), f.At.Level, w, h, true); ok {
				look.Bob(c.Drawing, f.Kind, o.Number, "", words.What(f)+": "+look.Pair(f)+"; "+words.There(f), p.X, p.Y, size)
			}
		}
	}
	for i := range c.in.Holes {
		h := &c.in.Holes[i]
		v := r3.Vector{X: h.At.X, Y: h.At.Y}
		if h.Bay == nil || *h.Bay != c.bay.Label || h.Storey != c.in.Project.Storeys[c.bay.Storey].Name || math.Abs(c.in.Cut.Plane.Beyond(v)) > math.Max(h.Width, h.Height)/2 {
			continue
		}
		w, high := look.HoleSize(h.Number, size)
		if p, _, ok := beside(c.in.Cut.Plane.Along(v), h.At.Level, w, high, false); ok {
			look.HoleMark(c.Drawing, h, p.X, p.Y, size)
		}
	}
}

// rooms names the room that must stay free, where that can be written into it.
func (c *canvas) rooms() {
	for _, r := range c.in.Cut.Rooms {
		own := c.seen(r.Cut.Outline)
		t := draw.Text{S: c.in.Project.Spaces[r.Space].Kind.String(), Size: c.small, Tone: draw.Soft, Anchor: draw.End, Halo: true}
		if draw.Width(t.S, t.Size, false) < own.X.Length()-c.text {
			c.labels.Put(c.Drawing, t, r2.Point{X: own.X.Hi - 0.4*c.text, Y: own.Y.Lo + 1.1*c.small}, r2.Point{X: own.X.Hi - 0.4*c.text, Y: own.Y.Hi - 0.4*c.small})
		}
	}
}

// shared returns what the two of an overlap have in common in the plane, in (s, z).
func (c *canvas) shared(f *finding.Finding) []r2.Point {
	outlines := func(id string) [][]r2.Point {
		b := c.bay
		wide := func(lo, hi float64) [][]r2.Point {
			return [][]r2.Point{{{X: c.s.Lo, Y: lo}, {X: c.s.Hi, Y: lo}, {X: c.s.Hi, Y: hi}, {X: c.s.Lo, Y: hi}}}
		}
		switch {
		case strings.EqualFold(id, b.CeilingID()):
			return wide(b.Ceiling-1e4, b.Top)
		case strings.EqualFold(id, b.SoffitID()):
			return wide(b.Soffit, b.Soffit+1e4)
		}
		var out [][]r2.Point
		if is, row := void.Identity(id); is == void.OwnSupports {
			for i := range c.in.Supports {
				if s := &c.in.Supports[i]; c.is(s, f.SupportNo) && id == f.A || c.is(s, f.SupportWith) && strings.EqualFold(f.SupportWith.Row, row) {
					for k := range s.Parts {
						out = append(out, s.Parts[k].Cut.Outline)
					}
				}
			}
			return out
		}
		for i := range c.in.Cut.Pieces {
			q := &c.in.Cut.Pieces[i]
			if !strings.EqualFold(c.in.Project.Zone(q.Zone).ID, id) {
				continue
			}
			if o, ok := q.Outer(); ok {
				out = append(out, o.Outline)
			}
			if q.Hang != nil && f.B != nil && strings.EqualFold(*f.B, b.CeilingID()) || q.Hang != nil && strings.EqualFold(f.A, b.CeilingID()) {
				out = append(out, q.Hang.Outline)
			}
		}
		return out
	}
	if f.B == nil {
		return nil
	}
	var best []r2.Point
	for _, a := range outlines(f.A) {
		for _, b := range outlines(*f.B) {
			if p := body.Shared(a, b); p != nil && (best == nil || body.Area(p) > body.Area(best)) {
				best = p
			}
		}
	}
	return best
}

// dimension draws a distance between two points with its amount: arrows from outside where it is short.
func (c *canvas) dimension(a, b r2.Point, d *clash.Distance) {
	ax, ay, bx, by := c.px(a.X), c.py(a.Y), c.px(b.X), c.py(b.Y)
	l := math.Hypot(bx-ax, by-ay)
	if l == 0 || d.Overlap || !c.s.Contains(a.X) || !c.s.Contains(b.X) {
		return // what two share is black already
	}
	ux, uy := (bx-ax)/l, (by-ay)/l
	arm := 1.1 * c.text
	inward := l > 3*arm
	arrow := func(x, y, ux, uy float64) { // with its tip at (x, y), pointing along (ux, uy)
		k := 0.55 * c.text
		c.Area(draw.Ink, draw.None, 0, x, y, x-k*ux-0.3*k*uy, y-k*uy+0.3*k*ux, x-k*ux+0.3*k*uy, y-k*uy-0.3*k*ux)
	}
	tone := draw.Ink
	if inward {
		c.Stroke(tone, draw.Thin, draw.Solid, ax, ay, bx, by)
		arrow(ax, ay, -ux, -uy)
		arrow(bx, by, ux, uy)
	} else {
		c.Stroke(tone, draw.Thin, draw.Solid, ax-arm*ux, ay-arm*uy, ax, ay)
		c.Stroke(tone, draw.Thin, draw.Solid, bx, by, bx+arm*ux, by+arm*uy)
		arrow(ax, ay, ux, uy)
		arrow(bx, by, -ux, -uy)
	}
	t := draw.Text{S: words.Down(d.MM), Size: 1.1 * c.text, Bold: true, Tone: draw.Ink, Halo: true, Anchor: draw.Middle}
	w := draw.Width(t.S, t.Size, true)
	mid := r2.Point{X: (ax + bx) / 2, Y: (ay+by)/2 + 0.36*c.text}
	off := func(x, y float64) r2.Point { return mid.Add(r2.Point{X: x, Y: y}) }
	// Beside the line, square to it, or further off.
	at := []r2.Point{off(0, -1.1*c.text), off(0, 1.3*c.text), off(0, -2.2*c.text), off(0, 2.4*c.text)}
	if math.Abs(uy) > math.Abs(ux) {
		at = []r2.Point{off(w/2+0.6*c.text, 0), off(-w/2-0.6*c.text, 0), off(w/2+2*c.text, 0), off(-w/2-2*c.text, 0)}
	}
	if inward || c.prefix != "" { // else it is too small to write in: the mark says it
		c.labels.Put(c.Drawing, t, at...)
	}
}
