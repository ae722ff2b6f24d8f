package clash

import (
	"cmp"
	"maps"
	"math"
	"slices"
	"strings"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r3"

	"voidline/clash/figure"
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
// are asked of the whole body, and of what the rows of two runs come to together.
//
// What stands wholly under the ceiling's finished face or above the soffit is no finding of the check; here
// it is forbidden: the row is to lie in the void.
//
// Of each pair and each rule the forbidden shifts are one interval, for both bodies are convex: its ends are
// those at which level faces come to the asked gap, proved by measuring there and a little further; where faces
// slope or are round they are found by halving, to a ten-thousandth of a millimetre, rounded outwards. The other's
// slope is taken in lengths of half a metre, so that the bar follows it.
func (c *Check) Bars(i int, bare body.Body) []Bar { return c.bars(i, bare, false) }

// BarsAtOnce is Bars with rules that count over a length counting at once, however short a stretch is.
func (c *Check) BarsAtOnce(i int, bare body.Body) []Bar { return c.bars(i, bare, true) }

func (c *Check) bars(i int, bare body.Body, atOnce bool) []Bar {
	return c.barsOf(i, c.p.Zone(i).Around(bare), atOnce, true)
}

// Struck returns which of the bars forbid zone i where it is, were its body, with joint, insulation and top, the one given. hung:
// with what hangs under it.
func (c *Check) Struck(i int, full body.Body, hung bool) []Bar {
	return slices.DeleteFunc(c.barsOf(i, full, false, hung), func(x Bar) bool {
		return x.Lo >= -void.Hair || x.Hi <= void.Hair ||
			slices.ContainsFunc(x.Open, func(w r1.Interval) bool { return w.Lo <= void.Hair && w.Hi >= -void.Hair })
	})
}

// Finds reports whether a check would find something between zone i and zone j, were i's body, with joint, insulation and top, the
// one given.
func (c *Check) Finds(i int, full body.Body, j int) bool {
	touch, was := c.opt.Touch, c.box[i]
	c.opt.Touch = 0
	c.hold(int32(i), full)
	defer func() {
		c.letGo()
		c.opt.Touch, c.box[i] = touch, was
	}()
	l := &lift{run: &run{Check: c}, i: int32(i), h: c.rules.Reader()}
	l.base = full
	return l.found(int32(j), 0)
}

func (c *Check) barsOf(i int, full body.Body, atOnce, hung bool) []Bar {
	touch, was := c.opt.Touch, c.box[i]
	c.opt.Touch = 0
	c.hold(int32(i), full)
	defer func() {
		c.letGo()
		c.opt.Touch, c.box[i] = touch, was
	}()
	l := &lift{run: &run{Check: c}, i: int32(i), h: c.rules.Reader(), atOnce: atOnce, hung: hung}
	l.base, l.box = c.heldBody, c.box[i]
	l.length = 2 * math.Hypot(l.base.Along.X, l.base.Along.Y)
	for j := int32(0); j < int32(c.p.Zones()); j++ {
		if !l.own(j) {
			l.against(j)
		}
	}
	l.ceilings()
	l.soffits()
	l.access()
	l.oneSides()
	slices.SortStableFunc(l.bars, func(a, b Bar) int {
		switch {
		case a.From != b.From:
			return sign(a.From - b.From)
		case a.Lo != b.Lo:
			return sign(a.Lo - b.Lo)
		case a.Hi != b.Hi:
			return sign(a.Hi - b.Hi)
		case a.By < b.By:
			return -1
		case a.By > b.By:
			return 1
		}
		return 0
	})
	return l.bars
}

// Laid is a zone, or a part of it, with the bare section where it is laid.
type Laid struct {
	Zone int
	Bare body.Body
}

// Summed returns what a check would find of lengths added up along a run (rules that count over a length) were it laid as
// given: its rows cut, each part at its level, sets as they slope. Found is one bar for each rule and thing, without heights.
func (c *Check) Summed(parts []Laid) []Bar {
	touch := c.opt.Touch
	c.opt.Touch = 0
	defer func() { c.opt.Touch = touch }()
	r, h := &run{Check: c}, c.rules.Reader()
	own := func(j int32) bool {
		return slices.ContainsFunc(parts, func(p Laid) bool {
			return int32(p.Zone) == j || r.zone(j).Run() != "" && strings.EqualFold(r.zone(j).Run(), c.p.Zone(p.Zone).Run())
		})
	}
	type sum struct {
		rule   *rules.Rule
		by     int32
		pieces map[int][]piece // by the row that the rule is of: the parts below zero
	}
	sums := map[alongKey]*sum{}
	var keys []alongKey
	for k, part := range parts {
		i := int32(part.Zone)
		was := c.box[i]
		c.hold(i, c.p.Zone(part.Zone).Around(part.Bare))
		for j := int32(0); j < int32(c.p.Zones()); j++ {
			if own(j) || r.zone(j).ByHeight {
				continue
			}
			ch := h.Between(r.trait(i), r.trait(j))
			if c.box[i].apart(&c.box[j]) > ch.Need {
				continue
			}
			a, b := i, j
			if r.zone(b).ID < r.zone(a).ID {
				a, b = b, a
			}
			ch = h.Between(r.trait(a), r.trait(b))
			if !judge(r.full(a), r.full(b), ch, 0, false).crossed {
				continue
			}
			out := &batch{}
			r.crossing(out, ch, a, b)
			for _, x := range out.crossed {
				s := sums[x.key]
				if s == nil {
					s = &sum{x.rule, j, map[int][]piece{}}
					sums[x.key] = s
					keys = append(keys, x.key)
				}
				of := int(x.of)
				if x.of == i {
					of = -k - 1
				}
				s.pieces[of] = append(s.pieces[of], piece{row: of, b: r.full(x.of), lo: x.lo, hi: x.hi})
			}
		}
		c.letGo()
		c.box[i] = was
	}
	slices.SortFunc(keys, func(a, b alongKey) int {
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
				By: r.zone(s.by).ID, Zone: int(s.by), Bay: -1, Lo: math.Inf(-1), Hi: math.Inf(1), Structure: r.structure(s.by),
				Rule: s.rule.Name, Basis: s.rule.Basis, Asked: s.rule.Gap,
			})
		}
	}
	return out
}

func sign(d float64) int {
	if d < 0 {
		return -1
	}
	return 1
}

// lift gathers the bars of one row.
type lift struct {
	*run
	i      int32
	h      *rules.Reader
	base   body.Body
	box    box
	length float64 // in plan
	bars   []Bar
	atOnce bool // rules that count over a length count at once
	hung   bool // with what hangs under the row
	runs   map[string][]int32
	whole  float64 // see runLength; 0 until it is asked
}

// sliceLength is how long the pieces are in which a falling body is taken, mm.
const sliceLength = 500

// fine is how near a bound found by halving is to the true one, mm; it is rounded outwards by as much.
const fine = 1e-4

func (l *lift) own(j int32) bool {
	z, o := l.zone(l.i), l.zone(j)
	return j == l.i || z.Run() != "" && strings.EqualFold(z.Run(), o.Run())
}

// at returns the row shifted up by t.
func (l *lift) at(t float64) body.Body { return l.base.Shift(r3.Vector{Z: t}) }

// against adds the bars of one other zone.
func (l *lift) against(j int32) {
	z, o := l.zone(l.i), l.zone(j)
	ch := l.h.Between(l.trait(l.i), l.trait(j))
	O := l.full(j)
	byHeight := z.ByHeight || o.ByHeight
	if byHeight && (l.upright(l.i) || l.upright(j)) || z.ByHeight && o.ByHeight && z.Bay != o.Bay {
		return
	}
	ob := l.Check.box[j]
	for k := 0; k < 2; k++ {
		if math.Max(l.box.lo[k]-ob.hi[k], ob.lo[k]-l.box.hi[k]) > ch.Need {
			return
		}
	}
	rules := l.rulesOf(ch, j, O, byHeight)
	if len(rules) == 0 {
		return
	}
	bar := func(r ruled, on body.Body, iv r1.Interval) {
		from, to, ok := l.stations(on, r.reach)
		if !ok {
			return
		}
		l.bars = append(l.bars, Bar{
			By: o.ID, Zone: int(j), Bay: -1, From: from, To: to, Lo: iv.Lo, Hi: iv.Hi, Structure: l.structure(j), Over: r.along,
			Rule: r.name, Basis: r.basis, Asked: r.gap, Side: r.side,
		})
	}
	why := l.belong(l.i, j)
	special := !byHeight && (why != "" || l.structure(j) && (len(l.openingsIn[j]) > 0 || isWall(l.char(j).Kind)))
	if O.Along.Z != 0 && !o.Upright && !special && lengthOf(O) > 2*sliceLength {
		n := math.Ceil(lengthOf(O) / sliceLength)
		for k := 0.0; k < n; k++ {
			part, ok := body.Trim(O, k*lengthOf(O)/n, (n-1-k)*lengthOf(O)/n)
			if !ok {
				continue
			}
			for _, r := range rules {
				// Of a slice its nearness; whether it is near for long enough, the whole decides.
				short := r
				short.over = 0
				if iv, ok := l.interval(short, part, byHeight); ok {
					if iv = iv.Intersection(r.iv); iv.Length() > 0 {
						bar(r, part, iv)
					}
				}
			}
		}
		return
	}
	had := len(l.bars)
	for _, r := range rules {
		bar(r, O, r.iv)
	}
	if special {
		l.ways(l.bars[had:], j)
	}
}

// ruled is one thing that a pair asks, with the shifts that it forbids.
type ruled struct {
	iv    r1.Interval
	ch    rules.Choice // with this rule alone
	over  float64
	along bool // its rule counts over a length
	gap   float64
	reach float64 // how far beside the other it still counts, in plan
	name  string
	basis rules.Basis
	side  cell.Towards
	mid   bool // one end of the interval is where the other comes to stand on the other side
	way   float64
}

// rulesOf returns what the pair asks and what each forbids.
func (l *lift) rulesOf(ch *rules.Choice, j int32, O body.Body, byHeight bool) []ruled {
	var out []ruled
	try := func(r ruled) {
		r.over = 0
		if u := r.use(); u.Valid && u.Rule.Over > 0 {
			r.over, r.along = u.Rule.Over, true
			if l.atOnce || l.together(u, j, r.reach) {
				r.over = 0
			}
		}
		if iv, ok := l.interval(r, O, byHeight); ok {
			r.iv = iv
			out = append(out, r)
		}
	}
	try(ruled{name: inOnePlace, basis: rules.Geometry})
	named := func(u rules.Use, side cell.Towards, reach float64, c rules.Choice, way float64) {
		if !u.Valid || u.Gap <= 0 {
			return
		}
		c.Need = u.Gap
		try(ruled{ch: c, gap: u.Gap, reach: reach, name: u.Rule.Name, basis: u.Rule.Basis, side: sideSeen(u, side), mid: way != 0, way: way})
	}
	named(ch.Around, cell.Around, ch.Around.Gap, rules.Choice{Around: ch.Around}, 0)
	if !byHeight {
		named(ch.Beside, cell.Beside, ch.Beside.Gap, rules.Choice{Beside: ch.Beside}, 0)
	}
	// A rule that looks up or down stands beside its other half, so that it decides between the same
	// two sides as the check does.
	named(ch.Over, cell.Above, 0, rules.Choice{Over: ch.Over}, -1)
	named(ch.Under, cell.Below, 0, rules.Choice{Under: ch.Under}, 1)
	return out
}

// together reports whether a rule that counts over a length may count over several rows of the row's run and of
// j's, taken together, although each pair is short. Where only one pair is near, its own length decides.
//
// It looks at the plan alone, so at some heights it takes for near what is not: the bar is then the larger. A set is longer
// along its slope than in the plan; what that adds Summed sees.
func (l *lift) together(u rules.Use, j int32, reach float64) bool {
	mine, others := l.rowsOf(l.i), l.rowsOf(j)
	if len(mine) == 1 && len(others) == 1 {
		return false
	}
	var ps []piece
	row := map[int32]int{}
	for _, a := range mine {
		for _, b := range others {
			of, O, T := a, l.full(a), l.full(b)
			if !u.OfA {
				of, O, T = b, T, O
			}
			if lo, hi, ok := body.Stretch(flat(O), flat(T), reach+void.Hair); ok && hi > lo {
				if _, there := row[of]; !there {
					row[of] = len(row)
				}
				ps = append(ps, piece{row: row[of], b: O, lo: lo, hi: hi})
			}
		}
	}
	slices.SortStableFunc(ps, func(a, b piece) int { return cmp.Compare(a.row, b.row) })
	return len(ps) > 1 && longest(ps) > u.Rule.Over-void.Hair
}

// rowsOf returns the rows of the run of zone k, or it alone.
func (l *lift) rowsOf(k int32) []int32 {
	if l.runs == nil {
		l.runs = map[string][]int32{}
		for k := int32(0); k < int32(l.p.Zones()); k++ {
			if z := l.zone(k); z.Run() != "" && !z.ByHeight {
				key := strings.ToLower(z.Run())
				l.runs[key] = append(l.runs[key], k)
			}
		}
	}
	if z := l.zone(k); z.Run() != "" && !z.ByHeight {
		return l.runs[strings.ToLower(z.Run())]
	}
	return []int32{k}
}

// runLength returns how long the row is with the rows of its run that join it end to end in plan, or no less, mm: over as much a
// soffit or a ceiling may lie along it.
func (l *lift) runLength() float64 {
	if l.whole == 0 {
		var ps []piece
		for _, k := range l.rowsOf(l.i) {
			if b := l.full(k); l.zone(k).Storey == l.zone(l.i).Storey {
				ps = append(ps, piece{row: len(ps), b: flat(b), lo: -1, hi: 1})
			}
		}
		l.whole = math.Max(l.length, longest(ps))
	}
	return l.whole
}

func (r *ruled) use() rules.Use {
	for _, u := range []rules.Use{r.ch.Around, r.ch.Beside, r.ch.Over, r.ch.Under} {
		if u.Valid {
			return u
		}
	}
	return rules.Use{}
}

// interval returns the open interval of shifts that a rule alone forbids towards O; false where it forbids
// none.
func (l *lift) interval(r ruled, O body.Body, byHeight bool) (r1.Interval, bool) {
	rowLow, high := l.base.Height(), O.Height()
	outer := r1.Interval{Lo: high.Lo - rowLow.Hi - r.gap - 1, Hi: high.Hi - rowLow.Lo + r.gap + 1}
	span, upright := body.Span(l.base, O, up)
	if r.over == 0 {
		r.ch = *r.ch.AtOnce()
	}
	bad := func(t float64) bool {
		v := judge(l.at(t), O, &r.ch, 0, byHeight)
		if r.gap == 0 {
			return v.overlap
		}
		return v.n > 0
	}
	if r.gap == 0 || r.mid {
		if !upright || body.PlanOverlap(l.base, O) <= void.Hair {
			return r1.Interval{}, false
		}
	}
	var seeds []float64
	switch {
	case r.gap == 0:
		if !bad(span.Center()) {
			return r1.Interval{}, false
		}
		return span, true
	case r.mid:
		seeds = []float64{span.Lo + fine, span.Lo - r.gap/2}
		if r.way > 0 {
			seeds = []float64{span.Hi - fine, span.Hi + r.gap/2}
		}
	case upright:
		seeds = []float64{span.Center(), high.Center() - rowLow.Center()}
	default:
		seeds = []float64{high.Center() - rowLow.Center()}
		if l.base.Along.Z != 0 || O.Along.Z != 0 {
			for k := 1.0; k < 64; k++ {
				seeds = append(seeds, outer.Lo+k/64*outer.Length())
			}
		}
	}
	seed, found := 0.0, false
	for _, s := range seeds {
		if bad(s) {
			seed, found = s, true
			break
		}
	}
	if !found {
		return r1.Interval{}, false
	}
	edge := func(way float64) float64 {
		out := outer.Lo
		if way > 0 {
			out = outer.Hi
		}
		if upright {
			t := span.Lo - r.gap
			if way > 0 {
				t = span.Hi + r.gap
			}
			if !bad(t) && bad(t-2*way*figure.Slack) {
				return t
			}
		}
		in := seed
		for k := 0; k < 60 && math.Abs(out-in) > fine; k++ {
			if m := (in + out) / 2; bad(m) {
				in = m
			} else {
				out = m
			}
		}
		return out + way*figure.Slack // judge lets that go
	}
	var iv r1.Interval
	switch {
	case r.mid && r.way < 0:
		iv = r1.Interval{Lo: edge(-1), Hi: math.Max(seed, span.Center())}
	case r.mid:
		iv = r1.Interval{Lo: math.Min(seed, span.Center()), Hi: edge(1)}
	default:
		iv = r1.Interval{Lo: edge(-1), Hi: edge(1)}
	}
	return iv, true
}

// stations returns where along the row its plan is no further than g from O's.
func (l *lift) stations(O body.Body, g float64) (from, to float64, ok bool) {
	if l.length == 0 || l.zone(l.i).ByHeight {
		return 0, l.length, true
	}
	lo, hi, ok := body.Stretch(flat(l.base), flat(O), g)
	if !ok {
		return 0, 0, false
	}
	return (lo + 1) / 2 * l.length, (hi + 1) / 2 * l.length, true
}

// over returns where along the row it lies over a bay; false where it only touches the bay's edge, as a length that ends on a
// bay line does.
func (l *lift) over(bay *void.Bay) (from, to float64, ok bool) {
	from, to, ok = l.stations(body.Upright(bay.Plan, r1.Interval{}), 0)
	return from, to, ok && (to-from > 2*void.Hair || l.length <= 2*void.Hair)
}

// flat presses a body into the plan.
func flat(b body.Body) body.Body {
	b = boxed(b)
	b.Centre.Z, b.Along.Z, b.H = 0, 0, 0
	return b
}

// ways finds the shifts among the bars of one other zone at which the check finds nothing after all.
//
//  1. Where the answer may change: the ends of the bars, and where the row comes into and out of an opening, or
//     meets what it belongs to and leaves it again. Those are found from a height at which the check is
//     content, outwards by halving.
//  2. Between two such heights the check itself is asked.
func (l *lift) ways(bars []Bar, j int32) {
	if len(bars) == 0 {
		return
	}
	all := r1.Interval{Lo: bars[0].Lo, Hi: bars[0].Hi}
	at := []float64{}
	for _, b := range bars {
		all = all.Union(r1.Interval{Lo: b.Lo, Hi: b.Hi})
		at = append(at, b.Lo, b.Hi)
	}
	still := isWall(l.char(j).Kind)
	for k := range bars {
		bars[k].Still = still
	}
	content := func(t float64) bool { return !l.found(j, t) }
	seeds := []float64{0, l.full(j).Height().Center() - l.base.Height().Center()}
	for _, k := range l.openingsIn[j] {
		o := &l.p.Openings[k]
		mid := o.Centre.Z - l.base.Height().Center()
		seeds = append(seeds, mid)
		at = append(at, mid-o.HalfB-l.base.Height().Length()/2, mid+o.HalfB+l.base.Height().Length()/2)
	}
	for _, s := range seeds {
		if s <= all.Lo || s >= all.Hi || !content(s) {
			continue
		}
		for _, out := range []float64{all.Lo, all.Hi} {
			in, bad := s, out
			// In small steps first: what is allowed is one interval about the seed, and no end of it may be stepped over.
			for k := 1.0; k <= 32; k++ {
				if t := s + k/32*(out-s); content(t) {
					in = t
				} else {
					bad = t
					break
				}
			}
			for k := 0; k < 50 && math.Abs(bad-in) > fine; k++ {
				if m := (in + bad) / 2; content(m) {
					in = m
				} else {
					bad = m
				}
			}
			at = append(at, in)
		}
	}
	slices.Sort(at)
	var open []r1.Interval
	for k := 1; k < len(at); k++ {
		lo, hi := at[k-1], at[k]
		if hi-lo < fine/10 || !content((lo+hi)/2) {
			continue
		}
		if n := len(open); n > 0 && open[n-1].Hi == lo {
			open[n-1].Hi = hi
		} else {
			open = append(open, r1.Interval{Lo: lo, Hi: hi})
		}
	}
	// The check lets a little go; here nothing is let go. What fits exactly stays as one level.
	for k := range open {
		v := &open[k]
		whole := *v
		for _, b := range bars {
			if v.Lo == b.Lo || v.Lo == b.Hi {
				whole.Lo -= figure.Slack
			}
			if v.Hi == b.Lo || v.Hi == b.Hi {
				whole.Hi += figure.Slack
			}
		}
		if whole = whole.Expanded(-figure.Slack); whole.IsEmpty() {
			whole = r1.IntervalFromPoint(v.Center())
		}
		*v = whole
	}
	for k := range bars {
		bars[k].Open = open
	}
}

// found reports whether the check would find something between the row, shifted by t, and zone j.
func (l *lift) found(j int32, t float64) bool {
	had := l.heldBody
	l.hold(l.i, l.at(t))
	defer l.hold(l.i, had)
	out := &batch{}
	a, b := l.i, j
	if l.zone(b).ID < l.zone(a).ID {
		a, b = b, a
	}
	l.run.pair(out, l.h, a, b)
	return len(out.hits)+len(out.findings) > 0
}

// ceilings adds the ceilings of the row's bays: nothing under their asked gap, nor under the tiles' room.
func (l *lift) ceilings() {
	z := l.zone(l.i)
	if z.Recessed || l.structure(l.i) {
		return
	}
	for _, j := range z.Bays() {
		bay := &l.p.Bays[j]
		if !bay.HasCeiling {
			continue
		}
		from, to, ok := l.over(bay)
		if !ok {
			continue
		}
		lo := lowest(l.base, bay)
		if l.hung {
			lo, _, _ = l.under(l.i, l.base, bay)
		}
		b := Bar{
			By: bay.CeilingID(), Zone: -1, Bay: int(j), From: from, To: to, Lo: math.Inf(-1), Side: cell.Below,
			Rule: inOnePlace, Basis: rules.Geometry,
		}
		ch := l.h.Between(l.trait(l.i), l.rules.Ceiling)
		for _, u := range []rules.Use{ch.Under, ch.Around} {
			if u.Valid && u.Gap > b.Asked && (u.Over == 0 || l.runLength() > u.Over) {
				b.Asked, b.Rule, b.Basis = u.Gap, u.Rule.Name, u.Rule.Basis
			}
		}
		if t := l.rules.TilesFor(l.char(l.i)); t != nil && bay.BuildUp >= 0 && l.p.BuildUps[bay.BuildUp].LiftsOut() && t.Gap > b.Asked {
			b.Asked, b.Rule, b.Basis = t.Gap, t.Name, t.Basis
		}
		b.Hi = bay.Top + b.Asked - lo
		l.bars = append(l.bars, b)
	}
}

// soffits adds the soffits of the row's bays.
func (l *lift) soffits() {
	z := l.zone(l.i)
	if z.Upright || l.structure(l.i) {
		return
	}
	for _, j := range z.Bays() {
		bay := &l.p.Bays[j]
		from, to, ok := l.over(bay)
		if !ok {
			continue
		}
		b := Bar{
			By: bay.SoffitID(), Zone: -1, Bay: int(j), From: from, To: to, Hi: math.Inf(1), Side: cell.Above, Structure: true,
			Rule: inOnePlace, Basis: rules.Geometry,
		}
		ch := l.h.Between(l.trait(l.i), l.rules.Soffit)
		for _, u := range []rules.Use{ch.Over, ch.Around} {
			if u.Valid && u.Gap > b.Asked && (u.Over == 0 || l.runLength() > u.Over) {
				b.Asked, b.Rule, b.Basis = u.Gap, u.Rule.Name, u.Rule.Basis
			}
		}
		b.Lo = bay.Soffit - b.Asked - highest(l.base, bay)
		l.bars = append(l.bars, b)
	}
}

// access adds the room that must stay free to reach things.
func (l *lift) access() {
	for k := range l.p.Spaces {
		s := &l.p.Spaces[k]
		if !s.Open || l.own(s.For) || s.For == l.i {
			continue
		}
		if z := l.zone(l.i); z.ByHeight && s.Kind != void.Hatch {
			continue
		}
		if why := l.belong(s.For, l.i); why != "" {
			if _, _, _, met := l.apart(l.drawn(s.For), l.drawn(l.i), why); met {
				continue
			}
		}
		r := ruled{name: s.Kind.String() + " of " + l.zone(s.For).ID, basis: rules.Maker, side: s.Side}
		if iv, ok := l.interval(r, s.Body, l.zone(l.i).ByHeight); ok {
			if from, to, ok := l.stations(s.Body, 0); ok {
				l.bars = append(l.bars, Bar{
					By: l.zone(s.For).ID, Zone: int(s.For), Bay: -1, From: from, To: to, Lo: iv.Lo, Hi: iv.Hi,
					Rule: r.name, Basis: r.basis, Side: s.Side,
				})
			}
		}
	}
}

// block is a zone in the hand room along one side of another, with the shifts of the row for which it is.
type block struct {
	by       int32
	iv       r1.Interval
	from, to float64
	u        rules.Use
}

// oneSides adds the hand room on one side: of the row, where both its sides are blocked at one height, and
// of others, where the row blocks the one side that is left.
func (l *lift) oneSides() {
	z := l.zone(l.i)
	if z.ByHeight {
		return
	}
	var mine [2][]block
	for j := int32(0); j < int32(l.p.Zones()); j++ {
		if l.own(j) || l.zone(j).ByHeight {
			continue
		}
		ch := l.h.Between(l.trait(l.i), l.trait(j))
		if u := ch.OneA; u.Valid && u.Gap > 0 && !z.Item && !z.Upright && l.planNear(j, u.Gap) {
			for side := range mine {
				if b, ok := l.blocks(l.base, l.full(j), u, side, false); ok {
					b.by = j
					mine[side] = append(mine[side], b)
				}
			}
		}
		o := l.zone(j)
		if u := ch.OneB; u.Valid && u.Gap > 0 && !o.Item && !o.Upright && l.planNear(j, u.Gap) {
			for side := range mine {
				if b, ok := l.blocks(l.full(j), l.base, u, side, true); ok && l.blocked(j, 1-side) {
					l.bars = append(l.bars, Bar{
						By: o.ID, Zone: int(j), Bay: -1, From: b.from, To: b.to, Lo: b.iv.Lo, Hi: b.iv.Hi,
						Rule: u.Rule.Name, Basis: u.Rule.Basis, Asked: u.Gap, Side: cell.OneSide,
					})
				}
			}
		}
	}
	for _, a := range mine[0] {
		for _, b := range mine[1] {
			iv := a.iv.Intersection(b.iv)
			if iv.Length() <= void.Hair {
				continue
			}
			// It is enough to be clear of one of the two: the shorter.
			s := a
			if b.to-b.from < a.to-a.from {
				s = b
			}
			l.bars = append(l.bars, Bar{
				By: l.zone(s.by).ID, Zone: int(s.by), Bay: -1, From: s.from, To: s.to, Lo: iv.Lo, Hi: iv.Hi, Structure: l.structure(s.by),
				Rule: s.u.Rule.Name, Basis: s.u.Rule.Basis, Asked: s.u.Gap, Side: cell.OneSide,
			})
		}
	}
}

func (l *lift) planNear(j int32, g float64) bool {
	ob := &l.Check.box[j]
	for k := 0; k < 2; k++ {
		if math.Max(l.box.lo[k]-ob.hi[k], ob.lo[k]-l.box.hi[k]) > g {
			return false
		}
	}
	return true
}

// blocks returns the shifts of the row for which Y stands in the room along one side of O (0 left, 1
// right). moves says that Y is the row, else O is.
func (l *lift) blocks(O, Y body.Body, u rules.Use, side int, moves bool) (block, bool) {
	way := 1.0
	if side == 1 {
		way = -1
	}
	room := roomBeside(O, u.Gap, way)
	shifted := func(t float64) (body.Body, body.Body) {
		if moves {
			return room, Y.Shift(r3.Vector{Z: t})
		}
		return room.Shift(r3.Vector{Z: t}), Y
	}
	a, b := shifted(0)
	span, ok := body.Span(a, b, up)
	if moves {
		span, ok = body.Span(b, a, up)
	}
	if !ok || body.PlanOverlap(a, b) <= void.Hair {
		return block{}, false
	}
	bad := func(t float64) bool {
		r, y := shifted(t)
		return body.Meet(r, y) && long(r, y, 0, u.Over)
	}
	if !bad(span.Center()) {
		return block{}, false
	}
	edge := func(out, way float64) float64 {
		if bad(out - way*void.Hair) {
			return out
		}
		in := span.Center()
		for k := 0; k < 60 && math.Abs(out-in) > fine; k++ {
			if m := (in + out) / 2; bad(m) {
				in = m
			} else {
				out = m
			}
		}
		return out
	}
	bl := block{iv: r1.Interval{Lo: edge(span.Lo, -1), Hi: edge(span.Hi, 1)}, u: u}
	near := Y
	if moves {
		near = room
	}
	if bl.from, bl.to, ok = l.stations(near, u.Gap); !ok {
		return block{}, false
	}
	return bl, true
}

// blocked reports whether some zone other than the row and its run stands in the room along one side of j.
func (l *lift) blocked(j int32, side int) bool {
	way := 1.0
	if side == 1 {
		way = -1
	}
	for k := int32(0); k < int32(l.p.Zones()); k++ {
		if k == j || l.own(k) || l.zone(k).ByHeight {
			continue
		}
		u := l.h.Between(l.trait(j), l.trait(k)).OneA
		if !u.Valid || u.Gap <= 0 || l.Check.box[j].apart(&l.Check.box[k]) > u.Gap {
			continue
		}
		room := roomBeside(l.full(j), u.Gap, way)
		if body.SharedHeight(l.full(j), l.full(k)) > void.Hair && body.Meet(room, l.full(k)) && long(room, l.full(k), 0, u.Over) {
			return true
		}
	}
	return false
}
