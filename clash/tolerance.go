package clash

import (
	"cmp"
	"context"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/golang/geo/r2"
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

// What is clear as drawn may not fit once it is built: nothing is built at its level to the millimetre, and a beam comes
// down when the floor above is loaded. Where it is asked for, such pairs are told as doubts. They are no findings: most
// tolerances are from memory or common practice.
//
//  1. Pairs that are near enough to come too close are searched as findings are, only wider. What is a finding as drawn, or
//     belongs together, is passed over.
//  2. Only levels count: the upright distance where the two plans overlap. From it are taken the tolerances of the two; what
//     is fixed tight to a beam or a slab (within the touch tolerance) goes up and down with it, so that its tolerance
//     counts too, except between two things that are tight to the same.
//  3. What hangs from above goes down with a beam that lies over it. The gap to what is carried by something else loses that
//     much: a ceiling and what is set into it (carried from the walls, the careful reading), what stands through levels,
//     walls, slabs. Two things that hang over one place go down together. A slab is taken to stay, and what hangs where
//     no beam is over it stays with it. A hanger from the wall stays.
//  4. A row of steel is one span, cut at the columns that stand under it; what carries its ends is taken to stay.

// Way is how tolerances of level are added up.
type Way string

// The ways. AsDrawn adds nothing.
const (
	AsDrawn       Way = ""
	WorstCase     Way = "worst" // all the wrong way at once
	RootOfSquares Way = "rss"   // the root of the sum of their squares
)

// Doubt is a pair that is clear enough as drawn and may not fit once built. Upper and Lower are ids of zones, or
// "soffit BAY" and "ceiling BAY". Lengths are millimetres, in JSON to the nearest 0.1; below nothing the two are in each
// other.
type Doubt struct {
	ID         string      `json:"id"` // that a finding between the two has
	Upper      string      `json:"upper"`
	Lower      string      `json:"lower"`
	UpperTrade string      `json:"upper_trade"`
	LowerTrade string      `json:"lower_trade"`
	UpperRow   string      `json:"upper_row"` // file:line
	LowerRow   string      `json:"lower_row"`
	UpperRun   string      `json:"upper_run"`
	LowerRun   string      `json:"lower_run"`
	UpperKind  string      `json:"upper_kind"`
	LowerKind  string      `json:"lower_kind"`
	Bay        *string     `json:"bay"` // null: outside every bay
	Storey     string      `json:"storey"`
	At         Spot        `json:"at"`
	Drawn      float64     `json:"as_drawn"`
	Worst      float64     `json:"at_worst"`        // all tolerances the wrong way, and the beam down
	RSS        float64     `json:"root_of_squares"` // by the root of the sum of squares, and the beam down
	Asked      float64     `json:"asked"`           // 0 where no rule is missed and the two may touch
	Rule       string      `json:"rule"`            // the rule in words
	Basis      rules.Basis `json:"basis"`
	ByHeight   bool        `json:"by_height"` // one of the two lies over a whole bay

	Tolerances []Tolerance `json:"tolerances"`
	ComesDown  *ComesDown  `json:"comes_down"` // null where no beam brings the upper down on the lower
	Note       string      `json:"note"`
}

// Left returns what is left by a way of adding up.
func (d *Doubt) Left(by Way) float64 {
	switch by {
	case WorstCase:
		return d.Worst
	case RootOfSquares:
		return d.RSS
	}
	return d.Drawn
}

// Tolerance is how far off its level one thing may be built, plus or minus.
type Tolerance struct {
	Of      string  `json:"of"` // zone id, ceiling BAY, soffit BAY
	MM      float64 `json:"mm"`
	From    string  `json:"from"`    // file:line of the row that says it; "" for a default
	Default string  `json:"default"` // of what the default is: beam, slab, ceiling, services; "" where the row says it
}

// ComesDown is what a beam under load brings down.
type ComesDown struct {
	Beam string  `json:"beam"`
	Row  string  `json:"row"`  // file:line
	Span float64 `json:"span"` // between the columns under the beam, or its ends
	By   float64 `json:"by"`   // at the place, at most
}

// ToleranceDefault is the tolerance of what has none in its row.
type ToleranceDefault struct {
	Of         string  `json:"of"`
	MM         float64 `json:"mm"`
	Source     string  `json:"source"`
	Provenance string  `json:"provenance"` // from memory; common practice, no source
}

// ToleranceUsed says how doubts were looked for.
type ToleranceUsed struct {
	By         Way                `json:"by"`         // worst, rss
	Deflection float64            `json:"deflection"` // beams come down by their span over this; 0: they do not
	Defaults   []ToleranceDefault `json:"defaults"`
}

// doubts looks for what may not fit.
type doubts struct {
	*run
	way    Way
	ratio  float64
	steel  map[tile][]int32 // beams and slabs
	spans  map[int32][]beamSpan
	most   float64 // the most that any beam comes down
	got    []Doubt
	broken []bool   // by bay: its tiles cannot be lifted out as drawn
	tiles  []*Doubt // by bay: the worst doubt about lifting them out
}

// tile is a square of a storey's plan.
type tile struct {
	storey, x, y int32
}

const tileSteel = 6000.0 // mm

// beamSpan is a part of a beam between two supports, by station (-1 at the start of the row, 1 at its end).
type beamSpan struct {
	lo, hi float64
	mm     float64
}

// doubtsBatch is how many zones a goroutine takes at a time.
const doubtsBatch = 1 << 9

// doubt adds to an answer what may not fit once built, where that is asked for. Every pair is weighed at each asking: none
// of it is kept in the book.
func (r *run) doubt(ctx context.Context, a *Answer) (*Answer, error) {
	if r.opt.Tolerance == AsDrawn {
		return a, nil
	}
	d := &doubts{
		run: r, way: r.opt.Tolerance, ratio: math.Max(0, r.opt.Deflection),
		broken: make([]bool, len(r.Project.Bays)), tiles: make([]*Doubt, len(r.Project.Bays)),
	}
	d.ready()
	n := r.Project.Zones()
	got := make([][]Doubt, n/doubtsBatch+1)
	further := r.Set.Widest() + d.slack()
	r.Laid(scene.StraysMost)
	r.Blocks(n, doubtsBatch, func(from, to int) {
		h := r.Set.Reader()
		var out []Doubt
		for i := int32(from); i < int32(to); i++ {
			if i%64 == 0 && ctx.Err() != nil {
				return
			}
			b := r.Boxes[i]
			if b.Gone() {
				continue
			}
			b.Lo[2] -= further
			b.Hi[2] += further
			r.Near(b, 0, func(o int32) {
				if o <= i || r.Structure(i) && r.Structure(o) {
					return
				}
				x, y := i, o
				if r.Zone(y).ID < r.Zone(x).ID {
					x, y = y, x // by id, so that nothing hangs on the order of rows
				}
				if x, ok := d.pair(h, x, y); ok {
					out = append(out, x)
				}
			})
		}
		got[from/doubtsBatch] = out
	})
	h := r.Set.Reader()
	for i := range int32(n) {
		if i%256 == 0 && ctx.Err() != nil {
			return nil, ctx.Err()
		}
		if !r.Boxes[i].Gone() && !r.Structure(i) {
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
	res := &a.head
	res.Tolerance = &ToleranceUsed{By: d.way, Deflection: d.ratio}
	for _, t := range tolerance.Defaults() {
		res.Tolerance.Defaults = append(res.Tolerance.Defaults, ToleranceDefault(t))
	}
	res.Doubtful = []Doubt{}
	for i := range d.got {
		if x := &d.got[i]; r.wantsAt(x.Bay, x.UpperTrade, x.LowerTrade) {
			x.round()
			res.Doubtful = append(res.Doubtful, *x)
		}
	}
	order := map[string]int{}
	for i := range r.Project.Storeys {
		order[r.Project.Storeys[i].Name] = i
	}
	slices.SortFunc(res.Doubtful, func(a, b Doubt) int { return d.compare(&a, &b, order) })
	return a, nil
}

// compare orders doubts as findings: by storey, by bay (those outside every bay last), what would be into each other
// before what would be too near, worst first.
func (d *doubts) compare(a, b *Doubt, storey map[string]int) int {
	key := func(x *Doubt) (last int, bay string, kind int, short float64) {
		if x.Bay == nil {
			last = 1
		} else {
			bay = *x.Bay
		}
		if left := x.Left(d.way); left < 0 {
			return last, bay, 0, left
		} else {
			return last, bay, 1, left - x.Asked
		}
	}
	lastA, bayA, kindA, shortA := key(a)
	lastB, bayB, kindB, shortB := key(b)
	return cmp.Or(
		storey[a.Storey]-storey[b.Storey], lastA-lastB, void.Natural(bayA, bayB), kindA-kindB, cmp.Compare(shortA, shortB),
		strings.Compare(a.ID, b.ID), strings.Compare(a.Rule, b.Rule),
	)
}

func (d *Doubt) round() {
	for _, v := range []*float64{&d.At.X, &d.At.Y, &d.At.Z, &d.At.Level, &d.Drawn, &d.Worst, &d.RSS, &d.Asked} {
		*v = figure.Tenth(*v)
	}
	for i := range d.Tolerances {
		d.Tolerances[i].MM = figure.Tenth(d.Tolerances[i].MM)
	}
	if d.ComesDown != nil {
		d.ComesDown.Span, d.ComesDown.By = figure.Tenth(d.ComesDown.Span), figure.Tenth(d.ComesDown.By)
	}
}

// ready lays beams and slabs into tiles, and cuts beams at the columns under them.
func (d *doubts) ready() {
	d.steel, d.spans = map[tile][]int32{}, map[int32][]beamSpan{}
	columns := map[tile][]int32{}
	for i := range int32(d.Project.Zones()) {
		if d.Boxes[i].Gone() || !d.Structure(i) {
			continue
		}
		to := d.steel
		if d.Char(i).Kind == "column" {
			to = columns
		} else if d.Zone(i).Upright {
			continue // a wall or a post carries nothing that hangs
		}
		tilesUnder(d.Zone(i).Storey, d.Full(i).Plan(), func(t tile) { to[t] = append(to[t], i) })
	}
	if d.ratio == 0 {
		return
	}
	for i := range int32(d.Project.Zones()) {
		if z := d.Zone(i); !d.Boxes[i].Gone() && d.Structure(i) && d.Char(i).Entry.Beam && !z.Item && !z.Upright && !z.ByHeight {
			d.spans[i] = d.cut(i, columns)
			for _, s := range d.spans[i] {
				d.most = math.Max(d.most, s.mm/d.ratio)
			}
		}
	}
}

// tilesUnder calls for every tile that a plan lies over.
func tilesUnder(storey int32, plan r2.Rect, call func(tile)) {
	at := func(v float64) int32 { return int32(math.Floor(v / tileSteel)) }
	for x := at(plan.X.Lo); x <= at(plan.X.Hi); x++ {
		for y := at(plan.Y.Lo); y <= at(plan.Y.Hi); y++ {
			call(tile{storey, x, y})
		}
	}
}

// inTiles returns the zones of an index whose tiles a plan lies over, ascending.
func inTiles(index map[tile][]int32, storey int32, plan r2.Rect) []int32 {
	var out []int32
	tilesUnder(storey, plan, func(t tile) { out = append(out, index[t]...) })
	slices.Sort(out)
	return slices.Compact(out)
}

// cut returns the spans of a beam between its ends and the columns that stand under it.
func (d *doubts) cut(i int32, columns map[tile][]int32) []beamSpan {
	b := d.Full(i)
	under, n2 := b.Height().Lo, b.Along.Norm2()
	at := []float64{-1, 1}
	for _, k := range inTiles(columns, d.Zone(i).Storey, b.Plan()) {
		c := d.Full(k)
		if h := c.Height(); h.Lo > under-void.Hair || h.Hi < under-rules.MeetEnds || body.PlanOverlap(b, c) <= void.Hair {
			continue // it stands on the beam, or stops under it
		}
		if s := c.Centre.Sub(b.Centre).Dot(r3.Vector{X: b.Along.X, Y: b.Along.Y}) / n2; s > -1 && s < 1 {
			at = append(at, s)
		}
	}
	slices.Sort(at)
	var out []beamSpan
	for k := range at[1:] {
		if mm := (at[k+1] - at[k]) * math.Sqrt(n2); mm > void.Hair {
			out = append(out, beamSpan{at[k], at[k+1], mm})
		}
	}
	return out
}

// slack is how much nearer than drawn two zones may come, mm, at most.
func (d *doubts) slack() float64 {
	most := 0.0
	for i := range int32(d.Project.Zones()) {
		if !d.Boxes[i].Gone() {
			most = math.Max(most, d.own(i).MM)
		}
	}
	for _, t := range tolerance.Defaults() {
		most = math.Max(most, t.MM) // a bay's soffit that something is tight to
	}
	return 4*most + d.most // its own, and that of what it is tight to, for each
}

// own returns the tolerance of a zone: its row's, else that of what it is.
func (d *doubts) own(i int32) Tolerance {
	z := d.Zone(i)
	mm, of, own := toleranceOf(d.Project, z)
	if own {
		return Tolerance{Of: z.ID, MM: mm, From: d.Project.FileLine(z.At())}
	}
	return byDefault(z.ID, of)
}

func byDefault(id, of string) Tolerance {
	t := tolerance.Default(of)
	return Tolerance{Of: id, MM: t.MM, Default: t.Of}
}

// nothing is what a zone is tight to that is tight to nothing.
const nothing = -1

// tightTo returns what structure a zone is fixed tight to, with its tolerance: a zone, or soffit j of a bay as -2-j, or
// nothing. Of several it is that which may be furthest off.
func (d *doubts) tightTo(i int32) (int32, Tolerance) {
	z := d.Zone(i)
	to, worst := int32(nothing), Tolerance{}
	if d.Structure(i) || z.Recessed || z.Upright {
		return to, worst
	}
	f := d.Full(i)
	box := scene.BoxOf(f)
	better := func(t Tolerance) bool {
		return to == nothing || t.MM > worst.MM || t.MM == worst.MM && t.Of < worst.Of
	}
	for _, k := range inTiles(d.steel, z.Storey, f.Plan()) {
		s := d.Full(k)
		if sb := scene.BoxOf(s); box.Apart(&sb) > d.touch+void.Hair || body.PlanOverlap(f, s) <= d.touch+void.Hair {
			continue
		}
		if span, ok := body.Span(f, s, scene.Up); !ok || math.Min(math.Abs(span.Lo), math.Abs(span.Hi)) > d.touch+void.Hair {
			continue
		}
		if t := d.own(k); better(t) {
			to, worst = k, t
		}
	}
	for _, j := range z.Bays() {
		bay := &d.Project.Bays[j]
		if math.Abs(bay.Soffit-scene.Highest(f, bay)) > d.touch+void.Hair {
			continue
		}
		if t := byDefault(bay.SoffitID(), tolerance.Slab); better(t) {
			to, worst = -2-j, t
		}
	}
	return to, worst
}

// What hangers hang from, where it counts: from a wall no beam brings them down; from a beam they reach a little beside it.
const (
	fromWall    = "wall"
	fromFlange  = "beam flange"
	fromPurlin  = "purlin"
	flangeReach = 300.0 // mm beside the flange that a clamp and its bracket reach (common practice, no source)
)

// hangs reports whether a zone hangs from what is above it. Everything in a void does that is no structure, is not set
// into the ceiling and does not stand through levels, whether its row names a hanger or not; but not what is bracketed from
// a wall.
func (d *doubts) hangs(i int32) bool {
	z := d.Zone(i)
	if d.Structure(i) || z.Recessed || z.Hanger >= 0 && d.Project.Hangers[z.Hanger].From == fromWall {
		return false
	}
	if !z.Upright {
		return true
	}
	// A drop within the void hangs with what it drops from.
	h := d.Full(i).Height()
	for _, j := range z.Bays() {
		if bay := &d.Project.Bays[j]; !bay.HasCeiling || h.Lo < bay.Top-void.Hair || h.Hi > bay.Soffit+void.Hair {
			return false
		}
	}
	return len(z.Bays()) > 0
}

// down returns how far a beam comes down over the plans of all of the bodies: the most, or the least, of it.
func (d *doubts) down(beam int32, least bool, over ...body.Body) (ComesDown, bool) {
	b := d.Full(beam)
	lo, hi := -1.0, 1.0
	for _, o := range over {
		if body.PlanOverlap(b, o) <= void.Hair {
			return ComesDown{}, false
		}
		l, h, ok := body.Stretch(measure.Flat(b), measure.Flat(o), void.Hair)
		if lo, hi = math.Max(lo, l), math.Min(hi, h); !ok || lo > hi {
			return ComesDown{}, false
		}
	}
	z := d.Zone(beam)
	best, found := ComesDown{Beam: z.ID, Row: d.Project.FileLine(z.At())}, false
	for _, s := range d.spans[beam] {
		if s.hi < lo || s.lo > hi {
			continue
		}
		part := func(t float64) float64 { return math.Min(1, math.Max(0, (t-s.lo)/(s.hi-s.lo))) }
		by := tolerance.Most(s.mm, d.ratio, part(lo), part(hi))
		if least {
			by = tolerance.Least(s.mm, d.ratio, part(lo), part(hi))
		}
		if !found || least && by < best.By || !least && by > best.By {
			best.By, best.Span, found = by, s.mm, true
		}
	}
	return best, found
}

// carried returns how far what carries a zone comes down at most over the plans of the bodies; nil for not at all. F is
// what is measured of the zone.
func (d *doubts) carried(i int32, F body.Body, over ...body.Body) *ComesDown {
	if d.most == 0 {
		return nil
	}
	if _, is := d.spans[i]; is {
		if c, ok := d.down(i, false, over...); ok && c.By > 0 {
			return &c
		}
		return nil
	}
	if !d.hangs(i) {
		return nil
	}
	over = append([]body.Body{F}, over...)
	if z := d.Zone(i); z.Hanger >= 0 && (d.Project.Hangers[z.Hanger].From == fromFlange || d.Project.Hangers[z.Hanger].From == fromPurlin) {
		for k := range over {
			over[k].W += flangeReach
		}
	}
	var most *ComesDown
	for _, k := range inTiles(d.steel, d.Zone(i).Storey, over[0].Plan()) {
		if _, is := d.spans[k]; !is || d.Full(k).Height().Hi <= F.Height().Hi+void.Hair {
			continue // not over it
		}
		if c, ok := d.down(k, false, over...); ok && c.By > 0 && (most == nil || c.By > most.By || c.By == most.By && c.Beam < most.Beam) {
			most = &c
		}
	}
	return most
}

// sink returns what brings zone a, over the plan that it shares with what is under it, down on that: zone b, or where b is
// below 0 the ceiling of a bay whose plan is B.
func (d *doubts) sink(a, b int32, A, B body.Body) *ComesDown {
	if b >= 0 && d.hangs(b) {
		return nil // what is over that place brings both down
	}
	c := d.carried(a, A, B)
	if c == nil || b < 0 {
		return c
	}
	if _, is := d.spans[b]; is {
		if lower, ok := d.down(b, true, A); ok {
			if c.By = tolerance.Sink(c.By, lower.By); c.By <= 0 {
				return nil
			}
		}
	}
	return c
}

// ask is what a pair is asked upright: a rule that it meets as drawn.
type ask struct {
	rules.Use
	long func(nearer float64) bool // the rule counts along enough of the length when the two come so much nearer
}

// weigh makes a doubt of a gap, where the way asked for leaves too little of it.
func (d *doubts) weigh(gap float64, off []Tolerance, c *ComesDown, asks []ask) (Doubt, bool) {
	var mm []float64
	for _, t := range off {
		mm = append(mm, t.MM)
	}
	left := tolerance.Left(math.Max(0, gap), mm...)
	x := Doubt{Drawn: left.Drawn, Worst: left.Worst, RSS: left.Usual, Tolerances: off, ComesDown: c, Rule: inOnePlace, Basis: rules.Geometry}
	if c != nil {
		x.Worst -= c.By
		x.RSS -= c.By
	}
	after := x.Left(d.way)
	doubtful := after < -figure.Slack
	for _, a := range asks {
		// Until they touch: further than that no more of the length comes too near.
		if a.Valid && figure.Lacks(after, a.Gap) && !figure.Lacks(x.Drawn, a.Gap) && a.Gap > x.Asked && a.long(math.Min(x.Drawn-after, x.Drawn)) {
			x.Asked, x.Rule, x.Basis = a.Gap, a.Rule.Name, a.Rule.Basis
			doubtful = true
		}
	}
	return x, doubtful
}

// pair weighs two zones that are clear of each other as drawn.
func (d *doubts) pair(h *rules.Reader, a, b int32) (Doubt, bool) {
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
		if x, y, left, met := d.Apart(d.Drawn(a), d.Drawn(b), why); met && !byHeight {
			if !left {
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
	off := []Tolerance{d.own(upper), d.own(lower)}
	ta, da := d.tightTo(upper)
	tb, db := d.tightTo(lower)
	if ta != tb { // with the same they go together
		for _, t := range []struct {
			to int32
			by Tolerance
		}{{ta, da}, {tb, db}} {
			if t.to != nothing {
				off = append(off, t.by)
			}
		}
	}
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
	c := d.sink(upper, lower, U, L)
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
	x, ok := d.weigh(gap, off, c, asks)
	if !ok {
		return Doubt{}, false
	}
	x.ByHeight = byHeight
	d.name(&x, upper, lower)
	at, ok := measure.UprightAt(A, B)
	if !ok || byHeight {
		at = measure.Spot(A, B)
	}
	if byHeight {
		row, bay := a, zb.Bay
		if za.ByHeight {
			row, bay = b, za.Bay
		}
		over := d.overBay(d.Full(row), &d.Project.Bays[bay])
		at.X, at.Y = over.X, over.Y
	}
	f := Finding{}
	d.place(&f, at, a, b)
	x.At, x.Bay, x.Storey = f.At, f.Bay, f.Storey
	return x, true
}

// name says who the two are.
func (d *doubts) name(x *Doubt, upper, lower int32) {
	if upper >= 0 {
		z, c := d.Zone(upper), d.Char(upper)
		x.Upper, x.UpperTrade, x.UpperRow, x.UpperRun, x.UpperKind = z.ID, c.Trade, d.Project.FileLine(z.At()), z.Run(), c.Kind
	}
	if lower >= 0 {
		z, c := d.Zone(lower), d.Char(lower)
		x.Lower, x.LowerTrade, x.LowerRow, x.LowerRun, x.LowerKind = z.ID, c.Trade, d.Project.FileLine(z.At()), z.Run(), c.Kind
	}
	x.ID = FindingID(strings.ToLower(x.Upper), strings.ToLower(x.Lower), "")
}

// withTight adds the tolerance of what a zone is tight to.
func (d *doubts) withTight(i int32, off ...Tolerance) ([]Tolerance, int32) {
	to, t := d.tightTo(i)
	if to != nothing {
		off = append(off, t)
	}
	return off, to
}

// ceilings weighs a zone against the ceilings of its bays.
func (d *doubts) ceilings(h *rules.Reader, i int32) {
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
		lifts := t != nil && bay.BuildUp >= 0 && d.Project.BuildUps[bay.BuildUp].LiftsOut() && d.servedBy(i) == 0
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
				return z.ByHeight || u.Over == 0 || besideLong(low.Shift(scene.Up.Mul(-nearer)), bay, u, true)
			}
			found = found || u.Valid && figure.Lacks(math.Max(0, gap), u.Gap) && long(0)
			asks = append(asks, ask{u, long})
		}
		off, _ := d.withTight(i, d.own(i), byDefault(bay.CeilingID(), tolerance.Ceiling))
		c := d.sink(i, -1, d.Full(i), body.Upright(bay.Plan, d.Full(i).Height()))
		fill := func(x *Doubt) {
			x.ByHeight = z.ByHeight
			x.Lower, x.LowerTrade, x.LowerRow, x.LowerKind = bay.CeilingID(), ceilingTrade, d.Project.FileLine(bay.Row), ceilingKind
			d.name(x, i, -1)
			at := measure.UnderAt(d.Full(i), low, bay)
			at.Z = (scene.Lowest(low, bay) + bay.Top) / 2
			x.At, x.Bay, x.Storey = d.spotAt(bay.Storey, at), &bay.Label, d.Project.Storeys[bay.Storey].Name
			if hung {
				x.Note = "lowest point: the hanger under it: " + d.Project.Hangers[z.Hanger].Name
			}
		}
		if x, ok := d.weigh(gap, off, c, asks); ok && !found {
			fill(&x)
			d.got = append(d.got, x)
		}
		if !lifts {
			continue
		}
		u := rules.Use{Rule: t, Gap: t.Gap, Valid: true}
		x, ok := d.weigh(gap, off, c, []ask{{u, func(float64) bool { return true }}})
		if w := d.tiles[j]; ok && x.Asked > 0 && (w == nil || x.Left(d.way) < w.Left(d.way)-void.Hair || x.Left(d.way) < w.Left(d.way)+void.Hair && z.ID < w.Upper) {
			fill(&x)
			d.tiles[j] = &x
		}
	}
}

// soffits weighs a zone against the soffits of its bays.
func (d *doubts) soffits(h *rules.Reader, i int32) {
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
				return z.ByHeight || u.Over == 0 || besideLong(d.Full(i).Shift(scene.Up.Mul(nearer)), bay, u, false)
			}
			found = found || u.Valid && figure.Lacks(gap, u.Gap) && long(0)
			asks = append(asks, ask{u, long})
		}
		off, _ := d.withTight(i, byDefault(bay.SoffitID(), tolerance.Slab), d.own(i))
		x, ok := d.weigh(gap, off, nil, asks)
		if !ok || found {
			continue
		}
		x.ByHeight = z.ByHeight
		x.Upper, x.UpperTrade, x.UpperRow, x.UpperKind = bay.SoffitID(), structureTrade, d.Project.FileLine(bay.Row), soffitKind
		d.name(&x, -1, i)
		at := measure.LowestAt(d.Full(i), bay, true)
		at.Z = (scene.Highest(d.Full(i), bay) + bay.Soffit) / 2
		x.At, x.Bay, x.Storey = d.spotAt(bay.Storey, at), &bay.Label, d.Project.Storeys[bay.Storey].Name
		d.got = append(d.got, x)
	}
}

// Ratio says a deflection as people do: span/360.
func Ratio(over float64) string { return "span/" + strconv.FormatFloat(over, 'f', -1, 64) }
