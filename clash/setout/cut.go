package setout

import (
	"math"
	"slices"
)

// Cut is one stock length and what is cut from it, longest first.
type Cut struct {
	Stock  float64
	Pieces []float64
	Left   float64 // what is left over, mm
	Times  int     // how many stock lengths are cut alike
}

// CutList says how pieces are cut from stock.
type CutList struct {
	Cuts  []Cut
	Total float64 // of the stock, mm
	Bound float64 // no cutting takes less stock than this
	Exact bool    // Total is the least there is
	Long  []float64
}

const (
	cutVisits = 300000 // places of a piece that are tried before the best so far stands with its bound
)

// CutStock cuts pieces from stock lengths with the least stock, mm; kerf is lost at each cut. Pieces longer than the
// longest stock come back in Long: they want a coupler.
//
// Rods come in few lengths and many of each: where there are no more than mostStates ways of having some of each
// left, the least stock for every one of them is worked out (from the longest piece left, into each stock length with
// each choice of others that leaves no room for one more), and the answer is exact.
//
// Else branch and bound: pieces are placed longest first, each into every open length with a different rest and into a new
// one of each stock length. A branch is left when the stock in use, and what the pieces that do not fit into its
// rests want at least, come to no less than the best so far. Equal pieces go into lengths in order. After
// cutVisits the best so far stands, with the bound: what is in it more than the bound is the most that could be saved.
func CutStock(pieces, stock []float64, kerf float64) CutList {
	var list CutList
	stock = slices.Clone(stock)
	slices.Sort(stock)
	stock = slices.Compact(stock)
	if len(stock) == 0 {
		list.Long = slices.Clone(pieces)
		return list
	}
	longest := stock[len(stock)-1]
	var ps []float64
	for _, p := range pieces {
		if p > longest+1e-9 {
			list.Long = append(list.Long, p)
			continue
		}
		ps = append(ps, p)
	}
	slices.SortFunc(ps, func(a, b float64) int {
		switch {
		case a > b:
			return -1
		case a < b:
			return 1
		}
		return 0
	})
	if len(ps) == 0 {
		list.Exact = true
		return list
	}
	s := cutter{ps: ps, stock: stock, kerf: kerf, in: make([]int, len(ps)), best: math.Inf(1)}
	s.rest = make([]float64, len(ps)+1)
	for i := len(ps) - 1; i >= 0; i-- {
		s.rest[i] = s.rest[i+1] + ps[i]
	}
	s.unit = commonUnit(stock)
	if !s.byCounts() {
		s.place(0, 0)
	}
	list.Total, list.Exact = s.best, s.visits < cutVisits
	list.Bound = s.roundUp(s.rest[0])
	if list.Exact {
		list.Bound = list.Total
	}
	list.Exact = list.Exact || list.Bound >= list.Total-1e-9
	bins := map[int]*Cut{}
	for i, b := range s.bestIn {
		if bins[b] == nil {
			bins[b] = &Cut{Stock: s.bestStock[b], Times: 1}
		}
		bins[b].Pieces = append(bins[b].Pieces, ps[i])
	}
	for b := range len(s.bestStock) {
		c := bins[b]
		used := -kerf
		for _, p := range c.Pieces {
			used += p + kerf
		}
		c.Left = math.Max(0, c.Stock-used)
		if k := slices.IndexFunc(list.Cuts, func(o Cut) bool { return o.Stock == c.Stock && slices.Equal(o.Pieces, c.Pieces) }); k >= 0 {
			list.Cuts[k].Times++
		} else {
			list.Cuts = append(list.Cuts, *c)
		}
	}
	return list
}

// mostStates is how many states are worked out before branch and bound takes over.
const mostStates = 20000

// byCounts finds the least stock by how many of each length are left; false where there are too many states.
func (s *cutter) byCounts() bool {
	var sizes []float64
	var all []int
	states := 1
	for i, p := range s.ps {
		if i == 0 || p != s.ps[i-1] {
			sizes, all = append(sizes, p), append(all, 0)
		}
		all[len(all)-1]++
	}
	for _, n := range all {
		if states *= n + 1; states > mostStates {
			return false
		}
	}
	type state struct {
		total float64
		take  []int
		stock float64
	}
	seen := map[int]state{}
	key := func(left []int) int {
		k := 0
		for i, n := range left {
			k = k*(all[i]+1) + n
		}
		return k
	}
	var least func(left []int) float64
	least = func(left []int) float64 {
		first := slices.IndexFunc(left, func(n int) bool { return n > 0 })
		if first < 0 {
			return 0
		}
		k := key(left)
		if st, ok := seen[k]; ok {
			return st.total
		}
		best := state{total: math.Inf(1)}
		take := make([]int, len(left))
		for _, length := range slices.Backward(s.stock) {
			if sizes[first] > length+1e-9 {
				continue
			}
			// Choose from size i on with room left; nothing more may fit in the end.
			var choose func(i int, room float64)
			choose = func(i int, room float64) {
				if i == len(left) {
					for j := range left {
						if take[j] < left[j] && sizes[j] <= room+1e-9 {
							return
						}
					}
					rest := slices.Clone(left)
					for j := range rest {
						rest[j] -= take[j]
					}
					if t := length + least(rest); t < best.total-1e-9 {
						best = state{t, slices.Clone(take), length}
					}
					return
				}
				most := min(left[i], int(math.Floor((room+s.kerf)/(sizes[i]+s.kerf)+1e-9)))
				from := 0
				if i == first {
					from = 1
				}
				for n := most; n >= from; n-- {
					take[i] = n
					choose(i+1, room-float64(n)*(sizes[i]+s.kerf))
				}
				take[i] = 0
			}
			choose(first, length)
		}
		seen[k] = best
		return best.total
	}
	s.best = least(all)
	s.bestIn = make([]int, len(s.ps))
	next := make([]int, len(sizes)) // of each size the next piece to be given its length
	for i := len(s.ps) - 1; i >= 0; i-- {
		next[slices.Index(sizes, s.ps[i])] = i
	}
	for left := slices.Clone(all); slices.Max(left) > 0; {
		st := seen[key(left)]
		for j, n := range st.take {
			for range n {
				s.bestIn[next[j]] = len(s.bestStock)
				next[j]++
			}
			left[j] -= n
		}
		s.bestStock = append(s.bestStock, st.stock)
	}
	return true
}

type cutter struct {
	ps, stock, rest []float64
	kerf, unit      float64
	in              []int
	open            []float64 // what is left of each length in use
	used            []float64 // its stock length
	best            float64
	bestIn          []int
	bestStock       []float64
	visits          int
}

// commonUnit returns the largest length of which every stock length is a multiple, 0 where there is none in whole mm.
func commonUnit(stock []float64) float64 {
	g := 0
	for _, s := range stock {
		n := int(math.Round(s))
		if math.Abs(s-float64(n)) > 1e-9 {
			return 0
		}
		for n != 0 {
			g, n = n, g%n
		}
	}
	return float64(g)
}

// roundUp returns the least stock that so many mm of pieces can take.
func (s *cutter) roundUp(mm float64) float64 {
	if s.unit == 0 || mm <= 0 {
		return math.Max(0, mm)
	}
	return math.Ceil(mm/s.unit-1e-9) * s.unit
}

func (s *cutter) place(i int, total float64) {
	if i == len(s.ps) {
		if total < s.best-1e-9 {
			s.best, s.bestIn, s.bestStock = total, slices.Clone(s.in), slices.Clone(s.used)
		}
		return
	}
	if s.visits++; s.visits > cutVisits {
		return
	}
	room := 0.0
	for _, r := range s.open {
		if r >= s.ps[len(s.ps)-1] {
			room += r
		}
	}
	if total+s.roundUp(s.rest[i]-room) >= s.best-1e-9 {
		return
	}
	p := s.ps[i]
	first := 0
	if i > 0 && s.ps[i-1] == p {
		first = s.in[i-1]
	}
	// The fullest that takes it first: a good answer early cuts off the rest.
	var order []int
	for b := first; b < len(s.open); b++ {
		if s.open[b] >= p-1e-9 && !slices.ContainsFunc(order, func(o int) bool { return s.open[o] == s.open[b] }) {
			order = append(order, b)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int {
		switch {
		case s.open[a] < s.open[b]:
			return -1
		case s.open[a] > s.open[b]:
			return 1
		}
		return 0
	})
	for _, b := range order {
		was := s.open[b]
		s.open[b] -= p + s.kerf
		s.in[i] = b
		s.place(i+1, total)
		s.open[b] = was
	}
	for k := len(s.stock) - 1; k >= 0; k-- {
		if s.stock[k] < p-1e-9 {
			break
		}
		s.in[i] = len(s.open)
		s.open, s.used = append(s.open, s.stock[k]-p-s.kerf), append(s.used, s.stock[k])
		s.place(i+1, total+s.stock[k])
		s.open, s.used = s.open[:len(s.open)-1], s.used[:len(s.used)-1]
	}
}
