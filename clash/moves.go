package clash

import (
	"math"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r3"

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
	largePipe     = 76.1 // mm outside: DN65 and more is a large pipe; common practice, no source
	orderStays    = 0.5  // structure stays even against what is set into the ceiling
	orderRecessed = 1
)

// rank returns who gives way: the larger number does.
func (c *Check) rank(i int32) float64 {
	z, ch := c.zone(i), c.char(i)
	if r, ok := z.Rank(); ok {
		return r
	}
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
		l, p := c.zone(i).Holds()
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
	section := func(i int32) float64 { f := c.full(i); return f.W * math.Max(f.H, f.W*b2f(f.Round)) }
	if sa, sb := section(a), section(b); math.Abs(sa-sb) > void.Hair {
		if sa < sb {
			return a
		}
		return b
	}
	if c.zone(a).ID > c.zone(b).ID {
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
	ch       *choice
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
func (p *moved) at(shift r3.Vector) verdict {
	m := p.M.Shift(shift)
	a, b := p.order(m)
	v := judge(a, b, p.ch, 0, p.byHeight)
	if p.beyond != nil && !v.overlap {
		a, b = p.beyond.order(m)
		v = judge(a, b, p.beyond.ch, 0, p.byHeight)
	}
	return v
}

// clear reports whether it then comes to nothing.
func (p *moved) clear(shift r3.Vector) bool {
	m := p.M.Shift(shift)
	for ; p != nil; p = p.beyond {
		a, b := p.order(m)
		if breaks(a, b, p.ch, 0, p.byHeight) {
			return false
		}
	}
	return true
}

// movesOf returns the least moves of zone m that clear it: the lesser of up and down, the lesser of left
// and right, the smaller first.
func (c *Check) movesOf(m int32, p *moved) []Move {
	z := c.zone(m)
	level, place := z.Holds()
	level = level || z.Recessed // set into the ceiling: it does not rise or drop
	var out []Move
	now := p.at(r3.Vector{})
	if !now.any() {
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
			out = append(out, Move{z.ID, words[best], by[best]})
		}
	}
	if !level {
		least([2]r3.Vector{{Z: 1}, {Z: -1}}, [2]string{"up", "down"})
	}
	if !place && !p.byHeight {
		left := r3.Vector{X: p.M.Across.X, Y: p.M.Across.Y}
		if z.Item || left.Norm2() == 0 {
			left = r3.Vector{Y: 1}
		}
		least([2]r3.Vector{left, left.Mul(-1)}, [2]string{"left", "right"})
	}
	if len(out) == 2 && out[1].By > farAside && out[1].By > out[0].By {
		out = out[:1] // out at the end of what it crosses: nobody moves it there when it can step
	}
	if len(out) == 2 && out[1].By < out[0].By-void.Hair {
		out[0], out[1] = out[1], out[0]
	}
	return out
}

// headroom returns how far a zone may go upwards or downwards before it leaves the void of a bay that it
// lies in: through the soffit, or into the build-up of a ceiling with what hangs under it. Sideways it
// is not asked.
func (c *Check) headroom(m int32, dir r3.Vector) float64 {
	room := math.Inf(1)
	for _, j := range c.zone(m).Bays() {
		bay := &c.p.Bays[j]
		switch {
		case dir.Z > 0.5:
			room = math.Min(room, bay.Soffit-highest(c.full(m), bay))
		case dir.Z < -0.5 && bay.HasCeiling:
			lo, _, _ := c.under(m, c.full(m), bay)
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
//     added that is asked there, is the answer for all flat faces: it is tried first, and kept if it clears
//     and a hair less does not.
//  2. Where a round face asks for a little less or more, the distance is convex along the line: steps by its
//     slope find where it is what is asked.
//  3. Else: from where it stands go out by doubling until it is clear, then halve. What is forbidden
//     along a line is a few intervals (one for each rule); a clear place between two of them may be
//     stepped over, so the answer clears but may not be the very least then.
func (p *moved) exit(dir r3.Vector, part parting, now *verdict) (float64, bool) {
	clear := func(t float64) bool { return p.clear(dir.Mul(t)) }
	least := func(t float64) bool { return clear(t) && !clear(t-2*void.Hair) }
	from := 0.0
	span := part.span
	if part.ok && span.Hi > 0 {
		from = span.Hi
		at := p.at(dir.Mul(span.Hi))
		ask := asked(at.breaches())
		if least(span.Hi + ask) {
			return span.Hi + ask, true
		}
		if t, ok := slide(p.M, p.O, dir, span.Hi+ask, aroundOf(at.breaches())); ok && least(t) {
			return t, true
		}
	} else {
		if part.ok && span.Lo < 0 {
			// Going away from it: what is missing is all there is to go.
			for _, b := range now.breaches() {
				if least(b.short()) {
					return b.short(), true
				}
			}
		}
		if t, ok := slide(p.M, p.O, dir, 0, aroundOf(now.breaches())); ok && least(t) {
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

// asked returns the largest gap that is asked, 0 for none.
func asked(bs []breach) float64 {
	g := 0.0
	for _, b := range bs {
		g = math.Max(g, b.asked)
	}
	return g
}

// aroundOf returns the gap asked all round, 0 for none.
func aroundOf(bs []breach) float64 {
	g := 0.0
	for _, b := range bs {
		if b.side == cell.Around {
			g = math.Max(g, b.asked)
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
