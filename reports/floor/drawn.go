package floor

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"

	"voidline/clash/finding"
	"voidline/clash/setout"
	"voidline/reports/draw"
	"voidline/reports/draw/look"
	"voidline/reports/plan"
	"voidline/reports/words"
	"voidline/void/body"
)

// page is the sheet for the wall in the making, paper mm. Nothing on it is told by colour: what is on the line is a thick line, a place
// where it does not work a double thin one with its number in a circle, what leaves the line to pass a place a broken one.
type page struct {
	*draw.Drawing
	s     *Sheet
	sheet look.Sheet
	small float64
	base  *plan.Base
	shown int // places that the list has, the first; they are numbered on the plan
}

// Sizes on paper, mm.
const (
	columnWide = 108.0 // of the curve and the list beside the plan
	curveLow   = 48.0  // least and greatest height of the curve
	curveMost  = 76.0
	strikeSize = 9.0
	footHigh   = 15.5
	between    = 5.0
	onWidth    = 0.8 // of the line of what is on the line
	placeHalf  = 0.75
	placeLeast = 1.5 // length that a place is drawn with at least
)

// Drawn returns the one sheet for the wall, or the strip for a narrow screen (a sheet without a height).
func (s *Sheet) Drawn(sheet look.Sheet) *draw.Drawing {
	p := &page{
		Drawing: &draw.Drawing{W: sheet.W, H: sheet.H, Scale: 1}, s: s, sheet: sheet, small: 0.84 * sheet.Text,
	}
	p.Name, p.Desc = "One line for the floor: "+words.Clean(s.Project.Name)+storeyName(s.storey().Name), p.describe()
	m, strip := sheet.Margin, sheet.H == 0
	// The head does not hang on the scale, but it is drawn at the one that the plan takes: it is measured first.
	top := p.head(m, true)
	box := r2.Rect{X: r1.Interval{Lo: m, Hi: sheet.W - m}, Y: r1.Interval{Lo: top, Hi: sheet.H - m - footHigh - 2}}
	if strip {
		box.Y.Hi = top + 1.25*sheet.W
	} else {
		box.X.Hi -= columnWide + between
	}
	p.base = plan.NewBase(p.Drawing, s.Project, s.Floor.Storey, box, map[bool]float64{false: sheet.Text, true: p.small}[strip])
	p.Add(draw.Path{}) // the ground, as high as the sheet in the end
	p.head(m, false)
	reach := p.base.Reach()
	if strip {
		p.shown = min(len(s.Floor.Places), s.most())
		p.plan()
		y := p.legend(m, reach.Y+2, sheet.W-2*m)
		p.curve(m, y+2, sheet.W-2*m, curveLow)
		p.shown = 0
		y = p.list(m, y+curveLow+4, sheet.W-2*m, math.Inf(1), s.most())
		if p.shown < len(s.Floor.Places) {
			y = p.more(m, y, sheet.W-2*m)
		}
		y = p.cautions(m, y+2, sheet.W-2*m)
		p.H = math.Ceil(y + m)
	} else {
		x := reach.X + between
		foot := sheet.H - m - footHigh
		areas := []r2.Rect{{X: r1.Interval{Lo: x, Hi: sheet.W - m}, Y: r1.Interval{Lo: top, Hi: foot - 1}}}
		// The list goes on under the plan where there is room for some rows; what it leaves free of the column the curve takes.
		high := math.Max(curveLow, math.Min(curveMost, areas[0].Y.Length()-p.needs(areas[0].X.Length())))
		p.curve(x, top-1, math.Min(areas[0].X.Length(), 1.4*columnWide), high)
		areas[0].Y.Lo += high + 1
		if under := reach.Y + 3; foot-under > 6*sheet.Text {
			areas = append(areas, r2.Rect{X: r1.Interval{Lo: m, Hi: x - between}, Y: r1.Interval{Lo: under, Hi: foot - 1}})
		}
		p.lists(areas)
		p.plan()
		p.Stroke(draw.Ink, draw.Medium, draw.Solid, m, foot, sheet.W-m, foot)
		y := p.legend(m, foot+1.2, sheet.W-2*m)
		p.cautions(m, y, sheet.W-2*m)
	}
	p.Items[0] = draw.Path{Fill: draw.Paper, Steps: draw.Polyline([]r2.Point{
		p.Sheet(0, 0), p.Sheet(p.W, 0), p.Sheet(p.W, p.H), p.Sheet(0, p.H),
	}, true)}
	return p.Drawing
}

func (p *page) describe() string {
	out := ""
	for _, l := range p.s.strike() {
		out += l + ". "
	}
	return strings.TrimSpace(out)
}

// head writes what to strike, in letters that are read from the ladder, and what goes with it; it returns where the next line begins.
func (p *page) head(y float64, measure bool) float64 {
	t, m := p.sheet.Text, p.sheet.Margin
	wide := p.sheet.W - 2*m
	say := func(text string, size float64, bold bool) {
		for _, l := range draw.Fold(text, size, wide, bold, 3) {
			y += 1.25 * size
			if !measure {
				p.Say(m, y, draw.Text{S: l, Size: size, Bold: bold, Tone: draw.Ink})
			}
		}
	}
	lines := p.s.strike()
	say(p.Name, 1.2*t, true)
	// In one line where it stays large, else the level alone.
	level, of, _ := strings.Cut(lines[0], ": ")
	fits := func(text string) float64 { return math.Min(strikeSize, wide/draw.Width(text, 1, true)*0.995) }
	if size := fits(lines[0]); size >= 0.6*strikeSize {
		say(lines[0], size, true)
	} else {
		say(level, fits(level), true)
		say(of, 1.5*t, true)
	}
	y += 0.3 * t
	for _, l := range lines[1:] {
		say(l, 1.05*t, false)
	}
	return y + 1.2*t
}

// legend says what the lines mean, and the scale; it returns where the next line begins.
func (p *page) legend(x, y, wide float64) float64 {
	t, start := p.small, x
	bar, paper := 0.24*wide, p.sheet.Name
	if p.sheet.H == 0 {
		bar, paper = 0.6*wide, ""
	}
	look.ScaleBar(p.Drawing, x, y+1.7*t, bar, t, paper)
	if x += bar + 3*t; p.sheet.H == 0 {
		x, y = start, y+4*t
	}
	y += 1.7 * t
	for _, k := range []struct {
		is   setout.Lies
		word string
	}{{setout.OnIt, "on the line"}, {setout.AtPlace, "place where it does not work"}, {setout.OffIt, "leaves the line to pass a place"}} {
		const sample = 9.0
		if w := sample + 1 + draw.Width(k.word, t, false); x > start && x+w > start+wide {
			x, y = start, y+1.5*t
		}
		p.segment(k.is, r2.Point{X: x, Y: y - 0.3*t}, r2.Point{X: x + sample, Y: y - 0.3*t})
		x += sample + 1
		p.Say(x, y, draw.Text{S: k.word, Size: t, Tone: draw.Ink})
		x += draw.Width(k.word, t, false) + 2*t
	}
	if p.sheet.H == 0 {
		return y + 0.4*t
	}
	return y + 1.6*t
}

// cautions writes what is to be borne in mind; it returns where the next line begins.
func (p *page) cautions(x, y, wide float64) float64 {
	size := 0.72 * p.sheet.Text
	for _, l := range draw.Fold(strings.Join(finding.Cautions(), " "), size, wide, false, 0) {
		y += 1.25 * size
		p.Say(x, y, draw.Text{S: l, Size: size, Tone: draw.Ink})
	}
	return y
}

// segment draws a straight part of a run between two places of the sheet.
func (p *page) segment(is setout.Lies, a, b r2.Point) {
	switch is {
	case setout.OnIt:
		p.Stroke(draw.Ink, onWidth, draw.Solid, a.X, a.Y, b.X, b.Y)
	case setout.OffIt:
		p.Stroke(draw.Ink, draw.Thick, draw.Hidden, a.X, a.Y, b.X, b.Y)
	case setout.AtPlace:
		d := b.Sub(a)
		if d.Norm() < 1e-9 {
			d = r2.Point{X: 1}
		}
		u := d.Normalize()
		n := u.Ortho().Mul(placeHalf)
		if short := placeLeast - d.Norm(); short > 0 {
			a, b = a.Sub(u.Mul(short/2)), b.Add(u.Mul(short/2))
		}
		p.Area(draw.Paper, draw.Ink, draw.Medium, a.X+n.X, a.Y+n.Y, b.X+n.X, b.Y+n.Y, b.X-n.X, b.Y-n.Y, a.X-n.X, a.Y-n.Y)
	}
}

// along calls do for each straight part of a run between two stations, on the sheet.
func (p *page) along(r *setout.Run, from, to float64, do func(a, b r2.Point)) {
	for i := range r.Pieces {
		pc := &r.Pieces[i]
		if lo, hi := math.Max(from, pc.From), math.Min(to, pc.To); lo < hi {
			do(p.base.Spot(pc.At(lo)), p.base.Spot(pc.At(hi)))
		}
	}
}

// plan draws the storey with the runs.
func (p *page) plan() {
	s := p.s
	p.base.Bays()
	p.beams()
	var places []func()
	for _, o := range s.Floor.Runs {
		for _, v := range s.Floor.Stretches(o) {
			if v.Is == setout.AtPlace {
				places = append(places, func() {
					p.along(o.Run, v.From, v.To, func(a, b r2.Point) { p.segment(v.Is, a, b) })
				})
				continue
			}
			p.along(o.Run, v.From, v.To, func(a, b r2.Point) { p.segment(v.Is, a, b) })
		}
	}
	p.base.Grid()
	for _, do := range places {
		do() // over all lines, so that none hides a place
	}
	p.numbers()
	p.names()
	for _, r := range p.over(setout.OnIt, setout.OffIt, setout.AtPlace) {
		p.base.Labels.Take(r)
	}
	p.base.BayNames()
}

// beams draws the outline of what of the structure is seen from above, broken for beams.
func (p *page) beams() {
	pr := p.s.Project
	for i := range pr.Zones() {
		z := pr.Zone(i)
		ch := pr.Character(z.Char)
		if z.Gone || int(z.Storey) != p.s.Floor.Storey || z.ByHeight || !ch.Structure() {
			continue
		}
		o := p.base.Clip(body.Outline(z.Bare()))
		if o == nil {
			continue
		}
		dash := draw.Solid
		if ch.Entry.Beam {
			dash = draw.Hidden
		}
		p.Add(draw.Path{Line: draw.Faint, Width: 0.12, Dash: dash, Steps: draw.Polyline(o, true), Measured: true})
	}
}

// over returns what stretches of some sorts cover of the sheet, in pieces that are little wider than they are.
func (p *page) over(sorts ...setout.Lies) []r2.Rect {
	const step = 1.5
	var out []r2.Rect
	for _, o := range p.s.Floor.Runs {
		for _, v := range p.s.Floor.Stretches(o) {
			if !slices.Contains(sorts, v.Is) {
				continue
			}
			p.along(o.Run, v.From, v.To, func(a, b r2.Point) {
				d, n := b.Sub(a), 1
				if math.Min(math.Abs(d.X), math.Abs(d.Y)) > placeHalf {
					n = int(math.Ceil(d.Norm() / step))
				}
				for k := range n {
					out = append(out, r2.RectFromPoints(a.Add(d.Mul(float64(k)/float64(n))), a.Add(d.Mul(float64(k+1)/float64(n)))).ExpandedByMargin(placeHalf))
				}
			})
		}
	}
	return out
}

// numbers writes the number of each place that the list has beside it: on no other number, and off the runs where there is room for that, else
// off the places. A line goes from where it is to its place.
func (p *page) numbers() {
	size := 0.95 * p.small
	places, runs := p.over(setout.AtPlace), p.over(setout.OnIt, setout.OffIt)
	apart := func(r r2.Rect) bool { return p.base.Labels.Free(r) && !slices.ContainsFunc(places, r.Intersects) }
	for i := range p.shown {
		pl := &p.s.Floor.Places[i]
		at := p.base.Spot(pl.Run.Run.Point((pl.From + pl.To) / 2))
		name := strconv.Itoa(i + 1)
		r := circle(name, size)
		box := func(q r2.Point) r2.Rect {
			return r2.RectFromCenterSize(q, r2.Point{X: 2*r + 0.6, Y: 2*r + 0.6})
		}
		for _, free := range []func(r2.Rect) bool{
			func(r r2.Rect) bool { return apart(r) && !slices.ContainsFunc(runs, r.Intersects) }, apart, p.base.Labels.Free,
		} {
			q, ok := p.base.Labels.Beside(at, 2*r, box, free)
			if !ok {
				continue
			}
			p.base.Labels.Take(box(q))
			if d := at.Sub(q); d.Norm() > r {
				e := q.Add(d.Normalize().Mul(r))
				p.Stroke(draw.Ink, draw.Thin, draw.Solid, e.X, e.Y, at.X, at.Y)
			}
			p.ring(q, name, size)
			break
		}
	}
}

// circle is the radius of the ring round a number.
func circle(name string, size float64) float64 {
	return math.Max(0.75*size, 0.5*draw.Width(name, size, true)+0.25*size)
}

// ring writes a number in a circle.
func (p *page) ring(at r2.Point, name string, size float64) {
	r := circle(name, size)
	p.Add(draw.Path{Fill: draw.Paper, Line: draw.Ink, Width: draw.Medium, Steps: draw.Ellipse(p.Sheet(at.X, at.Y), r2.Point{X: 1}, r*p.Scale, r*p.Scale)})
	p.Say(at.X, at.Y+0.35*size, draw.Text{S: name, Size: size, Bold: true, Anchor: draw.Middle, Tone: draw.Ink})
}

// sameName is how near to its own name a run's name is not written again, mm on the sheet: a run that branches comes in hundreds of lengths.
const sameName = 50.0

// names writes the name of each run beside the longest straight part of it, the longest run first.
func (p *page) names() {
	type long struct {
		name   string
		r      r2.Rect
		length float64
	}
	var list []long
	for _, o := range p.s.Floor.Runs {
		l := long{name: words.Name(o.Run.Name)}
		cuts := append(append([]float64{0}, o.Run.Corners...), o.Run.Length)
		for i, to := range cuts[1:] {
			if d := to - cuts[i]; d > l.length {
				// A hair inside its ends, so that both lie on it and not round the corner.
				l.r, l.length = r2.RectFromPoints(o.Run.Point(cuts[i]+1), o.Run.Point(to-1)), d
			}
		}
		list = append(list, l)
	}
	slices.SortStableFunc(list, func(a, b long) int { return cmp.Compare(b.length, a.length) })
	size := 0.92 * p.small
	named := map[string][]r2.Point{}
	for _, l := range list {
		if slices.ContainsFunc(named[l.name], func(at r2.Point) bool { return at.Sub(l.r.Center()).Norm() < sameName*p.Scale }) {
			continue
		}
		if draw.Width(l.name, size, true) <= l.length/p.Scale && p.base.Alongside(l.r, l.name, size, placeHalf+0.75*size) {
			named[l.name] = append(named[l.name], l.r.Center())
		}
	}
}

// needs returns how high the whole list would be in a column of a width.
func (p *page) needs(wide float64) float64 {
	try := *p
	try.Drawing = &draw.Drawing{Scale: 1}
	return try.list(0, 0, wide, math.Inf(1), curveMoreThan) + 2
}

// curveMoreThan is how many places fill the column in any case, so that no more need be measured.
const curveMoreThan = 30

// lists writes the places into areas one after the other, and into the last how many more there are.
func (p *page) lists(areas []r2.Rect) {
	for k, a := range areas {
		y := p.list(a.X.Lo, a.Y.Lo, a.X.Length(), a.Y.Hi, math.MaxInt)
		if p.shown == len(p.s.Floor.Places) {
			return
		}
		if k == len(areas)-1 {
			p.more(a.X.Lo, y, a.X.Length())
		}
	}
}

// more says how many places the list leaves out; it returns where the next line begins.
func (p *page) more(x, y, wide float64) float64 {
	t := p.small
	p.Say(x, y+1.2*t, draw.Text{S: draw.FitEnd(p.s.more(p.shown), t, wide, true), Size: t, Bold: true, Tone: draw.Ink})
	return y + 1.6*t
}

// list writes places from the first that is not shown yet, no more than most, down to limit, less a line that is kept for how many more there
// are; it returns its foot.
func (p *page) list(x, y, wide, limit float64, most int) float64 {
	t, n := p.small, len(p.s.Floor.Places)
	head := words.Count(n, "place", "places") + " where the line does not work"
	switch {
	case n == 0:
		head = "The line works everywhere"
	case p.shown > 0:
		head = "Places, continued"
	}
	y += t
	p.Say(x, y, draw.Text{S: draw.FitEnd(head, 1.1*p.sheet.Text, wide, true), Size: 1.1 * p.sheet.Text, Bold: true, Tone: draw.Ink})
	y += 0.5 * t
	if n > 0 {
		y += 1.1 * t
		p.Say(x, y, draw.Text{S: draw.FitEnd("number, run, from and to in mm from its start: what is in the way; what it takes", 0.9*t, wide, false), Size: 0.9 * t, Tone: draw.Soft})
		y += 0.5 * t
	}
	indent := 2*circle(strconv.Itoa(n), t) + 0.7*t
	for i := p.shown; i < n && i < most; i++ {
		pl := &p.s.Floor.Places[i]
		lines := draw.Fold(p.s.stands(pl), t, wide-indent, true, 2)
		bold := len(lines)
		lines = append(lines, draw.Fold(p.s.takes(i), t, wide-indent, false, 3)...)
		high := 1.2*t*float64(len(lines)) + 0.5*t
		more := 0.0
		if i < n-1 {
			more = 1.6 * t
		}
		if y+high+more > limit {
			break
		}
		p.ring(r2.Point{X: x + indent/2 - 0.35*t, Y: y + 0.9*t}, strconv.Itoa(i+1), 0.95*t)
		for k, l := range lines {
			y += 1.2 * t
			p.Say(x+indent, y, draw.Text{S: l, Size: t, Bold: k < bold, Tone: draw.Ink})
		}
		y += 0.5 * t
		p.shown = i + 1
	}
	return y
}

// curveReach is how far over and under the line the curve goes, mm.
const curveReach = 150.0

// curve draws the length on the line and the places at the levels about the one to strike.
func (p *page) curve(x, y, wide, high float64) {
	f, t := p.s.Floor, p.small
	p.Say(x, y+t, draw.Text{S: "What other levels would cost", Size: 1.1 * p.sheet.Text, Bold: true, Tone: draw.Ink})
	left, right := x+6.5*t, x+wide-2*t
	top, foot := y+5.6*t, y+high-4.4*t
	mid := top + 0.55*(foot-top) // the foot of the lengths
	low := mid + 2.2*t           // the head of the places
	X := func(z float64) float64 { return left + (right-left)*(z-f.Level+curveReach)/(2*curveReach) }
	near := []setout.AtLevel{}
	never, most := math.MaxInt, len(f.Places)
	for _, c := range f.Curve {
		never = min(never, c.Never)
		if math.Abs(c.Level-f.Level) > curveReach-2.5 {
			continue
		}
		most = max(most, c.Places)
		if math.Abs(c.Level-f.Level) > 0.05 {
			near = append(near, c)
		}
	}
	half := 0.42 * (right - left) * 5 / (2 * curveReach)
	bar := func(tone draw.Tone, sides bool, z, foot, high float64) {
		a, b := X(z)-half, X(z)+half
		switch {
		case high <= 0:
		case sides:
			p.Area(tone, draw.Ink, draw.Thin, a, foot, b, foot, b, foot-high, a, foot-high)
		default:
			p.Stroke(draw.Ink, draw.Medium, draw.Solid, a, foot-high, b, foot-high)
		}
	}
	bars := func(tone draw.Tone, sides bool, z, clear float64, places int) {
		bar(tone, sides, z, mid, (mid-top)*clear/math.Max(f.All, 1))
		bar(tone, sides, z, foot, (foot-low)*float64(places)/math.Max(1, float64(most)))
	}
	tops := false
	for _, c := range near {
		tops = tops || c.Never > never
		bars(draw.GreyTint, c.Never <= never, c.Level, c.Clear, c.Places)
	}
	bars(draw.Ink, true, f.Level, f.Clear, len(f.Places))
	// The axes: lengths and places at the left, levels under both.
	for _, a := range []struct {
		hi, lo float64
		most   string
		says   string
	}{{top, mid, metres(f.All), "length on the line, of " + metres(f.All)}, {low, foot, strconv.Itoa(most), "places where it does not work"}} {
		p.Stroke(draw.Ink, draw.Medium, draw.Solid, left-1, a.hi, left-1, a.lo, right+1, a.lo)
		p.Say(left-2, a.hi+0.7*t, draw.Text{S: a.most, Size: t, Tone: draw.Ink, Anchor: draw.End})
		p.Say(left-2, a.lo+0.1*t, draw.Text{S: "0", Size: t, Tone: draw.Ink, Anchor: draw.End})
		p.Say(left-1, a.hi-0.5*t, draw.Text{S: a.says, Size: t, Tone: draw.Ink})
	}
	said := p.s.datum(f.Level) + ": " + metres(f.Clear) + ", " + words.Count(len(f.Places), "place", "places")
	w := draw.Width(said, t, true)
	at := math.Max(left+w/2, math.Min(right-w/2, X(f.Level)))
	p.Say(at, top-2.1*t, draw.Text{S: said, Size: t, Bold: true, Tone: draw.Ink, Anchor: draw.Middle})
	datum := p.s.storey().FFL + p.s.storey().Datum
	for v := math.Ceil((f.Level-curveReach-datum)/50) * 50; v <= f.Level+curveReach-datum; v += 50 {
		p.Stroke(draw.Ink, draw.Thin, draw.Solid, X(datum+v), foot, X(datum+v), foot+0.8)
		p.Say(X(datum+v), foot+0.8+t, draw.Text{S: strconv.FormatFloat(v, 'f', -1, 64), Size: t, Tone: draw.Ink, Anchor: draw.Middle})
	}
	axis := "level over the datum line, mm; black: the one to strike"
	if tops {
		without := "a length has nothing on it"
		if never > 0 {
			without = "more lengths have nothing on it than at the black one"
		}
		axis += "; tops alone: " + without
	}
	for k, l := range draw.Fold(axis, 0.95*t, wide, false, 2) {
		p.Say(x, foot+2.4*t+0.5+1.2*t*float64(k), draw.Text{S: l, Size: 0.95 * t, Tone: draw.Ink})
	}
}
