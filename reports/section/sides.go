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
	"voidline/reports/draw"
	"voidline/reports/draw/look"
	"voidline/reports/words"
	"voidline/void"
)

// sides draws the stack and the detail, at the right or on a phone under the section; it returns their foot.
func (c *canvas) sides() float64 {
	m := c.sheet.Margin
	if c.phone {
		y := c.bottom + 2.2*c.text
		if c.broken {
			y += 3.6 * c.text
		}
		y = c.core(m, y, c.sheet.W-2*m)
		return c.detail(m, y+1.2*c.text, c.sheet.W-2*m, 62)
	}
	x, w := c.sheet.W-m-(coreWide-1.2)*c.text, (coreWide-1.2)*c.text
	foot := c.core(x, m, w)
	return c.detail(x, foot+0.6*c.text, w, c.sheet.H-m-(stripHigh-1.2)*c.text-foot-1.6*c.text)
}

// core draws the stack over the plumb line as what a drill would bring up: a strip to scale at the true
// levels, and each thing and each gap with its height. It returns the foot of what it drew.
func (c *canvas) core(x, y, width float64) float64 {
	st := c.in.Stack
	if st == nil {
		return y
	}
	t := c.text
	c.Say(x, y+t, draw.Text{S: "Stack at the plumb line", Size: 1.1 * t, Bold: true, Tone: draw.Ink})
	y += t
	where := "x " + words.Near(st.At.X) + ", y " + words.Near(st.At.Y)
	if len(c.in.Project.GridX)+len(c.in.Project.GridY) > 0 {
		where = words.Clean(c.in.Project.Where(st.At))
	}
	c.Say(x, y+1.25*t, draw.Text{S: draw.FitEnd(where, c.small, width, false), Size: c.small, Tone: draw.Soft})
	y += 1.25 * t
	// On paper the strip stands at its levels beside the section, on a phone under it.
	soffit := c.bay.Soffit - c.ffl
	place := func(level float64) float64 { return c.py(level) }
	if c.phone {
		top := y + 1.2*t
		place = func(level float64) float64 { return top + (soffit-level)/c.Scale }
	}
	type line struct {
		at     float64
		number string
		said   string
		bold   bool
	}
	var list []line
	strip := 1.7 * t
	low := math.Inf(1)
	for i := range st.Layers {
		l := &st.Layers[i]
		low = math.Min(low, l.Bottom)
	}
	floor := low
	if !c.bay.HasCeiling {
		floor = math.Min(low, soffit-200)
	}
	limit := c.bottom
	if c.phone {
		limit = math.Inf(1)
	}
	clamp := func(v float64) float64 { return math.Max(place(soffit)-c.hatch, math.Min(limit, v)) }
	c.Area(draw.Paper, draw.Ink, draw.Thin, x, clamp(place(soffit)), x+strip, clamp(place(soffit)), x+strip, clamp(place(floor)), x, clamp(place(floor)))
	for i := range st.Layers {
		l := &st.Layers[i]
		top, bottom := clamp(place(l.Top)), clamp(place(l.Bottom))
		switch l.Kind {
		case clash.ZoneLayer, clash.HangerLayer, clash.BuildUpLayer:
			tr := look.Of(l.Trade)
			if l.Kind == clash.BuildUpLayer {
				tr = look.Of("ceilings")
			}
			if l.Kind == clash.HangerLayer {
				tr.Tint, tr.Pattern = draw.Wash, draw.Pattern{}
			}
			corners := []float64{x, top, x + strip, top, x + strip, bottom, x, bottom}
			c.Area(tr.Tint, draw.None, 0, corners...)
			p := draw.Path{}
			for k := 0; k+1 < len(corners); k += 2 {
				op := draw.Line
				if k == 0 {
					op = draw.Move
				}
				s := draw.Step{Op: op}
				s.P[0] = c.Sheet(corners[k], corners[k+1])
				p.Steps = append(p.Steps, s)
			}
			look.Hatch(c.Drawing, tr, p)
			c.Area(draw.None, draw.Ink, draw.Thin, corners...)
			name := words.Name(l.Name)
			if l.Kind == clash.HangerLayer {
				name = "under " + name
			}
			list = append(list, line{(top + bottom) / 2, strconv.FormatFloat(words.Tenth(l.Top-l.Bottom), 'f', -1, 64), name, false})
		}
		if l.HasGap && (math.Abs(l.Gap) >= 0.5 || l.HasAsked && l.Short > 0.05) {
			said := "clear"
			number := words.Down(l.Gap)
			if l.HasAsked && l.Short > 0.05 {
				said += ", " + words.Up(l.Short) + " short of " + words.Up(l.Asked)
			}
			if l.Gap < 0 {
				said, number = "overlap", words.Up(-l.Gap)
				if l.HasAsked && l.Asked > 0.05 {
					said += ", " + words.Up(l.Asked) + " needed"
				}
			}
			list = append(list, line{clamp(place(l.Bottom - l.Gap/2)), number, said, l.HasAsked && l.Short > 0.05 || l.Gap < 0})
		}
	}
	slices.SortStableFunc(list, func(a, b line) int {
		switch {
		case a.at < b.at:
			return -1
		case a.at > b.at:
			return 1
		}
		return 0
	})
	var wanted, gap []float64
	for _, l := range list {
		wanted, gap = append(wanted, l.at), append(gap, 1.28*t)
	}
	hi := math.Inf(1)
	if !c.phone {
		hi = c.sheet.H - c.sheet.Margin - (stripHigh+3.2)*t
	}
	at := draw.Spread(wanted, gap, y+1.6*t, hi)
	numbers := 0.0
	for _, l := range list {
		numbers = math.Max(numbers, draw.Width(l.number, t, true))
	}
	nx := x + strip + 2*t + numbers
	for i, l := range list {
		tone := draw.Soft
		if l.bold {
			tone = draw.Ink
		}
		c.Stroke(tone, draw.Thin, draw.Solid, x+strip, l.at, x+strip+0.5*t, l.at, x+strip+1.5*t, at[i])
		c.Say(nx, at[i]+0.36*t, draw.Text{S: l.number, Size: t, Bold: true, Anchor: draw.End, Tone: draw.Ink})
		size := c.small
		room := width - (nx - x) - 0.5*t
		c.Say(nx+0.5*t, at[i]+0.36*t, draw.Text{S: draw.Fit(l.said, size, room, l.bold), Size: size, Bold: l.bold, Tone: draw.Ink})
	}
	foot := clamp(place(floor))
	if n := len(at); n > 0 {
		foot = math.Max(foot, at[n-1])
	}
	foot += 1.8 * t
	if st.HasVoid {
		for _, s := range draw.Fold("void "+words.Down(st.Void)+": occupied "+words.Up(st.Bodies)+", clear "+words.Down(st.Gaps)+" in all", c.small, width, true, 2) {
			c.Say(x, foot, draw.Text{S: s, Size: c.small, Bold: true, Tone: draw.Ink})
			foot += 1.25 * c.small
		}
	}
	return foot
}

// found says whether the soffit of the bay was surveyed; "" where nothing was.
func (c *canvas) found() string {
	return words.SoffitFound(c.in.Project, c.bay.Storey, c.in.Cut.Bay)
}

// heading writes the title of a phone's sheet and the finding; it returns the height used.
func (c *canvas) heading(x, y, width float64, measure bool) float64 {
	start := y
	say := func(s string, size float64, bold bool, tone draw.Tone) {
		for _, l := range draw.Fold(s, size, width, bold, 4) {
			y += 1.3 * size
			if !measure {
				c.Say(x, y, draw.Text{S: l, Size: size, Bold: bold, Tone: tone})
			}
		}
	}
	say(c.title(), 1.25*c.text, true, draw.Ink)
	say(c.cutWords(), c.small, false, draw.Soft)
	say(c.found(), c.small, false, draw.Ink)
	if f := c.in.Finding; f != nil {
		y += 0.4 * c.text
		say(words.What(f)+": "+look.Pair(f), 1.1*c.text, true, draw.Ink)
		say(words.There(f), c.text, false, draw.Ink)
		say(words.Found(f), c.small, false, draw.Ink)
		say(words.ToMove(f), c.text, false, draw.Ink)
	}
	return y - start + 1.2*c.text
}

// strip writes the title strip of a paper sheet.
func (c *canvas) strip() {
	t, m := c.text, c.sheet.Margin
	x0, x1 := m, c.sheet.W-m
	y0 := c.sheet.H - m - stripHigh*t + 1.2*t
	c.Stroke(draw.Ink, draw.Bold, draw.Solid, x0, y0, x1, y0)
	// A third each: what is cut; the finding; legend, scale and where the cut lies.
	w := x1 - x0
	a, b := x0+0.30*w, x0+0.66*w
	look.Strip(c.Drawing, x0, y0+1.9*t, a-x0-t, c.sheet.H-m-0.2*t-1.1*c.small, t, c.small, c.title(), []string{c.cutWords(), c.shown(), c.found(), c.in.Why, "project " + words.Name(c.in.Project.Name)})
	c.Say(x0, c.sheet.H-m-0.2*t, draw.Text{S: draw.FitEnd(caution, 0.9*c.small, a-x0-t, false), Size: 0.9 * c.small, Tone: draw.Soft})

	y := y0 + 1.9*t
	if f := c.in.Finding; f != nil {
		number := c.number()
		bw, bh := look.BobSize(number, t)
		look.Bob(c.Drawing, f.Kind, number, "", "", a+bw/2, y-1.05*t+bh, t)
		in := a + bw + 0.7*t
		for _, l := range draw.Fold(words.What(f)+": "+look.Pair(f), 1.15*t, b-in-t, true, 2) {
			c.Say(in, y, draw.Text{S: l, Size: 1.15 * t, Bold: true, Tone: draw.Ink})
			y += 1.45 * t
		}
		for _, s := range []string{words.There(f), words.Found(f), words.ToMove(f), look.Rule(f), "finding " + f.ID} {
			if s == "" {
				continue
			}
			for _, l := range draw.Fold(s, c.small, b-in-t, false, 2) {
				c.Say(in, y, draw.Text{S: l, Size: c.small, Tone: draw.Ink})
				y += 1.25 * c.small
			}
		}
	} else {
		c.Say(a, y, draw.Text{S: "no finding is marked here", Size: c.small, Tone: draw.Soft})
	}
	// Legend, scale bar, and the bay in plan with the cut.
	y = y0 + 0.9*t
	key := 6.5 * t
	y += look.Legend(c.Drawing, c.trades, b, y, x1-b-key, 10.2*t, 0.95*c.small)
	c.key(x1-key+0.8*t, y0+0.9*t, key-0.8*t, 6.2*t)
	look.ScaleBar(c.Drawing, b, c.sheet.H-m-1.7*t, 0.8*(x1-b-key), t, c.sheet.Name)
}

// shown says what of the cut is left out, "" where nothing is.
func (c *canvas) shown() string {
	var said []string
	if whole := c.in.Cut.Inside.Length(); c.s.Intersection(c.in.Cut.Inside).Length() < whole-1 {
		said = append(said, fmt.Sprintf("%.1f m of the bay’s %.1f m are shown", c.s.Intersection(c.in.Cut.Inside).Length()/1000, whole/1000))
	}
	if c.broken {
		said = append(said, "the room below is broken off")
	}
	if c.silent > 0 {
		said = append(said, words.Count(c.silent, "piece has", "pieces have")+" no room for a name")
	}
	return strings.Join(said, "; ")
}

// key draws the bay in plan with the line of the cut and arrows that way one looks.
func (c *canvas) key(x, y, w, h float64) {
	p := c.bay.Plan
	k := math.Min((w-1.2*c.text)/p.X.Length(), (h-1.2*c.text)/p.Y.Length())
	pw, ph := p.X.Length()*k, p.Y.Length()*k
	x += (w - pw) / 2
	y += (h - ph) / 2
	at := func(px, py float64) (float64, float64) { return x + (px-p.X.Lo)*k, y + ph - (py-p.Y.Lo)*k }
	c.Area(draw.Wash, draw.Ink, draw.Thin, x, y, x+pw, y, x+pw, y+ph, x, y+ph)
	q := c.in.Cut.Plane
	a, b := q.Point(c.in.Cut.Inside.Lo, 0), q.Point(c.in.Cut.Inside.Hi, 0)
	ax, ay := at(a.X, a.Y)
	bx, by := at(b.X, b.Y)
	l := math.Hypot(bx-ax, by-ay)
	if l == 0 {
		return
	}
	ux, uy := (bx-ax)/l, (by-ay)/l
	e := 0.5 * c.text
	c.Stroke(draw.Ink, draw.Thick, draw.Centre, ax-e*ux, ay-e*uy, bx+e*ux, by+e*uy)
	// Left of the cut as seen in plan, which has y upwards.
	nx, ny := uy, -ux
	for _, end := range [][2]float64{{ax - e*ux, ay - e*uy}, {bx + e*ux, by + e*uy}} {
		tx, ty := end[0]+1.1*c.text*nx, end[1]+1.1*c.text*ny
		c.Stroke(draw.Ink, draw.Medium, draw.Solid, end[0], end[1], tx, ty)
		g := 0.4 * c.text
		c.Area(draw.Ink, draw.None, 0, tx+g*nx, ty+g*ny, tx+0.5*g*ux, ty+0.5*g*uy, tx-0.5*g*ux, ty-0.5*g*uy)
	}
	c.Say(x+pw/2, y+ph+1.1*c.small+0.4*c.text, draw.Text{S: "north is up", Size: 0.85 * c.small, Tone: draw.Soft, Anchor: draw.Middle})
}

// detail draws the finding again, larger, in a frame at (x, y), no higher than high; where that would show nothing
// larger it draws nothing. It returns the foot of what it drew.
func (c *canvas) detail(x, y, width, high float64) float64 {
	f := c.in.Finding
	t := c.text
	if f == nil {
		return y
	}
	head := 1.5 * t
	h := math.Min(high-head, 0.85*width)
	if h < 6*t {
		return y
	}
	d := *c
	d.Drawing = &draw.Drawing{W: width, H: h}
	at := r2.Point{X: c.in.Cut.Plane.Along(r3.Vector{X: f.At.X, Y: f.At.Y}), Y: f.At.Level}
	// As large as shows what is amiss and as much again round it, so that the two are seen.
	amount := math.Max(220, 2.2*f.Gap)
	if p := c.shared(f); p != nil {
		r := r2.RectFromPoints(p...)
		at = r2.Point{X: r.Center().X, Y: r.Center().Y - c.ffl}
		amount = math.Max(amount, 2*math.Max(math.Min(r.X.Length(), 600), r.Y.Length()))
	}
	scale := 0.0
	for _, s := range look.Scales() {
		if s >= 2 && s <= c.Scale/2 && s*math.Min(width, h) >= amount {
			scale = s
			break
		}
	}
	if scale == 0 {
		return y
	}
	d.Scale = scale
	d.s = r1.Interval{Lo: at.X - width/2*scale, Hi: at.X + width/2*scale}
	d.low = at.Y - h/2*scale
	d.top, d.bottom, d.hatch = 0, h, 0
	d.cap = at.Y + h/2*scale
	d.x = r1.Interval{Hi: width}
	d.Origin = r2.Point{X: -d.s.Lo / scale, Y: d.cap / scale}
	d.broken = false
	d.prefix = "d"
	d.labels = draw.NewLabels(r2.Rect{X: r1.Interval{Lo: 0.3, Hi: width - 0.3}, Y: r1.Interval{Lo: 0.3, Hi: h - 0.3}})
	if !d.shows() {
		return y
	}
	d.ground()
	d.pieces()
	d.amiss("d-shared")
	d.captions()
	c.Say(x, y+t, draw.Text{S: "Detail, 1:" + strconv.FormatFloat(scale, 'f', -1, 64), Size: 1.1 * t, Bold: true, Tone: draw.Ink})
	y += head
	c.Area(draw.Paper, draw.None, 0, x, y, x+width, y, x+width, y+h, x, y+h)
	c.Inset(d.Drawing, x, y)
	c.Area(draw.None, draw.Ink, draw.Medium, x, y, x+width, y, x+width, y+h, x, y+h)
	// Where it is in the section.
	x0, x1 := math.Max(c.px(d.s.Lo), c.x.Lo), math.Min(c.px(d.s.Hi), c.x.Hi)
	y0, y1 := math.Max(c.py(d.cap), c.top-c.hatch), math.Min(c.py(d.low), c.bottom)
	if x0 < x1 && y0 < y1 {
		c.labels.Line(r2.Point{X: x0, Y: y0}, r2.Point{X: x1, Y: y0}, r2.Point{X: x1, Y: y1}, r2.Point{X: x0, Y: y1}, r2.Point{X: x0, Y: y0})
		c.Add(draw.Path{Line: draw.Soft, Width: draw.Thin, Dash: draw.Hidden, Steps: draw.Polyline([]r2.Point{c.Sheet(x0, y0), c.Sheet(x1, y0), c.Sheet(x1, y1), c.Sheet(x0, y1)}, true)})
	}
	return y + h
}

// shows reports whether anything that is cut is in the window.
func (c *canvas) shows() bool {
	return slices.ContainsFunc(c.in.Cut.Pieces, func(q void.Piece) bool {
		cut, ok := q.Outer()
		return ok && !c.seen(cut.Outline).IsEmpty()
	})
}

// captions names the pieces of a detail where there is room in what is seen of them.
func (c *canvas) captions() {
	for i := range c.in.Cut.Pieces {
		q := &c.in.Cut.Pieces[i]
		cut, ok := q.Outer()
		if !ok || c.elsewhere(q) {
			continue
		}
		r := c.seen(cut.Outline)
		if r.IsEmpty() {
			continue
		}
		size := c.small
		name := draw.Fit(words.Name(c.in.Project.Zone(q.Zone).ID), size, c.x.Hi-3*size, true)
		tw := draw.Width(name, size, true)
		lo, hi, mid := r.Lo(), r.Hi(), r.Center()
		// In it, or over or under it, in the frame.
		for _, at := range []r2.Point{mid, {X: mid.X, Y: lo.Y - 0.8*size}, {X: mid.X, Y: hi.Y + 0.8*size}, {X: lo.X - tw/2 - 1, Y: mid.Y}, {X: hi.X + tw/2 + 1, Y: mid.Y}} {
			at.X = math.Max(tw/2+0.8, math.Min(c.x.Hi-tw/2-0.8, at.X))
			box := r2.RectFromCenterSize(at, r2.Point{X: tw, Y: 1.2 * size})
			if !c.labels.Free(box) {
				continue
			}
			c.labels.Take(box)
			c.Area(draw.Paper, draw.None, 0, box.X.Lo-0.3*size, box.Y.Lo, box.X.Hi+0.3*size, box.Y.Lo, box.X.Hi+0.3*size, box.Y.Hi, box.X.Lo-0.3*size, box.Y.Hi)
			c.Say(at.X, at.Y+0.33*size, draw.Text{S: name, Size: size, Bold: true, Tone: draw.Ink, Halo: true, Anchor: draw.Middle})
			break
		}
	}
}
