// Package reference lists the words and the tables of figures that the program goes by, so that who fills in a
// project's tables, or asks why a finding was decided so, can read them. It decides nothing: each list is made
// from the table that the program itself looks things up in.
package reference

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"voidline/clash"
	"voidline/clash/finding"
	"voidline/clash/measure"
	"voidline/clash/register"
	"voidline/clash/setout"
	"voidline/clash/support"
	"voidline/clash/tolerance"
	"voidline/reports/words"
	"voidline/void"
	"voidline/void/catalogue"
	"voidline/void/vocabulary"
)

// List is one list of words or figures.
type List struct {
	Name  string // as it is asked for
	About string // what it is, in a few words
	Note  string // what else has to be said of it; may be ""
	Table func() words.Table
}

// Lists returns all lists, in the order in which they are offered. To add one, add its value here.
func Lists() []List {
	return []List{
		{Name: "trades", About: "who fixes a zone, and the usual kind of a row that does not say what it is", Table: trades},
		{Name: "services", About: "what a zone carries", Table: services},
		{Name: "kinds", About: "what a zone is, and what follows from it", Note: "Stays: 1 stays longest, 9 moves first (common practice, no source)", Table: kinds},
		{Name: "rooms", About: "kinds that are usually in the room, under the ceiling, and no finding there (common practice, no source)", Note: "Anything else is a finding within " + mm(vocabulary.NearFace) + " mm under the finished face, and further down where its run is also in the void", Table: inRoom},
		{Name: "groups", About: "what a rule can name beside kinds, services and trades", Table: groups},
		{Name: "sizes", About: "sizes that go by a name: pipes and steel sections; mm", Table: sizes},
		{Name: "hangers", About: "the built-in hangers, and how far each reaches under what it carries; mm", Table: hangers},
		{Name: "parts", About: "figures of nuts, washers, channels and rods, of which the hangers are made, and the lengths that rods and channels come in", Table: parts},
		{Name: "spacing", About: "how far apart supports are at the most, where a row does not say; mm", Table: spacing},
		{Name: "tolerances", About: "how far off its level a thing may be built, where a row does not say; mm", Table: tolerances},
		{Name: "costs", About: "what findings cost to put right, the worst first, by which they are ranked", Note: "Of one class the greater shortfall comes first. Need: what an open problem counts for its bay in the report, by its worst finding. Common practice, no source", Table: costs},
		{Name: "connections", About: "what connects to what, and how deep the one goes into the other; mm", Note: "Of the lines that name a pair the most specific counts. A pair that no line names is asked about once; joins overrules", Table: connections},
		{Name: "alike", About: "services that one thing in line may have on its two sides (common practice, no source)", Table: alike},
		{Name: "joints", About: "the lengths by which joints of runs are judged, and by which ends connect; mm", Note: "Ends of " + list(clash.Bent()) + " are bent on site and join whatever is near", Table: func() words.Table { return limits(append(clash.JointLimits(), measure.ConnectionLimits()...)) }},
		{Name: "reach", About: "how far one reaches from a hatch; mm", Note: "A way round something may be told up to " + mm(100*clash.WayLonger) + " in 100 longer than the least (measured against ways of which the least is known); a straight one is exact", Table: func() words.Table { return limits(clash.ReachLimits()) }},
		{Name: "striking", About: "how a line is struck and its rods are placed in setting out, and which points a survey reads; mm", Table: func() words.Table { return limits(slices.Concat(setout.Limits(), setout.FormLimits())) }},
		{Name: "supports", About: "where supports are taken to stand until they are set out, and of what; mm", Table: func() words.Table { return limits(support.Limits()) }},
		{Name: "falls", About: "usual falls of services, with which setting out compares; mm/m, pipes by outside diameter in mm", Table: falls},
		{Name: "lengths", About: "other lengths that decide; mm", Table: func() words.Table { return limits(clash.OtherLimits()) }},
		{Name: "moves", About: "what may move, how, and the column that says otherwise (common practice, no source)", Table: moves},
		{Name: "bounds", About: "how much is looked at before a finding says that no more was", Table: bounds},
		{Name: "classes", About: "what elements of a building model become, by class (ISO 16739), predefined type, name and system; the first line that fits counts, and those of mapping.csv before these", Note: "zone: a row; above: a row where it reaches over the ceiling. Common practice, no source, where the class does not say it", Table: classes},
		{Name: "systems", About: "what systems of a building model carry, by predefined type, where their name does not say it", Note: "Common practice, no source, where the word of ISO 16739 does not say it", Table: systems},
		{Name: "register.csv", About: "the columns of register.csv, which check --register keeps", Note: "A cell that people write is never changed. What else people add stands as they wrote it", Table: registered},
		{Name: "segregation", About: "room between power and data by class and containment, per 15 circuits of 20 A; mm", Table: segregation},
	}
}

// table makes a table; a head that ends in > is of figures, which stand to the right.
func table(heads ...string) words.Table {
	var t words.Table
	for _, h := range heads {
		name, right := strings.CutSuffix(h, ">")
		t.Columns = append(t.Columns, words.Column{Head: name, Right: right})
	}
	return t
}

func list(s []string) string { return strings.Join(s, ", ") }

func mm(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

func trades() words.Table {
	t := table("Trade", "Usual kind", "Groups", "Read too")
	for _, e := range vocabulary.TradeEntries() {
		t.Rows = append(t.Rows, []string{e.Word, e.Kind, list(e.Groups), list(e.Spellings)})
	}
	return t
}

func services() words.Table {
	t := table("Service", "Trade", "Groups", "Read too")
	for _, e := range vocabulary.ServiceEntries() {
		t.Rows = append(t.Rows, []string{e.Word, e.Trade, list(e.Groups), list(e.Spellings)})
	}
	return t
}

func kinds() words.Table {
	t := table("Kind", "Trade", "Groups", "Stays>", "Is", "Read too")
	for _, e := range vocabulary.KindEntries() {
		var is []string
		for _, p := range []struct {
			so   bool
			word string
		}{
			{e.Item, "item"},
			{e.Recessed, "recessed"},
			{e.Reach, "needs access"},
			{e.EndsAt, "runs end at it"},
			{e.Beam, "counts as steel for a level"},
			{e.Mark, "a mark, no body"},
		} {
			if p.so {
				is = append(is, p.word)
			}
		}
		t.Rows = append(t.Rows, []string{e.Word, e.Trade, list(e.Groups), strconv.Itoa(e.Order), list(is), list(e.Spellings)})
	}
	return t
}

func costs() words.Table {
	t := table("Cost", "Need>", "Which findings", "Why it stands there")
	for _, c := range finding.Costs() {
		t.Rows = append(t.Rows, []string{c.Word, strconv.Itoa(c.Points), c.What, c.Why})
	}
	return t
}

func connections() words.Table {
	t := table("What ends there", "At what", "Deep>", "How", "Why", "Source")
	for _, c := range measure.Connections() {
		deep := mm(c.Deep)
		var how []string
		if c.Never {
			deep, how = "", append(how, "never")
		}
		for _, p := range []struct {
			so   bool
			word string
		}{{c.InLine, "in line"}, {c.Same, "of one service"}, {c.Fixed, "fixed on it"}} {
			if p.so {
				how = append(how, p.word)
			}
		}
		t.Rows = append(t.Rows, []string{c.Of, c.To, deep, list(how), c.Why, c.Source})
	}
	return t
}

func alike() words.Table {
	t := table("Services")
	for _, s := range measure.AlikeServices() {
		t.Rows = append(t.Rows, []string{list(s)})
	}
	return t
}

func classes() words.Table {
	t := table("Class", "Type", "Name", "System", "Becomes", "Trade", "Kind", "Why")
	for _, e := range vocabulary.ClassEntries() {
		t.Rows = append(t.Rows, []string{e.Class, e.Predefined, e.Name, e.System, e.Becomes, e.Trade, e.Kind, e.Why})
	}
	return t
}

func systems() words.Table {
	t := table("Predefined type", "Service", "Trade")
	for _, e := range vocabulary.SystemEntries() {
		t.Rows = append(t.Rows, []string{e.Predefined, e.Service, e.Trade})
	}
	return t
}

// Limits makes a table of lengths that decide.
func Limits(ls []void.Limit) words.Table { return limits(ls) }

// Bounds makes a table of how much is looked at.
func Bounds(bs []void.Bound) words.Table {
	t := table("Of what", "Most>", "Why", "Source")
	for _, b := range bs {
		t.Rows = append(t.Rows, []string{b.Name, strconv.Itoa(b.Most), b.Why, b.Source})
	}
	return t
}

func limits(ls []void.Limit) words.Table {
	t := table("Length", "mm>", "Why", "Source")
	for _, l := range ls {
		t.Rows = append(t.Rows, []string{l.Name, mm(l.MM), l.Why, l.Source})
	}
	return t
}

func moves() words.Table {
	t := table("What", "Moves", "Column", "Why")
	for _, m := range clash.MoveRules() {
		t.Rows = append(t.Rows, []string{m.What, m.How, m.Said, m.Why})
	}
	return t
}

func bounds() words.Table {
	return Bounds(slices.Concat(support.Bounds(), void.Bounds(), clash.ProofBounds(), setout.Bounds()))
}

func falls() words.Table {
	t := table("Service", "From>", "Least>", "Most>", "Source")
	for _, g := range setout.Gradients() {
		most := ""
		if g.Most > 0 {
			most = mm(g.Most)
		}
		t.Rows = append(t.Rows, []string{g.Service, mm(g.Across), mm(g.Least), most, g.Source})
	}
	return t
}

func registered() words.Table {
	t := table("Column", "Who writes it", "Example", "What it holds")
	for c := range register.ColumnCount {
		col := register.Column(c)
		who := "voidline"
		if col.People() {
			who = "people"
		}
		what, like := col.Says()
		t.Rows = append(t.Rows, []string{col.Heading(), who, like, what})
	}
	return t
}

func inRoom() words.Table {
	t := table("Kind", "Why")
	for _, e := range vocabulary.RoomEntries() {
		t.Rows = append(t.Rows, []string{e.Kind, e.Why})
	}
	return t
}

func groups() words.Table {
	t := table("Group", "Services in it", "Kinds in it")
	for _, g := range vocabulary.Groups() {
		var ss, ks []string
		for _, e := range vocabulary.ServiceEntries() {
			if slices.Contains(e.Groups, g) {
				ss = append(ss, e.Word)
			}
		}
		for _, e := range vocabulary.KindEntries() {
			if slices.Contains(e.Groups, g) {
				ks = append(ks, e.Word)
			}
		}
		if g == vocabulary.Any {
			ss, ks = []string{"all"}, []string{"all"}
		}
		t.Rows = append(t.Rows, []string{g, list(ss), list(ks)})
	}
	return t
}

func sizes() words.Table {
	t := table("Size", "Width>", "Height>", "What", "Source")
	for _, p := range catalogue.Pipes() {
		name := "DN" + mm(p.DN) + " " + p.Standard
		if p.Standard == catalogue.DefaultPipeStandard {
			name = "DN" + mm(p.DN)
		}
		t.Rows = append(t.Rows, []string{name, mm(p.OD), mm(p.OD), "pipe, " + p.Material, sourced(p.Source, p.Provenance)})
	}
	for _, s := range catalogue.Sections() {
		t.Rows = append(t.Rows, []string{s.Name, mm(s.B), mm(s.H), "steel section", sourced(s.Source, s.Provenance)})
	}
	return t
}

func sourced(source, provenance string) string {
	if source == "" || source == "none" {
		return provenance
	}
	return source + " (" + provenance + ")"
}

func hangers() words.Table {
	t := table("Hanger", "Under>", "Rods", "Parts", "Note")
	for _, h := range catalogue.Hangers() {
		var ps []string
		for _, p := range h.Parts {
			s := p.Name + " " + mm(p.Height)
			if p.Inside {
				s += " inside"
			}
			ps = append(ps, s)
		}
		rods := ""
		switch {
		case h.Rod >= 6:
			rods = strconv.Itoa(h.Rods) + " x M" + mm(h.Rod)
		case h.Rods > 0:
			rods = strconv.Itoa(h.Rods) + " x " + mm(h.Rod)
		}
		t.Rows = append(t.Rows, []string{h.Name, mm(h.Below()), rods, list(ps), h.Note})
	}
	return t
}

func parts() words.Table {
	t := table("Figure", "Value>", "Unit", "Source", "Note")
	for _, f := range append(catalogue.HangerFigures(), catalogue.RodFigures()...) {
		t.Rows = append(t.Rows, []string{f.Item, mm(f.Value), f.Unit, sourced(f.Source, f.Provenance), f.Note})
	}
	return t
}

func spacing() words.Table {
	t := table("Kind", "At most>", "Source")
	for _, s := range support.Spacings() {
		t.Rows = append(t.Rows, []string{cmp.Or(s.Kind, "any other"), mm(s.MM), s.Source})
	}
	return t
}

func tolerances() words.Table {
	t := table("Of", "Plus or minus>", "Source")
	for _, d := range tolerance.Defaults() {
		t.Rows = append(t.Rows, []string{d.Of, mm(d.MM), sourced(d.Source, d.Provenance)})
	}
	return t
}

// segregation is given for 15 circuits, for which the standard's factor is 1.
func segregation() words.Table {
	t := table("Class", "Power in", "Room>", "Source")
	for _, class := range []string{"a", "b", "c", "d"} {
		for b := catalogue.NoBarrier; b <= catalogue.SolidMetallic; b++ {
			s, _ := catalogue.Separation(class, b, 15)
			t.Rows = append(t.Rows, []string{class, b.String(), mm(s.MM), sourced(s.Source, s.Provenance)})
		}
	}
	return t
}
