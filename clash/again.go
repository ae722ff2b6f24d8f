package clash

import (
	"context"
	"slices"
	"strings"

	"github.com/golang/geo/r2"

	"voidline/clash/book"
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
	r.makeRoom()
	a := renewal{Stale: book.NewStale(r.marked), r: r, ch: ch}
	a.AllSpaces = ch.Spaces
	defer a.unmark()
	a.markAll()
	a.h = r.Set.Reader()
	a.forgetPairs()
	r.lookAgain(ch, a.Dirty)
	pairs, err := a.pairs(ctx)
	if err != nil {
		return err
	}
	r.kept.ForgetTiles(&a.Stale)
	levels := a.levels()
	a.Spaces = r.spacesNear(ch, a.Dirty, a.was)
	a.Reached = a.reachedAgain()
	r.kept.ForgetLevels(&a.Stale)
	a.reach()
	for k := range int32(len(r.Project.Spaces)) {
		if ch.Spaces || a.Spaces[k] {
			r.spaceAt(levels, k)
		}
	}
	for k := range levels.Tiles {
		a.Tiled[levels.Tiles[k].Bay] = true
	}
	for _, j := range ch.Bays {
		a.Tiled[int32(j)] = true
	}
	r.keep(pairs)
	r.keep(levels)
	under := a.underFaceAgain()
	a.gathered()
	r.jointsAgain(a.Dirty, a.was)
	r.underFaces(under)
	r.supportsAgain(ch, a.Dirty, a.was)
	if !r.kept.OnTrial && r.putOff == nil {
		r.kept.Order.Recount = r.networkAgain(a.Dirty) || r.kept.Order.Recount
	}
	if !r.kept.OnTrial { // nobody is told of empty bays then
		r.emptied(a.was, a.Dirty, ch)
	}
	return ctx.Err()
}

// renewal is what one asking again goes through: what a change touches, as far as it is known.
type renewal struct {
	book.Stale
	r   *run
	ch  *void.Change
	h   *rules.Reader
	was []scene.Box // where each of the marked zones was before
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
		a.Dirty = append(a.Dirty, i)
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
	slices.Sort(a.Dirty)
}

// unmark takes the marks off again.
func (a *renewal) unmark() {
	for _, i := range a.Dirty {
		a.r.marked[i] = false
	}
}

// forgetPairs forgets what came of a marked zone and another, and where the zones were.
func (a *renewal) forgetPairs() {
	r := a.r
	a.was = boxesOf(r.Boxes, a.Dirty)
	for _, i := range a.Dirty {
		a.each(i, func(int32) { r.kept.Measured-- })
	}
	r.kept.ForgetPairs(&a.Stale)
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
func (a *renewal) pairs(ctx context.Context) (*book.Book, error) {
	r, out := a.r, &book.Book{}
	for _, i := range a.Dirty {
		a.Level[i] = true
	}
	var concerned []bool
	if !r.kept.OnTrial {
		concerned = r.tells()
	}
	for n, i := range a.Dirty {
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
	r.nameSides(out.Sides)
	for _, s := range out.Sides {
		a.Sides[s.Key()] = true
	}
	for _, x := range out.Crossed {
		a.Runs[x.Key] = true
	}
	for _, s := range out.Serves {
		r.kept.Serve(s.Zone, 1)
		a.Level[s.Zone] = true
	}
	return out, nil
}

// levels checks zones against their ceilings and soffits.
func (a *renewal) levels() *book.Book {
	out := &book.Book{}
	for _, i := range sortedKeys(a.Level) {
		a.r.level(out, a.h, i)
	}
	for _, x := range out.Crossed {
		a.Runs[x.Key] = true
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
	changed := append(slices.Clone(a.was), boxesOf(r.Boxes, a.Dirty)...)
	var near []int32
	if r.kept.OnTrial {
		near = r.mustReachNear(changed, r.reachRound(arm))
	}
	for _, j := range a.ch.Bays {
		changed = append(changed, scene.Column(scene.Over(r.Project.Bays[j].Plan, 0, 0)))
	}
	for _, i := range a.Dirty {
		out[i] = true
	}
	for _, b := range changed {
		if b.Gone() {
			continue
		}
		b = scene.Column(b) // a shaft begins at the ceiling, however high the item
		if r.kept.OnTrial {
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
	if !r.kept.OnTrial {
		r.toldOfHatches(changed, arm, out)
	}
	return out
}

// reach looks again for ways from a hatch; of a trial it does so later, for it takes long.
func (a *renewal) reach() {
	r := a.r
	if r.kept.OnTrial {
		r.later = func() { r.reachOnTrial(a.Reached, a.Dirty, a.was) }
		return
	}
	if r.ways = nil; r.toReach != nil && slices.ContainsFunc(a.Dirty, func(i int32) bool { return r.Zone(i).Reach || slices.Contains(r.toReach.Of, i) }) {
		r.toReach = nil
	}
	out, reach := &book.Book{}, r.reach()
	for _, i := range sortedKeys(a.Reached) {
		reach(out, i)
	}
	if a.ch.Spaces {
		for i := range int32(r.Project.Zones()) {
			reach(out, i)
		}
	}
	r.keep(out)
}

// gathered words again what is gathered of many zones: tiles of bays, hand room along rows, runs beside each other.
func (a *renewal) gathered() {
	r := a.r
	r.kept.Forget(func(x *book.Placed) bool { return x.Of == book.OfTiles && a.Tiled[x.A] })
	kept := len(r.kept.Findings)
	r.tileFindings(chosen(r.kept.Tiles, func(x *book.OverTile) bool { return a.Tiled[x.Bay] }))
	r.oneSides(chosen(r.kept.Sides, func(x *book.SideBlock) bool { return a.Sides[x.Key()] }))
	r.alongRuns(chosen(r.kept.Crossed, func(x *book.Crossing) bool { return a.Runs[x.Key] }))
	for _, f := range r.kept.Findings[kept:] {
		r.kept.Touched[f.Finding.IDNumber()] = true
	}
}

// underFaceAgain says which zones are asked again whether they lie in the room under a finished face: those that were checked against it, what
// joins, rows of a run of which a row is, or was, another, and what may be the tail of what stood or stands where a zone changed.
func (a *renewal) underFaceAgain() func(i int32) bool {
	r := a.r
	ofRuns := map[string]bool{}
	for _, i := range a.Dirty {
		ofRuns[strings.ToLower(r.Zone(i).Run())] = true
		if int(i) < len(r.runRows.key) {
			ofRuns[r.runRows.key[i].Run] = true
		}
	}
	delete(ofRuns, "")
	return func(i int32) bool {
		if a.Level[i] || ofRuns[strings.ToLower(r.Zone(i).Run())] || len(r.Zone(i).Joins()) > 0 {
			return true
		}
		for k, o := range a.Dirty {
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
	for k := range r.kept.Findings {
		if x := r.kept.Findings[k]; len(rows) > 0 && x.Of == book.OfReach && x.Finding.Hatch != nil && rows[x.Finding.Hatch.Row] {
			to[x.A] = true
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
