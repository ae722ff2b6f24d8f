package scene

import (
	"slices"
	"sync"
	"testing"
)

// Every block is taken, however few take them.
func TestBlocks(t *testing.T) {
	for _, test := range []struct{ workers, n, size int }{{1, 10, 3}, {2, 1000, 7}, {4, 5, 10}, {3, 0, 10}, {2, 20, 10}} {
		s := &Scene{Workers: test.workers}
		seen := make([]int, test.n)
		var mu sync.Mutex
		s.Blocks(test.n, test.size, func(from, to int) {
			mu.Lock()
			defer mu.Unlock()
			if to-from > test.size {
				t.Errorf("%+v: a block from %d to %d", test, from, to)
			}
			for i := from; i < to; i++ {
				seen[i]++
			}
		})
		if slices.ContainsFunc(seen, func(n int) bool { return n != 1 }) {
			t.Errorf("%+v: taken %v times", test, seen)
		}
	}
}

// What lies over as many tiles as one may is in each of them, what lies over one more is in the long list and in none.
func TestLayAtTheMostTiles(t *testing.T) {
	const others = 300 // so many that the tiles stay as small as they are, for the grid goes on after the strip
	for _, test := range []struct{ over, long, in int }{{tilesMost - 1, 0, tilesMost - 1}, {tilesMost, 0, tilesMost}, {tilesMost + 1, 1, 0}} {
		boxes := []Box{{[3]float64{0, 1, 1}, [3]float64{float64(test.over)*tilePlan - 1, 2, 2}}}
		for range others {
			boxes = append(boxes, Box{[3]float64{300 * tilePlan, 1, 1}, [3]float64{300*tilePlan + 1, 2, 2}})
		}
		g := lay(boxes, nil, nil, 1)
		if s := g.spanOf(&boxes[0], 0); g.size[0] != tilePlan || s.tiles() != test.over {
			t.Fatalf("the strip lies over %d tiles of %v, not %d", s.tiles(), g.size[0], test.over)
		}
		n := 0
		for _, e := range g.in {
			if e.at == 0 && e.hi > 0 {
				n++
			}
		}
		if len(g.long) != test.long || n != test.in || len(g.in) != n+others {
			t.Errorf("over %d tiles: %d in the long list, in %d tiles, %d entries; want %d, %d and %d", test.over, len(g.long), n, len(g.in), test.long, test.in, test.in+others)
		}
	}
}
