package setout

import (
	"math"
	"slices"

	"github.com/golang/geo/r1"

	"voidline/clash"
	"voidline/void"
)

// Answer is how one run is set out. Levels are above the project datum, stations mm along the run from its start.
type Answer struct {
	Run    *Run
	Band   []r1.Interval // levels at which the whole run is clear, ascending; empty: there is none
	Level  *float64      // the one level to strike, nil where the run steps or falls or cannot be done
	Line   Line          // sections and steps; one section where Level is given
	Found  bool          // Line gets through
	Limits []Limit       // what limits it, bay by bay, in the order of the run
	Blocks []Block       // why it cannot be done; empty where it can
	Gives  []Give        // what one thing would have to give for it to be done, the least first
	Things []Thing
	// Left over when the pieces of the line are measured again, each where it will stand; empty where nothing is.
	Unproved []Thing
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

// Give is what one thing would have to give.
type Give struct {
	Thing Thing
	By    float64 // mm, above zero: upwards
}

// Settings say how a run is set out.
type Settings struct {
	Steps Steps
}

// SetOut works out the band, the line and, where there is no one level, the steps of a run that does not fall.
func SetOut(p *void.Project, c *clash.Check, r *Run, set Settings) *Answer {
	f, things := field(p, c, r, set.Steps.angle())
	a := &Answer{Run: r, Things: things}
	a.Band = f.Band(set.Steps)
	ffl := p.Storeys[r.Storey].FFL
	if len(a.Band) > 0 {
		z := choose(a.Band, set.Steps.Prefer, ffl)
		if !math.IsInf(z, 0) {
			a.Level = &z
			a.Line = Line{Sections: []Section{{0, r.Length, z}}}
			a.Found = true
		}
	} else {
		a.Line, a.Found = f.Find(set.Steps)
		if a.Found {
			exact := a.Line
			a.Line = rounded(&f, exact, set.Steps, ffl)
			if len(a.prove(c)) > 0 {
				a.Line = exact
			}
		}
	}
	if a.Found {
		a.Unproved = a.prove(c)
		a.Limits = limits(p, &f, r, a)
	} else {
		a.blocked(&f, set.Steps)
	}
	return a
}

// choose returns the level to strike: the highest, or the nearest to what is preferred; in whole millimetres above FFL
// where the band holds one.
func choose(band []r1.Interval, prefer *float64, ffl float64) float64 {
	v := band[len(band)-1]
	z := v.Hi
	if prefer != nil {
		best := math.Inf(1)
		for _, b := range band {
			if t := math.Max(b.Lo, math.Min(b.Hi, *prefer)); math.Abs(t-*prefer) < best {
				best, z, v = math.Abs(t-*prefer), t, b
			}
		}
	}
	if math.IsInf(z, 1) {
		z = v.Lo
	}
	return wholeIn(z, v, ffl)
}

// wholeIn returns the whole millimetre above FFL nearest to z in an interval, or z where there is none.
func wholeIn(z float64, v r1.Interval, ffl float64) float64 {
	n := math.Round(z - ffl)
	for _, k := range []float64{n, n - 1, n + 1} {
		if t := ffl + k; v.Lo-1e-9 <= t && t <= v.Hi+1e-9 && math.Abs(t-z) < 1 {
			return t
		}
	}
	return z
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
}

// Lengths cuts the line at its steps and at the rows of the run.
func (a *Answer) Lengths() []Length {
	var out []Length
	for k := range a.Run.Pieces {
		pc := &a.Run.Pieces[k]
		add := func(from, to float64, za, zb func(s float64) float64) {
			from, to = math.Max(from, pc.From), math.Min(to, pc.To)
			if to-from > void.Hair {
				out = append(out, Length{k, from, to, za(from), zb(to)})
			}
		}
		for i, s := range a.Line.Sections {
			level := func(float64) float64 { return s.Level }
			add(s.From, s.To, level, level)
			if i < len(a.Line.Steps) {
				st := a.Line.Steps[i]
				at := func(x float64) float64 { return st.Low + st.Rise*(x-st.From)/(st.To-st.From) }
				if st.To > st.From {
					add(st.From, st.To, at, at)
				}
			}
		}
	}
	return out
}

// prove measures every length again, as it will stand, against everything: the check's own measures, with
// slopes as slopes.
func (a *Answer) prove(c *clash.Check) []Thing {
	var out []Thing
	for _, l := range a.Lengths() {
		pc := &a.Run.Pieces[l.Piece]
		for _, x := range c.Bars(pc.Zone, a.Run.part(pc, l.From, l.To, l.Za, l.Zb)) {
			if x.Lo < -void.Hair && x.Hi > void.Hair && !slices.ContainsFunc(x.Open, func(w r1.Interval) bool { return w.Lo <= void.Hair && w.Hi >= -void.Hair }) {
				out = append(out, Thing{Bar: x, Name: x.By, Piece: pc.Zone})
			}
		}
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
		lm := Limit{Bay: st.bay, From: st.from, To: st.to, Low: math.Inf(-1), High: math.Inf(1), Line: math.Inf(1)}
		for i := range f.Bars {
			b := &f.Bars[i]
			from, to := math.Max(b.From, st.from), math.Min(b.To, st.to)
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
			if s.From < st.to-void.Hair && s.To > st.from+void.Hair {
				lm.Line = math.Min(lm.Line, s.Level)
			}
		}
		out = append(out, lm)
	}
	return out
}

type stretchOf struct {
	bay      int
	from, to float64
}

// bayStretches returns the bays that the run's axis goes through, in order.
func bayStretches(p *void.Project, r *Run) []stretchOf {
	var out []stretchOf
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
			if n := len(out); n > 0 && out[n-1].bay == bay {
				out[n-1].to = cuts[i]
			} else {
				out = append(out, stretchOf{bay, cuts[i-1], cuts[i]})
			}
		}
	}
	return out
}

// blocked says why there is no way, and the least that one thing would have to give.
//
//  1. A stretch in which no level is free is a block. Where there is none, the block is from the last station that can be
//     reached to the first from which the end can be.
//  2. For each thing that may move and stands in a block, the moves after which one of its edges comes to an edge of
//     another are tried from the least up, until the way is found: what it gives, exactly over those moves. Whether the
//     thing itself finds room there is not asked.
func (a *Answer) blocked(f *Field, o Steps) {
	s := newSearch(f, o)
	shut := s.shut()
	if len(shut) > 0 {
		for _, n := range shut {
			a.Blocks = append(a.Blocks, a.block(f, n.lo, n.hi, true))
		}
	} else {
		from, to := s.frontier()
		a.Blocks = append(a.Blocks, a.block(f, from, to, false))
	}
	inBlock := map[string]bool{}
	for _, b := range a.Blocks {
		for _, t := range b.Things {
			if !t.Structure {
				inBlock[t.Name] = true
			}
		}
	}
	for i := range a.Things {
		t := &a.Things[i]
		if !inBlock[t.Name] {
			continue
		}
		delete(inBlock, t.Name) // once
		if by, ok := leastMove(f, o, a.Things, t.Name); ok {
			a.Gives = append(a.Gives, Give{*t, by})
		}
	}
	slices.SortStableFunc(a.Gives, func(x, y Give) int {
		switch d := math.Abs(x.By) - math.Abs(y.By); {
		case d < -void.Hair:
			return -1
		case d > void.Hair:
			return 1
		}
		return void.Natural(x.Thing.Name, y.Thing.Name)
	})
}

func (a *Answer) block(f *Field, from, to float64, shut bool) Block {
	b := Block{From: from, To: to, Shut: shut}
	type at struct {
		lo float64
		t  Thing
	}
	var all []at
	seen := map[string]bool{}
	for i := range f.Bars {
		x := &f.Bars[i]
		if x.Of < 0 || x.From >= to-void.Hair || x.To <= from+void.Hair || seen[a.Things[x.Of].Name+a.Things[x.Of].Rule] {
			continue
		}
		seen[a.Things[x.Of].Name+a.Things[x.Of].Rule] = true
		t := a.Things[x.Of]
		all = append(all, at{x.Lo, t})
	}
	slices.SortStableFunc(all, func(x, y at) int {
		switch {
		case x.lo < y.lo:
			return -1
		case x.lo > y.lo:
			return 1
		}
		return 0
	})
	for _, x := range all {
		b.Things = append(b.Things, x.t)
	}
	return b
}

// mostTried is how many moves of one thing are tried.
const mostTried = 200

// leastMove finds the least shift of one thing, up or down, after which there is a way.
func leastMove(f *Field, o Steps, things []Thing, name string) (float64, bool) {
	var mine, edges []float64
	ceiling := false
	for i := range f.Bars {
		b := &f.Bars[i]
		for _, z := range []float64{b.Lo, b.Hi} {
			if math.IsInf(z, 0) {
				continue
			}
			if b.Of >= 0 && things[b.Of].Name == name {
				mine = append(mine, z)
				ceiling = ceiling || things[b.Of].Zone < 0
			} else {
				edges = append(edges, z)
			}
		}
	}
	for _, z := range []*float64{o.Min, o.Max, o.Start, o.End} {
		if z != nil {
			edges = append(edges, *z)
		}
	}
	var moves []float64
	for _, m := range mine {
		for _, e := range edges {
			if d := e - m; math.Abs(d) > void.Hair && (!ceiling || d < 0) {
				moves = append(moves, d)
			}
		}
	}
	slices.SortFunc(moves, func(a, b float64) int {
		switch d := math.Abs(a) - math.Abs(b); {
		case d < 0:
			return -1
		case d > 0:
			return 1
		case a > b:
			return -1
		case a < b:
			return 1
		}
		return 0
	})
	last, tried := math.NaN(), 0
	for _, d := range moves {
		if math.Abs(d-last) <= void.Hair {
			continue
		}
		last = d
		if tried++; tried > mostTried {
			return 0, false
		}
		g := *f
		g.Bars = slices.Clone(f.Bars)
		for i := range g.Bars {
			if b := &g.Bars[i]; b.Of >= 0 && things[b.Of].Name == name {
				b.Lo, b.Hi, b.Open = b.Lo+d, b.Hi+d, lifted(b.Open, d)
			}
		}
		if _, ok := g.Find(o); ok {
			return d, true
		}
	}
	return 0, false
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
	back := Field{Length: s.Length}
	for _, c := range s.Corners {
		back.Corners = append(back.Corners, s.Length-c)
	}
	for _, b := range s.all {
		b.From, b.To = s.Length-b.To, s.Length-b.From
		back.Bars = append(back.Bars, b)
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
	earliest := make([]float64, s.first[len(s.zs)])
	for i := range earliest {
		earliest[i] = math.Inf(1)
	}
	far := 0.0
	var layer []*way
	s.starts(func(w *way) {
		earliest[s.first[w.level]] = 0
		layer = append(layer, w)
	})
	for step := 0; len(layer) > 0 && step < usualMost; step++ {
		var next []*way
		for _, w := range layer {
			far = math.Max(far, s.nodes[w.level][w.node].hi)
			for to := range s.zs {
				s.landings(w, to, func(int) bool { return true }, func(n int, from, entry float64) {
					if key := s.first[to] + n; entry < earliest[key] {
						earliest[key] = entry
						next = append(next, &way{level: to, node: n, steps: step + 1, entry: entry, left: from})
					}
				})
			}
		}
		layer = next
	}
	return far
}
