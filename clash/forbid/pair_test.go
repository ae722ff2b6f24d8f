package forbid

import (
	"math"
	"testing"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"
	"pgregory.net/rapid"

	"voidline/clash/figure"
	"voidline/clash/measure"
	"voidline/clash/rules"
	"voidline/void/body"
)

// The least way out of what is forbidden, up and down: past bans that follow each other, and no further than to a hole.
func TestOut(t *testing.T) {
	bans := []Ban{
		{Interval: r1.Interval{Lo: 0, Hi: 10}},
		{Interval: r1.Interval{Lo: 8, Hi: 30}, Holes: []r1.Interval{{Lo: 18, Hi: 20}, {Lo: 25, Hi: 26}}},
		{Interval: r1.Interval{Lo: 40, Hi: math.Inf(1)}},
	}
	for _, test := range []struct{ t, way, want float64 }{
		{-1, 1, -1},
		{0, 1, 0},
		{5, -1, 0},
		{9, -1, 0},
		{5, 1, 18}, // out of the first at 10, where the second holds as far as its first hole
		{19, 1, 19},
		{22, 1, 25},
		{22, -1, 20},
		{28, 1, 30},
		{28, -1, 26},
		{35, -1, 35},
		{41, -1, 40},
		{41, 1, math.Inf(1)},
	} {
		// What lacks so little that nothing is told of it counts as free.
		if got := Out(bans, test.t, test.way); got != test.want && !(math.Abs(got-test.want) <= letGo+1e-9) {
			t.Errorf("from %v, way %v: out at %v, want %v", test.t, test.way, got, test.want)
		}
	}
}

// What a pair forbids onwards from where it is, is what it forbids both ways, as far as it lies ahead; and what is forbidden here and
// further on is so between.
func TestPair(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := func(lo, hi float64, what string) float64 {
			return math.Round(rapid.Float64Range(lo, hi).Draw(t, what)*10) / 10
		}
		some := func() body.Body {
			at := r3.Vector{X: in(-300, 300, "x"), Y: in(-300, 300, "y"), Z: in(-200, 200, "z")}
			to := at.Add(r3.Vector{X: in(50, 2000, "along"), Y: in(-900, 900, "aside"), Z: in(-60, 60, "fall") * float64(rapid.IntRange(0, 1).Draw(t, "falls"))})
			switch rapid.IntRange(0, 2).Draw(t, "shape") {
			case 0:
				return body.Upright(r2.RectFromPoints(r2.Point{X: at.X, Y: at.Y}, r2.Point{X: to.X, Y: to.Y + 1000}), r1.Interval{Lo: at.Z, Hi: at.Z + in(10, 300, "high")})
			case 1:
				return body.Cylinder(at, to, in(20, 400, "across"))
			}
			return body.Box(at, to, in(20, 400, "wide"), in(20, 300, "high"))
		}
		rule := &rules.Rule{}
		use := func(what string) rules.Use {
			if rapid.Bool().Draw(t, what) {
				return rules.Use{}
			}
			return rules.Use{Rule: rule, Gap: in(5, 200, what+" asked"), Valid: true, OfA: rapid.Bool().Draw(t, what+" of the first")}
		}
		ch := &rules.Choice{Around: use("around"), Beside: use("beside"), Over: use("over"), Under: use("under"), Need: math.Inf(1)}
		m, o := some(), some()
		dir := rapid.SampledFrom([]r3.Vector{{Z: 1}, {Z: -1}, {Y: 1}, {X: 0.6, Y: -0.8}}).Draw(t, "way")
		pair := PairOf(m, o, ch, false)
		here := pair.here
		both := forbidding{q: Query{Full: m, Dir: dir, Within: r1.Interval{Lo: math.Inf(-1), Hi: math.Inf(1)}}}
		onwards := forbidding{q: both.q, pair: pair}
		onwards.q.Within.Lo = 0
		for _, l := range leavesOf(nil, ch, false) {
			want, ok := both.interval(&l, o, false)
			got, is := onwards.interval(&l, o, false)
			switch broken := l.broken(&here); {
			case !l.convex(dir):
				if broken && !is {
					t.Fatalf("%+v is broken here, and forbids nothing", l)
				}
			case !ok && (is || broken):
				t.Fatalf("%+v forbids nothing, onwards %v, here %v", l, got, broken)
			case !ok, !broken && want.Hi < 2*figure.Slack: // what level faces prove is proved to twice the slack
			case !is:
				// Where two only graze, their span is longer than what is told.
				if l.use.Valid || l.bad(m.Shift(dir.Mul(want.Hi/2)), o, 0, false) {
					t.Fatalf("%+v forbids %v, and onwards nothing", l, want)
				}
			case math.Abs(got.Hi-want.Hi) > 4*fine || broken && got.Lo > 0 || !broken && math.Abs(got.Lo-want.Lo) > 4*fine:
				t.Fatalf("%+v forbids %v, and onwards %v", l, want, got)
			case broken && l.use.Valid && want.Hi > 0.2 && !pair.Between(dir.Mul(want.Hi-0.2)):
				t.Fatalf("%+v forbids %v, and not all up to there", l, want)
			}
		}
		// What is left out of a pair forbids nothing besides.
		var all []Ban
		for _, l := range leavesOf(nil, ch, false) {
			if iv, ok := onwards.interval(&l, o, false); ok {
				all = append(all, Ban{Interval: iv})
			}
		}
		if got, want := Out(pair.Bans(dir), 0, 1), Out(all, 0, 1); got != want && !(math.Abs(got-want) <= 4*fine) {
			t.Fatalf("out at %v, of all that is asked at %v", got, want)
		}
		for by := 10.0; by < 3000; by *= 2 {
			if !pair.Between(dir.Mul(by)) {
				continue
			}
			for k := range 8 {
				if s := by * float64(k) / 8; !measure.Breaks(m.Shift(dir.Mul(s)), o, ch, 0, false) {
					t.Fatalf("all is forbidden up to %g, and %g is not", by, s)
				}
			}
		}
	})
}
