package clash

import (
	"cmp"
	"maps"
	"math"
	"slices"
	"strings"

	"github.com/golang/geo/r1"

	"voidline/clash/rules"
	"voidline/void"
	"voidline/void/body"
	"voidline/void/cell"
)

// Bar is a band of heights that one thing forbids a row: a shift straight up by t, Lo < t < Hi, is a
// finding between the two. Lo may be -Inf (a ceiling) and Hi +Inf (a soffit).
type Bar struct {
	By   string // zone id, or the id of a ceiling or a soffit
	Zone int    // index of the zone, -1 for a ceiling or a soffit
	Bay  int    // index of the bay of a ceiling or a soffit, -1 for a zone
	// From and To are where along the row it counts: mm in plan from the row's start. Clearances all round
	// reach that far along the row too, so that a row that ends before From is clear at any height.
	From, To float64
	Lo, Hi   float64
	// Open are shifts between Lo and Hi that are allowed all the same: through an opening made for it, through a
	// wall as builder's work, or where the two meet and belong together. Closed intervals, ascending.
	Open []r1.Interval
	// Still: no bend may stand between From and To (inside a wall).
	Still bool
	// Structure: By is structure and does not move.
	Structure bool
	// Over: the rule counts over a length alone.
	Over  bool
	Rule  string
	Basis rules.Basis
	Asked float64 // what the rule asks, mm; 0 for an overlap
	Side  cell.Towards
}

// Bars returns the heights that are forbidden to zone i, were its bare section the body given, each with what forbids
// it: all that a check would find of it if it were shifted straight up or down, with nothing resting on
// anything. Rows of its own run count for nothing: they are shifted with it. Rules that count only over a length
// are asked of the whole body, and of what the rows of two runs come to together. The other's slope is taken in lengths of
// half a metre, so that the bar follows it.
//
// What stands wholly under the ceiling's finished face or above the soffit is forbidden however far: the row is to lie in the void.
func (c *Check) Bars(i int, bare body.Body) []Bar {
	return c.bars(i, c.p.Zone(i).Around(bare), false, true)
}

// BarsAtOnce is Bars with rules that count over a length counting at once, however short a stretch is.
func (c *Check) BarsAtOnce(i int, bare body.Body) []Bar {
	return c.bars(i, c.p.Zone(i).Around(bare), true, true)
}

// Struck returns which of the bars forbid zone i where it is, were its body, with joint, insulation and top, the one given. hung:
// with what hangs under it.
func (c *Check) Struck(i int, full body.Body, hung bool) []Bar {
	return slices.DeleteFunc(c.bars(i, full, false, hung), func(x Bar) bool {
		return x.Lo >= -void.Hair || x.Hi <= void.Hair ||
			slices.ContainsFunc(x.Open, func(w r1.Interval) bool { return w.Lo <= void.Hair && w.Hi >= -void.Hair })
	})
}

func (c *Check) bars(i int, full body.Body, atOnce, hung bool) []Bar {
	c.laid(straysMost)
	bans := forbidden(c.tape, query{zone: int32(i), full: full, dir: up, within: r1.Interval{Lo: math.Inf(-1), Hi: math.Inf(1)}, hung: hung, atOnce: atOnce})
	out := make([]Bar, len(bans))
	for k := range bans {
		out[k] = c.bar(&bans[k])
	}
	slices.SortStableFunc(out, func(a, b Bar) int {
		return cmp.Or(cmp.Compare(a.From, b.From), cmp.Compare(a.Lo, b.Lo), cmp.Compare(a.Hi, b.Hi), strings.Compare(a.By, b.By))
	})
	return out
}

// bar says a ban in names.
func (c *Check) bar(b *ban) Bar {
	x := Bar{
		Zone: int(b.zone), Bay: int(b.bay), From: b.from, To: b.to, Lo: b.Lo, Hi: b.Hi, Open: b.holes, Still: b.still, Over: b.along,
		Rule: inOnePlace, Basis: rules.Geometry, Asked: b.asked, Side: b.side,
	}
	switch {
	case b.bay >= 0 && b.soffit:
		x.By, x.Structure = c.p.Bays[b.bay].SoffitID(), true
	case b.bay >= 0:
		x.By = c.p.Bays[b.bay].CeilingID()
	default:
		x.By, x.Structure = c.zone(b.zone).ID, c.structure(b.zone) && b.space < 0
	}
	switch {
	case b.rule != nil:
		x.Rule, x.Basis = b.rule.Name, b.rule.Basis
	case b.space >= 0:
		x.Rule, x.Basis = c.p.Spaces[b.space].Kind.String()+" of "+x.By, rules.Maker
	}
	return x
}

// Finds reports whether a check would find something between zone i and zone j, were i's body, with joint, insulation and top, the
// one given, and nothing rested on anything.
func (c *Check) Finds(i int, full body.Body, j int) bool {
	a, b := int32(i), int32(j)
	return !allowed(c.tape, c.put(a, full), c.drawn(b), c.rules.Between(c.trait(a), c.trait(b)), 0)
}

// Laid is a zone, or a part of it, with the bare section where it is laid.
type Laid struct {
	Zone int
	Bare body.Body
}

// Summed returns what a check would find of lengths added up along a run (rules that count over a length) were it laid as
// given: its rows cut, each part at its level, sets as they slope. Found is one bar for each rule and thing, without heights.
func (c *Check) Summed(parts []Laid) []Bar {
	c.laid(straysMost)
	r, h := &run{Check: c}, c.rules.Reader()
	type sum struct {
		rule   *rules.Rule
		by     int32
		pieces map[int][]piece // by the row that the rule is of: the parts below zero
	}
	sums := map[alongKey]*sum{}
	for k, part := range parts {
		i := int32(part.Zone)
		laid := c.put(i, c.p.Zone(part.Zone).Around(part.Bare))
		var near []int32
		c.near(laid.box, c.rules.Widest(), func(j int32) {
			own := slices.ContainsFunc(parts, func(p Laid) bool { return int32(p.Zone) == j || c.sameNamedRun(int32(p.Zone), j) })
			if !own && !c.zone(j).ByHeight {
				near = append(near, j)
			}
		})
		slices.Sort(near)
		for _, j := range near {
			e := encounter{a: laid, b: c.drawn(j)}
			if c.zone(j).ID < c.zone(i).ID {
				e.a, e.b = e.b, e.a
			}
			e.ch = h.Between(c.trait(e.a.zone), c.trait(e.b.zone))
			if e.a.box.apart(&e.b.box) > e.ch.Need || !judge(e.a.full, e.b.full, e.ch, 0, false).crossed {
				continue
			}
			out := &batch{}
			r.crossing(out, &e, 0)
			for _, x := range out.crossed {
				s := sums[x.key]
				if s == nil {
					s = &sum{x.rule, j, map[int][]piece{}}
					sums[x.key] = s
				}
				of, full := int(x.of), laid.full
				if x.of == i {
					of = -k - 1
				} else {
					full = c.full(j)
				}
				s.pieces[of] = append(s.pieces[of], piece{row: of, b: full, lo: x.lo, hi: x.hi})
			}
		}
	}
	keys := slices.SortedFunc(maps.Keys(sums), func(a, b alongKey) int {
		return cmp.Or(cmp.Compare(a.rule, b.rule), cmp.Compare(a.of, b.of), cmp.Compare(a.to, b.to))
	})
	var out []Bar
	for _, k := range keys {
		s := sums[k]
		var ps []piece
		for _, of := range slices.Sorted(maps.Keys(s.pieces)) {
			ps = append(ps, s.pieces[of]...)
		}
		if longest(ps) > s.rule.Over+void.Hair {
			out = append(out, Bar{
				By: c.zone(s.by).ID, Zone: int(s.by), Bay: -1, Lo: math.Inf(-1), Hi: math.Inf(1), Structure: c.structure(s.by),
				Rule: s.rule.Name, Basis: s.rule.Basis, Asked: s.rule.Gap,
			})
		}
	}
	return out
}
