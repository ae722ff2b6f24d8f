package clash

import (
	"cmp"
	"math"
	"slices"
	"strings"
	"sync"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"

	"voidline/clash/figure"
	"voidline/clash/finding"
	"voidline/clash/rules"
	"voidline/clash/scene"
	"voidline/void"
	"voidline/void/body"
	"voidline/void/cell"
)

// What can be reached from a hatch: along a way through the void that an arm can take round what stands there.
//
//  1. The arm is a ball of armRadius that goes from the hatch to where it touches the item, or comes within a hand of it with
//     nothing between. How far that is counts from the middle of the hatch: within the shaft over the hatch only in plan, for
//     there it may be at any height, and beyond it along the way.
//  2. The straight way is tried first. Else the least way is sought over a grid of reachStep, with lines where the ball just
//     passes each thing that stands there, and then drawn tight. A grid's way is taken to be up to 15 in 100 longer than the
//     least before it is drawn tight (estimated), and is up to WayLonger after (measured): a way that is so near to the limit
//     may be told as too long.
//     The ball may pass a corner by up to 5 nearer than its radius.
//     An item that is worked on from above is reached from a hatch right under it where the arm comes up past its edge: 150
//     between that edge and the edge of the hatch. An item that lies wider or closer over the boards than that wants a
//     hatch beside it.
//  3. No way that is longer than the limit is followed, so that a search ends after some thousand places.

// How an arm reaches, mm; common practice, no source.
const (
	armRadius = 75.0  // an arm in a sleeve, with the light that it needs
	handReach = 100.0 // what hand and fingers, which need no room to speak of, reach beyond the arm
	reachStep = 50.0
)

// WayLonger is by how much of the least way one that goes round something may be told as longer, measured against ways of which
// the least is known: 0.033 round the end of a wall, 0.025 over one, nothing straight on (TestReachAgainstTheLeastWay).
const WayLonger = 0.035

// hatchReach is how far one reaches through a hatch: arm is what Options.Reach and the rule say of an arm.
type hatchReach struct {
	From    float64 // the lesser side of the hatch, mm, from which on this holds
	Further float64 // mm more than an arm
	Why     string
}

// hatchReaches is in ascending order of From; the last that holds counts. Common practice, no source.
var hatchReaches = []hatchReach{
	{2 * armRadius, 0, "an arm goes through, and the shoulder stays at the ceiling"},
	{450, 300, "head and shoulders go through, and the arm reaches from within the void"},
}

// ReachLimits returns the lengths by which it is decided what one reaches from a hatch.
func ReachLimits() []void.Limit {
	usual := 0.0
	for _, r := range rules.BuiltIn() {
		if r.For == rules.OfReach {
			usual = r.Gap
		}
	}
	ls := []void.Limit{
		{Name: "radius of an arm", MM: armRadius, Why: "an arm in a sleeve, with the light that it needs: a way is as wide all along"},
		{Name: "hand beyond the arm", MM: handReach, Why: "hand and fingers need no room to speak of"},
		{Name: "reach with an arm", MM: usual, Why: "from the middle of the hatch, where neither --reach nor a rule says more or less"},
	}
	for _, h := range hatchReaches {
		ls = append(ls, void.Limit{Name: "lesser side of a hatch from which the reach is longer by " + figure.Near(h.Further), MM: h.From, Why: h.Why})
	}
	ls = append(ls, void.Limit{Name: "hatch, furthest that is named", MM: hatchFar, Why: "what has none so near has none"})
	return void.Practised(ls)
}

// HatchReach returns how far one reaches through a hatch whose lesser side is so wide, mm: arm is how far an arm reaches, further
// how much more head and shoulders give, and both are as in Options. 0 where no arm goes through.
func HatchReach(size, arm, further float64) float64 {
	reach := 0.0
	for _, h := range hatchReaches {
		if size >= h.From-void.Hair {
			more := h.Further
			if more > 0 && further != 0 {
				more = math.Max(0, further)
			}
			reach = math.Max(0, arm) + more
		}
	}
	return reach
}

// hatch is a hatch as one reaches through it.
type hatch struct {
	space int32 // index in the project's spaces
	mid   r2.Point
	plan  r2.Rect
	face  float64
	limit float64 // how far one reaches from its middle
}

// round is where what stands may bar the way from the hatch to what is reached from it.
func (h *hatch) round() r2.Rect {
	by := h.limit + armRadius + handReach
	return r2.RectFromCenterSize(h.mid, r2.Point{X: 2 * by, Y: 2 * by})
}

// hatchways are the hatches by storey, and for each zone the sides from which it is worked on.
type hatchways struct {
	arm      float64
	byStorey map[int32][]hatch
	sides    map[int32][]cell.Towards
	owners   map[int32]bool // what hatches are made for
}

// hatches returns the hatches as they are, for an arm that reaches so far; they are kept until one of them, or what it is made for, changes.
func (r *run) hatches(arm float64) *hatchways {
	if r.hatchways == nil || r.hatchways.arm != arm {
		r.Check.hatchways = r.readHatches(arm)
	}
	return r.hatchways
}

func (r *run) readHatches(arm float64) *hatchways {
	byStorey, sides := map[int32][]hatch{}, map[int32][]cell.Towards{}
	owners := map[int32]bool{}
	worked := map[int32]bool{} // a working space says it before anything else
	for k := range r.Project.Spaces {
		s := &r.Project.Spaces[k]
		if s.Kind == void.Hatch {
			plan := s.Body.Plan()
			owners[s.For] = true
			in := r.Zone(s.For).Storey
			byStorey[in] = append(byStorey[in], hatch{
				int32(k), plan.Center(), plan, s.Body.Height().Lo,
				HatchReach(math.Min(plan.X.Length(), plan.Y.Length()), arm, r.opt.ReachIn),
			})
		}
		if s.Side == cell.NoSide {
			continue
		}
		switch is := s.Kind == void.WorkingSpace; {
		case is && !worked[s.For]:
			worked[s.For], sides[s.For] = true, []cell.Towards{s.Side}
		case is == worked[s.For]:
			sides[s.For] = append(sides[s.For], s.Side)
		}
	}
	return &hatchways{arm, byStorey, sides, owners}
}

// bar is what stands in the way of an arm.
type bar struct {
	body   body.Body
	box    scene.Box
	square bool // its box is the body
	id     string
	boards bool // a ceiling: one comes through it in the hatch
}

// reaching is one question: whether an item is reached from a hatch.
type reaching struct {
	h       *hatch
	bars    []bar
	targets []touchable
	z       float64     // the level at which the straight way goes
	top     float64     // no place higher than that is tried
	way     []r3.Vector // by which it is reached, once it is
}

// touchable is a face to be touched: out is where it looks, zero where the whole body will do.
type touchable struct {
	body body.Body
	out  r3.Vector
}

// reachingOf gathers what a question of zone i and a hatch needs.
func (r *run) reachingOf(i int32, h *hatch, sides []cell.Towards) *reaching {
	full := r.Full(i)
	q := &reaching{h: h}
	for _, side := range sides {
		if plate, out, ok := void.SideOf(r.Zone(i), full, side); ok {
			q.targets = append(q.targets, touchable{plate, out})
		}
	}
	if len(q.targets) > 0 {
		q.bars = append(q.bars, barOf(full, r.Zone(i).ID))
	} else {
		q.targets = []touchable{{body: full}}
	}
	span := full.Height()
	q.z = span.Center()
	if len(sides) > 0 {
		q.z = q.targets[0].body.Centre.Z
	}
	around := h.round()
	q.top = math.Max(span.Hi, h.face) + armRadius + handReach
	for _, j := range r.Project.BaysNear(int(r.Zone(i).Storey), around) {
		b := &r.Project.Bays[j]
		if !b.Plan.Intersects(around) {
			continue
		}
		q.top = math.Max(q.top, b.Soffit)
		if b.HasCeiling {
			boards := barOf(body.Upright(b.Plan, r1.Interval{Lo: b.Ceiling - 10000, Hi: b.Top}), b.CeilingID())
			boards.boards = true
			q.bars = append(q.bars, boards)
		}
		q.bars = append(q.bars, barOf(body.Upright(b.Plan, r1.Interval{Lo: b.Soffit, Hi: b.Soffit + 10000}), b.SoffitID()))
	}
	q.top = math.Min(q.top, span.Hi+h.limit)
	in := scene.Over(around, h.face, q.top+armRadius)
	var there []int32
	r.Near(in, 0, func(o int32) {
		if o != i && !r.Zone(o).ByHeight && !r.SitsInLine(i, o, full, r.Full(o)) { // what it is set into is not between
			there = append(there, o)
		}
	})
	slices.Sort(there)
	for _, o := range there {
		q.bars = append(q.bars, barOf(r.Full(o), r.Zone(o).ID))
	}
	return q
}

func barOf(b body.Body, id string) bar {
	square := !b.Round && b.Along.Z == 0 && (b.Along.X == 0 || b.Along.Y == 0)
	return bar{b, scene.BoxOf(b), square, id, false}
}

// within reports whether a point is nearer than by to what bars the way.
func (b *bar) within(p r3.Vector, by float64) bool {
	dx := max(0, b.box.Lo[0]-p.X, p.X-b.box.Hi[0])
	dy := max(0, b.box.Lo[1]-p.Y, p.Y-b.box.Hi[1])
	dz := max(0, b.box.Lo[2]-p.Z, p.Z-b.box.Hi[2])
	if dx*dx+dy*dy+dz*dz >= by*by {
		return false
	}
	return b.square || body.Gap(body.Cylinder(p, p, 0), b.body).MM < by
}

// inShaft reports whether a place is in the shaft over the hatch, where no ceiling is in an arm's way.
func (q *reaching) inShaft(p r3.Vector) bool {
	return inArm(p.X, q.h.plan.X) && inArm(p.Y, q.h.plan.Y)
}

// inArm reports whether an arm whose middle is at v lies within the side of a hatch.
func inArm(v float64, side r1.Interval) bool {
	const in = armRadius - void.Hair
	return v >= side.Lo+in && v <= side.Hi-in
}

// inSpan returns which of the lines of a grid along one axis an arm may follow within the side of a hatch: from lo up to, but
// without, hi.
func inSpan(ticks []float64, side r1.Interval) (lo, hi int) {
	for lo < len(ticks) && !inArm(ticks[lo], side) {
		lo++
	}
	for hi = lo; hi < len(ticks) && inArm(ticks[hi], side); hi++ {
	}
	return lo, hi
}

// free reports whether the arm has room at a place.
func (q *reaching) free(p r3.Vector) bool {
	shaft := q.inShaft(p)
	for k := range q.bars {
		if b := &q.bars[k]; (!shaft || !b.boards) && b.within(p, armRadius-void.Hair) {
			return false
		}
	}
	return true
}

// open reports whether a straight way between two places leaves so much room all along; what bars it is given to each.
func (q *reaching) open(from, to r3.Vector, room float64, each func(b *bar)) bool {
	line := body.Cylinder(from, to, 0)
	lb := scene.BoxOf(line)
	all := true
	shaft := q.inShaft(from) && q.inShaft(to)
	for k := range q.bars {
		b := &q.bars[k]
		if shaft && b.boards || b.box.Apart(&lb) >= room {
			continue
		}
		if from.Sub(to).Norm() > void.Hair && body.Gap(line, b.body).MM < room || from.Sub(to).Norm() <= void.Hair && b.within(from, room) {
			if all = false; each == nil {
				return false
			}
			each(b)
		}
	}
	return all
}

// touches returns how far it is from a place of the arm to the item, where hand and fingers reach it with nothing between.
func (q *reaching) touches(p r3.Vector) (float64, bool) {
	for k := range q.targets {
		t := &q.targets[k]
		if t.out != (r3.Vector{}) && p.Sub(t.body.Centre).Dot(t.out) < 0 {
			continue // behind the face
		}
		m := body.Gap(body.Cylinder(p, p, 0), t.body)
		if m.MM > armRadius+handReach {
			continue
		}
		// The last millimetre is the face itself.
		at := m.B.Add(p.Sub(m.B).Mul(math.Min(1, 1/math.Max(1, m.MM))))
		if m.MM <= 1 || q.open(p, at, void.Hair, nil) {
			return m.MM, true
		}
	}
	return 0, false
}

// straight returns the straight way from the shaft to the item: from the middle of the hatch at the item's level to the
// item's nearest point.
func (q *reaching) straight() (from, to r3.Vector) {
	from = r3.Vector{X: q.h.mid.X, Y: q.h.mid.Y, Z: math.Max(q.z, q.h.face)}
	best := math.Inf(1)
	for k := range q.targets {
		if m := body.Gap(body.Cylinder(from, from, 0), q.targets[k].body); m.MM < best {
			best, to = m.MM, m.B
			if m.MM == 0 {
				to = from
			}
		}
	}
	return from, to
}

// reached reports whether the item is reached.
func (q *reaching) reached() bool {
	if q.h.limit <= 0 {
		return false
	}
	from, to := q.straight()
	if way := to.Sub(from); way.Norm() <= q.h.limit+figure.Slack {
		end := to
		if n := way.Norm(); n > armRadius {
			end = to.Sub(way.Mul(armRadius / n))
		} else {
			end = from
		}
		foot := r3.Vector{X: from.X, Y: from.Y, Z: q.h.face}
		if q.open(foot, from, armRadius-void.Hair, nil) && q.open(from, end, armRadius-void.Hair, nil) {
			if _, ok := q.touches(end); ok {
				q.way = []r3.Vector{foot, from, to}
				return true
			}
		}
	}
	return !q.enclosed() && q.search()
}

// enclosed reports whether every face to be touched is wholly, and by more than the last millimetre, within one thing that
// stands in the way: then no way ends at it. A ceiling does not count, for the hatch is through it.
func (q *reaching) enclosed() bool {
	for k := range q.targets {
		in := scene.BoxOf(q.targets[k].body)
		if !slices.ContainsFunc(q.bars, func(b bar) bool { return b.square && !b.boards && b.box.Holds(&in, 1+void.Hair) }) {
			return false
		}
	}
	return true
}

// between returns the ids of what bars the straight way, the nearest to the hatch first.
func (q *reaching) between() []string {
	from, to := q.straight()
	type hit struct {
		at float64
		id string
	}
	var hits []hit
	see := func(b *bar) {
		hits = append(hits, hit{body.Gap(body.Cylinder(from, from, 0), b.body).MM, b.id})
	}
	q.open(from, to, void.Hair, see)
	if len(hits) == 0 {
		q.open(from, to, armRadius-void.Hair, see)
	}
	if len(hits) == 0 {
		q.open(r3.Vector{X: from.X, Y: from.Y, Z: q.h.face}, from, armRadius-void.Hair, see)
	}
	slices.SortFunc(hits, func(a, b hit) int { return cmp.Or(cmp.Compare(a.at, b.at), strings.Compare(a.id, b.id)) })
	ids := []string{}
	for _, h := range hits {
		if !slices.Contains(ids, h.id) {
			ids = append(ids, h.id)
		}
	}
	return ids
}

// ticks returns the lines of the grid along one axis: every reachStep from mid, between lo and hi, and besides where the arm just
// passes each thing. They are put where out was.
func (q *reaching) ticks(out []float64, axis int, mid, lo, hi float64, more ...float64) []float64 {
	out = append(out[:0], mid)
	for t := reachStep; mid+t <= hi || mid-t >= lo; t += reachStep {
		out = append(out, mid+t, mid-t)
	}
	for k := range q.bars[:min(len(q.bars), edgesOf)] {
		out = append(out, q.bars[k].box.Lo[axis]-armRadius, q.bars[k].box.Hi[axis]+armRadius)
	}
	out = append(out, more...)
	out = slices.DeleteFunc(out, func(v float64) bool { return v < lo || v > hi })
	slices.Sort(out)
	return slices.CompactFunc(out, func(a, b float64) bool { return math.Abs(a-b) < 0.01 })
}

// edgesOf is how many things get lines of the grid at their edges: those nearest to the straight way.
const edgesOf = 24

// place is a place of the grid that is to be gone on from.
type place struct {
	at       int
	far, est float64 // how far it is from the hatch's middle, and how far at least to the item by it
}

func (a *place) before(b *place) bool { return a.est < b.est || a.est == b.est && a.at < b.at }

// places is a heap of them: the one to go on from first is on top. It is a heap of its own because container/heap makes a
// value of every place that goes in or out, which took a third of a search.
type places []place

func (h *places) push(x place) {
	*h = append(*h, x)
	s, k := *h, len(*h)-1
	for k > 0 {
		up := (k - 1) / 2
		if !x.before(&s[up]) {
			break
		}
		s[k], k = s[up], up
	}
	s[k] = x
}

func (h *places) pop() place {
	s := *h
	top, last := s[0], s[len(s)-1]
	s = s[:len(s)-1]
	*h = s
	for k := 0; len(s) > 0; {
		down := 2*k + 1
		if down+1 < len(s) && s[down+1].before(&s[down]) {
			down++
		}
		if down >= len(s) || !s[down].before(&last) {
			s[k] = last
			break
		}
		s[k], k = s[down], down
	}
	return top
}

// knot is what a search knows of a place of the grid.
type knot struct {
	turn  uint32  // of which search this is; of another one nothing is known yet
	from  int32   // the place before it on the least way, -1 for the shaft
	far   float32 // the length of that way
	state knotState
	shaft bool // it is of the shaft, and looked at as such
}

type knotState uint8

const (
	unseen knotState = iota
	roomy            // the arm has room
	barred
	done // gone on from
)

// lattice is a grid that is searched, one search after another: nothing of it is cleared between them.
type lattice struct {
	*reaching
	turn       uint32
	xs, ys, zs []float64
	knots      []knot
	heads      places
	todo       []int       // places of the shaft that are yet to be gone on from
	boxes      []scene.Box // of the targets
	whole      lines
	shaft      lines // those of which every place is in the shaft
}

// lattices keeps those that are not in use, about one for each goroutine.
var lattices = sync.Pool{New: func() any { return new(lattice) }}

const (
	gridLonger = 1.15 // a way over the grid against the least
	endsOf     = 64   // ways that are drawn tight before it is given up
	nowhereYet = math.MaxFloat32
)

func (g *lattice) point(at int) r3.Vector {
	nx, ny := len(g.xs), len(g.ys)
	return r3.Vector{X: g.xs[at%nx], Y: g.ys[at/nx%ny], Z: g.zs[at/nx/ny]}
}

// knot returns what is known of a place.
func (g *lattice) knot(at int) *knot {
	k := &g.knots[at]
	if k.turn != g.turn {
		*k = knot{turn: g.turn, from: -1, far: nowhereYet}
	}
	return k
}

// roomAt reports whether the arm has room at a place.
func (g *lattice) roomAt(k *knot, p r3.Vector) bool {
	if k.state == unseen {
		if k.state = barred; g.free(p) {
			k.state = roomy
		}
	}
	return k.state != barred
}

// least returns what no way from a place to the item is shorter than.
func (g *lattice) least(p r3.Vector) float64 {
	d := math.Inf(1)
	for k := range g.boxes {
		b := &g.boxes[k]
		x, y, z := max(0, b.Lo[0]-p.X, p.X-b.Hi[0]), max(0, b.Lo[1]-p.Y, p.Y-b.Hi[1]), max(0, b.Lo[2]-p.Z, p.Z-b.Hi[2])
		d = min(d, x*x+y*y+z*z)
	}
	return math.Sqrt(d)
}

// offer takes a way of length l to a place where it is shorter than the one that is known, may be short enough, and the arm
// has room there.
func (g *lattice) offer(at int, k *knot, p r3.Vector, by int, l float64) {
	if k.state == barred || k.state == done || l >= float64(k.far)-1e-3 {
		return
	}
	if est := l + g.least(p); est <= g.h.limit*gridLonger && g.roomAt(k, p) {
		k.far, k.from = float32(l), int32(by)
		g.heads.push(place{at, l, est})
	}
}

// each visits the places round a place, of those that lie within the lines from in.lo up to in.hi.
func (g *lattice) each(at int, in *lines, visit func(o int, p r3.Vector)) {
	nx, ny := len(g.xs), len(g.ys)
	x, y, z := at%nx, at/nx%ny, at/nx/ny
	for k := max(in.lo[2], z-1); k < min(in.hi[2], z+2); k++ {
		for j := max(in.lo[1], y-1); j < min(in.hi[1], y+2); j++ {
			for i := max(in.lo[0], x-1); i < min(in.hi[0], x+2); i++ {
				if o := (k*ny+j)*nx + i; o != at {
					visit(o, r3.Vector{X: g.xs[i], Y: g.ys[j], Z: g.zs[k]})
				}
			}
		}
	}
}

// lines are lines of a grid along its axes: those from lo up to, but without, hi.
type lines struct{ lo, hi [3]int }

// lay lays the grid for a question.
func (g *lattice) lay(q *reaching) {
	limit, h := q.h.limit, q.h
	g.reaching = q
	g.xs = q.ticks(g.xs, 0, h.mid.X, h.mid.X-limit, h.mid.X+limit, h.plan.X.Lo+armRadius, h.plan.X.Hi-armRadius)
	g.ys = q.ticks(g.ys, 1, h.mid.Y, h.mid.Y-limit, h.mid.Y+limit, h.plan.Y.Lo+armRadius, h.plan.Y.Hi-armRadius)
	g.zs = q.ticks(g.zs, 2, h.face, h.face, q.top, q.z)
	if n := len(g.xs) * len(g.ys) * len(g.zs); n > len(g.knots) {
		g.knots = make([]knot, n)
	}
	if g.turn++; g.turn == 0 { // all turns were had
		clear(g.knots)
		g.turn = 1
	}
	g.whole = lines{hi: [3]int{len(g.xs), len(g.ys), len(g.zs)}}
	g.shaft = g.whole
	g.shaft.lo[0], g.shaft.hi[0] = inSpan(g.xs, h.plan.X)
	g.shaft.lo[1], g.shaft.hi[1] = inSpan(g.ys, h.plan.Y)
	g.heads, g.todo, g.boxes = g.heads[:0], g.todo[:0], g.boxes[:0]
	for k := range q.targets {
		g.boxes = append(g.boxes, scene.BoxOf(q.targets[k].body))
	}
}

// enter takes a place of the shaft, from which one may begin.
func (g *lattice) enter(at int, p r3.Vector) {
	if k := g.knot(at); !k.shaft && g.roomAt(k, p) {
		k.shaft = true
		g.todo = append(g.todo, at)
		g.offer(at, k, p, -1, math.Hypot(p.X-g.h.mid.X, p.Y-g.h.mid.Y))
	}
}

// search looks for a way over the grid, the shortest first, and draws it tight.
func (q *reaching) search() bool {
	line, to := q.straight()
	straight := scene.BoxOf(body.Cylinder(line, to, 0))
	slices.SortStableFunc(q.bars, func(a, b bar) int { return cmp.Compare(a.box.Apart(&straight), b.box.Apart(&straight)) })
	g := lattices.Get().(*lattice)
	defer func() { g.reaching = nil; lattices.Put(g) }()
	g.lay(q)
	// The shaft: whatever of it is joined to the hatch itself.
	for j := g.shaft.lo[1]; j < g.shaft.hi[1]; j++ {
		for i := g.shaft.lo[0]; i < g.shaft.hi[0]; i++ {
			at := j*len(g.xs) + i
			g.enter(at, g.point(at))
		}
	}
	for len(g.todo) > 0 {
		at := g.todo[len(g.todo)-1]
		g.todo = g.todo[:len(g.todo)-1]
		g.each(at, &g.shaft, g.enter)
	}
	tight := 0
	for len(g.heads) > 0 {
		head := g.heads.pop()
		k := g.knot(head.at)
		if k.state == done {
			continue
		}
		k.state = done
		p := g.point(head.at)
		if g.least(p) <= armRadius+handReach {
			if d, ok := q.touches(p); ok {
				if far, way := g.drawn(head.at); far+d <= q.h.limit+figure.Slack {
					q.way = append(way, p)
					return true
				}
				if tight++; tight == endsOf {
					return false
				}
			}
		}
		g.each(head.at, &g.whole, func(o int, to r3.Vector) {
			g.offer(o, g.knot(o), to, head.at, head.far+to.Sub(p).Norm())
		})
	}
	return false
}

// drawn returns the length of a way over the grid once it is drawn tight, from each place straight to the last that is in
// sight, and the places that it goes by.
func (g *lattice) drawn(at int) (length float64, tight []r3.Vector) {
	var way []r3.Vector
	for k := at; k >= 0; k = int(g.knots[k].from) {
		way = append(way, g.point(k))
	}
	slices.Reverse(way)
	length = math.Hypot(way[0].X-g.h.mid.X, way[0].Y-g.h.mid.Y)
	tight = append(tight, r3.Vector{X: g.h.mid.X, Y: g.h.mid.Y, Z: g.h.face}, way[0])
	for i := 0; i < len(way)-1; {
		j := len(way) - 1
		for ; j > i+1 && !g.open(way[i], way[j], armRadius-5, nil); j-- {
		}
		length += way[j].Sub(way[i]).Norm()
		i = j
		tight = append(tight, way[i])
	}
	return length, tight
}

// round is the box round the way by which the item is reached, as wide as arm and hand: what does not come into it does not bar it.
func (q *reaching) round() scene.Box {
	lo, hi := q.way[0], q.way[0]
	for _, p := range q.way {
		lo = r3.Vector{X: math.Min(lo.X, p.X), Y: math.Min(lo.Y, p.Y), Z: math.Min(lo.Z, p.Z)}
		hi = r3.Vector{X: math.Max(hi.X, p.X), Y: math.Max(hi.Y, p.Y), Z: math.Max(hi.Z, p.Z)}
	}
	by := r3.Vector{X: 1, Y: 1, Z: 1}.Mul(armRadius + handReach)
	return scene.Within(lo.Sub(by), hi.Add(by))
}

// nearestHatch is what a finding says of the hatch that is nearest to what cannot be reached.
func (r *run) nearestHatch(i int32, h *hatch, away float64, q *reaching, sides []cell.Towards) *finding.FromHatch {
	s := &r.Project.Spaces[h.space]
	f := &finding.FromHatch{For: r.Zone(s.For).ID, Row: r.Project.FileLine(s.Row), Away: figure.Tenth(away), Reach: h.limit, Between: q.between()}
	for _, t := range q.targets {
		if t.out == (r3.Vector{}) {
			continue
		}
		if math.Abs(t.out.Z) > 0.5 {
			f.From = sides[0].String()
		} else {
			f.From = "the side " + finding.TowardsWords(r.towards(i, r.Full(i).Centre, r2.Point{X: t.out.X, Y: t.out.Y}))
		}
		break
	}
	return f
}
