package body_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"
	"github.com/peterstace/simplefeatures/geom"

	"voidline/void/body"
)

// tally counts what was compared in one combination and stops printing after a few failures.
type tally struct {
	t      *testing.T
	c      combo
	n      int // pairs looked at
	failed int
	worst  float64 // the largest difference of an answer from the enclosure, mm
	counts map[string]int

	loosest float64 // the same among answers that hang on a grain
}

func newTally(t *testing.T, c combo) *tally { return &tally{t: t, c: c, counts: map[string]int{}} }

func (y *tally) count(what string, yes bool) {
	if yes {
		y.counts[what]++
	}
}

func (y *tally) fail(i uint64, how string, a, b body.Body, format string, args ...any) {
	y.t.Helper()
	if y.failed++; y.failed <= 3 {
		y.t.Errorf("%s\n  %s", fmt.Sprintf(format, args...), told(y.c, i, how, a, b))
	}
}

// outside returns by how much x lies outside [lo, hi].
func outside(x, lo, hi float64) float64 { return math.Max(0, math.Max(lo-x, x-hi)) }

// within keeps the largest difference and reports whether d is not more than tol.
func (y *tally) within(d, tol float64) bool {
	y.worst = math.Max(y.worst, d)
	return d <= tol // false for NaN
}

func (y *tally) print(order ...string) {
	y.t.Helper()
	s := ""
	for _, k := range order {
		s += fmt.Sprintf(", %s %d", k, y.counts[k])
	}
	if y.loosest > 0 {
		s += fmt.Sprintf(" (by up to %.2g mm)", y.loosest)
	}
	y.t.Logf("%-17v %d pairs%s, failed %d, worst %.2g mm", y.c, y.n, s, y.failed, y.worst)
}

// caught runs f and returns what it panicked with, as text.
func caught(f func()) (said string) {
	defer func() {
		if r := recover(); r != nil {
			said = fmt.Sprint(r)
		}
	}()
	f()
	return ""
}

// checkGap holds the proof that an answer carries against the reference's own nearest points and own
// reach: two points of the bodies that far apart, and a direction in which the bodies are.
func checkGap(y *tally, i uint64, how string, a, b body.Body, m body.Measure, tol float64) {
	y.t.Helper()
	if !(m.MM >= 0) || math.IsInf(m.MM, 0) {
		y.fail(i, how, a, b, "Gap = %+v, want a length", m)
		return
	}
	if d := m.A.Sub(nearest(a, m.A)).Norm(); !y.within(d, tol) {
		y.fail(i, how, a, b, "Gap = %+v: its point A lies %v outside a", m, d)
		return
	}
	if d := m.B.Sub(nearest(b, m.B)).Norm(); !y.within(d, tol) {
		y.fail(i, how, a, b, "Gap = %+v: its point B lies %v outside b", m, d)
		return
	}
	if d := math.Abs(m.B.Sub(m.A).Norm() - m.MM); !y.within(d, tol) {
		y.fail(i, how, a, b, "Gap = %+v: its points are %v apart, off by %v", m, m.B.Sub(m.A).Norm(), d)
		return
	}
	if m.MM <= tol {
		return // two points at one place are the whole proof
	}
	if math.Abs(m.Dir.Norm()-1) > 1e-12 {
		y.fail(i, how, a, b, "Gap = %+v: its direction is not of length 1", m)
		return
	}
	sep := math.Max(apart(a, b, m.Dir), apart(a, b, m.Dir.Mul(-1)))
	if d := math.Abs(m.MM - sep); !y.within(d, tol) {
		y.fail(i, how, a, b, "Gap = %+v: along its direction the bodies are %v apart, off by %v", m, sep, d)
	}
}

// TestOracleGapProofs looks at the proof of each answer, at the answer with the bodies changed over,
// and compares with alternating nearest points where those have closed.
func TestOracleGapProofs(t *testing.T) {
	var all, closed int
	for _, c := range combos() {
		y := newTally(t, c)
		for i := uint64(0); i < times(9000); i++ {
			a, b, how := pair(*oracleSeed, c, i)
			tol := hold(longest(a, b))
			y.n++
			var m, back body.Measure
			if said := caught(func() { m, back = body.Gap(a, b), body.Gap(b, a) }); said != "" {
				y.fail(i, how, a, b, "Gap panics: %s", said)
				continue
			}
			checkGap(y, i, how, a, b, m, tol)
			if d := math.Abs(m.MM - back.MM); !y.within(d, 2*tol) {
				y.fail(i, how, a, b, "Gap(a, b) = %v, Gap(b, a) = %v", m.MM, back.MM)
			}
			br, ok := alternating(a, b, tol, 60)
			y.count("alternating closed", ok)
			y.count("apart", ok && br.Lo > tol)
			if d := outside(m.MM, br.Lo, br.Hi); !y.within(d, tol) {
				y.fail(i, how, a, b, "Gap = %+v, alternating points give [%v, %v]", m, br.Lo, br.Hi)
			}
		}
		y.print("alternating closed", "apart")
		all, closed = all+y.n, closed+y.counts["alternating closed"]
	}
	t.Logf("all: %d pairs, alternating closed on %d", all, closed)
}

// TestOracleGapDual compares with the smoothed dual, which closes on nearly parallel lengths too.
func TestOracleGapDual(t *testing.T) {
	var all, closed int
	for _, c := range combos() {
		y := newTally(t, c)
		for i := uint64(0); i < times(600); i++ {
			a, b, how := pair(*oracleSeed+1, c, i)
			tol := hold(longest(a, b))
			y.n++
			var m body.Measure
			if said := caught(func() { m = body.Gap(a, b) }); said != "" {
				y.fail(i, how, a, b, "Gap panics: %s", said)
				continue
			}
			br, ok := dualGap(a, b, tol/10)
			y.count("closed", ok)
			y.count("apart", br.Lo > tol)
			if d := outside(m.MM, br.Lo, br.Hi); !y.within(d, tol) {
				y.fail(i, how, a, b, "(seed + 1) Gap = %+v, the dual gives [%v, %v]", m, br.Lo, br.Hi)
			}
			if br.Lo > tol && m.MM == 0 {
				y.fail(i, how, a, b, "(seed + 1) Gap = 0, and they are at least %v apart", br.Lo)
			}
		}
		y.print("closed", "apart")
		all, closed = all+y.n, closed+y.counts["closed"]
	}
	t.Logf("all: %d pairs, the dual closed on %d", all, closed)
}

// planRing returns the plan of an upright box about from as a polygon of the library.
func planRing(t *testing.T, s body.Body, from r3.Vector) geom.Geometry {
	t.Helper()
	near, far := prism(s, from, 0, false)
	// Corners 0 and 1 of each ring are its two sides at the bottom.
	ring := []r3.Vector{near[0], near[1], far[1], far[0], near[0]}
	var xy []float64
	for _, p := range ring {
		xy = append(xy, p.X, p.Y)
	}
	poly := geom.NewPolygon([]geom.LineString{geom.NewLineString(geom.NewSequence(xy, geom.DimXY))})
	if err := poly.Validate(); err != nil {
		t.Fatalf("plan of %s: %v", show(s), err)
	}
	return poly.AsGeometry()
}

// TestOracleGapInPlan compares upright prisms turned in plan with a general-purpose geometry library
// (peterstace/simplefeatures): their distance is the plan distance and the gap between their heights,
// square to one another.
func TestOracleGapInPlan(t *testing.T) {
	for _, c := range []combo{{square, square}, {square, turned}, {turned, turned}} {
		y := newTally(t, c)
		for i := uint64(0); i < times(4000); i++ {
			a, b, how := pair(*oracleSeed+2, c, i)
			if a.W == 0 || b.W == 0 || a.Along.Norm2() == 0 || b.Along.Norm2() == 0 {
				continue // no plan area
			}
			y.n++
			plan, ok := geom.Distance(planRing(t, a, a.Centre), planRing(t, b, a.Centre))
			if !ok {
				t.Fatalf("no plan distance: %s", told(c, i, how, a, b))
			}
			up := math.Max(0, math.Abs(b.Centre.Z-a.Centre.Z)-a.H-b.H)
			want := math.Hypot(plan, up)
			tol := hold(longest(a, b))
			var m, beside body.Measure
			var level bool
			if said := caught(func() { m = body.Gap(a, b); beside, level = body.Beside(a, b) }); said != "" {
				y.fail(i, how, a, b, "(seed + 2) panics: %s", said)
				continue
			}
			if d := math.Abs(m.MM - want); !y.within(d, tol) {
				y.fail(i, how, a, b, "(seed + 2) Gap = %+v, in plan %v and %v up: want %v", m, plan, up, want)
			}
			if (m.MM > tol) != (want > tol) && math.Abs(m.MM-want) > tol {
				y.fail(i, how, a, b, "(seed + 2) Gap = %+v, want %v: one says they meet", m, want)
			}
			y.count("meet", want <= tol)
			if up > tol && level {
				y.fail(i, how, a, b, "(seed + 2) Beside = %+v, and no height is shared: they are %v apart", beside, up)
			}
			if shared := a.H + b.H - math.Abs(b.Centre.Z-a.Centre.Z); shared > tol {
				y.count("share height", true)
				if d := math.Abs(beside.MM - plan); !level || !y.within(d, tol) {
					y.fail(i, how, a, b, "(seed + 2) Beside = %+v, %v, want %v", beside, level, plan)
				}
			}
		}
		y.print("meet", "share height")
	}
}

// TestOraclePlanRing holds the rings that the library is given against hand-written corners.
func TestOraclePlanRing(t *testing.T) {
	ring := planRing(t, body.Upright(r2.Rect{X: r1.Interval{Lo: 100, Hi: 300}, Y: r1.Interval{Lo: 20, Hi: 80}}, r1.Interval{Lo: 0, Hi: 5}), r3.Vector{})
	want, err := geom.UnmarshalWKT("POLYGON((100 20, 300 20, 300 80, 100 80, 100 20))")
	if err != nil {
		t.Fatal(err)
	}
	if same, err := geom.Equals(ring, want); err != nil || !same {
		t.Errorf("plan ring = %s (%v), want %s", ring.AsText(), err, want.AsText())
	}
}
