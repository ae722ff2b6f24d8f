package doubt

import (
	"context"
	"math"

	"github.com/golang/geo/r3"

	"voidline/clash/figure"
	"voidline/clash/measure"
	"voidline/clash/rules"
	"voidline/clash/scene"
	"voidline/clash/tolerance"
	"voidline/void"
	"voidline/void/body"
	"voidline/void/cell"
)

// Thing is a zone, or the ceiling or the soffit of a bay.
type Thing struct {
	Zone, Bay int32 // the other is -1
	Soffit    bool  // of the bay
}

// OfZone, CeilingOf and SoffitOf name a thing.
func OfZone(i int32) Thing      { return Thing{Zone: i, Bay: -1} }
func CeilingOf(bay int32) Thing { return Thing{Zone: -1, Bay: bay} }
func SoffitOf(bay int32) Thing  { return Thing{Zone: -1, Bay: bay, Soffit: true} }

// Off is how far off its level one thing may be built, plus or minus, mm.
type Off struct {
	Thing
	MM      float64
	Default string // of what the default is, see package tolerance; "" where its row says it
}

// Down is what a beam under load brings down.
type Down struct {
	Beam     int32
	Span, By float64 // between the columns under the beam, or its ends; at the place, at most: mm
}

// Left is what is left of a gap, mm: as drawn, with all tolerances the wrong way, by the root of the sum of their squares; of both with the
// beam down.
type Left struct {
	Drawn, Worst, RSS float64
	Off               []Off
	Down              *Down // nil where no beam brings the upper down on the lower
}

// By returns what is left by a way of adding up.
func (l *Left) By(way tolerance.Way) float64 { return way.Of(l.Drawn, l.Worst, l.RSS) }

// Doubt is a pair that is clear enough as drawn and may not fit once built. Lengths are mm; below nothing the two are in each other.
type Doubt struct {
	Upper, Lower Thing
	Left
	Rule     *rules.Rule // that is missed; nil where it is that no two things are in one place
	Asked    float64     // by it; 0 where there is none
	ByHeight bool        // one of the two lies over a whole bay
	At       r3.Vector
	Hung     bool // the upper's lowest is what hangs under it
}

// Weigher weighs pairs of one scene. Several goroutines may ask one.
type Weigher struct {
	*measure.Tape
	touch float64          // mm up to which things may rest on each other
	ratio float64          // beams come down by their span over this; 0: they do not
	steel map[tile][]int32 // beams and slabs
	spans map[int32][]beamSpan
	most  float64 // the most that any beam comes down, mm
}

// On returns a weigher over a scene: beams come down by their span over ratio, 0: they do not.
func On(t *measure.Tape, touch, ratio float64) *Weigher {
	d := &Weigher{Tape: t, touch: touch, ratio: math.Max(0, ratio)}
	d.ready()
	return d
}

// batch is how many zones a goroutine takes at a time.
const batch = 1 << 9

// survey looks for what may not fit in a whole scene.
type survey struct {
	*Weigher
	way    tolerance.Way
	serves func(zone int32) bool
	got    []Doubt
	broken []bool   // by bay: its tiles cannot be lifted out as drawn
	tiles  []*Doubt // by bay: the worst doubt about lifting them out
}

// All returns what may not fit of a whole scene, in no promised order. serves says of a zone whether it serves something that is set into the
// ceiling: tiles are not lifted past that.
func (w *Weigher) All(ctx context.Context, way tolerance.Way, serves func(zone int32) bool) ([]Doubt, error) {
	d := &survey{Weigher: w, way: way, serves: serves, broken: make([]bool, len(w.Project.Bays)), tiles: make([]*Doubt, len(w.Project.Bays))}
	n := d.Project.Zones()
	got := make([][]Doubt, n/batch+1)
	further := d.Set.Widest() + d.slack()
	d.Laid(scene.StraysMost)
	d.Blocks(n, batch, func(from, to int) {
		h := d.Set.Reader()
		var out []Doubt
		for i := int32(from); i < int32(to); i++ {
			if i%64 == 0 && ctx.Err() != nil {
				return
			}
			b := d.Boxes[i]
			if b.Gone() {
				continue
			}
			b.Lo[2] -= further
			b.Hi[2] += further
			d.Near(b, 0, func(o int32) {
				if o <= i || d.Structure(i) && d.Structure(o) {
					return
				}
				x, y := i, o
				if d.Zone(y).ID < d.Zone(x).ID {
					x, y = y, x // by id, so that nothing hangs on the order of rows
				}
				if x, ok := d.pair(h, x, y); ok {
					out = append(out, x)
				}
			})
		}
		got[from/batch] = out
	})
	h := d.Set.Reader()
	for i := range int32(n) {
		if i%256 == 0 && ctx.Err() != nil {
			return nil, ctx.Err()
		}
		if !d.Boxes[i].Gone() && !d.Structure(i) {
			d.ceilings(h, i)
			d.soffits(h, i)
		}
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	for _, g := range got {
		d.got = append(d.got, g...)
	}
	for j, x := range d.tiles {
		if x != nil && !d.broken[j] {
			d.got = append(d.got, *x)
		}
	}
	return d.got, nil
}

// slack is how much nearer than drawn two zones may come, mm, at most.
func (d *Weigher) slack() float64 {
	most := 0.0
	for i := range int32(d.Project.Zones()) {
		if !d.Boxes[i].Gone() {
			most = math.Max(most, d.Of(OfZone(i)).MM)
		}
	}
	for _, t := range tolerance.Defaults() {
		most = math.Max(most, t.MM) // a bay's soffit that something is tight to
	}
	return 4*most + d.most // its own, and that of what it is tight to, for each
}

// Of returns the tolerance of a thing: its row's, else that of what it is.
func (d *Weigher) Of(of Thing) Off {
	switch {
	case of.Zone >= 0:
		mm, by := Tolerance(d.Project, d.Zone(of.Zone))
		return Off{of, mm, by}
	case of.Soffit:
		return Off{of, tolerance.Default(tolerance.Slab).MM, tolerance.Slab}
	}
	return Off{of, tolerance.Default(tolerance.Ceiling).MM, tolerance.Ceiling}
}

// Tolerance returns the tolerance of a zone, mm, and of what a default is, "" where its row says it.
func Tolerance(p *void.Project, z *void.Zone) (mm float64, by string) {
	if mm, ok := z.Tolerance(); ok {
		return mm, ""
	}
	by = tolerance.Services
	c := p.Character(z.Char)
	switch {
	case c.Structure() && c.Entry.Beam:
		by = tolerance.Beam
	case c.Structure():
		by = tolerance.Slab
	case z.Recessed:
		by = tolerance.Ceiling // it is set into it
	}
	return tolerance.Default(by).MM, by
}

// id returns the id of a thing.
func (d *Weigher) id(of Thing) string {
	switch {
	case of.Zone >= 0:
		return d.Zone(of.Zone).ID
	case of.Soffit:
		return d.Project.Bays[of.Bay].SoffitID()
	}
	return d.Project.Bays[of.Bay].CeilingID()
}

// nothing is what a zone is tight to that is tight to nothing.
var nothing = Thing{Zone: -1, Bay: -1}

// tightTo returns the structure that a zone is fixed tight to, with its tolerance, or nothing. Of several it is that which may be
// furthest off.
func (d *Weigher) tightTo(i int32) Off {
	z := d.Zone(i)
	worst := Off{Thing: nothing}
	if d.Structure(i) || z.Recessed || z.Upright {
		return worst
	}
	f := d.Full(i)
	box := scene.BoxOf(f)
	take := func(t Off) {
		if worst.Thing == nothing || t.MM > worst.MM || t.MM == worst.MM && d.id(t.Thing) < d.id(worst.Thing) {
			worst = t
		}
	}
	for _, k := range inTiles(d.steel, z.Storey, f.Plan()) {
		s := d.Full(k)
		if sb := scene.BoxOf(s); box.Apart(&sb) > d.touch+void.Hair || body.PlanOverlap(f, s) <= d.touch+void.Hair {
			continue
		}
		if span, ok := body.Span(f, s, scene.Up); !ok || math.Min(math.Abs(span.Lo), math.Abs(span.Hi)) > d.touch+void.Hair {
			continue
		}
		take(d.Of(OfZone(k)))
	}
	for _, j := range z.Bays() {
		bay := &d.Project.Bays[j]
		if math.Abs(bay.Soffit-scene.Highest(f, bay)) <= d.touch+void.Hair {
			take(d.Of(SoffitOf(j)))
		}
	}
	return worst
}

// withTight adds the tolerance of what a zone is tight to.
func (d *Weigher) withTight(i int32, off ...Off) []Off {
	if t := d.tightTo(i); t.Thing != nothing {
		off = append(off, t)
	}
	return off
}

// ask is what a pair is asked upright: a rule that it meets as drawn.
type ask struct {
	rules.Use
	long func(nearer float64) bool // the rule counts along enough of the length when the two come so much nearer
}

// left takes off a gap how far off the two may be built, and what brings the upper down.
func left(gap float64, off []Off, c *Down) Left {
	var mm []float64
	for _, t := range off {
		mm = append(mm, t.MM)
	}
	l := tolerance.Left(math.Max(0, gap), mm...)
	x := Left{Drawn: l.Drawn, Worst: l.Worst, RSS: l.Usual, Off: off, Down: c}
	if c != nil {
		x.Worst -= c.By
		x.RSS -= c.By
	}
	return x
}

// weigh makes a doubt of what is left of a gap, where the way asked for leaves too little of it.
func (d *survey) weigh(l Left, asks []ask) (Doubt, bool) {
	x := Doubt{Left: l}
	after := l.By(d.way)
	doubtful := after < -figure.Slack
	for _, a := range asks {
		// Until they touch: further than that no more of the length comes too near.
		if a.Valid && figure.Lacks(after, a.Gap) && !figure.Lacks(x.Drawn, a.Gap) && a.Gap > x.Asked && a.long(math.Min(x.Drawn-after, x.Drawn)) {
			x.Asked, x.Rule = a.Gap, a.Rule
			doubtful = true
		}
	}
	return x, doubtful
}

// pair weighs two zones that are clear of each other as drawn.
func (d *survey) pair(h *rules.Reader, a, b int32) (Doubt, bool) {
	za, zb := d.Zone(a), d.Zone(b)
	byHeight := za.ByHeight || zb.ByHeight
	if byHeight && (d.Upright(a) || d.Upright(b) || za.Recessed && zb.Recessed || za.ByHeight && zb.ByHeight && za.Bay != zb.Bay) {
		return Doubt{}, false
	}
	A, B, touch := d.Full(a), d.Full(b), d.touch
	boxA, boxB := scene.BoxOf(A), scene.BoxOf(B)
	for k := range 2 {
		if boxA.Lo[k] >= boxB.Hi[k] || boxB.Lo[k] >= boxA.Hi[k] {
			return Doubt{}, false // beside each other: levels do not count
		}
	}
	why := d.Belong(a, b)
	if why != measure.NoTie {
		if byHeight && (why == measure.SameRun || why == measure.NamedJoin) {
			return Doubt{}, false
		}
		if x, y, rest, met := d.Apart(d.Drawn(a), d.Drawn(b), why); met && !byHeight {
			if !rest {
				return Doubt{}, false
			}
			A, B = x, y
		}
	}
	if body.PlanOverlap(A, B) <= touch+void.Hair {
		return Doubt{}, false
	}
	span, ok := body.Span(A, B, scene.Up)
	if !ok || span.Lo < -touch-void.Hair && span.Hi > touch+void.Hair {
		return Doubt{}, false // into each other, or side by side round a corner
	}
	ch := h.Between(d.Trait(a), d.Trait(b))
	upper, lower, U, L, gap, side := b, a, B, A, span.Lo, ch.Over
	if span.Lo+span.Hi <= 0 {
		upper, lower, U, L, gap, side = a, b, A, B, -span.Hi, ch.Under
	}
	if (why != measure.NoTie || d.Structure(a) || d.Structure(b)) && gap <= touch+void.Hair {
		return Doubt{}, false // one is fixed tight to the other
	}
	// What may come of it at the most, before anything dear is measured.
	off := d.both(upper, lower)
	least := gap - d.most
	for _, t := range off {
		least -= t.MM
	}
	if least >= math.Max(0, ch.Need)-void.Hair {
		return Doubt{}, false
	}
	if v := measure.Judge(A, B, ch, touch, byHeight); v.Any() {
		return Doubt{}, false // a finding as drawn
	}
	// The two of a rule, come nearer by so much: what it is of first.
	nearer := func(u rules.Use, by float64) (body.Body, body.Body) {
		x, y := A, B
		if upper == a {
			x = x.Shift(scene.Up.Mul(-by))
		} else {
			y = y.Shift(scene.Up.Mul(-by))
		}
		if u.OfA {
			return x, y
		}
		return y, x
	}
	asks := []ask{
		{side, func(by float64) bool {
			x, y := nearer(side, by)
			at := cell.Above // the room stands on the lower where that asks, else hangs under the upper
			if side.OfA == (upper == a) {
				at = cell.Below
			}
			return byHeight || measure.LongOn(x, y, at, side.Gap, side.Over)
		}},
		{ch.Around, func(by float64) bool {
			x, y := nearer(ch.Around, by)
			return byHeight || measure.LongOn(x, y, cell.Around, ch.Around.Gap, ch.Around.Over)
		}},
	}
	x, ok := d.weigh(left(gap, off, d.sink(upper, lower, U, L)), asks)
	if !ok {
		return Doubt{}, false
	}
	x.Upper, x.Lower, x.ByHeight = OfZone(upper), OfZone(lower), byHeight
	if x.At, ok = measure.UprightAt(A, B); !ok || byHeight {
		x.At = measure.Spot(A, B)
	}
	if byHeight {
		row, bay := a, zb.Bay
		if za.ByHeight {
			row, bay = b, za.Bay
		}
		over := measure.OverBay(d.Full(row), &d.Project.Bays[bay])
		x.At.X, x.At.Y = over.X, over.Y
	}
	return x, true
}

// both returns the tolerances of two, and of what each is tight to; with the same they go together.
func (d *Weigher) both(upper, lower int32) []Off {
	off := []Off{d.Of(OfZone(upper)), d.Of(OfZone(lower))}
	u, l := d.tightTo(upper), d.tightTo(lower)
	if u.Thing == l.Thing {
		return off
	}
	for _, t := range []Off{u, l} {
		if t.Thing != nothing {
			off = append(off, t)
		}
	}
	return off
}

// ceilings weighs a zone against the ceilings of its bays.
func (d *survey) ceilings(h *rules.Reader, i int32) {
	z := d.Zone(i)
	for _, j := range z.Bays() {
		bay := &d.Project.Bays[j]
		if !bay.HasCeiling {
			continue
		}
		lo, low, hung := d.Under(i, d.Full(i), bay)
		switch {
		case scene.Highest(d.Full(i), bay) <= bay.Ceiling+void.Hair, z.Recessed && lo <= bay.Top+d.touch+void.Hair, z.Upright && lo < bay.Top-void.Hair:
			continue // told, or excused, as drawn
		}
		gap := lo - bay.Top
		t := d.Set.TilesFor(d.Char(i))
		lifts := t != nil && bay.BuildUp >= 0 && d.Project.BuildUps[bay.BuildUp].LiftsOut() && !d.serves(i)
		if lifts && figure.Lacks(gap, t.Gap) {
			d.broken[j] = true
			lifts = false
		}
		if gap < -d.touch-figure.Slack {
			continue
		}
		ch := h.Between(d.Trait(i), d.Set.Ceiling)
		var asks []ask
		found := false
		for _, u := range []rules.Use{ch.Under, ch.Around} {
			long := func(nearer float64) bool {
				return z.ByHeight || u.Over == 0 || measure.LongBy(low.Shift(scene.Up.Mul(-nearer)), bay, u, true)
			}
			found = found || u.Valid && figure.Lacks(math.Max(0, gap), u.Gap) && long(0)
			asks = append(asks, ask{u, long})
		}
		l := left(gap, d.withTight(i, d.Of(OfZone(i)), d.Of(CeilingOf(j))), d.sink(i, -1, d.Full(i), body.Upright(bay.Plan, d.Full(i).Height())))
		fill := func(x *Doubt) {
			x.Upper, x.Lower, x.ByHeight, x.Hung = OfZone(i), CeilingOf(j), z.ByHeight, hung
			x.At = measure.UnderAt(d.Full(i), low, bay)
			x.At.Z = (scene.Lowest(low, bay) + bay.Top) / 2
		}
		if x, ok := d.weigh(l, asks); ok && !found {
			fill(&x)
			d.got = append(d.got, x)
		}
		if !lifts {
			continue
		}
		u := rules.Use{Rule: t, Gap: t.Gap, Valid: true}
		x, ok := d.weigh(l, []ask{{u, func(float64) bool { return true }}})
		if ok && x.Asked > 0 && d.worseTile(&x, z.ID, d.tiles[j]) {
			fill(&x)
			d.tiles[j] = &x
		}
	}
}

// worseTile reports whether less is left for lifting a bay's tiles than of the worst so far, nil for none; of equals the first by id.
func (d *survey) worseTile(x *Doubt, id string, worst *Doubt) bool {
	if worst == nil {
		return true
	}
	now, was := x.By(d.way), worst.By(d.way)
	return now < was-void.Hair || now < was+void.Hair && id < d.id(worst.Upper)
}

// soffits weighs a zone against the soffits of its bays.
func (d *survey) soffits(h *rules.Reader, i int32) {
	z := d.Zone(i)
	for _, j := range z.Bays() {
		bay := &d.Project.Bays[j]
		hi := scene.Highest(d.Full(i), bay)
		if hi > bay.Soffit-d.touch-void.Hair {
			continue // tight to it, or a finding, builder's work or told as drawn
		}
		gap := bay.Soffit - hi
		ch := h.Between(d.Trait(i), d.Set.Soffit)
		var asks []ask
		found := false
		for _, u := range []rules.Use{ch.Over, ch.Around} {
			long := func(nearer float64) bool {
				return z.ByHeight || u.Over == 0 || measure.LongBy(d.Full(i).Shift(scene.Up.Mul(nearer)), bay, u, false)
			}
			found = found || u.Valid && figure.Lacks(gap, u.Gap) && long(0)
			asks = append(asks, ask{u, long})
		}
		x, ok := d.weigh(left(gap, d.withTight(i, d.Of(SoffitOf(j)), d.Of(OfZone(i))), nil), asks)
		if !ok || found {
			continue
		}
		x.Upper, x.Lower, x.ByHeight = SoffitOf(j), OfZone(i), z.ByHeight
		x.At = measure.LowestAt(d.Full(i), bay, true)
		x.At.Z = (scene.Highest(d.Full(i), bay) + bay.Soffit) / 2
		d.got = append(d.got, x)
	}
}
