package meeting

import (
	"cmp"
	"maps"
	"slices"
	"strconv"
	"strings"

	"voidline/clash/finding"
	"voidline/clash/rules"
	"voidline/reports/words"
	"voidline/void"
)

// Decision is a question for the meeting: one answer settles all its problems.
type Decision struct {
	Question string
	About    string // run SA1 (ductwork) against steel
	Counts   string // 1 overlap
	Worst    *Finding
	Who      []string // by whom it is decided, first who leads
	Bays     []*Bay
	Findings []*Finding
	Problems int
	Due      string // the next due date in the register, "" for none
	Days     int    // by how many days the one that is longest past it is; 0: none is

	why int // order
}

// The reasons for which a problem wants a decision, in the order in which the meeting takes them. They are
// common practice, no source, but for structure: openings and fixings in it are the structural engineer's to
// allow, as every report's cautions say.
const (
	whyBack = iota
	whyStructure
	whySupport
	whyNoMove
	whyCeiling
	whyAccess
	whyLaw
	whyLate
	whyMatched
)

const (
	coordinator = "coordinator"
	engineer    = "structural engineer"
)

// reason says why a finding wants a decision, false where it wants none.
func reason(f *Finding) (int, bool) {
	structural := func(trade string) bool { return trade == "steel" || trade == "structure" }
	switch {
	case f.Standing.Mark == MarkBack && f.Standing.Amount != "":
		return whyBack, true
	case supports(f):
		if h := f.Support; h != nil && (h.Clears() || h.Longer != nil) {
			return 0, false // the fitter sets it there, or takes a longer channel
		}
		return whySupport, true
	case f.Kind == finding.Overlap && (structural(f.ATrade) || structural(f.BTrade)):
		return whyStructure, true
	case f.Kind == finding.Access:
		return whyAccess, true
	case f.GivesWay == "" || !slices.ContainsFunc(f.Moves, func(m finding.Move) bool { return m.Clear == nil || *m.Clear }):
		return whyNoMove, true // none is known, or each was tried and meets something
	case f.Trade == "ceilings":
		return whyCeiling, true
	case f.Basis == rules.Law:
		return whyLaw, true
	case f.Standing.Late:
		return whyLate, true
	case f.Standing.Unconfirmed != "":
		return whyMatched, true
	}
	return 0, false
}

func supports(f *Finding) bool {
	_, ok := words.SupportsOf(f.Finding)
	return ok
}

// side is one of the two ends of a decision: the run that has to move or, of zones without one, all of a kind.
type side struct{ run, kind, trade, against string }

func sideOf(f *Finding) (s side, zone string) {
	zone, s = f.A, side{f.ARun, f.AKind, f.ATrade, f.BTrade}
	if f.B != nil && f.GivesWay == *f.B {
		zone, s = *f.B, side{f.BRun, f.BKind, f.BTrade, f.ATrade}
	}
	if f.B == nil {
		s.against = ""
	}
	if s.run != "" {
		s.kind = "" // a run is one, whatever its pieces are
	}
	return s, zone
}

// holding is the side of the supports that a finding is about, whoever gives way.
func holding(f *Finding) side {
	s := side{run: f.ARun, kind: f.AKind, trade: f.ATrade, against: f.BTrade}
	if f.B == nil {
		s.against = ""
	}
	if s.run != "" {
		s.kind = ""
	}
	return s
}

// about says what a decision is about.
func (s side) about(zones []string) string {
	var t string
	switch {
	case s.run != "":
		t = "run " + words.Name(s.run)
	case len(zones) == 1:
		t = words.Name(zones[0])
	default:
		t = strconv.Itoa(len(zones)) + " of kind " + words.Name(s.kind)
		if s.kind == "" {
			t = strconv.Itoa(len(zones)) + " zones"
		}
	}
	t += " (" + words.Name(s.trade) + ")"
	switch s.against {
	case "":
	case s.trade:
		t += " against its own trade"
	default:
		t += " against " + words.Name(s.against)
	}
	return t
}

// who says by whom a finding's question is decided; of every question the owner named in the register is one.
func who(why int, f *Finding) []string {
	var w []string
	add := func(names ...string) {
		for _, n := range names {
			if n != "" && !slices.Contains(w, n) {
				w = append(w, n)
			}
		}
	}
	switch why {
	case whyBack:
		add(f.Standing.AgreedBy, f.Trade)
	case whyStructure:
		add(engineer, f.Trade)
	case whySupport:
		add(words.Clean(f.ATrade))
		if t := words.Clean(f.BTrade); t == "steel" || t == "structure" {
			add(engineer) // what hangs from it, or is let into it, is his to allow
		} else {
			add(t)
		}
	case whyNoMove:
		add(f.Trade, words.Clean(f.ATrade), words.Clean(f.BTrade), coordinator)
	case whyCeiling:
		add("architect", "ceilings")
	case whyAccess:
		add(f.Trade, words.Clean(f.BTrade), "ceilings")
	case whyLaw:
		add("designer", f.Trade)
	case whyLate:
		add(f.Trade)
	case whyMatched:
		add(coordinator)
	}
	if o := f.Standing.Owner; o != "" && !slices.Contains(w, o) {
		w = append([]string{o}, w...)
	}
	return w
}

func question(why int) string {
	switch why {
	case whyBack:
		return "Worse than agreed: agree the new figure, or clear it?"
	case whyStructure:
		return "Overlap with structure: will the engineer allow an opening, or does the service go round?"
	case whySupport:
		return "No clear position for a support: closer spacing, another hanger, or does what is there move?"
	case whyNoMove:
		return "No single move clears it: which trade sets round the other, or does the ceiling level change?"
	case whyCeiling:
		return "The ceiling would have to move: is that acceptable?"
	case whyAccess:
		return "Cannot be reached: move the hatch, or move what is in the way?"
	case whyLaw:
		return "Required by a standard or code: will the designer accept less, or is it to be cleared?"
	case whyLate:
		return "Overdue: what is holding it up?"
	}
	return "Treated as an earlier finding: is it the same? Enter yes or no in the register."
}

func (rep *Report) decide(in Input) {
	type key struct {
		why int
		side
		who string
	}
	by := map[key]*Decision{}
	counts := map[key]*finding.Counts{}
	problems := map[key]map[string]bool{}
	zones := map[key][]string{}
	asked := map[string]bool{}
	for b := range rep.Bays {
		for _, f := range rep.Bays[b].All {
			if !f.Standing.open() {
				continue
			}
			why, ok := reason(f)
			if !ok {
				continue
			}
			asked[f.Problem()] = true
			w := who(why, f)
			side, zone := sideOf(f)
			if why == whySupport {
				side, zone = holding(f), f.A
			}
			k := key{why, side, ""}
			for _, n := range w {
				k.who += n + "\x00"
			}
			d := by[k]
			if d == nil {
				d = &Decision{Question: question(why), Who: w, why: why}
				by[k], counts[k], problems[k] = d, &finding.Counts{}, map[string]bool{}
			}
			if !slices.Contains(zones[k], zone) {
				zones[k] = append(zones[k], zone)
			}
			tally(counts[k], f.Kind)
			problems[k][f.Problem()] = true
			d.Findings = append(d.Findings, f)
			if n := len(d.Bays); n == 0 || d.Bays[n-1] != f.Bay {
				d.Bays = append(d.Bays, f.Bay)
			}
			if d.Worst == nil || finding.Worse(f.Finding, d.Worst.Finding) < 0 {
				d.Worst = f
			}
			if due := string(f.Standing.Due); due != "" && (d.Due == "" || due < d.Due) {
				d.Due = due
			}
			d.Days = max(d.Days, f.Standing.Days)
		}
	}
	keys := slices.SortedFunc(maps.Keys(by), func(a, b key) int {
		return cmp.Or(
			cmp.Compare(a.why, b.why), cmp.Compare(a.trade, b.trade), cmp.Compare(a.run, b.run), cmp.Compare(a.kind, b.kind),
			cmp.Compare(a.against, b.against), cmp.Compare(a.who, b.who),
		)
	})
	for _, k := range keys {
		d := by[k]
		d.About = k.about(zones[k])
		if k.why == whySupport && k.run != "" {
			d.About = "supports of " + d.About
		}
		d.Counts = words.Kinds(*counts[k])
		d.Problems = len(problems[k])
		rep.Decisions = append(rep.Decisions, *d)
	}
	// What is longest past its date comes first; of one reason, what touches most.
	slices.SortStableFunc(rep.Decisions, func(a, b Decision) int {
		return cmp.Or(cmp.Compare(b.Days, a.Days), cmp.Compare(a.why, b.why), cmp.Compare(b.Problems, a.Problems), finding.Worse(a.Worst.Finding, b.Worst.Finding))
	})
	rep.Plain = rep.Open - len(asked)
}

// Numbers lists the problems of the decision by their numbers, as on plans: 3, 7 and 12 more.
func (d *Decision) Numbers(most int) string {
	var l []string
	for _, f := range d.Findings {
		if !slices.Contains(l, f.Number) {
			l = append(l, f.Number)
		}
	}
	slices.SortFunc(l, void.Natural)
	if n := len(l) - most; n > 1 {
		return strings.Join(l[:most], ", ") + " and " + strconv.Itoa(n) + " more"
	}
	return strings.Join(l, ", ")
}

// Where names the bays of the decision, at most most of them.
func (d *Decision) Where(most int) string {
	var l []string
	for _, b := range d.Bays {
		if n := len(d.Bays) - most; len(l) == most && n > 0 {
			return strings.Join(l, ", ") + " and " + strconv.Itoa(n) + " more"
		}
		l = append(l, b.Name)
	}
	return strings.Join(l, ", ")
}

// When says by when it is due, and by how much that is past: 2026-03-05, overdue 4 days; "" where nobody said.
func (d *Decision) When() string {
	if d.Days > 0 {
		return d.Due + ", " + words.Overdue(d.Days)
	}
	return d.Due
}

// Replies says what the trades have answered about its findings, each with the number of its problem; "" where nothing came home.
func (d *Decision) Replies() string {
	var l []string
	more := 0
	for _, f := range d.Findings {
		switch {
		case f.Standing.Replies == "":
		case len(l) == mostReplies:
			more++
		default:
			l = append(l, "problem "+f.Number+", "+f.Standing.Replies)
		}
	}
	if len(l) == 0 {
		return ""
	}
	said := "Replies: " + strings.Join(l, "; ")
	if more > 0 {
		said += "; and about " + words.Count(more, "more finding", "more findings")
	}
	return said
}

// Size says how much a decision is about: problem 3: 1 overlap; 7 problems (1, 2 …): 9 overlaps in 3 bays.
func (d *Decision) Size() string {
	s := "problem " + d.Numbers(1)
	if d.Problems > 1 {
		s = strconv.Itoa(d.Problems) + " problems (" + d.Numbers(6) + ")"
	}
	s += ": " + d.Counts
	if n := len(d.Bays); n > 1 {
		s += " in " + strconv.Itoa(n) + " bays"
	}
	return s
}
