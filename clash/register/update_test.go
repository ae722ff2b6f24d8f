package register_test

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"

	"voidline/clash/finding"
	"voidline/clash/register"
)

func to[T any](v T) *T { return &v }

// tight is a tight gap between two zones in bay A-B/1-2, short by so much.
func tight(a, b string, short float64) finding.Finding {
	f := finding.Finding{
		ID: finding.ID(strings.ToLower(a), strings.ToLower(b), ""), Kind: finding.Tight, A: a, B: &b, ATrade: "containment", BTrade: "ductwork",
		AKind: "tray", BKind: "duct", Bay: to("A-B/1-2"), At: finding.Spot{X: 1000, Y: 2000, Z: 6000, Level: 2800, Where: "A+1000, grid 1+2000"},
		Short: short, Asked: 150, Gap: 150 - short, GivesWay: a,
	}
	return f
}

func result(fs ...finding.Finding) *finding.Result { return &finding.Result{Findings: fs} }

func row(cells map[register.Column]string) register.Row {
	var r register.Row
	for c, s := range cells {
		r.Cells[c] = s
	}
	return r
}

func update(t *testing.T, rows []register.Row, res *finding.Result, date register.Date) *register.Outcome {
	t.Helper()
	o, err := register.Update(rows, res, register.Options{Date: date, Touch: 1})
	if err != nil {
		t.Fatal(err)
	}
	return o
}

const (
	week1 = register.Date("2026-03-02")
	week2 = register.Date("2026-03-09")
	week3 = register.Date("2026-03-16")
	week4 = register.Date("2026-03-23")
)

// TestStates goes from a state, as written, to the next: design.md, Words, and what an agreement carries.
func TestStates(t *testing.T) {
	f := tight("T-1", "D-1", 40)
	agreement := func(amount string) map[register.Column]string {
		return map[register.Column]string{
			register.ColState: "agreed", register.ColReason: "lifted out once", register.ColAgreedBy: "J. Nowak", register.ColAgreed: amount,
		}
	}
	with := func(m map[register.Column]string, c register.Column, s string) map[register.Column]string {
		m[c] = s
		return m
	}
	for _, test := range []struct {
		name   string
		cells  map[register.Column]string
		found  bool
		state  register.State
		cell   string
		agreed string
	}{
		{"blank and gone", nil, false, register.Cleared, "cleared", ""},
		{"blank and found", nil, true, register.Open, "open", ""},
		{"open and found", map[register.Column]string{register.ColState: "open"}, true, register.Open, "open", ""},
		{"open and gone", map[register.Column]string{register.ColState: "open"}, false, register.Cleared, "cleared", ""},
		{"cleared and gone", map[register.Column]string{register.ColState: "cleared"}, false, register.Cleared, "cleared", ""},
		{"cleared and found", map[register.Column]string{register.ColState: "cleared"}, true, register.Back, "back", ""},
		{"back and found", map[register.Column]string{register.ColState: "back"}, true, register.Back, "back", ""},
		{"back and gone", map[register.Column]string{register.ColState: "back"}, false, register.Cleared, "cleared", ""},
		{"written in another case", map[register.Column]string{register.ColState: " Open "}, true, register.Open, " Open ", ""},
		{"agreed, amount blank", agreement(""), true, register.Agreed, "agreed", "40"},
		{"agreed, what was seen then was less", with(agreement(""), register.ColShort, "30"), true, register.Back, "back", "30"},
		{"agreed, just as much", agreement("40"), true, register.Agreed, "agreed", "40"},
		{"agreed, worse by the tolerance", agreement("39"), true, register.Agreed, "agreed", "39"},
		{"agreed, worse by more", agreement("38.9"), true, register.Back, "back", "38.9"},
		{"agreed with a comma", agreement("39,5 mm"), true, register.Agreed, "agreed", "39,5 mm"},
		{"agreed, better now", agreement("60"), true, register.Agreed, "agreed", "60"},
		{"agreed and gone", agreement("40"), false, register.Cleared, "cleared", "40"},
		{"agreed without a name", with(agreement("40"), register.ColAgreedBy, " "), true, register.Open, "agreed", "40"},
		{"agreed without a reason", with(agreement(""), register.ColReason, ""), true, register.Open, "agreed", ""},
		{"agreed, amount not to be read", agreement("some"), true, register.Open, "agreed", "some"},
		{"a word of their own", map[register.Column]string{register.ColState: "on hold"}, true, register.Open, "on hold", ""},
		{"a word of their own, gone", map[register.Column]string{register.ColState: "on hold"}, false, register.Cleared, "on hold", ""},
		{"a word over what was back", map[register.Column]string{register.ColState: "on hold", register.ColHistory: "2026-02-02 open; 2026-02-09 cleared; 2026-02-16 back"}, true, register.Back, "on hold", ""},
		{"blanked over what was cleared", map[register.Column]string{register.ColHistory: "2026-02-02 open; 2026-02-09 cleared"}, true, register.Back, "back", ""},
		{"opened by hand over what was cleared", map[register.Column]string{register.ColState: "open", register.ColHistory: "2026-02-02 open; 2026-02-09 cleared"}, true, register.Back, "back", ""},
	} {
		r := row(test.cells)
		r.Cells[register.ColFinding] = f.ID
		res := result()
		if test.found {
			res = result(f)
		}
		o := update(t, []register.Row{r}, res, week1)
		if len(o.Rows) != 1 || len(o.Entries) != 1 {
			t.Errorf("%s: %d rows, %d entries, want one of each", test.name, len(o.Rows), len(o.Entries))
			continue
		}
		c := o.Rows[0].Cells
		if o.Entries[0].State != test.state || c[register.ColState] != test.cell || c[register.ColAgreed] != test.agreed {
			t.Errorf("%s: state %q, cell %q, agreed %q, want %q, %q, %q", test.name, o.Entries[0].State, c[register.ColState], c[register.ColAgreed], test.state, test.cell, test.agreed)
		}
		again := update(t, o.Rows, res, week1)
		if d := cmp.Diff(o.Rows, again.Rows); d != "" {
			t.Errorf("%s: a second update on one day (-first +second):\n%s", test.name, d)
		}
		if o.Entries[0].News != again.Entries[0].News && test.cells[register.ColState] != "on hold" {
			t.Errorf("%s: news %q, and %q when updated again", test.name, o.Entries[0].News, again.Entries[0].News)
		}
	}
}

func TestNewsAndDates(t *testing.T) {
	f, g := tight("T-1", "D-1", 40), tight("T-2", "D-2", 30)
	o := update(t, nil, result(f), week1)
	if e := o.Entries[0]; e.News != register.IsNew || e.First != week1 || e.Last != week1 || e.Was != "" {
		t.Errorf("first week: %+v", e)
	}
	o = update(t, o.Rows, result(f, g), week2)
	if a, b := o.Entries[0], o.Entries[1]; a.News != register.StillOpen || a.First != week1 || a.Last != week2 || b.News != register.IsNew {
		t.Errorf("second week: %+v\n%+v", a, b)
	}
	o = update(t, o.Rows, result(g), week3)
	if a := o.Entries[0]; a.News != register.IsCleared || a.Was != register.Open || a.Last != week2 {
		t.Errorf("third week: %+v", a)
	}
	o = update(t, o.Rows, result(f, g), week4)
	if a := o.Entries[0]; a.News != register.IsBack || a.First != week1 || a.Last != week4 {
		t.Errorf("fourth week: %+v", a)
	}
	if got, want := o.Rows[0].Cells[register.ColHistory], "2026-03-02 open; 2026-03-16 cleared; 2026-03-23 back"; got != want {
		t.Errorf("history %q, want %q", got, want)
	}
	want := []register.Week{
		{End: "2026-02-23"},
		{End: week1, Open: 1, New: 1},
		{End: week2, Open: 2, New: 1},
		{End: week3, Open: 1, Cleared: 1},
		{End: week4, Open: 1, Back: 1},
	}
	if d := cmp.Diff(want, register.Trend(o.Entries, week4, 5)); d != "" {
		t.Errorf("Trend (-want +got):\n%s", d)
	}
	// A check dated earlier sets nothing back.
	o = update(t, o.Rows, result(f, g), week2)
	if c := o.Rows[0].Cells; c[register.ColLast] != string(week4) || c[register.ColHistory] != "2026-03-02 open; 2026-03-16 cleared; 2026-03-23 back" {
		t.Errorf("dated earlier: %q, %q", c[register.ColLast], c[register.ColHistory])
	}
}

func TestUpdateRefuses(t *testing.T) {
	narrowed := result()
	narrowed.Filter = "bay A"
	if _, err := register.Update(nil, narrowed, register.Options{Date: week1}); !errors.Is(err, register.ErrNarrowed) {
		t.Errorf("a narrowed answer: %v", err)
	}
	for _, d := range []register.Date{"", "9.3.2026", "2026-02-30", "today"} {
		if _, err := register.Update(nil, result(), register.Options{Date: d}); !errors.Is(err, register.ErrNoDate) {
			t.Errorf("date %q: %v", d, err)
		}
	}
}

func TestMissingRowsClearNothing(t *testing.T) {
	o := update(t, nil, result(tight("T-1", "D-1", 40)), week1)
	res := result()
	res.RowsMissing = 2
	o = update(t, o.Rows, res, week2)
	if e := o.Entries[0]; e.State != register.Open || e.News != register.NotChecked || o.Rows[0].Cells[register.ColState] != "open" {
		t.Errorf("%+v", e)
	}
	if len(o.Told) != 1 || !strings.Contains(o.Told[0].Text, "2 rows of the project are missing") {
		t.Errorf("told %v", o.Told)
	}
}

func TestRowsThatAreNotKnownStay(t *testing.T) {
	f := tight("T-1", "D-1", 40)
	own := row(map[register.Column]string{register.ColFinding: "M-7", register.ColState: "open", register.ColReason: "walls not drawn"})
	twin := row(map[register.Column]string{register.ColFinding: f.ID, register.ColOwner: "copy"})
	o := update(t, []register.Row{own, row(map[register.Column]string{register.ColFinding: f.ID}), twin}, result(f), week1)
	if len(o.Rows) != 3 || o.Rows[0] != own || o.Rows[2] != twin {
		t.Errorf("%+v", o.Rows)
	}
	if len(o.Told) != 1 || o.Told[0].Row != 2 {
		t.Errorf("told %v", o.Told)
	}
}

// moved returns the finding elsewhere, with runs.
func moved(f finding.Finding, dx, dz float64, aRun, bRun string) finding.Finding {
	f.At.X += dx
	f.At.Z += dz
	f.ARun, f.BRun = aRun, bRun
	return f
}

func TestMatch(t *testing.T) {
	base := tight("T-1", "D-1", 40)
	for _, test := range []struct {
		name     string
		old, new finding.Finding
		still    string // a zone that the project still has
		match    bool
	}{
		{"renamed", base, tight("T-9", "D-1", 40), "", true},
		{"renamed, a and b changed about", base, func() finding.Finding {
			f := tight("D-1", "T-9", 40)
			f.ATrade, f.BTrade, f.AKind, f.BKind = f.BTrade, f.ATrade, f.BKind, f.AKind
			return f
		}(), "", true},
		{"both renamed", base, tight("T-9", "D-9", 40), "", true},
		{"both renamed, 1 m away", base, moved(tight("T-9", "D-9", 40), 1000, 0, "", ""), "", true},
		{"both renamed, more than 1 m away", base, moved(tight("T-9", "D-9", 40), 1001, 0, "", ""), "", false},
		{"renamed, another level", base, moved(tight("T-9", "D-1", 40), 0, 501, "", ""), "", false},
		{"renamed, 3 m away in the bay", base, moved(tight("T-9", "D-1", 40), 3000, 0, "", ""), "", true},
		{"renamed, more than 3 m away", base, moved(tight("T-9", "D-1", 40), 3001, 0, "", ""), "", false},
		{"a run cut, far away in the bay", moved(base, 0, 0, "R1", "S1"), moved(tight("T-9", "D-1", 40), 9000, 0, "R1", "S1"), "", true},
		{"a run cut, the old row is still there", moved(base, 0, 0, "R1", "S1"), moved(tight("T-9", "D-1", 40), 900, 0, "R1", "S1"), "T-1", true},
		{"a run, far away, the old row is still there", moved(base, 0, 0, "R1", "S1"), moved(tight("T-9", "D-1", 40), 1900, 0, "R1", "S1"), "T-1", false},
		{"another run", moved(base, 0, 0, "R1", ""), moved(tight("T-9", "D-1", 40), 0, 0, "R2", ""), "", false},
		{"no run, the old row is still there", base, tight("T-9", "D-1", 40), "T-1", false},
		{"another trade", base, func() finding.Finding { f := tight("T-9", "D-1", 40); f.ATrade = "pipework"; return f }(), "", false},
		{"another kind of thing", base, func() finding.Finding { f := tight("T-9", "D-1", 40); f.AKind = "ladder"; return f }(), "", false},
		{"tight turned overlap", base, func() finding.Finding { f := tight("T-9", "D-1", 40); f.Kind = finding.Overlap; return f }(), "", true},
		{"access is another thing", base, func() finding.Finding { f := tight("T-9", "D-1", 40); f.Kind = finding.Access; return f }(), "", false},
		{"another storey", base, func() finding.Finding { f := tight("T-9", "D-1", 40); f.Storey = "L2"; return f }(), "", false},
		{"one of them has no second zone", base, func() finding.Finding { f := tight("T-9", "D-1", 40); f.B, f.BTrade, f.BKind = nil, "", ""; return f }(), "", false},
	} {
		o := update(t, nil, result(test.old), week1)
		o.Rows[0].Cells[register.ColOwner] = "me"
		o, err := register.Update(o.Rows, result(test.new), register.Options{Date: week2, Touch: 1, Zone: func(id string) bool { return id == test.still }})
		if err != nil {
			t.Fatal(err)
		}
		if matched := len(o.Rows) == 1; matched != test.match || len(o.Matched) != 2-len(o.Rows) {
			t.Errorf("%s: matched %v, want %v (%d told of)", test.name, matched, test.match, len(o.Matched))
			continue
		}
		if !test.match {
			continue
		}
		c := o.Rows[0].Cells
		if c[register.ColFinding] != test.new.ID || c[register.ColOwner] != "me" || !strings.HasPrefix(c[register.ColMatched], "was "+test.old.ID+": T-1 / D-1 (") || !o.Entries[0].Unconfirmed {
			t.Errorf("%s: %+v", test.name, o.Rows[0])
		}
		cmped, err := register.Compare(result(test.old), result(test.new), register.CompareOptions{Touch: 1, Zone: func(id string) bool { return id == test.still }})
		if err != nil || len(cmped.Changes) != 1 || !cmped.Changes[0].Matched || cmped.Changes[0].Turn != register.TurnSame {
			t.Errorf("%s: Compare: %+v, %v", test.name, cmped.Changes, err)
		}
	}
}

func TestMatchTakesWhatSharesAZone(t *testing.T) {
	// Two are gone, one is new: nearer to the first, but it shares a zone with the second.
	first, second := tight("T-1", "D-1", 40), moved(tight("T-2", "D-2", 40), 600, 0, "", "")
	now := moved(tight("T-9", "D-2", 40), 100, 0, "", "")
	o := update(t, nil, result(first, second), week1)
	o = update(t, o.Rows, result(now), week2)
	if len(o.Rows) != 2 || o.Rows[1].Cells[register.ColFinding] != now.ID || o.Rows[0].Cells[register.ColState] != "cleared" {
		t.Errorf("%+v", o.Rows)
	}
}

// TestMatchGoesOnBehindARowWithoutAPlace: somebody took the place out of the first row; the second is matched all the same.
func TestMatchGoesOnBehindARowWithoutAPlace(t *testing.T) {
	first, second := tight("T-1", "D-1", 40), tight("T-2", "D-2", 40)
	o := update(t, nil, result(first, second), week1)
	o.Rows[0].Cells[register.ColX] = ""
	if o := update(t, o.Rows[:1], result(tight("T-9", "D-1", 40)), week2); len(o.Rows) != 2 {
		t.Errorf("a row without a place is matched: %+v", o.Rows)
	}
	now := tight("T-9", "D-2", 40)
	o = update(t, o.Rows, result(now), week2)
	if len(o.Rows) != 2 || o.Rows[0].Cells[register.ColFinding] != first.ID || o.Rows[1].Cells[register.ColFinding] != now.ID {
		t.Errorf("%+v", o.Rows)
	}
}

// TestMatchOfOneZone: what has no second zone is told by its one name.
func TestMatchOfOneZone(t *testing.T) {
	alone := func(id string) finding.Finding {
		f := tight(id, "", 40)
		f.B, f.BTrade, f.BKind = nil, "", ""
		return f
	}
	old, now := alone("T-1"), alone("T-9")
	o := update(t, nil, result(old), week1)
	o = update(t, o.Rows, result(now), week2)
	want := "was " + old.ID + ": T-1 (2026-03-09)"
	if len(o.Rows) != 1 || o.Rows[0].Cells[register.ColMatched] != want {
		t.Errorf("%+v, want matched %q", o.Rows, want)
	}
}

func TestClearedRowsAreNotMatched(t *testing.T) {
	o := update(t, nil, result(tight("T-1", "D-1", 40)), week1)
	o = update(t, o.Rows, result(), week2)
	o = update(t, o.Rows, result(tight("T-9", "D-1", 40)), week3)
	if len(o.Rows) != 2 || o.Entries[0].State != register.Cleared || o.Entries[1].News != register.IsNew {
		t.Errorf("%+v", o.Entries)
	}
}

func TestDatesThatStandStay(t *testing.T) {
	f := tight("T-1", "D-1", 40)
	r := row(map[register.Column]string{register.ColFinding: f.ID, register.ColFirst: "2.2.2026", register.ColLast: "2.3.2026"})
	o := update(t, []register.Row{r}, result(f), week1)
	if c, e := o.Rows[0].Cells, o.Entries[0]; c[register.ColFirst] != "2.2.2026" || c[register.ColLast] != "2.3.2026" || e.First != "2026-02-02" || e.Last != week1 {
		t.Errorf("%q, %+v", c, e)
	}
	// Where nobody wrote when it was first seen, the history says it.
	r.Cells[register.ColFirst], r.Cells[register.ColHistory] = "", "2026-02-09 open"
	if e := update(t, []register.Row{r}, result(f), week1).Entries[0]; e.First != "2026-02-09" {
		t.Errorf("first seen %q, want the day of the history", e.First)
	}
	r.Cells[register.ColHistory] = ""
	r.Cells[register.ColFirst] = "03/02/2026"
	o = update(t, []register.Row{r}, result(f), week1)
	if c := o.Rows[0].Cells; c[register.ColFirst] != "03/02/2026" || len(o.Told) != 1 || !strings.Contains(o.Told[0].Text, "cannot be read as a day") {
		t.Errorf("%q, told %v", c, o.Told)
	}
}

// BenchmarkUpdate brings a register of 20,000 findings up to date after every zone of one trade was renamed.
func BenchmarkUpdate(b *testing.B) {
	var old, now finding.Result
	for i := range 20000 {
		f := tight(fmt.Sprint("T-", i), fmt.Sprint("D-", i), 40)
		f.Bay = to(fmt.Sprint("B", i/50))
		f.At.X, f.At.Y = float64(i%200)*2500, float64(i/200)*2500
		old.Findings = append(old.Findings, f)
		f.A = fmt.Sprint("TRAY-", i)
		f.ID = finding.ID(strings.ToLower(f.A), strings.ToLower(*f.B), "")
		now.Findings = append(now.Findings, f)
	}
	start, err := register.Update(nil, &old, register.Options{Date: week1, Touch: 1})
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		o, err := register.Update(start.Rows, &now, register.Options{Date: week2, Touch: 1})
		if err != nil || len(o.Matched) != 20000 {
			b.Fatal(len(o.Matched), err)
		}
	}
}

func TestMatchTellsTheOtherPart(t *testing.T) {
	old := moved(tight("T-1", "D-1", 40), 0, 0, "R1", "")
	first, second := moved(tight("T-1a", "D-1", 40), -500, 0, "R1", ""), moved(tight("T-1b", "D-1", 35), 900, 0, "R1", "")
	o := update(t, nil, result(old), week1)
	o = update(t, o.Rows, result(second, first), week2)
	if len(o.Rows) != 2 || o.Rows[0].Cells[register.ColFinding] != first.ID {
		t.Fatalf("%+v", o.Rows)
	}
	if got, want := o.Rows[1].Cells[register.ColMatched], "may be another part of "+first.ID; got != want || !o.Entries[1].Unconfirmed {
		t.Errorf("matched %q, want %q", got, want)
	}
}

func TestConfirm(t *testing.T) {
	old, new := tight("T-1", "D-1", 40), tight("T-9", "D-1", 40)
	o := update(t, nil, result(old), week1)
	o.Rows[0].Cells[register.ColOwner] = "me"
	o = update(t, o.Rows, result(new), week2)
	yes := o.Rows
	yes[0].Cells[register.ColConfirm] = "Yes"
	if o := update(t, yes, result(new), week3); o.Entries[0].Unconfirmed || len(o.Rows) != 1 {
		t.Errorf("confirmed: %+v", o.Entries)
	}
	no := []register.Row{yes[0]}
	no[0].Cells[register.ColConfirm] = "no"
	for range 2 { // parted once, and for good
		o = update(t, no, result(new), week3)
		if len(o.Rows) != 2 {
			t.Fatalf("%+v", o.Rows)
		}
		a, b := o.Rows[0].Cells, o.Rows[1].Cells
		if a[register.ColFinding] != old.ID || a[register.ColA] != "T-1" || a[register.ColB] != "D-1" || a[register.ColState] != "cleared" || a[register.ColOwner] != "me" {
			t.Errorf("the old row: %q", a)
		}
		if b[register.ColFinding] != new.ID || b[register.ColState] != "open" || b[register.ColOwner] != "" {
			t.Errorf("the new row: %q", b)
		}
		no = o.Rows
	}
}

// Of two rows that go on under other names the second alone is parted; the first, of which nobody said anything, stays.
func TestConfirmNoInSecondRow(t *testing.T) {
	old1, old2 := tight("T-1", "D-1", 40), tight("T-2", "D-2", 40)
	new1, new2 := tight("T-8", "D-1", 40), tight("T-9", "D-2", 40)
	o := update(t, nil, result(old1, old2), week1)
	o = update(t, o.Rows, result(new1, new2), week2)
	if len(o.Rows) != 2 || o.Rows[0].Cells[register.ColFinding] != new1.ID || o.Rows[1].Cells[register.ColFinding] != new2.ID {
		t.Fatalf("%+v", o.Rows)
	}
	o.Rows[1].Cells[register.ColConfirm] = "no"
	o = update(t, o.Rows, result(new1, new2), week3)
	var got [][2]string
	for _, r := range o.Rows {
		got = append(got, [2]string{r.Cells[register.ColFinding], r.Cells[register.ColState]})
	}
	if want := [][2]string{{new1.ID, "open"}, {old2.ID, "cleared"}, {new2.ID, "open"}}; !slices.Equal(got, want) {
		t.Errorf("rows %q, want %q", got, want)
	}
}

func TestParseDate(t *testing.T) {
	for _, test := range []struct {
		text string
		want register.Date
	}{
		{"2026-03-09", week2},
		{" 2026/3/9 ", week2},
		{"09.03.2026", week2},
		{"9 Mar 2026", week2},
		{"09-Mar-26", week2},
		{"March 9, 2026", week2},
		{"2026-03-09T23:59:59+02:00", week2},
		{"2026-03-09 00:00:00", week2},
		{"23/03/2026", week4},
		{"3/23/2026", week4},
		{"05/05/2026", "2026-05-05"},
		{"09/03/2026", ""}, // 9 March or 3 September
		{"12/03/2026", ""}, // 12 March or 3 December: 12 is the last that may be a month
		{"03/12/2026", ""},
		{"13/03/2026", "2026-03-13"}, // there is no 13th month
		{"03/13/2026", "2026-03-13"},
		{"12/12/2026", "2026-12-12"},
		{"2026-02-30", ""},
		{"2024-02-29", "2024-02-29"},
		{"46090", ""},
		{"", ""},
		{"next week", ""},
	} {
		if got, ok := register.ParseDate(test.text); got != test.want || ok != (test.want != "") {
			t.Errorf("ParseDate(%q) = %q, %v, want %q", test.text, got, ok, test.want)
		}
	}
}

func TestParseHistory(t *testing.T) {
	for _, test := range []struct {
		text string
		n    int
		ok   bool
	}{
		{"", 0, true},
		{"2026-03-02 open", 1, true},
		{"2026-03-02 open; 2026-03-02 cleared;  2026-03-09 Back", 3, true},
		{"open", 0, false},
		{"2026-03-09 open; 2026-03-02 back", 0, false},
		{"2026-03-09 lost", 0, false},
		{"2026-03-09 open;", 0, false},
	} {
		if got, ok := register.ParseHistory(test.text); len(got) != test.n || ok != test.ok {
			t.Errorf("ParseHistory(%q) = %v, %v, want %d events, %v", test.text, got, ok, test.n, test.ok)
		}
	}
	// A history that cannot be read stays, and the state still goes on.
	f := tight("T-1", "D-1", 40)
	r := row(map[register.Column]string{register.ColFinding: f.ID, register.ColState: "cleared", register.ColHistory: "see minutes"})
	o := update(t, []register.Row{r}, result(f), week1)
	if c := o.Rows[0].Cells; c[register.ColHistory] != "see minutes" || c[register.ColState] != "back" || len(o.Told) != 1 {
		t.Errorf("%q, told %v", c, o.Told)
	}
}

func TestCompareTurns(t *testing.T) {
	same, worse, better, cleared := tight("T-1", "D-1", 40), tight("T-2", "D-2", 40), tight("T-3", "D-3", 40), tight("T-4", "D-4", 40)
	for i, f := range []*finding.Finding{&same, &worse, &better, &cleared} {
		f.At.X += 10000 * float64(i) // apart, so that nothing is taken for renamed
		f.Bay = nil
	}
	added, back := tight("T-5", "D-5", 10), tight("T-6", "D-6", 10)
	added.At.Y, back.At.Y, added.GivesWay = 1e6, 2e6, "D-5"
	nowSame, nowWorse, nowBetter := same, worse, better
	nowSame.Short, nowWorse.Short, nowBetter.Short = 41, 41.1, 38.9
	c, err := register.Compare(result(same, worse, better, cleared), result(back, nowBetter, added, nowWorse, nowSame),
		register.CompareOptions{Touch: 1, Knows: func(id string) bool { return id == back.ID }})
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, ch := range c.Changes {
		got = append(got, string(ch.Turn)+" "+ch.Finding().A)
	}
	want := []string{"new T-5", "back T-6", "worse T-2", "same T-1", "better T-3", "cleared T-4"}
	if d := cmp.Diff(want, got); d != "" {
		t.Errorf("changes (-want +got):\n%s", d)
	}
	if by := c.Changes[2].By; math.Abs(by-(41.1-40)) > 1e-9 {
		t.Errorf("worse by %v, want 1.1", by)
	}
	trades := []register.TradeTurns{
		{Trade: "containment", Back: 1, Worse: 1, Same: 1, Better: 1, Clear: 1},
		{Trade: "ductwork", New: 1},
	}
	if d := cmp.Diff(trades, c.ByTrade); d != "" || !c.Worse() {
		t.Errorf("by trade (-want +got):\n%s", d)
	}
	narrowed := result()
	narrowed.Filter = "bay A"
	if _, err := register.Compare(result(), narrowed, register.CompareOptions{}); !errors.Is(err, register.ErrUnlike) {
		t.Errorf("one narrowed: %v", err)
	}
}

func TestApply(t *testing.T) {
	f := tight("T-1", "D-1", 40)
	start := update(t, nil, result(f), week1).Rows
	answer := register.Answer{ID: f.ID, Status: "agreed", Due: week4, Assigned: "Zoë", Notes: []register.Note{
		{On: week2, Author: "J. Nowak", Text: "lifted out\nonce; no more"},
		{On: week1, Author: "A. Bell", Text: "=1+1"},
		{On: week1, Author: "A. Bell", Text: "=1+1"},
	}}
	rows, told := register.Apply(start, []register.Answer{answer, {ID: "aaaaaaaaaaaa", Status: "open"}})
	c := rows[0].Cells
	for _, test := range []struct {
		col  register.Column
		want string
	}{
		{register.ColState, "open"}, // a proposal, until somebody enters it
		{register.ColDue, "2026-03-23"},
		{register.ColOwner, "Zoë"},
		{register.ColReason, ""},
		{register.ColAgreedBy, ""},
		{register.ColAnswers, "2026-03-02 A. Bell: =1+1; 2026-03-09 J. Nowak: lifted out once, no more; status agreed"},
	} {
		if c[test.col] != test.want {
			t.Errorf("%s is %q, want %q", test.col.Heading(), c[test.col], test.want)
		}
	}
	if len(told) != 2 || told[1].ID != "aaaaaaaaaaaa" || !strings.Contains(told[0].Text, "a proposal") {
		t.Errorf("told %v", told)
	}
	again, _ := register.Apply(rows, []register.Answer{answer})
	if d := cmp.Diff(rows, again); d != "" {
		t.Errorf("the same answer once more (-first +second):\n%s", d)
	}
	if e := update(t, rows, result(f), week2).Entries[0]; e.State != register.Open || !e.Proposed || e.Owner != "Zoë" {
		t.Errorf("after the next check: %+v", e)
	}
	// An earlier agreement does not lend its name to a status.
	old := slices.Clone(start)
	old[0].Cells[register.ColReason], old[0].Cells[register.ColAgreedBy], old[0].Cells[register.ColAgreed] = "it was 10", "A. Bell", "10"
	old, _ = register.Apply(old, []register.Answer{{ID: f.ID, Status: "Agreed"}})
	if e := update(t, old, result(f), week2).Entries[0]; e.State != register.Open || !e.Proposed {
		t.Errorf("a status alone: %+v", e)
	}
	// Somebody enters it.
	rows[0].Cells[register.ColState], rows[0].Cells[register.ColReason], rows[0].Cells[register.ColAgreedBy] = "agreed", "it can stand", "A. Bell"
	if e := update(t, rows, result(f), week2).Entries[0]; e.State != register.Agreed || e.Agreed != 40 || e.Proposed {
		t.Errorf("entered: %+v", e)
	}
	// What a person wrote stands.
	start[0].Cells[register.ColDue] = "2026-04-01"
	start[0].Cells[register.ColOwner] = "ours"
	rows, told = register.Apply(start, []register.Answer{answer, {ID: f.ID, Status: "Closed"}, {ID: f.ID, Status: "cleared"}})
	if c := rows[0].Cells; c[register.ColDue] != "2026-04-01" || c[register.ColOwner] != "ours" || len(told) != 5 || !strings.HasSuffix(c[register.ColAnswers], "; status agreed; status Closed") || c[register.ColState] != "open" {
		t.Errorf("%q\ntold %v", c, told)
	}
	// A trade that may be the one it was sent to is no owner.
	rows, _ = register.Apply(update(t, nil, result(f), week1).Rows, []register.Answer{{ID: f.ID, Assigned: "Ductwork", Unsure: true}})
	if o := rows[0].Cells[register.ColOwner]; o != "" {
		t.Errorf("owner %q", o)
	}
	// A finding that is cleared goes out closed, and comes home so without a word.
	gone := update(t, rows, result(), week2).Rows
	if after, told := register.Apply(gone, []register.Answer{{ID: f.ID, Status: "Closed"}}); len(told) > 0 || !cmp.Equal(gone, after) {
		t.Errorf("closed: told %v", told)
	}
}

// TestApplyGoesOn: an answer to a finding that no row knows is told, at most five of its comments, and the next comes home. Comments
// of one day stand by name, then by text.
func TestApplyGoesOn(t *testing.T) {
	f := tight("T-1", "D-1", 40)
	stray := register.Answer{ID: "aaaaaaaaaaaa", Status: "open"}
	for _, text := range []string{"a", "b", "c", "d", "e", "f", "g"} {
		stray.Notes = append(stray.Notes, register.Note{Text: text})
	}
	rows, told := register.Apply(update(t, nil, result(f), week1).Rows, []register.Answer{stray, {ID: f.ID, Notes: []register.Note{
		{On: week2, Author: "B", Text: "y"}, {On: week2, Author: "B", Text: "x"}, {On: week2, Author: "A", Text: "z"},
	}}})
	if got, want := rows[0].Cells[register.ColAnswers], "2026-03-09 A: z; 2026-03-09 B: x; 2026-03-09 B: y"; got != want {
		t.Errorf("answers %q, want %q", got, want)
	}
	want := `an answer to a finding that the register does not know: status "open", "a", "b", "c", "d", "e", and 2 more`
	if len(told) != 1 || told[0].Text != want {
		t.Errorf("told %v, want %s", told, want)
	}
}

// TestApplyBounds: what comes home of one finding fits into a cell that spreadsheets can save, the rest is told.
func TestApplyBounds(t *testing.T) {
	f := tight("T-1", "D-1", 40)
	start := update(t, nil, result(f), week1).Rows
	answer := register.Answer{ID: f.ID, Status: strings.Repeat("s", 300), Assigned: strings.Repeat("ł", 300)}
	for i := range 20000 {
		answer.Notes = append(answer.Notes, register.Note{On: week1, Author: "B", Text: fmt.Sprintf("comment %05d", i)})
	}
	answer.Notes = append(answer.Notes, register.Note{On: "2026-02-01", Author: "B", Text: strings.Repeat("x", 5000)})
	rows, told := register.Apply(start, []register.Answer{answer})
	c := rows[0].Cells
	if n := len(c[register.ColAnswers]); n > 32000 || n < 31900 || len(c[register.ColOwner]) > 200 || !utf8.ValidString(c[register.ColOwner]) {
		t.Errorf("%d bytes of answers, %d of owner", n, len(c[register.ColOwner]))
	}
	// By hand: the long comment is cut to 4000; each other takes "2026-03-02 B: comment 00000; ", 29 bytes, so
	// (32000 - 4000) / 29 = 965 fit, and 20000 - 965 and the status do not.
	want := []string{"1 of its comments are longer", "status elsewhere", "19036 of its comments are not taken over", "owner is longer"}
	if len(told) != len(want) {
		t.Fatalf("told %v", told)
	}
	for i, w := range want {
		if !strings.Contains(told[i].Text, w) {
			t.Errorf("told %q, want %q in it", told[i].Text, w)
		}
	}
	again, _ := register.Apply(rows, []register.Answer{answer})
	if !cmp.Equal(rows, again) {
		t.Error("the same answer once more changes the register")
	}
}

// TestApplyToARenamed: an answer to a finding that goes on under another id comes home to its row, unless somebody said no to the match.
func TestApplyToARenamed(t *testing.T) {
	old, new := tight("T-1", "D-1", 40), tight("T-9", "D-1", 40)
	o := update(t, nil, result(old), week1)
	o = update(t, o.Rows, result(new), week2)
	if ids := register.KnownIDs(o.Rows); !slices.Contains(ids, old.ID) || !slices.Contains(ids, new.ID) {
		t.Fatalf("known: %v", ids)
	}
	answer := []register.Answer{{ID: old.ID, Notes: []register.Note{{On: week1, Author: "B", Text: "done"}}}}
	rows, told := register.Apply(o.Rows, answer)
	if rows[0].Cells[register.ColAnswers] != "2026-03-02 B: done" || len(told) > 0 {
		t.Errorf("%q, told %v", rows[0].Cells, told)
	}
	o.Rows[0].Cells[register.ColConfirm] = "no"
	if rows, told := register.Apply(o.Rows, answer); rows[0].Cells[register.ColAnswers] != "" || len(told) != 1 {
		t.Errorf("said no: %q, told %v", rows[0].Cells, told)
	}
}

// TestRewrittenDates: a spreadsheet wrote the register's dates anew; the history of the rows says which of day and month comes first, and
// from when days are counted.
func TestRewrittenDates(t *testing.T) {
	f, g := tight("T-1", "D-1", 40), tight("T-2", "D-2", 40)
	g.At.X, g.Bay = 90000, nil
	start := update(t, nil, result(f, g), "2026-03-12").Rows
	start[0].Cells[register.ColDue], start[1].Cells[register.ColDue] = "2026-04-05", "2026-04-05"
	for _, test := range []struct {
		name, first, due string
	}{
		{"day first", "12/03/2026", "05/04/2026"},
		{"day first, short", "12/3/26", "5/4/26"},
		{"month first", "03/12/2026", "04/05/2026"},
		{"month first, short, hyphens", "3-12-26", "4-5-26"},
		{"month first, with a time", "3/12/2026 12:00:00 AM", "4/5/2026 12:00:00 AM"},
		{"in letters", "12-Mar-26", "5-Apr-26"},
		{"long", "Thursday, March 12, 2026", "Sunday, 5 April 2026"},
		{"counted", "46093", "46117"},
		{"counted from 1904", "44631", "44655"},
		{"counted, with a time", "46093.5", "46117,25"},
	} {
		rows := slices.Clone(start)
		for i := range rows {
			for _, c := range []register.Column{register.ColFirst, register.ColLast} {
				rows[i].Cells[c] = test.first
			}
			rows[i].Cells[register.ColDue] = test.due
		}
		o := update(t, rows, result(f), "2026-03-19") // one is cleared
		for i, last := range []register.Date{"2026-03-19", "2026-03-12"} {
			e := o.Entries[i]
			if e.First != "2026-03-12" || e.Last != last || e.Due != "2026-04-05" || e.DueText != test.due {
				t.Errorf("%s: %+v", test.name, e)
			}
		}
		if len(o.Told) > 0 {
			t.Errorf("%s: told %v", test.name, o.Told)
		}
	}
	// Nothing says which comes first: one line, behind all else.
	rows := slices.Clone(start)
	for i := range rows {
		rows[i].Cells[register.ColDue] = "05/04/2026"
	}
	rows[0].Cells[register.ColState] = "on hold"
	o := update(t, rows, result(f), "2026-03-19")
	if n := len(o.Told); n != 2 || o.Told[1].Row != -1 || !strings.Contains(o.Told[1].Text, `2 under "due", such as "05/04/2026" of finding `) || o.Entries[0].Due != "" {
		t.Errorf("told %v", o.Told)
	}
	// Where rows contradict each other, neither is believed.
	rows[0].Cells[register.ColFirst], rows[1].Cells[register.ColFirst] = "12/03/2026", "03/12/2026"
	if o := update(t, rows, result(f), "2026-03-19"); o.Entries[0].Due != "" || !strings.Contains(o.Told[len(o.Told)-1].Text, `2 under "first seen", 2 under "due"`) {
		t.Errorf("told %v", o.Told)
	}
}
