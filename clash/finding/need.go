package finding

import (
	"cmp"
	"slices"
)

// Need says how much a bay wants somebody's attention.
type Need struct {
	Bay    *string // as its findings name it; nil: outside every bay
	Storey string
	Points int      // the sum over its open problems of what the class of each one's worst finding counts (Cost.Points)
	Open   int      // problems
	Worst  *Finding // of the open ones; nil where none is open
}

// Needs returns the need of every bay with findings, the greatest first; of equals the one with more open problems, then the
// one whose worst finding is the worse. Findings that open says no to (agreed ones) count for nothing; nil: all are open.
func Needs(fs []*Finding, open func(*Finding) bool) []Need {
	type key struct {
		storey, bay string
		none        bool
	}
	at := map[key]int{}
	var needs []Need
	worst := []map[string]*Finding{} // by problem
	for _, f := range fs {
		k := key{storey: f.Storey, none: f.Bay == nil}
		if f.Bay != nil {
			k.bay = *f.Bay
		}
		i, ok := at[k]
		if !ok {
			i = len(needs)
			at[k] = i
			needs, worst = append(needs, Need{Bay: f.Bay, Storey: f.Storey}), append(worst, map[string]*Finding{})
		}
		if open != nil && !open(f) {
			continue
		}
		p := f.Problem()
		if w := worst[i][p]; w == nil || Worse(f, w) < 0 {
			worst[i][p] = f
		}
		if w := needs[i].Worst; w == nil || Worse(f, w) < 0 {
			needs[i].Worst = f
		}
	}
	for i := range needs {
		needs[i].Open = len(worst[i])
		for _, f := range worst[i] {
			needs[i].Points += costs[f.CostClass()].Points
		}
	}
	slices.SortStableFunc(needs, func(a, b Need) int {
		if c := cmp.Or(cmp.Compare(b.Points, a.Points), cmp.Compare(b.Open, a.Open)); c != 0 || a.Worst == nil || b.Worst == nil {
			return c
		}
		return Worse(a.Worst, b.Worst)
	})
	return needs
}
