package clash

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"voidline/clash/book"
	"voidline/clash/figure"
	"voidline/clash/finding"
	"voidline/clash/measure"
	"voidline/clash/rules"
	"voidline/void"
	"voidline/void/body"
)

// tooDeep says by how much an end of one of two that connect goes deeper into the other than it may, or a thing without ends does;
// nil where neither does. Of several the least.
func (c *Check) tooDeep(a, b int32, why measure.Tie) (out *finding.TooDeep) {
	A, B := c.Full(a), c.Full(b)
	note := func(i int32, in, most float64) {
		if in > most+void.Hair && (out == nil || in-most < out.In-out.Most) {
			out = &finding.TooDeep{Of: c.Zone(i).ID, In: in, Most: most}
		}
	}
	for _, w := range [2]struct {
		i, o int32
		I, O body.Body
	}{{a, b, A, B}, {b, a, B, A}} {
		most := c.Deepest(w.i, w.o, why)
		if most < 0 || math.IsInf(most, 1) {
			continue
		}
		var room [2]measure.End
		for _, e := range measure.Ends(c.Zone(w.i), &w.I, &room) {
			if in, ok := measure.Inside(e, w.I, w.O, rules.MeetEnds, true); ok {
				note(w.i, in, most)
			}
		}
		if c.Blob(w.i) {
			note(w.i, measure.DeepIn(w.I, w.O), most)
		}
	}
	if out != nil {
		out.In, out.Most = figure.Tenth(out.In), figure.Tenth(out.Most)
	}
	return out
}

// ask notes that nobody knows whether two zones connect: an end of one stops at or in the other, of which the table of
// connections says nothing.
func (r *run) ask(out *book.Book, a, b int32, A, B body.Body) {
	if r.Structure(a) || r.Structure(b) || r.Belong(a, b) != measure.NoTie {
		return
	}
	l := r.Links(a, b)
	for _, w := range [2]struct {
		of, at int32
		O, T   body.Body
		known  *measure.Connection
	}{{a, b, A, B, l.Ab}, {b, a, B, A, l.Ba}} {
		co := r.Char(w.of)
		if w.known != nil || !r.Char(w.at).Entry.EndsAt || co.Entry.EndsAt || co.Entry.Item {
			continue
		}
		var room [2]measure.End
		for _, e := range measure.Ends(r.Zone(w.of), &w.O, &room) {
			if !e.Reaches(&r.Boxes[w.at], rules.MeetEnds) {
				continue
			}
			if _, ok := measure.Inside(e, w.O, w.T, rules.MeetEnds, true); ok {
				out.Asked = append(out.Asked, book.Asking{A: w.of, B: w.at})
				return
			}
		}
	}
}

// questions gathers the pairs that the table of connections does not know: one question for two kinds.
func (r *run) questions() []finding.Question {
	type key struct{ of, to string }
	says := func(i int32) string {
		c := r.Char(i)
		kind := c.Kind
		if kind == "" {
			kind = c.Trade
		}
		if c.Service == "" || strings.EqualFold(c.Service, kind) {
			return kind
		}
		return kind + " (" + c.Service + ")"
	}
	groups, joins := map[key]map[int32]bool{}, map[int32][]string{}
	pairs := map[key]int{}
	for _, x := range r.kept.Asked {
		k := key{says(x.A), says(x.B)}
		if groups[k] == nil {
			groups[k] = map[int32]bool{}
		}
		groups[k][x.A] = true
		pairs[k]++
		joins[x.A] = append(joins[x.A], r.Zone(x.B).ID)
	}
	out := []finding.Question{}
	for k, rows := range groups {
		q := finding.Question{Of: k.of, To: k.to, Pairs: pairs[k]}
		for i := range rows {
			add := slices.Clone(joins[i])
			slices.SortFunc(add, void.Natural)
			z := r.Zone(i)
			q.Cells = append(q.Cells, finding.JoinCell{Zone: z.ID, Row: r.Project.FileLine(z.At()), Joins: strings.Join(slices.Compact(append(slices.Clone(z.Joins()), add...)), "; ")})
		}
		slices.SortFunc(q.Cells, func(a, b finding.JoinCell) int { return void.Natural(a.Zone, b.Zone) })
		q.Text = "Does a " + k.of + " connect to a " + k.to + "? Until a row says so in the column joins, what ends there is checked as any two things are."
		out = append(out, q)
	}
	slices.SortFunc(out, func(a, b finding.Question) int {
		return cmp.Or(strings.Compare(a.Of, b.Of), strings.Compare(a.To, b.To))
	})
	return out
}
