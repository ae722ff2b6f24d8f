package draw

import (
	"math"
	"slices"

	"github.com/golang/geo/r2"
)

// Pattern is a hatch: what tells areas apart without colour. Lengths are paper mm; the zero Pattern
// draws nothing. Its lines lie where a ruler laid over the whole sheet would have them, so that the pieces of
// one thing carry one hatch.
type Pattern struct {
	Angle float64 // degrees from the x axis, turning as on paper: 45 rises to the right
	Gap   float64 // between lines
	Dash  float64 // length of dashes, as long as the blanks; 0 for whole lines
	Cross bool    // a second set square to the first
	Pair  bool    // each line is two
	Dots  bool    // dots in place of lines
}

// Lines returns the hatch of the areas inside the closed outlines (even-odd) at a scale, as the steps of one
// path; the outlines are in picture units. An area too small for a line has none.
func (p Pattern) Lines(outlines [][]r2.Point, scale float64) []Step {
	if p.Gap <= 0 || scale <= 0 {
		return nil
	}
	var out []Step
	set := func(angle, gap, dash, shift float64, stagger bool) {
		s, c := math.Sincos(-angle * math.Pi / 180)
		along, across := r2.Point{X: c, Y: s}, r2.Point{X: -s, Y: c}
		lo, hi := math.Inf(1), math.Inf(-1)
		for _, o := range outlines {
			for _, q := range o {
				v := q.Dot(across)
				lo, hi = math.Min(lo, v), math.Max(hi, v)
			}
		}
		if !(hi-lo < 1e9) || (hi-lo)/gap > 20000 {
			return
		}
		for k := math.Ceil((lo - shift) / gap); k*gap+shift <= hi; k++ {
			v := k*gap + shift
			var hits []float64
			for _, o := range outlines {
				for i := range o {
					a, b := o[i], o[(i+1)%len(o)]
					va, vb := a.Dot(across)-v, b.Dot(across)-v
					if (va < 0) == (vb < 0) {
						continue
					}
					hits = append(hits, a.Add(b.Sub(a).Mul(va/(va-vb))).Dot(along))
				}
			}
			slices.Sort(hits)
			for i := 0; i+1 < len(hits); i += 2 {
				out = cutInto(out, along, across.Mul(v), hits[i], hits[i+1], dash, stagger && int64(k)&1 != 0)
			}
		}
	}
	gap, dash := p.Gap*scale, p.Dash*scale
	if p.Dots {
		// Short dashes with blanks between them, each row shifted by half.
		dots := func(stagger bool) { set(p.Angle, gap, -0.3*scale, 0, stagger) }
		dots(true)
		return out
	}
	set(p.Angle, gap, dash, 0, true)
	if p.Pair {
		set(p.Angle, gap, dash, 0.45*scale, true)
	}
	if p.Cross {
		set(p.Angle+90, gap, dash, 0, true)
	}
	return out
}

// cutInto adds the line from a to b along a direction, whole or in dashes; a negative dash is a dot of that
// length with four blanks after it.
func cutInto(out []Step, along, off r2.Point, a, b, dash float64, odd bool) []Step {
	add := func(x, y float64) {
		if y-x < 1e-9 {
			return
		}
		out = append(out,
			Step{Op: Move, P: [3]r2.Point{along.Mul(x).Add(off)}},
			Step{Op: Line, P: [3]r2.Point{along.Mul(y).Add(off)}})
	}
	if dash == 0 {
		add(a, b)
		return out
	}
	l, period := dash, 2*dash
	if dash < 0 {
		l, period = -dash, -5*dash
	}
	shift := 0.0
	if odd {
		shift = period / 2
	}
	for k := math.Floor((a - shift) / period); ; k++ {
		x := k*period + shift
		if x > b {
			return out
		}
		add(math.Max(a, x), math.Min(b, x+l))
	}
}
