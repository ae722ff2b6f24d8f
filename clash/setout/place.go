package setout

import (
	"cmp"
	"math"
	"slices"

	"voidline/clash"
	"voidline/clash/figure"
	"voidline/clash/rules"
	"voidline/void"
	"voidline/void/cell"
)

// place puts each set where it has room to spare, and says from where to where it may begin. It stands as near as that
// allows to where it stands: sets up early, sets down late, so that of two levels the higher one is kept as long as may be; of a run that is
// struck from the line of a floor that which is nearer to the line.
func (a *Answer) place(p *void.Project, c *clash.Check, f *Field, o Steps) {
	l := &a.Line
	for i := range l.Steps {
		lo, hi := a.room(p, c, f, o, i, true)
		st := &l.Steps[i]
		length := st.To - st.From
		in := node{lo + margin(hi-lo), hi - margin(hi-lo)}
		late := st.Rise < 0
		if a.square {
			late = math.Abs(l.Sections[i].Level-*o.Prefer) < math.Abs(l.Sections[i+1].Level-*o.Prefer)
		}
		x := in.lo
		if late {
			x = in.hi
		}
		for _, unit := range []float64{whole5, 1} {
			n := math.Ceil(x/unit - 1e-9)
			if late {
				n = math.Floor(x/unit + 1e-9)
			}
			if y := n * unit; in.lo-1e-9 <= y && y <= in.hi+1e-9 {
				x = y
				break
			}
		}
		st.From, st.To = x, x+length
		l.Sections[i].To, l.Sections[i+1].From = st.From, st.To
	}
	for i := range l.Steps {
		l.Steps[i].Earliest, l.Steps[i].Latest = a.room(p, c, f, o, i, false)
	}
}

// room returns from where to where step i may begin, the others as they are, all of it about where it begins now.
//
// Each bar forbids one interval of stations to the set with the level lengths at its two ends. As the field has the bar it is square;
// what stands there may be round, or askew, or ask for room all round: there the check is asked, at stations from where
// the square begins to where it ends, and between the last that is clear and the first that is not by halving.
//
// Where a rule counts over a length (room to lay cables under a soffit, a hot pipe beside cables), or along one side, the pair alone does
// not say it: there the check is asked of the set with the level lengths at its ends, and of what all lengths of the run come to
// together. A way through an opening, what a maker asks and the room that the run keeps above itself keep the square: there what is told may be narrower than what the check
// would let pass, never wider. atOnce keeps it for rules that count over a length too: a set is put where they are met outright, though it
// might dip into their room over less.
func (a *Answer) room(p *void.Project, c *clash.Check, f *Field, o Steps, i int, atOnce bool) (lo, hi float64) {
	l := &a.Line
	st := &l.Steps[i]
	home, land := &l.Sections[i], &l.Sections[i+1]
	length := st.To - st.From
	lo, hi = f.between(l, i, o)
	before, past := overhang(st.Rise, length, f.Up, f.Down)
	type limit struct {
		node
		bar *Bar
	}
	var early, late []limit // before and after where it begins now
	add := func(from, to float64, b *Bar) {
		switch {
		case to <= from:
		case math.Abs(to-st.From) <= void.Hair || to < st.From:
			early = append(early, limit{node{from, to}, b})
		case from >= st.From-void.Hair:
			late = append(late, limit{node{from, to}, b})
		case st.From-from < to-st.From: // it stands a little in a square that nothing fills there
			late = append(late, limit{node{st.From, to}, b})
		default:
			early = append(early, limit{node{from, st.From}, b})
		}
	}
	for _, s := range f.Corners {
		add(s-math.Max(o.Straight, past)-length, s+math.Max(o.Straight, before), nil)
	}
	for _, v := range f.Rests {
		add(v.Lo-past-length, v.Hi+before, nil)
	}
	for k := range f.Bars {
		b := &f.Bars[k]
		if b.Still {
			add(b.From-past-length, b.To+before, nil)
		}
		from, to := math.Inf(1), math.Inf(-1)
		if u1, u2, ok := passes(st.Low, st.High, length, b); ok {
			from, to = b.From-u2, b.To-u1
		}
		if b.forbids(st.Low) && b.To > home.From+void.Hair {
			from, to = math.Min(from, b.From), math.Inf(1)
		}
		if b.forbids(st.High) && b.From < land.To-void.Hair {
			from, to = math.Inf(-1), math.Max(to, b.To-length)
		}
		add(from, to, b)
	}
	slices.SortFunc(early, func(x, y limit) int { return cmp.Compare(y.hi, x.hi) })
	slices.SortFunc(late, func(x, y limit) int { return cmp.Compare(x.lo, y.lo) })
	for _, x := range late {
		if x.lo >= hi {
			break
		}
		hi = math.Min(hi, a.reached(p, c, i, x.bar, x.lo, math.Min(x.hi, hi), atOnce))
	}
	for _, x := range early {
		if x.hi <= lo {
			break
		}
		lo = math.Max(lo, a.reached(p, c, i, x.bar, x.hi, math.Max(x.lo, lo), atOnce))
	}
	return math.Min(lo, st.From), math.Max(hi, st.From)
}

// forbids reports whether a bar forbids a level line.
func (b *Bar) forbids(z float64) bool {
	return b.Lo < z-void.Hair && z+void.Hair < b.Hi && !b.isOpen(z)
}

// reached returns how far step i may be moved into a bar's square, from where it is clear towards where it is not.
func (a *Answer) reached(p *void.Project, c *clash.Check, i int, b *Bar, from, to float64, atOnce bool) float64 {
	if b == nil || b.Of < 0 {
		return from
	}
	t := &a.Things[b.Of]
	pair := t.Zone >= 0 && !t.Over && t.Side != cell.OneSide // the pair alone says it
	if t.Basis == rules.Maker || len(b.Open) > 0 || !pair && atOnce {
		return from
	}
	if a.square || t.kept || a.elsewhere(*t) {
		return from // it is not asked, the check knows nothing of it, or the thing is not where it would be measured
	}
	m := *a
	m.Line.Sections, m.Line.Steps = slices.Clone(a.Line.Sections), slices.Clone(a.Line.Steps)
	st := &m.Line.Steps[i]
	length := st.To - st.From
	clear := func(x float64) bool {
		st.From, st.To = x, x+length
		m.Line.Sections[i].To, m.Line.Sections[i+1].From = x, x+length
		part := Line{Sections: m.Line.Sections[i : i+2], Steps: m.Line.Steps[i : i+1]}
		bodies := a.Run.bodies(p, &part)
		if pair {
			return !slices.ContainsFunc(bodies, func(s solid) bool { return c.Finds(s.zone, s.full, t.Zone) })
		}
		it := func(x clash.Bar) bool { return x.Zone == t.Zone && (t.Zone >= 0 || x.Structure == t.Structure) }
		return !slices.ContainsFunc(bodies, func(s solid) bool { return slices.ContainsFunc(c.Struck(s.zone, s.full, s.hung), it) }) &&
			!slices.ContainsFunc(m.summed(c), func(x Thing) bool { return it(x.Bar) })
	}
	const tries = 24
	good, bad, found := from, to, false
	for k := 1; k <= tries && !found; k++ {
		x := from + (to-from)*float64(k)/tries
		if clear(x) {
			good = x
		} else {
			bad, found = x, true
		}
	}
	if !found {
		return to
	}
	for math.Abs(bad-good) > 0.01 {
		if m := (good + bad) / 2; clear(m) {
			good = m
		} else {
			bad = m
		}
	}
	// The check lets a little go, square to the set.
	back := figure.Slack*math.Hypot(length, st.Rise)/math.Abs(st.Rise) + 0.01
	if back > math.Abs(good-from) {
		return from
	}
	return good - math.Copysign(back, to-from)
}
