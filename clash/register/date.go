package register

import (
	"regexp"
	"strconv"
	"strings"
	"time"
)

// Date is a day, written 2026-03-09: two dates compare as their texts do. "" is no date.
type Date string

const dayLayout = "2006-01-02"

var (
	yearFirst = regexp.MustCompile(`^(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})$`)
	yearLast  = regexp.MustCompile(`^(\d{1,2})([-/.])(\d{1,2})[-/.](\d{4})$`)
	yearShort = regexp.MustCompile(`^(\d{1,2})[-/.](\d{1,2})[-/.](\d{2})$`)
	serial    = regexp.MustCompile(`^(\d{5})([.,]\d+)?$`)
	weekday   = regexp.MustCompile(`(?i)^(mon|tue|wed|thu|fri|sat|sun)[a-z]*\.?,? +`)
	halfDay   = regexp.MustCompile(`(?i) ?[ap]m$`)
)

// ParseDate reads a date as registers have it, which spreadsheets like to write anew: 2026-03-09,
// 2026/3/9, 9.3.2026, 9 Mar 2026, 09-Mar-26, with or without a time of day behind it. 13/03/2026 and
// 03/13/2026 are read too; 03/09/2026 may be two days and is not, nor 46090, which is the day that a spreadsheet counts
// so: of those the register itself can tell (writing).
func ParseDate(text string) (Date, bool) {
	text = dayOf(text)
	if m := yearFirst.FindStringSubmatch(text); m != nil {
		return day(m[1], m[2], m[3])
	}
	if m := yearLast.FindStringSubmatch(text); m != nil {
		a, b := m[1], m[3]
		x, _ := strconv.Atoi(a)
		y, _ := strconv.Atoi(b)
		switch {
		case m[2] == ".", x > 12, x == y:
			return day(m[4], b, a)
		case y > 12:
			return day(m[4], a, b)
		}
		return "", false
	}
	for _, layout := range []string{"2 Jan 2006", "2 January 2006", "2-Jan-2006", "2-Jan-06", "2 Jan 06", "Jan 2, 2006", "January 2, 2006"} {
		if t, err := time.Parse(layout, text); err == nil {
			return Date(t.Format(dayLayout)), true
		}
	}
	return "", false
}

// dayOf takes the time of day and the day of the week off a date.
func dayOf(text string) string {
	text = weekday.ReplaceAllString(strings.TrimSpace(text), "")
	if day, clock, ok := strings.Cut(text, "T"); ok && strings.Contains(clock, ":") {
		return strings.TrimSpace(day)
	}
	if strings.Contains(text, ":") {
		text = halfDay.ReplaceAllString(text, "")
		if i := strings.LastIndexByte(text, ' '); i > 0 && strings.Contains(text[i:], ":") {
			text = strings.TrimRight(text[:i], " ,")
		}
	}
	return text
}

// order says which comes first where a date is written in figures with the year last.
type order int

const (
	notKnown order = iota
	dayFirst
	monthFirst
)

// A spreadsheet counts days: 1 is 1900-01-01, and for the sake of a leap day that 1900 had not, 61 and all behind it are
// counted from 1899-12-30. Some count from 1904-01-01 (both from memory). Five figures are days of 1927 to 2173; what is not near
// the days that a register can have is none.
const (
	from1900 Date = "1899-12-30"
	from1904 Date = "1904-01-01"
	earliest Date = "2000-01-01"
	latest   Date = "2100-01-01"
)

// writing is how a spreadsheet wrote the dates of a register anew.
type writing struct {
	order order
	from  Date // from which it counts days
}

// read reads a date as ParseDate does and, where the register told how, one that ParseDate cannot.
func (w writing) read(text string) (Date, bool) {
	if d, ok := ParseDate(text); ok {
		return d, true
	}
	text = dayOf(text)
	if first, second, ok := bothWays(text); ok {
		switch w.order {
		case dayFirst:
			return first, first != ""
		case monthFirst:
			return second, second != ""
		}
		return "", false
	}
	return counted(text, w.from)
}

// bothWays reads a date in figures with the year last: as day and month, and as month and day; "" where that is no day.
func bothWays(text string) (asDayFirst, asMonthFirst Date, ok bool) {
	m := yearLast.FindStringSubmatch(text)
	if m != nil {
		m = []string{m[0], m[1], m[3], m[4]}
	} else if m = yearShort.FindStringSubmatch(text); m != nil {
		m[3] = "20" + m[3]
	} else {
		return "", "", false
	}
	asDayFirst, _ = day(m[3], m[2], m[1])
	asMonthFirst, _ = day(m[3], m[1], m[2])
	return asDayFirst, asMonthFirst, true
}

// counted reads the day that a spreadsheet counts so.
func counted(text string, from Date) (Date, bool) {
	m := serial.FindStringSubmatch(text)
	if m == nil {
		return "", false
	}
	n, _ := strconv.Atoi(m[1]) // five figures
	d := from.Add(n)
	return d, earliest <= d && d <= latest
}

// writingOf tells from the rows of a register how a spreadsheet wrote its dates. The history of a row, which spreadsheets
// leave alone, says when it was first seen; nothing was seen after until ("": not known) or before it was first
// seen; and 23/03/2026 says itself which comes first. Where rows contradict each other, nothing is known.
func writingOf(rows []Row, until Date) writing {
	w := writing{from: from1900}
	var days, months, old, new int // rows that speak for each
	vote := func(text string, may func(Date) bool) {
		text = dayOf(text)
		if a, b, ok := bothWays(text); ok && a != b {
			a, b := a != "" && may(a), b != "" && may(b)
			if a && !b {
				days++
			} else if b && !a {
				months++
			}
		}
		a, okA := counted(text, from1900)
		b, okB := counted(text, from1904)
		if a, b := okA && may(a), okB && may(b); a && !b {
			old++
		} else if b && !a {
			new++
		}
	}
	any := func(Date) bool { return true }
	for i := range rows {
		r := &rows[i]
		if !IsID(said(r, ColFinding)) {
			continue
		}
		events, ok := ParseHistory(r.Cells[ColHistory])
		if !ok || len(events) == 0 {
			vote(r.Cells[ColFirst], any)
			vote(r.Cells[ColLast], any)
			continue
		}
		vote(r.Cells[ColFirst], func(d Date) bool { return d == events[0].On })
		vote(r.Cells[ColLast], func(d Date) bool { return d >= events[0].On && (until == "" || d <= until) })
	}
	if days+months == 0 { // else those of the program say it better
		for i := range rows {
			vote(rows[i].Cells[ColDue], any)
		}
	}
	switch {
	case days > 0 && months == 0:
		w.order = dayFirst
	case months > 0 && days == 0:
		w.order = monthFirst
	}
	if new > 0 && old == 0 {
		w.from = from1904
	}
	return w
}

func day(y, m, d string) (Date, bool) {
	if len(m) == 1 {
		m = "0" + m
	}
	if len(d) == 1 {
		d = "0" + d
	}
	t, err := time.Parse(dayLayout, y+"-"+m+"-"+d)
	if err != nil {
		return "", false
	}
	return Date(t.Format(dayLayout)), true
}

// Add returns the date n days later (earlier where n is negative), "" of no date.
func (d Date) Add(n int) Date {
	t, err := time.Parse(dayLayout, string(d))
	if err != nil {
		return ""
	}
	return Date(t.AddDate(0, 0, n).Format(dayLayout))
}

// Event is a change of state.
type Event struct {
	On Date
	To State
}

// ParseHistory reads a history: dates with states, parted by semicolons, in order of time; several on one
// day stand in the order in which they came. "" is no events; false: it is not one.
func ParseHistory(text string) ([]Event, bool) {
	if strings.TrimSpace(text) == "" {
		return nil, true
	}
	var all []Event
	for part := range strings.SplitSeq(text, ";") {
		on, to, ok := strings.Cut(strings.TrimSpace(part), " ")
		d, isDate := ParseDate(on)
		s, isState := ParseState(to)
		if !ok || !isDate || !isState || len(all) > 0 && d < all[len(all)-1].On {
			return nil, false
		}
		all = append(all, Event{d, s})
	}
	return all, true
}

// history writes events as ParseHistory reads them.
func history(events []Event) string {
	var b strings.Builder
	for i, e := range events {
		if i > 0 {
			b.WriteString("; ")
		}
		b.WriteString(string(e.On) + " " + string(e.To))
	}
	return b.String()
}

// at returns the state at the end of a day by the events, "" before the first.
func at(events []Event, d Date) State {
	s := State("")
	for _, e := range events {
		if e.On > d {
			break
		}
		s = e.To
	}
	return s
}
