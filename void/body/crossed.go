package body

import (
	"math"

	"github.com/golang/geo/r3"
)

// Two cylinders that stand square to one frame and to each other: a's axis is i, b's is j, and k is the
// third. Along i there is a's length and b's disk, along j b's length and a's disk, and along k both disks.
//
//	     k ^   .--.  b's disk, v up and p along i
//	       |  '    '
//	-------+==========> i     a's length, then p
//	       |  '    '          a's disk: u up and q along j (towards you)
//	           '--'
//
// C is so the sum of a plate (in i and j) and two disks, one in (j, k) and one in (i, k): symmetric in all
// three axes, and only where the origin lies past both lengths do the two disks share one equation.

// third returns the axis square to both.
func (t *aligned) third() int { return 3 - t.k - t.kb }

// crossPoints returns the points of a and b for the shares of the disks, measured towards the origin.
func (t *aligned) crossPoints(a, b *Body, p, q, u, v float64) (x [3]float64, pa, pb r3.Vector) {
	i, j, k := t.k, t.kb, t.third()
	var sa, sb [3]float64
	n := t.nearest()
	si, sj, sk := math.Copysign(1, t.c[i]), math.Copysign(1, t.c[j]), math.Copysign(1, t.c[k])
	sa[i], sa[j], sa[k] = t.c[i]-n[i], sj*q, sk*u
	sb[i], sb[j], sb[k] = -si*p, n[j]-t.c[j], -sk*v
	x[i], x[j], x[k] = n[i]-si*p, n[j]-sj*q, t.c[k]-sk*(u+v)
	return x, a.Centre.Add(t.space(&sa)), b.Centre.Add(t.space(&sb))
}

func (t *aligned) crossGap(a, b *Body) (Measure, bool) {
	i, j := t.over(t.k), t.over(t.kb)
	h := math.Abs(t.c[t.third()])
	var p, q, u, v float64
	switch {
	case i <= 0 && j <= 0:
		s := min(1, h/(t.r+t.rb))
		u, v = s*t.r, s*t.rb
	case j <= 0: // past a's length: b's disk alone goes there
		u = min(h, t.r)
		s := min(1, t.rb/plain(i, h-u))
		p, v = s*i, s*(h-u)
	case i <= 0:
		v = min(h, t.rb)
		s := min(1, t.r/plain(j, h-v))
		q, u = s*j, s*(h-v)
	default:
		return Measure{}, false
	}
	x, pa, pb := t.crossPoints(a, b, p, q, u, v)
	mm := math.Sqrt(x[0]*x[0] + x[1]*x[1] + x[2]*x[2])
	if mm <= t.tol {
		return touching(pa, pb), true
	}
	return Measure{MM: mm, A: pa, B: pb, Dir: t.space(&x).Mul(1 / mm)}, true
}

func (t *aligned) crossMeet() (meets, done bool) {
	i, j := t.over(t.k), t.over(t.kb)
	h := math.Abs(t.c[t.third()])
	switch {
	case i <= 0 && j <= 0:
		return h-t.r-t.rb < -t.tol, true
	case j <= 0:
		return plain(i, max(0, h-t.r))-t.rb < -t.tol, true
	case i <= 0:
		return plain(j, max(0, h-t.rb))-t.r < -t.tol, true
	}
	return false, false
}

// crossSpan returns half the length of C along the axis at, on the line through the origin, and whether
// the line meets it.
func (t *aligned) crossSpan(at int) (h float64, hits bool) {
	i, j := max(0, t.over(t.k)), max(0, t.over(t.kb))
	z := math.Abs(t.c[t.third()])
	switch at {
	case t.k:
		v := max(0, z-chord(t.r, j))
		return t.l[at] + chord(t.rb, v), j <= t.r+t.tol && v <= t.rb+t.tol
	case t.kb:
		u := max(0, z-chord(t.rb, i))
		return t.l[at] + chord(t.r, u), i <= t.rb+t.tol && u <= t.r+t.tol
	}
	return chord(t.r, j) + chord(t.rb, i), i <= t.rb+t.tol && j <= t.r+t.tol
}

// rod returns, where one of the two is upright: its radius, the level one's radius, and the plan axis
// that the level one lies across.
func (t *aligned) rod() (upright, level float64, across int) {
	if t.k == 2 {
		return t.r, t.rb, 1 - t.kb
	}
	return t.rb, t.r, 1 - t.k
}

// rounded returns t with the level one of the two cut to half the width w, as a block in plan with an
// upright disk.
func (t *aligned) rounded(w float64) aligned {
	r, _, o := t.rod()
	s := *t
	s.k, s.r, s.rb = 2, r, 0
	s.l[o] = w
	return s
}

func (t *aligned) crossPlanOverlap() float64 {
	if t.third() != 2 {
		_, w, _ := t.rod()
		s := t.rounded(w)
		return s.upright().MM
	}
	l := t.l
	l[t.k] += t.rb
	l[t.kb] += t.r
	return t.sides(l[0], l[1]).MM
}

// crossPart is part for two crossing cylinders. Where both are level the cut of C at z = 0 is a rectangle
// with bulging sides: the nearest of its four tips is the answer where a chord from it to the next
// one lies no nearer.
func (t *aligned) crossPart() (s Parting, ok, done bool) {
	low := t.over(2) // minus the height that is shared
	if t.third() == 2 {
		low -= t.r + t.rb
	} else {
		_, w, _ := t.rod()
		low -= w
	}
	if low >= -t.tol {
		return s, false, true
	}
	meets, done := t.crossMeet()
	if !done || !meets {
		return s, false, done
	}
	if t.third() != 2 {
		_, w, _ := t.rod()
		c := t.rounded(chord(w, max(0, t.over(2))))
		s = c.upright()
	} else {
		// How far each disk reaches at the level of the origin, alone and where the other reaches furthest.
		z := math.Abs(t.c[2])
		l, tip := t.l, [2]float64{}
		l[t.k] += chord(t.rb, max(0, z-t.r))
		l[t.kb] += chord(t.r, max(0, z-t.rb))
		if z < t.rb {
			tip[t.k] = chord(t.rb, z)
		}
		if z < t.r {
			tip[t.kb] = chord(t.r, z)
		}
		s = t.sides(l[0], l[1])
		other := 1
		if l[1]-math.Abs(t.c[1]) < l[0]-math.Abs(t.c[0]) {
			other = 0
		}
		if tip[other]-t.over(other) < s.MM {
			return s, false, false
		}
	}
	if s.MM <= t.tol {
		return Parting{}, false, true
	}
	s.Bound = t.tol
	if low > -1e-6 {
		s.Bound = s.MM
	}
	return s, true, true
}

// crossBeside returns Beside, whether heights meet, and whether there was a closed form.
func (t *aligned) crossBeside(a, b *Body) (m Measure, ok, done bool) {
	z := math.Abs(t.c[2])
	var p, q, u, v float64
	var n [3]float64
	if t.third() == 2 {
		if z > t.r+t.rb+t.tol {
			return m, false, true
		}
		i, j := t.over(t.k), t.over(t.kb)
		// The disk that goes sideways needs least of the height.
		switch {
		case i > 0 && j > 0:
			return m, false, false
		case i > 0:
			u = min(z, t.r)
			v = z - u
			w := chord(t.rb, v)
			if w <= 1e-3*t.rb {
				return m, false, false // heights only just meet
			}
			p = min(i, w)
			n[t.k], n[2] = math.Copysign(w, t.c[t.k]), math.Copysign(v, t.c[2])
		default:
			v = min(z, t.rb)
			u = z - v
			w := chord(t.r, u)
			if w <= 1e-3*t.r {
				return m, false, false
			}
			q = min(max(0, j), w)
			n[t.kb], n[2] = math.Copysign(w, t.c[t.kb]), math.Copysign(u, t.c[2])
		}
	} else {
		r, w, o := t.rod()
		e := max(0, t.over(2))
		if e > w+t.tol {
			return m, false, true
		}
		half := chord(w, e)
		if half <= 1e-3*w {
			return m, false, false
		}
		// Across, the level one reaches first; the upright one then goes straight at what is left.
		lies := min(math.Abs(t.c[o]), half)
		at, side := max(0, t.over(1-o)), math.Abs(t.c[o])-lies
		s := 1.0
		if l := plain(at, side); l > r {
			s = r / l
		}
		if t.k == 2 {
			p, q, u, v = e, s*at, s*side, lies
		} else {
			p, q, u, v = s*at, e, lies, s*side
		}
		n[1-o], n[o] = math.Copysign(at, t.c[1-o]), math.Copysign(side, t.c[o])
		n[2] = math.Copysign(side*e/half, t.c[2])
	}
	x, pa, pb := t.crossPoints(a, b, p, q, u, v)
	x[2] = 0
	mm := plain(x[0], x[1])
	if mm <= t.tol {
		return touching(pa, pb), true, true
	}
	dir := t.space(&n)
	return Measure{MM: mm, A: pa, B: pb, Dir: dir.Mul(1 / dir.Norm())}, true, true
}
