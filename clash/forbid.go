package clash

import (
	"cmp"
	"math"
	"slices"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"

	"voidline/clash/figure"
	"voidline/clash/rules"
	"voidline/void"
	"voidline/void/body"
	"voidline/void/cell"
)

// What is forbidden to a body along a direction.
//
//  1. Of one pair, one rule and one direction the forbidden shifts are one interval, for both bodies are convex. Its ends are
//     those at which flat faces come to the gap that is asked, proved by measuring there and a little further; where faces
//     slope or are round they are found by halving, to a ten-thousandth of a millimetre, rounded outwards.
//  2. A rule that counts over a length alone forbids where the stretch that is too near is long enough: of a convex body that
//     length is concave along the direction, so it is an interval too. What is short, but adds up along the run, is
//     taken as if it counted at once.
//  3. A row with one side to be kept clear is forbidden what two intervals share, one of either side.
//  4. Ceilings and soffits are prisms over their bay, open to one side, and ask for an upright gap only.
//  5. Openings, builder's work, and what belongs together are holes: shifts at which the pair is allowed all the same.
//
// Intervals are given as they are, not merged: what fits exactly between two of them stays.
//
// Supports, reach, doubts and joints are no intervals: they are laid or asked again at the place tried.

// query asks which shifts of a body something forbids.
type query struct {
	zone   int32       // whose body it is: that says what rules see of it, and what it belongs to
	full   body.Body   // where it is asked about, with joint, insulation and top
	dir    r3.Vector   // of length 1: straight up or level
	within r1.Interval // the shifts asked about, mm; may be infinite
	touch  float64     // the depth in mm up to which things may rest on each other
	hung   bool        // with what hangs under it
	atOnce bool        // rules that count over a length count over any
}

// ban is an open interval of shifts that one thing forbids for one reason: Lo < t < Hi. Lo or Hi may be infinite.
type ban struct {
	r1.Interval
	zone, bay int32       // what forbids: a zone, or the ceiling or soffit of a bay; -1 for the other
	space     int32       // the access space that must be kept free, of which zone is the owner; -1 for none
	soffit    bool        // of a bay: its soffit
	rule      *rules.Rule // nil where it is that no two things are in one place, or a space that must be kept free
	side      cell.Towards
	asked     float64 // what the rule asks, mm; 0 for an overlap
	along     bool    // the rule counts over a length
	// from and to are where along the row it counts: mm in plan from the row's start. Clearances all round reach that far along
	// the row too, so that a row that ends before from is clear at any shift.
	from, to float64
	// holes are shifts between Lo and Hi that are allowed all the same: closed, ascending.
	holes []r1.Interval
	// still: no bend may stand between from and to (inside a wall).
	still bool
}

// forbidden returns what forbids the shifts asked about, in no promised order. A thing that forbids none of them is left out.
func forbidden(t *tape, q query) []ban {
	f := &forbidding{tape: t, q: q, h: t.rules.Reader()}
	f.lies = boxOf(q.full)
	f.length = 2 * math.Hypot(q.full.Along.X, q.full.Along.Y)
	f.look()
	for _, j := range f.others {
		f.against(j)
	}
	f.ceilings()
	f.soffits()
	f.spaces()
	f.oneSides()
	return slices.DeleteFunc(f.bans, func(b ban) bool { return b.Hi <= q.within.Lo || b.Lo >= q.within.Hi })
}

// forbidding gathers the bans of one query.
type forbidding struct {
	*tape
	q      query
	h      *rules.Reader
	lies   box     // round the body
	length float64 // in plan, mm
	others []int32 // zones that may be near it at some shift, ascending
	bans   []ban
	whole  float64 // see runLength; 0 until it is asked
}

// sliceLength is how long the pieces are in which a falling body is taken, mm.
const sliceLength = 500

// fine is how near a bound found by halving is to the true one, mm; it is rounded outwards by as much.
const fine = 1e-4

// shifted returns the body shifted along the direction.
func (f *forbidding) shifted(t float64) body.Body { return f.q.full.Shift(f.q.dir.Mul(t)) }

// upwards reports whether the direction is upright.
func (f *forbidding) upwards() bool { return f.q.dir.Z != 0 }

// swept returns the box that the body goes over within the shifts asked about.
func (f *forbidding) swept() box {
	b := f.lies
	for k, d := range [3]float64{f.q.dir.X, f.q.dir.Y, f.q.dir.Z} {
		if d == 0 {
			continue
		}
		x, y := d*f.q.within.Lo, d*f.q.within.Hi
		b.lo[k], b.hi[k] = b.lo[k]+math.Min(x, y), b.hi[k]+math.Max(x, y)
	}
	return b
}

// counts reports whether another zone counts: those of its own run go with it.
func (f *forbidding) counts(j int32) bool { return j != f.q.zone && !f.sameNamedRun(f.q.zone, j) }

// look finds the zones that may come near the body.
func (f *forbidding) look() {
	f.near(f.swept(), f.rules.Widest(), func(j int32) {
		if f.counts(j) {
			f.others = append(f.others, j)
		}
	})
	slices.Sort(f.others)
}

// leaf is one thing that a pair asks: that its bodies do not share space, or what one rule asks on one side.
type leaf struct {
	use  rules.Use // not valid: no two things in one place
	side cell.Towards
	// way says of a rule that looks upwards or downwards on which side of the other the body is: -1 under it, 1 over it; 0 for all
	// others. Such a rule stands beside its other half, so that it decides between the same two sides as the check does.
	way   float64
	reach float64 // how far beside the other it counts, in plan, mm
	along bool    // the rule counts over a length
}

// leavesOf returns what a pair asks, each thing once: ch as seen from the body.
func leavesOf(ch *rules.Choice, byHeight bool) []leaf {
	out := []leaf{{side: cell.Around}}
	add := func(l leaf) {
		if l.use.Valid && l.use.Gap > 0 {
			l.along = l.use.Over > 0
			out = append(out, l)
		}
	}
	add(leaf{use: ch.Around, side: cell.Around, reach: ch.Around.Gap})
	if !byHeight {
		add(leaf{use: ch.Beside, side: cell.Beside, reach: ch.Beside.Gap})
	}
	add(leaf{use: ch.Over, side: sideSeen(ch.Over, cell.Above), way: -1})
	add(leaf{use: ch.Under, side: sideSeen(ch.Under, cell.Below), way: 1})
	return out
}

// bad reports whether the body m breaks the leaf towards o.
func (l *leaf) bad(m, o body.Body, touch float64, byHeight bool) bool {
	t := twoOf(m, o, touch, byHeight)
	if byHeight && !t.sharePlan() {
		return false // beside the bay: how far apart is not known
	}
	var broken bool
	switch {
	case !l.use.Valid:
		_, _, broken = t.overlap(false)
	case l.way < 0:
		_, _, broken = t.overUnder(l.use, rules.Use{})
	case l.way > 0:
		_, _, broken = t.overUnder(rules.Use{}, l.use)
	case l.side == cell.Beside:
		_, _, broken = t.beside(l.use)
	default:
		_, broken = t.around(l.use)
	}
	return broken
}

// against adds the bans of one other zone.
func (f *forbidding) against(j int32) {
	z, o := f.zone(f.q.zone), f.zone(j)
	ch := f.h.Between(f.trait(f.q.zone), f.trait(j))
	O := f.full(j)
	byHeight := z.ByHeight || o.ByHeight
	if byHeight && (f.upright(f.q.zone) || f.upright(j)) || z.ByHeight && o.ByHeight && z.Bay != o.Bay {
		return
	}
	if swept := f.swept(); swept.apart(&f.box[j]) > ch.Need {
		return
	}
	why := f.belong(f.q.zone, j)
	holed := !byHeight && (why != noTie || f.structure(j) && (len(f.openingsIn[j]) > 0 || isWall(f.char(j).Kind)))
	had := len(f.bans)
	for _, l := range leavesOf(ch, byHeight) {
		if l.along && (f.q.atOnce || f.together(l.use, j, l.reach)) {
			l.use.Over = 0
		}
		iv, ok := f.interval(&l, O, byHeight)
		if !ok {
			continue
		}
		if f.upwards() && O.Along.Z != 0 && !o.Upright && !holed && lengthOf(O) > 2*sliceLength {
			f.sliced(j, &l, O, iv, byHeight)
			continue
		}
		f.ban(j, &l, O, iv)
	}
	if holed {
		f.holes(f.bans[had:], j, ch)
	}
}

// ban adds what a leaf forbids towards O, zone j or a part of it.
func (f *forbidding) ban(j int32, l *leaf, O body.Body, iv r1.Interval) {
	if from, to, ok := f.stations(O, l.reach); ok {
		f.bans = append(f.bans, ban{
			Interval: iv, zone: j, bay: -1, space: -1, rule: l.use.Rule, side: l.side, asked: l.use.Gap, along: l.along, from: from, to: to,
		})
	}
}

// sliced adds the bans of a falling body in lengths of half a metre, so that they follow it. Of a slice its nearness counts; whether
// it is near for long enough, the whole decides.
func (f *forbidding) sliced(j int32, l *leaf, O body.Body, whole r1.Interval, byHeight bool) {
	short := *l
	short.use.Over = 0
	n := math.Ceil(lengthOf(O) / sliceLength)
	for k := 0.0; k < n; k++ {
		part, ok := body.Trim(O, k*lengthOf(O)/n, (n-1-k)*lengthOf(O)/n)
		if !ok {
			continue
		}
		if iv, ok := f.interval(&short, part, byHeight); ok {
			if iv = iv.Intersection(whole); iv.Length() > 0 {
				f.ban(j, l, part, iv)
			}
		}
	}
}

// together reports whether a rule that counts over a length may count over several rows of the body's run and of
// j's, taken together, although each pair is short. Where only one pair is near, its own length decides.
//
// Sideways it is taken that they do. Upwards it looks at the plan alone, so at some shifts it takes for near what is not: the ban is then the larger. A set is longer
// along its slope than in the plan; what that adds Summed sees.
func (f *forbidding) together(u rules.Use, j int32, reach float64) bool {
	mine, others := f.rowsOf(f.q.zone), f.rowsOf(j)
	if len(mine) == 1 && len(others) == 1 {
		return false
	}
	if !f.upwards() {
		return true
	}
	var ps []piece
	row := map[int32]int{}
	for _, a := range mine {
		A := f.full(a)
		if a == f.q.zone {
			A = f.q.full
		}
		for _, b := range others {
			of, O, T := a, A, f.full(b)
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

// interval returns the open interval of shifts that a leaf forbids towards O; false where it forbids none.
func (f *forbidding) interval(l *leaf, O body.Body, byHeight bool) (r1.Interval, bool) {
	gap := l.use.Gap
	span, meets := body.Span(f.q.full, O, f.q.dir)
	bad := func(t float64) bool { return l.bad(f.shifted(t), O, f.q.touch, byHeight) }
	if !l.use.Valid {
		if !meets || !bad(span.Center()) {
			return r1.Interval{}, false
		}
		if f.q.touch == 0 {
			return span, true
		}
	}
	mine, its := f.q.full.Reach(f.q.dir), O.Reach(f.q.dir)
	outer := r1.Interval{Lo: its.Lo - mine.Hi - gap - 1, Hi: its.Hi - mine.Lo + gap + 1}
	plan := r1.Interval{}
	over := false // plan is where the two lie over each other
	switch {
	case f.upwards() && l.way != 0:
		if !meets || body.PlanOverlap(f.q.full, O) <= void.Hair {
			return r1.Interval{}, false
		}
	case !f.upwards():
		plan, over = body.Span(flat(f.q.full), flat(O), f.q.dir)
		if l.way != 0 && !over {
			return r1.Interval{}, false
		}
	}
	seed, ok := f.seed(l, O, bad, span, plan, outer, meets, over)
	if !ok {
		return r1.Interval{}, false
	}
	edge := func(way float64) float64 {
		out := outer.Lo
		if way > 0 {
			out = outer.Hi
		}
		// Where level faces come to the gap: proved there and a little further in.
		var level [3]float64
		n := 0
		end := func(v r1.Interval, by float64) {
			if t := v.Lo - by; way < 0 {
				level[n] = t
			} else {
				level[n] = v.Hi + by
			}
			n++
		}
		if meets {
			end(span, gap)
		}
		if over {
			end(plan, 0)
			end(plan, gap)
		}
		for _, t := range level[:n] {
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
	switch {
	case f.upwards() && l.way*f.q.dir.Z < 0:
		return r1.Interval{Lo: edge(-1), Hi: math.Max(seed, span.Center())}, true
	case f.upwards() && l.way != 0:
		return r1.Interval{Lo: math.Min(seed, span.Center()), Hi: edge(1)}, true
	}
	return r1.Interval{Lo: edge(-1), Hi: edge(1)}, true
}

// seed returns a shift at which a leaf is broken; false where there is none.
func (f *forbidding) seed(l *leaf, O body.Body, bad func(float64) bool, span, plan, outer r1.Interval, meets, over bool) (float64, bool) {
	var seeds []float64
	gap := l.use.Gap
	switch {
	case f.upwards() && l.way*f.q.dir.Z < 0:
		seeds = []float64{span.Lo + fine, span.Lo - gap/2}
	case f.upwards() && l.way != 0:
		seeds = []float64{span.Hi - fine, span.Hi + gap/2}
	default:
		if meets {
			seeds = append(seeds, span.Center())
		}
		if over {
			seeds = append(seeds, plan.Center())
		}
		seeds = append(seeds, outer.Center())
	}
	for _, s := range seeds {
		if bad(s) {
			return s, true
		}
	}
	if l.way != 0 && f.upwards() || meets && level(&f.q.full) && level(&O) && l.use.Over == 0 {
		return 0, false
	}
	// Where faces slope, and where bodies pass each other: where they are nearest, and a fan of shifts.
	near := nearestShift(f.q.full, O, f.q.dir, outer)
	if bad(near) {
		return near, true
	}
	if l.way == 0 && l.use.Over == 0 && l.side != cell.Beside {
		return 0, false
	}
	for k := 1.0; k < 64; k++ {
		if t := outer.Lo + k/64*outer.Length(); bad(t) {
			return t, true
		}
	}
	return 0, false
}

// nearestShift returns the shift of m along a direction at which it is nearest to o: the distance is convex along it, so thirds of
// the interval find it.
func nearestShift(m, o body.Body, dir r3.Vector, in r1.Interval) float64 {
	at := func(t float64) float64 { return body.Gap(m.Shift(dir.Mul(t)), o).MM }
	lo, hi := in.Lo, in.Hi
	for k := 0; k < 60 && hi-lo > fine; k++ {
		a, b := lo+(hi-lo)/3, hi-(hi-lo)/3
		if at(a) <= at(b) {
			hi = b
		} else {
			lo = a
		}
	}
	return (lo + hi) / 2
}

// stations returns where along the row its plan is no further than g from O's. Where the row goes sideways it is all along.
func (f *forbidding) stations(O body.Body, g float64) (from, to float64, ok bool) {
	if !f.upwards() || f.length == 0 || f.zone(f.q.zone).ByHeight {
		return 0, f.length, true
	}
	lo, hi, ok := body.Stretch(flat(f.q.full), flat(O), g)
	if !ok {
		return 0, 0, false
	}
	return (lo + 1) / 2 * f.length, (hi + 1) / 2 * f.length, true
}

// holes finds the shifts among the bans of one other zone at which the check finds nothing after all.
//
//  1. Where the answer may change: the ends of the bans, and where the body comes into and out of an opening, or
//     meets what it belongs to and leaves it again. Those are found from a shift at which nothing is found, outwards
//     by halving.
//  2. Between two such shifts the pair itself is measured.
func (f *forbidding) holes(bans []ban, j int32, ch *rules.Choice) {
	if len(bans) == 0 {
		return
	}
	all := bans[0].Interval
	var at []float64
	still := isWall(f.char(j).Kind)
	for k := range bans {
		all = all.Union(bans[k].Interval)
		at = append(at, bans[k].Lo, bans[k].Hi)
		bans[k].still = still
	}
	O := f.drawn(j)
	content := func(t float64) bool { return allowed(f.tape, f.put(f.q.zone, f.shifted(t)), O, ch, f.q.touch) }
	mine := f.q.full.Reach(f.q.dir)
	seeds := []float64{0, O.full.Reach(f.q.dir).Center() - mine.Center()}
	for _, k := range f.openingsIn[j] {
		o := &f.p.Openings[k]
		mid := o.Centre.Dot(f.q.dir) - mine.Center()
		half := o.HalfA*math.Abs(o.Across.Dot(f.q.dir)) + o.HalfB*math.Abs(o.Up.Dot(f.q.dir))
		seeds = append(seeds, mid)
		at = append(at, mid-half-mine.Length()/2, mid+half+mine.Length()/2)
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
	// Measuring lets a little go; here nothing is let go. What fits exactly stays as one shift.
	for k := range open {
		v := &open[k]
		whole := *v
		for _, b := range bans {
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
	for k := range bans {
		bans[k].holes = open
	}
}

// allowed reports whether a pair breaks nothing, or is excused, with the room that an opening asks for.
func allowed(t *tape, m, o put, ch *rules.Choice, touch float64) bool {
	e := t.encounter(m, o, ch, touch, false)
	switch e.comes {
	case toFinding:
		return false
	case toPassage:
		s, w := e.service()
		if e.passage.how == passes && e.passage.in.o != nil {
			asked, _ := t.marginOf(s.zone, w.zone, e.passage.in.o)
			return !figure.Lacks(e.passage.room, asked)
		}
	}
	return true
}

// bays returns the bays whose ceilings and soffits bear on the body.
func (f *forbidding) bays() []int32 {
	z := f.zone(f.q.zone)
	if f.upwards() {
		return z.Bays()
	}
	b := f.swept()
	return f.p.BaysNear(int(z.Storey), r2.RectFromPoints(r2.Point{X: b.lo[0], Y: b.lo[1]}, r2.Point{X: b.hi[0], Y: b.hi[1]}))
}

// sided adds the ban of a bay's ceiling or soffit, from or up to a level, towards parts of the body.
func (f *forbidding) sided(b ban, j int32, parts ...body.Body) {
	bay := &f.p.Bays[j]
	b.zone, b.bay, b.space = -1, j, -1
	ban := func(iv r1.Interval) {
		from, to, ok := f.stations(body.Upright(bay.Plan, r1.Interval{}), 0)
		// A length that ends on a bay line only touches the bay's edge.
		if ok && (to-from > 2*void.Hair || f.length <= 2*void.Hair) {
			b.Interval, b.from, b.to = iv, from, to
			f.bans = append(f.bans, b)
		}
	}
	if f.upwards() {
		if b.soffit {
			ban(r1.Interval{Lo: bay.Soffit - b.asked - highest(f.q.full, bay), Hi: math.Inf(1)})
			return
		}
		lo := lowest(f.q.full, bay)
		if f.q.hung {
			lo, _, _ = f.under(f.q.zone, f.q.full, bay)
		}
		ban(r1.Interval{Lo: math.Inf(-1), Hi: bay.Top + b.asked - lo})
		return
	}
	for _, part := range parts {
		h := part.Height()
		prism := r1.Interval{Lo: math.Min(bay.Top, h.Lo) - 1000, Hi: bay.Top + b.asked}
		if b.soffit {
			prism = r1.Interval{Lo: bay.Soffit - b.asked, Hi: math.Max(bay.Soffit, h.Hi) + 1000}
		}
		if shared := h.Intersection(prism); shared.Length() <= void.Hair {
			continue
		}
		if iv, ok := body.Span(part, body.Upright(bay.Plan, prism), f.q.dir); ok && iv.Length() > 2*void.Hair {
			ban(iv)
		}
	}
}

// asks puts the rule that asks the most of a ceiling or a soffit into its ban.
func (f *forbidding) asks(b *ban, us ...rules.Use) {
	for _, u := range us {
		if u.Valid && u.Gap > b.asked && (u.Over == 0 || f.runLength() > u.Over) {
			b.asked, b.rule = u.Gap, u.Rule
		}
	}
}

// ceilings adds the ceilings: nothing under their asked gap, nor under the tiles' room.
func (f *forbidding) ceilings() {
	z := f.zone(f.q.zone)
	if z.Recessed || f.structure(f.q.zone) {
		return
	}
	parts := []body.Body{f.q.full}
	if f.q.hung {
		if hang, ok := f.p.HangFrom(z, f.q.full); ok {
			parts = append(parts, hang)
		}
	}
	ch := f.h.Between(f.trait(f.q.zone), f.rules.Ceiling)
	for _, j := range f.bays() {
		bay := &f.p.Bays[j]
		if !bay.HasCeiling {
			continue
		}
		b := ban{side: cell.Below}
		f.asks(&b, ch.Under, ch.Around)
		if t := f.rules.TilesFor(f.char(f.q.zone)); t != nil && bay.BuildUp >= 0 && f.p.BuildUps[bay.BuildUp].LiftsOut() && t.Gap > b.asked {
			b.asked, b.rule = t.Gap, t
		}
		f.sided(b, j, parts...)
	}
}

// soffits adds the soffits.
func (f *forbidding) soffits() {
	if f.zone(f.q.zone).Upright || f.structure(f.q.zone) {
		return
	}
	ch := f.h.Between(f.trait(f.q.zone), f.rules.Soffit)
	for _, j := range f.bays() {
		b := ban{side: cell.Above, soffit: true}
		f.asks(&b, ch.Over, ch.Around)
		f.sided(b, j, f.q.full)
	}
}

// runLength returns how long the row is with the rows of its run that join it end to end in plan, or no less, mm: over as much a
// soffit or a ceiling may lie along it.
func (f *forbidding) runLength() float64 {
	if f.whole == 0 {
		var ps []piece
		for _, k := range f.rowsOf(f.q.zone) {
			b := f.full(k)
			if k == f.q.zone {
				b = f.q.full
			}
			if f.zone(k).Storey == f.zone(f.q.zone).Storey {
				ps = append(ps, piece{row: len(ps), b: flat(b), lo: -1, hi: 1})
			}
		}
		f.whole = math.Max(f.length, longest(ps))
	}
	return f.whole
}

// spaces adds the room that must stay free to reach things.
func (f *forbidding) spaces() {
	z := f.zone(f.q.zone)
	for k := range f.p.Spaces {
		s := &f.p.Spaces[k]
		if !s.Open || s.For == f.q.zone || !f.counts(s.For) || z.ByHeight && s.Kind != void.Hatch {
			continue
		}
		if why := f.belong(s.For, f.q.zone); why != noTie {
			if _, _, _, met := f.apart(f.drawn(s.For), f.put(f.q.zone, f.q.full), why); met {
				continue
			}
		}
		l := leaf{side: s.Side}
		iv, ok := f.interval(&l, s.Body, z.ByHeight)
		if !ok {
			continue
		}
		if from, to, ok := f.stations(s.Body, 0); ok {
			f.bans = append(f.bans, ban{Interval: iv, zone: s.For, bay: -1, space: int32(k), side: s.Side, from: from, to: to})
		}
	}
}

// block is a zone in the hand room along one side of another, with the shifts of the body for which it is.
type block struct {
	r1.Interval
	by       int32
	from, to float64
	u        rules.Use
}

// oneSides adds the hand room on one side: of the row, where both its sides are blocked at one shift, and
// of others, where the row blocks the one side that is left.
func (f *forbidding) oneSides() {
	z := f.zone(f.q.zone)
	if z.ByHeight {
		return
	}
	var mine [2][]block
	swept := f.swept()
	for _, j := range f.others {
		o := f.zone(j)
		if o.ByHeight {
			continue
		}
		ch := f.h.Between(f.trait(f.q.zone), f.trait(j))
		far := swept.apart(&f.box[j])
		if u := ch.OneA; u.Valid && u.Gap > 0 && !z.Item && !z.Upright && far <= u.Gap {
			for side := range mine {
				if b, ok := f.blocks(f.q.full, f.full(j), u, side, false); ok {
					b.by = j
					mine[side] = append(mine[side], b)
				}
			}
		}
		if u := ch.OneB; u.Valid && u.Gap > 0 && !o.Item && !o.Upright && far <= u.Gap {
			for side := range mine {
				if b, ok := f.blocks(f.full(j), f.q.full, u, side, true); ok && f.blocked(j, 1-side) {
					f.bans = append(f.bans, ban{Interval: b.Interval, zone: j, bay: -1, space: -1, rule: u.Rule, side: cell.OneSide, asked: u.Gap, from: b.from, to: b.to})
				}
			}
		}
	}
	for _, a := range mine[0] {
		for _, b := range mine[1] {
			iv := a.Intersection(b.Interval)
			if iv.Length() <= void.Hair {
				continue
			}
			// It is enough to be clear of one of the two: the shorter.
			s := a
			if b.to-b.from < a.to-a.from {
				s = b
			}
			f.bans = append(f.bans, ban{Interval: iv, zone: s.by, bay: -1, space: -1, rule: s.u.Rule, side: cell.OneSide, asked: s.u.Gap, from: s.from, to: s.to})
		}
	}
}

// blocks returns the shifts of the row for which Y stands in the room along one side of O (0 left, 1
// right). moves says that Y is the row, else O is.
func (f *forbidding) blocks(O, Y body.Body, u rules.Use, side int, moves bool) (block, bool) {
	way := 1.0
	if side == 1 {
		way = -1
	}
	room := roomBeside(O, u.Gap, way)
	shifted := func(t float64) (body.Body, body.Body) {
		by := f.q.dir.Mul(t)
		if moves {
			return room, Y.Shift(by)
		}
		return room.Shift(by), Y
	}
	m, o := room, Y
	if moves {
		m, o = Y, room
	}
	span, ok := body.Span(m, o, f.q.dir)
	if !ok || f.upwards() && body.PlanOverlap(m, o) <= void.Hair {
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
	b := block{Interval: r1.Interval{Lo: edge(span.Lo, -1), Hi: edge(span.Hi, 1)}, u: u}
	near := Y
	if moves {
		near = room
	}
	b.from, b.to, ok = f.stations(near, u.Gap)
	return b, ok
}

// blocked reports whether some zone other than the row and its run stands in the room along one side of j.
func (f *forbidding) blocked(j int32, side int) bool {
	way := 1.0
	if side == 1 {
		way = -1
	}
	J := f.full(j)
	return f.some(f.box[j], f.rules.Widest(), func(k int32) bool {
		if k == j || !f.counts(k) || f.zone(k).ByHeight {
			return false
		}
		u := f.h.Between(f.trait(j), f.trait(k)).OneA
		if !u.Valid || u.Gap <= 0 || f.box[j].apart(&f.box[k]) > u.Gap {
			return false
		}
		room, K := roomBeside(J, u.Gap, way), f.full(k)
		return body.SharedHeight(J, K) > void.Hair && body.Meet(room, K) && long(room, K, 0, u.Over)
	})
}
