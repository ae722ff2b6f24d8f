package clash

import (
	"cmp"
	"slices"
	"strings"

	"voidline/clash/book"
	"voidline/clash/finding"
	"voidline/clash/measure"
	"voidline/clash/rules"
	"voidline/clash/scene"
	"voidline/void"
	"voidline/void/vocabulary"
)

// What lies wholly under the finished face of a ceiling is in the room, or was meant for the void above it and has a wrong
// level.
//
//  1. A row that says so (in room), what usually is there by its kind (vocabulary.RoomEntries) and what stands upright are in
//     the room.
//  2. The rest is a finding where it lies within vocabulary.NearFace of the face, where its row says that it is not meant
//     to be there, or where it or its run is also in the void, of this or another bay: by how far it must rise. But a tail
//     that goes to something in the room, such as a radiator, is in the room however its run goes on.
//  3. What is no finding is told by trade, kind and number.

// inRoom puts down that a zone lies wholly under a bay's finished face, by less than down.
func (r *run) inRoom(out *book.Book, i, j int32, down float64) {
	z := r.Zone(i)
	e := book.UnderFace{Zone: i, Bay: j}
	meant, said := z.InRoom()
	switch {
	case r.Structure(i) || meant:
		e.Meant = true
	case said:
		e.Sure = true
	case z.Upright || r.Roomy[z.Char]:
		e.Meant = true
	default:
		e.Sure = down <= vocabulary.NearFace+void.Hair
	}
	out.Below = append(out.Below, e)
}

// structureInRoom puts down structure that lies wholly under a finished face.
func (r *run) structureInRoom(out *book.Book, i int32) {
	if r.Boxes[i].Gone() {
		return // a mark
	}
	for _, j := range r.Zone(i).Bays() {
		if bay := &r.Project.Bays[j]; bay.HasCeiling && r.Boxes[i].Hi[2] <= bay.Ceiling+void.Hair {
			r.inRoom(out, i, j, 0)
		}
	}
}

// aloft reports whether a zone is in the void of one of its bays, or reaches into it.
func (r *run) aloft(i int32) bool {
	return slices.ContainsFunc(r.Zone(i).Bays(), func(j int32) bool {
		bay := &r.Project.Bays[j]
		return bay.HasCeiling && scene.Highest(r.Full(i), bay) > bay.Ceiling+void.Hair
	})
}

// underFaces brings the findings of what lies under a finished face up to date: which of them are there hangs on where
// the rest of a run is. touched says of which zones that may have changed.
func (r *run) underFaces(touched func(zone int32) bool) {
	up := map[book.Party]bool{} // runs, whether they are also in the void
	var rows *runRows
	aloft := func(i int32) bool {
		of := r.runKey(i)
		is, known := up[of]
		if !known {
			if rows == nil {
				if rows = r.runRows; rows == nil {
					rows = r.readRuns()
				}
			}
			is = slices.ContainsFunc(rows.of[of], r.aloft)
			up[of] = is
		}
		return is
	}
	h := r.Set.Reader()
	var gone map[[2]int32]bool
	var turned []int
	for k := range r.kept.Below {
		e := &r.kept.Below[k]
		if !touched(e.Zone) {
			continue
		}
		is := e.Sure
		if !e.Meant && !e.Sure {
			is = (r.aloft(e.Zone) || r.Zone(e.Zone).Run() != "" && aloft(e.Zone)) && !r.tail(e.Zone)
		}
		switch {
		case is && !e.Told:
			n := len(r.kept.Hits)
			r.overHead(r.kept, h, e.Zone, e.Bay)
			if r.kept.Touched != nil {
				for _, x := range r.kept.Hits[n:] {
					r.kept.Touched[x.ID] = true
				}
			}
		case !is && e.Told:
			if gone == nil {
				gone = map[[2]int32]bool{}
			}
			r.kept.Have(e.Zone)
			gone[[2]int32{e.Zone, e.Bay}] = true
		}
		if is != e.Told {
			turned = append(turned, k)
		}
	}
	r.kept.Turn(turned)
	if gone != nil {
		r.kept.ForgetHits(func(x *book.Hit) bool { return x.Of == book.OfRoom && gone[[2]int32{x.A, x.Bay}] })
	}
}

// overHead checks a zone that lies wholly under the finished face of a bay against its ceiling.
func (r *run) overHead(out *book.Book, h *rules.Reader, i, j int32) {
	bay := &r.Project.Bays[j]
	lo, low, hung := r.Under(i, r.Full(i), bay)
	ch := h.Between(r.Trait(i), r.Set.Ceiling)
	r.oneSided(out, book.OfRoom, i, ch, ch.Under, lo-bay.Top, hung, j, low)
}

// tail reports whether a zone goes to something that is usually in the room and that runs end at: it names it in joins, or
// comes as near to it as what belongs together meets.
func (r *run) tail(i int32) bool {
	goal := func(o int32) bool {
		return o != i && r.Char(o).Entry.EndsAt && r.Roomy[r.Zone(o).Char] && !r.Zone(o).Gone
	}
	for _, id := range r.Zone(i).Joins() {
		if o, ok := r.Project.ZoneByID(strings.TrimSpace(id)); ok && goal(int32(o)) {
			return true
		}
	}
	return r.Some(r.Boxes[i], rules.MeetEnds, goal)
}

// firstFew is how many ids of a list that is told by its number are named.
const firstFew = 3

// roomOf gathers what lies in the room, by trade and kind.
func (r *run) roomOf() []finding.InRoom {
	type key struct{ trade, kind string }
	found := map[int32]bool{}
	for _, e := range r.kept.Below {
		if e.Told {
			found[e.Zone] = true
		}
	}
	in := map[key][]string{}
	seen := map[int32]bool{}
	for _, e := range r.kept.Below {
		ch := r.Char(e.Zone)
		if found[e.Zone] || seen[e.Zone] || !r.wantsAt(&r.Project.Bays[e.Bay].Label, ch.Trade, "") {
			continue
		}
		seen[e.Zone] = true
		k := key{ch.Trade, ch.Kind}
		in[k] = append(in[k], r.Zone(e.Zone).ID)
	}
	var out []finding.InRoom
	for k, ids := range in {
		slices.SortFunc(ids, func(a, b string) int { return cmp.Or(void.Natural(a, b), strings.Compare(a, b)) })
		out = append(out, finding.InRoom{Trade: k.trade, Kind: k.kind, Number: len(ids), First: slices.Clone(ids[:min(len(ids), firstFew)])})
	}
	slices.SortFunc(out, func(a, b finding.InRoom) int {
		return cmp.Or(strings.Compare(a.Trade, b.Trade), strings.Compare(a.Kind, b.Kind))
	})
	return out
}

// throughOf gathers what passes through ceilings, each thing once.
func (r *run) throughOf() []finding.Through {
	list := slices.Clone(r.kept.Pierced)
	slices.SortFunc(list, func(a, b book.ThroughCeiling) int {
		return cmp.Or(cmp.Compare(a.Zone, b.Zone), cmp.Compare(a.Bay, b.Bay))
	})
	var out []finding.Through
	last := int32(-1)
	for _, t := range list {
		bay := &r.Project.Bays[t.Bay]
		z, ch := r.Zone(t.Zone), r.Char(t.Zone)
		if !r.wantsAt(&bay.Label, ch.Trade, "") {
			continue
		}
		if t.Zone != last {
			last = t.Zone
			at := measure.LowestAt(r.Full(t.Zone), bay, false)
			at.Z = bay.Ceiling
			x := finding.Through{
				Zone: z.ID, Trade: ch.Trade, Kind: ch.Kind, Run: z.Run(), Row: r.Project.FileLine(z.At()), Storey: r.Project.Storeys[bay.Storey].Name,
				At: r.spotAt(bay.Storey, at),
			}
			x.At.Round()
			out = append(out, x)
		}
		x := &out[len(out)-1]
		x.Ceilings = append(x.Ceilings, bay.CeilingID())
	}
	slices.SortFunc(out, func(a, b finding.Through) int {
		return cmp.Or(strings.Compare(a.Trade, b.Trade), void.Natural(a.Zone, b.Zone), strings.Compare(a.Zone, b.Zone))
	})
	return out
}
