package clash

import (
	"voidline/clash/rules"
	"voidline/void/body"
)

// comes is what a pair of zones comes to.
type comes uint8

const (
	toNothing comes = iota // it breaks nothing
	toExcuse               // it belongs together, and breaks nothing beyond where it meets
	toPassage              // the one is structure, and the other gets through it
	toFinding
)

// encounter is a pair of zones, measured.
type encounter struct {
	a, b     put // the two as they are asked about
	ch       *rules.Choice
	byHeight bool // one of the two lies over its whole bay: only heights are known
	comes    comes
	silent   bool // nothing can be said of the pair
	v        verdict
	crossed  bool      // a rule that counts along a length only was near enough, but not for long enough
	restA    body.Body // what was measured of a: the whole, or what is left of it where the two meet
	restB    body.Body // the same of b
	built    int8      // which of the two is structure, 1 a, 2 b, where the other is not and overlaps it; else 0
	passage  *passage  // through the one that is structure
	j        joint
}

// joint is what apart says of a pair, once it is asked.
type joint struct {
	known     bool
	why       tie
	A, B      body.Body
	left, met bool
}

// joined asks, at the first time, whether two zones belong together and meet.
func (t *tape) joined(e *encounter) *joint {
	if j := &e.j; !j.known {
		j.known = true
		if j.why = t.belong(e.a.zone, e.b.zone); j.why != noTie {
			j.A, j.B, j.left, j.met = t.apart(e.a, e.b, j.why)
		}
	}
	return &e.j
}

// service returns the service and the structure of an encounter of the two.
func (e *encounter) service() (service, structure put) {
	if e.built == 1 {
		return e.b, e.a
	}
	return e.a, e.b
}

// encounter says what a pair comes to: what it breaks, whether the one gets through the other, and whether the two belong
// together. exact wants the sideways move of an overlap even where its depth is the upright one.
func (t *tape) encounter(a, b put, ch *rules.Choice, touch float64, exact bool) (e encounter) {
	za, zb := t.zone(a.zone), t.zone(b.zone)
	e = encounter{a: a, b: b, ch: ch, restA: a.full, restB: b.full, byHeight: za.ByHeight || zb.ByHeight}
	if e.byHeight {
		// A column or a wall at the bay's edge says nothing against a list of heights; nor do, side by side in one ceiling, two things
		// set into it; nor does its own run.
		if t.upright(a.zone) || t.upright(b.zone) || za.Recessed && zb.Recessed {
			e.silent = true
			return e
		}
		if why := t.belong(a.zone, b.zone); why == sameRun || why == namedJoin {
			e.comes, e.j = toExcuse, joint{known: true, why: why, met: true}
			return e
		}
	}
	two := twoOf(a.full, b.full, touch, e.byHeight)
	e.v = two.judge(ch, exact)
	e.crossed = e.v.crossed
	if !e.v.any() || za.ByHeight && zb.ByHeight && za.Bay != zb.Bay {
		return e
	}
	if sa, sb := t.structure(a.zone), t.structure(b.zone); sa != sb && e.v.overlap && !e.byHeight {
		if e.built = 2; sa {
			e.built = 1
		}
		p := t.passage(e.service())
		if e.passage = &p; p.how != solid {
			e.comes = toPassage
			return e
		}
	}
	if !e.byHeight && t.joined(&e).met {
		rest := verdict{}
		if e.j.left {
			two := twoOf(e.j.A, e.j.B, touch, false)
			rest = two.judge(ch, exact)
		}
		if !rest.any() {
			e.comes = toExcuse
			return e
		}
		e.restA, e.restB, e.v = e.j.A, e.j.B, rest
	}
	e.comes = toFinding
	return e
}
