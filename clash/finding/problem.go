package finding

import (
	"strings"

	"voidline/void"
)

// Problem returns a key that is the same for all findings that people count as one problem. Of a finding that does not say
// it, as older answers and rows of a register do not, it is that of runs without branches.
func (f *Finding) Problem() string {
	if f.ProblemID != "" {
		return f.ProblemID
	}
	side := func(run, trade, id string) string {
		if is, of := void.Identity(id); is == void.OwnSupports {
			id = of // supports count with their row
		}
		return SideText(run, trade, id, "")
	}
	b, bay := SideText("", "", "", ""), ""
	if f.B != nil {
		b = side(f.BRun, f.BTrade, *f.B)
	}
	if f.Bay != nil {
		bay = *f.Bay
	}
	return ProblemText(side(f.ARun, f.ATrade, f.A), b, f.Storey, bay)
}

// SideText is what one side of a problem is: a run of a trade or a branch of it, else what has an id.
func SideText(run, trade, id, branch string) string {
	switch {
	case run == "":
		return "zone " + strings.ToLower(id)
	case branch != "":
		return "run " + strings.ToLower(run) + " of " + trade + " at " + strings.ToLower(branch)
	}
	return "run " + strings.ToLower(run) + " of " + trade
}

// ProblemText returns what is the same for all findings of one problem: two sides in a bay ("*": any) of a storey.
func ProblemText(a, b, storey, bay string) string {
	return idText(idNumber([]byte(a), []byte(b), []byte(storey+"\x00"+bay)))
}

// CountProblems returns how many problems findings come to.
func CountProblems(fs []Finding) int { return len(Numbers(fs)) }

// Numbers numbers the problems of answers from 1, in the order of their findings (by storey, by bay, the worst first); what
// only a later answer has goes on from there. Every form of answer calls a problem by this number.
func Numbers(answers ...[]Finding) map[string]int {
	numbers := map[string]int{}
	for _, fs := range answers {
		for i := range fs {
			if p := fs[i].Problem(); numbers[p] == 0 {
				numbers[p] = len(numbers) + 1
			}
		}
	}
	return numbers
}
