// Package setout prints how a run is set out: for the terminal, a spreadsheet, and the foreman's folded sheet. It
// measures nothing.
package setout

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"

	"voidline/clash/finding"
	"voidline/clash/setout"
	"voidline/clash/support"
	"voidline/reports/words"
	"voidline/void"
	"voidline/void/cell"
)

// Sheet is all that is told of one run.
type Sheet struct {
	Project  *void.Project
	Answer   *setout.Answer   // nil for a run that falls
	Fall     *setout.Fall     // nil for one that does not
	Supports *setout.Supports // nil where there is no line
	Part     string           // "2 of 3" where the run comes in several lengths
	Joints   []setout.Joint   // where this length meets others
	Lengths  *[]*Sheet        // all lengths of the run, in order; nil for one alone
	Angle    float64          // of its sets, degrees; 0: as usual
	Next     setout.Alongside // what is next to the run as it is laid
	// Tolerance says how Doubts were looked for, which are what may not fit once the run is built; nil where that was not asked for.
	Tolerance *finding.ToleranceUsed
	Doubts    []finding.Doubt
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
	switch s.Run().Face {
	case cell.Centre:
		return "centre of " + kind
	case cell.Top:
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

func (s *Sheet) bands(vs []r1.Interval) string {
	var out []string
	for _, v := range vs {
		out = append(out, s.spread(v.Lo, v.Hi))
	}
	return strings.Join(out, "; ")
}

// oneLevel says for how much one level is, and how it lies to the one in the tables.
func (s *Sheet) oneLevel() string {
	w := "one level for the whole run"
	if s.Answer.Shared {
		w = "one level for all lengths of the run"
	}
	if d := *s.Answer.Level - s.Answer.Drawn; math.Abs(d) < 0.05 {
		return w + ", as drawn"
	} else if d > 0 {
		return w + ", " + exact(d) + " higher than drawn (" + s.ffl(s.Answer.Drawn) + ")"
	} else {
		return w + ", " + exact(-d) + " lower than drawn (" + s.ffl(s.Answer.Drawn) + ")"
	}
}

// whySets says how many sets there are and why.
func (s *Sheet) whySets() string {
	l := &s.Answer.Line
	var up, down float64
	for i := range l.Steps {
		up, down = up+math.Max(0, l.Steps[i].Rise), down+math.Max(0, -l.Steps[i].Rise)
	}
	var ways []string
	if down > 0 {
		ways = append(ways, words.Up(down)+" down")
	}
	if up > 0 {
		ways = append(ways, words.Up(up)+" up")
	}
	return fmt.Sprintf("No single level is clear from end to end: %s (%s).", words.Count(len(l.Steps), "set", "sets"), strings.Join(ways, ", "))
}

// setWords says which way a set goes.
func setWords(x *setout.Step) string {
	if x.Rise < 0 {
		return "set down " + exact(-x.Rise)
	}
	return "set up " + exact(x.Rise)
}

// may says from where to where a set may begin, where that is more than one place.
func may(x *setout.Step) string {
	if x.Latest-x.Earliest < 1 {
		return ""
	}
	return fmt.Sprintf("; can start anywhere from %s to %s", words.Up(x.Earliest), words.Down(x.Latest))
}

// fallWords says a fall.
func fallWords(fall float64) string {
	if fall <= 0 {
		return "level"
	}
	v := 1 / fall
	if math.Abs(v-math.Round(v)) < 1e-6 {
		return "1 in " + strconv.FormatFloat(math.Round(v), 'f', -1, 64)
	}
	return "1 in " + strconv.FormatFloat(v, 'f', 1, 64)
}

// lineAt returns the level of the line at a station, nil where there is no line. Of a falling run that does not fit
// it is that of the tables.
func (s *Sheet) lineAt() func(x float64) float64 {
	switch {
	case s.Fall != nil:
		return s.Fall.LevelAt
	case s.Answer.Found:
		return s.Answer.Line.LevelAt
	}
	return nil
}

// levels returns the lowest and the highest level of the line that lineAt gives.
func (s *Sheet) levels() r1.Interval {
	if s.Fall != nil {
		return s.Fall.Levels()
	}
	return s.Answer.Line.Levels()
}

// joined says where the length meets others of the run, and at which level they lie there.
func (s *Sheet) joined() []string {
	var out []string
	for _, j := range s.Joints {
		if s.Lengths == nil || j.Other >= len(*s.Lengths) {
			continue
		}
		o := (*s.Lengths)[j.Other]
		end, at := "At its start", j.Station
		if (j.End > 0) != s.turned() {
			end = "At its end"
		}
		if o.turned() {
			at = o.Run().Length - at
		}
		w := fmt.Sprintf("%s it meets length %d", end, j.Other+1)
		if line := o.lineAt(); line != nil && (o.Fall == nil || o.Fall.Start != nil) {
			w += ", whose line is at " + s.ffl(line(at)) + " there (" + o.face() + ")"
		}
		if f := s.Fall; f != nil && f.Into != nil && f.Into.Other == j.Other && f.Into.Under > 0 {
			w += ". ITS LOWER END LIES " + words.Up(f.Into.Under) + " UNDER THAT: it does not drain into it"
		}
		out = append(out, w+".")
	}
	return out
}

// turned reports whether the stations of a falling length count from the other end than its rows were put together.
func (s *Sheet) turned() bool { return s.Fall != nil && s.Fall.Turned }

func (s *Sheet) unproved(t *setout.Thing) string {
	return fmt.Sprintf("%s as set out is not clear of %s", words.Clean(s.Project.Zone(t.Piece).ID), by(t))
}

// Lack is what keeps a sheet from being built by as it is: a length that is not proved clear, or that no support holds.
type Lack struct {
	What, Why string
	Gap       *setout.Gap // the stretch without a support; nil for the others
}

// The kinds of Lack, as the table names them.
const (
	notProved    = setout.RowUnproved
	notSupported = setout.RowUnsupported
)

// Lacks returns all that keeps the sheet from being built by: it stands in its headline. Empty where nothing does.
func (s *Sheet) Lacks() []Lack {
	var out []Lack
	if s.Answer != nil {
		for i := range s.Answer.Unproved {
			out = append(out, Lack{What: notProved, Why: s.unproved(&s.Answer.Unproved[i])})
		}
	}
	if s.Supports != nil {
		for i := range s.Supports.Gaps {
			out = append(out, Lack{notSupported, s.gapWords(&s.Supports.Gaps[i]), &s.Supports.Gaps[i]})
		}
		for i := range s.Supports.Stuck {
			out = append(out, Lack{What: notSupported, Why: s.stuckWords(&s.Supports.Stuck[i])})
		}
	}
	return out
}

// Tiers says of a tier of a frame where the others are taken to be: this sheet moves none of them. "" for a run without a frame.
func (s *Sheet) Tiers() string {
	if s.Answer == nil || len(s.Answer.Mates) == 0 {
		return ""
	}
	moves := false
	var out []string
	for i := range s.Answer.Mates {
		m := &s.Answer.Mates[i]
		moves = moves || m.Moves()
		out = append(out, s.mateWords(m))
	}
	frame, tier := "", ""
	for k := 0; frame == "" && k < len(s.Run().Pieces); k++ { // it may come to its frame further on
		frame, tier = s.Project.Zone(s.Run().Pieces[k].Zone).Frame()
	}
	w := "On frame " + frame
	if tier != "" {
		w = "Tier " + tier + " of frame " + frame
	}
	if !moves {
		return words.Clean(w + ". The other tiers were not moved: " + strings.Join(out, "; ") + ".")
	}
	return words.Clean(w + ". The other tiers were not moved by this sheet, but it holds only with these levels: " + strings.Join(out, "; ") + ". Each has a sheet of its own.")
}

// mateWords says where another tier is.
func (s *Sheet) mateWords(m *setout.Mate) string {
	w := m.Name
	if m.IsRun {
		w = "run " + w
	}
	if m.Tier != "" {
		w = "tier " + m.Tier + " (" + w + ")"
	}
	if m.Sets {
		return w + " is taken to be as in the tables, at " + s.ffl(m.Line) + "; it has no one level: see its own sheet"
	}
	if !m.Moves() {
		return w + " stays at " + s.ffl(m.Line)
	}
	way := "down"
	if m.Line > m.Now {
		way = "up"
	}
	return fmt.Sprintf("%s has to move %s %s, to %s", w, way, exact(math.Abs(m.Line-m.Now)), s.ffl(m.Line))
}

// gapWords says where no support can stand, what bars it and how long a channel would clear it.
func (s *Sheet) gapWords(g *setout.Gap) string {
	w := fmt.Sprintf("from %s to %s along the run: %s without a support, %s at most", words.Near(g.From), words.Near(g.To), words.Near(g.To-g.From), words.Near(g.Most))
	if g.From <= void.Hair && g.To >= s.Run().Length-void.Hair {
		w = fmt.Sprintf("from %s to %s along the run, all of it", words.Near(g.From), words.Near(g.To))
	}
	if g.Set {
		w += "; supports.csv has none there"
	}
	return w + s.whyBarred(g)
}

// stuckWords says why a support that is set out cannot stand where it is.
func (s *Sheet) stuckWords(x *setout.Stuck) string {
	w := fmt.Sprintf("No %d, %s along the run, cannot be there", x.N, words.Near(x.At))
	if x.OnSet {
		return w + "; the line has a set there"
	}
	var why []string
	for i := range x.Barred[:min(len(x.Barred), fewBars)] {
		if b := &x.Barred[i]; b.What == support.BarredByThing {
			why = append(why, "the "+b.Part+" would meet "+s.barName(b))
		} else {
			why = append(why, s.barWords(b))
		}
	}
	if n := len(x.Barred) - len(why); n > 0 {
		why = append(why, words.Count(n, "other thing", "other things"))
	}
	return words.Clean(w + "; " + strings.Join(why, ", "))
}

// gapsWords says of several stretches how long they are, and of all what bars them.
func (s *Sheet) gapsWords(gs []setout.Gap) string {
	all := gs[0]
	all.Barred = nil
	short, long, most := math.Inf(1), 0.0, 0.0
	for i := range gs {
		g := &gs[i]
		short, long, most = math.Min(short, g.To-g.From), math.Max(long, g.To-g.From), math.Max(most, g.Most)
		if g.Channel < all.Channel || all.Channel == 0 {
			all.Channel = 0 // it does not clear them all
		} else if g.Channel > all.Channel {
			all.Channel, all.Wider = g.Channel, g.Wider
		}
		all.Barred = support.Together(all.Barred, g.Barred)
	}
	w := fmt.Sprintf("%d stretches, %s to %s without a support, %s at most", len(gs), words.Near(short), words.Near(long), words.Near(most))
	if most > s.Supports.Hanging.First {
		w += fmt.Sprintf(" (%s at an end)", words.Near(s.Supports.Hanging.First))
	}
	if !slices.ContainsFunc(gs, func(g setout.Gap) bool { return !g.Set }) {
		w += "; supports.csv has none there"
	}
	return w + s.whyBarred(&all) + fmt.Sprintf("; the first from %s to %s along the run", words.Near(gs[0].From), words.Near(gs[0].To))
}

// whyBarred says what bars a stretch, and how long a channel would clear it.
func (s *Sheet) whyBarred(g *setout.Gap) string {
	var bars []string
	for i := range g.Barred[:min(len(g.Barred), fewBars)] {
		bars = append(bars, s.barWords(&g.Barred[i]))
	}
	if n := len(g.Barred) - len(bars); n > 0 {
		bars = append(bars, words.Count(n, "other thing", "other things"))
	}
	w := ""
	if len(bars) > 0 {
		w = "; " + strings.Join(bars, ", ")
	}
	if g.Channel > 0 {
		w += fmt.Sprintf("; a channel %s long clears it (%s longer, the rods %s further out)", words.Up(g.Channel), words.Up(g.Wider), words.Up(g.Wider/2))
	}
	return words.Clean(w)
}

// fewBars is how many of the things that bar a stretch are named.
const fewBars = 3

// barName names what bars supports: its id and what it is.
func (s *Sheet) barName(b *support.Barring) string {
	if b.Zone < 0 {
		return b.Name
	}
	ch := s.Project.Character(s.Project.Zone(b.Zone).Char)
	return strings.TrimSpace(b.Name + " (" + strings.TrimSpace(ch.Service+" "+ch.Kind) + ")")
}

// barWords says what bars supports.
func (s *Sheet) barWords(b *support.Barring) string {
	name := s.barName(b)
	switch b.What {
	case support.BarredByMark:
		return "nothing may be fixed at " + name
	case support.BarredByHole:
		return "a rod would be fixed in the opening of " + name
	case support.BarredByNothing:
		return "a rod has nothing over it to hang from: it is outside every bay"
	case support.BarredBySteel:
		return "no steel is over all its rods"
	case support.BarredBySupport:
		return "the " + b.Part + " would meet support " + strconv.Itoa(b.No) + " of " + name
	case support.BarredByRoom:
		return "the " + b.Part + " would be in the space needed to reach " + name
	}
	if b.Part == string(support.Rod) {
		return "rods would be within " + words.Near(s.Supports.Hanging.Clear) + " of " + name
	}
	return "the " + b.Part + " would meet " + name
}

// headline returns what stands first on the sheet: its lacks, of each kind the first and how many more there are.
func (s *Sheet) headline() []string {
	all := s.Lacks()
	var out []string
	for _, kind := range []string{notProved, notSupported} {
		first, n := "", 0
		for _, l := range all {
			if l.What != kind {
				continue
			}
			if n++; n == 1 {
				first = strings.ToUpper(kind) + ": " + l.Why
			}
		}
		switch {
		case n > 1 && kind == notSupported && len(s.Supports.Stuck) == 0:
			first = strings.ToUpper(kind) + ": " + s.gapsWords(s.Supports.Gaps)
		case n > 1:
			first += "; and " + words.Count(n-1, "other", "others")
		}
		if n > 0 {
			out = append(out, first+". Do not build to this sheet as it is.")
		}
	}
	return out
}

// startHead says which start it is.
func (s *Sheet) startHead() string {
	f := s.Fall
	switch {
	case f.Into != nil && !math.IsNaN(f.Into.Line):
		return "Start on the line that it drains into"
	case math.Abs(*f.Start-f.Now) < 0.05:
		return "Start as drawn"
	case f.Near == nil:
		return "Highest start that fits"
	case *f.Near == f.Now:
		return "Start nearest to as drawn"
	}
	return "Start nearest to the level asked for"
}

// outWords says where a falling run runs out of depth, and what would fit.
func (s *Sheet) outWords() string {
	f := s.Fall
	w := fmt.Sprintf("%s short at %s along the run (%s), between %s above and %s below.", words.Up(f.Out.Short), words.Near(f.Out.At), s.place(f.Out.At),
		by(&f.Out.Above), by(&f.Out.Below))
	return w + " " + s.noFit()
}

// noFit says what would make a falling run fit.
func (s *Sheet) noFit() string {
	f := s.Fall
	switch {
	case len(f.Asked) > 0:
		return strings.Join(s.asked(), " ")
	case f.Fits == nil:
		return "It does not fit level either."
	case *f.Fits <= 0:
		return "It fits level, at no fall."
	}
	return fmt.Sprintf("The steepest even fall that fits is %s mm/m (%s).", strconv.FormatFloat(*f.Fits*1000, 'f', 1, 64), fallWords(*f.Fits))
}

// fallNotes says what the falls are against those that are usual.
func (s *Sheet) fallNotes() []string {
	f := s.Fall
	out := slices.Clone(f.Notes)
	if len(f.Usual) == 0 {
		return append(out, "No usual gradient is known for what it carries: ask the designer.")
	}
	if len(out) == 0 {
		out = append(out, "The falls are within what is usual.")
	}
	for _, u := range f.Usual {
		out = append(out, strings.ToUpper(u[:1])+u[1:]+".")
	}
	return out
}

// supportColumn is a column of the table by support.
type supportColumn struct {
	head    string
	wide    float64 // mm on the drawn sheet
	figures bool
	cell    func(x *setout.Support) string
}

// columns returns the columns of the table by support in which the supports differ, and in words what is the same of all.
// Levels are to the datum line.
func (s *Sheet) columns(u *setout.Supports) (cols []supportColumn, once []string) {
	datum := func(z float64) string { return strings.TrimPrefix(s.datum(z), "datum") }
	for _, c := range []struct {
		supportColumn
		once string
	}{
		{supportColumn{"Line", 14, true, func(x *setout.Support) string { return datum(x.Line) }}, "line at datum%s"},
		{supportColumn{"Channel", 15, true, func(x *setout.Support) string {
			if x.Channel > 0 {
				return datum(x.Top)
			}
			return ""
		}}, "channel top at datum%s"},
		{supportColumn{"Long", 11, true, func(x *setout.Support) string {
			switch {
			case x.Channel == 0 || x.With != "":
				return ""
			case x.Channels > 1:
				return fmt.Sprintf("%d x %s", x.Channels, words.Up(x.Channel))
			}
			return words.Up(x.Channel)
		}}, "channel %s long"},
		{supportColumn{"From", 19, false, hungFrom}, "hung from %s"},
		{supportColumn{"Rods", 16, true, rodWords}, "rods, cut: %s"},
	} {
		// What some have not (a hanger, rods on this sheet) is told by the last column: none of it stands there.
		said, same := "", true
		for i := range u.List {
			switch v := c.cell(&u.List[i]); {
			case v == "" && c.head != "Rods":
			case said == "" && i == 0 || v != "" && said == "" && c.head != "Rods":
				said = v
			default:
				same = same && v == said
			}
		}
		switch {
		case !same && c.head == "From" && mostFrom(u) != "":
			once = append(once, fmt.Sprintf(c.once, theSoffit(mostFrom(u))))
		case !same:
			cols = append(cols, c.supportColumn)
		case said != "":
			once = append(once, fmt.Sprintf(c.once, theSoffit(said)))
		}
	}
	return cols, once
}

// theSoffit puts the article before a soffit that is not named.
func theSoffit(said string) string {
	if said == "soffit" || strings.HasPrefix(said, "soffit,") {
		return "the " + said
	}
	return said
}

// rodWords says how many rods of which length are cut.
func rodWords(x *setout.Support) string {
	switch {
	case x.With != "":
		return "see " + words.Clean(x.With)
	case len(x.Each) == 0:
		return ""
	case len(x.Each) == 1:
		return pieceWords(&x.Each[0])
	case slices.Equal(x.Each[0].Pieces, x.Each[1].Pieces):
		return strconv.Itoa(x.Rods) + " x " + pieceWords(&x.Each[0])
	}
	return pieceWords(&x.Each[0]) + " " + way(x.Each[0].Beside) + ", " + pieceWords(&x.Each[1]) + " " + way(x.Each[1].Beside)
}

// pieceWords says how long a rod is cut, joined of what: 3595 (3000 + 595).
func pieceWords(r *support.RodCut) string {
	if len(r.Pieces) < 2 {
		return words.Up(r.Cut)
	}
	return words.Up(r.Cut) + " (" + cutWords(r.Pieces) + ")"
}

// way names the side on which a rod is: that of the four which it lies nearest to.
func way(d r2.Point) string {
	switch {
	case math.Abs(d.Y) >= math.Abs(d.X) && d.Y > 0:
		return "north"
	case math.Abs(d.Y) >= math.Abs(d.X):
		return "south"
	case d.X > 0:
		return "east"
	}
	return "west"
}

// hungFrom says what a support hangs from: of a soffit that alone, for its bay is where the support stands; but where two rods hang
// from two things, each by its name.
func hungFrom(x *setout.Support) string {
	if len(x.Each) == 2 && x.Each[0].Of != x.Each[1].Of && math.Abs(x.Each[0].From-x.Each[1].From) > 0.05 {
		return words.Clean(x.Each[0].Of + " " + way(x.Each[0].Beside) + ", " + x.Each[1].Of + " " + way(x.Each[1].Beside))
	}
	is, _ := void.Identity(x.Of)
	if len(x.Each) > 0 && !x.Each[0].Steel || is == void.OwnSoffit {
		return "soffit"
	}
	return words.Clean(x.Of)
}

// mostFrom says what all supports but a few hang from, and from what those do: "soffit, but 7 from SB-B"; "" where they
// are not so few that it is shorter than a column.
func mostFrom(u *setout.Supports) string {
	const few = 3
	count := map[string]int{}
	most := ""
	for i := range u.List {
		v := hungFrom(&u.List[i])
		if count[v]++; v != "" && count[v] > count[most] {
			most = v
		}
	}
	var but []string
	for i := range u.List {
		if v := hungFrom(&u.List[i]); v != "" && v != most {
			but = append(but, fmt.Sprintf("%d from %s", u.List[i].N, v))
		}
	}
	if most == "" || len(but) > few || count[most] < 2*len(but) {
		return ""
	}
	return most + ", but No " + strings.Join(but, ", ")
}

// stock is a cutting list with what it is of.
type stock struct {
	setout.CutList
	what, of, long string
}

// stocks returns the cutting lists of rods and channels.
func stocks(u *setout.Supports) []stock {
	var out []stock
	for _, r := range u.Rods {
		out = append(out, stock{r.CutList, "Rods " + r.Size, r.Size + " rod", ""})
	}
	if u.Channel > 0 {
		out = append(out, stock{u.Bars, "Channel", "channel", "they want a longer one"})
	}
	return out
}

// cutWords lists pieces: 5 of 545 + 520.
func cutWords(pieces []float64) string {
	var out []string
	for i := 0; i < len(pieces); {
		n := 1
		for i+n < len(pieces) && pieces[i+n] == pieces[i] {
			n++
		}
		w := words.Up(pieces[i])
		if n > 1 {
			w = strconv.Itoa(n) + " of " + w
		}
		out = append(out, w)
		i += n
	}
	return strings.Join(out, " + ")
}

// partRows lists the channel and the parts with how many of each.
func partRows(u *setout.Supports) [][]string {
	var rows [][]string
	if u.Channel > 0 {
		n, said := channels(u)
		rows = append(rows, []string{strconv.Itoa(n), "channel, " + metres(u.Channel) + " in all: " + said})
	}
	for _, c := range u.Parts {
		rows = append(rows, []string{strconv.Itoa(c.N), words.Clean(c.Part)})
	}
	return rows
}

// frameWords says what a run shares with others, and where the channels of its frames are.
func (s *Sheet) frameWords(u *setout.Supports) []string {
	var out []string
	for _, f := range u.Frames {
		with := strings.Join(f.Rows, ", ")
		if f.With != "" {
			out = append(out, words.Clean(fmt.Sprintf("On frame %s with %s: rods and channels are on the sheet of %s, the places as %s.", f.Name, with, f.With, s.standsAs())))
			continue
		}
		out = append(out, words.Clean(fmt.Sprintf("On frame %s with %s: the rods stand outside the widest tier; rods and the channels of all tiers are counted here, once.", f.Name, with)))
	}
	// Supports that are alike are told together.
	for i := 0; i < len(u.List); {
		n := i + 1
		for n < len(u.List) && s.tierWords(&u.List[n]) == s.tierWords(&u.List[i]) {
			n++
		}
		if x := &u.List[i]; len(x.Tiers) > 1 && x.With == "" {
			at := strconv.Itoa(x.N)
			if n-i > 1 {
				at += " to " + strconv.Itoa(u.List[n-1].N)
			}
			out = append(out, fmt.Sprintf("Channel tops of %s to datum: %s.", at, s.tierWords(x)))
		}
		i = n
	}
	return out
}

// standsAs says as what the run stands that has the rods of a frame.
func (s *Sheet) standsAs() string {
	if s.Answer != nil {
		for i := range s.Answer.Mates {
			if s.Answer.Mates[i].Moves() {
				return "on that, at the levels above"
			}
		}
	}
	return "that stands in the tables"
}

// tierWords lists the channels of a frame at a support, to the datum line.
func (s *Sheet) tierWords(x *setout.Support) string {
	var out []string
	for i := range x.Tiers {
		t := &x.Tiers[i]
		w := strings.TrimPrefix(s.datum(t.Top), "datum")
		if t.Own {
			w += " (this run)"
		}
		out = append(out, w)
	}
	return strings.Join(out, ", ")
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
	if r := asks(t); r != "" {
		w += ", " + r
	}
	return w
}

// asks says what a thing asks and by which rule; "" where it is only in the way.
func asks(t *setout.Thing) string {
	if len(t.Also) > 0 {
		var out []string
		for _, a := range t.Also {
			out = append(out, words.Up(a.MM)+" clear: "+words.Clean(a.Rule))
		}
		return strings.Join(out, "; ")
	}
	if t.Asked <= 0 {
		return ""
	}
	return words.Up(t.Asked) + " clear: " + words.Clean(t.Rule)
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
	return append(finding.Cautions(),
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

// big says a level with room round it; what it is of goes on a line of its own where the page is narrow.
func (p *page) big(datum, ffl, of string) {
	line := "   " + datum + "      " + ffl
	if words.Width(line)+6+words.Width(of) <= p.width {
		p.line(line + "      " + of)
		return
	}
	p.line(line)
	p.para("   ", "   ", of)
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
	w[n-1] = max(12, p.width-used)
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
	for _, l := range s.headline() {
		p.para("", "  ", l)
	}
	st := s.storey()
	what := fmt.Sprintf("%s, %s m", s.What(), strconv.FormatFloat(math.Round(r.Length/10)/100, 'f', 2, 64))
	if st.Name != "" {
		what += ", " + words.Storey(st.Name)
	}
	p.para("", "", what+". All figures in mm.")
	p.para("", "", fmt.Sprintf("From %s (the start) to %s. Positions along the run are from the start.", s.place(0), s.place(r.Length)))
	p.para("", "", fmt.Sprintf("Datum line FFL%s. FFL is %s to the project datum.", signed(st.Datum), signed(st.FFL)))
	if w := s.notSurveyed(); w != "" {
		p.para("", "  ", w)
	}
	for _, l := range s.joined() {
		p.para("", "", l)
	}
	if w := s.Tiers(); w != "" {
		p.para("", "", w)
	}
	if s.Fall != nil {
		s.fallText(p)
	} else {
		s.lineText(p)
	}
	for _, h := range s.around() {
		p.head(h.head)
		for _, l := range h.lines {
			p.para("", "  ", l)
		}
	}
	if s.Supports != nil {
		s.supportText(p)
	}
	if drill := s.drillPoints(); len(drill) > 0 {
		p.head(drillHead)
		var rows [][]string
		for _, d := range drill {
			rows = append(rows, []string{strconv.Itoa(d.no), d.at[0], d.at[1]})
		}
		p.table([]string{"No", "Rod", "Other rod"}, "0", rows)
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

// notSurveyed says over which bays of the run the soffit was not surveyed; "" where nothing was, or all were.
func (s *Sheet) notSurveyed() string {
	if !s.Project.HasSurvey() {
		return ""
	}
	var out []string
	read := words.SoffitsRead(s.Project)
	for _, v := range s.Run().Bays(s.Project) {
		if v.Bay >= 0 && !read[v.Bay] {
			out = append(out, s.bay(v.Bay))
		}
	}
	if len(out) == 0 {
		return ""
	}
	return "Soffit not surveyed, so it is as drawn: " + strings.Join(out, ", ") + "."
}

func (s *Sheet) lineText(p *page) {
	a := s.Answer
	switch {
	case a.Level != nil:
		p.head("Strike the line")
		p.line("")
		p.big(s.datum(*a.Level), s.ffl(*a.Level), s.face())
		p.line("")
		w := s.oneLevel()
		p.para("", "", strings.ToUpper(w[:1])+w[1:]+".")
		p.para("Clear from end to end at: ", "  ", s.bands(a.Band)+".")
	case a.Found:
		p.head("Strike the lines")
		p.para("", "", s.whySets())
		var rows [][]string
		for i, sec := range a.Line.Sections {
			rows = append(rows, []string{words.Near(sec.From), words.Near(sec.To), s.datum(sec.Level), s.ffl(sec.Level), s.face()})
			if i < len(a.Line.Steps) {
				x := a.Line.Steps[i]
				rows = append(rows, []string{words.Near(x.From), words.Near(x.To), setWords(&x), "", s.stepWords(x)})
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
		for _, w := range s.asked() {
			p.para("", "  ", w)
		}
		switch {
		case len(a.Gives) == 0:
			p.para("", "  ", noGive)
		default:
			p.para("", "  ", "What could move to make way, all else staying put; those with room to move first, then the smallest move:")
		}
		for i := range a.Gives {
			p.para("    ", "      ", giveWords(&a.Gives[i])+".")
		}
		if a.Cut {
			p.para("", "  ", cutShort)
		}
	}
	for _, t := range a.Unproved {
		p.para("NOT PROVED: ", "  ", s.unproved(&t))
	}
	if len(a.Limits) > 0 {
		p.head("What limits the line, bay by bay")
		s.limitText(p, a.Limits)
	}
}

const noGive = "No one thing, and no two, can make room by moving up or down: something has to go round or get smaller, or the run has to."

// cutShort says that not all was tried.
const cutShort = "There is too much there to try it all: something else may have to move less."

// giveWords says a move, or two.
func giveWords(g *setout.Give) string {
	var out []string
	for i := range g.Moves {
		out = append(out, moveWords(&g.Moves[i])+", "+meetWords(&g.Moves[i]))
	}
	return strings.Join(out, "; and ")
}

// moveWords says who moves which way.
func moveWords(m *setout.Move) string {
	who, way := words.Clean(m.Name), " up "
	if m.Run {
		who = "run " + who
	}
	if m.By < 0 {
		way = " down "
	}
	return who + way + words.Up(math.Abs(m.By))
}

// meetWords says what a move comes up against.
func meetWords(m *setout.Move) string {
	switch {
	case m.Ceiling:
		return "if the ceiling may come down"
	case len(m.Meets) == 0:
		return "where it finds room"
	}
	return "where it then meets " + few(m.Meets)
}

// few names up to three things.
func few(names []string) string {
	if n := len(names); n > 3 {
		return words.Clean(strings.Join(names[:3], ", ")) + " and " + words.Count(n-3, "other", "others")
	}
	return words.Clean(strings.Join(names, ", "))
}

// asked says which of the levels that were asked for stand in the way: each alone, or all together.
func (s *Sheet) asked() []string {
	var names []string
	together := false
	if s.Answer != nil {
		names, together = s.Answer.Asked, s.Answer.AskedTogether
	} else {
		names, together = s.Fall.Asked, s.Fall.AskedTogether
	}
	says := map[string]string{"min": "the least level", "max": "the most level", "start": "the level at the start", "end": "the level at the end"}
	var out, all, flags []string
	for _, n := range names {
		all, flags = append(all, says[n]), append(flags, "--"+n)
		out = append(out, "Without "+says[n]+" set by you (--"+n+") it can be done.")
	}
	if !together {
		return out
	}
	last := len(all) - 1
	return []string{"Without " + strings.Join(all[:last], ", ") + " and " + all[last] + " set by you (" + strings.Join(flags, ", ") + ") it can be done; to leave out one of them is not enough."}
}

// kept says which levels a thing keeps from the line of a row.
func (s *Sheet) kept(t *setout.Thing) string {
	lo, hi := t.Line+t.Lo, t.Line+t.Hi
	switch {
	case t.Zone >= 0 && t.Zone == t.Piece: // both ways from where it is fixed
		return "the line stays at " + s.ffl((lo+hi)/2)
	case math.IsInf(lo, -1):
		return "line no lower than " + s.ffl(hi)
	case math.IsInf(hi, 1):
		return "line no higher than " + s.ffl(lo)
	}
	return "no line between " + s.ffl(lo) + " and " + s.ffl(hi)
}

func exact(v float64) string { return strconv.FormatFloat(words.Tenth(v), 'f', -1, 64) }

func (s *Sheet) stepWords(x setout.Step) string {
	return fmt.Sprintf("%s long, starts at %s", words.Near(x.To-x.From), s.place(x.From)) + may(&x)
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
		rows = append(rows, []string{words.Clean(s.Project.Zone(c.Zone).ID), words.Near(c.From), words.Near(c.To), fallWords(f.Falls[k]), exact(f.Falls[k] * (c.To - c.From))})
	}
	p.table([]string{"Row", "From", "To", "Fall", "Drops"}, "12", rows)
	p.para("", "", fmt.Sprintf("Drops %s from end to end.", exact(f.Drop)))
	if f.Start != nil {
		p.head(s.startHead())
		p.line("")
		p.big(s.datum(*f.Start), s.ffl(*f.Start), s.face()+" at the higher end")
		p.big(s.datum(*f.Start-f.Drop), s.ffl(*f.Start-f.Drop), "at the lower end")
		p.line("")
		p.para("The higher end can be at: ", "  ", s.bands(f.Band)+".")
		p.para("", "", "In the tables it is at "+s.ffl(f.Now)+".")
		p.head("What limits the start, bay by bay")
		s.limitText(p, f.Limits)
	} else if f.Out != nil {
		p.head("It runs out of depth")
		p.para("", "  ", s.outWords())
	} else {
		p.head("It does not fit")
		p.para("", "  ", s.noFit())
	}
	p.head("Falls against what is usual")
	for _, n := range s.fallNotes() {
		p.para("", "  ", words.Clean(n))
	}
}

// asSetOut says where supports are that a project has set out.
const asSetOut = "They are where supports.csv has them; without its rows of this run they are placed anew."

func (s *Sheet) supportText(p *page) {
	u := s.Supports
	p.head("Supports")
	name := "No hanger given: positions only"
	if len(u.Hangers) > 0 {
		name = hangerNames(u)
	}
	p.para("", "", fmt.Sprintf("%s; at most %s apart, the first within %s of an end, a corner or a set (common practice, no source).", name,
		words.Near(u.Hanging.Spacing), words.Near(u.Hanging.First)))
	if u.Set {
		p.para("", "  ", asSetOut)
	}
	cols, once := s.columns(u)
	head, right := []string{"No", "From start"}, "01"
	for i, c := range cols {
		head = append(head, c.head)
		if c.figures {
			right += strconv.Itoa(i + 2)
		}
	}
	var rows [][]string
	for i := range u.List {
		x := &u.List[i]
		row := []string{strconv.Itoa(x.N), words.Near(x.At)}
		for _, c := range cols {
			row = append(row, c.cell(x))
		}
		note := s.place(x.At)
		if math.Abs(x.Moved) >= 0.5 {
			note += fmt.Sprintf("; moved %s to be clear", words.Up(math.Abs(x.Moved)))
		}
		rows = append(rows, append(row, note))
	}
	if len(once) > 0 {
		p.para("", "  ", "All: "+strings.Join(once, "; ")+".")
	}
	p.table(append(head, "Position"), right, rows)
	for _, f := range s.frameWords(u) {
		p.para("", "  ", f)
	}
	for i := range u.Gaps {
		p.para("NOT SUPPORTED: ", "  ", s.gapWords(&u.Gaps[i]))
	}
	for i := range u.Stuck {
		p.para("NOT SUPPORTED: ", "  ", s.stuckWords(&u.Stuck[i]))
	}
	for _, l := range rodNotes(u) {
		p.para("", "  ", l)
	}
	stockText(p, u)
}

// hangerNames says what a run hangs on, and which of its rows say nothing of that.
func hangerNames(u *setout.Supports) string {
	name := strings.Join(u.Hangers, ", then ")
	if n := len(u.Bare); n > 0 {
		rows := strings.Join(u.Bare[:min(n, 3)], ", ")
		if n > 3 {
			rows += fmt.Sprintf(" and %d more", n-3)
		}
		name += " (none given in " + rows + ": positions only)"
	}
	return words.Clean(name)
}

// stockText lists what rods and channels are cut from, and the parts.
func stockText(p *page, u *setout.Supports) {
	for _, x := range stocks(u) {
		p.head(x.what + " from stock")
		var rows [][]string
		for _, c := range x.Cuts {
			rows = append(rows, []string{strconv.Itoa(c.Times) + " x", words.Near(c.Stock), words.Down(c.Left), cutWords(c.Pieces)})
		}
		if len(rows) > 0 {
			p.table([]string{"", "Stock", "Remaining", "Cut from each"}, "012", rows)
			how := "the least that will do"
			if !x.Exact {
				how = "no cutting takes less than " + metres(x.Bound)
			}
			p.para("", "  ", fmt.Sprintf("%s of %s: %s.", metres(x.Total), x.of, how))
		}
		if len(x.Long) > 0 {
			p.para("", "  ", words.Count(len(x.Long), "piece is", "pieces are")+" longer than the stock: "+x.long+".")
		}
	}
	if rows := partRows(u); len(rows) > 0 {
		p.head("Parts")
		p.table([]string{"Qty", "Part"}, "0", rows)
	}
}

// drillHead heads where rods are drilled.
const drillHead = "Drill points of the rods"

// noSupports says that an order has none.
const noSupports = "No supports: no length names a hanger."

// supportsCounted says how many supports an order has.
func supportsCounted(o *setout.Order) string {
	return words.Count(o.Counted(), "support", "supports") + "; those of a frame that several share are counted once."
}

// OrderText prints one order for several lengths.
func OrderText(w io.Writer, o *setout.Order, width int) error {
	p := newPage(w, width)
	p.line("")
	p.head("One order for all of them")
	if o.Supports == nil {
		p.para("", "", noSupports)
	} else {
		p.para("", "", supportsCounted(o))
		stockText(p, o.Supports)
	}
	if len(o.Fittings) > 0 {
		p.head("Fittings")
		var rows [][]string
		for _, f := range o.Fittings {
			rows = append(rows, []string{strconv.Itoa(f.N), words.Clean(f.Part)})
		}
		p.table([]string{"Qty", "Fitting"}, "0", rows)
	}
	if len(o.Between) > 0 {
		p.head(apartHead)
		for i := range o.Between {
			p.para("", "  ", betweenWords(&o.Between[i])+".")
		}
		p.para("", "", apartWords)
	}
	return p.w.Flush()
}

// channels counts the channels and lists them by length.
func channels(u *setout.Supports) (int, string) {
	n := map[float64]int{}
	var order []float64
	for _, l := range u.Channels {
		if n[l] == 0 {
			order = append(order, l)
		}
		n[l]++
	}
	var out []string
	for _, l := range order {
		out = append(out, fmt.Sprintf("%d of %s", n[l], words.Up(l)))
	}
	return len(u.Channels), strings.Join(out, ", ")
}

func metres(mm float64) string { return strconv.FormatFloat(math.Ceil(mm/10)/100, 'f', 2, 64) + " m" }

func newPage(w io.Writer, width int) *page { return &page{bufio.NewWriter(w), max(width, 60)} }

// rodNotes says what is done to the rods, and how they are joined.
func rodNotes(u *setout.Supports) (out []string) {
	if len(u.Rods) == 0 {
		return out
	}
	out = append(out, trimWords(u))
	n := 0
	for i := range u.List {
		for k := range u.List[i].Each {
			if len(u.List[i].Each[k].Pieces) > 1 && u.List[i].With == "" {
				n++
			}
		}
	}
	if n > 0 {
		out = append(out, words.Count(n, "rod is", "rods are")+" longer than the stock: joined with couplers, the pieces listed from the top. The ends meet in the middle of a coupler; keep it clear of channels and nuts.")
	}
	return out
}

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
