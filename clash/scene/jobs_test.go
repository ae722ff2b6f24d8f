package scene

import (
	"slices"
	"testing"
)

// Jobs take each tile once: tiles of few together, one of 1000 in parts of 262, for 262 times 1000 are the most pairs of one job, and
// what lies in many tiles by itself.
func TestJobs(t *testing.T) {
	for _, test := range []struct {
		in   []int // entries by tile
		long int
		want []job
	}{
		{[]int{}, 0, nil},
		{[]int{10, 0, 20}, 0, []job{{0, 3, 0, 0}}},
		{[]int{10, 20, 1000, 5, 5}, 0, []job{{0, 2, 0, 0}, {2, 3, 0, 262}, {2, 3, 262, 524}, {2, 3, 524, 786}, {2, 3, 786, 1000}, {3, 5, 0, 0}}},
		{[]int{1000, 3}, 2, []job{{0, 1, 0, 262}, {0, 1, 262, 524}, {0, 1, 524, 786}, {0, 1, 786, 1000}, {1, 2, 0, 0}, {from: -1}, {from: -2}}},
		// 700 times 700 / 2 are 245,000 pairs, of 262,144: a second such tile fills the job.
		{[]int{700, 700, 3, 700, 700}, 0, []job{{0, 2, 0, 0}, {2, 5, 0, 0}}},
		// 512 times 512 / 2 are half of them; and 69 tiles of 60 are the first to make 4096 entries.
		{slices.Repeat([]int{512}, 5), 0, []job{{0, 2, 0, 0}, {2, 4, 0, 0}, {4, 5, 0, 0}}},
		{slices.Repeat([]int{60}, 100), 0, []job{{0, 69, 0, 0}, {69, 100, 0, 0}}},
	} {
		g := &Grid{start: []int32{0}, long: make([]int32, test.long)}
		at := 0
		for _, n := range test.in {
			at += n
			g.start = append(g.start, int32(at))
		}
		if got := g.jobs(); !slices.Equal(got, test.want) {
			t.Errorf("jobs of %v and %d long = %v, want %v", test.in, test.long, got, test.want)
		}
	}
}
