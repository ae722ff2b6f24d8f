package text

import (
	"io"
	"math"
	"strconv"
	"strings"

	"voidline/reports/words"
)

// StackKind says what a line of a stack is.
type StackKind uint8

// What stands in a stack.
const (
	StackZone    StackKind = iota // a zone: insulated section
	StackHanger                   // what hangs under a zone, or over it
	StackSoffit                   // the underside of the structure over the void: Bottom is its level
	StackLayer                    // a layer of the build-up
	StackCeiling                  // the finished face: Bottom is its level
)

// StackLine is one thing over the point. Levels are above the storey's FFL, mm.
type StackLine struct {
	Kind        StackKind
	Name        string // zone id, layer, soffit X, ceiling X
	Trade       string // "" for soffit, ceiling and layers
	What        string // what it is, in words: duct 600x300, insulated 25; may be ""
	Row         string // file:line, "" where there is none
	Top, Bottom float64
	// Gap is what is clear from Bottom down to the next line, negative where they share height; nil
	// where none is meant (between the layers of a build-up, under the last line).
	Gap *float64
	// Asked is what a rule asks between this line and the next, nil where none asks. Short is what is
	// lacking, 0 when it is met. Rule says which rule, with its basis.
	Asked *float64
	Short float64
	Rule  string
}

// StackTable is everything over one point of the plan, from the top down. Every figure is measured elsewhere and only
// printed here.
type StackTable struct {
	Bay, Storey string
	Where       string  // the place in words by the grid, "" where there is no grid
	X, Y        float64 // the point
	Why         string  // why this point: "the tightest point found in the bay"; "" where it was asked for
	FFL         float64 // the storey's FFL above the project datum
	Datum       float64 // height of the datum line above FFL
	Lines       []StackLine
	// Void is soffit to ceiling (top of the build-up, or the finished face); Bodies and Gaps what the
	// things and the gaps in it come to, gaps that are lacking counted against. Void is nil where there
	// is no soffit or no ceiling to measure from; then no sum is printed.
	Void         *float64
	Bodies, Gaps float64
	Notes        []string // what a reader must know
}

// Stack prints the stack over a point as a table from the soffit down to the ceiling with every gap,
// and the sum of it.
func Stack(w io.Writer, s StackTable, opt Options) error {
	p := newPage(w, opt)
	title := "Stack"
	if s.Bay != "" {
		title += " in bay " + words.Name(s.Bay)
	}
	if s.Storey != "" {
		title += ", storey " + words.Name(s.Storey)
	}
	for _, l := range words.Wrap(title, p.width) {
		p.line(p.bold(l))
	}
	at := "at x " + words.Near(s.X) + ", y " + words.Near(s.Y)
	if s.Where != "" {
		at = "at " + words.Clean(s.Where) + " (x " + words.Near(s.X) + ", y " + words.Near(s.Y) + ")"
	}
	if s.Why != "" {
		at += ": " + words.Clean(s.Why)
	}
	p.para("", "  ", at)
	p.para("", "  ", "Levels in mm above FFL, and from the datum line (FFL"+words.Above(s.Datum)+"); FFL is "+
		words.Above(s.FFL)+" to the project datum.")
	p.line("")
	if len(s.Lines) == 0 {
		p.para("", "", "Nothing is over this point.")
		return p.done()
	}

	t := words.Table{Columns: []words.Column{
		{Head: "FFL", Right: true},
		{Head: "Datum", Right: true},
		{Head: ""},
		{Head: "What stands there"},
		{Head: "High", Right: true},
		{Head: "Clear", Right: true},
		{Head: "Asked", Right: true},
	}}
	underside := func(mm float64) (ffl, datum string) { return words.AboveDown(mm), words.AboveDown(mm - s.Datum) }
	topside := func(mm float64) (ffl, datum string) { return words.AboveUp(mm), words.AboveUp(mm - s.Datum) }
	down := "the ceiling"
	var bodies, gaps float64 // as printed
	exact := true
	printed := func(text string) float64 {
		v, err := strconv.ParseFloat(text, 64)
		exact = exact && err == nil
		return v
	}
	for _, l := range s.Lines {
		ffl, datum := underside(l.Bottom)
		what := words.Clean(l.Name)
		if l.Trade != "" {
			what += " (" + words.Clean(l.Trade) + ")"
		}
		if l.What != "" {
			what += "\n" + words.Clean(l.What)
		}
		if l.Row != "" {
			what += "\n" + words.Clean(l.Row)
		}
		switch l.Kind {
		case StackSoffit:
			t.Rows = append(t.Rows, []string{ffl, datum, "u/s", what, "", "", ""})
		case StackCeiling:
			t.Rows = append(t.Rows, []string{ffl, datum, "u/s", what, "", "", ""})
		default:
			high := words.Near(l.Top - l.Bottom)
			top, topDatum := topside(l.Top)
			if l.Kind == StackLayer {
				ffl, datum = topside(l.Bottom) // the ceiling is met from above: all of it is rounded up
			}
			t.Rows = append(t.Rows,
				[]string{top + "\n" + ffl, topDatum + "\n" + datum, "top\nu/s", what, high, "", ""})
			if l.Kind == StackLayer {
				down = "the top of the build-up"
			} else {
				bodies += printed(high)
			}
		}
		if l.Gap != nil {
			row := []string{"", "", "gap", "", "", words.Down(*l.Gap), ""}
			var says []string
			if words.Tenth(*l.Gap) < 0 {
				says = append(says, "OVERLAP")
			}
			if words.Tenth(l.Short) > 0 {
				says = append(says, words.Up(l.Short)+" SHORT")
			}
			row[3] = strings.Join(says, ", ")
			if l.Asked != nil {
				row[6] = words.Up(*l.Asked)
				if l.Rule != "" && row[3] != "" {
					row[3] += ": "
				}
				row[3] += words.Clean(l.Rule)
			}
			gaps += printed(row[5])
			t.Rows = append(t.Rows, row)
		}
	}
	p.table(t, 0)

	if s.Void != nil {
		p.line("")
		v := words.Near(*s.Void)
		b, g := words.Near(s.Bodies), words.Near(s.Gaps)
		sum := "Sum: things " + b + " + gaps " + g + " = void " + v
		if strings.HasPrefix(g, "-") {
			sum = "Sum: things " + b + " - lacking " + g[1:] + " = void " + v
		}
		p.para("", "  ", sum+", from the soffit to "+down)
		if !exact || math.Abs(printed(v)-bodies-gaps) > 0.5 || math.Abs(printed(b)+printed(g)-printed(v)) > 0.5 {
			p.para("", "  ", "Each figure is rounded for itself, gaps down, so that the column may come to a little less than the void.")
		}
	}
	for _, n := range s.Notes {
		p.para("Note: ", "  ", words.Clean(n))
	}
	return p.done()
}
