package clash

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"voidline/clash/book"
	"voidline/clash/figure"
	"voidline/clash/measure"
	"voidline/clash/rules"
	"voidline/clash/scene"
	"voidline/void"
	"voidline/void/body"
)

// A run that is drawn in short rows runs beside another as one long row does. What each pair of rows is too
// short for is added up along the run, where it joins end to end: two places 8 m apart are two crossings.

// crossing notes over which length the pair is too near for rules that count over a length, where one of the two is part of
// a named run.
func (r *run) crossing(out *book.Book, e *measure.Encounter, touch float64) {
	a, b := e.A.Zone, e.B.Zone
	if r.Zone(a).Run() == "" && r.Zone(b).Run() == "" || r.Joined(e).Met {
		return
	}
	A, B := e.A.Full, e.B.Full
	v := measure.Judge(A, B, e.Ch.AtOnce(), touch, false)
	for _, x := range v.Breaches() {
		rule := x.Rule
		if rule.Over == 0 {
			continue
		}
		of, O, T := a, A, B
		if !x.OfA {
			of, O, T = b, B, A
		}
		for way := range measure.Ways(O) {
			if lo, hi, ok := measure.StretchWay(O, T, x.Side, x.Asked, way); ok {
				x := book.Crossing{A: a, B: b, Of: of, Rule: rule, Way: way, Lo: lo, Hi: hi}
				x.Key = r.alongOf(&x)
				out.Crossed = append(out.Crossed, x)
			}
		}
	}
}

// crossingBay notes over which length a row is too near the soffit or the ceiling of a bay for a rule that counts over a length:
// what is too short by itself, in one bay, may be long enough along its run and over all bays of the storey.
func (r *run) crossingBay(out *book.Book, i, j int32, u rules.Use, ceiling bool, low body.Body) {
	side, slab := measure.SlabOf(low, &r.Project.Bays[j], ceiling)
	for way := range measure.Ways(low) {
		if lo, hi, ok := measure.StretchWay(low, slab, side, u.Gap, way); ok {
			x := book.Crossing{A: i, B: book.NoZone, Bay: j, Ceiling: ceiling, Of: i, Rule: u.Rule, Way: way, Lo: lo, Hi: hi}
			x.Key = r.alongOf(&x)
			out.Crossed = append(out.Crossed, x)
		}
	}
}

func (r *run) alongOf(x *book.Crossing) book.Along {
	k := book.Along{Rule: x.Rule.Name + x.Rule.Row, Of: r.alongName(x.Of)}
	if x.B >= 0 { // it has no bay: there may be none at all
		k.To = r.alongName(x.A + x.B - x.Of)
		return k
	}
	k.To = fmt.Sprint("soffits of ", r.Project.Bays[x.Bay].Storey)
	if x.Ceiling {
		k.To = fmt.Sprint("ceilings of ", r.Project.Bays[x.Bay].Storey)
	}
	return k
}

// alongName names the run of a zone, or the zone itself where it is of none.
func (r *run) alongName(i int32) string {
	if z := r.Zone(i); z.Run() != "" {
		return "run " + r.Char(i).Trade + " " + strings.ToLower(z.Run())
	}
	return "zone " + r.Zone(i).ID
}

// otherOf returns the id of what zone a of a crossing is too near.
func (r *run) otherOf(x *book.Crossing) string {
	switch {
	case x.B >= 0:
		return r.Zone(x.B).ID
	case x.Ceiling:
		return r.Project.Bays[x.Bay].CeilingID()
	}
	return r.Project.Bays[x.Bay].SoffitID()
}

// alongRuns finds the runs that are too near each other for longer than a rule's over, all their rows
// together.
func (r *run) alongRuns(crossed []book.Crossing) {
	groups := map[book.Along][]book.Crossing{}
	var keys []book.Along
	for _, x := range crossed {
		k := x.Key
		if groups[k] == nil {
			keys = append(keys, k)
		}
		groups[k] = append(groups[k], x)
	}
	slices.SortFunc(keys, func(a, b book.Along) int {
		return cmp.Or(cmp.Compare(a.Rule, b.Rule), cmp.Compare(a.Of, b.Of), cmp.Compare(a.To, b.To))
	})
	for _, k := range keys {
		xs := groups[k]
		slices.SortFunc(xs, func(a, b book.Crossing) int {
			return cmp.Or(void.Natural(r.Zone(a.Of).ID, r.Zone(b.Of).ID), cmp.Compare(a.Way, b.Way), void.Natural(r.Zone(a.A).ID+" "+r.otherOf(&a), r.Zone(b.A).ID+" "+r.otherOf(&b)),
				cmp.Compare(a.Lo, b.Lo), cmp.Compare(a.Hi, b.Hi))
		})
		ps := make([]measure.Piece, len(xs))
		for n, x := range xs {
			ps[n] = measure.Piece{B: measure.Along(r.Full(x.Of), x.Way), Lo: x.Lo, Hi: x.Hi}
			if n > 0 {
				if ps[n].Row = ps[n-1].Row; xs[n-1].Of != x.Of || xs[n-1].Way != x.Way {
					ps[n].Row++
				}
			}
		}
		of, long := measure.JoinUp(ps)
		for n, x := range xs {
			sum := long[of[n]]
			if sum <= x.Rule.Over+void.Hair || (x.Hi-x.Lo)/2*measure.LengthOf(ps[n].B) > x.Rule.Over+void.Hair {
				continue // too short, or long enough by itself: found already
			}
			note := fmt.Sprintf("too close for %s along the run, its rows together", figure.Down(sum))
			if x.B < 0 {
				r.alongBay(&x, note)
				continue
			}
			A, B := r.Full(x.A), r.Full(x.B)
			ch := r.Set.Between(r.Trait(x.A), r.Trait(x.B)).AtOnce().Only(x.Rule)
			v := measure.Judge(A, B, ch, r.touch, false)
			if v.N == 0 {
				continue
			}
			v.Overlap = false // an overlap is a finding of its own
			f := r.finding(x.A, x.B, A, B, ch, &v, false, note)
			r.kept.Add(book.OfRun, x.A, x.B, k, f)
		}
	}
}

// alongBay words that a row is too near the soffit or the ceiling of a bay, its run together.
func (r *run) alongBay(x *book.Crossing, note string) {
	bay := &r.Project.Bays[x.Bay]
	low, hung, to := r.Full(x.A), false, r.Set.Soffit
	gap := bay.Soffit - scene.Highest(low, bay)
	if x.Ceiling {
		gap, low, hung = r.Under(x.A, low, bay)
		gap, to = gap-bay.Top, r.Set.Ceiling
	}
	ch := r.Set.Between(r.Trait(x.A), to)
	for _, u := range [3]rules.Use{ch.Over, ch.Under, ch.Around} {
		if u.Valid && u.Rule.Name == x.Rule.Name && u.Rule.Row == x.Rule.Row {
			f := r.sided(x.A, bay, x.Ceiling, gap, false, u, hung, low)
			f.Note = note
			r.kept.Add(book.OfRun, x.A, book.NoZone, x.Key, f)
			return
		}
	}
}
