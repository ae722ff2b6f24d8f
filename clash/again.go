package clash

import (
	"context"
	"slices"
	"strings"

	"github.com/golang/geo/r2"

	"voidline/clash/measure"
	"voidline/clash/scene"
	"voidline/void"
)

// again measures what a change touches, and takes the rest as it was.
//
//  1. Zones that changed, and all zones of bays and at openings that did, are marked. What came of a marked zone and
//     another is forgotten, and the marked zones are looked for and measured again.
//  2. What hangs on more than two zones is worked out again where it lost or gained an entry: hand room along a run, runs
//     beside each other, the tiles of a bay, access spaces.
//  3. A zone that came to serve something in the ceiling, or ceased to, is checked against its ceilings again.
func (r *run) again(ctx context.Context, ch *void.Change) error {
	p := r.Project
	for len(r.Boxes) < p.Zones() { // rows were added
		r.Boxes, r.TraitAt, r.CharAt = append(r.Boxes, scene.Nowhere), append(r.TraitAt, 0), append(r.CharAt, -1)
		r.Hung = append(r.Hung, false)
	}
	r.Characters()
	if len(r.marked) < len(r.Boxes) {
		r.marked = make([]bool, max(len(r.Boxes), 2*len(r.marked)))
	}
	var dirty []int32
	mark := func(i int32) {
		if !r.marked[i] {
			r.marked[i] = true
			dirty = append(dirty, i)
		}
	}
	defer func() {
		for _, i := range dirty {
			r.marked[i] = false
		}
	}()
	for _, i := range ch.Zones {
		mark(int32(i))
	}
	r.Laid(scene.StraysMost)
	markBay := func(j int32) {
		plan := p.Bays[j].Plan
		r.Near(scene.Column(scene.Over(plan, 0, 0)), void.Hair, func(i int32) {
			if slices.Contains(r.Zone(i).Bays(), j) {
				mark(i)
			}
		})
	}
	for _, j := range ch.Bays {
		markBay(int32(j))
	}
	if ch.Openings {
		for _, o := range [2][]void.Opening{r.was, p.Openings} {
			other := p.Openings
			if len(o) > 0 && len(other) > 0 && &o[0] == &other[0] {
				other = r.was
			}
			for k := range o {
				if k < len(other) && o[k] == other[k] {
					continue
				}
				if o[k].In >= 0 {
					mark(o[k].In)
				} else {
					markBay(o[k].Bay)
				}
			}
		}
	}
	slices.Sort(dirty)

	// What was there is forgotten.
	h := r.Set.Reader()
	was := make([]scene.Box, len(dirty))
	for k, i := range dirty {
		was[k] = r.Boxes[i]
		r.Near(r.Boxes[i], r.Set.Widest(), func(o int32) {
			if r.partner(i, o) && r.Wanted(h, i, o) {
				r.measured--
			}
		})
	}
	sides, runs := map[alongKey]bool{}, map[alongKey]bool{}
	level := map[int32]bool{}
	of2 := func(a, b int32) bool { return a >= 0 && r.marked[a] || b >= 0 && r.marked[b] }
	for _, i := range dirty {
		r.have(i)
	}
	r.forgetHits(func(x *hit) bool { return x.of == ofPair && of2(x.a, x.b) })
	r.holes = slices.DeleteFunc(r.holes, func(x madeOf) bool { return of2(x.a, x.b) })
	r.excused = slices.DeleteFunc(r.excused, func(x excuse) bool { return x.of == ofPair && of2(x.a, x.b) })
	r.asked = slices.DeleteFunc(r.asked, func(x asking) bool { return of2(x.a, x.b) })
	r.warned = slices.DeleteFunc(r.warned, func(x warning) bool { return of2(x.a, x.b) })
	r.told = slices.DeleteFunc(r.told, func(x relation) bool {
		if !of2(x.of, x.from) {
			return false
		}
		r.related[[2]int32{x.ofParty, x.fromParty}] = true
		return true
	})
	r.sides = without(r.book, r.sides, func(x sideBlock) bool {
		if !of2(x.of, x.by) {
			return false
		}
		sides[x.key()] = true
		return true
	})
	r.crossed = without(r.book, r.crossed, func(x crossing) bool {
		if !of2(x.a, x.b) {
			return false
		}
		runs[x.key] = true
		return true
	})
	r.serves = slices.DeleteFunc(r.serves, func(x serving) bool {
		if !of2(x.zone, x.other) {
			return false
		}
		r.serve(x.zone, -1)
		level[x.zone] = true
		return true
	})

	// The zones as they are now are measured.
	r.lookAgain(ch, dirty)
	for _, i := range dirty {
		level[i] = true
	}
	out := &book{}
	var concerned []bool
	if !r.book.onTrial {
		concerned = r.tells()
	}
	for n, i := range dirty {
		if n%16 == 0 && ctx.Err() != nil {
			return ctx.Err()
		}
		var with []int32
		r.Near(r.Boxes[i], r.Set.Widest(), func(o int32) {
			if r.partner(i, o) && r.Wanted(h, i, o) {
				with = append(with, o)
			}
		})
		slices.Sort(with)
		for _, o := range with {
			r.pairById(out, h, i, o)
		}
		if concerned != nil && !r.Boxes[i].Gone() && concerned[r.Trait(i)] {
			r.Near(scene.Column(r.Boxes[i]), 0, func(o int32) {
				if r.partner(i, o) && concerned[r.Trait(o)] && r.Zone(o).Storey == r.Zone(i).Storey {
					r.relate(out, h, i, o)
				}
			})
		}
	}
	r.nameSides(out.sides)
	for _, s := range out.sides {
		sides[s.key()] = true
	}
	for _, x := range out.crossed {
		runs[x.key] = true
	}
	for _, s := range out.serves {
		r.serve(s.zone, 1)
		level[s.zone] = true
	}

	// Ceilings, soffits, reach; access spaces.
	tiled := map[int32]bool{}
	r.tiles = without(r.book, r.tiles, func(x overTile) bool {
		if !level[x.zone] {
			return false
		}
		tiled[x.bay] = true
		return true
	})
	r.crossed = without(r.book, r.crossed, func(x crossing) bool {
		if x.b >= 0 || !level[x.a] {
			return false
		}
		runs[x.key] = true
		return true
	})
	now := &book{}
	for _, i := range sortedKeys(level) {
		r.level(now, h, i)
	}
	for _, x := range now.crossed {
		runs[x.key] = true
	}
	spaces := r.spacesNear(ch, dirty, was)
	reachAll := ch.Spaces
	reached := map[int32]bool{} // unless all are: zones whose way from a hatch may have changed
	if arm := r.armReach(); arm > 0 && !reachAll {
		var near []int32
		if r.onTrial {
			near = r.mustReachNear(append(slices.Clone(was), boxesOf(r.Boxes, dirty)...), r.reachRound(arm))
		}
		round := func(b scene.Box) {
			if b.Gone() {
				return
			}
			b = scene.Column(b) // a shaft begins at the ceiling, however high the item
			if r.onTrial {
				for _, i := range near {
					if b.Apart(&r.Boxes[i]) <= r.reachRound(arm) {
						reached[i] = true
					}
				}
				return
			}
			r.Near(b, r.reachRound(arm), func(i int32) {
				if r.Zone(i).Reach {
					reached[i] = true
				}
			})
		}
		changed := append(slices.Clone(was), boxesOf(r.Boxes, dirty)...)
		for _, j := range ch.Bays {
			changed = append(changed, scene.Column(scene.Over(p.Bays[j].Plan, 0, 0)))
		}
		for _, i := range dirty {
			reached[i] = true
		}
		for _, b := range changed {
			round(b)
		}
		if !r.onTrial {
			r.toldOfHatches(changed, arm, reached)
		}
	}
	r.forget(func(x *placed) bool {
		switch x.of {
		case ofPair:
			return of2(x.a, x.b)
		case ofSide:
			return sides[x.key]
		case ofRun:
			return runs[x.key] || of2(x.a, x.b)
		case ofLevel:
			return level[x.a]
		case ofReach:
			return reachAll || reached[x.a]
		case ofSpace:
			return ch.Spaces || spaces[x.a]
		}
		return false
	})
	for _, i := range sortedKeys(level) {
		r.have(i)
	}
	r.forgetHits(func(x *hit) bool { return x.of.surface() && level[x.a] })
	r.excused = slices.DeleteFunc(r.excused, func(x excuse) bool {
		return x.of == ofLevel && level[x.a] || x.of == ofSpace && (ch.Spaces || spaces[x.a])
	})
	r.notes = slices.DeleteFunc(r.notes, func(x noted) bool {
		return x.of == ofReach && (reachAll || reached[x.a]) || x.of == ofLevel && level[x.a]
	})
	r.unsaid = slices.DeleteFunc(r.unsaid, func(x unsaidCeiling) bool { return level[x.zone] })
	r.below = without(r.book, r.below, func(x underFace) bool { return level[x.zone] })
	r.pierced = without(r.book, r.pierced, func(x throughCeiling) bool { return level[x.zone] })
	r.holes = slices.DeleteFunc(r.holes, func(x madeOf) bool { return x.b < 0 && level[x.a] })
	reachNow := func() {
		now, reach := &book{}, r.reach()
		for _, i := range sortedKeys(reached) {
			reach(now, h, int(i), int(i)+1)
		}
		if reachAll {
			reach(now, h, 0, p.Zones())
		}
		r.keep(now)
	}
	if r.onTrial {
		r.later = func() { r.reachOnTrial(h, reached, dirty, was) }
	} else {
		if r.ways = nil; r.toReach != nil && slices.ContainsFunc(dirty, func(i int32) bool { return r.Zone(i).Reach || slices.Contains(r.toReach.Of, i) }) {
			r.toReach = nil
		}
		reachNow()
	}
	for k := range int32(len(p.Spaces)) {
		if ch.Spaces || spaces[k] {
			r.spaceAt(now, k)
		}
	}
	for k := range now.tiles {
		tiled[now.tiles[k].bay] = true
	}
	for _, j := range ch.Bays {
		tiled[int32(j)] = true
	}
	r.keep(out)
	r.keep(now)

	// What hangs on many zones.
	ofRuns := map[string]bool{} // runs of which a row is, or was, another
	for _, i := range dirty {
		ofRuns[strings.ToLower(r.Zone(i).Run())] = true
		if int(i) < len(r.runRows.key) {
			ofRuns[r.runRows.key[i].run] = true
		}
	}
	delete(ofRuns, "")
	r.forget(func(x *placed) bool { return x.of == ofTiles && tiled[x.a] })
	kept := len(r.findings)
	r.tileFindings(chosen(r.tiles, func(x *overTile) bool { return tiled[x.bay] }))
	r.oneSides(chosen(r.sides, func(x *sideBlock) bool { return sides[x.key()] }))
	r.alongRuns(chosen(r.crossed, func(x *crossing) bool { return runs[x.key] }))
	for _, f := range r.findings[kept:] {
		r.touched[f.brief(r).id] = true
	}
	r.jointsAgain(dirty, was)
	r.underFaces(func(i int32) bool {
		if level[i] || ofRuns[strings.ToLower(r.Zone(i).Run())] || len(r.Zone(i).Joins()) > 0 {
			return true
		}
		for k, o := range dirty { // it may be the tail of what stood there, or stands there now
			if was[k].Apart(&r.Boxes[i]) <= measure.MeetJoins || r.Boxes[o].Apart(&r.Boxes[i]) <= measure.MeetJoins {
				return true
			}
		}
		return false
	})
	r.supportsAgain(ch, dirty, was)
	if !r.book.onTrial && r.putOff == nil {
		r.recount = r.networkAgain(dirty) || r.recount
	}
	if !r.onTrial { // nobody is told of empty bays then
		r.emptied(was, dirty, ch)
	}
	return ctx.Err()
}

// lookAgain takes in what the scene looks at of zones that changed, and of openings and spaces.
func (r *run) lookAgain(ch *void.Change, dirty []int32) {
	if ch.Openings {
		r.Openings()
	}
	if ch.Spaces {
		r.LookAtSpaces()
	}
	if w := r.hatchways; w != nil && (ch.Spaces || slices.ContainsFunc(dirty, func(i int32) bool { return w.owners[i] })) {
		r.Check.hatchways = nil
	}
	for _, i := range dirty {
		r.LookAgain(i)
	}
	if r.runRows == nil || slices.ContainsFunc(dirty, func(i int32) bool {
		return int(i) >= len(r.runRows.key) || r.runRows.key[i] != r.runKey(i) || !r.InRuns(i)
	}) {
		r.Runs = nil
	}
}

// keep takes what was measured anew into the book.
func (r *run) keep(b *book) {
	for i := range b.hits {
		r.touched[b.hits[i].id] = true
	}
	for _, f := range b.findings {
		r.touched[f.brief(r).id] = true
	}
	for i := range b.told {
		t := &b.told[i]
		t.ofParty, t.fromParty = r.party(t.of), r.party(t.from)
		r.related[[2]int32{t.ofParty, t.fromParty}] = true
	}
	r.take(b)
}

// forget takes worded findings out of the book.
func (r *run) forget(which func(*placed) bool) {
	r.findings = slices.DeleteFunc(r.findings, func(x *placed) bool {
		if !which(x) {
			return false
		}
		r.touched[x.brief(r).id] = true
		return true
	})
}

// forgetHits takes findings that are yet to be worded out of the book.
func (r *run) forgetHits(which func(*hit) bool) {
	r.hits = slices.DeleteFunc(r.hits, func(x hit) bool {
		if !which(&x) {
			return false
		}
		r.touched[x.id] = true
		return true
	})
}

// without takes entries out of a list of a book. A book on trial shares its lists with the one that it is taken from: it copies what it changes.
// which is asked twice of an entry then.
func without[T any](b *book, list []T, which func(T) bool) []T {
	if b.onTrial {
		if !slices.ContainsFunc(list, which) {
			return list
		}
		list = slices.Clone(list)
	}
	return slices.DeleteFunc(list, which)
}

// partner reports whether a pair of a marked zone and another is to be taken: not twice where both are marked.
func (r *run) partner(i, o int32) bool { return o != i && (!r.marked[o] || o > i) }

func chosen[T any](list []T, want func(*T) bool) []T {
	var out []T
	for i := range list {
		if want(&list[i]) {
			out = append(out, list[i])
		}
	}
	return out
}

func sortedKeys(m map[int32]bool) []int32 {
	out := make([]int32, 0, len(m))
	for k := range m {
		out = append(out, k)
	}
	slices.Sort(out)
	return out
}

// toldOfHatches adds to some what is told of a hatch near which one of the boxes lies: it may be far from there, and what bars the way
// near the hatch is told of it all the same.
func (r *run) toldOfHatches(boxes []scene.Box, arm float64, to map[int32]bool) {
	rows := map[string]bool{}
	for _, hatches := range r.hatches(arm).byStorey {
		for k := range hatches {
			round := scene.Column(scene.Over(hatches[k].round(), 0, 0))
			if slices.ContainsFunc(boxes, func(b scene.Box) bool { return !b.Gone() && b.Apart(&round) <= 0 }) {
				rows[r.Project.FileLine(r.Project.Spaces[hatches[k].space].Row)] = true
			}
		}
	}
	for k := range r.findings {
		if x := r.findings[k]; len(rows) > 0 && x.of == ofReach && x.f.Hatch != nil && rows[x.f.Hatch.Row] {
			to[x.a] = true
		}
	}
}

// spacesNear returns the access spaces that a change may touch: of a zone that changed, or with one in it before or now,
// or in a bay that changed.
func (r *run) spacesNear(ch *void.Change, dirty []int32, was []scene.Box) map[int32]bool {
	out := map[int32]bool{}
	all := scene.Nowhere
	for n, i := range dirty {
		all = scene.Union(all, scene.Union(was[n], r.Boxes[i]))
	}
	for k := range r.Project.Spaces {
		s := &r.Project.Spaces[k]
		sb := &r.Spaces[k]
		touched := r.marked[s.For]
		if !touched && len(ch.Bays) == 0 && all.Apart(sb) > 0 {
			continue
		}
		for n, i := range dirty {
			touched = touched || was[n].Apart(sb) <= 0 || r.Boxes[i].Apart(sb) <= 0
		}
		for _, j := range ch.Bays {
			touched = touched || s.Body.Plan().Intersects(r.Project.Bays[j].Plan)
		}
		if touched {
			out[int32(k)] = true
		}
	}
	return out
}

// emptied looks again whether any zone lies in the bays that zones came from or went to.
func (r *run) emptied(was []scene.Box, dirty []int32, ch *void.Change) {
	r.Entered()
	touched := map[int32]bool{}
	for _, j := range ch.Bays {
		touched[int32(j)] = true
	}
	for k, i := range dirty {
		for _, b := range [2]scene.Box{was[k], r.Boxes[i]} {
			if b.Gone() {
				continue
			}
			plan := r2.RectFromPoints(r2.Point{X: b.Lo[0], Y: b.Lo[1]}, r2.Point{X: b.Hi[0], Y: b.Hi[1]})
			for s := range r.Project.Storeys {
				for _, j := range r.Project.BaysNear(s, plan) {
					if slices.Contains(r.Zone(i).Bays(), j) {
						r.Occupied[j] = 1
					} else if r.Occupied[j] != 0 {
						touched[j] = true
					}
				}
			}
		}
	}
	for j := range touched {
		bay := &r.Project.Bays[j]
		in := scene.Over(bay.Plan, r.Project.Storeys[bay.Storey].FFL, bay.Soffit)
		lies := func(i int32) bool { return slices.Contains(r.Zone(i).Bays(), j) }
		r.Occupied[j] = 0
		if r.Some(in, void.Hair, lies) || r.Some(scene.Column(in), void.Hair, lies) {
			r.Occupied[j] = 1
		}
	}
}
