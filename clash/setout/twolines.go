package setout

import (
	"cmp"
	"maps"
	"math"
	"math/bits"
	"slices"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"

	"voidline/void"
)

// Two lines for a floor: bays go together in groups, by the height of their ceilings or by rooms, and each group takes one of two levels.
//
//  1. Each group is swept like a floor of its own, with the stretches of the runs that lie in it.
//  2. Levels between which no group comes to anything else count once.
//  3. Of two levels each group takes one, so that what they come to together is the least; where a run goes from a group with the one line to a group with the
//     other there is a bulkhead, and it changes by a set, which counts as a place; where both are on one line a place on both sides is one. Which group takes which is a least cut: one side of it are the groups on the one
//     line, and what is cut are what each group comes to on its line and the sets between the sides.
//     What runs of one group are in the way of those of another, beside a border, is counted with each two levels, for that hangs on both.
//  4. Two levels are looked at in the order of what they would come to if changing cost nothing: each group at the better of the two. From
//     where that is no better than the best that is known, no two can be.
//
// With g groups and n levels that is n² sums of g, and a cut of g+2 nodes for as many as the bound lets through. Of more than mostGroups groups the longest are
// told apart, the others are one.

// LineOf is one of two lines.
type LineOf struct {
	Level  float64
	Tops   []float64 // of the build-ups over whose ceilings it is struck, each once
	Bays   []int
	All    float64 // length over them
	Clear  float64
	Places int
}

// TwoLines is what two lines come to.
type TwoLines struct {
	Lines   []LineOf // the lower one first; one alone where a second gains nothing
	Changes int      // places where a run goes from one line to the other
	Places  int      // all together, changes too
	Clear   float64
	Groups  int // that were told apart
	never   int // lengths that have nothing on either
}

// By is by what bays go together, for two lines.
type By string

// By what bays go together.
const (
	ByHeight By = ""     // ceilings of one height, wherever they are
	ByRoom   By = "room" // those of them that adjoin with no wall all along between them: a corridor, a room
)

// mostGroups is how many groups of bays are told apart.
const mostGroups = 60

// height is the stretches in one group of bays.
type height struct {
	floor
	tops   []float64
	bays   []int
	states []state
}

// wallAside is how far from the edge of a bay a wall between two rooms may stand, mm, and wallGaps what part of the edge it may leave open: doors
// (common practice, no source).
const (
	wallAside = 300.0
	wallGaps  = 0.3
)

// groupOf says of each bay to which group it belongs: by the number of a bay of it.
func (f *floor) groupOf() []int {
	of := make([]int, len(f.p.Bays))
	for j := range of {
		of[j] = j
	}
	var root func(j int) int
	root = func(j int) int {
		if of[j] != j {
			of[j] = root(of[j])
		}
		return of[j]
	}
	for j := range f.p.Bays {
		for k := range j {
			if f.topOf(j) == f.topOf(k) && f.p.Bays[j].Storey == f.p.Bays[k].Storey && (f.set.By == ByHeight || f.oneRoom(j, k)) {
				of[root(j)] = root(k)
			}
		}
	}
	for j := range of {
		of[j] = root(j)
	}
	return of
}

// topOf is the top of the ceiling of a bay; below everything where there is none.
func (f *floor) topOf(bay int) float64 {
	if bay < 0 || !f.p.Bays[bay].HasCeiling {
		return math.Inf(-1)
	}
	return f.p.Bays[bay].Top
}

// oneRoom reports whether two bays adjoin and no wall stands all along between them.
func (f *floor) oneRoom(j, k int) bool {
	edge := f.p.Bays[j].Plan.ExpandedByMargin(void.Hair).Intersection(f.p.Bays[k].Plan.ExpandedByMargin(void.Hair))
	if edge.IsEmpty() || math.Max(edge.X.Length(), edge.Y.Length()) <= joint {
		return false
	}
	along := func(r r2.Rect) r1.Interval {
		if edge.X.Length() > edge.Y.Length() {
			return r.X
		}
		return r.Y
	}
	strip := edge.ExpandedByMargin(wallAside)
	var walls []node
	for i := range f.p.Zones() {
		z := f.p.Zone(i)
		if z.Gone || int(z.Storey) != f.p.Bays[j].Storey || f.p.Character(z.Char).Kind != "wall" {
			continue
		}
		plan := z.Bare().Plan()
		if !strip.Contains(plan.Intersection(strip)) || plan.Intersection(strip).IsEmpty() || math.Min(plan.X.Length(), plan.Y.Length()) > 2*wallAside {
			continue
		}
		if v := along(plan).Intersection(along(edge)); !v.IsEmpty() && along(plan).Length() >= math.Min(plan.X.Length(), plan.Y.Length())+void.Hair {
			walls = append(walls, node{v.Lo, v.Hi})
		}
	}
	return lengthOf(merged(walls)) < (1-wallGaps)*along(edge).Length()
}

// at returns what a level comes to.
func (h *height) at(z float64) *state {
	k, _ := slices.BinarySearchFunc(h.states, z, func(s state, z float64) int {
		switch {
		case s.hi < z-1e-6 || s.hi <= z+1e-6 && s.lo != s.hi:
			return -1
		case s.lo > z+1e-6 || s.lo >= z-1e-6 && s.lo != s.hi:
			return 1
		}
		return 0
	})
	return &h.states[min(k, len(h.states)-1)]
}

// never says which runs have nothing on the line over these ceilings at a level, or are not over them: a bit for each.
func (h *height) never(z float64) []uint64 {
	out := make([]uint64, (len(h.Runs)+63)/64)
	for n, o := range h.Runs {
		if h.look(o, z); o.length <= 0 || lengthOf(o.off) > o.length-void.Hair {
			out[n/64] |= 1 << (n % 64)
		}
	}
	return out
}

// border is where a run goes from one group of bays to another.
type border struct {
	run, a, b int // the groups, as the run goes
	at        float64
}

// joins reports whether the place before the border and the one behind it are one, at the level that the two groups were last looked at.
func (x *border) joins(hs []*height) bool {
	before, behind := hs[x.a].Runs[x.run].off, hs[x.b].Runs[x.run].off
	ends, begins := math.Inf(-1), math.Inf(1)
	for _, n := range before {
		if n.hi <= x.at+void.Hair {
			ends = math.Max(ends, n.hi)
		}
	}
	for _, n := range behind {
		if n.lo >= x.at-void.Hair {
			begins = math.Min(begins, n.lo)
		}
	}
	return begins-ends < hs[x.a].backOnLine()-void.Hair
}

// meet is a stretch of a run that is near another, in another group of bays, which stays.
type meet struct {
	crossing
	run, a, b int // the run that gives way, its group there and the other's
}

// meets says, group by group, whether the other stays in the way at the levels of the two groups.
func (x *meet) meets(f *floor, hs []*height, level func(group int) float64) bool {
	o, other := f.Runs[x.run], f.Runs[x.with]
	drawn := f.p.Zone(o.things[x.of].Zone).Bare().Height().Lo
	if !o.field.Bars[x.bar].forbids(level(x.a) + o.Offset - (level(x.b) + other.Offset - drawn)) {
		return false
	}
	return !slices.ContainsFunc(hs[x.b].Runs[x.with].off, func(n node) bool { return n.lo <= x.at && x.at <= n.hi })
}

// meeting works out what each group comes to at its level, with the runs of other groups that are in the way of its own.
func (f *floor) meeting(hs []*height, level func(group int) float64) []groupCost {
	out := make([]groupCost, len(hs))
	next := f.meets
	for n := range f.Runs { // who stays first
		here := next
		for len(next) > 0 && next[0].run == n {
			next = next[1:]
		}
		here = here[:len(here)-len(next)]
		for k, h := range hs {
			o := h.Runs[n]
			h.look(o, level(k))
			bad := slices.Clone(o.off)
			for i := range here {
				if x := &here[i]; x.a == k && x.meets(f, hs, level) {
					bad = append(bad, x.node)
				}
			}
			if len(bad) > len(o.off) {
				o.off = f.places(bad)
			}
			out[k].places, out[k].off = out[k].places+len(o.off), out[k].off+lengthOf(o.off)
		}
	}
	return out
}

// heightsOf parts the floor by groups of bays, and says where runs go from one to another.
func (f *floor) heightsOf() (hs []*height, borders []border) {
	group := f.groupOf()
	groupOf := func(bay int) int {
		if bay < 0 {
			return -1
		}
		return group[bay]
	}
	along := map[int]float64{}
	for _, o := range f.Runs {
		for _, st := range bayStretches(f.p, o.Run) {
			along[groupOf(st.Bay)] += st.To - st.From
		}
	}
	order := slices.SortedFunc(maps.Keys(along), func(a, b int) int { return cmp.Or(cmp.Compare(along[b], along[a]), cmp.Compare(a, b)) })
	index := map[int]int{}
	for k, g := range order {
		if index[g] = min(k, mostGroups-1); k < mostGroups {
			hs = append(hs, &height{floor: floor{p: f.p, c: f.c, set: f.set}})
		}
	}
	for k := range hs {
		hs[k].Runs = make([]*OnLine, len(f.Runs))
	}
	f.meets = nil
	all := make([][]InBay, len(f.Runs))
	for n, o := range f.Runs {
		all[n] = bayStretches(f.p, o.Run)
	}
	// across calls each with the groups in which another run is where it passes a stretch: near the border of two it is in both.
	across := func(o *OnLine, x crossing, each func(group int, at float64)) {
		half := o.things[x.of].Asked
		for _, pc := range o.Run.Pieces {
			if pc.From < x.node.hi && pc.To > x.node.lo {
				half = math.Max(half, pc.Bare.W+o.things[x.of].Asked)
			}
		}
		s := f.across(o, x.node, x.with)
		seen := map[int]bool{}
		for _, st := range all[x.with] {
			if g := index[groupOf(st.Bay)]; st.To > s-half && st.From < s+half && !seen[g] {
				seen[g] = true
				each(g, math.Max(st.From, math.Min(st.To, s)))
			}
		}
	}
	for n, o := range f.Runs {
		sts := all[n]
		for k, h := range hs {
			part := &OnLine{Run: o.Run, Offset: o.Offset, after: o.after}
			h.Runs[n] = part
			for _, st := range sts {
				if index[groupOf(st.Bay)] != k {
					continue
				}
				if st.Bay >= 0 && !slices.Contains(h.bays, st.Bay) {
					h.bays = append(h.bays, st.Bay)
				}
				if top := f.topOf(st.Bay); !slices.Contains(h.tops, top) {
					h.tops = append(h.tops, top)
				}
				clip := func(n node) (node, bool) {
					n = node{math.Max(n.lo, st.From), math.Min(n.hi, st.To)}
					return n, n.hi-n.lo > void.Hair
				}
				for _, pc := range o.Run.Pieces {
					if in, ok := clip(node{pc.From, pc.To}); ok {
						part.length += in.hi - in.lo
					}
				}
				for _, b := range o.parts {
					if in, ok := clip(b.node); ok {
						b.node = in
						part.parts = append(part.parts, b)
					}
				}
				for _, x := range o.cross {
					if in, ok := clip(x.node); ok {
						x.node = in
						across(o, x, func(g int, at float64) {
							if x.at = at; g == k {
								part.cross = append(part.cross, x)
							}
						})
					}
				}
				for _, x := range o.beside {
					if in, ok := clip(x.node); ok {
						x.node = in
						across(o, x, func(g int, at float64) {
							if x.at = at; g != k {
								f.meets = append(f.meets, meet{x, n, k, g})
							}
						})
					}
				}
			}
			h.All += part.length
		}
		for i := 1; i < len(sts); i++ {
			a, b := index[groupOf(sts[i-1].Bay)], index[groupOf(sts[i].Bay)]
			if a != b && sts[i].From-sts[i-1].To < joint {
				borders = append(borders, border{n, a, b, sts[i].From})
			}
		}
	}
	return hs, borders
}

// two works out the best two lines: in whole 5, or to the mm, or between, where that takes fewer places.
func (f *floor) two() *TwoLines {
	hs, borders := f.heightsOf()
	for _, h := range hs {
		h.states = h.sweep()
	}
	best := f.twoOf(hs, borders, f.levelsOf(hs))
	for _, unit := range []float64{1, 0} {
		fine := f.levelsBetween(hs, unit)
		if len(fine) > mostBetween {
			fine = []float64{f.Level}
		}
		if len(fine) == 0 {
			continue
		}
		if t := f.twoOf(hs, borders, append(f.levelsOf(hs), fine...)); t.never < best.never || t.never == best.never && t.Places < best.Places {
			best = t
		}
	}
	return best
}

// mostBetween is how many levels are looked at that are not in whole 5, for each is held against every other; of more the one that one line
// would have.
const mostBetween = 300

// levelsBetween returns of each state that holds no level in whole 5 one to the mm, or with 0 of each that holds none of these either one in its middle.
func (f *floor) levelsBetween(hs []*height, unit float64) (out []float64) {
	for _, h := range hs {
		for i := range h.states {
			s := &h.states[i]
			if len(h.wholes(s, whole5)) > 0 || math.IsInf(s.lo, 0) || math.IsInf(s.hi, 0) {
				continue
			}
			switch mm := h.wholes(s, 1); {
			case unit == 1 && len(mm) > 0:
				out = append(out, mm[len(mm)/2])
			case unit == 0 && len(mm) == 0:
				out = append(out, (s.lo+s.hi)/2)
			}
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// levelsOf returns the levels in whole 5 that are looked at.
func (f *floor) levelsOf(hs []*height) (zs []float64) {
	levels := map[int]bool{}
	base := f.base()
	for _, h := range hs {
		for i := range h.states {
			for _, z := range h.wholes(&h.states[i], whole5) {
				levels[int(math.Round((z-base)/whole5))] = true
			}
		}
	}
	all := slices.Sorted(maps.Keys(levels))
	// One level of those that come to the same: the middle one.
	same := func(a, b int) bool {
		for _, h := range hs {
			x, y := h.at(base+whole5*float64(a)), h.at(base+whole5*float64(b))
			if x.never != y.never || x.places != y.places || math.Abs(x.off-y.off) > void.Hair {
				return false
			}
		}
		return true
	}
	for i := 0; i < len(all); {
		j := i + 1
		for j < len(all) && all[j] == all[j-1]+1 && same(all[i], all[j]) {
			j++
		}
		zs = append(zs, base+whole5*float64(all[(i+j-1)/2]))
		i = j
	}
	return zs
}

// twoOf works out the best two of some levels.
func (f *floor) twoOf(hs []*height, borders []border, zs []float64) *TwoLines {
	costs := make([][]groupCost, len(hs))
	b := between{changes: square(len(hs))}
	for _, x := range borders {
		b.changes[x.a][x.b]++
		b.changes[x.b][x.a]++
	}
	for _, z := range zs {
		for k, h := range hs {
			s := h.at(z)
			costs[k] = append(costs[k], groupCost{places: s.places, off: s.off, never: h.never(z)})
		}
		one := square(len(hs))
		for i := range borders {
			if x := &borders[i]; x.joins(hs) {
				one[x.a][x.b]++
				one[x.b][x.a]++
			}
		}
		b.one = append(b.one, one)
	}
	alone := f.alone(hs)
	for k := range costs {
		for i := range costs[k] {
			costs[k][i].sum = costs[k][i].summed(alone[k])
		}
	}
	// Every two levels, those first that would come to the least if changing cost nothing.
	type pair struct {
		i, j  int
		bound int64
	}
	var pairs []pair
	for i := range zs {
		for j := i; j < len(zs); j++ {
			x := pair{i, j, 0}
			for k := range hs {
				x.bound += min(costs[k][i].sum, costs[k][j].sum)
				for l := range k {
					x.bound -= inOne(0, max(b.one[i][k][l], b.one[j][k][l]), 0)
				}
			}
			pairs = append(pairs, x)
		}
	}
	slices.SortStableFunc(pairs, func(a, b pair) int { return cmp.Compare(a.bound, b.bound) })
	var best lineSum
	var which []bool // by group: it takes the second of the two
	var comes []groupCost
	var at [2]int
	found := false
	for _, x := range pairs {
		if found && x.bound >= best.all() {
			break
		}
		c0, c1 := make([]int64, len(hs)), make([]int64, len(hs))
		for k := range hs {
			c0[k], c1[k] = costs[k][x.i].sum, costs[k][x.j].sum
		}
		takes := make([]bool, len(hs))
		if x.i != x.j {
			takes = leastCut(c0, c1, b.changes, b.one[x.i], b.one[x.j])
		}
		s := b.sum(costs, [2]int{x.i, x.j}, takes)
		level := func(k int) int {
			if takes[k] {
				return x.j
			}
			return x.i
		}
		var came []groupCost
		if len(f.meets) > 0 {
			came = f.meeting(hs, func(k int) float64 { return zs[level(k)] })
		} else {
			for k := range hs {
				came = append(came, costs[k][level(k)])
			}
		}
		for k := range hs {
			c := &costs[k][level(k)]
			s.places, s.off = s.places+came[k].places-c.places, s.off+came[k].off-c.off
		}
		if !found || s.all() < best.all() {
			best, which, at, comes, found = s, takes, [2]int{x.i, x.j}, came, true
		}
	}
	out := &TwoLines{Changes: best.changes, Places: best.places, Clear: f.All - math.Min(f.All, best.off), Groups: len(hs), never: best.never}
	for n := range 2 {
		l := LineOf{Level: zs[at[n]]}
		for k, h := range hs {
			if at[0] != at[1] && which[k] != (n == 1) || at[0] == at[1] && n > 0 {
				continue
			}
			s := &comes[k]
			l.Tops, l.Bays = append(l.Tops, h.tops...), append(l.Bays, h.bays...)
			l.All, l.Clear, l.Places = l.All+h.All, l.Clear+h.All-math.Min(h.All, s.off), l.Places+s.places
			for o := range k {
				if which[o] == which[k] { // a place on both sides of their border is one
					l.Places -= b.one[at[n]][k][o]
				}
			}
		}
		if len(l.Tops) > 0 {
			slices.Sort(l.Tops)
			l.Tops = slices.Compact(l.Tops)
			slices.Sort(l.Bays)
			out.Lines = append(out.Lines, l)
		}
	}
	slices.SortFunc(out.Lines, func(a, b LineOf) int { return cmp.Compare(a.Level, b.Level) })
	return out
}

// groupCost is what a group comes to at a level.
type groupCost struct {
	places int
	off    float64
	never  []uint64 // a bit for each run that has nothing on the line in this group, or is not in it
	sum    int64
}

// summed puts what a group comes to into one figure, in which a length that is wholly off counts before any places, and a place before any length; alone has a bit
// for each run that is in this group and no other: of those it is known here that they have nothing on any line.
func (c *groupCost) summed(alone []uint64) int64 {
	n := 0
	for w := range alone {
		n += bits.OnesCount64(alone[w] & c.never[w])
	}
	return inOne(n, c.places, c.off)
}

func inOne(never, places int, off float64) int64 {
	return int64(never)*1e15 + int64(places)*1e9 + int64(math.Round(off))
}

// alone returns, by group, the runs that are in it and in no other, a bit for each.
func (f *floor) alone(hs []*height) [][]uint64 {
	out := make([][]uint64, len(hs))
	for k := range out {
		out[k] = make([]uint64, (len(f.Runs)+63)/64)
	}
	for n := range f.Runs {
		in := -1
		for k, h := range hs {
			if h.Runs[n].length <= 0 {
				continue
			}
			if in >= 0 {
				in = -2
				break
			}
			in = k
		}
		if in >= 0 {
			out[in][n/64] |= 1 << (n % 64)
		}
	}
	return out
}

// lineSum is what two lines come to.
type lineSum struct {
	never, places, changes int
	off                    float64
}

func (s *lineSum) all() int64 { return inOne(s.never, s.places, s.off) }

// between is what groups come to because runs go from one to the other.
type between struct {
	changes [][]int   // how often one goes: a set, where the two are on different lines
	one     [][][]int // by level: how many places on the two sides of a border are one, where both are at it
}

func square(n int) [][]int {
	out := make([][]int, n)
	for k := range out {
		out[k] = make([]int, n)
	}
	return out
}

// sum adds up what groups come to, each at the one or the other of two levels.
func (b *between) sum(costs [][]groupCost, at [2]int, takes []bool) (s lineSum) {
	level := func(k int) int {
		if takes[k] {
			return at[1]
		}
		return at[0]
	}
	for k := range costs {
		c := &costs[k][level(k)]
		s.places, s.off = s.places+c.places, s.off+c.off
		for l := range k {
			if level(k) != level(l) {
				s.changes += b.changes[k][l]
			} else {
				s.places -= b.one[level(k)][k][l]
			}
		}
	}
	s.places += s.changes
	for w := range costs[0][0].never {
		all := ^uint64(0)
		for k := range costs {
			all &= costs[k][level(k)].never[w]
		}
		s.never += bits.OnesCount64(all)
	}
	return s
}

// leastCut says which groups take the second of two levels, so that what all come to is the least: c0 and c1 is what each comes to at the first and the second,
// every change between two groups on different levels is a place, and of two on one level so many places are one.
//
// Groups that take the first are on the side of the source: an edge from it to each group costs c1, one from each to the sink c0. Of two groups k and l, x being 1
// for one that takes the second, what is between them is -one0 + (changes + one0) x(k) - (changes + one1) x(l) + (2 changes + one0 + one1) (1 - x(k)) x(l): the
// last is an edge from k to l, the rest counts with the groups. Flow is sent along the shortest way that is left until there is none; what
// can still be reached from the source is its side.
func leastCut(c0, c1 []int64, changes, one0, one1 [][]int) []bool {
	place := inOne(0, 1, 0)
	n := len(c0)
	source, sink := n, n+1
	room := make([][]int64, n+2)
	for k := range room {
		room[k] = make([]int64, n+2)
	}
	second := slices.Clone(c1)
	for k := range n {
		for l := range k {
			second[k] += place * int64(changes[k][l]+one0[k][l])
			second[l] -= place * int64(changes[k][l]+one1[k][l])
			room[k][l] = place * int64(2*changes[k][l]+one0[k][l]+one1[k][l])
		}
	}
	for k := range n {
		least := min(c0[k], second[k])
		room[source][k], room[k][sink] = second[k]-least, c0[k]-least
	}
	from := make([]int, n+2)
	reach := func() bool {
		for k := range from {
			from[k] = -1
		}
		from[source] = source
		for queue := []int{source}; len(queue) > 0; queue = queue[1:] {
			for l, r := range room[queue[0]] {
				if r > 0 && from[l] < 0 {
					from[l] = queue[0]
					queue = append(queue, l)
				}
			}
		}
		return from[sink] >= 0
	}
	for reach() {
		flow := int64(math.MaxInt64)
		for k := sink; k != source; k = from[k] {
			flow = min(flow, room[from[k]][k])
		}
		for k := sink; k != source; k = from[k] {
			room[from[k]][k] -= flow
			room[k][from[k]] += flow
		}
	}
	takes := make([]bool, n)
	for k := range takes {
		takes[k] = from[k] < 0
	}
	return takes
}
