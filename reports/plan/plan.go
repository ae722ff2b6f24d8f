// Package plan draws a storey or a bay from above: grid lines, bays, the zones by trade, and the findings
// numbered where they are, with a list beside. It measures nothing.
package plan

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"

	"voidline/clash"
	"voidline/clash/support"
	"voidline/reports/draw"
	"voidline/reports/draw/look"
	"voidline/reports/words"
	"voidline/void"
	"voidline/void/body"
)

// Input is what is drawn.
type Input struct {
	Project *void.Project
	Storey  int
	Bay     int // index of the one bay to draw, -1 for the whole storey
	// Findings are those to be marked; those of other storeys and bays are left out. Findings of one problem share a number.
	Findings []clash.Finding
	// Supports are those that findings are about.
	Supports []support.Outline
	// Numbers gives each problem (Finding.Problem) its number in the answer (clash.Numbers).
	Numbers map[string]int
}

// Options say how to draw.
type Options struct {
	// Sheet is the paper; without a name it is A4 or A3, whichever shows the plan larger (A4 where both do alike).
	Sheet look.Sheet
}

// Problem is what has one number on the plan: findings that people count as one.
type Problem struct {
	Number   string
	Findings []*clash.Finding // the worst first
}

// Problems gathers findings to problems in the order of their numbers.
func Problems(fs []*clash.Finding, numbers map[string]int) []Problem {
	at := map[string]int{}
	var out []Problem
	for _, f := range fs {
		k := f.Problem()
		i, ok := at[k]
		if !ok {
			i = len(out)
			at[k] = i
			out = append(out, Problem{Number: strconv.Itoa(numbers[k])})
		}
		out[i].Findings = append(out[i].Findings, f)
	}
	for _, p := range out {
		slices.SortStableFunc(p.Findings, clash.Worse)
	}
	slices.SortFunc(out, func(a, b Problem) int {
		return cmp.Compare(numbers[a.Findings[0].Problem()], numbers[b.Findings[0].Problem()])
	})
	return out
}

// canvas is a plan in the making.
type canvas struct {
	Base
	in       Input
	sheet    look.Sheet
	zones    []int
	problems []Problem
	trades   []string
	column   float64 // width of the list of findings
	byBay    bool    // too many to be marked one by one: bays are listed, with how many they have
	bySquare bool    // likewise, of one bay: squares of it bear how many they have
	strip    float64 // height of the title strip
	whole    []string
}

// Sizes of the furniture in heights of type.
const (
	listWide  = 25.0
	stripHigh = 8.6
	bubble    = 1.5
)

// Draw draws the plan.
func Draw(in Input, o Options) *draw.Drawing {
	show := in.extent()
	var fs []*clash.Finding
	name := in.Project.Storeys[in.Storey].Name
	for i := range in.Findings {
		f := &in.Findings[i]
		if f.Storey != name || in.Bay >= 0 && (f.Bay == nil || *f.Bay != in.Project.Bays[in.Bay].Label) {
			continue
		}
		fs = append(fs, f)
	}
	problems := Problems(fs, in.Numbers)
	make := func(sheet look.Sheet, scale float64) *canvas {
		return &canvas{
			Base: Base{
				Drawing: &draw.Drawing{Scale: scale, W: sheet.W, H: sheet.H}, project: in.Project, storey: in.Storey, bay: in.Bay,
				text: sheet.Text, small: 0.84 * sheet.Text, show: show,
			},
			in: in, sheet: sheet, problems: problems,
		}
	}
	sheets := []look.Sheet{look.A4(), look.A3()}
	if o.Sheet.Name != "" {
		sheets = []look.Sheet{o.Sheet}
	}
	var last *canvas
	scales := look.Scales()
	if o.Sheet.Name != "" && o.Sheet.H == 0 {
		scales = phoneScales
	}
	for _, scale := range scales {
		for _, sheet := range sheets {
			c := make(sheet, scale)
			if c.lay() {
				return c.draw()
			}
			last = c
		}
	}
	return last.draw()
}

// phoneScales are those of a sheet that is no paper: scales between the usual ones show more.
var phoneScales = []float64{5, 10, 20, 25, 30, 40, 50, 75, 100, 125, 150, 200, 250, 300, 400, 500, 750, 1000, 1500, 2000, 2500, 3000, 4000, 5000, 7500, 10000, 20000, 50000, 1e5}

// extent returns what is shown: the bays and a little round them.
func (in *Input) extent() r2.Rect {
	r := r2.EmptyRect()
	for i := range in.Project.Bays {
		b := &in.Project.Bays[i]
		if b.Storey == in.Storey && (in.Bay < 0 || i == in.Bay) {
			r = r.Union(b.Plan)
		}
	}
	if r.IsEmpty() {
		r = r2.RectFromPoints(r2.Point{}, r2.Point{X: 1000, Y: 1000})
	}
	return r.ExpandedByMargin(400)
}

// lay places the plan on the sheet; false where it does not fit at this scale.
func (c *canvas) lay() bool {
	m, t := c.sheet.Margin, c.text
	box := r2.Rect{X: r1.Interval{Lo: m, Hi: c.sheet.W - m}, Y: r1.Interval{Lo: m, Hi: math.Inf(1)}}
	if c.sheet.H > 0 {
		c.column, c.strip = listWide*t, stripHigh*t
		box.X.Hi -= c.column + t
		box.Y.Hi = c.sheet.H - m - c.strip - 0.5*t
	} else {
		box.Y.Lo += c.heading(0, 0, c.sheet.W-2*m, true)
	}
	if box = c.room(box); c.sheet.H == 0 {
		box.Y.Hi = box.Y.Lo + 1.25*c.sheet.W
	}
	if c.show.X.Length()/c.Scale > box.X.Length() || c.show.Y.Length()/c.Scale > box.Y.Length() {
		return false
	}
	c.settle(box.Lo())
	return true
}

func (c *canvas) draw() *draw.Drawing {
	c.Name = c.title()
	c.Add(draw.Path{})
	m, t := c.sheet.Margin, c.text
	c.Bays()
	c.bodies()
	c.spaces()
	c.supports()
	c.Grid()
	// Marks are placed before words, so that words keep clear of them, and drawn after them.
	marks := c.marks()
	c.names()
	for _, f := range marks {
		f()
	}
	if c.sheet.H == 0 {
		c.heading(m, m, c.sheet.W-2*m, false)
		y := c.list(m, c.frame.Y.Hi+2.2*t, c.sheet.W-2*m, math.Inf(1))
		y += 1.2 * t
		y += look.Legend(c.Drawing, c.trades, m, y, c.sheet.W-2*m, (c.sheet.W-2*m)/2, t)
		y += 1.8 * t
		look.ScaleBar(c.Drawing, m, y, 0.6*c.sheet.W, t, "")
		c.H = math.Ceil(y + 2.2*t + m)
	} else {
		c.list(c.sheet.W-m-c.column, m, c.column, c.sheet.H-m-c.strip-t)
		c.foot()
	}
	c.Desc = c.describe()
	c.Items[0] = draw.Path{Fill: draw.Paper, Steps: draw.Polyline([]r2.Point{
		c.Sheet(0, 0), c.Sheet(c.W, 0), c.Sheet(c.W, c.H), c.Sheet(0, c.H),
	}, true)}
	return c.Drawing
}

func (c *canvas) title() string {
	st := words.Name(c.in.Project.Storeys[c.in.Storey].Name)
	if c.in.Bay >= 0 {
		s := "Plan of bay " + words.Name(c.in.Project.Bays[c.in.Bay].Name)
		if st != "" {
			s += ", " + st
		}
		return s
	}
	if st == "" {
		return "Plan"
	}
	return "Plan of " + st
}

// levels says the levels of the one bay that is drawn, "" for a storey.
func (c *canvas) levels() string {
	if c.in.Bay < 0 {
		return ""
	}
	b := &c.in.Project.Bays[c.in.Bay]
	ffl := c.in.Project.Storeys[b.Storey].FFL
	s := "soffit FFL" + words.AboveDown(b.Soffit-ffl)
	switch {
	case b.HasCeiling:
		return "ceiling FFL" + words.AboveDown(b.Ceiling-ffl) + ", " + s
	case b.Unsaid:
		return s + ", ceiling not given"
	}
	return s + ", open: no ceiling"
}

func (c *canvas) describe() string {
	s := c.title() + ", north up, scale 1:" + strconv.FormatFloat(c.Scale, 'f', -1, 64) + ": " +
		words.Count(len(c.zones), "zone", "zones") + ", " + words.Count(len(c.problems), "problem", "problems") + ". "
	for i, p := range c.problems {
		if i == 12 {
			return s + fmt.Sprintf("And %d more.", len(c.problems)-i)
		}
		s += p.Number + ": " + words.What(p.Findings[0]) + ", " + look.Pair(p.Findings[0]) + ". "
	}
	return strings.TrimSpace(s)
}

// near reports whether a body may be in what the plan shows: no point of it is further from its middle than it is long and wide.
func (c *canvas) near(b body.Body) bool {
	far := math.Hypot(c.show.X.Length(), c.show.Y.Length())/2 + math.Hypot(b.Along.X, b.Along.Y) + b.W + 1
	at := c.show.Center()
	return math.Hypot(b.Centre.X-at.X, b.Centre.Y-at.Y) <= far
}

// bodies draws the zones as seen from above: columns and walls first, then services from the lowest up, each
// over what is under it; then, broken, the outline of all, so that what lies under is seen too. Beams, which
// lie over all, are broken lines alone.
func (c *canvas) bodies() {
	p := c.in.Project
	type piece struct {
		zone    int
		top     float64
		outline []r2.Point // in the picture, clipped
		full    []r2.Point
		t       look.Trade
		beam    bool
		static  bool
	}
	var list []piece
	seen := map[string]bool{}
	for i := range p.Zones() {
		z := p.Zone(i)
		if int(z.Storey) != c.in.Storey {
			continue
		}
		ch := p.Character(z.Char)
		if z.ByHeight {
			if c.in.Bay < 0 || int(z.Bay) == c.in.Bay {
				c.whole = append(c.whole, words.Name(z.ID))
			}
			continue
		}
		bare := z.Bare()
		if !c.near(bare) {
			continue
		}
		outline := c.Clip(thin(body.Outline(bare)))
		if outline == nil {
			continue
		}
		q := piece{zone: i, top: bare.Height().Hi, outline: outline, t: look.Of(ch.Trade), beam: ch.Entry.Beam, static: ch.Structure()}
		if z.Grow > 0 {
			q.full = c.Clip(thin(body.Outline(z.Full())))
		}
		list = append(list, q)
		c.zones = append(c.zones, i)
		if !seen[ch.Trade] {
			seen[ch.Trade] = true
			c.trades = append(c.trades, ch.Trade)
		}
	}
	slices.SortStableFunc(list, func(a, b piece) int {
		if a.static != b.static {
			if a.static {
				return -1
			}
			return 1
		}
		return cmp.Compare(a.top, b.top)
	})
	for _, q := range list {
		z := p.Zone(q.zone)
		said := words.Clean(z.ID) + ": " + words.Clean(strings.TrimSpace(p.Character(z.Char).Service+" "+p.Character(z.Char).Kind)) + ", u/s " +
			"FFL" + words.AboveDown(z.Bare().Height().Lo-p.Storeys[z.Storey].FFL) + "; " + p.FileLine(z.At())
		id := fmt.Sprintf("z%d", q.zone)
		if q.beam {
			c.Add(draw.Path{ID: id, Title: said, Line: draw.Steel, Width: draw.Medium, Dash: draw.Hidden, Steps: draw.Polyline(q.outline, true), Measured: true})
			continue
		}
		if q.full != nil {
			c.Add(draw.Path{Fill: draw.Paper, Line: q.t.Line, Width: draw.Thin, Steps: draw.Polyline(q.full, true), Measured: true})
		}
		width := draw.Medium
		r := r2.RectFromPoints(q.outline...)
		broad := math.Min(math.Min(2*z.Bare().W, math.Max(r.X.Length(), r.Y.Length()))/c.Scale, 1e3)
		if broad < 1 {
			width = draw.Thin
		}
		path := draw.Path{ID: id, Title: said, Fill: q.t.Tint, Line: draw.Ink, Width: width, Steps: draw.Polyline(q.outline, true), Measured: true}
		ground := path
		ground.ID, ground.Title, ground.Line = "", "", draw.None
		c.Add(ground)
		if broad >= 1.6 {
			look.Hatch(c.Drawing, q.t, ground)
		}
		path.Fill = draw.None
		c.Add(path)
	}
	boxes := make([]r2.Rect, len(list))
	for k := range list {
		boxes[k] = r2.RectFromPoints(list[k].outline...)
	}
	for k, q := range list {
		if q.static || !slices.ContainsFunc(boxes[k+1:], boxes[k].Intersects) {
			continue
		}
		c.Add(draw.Path{Line: q.t.Line, Width: draw.Thin, Dash: draw.Hidden, Steps: draw.Polyline(q.outline, true), Measured: true})
	}
}

// spaces draws the room that must stay free to reach things: hatches, working space, withdrawal.
func (c *canvas) spaces() {
	p := c.in.Project
	for i := range p.Spaces {
		s := &p.Spaces[i]
		z := p.Zone(int(s.For))
		if int(z.Storey) != c.in.Storey {
			continue
		}
		if o := c.Clip(body.Outline(s.Body)); o != nil {
			said := s.Kind.String() + " of " + words.Clean(z.ID) + "; " + p.FileLine(s.Row)
			c.Add(draw.Path{ID: fmt.Sprintf("a%d", i), Title: said, Line: draw.Ink, Width: draw.Thin, Dash: draw.Centre, Steps: draw.Polyline(o, true), Measured: true})
		}
	}
}

// supports draws the supports that findings are about.
func (c *canvas) supports() {
	p := c.in.Project
	for _, s := range c.in.Supports {
		z := p.Zone(s.Zone)
		if int(z.Storey) != c.in.Storey {
			continue
		}
		title := fmt.Sprintf("support %d of %s; %s", s.N, words.Clean(z.ID), p.FileLine(z.At()))
		for k, o := range s.Outlines {
			if o = c.Clip(thin(o)); o != nil {
				c.Add(draw.Path{ID: fmt.Sprintf("z%ds%dp%d", s.Zone, s.N, k+1), Title: title, Fill: draw.Paper, Line: draw.Ink, Width: draw.Thin, Steps: draw.Polyline(o, true), Measured: true})
			}
		}
	}
}

// thinBy is how far an outline in plan may lie from the true one, mm.
const thinBy = 0.1

// thin leaves out the corners of a convex outline without which it is off by no more than thinBy: the nearly
// flat ends of a pipe with a fall.
func thin(p []r2.Point) []r2.Point {
	if len(p) <= 4 {
		return p
	}
	out := []r2.Point{p[0]}
	for i := 0; i < len(p); {
		a := p[i]
		j := i + 1
		for j < len(p) {
			// May the chord from i skip to j+1?
			b := p[(j+1)%len(p)]
			d := b.Sub(a)
			l := d.Norm()
			ok := l > 0
			for k := i + 1; k <= j && ok; k++ {
				ok = math.Abs(d.Cross(p[k].Sub(a))) <= thinBy*l
			}
			if !ok {
				break
			}
			j++
		}
		if j < len(p) {
			out = append(out, p[j])
		}
		i = j
	}
	return out
}

// sign is one mark on the plan: a problem, or where there is no room for each, the problems of a bay.
type sign struct {
	number, id, title string
	kind              clash.Kind
	at                r2.Point // on the sheet
}

// signs returns the marks. Where one for each problem would cover the plan, a bay has one for all of its: their
// numbers from the first to the last.
func (c *canvas) signs(size float64) []sign {
	var each []sign
	cover := 0.0
	for i := range c.problems {
		p := &c.problems[i]
		f := p.Findings[0]
		q := r2.Point{X: f.At.X, Y: f.At.Y}
		if !c.show.ContainsPoint(q) {
			continue
		}
		title := words.What(f) + ": " + look.Pair(f) + "; " + words.There(f)
		if n := len(p.Findings); n > 1 {
			title += fmt.Sprintf("; and %d more of the same two", n-1)
		}
		each = append(each, sign{p.Number, "f-" + f.ID, title, f.Kind, c.Spot(q)})
		w, h := look.BobSize(p.Number, size)
		cover += w * h
	}
	frame := c.frame.X.Length() * c.frame.Y.Length()
	switch {
	case c.in.Bay < 0 && cover <= 0.2*frame, c.in.Bay >= 0 && cover <= 0.6*frame:
		return each
	case c.in.Bay >= 0:
		c.bySquare = true
		return nil
	}
	var out []sign
	at := map[string]int{}
	var first, last []*Problem
	for i := range c.problems {
		p := &c.problems[i]
		f := p.Findings[0]
		bay := ""
		if f.Bay != nil {
			bay = *f.Bay
		}
		k, ok := at[bay]
		if !ok {
			k = len(out)
			at[bay] = k
			s := sign{kind: f.Kind, at: c.Spot(r2.Point{X: f.At.X, Y: f.At.Y}), title: "bay " + words.Name(bay)}
			for j := range c.in.Project.Bays {
				if b := &c.in.Project.Bays[j]; b.Storey == c.in.Storey && b.Label == bay {
					s.at = c.Spot(b.Plan.Center())
				}
			}
			out, first, last = append(out, s), append(first, p), append(last, p)
		}
		last[k] = p
		if f.Kind == clash.Overlap {
			out[k].kind = clash.Overlap
		}
	}
	cover = 0
	for k := range out {
		if out[k].number = first[k].Number; last[k] != first[k] {
			out[k].number += "–" + last[k].Number
		}
		w, h := look.BobSize(out[k].number, size)
		cover += w * h
	}
	if cover > 0.2*frame {
		c.byBay = true
		return nil
	}
	return out
}

// crowd is the problems of one bay.
type crowd struct {
	bay      string // label, "" for outside every bay
	problems []*Problem
	overlaps int
	at       r2.Point // of the building
}

// crowds returns the problems by bay, the bay with the most first.
func (c *canvas) crowds() []crowd {
	var out []crowd
	at := map[string]int{}
	for i := range c.problems {
		p := &c.problems[i]
		f := p.Findings[0]
		bay := ""
		if f.Bay != nil {
			bay = *f.Bay
		}
		k, ok := at[bay]
		if !ok {
			k = len(out)
			at[bay] = k
			w := crowd{bay: bay, at: r2.Point{X: f.At.X, Y: f.At.Y}}
			for j := range c.in.Project.Bays {
				if b := &c.in.Project.Bays[j]; b.Storey == c.in.Storey && b.Label == bay {
					w.at = b.Plan.Center()
				}
			}
			out = append(out, w)
		}
		out[k].problems = append(out[k].problems, p)
		if f.Kind == clash.Overlap {
			out[k].overlaps++
		}
	}
	slices.SortStableFunc(out, func(a, b crowd) int { return len(b.problems) - len(a.problems) })
	return out
}

// squareSide is the side of the squares of a bay in which problems are counted, in heights of type.
const squareSide = 5.0

// squares returns the problems of a bay by squares of the sheet, the square with the most first.
func (c *canvas) squares() []crowd {
	var out []crowd
	side := squareSide * c.text * c.Scale
	at := map[[2]int]int{}
	for i := range c.problems {
		p := &c.problems[i]
		f := p.Findings[0]
		q := [2]int{int(math.Floor((f.At.X - c.show.X.Lo) / side)), int(math.Floor((f.At.Y - c.show.Y.Lo) / side))}
		k, ok := at[q]
		if !ok {
			k = len(out)
			at[q] = k
			middle := r2.Point{X: c.show.X.Lo + (float64(q[0])+0.5)*side, Y: c.show.Y.Lo + (float64(q[1])+0.5)*side}
			out = append(out, crowd{bay: *f.Bay, at: c.show.ClampPoint(middle)})
		}
		out[k].problems = append(out[k].problems, p)
		if f.Kind == clash.Overlap {
			out[k].overlaps++
		}
	}
	slices.SortStableFunc(out, func(a, b crowd) int { return len(b.problems) - len(a.problems) })
	return out
}

// counts writes how many problems each bay has into it, where that fits; more stand out more.
func (c *canvas) counts(crowds []crowd) []func() {
	var out []func()
	for _, w := range crowds {
		if w.bay == "" || !c.show.ContainsPoint(w.at) {
			continue
		}
		n := strconv.Itoa(len(w.problems))
		size := c.text * (0.75 + 0.12*math.Min(4, math.Log2(float64(len(w.problems)))))
		at := c.Spot(w.at)
		tw, th := draw.Width(n, size, true)+0.5*size, 1.1*size
		box := r2.RectFromCenterSize(at, r2.Point{X: tw, Y: th})
		if !c.Free(box) {
			continue
		}
		c.Take(box)
		fill, word := draw.Paper, draw.Ink
		if w.overlaps > 0 {
			fill, word = draw.Ink, draw.Paper
		}
		out = append(out, func() {
			c.Area(fill, draw.Ink, draw.Thin, box.X.Lo, box.Y.Lo, box.X.Hi, box.Y.Lo, box.X.Hi, box.Y.Hi, box.X.Lo, box.Y.Hi)
			c.Say(at.X, at.Y+0.36*size, draw.Text{S: n, Size: size, Bold: true, Tone: word, Anchor: draw.Middle})
		})
	}
	return out
}

// marks finds places for the findings and returns what draws them. A mark stands with its tip on the place;
// where another stands already it stands beside, with a line to the place.
func (c *canvas) marks() []func() {
	var out []func()
	size := 0.92 * c.text
	signs := c.signs(size)
	if c.byBay {
		return c.counts(c.crowds())
	}
	if c.bySquare {
		return c.counts(c.squares())
	}
	all := 0
	for i := range c.problems {
		all += len(c.problems[i].Findings)
	}
	for i := range c.problems {
		if all > mostDots {
			break // they would cover everything
		}
		own := len(signs) == len(c.problems)
		for k, f := range c.problems[i].Findings {
			if v := (r2.Point{X: f.At.X, Y: f.At.Y}); c.show.ContainsPoint(v) && (k > 0 || !own) {
				a := c.Spot(v)
				out = append(out, func() { c.dot(a, 0.24*size) })
			}
		}
	}
	for _, s := range signs {
		w, h := look.BobSize(s.number, size)
		box := func(tip r2.Point) r2.Rect {
			return r2.Rect{X: r1.Interval{Lo: tip.X - w/2 - 0.3, Hi: tip.X + w/2 + 0.3}, Y: r1.Interval{Lo: tip.Y - h - 0.3, Hi: tip.Y}}
		}
		tip, _ := c.Beside(s.at, h, box, c.Free)
		c.Take(box(tip))
		out = append(out, func() {
			if tip != s.at {
				c.Stroke(draw.Ink, draw.Medium, draw.Solid, tip.X, tip.Y-0.2*h, s.at.X, s.at.Y)
				c.dot(s.at, 0.3*size)
			}
			look.Bob(c.Drawing, s.kind, s.number, s.id, s.title, tip.X, tip.Y, size)
		})
	}
	return out
}

// mostDots is how many findings a plan shows by a dot each; of more it shows the marks alone.
const mostDots = 2000

func (c *canvas) dot(at r2.Point, r float64) {
	c.Add(draw.Path{Fill: draw.Ink, Line: draw.Paper, Width: draw.Thin, Steps: draw.Ellipse(c.Sheet(at.X, at.Y), r2.Point{X: 1}, r*c.Scale, r*c.Scale)})
}

// names writes the bays' names and, where there is room, the zones': along a length, each run once.
func (c *canvas) names() {
	if c.in.Bay < 0 { // of a bay alone the title says it
		c.BayNames()
	}
	p := c.in.Project
	// The longest piece of a run bears its name.
	type piece struct {
		zone   int
		name   string
		length float64
	}
	var list []piece
	for _, i := range c.zones {
		z := p.Zone(i)
		ch := p.Character(z.Char)
		if ch.Structure() && c.in.Bay < 0 {
			continue
		}
		name := z.ID
		if c.in.Bay < 0 && z.Run() != "" {
			name = z.Run()
		}
		r := z.Bare().Plan().Intersection(c.show)
		list = append(list, piece{i, name, math.Max(r.X.Length(), r.Y.Length())})
	}
	slices.SortStableFunc(list, func(a, b piece) int { return cmp.Compare(b.length, a.length) })
	done := map[string]bool{}
	size := 0.92 * c.small
	for _, q := range list {
		if done[q.name] {
			continue
		}
		z := p.Zone(q.zone)
		r := z.Bare().Plan().Intersection(c.show)
		up := r.Y.Length() > 1.2*r.X.Length()
		name := words.Name(q.name)
		w := draw.Width(name, size, false)
		room := r.X.Length() / c.Scale
		if up {
			room = r.Y.Length() / c.Scale
		}
		if w > room-0.6 && !(z.Item && w < 3*room) {
			continue
		}
		done[q.name] = c.Alongside(r, name, size, 0)
	}
}

// list writes the problems from (x, y) down to limit; it returns its foot.
func (c *canvas) list(x, y, width, limit float64) float64 {
	t := c.text
	y += t
	head := words.Count(len(c.problems), "problem", "problems") + " on this plan"
	if len(c.problems) == 0 {
		head = "nothing was found here"
	}
	c.Say(x, y, draw.Text{S: head, Size: 1.1 * t, Bold: true, Tone: draw.Ink})
	y += 1.2 * t
	if c.byBay {
		return c.listBays(x, y, width, limit)
	}
	told := "and %d more: numbered on the plan, told by voidline check"
	if c.bySquare {
		for _, l := range draw.Fold("too many to mark one by one: how many stands on the plan, on black where there are overlaps", c.small, width, false, 3) {
			y += 1.2 * c.small
			c.Say(x, y, draw.Text{S: l, Size: c.small, Tone: draw.Soft})
		}
		y += 0.6 * t
		told = "and %d more: told by voidline check"
	}
	size := 0.92 * t
	indent := 0.0
	for _, p := range c.problems {
		w, _ := look.BobSize(p.Number, size)
		indent = math.Max(indent, w+0.7*t)
	}
	long, short := 3.35*t, 1.98*t
	row := long
	if float64(len(c.problems))*long > limit-y {
		row = short
	}
	more := c.columns(row)
	for i, p := range c.problems {
		// One more row is kept for what does not fit; where a column is left under the plan, nothing is.
		full := y+row > limit-1.5*t && i < len(c.problems)-1
		if len(more) > 0 {
			full = y+row > limit
		}
		if full && len(more) > 0 {
			x, y, more = more[0].X, more[0].Y, more[1:]
			full = false
		}
		if full {
			c.Say(x, y+t, draw.Text{S: fmt.Sprintf(told, len(c.problems)-i), Size: c.small, Tone: draw.Ink})
			return y + 1.5*t
		}
		f := p.Findings[0]
		w, h := look.BobSize(p.Number, size)
		look.Bob(c.Drawing, f.Kind, p.Number, "", "", x+w/2, y+h, size)
		said := words.What(f)
		if n := len(p.Findings); n > 1 {
			said += fmt.Sprintf(" (worst of %d)", n)
		}
		room := width - indent
		c.Say(x+indent, y+0.85*t, draw.Text{S: draw.Fit(said+": "+look.Pair(f), t, room, true), Size: t, Bold: true, Tone: draw.Ink})
		if row == long {
			where := words.Level(f.At.Level)
			if f.At.Where != "" {
				where += ", " + words.Clean(f.At.Where)
			}
			if c.in.Bay < 0 && f.Bay != nil {
				where += ", bay " + words.Name(*f.Bay)
			}
			c.Say(x+indent, y+1.9*t, draw.Text{S: draw.FitEnd(words.There(f), c.small, room, false), Size: c.small, Tone: draw.Ink})
			c.Say(x+indent, y+2.8*t, draw.Text{S: draw.FitEnd(where, c.small, room, false), Size: c.small, Tone: draw.Soft})
		} else if f.Bay != nil {
			c.Say(x+indent, y+1.7*t, draw.Text{S: draw.FitEnd(words.Level(f.At.Level)+", bay "+words.Name(*f.Bay)+", "+words.Clean(f.At.Where), 0.9*c.small, room, false), Size: 0.9 * c.small, Tone: draw.Soft})
		}
		y += row
	}
	if len(c.whole) > 0 {
		y += 0.6 * t
		for _, l := range draw.Fold("over a whole bay, place not known: "+strings.Join(c.whole, ", "), c.small, width, false, 3) {
			if y+t > limit {
				break
			}
			c.Say(x, y+t, draw.Text{S: l, Size: c.small, Tone: draw.Soft})
			y += 1.25 * c.small
		}
	}
	return y
}

// columns returns where the list of problems may go on when the column beside the plan is full: the upper left corners of
// columns under the plan, as many as stand beside that one.
func (c *canvas) columns(row float64) []r2.Point {
	if c.sheet.H == 0 {
		return nil
	}
	top, bottom := c.frame.Y.Hi+2*c.text, c.sheet.H-c.sheet.Margin-c.strip-c.text
	if bottom-top < 3*row {
		return nil
	}
	var out []r2.Point
	last := c.sheet.W - c.sheet.Margin - 2*c.column - c.text
	n := int((last - c.sheet.Margin) / (c.column + c.text))
	for k := n; k >= 0; k-- { // from the right: next to the column that is full
		out = append(out, r2.Point{X: last - float64(k)*(c.column+c.text), Y: top})
	}
	return out
}

// listBays lists how many problems the bays have, the most first.
func (c *canvas) listBays(x, y, width, limit float64) float64 {
	t := c.text
	all := c.crowds()
	for _, l := range draw.Fold(fmt.Sprintf("too many to mark one by one: how many stands in each of %s, on black where there are overlaps; the plan of a bay shows them", words.Count(len(all), "bay", "bays")), c.small, width, false, 4) {
		y += 1.2 * c.small
		c.Say(x, y, draw.Text{S: l, Size: c.small, Tone: draw.Soft})
	}
	y += 0.6 * t
	most := 60 // on a phone
	if c.sheet.H > 0 {
		most = len(all)
	}
	more := c.columns(1.3 * t)
	for i, w := range all {
		if y+2.6*t > limit && len(more) > 0 {
			x, y, more = more[0].X, more[0].Y, more[1:]
		}
		if y+2.6*t > limit || i == most {
			y += 1.3 * t
			c.Say(x, y, draw.Text{S: "and " + words.Count(len(all)-i, "more bay", "more bays"), Size: c.small, Tone: draw.Ink})
			break
		}
		y += 1.3 * t
		name := "outside every bay"
		if w.bay != "" {
			name = "bay " + words.Name(w.bay)
		}
		said := words.Count(w.overlaps, "overlap", "overlaps") + ", worst: " + words.What(w.problems[0].Findings[0])
		n := strconv.Itoa(len(w.problems))
		c.Say(x+2.2*t, y, draw.Text{S: n, Size: t, Bold: true, Tone: draw.Ink, Anchor: draw.End})
		name = draw.Fit(name, t, 0.5*width, true)
		c.Say(x+2.8*t, y, draw.Text{S: name, Size: t, Bold: true, Tone: draw.Ink})
		at := x + 3.4*t + draw.Width(name, t, true)
		c.Say(at, y, draw.Text{S: draw.FitEnd(said, c.small, x+width-at, false), Size: c.small, Tone: draw.Soft})
	}
	return y
}

// heading writes the title of a phone's sheet; it returns the height used.
func (c *canvas) heading(x, y, width float64, measure bool) float64 {
	start := y
	say := func(s string, size float64, bold bool, tone draw.Tone) {
		for _, l := range draw.Fold(s, size, width, bold, 3) {
			y += 1.3 * size
			if !measure {
				c.Say(x, y, draw.Text{S: l, Size: size, Bold: bold, Tone: tone})
			}
		}
	}
	say(c.title(), 1.25*c.text, true, draw.Ink)
	if l := c.levels(); l != "" {
		say(l, c.small, false, draw.Ink)
	}
	say("north is up; beams are broken lines", c.small, false, draw.Soft)
	return y - start + 1.2*c.text
}

// foot writes the title strip.
func (c *canvas) foot() {
	t, m := c.text, c.sheet.Margin
	x0, x1 := m, c.sheet.W-m
	y0 := c.sheet.H - m - c.strip
	c.Stroke(draw.Ink, draw.Bold, draw.Solid, x0, y0, x1, y0)
	w := x1 - x0
	a := x0 + 0.36*w
	look.Strip(c.Drawing, x0, y0+1.9*t, a-x0-t, c.sheet.H-m-0.1*t-1.1*c.small, t, c.small, c.title(), []string{
		c.levels(),
		"north is up; what lies higher covers what lies lower; beams are broken lines, room for access dash and dot",
		"project " + words.Name(c.in.Project.Name),
	})
	c.Say(x0, c.sheet.H-m-0.1*t, draw.Text{S: draw.FitEnd("A check of the data given, not a survey: verify levels on site.", 0.9*c.small, a-x0-t, false), Size: 0.9 * c.small, Tone: draw.Soft})
	look.Legend(c.Drawing, c.trades, a, y0+0.9*t, 0.40*w, 10.2*t, 0.95*c.small)
	look.ScaleBar(c.Drawing, a+0.42*w, y0+2.1*t, 0.21*w, t, c.sheet.Name)
	// What the marks mean.
	x := a + 0.42*w
	size := 0.8 * t
	for _, k := range []struct {
		kind clash.Kind
		word string
	}{{clash.Overlap, "overlap"}, {clash.Tight, "tight gap"}, {clash.Access, "access"}} {
		bw, bh := look.BobSize("1", size)
		look.Bob(c.Drawing, k.kind, "1", "", "", x+bw/2, y0+5.3*t+bh, size)
		x += bw + 0.4*t
		c.Say(x, y0+5.3*t+0.9*size, draw.Text{S: k.word, Size: c.small, Tone: draw.Ink})
		x += draw.Width(k.word, c.small, false) + 1.2*t
	}
}
