package body

import (
	"math"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"
)

// Stretch returns the stations of l, from -1 at its start to 1 at its end, at which its cut (Slice) is no further
// than g from b: one interval, for both are convex. It returns false where no cut is so near. Of a body of no length
// it is all of it, or nothing. The ends are right within 1e-5 mm along the length.
func Stretch(l, b Body, g float64) (lo, hi float64, ok bool) {
	var t aligned
	if t.align(&l, &b) || t.rb > 0 {
		if lo, hi, ok, done := t.stretch(&l, g); done {
			return lo, hi, ok
		}
	}
	if lo, hi, ok := levelStretch(&l, &b, g); ok {
		return lo, hi, true
	}
	return stretch(l, b, g)
}

// levelStretch is Stretch of two level boxes that overlap, and whether they are such.
//
// In the plan of l, u along it and v across, b is a rectangle; grown by g its corners are rounded. Where its furthest corner
// along u lies beyond a flank of l, the furthest of it that faces l lies on the line along that flank.
func levelStretch(l, b *Body, g float64) (lo, hi float64, ok bool) {
	if l.Round || b.Round || math.Abs(l.Along.Z) > straight || math.Abs(b.Along.Z) > straight || SharedHeight(*l, *b) < grazing {
		return 0, 0, false
	}
	p, okP := outlineOf(l)
	q, okQ := outlineOf(b)
	if !okP || !okQ || p.u == 0 {
		return 0, 0, false
	}
	t := pairing(&p, &q, r2.Point{X: b.Centre.X - l.Centre.X, Y: b.Centre.Y - l.Centre.Y})
	if f, _ := t.deepest(); f > -grazing {
		return 0, 0, false
	}
	a, c := -t.furthest(-1, g)/p.u, t.furthest(1, g)/p.u
	if l.Along.X*p.e.X+l.Along.Y*p.e.Y < 0 {
		a, c = -c, -a
	}
	return max(-1, a), min(1, c), true
}

// furthest returns how far q, grown by g all round, reaches along p (way 1) or the other way (way -1) between p's flanks.
func (t *paired) furthest(way, g float64) float64 {
	var at [4]heading // q's corners as p sees them, one after the other, and the furthest
	top := 0
	for k, s := range [4][2]float64{{1, 1}, {-1, 1}, {-1, -1}, {1, -1}} {
		u, v := s[0]*t.q.u, s[1]*t.q.v
		at[k] = heading{t.at[0] + u*t.cos - v*t.sin, t.at[1] + u*t.sin + v*t.cos}
		if way*at[k].c > way*at[top].c {
			top = k
		}
	}
	if math.Abs(at[top].s) <= t.p.v {
		return way*at[top].c + g
	}
	flank, far := math.Copysign(t.p.v, at[top].s), math.Inf(-1)
	for k, x := range at {
		if d := math.Abs(flank - x.s); d <= g { // round the corner
			far = max(far, way*x.c+chord(g, d))
		}
		y := at[(k+1)%4]
		// Where the side has no length nothing of it crosses the line.
		along := heading{y.c - x.c, y.s - x.s}.unit()
		x, y = heading{x.c + g*along.s, x.s - g*along.c}, heading{y.c + g*along.s, y.s - g*along.c} // the side, g further out
		if (x.s < flank) != (y.s < flank) {
			far = max(far, way*(x.c+(y.c-x.c)*(flank-x.s)/(y.s-x.s)))
		}
	}
	return far
}

// stretch is Stretch by gaps of cuts, from where the two are nearest outwards.
func stretch(l, b Body, g float64) (lo, hi float64, ok bool) {
	m := Gap(l, b)
	if m.MM > g {
		return 0, 0, false
	}
	n2 := l.Along.Norm2()
	if n2 == 0 {
		return -1, 1, true
	}
	seed := l.station(m.A)
	if Gap(Slice(l, seed), b).MM > g {
		return seed, seed, true // no more than a hair long
	}
	n := math.Sqrt(n2)
	return edgeOf(&l, &b, g, seed, -1, n), edgeOf(&l, &b, g, seed, 1, n), true
}

// station returns the station of the cut of b that a point of it lies in, or the nearest.
func (b *Body) station(p r3.Vector) float64 {
	along := b.Along
	if !b.Round {
		along.Z = 0 // its cuts are upright
	}
	if n2 := along.Norm2(); n2 > 0 {
		return max(-1, min(1, p.Sub(b.Centre).Dot(along)/n2))
	}
	return 0
}

// edgeOf returns the station between in, where the cut of l is no further than g from b, and the end out, up to
// which that holds. n is half the length.
//
//  1. The distance is convex along l, so its tangent, of which the direction of a gap gives the slope, comes to g no nearer than the edge
//     (Newton's method).
//  2. Past what bends away each tangent leads only half the way. So the next cut is taken where the slope goes on changing as it did from
//     the last cut to this one; if that is past the edge, where the tangent leads.
//  3. Where a cut that is too far has no such slope the range is halved.
func edgeOf(l, b *Body, g, in, out, n float64) float64 {
	way, at := out, out
	var last struct{ at, slope float64 }
	for range 60 {
		m := Gap(Slice(*l, at), *b)
		slope, blunt := -m.Dir.Dot(l.Along)*way, false
		tangent := at - way*(m.MM-g)/slope
		switch {
		case m.MM <= g:
			if at == way {
				return way
			}
			if in = at; slope > 0 && (out-tangent)*way > 0 {
				out = tangent
			}
		case slope > 0 && (tangent-in)*way > 0:
			if out = tangent; (at-out)*way*n <= 1e-6 {
				return out
			}
		default:
			out, blunt = at, true
		}
		if (out-in)*way*n <= 1e-5 {
			return in
		}
		next := out
		if blunt {
			next = (in + out) / 2
		} else if bend := (last.slope - slope) / (last.at - at) * way; m.MM > g && last.slope > 0 && bend > 0 {
			t := at - way*2*(m.MM-g)/(slope+math.Sqrt(max(0, slope*slope-2*bend*(m.MM-g))))
			if (t-in)*way > 0 && (out-t)*way > 0 {
				next = t
			}
		}
		last.at, last.slope, at = at, slope, next
	}
	return in
}

// stretch is Stretch for bodies square to one frame, l the first, whether there is any, and whether there is a
// closed form.
func (t *aligned) stretch(l *Body, g float64) (lo, hi float64, ok, done bool) {
	// The axis along which l is cut.
	at := 0
	if math.Abs(l.Along.Z) > straight {
		at = 2
	}
	half := t.la[at]
	if half == 0 {
		return 0, 0, false, false
	}
	// The cut lies within reach of the middle of b along that axis.
	reach := t.l[at] - half
	i, j, k := t.others()
	switch {
	case t.rb > 0: // a disk, l's own, square to b's axis
		if t.over(t.kb) > 0 {
			return 0, 0, false, false
		}
		h := max(0, math.Abs(t.c[3-t.k-t.kb])-t.r)
		if h > g+t.rb {
			return 0, 0, false, true
		}
		reach += chord(g+t.rb, h)
	case t.r > 0 && k != at: // b's disk reaches along the cut's own way
		o := i + j - at
		e, h := max(0, t.over(k)), max(0, t.over(o))
		if e > g {
			return 0, 0, false, true
		}
		r := t.r + chord(g, e)
		if h > r {
			return 0, 0, false, true
		}
		reach += chord(r, h)
	default:
		var d float64
		if t.r > 0 {
			d = max(0, plain(max(0, t.over(i)), max(0, t.over(j)))-t.r)
		} else {
			d = plain(max(0, t.over((at+1)%3)), max(0, t.over((at+2)%3)))
		}
		if d > g {
			return 0, 0, false, true
		}
		reach += chord(g, d)
	}
	c := t.c[at]
	if at == 2 && l.Along.Z < 0 {
		c = -c
	}
	lo, hi = max(-1, (c-reach)/half), min(1, (c+reach)/half)
	return lo, hi, lo <= hi, true
}
