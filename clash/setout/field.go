package setout

import (
	"math"
	"slices"

	"github.com/golang/geo/r1"

	"voidline/void"
)

// Bar is a rectangle of places that a line may not enter: stations From < s < To along the run and levels
// Lo < z < Hi, both open, mm. Lo may be -Inf and Hi +Inf.
type Bar struct {
	From, To float64
	Lo, Hi   float64
	// Open are levels inside it that a level line may take all the same (through an opening). Closed, ascending.
	Open []r1.Interval
	// Up and Down are how far the section of the run stands over and under its line there, mm, both at least 0: the edges of a
	// bend lie further along than the line (see mitre).
	Up, Down float64
	// Still: no bend may stand between From and To, at whatever level.
	Still bool
	// Of says what it is: an index into the caller's own list.
	Of int
}

// Field is what a line has to find its way through, from station 0 to Length.
type Field struct {
	Length   float64
	Corners  []float64 // stations where the run turns in plan
	Bars     []Bar
	Rests    []r1.Interval // stations of supports that are fixed: there no part of a set may stand
	Up, Down float64       // the most that a section of the run stands over and under its line, mm

	work *work // what searches may still cost, nil for no bound
}

// work counts down what searches cost: one for each step to a level that is looked at.
type work struct{ left int }

// spend takes one off; false where nothing is left.
func (w *work) spend() bool {
	if w == nil {
		return true
	}
	w.left--
	return w.left > 0
}

// Steps says how a line may step. The zero value: sets at 45 degrees, no straight asked for, as high as possible.
type Steps struct {
	Angle    float64  // of a set, degrees against the level, above 0 to 90; 0 stands for 45
	Straight float64  // least straight between two bends, to a corner and to an end, mm along the run
	Most     int      // most steps that are tried; 0 stands for 24
	Min, Max *float64 // levels that the line keeps above, and below
	Prefer   *float64 // level to keep near to, where steps and rise leave the choice; nil: as high as possible
	AsDrawn  bool     // where Prefer is nil: near to the level at which the tables have the run
	Start    *float64 // fixed level at station 0
	End      *float64 // fixed level at Length
	Above    float64  // room that the run keeps above itself to whatever lies over it, mm; what the rules ask counts besides
}

// near returns the steps with the level to keep near to, for a run that is drawn at a level; AsDrawn then says that it is that one.
func (o Steps) near(drawn float64) Steps {
	if o.AsDrawn = o.AsDrawn && o.Prefer == nil; o.AsDrawn {
		o.Prefer = &drawn
	}
	return o
}

// asked returns the levels that somebody asked for.
func (o *Steps) asked() []float64 {
	var out []float64
	for _, z := range []*float64{o.Min, o.Max, o.Start, o.End, o.Prefer} {
		if z != nil && !(z == o.Prefer && o.AsDrawn) {
			out = append(out, *z)
		}
	}
	return out
}

const (
	usualAngle = 45.0
	usualMost  = 24
)

func (o Steps) angle() float64 {
	if o.Angle <= 0 || o.Angle > 90 {
		return usualAngle
	}
	return o.Angle
}

// band returns the levels at which a level line is clear from one end to the other: closed intervals, ascending,
// maybe of no length. Steps' Min and Max bound it; Start and End, where given, must agree with it.
func (f *Field) band(o Steps) []r1.Interval {
	free := []r1.Interval{{Lo: math.Inf(-1), Hi: math.Inf(1)}}
	for _, b := range f.bounded(o) {
		for _, r := range b.levelParts() {
			free = without(free, r)
		}
	}
	for _, fix := range []*float64{o.Start, o.End} {
		if fix != nil {
			free = within(free, r1.Interval{Lo: *fix, Hi: *fix})
		}
	}
	return free
}

// bounded returns the bars with the bounds of the steps added.
func (f *Field) bounded(o Steps) []Bar {
	bars := slices.Clone(f.Bars)
	if o.Min != nil {
		bars = append(bars, Bar{To: f.Length, Lo: math.Inf(-1), Hi: *o.Min, Of: -1})
	}
	if o.Max != nil {
		bars = append(bars, Bar{To: f.Length, Lo: *o.Max, Hi: math.Inf(1), Of: -1})
	}
	return bars
}

// levelParts returns the open intervals of levels that a bar forbids a level line: without its openings.
func (b *Bar) levelParts() []r1.Interval {
	parts := []r1.Interval{}
	lo := b.Lo
	for _, w := range b.Open {
		if w.Hi <= b.Lo || w.Lo >= b.Hi {
			continue
		}
		if w.Lo > lo {
			parts = append(parts, r1.Interval{Lo: lo, Hi: w.Lo})
		}
		lo = math.Max(lo, w.Hi)
	}
	if lo < b.Hi {
		parts = append(parts, r1.Interval{Lo: lo, Hi: b.Hi})
	}
	return parts
}

// without takes an open interval off closed ones. What is left of a hair or less beyond touching is kept: it fits
// exactly.
func without(free []r1.Interval, bad r1.Interval) []r1.Interval {
	var out []r1.Interval
	for _, v := range free {
		if bad.Hi <= v.Lo || bad.Lo >= v.Hi {
			out = append(out, v)
			continue
		}
		if bad.Lo >= v.Lo && !math.IsInf(bad.Lo, -1) {
			out = append(out, r1.Interval{Lo: v.Lo, Hi: bad.Lo})
		}
		if bad.Hi <= v.Hi && !math.IsInf(bad.Hi, 1) {
			out = append(out, r1.Interval{Lo: bad.Hi, Hi: v.Hi})
		}
	}
	return out
}

// within returns what closed intervals have inside another.
func within(free []r1.Interval, in r1.Interval) []r1.Interval {
	var out []r1.Interval
	for _, v := range free {
		if x := v.Intersection(in); !x.IsEmpty() {
			out = append(out, x)
		} else if in.Lo == in.Hi && v.Lo-void.Hair <= in.Lo && in.Lo <= v.Hi+void.Hair {
			out = append(out, in)
		}
	}
	return out
}

// levels returns the critical levels: the ends of all bars and openings, and every level that the steps
// name; those within a hair of each other count once.
func (f *Field) levels(bars []Bar, o Steps) []float64 {
	var zs []float64
	add := func(z float64) {
		if !math.IsInf(z, 0) {
			zs = append(zs, z)
		}
	}
	for _, b := range bars {
		for _, p := range b.levelParts() {
			add(p.Lo)
			add(p.Hi)
		}
	}
	for _, z := range []*float64{o.Min, o.Max, o.Prefer, o.Start, o.End} {
		if z != nil {
			add(*z)
		}
	}
	slices.Sort(zs)
	out := zs[:0]
	for _, z := range zs {
		if len(out) == 0 || z > out[len(out)-1]+void.Hair {
			out = append(out, z)
		}
	}
	return out
}
