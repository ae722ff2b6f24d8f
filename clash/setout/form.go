package setout

import (
	"math"
	"slices"

	"github.com/golang/geo/r2"

	"voidline/void"
)

// The form with which a floor is walked: which points are read. Common practice, no source, all of it.
const (
	formPoints = 3      // of a soffit: its middle, and towards two corners
	formClear  = 200.0  // mm from a beam in plan, so that the slab is read and not the steel
	formIn     = 300.0  // mm from the ends of a beam or a row: at the very end stands a column, a joint or a wall
	formShort  = 2000.0 // mm: what is shorter is read at its middle alone
)

// Point is a row of the form: one point to be read.
type Point struct {
	No     int
	Storey int
	What   string // as in surveyed.csv: datum, soffit, floor, steel, zone
	Place  string // by the grid, as the column place takes it; "" for the datum line
	Bay    string // of a soffit or a floor
	Zone   string // of a beam or a row
	Drawn  float64
	FFL    float64 // of the storey, above the project datum
	Datum  float64 // of the datum line, above the project datum
}

// Form returns the points that a survey reads, storey by storey: a check on the datum line first and last, between them bay by bay the soffit at
// points that no steel covers and the floor, then beams at both ends and the middle, then the rows that are fixed already. Levels are as drawn, whatever
// was surveyed before, and to the bottom of a row's bare section.
func Form(p *void.Project) []Point {
	if p.HasSurvey() {
		p = p.AsDrawn()
	}
	var out []Point
	for s := range p.Storeys {
		st := &p.Storeys[s]
		add := func(q Point) {
			q.No, q.Storey, q.FFL, q.Datum = len(out)+1, s, st.FFL, st.FFL+st.Datum
			out = append(out, q)
		}
		first := len(out)
		datum := Point{What: "datum", Drawn: st.FFL + st.Datum}
		add(datum)
		for j := range p.Bays {
			b := &p.Bays[j]
			if b.Storey != s {
				continue
			}
			at := soffitPoints(p, b)
			for _, q := range at {
				add(Point{What: "soffit", Bay: b.Name, Place: p.PlaceText(q), Drawn: b.Soffit})
			}
			add(Point{What: "floor", Bay: b.Name, Place: p.PlaceText(at[0]), Drawn: st.FFL})
		}
		for _, what := range [...]string{"steel", "zone"} {
			for _, i := range formZones(p, s, what) {
				z := p.Zone(i)
				for _, q := range alongPoints(z, what) {
					add(Point{What: what, Zone: z.ID, Place: p.PlaceText(q), Drawn: z.UndersideAt(q)})
				}
			}
		}
		if len(out) == first+1 {
			out = out[:first] // nothing is there
			continue
		}
		add(datum)
	}
	return out
}

// soffitPoints returns where a bay's soffit is read: its middle first, as far as no steel covers it.
func soffitPoints(p *void.Project, b *void.Bay) []r2.Point {
	c, d := b.Plan.Center(), b.Plan.Size()
	var out []r2.Point
	for _, k := range [...]r2.Point{{}, {X: -0.3, Y: -0.3}, {X: 0.3, Y: 0.3}, {X: -0.3, Y: 0.3}, {X: 0.3, Y: -0.3}, {X: 0.1, Y: 0.2}, {X: -0.1, Y: -0.2}, {X: 0.2, Y: -0.1}} {
		at := r2.Point{X: math.Round(c.X + k.X*d.X), Y: math.Round(c.Y + k.Y*d.Y)}
		apart := !slices.ContainsFunc(out, func(q r2.Point) bool { return q.Sub(at).Norm() < void.SurveyApart })
		if len(out) < formPoints && apart && b.Plan.ContainsPoint(at) && !p.UnderSteel(b.Storey, at, formClear) {
			out = append(out, at)
		}
	}
	if len(out) == 0 {
		out = append(out, c) // steel is everywhere: what is read there is for who reads it to say
	}
	return out
}

// formZones returns the beams of a storey, or the rows that are fixed already and have one level, by id.
func formZones(p *void.Project, storey int, what string) []int {
	var out []int
	for i := range p.Zones() {
		z := p.Zone(i)
		c := p.Character(z.Char)
		if z.Gone || int(z.Storey) != storey || z.Upright || z.ByHeight || c.Entry.Mark {
			continue
		}
		if c.Entry.Beam == (what == "steel") && (c.Entry.Beam || z.Stage() == void.Fixed) {
			out = append(out, i)
		}
	}
	slices.SortFunc(out, func(a, b int) int { return void.Natural(p.Zone(a).ID, p.Zone(b).ID) })
	return out
}

// alongPoints returns where a row is read: near both its ends, a beam in its middle, too; an item, and what is short, in its middle alone.
func alongPoints(z *void.Zone, what string) []r2.Point {
	b := z.Bare()
	mid, half := r2.Point{X: b.Centre.X, Y: b.Centre.Y}, r2.Point{X: b.Along.X, Y: b.Along.Y}
	n := half.Norm()
	if z.Item || 2*n < formShort {
		return []r2.Point{mid}
	}
	end := half.Mul((n - formIn) / n)
	if what == "steel" {
		return []r2.Point{mid.Sub(end), mid, mid.Add(end)}
	}
	return []r2.Point{mid.Sub(end), mid.Add(end)}
}

// FormLimits returns the lengths by which the form is made.
func FormLimits() []void.Limit {
	return void.Practised([]void.Limit{
		{Name: "point of a soffit from a beam in plan", MM: formClear, Why: "so that the slab is read and not the steel"},
		{Name: "point of a beam or a row from its end", MM: formIn, Why: "at the very end stands a column, a joint or a wall"},
		{Name: "row read in its middle alone, up to", MM: formShort, Why: "its ends are no further apart than two readings tell"},
	})
}
