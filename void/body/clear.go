package body

import (
	"math"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"
)

// Clear reports whether two closed bodies are certainly at least g apart, in millimetres: Gap is then no less, but
// for its accuracy. False says nothing: they may be so far apart all the same. It costs a part of what Gap does, and
// tells most pairs that are clear of each other.
//
// Each answer is a proof, by bodies that hold the given ones (a cylinder with round ends in place of one with flat
// ends), or by two parallel planes between them.
func Clear(a, b Body, g float64) bool {
	if g <= 0 {
		return true
	}
	var la, lb [3]float64
	if ka, ra, ok := a.square(&la); ok {
		if kb, rb, ok := b.square(&lb); ok {
			q := [3]float64{
				max(0, math.Abs(b.Centre.X-a.Centre.X)-la[0]-lb[0]),
				max(0, math.Abs(b.Centre.Y-a.Centre.Y)-la[1]-lb[1]),
				max(0, math.Abs(b.Centre.Z-a.Centre.Z)-la[2]-lb[2]),
			}
			return squareClear(&q, ka, kb, ra, rb, g)
		}
	}
	switch {
	case a.Round && b.Round:
		return roundsClear(&a, &b, g)
	case b.Round:
		if f, ok := blockOf(&a); ok {
			return boxRoundClear(&a, &b, &f, g)
		}
	case a.Round:
		if f, ok := blockOf(&b); ok {
			return boxRoundClear(&b, &a, &f, g)
		}
	default:
		if clear, ok := levelsClear(&a, &b, g); ok {
			return clear
		}
	}
	return facesClear(&a, &b, g)
}

// squareClear is Clear for bodies square to one frame: q is how far the block of their lengths lies from the
// origin, ka and kb the axes of the disks.
func squareClear(q *[3]float64, ka, kb int, ra, rb, g float64) bool {
	switch {
	case ra > 0 && rb > 0 && ka != kb:
		k := 3 - ka - kb
		i, j, h := q[ka], q[kb], q[k]
		switch {
		case i == 0 && j == 0:
			return h-ra-rb >= g
		case j == 0:
			return plain(i, max(0, h-ra))-rb >= g
		case i == 0:
			return plain(j, max(0, h-rb))-ra >= g
		}
		i, j, h = max(0, i-rb), max(0, j-ra), max(0, h-ra-rb)
		return i*i+j*j+h*h >= g*g
	case ra > 0, rb > 0:
		if ra == 0 {
			ka = kb
		}
		i, j, h := q[0], q[1], q[ka]
		switch ka {
		case 0:
			i = q[2]
		case 1:
			j = q[2]
		}
		d := max(0, plain(i, j)-ra-rb)
		return d*d+h*h >= g*g
	}
	return q[0]*q[0]+q[1]*q[1]+q[2]*q[2] >= g*g
}

// levelsClear is Clear for two level boxes, and whether they are.
func levelsClear(a, b *Body, g float64) (clear, ok bool) {
	if math.Abs(a.Along.Z) > straight || math.Abs(b.Along.Z) > straight {
		return false, false
	}
	p, ok := outlineOf(a)
	q, okb := outlineOf(b)
	if !ok || !okb {
		return false, false
	}
	pair := pairing(&p, &q, r2.Point{X: b.Centre.X - a.Centre.X, Y: b.Centre.Y - a.Centre.Y})
	f, _ := pair.deepest()
	return plain(max(0, f), max(0, math.Abs(b.Centre.Z-a.Centre.Z)-a.H-b.H)) >= g, true
}

// boxRoundClear is Clear for the level box p, f in its frame, and a round body: by a box square to p round it, by the
// direction from the box to the axis, and by the flat ends.
func boxRoundClear(p, r *Body, f *block, g float64) bool {
	c, along := f.of(r.Centre.Sub(p.Centre)), f.of(r.Along)
	ll := along.square()
	if ll < noAxis {
		return false
	}
	var out triple
	for i := range out {
		out[i] = max(0, math.Abs(c[i])-math.Abs(along[i])-r.W-f.h[i])
	}
	if out.square() >= g*g {
		return true
	}
	apart := func(n triple) float64 {
		k := n.dot(along)
		return n.dot(c) - math.Abs(k) - f.h[0]*math.Abs(n[0]) - f.h[1]*math.Abs(n[1]) - f.h[2]*math.Abs(n[2]) -
			r.W*aside(k*k/ll)
	}
	_, q, _, _ := f.pierced(c, along)
	if d := q.square(); d > 0 && apart(triple{}.plus(1/math.Sqrt(d), q)) >= g {
		return true
	}
	return apart(triple{}.plus(math.Copysign(1/math.Sqrt(ll), c.dot(along)), along)) >= g
}

// aside returns the sine of an angle from the square of its cosine, no less than it is: near 0 what cancelling leaves
// is worth nothing.
func aside(cos2 float64) float64 { return math.Sqrt(max(0, 1-cos2) + 1e-15) }

// roundsClear is Clear for two round bodies: by the direction from axis to axis, and by the flat ends.
func roundsClear(a, b *Body, g float64) bool {
	c := b.Centre.Sub(a.Centre)
	aa, bb := a.Along.Norm2(), b.Along.Norm2()
	if aa < noAxis || bb < noAxis {
		return false
	}
	apart := func(n r3.Vector) float64 {
		ka, kb := n.Dot(a.Along), n.Dot(b.Along)
		return math.Abs(n.Dot(c)) - math.Abs(ka) - math.Abs(kb) - a.W*aside(ka*ka/aa) - b.W*aside(kb*kb/bb)
	}
	s, t := feet(c, a.Along, b.Along)
	v := c.Add(b.Along.Mul(t)).Sub(a.Along.Mul(s))
	d := v.Norm2()
	return d > 0 && apart(v.Mul(1/math.Sqrt(d))) >= g ||
		apart(a.Along.Mul(1/math.Sqrt(aa))) >= g || apart(b.Along.Mul(1/math.Sqrt(bb))) >= g
}

// facesClear is Clear by the faces of boxes and the flat ends of cylinders.
func facesClear(a, b *Body, g float64) bool {
	c := b.Centre.Sub(a.Centre)
	apart := func(n r3.Vector) bool {
		l := n.Norm()
		return l > 0 && math.Abs(n.Dot(c))-a.half(n)-b.half(n) >= g*l
	}
	if apart(r3.Vector{Z: 1}) {
		return true
	}
	for _, s := range [2]*Body{a, b} {
		if s.Round {
			if apart(s.Along) {
				return true
			}
			continue
		}
		across := r3.Vector{X: s.Across.X, Y: s.Across.Y}
		if apart(across) || apart(r3.Vector{X: -across.Y, Y: across.X}) || apart(s.Along.Cross(across)) {
			return true
		}
	}
	return false
}
