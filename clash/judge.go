package clash

import (
	"math"

	"github.com/golang/geo/r1"

	"voidline/clash/figure"
	"voidline/clash/rules"
	"voidline/void"
	"voidline/void/body"
	"voidline/void/cell"
)

// breach is one rule that a pair breaks.
type breach struct {
	rules.Use
	gap   float64
	asked float64
	side  cell.Towards
}

// short returns the shortfall.
func (b breach) short() float64 { return b.asked - b.gap }

// verdict is what a pair of bodies comes to.
type verdict struct {
	overlap  bool
	gap      float64   // how far apart the two are, 0 in an overlap
	vertical float64   // of an overlap: the least upright move that parts them
	sideways float64   // and the least level one; NaN where the places are not known
	broken   [3]breach // the first n: one rule all round, one beside, one over or under
	n        int
	crossed  bool // a rule that counts along a length only was near enough, but not for long enough
}

func (v *verdict) any() bool { return v.overlap || v.n > 0 }

// breaches returns the rules that are broken; they are good as long as the verdict.
func (v *verdict) breaches() []breach { return v.broken[:v.n] }

// main returns the rule that is broken the most, nothing where none is.
func (v *verdict) main() breach {
	if v.n == 0 {
		return breach{}
	}
	return v.broken[worst(v.breaches())]
}

// depth returns the lesser of the two moves of an overlap.
func (v *verdict) depth() float64 {
	if math.IsNaN(v.sideways) || v.vertical < v.sideways {
		return v.vertical
	}
	return v.sideways
}

// two is a pair of bodies that is measured: each measure is taken once, when it is first asked for.
type two struct {
	a, b     body.Body
	touch    float64 // the depth in mm up to which they may rest on each other
	byHeight bool    // only heights are known: one of the two lies over its whole bay

	gap      float64 // negative until it is measured
	span     r1.Interval
	meets    bool // they meet upright
	measured bool // span and meets are
}

func twoOf(a, b body.Body, touch float64, byHeight bool) two {
	return two{a: a, b: b, touch: touch, byHeight: byHeight, gap: -1}
}

// apart returns how far apart they are, 0 where they touch or overlap.
func (t *two) apart() float64 {
	if t.gap < 0 {
		t.gap = body.Gap(t.a, t.b).MM
	}
	return t.gap
}

// upright returns the shifts straight up of a that make it touch b; false where none does.
func (t *two) upright() (r1.Interval, bool) {
	if !t.measured {
		t.span, t.meets = body.Span(t.a, t.b, up)
		t.measured = true
	}
	return t.span, t.meets
}

// sharePlan reports whether they lie over each other.
func (t *two) sharePlan() bool { return body.PlanOverlap(t.a, t.b) > t.touch+void.Hair }

// of returns the body that a rule is of, and the other.
func (t *two) of(u rules.Use) (body.Body, body.Body) {
	if u.OfA {
		return t.a, t.b
	}
	return t.b, t.a
}

// overlap returns how deep they are in each other: the least upright and the least level move that parts them (NaN where only
// heights are known). Where the depth alone is wanted (exact false) and is plainly the upright one, the level one is a length that it
// is not less than.
func (t *two) overlap(exact bool) (vertical, sideways float64, is bool) {
	if t.apart() > 0 {
		return 0, 0, false
	}
	span, ok := t.upright()
	if !ok || span.Lo >= -t.touch-figure.Slack || span.Hi <= t.touch+figure.Slack {
		return 0, 0, false
	}
	vertical, sideways = math.Min(-span.Lo, span.Hi), math.NaN()
	if t.byHeight {
		return vertical, sideways, true
	}
	if !exact {
		if least := body.PartAtLeast(t.a, t.b); least > math.Max(vertical, t.touch)+2*void.Hair {
			return vertical, least, true
		}
	}
	if part, ok := body.Part(t.a, t.b); ok {
		return vertical, part.MM, part.MM > t.touch+figure.Slack
	}
	return vertical, sideways, false
}

// around says whether less is clear all round than a rule asks (near), and for long enough along what it is of (broken).
func (t *two) around(u rules.Use) (near, broken bool) {
	if !u.Valid || !figure.Lacks(t.apart(), u.Gap) {
		return false, false
	}
	x, y := t.of(u)
	return true, t.byHeight || longOn(x, y, cell.Around, u.Gap, u.Over)
}

// beside is around for a rule that counts at the same height, and says how far apart they are there.
func (t *two) beside(u rules.Use) (gap float64, near, broken bool) {
	if !u.Valid || t.byHeight || body.SharedHeight(t.a, t.b) <= t.touch+void.Hair {
		return 0, false, false
	}
	m, ok := body.Beside(t.a, t.b)
	if !ok || !figure.Lacks(m.MM, u.Gap) {
		return 0, false, false
	}
	x, y := t.of(u)
	return m.MM, true, longOn(x, y, cell.Beside, u.Gap, u.Over)
}

// overUnder is around for the rules that look upwards and downwards: over counts where b stands over a, under where it stands under
// it. In an overlap the higher of the two counts as over the other: a rule that asks for room above is not lost when what
// comes down into the room comes further.
func (t *two) overUnder(over, under rules.Use) (b breach, near, broken bool) {
	if !(over.Valid && over.Gap > 0 || under.Valid && under.Gap > 0) || !t.byHeight && !t.sharePlan() {
		return b, false, false
	}
	span, ok := t.upright()
	if !ok {
		return b, false, false
	}
	u, side, d := over, cell.Above, math.Max(0, span.Lo)
	if span.Lo+span.Hi <= 0 { // b stands under a
		u, side, d = under, cell.Below, math.Max(0, -span.Hi)
	}
	if !u.Valid || !figure.Lacks(d, u.Gap) {
		return b, false, false
	}
	b = breach{u, d, u.Gap, sideSeen(u, side)}
	x, y := t.of(u)
	return b, true, t.byHeight || longOn(x, y, b.side, u.Gap, u.Over)
}

// judge measures a against b by what the choice asks. byHeight says that only heights are known: one
// of the two lies over its whole bay.
func judge(a, b body.Body, ch *rules.Choice, touch float64, byHeight bool) verdict {
	t := twoOf(a, b, touch, byHeight)
	return t.judge(ch, true)
}

// judge measures the two by what the choice asks. Who wants no more of an overlap than its depth (exact false) gets, where that is plainly
// the vertical move, for sideways a length that the level one is not less than.
func (t *two) judge(ch *rules.Choice, exact bool) verdict {
	v := verdict{gap: t.apart()}
	if v.gap > 0 && v.gap >= ch.Need-void.Hair {
		return v
	}
	if t.byHeight && !t.sharePlan() {
		return v // beside the bay: how far apart is not known
	}
	if vertical, sideways, is := t.overlap(exact); vertical > 0 {
		v.vertical, v.sideways, v.overlap = vertical, sideways, is
	}
	add := func(b breach, near, broken bool) {
		if broken {
			v.broken[v.n] = b
			v.n++
		} else if near {
			v.crossed = true
		}
	}
	near, broken := t.around(ch.Around)
	add(breach{ch.Around, v.gap, ch.Around.Gap, cell.Around}, near, broken)
	gap, near, broken := t.beside(ch.Beside)
	add(breach{ch.Beside, gap, ch.Beside.Gap, cell.Beside}, near, broken)
	add(t.overUnder(ch.Over, ch.Under))
	return v
}

// breaks reports whether judge would find anything: it ends at the first thing that it finds.
func breaks(a, b body.Body, ch *rules.Choice, touch float64, byHeight bool) bool {
	t := twoOf(a, b, touch, byHeight)
	if !byHeight {
		if _, broken := t.around(ch.Around); broken {
			return true
		}
	}
	v := t.judge(ch, false)
	return v.any()
}

// sideSeen returns the side as seen from the rule's of: fromA is how it looks from a.
func sideSeen(u rules.Use, fromA cell.Towards) cell.Towards {
	if u.OfA {
		return fromA
	}
	if fromA == cell.Above {
		return cell.Below
	}
	return cell.Above
}

// worst returns the index of the breach with the greatest shortfall, the first of equals.
func worst(bs []breach) int {
	k := 0
	for i := range bs {
		if bs[i].short() > bs[k].short()+void.Hair {
			k = i
		}
	}
	return k
}
