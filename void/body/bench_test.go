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

// BenchmarkQuick times each way of answering that comes before the general search beside it, on pairs of a job that it answers.
// What it saves in a building is the difference times how often it answers there.
func BenchmarkQuick(b *testing.B) {
	up := r3.Vector{Z: 1}
	box, flat, pipe := []int{square0, turned}, []int{square0, turned, level}, []int{level, sloping, upright}
	gapOf := func(x, y Body) float64 { return gap(x, y).MM }
	spanOf := func(x, y Body) float64 { lo, _, _ := spanProof(x, y, up); return lo.T }
	partOf := func(x, y Body) float64 { p, _ := part(x, y); return p.MM }
	// form asks a closed form of a pair that stands square to one frame; crossed, with two disks.
	form := func(crossed bool, ask func(t *aligned, x, y *Body) (float64, bool)) func(x, y *Body) (float64, bool) {
		return func(x, y *Body) (v float64, ok bool) {
			var t aligned
			if ok := t.align(x, y); crossed && t.rb == 0 || !crossed && !ok {
				return 0, false
			}
			return ask(&t, x, y)
		}
	}
	for _, way := range []struct {
		name    string
		on      [2][]int // the shapes of the first and of the second
		quick   func(x, y *Body) (float64, bool)
		general func(x, y Body) float64
	}{
		{"Gap/square", [2][]int{every, every}, func(x, y *Body) (float64, bool) { m, ok := squareGap(x, y); return m.MM, ok }, gapOf},
		{"Gap/aligned", [2][]int{every, every}, form(false, func(t *aligned, x, y *Body) (float64, bool) { return t.gap(x, y).MM, true }), gapOf},
		{"Gap/roundRound", [2][]int{pipe, pipe}, func(x, y *Body) (float64, bool) { m, ok := roundRound(x, y); return m.MM, ok }, gapOf},
		{"Gap/boxRound", [2][]int{box, pipe}, func(x, y *Body) (float64, bool) {
			f, _ := blockOf(x)
			m, ok := boxRound(x, y, &f)
			return m.MM, ok
		}, gapOf},
		{"Gap/walk", [2][]int{{turned, falling}, {turned, falling}}, func(x, y *Body) (float64, bool) {
			m, ok := walk(x, y, y.Centre.Sub(x.Centre))
			return m.MM, ok
		}, gapOf},
		{"Beside/aligned", [2][]int{every, every}, form(false, func(t *aligned, x, y *Body) (float64, bool) {
			m, ok, done := t.beside(x, y)
			return m.MM, ok && done
		}), func(x, y Body) float64 { m, _ := beside(x, y); return m.MM }},
		{"Span/aligned", [2][]int{every, every}, form(false, func(t *aligned, _, _ *Body) (float64, bool) {
			iv, hits, ok := t.span(up)
			return iv.Lo, ok && hits
		}), spanOf},
		{"Span/crossed", [2][]int{pipe, pipe}, form(true, func(t *aligned, _, _ *Body) (float64, bool) {
			iv, hits, ok := t.span(up)
			return iv.Lo, ok && hits
		}), spanOf},
		{"Span/tops", [2][]int{flat, flat}, func(x, y *Body) (float64, bool) { iv, ok := topsSpan(x, y, 1); return iv.Lo, ok }, spanOf},
		{"Span/sloping", [2][]int{box, {sloping}}, func(x, y *Body) (float64, bool) {
			iv, hits, ok := slopingUp(x, y, 1)
			return iv.Lo, ok && hits
		}, spanOf},
		{"Span/path", [2][]int{flat, {falling, sloping}}, func(x, y *Body) (float64, bool) {
			iv, hits, ok := pathSpan(x, y, up)
			return iv.Lo, ok && hits
		}, spanOf},
		{"Part/aligned", [2][]int{every, every}, form(false, func(t *aligned, _, _ *Body) (float64, bool) { p, ok := t.part(); return p.MM, ok }), partOf},
		{"Part/crossed", [2][]int{pipe, pipe}, form(true, func(t *aligned, _, _ *Body) (float64, bool) {
			p, ok, done := t.crossedPart()
			return p.MM, ok && done
		}), partOf},
		{"Part/level", [2][]int{flat, flat}, func(x, y *Body) (float64, bool) { p, ok, done := levelPart(x, y); return p.MM, ok && done }, partOf},
		{"Part/quick", [2][]int{every, {falling, sloping, turned}}, func(x, y *Body) (float64, bool) { p, ok, done := quickPart(x, y); return p.MM, ok && done }, partOf},
		{"Stretch/aligned", [2][]int{every, every}, form(false, func(t *aligned, x, _ *Body) (float64, bool) {
			lo, hi, ok, done := t.stretch(x, 1000)
			return hi - lo, ok && done
		}), func(x, y Body) float64 { lo, hi, _ := stretch(x, y, 1000); return hi - lo }},
	} {
		var list [256][2]Body
		r := newMaker(seed, 77)
		for k := 0; k < len(list); {
			x, y := r.job(way.on[0][r.IntN(len(way.on[0]))]), r.job(way.on[1][r.IntN(len(way.on[1]))])
			if _, ok := way.quick(&x, &y); ok {
				list[k] = [2]Body{x, y}
				k++
			}
		}
		b.Run(way.name+"/quick", func(b *testing.B) {
			for n := 0; n < b.N; n++ {
				v, _ := way.quick(&list[n&255][0], &list[n&255][1])
				sink += v
			}
		})
		b.Run(way.name+"/general", func(b *testing.B) {
			for n := 0; n < b.N; n++ {
				sink += way.general(list[n&255][0], list[n&255][1])
			}
		})
	}
}
