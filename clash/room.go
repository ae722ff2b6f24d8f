package clash

import (
	"cmp"
	"slices"
	"strings"

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

// underFace is a zone wholly under the finished face of a bay's ceiling.
type underFace struct {
	zone, bay int32
	meant     bool // for the room
	sure      bool // a finding whatever else is there
	told      bool // its finding is in the book
}

// throughCeiling is an upright zone that passes through the ceiling of a bay.
type throughCeiling struct{ zone, bay int32 }

// inRoom puts down that a zone lies wholly under a bay's finished face, by less than down.
func (r *run) inRoom(out *book, i, j int32, down float64) {
	z := r.Zone(i)
	e := underFace{zone: i, bay: j}
	meant, said := z.InRoom()
	switch {
	case r.Structure(i) || meant:
		e.meant = true
	case said:
		e.sure = true
	case z.Upright || r.Roomy[z.Char]:
		e.meant = true
	default:
		e.sure = down <= vocabulary.NearFace+void.Hair
	}
	out.below = append(out.below, e)
}

// structureInRoom puts down structure that lies wholly under a finished face.
func (r *run) structureInRoom(out *book, i int32) {
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
	up := map[partyName]bool{} // runs, whether they are also in the void
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
	for k := range r.below {
		e := &r.below[k]
		if !touched(e.zone) {
			continue
		}
		is := e.sure
		if !e.meant && !e.sure {
			is = (r.aloft(e.zone) || r.Zone(e.zone).Run() != "" && aloft(e.zone)) && !r.tail(e.zone)
		}
		switch {
		case is && !e.told:
			n := len(r.hits)
			r.overHead(r.book, h, e.zone, e.bay)
			if r.touched != nil {
				for _, x := range r.hits[n:] {
					r.touched[x.id] = true
				}
			}
		case !is && e.told:
			if gone == nil {
				gone = map[[2]int32]bool{}
			}
			r.have(e.zone)
			gone[[2]int32{e.zone, e.bay}] = true
		}
		if is != e.told {
			turned = append(turned, k)
		}
	}
	r.turn(turned)
	if gone != nil {
		r.forgetHits(func(x *hit) bool { return x.of == ofRoom && gone[[2]int32{x.a, x.bay}] })
	}
}

// overHead checks a zone that lies wholly under the finished face of a bay against its ceiling.
func (r *run) overHead(out *book, h *rules.Reader, i, j int32) {
	bay := &r.Project.Bays[j]
	lo, low, hung := r.Under(i, r.Full(i), bay)
	ch := h.Between(r.Trait(i), r.Set.Ceiling)
	r.oneSided(out, ofRoom, i, ch, ch.Under, lo-bay.Top, hung, j, low)
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
	for _, e := range r.below {
		if e.told {
			found[e.zone] = true
		}
	}
	in := map[key][]string{}
	seen := map[int32]bool{}
	for _, e := range r.below {
		ch := r.Char(e.zone)
		if found[e.zone] || seen[e.zone] || !r.wantsAt(&r.Project.Bays[e.bay].Label, ch.Trade, "") {
			continue
		}
		seen[e.zone] = true
		k := key{ch.Trade, ch.Kind}
		in[k] = append(in[k], r.Zone(e.zone).ID)
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
	list := slices.Clone(r.pierced)
	slices.SortFunc(list, func(a, b throughCeiling) int { return cmp.Or(cmp.Compare(a.zone, b.zone), cmp.Compare(a.bay, b.bay)) })
	var out []finding.Through
	last := int32(-1)
	for _, t := range list {
		bay := &r.Project.Bays[t.bay]
		z, ch := r.Zone(t.zone), r.Char(t.zone)
		if !r.wantsAt(&bay.Label, ch.Trade, "") {
			continue
		}
		if t.zone != last {
			last = t.zone
			at := measure.LowestAt(r.Full(t.zone), bay, false)
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
