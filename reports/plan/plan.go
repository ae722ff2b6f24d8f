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

	"voidline/clash/finding"
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
	Findings []finding.Finding
	// Supports are those that findings are about.
	Supports []support.Outline
	// Numbers gives each problem (Finding.Problem) its number in the answer (finding.Numbers).
	Numbers map[string]int
	// Holes are those to be made; each bears its number.
	Holes []finding.Hole
}

// Options say how to draw.
type Options struct {
	// Sheet is the paper; without a name it is A4 or A3, whichever shows the plan larger (A4 where both do alike).
	Sheet look.Sheet
}

// Problem is what has one number on the plan: findings that people count as one.
type Problem struct {
	Number   string
	Findings []*finding.Finding // the worst first
}

// Problems gathers findings to problems in the order of their numbers.
func Problems(fs []*finding.Finding, numbers map[string]int) []Problem {
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
		slices.SortStableFunc(p.Findings, finding.Worse)
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
	column   float64   // width of a column of the list
	areas    []r2.Rect // of the sheet, where the list may stand, in the order of reading
	bySquare bool      // too many to be marked one by one: squares of the bay bear how many they have
	strip    float64   // height of the title strip
	whole    []string
	heat     bool // bays alone, each with how many problems it has
	parts    []part
	no, of   int     // of the sheet among those of the plan; 0: it is the only one
	here     r2.Rect // the part of the building that the sheet is about, where there are others
	listed   int     // of the problems, on this sheet and those before
	holed    bool
}

// Sizes of the furniture in heights of type.
const (
	listWide  = 25.0
	stripHigh = 8.6
	longRow   = 3.35 // of a problem in the list, with its words
	shortRow  = 1.98 // without
	headHigh  = 2.8  // of the list's heading
)

// relevant returns the problems of what is drawn.
func (in *Input) relevant() []Problem {
	var fs []*finding.Finding
	name := in.Project.Storeys[in.Storey].Name
	for i := range in.Findings {
		f := &in.Findings[i]
		if f.Storey != name || in.Bay >= 0 && (f.Bay == nil || *f.Bay != in.Project.Bays[in.Bay].Label) {
			continue
		}
		fs = append(fs, f)
	}
	return Problems(fs, in.Numbers)
}

// Draw draws the plan on one sheet. Where a storey has more problems than one can mark and list, its bays bear how many they have; of a bay, squares of
// it do, and its list says how many more there are.
func Draw(in Input, o Options) *draw.Drawing {
	show, problems := in.extent(), in.relevant()
	if c := in.fit(o, show, problems); c != nil {
		return c.draw()
	}
	if in.Bay < 0 {
		return in.key(o, show, problems, nil).draw()
	}
	return in.forced(o, show, problems).draw()
}

func (in *Input) canvas(sheet look.Sheet, scale float64, show r2.Rect, problems []Problem) *canvas {
	return &canvas{
		Base: Base{
			Drawing: &draw.Drawing{Scale: scale, W: sheet.W, H: sheet.H}, project: in.Project, storey: in.Storey, bay: in.Bay,
			text: sheet.Text, small: 0.84 * sheet.Text, show: show,
		},
		in: *in, sheet: sheet, problems: problems, here: r2.EmptyRect(),
	}
}

func (o *Options) sheets() []look.Sheet {
	if o.Sheet.Name != "" {
		return []look.Sheet{o.Sheet}
	}
	return []look.Sheet{look.A4(), look.A3()}
}

// fit lays a part of the building out at the largest scale at which it fits on a sheet, each problem has its mark and the list all of them; nil
// where there is none.
func (in *Input) fit(o Options, show r2.Rect, problems []Problem) *canvas {
	for _, scale := range look.Scales() {
		for _, sheet := range o.sheets() {
			c := in.canvas(sheet, scale, show, problems)
			if c.lay() && c.capacity(shortRow) >= len(problems) && c.markable() {
				return c
			}
		}
	}
	return nil
}

// forced lays a part out at the largest scale at which it fits beside a column of the list.
func (in *Input) forced(o Options, show r2.Rect, problems []Problem) *canvas {
	var c *canvas
	for _, scale := range look.Scales() {
		for _, sheet := range o.sheets() {
			if c = in.canvas(sheet, scale, show, problems); c.lay() && (len(c.areas) > 0 || sheet.H == 0) {
				c.bySquare = !c.markable()
				return c
			}
		}
	}
	return c
}

// markable tries whether each problem's mark finds room.
func (c *canvas) markable() bool {
	size := 0.92 * c.text
	cover := 0.0
	for i := range c.problems {
		w, h := look.BobSize(c.problems[i].Number, size)
		cover += w * h
	}
	if most := map[bool]float64{true: 0.2, false: 0.6}[c.bay < 0]; cover > most*c.frame.X.Length()*c.frame.Y.Length() {
		return false
	}
	try := *c
	try.Drawing = &draw.Drawing{Scale: c.Scale, Origin: c.Origin}
	try.settle(c.frame.Lo())
	try.Grid()
	_, ok := try.marks()
	return ok
}

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
	return r.ExpandedByMargin(beyond)
}

// beyond is how much of the building is shown round the bays, mm.
const beyond = 400.0

// lay places the plan on the sheet, and the columns of the list where it leaves room: at its right, then under it. It returns false where the
// plan does not fit at this scale.
func (c *canvas) lay() bool {
	m, t := c.sheet.Margin, c.text
	box := r2.Rect{X: r1.Interval{Lo: m, Hi: c.sheet.W - m}, Y: r1.Interval{Lo: m, Hi: math.Inf(1)}}
	if c.sheet.H > 0 {
		c.column, c.strip = listWide*t, stripHigh*t
		box.Y.Hi = c.sheet.H - m - c.strip - 0.5*t
	} else {
		box.Y.Lo += c.heading(0, 0, c.sheet.W-2*m, true)
	}
	plan := c.room(box)
	if c.sheet.H == 0 {
		plan.Y.Hi = plan.Y.Lo + 1.25*c.sheet.W
	}
	if c.show.X.Length()/c.Scale > plan.X.Length() || c.show.Y.Length()/c.Scale > plan.Y.Length() {
		return false
	}
	c.settle(plan.Lo())
	if c.sheet.H == 0 {
		return true
	}
	right := box.X.Hi
	for x := box.X.Hi - c.column; x >= c.frame.X.Hi+look.BubbleRadius(t); x -= c.column + t {
		c.areas = append([]r2.Rect{{X: r1.Interval{Lo: x, Hi: x + c.column}, Y: box.Y}}, c.areas...)
		right = x - t
	}
	if top := c.frame.Y.Hi + 2*t; box.Y.Hi-top > (headHigh+3*shortRow)*t {
		for x := box.X.Lo; x+c.column <= right; x += c.column + t {
			c.areas = append(c.areas, r2.Rect{X: r1.Interval{Lo: x, Hi: x + c.column}, Y: r1.Interval{Lo: top, Hi: box.Y.Hi}})
		}
	}
	return true
}

// capacity returns how many rows of a height of type the list has room for.
func (c *canvas) capacity(row float64) int {
	if c.sheet.H == 0 {
		return math.MaxInt
	}
	n := 0
	for i, a := range c.areas {
		high := a.Y.Length()
		if i == 0 {
			high -= headHigh * c.text
		}
		n += int(high / (row * c.text))
	}
	return n
}

func (c *canvas) draw() *draw.Drawing {
	c.Name = c.title()
	c.Add(draw.Path{})
	m, t := c.sheet.Margin, c.text
	c.Bays()
	if c.heat {
		c.Grid()
		c.counts()
	} else {
		c.bodies()
		c.spaces()
		c.supports()
		c.Grid()
		// Marks are placed before words, so that words keep clear of them, and drawn after them.
		marks, _ := c.marks()
		holes := c.holes()
		c.names()
		for _, f := range append(holes, marks...) {
			f()
		}
	}
	if c.sheet.H == 0 {
		c.heading(m, m, c.sheet.W-2*m, false)
		c.areas = []r2.Rect{{X: r1.Interval{Lo: m, Hi: c.sheet.W - m}, Y: r1.Interval{Lo: c.frame.Y.Hi + 2.2*t, Hi: math.Inf(1)}}}
		y := c.lists() + 1.2*t
		y += look.Legend(c.Drawing, c.trades, m, y, c.sheet.W-2*m, (c.sheet.W-2*m)/2, t)
		y += 1.8 * t
		look.ScaleBar(c.Drawing, m, y, 0.6*c.sheet.W, t, "")
		c.H = math.Ceil(y + 2.2*t + m)
	} else {
		c.lists()
		c.foot()
	}
	c.Desc = c.describe()
	c.ground()
	return c.Drawing
}

// ground lays paper under the whole sheet.
func (c *canvas) ground() {
	c.Items[0] = draw.Path{Fill: draw.Paper, Steps: draw.Polyline([]r2.Point{
		c.Sheet(0, 0), c.Sheet(c.W, 0), c.Sheet(c.W, c.H), c.Sheet(0, c.H),
	}, true)}
}

// lists writes the list; it returns its foot.
func (c *canvas) lists() float64 {
	switch {
	case len(c.areas) == 0:
		return c.frame.Y.Hi
	case c.parts != nil:
		return c.listParts()
	case c.heat:
		return c.listBays()
	}
	return c.list()
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
	s := "Plan"
	if st != "" {
		s += " of " + st
	}
	switch {
	case c.parts != nil:
		s += ", key and problems by bay"
	case c.heat:
		s += ", problems by bay"
	}
	return s
}

// levels says the levels of the one bay that is drawn, and what was surveyed.
func (c *canvas) levels() string {
	found := words.SoffitFound(c.in.Project, c.in.Storey, c.in.Bay)
	if c.in.Bay < 0 {
		return found
	}
	if found != "" {
		found = "; " + found
	}
	b := &c.in.Project.Bays[c.in.Bay]
	ffl := c.in.Project.Storeys[b.Storey].FFL
	s := "soffit FFL" + words.AboveDown(b.Soffit-ffl)
	switch {
	case b.HasCeiling:
		return "ceiling FFL" + words.AboveDown(b.Ceiling-ffl) + ", " + s + found
	case b.Unsaid:
		return s + ", ceiling not given" + found
	}
	return s + ", open: no ceiling" + found
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

// crowd is problems that are counted together.
type crowd struct {
	bay      string // label, "" for outside every bay
	problems []Problem
	overlaps int
	at       r2.Point // of the building
	plan     r2.Rect  // of the bay
}

// crowds returns the problems by bay or by square of it, as key says of a finding, those with the most first.
func (c *canvas) crowds(key func(*finding.Finding) (any, crowd)) []crowd {
	var out []crowd
	at := map[any]int{}
	for i := range c.problems {
		p := &c.problems[i]
		f := p.Findings[0]
		name, made := key(f)
		k, ok := at[name]
		if !ok {
			k = len(out)
			at[name] = k
			out = append(out, made)
		}
		out[k].problems = append(out[k].problems, *p)
		if f.Kind == finding.Overlap {
			out[k].overlaps++
		}
	}
	slices.SortStableFunc(out, func(a, b crowd) int { return len(b.problems) - len(a.problems) })
	return out
}

// bayCrowds returns the problems by bay.
func (c *canvas) bayCrowds() []crowd {
	bays := map[string]int{}
	for j := range c.in.Project.Bays {
		if b := &c.in.Project.Bays[j]; b.Storey == c.in.Storey {
			bays[b.Label] = j
		}
	}
	return c.crowds(func(f *finding.Finding) (any, crowd) {
		if f.Bay == nil {
			return "", crowd{at: r2.Point{X: f.At.X, Y: f.At.Y}}
		}
		w := crowd{bay: *f.Bay, at: r2.Point{X: f.At.X, Y: f.At.Y}}
		if j, ok := bays[*f.Bay]; ok {
			w.plan = c.in.Project.Bays[j].Plan
			w.at = w.plan.Center()
		}
		return *f.Bay, w
	})
}

// squareSide is the side of the squares of a bay in which problems are counted, in heights of type.
const squareSide = 5.0

// squares writes how many problems squares of the sheet have, where they are too many to be marked one by one; on black where there are overlaps.
func (c *canvas) squares() []func() {
	side := squareSide * c.text * c.Scale
	var out []func()
	for _, w := range c.crowds(func(f *finding.Finding) (any, crowd) {
		q := [2]int{int(math.Floor((f.At.X - c.show.X.Lo) / side)), int(math.Floor((f.At.Y - c.show.Y.Lo) / side))}
		middle := r2.Point{X: c.show.X.Lo + (float64(q[0])+0.5)*side, Y: c.show.Y.Lo + (float64(q[1])+0.5)*side}
		return q, crowd{at: c.show.ClampPoint(middle)}
	}) {
		n := strconv.Itoa(len(w.problems))
		size := c.text * (0.75 + 0.12*math.Min(4, math.Log2(float64(len(w.problems)))))
		at := c.Spot(w.at)
		box := r2.RectFromCenterSize(at, r2.Point{X: draw.Width(n, size, true) + 0.5*size, Y: 1.1 * size})
		if !c.Labels.Free(box) {
			continue
		}
		c.Labels.Take(box)
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

// marks finds places for the problems and returns what draws them, and whether each found one. A mark stands with its tip on the place;
// where another stands already it stands beside, with a line to the place. What else a problem has found is a dot.
func (c *canvas) marks() (out []func(), ok bool) {
	if c.bySquare {
		return c.squares(), true
	}
	size := 0.92 * c.text
	ok = true
	var bobs []func()
	var dots []r2.Rect
	for i := range c.problems {
		// No mark stands on the place of another.
		if f := c.problems[i].Findings[0]; c.show.ContainsPoint(r2.Point{X: f.At.X, Y: f.At.Y}) {
			c.Labels.Take(r2.RectFromCenterSize(c.Spot(r2.Point{X: f.At.X, Y: f.At.Y}).Add(r2.Point{Y: 0.2}), r2.Point{X: 0.2, Y: 0.2}))
		}
	}
	for i := range c.problems {
		p := &c.problems[i]
		f := p.Findings[0]
		q := r2.Point{X: f.At.X, Y: f.At.Y}
		if !c.show.ContainsPoint(q) {
			continue
		}
		title := words.What(f) + ": " + look.Pair(f) + "; " + words.There(f)
		if f.Surveyed {
			title += "; " + words.Found(f)
		}
		if n := len(p.Findings); n > 1 {
			title += fmt.Sprintf("; and %d more of the same two", n-1)
		}
		at := c.Spot(q)
		w, h := look.BobSize(p.Number, size)
		box := func(tip r2.Point) r2.Rect {
			return r2.Rect{X: r1.Interval{Lo: tip.X - w/2 - 0.3, Hi: tip.X + w/2 + 0.3}, Y: r1.Interval{Lo: tip.Y - h - 0.3, Hi: tip.Y}}
		}
		tip, free := c.Labels.Beside(at, 0.8*h, box, nil)
		ok = ok && free
		c.Labels.Take(box(tip))
		if tip != at {
			c.Labels.Line(tip, at)
			dots = append(dots, r2.RectFromCenterSize(at, r2.Point{X: 0.6 * size, Y: 0.6 * size}))
			out = append(out, func() {
				c.Stroke(draw.Ink, draw.Medium, draw.Solid, tip.X, tip.Y, at.X, at.Y)
				c.dot(at, 0.3*size)
			})
		}
		bobs = append(bobs, func() { look.Bob(c.Drawing, f.Kind, p.Number, "f-"+f.ID, title, tip.X, tip.Y, size) })
		for k, g := range p.Findings {
			v := r2.Point{X: g.At.X, Y: g.At.Y}
			if r := 0.24 * size; k > 0 && c.show.ContainsPoint(v) {
				a := c.Spot(v)
				dots = append(dots, r2.RectFromCenterSize(a, r2.Point{X: 2 * r, Y: 2 * r}))
				out = append(out, func() { c.dot(a, r) })
			}
		}
	}
	c.Labels.Take(dots...)
	return append(out, bobs...), ok
}

func (c *canvas) dot(at r2.Point, r float64) {
	c.Add(draw.Path{Fill: draw.Ink, Line: draw.Paper, Width: draw.Thin, Steps: draw.Ellipse(c.Sheet(at.X, at.Y), r2.Point{X: 1}, r*c.Scale, r*c.Scale)})
}

// holes finds places for the numbers of holes to be made and returns what draws them, each in a square; one that finds no room goes without.
func (c *canvas) holes() (out []func()) {
	size := 0.8 * c.text
	name := c.in.Project.Storeys[c.in.Storey].Name
	for i := range c.in.Holes {
		h := &c.in.Holes[i]
		q := r2.Point{X: h.At.X, Y: h.At.Y}
		if h.Storey != name || !c.show.ContainsPoint(q) || c.in.Bay >= 0 && (h.Bay == nil || *h.Bay != c.in.Project.Bays[c.in.Bay].Label) {
			continue
		}
		at := c.Spot(q)
		w, high := look.HoleSize(h.Number, size)
		place, ok := c.Labels.Beside(at, 0.9*high, func(p r2.Point) r2.Rect { return r2.RectFromCenterSize(p, r2.Point{X: w + 0.4, Y: high + 0.4}) }, nil)
		if !ok {
			continue
		}
		c.Labels.Take(r2.RectFromCenterSize(place, r2.Point{X: w + 0.4, Y: high + 0.4}))
		if place != at {
			c.Labels.Line(place, at)
		}
		c.holed = true
		out = append(out, func() {
			if place != at {
				c.Stroke(draw.Ink, draw.Thin, draw.Solid, place.X, place.Y, at.X, at.Y)
			}
			look.HoleMark(c.Drawing, h, place.X, place.Y, size)
		})
	}
	return out
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

// list writes the problems from the first that is not listed yet into the columns; it returns its foot.
func (c *canvas) list() float64 {
	t := c.text
	a := c.areas[0]
	x, y, width := a.X.Lo, a.Y.Lo+t, c.areas[0].X.Length()
	head := words.Count(len(c.problems), "problem", "problems") + " on this plan"
	switch {
	case len(c.problems) == 0:
		head = "nothing was found here"
	case c.of > 0:
		head = words.Count(len(c.problems), "problem", "problems") + " on this sheet"
	}
	if c.listed > 0 {
		head = "list, continued"
	}
	c.Say(x, y, draw.Text{S: head, Size: 1.1 * t, Bold: true, Tone: draw.Ink})
	y += 1.2 * t
	if c.bySquare {
		for _, l := range draw.Fold("too many to mark one by one: how many stands on the plan, on black where there are overlaps", c.small, width, false, 3) {
			y += 1.2 * c.small
			c.Say(x, y, draw.Text{S: l, Size: c.small, Tone: draw.Soft})
		}
	}
	y += 0.5 * t
	size := 0.92 * t
	indent := 0.0
	for _, p := range c.problems {
		w, _ := look.BobSize(p.Number, size)
		indent = math.Max(indent, w+0.7*t)
	}
	row := longRow
	if len(c.problems)-c.listed > c.capacity(longRow) {
		row = shortRow
	}
	row *= t
	areas := c.areas[1:]
	for i := c.listed; i < len(c.problems); i++ {
		p := &c.problems[i]
		limit := a.Y.Hi
		if len(areas) == 0 && i < len(c.problems)-1 && c.of == 0 {
			limit -= 1.5 * t // a row is kept for how many there are more
		}
		if y+row > limit+0.01 {
			if len(areas) == 0 {
				if c.of == 0 {
					c.Say(x, y+t, draw.Text{S: fmt.Sprintf("and %d more: told by voidline check", len(c.problems)-i), Size: c.small, Tone: draw.Ink})
					y += 1.5 * t
				}
				return y
			}
			a, areas = areas[0], areas[1:]
			x, y = a.X.Lo, a.Y.Lo
		}
		f := p.Findings[0]
		w, h := look.BobSize(p.Number, size)
		look.Bob(c.Drawing, f.Kind, p.Number, "", "", x+w/2, y+h, size)
		said := words.What(f)
		if n := len(p.Findings); n > 1 {
			said += fmt.Sprintf(" (worst of %d)", n)
		}
		if f.Surveyed {
			said += ", only as found"
		}
		room := width - indent
		c.Say(x+indent, y+0.85*t, draw.Text{S: draw.Fit(said+": "+look.Pair(f), t, room, true), Size: t, Bold: true, Tone: draw.Ink})
		where := words.Level(f.At.Level)
		if c.in.Bay < 0 && f.Bay != nil {
			where += ", bay " + words.Name(*f.Bay)
		}
		if f.At.Where != "" {
			where += ", " + words.Clean(f.At.Where)
		}
		if row >= longRow*t {
			c.Say(x+indent, y+1.9*t, draw.Text{S: draw.FitEnd(words.There(f), c.small, room, false), Size: c.small, Tone: draw.Ink})
			c.Say(x+indent, y+2.85*t, draw.Text{S: draw.FitEnd(where, c.small, room, false), Size: c.small, Tone: draw.Soft})
		} else {
			c.Say(x+indent, y+1.72*t, draw.Text{S: draw.FitEnd(where, 0.9*c.small, room, false), Size: 0.9 * c.small, Tone: draw.Soft})
		}
		y += row
		c.listed = i + 1
	}
	if len(c.whole) > 0 {
		y += 0.6 * t
		for _, l := range draw.Fold("over a whole bay, place not known: "+strings.Join(c.whole, ", "), c.small, width, false, 3) {
			if y+t > a.Y.Hi {
				break
			}
			c.Say(x, y+t, draw.Text{S: l, Size: c.small, Tone: draw.Soft})
			y += 1.25 * c.small
		}
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
	said := []string{c.levels(), "north is up; what lies higher covers what lies lower; beams are broken lines, room for access dash and dot"}
	if c.heat {
		said[1] = "north is up; of each bay how many problems it has; outside every bay they are marked where they are"
	}
	title := c.title()
	if c.of > 0 {
		title += ", sheet " + strconv.Itoa(c.no) + " of " + strconv.Itoa(c.of)
	}
	wide := a - x0 - t
	if !c.here.IsEmpty() {
		wide -= 0.1*w + t
		c.keyPlan(r2.Rect{X: r1.Interval{Lo: x0 + wide + t, Hi: a - t}, Y: r1.Interval{Lo: y0 + 0.9*t, Hi: c.sheet.H - m - 1.6*t}})
	}
	look.Strip(c.Drawing, x0, y0+1.9*t, wide, c.sheet.H-m-0.1*t-1.1*c.small, t, c.small, title, append(said, "project "+words.Name(c.in.Project.Name)))
	c.Say(x0, c.sheet.H-m-0.1*t, draw.Text{S: draw.FitEnd("A check of the data given, not a survey: verify levels on site.", 0.9*c.small, a-x0-t, false), Size: 0.9 * c.small, Tone: draw.Soft})
	x := a + 0.42*w
	if c.frame.X.Length() > 0 {
		look.ScaleBar(c.Drawing, x, y0+2.1*t, 0.21*w, t, c.sheet.Name)
	}
	if c.heat {
		c.classes(a, y0+0.9*t, 0.40*w)
		return
	}
	look.Legend(c.Drawing, c.trades, a, y0+0.9*t, 0.40*w, 10.2*t, 0.95*c.small)
	// What the marks mean.
	size := 0.8 * t
	for _, k := range []struct {
		kind finding.Kind
		word string
	}{{finding.Overlap, "overlap"}, {finding.Tight, "tight gap"}, {finding.Access, "access"}} {
		bw, bh := look.BobSize("1", size)
		look.Bob(c.Drawing, k.kind, "1", "", "", x+bw/2, y0+5.3*t+bh, size)
		x += bw + 0.4*t
		c.Say(x, y0+5.3*t+0.9*size, draw.Text{S: k.word, Size: c.small, Tone: draw.Ink})
		x += draw.Width(k.word, c.small, false) + 1.2*t
	}
	if c.holed {
		x = a + 0.42*w
		bw, bh := look.HoleSize(1, size)
		look.HoleMark(c.Drawing, &finding.Hole{Number: 1}, x+bw/2, y0+7.6*t+bh/2, size)
		c.Say(x+bw+0.4*t, y0+7.6*t+0.9*size, draw.Text{S: "hole to be made (builder’s work)", Size: c.small, Tone: draw.Ink})
	}
}
