package body

import (
	"fmt"
	"math"
	"testing"
)

// Clear is never wrong: what it calls clear is.
func TestClear(t *testing.T) {
	n, clear, told, edge := 0, 0, 0, 0
	forSites(t, 19, *pairs, every, every, func(r maker, a, b Body) string {
		m := gap(a, b).MM
		for _, g := range []float64{0, 25, m / 2, m - 1e-3, m, m + 2e-6, m + 1, 2*m + 1} {
			n++
			is := Clear(a, b, g)
			if is && m < g-1e-6 && m < g-1e-11*longest(a, b) {
				return fmt.Sprintf("Clear by %v, but they are %v apart", g, m)
			}
			if g <= 0 && !is {
				return fmt.Sprintf("not clear by %v", g)
			}
			if g == m/2 && m > 0 {
				clear++
				if is {
					told++
				}
			}
			if g == m-1e-3 && g > 0 && is {
				edge++
			}
		}
		return ""
	})
	t.Logf("%d questions; of %d pairs clear by twice what is asked %d are told, of as many clear by a hair more %d", n, clear, told, edge)
	if told < clear*8/10 {
		t.Errorf("of %d pairs clear by twice what is asked only %d are told", clear, told)
	}
}

// Pairs as drawn on a job: most that are clear are told.
func TestClearOnTheJob(t *testing.T) {
	for i := 0; i < shapes; i++ {
		for j := i; j < shapes; j++ {
			r := newMaker(seed+20, uint64(i*shapes+j))
			clear, told := 0, 0
			for range 400 {
				a, b := r.job(i), r.job(j)
				if gap(a, b).MM >= 100 {
					clear++
					if Clear(a, b, 100) {
						told++
					}
				}
			}
			if told < int(math.Floor(0.9*float64(clear))) {
				t.Errorf("%s/%s: of %d pairs 100 mm clear only %d are told", shapeNames[i], shapeNames[j], clear, told)
			}
		}
	}
}
