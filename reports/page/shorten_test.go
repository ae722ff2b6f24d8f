package page

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// walk reads a path of m, l, c, z, absolute or relative, into the places that it goes through.
func walk(t interface{ Fatalf(string, ...any) }, d string) (at [][2]float64) {
	var x, y, x0, y0 float64
	var op byte
	var nums []float64
	number := func() (float64, bool) {
		d = strings.TrimLeft(d, " ,")
		i := 0
		if i < len(d) && d[i] == '-' {
			i++
		}
		dot := false
		for i < len(d) && (d[i] >= '0' && d[i] <= '9' || d[i] == '.' && !dot) {
			dot = dot || d[i] == '.'
			i++
		}
		if i == 0 {
			return 0, false
		}
		v, err := strconv.ParseFloat(d[:i], 64)
		if err != nil {
			t.Fatalf("%q is no number", d[:i])
		}
		d = d[i:]
		return v, true
	}
	for d != "" {
		if v, ok := number(); ok {
			nums = append(nums, v)
		} else if d != "" {
			op, d, nums = d[0], d[1:], nums[:0]
			if op == 'z' || op == 'Z' {
				x, y = x0, y0
				at = append(at, [2]float64{x, y})
			}
			continue
		} else {
			break
		}
		want := 2
		if op == 'c' || op == 'C' {
			want = 6
		}
		if len(nums) < want {
			continue
		}
		if op >= 'a' {
			for i := range nums {
				nums[i] += []float64{x, y}[i%2]
			}
		}
		for i := 0; i < want; i += 2 {
			at = append(at, [2]float64{nums[i], nums[i+1]})
		}
		x, y = nums[want-2], nums[want-1]
		if op == 'm' || op == 'M' {
			x0, y0 = x, y
			op-- // m is followed by l
		}
		nums = nums[:0]
	}
	return at
}

func TestRelative(t *testing.T) {
	for _, test := range []struct{ in, want string }{
		{"", ""},
		{"M10 -20", "m10-20"},
		{"M0 0L0 0L0.5 -0.25", "m0 0 0 0 .5-.25"},
		{"M1.25 2L1.35 2L1 1ZM5 5L6 5", "m1.25 2 .1 0-.35-1zm3.75 3 1 0"},
		{"M0 0C1 1 2 2 3 3C4 4 5 5 6 6L7 7", "m0 0c1 1 2 2 3 3 1 1 2 2 3 3l1 1"},
	} {
		if got, ok := relative(test.in); !ok || got != test.want {
			t.Errorf("relative(%q) = %q, %v, want %q", test.in, got, ok, test.want)
		}
	}
	for _, other := range []string{"M0 0A1 1 0 0 1 2 2", "m1 1", "M1", "M1 1 2 2", "M1e3 0"} {
		if got, ok := relative(other); ok {
			t.Errorf("relative(%q) = %q, want that it leaves it alone", other, got)
		}
	}
}

func TestRelativeGoesTheSameWay(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var b strings.Builder
		coord := rapid.Custom(func(t *rapid.T) string {
			return strconv.FormatFloat(float64(rapid.IntRange(-1e7, 1e7).Draw(t, "hundredths"))/100, 'f', -1, 64)
		})
		n := rapid.IntRange(1, 12).Draw(t, "steps")
		for i := range n {
			op := rapid.SampledFrom([]string{"M", "L", "L", "C", "Z"}).Draw(t, "op")
			if i == 0 {
				op = "M"
			}
			b.WriteString(op)
			for k := range map[string]int{"M": 2, "L": 2, "C": 6, "Z": 0}[op] {
				if k > 0 {
					b.WriteString(" ")
				}
				b.WriteString(coord.Draw(t, "c"))
			}
		}
		short, ok := relative(b.String())
		if !ok {
			t.Fatalf("relative(%q) gives up", b.String())
		}
		want, got := walk(t, b.String()), walk(t, short)
		if len(want) != len(got) {
			t.Fatalf("%q: %d places, %q: %d", b.String(), len(want), short, len(got))
		}
		for i := range want {
			if math.Abs(want[i][0]-got[i][0]) > 1e-6 || math.Abs(want[i][1]-got[i][1]) > 1e-6 {
				t.Fatalf("%q goes through %v, %q through %v", b.String(), want[i], short, got[i])
			}
		}
	})
}

func TestShortenLeavesTexts(t *testing.T) {
	in := `<svg><path d="M0 0L1 1"/><text> d=&#34;M0 0L1 1&#34; stroke-linecap=</text><title>L9 9</title></svg>`
	want := `<svg><path d="m0 0 1 1"/><text> d=&#34;M0 0L1 1&#34; stroke-linecap=</text><title>L9 9</title></svg>`
	if got := shorten(in); got != want {
		t.Errorf("shorten = %s, want %s", got, want)
	}
}
