package cell

import (
	"testing"
	"time"
)

func TestLooksLikeDate(t *testing.T) {
	for _, test := range []struct{ text, want string }{
		// Typed 3-4 where the day comes first, and where the month does.
		{"03-Apr", "3-4"},
		{"4-Mar", "3-4"},
		{"03/04/2026", "3-4"},
		{"3/4/2026", "3-4"},
		{"03.04.2026", "3-4"},
		{"03/04/26", "3-4"},
		{"2026-04-03", "3-4"},
		{"2026/04/03", "3-4"},
		{"2026-04-03 00:00:00", "3-4"},
		{"2026-04-03T00:00:00", "3-4"},
		{"03-Apr-2026", "3-4"},
		{"03-Apr-26", "3-4"},
		{"03 Apr 2026", "3-4"},
		{"3 Apr", "4-3"},
		{"03. Apr", "3-4"},
		{"12-Mar", "12-3"},
		{"4/13/2026", "4-13"},
		{"03\u2013Apr", "3-4"},
		{"Apr-03", "4-3"},
		{"Jan-80", "1-80"},
		{"APR-03", "4-3"},
		{"Sept-12", "9-12"},
		{"3 september", "9-3"},
		{"December 2026", "12-26"},
		{"'03-Apr", "3-4"},
		{" 03-Apr\u00a0", "3-4"},
	} {
		if got, ok := LooksLikeDate(test.text); !ok || got != test.want {
			t.Errorf("LooksLikeDate(%q) = %q, %v, want %q", test.text, got, ok, test.want)
		}
	}
	for _, text := range []string{
		"", " ", "-", "3-4", "A-B", "B-1200", "Bay 3", "3", "46115", "32-Apr", "00-Apr", "Apr", "Apr-", "-Apr", "Apr-123",
		"03-Foo", "03-Apr-", "03-Apr-1", "03-Apr-2026 12:00", "2026-13-03", "13/13/2026", "1800-04-03", "1 2 26", "3--Apr",
		"1.2", "1.2.3", "2026-04", "mars-2", "3-4-5-6", "３-Apr", "\xff", "9999999999999999999999-Apr",
	} {
		if got, ok := LooksLikeDate(text); ok {
			t.Errorf("LooksLikeDate(%q) = %q, want none", text, got)
		}
	}
}

// Every day of a year, as spreadsheets of both habits show what was typed, is recognised as that.
func TestLooksLikeDateOverAYear(t *testing.T) {
	n := 0
	for d := time.Date(2024, 1, 1, 0, 0, 0, 0, time.UTC); d.Year() == 2024; d = d.AddDate(0, 0, 1) {
		dayFirst, monthFirst := d.Format("2-1"), d.Format("1-2")
		for _, test := range []struct{ layout, want string }{
			{"02-Jan", dayFirst},
			{"02/01/2006", dayFirst},
			{"2006-01-02", dayFirst},
			{"02-Jan-2006", dayFirst},
			{"1/2/2006", monthFirst},
		} {
			if got, ok := LooksLikeDate(d.Format(test.layout)); !ok || got != test.want {
				t.Errorf("LooksLikeDate(%q) = %q, %v, want %q", d.Format(test.layout), got, ok, test.want)
			}
			n++
		}
		if d.Day() < 10 {
			if got, ok := LooksLikeDate(d.Format("2-Jan")); !ok || got != monthFirst {
				t.Errorf("LooksLikeDate(%q) = %q, %v, want %q", d.Format("2-Jan"), got, ok, monthFirst)
			}
			n++
		}
	}
	if want := 366*5 + 9*12; n != want {
		t.Errorf("%d dates tried, want %d", n, want)
	}
}

// Every fall 1:n that a spreadsheet takes for a time of day is refused or read as itself, in each form
// in which it shows a time.
func TestFallsTakenForTimesOfDay(t *testing.T) {
	for n := 1; n <= longestRun; n++ {
		clock := time.Date(2026, 1, 1, 1, n, 0, 0, time.UTC)
		want := 1 / float64(n)
		for _, layout := range []string{"15:04", "15:04:05", "3:04", "3:04:05", "3:04 PM", "3:04:05 PM"} {
			text := clock.Format(layout)
			got := ParseFall(text)
			if got.Fault == nil && got.Slope == want {
				continue // 1:20 is 1 in 20
			}
			if got.Fault == nil {
				t.Errorf("ParseFall(%q), once 1:%d, = %v", text, n, got.Slope)
				continue
			}
			wantFault(t, "Fall", text, got.Fault, "write 1 in "+plain(float64(n)))
		}
	}
}
