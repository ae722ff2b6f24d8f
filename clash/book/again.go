package book

import (
	"maps"
	"slices"
)

// Stale says what of a book does not hold any more after a change. Who measures again fills it in step by step, as it comes to know what the
// change touches; the book adds what hangs on entries that it takes out.
type Stale struct {
	Dirty  []int32 // zones that are measured anew, ascending
	Marked []bool  // by zone: whether it is one of them

	Sides, Runs map[Along]bool // rows whose hand room, and runs whose rows together, lost or gained an entry
	Level       map[int32]bool // zones to be checked against ceilings and soffits
	Tiled       map[int32]bool // bays whose tiles lost or gained an entry
	Spaces      map[int32]bool // access spaces
	AllSpaces   bool           // access spaces changed: all are looked at again, and all ways from a hatch
	Reached     map[int32]bool // zones whose way from a hatch may have changed
}

// NewStale returns a Stale of nothing.
func NewStale(marked []bool) Stale {
	return Stale{Marked: marked, Sides: map[Along]bool{}, Runs: map[Along]bool{}, Level: map[int32]bool{}, Tiled: map[int32]bool{}}
}

// of reports whether one of two zones is marked; either may be none.
func (s *Stale) of(x, y int32) bool { return x >= 0 && s.Marked[x] || y >= 0 && s.Marked[y] }

// ForgetPairs takes out what came of a marked zone and another.
func (b *Book) ForgetPairs(s *Stale) {
	b.haveAll(s.Dirty)
	b.ForgetHits(func(x *Hit) bool { return x.Of == OfPair && s.of(x.A, x.B) })
	b.Holes = slices.DeleteFunc(b.Holes, func(x Hole) bool { return s.of(x.A, x.B) })
	b.Excused = slices.DeleteFunc(b.Excused, func(x Excuse) bool { return x.Of == OfPair && s.of(x.A, x.B) })
	b.Asked = slices.DeleteFunc(b.Asked, func(x Asking) bool { return s.of(x.A, x.B) })
	b.Warned = slices.DeleteFunc(b.Warned, func(x Warning) bool { return s.of(x.A, x.B) })
	b.Told = slices.DeleteFunc(b.Told, func(x Relation) bool {
		if !s.of(x.Of, x.From) {
			return false
		}
		b.Related[[2]int32{x.OfParty, x.FromParty}] = true
		return true
	})
	b.Sides = without(b, b.Sides, func(x SideBlock) bool {
		if !s.of(x.Of, x.By) {
			return false
		}
		s.Sides[x.Key()] = true
		return true
	})
	b.Crossed = without(b, b.Crossed, func(x Crossing) bool {
		if !s.of(x.A, x.B) {
			return false
		}
		s.Runs[x.Key] = true
		return true
	})
	b.Serves = slices.DeleteFunc(b.Serves, func(x Serving) bool {
		if !s.of(x.Zone, x.Other) {
			return false
		}
		b.Serve(x.Zone, -1)
		s.Level[x.Zone] = true
		return true
	})
}

// ForgetTiles takes out what zones that are checked against ceilings and soffits again left of the room over tiles, and came to along a soffit
// or a ceiling.
func (b *Book) ForgetTiles(s *Stale) {
	b.Tiles = without(b, b.Tiles, func(x OverTile) bool {
		if !s.Level[x.Zone] {
			return false
		}
		s.Tiled[x.Bay] = true
		return true
	})
	b.Crossed = without(b, b.Crossed, func(x Crossing) bool {
		if x.B >= 0 || !s.Level[x.A] {
			return false
		}
		s.Runs[x.Key] = true
		return true
	})
}

// ForgetLevels takes out what is measured again of ceilings and soffits, spaces, reach and what is gathered along runs.
func (b *Book) ForgetLevels(s *Stale) {
	b.Forget(func(x *Placed) bool {
		switch x.Of {
		case OfPair:
			return s.of(x.A, x.B)
		case OfSide:
			return s.Sides[x.Key]
		case OfRun:
			return s.Runs[x.Key] || s.of(x.A, x.B)
		case OfLevel:
			return s.Level[x.A]
		case OfReach:
			return s.AllSpaces || s.Reached[x.A]
		case OfSpace:
			return s.AllSpaces || s.Spaces[x.A]
		}
		return false
	})
	b.haveAll(slices.Sorted(maps.Keys(s.Level)))
	b.ForgetHits(func(x *Hit) bool { return x.Of.Surface() && s.Level[x.A] })
	b.Excused = slices.DeleteFunc(b.Excused, func(x Excuse) bool {
		return x.Of == OfLevel && s.Level[x.A] || x.Of == OfSpace && (s.AllSpaces || s.Spaces[x.A])
	})
	b.Notes = slices.DeleteFunc(b.Notes, func(x Note) bool {
		return x.Of == OfReach && (s.AllSpaces || s.Reached[x.A]) || x.Of == OfLevel && s.Level[x.A]
	})
	b.Unsaid = slices.DeleteFunc(b.Unsaid, func(x UnsaidCeiling) bool { return s.Level[x.Zone] })
	b.Below = without(b, b.Below, func(x UnderFace) bool { return s.Level[x.Zone] })
	b.Pierced = without(b, b.Pierced, func(x ThroughCeiling) bool { return s.Level[x.Zone] })
	b.Holes = slices.DeleteFunc(b.Holes, func(x Hole) bool { return x.B < 0 && s.Level[x.A] })
}

// Forget takes worded findings out of the book, and notes that they went.
func (b *Book) Forget(which func(*Placed) bool) {
	b.Findings = slices.DeleteFunc(b.Findings, func(x *Placed) bool {
		if !which(x) {
			return false
		}
		b.Touched[x.Finding.IDNumber()] = true
		return true
	})
}

// ForgetHits takes findings that are yet to be worded out of the book, and notes that they went.
func (b *Book) ForgetHits(which func(*Hit) bool) {
	b.Hits = slices.DeleteFunc(b.Hits, func(x Hit) bool {
		if !which(&x) {
			return false
		}
		b.Touched[x.ID] = true
		return true
	})
}

// Turn notes of some that lie under a finished face that their finding came or went. On trial see without.
func (b *Book) Turn(below []int) {
	if len(below) > 0 && b.OnTrial {
		b.Below = slices.Clone(b.Below)
	}
	for _, k := range below {
		b.Below[k].Told = !b.Below[k].Told
	}
}

// without takes entries out of a list of a book. A book on trial shares its lists with the one that it is taken from: it copies what it changes.
// which is asked twice of an entry then.
func without[T any](b *Book, list []T, which func(T) bool) []T {
	if b.OnTrial {
		if !slices.ContainsFunc(list, which) {
			return list
		}
		list = slices.Clone(list)
	}
	return slices.DeleteFunc(list, which)
}
