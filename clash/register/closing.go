package register

import (
	"cmp"
	"slices"

	"voidline/clash/finding"
	"voidline/void"
)

// Closing is what a check can say of a bay before its ceiling is closed. That it lists nothing is no leave to close it: tests, insulation,
// fire stopping, labels and inspections are not in the tables.
type Closing struct {
	Storey, Bay string   // Bay as it is named; Label where two storeys use the name
	Label       string   //
	NoCeiling   bool     // it has none, or nobody said
	Open        int      // problems that are open or back; one that reaches into several bays counts in each where it has a finding
	Agreed      int      // problems that stand as agreed
	AgreedBy    []string // by whom, as the register names them
	Holes       []int    // numbers of the holes for which no opening is given yet
	Joints      int      // joints of runs to put right
	Surveyed    []string // soffit, ceiling, floor: what was found on site; nil: nothing, it is as drawn
	Day         string   // the last day on which it was, as written
}

// Closings returns what is said of every bay of a project, storey by storey from the lowest up, bays by name. o is the register brought
// up to date with the same result; nil: there is none, and all problems are open.
func Closings(p *void.Project, res *finding.Result, o *Outcome) []Closing {
	states := map[string]*Entry{}
	if o != nil {
		for i := range o.Entries {
			states[o.Entries[i].ID] = &o.Entries[i]
		}
	}
	type key struct{ storey, label string }
	at := map[key]int{}
	out := make([]Closing, len(p.Bays))
	for i := range p.Bays {
		b := &p.Bays[i]
		s := p.Storeys[b.Storey].Name
		out[i] = Closing{Storey: s, Bay: b.Name, Label: b.Label, NoCeiling: !b.HasCeiling}
		at[key{s, b.Label}] = i
	}
	of := func(storey string, bay *string) *Closing {
		if bay == nil {
			return nil
		}
		if i, ok := at[key{storey, *bay}]; ok {
			return &out[i]
		}
		return nil
	}
	open, agreed := map[*Closing]map[string]bool{}, map[*Closing]map[string]bool{}
	put := func(to map[*Closing]map[string]bool, c *Closing, problem string) {
		if to[c] == nil {
			to[c] = map[string]bool{}
		}
		to[c][problem] = true
	}
	for i := range res.Findings {
		f := &res.Findings[i]
		c := of(f.Storey, f.Bay)
		if c == nil {
			continue
		}
		if e := states[f.ID]; e != nil && e.State == Agreed {
			put(agreed, c, f.Problem())
			if by := Clean(e.AgreedBy); by != "" && !slices.Contains(c.AgreedBy, by) {
				c.AgreedBy = append(c.AgreedBy, by)
			}
			continue
		}
		put(open, c, f.Problem())
	}
	for c, problems := range agreed {
		for problem := range problems {
			if !open[c][problem] {
				c.Agreed++
			}
		}
	}
	for c, problems := range open {
		c.Open = len(problems)
	}
	for i := range res.BuildersWork {
		if h := &res.BuildersWork[i]; of(h.Storey, h.Bay) != nil {
			c := of(h.Storey, h.Bay)
			c.Holes = append(c.Holes, h.Number)
		}
	}
	for i := range res.Joints {
		if c := of(res.Joints[i].Storey, res.Joints[i].Bay); c != nil {
			c.Joints++
		}
	}
	if s := p.Survey(); s != nil {
		for i := range s.Found {
			f := &s.Found[i]
			if f.Bay < 0 {
				continue
			}
			c := &out[f.Bay]
			if what := string(f.What); !slices.Contains(c.Surveyed, what) {
				c.Surveyed = append(c.Surveyed, what)
			}
			c.Day = max(c.Day, f.Day)
		}
	}
	place := make([]int, len(out))
	for i := range place {
		place[i] = i
		slices.Sort(out[i].AgreedBy)
	}
	slices.SortStableFunc(place, func(i, j int) int {
		return cmp.Or(cmp.Compare(p.Bays[i].Storey, p.Bays[j].Storey), void.Natural(p.Bays[i].Name, p.Bays[j].Name))
	})
	sorted := make([]Closing, len(out))
	for k, i := range place {
		sorted[k] = out[i]
	}
	return sorted
}
