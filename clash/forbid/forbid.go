package forbid

import (
	"cmp"
	"math"
	"slices"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"

	"voidline/clash/figure"
	"voidline/clash/measure"
	"voidline/clash/rules"
	"voidline/clash/scene"
	"voidline/void"
	"voidline/void/body"
	"voidline/void/cell"
)

// Query asks which shifts of a body something forbids.
type Query struct {
	Zone   int32       // whose body it is: that says what rules see of it, and what it belongs to
	Full   body.Body   // where it is asked about, with joint, insulation and top
	Dir    r3.Vector   // of length 1: straight up or level
	Within r1.Interval // the shifts asked about, mm; may be infinite
	touch  float64     // the depth in mm up to which things may rest on each other
	Hung   bool        // with what hangs under it
	AtOnce bool        // rules that count over a length count over any
	// Here: holes are wanted only in bans that hold where the body is asked about; what it is not in it need not get through.
	Here bool
}

// Ban is an open interval of shifts that one thing forbids for one reason: Lo < t < Hi. Lo or Hi may be infinite.
type Ban struct {
	r1.Interval
	Zone, Bay int32       // what forbids: a zone, or the ceiling or soffit of a bay; -1 for the other
	Space     int32       // the access space that must be kept free, of which zone is the owner; -1 for none
	Soffit    bool        // of a bay: its soffit
	Rule      *rules.Rule // nil where it is that no two things are in one place, or a space that must be kept free
	Side      cell.Towards
	Asked     float64 // what the rule asks, mm; 0 for an overlap
	Along     bool    // the rule counts over a length
	// From and to are where along the row it counts: mm in plan from the row's start. Clearances all round reach that far along
	// the row too, so that a row that ends before from is clear at any shift.
	From, To float64
	// Holes are shifts between Lo and Hi that are allowed all the same: closed, ascending.
	Holes []r1.Interval
	// Still: no bend may stand between from and to (inside a wall).
	Still bool
}

// Forbidden returns what forbids the shifts asked about, in no promised order. A thing that forbids none of them is left out.
func Forbidden(t *measure.Tape, q Query) []Ban { return (&Asker{Tape: t}).Forbidden(q) }

// Asker asks one question after the other. Several may ask at once, each with its own.
type Asker struct {
	*measure.Tape
	rules *rules.Reader
	room  forbidding // of the last question, for the next
}

// Forbidden is Forbidden; what it returns is good until the next question.
func (a *Asker) Forbidden(q Query) []Ban {
	if a.rules == nil {
		a.rules = a.Set.Reader()
	}
	f := &a.room
	*f = forbidding{Tape: a.Tape, q: q, h: a.rules, others: f.others[:0], leaves: f.leaves[:0], bans: f.bans[:0]}
	f.lies = scene.BoxOf(q.Full)
	f.length = 2 * math.Hypot(q.Full.Along.X, q.Full.Along.Y)
	f.look()
	for _, j := range f.others {
		f.against(j)
	}
	f.ceilings()
	f.soffits()
	f.spaces()
	f.oneSides()
	return slices.DeleteFunc(f.bans, func(b Ban) bool { return b.Hi <= q.Within.Lo || b.Lo >= q.Within.Hi })
}

// forbidding gathers the bans of one query.
type forbidding struct {
	*measure.Tape
	q      Query
	h      *rules.Reader
	lies   scene.Box // round the body
	length float64   // in plan, mm
	others []int32   // zones that may be near it at some shift, ascending
	leaves []leaf    // of one pair
	bans   []Ban
	whole  float64 // see runLength; 0 until it is asked
	// pair is the body and the one other that is asked about: of what is broken where they are only the end along the direction is wanted; nil: both ends.
	pair *Pair
}

// sliceLength is how long the pieces are in which a falling body is taken, mm.
const sliceLength = 500

// fine is how near a bound found by halving is to the true one, mm; it is rounded outwards by as much.
const fine = 1e-4

// shifted returns the body shifted along the direction.
func (f *forbidding) shifted(t float64) body.Body { return f.q.Full.Shift(f.q.Dir.Mul(t)) }

// upwards reports whether the direction is upright.
func (f *forbidding) upwards() bool { return f.q.Dir.Z != 0 }

// swept returns the box that the body goes over within the shifts asked about.
func (f *forbidding) swept() scene.Box {
	b := f.lies
	for k, d := range [3]float64{f.q.Dir.X, f.q.Dir.Y, f.q.Dir.Z} {
		if d == 0 {
			continue
		}
		x, y := d*f.q.Within.Lo, d*f.q.Within.Hi
		b.Lo[k], b.Hi[k] = b.Lo[k]+math.Min(x, y), b.Hi[k]+math.Max(x, y)
	}
	return b
}

// counts reports whether another zone counts: those of its own run go with it.
func (f *forbidding) counts(j int32) bool { return j != f.q.Zone && !f.SameNamedRun(f.q.Zone, j) }

// look finds the zones that may come near the body.
func (f *forbidding) look() {
	f.Near(f.swept(), f.Set.Widest(), func(j int32) {
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

// leavesMost is how many things a pair asks at the most.
const leavesMost = 5

// leavesOf adds to out what a pair asks, each thing once: ch as seen from the body.
func leavesOf(out []leaf, ch *rules.Choice, byHeight bool) []leaf {
	out = append(out, leaf{side: cell.Around})
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
	add(leaf{use: ch.Over, side: measure.SideSeen(ch.Over, cell.Above), way: -1})
	add(leaf{use: ch.Under, side: measure.SideSeen(ch.Under, cell.Below), way: 1})
	return out
}

// bad reports whether the body m breaks the leaf towards o.
func (l *leaf) bad(m, o body.Body, touch float64, byHeight bool) bool {
	t := measure.TwoOf(m, o, touch, byHeight)
	return l.broken(&t)
}

// broken reports whether the first of two breaks the leaf towards the second.
func (l *leaf) broken(t *measure.Two) (broken bool) {
	if t.Unknown() {
		return false
	}
	switch {
	case !l.use.Valid:
		_, _, broken = t.Overlap(false)
	case l.way < 0:
		_, _, broken = t.OverUnder(l.use, rules.Use{})
	case l.way > 0:
		_, _, broken = t.OverUnder(rules.Use{}, l.use)
	case l.side == cell.Beside:
		_, _, broken = t.Beside(l.use)
	default:
		_, broken = t.Around(l.use)
	}
	return broken
}

// convex reports whether the shifts along a direction at which the leaf is broken are one interval, whatever the bodies. Of what goes aside over
// or under a thing that slopes, it may change which of the two is over the other.
func (l *leaf) convex(dir r3.Vector) bool { return l.way == 0 || dir.Z != 0 }

// against adds the bans of one other zone.
func (f *forbidding) against(j int32) {
	z, o := f.Zone(f.q.Zone), f.Zone(j)
	ch := f.h.Between(f.Trait(f.q.Zone), f.Trait(j))
	O := f.Full(j)
	byHeight := z.ByHeight || o.ByHeight
	if byHeight && (f.Upright(f.q.Zone) || f.Upright(j)) || z.ByHeight && o.ByHeight && z.Bay != o.Bay {
		return
	}
	if swept := f.swept(); swept.Apart(&f.Boxes[j]) > ch.Need {
		return
	}
	why := f.Belong(f.q.Zone, j)
	holed := !byHeight && (why != measure.NoTie || f.Structure(j) && (len(f.OpeningsIn[j]) > 0 || measure.IsWall(f.Char(j).Kind)))
	had := len(f.bans)
	f.leaves = leavesOf(f.leaves[:0], ch, byHeight)
	for _, l := range f.leaves {
		if l.along && (f.q.AtOnce || f.together(l.use, j, l.reach)) {
			l.use.Over = 0
		}
		iv, ok := f.interval(&l, O, byHeight)
		if !ok {
			continue
		}
		if f.upwards() && O.Along.Z != 0 && !o.Upright && !holed && measure.LengthOf(O) > 2*sliceLength {
			f.sliced(j, &l, O, iv, byHeight)
			continue
		}
		f.ban(j, &l, O, iv)
	}
	if holed {
		O := f.Drawn(j)
		f.holes(f.bans[had:], j, func(t float64) bool { return Allowed(f.Tape, f.Put(f.q.Zone, f.shifted(t)), O, ch, f.q.touch) })
	}
}

// ban adds what a leaf forbids towards O, zone j or a part of it.
func (f *forbidding) ban(j int32, l *leaf, O body.Body, iv r1.Interval) {
	if from, to, ok := f.stations(O, l.reach); ok {
		f.bans = append(f.bans, Ban{
			Interval: iv, Zone: j, Bay: -1, Space: -1, Rule: l.use.Rule, Side: l.side, Asked: l.use.Gap, Along: l.along, From: from, To: to,
		})
	}
}

// sliced adds the bans of a falling body in lengths of half a metre, so that they follow it. Of a slice its nearness counts; whether
// it is near for long enough, the whole decides.
func (f *forbidding) sliced(j int32, l *leaf, O body.Body, whole r1.Interval, byHeight bool) {
	short := *l
	short.use.Over = 0
	n := math.Ceil(measure.LengthOf(O) / sliceLength)
	for k := 0.0; k < n; k++ {
		part, ok := body.Trim(O, k*measure.LengthOf(O)/n, (n-1-k)*measure.LengthOf(O)/n)
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
	mine, others := f.RowsOf(f.q.Zone), f.RowsOf(j)
	if len(mine) == 1 && len(others) == 1 {
		return false
	}
	if !f.upwards() {
		return true
	}
	var ps []measure.Piece
	type lies struct {
		of  int32
		way int8
	}
	row := map[lies]int{}
	for _, a := range mine {
		A := f.Full(a)
		if a == f.q.Zone {
			A = f.q.Full
		}
		for _, b := range others {
			of, O, T := a, A, f.Full(b)
			if !u.OfA {
				of, O, T = b, T, O
			}
			for way := range measure.Ways(O) {
				B := measure.Along(O, way)
				if O.Block && B.Along.Z != 0 {
					continue // straight up
				}
				if lo, hi, ok := body.Stretch(measure.Flat(B), measure.Flat(T), reach+void.Hair); ok && hi > lo {
					k := lies{of, way}
					if _, there := row[k]; !there {
						row[k] = len(row)
					}
					ps = append(ps, measure.Piece{Row: row[k], B: B, Lo: lo, Hi: hi})
				}
			}
		}
	}
	slices.SortStableFunc(ps, func(a, b measure.Piece) int { return cmp.Compare(a.Row, b.Row) })
	return len(ps) > 1 && measure.Longest(ps) > u.Rule.Over-void.Hair
}

// interval returns the open interval of shifts that a leaf forbids towards O; false where it forbids none.
func (f *forbidding) interval(l *leaf, O body.Body, byHeight bool) (r1.Interval, bool) {
	gap := l.use.Gap
	span, meets := f.span(O)
	bad := func(t float64) bool { return l.bad(f.shifted(t), O, f.q.touch, byHeight) }
	here := f.pair != nil && l.broken(&f.pair.here)
	// What holds behind, and not here, does not hold ahead, where it is one interval.
	behind := func(t float64) bool { return f.pair != nil && !here && t < 0 && l.convex(f.q.Dir) }
	if !l.use.Valid {
		if !meets || behind(span.Center()) || !here && !bad(span.Center()) {
			return r1.Interval{}, false
		}
		if f.q.touch == 0 {
			return span, true
		}
	}
	mine, its := f.q.Full.Reach(f.q.Dir), O.Reach(f.q.Dir)
	outer := r1.Interval{Lo: its.Lo - mine.Hi - gap - 1, Hi: its.Hi - mine.Lo + gap + 1}
	if outer.Hi <= f.q.Within.Lo || outer.Lo >= f.q.Within.Hi {
		return r1.Interval{}, false
	}
	plan := r1.Interval{}
	over := false // plan is where the two lie over each other
	switch {
	case f.upwards() && l.way != 0:
		if !meets || body.PlanOverlap(f.q.Full, O) <= void.Hair {
			return r1.Interval{}, false
		}
	case !f.upwards():
		plan, over = body.Span(outline(f.q.Full), outline(O), f.q.Dir)
		if l.way != 0 && !over {
			return r1.Interval{}, false
		}
	}
	seed, ok := 0.0, here
	if !here {
		seed, ok = f.seed(l, O, bad, span, plan, outer, meets, over)
	}
	if !ok || behind(seed) {
		return r1.Interval{}, false
	}
	edge := func(way float64) float64 {
		if here && way < 0 {
			return math.Inf(-1)
		}
		out := outer.Lo
		if way > 0 {
			out = outer.Hi
		}
		// Where level faces, or the round of a pipe, come to the gap: proved there and a little further in.
		var level [4]float64
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
		if m, o := f.q.Full, O; meets && gap > 0 && (m.Round || o.Round) {
			// So far all round a pipe is a thicker pipe.
			if o.Round {
				o.W += gap
			} else {
				m.W += gap
			}
			if grown, ok := body.Span(m, o, f.q.Dir); ok {
				end(grown, 0)
			}
		}
		for _, t := range level[:n] {
			if !bad(t) && bad(t-2*way*figure.Slack) {
				return t
			}
		}
		in := seed
		if l.side == cell.Around && l.use.Valid && l.use.Over == 0 && !byHeight {
			out = f.comesNear(O, gap-figure.Slack, out, seed)
			if t := out - way*fine; bad(t) {
				in = t
			}
		}
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
	case f.upwards() && l.way*f.q.Dir.Z < 0:
		return r1.Interval{Lo: edge(-1), Hi: math.Max(seed, span.Center())}, true
	case f.upwards() && l.way != 0:
		return r1.Interval{Lo: math.Min(seed, span.Center()), Hi: edge(1)}, true
	}
	return r1.Interval{Lo: edge(-1), Hi: edge(1)}, true
}

// span returns between which shifts the body is in another.
func (f *forbidding) span(O body.Body) (r1.Interval, bool) {
	if f.pair != nil {
		return f.pair.Span(f.q.Dir)
	}
	return body.Span(f.q.Full, O, f.q.Dir)
}

// outline presses a body into the plan: a round one that falls is as long there as its ends lean out.
func outline(b body.Body) body.Body {
	flat := measure.Flat(b)
	if n := b.Along.Norm(); b.Round && (b.Along.X != 0 || b.Along.Y != 0) {
		flat.Along = flat.Along.Mul(1 + b.W*math.Abs(b.Along.Z)/n/flat.Along.Norm())
	}
	return flat
}

// comesNear goes from the shift out, which leaves more than gap mm to o, towards the shift in, which leaves less, as far as it is sure that no
// less is left. Along the direction of a gap a plane keeps the two apart: how far they are from it at another shift is a sum, so that each
// measure proves a whole way in, and a few of them come within a tenth of fine.
func (f *forbidding) comesNear(O body.Body, gap, out, in float64) float64 {
	for range 20 {
		m := body.Gap(f.shifted(out), O)
		step := (m.MM - gap) / m.Dir.Dot(f.q.Dir)
		if !(m.MM > gap && math.Abs(step) > fine/10 && math.Abs(step) < math.Abs(in-out)) {
			break
		}
		out += step
	}
	return out
}

// seed returns a shift at which a leaf is broken; false where there is none.
func (f *forbidding) seed(l *leaf, O body.Body, bad func(float64) bool, span, plan, outer r1.Interval, meets, over bool) (float64, bool) {
	var room [3]float64
	seeds := room[:0]
	gap := l.use.Gap
	switch {
	case f.upwards() && l.way*f.q.Dir.Z < 0:
		seeds = append(seeds, span.Lo+fine, span.Lo-gap/2)
	case f.upwards() && l.way != 0:
		seeds = append(seeds, span.Hi-fine, span.Hi+gap/2)
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
	if l.way != 0 && f.upwards() || meets && scene.Level(&f.q.Full) && scene.Level(&O) && l.use.Over == 0 {
		return 0, false
	}
	// Where faces slope, and where bodies pass each other: where they are nearest, and a fan of shifts.
	near := nearestShift(f.q.Full, O, f.q.Dir, outer)
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
	if !f.upwards() || f.length == 0 || f.Zone(f.q.Zone).ByHeight {
		return 0, f.length, true
	}
	lo, hi, ok := body.Stretch(measure.Flat(f.q.Full), measure.Flat(O), g)
	if !ok {
		return 0, 0, false
	}
	return (lo + 1) / 2 * f.length, (hi + 1) / 2 * f.length, true
}

// holes finds the shifts among the bans of one other zone at which the check finds nothing after all, as content says.
//
//  1. Where the answer may change: the ends of the bans, and where the body comes into and out of an opening, or
//     meets what it belongs to and leaves it again. Those are found from a shift at which nothing is found, outwards
//     by halving.
//  2. Between two such shifts the pair itself is measured, in the middle and a little inside the two; where these differ what is
//     allowed ends between them.
func (f *forbidding) holes(bans []Ban, j int32, content func(t float64) bool) {
	here := func(b Ban) bool { return b.InteriorContains(0) }
	if len(bans) == 0 || f.q.Here && !slices.ContainsFunc(bans, here) {
		return
	}
	all := bans[0].Interval
	var at []float64
	still := measure.IsWall(f.Char(j).Kind)
	for k := range bans {
		all = all.Union(bans[k].Interval)
		at = append(at, bans[k].Lo, bans[k].Hi)
		bans[k].Still = still
	}
	// halved returns the last shift that is allowed on the way from one that is to one that is not.
	halved := func(in, bad float64) float64 {
		for k := 0; k < 50 && math.Abs(bad-in) > fine; k++ {
			if m := (in + bad) / 2; content(m) {
				in = m
			} else {
				bad = m
			}
		}
		return in
	}
	mine := f.q.Full.Reach(f.q.Dir)
	seeds := []float64{0, f.Full(j).Reach(f.q.Dir).Center() - mine.Center()}
	for _, k := range f.OpeningsIn[j] {
		o := &f.Project.Openings[k]
		mid := o.Centre.Dot(f.q.Dir) - mine.Center()
		half := o.HalfA*math.Abs(o.Across.Dot(f.q.Dir)) + o.HalfB*math.Abs(o.Up.Dot(f.q.Dir))
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
			at = append(at, halved(in, bad))
		}
	}
	slices.Sort(at)
	var open []r1.Interval
	add := func(lo, hi float64) {
		if n := len(open); n > 0 && open[n-1].Hi == lo {
			open[n-1].Hi = hi
		} else {
			open = append(open, r1.Interval{Lo: lo, Hi: hi})
		}
	}
	for k := 1; k < len(at); k++ {
		lo, hi := at[k-1], at[k]
		if hi-lo < fine/10 {
			continue
		}
		tries := []float64{(lo + hi) / 2}
		if hi-lo > 4 { // nearer to its ends than a few times what measuring lets go they say nothing
			tries = []float64{lo + 1, tries[0], hi - 1}
		}
		from, was := lo, content(tries[0])
		for n, t := range tries[1:] {
			switch now := content(t); {
			case was && !now:
				add(from, halved(tries[n], t))
				was = false
			case !was && now:
				from, was = halved(t, tries[n]), true
			}
		}
		if was {
			add(from, hi)
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
		bans[k].Holes = open
	}
}

// Allowed reports whether a pair breaks nothing, or is excused, with the room that an opening asks for.
func Allowed(t *measure.Tape, m, o scene.Put, ch *rules.Choice, touch float64) bool {
	e := t.Encounter(m, o, ch, touch, false)
	switch e.Comes {
	case measure.ToFinding:
		return false
	case measure.ToPassage:
		s, w := e.Service()
		if e.Passage.How == measure.Passes && e.Passage.In.O != nil {
			asked, _ := t.MarginOf(s.Zone, w.Zone, e.Passage.In.O)
			return !figure.Lacks(e.Passage.Room, asked)
		}
	}
	return true
}

// bays returns the bays whose ceilings and soffits bear on the body.
func (f *forbidding) bays() []int32 {
	z := f.Zone(f.q.Zone)
	if f.upwards() {
		return z.Bays()
	}
	b := f.swept()
	return f.Project.BaysNear(int(z.Storey), r2.RectFromPoints(r2.Point{X: b.Lo[0], Y: b.Lo[1]}, r2.Point{X: b.Hi[0], Y: b.Hi[1]}))
}

// sided adds the ban of a bay's ceiling or soffit, from or up to a level, towards parts of the body.
func (f *forbidding) sided(b Ban, j int32, parts ...body.Body) {
	bay := &f.Project.Bays[j]
	b.Zone, b.Bay, b.Space = -1, j, -1
	ban := func(iv r1.Interval) {
		from, to, ok := f.stations(body.Upright(bay.Plan, r1.Interval{}), 0)
		// A length that ends on a bay line only touches the bay's edge.
		if ok && (to-from > 2*void.Hair || f.length <= 2*void.Hair) {
			b.Interval, b.From, b.To = iv, from, to
			f.bans = append(f.bans, b)
		}
	}
	if f.upwards() {
		if b.Soffit {
			ban(r1.Interval{Lo: bay.Soffit - b.Asked - scene.Highest(f.q.Full, bay), Hi: math.Inf(1)})
			return
		}
		lo := scene.Lowest(f.q.Full, bay)
		if f.q.Hung {
			lo, _, _ = f.Under(f.q.Zone, f.q.Full, bay)
		}
		ban(r1.Interval{Lo: math.Inf(-1), Hi: bay.Top + b.Asked - lo})
		return
	}
	for _, part := range parts {
		h := part.Height()
		prism := r1.Interval{Lo: math.Min(bay.Top, h.Lo) - 1000, Hi: bay.Top + b.Asked}
		if b.Soffit {
			prism = r1.Interval{Lo: bay.Soffit - b.Asked, Hi: math.Max(bay.Soffit, h.Hi) + 1000}
		}
		if shared := h.Intersection(prism); shared.Length() <= void.Hair {
			continue
		}
		if iv, ok := body.Span(part, body.Upright(bay.Plan, prism), f.q.Dir); ok && iv.Length() > 2*void.Hair {
			ban(iv)
		}
	}
}

// asks puts the rule that asks the most of a ceiling or a soffit into its ban.
func (f *forbidding) asks(b *Ban, us ...rules.Use) {
	for _, u := range us {
		if u.Valid && u.Gap > b.Asked && (u.Over == 0 || f.runLength() > u.Over) {
			b.Asked, b.Rule = u.Gap, u.Rule
		}
	}
}

// ceilings adds the ceilings: nothing under their asked gap, nor under the tiles' room.
func (f *forbidding) ceilings() {
	z := f.Zone(f.q.Zone)
	if z.Recessed || f.Structure(f.q.Zone) {
		return
	}
	parts := []body.Body{f.q.Full}
	if f.q.Hung {
		if hang, ok := f.Project.HangFrom(z, f.q.Full); ok {
			parts = append(parts, hang)
		}
	}
	ch := f.h.Between(f.Trait(f.q.Zone), f.Set.Ceiling)
	for _, j := range f.bays() {
		bay := &f.Project.Bays[j]
		if !bay.HasCeiling {
			continue
		}
		b := Ban{Side: cell.Below}
		f.asks(&b, ch.Under, ch.Around)
		if t := f.Set.TilesFor(f.Char(f.q.Zone)); t != nil && bay.BuildUp >= 0 && f.Project.BuildUps[bay.BuildUp].LiftsOut() && t.Gap > b.Asked {
			b.Asked, b.Rule = t.Gap, t
		}
		f.sided(b, j, parts...)
	}
}

// soffits adds the soffits.
func (f *forbidding) soffits() {
	if f.Zone(f.q.Zone).Upright || f.Structure(f.q.Zone) {
		return
	}
	ch := f.h.Between(f.Trait(f.q.Zone), f.Set.Soffit)
	for _, j := range f.bays() {
		b := Ban{Side: cell.Above, Soffit: true}
		f.asks(&b, ch.Over, ch.Around)
		f.sided(b, j, f.q.Full)
	}
}

// runLength returns how long the row is with the rows of its run that join it end to end in plan, or no less, mm: over as much a
// soffit or a ceiling may lie along it.
func (f *forbidding) runLength() float64 {
	if f.whole == 0 {
		var ps []measure.Piece
		for _, k := range f.RowsOf(f.q.Zone) {
			b := f.Full(k)
			if k == f.q.Zone {
				b = f.q.Full
			}
			if f.Zone(k).Storey == f.Zone(f.q.Zone).Storey {
				for way := range measure.Ways(b) {
					if a := measure.Along(b, way); !b.Block || a.Along.Z == 0 {
						ps = append(ps, measure.Piece{Row: len(ps), B: measure.Flat(a), Lo: -1, Hi: 1})
					}
				}
			}
		}
		f.whole = math.Max(f.length, measure.Longest(ps))
	}
	return f.whole
}

// spaces adds the room that must stay free to reach things.
func (f *forbidding) spaces() {
	z, swept := f.Zone(f.q.Zone), f.swept()
	for k := range f.Project.Spaces {
		s := &f.Project.Spaces[k]
		if swept.Apart(&f.Spaces[k]) > 0 || !s.Open || s.For == f.q.Zone || !f.counts(s.For) || z.ByHeight && s.Kind != void.Hatch {
			continue
		}
		l := leaf{side: s.Side}
		iv, ok := f.interval(&l, s.Body, z.ByHeight)
		if !ok {
			continue
		}
		from, to, ok := f.stations(s.Body, 0)
		if !ok {
			continue
		}
		f.bans = append(f.bans, Ban{Interval: iv, Zone: s.For, Bay: -1, Space: int32(k), Side: s.Side, From: from, To: to})
		if why := f.Belong(s.For, f.q.Zone); why != measure.NoTie && !z.ByHeight {
			// What is joined to the item may stand in its room where the two meet, and further out it may not.
			f.holes(f.bans[len(f.bans)-1:], s.For, func(t float64) bool {
				_, rest, left, met := f.Apart(f.Drawn(s.For), f.Put(f.q.Zone, f.shifted(t)), why)
				if !met {
					rest, left = f.shifted(t), true
				}
				return !left || !l.bad(rest, s.Body, f.q.touch, false)
			})
		}
	}
}

// meeting returns what says of a shift whether the body, which belongs to zone j, meets it there; nil where it does not belong to it.
func (f *forbidding) meeting(j int32) func(t float64) bool {
	why := f.Belong(f.q.Zone, j)
	if why == measure.NoTie {
		return nil
	}
	return func(t float64) bool {
		_, _, _, met := f.Apart(f.Put(f.q.Zone, f.shifted(t)), f.Drawn(j), why)
		return met
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
// of others, where the row blocks the one side that is left. What meets the row that it belongs to, a branch, blocks none there.
// A rule that counts over a length counts for each thing by itself: what several short ones come to together is left to the check.
func (f *forbidding) oneSides() {
	z := f.Zone(f.q.Zone)
	if z.ByHeight {
		return
	}
	var mine [2][]block
	swept := f.swept()
	for _, j := range f.others {
		o := f.Zone(j)
		if o.ByHeight {
			continue
		}
		ch := f.h.Between(f.Trait(f.q.Zone), f.Trait(j))
		far := swept.Apart(&f.Boxes[j])
		if u := ch.OneA; u.Valid && u.Gap > 0 && !z.Item && !z.Upright && far <= u.Gap {
			for side := range mine {
				if b, ok := f.blocks(f.q.Full, f.Full(j), u, side, false); ok {
					b.by = j
					mine[side] = append(mine[side], b)
				}
			}
		}
		if u := ch.OneB; u.Valid && u.Gap > 0 && !o.Item && !o.Upright && far <= u.Gap {
			for side := range mine {
				if b, ok := f.blocks(f.Full(j), f.q.Full, u, side, true); ok && f.blocked(j, 1-side) {
					f.bans = append(f.bans, Ban{Interval: b.Interval, Zone: j, Bay: -1, Space: -1, Rule: u.Rule, Side: cell.OneSide, Asked: u.Gap, From: b.from, To: b.to})
					if met := f.meeting(j); met != nil {
						f.holes(f.bans[len(f.bans)-1:], j, met)
					}
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
			f.bans = append(f.bans, Ban{Interval: iv, Zone: s.by, Bay: -1, Space: -1, Rule: s.u.Rule, Side: cell.OneSide, Asked: s.u.Gap, From: s.from, To: s.to})
			for _, by := range [2]int32{a.by, b.by} {
				if met := f.meeting(by); met != nil {
					had := f.bans[len(f.bans)-1].Holes
					f.holes(f.bans[len(f.bans)-1:], by, func(t float64) bool {
						return met(t) || slices.ContainsFunc(had, func(h r1.Interval) bool { return h.Contains(t) })
					})
				}
			}
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
	room := measure.RoomBeside(O, u.Gap, way)
	shifted := func(t float64) (body.Body, body.Body) {
		by := f.q.Dir.Mul(t)
		if moves {
			return room, Y.Shift(by)
		}
		return room.Shift(by), Y
	}
	m, o := room, Y
	if moves {
		m, o = Y, room
	}
	span, ok := body.Span(m, o, f.q.Dir)
	if !ok || f.upwards() && body.PlanOverlap(m, o) <= void.Hair {
		return block{}, false
	}
	bad := func(t float64) bool {
		r, y := shifted(t)
		return body.Meet(r, y) && measure.Long(r, y, 0, u.Over)
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
	J := f.Full(j)
	return f.Some(f.Boxes[j], f.Set.Widest(), func(k int32) bool {
		if k == j || !f.counts(k) || f.Zone(k).ByHeight {
			return false
		}
		u := f.h.Between(f.Trait(j), f.Trait(k)).OneA
		if !u.Valid || u.Gap <= 0 || f.Boxes[j].Apart(&f.Boxes[k]) > u.Gap {
			return false
		}
		room, K := measure.RoomBeside(J, u.Gap, way), f.Full(k)
		return body.SharedHeight(J, K) > void.Hair && body.Meet(room, K) && measure.Long(room, K, 0, u.Over)
	})
}
