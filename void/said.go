package void

import (
	"fmt"
	"math"
	"reflect"
	"strconv"
	"strings"

	"github.com/golang/geo/r3"
)

// RowChange is a change to cells of one row: of a zone, or of a bay.
type RowChange struct {
	Zone, Bay string // one of the two
	Cells     []CellText
}

// Said reads a change as a person says it:
//
//	T-07 level FFL+2950            a cell of a zone's row: id, column, text
//	bay OFF ceiling 2650           a cell of a bay's row
//	D-3 up 40                      a move: up, down, north, south-east …, mm
//	P2 16 towards grid C           towards a grid line
//	LTHW-1 up 40 and 30 north      two moves together
//	CD1-21 up 163 with its run     with all rows of its run
//	run CHW-F up 40                the same, by the name of the run
//
// It returns the cells that change, of each row; none of them is changed yet.
func (p *Project) Said(text string) ([]RowChange, *Problem) {
	bad := func(what, want string) *Problem { return &Problem{What: fmt.Sprintf("%q: %s", text, what), Want: want} }
	words := strings.Fields(text)
	if len(words) < 3 {
		return nil, bad("a change has three words at least", `"T-07 level FFL+2950" or "D-3 up 40"`)
	}
	switch first := strings.ToLower(words[0]); {
	case first == "bay":
		name, rest := p.longest(words[1:], func(s string) bool {
			if _, ok := p.bayLabelled(fold(s)); ok {
				return true
			}
			_, ok := p.bayNamed[fold(s)]
			return ok
		})
		if name == "" || len(rest) < 2 {
			return nil, bad("no bay of that name, or no column and text after it", `"bay OFF ceiling 2650"`)
		}
		for n := 1; n < min(3, len(rest)); n++ {
			if column := columnNamed(reflect.TypeFor[BayRow](), strings.Join(rest[:n], "")); column != "" {
				return []RowChange{{Bay: name, Cells: []CellText{{column, strings.Join(rest[n:], " ")}}}}, nil
			}
		}
		return nil, bad(fmt.Sprintf("no column %q", rest[0]), "a column of bays.csv")
	case first == "run":
		name, rest := p.longest(words[1:], func(s string) bool { return len(p.rowsOfRun(s)) > 0 })
		if name == "" {
			return nil, bad("no run of that name", "the name of a run")
		}
		by, why := p.way(rest, p.rowsOfRun(name)[0])
		if why != "" {
			return nil, bad(why, wayLike)
		}
		return p.movedRows(p.rowsOfRun(name), by)
	}
	id, rest := p.longest(words, func(s string) bool { _, ok := p.ZoneByID(s); return ok })
	if id == "" {
		var ids []string
		for i := range p.zones.n {
			if z := p.Zone(i); !z.Gone {
				ids = append(ids, z.ID)
			}
		}
		pr := bad(fmt.Sprintf("no zone %q", words[0]), "the id of a zone, or bay or run and a name")
		pr.Hint = near(words[0], ids)
		return nil, pr
	}
	if len(rest) == 0 {
		return nil, bad("nothing is said of it", `a column and its text, or a move such as "up 40"`)
	}
	i, _ := p.ZoneByID(id)
	for n := 1; n <= min(2, len(rest)); n++ { // a heading may be two words: in room
		if column := columnNamed(reflect.TypeFor[ZoneRow](), strings.Join(rest[:n], "")); column != "" && column != "id" {
			return []RowChange{{Zone: p.Zone(i).ID, Cells: []CellText{{column, strings.Join(rest[n:], " ")}}}}, nil
		}
	}
	rows := []int{i}
	if n := len(rest); n > 3 && strings.EqualFold(strings.Join(rest[n-3:], " "), "with its run") {
		rest = rest[:n-3]
		if of := p.rowsOfRun(p.Zone(i).Run()); len(of) > 0 {
			rows = of
		}
	}
	by, why := p.way(rest, i)
	if why != "" {
		return nil, bad(why, "a column of the zone tables, or "+wayLike)
	}
	return p.movedRows(rows, by)
}

const wayLike = `a move such as "up 40", "250 north" or "16 towards grid C"`

// Change makes a change to one row, as Said gives it.
func (p *Project) Change(c RowChange) (Change, *Problem) {
	if c.Bay == "" {
		return p.EditCells(c.Zone, c.Cells)
	}
	var all Change
	for _, cell := range c.Cells {
		ch, pr := p.EditBay(c.Bay, cell.Column, cell.Text)
		if pr != nil {
			return all, pr
		}
		all.Add(ch)
	}
	return all, nil
}

// longest returns the longest beginning of words that is a name, and the words after it.
func (p *Project) longest(words []string, is func(string) bool) (name string, rest []string) {
	for n := len(words); n > 0; n-- {
		if s := strings.Join(words[:n], " "); is(s) {
			return s, words[n:]
		}
	}
	return "", words
}

// columnNamed returns the canonical name of a column of a row's table that a heading names, written as in the tables: without regard to case, blanks,
// hyphens and underscores. "" where it names none.
func columnNamed(row reflect.Type, heading string) string {
	name := strings.ToLower(strings.NewReplacer("-", "", "_", "", " ", "", ":", "", "=", "").Replace(heading))
	if k, ok := columnsOf(row)[name]; ok {
		return row.Field(k).Tag.Get("csv")
	}
	return ""
}

// rowsOfRun returns the rows of a run, none where it is no name of one.
func (p *Project) rowsOfRun(name string) (rows []int) {
	for i := range p.zones.n {
		if z := p.Zone(i); name != "" && !z.Gone && strings.EqualFold(z.Run(), name) {
			rows = append(rows, i)
		}
	}
	return rows
}

// movedRows writes the shift of rows.
func (p *Project) movedRows(rows []int, by r3.Vector) ([]RowChange, *Problem) {
	var out []RowChange
	for _, i := range rows {
		cells, pr := p.Moved(i, by)
		if pr != nil {
			return nil, pr
		}
		if len(cells) > 0 {
			out = append(out, RowChange{Zone: p.Zone(i).ID, Cells: cells})
		}
	}
	return out, nil
}

// compass are the ways of a move but those towards a grid line.
var compass = map[string]r3.Vector{
	"up": {Z: 1}, "down": {Z: -1}, "north": {Y: 1}, "south": {Y: -1}, "east": {X: 1}, "west": {X: -1},
	"north-east": {X: math.Sqrt2 / 2, Y: math.Sqrt2 / 2}, "north-west": {X: -math.Sqrt2 / 2, Y: math.Sqrt2 / 2},
	"south-east": {X: math.Sqrt2 / 2, Y: -math.Sqrt2 / 2}, "south-west": {X: -math.Sqrt2 / 2, Y: -math.Sqrt2 / 2},
}

// way reads a move of zone i: "up 40", "40 north", "16 towards grid C", several of them joined by "and". why says what is wrong.
func (p *Project) way(words []string, i int) (by r3.Vector, why string) {
	part := []string{}
	parts := [][]string{}
	for _, w := range words {
		if w = strings.ToLower(strings.Trim(w, ",")); w == "and" {
			parts, part = append(parts, part), nil
			continue
		}
		part = append(part, w)
	}
	for _, part := range append(parts, part) {
		mm, dir := math.NaN(), r3.Vector{}
		for k := 0; k < len(part); k++ {
			w := part[k]
			if d, ok := compass[w]; ok {
				dir = d
				continue
			}
			if w == "mm" || w == "by" || w == "move" {
				continue
			}
			if w == "towards" || w == "grid" {
				label := strings.Join(part[k+1:], " ")
				label = strings.TrimPrefix(label, "grid ")
				if dir = p.towardsGrid(label, i); dir == (r3.Vector{}) {
					return by, fmt.Sprintf("there is no grid line %q to one side of it", label)
				}
				break
			}
			v, err := strconv.ParseFloat(strings.TrimSuffix(w, "mm"), 64)
			if err != nil || math.IsNaN(v) || math.Abs(v) > maxPlan || !math.IsNaN(mm) {
				return by, fmt.Sprintf("%q is neither a column nor part of a move", w)
			}
			mm = v
		}
		if math.IsNaN(mm) || dir == (r3.Vector{}) {
			return by, "a move says which way and how many mm"
		}
		by = by.Add(dir.Mul(mm))
	}
	return by, ""
}

// towardsGrid returns the way from the middle of zone i to a grid line, square to the line; zero where there is none, or it is on it.
func (p *Project) towardsGrid(label string, i int) r3.Vector {
	at := p.Zone(i).Full().Centre
	for _, g := range p.GridX {
		if strings.EqualFold(g.Label, label) && math.Abs(g.Position-at.X) > Hair {
			return r3.Vector{X: math.Copysign(1, g.Position-at.X)}
		}
	}
	for _, g := range p.GridY {
		if strings.EqualFold(g.Label, label) && math.Abs(g.Position-at.Y) > Hair {
			return r3.Vector{Y: math.Copysign(1, g.Position-at.Y)}
		}
	}
	return r3.Vector{}
}
