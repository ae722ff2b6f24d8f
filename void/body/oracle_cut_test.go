package body_test

import (
	"math"
	"testing"

	"github.com/golang/geo/r1"

	"voidline/void/body"
)

// TestOracleCutReach compares the extent of a cut with the dual, and with the corners of the cut: a
// straight body's own, a round body's between a prism inside and one outside.
func TestOracleCutReach(t *testing.T) {
	for k := square; k < kinds; k++ {
		c := combo{k, k}
		y := newTally(t, c)
		for i := uint64(0); i < times(2000); i++ {
			b, other, how := pair(*oracleSeed+13, c, i)
			d := roll(*oracleSeed+14, i*64+uint64(k))
			normal, which := d.direction(b, other)
			how += ", normal " + which
			dir, which := d.direction(b, other)
			how += ", extent " + which
			n := normal.Normalize()
			// The extent is taken in the plane: dir less its part along the normal, of length 1.
			flat := dir.Sub(n.Mul(n.Dot(dir)))
			if flat.Norm() < 1e-3 {
				dir = n.Ortho() // hardly anything of dir lies in the plane
				flat = dir
			}
			flat = flat.Normalize()
			flat = flat.Sub(n.Mul(n.Dot(flat))).Normalize()
			// A plane at most a little outside the body, through a point anywhere on it.
			at := b.Centre.Add(n.Mul(halfWidth(b, n) * d.in(-1.1, 1.1)))
			if d.IntN(4) == 0 {
				at = b.Centre.Add(b.Along.Mul(float64(d.IntN(3) - 1))) // through an end, or the middle
			}
			if d.IntN(3) == 0 {
				s := d.ball().Mul(d.tens(0, 5))
				at = at.Add(s.Sub(n.Mul(n.Dot(s))))
			}
			l := math.Max(longest(b, b), at.Sub(b.Centre).Norm())
			tol := hold(l)
			y.n++
			var got r1.Interval
			var meets bool
			if said := caught(func() { got, meets = body.CutReach(b, at, normal, dir) }); said != "" {
				y.fail(i, how, b, b, "(seed + 13) CutReach at %v normal %v along %v panics: %s", at, normal, dir, said)
				continue
			}
			miss := math.Abs(n.Dot(at.Sub(b.Centre))) - halfWidth(b, n)
			switch {
			case miss > tol:
				y.count("missed", true)
				if meets {
					y.fail(i, how, b, b, "(seed + 13) CutReach at %v normal %v along %v = %v, and the plane misses by %v", at, normal, dir, got, miss)
				}
				continue
			case miss > -tol:
				y.count("touched", true)
				continue // the plane touches: both answers are right
			case !meets:
				y.fail(i, how, b, b, "(seed + 13) CutReach at %v normal %v along %v: no cut, and the plane is %v inside", at, normal, dir, -miss)
				continue
			}
			y.count("cut", true)
			up, down, ok := dualCut(b, at, normal, flat, tol/10)
			y.count("closed", ok)
			if ok {
				for _, e := range []struct {
					got float64
					e   end
				}{{got.Hi, up}, {-got.Lo, down}} {
					off := outside(e.got, e.e.In, e.e.Out)
					switch loose := grain(l) * e.e.N.Norm(); {
					case off <= tol:
						y.within(off, tol)
						y.count("ends exact", true)
					case off <= tol+loose:
						y.count("ends that hang on a grain", true)
						y.loosest = math.Max(y.loosest, off)
					default:
						y.fail(i, how, b, b, "(seed + 13) CutReach at %v normal %v along %v = %v, want %v (off by %v, slope %v)",
							at, normal, dir, got, interval(up, down), off, e.e.N.Norm())
					}
				}
			}
			slack := tol + 2*grain(l)*math.Max(up.N.Norm(), down.N.Norm())
			lo1, hi1, ok1 := planeCut(b, at, normal, flat, sides, true)
			lo2, hi2, ok2 := planeCut(b, at, normal, flat, sides, false)
			if !ok1 || got.Lo < lo1-slack || got.Hi > hi1+slack {
				y.fail(i, how, b, b, "(seed + 13) CutReach at %v normal %v along %v = %v, by corners outside it [%v, %v] %v", at, normal, dir, got, lo1, hi1, ok1)
			}
			if ok2 && (got.Lo > lo2+slack || got.Hi < hi2-slack) {
				y.fail(i, how, b, b, "(seed + 13) CutReach at %v normal %v along %v = %v, by corners inside it [%v, %v]", at, normal, dir, got, lo2, hi2)
			}
			y.count("by corners", ok2)
		}
		y.print("missed", "touched", "cut", "closed", "ends exact", "ends that hang on a grain", "by corners")
	}
}
