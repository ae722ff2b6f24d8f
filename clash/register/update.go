package register

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"voidline/clash/figure"
	"voidline/clash/finding"
	"voidline/void"
)

// Options say how to bring a register up to date.
type Options struct {
	// Date is the day of the check. A register is never set back: a date before what it holds changes no
	// date in it.
	Date Date
	// Touch is the depth in mm up to which things may rest on each other: an agreement holds while it is not
	// worse by more.
	Touch float64
	// Zone reports whether the project has a zone of this id; nil: not known. With it a zone that is still
	// there is not taken for renamed.
	Zone func(id string) bool
}

// News is what a row is since the last check before the day of this one.
type News string

// The news, in the order of a meeting.
const (
	IsNew      News = "new"
	IsBack     News = "back"
	IsCleared  News = "cleared"
	IsAgreed   News = "agreed"
	StillOpen  News = "still open" // open or back, and so last time
	StillGood  News = "settled"    // agreed or cleared, and so last time
	NotChecked News = "not checked"
)

// Entry is a row that names a finding, as it stands after an update.
type Entry struct {
	Row     int              // its number among the rows
	ID      string           // of the finding
	State   State            // what it counts as
	Was     State            // at the end of the last day before, "" where it was not there
	News    News             //
	Now     *finding.Finding // nil where it was not found
	Short   float64          // as last found, mm; 0 where the register does not say
	By      float64          // how much more it lacks than the register had it, mm; less than 0: less; 0: as it was, or not known
	Agreed  float64          // the amount agreed, mm; not-a-number where there is none
	First   Date             // "" where it cannot be read
	Last    Date
	Due     Date
	History []Event

	// As people wrote them.
	Owner, DueText, Action, Reason, AgreedBy, Raised, Query string
	Answers                                                 string
	// Proposed: a reply calls it agreed, and nobody has agreed to it in the register.
	Proposed bool
	// Matched says what the row was matched with; Unconfirmed that nobody has confirmed it or said no.
	Matched     string
	Unconfirmed bool
}

// Told is something that a person should know of a row.
type Told struct {
	Row  int // among the rows; -1 for the register as a whole
	ID   string
	Text string
}

// Outcome is a register brought up to date.
type Outcome struct {
	Date    Date
	Rows    []Row   // the rows given, in their order, then those of new findings in the order of the result
	Entries []Entry // of the rows that name a finding, in order
	Matched []int   // entries that this update matched by run, kinds and place
	Told    []Told
}

// Errors of Update.
var (
	ErrNarrowed = errors.New("the result is limited, so what is not in it may still be there: a register needs the whole result")
	ErrNoDate   = errors.New("no date")
)

// Update brings a register up to date with the findings of a check. rows are not changed.
//
//  1. Matches that a person said no to are parted.
//  2. Rows whose finding is gone are matched with findings that no row knows (match.go).
//  3. Each row that names a finding gets its state, its dates and what is known of the finding.
//  4. Findings that no row knows are added.
//
// Where rows of the project are missing from the answer, a finding that is not in it keeps its state.
// The same rows, result and date give the same again; updating twice on one day changes nothing.
func Update(rows []Row, res *finding.Result, opt Options) (*Outcome, error) {
	if res.Filter != "" {
		return nil, fmt.Errorf("%w (it is limited to: %s)", ErrNarrowed, res.Filter)
	}
	if d, ok := ParseDate(string(opt.Date)); !ok || d != opt.Date {
		return nil, fmt.Errorf("%w: %q", ErrNoDate, opt.Date)
	}
	u := &update{Options: opt, res: res, out: &Outcome{Date: opt.Date, Rows: slices.Clone(rows)}, byID: map[string]int{}, now: map[string]*finding.Finding{}}
	for i := range res.Findings {
		u.now[res.Findings[i].ID] = &res.Findings[i]
	}
	u.index()
	u.days = writingOf(rows, opt.Date)
	u.part()
	u.match()
	for _, i := range u.known {
		u.row(i)
	}
	for i := range res.Findings {
		f := &res.Findings[i]
		if _, ok := u.byID[f.ID]; !ok {
			u.add(f)
		}
	}
	if res.RowsMissing > 0 {
		missing := "1 row of the project is missing"
		if res.RowsMissing > 1 {
			missing = fmt.Sprintf("%d rows of the project are missing", res.RowsMissing)
		}
		u.tell(-1, "", missing+" from the result: what was not found keeps its state")
	}
	u.tellUnread()
	return u.out, nil
}

type update struct {
	Options
	res   *finding.Result
	out   *Outcome
	known []int          // rows that name a finding
	byID  map[string]int // row by the id of its finding
	now   map[string]*finding.Finding
	fresh []int // rows matched in this update
	part2 map[string]string
	days  writing
	// unread counts the dates that cannot be read by their columns; unreadSuch is the first of them.
	unread     map[Column]int
	unreadSuch string
}

func (u *update) tell(row int, id, text string) {
	u.out.Told = append(u.out.Told, Told{row, id, text})
}

// index finds the rows that name a finding. Of several that name one the first is its row.
func (u *update) index() {
	for i := range u.out.Rows {
		id := strings.TrimSpace(u.out.Rows[i].Cells[ColFinding])
		if !IsID(id) {
			continue
		}
		if j, ok := u.byID[id]; ok {
			u.tell(i, id, fmt.Sprintf("a second row for this finding: row %d is kept up to date, this one is left alone", j+1))
			continue
		}
		u.byID[id] = i
		u.known = append(u.known, i)
	}
}

// set writes a cell of the program's, unless it holds just that.
func (r *Row) set(c Column, text string) {
	if t := Clean(text); r.Cells[c] != t {
		r.Cells[c] = t
	}
}

// setNumber writes a number to the nearest 0.1, unless the cell holds just that in other signs.
func (r *Row) setNumber(c Column, v float64) {
	if is, ok := number(r.Cells[c]); !ok || math.Abs(is-v) > 0.01 {
		r.Cells[c] = inFigures(v)
	}
}

// inFigures writes a number to the nearest 0.1, with a point and no zero behind it: 35.9, 36.
func inFigures(v float64) string {
	return strconv.FormatFloat(figure.Tenth(v), 'f', -1, 64)
}

// upwards returns mm as people read a shortfall: in whole millimetres, up.
func upwards(mm float64) float64 { return math.Ceil(figure.Tenth(mm)) }

func said(r *Row, c Column) string { return strings.TrimSpace(r.Cells[c]) }

func isNo(text string) bool  { return strings.EqualFold(strings.TrimSpace(text), "no") }
func isYes(text string) bool { return strings.EqualFold(strings.TrimSpace(text), "yes") }

// part gives rows their old finding back where a person said no to a match.
func (u *update) part() {
	for _, i := range u.known {
		r := &u.out.Rows[i]
		id := said(r, ColFinding)
		old, names, ok := wasText(r.Cells[ColMatched])
		if !ok || !isNo(r.Cells[ColConfirm]) {
			continue
		}
		if j, there := u.byID[old]; there {
			u.tell(i, id, fmt.Sprintf("cannot be parted from %s again: row %d has it", old, j+1))
			continue
		}
		delete(u.byID, id)
		u.byID[old] = i
		r.set(ColFinding, old)
		a, b, two := strings.Cut(names, " / ")
		if two && strings.Contains(b, " / ") {
			a, b = names, "" // a name with the sign in it
		}
		r.set(ColA, a)
		r.set(ColB, b)
		r.set(ColMatched, "not "+id+" (parted "+string(u.Date)+")")
		u.tell(i, old, "parted from "+id+", which has a row of its own now")
	}
}

// wasText reads what match wrote into the column matched.
func wasText(text string) (id, names string, ok bool) {
	rest, ok := strings.CutPrefix(strings.TrimSpace(text), "was ")
	if !ok {
		return "", "", false
	}
	id, rest, ok = strings.Cut(rest, ": ")
	if i := strings.LastIndex(rest, " ("); i >= 0 {
		rest = rest[:i]
	}
	return id, rest, ok && IsID(id)
}

// match gives rows whose finding is gone the findings that no row knows.
func (u *update) match() {
	var old, new []mark
	var rows []int
	var finds []*finding.Finding
	for _, i := range u.known {
		r := &u.out.Rows[i]
		if _, there := u.now[said(r, ColFinding)]; there || isNo(r.Cells[ColConfirm]) || u.last(r) == Cleared {
			continue
		}
		rows, old = append(rows, i), append(old, r.mark())
	}
	for i := range u.res.Findings {
		f := &u.res.Findings[i]
		if _, ok := u.byID[f.ID]; !ok {
			finds, new = append(finds, f), append(new, markOf(f))
		}
	}
	gone := func(id string) bool { return u.Zone == nil || !u.Zone(id) }
	for _, p := range pair(old, new, gone, func(_, _ int) bool { return true }) {
		i, f := rows[p.old], finds[p.new]
		r := &u.out.Rows[i]
		delete(u.byID, old[p.old].id)
		u.byID[f.ID] = i
		r.set(ColMatched, "was "+old[p.old].id+": "+old[p.old].names()+" ("+string(u.Date)+")")
		r.set(ColFinding, f.ID)
		u.fresh = append(u.fresh, i)
		u.tell(i, f.ID, fmt.Sprintf("is it the earlier %s (%s)? It is of the same run, between the same kinds, at the same place, and goes on as that. Enter yes or no under \"confirm\"", old[p.old].names(), old[p.old].id))
	}
	// What is left of the new may be the other part of a row that was cut: told, no more.
	u.part2 = map[string]string{}
	var cut []mark
	var cutID []string
	for _, p := range u.fresh {
		cut, cutID = append(cut, u.out.Rows[p].mark()), append(cutID, said(&u.out.Rows[p], ColFinding))
	}
	for _, f := range finds {
		if _, ok := u.byID[f.ID]; ok {
			continue
		}
		m := markOf(f)
		for k := range cut {
			if _, ok := cut[k].fits(m, nil); ok {
				u.part2[f.ID] = cutID[k]
				break
			}
		}
	}
}

// last returns the state that a row was in: by its history, else as it is written; a new row's is "".
func (u *update) last(r *Row) State {
	if h, ok := ParseHistory(r.Cells[ColHistory]); ok && len(h) > 0 {
		return h[len(h)-1].To
	}
	s, _ := ParseState(r.Cells[ColState])
	return s
}

// row brings one row up to date.
func (u *update) row(i int) {
	r := &u.out.Rows[i]
	id := said(r, ColFinding)
	f := u.now[id]
	was := u.last(r)
	events, readable := ParseHistory(r.Cells[ColHistory])
	if !readable {
		u.tell(i, id, "its history cannot be read and is left as it is: "+quote(r.Cells[ColHistory]))
	}
	written, isState := ParseState(r.Cells[ColState])
	word := strings.TrimSpace(r.Cells[ColState])
	shortBefore, hadShort := number(r.Cells[ColShort])

	state, keep := was, false // keep: the cell holds a person's word that is not to be written over
	agreed := math.NaN()
	if v, ok := number(r.Cells[ColAgreed]); ok {
		agreed = v
	}
	switch {
	case f == nil && u.res.RowsMissing > 0:
		keep = true
		if state == "" {
			state = Open
		}
	case f == nil:
		state = Cleared
	default:
		again := Open
		if was == Cleared || was == Back {
			again = Back
		}
		state = again
		switch {
		case written == Agreed:
			var lacks []string
			if said(r, ColReason) == "" {
				lacks = append(lacks, "a reason")
			}
			if said(r, ColAgreedBy) == "" {
				lacks = append(lacks, "the name of who agreed")
			}
			amount := said(r, ColAgreed)
			if amount == "" && len(lacks) == 0 {
				agreed = upwards(f.Short)
				if hadShort {
					agreed = shortBefore // what people saw when they agreed
				}
				r.Cells[ColAgreed] = inFigures(agreed)
			}
			switch {
			case len(lacks) > 0:
				keep = true
				u.tell(i, id, "agreed, but without "+strings.Join(lacks, " and ")+": it counts as "+string(state))
			case math.IsNaN(agreed):
				keep = true
				u.tell(i, id, "the amount agreed cannot be read: "+quote(amount)+"; it counts as "+string(state))
			case f.Short > agreed+u.Touch+void.Hair:
				state = Back
				u.tell(i, id, fmt.Sprintf("back: %s short now, %s was agreed; to agree again, enter the new amount under agreed", figure.Up(f.Short), inFigures(agreed)))
			default:
				state = Agreed
			}
		case written == Back, written == Cleared:
			state = Back
		case !isState && word != "":
			keep = true
		}
	}
	if !isState && word != "" {
		u.tell(i, id, fmt.Sprintf("state %s is none of open, agreed, cleared, back: left as it is, it counts as %s", quote(word), state))
		keep = true
	}
	if !keep && (!isState || written != state) {
		r.Cells[ColState] = string(state)
	}
	isNew := readable && len(events) == 0 && was == ""
	if readable && len(events) == 0 && was != "" {
		// A register that somebody kept by hand: the state it has it had before this update.
		on := u.Date.Add(-1)
		for _, c := range []Column{ColLast, ColFirst} {
			if d, ok := u.days.read(r.Cells[c]); ok && d <= u.Date {
				on = d
			}
		}
		events = []Event{{on, was}}
	}
	before := at(events, u.Date.Add(-1))
	if !readable {
		before = was
	}
	if readable {
		if n := len(events); n == 0 || events[n-1].To != state {
			on := u.Date
			if n > 0 {
				on = max(on, events[n-1].On)
			}
			events = append(events, Event{on, state})
		}
		r.set(ColHistory, history(events))
	}
	if f != nil {
		u.describe(r, f)
	}
	if isNew && said(r, ColFirst) == "" {
		r.set(ColFirst, string(u.Date))
	}
	e := Entry{
		Row: i, ID: id, State: state, Was: before, Now: f, Agreed: agreed, History: events,
		Owner: said(r, ColOwner), DueText: said(r, ColDue), Action: said(r, ColAction), Reason: said(r, ColReason),
		AgreedBy: said(r, ColAgreedBy), Raised: said(r, ColRaised), Query: said(r, ColQuery), Answers: said(r, ColAnswers),
		Matched: said(r, ColMatched),
	}
	if f != nil && hadShort {
		e.By = changed(shortBefore, f.Short, u.Touch)
	}
	e.Short, _ = number(r.Cells[ColShort])
	for _, d := range []struct {
		col Column
		to  *Date
	}{{ColFirst, &e.First}, {ColLast, &e.Last}, {ColDue, &e.Due}} {
		var ok bool
		if *d.to, ok = u.days.read(r.Cells[d.col]); !ok && said(r, d.col) != "" {
			u.unreadDate(r, d.col)
		}
	}
	_, e.Proposed = Replies(e.Answers)
	e.Proposed = e.Proposed && !slices.ContainsFunc(events, func(v Event) bool { return v.To == Agreed })
	if e.First == "" && len(events) > 0 {
		e.First = events[0].On
	}
	e.Unconfirmed = e.Matched != "" && !strings.HasPrefix(e.Matched, "not ") && !isYes(r.Cells[ColConfirm]) && !isNo(r.Cells[ColConfirm])
	e.News = news(&e, f == nil && u.res.RowsMissing > 0)
	if slices.Contains(u.fresh, i) {
		u.out.Matched = append(u.out.Matched, len(u.out.Entries))
	}
	u.out.Entries = append(u.out.Entries, e)
}

// changed returns by how much a shortfall is more than before, less than 0 where it is less; 0 where that is no more than the touch tolerance.
// The register holds whole millimetres, up: up to 1 less is no change.
func changed(before, now, touch float64) float64 {
	switch by := now - before; {
	case by > touch+void.Hair:
		return by
	case by < -1-touch-void.Hair:
		return by
	}
	return 0
}

// unreadDate counts a date that cannot be read.
func (u *update) unreadDate(r *Row, c Column) {
	if u.unread == nil {
		u.unread = map[Column]int{}
		u.unreadSuch = fmt.Sprintf("%s of finding %s", quote(r.Cells[c]), said(r, ColFinding))
	}
	u.unread[c]++
}

// tellUnread says in one line, behind all else, which dates cannot be read.
func (u *update) tellUnread() {
	var parts []string
	for _, c := range []Column{ColFirst, ColLast, ColDue} {
		if n := u.unread[c]; n > 0 {
			parts = append(parts, fmt.Sprintf("%d under %q", n, c.Heading()))
		}
	}
	if len(parts) == 0 {
		return
	}
	u.tell(-1, "", fmt.Sprintf("dates that cannot be read as a day: %s, such as %s; write them 2026-03-09 and format the column as text", strings.Join(parts, ", "), u.unreadSuch))
}

func news(e *Entry, unchecked bool) News {
	settled := e.State == Agreed || e.State == Cleared
	switch {
	case unchecked:
		return NotChecked
	case e.Was == "" && !settled:
		return IsNew
	case e.State == e.Was && settled:
		return StillGood
	case e.State == e.Was, e.State == Open:
		return StillOpen // also open where it was agreed and somebody took that back
	case e.State == Back:
		return IsBack
	case e.State == Cleared:
		return IsCleared
	}
	return IsAgreed
}

// describe writes what is known of the finding.
func (u *update) describe(r *Row, f *finding.Finding) {
	m := markOf(f)
	for _, c := range []struct {
		col  Column
		text string
	}{
		{ColStorey, m.storey},
		{ColBay, m.bay},
		{ColPlace, f.At.Where},
		{ColKind, string(f.Kind)},
		{ColA, m.ends[0].id},
		{ColATrade, m.ends[0].trade},
		{ColARun, m.ends[0].run},
		{ColAKind, m.ends[0].kind},
		{ColB, m.ends[1].id},
		{ColBTrade, m.ends[1].trade},
		{ColBRun, m.ends[1].run},
		{ColBKind, m.ends[1].kind},
	} {
		r.set(c.col, c.text)
	}
	r.setNumber(ColShort, upwards(f.Short)) // as every report tells it
	for _, c := range []struct {
		col Column
		v   float64
	}{{ColLevel, f.At.Level}, {ColX, f.At.X}, {ColY, f.At.Y}, {ColZ, f.At.Z}} {
		r.setNumber(c.col, math.Round(math.Round(c.v*10)/10))
	}
	if last, ok := u.days.read(r.Cells[ColLast]); !ok || last < u.Date {
		r.set(ColLast, string(u.Date))
	}
}

// add adds a row for a finding that no row knows.
func (u *update) add(f *finding.Finding) {
	var r Row
	r.set(ColFinding, f.ID)
	if of, ok := u.part2[f.ID]; ok {
		r.set(ColMatched, "may be another part of "+of)
		u.tell(len(u.out.Rows), f.ID, "it may be another part of "+of+": it is of the same run, between the same kinds, at the same place")
	}
	u.out.Rows = append(u.out.Rows, r)
	i := len(u.out.Rows) - 1
	u.byID[f.ID] = i
	u.row(i)
}

// quote returns a person's text between quotes, cleaned and cut where it is long.
func quote(text string) string {
	rs := []rune(Clean(text))
	if len(rs) > 40 {
		return `"` + string(rs[:40]) + `…"`
	}
	return `"` + string(rs) + `"`
}
