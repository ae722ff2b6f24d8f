package setout

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/golang/geo/r2"

	"voidline/clash/setout"
	"voidline/reports/draw"
	"voidline/reports/words"
	"voidline/void/body"
)

// The sheet, A4 upright, paper mm: it folds into a pocket. Type is large and black, so that a photograph of it on a
// phone can be read; nothing is told by colour alone.
const (
	paperW, paperH = 210.0, 297.0
	edge           = 8.0
	small          = 2.7
	plainText      = 3.1
	large          = 4.2
	huge           = 11.0
	elevationH     = 88.0
)

// Drawn returns the sheets: on the first the line in large figures, the elevation along the run and what fits of the
// tables; the rest follows on others.
func Drawn(s *Sheet) []*draw.Drawing {
	b := &book{s: s}
	b.turn()
	b.head()
	b.elevation()
	b.tables()
	b.cautions()
	for i, d := range b.pages {
		d.Say(paperW-edge, paperH-4.5, draw.Text{S: fmt.Sprintf("%d of %d", i+1, len(b.pages)), Size: small, Tone: draw.Ink, Anchor: draw.End})
		d.Say(edge, paperH-4.5, draw.Text{S: "Setting out, run " + words.Clean(s.Run().Name), Size: small, Tone: draw.Ink})
	}
	return b.pages
}

type book struct {
	s     *Sheet
	pages []*draw.Drawing
	d     *draw.Drawing
	y     float64 // where the next line of the page begins
}

func (b *book) turn() {
	b.d = &draw.Drawing{
		Name: "Setting out, run " + words.Clean(b.s.Run().Name), Desc: "The line to strike, an elevation along the run, supports and rods.",
		W: paperW, H: paperH, Scale: 1,
	}
	b.pages = append(b.pages, b.d)
	b.y = edge
}

// room turns the page where less than h is left.
func (b *book) room(h float64) {
	if b.y+h > paperH-9 {
		b.turn()
	}
}

func (b *book) say(text string, size float64, bold bool) {
	for _, l := range draw.Fold(words.Clean(text), size, paperW-2*edge, bold, 6) {
		b.room(1.35 * size)
		b.y += 1.3 * size
		b.d.Say(edge, b.y, draw.Text{S: l, Size: size, Bold: bold, Tone: draw.Ink})
	}
}

func (b *book) head() {
	s := b.s
	b.say("Run "+s.Run().Name+"   "+s.What(), large+0.6, true)
	st := s.storey()
	where := fmt.Sprintf("From %s to %s, %s m.", s.place(0), s.place(s.Run().Length), strconv.FormatFloat(math.Round(s.Run().Length/10)/100, 'f', 2, 64))
	if st.Name != "" {
		where = "Storey " + st.Name + ". " + where
	}
	b.say(where+" Datum line FFL"+signed(st.Datum)+". All mm.", plainText, false)
	b.y += 2
	big := func(first, second, under string) {
		b.d.Area(draw.None, draw.Ink, draw.Bold, edge, b.y, paperW-edge, b.y, paperW-edge, b.y+22, edge, b.y+22)
		size := huge
		for draw.Width(first, size, true)+draw.Width(second, size, true) > paperW-2*edge-16 {
			size *= 0.95
		}
		b.d.Say(edge+4, b.y+13.5, draw.Text{S: first, Size: size, Bold: true, Tone: draw.Ink})
		b.d.Say(paperW-edge-4, b.y+13.5, draw.Text{S: second, Size: size, Bold: true, Tone: draw.Ink, Anchor: draw.End})
		b.d.Say(edge+4, b.y+19.5, draw.Text{S: under, Size: large, Tone: draw.Ink})
		b.y += 24
	}
	switch a, f := s.Answer, s.Fall; {
	case f != nil && f.Start != nil:
		big(s.datum(*f.Start), s.ffl(*f.Start), "highest start that fits: "+s.face()+" at the higher end; drops "+exact(f.Drop)+" to the lower end")
	case f != nil && f.Out != nil:
		big("RUNS OUT OF DEPTH", words.Up(f.Out.Short)+" short", "at "+words.Near(f.Out.At)+" along the run, "+s.place(f.Out.At))
	case f != nil:
	case a.Level != nil:
		big(s.datum(*a.Level), s.ffl(*a.Level), "strike the line: "+s.face()+", one level for the whole run")
		var bands []string
		for _, v := range a.Band {
			bands = append(bands, s.spread(v.Lo, v.Hi))
		}
		b.say("Clear from end to end at "+strings.Join(bands, "; ")+".", plainText, false)
	case a.Found:
		big(s.datum(a.Line.Sections[0].Level), s.ffl(a.Line.Sections[0].Level), fmt.Sprintf("strike the first line: %s; then %s, see below", s.face(), words.Count(len(a.Line.Steps), "set", "sets")))
	default:
		give := "nothing that may move makes room alone"
		if len(a.Gives) > 0 {
			way := "up "
			if a.Gives[0].By < 0 {
				way = "down "
			}
			give = "the least: " + words.Clean(a.Gives[0].Thing.Name) + " " + way + words.Up(math.Abs(a.Gives[0].By))
		}
		big("CANNOT BE DONE", "", fmt.Sprintf("between %s and %s along the run; %s", words.Near(a.Blocks[0].From), words.Near(a.Blocks[0].To), give))
	}
}

// elevation draws the run seen from its side: stations to the right, levels up, to two scales.
func (b *book) elevation() {
	s, r := b.s, b.s.Run()
	left, right := edge+17.0, paperW-edge-2
	top, bottom := b.y+8, b.y+elevationH-10
	lo, hi := math.Inf(1), math.Inf(-1)
	type bayAt struct {
		from, to float64
		bay      int
	}
	var bays []bayAt
	step := math.Max(r.Length/400, 1)
	for x := 0.0; x <= r.Length; x += step {
		j, ok := s.Project.BayAt(r.Storey, r.Point(x))
		if !ok {
			j = -1
		}
		if n := len(bays); n > 0 && bays[n-1].bay == j {
			bays[n-1].to = math.Min(x+step, r.Length)
		} else {
			bays = append(bays, bayAt{x, math.Min(x+step, r.Length), j})
		}
	}
	for _, v := range bays {
		if v.bay < 0 {
			continue
		}
		bay := &s.Project.Bays[v.bay]
		hi = math.Max(hi, bay.Soffit)
		if bay.HasCeiling {
			lo = math.Min(lo, bay.Ceiling)
		}
	}
	level := func(x float64) float64 { return math.NaN() }
	switch {
	case s.Fall != nil:
		level = func(x float64) float64 {
			z := s.Fall.Now
			if s.Fall.Start != nil {
				z = *s.Fall.Start
			}
			for k := range r.Pieces {
				p := &r.Pieces[k]
				z -= s.Fall.Falls[k] * (math.Min(math.Max(x, p.From), p.To) - p.From)
			}
			return z
		}
	case s.Answer.Found:
		level = s.Answer.Line.LevelAt
	}
	for x := 0.0; x <= r.Length; x += step {
		if z := level(x); !math.IsNaN(z) {
			lo, hi = math.Min(lo, z-100), math.Max(hi, z+100)
		}
	}
	if math.IsInf(lo, 0) {
		lo = hi - 1000
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
	b.d.Say(edge, top-4.5, draw.Text{S: "Elevation along the run (heights drawn larger than lengths); levels to FFL", Size: small, Tone: draw.Ink})
	// Soffit and ceiling of each bay.
	for _, v := range bays {
		if v.bay < 0 {
			continue
		}
		bay := &s.Project.Bays[v.bay]
		box(draw.GreyTint, draw.None, 0, v.from, v.to, bay.Soffit, hi)
		b.d.Stroke(draw.Ink, draw.Thick, draw.Solid, X(v.from), Y(bay.Soffit), X(v.to), Y(bay.Soffit))
		if bay.HasCeiling {
			box(draw.GreyTint, draw.Ink, draw.Thin, v.from, v.to, bay.Ceiling, bay.Top)
			b.d.Stroke(draw.Ink, draw.Bold, draw.Solid, X(v.from), Y(bay.Ceiling), X(v.to), Y(bay.Ceiling))
		}
		b.d.Say((X(v.from)+X(v.to))/2, top-0.8, draw.Text{S: draw.Fit(words.Name(bay.Label), small, X(v.to)-X(v.from), false), Size: small, Tone: draw.Ink, Anchor: draw.Middle})
		b.d.Stroke(draw.Ink, draw.Thin, draw.Centre, X(v.to), top, X(v.to), bottom)
	}
	var labels []r2.Rect
	// What stands over and under the run, as far as it reaches into its width in plan.
	for i := range s.Project.Zones() {
		z := s.Project.Zone(i)
		if z.Run != "" && strings.EqualFold(z.Run, r.Name) || int(z.Storey) != r.Storey || z.ByHeight {
			continue
		}
		from, to, ok := over(r, z.Full())
		if !ok {
			continue
		}
		h := z.Full().Height()
		if h.Hi < lo || h.Lo > hi {
			continue
		}
		structure := s.Project.Character(z.Char).Structure()
		fill := draw.Paper
		if structure {
			fill = draw.Wash
		}
		box(fill, draw.Ink, draw.Medium, from, to, h.Lo, h.Hi)
		// Its id in it, or over it; where another stands there already, it is left to the tables.
		id := words.Clean(z.ID)
		t := draw.Text{S: id, Size: 2.2, Tone: draw.Ink, Anchor: draw.Middle, Halo: true}
		w := draw.Width(id, t.Size, false)
		x, y := (X(from)+X(to))/2, (Y(clip(h.Hi))+Y(clip(h.Lo)))/2
		wide, tall := w/2, t.Size/2
		switch {
		case w <= X(to)-X(from):
			y += 0.8
		case w < Y(clip(h.Lo))-Y(clip(h.Hi)):
			t.Up, wide, tall = true, tall, wide
			x += 0.8
		default:
			y = Y(clip(h.Hi)) - 0.8
			x = math.Max(left+wide+1, math.Min(right-wide, x))
		}
		mine := r2.RectFromPoints(r2.Point{X: x - wide, Y: y - tall - 0.8}, r2.Point{X: x + wide, Y: y + tall - 0.8})
		if !slices.ContainsFunc(labels, func(o r2.Rect) bool { return o.Intersects(mine) }) {
			labels = append(labels, mine)
			b.d.Say(x, y, t)
		}
	}
	// The run itself.
	if z := level(0); !math.IsNaN(z) {
		var under, topLine []float64
		sample := func(x float64) {
			pc := r.PieceAt(x)
			z := level(x) - faceAbove(s, pc)
			under = append(under, X(x), Y(z))
			topLine = append([]float64{X(x), Y(z + high(s, pc))}, topLine...)
		}
		xs := []float64{0}
		if s.Answer != nil {
			for _, st := range s.Answer.Line.Steps {
				xs = append(xs, st.From, st.To)
			}
		} else {
			for k := range r.Pieces {
				xs = append(xs, r.Pieces[k].To)
			}
		}
		for _, x := range append(xs, r.Length) {
			sample(x)
		}
		b.d.Area(draw.Ink, draw.Ink, draw.Medium, append(under, topLine...)...)
	}
	if u := s.Supports; u != nil {
		last := math.Inf(-1)
		for _, x := range u.List {
			b.d.Stroke(draw.Ink, draw.Medium, draw.Solid, X(x.At), Y(x.Top), X(x.At), Y(x.From))
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
	if a := s.Answer; a != nil && !a.Found {
		for _, k := range a.Blocks {
			b.d.Stroke(draw.Ink, draw.Bold, draw.Hidden, X(k.From), top, X(k.From), bottom)
			b.d.Stroke(draw.Ink, draw.Bold, draw.Hidden, X(k.To), top, X(k.To), bottom)
			b.d.Say((X(k.From)+X(k.To))/2, bottom-2, draw.Text{S: "no way", Size: large, Bold: true, Tone: draw.Ink, Anchor: draw.Middle, Halo: true})
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
	b.y = bottom + 11
}

// over returns the stretch of the run over whose plan, as wide as the run, a body lies.
func over(r *setout.Run, o body.Body) (from, to float64, ok bool) {
	from, to = math.Inf(1), math.Inf(-1)
	flat := func(x body.Body) []r2.Point { return body.Outline(x) }
	outline := flat(o)
	for k := range r.Pieces {
		p := &r.Pieces[k]
		shared := body.Shared(flat(p.Bare), outline)
		at := p.At(p.From)
		d := p.At(p.To).Sub(at)
		n := d.Norm()
		for _, q := range shared {
			s := p.From + q.Sub(at).Dot(d)/n
			from, to, ok = math.Min(from, s), math.Max(to, s), true
		}
	}
	return math.Max(0, from), math.Min(r.Length, to), ok
}

func high(s *Sheet, p *setout.Piece) float64 {
	z := s.Project.Zone(p.Zone)
	if z.Bare.Round {
		return 2 * z.Bare.W
	}
	return 2*z.Bare.H + z.Top
}

func faceAbove(s *Sheet, p *setout.Piece) float64 {
	h := 2 * p.Bare.H
	if p.Bare.Round {
		h = 2 * p.Bare.W
	}
	switch s.Run().Face.String() {
	case "centre":
		return h / 2
	case "top":
		return h
	}
	return 0
}

// grid writes a table in columns of given widths, paper mm; the head comes again on a new page.
func (b *book) grid(title string, head []string, width []float64, rows [][]string) {
	b.room(large*3 + 12)
	b.y += 2
	b.say(title, large, true)
	row := func(cells []string, bold bool) {
		b.y += 4.6
		x := edge
		for i, c := range cells {
			b.d.Say(x, b.y, draw.Text{S: draw.Fit(words.Clean(c), plainText, width[i]-1.5, bold), Size: plainText, Bold: bold, Tone: draw.Ink})
			x += width[i]
		}
	}
	row(head, true)
	b.d.Stroke(draw.Ink, draw.Medium, draw.Solid, edge, b.y+1.2, paperW-edge, b.y+1.2)
	b.y += 0.8
	for _, r := range rows {
		if b.y+6 > paperH-9 {
			b.turn()
			row(head, true)
		}
		row(r, false)
		b.d.Stroke(draw.Ink, 0.12, draw.Solid, edge, b.y+1.2, paperW-edge, b.y+1.2)
	}
	b.y += 2
}

func (b *book) tables() {
	s := b.s
	if a := s.Answer; a != nil && a.Found && len(a.Line.Steps) > 0 {
		var rows [][]string
		for i, sec := range a.Line.Sections {
			rows = append(rows, []string{words.Near(sec.From), words.Near(sec.To), s.datum(sec.Level), s.ffl(sec.Level), ""})
			if i < len(a.Line.Steps) {
				x := a.Line.Steps[i]
				way := "set up "
				if x.Rise < 0 {
					way = "set down "
				}
				rows = append(rows, []string{words.Near(x.From), words.Near(x.To), way + exact(math.Abs(x.Rise)), words.Near(x.To-x.From) + " long", s.place(x.From)})
			}
		}
		b.grid("Lines and sets", []string{"From", "To", "Datum", "FFL", "Begins at"}, []float64{22, 22, 42, 40, 68}, rows)
	}
	if a := s.Answer; a != nil && !a.Found {
		var rows [][]string
		for _, k := range a.Blocks {
			for i := len(k.Things) - 1; i >= 0; i-- {
				rows = append(rows, []string{k.Things[i].Name, s.kept(&k.Things[i]), k.Things[i].Rule})
			}
		}
		b.grid("What stands there", []string{"What", "Keeps", "Rule"}, []float64{40, 84, 70}, rows)
		rows = nil
		for _, g := range a.Gives {
			way := "up "
			if g.By < 0 {
				way = "down "
			}
			rows = append(rows, []string{g.Thing.Name, way + words.Up(math.Abs(g.By))})
		}
		b.grid("What one thing would have to give", []string{"What", "Moves"}, []float64{60, 134}, rows)
	}
	var ls []setout.Limit
	if s.Answer != nil {
		ls = s.Answer.Limits
	} else {
		ls = s.Fall.Limits
	}
	if len(ls) > 0 {
		var rows [][]string
		for _, l := range ls {
			hi, lo := "-", "-"
			if !math.IsInf(l.High, 0) {
				hi = s.ffl(l.High) + "  " + l.Above.Name
			}
			if !math.IsInf(l.Low, 0) {
				lo = s.ffl(l.Low) + "  " + l.Below.Name
			}
			rows = append(rows, []string{s.bay(l.Bay), hi, lo})
		}
		title := "Highest and lowest line, by bay"
		if s.Fall != nil {
			title = "Highest and lowest start that each bay allows"
		}
		b.grid(title, []string{"Bay", "Highest, under", "Lowest, over"}, []float64{34, 80, 80}, rows)
	}
	if u := s.Supports; u != nil {
		var rows [][]string
		for _, x := range u.List {
			rod, top := "", ""
			if x.Rods > 0 {
				rod = strconv.Itoa(x.Rods) + " x " + words.Up(x.Cut)
			}
			if x.Channel > 0 {
				top = s.datum(x.Top)
			}
			rows = append(rows, []string{strconv.Itoa(x.N), words.Near(x.At), s.place(x.At), s.datum(x.Line), top, x.Of, rod})
		}
		name := "Supports"
		if len(u.Hangers) > 0 {
			name += ": " + strings.Join(u.Hangers, ", then ")
		}
		b.grid(name, []string{"No", "Along", "Place", "Line", "Channel top", "Hangs from", "Rods"}, []float64{10, 17, 46, 30, 30, 36, 25}, rows)
		for _, m := range u.Missing {
			b.say("NO SUPPORT: "+m, plainText, true)
		}
		if len(u.Rods) > 0 {
			b.say(trimWords(u), plainText, false)
		}
		for _, rods := range u.Rods {
			rows = nil
			for _, c := range rods.Cuts {
				var ps []string
				for _, p := range c.Pieces {
					ps = append(ps, words.Up(p))
				}
				rows = append(rows, []string{strconv.Itoa(c.Times) + " x " + words.Near(c.Stock), strings.Join(ps, " + "), words.Down(c.Left)})
			}
			if len(rods.Long) > 0 {
				rows = append(rows, []string{"", words.Count(len(rods.Long), "rod is", "rods are") + " longer than the stock: they want a coupler", ""})
			}
			b.grid("Rods from stock, "+rods.Size+", "+metres(rods.Total), []string{"Stock", "Cut", "Left"}, []float64{34, 130, 30}, rows)
		}
		rows = nil
		if u.Channel > 0 {
			rows = append(rows, []string{"", "channel, " + metres(u.Channel) + " in all, " + channels(u)})
		}
		for _, c := range u.Parts {
			rows = append(rows, []string{strconv.Itoa(c.N), c.Part})
		}
		if len(rows) > 0 {
			b.grid("Parts", []string{"No of", "Part"}, []float64{20, 174}, rows)
		}
	}
}

func (b *book) cautions() {
	b.room(30)
	b.y += 2
	b.say("Before anything is fixed", large, true)
	for _, c := range Cautions() {
		b.say("- "+c, small, false)
	}
}
