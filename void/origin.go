package void

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"
)

// origin is the point in plan that is subtracted from every coordinate of the tables, mm: a survey's coordinates are
// hundreds of kilometres. Inside the program, and in every answer, places are less the origin; only the
// tables' own cells hold them whole.
type origin struct {
	at   [2]float64
	turn float64 // by how much an imported model was turned back, degrees
}

// AddOrigin sets the project's origin, before anything that has a place is added. Of several rows the first counts.
func (p *Project) AddOrigin(r OriginRow) {
	p.rows.origins = append(p.rows.origins, r)
	if len(p.rows.origins) == 1 {
		p.origin.at, p.origin.turn = [2]float64{r.X.MM, r.Y.MM}, r.Turn.Value
	}
}

// resolveOrigin tells, once, that an origin is subtracted.
func (p *Project) resolveOrigin() {
	for i := range p.rows.origins {
		r := &p.rows.origins[i]
		switch {
		case i > 0:
			p.problem(r.At, "", "a second origin", "one row", "")
			p.miss(1)
		case r.X.Text == "" || r.Y.Text == "":
			p.problem(r.At, either(r.X.Text == "", "x", "y"), "blank", "the coordinate of a point near the building", "")
			p.lost("origin")
		case r.X.MM == 0 && r.Y.MM == 0:
		default:
			p.warn(r.At, "", fmt.Sprintf("x %s and y %s are subtracted from every place in the tables: places in answers are less that", r.X, r.Y), "", "")
		}
	}
}

// steps is how many steps of a coordinate there are in a millimetre. What is subtracted from a coordinate of thousands of
// kilometres leaves something to the nearest millionth of a millimetre; to the nearest step it is as if the subtraction
// had been done on the digits as they are written.
const steps = 1e5

// less returns a coordinate of the tables less the origin: axis 0 for x, 1 for y.
func (o *origin) less(mm float64, axis int) float64 { return shifted(mm, -o.at[axis]) }

// whole returns a coordinate as the tables hold it, of one that is less the origin.
func (o *origin) whole(mm float64, axis int) float64 { return shifted(mm, o.at[axis]) }

func shifted(mm, by float64) float64 {
	if by == 0 {
		return mm
	}
	return math.Round((mm+by)*steps)/steps + 0 // minus zero plus zero is zero
}

// Whole returns the coordinates that the tables of the project hold for a point of the plan: with its origin.
func (p *Project) Whole(x, y float64) (float64, float64) {
	return p.origin.whole(x, 0), p.origin.whole(y, 1)
}

// InModel returns a place of the project in the axes of the building model that it was imported from: with its origin, and turned as the model
// stands.
func (p *Project) InModel(v r3.Vector) r3.Vector {
	x, y := p.Whole(v.X, v.Y)
	at := p.WayInModel(r2.Point{X: x, Y: y})
	return r3.Vector{X: at.X, Y: at.Y, Z: v.Z}
}

// WayInModel returns a direction in plan in the axes of the building model.
func (p *Project) WayInModel(d r2.Point) r2.Point {
	if p.origin.turn == 0 {
		return d
	}
	sin, cos := math.Sincos(p.origin.turn * math.Pi / 180)
	return r2.Point{X: d.X*cos - d.Y*sin, Y: d.X*sin + d.Y*cos}
}

// tooFar is the trouble of a coordinate that is more than 10 km from the project's origin.
func (p *Project) tooFar(text string, mm float64, axis int) trouble {
	what := fmt.Sprintf("%q is more than 10 km from the origin", text)
	switch {
	case p.broken["origin"]:
		return trouble{what: leans}
	case len(p.rows.origins) > 0:
		return trouble{what: what, want: "a place within 10 km of the point in origin.csv"}
	}
	return trouble{what: what, want: "a place within 10 km", hint: hintOrigin, far: Far{Axis: "xy"[axis : axis+1], MM: mm}}
}

const hintOrigin = "for survey coordinates write origin.csv with columns x and y: a point near the building, subtracted from every place"

// Far is a coordinate that no origin brings near, for the project gives none.
type Far struct {
	Axis string  // x or y; "" for a problem of anything else
	MM   float64 // as the table has it
}

// Gathered returns problems with those of coordinates that are too far away as one for each file: the first of them in the file,
// with how many cells are, and with an origin to paste where there is more than one in all.
func Gathered(ps []Problem) []Problem {
	var far map[string][]float64
	cells, all := map[string]int{}, 0
	for i := range ps {
		if f := &ps[i].Far; f.Axis != "" {
			if far == nil {
				far = map[string][]float64{}
			}
			if ps[i].More == 0 {
				far[f.Axis] = append(far[f.Axis], f.MM)
			}
			cells[ps[i].File] += max(1, ps[i].More)
			all++
		}
	}
	if all < 2 {
		return ps
	}
	// The one in the middle, so that a slip of the pen counts for nothing, in whole kilometres to the south-west of it.
	near := func(axis string) string {
		v := far[axis]
		if len(v) == 0 {
			return "0"
		}
		slices.Sort(v)
		return strconv.FormatFloat(math.Floor(v[len(v)/2]/1e6)*1e6, 'f', -1, 64)
	}
	hint := fmt.Sprintf("for survey coordinates write origin.csv with the lines \"x,y\" and \"%s,%s\": a point near the building, subtracted from every place", near("x"), near("y"))
	first := map[string]int{} // file -> where its first is in out
	var out []Problem
	for _, p := range ps {
		if p.Far.Axis == "" {
			out = append(out, p)
			continue
		}
		k, there := first[p.File]
		switch {
		case p.More > 0: // the first is among those that are kept
		case !there:
			k = len(out)
			first[p.File] = k
			out = append(out, p)
		case p.Line < out[k].Line || p.Line == out[k].Line && p.Column < out[k].Column:
			out[k] = p
		}
	}
	for file, k := range first {
		p := &out[k]
		if p.Hint = hint; cells[file] > 1 {
			p.What += fmt.Sprintf(", and so are %d more cells of this file", cells[file]-1)
			p.Want = "places within 10 km"
		}
	}
	return out
}
