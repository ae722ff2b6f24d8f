package clash

import (
	"cmp"
	"context"
	"math"
	"slices"
	"sync"
	"sync/atomic"
)

// The search finds every pair of zones whose boxes are nearer than any rule between the two can ask.
//
//  1. Boxes grown by half the largest gap of all rules are put into tiles of plan and height. Zones over
//     very many tiles go into a list of their own.
//  2. The tiles are laid in rows; zones are counted into them and then filled in, so that no sorting is
//     needed. Where the building is so scattered that there would be many more tiles than zones, the
//     tiles are made larger.
//  3. In each tile all pairs are looked at, along x where there are many; a pair is told only in the
//     tile that holds the low corner of what the two grown boxes share, so that it is told once.
const (
	tilePlan   = 4000.0 // mm
	tileHigh   = 1200.0 // mm
	tilesMost  = 256    // tiles of one zone before it goes into the long list
	tilesEach  = 8      // tiles a zone that the grid may have at the most
	pairsBatch = 1 << 12
	sweepFrom  = 48 // zones in a tile from which it is swept along x
)

type pair struct{ a, b int32 }

// grid is the tiles of a building.
type grid struct {
	lo    [3]float64
	size  [3]float64
	per   [3]float64 // tiles a mm
	n     [3]int
	start []int32 // of each tile in zones; one more at the end
	zones []int32
	long  []int32 // zones over very many tiles
	grow  float64
}

// gone reports whether a box is that of no zone.
func (b *box) gone() bool { return b.lo[0] > b.hi[0] }

// span returns the first and the last tile of a grown box along axis k.
func (g *grid) span(b *box, k int) (int, int) {
	at := func(v float64) int { return min(max(int((v-g.lo[k])*g.per[k]), 0), g.n[k]-1) }
	return at(b.lo[k] - g.grow), at(b.hi[k] + g.grow)
}

// low returns the tile along axis k of the low edge v of a box that is yet to grow.
func (g *grid) low(v float64, k int) int {
	return min(max(int((v-g.grow-g.lo[k])*g.per[k]), 0), g.n[k]-1)
}

// lay puts the boxes into tiles.
func lay(boxes []box, grow float64) *grid {
	g := &grid{grow: grow, size: [3]float64{tilePlan, tilePlan, tileHigh}}
	if len(boxes) == 0 {
		return g
	}
	lo, hi := nowhere.lo, nowhere.hi
	for i := range boxes {
		if boxes[i].gone() {
			continue
		}
		for k := range 3 {
			lo[k], hi[k] = math.Min(lo[k], boxes[i].lo[k]), math.Max(hi[k], boxes[i].hi[k])
		}
	}
	if lo[0] > hi[0] {
		return g
	}
	tiles := 1.0
	for {
		tiles = 1
		for k := range 3 {
			g.lo[k] = lo[k] - grow
			g.n[k] = max(1, int((hi[k]-lo[k]+2*grow)/g.size[k])+1)
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
	g.start = make([]int32, int(tiles)+1)
	each := func(put func(tile int, zone int32)) {
		for i := range boxes {
			if boxes[i].gone() {
				continue
			}
			x0, x1 := g.span(&boxes[i], 0)
			y0, y1 := g.span(&boxes[i], 1)
			z0, z1 := g.span(&boxes[i], 2)
			if (x1-x0+1)*(y1-y0+1)*(z1-z0+1) > tilesMost {
				put(-1, int32(i))
				continue
			}
			for z := z0; z <= z1; z++ {
				for y := y0; y <= y1; y++ {
					row := (z*g.n[1] + y) * g.n[0]
					for x := x0; x <= x1; x++ {
						put(row+x, int32(i))
					}
				}
			}
		}
	}
	each(func(tile int, zone int32) {
		if tile < 0 {
			g.long = append(g.long, zone)
			return
		}
		g.start[tile+1]++
	})
	for t := 1; t < len(g.start); t++ {
		g.start[t] += g.start[t-1]
	}
	g.zones = make([]int32, g.start[len(g.start)-1])
	each(func(tile int, zone int32) {
		if tile >= 0 {
			g.zones[g.start[tile]] = zone
			g.start[tile]++
		}
	})
	copy(g.start[1:], g.start[:len(g.start)-1])
	g.start[0] = 0
	return g
}

// candidates calls each with the near pairs of every batch, from several goroutines at once; batches
// are numbered so that the caller can put their answers in order.
func (c *Check) candidates(ctx context.Context, each func(h *chooser, batch int, pairs []pair)) (batches int, err error) {
	g := c.laid(0)
	if err := ctx.Err(); err != nil {
		return 0, err
	}
	// Cut the tiles into jobs of about as many entries.
	cuts := []int{0}
	for t := 0; t+1 < len(g.start); t++ {
		if int(g.start[t+1])-int(g.start[cuts[len(cuts)-1]]) >= pairsBatch {
			cuts = append(cuts, t+1)
		}
	}
	if end := len(g.start) - 1; end > cuts[len(cuts)-1] {
		cuts = append(cuts, end)
	}
	jobs := len(cuts) - 1
	total := jobs + len(g.long)
	var next atomic.Int64
	var wg sync.WaitGroup
	for range c.workers() {
		wg.Go(func() {
			h := c.chooser()
			var pairs []pair
			for {
				job := int(next.Add(1)) - 1
				if job >= total || ctx.Err() != nil {
					return
				}
				pairs = pairs[:0]
				if job < jobs {
					pairs = c.sweep(h, g, cuts[job], cuts[job+1], pairs)
				} else {
					pairs = c.longPairs(h, g, job-jobs, pairs)
				}
				if len(pairs) > 0 {
					each(h, job, pairs)
				}
				c.progress(Pairs, job+1, total)
			}
		})
	}
	wg.Wait()
	return total, ctx.Err()
}

// sweep finds the pairs told in the tiles from and up to but not with to.
func (c *Check) sweep(h *chooser, g *grid, from, to int, pairs []pair) []pair {
	type entry struct {
		box
		trait, zone int32
	}
	var there []entry // what lies in the tile, side by side in memory
	for t := from; t < to; t++ {
		in := g.zones[g.start[t]:g.start[t+1]]
		if len(in) < 2 {
			continue
		}
		there = there[:0]
		for _, i := range in {
			there = append(there, entry{c.box[i], c.traitAt[i], i})
		}
		long := len(in) >= sweepFrom
		if long {
			slices.SortFunc(there, func(a, b entry) int { return cmp.Or(cmp.Compare(a.lo[0], b.lo[0]), cmp.Compare(a.zone, b.zone)) })
		}
		x, y, z := t%g.n[0], t/g.n[0]%g.n[1], t/(g.n[0]*g.n[1])
		for i := range there {
			A := &there[i]
			for j := i + 1; j < len(there); j++ {
				B := &there[j]
				if long && B.lo[0] > A.hi[0]+2*g.grow {
					break
				}
				if d := A.apart(&B.box); d <= 2*g.grow && d <= h.need(A.trait, B.trait) && g.holdsLow(&A.box, &B.box, x, y, z) {
					pairs = append(pairs, ordered(A.zone, B.zone))
				}
			}
		}
	}
	return pairs
}

// longPairs finds the pairs of one zone of the long list: with the others in the tiles that it lies over, and
// with the later ones of the list.
func (c *Check) longPairs(h *chooser, g *grid, k int, pairs []pair) []pair {
	a := g.long[k]
	A := &c.box[a]
	for _, b := range g.long[k+1:] {
		if A.apart(&c.box[b]) <= 2*g.grow && c.wanted(h, a, b) {
			pairs = append(pairs, ordered(a, b))
		}
	}
	x0, x1 := g.span(A, 0)
	y0, y1 := g.span(A, 1)
	z0, z1 := g.span(A, 2)
	for z := z0; z <= z1; z++ {
		for y := y0; y <= y1; y++ {
			row := (z*g.n[1] + y) * g.n[0]
			for x := x0; x <= x1; x++ {
				for _, b := range g.zones[g.start[row+x]:g.start[row+x+1]] {
					if c.tellsHere(h, g, a, b, x, y, z) {
						pairs = append(pairs, ordered(a, b))
					}
				}
			}
		}
	}
	return pairs
}

// tellsHere reports whether a pair is wanted and told in the tile x, y, z.
func (c *Check) tellsHere(h *chooser, g *grid, a, b int32, x, y, z int) bool {
	A, B := &c.box[a], &c.box[b]
	d := A.apart(B)
	return d <= 2*g.grow && d <= h.need(c.traitAt[a], c.traitAt[b]) && g.holdsLow(A, B, x, y, z)
}

// holdsLow reports whether the tile x, y, z holds the low corner of what two grown boxes share.
func (g *grid) holdsLow(a, b *box, x, y, z int) bool {
	return g.low(max(a.lo[0], b.lo[0]), 0) == x && g.low(max(a.lo[1], b.lo[1]), 1) == y && g.low(max(a.lo[2], b.lo[2]), 2) == z
}

func ordered(a, b int32) pair {
	if a < b {
		return pair{a, b}
	}
	return pair{b, a}
}

// wanted reports whether a rule, or an overlap, can come of the pair.
func (c *Check) wanted(h *chooser, a, b int32) bool {
	return c.box[a].apart(&c.box[b]) <= h.need(c.traitAt[a], c.traitAt[b])
}

// needOf returns how near two traits must be for something to come of them: not at all for structure and structure.
func (c *Check) needOf(a, b int32, ch *choice) float64 {
	ta, tb := &c.traits[a], &c.traits[b]
	if ta.built && tb.built {
		return math.Inf(-1)
	}
	if len(c.rules.tiles) > 0 && ta.recessed != tb.recessed {
		return max(ch.need, meetEnds) // what comes down to a fitting in the ceiling is no bar to lifting tiles
	}
	return ch.need
}

// laid returns the grid that the zones lie in, laid when first asked for and again when more than so many zones have
// moved.
func (c *Check) laid(strays int) *grid {
	if c.grid == nil || len(c.strays) > strays {
		c.grid = lay(c.box, c.widest()/2)
		c.strays, c.stray = nil, map[int32]bool{}
	}
	return c.grid
}

// straysMost is how many zones may have moved before the grid is laid anew: each search looks at all of them.
const straysMost = 256

// strayed notes that a zone is not where the grid has it.
func (c *Check) strayed(i int32) {
	if c.grid != nil && !c.stray[i] {
		c.stray[i] = true
		c.strays = append(c.strays, i)
	}
}

// near visits every zone whose box is no further than by from b along any axis, each once; in no promised order. The
// grid must be laid.
func (c *Check) near(b box, by float64, visit func(i int32)) {
	c.some(b, by, func(i int32) bool { visit(i); return false })
}

// some is near, but ends when test says true; it says whether that was so.
func (c *Check) some(b box, by float64, test func(i int32) bool) bool {
	g := c.grid
	for _, i := range g.long {
		if c.box[i].apart(&b) <= by && !c.stray[i] && test(i) {
			return true
		}
	}
	for _, i := range c.strays {
		if c.box[i].apart(&b) <= by && test(i) {
			return true
		}
	}
	if len(g.zones) == 0 {
		return false
	}
	var from, to [3]int
	for k := range 3 {
		at := func(v float64) int { return int(min(max((v-g.lo[k])*g.per[k], 0), float64(g.n[k]-1))) }
		from[k], to[k] = at(b.lo[k]-by), at(b.hi[k]+by)
	}
	for z := from[2]; z <= to[2]; z++ {
		for y := from[1]; y <= to[1]; y++ {
			row := (z*g.n[1] + y) * g.n[0]
			for x := from[0]; x <= to[0]; x++ {
				for _, i := range g.zones[g.start[row+x]:g.start[row+x+1]] {
					B := &c.box[i]
					if B.apart(&b) > by || len(c.stray) > 0 && c.stray[i] {
						continue
					}
					// Told in the first tile that both lie in.
					if max(from[0], g.low(B.lo[0], 0)) == x && max(from[1], g.low(B.lo[1], 1)) == y && max(from[2], g.low(B.lo[2], 2)) == z && test(i) {
						return true
					}
				}
			}
		}
	}
	return false
}

// widest returns the largest gap that any pair of traits can ask.
func (c *Check) widest() float64 {
	w := float64(meetEnds)
	for i := range c.rules.rules {
		r := &c.rules.rules[i]
		if !r.Told && !r.special() && r.Gap > w {
			w = r.Gap
		}
	}
	return w
}
