package clash

import (
	"context"
	"math"
	"math/rand/v2"
	"os"
	"testing"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"

	"voidline/clash/measure"
	"voidline/clash/rules"
	"voidline/io/table"
	"voidline/void"
	"voidline/void/body"
)

// eachNear calls f with the near pairs of the demo project and of a floor of ducts thrown about.
func eachNear(t *testing.T, f func(c *Check, a, b int32, ch *rules.Choice)) {
	t.Helper()
	p, err := table.Open(context.Background(), "demo", table.Options{FS: os.DirFS("../testdata/demo")})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []*Check{Open(p, Options{}), scattered(t, 1500, 1, 31)} {
		for _, q := range pairsOf(t, c) {
			f(c, q.A, q.B, c.Set.Between(c.Trait(q.A), c.Trait(q.B)))
		}
	}
}

// breaks says what judge says, wherever one of the two stands.
func TestBreaks(t *testing.T) {
	said := map[bool]int{}
	eachNear(t, func(c *Check, a, b int32, ch *rules.Choice) {
		byHeight := c.Zone(a).ByHeight || c.Zone(b).ByHeight
		for _, by := range []r3.Vector{{}, {Z: 40}, {Z: -300}, {X: 77, Y: -20}, {X: 260}} {
			for _, touch := range []float64{0, 1} {
				A, B := c.Full(a).Shift(by), c.Full(b)
				v := measure.Judge(A, B, ch, touch, byHeight)
				if got := measure.Breaks(A, B, ch, touch, byHeight); got != v.Any() {
					t.Fatalf("%s and %s, by %v: %v, judge %+v", c.Zone(a).ID, c.Zone(b).ID, by, got, v)
				}
				said[v.Any()]++
			}
		}
	})
	if said[true] < 1000 || said[false] < 1000 {
		t.Errorf("too few of one sort: %v", said)
	}
}

// What is left untried is never the lesser: the upright move, and the level one of a row, is that of trying both ways.
func TestMovesOfAllWays(t *testing.T) {
	moves := map[string]int{}
	eachNear(t, func(c *Check, a, b int32, ch *rules.Choice) {
		m := c.givesWay(a, b)
		o := a + b - m
		p := &moved{M: c.Full(m), O: c.Full(o), ch: ch, second: m != a, byHeight: c.Zone(a).ByHeight || c.Zone(b).ByHeight}
		now := p.at(r3.Vector{})
		if !now.Any() {
			return
		}
		least := func(d r3.Vector) float64 {
			if t := p.least(d); t <= c.headroom(m, d)+void.Hair {
				return t
			}
			return math.Inf(1)
		}
		left, row := leftOf(c.Zone(m), p.M)
		for _, got := range c.movesOf(m, p, p.M.Centre) {
			moves[got.Direction]++
			ways := [2]r3.Vector{{Z: 1}, {Z: -1}}
			if got.DZ == 0 && row {
				ways = [2]r3.Vector{left, left.Mul(-1)}
			} else if got.DZ == 0 {
				continue // TestLevelWay
			}
			if want := min(least(ways[0]), least(ways[1])); math.Abs(got.By-want) > 2*void.Hair {
				t.Fatalf("%s and %s: %s %g, of both ways %g", c.Zone(a).ID, c.Zone(b).ID, got.Direction, got.By, want)
			}
		}
	})
	if moves["left"]+moves["right"] < 150 || moves["up"]+moves["down"] < 300 {
		t.Errorf("%v moves", moves)
	}
}

// The level way of an item clears, and no level shift that is a tenth shorter does, in any of 720 ways: beside and past corners
// of boxes square and turned, of falling pipes and of things that are round, by one rule and by several together.
func TestLevelWay(t *testing.T) {
	rnd := rand.New(rand.NewPCG(25, 1))
	in := func(lo, hi float64) float64 { return lo + (hi-lo)*rnd.Float64() }
	some := func() body.Body {
		at := r3.Vector{X: in(-500, 500), Y: in(-500, 500), Z: in(-200, 200)}
		switch rnd.IntN(5) {
		case 0:
			return body.Upright(r2.RectFromCenterSize(r2.Point{X: at.X, Y: at.Y}, r2.Point{X: in(100, 800), Y: in(100, 800)}), r1.Interval{Lo: at.Z, Hi: at.Z + in(50, 400)})
		case 1:
			return body.Cylinder(at, at.Add(r3.Vector{Z: in(50, 400)}), in(60, 600))
		case 2:
			a := in(0, 7)
			return body.Box(at, at.Add(r3.Vector{X: in(300, 3000) * math.Cos(a), Y: in(300, 3000) * math.Sin(a)}), in(50, 600), in(50, 400))
		case 3:
			return body.Cylinder(at, at.Add(r3.Vector{X: in(-3000, 3000), Y: in(-3000, 3000), Z: in(-60, 60)}), in(20, 300))
		}
		return body.Box(at, at.Add(r3.Vector{X: in(300, 3000), Z: in(-60, 60)}), in(50, 600), in(50, 400))
	}
	rule := &rules.Rule{}
	use1 := func(lo, hi float64) rules.Use {
		if rnd.IntN(2) == 0 {
			return rules.Use{}
		}
		return rules.Use{Rule: rule, Gap: in(lo, hi), Valid: true, OfA: rnd.IntN(2) == 0}
	}
	tried, corners := 0, 0
	for n := range 4000 {
		m := some()
		if !m.Round || m.Along.X != 0 || m.Along.Y != 0 {
			m = body.Upright(m.Plan(), m.Height()) // an item is square to the axes, or upright and round
		}
		ch := &rules.Choice{Around: use1(5, 150), Beside: use1(20, 900), Over: use1(10, 200), Under: use1(10, 200)}
		ch.Need = math.Inf(1)
		p := &moved{M: m, O: some(), ch: ch, second: rnd.IntN(2) == 0}
		now := p.at(r3.Vector{})
		if !now.Any() {
			continue
		}
		by, ok := p.levelWay()
		if !ok || !p.clear(by) {
			t.Fatalf("%d: %v does not clear %+v", n, by, p)
		}
		tried++
		if math.Abs(by.X) > 1 && math.Abs(by.Y) > 1 {
			corners++
		}
		for k := range 720 {
			s, c := math.Sincos(2 * math.Pi * float64(k) / 720)
			if d := (r3.Vector{X: c, Y: s}); by.Norm() > 0.1 && p.clear(d.Mul(by.Norm()-0.1)) {
				t.Fatalf("%d: %v is %g long, and a tenth less clears along %v: %+v %+v", n, by, by.Norm(), d, p.M, p.O)
			}
		}
	}
	if tried < 1000 || corners < 200 {
		t.Errorf("%d tried, %d askew", tried, corners)
	}
}
