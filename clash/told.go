package clash

import (
	"cmp"
	"context"
	"math"
	"slices"

	"github.com/golang/geo/r2"

	"voidline/clash/book"
	"voidline/clash/finding"
	"voidline/clash/measure"
	"voidline/clash/rules"
	"voidline/clash/scene"
	"voidline/void"
	"voidline/void/body"
)

// toldStrip is the width in mm of the strips of plan in which relations are looked for, and stripsMost
// how many of them one zone may lie over before it is looked at from every strip of its storey.
const (
	toldStrip  = 6000.0
	stripsMost = 64
)

// tells says of each trait whether a rule that is told, not measured, may speak of it.
func (c *Check) tells() []bool {
	var told []int
	for k := range c.Set.Rules {
		if c.Set.Rules[k].Told {
			told = append(told, k)
		}
	}
	if len(told) == 0 {
		return nil
	}
	concerned := make([]bool, len(c.Set.Traits))
	for t := range c.Set.Traits {
		for _, k := range told {
			concerned[t] = concerned[t] || !c.Set.Traits[t].Built && (rules.Meets(c.Set.Of[k], c.Set.Traits[t].C) >= 0 || rules.Meets(c.Set.To[k], c.Set.Traits[t].C) >= 0)
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
	for i := range int32(r.Project.Zones()) {
		if r.Boxes[i].Gone() || !concerned[r.Trait(i)] {
			continue
		}
		s, from, to := r.Zone(i).Storey, low(r.Boxes[i].Lo[1]), low(r.Boxes[i].Hi[1])
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
	if err := r.gatherBy(ctx, len(keys), 4, func(out *book.Book, h *rules.Reader, from, to int) {
		for _, k := range keys[from:to] {
			list := strips[k]
			slices.SortFunc(list, func(a, b int32) int {
				return cmp.Or(cmp.Compare(r.Boxes[a].Lo[0], r.Boxes[b].Lo[0]), cmp.Compare(a, b))
			})
			for x, a := range list {
				if x%64 == 0 && ctx.Err() != nil {
					return
				}
				for _, b := range list[x+1:] {
					if r.Boxes[b].Lo[0] >= r.Boxes[a].Hi[0] {
						break
					}
					if low(math.Max(r.Boxes[a].Lo[1], r.Boxes[b].Lo[1])) == k.at {
						r.relate(out, h, a, b)
					}
				}
				for _, b := range wide[k.storey] {
					if low(math.Max(r.Boxes[a].Lo[1], r.Boxes[b].Lo[1])) == k.at {
						r.relate(out, h, a, b)
					}
				}
			}
		}
	}); err != nil {
		return err
	}
	h, out := r.Set.Reader(), &book.Book{}
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
	r.kept.Take(out)
	return nil
}

// relate adds the relation of two zones of one storey where one runs over the other and a rule tells it.
func (r *run) relate(out *book.Book, h *rules.Reader, a, b int32) {
	A, B := &r.Boxes[a], &r.Boxes[b]
	if B.Lo[0] >= A.Hi[0] || A.Lo[0] >= B.Hi[0] || B.Lo[1] >= A.Hi[1] || A.Lo[1] >= B.Hi[1] {
		return
	}
	ch := h.Between(r.Trait(a), r.Trait(b))
	if !ch.ToldOver.Valid && !ch.ToldUnder.Valid {
		return
	}
	za, zb := r.Zone(a), r.Zone(b)
	if zb.ID < za.ID {
		a, b, za, zb = b, a, zb, za
		ch = h.Between(r.Trait(a), r.Trait(b))
	}
	if za.ByHeight && zb.ByHeight && za.Bay != zb.Bay {
		return
	}
	fa, fb := r.Full(a), r.Full(b)
	if body.PlanOverlap(fa, fb) <= r.touch+void.Hair {
		return
	}
	span, ok := body.Span(fa, fb, scene.Up)
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
	out.Told = append(out.Told, book.Relation{Of: a, From: b, Rule: u.Rule})
}

// bringGroupsUp puts the relations in order, once for each pair of runs. Where they were in order before, only those that
// came or went since are looked at.
func (r *run) bringGroupsUp() {
	var of []book.Relation
	if !r.kept.Grouped {
		of, r.kept.Groups = r.kept.Told, nil
	} else if len(r.kept.Related) == 0 {
		return
	} else {
		touched := func(t *book.Relation) bool { return r.kept.Related[[2]int32{t.OfParty, t.FromParty}] }
		of = chosen(r.kept.Told, touched)
		r.kept.Groups = slices.DeleteFunc(slices.Clone(r.kept.Groups), func(g book.Group) bool { return touched(&g.Relation) })
	}
	r.kept.Related = map[[2]int32]bool{}
	first := func(x, y *book.Relation) bool {
		return cmp.Or(void.Natural(r.Zone(x.Of).ID, r.Zone(y.Of).ID), void.Natural(r.Zone(x.From).ID, r.Zone(y.From).ID)) < 0
	}
	var gs []book.Group
	at := map[[2]int32]int{}
	for i := range of {
		t := &of[i]
		if t.OfParty >= 0 && t.FromParty >= 0 {
			gs = append(gs, book.Group{Relation: *t, Pairs: 1})
			continue
		}
		k := [2]int32{t.OfParty, t.FromParty}
		j, ok := at[k]
		if !ok {
			at[k] = len(gs)
			gs = append(gs, book.Group{Relation: *t, Pairs: 1})
			continue
		}
		gs[j].Pairs++
		if first(t, &gs[j].Relation) {
			gs[j].Relation = *t
		}
	}
	name := func(i int32) string { return runOrID(r.Zone(i)) }
	before := func(a, b *book.Group) int {
		if c := cmp.Compare(name(a.Of), name(b.Of)); c != 0 {
			return c
		}
		if c := cmp.Compare(name(a.From), name(b.From)); c != 0 {
			return c
		}
		row := func(i int32) string { return r.Project.FileLine(r.Zone(i).At()) }
		return cmp.Or(cmp.Compare(row(a.Of), row(b.Of)), cmp.Compare(row(a.From), row(b.From)))
	}
	sortParallel(gs, r.Workers, before)
	if !r.kept.Grouped {
		r.kept.Groups, r.kept.Grouped = gs, true
		return
	}
	for i := range gs {
		k, _ := slices.BinarySearchFunc(r.kept.Groups, &gs[i], func(y book.Group, x *book.Group) int { return before(&y, x) })
		r.kept.Groups = slices.Insert(r.kept.Groups, k, gs[i])
	}
}

// protection words a group.
func (r *run) protection(g *book.Group) finding.Protection {
	if g.Words != nil {
		return *g.Words
	}
	of, from := r.Zone(g.Of), r.Zone(g.From)
	pr := finding.Protection{
		Of: runOrID(of), From: runOrID(from), OfRow: r.Project.FileLine(of.At()), Row: r.Project.FileLine(from.At()),
		Pairs: int(g.Pairs), Rule: g.Rule.Name, Basis: g.Rule.Basis,
	}
	at := measure.Middle(r.Boxes[g.Of], r.Boxes[g.From])
	pr.At = r.spotAt(int(of.Storey), at)
	pr.At.Round()
	if b, ok := r.BayAt(int(of.Storey), r2.Point{X: at.X, Y: at.Y}); ok {
		pr.Bay = &r.Project.Bays[b].Label
	}
	return pr
}

func runOrID(z *void.Zone) string {
	if z.Run() != "" {
		return z.Run()
	}
	return z.ID
}
