package register

import (
	"cmp"
	"math"
	"slices"
	"strings"
	"time"

	"voidline/clash/finding"
)

// days returns how many days a date is before another; less than 0 where it is after it, 0 where one of them is no date.
func (d Date) days(until Date) int {
	a, err := time.Parse(dayLayout, string(d))
	b, err2 := time.Parse(dayLayout, string(until))
	if err != nil || err2 != nil {
		return 0
	}
	return int(math.Round(b.Sub(a).Hours() / 24))
}

// Overdue returns by how many days an entry is past its due date; 0 where it is not, has none, or wants nothing any more (agreed, cleared).
func (e *Entry) Overdue(on Date) int {
	if e.Due == "" || e.State == Agreed || e.State == Cleared {
		return 0
	}
	return max(0, e.Due.days(on))
}

// Owner is somebody as the register names who settles a finding, and what is open with them, in problems.
type Owner struct {
	Name    string // as first written; "": nobody is named
	Open    int    // problems open or back
	Overdue int    // of these, that are past a due date
	Days    int    // by how many days the one that is longest past it is
	Due     Date   // the earliest due date of what is open, past or to come; "" for none
	// Weeks are how many problems were open or back at the end of each week, oldest first, as Trend has its weeks. They go by the owner of
	// today: the register does not say who it was before.
	Weeks []int
}

// Owners returns who has what open, the most first; nobody named last. Owners whose names differ by case alone are one. weeks is how
// many weeks are looked back.
func (o *Outcome) Owners(weeks int) []Owner {
	problems := o.problems()
	index := map[string]int{}
	var out []Owner
	var open, late []map[string]bool // by owner: the problems
	past := [][]map[string]bool{}    // and those of each week
	for i := range o.Entries {
		e := &o.Entries[i]
		k := strings.ToLower(Clean(e.Owner))
		who, ok := index[k]
		if !ok {
			who = len(out)
			index[k] = who
			out = append(out, Owner{Name: Clean(e.Owner), Weeks: make([]int, max(0, weeks))})
			open, late = append(open, map[string]bool{}), append(late, map[string]bool{})
			w := make([]map[string]bool, max(0, weeks))
			for j := range w {
				w[j] = map[string]bool{}
			}
			past = append(past, w)
		}
		events := e.events()
		for j := range past[who] {
			if s := at(events, o.Date.Add(-7*(weeks-1-j))); s == Open || s == Back {
				past[who][j][problems[i]] = true
			}
		}
		if e.State != Open && e.State != Back {
			continue
		}
		open[who][problems[i]] = true
		if d := e.Overdue(o.Date); d > 0 {
			late[who][problems[i]] = true
			out[who].Days = max(out[who].Days, d)
		}
		if e.Due != "" && (out[who].Due == "" || e.Due < out[who].Due) {
			out[who].Due = e.Due
		}
	}
	for i := range out {
		out[i].Open, out[i].Overdue = len(open[i]), len(late[i])
		for j := range past[i] {
			out[i].Weeks[j] = len(past[i][j])
		}
	}
	out = slices.DeleteFunc(out, func(w Owner) bool { return w.Open == 0 })
	slices.SortStableFunc(out, func(a, b Owner) int {
		last := func(w Owner) int {
			if w.Name == "" {
				return 1
			}
			return 0
		}
		return cmp.Or(cmp.Compare(last(a), last(b)), cmp.Compare(b.Open, a.Open), cmp.Compare(b.Days, a.Days), strings.Compare(a.Name, b.Name))
	})
	return out
}

// problems returns for each entry the problem that it is of. What is gone and had both ends in a run, storey and bay of one that is there
// is of that problem.
func (o *Outcome) problems() []string {
	out := make([]string, len(o.Entries))
	known := map[string]string{}
	plain := func(f *finding.Finding) string {
		g := *f
		g.ProblemID = ""
		return g.Problem()
	}
	for i := range o.Entries {
		if f := o.Entries[i].Now; f != nil {
			out[i] = f.Problem()
			known[plain(f)] = out[i]
		}
	}
	for i := range o.Entries {
		if out[i] != "" {
			continue
		}
		f := o.Rows[o.Entries[i].Row].Finding()
		out[i] = f.Problem()
		if p, ok := known[out[i]]; ok {
			out[i] = p
		}
	}
	return out
}

// WeeksOpen returns how many problems were open or back at the end of each of the last weeks, oldest first.
func (o *Outcome) WeeksOpen(weeks int) []int {
	problems := o.problems()
	out := make([]int, max(0, weeks))
	for j := range out {
		open := map[string]bool{}
		for i := range o.Entries {
			if s := at(o.Entries[i].events(), o.Date.Add(-7*(weeks-1-j))); s == Open || s == Back {
				open[problems[i]] = true
			}
		}
		out[j] = len(open)
	}
	return out
}

// events returns the history of an entry; of one that cannot be read, what its dates say: open from the first on, in its state from
// the last.
func (e *Entry) events() []Event {
	if len(e.History) > 0 || e.First == "" {
		return e.History
	}
	events := []Event{{e.First, Open}}
	if e.State != Open && e.Last >= e.First {
		events = append(events, Event{e.Last, e.State})
	}
	return events
}
