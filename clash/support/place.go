package support

import (
	"math"

	"github.com/golang/geo/r1"

	"voidline/void"
)

// Apart says how far apart supports stand, mm.
type Apart struct {
	First   float64 // the first from an end, at the most
	Most    float64 // two that follow each other, at the most
	Between float64 // and at the least: they are so wide along the run
}

// Stand is a place along a stretch.
type Stand struct {
	At    float64
	Moved float64 // from its even place, where that was not clear
}

// Place spreads supports over a stretch of stations, of which some are clear: closed intervals, ascending. They are as few as will do, and
// of so many each as near to its even place as it may stand. Gaps are what is left too long without one: from the support, or
// the end, before it to the next; there nothing better can be done, for what is clear lies too far apart.
//
//  1. The stations that a first support may have are what is clear within First of the start; those of a second what is clear and no
//     nearer than Between to one of them and no further than Most; and so on, until some are within First of the end. So the
//     fewest are found.
//  2. Where there are none, or they get no further, what is clear beyond that begins anew as after an end: the gap is told. Of
//     a stretch between two gaps the fewest supports serve that are within First of its ends.
//  3. From the last back each is chosen: the one nearest to its even place from which those before it can be reached.
func Place(from, to float64, clear []r1.Interval, a Apart) (list []Stand, gaps []r1.Interval) {
	at, done := from, from // the support, or the end, before what is wanted next; up to where stations were looked at
	for lead, ended := true, false; !ended; lead = false {
		begin := from
		if !lead {
			var found bool
			if begin, found = next(clear, math.Max(at+a.Between, done+void.Hair)); !found {
				return list, append(gaps, r1.Interval{Lo: at, Hi: to})
			}
		}
		reach := [][]r1.Interval{inside(clear, begin, begin+a.First)}
		if len(reach[0]) == 0 {
			done -= void.Hair
			continue // nothing near the start: as after a gap
		}
		last := func(k int) float64 { return reach[k][len(reach[k])-1].Hi }
		k, end := 0, to
		for {
			if last(k) >= to-a.First-void.Hair {
				ended = true
				break
			}
			r := onward(clear, reach[k], a)
			if len(r) == 0 || r[len(r)-1].Hi <= last(k)+void.Hair {
				break
			}
			reach = append(reach, r)
			k++
		}
		if !ended {
			for end = last(k); k > 0 && last(k-1) >= end-a.First-void.Hair; {
				k--
			}
		}
		chosen := choose(reach[:k+1], begin, end, a)
		if !lead || !ended {
			for i := range chosen {
				chosen[i].Moved = 0 // beside a gap no place is the even one
			}
		}
		if !lead {
			gaps = append(gaps, r1.Interval{Lo: at, Hi: chosen[0].At})
		}
		list = append(list, chosen...)
		at, done = list[len(list)-1].At, end
	}
	return list, gaps
}

// next returns the first clear station that is no less than x.
func next(clear []r1.Interval, x float64) (float64, bool) {
	for _, v := range clear {
		if v.Hi >= x {
			return math.Max(v.Lo, x), true
		}
	}
	return 0, false
}

// inside returns what intervals have between two stations.
func inside(list []r1.Interval, lo, hi float64) []r1.Interval {
	var out []r1.Interval
	for _, v := range list {
		if v = (r1.Interval{Lo: math.Max(v.Lo, lo), Hi: math.Min(v.Hi, hi)}); v.Lo <= v.Hi {
			out = append(out, v)
		}
	}
	return out
}

// onward returns the clear stations at which a support may follow one of those given.
func onward(clear, was []r1.Interval, a Apart) []r1.Interval {
	var may []r1.Interval
	for _, v := range was {
		v = r1.Interval{Lo: v.Lo + a.Between, Hi: v.Hi + a.Most}
		if n := len(may); n > 0 && v.Lo <= may[n-1].Hi {
			may[n-1].Hi = math.Max(may[n-1].Hi, v.Hi)
		} else {
			may = append(may, v)
		}
	}
	var out []r1.Interval
	for _, v := range may {
		out = append(out, inside(clear, v.Lo, v.Hi)...)
	}
	return out
}

// rounding is far less than anybody measures, and more than sums of stations lose, mm.
const rounding = 1e-6

// choose picks a station for each support of a stretch out of those that it may have.
func choose(reach [][]r1.Interval, begin, end float64, a Apart) []Stand {
	n := len(reach)
	list := make([]Stand, n)
	lo, hi := end-a.First, math.Inf(1)
	for k := n - 1; k >= 0; k-- {
		even := even(begin, end, n, k, a)
		may := inside(reach[k], lo, hi)
		if len(may) == 0 { // one station alone: within a hair of what is asked from the end, or lost in the last bits
			may = inside(reach[k], lo-void.Hair-rounding, hi+rounding)
		}
		x := nearest(may, even)
		list[k] = Stand{At: x, Moved: x - even}
		lo, hi = x-a.Most, x-a.Between
	}
	return list
}

// nearest returns the station of intervals, of which there is one at least, that is nearest to x.
func nearest(list []r1.Interval, x float64) float64 {
	best := math.Inf(1)
	for _, v := range list {
		if s := math.Max(v.Lo, math.Min(v.Hi, x)); math.Abs(s-x) < math.Abs(best-x)-void.Hair {
			best = s
		}
	}
	return best
}

// even returns the even place of the k-th of n supports over a stretch: the first and the last as far from its ends as they may be,
// the others evenly between; one alone in the middle. Where that would put two too near each other, they share the stretch.
func even(begin, end float64, n, k int, a Apart) float64 {
	first := math.Min(a.First, (end-begin)/2)
	lo, hi := begin+first, end-first
	if n == 1 {
		return (lo + hi) / 2
	}
	if hi-lo < a.Between*float64(n-1) {
		share := (end - begin) / float64(2*n)
		lo, hi = begin+share, end-share
	}
	return lo + (hi-lo)*float64(k)/float64(n-1)
}
