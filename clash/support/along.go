package support

import (
	"cmp"
	"math"
	"slices"

	"voidline/void"
)

// Made is what a support is made of, where that is otherwise than its row's hanger says. The zero value: as that says.
type Made struct {
	Hanger int32  // index of a hanger of the project, and one; 0: the row's own
	Rods   int8   // how many, and one; 0: as many as the hanger has
	From   string // what it hangs from, as a hanger says it; "": as the hanger says
}

// madeAs returns what a support is made of that somebody has set out.
func madeAs(x *void.SetSupport) Made { return Made{x.Hanger + 1, x.Rods + 1, x.From} }

// made returns what a support hangs on whose row hangs on own.
func (pl *Plan) made(own *gear, m Made) *gear {
	if m == (Made{}) {
		return own
	}
	g := *own
	if m.Hanger > 0 {
		g = pl.hangers[m.Hanger-1]
	}
	if m.Rods > 0 {
		g.rods = int(m.Rods - 1)
	}
	if m.From != "" {
		if g.from = m.From; g.from == FromWall {
			g.rods = 0
		}
	}
	return &g
}

// Along returns the support of a row at a length along it, mm in plan from its start, wherever it would stand by itself,
// with the row's tier shifted up by a length and made as somebody says. All rows
// that lie on the tier's channel go with it. Zone is the first by id of the rows of a frame that lie there. ok is
// false for a row that has no supports.
func (pl *Plan) Along(i int, along, up float64, m Made) (s Support, ok bool) {
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
	pl.at(&s, &l, &st, station, m)
	g := pl.made(pl.hangerOf(&l), m)
	z := pl.p.Zone(i)
	if k := pl.owner(&l, station); l.frame && k >= 0 {
		s.Zone = k
	}
	if up == 0 && len(pl.raised) == 0 {
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
	pl.hang(&s, g, z)
	return s, true
}
