package finding

import (
	"voidline/clash/figure"
	"voidline/void"
)

// Tried is what changes to a project come to.
type Tried struct {
	Changes []TriedCell `json:"changes"` // cells that are another than in the tables
	Cleared []Finding   `json:"cleared"` // findings that there are no more
	Made    []Finding   `json:"made"`    // that are new
	Worse   []Altered   `json:"worse"`   // that lack more than before
	Better  []Altered   `json:"better"`  // that lack less, and are still there
	Left    int         `json:"left"`    // how many are as they were
	// Parted are runs that come in other lengths with the changes than their supports in supports.csv say, and did not before.
	Parted []void.Parted `json:"parted"`

	Before, After *Result `json:"-"`
}

// TriedCell is a cell that is changed: of a zone or of a bay.
type TriedCell struct {
	Zone   string `json:"zone,omitempty"`
	Bay    string `json:"bay,omitempty"`
	Column string `json:"column"`
	From   string `json:"from"`
	To     string `json:"to"`
}

// Altered is a finding with its shortfall before and after, mm.
type Altered struct {
	Finding
	Before float64 `json:"before"`
	After  float64 `json:"after"`
}

// Harms reports whether something is new or worse, or a run is parted from its supports.
func (t *Tried) Harms() bool { return len(t.Made)+len(t.Worse)+len(t.Parted) > 0 }

// Compared says what became of the findings of one answer in another of the same project: worse and better are by more than what
// is let go.
func Compared(before, after *Result) *Tried {
	t := &Tried{Changes: []TriedCell{}, Cleared: []Finding{}, Made: []Finding{}, Worse: []Altered{}, Better: []Altered{}, Parted: []void.Parted{}, Before: before, After: after}
	was := map[string]*Finding{}
	for i := range before.Findings {
		was[before.Findings[i].ID] = &before.Findings[i]
	}
	for i := range after.Findings {
		f := &after.Findings[i]
		o, there := was[f.ID]
		delete(was, f.ID)
		switch {
		case !there:
			t.Made = append(t.Made, *f)
		case f.Short > o.Short+figure.Slack:
			t.Worse = append(t.Worse, Altered{*f, o.Short, f.Short})
		case f.Short < o.Short-figure.Slack:
			t.Better = append(t.Better, Altered{*f, o.Short, f.Short})
		default:
			t.Left++
		}
	}
	for i := range before.Findings {
		if f := &before.Findings[i]; was[f.ID] != nil {
			t.Cleared = append(t.Cleared, *f)
		}
	}
	return t
}
