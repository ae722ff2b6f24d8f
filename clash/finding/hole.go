package finding

import (
	"cmp"
	"math"
	"slices"
)

// Hole is builder's work: a service goes through a wall or a slab that has no opening.
type Hole struct {
	Service string  `json:"service"` // zone id of what goes through
	In      string  `json:"in"`      // zone id of the wall or slab, or soffit X
	Row     string  `json:"row"`     // file:line of the service
	InRow   string  `json:"in_row"`
	Bay     *string `json:"bay"`
	Storey  string  `json:"storey"`
	At      Spot    `json:"at"` // the middle of the hole
	Round   bool    `json:"round"`
	Width   float64 `json:"width"`  // clear width of the hole: service, joint, insulation, margin; the diameter when round
	Height  float64 `json:"height"` // clear height; along y for a slab; the diameter when round
	Level   float64 `json:"level"`  // of the hole's underside above FFL; of a hole in a slab its own level
	Margin  float64 `json:"margin"` // included all round
	Note    string  `json:"note"`   // what a reader must know; may be empty
	// Number is what every form of answer calls it by, from 1, however the answer is narrowed; Trade is that of the service.
	Number int    `json:"number,omitempty"`
	Trade  string `json:"trade,omitempty"`
}

// flat reports whether a hole is in a slab or a soffit, where its level is that of its middle.
func (h *Hole) flat() bool { return h.Level == h.At.Level }

// Together are holes of one trade in one wall or slab that are so near that one may do for them: a question, for nothing is decided
// by it. The one hole is as large as all of them.
type Together struct {
	Holes  []int   `json:"holes"` // their numbers, ascending
	Trade  string  `json:"trade"`
	In     string  `json:"in"` // zone id of the wall or slab, or soffit X
	Width  float64 `json:"width"`
	Height float64 `json:"height"` // along y for a slab
	Level  float64 `json:"level"`  // of the underside above FFL; of a hole in a slab its own level
}

// HolesNear is how near two holes of one trade in one wall or slab are at most that one hole is proposed for, mm, edge to edge: common
// practice, no source. What is left between them is no more than a lintel or a patch would want.
const HolesNear = 100.0

// HolesTogether gathers holes, which are in order.
//
//  1. Those of one trade in one wall or slab are taken, as they lie in its plane.
//  2. Of those each two that are no further apart than HolesNear, edge to edge, belong together, and so whatever belongs to them.
//  3. Each such set of more than one is one answer.
func HolesTogether(holes []Hole) []Together {
	type of struct {
		in, trade, storey string
		flat              bool
	}
	sets := map[of][]int{}
	var order []of
	for i := range holes {
		h := &holes[i]
		k := of{h.In, h.Trade, h.Storey, h.flat()}
		if sets[k] == nil {
			order = append(order, k)
		}
		sets[k] = append(sets[k], i)
	}
	var out []Together
	for _, k := range order {
		if len(sets[k]) < 2 {
			continue
		}
		faces := facesOf(holes, sets[k], k.flat)
		parent := make([]int, len(faces))
		for i := range parent {
			parent[i] = i
		}
		var find func(i int) int
		find = func(i int) int {
			if parent[i] != i {
				parent[i] = find(parent[i])
			}
			return parent[i]
		}
		for i := range faces {
			for j := i + 1; j < len(faces) && faces[j].lo[0] <= faces[i].hi[0]+HolesNear; j++ {
				if faces[j].lo[1] <= faces[i].hi[1]+HolesNear && faces[i].lo[1] <= faces[j].hi[1]+HolesNear {
					parent[find(j)] = find(i)
				}
			}
		}
		members := map[int][]face{}
		var roots []int
		for i := range faces {
			p := find(i)
			if members[p] == nil {
				roots = append(roots, p)
			}
			members[p] = append(members[p], faces[i])
		}
		for _, p := range roots {
			if len(members[p]) > 1 {
				out = append(out, oneHole(holes, members[p]))
			}
		}
	}
	slices.SortFunc(out, func(a, b Together) int { return cmp.Compare(a.Holes[0], b.Holes[0]) })
	return out
}

// face is a hole in the plane that it is made in, mm: across from a first hole along the wall (of a slab along x), and upwards (of a slab
// along y).
type face struct {
	lo, hi [2]float64
	of     int // its index
}

// facesOf returns holes as they lie in the plane of their wall or slab, from one end of it to the other.
func facesOf(holes []Hole, of []int, flat bool) []face {
	dx, dy := 1.0, 0.0
	first := &holes[of[0]].At
	if !flat {
		far := 0.0
		for _, i := range of {
			x, y := holes[i].At.X-first.X, holes[i].At.Y-first.Y
			if d := math.Hypot(x, y); d > far {
				far, dx, dy = d, x/d, y/d
			}
		}
	}
	var faces []face
	for _, i := range of {
		h := &holes[i]
		u, v := (h.At.X-first.X)*dx+(h.At.Y-first.Y)*dy, h.At.Z
		if flat {
			v = h.At.Y
		}
		faces = append(faces, face{[2]float64{u - h.Width/2, v - h.Height/2}, [2]float64{u + h.Width/2, v + h.Height/2}, i})
	}
	slices.SortStableFunc(faces, func(a, b face) int { return cmp.Compare(a.lo[0], b.lo[0]) })
	return faces
}

// oneHole returns the one hole that takes all of a set.
func oneHole(holes []Hole, set []face) Together {
	h := &holes[set[0].of]
	t := Together{Trade: h.Trade, In: h.In, Level: h.Level}
	lo, hi := set[0].lo, set[0].hi
	for _, f := range set {
		for k := range 2 {
			lo[k], hi[k] = min(lo[k], f.lo[k]), max(hi[k], f.hi[k])
		}
		t.Holes = append(t.Holes, holes[f.of].Number)
		t.Level = min(t.Level, holes[f.of].Level)
	}
	slices.Sort(t.Holes)
	t.Width, t.Height = hi[0]-lo[0], hi[1]-lo[1]
	return t
}
