package clash

import (
	"math"

	"github.com/golang/geo/r3"

	"voidline/void"
	"voidline/void/body"
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
	case ch.Order == 0:
		return orderUnknown
	case ch.Order == orderLarge && z.Bare.Round && 2*z.Bare.W < largePipe-void.Hair:
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
	section := func(i int32) float64 { f := c.full[i]; return f.W * math.Max(f.H, f.W*b2f(f.Round)) }
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

// movesOf returns the least moves of zone m that clear it: the lesser of up and down, the lesser of left
// and right, the smaller first. M and O are what was measured of it and of the other; test says what
// the pair comes to with M shifted.
func (c *Check) movesOf(m int32, M, O body.Body, byHeight bool, test func(shift r3.Vector) *verdict) []Move {
	z := c.zone(m)
	level, place := z.Holds()
	level = level || z.Recessed // set into the ceiling: it does not rise or drop
	var out []Move
	least := func(dirs [2]r3.Vector, words [2]string) {
		best := Move{By: math.Inf(1)}
		for k, d := range dirs {
			if t, ok := c.exit(M, O, d, test); ok && t < best.By-void.Hair {
				best = Move{z.ID, words[k], t}
			}
		}
		if !math.IsInf(best.By, 1) {
			out = append(out, best)
		}
	}
	if !level {
		least([2]r3.Vector{{Z: 1}, {Z: -1}}, [2]string{"up", "down"})
	}
	if !place && !byHeight {
		left := r3.Vector{X: M.Across.X, Y: M.Across.Y}
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

// exit returns the least shift of m along dir after which the pair breaks nothing.
//
//  1. Where the bodies meet along dir, the shift that makes them touch on the far side, with each gap
//     that is asked added, is the answer for all flat faces: it is tried first, and kept if it clears and
//     a hair less does not.
//  2. Else: from where it stands go out by doubling until it is clear, then halve. What is forbidden
//     along a line is a few intervals (one for each rule); a clear place between two of them may be
//     stepped over, so the answer clears but may not be the very least then.
func (c *Check) exit(m, o body.Body, dir r3.Vector, test func(r3.Vector) *verdict) (float64, bool) {
	clear := func(t float64) bool { return !test(dir.Mul(t)).any() }
	now := test(r3.Vector{})
	if !now.any() {
		return 0, false
	}
	if span, ok := body.Span(m, o, dir); ok && span.Hi > 0 {
		tried := map[float64]bool{}
		asks := []float64{0}
		at := test(dir.Mul(span.Hi))
		for _, b := range at.breaches {
			asks = append(asks, b.asked)
		}
		for _, b := range now.breaches {
			asks = append(asks, b.asked)
		}
		for _, g := range asks {
			t := span.Hi + g
			if tried[t] {
				continue
			}
			tried[t] = true
			if clear(t) && !clear(t-2*void.Hair) {
				return t, true
			}
		}
	} else if ok && span.Lo < 0 {
		// Going away from it: what is missing is all there is to go.
		for _, b := range now.breaches {
			if t := b.short(); clear(t) && !clear(t-2*void.Hair) {
				return t, true
			}
		}
	}
	bad, good := 0.0, math.NaN()
	for t := 8.0; t <= 1<<18; t *= 2 {
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
