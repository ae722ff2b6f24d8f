package plan

import (
	"math"
	"slices"
	"strconv"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"

	"voidline/reports/draw"
	"voidline/reports/draw/look"
	"voidline/reports/words"
)

// part is a part of a storey that has a sheet of its own.
type part struct {
	show     r2.Rect // of the building
	problems []Problem
	no       int // of its first sheet
	sheets   int
}

// leastPart is the side of the smallest part of a storey that is parted again, mm.
const leastPart = 2500.0

// Sheets draws the plan on as many sheets as it takes for each problem to be marked and listed on one. Of more than one the first is the key: the
// whole of it, with how many problems each bay has and where each sheet is.
//
//  1. What fits on one sheet is one sheet.
//  2. What does not is parted along its longer side, between bays where an edge of one is near the middle, and so each part, until it fits.
//  3. A part too small for that has its list on further sheets.
func Sheets(in Input, o Options) []*draw.Drawing {
	show, problems := in.extent(), in.relevant()
	if c := in.fit(o, show, problems); c != nil {
		return []*draw.Drawing{c.draw()}
	}
	var all []*canvas
	var parts []part
	for _, k := range in.part(o, show, problems) {
		c := in.fit(o, k.show, k.problems)
		if c == nil {
			c = in.forced(o, k.show, k.problems)
		}
		k.no, c.here = len(all)+2, k.show
		all = append(all, c)
		// What the list has no room for goes on.
		row := shortRow
		if len(k.problems) <= c.capacity(longRow) {
			row = longRow
		}
		for left := len(k.problems) - c.capacity(row); left > 0; {
			more := in.canvas(c.sheet, c.Scale, r2.EmptyRect(), k.problems)
			more.blank()
			more.here = k.show
			left -= more.capacity(shortRow)
			all = append(all, more)
		}
		k.sheets = len(all) + 2 - k.no
		parts = append(parts, k)
	}
	all = slices.Insert(all, 0, in.key(o, show, problems, parts))
	out := make([]*draw.Drawing, len(all))
	listed := 0
	for i, c := range all {
		c.no, c.of = i+1, len(all)
		if c.show.IsEmpty() {
			c.listed = listed
			out[i] = c.continued()
		} else {
			out[i] = c.draw()
		}
		listed = c.listed
	}
	return out
}

// part parts a storey until each part fits, from the west and the south on.
func (in *Input) part(o Options, show r2.Rect, problems []Problem) []part {
	long := show.X.Length() >= show.Y.Length()
	length := math.Max(show.X.Length(), show.Y.Length())
	most := 0 // problems that a sheet can list at all
	for _, sheet := range o.sheets() {
		c := in.canvas(sheet, 1, r2.EmptyRect(), nil)
		c.blank()
		most = max(most, c.capacity(shortRow))
	}
	if len(problems) == 0 {
		return nil // what has none has no sheet
	}
	if length < 2*leastPart || len(problems) <= most && in.fit(o, show, problems) != nil {
		return []part{{show: show, problems: problems}}
	}
	mid := show.X.Center()
	if !long {
		mid = show.Y.Center()
	}
	cut := mid
	near := length / 6
	for i := range in.Project.Bays {
		b := &in.Project.Bays[i]
		if b.Storey != in.Storey || !b.Plan.Intersects(show) {
			continue
		}
		edges := []float64{b.Plan.X.Lo, b.Plan.X.Hi}
		if !long {
			edges = []float64{b.Plan.Y.Lo, b.Plan.Y.Hi}
		}
		for _, e := range edges {
			if d := math.Abs(e - mid); d < near || d == near && e < cut {
				cut, near = e, d
			}
		}
	}
	a, b := show, show
	if long {
		a.X.Hi, b.X.Lo = cut, cut
	} else {
		a.Y.Hi, b.Y.Lo = cut, cut
	}
	var of [2][]Problem
	for _, p := range problems {
		at := p.Findings[0].At.X
		if !long {
			at = p.Findings[0].At.Y
		}
		k := 0
		if at > cut {
			k = 1
		}
		of[k] = append(of[k], p)
	}
	return append(in.part(o, a, of[0]), in.part(o, b, of[1])...)
}

// key lays out the whole of a storey with how many problems each bay has; with parts its list says which sheet shows what.
func (in *Input) key(o Options, show r2.Rect, problems []Problem, parts []part) *canvas {
	var c *canvas
	for _, scale := range look.Scales() {
		for _, sheet := range o.sheets() {
			c = in.canvas(sheet, scale, show, problems)
			c.heat, c.parts = true, parts
			if c.lay() && (parts == nil || c.tells()) {
				return c
			}
		}
	}
	for _, scale := range look.Scales() { // more parts than any list of them has room for
		if c = in.canvas(o.sheets()[0], scale, show, problems); c.lay() && len(c.areas) > 0 {
			c.heat, c.parts = true, parts
			return c
		}
	}
	return c
}

// tells reports whether the list of the parts has room.
func (c *canvas) tells() bool {
	if len(c.areas) == 0 {
		return false
	}
	try := *c
	try.Drawing = &draw.Drawing{Scale: c.Scale}
	n, _ := try.rows("", "", c.partRows(), 0)
	return n == len(c.parts)
}

// blank makes the whole of a sheet room for the list.
func (c *canvas) blank() {
	m, t := c.sheet.Margin, c.text
	c.column, c.strip = listWide*t, stripHigh*t
	for x := m; x+c.column <= c.sheet.W-m; x += c.column + t {
		c.areas = append(c.areas, r2.Rect{X: r1.Interval{Lo: x, Hi: x + c.column}, Y: r1.Interval{Lo: m, Hi: c.sheet.H - m - c.strip - 0.5*t}})
	}
}

// continued draws a sheet of the list alone.
func (c *canvas) continued() *draw.Drawing {
	c.Name = c.title()
	c.Add(draw.Path{})
	c.list()
	c.foot()
	c.Desc = c.Name + ": the list goes on."
	c.ground()
	return c.Drawing
}

// keyPlan draws the bays small in a box of the sheet, and black the part that the sheet is about.
func (c *canvas) keyPlan(box r2.Rect) {
	all := c.in.extent()
	k := math.Min(box.X.Length()/all.X.Length(), box.Y.Length()/all.Y.Length())
	lo := box.Center().Sub(r2.Point{X: k * all.X.Length() / 2, Y: k * all.Y.Length() / 2})
	at := func(r r2.Rect) []r2.Point {
		r = r.Intersection(all)
		x0, x1 := lo.X+k*(r.X.Lo-all.X.Lo), lo.X+k*(r.X.Hi-all.X.Lo)
		y0, y1 := lo.Y+k*(all.Y.Hi-r.Y.Hi), lo.Y+k*(all.Y.Hi-r.Y.Lo)
		return []r2.Point{c.Sheet(x0, y0), c.Sheet(x1, y0), c.Sheet(x1, y1), c.Sheet(x0, y1)}
	}
	var bays []draw.Step
	for i := range c.in.Project.Bays {
		if b := &c.in.Project.Bays[i]; b.Storey == c.in.Storey && (c.in.Bay < 0 || i == c.in.Bay) {
			bays = append(bays, draw.Polyline(at(b.Plan), true)...)
		}
	}
	c.Add(draw.Path{ID: "storey", Title: "all bays", Fill: draw.Wash, Line: draw.Faint, Width: draw.Thin, Steps: bays})
	c.Add(draw.Path{ID: "here", Title: "the part that this sheet is about", Fill: draw.Ink, Steps: draw.Polyline(at(c.here), true)})
}

// class is how a bay is drawn by how many problems it has; the steps are ours, common practice has none.
type class struct {
	most int // problems
	said string
	tint draw.Tone
	line draw.Pattern
}

func classes() []class {
	return []class{
		{2, "1 or 2", draw.None, draw.Pattern{Gap: 2.2, Dots: true}},
		{5, "3 to 5", draw.YellowTint, draw.Pattern{Angle: 45, Gap: 2.6}},
		{10, "6 to 10", draw.OrangeTint, draw.Pattern{Angle: 45, Gap: 1.3}},
		{math.MaxInt, "more than 10", draw.VermillionTint, draw.Pattern{Angle: 45, Gap: 1.2, Cross: true}},
	}
}

func classOf(problems int) class {
	all := classes()
	return all[slices.IndexFunc(all, func(k class) bool { return problems <= k.most })]
}

func (k class) paint(d *draw.Drawing, corners []float64) {
	var p []r2.Point
	for i := 0; i+1 < len(corners); i += 2 {
		p = append(p, d.Sheet(corners[i], corners[i+1]))
	}
	if k.tint != draw.None {
		d.Add(draw.Path{Fill: k.tint, Steps: draw.Polyline(p, true)})
	}
	if l := k.line.Lines([][]r2.Point{p}, d.Scale); len(l) > 0 {
		d.Add(draw.Path{Steps: l, Line: draw.Soft, Width: 0.18})
	}
}

// classes says what the hatches of the bays mean.
func (c *canvas) classes(x, y, wide float64) {
	t := c.text
	c.Say(x, y+0.9*t, draw.Text{S: "Problems of a bay, by hatch; the number says how many", Size: c.small, Bold: true, Tone: draw.Ink})
	for i, k := range classes() {
		cx, cy := x+float64(i%2)*0.5*wide, y+(1.7+1.9*float64(i/2))*t
		corners := []float64{cx, cy, cx + 3*t, cy, cx + 3*t, cy + 1.3*t, cx, cy + 1.3*t}
		k.paint(c.Drawing, corners)
		c.Area(draw.None, draw.Ink, draw.Medium, corners...)
		c.Say(cx+3.5*t, cy+t, draw.Text{S: k.said, Size: 0.95 * c.small, Tone: draw.Ink})
	}
}

// counts draws the heat of each bay and writes how many problems it has, and where the parts are.
func (c *canvas) counts() {
	crowds := c.bayCrowds()
	for _, w := range crowds {
		if q := w.plan.Intersection(c.show); w.bay != "" && !q.IsEmpty() {
			a, b := c.Spot(r2.Point{X: q.X.Lo, Y: q.Y.Hi}), c.Spot(r2.Point{X: q.X.Hi, Y: q.Y.Lo})
			corners := []float64{a.X, a.Y, b.X, a.Y, b.X, b.Y, a.X, b.Y}
			classOf(len(w.problems)).paint(c.Drawing, corners)
			c.Area(draw.None, draw.Soft, draw.Thin, corners...)
		}
	}
	// Where the sheets are.
	var says []func()
	for i := range c.parts {
		k := &c.parts[i]
		a, b := c.Spot(r2.Point{X: k.show.X.Lo, Y: k.show.Y.Hi}), c.Spot(r2.Point{X: k.show.X.Hi, Y: k.show.Y.Lo})
		c.Area(draw.None, draw.Ink, draw.Bold, a.X, a.Y, b.X, a.Y, b.X, b.Y, a.X, b.Y)
		said := draw.Text{S: "sheet " + strconv.Itoa(k.no), Size: 0.9 * c.text, Bold: true, Tone: draw.Paper}
		w, h := draw.Width(said.S, said.Size, true)+0.6*c.text, 1.25*c.text
		for _, at := range []r2.Point{a, {X: b.X - w, Y: a.Y}, {X: a.X, Y: b.Y - h}, {X: b.X - w, Y: b.Y - h}} {
			box := r2.RectFromPoints(at, at.Add(r2.Point{X: w, Y: h}))
			if !c.Labels.Free(box) {
				continue
			}
			c.Labels.Take(box)
			says = append(says, func() {
				c.Area(draw.Ink, draw.None, 0, at.X, at.Y, at.X+w, at.Y, at.X+w, at.Y+h, at.X, at.Y+h)
				c.Say(at.X+0.3*c.text, at.Y+0.95*c.text, said)
			})
			break
		}
	}
	// The number of a bay in its middle, or beside it with a line; of what is outside every bay each problem at its place.
	var numbers []func()
	number := func(n int, at r2.Point, kind string) {
		t := draw.Text{S: strconv.Itoa(n), Size: c.text, Bold: true, Tone: draw.Ink, Anchor: draw.Middle}
		size := r2.Point{X: draw.Width(t.S, t.Size, true) + 0.5*c.text, Y: 1.15 * c.text}
		box := func(p r2.Point) r2.Rect { return r2.RectFromCenterSize(p, size) }
		p, ok := c.Labels.Beside(at, 0.6*c.text, box, nil)
		if !ok {
			return
		}
		b := box(p)
		c.Labels.Take(b)
		if p.Sub(at).Norm() > c.text {
			c.Labels.Line(p, at)
			c.Stroke(draw.Ink, draw.Thin, draw.Solid, p.X, p.Y, at.X, at.Y)
		}
		numbers = append(numbers, func() {
			c.Add(draw.Path{Title: kind, Fill: draw.Paper, Line: draw.Ink, Width: draw.Thin, Steps: draw.Polyline([]r2.Point{c.Sheet(b.X.Lo, b.Y.Lo), c.Sheet(b.X.Hi, b.Y.Lo), c.Sheet(b.X.Hi, b.Y.Hi), c.Sheet(b.X.Lo, b.Y.Hi)}, true)})
			c.Say(p.X, p.Y+0.36*c.text, t)
		})
	}
	for _, w := range crowds {
		if w.bay != "" {
			if c.show.ContainsPoint(w.at) {
				number(len(w.problems), c.Spot(w.at), "bay "+words.Name(w.bay)+": "+words.Count(len(w.problems), "problem", "problems"))
			}
			continue
		}
		for _, p := range w.problems {
			if q := (r2.Point{X: p.Findings[0].At.X, Y: p.Findings[0].At.Y}); c.show.ContainsPoint(q) {
				at := c.Spot(q)
				c.Stroke(draw.Ink, draw.Thick, draw.Solid, at.X-0.6, at.Y-0.6, at.X+0.6, at.Y+0.6)
				c.Stroke(draw.Ink, draw.Thick, draw.Solid, at.X-0.6, at.Y+0.6, at.X+0.6, at.Y-0.6)
				c.Labels.Take(r2.RectFromCenterSize(at, r2.Point{X: 1.6, Y: 1.6}))
			}
		}
	}
	for _, f := range append(numbers, says...) {
		f()
	}
	c.BayNames()
}

// partRows says of each part which sheet shows it, and which problems are on it.
func (c *canvas) partRows() [][2]string {
	var out [][2]string
	for i := range c.parts {
		k := &c.parts[i]
		name := "Sheet " + strconv.Itoa(k.no)
		if k.sheets > 1 {
			name = "Sheets " + strconv.Itoa(k.no) + " to " + strconv.Itoa(k.no+k.sheets-1)
		}
		name += ": " + words.Count(len(k.problems), "problem", "problems")
		out = append(out, [2]string{name, Ranges(k.problems)})
	}
	return out
}

// Ranges says which numbers some problems have: 3 to 7, 12, 14 to 16.
func Ranges(ps []Problem) string {
	var ns []int
	for _, p := range ps {
		n, _ := strconv.Atoi(p.Number)
		ns = append(ns, n)
	}
	slices.Sort(ns)
	said := ""
	for i := 0; i < len(ns); {
		j := i
		for j+1 < len(ns) && ns[j+1] == ns[j]+1 {
			j++
		}
		if said != "" {
			said += ", "
		}
		said += strconv.Itoa(ns[i])
		if j > i {
			said += map[bool]string{true: " to ", false: ", "}[j > i+1] + strconv.Itoa(ns[j])
		}
		i = j + 1
	}
	return said
}

// rows writes rows into the columns, each a line in bold and so many under it; what does not fit is left out. It returns how many were written, and the
// foot of the last.
func (c *canvas) rows(head, under string, rows [][2]string, most int) (n int, foot r2.Point) {
	t := c.text
	a, areas := c.areas[0], c.areas[1:]
	y := a.Y.Lo + t
	c.Say(a.X.Lo, y, draw.Text{S: head, Size: 1.1 * t, Bold: true, Tone: draw.Ink})
	y += 0.3 * t
	for _, l := range draw.Fold(under, c.small, c.column, false, 4) {
		if under != "" {
			y += 1.2 * c.small
			c.Say(a.X.Lo, y, draw.Text{S: l, Size: c.small, Tone: draw.Soft})
		}
	}
	y += 0.3 * t
	for i, r := range rows {
		lines := draw.Fold(r[1], c.small, c.column, false, most)
		high := 1.3*t + 1.2*c.small*float64(len(lines))
		limit := a.Y.Hi
		if len(areas) == 0 && i < len(rows)-1 {
			limit -= 1.3 * t
		}
		if y+high > limit {
			if len(areas) == 0 {
				return i, r2.Point{X: a.X.Lo, Y: y}
			}
			a, areas = areas[0], areas[1:]
			y = a.Y.Lo
		}
		y += 1.1 * t
		c.Say(a.X.Lo, y, draw.Text{S: draw.Fit(r[0], t, c.column, true), Size: t, Bold: true, Tone: draw.Ink})
		for _, l := range lines {
			y += 1.2 * c.small
			c.Say(a.X.Lo, y, draw.Text{S: l, Size: c.small, Tone: draw.Ink})
		}
		y += 0.2 * t
	}
	return len(rows), r2.Point{X: a.X.Lo, Y: y}
}

// listParts lists which sheet shows what.
func (c *canvas) listParts() float64 {
	n, foot := c.rows(words.Count(len(c.problems), "problem", "problems")+" on "+words.Count(len(c.parts), "part", "parts")+" of the plan", "", c.partRows(), 0)
	if more := len(c.parts) - n; more > 0 {
		foot.Y += 1.2 * c.text
		c.Say(foot.X, foot.Y, draw.Text{S: "and " + words.Count(more, "more part", "more parts") + ", each with its list", Size: c.small, Tone: draw.Ink})
	}
	return foot.Y
}

// listBays lists how many problems the bays have, the most first.
func (c *canvas) listBays() float64 {
	all := c.bayCrowds()
	var rows [][2]string
	for _, w := range all {
		name := "outside every bay"
		if w.bay != "" {
			name = "bay " + words.Name(w.bay)
		}
		rows = append(rows, [2]string{
			strconv.Itoa(len(w.problems)) + " in " + name,
			Ranges(w.problems) + "; " + words.Count(w.overlaps, "overlap", "overlaps") + ", worst: " + words.What(w.problems[0].Findings[0]),
		})
	}
	if c.sheet.H == 0 && len(rows) > 60 { // a phone's
		rows = rows[:60]
	}
	if c.column == 0 {
		c.column = c.sheet.W - 2*c.sheet.Margin
	}
	n, foot := c.rows(words.Count(len(c.problems), "problem", "problems")+" in "+words.Count(len(all), "bay", "bays"), "too many to mark one by one here: voidline plan -o plan.pdf has a sheet for each part, with every problem", rows, 1)
	if more := len(all) - n; more > 0 {
		foot.Y += 1.2 * c.text
		c.Say(foot.X, foot.Y, draw.Text{S: "and " + words.Count(more, "more bay", "more bays"), Size: c.small, Tone: draw.Ink})
	}
	return foot.Y
}
