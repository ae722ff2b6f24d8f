package setout

import (
	"cmp"
	"math"
	"math/bits"
	"slices"

	"voidline/void"
)

// Two lines for a floor: the ceilings of one height go together, and each of them takes one of two levels.
//
//  1. Each height of ceiling is swept like a floor of its own, with the stretches of the runs that lie over it.
//  2. Levels between which no height comes to anything else count once.
//  3. For every two of these levels and every way in which the heights take one of them, what they come to is added up; where a run goes
//     from a height with the one line to a height with the other it changes by a set, which counts as a place.
//
// With g heights and n levels that is 2^g n² sums. Of more than six heights the longest six are told apart, the others are one.

// LineOf is one of two lines.
type LineOf struct {
	Level  float64
	Tops   []float64 // of the build-ups over whose ceilings it is struck
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
}

// mostHeights is how many heights of ceiling are told apart.
const mostHeights = 6

// height is the stretches over the ceilings of one height.
type height struct {
	floor
	top    float64
	bays   []int
	states []state
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

// heightsOf parts the floor by heights of ceiling, and says how often a run goes from one to another.
func (f *floor) heightsOf() (hs []*height, changes [][]int) {
	topOf := func(bay int) float64 {
		if bay < 0 || !f.p.Bays[bay].HasCeiling {
			return math.Inf(-1)
		}
		return f.p.Bays[bay].Top
	}
	along := map[float64]float64{}
	for _, o := range f.Runs {
		for _, st := range bayStretches(f.p, o.Run) {
			along[topOf(st.Bay)] += st.To - st.From
		}
	}
	var tops []float64
	for t := range along {
		tops = append(tops, t)
	}
	slices.SortFunc(tops, func(a, b float64) int { return cmp.Or(cmp.Compare(along[b], along[a]), cmp.Compare(a, b)) })
	index := map[float64]int{}
	for k, t := range tops {
		if index[t] = min(k, mostHeights-1); k < mostHeights {
			hs = append(hs, &height{top: t, floor: floor{p: f.p, c: f.c, set: f.set}})
		}
	}
	changes = make([][]int, len(hs))
	for k := range changes {
		changes[k] = make([]int, len(hs))
	}
	for k := range hs {
		hs[k].Runs = make([]*OnLine, len(f.Runs))
	}
	for n, o := range f.Runs {
		sts := bayStretches(f.p, o.Run)
		for k, h := range hs {
			part := &OnLine{Run: o.Run, Offset: o.Offset, after: o.after}
			h.Runs[n] = part
			for _, st := range sts {
				if index[topOf(st.Bay)] != k {
					continue
				}
				if st.Bay >= 0 && !slices.Contains(h.bays, st.Bay) {
					h.bays = append(h.bays, st.Bay)
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
						part.cross = append(part.cross, x)
					}
				}
			}
			h.All += part.length
		}
		for i := 1; i < len(sts); i++ {
			a, b := index[topOf(sts[i-1].Bay)], index[topOf(sts[i].Bay)]
			if a != b && sts[i].From-sts[i-1].To < joint {
				changes[a][b]++
				changes[b][a]++
			}
		}
	}
	return hs, changes
}

// two works out the best two lines.
func (f *floor) two() *TwoLines {
	hs, changes := f.heightsOf()
	levels := map[int]bool{}
	base := f.base()
	for _, h := range hs {
		h.states = h.sweep()
		for i := range h.states {
			for _, z := range h.wholes(&h.states[i], whole5) {
				levels[int(math.Round((z-base)/whole5))] = true
			}
		}
	}
	var all []int
	for k := range levels {
		all = append(all, k)
	}
	slices.Sort(all)
	// One level of those that come to the same: the middle one.
	var zs []float64
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
	type sum struct {
		never, places int
		off           float64
	}
	type cost struct {
		sum
		never []uint64 // a bit for each run that has nothing on the line over these ceilings, or is not there
	}
	costs := make([][]cost, len(hs))
	for k, h := range hs {
		for _, z := range zs {
			s := h.at(z)
			costs[k] = append(costs[k], cost{sum{0, s.places, s.off}, h.never(z)})
		}
	}
	// never counts the runs that have nothing on a line anywhere.
	never := func(way int, two [2]int) (n int) {
		for w := range costs[0][0].never {
			all := ^uint64(0)
			for k := range hs {
				all &= costs[k][two[way>>k&1]].never[w]
			}
			n += bits.OnesCount64(all)
		}
		return n
	}
	less := func(a, b sum) bool {
		if n := cmp.Or(cmp.Compare(a.never, b.never), cmp.Compare(a.places, b.places)); n != 0 {
			return n < 0
		}
		return a.off < b.off-1
	}
	var best sum
	var at [2]int
	which, changed := 0, 0
	found := false
	for i := range zs {
		for j := i; j < len(zs); j++ {
			for way := range 1 << (len(hs) - 1) { // the first height takes the first of the two, which may be the upper one
				for _, two := range [2][2]int{{i, j}, {j, i}} {
					var s sum
					n := 0
					for k := range hs {
						c := &costs[k][two[way>>k&1]]
						s.places, s.off = s.places+c.places, s.off+c.off
						for l := range k {
							if way>>k&1 != way>>l&1 && i != j {
								n += changes[k][l]
							}
						}
					}
					s.never = never(way, two)
					if s.places += n; !found || less(s, best) {
						best, at, which, changed, found = s, two, way, n, true
					}
					if i == j {
						break
					}
				}
				if i == j {
					break
				}
			}
		}
	}
	out := &TwoLines{Changes: changed, Places: best.places, Clear: f.All - math.Min(f.All, best.off)}
	for n := range 2 {
		l := LineOf{Level: zs[at[n]]}
		for k, h := range hs {
			if at[0] != at[1] && which>>k&1 != n || at[0] == at[1] && n > 0 {
				continue
			}
			s := costs[k][at[n]]
			l.Tops, l.Bays = append(l.Tops, h.top), append(l.Bays, h.bays...)
			l.All, l.Clear, l.Places = l.All+h.All, l.Clear+h.All-math.Min(h.All, s.off), l.Places+s.places
		}
		if len(l.Tops) > 0 {
			slices.Sort(l.Tops)
			slices.Sort(l.Bays)
			out.Lines = append(out.Lines, l)
		}
	}
	slices.SortFunc(out.Lines, func(a, b LineOf) int { return cmp.Compare(a.Level, b.Level) })
	return out
}
