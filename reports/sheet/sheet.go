// Package sheet writes the findings of a check as CSV for spreadsheets: one row a finding, commas (or what else parts
// the cells of the project's own tables), CRLF, whole millimetres rounded as in the printed answer.
package sheet

import (
	"context"
	"encoding/csv"
	"io"
	"regexp"
	"strconv"
	"strings"

	"voidline/clash"
	"voidline/clash/finding"
	"voidline/clash/register"
	"voidline/reports/words"
)

// Options says how to write.
type Options struct {
	BOM       bool // put a byte order mark first: some spreadsheets take a file for UTF-8 only then
	Separator rune // between the cells; 0 stands for a comma
	// Numbers gives each problem its number (finding.Numbers); nil: they are counted as they come, which is right for an answer that is not narrowed.
	Numbers map[string]int
}

// number returns the number of a finding's problem.
func (o *Options) number(f *finding.Finding) string {
	if o.Numbers == nil {
		o.Numbers = map[string]int{}
	}
	p := f.Problem()
	if o.Numbers[p] == 0 {
		o.Numbers[p] = len(o.Numbers) + 1
	}
	return strconv.Itoa(o.Numbers[p])
}

func (o Options) writer(w io.Writer) *csv.Writer {
	c := csv.NewWriter(w)
	c.UseCRLF = true
	if o.Separator != 0 {
		c.Comma = o.Separator
	}
	return c
}

// Columns returns the header, in order. Lengths are whole millimetres: gap down; asked, short, the
// overlap and moves up; places and levels to the nearest. An empty cell: there is none, or not known.
func Columns() []string {
	return []string{
		"finding", // id
		"problem", // the number that plans, sections, report and messages call it by
		"kind",    // overlap, tight, access
		"storey",  // "" where the building has one without a name
		"bay",     // "" outside every bay
		"place",   // in words, by the grid
		"level",   // above the storey's FFL
		"x", "y",  // plan
		"a", "a trade", "a run", "a row", // the zone that the rule is of, with file:line
		"b", "b trade", "b run", "b row",
		"gap",                                // what there is
		"overlap height", "overlap sideways", // the least move that parts them, up or down, and sideways
		"asked", "short",
		"side",          // seen from a
		"rule", "basis", // the basis: law, maker, practice, geometry
		"gives way", // zone id
		"moves",     // least moves, any one of which clears it
		"also",      // what else the pair breaks
		"by height", // yes: only heights are known
		"note",
	}
}

// Check writes the findings in the order of the record. With none the header stands alone.
func Check(w io.Writer, r *finding.Result, opt Options) error {
	if opt.BOM {
		if _, err := io.WriteString(w, "\ufeff"); err != nil {
			return err
		}
	}
	c := opt.writer(w)
	if err := c.Write(Columns()); err != nil {
		return err
	}
	for i := range r.Findings {
		if err := c.Write(opt.row(&r.Findings[i])); err != nil {
			return err
		}
	}
	c.Flush()
	return c.Error()
}

// Answer writes the same as Check from an answer whose findings are worded as they are read.
func Answer(ctx context.Context, w io.Writer, a *clash.Answer, opt Options) error {
	if err := Check(w, a.Head(), opt); err != nil {
		return err
	}
	c := opt.writer(w)
	if err := a.Findings(ctx, func(fs []finding.Finding) error {
		for i := range fs {
			if err := c.Write(opt.row(&fs[i])); err != nil {
				return err
			}
		}
		return nil
	}); err != nil {
		return err
	}
	c.Flush()
	return c.Error()
}

func (o *Options) row(f *finding.Finding) []string {
	var high, wide, b, bay, byHeight string
	if f.Depth != nil {
		high = words.Up(f.Depth.Vertical)
		if f.Depth.Sideways != nil {
			wide = words.Up(*f.Depth.Sideways)
		}
	}
	if f.B != nil {
		b = *f.B
	}
	if f.Bay != nil {
		bay = *f.Bay
	}
	if f.ByHeight {
		byHeight = "yes"
	}
	return []string{
		Text(f.ID), o.number(f), Text(string(f.Kind)), Text(f.Storey), Text(bay),
		Text(f.At.Where), words.Near(f.At.Level), words.Near(f.At.X), words.Near(f.At.Y),
		Text(f.A), Text(f.ATrade), Text(f.ARun), Text(f.ARow),
		Text(b), Text(f.BTrade), Text(f.BRun), Text(f.BRow),
		words.Down(f.Gap), high, wide, words.Up(f.Asked), words.Up(f.Short),
		Text(f.SideWords()), Text(f.Rule), Text(string(f.Basis)),
		Text(f.GivesWay), Text(words.Moves(f)), Text(words.Also(f)), byHeight, Text(words.Note(f)),
	}
}

// number is a plain number: a spreadsheet reads it as one and runs nothing.
var number = regexp.MustCompile(`^[+-]?[0-9]+([.,][0-9]+)?$`)

// Text returns the text of a cell so that no spreadsheet runs it: signs that do not print are
// replaced, and what begins like a formula (= + - @, also full width, a tab or a line end) gets an
// apostrophe in front, unless it is a plain number.
func Text(s string) string {
	t := words.Clean(s)
	if number.MatchString(t) {
		return t
	}
	if strings.HasPrefix(s, "\t") || strings.HasPrefix(s, "\r") || strings.HasPrefix(s, "\n") {
		return "'" + t
	}
	for _, sign := range []string{"=", "+", "-", "@", "＝", "＋", "－", "＠"} {
		if strings.HasPrefix(t, sign) {
			return "'" + t
		}
	}
	return t
}

// DoubtColumns returns the header of the table of what may not fit once built, in order. Lengths are whole millimetres: what
// is left down, below nothing too; what is asked and taken off up; places and levels to the nearest.
func DoubtColumns() []string {
	return []string{
		"storey", "bay", "place", "level", "x", "y",
		"upper", "upper trade", "upper run", "upper row", // the higher of the two, with file:line
		"lower", "lower trade", "lower run", "lower row",
		"as drawn", "at worst", "by rss", // what is clear: as drawn, at the worst case, by the root of the sum of squares
		"asked", "rule", "basis",
		"tolerances",         // each with its zone, and where it comes from
		"comes down", "beam", // by how much the beam brings the upper down, and which
		"beam row", "beam span", // file:line; mm
		"by height", // yes: only heights are known
		"note",
		"finding", // the id that a finding between the two has
	}
}

// Doubts writes what may not fit once built, in the order of the record. With none the header stands alone.
func Doubts(w io.Writer, r *finding.Result, opt Options) error {
	if opt.BOM {
		if _, err := io.WriteString(w, "\ufeff"); err != nil {
			return err
		}
	}
	c := opt.writer(w)
	if err := c.Write(DoubtColumns()); err != nil {
		return err
	}
	for i := range r.Doubtful {
		if err := c.Write(doubtRow(&r.Doubtful[i])); err != nil {
			return err
		}
	}
	c.Flush()
	return c.Error()
}

func doubtRow(d *finding.Doubt) []string {
	var bay, byHeight, down, beam, beamRow, span string
	if d.Bay != nil {
		bay = *d.Bay
	}
	if d.ByHeight {
		byHeight = "yes"
	}
	if c := d.ComesDown; c != nil {
		down, beam, beamRow, span = words.Up(c.By), c.Beam, c.Row, words.Near(c.Span)
	}
	var off []string
	for _, t := range d.Tolerances {
		from := t.From
		if t.Default != "" {
			from = "default for " + t.Default
		}
		off = append(off, words.Clean(t.Of)+" "+words.Up(t.MM)+" ("+words.Clean(from)+")")
	}
	return []string{
		Text(d.Storey), Text(bay), Text(d.At.Where), words.Near(d.At.Level), words.Near(d.At.X), words.Near(d.At.Y),
		Text(d.Upper), Text(d.UpperTrade), Text(d.UpperRun), Text(d.UpperRow),
		Text(d.Lower), Text(d.LowerTrade), Text(d.LowerRun), Text(d.LowerRow),
		words.Down(d.Drawn), words.Down(d.Worst), words.Down(d.RSS),
		words.Up(d.Asked), Text(d.Rule), Text(string(d.Basis)), Text(strings.Join(off, "; ")),
		down, Text(beam), Text(beamRow), span, byHeight, Text(d.Note), Text(d.ID),
	}
}

// Table writes a table of reference: its heads in lower case, then its rows.
func Table(w io.Writer, t words.Table, opt Options) error {
	c := opt.writer(w)
	var heads []string
	for _, h := range t.Columns {
		heads = append(heads, strings.ToLower(h.Head))
	}
	rows := append([][]string{heads}, t.Rows...)
	for _, r := range rows {
		cells := make([]string, len(r))
		for i, v := range r {
			cells[i] = Text(v)
		}
		if err := c.Write(cells); err != nil {
			return err
		}
	}
	c.Flush()
	return c.Error()
}

// Closings writes what is said of every bay before its ceiling is closed, with blank columns for what people sign.
func Closings(w io.Writer, cs []register.Closing, opt Options) error {
	if opt.BOM {
		if _, err := io.WriteString(w, "\ufeff"); err != nil {
			return err
		}
	}
	c := opt.writer(w)
	head := []string{"storey", "bay", "ceiling", "open problems", "agreed problems", "agreed by", "holes without an opening", "joints to put right", "surveyed", "surveyed on"}
	for _, s := range words.SignedBySite() {
		head = append(head, strings.ToLower(s))
	}
	if err := c.Write(head); err != nil {
		return err
	}
	for i := range cs {
		k := &cs[i]
		ceiling := "yes"
		if k.NoCeiling {
			ceiling = "none given"
		}
		var holes []string
		for _, h := range k.Holes {
			holes = append(holes, words.HoleName(h))
		}
		surveyed := "no"
		if len(k.Surveyed) > 0 {
			surveyed = strings.Join(k.Surveyed, ", ")
		}
		row := []string{
			Text(k.Storey), Text(k.Bay), ceiling, strconv.Itoa(k.Open), strconv.Itoa(k.Agreed), Text(strings.Join(k.AgreedBy, ", ")),
			strings.Join(holes, ", "), strconv.Itoa(k.Joints), surveyed, Text(k.Day),
		}
		if err := c.Write(append(row, make([]string, len(words.SignedBySite()))...)); err != nil {
			return err
		}
	}
	c.Flush()
	return c.Error()
}
