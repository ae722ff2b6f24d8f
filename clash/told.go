package clash

import (
	"cmp"
	"context"
	"math"
	"slices"

	"github.com/golang/geo/r2"

	"voidline/void"
	"voidline/void/body"
)

// toldStrip is the width in mm of the strips of plan in which relations are looked for, and stripsMost
// how many of them one zone may lie over before it is looked at from every strip of its storey.
const (
	toldStrip  = 6000.0
	stripsMost = 64
)

// relations gathers what is told, not measured: what runs over what, once for each pair of runs.
type relations struct {
	*run
	h     *chooser
	got   map[relation]*Protection
	first map[relation][2]int32 // the first pair of rows by id
}

// protection is a Protection with the trades of the two, for the filter by trade.
type protection struct {
	Protection
	ofTrade, fromTrade string
}

type relation struct{ of, from, ofTrade, fromTrade string }

// told gathers relations that are told: wet above electrical.
//
// Zones that may stand in such a relation are of few kinds (cables, wet services). They are cut into strips
// of plan, storey by storey, and each strip is swept along x; a pair counts in the strip that holds the
// low edge of what the two share.
func (r *run) told(ctx context.Context) error {
	var rules []int
	for k := range r.rules.rules {
		if r.rules.rules[k].Told {
			rules = append(rules, k)
		}
	}
	if len(rules) == 0 {
		return nil
	}
	concerned := make([]bool, len(r.traits))
	for t := range r.traits {
		for _, k := range rules {
			concerned[t] = concerned[t] || meets(r.rules.of[k], r.traits[t].c) >= 0 || meets(r.rules.to[k], r.traits[t].c) >= 0
		}
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
		if r.structure(i) || !concerned[r.trait(i)] {
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
	g := &relations{run: r, h: r.chooser(), got: map[relation]*Protection{}, first: map[relation][2]int32{}}
	for _, k := range keys {
		if err := ctx.Err(); err != nil {
			return err
		}
		list := strips[k]
		slices.SortFunc(list, func(a, b int32) int { return cmp.Or(cmp.Compare(r.box[a].lo[0], r.box[b].lo[0]), int(a-b)) })
		for x, a := range list {
			for _, b := range list[x+1:] {
				if r.box[b].lo[0] >= r.box[a].hi[0] {
					break
				}
				if low(math.Max(r.box[a].lo[1], r.box[b].lo[1])) == k.at {
					g.meet(a, b)
				}
			}
			for _, b := range wide[k.storey] {
				if low(math.Max(r.box[a].lo[1], r.box[b].lo[1])) == k.at {
					g.meet(a, b)
				}
			}
		}
	}
	for _, list := range wide {
		for x, a := range list {
			for _, b := range list[x+1:] {
				g.meet(a, b)
			}
		}
	}
	for k, pr := range g.got {
		of, from := g.first[k][0], g.first[k][1]
		pr.OfRow, pr.Row = r.p.FileLine(r.zone(of).At), r.p.FileLine(r.zone(from).At)
		at := middle(r.box[of], r.box[from])
		pr.At = r.spotAt(int(r.zone(of).Storey), at)
		if b, ok := r.bayAt(int(r.zone(of).Storey), r2.Point{X: at.X, Y: at.Y}); ok {
			label := r.p.Bays[b].Label
			pr.Bay = &label
		}
		r.protected = append(r.protected, protection{*pr, k.ofTrade, k.fromTrade})
	}
	slices.SortFunc(r.protected, func(a, b protection) int {
		return cmp.Or(cmp.Compare(a.Of, b.Of), cmp.Compare(a.From, b.From), cmp.Compare(a.OfRow, b.OfRow), cmp.Compare(a.Row, b.Row))
	})
	return nil
}

// meet adds the relation of two zones where one runs over the other and a rule tells it.
func (g *relations) meet(a, b int32) {
	A, B := &g.box[a], &g.box[b]
	if B.lo[0] >= A.hi[0] || A.lo[0] >= B.hi[0] || B.lo[1] >= A.hi[1] || A.lo[1] >= B.hi[1] {
		return
	}
	if g.zone(b).ID < g.zone(a).ID {
		a, b = b, a
	}
	za, zb := g.zone(a), g.zone(b)
	ch := g.h.of(g.trait(a), g.trait(b))
	if !ch.toldOver.valid && !ch.toldUnder.valid || za.ByHeight && zb.ByHeight && za.Bay != zb.Bay {
		return
	}
	if body.PlanOverlap(g.full[a], g.full[b]) <= g.opt.Touch+void.Hair {
		return
	}
	span, ok := body.Span(g.full[a], g.full[b], up)
	if !ok {
		return
	}
	u := ch.toldUnder
	if span.Lo+span.Hi > 0 {
		u = ch.toldOver
	}
	if !u.valid {
		return
	}
	of, from := a, b
	if !u.ofA {
		of, from = b, a
	}
	k := relation{runOrID(g.zone(of)), runOrID(g.zone(from)), g.char(of).Trade, g.char(from).Trade}
	pr, ok := g.got[k]
	if !ok {
		pr = &Protection{Of: k.of, From: k.from, Rule: u.rule.Name, Basis: string(u.rule.Basis)}
		g.got[k] = pr
		g.first[k] = [2]int32{of, from}
	}
	pr.Pairs++
	f := g.first[k]
	if cmp.Or(void.Natural(g.zone(of).ID, g.zone(f[0]).ID), void.Natural(g.zone(from).ID, g.zone(f[1]).ID)) < 0 {
		g.first[k] = [2]int32{of, from}
	}
}

func runOrID(z *void.Zone) string {
	if z.Run != "" {
		return z.Run
	}
	return z.ID
}
