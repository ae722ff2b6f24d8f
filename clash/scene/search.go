package scene

import (
	"context"
	"math"
	"slices"
	"sync"
	"sync/atomic"

	"voidline/clash/rules"
	"voidline/void"
)

// The search finds every pair of zones whose boxes are nearer than any rule between the two can ask.
//
//  1. Boxes are grown by half of the most that their trait can ask of any other, and put into tiles of plan and height.
//     Zones over very many tiles go into a list of their own.
//  2. Zones are counted into the tiles and then filled in, so that few need be sorted. Where the building is so scattered
//     that there would be more tiles than zones, the tiles are made larger.
//  3. In each tile all pairs are looked at, along x where there are many; a pair is told only in the
//     tile that holds the low corner of what the two grown boxes share, so that it is told once.

type Pair struct{ A, B int32 }

// job is what one goroutine looks at before it takes the next: the tiles from and up to but not with to, or, where a tile
// holds many, some of its entries against those after them; or, where from is negative, one of the long list.
type job struct{ from, to, first, last int32 }

// How much is looked at in one job, about: entries, and pairs of them.
const (
	jobEntries = 1 << 12
	jobPairs   = 1 << 18
)

// jobs cuts the tiles into jobs.
func (g *Grid) jobs() []job {
	var js []job
	from, entries, pairs := 0, 0, 0
	for t := 0; t+1 < len(g.start); t++ {
		n := int(g.start[t+1] - g.start[t])
		if n*n/2 > jobPairs {
			if from < t {
				js = append(js, job{from: int32(from), to: int32(t)})
			}
			by := max(1, jobPairs/n)
			for i := 0; i < n; i += by {
				js = append(js, job{int32(t), int32(t + 1), int32(i), int32(min(i+by, n))})
			}
			from, entries, pairs = t+1, 0, 0
			continue
		}
		if entries, pairs = entries+n, pairs+n*n/2; entries >= jobEntries || pairs >= jobPairs {
			js = append(js, job{from: int32(from), to: int32(t + 1)})
			from, entries, pairs = t+1, 0, 0
		}
	}
	if end := len(g.start) - 1; from < end {
		js = append(js, job{from: int32(from), to: int32(end)})
	}
	for k := range g.long {
		js = append(js, job{from: -1 - int32(k)})
	}
	return js
}

// Candidates calls each with the near pairs of every batch, from several goroutines at once; batches
// are numbered so that the caller can put their answers in order.
func (s *Scene) Candidates(ctx context.Context, progress func(done, of int), each func(h *rules.Reader, batch int, pairs []Pair)) error {
	g := s.Laid(0)
	if err := ctx.Err(); err != nil {
		return err
	}
	jobs := g.jobs()
	var next atomic.Int64
	var wg sync.WaitGroup
	for range s.Workers {
		wg.Go(func() {
			h := s.Set.Reader()
			var pairs []Pair
			for {
				k := int(next.Add(1)) - 1
				if k >= len(jobs) || ctx.Err() != nil {
					return
				}
				pairs = pairs[:0]
				if j := &jobs[k]; j.from < 0 {
					pairs = s.longPairs(h, g, int(-1-j.from), pairs)
				} else {
					pairs = s.sweep(h, g, j, pairs)
				}
				if len(pairs) > 0 {
					each(h, k, pairs)
				}
				progress(k+1, len(jobs))
			}
		})
	}
	wg.Wait()
	return ctx.Err()
}

// sweep finds the pairs told in the tiles of a job.
func (s *Scene) sweep(h *rules.Reader, g *Grid, j *job, pairs []Pair) []Pair {
	for t := j.from; t < j.to; t++ {
		in := g.tile(int(t))
		first, last := int(j.first), int(j.last)
		if last == 0 {
			last = len(in)
		}
		sorted := len(in) >= sweepFrom
		for i := first; i < last; i++ {
			a := in[i]
			needs := h.Row(a.trait)
			end := uint64(math.MaxUint64)
			if sorted {
				end = a.hi | 1<<laneX - 1 // what begins beyond it along x is not met, nor what comes after that
			}
			for k := i + 1; k < len(in); k++ {
				b := &in[k]
				if b.lo > end {
					break
				}
				if a.meet(b) && (needs == nil || needs[b.trait] != rules.Never) {
					pairs = append(pairs, Pair{a.at, b.at})
				}
			}
		}
	}
	return s.wantedOf(h, pairs)
}

// wantedOf keeps of pairs those that are wanted.
func (s *Scene) wantedOf(h *rules.Reader, pairs []Pair) []Pair {
	n := 0
	for _, p := range pairs {
		pairs[n] = ordered(p.A, p.B)
		if s.Boxes[p.A].Apart(&s.Boxes[p.B]) <= h.Need(s.TraitAt[p.A], s.TraitAt[p.B]) { // without a jump: most wait for memory
			n++
		}
	}
	return pairs[:n]
}

// longPairs finds the pairs of one zone of the long list: with the others in the tiles that it lies over, and
// with the later ones of the list.
func (s *Scene) longPairs(h *rules.Reader, g *Grid, k int, pairs []Pair) []Pair {
	i := g.long[k]
	var a entry
	for _, o := range g.long[k+1:] {
		pairs = append(pairs, Pair{i, o})
	}
	over := g.spanOf(&s.Boxes[i], g.grows[s.TraitAt[i]])
	over.each(func(x, y, z int) {
		a.lo, a.hi = over.figures(x, y, z)
		in := g.tile(g.number(x, y, z))
		for j := range in {
			if a.meet(&in[j]) {
				pairs = append(pairs, Pair{i, in[j].at})
			}
		}
	})
	return s.wantedOf(h, pairs)
}

func ordered(a, b int32) Pair {
	if a < b {
		return Pair{a, b}
	}
	return Pair{b, a}
}

// Wanted reports whether a rule, or an overlap, can come of the pair.
func (s *Scene) Wanted(h *rules.Reader, a, b int32) bool {
	return s.Boxes[a].Apart(&s.Boxes[b]) <= h.Need(s.TraitAt[a], s.TraitAt[b])
}

// Laid returns the grid that the zones lie in, laid when first asked for and again when more than so many zones have
// moved.
func (s *Scene) Laid(strays int) *Grid {
	if s.Grid == nil || len(s.strays) > strays {
		s.Grid = lay(s.Boxes, s.TraitAt, s.grows(), s.Workers)
		s.strays, s.stray = nil, map[int32]place{}
	}
	return s.Grid
}

// StraysMost is how many zones may have moved before the grid is laid anew: each search looks at all of them.
const StraysMost = 256

// place is where the grid has a zone.
type place struct {
	box   Box
	trait int32
}

// LookAgain is lookAt for a zone that may have changed since the grid was laid. One that is back where the grid has it is found there again.
func (s *Scene) LookAgain(i int32) {
	was := place{s.Boxes[i], s.TraitAt[i]}
	for _, j := range s.Project.Zone(int(i)).Bays() {
		if s.Occupied[j] == 0 {
			s.entered = append(s.entered, j)
		}
	}
	s.lookAt(i)
	s.strayed(i, was)
}

// strayed notes where zone i, which was in a place, is now, as against where the grid has it.
func (s *Scene) strayed(i int32, was place) {
	if s.Grid == nil {
		return
	}
	now := place{s.Boxes[i], s.TraitAt[i]}
	switch home, strayed := s.stray[i]; {
	case strayed && now == home:
		delete(s.stray, i)
		s.strays = slices.DeleteFunc(s.strays, func(o int32) bool { return o == i })
	case !strayed && now != was:
		s.stray[i] = was
		s.strays = append(s.strays, i)
	}
}

// Left says that the bays which were entered since Left was last called are as they were: what entered them was on trial.
func (s *Scene) Left() {
	for _, j := range s.entered {
		s.Occupied[j] = 0
	}
	s.Entered()
}

// Entered says that what was looked at again stays where it is.
func (s *Scene) Entered() { s.entered = s.entered[:0] }

// Near visits every zone whose box is no further than by from b along any axis, each once; in no promised order. The
// grid must be laid.
func (s *Scene) Near(b Box, by float64, visit func(i int32)) {
	s.Some(b, by, func(i int32) bool { visit(i); return false })
}

// Some is near, but ends when test says true; it says whether that was so.
func (s *Scene) Some(b Box, by float64, test func(i int32) bool) bool {
	for _, i := range s.strays {
		if s.Boxes[i].Apart(&b) <= by && test(i) {
			return true
		}
	}
	return s.Grid.some(&b, by, func(i int32) bool {
		return s.Boxes[i].Apart(&b) <= by && !s.astray(i) && test(i)
	})
}

// astray reports whether a zone is not where the grid has it.
func (s *Scene) astray(i int32) bool {
	if len(s.stray) == 0 {
		return false
	}
	_, ok := s.stray[i]
	return ok
}

// grows returns by how much a box of each trait is grown, so that two that are as near as anything can ask of them meet.
func (s *Scene) grows() []float64 {
	const most = 128 // traits of which all pairs are looked at
	n := int32(len(s.Set.Traits))
	out := make([]float64, n)
	there := make([]bool, n)
	for i, t := range s.TraitAt {
		there[t] = there[t] || !s.Boxes[i].Gone()
	}
	widest, h := s.Set.Widest(), s.Set.Reader()
	for a := range n {
		if n > most {
			out[a] = widest
		} else {
			for b := range n {
				if there[b] {
					out[a] = max(out[a], h.Need(a, b))
				}
			}
		}
		out[a] = out[a]/2 + void.Hair
	}
	return out
}
