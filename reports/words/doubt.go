package words

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"voidline/clash/finding"
	"voidline/clash/tolerance"
)

// MayNotFit is what doubts are called.
const MayNotFit = "May not fit once built"

// Doubtful lists, as a table, what is clear as drawn and may not fit once built. At most most rows are said, those most
// short; less than 0: all. Where doubts were not asked for the section has no title.
func Doubtful(r *finding.Result, most int) Section {
	if r.Tolerance == nil {
		return Section{}
	}
	s := aboutDoubts(r)
	if len(r.Doubtful) == 0 {
		return s
	}
	t := Table{Columns: []Column{{"Above / below", false}, {"Bay", false}, {"Drawn", true}, {"Worst", true}, {"RSS", true}, {"Asked", true}, {"Taken off", false}}}
	said := worstDoubts(r, allOr(most, len(r.Doubtful)))
	for _, d := range said {
		t.Rows = append(t.Rows, []string{
			lines(Name(d.Upper)+" / "+Name(d.Lower), Name(d.UpperRow)+" / "+Name(d.LowerRow), doubtRule(d)),
			lines(baySaid(d.Bay), storeySaid(r, d.Storey), where(d.At)+", "+Level(d.At.Level)),
			Down(d.Drawn), Down(d.Worst), Down(d.RSS), Up(d.Asked),
			lines(append(inLines(d), doubtNotes(d)...)...),
		})
	}
	s.Parts = append(s.Parts, t)
	return heldBack(s, r, said)
}

// doubtful lists doubts as findings are listed: by bay, those most short first.
func doubtful(r *finding.Result, most int) Section {
	s := aboutDoubts(r)
	said := worstDoubts(r, most)
	var g *Group
	key := ""
	for i, d := range said {
		if k := bayName(d.Bay, d.Storey); i == 0 || k != key {
			key = k
			s.Parts = append(s.Parts, Group{Heading: strings.ToUpper(k[:1]) + k[1:]})
		}
		grp := s.Parts[len(s.Parts)-1].(Group)
		g = &grp
		l := []string{
			zone(d.Upper, d.UpperTrade, d.UpperRun, d.UpperRow),
			"over " + zone(d.Lower, d.LowerTrade, d.LowerRun, d.LowerRow),
			"at " + where(d.At) + ", " + Level(d.At.Level),
			doubtClear(d),
		}
		if rule := doubtRule(d); rule != "" {
			l = append(l, "Rule: "+rule)
		}
		l = append(l, "Taken off: "+strings.Join(takenOff(d), ", "))
		g.Items = append(g.Items, Item{What: doubtWhat(d, r.Tolerance.By), ID: Clean(d.ID), Lines: append(l, doubtNotes(d)...)})
		s.Parts[len(s.Parts)-1] = *g
	}
	return heldBack(s, r, said)
}

// aboutDoubts says what the list is, and what its figures rest on.
func aboutDoubts(r *finding.Result) Section {
	u := r.Tolerance
	s := Section{Level: 1, Title: MayNotFit}
	way := ToleranceWay(u)
	if len(r.Doubtful) == 0 {
		s.Parts = append(s.Parts, Para("None: what is clear enough as drawn stays so "+way+"."))
	} else {
		s.Aside = Count(len(r.Doubtful), "pair", "pairs")
		say := "Not findings, and not counted with them: clear enough as drawn, less than is needed " + way + "."
		touch := 0
		for i := range r.Doubtful {
			if Tenth(r.Doubtful[i].Left(u.By)) < 0 {
				touch++
			}
		}
		if touch > 0 {
			say += " " + strconv.Itoa(touch) + " of them would overlap: less than nothing is left."
		}
		s.Parts = append(s.Parts, Para(say))
	}
	s.Parts = append(s.Parts, Para("Tolerances come mostly from memory or common practice: they warn, no more. Worst: all of them the wrong way at once. RSS: the root of the sum of their squares. What a row gives in its column tolerance counts first; a figure with * is the default of its kind:"))
	var of List
	for _, t := range u.Defaults {
		source := Clean(t.Provenance)
		if t.Source != "" {
			source = Clean(t.Source) + "; " + source
		}
		of = append(of, Clean(t.Of)+" "+Up(t.MM)+": "+source)
	}
	s.Parts = append(s.Parts, of)
	if u.Deflection > 0 {
		s.Parts = append(s.Parts, Para("Ceilings, and what is set into them, are taken to be carried from the walls and not to come down with the steel; a ceiling that hangs from it comes down too, and then deflection is to be left out (--deflection 0). A slab is taken to stay."))
	}
	return s
}

// ToleranceWay says how tolerances are added up.
func ToleranceWay(u *finding.ToleranceUsed) string {
	way := "when all tolerances of level go the wrong way at once (the worst case)"
	if u.By == tolerance.RootOfSquares {
		way = "when tolerances of level are added up by RSS (some go one way, some the other)"
	}
	if u.Deflection > 0 {
		way += " and beams come down under load by " + finding.Ratio(u.Deflection)
	}
	return way
}

// worstDoubts returns at most most doubts, those that are most short, in the order of the record.
func worstDoubts(r *finding.Result, most int) []*finding.Doubt {
	all := make([]*finding.Doubt, len(r.Doubtful))
	for i := range r.Doubtful {
		all[i] = &r.Doubtful[i]
	}
	if len(all) <= most {
		return all
	}
	worst := slices.Clone(all)
	by := r.Tolerance.By
	slices.SortStableFunc(worst, func(a, b *finding.Doubt) int { return cmp.Compare(a.Left(by)-a.Asked, b.Left(by)-b.Asked) })
	said := map[*finding.Doubt]bool{}
	for _, d := range worst[:most] {
		said[d] = true
	}
	return slices.DeleteFunc(all, func(d *finding.Doubt) bool { return !said[d] })
}

func heldBack(s Section, r *finding.Result, said []*finding.Doubt) Section {
	if n := len(r.Doubtful) - len(said); n > 0 {
		s.Parts = append(s.Parts, Para("And "+Count(n, "pair", "pairs")+" less short, not shown here."))
	}
	return s
}

// doubtWhat says in a few letters what may come of it: may overlap 2, may lack 8.
func doubtWhat(d *finding.Doubt, by tolerance.Way) string {
	left := Tenth(d.Left(by))
	if left < 0 {
		return "may overlap " + Up(-left)
	}
	return "may lack " + Up(d.Asked-left)
}

// LeftOnceBuilt says what tolerances leave of a gap, in each way of adding up.
func LeftOnceBuilt(d *finding.Doubt) string {
	left := func(mm float64) string {
		if Tenth(mm) < 0 {
			return "an overlap of " + Up(-mm)
		}
		return Down(mm)
	}
	return "at worst " + left(d.Worst) + ", by RSS " + left(d.RSS)
}

// doubtClear says what is clear as drawn, and what of it is left.
func doubtClear(d *finding.Doubt) string {
	s := Down(d.Drawn) + " clear as drawn; " + LeftOnceBuilt(d)
	if Tenth(d.Asked) > 0 {
		s += "; " + Up(d.Asked) + " needed"
	}
	return s
}

// doubtRule says which rule is missed, "" where none is but the two would touch.
func doubtRule(d *finding.Doubt) string {
	if Tenth(d.Asked) <= 0 {
		return ""
	}
	return Clean(d.Rule) + " (" + basis(d.Basis) + ")"
}

// takenOff says what is taken off the gap of a doubt, and where each comes from.
func takenOff(d *finding.Doubt) []string {
	var l []string
	for _, t := range d.Tolerances {
		if t.Default != "" {
			l = append(l, Up(t.MM)+"* "+Name(t.Of))
		} else {
			l = append(l, Up(t.MM)+" "+Name(t.Of)+" (its row)")
		}
	}
	if c := d.ComesDown; c != nil { // the last
		l = append(l, Up(c.By)+" as beam "+Name(c.Beam)+" ("+Name(c.Row)+", span "+Near(c.Span)+") comes down")
	}
	return l
}

// inLines puts the tolerances on one line and what comes down on the next.
func inLines(d *finding.Doubt) []string {
	off := takenOff(d)
	if n := len(off); d.ComesDown != nil {
		return []string{strings.Join(off[:n-1], ", "), off[n-1]}
	}
	return []string{strings.Join(off, ", ")}
}

func doubtNotes(d *finding.Doubt) []string {
	var l []string
	if d.ByHeight {
		l = append(l, "Checked by height only: one of the two has no position in plan")
	}
	if d.Note != "" {
		l = append(l, "Note: "+Clean(d.Note))
	}
	return l
}

// SayDoubt says a doubt in one line: the two, where, what is left, what is taken off.
func SayDoubt(d *finding.Doubt) string {
	s := Name(d.Upper) + " over " + Name(d.Lower)
	if d.Bay != nil {
		s += ", bay " + Name(*d.Bay)
	}
	s += ", at " + where(d.At) + ", " + Level(d.At.Level) + ": " + doubtClear(d)
	if rule := doubtRule(d); rule != "" {
		s += " by the rule " + rule
	}
	return s + ". Taken off: " + strings.Join(takenOff(d), ", ")
}
