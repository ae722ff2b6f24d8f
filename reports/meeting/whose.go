package meeting

import (
	"cmp"
	"maps"
	"slices"
	"strings"

	"voidline/clash"
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

// Owner is a person or a firm as the register names it, and what it has open.
type Owner struct {
	Name           string
	Problems, Late int
	Due            string // the next date, "" for none
}

func (rep *Report) whose(in Input) {
	by := map[string]*Whose{}
	owners := map[string]*Owner{}
	ownerSets, ownerLate := map[string]map[string]bool{}, map[string]map[string]bool{}
	var open []clash.Finding
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
			if f.Basis != string(rules.Practice) {
				w.firm[p] = true
			}
			switch f.Standing.Mark {
			case MarkNew:
				w.fresh[p] = true
			case MarkBack:
				w.back[p] = true
			}
			switch f.Kind {
			case clash.Overlap:
				w.Overlap++
			case clash.Tight:
				w.Tight++
			case clash.Access:
				w.Access++
			}
			if w.Worst == nil || clash.Worse(f.Finding, w.Worst.Finding) < 0 {
				w.Worst = f
			}
			if name := f.Standing.Owner; name != "" {
				k := strings.ToLower(name)
				o := owners[k]
				if o == nil {
					o = &Owner{Name: name}
					owners[k], ownerSets[k], ownerLate[k] = o, map[string]bool{}, map[string]bool{}
				}
				ownerSets[k][p] = true
				if f.Standing.Late {
					ownerLate[k][p] = true
				}
				if d := string(f.Standing.Due); d != "" && (o.Due == "" || d < o.Due) {
					o.Due = d
				}
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
	for _, k := range slices.Sorted(maps.Keys(owners)) {
		o := owners[k]
		o.Problems, o.Late = len(ownerSets[k]), len(ownerLate[k])
		rep.Owners = append(rep.Owners, *o)
	}
	slices.SortStableFunc(rep.Owners, func(a, b Owner) int { return cmp.Compare(b.Problems, a.Problems) })
	rep.Pairs = clash.PairCounts(open)
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
