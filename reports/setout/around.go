package setout

import (
	"fmt"

	"github.com/golang/geo/r2"

	"voidline/clash/setout"
	"voidline/reports/words"
)

// said is lines under a heading; what they say is plain without it.
type said struct {
	head  string
	lines []string
}

// passed heads what a run passes.
const passed = "Beams and openings along the run"

// around says what is next to the line that was found: the tightest clearance over and under it, the beams and openings that it passes, and the marks
// of its bends.
func (s *Sheet) around() (out []said) {
	a := s.Answer
	if a == nil || !a.Found {
		return nil
	}
	above, below := a.Tightest()
	var lines []string
	for _, x := range []struct {
		c    *setout.Clear
		side string
	}{{above, "Tightest above"}, {below, "Tightest below"}} {
		if x.c != nil {
			lines = append(lines, x.side+": "+s.clearWords(x.c)+".")
		}
	}
	if len(lines) > 0 {
		out = append(out, said{"What is next to it", lines})
	}
	lines = nil
	for _, x := range a.Passes(s.Project) {
		lines = append(lines, s.passWords(&x)+".")
	}
	if len(lines) > 0 {
		out = append(out, said{passed, lines})
	}
	lines = nil
	for i, b := range a.Bends(s.Angle) {
		lines = append(lines, bendWords(i+1, &b)+".")
	}
	if len(lines) > 0 {
		out = append(out, said{"Marks of the bends", append(lines, "Measured along the run itself (common practice, no source).")})
	}
	return out
}

// clearWords says how much is clear, and to what.
func (s *Sheet) clearWords(c *setout.Clear) string {
	w := words.Down(c.MM) + " clear of "
	if words.Tenth(c.MM) <= 0 {
		w = "touches "
	}
	return w + thingWords(c.Thing) + fmt.Sprintf(", from %s to %s along the run (%s)", words.Near(c.From), words.Near(c.To), s.place(c.From))
}

// thingWords names a thing and says what it is.
func thingWords(t *setout.Thing) string {
	w := words.Clean(t.Name)
	if t.Zone >= 0 && t.What != "" {
		w += " (" + words.Clean(t.What) + ")"
	}
	return w
}

// passWords says how a run passes a beam, or goes through an opening.
func (s *Sheet) passWords(x *setout.Passed) string {
	w := fmt.Sprintf("From %s to %s (%s): ", words.Near(x.From), words.Near(x.To), s.place(x.From))
	if x.Through {
		if !x.Opening {
			return w + "through " + thingWords(x.Thing) + ", which has no opening: builder's work, a hole, sized in the check"
		}
		return w + "through the opening in " + thingWords(x.Thing) + ": there the line may be from " + s.ffl(x.Line.Lo) + " to " + s.ffl(x.Line.Hi)
	}
	side := "over "
	if x.Above {
		side = "under "
	}
	w += side + thingWords(x.Thing) + ", "
	if words.Tenth(x.Clear) <= 0 {
		return w + "touches it"
	}
	return w + words.Down(x.Clear) + " clear"
}

// bendWords says where a fitter marks a set.
func bendWords(no int, b *setout.Bend) string {
	return fmt.Sprintf("Set %d: two bends of %s degrees, marks at %s and %s, %s between them", no, exact(b.Angle), words.Near(b.First), words.Near(b.Second), words.Near(b.Second-b.First))
}

// drill is where the rods of a support are drilled.
type drill struct {
	no int
	at [2]string // "" for a rod that it has not
}

// drillPoints says where each rod of this sheet is drilled, from two grid lines; nothing where there are no grid lines: the table says its place.
func (s *Sheet) drillPoints() (out []drill) {
	u := s.Supports
	if u == nil || len(s.Project.GridX) == 0 || len(s.Project.GridY) == 0 {
		return nil
	}
	for i := range u.List {
		x := &u.List[i]
		if x.With != "" || len(x.Each) == 0 {
			continue
		}
		d := drill{no: x.N}
		for k := range x.Each {
			if d.at[k] = s.drillAt(x.Each[k].Where); len(x.Each) > 1 {
				d.at[k] += " " + way(x.Each[k].Beside)
			}
		}
		out = append(out, d)
	}
	return out
}

// drillAt says a point from the nearest two grid lines.
func (s *Sheet) drillAt(q r2.Point) string { return words.Clean(s.Project.Where(q)) }
