package body

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/golang/geo/r3"
)

// pairs is how many random pairs of each combination of shapes are checked. With -pairs 100000 the
// proofs (-run Proof) take about a minute, the dense searches much longer.
var pairs = flag.Int("pairs", 1500, "random pairs of each combination of shapes")

// The shapes that are combined.
const (
	square0 = iota // a level box square to the axes
	turned         // a level box at any angle
	falling        // a sloping box
	level          // a level cylinder
	sloping        // a sloping cylinder
	upright        // an upright cylinder
	shapes
)

var shapeNames = [shapes]string{"square", "turned", "falling", "level", "sloping", "upright"}

// maker makes random bodies, degenerate and nearly degenerate ones among them.
type maker struct{ *rand.Rand }

func newMaker(seed, stream uint64) maker { return maker{rand.New(rand.NewPCG(seed, stream))} }

// length returns 1 mm to 200 m, evenly in the logarithm.
func (r maker) length() float64 { return math.Pow(10, 5.3*r.Float64()) }

// size returns a width, now and then zero.
func (r maker) size() float64 {
	if r.IntN(12) == 0 {
		return 0
	}
	return math.Pow(10, 3*r.Float64())
}

// angle returns a small angle, 1e-14 to 1e-3, zero, or any.
func (r maker) angle() float64 {
	switch r.IntN(4) {
	case 0:
		return 0
	case 1:
		return (2*r.Float64() - 1) * math.Pow(10, -14+11*r.Float64())
	}
	return (2*r.Float64() - 1) * math.Pi
}

// body returns a body of the kind. heading is a plan angle to be near to; slope a fall.
func (r maker) body(kind int, heading, slope float64) Body {
	l := r.length() / 2
	along := r3.Vector{X: math.Cos(heading), Y: math.Sin(heading)}
	switch kind {
	case square0:
		along = [4]r3.Vector{{X: 1}, {Y: 1}, {X: -1}, {Y: -1}}[r.IntN(4)]
	case falling, sloping:
		along.Z = slope
	case upright:
		along = r3.Vector{Z: 1}
	}
	along = along.Mul(l)
	if kind >= level {
		return Cylinder(along.Mul(-1), along, r.size())
	}
	return Box(along.Mul(-1), along, r.size(), r.size())
}

// pair returns two bodies of the kinds at a place where their distance is of the order of
// their sizes, nothing, or a hair; and how they were made.
func (r maker) pair(i, j int) (a, b Body, how string) {
	turn := (2*r.Float64() - 1) * math.Pi
	slope := math.Tan(r.angle() * 0.4)
	if slope == 0 {
		slope = 1.0 / 80
	}
	a = r.body(i, turn, slope)
	other := turn + r.angle()
	if r.IntN(4) == 0 {
		other = turn + math.Pi/2*float64(r.IntN(4)) + r.angle()*1e-3
	}
	steep := slope
	switch r.IntN(3) {
	case 0:
		steep = -slope
	case 1:
		steep = slope + r.angle()*1e-3
	}
	b = r.body(j, other, steep)
	far := r3.Vector{X: (2*r.Float64() - 1) * 1e6, Y: (2*r.Float64() - 1) * 1e6, Z: (2*r.Float64() - 1) * 1e4}
	if r.IntN(2) == 0 {
		far = r3.Vector{}
	}
	a = a.Shift(far)
	reach := a.Along.Norm() + a.W + a.H + b.Along.Norm() + b.W + b.H
	b = b.Shift(far)
	switch r.IntN(6) {
	case 0: // anywhere near
		how = "near"
		b = b.Shift(r.ball().Mul(1.5 * reach))
	case 1: // sections near, somewhere along both
		how = "beside"
		b = b.Shift(a.Along.Mul(2*r.Float64() - 1)).Shift(b.Along.Mul(2*r.Float64() - 1)).Shift(r.ball().Mul(2 * (a.W + b.W + a.H + b.H)))
	case 2: // end to end
		how = "end on"
		b = b.Shift(a.Along.Add(b.Along)).Shift(r.ball().Mul(math.Pow(10, 4*r.Float64()-3)))
	case 3: // touching, and a hair apart or in
		how = "touching"
		n := unit(r.ball())
		s := difference(a, b)
		if n == (r3.Vector{}) || r.IntN(2) == 0 {
			n = r3.Vector{Z: 1}
		}
		if s.n > 1 && r.IntN(2) == 0 {
			if g := unit(s.g[r.IntN(s.n)].Cross(s.g[r.IntN(s.n)])); g != (r3.Vector{}) {
				n = g
			}
		}
		p := s.c
		for i := 0; i < s.n; i++ {
			p = p.Add(s.g[i].Mul(math.Copysign(1, n.Dot(s.g[i])) * (1 - float64(r.IntN(2))*r.Float64()*0.5)))
		}
		for i := 0; i < s.nd; i++ {
			p = p.Add(unit(n.Sub(s.w[i].Mul(n.Dot(s.w[i])))).Mul(s.r[i]))
		}
		p = p.Sub(s.c)
		off := 0.0
		if r.IntN(2) == 0 {
			off = (2*r.Float64() - 1) * math.Pow(10, -12+13*r.Float64())
		}
		b = b.Shift(p).Shift(n.Mul(off))
	case 4: // crossing inside each other
		how = "inside"
		b = b.Shift(a.Along.Mul(r.Float64())).Shift(r.ball().Mul(0.3 * (a.W + b.W + a.H + b.H)))
	case 5: // straight above
		how = "above"
		b = b.Shift(r3.Vector{Z: r.NormFloat64() * (a.H + b.H + a.W + b.W)})
	}
	return a, b, how
}

func (r maker) ball() r3.Vector {
	return r3.Vector{X: 2*r.Float64() - 1, Y: 2*r.Float64() - 1, Z: 2*r.Float64() - 1}
}

// longest returns the longest length in a measure between a and b.
func longest(a, b Body) float64 { s := difference(a, b); return s.scale }

// allowed returns the accuracy of a measure between a and b.
func allowed(a, b Body) float64 { return math.Max(1e-6, 1e-11*longest(a, b)) }

// outsideBy returns how far p lies outside the body, 0 inside.
func outsideBy(b Body, p r3.Vector) float64 {
	x := p.Sub(b.Centre)
	if b.Round {
		w := unit(b.Along)
		if b.Along.Norm2() < noAxis {
			return math.Max(0, x.Norm()-b.W)
		}
		h := x.Dot(w)
		return math.Hypot(math.Max(0, math.Abs(h)-b.Along.Norm()), math.Max(0, x.Sub(w.Mul(h)).Norm()-b.W))
	}
	// x = s·Along + t·Across + u·z; Across is square to Along in plan.
	l2 := b.Along.X*b.Along.X + b.Along.Y*b.Along.Y
	s := 0.0
	if l2 > 0 {
		s = (x.X*b.Along.X + x.Y*b.Along.Y) / l2
		s = math.Max(-1, math.Min(1, s))
	}
	x = x.Sub(b.Along.Mul(s))
	t := x.X*b.Across.X + x.Y*b.Across.Y
	t = math.Max(-b.W, math.Min(b.W, t))
	x.X -= t * b.Across.X
	x.Y -= t * b.Across.Y
	x.Z -= math.Max(-b.H, math.Min(b.H, x.Z))
	return x.Norm()
}

func show(b Body) string {
	return fmt.Sprintf("Body{Centre: r3.Vector{X: %v, Y: %v, Z: %v}, Along: r3.Vector{X: %v, Y: %v, Z: %v}, Across: r2.Point{X: %v, Y: %v}, W: %v, H: %v, Round: %v}",
		b.Centre.X, b.Centre.Y, b.Centre.Z, b.Along.X, b.Along.Y, b.Along.Z, b.Across.X, b.Across.Y, b.W, b.H, b.Round)
}

// site returns a pair as pair does, now and then with one of the two cut down to a slice or to a line, and half
// of them 10 km from the origin.
func (r maker) site(i, j int) (a, b Body, how string) {
	a, b, how = r.pair(i, j)
	switch r.IntN(8) {
	case 0:
		a, how = Slice(a, 2*r.Float64()-1), how+", sliced"
	case 1:
		b, how = Slice(b, 2*r.Float64()-1), how+", sliced"
	case 2:
		a.W, how = 0, how+", thin"
	case 3:
		b.W, b.H, how = 0, 0, how+", a line"
	}
	if r.IntN(2) == 0 {
		far := r3.Vector{X: 1e7, Y: -1e7, Z: 2e6}.Sub(a.Centre)
		far = r3.Vector{X: math.Round(far.X), Y: math.Round(far.Y), Z: math.Round(far.Z)}
		a, b, how = a.Shift(far), b.Shift(far), how+", far off"
	}
	if r.IntN(2) == 0 {
		a, b = b, a
	}
	return a, b, how
}

// turnTo returns b with its length along the unit direction d, which is level, or upright.
func turnTo(b Body, d r3.Vector) Body {
	d = d.Mul(b.Along.Norm())
	if b.Round {
		return Cylinder(b.Centre.Sub(d), b.Centre.Add(d), 2*b.W)
	}
	return Box(b.Centre.Sub(d), b.Centre.Add(d), 2*b.W, 2*b.H)
}

// forSites runs check over site pairs of the combinations of kinds.
func forSites(t *testing.T, stream uint64, n int, kinds, others []int, check func(r maker, a, b Body) (failed string)) {
	t.Helper()
	for _, i := range kinds {
		for _, j := range others {
			for k := range n {
				r := newMaker(seed+stream, uint64(k)<<8|uint64(i)<<4|uint64(j))
				a, b, how := r.site(i, j)
				if failed := check(r, a, b); failed != "" {
					t.Errorf("%s; %s/%s pair %d (%s), seed %d\na := %s\nb := %s", failed, shapeNames[i], shapeNames[j], k, how, seed+stream, show(a), show(b))
					return
				}
			}
		}
	}
}

// every is the list of all shapes.
var every = []int{square0, turned, falling, level, sloping, upright}
