package clash

import (
	"context"
	"math"
	"slices"
	"sync"
)

// The search finds every pair of zones whose boxes are nearer than any rule between the two can ask.
//
//  1. Boxes grown by half the largest gap of all rules are put into cubic tiles; an entry is a tile's
//     number and a zone. Zones over very many tiles go into a list of their own.
//  2. Entries are sorted by tile, then by the box's low x, so that each tile is swept along x.
//  3. A pair is told only in the tile that holds the low corner of what the two grown boxes share,
//     so that it is told once.
const (
	tilePlan   = 6000.0 // mm
	tileHigh   = 1500.0 // mm
	tilesMost  = 512    // tiles of one zone before it goes into the long list
	pairsBatch = 1 << 12
)

type entry struct {
	key  uint64
	x    float32
	zone int32
}

type pair struct{ a, b int32 }

func tileAt(v, size float64) int64 { return int64(math.Floor(v / size)) }

func tileKey(x, y, z int64) uint64 {
	// 10 km / 6 m fits 12 bits, 2 km / 1.5 m fits 12: 21 bits each leave room.
	const off = 1 << 20
	return uint64(x+off)<<42 | uint64(y+off)<<21 | uint64(z+off)
}

// candidates calls each with the near pairs of every batch, from several goroutines at once; batches
// are numbered so that the caller can put their answers in order.
func (c *Check) candidates(ctx context.Context, each func(batch int, pairs []pair)) (batches int, err error) {
	n := c.p.Zones()
	grow := c.widest() / 2
	var entries []entry
	var long []int32
	for i := 0; i < n; i++ {
		b := &c.box[i]
		x0, x1 := tileAt(b.lo[0]-grow, tilePlan), tileAt(b.hi[0]+grow, tilePlan)
		y0, y1 := tileAt(b.lo[1]-grow, tilePlan), tileAt(b.hi[1]+grow, tilePlan)
		z0, z1 := tileAt(b.lo[2]-grow, tileHigh), tileAt(b.hi[2]+grow, tileHigh)
		if (x1-x0+1)*(y1-y0+1)*(z1-z0+1) > tilesMost {
			long = append(long, int32(i))
			continue
		}
		for x := x0; x <= x1; x++ {
			for y := y0; y <= y1; y++ {
				for z := z0; z <= z1; z++ {
					entries = append(entries, entry{tileKey(x, y, z), float32(b.lo[0]), int32(i)})
				}
			}
		}
	}
	if err := ctx.Err(); err != nil {
		return 0, err
	}
	slices.SortFunc(entries, func(a, b entry) int {
		switch {
		case a.key != b.key:
			if a.key < b.key {
				return -1
			}
			return 1
		case a.x != b.x:
			if a.x < b.x {
				return -1
			}
			return 1
		}
		return int(a.zone) - int(b.zone)
	})
	// Cut the sorted entries into chunks at tile borders.
	var cuts []int
	for at := 0; at < len(entries); {
		end := min(at+pairsBatch, len(entries))
		for end < len(entries) && entries[end].key == entries[end-1].key {
			end++
		}
		cuts = append(cuts, at)
		at = end
	}
	cuts = append(cuts, len(entries))
	jobs := len(cuts) - 1
	total := jobs + len(long)
	work := make(chan int)
	var wg sync.WaitGroup
	for w := 0; w < c.workers(); w++ {
		wg.Add(1)
		go func() {
			defer wg.Done()
			h := c.chooser()
			var pairs []pair
			for job := range work {
				pairs = pairs[:0]
				if job < jobs {
					pairs = c.sweep(h, entries[cuts[job]:cuts[job+1]], grow, pairs)
				} else {
					pairs = c.longPairs(h, long, job-jobs, pairs)
				}
				if len(pairs) > 0 {
					each(job, pairs)
				}
			}
		}()
	}
	for job := 0; job < total && ctx.Err() == nil; job++ {
		work <- job
	}
	close(work)
	wg.Wait()
	return total, ctx.Err()
}

// sweep finds the pairs told in the tiles of a chunk.
func (c *Check) sweep(h *chooser, es []entry, grow float64, pairs []pair) []pair {
	for at := 0; at < len(es); {
		end := at
		for end < len(es) && es[end].key == es[at].key {
			end++
		}
		for i := at; i < end; i++ {
			a := es[i].zone
			A := &c.box[a]
			for j := i + 1; j < end; j++ {
				b := es[j].zone
				B := &c.box[b]
				if B.lo[0] > A.hi[0]+2*grow {
					if float64(es[j].x) > A.hi[0]+2*grow+1 {
						break // sorted by a rounded x: one more for the rounding
					}
					continue
				}
				if A.apart(B) > 2*grow {
					continue
				}
				// The tile of the low corner of what the grown boxes share.
				k := tileKey(
					tileAt(max(A.lo[0], B.lo[0])-grow, tilePlan),
					tileAt(max(A.lo[1], B.lo[1])-grow, tilePlan),
					tileAt(max(A.lo[2], B.lo[2])-grow, tileHigh))
				if k != es[i].key {
					continue
				}
				if c.wanted(h, a, b) {
					pairs = append(pairs, ordered(a, b))
				}
			}
		}
		at = end
	}
	return pairs
}

// longPairs finds the pairs of one zone of the long list with all others; of two long ones the later
// tells.
func (c *Check) longPairs(h *chooser, long []int32, k int, pairs []pair) []pair {
	a := long[k]
	for b := int32(0); b < int32(len(c.box)); b++ {
		if b == a {
			continue
		}
		if at, isLong := slices.BinarySearch(long, b); isLong && at > k {
			continue
		}
		if c.wanted(h, a, b) {
			pairs = append(pairs, ordered(a, b))
		}
	}
	return pairs
}

func ordered(a, b int32) pair {
	if a < b {
		return pair{a, b}
	}
	return pair{b, a}
}

// wanted reports whether a rule, or an overlap, can come of the pair.
func (c *Check) wanted(h *chooser, a, b int32) bool {
	if c.structure(a) && c.structure(b) {
		return false
	}
	need := h.of(c.trait(a), c.trait(b)).need
	if c.rules.tiles != nil && c.zone(a).Recessed != c.zone(b).Recessed {
		need = max(need, meetEnds) // what comes down to a fitting in the ceiling is no bar to lifting tiles
	}
	return c.box[a].apart(&c.box[b]) <= need
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
