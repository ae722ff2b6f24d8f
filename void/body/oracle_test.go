package body_test

// A second opinion on the measures between two bodies, written apart from them: it knows the
// shapes of a body (its fields) and the meaning of each measure, nothing of how they are computed.
//
// Three methods stand beside each other here, each with its own proof of how far it can be wrong:
//
//   - alternating nearest points (this file): a solid is only its nearest-point map; the answer
//     is trusted only where the support along the current direction has closed on it;
//   - a smoothed dual in doubled precision (oracle_dual_test.go), for what alternating points do
//     not reach (nearly parallel lengths), and for Span, Beside, Part and CutReach;
//   - corners, edges and faces of straight bodies (oracle_corners_test.go), by enumeration.
//
// oracle_self_test.go holds them against sums done by hand and against one another.

import (
	"fmt"
	"math"

	"github.com/golang/geo/r3"

	"voidline/void/body"
)

// hold is the agreement asked of a measure in which longest is the longest length: 1e-6 mm, or
// 1e-11 of that length, whichever is more (design.md, "Units, axes, numbers").
func hold(longest float64) float64 { return math.Max(1e-6, 1e-11*longest) }

// longest returns the longest length in a pair of bodies: a side, or the way between the middles.
func longest(a, b body.Body) float64 {
	m := b.Centre.Sub(a.Centre).Norm()
	for _, s := range []body.Body{a, b} {
		m = math.Max(m, math.Max(2*s.Along.Norm(), math.Max(2*s.W, 2*s.H)))
	}
	return m
}

// nearest returns the point of s that is nearest to p. For a box the width stands square to the
// rest and is clamped alone; length and height make a parallelogram in an upright plane, whose
// nearest point is p itself or on one of the four sides.
func nearest(s body.Body, p r3.Vector) r3.Vector {
	d := p.Sub(s.Centre)
	if s.Round {
		l := s.Along.Norm()
		e := s.Along.Mul(1 / l)
		x := d.Dot(e)
		out := d.Sub(e.Mul(x))
		if r := out.Norm(); r > s.W {
			out = out.Mul(s.W / r)
		}
		return s.Centre.Add(e.Mul(clamp(x, l))).Add(out)
	}
	ux, uy := s.Across.Y, -s.Across.X // the plan direction of Along
	la, lz := s.Along.X*ux+s.Along.Y*uy, s.Along.Z
	x := d.X*ux + d.Y*uy
	y := clamp(d.X*s.Across.X+d.Y*s.Across.Y, s.W)
	z := d.Z
	if inside := la != 0 && math.Abs(x) <= math.Abs(la) && math.Abs(z-x*lz/la) <= s.H; !inside {
		best := math.Inf(1)
		bx, bz := 0.0, 0.0
		for _, e := range [4][4]float64{
			{-la, -lz + s.H, la, lz + s.H},
			{-la, -lz - s.H, la, lz - s.H},
			{-la, -lz - s.H, -la, -lz + s.H},
			{la, lz - s.H, la, lz + s.H},
		} {
			vx, vz := e[2]-e[0], e[3]-e[1]
			t := 0.0
			if n := vx*vx + vz*vz; n > 0 {
				t = math.Min(1, math.Max(0, ((x-e[0])*vx+(z-e[1])*vz)/n))
			}
			qx, qz := e[0]+t*vx, e[1]+t*vz
			if g := math.Hypot(x-qx, z-qz); g < best {
				best, bx, bz = g, qx, qz
			}
		}
		x, z = bx, bz
	}
	return s.Centre.Add(r3.Vector{X: x*ux + y*s.Across.X, Y: x*uy + y*s.Across.Y, Z: z})
}

func clamp(x, h float64) float64 { return math.Max(-h, math.Min(h, x)) }

// halfWidth returns how far s reaches from its middle along n.
func halfWidth(s body.Body, n r3.Vector) float64 {
	if s.Round {
		e := s.Along.Normalize()
		x := e.Dot(n)
		return math.Abs(s.Along.Dot(n)) + s.W*n.Sub(e.Mul(x)).Norm()
	}
	return math.Abs(s.Along.Dot(n)) + s.W*math.Abs(s.Across.X*n.X+s.Across.Y*n.Y) + s.H*math.Abs(n.Z)
}

// apart returns how far a lies behind b along n (any length but zero): a lower bound of their
// distance, negative where their shadows on n share length.
func apart(a, b body.Body, n r3.Vector) float64 {
	return (b.Centre.Sub(a.Centre).Dot(n) - halfWidth(a, n) - halfWidth(b, n)) / n.Norm()
}

// bracket encloses a distance: Lo by a direction, Hi by two points.
type bracket struct {
	Lo, Hi float64
	A, B   r3.Vector
	Dir    r3.Vector // unit, from a to b; zero when nothing parts them
}

// alternating encloses the distance from a to b by nearest points in turn, over at most steps
// steps, and reports whether the enclosure has closed to tol (for bodies that meet: whether two
// points within tol were found).
func alternating(a, b body.Body, tol float64, steps int) (bracket, bool) {
	a0 := a.Centre
	a.Centre, b.Centre = r3.Vector{}, b.Centre.Sub(a0)
	pb := b.Centre
	best := bracket{Hi: math.Inf(1)}
	for i := 0; i < steps; i++ {
		pa := nearest(a, pb)
		pb = nearest(b, pa)
		d := pb.Sub(pa)
		n := d.Norm()
		if n < best.Hi {
			best.Hi, best.A, best.B = n, pa.Add(a0), pb.Add(a0)
		}
		if n <= tol {
			return best, true
		}
		if lo := apart(a, b, d); lo > best.Lo {
			best.Lo, best.Dir = lo, d.Mul(1/n)
		}
		if best.Hi-best.Lo <= tol {
			return best, true
		}
	}
	return best, false
}

// show prints a body so that it can be typed back in.
func show(s body.Body) string {
	return fmt.Sprintf("body.Body{Centre: r3.Vector{X: %v, Y: %v, Z: %v}, Along: r3.Vector{X: %v, Y: %v, Z: %v}, Across: r2.Point{X: %v, Y: %v}, W: %v, H: %v, Round: %v}",
		s.Centre.X, s.Centre.Y, s.Centre.Z, s.Along.X, s.Along.Y, s.Along.Z, s.Across.X, s.Across.Y, s.W, s.H, s.Round)
}
