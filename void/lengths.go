package void

import (
	"math"
	"slices"
	"strings"

	"github.com/golang/geo/r2"
)

// RunLength is one continuous length of a run: rows that follow each other end to end, in order, as its setting-out sheet goes along it.
type RunLength struct {
	Pieces []RunPiece
	Length float64 // mm in plan
}

// RunPiece is one row of a length with its stations, mm in plan from the start of the length.
type RunPiece struct {
	Zone     int
	From, To float64
	Reversed bool // the length goes through the row from its end to its start
}

// RunJoint is how near ends of rows of a run are, mm in plan, that still meet.
const RunJoint = 50.0

// RunLengths puts rows of one run in order: a run that branches or has gaps comes back in several lengths, the longest first. A length begins as the
// first of its rows by id is drawn, wherever that stands in the tables.
func (p *Project) RunLengths(rows []int) []RunLength {
	rows = slices.SortedFunc(slices.Values(rows), func(i, j int) int { return Natural(p.Zone(i).ID, p.Zone(j).ID) })
	var out []RunLength
	used := map[int]bool{}
	ends := func(i int) [2]r2.Point { return p.Zone(i).Bare().PlanEnds() }
	// touching returns another row with an end at a point, false where there is none or the run branches there.
	touching := func(at r2.Point, not int) (int, bool) {
		found, n := -1, 0
		for _, j := range rows {
			if j == not {
				continue
			}
			e := ends(j)
			if e[0].Sub(at).Norm() <= RunJoint || e[1].Sub(at).Norm() <= RunJoint {
				n++
				if !used[j] {
					found = j
				}
			}
		}
		return found, n == 1 && found >= 0
	}
	for len(used) < len(rows) {
		// Begin at a free end; where there is none (a ring), at the first row.
		first, rev := -1, false
		for _, i := range rows {
			if used[i] {
				continue
			}
			e := ends(i)
			for k := 0; k < 2 && first < 0; k++ {
				if _, on := touching(e[k], i); !on {
					first, rev = i, k == 1
				}
			}
			if first >= 0 {
				break
			}
		}
		if first < 0 {
			for _, i := range rows {
				if !used[i] {
					first = i
					break
				}
			}
		}
		var l RunLength
		for i, ok := first, true; ok; {
			used[i] = true
			b := p.Zone(i).Bare()
			n := 2 * math.Hypot(b.Along.X, b.Along.Y)
			l.Pieces = append(l.Pieces, RunPiece{Zone: i, From: l.Length, To: l.Length + n, Reversed: rev})
			l.Length += n
			at := ends(i)[1]
			if rev {
				at = ends(i)[0]
			}
			var next int
			if next, ok = touching(at, i); ok {
				rev = ends(next)[1].Sub(at).Norm() < ends(next)[0].Sub(at).Norm()
				i = next
			}
		}
		out = append(out, l)
	}
	slices.SortStableFunc(out, func(a, b RunLength) int {
		switch {
		case a.Length > b.Length+Hair:
			return -1
		case b.Length > a.Length+Hair:
			return 1
		}
		return Natural(p.Zone(a.Pieces[0].Zone).ID, p.Zone(b.Pieces[0].Zone).ID)
	})
	return out
}

// isLength reports whether a row is a straight length of a service with a place.
func (p *Project) isLength(z *Zone) bool {
	return !z.Gone && !z.Item && !z.Upright && !z.ByHeight && !p.characters[z.Char].Structure()
}

// runKey is the form in which names of runs are compared.
func runKey(name string) string { return strings.ToLower(name) }
