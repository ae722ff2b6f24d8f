package clash

import (
	"context"
	"math"
	"os"
	"testing"

	"github.com/golang/geo/r3"

	"voidline/io/table"
	"voidline/void"
)

// eachNear calls f with the near pairs of the demo project and of a floor of ducts thrown about.
func eachNear(t *testing.T, f func(c *Check, a, b int32, ch *choice)) {
	t.Helper()
	p, err := table.Open(context.Background(), "demo", table.Options{FS: os.DirFS("../testdata/demo")})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []*Check{Open(p, Options{}), scattered(t, 1500, 1, 31)} {
		for _, q := range pairsOf(t, c) {
			f(c, q.a, q.b, c.choiceOf(c.trait(q.a), c.trait(q.b)))
		}
	}
}

// breaks says what judge says, wherever one of the two stands.
func TestBreaks(t *testing.T) {
	said := map[bool]int{}
	eachNear(t, func(c *Check, a, b int32, ch *choice) {
		byHeight := c.zone(a).ByHeight || c.zone(b).ByHeight
		for _, by := range []r3.Vector{{}, {Z: 40}, {Z: -300}, {X: 77, Y: -20}, {X: 260}} {
			for _, touch := range []float64{0, 1} {
				A, B := c.full(a).Shift(by), c.full(b)
				v := judge(A, B, ch, touch, byHeight)
				if got := breaks(A, B, ch, touch, byHeight); got != v.any() {
					t.Fatalf("%s and %s, by %v: %v, judge %+v", c.zone(a).ID, c.zone(b).ID, by, got, v)
				}
				said[v.any()]++
			}
		}
	})
	if said[true] < 1000 || said[false] < 1000 {
		t.Errorf("too few of one sort: %v", said)
	}
}

// What is left untried is never the lesser: the moves are those of trying all four ways.
func TestMovesOfAllWays(t *testing.T) {
	moves := 0
	eachNear(t, func(c *Check, a, b int32, ch *choice) {
		m := c.givesWay(a, b)
		o := a + b - m
		p := &moved{M: c.full(m), O: c.full(o), ch: ch, second: m != a, byHeight: c.zone(a).ByHeight || c.zone(b).ByHeight}
		now := p.at(r3.Vector{})
		if !now.any() {
			return
		}
		words := map[string]r3.Vector{"up": {Z: 1}, "down": {Z: -1}}
		if left := (r3.Vector{X: p.M.Across.X, Y: p.M.Across.Y}); c.zone(m).Item || left.Norm2() == 0 {
			words["left"], words["right"] = r3.Vector{Y: 1}, r3.Vector{Y: -1}
		} else {
			words["left"], words["right"] = left, left.Mul(-1)
		}
		least := func(way string) float64 {
			d := words[way]
			if t, ok := p.exit(d, p.parting(d), &now); ok && t <= c.headroom(m, d)+void.Hair {
				return t
			}
			return math.Inf(1)
		}
		for _, got := range c.movesOf(m, p) {
			want, other := least("up"), "down"
			if got.Direction == "left" || got.Direction == "right" {
				want, other = least("left"), "right"
			}
			want = min(want, least(other))
			if math.Abs(got.By-want) > 2*void.Hair {
				t.Fatalf("%s and %s: %s %g, of both ways %g", c.zone(a).ID, c.zone(b).ID, got.Direction, got.By, want)
			}
			moves++
		}
	})
	if moves < 500 {
		t.Errorf("%d moves", moves)
	}
}
