package void

import (
	"fmt"
	"math"
	"slices"

	"github.com/golang/geo/r3"

	"voidline/void/body"
	"voidline/void/cell"
)

// tenth is the least shift that is written into a table, mm.
const tenth = 0.1

// Moved returns the cells of a zone's row that say that it is shifted by so much, mm to the nearest tenth (x east, y north, z up), each
// in the form in which it is written now (see CellOf): EditCells with them shifts the row's body by that and by nothing else. Only
// cells that change are among them. The fall stays, and a place stays from its own grid line; a level from a soffit, a
// ceiling or the steel that is another one over the new place makes up for that, one from steel that is not over it is said to
// the floor; a bay that the row leaves becomes the one
// that it comes to. The problem is for a row that has no place in plan, an end of a range that reaches to a soffit, a
// beam or a ceiling, and a place over which its level cannot be worked out. Whether the building bears the move is not asked.
func (p *Project) Moved(zone int, by r3.Vector) ([]CellText, *Problem) {
	m := move{p: p, zone: zone, z: p.Zone(zone)}
	return m.cells(r3.Vector{X: tenths(by.X), Y: tenths(by.Y), Z: tenths(by.Z)})
}

// tenths returns a shift to the nearest 0.1 mm.
func tenths(mm float64) float64 { return math.Round(mm/tenth) / (1 / tenth) }

// move is a shift of a row that is being written.
type move struct {
	p    *Project
	zone int
	z    *Zone
	out  []CellText
}

func (m *move) cells(by r3.Vector) ([]CellText, *Problem) {
	p, z := m.p, m.z
	for _, v := range [...]float64{by.X, by.Y, by.Z} {
		if !(math.Abs(v) <= maxPlan) {
			return nil, m.problem("", fmt.Sprintf("a shift of %g mm", v), "a shift of at most 10 km")
		}
	}
	row := p.written(z)
	low, high := by.Z, by.Z // shifts of the ends of its level
	if by.X != 0 || by.Y != 0 {
		if z.ByHeight {
			return nil, m.problem("x1", "the row has no place: it lies over the whole bay", "x1 and y1, to shift it in plan")
		}
		there, overLow, overHigh, pr := m.over(by)
		switch {
		case pr != nil && z.lowRef == cell.Steel && !row.Level.Range && !z.Surveyed():
			// No steel is over the new place: from there on the level is said to the floor.
			text := cell.Height{Ref: cell.FFL, MM: tenths(z.at + by.Z - p.Storeys[z.Storey].FFL)}.String()
			if says := row.Level.Says; says != cell.Unsaid {
				text += " " + says.String()
			}
			m.put("level", text)
			overLow, there = z.at+by.Z, *z
		case pr != nil:
			return nil, pr
		}
		low, high = low-(overLow-z.at), high-overHigh
		if z.Surveyed() && by.Z == 0 {
			low, high = 0, 0 // its level is as found, wherever it is
		}
		for k, c := range [...]struct {
			column string
			cell.Place
		}{{"x1", row.X1}, {"y1", row.Y1}, {"x2", row.X2}, {"y2", row.Y2}} {
			if by := [...]float64{by.X, by.Y}[k%2]; by != 0 && c.Text != "" {
				if pr := m.place(c.column, c.Place, by); pr != nil {
					return nil, pr
				}
			}
		}
		m.bay(there)
	}
	if z.Surveyed() && by.Z != 0 {
		low = z.at + by.Z - p.drawnAt(z) // from where it was found: with another level the reading counts no more
	}
	if pr := m.level(row.Level, low, high); pr != nil {
		return nil, pr
	}
	return m.out, nil
}

// over returns the zone over the place to which it is shifted in plan, and where the ends of its level are there: the lower
// one above the project datum, the upper one of a range as how much higher it is than now.
func (m *move) over(by r3.Vector) (there Zone, low, high float64, pr *Problem) {
	r := resolving{p: m.p, zone: int32(m.zone), at: m.z.At()}
	there = m.z.own()
	there.x1, there.x2, there.y1, there.y2 = there.x1+by.X, there.x2+by.X, there.y1+by.Y, there.y2+by.Y
	if !r.place(&there) {
		if len(r.problems) > 0 {
			pr := r.problems[0].guessed()
			return there, 0, 0, &pr
		}
		return there, 0, 0, m.problem("x1", leans, "")
	}
	var flat body.Body
	there.flat(&flat)
	r.enter(&there, &flat)
	low, why := m.p.level(&there, &flat, cell.Height{Ref: there.lowRef, MM: there.low})
	if why.what == "" && there.Upright {
		high, why = m.p.level(&there, &flat, cell.Height{Ref: there.highRef, MM: there.more.high})
		high -= m.z.end
	}
	if why.what != "" {
		pr := m.p.sayTrouble(r.at, "level", why)
		return there, 0, 0, &pr
	}
	return there, low, high, nil
}

// place writes a place that is shifted.
func (m *move) place(column string, is cell.Place, by float64) *Problem {
	if c := cell.ParsePlace(m.p.CellOf(m.zone, column)); c.Fault == nil && c.Text != "" && c.Line == is.Line && c.MM == is.MM {
		is = c // as a person wrote it
	}
	text, ok := is.Shifted(by)
	if !ok {
		return m.problem(column, fmt.Sprintf("%q cannot be shifted by %g mm", is.Text, by), "a place within 10 km")
	}
	m.put(column, text)
	return nil
}

// level writes a level of which the ends are shifted.
func (m *move) level(is cell.Level, low, high float64) *Problem {
	hair := func(v float64) bool { return math.Abs(v) < Hair/2 }
	if hair(low) && (hair(high) || !is.Range) {
		return nil
	}
	if c := cell.ParseLevel(m.p.CellOf(m.zone, "level")); c.Fault == nil && c.Text != "" && c.Low == is.Low && c.High == is.High && c.Range == is.Range && c.Says == is.Says {
		is = c
	}
	if is.Range {
		for _, end := range [...]struct {
			cell.Height
			by float64
		}{{is.Low, low}, {is.High, high}} {
			if reaches(end.Height) && !hair(end.by) {
				return m.problem("level", fmt.Sprintf("%q reaches to the %s, which does not move", is.Text, end.Ref), "a level of its own for that end, such as FFL+3600")
			}
		}
	}
	text, ok := is.Shifted(low, high)
	if !ok {
		return m.problem("level", fmt.Sprintf("%q cannot be shifted by %g mm", is.Text, low), "a level within 2 km")
	}
	m.put("level", text)
	return nil
}

// reaches reports whether an end of a range is at a part of the building itself.
func reaches(h cell.Height) bool {
	switch h.Ref {
	case cell.Soffit, cell.Steel, cell.Ceiling, cell.BuildUp:
		return h.MM == 0
	}
	return false
}

// bay writes the bay to which the row comes, where it says the one that it leaves.
func (m *move) bay(there Zone) {
	p, z := m.p, m.z
	in := there.Bays()
	if z.Bay < 0 || len(in) == 0 || slices.Contains(in, z.Bay) || !slices.Contains(z.Bays(), z.Bay) {
		return
	}
	b := &p.Bays[in[0]]
	if first, ok := p.bayNamed[fold(b.Name)]; z.storey == 0 && len(p.Storeys) > 1 && (!ok || p.Bays[first].next >= 0) {
		return // its storey hangs on the name of the bay
	}
	m.put("bay", b.Name)
}

func (m *move) put(column, text string) { m.out = append(m.out, CellText{column, text}) }

func (m *move) problem(column, what, want string) *Problem {
	pr := m.p.say(m.z.At(), column, what, want, "")
	return &pr
}
