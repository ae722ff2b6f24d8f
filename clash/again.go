package clash

import (
	"context"
	"slices"
	"strings"

	"github.com/golang/geo/r2"

	"voidline/clash/measure"
	"voidline/clash/rules"
	"voidline/clash/scene"
	"voidline/void"
)

// again measures what a change touches, and takes the rest as it was.
//
//  1. Zones that changed, and all zones of bays and at openings that did, are marked. What came of a marked zone and
//     another is forgotten, and the marked zones are looked for and measured again.
//  2. A zone that came to serve something in the ceiling, or ceased to, is checked against its ceilings again, as the marked ones are.
//  3. What hangs on more than two zones is worked out again where it lost or gained an entry: hand room along a run, runs
//     beside each other, the tiles of a bay, access spaces, ways from a hatch.
func (r *run) again(ctx context.Context, ch *void.Change) error {
	a := renewal{r: r, ch: ch, sides: map[alongKey]bool{}, runs: map[alongKey]bool{}, level: map[int32]bool{}, tiled: map[int32]bool{}}
	r.makeRoom()
	defer a.unmark()
	a.markAll()
	a.h = r.Set.Reader()
	a.forgetPairs()
	r.lookAgain(ch, a.dirty)
	pairs, err := a.pairs(ctx)
	if err != nil {
		return err
	}
	a.forgetTiles()
	levels := a.levels()
	a.spaces = r.spacesNear(ch, a.dirty, a.was)
	a.reached = a.reachedAgain()
	a.forgetLevels()
	a.reach()
	for k := range int32(len(r.Project.Spaces)) {
		if ch.Spaces || a.spaces[k] {
			r.spaceAt(levels, k)
		}
	}
	for k := range levels.tiles {
		a.tiled[levels.tiles[k].bay] = true
	}
	for _, j := range ch.Bays {
		a.tiled[int32(j)] = true
	}
	r.keep(pairs)
	r.keep(levels)
	under := a.underFaceAgain()
	a.gathered()
	r.jointsAgain(a.dirty, a.was)
	r.underFaces(under)
	r.supportsAgain(ch, a.dirty, a.was)
	if !r.book.onTrial && r.putOff == nil {
		r.recount = r.networkAgain(a.dirty) || r.recount
	}
	if !r.onTrial { // nobody is told of empty bays then
		r.emptied(a.was, a.dirty, ch)
	}
	return ctx.Err()
}

// renewal is what one asking again goes through: what a change touches, as far as it is known.
type renewal struct {
	r     *run
	ch    *void.Change
	h     *rules.Reader
	dirty []int32     // the marked zones, ascending
	was   []scene.Box // where each of them was before

	sides, runs map[alongKey]bool // rows whose hand room, and runs whose rows together, lost or gained an entry
	level       map[int32]bool    // zones to be checked against ceilings and soffits
	tiled       map[int32]bool    // bays whose tiles lost or gained an entry
	spaces      map[int32]bool    // access spaces
	reached     map[int32]bool    // zones whose way from a hatch may have changed, unless access spaces did: then all
}

// makeRoom makes room for rows that were added.
func (r *run) makeRoom() {
	for len(r.Boxes) < r.Project.Zones() {
		r.Boxes, r.TraitAt, r.CharAt = append(r.Boxes, scene.Nowhere), append(r.TraitAt, 0), append(r.CharAt, -1)
		r.Hung = append(r.Hung, false)
	}
	r.Characters()
	if len(r.marked) < len(r.Boxes) {
		r.marked = make([]bool, max(len(r.Boxes), 2*len(r.marked)))
	}
}

// mark marks a zone to be measured again.
func (a *renewal) mark(i int32) {
	if !a.r.marked[i] {
		a.r.marked[i] = true
		a.dirty = append(a.dirty, i)
	}
}

// markBay marks the zones of a bay.
func (a *renewal) markBay(j int32) {
	a.r.Near(scene.Column(scene.Over(a.r.Project.Bays[j].Plan, 0, 0)), void.Hair, func(i int32) {
		if slices.Contains(a.r.Zone(i).Bays(), j) {
			a.mark(i)
		}
	})
}

// markOpenings marks what the openings that changed are in: those of before and of now that are not the same.
func (a *renewal) markOpenings() {
	for _, o := range [2][2][]void.Opening{{a.r.was, a.r.Project.Openings}, {a.r.Project.Openings, a.r.was}} {
		list, other := o[0], o[1]
		for k := range list {
			switch {
			case k < len(other) && list[k] == other[k]:
			case list[k].In >= 0:
				a.mark(list[k].In)
			default:
				a.markBay(list[k].Bay)
			}
		}
	}
}

// markAll marks all that is to be measured again.
func (a *renewal) markAll() {
	for _, i := range a.ch.Zones {
		a.mark(int32(i))
	}
	a.r.Laid(scene.StraysMost)
	for _, j := range a.ch.Bays {
		a.markBay(int32(j))
	}
	if a.ch.Openings {
		a.markOpenings()
	}
	slices.Sort(a.dirty)
}

// unmark takes the marks off again.
func (a *renewal) unmark() {
	for _, i := range a.dirty {
		a.r.marked[i] = false
	}
}

// of2 reports whether either of two zones is marked; either may be none.
func (a *renewal) of2(x, y int32) bool { return x >= 0 && a.r.marked[x] || y >= 0 && a.r.marked[y] }

// forgetPairs forgets what came of a marked zone and another, and where the zones were.
func (a *renewal) forgetPairs() {
	r := a.r
	a.was = boxesOf(r.Boxes, a.dirty)
	for _, i := range a.dirty {
		a.each(i, func(int32) { r.measured-- })
		r.have(i)
	}
	r.forgetHits(func(x *hit) bool { return x.of == ofPair && a.of2(x.a, x.b) })
	r.holes = slices.DeleteFunc(r.holes, func(x madeOf) bool { return a.of2(x.a, x.b) })
	r.excused = slices.DeleteFunc(r.excused, func(x excuse) bool { return x.of == ofPair && a.of2(x.a, x.b) })
	r.asked = slices.DeleteFunc(r.asked, func(x asking) bool { return a.of2(x.a, x.b) })
	r.warned = slices.DeleteFunc(r.warned, func(x warning) bool { return a.of2(x.a, x.b) })
	r.told = slices.DeleteFunc(r.told, func(x relation) bool {
		if !a.of2(x.of, x.from) {
			return false
		}
		r.related[[2]int32{x.ofParty, x.fromParty}] = true
		return true
	})
	r.sides = without(r.book, r.sides, func(x sideBlock) bool {
		if !a.of2(x.of, x.by) {
			return false
		}
		a.sides[x.key()] = true
		return true
	})
	r.crossed = without(r.book, r.crossed, func(x crossing) bool {
		if !a.of2(x.a, x.b) {
			return false
		}
		a.runs[x.key] = true
		return true
	})
	r.serves = slices.DeleteFunc(r.serves, func(x serving) bool {
		if !a.of2(x.zone, x.other) {
			return false
		}
		r.serve(x.zone, -1)
		a.level[x.zone] = true
		return true
	})
}

// each calls f with the zones that a marked zone is measured against: each pair of marked ones once.
func (a *renewal) each(i int32, f func(o int32)) {
	a.r.Near(a.r.Boxes[i], a.r.Set.Widest(), func(o int32) {
		if a.r.partner(i, o) && a.r.Wanted(a.h, i, o) {
			f(o)
		}
	})
}

// pairs measures the marked zones as they are now against all that is near them.
func (a *renewal) pairs(ctx context.Context) (*book, error) {
	r, out := a.r, &book{}
	for _, i := range a.dirty {
		a.level[i] = true
	}
	var concerned []bool
	if !r.book.onTrial {
		concerned = r.tells()
	}
	for n, i := range a.dirty {
		if n%16 == 0 && ctx.Err() != nil {
			return nil, ctx.Err()
		}
		var with []int32
		a.each(i, func(o int32) { with = append(with, o) })
		slices.Sort(with)
		for _, o := range with {
			r.pairById(out, a.h, i, o)
		}
		if concerned != nil && !r.Boxes[i].Gone() && concerned[r.Trait(i)] {
			r.Near(scene.Column(r.Boxes[i]), 0, func(o int32) {
				if r.partner(i, o) && concerned[r.Trait(o)] && r.Zone(o).Storey == r.Zone(i).Storey {
					r.relate(out, a.h, i, o)
				}
			})
		}
	}
	r.nameSides(out.sides)
	for _, s := range out.sides {
		a.sides[s.key()] = true
	}
	for _, x := range out.crossed {
		a.runs[x.key] = true
	}
	for _, s := range out.serves {
		r.serve(s.zone, 1)
		a.level[s.zone] = true
	}
	return out, nil
}

// forgetTiles forgets what zones that are checked against ceilings and soffits again left of the room over tiles, and came to along a soffit
// or a ceiling.
func (a *renewal) forgetTiles() {
	r := a.r
	r.tiles = without(r.book, r.tiles, func(x overTile) bool {
		if !a.level[x.zone] {
			return false
		}
		a.tiled[x.bay] = true
		return true
	})
	r.crossed = without(r.book, r.crossed, func(x crossing) bool {
		if x.b >= 0 || !a.level[x.a] {
			return false
		}
		a.runs[x.key] = true
		return true
	})
}

// levels checks zones against their ceilings and soffits.
func (a *renewal) levels() *book {
	out := &book{}
	for _, i := range sortedKeys(a.level) {
		a.r.level(out, a.h, i)
	}
	for _, x := range out.crossed {
		a.runs[x.key] = true
	}
	return out
}

// reachedAgain returns the zones whose way from a hatch the change may have made another. On trial the few that must be reached are gone
// through, else the index is asked.
func (a *renewal) reachedAgain() map[int32]bool {
	r, out := a.r, map[int32]bool{}
	arm := r.armReach()
	if arm <= 0 || a.ch.Spaces {
		return out
	}
	changed := append(slices.Clone(a.was), boxesOf(r.Boxes, a.dirty)...)
	var near []int32
	if r.onTrial {
		near = r.mustReachNear(changed, r.reachRound(arm))
	}
	for _, j := range a.ch.Bays {
		changed = append(changed, scene.Column(scene.Over(r.Project.Bays[j].Plan, 0, 0)))
	}
	for _, i := range a.dirty {
		out[i] = true
	}
	for _, b := range changed {
		if b.Gone() {
			continue
		}
		b = scene.Column(b) // a shaft begins at the ceiling, however high the item
		if r.onTrial {
			for _, i := range near {
				if b.Apart(&r.Boxes[i]) <= r.reachRound(arm) {
					out[i] = true
				}
			}
			continue
		}
		r.Near(b, r.reachRound(arm), func(i int32) {
			if r.Zone(i).Reach {
				out[i] = true
			}
		})
	}
	if !r.onTrial {
		r.toldOfHatches(changed, arm, out)
	}
	return out
}

// forgetLevels forgets what is measured again of ceilings and soffits, spaces, reach and what is gathered along runs.
func (a *renewal) forgetLevels() {
	r := a.r
	r.forget(func(x *placed) bool {
		switch x.of {
		case ofPair:
			return a.of2(x.a, x.b)
		case ofSide:
			return a.sides[x.key]
		case ofRun:
			return a.runs[x.key] || a.of2(x.a, x.b)
		case ofLevel:
			return a.level[x.a]
		case ofReach:
			return a.ch.Spaces || a.reached[x.a]
		case ofSpace:
			return a.ch.Spaces || a.spaces[x.a]
		}
		return false
	})
	for _, i := range sortedKeys(a.level) {
		r.have(i)
	}
	r.forgetHits(func(x *hit) bool { return x.of.surface() && a.level[x.a] })
	r.excused = slices.DeleteFunc(r.excused, func(x excuse) bool {
		return x.of == ofLevel && a.level[x.a] || x.of == ofSpace && (a.ch.Spaces || a.spaces[x.a])
	})
	r.notes = slices.DeleteFunc(r.notes, func(x noted) bool {
		return x.of == ofReach && (a.ch.Spaces || a.reached[x.a]) || x.of == ofLevel && a.level[x.a]
	})
	r.unsaid = slices.DeleteFunc(r.unsaid, func(x unsaidCeiling) bool { return a.level[x.zone] })
	r.below = without(r.book, r.below, func(x underFace) bool { return a.level[x.zone] })
	r.pierced = without(r.book, r.pierced, func(x throughCeiling) bool { return a.level[x.zone] })
	r.holes = slices.DeleteFunc(r.holes, func(x madeOf) bool { return x.b < 0 && a.level[x.a] })
}

// reach looks again for ways from a hatch; of a trial it does so later, for it takes long.
func (a *renewal) reach() {
	r := a.r
	if r.onTrial {
		r.later = func() { r.reachOnTrial(a.h, a.reached, a.dirty, a.was) }
		return
	}
	if r.ways = nil; r.toReach != nil && slices.ContainsFunc(a.dirty, func(i int32) bool { return r.Zone(i).Reach || slices.Contains(r.toReach.Of, i) }) {
		r.toReach = nil
	}
	out, reach := &book{}, r.reach()
	for _, i := range sortedKeys(a.reached) {
		reach(out, a.h, int(i), int(i)+1)
	}
	if a.ch.Spaces {
		reach(out, a.h, 0, r.Project.Zones())
	}
	r.keep(out)
}

// gathered words again what is gathered of many zones: tiles of bays, hand room along rows, runs beside each other.
func (a *renewal) gathered() {
	r := a.r
	r.forget(func(x *placed) bool { return x.of == ofTiles && a.tiled[x.a] })
	kept := len(r.findings)
	r.tileFindings(chosen(r.tiles, func(x *overTile) bool { return a.tiled[x.bay] }))
	r.oneSides(chosen(r.sides, func(x *sideBlock) bool { return a.sides[x.key()] }))
	r.alongRuns(chosen(r.crossed, func(x *crossing) bool { return a.runs[x.key] }))
	for _, f := range r.findings[kept:] {
		r.touched[f.brief(r).id] = true
	}
}

// underFaceAgain says which zones are asked again whether they lie in the room under a finished face: those that were checked against it, what
// joins, rows of a run of which a row is, or was, another, and what may be the tail of what stood or stands where a zone changed.
func (a *renewal) underFaceAgain() func(i int32) bool {
	r := a.r
	ofRuns := map[string]bool{}
	for _, i := range a.dirty {
		ofRuns[strings.ToLower(r.Zone(i).Run())] = true
		if int(i) < len(r.runRows.key) {
			ofRuns[r.runRows.key[i].run] = true
		}
	}
	delete(ofRuns, "")
	return func(i int32) bool {
		if a.level[i] || ofRuns[strings.ToLower(r.Zone(i).Run())] || len(r.Zone(i).Joins()) > 0 {
			return true
		}
		for k, o := range a.dirty {
			if a.was[k].Apart(&r.Boxes[i]) <= measure.MeetJoins || r.Boxes[o].Apart(&r.Boxes[i]) <= measure.MeetJoins {
				return true
			}
		}
		return false
	}
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

// turn notes of some that lie under a finished face that their finding came or went. On trial see without.
func (b *book) turn(below []int) {
	if len(below) > 0 && b.onTrial {
		b.below = slices.Clone(b.below)
	}
	for _, k := range below {
		b.below[k].told = !b.below[k].told
	}
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
