// Package register keeps a building's findings from week to week: which are open, agreed, cleared or back,
// since when, and whose they are. It works on the rows of a register as text; it knows no file and no clock.
//
// # States
//
//	open      found, and found at every check since
//	agreed    found, and everyone lets it stand: a person wrote so, with a reason and a name
//	cleared   found once, not found now
//	back      cleared once and there again; or worse than agreed by more than the touch tolerance
//
// A person writes agreed; the other three the program writes. An agreement carries the amount agreed, in
// the column agreed; left blank, it is the amount that stood in the register when it was agreed to. Agreed
// without a reason or without a name counts as open, and is told.
//
// # Whose cells are whose
//
// Columns say who writes them (Column.People). A cell that a person wrote is never changed; a blank one of
// theirs is filled in three cases: the amount of an agreement, and the due date and the owner that came home in an
// exchange file. Rows that do not begin with the id of a finding are people's own.
//
// # What identifies a finding
//
// Its id (finding.ID), which hangs on the ids of the two zones. When a zone is renamed or its row cut
// in two, the id changes; then rows whose finding is gone are matched with findings that no row knows, by
// run, trade, kind and place (match.go). What was matched so stands in the column matched, for a person to
// confirm; "no" in the column confirm parts the two again.
package register

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// State is what a finding is in the register.
type State string

// The states.
const (
	Open    State = "open"
	Agreed  State = "agreed"
	Cleared State = "cleared"
	Back    State = "back"
)

// ParseState reads a state as people write it: case and blanks at the ends do not count. Blank text and
// words that are no state give false.
func ParseState(text string) (State, bool) {
	switch s := State(strings.ToLower(strings.TrimSpace(text))); s {
	case Open, Agreed, Cleared, Back:
		return s, true
	}
	return "", false
}

// Column is a column of the register.
type Column int

// The columns in the order in which a new register has them.
const (
	ColFinding  Column      = iota // id
	ColState                       // a state; people write agreed, and may write any word
	ColStorey                      // as in the finding
	ColBay                         // "" outside every bay
	ColPlace                       // in words, by the grid
	ColLevel                       // above the storey's FFL, whole mm
	ColKind                        // overlap, tight, access
	ColShort                       // the shortfall in whole mm, up, as reports tell it
	ColOwner                       // whose it is to settle
	ColDue                         // by when
	ColAction                      // what is to be done
	ColReason                      // why it may stand
	ColAgreed                      // the amount agreed, mm
	ColAgreedBy                    // name
	ColRaised                      // when and by whom it was raised
	ColQuery                       // number of the query to the designer
	ColFirst                       // date first seen
	ColLast                        // date last seen
	ColHistory                     // when its state changed: 2026-03-02 open; 2026-03-09 cleared
	ColAnswers                     // what came home in exchange files
	ColMatched                     // what it was matched with, by run, kinds and place
	ColConfirm                     // yes or no to that
	ColA                           // zone id
	ColATrade                      //
	ColARun                        //
	ColAKind                       //
	ColB                           // zone id, "" where there is none
	ColBTrade                      //
	ColBRun                        //
	ColBKind                       //
	ColX                           // plan and height above the project datum, whole mm
	ColY                           //
	ColZ                           //
	ColumnCount = int(iota)        // how many there are
)

var columns = [ColumnCount]struct {
	heading string
	people  bool
	says    string // what a cell holds
	like    string // an example
}{
	ColFinding:  {"finding", false, "the finding's id, which it keeps", "u4xs65josb57"},
	ColState:    {"state", false, "open, agreed, cleared, back; people write agreed, and may write any word", "open"},
	ColStorey:   {"storey", false, "the storey it is in", "Level 1"},
	ColBay:      {"bay", false, "the bay it is in; blank: outside every bay", "A-B/1-2"},
	ColPlace:    {"place", false, "where, by the grid", "B-1700, grid 2-2500"},
	ColLevel:    {"level", false, "its level above the storey's FFL, mm", "2776"},
	ColKind:     {"kind", false, "overlap, tight, access", "tight"},
	ColShort:    {"short", false, "needed less what there is, plus the depth of any overlap, mm", "24"},
	ColOwner:    {"owner", true, "who settles it", "MEP contractor"},
	ColDue:      {"due", true, "by when", "2026-03-16"},
	ColAction:   {"action", true, "what is to be done", "lift the run"},
	ColReason:   {"reason", true, "why it may stand; needed for agreed", "tile lifts from the next bay"},
	ColAgreed:   {"agreed", true, "the amount agreed, mm; blank: short as it was then", "24"},
	ColAgreedBy: {"agreed by", true, "who agreed; needed for agreed", "N. N."},
	ColRaised:   {"raised", true, "when and by whom it was raised", "2026-03-09 N. N."},
	ColQuery:    {"query number", true, "the number of the query to the designer", "RFI-12"},
	ColFirst:    {"first seen", false, "the day it was first found", "2026-03-02"},
	ColLast:     {"last seen", false, "the day it was last found", "2026-03-09"},
	ColHistory:  {"history", false, "when its state changed", "2026-03-02 open; 2026-03-09 cleared"},
	ColAnswers:  {"answers", false, "replies in exchange files", "2026-03-10 N. N.: will move"},
	ColMatched:  {"matched", false, "the earlier finding that it goes on as: of the same run, between the same kinds, at the same place", "jihej7hq72vi"},
	ColConfirm:  {"confirm", true, "yes or no to what it was matched with; no parts the two again", "yes"},
	ColA:        {"a", false, "the first of the two: the id of its row, or ceiling, soffit, supports of one", "BR1-02"},
	ColATrade:   {"a trade", false, "its trade", "containment"},
	ColARun:     {"a run", false, "its run", "BR1"},
	ColAKind:    {"a kind", false, "its kind", "basket"},
	ColB:        {"b", false, "the other; blank: there is none", "ceiling A-B/1-2"},
	ColBTrade:   {"b trade", false, "its trade", "ceilings"},
	ColBRun:     {"b run", false, "its run", ""},
	ColBKind:    {"b kind", false, "its kind", "ceiling"},
	ColX:        {"x", false, "its place in plan, mm to the east", "5500"},
	ColY:        {"y", false, "its place in plan, mm to the north", "3500"},
	ColZ:        {"z", false, "its height above the project datum, mm", "12776"},
}

// Says returns what a cell of the column holds, and an example.
func (c Column) Says() (what, like string) { return columns[c].says, columns[c].like }

// Heading returns what the column is called in a new register.
func (c Column) Heading() string { return columns[c].heading }

// People reports whether people write the column: what stands in it is never changed.
func (c Column) People() bool { return columns[c].people }

// ColumnOf returns the column of a heading; case, blanks, hyphens and underscores do not count.
func ColumnOf(heading string) (Column, bool) {
	h := plain(heading)
	for c := range columns {
		if plain(columns[c].heading) == h {
			return Column(c), true
		}
	}
	return 0, false
}

func plain(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsSpace(r) || unicode.Is(unicode.Pd, r) || r == '_' || !unicode.IsPrint(r) {
			return -1
		}
		return unicode.ToLower(r)
	}, s)
}

// Row is a row of the register: the texts of its cells by column, "" also for columns that the register
// does not have.
type Row struct {
	Line  int // in the file, from 1; 0 for a row that is not in it yet
	Cells [ColumnCount]string
}

// IsID reports whether text is the id of a finding: 12 letters of a to z and 2 to 7.
func IsID(text string) bool {
	if len(text) != 12 {
		return false
	}
	for _, r := range text {
		if (r < 'a' || r > 'z') && (r < '2' || r > '7') {
			return false
		}
	}
	return true
}

// Clean returns text as it stands in a cell that the program writes: on one line, blanks at the ends cut off,
// and what does not print (control characters, marks that turn the writing direction, bad UTF-8)
// replaced by U+FFFD.
func Clean(s string) string {
	var b strings.Builder
	blank := false
	for _, r := range s {
		switch {
		case unicode.IsSpace(r):
			blank = b.Len() > 0
			continue
		case !unicode.IsPrint(r):
			r = utf8.RuneError
		}
		if blank {
			b.WriteByte(' ')
			blank = false
		}
		b.WriteRune(r)
	}
	return b.String()
}
