package body_test

// The references are first held against sums done by hand, and against one another; so are the
// measures themselves.

import (
	"math"
	"testing"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"

	"voidline/void/body"
)

// cuboid returns an upright box of the given sides about a middle.
func cuboid(x, y, z, dx, dy, dz float64) body.Body {
	return body.Upright(r2.Rect{X: r1.Interval{Lo: x - dx/2, Hi: x + dx/2}, Y: r1.Interval{Lo: y - dy/2, Hi: y + dy/2}},
		r1.Interval{Lo: z - dz/2, Hi: z + dz/2})
}

func pt(x, y, z float64) r3.Vector { return r3.Vector{X: x, Y: y, Z: z} }

// rod returns a cylinder of the given middle, half axis and diameter.
func rod(c, half r3.Vector, d float64) body.Body { return body.Cylinder(c.Sub(half), c.Add(half), d) }

func TestOracleGapByHand(t *testing.T) {
	const tiny = 1e-6
	fall := body.Box(pt(-500, 0, -500), pt(500, 0, 500), 100, 100) // rises 1 in 1; top z = x + 50
	tests := []struct {
		what string
		a, b body.Body
		want float64
	}{
		{"end to end", cuboid(0, 0, 0, 1000, 200, 100), cuboid(1100, 0, 0, 1000, 200, 100), 1100 - 500 - 500},
		{"ends touch", cuboid(0, 0, 0, 1000, 200, 100), cuboid(1000, 0, 0, 1000, 200, 100), 0},
		{"corner to corner", cuboid(0, 0, 0, 100, 100, 100), cuboid(200, 150, 130, 100, 100, 100), math.Sqrt((200-100)*(200-100) + (150-100)*(150-100) + (130-100)*(130-100))},
		{"one inside the other", cuboid(0, 0, 0, 100, 100, 100), cuboid(5, 5, 5, 10, 10, 10), 0},
		{"turned by an eighth: its corner points at the face", cuboid(0, 0, 0, 100, 100, 100), body.Box(pt(200-50*math.Sqrt2/2, -50*math.Sqrt2/2, 0), pt(200+50*math.Sqrt2/2, 50*math.Sqrt2/2, 0), 100, 100), 200 - 50 - 50*math.Sqrt2},
		{"crossing ducts, edge over edge", cuboid(0, 0, 0, 1000, 100, 100), cuboid(40, 30, 300, 100, 1000, 100), 300 - 50 - 50},
		{"two falling lines that cross: (1, 0, 1) x (0, 1, -1) = (-1, 1, 1)", body.Box(pt(-500, 0, -500), pt(500, 0, 500), 0, 0), body.Box(pt(90, -500, 560), pt(90, 500, -440), 0, 0), math.Abs(-90+0+60) / math.Sqrt(3)},
		{"side by side pipes", rod(pt(0, 0, 0), pt(500, 0, 0), 100), rod(pt(0, 300, 400), pt(500, 0, 0), 100), 500 - 50 - 50},
		{"crossing pipes", rod(pt(0, 0, 0), pt(500, 0, 0), 100), rod(pt(0, 0, 300), pt(0, 500, 0), 200), 300 - 50 - 100},
		{"pipe end to box end", rod(pt(0, 0, 0), pt(500, 0, 0), 100), cuboid(1100, 0, 0, 1000, 200, 100), 1100 - 500 - 500},
		{"the rim of a flat end", rod(pt(0, 0, 0), pt(500, 0, 0), 100), cuboid(1030, 0, 140, 1000, 200, 100), math.Hypot(1030-500-500, 140-50-50)},
		{"upright pipe to box", rod(pt(0, 0, 0), pt(0, 0, 500), 100), cuboid(130, 140, 0, 100, 100, 100), math.Hypot(130-50, 140-50) - 50},
		{"upright pipe over box", rod(pt(0, 0, 600), pt(0, 0, 500), 100), cuboid(0, 0, 0, 100, 100, 100), 600 - 500 - 50},
		{"a line over a falling top", fall, rod(pt(0, 0, 250), pt(0, 0, 100), 0), (150 - 50) / math.Sqrt2},
		{"a line inside a falling box", fall, rod(pt(0, 0, 0), pt(0, 0, 30), 0), 0},
		{"beyond the upright end of a falling box", fall, cuboid(600, 0, 500, 100, 100, 100), 600 - 50 - 500},
		{"falling box and a box under it", fall, cuboid(300, 0, 0, 100, 100, 100), (300 - 50 - 50 - 50) / math.Sqrt2},
		{"two discs face to face", rod(pt(0, 0, 0), pt(0, 0, 0.5), 300), rod(pt(0, 0, 7), pt(0, 0, 0.5), 300), 7 - 0.5 - 0.5},
		{"lines that cross at 1e-6", rod(pt(0, 0, 0), pt(1e5, 0, 0), 0), rod(pt(0, 0, 100), pt(1e5*math.Cos(1e-6), 1e5*math.Sin(1e-6), 0), 0), 100},
		{"lines at 1e-6 that do not come to cross", rod(pt(0, 0, 0), pt(1e5, 0, 0), 0), rod(pt(0, 1, 100), pt(1e5*math.Cos(1e-6), 1e5*math.Sin(1e-6), 0), 0), math.Hypot(1-1e5*math.Sin(1e-6), 100)},
		{"pipes at 1e-5, one end nearer", rod(pt(0, 0, 0), pt(1e5, 0, 0), 100), rod(pt(0, 103, 0), pt(1e5*math.Cos(1e-5), 1e5*math.Sin(1e-5), 0), 100), hand1e5()},
	}
	for _, test := range tests {
		for turn := 0; turn < 2; turn++ {
			a, b := test.a, test.b
			if turn == 1 {
				a, b = b, a
			}
			if m := body.Gap(a, b); math.Abs(m.MM-test.want) > tiny {
				t.Errorf("%s: body.Gap = %+v, want %v", test.what, m, test.want)
			}
			br, ok := dualGap(a, b, tiny)
			if !ok || br.Lo > test.want+tiny || br.Hi < test.want-tiny {
				t.Errorf("%s: dual gap = [%v, %v] closed %v, want %v", test.what, br.Lo, br.Hi, ok, test.want)
			}
			br, ok = alternating(a, b, tiny, 5000)
			if br.Lo > test.want+tiny || br.Hi < test.want-tiny {
				t.Errorf("%s: alternating gap = [%v, %v] closed %v, want %v", test.what, br.Lo, br.Hi, ok, test.want)
			}
			if !a.Round && !b.Round && test.want > 0 {
				if g := cornerGap(a, b); math.Abs(g-test.want) > tiny {
					t.Errorf("%s: corner gap = %v, want %v", test.what, g, test.want)
				}
				if g := boxesMeet(a, b); g <= 0 || g > test.want+tiny {
					t.Errorf("%s: boxes are %v apart along the best of 15 directions, want more than 0 and not more than %v", test.what, g, test.want)
				}
			}
		}
	}
}

// hand1e5 is the gap of two pipes of radius 50 and half length 1e5, the second with its middle at
// y = 103 and turned by 1e-5: its end at -x has its axis at y = 103 - 1e5 sin(1e-5) = 102 and its
// flat end square to its axis, so the nearest point of its rim lies at x = -1e5 cos + 50 sin,
// y = 102 - 50 cos, over the inside of the other's length.
func hand1e5() float64 {
	return 103 - 1e5*math.Sin(1e-5) - 50*math.Cos(1e-5) - 50
}

func TestOracleSpanByHand(t *testing.T) {
	skew := pt(1/math.Sqrt2, 0, 1/math.Sqrt2)
	tests := []struct {
		what   string
		a, b   body.Body
		dir    r3.Vector
		meets  bool
		lo, hi float64
	}{
		{"box under box", cuboid(0, 0, 0, 1000, 200, 100), cuboid(0, 0, 300, 200, 1000, 100), pt(0, 0, 1), true, 300 - 50 - 50, 300 + 50 + 50},
		{"a direction twice as long", cuboid(0, 0, 0, 1000, 200, 100), cuboid(0, 0, 300, 200, 1000, 100), pt(0, 0, 2), true, (300. - 50 - 50) / 2, (300. + 50 + 50) / 2},
		{"it passes by", cuboid(0, 0, 0, 100, 100, 100), cuboid(0, 150, 300, 100, 100, 100), pt(0, 0, 1), false, 0, 0},
		{"crossing pipes", rod(pt(0, 0, 0), pt(500, 0, 0), 100), rod(pt(0, 0, 300), pt(0, 500, 0), 100), pt(0, 0, 1), true, 300 - 100, 300 + 100},
		{"pipes side by side", rod(pt(0, 0, 0), pt(500, 0, 0), 100), rod(pt(0, 60, 300), pt(500, 0, 0), 100), pt(0, 0, 1), true, 300 - math.Sqrt(100*100-60*60), 300 + math.Sqrt(100*100-60*60)},
		{"pipes that pass by", rod(pt(0, 0, 0), pt(500, 0, 0), 100), rod(pt(0, 101, 300), pt(500, 0, 0), 100), pt(0, 0, 1), false, 0, 0},
		{"skew", cuboid(0, 0, 0, 100, 100, 100), cuboid(300, 0, 300, 100, 100, 100), skew, true, (300 - 100) * math.Sqrt2, (300 + 100) * math.Sqrt2},
		{"level", rod(pt(0, 0, 0), pt(0, 0, 500), 100), cuboid(0, 400, 0, 100, 100, 100), pt(0, 1, 0), true, 400 - 50 - 50, 400 + 50 + 50},
		{"against a fall", body.Box(pt(-500, 0, -500), pt(500, 0, 500), 100, 100), cuboid(300, 0, 300, 100, 100, 100), pt(0, 0, 1), true, (300 - 50) - (350 + 50), (300 + 50) - (250 - 50)},
	}
	for _, test := range tests {
		if test.dir.Norm() < 1.5 { // Span makes a direction a unit; the reference does not
			got, meets := body.Span(test.a, test.b, test.dir)
			if meets != test.meets || meets && (math.Abs(got.Lo-test.lo) > 1e-6 || math.Abs(got.Hi-test.hi) > 1e-6) {
				t.Errorf("%s: body.Span = %v, %v, want [%v, %v], %v", test.what, got, meets, test.lo, test.hi, test.meets)
			}
		}
		s, ok := spanOf(test.a, test.b, test.dir, 1e-6)
		if !ok {
			t.Errorf("%s: not closed: %+v", test.what, s)
			continue
		}
		if meets := s.missLo <= 0; meets != test.meets {
			t.Errorf("%s: meets %v, want %v (misses by [%v, %v])", test.what, meets, test.meets, s.missLo, s.missHi)
			continue
		}
		if got := interval(s.up, s.down); test.meets && (math.Abs(got.Lo-test.lo) > 1e-6 || math.Abs(got.Hi-test.hi) > 1e-6) {
			t.Errorf("%s: span %v, want [%v, %v]", test.what, got, test.lo, test.hi)
		}
	}
}

func TestOracleBesideByHand(t *testing.T) {
	fall := body.Box(pt(-500, 0, -500), pt(500, 0, 500), 100, 100)
	tests := []struct {
		what string
		a, b body.Body
		want float64
	}{
		{"boxes that share 20 of height", cuboid(0, 0, 0, 100, 100, 100), cuboid(300, 0, 80, 100, 100, 100), 300 - 50 - 50},
		{"corner to corner in plan", cuboid(0, 0, 0, 100, 100, 100), cuboid(300, 400, 80, 100, 100, 100), math.Hypot(300-100, 400-100)},
		{"beside a fall: the lower face reaches x = z + 50 at z = 50", fall, cuboid(300, 0, 0, 100, 100, 100), (300 - 50) - (50 + 50)},
		{"upright pipe", rod(pt(0, 0, 0), pt(0, 0, 500), 100), cuboid(300, 0, 0, 100, 100, 100), 300 - 50 - 50},
		{"level pipe under a high box: half a chord at 60 is 80", rod(pt(0, 0, 0), pt(0, 500, 0), 200), cuboid(250, 0, 110, 100, 100, 100), (250 - 50) - math.Sqrt(100*100-60*60)},
		{"one inside the other", cuboid(0, 0, 0, 100, 100, 100), cuboid(5, 5, 5, 10, 10, 10), 0},
		{"over one another at one level", fall, cuboid(50, 0, 0, 10, 10, 10), 0},
	}
	for _, test := range tests {
		if m, level := body.Beside(test.a, test.b); !level || math.Abs(m.MM-test.want) > 1e-6 {
			t.Errorf("%s: body.Beside = %+v, %v, want %v", test.what, m, level, test.want)
		}
		s, ok := dualBeside(test.a, test.b, 1e-6)
		if !ok || s.lo > test.want+1e-6 || s.hi < test.want-1e-6 {
			t.Errorf("%s: beside %+v closed %v, want %v", test.what, s, ok, test.want)
		}
		in, _ := ringDistance(levelCut(test.a, test.b, 48, true))
		out, _ := ringDistance(levelCut(test.a, test.b, 48, false))
		if in > test.want+1e-6 || out < test.want-1e-6 || out-in > 1 {
			t.Errorf("%s: by corners [%v, %v], want %v", test.what, in, out, test.want)
		}
	}
}

func TestOraclePartByHand(t *testing.T) {
	tests := []struct {
		what string
		a, b body.Body
		want float64
	}{
		{"boxes", cuboid(0, 0, 0, 100, 100, 100), cuboid(30, 10, 0, 100, 100, 100), 100 - 30},
		{"boxes that share 1 of height", cuboid(0, 0, 0, 100, 100, 100), cuboid(30, 10, 99, 100, 100, 100), 100 - 30},
		{"upright pipes", rod(pt(0, 0, 0), pt(0, 0, 500), 100), rod(pt(60, 0, 0), pt(0, 0, 500), 100), 100 - 60},
		{"pipes about one axis", rod(pt(0, 0, 0), pt(0, 0, 500), 100), rod(pt(0, 0, 0), pt(0, 0, 500), 100), 100},
		{"pipe into a face", rod(pt(0, 0, 0), pt(0, 0, 500), 100), cuboid(80, 0, 0, 100, 100, 100), 100 - 80},
		{"pipe into a corner", rod(pt(0, 0, 0), pt(0, 0, 500), 100), cuboid(80, 80, 0, 100, 100, 100), 50 - 30*math.Sqrt2},
		{
			"a falling line x = -z whose last 70.71 - 50 stands in the levels of an upright pipe, beside its face at x = -50",
			rod(pt(0, 0, 0), pt(-100/math.Sqrt2, 0, 100/math.Sqrt2), 0), rod(pt(-150, 0, 150), pt(0, 0, 100), 200), 100/math.Sqrt2 - 50,
		},
		{"a fall through a plate at level 0", body.Box(pt(-500, 0, -500), pt(500, 0, 500), 100, 100), cuboid(20, 0, 0, 100, 300, 0), 50 + 50 - 20},
		{
			"long boxes nearly parallel: the end sinks in by 1 - 1e5 sin 1e-6 less", cuboid(0, 0, 0, 2e5, 100, 100),
			body.Box(pt(-1e5*math.Cos(1e-6), 99-1e5*math.Sin(1e-6), 0), pt(1e5*math.Cos(1e-6), 99+1e5*math.Sin(1e-6), 0), 100, 100), 50 - (99 - 1e5*math.Sin(1e-6) - 50*math.Cos(1e-6)),
		},
	}
	for _, test := range tests {
		for turn := 0; turn < 2; turn++ {
			a, b := test.a, test.b
			if turn == 1 {
				a, b = b, a
			}
			if p, overlap := body.Part(a, b); !overlap || p.MM < test.want-1e-6 || p.MM-p.Bound > test.want+1e-6 {
				t.Errorf("%s: body.Part = %+v, %v, want %v", test.what, p, overlap, test.want)
			}
			p := leastParting(a, b, 1e-6, 60000)
			if math.Abs(p.mm-test.want) > 2e-6 || math.Abs(p.bound-test.want) > 2e-6 {
				t.Errorf("%s: parting %+v, want %v", test.what, p, test.want)
			}
			if d := denseParting(a, b, 3600); d < test.want-1e-6 {
				t.Errorf("%s: dense search found %v, less than %v", test.what, d, test.want)
			}
			if !a.Round && !b.Round {
				if _, d := ringDistance(levelCut(a, b, 0, false)); math.Abs(d-test.want) > 1e-6 {
					t.Errorf("%s: by the corners of the cut %v, want %v", test.what, d, test.want)
				}
			}
		}
	}
}

func TestOracleCutByHand(t *testing.T) {
	fall := body.Box(pt(-500, 0, -500), pt(500, 0, 500), 100, 100)
	pipe := rod(pt(0, 0, 0), pt(500, 0, 0), 100)
	tests := []struct {
		what            string
		b               body.Body
		at, normal, dir r3.Vector
		lo, hi          float64
	}{
		{"box, height", cuboid(0, 0, 0, 1000, 200, 100), pt(100, 0, 0), pt(1, 0, 0), pt(0, 0, 1), -50, 50},
		{"box, width", cuboid(0, 0, 0, 1000, 200, 100), pt(100, 7, 7), pt(1, 0, 0), pt(0, 1, 0), -100 - 7, 100 - 7},
		{"fall, height at x = 100", fall, pt(100, 0, 0), pt(1, 0, 0), pt(0, 0, 1), 100 - 50, 100 + 50},
		{"pipe cut at an eighth: x = -z", pipe, pt(0, 0, 0), pt(1, 0, 1), pt(1, 0, 0), -50, 50},
		{"pipe cut at an eighth, along the cut: an ellipse 50 x sqrt 2 long", pipe, pt(0, 0, 0), pt(1, 0, 1), pt(1/math.Sqrt2, 0, -1/math.Sqrt2), -50 * math.Sqrt2, 50 * math.Sqrt2},
		{"a short pipe cut at an eighth ends at its ends", rod(pt(0, 0, 0), pt(30, 0, 0), 100), pt(0, 0, 0), pt(1, 0, 1), pt(1, 0, 0), -30, 30},
		{"pipe cut at y = 30: half a chord is 40", pipe, pt(0, 30, 0), pt(0, 1, 0), pt(0, 0, 1), -40, 40},
	}
	for _, test := range tests {
		if n := test.normal.Normalize(); test.dir.Dot(n) == 0 { // CutReach takes dir square to the normal; the reference as it is
			got, meets := body.CutReach(test.b, test.at, test.normal, test.dir)
			if !meets || math.Abs(got.Lo-test.lo) > 1e-6 || math.Abs(got.Hi-test.hi) > 1e-6 {
				t.Errorf("%s: body.CutReach = %v, %v, want [%v, %v]", test.what, got, meets, test.lo, test.hi)
			}
		}
		up, down, ok := dualCut(test.b, test.at, test.normal, test.dir, 1e-6)
		if got := interval(up, down); !ok || math.Abs(got.Lo-test.lo) > 1e-6 || math.Abs(got.Hi-test.hi) > 1e-6 {
			t.Errorf("%s: cut %v closed %v, want [%v, %v]", test.what, got, ok, test.lo, test.hi)
		}
		lo, hi, ok := planeCut(test.b, test.at, test.normal, test.dir, 3000, false)
		if !ok || math.Abs(lo-test.lo) > 1e-3 || math.Abs(hi-test.hi) > 1e-3 {
			t.Errorf("%s: by corners [%v, %v] %v, want [%v, %v]", test.what, lo, hi, ok, test.lo, test.hi)
		}
	}
}

// TestOracleMethodsAgree holds the enclosures of a distance against one another: all must share a
// length, whether closed or not, and boxes must agree with their corners.
func TestOracleMethodsAgree(t *testing.T) {
	for _, c := range combos() {
		var dual, alt, corner, n int
		how := map[string]int{}
		for i := uint64(0); i < times(150); i++ {
			a, b, kind := pair(*oracleSeed, c, i)
			tol := hold(longest(a, b))
			d, ok := dualGap(a, b, tol)
			if ok {
				dual++
			} else {
				how[kind]++
			}
			g, ok := alternating(a, b, tol, 300)
			if ok {
				alt++
			}
			n++
			if d.Lo > g.Hi+tol || g.Lo > d.Hi+tol {
				t.Fatalf("dual [%v, %v] and alternating [%v, %v]: %s", d.Lo, d.Hi, g.Lo, g.Hi, told(c, i, kind, a, b))
			}
			if !a.Round && !b.Round {
				apart := boxesMeet(a, b)
				if apart > tol && d.Hi < apart-tol || apart <= -tol && d.Lo > tol {
					t.Fatalf("dual [%v, %v], boxes parted by %v: %s", d.Lo, d.Hi, apart, told(c, i, kind, a, b))
				}
				if e := cornerGap(a, b); apart > 0 && (e < d.Lo-tol || e > d.Hi+tol) {
					t.Fatalf("dual [%v, %v], corners %v: %s", d.Lo, d.Hi, e, told(c, i, kind, a, b))
				}
				corner++
			}
		}
		t.Logf("%-17v %d pairs: dual closed %d, alternating closed %d of 300 steps, %d held against corners; not closed: %v", c, n, dual, alt, corner, how)
	}
}
