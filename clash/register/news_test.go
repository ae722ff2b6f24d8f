package register

import (
	"strings"
	"testing"
)

// What is new of a finding, of every state that it had and has; "" is one that no row knew.
func TestNews(t *testing.T) {
	for was, now := range map[State]map[State]News{
		"":      {Open: IsNew, Back: IsNew, Agreed: IsAgreed, Cleared: IsCleared},
		Open:    {Open: StillOpen, Back: IsBack, Agreed: IsAgreed, Cleared: IsCleared},
		Back:    {Open: StillOpen, Back: StillOpen, Agreed: IsAgreed, Cleared: IsCleared},
		Agreed:  {Open: StillOpen, Back: IsBack, Agreed: StillGood, Cleared: IsCleared},
		Cleared: {Open: StillOpen, Back: IsBack, Agreed: IsAgreed, Cleared: StillGood},
	} {
		for state, want := range now {
			e := Entry{Was: was, State: state}
			if got := news(&e, false); got != want {
				t.Errorf("%q, then %q: %q, want %q", was, state, got, want)
			}
			if got := news(&e, true); got != NotChecked {
				t.Errorf("%q, then %q, not checked: %q", was, state, got)
			}
		}
	}
}

// A cell of answers takes as many comments as it holds, each once, with two signs between them; what is shorter and comes behind one
// that has no room has room still.
func TestAnswersUpToWhatACellHolds(t *testing.T) {
	long := func(n int) string { return strings.Repeat("x", n) }
	for _, test := range []struct {
		cell  string
		lines []string
		want  string
		left  int
	}{
		{"", []string{"a"}, "a", 0},
		{"", []string{"a", "b", "a"}, "a; b", 0},
		{"a; c", []string{"a", "b", "c"}, "a; c; b", 0},
		{" ", []string{"a"}, "a", 0},
		{"a", nil, "a", 0},
		{long(mostInCell - 5), []string{"abc"}, long(mostInCell-5) + "; abc", 0},
		{long(mostInCell - 5), []string{"abcd"}, long(mostInCell - 5), 1},
		{long(mostInCell - 5), []string{"abcd", "abc", "d"}, long(mostInCell-5) + "; abc", 2},
		{long(mostInCell - 9), []string{"abc", "d", "e"}, long(mostInCell-9) + "; abc; d", 1},
	} {
		var r Row
		r.Cells[ColAnswers] = test.cell
		if left := r.addReplies(test.lines); left != test.left || r.Cells[ColAnswers] != test.want {
			t.Errorf("%d signs and %q: %d left out and %d signs, want %d and %d", len(test.cell), test.lines, left, len(r.Cells[ColAnswers]), test.left, len(test.want))
		}
	}
}
