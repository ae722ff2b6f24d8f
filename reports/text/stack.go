package text

import (
	"io"
	"math"
	"strconv"
	"strings"

	"voidline/clash"
	"voidline/clash/finding"
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
	// Tolerance is how far off its level it may be built, Built what is then left of Gap; nil where not asked for.
	Tolerance *finding.Tolerance
	Built     *clash.Built
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
	// Built says how the lines' Built were added up, and what the defaults among their tolerances rest on; nil where it was
	// not asked for: then none of it is printed.
	Built *finding.ToleranceUsed
}

// Stack prints the stack over a point as a table from the soffit down to the ceiling with every gap,
// and the sum of it.
func Stack(w io.Writer, s StackTable, opt Options) error {
	p := newPage(w, opt)
	title := "Stack"
	if s.Bay != "" {
		title += " in bay " + words.Name(s.Bay)
	}
	title = words.InStorey(title, s.Storey)
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
		{Head: "What is there"},
		{Head: "Depth", Right: true},
		{Head: "Clear", Right: true},
	}}
	blank := []string{""} // behind what is clear
	columns := s.Built != nil && p.width >= builtWidth
	if columns {
		t.Columns = append(t.Columns, words.Column{Head: "Worst", Right: true}, words.Column{Head: "RSS", Right: true})
		blank = []string{"", "", ""}
	}
	t.Columns = append(t.Columns, words.Column{Head: "Needed", Right: true})
	row := func(cells ...string) { t.Rows = append(t.Rows, append(cells, blank...)) }
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
		if l.Tolerance != nil {
			what += "\ntolerance " + plusMinus(l.Tolerance)
		}
		switch l.Kind {
		case StackSoffit:
			row(ffl, datum, "u/s", what, "", "")
		case StackCeiling:
			row(ffl, datum, "u/s", what, "", "")
		default:
			high := words.Near(l.Top - l.Bottom)
			top, topDatum := topside(l.Top)
			if l.Kind == StackLayer {
				ffl, datum = topside(l.Bottom) // the ceiling is met from above: all of it is rounded up
			}
			row(top+"\n"+ffl, topDatum+"\n"+datum, "top\nu/s", what, high, "")
			if l.Kind == StackLayer {
				down = "the top of the build-up"
			} else {
				bodies += printed(high)
			}
		}
		if l.Gap != nil {
			clear, asked := words.Down(*l.Gap), ""
			var says []string
			if words.Tenth(*l.Gap) < 0 {
				says = append(says, "OVERLAP")
			}
			if words.Tenth(l.Short) > 0 {
				says = append(says, words.Up(l.Short)+" SHORT")
			}
			say := strings.Join(says, ", ")
			if l.Asked != nil {
				asked = words.Up(*l.Asked)
				if l.Rule != "" && say != "" {
					say += ": "
				}
				say += words.Clean(l.Rule)
			}
			gaps += printed(clear)
			cells := []string{"", "", "gap", say, "", clear}
			if b := l.Built; s.Built != nil && b != nil {
				say += "\n" + takenOff(b)
				if !columns {
					say += "\nworst " + tenths(b.AtWorst) + ", RSS " + tenths(b.ByRoot)
				}
				cells[3] = strings.TrimPrefix(say, "\n")
			}
			if columns {
				worst, root := "", ""
				if b := l.Built; b != nil {
					worst, root = tenths(b.AtWorst), tenths(b.ByRoot)
				}
				cells = append(cells, worst, root)
			}
			t.Rows = append(t.Rows, append(cells, asked))
		}
	}
	p.table(t, 0)

	if s.Void != nil {
		p.line("")
		v := words.Near(*s.Void)
		b, g := words.Near(s.Bodies), words.Near(s.Gaps)
		sum := "Sum: occupied " + b + " + gaps " + g + " = void " + v
		if strings.HasPrefix(g, "-") {
			sum = "Sum: occupied " + b + " - lacking " + g[1:] + " = void " + v
		}
		p.para("", "  ", sum+", from the soffit to "+down)
		if !exact || math.Abs(printed(v)-bodies-gaps) > 0.5 || math.Abs(printed(b)+printed(g)-printed(v)) > 0.5 {
			p.para("", "  ", "Each figure is rounded by itself, gaps down, so the column can come to a little less than the void.")
		}
	}
	for _, n := range s.Notes {
		p.para("Note: ", "  ", words.Clean(n))
	}
	if s.Built != nil {
		p.aboutBuilt(s)
	}
	return p.done()
}

// builtWidth is the least width at which what is left once built has columns of its own; narrower, it stands in words.
const builtWidth = 72

// tenths prints what is left of a gap to the nearest 0.1: the root of a sum of squares is hardly ever whole, and
// these figures are a sum to be followed, not a room to be used.
func tenths(mm float64) string { return strconv.FormatFloat(words.Tenth(mm), 'f', -1, 64) }

// plusMinus says a tolerance, with * where it is the default of its kind.
func plusMinus(t *finding.Tolerance) string {
	s := tenths(t.MM)
	if t.Default != "" {
		s += "*"
	}
	return s
}

// takenOff says what is taken off a gap for what is left of it once built.
func takenOff(b *clash.Built) string {
	if b.Fixed {
		return "the two go together"
	}
	var l []string
	for i := range b.Off {
		l = append(l, plusMinus(&b.Off[i])+" "+words.Name(b.Off[i].Of))
	}
	s := "off: " + strings.Join(l, ", ")
	if c := b.ComesDown; c != nil && words.Tenth(c.By) > 0 {
		s = "beam " + words.Name(c.Beam) + " (span " + words.Near(c.Span) + ") comes down " + tenths(c.By) + ": leaves " + tenths(b.Down) + "\n" + s
	}
	return s
}

// aboutBuilt says what the two columns are, and what their figures rest on.
func (p *page) aboutBuilt(s StackTable) {
	p.line("")
	p.para("", "  ", "Worst: what is left once built when all tolerances of level go the wrong way at once; RSS: by the root of the "+
		"sum of their squares. A minus figure is an overlap.")
	if s.Built.Deflection > 0 {
		p.para("", "  ", "Beams come down under load by "+finding.Ratio(s.Built.Deflection)+" at mid-span, and what hangs from them with them; "+
			"ceilings, and what is set into them, are taken to be carried from the walls and to stay, and so is a slab.")
	}
	used := map[string]bool{}
	for _, l := range s.Lines {
		if l.Tolerance != nil {
			used[l.Tolerance.Default] = true
		}
		if l.Built != nil {
			for _, t := range l.Built.Off {
				used[t.Default] = true
			}
		}
	}
	p.para("", "  ", "Tolerances come from a row's own column tolerance; with * they are the default of their kind, mostly from memory or "+
		"common practice: they warn, no more. What is tight to steel or a slab goes up and down with it.")
	for _, d := range s.Built.Defaults {
		if !used[d.Of] {
			continue
		}
		source := words.Clean(d.Provenance)
		if d.Source != "" {
			source = words.Clean(d.Source) + "; " + source
		}
		p.para("  * ", "    ", words.Clean(d.Of)+" "+tenths(d.MM)+": "+source)
	}
}
