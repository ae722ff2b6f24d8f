package body

import (
	"math"
	"testing"

	"github.com/golang/geo/r3"
)

const seed = 20240611

// forPairs runs check over random pairs of every combination of shapes.
func forPairs(t *testing.T, n int, check func(t *testing.T, r maker, a, b Body, how string)) {
	t.Helper()
	for i := 0; i < shapes; i++ {
		for j := i; j < shapes; j++ {
			t.Run(shapeNames[i]+"/"+shapeNames[j], func(t *testing.T) {
				for k := 0; k < n && !t.Failed(); k++ {
					r := newMaker(seed, uint64(k)<<8|uint64(i)<<4|uint64(j))
					a, b, how := r.pair(i, j)
					if r.IntN(2) == 0 {
						a, b = b, a
					}
					check(t, r, a, b, how)
					if t.Failed() {
						t.Logf("pair %d (%s), seed %d:\na := %s\nb := %s", k, how, seed, show(a), show(b))
					}
				}
			})
		}
	}
}

// proof returns how far a Gap's proof is from holding, in millimetres.
func proof(a, b Body, m Measure) float64 {
	if math.IsNaN(m.MM) || m.MM < 0 {
		return math.Inf(1)
	}
	e := math.Max(outsideBy(a, m.A), outsideBy(b, m.B))
	e = math.Max(e, math.Abs(m.A.Distance(m.B)-m.MM))
	if m.MM == 0 {
		if m.Dir != (r3.Vector{}) || m.A != m.B {
			return math.Inf(1)
		}
		return e
	}
	e = math.Max(e, math.Abs(m.Dir.Norm()-1)*longest(a, b))
	c := b.Centre.Sub(a.Centre)
	return math.Max(e, math.Abs(m.Dir.Dot(c)-a.half(m.Dir)-b.half(m.Dir)-m.MM))
}

func TestGapProof(t *testing.T) {
	worst := 0.0
	zero, n := 0, 0
	forPairs(t, *pairs, func(t *testing.T, r maker, a, b Body, how string) {
		for _, m := range []Measure{gap(a, b), Gap(a, b)} {
			e := proof(a, b, m)
			worst = math.Max(worst, e/allowed(a, b))
			if e > allowed(a, b) {
				t.Errorf("Gap(a, b) = %v: proof fails by %v, longest %v", m, e, longest(a, b))
			}
			if m.MM == 0 {
				zero++
			}
			n++
		}
	})
	t.Logf("%d gaps, %d of them zero; worst error %.3g of what is allowed", n, zero, worst)
}

// proofBeside returns how far the proof of a Beside is from holding.
func proofBeside(a, b Body, m Measure) float64 {
	if math.IsNaN(m.MM) || m.MM < 0 {
		return math.Inf(1)
	}
	e := math.Max(outsideBy(a, m.A), outsideBy(b, m.B))
	e = math.Max(e, math.Abs(m.A.Z-m.B.Z))
	e = math.Max(e, math.Abs(math.Hypot(m.A.X-m.B.X, m.A.Y-m.B.Y)-m.MM))
	if m.MM == 0 {
		if m.Dir != (r3.Vector{}) || m.A != m.B {
			return math.Inf(1)
		}
		return e
	}
	c := b.Centre.Sub(a.Centre)
	f := m.Dir.Dot(c) - a.half(m.Dir) - b.half(m.Dir)
	return math.Max(e, math.Abs(f-m.MM*math.Hypot(m.Dir.X, m.Dir.Y)))
}

func TestBesideProof(t *testing.T) {
	worst := 0.0
	zero, none, n := 0, 0, 0
	forPairs(t, *pairs, func(t *testing.T, r maker, a, b Body, how string) {
		if m, ok := beside(a, b); ok != (SharedHeight(a, b) >= 0) && math.Abs(SharedHeight(a, b)) > 1e-7 {
			t.Errorf("Beside(a, b) = %v, %v with shared height %v", m, ok, SharedHeight(a, b))
		}
		for k := 0; k < 2; k++ {
			m, ok := beside(a, b)
			if k == 1 {
				m, ok = Beside(a, b)
			}
			n++
			if !ok {
				none++
				continue
			}
			e := proofBeside(a, b, m)
			worst = math.Max(worst, e/allowed(a, b))
			if e > allowed(a, b) {
				t.Errorf("Beside(a, b) = %v: proof fails by %v, longest %v, shared height %v", m, e, longest(a, b), SharedHeight(a, b))
			}
			if m.MM == 0 {
				zero++
			}
		}
	})
	t.Logf("%d measures, %d share no level, %d zero; worst error %.3g of what is allowed", n, none, zero, worst)
}

func (r maker) direction() r3.Vector {
	switch r.IntN(4) {
	case 0:
		return r3.Vector{Z: 1}
	case 1:
		return r.ball()
	case 2:
		return r3.Vector{X: math.Cos(r.angle()), Y: math.Sin(r.angle())}
	}
	return r3.Vector{X: r.angle() * 1e-6, Z: -1}
}

func TestSpanProof(t *testing.T) {
	worst, miss := 0.0, 0
	n := 0
	forPairs(t, *pairs, func(t *testing.T, r maker, a, b Body, how string) {
		d := unit(r.direction())
		lo, hi, ok := spanProof(a, b, d)
		n++
		if !ok {
			miss++
			return
		}
		if !(lo.T <= hi.T) {
			t.Errorf("spanProof(a, b, %v) = %v, %v", d, lo, hi)
		}
		for _, e := range []spanEnd{lo, hi} {
			s := a.Shift(d.Mul(e.T))
			err := math.Max(outsideBy(b, e.At), outsideBy(s, e.At))
			c := b.Centre.Sub(s.Centre)
			err = math.Max(err, math.Abs(e.Dir.Dot(c)-s.half(e.Dir)-b.half(e.Dir)))
			worst = math.Max(worst, err/allowed(a, b))
			if err > allowed(a, b) {
				t.Errorf("spanProof(a, b, %v) = %v, %v: proof of %v fails by %v", d, lo, hi, e, err)
			}
		}
	})
	t.Logf("%d spans, %d miss; worst error %.3g of what is allowed", n, miss, worst)
}
