package words_test

import (
	"slices"
	"strings"
	"testing"

	"voidline/clash/tolerance"
	"voidline/reports/internal/example"
	"voidline/reports/words"
)

// fit returns the section of what may not fit, false where the answer has none.
func fit(a words.Answer) (words.Section, bool) {
	i := slices.IndexFunc(a.Sections, func(s words.Section) bool { return s.Title == words.MayNotFit })
	if i < 0 {
		return words.Section{}, false
	}
	return a.Sections[i], true
}

func TestDoubtsAreSaidWhereAskedFor(t *testing.T) {
	r := example.Doubtful()
	s, ok := fit(words.Check(r, 0))
	if !ok || s.Aside != "3 pairs" {
		t.Fatalf("section %+v, %v", s, ok)
	}
	var got []string
	for _, p := range s.Parts {
		if g, is := p.(words.Group); is {
			got = append(got, g.Heading)
			for _, it := range g.Items {
				got = append(got, it.What+" "+it.ID, strings.Join(it.Lines, "; "))
			}
		}
	}
	want := []string{
		"Bay A-B/1-2",
		"may overlap 25 k702mq3n4x2a",
		"T-1 (containment, run T1, tray.csv:2); over ceiling A-B/1-2 (bays.csv:2); at B+1200, grid 2-450, FFL+2760; " +
			"20 clear as drawn; at worst an overlap of 25, by RSS an overlap of 18; 10 needed; Rule: clear of the ceiling (common practice); " +
			"Taken off: 5 T-1 (its row), 5* ceiling A-B/1-2, 10* S-1, 25 as beam S-1 (steel.csv:2, span 9000) comes down",
		"may lack 12 k703mq3n4x2a",
		"D-1 (ductwork, ductwork.csv:3); over P-1 (pipework, pipework.csv:4); at B+1200, grid 2-450, FFL+2760; " +
			"33 clear as drawn; at worst 13, by RSS 19; 25 needed; Rule: insulation to insulation (common practice); Taken off: 10* D-1, 10* P-1; " +
			"Checked by height only: one of the two has no position in plan; Note: a note",
		"Outside every bay",
		"may overlap 8 k704mq3n4x2a",
		"=1+1 (ductwork, <b>.csv:3); over |x|\ufffd[31m (pipework, pipework.csv:5); at B+1200, grid 2-450, FFL+2760; " +
			"12 clear as drawn; at worst an overlap of 8, by RSS an overlap of 3; Taken off: 10* =1+1, 10* |x|\ufffd[31m",
	}
	if !slices.Equal(got, want) {
		t.Errorf("said\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
	if first := string(s.Parts[0].(words.Para)); !strings.Contains(first, "2 of them would overlap") || !strings.Contains(first, "span/360") {
		t.Errorf("it begins %q", first)
	}
	if all := strings.Join(s.Parts[2].(words.List), "\n"); all != "beam 10: a standard; from memory\nservices 10: common practice, no source" {
		t.Errorf("defaults %q", all)
	}

	// By the root of the sum of squares the amounts are others, and it says so.
	r.Tolerance.By = tolerance.RootOfSquares
	s, _ = fit(words.Check(r, 0))
	if w := s.Parts[4].(words.Group).Items[0].What; w != "may overlap 18" {
		t.Errorf("by rss: %s, want 18", w)
	}
	if first := string(s.Parts[0].(words.Para)); !strings.Contains(first, "by RSS") || strings.Contains(first, "worst case") {
		t.Errorf("by rss it begins %q", first)
	}

	// The worst are kept where too many are to be said.
	s, _ = fit(words.Check(r, 2))
	said := 0
	for _, p := range s.Parts {
		if g, is := p.(words.Group); is {
			said += len(g.Items)
		}
	}
	if last := s.Parts[len(s.Parts)-1]; said != 2 || last != words.Para("And 1 pair less short, not shown here.") {
		t.Errorf("%d said, last %v", said, last)
	}

	r.Doubtful = r.Doubtful[:0]
	if s, ok = fit(words.Check(r, 0)); !ok || !strings.HasPrefix(string(s.Parts[0].(words.Para)), "None: ") {
		t.Errorf("nothing doubtful: %+v, %v", s, ok)
	}
	r.Tolerance = nil
	if _, ok = fit(words.Check(r, 0)); ok || words.Doubtful(r, -1).Title != "" {
		t.Error("said although it was not asked for")
	}
}

func TestDoubtfulTable(t *testing.T) {
	s := words.Doubtful(example.Doubtful(), -1)
	i := slices.IndexFunc(s.Parts, func(p words.Part) bool { _, is := p.(words.Table); return is })
	if i < 0 {
		t.Fatal("no table")
	}
	table := s.Parts[i].(words.Table)
	want := [][]string{
		{"T-1 / ceiling A-B/1-2\ntray.csv:2 / bays.csv:2\nclear of the ceiling (common practice)", "A-B/1-2\nB+1200, grid 2-450, FFL+2760", "20", "-25", "-18", "10", "5 T-1 (its row), 5* ceiling A-B/1-2, 10* S-1\n25 as beam S-1 (steel.csv:2, span 9000) comes down"},
		{"D-1 / P-1\nductwork.csv:3 / pipework.csv:4\ninsulation to insulation (common practice)", "A-B/1-2\nB+1200, grid 2-450, FFL+2760", "33", "13", "19", "25", "10* D-1, 10* P-1\nChecked by height only: one of the two has no position in plan\nNote: a note"},
		{"=1+1 / |x|\ufffd[31m\n<b>.csv:3 / pipework.csv:5", "outside every bay\nB+1200, grid 2-450, FFL+2760", "12", "-8", "-3", "0", "10* =1+1, 10* |x|\ufffd[31m"},
	}
	if !slices.EqualFunc(table.Rows, want, slices.Equal) {
		t.Errorf("rows %q, want %q", table.Rows, want)
	}
	for _, r := range table.Rows {
		if len(r) != len(table.Columns) {
			t.Errorf("%d cells in %d columns", len(r), len(table.Columns))
		}
	}
}
