package setout

import (
	"fmt"
	"strings"

	"github.com/golang/geo/r2"

	"voidline/clash/finding"
	"voidline/clash/setout"
	"voidline/reports/words"
	"voidline/void"
)

// said is lines under a heading; what they say is plain without it.
type said struct {
	head  string
	lines []string
}

// passed heads what a run passes.
const passed = "Beams, walls and openings along the run"

// around says what is next to the line that was found: the tightest clearance over and under it, the beams that it passes and what it goes through, the
// marks of its bends, and what tolerances leave where that was asked for.
func (s *Sheet) around() (out []said) {
	if !s.laid() {
		return nil
	}
	var lines []string
	for _, x := range s.tightest() {
		lines = append(lines, x.head+": "+s.clearWords(x.c)+".")
	}
	if len(lines) > 0 {
		out = append(out, said{"What is next to it", lines})
	}
	lines = nil
	for i := range s.Next.Passed {
		x := &s.Next.Passed[i]
		lines = append(lines, fmt.Sprintf("From %s to %s (%s): %s.", words.Near(x.From), words.Near(x.To), s.place(x.From), s.passWords(x)))
	}
	if len(lines) > 0 {
		out = append(out, said{passed, lines})
	}
	if lines = s.bends(); len(lines) > 0 {
		out = append(out, said{"Marks of the bends", append(lines, bendsMeasured)})
	}
	if s.Tolerance != nil {
		out = append(out, said{words.MayNotFit, s.doubtLines()})
	}
	return out
}

// laid reports whether there is a line to lay the run by.
func (s *Sheet) laid() bool {
	if s.Fall != nil {
		return s.Fall.Start != nil
	}
	return s.Answer != nil && s.Answer.Found
}

// bendsMeasured says along what bends are marked.
const bendsMeasured = "Measured along the run itself (common practice, no source)."

// tight is the tightest clearance on one side.
type tight struct {
	head string
	c    *setout.Clear
	over bool
}

// tightest returns the tightest clearance over the run and under it, as far as there are any.
func (s *Sheet) tightest() (out []tight) {
	for _, x := range [...]tight{{"Tightest above", s.Next.Above, true}, {"Tightest below", s.Next.Below, false}} {
		if x.c != nil {
			out = append(out, x)
		}
	}
	return out
}

// bends says where the bends of the sets are marked.
func (s *Sheet) bends() (out []string) {
	if s.Answer == nil {
		return nil
	}
	for i, b := range s.Answer.Bends(s.Angle) {
		out = append(out, bendWords(i+1, &b)+".")
	}
	return out
}

// clearWords says how much is clear, and to what.
func (s *Sheet) clearWords(c *setout.Clear) string {
	w := words.Down(c.MM) + " clear of "
	if words.Tenth(c.MM) <= 0 {
		w = "touches "
	}
	at := fmt.Sprintf(", from %s to %s along the run (%s)", words.Near(c.From), words.Near(c.To), s.place(c.From))
	if c.From == c.To {
		at = fmt.Sprintf(", at %s along the run (%s)", words.Near(c.From), s.place(c.From))
	}
	return w + thingWords(c.Thing) + at + s.builtWords(c.Thing)
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
	if g := x.Through; g != nil {
		if g.Opening == nil {
			return "through " + thingWords(x.Thing) + ", which has no opening: builder's work, " + s.holeWords(&g.Hole)
		}
		o := g.Opening
		w := "through the opening in " + thingWords(x.Thing) + ", " + openingSize(o) + " (" + words.Clean(s.Project.FileLine(o.Row)) + "): " +
			words.Down(g.Room) + " clear round it, " + words.Up(g.Asked) + " needed"
		if !x.Line.IsEmpty() {
			w += "; there the line can be from " + s.ffl(x.Line.Lo) + " to " + s.ffl(x.Line.Hi)
		}
		return w
	}
	w := "over "
	if x.Above {
		w = "under "
	}
	w += thingWords(x.Thing) + ", "
	if words.Tenth(x.Clear) <= 0 {
		return w + "touches it" + s.builtWords(x.Thing)
	}
	return w + words.Down(x.Clear) + " clear" + s.builtWords(x.Thing)
}

// openingSize says how large an opening is.
func openingSize(o *void.Opening) string {
	if o.Round {
		return "ø" + words.Near(2*o.HalfA)
	}
	return words.Near(2*o.HalfA) + " x " + words.Near(2*o.HalfB)
}

// holeWords says the hole that is to be made, as the check sizes it.
func (s *Sheet) holeWords(h *finding.Hole) string {
	size := words.Up(h.Width) + " x " + words.Up(h.Height)
	if h.Round {
		size = "ø" + words.Up(h.Width)
	}
	w := "a hole " + size + ", underside " + s.ffl(h.Level+s.storey().FFL)
	if h.Level == h.At.Level {
		w = "a hole " + size
	}
	w += ", with " + words.Up(h.Margin) + " all round the run"
	if h.Note != "" {
		w += "; " + words.Clean(h.Note)
	}
	return w
}

// builtWords says what tolerances leave of what is clear to a thing, where it may not fit; "" where it does, or where that is not asked for.
func (s *Sheet) builtWords(t *setout.Thing) string {
	for i := range s.Doubts {
		if d := &s.Doubts[i]; strings.EqualFold(d.Upper, t.Name) || strings.EqualFold(d.Lower, t.Name) {
			return "; within the tolerances: " + words.LeftOnceBuilt(d)
		}
	}
	return ""
}

// doubtLines says what is clear as laid and may not fit once built.
func (s *Sheet) doubtLines() []string {
	if len(s.Doubts) == 0 {
		return []string{"None: what is clear here stays so " + words.ToleranceWay(s.Tolerance) + "."}
	}
	out := []string{"Clear as laid, but less than is needed " + words.ToleranceWay(s.Tolerance) + "; most tolerances are from memory or common practice (voidline tables tolerances):"}
	for i := range s.Doubts {
		out = append(out, words.SayDoubt(&s.Doubts[i])+".")
	}
	return out
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

// doubtOf names the other thing of a doubt about the run.
func (s *Sheet) doubtOf(d *finding.Doubt) string {
	if strings.EqualFold(d.UpperRun, s.Run().Name) || s.has(d.Upper) {
		return d.Lower
	}
	return d.Upper
}

// has reports whether an id is that of a row of the run, or of a part that one is cut into.
func (s *Sheet) has(id string) bool {
	for i := range s.Run().Pieces {
		if own := s.Project.Zone(s.Run().Pieces[i].Zone).ID; strings.EqualFold(own, id) || strings.HasPrefix(strings.ToLower(id), strings.ToLower(own)+"/") {
			return true
		}
	}
	return false
}

// betweenWords says what two sheets would come to when both are built.
func betweenWords(f *finding.Finding) string {
	return words.What(f) + " between " + words.Between(f) + " when both are laid as their sheets say, at " + words.Where(f.At) + ", " + words.Level(f.At.Level)
}

// apartHead heads that.
const apartHead = "These are not clear of each other when all are laid"

// apartWords says what to do about it.
const apartWords = "Each run is set out with the others as the tables have them. Put the rows of one (--format rows) into its table, and set the other out after it."
