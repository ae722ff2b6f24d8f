package body

import (
	"math"
	"testing"

	"github.com/golang/geo/r3"
)

// job returns a body as drawn on a job: 1 to 12 m long, 50 to 800 mm in section, square to the
// building unless turned, falling 1 in 80.
func (r maker) job(kind int) Body {
	l := 500 + 5500*r.Float64()
	w, h := 50+750*r.Float64(), 50+350*r.Float64()
	turn := math.Pi / 2 * float64(r.IntN(4))
	if kind == turned {
		turn += 0.3 + r.Float64()
	}
	along := r3.Vector{X: math.Round(l * math.Cos(turn)), Y: math.Round(l * math.Sin(turn))}
	switch kind {
	case falling, sloping:
		along.Z = l / 80
	case upright:
		along = r3.Vector{Z: l}
	}
	c := r3.Vector{X: 8000 * r.Float64(), Y: 8000 * r.Float64(), Z: 2700 + 900*r.Float64()}
	if kind >= level {
		return Cylinder(c.Sub(along), c.Add(along), h)
	}
	return Box(c.Sub(along), c.Add(along), w, h)
}

var sink float64

// bench runs a measure over pairs of each combination; choose says which pairs count.
func bench(b *testing.B, choose func(x, y Body) bool, measure func(x, y Body) float64) {
	for i := 0; i < shapes; i++ {
		for j := i; j < shapes; j++ {
			var list [256][2]Body
			r := newMaker(seed, uint64(i*shapes+j))
			for k := 0; k < len(list); {
				list[k] = [2]Body{r.job(i), r.job(j)}
				if choose(list[k][0], list[k][1]) {
					k++
				}
			}
			b.Run(shapeNames[i]+"/"+shapeNames[j], func(b *testing.B) {
				b.ReportAllocs()
				for n := 0; n < b.N; n++ {
					p := &list[n&255]
					sink += measure(p[0], p[1])
				}
			})
		}
	}
}

func everyPair(Body, Body) bool { return true }

func BenchmarkGap(b *testing.B) {
	bench(b, everyPair, func(x, y Body) float64 { return Gap(x, y).MM })
}

func BenchmarkSpan(b *testing.B) {
	bench(b, func(x, y Body) bool { return PlanOverlap(x, y) > 0 }, func(x, y Body) float64 {
		iv, _ := Span(x, y, r3.Vector{Z: 1})
		return iv.Lo
	})
}

func BenchmarkBeside(b *testing.B) {
	bench(b, func(x, y Body) bool { return SharedHeight(x, y) > 0 }, func(x, y Body) float64 {
		m, _ := Beside(x, y)
		return m.MM
	})
}

func BenchmarkPart(b *testing.B) {
	bench(b, Meet, func(x, y Body) float64 {
		p, _ := Part(x, y)
		return p.MM
	})
}

func BenchmarkMeet(b *testing.B) {
	bench(b, everyPair, func(x, y Body) float64 {
		if Meet(x, y) {
			return 1
		}
		return 0
	})
}

func BenchmarkStretch(b *testing.B) {
	bench(b, func(x, y Body) bool { return Gap(x, y).MM < 100 }, func(x, y Body) float64 {
		lo, hi, _ := Stretch(x, y, 100)
		return hi - lo
	})
}

func BenchmarkPlanOverlap(b *testing.B) {
	bench(b, everyPair, PlanOverlap)
}
