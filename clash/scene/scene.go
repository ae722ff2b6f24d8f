package scene

import (
	"math"
	"runtime"
	"slices"
	"strings"
	"sync"
	"sync/atomic"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"

	"voidline/clash/rules"
	"voidline/void"
	"voidline/void/body"
	"voidline/void/vocabulary"
)

// Column is a box as high as the building.
func Column(b Box) Box {
	b.Lo[2], b.Hi[2] = math.Inf(-1), math.Inf(1)
	return b
}

// Holds reports whether a box lies in a by more than so much on all sides.
func (a *Box) Holds(b *Box, by float64) bool {
	for k := range 3 {
		if a.Lo[k]+by >= b.Lo[k] || a.Hi[k]-by <= b.Hi[k] {
			return false
		}
	}
	return true
}

// Scene is what a check looks at: a project, and of each of its zones the box and the trait, found again by place. It is looked at
// once and then read by all; after an edit the zones that changed are looked at again.
type Scene struct {
	Project *void.Project
	Set     *rules.Set
	Workers int // goroutines that work at once

	OpeningsIn  map[int32][]int32 // zone -> openings
	SoffitHole  map[int32][]int32 // bay -> openings in its soffit
	CeilingHole map[int32][]int32 // bay -> openings in its ceiling
	Boxes       []Box
	TraitAt     []int32  // by zone
	CharAt      []int32  // by zone, -1 for a slot that holds none
	Occupied    []uint32 // by bay: not 0 where a zone lies in it
	entered     []int32  // bays that were entered by zones that were looked at again: no other lay in them
	Hung        []bool   // by zone: something hangs under it
	Grid        *Grid    // nil until something is searched
	strays      []int32  // zones that have moved since the grid was laid
	stray       map[int32]place

	Roomy []bool // by character: its kind is usually in the room, under the ceiling

	runMu sync.Mutex
	Runs  map[string][]int32 // the rows of each named run, ascending, by its name without case; nil until it is asked for

	Spaces []Box // by access space: round the room that it wants
}

// Box is a bounding box.
type Box struct {
	Lo, Hi [3]float64
}

// Nowhere is the box of no zone: it is infinitely far from every other.
var Nowhere = Box{
	[3]float64{math.Inf(1), math.Inf(1), math.Inf(1)},
	[3]float64{math.Inf(-1), math.Inf(-1), math.Inf(-1)},
}

func BoxOf(b body.Body) Box {
	p, h := b.Plan(), b.Height()
	return Box{[3]float64{p.X.Lo, p.Y.Lo, h.Lo}, [3]float64{p.X.Hi, p.Y.Hi, h.Hi}}
}

// Over returns the box over a plan, from one level to another.
func Over(plan r2.Rect, lo, hi float64) Box {
	return Box{[3]float64{plan.X.Lo, plan.Y.Lo, lo}, [3]float64{plan.X.Hi, plan.Y.Hi, hi}}
}

// Within returns the box between two corners, the least and the most.
func Within(lo, hi r3.Vector) Box {
	return Box{[3]float64{lo.X, lo.Y, lo.Z}, [3]float64{hi.X, hi.Y, hi.Z}}
}

// Apart returns the largest distance between the two boxes along an axis, negative where they overlap on
// all three.
func (a *Box) Apart(b *Box) float64 {
	d := max(a.Lo[0]-b.Hi[0], b.Lo[0]-a.Hi[0])
	d = max(d, a.Lo[1]-b.Hi[1], b.Lo[1]-a.Hi[1])
	return max(d, a.Lo[2]-b.Hi[2], b.Lo[2]-a.Hi[2])
}

// Of returns the scene of a project, to be looked at with so many goroutines at once; 0 is one a processor. Its rules must be set
// before it is looked at.
func Of(p *void.Project, workers int) *Scene {
	if workers == 0 {
		workers = runtime.GOMAXPROCS(0)
	}
	return &Scene{Project: p, Workers: workers}
}

// Look takes in the whole project as it now is.
func (s *Scene) Look() {
	p := s.Project
	n := p.Zones()
	s.Boxes, s.TraitAt, s.CharAt = make([]Box, n), make([]int32, n), make([]int32, n)
	s.Hung = make([]bool, n)
	s.Occupied = make([]uint32, len(p.Bays))
	s.Grid, s.strays, s.stray = nil, nil, nil
	s.Runs = nil
	s.Roomy = nil
	s.Set.Forget()
	s.Characters()
	s.Blocks(n, 1<<12, func(from, to int) {
		for i := from; i < to; i++ {
			s.lookAt(int32(i))
		}
	})
	s.Openings()
	s.LookAtSpaces()
}

// LookAtSpaces takes in the boxes of access spaces as they now are.
func (s *Scene) LookAtSpaces() {
	s.Spaces = s.Spaces[:0]
	for k := range s.Project.Spaces {
		s.Spaces = append(s.Spaces, BoxOf(s.Project.Spaces[k].Body))
	}
}

// Blocks calls each for stretches of size of 0 to n, from several goroutines at once.
func (s *Scene) Blocks(n, size int, each func(from, to int)) {
	var next atomic.Int64
	var wg sync.WaitGroup
	for range min(s.Workers, (n+size-1)/size) {
		wg.Go(func() {
			for {
				from := int(next.Add(1)-1) * size
				if from >= n {
					return
				}
				each(from, min(from+size, n))
			}
		})
	}
	wg.Wait()
}

// lookAt takes in the box and the trait of zone i as it now is.
func (s *Scene) lookAt(i int32) {
	z := s.Project.Zone(int(i))
	if z.Gone {
		s.Boxes[i], s.CharAt[i], s.TraitAt[i], s.Hung[i] = Nowhere, -1, 0, false
		return
	}
	if s.Project.Character(z.Char).Entry.Mark {
		s.Boxes[i], s.CharAt[i], s.TraitAt[i], s.Hung[i] = Nowhere, z.Char, s.Set.TraitOf[z.Char], false // no body
		return
	}
	s.Boxes[i] = BoxOf(z.Full())
	s.CharAt[i], s.TraitAt[i], s.Hung[i] = z.Char, s.Set.TraitOf[z.Char], s.Project.Under(z) > 0
	for _, j := range z.Bays() {
		if atomic.LoadUint32(&s.Occupied[j]) == 0 {
			atomic.StoreUint32(&s.Occupied[j], 1)
		}
	}
}

// Characters takes in characters that are new.
func (s *Scene) Characters() {
	s.Set.Learn(s.Project)
	for i := len(s.Roomy); i < s.Project.Characters(); i++ {
		s.Roomy = append(s.Roomy, vocabulary.UsuallyInRoom(s.Project.Character(int32(i)).Kind))
	}
}

// Openings sorts the openings by what they are in.
func (s *Scene) Openings() {
	p := s.Project
	s.OpeningsIn, s.SoffitHole, s.CeilingHole = map[int32][]int32{}, map[int32][]int32{}, map[int32][]int32{}
	for i := range p.Openings {
		o := &p.Openings[i]
		switch {
		case o.In >= 0:
			s.OpeningsIn[o.In] = append(s.OpeningsIn[o.In], int32(i))
		case o.Ceiling:
			s.CeilingHole[o.Bay] = append(s.CeilingHole[o.Bay], int32(i))
		default:
			s.SoffitHole[o.Bay] = append(s.SoffitHole[o.Bay], int32(i))
		}
	}
}

func (s *Scene) Zone(i int32) *void.Zone { return s.Project.Zone(int(i)) }

func (s *Scene) Char(i int32) *void.Character { return s.Project.Character(s.Zone(i).Char) }

func (s *Scene) Trait(i int32) int32 { return s.TraitAt[i] }

func (s *Scene) Structure(i int32) bool { return s.Set.Traits[s.TraitAt[i]].Built }

// Upright reports whether a zone is structure that stands through levels.
func (s *Scene) Upright(i int32) bool { return s.Structure(i) && s.Zone(i).Upright }

func (s *Scene) BayAt(storey int, at r2.Point) (int, bool) { return s.Project.BayAt(storey, at) }

func (s *Scene) IsMark(i int32) bool { return !s.Zone(i).Gone && s.Char(i).Entry.Mark }

// Lowest returns the level of the lowest point of a body over a bay's plan, +Inf where it is not over it. A level one
// counts with the whole height of its section, as in a stack.
func Lowest(b body.Body, bay *void.Bay) float64 {
	h := b.Height()
	if bay.Plan.Contains(b.Plan()) {
		return h.Lo
	}
	slab := body.Upright(bay.Plan, r1.Interval{Lo: h.Lo - 2, Hi: h.Lo - 1})
	s, ok := body.Span(b, slab, Up)
	switch {
	case !ok:
		return math.Inf(1)
	case Level(&b):
		return h.Lo
	}
	return h.Lo - 1 - s.Hi // it meets the slab's top when shifted by s.Hi
}

// Highest returns the level of the highest point of a body over a bay's plan, -Inf where it is not over it.
func Highest(b body.Body, bay *void.Bay) float64 {
	h := b.Height()
	if bay.Plan.Contains(b.Plan()) {
		return h.Hi
	}
	slab := body.Upright(bay.Plan, r1.Interval{Lo: h.Hi + 1, Hi: h.Hi + 2})
	s, ok := body.Span(b, slab, Up)
	switch {
	case !ok:
		return math.Inf(-1)
	case Level(&b):
		return h.Hi
	}
	return h.Hi + 1 - s.Lo
}

// Level reports whether a body does not fall: it lies level, or stands upright.
func Level(b *body.Body) bool { return b.Along.Z == 0 || b.Along.X == 0 && b.Along.Y == 0 }

// Full returns the body of a zone with joint, insulation and top.
func (s *Scene) Full(i int32) body.Body { return s.Project.Zone(int(i)).Full() }

// SameNamedRun reports whether two zones are of one named run.
func (s *Scene) SameNamedRun(i, j int32) bool {
	a := s.Zone(i).Run()
	return a != "" && strings.EqualFold(a, s.Zone(j).Run())
}

// InRuns reports whether the rows of runs, where they are known, have zone i among them if it is one and not if it is none.
func (s *Scene) InRuns(i int32) bool {
	z := s.Zone(i)
	rows := s.Runs[strings.ToLower(z.Run())]
	return slices.Contains(rows, i) == (!z.Gone && z.Run() != "" && !z.ByHeight)
}

// RowsOf returns the rows of the named run of zone i, or it alone. Rows that say no place are of none.
func (s *Scene) RowsOf(i int32) []int32 {
	z := s.Zone(i)
	if z.Run() == "" || z.ByHeight {
		return []int32{i}
	}
	s.runMu.Lock()
	defer s.runMu.Unlock()
	if s.Runs == nil {
		s.Runs = map[string][]int32{}
		for k := range int32(s.Project.Zones()) {
			if z := s.Zone(k); !z.Gone && z.Run() != "" && !z.ByHeight {
				key := strings.ToLower(z.Run())
				s.Runs[key] = append(s.Runs[key], k)
			}
		}
	}
	return s.Runs[strings.ToLower(z.Run())]
}

// Under returns the lowest level over a bay of zone i, were it the body f, with what hangs under it, and the body that is
// lowest.
func (s *Scene) Under(i int32, f body.Body, bay *void.Bay) (lo float64, low body.Body, hung bool) {
	lo = Lowest(f, bay)
	if hang, ok := s.Project.HangFrom(s.Zone(i), f); ok {
		// What hangs under a service may be wider or narrower than it: it counts in a bay where it is over that.
		if l := Lowest(hang, bay); l < lo {
			return l, hang, true
		}
	}
	return lo, f, false
}

// Put is a zone taken to be a body: its own, or one that it would have elsewhere.
type Put struct {
	Zone int32
	Full body.Body // with joint, insulation and top
	Box  Box
}

// Put returns a zone where it would be the body.
func (s *Scene) Put(i int32, full body.Body) Put { return Put{i, full, BoxOf(full)} }

// Drawn returns a zone as it is.
func (s *Scene) Drawn(i int32) Put { return Put{i, s.Full(i), s.Boxes[i]} }

var Up = r3.Vector{Z: 1}

func Union(a, b Box) Box {
	for k := range 3 {
		a.Lo[k], a.Hi[k] = min(a.Lo[k], b.Lo[k]), max(a.Hi[k], b.Hi[k])
	}
	return a
}
