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

// judge measures a against b by what the choice asks. byHeight says that only heights are known: one
// of the two lies over its whole bay.
func judge(a, b body.Body, ch *rules.Choice, touch float64, byHeight bool) verdict {
	return judgeTo(body.Gap(a, b), a, b, ch, touch, byHeight, true)
}

// judgeDepth is judge for who wants no more of an overlap than its depth: where that is plainly the vertical move, sideways is
// a length that the level one is not less than.
func judgeDepth(a, b body.Body, ch *rules.Choice, touch float64, byHeight bool) verdict {
	return judgeTo(body.Gap(a, b), a, b, ch, touch, byHeight, false)
}

// judgeTo judges two between which the gap is known.
func judgeTo(g body.Measure, a, b body.Body, ch *rules.Choice, touch float64, byHeight, sideways bool) verdict {
	var v verdict
	v.gap = g.MM
	if g.MM > 0 && g.MM >= ch.Need-void.Hair {
		return v
	}
	if byHeight && body.PlanOverlap(a, b) <= touch+void.Hair {
		return v // beside the bay: how far apart is not known
	}
	var span r1.Interval
	upright := false
	measured := false
	spanUp := func() {
		if !measured {
			span, upright = body.Span(a, b, up)
			measured = true
		}
	}
	if g.MM == 0 {
		spanUp()
		if upright && span.Lo < -touch-figure.Slack && span.Hi > touch+figure.Slack {
			v.vertical = math.Min(-span.Lo, span.Hi)
			v.sideways = math.NaN()
			if byHeight {
				v.overlap = true
			} else if least := body.PartAtLeast(a, b); !sideways && least > math.Max(v.vertical, touch)+2*void.Hair {
				v.sideways, v.overlap = least, true
			} else if part, ok := body.Part(a, b); ok {
				v.sideways = part.MM
				v.overlap = part.MM > touch+figure.Slack
			}
		}
	}
	add := func(u rules.Use, gap float64, side cell.Towards) {
		if figure.Lacks(gap, u.Gap) {
			v.broken[v.n] = breach{u, gap, u.Gap, side}
			v.n++
		}
	}
	of := func(u rules.Use) (body.Body, body.Body) {
		if u.OfA {
			return a, b
		}
		return b, a
	}
	if u := ch.Around; u.Valid && figure.Lacks(g.MM, u.Gap) {
		x, y := of(u)
		if byHeight || longOn(x, y, cell.Around, u.Gap, u.Over) {
			add(u, g.MM, cell.Around)
		} else {
			v.crossed = true
		}
	}
	if u := ch.Beside; u.Valid && !byHeight && body.SharedHeight(a, b) > touch+void.Hair {
		if m, ok := body.Beside(a, b); ok && figure.Lacks(m.MM, u.Gap) {
			x, y := of(u)
			if longOn(x, y, cell.Beside, u.Gap, u.Over) {
				add(u, m.MM, cell.Beside)
			} else {
				v.crossed = true
			}
		}
	}
	// In an overlap the higher of the two counts as over the other: a rule that asks for room above is
	// not lost when what comes down into the room comes further.
	if (ch.Over.Valid && ch.Over.Gap > 0 || ch.Under.Valid && ch.Under.Gap > 0) && (byHeight || body.PlanOverlap(a, b) > touch+void.Hair) {
		spanUp()
		if !upright {
			return v
		}
		u, side, d := ch.Over, cell.Above, math.Max(0, span.Lo)
		if span.Lo+span.Hi <= 0 { // b stands under a
			u, side, d = ch.Under, cell.Below, math.Max(0, -span.Hi)
		}
		if u.Valid && figure.Lacks(d, u.Gap) {
			x, y := of(u)
			if byHeight || longOn(x, y, sideSeen(u, side), u.Gap, u.Over) {
				add(u, d, sideSeen(u, side))
			} else {
				v.crossed = true
			}
		}
	}
	return v
}

// breaks reports whether judge would find anything: it ends at the first thing that it finds.
func breaks(a, b body.Body, ch *rules.Choice, touch float64, byHeight bool) bool {
	g := body.Gap(a, b)
	if u := ch.Around; u.Valid && !byHeight && figure.Lacks(g.MM, u.Gap) {
		x, y := a, b
		if !u.OfA {
			x, y = b, a
		}
		if longOn(x, y, cell.Around, u.Gap, u.Over) {
			return true
		}
	}
	v := judgeTo(g, a, b, ch, touch, byHeight, false)
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
