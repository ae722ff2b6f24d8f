package clash

import (
	"context"
	"math"
	"slices"

	"voidline/clash/book"
	"voidline/clash/doubt"
	"voidline/clash/figure"
	"voidline/clash/finding"
	"voidline/clash/tolerance"
	"voidline/void"
)

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
func surveyOf(p *void.Project) *finding.Survey {
	s := p.Survey()
	if s == nil {
		return nil
	}
	out := &finding.Survey{
		Readings: s.Readings, Blank: s.Blank, NotSeen: s.NotSeen, Days: orNone(s.Days), By: orNone(s.By),
		NotRead: []string{}, SetUps: []finding.SetUp{}, Differs: []finding.Differs{}, Follows: []finding.Follows{},
	}
	for _, u := range s.SetUps {
		out.SetUps = append(out.SetUps, finding.SetUp{Name: u.Name, Storey: p.Storeys[u.Storey].Name, Checks: u.Checks, Misclose: figure.Tenth(u.Misclose)})
	}
	read := make([]bool, len(p.Bays))
	for i := range s.Found {
		f := &s.Found[i]
		d := finding.Differs{What: string(f.What), Row: p.FileLine(f.Row), Readings: f.Readings, Spread: figure.Tenth(f.Spread), Tolerance: FoundTolerance(p, f)}
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
			out.Follows = append(out.Follows, finding.Follows{
				Zone: z.ID, Row: p.FileLine(z.At()), Storey: p.Storeys[z.Storey].Name, Level: level.String(), By: figure.Tenth(by), Tolerance: mm,
			})
		}
	}
	slices.SortFunc(out.Follows, func(a, b finding.Follows) int { return void.Natural(a.Zone, b.Zone) })
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
		ids[a.hits[i].ID] = true
	}
	return ids, nil
}

// onlySurveyed reports whether a finding came only with the survey.
func (a *Answer) onlySurveyed(x *book.Hit) bool { return a.drawn != nil && !a.drawn[x.ID] }

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
