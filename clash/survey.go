package clash

import (
	"context"
	"math"
	"slices"

	"voidline/clash/doubt"
	"voidline/clash/figure"
	"voidline/clash/tolerance"
	"voidline/void"
)

// MiscloseMost is how much the checks of a set-up back to the datum line may differ, mm, before it is told.
const MiscloseMost = 3.0

// Survey is what an answer says of what was found on site. Levels are above the storey's FFL, to the nearest 0.1 mm.
type Survey struct {
	Readings int      `json:"readings"` // rows of surveyed.csv with a level
	Blank    int      `json:"blank"`    // rows without one
	NotSeen  int      `json:"not_seen"` // of Blank, where nothing could be seen
	Days     []string `json:"days"`
	By       []string `json:"by"`
	Bays     int      `json:"bays"`     // bays whose soffit was read
	NotRead  []string `json:"not_read"` // the others: there what is drawn counts
	SetUps   []SetUp  `json:"set_ups"`
	// Differs is what was found elsewhere than drawn by more than its tolerance.
	Differs []Differs `json:"differs"`
	Follows []Follows `json:"follows"` // rows that follow what was found
	// Only is how many findings came only with the survey; nil where that was not asked.
	Only *int `json:"only_with_it,omitempty"`
}

// SetUp is a set-up of the instrument.
type SetUp struct {
	Name     string  `json:"name"`
	Storey   string  `json:"storey"`
	Checks   int     `json:"checks"`   // readings of the datum line
	Misclose float64 `json:"misclose"` // the highest of them less the lowest
}

// Differs is something that was found elsewhere than drawn.
type Differs struct {
	What      string  `json:"what"` // soffit, steel, ceiling, floor, zone
	Of        string  `json:"of"`   // the bay, or the id of the row
	Storey    string  `json:"storey"`
	Row       string  `json:"row"` // file:line of the reading
	Drawn     float64 `json:"drawn"`
	Found     float64 `json:"found"`
	Counts    float64 `json:"counts"` // what the check went by: Found, or Drawn where one reading cannot say that there is more room
	By        float64 `json:"by"`     // Found less Drawn
	Readings  int     `json:"readings"`
	Spread    float64 `json:"spread"` // of the readings, each against what is drawn at its place
	Tolerance float64 `json:"tolerance"`
}

// Follows is a row whose level is written relative to what was found elsewhere than drawn.
type Follows struct {
	Zone   string  `json:"zone"`
	Row    string  `json:"row"`
	Storey string  `json:"storey"`
	Level  string  `json:"level"` // as written
	By     float64 `json:"by"`    // the level now less as drawn; of a range its upper end where only that follows
	// Tolerance is how far off its level the row may be built: what it follows by no more than that is of no account.
	Tolerance float64 `json:"tolerance"`
}

// Tells reports whether the row follows by more than its tolerance.
func (f *Follows) Tells() bool { return math.Abs(f.By) > f.Tolerance+void.Hair }

// FoundTolerance returns how far off what is drawn a found level may be before it is told, mm.
func FoundTolerance(p *void.Project, f *void.Found) float64 {
	switch {
	case f.Zone >= 0:
		mm, _ := doubt.Tolerance(p, p.Zone(f.Zone))
		return mm
	case f.What == void.SurveyedCeiling:
		return tolerance.Default(tolerance.Ceiling).MM
	}
	return tolerance.Default(tolerance.Slab).MM
}

// surveyOf returns what is said of the survey of a project, nil where there is none.
func surveyOf(p *void.Project) *Survey {
	s := p.Survey()
	if s == nil {
		return nil
	}
	out := &Survey{
		Readings: s.Readings, Blank: s.Blank, NotSeen: s.NotSeen, Days: orNone(s.Days), By: orNone(s.By),
		NotRead: []string{}, SetUps: []SetUp{}, Differs: []Differs{}, Follows: []Follows{},
	}
	for _, u := range s.SetUps {
		out.SetUps = append(out.SetUps, SetUp{u.Name, p.Storeys[u.Storey].Name, u.Checks, figure.Tenth(u.Misclose)})
	}
	read := make([]bool, len(p.Bays))
	for i := range s.Found {
		f := &s.Found[i]
		d := Differs{What: string(f.What), Row: p.FileLine(f.Row), Readings: f.Readings, Spread: figure.Tenth(f.Spread), Tolerance: FoundTolerance(p, f)}
		var st *void.Storey
		if f.Bay >= 0 {
			d.Of, st = p.Bays[f.Bay].Label, &p.Storeys[p.Bays[f.Bay].Storey]
			read[f.Bay] = read[f.Bay] || f.What == void.SurveyedSoffit
		} else {
			z := p.Zone(f.Zone)
			d.Of, st = z.ID, &p.Storeys[z.Storey]
		}
		d.Storey = st.Name
		d.Drawn, d.Found, d.Counts = figure.Tenth(f.Drawn-st.FFL), figure.Tenth(f.Found-st.FFL), figure.Tenth(f.Counts-st.FFL)
		d.By = figure.Tenth(f.Found - f.Drawn)
		if math.Abs(f.Found-f.Drawn) > d.Tolerance+void.Hair {
			out.Differs = append(out.Differs, d)
		}
	}
	for j := range p.Bays {
		if read[j] {
			out.Bays++
		} else {
			out.NotRead = append(out.NotRead, p.Bays[j].Label)
		}
	}
	for i := range p.Zones() {
		z := p.Zone(i)
		if z.Gone || z.Surveyed() {
			continue
		}
		if by := p.Followed(z); math.Abs(by) > void.Hair {
			level := p.Row(i).Level
			mm, _ := doubt.Tolerance(p, z)
			out.Follows = append(out.Follows, Follows{z.ID, p.FileLine(z.At()), p.Storeys[z.Storey].Name, level.String(), figure.Tenth(by), mm})
		}
	}
	slices.SortFunc(out.Follows, func(a, b Follows) int { return void.Natural(a.Zone, b.Zone) })
	return out
}

func orNone(list []string) []string {
	if list == nil {
		return []string{}
	}
	return list
}

// foundAsDrawn returns the ids of what is found without the survey, whatever narrows the answer; nil where that is not asked or there is none.
func (c *Check) foundAsDrawn(ctx context.Context) (map[uint64]bool, error) {
	if !c.opt.Surveyed || !c.Project.HasSurvey() {
		return nil, nil
	}
	opt := c.opt
	opt.Bays, opt.Trades, opt.Only = nil, nil, nil
	opt.Tolerance, opt.Once, opt.Proved, opt.Excused, opt.Surveyed, opt.Progress = tolerance.AsDrawn, true, false, false, false, nil
	opt.Rules = c.builtIn
	a, err := Open(c.Project.AsDrawn(), opt).Answer(ctx)
	if err != nil {
		return nil, err
	}
	ids := make(map[uint64]bool, len(a.hits))
	for i := range a.hits {
		ids[a.hits[i].id] = true
	}
	return ids, nil
}

// onlySurveyed reports whether a finding came only with the survey.
func (a *Answer) onlySurveyed(x *hit) bool { return a.drawn != nil && !a.drawn[x.id] }

// survey says in the head of the answer what was found on site.
func (a *Answer) survey() {
	s := surveyOf(a.r.Project)
	if s != nil && a.drawn != nil {
		n := 0
		for i := range a.hits {
			if a.onlySurveyed(&a.hits[i]) {
				n++
			}
		}
		s.Only = &n
	}
	a.head.Survey = s
}
