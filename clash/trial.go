package clash

import (
	"context"
	"math"
	"slices"

	"github.com/golang/geo/r3"

	"voidline/clash/book"
	"voidline/clash/figure"
	"voidline/clash/finding"
	"voidline/clash/scene"
	"voidline/void"
)

// A trial says what a change would come to: the rows are edited as a person would, what that touches is measured again into a book that is
// thrown away, and the edit is taken back. So what is told of a change was checked in full, by the check itself.

// trials tries changes to a project that was asked about, one after the other.
type trials struct {
	*run
	was    map[uint64]float64 // the greatest shortfall by finding, as things stand
	joints map[[2]int32]bool  // joints to put right, as things stand
	hits   *book.ByZone       // as things stand
}

func (r *run) trials() *trials {
	v := &trials{run: r, was: map[uint64]float64{}, joints: map[[2]int32]bool{}, hits: r.kept.ByZone()}
	note := func(h *book.Hit) { v.was[h.ID] = max(v.was[h.ID], h.Short) }
	for i := range r.kept.Hits {
		note(&r.kept.Hits[i])
	}
	for _, f := range r.kept.Findings {
		h := r.hitOf(f)
		note(&h)
	}
	for i := range r.kept.Joints {
		v.joints[[2]int32{r.kept.Joints[i].A, r.kept.Joints[i].B}] = true
	}
	return v
}

// outcome is what a change comes to.
type outcome struct {
	gone  map[uint64]bool // findings that there are no more
	worse []book.Hit      // that are new, or lack more than before, the worst first, which alone is in words
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
	r := &run{Check: v.Check, kept: v.kept.Trial(v.hits)}
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
func (r *run) reachOnTrial(items map[int32]bool, dirty []int32, was []scene.Box) {
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
	reach, now := r.reach(), &book.Book{}
	for _, i := range sortedKeys(items) {
		if way, ok := r.ways[i]; ok && !r.marked[i] && !meets(&way, func(k int) *scene.Box { return &r.Boxes[dirty[k]] }) {
			continue
		}
		way := reach(now, i)
		if !way.Gone() && !r.marked[i] && !meets(&way, func(k int) *scene.Box { return &was[k] }) {
			r.ways[i] = way
		}
	}
	r.keep(now)
}

// compare says what has changed in the book of a trial.
func (v *trials) compare(r *run) (out outcome) {
	now := map[uint64]book.Hit{}
	note := func(h *book.Hit) {
		if x, there := now[h.ID]; r.kept.Touched[h.ID] && (!there || h.Short > x.Short) {
			now[h.ID] = *h
		}
	}
	for i := range r.kept.Hits {
		note(&r.kept.Hits[i])
	}
	for _, f := range r.kept.Findings {
		h := r.hitOf(f)
		note(&h)
	}
	out.gone = map[uint64]bool{}
	for id := range r.kept.Touched {
		was, before := v.was[id]
		h, there := now[id]
		switch {
		case !there && before:
			out.gone[id] = true
		case there && (!before || h.Short > was+figure.Slack):
			out.worse = append(out.worse, h)
		}
	}
	slices.SortFunc(out.worse, func(a, b book.Hit) int { return book.Worse(&a, &b) })
	if len(out.worse) > 0 { // what it is between is said by its words, as things stand in the trial
		h := &out.worse[0]
		f := r.word(r.Set.Reader(), h)
		h.Worded, out.by = &f, h.Short-v.was[h.ID]
	}
	for i := range r.kept.Joints {
		if k := [2]int32{r.kept.Joints[i].A, r.kept.Joints[i].B}; !v.joints[k] {
			out.apart = append(out.apart, k)
		}
	}
	slices.SortFunc(out.apart, func(a, b [2]int32) int { return slices.Compare(a[:], b[:]) })
	return out
}

// meets names what a hit of a trial is between, other than the rows that were shifted, and by how much it lacks.
func (v *trials) meets(h *book.Hit, by float64, rows []int32) *finding.Meets {
	m := &finding.Meets{By: math.Ceil(by*10-0.01) / 10}
	own := func(id string) bool {
		return slices.ContainsFunc(rows, func(i int32) bool { return v.Zone(i).ID == id })
	}
	if m.With = h.Worded.A; h.Worded.B != nil && own(h.Worded.A) {
		m.With = *h.Worded.B
	}
	return m
}
