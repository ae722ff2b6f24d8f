package clash_test

import (
	"math/rand/v2"
	"testing"

	"voidline/clash"
)

func canon(r *clash.Result) *clash.Result {
	for i := range r.Findings {
		f := &r.Findings[i]
		if f.B != nil && f.A > *f.B && f.Side == "around" {
			a := f.A
			f.A = *f.B
			f.B = &a
		}
	}
	return r
}

func TestDbg2(t *testing.T) {
	for i, m := range metamorphicMixes {
		for k := range 3 {
			seed := uint64(400 + 10*k + i)
			b := random(seed, m)
			was := canon(b.checked(t, spelling{}, clash.Options{Touch: 1}))
			is := canon(b.checked(t, spelling{split: true, upside: true, shuffle: rand.New(rand.NewPCG(seed, 1))}, clash.Options{Touch: 1}))
			alike(t, "x", was, is, func(x, y float64) (float64, float64) { return x, y }, false, func(string) bool { return false })
		}
	}
}

func TestDbg3(t *testing.T) {
	b := random(1030, mix{zones: 300, storeys: 1, plain: true, gaps: 6})
	t.Log(b.gaps, b.bays)
	dumpRows(b, "D-166", "D-212")
}
