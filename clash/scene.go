package clash

import (
	"math"
	"strings"
	"sync"
	"sync/atomic"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"

	"voidline/clash/rules"
	"voidline/void"
	"voidline/void/body"
	"voidline/void/vocabulary"
)

// scene is what a check looks at: a project, and of each of its zones the box and the trait, found again by place. It is looked at
// once and then read by all; after an edit the zones that changed are looked at again.
type scene struct {
	p       *void.Project
	rules   *rules.Set
	workers int // goroutines that work at once

	openingsIn  map[int32][]int32 // zone -> openings
	soffitHole  map[int32][]int32 // bay -> openings in its soffit
	ceilingHole map[int32][]int32 // bay -> openings in its ceiling
	box         []box
	traitAt     []int32  // by zone
	charAt      []int32  // by zone, -1 for a slot that holds none
	occupied    []uint32 // by bay: not 0 where a zone lies in it
	hung        []bool   // by zone: something hangs under it
	grid        *grid    // nil until something is searched
	strays      []int32  // zones that have moved since the grid was laid
	stray       map[int32]bool

	roomy []bool // by character: its kind is usually in the room, under the ceiling

	runMu sync.Mutex
	runs  map[string][]int32 // the rows of each named run, ascending, by its name without case; nil until it is asked for
}

// box is a bounding box.
type box struct {
	lo, hi [3]float64
}

// nowhere is the box of no zone: it is infinitely far from every other.
var nowhere = box{
	[3]float64{math.Inf(1), math.Inf(1), math.Inf(1)},
	[3]float64{math.Inf(-1), math.Inf(-1), math.Inf(-1)},
}

func boxOf(b body.Body) box {
	p, h := b.Plan(), b.Height()
	return box{[3]float64{p.X.Lo, p.Y.Lo, h.Lo}, [3]float64{p.X.Hi, p.Y.Hi, h.Hi}}
}

// apart returns the largest distance between the two boxes along an axis, negative where they overlap on
// all three.
func (a *box) apart(b *box) float64 {
	d := max(a.lo[0]-b.hi[0], b.lo[0]-a.hi[0])
	d = max(d, a.lo[1]-b.hi[1], b.lo[1]-a.hi[1])
	return max(d, a.lo[2]-b.hi[2], b.lo[2]-a.hi[2])
}

// look takes in the whole project as it now is.
func (s *scene) look() {
	p := s.p
	n := p.Zones()
	s.box, s.traitAt, s.charAt = make([]box, n), make([]int32, n), make([]int32, n)
	s.hung = make([]bool, n)
	s.occupied = make([]uint32, len(p.Bays))
	s.grid, s.strays, s.stray = nil, nil, nil
	s.runs = nil
	s.roomy = nil
	s.rules.Forget()
	s.characters()
	s.blocks(n, 1<<12, func(from, to int) {
		for i := from; i < to; i++ {
			s.lookAt(int32(i))
		}
	})
	s.openings()
}

// blocks calls each for stretches of size of 0 to n, from several goroutines at once.
func (s *scene) blocks(n, size int, each func(from, to int)) {
	var next atomic.Int64
	var wg sync.WaitGroup
	for range min(s.workers, (n+size-1)/size) {
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
func (s *scene) lookAt(i int32) {
	z := s.p.Zone(int(i))
	if z.Gone {
		s.box[i], s.charAt[i], s.traitAt[i], s.hung[i] = nowhere, -1, 0, false
		return
	}
	if s.p.Character(z.Char).Entry.Mark {
		s.box[i], s.charAt[i], s.traitAt[i], s.hung[i] = nowhere, z.Char, s.rules.TraitOf[z.Char], false // no body
		return
	}
	s.box[i] = boxOf(z.Full())
	s.charAt[i], s.traitAt[i], s.hung[i] = z.Char, s.rules.TraitOf[z.Char], s.p.Under(z) > 0
	for _, j := range z.Bays() {
		if atomic.LoadUint32(&s.occupied[j]) == 0 {
			atomic.StoreUint32(&s.occupied[j], 1)
		}
	}
}

// characters takes in characters that are new.
func (s *scene) characters() {
	s.rules.Learn(s.p)
	for i := len(s.roomy); i < s.p.Characters(); i++ {
		s.roomy = append(s.roomy, vocabulary.UsuallyInRoom(s.p.Character(int32(i)).Kind))
	}
}

// openings sorts the openings by what they are in.
func (s *scene) openings() {
	p := s.p
	s.openingsIn, s.soffitHole, s.ceilingHole = map[int32][]int32{}, map[int32][]int32{}, map[int32][]int32{}
	for i := range p.Openings {
		o := &p.Openings[i]
		switch {
		case o.In >= 0:
			s.openingsIn[o.In] = append(s.openingsIn[o.In], int32(i))
		case o.Ceiling:
			s.ceilingHole[o.Bay] = append(s.ceilingHole[o.Bay], int32(i))
		default:
			s.soffitHole[o.Bay] = append(s.soffitHole[o.Bay], int32(i))
		}
	}
}

func (s *scene) zone(i int32) *void.Zone      { return s.p.Zone(int(i)) }
func (s *scene) char(i int32) *void.Character { return s.p.Character(s.zone(i).Char) }
func (s *scene) trait(i int32) int32          { return s.traitAt[i] }
func (s *scene) structure(i int32) bool       { return s.rules.Traits[s.traitAt[i]].Built }

// upright reports whether a zone is structure that stands through levels.
func (s *scene) upright(i int32) bool { return s.structure(i) && s.zone(i).Upright }

func (s *scene) bayAt(storey int, at r2.Point) (int, bool) { return s.p.BayAt(storey, at) }

func (s *scene) isMark(i int32) bool { return !s.zone(i).Gone && s.char(i).Entry.Mark }

// lowest returns the level of the lowest point of a body over a bay's plan, +Inf where it is not over it. A level one
// counts with the whole height of its section, as in a stack.
func lowest(b body.Body, bay *void.Bay) float64 {
	h := b.Height()
	if bay.Plan.Contains(b.Plan()) {
		return h.Lo
	}
	slab := body.Upright(bay.Plan, r1.Interval{Lo: h.Lo - 2, Hi: h.Lo - 1})
	s, ok := body.Span(b, slab, up)
	switch {
	case !ok:
		return math.Inf(1)
	case level(&b):
		return h.Lo
	}
	return h.Lo - 1 - s.Hi // it meets the slab's top when shifted by s.Hi
}

// highest returns the level of the highest point of a body over a bay's plan, -Inf where it is not over it.
func highest(b body.Body, bay *void.Bay) float64 {
	h := b.Height()
	if bay.Plan.Contains(b.Plan()) {
		return h.Hi
	}
	slab := body.Upright(bay.Plan, r1.Interval{Lo: h.Hi + 1, Hi: h.Hi + 2})
	s, ok := body.Span(b, slab, up)
	switch {
	case !ok:
		return math.Inf(-1)
	case level(&b):
		return h.Hi
	}
	return h.Hi + 1 - s.Lo
}

// level reports whether a body does not fall: it lies level, or stands upright.
func level(b *body.Body) bool { return b.Along.Z == 0 || b.Along.X == 0 && b.Along.Y == 0 }

// full returns the body of a zone with joint, insulation and top.
func (s *scene) full(i int32) body.Body { return s.p.Zone(int(i)).Full() }

// sameNamedRun reports whether two zones are of one named run.
func (s *scene) sameNamedRun(i, j int32) bool {
	a := s.zone(i).Run()
	return a != "" && strings.EqualFold(a, s.zone(j).Run())
}

// rowsOf returns the rows of the named run of zone i, or it alone. Rows that say no place are of none.
func (s *scene) rowsOf(i int32) []int32 {
	z := s.zone(i)
	if z.Run() == "" || z.ByHeight {
		return []int32{i}
	}
	s.runMu.Lock()
	defer s.runMu.Unlock()
	if s.runs == nil {
		s.runs = map[string][]int32{}
		for k := range int32(s.p.Zones()) {
			if z := s.zone(k); !z.Gone && z.Run() != "" && !z.ByHeight {
				key := strings.ToLower(z.Run())
				s.runs[key] = append(s.runs[key], k)
			}
		}
	}
	return s.runs[strings.ToLower(z.Run())]
}

// under returns the lowest level over a bay of zone i, were it the body f, with what hangs under it, and the body that is
// lowest.
func (s *scene) under(i int32, f body.Body, bay *void.Bay) (lo float64, low body.Body, hung bool) {
	lo = lowest(f, bay)
	if hang, ok := s.p.HangFrom(s.zone(i), f); ok {
		// What hangs under a service may be wider or narrower than it: it counts in a bay where it is over that.
		if l := lowest(hang, bay); l < lo {
			return l, hang, true
		}
	}
	return lo, f, false
}

// put is a zone taken to be a body: its own, or one that it would have elsewhere.
type put struct {
	zone int32
	full body.Body // with joint, insulation and top
	box  box
}

// put returns a zone where it would be the body.
func (s *scene) put(i int32, full body.Body) put { return put{i, full, boxOf(full)} }

// drawn returns a zone as it is.
func (s *scene) drawn(i int32) put { return put{i, s.full(i), s.box[i]} }
