package register

import (
	"cmp"
	"errors"
	"fmt"
	"slices"

	"voidline/clash/finding"
	"voidline/void"
)

// Turn is what became of a finding between two results.
type Turn string

// The turns, worst first.
const (
	TurnNew     Turn = "new"
	TurnBack    Turn = "back" // not in the old one, and a register knows it from before
	TurnWorse   Turn = "worse"
	TurnSame    Turn = "same"
	TurnBetter  Turn = "better"
	TurnCleared Turn = "cleared"
)

// Turns lists the turns, worst first.
func Turns() []Turn {
	return []Turn{TurnNew, TurnBack, TurnWorse, TurnSame, TurnBetter, TurnCleared}
}

// Change is a finding in one of two results, or in both.
type Change struct {
	Turn Turn
	// Old and New are nil where the finding is not in that result.
	Old, New *finding.Finding
	By       float64 // shortfall in the new less that in the old, mm; 0 where it is in one only
	Matched  bool    // the ids differ: matched by run, kinds and place
}

// Finding returns the newest of the two.
func (c *Change) Finding() *finding.Finding {
	if c.New != nil {
		return c.New
	}
	return c.Old
}

// TradeTurns counts changes of the findings of one trade (Whose).
type TradeTurns struct {
	Trade                                 string
	New, Back, Worse, Same, Better, Clear int
}

func (t *TradeTurns) add(turn Turn) {
	switch turn {
	case TurnNew:
		t.New++
	case TurnBack:
		t.Back++
	case TurnWorse:
		t.Worse++
	case TurnSame:
		t.Same++
	case TurnBetter:
		t.Better++
	case TurnCleared:
		t.Clear++
	}
}

// Comparison is what changed between two results.
type Comparison struct {
	Old, New *finding.Result
	Changes  []Change     // by turn, worst first; of one turn as in the results
	ByTrade  []TradeTurns // by trade, in alphabetical order
	All      TradeTurns   // Trade is ""
}

// Worse reports whether something is new, back or worse.
func (c *Comparison) Worse() bool { return c.All.New+c.All.Back+c.All.Worse > 0 }

// CompareOptions say how to compare.
type CompareOptions struct {
	// Touch is by how much, in mm, a shortfall must differ to be worse or better.
	Touch float64
	// Knows reports whether a register knows a finding from before; nil: there is no register, and
	// nothing is back.
	Knows func(id string) bool
	// Zone reports whether the new project has a zone of this id; nil: not known.
	Zone func(id string) bool
}

// ErrUnlike says that the two results are narrowed differently.
var ErrUnlike = errors.New("the two results are not limited in the same way")

// Compare compares two results. Findings are matched by id, then, where an id changed, by run, kinds and
// place as in a register. The results are not changed, and the changes point into them.
func Compare(old, new *finding.Result, opt CompareOptions) (*Comparison, error) {
	if old.Filter != new.Filter {
		say := func(f string) string {
			if f == "" {
				return "whole"
			}
			return "limited to " + f
		}
		return nil, fmt.Errorf("%w: the old one is %s, the new one is %s", ErrUnlike, say(old.Filter), say(new.Filter))
	}
	c := &Comparison{Old: old, New: new}
	was, is := map[string]*finding.Finding{}, map[string]bool{}
	for i := range old.Findings {
		was[old.Findings[i].ID] = &old.Findings[i]
	}
	var added, gone []*finding.Finding
	var addedMarks, goneMarks []mark
	both := func(o, n *finding.Finding, matched bool) {
		ch := Change{Turn: TurnSame, Old: o, New: n, By: n.Short - o.Short, Matched: matched}
		switch {
		case ch.By > opt.Touch+void.Hair:
			ch.Turn = TurnWorse
		case ch.By < -opt.Touch-void.Hair:
			ch.Turn = TurnBetter
		}
		c.Changes = append(c.Changes, ch)
	}
	for i := range new.Findings {
		f := &new.Findings[i]
		is[f.ID] = true
		if o, ok := was[f.ID]; ok {
			both(o, f, false)
			continue
		}
		added, addedMarks = append(added, f), append(addedMarks, markOf(f))
	}
	for i := range old.Findings {
		if f := &old.Findings[i]; !is[f.ID] {
			gone, goneMarks = append(gone, f), append(goneMarks, markOf(f))
		}
	}
	lost := func(id string) bool { return opt.Zone == nil || !opt.Zone(id) }
	known := func(_, j int) bool { return opt.Knows == nil || !opt.Knows(added[j].ID) }
	metOld, metNew := map[int]bool{}, map[int]bool{}
	for _, p := range pair(goneMarks, addedMarks, lost, known) {
		metOld[p.old], metNew[p.new] = true, true
		both(gone[p.old], added[p.new], true)
	}
	for j, f := range added {
		switch {
		case metNew[j]:
		case opt.Knows != nil && opt.Knows(f.ID):
			c.Changes = append(c.Changes, Change{Turn: TurnBack, New: f})
		default:
			c.Changes = append(c.Changes, Change{Turn: TurnNew, New: f})
		}
	}
	for j, f := range gone {
		if !metOld[j] {
			c.Changes = append(c.Changes, Change{Turn: TurnCleared, Old: f})
		}
	}
	c.sort()
	c.count()
	return c, nil
}

// sort puts changes in order: by turn, then as their findings stand in the new result, then the old.
func (c *Comparison) sort() {
	order := map[*finding.Finding]int{}
	for i := range c.New.Findings {
		order[&c.New.Findings[i]] = i
	}
	for i := range c.Old.Findings {
		order[&c.Old.Findings[i]] = len(c.New.Findings) + i
	}
	turns := Turns()
	slices.SortFunc(c.Changes, func(a, b Change) int {
		return cmp.Or(
			cmp.Compare(slices.Index(turns, a.Turn), slices.Index(turns, b.Turn)),
			cmp.Compare(order[a.Finding()], order[b.Finding()]),
		)
	})
}

func (c *Comparison) count() {
	byTrade := map[string]*TradeTurns{}
	for i := range c.Changes {
		ch := &c.Changes[i]
		t := ch.Finding().Mover()
		if byTrade[t] == nil {
			byTrade[t] = &TradeTurns{Trade: t}
		}
		byTrade[t].add(ch.Turn)
		c.All.add(ch.Turn)
	}
	for _, t := range byTrade {
		c.ByTrade = append(c.ByTrade, *t)
	}
	slices.SortFunc(c.ByTrade, func(a, b TradeTurns) int { return cmp.Compare(a.Trade, b.Trade) })
}
