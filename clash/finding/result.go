package finding

import (
	"slices"
	"strings"

	"voidline/void"
)

// Version is what the program calls itself in its answers.
const Version = "0.1"

// Cautions end every report.
var cautions = []string{
	"This is a check of the data given, not a survey: levels are to be verified on site before anything is fixed.",
	"Openings and fixings in structure are the structural engineer's to allow.",
	"Hanger and anchor loads are not checked.",
	"Fire stopping, gas, electrical segregation and sprinkler coverage are for the licensed designer and the local code.",
	"Before drilling look out for asbestos, post-tensioned slabs and live services.",
}

// Cautions returns the cautions with which every report ends.
func Cautions() []string { return slices.Clone(cautions) }

// Result is the whole answer: the JSON document.
type Result struct {
	Voidline        string         `json:"voidline"` // version
	Project         string         `json:"project"`  // folder name
	Checked         Checked        `json:"checked"`
	RowsMissing     int            `json:"rows_missing"`
	Filter          string         `json:"filter,omitempty"`                          // what narrows the answer, in words
	Limits          *Limits        `json:"limits,omitempty"`                          // the same for programs; nil where nothing does
	SupportsLeftOut bool           `json:"supports_left_out,omitempty" added:"later"` // although rows are hung
	Survey          *Survey        `json:"survey,omitempty" added:"later"`            // what was found on site; nil where nothing was
	Counts          Counts         `json:"counts"`
	Problems        int            `json:"problem_count"`  // counted in problems, not in pairs
	Held            int            `json:"held,omitempty"` // findings that are counted but not given, those given are the worst
	Findings        []Finding      `json:"findings"`
	BuildersWork    []Hole         `json:"builders_work"`
	Together        []Together     `json:"holes_together,omitempty" added:"later"` // holes that one might do for
	ToBeProtected   []Protection   `json:"to_be_protected"`
	Tolerance       *ToleranceUsed `json:"tolerance,omitempty"`       // how doubts were looked for; nil where they were not asked for
	Doubtful        []Doubt        `json:"doubtful,omitempty"`        // clear as drawn, may not fit once built; no findings
	Excused         map[string]int `json:"excused"`                   // why -> pairs that belong together
	InRoom          []InRoom       `json:"in_room,omitempty"`         // under the ceiling, and no finding: by trade and kind
	Through         []Through      `json:"through_ceiling,omitempty"` // upright, through a ceiling without an opening: no finding
	// What documents of an earlier version have not is marked added.
	ExcusedPairs  []ExcusedPair `json:"excused_pairs" added:"later"` // the same pair by pair; in JSON alone
	Questions     []Question    `json:"questions" added:"later"`
	Joints        []Joint       `json:"joints" added:"later"` // no findings; they count for the exit status
	JointCount    int           `json:"joint_count" added:"later"`
	Warnings      []Issue       `json:"warnings"`
	InputProblems []Issue       `json:"problems"`
	Unchecked     []Note        `json:"unchecked"`
	Cautions      []string      `json:"cautions"`
}

// Counts counts findings by kind.
type Counts struct {
	Overlap int `json:"overlap"`
	Tight   int `json:"tight"`
	Access  int `json:"access"`
}

// Checked says what was checked.
type Checked struct {
	Storeys int            `json:"storeys"`
	Bays    int            `json:"bays"`
	Zones   int            `json:"zones"`
	ByTrade map[string]int `json:"by_trade"`
	Rules   int            `json:"rules"`
	Pairs   int            `json:"pairs"` // pairs near enough for a rule to matter
}

// Limits narrow an answer: findings outside them are neither given nor counted. What is empty does not narrow.
type Limits struct {
	Bays   []string `json:"bays"`
	Trades []string `json:"trades"`
	Only   []Kind   `json:"only"`
	Firm   bool     `json:"firm"` // rules that rest on practice are left out
}

// Note is something told about the input or the check: what could not be checked and why.
type Note struct {
	Zone string `json:"zone,omitempty"`
	Bay  string `json:"bay,omitempty"`
	Row  string `json:"row,omitempty"` // file:line
	Text string `json:"text"`
}

// Issue is a problem or a warning of the input in JSON.
type Issue struct {
	File   string `json:"file"`
	Line   int    `json:"line"`
	Column int    `json:"column"`
	Text   string `json:"text"`
	// More is how many issues of the file it stands for, which are not told one by one; 0: it is one itself.
	More int `json:"more,omitempty"`
}

// CountIssues returns how many issues a list stands for.
func CountIssues(list []Issue) int {
	n := 0
	for i := range list {
		n += max(1, list[i].More)
	}
	return n
}

// Issues turns problems of the input into the record's form, by file and line, of each file the first void.MostOfFile.
func Issues(ps []void.Problem) []Issue {
	out := make([]Issue, 0, min(len(ps), void.MostOfFile))
	for _, p := range void.Bounded(ps) {
		q := p
		q.File, q.Line, q.Column = "", 0, 0
		out = append(out, Issue{File: p.File, Line: p.Line, Column: p.Column, Text: q.String(), More: p.More})
	}
	return slices.Compact(out)
}

// PairCount counts findings between two trades (in alphabetical order).
type PairCount struct {
	A, B string
	Counts
	Problems int // as Finding.Problem tells them apart
}

// PairCounts counts findings by pair of trades, in alphabetical order.
func PairCounts(fs []Finding) []PairCount {
	type key struct{ a, b string }
	at := map[key]*PairCount{}
	probs := map[key]map[string]bool{}
	var keys []key
	for i := range fs {
		f := &fs[i]
		k := key{f.ATrade, f.BTrade}
		if k.b != "" && k.b < k.a {
			k.a, k.b = k.b, k.a
		}
		if at[k] == nil {
			at[k] = &PairCount{A: k.a, B: k.b}
			probs[k] = map[string]bool{}
			keys = append(keys, k)
		}
		switch f.Kind {
		case Overlap:
			at[k].Overlap++
		case Tight:
			at[k].Tight++
		case Access:
			at[k].Access++
		}
		probs[k][f.Problem()] = true
	}
	slices.SortFunc(keys, func(x, y key) int {
		if c := strings.Compare(x.a, y.a); c != 0 {
			return c
		}
		return strings.Compare(x.b, y.b)
	})
	out := make([]PairCount, len(keys))
	for i, k := range keys {
		out[i] = *at[k]
		out[i].Problems = len(probs[k])
	}
	return out
}
