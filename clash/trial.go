package clash

import (
	"context"
	"math"
	"slices"

	"github.com/golang/geo/r3"

	"voidline/clash/figure"
	"voidline/clash/finding"
	"voidline/clash/rules"
	"voidline/clash/scene"
	"voidline/void"
)

// A trial says what a change would come to: the rows are edited as a person would, what that touches is measured again into a book that is
// thrown away, and the edit is taken back. So what is told of a change was checked in full, by the check itself.

// trial is a book for measuring what a change would come to: what findings and joints hang on is its own, so that the book it is taken
// from stays as it is; what is only told (excused pairs, notes, builder's work, relations) is left out. Hits, of which there may be very many, are had
// from the other book by the zones that a change touches; see had.
func (b *book) trial(of *hitsOf) *book {
	return &book{
		from: of, findings: slices.Clone(b.findings), serves: slices.Clone(b.serves),
		sides: slices.Clip(b.sides), crossed: slices.Clip(b.crossed), tiles: slices.Clip(b.tiles), // see without
		below: slices.Clip(b.below), pierced: slices.Clip(b.pierced), served: map[int32]int32{}, servedBefore: b.served,
		touched: map[uint64]bool{}, related: map[[2]int32]bool{}, onTrial: true,
	}
}

// hitsOf are the hits of a book by the zones that they are of.
type hitsOf struct {
	hits []hit
	of   map[int32][]int32
}

func (b *book) hitsOf() *hitsOf {
	h := &hitsOf{b.hits, map[int32][]int32{}}
	for k := range b.hits {
		x := &b.hits[k]
		h.of[x.a] = append(h.of[x.a], int32(k))
		if x.b >= 0 && x.b != x.a {
			h.of[x.b] = append(h.of[x.b], int32(k))
		}
	}
	return h
}

// have takes the hits of a zone into the book of a trial, those that it has not had. A book that is not on trial has all there are.
func (b *book) have(zone int32) {
	if b.from == nil {
		return
	}
	for _, k := range b.from.of[zone] {
		if b.had == nil {
			b.had = map[int32]bool{}
		}
		if !b.had[k] {
			b.had[k] = true
			b.hits = append(b.hits, b.from.hits[k])
		}
	}
}

// trials tries changes to a project that was asked about, one after the other.
type trials struct {
	*run
	was    map[uint64]float64 // the greatest shortfall by finding, as things stand
	joints map[[2]int32]bool  // joints to put right, as things stand
	hits   *hitsOf            // as things stand
}

func (r *run) trials() *trials {
	v := &trials{run: r, was: map[uint64]float64{}, joints: map[[2]int32]bool{}, hits: r.hitsOf()}
	note := func(h *hit) { v.was[h.id] = max(v.was[h.id], h.short) }
	for i := range r.book.hits {
		note(&r.book.hits[i])
	}
	for _, f := range r.findings {
		h := f.brief(r)
		note(&h)
	}
	for i := range r.made {
		v.joints[[2]int32{r.made[i].a, r.made[i].b}] = true
	}
	return v
}

// outcome is what a change comes to.
type outcome struct {
	gone  map[uint64]bool // findings that there are no more
	worse []hit           // that are new, or lack more than before, the worst first, which alone is in words
	by    float64         // by how much more the worst lacks, mm
	apart [][2]int32      // rows that did join and do not any more
}

// shifted is rows that are shifted on trial, and by how much.
type shifted struct {
	rows []int32
	by   r3.Vector
}

// shift says what it comes to when rows are shifted; false where one of them cannot be written there.
func (v *trials) shift(ctx context.Context, rows []int32, by r3.Vector) (out outcome, ok bool, err error) {
	return v.shiftAll(ctx, shifted{rows, by})
}

// shiftAll is shift for several at once.
func (v *trials) shiftAll(ctx context.Context, parts ...shifted) (out outcome, ok bool, err error) {
	var ch void.Change
	var back []func(*void.Change) *void.Problem
	ok = true
	for _, part := range parts {
		for _, i := range part.rows {
			if ok {
				var undo func(*void.Change) *void.Problem
				if undo, ok = v.put(i, part.by, &ch); ok {
					back = append(back, undo)
				}
			}
		}
	}
	r := &run{Check: v.Check, book: v.book.trial(v.hits)}
	v.Entered()
	if ok {
		if err = r.again(ctx, &ch); err == nil {
			if out = v.compare(r); len(out.worse) == 0 {
				r.later()
				out = v.compare(r)
			}
		}
	}
	tried := ch
	ch = void.Change{}
	for _, undo := range slices.Backward(back) {
		if pr := undo(&ch); pr != nil {
			return out, false, pr // what was there before cannot be refused
		}
	}
	if ok {
		ch.Add(tried)
		r.takeBack(&ch)
		v.Left()
	}
	return out, ok, err
}

// put shifts a row, and adds to what changed; undo puts it back and adds that. false where it cannot be written there.
func (v *trials) put(i int32, by r3.Vector, ch *void.Change) (undo func(*void.Change) *void.Problem, ok bool) {
	p := v.Project
	if c, back, ok := p.Shift(int(i), by); ok {
		ch.Add(c)
		return func(ch *void.Change) *void.Problem {
			back()
			ch.Add(c)
			return nil
		}, true
	}
	id := v.Zone(i).ID
	cells, pr := p.Moved(int(i), by)
	if pr != nil {
		return nil, false
	}
	was := make([]void.CellText, len(cells))
	for k, c := range cells {
		was[k] = void.CellText{Column: c.Column, Text: p.CellOf(int(i), c.Column)}
	}
	c, pr := p.EditCells(id, cells)
	ch.Add(c)
	return func(ch *void.Change) *void.Problem {
		c, pr := p.EditCells(id, was)
		ch.Add(c)
		return pr
	}, pr == nil
}

// takeBack makes the check look at what a trial changed, which is as it was before.
func (r *run) takeBack(ch *void.Change) {
	slices.Sort(ch.Zones)
	var dirty []int32
	for _, i := range slices.Compact(ch.Zones) {
		dirty = append(dirty, int32(i))
	}
	r.lookAgain(ch, dirty)
	r.takenBack = true
	r.supportsAgain(ch, nil, nil)
}

// mustReachNear returns the items that must be reached and are no further than by, in plan, from what is round all the boxes.
func (r *run) mustReachNear(boxes []scene.Box, by float64) (near []int32) {
	if r.toReach == nil {
		r.Check.toReach = &scene.Scatter{}
		for i := range int32(r.Project.Zones()) {
			if z := r.Zone(i); z.Reach && !z.Gone {
				r.toReach.Add(i, r.Full(i), r.Boxes[i])
			}
		}
		r.toReach.Lay(r.Workers)
	}
	all := scene.Nowhere
	for _, b := range boxes {
		if !b.Gone() {
			all = scene.Union(all, b)
		}
	}
	if all.Gone() {
		return nil
	}
	all = scene.Column(all)
	round := all
	for k := range 2 {
		round.Lo[k], round.Hi[k] = round.Lo[k]-by, round.Hi[k]+by
	}
	r.toReach.Near(round, func(k int) {
		if i := r.toReach.Of[k]; all.Apart(&r.Boxes[i]) <= by {
			near = append(near, i)
		}
	})
	slices.Sort(near)
	return near
}

func boxesOf(boxes []scene.Box, zones []int32) []scene.Box {
	out := make([]scene.Box, len(zones))
	for k, i := range zones {
		out[k] = boxes[i]
	}
	return out
}

// reachOnTrial looks whether items are still reached when rows are shifted, dirty, that stood in the boxes was. An item whose way stays clear of
// them is.
func (r *run) reachOnTrial(h *rules.Reader, items map[int32]bool, dirty []int32, was []scene.Box) {
	if r.ways == nil {
		r.Check.ways = map[int32]scene.Box{}
	}
	meets := func(way *scene.Box, boxes func(k int) *scene.Box) bool {
		for k := range dirty {
			if boxes(k).Apart(way) <= 0 {
				return true
			}
		}
		return false
	}
	reach, now := r.reach(), &book{}
	for _, i := range sortedKeys(items) {
		if way, ok := r.ways[i]; ok && !r.marked[i] && !meets(&way, func(k int) *scene.Box { return &r.Boxes[dirty[k]] }) {
			continue
		}
		now.way = scene.Nowhere
		reach(now, h, int(i), int(i)+1)
		if !now.way.Gone() && !r.marked[i] && !meets(&now.way, func(k int) *scene.Box { return &was[k] }) {
			r.ways[i] = now.way
		}
	}
	r.keep(now)
}

// compare says what has changed in the book of a trial.
func (v *trials) compare(r *run) (out outcome) {
	now := map[uint64]hit{}
	note := func(h *hit) {
		if x, there := now[h.id]; r.touched[h.id] && (!there || h.short > x.short) {
			now[h.id] = *h
		}
	}
	for i := range r.hits {
		note(&r.hits[i])
	}
	for _, f := range r.findings {
		h := f.brief(r)
		note(&h)
	}
	out.gone = map[uint64]bool{}
	for id := range r.touched {
		was, before := v.was[id]
		h, there := now[id]
		switch {
		case !there && before:
			out.gone[id] = true
		case there && (!before || h.short > was+figure.Slack):
			out.worse = append(out.worse, h)
		}
	}
	slices.SortFunc(out.worse, func(a, b hit) int { return worse(&a, &b) })
	if len(out.worse) > 0 { // what it is between is said by its words, as things stand in the trial
		h := &out.worse[0]
		f := r.word(r.Set.Reader(), h)
		h.f, out.by = &f, h.short-v.was[h.id]
	}
	for i := range r.made {
		if k := [2]int32{r.made[i].a, r.made[i].b}; !v.joints[k] {
			out.apart = append(out.apart, k)
		}
	}
	slices.SortFunc(out.apart, func(a, b [2]int32) int { return slices.Compare(a[:], b[:]) })
	return out
}

// meets names what a hit of a trial is between, other than the rows that were shifted, and by how much it lacks.
func (v *trials) meets(h *hit, by float64, rows []int32) *finding.Meets {
	m := &finding.Meets{By: math.Ceil(by*10-0.01) / 10}
	own := func(id string) bool {
		return slices.ContainsFunc(rows, func(i int32) bool { return v.Zone(i).ID == id })
	}
	if m.With = h.f.A; h.f.B != nil && own(h.f.A) {
		m.With = *h.f.B
	}
	return m
}
