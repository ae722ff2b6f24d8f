package setout

import (
	"fmt"
	"math"
	"slices"

	"github.com/golang/geo/r1"

	"voidline/clash"
	"voidline/void"
)

// Fall is how a falling run is set out: every row keeps its fall and follows the one before. Levels are of the line at the
// higher end, above the project datum.
type Fall struct {
	Run    *Run          // from the higher end down
	Falls  []float64     // by piece, mm per mm
	Drop   float64       // from end to end, mm
	Now    float64       // level of the line at the higher end as the tables have it
	Band   []r1.Interval // levels of the higher end at which the whole run is clear
	Start  *float64      // the highest of them, nil where there is none
	Out    *RunsOut      // where it runs out of depth, nil where it does not
	Limits []Limit       // levels of the line at the higher end that each bay allows
	Things []Thing
	Notes  []string // what the falls are against usual gradients
}

// RunsOut is where the depth is used up: from the station on, what limits above and what limits below leave no start
// for both.
type RunsOut struct {
	At           float64
	Short        float64 // mm that are missing
	Above, Below Thing
}

// SetFall works out a falling run. fall is what it is laid to, from end to end; nil: each row keeps its own. The run may
// come back turned round, so that it falls along its stations.
func SetFall(p *void.Project, c *clash.Check, run *Run, fall *float64) *Fall {
	r := *run
	drop := 0.0
	for k := range r.Pieces {
		drop += pieceDrop(&r.Pieces[k])
	}
	if drop < 0 {
		r = r.turned()
	}
	f := &Fall{Run: &r}
	z := 0.0 // of the line under that of the higher end
	first := &r.Pieces[0]
	f.Now = lineNow(&r, first)
	var bars []Bar
	for k := range r.Pieces {
		pc := &r.Pieces[k]
		slope := math.Max(0, pieceDrop(pc)/(pc.To-pc.From))
		if fall != nil {
			slope = *fall
		}
		f.Falls = append(f.Falls, slope)
		down := slope * (pc.To - pc.From)
		b := r.part(pc, pc.From, pc.To, f.Now-z, f.Now-z-down)
		for _, x := range c.Bars(pc.Zone, b) {
			bar := Bar{From: pc.From + x.From, To: pc.From + x.To, Lo: f.Now + x.Lo, Hi: f.Now + x.Hi, Open: lifted(x.Open, f.Now), Of: len(f.Things)}
			if pc.Reversed {
				bar.From, bar.To = pc.To-x.To, pc.To-x.From
			}
			bars = append(bars, bar)
			f.Things = append(f.Things, thing(p, x, pc.Zone))
		}
		z += down
	}
	f.Drop = z
	all := Field{Length: r.Length, Bars: bars}
	f.Band = all.Band(Steps{})
	if n := len(f.Band); n > 0 && !math.IsInf(f.Band[n-1].Hi, 1) {
		s := wholeIn(f.Band[n-1].Hi, f.Band[n-1], p.Storeys[r.Storey].FFL)
		f.Start = &s
		a := &Answer{Run: &r, Line: Line{Sections: []Section{{0, r.Length, s}}}, Things: f.Things}
		f.Limits = limits(p, &all, &r, a)
	}
	if len(f.Band) == 0 {
		f.Out = runsOut(bars, f.Things)
	}
	f.Notes = gradients(p, &r, f.Falls)
	return f
}

// pieceDrop returns how far a piece drops along the run, mm.
func pieceDrop(c *Piece) float64 {
	d := -2 * c.Bare.Along.Z
	if c.Reversed {
		return -d
	}
	return d
}

// lineNow returns the level of the line at the run's start as it stands in the tables.
func lineNow(r *Run, c *Piece) float64 {
	b := c.Bare
	end := b.Start()
	if c.Reversed {
		end = b.End()
	}
	half := sectionHeight(b) / 2
	if b.Round {
		half *= math.Hypot(1, b.Along.Z/math.Hypot(b.Along.X, b.Along.Y))
	}
	return end.Z - half + r.faceAbove(b)*half*2/sectionHeight(b)
}

// turned returns the run from its other end.
func (r Run) turned() Run {
	t := r
	t.Pieces, t.Items, t.Corners = nil, nil, nil
	for _, c := range slices.Backward(r.Pieces) {
		c.From, c.To, c.Reversed = r.Length-c.To, r.Length-c.From, !c.Reversed
		t.Pieces = append(t.Pieces, c)
	}
	for _, c := range slices.Backward(r.Items) {
		c.From, c.To = r.Length-c.To, r.Length-c.From
		t.Items = append(t.Items, c)
	}
	for _, s := range slices.Backward(r.Corners) {
		t.Corners = append(t.Corners, r.Length-s)
	}
	return t
}

// runsOut finds the first station at which no start is left: bars are taken in the order in which the run comes to
// them.
func runsOut(bars []Bar, things []Thing) *RunsOut {
	order := slices.Clone(bars)
	slices.SortStableFunc(order, func(a, b Bar) int {
		switch {
		case a.From < b.From:
			return -1
		case a.From > b.From:
			return 1
		}
		return 0
	})
	free := []r1.Interval{{Lo: math.Inf(-1), Hi: math.Inf(1)}}
	for i := range order {
		for _, q := range order[i].levelParts() {
			free = without(free, q)
		}
		if len(free) > 0 {
			continue
		}
		// What holds it above and below: of the bars so far, the pair that lacks least.
		best := &RunsOut{At: order[i].From, Short: math.Inf(1)}
		for a := range order[:i+1] {
			for b := range order[:i+1] {
				if d := order[b].Hi - order[a].Lo; a != b && order[b].Lo <= order[a].Lo && d > 0 && d < best.Short {
					best.Short, best.Above, best.Below = d, things[order[a].Of], things[order[b].Of]
				}
			}
		}
		return best
	}
	return nil
}

// gradient is a usual fall of a service, mm/m; Most 0: not bounded.
type gradient struct {
	service     string
	least, most float64
	says        string
}

// Falls from the tables of the codes; they ask, they never refuse: how many appliances drain through a pipe is not
// in the tables.
func usualGradients() []gradient {
	return []gradient{
		{"soil", 12.5, 90, "12.5 mm/m (1 in 80) for a 100 mm drain with a WC (Approved Document H Table 6, as quoted in two drainage guides); a WC branch 18 to 90 (Table 2, as quoted)"},
		{"waste", 18, 90, "18 to 90 mm/m for a branch (Approved Document H Table 2, from memory)"},
		{"condensate", 10, 0, "10 mm/m (1 in 100) for a fan coil or cassette, 20 preferred (common practice, no source); a boiler's 45 (BS 6798 practice, as quoted)"},
		{"rainwater", 10, 0, "10 mm/m inside a building (common practice, no source); a siphonic system runs level"},
	}
}

// gradients compares the falls with the usual ones.
func gradients(p *void.Project, r *Run, falls []float64) []string {
	var out []string
	for k := range r.Pieces {
		z := p.Zone(r.Pieces[k].Zone)
		service := p.Character(z.Char).Service
		for _, g := range usualGradients() {
			mm := falls[k] * 1000
			if g.service != service {
				continue
			}
			switch {
			case mm < g.least-0.005:
				out = append(out, fmt.Sprintf("%s falls %.4g mm/m, less than is usual for %s: %s. Ask the designer.", z.ID, mm, service, g.says))
			case g.most > 0 && mm > g.most+0.005:
				out = append(out, fmt.Sprintf("%s falls %.4g mm/m, more than is usual for %s: %s. Ask the designer.", z.ID, mm, service, g.says))
			}
		}
	}
	return out
}
