package void

import (
	"math"
	"slices"

	"github.com/golang/geo/r2"
)

// tiles finds what lies near a plan rectangle: entries in square tiles of one size. Entries over too
// many tiles are kept apart and always looked at.
type tiles struct {
	at  map[[2]int32][]int32
	big []int32
	all []int32
}

const (
	tileSize = 8000.0 // mm, about a bay, so that most entries lie in one to four tiles
	tileMost = 1024   // tiles that one entry or one question may cover
)

func tileRange(r r2.Rect) (x0, x1, y0, y1 int32, few bool) {
	f := func(v float64) int32 { return int32(math.Floor(v / tileSize)) }
	x0, x1, y0, y1 = f(r.X.Lo), f(r.X.Hi), f(r.Y.Lo), f(r.Y.Hi)
	return x0, x1, y0, y1, int64(x1-x0+1)*int64(y1-y0+1) <= tileMost
}

func (t *tiles) add(r r2.Rect, i int32) {
	if t.at == nil {
		t.at = map[[2]int32][]int32{}
	}
	t.all = append(t.all, i)
	x0, x1, y0, y1, few := tileRange(r)
	if !few {
		t.big = append(t.big, i)
		return
	}
	for x := x0; x <= x1; x++ {
		for y := y0; y <= y1; y++ {
			k := [2]int32{x, y}
			t.at[k] = append(t.at[k], i)
		}
	}
}

// near returns the entries that may touch the rectangle, each once, in ascending order of adding. It
// reuses into.
func (t *tiles) near(r r2.Rect, into []int32) []int32 {
	into = into[:0]
	x0, x1, y0, y1, few := tileRange(r)
	if !few {
		return append(into, t.all...)
	}
	for x := x0; x <= x1; x++ {
		for y := y0; y <= y1; y++ {
			into = append(into, t.at[[2]int32{x, y}]...)
		}
	}
	into = append(into, t.big...)
	slices.Sort(into)
	return slices.Compact(into)
}
