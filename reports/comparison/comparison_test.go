package comparison_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"slices"
	"strings"
	"testing"
	"unicode"

	"voidline/clash/finding"
	"voidline/clash/register"
	"voidline/reports/comparison"
	"voidline/reports/internal/example"
	"voidline/reports/internal/golden"
	"voidline/reports/words"
)

// two are last week's and this week's answer: one thing of each turn, a row that was renamed, names that a
// writer must not trust.
func two(t *testing.T) *register.Comparison {
	t.Helper()
	old, now := example.Result(), example.Result()
	for _, r := range []*finding.Result{old, now} {
		r.RowsMissing = 0
		for i := range r.Findings {
			// Far from each other, so that one is matched only where it is meant.
			r.Findings[i].At.X += 1e5 * float64(i)
			r.Findings[i].Bay = nil
		}
	}
	old.Project = "week 9"
	old.Findings = append(old.Findings[:1:1], old.Findings[3:]...) // 1 and 2 are new
	now.Findings = now.Findings[:len(now.Findings)-1]              // the last is cleared
	now.RowsMissing = 1
	now.Findings[3].Short += 1.1
	now.Findings[4].Short -= 20
	renamed := &now.Findings[5]
	renamed.A, renamed.ID = "L-99", "aaaaaaaaaaaa"
	c, err := register.Compare(old, now, register.CompareOptions{Touch: 1, Knows: func(id string) bool { return id == now.Findings[2].ID }})
	if err != nil {
		t.Fatal(err)
	}
	all := register.TradeTurns{New: 1, Back: 1, Worse: 1, Better: 1, Same: len(now.Findings) - 4, Clear: 1}
	if c.All != all {
		t.Fatalf("the example has %+v, want %+v", c.All, all)
	}
	return c
}

func TestText(t *testing.T) {
	for _, test := range []struct {
		name string
		opt  comparison.Options
	}{
		{"week.txt", comparison.Options{Register: true}},
		{"narrow.txt", comparison.Options{Width: 40, Most: 1}},
	} {
		var b bytes.Buffer
		if err := comparison.Text(&b, two(t), test.opt); err != nil {
			t.Fatal(err)
		}
		golden.Equal(t, test.name, b.Bytes())
		width := max(test.opt.Width, 40)
		if test.opt.Width == 0 {
			width = 80
		}
		for l := range strings.Lines(b.String()) {
			l = strings.TrimSuffix(l, "\n")
			if words.Width(l) > width {
				t.Errorf("%s: %d columns: %q", test.name, words.Width(l), l)
			}
			for _, r := range l {
				if unicode.IsControl(r) {
					t.Errorf("%s: a control character in %q", test.name, l)
				}
			}
		}
	}
	var b bytes.Buffer
	if err := comparison.Text(&b, two(t), comparison.Options{Color: true}); err != nil || !strings.HasPrefix(b.String(), "\x1b[1mvoidline compare") {
		t.Errorf("with colour: %q, %v", b.String()[:30], err)
	}
	none, err := register.Compare(example.Empty(), example.Empty(), register.CompareOptions{})
	if err != nil {
		t.Fatal(err)
	}
	b.Reset()
	if err := comparison.Text(&b, none, comparison.Options{}); err != nil || !strings.Contains(b.String(), "Nothing was found before, and nothing now.") {
		t.Errorf("nothing: %q, %v", b.String(), err)
	}
}

func TestJSON(t *testing.T) {
	var b bytes.Buffer
	c := two(t)
	if err := comparison.JSON(&b, c, comparison.Options{Register: true}); err != nil {
		t.Fatal(err)
	}
	golden.Equal(t, "week.json", b.Bytes())
	var d struct {
		Counts  map[string]int
		Changes []struct {
			Turn string
			ID   string
			Old  *float64 `json:"old_short"`
			New  *float64 `json:"new_short"`
			By   *float64
		}
	}
	if err := json.Unmarshal(b.Bytes(), &d); err != nil {
		t.Fatal(err)
	}
	counted := map[string]int{}
	for i, ch := range d.Changes {
		counted[ch.Turn]++
		if (ch.Old == nil) != (ch.Turn == "new" || ch.Turn == "back") || (ch.New == nil) != (ch.Turn == "cleared") || (ch.By == nil) != (ch.Old == nil || ch.New == nil) {
			t.Errorf("%+v", ch)
		}
		if ch.ID != c.Changes[i].Finding().ID {
			t.Errorf("change %d is of %s, want %s", i, ch.ID, c.Changes[i].Finding().ID)
		}
	}
	for turn, n := range d.Counts {
		if counted[turn] != n {
			t.Errorf("%s: %d counted, %d there", turn, n, counted[turn])
		}
	}
}

type broken struct{}

func (broken) Write([]byte) (int, error) { return 0, errors.New("full") }

func TestErrorsOfTheWriter(t *testing.T) {
	if err := comparison.Text(broken{}, two(t), comparison.Options{}); err == nil {
		t.Error("Text has no error")
	}
	if err := comparison.JSON(broken{}, two(t), comparison.Options{}); err == nil {
		t.Error("JSON has no error")
	}
}

func TestRegister(t *testing.T) {
	f := example.Result().Findings
	for i := range f {
		f[i].ID = strings.NewReplacer("0", "a", "1", "b", "8", "c", "9", "d").Replace(f[i].ID) // as ids are
	}
	first, err := register.Update(nil, &finding.Result{Findings: []finding.Finding{f[0], f[8]}}, register.Options{Date: "2026-03-02", Touch: 1})
	if err != nil {
		t.Fatal(err)
	}
	first.Rows[1].Cells[register.ColState] = "agreed"
	second, err := register.Update(first.Rows, &finding.Result{Findings: f[8:10]}, register.Options{Date: "2026-03-09", Touch: 1})
	if err != nil {
		t.Fatal(err)
	}
	got := strings.Join(comparison.Register(second, 0), "\n")
	want := "register on 2026-03-09: 1 new, 1 cleared, 1 still open\n" + f[8].ID + ": agreed, but without a reason and the name of who agreed: it counts as open"
	if got != want {
		t.Errorf("%s\nwant\n%s", got, want)
	}
	told := comparison.Told([]register.Told{{Row: -1, Text: "a\x1b[31m"}, {ID: "b", Text: "c"}, {ID: "b", Text: "c"}}, 1)
	if len(told) != 2 || told[0] != "a\uFFFD[31m" || told[1] != "and 2 more about the register" {
		t.Errorf("%q", told)
	}
	// What is told behind it, of the register as a whole, is not cut off.
	told = comparison.Told([]register.Told{{ID: "b", Text: "c"}, {ID: "b", Text: "c"}, {Row: -1, Text: "dates"}}, 1)
	if !slices.Equal(told, []string{"b: c", "and 1 more about the register", "dates"}) {
		t.Errorf("%q", told)
	}
}
