package body_test

// Seeded bodies and pairs of bodies: a pair is wholly given by its seed and number, so what a
// failure prints is enough to have it again.

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"

	"voidline/void/body"
)

var (
	oracleSeed  = flag.Uint64("oracle.seed", 20260818, "seed of the pairs that the independent references are compared on")
	oracleTimes = flag.Float64("oracle.times", 1, "how many times the usual number of pairs")
)

type kind int

const (
	square  kind = iota // box along x or y, level
	turned              // box turned in plan, level
	falling             // box sloping along its length
	level               // cylinder, level
	sloping             // cylinder, sloping
	upright             // cylinder, upright
	kinds
)

func (k kind) String() string {
	return [...]string{"square", "turned", "falling", "level", "sloping", "upright"}[k]
}

func (k kind) round() bool { return k >= level }

// combo is one combination of kinds; order is left to the pair.
type combo struct{ a, b kind }

func (c combo) String() string { return c.a.String() + "/" + c.b.String() }

func combos() []combo {
	var out []combo
	for a := square; a < kinds; a++ {
		for b := a; b < kinds; b++ {
			out = append(out, combo{a, b})
		}
	}
	return out
}

type dice struct{ *rand.Rand }

func roll(seed, n uint64) dice { return dice{rand.New(rand.NewPCG(seed, n))} }

func (d dice) in(lo, hi float64) float64 { return lo + (hi-lo)*d.Float64() }

// tens returns a number between 10^lo and 10^hi, every power as likely.
func (d dice) tens(lo, hi float64) float64 { return math.Pow(10, d.in(lo, hi)) }

func (d dice) sign() float64 { return float64(2*d.IntN(2) - 1) }

func (d dice) ball() r3.Vector {
	for {
		v := r3.Vector{X: d.in(-1, 1), Y: d.in(-1, 1), Z: d.in(-1, 1)}
		if n := v.Norm2(); n <= 1 && n > 1e-4 {
			return v
		}
	}
}

// way is a direction of a length: turn in plan and rise above the level, in radians.
type way struct{ turn, rise float64 }

func (w way) vector() r3.Vector {
	// Quarter turns and level are exact, as they are in a table.
	sin, cos := math.Sincos(w.turn)
	if q := w.turn / (math.Pi / 2); q == math.Trunc(q) {
		sin, cos = math.Round(sin), math.Round(cos)
	}
	sz, cz := math.Sincos(w.rise)
	if w.rise == math.Pi/2 || w.rise == -math.Pi/2 {
		cz = 0
	}
	return r3.Vector{X: cos * cz, Y: sin * cz, Z: sz}
}

func (d dice) way(k kind) way {
	w := way{turn: d.in(-math.Pi, math.Pi)}
	switch k {
	case square:
		w.turn = float64(d.IntN(4)) * math.Pi / 2
	case falling, sloping:
		if d.IntN(4) == 0 {
			w.turn = float64(d.IntN(4)) * math.Pi / 2
		}
		switch d.IntN(4) {
		case 0:
			w.rise = math.Atan(1/float64(20+d.IntN(400))) * d.sign()
		case 1:
			w.rise = d.tens(-12, -1) * d.sign()
		case 2:
			w.rise = d.in(-1.5, 1.5)
		default:
			w.rise = d.in(-0.8, 0.8)
		}
		if k == sloping && d.IntN(6) == 0 {
			w.rise = (math.Pi/2 - d.tens(-12, -1)) * d.sign()
		}
	case upright:
		w = way{rise: math.Pi / 2}
	}
	return w
}

// along returns a way of kind k that is as nearly parallel to w as the kind allows, by about
// 10^-12 to 10^-2, or exactly.
func (d dice) along(k kind, w way) way {
	off := func() float64 {
		if d.IntN(5) == 0 {
			return 0
		}
		return d.tens(-12, -2) * d.sign()
	}
	out := way{turn: w.turn + off()}
	switch k {
	case square:
		out = way{turn: math.Round(w.turn/(math.Pi/2)) * math.Pi / 2}
	case falling, sloping:
		out.rise = w.rise + off()
		if k == falling {
			out.rise = math.Max(-1.5, math.Min(1.5, out.rise))
		}
		if out.rise == 0 {
			out.rise = 1e-9
		}
	case upright:
		out = way{rise: math.Pi / 2}
	}
	if d.IntN(8) == 0 && k != upright {
		out.turn += math.Pi / 2
	}
	return out
}

type sizes struct{ l, w, h float64 }

func (d dice) sizes() sizes {
	side := func() float64 {
		switch d.IntN(12) {
		case 0:
			return d.tens(-3, 0)
		case 1:
			return 1
		case 2, 3, 4:
			return float64(25 * (1 + d.IntN(40)))
		}
		return d.tens(0, 3.5)
	}
	s := sizes{d.tens(0, math.Log10(200000)), side(), side()}
	switch d.IntN(8) {
	case 0:
		s.l = 200000
	case 1:
		s.l = 1
	case 2, 3:
		s.l = float64(100 * (1 + d.IntN(60)))
	}
	return s
}

func (s sizes) longest() float64 { return math.Max(s.l, math.Max(s.w, s.h)) }

// build makes a body of kind k about the middle c.
func (d dice) build(k kind, w way, s sizes, c r3.Vector) body.Body {
	v := w.vector().Mul(s.l / 2)
	p, q := c.Sub(v), c.Add(v)
	if k.round() {
		if k == upright {
			p.X, p.Y, q.X, q.Y = c.X, c.Y, c.X, c.Y
		}
		if k == level {
			p.Z, q.Z = c.Z, c.Z
		}
		return body.Cylinder(p, q, s.w)
	}
	if k == square && d.IntN(2) == 0 {
		h := r3.Vector{X: math.Abs(v.X) + math.Abs(v.Y)/s.l*s.w, Y: math.Abs(v.Y) + math.Abs(v.X)/s.l*s.w, Z: s.h / 2}
		return body.Upright(r2.Rect{X: r1.Interval{Lo: c.X - h.X, Hi: c.X + h.X}, Y: r1.Interval{Lo: c.Y - h.Y, Hi: c.Y + h.Y}},
			r1.Interval{Lo: c.Z - h.Z, Hi: c.Z + h.Z})
	}
	if k != falling {
		p.Z, q.Z = c.Z, c.Z
	}
	return body.Box(p, q, s.w, s.h)
}

// flatten takes one measure of a body away, or all: a cut of a body is a body. A round one keeps so
// much of its length that its axis is known.
func (d dice) flatten(s body.Body) body.Body {
	switch {
	case s.Round && d.IntN(2) == 0:
		s.Along = s.Along.Normalize().Mul(1e-7)
	case s.Round:
		s.W = 0
	case d.IntN(6) == 0:
		s.Along, s.W, s.H = r3.Vector{}, 0, 0
	case d.IntN(3) == 0:
		s.W = 0
	case d.IntN(2) == 0:
		s.H = 0
	default:
		s.Along = r3.Vector{}
	}
	return s
}

// pair makes pair number n of a combination. how says what kind of nastiness it has.
func pair(seed uint64, c combo, n uint64) (a, b body.Body, how string) {
	d := roll(seed, n*64+uint64(c.a)*8+uint64(c.b))
	ka, kb := c.a, c.b
	if d.IntN(2) == 0 {
		ka, kb = kb, ka
	}
	wa, sa, sb := d.way(ka), d.sizes(), d.sizes()
	wb := d.way(kb)
	small := func() float64 { // a slip: nothing, a hair, some millimetres; either way
		if d.IntN(4) == 0 {
			return 0
		}
		return d.tens(-9, 3) * d.sign()
	}
	va := wa.vector()
	switch d.IntN(10) {
	case 0, 1:
		how = "near"
		if d.IntN(2) == 0 {
			sb.l = math.Min(sb.l, sa.l*d.in(0.2, 3))
		}
		a = d.build(ka, wa, sa, r3.Vector{})
		b = d.build(kb, wb, sb, d.ball().Mul((sa.l+sb.l)*d.in(0, 0.7)))
	case 2:
		how = "near the middle"
		a = d.build(ka, wa, sa, r3.Vector{})
		p := va.Mul(sa.l * d.in(-0.5, 0.5))
		b = d.build(kb, wb, sb, p.Add(d.ball().Mul((sa.w+sa.h+sb.w+sb.h)*d.in(0, 1))).Add(wb.vector().Mul(sb.l*d.in(-0.5, 0.5))))
	case 3:
		how = "far"
		a = d.build(ka, wa, sa, r3.Vector{})
		b = d.build(kb, wb, sb, d.ball().Mul(d.tens(4, 6)))
	case 4:
		how = "nested"
		m := math.Min(sa.l, math.Min(sa.w, sa.h))
		f := m / sb.longest() * d.in(0.05, 0.6)
		sb = sizes{sb.l * f, sb.w * f, sb.h * f}
		a = d.build(ka, wa, sa, r3.Vector{})
		b = d.build(kb, wb, sb, d.ball().Mul(m*d.in(0, 0.5)))
		if d.IntN(2) == 0 {
			a, b = b, a
		}
	case 5:
		how = "nearly parallel"
		wb = d.along(kb, wa)
		vb := wb.vector()
		if d.IntN(2) == 0 { // long ones
			sa.l, sb.l = d.tens(3.5, math.Log10(200000)), d.tens(3.5, math.Log10(200000))
		}
		a = d.build(ka, wa, sa, r3.Vector{})
		side := va.Cross(d.ball()).Normalize()
		if d.IntN(2) == 0 {
			side = r3.Vector{Z: 1}
			if va.Z > 0.9 {
				side = r3.Vector{X: 1}
			}
		}
		b = d.build(kb, wb, sb, va.Mul(sa.l*d.in(-0.5, 0.5)).Add(vb.Mul(sb.l*d.in(-0.5, 0.5))))
		b = b.Shift(side.Mul(halfWidth(a, side) + halfWidth(b, side) - side.Dot(b.Centre) + small()))
	case 6:
		how = "end-on"
		if d.IntN(2) == 0 {
			wb = d.along(kb, wa)
		}
		a = d.build(ka, wa, sa, r3.Vector{})
		b = d.build(kb, wb, sb, r3.Vector{})
		b = b.Shift(va.Mul(halfWidth(a, va) + halfWidth(b, va) + small()))
	case 7:
		how = "edge-on"
		// One corner or rim of b on a corner or rim of a, and a slip.
		a = d.build(ka, wa, sa, r3.Vector{})
		b = d.build(kb, wb, sb, r3.Vector{})
		pa := nearest(a, d.ball().Mul(1e7))
		pb := nearest(b, d.ball().Mul(1e7))
		b = b.Shift(pa.Sub(pb).Add(d.ball().Mul(math.Abs(small()))))
	case 8:
		how = "touching"
		if d.IntN(2) == 0 {
			wb = d.along(kb, wa)
		}
		a = d.build(ka, wa, sa, r3.Vector{})
		b = d.build(kb, wb, sb, d.ball().Mul((sa.l+sb.l)*d.in(0.1, 1)))
		if br, ok := alternating(a, b, 1e-9, 300); ok && br.Lo > 0 {
			b = b.Shift(br.Dir.Mul(-br.Lo + d.slip()))
		}
	default:
		how = "on a grid"
		// Whole numbers, so that faces, edges and ends fall exactly together.
		g := func(n int) float64 { return 100 * float64(n) }
		sa = sizes{g(1 + d.IntN(8)), g(1 + d.IntN(3)), g(1 + d.IntN(3))}
		sb = sizes{g(1 + d.IntN(8)), g(1 + d.IntN(3)), g(1 + d.IntN(3))}
		for _, w := range []*way{&wa, &wb} {
			w.turn = math.Round(w.turn/(math.Pi/4)) * math.Pi / 4
			if w.rise != 0 && w.rise != math.Pi/2 {
				w.rise = math.Atan2(float64(1+d.IntN(4)), float64(1+d.IntN(4)))
			}
		}
		if d.IntN(2) == 0 {
			wb.turn = wa.turn
		}
		for _, k := range []struct {
			k kind
			w *way
		}{{ka, &wa}, {kb, &wb}} {
			if k.k == square {
				k.w.turn = math.Round(k.w.turn/(math.Pi/2)) * math.Pi / 2
			}
		}
		a = d.build(ka, wa, sa, r3.Vector{})
		b = d.build(kb, wb, sb, r3.Vector{X: g(d.IntN(9)-4) / 2, Y: g(d.IntN(9)-4) / 2, Z: g(d.IntN(9)-4) / 2})
	}
	if d.IntN(12) == 0 {
		a = d.flatten(a)
		how += ", flat"
	}
	if d.IntN(12) == 0 {
		b = d.flatten(b)
		how += ", flat"
	}
	if d.IntN(4) == 0 {
		site := r3.Vector{X: d.in(-9e6, 9e6), Y: d.in(-9e6, 9e6), Z: d.in(-1.9e6, 1.9e6)}
		if d.IntN(2) == 0 {
			site = site.Mul(1e-3)
		}
		a, b = a.Shift(site), b.Shift(site)
		how += ", on site"
	}
	return a, b, how
}

// slip is how far from touching a touching pair is: nothing, or a hair either way.
func (d dice) slip() float64 {
	switch d.IntN(3) {
	case 0:
		return 0
	case 1:
		return d.tens(-10, -4)
	}
	return -d.tens(-10, 0)
}

// direction makes a direction for Span and CutReach: up, level, skew, along or square to a body,
// sometimes all but so; always of length 1.
func (d dice) direction(a, b body.Body) (r3.Vector, string) {
	var v r3.Vector
	how := ""
	switch d.IntN(8) {
	case 0, 1:
		v, how = r3.Vector{Z: 1}, "up"
	case 2:
		v, how = way{turn: float64(d.IntN(4)) * math.Pi / 2}.vector(), "along an axis"
	case 3, 4:
		v, how = way{turn: d.in(-math.Pi, math.Pi)}.vector(), "level"
	case 5:
		v, how = a.Along, "along a"
		if d.IntN(2) == 0 {
			v, how = b.Along, "along b"
		}
		if v.Norm() == 0 {
			v = r3.Vector{X: 1}
		}
		v = v.Normalize()
		if d.IntN(2) == 0 {
			v, how = v.Add(d.ball().Mul(d.tens(-12, -2))).Normalize(), how+", nearly"
		}
	case 6:
		v, how = r3.Vector{X: a.Across.X, Y: a.Across.Y}, "across a"
		if v.Norm() == 0 {
			v = r3.Vector{Y: 1}
		}
	default:
		v, how = d.ball().Normalize(), "skew"
	}
	if d.IntN(2) == 0 {
		v = v.Mul(-1)
	}
	return v, how
}

// told is how a disagreement names its pair.
func told(c combo, n uint64, how string, a, b body.Body) string {
	return fmt.Sprintf("seed %d, %v pair %d (%s)\n  a: %s\n  b: %s", *oracleSeed, c, n, how, show(a), show(b))
}

// times returns how many pairs to take where n is the usual number.
func times(n int) uint64 { return uint64(math.Max(1, float64(n)**oracleTimes)) }
