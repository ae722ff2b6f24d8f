package clash

import (
	"cmp"
	"container/heap"
	"math"
	"slices"
	"strings"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"

	"voidline/clash/figure"
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
//     passes each thing that stands there, and then drawn tight. A grid's way is up to 15 in 100 longer than the least
//     before it is drawn tight and about 3 in 100 after: a way that is so near to the limit may be told as too long.
//     The ball may pass a corner by up to 5 nearer than its radius.
//  3. No way that is longer than the limit is followed, so that a search ends after some thousand places.

// How an arm reaches, mm; common practice, no source.
const (
	armRadius = 75.0  // an arm in a sleeve, with the light that it needs
	handReach = 100.0 // what hand and fingers, which need no room to speak of, reach beyond the arm
	reachStep = 50.0
)

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

// HatchReach returns how far one reaches through a hatch whose lesser side is so wide, mm: arm is how far an arm reaches, further
// how much more head and shoulders give (0: the built-in 300). 0 where no arm goes through.
func HatchReach(size, arm, further float64) float64 {
	reach := 0.0
	for _, h := range hatchReaches {
		if size >= h.From-void.Hair {
			more := h.Further
			if more > 0 && further > 0 {
				more = further
			}
			reach = arm + more
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

// hatches returns the hatches by storey, and for each zone the sides from which it is worked on.
func (r *run) hatches(arm float64) (byStorey map[int32][]hatch, sides map[int32][]cell.Towards) {
	byStorey, sides = map[int32][]hatch{}, map[int32][]cell.Towards{}
	worked := map[int32]bool{} // a working space says it before anything else
	for k := range r.p.Spaces {
		s := &r.p.Spaces[k]
		if s.Kind == void.Hatch {
			plan := s.Body.Plan()
			in := r.zone(s.For).Storey
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
	return byStorey, sides
}

// bar is what stands in the way of an arm.
type bar struct {
	body   body.Body
	box    box
	square bool // its box is the body
	id     string
	boards bool // a ceiling: one comes through it in the hatch
}

// reaching is one question: whether an item is reached from a hatch.
type reaching struct {
	h       *hatch
	bars    []bar
	targets []touchable
	z       float64 // the level at which the straight way goes
	top     float64 // no place higher than that is tried
}

// touchable is a face to be touched: out is where it looks, zero where the whole body will do.
type touchable struct {
	body body.Body
	out  r3.Vector
}

// reachingOf gathers what a question of zone i and a hatch needs.
func (r *run) reachingOf(i int32, h *hatch, sides []cell.Towards) *reaching {
	full := r.full(i)
	q := &reaching{h: h}
	for _, side := range sides {
		if plate, out, ok := void.SideOf(r.zone(i), full, side); ok {
			q.targets = append(q.targets, touchable{plate, out})
		}
	}
	if len(q.targets) > 0 {
		q.bars = append(q.bars, barOf(full, r.zone(i).ID))
	} else {
		q.targets = []touchable{{body: full}}
	}
	span := full.Height()
	q.z = span.Center()
	if len(sides) > 0 {
		q.z = q.targets[0].body.Centre.Z
	}
	by := h.limit + armRadius + handReach
	around := r2.RectFromCenterSize(h.mid, r2.Point{X: 2 * by, Y: 2 * by})
	q.top = math.Max(span.Hi, h.face) + armRadius + handReach
	for _, j := range r.p.BaysNear(int(r.zone(i).Storey), around) {
		b := &r.p.Bays[j]
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
	in := box{[3]float64{around.X.Lo, around.Y.Lo, h.face}, [3]float64{around.X.Hi, around.Y.Hi, q.top + armRadius}}
	var there []int32
	r.near(in, 0, func(o int32) {
		if o != i && !r.zone(o).ByHeight {
			there = append(there, o)
		}
	})
	slices.Sort(there)
	for _, o := range there {
		q.bars = append(q.bars, barOf(r.full(o), r.zone(o).ID))
	}
	return q
}

func barOf(b body.Body, id string) bar {
	square := !b.Round && b.Along.Z == 0 && (b.Along.X == 0 || b.Along.Y == 0)
	return bar{b, boxOf(b), square, id, false}
}

// within reports whether a point is nearer than by to what bars the way.
func (b *bar) within(p r3.Vector, by float64) bool {
	dx := max(0, b.box.lo[0]-p.X, p.X-b.box.hi[0])
	dy := max(0, b.box.lo[1]-p.Y, p.Y-b.box.hi[1])
	dz := max(0, b.box.lo[2]-p.Z, p.Z-b.box.hi[2])
	if dx*dx+dy*dy+dz*dz >= by*by {
		return false
	}
	return b.square || body.Gap(body.Cylinder(p, p, 0), b.body).MM < by
}

// inShaft reports whether a place is in the shaft over the hatch, where no ceiling is in an arm's way.
func (q *reaching) inShaft(p r3.Vector) bool {
	const in = armRadius - void.Hair
	pl := q.h.plan
	return p.X >= pl.X.Lo+in && p.X <= pl.X.Hi-in && p.Y >= pl.Y.Lo+in && p.Y <= pl.Y.Hi-in
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
	lb := boxOf(line)
	all := true
	shaft := q.inShaft(from) && q.inShaft(to)
	for k := range q.bars {
		b := &q.bars[k]
		if shaft && b.boards || b.box.apart(&lb) >= room {
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
				return true
			}
		}
	}
	return q.search()
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
// passes each thing.
func (q *reaching) ticks(axis int, mid, lo, hi float64, more ...float64) []float64 {
	out := []float64{mid}
	for t := reachStep; mid+t <= hi || mid-t >= lo; t += reachStep {
		out = append(out, mid+t, mid-t)
	}
	for k := range q.bars[:min(len(q.bars), edgesOf)] {
		out = append(out, q.bars[k].box.lo[axis]-armRadius, q.bars[k].box.hi[axis]+armRadius)
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

type places []place

func (h places) Len() int { return len(h) }
func (h places) Less(a, b int) bool {
	return h[a].est < h[b].est || h[a].est == h[b].est && h[a].at < h[b].at
}
func (h places) Swap(a, b int) { h[a], h[b] = h[b], h[a] }
func (h *places) Push(x any)   { *h = append(*h, x.(place)) }
func (h *places) Pop() any     { x := (*h)[len(*h)-1]; *h = (*h)[:len(*h)-1]; return x }

// search looks for a way over the grid, the shortest first, and draws it tight.
func (q *reaching) search() bool {
	const longer = 1.15 // a way over the grid against the least
	const ends = 64     // ways that are drawn tight before it is given up
	limit, h := q.h.limit, q.h
	line, to := q.straight()
	straight := boxOf(body.Cylinder(line, to, 0))
	slices.SortStableFunc(q.bars, func(a, b bar) int { return cmp.Compare(a.box.apart(&straight), b.box.apart(&straight)) })
	xs := q.ticks(0, h.mid.X, h.mid.X-limit, h.mid.X+limit, h.plan.X.Lo+armRadius, h.plan.X.Hi-armRadius)
	ys := q.ticks(1, h.mid.Y, h.mid.Y-limit, h.mid.Y+limit, h.plan.Y.Lo+armRadius, h.plan.Y.Hi-armRadius)
	zs := q.ticks(2, h.face, h.face, q.top, q.z)
	nx, ny := len(xs), len(ys)
	point := func(at int) r3.Vector { return r3.Vector{X: xs[at%nx], Y: ys[at/nx%ny], Z: zs[at/nx/ny]} }
	n := nx * ny * len(zs)
	far := make([]float32, n)
	from := make([]int32, n)
	state := make([]uint8, n) // 1 free, 2 barred, 3 done
	for k := range far {
		far[k] = math.MaxFloat32
	}
	free := func(at int) bool {
		if state[at] == 0 {
			if state[at] = 2; q.free(point(at)) {
				state[at] = 1
			}
		}
		return state[at] != 2
	}
	boxes := make([]box, len(q.targets))
	for k := range q.targets {
		boxes[k] = boxOf(q.targets[k].body)
	}
	least := func(p r3.Vector) float64 { // no way to the item is shorter
		d := math.Inf(1)
		for k := range boxes {
			b := &boxes[k]
			d = math.Min(d, r3.Vector{
				X: max(0, b.lo[0]-p.X, p.X-b.hi[0]), Y: max(0, b.lo[1]-p.Y, p.Y-b.hi[1]), Z: max(0, b.lo[2]-p.Z, p.Z-b.hi[2]),
			}.Norm())
		}
		return d
	}
	each := func(at int, visit func(o int)) {
		x, y, z := at%nx, at/nx%ny, at/nx/ny
		for k := max(0, z-1); k <= min(len(zs)-1, z+1); k++ {
			for j := max(0, y-1); j <= min(ny-1, y+1); j++ {
				for i := max(0, x-1); i <= min(nx-1, x+1); i++ {
					if o := (k*ny+j)*nx + i; o != at {
						visit(o)
					}
				}
			}
		}
	}
	var heads places
	offer := func(at, by int, l float64) {
		if l < float64(far[at])-1e-3 {
			if est := l + least(point(at)); est <= limit*longer {
				far[at], from[at] = float32(l), int32(by)
				heap.Push(&heads, place{at, l, est})
			}
		}
	}
	// The shaft: whatever of it is joined to the hatch itself.
	shaft := make([]bool, n)
	var todo []int
	enter := func(at int) {
		if p := point(at); !shaft[at] && q.inShaft(p) && free(at) {
			shaft[at] = true
			todo = append(todo, at)
			offer(at, -1, math.Hypot(p.X-h.mid.X, p.Y-h.mid.Y))
		}
	}
	for at := range nx * ny {
		enter(at)
	}
	for len(todo) > 0 {
		at := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		each(at, enter)
	}
	tight := 0
	for heads.Len() > 0 {
		head := heap.Pop(&heads).(place)
		if state[head.at] == 3 {
			continue
		}
		state[head.at] = 3
		p := point(head.at)
		if least(p) <= armRadius+handReach {
			if d, ok := q.touches(p); ok {
				if q.drawn(head.at, from, point)+d <= limit+figure.Slack {
					return true
				}
				if tight++; tight == ends {
					return false
				}
			}
		}
		each(head.at, func(o int) {
			if free(o) && state[o] != 3 {
				offer(o, head.at, head.far+point(o).Sub(p).Norm())
			}
		})
	}
	return false
}

// drawn returns the length of a way over the grid once it is drawn tight: from each place straight to the last that is in
// sight.
func (q *reaching) drawn(at int, from []int32, point func(int) r3.Vector) float64 {
	var way []r3.Vector
	for k := at; k >= 0; k = int(from[k]) {
		way = append(way, point(k))
	}
	slices.Reverse(way)
	length := math.Hypot(way[0].X-q.h.mid.X, way[0].Y-q.h.mid.Y)
	for i := 0; i < len(way)-1; {
		j := len(way) - 1
		for ; j > i+1 && !q.open(way[i], way[j], armRadius-5, nil); j-- {
		}
		length += way[j].Sub(way[i]).Norm()
		i = j
	}
	return length
}

// nearestHatch is what a finding says of the hatch that is nearest to what cannot be reached.
func (r *run) nearestHatch(i int32, h *hatch, away float64, q *reaching, sides []cell.Towards) *FromHatch {
	s := &r.p.Spaces[h.space]
	f := &FromHatch{For: r.zone(s.For).ID, Row: r.p.FileLine(s.Row), Away: figure.Tenth(away), Reach: h.limit, Between: q.between()}
	for _, t := range q.targets {
		if t.out == (r3.Vector{}) {
			continue
		}
		if math.Abs(t.out.Z) > 0.5 {
			f.Side = sides[0].String()
		} else {
			f.Side = "the side " + TowardsWords(r.towards(i, r.full(i).Centre, r2.Point{X: t.out.X, Y: t.out.Y}))
		}
		break
	}
	return f
}

// Words says which hatch is nearest and what is between, for the note of a finding.
func (f *FromHatch) Words() string {
	s := "the nearest hatch, that of " + f.For + " (" + f.Row + "), is " + figure.Up(f.Away) + " away"
	switch {
	case f.Away > f.Reach+figure.Slack:
		s += "; through it one reaches " + figure.Down(f.Reach)
	case len(f.Between) > 0:
		s += ", but between them " + plural(len(f.Between), "is ", "are ") + strings.Join(f.Between, ", ")
	default:
		s += ", but the way round is longer than the " + figure.Down(f.Reach) + " that one reaches"
	}
	if f.Side != "" {
		s += "; it is worked on from " + f.Side
	}
	return s
}

func plural(n int, one, more string) string {
	if n == 1 {
		return one
	}
	return more
}
