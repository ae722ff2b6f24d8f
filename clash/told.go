package clash

import (
	"cmp"
	"context"
	"math"
	"slices"

	"github.com/golang/geo/r2"

	"voidline/clash/rules"
	"voidline/void"
	"voidline/void/body"
)

// toldStrip is the width in mm of the strips of plan in which relations are looked for, and stripsMost
// how many of them one zone may lie over before it is looked at from every strip of its storey.
const (
	toldStrip  = 6000.0
	stripsMost = 64
)

// relation is one pair of rows of which a rule tells what is over what.
type relation struct {
	of, from           int32
	ofParty, fromParty int32 // set when the relation is taken into the book
	rule               *rules.Rule
}

// tells says of each trait whether a rule that is told, not measured, may speak of it.
func (c *Check) tells() []bool {
	var told []int
	for k := range c.rules.Rules {
		if c.rules.Rules[k].Told {
			told = append(told, k)
		}
	}
	if len(told) == 0 {
		return nil
	}
	concerned := make([]bool, len(c.rules.Traits))
	for t := range c.rules.Traits {
		for _, k := range told {
			concerned[t] = concerned[t] || !c.rules.Traits[t].Built && (rules.Meets(c.rules.Of[k], c.rules.Traits[t].C) >= 0 || rules.Meets(c.rules.To[k], c.rules.Traits[t].C) >= 0)
		}
	}
	return concerned
}

// relations gathers what is told: wet above electrical.
//
// Zones that may stand in such a relation are of few kinds (cables, wet services). They are cut into strips
// of plan, storey by storey, and each strip is swept along x; a pair counts in the strip that holds the
// low edge of what the two share.
func (r *run) relations(ctx context.Context) error {
	concerned := r.tells()
	if concerned == nil {
		return nil
	}
	type strip struct {
		storey int32
		at     int
	}
	strips := map[strip][]int32{}
	wide := map[int32][]int32{} // by storey: over very many strips
	var keys []strip
	low := func(y float64) int { return int(math.Floor(y / toldStrip)) }
	for i := range int32(r.p.Zones()) {
		if r.box[i].gone() || !concerned[r.trait(i)] {
			continue
		}
		s, from, to := r.zone(i).Storey, low(r.box[i].lo[1]), low(r.box[i].hi[1])
		if to-from > stripsMost {
			wide[s] = append(wide[s], i)
			continue
		}
		for at := from; at <= to; at++ {
			k := strip{s, at}
			if strips[k] == nil {
				keys = append(keys, k)
			}
			strips[k] = append(strips[k], i)
		}
	}
	if err := r.gatherBy(ctx, len(keys), 4, func(out *book, h *rules.Reader, from, to int) {
		for _, k := range keys[from:to] {
			list := strips[k]
			slices.SortFunc(list, func(a, b int32) int { return cmp.Or(cmp.Compare(r.box[a].lo[0], r.box[b].lo[0]), cmp.Compare(a, b)) })
			for x, a := range list {
				if x%64 == 0 && ctx.Err() != nil {
					return
				}
				for _, b := range list[x+1:] {
					if r.box[b].lo[0] >= r.box[a].hi[0] {
						break
					}
					if low(math.Max(r.box[a].lo[1], r.box[b].lo[1])) == k.at {
						r.relate(out, h, a, b)
					}
				}
				for _, b := range wide[k.storey] {
					if low(math.Max(r.box[a].lo[1], r.box[b].lo[1])) == k.at {
						r.relate(out, h, a, b)
					}
				}
			}
		}
	}); err != nil {
		return err
	}
	h, out := r.rules.Reader(), &book{}
	for _, list := range wide {
		for x, a := range list {
			if ctx.Err() != nil {
				return ctx.Err()
			}
			for _, b := range list[x+1:] {
				r.relate(out, h, a, b)
			}
		}
	}
	r.take(out)
	return nil
}

// relate adds the relation of two zones of one storey where one runs over the other and a rule tells it.
func (r *run) relate(out *book, h *rules.Reader, a, b int32) {
	A, B := &r.box[a], &r.box[b]
	if B.lo[0] >= A.hi[0] || A.lo[0] >= B.hi[0] || B.lo[1] >= A.hi[1] || A.lo[1] >= B.hi[1] {
		return
	}
	ch := h.Between(r.trait(a), r.trait(b))
	if !ch.ToldOver.Valid && !ch.ToldUnder.Valid {
		return
	}
	za, zb := r.zone(a), r.zone(b)
	if zb.ID < za.ID {
		a, b, za, zb = b, a, zb, za
		ch = h.Between(r.trait(a), r.trait(b))
	}
	if za.ByHeight && zb.ByHeight && za.Bay != zb.Bay {
		return
	}
	fa, fb := r.full(a), r.full(b)
	if body.PlanOverlap(fa, fb) <= r.opt.Touch+void.Hair {
		return
	}
	span, ok := body.Span(fa, fb, up)
	if !ok {
		return
	}
	u := ch.ToldUnder
	if span.Lo+span.Hi > 0 {
		u = ch.ToldOver
	}
	if !u.Valid {
		return
	}
	if !u.OfA {
		a, b = b, a
	}
	out.told = append(out.told, relation{of: a, from: b, rule: u.Rule})
}

// relationGroup is what is told of two runs, once: the first pair of rows stands for all.
type relationGroup struct {
	relation
	pairs int32
	words *Protection // nil until it is worded
}

// bringGroupsUp puts the relations in order, once for each pair of runs. Where they were in order before, only those that
// came or went since are looked at.
func (r *run) bringGroupsUp() {
	var of []relation
	if !r.grouped {
		of, r.groups = r.told, nil
	} else if len(r.related) == 0 {
		return
	} else {
		touched := func(t *relation) bool { return r.related[[2]int32{t.ofParty, t.fromParty}] }
		of = chosen(r.told, touched)
		r.groups = slices.DeleteFunc(slices.Clone(r.groups), func(g relationGroup) bool { return touched(&g.relation) })
	}
	r.related = map[[2]int32]bool{}
	first := func(x, y *relation) bool {
		return cmp.Or(void.Natural(r.zone(x.of).ID, r.zone(y.of).ID), void.Natural(r.zone(x.from).ID, r.zone(y.from).ID)) < 0
	}
	var gs []relationGroup
	at := map[[2]int32]int{}
	for i := range of {
		t := &of[i]
		if t.ofParty >= 0 && t.fromParty >= 0 {
			gs = append(gs, relationGroup{relation: *t, pairs: 1})
			continue
		}
		k := [2]int32{t.ofParty, t.fromParty}
		j, ok := at[k]
		if !ok {
			at[k] = len(gs)
			gs = append(gs, relationGroup{relation: *t, pairs: 1})
			continue
		}
		gs[j].pairs++
		if first(t, &gs[j].relation) {
			gs[j].relation = *t
		}
	}
	name := func(i int32) string { return runOrID(r.zone(i)) }
	before := func(a, b *relationGroup) int {
		if c := cmp.Compare(name(a.of), name(b.of)); c != 0 {
			return c
		}
		if c := cmp.Compare(name(a.from), name(b.from)); c != 0 {
			return c
		}
		row := func(i int32) string { return r.p.FileLine(r.zone(i).At()) }
		return cmp.Or(cmp.Compare(row(a.of), row(b.of)), cmp.Compare(row(a.from), row(b.from)))
	}
	sortParallel(gs, r.workers, before)
	if !r.grouped {
		r.groups, r.grouped = gs, true
		return
	}
	for i := range gs {
		k, _ := slices.BinarySearchFunc(r.groups, &gs[i], func(y relationGroup, x *relationGroup) int { return before(&y, x) })
		r.groups = slices.Insert(r.groups, k, gs[i])
	}
}

// protection words a group.
func (r *run) protection(g *relationGroup) Protection {
	if g.words != nil {
		return *g.words
	}
	of, from := r.zone(g.of), r.zone(g.from)
	pr := Protection{
		Of: runOrID(of), From: runOrID(from), OfRow: r.p.FileLine(of.At()), Row: r.p.FileLine(from.At()),
		Pairs: int(g.pairs), Rule: g.rule.Name, Basis: string(g.rule.Basis),
	}
	at := middle(r.box[g.of], r.box[g.from])
	pr.At = r.spotAt(int(of.Storey), at)
	pr.At.round()
	if b, ok := r.bayAt(int(of.Storey), r2.Point{X: at.X, Y: at.Y}); ok {
		pr.Bay = &r.p.Bays[b].Label
	}
	return pr
}

func runOrID(z *void.Zone) string {
	if z.Run() != "" {
		return z.Run()
	}
	return z.ID
}
