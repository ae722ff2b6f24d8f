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
)

// ParseDate reads a date as registers have it, which spreadsheets like to write anew: 2026-03-09,
// 2026/3/9, 9.3.2026, 9 Mar 2026, 09-Mar-26, with or without a time of day behind it. 13/03/2026 and
// 03/13/2026 are read too; 03/09/2026 may be two days and is not.
func ParseDate(text string) (Date, bool) {
	text = strings.TrimSpace(text)
	if day, clock, ok := strings.Cut(text, "T"); ok && strings.Contains(clock, ":") {
		text = day
	} else if i := strings.LastIndexByte(text, ' '); i > 0 && strings.Contains(text[i:], ":") {
		text = strings.TrimSpace(text[:i])
	}
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
