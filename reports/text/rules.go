package text

import (
	"io"
	"slices"
	"strings"

	"voidline/clash/rules"
	"voidline/reports/words"
)

// wide is the width from which the table of rules has columns of its own for what a rule rests on.
const wide = 110

// Rules prints the rules in force: first the project's own, then those built in, each by what they rest
// on. Within a group they keep the order in which they are given.
func Rules(w io.Writer, list []rules.Rule, opt Options) error {
	p := newPage(w, opt)
	p.line(p.bold("Rules in force: " + words.Count(len(list), "rule", "rules")))
	p.para("", "", "A rule says: \"Of\" needs that gap clear on that side towards \"To\". "+
		"Gaps are in mm. \"Over\": the rule counts only where the two are closer than the gap for more than this length. "+
		"\"told\" is a relation, not a measure. The project's own rules go before those built in.")
	if len(list) == 0 {
		p.line("")
		p.para("", "", "There are none.")
		return p.done()
	}

	type group struct {
		own   bool
		basis rules.Basis
	}
	known := []rules.Basis{rules.Law, rules.Maker, rules.Practice, rules.Geometry}
	says := map[rules.Basis]string{
		rules.Law: "law: a standard or a code", rules.Maker: "the maker's word",
		rules.Practice: "common practice", rules.Geometry: "two things cannot share one space",
	}
	bases := slices.Clone(known)
	for _, r := range list { // a basis that is not known is printed as it stands
		if !slices.Contains(bases, r.Basis) {
			bases = append(bases, r.Basis)
		}
	}
	slices.Sort(bases[len(known):])
	by := map[group][]rules.Rule{}
	for _, r := range list {
		g := group{r.Row != "", r.Basis}
		by[g] = append(by[g], r)
	}
	for _, own := range []bool{true, false} {
		for _, b := range bases {
			rs := by[group{own, b}]
			if len(rs) == 0 {
				continue
			}
			title := "Built in"
			if own {
				title = "The project's own"
			}
			say, ok := says[b]
			if !ok {
				say = words.Clean(string(b))
			}
			if say != "" {
				title += ", " + say
			}
			p.heading(title, "")
			p.table(rulesTable(rs, p.width >= wide), 0)
		}
	}
	return p.done()
}

func rulesTable(list []rules.Rule, wide bool) words.Table {
	t := words.Table{Columns: []words.Column{{Head: "Of"}, {Head: "Side"}, {Head: "To"}, {Head: "Gap", Right: true}, {Head: "Over", Right: true}}}
	if wide {
		t.Columns = append(t.Columns, words.Column{Head: "Basis"}, words.Column{Head: "Rule and why"}, words.Column{Head: "Source"})
	} else {
		t.Columns = append(t.Columns, words.Column{Head: "Rule, why, source"})
	}
	for _, r := range list {
		gap := words.Up(r.Gap)
		switch {
		case r.Told:
			gap = "told"
		case r.Formula != "":
			gap = "up to " + gap
		}
		over := ""
		if words.Tenth(r.Over) > 0 {
			over = words.Near(r.Over)
		}
		row := []string{words.Clean(r.Of), words.Side(r.Side), words.Clean(r.To), gap, over}
		why := []string{words.Clean(r.Name)}
		if r.Formula != "" {
			why = append(why, "gap: "+words.Clean(r.Formula))
		}
		if r.Why != "" {
			why = append(why, words.Clean(r.Why))
		}
		var source []string
		if r.Source != "" {
			source = append(source, words.Clean(r.Source))
		}
		if r.Row != "" {
			source = append(source, words.Clean(r.Row))
		}
		if wide {
			row = append(row, words.Clean(string(r.Basis)), strings.Join(why, "\n"), strings.Join(source, "\n"))
		} else {
			for i := range source {
				source[i] = "[" + source[i] + "]"
			}
			row = append(row, strings.Join(append(why, source...), "\n"))
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}
