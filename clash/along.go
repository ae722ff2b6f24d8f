package clash

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/golang/geo/r3"

	"voidline/clash/figure"
	"voidline/clash/rules"
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
	lo, hi  float64 // stations of of between which it is too near, -1 to 1
	key     alongKey
}

// noZone stands for no zone in an entry of two.
const noZone = -1

// crossing notes over which length the pair is too near for rules that count over a length, where one of the two is part of
// a named run.
func (r *run) crossing(out *batch, e *encounter, touch float64) {
	a, b := e.a.zone, e.b.zone
	if r.zone(a).Run() == "" && r.zone(b).Run() == "" || r.joined(e).met {
		return
	}
	A, B := e.a.full, e.b.full
	v := judge(A, B, e.ch.AtOnce(), touch, false)
	for _, x := range v.breaches() {
		rule := x.Rule
		if rule.Over == 0 {
			continue
		}
		of, O, T := a, A, B
		if !x.OfA {
			of, O, T = b, B, A
		}
		if lo, hi, ok := stretchOn(O, T, x.side, x.asked); ok {
			x := crossing{a: a, b: b, of: of, rule: rule, lo: lo, hi: hi}
			x.key = r.alongOf(&x)
			out.crossed = append(out.crossed, x)
		}
	}
}

// crossingBay notes over which length a row is too near the soffit or the ceiling of a bay for a rule that counts over a length:
// what is too short by itself, in one bay, may be long enough along its run and over all bays of the storey.
func (r *run) crossingBay(out *book, i, j int32, u rules.Use, ceiling bool, low body.Body) {
	side, slab := oneSidedSlab(low, &r.p.Bays[j], ceiling)
	if lo, hi, ok := stretchOn(low, slab, side, u.Gap); ok {
		x := crossing{a: i, b: noZone, bay: j, ceiling: ceiling, of: i, rule: u.Rule, lo: lo, hi: hi}
		x.key = r.alongOf(&x)
		out.crossed = append(out.crossed, x)
	}
}

// piece is a stretch of a length, between two of its stations.
type piece struct {
	row    int // which length; those of one number have one body
	b      body.Body
	lo, hi float64
	side   int8 // of what counts on one side of a length: 1 left, -1 right of it; 0 where it is all one
}

// joinUp gathers the pieces that join end to end, by their number in the list, and says how long each gathering is along
// its lengths. Pieces of one length join where no more than meetEnds (as ends of a run do) is between them, pieces of two
// lengths where the ends of these meet and no more than that is left of either; and only what is on the same side of both,
// whichever way each is drawn. Pieces are in the order of their rows.
func joinUp(ps []piece) (of []int, long map[int]float64) {
	of = make([]int, len(ps))
	for k := range of {
		of[k] = k
	}
	root := func(k int) int {
		for of[k] != k {
			of[k] = of[of[k]]
			k = of[k]
		}
		return k
	}
	join := func(a, b int) {
		if a, b = root(a), root(b); a != b {
			of[max(a, b)] = min(a, b)
		}
	}
	order := make([]int, len(ps))
	for k := range order {
		order[k] = k
	}
	slices.SortFunc(order, func(x, y int) int {
		a, b := &ps[x], &ps[y]
		return cmp.Or(cmp.Compare(a.row, b.row), cmp.Compare(a.side, b.side), cmp.Compare(a.lo, b.lo), cmp.Compare(a.hi, b.hi), cmp.Compare(x, y))
	})
	type tip struct {
		at    r3.Vector
		left  float64 // of the length, beyond the piece
		side  int8    // the piece's, as seen looking out of this end
		piece int
	}
	var tips []tip
	for n, k := range order {
		p := &ps[k]
		half := lengthOf(p.b) / 2
		if n == 0 || ps[order[n-1]].row != p.row || ps[order[n-1]].side != p.side {
			// The first of a row, or of one side of it.
		} else if far := order[n-1]; (p.lo-ps[far].hi)*half <= rules.MeetEnds+void.Hair {
			join(far, k)
			if ps[far].hi > p.hi { // what reaches furthest stands for all before it
				order[n] = far
			}
		}
		for _, t := range [2]tip{{p.b.Centre.Sub(p.b.Along), (p.lo + 1) * half, -p.side, k}, {p.b.Centre.Add(p.b.Along), (1 - p.hi) * half, p.side, k}} {
			if t.left <= rules.MeetEnds+void.Hair {
				tips = append(tips, t)
			}
		}
	}
	slices.SortFunc(tips, func(a, b tip) int { return cmp.Compare(a.at.X, b.at.X) })
	for x := range tips {
		for _, o := range tips[x+1:] {
			if o.at.X-tips[x].at.X > rules.MeetEnds+void.Hair {
				break
			}
			if ps[o.piece].row != ps[tips[x].piece].row && o.side+tips[x].side == 0 && o.at.Sub(tips[x].at).Norm() <= rules.MeetEnds+void.Hair && o.left+tips[x].left <= rules.MeetEnds+void.Hair {
				join(o.piece, tips[x].piece)
			}
		}
	}
	long = map[int]float64{}
	for at := 0; at < len(ps); {
		end := at
		here := map[int][]piece{} // of one row, by gathering
		for end < len(ps) && ps[end].row == ps[at].row {
			here[root(end)] = append(here[root(end)], ps[end])
			end++
		}
		for k, list := range here {
			long[k] += covered(list, func(p piece) (float64, float64) { return p.lo, p.hi }) / 2 * lengthOf(ps[at].b)
		}
		at = end
	}
	for k := range of {
		of[k] = root(k)
	}
	return of, long
}

// longest returns the greatest length over which pieces join end to end.
func longest(ps []piece) float64 {
	most := 0.0
	_, long := joinUp(ps)
	for _, l := range long {
		most = math.Max(most, l)
	}
	return most
}

// alongKey is a rule of one run towards another.
type alongKey struct{ rule, of, to string }

func (r *run) alongOf(x *crossing) alongKey {
	k := alongKey{rule: x.rule.Name + x.rule.Row, of: r.alongName(x.of)}
	if x.b >= 0 { // it has no bay: there may be none at all
		k.to = r.alongName(x.a + x.b - x.of)
		return k
	}
	k.to = fmt.Sprint("soffits of ", r.p.Bays[x.bay].Storey)
	if x.ceiling {
		k.to = fmt.Sprint("ceilings of ", r.p.Bays[x.bay].Storey)
	}
	return k
}

// alongName names the run of a zone, or the zone itself where it is of none.
func (r *run) alongName(i int32) string {
	if z := r.zone(i); z.Run() != "" {
		return "run " + r.char(i).Trade + " " + strings.ToLower(z.Run())
	}
	return "zone " + r.zone(i).ID
}

// otherOf returns the id of what zone a of a crossing is too near.
func (r *run) otherOf(x *crossing) string {
	switch {
	case x.b >= 0:
		return r.zone(x.b).ID
	case x.ceiling:
		return r.p.Bays[x.bay].CeilingID()
	}
	return r.p.Bays[x.bay].SoffitID()
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
			return cmp.Or(void.Natural(r.zone(a.of).ID, r.zone(b.of).ID), void.Natural(r.zone(a.a).ID+" "+r.otherOf(&a), r.zone(b.a).ID+" "+r.otherOf(&b)),
				cmp.Compare(a.lo, b.lo), cmp.Compare(a.hi, b.hi))
		})
		ps := make([]piece, len(xs))
		for n, x := range xs {
			ps[n] = piece{b: r.full(x.of), lo: x.lo, hi: x.hi}
			if n > 0 {
				if ps[n].row = ps[n-1].row; xs[n-1].of != x.of {
					ps[n].row++
				}
			}
		}
		of, long := joinUp(ps)
		seen := map[[3]int32]bool{}
		for n, x := range xs {
			sum, two := long[of[n]], [3]int32{x.a, x.b, x.bay}
			if sum <= x.rule.Over+void.Hair || (x.hi-x.lo)/2*lengthOf(ps[n].b) > x.rule.Over+void.Hair || seen[two] {
				continue // too short, or long enough by itself: found already
			}
			seen[two] = true
			note := fmt.Sprintf("too close for %s along the run, its rows together", figure.Down(sum))
			if x.b < 0 {
				r.alongBay(&x, note)
				continue
			}
			A, B := r.full(x.a), r.full(x.b)
			ch := r.rules.Between(r.trait(x.a), r.trait(x.b)).AtOnce().Only(x.rule)
			v := judge(A, B, ch, r.opt.Touch, false)
			if v.n == 0 {
				continue
			}
			v.overlap = false // an overlap is a finding of its own
			f := r.finding(x.a, x.b, A, B, ch, &v, false, note)
			r.add(ofRun, x.a, x.b, k, f)
		}
	}
}

// alongBay words that a row is too near the soffit or the ceiling of a bay, its run together.
func (r *run) alongBay(x *crossing, note string) {
	bay := &r.p.Bays[x.bay]
	low, hung, to := r.full(x.a), false, r.rules.Soffit
	gap := bay.Soffit - highest(low, bay)
	if x.ceiling {
		gap, low, hung = r.under(x.a, low, bay)
		gap, to = gap-bay.Top, r.rules.Ceiling
	}
	ch := r.rules.Between(r.trait(x.a), to)
	for _, u := range [3]rules.Use{ch.Over, ch.Under, ch.Around} {
		if u.Valid && u.Rule.Name == x.rule.Name && u.Rule.Row == x.rule.Row {
			f := r.sided(x.a, bay, x.ceiling, gap, false, u, hung, low)
			f.Note = note
			r.add(ofRun, x.a, noZone, x.key, f)
			return
		}
	}
}
