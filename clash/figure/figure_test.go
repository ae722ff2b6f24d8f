package figure_test

import (
	"math"
	"math/rand"
	"strconv"
	"testing"

	"voidline/clash/figure"
)

func TestFigures(t *testing.T) {
	for _, test := range []struct {
		mm             float64
		up, down, near string
		tenth          float64
	}{
		{0, "0", "0", "0", 0},
		{-0.04, "0", "0", "0", 0},
		{60.00001, "60", "60", "60", 60},
		{59.99999, "60", "60", "60", 60},
		{111.36, "112", "111", "111", 111.4},
		{3272.5, "3273", "3272", "3273", 3272.5}, // halves away from zero, never to the even one
		{3272.46, "3273", "3272", "3273", 3272.5},
		{-16.2, "-16", "-17", "-16", -16.2},
		{math.NaN(), "?", "?", "?", math.NaN()},
		{math.Inf(1), "?", "?", "?", math.Inf(1)},
	} {
		if got := [3]string{figure.Up(test.mm), figure.Down(test.mm), figure.Near(test.mm)}; got != [3]string{test.up, test.down, test.near} {
			t.Errorf("%v: up, down, near = %v, want %v %v %v", test.mm, got, test.up, test.down, test.near)
		}
		if got := figure.Tenth(test.mm); got != test.tenth && !(math.IsNaN(got) && math.IsNaN(test.tenth)) {
			t.Errorf("Tenth(%v) = %v, want %v", test.mm, got, test.tenth)
		}
	}
}

// What lacks is told, and what is told contradicts nothing: the figures of the record differ, and those that people read
// add up. What does not lack would be told as equal, or as more by 0.1 at the very most.
func TestLacks(t *testing.T) {
	r := rand.New(rand.NewSource(1))
	told := 0
	for range 100_000 {
		needed := float64(r.Intn(300))
		there := needed - r.Float64()*2 + r.Float64()/2
		a, b := figure.Tenth(there), figure.Tenth(needed)
		lacks := figure.Lacks(there, needed)
		if lacks {
			told++
		}
		if lacks && a >= b || !lacks && b-a > 0.1+1e-9 {
			t.Fatalf("%v of %v: lacks %v, and the record says %v of %v", there, needed, lacks, a, b)
		}
		if !lacks {
			continue
		}
		gap, _ := strconv.Atoi(figure.Down(there))
		short, _ := strconv.Atoi(figure.Up(needed - there))
		if gap+short != int(needed) {
			t.Fatalf("%v of %v: people read %d and %d short", there, needed, gap, short)
		}
	}
	if told < 10_000 {
		t.Fatalf("%d of 100,000 lack: too few to show anything", told)
	}
}
