package words

import (
	"slices"
	"strconv"
	"strings"

	"voidline/clash/finding"
	"voidline/clash/rules"
)

// gatherFrom is how many findings of one run (or zone) against one kind of thing are gathered under a heading.
const gatherFrom = 3

// unit is the run that a zone belongs to, or the zone; a run and a zone of one name differ.
type unit struct {
	name string
	run  bool
}

func unitOf(id, run string) unit {
	if run != "" {
		return unit{run, true}
	}
	return unit{id, false}
}

// bayOf is a bay and its findings, worst first.
type bayOf struct {
	bay    *string
	storey string
	counts finding.Counts
	all    []*finding.Finding
}

func (b bayOf) name() string {
	if b.bay == nil {
		return "outside every bay"
	}
	return Name(*b.bay)
}

// sorted returns the findings, worst first.
func sorted(fs []finding.Finding) []*finding.Finding {
	all := make([]*finding.Finding, len(fs))
	for i := range fs {
		all[i] = &fs[i]
	}
	slices.SortStableFunc(all, finding.Worse)
	return all
}

// baysOf returns the bays that have findings, that with the worst finding first.
func baysOf(fs []finding.Finding) []bayOf {
	type key struct {
		bay, storey string
		none        bool
	}
	at := map[key]int{}
	var bays []bayOf
	for _, f := range sorted(fs) {
		k := key{storey: f.Storey, none: f.Bay == nil}
		if f.Bay != nil {
			k.bay = *f.Bay
		}
		i, ok := at[k]
		if !ok {
			i = len(bays)
			at[k] = i
			bays = append(bays, bayOf{bay: f.Bay, storey: f.Storey})
		}
		bays[i].all = append(bays[i].all, f)
		tally(&bays[i].counts, f.Kind)
	}
	return bays
}

// thing is what a zone is called in a heading: its kind, or its trade where the kind is not said.
func thing(kind, trade string) string {
	if kind != "" {
		return kind
	}
	return "zone of " + trade
}

// many is the plural of a thing.
func many(thing string) string {
	if one, of, ok := strings.Cut(thing, " of "); ok {
		return one + "s of " + of
	}
	if strings.HasSuffix(thing, "s") {
		return thing
	}
	return thing + "s"
}

// bundle is what is gathered: a run or a zone (one) of a trade against things of one kind.
type bundle struct {
	one            unit
	trade, against string
}

// bundles returns the two ways in which a finding may be gathered; the second is empty where there is
// no second zone.
func bundles(f *finding.Finding) (a, b bundle) {
	a = bundle{unitOf(f.A, f.ARun), f.ATrade, thing(f.BKind, f.BTrade)}
	if f.B != nil {
		b = bundle{unitOf(*f.B, f.BRun), f.BTrade, thing(f.AKind, f.ATrade)}
	}
	return a, b
}

// gather sorts the findings of a bay into bundles, worst first by their first member: each finding
// goes to the larger of its two bundles; a finding whose bundle comes out too small goes to
// the other one if that is large enough, else it stands alone.
func gather(fs []*finding.Finding) []gathered {
	could := map[bundle]int{}
	for _, f := range fs {
		a, b := bundles(f)
		could[a]++
		if b != (bundle{}) {
			could[b]++
		}
	}
	got := map[bundle]int{}
	pick := make([]bundle, len(fs))
	for i, f := range fs {
		a, b := bundles(f)
		pick[i] = a
		if b != (bundle{}) && (could[b] > could[a] || could[b] == could[a] && f.ARun == "" && f.BRun != "") {
			pick[i] = b
		}
		got[pick[i]]++
	}
	at := map[bundle]int{}
	var all []gathered
	for i, f := range fs {
		p := pick[i]
		if got[p] < gatherFrom {
			if a, b := bundles(f); p == a && got[b] >= gatherFrom {
				p = b
			} else if p == b && got[a] >= gatherFrom {
				p = a
			} else {
				all = append(all, gathered{fs: []*finding.Finding{f}})
				continue
			}
		}
		k, ok := at[p]
		if !ok {
			k = len(all)
			at[p] = k
			all = append(all, gathered{of: p})
		}
		all[k].fs = append(all[k].fs, f)
	}
	return all
}

// gathered is a bundle and its findings, or one finding alone (of is empty).
type gathered struct {
	of bundle
	fs []*finding.Finding
}

// against returns the zone of the finding that is not of the bundle's one.
func (g gathered) against(f *finding.Finding) string {
	if a, _ := bundles(f); a == g.of {
		return other(f)
	}
	return f.A
}

// rule returns the first finding of the rule and basis that most of the bundle break.
func (g gathered) rule() *finding.Finding {
	type rule struct {
		rule  string
		basis rules.Basis
	}
	count := map[rule]int{}
	for _, f := range g.fs {
		count[rule{f.Rule, f.Basis}]++
	}
	most := g.fs[0]
	for _, f := range g.fs {
		if count[rule{f.Rule, f.Basis}] > count[rule{most.Rule, most.Basis}] {
			most = f
		}
	}
	return most
}

// group puts the findings of g that are said (shown) into words.
func (g gathered) group(shown map[*finding.Finding]bool) (Group, bool) {
	var shows []*finding.Finding
	for _, f := range g.fs {
		if shown[f] {
			shows = append(shows, f)
		}
	}
	if len(shows) == 0 {
		return Group{}, false
	}
	if g.of == (bundle{}) {
		f := shows[0]
		return Group{Items: []Item{{What: what(f), ID: Clean(f.ID), Lines: full(f)}}}, true
	}

	others := map[string]bool{}
	var counts finding.Counts
	oneWay, theyWay := true, true
	for _, f := range g.fs {
		o := g.against(f)
		others[o] = true
		tally(&counts, f.Kind)
		oneWay = oneWay && f.GivesWay != "" && f.GivesWay != o
		theyWay = theyWay && f.GivesWay != "" && f.GivesWay == o
	}
	name := g.of.one.name
	head := Name(name)
	if g.of.one.run {
		head = "run " + head
	}
	if !oneSided(name) && g.of.trade != "" {
		head += " (" + Name(g.of.trade) + ")"
	}
	first := g.against(g.fs[0])
	switch {
	case len(others) > 1:
		head += " against " + strconv.Itoa(len(others)) + " " + Name(many(g.of.against))
	case first != "":
		head += " against " + Name(first)
		if !oneSided(first) {
			head += " (" + Name(g.of.against) + ")"
		}
	}
	grp := Group{Heading: head + ": " + kinds(counts)}
	most := g.rule()
	if most.Rule != "" {
		grp.Common = append(grp.Common, "Rule: "+rule(most.Rule, most.Basis))
	}
	if oneWay {
		s := Name(name)
		if g.of.one.run {
			s = "run " + s
		}
		grp.Common = append(grp.Common, "To move: "+s)
	} else if theyWay && len(others) > 1 {
		grp.Common = append(grp.Common, "To move: the "+Name(many(g.of.against)))
	} else if theyWay {
		grp.Common = append(grp.Common, "To move: "+Name(first))
	}
	if n := len(g.fs) - len(shows); n > 0 {
		grp.Common = append(grp.Common, strconv.Itoa(n)+" of them not shown here")
	}
	for _, f := range shows {
		// An overlap breaks the rule too; that it rests on geometry need not be said each time.
		said := f.Rule == most.Rule && (f.Basis == most.Basis || f.Basis == rules.Geometry)
		grp.Items = append(grp.Items, Item{What: what(f), ID: Clean(f.ID), Lines: brief(f, said, oneWay || theyWay)})
	}
	return grp, true
}

// findings says the worst findings by bay, and how many are not shown.
func findings(r *finding.Result, most int) []Section {
	if len(r.Findings) == 0 {
		return nil
	}
	all := sorted(r.Findings)
	shown := map[*finding.Finding]bool{}
	for _, f := range all[:min(most, len(all))] {
		shown[f] = true
	}
	head := Section{Level: 1, Title: "The findings, bay by bay, worst first"}
	if n := len(all) - len(shown); n > 0 {
		head.Parts = append(head.Parts, Para("The worst "+strconv.Itoa(len(shown))+" of "+strconv.Itoa(len(all))+" are given; "+
			strconv.Itoa(n)+" are not shown. To see them, limit to a bay or a trade, or write all of them to a CSV file."))
	}
	sections := []Section{head}
	for _, b := range baysOf(r.Findings) {
		s := Section{Level: 2, Title: bayName(b.bay, b.storey), Aside: kinds(b.counts)}
		s.Title = strings.ToUpper(s.Title[:1]) + s.Title[1:]
		held := 0
		for _, f := range b.all {
			if !shown[f] {
				held++
			}
		}
		if held == len(b.all) {
			continue
		}
		if held > 0 {
			s.Aside += "; " + strconv.Itoa(held) + " not shown"
		}
		for _, g := range gather(b.all) {
			if grp, ok := g.group(shown); ok {
				s.Parts = append(s.Parts, grp)
			}
		}
		sections = append(sections, s)
	}
	return sections
}
