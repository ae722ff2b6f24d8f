package setout

import "math"

// Clear is what is left of a gap: as drawn, when every deviation goes the wrong way at once, and by the root of the sum
// of their squares. Below zero: the two are in each other by so much.
type Clear struct{ Drawn, Worst, Usual float64 }

// Left takes deviations off a gap, mm. The root of the sum of squares is for deviations that have nothing to do
// with each other (BS 5606, from memory); for gaps under 25 mm the worst case counts (common practice, no source).
func Left(gap float64, deviations ...float64) Clear {
	sum, squares := 0.0, 0.0
	for _, d := range deviations {
		sum += math.Abs(d)
		squares += d * d
	}
	return Clear{gap, gap - sum, gap - math.Sqrt(squares)}
}

// Usual imposed deflection of a beam under a brittle finish: span/360 (BS 5950-1 Table 8, UK NA to EN 1993-1-1 NA.2.23,
// seen on a steel design reference page; other limits are in use).
const UsualDeflection = 360

// Deflection returns how far a beam of a span comes down at the part s of its span (0 to 1), mm, under a load spread
// evenly that brings it down by span/ratio at mid-span.
//
//	w(s) = span/ratio * 16/5 * (s - 2 s^3 + s^4)
func Deflection(span, ratio, s float64) float64 {
	return span / ratio * 16 / 5 * (s - 2*s*s*s + s*s*s*s)
}

// Sink is what a gap loses when its upper body is carried by one thing that comes down and its lower by another: only
// the difference counts, and a gap is not widened by what may not happen.
func Sink(upper, lower float64) float64 { return math.Max(0, upper-lower) }

// Tolerance is the deviation in level of what a trade fixes, plus or minus, mm.
type Tolerance struct {
	Of     string // what it is: beam, slab, ceiling, services
	MM     float64
	Source string
}

// Tolerances returns the deviations that count where a row names none.
func Tolerances() []Tolerance {
	return []Tolerance{
		{"beam", 10, "level of a floor beam at its column: NSSS 9.6, EN 1090-2 class 1 (from memory)"},
		{"slab", 15, "working value for a soffit (common practice, no source); EN 13670 says 20 (from memory)"},
		{"ceiling", 5, "used for a tight fit (common practice, no source)"},
		{"services", 10, "setting out of services (common practice, no source)"},
	}
}
