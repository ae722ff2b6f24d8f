package clash

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"

	"voidline/clash/book"
	"voidline/clash/figure"
	"voidline/clash/finding"
	"voidline/clash/measure"
	"voidline/clash/rules"
	"voidline/clash/scene"
	"voidline/void"
	"voidline/void/body"
	"voidline/void/vocabulary"
)

// The lengths by which joints are judged, mm.
const (
	limitStep     = 5.0    // up, of a drain
	limitJump     = 25.0   // in level
	limitTray     = 50.0   // in level, of containment
	limitGap      = 50.0   // in plan
	limitItem     = 150.0  // to an item in line, a unit or a fitting
	limitStraight = 1500.0 // up to which two ends in one line look at each other, of uprights in level
	limitCorner   = 600.0  // likewise round a corner, of uprights that stand apart in plan, and of an end towards the side of a row
	limitStorey   = 1500.0 // up to which rows of two storeys are looked at as one run
)

// JointLimits returns the lengths by which joints of runs are judged.
func JointLimits() []void.Limit {
	return void.Practised([]void.Limit{
		{Name: "step up in a drain", MM: limitStep, Why: "levels of drains are written in whole mm and set to a few"},
		{Name: "jump in level", MM: limitJump, Why: "brackets and flanges take up no more; a smaller section that lies inside the larger is none"},
		{Name: "jump in level of containment", MM: limitTray, Why: "tray and basket are set by so much without a made bend"},
		{Name: "gap between ends", MM: limitGap, Why: "drawn lengths stop short of a joint, a movement joint or a bellows by as much"},
		{Name: "gap to an item in line, a unit or a fitting", MM: limitItem, Why: "its flanges, unions or spigots are not drawn"},
		{Name: "gap to an item, a unit or a fitting that joins names", MM: measure.MeetJoins, Why: "the last piece is often not drawn"},
		{Name: "ends in one line, furthest", MM: limitStraight, Why: "further apart they are taken as two lengths of one name"},
		{Name: "ends round a corner, at a side, or of uprights apart in plan, furthest", MM: limitCorner, Why: "further apart nobody knows that the one was to reach the other"},
		{Name: "rows of two storeys, furthest in level", MM: limitStorey, Why: "further apart they are floors that use one name"},
	})
}

// bent are the kinds that are bent or drawn in on site: their ends join whatever is near (common practice, no source).
var bent = []string{"flexible", "cable", "conduit", "plastic conduit"}

// Bent returns the kinds that are bent or drawn in on site: their ends join whatever is near.
func Bent() []string { return slices.Clone(bent) }

// jointPiece is a row of a run as its ends are looked at.
type jointPiece struct {
	i    int32
	b    body.Body // bare
	box  scene.Box
	tips []jointEnd
	gravity, upright,
	loose bool // bent on site, an item, a unit or a fitting: what is near joins it
}

// jointEnd is one end of a piece.
type jointEnd struct {
	measure.End
	w, h   float64 // half the section, mm
	low    bool    // a falling piece's lower end
	joined bool    // something is joined here
	near   bool    // something is here, joined or not
}

// complaint is that two pieces do not join.
type complaint struct {
	kind finding.JointKind
	a, b int32
	at   *jointEnd // a's end
	to   r3.Vector
	by   float64
	side bool         // an end that stops short of the side of b
	tips [2]*jointEnd // that are free if the complaint is to count; nil where it counts all the same
}

// pieceOf returns zone i as a piece of a run; its ends are put into room.
func (r *run) pieceOf(i int32, room []jointEnd) (p jointPiece, ok bool) {
	z, c := r.Zone(i), r.Char(i)
	if z.Gone || z.ByHeight || c.Structure() || c.Entry.Mark {
		return p, false
	}
	p = jointPiece{i: i, b: z.Bare(), upright: z.Upright, gravity: c.In(vocabulary.Gravity)}
	p.box = scene.BoxOf(p.b)
	p.loose = slices.Contains(bent, c.Kind) || c.Entry.EndsAt || measure.IsFitting(c.Kind) || z.Item && !z.Upright
	p.tips = room[:0:2]
	var both [2]measure.End
	for _, e := range measure.Ends(z, &p.b, &both) {
		t := jointEnd{End: e, w: p.b.W, h: p.b.H}
		if p.b.Round {
			t.h = p.b.W
		}
		t.low = e.Out.Z < -1e-9
		p.tips = append(p.tips, t)
	}
	return p, true
}

// falls reports whether a piece falls.
func (p *jointPiece) falls() bool { return !p.upright && p.b.Along.Z != 0 }

// runKey is the run of a zone, in one writing; "" where it has none and names nothing in joins.
func (r *run) runKey(i int32) book.Party {
	z := r.Zone(i)
	switch {
	case z.Gone:
		return book.Party{}
	case z.Run() != "":
		return book.Party{Run: strings.ToLower(z.Run()), Trade: r.Char(i).Trade}
	case len(z.Joins()) > 0:
		return book.Party{Branch: strings.ToLower(z.ID)}
	}
	return book.Party{}
}

// runRows are the rows of each run, and which rows name others.
type runRows struct {
	of  map[book.Party][]int32
	key []book.Party // by zone
	// namers are the rows that name an id in joins, or named it once, by the id without case.
	namers map[string][]int32
}

// name notes which ids row i names in joins.
func (rs *runRows) name(i int32, joins []string) {
	for _, id := range joins {
		id = strings.ToLower(strings.TrimSpace(id))
		if !slices.Contains(rs.namers[id], i) {
			rs.namers[id] = append(rs.namers[id], i)
		}
	}
}

// readRuns sorts the zones by their runs.
func (r *run) readRuns() *runRows {
	rs := &runRows{of: map[book.Party][]int32{}, namers: map[string][]int32{}}
	if !r.letsGo() {
		rs.key = make([]book.Party, r.Project.Zones())
	}
	var last book.Party
	lastRun, lastChar := "", int32(-1)
	var list []int32
	for i := range int32(r.Project.Zones()) {
		z := r.Zone(i)
		key := last
		if z.Gone || z.Run() == "" || z.Run() != lastRun || z.Char != lastChar { // rows of a run mostly stand together
			key = r.runKey(i)
		}
		if rs.key != nil {
			rs.key[i] = key
		}
		if rs.key != nil && !z.Gone {
			rs.name(i, z.Joins())
		}
		if key == (book.Party{}) {
			continue
		}
		if key != last {
			if len(list) > 0 {
				rs.of[last] = list
			}
			list = rs.of[key]
			last = key
		}
		lastRun, lastChar = z.Run(), z.Char
		list = append(list, i)
	}
	if len(list) > 0 {
		rs.of[last] = list
	}
	return rs
}

// joints looks at the ends of every run.
func (r *run) joints(ctx context.Context) error {
	rs := r.readRuns()
	if !r.letsGo() {
		r.Check.runRows = rs
	}
	var groups [][]int32
	for _, g := range rs.of {
		if len(g) > 1 || len(r.Zone(g[0]).Joins()) > 0 {
			groups = append(groups, g)
		}
	}
	slices.SortFunc(groups, func(a, b []int32) int { return cmp.Compare(a[0], b[0]) }) // what stands together is read together
	return r.gatherBy(ctx, len(groups), 64, func(out *book.Book, _ *rules.Reader, from, to int) {
		for _, g := range groups[from:to] {
			if ctx.Err() != nil {
				return
			}
			r.jointsOf(out, g)
		}
	})
}

// jointsAgain looks again at the runs of zones that changed, at those that name them, and at those near where they are
// or were: what stands between two ends may be why they lie apart.
func (r *run) jointsAgain(dirty []int32, was []scene.Box) {
	rs := r.runRows
	touched := map[book.Party]bool{}
	for len(rs.key) < r.Project.Zones() { // rows were added
		rs.key = append(rs.key, book.Party{})
	}
	for _, i := range dirty {
		key := r.runKey(i)
		if old := rs.key[i]; old != key {
			if touched[old] = true; old != (book.Party{}) {
				rs.of[old] = slices.DeleteFunc(rs.of[old], func(o int32) bool { return o == i })
			}
			if key != (book.Party{}) {
				rs.of[key] = append(rs.of[key], i)
			}
			rs.key[i] = key
		}
		touched[key] = true
		rs.name(i, r.Zone(i).Joins())
	}
	if r.kept.OnTrial {
		r.jointsOnTrial(dirty)
		return
	}
	if o := r.putOff; o != nil {
		o.dirty, o.was = append(o.dirty, dirty...), append(o.was, was...)
		stay := slices.DeleteFunc(r.kept.Joints, func(x book.Joint) bool { return r.marked[x.A] || r.marked[x.B] })
		r.jointsOnTrial(dirty)
		r.kept.Joints = append(stay, r.kept.Joints...)
		return
	}
	for n, i := range dirty {
		for _, b := range [2]scene.Box{was[n], r.Boxes[i]} {
			if !b.Gone() {
				r.Near(b, limitStraight, func(o int32) { touched[rs.key[o]] = true })
			}
		}
	}
	for _, i := range dirty {
		for _, n := range rs.namers[strings.ToLower(r.Zone(i).ID)] {
			touched[rs.key[n]] = true
		}
	}
	delete(touched, book.Party{})
	r.kept.Joints = slices.DeleteFunc(r.kept.Joints, func(x book.Joint) bool { return touched[x.Run] })
	out := &book.Book{}
	for key := range touched {
		if g := rs.of[key]; len(g) > 0 {
			r.jointsOf(out, slices.Clone(g))
		}
	}
	r.kept.Joints = append(r.kept.Joints, out.Joints...)
}

// jointsOnTrial finds the joints to put right of rows that are shifted on trial, no others: it looks at those rows of their runs that are
// near them, and at what is near those.
func (r *run) jointsOnTrial(dirty []int32) {
	r.kept.Joints = nil
	of := map[book.Party][]int32{}
	for _, i := range dirty {
		if key := r.runRows.key[i]; key != (book.Party{}) {
			of[key] = append(of[key], i)
		}
	}
	out := &book.Book{}
	for key, moved := range of {
		near := map[int32]bool{}
		for _, i := range moved {
			near[i] = true
		}
		for range 2 {
			for _, i := range sortedKeys(near) {
				r.Near(r.Boxes[i], limitStraight, func(o int32) {
					if r.runRows.key[o] == key {
						near[o] = true
					}
				})
			}
		}
		r.jointsOf(out, sortedKeys(near))
	}
	r.kept.Joints = slices.DeleteFunc(out.Joints, func(x book.Joint) bool { return !r.marked[x.A] && !r.marked[x.B] })
}

// jointsOf looks at the ends of one run, and at what its rows name in joins.
//
//  1. Pieces that are near each other in plan are compared: end to end, end to side, end to riser, end to item.
//     Either they join, or there is a complaint.
//  2. Ends at which nothing is, that look at each other or at a side, are complained of: each by what is nearest ahead of it.
//  3. What joins names and is nowhere near is complained of.
//  4. A complaint counts where its ends have no other joint, and nothing else of the building joins there; of drains a
//     step up and a branch under the invert count all the same. Of one pair the least is told.
func (r *run) jointsOf(out *book.Book, g []int32) {
	slices.SortFunc(g, func(a, b int32) int { return cmp.Compare(r.Zone(a).ID, r.Zone(b).ID) })
	ps := make([]jointPiece, 0, len(g))
	tips := make([]jointEnd, 2*len(g))
	own := 0
	seen := make(map[int32]int, len(g))
	named := map[[2]int32]bool{}
	add := func(i int32) bool {
		if _, ok := seen[i]; ok {
			return true
		}
		if len(tips) == 0 { // something that is named
			tips = make([]jointEnd, 2)
		}
		p, ok := r.pieceOf(i, tips)
		if ok {
			tips = tips[2:]
			seen[i] = len(ps)
			ps = append(ps, p)
		}
		return ok
	}
	for _, i := range g {
		if add(i) {
			own = len(ps)
		}
	}
	for _, i := range g {
		if _, ok := seen[i]; !ok {
			continue
		}
		for _, id := range r.Zone(i).Joins() {
			if o, ok := r.Project.ZoneByID(strings.TrimSpace(id)); ok && int32(o) != i && add(int32(o)) {
				named[[2]int32{i, int32(o)}] = true
			}
		}
	}
	var cs []complaint
	var sides []sideAhead
	joined := map[[2]int32]bool{}
	mates := func(x, y int) bool {
		return x < own && y < own || named[[2]int32{ps[x].i, ps[y].i}] || named[[2]int32{ps[y].i, ps[x].i}]
	}
	compare := func(x, y int) {
		if !mates(x, y) {
			return
		}
		a, b := &ps[x], &ps[y]
		if apartInPlan(&a.box, &b.box) <= measure.MeetJoins {
			ok, told := r.meet(a, b, named[[2]int32{a.i, b.i}] || named[[2]int32{b.i, a.i}])
			if ok {
				joined[[2]int32{min(a.i, b.i), max(a.i, b.i)}] = true
			}
			if cs = append(cs, told...); ok || len(told) > 0 {
				return
			}
		}
		if !a.loose && !b.loose {
			sides = r.sidesAhead(r.sidesAhead(sides, a, b), b, a)
		}
	}
	nearInPlan(ps, compare)
	for k := range cs { // what is complained of there is enough
		if t, f := cs[k].tips[0], cs[k].tips[1]; t != nil && f != nil && !t.joined && !f.joined {
			t.near, f.near = true, true
		}
	}
	// Ends at which nothing is.
	var free []*jointEnd
	of := map[*jointEnd]*jointPiece{}
	for x := range ps {
		if p := &ps[x]; !p.loose {
			for k := range p.tips {
				if t := &p.tips[k]; !t.near {
					free = append(free, t)
					of[t] = p
				}
			}
		}
	}
	cs = append(cs, r.apart(free, sides, of, func(a, b *jointPiece) bool { return mates(seen[a.i], seen[b.i]) })...)
	for n := range named {
		if a, b := &ps[seen[n[0]]], &ps[seen[n[1]]]; !joined[[2]int32{min(n[0], n[1]), max(n[0], n[1])}] && !slices.ContainsFunc(cs, func(c complaint) bool {
			return c.a == n[0] && c.b == n[1] || c.a == n[1] && c.b == n[0]
		}) {
			if c, ok := r.nowhereNear(a, b); ok {
				cs = append(cs, c)
			}
		}
	}
	r.tellJoints(out, g[0], cs, joined)
}

// nearInPlan calls each for the pieces whose boxes are near each other in plan: so near that an end of the one may look at
// the side of the other.
func nearInPlan(ps []jointPiece, each func(x, y int)) {
	at := make([]int, len(ps))
	lo, hi := [2]float64{math.Inf(1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(-1)}
	for i := range ps {
		at[i] = i
		for k := range 2 {
			lo[k], hi[k] = min(lo[k], ps[i].box.Lo[k]), max(hi[k], ps[i].box.Lo[k])
		}
	}
	k := 0 // the axis along which the run is longer
	if hi[1]-lo[1] > hi[0]-lo[0] {
		k = 1
	}
	slices.SortFunc(at, func(x, y int) int { return cmp.Or(cmp.Compare(ps[x].box.Lo[k], ps[y].box.Lo[k]), cmp.Compare(x, y)) })
	for n, x := range at {
		for _, y := range at[n+1:] {
			a, b := &ps[x].box, &ps[y].box
			if b.Lo[k] > a.Hi[k]+limitCorner {
				break
			}
			if apartInPlan(a, b) <= limitCorner {
				each(min(x, y), max(x, y))
			}
		}
	}
}

// apartInPlan returns the larger of the distances between two boxes along x and y, negative where they overlap in plan.
func apartInPlan(a, b *scene.Box) float64 {
	return max(a.Lo[0]-b.Hi[0], b.Lo[0]-a.Hi[0], a.Lo[1]-b.Hi[1], b.Lo[1]-a.Hi[1])
}

// plan returns a point in plan.
func plan(v r3.Vector) r2.Point { return r2.Point{X: v.X, Y: v.Y} }

// meet compares two pieces: whether they join, and what is to be said where they ought to.
func (r *run) meet(a, b *jointPiece, named bool) (ok bool, cs []complaint) {
	switch {
	case a.loose || b.loose:
		reach := limitItem
		if named {
			reach = measure.MeetJoins
		}
		if body.Gap(r.Full(a.i), r.Full(b.i)).MM > reach {
			return false, nil
		}
		for _, p := range [2]*jointPiece{a, b} {
			o := b
			if p == b {
				o = a
			}
			for k := range p.tips {
				if t := &p.tips[k]; body.Gap(measure.Face(p.b, t.End), r.Full(o.i)).MM <= reach {
					t.near, t.joined = true, true
				}
			}
		}
		return true, nil
	case a.upright && b.upright:
		return r.uprights(a, b), nil
	case a.upright:
		return r.atRiser(b, a)
	case b.upright:
		return r.atRiser(a, b)
	}
	for k := range a.tips {
		for n := range b.tips {
			if t, f := &a.tips[k], &b.tips[n]; endToEnd(t, f) {
				good, c := r.endAtEnd(a, b, t, f)
				ok, cs = ok || good, append(cs, c...)
			}
		}
	}
	if ok || len(cs) > 0 {
		return ok, cs
	}
	for _, w := range [2][2]*jointPiece{{a, b}, {b, a}} {
		for k := range w[0].tips {
			if s, hit := atSide(&w[0].tips[k], w[1]); hit {
				good, c := r.endAtSide(w[0], w[1], &w[0].tips[k], s)
				ok, cs = ok || good, append(cs, c...)
			}
		}
	}
	return ok, cs
}

// endToEnd reports whether two ends meet in plan: in one line, or round a corner.
func endToEnd(t, f *jointEnd) bool {
	turn := plan(t.Out).Dot(plan(f.Out))
	d := plan(f.At).Sub(plan(t.At))
	switch {
	case turn > 0.5:
		return false // they look the same way
	case turn < -measure.AlongEach:
		ahead, aside := d.Dot(plan(t.Out)), math.Abs(d.Cross(plan(t.Out)))
		return math.Abs(ahead) <= limitGap && aside <= math.Max(t.w, f.w)+limitGap
	}
	return d.Norm() <= math.Hypot(t.w, f.w)+limitGap
}

// out is by how much the smaller of two intervals stands out of the larger, given by their middles and halves.
func out(c1, h1, c2, h2 float64) float64 { return math.Max(0, math.Abs(c1-c2)-math.Abs(h1-h2)) }

// jump is how much of a difference in level a piece takes.
func (r *run) jump(p *jointPiece) float64 {
	if r.Char(p.i).Entry.Containment {
		return limitTray
	}
	return limitJump
}

// storeysApart reports whether two pieces are of floors that use one name.
func (r *run) storeysApart(a, b *jointPiece, by float64) bool {
	return by > limitStorey && r.Zone(a.i).Storey != r.Zone(b.i).Storey
}

// byID reports whether the id of a comes before that of b.
func (r *run) byID(a, b *jointPiece) bool { return r.Zone(a.i).ID < r.Zone(b.i).ID }

// endAtEnd compares two ends that meet in plan.
func (r *run) endAtEnd(a, b *jointPiece, t, f *jointEnd) (ok bool, cs []complaint) {
	if r.byID(b, a) {
		a, b, t, f = b, a, f, t // what looks the same from either is told from the one whose id comes first, not from the row that does
	}
	by := out(t.At.Z, t.h, f.At.Z, f.h)
	if r.storeysApart(a, b, by) {
		return false, nil
	}
	t.near, f.near = true, true
	if a.gravity && b.gravity && by > void.Hair {
		switch flow := flowOf(a, b, t, f); {
		case flow == 0 && a.falls() && b.falls():
		case flow < 0:
			a, b, t, f = b, a, f, t
			fallthrough
		case flow > 0:
			if step := (f.At.Z - f.h) - (t.At.Z - t.h); step > limitStep {
				return false, []complaint{{kind: finding.StepUp, a: a.i, b: b.i, at: t, to: f.At, by: step}}
			}
		}
	}
	free := [2]*jointEnd{t, f}
	if by > r.jump(a) || by > r.jump(b) {
		return false, []complaint{{kind: finding.LevelJump, a: a.i, b: b.i, at: t, to: f.At, by: by, tips: free}}
	}
	if plan(t.Out).Dot(plan(f.Out)) < -measure.AlongEach {
		across := plan(t.Out).Ortho()
		if by := out(plan(t.At).Dot(across), t.w, plan(f.At).Dot(across), f.w); by > limitGap {
			return false, []complaint{{kind: finding.EndsApart, a: a.i, b: b.i, at: t, to: f.At, by: by, tips: free}}
		}
	}
	if a.gravity && b.gravity && a.falls() && b.falls() && flowOf(a, b, t, f) == 0 {
		// Both fall to where they meet, or both away from it: unless something else joins here, one falls against the flow.
		w, o, e, other := b, a, f, t // the one that is drawn against its fall, else the shorter
		if x, y := a.tips[0].low, b.tips[0].low; x && !y || x == y && measure.LengthOf(a.b) < measure.LengthOf(b.b) {
			w, o, e, other = a, b, t, f
		}
		return false, []complaint{{kind: finding.WrongWay, a: w.i, b: o.i, at: e, to: e.At, by: 2 * math.Abs(w.b.Along.Z), tips: [2]*jointEnd{e, other}}}
	}
	t.joined, f.joined = true, true
	return true, nil
}

// flowOf returns 1 where a drains into b at the ends t and f, -1 where b drains into a, 0 where neither is sure.
func flowOf(a, b *jointPiece, t, f *jointEnd) int {
	switch {
	case a.falls() && b.falls():
		if t.low == f.low {
			return 0
		}
		if t.low {
			return 1
		}
		return -1
	case a.falls() && t.low || b.falls() && !f.low:
		return 1
	case a.falls() || b.falls():
		return -1
	case t.From > 0 && f.From < 0: // level: as drawn
		return 1
	case t.From < 0 && f.From > 0:
		return -1
	}
	return 0
}

// atSide reports whether an end stops in plan at the side of another, and where on its axis (-1 to 1).
func atSide(t *jointEnd, o *jointPiece) (s float64, hit bool) {
	along := plan(o.b.Along)
	n := along.Norm()
	if n == 0 || math.Abs(plan(t.Out).Dot(along))/n > measure.AlongEach {
		return 0, false
	}
	d := plan(t.At).Sub(plan(o.b.Centre))
	s = d.Dot(along) / (n * n)
	aside := math.Abs(d.Cross(along)) / n
	return math.Max(-1, math.Min(1, s)), math.Abs(s)*n <= n+t.w+limitGap && aside <= o.b.W+limitGap
}

// endAtSide compares an end with the side of a piece at which it stops in plan.
func (r *run) endAtSide(a, o *jointPiece, t *jointEnd, s float64) (ok bool, cs []complaint) {
	on := o.b.Centre.Add(o.b.Along.Mul(s))
	h := o.tips[0].h
	by := out(t.At.Z, t.h, on.Z, h)
	clear := math.Abs(t.At.Z-on.Z) - t.h - h
	to := r3.Vector{X: t.At.X, Y: t.At.Y, Z: on.Z}
	if r.storeysApart(a, o, by) {
		return false, nil
	}
	t.near = true
	if a.gravity && o.gravity && (t.low || !a.falls()) {
		if under := (on.Z - h) - (t.At.Z - t.h); under > limitStep {
			return false, []complaint{{kind: finding.UnderInvert, a: a.i, b: o.i, at: t, to: to, by: under}}
		}
	}
	if clear > r.jump(a) {
		return false, []complaint{{kind: finding.LevelJump, a: a.i, b: o.i, at: t, to: to, by: by, tips: [2]*jointEnd{t, nil}}}
	}
	t.joined = true
	return true, nil
}

// atRiser compares a piece with an upright one that its end, or its length, meets in plan.
func (r *run) atRiser(a, u *jointPiece) (ok bool, cs []complaint) {
	foot, head := u.b.Height().Lo, u.b.Height().Hi
	at := func(t *jointEnd, z, h float64) {
		by := math.Max(0, math.Max(foot-(z+h), (z-h)-head))
		if r.storeysApart(a, u, by) {
			return
		}
		// The end of the riser that is nearer.
		e := &u.tips[0]
		if math.Abs(z-u.tips[1].At.Z) < math.Abs(z-e.At.Z) {
			e = &u.tips[1]
		}
		good := by <= r.jump(a)
		if good && math.Abs(z-e.At.Z) <= h+limitGap { // what comes to it further along leaves the end as it is
			e.near, e.joined = true, true
		}
		if t != nil {
			t.near, t.joined = true, t.joined || good
		}
		if ok = ok || good; !good {
			from := e
			if t != nil {
				from = t
			}
			to := r3.Vector{X: from.At.X, Y: from.At.Y, Z: e.At.Z}
			c := complaint{kind: finding.LevelJump, a: a.i, b: u.i, at: from, to: to, by: by, tips: [2]*jointEnd{from, e}}
			if t == nil {
				c.a, c.b, c.to, c.tips = u.i, a.i, r3.Vector{X: e.At.X, Y: e.At.Y, Z: z}, [2]*jointEnd{e, nil}
			}
			cs = append(cs, c)
		}
	}
	found := false
	for k := range a.tips {
		t := &a.tips[k]
		p := u.b
		if d := body.Gap(body.Cylinder(r3.Vector{X: t.At.X, Y: t.At.Y, Z: p.Centre.Z}, r3.Vector{X: t.At.X, Y: t.At.Y, Z: p.Centre.Z}, 0), p).MM; d <= limitGap {
			at(t, t.At.Z, t.h)
			found = true
		}
	}
	if !found && len(a.tips) > 0 && len(u.tips) > 0 {
		along := plan(a.b.Along)
		d := plan(u.b.Centre).Sub(plan(a.b.Centre))
		n := along.Norm()
		if s := d.Dot(along) / (n * n); n > 0 && math.Abs(s) <= 1 && math.Abs(d.Cross(along))/n <= a.b.W {
			at(nil, a.b.Centre.Z+s*a.b.Along.Z, a.tips[0].h)
		}
	}
	return ok, cs
}

// uprights reports whether two upright pieces join: the foot of the one stands on the head of the other, or on the floor
// over it, or they stand in or at each other.
func (r *run) uprights(a, b *jointPiece) (ok bool) {
	for k := range a.tips {
		for n := range b.tips {
			t, f := &a.tips[k], &b.tips[n]
			up, aside, facing := r.faceEachOther(t, f, a, b)
			if !facing || math.Abs(up) > limitGap {
				continue
			}
			if aside > limitGap {
				return false // one over the other, and beside it
			}
			t.near, t.joined, f.near, f.joined = true, true, true, true
			ok = true
		}
	}
	if ok || body.Gap(a.b, b.b).MM > limitGap {
		return ok
	}
	for _, w := range [2][2]*jointPiece{{a, b}, {b, a}} {
		for k := range w[0].tips {
			if t := &w[0].tips[k]; body.Gap(measure.Face(w[0].b, t.End), w[1].b).MM <= limitGap {
				t.near, t.joined = true, true
			}
		}
	}
	return true
}

// faceEachOther reports whether of two ends of uprights the one looks up and the other down, how far the foot is over the
// head, 0 where no more than a floor is between them, and how far the smaller section stands out of the larger in plan.
func (r *run) faceEachOther(t, f *jointEnd, a, b *jointPiece) (up, aside float64, ok bool) {
	if t.Out.Z*f.Out.Z >= 0 {
		return 0, 0, false
	}
	if t.Out.Z < 0 {
		t, f, a, b = f, t, b, a
	}
	up = f.At.Z - t.At.Z
	if -up >= math.Min(a.b.Height().Length(), b.b.Height().Length())/2 {
		return 0, 0, false // they stand beside each other
	}
	if up > limitGap && r.floorBetween(t.At.Z, f.At.Z, a, b) {
		up = 0
	}
	return up, standsOut(a.b, b.b), true
}

// standsOut is by how much the smaller section of two uprights stands out of the larger in plan, mm.
func standsOut(a, b body.Body) float64 {
	d := plan(b.Centre).Sub(plan(a.Centre))
	along := r2.Point{X: 1}
	switch {
	case !a.Round:
		along = plan(a.Along).Normalize()
	case !b.Round:
		along = plan(b.Along).Normalize()
	case d.Norm() > 0:
		along = d.Normalize()
	}
	by := func(n r2.Point) float64 {
		v := r3.Vector{X: n.X, Y: n.Y}
		ra, rb := a.Reach(v), b.Reach(v)
		return out(ra.Center(), ra.Length()/2, rb.Center(), rb.Length()/2)
	}
	if a.Round && b.Round {
		return by(along)
	}
	return math.Hypot(by(along), by(along.Ortho()))
}

// floorBetween reports whether no more than a floor is between two levels, the head of the lower upright a and the foot of
// the upper b: risers are drawn storey by storey, from the floor to the soffit. The soffit is that of a bay there; where
// none is said (in a shaft) nobody knows how thick the floor is, and what stands on it is taken to come through it. A slab
// that is drawn is a floor, too.
func (r *run) floorBetween(lo, hi float64, a, b *jointPiece) bool {
	at := plan(a.b.Centre)
	floor, under := math.Inf(1), math.Inf(-1) // the first FFL at or over hi, and the last below that
	for s := range r.Project.Storeys {
		if ffl := r.Project.Storeys[s].FFL; ffl >= hi-limitGap {
			floor = math.Min(floor, ffl)
		}
	}
	for s := range r.Project.Storeys {
		if ffl := r.Project.Storeys[s].FFL; ffl < floor {
			under = math.Max(under, ffl)
		}
	}
	soffit := math.Inf(1) // of that floor, where a bay says it
	for _, i := range [2]int32{a.i, b.i} {
		if k, ok := r.BayAt(int(r.Zone(i).Storey), at); ok {
			if s := r.Project.Bays[k].Soffit; s > under && s < floor {
				soffit = math.Min(soffit, s)
			}
		}
	}
	switch {
	case math.IsInf(floor, 1): // over the last storey
	case !math.IsInf(soffit, 1):
		if lo >= soffit-limitGap {
			return true
		}
	case hi >= floor-limitGap:
		return true
	}
	line := body.Cylinder(r3.Vector{X: at.X, Y: at.Y, Z: lo}, r3.Vector{X: at.X, Y: at.Y, Z: hi}, 0)
	return r.Some(scene.BoxOf(line), 0, func(x int32) bool {
		if r.Char(x).Kind != "slab" || body.Gap(line, r.Full(x)).MM > 0 {
			return false
		}
		h := r.Full(x).Height()
		return lo >= h.Lo-limitGap && hi <= h.Hi+limitGap
	})
}

// sideAhead is that an end points at the side of a piece and stops before it.
type sideAhead struct {
	t     *jointEnd
	a, o  *jointPiece // whose end it is, and whose side
	short float64     // mm
	to    r3.Vector   // where it would come to the side
}

// sidesAhead adds to list the ends of a that stop short of the side of o: by more than a gap that is left to a joint, and
// no further than anybody can know that they were to reach it.
func (r *run) sidesAhead(list []sideAhead, a, o *jointPiece) []sideAhead {
	if a.upright {
		return list
	}
	for k := range a.tips {
		t := &a.tips[k]
		z, ok := r.pointsAt(t, a, o)
		if !ok {
			continue
		}
		// How far the whole end has to go on, level, until it is at the side.
		u := plan(t.Out).Normalize()
		plate := measure.Face(a.b, t.End)
		plate.Centre.Z = z
		way, ok := body.Span(plate, o.b, r3.Vector{X: u.X, Y: u.Y})
		if ok && way.Lo > limitGap && way.Lo <= limitCorner {
			list = append(list, sideAhead{t, a, o, way.Lo, t.At.Add(r3.Vector{X: u.X * way.Lo, Y: u.Y * way.Lo})})
		}
	}
	return list
}

// pointsAt reports whether the axis of an end goes on into the side of a piece, at a level at which the two sections meet
// but for a jump that the piece takes; z is the level at which the side is met.
func (r *run) pointsAt(t *jointEnd, a, o *jointPiece) (z float64, ok bool) {
	u := plan(t.Out).Normalize()
	d := plan(o.b.Centre).Sub(plan(t.At))
	if o.upright {
		across := u.Ortho()
		reach := o.b.Reach(r3.Vector{X: across.X, Y: across.Y})
		aside := out(plan(t.At).Dot(across), t.w, reach.Center(), reach.Length()/2)
		h := o.b.Height()
		z = math.Max(h.Lo, math.Min(h.Hi, t.At.Z))
		return z, d.Dot(u) > 0 && aside <= limitGap && math.Abs(t.At.Z-z)-t.h <= r.jump(a)
	}
	along := plan(o.b.Along)
	n := along.Norm()
	if n == 0 || math.Abs(u.Dot(along))/n > measure.AlongEach {
		return 0, false
	}
	c := u.Cross(along)
	ahead, s := d.Cross(along)/c, -u.Cross(d)/c // along u from the end, along the piece from its middle (-1 to 1)
	z = o.b.Centre.Z + s*o.b.Along.Z
	return z, ahead > 0 && math.Abs(s) <= 1 && math.Abs(t.At.Z-z)-t.h-o.tips[0].h <= r.jump(a)
}

// apart complains of free ends that look at each other, or at a side, and lie apart.
func (r *run) apart(free []*jointEnd, sides []sideAhead, of map[*jointEnd]*jointPiece, mates func(a, b *jointPiece) bool) (cs []complaint) {
	slices.SortStableFunc(free, func(t, f *jointEnd) int { return cmp.Compare(t.At.X, f.At.X) })
	best := map[*jointEnd]*jointEnd{}
	dist := map[*jointEnd]float64{}
	for n, t := range free {
		for _, f := range free[n+1:] {
			if f.At.X > t.At.X+limitStraight {
				break
			}
			if of[t] == of[f] || !mates(of[t], of[f]) {
				continue
			}
			d, ok := r.looks(t, f, of[t], of[f])
			if !ok {
				continue
			}
			for _, w := range [2][2]*jointEnd{{t, f}, {f, t}} {
				if old, had := dist[w[0]]; !had || d < old-void.Hair {
					best[w[0]], dist[w[0]] = w[1], d
				}
			}
		}
	}
	side := map[*jointEnd]*sideAhead{}
	for n := range sides {
		s := &sides[n]
		if old, had := dist[s.t]; of[s.t] != nil && (!had || s.short < old-void.Hair) {
			best[s.t], side[s.t], dist[s.t] = nil, s, s.short
		}
	}
	for _, t := range free {
		if s := side[t]; s != nil {
			cs = append(cs, complaint{kind: finding.EndsApart, a: s.a.i, b: s.o.i, at: t, to: s.to, by: s.short, side: true, tips: [2]*jointEnd{t, nil}})
			continue
		}
		f := best[t]
		if f == nil || best[f] != t || r.byID(of[f], of[t]) {
			continue
		}
		cs = append(cs, complaint{kind: finding.EndsApart, a: of[t].i, b: of[f].i, at: t, to: f.At, by: dist[t], tips: [2]*jointEnd{t, f}})
	}
	return cs
}

// looks reports whether two ends of a and b look at each other, and how far apart they are: in one line, or where their
// axes meet ahead of both; of uprights one over the other, with no more between them than goes for ends round a corner where
// they stand apart in plan.
func (r *run) looks(t, f *jointEnd, a, b *jointPiece) (float64, bool) {
	d := plan(f.At).Sub(plan(t.At))
	if a.upright && b.upright {
		up, aside, ok := r.faceEachOther(t, f, a, b)
		switch {
		case !ok || up < -limitGap:
			return 0, false
		case aside <= limitGap:
			return up, up > limitGap && up <= limitStraight
		case up <= limitGap:
			up = 0
		}
		return math.Hypot(up, d.Norm()), aside <= limitCorner && (up <= limitCorner || up <= limitStraight && aside <= math.Max(t.w, f.w))
	}
	if a.upright || b.upright {
		return 0, false
	}
	u, v := plan(t.Out), plan(f.Out)
	if math.Abs(t.At.Z-f.At.Z) > t.h+f.h+limitCorner {
		return 0, false
	}
	if turn := u.Dot(v); turn < -measure.AlongEach {
		ahead, aside := d.Dot(u), math.Abs(d.Cross(u))
		return d.Norm(), ahead > limitGap && ahead <= limitStraight && aside <= t.w+f.w
	} else if turn > 0.5 {
		return 0, false
	}
	c := u.Cross(v)
	ahead, back := d.Cross(v)/c, d.Cross(u)/c // along u from t, along v from f
	return d.Norm(), ahead >= -f.w && back >= -t.w && math.Max(ahead, back) <= limitCorner
}

// nowhereNear complains of what joins names and is not there.
func (r *run) nowhereNear(a, b *jointPiece) (c complaint, ok bool) {
	if r.byID(b, a) { // each may name the other
		a, b = b, a
	}
	A, B := r.Full(a.i), r.Full(b.i)
	if body.Gap(A, B).MM <= measure.MeetJoins {
		return c, false
	}
	pa, pb := A.Plan(), B.Plan()
	aside := math.Hypot(math.Max(0, math.Max(pa.X.Lo-pb.X.Hi, pb.X.Lo-pa.X.Hi)), math.Max(0, math.Max(pa.Y.Lo-pb.Y.Hi, pb.Y.Lo-pa.Y.Hi)))
	m := body.Gap(A, B)
	c = complaint{kind: finding.EndsApart, a: a.i, b: b.i, at: &jointEnd{End: measure.End{At: m.A}}, to: m.B, by: m.MM}
	if aside <= limitGap {
		c.kind = finding.LevelJump
	}
	return c, true
}

// tellJoints notes the complaints that count, one for two pieces.
func (r *run) tellJoints(out *book.Book, first int32, cs []complaint, joined map[[2]int32]bool) {
	flows := func(c *complaint) bool { return c.kind == finding.StepUp || c.kind == finding.UnderInvert }
	told := map[[2]int32]*complaint{}
	var order [][2]int32
	for k := range cs {
		c := &cs[k]
		p := [2]int32{min(c.a, c.b), max(c.a, c.b)}
		if !flows(c) && (joined[p] || r.elsewhere(c)) {
			continue
		}
		old := told[p]
		if old == nil {
			order = append(order, p)
		}
		if old == nil || flows(c) && !flows(old) || flows(c) == flows(old) && c.by < old.by {
			told[p] = c
		}
	}
	for _, p := range order {
		c := told[p]
		out.Joints = append(out.Joints, book.Joint{A: c.a, B: c.b, Run: r.runKey(first), Joint: r.jointIn(c)})
	}
}

// elsewhere reports whether an end of a complaint joins something else, or what lies between says why there is a gap.
func (r *run) elsewhere(c *complaint) bool {
	for k, t := range c.tips {
		if t == nil {
			continue
		}
		if t.joined {
			return true
		}
		i, o := c.a, c.b
		if k == 1 {
			i, o = o, i
		}
		mine := r.Full(i)
		// The end is given by its place: its plate is that of the body whose end is there.
		plate := measure.Face(mine, t.End)
		taken := false
		r.Near(scene.BoxOf(plate), limitItem, func(x int32) {
			if taken || x == i || x == o || r.Structure(x) {
				return
			}
			reach := limitGap
			if z := r.Zone(x); z.ByHeight {
				return
			} else if r.Blob(x) && !z.Upright {
				reach = limitItem
			}
			why := r.Belong(i, x)
			if why == measure.NoTie || why == measure.SameRun && c.kind != finding.EndsApart && reach == limitGap {
				return
			}
			if reach == limitItem {
				taken = body.Gap(plate, r.Full(x)).MM <= reach
			} else {
				_, taken = measure.Inside(t.End, mine, r.Full(x), reach, false)
			}
		})
		if taken {
			return true
		}
	}
	if c.kind == finding.EndsApart && r.Char(c.a).Entry.Containment {
		// Containment stops at a wall that stops fire.
		line := body.Cylinder(c.at.At, c.to, 0)
		wall := false
		r.Near(scene.BoxOf(line), 0, func(x int32) { wall = wall || measure.IsWall(r.Char(x).Kind) && body.Gap(line, r.Full(x)).MM == 0 })
		return wall
	}
	return false
}

// jointIn is a complaint in words.
func (r *run) jointIn(c *complaint) finding.Joint {
	za, zb := r.Zone(c.a), r.Zone(c.b)
	by := figure.Tenth(c.by)
	mid := c.at.At.Add(c.to).Mul(0.5)
	d := c.to.Sub(c.at.At)
	j := finding.Joint{
		Kind: c.kind, A: za.ID, B: zb.ID, ATrade: r.Char(c.a).Trade, BTrade: r.Char(c.b).Trade, Run: za.Run(),
		Rows: []string{r.Project.FileLine(za.At()), r.Project.FileLine(zb.At())}, Storey: r.Project.Storeys[za.Storey].Name,
		At: r.spotAt(int(za.Storey), mid), By: by, DX: figure.Tenth(d.X), DY: figure.Tenth(d.Y), DZ: figure.Tenth(d.Z),
	}
	j.At.Round()
	for _, i := range [2]int32{c.a, c.b} {
		if k, ok := r.BayAt(int(r.Zone(i).Storey), plan(mid)); ok && j.Bay == nil {
			label := r.Project.Bays[k].Label
			j.Bay = &label
		}
	}
	mm := figure.Up(by)
	switch c.kind {
	case finding.StepUp:
		j.Note = fmt.Sprintf("%s drains into %s, whose invert is %s higher there", j.A, j.B, mm)
	case finding.WrongWay:
		j.Note = fmt.Sprintf("%s falls %s against the flow of %s", j.A, mm, j.B)
	case finding.UnderInvert:
		j.Note = fmt.Sprintf("%s enters %s under the invert of %s", j.A, mm, j.B)
	case finding.LevelJump:
		way := "above"
		if d.Z < 0 {
			way = "below"
		}
		j.Note = fmt.Sprintf("%s is %s %s %s, and no riser is drawn between them", j.B, mm, way, j.A)
	case finding.EndsApart:
		j.Note = fmt.Sprintf("%s lie between %s and %s", mm, j.A, j.B)
		if c.side {
			j.Note = fmt.Sprintf("%s stops %s short of the side of %s", j.A, mm, j.B)
		}
	}
	return j
}

// jointsTold are the joints that pass the filters, in order.
func (r *run) jointsTold() []finding.Joint {
	out := []finding.Joint{}
	if len(r.opt.Only) > 0 {
		return out
	}
	for i := range r.kept.Joints {
		if j := r.kept.Joints[i].Joint; r.wantsAt(j.Bay, j.ATrade, j.BTrade) {
			out = append(out, j)
		}
	}
	bay := func(b *string) string {
		if b == nil {
			return "\xff" // outside every bay: last
		}
		return *b
	}
	slices.SortFunc(out, func(a, b finding.Joint) int {
		return cmp.Or(void.Natural(a.Storey, b.Storey), void.Natural(bay(a.Bay), bay(b.Bay)), void.Natural(a.A, b.A), void.Natural(a.B, b.B), strings.Compare(string(a.Kind), string(b.Kind)), cmp.Compare(a.At.X, b.At.X), cmp.Compare(a.At.Y, b.At.Y))
	})
	return slices.CompactFunc(out, func(a, b finding.Joint) bool { return a.A == b.A && a.B == b.B && a.Kind == b.Kind && a.At == b.At })
}
