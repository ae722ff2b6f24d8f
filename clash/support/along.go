package support

import (
	"cmp"
	"math"
	"slices"
)

// Along returns the support of a row at a length along it, mm in plan from its start, wherever it would stand by itself,
// with the row's tier shifted up by a length and hung from `from` (as a hanger says it; "" as its own says). All rows
// that lie on the tier's channel go with it. Zone is the first by id of the rows of a frame that lie there. ok is
// false for a row that has no supports.
func (pl *Plan) Along(i int, along, up float64, from string) (s Support, ok bool) {
	if !pl.Has(i) {
		return s, false
	}
	var one [1]int32
	at, l := pl.where(int32(i), one[:])
	station := at.from + along
	if at.back {
		station = at.to - along
	}
	st := pl.stand(int32(i), at)
	pl.at(&s, &l, &st, station)
	g := pl.hangerOf(&l)
	z := pl.p.Zone(i)
	if k := pl.owner(&l, station); l.frame && k >= 0 {
		s.Zone = k
	}
	if up == 0 && from == "" && len(pl.raised) == 0 {
		return s, true
	}
	own := st.tier(station, 0, g)
	tail, top := math.Inf(1), math.Inf(-1)
	for k := range s.tiers() {
		t := &s.tiers()[k]
		if !l.frame || t.Under <= own.Under && own.Over <= t.Over {
			t.Under, t.Over = t.Under+up, t.Over+up
		} else if by := pl.raised[t.Zone]; by != 0 {
			t.Under, t.Over = t.Under+by, t.Over+by
		}
		foot := t.Over + t.Above
		switch {
		case t.Carry > 0:
			foot = t.Under - t.Carry - t.Below
		case t.Above > 0:
			foot = t.Over
		}
		tail, top = math.Min(tail, foot), math.Max(top, t.Over+t.Above)
	}
	slices.SortStableFunc(s.tiers(), func(a, b Tier) int { return cmp.Compare(a.Under, b.Under) })
	s.Tail, s.Top, s.Held, s.FromBay, s.FromSteel = tail, top, false, -1, -1
	if s.Rods == 1 {
		s.Tail = top
	}
	hung := *g
	if from != "" {
		hung.from = from
	}
	pl.hang(&s, &hung, z)
	return s, true
}
