package setout

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"

	"voidline/clash"
	"voidline/clash/scene"
	"voidline/clash/support"
	"voidline/void"
	"voidline/void/body"
	"voidline/void/cell"
)

// One line for a floor: the level at which the undersides of all that is struck from it lie, where the runs have to leave it, and what it
// takes there.
//
//  1. Each row has its bars: rectangles of stations along its run and levels that something forbids it, by the check's own bars.
//     Rows that are struck with it are left out of them: of two that cross at one level the one that gives way has a bar there at
//     every level at which the other is on the line.
//  2. A sweep over the levels: between the edges of two bars nothing changes. At each edge the runs whose bars begin or end there are looked at
//     again, and those that give way to them: their forbidden stretches are put together, which are the places.
//  3. Of all levels those at which the fewest lengths have nothing at all on the line, of those the ones with the fewest places, in whole 5 mm where those have one. They
//     are ranked by the length that is clear on the line, then by the least length in anything, then by the most to spare, then the highest.
//  4. What the sets take is weighed before that: of the first of each stretch of levels that comes to the same, as many as mostLays allows, all runs are laid. That
//     with the fewest lengths that no sets get past counts first, then that which leaves the greatest length on the line once it is laid.
//  5. Runs that leave the line are set out (SetOut's own search) in the order of their rank, each round those before it.
//
// With n bars there are 2n edges, each costs the bars of its own run and of those that give way to it: n times m for m bars a run. A level
// costs nothing besides.

// FloorSettings say which rows are struck.
type FloorSettings struct {
	Storey                   int
	Trade, Service, Run, Bay string // "" for any; without trade, service and run: what carries cables
	Falling                  bool   // rows that fall are laid level
	Prefer                   *float64
	Steps                    Steps
	Lines                    int // 1 or 2; 0 stands for 1
	By                       By  // by what bays go together, of two lines
}

// Floor is the line of a floor. Levels are above the project datum, lengths mm.
type Floor struct {
	Storey   int
	Level    float64
	Of       string // what lies on the line
	Lowest   float64
	LowestOf int     // the zone that reaches down to it
	Bottom   float64 // nothing may come under it anywhere: the highest ceiling with the room that it asks; -Inf without ceilings
	BottomIn int     // the bay of that ceiling
	All      float64 // length of all rows
	Clear    float64 // of that on the line
	Places   []Place
	Curve    []AtLevel
	Heights  []CeilingHeight
	LeftOut  []LeftOut
	Two      *TwoLines // the best two lines, where they are asked for
	Runs     []*OnLine
}

// AtLevel is what a level comes to.
type AtLevel struct {
	Level, Clear float64
	Places       int
	Never        int    // lengths that have nothing on the line
	Laid         *Taken // what the sets take; nil where that was not worked out
}

// Taken is what it takes to lay the runs of a floor at a level.
type Taken struct {
	Blocked int     // lengths that no sets get past their places
	Sets    int     // of the others
	Kept    float64 // length that stays on the line, of those that are laid
}

// Place is a stretch of a run where the line does not work.
type Place struct {
	Run      *OnLine
	From, To float64 // stations
	Where    [2]string
	By       []string  // what is in the way, the most first
	Up, Down float64   // how far up and down the next level is that is clear over the stretch; infinite where there is none
	Lack     float64   // where there is none: by how much, between what is over it and what is under it
	Crosses  string    // it dips under or over another run that is on the line; "" else
	Laid     []Section // where it lies instead, of the run's own underside
	Sets     []Step    // by which it goes there and back
	Gives    []Give    // where it cannot: what would have to give
}

// Short returns by how much the line is wrong there, mm: to the next clear level; where there is none, what is lacking for one.
func (pl *Place) Short() float64 {
	if d := math.Min(pl.Up, pl.Down); !math.IsInf(d, 1) {
		return d
	}
	return pl.Lack
}

// lack returns what is lacking for a level to be clear of bars: of all levels that are clear of what is neither a ceiling nor a soffit, the least
// by which one is under what the ceilings ask or over what the soffits do; infinite where nothing else leaves a level.
func lack(bars []r1.Interval) float64 {
	free := []r1.Interval{{Lo: math.Inf(-1), Hi: math.Inf(1)}}
	low, high := math.Inf(-1), math.Inf(1)
	for _, b := range bars {
		switch {
		case math.IsInf(b.Lo, -1):
			low = math.Max(low, b.Hi)
		case math.IsInf(b.Hi, 1):
			high = math.Min(high, b.Lo)
		default:
			free = without(free, b)
		}
	}
	least := math.Inf(1)
	for _, v := range free {
		for _, z := range [...]float64{low, high, (low + high) / 2} {
			if z = math.Max(v.Lo, math.Min(v.Hi, z)); !math.IsInf(z, 0) && !math.IsNaN(z) {
				least = math.Min(least, math.Max(low-z, z-high))
			}
		}
	}
	return math.Max(0, least)
}

// OnLine is a length that is struck from the line.
type OnLine struct {
	Run    *Run
	Offset float64 // how much its underside is over the line, mm
	Answer *Answer // how it is set out; of one without places a line of one level
	length float64 // of it that is struck
	parts  []levelBar
	cross  []crossing
	beside []crossing // all that stays and may be met, at whatever level
	after  []int      // runs that give way to it
	field  Field
	things []Thing
	off    []node // at the level at hand: stretches that are not clear
}

// CeilingHeight is what the line leaves over the ceilings of one height.
type CeilingHeight struct {
	Top     float64 // of the build-up
	Bays    []int
	Asked   float64 // room that a rule asks over it
	Hangers []HangerRoom
}

// HangerRoom is what is left over a ceiling for a hanger.
type HangerRoom struct {
	Hanger string  // "" for nothing hung under
	Under  float64 // what it takes
	Left   float64 // below zero: what is lacking
}

// LeftOut is a row that is not struck, and why.
type LeftOut struct{ Zone, Why string }

// levelBar is a stretch that is forbidden to a run at levels of the floor's line: Lo < z < Hi.
type levelBar struct {
	node
	lo, hi float64
	hard   r1.Interval // levels at which the run is in something, rather than too near
	of     int         // index into things
}

// crossing is a stretch of a run at which another that stays is, when both are on the line.
type crossing struct {
	node
	with int     // index of the other run
	at   float64 // station of the other
	of   int
	bar  int // of the run's field: by the other where it is drawn
}

// Strike works out the line of a floor. The error says that nothing is to be struck.
func Strike(p *void.Project, c *clash.Check, set FloorSettings) (*Floor, error) {
	f := &floor{p: p, c: c, set: set, Floor: Floor{Storey: set.Storey, Bottom: math.Inf(-1), BottomIn: -1, LowestOf: -1}}
	if err := f.gather(); err != nil {
		return nil, err
	}
	f.bars()
	states := f.sweep()
	f.choose(states)
	if set.Lines == 2 {
		f.Two = f.two()
	}
	f.weighCurve()
	f.place()
	f.lay(true)
	f.lowest()
	f.heights()
	return &f.Floor, nil
}

type floor struct {
	Floor
	p      *void.Project
	c      *clash.Check
	set    FloorSettings
	struck map[int]int // zone -> index of its run
	meets  []meet      // near runs of other groups of bays, for two lines, by run
	unhung bool        // a row names no hanger: what is left under the line is for one
}

// wants reports whether a row is asked for, and why it is left out all the same.
func (f *floor) wants(i int) (asked bool, why string) {
	z := f.p.Zone(i)
	ch := f.p.Character(z.Char)
	s := &f.set
	if z.Gone || int(z.Storey) != s.Storey || ch.Structure() || z.Item {
		return false, ""
	}
	for _, x := range [...][2]string{{s.Trade, ch.Trade}, {s.Service, ch.Service}} {
		if x[0] != "" && !strings.EqualFold(x[0], x[1]) {
			return false, ""
		}
	}
	if s.Run != "" && !strings.EqualFold(s.Run, z.Run()) && !strings.EqualFold(s.Run, z.ID) {
		return false, ""
	}
	if s.Trade == "" && s.Service == "" && s.Run == "" && !ch.Entry.Containment {
		return false, ""
	}
	if s.Bay != "" && !slices.ContainsFunc(z.Bays(), func(j int32) bool {
		return strings.EqualFold(s.Bay, f.p.Bays[j].Name) || strings.EqualFold(s.Bay, f.p.Bays[j].Label)
	}) {
		return false, ""
	}
	level, _ := z.Holds()
	switch {
	case z.ByHeight:
		return true, "position not given: only its bay and heights"
	case z.Upright:
		return true, "it stands upright through levels"
	case z.Recessed:
		return true, "it is set into the ceiling"
	case level:
		return true, "it holds its level"
	case math.Abs(z.Bare().Along.Z) > void.Hair && !s.Falling:
		return true, "it falls"
	}
	return true, ""
}

// gather finds the rows that are struck and puts them into runs.
func (f *floor) gather() error {
	p := f.p
	type group struct {
		name        string
		rows, items []int
		on          bool
	}
	groups := map[string]*group{}
	var order []*group
	hung := false
	asked := make([]bool, p.Zones())
	for i := range p.Zones() {
		in, why := f.wants(i)
		asked[i] = in && why == ""
		hung = hung || asked[i] && p.Zone(i).Hanger >= 0
		if in && why != "" {
			f.LeftOut = append(f.LeftOut, LeftOut{p.Zone(i).ID, why})
		}
	}
	for i := range p.Zones() {
		z := p.Zone(i)
		if frame, _ := z.Frame(); asked[i] && hung && z.Hanger < 0 && frame == "" && f.set.Run == "" {
			asked[i] = false
			f.LeftOut = append(f.LeftOut, LeftOut{z.ID, "no hanger given"})
		}
		if z.Gone || z.ByHeight || z.Upright || int(z.Storey) != f.set.Storey || p.Character(z.Char).Structure() || z.Item && z.Run() == "" {
			continue
		}
		key := "run " + strings.ToLower(z.Run())
		if z.Run() == "" {
			key = "row " + strings.ToLower(z.ID)
		}
		g := groups[key]
		if g == nil {
			g = &group{name: cmp.Or(z.Run(), z.ID)}
			groups[key] = g
			order = append(order, g)
		}
		if z.Item {
			g.items = append(g.items, i)
			continue
		}
		g.rows = append(g.rows, i)
		g.on = g.on || asked[i]
	}
	slices.SortStableFunc(f.LeftOut, func(a, b LeftOut) int { return cmp.Or(strings.Compare(a.Why, b.Why), void.Natural(a.Zone, b.Zone)) })
	f.unhung = !hung
	for _, g := range order {
		if !g.on {
			continue
		}
		runs := assembled(p, Run{Name: g.name, Face: cell.Bottom}, g.rows, g.items, nil)
		for k := range runs {
			for _, r := range runs[k].only(asked) {
				f.All += r.Length
				f.Runs = append(f.Runs, &OnLine{Run: r, length: r.Length})
			}
		}
	}
	if len(f.Runs) == 0 {
		return fmt.Errorf("nothing level to strike: %s%s%s", f.asked(), storeyWords(p.Storeys[f.set.Storey].Name), f.leftWords())
	}
	// Who stays is laid first.
	slices.SortStableFunc(f.Runs, func(a, b *OnLine) int {
		x, y := a.Run.Pieces[0].Zone, b.Run.Pieces[0].Zone
		if f.c.GivesWay(x, y) == x {
			return 1
		}
		return -1
	})
	f.struck = map[int]int{}
	for k, o := range f.Runs {
		for _, pc := range o.Run.Pieces {
			f.struck[pc.Zone] = k
		}
	}
	f.offsets()
	return nil
}

// only returns the parts of a run whose rows are wanted, each a run of its own with the items that are along it.
func (r *Run) only(wanted []bool) (out []*Run) {
	var part *Run
	for _, pc := range r.Pieces {
		if !wanted[pc.Zone] {
			part = nil
			continue
		}
		from := pc.From
		if part == nil {
			part = &Run{Name: r.Name, Storey: r.Storey, Face: r.Face}
			out = append(out, part)
		} else if slices.Contains(r.Corners, pc.From) {
			part.Corners = append(part.Corners, part.Length)
		}
		by := part.Length - from
		for _, it := range r.Items {
			if mid := (it.From + it.To) / 2; mid >= pc.From && mid < pc.To {
				it.From, it.To = it.From+by, it.To+by
				part.Items = append(part.Items, it)
			}
		}
		pc.From, pc.To = pc.From+by, pc.To+by
		part.Pieces, part.Length = append(part.Pieces, pc), pc.To
	}
	return out
}

func (f *floor) asked() string {
	var words []string
	for _, w := range []string{f.set.Trade, f.set.Service, f.set.Run} {
		if w != "" {
			words = append(words, w)
		}
	}
	if len(words) == 0 {
		return "containment"
	}
	return strings.Join(words, ", ")
}

func storeyWords(name string) string {
	if name == "" {
		return ""
	}
	return ", " + name
}

func (f *floor) leftWords() string {
	if len(f.LeftOut) == 0 {
		return ""
	}
	l := f.LeftOut[0]
	return fmt.Sprintf(" (%d left out, such as %s: %s)", len(f.LeftOut), l.Zone, l.Why)
}

// offsets says how far the undersides of upper tiers are over the first tier of their frame, which is on the line.
func (f *floor) offsets() {
	var plan *support.Plan
	low := func(i int) float64 { return f.p.Zone(i).Bare().Height().Lo }
	for _, o := range f.Runs {
		for _, pc := range o.Run.Pieces {
			if name, _ := f.p.Zone(pc.Zone).Frame(); name == "" {
				continue
			}
			if plan == nil {
				plan = support.Of(f.p, support.Options{})
			}
			first := low(pc.Zone)
			for _, j := range plan.Frame(pc.Zone) {
				first = math.Min(first, low(int(j)))
			}
			o.Offset = math.Max(o.Offset, low(pc.Zone)-first)
		}
	}
}

// bars works out what is forbidden to each run, by levels of the line, and where two that are struck cross.
func (f *floor) bars() {
	f.c.Laid(scene.StraysMost) // laid before several ask at once
	f.c.Blocks(len(f.Runs), 4, func(from, to int) {
		for _, o := range f.Runs[from:to] {
			o.field, o.things = field(f.p, f.c, o.Run, f.set.Steps, false)
		}
	})
	for k, o := range f.Runs {
		r := o.Run
		for i, b := range o.field.Bars {
			t := &o.things[b.Of]
			at := node{math.Max(0, b.From), math.Min(r.Length, b.To)}
			if pc := r.pieceOf(t.Piece); pc != nil {
				at = node{math.Max(pc.From, at.lo), math.Min(pc.To, at.hi)}
			}
			if at.hi-at.lo <= void.Hair {
				continue
			}
			if other, is := f.struck[t.Zone]; is && t.Zone >= 0 {
				if f.framed(t.Piece, t.Zone) {
					continue // they keep the distance that they have
				}
				rel := f.p.Zone(t.Zone).Bare().Height().Lo + o.Offset - f.Runs[other].Offset
				if other >= k {
					continue // that one gives way
				}
				if f.set.Lines == 2 {
					o.beside = append(o.beside, crossing{node: at, with: other, of: b.Of, bar: i})
				}
				if b.forbids(rel) {
					o.cross = append(o.cross, crossing{at, other, f.across(o, at, other), b.Of, i})
					if !slices.Contains(f.Runs[other].after, k) {
						f.Runs[other].after = append(f.Runs[other].after, k)
					}
				}
				continue
			}
			for _, v := range b.levelParts() {
				if v.Length() > 2*void.Hair {
					o.parts = append(o.parts, levelBar{at, v.Lo - o.Offset + void.Hair, v.Hi - o.Offset - void.Hair, inside(t, v, o.Offset), b.Of})
				}
			}
		}
		slices.SortFunc(o.parts, func(a, b levelBar) int {
			return cmp.Or(cmp.Compare(a.node.lo, b.node.lo), cmp.Compare(a.node.hi, b.node.hi), cmp.Compare(a.of, b.of))
		})
	}
}

// across returns the station of another run that is nearest to the middle of a stretch.
func (f *floor) across(o *OnLine, at node, other int) float64 {
	_, s, _ := nearestTo([]Run{*f.Runs[other].Run}, body.Body{Centre: vec(o.Run.Point((at.lo + at.hi) / 2))})
	return s
}

// inside returns the levels of a bar at which the run is in the thing itself, by levels of the line; none where it is only too near.
func inside(t *Thing, v r1.Interval, offset float64) r1.Interval {
	v = r1.Interval{Lo: v.Lo - offset + void.Hair, Hi: v.Hi - offset - void.Hair}
	switch {
	case t.Asked == 0:
		return v
	case t.Zone < 0 && math.IsInf(v.Lo, -1):
		v.Hi -= t.Asked
		return v
	case t.Zone < 0 && math.IsInf(v.Hi, 1):
		v.Lo += t.Asked
		return v
	}
	return r1.EmptyInterval()
}

// pieceOf returns the piece of a run that is a zone; nil where none is.
func (r *Run) pieceOf(zone int) *Piece {
	for i := range r.Pieces {
		if r.Pieces[i].Zone == zone {
			return &r.Pieces[i]
		}
	}
	return nil
}

func (f *floor) framed(a, b int) bool {
	x, _ := f.p.Zone(a).Frame()
	y, _ := f.p.Zone(b).Frame()
	return x != "" && strings.EqualFold(x, y)
}

// backOnLine is the least length on the line between two places, mm: shorter there is no room to come back to it between two bends.
func (f *floor) backOnLine() float64 { return math.Max(joint, f.set.Steps.Straight) }

// look works out the stretches of a run that are not clear at a level; it reports whether they are others than before.
func (f *floor) look(o *OnLine, z float64) bool {
	var bad []node
	for _, b := range o.parts {
		if b.lo < z && z < b.hi {
			bad = append(bad, b.node)
		}
	}
	for _, x := range o.cross {
		on := !slices.ContainsFunc(f.Runs[x.with].off, func(n node) bool { return n.lo <= x.at && x.at <= n.hi })
		if on {
			bad = append(bad, x.node)
		}
	}
	out := f.places(bad)
	if slices.Equal(out, o.off) {
		return false
	}
	o.off = slices.Clone(out)
	return true
}

// places puts stretches together between which there is no room to come back to the line.
func (f *floor) places(bad []node) []node {
	slices.SortFunc(bad, func(a, b node) int { return cmp.Or(cmp.Compare(a.lo, b.lo), cmp.Compare(a.hi, b.hi)) })
	apart := f.backOnLine()
	out := bad[:0]
	for _, n := range bad {
		if k := len(out) - 1; k >= 0 && n.lo-out[k].hi < apart-void.Hair {
			out[k].hi = math.Max(out[k].hi, n.hi)
			continue
		}
		out = append(out, n)
	}
	return out
}

// state is what all levels between two edges come to, or the one level of an edge.
type state struct {
	lo, hi float64
	never  int // lengths that have nothing on the line
	places int
	off    float64 // length that is not on the line
}

// count adds what a run comes to, or takes it off.
func (s *state) count(o *OnLine, by int) {
	n := lengthOf(o.off)
	s.places, s.off = s.places+by*len(o.off), s.off+float64(by)*n
	if o.length > 0 && n > o.length-void.Hair {
		s.never += by
	}
}

// sweep goes through all levels from below.
func (f *floor) sweep() []state {
	type edge struct {
		z   float64
		run int
	}
	var edges []edge
	for k, o := range f.Runs {
		for _, b := range o.parts {
			for _, z := range [2]float64{b.lo, b.hi} {
				if !math.IsInf(z, 0) {
					edges = append(edges, edge{z, k})
				}
			}
		}
	}
	slices.SortFunc(edges, func(a, b edge) int { return cmp.Or(cmp.Compare(a.z, b.z), cmp.Compare(a.run, b.run)) })
	now := state{lo: math.Inf(-1)}
	again := func(runs []int, z float64) {
		slices.Sort(runs)
		for i := 0; i < len(runs); i++ {
			o := f.Runs[runs[i]]
			now.count(o, -1)
			if f.look(o, z) {
				for _, k := range o.after {
					if !slices.Contains(runs, k) {
						runs = append(runs, k)
					}
				}
				slices.Sort(runs[i+1:])
			}
			now.count(o, 1)
		}
	}
	all := make([]int, len(f.Runs))
	for k, o := range f.Runs {
		all[k] = k
		now.count(o, 1)
	}
	from := f.drawn()
	if len(edges) > 0 {
		from = edges[0].z - 1
	}
	again(all, from)
	var out []state
	for i := 0; i < len(edges); {
		z := edges[i].z
		var runs []int
		for ; i < len(edges) && edges[i].z == z; i++ {
			if len(runs) == 0 || runs[len(runs)-1] != edges[i].run {
				runs = append(runs, edges[i].run)
			}
		}
		now.hi = z
		out = append(out, now)
		again(slices.Clone(runs), z)
		now.lo = z
		out = append(out, now)
		next := z + 1
		if i < len(edges) {
			next = (z + edges[i].z) / 2
		}
		again(runs, next)
	}
	now.hi = math.Inf(1)
	return append(out, now)
}

func lengthOf(ns []node) float64 {
	l := 0.0
	for _, n := range ns {
		l += n.hi - n.lo
	}
	return l
}

// drawn is the level at which the tables have the greatest length.
func (f *floor) drawn() float64 {
	at := map[float64]float64{}
	best := math.NaN()
	for _, o := range f.Runs {
		z := o.Run.drawnAt() - o.Offset
		if at[z] += o.Run.Length; math.IsNaN(best) || at[z] > at[best] || at[z] == at[best] && z > best {
			best = z
		}
	}
	return best
}

// base is the level from which whole 5 mm are counted: the datum.
func (f *floor) base() float64 {
	st := &f.p.Storeys[f.set.Storey]
	return st.FFL + st.Datum
}

// mostLevels bounds the levels that are listed of one state.
const mostLevels = 4000

// wholes returns the multiples of unit over the base that a state holds; of one that is open to below or above those next to its edge.
func (f *floor) wholes(s *state, unit float64) []float64 {
	base := f.base()
	lo, hi := s.lo, s.hi
	if math.IsInf(lo, -1) {
		lo = math.Min(hi, f.drawn()) - 2*unit
	}
	if math.IsInf(hi, 1) {
		hi = math.Max(lo, f.drawn()) + 2*unit
	}
	var out []float64
	for k := math.Ceil((lo-base)/unit - 1e-6); len(out) < mostLevels; k++ {
		z := base + k*unit
		if z > hi+1e-6 {
			break
		}
		if s.lo == s.hi || z > s.lo+1e-6 && z < s.hi-1e-6 {
			out = append(out, z)
		}
	}
	return out
}

// choose picks the level.
func (f *floor) choose(states []state) {
	worse := func(a, b *state) int { return cmp.Or(cmp.Compare(a.never, b.never), cmp.Compare(a.places, b.places)) }
	fewest := states[0]
	for i := range states {
		if worse(&states[i], &fewest) < 0 {
			fewest = states[i]
		}
	}
	type may struct {
		z    float64
		off  float64
		want float64 // how far it is from what is preferred
		of   int     // index of its state
	}
	var list []may
	for _, unit := range []float64{whole5, 1, 0} {
		for i := range states {
			s := &states[i]
			if worse(s, &fewest) > 0 {
				continue
			}
			zs := []float64{s.lo}
			if unit > 0 {
				zs = f.wholes(s, unit)
			} else if s.lo != s.hi {
				zs = []float64{math.Max(s.lo, math.Min(s.hi, f.drawn()))}
			}
			for _, z := range zs {
				m := may{z: z, off: s.off, of: i}
				if f.set.Prefer != nil {
					m.want = math.Abs(z - *f.set.Prefer)
				}
				list = append(list, m)
			}
		}
		if len(list) > 0 {
			break
		}
	}
	less := func(x, y float64) int {
		if math.Abs(x-y) <= void.Hair {
			return 0
		}
		return cmp.Compare(x, y)
	}
	want := slices.MinFunc(list, func(a, b may) int { return less(a.want, b.want) }).want
	list = slices.DeleteFunc(list, func(m may) bool { return less(m.want, want) != 0 })
	rooms := map[float64][2]float64{}
	room := func(z float64) (hard, spare float64) {
		r, had := rooms[z]
		if !had {
			r[0], r[1] = f.room(z)
			rooms[z] = r
		}
		return r[0], r[1]
	}
	slices.SortStableFunc(list, func(a, b may) int {
		if d := less(a.off, b.off); d != 0 {
			return d
		}
		hardA, spareA := room(a.z)
		hardB, spareB := room(b.z)
		if f.unhung {
			spareA, spareB = 0, 0
		}
		return cmp.Or(less(hardA, hardB), less(spareB, spareA), cmp.Compare(b.z, a.z))
	})
	f.Level = list[0].z
	var firsts []float64 // of each state, in that order
	seen := map[int]bool{}
	for _, m := range list {
		if !seen[m.of] {
			seen[m.of], firsts = true, append(firsts, m.z)
		}
	}
	f.weigh(firsts)
	for i := range states {
		for _, z := range f.wholes(&states[i], whole5) {
			f.Curve = append(f.Curve, AtLevel{Level: z, Clear: f.All - math.Min(f.All, states[i].off), Places: states[i].places, Never: states[i].never})
		}
	}
	slices.SortFunc(f.Curve, func(a, b AtLevel) int { return cmp.Compare(a.Level, b.Level) })
	f.Curve = slices.CompactFunc(f.Curve, func(a, b AtLevel) bool { return math.Abs(a.Level-b.Level) < 1e-6 })
}

// mostLays is how many lengths are laid at most to weigh levels against each other: each costs a search of its own. Of a floor that would take more
// the curve says no sets, and the level goes by what is clear on it.
const mostLays = 150

// keptMore is how much more must stay on the line for a level to be taken before one with more clear on it, mm: less is the length of a set or two
// (common practice, no source).
const keptMore = 1000.0

// weigh takes of levels that come to as few places the one that takes least once it is laid: the fewest lengths that no sets get past, then the
// greatest length on the line; of equals the first. Where laying them all is too much it takes as many as may be.
func (f *floor) weigh(levels []float64) {
	left := mostLays
	var best *Taken
	for _, z := range levels {
		n := f.leaving(z)
		if left -= n; left < 0 && best != nil || n > mostLays || len(levels) == 1 {
			return
		}
		t := f.taken(z)
		if best == nil || t.Blocked < best.Blocked || t.Blocked == best.Blocked && t.Kept > best.Kept+keptMore {
			best, f.Level = t, z
		}
	}
}

// curveNear is for how many levels on each side of the one to strike it is worked out what the sets take.
const curveNear = 6

// weighCurve works out what the sets take at the levels about the one to strike.
func (f *floor) weighCurve() {
	at := f.CurveAt()
	left := mostLays
	for d := 0; d <= curveNear; d++ {
		for _, k := range [2]int{at + d, at - d} {
			if k < 0 || k >= len(f.Curve) || f.Curve[k].Laid != nil {
				continue
			}
			if left -= f.leaving(f.Curve[k].Level); left < 0 {
				return
			}
			f.Curve[k].Laid = f.taken(f.Curve[k].Level)
		}
	}
}

// CurveAt returns the index of the level of the curve that is nearest to the one to strike.
func (f *Floor) CurveAt() int {
	near := 0
	for i := range f.Curve {
		if math.Abs(f.Curve[i].Level-f.Level) < math.Abs(f.Curve[near].Level-f.Level) {
			near = i
		}
	}
	return near
}

// leaving counts the lengths that leave the line at a level.
func (f *floor) leaving(z float64) (n int) {
	for _, o := range f.Runs {
		o.off = nil
	}
	for _, o := range f.Runs {
		if f.look(o, z); len(o.off) > 0 {
			n++
		}
	}
	return n
}

// taken lays all runs at a level and says what that takes; what was laid is let go.
func (f *floor) taken(z float64) *Taken {
	level := f.Level
	f.Level = z
	f.place()
	f.lay(false)
	t := &Taken{}
	for _, o := range f.Runs {
		if !o.Answer.Found || len(o.Answer.Unproved) > 0 {
			t.Blocked++
			continue
		}
		t.Sets += len(o.Answer.Line.Steps)
		for _, s := range f.Stretches(o) {
			if s.Is == OnIt {
				t.Kept += s.To - s.From
			}
		}
	}
	f.Level, f.Places = level, nil
	for _, o := range f.Runs {
		o.Answer, o.off = nil, nil
	}
	return t
}

// room returns the length at a level that is in something, and how far the nearest edge of anything is from the level; below zero how
// deep the level is in what is deepest.
func (f *floor) room(z float64) (hard, spare float64) {
	spare = math.Inf(1)
	for _, o := range f.Runs {
		var in []node
		for _, b := range o.parts {
			d := math.Max(b.lo-z, z-b.hi)
			spare = math.Min(spare, d)
			if b.hard.InteriorContains(z) {
				in = append(in, b.node)
			}
		}
		hard += lengthOf(merged(in))
	}
	return hard, spare
}

// place lists the places of the level.
func (f *floor) place() {
	f.Of, f.Places = f.ofWords(), nil
	for _, o := range f.Runs {
		o.off = nil
	}
	off := 0.0
	for _, o := range f.Runs {
		f.look(o, f.Level)
		off += lengthOf(o.off)
		for _, n := range o.off {
			pl := Place{Run: o, From: n.lo, To: n.hi, Where: [2]string{f.p.Where(o.Run.Point(n.lo)), f.p.Where(o.Run.Point(n.hi))}}
			type by struct {
				name string
				deep float64
			}
			var bys []by
			var bars []r1.Interval
			for _, b := range o.parts {
				if b.node.hi <= n.lo || b.node.lo >= n.hi {
					continue
				}
				bars = append(bars, r1.Interval{Lo: b.lo - void.Hair, Hi: b.hi + void.Hair})
				if b.lo < f.Level && f.Level < b.hi {
					bys = append(bys, by{o.things[b.of].Name, math.Min(f.Level-b.lo, b.hi-f.Level)})
				}
			}
			for _, x := range o.cross {
				if x.node.hi > n.lo && x.node.lo < n.hi && slices.Contains(o.off, n) {
					on := !slices.ContainsFunc(f.Runs[x.with].off, func(n node) bool { return n.lo <= x.at && x.at <= n.hi })
					if on {
						pl.Crosses = f.Runs[x.with].Run.Name
						bys = append(bys, by{o.things[x.of].Name, math.Inf(1)})
						t := &o.things[x.of]
						lift := f.Level + f.Runs[x.with].Offset - f.p.Zone(t.Zone).Bare().Height().Lo - o.Offset
						bars = append(bars, r1.Interval{Lo: t.Line + t.Lo + lift, Hi: t.Line + t.Hi + lift})
					}
				}
			}
			slices.SortStableFunc(bys, func(a, b by) int { return cmp.Compare(b.deep, a.deep) })
			for _, b := range bys {
				if !slices.Contains(pl.By, b.name) {
					pl.By = append(pl.By, b.name)
				}
			}
			free := []r1.Interval{{Lo: math.Inf(-1), Hi: math.Inf(1)}}
			for _, b := range bars {
				free = without(free, b)
			}
			pl.Up, pl.Down = math.Inf(1), math.Inf(1)
			if len(free) == 0 {
				pl.Lack = lack(bars)
			}
			for _, v := range free {
				if v.Lo >= f.Level {
					pl.Up = math.Min(pl.Up, v.Lo-f.Level)
				}
				if v.Hi <= f.Level {
					pl.Down = math.Min(pl.Down, f.Level-v.Hi)
				}
				if v.Lo <= f.Level && f.Level <= v.Hi {
					pl.Up, pl.Down = 0, 0
				}
			}
			f.Places = append(f.Places, pl)
		}
	}
	f.Clear = math.Max(0, f.All-off)
}

// ofWords says what lies on the line.
func (f *floor) ofWords() string {
	kinds := map[string]float64{}
	best := ""
	for _, o := range f.Runs {
		for _, pc := range o.Run.Pieces {
			k := f.p.Character(f.p.Zone(pc.Zone).Char).Kind
			if kinds[k] += pc.To - pc.From; best == "" || kinds[k] > kinds[best] {
				best = k
			}
		}
	}
	s := "underside of " + best
	if !f.unhung {
		s += " = top of channel"
	}
	return s
}

// lay sets out the runs, who stays first: those without a place on the line, the others round what is in their way and what is laid already. give: of those that
// find no way it is worked out what would have to give.
func (f *floor) lay(give bool) {
	ffl := f.p.Storeys[f.set.Storey].FFL
	spans := make([]r1.Interval, len(f.Runs)) // levels of the line between which a run lies, those that are not laid yet on it
	for k := range spans {
		spans[k] = r1.Interval{Lo: f.Level, Hi: f.Level}
	}
	for k, o := range f.Runs {
		z := f.Level + o.Offset
		a := &Answer{Run: o.Run, Things: o.things, Drawn: o.Run.drawnAt(), lifts: map[int32]float64{}, square: true}
		o.Answer = a
		if len(o.off) == 0 {
			a.Level, a.Found = &z, true
			a.Line = Line{Sections: []Section{{0, o.Run.Length, z}}}
			continue
		}
		fld := o.field
		fld.Bars = nil
		for _, b := range o.field.Bars {
			t := &o.things[b.Of]
			other, is := f.struck[t.Zone]
			if !is || t.Zone < 0 {
				fld.Bars = append(fld.Bars, b)
				continue
			}
			if other == k || other > k && !f.framed(t.Piece, t.Zone) {
				continue // it is this one, or gives way to it
			}
			drawn := f.p.Zone(t.Zone).Bare().Height().Lo
			lo, hi := spans[other].Lo+f.Runs[other].Offset-drawn, spans[other].Hi+f.Runs[other].Offset-drawn
			if a.lifts[int32(t.Zone)] = lo; lo == 0 {
				a.lifts[int32(t.Zone)] = void.Hair // it is measured where it is laid, not where it is drawn
			}
			b.Lo, b.Hi = b.Lo+lo, b.Hi+hi
			if b.Open = nil; lo == hi {
				b.Open = lifted(o.field.Bars[slices.IndexFunc(o.field.Bars, func(x Bar) bool { return x.Of == b.Of })].Open, lo)
			}
			if f.framed(t.Piece, t.Zone) && b.forbids(z) { // so they are in the tables, and come no nearer
				if b.Open = nil; drawn+lo > z {
					b.Lo = z
				} else {
					b.Hi = z
				}
			}
			fld.Bars = append(fld.Bars, b)
		}
		a.field = fld
		set := f.set.Steps
		set.Prefer, set.AsDrawn = &z, false
		if !f.fromLine(o, z, &fld, set, ffl) {
			a.step(f.p, f.c, &fld, set, ffl)
		}
		if a.Found {
			for _, s := range a.Line.Sections {
				spans[k] = spans[k].AddPoint(s.Level - o.Offset)
			}
			f.setsOf(o)
			continue
		}
		if !give {
			continue
		}
		a.blocked(&fld, set)
		a.giving(f.p, f.c, &fld, set)
		for i := range f.Places {
			if f.Places[i].Run == o {
				f.Places[i].Gives = a.Gives
			}
		}
	}
}

// fromLine sets a run out that begins and ends on the line where it is clear there, else begins or else ends on it; false where no sets do that.
func (f *floor) fromLine(o *OnLine, z float64, fld *Field, set Steps, ffl float64) bool {
	apart := f.backOnLine()
	begins, ends := o.off[0].lo > apart, o.off[len(o.off)-1].hi < o.Run.Length-apart
	for _, on := range [3][2]bool{{begins, ends}, {begins, false}, {false, ends}} {
		set.Start, set.End = nil, nil
		if on[0] {
			set.Start = &z
		}
		if on[1] {
			set.End = &z
		}
		if set.Start == nil && set.End == nil {
			continue
		}
		b := *o.Answer
		if b.step(f.p, f.c, fld, set, ffl); b.Found && len(b.Unproved) == 0 {
			*o.Answer = b
			return true
		}
	}
	return false
}

// setsOf says of each place of a run where the run lies instead, from where it leaves the line to where it comes back, and by which sets.
func (f *floor) setsOf(o *OnLine) {
	secs, steps := o.Answer.Line.Sections, o.Answer.Line.Steps
	off := func(k int) bool { return math.Abs(secs[k].Level-f.Level-o.Offset) > void.Hair }
	for i := range f.Places {
		pl := &f.Places[i]
		if pl.Run != o {
			continue
		}
		// The sections that it is in, or that the set which it is in leads from and to.
		first, last := 0, len(secs)-1
		for first < last && steps[first].To <= pl.From+void.Hair {
			first++
		}
		for last > first && steps[last-1].From >= pl.To-void.Hair {
			last--
		}
		for first > 0 && off(first) && off(first-1) {
			first--
		}
		for last < len(secs)-1 && off(last) && off(last+1) {
			last++
		}
		for k := first; k <= last; k++ {
			if off(k) {
				pl.Laid = append(pl.Laid, secs[k])
			}
			for _, n := range [2]int{k - 1, k} {
				if off(k) && n >= 0 && n < len(steps) && !slices.Contains(pl.Sets, steps[n]) {
					pl.Sets = append(pl.Sets, steps[n])
				}
			}
		}
	}
}

// lowest finds the lowest part of all that hangs on the line.
func (f *floor) lowest() {
	f.Lowest = math.Inf(1)
	for _, o := range f.Runs {
		for _, pc := range o.Run.Pieces {
			z := f.p.Zone(pc.Zone)
			level := f.Level + o.Offset
			if o.Answer.Found {
				for _, sec := range o.Answer.Line.Sections {
					if sec.From < pc.To-void.Hair && sec.To > pc.From+void.Hair {
						level = math.Min(level, sec.Level)
					}
				}
			}
			low := level - z.Grow
			if z.Hanger >= 0 {
				low = math.Min(low, level-f.p.Hangers[z.Hanger].Under)
			}
			if low < f.Lowest-void.Hair {
				f.Lowest, f.LowestOf = low, pc.Zone
			}
		}
	}
}

// heights says for each height of ceiling what the line leaves over it.
func (f *floor) heights() {
	asked := map[int]float64{} // by bay: room that a rule asks over its ceiling
	for _, o := range f.Runs {
		for i := range o.things {
			if t := &o.things[i]; t.Zone < 0 && t.Bay >= 0 && math.IsInf(t.Lo, -1) {
				asked[t.Bay] = math.Max(asked[t.Bay], t.Asked)
			}
		}
	}
	bays := map[int]bool{}
	for _, o := range f.Runs {
		for _, pc := range o.Run.Pieces {
			for _, j := range f.p.Zone(pc.Zone).Bays() {
				if f.p.Bays[j].HasCeiling {
					bays[int(j)] = true
				}
			}
		}
	}
	for j := range f.p.Bays {
		if !bays[j] {
			continue
		}
		top := f.p.Bays[j].Top
		if low := top + asked[j]; low > f.Bottom+void.Hair {
			f.Bottom, f.BottomIn = low, j
		}
		k := slices.IndexFunc(f.Heights, func(h CeilingHeight) bool { return math.Abs(h.Top-top) <= void.Hair })
		if k < 0 {
			k = len(f.Heights)
			f.Heights = append(f.Heights, CeilingHeight{Top: top})
		}
		h := &f.Heights[k]
		h.Bays, h.Asked = append(h.Bays, j), math.Max(h.Asked, asked[j])
	}
	slices.SortFunc(f.Heights, func(a, b CeilingHeight) int { return cmp.Compare(a.Top, b.Top) })
	used := map[int32]bool{}
	for _, o := range f.Runs {
		for _, pc := range o.Run.Pieces {
			used[f.p.Zone(pc.Zone).Hanger] = true
		}
	}
	for i := range f.Heights {
		h := &f.Heights[i]
		add := func(name string, under float64) {
			h.Hangers = append(h.Hangers, HangerRoom{name, under, f.Level - h.Top - h.Asked - under})
		}
		add("", 0)
		for k := range f.p.Hangers {
			if g := &f.p.Hangers[k]; g.Row != (void.At{}) || used[int32(k)] {
				add(g.Name, g.Under)
			}
		}
		slices.SortFunc(h.Hangers[1:], func(a, b HangerRoom) int { return void.Natural(a.Hanger, b.Hanger) })
	}
}

func vec(at r2.Point) r3.Vector { return r3.Vector{X: at.X, Y: at.Y} }

// merged returns stretches put together where they meet, ascending.
func merged(list []node) []node {
	slices.SortFunc(list, func(a, b node) int { return cmp.Compare(a.lo, b.lo) })
	var out []node
	for _, b := range list {
		if n := len(out); n > 0 && b.lo <= out[n-1].hi+void.Hair {
			out[n-1].hi = math.Max(out[n-1].hi, b.hi)
		} else {
			out = append(out, b)
		}
	}
	return out
}
