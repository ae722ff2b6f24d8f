package setout

import (
	"cmp"
	"math"
	"slices"

	"github.com/golang/geo/r1"

	"voidline/clash"
	"voidline/clash/support"
	"voidline/void"
)

// Answer is how one run is set out. Levels are above the project datum, stations mm along the run from its start.
type Answer struct {
	Run           *Run
	Band          []r1.Interval // levels at which the whole run is clear, ascending; empty: there is none
	Level         *float64      // the one level to strike, nil where the run steps or falls or cannot be done
	Line          Line          // sections and steps; one section where Level is given
	Found         bool          // Line gets through
	Limits        []Limit       // what limits it, bay by bay, in the order of the run
	Blocks        []Block       // why it cannot be done; empty where it can
	Gives         []Give        // what would have to give for it to be done: what finds room before what does not, the least first
	Cut           bool          // there was too much to try all that might give
	Asked         []string      // levels that were asked for (min, max, start, end) without any one of which it can be done
	AskedTogether bool          // it can be done without all of them, and not without one
	Things        []Thing
	// Left over when the pieces of the line are measured again, each where it will stand; empty where nothing is.
	Unproved []Thing
	// Shared: the level is one for all lengths that the run comes in (OneLevel).
	Shared bool
	Drawn  float64 // the level at which the tables have the most of the run

	Mates []Mate // the other runs of its frames, from the lowest

	// square: it is struck from the line of a floor, which is what is preferred: its sets leave the line late and come back early. They keep
	// clear of the squares in the field, and it is not asked how far into them they may be moved.
	square bool

	lifts map[int32]float64 // by zone of those: how much higher than in the tables they are taken to be, mm
	field Field
}

// Limit is what holds a run in one bay.
type Limit struct {
	Bay       int // -1 outside every bay
	From, To  float64
	Line      float64 // the lowest line in the bay, where one was found
	High, Low float64 // highest and lowest line there with the rest as it is; infinite where nothing limits
	Above     *Thing  // what limits it above
	Below     *Thing  // and below
}

// Block is a stretch through which there is no way.
type Block struct {
	From, To float64
	Shut     bool    // no level at all is free there; else there are levels, but no room to get from one to the other
	Things   []Thing // what stands there, from below up
}

// Give is what would have to give for the run to be done, the rest as it is: one move that is enough, or two that are
// enough together.
type Give struct{ Moves []Move }

// sum returns how far all of it moves, mm.
func (g *Give) sum() float64 {
	sum := 0.0
	for _, m := range g.Moves {
		sum += math.Abs(m.By)
	}
	return sum
}

// Move is one thing, or all of a run, moved up or down.
type Move struct {
	Name    string  // a row's id, a run, or a ceiling
	Run     bool    // Name is a run: every row of it that the run comes near moves
	By      float64 // mm, above zero: upwards
	Ceiling bool
	Meets   []string // what it would meet there and does not meet now, by name, sorted; empty: it finds room
	rows    []int    // zones that move; none for a ceiling
}

// Settings say how a run is set out.
type Settings struct {
	Steps Steps
}

// SetOut works out the band, the line and, where there is no one level, the steps of a run that does not fall.
func SetOut(p *void.Project, c *clash.Check, r *Run, set Settings) *Answer {
	o := set.Steps.near(r.drawnAt())
	fr := framed(p, c, r)
	if z, ok := fr.together(o); ok {
		o.Prefer, o.AsDrawn = &z, false // that very level: the sheets of the others count on it
	}
	f, things := fr.field(o, false)
	a := &Answer{Run: r, Things: things, field: f, Drawn: r.drawnAt(), lifts: fr.lifts}
	for k := range fr.mates {
		a.Mates = append(a.Mates, fr.mates[k].Mate)
	}
	a.Band = f.band(o)
	ffl := p.Storeys[r.Storey].FFL
	if len(a.Band) > 0 {
		z := choose(a.Band, o, ffl)
		if !math.IsInf(z, 0) {
			a.Level = &z
			a.Line = Line{Sections: []Section{{0, r.Length, z}}}
			a.Found = true
		}
	} else {
		a.step(p, c, &f, o, ffl)
		if a.Found && len(a.summed(c)) > 0 {
			// Its sets are longer than they look in the plan. Another line, for which nothing is added up.
			f2, things2 := fr.field(o, true)
			b := &Answer{Run: r, Things: things2, field: f2, Drawn: a.Drawn, Mates: a.Mates, lifts: a.lifts}
			if b.step(p, c, &f2, o, ffl); b.Found && len(b.Unproved) == 0 {
				a, f = b, f2
			}
		}
	}
	if a.Found {
		a.Unproved = a.prove(p, c)
		a.Limits = limits(p, &f, r, a)
	} else {
		a.blocked(&f, o)
		a.giving(p, c, &f, o)
	}
	return a
}

// step finds the line of a run that has no one level: with the fewest sets there are, and of such lines the best in whole
// 5 mm with room to spare; where those would take more sets, the best of all, laid to whole millimetres where that fits.
func (a *Answer) step(p *void.Project, c *clash.Check, f *Field, o Steps, ffl float64) {
	exact := newSearch(f, o)
	k, ok := exact.fewest()
	if !ok {
		return
	}
	a.Found = true
	wide := newSearch(f.spared(o, ffl), o.struck(ffl, k))
	if n, ok := wide.fewest(); ok && n == k {
		if a.lay(p, c, f, wide.with(k), o); len(a.Unproved) == 0 {
			return
		}
	}
	l := exact.with(k)
	if a.lay(p, c, f, rounded(f, l, o, ffl), o); len(a.Unproved) > 0 {
		a.lay(p, c, f, l, o)
	}
}

// lay takes a line, puts its sets where they have room, and measures it.
func (a *Answer) lay(p *void.Project, c *clash.Check, f *Field, l Line, o Steps) {
	a.Line = l
	a.place(p, c, f, o)
	a.Unproved = a.prove(p, c)
}

// OneLevel strikes one level for several lengths, where there is one that is clear in all of them: the highest, or the
// nearest to what is preferred. It reports whether there is; if not the answers stay as they are.
func OneLevel(p *void.Project, c *clash.Check, answers []*Answer, set Settings) bool {
	if len(answers) < 2 {
		return false
	}
	band := []r1.Interval{{Lo: math.Inf(-1), Hi: math.Inf(1)}}
	for _, a := range answers {
		if a.Level == nil || a.Run.Storey != answers[0].Run.Storey {
			return false
		}
		var both []r1.Interval
		for _, v := range band {
			both = append(both, within(a.Band, v)...)
		}
		band = both
	}
	if len(band) == 0 {
		return false
	}
	z := choose(band, set.Steps.near(answers[0].Drawn), p.Storeys[answers[0].Run.Storey].FFL)
	for _, a := range answers {
		at := z
		a.Level, a.Shared = &at, true
		a.Line = Line{Sections: []Section{{0, a.Run.Length, z}}}
		a.Unproved = a.prove(p, c)
		a.Limits = limits(p, &a.field, a.Run, a)
	}
	return true
}

const (
	whole5 = 5.0  // levels are struck in whole 5 mm above FFL: what a laser and a tape are read to (common practice, no source)
	spared = 10.0 // mm that are left over and under a run where there is room: what a run is off by on site (common practice, no source)
)

// Limits returns the lengths by which a line is struck and its rods are placed; common practice, no source.
func Limits() []void.Limit {
	usual := support.Options{}.Filled()
	return void.Practised([]void.Limit{
		{Name: "levels are whole multiples of", MM: whole5, Why: "what a laser and a tape are read to; whole mm, or as it is, where there is no room"},
		{Name: "to spare over and under", MM: spared, Why: "what a run is off by on site; less where there is less room"},
		{Name: "first support from an end, a corner or a set", MM: usual.First, Why: "ends sag"},
		{Name: "added to each rod", MM: usualAdjust, Why: "for levelling"},
		{Name: "rod from the side of its service", MM: usual.Beside, Why: "room for nut, washer and spanner"},
		{Name: "rod from everything else", MM: usualClear, Why: "insulation and fingers"},
		{Name: "services on one channel, differ in level by", MM: tierStep, Why: "packing takes up no more"},
		{Name: "more on the line of a floor once it is laid, before what is clear on it", MM: keptMore, Why: "less is the length of a set or two"},
		{Name: "wall between two rooms from the edge of their bays, furthest", MM: wallAside, Why: "bays are drawn to grid lines or to the faces of walls"},
		{Name: "what would have to give, most", MM: farthest, Why: "further it goes round, or out"},
		{Name: "tier of a frame from its level in the tables, furthest", MM: farthestTier, Why: "further it is another frame"},
		{Name: "ends of lengths of one run, furthest", MM: joint, Why: "so near they meet; as in the check"},
	})
}

// Bounds returns how much is laid and told apart for the line of a floor.
func Bounds() []void.Bound {
	return []void.Bound{
		{Name: "lengths laid to weigh levels of a floor's line against each other", Most: mostLays, Why: "each is a search of its own; of a larger floor the curve says no sets, and the level goes by what is clear on it", Source: "measured: 500 lengths of a floor of 20,000 zones take 30 s of processor time, 60 ms each"},
		{Name: "groups of bays told apart for two lines", Most: mostGroups, Why: "of more the longest are, and the others are one", Source: void.NoSource},
		{Name: "orders in which the runs on one tier of a frame are tried", Most: mostOrders, Why: "all orders of five runs; of more on one tier some are not tried, and the tiers may be left as the tables have them", Source: void.NoSource},
	}
}

// choose returns the level to strike: the nearest to what is preferred, else the highest; in whole 5 mm above FFL and with room
// to spare over and under it where the band has that.
func choose(band []r1.Interval, o Steps, ffl float64) float64 {
	best, found := 0.0, false
	for _, v := range slices.Backward(band) {
		want := v.Hi
		if o.Prefer != nil {
			want = *o.Prefer
		} else if math.IsInf(v.Hi, 1) {
			want = v.Lo
		}
		if z := strike(v, want, o, ffl); !found || o.Prefer != nil && math.Abs(z-want) < math.Abs(best-want)-void.Hair {
			best, found = z, true
		}
	}
	return best
}

// strike returns the level of an interval nearest to the one that is wanted: in whole 5 mm with room to spare to each
// end that nobody asked for, else with as much as there is, else in whole 5 mm, in whole mm, or just as it is.
func strike(v r1.Interval, want float64, o Steps, ffl float64) float64 {
	all := o.asked()
	asked := func(z float64) bool {
		return slices.ContainsFunc(all, func(q float64) bool { return math.Abs(q-z) <= void.Hair })
	}
	if asked(want) && v.Expanded(void.Hair).Contains(want) {
		return want
	}
	room := margin(v.Hi - v.Lo)
	in := v
	if !asked(v.Lo) && room > 0 {
		in.Lo += room - void.Hair
	}
	if !asked(v.Hi) && room > 0 {
		in.Hi -= room - void.Hair
	}
	for _, unit := range []float64{whole5, 1} {
		for _, w := range []r1.Interval{in, v} {
			if z, ok := nearestWhole(math.Max(w.Lo, math.Min(w.Hi, want)), w, unit, ffl); ok {
				return z
			}
		}
	}
	return math.Max(v.Lo, math.Min(v.Hi, want))
}

// margin returns how much is spared on each side where there is so much room: so that a whole 5 mm is left between.
func margin(room float64) float64 { return math.Max(0, math.Min(spared, (room-whole5)/2)) }

// nearestWhole returns the level nearest to z in an interval that is a multiple of unit above FFL; false where there is none.
func nearestWhole(z float64, v r1.Interval, unit, ffl float64) (float64, bool) {
	n := math.Round((z - ffl) / unit)
	for _, k := range []float64{n, n - 1, n + 1} {
		if t := ffl + k*unit; v.Lo-1e-9 <= t && t <= v.Hi+1e-9 && math.Abs(t-z) < unit {
			return t, true
		}
	}
	return z, false
}

// wholeIn returns the whole millimetre above FFL nearest to z in an interval, or z where there is none.
func wholeIn(z float64, v r1.Interval, ffl float64) float64 {
	z, _ = nearestWhole(z, v, 1, ffl)
	return z
}

// struck returns the steps, k of them at most, in whole 5 mm above FFL.
func (o Steps) struck(ffl float64, k int) Steps {
	o.Most = k
	if o.AsDrawn {
		z := ffl + whole5*math.Round((*o.Prefer-ffl)/whole5)
		o.Prefer = &z
	}
	return o
}

// spared returns the field with every bar as much larger as there is room to spare over or under it, up to a whole 5 mm above FFL:
// a line that is clear of it has that to spare. Where what is over and what is under leave less than 5 there is none.
// A level that was asked for stays as free as it is.
func (f *Field) spared(o Steps, ffl float64) *Field {
	g := *f
	g.Bars = slices.Clone(f.Bars)
	// The least room over and under each bar: to any other that stands over it, or under, in some bay.
	byLo := make([]int, len(f.Bars))
	for i := range byLo {
		byLo[i] = i
	}
	slices.SortFunc(byLo, func(a, b int) int { return cmp.Compare(f.Bars[a].Lo, f.Bars[b].Lo) })
	over := func(i int) float64 {
		b := &f.Bars[i]
		k, _ := slices.BinarySearchFunc(byLo, b.Hi-void.Hair, func(j int, z float64) int { return cmp.Compare(f.Bars[j].Lo, z) })
		for ; k < len(byLo); k++ {
			if o := &f.Bars[byLo[k]]; o.From < b.To && o.To > b.From {
				return o.Lo - b.Hi
			}
		}
		return math.Inf(1)
	}
	byHi := slices.Clone(byLo)
	slices.SortFunc(byHi, func(a, b int) int { return cmp.Compare(f.Bars[a].Hi, f.Bars[b].Hi) })
	under := func(i int) float64 {
		b := &f.Bars[i]
		k, _ := slices.BinarySearchFunc(byHi, b.Lo+void.Hair, func(j int, z float64) int { return cmp.Compare(f.Bars[j].Hi, z) })
		for k--; k >= 0; k-- {
			if o := &f.Bars[byHi[k]]; o.From < b.To && o.To > b.From {
				return b.Lo - o.Hi
			}
		}
		return math.Inf(1)
	}
	all := o.asked()
	asked := func(lo, hi float64) bool {
		return slices.ContainsFunc(all, func(z float64) bool { return lo-void.Hair <= z && z <= hi+void.Hair })
	}
	// What is spared may be a hair less: bars are rounded outwards.
	slack := func(room float64) float64 { return math.Min(void.Hair, margin(room)) }
	for i := range g.Bars {
		b := &g.Bars[i]
		if room := over(i); !math.IsInf(b.Hi, 1) && room >= whole5 {
			if z := ffl + whole5*math.Ceil((b.Hi+margin(room)-ffl-slack(room))/whole5); !asked(b.Hi, z) {
				b.Hi = z
			}
		}
		if room := under(i); !math.IsInf(b.Lo, -1) && room >= whole5 {
			if z := ffl + whole5*math.Floor((b.Lo-margin(room)-ffl+slack(room))/whole5); !asked(z, b.Lo) {
				b.Lo = z
			}
		}
		if len(b.Open) > 0 {
			b.Open = slices.Clone(b.Open)
			for k := range b.Open {
				w := &b.Open[k]
				in := w.Expanded(-margin(w.Length()))
				in.Lo, in.Hi = ffl+whole5*math.Ceil((in.Lo-ffl-1e-9)/whole5), ffl+whole5*math.Floor((in.Hi-ffl+1e-9)/whole5)
				if in.Lo <= in.Hi {
					*w = in
				}
			}
		}
	}
	return &g
}

// rounded lays each section to a whole millimetre where its own band allows it.
func rounded(f *Field, l Line, o Steps, ffl float64) Line {
	l = Line{Sections: slices.Clone(l.Sections), Steps: slices.Clone(l.Steps)}
	for i := range l.Sections {
		s := &l.Sections[i]
		if i == 0 && o.Start != nil || i == len(l.Sections)-1 && o.End != nil {
			continue
		}
		for _, v := range f.bandOver(s.From, s.To) {
			if v.Lo-void.Hair <= s.Level && s.Level <= v.Hi+void.Hair {
				s.Level = wholeIn(s.Level, v, ffl)
			}
		}
	}
	for i := range l.Steps {
		st := &l.Steps[i]
		st.Low, st.High = l.Sections[i].Level, l.Sections[i+1].Level
		st.Rise = st.High - st.Low
		l.Rise += math.Abs(st.Rise)
		// The set keeps its angle: it ends (or, downwards, begins) where it did.
		if length := o.length(st.Rise); st.Rise > 0 {
			st.To = st.From + length
		} else {
			st.From = st.To - length
		}
		l.Sections[i].To, l.Sections[i+1].From = st.From, st.To
	}
	return l
}

func (o Steps) length(rise float64) float64 {
	flat := 0.0
	if a := o.angle(); a < 90 {
		flat = 1 / math.Tan(a*math.Pi/180)
	}
	return math.Max(math.Abs(rise)*flat, o.Straight)
}

// bandOver returns the levels that are free over a stretch of stations.
func (f *Field) bandOver(from, to float64) []r1.Interval {
	free := []r1.Interval{{Lo: math.Inf(-1), Hi: math.Inf(1)}}
	for i := range f.Bars {
		b := &f.Bars[i]
		if b.From < to-void.Hair && b.To > from+void.Hair {
			for _, r := range b.levelParts() {
				free = without(free, r)
			}
		}
	}
	return free
}

// Length is one straight length of the line as it will stand: part of one row.
type Length struct {
	Piece    int // index into Run.Pieces
	From, To float64
	Za, Zb   float64 // level of the line at From and at To
	Section  int     // of the line; -1: a set
}

// lengths cuts the line at its steps and at the rows of the run. A round row is cut where its axis bends, and the level of
// its inclined length is that of its underside (its middle, its top) measured upright, as in the tables.
func (a *Answer) lengths() []Length {
	var out []Length
	for k := range a.Run.Pieces {
		pc := &a.Run.Pieces[k]
		add := func(section int, from, to float64, at func(s float64) float64) {
			from, to = math.Max(from, pc.From), math.Min(to, pc.To)
			if to-from > void.Hair {
				out = append(out, Length{k, from, to, at(from), at(to), section})
			}
		}
		from := 0.0
		for i := range a.Line.Sections {
			s := &a.Line.Sections[i]
			level := func(float64) float64 { return s.Level }
			if i == len(a.Line.Steps) {
				add(i, from, s.To, level)
				break
			}
			st := &a.Line.Steps[i]
			s0, s1, z0, z1 := st.From, st.To, st.Low, st.High
			if pc.Bare.Round {
				up := sectionHeight(pc.Bare)/2 - a.Run.faceAbove(pc.Bare)
				s0, s1, z0, z1 = a.Run.axis(pc, st)
				up *= math.Hypot(1, st.Rise/(st.To-st.From))
				z0, z1 = z0-up, z1-up
			}
			add(i, from, s0, level)
			if st.To > st.From {
				add(-1, s0, s1, func(x float64) float64 { return z0 + (z1-z0)*(x-s0)/(s1-s0) })
			}
			from = s1
		}
	}
	return out
}

// prove measures every length again, as it will stand, against everything: the check's own measures, with
// slopes as slopes and bends with their mitres.
func (a *Answer) prove(p *void.Project, c *clash.Check) []Thing {
	var out []Thing
	for _, b := range a.Run.bodies(p, &a.Line) {
		for _, x := range c.Struck(b.zone, b.full, b.hung) {
			if !slices.ContainsFunc(out, func(t Thing) bool { return t.Name == x.By && t.Rule == x.Rule && t.Piece == b.zone }) {
				out = append(out, Thing{Bar: x, Name: x.By, Piece: b.zone})
			}
		}
	}
	return slices.DeleteFunc(append(out, a.summed(c)...), a.elsewhere)
}

// summed measures what all lengths of the line come to together, by rules that count over a length.
func (a *Answer) summed(c *clash.Check) []Thing {
	var laid []clash.Laid
	for _, l := range a.lengths() {
		pc := &a.Run.Pieces[l.Piece]
		laid = append(laid, clash.Laid{Zone: pc.Zone, Bare: a.Run.part(pc, l.From, l.To, l.Za, l.Zb)})
	}
	var out []Thing
	for _, x := range c.Summed(laid) {
		out = append(out, Thing{Bar: x, Name: x.By, Piece: a.Run.Pieces[0].Zone})
	}
	return out
}

// LevelAt returns the level of the line at a station, on a step its own.
func (l *Line) LevelAt(s float64) float64 {
	for i, sec := range l.Sections {
		if s <= sec.To+void.Hair || i == len(l.Sections)-1 {
			return sec.Level
		}
		if st := l.Steps[i]; s < st.To {
			return st.Low + st.Rise*(s-st.From)/(st.To-st.From)
		}
	}
	return math.NaN()
}

// limits finds what holds the run bay by bay.
func limits(p *void.Project, f *Field, r *Run, a *Answer) []Limit {
	var out []Limit
	for _, st := range bayStretches(p, r) {
		lm := Limit{Bay: st.Bay, From: st.From, To: st.To, Low: math.Inf(-1), High: math.Inf(1), Line: math.Inf(1)}
		for i := range f.Bars {
			b := &f.Bars[i]
			from, to := math.Max(b.From, st.From), math.Min(b.To, st.To)
			if to-from <= 10*void.Hair {
				continue // it ends where the bay begins
			}
			// The line over the bar's stations, and which of its edges hold it.
			for _, s := range a.Line.Sections {
				if s.From >= to-void.Hair || s.To <= from+void.Hair {
					continue
				}
				for _, q := range b.levelParts() {
					if q.Lo >= s.Level-void.Hair && q.Lo < lm.High-void.Hair {
						lm.High, lm.Above = q.Lo, &a.Things[b.Of]
					}
					if q.Hi <= s.Level+void.Hair && q.Hi > lm.Low+void.Hair {
						lm.Low, lm.Below = q.Hi, &a.Things[b.Of]
					}
				}
			}
		}
		for _, s := range a.Line.Sections {
			if s.From < st.To-void.Hair && s.To > st.From+void.Hair {
				lm.Line = math.Min(lm.Line, s.Level)
			}
		}
		out = append(out, lm)
	}
	return out
}

// bayStretches returns the bays that the run's axis goes through, in order.
func bayStretches(p *void.Project, r *Run) []InBay {
	var out []InBay
	for k := range r.Pieces {
		pc := &r.Pieces[k]
		cuts := []float64{pc.From, pc.To}
		d := pc.dir()
		o := pc.At(pc.From)
		for j := range p.Bays {
			b := &p.Bays[j]
			if b.Storey != r.Storey {
				continue
			}
			for _, e := range []struct{ at, from, dir float64 }{
				{b.Plan.X.Lo, o.X, d.X}, {b.Plan.X.Hi, o.X, d.X}, {b.Plan.Y.Lo, o.Y, d.Y}, {b.Plan.Y.Hi, o.Y, d.Y},
			} {
				if e.dir != 0 {
					if s := pc.From + (e.at-e.from)/e.dir; s > pc.From+void.Hair && s < pc.To-void.Hair {
						cuts = append(cuts, s)
					}
				}
			}
		}
		slices.Sort(cuts)
		for i := 1; i < len(cuts); i++ {
			if cuts[i]-cuts[i-1] <= void.Hair {
				continue
			}
			bay, ok := p.BayAt(r.Storey, pc.At((cuts[i]+cuts[i-1])/2))
			if !ok {
				bay = -1
			}
			if n := len(out); n > 0 && out[n-1].Bay == bay {
				out[n-1].To = cuts[i]
			} else {
				out = append(out, InBay{bay, cuts[i-1], cuts[i]})
			}
		}
	}
	return out
}

// blocked says why there is no way. A stretch in which no level is free is a block. Where there is none, the block is
// from the last station that can be reached to the first from which the end can be.
func (a *Answer) blocked(f *Field, o Steps) {
	s := newSearch(f, o)
	shut := s.shut()
	if len(shut) > 0 {
		for _, n := range shut {
			a.Blocks = append(a.Blocks, a.block(f, n.lo, n.hi, true))
		}
		return
	}
	from, to := s.frontier()
	a.Blocks = append(a.Blocks, a.block(f, from, to, false))
}

// block gathers what stands in a stretch, from below up; where levels are free in it, what ends at it too: that is what a
// line comes up against. Of one thing what its several rules forbid is one band, where the bands meet.
func (a *Answer) block(f *Field, from, to float64, shut bool) Block {
	b := Block{From: from, To: to, Shut: shut}
	reach := -void.Hair
	if !shut {
		reach = void.Hair
	}
	for i := range f.Bars {
		x := &f.Bars[i]
		if x.Of < 0 || x.From >= to+reach || x.To <= from-reach || len(x.levelParts()) == 0 {
			continue // elsewhere, or a wall that the run may go through at any level
		}
		t := a.Things[x.Of]
		t.Lo, t.Hi = x.Lo-t.Line, x.Hi-t.Line
		if t.Asked > 0 {
			t.Also = []Ask{{t.Rule, t.Asked}}
		}
		for k := 0; k < len(b.Things); k++ {
			o := &b.Things[k]
			if o.Name != t.Name || o.Line+o.Lo > t.Line+t.Hi || t.Line+t.Lo > o.Line+o.Hi {
				continue
			}
			t.Lo, t.Hi = math.Min(t.Line+t.Lo, o.Line+o.Lo)-t.Line, math.Max(t.Line+t.Hi, o.Line+o.Hi)-t.Line
			for _, r := range o.Also {
				if !slices.Contains(t.Also, r) {
					t.Also = append(t.Also, r)
				}
			}
			b.Things = slices.Delete(b.Things, k, k+1)
			k = -1 // the wider band may meet others
		}
		b.Things = append(b.Things, t)
	}
	for i := range b.Things {
		slices.SortFunc(b.Things[i].Also, func(x, y Ask) int { return cmp.Or(cmp.Compare(y.MM, x.MM), cmp.Compare(x.Rule, y.Rule)) })
	}
	slices.SortStableFunc(b.Things, func(x, y Thing) int {
		return cmp.Or(cmp.Compare(x.Line+x.Lo, y.Line+y.Lo), cmp.Compare(x.Line+x.Hi, y.Line+y.Hi), void.Natural(x.Name, y.Name))
	})
	return b
}

// lifted returns intervals shifted up by d.
func lifted(vs []r1.Interval, d float64) []r1.Interval {
	var out []r1.Interval
	for _, v := range vs {
		out = append(out, r1.Interval{Lo: v.Lo + d, Hi: v.Hi + d})
	}
	return out
}

// frontier returns the last station that can be reached from the start and the first from which the end can be
// reached.
func (s *search) frontier() (from, to float64) {
	reached := s.last()
	back := Field{Length: s.Length, Up: s.Up, Down: s.Down}
	for _, c := range s.Corners {
		back.Corners = append(back.Corners, s.Length-c)
	}
	for _, b := range s.all {
		b.From, b.To = s.Length-b.To, s.Length-b.From
		back.Bars = append(back.Bars, b)
	}
	for _, v := range s.Rests {
		back.Rests = append(back.Rests, r1.Interval{Lo: s.Length - v.Hi, Hi: s.Length - v.Lo})
	}
	o := s.o
	o.Start, o.End, o.Min, o.Max = s.o.End, s.o.Start, nil, nil
	to = s.Length - newSearch(&back, o).last()
	if to < reached {
		return to, reached
	}
	return reached, to
}

// last returns the last station that can be reached from the start.
func (s *search) last() float64 {
	far := 0.0
	s.sweep(func(int) bool { return true }, func(w *way) bool {
		far = math.Max(far, s.nodes[w.level][w.node].hi)
		return false
	})
	return far
}
