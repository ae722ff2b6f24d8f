package measure

import (
	"math"
	"slices"

	"github.com/golang/geo/r1"

	"voidline/clash/figure"
	"voidline/clash/rules"
	"voidline/clash/scene"
	"voidline/void"
	"voidline/void/body"
	"voidline/void/cell"
)

// Breach is one rule that a pair breaks.
type Breach struct {
	rules.Use
	Gap   float64
	Asked float64
	Side  cell.Towards
}

// Short returns the shortfall.
func (b Breach) Short() float64 { return b.Asked - b.Gap }

// Verdict is what a pair of bodies comes to.
type Verdict struct {
	Overlap  bool
	Gap      float64   // how far apart the two are, 0 in an overlap
	Vertical float64   // of an overlap: the least upright move that parts them
	Sideways float64   // and the least level one; NaN where the places are not known
	broken   [3]Breach // the first n: one rule all round, one beside, one over or under
	N        int
	Crossed  bool // a rule that counts along a length only was near enough, but not for long enough
}

func (v *Verdict) Any() bool { return v.Overlap || v.N > 0 }

// Breaches returns the rules that are broken; they are good as long as the verdict.
func (v *Verdict) Breaches() []Breach { return v.broken[:v.N] }

// Main returns the rule that is broken the most, nothing where none is.
func (v *Verdict) Main() Breach {
	if v.N == 0 {
		return Breach{}
	}
	return v.broken[Worst(v.Breaches())]
}

// Depth returns the lesser of the two moves of an overlap.
func (v *Verdict) Depth() float64 {
	if math.IsNaN(v.Sideways) || v.Vertical < v.Sideways {
		return v.Vertical
	}
	return v.Sideways
}

// Two is a pair of bodies that is measured: each measure is taken once, when it is first asked for.
type Two struct {
	a, b     body.Body
	touch    float64 // the depth in mm up to which they may rest on each other
	byHeight bool    // only heights are known: one of the two lies over its whole bay

	gap      float64 // negative until it is measured
	span     r1.Interval
	meets    bool // they meet upright
	measured bool // span and meets are
}

// TwoOf returns two bodies to be measured, which may rest on each other by touch mm. byHeight says that only heights are known.
func TwoOf(a, b body.Body, touch float64, byHeight bool) Two {
	return Two{a: a, b: b, touch: touch, byHeight: byHeight, gap: -1}
}

// apart returns how far apart they are, 0 where they touch or overlap.
func (t *Two) apart() float64 {
	if t.gap < 0 {
		t.gap = body.Gap(t.a, t.b).MM
	}
	return t.gap
}

// upright returns the shifts straight up of a that make it touch b; false where none does.
func (t *Two) upright() (r1.Interval, bool) {
	if !t.measured {
		t.span, t.meets = body.Span(t.a, t.b, scene.Up)
		t.measured = true
	}
	return t.span, t.meets
}

// sharePlan reports whether they lie over each other.
func (t *Two) sharePlan() bool { return body.PlanOverlap(t.a, t.b) > t.touch+void.Hair }

// Bodies returns the two, and whether only heights are known of them.
func (t *Two) Bodies() (a, b body.Body, byHeight bool) { return t.a, t.b, t.byHeight }

// Unknown reports whether how far apart they are is not known: one lies somewhere over its bay, and the other beside the bay.
func (t *Two) Unknown() bool { return t.byHeight && !t.sharePlan() }

// of returns the body that a rule is of, and the other.
func (t *Two) of(u rules.Use) (body.Body, body.Body) {
	if u.OfA {
		return t.a, t.b
	}
	return t.b, t.a
}

// Overlap returns how deep they are in each other: the least upright and the least level move that parts them (NaN where only
// heights are known). Where the depth alone is wanted (exact false) and is plainly the upright one, the level one is a length that it
// is not less than.
func (t *Two) Overlap(exact bool) (vertical, sideways float64, is bool) {
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

// Around says whether less is clear all round than a rule asks (near), and for long enough along what it is of (broken).
func (t *Two) Around(u rules.Use) (near, broken bool) {
	if !u.Valid || !figure.Lacks(t.apart(), u.Gap) {
		return false, false
	}
	x, y := t.of(u)
	return true, t.byHeight || LongOn(x, y, cell.Around, u.Gap, u.Over)
}

// Beside is around for a rule that counts at the same height, and says how far apart they are there.
func (t *Two) Beside(u rules.Use) (gap float64, near, broken bool) {
	if !u.Valid || t.byHeight || body.SharedHeight(t.a, t.b) <= t.touch+void.Hair {
		return 0, false, false
	}
	m, ok := body.Beside(t.a, t.b)
	if !ok || !figure.Lacks(m.MM, u.Gap) {
		return 0, false, false
	}
	x, y := t.of(u)
	return m.MM, true, LongOn(x, y, cell.Beside, u.Gap, u.Over)
}

// OverUnder is around for the rules that look upwards and downwards: over counts where b stands over a, under where it stands under
// it. In an overlap the higher of the two counts as over the other: a rule that asks for room above is not lost when what
// comes down into the room comes further.
func (t *Two) OverUnder(over, under rules.Use) (b Breach, near, broken bool) {
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
	b = Breach{u, d, u.Gap, SideSeen(u, side)}
	x, y := t.of(u)
	return b, true, t.byHeight || LongOn(x, y, b.Side, u.Gap, u.Over)
}

// Judge measures a against b by what the choice asks. byHeight says that only heights are known: one
// of the two lies over its whole bay.
func Judge(a, b body.Body, ch *rules.Choice, touch float64, byHeight bool) Verdict {
	t := TwoOf(a, b, touch, byHeight)
	return t.Judge(ch, true)
}

// Judge measures the two by what the choice asks. Who wants no more of an overlap than its depth (exact false) gets, where that is plainly
// the vertical move, for sideways a length that the level one is not less than.
func (t *Two) Judge(ch *rules.Choice, exact bool) Verdict {
	v := Verdict{Gap: t.apart()}
	if v.Gap > 0 && v.Gap >= ch.Need-void.Hair {
		return v
	}
	if t.Unknown() {
		return v
	}
	if vertical, sideways, is := t.Overlap(exact); vertical > 0 {
		v.Vertical, v.Sideways, v.Overlap = vertical, sideways, is
	}
	add := func(b Breach, near, broken bool) {
		if broken {
			v.broken[v.N] = b
			v.N++
		} else if near {
			v.Crossed = true
		}
	}
	near, broken := t.Around(ch.Around)
	add(Breach{ch.Around, v.Gap, ch.Around.Gap, cell.Around}, near, broken)
	gap, near, broken := t.Beside(ch.Beside)
	add(Breach{ch.Beside, gap, ch.Beside.Gap, cell.Beside}, near, broken)
	add(t.OverUnder(ch.Over, ch.Under))
	return v
}

// Breaks reports whether judge would find anything: it ends at the first thing that it finds.
func Breaks(a, b body.Body, ch *rules.Choice, touch float64, byHeight bool) bool {
	t := TwoOf(a, b, touch, byHeight)
	if !byHeight {
		if _, broken := t.Around(ch.Around); broken {
			return true
		}
	}
	v := t.Judge(ch, false)
	return v.Any()
}

// SideSeen returns the side as seen from the rule's of: fromA is how it looks from a.
func SideSeen(u rules.Use, fromA cell.Towards) cell.Towards {
	if u.OfA {
		return fromA
	}
	if fromA == cell.Above {
		return cell.Below
	}
	return cell.Above
}

// Worst returns the index of the breach with the greatest shortfall, the first of equals.
func Worst(bs []Breach) int {
	k := 0
	for i := range bs {
		if bs[i].Short() > bs[k].Short()+void.Hair {
			k = i
		}
	}
	return k
}

// Covered returns the length of the union of intervals; empty ones count nothing.
func Covered[T any](list []T, of func(T) (lo, hi float64)) float64 {
	type iv struct{ lo, hi float64 }
	var ivs []iv
	for _, x := range list {
		if lo, hi := of(x); hi > lo {
			ivs = append(ivs, iv{lo, hi})
		}
	}
	slices.SortFunc(ivs, func(a, b iv) int {
		if a.lo < b.lo {
			return -1
		}
		if a.lo > b.lo {
			return 1
		}
		return 0
	})
	sum, at := 0.0, math.Inf(-1)
	for _, v := range ivs {
		if v.hi > at {
			sum += v.hi - math.Max(v.lo, at)
			at = v.hi
		}
	}
	return sum
}
