package clash

import (
	"math"
	"slices"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"

	"voidline/clash/doubt"
	"voidline/clash/finding"
	"voidline/clash/forbid"
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
		{Name: "beside a flange", MM: doubt.FlangeReach, Why: "a clamp and its bracket reach so far: what hangs there comes down with the beam"},
		{Name: "misclose of a set-up, most", MM: finding.MiscloseMost, Why: "what a laser and a staff can be held to over a floor: more is told, and wants another reading"},
		{Name: "holes of one trade, furthest", MM: finding.HolesNear, Why: "edge to edge in one wall or slab: whether one hole does for both is asked"},
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

// GivesWay returns which of two zones gives way to the other where they cannot both be where they are.
func (c *Check) GivesWay(a, b int) int { return int(c.givesWay(int32(a), int32(b))) }

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
	// What is made moves last, after structure and what is set into the ceiling, which stay.
	if made := func(i int32) bool { return c.Zone(i).Stage() >= void.Made }; made(a) != made(b) && c.mayMove(a) && c.mayMove(b) {
		if made(a) {
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
	// What is laid out with the ceiling stays for what is set into it besides.
	if la, lb := c.laidOut(a), c.laidOut(b); la != lb && c.Zone(a).Recessed && c.Zone(b).Recessed {
		if la {
			return b
		}
		return a
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
	// pair is M, or the M of that which it is beyond, and O where they are, for the leaves of forbid; nil before it is asked for.
	pair *forbid.Pair
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
func (c *Check) movesOf(m int32, p *moved, at r3.Vector) []finding.Move {
	z := c.Zone(m)
	level, place := c.holds(m)
	var out []finding.Move
	if p.clear(r3.Vector{}) {
		return nil
	}
	// least takes the lesser of the two ways along a line, of equals the first.
	least := func(dir r3.Vector, words [2]string) {
		if len(out) > 0 && tooFar(p.parts(dir)-2*void.Hair, out[0].By) {
			return // it would be left out
		}
		if way, by := p.lesser(dir, [2]float64{c.headroom(m, dir), c.headroom(m, dir.Mul(-1))}); !math.IsInf(by, 1) {
			out = append(out, c.moveOf(m, at, words[way], dir.Mul([2]float64{1, -1}[way]*by)))
		}
	}
	if !level {
		least(scene.Up, [2]string{"up", "down"})
	}
	if !place && !p.byHeight {
		if left, row := leftOf(z, p.M); row {
			least(left, [2]string{"left", "right"})
		} else if tile := c.module(m); tile > 0 {
			if way, ok := p.byTiles(tile); ok {
				out = append(out, c.moveOf(m, at, itemWay(way), way))
			}
		} else if way, ok := p.levelWay(); ok {
			out = append(out, c.moveOf(m, at, itemWay(way), way))
		}
	}
	return nearestFirst(out)
}

// byTiles returns the least level shift by whole tiles, along the grid, after which the pair breaks nothing.
func (p *moved) byTiles(tile float64) (r3.Vector, bool) {
	for by := tile; by <= math.Max(farAside, tile); by += tile {
		for _, d := range [4]r3.Vector{{Y: by}, {Y: -by}, {X: by}, {X: -by}} {
			if p.clear(d) {
				return d, true
			}
		}
	}
	return r3.Vector{}, false
}

// nearestFirst puts the lesser of an upright and a level move first, and leaves a far level one out.
func nearestFirst(out []finding.Move) []finding.Move {
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

// parts returns a length such that no shift along the line of dir which is shorter parts the two; 0 where they are not in each
// other.
func (p *moved) parts(dir r3.Vector) float64 {
	span, ok := p.asked(p.M).Span(dir)
	if !ok {
		return 0
	}
	return math.Max(0, math.Min(-span.Lo, span.Hi))
}

// asked returns m, the M of the pair or of that which it is beyond, and the other, for the leaves of forbid.
func (p *moved) asked(m body.Body) *forbid.Pair {
	if p.pair == nil {
		as := p.ch
		if p.second {
			as = p.ch.Swapped()
		}
		p.pair = forbid.PairOf(m, p.O, as, p.byHeight)
	}
	return p.pair
}

// bans returns what is forbidden to M along dir, by all that it is measured against.
func (p *moved) bans(dir r3.Vector) []forbid.Ban {
	var out []forbid.Ban
	for m := p.M; p != nil; p = p.beyond {
		out = append(out, p.asked(m).Bans(dir)...)
	}
	return out
}

// between reports whether M is forbidden wherever it is shifted on its way.
func (p *moved) between(by r3.Vector) bool {
	for m := p.M; p != nil; p = p.beyond {
		if p.asked(m).Between(by) {
			return true
		}
	}
	return false
}

// lesser returns the lesser of the least shifts of M along dir (way 0) and against it (1) after which the pair breaks nothing, none further than
// most; infinite where there is none. Of equals it is the first. The way that is the shorter out of the other body is looked along first, and
// the other only as far as it may be shorter still.
func (p *moved) lesser(dir r3.Vector, most [2]float64) (way int, by float64) {
	first := 0
	if span, ok := p.asked(p.M).Span(dir); ok && -span.Lo < span.Hi {
		first = 1
	}
	ways := [2]r3.Vector{dir, dir.Mul(-1)}
	out := func(k int) float64 {
		if by := p.least(ways[k]); by <= most[k]+void.Hair {
			return by
		}
		return math.Inf(1)
	}
	by, second := out(first), 1-first
	// The second is the lesser if it is no more than this, by more than a hair where the first of the two is first.
	if least := by + void.Hair*float64(1-2*second); !math.IsInf(by, 1) && (least < 0 || p.between(ways[second].Mul(least))) {
		return first, by
	}
	if other := out(second); second == 1 && other < by-void.Hair || second == 0 && !math.IsInf(other, 1) && other <= by+void.Hair {
		return second, other
	}
	return first, by
}

// nearMove bounds how far a move is told: by no more than twice as much, in mm, over the least.
const nearMove = void.Hair / 100

// least returns the least shift of M along dir that no ban forbids and after which the pair breaks nothing. Of faces
// that are not flat a ban may be wider than what is told of the pair: then the place at which it begins to be told is found by halving.
func (p *moved) least(dir r3.Vector) float64 {
	t := forbid.Out(p.bans(dir), 0, 1)
	if math.IsInf(t, 1) {
		return t
	}
	clear := func(t float64) bool { return p.clear(dir.Mul(t)) }
	for step := nearMove; !clear(t); step *= 2 {
		if t += step; step > farAside {
			return math.Inf(1)
		}
	}
	bad := math.Max(0, t-nearMove)
	for step := void.Hair; bad > 0 && clear(bad); step *= 2 {
		t, bad = bad, math.Max(0, bad-step)
	}
	for range 60 {
		if t-bad <= 2*nearMove {
			break
		}
		if mid := (t + bad) / 2; clear(mid) {
			t = mid
		} else {
			bad = mid
		}
	}
	return t
}

// levelWay returns the least level shift after which the pair breaks nothing, of an item that may go any way.
//
//  1. A region of shifts that one rule forbids is convex, so the least way out of it is square to a side of one of the two, or
//     away from the other's nearest point: those are tried first, with the four ways of the plan. Two rules together have
//     corners between them; where no way is as short as the lower bound of all regions, a fan of ways is tried.
//  2. A way is followed only where the place as far out as the best so far is clear.
//  3. About the best of the fan the angle is halved until it is worth less than a hundredth of a degree.
func (p *moved) levelWay() (r3.Vector, bool) {
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
		if t := p.least(d); t < best-void.Hair {
			best, way = t, d
			return true
		}
		return false
	}
	least := p.levelLeast()
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
func (p *moved) levelLeast() float64 {
	now := p.at(r3.Vector{})
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
