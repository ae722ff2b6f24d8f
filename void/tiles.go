package void

import (
	"slices"

	"github.com/golang/geo/r2"
)

// tiles finds what lies near a plan rectangle: entries in square tiles of one size. Entries over too
// many tiles are kept apart and always looked at.
type tiles struct {
	size   float64 // mm
	x0, y0 int32   // the first tile
	nx, ny int32
	start  []int32 // of each tile in in, row by row; one more at the end
	in     []int32
	big    []int32
	all    []int32
	later  map[[2]int32][]int32 // entries that were added after
}

const (
	tileSize = 8000.0 // mm, about a bay, so that most entries lie in one to four tiles
	tileMost = 1024   // tiles that one entry or one question may cover
	tileEach = 8      // tiles an entry that there may be at the most: where it is scattered more, tiles are larger
)

// span returns the tiles that a rectangle lies over, and whether they are few.
func (t *tiles) span(r r2.Rect) (x0, x1, y0, y1 int32, few bool) {
	x0, x1, y0, y1 = t.tile(r.X.Lo), t.tile(r.X.Hi), t.tile(r.Y.Lo), t.tile(r.Y.Hi)
	return x0, x1, y0, y1, int64(x1-x0+1)*int64(y1-y0+1) <= tileMost
}

func (t *tiles) tile(v float64) int32 {
	v /= t.size
	i := int32(v)
	if float64(i) > v {
		i--
	}
	return i
}

// lay puts entries into new tiles: the numbers, ascending, and the plan of each.
func lay(entries []int32, plan func(int32) r2.Rect) tiles {
	t := tiles{size: tileSize, all: entries}
	if len(entries) == 0 {
		return t
	}
	whole := r2.EmptyRect()
	for _, i := range entries {
		whole = whole.Union(plan(i))
	}
	for {
		x0, x1, y0, y1, _ := t.span(whole)
		t.x0, t.y0, t.nx, t.ny = x0, y0, x1-x0+1, y1-y0+1
		if int64(t.nx)*int64(t.ny) <= int64(tileEach*len(entries)+64) {
			break
		}
		t.size *= 1.5
	}
	t.start = make([]int32, t.nx*t.ny+1)
	each := func(put func(tile, entry int32)) {
		for _, i := range entries {
			x0, x1, y0, y1, few := t.span(plan(i))
			if !few {
				put(-1, i)
				continue
			}
			for y := y0 - t.y0; y <= y1-t.y0; y++ {
				for x := x0 - t.x0; x <= x1-t.x0; x++ {
					put(y*t.nx+x, i)
				}
			}
		}
	}
	each(func(tile, entry int32) {
		if tile < 0 {
			t.big = append(t.big, entry)
			return
		}
		t.start[tile+1]++
	})
	for i := 1; i < len(t.start); i++ {
		t.start[i] += t.start[i-1]
	}
	t.in = make([]int32, t.start[len(t.start)-1])
	next := slices.Clone(t.start)
	each(func(tile, entry int32) {
		if tile >= 0 {
			t.in[next[tile]] = entry
			next[tile]++
		}
	})
	return t
}

// add adds an entry that may have been there before, elsewhere: near goes on to return it there too.
func (t *tiles) add(r r2.Rect, i int32) {
	if t.size == 0 {
		t.size = tileSize
	}
	put := func(list []int32) []int32 {
		if k, there := slices.BinarySearch(list, i); !there {
			return slices.Insert(slices.Clip(list), k, i)
		}
		return list
	}
	t.all = put(t.all)
	x0, x1, y0, y1, few := t.span(r)
	if !few {
		t.big = put(t.big)
		return
	}
	if t.later == nil {
		t.later = map[[2]int32][]int32{}
	}
	for x := x0; x <= x1; x++ {
		for y := y0; y <= y1; y++ {
			k := [2]int32{x, y}
			t.later[k] = put(t.later[k])
		}
	}
}

// near returns the entries that may touch the rectangle, each once, ascending. It reuses into.
func (t *tiles) near(r r2.Rect, into []int32) []int32 {
	into = into[:0]
	if len(t.all) == 0 {
		return into
	}
	x0, x1, y0, y1, few := t.span(r)
	if !few {
		return append(into, t.all...)
	}
	for y := max(y0, t.y0); y <= min(y1, t.y0+t.ny-1); y++ {
		for x := max(x0, t.x0); x <= min(x1, t.x0+t.nx-1); x++ {
			k := (y-t.y0)*t.nx + x - t.x0
			into = append(into, t.in[t.start[k]:t.start[k+1]]...)
		}
	}
	if t.later != nil {
		for x := x0; x <= x1; x++ {
			for y := y0; y <= y1; y++ {
				into = append(into, t.later[[2]int32{x, y}]...)
			}
		}
	}
	into = append(into, t.big...)
	if x0 == x1 && y0 == y1 && len(t.big) == 0 && t.later == nil {
		return into
	}
	slices.Sort(into)
	return slices.Compact(into)
}
