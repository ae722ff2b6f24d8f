package register

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"voidline/clash/finding"
)

// On 2026-03-16: M. H. has three rows of two problems, open since the 2nd; one is 11 days past its date (due on the 5th), one due on the
// 20th. "m. h." is the same person. What M. H. had cleared on the 9th was open at the end of the week of the 2nd: 3 problems then, 2 on the
// 9th, 2 on the 16th. B. K.'s came back; what is agreed is nobody's to settle, and past its date or not does not count. One row names nobody.
func TestOwnersOfWhatIsOpen(t *testing.T) {
	now := func(id, problem string) *finding.Finding { return &finding.Finding{ID: id, ProblemID: problem} }
	o := &Outcome{Date: "2026-03-16", Rows: make([]Row, 7)}
	o.Rows[3].Cells[ColA], o.Rows[3].Cells[ColBay] = "D-4", "A"
	h := func(events ...Event) []Event { return events }
	o.Entries = []Entry{
		{Row: 0, State: Open, Owner: "M. H.", Due: "2026-03-05", Now: now("a", "P1"), History: h(Event{"2026-03-02", Open})},
		{Row: 1, State: Open, Owner: "m. h.", Due: "2026-03-20", Now: now("b", "P1"), History: h(Event{"2026-03-02", Open})},
		{Row: 2, State: Open, Owner: "M. H. ", Now: now("c", "P2"), History: h(Event{"2026-03-02", Open})},
		{Row: 3, State: Cleared, Owner: "M. H.", Due: "2026-03-01", History: h(Event{"2026-03-02", Open}, Event{"2026-03-09", Cleared})},
		{Row: 4, State: Back, Owner: "B. K.", Now: now("e", "P5"), History: h(Event{"2026-02-01", Open}, Event{"2026-02-08", Cleared}, Event{"2026-03-16", Back})},
		{Row: 5, State: Agreed, Owner: "B. K.", Due: "2026-03-01", Now: now("f", "P6"), History: h(Event{"2026-03-02", Agreed})},
		{Row: 6, State: Open, Now: now("g", "P7"), First: "2026-03-10"},
	}
	want := []Owner{
		{Name: "M. H.", Open: 2, Overdue: 1, Days: 11, Due: "2026-03-05", Weeks: []int{3, 2, 2}},
		{Name: "B. K.", Open: 1, Weeks: []int{0, 0, 1}},
		{Name: "", Open: 1, Weeks: []int{0, 0, 1}},
	}
	if d := cmp.Diff(want, o.Owners(3)); d != "" {
		t.Errorf("(-want +got):\n%s", d)
	}
	if d := cmp.Diff([]int{3, 2, 4}, o.WeeksOpen(3)); d != "" {
		t.Errorf("all (-want +got):\n%s", d)
	}
}

// Over the end of February and of a year.
func TestDaysBetween(t *testing.T) {
	for _, test := range []struct {
		a, b Date
		want int
	}{{"2026-02-28", "2026-03-01", 1}, {"2028-02-28", "2028-03-01", 2}, {"2025-12-31", "2026-01-01", 1}, {"2026-03-09", "2026-03-02", -7}, {"", "2026-03-02", 0}} {
		if got := test.a.days(test.b); got != test.want {
			t.Errorf("%s.Days(%s) = %d, want %d", test.a, test.b, got, test.want)
		}
	}
}
