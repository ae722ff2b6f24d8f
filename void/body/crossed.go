package body

import "math"

// Two level cylinders that cross square to each other, as pipes mostly do: a's axis is i of the frame, b's is j. Seen along i:
//
//	      .--.           a's disk, in j and up; b's disk lies in i and up
//	     '    '
//	=====+====+=====> j  b's length
//	     '    '
//	      '--'
//
// Their difference C is a plate in i and j, and the two disks. For Span and Stretch one of them may stand upright.

// crossedPart returns Part of two crossing level cylinders, whether they overlap, and whether there was a closed form. The cut of C
// at the level of the origin is a rectangle with four bulging sides: the nearest of the tips of the bulges is the answer where
// a chord from it to the next tip lies no nearer.
func (t *aligned) crossedPart() (s Parting, ok, done bool) {
	if t.k == 2 || t.kb == 2 {
		return s, false, false
	}
	z := math.Abs(t.c[2])
	shared := t.l[2] + t.r + t.rb - z
	if shared <= t.tol {
		return s, false, true
	}
	if meets, done := t.crossedMeet(); !meets {
		return s, false, done
	}
	// How far each disk reaches at the level of the origin: beside the middle of the other disk, and at the tip, where the
	// other reaches furthest.
	side, tip := t.l, [2]float64{}
	side[t.k] += chord(t.rb, max(0, z-t.r))
	side[t.kb] += chord(t.r, max(0, z-t.rb))
	if z < t.rb {
		tip[t.k] = chord(t.rb, z)
	}
	if z < t.r {
		tip[t.kb] = chord(t.r, z)
	}
	s = t.sides(side[0], side[1])
	other := 1
	if side[1]-math.Abs(t.c[1]) < side[0]-math.Abs(t.c[0]) {
		other = 0
	}
	if tip[other]-t.over(other) < s.MM {
		return s, false, false
	}
	if s.MM <= t.tol {
		return Parting{}, false, true
	}
	s.Bound = t.tol
	if shared < 1e-6 {
		s.Bound = s.MM
	}
	return s, true, true
}

// crossedMeet returns Meet of two crossing level cylinders, and whether it is known so: past both lengths the two disks share one
// equation, and it is not.
func (t *aligned) crossedMeet() (meets, done bool) {
	pastA, pastB := t.over(t.k), t.over(t.kb)
	z := math.Abs(t.c[2])
	switch {
	case pastA <= 0 && pastB <= 0:
		return z-t.r-t.rb < -t.tol, true
	case pastB <= 0:
		return plain(pastA, max(0, z-t.r))-t.rb < -t.tol, true
	case pastA <= 0:
		return plain(pastB, max(0, z-t.rb))-t.r < -t.tol, true
	}
	return false, false
}

// crossedReach returns half the length of C along the axis at, on the line through the origin, and whether the line meets it.
func (t *aligned) crossedReach(at int) (half float64, hits bool) {
	third := 3 - t.k - t.kb
	pastA, pastB := max(0, t.over(t.k)), max(0, t.over(t.kb))
	z := math.Abs(t.c[third])
	switch at {
	case t.k:
		v := max(0, z-chord(t.r, pastB))
		return t.l[at] + chord(t.rb, v), pastB <= t.r+t.tol && v <= t.rb+t.tol
	case t.kb:
		u := max(0, z-chord(t.rb, pastA))
		return t.l[at] + chord(t.r, u), pastA <= t.rb+t.tol && u <= t.r+t.tol
	}
	return chord(t.r, pastB) + chord(t.rb, pastA), pastA <= t.rb+t.tol && pastB <= t.r+t.tol
}
