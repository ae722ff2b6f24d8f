// Package tolerance holds how far things stand off the level they were drawn at once they are built, how much of a
// gap is left then, and how far a beam comes down under its load. All lengths are millimetres.
//
// The figures are mostly from memory or common practice: they are for warning, never for failing.
package tolerance

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

// UsualDeflection is the part of its span by which a beam under a brittle finish may come down under imposed load:
// span/360 (BS 5950-1 Table 8, UK NA to EN 1993-1-1 NA.2.23, seen on a steel design reference page; other limits are
// in use).
const UsualDeflection = 360

// Deflection returns how far a beam of a span comes down at the part s of its span (0 to 1), mm, under a load spread
// evenly that brings it down by span/ratio at mid-span. Outside 0 to 1 it is 0: there is no beam.
//
//	w(s) = span/ratio * 16/5 * (s - 2 s^3 + s^4)
func Deflection(span, ratio, s float64) float64 {
	if s <= 0 || s >= 1 {
		return 0
	}
	return span / ratio * 16 / 5 * (s - 2*s*s*s + s*s*s*s)
}

// Most returns the greatest deflection of a beam between the parts lo and hi of its span, mm: the line is highest in
// the middle and falls to either end.
func Most(span, ratio, lo, hi float64) float64 {
	return Deflection(span, ratio, math.Min(math.Max(0.5, lo), hi))
}

// Least returns the least deflection of a beam between the parts lo and hi of its span, mm.
func Least(span, ratio, lo, hi float64) float64 {
	return math.Min(Deflection(span, ratio, lo), Deflection(span, ratio, hi))
}

// Sink is what a gap loses when its upper body is carried by one thing that comes down and its lower by another: only
// the difference counts, and a gap is not widened by what may not happen.
func Sink(upper, lower float64) float64 { return math.Max(0, upper-lower) }

// Deviation is how far off its level a thing may be built, plus or minus, mm.
type Deviation struct {
	Of         string // what it is: beam, slab, ceiling, services
	MM         float64
	Source     string // where the figure stands, "" for none
	Provenance string // "from memory" or "common practice, no source"
}

const (
	memory   = "from memory"
	practice = "common practice, no source"
)

// What the deviations are of.
const (
	Beam     = "beam"
	Slab     = "slab"
	Ceiling  = "ceiling"
	Services = "services"
)

// Defaults returns the deviations that count where a row names none.
func Defaults() []Deviation {
	return []Deviation{
		{Beam, 10, "level of a floor beam at its column: NSSS 9.6, EN 1090-2 functional class 1", memory},
		{Slab, 15, "working value for the soffit of a slab; EN 13670 says 20 (from memory)", practice},
		{Ceiling, 5, "level of a ceiling where it is a tight fit", practice},
		{Services, 10, "setting out of services, level", practice},
	}
}

// Default returns the deviation of what a row is where it names none; of an unknown word the services'.
func Default(of string) Deviation {
	all := Defaults()
	for _, d := range all {
		if d.Of == of {
			return d
		}
	}
	return all[len(all)-1]
}
