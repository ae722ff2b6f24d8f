package register

import (
	"testing"

	"github.com/google/go-cmp/cmp"
)

// A row without a history and without a first date counts in no week; the row behind it does. A row whose history cannot be read is
// open from its first date on, and from its last date on in its state: that date itself is the first day of the state.
func TestTrendGoesOnBehindARowWithoutDates(t *testing.T) {
	const first, last, until = Date("2026-03-02"), Date("2026-03-16"), Date("2026-03-16")
	got := Trend([]Entry{{State: Open}, {State: Cleared, First: first, Last: last}}, until, 3)
	want := []Week{
		{End: first, Open: 1, New: 1},
		{End: "2026-03-09", Open: 1},
		{End: last, Cleared: 1},
	}
	if d := cmp.Diff(want, got); d != "" {
		t.Errorf("(-want +got):\n%s", d)
	}
}

// A number that a spreadsheet of another country wrote: a comma is its point where there is one alone and no point.
func TestNumberWithComma(t *testing.T) {
	for _, test := range []struct {
		text string
		want float64
		ok   bool
	}{{"1200,5", 1200.5, true}, {" -3,25 mm", -3.25, true}, {"1200", 1200, true}, {"1,2,3", 0, false}, {"1,200.5", 0, false}, {"1e9", 1e9, true}, {"1000000001", 0, false}, {"NaN", 0, false}} {
		if got, ok := number(test.text); got != test.want || ok != test.ok {
			t.Errorf("number(%q) = %v, %v, want %v, %v", test.text, got, ok, test.want, test.ok)
		}
	}
}
