package clash

import (
	"math"
	"slices"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"

	"voidline/clash/figure"
	"voidline/clash/measure"
	"voidline/clash/rules"
	"voidline/clash/scene"
	"voidline/void"
	"voidline/void/body"
	"voidline/void/cell"
)

// farAside is how far a sideways move is still a move, mm, where there is a shorter upright one; common
// practice, no source.
const farAside = 1000

// The order in which trades give way when no row sets a rank; see design: what must fall or is large
// moves last (common practice, no source).
const (
	orderUnknown  = 7
	orderSmall    = 8
	orderLarge    = 5
	orderDrainage = 2    // gravity drainage
	largePipe     = 76.1 // mm outside: DN65 and more is a large pipe; common practice, no source
	orderStays    = 0.5  // structure stays even against what is set into the ceiling
	orderRecessed = 1
)

// OtherLimits returns lengths that decide which stand in no table of their own.
func OtherLimits() []void.Limit {
	return slices.Concat(void.Practised([]void.Limit{
		{Name: "crossing, furthest", MM: rules.Laying, Why: "what runs beside another for less only crosses it, and no room to lay cables is needed"},
		{Name: "sideways move, furthest", MM: farAside, Why: "further aside it is another route; not told where a shorter move up or down clears it"},
		{Name: "large pipe, from", MM: largePipe, Why: "outside diameter: DN65 and more moves after what is small"},
		{Name: "power and data, furthest", MM: rules.Segregated, Why: "further apart a blank cell of theirs cannot matter"},
		{Name: "beside a flange", MM: flangeReach, Why: "a clamp and its bracket reach so far: what hangs there comes down with the beam"},
		{Name: "gap of a rule, most", MM: rules.MostGap, Why: "more than any rule asks; it bounds how far is searched"},
	}), void.Limits())
}

// rank returns who gives way: the larger number does.
func (c *Check) rank(i int32) float64 {
	if r, ok := c.Zone(i).Rank(); ok {
		return r
	}
	return c.nature(i)
}

// nature returns who gives way where no row sets a rank.
func (c *Check) nature(i int32) float64 {
	z, ch := c.Zone(i), c.Char(i)
	switch {
	case ch.Structure():
		return orderStays
	case z.Recessed:
		return orderRecessed
	case ch.Order == orderRecessed:
		return orderUnknown // a surface light or an upright head moves like any small thing
	case ch.Order == 0:
		return orderUnknown
	case ch.Order == orderLarge && z.Bare().Round && 2*z.Bare().W < largePipe-void.Hair:
		return orderSmall
	}
	return float64(ch.Order)
}

// givesWay returns which of two zones moves, and whether it may move at all.
func (c *Check) givesWay(a, b int32) int32 {
	held := func(i int32) bool {
		l, p := c.Zone(i).Holds()
		return l && p
	}
	if ha, hb := held(a), held(b); ha != hb {
		if ha {
			return b
		}
		return a
	}
	if ra, rb := c.rank(a), c.rank(b); ra != rb {
		if ra > rb {
			return a
		}
		return b
	}
	section := func(i int32) float64 { f := c.Full(i); return f.W * math.Max(f.H, f.W*b2f(f.Round)) }
	if sa, sb := section(a), section(b); math.Abs(sa-sb) > void.Hair {
		if sa < sb {
			return a
		}
		return b
	}
	if c.Zone(a).ID > c.Zone(b).ID {
		return a
	}
	return b
}

func b2f(b bool) float64 {
	if b {
		return 1
	}
	return 0
}

// moved is a pair of which one moves: M and O are what was measured of it and of the other.
type moved struct {
	M, O     body.Body
	ch       *rules.Choice
	second   bool // O is what the choice calls a
	byHeight bool
	beyond   *moved // what the same M is measured against once it is out of O; nil: nothing
}

// order returns the pair with M where it is said to be, in the order of the choice.
func (p *moved) order(m body.Body) (a, b body.Body) {
	if p.second {
		return p.O, m
	}
	return m, p.O
}

// at says what the pair comes to with M shifted.
func (p *moved) at(shift r3.Vector) measure.Verdict {
	m := p.M.Shift(shift)
	a, b := p.order(m)
	v := measure.Judge(a, b, p.ch, 0, p.byHeight)
	if p.beyond != nil && !v.Overlap {
		a, b = p.beyond.order(m)
		v = measure.Judge(a, b, p.beyond.ch, 0, p.byHeight)
	}
	return v
}

// clear reports whether it then comes to nothing.
func (p *moved) clear(shift r3.Vector) bool {
	m := p.M.Shift(shift)
	for ; p != nil; p = p.beyond {
		a, b := p.order(m)
		if measure.Breaks(a, b, p.ch, 0, p.byHeight) {
			return false
		}
	}
	return true
}

// movesOf returns the least moves of zone m that clear it, the smaller first: the lesser of up and down; of a row the lesser
// of left and right, of an item the least of all level ways. at is where the finding is.
func (c *Check) movesOf(m int32, p *moved, at r3.Vector) []Move {
	z := c.Zone(m)
	level, place := z.Holds()
	level = level || z.Recessed // set into the ceiling: it does not rise or drop
	var out []Move
	now := p.at(r3.Vector{})
	if !now.Any() {
		return nil
	}
	// least takes the lesser of two ways, of equals the first. Where the two are in each other no way is shorter than it takes
	// to part them along it, so the way that parts them sooner is tried first, and the other often not at all.
	least := func(dirs [2]r3.Vector, words [2]string) {
		by := [2]float64{math.Inf(1), math.Inf(1)}
		way := func(k int, part parting) {
			if t, ok := p.exit(dirs[k], part, &now); ok && t <= c.headroom(m, dirs[k])+void.Hair {
				by[k] = t
			}
		}
		parts := [2]parting{p.parting(dirs[0]), p.parting(dirs[1])}
		if len(out) > 0 && tooFar(min(parts[0].least(), parts[1].least())-2*void.Hair, out[0].By) {
			return // it would be left out
		}
		first := 0
		if parts[1].least() < parts[0].least() {
			first = 1
		}
		way(first, parts[first])
		if parts[1-first].least()-2*void.Hair <= by[first] {
			way(1-first, parts[1-first])
		}
		best := 0
		if by[1] < by[0]-void.Hair {
			best = 1
		}
		if !math.IsInf(by[best], 1) {
			out = append(out, c.moveOf(m, at, words[best], dirs[best].Mul(by[best])))
		}
	}
	if !level {
		least([2]r3.Vector{{Z: 1}, {Z: -1}}, [2]string{"up", "down"})
	}
	if !place && !p.byHeight {
		if left, row := leftOf(z, p.M); row {
			least([2]r3.Vector{left, left.Mul(-1)}, [2]string{"left", "right"})
		} else if way, ok := p.levelWay(&now); ok {
			out = append(out, c.moveOf(m, at, itemWay(way), way))
		}
	}
	return nearestFirst(out)
}

// nearestFirst puts the lesser of an upright and a level move first, and leaves a far level one out.
func nearestFirst(out []Move) []Move {
	if len(out) == 2 && tooFar(out[1].By, out[0].By) {
		out = out[:1] // out at the end of what it crosses: nobody moves it there when it can step
	}
	if len(out) == 2 && out[1].By < out[0].By-void.Hair {
		out[0], out[1] = out[1], out[0]
	}
	return out
}

// tooFar reports whether a level move is left out for an upright one.
func tooFar(level, upright float64) bool { return level > farAside && level > upright }

// headroom returns how far a zone may go upwards or downwards before it leaves the void of a bay that it
// lies in: through the soffit, or into the build-up of a ceiling with what hangs under it. Sideways it
// is not asked.
func (c *Check) headroom(m int32, dir r3.Vector) float64 {
	room := math.Inf(1)
	for _, j := range c.Zone(m).Bays() {
		bay := &c.Project.Bays[j]
		switch {
		case dir.Z > 0.5:
			hi := scene.Highest(c.Full(m), bay)
			room = math.Min(room, c.roofOver(bay, hi)-hi)
		case dir.Z < -0.5 && bay.HasCeiling:
			lo, _, _ := c.Under(m, c.Full(m), bay)
			if lo >= bay.Ceiling {
				room = math.Min(room, lo-bay.Top)
			}
		}
	}
	return math.Max(0, room)
}

// parting is where the two of a pair meet along a line.
type parting struct {
	span r1.Interval // of shifts of M
	ok   bool        // they do
}

// least returns a shift that does not clear them, nor does any less; 0 where they are not in each other.
func (w *parting) least() float64 {
	if !w.ok || w.span.Lo > 0 {
		return 0
	}
	return math.Max(0, w.span.Hi)
}

func (p *moved) parting(dir r3.Vector) (w parting) {
	w.span, w.ok = body.Span(p.M, p.O, dir)
	return w
}

// exit returns the least shift of M along dir after which the pair breaks nothing; now is what it breaks
// where it stands.
//
//  1. Where the bodies meet along dir, the shift that makes them touch on the far side, with the gap
//     added that is asked there less what may lack of it, is the answer for all flat faces: it is tried first, and kept if it
//     clears and a tenth of a hair less does not.
//  2. Where a round face asks for a little less or more, the distance is convex along the line: steps by its
//     slope find where it is what is asked.
//  3. Else: from where it stands go out by doubling until it is clear, then halve. What is forbidden
//     along a line is a few intervals (one for each rule); a clear place between two of them may be
//     stepped over, so the answer clears but may not be the very least then.
func (p *moved) exit(dir r3.Vector, part parting, now *measure.Verdict) (float64, bool) {
	clear := func(t float64) bool { return p.clear(dir.Mul(t)) }
	least := func(t float64) bool { return clear(t) && !clear(t-void.Hair/10) }
	const enough = figure.Slack - void.Hair/1000 // so much less than what is asked is taken for enough
	from := 0.0
	span := part.span
	if part.ok && span.Hi > 0 {
		from = span.Hi
		at := p.at(dir.Mul(span.Hi))
		ask := asked(at.Breaches())
		if t := span.Hi + ask - enough; least(t) {
			return t, true
		}
		if t, ok := slide(p.M, p.O, dir, span.Hi+ask, aroundOf(at.Breaches())-enough); ok && least(t) {
			return t, true
		}
	} else {
		if part.ok && span.Lo < 0 {
			// Going away from it: what is missing is all there is to go.
			for _, b := range now.Breaches() {
				if t := b.Short() - enough; least(t) {
					return t, true
				}
			}
		}
		if t, ok := slide(p.M, p.O, dir, 0, aroundOf(now.Breaches())-enough); ok && least(t) {
			return t, true
		}
	}
	bad, good := 0.0, math.NaN()
	for t := math.Max(8, from); t <= 1<<18; t *= 2 {
		if clear(t) {
			good = t
			break
		}
		bad = t
	}
	if math.IsNaN(good) {
		return 0, false
	}
	for i := 0; i < 60 && good-bad > void.Hair/10; i++ {
		if mid := (good + bad) / 2; clear(mid) {
			good = mid
		} else {
			bad = mid
		}
	}
	return good, true
}

// levelWay returns the least level shift after which the pair breaks nothing, of an item that may go any way.
//
//  1. A region of shifts that one rule forbids is convex, so the least way out of it is square to a side of one of the two, or
//     away from the other's nearest point: those are tried first, with the four ways of the plan. Two rules together have
//     corners between them; where no way is as short as the lower bound of all regions, a fan of ways is tried.
//  2. A way is followed only where the place as far out as the best so far is clear.
//  3. About the best of the fan the angle is halved until it is worth less than a hundredth of a degree.
func (p *moved) levelWay(now *measure.Verdict) (r3.Vector, bool) {
	best := math.Inf(1)
	var way r3.Vector
	try := func(x, y float64) bool {
		n := math.Hypot(x, y)
		if n < 1e-9 {
			return false
		}
		d := r3.Vector{X: x / n, Y: y / n}
		if math.Abs(d.X) < 1e-12 || math.Abs(d.Y) < 1e-12 { // noise of the sum that gave it
			d = r3.Vector{X: math.Round(d.X), Y: math.Round(d.Y)}
		}
		if !math.IsInf(best, 1) && !p.clear(d.Mul(best-2*void.Hair)) {
			return false
		}
		t, ok := p.exit(d, p.parting(d), now)
		if ok && t < best-void.Hair {
			best, way = t, d
			return true
		}
		return false
	}
	least := p.levelLeast(now)
	done := func() bool { return best <= least+4*void.Hair }
	first := []r2.Point{{Y: 1}, {Y: -1}, {X: 1}, {X: -1}}
	for _, b := range [2]*body.Body{&p.M, &p.O} {
		for _, e := range [2]r2.Point{{X: b.Along.X, Y: b.Along.Y}, b.Across} {
			first = append(first, e, e.Mul(-1))
		}
	}
	if part, ok := body.Part(p.M, p.O); ok {
		first = append(first, part.Dir)
	}
	if m, ok := body.Beside(p.M, p.O); ok {
		first = append(first, r2.Point{X: -m.Dir.X, Y: -m.Dir.Y})
	}
	away := p.M.Centre.Sub(p.O.Centre)
	first = append(first, r2.Point{X: away.X, Y: away.Y})
	for _, d := range first {
		if try(d.X, d.Y); done() {
			return way.Mul(best), true
		}
	}
	const fan = 48
	for k := range fan {
		s, c := math.Sincos(2 * math.Pi * float64(k) / fan)
		try(c, s)
	}
	for step := math.Pi / fan; step > 1e-4 && !done(); step /= 2 {
		at := math.Atan2(way.Y, way.X)
		for _, a := range [2]float64{at + step, at - step} {
			s, c := math.Sincos(a)
			try(c, s)
		}
	}
	return way.Mul(best), !math.IsInf(best, 1)
}

// levelLeast returns a length that no level shift which clears the pair is shorter than.
func (p *moved) levelLeast(now *measure.Verdict) float64 {
	least := 0.0
	if now.Overlap && !math.IsNaN(now.Sideways) {
		least = now.Sideways
	}
	for _, b := range now.Breaches() {
		if b.Over > 0 {
			continue // it may cease to be broken before the two are as far apart as it asks
		}
		switch b.Side {
		case cell.Around, cell.Beside:
			// A gap grows by no more than one goes; in an overlap it begins to grow once the two are parted.
			by := b.Short()
			if now.Overlap && !math.IsNaN(now.Sideways) {
				by = now.Sideways + b.Asked
			}
			least = math.Max(least, by)
		case cell.Above, cell.Below:
			if !slopes(p.M) && !slopes(p.O) { // else it may gain height on its way
				least = math.Max(least, body.PlanOverlap(p.M, p.O))
			}
		}
	}
	return least
}

// slopes reports whether a body is neither level nor upright.
func slopes(b body.Body) bool { return b.Along.Z != 0 && (b.Along.X != 0 || b.Along.Y != 0) }

// asked returns the largest gap that is asked, 0 for none.
func asked(bs []measure.Breach) float64 {
	g := 0.0
	for _, b := range bs {
		g = math.Max(g, b.Asked)
	}
	return g
}

// aroundOf returns the gap asked all round, 0 for none.
func aroundOf(bs []measure.Breach) float64 {
	g := 0.0
	for _, b := range bs {
		if b.Side == cell.Around {
			g = math.Max(g, b.Asked)
		}
	}
	return g
}

// slide returns the shift t of m along dir, from t on, at which it is g away from o: Newton's steps on a
// convex function, which after the first come down on the answer from above.
func slide(m, o body.Body, dir r3.Vector, t, g float64) (float64, bool) {
	if g <= 0 {
		return 0, false
	}
	for range 24 {
		d := body.Gap(m.Shift(dir.Mul(t)), o)
		slope := -d.Dir.Dot(dir) // Dir goes from m to o
		if d.MM == 0 || slope < 1e-6 {
			return 0, false
		}
		step := (g - d.MM) / slope
		t += step
		if math.Abs(step) < void.Hair/4 {
			return t, t > 0
		}
	}
	return 0, false
}
