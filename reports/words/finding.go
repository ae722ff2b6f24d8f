package words

import (
	"math"
	"strings"

	"voidline/clash"
	"voidline/void/cell"
)

// amount is how bad a finding is, and by what findings of one kind are sorted: the depth of an overlap
// (the lesser of the two moves), else the shortfall.
func amount(f *clash.Finding) float64 {
	if f.Kind == clash.Overlap && f.Depth != nil {
		if f.Depth.Sideways != nil {
			return math.Min(f.Depth.Vertical, *f.Depth.Sideways)
		}
		return f.Depth.Vertical
	}
	return f.Short
}

// what says a finding's kind and amount in at most a few letters: overlap 36, tight by 4, access.
func what(f *clash.Finding) string {
	switch f.Kind {
	case clash.Overlap:
		return "overlap " + Up(amount(f))
	case clash.Tight:
		return "tight by " + Up(amount(f))
	}
	return Name(string(f.Kind))
}

// other returns the id of the second zone, "" where there is none.
func other(f *clash.Finding) string {
	if f.B == nil {
		return ""
	}
	return *f.B
}

// full gives a finding in full, a line for each thing to know.
func full(f *clash.Finding) []string {
	l := []string{zone(f.A, f.ATrade, f.ARun, f.ARow)}
	if f.B != nil {
		l = append(l, "/ "+zone(*f.B, f.BTrade, f.BRun, f.BRow))
	}
	at := where(f.At)
	if at != "" {
		at += ", "
	}
	l = append(l, "at "+at+"level "+Level(f.At.Level), there(f))
	if f.Rule != "" {
		l = append(l, "rule: "+Clean(f.Rule)+" ("+basis(f.Basis)+")")
	}
	if s := givesWay(f); s != "" {
		l = append(l, s)
	}
	return append(l, rest(f)...)
}

// brief gives a gathered finding: what its heading does not say.
func brief(f *clash.Finding, ruleSaid, waySaid bool) []string {
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
	if f.Kind == clash.Tight { // the shortfall stands in the margin
		is = tight(f)
	}
	is = "at " + at + Level(f.At.Level) + ": " + is
	if waySaid && len(f.Moves) > 0 {
		is += "; " + Name(f.GivesWay) + " " + moves(f)
	}
	l := []string{pair, is}
	if !ruleSaid && f.Rule != "" {
		l = append(l, "rule: "+Clean(f.Rule)+" ("+basis(f.Basis)+")")
	}
	if !waySaid {
		if s := givesWay(f); s != "" {
			l = append(l, s)
		}
	}
	return append(l, rest(f)...)
}

// rest is what few findings have: other rules broken, heights only, a note.
func rest(f *clash.Finding) []string {
	var l []string
	for _, al := range f.Also {
		l = append(l, "also: "+clear(f, al.Side, al.Gap)+", "+Up(al.Asked)+" asked, "+Up(al.Short)+" short; "+
			Clean(al.Rule)+" ("+basis(al.Basis)+")")
	}
	if f.ByHeight {
		l = append(l, "by height only: one of the two lies over the whole bay, so where they meet is not known")
	}
	if f.Note != "" {
		l = append(l, "note: "+Clean(f.Note))
	}
	return l
}

// zone introduces a zone in full: id, trade, run, row. The trade is left out where the id says it.
func zone(id, trade, run, row string) string {
	var in []string
	if trade != "" && oneSided(id) == "" {
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

// oneSided returns "ceiling" or "soffit" for the id of a bay's ceiling or soffit, else "".
func oneSided(id string) string {
	for _, of := range []string{"ceiling", "soffit"} {
		if strings.HasPrefix(id, of+" ") {
			return of
		}
	}
	return ""
}

// there says what there is, what is asked, and what is lacking.
func there(f *clash.Finding) string {
	switch f.Kind {
	case clash.Overlap:
		s := "they share space"
		if d := f.Depth; d != nil {
			v := Up(d.Vertical)
			switch a, b := oneSided(f.A), oneSided(other(f)); {
			case b == "ceiling":
				s = Name(f.A) + " reaches " + v + " down into the ceiling"
			case a == "ceiling":
				s = Name(other(f)) + " reaches " + v + " down into the ceiling"
			case b == "soffit":
				s = Name(f.A) + " reaches " + v + " up into the soffit"
			case a == "soffit":
				s = Name(other(f)) + " reaches " + v + " up into the soffit"
			case d.Sideways != nil:
				s = "into each other: " + v + " in height, " + Up(*d.Sideways) + " sideways"
			default:
				s = "into each other: " + v + " in height"
			}
		}
		if Tenth(f.Asked) > 0 {
			s += "; " + Up(f.Asked) + " clear asked, " + Up(f.Short) + " short in all"
		}
		return s
	case clash.Access:
		switch {
		case Tenth(f.Asked) > 0 && math.Abs(f.Asked-f.Gap-f.Short) < 0.15:
			return "there is " + Down(f.Gap) + ", " + Up(f.Asked) + " asked, " + Up(f.Short) + " short"
		case Tenth(f.Asked) > 0 && math.Abs(f.Gap-f.Asked-f.Short) < 0.15:
			return "it is " + Up(f.Gap) + ", at most " + Down(f.Asked) + " asked, " + Up(f.Short) + " too much"
		case Tenth(f.Short) > 0:
			return Up(f.Short) + " short"
		}
		if f.AKind == supports {
			return "cannot be fixed there"
		}
		return "cannot be reached"
	}
	return tight(f) + ", " + Up(f.Short) + " short"
}

// tight says the gap and what is asked of it.
func tight(f *clash.Finding) string {
	return clear(f, f.Side, f.Gap) + ", " + Up(f.Asked) + " asked"
}

// clear says a gap and on which side of a it is.
func clear(f *clash.Finding, side string, gap float64) string {
	s := "nothing clear"
	if g := Down(gap); g != "0" {
		s = g + " clear"
	}
	switch side {
	case "above", "below", "beside":
		return s + " " + side + " " + Name(f.A)
	case "one side":
		return s + " on the freer side of " + Name(f.A)
	}
	if f.B == nil {
		return s + " around " + Name(f.A)
	}
	return s + " between them"
}

// givesWay says who gives way and by how much, "" where the record names nobody.
func givesWay(f *clash.Finding) string {
	if f.GivesWay == "" {
		return ""
	}
	s := Name(f.GivesWay) + " gives way"
	if len(f.Moves) > 0 {
		return s + ": " + moves(f)
	}
	if f.Kind != clash.Access && f.AKind != supports { // whether a support may shift along its run is in the note
		s += "; no single move that clears it is known"
	}
	return s
}

// SupportsOf returns the id of the row whose supports a finding is about, false where it is about no supports.
func SupportsOf(f *clash.Finding) (row string, ok bool) {
	if f.AKind != supports {
		return "", false
	}
	return strings.CutPrefix(f.A, supportsOf)
}

// How the record calls the supports of a row and their kind.
const (
	supports   = "support"
	supportsOf = "supports of "
)

// SupportWay says whether and how the support that a finding is about may be moved along its run to be clear, as the
// record's note says it: "may move 55 along the run towards the row's end", "clear with two in its place, …". clears is
// false where there is no clear place; ok where the finding is about no supports or the note says nothing of it.
func SupportWay(f *clash.Finding) (way string, clears, ok bool) {
	if _, is := SupportsOf(f); !is {
		return "", false, false
	}
	for _, part := range strings.Split(f.Note, "; ") {
		switch {
		case strings.HasPrefix(part, "may move "), strings.HasPrefix(part, "clear with two "):
			return Clean(part), true, true
		case strings.HasPrefix(part, "no clear place "):
			return Clean(part), false, true
		}
	}
	return "", false, false
}

// moves lists the least moves, any one of which clears the finding.
func moves(f *clash.Finding) string {
	var parts []string
	for _, m := range f.Moves {
		s := Clean(m.Way())
		if m.Zone != f.GivesWay {
			s = Name(m.Zone) + " " + s
		}
		parts = append(parts, s)
	}
	return strings.Join(parts, ", or ")
}

// Moves lists the least moves of a finding, parted by "; ".
func Moves(f *clash.Finding) string { return strings.ReplaceAll(moves(f), ", or ", "; ") }

// Also lists what else a pair breaks, parted by "; ".
func Also(f *clash.Finding) string {
	var parts []string
	for _, al := range f.Also {
		parts = append(parts, Clean(al.Rule)+" ("+basis(al.Basis)+"): "+Up(al.Short)+" short")
	}
	return strings.Join(parts, "; ")
}

// where is a place in words, by coordinates where the record has no words for it.
func where(s clash.Spot) string {
	if s.Where != "" {
		return Clean(s.Where)
	}
	return "x " + Near(s.X) + ", y " + Near(s.Y)
}

// basis says what a rule rests on.
func basis(b string) string {
	if b == string(clash.Practice) {
		return "common practice"
	}
	return Clean(b)
}

// bayName names a bay with its storey.
func bayName(bay *string, storey string) string {
	s := "outside every bay"
	if bay != nil {
		s = "bay " + Name(*bay)
	}
	if storey != "" {
		s += ", storey " + Name(storey)
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
