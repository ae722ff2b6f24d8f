package scene

import (
	"math/rand"
	"slices"
	"testing"
)

// awkward returns boxes that begin and end on the edges of tiles, a little beside them, and anywhere; flat ones, long ones,
// and ones of nothing.
func awkward(rng *rand.Rand, n int, side float64) []Box {
	boxes := make([]Box, n)
	at := func(size float64) float64 {
		v := rng.Float64() * side
		if rng.Intn(2) == 0 {
			v = float64(rng.Intn(int(side/size)+1)) * size
		}
		return v + []float64{0, 0, 1e-9, -1e-9, 0.004, -0.004}[rng.Intn(6)]
	}
	for i := range boxes {
		if rng.Intn(20) == 0 {
			boxes[i] = Nowhere
			continue
		}
		for k, size := range [3]float64{tilePlan, tilePlan, tileHigh} {
			lo := at(size)
			hi := lo
			switch rng.Intn(6) {
			case 0: // flat
			case 1:
				hi += rng.Float64() * 10 * size
			case 2:
				hi = max(lo, at(size))
			default:
				hi += rng.Float64() * size
			}
			boxes[i].Lo[k], boxes[i].Hi[k] = lo, hi
		}
	}
	return boxes
}

// Every pair of grown boxes that meet is told in one tile, every box near a query is visited once, and hardly anything else.
func TestGridAgainstAll(t *testing.T) {
	grows := []float64{0.01, 0.01, 25, 300}
	want, extra, sorted := 0, 0, 0
	for seed := range int64(60) {
		rng := rand.New(rand.NewSource(seed))
		side := []float64{50, 3000, 20000, 90000, 2e6}[rng.Intn(5)]
		boxes := awkward(rng, 50+rng.Intn(400), side)
		traits := make([]int32, len(boxes))
		for i := range traits {
			traits[i] = int32(rng.Intn(len(grows)))
		}
		g := lay(boxes, traits, grows, 1+rng.Intn(3))
		long := map[int32]bool{}
		for _, i := range g.long {
			long[i] = true
		}
		told := map[Pair]int{}
		for k := 0; k+1 < len(g.start); k++ {
			in := g.in[g.start[k]:g.start[k+1]]
			for i := range in {
				for j := i + 1; j < len(in); j++ {
					if len(in) >= sweepFrom {
						sorted++
						if in[j].lo < in[i].lo {
							t.Fatalf("seed %d: a tile of %d is not sorted", seed, len(in))
						}
						if in[j].lo > in[i].hi|1<<laneX-1 {
							break
						}
					}
					if in[i].meet(&in[j]) {
						told[ordered(in[i].at, in[j].at)]++
					}
				}
			}
		}
		slack := 5 * max(g.size[0], g.size[2]) / figFine
		for a := range int32(len(boxes)) {
			for b := a + 1; b < int32(len(boxes)); b++ {
				if boxes[a].Gone() || boxes[b].Gone() || long[a] || long[b] {
					if told[Pair{a, b}] > 0 {
						t.Fatalf("seed %d: %d and %d are told", seed, a, b)
					}
					continue
				}
				over := boxes[a].Apart(&boxes[b]) - grows[traits[a]] - grows[traits[b]]
				n := told[Pair{a, b}]
				if over <= -1e-6 {
					want++
				}
				if n > 1 || n == 0 && over <= -1e-6 || n == 1 && over > slack {
					t.Fatalf("seed %d: %d and %d, %g mm beyond what they grow, are told %d times", seed, a, b, over, n)
				}
				if n == 1 && over > 0 {
					extra++
				}
			}
		}
		for range 40 {
			q := awkward(rng, 1, side)[0]
			by := []float64{0, 0.001, 25, 400, 5000}[rng.Intn(5)]
			if rng.Intn(4) == 0 {
				q = Column(q)
			}
			visits := map[int32]int{}
			g.some(&q, by, func(i int32) bool { visits[i]++; return false })
			for i := range int32(len(boxes)) {
				if boxes[i].Gone() && visits[i] > 0 {
					t.Fatalf("seed %d: %d is nothing and is visited", seed, i)
				}
				over := boxes[i].Apart(&q) - by
				if n := visits[i]; n > 1 || n == 0 && over <= -1e-6 {
					t.Fatalf("seed %d: %d, %g mm beyond, is visited %d times", seed, i, over, n)
				}
			}
		}
	}
	if want < 100_000 || extra > want/50 || sorted < 1000 {
		t.Errorf("%d pairs, %d more told, %d in sorted tiles", want, extra, sorted)
	}
}

// Zones that move after the grid was laid are found where they are, each once; those that are back where they were stray no more.
func TestStrays(t *testing.T) {
	found := 0
	for seed := range int64(40) {
		rng := rand.New(rand.NewSource(seed))
		const side = 20000
		home := awkward(rng, 300, side)
		s := &Scene{Boxes: slices.Clone(home), TraitAt: make([]int32, len(home)), stray: map[int32]place{}}
		s.Grid = lay(s.Boxes, s.TraitAt, []float64{25}, 1)
		put := func(i int32, b Box) {
			was := place{s.Boxes[i], s.TraitAt[i]}
			s.Boxes[i] = b
			s.strayed(i, was)
		}
		for range 60 {
			i := int32(rng.Intn(len(home)))
			if rng.Intn(3) == 0 {
				put(i, home[i])
			} else {
				put(i, awkward(rng, 1, side)[0])
			}
			q := awkward(rng, 1, side)[0]
			visits := map[int32]int{}
			s.Near(q, 25, func(i int32) { visits[i]++ })
			for i := range int32(len(home)) {
				if near := s.Boxes[i].Apart(&q) <= 25; visits[i] > 1 || near && visits[i] != 1 || !near && visits[i] > 0 {
					t.Fatalf("seed %d: %d is visited %d times, near %t", seed, i, visits[i], near)
				}
				found += visits[i]
			}
		}
		for i := range home {
			put(int32(i), home[i])
		}
		if len(s.strays) > 0 || len(s.stray) > 0 {
			t.Fatalf("seed %d: all are back, and %d stray", seed, len(s.strays))
		}
	}
	if found < 1000 {
		t.Errorf("%d found", found)
	}
}

// A tile that holds very many is looked at in several jobs.
func TestTileOfManyIsCut(t *testing.T) {
	boxes := make([]Box, 2000)
	for i := range boxes {
		boxes[i] = Box{[3]float64{100, 100, 100}, [3]float64{200, 200, 200}}
	}
	cut := 0
	for _, j := range lay(boxes, make([]int32, len(boxes)), []float64{10}, 2).jobs() {
		if j.last > 0 {
			cut++
		}
	}
	if cut < 2 {
		t.Fatalf("%d jobs are part of a tile", cut)
	}
}
