package setout

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/golang/geo/r1"
)

// answer is what two ways of finding a line are compared by.
type answer struct {
	steps int
	rise  float64
	cost  float64
}

// walk finds the best line by visiting every whole station and every critical level: nothing is skipped and nothing
// is bounded. All measures are whole numbers and sets are at 45 degrees, so that what may stand anywhere may
// stand at a whole station. A place is a station, a level, and how far behind the last bend lies.
func walk(f *Field, o Steps, most int) (answer, bool) {
	bars := f.bounded(o)
	zs := f.levels(bars, o)
	n := int(f.Length)
	m := int(o.Straight)
	clear := func(x0, z0, x1, z1 float64) bool { // a straight piece against every bar, by clipping
		for i := range bars {
			b := &bars[i]
			lo := b.Lo
			if z0 != z1 {
				if b.Still && x0 < b.To && x1 > b.From {
					return false
				}
				if math.Max(z0, z1) <= b.Lo {
					continue
				}
			} else if slices.ContainsFunc(b.Open, func(w r1.Interval) bool { return w.Lo <= z0 && z0 <= w.Hi }) {
				continue
			}
			// The part of the piece over the bar's stations, then whether its levels come between.
			a, c := math.Max(x0, b.From), math.Min(x1, b.To)
			if a >= c {
				continue
			}
			at := func(x float64) float64 { return z0 + (z1-z0)*(x-x0)/(x1-x0) }
			l, h := math.Min(at(a), at(c)), math.Max(at(a), at(c))
			if l == h && lo < l && l < b.Hi || l != h && h > lo && l < b.Hi {
				return false
			}
		}
		return true
	}
	price := func(z float64) float64 {
		if o.Prefer != nil {
			return math.Abs(z - *o.Prefer)
		}
		return -z
	}
	type place struct{ x, level, since int }
	cheaper := func(a, b answer) bool {
		if a.steps != b.steps {
			return a.steps < b.steps
		}
		if a.rise != b.rise {
			return a.rise < b.rise
		}
		return a.cost < b.cost
	}
	got := map[place]answer{}
	layers := make([][]place, n+1)
	put := func(p place, a answer) {
		old, there := got[p]
		if !there {
			layers[p.x] = append(layers[p.x], p)
		}
		if !there || cheaper(a, old) {
			got[p] = a
		}
	}
	for i, z := range zs {
		if o.Start == nil || z == *o.Start {
			put(place{0, i, 0}, answer{0, 0, price(z)})
		}
	}
	var best answer
	found := false
	for x := 0; x <= n; x++ {
		for k := 0; k < len(layers[x]); k++ {
			p := layers[x][k]
			a := got[p]
			z := zs[p.level]
			if x == n {
				if (o.End == nil || *o.End == z) && (a.steps == 0 || p.since >= m) && (!found || cheaper(a, best)) {
					best, found = a, true
				}
				continue
			}
			if clear(float64(x), z, float64(x+1), z) {
				put(place{x + 1, p.level, min(p.since+1, m)}, a)
			}
			if p.since < m || a.steps >= most {
				continue
			}
			for j, to := range zs {
				if j == p.level {
					continue
				}
				end := x + max(int(math.Abs(to-z)), m)
				if end > n {
					continue
				}
				turns := false
				for _, c := range f.Corners {
					turns = turns || float64(end) > c-o.Straight && float64(x) < c+o.Straight
				}
				if !turns && clear(float64(x), z, float64(end), to) {
					put(place{end, j, 0}, answer{a.steps + 1, a.rise + math.Abs(to-z), a.cost + price(to)})
				}
			}
		}
	}
	return best, found
}

// randomField makes a small field of whole numbers.
func randomField(r *rand.Rand) (Field, Steps) {
	f := Field{Length: float64(15 + r.IntN(60))}
	n := 1 + r.IntN(8)
	f.Bars = append(f.Bars,
		Bar{From: 0, To: f.Length, Lo: math.Inf(-1), Hi: 0},
		Bar{From: 0, To: f.Length, Lo: float64(7 + r.IntN(12)), Hi: math.Inf(1)})
	for range n {
		from := float64(r.IntN(int(f.Length)))
		lo := float64(r.IntN(17) - 1)
		b := Bar{From: from, To: from + float64(1+r.IntN(6)), Lo: lo, Hi: lo + float64(1+r.IntN(6))}
		switch r.IntN(9) {
		case 0, 5:
			b.Lo = math.Inf(-1)
		case 1, 6:
			b.Hi = math.Inf(1)
		case 2:
			at := lo + float64(r.IntN(4))
			b.Open = []r1.Interval{{Lo: at, Hi: at + float64(r.IntN(2))}}
		case 3:
			b.Still = true
		}
		f.Bars = append(f.Bars, b)
	}
	var o Steps
	o.Straight = float64(r.IntN(3))
	if r.IntN(4) == 0 {
		f.Corners = append(f.Corners, float64(1+r.IntN(int(f.Length)-1)))
	}
	level := func(one int) *float64 {
		if r.IntN(one) > 0 {
			return nil
		}
		z := float64(r.IntN(14))
		return &z
	}
	o.Start, o.End, o.Prefer, o.Min, o.Max = level(6), level(6), level(4), level(9), level(11)
	return f, o
}

func TestFindIsTheBestOfAll(t *testing.T) {
	const most = 5
	cases := 6000
	if testing.Short() {
		cases = 600
	}
	by := map[int]int{}
	for seed := range cases {
		r := rand.New(rand.NewPCG(uint64(seed), 4))
		f, o := randomField(r)
		o.Most = most
		want, ok := walk(&f, o, most)
		l, found := f.find(o)
		if ok != found {
			t.Fatalf("seed %d: Find says %v, every way says %v (%+v)\n%s", seed, found, ok, want, show(f, o))
		}
		if !ok {
			by[-1]++
			continue
		}
		by[want.steps]++
		cost := 0.0
		for _, s := range l.Sections {
			if o.Prefer != nil {
				cost += math.Abs(s.Level - *o.Prefer)
			} else {
				cost -= s.Level
			}
		}
		if len(l.Steps) != want.steps || math.Abs(l.Rise-want.rise) > 1e-6 || math.Abs(cost-want.cost) > 1e-6 {
			t.Fatalf("seed %d: Find: %d steps, rise %v, cost %v; every way: %+v\n%+v\n%s", seed, len(l.Steps), l.Rise, cost, want, l, show(f, o))
		}
		if why := trespass(&f, o, l); why != "" {
			t.Fatalf("seed %d: %s\n%+v\n%s", seed, why, l, show(f, o))
		}
	}
	t.Logf("cases by number of steps (-1: no way): %v", by)
	if testing.Short() {
		return // too few cases for what follows
	}
	for _, k := range []int{-1, 0, 1, 2, 3} {
		if by[k] == 0 {
			t.Errorf("no case with %d steps: the cases are too tame", k)
		}
	}
}

func show(f Field, o Steps) string {
	s := fmt.Sprintf("length %v corners %v straight %v\n", f.Length, f.Corners, o.Straight)
	for _, p := range []*float64{o.Start, o.End, o.Prefer, o.Min, o.Max} {
		if p == nil {
			s += "- "
		} else {
			s += fmt.Sprint(*p, " ")
		}
	}
	for _, b := range f.Bars {
		s += fmt.Sprintf("\n%+v", b)
	}
	return s
}

// trespass says where a line comes into a bar: by sampling, another way than the search goes.
func trespass(f *Field, o Steps, l Line) string {
	level := func(x float64) (z float64, sloping bool) {
		for i, s := range l.Sections {
			if x <= s.To {
				return s.Level, false
			}
			if i < len(l.Steps) && x < l.Steps[i].To {
				st := l.Steps[i]
				return st.Low + st.Rise*(x-st.From)/(st.To-st.From), true
			}
		}
		return l.Sections[len(l.Sections)-1].Level, false
	}
	for i, st := range l.Steps {
		if math.Abs(st.Rise) > 1e-9 && math.Abs(st.To-st.From-math.Max(math.Abs(st.Rise), o.Straight)) > 1e-6 {
			return fmt.Sprintf("step %d is %v long for %v", i, st.To-st.From, st.Rise)
		}
		if st.Earliest > st.From || st.Latest < st.From {
			return fmt.Sprintf("step %d stands outside its own room", i)
		}
		for _, c := range f.Corners {
			if st.To > c-o.Straight+1e-6 && st.From < c+o.Straight-1e-6 {
				return fmt.Sprintf("step %d in a corner", i)
			}
		}
	}
	for i, s := range l.Sections {
		if len(l.Steps) > 0 && s.To-s.From < o.Straight-1e-6 {
			return fmt.Sprintf("section %d is shorter than the straight", i)
		}
	}
	for x := 0.005; x < f.Length; x += 0.01 {
		z, sloping := level(x)
		for _, b := range f.Bars {
			lo := b.Lo
			if !sloping && slices.ContainsFunc(b.Open, func(w r1.Interval) bool { return w.Lo <= z && z <= w.Hi }) {
				continue
			}
			if b.From+1e-6 < x && x < b.To-1e-6 && lo+1e-6 < z && z < b.Hi-1e-6 {
				return fmt.Sprintf("at %v, level %v, in %+v", x, z, b)
			}
		}
	}
	return ""
}

// BenchmarkFind is a run of 60 m among 200 things that cross it.
func BenchmarkFind(b *testing.B) {
	for _, tight := range []float64{100, 250, 400} {
		b.Run(fmt.Sprintf("crossing things up to %.0f high", tight), func(b *testing.B) {
			f := crowded(tight)
			steps := 0
			for b.Loop() {
				l, ok := f.find(Steps{Straight: 100})
				if ok {
					steps = len(l.Steps)
				} else {
					steps = -1
				}
			}
			b.ReportMetric(float64(steps), "steps")
		})
	}
}

func crowded(tight float64) Field {
	r := rand.New(rand.NewPCG(60, 200))
	f := Field{Length: 60000}
	f.Bars = append(f.Bars, Bar{To: 60000, Lo: math.Inf(-1), Hi: 2800}, Bar{To: 60000, Lo: 3500, Hi: math.Inf(1)})
	for range 200 {
		from := r.Float64() * 59000
		lo := 2700 + r.Float64()*800
		f.Bars = append(f.Bars, Bar{From: from, To: from + 100 + r.Float64()*400, Lo: lo - 85, Hi: lo + r.Float64()*tight})
	}
	return f
}

// BenchmarkFindWithRoom is the same run with things that leave room for a few sets, as a void does.
func BenchmarkFindWithRoom(b *testing.B) {
	f := crowded(100)
	for i := range f.Bars {
		if x := &f.Bars[i]; !math.IsInf(x.Lo, 0) && !math.IsInf(x.Hi, 0) && i%4 != 0 {
			x.Lo, x.Hi = x.Lo+500, x.Hi+500 // three in four run high up
		}
	}
	steps := 0
	for b.Loop() {
		l, ok := f.find(Steps{Straight: 100})
		if !ok {
			b.Fatal("no way")
		}
		steps = len(l.Steps)
	}
	b.ReportMetric(float64(steps), "steps")
}
