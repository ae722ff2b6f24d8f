package void

import (
	"fmt"
	"math"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"

	"voidline/void/body"
	"voidline/void/cell"
)

// resolving resolves some zones. Several of them may go on at once: they write into their own zones alone, and
// what they tell is put together in the order of the zones.
type resolving struct {
	p        *Project
	zone     int32 // the zone at hand, and its row
	at       At
	problems []Problem // bounded by tallies: the rows are missing for good
	tallies  tallies
	astray   []int32 // zones that say a bay in which their place is not
	dropped  []int32 // zones with problems
	later    []int32 // zones that hang on the steel
	beams    []int32
	joining  []int32 // zones that name others
	framed   []int32 // zones that name a frame
	scratch  [64]int32
	found    []int32
	mores    []more
	ints     []int32
}

// resolveZones gives every zone its place, its levels and its bays. Zones that hang on the steel come after the
// beams are known.
func (p *Project) resolveZones() {
	p.resolveAlikes()
	p.resolveGridded()
	p.surveyZones()
	n := p.zones.n
	first := p.inBlocks(n, func(r *resolving, i int) {
		z := p.Zone(i)
		if z.Gone {
			return
		}
		if z.more != nil && z.more.rare != nil && len(z.more.rare.joins) > 0 {
			r.joining = append(r.joining, int32(i))
		}
		if z.more != nil && z.more.rare != nil && z.more.rare.frame != 0 {
			r.framed = append(r.framed, int32(i))
		}
		beam := p.characters[z.Char].Entry.Beam
		switch {
		case z.steel && !beam:
			r.later = append(r.later, int32(i))
		case !r.resolve(int32(i), z):
			r.dropped = append(r.dropped, int32(i))
		case beam:
			r.beams = append(r.beams, int32(i))
		}
	})
	p.layBeams(first.beams)
	p.surveySteel(first)
	second := p.inBlocks(len(first.later), func(r *resolving, k int) {
		i := first.later[k]
		if !r.resolve(i, p.Zone(int(i))) {
			r.dropped = append(r.dropped, i)
		}
	})
	tiers := &resolving{p: p}
	tiers.tiers(first.framed, append(slices.Clone(first.dropped), second.dropped...))
	p.tellAll(first)
	p.tellAll(second)
	p.tellAll(tiers)
	if dropped := slices.Concat(first.dropped, second.dropped, tiers.dropped); len(dropped) > 0 {
		p.by = teller{} // whatever else changes, they stay missing
		p.miss(len(dropped))
		p.zonesMissing = true
		p.compact(dropped)
		first.joining = first.joining[:0]
		for i := range p.zones.n {
			if z := p.Zone(i); !z.Gone && len(z.Joins()) > 0 {
				first.joining = append(first.joining, int32(i))
			}
		}
	}
	for _, i := range first.joining {
		p.tellJoins(i)
	}
}

// tellJoins warns of the ids that a zone joins where no zone has them.
func (p *Project) tellJoins(i int32) {
	z := p.Zone(int(i))
	for _, j := range z.Joins() {
		if _, ok := p.ids.find(&p.zones, j); !ok {
			p.addWarning(p.say(z.At(), "joins", fmt.Sprintf("no zone %q", j), "ids of zones", ""), teller{byJoin, i})
		}
	}
}

// layBeams puts the beams into tiles by storey.
func (p *Project) layBeams(beams []int32) {
	byStorey := make([][]int32, len(p.Storeys))
	for _, i := range beams {
		s := p.Zone(int(i)).Storey
		byStorey[s] = append(byStorey[s], i)
	}
	p.beamTiles, p.framedRows = make([]tiles, len(p.Storeys)), nil
	for s := range byStorey {
		p.beamTiles[s] = lay(byStorey[s], func(i int32) r2.Rect { return p.Zone(int(i)).Bare().Plan() })
	}
}

// tellAll takes over what was told of zones.
func (p *Project) tellAll(r *resolving) {
	for _, pr := range r.problems {
		p.addProblem(pr, teller{})
	}
	for _, i := range r.astray {
		p.tellAstray(i)
	}
}

// tellAstray warns that a zone is not in the bay that it says.
func (p *Project) tellAstray(i int32) {
	z := p.Zone(int(i))
	what := fmt.Sprintf("the row says bay %q, but its place is not in it", p.word(z.bay))
	p.addWarning(p.say(z.At(), "bay", what, "", "its place counts"), teller{byZone, i})
}

// resolveBlock is how many zones are resolved at a time by one goroutine.
const resolveBlock = 4 * zoneBlock

// inBlocks calls each for 0, 1, … n-1, from several goroutines where n is large, and gathers what they tell in
// order.
func (p *Project) inBlocks(n int, each func(r *resolving, i int)) *resolving {
	blocks := make([]*resolving, (n+resolveBlock-1)/resolveBlock)
	workers := min(runtime.GOMAXPROCS(0), len(blocks))
	var next atomic.Int64
	work := func() {
		for {
			b := int(next.Add(1)) - 1
			if b >= len(blocks) {
				return
			}
			r := &resolving{p: p}
			for i := b * resolveBlock; i < min(n, (b+1)*resolveBlock); i++ {
				each(r, i)
			}
			blocks[b] = r
		}
	}
	var wg sync.WaitGroup
	for range workers - 1 {
		wg.Go(work)
	}
	work()
	wg.Wait()
	all := &resolving{p: p}
	for _, r := range blocks {
		for _, pr := range r.problems {
			all.told(pr)
		}
		all.astray = append(all.astray, r.astray...)
		all.dropped = append(all.dropped, r.dropped...)
		all.later = append(all.later, r.later...)
		all.beams = append(all.beams, r.beams...)
		all.joining = append(all.joining, r.joining...)
		all.framed = append(all.framed, r.framed...)
	}
	return all
}

// compact takes dropped zones out of the list, keeping the order of the rest.
func (p *Project) compact(dropped []int32) {
	slices.Sort(dropped)
	k := int(dropped[0])
	next := 0
	var beams []int32
	for i := k; i < p.zones.n; i++ {
		if next < len(dropped) && int(dropped[next]) == i {
			next++
			continue
		}
		*p.zones.at(k) = *p.zones.at(i)
		k++
	}
	p.zones.cut(k)
	p.renumber(dropped)
	p.ids.renew(&p.zones)
	for i := range k {
		if z := p.Zone(i); !z.Gone && p.characters[z.Char].Entry.Beam {
			beams = append(beams, int32(i))
		}
	}
	p.layBeams(beams)
}

func (r *resolving) bad(column, what, want, hint string) {
	if what != leans {
		r.told(r.p.say(r.at, column, what, want, hint))
	}
}

func (r *resolving) told(pr Problem) {
	if r.tallies == nil {
		r.tallies = tallies{}
	}
	r.problems = r.tallies.add(r.problems, pr)
}

func (r *resolving) trouble(column string, why trouble) {
	if why.what != leans {
		r.told(r.p.sayTrouble(r.at, column, why))
	}
}

// resolve gives zone i its plan, its bays and its levels; false where it cannot be, which is a problem or comes
// of one.
func (r *resolving) resolve(i int32, z *Zone) bool {
	p := r.p
	r.zone, r.at = i, z.At()
	if z.steel && p.characters[z.Char].Entry.Beam {
		r.bad("level", fmt.Sprintf("the level of beam %q hangs on the beams over it", z.ID), "a beam's level from FFL, SSL or the soffit", "")
		return false
	}
	if len(z.unfound) > 0 {
		for i := range z.unfound {
			r.trouble(z.unfound[i].column, z.unfound[i].trouble)
		}
		return false
	}
	if !r.place(z) {
		return false
	}
	var flat body.Body
	z.flat(&flat)
	r.enter(z, &flat)
	if z.Bay >= 0 && !z.ByHeight && !slices.Contains(z.Bays(), z.Bay) {
		r.astray = append(r.astray, r.zone)
	}
	low, why := p.level(z, &flat, cell.Height{Ref: z.lowRef, MM: z.low})
	if why.what != "" {
		r.trouble("level", why)
		return false
	}
	high := low
	if z.Upright {
		if high, why = p.level(z, &flat, cell.Height{Ref: z.highRef, MM: z.more.high}); why.what != "" {
			r.trouble("level", why)
			return false
		}
		if high-low <= Hair {
			r.bad("level", fmt.Sprintf("the range ends %.1f below its start", low-high), "a range from the lower to the upper level", "")
			return false
		}
		z.end = high
	}
	if math.Abs(low) > maxLevel || math.Abs(high) > maxLevel {
		r.bad("level", "more than 2 km from the project datum", "a level within 2 km", "")
		return false
	}
	z.at = low
	r.find(z)
	if z.Upright && len(p.Storeys) > 1 {
		r.rise(z)
	}
	if z.end != 0 || math.Abs(low) > maxLevel/2 {
		if h := z.Bare().Height(); math.Abs(h.Lo) > maxLevel || math.Abs(h.Hi) > maxLevel {
			r.bad("fall", "it falls to more than 2 km from the project datum", "a level within 2 km", "")
			return false
		}
	}
	return true
}

// place works out the plan.
func (r *resolving) place(z *Zone) bool {
	if z.ByHeight {
		b := &r.p.Bays[z.Bay]
		c := b.Plan.Center()
		z.x1, z.y1, z.x2, z.y2 = c.X, c.Y, b.Plan.X.Length()/2, b.Plan.Y.Length()/2
		return true
	}
	x1, y1, x2, y2 := z.ends()
	if z.Item {
		x2, y2 = x1, y1
	}
	if !(math.Abs(x1) <= maxPlan && math.Abs(y1) <= maxPlan && math.Abs(x2) <= maxPlan && math.Abs(y2) <= maxPlan) ||
		z.grid != 0 && !r.p.gridded[z.grid].found {
		return r.misplaced(z)
	}
	if z.Item {
		return true
	}
	switch n := z.length(); {
	case n <= Hair:
		r.bad("x2", "the length is zero", "an end apart from the start, or blank for an item", "")
		return false
	case n > 2e5+Hair:
		r.bad("x2", fmt.Sprintf("%.0f m is longer than anything in a building", n/1000), "a length of at most 200 m", "")
		return false
	}
	return true
}

// misplaced says which places cannot be, and why.
func (r *resolving) misplaced(z *Zone) bool {
	row := r.p.written(z)
	for k, c := range [...]struct {
		column string
		cell.Place
	}{{"x1", row.X1}, {"y1", row.Y1}, {"x2", row.X2}, {"y2", row.Y2}} {
		if z.Item && k > 1 {
			break
		}
		if _, why := r.p.place(c.Place, k%2); why.what != "" {
			r.trouble(c.column, why)
		}
	}
	return false
}

// enter finds the bays whose inside the zone's bare plan enters.
func (r *resolving) enter(z *Zone, b *body.Body) {
	in := r.found[:0]
	if z.ByHeight {
		in = append(in, z.Bay)
	} else {
		q := asking(b)
		for _, j := range r.p.bayTiles[z.Storey].near(q.box, r.scratch[:0]) {
			if q.enters(&r.p.Bays[j]) {
				in = append(in, j)
			}
		}
	}
	r.keep(z, in)
}

// rise adds the bays of other storeys that an upright zone stands through.
func (r *resolving) rise(z *Zone) {
	p := r.p
	b := z.Bare()
	h, q := b.Height(), asking(&b)
	in := append(r.found[:0], z.Bays()...)
	had := len(in)
	for s := range p.Storeys {
		if s == int(z.Storey) || h.Hi <= p.Storeys[s].FFL+Hair || h.Lo >= p.highest[s]-Hair {
			continue
		}
		for _, j := range p.bayTiles[s].near(q.box, r.scratch[:0]) {
			if b := &p.Bays[j]; h.Lo < b.Soffit-Hair && q.enters(b) {
				in = append(in, j)
			}
		}
	}
	if len(in) > had {
		slices.Sort(in)
		r.keep(z, in)
	}
}

// keep gives a zone the bays that it enters. The list is copied, and may be used again.
func (r *resolving) keep(z *Zone, in []int32) {
	r.found = in
	if z.more != nil {
		z.more.in = nil
	}
	z.in = [2]int32{-1, -1}
	if copy(z.in[:], in) == len(in) {
		return
	}
	z.in = [2]int32{-1, -1}
	if z.more == nil {
		if len(r.mores) == 0 {
			r.mores = make([]more, 64)
		}
		z.more, r.mores = &r.mores[0], r.mores[1:]
	}
	if len(r.ints) < len(in) {
		r.ints = make([]int32, max(512, len(in)))
	}
	z.more.in = r.ints[:len(in):len(in)]
	copy(z.more.in, in)
	r.ints = r.ints[len(in):]
}

// plan is a body of which it is asked which bays its plan enters.
type plan struct {
	b   *body.Body
	box r2.Rect
	// square: the box is its plan. inner: a part of its plan, empty where none is known. points are some of its points.
	square bool
	inner  r2.Rect
	points [3]r2.Point
}

func asking(b *body.Body) plan {
	q := plan{b: b, inner: r2.EmptyRect()}
	if b.Round {
		q.box = b.Plan()
	} else { // the same, quickly
		x, y := math.Abs(b.Along.X)+b.W*math.Abs(b.Across.X), math.Abs(b.Along.Y)+b.W*math.Abs(b.Across.Y)
		q.box = r2.Rect{X: r1.Interval{Lo: b.Centre.X - x, Hi: b.Centre.X + x}, Y: r1.Interval{Lo: b.Centre.Y - y, Hi: b.Centre.Y + y}}
	}
	level := b.Along.X == 0 || b.Along.Y == 0
	if q.square = level && (!b.Round || b.Along.Z == 0); q.square {
		return q
	}
	c, l := r2.Point{X: b.Centre.X, Y: b.Centre.Y}, r2.Point{X: b.Along.X, Y: b.Along.Y}
	q.points = [3]r2.Point{c, c.Sub(l), c.Add(l)}
	if b.Round && (b.Along.X == 0) != (b.Along.Y == 0) {
		// A falling pipe square to the axes covers at least the rectangle along its axis. Its plan reaches to the
		// ends of the box on its axis.
		x, y := math.Abs(b.Along.X), math.Abs(b.Along.Y)
		if x == 0 {
			x = b.W
			q.points[1], q.points[2] = r2.Point{X: c.X, Y: q.box.Y.Lo}, r2.Point{X: c.X, Y: q.box.Y.Hi}
		} else {
			y = b.W
			q.points[1], q.points[2] = r2.Point{X: q.box.X.Lo, Y: c.Y}, r2.Point{X: q.box.X.Hi, Y: c.Y}
		}
		q.inner = r2.RectFromCenterSize(c, r2.Point{X: 2 * x, Y: 2 * y})
	}
	return q
}

// enters reports whether the body's plan and the bay's plan share more than a hair.
func (q *plan) enters(bay *Bay) bool {
	if !sharing(&q.box, &bay.Plan) {
		return false
	}
	if q.square || sharing(&q.inner, &bay.Plan) {
		return true
	}
	// A point of the one that is so deep in the other keeps them from being parted by less. A little more than a hair, for
	// what is about a hair is for the exact measure to say.
	const deep = Hair + 1e-5
	for _, p := range q.points {
		if r := &bay.Plan; p.X-r.X.Lo > deep && r.X.Hi-p.X > deep && p.Y-r.Y.Lo > deep && r.Y.Hi-p.Y > deep {
			return true
		}
	}
	return body.PlanOverlap(*q.b, body.Upright(bay.Plan, q.b.Height())) > Hair
}

// sharing reports whether two rectangles share more than a hair both ways.
func sharing(a, b *r2.Rect) bool { return wide(&a.X, &b.X) && wide(&a.Y, &b.Y) }

func wide(a, b *r1.Interval) bool {
	lo, hi := a.Lo, a.Hi
	if b.Lo > lo {
		lo = b.Lo
	}
	if b.Hi < hi {
		hi = b.Hi
	}
	return hi-lo > Hair
}

// level returns a height of a zone's row above the project datum; the text says why not. plan is the zone's bare
// body, at any level.
func (p *Project) level(z *Zone, plan *body.Body, h cell.Height) (float64, trouble) {
	return p.levelAs(z, plan, h, false)
}

// levelAs is level, of the building as drawn where that is asked, whatever was found of it.
func (p *Project) levelAs(z *Zone, plan *body.Body, h cell.Height, asDrawn bool) (float64, trouble) {
	other := "a level from FFL, SSL or the datum"
	switch h.Ref {
	case cell.Ceiling, cell.BuildUp, cell.Soffit:
	case cell.Steel:
		return p.steelOver(z, *plan, h, asDrawn)
	default:
		return p.fixed(int(z.Storey), h)
	}
	if len(z.Bays()) == 0 {
		if p.broken["bays"] {
			return 0, trouble{what: leans}
		}
		return 0, trouble{what: fmt.Sprintf("%s: no bay holds this row", h.Ref), want: other}
	}
	var drawn, at float64 // as drawn, the same in all bays; as found, what leaves less room
	var first *Bay
	for _, j := range z.Bays() {
		b := &p.Bays[j]
		v, found := b.Drawn.Soffit, b.Soffit
		if h.Ref != cell.Soffit {
			if !b.HasCeiling {
				return 0, trouble{what: fmt.Sprintf("%s: bay %q has no ceiling", h.Ref, b.Name), want: other}
			}
			v, found = b.Drawn.Ceiling, b.Ceiling
			if h.Ref == cell.BuildUp {
				v, found = b.Drawn.Top, b.Top
			}
		}
		if asDrawn {
			found = v
		}
		switch {
		case first == nil:
			drawn, at, first = v, found, b
		case math.Abs(v-drawn) > 0.1+Hair:
			return 0, trouble{what: fmt.Sprintf("%s differs by %.1f between bay %q and bay %q", h.Ref, math.Abs(v-drawn), first.Name, b.Name), want: "a level that is the same over the whole row", hint: "split the row where the level differs"}
		case found == v && at == drawn: // not surveyed: the first counts
		case h.Ref == cell.Soffit:
			at = math.Min(at, found)
		default:
			at = math.Max(at, found)
		}
	}
	return at + h.MM, trouble{}
}

// steelOver returns the underside of the lowest beam over the zone's own plan.
func (p *Project) steelOver(z *Zone, plan body.Body, h cell.Height, asDrawn bool) (float64, trouble) {
	lowest, found := math.Inf(1), false
	var scratch [16]int32
	plan.Along.Z = 0
	for _, j := range p.beamTiles[z.Storey].near(plan.Plan(), scratch[:0]) {
		if !p.isBeam(j, int(z.Storey)) {
			continue
		}
		b := p.Zone(int(j)).Bare()
		if asDrawn {
			b = p.drawnBare(p.Zone(int(j)))
		}
		if body.PlanOverlap(plan, b) > Hair {
			// The lowest of the beam over this row's plan: a falling beam counts where it is over it.
			under := b.Height().Lo
			if b.Along.Z != 0 {
				if s, ok := body.Span(plan, b, r3.Vector{Z: 1}); ok {
					under = s.Lo + plan.Height().Hi
				}
			}
			lowest, found = math.Min(lowest, under), true
		}
	}
	if !found {
		if p.zonesMissing {
			return 0, trouble{what: leans} // the beam may be among the rows that are missing
		}
		return 0, trouble{what: "steel: no beam lies over this row", want: "a level from FFL, SSL, the soffit or the datum"}
	}
	return lowest + h.MM, trouble{}
}

// isBeam reports whether a zone that stands in the beam tiles of a storey is a beam in it: one that was edited may
// stand there still.
func (p *Project) isBeam(zone int32, storey int) bool {
	z := p.Zone(int(zone))
	return !z.Gone && int(z.Storey) == storey && p.characters[z.Char].Entry.Beam
}
