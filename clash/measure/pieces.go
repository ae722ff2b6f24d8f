package measure

import (
	"cmp"
	"math"
	"slices"

	"github.com/golang/geo/r3"

	"voidline/clash/rules"
	"voidline/void"
	"voidline/void/body"
)

// Piece is a stretch of a length, between two of its stations.
type Piece struct {
	Row    int // which length; those of one number have one body
	B      body.Body
	Lo, Hi float64
	Side   int8 // of what counts on one side of a length: 1 left, -1 right of it; 0 where it is all one
}

// JoinUp gathers the pieces that join end to end, by their number in the list, and says how long each gathering is along
// its lengths. Pieces of one length join where no more than meetEnds (as ends of a run do) is between them, pieces of two
// lengths where the ends of these meet and no more than that is left of either; and only what is on the same side of both,
// whichever way each is drawn. Pieces are in the order of their rows.
func JoinUp(ps []Piece) (of []int, long map[int]float64) {
	of = make([]int, len(ps))
	for k := range of {
		of[k] = k
	}
	root := func(k int) int {
		for of[k] != k {
			of[k] = of[of[k]]
			k = of[k]
		}
		return k
	}
	join := func(a, b int) {
		if a, b = root(a), root(b); a != b {
			of[max(a, b)] = min(a, b)
		}
	}
	order := make([]int, len(ps))
	for k := range order {
		order[k] = k
	}
	slices.SortFunc(order, func(x, y int) int {
		a, b := &ps[x], &ps[y]
		return cmp.Or(cmp.Compare(a.Row, b.Row), cmp.Compare(a.Side, b.Side), cmp.Compare(a.Lo, b.Lo), cmp.Compare(a.Hi, b.Hi), cmp.Compare(x, y))
	})
	type tip struct {
		at    r3.Vector
		left  float64 // of the length, beyond the piece
		side  int8    // the piece's, as seen looking out of this end
		piece int
	}
	var tips []tip
	for n, k := range order {
		p := &ps[k]
		half := LengthOf(p.B) / 2
		if n == 0 || ps[order[n-1]].Row != p.Row || ps[order[n-1]].Side != p.Side {
			// The first of a row, or of one side of it.
		} else if far := order[n-1]; (p.Lo-ps[far].Hi)*half <= rules.MeetEnds+void.Hair {
			join(far, k)
			if ps[far].Hi > p.Hi { // what reaches furthest stands for all before it
				order[n] = far
			}
		}
		for _, t := range [2]tip{{p.B.Centre.Sub(p.B.Along), (p.Lo + 1) * half, -p.Side, k}, {p.B.Centre.Add(p.B.Along), (1 - p.Hi) * half, p.Side, k}} {
			if t.left <= rules.MeetEnds+void.Hair {
				tips = append(tips, t)
			}
		}
	}
	slices.SortFunc(tips, func(a, b tip) int { return cmp.Compare(a.at.X, b.at.X) })
	for x := range tips {
		for _, o := range tips[x+1:] {
			if o.at.X-tips[x].at.X > rules.MeetEnds+void.Hair {
				break
			}
			if ps[o.piece].Row != ps[tips[x].piece].Row && o.side+tips[x].side == 0 && o.at.Sub(tips[x].at).Norm() <= rules.MeetEnds+void.Hair && o.left+tips[x].left <= rules.MeetEnds+void.Hair {
				join(o.piece, tips[x].piece)
			}
		}
	}
	long = map[int]float64{}
	for at := 0; at < len(ps); {
		end := at
		here := map[int][]Piece{} // of one row, by gathering
		for end < len(ps) && ps[end].Row == ps[at].Row {
			here[root(end)] = append(here[root(end)], ps[end])
			end++
		}
		for k, list := range here {
			long[k] += Covered(list, func(p Piece) (float64, float64) { return p.Lo, p.Hi }) / 2 * LengthOf(ps[at].B)
		}
		at = end
	}
	for k := range of {
		of[k] = root(k)
	}
	return of, long
}

// Longest returns the greatest length over which pieces join end to end.
func Longest(ps []Piece) float64 {
	most := 0.0
	_, long := JoinUp(ps)
	for _, l := range long {
		most = math.Max(most, l)
	}
	return most
}
