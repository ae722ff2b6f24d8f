package book

import "slices"

// Order is what the findings of a book come to: of one finding an id, those that pass the filters, in order, and the problems that they are
// counted as. It is brought up to date with the book; of one that nobody asked yet Problems is nil.
type Order struct {
	Hits     []Hit
	Problems map[Problem]int32 // how many findings each problem has
	Recount  bool              // rows are counted with other parties than before
}

// Outdated takes out what came or went.
func (o *Order) Outdated(touched map[uint64]bool) {
	o.Hits = slices.DeleteFunc(slices.Clone(o.Hits), func(x Hit) bool {
		if !touched[x.ID] {
			return false
		}
		k := x.Problem()
		if o.Problems[k]--; o.Problems[k] == 0 {
			delete(o.Problems, k)
		}
		return true
	})
}

// Insert puts hits, in order themselves, each into its place.
func (o *Order) Insert(hits []Hit, before func(x, y *Hit) int) {
	for _, x := range hits {
		k, _ := slices.BinarySearchFunc(o.Hits, &x, func(y Hit, x *Hit) int { return before(&y, x) })
		o.Hits = slices.Insert(o.Hits, k, x)
	}
}
