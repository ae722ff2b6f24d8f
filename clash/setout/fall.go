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
	Run           *Run          // from the higher end down
	Turned        bool          // its stations count from the other end than those of the run that was asked for
	Falls         []float64     // by piece, mm per mm
	Drop          float64       // from end to end, mm
	Now           float64       // level of the line at the higher end as the tables have it
	Band          []r1.Interval // levels of the higher end at which the whole run is clear
	Start         *float64      // the nearest of them to what is preferred (as drawn), else the highest; nil where there is none
	Out           *RunsOut      // where it runs out of depth, nil where it does not
	Asked         []string      // levels that were asked for (min, max, start, end) without any one of which it fits
	AskedTogether bool          // it fits without all of them, and not without one
	Fits          *float64      // where it does not fit: the steepest fall, the same from end to end, with which it would
	Limits        []Limit       // levels of the line at the higher end that each bay allows
	Things        []Thing
	Usual         []string // the gradients that are usual for what it carries, with their sources
	Notes         []string // what the falls are against them
	// Into is where its lower end meets another length of the run (Drain); nil where it meets none.
	Into *Into

	Near *float64 // level that the higher end is to be near to; nil: as high as possible

	field Field
}

// Into is where one falling length drains into another.
type Into struct {
	Other int     // index of the other length
	Line  float64 // level of the other's line there, NaN where it has none
	Under float64 // how far the lower end lies under that: it does not drain; 0 where it does
	drop  float64 // of the other, from its higher end to there
}

// RunsOut is where the depth is used up: from the station on, what limits above and what limits below leave no start
// for both.
type RunsOut struct {
	At           float64
	Short        float64 // mm that are missing
	Above, Below Thing
}

// SetFall works out a falling run. fall is what it is laid to, from end to end; nil: each row keeps its own. Of the steps
// count the levels that are asked for: Min for the lower end, Max and Prefer for the higher. The run may come back
// turned round, so that it falls along its stations.
func SetFall(p *void.Project, c *clash.Check, run *Run, fall *float64, o Steps) *Fall {
	r := *run
	drop := 0.0
	for k := range r.Pieces {
		drop += pieceDrop(&r.Pieces[k])
	}
	if drop < 0 {
		r = r.turned()
		o.Start, o.End = o.End, o.Start
	}
	f := &Fall{Run: &r, Turned: drop < 0}
	f.Now = lineNow(&r, &r.Pieces[0])
	for k := range r.Pieces {
		pc := &r.Pieces[k]
		slope := math.Max(0, pieceDrop(pc)/(pc.To-pc.From))
		if fall != nil {
			slope = *fall
		}
		f.Falls = append(f.Falls, slope)
		f.Drop += slope * (pc.To - pc.From)
	}
	o = o.near(f.Now)
	f.Near = o.Prefer
	all := Field{Length: r.Length}
	all.Bars, f.Things = f.bars(p, c, f.Falls, o)
	f.Band = all.band(o.atStart(f.Drop))
	f.field = all
	if n := len(f.Band); n > 0 && !math.IsInf(f.Band[n-1].Hi, 1) {
		f.begin(p, choose(f.Band, o.atStart(f.Drop), p.Storeys[r.Storey].FFL))
	}
	if len(f.Band) == 0 {
		f.Out = runsOut(all.Bars, f.Things)
		f.Asked, f.AskedTogether = asked(o, func(s Steps) bool { return len(all.band(s.atStart(f.Drop))) > 0 })
		f.Fits = f.steepest(p, c, o)
	}
	f.Usual, f.Notes = gradients(p, &r, f.Falls)
	return f
}

// begin lays the run from a level of its higher end.
func (f *Fall) begin(p *void.Project, start float64) {
	f.Start = &start
	a := &Answer{Run: f.Run, Line: Line{Sections: []Section{{0, f.Run.Length, start}}}, Things: f.Things}
	f.Limits = limits(p, &f.field, f.Run, a)
}

// Drain fits the falling lengths that a run comes in to each other, where the lower end of one meets another: each lies
// where the lengths that drain into it can end on its line, or no higher than they allow, and each that drains into another with its lower end not under the
// other's line, as low as that leaves it: it joins the other there. falls has nil for lengths that do not fall. Where there is no such level a length
// stays as it is, and says how far it is off.
func Drain(p *void.Project, runs []Run, falls []*Fall) {
	joints := Joints(runs)
	for k, f := range falls {
		if f == nil {
			continue
		}
		for _, j := range joints[k] {
			o := falls[j.Other]
			if o == nil || (j.End > 0) == f.Turned || o.Into != nil && o.Into.Other == k {
				continue // its higher end, or the two meet end to end
			}
			at := j.Station
			if o.Turned {
				at = o.Run.Length - at
			}
			drop := 0.0
			for i := range o.Run.Pieces {
				c := &o.Run.Pieces[i]
				drop += o.Falls[i] * (math.Min(math.Max(at, c.From), c.To) - c.From)
			}
			f.Into = &Into{Other: j.Other, drop: drop, Line: math.NaN()}
			break
		}
	}
	// Where each may begin so that what drains into it can end on its line; where that leaves nothing, what drains in has to come
	// down from higher up.
	bands := make([][]r1.Interval, len(falls))
	var joined func(k int) []r1.Interval
	joined = func(k int) []r1.Interval {
		if bands[k] != nil {
			return bands[k]
		}
		bands[k] = falls[k].Band
		for i, f := range falls {
			if f == nil || f.Into == nil || f.Into.Other != k || f.Start == nil {
				continue
			}
			var both, under []r1.Interval
			for _, v := range lifted(joined(i), f.Into.drop-f.Drop) {
				both = append(both, within(bands[k], v)...)
				under = append(under, within(bands[k], r1.Interval{Lo: math.Inf(-1), Hi: v.Hi})...)
			}
			switch {
			case len(both) > 0:
				bands[k] = both
			case len(under) > 0:
				bands[k] = under
			}
		}
		return bands[k]
	}
	laid := make([]bool, len(falls))
	var lay func(k int)
	lay = func(k int) {
		f := falls[k]
		if laid[k] || f == nil || f.Start == nil {
			return
		}
		laid[k] = true
		ffl := p.Storeys[f.Run.Storey].FFL
		if f.Into == nil {
			if band := joined(k); len(within(band, r1.Interval{Lo: *f.Start, Hi: *f.Start})) == 0 {
				f.begin(p, choose(band, Steps{Prefer: f.Near, AsDrawn: true}, ffl))
			}
			return
		}
		lay(f.Into.Other)
		o := falls[f.Into.Other]
		if o.Start == nil {
			return
		}
		f.Into.Line = *o.Start - f.Into.drop
		in := r1.Interval{Lo: f.Into.Line + f.Drop, Hi: math.Inf(1)}
		if band := within(joined(k), in); len(band) > 0 {
			v := band[0]
			z := ffl + math.Ceil(v.Lo-ffl-1e-9)
			if z > v.Hi {
				z = v.Lo
			}
			f.begin(p, z)
		}
		f.Into.Under = math.Max(0, f.Into.Line-(*f.Start-f.Drop))
		if f.Into.Under < 1e-3 {
			f.Into.Under = 0
		}
	}
	for k := range falls {
		lay(k)
	}
}

// atStart returns the steps for the level of the higher end.
func (o Steps) atStart(drop float64) Steps {
	up := func(z *float64) *float64 {
		if z == nil {
			return nil
		}
		v := *z + drop
		return &v
	}
	s := Steps{Min: up(o.Min), Max: o.Max, Start: o.Start, Prefer: o.Prefer, AsDrawn: o.AsDrawn}
	if o.End != nil {
		if s.Start == nil {
			s.Start = up(o.End)
		} else if math.Abs(*s.Start-*o.End-drop) > void.Hair {
			never := math.Inf(1) // the two ends do not go together
			s.Start = &never
		}
	}
	return s
}

// bars gathers the levels of the higher end that are forbidden, were the pieces laid to falls, and what forbids them.
func (f *Fall) bars(p *void.Project, c *clash.Check, falls []float64, o Steps) ([]Bar, []Thing) {
	r := f.Run
	var bars []Bar
	var things []Thing
	z := 0.0 // of the line under that of the higher end
	for k := range r.Pieces {
		pc := &r.Pieces[k]
		down := falls[k] * (pc.To - pc.From)
		b := r.part(pc, pc.From, pc.To, f.Now-z, f.Now-z-down)
		for _, x := range c.Bars(pc.Zone, b) {
			o.keepAbove(&x)
			bar := Bar{From: pc.From + x.From, To: pc.From + x.To, Lo: f.Now + x.Lo, Hi: f.Now + x.Hi, Open: lifted(x.Open, f.Now), Of: len(things)}
			if pc.Reversed {
				bar.From, bar.To = pc.To-x.To, pc.To-x.From
			}
			bars = append(bars, bar)
			things = append(things, thing(p, x, pc.Zone, f.Now))
		}
		for i := range r.Items {
			it := &r.Items[i]
			s := (it.From + it.To) / 2
			if s < pc.From || s >= pc.To && k+1 < len(r.Pieces) {
				continue
			}
			// It keeps its height to the line: what the tables have there, and what this start would have.
			now := lineNow(r, pc) - pieceDrop(pc)*(s-pc.From)/(pc.To-pc.From)
			start := now + z + falls[k]*(s-pc.From)
			for _, x := range c.Bars(it.Zone, it.Bare) {
				bars = append(bars, Bar{
					From: math.Max(0, it.From-x.Asked), To: math.Min(r.Length, it.To+x.Asked), Lo: start + x.Lo, Hi: start + x.Hi,
					Open: lifted(x.Open, start), Of: len(things),
				})
				things = append(things, thing(p, x, it.Zone, start))
			}
		}
		z += down
	}
	return bars, things
}

// steepest finds the steepest fall, the same from end to end, no steeper than the steepest of the run, with which it fits,
// by halving between that and level; nil where it does not fit level either. It is told to a tenth of mm/m, downwards.
func (f *Fall) steepest(p *void.Project, c *clash.Check, o Steps) *float64 {
	fits := func(slope float64) bool {
		even := make([]float64, len(f.Falls))
		drop := 0.0
		for k := range even {
			even[k] = slope
			drop += slope * (f.Run.Pieces[k].To - f.Run.Pieces[k].From)
		}
		all := Field{Length: f.Run.Length}
		all.Bars, _ = f.bars(p, c, even, o)
		return len(all.band(o.atStart(drop))) > 0
	}
	lo, hi := 0.0, slices.Max(f.Falls)
	if !fits(lo) {
		return nil
	}
	for hi-lo > 2e-5 {
		if m := (lo + hi) / 2; fits(m) {
			lo = m
		} else {
			hi = m
		}
	}
	if v := math.Floor(lo*1e4) / 1e4; fits(v) {
		lo = v
	}
	return &lo
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

// gradient is a usual fall of a service, mm/m; most 0: not bounded; across: pipes of that outside diameter and more, mm.
type gradient struct {
	service     string
	across      float64
	least, most float64
	says        string
}

// usualGradients are from the tables of the codes, as far as they are sure; they ask, they never refuse: how many
// appliances drain through a pipe is not in the tables. Of a service the last that its pipe is wide enough for counts.
func usualGradients() []gradient {
	return []gradient{
		{"soil", 0, 12.5, 90, "12.5 mm/m (1 in 80) for a drain of 100 with a WC (Approved Document H Table 6, as quoted in two drainage guides); " +
			"a WC branch 18 to 90 (Table 2, as quoted)"},
		{"soil", 150, 6.67, 90, "6.67 mm/m (1 in 150) for a drain of 150 with five WCs (Approved Document H Table 6, as quoted in two drainage guides)"},
		{"waste", 0, 18, 90, "18 to 90 mm/m for a branch (Approved Document H Table 2, from memory)"},
		{"condensate drain", 0, 10, 0, "10 mm/m (1 in 100) for a fan coil or cassette, 20 preferred (common practice, no source); " +
			"a boiler's 45 (BS 6798 practice, as quoted)"},
		{"rainwater", 0, 10, 0, "10 mm/m inside a building (common practice, no source); a siphonic system runs level"},
	}
}

// Gradient is a usual fall of a service.
type Gradient struct {
	Service     string
	Across      float64 // mm outside, from which on it holds
	Least, Most float64 // mm/m; most 0: not bounded
	Source      string
}

// Gradients returns the usual falls with which falling runs are compared.
func Gradients() []Gradient {
	var out []Gradient
	for _, g := range usualGradients() {
		out = append(out, Gradient{g.service, g.across, g.least, g.most, g.says})
	}
	return out
}

// gradients compares the falls with the usual ones.
func gradients(p *void.Project, r *Run, falls []float64) (usual, notes []string) {
	for k := range r.Pieces {
		z := p.Zone(r.Pieces[k].Zone)
		service := p.Character(z.Char).Service
		var g gradient
		for _, q := range usualGradients() {
			if q.service == service && sectionHeight(z.Bare()) >= q.across {
				g = q
			}
		}
		if g.service == "" {
			continue
		}
		if said := "usual for " + service + ": " + g.says; !slices.Contains(usual, said) {
			usual = append(usual, said)
		}
		switch mm := falls[k] * 1000; {
		case mm < g.least-0.005:
			notes = append(notes, fmt.Sprintf("%s falls %.4g mm/m, less than is usual for %s. Ask the designer.", z.ID, mm, service))
		case g.most > 0 && mm > g.most+0.005:
			notes = append(notes, fmt.Sprintf("%s falls %.4g mm/m, more than is usual for %s. Ask the designer.", z.ID, mm, service))
		}
	}
	return usual, notes
}
