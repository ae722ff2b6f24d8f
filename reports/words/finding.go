package words

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"voidline/clash/finding"
	"voidline/clash/rules"
	"voidline/void"
	"voidline/void/cell"
)

// amount is how bad a finding is, and by what findings of one kind are sorted: the depth of an overlap
// (the lesser of the two moves), else the shortfall.
func amount(f *finding.Finding) float64 {
	if f.Kind == finding.Overlap && f.Depth != nil {
		if f.Depth.Sideways != nil {
			return math.Min(f.Depth.Vertical, *f.Depth.Sideways)
		}
		return f.Depth.Vertical
	}
	return f.Short
}

// what says a finding's kind and amount in at most a few words: overlap 36; tight, 4 short; access, 229 short.
func what(f *finding.Finding) string {
	switch f.Kind {
	case finding.Overlap:
		return "overlap " + Up(amount(f))
	case finding.Tight:
		return "tight, " + Up(amount(f)) + " short"
	case finding.Access:
		if tooFar(f) {
			return "access, " + Up(f.Short) + " too far"
		} else if Tenth(f.Short) > 0 {
			return "access, " + Up(f.Short) + " short"
		}
	}
	return Name(string(f.Kind))
}

// other returns the id of the second zone, "" where there is none.
func other(f *finding.Finding) string {
	if f.B == nil {
		return ""
	}
	return *f.B
}

// full gives a finding in full, a line for each thing to know.
func full(f *finding.Finding) []string {
	l := []string{zone(f.A, f.ATrade, f.ARun, f.ARow)}
	if f.B != nil {
		l = append(l, "with "+zone(*f.B, f.BTrade, f.BRun, f.BRow))
	}
	at := where(f.At)
	if at != "" {
		at += ", "
	}
	l = append(l, "at "+at+Level(f.At.Level), sentence(f))
	if s := toMove(f); s != "" {
		l = append(l, s+".")
	}
	if f.Rule != "" {
		l = append(l, "Rule: "+rule(f.Rule, f.Basis))
	}
	return append(l, rest(f)...)
}

// brief gives a gathered finding: what its heading does not say.
func brief(f *finding.Finding, ruleSaid, waySaid bool) []string {
	pair := Name(f.A) + " (" + Name(f.ARow) + ")"
	if f.B != nil {
		pair += " / " + Name(*f.B)
		if f.BRow != "" {
			pair += " (" + Name(f.BRow) + ")"
		}
	}
	at := where(f.At)
	if at != "" {
		at += ", "
	}
	is := there(f)
	if f.Kind == finding.Tight { // the shortfall stands in the margin
		is = tight(f)
	}
	is = "at " + at + Level(f.At.Level) + ": " + is
	if waySaid && len(f.Moves) > 0 {
		is += "; move " + moves(f, "")
	}
	l := []string{pair, is}
	if !waySaid {
		if s := toMove(f); s != "" {
			l = append(l, s+".")
		}
	}
	if !ruleSaid && f.Rule != "" {
		l = append(l, "Rule: "+rule(f.Rule, f.Basis))
	}
	return append(l, rest(f)...)
}

// rest is what few findings have: other rules broken, heights only, a note.
func rest(f *finding.Finding) []string {
	var l []string
	for _, al := range f.Also {
		l = append(l, "Also breaks: "+rule(al.Rule, al.Basis)+": "+clear(f, al.Side, al.Gap)+", "+Up(al.Asked)+" needed, "+Up(al.Short)+" short")
	}
	return append(l, notes(f)...)
}

// notes says what a reader must know of a finding.
func notes(f *finding.Finding) []string {
	var l []string
	if f.ByHeight {
		l = append(l, "Checked by height only: one of the two has no position in plan, so the place is not known")
	}
	if f.Note != "" {
		l = append(l, "Note: "+Clean(f.Note))
	}
	if f.Surveyed {
		l = append(l, onlySurveyed)
	}
	return l
}

// zone introduces a zone in full: id, trade, run, row. The trade is left out where the id says it.
func zone(id, trade, run, row string) string {
	var in []string
	if trade != "" && !oneSided(id) {
		in = append(in, Clean(trade))
	}
	if run != "" {
		in = append(in, "run "+Clean(run))
	}
	if row != "" {
		in = append(in, Clean(row))
	}
	s := Clean(id)
	if len(in) > 0 {
		s += " (" + strings.Join(in, ", ") + ")"
	}
	return s
}

// oneSided reports whether an id is that of a bay's ceiling or soffit.
func oneSided(id string) bool {
	is, _ := void.Identity(id)
	return is == void.OwnCeiling || is == void.OwnSoffit
}

// there says what there is, what is needed, and what is lacking.
func there(f *finding.Finding) string { id, s := thereOf(f); return id + s }

// sentence says the same as a sentence of its own; an id keeps its letters.
func sentence(f *finding.Finding) string {
	id, s := thereOf(f)
	if id == "" {
		s = strings.ToUpper(s[:1]) + s[1:]
	}
	return id + s + "."
}

// thereOf returns the id that such a sentence begins with, "" for none, and the rest of it.
func thereOf(f *finding.Finding) (id, s string) {
	switch f.Kind {
	case finding.Overlap:
		s = "they share space"
		if d := f.Depth; d != nil {
			v := Up(d.Vertical)
			a, _ := void.Identity(f.A)
			switch b, _ := void.Identity(other(f)); {
			case b == void.OwnCeiling:
				id, s = Name(f.A), " reaches "+v+" down into the ceiling"
			case a == void.OwnCeiling:
				id, s = Name(other(f)), " reaches "+v+" down into the ceiling"
			case b == void.OwnSoffit:
				id, s = Name(f.A), " reaches "+v+" up into the soffit"
			case a == void.OwnSoffit:
				id, s = Name(other(f)), " reaches "+v+" up into the soffit"
			case d.Sideways != nil:
				s = "they overlap by " + v + " in height, " + Up(*d.Sideways) + " sideways"
			default:
				s = "they overlap by " + v + " in height"
			}
		}
		if Tenth(f.Asked) > 0 {
			s += "; with the " + Up(f.Asked) + " gap needed, " + Up(f.Short) + " short in all"
		}
		return id, s
	case finding.Access:
		switch {
		case Tenth(f.Asked) > 0 && math.Abs(f.Asked-f.Gap-f.Short) < 0.15:
			return "", Down(f.Gap) + " clear, " + Up(f.Asked) + " needed, " + Up(f.Short) + " short"
		case tooFar(f):
			return "", "nearest hatch " + Up(f.Gap) + " away, " + Down(f.Asked) + " at most, " + Up(f.Short) + " too far"
		case Tenth(f.Short) > 0:
			return "", Up(f.Short) + " short"
		}
		if f.AKind == supports {
			return "", "cannot be fixed there"
		}
		return "", "cannot be reached"
	}
	return "", tight(f) + ", " + Up(f.Short) + " short"
}

// tight says the gap and what is asked of it.
func tight(f *finding.Finding) string {
	return clear(f, f.Side, f.Gap) + ", " + Up(f.Asked) + " needed"
}

// clear says a gap and on which side of a it is.
func clear(f *finding.Finding, side cell.Towards, gap float64) string {
	s := "no gap"
	if g := Down(gap); g != "0" {
		s = g + " clear"
	}
	switch side {
	case cell.Above, cell.Below, cell.Beside:
		return s + " " + side.String() + " " + Name(f.A)
	case cell.OneSide:
		return s + " on the wider side of " + Name(f.A)
	}
	if f.B == nil {
		return s + " around " + Name(f.A)
	}
	return s + " between them"
}

// tooFar reports whether an access finding is of something further from its hatch than one reaches.
func tooFar(f *finding.Finding) bool {
	return f.Kind == finding.Access && Tenth(f.Asked) > 0 && math.Abs(f.Gap-f.Asked-f.Short) < 0.15
}

// rule says a rule and what it rests on.
func rule(name string, rests rules.Basis) string { return Clean(name) + " (" + basis(rests) + ")" }

// toMove says what is to be moved and by how much, as an instruction; "" where the record names nobody.
func toMove(f *finding.Finding) string {
	row, held := SupportsOf(f)
	switch {
	case f.GivesWay == "":
		return ""
	case held && f.GivesWay == row && f.Support != nil:
		return SupportToMove(f)
	case held && f.GivesWay == row && len(f.Moves) == 0:
		return Name(f.A) + " to move: no single move is known that clears them"
	case f.HatchPlace != nil && len(f.Moves) > 0:
		return HatchTo(f) + "; or move " + moves(f, "")
	case f.HatchPlace != nil:
		return HatchTo(f)
	case len(f.Moves) > 0:
		return "Move " + moves(f, "") + inVain(f)
	case f.Kind == finding.Access && oneSided(f.GivesWay):
		return "To change: " + Name(f.GivesWay)
	case f.Kind == finding.Access && f.GivesWay == f.A:
		return "To change: access to " + Name(f.A)
	}
	return Name(f.GivesWay) + " to move: no single move is known that clears it" + keeps(f) + inVain(f)
}

// SupportsOf returns the id of the row whose supports a finding is about, false where it is about no supports.
func SupportsOf(f *finding.Finding) (row string, ok bool) {
	is, row := void.Identity(f.A)
	return row, is == void.OwnSupports && f.AKind == supports
}

// supports is how the record calls the kind of supports.
const supports = "support"

// SupportToMove says what to do with the support that a finding is about, "" where it is about none: Move the rod 1400 from the
// start of SP2-01 by 180, towards its end (1 of 3 supports).
func SupportToMove(f *finding.Finding) string {
	h := f.Support
	row, is := SupportsOf(f)
	if h == nil || !is {
		return ""
	}
	which := Clean(h.Part) + " " + Near(h.At) + " from the start of " + Name(row)
	if h.Count > 1 {
		which += ", the worst"
	}
	some := " (" + strconv.Itoa(h.Count) + " of " + Count(h.Of, "support", "supports") + ")"
	switch {
	case h.Move != nil && *h.Move < 0:
		return "Move the " + which + " by " + Up(-*h.Move) + ", towards its start" + some
	case h.Move != nil:
		return "Move the " + which + " by " + Up(*h.Move) + ", towards its end" + some
	case len(h.Two) == 2:
		return "Put two in place of the " + which + ": one " + Up(h.Two[0]) + " nearer the start of the row, one " + Up(h.Two[1]) + " nearer its end" + some
	}
	if h.Fixed {
		return "The " + which + some + " is fixed where it is: to move is what meets it"
	}
	if l := h.Longer; l != nil {
		return "Use a channel " + Up(l.Channel) + " long for the " + which + ", " + Up(l.By) + " longer: the rods are clear there" + some
	}
	s := "No clear position along the run within the spacing for the " + which + some
	if h.Crowded {
		s = "Too many things are near the " + which + some + " to look for a clear position along the run"
	}
	if h.Can > 0 {
		s += "; " + strconv.Itoa(h.Can) + " of them can move"
	}
	return s
}

// HatchTo says where a hatch would do, "" where no place is known: Move the hatch of FCU-1 350 towards grid B, to A+1200, 2+300.
func HatchTo(f *finding.Finding) string {
	h := f.HatchPlace
	switch {
	case h == nil:
		return ""
	case h.Row == "":
		return "Put a hatch " + Clean(h.Size) + " at " + Clean(h.Where) + ": from there " + Name(h.For) + " is reached, and its shaft is clear"
	}
	return "Move the hatch of " + Name(h.For) + " " + Up(h.By) + " " + Clean(finding.TowardsWords(h.Towards)) + ", its middle to " + Clean(h.Where) +
		": from there " + Name(h.For) + " is reached, and its shaft is clear"
}

// movesTold is how many moves of a finding people are told, the least first; the record has them all.
const movesTold = 3

// moves lists the least moves, any one of which clears the finding unless it says what it meets, each zone by name where it is another than that
// of the one before, of the first than the one said.
func moves(f *finding.Finding, said string) string {
	var parts []string
	for _, m := range f.Moves[:min(len(f.Moves), movesTold)] {
		s := Clean(m.Way())
		if m.Zone != said {
			said = m.Zone
			s = Name(said) + " " + s
		}
		parts = append(parts, s+proof(&m))
	}
	if two := f.Together; len(two) == 2 {
		parts = append(parts, Name(two[0].Zone)+" "+Clean(two[0].Way())+" together with "+Name(two[1].Zone)+" "+Clean(two[1].Way())+" (clear)")
	}
	return strings.Join(parts, ", or ")
}

// either lists ways, any of which is meant: "up, down or north".
func either(ways []string) string {
	n := len(ways) - 1
	if n == 0 {
		return ways[0]
	}
	return strings.Join(ways[:n], ", ") + " or " + ways[n]
}

// keeps says what the zone that has to move keeps: " (it keeps its place)".
func keeps(f *finding.Finding) string {
	switch f.Holds {
	case "both":
		return " (it keeps its level and its place)"
	case "level", "place":
		return " (it keeps its " + f.Holds + ")"
	}
	return ""
}

// inVain says what was tried besides of a finding that no move clears: ". Tried besides: D-3 up 180 (then 12 short of T-7). No clear
// place down or towards grid C".
func inVain(f *finding.Finding) string {
	var tried, without []string
	said := f.GivesWay
	if len(f.Moves) > 0 {
		said = f.Moves[min(len(f.Moves), movesTold)-1].Zone
	}
	for i := range f.Tried {
		m := &f.Tried[i]
		if m.By == 0 {
			way := m.Direction
			if m.Towards != "" {
				way = finding.TowardsWords(m.Towards)
			}
			if m.Zone != f.GivesWay {
				way = Name(m.Zone) + " " + way
			}
			without = append(without, Clean(way))
			continue
		}
		if len(tried) == movesTold {
			continue
		}
		s := Clean(m.Way()) + proof(m)
		if m.Zone != said {
			said = m.Zone
			s = Name(said) + " " + s
		}
		tried = append(tried, s)
	}
	s := ""
	if len(tried) > 0 {
		s = ". Tried besides: " + strings.Join(tried, ", ")
	}
	if len(without) > 0 {
		s += ". No clear place " + either(without)
	}
	return s
}

// proof says what a move takes, and whether it is clear or what it meets: " with its run (clear)"; "" where it was not tried.
func proof(m *finding.Move) string {
	s := takes(m)
	switch {
	case m.Clear == nil:
		return s
	case *m.Clear:
		return s + " (clear)"
	case m.Meets.By == 0:
		return s + " (then it parts from " + Name(m.Meets.With) + ")"
	}
	return s + " (then " + Up(m.Meets.By) + " short of " + Name(m.Meets.With) + ")"
}

// takes says what a move takes besides: " with its run"; "" for nothing.
func takes(m *finding.Move) string {
	s := ""
	switch m.Takes {
	case finding.TakesRun:
		s = " with its run"
	case finding.TakesSets:
		s = " with a set at each end that joins on"
	}
	switch m.Wants {
	case finding.WantsVent:
		s += " and a vent at its high point"
	case finding.WantsDrain:
		s += " and a drain at its low point"
	}
	return s
}

// Proof says of the moves of a finding what was proved of them, as a question wants it: "D-1 up 41 clears it and meets nothing", or what the
// least one meets; "" where no move is known or none was put to the proof.
func Proof(f *finding.Finding) string {
	zone, moves, so := Proved(f)
	if zone == "" {
		return ""
	}
	return Name(zone) + " " + moves + " " + so
}

// Proved says which moves were put to the proof and what came of it: the zone of the first of them, "up 41" (each other zone by name),
// "clears it and meets nothing"; no zone where none was. Clear ones are all named, else the least.
func Proved(f *finding.Finding) (zone, moves, so string) {
	said := ""
	name := func(m *finding.Move) string {
		s := Clean(m.Way()) + takes(m)
		if zone == "" {
			zone, said = m.Zone, m.Zone
		}
		if m.Zone != said {
			said = m.Zone
			s = Name(said) + " " + s
		}
		return s
	}
	const clears = "clears it and meets nothing"
	var clear []string
	for i := range f.Moves {
		if m := &f.Moves[i]; m.Clear != nil && *m.Clear && len(clear) < movesTold {
			clear = append(clear, name(m))
		}
	}
	if len(clear) > 0 {
		return zone, either(clear), clears
	}
	if two := f.Together; len(two) == 2 {
		moves = name(&two[0]) + " together with " + name(&two[1])
		return zone, moves, clears
	}
	for _, l := range [][]finding.Move{f.Moves, f.Tried} {
		for i := range l {
			m := &l[i]
			switch {
			case m.Clear == nil || m.Meets == nil || m.By == 0:
			case m.Meets.By == 0:
				moves = name(m)
				return zone, moves, "clears it, but then it parts from " + Name(m.Meets.With)
			default:
				moves = name(m)
				return zone, moves, "clears it, but is then " + Up(m.Meets.By) + " short of " + Name(m.Meets.With)
			}
		}
	}
	return "", "", ""
}

// Clears reports whether a move, or two at once, were proved to clear a finding and to meet nothing.
func Clears(f *finding.Finding) bool {
	return len(f.Together) == 2 || slices.ContainsFunc(f.Moves, func(m finding.Move) bool { return m.Clear != nil && *m.Clear })
}

// Moves lists the least moves of a finding, parted by "; ".
func Moves(f *finding.Finding) string { return strings.ReplaceAll(moves(f, f.GivesWay), ", or ", "; ") }

// Also lists what else a pair breaks, parted by "; ".
func Also(f *finding.Finding) string {
	var parts []string
	for _, al := range f.Also {
		parts = append(parts, Clean(al.Rule)+" ("+basis(al.Basis)+"): "+Up(al.Short)+" short")
	}
	return strings.Join(parts, "; ")
}

// where is a place in words, by coordinates where the record has no words for it.
func where(s finding.Spot) string {
	if s.Where != "" {
		return Clean(s.Where)
	}
	return "x " + Near(s.X) + ", y " + Near(s.Y)
}

// basis says what a rule rests on.
func basis(b rules.Basis) string {
	if b == rules.Practice {
		return "common practice"
	}
	return Clean(string(b))
}

// bayName names a bay with its storey.
func bayName(bay *string, storey string) string {
	s := "outside every bay"
	if bay != nil {
		s = "bay " + Name(*bay)
	}
	return InStorey(s, storey)
}

// InStorey adds to the name of a bay its storey, which the label of a bay has already where several storeys have a bay of that name.
func InStorey(bay, storey string) string {
	if storey == "" {
		return bay
	}
	return strings.TrimSuffix(bay, ", "+Name(storey)) + ", " + Storey(storey)
}

// Storey names a storey: by its name, with the word before it where that is a bare number.
func Storey(name string) string {
	s := Name(name)
	if _, err := strconv.Atoi(s); err == nil {
		return "storey " + s
	}
	return s
}

// Side says the side of a rule.
func Side(t cell.Towards) string {
	switch t {
	case cell.Around:
		return "around"
	case cell.Above:
		return "above"
	case cell.Below:
		return "below"
	case cell.Beside:
		return "beside"
	case cell.OneSide:
		return "one side"
	}
	return ""
}
