package measure

import (
	"voidline/clash/rules"
	"voidline/clash/scene"
	"voidline/void/body"
)

// Outcome is what a pair of zones comes to.
type Outcome uint8

const (
	ToNothing Outcome = iota // it breaks nothing
	ToExcuse                 // it belongs together, and breaks nothing beyond where it meets
	ToPassage                // the one is structure, and the other gets through it
	ToFinding
)

// Encounter is a pair of zones, measured.
type Encounter struct {
	A, B     scene.Put // the two as they are asked about
	Ch       *rules.Choice
	ByHeight bool // one of the two lies over its whole bay: only heights are known
	Comes    Outcome
	Silent   bool // nothing can be said of the pair
	V        Verdict
	Crossed  bool      // a rule that counts along a length only was near enough, but not for long enough
	RestA    body.Body // what was measured of a: the whole, or what is left of it where the two meet
	RestB    body.Body // the same of b
	built    int8      // which of the two is structure, 1 a, 2 b, where the other is not and overlaps it; else 0
	Passage  *Passage  // through the one that is structure
	J        joint
}

// joint is what apart says of a pair, once it is asked.
type joint struct {
	known     bool
	Why       Tie
	A, B      body.Body
	left, Met bool
}

// Joined asks, at the first time, whether two zones belong together and meet.
func (t *Tape) Joined(e *Encounter) *joint {
	if j := &e.J; !j.known {
		j.known = true
		if j.Why = t.Belong(e.A.Zone, e.B.Zone); j.Why != NoTie {
			j.A, j.B, j.left, j.Met = t.Apart(e.A, e.B, j.Why)
		}
	}
	return &e.J
}

// Service returns the service and the structure of an encounter of the two.
func (e *Encounter) Service() (service, structure scene.Put) {
	if e.built == 1 {
		return e.B, e.A
	}
	return e.A, e.B
}

// Encounter says what a pair comes to: what it breaks, whether the one gets through the other, and whether the two belong
// together. exact wants the sideways move of an overlap even where its depth is the upright one.
func (t *Tape) Encounter(a, b scene.Put, ch *rules.Choice, touch float64, exact bool) (e Encounter) {
	za, zb := t.Zone(a.Zone), t.Zone(b.Zone)
	e = Encounter{A: a, B: b, Ch: ch, RestA: a.Full, RestB: b.Full, ByHeight: za.ByHeight || zb.ByHeight}
	if e.ByHeight {
		// A column or a wall at the bay's edge says nothing against a list of heights; nor do, side by side in one ceiling, two things
		// set into it; nor does its own run.
		if t.Upright(a.Zone) || t.Upright(b.Zone) || za.Recessed && zb.Recessed {
			e.Silent = true
			return e
		}
		if why := t.Belong(a.Zone, b.Zone); why == SameRun || why == NamedJoin {
			e.Comes, e.J = ToExcuse, joint{known: true, Why: why, Met: true}
			return e
		}
	}
	two := TwoOf(a.Full, b.Full, touch, e.ByHeight)
	e.V = two.Judge(ch, exact)
	e.Crossed = e.V.Crossed
	if !e.V.Any() || za.ByHeight && zb.ByHeight && za.Bay != zb.Bay {
		return e
	}
	if sa, sb := t.Structure(a.Zone), t.Structure(b.Zone); sa != sb && e.V.Overlap && !e.ByHeight {
		if e.built = 2; sa {
			e.built = 1
		}
		p := t.passage(e.Service())
		if e.Passage = &p; p.How != solid {
			e.Comes = ToPassage
			return e
		}
	}
	if !e.ByHeight && t.Joined(&e).Met {
		rest := Verdict{}
		if e.J.left {
			two := TwoOf(e.J.A, e.J.B, touch, false)
			rest = two.Judge(ch, exact)
		}
		if !rest.Any() {
			e.Comes = ToExcuse
			return e
		}
		e.RestA, e.RestB, e.V = e.J.A, e.J.B, rest
	}
	e.Comes = ToFinding
	return e
}
