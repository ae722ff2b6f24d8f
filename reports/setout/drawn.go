package setout

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"

	"voidline/clash/setout"
	"voidline/reports/draw"
	"voidline/reports/words"
)

// The sheet, A4 upright, paper mm: it folds into a pocket. Type is large and black, so that a photograph of it on a
// phone can be read; nothing is told by colour alone.
const (
	paperW, paperH = 210.0, 297.0
	stripW         = 110.0 // of a picture: as wide as a phone shows at arm's length
	edge           = 8.0
	foot           = 9.0
	small          = 2.7
	plainText      = 3.0
	large          = 4.0
	huge           = 11.0
	elevationH     = 80.0
	rowH           = 4.25
)

// Drawn returns the sheets of a run, one length after the other: on the first page of each the line in large figures, the
// elevation along the run and what fits of the tables; the rest follows on others. Last what several runs want together; nil for one.
func Drawn(all []*Sheet, order *setout.Order) []*draw.Drawing {
	b := &book{w: paperW, h: paperH}
	for _, s := range all {
		b.s, b.of = s, "Setting out, run "+s.Run().Name
		b.turn()
		b.sheet()
		b.cautions()
	}
	if order != nil {
		b.of = "One order for " + strings.Join(runNames(all), ", ")
		b.turn()
		b.order(order)
	}
	for i, d := range b.pages {
		d.Say(paperW-edge, paperH-4.5, draw.Text{S: fmt.Sprintf("%d of %d", i+1, len(b.pages)), Size: small, Tone: draw.Ink, Anchor: draw.End})
		d.Say(edge, paperH-4.5, draw.Text{S: draw.Fit(d.Name, small, paperW-2*edge-20, false), Size: small, Tone: draw.Ink})
	}
	return b.pages
}

// Strip returns all of it as one picture, as narrow as a phone's screen and as long as it takes.
func Strip(all []*Sheet, order *setout.Order) *draw.Drawing {
	b := &book{w: stripW, h: math.Inf(1), s: all[0], of: "Setting out, run " + strings.Join(runNames(all), ", ")}
	b.turn()
	for _, s := range all {
		b.s = s
		b.sheet()
		b.y += 4
	}
	if order != nil {
		b.order(order)
	}
	b.cautions()
	b.d.H = math.Ceil(b.y + edge)
	return b.d
}

// book is pages that are being written.
type book struct {
	s     *Sheet
	w, h  float64 // of a page
	of    string  // what the pages are of
	pages []*draw.Drawing
	d     *draw.Drawing
	y     float64 // where the next line of the page begins
}

// table is a table of a sheet; the widths of its columns are parts of what there is.
type table struct {
	title string
	head  []string
	width []float64
	rows  [][]string
	most  int // lines that a cell may take; 0: 1
}

func (b *book) sheet() {
	b.head()
	b.elevation()
	b.around()
	b.tables()
}

// around writes what is next to the line. The elevation gives it the room, for the sheet is to stay one.
func (b *book) around() {
	if said := b.nextTo(); said != "" {
		b.say(said, small, false)
	}
}

// nextTo says what is tightest, and where bends are marked.
func (b *book) nextTo() string {
	var all []string
	if b.s.laid() {
		for _, x := range b.s.tightest() {
			all = append(all, x.head+": "+b.s.clearWords(x.c)+".")
		}
		if bends := b.s.bends(); len(bends) > 0 {
			all = append(append(all, bends...), bendsMeasured)
		}
	}
	return strings.Join(all, " ")
}

// aroundHigh returns how high that is on the page.
func (b *book) aroundHigh() float64 {
	return 1.3 * small * float64(len(draw.Fold(words.Clean(b.nextTo()), small, b.w-2*edge, false, 8)))
}

func (b *book) turn() {
	b.d = &draw.Drawing{
		Name: words.Clean(b.of), Desc: "The line to strike, an elevation along the run, supports and rods.",
		W: b.w, H: b.h, Scale: 1,
	}
	b.pages = append(b.pages, b.d)
	b.y = edge
}

// half is how wide one of two columns is.
func (b *book) half() float64 {
	if b.w < 150 {
		return b.w - 2*edge
	}
	return (b.w - 2*edge - 6) / 2
}

// left returns how much of the page is left.
func (b *book) left() float64 { return b.h - foot - b.y }

// room turns the page where less than h is left.
func (b *book) room(h float64) {
	if h > b.left() {
		b.turn()
	}
}

func (b *book) say(text string, size float64, bold bool) {
	for _, l := range draw.Fold(words.Clean(text), size, b.w-2*edge, bold, 8) {
		b.room(1.35 * size)
		b.y += 1.3 * size
		b.d.Say(edge, b.y, draw.Text{S: l, Size: size, Bold: bold, Tone: draw.Ink})
	}
}

// box writes the answer in large figures: two of them beside each other where there is room.
func (b *book) box(first, second, under string) {
	lines := draw.Fold(words.Clean(under), large, b.w-2*edge-8, false, 3)
	size := huge
	for draw.Width(first, size, true)+draw.Width(second, size, true) > b.w-2*edge-14 {
		size *= 0.95
	}
	h := size + 5 + 1.35*large*float64(len(lines))
	b.d.Area(draw.None, draw.Ink, draw.Bold, edge, b.y, b.w-edge, b.y, b.w-edge, b.y+h, edge, b.y+h)
	b.d.Say(edge+4, b.y+size+1.2, draw.Text{S: first, Size: size, Bold: true, Tone: draw.Ink})
	b.d.Say(b.w-edge-4, b.y+size+1.2, draw.Text{S: second, Size: size, Bold: true, Tone: draw.Ink, Anchor: draw.End})
	for i, l := range lines {
		b.d.Say(edge+4, b.y+size+2.2+1.35*large*float64(i+1), draw.Text{S: l, Size: large, Tone: draw.Ink})
	}
	b.y += h + 1.5
}

func (b *book) head() {
	s := b.s
	title := "Run " + s.Run().Name
	if s.Part != "" {
		title += ", length " + s.Part
	}
	b.say(title+"   "+s.What(), large+0.6, true)
	st := s.storey()
	where := fmt.Sprintf("From %s to %s, %s m.", s.place(0), s.place(s.Run().Length), strconv.FormatFloat(math.Round(s.Run().Length/10)/100, 'f', 2, 64))
	if st.Name != "" {
		where = words.Storey(st.Name) + ". " + where
	}
	b.say(where+" Datum line FFL"+signed(st.Datum)+". All figures in mm.", plainText, false)
	for _, l := range s.headline() {
		b.say(l, large, true)
	}
	b.y += 2
	switch a, f := s.Answer, s.Fall; {
	case f != nil && f.Start != nil:
		b.box(s.datum(*f.Start), s.ffl(*f.Start), "strike the higher end: "+s.face()+" ("+strings.ToLower(s.startHead())+"); it drops "+exact(f.Drop)+" to "+s.datum(*f.Start-f.Drop)+" at the lower end")
		b.say("The higher end may lie at "+s.bands(f.Band)+".", plainText, false)
	case f != nil && f.Out != nil:
		b.box("RUNS OUT OF DEPTH", words.Up(f.Out.Short)+" short", "at "+words.Near(f.Out.At)+" along the run, "+s.place(f.Out.At))
		b.say(s.outWords(), plainText, false)
	case f != nil:
		b.box("DOES NOT FIT", "", s.noFit())
	case a.Level != nil:
		b.box(s.datum(*a.Level), s.ffl(*a.Level), "strike the line: "+s.face()+", "+s.oneLevel())
		b.say("Clear from end to end at "+s.bands(a.Band)+".", plainText, false)
	case a.Found:
		b.box(s.datum(a.Line.Sections[0].Level), s.ffl(a.Line.Sections[0].Level),
			fmt.Sprintf("strike the first line: %s; then %s, see below", s.face(), words.Count(len(a.Line.Steps), "set", "sets")))
		b.say(s.whySets(), plainText, false)
	default:
		give := "nothing that may move makes room"
		if len(a.Gives) > 0 {
			g := &a.Gives[0]
			var moves []string
			for i := range g.Moves {
				moves = append(moves, moveWords(&g.Moves[i]))
			}
			give = "the least: " + strings.Join(moves, " and ")
		}
		b.box("CANNOT BE DONE", "", fmt.Sprintf("between %s and %s along the run; %s", words.Near(a.Blocks[0].From), words.Near(a.Blocks[0].To), give))
	}
	if w := s.notSurveyed(); w != "" {
		b.say(w, plainText, false)
	}
	for _, l := range s.joined() {
		b.say(l, plainText, false)
	}
	if w := s.Tiers(); w != "" {
		b.say(w, plainText, false)
	}
	for _, l := range s.Run().Left {
		b.say("Left out: "+l, plainText, false)
	}
}

// marks are the labels of an elevation.
type marks struct {
	*draw.Labels
	words       *draw.Drawing // what they say
	left, right float64
}

// put says a text in the middle over x at the first of some heights (of the line that its letters stand on) at which nothing stands yet; false where
// there is none.
func (m *marks) put(t draw.Text, x float64, ys ...float64) bool {
	t.Anchor = draw.Middle
	if w := draw.Width(t.S, t.Size, t.Bold); !t.Up {
		x = math.Max(m.left+w/2+0.5, math.Min(m.right-w/2-0.5, x))
	}
	at := make([]r2.Point, len(ys))
	for i, y := range ys {
		at[i] = r2.Point{X: x, Y: y}
	}
	return m.Put(m.words, t, at...)
}

// elevation draws the run seen from its side: stations to the right, levels up, to two scales.
func (b *book) elevation() {
	s, r := b.s, b.s.Run()
	high := elevationH - b.aroundHigh()
	b.room(high)
	left, right := edge+14.0, b.w-edge-2
	top, bottom := b.y+8, b.y+high-10
	lo, hi := math.Inf(1), math.Inf(-1)
	bays := r.Bays(s.Project)
	for _, v := range bays {
		if v.Bay < 0 {
			continue
		}
		bay := &s.Project.Bays[v.Bay]
		hi = math.Max(hi, bay.Soffit)
		if bay.HasCeiling {
			lo = math.Min(lo, bay.Ceiling)
		}
	}
	level := s.lineAt()
	if level != nil {
		at := s.levels()
		lo, hi = math.Min(lo, at.Lo-100), math.Max(hi, at.Hi+100)
	}
	switch {
	case math.IsInf(hi, 0) && math.IsInf(lo, 0):
		lo, hi = s.storey().FFL+2000, s.storey().FFL+4000
	case math.IsInf(lo, 0):
		lo = hi - 1000
	case math.IsInf(hi, 0):
		hi = lo + 1000
	}
	lo, hi = lo-60, hi+80
	X := func(x float64) float64 { return left + (right-left)*x/r.Length }
	Y := func(z float64) float64 { return bottom - (bottom-top)*(z-lo)/(hi-lo) }
	clip := func(z float64) float64 { return math.Max(lo, math.Min(hi, z)) }
	box := func(fill, line draw.Tone, w, x0, x1, z0, z1 float64) {
		z0, z1 = clip(z0), clip(z1)
		if z1 > z0 && x1 > x0 {
			b.d.Area(fill, line, w, X(x0), Y(z0), X(x1), Y(z0), X(x1), Y(z1), X(x0), Y(z1))
		}
	}
	// All labels stay between the names of the bays and the numbers of the supports; one that finds no room there is in the tables. They are drawn over
	// all lines.
	m := marks{draw.NewLabels(r2.Rect{X: r1.Interval{Lo: 0, Hi: b.w}, Y: r1.Interval{Lo: top, Hi: bottom}}), &draw.Drawing{Scale: 1}, left, right}
	m.Line(r2.Point{X: left, Y: top}, r2.Point{X: left, Y: bottom})
	b.d.Say(edge, top-4.5, draw.Text{S: draw.Fit("Elevation along the run (heights drawn larger than lengths); levels to FFL", small, b.w-2*edge, false), Size: small, Tone: draw.Ink})
	// Soffit and ceiling of each bay.
	for _, v := range bays {
		b.d.Stroke(draw.Ink, draw.Thin, draw.Centre, X(v.To), top, X(v.To), bottom)
		if v.Bay < 0 {
			continue
		}
		bay := &s.Project.Bays[v.Bay]
		box(draw.GreyTint, draw.None, 0, v.From, v.To, bay.Soffit, hi)
		b.d.Stroke(draw.Ink, draw.Thick, draw.Solid, X(v.From), Y(bay.Soffit), X(v.To), Y(bay.Soffit))
		if bay.HasCeiling {
			box(draw.GreyTint, draw.Ink, draw.Thin, v.From, v.To, bay.Ceiling, bay.Top)
			b.d.Stroke(draw.Ink, draw.Bold, draw.Solid, X(v.From), Y(bay.Ceiling), X(v.To), Y(bay.Ceiling))
		}
		if w := X(v.To) - X(v.From); w > 4 {
			b.d.Say((X(v.From)+X(v.To))/2, top-0.8, draw.Text{S: draw.Fit(words.Name(bay.Label), small, w, false), Size: small, Tone: draw.Ink, Anchor: draw.Middle})
		}
	}
	type box4 struct {
		id             string
		beam           bool
		x0, x1, y0, y1 float64
	}
	var things []box4
	// What stands over and under the run, as far as it reaches into its width in plan.
	for _, o := range r.Beside(s.Project) {
		z, h := s.Project.Zone(o.Zone), o.Levels
		if h.Hi < lo || h.Lo > hi {
			continue
		}
		fill := draw.Paper
		if s.Project.Character(z.Char).Structure() {
			fill = draw.Wash
		}
		box(fill, draw.Ink, draw.Medium, o.From, o.To, h.Lo, h.Hi)
		things = append(things, box4{words.Clean(z.ID), s.Project.Character(z.Char).Entry.Beam, X(o.From), X(o.To), Y(clip(h.Hi)), Y(clip(h.Lo))})
	}
	// Beams are named first, over their places in the slab: they are what the rods and the run go by.
	named := map[string]bool{}
	for _, t := range things {
		if t.beam {
			say := draw.Text{S: t.id, Size: 2.2, Tone: draw.Ink, Halo: true}
			over := Y(clip(hi)) + 2.2
			named[t.id] = m.put(say, (t.x0+t.x1)/2, over, over+2.4)
		}
	}
	b.band(X, Y, level, r1.Interval{Lo: lo, Hi: hi})
	if level != nil {
		b.line(&m, X, Y, level)
	} else {
		// Where it lies in the tables.
		for k := range r.Pieces {
			c := &r.Pieces[k]
			h := c.Bare.Height()
			b.d.Area(draw.None, draw.Ink, draw.Thick, X(c.From), Y(clip(h.Lo)), X(c.To), Y(clip(h.Lo)), X(c.To), Y(clip(h.Hi)), X(c.From), Y(clip(h.Hi)))
			if say := "now " + s.ffl(h.Lo); k == 0 {
				m.put(draw.Text{S: say, Size: small, Bold: true, Tone: draw.Ink, Halo: true}, X(c.From), Y(clip(h.Hi))-0.8, Y(clip(h.Lo))+3)
			}
		}
	}
	if u := s.Supports; u != nil {
		last := math.Inf(-1)
		for _, x := range u.List {
			if x.From > x.Top {
				b.d.Stroke(draw.Ink, draw.Medium, draw.Solid, X(x.At), Y(clip(x.Top)), X(x.At), Y(clip(x.From)))
			}
			if x.Channel > 0 {
				b.d.Stroke(draw.Ink, draw.Bold, draw.Solid, X(x.At)-0.9, Y(x.Top)+0.3, X(x.At)+0.9, Y(x.Top)+0.3)
			}
			if n := strconv.Itoa(x.N); X(x.At)-last > draw.Width(n, small, true)+1 {
				b.d.Say(X(x.At), bottom+3.4, draw.Text{S: n, Size: small, Bold: true, Tone: draw.Ink, Anchor: draw.Middle})
				last = X(x.At)
			}
			b.d.Stroke(draw.Ink, draw.Thin, draw.Solid, X(x.At), bottom, X(x.At), bottom+1)
		}
		if len(u.List) > 0 {
			b.d.Say(edge, bottom+3.4, draw.Text{S: "supports", Size: small, Tone: draw.Ink})
		}
	}
	if u := s.Supports; u != nil {
		for _, g := range u.Gaps {
			b.d.Stroke(draw.Ink, draw.Bold, draw.Hidden, X(g.From), bottom-1.2, X(g.To), bottom-1.2)
			say := draw.Text{S: "no support", Size: small, Bold: true, Tone: draw.Ink, Anchor: draw.Middle}
			if draw.Width(say.S, say.Size, true)+6 <= X(g.To)-X(g.From) {
				b.d.Say((X(g.From)+X(g.To))/2, bottom+3.4, say)
			}
		}
	}
	if a := s.Answer; a != nil && !a.Found {
		for _, k := range a.Blocks {
			b.d.Stroke(draw.Ink, draw.Bold, draw.Hidden, X(k.From), top, X(k.From), bottom)
			b.d.Stroke(draw.Ink, draw.Bold, draw.Hidden, X(k.To), top, X(k.To), bottom)
			m.put(draw.Text{S: "no way", Size: large, Bold: true, Tone: draw.Ink, Halo: true}, (X(k.From)+X(k.To))/2, bottom-2)
		}
	}
	if f := s.Fall; f != nil && f.Out != nil {
		b.d.Stroke(draw.Ink, draw.Bold, draw.Hidden, X(f.Out.At), top, X(f.Out.At), bottom)
		m.put(draw.Text{S: "out of depth", Size: large, Bold: true, Tone: draw.Ink, Halo: true}, X(f.Out.At), bottom-2, bottom-7)
	}
	// Its id in each thing, or over it; where another stands there already, it is left to the tables.
	for _, t := range things {
		if named[t.id] {
			continue
		}
		say := draw.Text{S: t.id, Size: 2.2, Tone: draw.Ink, Halo: true}
		w := draw.Width(t.id, say.Size, false)
		mid := (t.y0 + t.y1) / 2
		switch {
		case w <= t.x1-t.x0:
			m.put(say, (t.x0+t.x1)/2, mid+0.8)
		case w < t.y1-t.y0:
			say.Up = true
			m.put(say, (t.x0+t.x1)/2+0.8, mid)
		default:
			m.put(say, (t.x0+t.x1)/2, t.y0-0.8)
		}
	}
	// Levels at the left, lengths below.
	ffl := s.storey().FFL
	every := 100.0
	for (bottom-top)*every/(hi-lo) < 5 {
		every *= 2
	}
	for z := math.Ceil((lo-ffl)/every) * every; z <= hi-ffl; z += every {
		b.d.Stroke(draw.Ink, draw.Thin, draw.Solid, left-2, Y(ffl+z), left, Y(ffl+z))
		b.d.Say(left-2.6, Y(ffl+z)+0.9, draw.Text{S: signed(z), Size: small, Tone: draw.Ink, Anchor: draw.End})
	}
	b.d.Stroke(draw.Ink, draw.Medium, draw.Solid, left, top, left, bottom, right, bottom)
	unit := 1000.0
	for (right-left)*unit/r.Length < 12 {
		unit *= 2
	}
	for x := 0.0; x <= r.Length; x += unit {
		b.d.Stroke(draw.Ink, draw.Thin, draw.Solid, X(x), bottom+4.5, X(x), bottom+5.5)
		b.d.Say(X(x), bottom+8.2, draw.Text{S: strconv.FormatFloat(x/1000, 'f', -1, 64) + " m", Size: small, Tone: draw.Ink, Anchor: draw.Middle})
	}
	b.d.Stroke(draw.Ink, draw.Thin, draw.Solid, X(0), bottom+5, X(r.Length), bottom+5)
	b.d.Add(m.words.Items...)
	b.y = bottom + 10
}

// band draws the levels between which the line may lie, where there is one for the whole run and they are among those that are drawn.
func (b *book) band(X, Y func(float64) float64, level func(float64) float64, drawn r1.Interval) {
	a, r := b.s.Answer, b.s.Run()
	if a == nil || a.Level == nil || level == nil {
		return
	}
	for _, v := range a.Band {
		for _, z := range []float64{v.Lo, v.Hi} {
			if drawn.Contains(z) && v.Lo <= *a.Level && *a.Level <= v.Hi && math.Abs(z-*a.Level) > 2 {
				b.d.Stroke(draw.Ink, draw.Thin, draw.Hidden, X(0), Y(z), X(r.Length), Y(z))
			}
		}
	}
}

// line draws the run itself with the levels of its lines and its sets.
func (b *book) line(m *marks, X, Y func(float64) float64, level func(float64) float64) {
	s, r := b.s, b.s.Run()
	var under, topLine []float64
	head := func(x float64) float64 {
		up, _ := r.Faces(s.Project, r.PieceAt(x))
		return Y(level(x) + up)
	}
	foot := func(x float64) float64 {
		_, down := r.Faces(s.Project, r.PieceAt(x))
		return Y(level(x) - down)
	}
	xs := []float64{0}
	if s.Answer != nil {
		for _, st := range s.Answer.Line.Steps {
			xs = append(xs, st.From, st.To)
		}
	}
	for k := range r.Pieces {
		xs = append(xs, r.Pieces[k].To)
	}
	slices.Sort(xs)
	for i := 1; i < len(xs); i++ { // where a row of another size begins the section is another at once
		up, down := r.Faces(s.Project, r.PieceAt((xs[i-1]+xs[i])/2))
		for _, x := range xs[i-1 : i+1] {
			under = append(under, X(x), Y(level(x)-down))
			topLine = append([]float64{X(x), Y(level(x) + up)}, topLine...)
		}
	}
	b.d.Area(draw.Ink, draw.Ink, draw.Medium, append(under, topLine...)...)
	say := draw.Text{Size: 3.4, Bold: true, Tone: draw.Ink, Halo: true}
	at := func(text string, x float64) {
		say.S = text
		// Over and under all of the run that the words are as wide as.
		up, down := math.Inf(1), math.Inf(-1)
		w := draw.Width(text, say.Size, true) / (X(r.Length) - X(0)) * r.Length
		mid := math.Max(w/2, math.Min(r.Length-w/2, x))
		for k := range 21 {
			q := math.Max(0, math.Min(r.Length, mid+w*(float64(k)/20-0.5)))
			up, down = math.Min(up, head(q)), math.Max(down, foot(q))
		}
		m.put(say, X(x), up-1.2, down+4, up-5.2, down+8, up-9.2, down+12, up-13.2, down+16, up-17.2)
	}
	if f := s.Fall; f != nil {
		at(s.datum(level(0)), 0)
		at(s.datum(level(r.Length)), r.Length)
		for k := range r.Pieces {
			if k == 0 || math.Abs(f.Falls[k]-f.Falls[k-1]) > 1e-9 {
				at(fallWords(f.Falls[k]), (r.Pieces[k].From+r.Pieces[k].To)/2)
			}
		}
		return
	}
	for i, sec := range s.Answer.Line.Sections {
		at(s.datum(sec.Level), (sec.From+sec.To)/2)
		if i < len(s.Answer.Line.Steps) {
			st := s.Answer.Line.Steps[i]
			at(setWords(&st), (st.From+st.To)/2)
		}
	}
}

// set is a table as it is set on a sheet: lines are near each other, for it is to stay one.
func (t *table) set() *draw.Table {
	out := &draw.Table{TableStyle: draw.TableStyle{Size: plainText, Head: plainText, Lead: 1.2, Pad: 0.6, Gap: rowH - 1.25*plainText, Rule: draw.Medium, Thin: 0.12, Tone: draw.Ink, Most: max(1, t.most)}}
	for i, h := range t.head {
		out.Columns = append(out.Columns, draw.Column{Head: h, Share: t.width[i]})
	}
	for _, r := range t.rows {
		cells := make([]draw.Cell, len(r))
		for i, c := range r {
			cells[i].Text = words.Clean(c)
		}
		out.Rows = append(out.Rows, cells)
	}
	return out
}

// The page of a table: it ends with the sheet, for the book turns it.
func (b *book) Say(x, y float64, t draw.Text) { b.d.Say(x, y, t) }

func (b *book) Rule(tone draw.Tone, width, x0, y0, x1, y1 float64) {
	b.d.Stroke(tone, width, draw.Solid, x0, y0, x1, y1)
}
func (b *book) Left() (y, bottom float64) { return b.y, b.h - foot }
func (b *book) Down(y float64)            { b.y = y }
func (b *book) Turn() bool                { return false }
func (b *book) Cell(draw.Cell, r2.Rect)   {}

// beyond is what stands free between two tables beside each other, mm.
const beyond = 6.0

// grid writes a table over the width of the page; in halves: in two columns beside each other where the page is wide.
func (b *book) grid(t table, halves bool) {
	cols := 1
	if halves && b.w > 150 && len(t.rows) > 5 {
		cols = 2
	}
	w := (b.w - 2*edge - float64(cols-1)*beyond) / float64(cols)
	b.room(1.3*large + 5*rowH)
	b.y += 0.8
	if t.title != "" {
		b.say(t.title, large, true)
		b.y += 1 // below what hangs under its line
	}
	d := t.set()
	for rows := d.Rows; len(rows) > 0; {
		d.Rows = rows
		n := min(len(rows), cols*max(1, d.Fits(edge, edge+w, b.left())))
		each := (n + cols - 1) / cols
		y, end := b.y, b.y
		for c := 0; c*each < n; c++ {
			b.y = y
			d.Rows = rows[c*each : min(n, (c+1)*each)]
			x := edge + float64(c)*(w+beyond)
			if done := d.Write(b, x, x+w); done < len(d.Rows) {
				n = c*each + max(1, done) // of wrapped rows the page holds fewer
			}
			end = math.Max(end, b.y)
		}
		b.y = end
		if rows = rows[n:]; len(rows) > 0 {
			b.turn()
		}
	}
	b.y += 1
}

// beside writes two tables beside each other where the page is wide and holds them, else one after the other.
func (b *book) beside(l, r table) {
	w := (b.w - 2*edge - beyond) / 2
	high := 1.3*large + 3 + math.Max(l.set().Height(edge, edge+w), r.set().Height(edge, edge+w))
	if len(l.rows) == 0 || len(r.rows) == 0 || b.w < 150 || high > b.h-foot-edge {
		for _, t := range []table{l, r} {
			if len(t.rows) > 0 {
				b.grid(t, false)
			}
		}
		return
	}
	b.room(high)
	y, end := b.y+1.5, 0.0
	for i, t := range []table{l, r} {
		x := edge + float64(i)*(w+beyond)
		b.y = y + 1.3*large
		b.d.Say(x, b.y, draw.Text{S: draw.Fit(t.title, large, w, true), Size: large, Bold: true, Tone: draw.Ink})
		b.y += 1
		t.set().Write(b, x, x+w)
		end = math.Max(end, b.y)
	}
	b.y = end + 1
}

func (b *book) tables() {
	s := b.s
	if a := s.Answer; a != nil {
		b.blocks(a)
		if limits := b.limits("Highest and lowest line, by bay", a.Limits); len(a.Line.Steps) > 0 {
			b.beside(b.lines(a), limits)
		} else if len(limits.rows) > 0 {
			b.grid(limits, false)
		}
	}
	if f := s.Fall; f != nil {
		t := table{title: "Falls", head: []string{"Row", "From", "To", "Fall", "Drops"}, width: []float64{50, 24, 24, 50, 24}}
		for k := range f.Run.Pieces {
			c := &f.Run.Pieces[k]
			t.rows = append(t.rows, []string{s.Project.Zone(c.Zone).ID, words.Near(c.From), words.Near(c.To), fallWords(f.Falls[k]), exact(f.Falls[k] * (c.To - c.From))})
		}
		b.grid(t, false)
		for _, n := range s.fallNotes() {
			b.say(n, plainText, false)
		}
		if t := b.limits("Highest and lowest start that each bay allows", f.Limits); len(t.rows) > 0 {
			b.grid(t, false)
		}
	}
	b.passed()
	if s.Supports != nil {
		b.supports(s.Supports)
	}
}

// passed lists what the run passes and goes through, and what may not fit once built.
func (b *book) passed() {
	s := b.s
	if !s.laid() {
		return
	}
	t := table{title: passed, head: []string{"From", "To", "Position", "What"}, width: []float64{12, 12, 34, 136}, most: 3}
	narrow := b.w < 150
	if narrow {
		t = table{title: passed, head: []string{"From", "To", "Where, what"}, width: []float64{12, 12, 70}, most: 6}
	}
	for i := range s.Next.Passed {
		x := &s.Next.Passed[i]
		if narrow {
			t.rows = append(t.rows, []string{words.Near(x.From), words.Near(x.To), s.place(x.From) + ": " + s.passWords(x)})
			continue
		}
		t.rows = append(t.rows, []string{words.Near(x.From), words.Near(x.To), s.place(x.From), s.passWords(x)})
	}
	if len(t.rows) > 0 {
		b.grid(t, false)
	}
	if s.Tolerance != nil {
		b.room(1.3*large + 3*1.35*plainText)
		b.y += 1.5
		b.say(words.MayNotFit, large, true)
		for _, l := range s.doubtLines() {
			b.say(l, plainText, false)
		}
	}
}

// order writes what several runs want together.
func (b *book) order(o *setout.Order) {
	b.say("One order for all of them", large+0.6, true)
	b.say(b.of, plainText, false)
	if len(o.Between) > 0 {
		b.say(apartHead+":", plainText, true)
		for i := range o.Between {
			b.say(betweenWords(&o.Between[i])+".", plainText, false)
		}
		b.say(apartWords, plainText, false)
	}
	if u := o.Supports; u == nil {
		b.say(noSupports, plainText, false)
	} else {
		b.say(supportsCounted(o), plainText, false)
		b.stock(u)
	}
	t := table{title: "Fittings", head: []string{"Qty", "Fitting"}, width: []float64{12, 82}}
	for _, f := range o.Fittings {
		t.rows = append(t.rows, []string{strconv.Itoa(f.N), f.Part})
	}
	if len(t.rows) > 0 {
		b.grid(t, true)
	}
}

// lines lists the lines and sets of a run that has sets.
func (b *book) lines(a *setout.Answer) table {
	s := b.s
	t := table{title: "Lines and sets", head: []string{"From", "To", "Datum", "FFL", "Starts at"}, width: []float64{12, 12, 24, 20, 32}, most: 3}
	for i, sec := range a.Line.Sections {
		t.rows = append(t.rows, []string{words.Near(sec.From), words.Near(sec.To), s.datum(sec.Level), s.ffl(sec.Level), ""})
		if i < len(a.Line.Steps) {
			x := a.Line.Steps[i]
			t.rows = append(t.rows, []string{words.Near(x.From), words.Near(x.To), setWords(&x), words.Near(x.To-x.From) + " long", s.place(x.From)})
		}
	}
	return t
}

// blocks writes why a run cannot be done.
func (b *book) blocks(a *setout.Answer) {
	if a.Found {
		return
	}
	s := b.s
	t := table{title: "What is there", head: []string{"What", "Keeps", "Rule"}, width: []float64{44, 66, 84}, most: 3}
	for _, k := range a.Blocks {
		for i := len(k.Things) - 1; i >= 0; i-- {
			x := &k.Things[i]
			t.rows = append(t.rows, []string{x.Name, s.kept(x), asks(x)})
		}
	}
	b.grid(t, false)
	for _, w := range s.asked() {
		b.say(w, plainText, false)
	}
	g := table{title: "What could move to make way, all else staying put", head: []string{"What", "And there"}, width: []float64{70, 124}, most: 3}
	for i := range a.Gives {
		for k := range a.Gives[i].Moves {
			m := &a.Gives[i].Moves[k]
			and := ""
			if k > 0 {
				and = "and "
			}
			g.rows = append(g.rows, []string{and + moveWords(m), meetWords(m)})
		}
	}
	if len(g.rows) == 0 {
		b.say(noGive, plainText, false)
	} else {
		b.grid(g, false)
	}
	if a.Cut {
		b.say(cutShort, plainText, false)
	}
}

// limits lists what holds the line, bay by bay.
func (b *book) limits(title string, ls []setout.Limit) table {
	t := table{title: title, head: []string{"Bay", "Highest, under", "Lowest, over"}, width: []float64{19, 40, 40}, most: 2}
	for _, l := range ls {
		hi, lo := "-", "-"
		if !math.IsInf(l.High, 0) {
			hi = b.s.ffl(l.High) + "  " + l.Above.Name
		}
		if !math.IsInf(l.Low, 0) {
			lo = b.s.ffl(l.Low) + "  " + l.Below.Name
		}
		t.rows = append(t.rows, []string{b.s.bay(l.Bay), hi, lo})
	}
	return t
}

// supports writes the table by support, the cutting list and the parts.
func (b *book) supports(u *setout.Supports) {
	s := b.s
	name := "Supports"
	if len(u.Hangers) > 0 {
		name += ": " + hangerNames(u)
	}
	t := table{title: name, head: []string{"No", "From start", "Position"}, width: []float64{7, 15, 34}}
	drill := map[int][2]string{} // where there are drill points they say the place
	for _, d := range s.drillPoints() {
		drill[d.no] = d.at
	}
	narrow := b.w < 150
	switch {
	case len(drill) > 0 && narrow: // both rods in one column
		t.head, t.width = []string{"No", "From start", "Drill at"}, []float64{7, 12, 46}
	case len(drill) > 0:
		t.head, t.width = []string{"No", "From start", "Position; drill rod at", "Other rod at"}, []float64{7, 15, 39, 39}
	}
	cols, once := s.columns(u)
	for _, c := range cols {
		t.head, t.width = append(t.head, c.head), append(t.width, c.wide)
	}
	for i := range u.List {
		x := &u.List[i]
		row := []string{strconv.Itoa(x.N), words.Near(x.At), s.place(x.At)}
		if at, is := drill[x.N]; is && narrow {
			row[2] = strings.TrimSuffix(at[0]+"; "+at[1], "; ")
		} else if is {
			row = []string{row[0], row[1], at[0], at[1]}
		} else if len(drill) > 0 && !narrow {
			row = append(row, "")
		}
		for _, c := range cols {
			row = append(row, c.cell(x))
		}
		t.rows = append(t.rows, row)
	}
	if len(t.rows) > 0 {
		wide := 0.0
		for _, w := range t.width {
			wide += w
		}
		if t.most = 1; wide > b.w-2*edge || narrow {
			t.most = 3
		}
		b.grid(t, wide < 105)
	}
	if u.Set {
		b.say(asSetOut, plainText, false)
	}
	if len(once) > 0 {
		b.say("All: "+strings.Join(once, "; ")+".", plainText, false)
	}
	for _, f := range s.frameWords(u) {
		b.say(f, plainText, false)
	}
	for i := range u.Gaps {
		b.say("NOT SUPPORTED: "+s.gapWords(&u.Gaps[i]), plainText, true)
	}
	for i := range u.Stuck {
		b.say("NOT SUPPORTED: "+s.stuckWords(&u.Stuck[i]), plainText, true)
	}
	for _, l := range rodNotes(u) {
		b.say(l, plainText, false)
	}
	b.stock(u)
}

// stock writes the cutting lists and the parts.
func (b *book) stock(u *setout.Supports) {
	cut := table{title: "From stock", head: []string{"Stock", "Cut from each", "Remaining"}, width: []float64{34, 48, 12}}
	title := cut.title
	for _, x := range stocks(u) {
		title += ", " + x.of + " " + metres(x.Total)
	}
	named := draw.Width(title, large, true) <= b.half()
	if named {
		cut.title = title
	}
	for _, x := range stocks(u) {
		for _, c := range x.Cuts {
			cut.rows = append(cut.rows, []string{strconv.Itoa(c.Times) + " x " + words.Near(c.Stock) + " " + x.of, cutWords(c.Pieces), words.Down(c.Left)})
		}
		if len(x.Long) > 0 {
			cut.rows = append(cut.rows, []string{"", words.Count(len(x.Long), "piece is", "pieces are") + " longer: " + x.long, ""})
		}
		if !named {
			cut.rows = append(cut.rows, []string{x.of + " in all", metres(x.Total), ""})
		}
	}
	parts := table{title: "Parts", head: []string{"Qty", "Part"}, width: []float64{12, 82}, rows: partRows(u)}
	b.beside(cut, parts)
}

// cautions writes what the sheet ends with, in two columns where the page is wide.
func (b *book) cautions() {
	cols := 1
	if b.w > 150 {
		cols = 2
	}
	const between = 6.0
	w := (b.w - 2*edge - between*float64(cols-1)) / float64(cols)
	var lines []string
	for _, c := range Cautions() {
		for i, l := range draw.Fold(c, small, w-2, false, 4) {
			if i == 0 {
				l = "- " + l
			}
			lines = append(lines, l)
		}
	}
	each := (len(lines) + cols - 1) / cols
	b.room(1.3*large + 1.5 + 1.3*small*float64(each))
	b.y += 1
	b.say("Before anything is fixed", large, true)
	for i, l := range lines {
		x := edge + float64(i/each)*(w+between)
		if !strings.HasPrefix(l, "- ") {
			x += draw.Width("- ", small, false)
		}
		b.d.Say(x, b.y+1.3*small*float64(i%each+1), draw.Text{S: l, Size: small, Tone: draw.Ink})
	}
	b.y += 1.3 * small * float64(each)
}
