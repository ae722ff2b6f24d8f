package setout

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r3"

	"voidline/clash"
	"voidline/void"
	"voidline/void/body"
)

const (
	farthest  = 1000.0    // mm that one thing may be asked to give: further it goes round, or out
	mostGives = 6         // that are told
	mostWork  = 4_000_000 // steps to a level that are looked at in all, before what is found so far is told
	mostPairs = 60        // of things that are tried together
	giveFine  = 0.05
)

// giving works out the least that something would have to give.
//
//  1. Asked are the rows and the runs that stand in a block and may move, and the ceilings there, which only come down. Of
//     those without which there is still no way, none is enough.
//  2. Of the others the moves are tried, from the least up, after which one of their edges comes to an edge of something
//     near; after the first few only every second, third and so on. Between the last move that is not enough and the first
//     that is, the least is found by halving. That is the least there is unless some lesser move is enough and a
//     greater one is not.
//  3. Where no one (but a ceiling) is enough, two: the least of the one with the other away, then of the other with the first moved.
//     There may be two that move less.
//  4. What has moved is measured there against everything but the run itself: what it meets that it does not meet now.
//     Told first is what finds room, the least of it first; then what meets something else; last a ceiling.
func (a *Answer) giving(p *void.Project, c *clash.Check, f *Field, o Steps) {
	bounded := *f
	bounded.work = &work{left: mostWork}
	f = &bounded
	defer func() { a.Cut = f.work.left <= 0 }()
	a.Asked, a.AskedTogether = asked(o, f.can)
	groups := a.groups(p)
	none := f
	for _, g := range groups {
		none = none.without(a.Things, g)
	}
	if !none.can(o) {
		return // what does not move is enough to shut it
	}
	var apart []Move // not enough alone
	for _, g := range groups {
		if !f.without(a.Things, g).can(o) {
			apart = append(apart, g)
			continue
		}
		if by, ok := f.leastMove(a.Things, g, o); ok {
			g.By = by
			a.Gives = append(a.Gives, Give{[]Move{g}})
		}
	}
	if !slices.ContainsFunc(a.Gives, func(g Give) bool { return !g.Moves[0].Ceiling }) {
		tried := 0
		for i, g := range apart {
			for _, h := range apart[i+1:] {
				if tried++; tried > mostPairs || slices.ContainsFunc(g.rows, func(r int) bool { return slices.Contains(h.rows, r) }) {
					continue
				}
				if !f.without(a.Things, g).without(a.Things, h).can(o) {
					continue
				}
				best := Give{}
				for _, pair := range [][2]Move{{g, h}, {h, g}} {
					one, two := pair[0], pair[1]
					by, ok := f.without(a.Things, two).leastMove(a.Things, one, o)
					if !ok {
						continue
					}
					one.By = by
					if two.By, ok = f.moved(a.Things, one, by).leastMove(a.Things, two, o); !ok {
						continue
					}
					if v := (Give{[]Move{one, two}}); len(best.Moves) == 0 || v.sum() < best.sum()-void.Hair {
						best = v
					}
				}
				if len(best.Moves) > 0 {
					a.Gives = append(a.Gives, best)
				}
			}
		}
	}
	for i := range a.Gives {
		for k := range a.Gives[i].Moves {
			m := &a.Gives[i].Moves[k]
			m.Meets = meets(p, c, a.Run, m)
		}
	}
	slices.SortStableFunc(a.Gives, func(x, y Give) int {
		if n := cmp.Compare(x.trouble(), y.trouble()); n != 0 {
			return n
		}
		if d := x.sum() - y.sum(); math.Abs(d) > void.Hair {
			return cmp.Compare(d, 0)
		}
		// Of equals a row before the run that it is of.
		return cmp.Or(cmp.Compare(len(x.Moves[0].rows), len(y.Moves[0].rows)), void.Natural(x.Moves[0].Name, y.Moves[0].Name))
	})
	// A run that moves as far as one of its rows says nothing new.
	kept := a.Gives[:0]
	for _, g := range a.Gives {
		if !slices.ContainsFunc(kept, func(k Give) bool {
			return len(g.Moves) == 1 && len(k.Moves) == 1 && math.Abs(k.Moves[0].By-g.Moves[0].By) < void.Hair &&
				!slices.ContainsFunc(k.Moves[0].rows, func(r int) bool { return !slices.Contains(g.Moves[0].rows, r) }) && len(k.Moves[0].rows) > 0
		}) {
			kept = append(kept, g)
		}
	}
	a.Gives = kept[:min(len(kept), mostGives)]
}

// trouble ranks what gives: what finds room, then what meets something else, then what brings a ceiling down.
func (g *Give) trouble() int {
	worst := 0
	for _, m := range g.Moves {
		switch {
		case m.Ceiling:
			worst = 2
		case len(m.Meets) > 0:
			worst = max(worst, 1)
		}
	}
	return worst
}

// askedLevel is a level that may be asked for, by its name.
type askedLevel struct {
	name string
	at   func(*Steps) **float64
}

func askedLevels() []askedLevel {
	return []askedLevel{
		{"min", func(s *Steps) **float64 { return &s.Min }},
		{"max", func(s *Steps) **float64 { return &s.Max }},
		{"start", func(s *Steps) **float64 { return &s.Start }},
		{"end", func(s *Steps) **float64 { return &s.End }},
	}
}

// asked returns the asked levels without any one of which it can be done; where one alone does not do, all of them, if it can be done without all together.
func asked(o Steps, can func(Steps) bool) (names []string, together bool) {
	var all []string
	free := o
	for _, q := range askedLevels() {
		s := o
		if at := q.at(&s); *at != nil {
			*at, *q.at(&free) = nil, nil
			if all = append(all, q.name); can(s) {
				names = append(names, q.name)
			}
		}
	}
	if len(names) == 0 && len(all) > 1 && can(free) {
		return all, true
	}
	return names, false
}

// can reports whether there is a way at all.
func (f *Field) can(o Steps) bool {
	if len(f.band(o)) > 0 {
		return true
	}
	s := newSearch(f, o)
	if len(s.shut()) > 0 {
		return false
	}
	return s.through()
}

// groups returns what may move of what stands in the blocks: rows, whole runs of several rows, ceilings.
func (a *Answer) groups(p *void.Project) []Move {
	var out []Move
	add := func(m Move) {
		if !slices.ContainsFunc(out, func(o Move) bool { return o.Name == m.Name && o.Run == m.Run }) {
			out = append(out, m)
		}
	}
	for _, b := range a.Blocks {
		for i := range b.Things {
			t := &b.Things[i]
			if t.Structure {
				continue
			}
			if t.Zone < 0 {
				add(Move{Name: t.Name, Ceiling: true})
				continue
			}
			if p.Zone(t.Zone).Upright {
				continue // a riser goes through its levels: it does not move up or down
			}
			add(Move{Name: t.Name, rows: []int{t.Zone}})
			run := p.Zone(t.Zone).Run()
			if run == "" {
				continue
			}
			m := Move{Name: run, Run: true}
			for k := range a.Things {
				if j := a.Things[k].Zone; j >= 0 && strings.EqualFold(p.Zone(j).Run(), run) && !p.Zone(j).Upright && !slices.Contains(m.rows, j) {
					m.rows = append(m.rows, j)
				}
			}
			if len(m.rows) > 1 {
				slices.Sort(m.rows)
				add(m)
			}
		}
	}
	// First what stands nearest to where a way comes to an end.
	near := func(m *Move) float64 {
		d := math.Inf(1)
		for i := range a.field.Bars {
			if b := &a.field.Bars[i]; b.Of >= 0 && m.of(&a.Things[b.Of]) {
				for _, k := range a.Blocks {
					d = math.Min(d, math.Min(math.Abs(b.From-k.To), math.Abs(b.To-k.From)))
				}
			}
		}
		return d
	}
	// To the tenth of a millimetre: of two that stand as near, the last bits do not say which comes first.
	tenths := func(m *Move) float64 { return math.Round(near(m) * 10) }
	slices.SortStableFunc(out, func(x, y Move) int { return cmp.Or(cmp.Compare(tenths(&x), tenths(&y)), void.Natural(x.Name, y.Name)) })
	return out
}

// of reports whether a thing is one of those that move.
func (m *Move) of(t *Thing) bool {
	if m.Ceiling {
		return t.Zone < 0 && t.Name == m.Name
	}
	return t.Zone >= 0 && slices.Contains(m.rows, t.Zone)
}

// without returns the field with what moves taken away.
func (f *Field) without(things []Thing, m Move) *Field {
	g := *f
	g.Bars = slices.DeleteFunc(slices.Clone(f.Bars), func(b Bar) bool { return b.Of >= 0 && m.of(&things[b.Of]) })
	return &g
}

// moved returns the field with what moves shifted up.
func (f *Field) moved(things []Thing, m Move, by float64) *Field {
	g := *f
	g.Bars = slices.Clone(f.Bars)
	for i := range g.Bars {
		if b := &g.Bars[i]; b.Of >= 0 && m.of(&things[b.Of]) {
			b.Lo, b.Hi, b.Open = b.Lo+by, b.Hi+by, lifted(b.Open, by)
		}
	}
	return &g
}

// leastMove finds the least shift up or down after which there is a way; in whole millimetres where that is a way too.
func (f *Field) leastMove(things []Thing, m Move, o Steps) (float64, bool) {
	from, to := math.Inf(1), math.Inf(-1)
	for i := range f.Bars {
		if b := &f.Bars[i]; b.Of >= 0 && m.of(&things[b.Of]) {
			from, to = math.Min(from, b.From), math.Max(to, b.To)
		}
	}
	var mine, edges []float64
	for i := range f.Bars {
		b := &f.Bars[i]
		is := b.Of >= 0 && m.of(&things[b.Of])
		for _, z := range []float64{b.Lo, b.Hi} {
			switch {
			case math.IsInf(z, 0):
			case is:
				mine = append(mine, z)
			// As far away as a set over the depth of a void may reach.
			case b.To > from-1000 && b.From < to+1000:
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
	for _, a := range mine {
		for _, e := range edges {
			if d := e - a; math.Abs(d) > void.Hair && math.Abs(d) <= farthest && (!m.Ceiling || d < 0) {
				moves = append(moves, d)
			}
		}
	}
	slices.SortFunc(moves, func(a, b float64) int { return cmp.Or(cmp.Compare(math.Abs(a), math.Abs(b)), cmp.Compare(b, a)) })
	moves = slices.CompactFunc(moves, func(a, b float64) bool { return math.Abs(a-b) <= giveFine })
	can := func(d float64) bool { return f.moved(things, m, d).can(o) }
	last := [2]float64{} // the farthest that was not enough, down and up
	for i := 0; i < len(moves); i += 1 + i/10 {
		d := moves[i]
		way := 0
		if d > 0 {
			way = 1
		}
		if !can(d) {
			last[way] = d
			continue
		}
		not := last[way]
		for math.Abs(d-not) > giveFine {
			if h := (d + not) / 2; can(h) {
				d = h
			} else {
				not = h
			}
		}
		if whole := math.Copysign(math.Ceil(math.Abs(d)-1e-6), d); can(whole) {
			d = whole
		}
		return d, true
	}
	return 0, false
}

// meets returns what the rows of a move meet once moved that they do not meet where they are, or less deep.
func meets(p *void.Project, c *clash.Check, r *Run, m *Move) []string {
	var out []string
	for _, j := range m.rows {
		z := p.Zone(j)
		if z.ByHeight {
			continue
		}
		bare := z.Bare()
		now := metBy(p, c, r, j, bare)
		for n, deep := range metBy(p, c, r, j, bare.Shift(r3.Vector{Z: m.By})) {
			if deep > now[n]+void.Hair && !slices.Contains(out, n) {
				out = append(out, n)
			}
		}
	}
	slices.SortFunc(out, void.Natural)
	return out
}

// metBy returns what a row meets with its bare section as given, and how far it is from where nothing of that forbids it, up
// or down; the rows of a run do not count.
func metBy(p *void.Project, c *clash.Check, r *Run, j int, bare body.Body) map[string]float64 {
	out := map[string]float64{}
	for _, x := range c.Bars(j, bare) {
		if x.Zone >= 0 && p.Zone(x.Zone).Run() != "" && strings.EqualFold(p.Zone(x.Zone).Run(), r.Name) || x.Zone >= 0 && p.Zone(x.Zone).ID == r.Name {
			continue
		}
		in := x.Lo < -void.Hair && x.Hi > void.Hair
		if in && !slices.ContainsFunc(x.Open, func(w r1.Interval) bool { return w.Lo <= void.Hair && w.Hi >= -void.Hair }) {
			out[x.By] = max(out[x.By], min(-x.Lo, x.Hi))
		}
	}
	return out
}
