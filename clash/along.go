package clash

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"voidline/clash/figure"
	"voidline/clash/measure"
	"voidline/clash/rules"
	"voidline/clash/scene"
	"voidline/void"
	"voidline/void/body"
)

// A run that is drawn in short rows runs beside another as one long row does. What each pair of rows is too
// short for is added up along the run, where it joins end to end: two places 8 m apart are two crossings.

// crossing is a pair of rows that is nearer than a rule's gap of which one is part of a run, and over which length. The
// other may be the soffit or the ceiling of a bay.
type crossing struct {
	a, b    int32 // the pair; b is noZone for a soffit or a ceiling
	bay     int32 // whose soffit or ceiling
	ceiling bool
	of      int32 // which of the two the rule is of; towards a soffit or a ceiling the row, along which it counts
	rule    *rules.Rule
	way     int8    // along which it is gone, of those of its body (measure.Ways)
	lo, hi  float64 // stations of of between which it is too near, -1 to 1
	key     alongKey
}

// noZone stands for no zone in an entry of two.
const noZone = -1

// crossing notes over which length the pair is too near for rules that count over a length, where one of the two is part of
// a named run.
func (r *run) crossing(out *book, e *measure.Encounter, touch float64) {
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
				x := crossing{a: a, b: b, of: of, rule: rule, way: way, lo: lo, hi: hi}
				x.key = r.alongOf(&x)
				out.crossed = append(out.crossed, x)
			}
		}
	}
}

// crossingBay notes over which length a row is too near the soffit or the ceiling of a bay for a rule that counts over a length:
// what is too short by itself, in one bay, may be long enough along its run and over all bays of the storey.
func (r *run) crossingBay(out *book, i, j int32, u rules.Use, ceiling bool, low body.Body) {
	side, slab := measure.SlabOf(low, &r.Project.Bays[j], ceiling)
	for way := range measure.Ways(low) {
		if lo, hi, ok := measure.StretchWay(low, slab, side, u.Gap, way); ok {
			x := crossing{a: i, b: noZone, bay: j, ceiling: ceiling, of: i, rule: u.Rule, way: way, lo: lo, hi: hi}
			x.key = r.alongOf(&x)
			out.crossed = append(out.crossed, x)
		}
	}
}

// alongKey is a rule of one run towards another.
type alongKey struct{ rule, of, to string }

func (r *run) alongOf(x *crossing) alongKey {
	k := alongKey{rule: x.rule.Name + x.rule.Row, of: r.alongName(x.of)}
	if x.b >= 0 { // it has no bay: there may be none at all
		k.to = r.alongName(x.a + x.b - x.of)
		return k
	}
	k.to = fmt.Sprint("soffits of ", r.Project.Bays[x.bay].Storey)
	if x.ceiling {
		k.to = fmt.Sprint("ceilings of ", r.Project.Bays[x.bay].Storey)
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
func (r *run) otherOf(x *crossing) string {
	switch {
	case x.b >= 0:
		return r.Zone(x.b).ID
	case x.ceiling:
		return r.Project.Bays[x.bay].CeilingID()
	}
	return r.Project.Bays[x.bay].SoffitID()
}

// alongRuns finds the runs that are too near each other for longer than a rule's over, all their rows
// together.
func (r *run) alongRuns(crossed []crossing) {
	groups := map[alongKey][]crossing{}
	var keys []alongKey
	for _, x := range crossed {
		k := x.key
		if groups[k] == nil {
			keys = append(keys, k)
		}
		groups[k] = append(groups[k], x)
	}
	slices.SortFunc(keys, func(a, b alongKey) int {
		return cmp.Or(cmp.Compare(a.rule, b.rule), cmp.Compare(a.of, b.of), cmp.Compare(a.to, b.to))
	})
	for _, k := range keys {
		xs := groups[k]
		slices.SortFunc(xs, func(a, b crossing) int {
			return cmp.Or(void.Natural(r.Zone(a.of).ID, r.Zone(b.of).ID), cmp.Compare(a.way, b.way), void.Natural(r.Zone(a.a).ID+" "+r.otherOf(&a), r.Zone(b.a).ID+" "+r.otherOf(&b)),
				cmp.Compare(a.lo, b.lo), cmp.Compare(a.hi, b.hi))
		})
		ps := make([]measure.Piece, len(xs))
		for n, x := range xs {
			ps[n] = measure.Piece{B: measure.Along(r.Full(x.of), x.way), Lo: x.lo, Hi: x.hi}
			if n > 0 {
				if ps[n].Row = ps[n-1].Row; xs[n-1].of != x.of || xs[n-1].way != x.way {
					ps[n].Row++
				}
			}
		}
		of, long := measure.JoinUp(ps)
		for n, x := range xs {
			sum := long[of[n]]
			if sum <= x.rule.Over+void.Hair || (x.hi-x.lo)/2*measure.LengthOf(ps[n].B) > x.rule.Over+void.Hair {
				continue // too short, or long enough by itself: found already
			}
			note := fmt.Sprintf("too close for %s along the run, its rows together", figure.Down(sum))
			if x.b < 0 {
				r.alongBay(&x, note)
				continue
			}
			A, B := r.Full(x.a), r.Full(x.b)
			ch := r.Set.Between(r.Trait(x.a), r.Trait(x.b)).AtOnce().Only(x.rule)
			v := measure.Judge(A, B, ch, r.touch, false)
			if v.N == 0 {
				continue
			}
			v.Overlap = false // an overlap is a finding of its own
			f := r.finding(x.a, x.b, A, B, ch, &v, false, note)
			r.add(ofRun, x.a, x.b, k, f)
		}
	}
}

// alongBay words that a row is too near the soffit or the ceiling of a bay, its run together.
func (r *run) alongBay(x *crossing, note string) {
	bay := &r.Project.Bays[x.bay]
	low, hung, to := r.Full(x.a), false, r.Set.Soffit
	gap := bay.Soffit - scene.Highest(low, bay)
	if x.ceiling {
		gap, low, hung = r.Under(x.a, low, bay)
		gap, to = gap-bay.Top, r.Set.Ceiling
	}
	ch := r.Set.Between(r.Trait(x.a), to)
	for _, u := range [3]rules.Use{ch.Over, ch.Under, ch.Around} {
		if u.Valid && u.Rule.Name == x.rule.Name && u.Rule.Row == x.rule.Row {
			f := r.sided(x.a, bay, x.ceiling, gap, false, u, hung, low)
			f.Note = note
			r.add(ofRun, x.a, noZone, x.key, f)
			return
		}
	}
}
