// Package sheet writes the findings of a check as CSV for spreadsheets: one row a finding, commas,
// CRLF, whole millimetres rounded as in the printed answer.
package sheet

import (
	"encoding/csv"
	"io"
	"regexp"
	"strings"

	"voidline/clash"
	"voidline/reports/words"
)

// Options says how to write.
type Options struct {
	BOM bool // put a byte order mark first: some spreadsheets take a file for UTF-8 only then
}

// Columns returns the header, in order. Lengths are whole millimetres: gap down; asked, short, the
// overlap and moves up; places and levels to the nearest. An empty cell: there is none, or not known.
func Columns() []string {
	return []string{
		"finding", // id
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
func Check(w io.Writer, r *clash.Result, opt Options) error {
	if opt.BOM {
		if _, err := io.WriteString(w, "\ufeff"); err != nil {
			return err
		}
	}
	c := csv.NewWriter(w)
	c.UseCRLF = true
	if err := c.Write(Columns()); err != nil {
		return err
	}
	for i := range r.Findings {
		if err := c.Write(row(&r.Findings[i])); err != nil {
			return err
		}
	}
	c.Flush()
	return c.Error()
}

func row(f *clash.Finding) []string {
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
		Text(f.ID), Text(string(f.Kind)), Text(f.Storey), Text(bay),
		Text(f.At.Where), words.Near(f.At.Level), words.Near(f.At.X), words.Near(f.At.Y),
		Text(f.A), Text(f.ATrade), Text(f.ARun), Text(f.ARow),
		Text(b), Text(f.BTrade), Text(f.BRun), Text(f.BRow),
		words.Down(f.Gap), high, wide, words.Up(f.Asked), words.Up(f.Short),
		Text(f.Side), Text(f.Rule), Text(f.Basis),
		Text(f.GivesWay), Text(words.Moves(f)), Text(words.Also(f)), byHeight, Text(f.Note),
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
