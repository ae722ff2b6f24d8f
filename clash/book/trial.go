package book

import "slices"

// Trial is a book for measuring what a change would come to: what findings and joints hang on is its own, so that the book it is taken
// from stays as it is; what is only told (excused pairs, notes, builder's work, relations) is left out. Hits, of which there may be very many, are had
// from the other book by the zones that a change touches; see Have.
func (b *Book) Trial(of *ByZone) *Book {
	return &Book{
		from: of, Findings: slices.Clone(b.Findings), Serves: slices.Clone(b.Serves),
		Sides: slices.Clip(b.Sides), Crossed: slices.Clip(b.Crossed), Tiles: slices.Clip(b.Tiles), // see without
		Below: slices.Clip(b.Below), Pierced: slices.Clip(b.Pierced), served: map[int32]int32{}, servedBefore: b.served,
		Touched: map[uint64]bool{}, Related: map[[2]int32]bool{}, OnTrial: true,
	}
}

// ByZone are the hits of a book by the zones that they are of.
type ByZone struct {
	hits []Hit
	of   map[int32][]int32
}

// ByZone returns the hits by the zones that they are of.
func (b *Book) ByZone() *ByZone {
	h := &ByZone{b.Hits, map[int32][]int32{}}
	for k := range b.Hits {
		x := &b.Hits[k]
		h.of[x.A] = append(h.of[x.A], int32(k))
		if x.B >= 0 && x.B != x.A {
			h.of[x.B] = append(h.of[x.B], int32(k))
		}
	}
	return h
}

// Have takes the hits of a zone into the book of a trial, those that it has not had. A book that is not on trial has all there are.
func (b *Book) Have(zone int32) {
	if b.from == nil {
		return
	}
	for _, k := range b.from.of[zone] {
		if b.had == nil {
			b.had = map[int32]bool{}
		}
		if !b.had[k] {
			b.had[k] = true
			b.Hits = append(b.Hits, b.from.hits[k])
		}
	}
}

func (b *Book) haveAll(zones []int32) {
	for _, i := range zones {
		b.Have(i)
	}
}
