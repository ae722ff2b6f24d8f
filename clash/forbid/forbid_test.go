package forbid

import (
	"flag"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"

	"voidline/clash/figure"
	"voidline/clash/measure"
	"voidline/clash/rules"
	"voidline/clash/scene"
	"voidline/void/body"
)

var forbidCases = flag.Int("forbid.cases", 1500, "pairs of bodies of TestForbiddenIsWhatJudgeFinds, each with some 40 shifts")

// randomBody is a body near the origin: a prism, an upright cylinder, a length square to the axes or askew, level or falling, with
// a rectangular or a round section.
func randomBody(rnd *rand.Rand) body.Body {
	in := func(lo, hi float64) float64 { return lo + (hi-lo)*rnd.Float64() }
	at := r3.Vector{X: in(-500, 500), Y: in(-500, 500), Z: in(-200, 200)}
	switch rnd.IntN(6) {
	case 0:
		return body.Upright(r2.RectFromCenterSize(r2.Point{X: at.X, Y: at.Y}, r2.Point{X: in(100, 800), Y: in(100, 800)}), r1.Interval{Lo: at.Z, Hi: at.Z + in(50, 400)})
	case 1:
		return body.Cylinder(at, at.Add(r3.Vector{Z: in(50, 400)}), in(60, 600))
	case 2:
		a := in(0, 7)
		return body.Box(at, at.Add(r3.Vector{X: in(300, 3000) * math.Cos(a), Y: in(300, 3000) * math.Sin(a)}), in(50, 600), in(50, 400))
	case 3:
		return body.Cylinder(at, at.Add(r3.Vector{X: in(-3000, 3000), Y: in(-3000, 3000), Z: in(-60, 60)}), in(20, 300))
	case 4:
		return body.Box(at, at.Add(r3.Vector{X: in(-3000, 3000), Y: in(-3000, 3000), Z: in(-200, 200)}), in(50, 600), in(50, 400))
	}
	return body.Box(at, at.Add(r3.Vector{X: in(300, 3000)}), in(50, 600), in(50, 400))
}

// Of one pair and one rule, judge finds something at a shift exactly where the shift lies in the interval that is forbidden: for
// random bodies, rules of every side, some of which count over a length alone, and directions. Within twice what judge lets go of an end
// either may be said.
func TestForbiddenIsWhatJudgeFinds(t *testing.T) {
	rnd := rand.New(rand.NewPCG(11, 4))
	in := func(lo, hi float64) float64 { return lo + (hi-lo)*rnd.Float64() }
	use := func(lo, hi float64) rules.Use {
		u := rules.Use{Rule: &rules.Rule{}, Gap: in(lo, hi), Valid: true, OfA: rnd.IntN(2) == 0}
		if rnd.IntN(3) == 0 {
			u.Over = in(50, 1200)
		}
		return u
	}
	shifts, hits := 0, map[string]int{}
	for n := range *forbidCases {
		m, o := randomBody(rnd), randomBody(rnd)
		ch := &rules.Choice{Need: math.Inf(1)}
		kind := [...]string{"overlap", "around", "beside", "over", "under"}[n%5]
		switch kind {
		case "around":
			ch.Around = use(5, 200)
		case "beside":
			ch.Beside = use(20, 900)
		case "over":
			ch.Over = use(10, 200)
		case "under":
			ch.Under = use(10, 200)
		}
		dir := scene.Up
		switch rnd.IntN(4) {
		case 0:
			dir = r3.Vector{X: 1}
		case 1:
			s, c := math.Sincos(in(0, 7))
			dir = r3.Vector{X: c, Y: s}
		case 2: // square to the body, as lengths go
			if m.Across.Norm() > 0 {
				dir = r3.Vector{X: m.Across.X, Y: m.Across.Y}
			}
		}
		f := forbidding{q: Query{Full: m, Dir: dir, Within: r1.Interval{Lo: math.Inf(-1), Hi: math.Inf(1)}}}
		ls := leavesOf(nil, ch, false)
		l := ls[len(ls)-1]
		iv, ok := f.interval(&l, o, false)
		width := math.Max(iv.Length(), 10)
		if !ok || math.IsInf(width, 1) {
			width = 3000
		}
		mid := iv.Center()
		if !ok {
			mid = o.Reach(dir).Center() - m.Reach(dir).Center()
		}
		for range 40 {
			at := mid + in(-1, 1)*width
			v := measure.Judge(m.Shift(dir.Mul(at)), o, ch, 0, false)
			bad := v.N > 0
			if kind == "overlap" {
				bad = v.Overlap
			}
			shifts++
			if ok && math.Min(math.Abs(at-iv.Lo), math.Abs(at-iv.Hi)) < 2*figure.Slack+2*fine {
				continue
			}
			if in := ok && iv.Contains(at); in != bad {
				// Where faces graze each other a shift of much is a depth of little: what judge lets go is a depth.
				if kind == "overlap" {
					span, meets := body.Span(m.Shift(dir.Mul(at)), o, scene.Up)
					part, _ := body.Part(m.Shift(dir.Mul(at)), o)
					if meets && in && math.Min(math.Min(-span.Lo, span.Hi), part.MM) < 2*figure.Slack {
						continue
					}
				}
				by := 2 * figure.Slack
				if !in {
					by = -by
				}
				near := *ch
				for _, u := range []*rules.Use{&near.Around, &near.Beside, &near.Over, &near.Under} {
					u.Gap, u.Over = u.Gap+by, math.Max(0, u.Over-by)
				}
				if w := measure.Judge(m.Shift(dir.Mul(at)), o, &near, 0, false); kind != "overlap" && w.N > 0 == in {
					continue
				}
				// A rule that looks up or down stands beside its other half: beyond the middle of the other that one decides, and
				// the two are in one place there, or the upright ban of the other half says so.
				if l.way != 0 {
					if v.Overlap {
						continue
					}
					if span, meets := body.Span(m, o, scene.Up); in && dir == scene.Up && meets && (at-span.Center())*l.way < 0 {
						continue
					}
				}
				t.Fatalf("case %d, %s %+v along %v: %v said of %v, interval %v (%v); judge finds %v %+v\n%+v\n%+v", n, kind, l.use, dir, in, at, iv, ok, bad, v, m, o)
			}
			if bad {
				hits[kind]++
			}
		}
	}
	t.Logf("%d shifts, found %v", shifts, hits)
	for _, k := range []string{"overlap", "around", "beside", "over", "under"} {
		if hits[k] < shifts/100 {
			t.Errorf("%s: %d of %d shifts", k, hits[k], shifts)
		}
	}
}
