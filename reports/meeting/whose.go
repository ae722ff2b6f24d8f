package meeting

import (
	"cmp"
	"maps"
	"slices"
	"strings"

	"voidline/clash/finding"
	"voidline/clash/rules"
	"voidline/reports/words"
)

// Whose is a trade and what it has to do: problems that are open or back and in which it has something to move.
type Whose struct {
	Trade                      string
	Problems, New, Back, Firm  int // Firm: of these, that rest on more than practice
	Overlap, Tight, Access     int // findings
	Bays                       int
	Worst                      *Finding
	Agreed                     int // problems that are agreed
	sets                       map[string]int
	bays                       map[string]bool
	firm, fresh, back, settled map[string]bool
}

// Late is an open problem that is past its due date.
type Late struct {
	Owner string // "" where nobody is named
	Days  int
	Due   string
	First *Finding // its finding that is longest past it
}

func (rep *Report) whose() {
	by := map[string]*Whose{}
	var open []finding.Finding
	for b := range rep.Bays {
		for _, f := range rep.Bays[b].All {
			w := by[f.Trade]
			if w == nil {
				w = &Whose{Trade: f.Trade, sets: map[string]int{}, bays: map[string]bool{}, firm: map[string]bool{}, fresh: map[string]bool{}, back: map[string]bool{}, settled: map[string]bool{}}
				by[f.Trade] = w
			}
			p := f.Problem()
			if !f.Standing.open() {
				w.settled[p] = true
				continue
			}
			open = append(open, *f.Finding)
			w.sets[p]++
			w.bays[f.Bay.Anchor] = true
			if f.Basis != rules.Practice {
				w.firm[p] = true
			}
			switch f.Standing.Mark {
			case MarkNew:
				w.fresh[p] = true
			case MarkBack:
				w.back[p] = true
			}
			switch f.Kind {
			case finding.Overlap:
				w.Overlap++
			case finding.Tight:
				w.Tight++
			case finding.Access:
				w.Access++
			}
			if w.Worst == nil || finding.Worse(f.Finding, w.Worst.Finding) < 0 {
				w.Worst = f
			}
		}
	}
	for _, t := range slices.Sorted(maps.Keys(by)) {
		w := by[t]
		// A problem of which a part was there last time is no new one; one that is open is not agreed.
		for p := range w.fresh {
			if w.sets[p] > 0 && !rep.wasThere(p) {
				w.New++
			}
		}
		for p := range w.settled {
			if w.sets[p] == 0 {
				w.Agreed++
			}
		}
		w.Problems, w.Firm, w.Back, w.Bays = len(w.sets), len(w.firm), len(w.back), len(w.bays)
		rep.Whose = append(rep.Whose, *w)
	}
	slices.SortStableFunc(rep.Whose, func(a, b Whose) int { return cmp.Compare(b.Problems, a.Problems) })
	rep.Pairs = finding.PairCounts(open)
	for _, p := range rep.Pairs {
		rep.PairSum.Overlap += p.Overlap
		rep.PairSum.Tight += p.Tight
		rep.PairSum.Access += p.Access
	}
	rep.PairSum.Problems = rep.Open
	for i := range rep.Pairs {
		rep.Pairs[i].A, rep.Pairs[i].B = words.Clean(rep.Pairs[i].A), words.Clean(rep.Pairs[i].B)
	}
}

// wasThere reports whether a part of a problem was open last time.
func (rep *Report) wasThere(problem string) bool {
	if rep.there == nil {
		rep.there = map[string]bool{}
		for b := range rep.Bays {
			for _, f := range rep.Bays[b].All {
				if f.Standing.Mark != MarkNew {
					rep.there[f.Problem()] = true
				}
			}
		}
	}
	return rep.there[problem]
}

// owners lists who settles what is open, and what is past its date.
func (rep *Report) owners(in Input) {
	if in.Register == nil {
		return
	}
	weeks := min(len(rep.Since.Weeks), ownerWeeks)
	rep.Owners = in.Register.Owners(weeks)
	for i := range rep.Owners {
		rep.Owners[i].Name = words.Clean(rep.Owners[i].Name)
	}
	for _, w := range rep.Since.Weeks[len(rep.Since.Weeks)-weeks:] {
		rep.OwnerWeeks = append(rep.OwnerWeeks, w.Label)
	}
	by := map[string]*Finding{}
	var order []string
	for b := range rep.Bays {
		for _, f := range rep.Bays[b].All {
			p := f.Problem()
			switch was := by[p]; {
			case !f.Standing.Late:
			case was == nil:
				by[p] = f
				order = append(order, p)
			case f.Standing.Days > was.Standing.Days:
				by[p] = f
			}
		}
	}
	for _, p := range order {
		f := by[p]
		rep.Late = append(rep.Late, Late{f.Standing.Owner, f.Standing.Days, string(f.Standing.Due), f})
	}
	slices.SortStableFunc(rep.Late, func(a, b Late) int {
		return cmp.Or(cmp.Compare(strings.ToLower(a.Owner), strings.ToLower(b.Owner)), cmp.Compare(b.Days, a.Days))
	})
}

// ownerWeeks is how many weeks of an owner's trend are shown.
const ownerWeeks = 4
