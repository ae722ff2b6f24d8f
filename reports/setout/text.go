// Package setout prints how a run is set out: for the terminal, a spreadsheet, and the foreman's folded sheet. It
// measures nothing.
package setout

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"voidline/clash"
	"voidline/clash/setout"
	"voidline/reports/words"
	"voidline/void"
)

// Sheet is all that is told of one run.
type Sheet struct {
	Project  *void.Project
	Answer   *setout.Answer   // nil for a run that falls
	Fall     *setout.Fall     // nil for one that does not
	Supports *setout.Supports // nil where there is no line
	Part     string           // "2 of 3" where the run comes in several lengths
}

// Run returns the run that the sheet is of.
func (s *Sheet) Run() *setout.Run {
	if s.Fall != nil {
		return s.Fall.Run
	}
	return s.Answer.Run
}

// What returns what the run is: tray 300x60, LV power.
func (s *Sheet) What() string {
	var out []string
	for i := range s.Run().Pieces {
		row := s.Project.Row(s.Run().Pieces[i].Zone)
		w := strings.TrimSpace(strings.TrimSpace(row.Service.Text+" "+row.Kind.Text) + " " + row.Size.String())
		if len(out) == 0 || out[len(out)-1] != w {
			out = append(out, w)
		}
	}
	return words.Clean(strings.Join(out, ", then "))
}

func (s *Sheet) storey() *void.Storey { return &s.Project.Storeys[s.Run().Storey] }

// Levels in words. A line is struck to the nearest whole millimetre, or to a tenth where it is none.
func (s *Sheet) ffl(z float64) string { return "FFL" + signed(z-s.storey().FFL) }

func (s *Sheet) datum(z float64) string { return "datum" + signed(z-s.storey().FFL-s.storey().Datum) }

func signed(v float64) string {
	t := strconv.FormatFloat(words.Tenth(v), 'f', -1, 64)
	if v >= 0 && t[0] != '-' {
		t = "+" + t
	}
	return t
}

// face is what the line is to: underside of tray.
func (s *Sheet) face() string {
	kind := s.Project.Character(s.Project.Zone(s.Run().Pieces[0].Zone).Char).Kind
	switch s.Run().Face.String() {
	case "centre":
		return "centre of " + kind
	case "top":
		return "top of " + kind
	}
	return "underside of " + kind
}

// spread is a band of levels in words.
func (s *Sheet) spread(lo, hi float64) string {
	switch {
	case math.IsInf(lo, -1) && math.IsInf(hi, 1):
		return "any level"
	case math.IsInf(lo, -1):
		return "up to " + s.ffl(hi)
	case math.IsInf(hi, 1):
		return "from " + s.ffl(lo) + " up"
	case hi-lo < 0.05:
		return s.ffl(lo) + ", that level alone"
	}
	return s.ffl(lo) + " to " + s.ffl(hi)
}

func (s *Sheet) bay(j int) string {
	if j < 0 {
		return "outside every bay"
	}
	return words.Name(s.Project.Bays[j].Label)
}

// by says what limits: the thing, its row and what is asked.
func by(t *setout.Thing) string {
	if t == nil {
		return "-"
	}
	w := words.Clean(t.Name)
	if t.Zone >= 0 && t.What != "" {
		w += " (" + words.Clean(t.What) + ")"
	}
	if t.Asked > 0 {
		w += ", " + words.Up(t.Asked) + " clear: " + words.Clean(t.Rule)
	}
	return w
}

// place says a station in words: by the grid lines, or by its plan coordinates where there are none.
func (s *Sheet) place(at float64) string {
	q := s.Run().Point(at)
	if len(s.Project.GridX)+len(s.Project.GridY) == 0 {
		return "x " + words.Near(q.X) + ", y " + words.Near(q.Y)
	}
	return words.Clean(s.Project.Where(q))
}

// Cautions returns what the sheet ends with: the check's cautions and those of who fixes it.
func Cautions() []string {
	return append(clash.Cautions(),
		"Rod lengths are from the levels of the tables: measure the soffit at the first and the last support before rods are cut.",
		"Cap rod ends that hang within reach of heads; work at height by your method statement.")
}

// page is text of a width.
type page struct {
	w     *bufio.Writer
	width int
}

func (p *page) line(s string) { p.w.WriteString(strings.TrimRight(s, " ") + "\n") } //nolint:errcheck // told by Flush

func (p *page) para(first, next, s string) {
	for i, l := range words.Wrap(s, p.width-max(words.Width(first), words.Width(next))) {
		if i > 0 {
			first = next
		}
		p.line(first + l)
	}
}

func (p *page) head(s string) {
	p.line("")
	p.line("── " + s + " " + strings.Repeat("─", max(3, p.width-4-words.Width(s))))
}

// table prints cells in columns; the last column is wrapped into what is left. right marks columns of figures.
func (p *page) table(head []string, right string, rows [][]string) {
	n := len(head)
	w := make([]int, n)
	for _, r := range append([][]string{head}, rows...) {
		for i, c := range r {
			w[i] = max(w[i], words.Width(c))
		}
	}
	used := 0
	for i := range n - 1 {
		used += w[i] + 2
	}
	w[n-1] = max(14, p.width-used)
	for _, r := range append([][]string{head}, rows...) {
		line := ""
		for i := range n - 1 {
			pad := strings.Repeat(" ", w[i]-words.Width(r[i]))
			if strings.ContainsRune(right, rune('0'+i)) {
				line += pad + r[i] + "  "
			} else {
				line += r[i] + pad + "  "
			}
		}
		for k, l := range words.Wrap(r[n-1], w[n-1]) {
			if k > 0 {
				line = strings.Repeat(" ", used)
			}
			p.line(line + l)
		}
		if len(words.Wrap(r[n-1], w[n-1])) == 0 {
			p.line(line)
		}
	}
}

// Text prints the sheet, width columns wide (0: 80).
func Text(w io.Writer, s *Sheet, width int) error {
	if width == 0 {
		width = 80
	}
	p := newPage(w, width)
	r := s.Run()
	title := "Setting out: run " + words.Clean(r.Name)
	if s.Part != "" {
		title += ", length " + s.Part
	}
	p.para("", "  ", title)
	st := s.storey()
	p.para("", "", fmt.Sprintf("%s, %s m. From %s to %s; places along the run in mm from there.", s.What(),
		strconv.FormatFloat(math.Round(r.Length/10)/100, 'f', 2, 64), s.place(0), s.place(r.Length)))
	said := ""
	if st.Name != "" {
		said = "Storey " + words.Clean(st.Name) + ". "
	}
	p.para("", "", fmt.Sprintf("%sDatum line FFL%s; FFL is %s to the project datum. All mm.", said, signed(st.Datum), signed(st.FFL)))
	if s.Fall != nil {
		s.fallText(p)
	} else {
		s.lineText(p)
	}
	if s.Supports != nil {
		s.supportText(p)
	}
	for _, l := range r.Left {
		p.para("Left out: ", "  ", words.Clean(l))
	}
	p.head("Before anything is fixed")
	for _, c := range Cautions() {
		p.para("- ", "  ", c)
	}
	return p.w.Flush()
}

func (s *Sheet) lineText(p *page) {
	a := s.Answer
	switch {
	case a.Level != nil:
		p.head("Strike the line")
		p.line("")
		p.line("   " + s.datum(*a.Level) + "      " + s.ffl(*a.Level) + "      " + s.face())
		p.line("")
		p.para("", "", "One level for the whole run.")
		var bands []string
		for _, b := range a.Band {
			bands = append(bands, s.spread(b.Lo, b.Hi))
		}
		p.para("Clear from end to end at: ", "  ", strings.Join(bands, "; ")+".")
	case a.Found:
		p.head("Strike the lines")
		p.para("", "", fmt.Sprintf("No one level is clear from end to end: %s, %s up and down together.",
			words.Count(len(a.Line.Steps), "set", "sets"), words.Up(a.Line.Rise)))
		var rows [][]string
		for i, sec := range a.Line.Sections {
			rows = append(rows, []string{words.Near(sec.From), words.Near(sec.To), s.datum(sec.Level), s.ffl(sec.Level), s.face()})
			if i < len(a.Line.Steps) {
				x := a.Line.Steps[i]
				way := "up "
				if x.Rise < 0 {
					way = "down "
				}
				rows = append(rows, []string{words.Near(x.From), words.Near(x.To), "set " + way + exact(math.Abs(x.Rise)), "", s.stepWords(x)})
			}
		}
		p.table([]string{"From", "To", "Datum", "FFL", ""}, "01", rows)
	default:
		p.head("It cannot be done")
		for _, b := range a.Blocks {
			where := fmt.Sprintf("Between %s and %s along the run (%s)", words.Near(b.From), words.Near(b.To), s.place(b.From))
			if b.Shut {
				p.para("", "  ", where+" no level is free. There:")
			} else {
				p.para("", "  ", where+" there are free levels, but no room for a set from one to the next. There:")
			}
			for i := len(b.Things) - 1; i >= 0; i-- {
				t := &b.Things[i]
				p.para("    ", "      ", fmt.Sprintf("%s: %s", by(t), s.kept(t)))
			}
		}
		if len(a.Gives) > 0 {
			p.para("", "  ", "What one thing would have to give, the rest as it is (whether it finds room there is not asked):")
			for _, g := range a.Gives {
				way := "up"
				if g.By < 0 {
					way = "down"
				}
				p.para("    ", "      ", fmt.Sprintf("%s %s %s", words.Clean(g.Thing.Name), way, words.Up(math.Abs(g.By))))
			}
		} else {
			p.para("", "  ", "No one thing that may move would make room by moving up or down.")
		}
	}
	for _, t := range a.Unproved {
		p.para("NOT PROVED: ", "  ", fmt.Sprintf("%s as set out is not clear of %s", s.Project.Zone(t.Piece).ID, by(&t)))
	}
	if len(a.Limits) > 0 {
		p.head("What limits the line, bay by bay")
		s.limitText(p, a.Limits)
	}
}

// kept says which levels a thing keeps from the line of a row.
func (s *Sheet) kept(t *setout.Thing) string {
	z := s.Run()
	for k := range z.Pieces {
		if z.Pieces[k].Zone == t.Piece {
			mid := z.Pieces[k].Bare.Height().Center()
			line := mid + s.lineFromMiddle(k)
			lo, hi := line+t.Lo, line+t.Hi
			switch {
			case math.IsInf(lo, -1):
				return "no line under " + s.ffl(hi)
			case math.IsInf(hi, 1):
				return "no line over " + s.ffl(lo)
			}
			return "no line between " + s.ffl(lo) + " and " + s.ffl(hi)
		}
	}
	return ""
}

func (s *Sheet) lineFromMiddle(k int) float64 {
	b := s.Run().Pieces[k].Bare
	half := b.H
	if b.Round {
		half = b.W
	}
	switch s.Run().Face.String() {
	case "centre":
		return 0
	case "top":
		return half
	}
	return -half
}

func exact(v float64) string { return strconv.FormatFloat(words.Tenth(v), 'f', -1, 64) }

func (s *Sheet) stepWords(x setout.Step) string {
	w := fmt.Sprintf("%s long, begins at %s", words.Near(x.To-x.From), s.place(x.From))
	if x.Latest-x.Earliest >= 1 {
		w += fmt.Sprintf("; may begin from %s to %s", words.Up(x.Earliest), words.Down(x.Latest))
	}
	return w
}

func (s *Sheet) limitText(p *page, ls []setout.Limit) {
	for _, l := range ls {
		p.para("", "  ", fmt.Sprintf("%s, from %s to %s", s.bay(l.Bay), words.Near(l.From), words.Near(l.To)))
		high, low := "no limit", "no limit"
		if !math.IsInf(l.High, 0) {
			high = s.ffl(l.High) + " under " + by(l.Above)
		}
		if !math.IsInf(l.Low, 0) {
			low = s.ffl(l.Low) + " over " + by(l.Below)
		}
		p.para("    highest: ", "             ", high)
		p.para("    lowest:  ", "             ", low)
	}
}

func (s *Sheet) fallText(p *page) {
	f := s.Fall
	p.head("Falls")
	var rows [][]string
	for k := range f.Run.Pieces {
		c := &f.Run.Pieces[k]
		ratio := "level"
		if f.Falls[k] > 0 {
			ratio = "1 in " + strconv.FormatFloat(1/f.Falls[k], 'f', -1, 64)
			if v := 1 / f.Falls[k]; v != math.Trunc(v) {
				ratio = "1 in " + strconv.FormatFloat(v, 'f', 1, 64)
			}
		}
		rows = append(rows, []string{words.Clean(s.Project.Zone(c.Zone).ID), words.Near(c.From), words.Near(c.To), ratio, exact(f.Falls[k] * (c.To - c.From))})
	}
	p.table([]string{"Row", "From", "To", "Fall", "Drops"}, "12", rows)
	p.para("", "", fmt.Sprintf("Drops %s from end to end.", exact(f.Drop)))
	if f.Start != nil {
		p.head("Highest start that fits")
		p.line("")
		p.line("   " + s.datum(*f.Start) + "      " + s.ffl(*f.Start) + "      " + s.face() + " at the higher end")
		p.line("   " + s.datum(*f.Start-f.Drop) + "      " + s.ffl(*f.Start-f.Drop) + "      at the lower end")
		p.line("")
		var bands []string
		for _, b := range f.Band {
			bands = append(bands, s.spread(b.Lo, b.Hi))
		}
		p.para("The higher end may lie at: ", "  ", strings.Join(bands, "; ")+".")
		p.para("", "", "In the tables it lies at "+s.ffl(f.Now)+".")
		p.head("What limits the start, bay by bay")
		s.limitText(p, f.Limits)
	} else if f.Out != nil {
		p.head("It runs out of depth")
		p.para("", "  ", fmt.Sprintf("At %s along the run (%s): %s short between %s above and %s below.", words.Near(f.Out.At), s.place(f.Out.At),
			words.Up(f.Out.Short), by(&f.Out.Above), by(&f.Out.Below)))
	}
	for _, n := range f.Notes {
		p.para("Note: ", "  ", words.Clean(n))
	}
}

func (s *Sheet) supportText(p *page) {
	u := s.Supports
	p.head("Supports")
	name := "no hanger is named: places only"
	if len(u.Hangers) > 0 {
		name = words.Clean(strings.Join(u.Hangers, ", then "))
	}
	p.para("", "", fmt.Sprintf("%s; at most %s apart, the first at most %s from an end, a corner or a set (common practice, no source).", name,
		words.Near(u.Hanging.Spacing), words.Near(u.Hanging.First)))
	var rows [][]string
	for _, x := range u.List {
		note := s.place(x.At)
		if math.Abs(x.Moved) >= 0.5 {
			note += fmt.Sprintf("; moved %s to be clear", words.Up(math.Abs(x.Moved)))
		}
		cut, top := "", ""
		if x.Rods > 0 {
			cut = words.Up(x.Cut)
			if x.Rods > 1 {
				cut = strconv.Itoa(x.Rods) + " x " + cut
			}
		}
		if x.Channel > 0 {
			top = s.datum(x.Top)
		}
		rows = append(rows, []string{strconv.Itoa(x.N), words.Near(x.At), s.datum(x.Line), strings.TrimPrefix(top, "datum"), words.Clean(x.Of), cut, note})
	}
	p.table([]string{"No", "Along", "Line", "Channel top", "Hangs from", "Rods, cut", "Place"}, "0135", rows)
	for _, m := range u.Missing {
		p.para("NO SUPPORT: ", "  ", m)
	}
	if len(u.Rods) > 0 {
		p.para("", "  ", trimWords(u))
	}
	for _, rods := range u.Rods {
		p.head("Rods " + rods.Size + " from stock")
		rows = nil
		for _, c := range rods.Cuts {
			var ps []string
			for i := 0; i < len(c.Pieces); {
				n := 1
				for i+n < len(c.Pieces) && c.Pieces[i+n] == c.Pieces[i] {
					n++
				}
				w := words.Up(c.Pieces[i])
				if n > 1 {
					w = strconv.Itoa(n) + " of " + w
				}
				ps = append(ps, w)
				i += n
			}
			rows = append(rows, []string{strconv.Itoa(c.Times) + " x", words.Near(c.Stock), words.Down(c.Left), strings.Join(ps, " + ")})
		}
		if len(rows) > 0 {
			p.table([]string{"", "Stock", "Left", "Cut from each"}, "012", rows)
			how := "the least stock there is"
			if !rods.Exact {
				how = "no cutting takes less than " + metres(rods.Bound)
			}
			p.para("", "  ", fmt.Sprintf("%s of %s rod: %s.", metres(rods.Total), rods.Size, how))
		}
		if len(rods.Long) > 0 {
			p.para("", "  ", fmt.Sprintf("%s longer than the stock: they want a coupler.", words.Count(len(rods.Long), "rod is", "rods are")))
		}
	}
	if len(u.Parts) > 0 || u.Channel > 0 {
		p.head("Parts")
		rows = nil
		if u.Channel > 0 {
			n := 0
			for _, x := range u.List {
				if x.Channel > 0 {
					n++
				}
			}
			rows = append(rows, []string{strconv.Itoa(n), "channel, " + metres(u.Channel) + " in all, " + channels(u)})
		}
		for _, c := range u.Parts {
			rows = append(rows, []string{strconv.Itoa(c.N), words.Clean(c.Part)})
		}
		p.table([]string{"No of", "Part"}, "0", rows)
	}
}

// channels lists the channels by length.
func channels(u *setout.Supports) string {
	n := map[float64]int{}
	var order []float64
	for _, x := range u.List {
		if x.Channel > 0 {
			if n[x.Channel] == 0 {
				order = append(order, x.Channel)
			}
			n[x.Channel]++
		}
	}
	var out []string
	for _, l := range order {
		out = append(out, fmt.Sprintf("%d of %s", n[l], words.Up(l)))
	}
	return strings.Join(out, ", ")
}

func metres(mm float64) string { return strconv.FormatFloat(math.Ceil(mm/10)/100, 'f', 2, 64) + " m" }

func newPage(w io.Writer, width int) *page { return &page{bufio.NewWriter(w), max(width, 60)} }

// trimWords says what is done to the rods once they are up.
func trimWords(u *setout.Supports) string {
	trim, keep := false, false
	for _, x := range u.List {
		if x.Rods > 0 {
			trim, keep = trim || x.Trim, keep || !x.Trim
		}
	}
	adjust := fmt.Sprintf("Rods are cut with %s for levelling: trim after levelling.", words.Near(u.Hanging.Adjust))
	switch {
	case u.Hanging.Adjust == 0 || !trim:
		return "Rods are cut to length with their tail: not trimmed."
	case keep:
		return adjust + " Those with a long tail are cut to length and not trimmed."
	}
	return adjust
}
