package scene

import (
	"cmp"
	"math"
	"slices"
	"sync"
)

// Tiles are laid so that a zone of usual size lies in one to four of them, and a tile holds a few dozen zones.
const (
	tilePlan  = 8000.0 // mm
	tileHigh  = 3000.0 // mm
	tilesMost = 256    // tiles of one zone before it goes into the long list
	tilesEach = 1      // tiles a zone that the grid may have at the most
	layParts  = 8      // goroutines that lay, at the most: each counts all tiles
	sweepFrom = 96     // zones in a tile from which they are sorted along x
)

// Grid is the tiles of a building, or of other boxes.
//
// Of a box a tile keeps no more than what lies in the tile, in figures so small that two boxes are compared on all three axes
// at once: in each half of an entry stand three of 20 bits, x first, with a spare bit over each. Where a box begins before
// the tile its low figure is 0, and no other is. They are rounded so that boxes which meet never seem apart; those that
// seem to meet are looked at as they are.
type Grid struct {
	lo    [3]float64
	size  [3]float64
	per   [3]float64 // tiles a mm
	n     [3]int
	start []int32   // of each tile in in; one more at the end
	in    []entry   // in the order of tiles; in a tile of sweepFrom and more by lo, else by what they are of
	long  []int32   // over very many tiles
	grows []float64 // by how much a box of each trait is grown, mm
	grow  float64   // the least of them: mm by which every box is grown on all sides, at the least
}

// entry is what lies in a tile of one box.
type entry struct {
	lo, hi uint64
	at     int32 // of which box
	trait  int32
}

const (
	figures  = 20 // bits of a figure
	laneX    = 2 * (figures + 1)
	laneY    = figures + 1
	figMost  = 1<<figures - 1
	figFine  = figMost - 3             // steps in a tile
	figOne   = 1 | 1<<laneY | 1<<laneX // in each of the three
	figSpare = figOne << figures
	figFull  = figOne * figMost
)

// meet reports whether two boxes may meet in their tile, and do not already in one before it: whether the tile holds the
// low corner of what they share.
func (a *entry) meet(b *entry) bool {
	return ((a.hi|figSpare)-b.lo)&((b.hi|figSpare)-a.lo)&((a.lo|b.lo)+figFull)&figSpare == figSpare
}

// Gone reports whether a box is that of nothing.
func (b *Box) Gone() bool { return b.Lo[0] > b.Hi[0] }

// at returns where v is along axis k, in tiles.
func (g *Grid) at(v float64, k int) float64 { return (v - g.lo[k]) * g.per[k] }

// index returns the tile that is at f along axis k, the nearest where it is off the grid.
func (g *Grid) index(f float64, k int) int { return int(min(max(f, 0), float64(g.n[k]-1))) }

// span is where a box lies: from and to in tiles, and the first and the last of them.
type span struct {
	from, to    [3]float64
	first, last [3]int
}

// number returns the number of a tile.
func (g *Grid) number(x, y, z int) int { return (z*g.n[1]+y)*g.n[0] + x }

// tile returns what lies in the tile of a number.
func (g *Grid) tile(t int) []entry { return g.in[g.start[t]:g.start[t+1]] }

// spanOf returns where a box lies that is grown by so much.
func (g *Grid) spanOf(b *Box, grow float64) (s span) {
	for k := range 3 {
		s.from[k], s.to[k] = g.at(b.Lo[k]-grow, k), g.at(b.Hi[k]+grow, k)
		s.first[k], s.last[k] = g.index(s.from[k], k), g.index(s.to[k], k)
	}
	return s
}

// tiles returns the number of tiles that it lies over.
func (s *span) tiles() int {
	return (s.last[0] - s.first[0] + 1) * (s.last[1] - s.first[1] + 1) * (s.last[2] - s.first[2] + 1)
}

// step returns the figure of f, in tiles, in tile t, without rounding outwards.
func step(f float64, t int) uint64 { return uint64(min(max((f-float64(t))*figFine, 0), figFine)) }

// lane returns the figures of a box along axis k in tile t.
func (s *span) lane(k, t int) (lo, hi uint64) {
	hi = figMost
	if t == s.first[k] {
		lo = step(s.from[k], t) + 1
	}
	if t == s.last[k] {
		hi = step(s.to[k], t) + 3
	}
	return lo, hi
}

// figures returns the figures of a box in one of its tiles.
func (s *span) figures(x, y, z int) (lo, hi uint64) {
	lx, hx := s.lane(0, x)
	ly, hy := s.lane(1, y)
	lz, hz := s.lane(2, z)
	return lx<<laneX | ly<<laneY | lz, hx<<laneX | hy<<laneY | hz
}

// each calls f with every tile that it lies over.
func (s *span) each(f func(x, y, z int)) {
	for z := s.first[2]; z <= s.last[2]; z++ {
		for y := s.first[1]; y <= s.last[1]; y++ {
			for x := s.first[0]; x <= s.last[0]; x++ {
				f(x, y, z)
			}
		}
	}
}

// lay puts boxes into tiles, each grown on all sides by what its trait has in grows, mm; without traits boxes stay as they are.
func lay(boxes []Box, traits []int32, grows []float64, workers int) *Grid {
	g := &Grid{grows: grows, size: [3]float64{tilePlan, tilePlan, tileHigh}}
	grow := func(int) float64 { return 0 }
	if traits != nil {
		grow = func(i int) float64 { return grows[traits[i]] }
		g.grow = slices.Min(grows)
	}
	parts := max(1, min(workers, layParts, len(boxes)/4096))
	// share calls f with the part of the boxes that each goroutine deals with.
	share := func(f func(part, from, to int)) {
		var wg sync.WaitGroup
		for part := range parts {
			wg.Go(func() { f(part, part*len(boxes)/parts, (part+1)*len(boxes)/parts) })
		}
		wg.Wait()
	}
	ends := make([]Box, parts)
	share(func(part, from, to int) {
		e := Nowhere
		for i := from; i < to; i++ {
			if b := &boxes[i]; !b.Gone() {
				by := grow(i)
				for k := range 3 {
					e.Lo[k], e.Hi[k] = min(e.Lo[k], b.Lo[k]-by), max(e.Hi[k], b.Hi[k]+by)
				}
			}
		}
		ends[part] = e
	})
	all := Nowhere
	for _, e := range ends {
		all = Union(all, e)
	}
	if all.Gone() {
		return g
	}
	tiles := 1.0
	for {
		tiles = 1
		for k := range 3 {
			g.lo[k] = all.Lo[k]
			g.n[k] = int(math.Min((all.Hi[k]-all.Lo[k])/g.size[k], math.MaxInt32)) + 1
			tiles *= float64(g.n[k])
		}
		if tiles <= float64(tilesEach*len(boxes)+64) {
			break
		}
		for k := range 3 {
			g.size[k] *= 1.5
		}
	}
	for k := range 3 {
		g.per[k] = 1 / g.size[k]
	}
	// Each part counts how many of its boxes lie in each tile; then each has its own place in every tile, so that the
	// order in a tile is that of the boxes.
	next := make([][]int32, parts)
	longs := make([][]int32, parts)
	share(func(part, from, to int) {
		count := make([]int32, int(tiles))
		for i := from; i < to; i++ {
			if boxes[i].Gone() {
				continue
			}
			s := g.spanOf(&boxes[i], grow(i))
			if s.tiles() > tilesMost {
				longs[part] = append(longs[part], int32(i))
				continue
			}
			s.each(func(x, y, z int) { count[g.number(x, y, z)]++ })
		}
		next[part] = count
	})
	g.long = slices.Concat(longs...)
	g.start = make([]int32, int(tiles)+1)
	sum := int32(0)
	for t := range int(tiles) {
		g.start[t] = sum
		for part := range next {
			n := next[part][t]
			next[part][t] = sum
			sum += n
		}
	}
	g.start[int(tiles)] = sum
	g.in = make([]entry, sum)
	share(func(part, from, to int) {
		next := next[part]
		for i := from; i < to; i++ {
			if boxes[i].Gone() {
				continue
			}
			s := g.spanOf(&boxes[i], grow(i))
			if s.tiles() > tilesMost {
				continue
			}
			e := entry{at: int32(i)}
			if traits != nil {
				e.trait = traits[i]
			}
			s.each(func(x, y, z int) {
				e.lo, e.hi = s.figures(x, y, z)
				t := g.number(x, y, z)
				g.in[next[t]] = e
				next[t]++
			})
		}
	})
	// Where many are, they are swept along x.
	share(func(part, _, _ int) {
		for t := part * int(tiles) / parts; t < (part+1)*int(tiles)/parts; t++ {
			if in := g.tile(t); len(in) >= sweepFrom {
				slices.SortFunc(in, func(a, b entry) int { return cmp.Or(cmp.Compare(a.lo, b.lo), cmp.Compare(a.at, b.at)) })
			}
		}
	})
	return g
}

// some visits what may be no further than by from b along any axis, each once, in no promised order, until test says true; it
// says whether that was so. What may be nearer than it seems by a hair is visited too.
func (g *Grid) some(b *Box, by float64, test func(i int32) bool) bool {
	for _, i := range g.long {
		if test(i) {
			return true
		}
	}
	if len(g.in) == 0 {
		return false
	}
	// Entries are grown; the query is as much less than by.
	s, q := g.spanOf(b, by), g.spanOf(b, by-g.grow)
	var lo, hi [3]uint64
	for z := s.first[2]; z <= s.last[2]; z++ {
		lo[2], hi[2] = q.sought(2, z)
		for y := s.first[1]; y <= s.last[1]; y++ {
			lo[1], hi[1] = q.sought(1, y)
			for x := s.first[0]; x <= s.last[0]; x++ {
				lo[0], hi[0] = q.sought(0, x)
				low, high := lo[0]<<laneX|lo[1]<<laneY|lo[2], hi[0]<<laneX|hi[1]<<laneY|hi[2]
				// Told in the first tile that both lie in.
				var first uint64
				if x == s.first[0] {
					first |= 1 << laneX
				}
				if y == s.first[1] {
					first |= 1 << laneY
				}
				if z == s.first[2] {
					first |= 1
				}
				high |= figSpare
				in := g.tile(g.number(x, y, z))
				for j := range in {
					e := &in[j]
					if (high-e.lo)&((e.hi|figSpare)-low)&((e.lo|first)+figFull)&figSpare == figSpare && test(e.at) {
						return true
					}
				}
			}
		}
	}
	return false
}

// sought returns the figures of a query along axis k in tile t: low ones may lie beyond the tile, high ones before it.
func (s *span) sought(k, t int) (lo, hi uint64) {
	switch f := s.from[k] - float64(t); {
	case f >= 1:
		lo = figMost
	case f >= 0:
		lo = step(s.from[k], t) + 1
	}
	switch f := s.to[k] - float64(t); {
	case f >= 1:
		hi = figMost
	case f >= 0:
		hi = step(s.to[k], t) + 3
	}
	return lo, hi
}
