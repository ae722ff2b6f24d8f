package body_test

import (
	"math"
	"testing"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"
	"github.com/peterstace/simplefeatures/geom"

	"voidline/void/body"
)

// Some answers hang on the input more than on the sum: where a body grazes another, or two share the
// last hair of height, an end moves by millimetres when a corner moves by a millionth of one. What an
// answer may be off by on that account is grain times the answer's own slope, which the reference
// knows from its dual direction: the answer is then that of bodies not more than grain away. Such
// answers are counted apart from those that are right within hold.
func grain(l float64) float64 { return math.Max(1e-8, 4e-15*l) }

// TestOracleSpan compares the two ends of a span with the dual, and asks of the answer itself that
// the ends touch and that what lies beyond does not (by the reference's distance).
func TestOracleSpan(t *testing.T) {
	for _, c := range combos() {
		y := newTally(t, c)
		for i := uint64(0); i < times(300); i++ {
			a, b, how := pair(*oracleSeed+3, c, i)
			d := roll(*oracleSeed+4, i*64+uint64(c.a)*8+uint64(c.b))
			dir, which := d.direction(a, b)
			if d.IntN(4) > 0 {
				// Bring b on to the line, so that most pairs meet.
				s := b.Centre.Sub(a.Centre)
				s = s.Sub(dir.Mul(s.Dot(dir)))
				if l := s.Norm(); l > 0 {
					reach := halfWidth(a, s.Mul(1/l)) + halfWidth(b, s.Mul(1/l))
					b = b.Shift(s.Mul(-1 + math.Min(1, d.in(0, 1.1)*reach/l)))
				}
			}
			how += ", " + which
			l := longest(a, b)
			tol := hold(l)
			y.n++
			var got r1.Interval
			var meets bool
			if said := caught(func() { got, meets = body.Span(a, b, dir) }); said != "" {
				y.fail(i, how, a, b, "(seed + 3) Span along %v panics: %s", dir, said)
				continue
			}
			s, ok := spanOf(a, b, dir, tol/10)
			y.count("line closed", ok || s.missLo > 0 || s.missHi <= tol)
			if s.missLo > tol {
				y.count("pass by", true)
				if meets {
					y.fail(i, how, a, b, "(seed + 3) Span along %v = %v, and they pass by at not less than %v", dir, got, s.missLo)
				}
				continue
			}
			if !ok || s.missLo > 0 {
				// They graze: where a line runs along a face any shift that touches is right.
				y.count("graze", true)
				for _, at := range []float64{got.Lo, got.Hi} {
					g, _ := dualGap(a.Shift(dir.Mul(at)), b, tol/10)
					if own := hold(math.Max(l, math.Abs(at))); meets && g.Lo > own {
						y.fail(i, how, a, b, "(seed + 3) Span along %v = %v: at %v they are %v apart", dir, got, at, g.Lo)
					}
				}
				continue
			}
			y.count("closed", true)
			if !meets {
				// Touching along the line may fall either way.
				if graze := math.Min(1/s.up.N.Norm(), 1/s.down.N.Norm()) * (s.up.mid() + s.down.mid()); graze > tol && s.missHi <= tol {
					y.fail(i, how, a, b, "(seed + 3) Span along %v: no shift, want %v", dir, interval(s.up, s.down))
				}
				continue
			}
			y.count("meet", true)
			for _, e := range []struct {
				what string
				got  float64
				e    end
			}{{"upper", got.Hi, s.up}, {"lower", -got.Lo, s.down}} {
				off := outside(e.got, e.e.In, e.e.Out)
				own := hold(math.Max(l, math.Abs(e.got)))
				if off <= own {
					y.count("ends exact", true)
					y.within(off, own)
					continue
				}
				y.count("ends that hang on a grain", true)
				y.loosest = math.Max(y.loosest, off)
				y.count("of them upright", which == "up")
				y.count("of those over a hair", which == "up" && off > 1e-3)
				if off > own+e.e.N.Norm()*grain(math.Max(l, math.Abs(e.got))) {
					y.fail(i, how, a, b, "(seed + 3) Span along %v = %v, want %v: the %s end is off by %v (slope %v)",
						dir, got, interval(s.up, s.down), e.what, off, e.e.N.Norm())
				}
			}
		}
		y.print("line closed", "pass by", "meet", "graze", "closed", "ends exact", "ends that hang on a grain", "of them upright", "of those over a hair")
	}
}

// TestOracleSpanTouches asks of an end of a span, by distances alone, that the bodies touch there and
// neither a little before nor after do other than the span says.
func TestOracleSpanTouches(t *testing.T) {
	for _, c := range combos() {
		y := newTally(t, c)
		for i := uint64(0); i < times(60); i++ {
			a, b, how := pair(*oracleSeed+5, c, i)
			d := roll(*oracleSeed+6, i*64+uint64(c.a)*8+uint64(c.b))
			dir, which := d.direction(a, b)
			how += ", " + which
			var got r1.Interval
			var meets bool
			if said := caught(func() { got, meets = body.Span(a, b, dir) }); said != "" {
				y.fail(i, how, a, b, "(seed + 5) Span along %v panics: %s", dir, said)
				continue
			}
			y.n++
			if !meets {
				continue
			}
			y.count("meet", true)
			l := math.Max(longest(a, b), math.Max(math.Abs(got.Lo), math.Abs(got.Hi)))
			tol := hold(l)
			for _, at := range []float64{got.Lo, got.Hi, (got.Lo + got.Hi) / 2} {
				if g, _ := dualGap(a.Shift(dir.Mul(at)), b, tol/10); !y.within(g.Lo, tol) {
					y.fail(i, how, a, b, "(seed + 5) Span along %v = %v: at %v they are %v apart", dir, got, at, g.Lo)
				}
			}
			// Beyond an end by much they do not meet.
			out := 1e-3 + 1e-3*got.Length()
			for _, at := range []float64{got.Lo - out, got.Hi + out} {
				if g, _ := dualGap(a.Shift(dir.Mul(at)), b, 0); g.Hi <= 1e-12 {
					y.fail(i, how, a, b, "(seed + 5) Span along %v = %v: at %v they meet", dir, got, at)
				}
			}
		}
		y.print("meet")
	}
}

// TestOracleBoxSpanByHalving compares boxes with a plain search: the fifteen directions say whether two
// boxes meet, and each end of the span is halved in.
func TestOracleBoxSpanByHalving(t *testing.T) {
	for _, c := range []combo{{square, square}, {square, turned}, {square, falling}, {turned, turned}, {turned, falling}, {falling, falling}} {
		y := newTally(t, c)
		for i := uint64(0); i < times(700); i++ {
			a, b, how := pair(*oracleSeed+7, c, i)
			d := roll(*oracleSeed+8, i*64+uint64(c.a)*8+uint64(c.b))
			dir, which := d.direction(a, b)
			how += ", " + which
			at := func(x float64) float64 { return boxesMeet(a.Shift(dir.Mul(x)), b) }
			// A shift at which they meet: the deepest, by golden thirds of a convex function.
			l := longest(a, b)
			lo, hi := -3*l, 3*l
			for k := 0; k < 120; k++ {
				m1, m2 := lo+(hi-lo)*0.382, lo+(hi-lo)*0.618
				if at(m1) < at(m2) {
					hi = m2
				} else {
					lo = m1
				}
			}
			mid := (lo + hi) / 2
			var got r1.Interval
			var meets bool
			if said := caught(func() { got, meets = body.Span(a, b, dir) }); said != "" {
				y.fail(i, how, a, b, "(seed + 7) Span along %v panics: %s", dir, said)
				continue
			}
			y.n++
			tol := hold(l)
			switch deep := at(mid); {
			case deep > tol:
				y.count("pass by", true)
				if meets {
					y.fail(i, how, a, b, "(seed + 7) Span along %v = %v, and they pass by at %v", dir, got, deep)
				}
				continue
			case deep > -1e-3:
				continue // they graze: both answers are right
			}
			y.count("meet", true)
			if !meets {
				y.fail(i, how, a, b, "(seed + 7) Span along %v: no shift, and at %v they meet by %v", dir, mid, at(mid))
				continue
			}
			for _, e := range []struct{ got, sign float64 }{{got.Hi, 1}, {got.Lo, -1}} {
				in, out := mid, mid+e.sign*6*l
				for k := 0; k < 100; k++ {
					if m := (in + out) / 2; at(m) <= 0 {
						in = m
					} else {
						out = m
					}
				}
				// Off by the place where the halving itself no longer tells apart what meets.
				off := math.Abs(e.got - in)
				if touch := at(e.got); off > tol && math.Abs(touch) > tol {
					y.fail(i, how, a, b, "(seed + 7) Span along %v = %v: halving gives %v for %v, where the boxes are %v apart", dir, got, in, e.got, touch)
				}
				y.count("ends within 1e-6", off <= tol)
				if off <= tol {
					y.within(off, tol)
				}
			}
		}
		y.print("pass by", "meet", "ends within 1e-6")
	}
}

// ringOf returns the outline of a ring as a line of the library, closed.
func ringOf(points []r2.Point) geom.Geometry {
	var xy []float64
	for i := 0; i <= len(points); i++ {
		p := points[i%len(points)]
		xy = append(xy, p.X, p.Y)
	}
	return geom.NewLineString(geom.NewSequence(xy, geom.DimXY)).AsGeometry()
}

// checkBeside holds the proof of an answer: points of the bodies, at one height, that far apart, and a
// level direction in which the cuts are that far apart.
func checkBeside(y *tally, i uint64, how string, a, b body.Body, m body.Measure, tol, loose float64) {
	y.t.Helper()
	if d := math.Max(m.A.Sub(nearest(a, m.A)).Norm(), m.B.Sub(nearest(b, m.B)).Norm()); !y.within(d, tol) {
		y.fail(i, how, a, b, "(seed + 9) Beside = %+v: a point of it lies %v outside its body", m, d)
		return
	}
	if d := math.Abs(m.A.Z - m.B.Z); !y.within(d, tol) {
		y.fail(i, how, a, b, "(seed + 9) Beside = %+v: its points are not at one height, by %v", m, d)
		return
	}
	if d := math.Abs(m.B.Sub(m.A).Norm() - m.MM); !y.within(d, tol) {
		y.fail(i, how, a, b, "(seed + 9) Beside = %+v: its points are %v apart", m, m.B.Sub(m.A).Norm())
		return
	}
	if m.MM <= tol {
		return
	}
	e := r2.Point{X: m.Dir.X, Y: m.Dir.Y}
	l := e.Norm()
	if l == 0 {
		y.fail(i, how, a, b, "(seed + 9) Beside = %+v: no level direction", m)
		return
	}
	k := plainDifference(a, b)
	sep := math.Inf(-1)
	for _, s := range []float64{1 / l, -1 / l} {
		_, out := k.levelReach(e.Mul(s))
		sep = math.Max(sep, -out)
	}
	if d := math.Abs(sep - m.MM); d > tol+loose {
		y.fail(i, how, a, b, "(seed + 9) Beside = %+v: along its direction the cuts are %v apart, off by %v", m, sep, d)
	}
}

// TestOracleBeside compares with the dual of the cut; straight bodies with the hull of their corners
// cut at one height (distance by simplefeatures), round ones with prisms inside and outside.
func TestOracleBeside(t *testing.T) {
	for _, c := range combos() {
		y := newTally(t, c)
		for i := uint64(0); i < times(300); i++ {
			a, b, how := pair(*oracleSeed+9, c, i)
			d := roll(*oracleSeed+10, i*64+uint64(c.a)*8+uint64(c.b))
			ha, hb := halfWidth(a, r3.Vector{Z: 1}), halfWidth(b, r3.Vector{Z: 1})
			if d.IntN(4) > 0 {
				// Most pairs share some height.
				b.Centre.Z = a.Centre.Z + (ha+hb)*d.in(-1.05, 1.05)
			}
			l := longest(a, b)
			tol := hold(l)
			y.n++
			var m body.Measure
			var level bool
			if said := caught(func() { m, level = body.Beside(a, b) }); said != "" {
				y.fail(i, how, a, b, "(seed + 9) Beside panics: %s", said)
				continue
			}
			shared := ha + hb - math.Abs(b.Centre.Z-a.Centre.Z)
			if shared < -tol && level || shared > tol && !level {
				y.fail(i, how, a, b, "(seed + 9) Beside = %+v, %v, shared height %v", m, level, shared)
				continue
			}
			if !level {
				continue
			}
			y.count("level", true)
			if shared < tol {
				y.count("heights touch", true)
				continue
			}
			s, ok := dualBeside(a, b, tol/10)
			y.count("closed", ok)
			// How far the cut moves when the heights move by a grain.
			loose := grain(l) * s.steep
			off := outside(m.MM, s.lo, s.hi)
			switch {
			case off <= tol:
				y.within(off, tol)
			case off <= tol+loose:
				y.count("hangs on a grain", true)
				y.loosest = math.Max(y.loosest, off)
			default:
				y.fail(i, how, a, b, "(seed + 9) Beside = %+v, the dual gives %+v, shared height %v", m, s, shared)
				continue
			}
			checkBeside(y, i, how, a, b, m, tol, loose)

			n := 12
			switch {
			case a.Round && b.Round:
				n = 6
				if i%4 != 0 {
					continue
				}
			case a.Round || b.Round:
				if i%2 != 0 {
					continue
				}
			}
			// The corners' heights are found in plain floats: where the cut hangs on them, so does this.
			slack := tol + 2*loose
			outer := levelCut(a, b, n, true)
			inner := outer
			if a.Round || b.Round {
				inner = levelCut(a, b, n, false)
			}
			far := math.Inf(1)
			switch out, _ := ringDistance(inner); {
			case len(inner) == 0:
			case out == 0 || len(inner) == 2 && inner[0] == inner[1]:
				far = out // the origin inside, or all one point: no line for the library
			default:
				g, ok := geom.Distance(ringOf(inner), geom.XY{}.AsPoint().AsGeometry())
				if !ok {
					t.Fatalf("no distance from %v", inner)
				}
				far = g
			}
			near, _ := ringDistance(outer)
			y.count("by corners", true)
			if off := outside(m.MM, near, far); off > slack {
				y.fail(i, how, a, b, "(seed + 9) Beside = %+v, by corners [%v, %v]", m, near, far)
			}
		}
		y.print("level", "heights touch", "closed", "hangs on a grain", "by corners")
	}
}
