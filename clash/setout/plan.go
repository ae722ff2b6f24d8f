package setout

import (
	"cmp"
	"container/heap"
	"math"
	"slices"

	"voidline/void"
)

// Section is a level length of the line.
type Section struct{ From, To, Level float64 }

// Step is one set: the line leaves its level at From and has the next one at To.
type Step struct {
	From, To  float64 // stations
	Low, High float64 // of the two levels, as they come along the run: Low is the first, High the second where it rises
	Rise      float64 // above zero upwards
	// Earliest and Latest are the stations between which From may be moved with the other steps as they are.
	Earliest, Latest float64
}

// Line is a way through a field.
type Line struct {
	Sections []Section
	Steps    []Step
	Rise     float64 // up and down together
}

// find returns the line with the fewest steps, of those with the least up and down together, of those the
// one whose sections lie highest (the sum of their levels is greatest; with Prefer: the sum of their distances
// from it is least). It is exact over critical levels: the ends of the bars and the levels that the
// steps name. ok is false where no line with at most Most steps gets through.
//
//  1. At each critical level the stations that no bar covers are a few intervals: the nodes.
//  2. From a node the line may step to another level. Where the set may begin is worked out exactly: each bar
//     forbids it one open interval of stations. Of all sets that land in one node the first to land is as good as
//     any: whatever can follow a later landing can follow it.
//  3. Bounds: the steps that are left from a node at best, if sets could pass through bars, and, for each number of steps
//     that are left, what they come to at best; counted backwards, the latter only for nodes through which so few could lead.
//  4. The fewest steps: ways are followed in the order of the steps that they come to at best.
//  5. With that k, ways are followed in the order of what they come to at best (up and down, then height), so the first
//     that reaches the end is the answer. A way is dropped when another is at its node with no more steps,
//     no more up and down and height, no later.
//
// With n bars there are at most 2n levels and n intervals on each, so n² nodes; the bound costs n³ for each step, a way
// that is followed 2n times the bars near it. Up and down is counted in whole thousandths of a millimetre, so that
// sums compare exactly.
func (f *Field) find(o Steps) (Line, bool) {
	s := newSearch(f, o)
	k, ok := s.fewest()
	if !ok {
		return Line{}, false
	}
	return s.with(k), true
}

// fewest returns the fewest steps with which the end is reached; false where it is not.
func (s *search) fewest() (int, bool) {
	most := s.o.Most
	if most == 0 {
		most = usualMost
	}
	if len(s.shut()) > 0 {
		return 0, false
	}
	s.back = s.hops(false)
	return s.reach(most)
}

// with returns the best line of k steps, the fewest.
func (s *search) with(k int) Line {
	s.forth = s.hops(true)
	s.bound(k)
	return s.line(s.best(k))
}

// shut returns the stretches of stations at which no level is free: nothing gets through them, by whatever steps.
func (s *search) shut() []node {
	var all []node
	for _, ns := range s.nodes {
		all = append(all, ns...)
	}
	slices.SortFunc(all, func(a, b node) int { return cmp.Compare(a.lo, b.lo) })
	var out []node
	at := 0.0
	for _, n := range all {
		if n.lo > at+void.Hair {
			out = append(out, node{at, n.lo})
		}
		at = math.Max(at, n.hi)
	}
	if at < s.Length-void.Hair {
		out = append(out, node{at, s.Length})
	}
	return out
}

type search struct {
	*Field
	o      Steps
	bars   []Bar // by From; those longer than `short` in `long`
	long   []Bar
	all    []Bar
	short  float64   // no bar of bars is longer
	zs     []float64 // critical levels, ascending
	hs     []int64   // the same in thousandths
	nodes  [][]node  // by level
	first  []int     // number of the first node of each level; nodes are numbered level by level
	flat   float64   // length of a set for each mm of height
	back   []int     // by node: the least steps to the end, if sets could pass through bars
	forth  []int     // and from the start
	toGo   [][]price // by steps left and node: what is left at best
	still  []node    // stations where no part of a set may stand, open intervals
	within []node    // scratch
	loose  bool      // the least straight alone keeps the edges of two bends apart
}

type node struct{ lo, hi float64 }

// price is up and down together, then what counts next, in thousandths of a millimetre: less is better.
type price struct{ rise, cost int64 }

// never is more than any line costs.
const never = math.MaxInt64 / 4

func (p price) plus(q price) price { return price{p.rise + q.rise, p.cost + q.cost} }

func (p price) compare(q price) int {
	return cmp.Or(cmp.Compare(p.rise, q.rise), cmp.Compare(p.cost, q.cost))
}

// way is how a node was reached.
type way struct {
	level, node int
	steps       int
	price
	least  price   // what it comes to at best
	entry  float64 // where the section begins
	left   float64 // where the set before it began, -Inf where there is none
	inner  float64 // where the edges of the bend at entry end
	down   bool    // that set goes down
	from   *way
	beaten bool // another is as good and no later
	done   bool // it stands for an end, not for going on
}

func newSearch(f *Field, o Steps) *search {
	s := &search{Field: f, o: o, short: f.Length / 20}
	if a := o.angle(); a < 90 {
		s.flat = 1 / math.Tan(a*math.Pi/180)
	}
	steepest := o.angle() * math.Pi / 180
	s.loose = o.Straight >= 2*math.Tan(steepest/2)*max(f.Up, f.Down)
	all := f.bounded(o)
	slices.SortStableFunc(all, func(a, b Bar) int { return cmp.Compare(a.From, b.From) })
	s.zs = f.levels(all, o)
	s.all = all
	for _, b := range all {
		if b.To-b.From > s.short {
			s.long = append(s.long, b)
		} else {
			s.bars = append(s.bars, b)
		}
	}
	n := 0
	for _, z := range s.zs {
		s.hs = append(s.hs, int64(math.Round(z*1000)))
		s.nodes = append(s.nodes, s.freeAt(z))
		s.first = append(s.first, n)
		n += len(s.nodes[len(s.nodes)-1])
	}
	s.first = append(s.first, n)
	for _, b := range s.all {
		if b.Still {
			s.still = append(s.still, node{b.From, b.To})
		}
	}
	for _, v := range f.Rests {
		s.still = append(s.still, node{v.Lo, v.Hi})
	}
	return s
}

// freeAt returns the stretches of stations at which level z is free, ascending; those no longer than a hair
// are none.
func (s *search) freeAt(z float64) []node {
	var out []node
	at := 0.0
	for i := range s.all {
		b := &s.all[i]
		if b.To <= at || b.Lo >= z-void.Hair || b.Hi <= z+void.Hair || b.isOpen(z) {
			continue
		}
		if b.From > at+void.Hair {
			out = append(out, node{at, math.Min(b.From, s.Length)})
		}
		at = math.Max(at, b.To)
		if at >= s.Length {
			return out
		}
	}
	if s.Length > at+void.Hair {
		out = append(out, node{at, s.Length})
	}
	return out
}

func (b *Bar) isOpen(z float64) bool {
	for _, w := range b.Open {
		if w.Lo-void.Hair <= z && z <= w.Hi+void.Hair {
			return true
		}
	}
	return false
}

// onto calls each with every node from which a set could land in a node, if sets could pass through bars; forth: in
// which a set from it could land.
func (s *search) onto(to int, t node, forth bool, each func(level, at int)) {
	for i := range s.nodes {
		if i == to {
			continue
		}
		length := -s.run(s.zs[i] - s.zs[to])
		if forth {
			length = -length
		}
		nodes := s.nodes[i]
		j := 0
		for hi, x := len(nodes), t.lo+length-void.Hair; j < hi; {
			if m := (j + hi) / 2; nodes[m].hi < x {
				j = m + 1
			} else {
				hi = m
			}
		}
		for ; j < len(nodes) && nodes[j].lo <= t.hi+length+void.Hair; j++ {
			if nodes[j].hi >= t.lo+length-void.Hair {
				each(i, s.first[i]+j)
			}
		}
	}
}

func (s *search) run(height float64) float64 {
	if height < 0 {
		height = -height
	}
	return max(height*s.flat, s.o.Straight)
}

// mitre returns by how much, for each mm that an edge of the section stands off the line, its bends lie along from those of the
// line: the tangent of half the angle of a set. At a bend the section is cut along the line that halves the angle
// between the two lengths:
//
//	_____________________ top             A set down bends its top (Up over the line) further along, by Up times the
//	                   . \                mitre, and what stands under the line (Down) less far along. A set up the
//	___________________.  \ top           other way about. The inclined length is Up+Down thick square to itself, so
//	       line, bends  \  \              upright it is thicker, by 1/cos: that follows from the two edges.
//	        here         \  \
//	                 line \
func mitre(rise, length float64) float64 {
	if rise == 0 {
		return 0
	}
	rise = math.Abs(rise)
	return rise / (length + math.Hypot(length, rise))
}

// overhang returns how far the edges of a set reach along the run before the line's first bend and past its second, for a
// section that stands up over and down under the line.
func overhang(rise, length, up, down float64) (before, past float64) {
	t := mitre(rise, length)
	if rise < 0 {
		return down * t, up * t
	}
	return up * t, down * t
}

// asFree reports whether whatever can follow way w can follow way o, which is at the same node.
func (s *search) asFree(o, w *way) bool {
	if o.entry > w.entry {
		return false
	}
	switch {
	case s.loose || math.IsInf(o.left, -1):
		return true
	case math.IsInf(w.left, -1):
		return false
	}
	return o.down == w.down && o.inner <= w.inner
}

// hops counts the least steps from each node to the end, if sets could pass through bars; forth: from the start to each
// node. math.MaxInt stands for never.
func (s *search) hops(forth bool) []int {
	steps := make([]int, s.first[len(s.zs)])
	for i := range steps {
		steps[i] = math.MaxInt
	}
	type ref struct{ level, node int }
	var layer []ref
	put := func(level, at, k int) {
		steps[at] = k
		layer = append(layer, ref{level, at - s.first[level]})
	}
	if forth {
		s.starts(func(w *way) { put(w.level, s.first[w.level], 0) })
	} else {
		for i, ns := range s.nodes {
			if j := len(ns) - 1; j >= 0 && s.endsAt(i) && ns[j].hi >= s.Length-void.Hair {
				put(i, s.first[i]+j, 0)
			}
		}
	}
	for k := 1; len(layer) > 0; k++ {
		was := layer
		layer = nil
		for _, r := range was {
			s.onto(r.level, s.nodes[r.level][r.node], forth, func(level, at int) {
				if steps[at] == math.MaxInt {
					put(level, at, k)
				}
			})
		}
	}
	return steps
}

// bound counts, for every number of steps left up to k, what is left from each node at best, if sets could pass
// through bars, of k steps in all.
func (s *search) bound(k int) {
	n := s.first[len(s.zs)]
	s.toGo = nil
	for len(s.toGo) <= k {
		h := make([]price, n)
		left := len(s.toGo)
		if left == 0 {
			for i := range h {
				if s.back[i] > 0 {
					h[i] = price{never, 0}
				}
			}
			s.toGo = append(s.toGo, h)
			continue
		}
		was := s.toGo[left-1]
		copy(h, was)
		for to := range s.nodes {
			for m, t := range s.nodes[to] {
				at := s.first[to] + m
				if was[at].rise >= never || left > 1 && was[at] == s.toGo[left-2][at] || s.forth[at] > k-left+1 {
					continue // no way, none that was not seen before, or none that could be here by now
				}
				s.onto(to, t, false, func(level, from int) {
					if s.forth[from] > k-left {
						return
					}
					if p := was[at].plus(s.step(level, to)); p.compare(h[from]) < 0 {
						h[from] = p
					}
				})
			}
		}
		s.toGo = append(s.toGo, h)
	}
}

// step is what a step between two levels costs, with the section that it leads to.
func (s *search) step(from, to int) price {
	d := s.hs[to] - s.hs[from]
	if d < 0 {
		d = -d
	}
	return price{d, s.section(to)}
}

func (s *search) startsAt(i int) bool {
	return s.o.Start == nil || math.Abs(s.zs[i]-*s.o.Start) <= void.Hair
}

func (s *search) endsAt(i int) bool {
	return s.o.End == nil || math.Abs(s.zs[i]-*s.o.End) <= void.Hair
}

// section is what a section at a level costs.
func (s *search) section(i int) int64 {
	if s.o.Prefer == nil {
		return -s.hs[i]
	}
	d := s.hs[i] - int64(math.Round(*s.o.Prefer*1000))
	if d < 0 {
		d = -d
	}
	return d
}

// starts calls each with the ways that begin.
func (s *search) starts(each func(w *way)) {
	for i := range s.nodes {
		if len(s.nodes[i]) > 0 && s.nodes[i][0].lo <= void.Hair && s.startsAt(i) {
			each(&way{level: i, price: price{0, s.section(i)}, left: math.Inf(-1)})
		}
	}
}

// arrived reports whether a way is at the end.
func (s *search) arrived(w *way) bool {
	last := s.Length - s.o.Straight
	if w.steps == 0 {
		last = s.Length
	}
	return s.endsAt(w.level) && s.nodes[w.level][w.node].hi >= s.Length-void.Hair && w.entry <= last+void.Hair
}

// reach returns the fewest steps, up to k, with which the end is reached; false where it is not. Ways are followed in the
// order of the steps that they come to at best, so the first that arrives is the answer; one is dropped when
// another is at its node with no more steps, no later.
func (s *search) reach(k int) (int, bool) {
	kept := make([][]*way, s.first[len(s.zs)])
	queue := make([][]*way, k+1) // by steps at best
	offer := func(w *way) {
		at := s.first[w.level] + w.node
		if s.back[at] > k-w.steps {
			return
		}
		for _, o := range kept[at] {
			if o.steps <= w.steps && s.asFree(o, w) {
				return
			}
		}
		kept[at] = append(slices.DeleteFunc(kept[at], func(o *way) bool {
			o.beaten = o.beaten || w.steps <= o.steps && s.asFree(w, o)
			return o.beaten
		}), w)
		n := w.steps + s.back[at]
		queue[n] = append(queue[n], w)
	}
	s.starts(offer)
	for n := range queue {
		for len(queue[n]) > 0 {
			// The last first: it is nearest to the end.
			w := queue[n][len(queue[n])-1]
			queue[n] = queue[n][:len(queue[n])-1]
			switch {
			case w.beaten:
				continue
			case s.arrived(w):
				return w.steps, true
			case w.steps == k:
				continue
			}
			chance := func(at int) bool { return s.back[at] < k-w.steps }
			for to := range s.zs {
				s.landings(w, to, chance, func(node int, from, entry, inner float64) {
					offer(&way{level: to, node: node, steps: w.steps + 1, entry: entry, left: from, inner: inner, down: to < w.level})
				})
			}
		}
	}
	return 0, false
}

// through reports whether there is a way at all, of however many steps.
func (s *search) through() bool {
	found := false
	s.sweep(func(int) bool { return true }, func(w *way) bool {
		found = s.arrived(w)
		return found
	})
	return found
}

// sweep reaches nodes in the order of stations, each at its earliest, from nodes that have a chance, until enough says so
// or the work is spent.
func (s *search) sweep(chance func(at int) bool, enough func(w *way) bool) {
	earliest := make([]float64, s.first[len(s.zs)])
	for i := range earliest {
		earliest[i] = math.Inf(1)
	}
	q := &early{}
	offer := func(w *way) {
		if at := s.first[w.level] + w.node; w.entry < earliest[at] && chance(at) {
			earliest[at] = w.entry
			heap.Push(q, w)
		}
	}
	s.starts(offer)
	for q.Len() > 0 {
		w := heap.Pop(q).(*way)
		if w.entry > earliest[s.first[w.level]+w.node] {
			continue
		}
		if enough(w) {
			return
		}
		for to := range s.zs {
			if !s.work.spend() {
				return
			}
			s.landings(w, to, chance, func(node int, from, entry, inner float64) {
				if entry < earliest[s.first[to]+node] {
					offer(&way{level: to, node: node, steps: w.steps + 1, entry: entry, left: from, inner: inner, down: to < w.level})
				}
			})
		}
	}
}

// early holds ways, the earliest first.
type early []*way

func (q early) Len() int           { return len(q) }
func (q early) Swap(i, j int)      { q[i], q[j] = q[j], q[i] }
func (q early) Less(i, j int) bool { return q[i].entry < q[j].entry }
func (q *early) Push(w any)        { *q = append(*q, w.(*way)) }

func (q *early) Pop() any {
	old := *q
	w := old[len(old)-1]
	*q = old[:len(old)-1]
	return w
}

// best follows ways of at most k steps in the order of what they come to at best; nil where none arrives.
func (s *search) best(k int) *way {
	q := &queue{}
	kept := make([][]*way, s.first[len(s.zs)])
	offer := func(w *way) {
		at := s.first[w.level] + w.node
		for _, o := range kept[at] {
			if o.steps <= w.steps && o.price.compare(w.price) <= 0 && s.asFree(o, w) {
				return
			}
		}
		kept[at] = append(slices.DeleteFunc(kept[at], func(o *way) bool {
			if w.steps <= o.steps && w.price.compare(o.price) <= 0 && s.asFree(w, o) {
				o.beaten = true
				return true
			}
			return false
		}), w)
		if w.least = w.plus(s.toGo[k-w.steps][at]); w.least.rise >= never {
			return
		}
		heap.Push(q, w)
	}
	s.starts(offer)
	for q.Len() > 0 {
		w := heap.Pop(q).(*way)
		switch {
		case w.beaten:
			continue
		case s.arrived(w) && w.done:
			return w
		case s.arrived(w):
			// It may go on as well; as an answer it waits its turn.
			end := *w
			end.done, end.least = true, w.price
			heap.Push(q, &end)
		}
		if w.steps == k {
			continue
		}
		chance := func(at int) bool { return s.toGo[k-w.steps-1][at].rise < never }
		for to := range s.zs {
			s.landings(w, to, chance, func(n int, from, entry, inner float64) {
				offer(&way{
					level: to, node: n, steps: w.steps + 1, price: w.plus(s.step(w.level, to)), entry: entry, left: from, from: w,
					inner: inner, down: to < w.level,
				})
			})
		}
	}
	return nil
}

// queue holds ways, the cheapest at best first.
type queue []*way

func (q queue) Len() int      { return len(q) }
func (q queue) Swap(i, j int) { q[i], q[j] = q[j], q[i] }
func (q queue) Less(i, j int) bool {
	a, b := q[i], q[j]
	return cmp.Or(a.least.compare(b.least), b.steps-a.steps, cmp.Compare(a.entry, b.entry), a.level-b.level, a.node-b.node) < 0
}
func (q *queue) Push(w any) { *q = append(*q, w.(*way)) }

func (q *queue) Pop() any {
	old := *q
	w := old[len(old)-1]
	*q = old[:len(old)-1]
	return w
}

// landings calls each with the first set from way w to level `to` that lands in each node that has a chance.
func (s *search) landings(w *way, to int, chance func(at int) bool, each func(n int, from, entry, inner float64)) {
	if to == w.level || len(s.nodes[to]) == 0 {
		return
	}
	za, zb := s.zs[w.level], s.zs[to]
	home := s.nodes[w.level][w.node]
	length := s.run(zb - za)
	before, past := overhang(zb-za, length, s.Up, s.Down)
	lo := math.Max(home.lo, w.entry+s.o.Straight)
	hi := math.Min(home.hi, s.Length-math.Max(s.o.Straight, past)-length)
	switch {
	case math.IsInf(w.left, -1):
		lo = math.Max(lo, before)
	case w.down != (zb < za):
		lo = math.Max(lo, w.inner+before) // the inner edges of two bends do not cross
	}
	if lo > hi+void.Hair {
		return
	}
	nodes := s.nodes[to]
	n, _ := slices.BinarySearchFunc(nodes, lo+length-void.Hair, func(t node, x float64) int { return cmp.Compare(t.hi, x) })
	var bad []node
	known := false
	for ; n < len(nodes) && nodes[n].lo <= hi+length+void.Hair; n++ {
		if !chance(s.first[to] + n) {
			continue
		}
		if !known {
			bad, known = s.barred(za, zb, length, lo, hi), true
		}
		x, ok := firstClear(bad, math.Max(lo, nodes[n].lo-length), math.Min(hi, nodes[n].hi-length))
		if ok {
			each(n, x, x+length, x+length+past)
		}
	}
}

// barred returns the open intervals of stations between lo and hi at which a set from za to zb may not begin,
// merged, ascending.
func (s *search) barred(za, zb, length, lo, hi float64) []node {
	bad := s.within[:0]
	add := func(a, b float64) {
		if b > a && b > lo && a < hi {
			bad = append(bad, node{a, b})
		}
	}
	before, past := overhang(zb-za, length, s.Up, s.Down)
	for _, c := range s.Corners {
		add(c-math.Max(s.o.Straight, past)-length, c+math.Max(s.o.Straight, before))
	}
	for _, c := range s.still {
		add(c.lo-past-length, c.hi+before)
	}
	see := func(b *Bar) {
		if b.To <= lo-before {
			return
		}
		if u1, u2, ok := passes(za, zb, length, b); ok {
			add(b.From-u2, b.To-u1)
		}
	}
	for i := range s.long {
		see(&s.long[i])
	}
	first, _ := slices.BinarySearchFunc(s.bars, lo-before-s.short, func(b Bar, x float64) int { return cmp.Compare(b.From, x) })
	for i := first; i < len(s.bars) && s.bars[i].From < hi+length+past; i++ {
		see(&s.bars[i])
	}
	slices.SortFunc(bad, func(a, b node) int { return cmp.Compare(a.lo, b.lo) })
	s.within = bad
	out := bad[:0]
	for _, b := range bad {
		if n := len(out); n > 0 && b.lo < out[n-1].hi-void.Hair {
			out[n-1].hi = math.Max(out[n-1].hi, b.hi)
		} else {
			out = append(out, b)
		}
	}
	return out
}

// passes returns the part of a set, with its mitres, that meets a bar's levels, along the run from the line's first bend; false
// where it lies wholly above or below.
//
// A set down meets a bar where its lower edge is under the bar's upper end and its upper edge over the lower end. As
// levels of the line: it comes under Hi at u1, measured on the lower edge, and is over Lo until u2, measured on the
// upper one. Where it begins under Hi, or ends over Lo, it does so from its first edge to its last; what the level lengths
// beyond meet is not asked here.
//
//	       from here its top lies further along than the line
//	line ______.___
//	            \\  .        |<- u2 ->|  Lo: until here the top is over the bar's lower end
//	    Hi ......\\..\....
//	              \\  \
func passes(za, zb, length float64, b *Bar) (u1, u2 float64, ok bool) {
	if max(za, zb) <= b.Lo+void.Hair || min(za, zb) >= b.Hi-void.Hair {
		return 0, 0, false
	}
	t := mitre(zb-za, length)
	at := func(z float64) float64 { return (z - za) / (zb - za) * length }
	if zb < za {
		u1, u2 = -b.Down*t, length+b.Up*t
		if za > b.Hi {
			u1 += at(b.Hi)
		}
		if zb < b.Lo {
			u2 = b.Up*t + at(b.Lo)
		}
		return u1, u2, true
	}
	u1, u2 = -b.Up*t, length+b.Down*t
	if za < b.Lo {
		u1 += at(b.Lo)
	}
	if zb > b.Hi {
		u2 = b.Down*t + at(b.Hi)
	}
	return u1, u2, true
}

// firstClear returns the first station from lo to hi, both closed, in none of the open intervals.
func firstClear(bad []node, lo, hi float64) (float64, bool) {
	x := lo
	for _, b := range bad {
		if b.hi <= x {
			continue
		}
		if b.lo >= x-void.Hair {
			break
		}
		x = b.hi
	}
	return x, x <= hi+void.Hair
}

// lastClear is firstClear from the other side.
func lastClear(bad []node, lo, hi float64) (float64, bool) {
	x := hi
	for _, b := range slices.Backward(bad) {
		if b.lo >= x {
			continue
		}
		if b.hi <= x+void.Hair {
			break
		}
		x = b.lo
	}
	return x, x >= lo-void.Hair
}

// between returns from where to where step i of a line may begin, for the steps beside it and the ends of the run.
func (f *Field) between(l *Line, i int, o Steps) (lo, hi float64) {
	over := func(st *Step) (before, past float64) { return overhang(st.Rise, st.To-st.From, f.Up, f.Down) }
	st := &l.Steps[i]
	before, past := over(st)
	lo, hi = math.Max(o.Straight, before), f.Length-math.Max(o.Straight, past)
	if i > 0 {
		p := &l.Steps[i-1]
		straight := o.Straight
		if _, q := over(p); p.Rise*st.Rise < 0 {
			straight = math.Max(straight, q+before)
		}
		lo = p.To + straight
	}
	if i+1 < len(l.Steps) {
		n := &l.Steps[i+1]
		straight := o.Straight
		if q, _ := over(n); n.Rise*st.Rise < 0 {
			straight = math.Max(straight, q+past)
		}
		hi = n.From - straight
	}
	return lo, hi - (st.To - st.From)
}

// line lays a way out: of two levels the higher one is kept as long as may be, so sets upwards stand as early and sets
// downwards as late as they can.
func (s *search) line(w *way) Line {
	var ways []*way
	for ; w != nil; w = w.from {
		ways = append(ways, w)
	}
	slices.Reverse(ways)
	var l Line
	for i := 1; i < len(ways); i++ {
		a, b := ways[i-1], ways[i]
		st := Step{From: b.left, To: b.entry, Low: s.zs[a.level], High: s.zs[b.level], Rise: s.zs[b.level] - s.zs[a.level]}
		l.Steps = append(l.Steps, st)
		l.Rise += math.Abs(st.Rise)
	}
	room := func(i int) (lo, hi float64, bad []node) {
		a, b := ways[i], ways[i+1]
		length := l.Steps[i].To - l.Steps[i].From
		home, land := s.nodes[a.level][a.node], s.nodes[b.level][b.node]
		lo, hi = s.between(&l, i, s.o)
		lo = math.Max(lo, math.Max(home.lo, land.lo-length))
		hi = math.Min(hi, math.Min(home.hi, land.hi-length))
		return lo, hi, slices.Clone(s.barred(s.zs[a.level], s.zs[b.level], length, lo, hi))
	}
	for i := len(l.Steps) - 1; i >= 0; i-- {
		if st := &l.Steps[i]; st.Rise < 0 {
			lo, hi, bad := room(i)
			if x, ok := lastClear(bad, lo, hi); ok && x > st.From {
				st.To += x - st.From
				st.From = x
			}
		}
	}
	for i := range l.Steps {
		st := &l.Steps[i]
		lo, hi, bad := room(i)
		st.Earliest, st.Latest = st.From, st.From
		// The clear stretch that it stands in.
		for _, b := range bad {
			if b.hi <= st.From+void.Hair {
				lo = math.Max(lo, b.hi)
			} else if b.lo >= st.From-void.Hair {
				hi = math.Min(hi, b.lo)
			}
		}
		st.Earliest, st.Latest = math.Min(lo, st.From), math.Max(hi, st.From)
	}
	at := 0.0
	for i, w := range ways {
		sec := Section{From: at, To: s.Length, Level: s.zs[w.level]}
		if i < len(l.Steps) {
			sec.To, at = l.Steps[i].From, l.Steps[i].To
		}
		l.Sections = append(l.Sections, sec)
	}
	return l
}
