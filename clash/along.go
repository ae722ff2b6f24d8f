package clash

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"voidline/clash/figure"
	"voidline/void"
	"voidline/void/body"
	"voidline/void/cell"
)

// A run that is drawn in short rows runs beside another as one long row does. What each pair of rows is too
// short for is added up along the run.

// crossing is a pair of rows that is nearer than a rule's gap, but not for the length from which the
// rule counts.
type crossing struct {
	a, b   int32 // the pair
	of     int32 // which of the two the rule is of
	rule   *Rule
	lo, hi float64 // stations of of between which it is too near, -1 to 1
	key    alongKey
}

// crossing notes the rules that the pair is too near for, over less than their length, where one of
// the two is part of a named run.
func (r *run) crossing(out *batch, ch *choice, a, b int32) {
	if r.zone(a).Run() == "" && r.zone(b).Run() == "" {
		return
	}
	if why := r.belong(a, b); why != "" {
		if _, _, _, met := r.apart(a, b, why); met {
			return
		}
	}
	A, B := r.full(a), r.full(b)
	v := judge(A, B, withoutOver(ch), r.opt.Touch, false)
	for _, x := range v.breaches() {
		rule := ruleOf(ch, x.use)
		if rule == nil || rule.Over == 0 {
			continue
		}
		of, O, T := a, A, B
		if !x.ofA {
			of, O, T = b, B, A
		}
		g := x.asked
		switch x.side {
		case cell.Above:
			O, g = roomOver(O, x.asked, 1, v.overlap), 0
		case cell.Below:
			O, g = roomOver(O, x.asked, -1, v.overlap), 0
		default:
			g = math.Max(0, g-void.Hair)
		}
		if lo, hi, ok := body.Stretch(O, T, g); ok {
			x := crossing{a: a, b: b, of: of, rule: rule, lo: lo, hi: hi}
			x.key = r.alongOf(&x)
			out.crossed = append(out.crossed, x)
		}
	}
}

// withoutOver returns a choice whose rules count at once.
func withoutOver(c *choice) *choice {
	at := func(u use) use {
		if u.valid && u.rule.Over > 0 {
			r := *u.rule
			r.Over = 0
			u.rule = &r
		}
		return u
	}
	n := *c
	n.around, n.beside, n.over, n.under = at(c.around), at(c.beside), at(c.over), at(c.under)
	return &n
}

// ruleOf returns the rule of a choice that a breach without over came from.
func ruleOf(c *choice, u use) *Rule {
	for _, x := range [4]use{c.around, c.beside, c.over, c.under} {
		if x.valid && x.rule.Name == u.rule.Name && x.rule.Row == u.rule.Row && x.ofA == u.ofA {
			return x.rule
		}
	}
	return nil
}

// alongKey is a rule of one run towards another.
type alongKey struct{ rule, of, to string }

func (r *run) alongOf(x *crossing) alongKey {
	runKey := func(i int32) string {
		if z := r.zone(i); z.Run() != "" {
			return "run " + r.char(i).Trade + " " + z.Run()
		}
		return "zone " + r.zone(i).ID
	}
	return alongKey{x.rule.Name + x.rule.Row, runKey(x.of), runKey(x.a + x.b - x.of)}
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
			return cmp.Or(void.Natural(r.zone(a.of).ID, r.zone(b.of).ID), void.Natural(r.zone(a.a).ID+" "+r.zone(a.b).ID, r.zone(b.a).ID+" "+r.zone(b.b).ID),
				cmp.Compare(a.lo, b.lo), cmp.Compare(a.hi, b.hi))
		})
		sum := 0.0
		for at := 0; at < len(xs); {
			end := at
			for end < len(xs) && xs[end].of == xs[at].of {
				end++
			}
			sum += covered(xs[at:end], func(x crossing) (float64, float64) { return x.lo, x.hi }) / 2 * lengthOf(r.full(xs[at].of))
			at = end
		}
		if sum <= xs[0].rule.Over+void.Hair {
			continue
		}
		seen := map[pair]bool{}
		for _, x := range xs {
			if seen[pair{x.a, x.b}] {
				continue
			}
			seen[pair{x.a, x.b}] = true
			A, B := r.full(x.a), r.full(x.b)
			ch := only(withoutOver(r.choiceOf(r.trait(x.a), r.trait(x.b))), x.rule)
			v := judge(A, B, ch, r.opt.Touch, false)
			if v.n == 0 {
				continue
			}
			v.overlap = false // an overlap is a finding of its own
			f := r.finding(x.a, x.b, A, B, ch, &v, false, fmt.Sprintf("too close for %s along the run, its rows together", figure.Down(sum)))
			r.add(ofRun, x.a, x.b, k, f)
		}
	}
}

// only returns a choice with the one rule.
func only(c *choice, rule *Rule) *choice {
	keep := func(u use) use {
		if u.valid && u.rule.Name == rule.Name && u.rule.Row == rule.Row {
			return u
		}
		return use{}
	}
	return &choice{around: keep(c.around), beside: keep(c.beside), over: keep(c.over), under: keep(c.under), need: c.need}
}
