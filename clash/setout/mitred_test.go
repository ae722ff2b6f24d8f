package setout

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/golang/geo/r3"

	"voidline/void/body"
)

// edgeAt returns the level at a station of what stands v square off a line that steps once: by where two straight lines cross, not
// by half angles. A level length ends, and the inclined one begins, where the two lines at that distance cross.
func edgeAt(st *Step, v, x float64) float64 {
	length := st.To - st.From
	h := math.Hypot(length, st.Rise)
	// A point of the inclined line at v: off the line's bend by v along the normal (-rise, length)/h.
	px, pz := st.From-v*st.Rise/h, st.Low+v*length/h
	z := pz + st.Rise/length*(x-px)
	if st.Rise < 0 {
		return math.Max(st.High+v, math.Min(st.Low+v, z))
	}
	return math.Min(st.High+v, math.Max(st.Low+v, z))
}

// A bar forbids a set to begin just where sampling its section finds a point of it in the bar.
func TestPassesIsTheMitredSection(t *testing.T) {
	r := rand.New(rand.NewPCG(15, 1))
	met, none := 0, 0
	for n := range 4000 {
		st := Step{From: 0, To: 50 + 400*r.Float64(), Low: 1000, High: 1000 + 400*(2*r.Float64()-1)}
		if n%3 == 0 {
			st.To = math.Abs(st.High - st.Low) // at 45 degrees
		}
		st.Rise = st.High - st.Low
		b := Bar{Up: 300 * r.Float64(), Down: 60 * r.Float64()}
		b.Lo = 1000 + 500*(2*r.Float64()-1)
		b.Hi = b.Lo + 200*r.Float64()
		switch r.IntN(6) {
		case 0:
			b.Lo = math.Inf(-1)
		case 1:
			b.Hi = math.Inf(1)
		}
		width := 5 + 150*r.Float64()
		u1, u2, ok := passes(st.Low, st.High, st.To, &b)
		// The bar as what stands there: from the level of its underside to that of its top.
		under, over := b.Lo+b.Up, b.Hi-b.Down
		before, past := overhang(st.Rise, st.To, b.Up, b.Down)
		meets := func(from float64) bool { // does the set that begins at 0 meet what stands at from to from+width?
			const fine = 400
			for k := 1; k < fine; k++ {
				x := from + width*float64(k)/fine
				if x <= -before || x >= st.To+past {
					continue
				}
				low, high := edgeAt(&st, -b.Down, x), edgeAt(&st, b.Up, x)
				if low < over && high > under {
					return true
				}
			}
			return false
		}
		for range 12 {
			from := -width - before - 50 + (st.To+width+before+past+100)*r.Float64()
			step := width / 400
			if ok && (math.Abs(from-u2) < 2*step || math.Abs(from+width-u1) < 2*step) {
				continue // too near for what is sampled
			}
			want := meets(from)
			if got := ok && from < u2 && from+width > u1; got != want {
				t.Fatalf("set %+v, bar %+v %v wide at %v: forbidden %v (%v to %v), sampling finds %v", st, b, width, from, got, u1, u2, want)
			}
			if want {
				met++
			} else {
				none++
			}
		}
	}
	if met < 3000 || none < 3000 {
		t.Errorf("%d met, %d did not: the cases are too tame", met, none)
	}
}

// The pieces that a set is filled with hold every point of its section, and no point that is not in it or in the level lengths.
func TestMitredSetIsFilled(t *testing.T) {
	r := rand.New(rand.NewPCG(15, 2))
	most := 0
	for range 3000 {
		st := Step{From: 1000, Low: 3000, High: 3000 + 500*(2*r.Float64()-1)}
		st.Rise = st.High - st.Low
		st.To = st.From + math.Max(math.Abs(st.Rise)/math.Tan((5+84*r.Float64())*math.Pi/180), 100*r.Float64())
		up, down := 400*r.Float64(), 400*r.Float64()
		if r.IntN(3) == 0 {
			down = 0
		}
		before, past := overhang(st.Rise, st.To-st.From, up, down)
		from, to := st.From-before, st.To+past
		var all []body.Body
		mitredSet(&st, up, down, from, to, func(s0, s1, low0, low1, high float64) {
			all = append(all, body.Box(r3.Vector{X: s0, Z: low0 + high/2}, r3.Vector{X: s1, Z: low1 + high/2}, 100, high))
		})
		most = max(most, len(all))
		for range 40 {
			x := from + (to-from)*r.Float64()
			low, high := edgeAt(&st, -down, x), edgeAt(&st, up, x)
			z := low - 20 + (high-low+40)*r.Float64()
			if math.Min(math.Abs(z-low), math.Abs(z-high)) < 0.05 {
				continue
			}
			want, got := low < z && z < high, false
			for _, b := range all {
				got = got || body.Gap(body.Body{Centre: r3.Vector{X: x, Z: z}}, b).MM == 0
			}
			if got != want {
				t.Fatalf("set %+v, %v over and %v under: %v, %v in its section %v, in one of its %d pieces %v", st, up, down, x, z, want, len(all), got)
			}
		}
	}
	if most > 40 {
		t.Errorf("a set of %d pieces", most)
	}
}
