// Package floor says in words, as a table and as a record how one line for a floor comes out. It measures nothing.
package floor

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"voidline/clash/finding"
	"voidline/clash/setout"
	"voidline/reports/words"
	"voidline/void"
)

// Sheet is the line of a floor, or more than one.
type Sheet struct {
	Project *void.Project
	Floor   *setout.Floor
	Most    int // places that the words list, the first; 0 stands for 40

	parts map[*setout.OnLine]string
}

// part says which length of its run one is, as setout numbers them: "2 of 4"; "" where no other of that run is struck.
func (s *Sheet) part(o *setout.OnLine) string {
	if s.parts == nil {
		s.parts = map[*setout.OnLine]string{}
		by := map[string][]*setout.OnLine{}
		for _, o := range s.Floor.Runs {
			by[o.Run.Name] = append(by[o.Run.Name], o)
		}
		for name, os := range by {
			if len(os) < 2 {
				continue
			}
			all, err := setout.Assemble(s.Project, name, o.Run.Face)
			if err != nil {
				continue
			}
			for _, o := range os {
				k := slices.IndexFunc(all, func(r setout.Run) bool {
					return slices.ContainsFunc(r.Pieces, func(pc setout.Piece) bool { return pc.Zone == o.Run.Pieces[0].Zone })
				})
				if k >= 0 {
					s.parts[o] = strconv.Itoa(k+1) + " of " + strconv.Itoa(len(all))
				}
			}
		}
	}
	return s.parts[o]
}

// name names a length: its run and, where that is struck in several, which of them it is.
func (s *Sheet) name(o *setout.OnLine) string {
	if part := s.part(o); part != "" {
		return words.Name(o.Run.Name) + " length " + part
	}
	return words.Name(o.Run.Name)
}

func (s *Sheet) storey() *void.Storey { return &s.Project.Storeys[s.Floor.Storey] }

func signed(v float64) string {
	t := strconv.FormatFloat(words.Tenth(v), 'f', -1, 64)
	if v >= 0 && t[0] != '-' {
		t = "+" + t
	}
	return t
}

func (s *Sheet) ffl(z float64) string   { return "FFL" + signed(z-s.storey().FFL) }
func (s *Sheet) datum(z float64) string { return "datum" + signed(z-s.storey().FFL-s.storey().Datum) }

func metres(mm float64) string { return strconv.FormatFloat(math.Round(mm/100)/10, 'f', -1, 64) + " m" }

// Words says the sheet: what to strike, where it does not work and what that takes, what other levels would cost, what the ceilings leave, what is
// left out.
func (s *Sheet) Words() words.Answer {
	f := s.Floor
	a := words.Answer{Title: "voidline line: " + words.Clean(s.Project.Name) + storeyName(s.storey().Name)}
	add := func(title, aside string, parts ...words.Part) {
		a.Sections = append(a.Sections, words.Section{Level: 1, Title: title, Aside: aside, Parts: parts})
	}
	var strike words.List
	strike = append(strike, s.strike()...)
	add("Strike", "", strike)
	if f.Two != nil {
		add("Two lines", "", s.two()...)
	}
	if len(f.Places) > 0 {
		add("Where it does not work, mm", strconv.Itoa(len(f.Places)), s.places())
	}
	add("What other levels would cost", "", s.curve())
	if len(f.Heights) > 0 {
		add("What the line leaves over the ceilings, mm", "", s.heights())
	}
	if t, ok := s.tiers(); ok {
		add("Lengths on upper tiers, mm", "", t)
	}
	if len(f.LeftOut) > 0 {
		add("Left out", strconv.Itoa(len(f.LeftOut)), s.leftOut())
	}
	var cautions words.List
	for _, c := range finding.Cautions() {
		cautions = append(cautions, c)
	}
	add("Before you rely on this", "", cautions)
	return a
}

// strike says what to strike, and what goes with it.
func (s *Sheet) strike() []string {
	f := s.Floor
	strike := []string{
		"Strike " + s.datum(f.Level) + " (" + s.ffl(f.Level) + "): " + words.Clean(f.Of),
		"Clear on the line: " + metres(f.Clear) + " of " + metres(f.All) + ", in " + words.Count(len(f.Runs), "length", "lengths") + "; it " + works(len(f.Places)),
	}
	if k := f.Kept(); k < f.Clear-100 {
		strike[1] += ". Laid with the sets that pass them, " + metres(k) + " stay on it"
	}
	if f.LowestOf >= 0 {
		strike = append(strike, "Lowest part of all that hangs: "+s.datum(f.Lowest)+" ("+s.ffl(f.Lowest)+"), at "+words.Name(s.Project.Zone(f.LowestOf).ID))
	}
	if f.BottomIn >= 0 {
		low, bay := s.datum(f.Bottom)+" ("+s.ffl(f.Bottom)+")", words.Name(s.Project.Bays[f.BottomIn].Label)
		if f.Bottom <= f.Lowest+void.Hair {
			strike = append(strike, "Nothing may come below "+low+": the highest ceiling, bay "+bay+", with the gap needed over it")
		} else {
			strike = append(strike, "The highest ceiling, bay "+bay+", comes up to "+low+" with the gap needed over it: higher than that lowest part")
		}
	}
	var tiers []string
	for _, o := range f.Runs {
		if o.Offset > void.Hair {
			tiers = append(tiers, o.Run.Name+" "+words.Near(o.Offset)+" above the line")
		}
	}
	if len(tiers) > 0 {
		strike = append(strike, "On upper tiers: "+few(tiers))
	}
	if t := f.Two; t != nil && len(t.Lines) == 2 {
		strike = append(strike, "Or two lines: "+s.datum(t.Lines[0].Level)+" in "+words.Count(len(t.Lines[0].Bays), "bay", "bays")+" and "+s.datum(t.Lines[1].Level)+" in "+
			words.Count(len(t.Lines[1].Bays), "bay", "bays")+", with "+words.Count(t.Places, "place", "places"))
	}
	return strike
}

func storeyName(name string) string {
	if name == "" {
		return ""
	}
	return ", " + words.Storey(name)
}

// works says in how many places a line does not work.
func works(places int) string {
	if places == 0 {
		return "works everywhere"
	}
	return "does not work in " + words.Count(places, "place", "places")
}

// most returns how many places the words list.
func (s *Sheet) most() int {
	if s.Most == 0 {
		return 40
	}
	return s.Most
}

// two says what a second line gains.
func (s *Sheet) two() []words.Part {
	t := s.Floor.Two
	if len(t.Lines) < 2 {
		return []words.Part{words.Para("A second line gains nothing.")}
	}
	out := words.Table{Columns: []words.Column{{Head: "Strike"}, {Head: "FFL", Right: true}, {Head: "For ceilings with their top at"}, {Head: "Bays"}, {Head: "Places", Right: true}, {Head: "Clear on it", Right: true}}}
	for i := range t.Lines {
		l := &t.Lines[i]
		var tops, bays []string
		for _, z := range l.Tops {
			if math.IsInf(z, -1) {
				tops = append(tops, "no ceiling")
				continue
			}
			tops = append(tops, s.ffl(z))
		}
		for _, j := range l.Bays {
			bays = append(bays, s.Project.Bays[j].Label)
		}
		out.Rows = append(out.Rows, []string{s.datum(l.Level), s.ffl(l.Level), strings.Join(tops, ", "), few(bays), strconv.Itoa(l.Places), metres(l.Clear) + " of " + metres(l.All)})
	}
	said := "Two lines: " + words.Count(t.Places, "place", "places") + ", " + strconv.Itoa(t.Changes) + " of them where a run changes by a set from one line to the other; " +
		metres(t.Clear) + " clear on a line. One line: " + words.Count(len(s.Floor.Places), "place", "places") + "; " + metres(s.Floor.Clear) + " clear on it. " + s.gain() +
		" Whether there is room for the sets is worked out for one line only."
	return []words.Part{words.Para(said), out}
}

// gain says what the second line gains, and what it costs.
func (s *Sheet) gain() string {
	t := s.Floor.Two
	var gains, costs []string
	add := func(v float64, said func(v float64) string) {
		switch {
		case v > 0:
			gains = append(gains, said(v))
		case v < 0:
			costs = append(costs, said(-v))
		}
	}
	add(float64(len(s.Floor.Places)-t.Places), func(v float64) string { return words.Count(int(v), "place", "places") + " fewer" })
	add(math.Round((t.Clear-s.Floor.Clear)/100), func(v float64) string { return metres(v * 100) })
	out := "The second line gains " + strings.Join(gains, " and ")
	if len(gains) == 0 {
		out = "The second line gains nothing in places or in length: with one, a length has nothing on it"
	}
	if len(costs) > 0 {
		out += ", and costs " + strings.Join(costs, " and ") + " on the line"
	}
	return out + "."
}

func (s *Sheet) places() words.Part {
	var out words.List
	for i := range s.Floor.Places {
		if i == s.most() {
			out = append(out, s.more(i))
			break
		}
		pl := &s.Floor.Places[i]
		at := words.Clean(pl.Where[0])
		if pl.Where[1] != pl.Where[0] {
			at += " to " + words.Clean(pl.Where[1])
		}
		out = append(out, strconv.Itoa(i+1)+". "+s.stands(pl)+". From "+at+". "+s.takes(i))
	}
	return out
}

// more says how many places there are beside the first, and what has them.
func (s *Sheet) more(shown int) string {
	return "and " + words.Count(len(s.Floor.Places)-shown, "more place", "more places") + ": voidline line DIR --format csv lists them all"
}

// stands says of one place what, from where to where, what is in the way and how far off a clear level is.
func (s *Sheet) stands(pl *setout.Place) string {
	out := s.name(pl.Run) + ", " + words.Near(pl.From) + " to " + words.Near(pl.To) + " from its start: "
	switch {
	case pl.Crosses != "":
		out += words.Name(pl.Crosses) + " crosses and stays on the line"
	case len(pl.By) == 1:
		out += words.Name(pl.By[0]) + " is in the way"
	default:
		out += few(pl.By) + " are in the way"
	}
	var ways []string
	if !math.IsInf(pl.Down, 1) {
		ways = append(ways, words.Up(pl.Down)+" down")
	}
	if !math.IsInf(pl.Up, 1) {
		ways = append(ways, words.Up(pl.Up)+" up")
	}
	switch {
	case len(ways) > 0:
		out += "; clear " + strings.Join(ways, " or ")
	case math.IsInf(pl.Lack, 1):
		out += "; no level is clear there"
	default:
		out += "; no level is clear there, " + words.Up(pl.Lack) + " short"
	}
	return out
}

// takes says what the place of an index takes.
func (s *Sheet) takes(i int) string {
	pl := &s.Floor.Places[i]
	if len(pl.Laid) > 0 {
		for k := range s.Floor.Places[:i] {
			if o := &s.Floor.Places[k]; o.Run == pl.Run && slices.Equal(o.Laid, pl.Laid) {
				return "Passed by the sets of place " + strconv.Itoa(k+1) + "."
			}
		}
		var laid, sets []string
		for _, l := range pl.Laid {
			laid = append(laid, s.datum(l.Level)+" from "+words.Near(l.From)+" to "+words.Near(l.To))
		}
		for i := range pl.Sets {
			x := &pl.Sets[i]
			sets = append(sets, clashWay(x.Rise)+" "+words.Up(math.Abs(x.Rise))+" from "+words.Near(x.From)+" to "+words.Near(x.To))
		}
		out := "Lay it at " + strings.Join(laid, ", then ")
		if len(sets) > 0 {
			out += "; " + words.Count(len(sets), "set", "sets") + ": " + strings.Join(sets, ", ")
		}
		if !slices.ContainsFunc(s.Floor.Stretches(pl.Run), func(v setout.Stretch) bool { return v.Is == setout.OnIt }) {
			out += "; it is nowhere on the line"
		}
		return out + "."
	}
	if pl.Run.Answer != nil && pl.Run.Answer.Found {
		return "Passed by the sets of the places beside it."
	}
	out := "No set gets " + s.name(pl.Run) + " past it"
	if n := s.placesOf(pl.Run); n > 1 {
		out = "No sets get " + s.name(pl.Run) + " past all its " + strconv.Itoa(n) + " places"
		if n == 2 {
			out = "No sets get " + s.name(pl.Run) + " past both its places"
		}
	}
	if len(pl.Gives) == 0 {
		return out + ", and no move of what is near makes room."
	}
	var parts []string
	for _, m := range pl.Gives[0].Moves {
		part := words.Name(m.Name) + " " + clashWay(m.By) + " " + words.Up(math.Abs(m.By))
		if len(m.Meets) > 0 {
			part += " (it then meets " + few(m.Meets) + ")"
		}
		parts = append(parts, part)
	}
	return out + ". To make room, move " + strings.Join(parts, " and ") + "."
}

// placesOf counts the places of a length.
func (s *Sheet) placesOf(o *setout.OnLine) (n int) {
	for i := range s.Floor.Places {
		if s.Floor.Places[i].Run == o {
			n++
		}
	}
	return n
}

func clashWay(by float64) string {
	if by < 0 {
		return "down"
	}
	return "up"
}

func few(names []string) string {
	const most = 3
	var out []string
	for i, n := range names {
		if i == most {
			return strings.Join(out, ", ") + " and " + strconv.Itoa(len(names)-i) + " more"
		}
		out = append(out, words.Name(n))
	}
	return strings.Join(out, ", ")
}

// curveTold is how many levels on each side of the one to strike are told, 5 apart.
const curveTold = 6

func (s *Sheet) curve() words.Part {
	f := s.Floor
	t := words.Table{Columns: []words.Column{{Head: "Level"}, {Head: "FFL", Right: true}, {Head: "Places", Right: true}, {Head: "Sets", Right: true}, {Head: "Lengths wholly off it", Right: true}, {Head: "Clear on it", Right: true}, {Head: ""}}}
	near := f.CurveAt()
	for i := max(0, near-curveTold); i < len(f.Curve) && i <= near+curveTold; i++ {
		c := f.Curve[i]
		if c.Laid != nil && c.Laid.Blocked > 0 {
			t.Columns[3].Head = "Sets (no way past)"
		}
		mark := ""
		if math.Abs(c.Level-f.Level) < 0.05 {
			mark = "strike"
		}
		t.Rows = append(t.Rows, []string{s.datum(c.Level), s.ffl(c.Level), strconv.Itoa(c.Places), setsTaken(c.Laid), strconv.Itoa(c.Never), metres(c.Clear), mark})
	}
	return t
}

// setsTaken says how many sets a level takes, and in brackets for how many lengths there is no way past their places; "" where that was not worked out.
func setsTaken(t *setout.Taken) string {
	switch {
	case t == nil:
		return ""
	case t.Blocked > 0:
		return strconv.Itoa(t.Sets) + " (" + strconv.Itoa(t.Blocked) + ")"
	}
	return strconv.Itoa(t.Sets)
}

func (s *Sheet) heights() words.Part {
	t := words.Table{Columns: []words.Column{{Head: "Top of ceiling"}, {Head: "Bays", Right: true}, {Head: "Hanger"}, {Head: "Takes", Right: true}, {Head: "Gap needed", Right: true}, {Head: "Remaining", Right: true}}}
	for i := range s.Floor.Heights {
		h := &s.Floor.Heights[i]
		for _, g := range h.Hangers {
			name := words.Name(g.Hanger)
			if g.Hanger == "" {
				name = "nothing hung under"
			}
			left := words.Down(g.Left)
			if g.Left < -0.05 {
				left = words.Up(-g.Left) + " short"
			}
			t.Rows = append(t.Rows, []string{s.ffl(h.Top), strconv.Itoa(len(h.Bays)), name, words.Near(g.Under), words.Near(h.Asked), left})
		}
	}
	return t
}

func (s *Sheet) tiers() (words.Part, bool) {
	t := words.Table{Columns: []words.Column{{Head: "Length"}, {Head: "Over the line", Right: true}, {Head: "Level"}}}
	for _, o := range s.Floor.Runs {
		if o.Offset > void.Hair {
			t.Rows = append(t.Rows, []string{words.Name(o.Run.Name), words.Near(o.Offset), s.datum(s.Floor.Level + o.Offset)})
		}
	}
	return t, len(t.Rows) > 0
}

func (s *Sheet) leftOut() words.Part {
	var out words.List
	why := map[string][]string{}
	var order []string
	for _, l := range s.Floor.LeftOut {
		if why[l.Why] == nil {
			order = append(order, l.Why)
		}
		why[l.Why] = append(why[l.Why], l.Zone)
	}
	for _, w := range order {
		out = append(out, few(why[w])+": "+w)
	}
	return out
}

// Table is the places as a table, for a workbook.
func (s *Sheet) Table() words.Table {
	t := words.Table{}
	for _, h := range []string{"place", "run", "length", "from", "to", "at", "to where", "in the way", "crosses", "up", "down", "takes"} {
		t.Columns = append(t.Columns, words.Column{Head: h})
	}
	for i := range s.Floor.Places {
		pl := &s.Floor.Places[i]
		t.Rows = append(t.Rows, []string{
			strconv.Itoa(i + 1), pl.Run.Run.Name, s.part(pl.Run), words.Near(pl.From), words.Near(pl.To), pl.Where[0], pl.Where[1], strings.Join(pl.By, "; "), pl.Crosses,
			finite(pl.Up), finite(pl.Down), s.takes(i),
		})
	}
	return t
}

func finite(v float64) string {
	if math.IsInf(v, 0) {
		return ""
	}
	return words.Up(v)
}

// The record. Lengths are mm; levels are said from FFL of the storey, those of strike and lowest from the datum too.
type record struct {
	Voidline string    `json:"voidline"`
	Project  string    `json:"project"`
	Storey   string    `json:"storey"`
	Strike   level     `json:"strike"`
	Lowest   level     `json:"lowest"`
	Bottom   *bottom   `json:"bottom"`
	Length   length    `json:"length"`
	Places   []place   `json:"places"`
	Curve    []curve   `json:"curve"`
	Hangers  []hanger  `json:"hangers"`
	Tiers    []tier    `json:"tiers"`
	LeftOut  []leftOut `json:"left_out"`
	Two      *two      `json:"two,omitempty"` // where two lines are asked for
	Cautions []string  `json:"cautions"`
}

type level struct {
	FFL   float64 `json:"ffl"`
	Datum float64 `json:"datum"`
	Of    string  `json:"of"`
}

type bottom struct {
	FFL   float64 `json:"ffl"`
	Datum float64 `json:"datum"`
	Bay   string  `json:"bay"`
}

type length struct {
	All   float64 `json:"all"`
	Clear float64 `json:"clear"`
}

type place struct {
	Run     string   `json:"run"`
	Part    string   `json:"part,omitempty"` // which of its lengths, "2 of 4"
	From    float64  `json:"from"`
	To      float64  `json:"to"`
	At      []string `json:"at"`
	By      []string `json:"by"`
	Crosses string   `json:"crosses,omitempty"`
	Short   *float64 `json:"short"` // to the nearest clear level; null where there is none
	Up      *float64 `json:"up"`
	Down    *float64 `json:"down"`
	Laid    []laid   `json:"laid"` // where it lies instead
	Set     []set    `json:"set"`
	Gives   []gives  `json:"gives"`
}

type laid struct {
	From  float64 `json:"from"`
	To    float64 `json:"to"`
	FFL   float64 `json:"ffl"`
	Datum float64 `json:"datum"`
}

type set struct {
	From float64 `json:"from"`
	To   float64 `json:"to"`
	Rise float64 `json:"rise"`
}

type gives struct {
	Who   string   `json:"who"`
	By    float64  `json:"by"`
	Meets []string `json:"meets"`
}

type curve struct {
	Level  float64 `json:"level"`
	Datum  float64 `json:"datum"`
	Clear  float64 `json:"clear"`
	Places int     `json:"places"`
	Never  int     `json:"never"` // lengths that have nothing on the line
	Laid   *taken  `json:"laid"`  // null where that was not worked out
}

type taken struct {
	Blocked int     `json:"blocked"` // lengths that no sets get past their places
	Sets    int     `json:"sets"`
	Kept    float64 `json:"kept"` // length that stays on the line, of those that are laid
}

type hanger struct {
	Ceiling float64  `json:"ceiling"` // top of the build-up
	Bays    []string `json:"bays"`
	Hanger  string   `json:"hanger"`
	Takes   float64  `json:"takes"`
	Needed  float64  `json:"needed"`
	Left    float64  `json:"left"`
}

type two struct {
	Lines   []lineOf `json:"lines"`
	Changes int      `json:"changes"` // places where a run goes from one line to the other
	Places  int      `json:"places"`
	Clear   float64  `json:"clear"`
	Groups  int      `json:"groups"` // of bays that were told apart
	Gain    gain     `json:"gain"`   // over one line
}

type gain struct {
	Places int     `json:"places"` // how many fewer
	Clear  float64 `json:"clear"`  // how much more length is clear
}

type lineOf struct {
	FFL    float64   `json:"ffl"`
	Datum  float64   `json:"datum"`
	Tops   []float64 `json:"tops"` // of build-ups, from FFL; those without a ceiling are left out
	Bays   []string  `json:"bays"`
	All    float64   `json:"all"`
	Clear  float64   `json:"clear"`
	Places int       `json:"places"`
}

type tier struct {
	Run  string  `json:"run"`
	Over float64 `json:"over"`
}

type leftOut struct {
	Zone string `json:"zone"`
	Why  string `json:"why"`
}

func tenth(v float64) float64 { return math.Round(v*10)/10 + 0 }

func tenthOrNull(v float64) *float64 {
	if math.IsInf(v, 0) || math.IsNaN(v) {
		return nil
	}
	v = math.Ceil(v*10-0.01) / 10
	return &v
}

// JSON writes the sheet as a record; its schema is in clash/schema.
func (s *Sheet) JSON(w io.Writer) error {
	f, st := s.Floor, s.storey()
	at := func(z float64, of string) level { return level{tenth(z - st.FFL), tenth(z - st.FFL - st.Datum), of} }
	r := record{
		Voidline: finding.Version, Project: s.Project.Name, Storey: st.Name, Strike: at(f.Level, f.Of),
		Length: length{tenth(f.All), tenth(f.Clear)}, Places: []place{}, Curve: []curve{}, Hangers: []hanger{}, Tiers: []tier{}, LeftOut: []leftOut{},
		Cautions: finding.Cautions(),
	}
	if f.LowestOf >= 0 {
		r.Lowest = at(f.Lowest, s.Project.Zone(f.LowestOf).ID)
	}
	if f.BottomIn >= 0 {
		b := at(f.Bottom, "")
		r.Bottom = &bottom{b.FFL, b.Datum, s.Project.Bays[f.BottomIn].Label}
	}
	for i := range f.Places {
		pl := &f.Places[i]
		x := place{
			Run: pl.Run.Run.Name, Part: s.part(pl.Run), From: tenth(pl.From), To: tenth(pl.To), At: pl.Where[:], By: append([]string{}, pl.By...), Crosses: pl.Crosses,
			Short: tenthOrNull(pl.Short()), Up: tenthOrNull(pl.Up), Down: tenthOrNull(pl.Down), Laid: []laid{}, Set: []set{}, Gives: []gives{},
		}
		for _, l := range pl.Laid {
			z := at(l.Level, "")
			x.Laid = append(x.Laid, laid{tenth(l.From), tenth(l.To), z.FFL, z.Datum})
		}
		for _, st := range pl.Sets {
			x.Set = append(x.Set, set{tenth(st.From), tenth(st.To), tenth(st.Rise)})
		}
		if len(pl.Gives) > 0 {
			for _, m := range pl.Gives[0].Moves {
				x.Gives = append(x.Gives, gives{m.Name, tenth(m.By), append([]string{}, m.Meets...)})
			}
		}
		r.Places = append(r.Places, x)
	}
	for _, c := range f.Curve {
		l := at(c.Level, "")
		x := curve{l.FFL, l.Datum, tenth(c.Clear), c.Places, c.Never, nil}
		if c.Laid != nil {
			x.Laid = &taken{c.Laid.Blocked, c.Laid.Sets, tenth(c.Laid.Kept)}
		}
		r.Curve = append(r.Curve, x)
	}
	for i := range f.Heights {
		h := &f.Heights[i]
		var bays []string
		for _, j := range h.Bays {
			bays = append(bays, s.Project.Bays[j].Label)
		}
		for _, g := range h.Hangers {
			r.Hangers = append(r.Hangers, hanger{tenth(h.Top - st.FFL), bays, g.Hanger, tenth(g.Under), tenth(h.Asked), tenth(g.Left)})
		}
	}
	for _, o := range f.Runs {
		if o.Offset > void.Hair {
			r.Tiers = append(r.Tiers, tier{o.Run.Name, tenth(o.Offset)})
		}
	}
	if t := f.Two; t != nil {
		r.Two = &two{[]lineOf{}, t.Changes, t.Places, tenth(t.Clear), t.Groups, gain{len(f.Places) - t.Places, tenth(t.Clear - f.Clear)}}
		for i := range t.Lines {
			l := &t.Lines[i]
			z := at(l.Level, "")
			x := lineOf{z.FFL, z.Datum, []float64{}, []string{}, tenth(l.All), tenth(l.Clear), l.Places}
			for _, top := range l.Tops {
				if !math.IsInf(top, 0) {
					x.Tops = append(x.Tops, tenth(top-st.FFL))
				}
			}
			for _, j := range l.Bays {
				x.Bays = append(x.Bays, s.Project.Bays[j].Label)
			}
			r.Two.Lines = append(r.Two.Lines, x)
		}
	}
	for _, l := range f.LeftOut {
		r.LeftOut = append(r.LeftOut, leftOut{l.Zone, l.Why})
	}
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	if err := e.Encode(r); err != nil {
		return fmt.Errorf("line as JSON: %w", err)
	}
	return nil
}
