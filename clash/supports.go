package clash

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"

	"voidline/clash/figure"
	"voidline/clash/measure"
	"voidline/clash/rules"
	"voidline/clash/scene"
	"voidline/clash/support"
	"voidline/void"
	"voidline/void/body"
	"voidline/void/cell"
)

// Supports take part in the check as bodies, at the places that clash/support works out for them.
//
//  1. Of each hung row the supports are worked out, and what lies near them is looked for once for a few of them together.
//  2. A rod, a channel or what is under it that is deeper than the touch tolerance in another zone is an overlap; in the
//     room that a hatch or an access space asks for, an access problem. A support with nothing over its rods to hang from,
//     or under a row of kind no fixing, is an access problem too: the rod does not come to where it could be fixed.
//     (It is no overlap and no gap is too tight, so of the three kinds this is the least wrong.)
//  3. All supports of a row that meet one other thing are one finding: of the one that is worst. First come those that cannot
//     move clear along the run, then the deeper, then the nearer to the row's start.
//  4. A support may move between the stations that its neighbours leave it. The nearest clear one is at the end of a stretch
//     that something forbids it, so those ends are tried, nearest first, each measured anew. Where none is clear, two may do
//     in its place: the nearest clear ones before and after, no further apart than the spacing.
//
// Not taken for in the way: the row's own run and frame, what it joins or meets as belonging to it, the beam that it is
// clamped to, a slab over it (it is fixed to that). The ceilings' build-ups are the business of levels, which takes what hangs
// under a row along its whole length. Supports are not measured against each other, and a rod asks for no more room than its
// own: 25 beside it is usual, but where the rods stand is our guess.
//
// The identity of such a finding is "supports of" the row, so it stays when the row is moved or has more supports. All of
// them rest on practice.

// holders is what the check of supports wants of the whole project.
type holders struct {
	plan   *support.Plan
	marks  scatter // rows that say that nothing may be fixed there, as high as the building
	spaces scatter // access spaces
	was    []void.Space
	bays   []r2.Rect // where each bay lies, as it was when supports were last looked at
	// By zone what is told of it; how many rows of each character have supports, and how many hung ones have none.
	told    []int32
	placed  []int
	without int
}

// scatter is bodies that are looked for by place.
type scatter struct {
	of   []int32 // what each is
	body []body.Body
	box  []scene.Box
	grid *scene.Grid
}

func (s *scatter) add(of int32, b body.Body, bx scene.Box) {
	s.of, s.body, s.box = append(s.of, of), append(s.body, b), append(s.box, bx)
}

// near visits, each once, the bodies whose boxes meet a box.
func (s *scatter) near(b scene.Box, visit func(k int)) {
	const few = 16
	if len(s.box) <= few {
		for k := range s.box {
			if s.box[k].Apart(&b) <= 0 {
				visit(k)
			}
		}
		return
	}
	s.grid.Some(&b, 0, func(k int32) bool {
		if s.box[k].Apart(&b) <= 0 {
			visit(int(k))
		}
		return false
	})
}

// holdUp works out where supports stand, and gathers the marks and the spaces.
func (c *Check) holdUp() {
	opt := c.opt.Supports
	opt.Workers = c.Workers
	c.holders = &holders{plan: support.Of(c.Project, opt)}
	c.holders.gatherSpaces(c)
	c.holders.gatherMarks(c)
	c.holders.gatherBays(c)
	c.holders.told = make([]int32, c.Project.Zones())
	for i := range int32(c.Project.Zones()) {
		c.holders.count(c, i)
	}
}

func (h *holders) gatherSpaces(c *Check) {
	h.spaces, h.was = scatter{}, slices.Clone(c.Project.Spaces)
	for k := range c.Project.Spaces {
		if s := &c.Project.Spaces[k]; s.Open {
			h.spaces.add(int32(k), s.Body, scene.BoxOf(s.Body))
		}
	}
	h.spaces.grid = scene.Lay(h.spaces.box, nil, nil, c.Workers)
}

func (h *holders) gatherBays(c *Check) {
	h.bays = h.bays[:0]
	for j := range c.Project.Bays {
		h.bays = append(h.bays, c.Project.Bays[j].Plan)
	}
}

func (h *holders) gatherMarks(c *Check) {
	h.marks = scatter{}
	some := false // a mark may be alike to every rule to what is none
	for k := range int32(c.Project.Characters()) {
		some = some || c.Project.Character(k).Entry.Mark
	}
	if some {
		for i := range int32(c.Project.Zones()) {
			if c.IsMark(i) {
				b := measure.Tall(c.Zone(i).Full())
				h.marks.add(i, b, scene.BoxOf(b))
			}
		}
	}
	h.marks.grid = scene.Lay(h.marks.box, nil, nil, c.Workers)
}

// letHoldersGo lets go of all but what is told of supports, and of where they stand: that, too, where none is yet to be
// worded.
func (r *run) letHoldersGo() {
	if h := r.holders; h != nil {
		r.Check.holders = &holders{placed: h.placed, without: h.without}
		if slices.ContainsFunc(r.hits, func(x hit) bool { return x.of == ofSupport }) {
			r.holders.plan = h.plan
		}
	}
}

// What is told of a zone: nothing, that it is hung and has no place, or 1 and its character where it has supports.
const (
	notHung  = 0
	unplaced = -1
)

// count counts what is told of zone i, in place of what was.
func (h *holders) count(c *Check, i int32) {
	for len(h.told) <= int(i) {
		h.told = append(h.told, notHung)
	}
	add := func(what int32, n int) {
		switch {
		case what == unplaced:
			h.without += n
		case what > 0:
			for len(h.placed) < int(what) {
				h.placed = append(h.placed, 0)
			}
			h.placed[what-1] += n
		}
	}
	z, what := c.Zone(i), int32(notHung)
	switch {
	case z.Gone || c.Structure(i):
	case h.plan.Has(int(i)):
		what = z.Char + 1
	case z.Hanger >= 0 && (z.Item || z.Upright || z.ByHeight):
		what = unplaced
	}
	add(h.told[i], -1)
	add(what, 1)
	h.told[i] = what
}

// supported reports whether supports are checked: the rule is in force, and nobody has left them out.
func (c *Check) supported() bool { return c.Set.Support != nil && !c.opt.Supports.Off }

// supports checks what holds up every hung row.
func (r *run) supports(ctx context.Context) error {
	if !r.supported() {
		return nil
	}
	r.holdUp()
	r.Laid(scene.StraysMost)
	return r.gather(ctx, r.Project.Zones(), func(out *book, _ *rules.Reader, from, to int) {
		w := holding{run: r, holders: r.holders}
		for i := int32(from); i < int32(to); i++ {
			if i%64 == 0 && ctx.Err() != nil {
				return
			}
			w.supportsOf(out, i)
		}
	})
}

// supportsAgain checks the supports that a change may touch, and takes the rest as they were: those of rows that changed and
// of their runs and frames, and of rows near what changed, before or now. dirty are the zones that are measured anew,
// was their boxes before.
func (r *run) supportsAgain(ch *void.Change, dirty []int32, was []scene.Box) {
	if !r.supported() {
		return
	}
	h := r.holders
	again := map[int32]bool{}
	for _, i := range h.plan.Changed(ch.Zones) {
		again[i] = true
	}
	by := h.plan.Reach()
	beside := func(b scene.Box) {
		if b.Gone() {
			return
		}
		r.Near(scene.Column(b), by, func(i int32) {
			for _, k := range h.plan.Near(int(i)) {
				again[k] = true
			}
		})
	}
	for k, i := range dirty {
		again[i] = true
		beside(was[k])
		beside(r.Boxes[i])
	}
	// What a rod hangs from is over the rod: it may be a bay that its row is not in.
	if len(ch.Bays) > 0 {
		over := func(plan r2.Rect) { beside(scene.BoxOf(measure.Tall(body.Upright(plan, r1.Interval{})))) }
		for _, j := range ch.Bays {
			over(h.bays[j])
			over(r.Project.Bays[j].Plan)
		}
		h.gatherBays(r.Check)
	}
	// Spaces and marks that came, went or are others.
	if ch.Spaces {
		was := h.was
		h.gatherSpaces(r.Check)
		for _, list := range [2][2][]void.Space{{was, h.was}, {h.was, was}} {
			for k := range list[0] {
				if k >= len(list[1]) || list[0][k] != list[1][k] {
					beside(scene.BoxOf(list[0][k].Body))
				}
			}
		}
	}
	marked := func(i int) bool { return r.IsMark(int32(i)) || slices.Contains(h.marks.of, int32(i)) }
	if slices.ContainsFunc(ch.Zones, marked) {
		for k, i := range h.marks.of {
			if slices.Contains(ch.Zones, int(i)) {
				beside(h.marks.box[k])
			}
		}
		h.gatherMarks(r.Check)
		for k, i := range h.marks.of {
			if slices.Contains(ch.Zones, int(i)) {
				beside(h.marks.box[k])
			}
		}
	}
	if r.takenBack {
		for i := range again {
			h.count(r.Check, i)
		}
		return
	}
	r.forget(func(x *placed) bool { return x.of == ofSupport && again[x.a] })
	r.forgetHits(func(x *hit) bool { return x.of == ofSupport && again[x.a] })
	now := &book{}
	w := holding{run: r, holders: h}
	for _, i := range sortedKeys(again) {
		h.count(r.Check, i)
		w.supportsOf(now, i)
	}
	r.keep(now)
}

// holding is one worker's checking of supports: room for one row.
type holding struct {
	*run
	*holders
	list   []support.Support
	boxes  []scene.Box
	parts  [][]support.Part // of each support, nil until wanted
	free   [][]support.Part
	shifts []shift // of each support
	hits   []struct{ o, s int32 }
	met    []meeting
}

// shift is how far a support may move along its length to be clear, or where two may stand in its place: before (less
// than 0) and after it.
type shift struct {
	known, may, two bool
	crowded         bool // too much is near to look for a place
	by              float64
	before, after   float64
}

// clears reports whether there is a way to be clear.
func (s *shift) clears() bool { return s.may || s.two }

// meeting is what the supports of a row have to do with one other thing.
type meeting struct {
	what  meetWhat
	of    int32 // zone, or space
	n     int   // how many of the row's supports
	stuck int   // how many of them cannot move
	s     int32 // the worst
	part  int
	tier  int32 // of meetsTier: the first by id of the rows that are carried
	deep  float64
	v     measure.Verdict
}

// heldIn is what the supports of a row have to do with one other zone, until it is worded.
type heldIn struct {
	n, stuck, s        int32
	part               uint16
	can                canMove
	vertical, sideways float64
	by, after          float64 // of two, by is before
}

// canMove says whether a support may move: see shift.
type canMove uint8

const (
	cannot canMove = iota
	mayMove
	mayBeTwo
	tooCrowded
)

// sayHeld words what the supports of a row have to do with another zone.
func (r *run) sayHeld(out *book, x *hit) {
	e := x.held
	w := holding{run: r, holders: r.holders, list: r.holders.plan.Append(nil, int(x.a))}
	w.ready()
	w.shifts[e.s] = shift{known: true, may: e.can == mayMove, two: e.can == mayBeTwo, crowded: e.can == tooCrowded, by: e.by, before: e.by, after: e.after}
	m := meeting{what: meetsZone, of: x.b, n: int(e.n), stuck: int(e.stuck), s: e.s, part: int(e.part)}
	m.v.Vertical, m.v.Sideways = e.vertical, e.sideways
	m.deep = m.v.Depth()
	w.say(out, x.a, &m)
}

// hold puts down what the supports of zone i have to do with another zone: it says the same as say.
func (w *holding) hold(out *book, i int32, m *meeting) {
	move, o := w.mayMove(i, m.s), m.of
	x := hit{
		of: ofSupport, a: i, b: o, id: pairID(supportsID(w.Zone(i).ID), w.Zone(o).ID), kind: uint8(severity(Overlap)), short: figure.Tenth(m.deep), cost: costSupport,
	}
	x.held = &heldIn{n: int32(m.n), stuck: int32(m.stuck), s: m.s, part: uint16(m.part), vertical: m.v.Vertical, sideways: m.v.Sideways}
	switch e := x.held; {
	case move.may:
		e.can, e.by = mayMove, move.by
	case move.two:
		e.can, e.by, e.after = mayBeTwo, move.before, move.after
	case move.crowded:
		e.can = tooCrowded
	}
	if !move.clears() {
		x.cost = w.costOf(Overlap, rules.Practice, i, o) // the row moves, or the other
	}
	storey, bay := w.toldIn(measure.Spot(w.bodies(m.s)[m.part].Body, w.Full(o)), i, o)
	x.storey, x.bay = int32(storey), int32(bay)
	out.hits = append(out.hits, x)
}

type meetWhat uint8

const (
	meetsZone meetWhat = iota
	meetsSpace
	meetsMark
	meetsNothing // nothing to hang from
	meetsTier    // a row on another tier of the frame
)

// supportsOf checks the supports of zone i. What comes of it hangs on the zone and the others of its run and frame
// (support.Plan.Changed names them), on the zones, marks and access spaces near its supports, or near where they may move
// (a spacing along the length), on its bays and the openings in their soffits, and, where it hangs from steel, on the
// beams along its whole length.
func (w *holding) supportsOf(out *book, i int32) {
	if !w.plan.Has(int(i)) {
		return
	}
	w.list = w.plan.Append(w.list[:0], int(i))
	if len(w.list) == 0 {
		return
	}
	w.ready()
	touch, run, trade := w.opt.Touch, w.Zone(i).Run(), w.Char(i).Trade
	w.hits = w.hits[:0]
	for from := 0; from < len(w.list); from += together {
		to := min(from+together, len(w.list))
		all := w.boxes[from]
		for _, b := range w.boxes[from+1 : to] {
			all = scene.Union(all, b)
		}
		w.run.Near(all, 0, func(o int32) {
			if o == i || run != "" && w.Zone(o).Run() == run && w.Char(o).Trade == trade {
				return // its own run, the quick way
			}
			for s := from; s < to; s++ {
				if w.boxes[s].Apart(&w.Boxes[o]) < -touch {
					w.hits = append(w.hits, struct{ o, s int32 }{o, int32(s)})
				}
			}
		})
		w.spaces.near(all, func(k int) {
			for s := from; s < to; s++ {
				if w.boxes[s].Apart(&w.spaces.box[k]) < -touch {
					w.inSpace(i, int32(s), int32(k))
				}
			}
		})
		w.marks.near(scene.Column(all), func(k int) {
			for s := from; s < to; s++ {
				if w.marked(&w.list[s], k) {
					w.meet(meeting{what: meetsMark, of: w.marks.of[k], s: int32(s)})
				}
			}
		})
	}
	slices.SortFunc(w.hits, func(a, b struct{ o, s int32 }) int { return cmp.Or(cmp.Compare(a.o, b.o), cmp.Compare(a.s, b.s)) })
	for at := 0; at < len(w.hits); {
		end := at
		for end < len(w.hits) && w.hits[end].o == w.hits[at].o {
			end++
		}
		o := w.hits[at].o
		known, free := false, false
		var O body.Body
		for ; at < end; at++ {
			s := w.hits[at].s
			if !known {
				known, O = true, w.Full(o)
			}
			m, deep := w.deepest(s, O)
			if !deep {
				continue
			}
			if !free && w.carried(i, o, &w.list[s]) {
				at = end
				break
			}
			free = true
			m.what, m.of = meetsZone, o
			w.meet(m)
		}
	}
	if len(w.Zone(i).Bays()) > 0 || w.steelHung(i) {
		for s := range w.list {
			if sup := &w.list[s]; sup.Rods > 0 && (!sup.Held || w.overHole(sup) != nil) {
				w.meet(meeting{what: meetsNothing, of: -1, s: int32(s)})
			}
		}
	}
	for s := range w.list {
		if len(w.list[s].Levels()) > 1 {
			w.tiersMeet(int32(s))
		}
	}
	if len(w.met) == 0 {
		return
	}
	w.settle(i)
	for k := range w.met {
		if m := &w.met[k]; m.what == meetsZone {
			w.hold(out, i, m)
		} else {
			w.say(out, i, m)
		}
	}
}

// together is how many supports are looked round for at once.
const together = 4

// ready makes room for the supports of one row.
func (w *holding) ready() {
	for _, p := range w.parts {
		if p != nil {
			w.free = append(w.free, p)
		}
	}
	n := len(w.list)
	w.boxes, w.parts, w.shifts, w.met = w.boxes[:0], w.parts[:0], w.shifts[:0], w.met[:0]
	for s := range n {
		lo, hi := w.list[s].Box()
		w.boxes = append(w.boxes, scene.Within(lo, hi))
		w.parts = append(w.parts, nil)
		w.shifts = append(w.shifts, shift{})
	}
}

// bodies returns the bodies of support s.
func (w *holding) bodies(s int32) []support.Part {
	if w.parts[s] == nil {
		var room []support.Part
		if k := len(w.free); k > 0 {
			room, w.free = w.free[k-1][:0], w.free[:k-1]
		}
		w.parts[s] = w.list[s].Bodies(room)
	}
	return w.parts[s]
}

// deepest returns which body of a support is deepest in another body, false where none is in it.
func (w *holding) deepest(s int32, o body.Body) (m meeting, deep bool) {
	for k, part := range w.bodies(s) {
		if v, in := inEachOther(part.Body, o, w.opt.Touch); in && (!deep || v.Depth() > m.deep+void.Hair) {
			m, deep = meeting{s: s, part: k, deep: v.Depth(), v: v}, true
		}
	}
	return m, deep
}

// inEachOther reports whether two bodies share space deeper than a tolerance, and how deep.
func inEachOther(a, b body.Body, touch float64) (measure.Verdict, bool) {
	A, B := scene.BoxOf(a), scene.BoxOf(b)
	if A.Apart(&B) >= -touch-void.Hair {
		return measure.Verdict{}, false
	}
	v := measure.Judge(a, b, &rules.Choice{}, touch, false)
	return v, v.Overlap
}

// carried reports whether a zone is not in the way of a row's support: see above.
func (w *holding) carried(i, o int32, s *support.Support) bool {
	zo := w.Zone(o)
	if o == i || zo.ByHeight || s.HangsFrom(o) {
		return true
	}
	co := w.Char(o)
	if w.sameFrame(i, o) {
		return true
	}
	if co.Structure() {
		tiers := s.Levels()
		return co.Kind == "slab" && w.Full(o).Height().Lo >= tiers[len(tiers)-1].Under-void.Hair
	}
	mates := w.plan.Frame(int(i))
	if mates == nil {
		mates = []int32{i}
	}
	for _, m := range mates {
		switch why := w.Belong(m, o); why {
		case measure.NoTie:
		case measure.SameRun:
			return true
		default:
			if _, _, _, met := w.Apart(w.Drawn(m), w.Drawn(o), why); met {
				return true
			}
		}
	}
	return false
}

// sameFrame reports whether two rows hang on one frame.
func (c *Check) sameFrame(i, o int32) bool {
	zi, zo := c.Zone(i), c.Zone(o)
	if zi.Storey != zo.Storey {
		return false
	}
	frame, _ := zi.Frame()
	other, _ := zo.Frame()
	return frame != "" && strings.EqualFold(frame, other)
}

// tiersMeet notes where what carries a tier of a frame, with all that is under it, is in a row of a tier below: the rods are
// shared, but a channel needs its height between the tiers. It is as deep as the tier must rise.
func (w *holding) tiersMeet(s int32) {
	tiers := w.list[s].Levels()
	for k := 1; k < len(tiers); k++ {
		carries, ok := w.list[s].TierBody(k)
		if !ok {
			continue
		}
		for j := range tiers[:k] {
			for _, o := range tiers[j].Rows {
				O := w.Full(o)
				if _, in := inEachOther(carries, O, w.opt.Touch); !in {
					continue
				}
				if span, ok := body.Span(carries, O, scene.Up); ok {
					w.meet(meeting{what: meetsTier, of: o, tier: tiers[k].Zone, s: s, part: k, deep: span.Hi})
				}
			}
		}
	}
}

// steelHung reports whether a row hangs from steel.
func (w *holding) steelHung(i int32) bool { return w.plan.OnSteel(int(i)) }

// mayHangFromSteel reports whether it does where some is over it, for its hanger does not say.
func (w *holding) mayHangFromSteel(i int32) bool { return w.plan.MayHangFromSteel(int(i)) }

// overHole returns the opening in the soffit under which a rod would be fixed, nil where there is none.
func (c *Check) overHole(s *support.Support) *void.Opening {
	for rod := range s.Rods {
		if s.Hung[rod].Bay < 0 {
			continue
		}
		for _, k := range c.SoffitHole[s.Hung[rod].Bay] {
			o := &c.Project.Openings[k]
			q := s.RodPoint(rod).Sub(r2.Point{X: o.Centre.X, Y: o.Centre.Y})
			if o.Round && q.Norm() < o.HalfA-void.Hair || !o.Round && math.Abs(q.X) < o.HalfA-void.Hair && math.Abs(q.Y) < o.HalfB-void.Hair {
				return o
			}
		}
	}
	return nil
}

// marked reports whether a rod would be fixed where a mark says that nothing may be: in its plan, and the mark not
// lower than the service.
func (w *holding) marked(s *support.Support, k int) bool {
	i := w.marks.of[k]
	z := w.Zone(i)
	if z.Storey != w.Zone(s.Zone).Storey || z.Full().Height().Hi < s.Levels()[0].Over-void.Hair {
		return false
	}
	for rod := range s.Rods {
		q := s.RodPoint(rod)
		if body.PlanOverlap(body.Cylinder(r3.Vector{X: q.X, Y: q.Y}, r3.Vector{X: q.X, Y: q.Y, Z: 1}, s.Rod), w.marks.body[k]) > w.opt.Touch+void.Hair {
			return true
		}
	}
	return false
}

// inSpace notes a support in the room that an access space asks for; its own row's does not count.
func (w *holding) inSpace(i, s, k int32) {
	sp := &w.Project.Spaces[w.spaces.of[k]]
	if sp.For == i {
		return
	}
	if m, deep := w.deepest(s, sp.Body); deep {
		m.what, m.of = meetsSpace, w.spaces.of[k]
		w.meet(m)
	}
}

// meet gathers the supports that meet one thing; which is the worst is settled later, when it is known which can move.
func (w *holding) meet(m meeting) { w.met = append(w.met, m) }

// settle makes one of the meetings with each thing.
func (w *holding) settle(i int32) {
	for k := range w.met {
		m := &w.met[k]
		m.n = 1
		if m.what == meetsTier {
			m.stuck = 1 // along the run the tiers stay where they are
		} else if move := w.mayMove(i, m.s); !move.clears() {
			m.stuck = 1
		}
	}
	// About as it is told, and so that what is as deep but for the last bits is as deep.
	deep := func(m *meeting) float64 { return math.Round(m.deep*10 + 0.137) }
	slices.SortFunc(w.met, func(a, b meeting) int {
		return cmp.Or(cmp.Compare(a.what, b.what), cmp.Compare(a.of, b.of), cmp.Compare(a.tier, b.tier), -cmp.Compare(a.stuck, b.stuck), -cmp.Compare(deep(&a), deep(&b)),
			cmp.Compare(w.list[a.s].At, w.list[b.s].At))
	})
	n := 0
	for k := range w.met {
		if m := &w.met[k]; n > 0 && w.met[n-1].what == m.what && w.met[n-1].of == m.of && w.met[n-1].tier == m.tier {
			w.met[n-1].n++
			w.met[n-1].stuck += m.stuck
			continue
		}
		w.met[n] = w.met[k]
		n++
	}
	w.met = w.met[:n]
}

// say words what the supports of zone i have to do with one other thing.
func (w *holding) say(out *book, i int32, m *meeting) {
	if m.what == meetsTier {
		w.sayTier(out, i, m)
		return
	}
	s := &w.list[m.s]
	z := w.Zone(i)
	move := w.mayMove(i, m.s)
	f := Finding{Rule: w.Set.Support.Name, Basis: string(w.Set.Support.Basis), Side: cell.Around.String()}
	what, at := "support", r3.Vector{X: s.Where.X, Y: s.Where.Y, Z: s.Top}
	var O body.Body
	other := int32(-1)
	switch m.what {
	case meetsZone:
		f.Kind, other, O = Overlap, m.of, w.Full(m.of)
	case meetsSpace:
		sp := &w.Project.Spaces[m.of]
		f.Kind, other, O = Access, sp.For, sp.Body
		f.Rule = fmt.Sprintf("%s of %s", sp.Kind, w.Zone(other).ID)
		f.Side = sp.Side.String()
		if sp.Kind == void.Hatch {
			f.Rule = "hatch to " + w.Zone(other).ID + ": the shaft from the finished face to its underside"
			f.Side = cell.Below.String()
		}
	case meetsMark:
		f.Kind, other, f.Rule, f.Side = Access, m.of, ruleNoFixing, cell.Above.String()
	case meetsNothing:
		f.Kind, f.Rule, f.Side = Access, ruleHang, cell.Above.String()
	}
	if m.what <= meetsSpace {
		part := w.bodies(m.s)[m.part]
		what = string(part.What)
		at = measure.Spot(part.Body, O)
		f.Depth = &Depth{Vertical: m.v.Vertical}
		if !math.IsNaN(m.v.Sideways) {
			f.Depth.Sideways = &m.v.Sideways
		}
		f.Short = m.deep
		if m.what == meetsSpace {
			sp := &w.Project.Spaces[m.of]
			f.Asked, f.Gap = depthOf(sp), w.freeDepth(sp, part.Body)
			f.Short = math.Max(0, f.Asked-f.Gap)
		}
	}
	if other >= 0 {
		w.zonesOf(&f, i, other)
		w.place(&f, at, i, other)
	} else {
		f.A, f.ATrade, f.ARow, f.ARun = z.ID, w.Char(i).Trade, w.Project.FileLine(z.At()), z.Run()
		w.place(&f, at, i)
	}
	f.A, f.AKind = supportsID(z.ID), supportKind
	f.GivesWay = z.ID
	if m.what == meetsZone && !move.clears() && !w.Structure(other) {
		f.GivesWay = w.Zone(w.givesWay(i, other)).ID
	}
	if m.what == meetsZone {
		if f.Cost = costs[costSupport].Word; !move.clears() {
			f.Cost = costs[w.costOf(Overlap, rules.Practice, i, other)].Word
		}
	}
	f.Support, f.SupportNo, f.Note = w.heldOf(m, s, what, move), w.numbered(s), w.noteOf(i, m, s)
	out.add(ofSupport, i, other, alongKey{}, f)
}

// sayTier words what carries a tier of a frame and is in a row of a tier below it. The finding is of the supports of the first
// row by id that is carried, whichever row of the frame tells its supports.
func (w *holding) sayTier(out *book, i int32, m *meeting) {
	s := &w.list[m.s]
	tier := &s.Levels()[m.part]
	carries, _ := s.TierBody(m.part)
	f := Finding{
		Kind: Overlap, Rule: w.Set.Support.Name, Basis: string(w.Set.Support.Basis), Side: cell.Around.String(),
		Depth: &Depth{Vertical: m.deep}, Short: m.deep,
	}
	w.zonesOf(&f, m.tier, m.of)
	w.place(&f, measure.Spot(carries, w.Full(m.of)), m.tier, m.of)
	z := w.Zone(m.tier)
	f.A, f.AKind, f.GivesWay = supportsID(z.ID), supportKind, z.ID
	frame, _ := z.Frame()
	f.Note = fmt.Sprintf("%d of %d supports of frame %s: what carries the upper tier, %.1f mm high, is in the tier below it", m.n, len(w.list), frame, tier.Carry+tier.Below)
	f.SupportNo = w.numbered(s)
	f.Cost = costs[w.costAlone(Overlap, rules.Practice, m.tier)].Word
	if level, _ := z.Holds(); !level && len(tier.Rows) == 1 && m.deep <= w.headroom(m.tier, scene.Up)+void.Hair {
		f.Moves = []Move{{Zone: z.ID, Direction: "up", By: m.deep}}
	}
	out.add(ofSupport, i, m.of, alongKey{}, f)
}

// supportKind is what a finding calls the kind of a support.
const supportKind = "support"

// Rules of supports that are no measure of a pair.
const (
	ruleHang     = "rods want something over them"
	ruleNoFixing = "nothing may be fixed here"
)

// supportsOf begins the identity of the supports of a row.
const supportsOf = "supports of "

// supportsID returns the identity of the supports of a row.
func supportsID(id string) string { return supportsOf + id }

// numbered names a support.
func (w *holding) numbered(s *support.Support) *support.No {
	return &support.No{Row: w.Zone(s.Zone).ID, Number: s.N}
}

// heldOf says which supports a finding is about, and whether they can move.
func (w *holding) heldOf(m *meeting, s *support.Support, part string, move shift) *Held {
	h := &Held{Part: part, At: s.At, Count: m.n, Of: len(w.list), Can: m.n - m.stuck, Two: []float64{}, Crowded: move.crowded}
	switch {
	case move.may:
		by := move.by
		if s.Back {
			by = -by
		}
		h.Move = &by
	case move.two:
		h.Two = []float64{-move.before, move.after}
		if s.Back {
			slices.Reverse(h.Two)
		}
	}
	return h
}

// noteOf says what a reader must know of a support beyond which it is: what it lacks over it, and what else would do.
func (w *holding) noteOf(i int32, m *meeting, s *support.Support) string {
	var said []string
	steel := w.steelHung(i)
	switch m.what {
	case meetsNothing:
		switch o := w.overHole(s); {
		case o != nil:
			said = append(said, "it would be fixed in the opening of "+w.Project.FileLine(o.Row))
		case steel:
			said = append(said, fmt.Sprintf("it hangs from a %s, and no steel is over all its rods", w.Project.Hangers[s.Hanger].From))
		default:
			said = append(said, "there is no soffit over it to hang from")
		}
	case meetsSpace:
		said = append(said, "space needed by "+w.Project.FileLine(w.Project.Spaces[m.of].Row))
	}
	if m.what == meetsZone && w.Char(m.of).Entry.Beam && !steel && !w.mayHangFromSteel(i) {
		said = append(said, "or hang it from that beam (from in hangers.csv)")
	}
	return strings.Join(said, "; ")
}

// mayMove returns how far support s of the row must move along its length to be clear of everything, and whether it may.
func (w *holding) mayMove(i, s int32) shift {
	if !w.shifts[s].known {
		w.shifts[s] = w.findMove(i, &w.list[s], w.bodies(s))
		w.shifts[s].known = true
	}
	return w.shifts[s]
}

// obstacle is something that forbids a support some stations.
type obstacle struct {
	body body.Body
	box  scene.Box // of the body; not wanted for rods
	rods bool      // only what is fixed over it counts: rods, by their plan
	// touch is how deep a support may be in it: none, for it is moved clear all the way, but of what it rests against by no
	// more than the touch tolerance where it stands.
	touch float64
}

// What bounds the looking for a place of one support; where there is more, it is told that none was looked for.
const (
	triesMost   = 256  // places that are tried
	crowdedMost = 128  // things that are near anywhere on the way
	fallingStep = 50.0 // mm between the places that are tried along a falling row, besides the ends of what is in the way
)

// Bound is how much is looked at before an answer says that no more was.
type Bound struct {
	Name   string
	Most   int
	Why    string // what it saves and why no real project comes to it
	Source string
}

// Bounds returns how much is looked at before an answer says that no more was.
func Bounds() []Bound {
	const measured = "measured: 200 trays that cross in one point take 1.4 s of processor time with the two bounds, 6.7 s without, and that grows faster than the square of their number"
	return []Bound{
		{"things near a support, on its way to its neighbours", crowdedMost, "where more are within 3 m along a run nobody moves a rod, the run moves; the finding says that there are too many", measured},
		{"places tried for a support", triesMost, "two for each thing that may be near it, the nearest first; the finding says that there are too many", measured},
		{"ways in which rows differ in trade, service, kind, class, circuits and recessed", void.MostCharacters, "rules look at every two of them, and a building has a few hundred; a row with one more is an error of the tables", "measured: 20,000 different numbers of circuits took 17 s of processor time and 970 MB"},
	}
}

// SupportLimits returns the lengths that bound how a support is moved to be clear.
func SupportLimits() []void.Limit {
	return void.Practised([]void.Limit{
		{Name: "places along a falling row, apart", MM: fallingStep, Why: "rods do not fall with the row, so where one is clear is tried, besides beside what is in the way"},
	})
}

func (w *holding) findMove(i int32, s *support.Support, parts []support.Part) shift {
	lo, hi := s.Prev-s.Station, s.Next-s.Station
	if hi-lo < 1 {
		return shift{}
	}
	// What is near anywhere on the way.
	swept := scene.Box{}
	for k, st := range [3]float64{s.Prev, s.Station, s.Next} {
		e, ok := w.plan.At(int(i), st)
		if !ok {
			return shift{}
		}
		a, b := e.Box()
		eb := scene.Within(a, b)
		if k == 0 {
			swept = eb
		}
		swept = scene.Union(swept, eb)
	}
	z := w.Zone(i)
	plan := r2.Rect{X: r1.Interval{Lo: swept.Lo[0], Hi: swept.Hi[0]}, Y: r1.Interval{Lo: swept.Lo[1], Hi: swept.Hi[1]}}
	bays := w.Project.BaysNear(int(z.Storey), plan)
	for _, j := range bays {
		swept.Hi[2] = max(swept.Hi[2], w.Project.Bays[j].Soffit) // on the way the soffit may be higher
	}
	var list []obstacle
	if w.run.Some(swept, 0, func(o int32) bool {
		// The beam that it happens to hang from is in the way of its rods beside it.
		if !w.carried(i, o, s) || s.HangsFrom(o) && w.mayHangFromSteel(i) {
			list = append(list, obstacle{body: w.Full(o), box: w.Boxes[o]})
		}
		return len(list) > crowdedMost
	}) {
		return shift{crowded: true}
	}
	w.spaces.near(swept, func(k int) {
		if w.Project.Spaces[w.spaces.of[k]].For != i {
			list = append(list, obstacle{body: w.spaces.body[k], box: w.spaces.box[k]})
		}
	})
	w.marks.near(scene.Column(swept), func(k int) {
		o := w.Zone(w.marks.of[k])
		if o.Storey == z.Storey && o.Full().Height().Hi >= s.Levels()[0].Over-void.Hair {
			list = append(list, obstacle{body: w.marks.body[k], rods: true})
		}
	})
	if len(list) > crowdedMost {
		return shift{crowded: true}
	}
	dir := r3.Vector{X: s.Along.X, Y: s.Along.Y}
	var tries []float64
	to := func(v float64) {
		if v != 0 && lo-void.Hair <= v && v <= hi+void.Hair {
			tries = append(tries, v)
		}
	}
	// Whole millimetres, as a fitter sets them: out of what forbids it, to either side of where something begins.
	out := func(v r1.Interval) {
		to(math.Floor(v.Lo + 1e-6))
		to(math.Ceil(v.Hi - 1e-6))
	}
	try := func(t float64) {
		to(math.Floor(t + 1e-6))
		to(math.Ceil(t - 1e-6))
	}
	// Where the soffit ends, or is open, and where steel is.
	for _, j := range bays {
		b := &w.Project.Bays[j]
		for _, c := range [4][2]float64{{b.Plan.X.Lo - s.Where.X, s.Along.X}, {b.Plan.X.Hi - s.Where.X, s.Along.X}, {b.Plan.Y.Lo - s.Where.Y, s.Along.Y}, {b.Plan.Y.Hi - s.Where.Y, s.Along.Y}} {
			if c[1] != 0 {
				try(c[0] / c[1])
			}
		}
		for _, k := range w.SoffitHole[j] {
			o := &w.Project.Openings[k]
			list = append(list, obstacle{body: measure.Tall(body.Upright(r2.RectFromCenterSize(r2.Point{X: o.Centre.X, Y: o.Centre.Y}, r2.Point{X: 2 * o.HalfA, Y: 2 * o.HalfB}),
				r1.Interval{})), rods: true})
		}
	}
	if w.steelHung(i) || w.mayHangFromSteel(i) {
		for _, j := range w.Project.SteelNear(int(z.Storey), plan) {
			beam := measure.Tall(w.Zone(j).Bare())
			for rod := range s.Rods {
				q := s.RodPoint(rod)
				if v, ok := body.Span(body.Cylinder(r3.Vector{X: q.X, Y: q.Y}, r3.Vector{X: q.X, Y: q.Y, Z: 1}, 0), beam, dir); ok {
					try(v.Lo)
					try(v.Hi)
				}
			}
		}
	}
	slope := dir
	if n := math.Hypot(z.Bare().Along.X, z.Bare().Along.Y); n > 0 && z.Bare().Along.Z != 0 {
		slope.Z = z.Bare().Along.Z / n
		if s.Back {
			slope.Z = -slope.Z
		}
		for t := -fallingStep * math.Floor(-lo/fallingStep); t <= hi; t += fallingStep {
			try(t) // rods do not shift with the service where it falls: what is shifted is not quite what stands there
		}
	}
	for k := range list {
		o := &list[k]
		rests, hit := false, false
		for _, part := range parts {
			b, d := part.Body, slope
			if o.rods {
				if part.What != support.Rod {
					continue
				}
				b, d = measure.Tall(b), dir
			}
			if v, in := inEachOther(b, o.body, 0); in {
				rests = true
				hit = hit || v.Depth() > w.opt.Touch+void.Hair
			}
			if part.What == support.Rod && !o.rods {
				// As long as the soffit may ask on the way.
				b = body.Cylinder(b.Start(), b.End().Add(r3.Vector{Z: math.Max(0, swept.Hi[2]-b.End().Z)}), s.Rod)
			}
			if v, ok := body.Span(b, o.body, d); ok {
				out(v)
			}
		}
		if rests && !hit {
			o.touch = w.opt.Touch
		}
	}
	slices.SortFunc(tries, func(a, b float64) int {
		return cmp.Or(cmp.Compare(math.Abs(a), math.Abs(b)), cmp.Compare(a, b))
	})
	tries = slices.Compact(tries)
	clear := func(t float64) bool {
		e, ok := w.plan.At(int(i), s.Station+t)
		return ok && w.clearAt(&e, list)
	}
	from, until := s.Low-s.Station-void.Hair, s.High-s.Station+void.Hair
	two := shift{before: math.Inf(-1), after: math.Inf(1)}
	for k, t := range tries {
		switch {
		case k >= triesMost:
			return shift{crowded: true}
		case t < from && !math.IsInf(two.before, 0), t > until && !math.IsInf(two.after, 0):
		case !clear(t):
		case t < from:
			two.before = t
		case t > until:
			two.after = t
		default:
			return shift{may: true, by: t}
		}
	}
	two.two = two.after-two.before <= w.plan.Spacing(int(i))+void.Hair
	return two
}

// clearAt reports whether a support is clear of the obstacles and has something to hang from.
func (w *holding) clearAt(s *support.Support, list []obstacle) bool {
	if !s.Held && s.Rods > 0 || w.overHole(s) != nil {
		return false
	}
	parts := s.Bodies(nil)
	lo, hi := s.Box()
	whole := scene.Within(lo, hi)
	for k := range list {
		o := &list[k]
		if !o.rods && whole.Apart(&o.box) > 0 {
			continue
		}
		for _, part := range parts {
			b := part.Body
			if o.rods {
				if part.What != support.Rod {
					continue
				}
				if body.PlanOverlap(b, o.body) > o.touch+void.Hair {
					return false
				}
				continue
			}
			if _, in := inEachOther(b, o.body, o.touch); in {
				return false
			}
		}
	}
	return true
}

// SupportPlan returns where the check takes supports to stand; nil where it leaves them out. It is good until the project is edited.
func (c *Check) SupportPlan() *support.Plan {
	switch {
	case c.opt.Supports.Off:
		return nil
	case c.holders != nil && c.holders.plan != nil && c.pending == nil:
		return c.holders.plan
	}
	return support.Of(c.Project, c.opt.Supports)
}

// SupportNos returns the supports that findings are about, each once, in their order.
func SupportNos(fs []Finding) []support.No {
	var out []support.No
	for i := range fs {
		if no := fs[i].SupportNo; no != nil && !slices.Contains(out, *no) {
			out = append(out, *no)
		}
	}
	return out
}

// supportNote tells how supports were placed.
func (r *run) supportNote(out *[]Note) {
	if !r.supported() {
		hung := 0
		for _, on := range r.Hung {
			if on {
				hung++
			}
		}
		if hung > 0 {
			*out = append(*out, Note{Text: fmt.Sprintf("what hangs under %d services is checked against the ceiling alone"+supportsLeftOut, hung)})
		}
		return
	}
	placed := 0
	var spacings []string
	for k, n := range r.holders.placed {
		if n == 0 {
			continue
		}
		placed += n
		kind := r.Project.Character(int32(k)).Kind
		if s := fmt.Sprintf("%s %.0f", kind, r.opt.Supports.Of(kind)); !slices.Contains(spacings, s) {
			spacings = append(spacings, s)
		}
	}
	slices.Sort(spacings)
	if placed > 0 {
		first := r.opt.Supports.Filled().First
		*out = append(*out, Note{Text: fmt.Sprintf("supports of %s are taken at the usual spacing (%s, the first within %.0f of an end or a corner) until they are set out; they are not "+
			"checked against each other, and loads are not checked", rows(placed), strings.Join(spacings, ", "), first)})
	}
	if without := r.holders.without; without > 0 {
		*out = append(*out, Note{Text: fmt.Sprintf("hung, but without supports in the check: %s (items, upright rows and rows known by height alone have none)", rows(without))})
	}
}

func rows(n int) string {
	if n == 1 {
		return "1 row"
	}
	return fmt.Sprintf("%d rows", n)
}
