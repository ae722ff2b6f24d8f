package register

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// Answer is what came home about one finding in an exchange file.
type Answer struct {
	ID     string // of the finding
	Status string // as written there: a state, or any word
	Due    Date   // "" for none
	Notes  []Note // comments
}

// Note is a comment that came home.
type Note struct {
	On     Date
	Author string
	Text   string
}

// Apply enters answers into a register; rows are not changed. Comments, and words that are no state, are added to
// the column answers, each once. Only agreed is taken for a state: whether something is open, back or cleared
// is measured. The due date, and with agreed the reason and the name (of the last comment), fill
// cells that are blank; where a person wrote something else, that stands and is told. Answers to findings
// that no row knows are told.
func Apply(rows []Row, answers []Answer) ([]Row, []Told) {
	out := slices.Clone(rows)
	byID := map[string]int{}
	for i := range out {
		if id := said(&out[i], ColFinding); IsID(id) {
			if _, ok := byID[id]; !ok {
				byID[id] = i
			}
		}
	}
	var told []Told
	tell := func(i int, id, text string) { told = append(told, Told{i, id, text}) }
	for _, a := range answers {
		i, ok := byID[a.ID]
		if !ok {
			tell(-1, a.ID, "an answer to a finding that the register does not know: "+summary(a))
			continue
		}
		r := &out[i]
		notes := slices.Clone(a.Notes)
		slices.SortStableFunc(notes, func(x, y Note) int {
			return cmp.Or(cmp.Compare(x.On, y.On), cmp.Compare(x.Author, y.Author), cmp.Compare(x.Text, y.Text))
		})
		var lines []string
		for _, n := range notes {
			if line := n.line(); line != "" {
				lines = append(lines, line)
			}
		}
		state, isState := ParseState(a.Status)
		if word := Clean(a.Status); !isState && word != "" {
			lines = append(lines, "status "+unsemi(word))
			tell(i, a.ID, "its status elsewhere is "+quote(word)+": noted, not taken for a state")
		}
		have := map[string]bool{}
		for h := range strings.SplitSeq(r.Cells[ColAnswers], ";") {
			have[strings.TrimSpace(h)] = true
		}
		for _, l := range lines {
			if !have[l] {
				have[l] = true
				if said(r, ColAnswers) != "" {
					l = r.Cells[ColAnswers] + "; " + l
				}
				r.Cells[ColAnswers] = l
			}
		}
		fill := func(c Column, text string) {
			switch is := said(r, c); {
			case text == "" || is == text:
			case is == "":
				r.Cells[c] = Clean(text)
			default:
				if d, ok := ParseDate(is); c == ColDue && ok && string(d) == text {
					return
				}
				tell(i, a.ID, fmt.Sprintf("%s is %s in the register and stays; elsewhere it is %s", c.Heading(), quote(is), quote(text)))
			}
		}
		fill(ColDue, string(a.Due))
		was, wasState := ParseState(r.Cells[ColState])
		switch {
		case !isState || state == was:
		case state != Agreed:
			tell(i, a.ID, fmt.Sprintf("it is called %s elsewhere: noted; what it is, the next check measures", state))
		case !wasState && said(r, ColState) != "":
			tell(i, a.ID, fmt.Sprintf("it is called agreed elsewhere; the register says %s, which stays", quote(said(r, ColState))))
		case was == Cleared:
			tell(i, a.ID, "it is called agreed elsewhere, but it is cleared")
		default:
			r.Cells[ColState] = string(Agreed)
			if n := len(notes); n > 0 {
				fill(ColReason, Clean(notes[n-1].Text))
				fill(ColAgreedBy, Clean(notes[n-1].Author))
			}
		}
	}
	return out, told
}

// line is a comment as it stands in the column answers: 2026-03-09 J. Nowak: moved up 50.
func (n Note) line() string {
	text := Clean(n.Text)
	if text == "" {
		return ""
	}
	if who := Clean(n.Author); who != "" {
		text = who + ": " + text
	}
	if n.On != "" {
		text = string(n.On) + " " + text
	}
	return unsemi(text)
}

// unsemi keeps the sign that parts answers out of them.
func unsemi(s string) string { return strings.ReplaceAll(s, ";", ",") }

func summary(a Answer) string {
	var parts []string
	if s := Clean(a.Status); s != "" {
		parts = append(parts, "status "+quote(s))
	}
	for _, n := range a.Notes {
		if l := n.line(); l != "" {
			parts = append(parts, quote(l))
		}
	}
	if len(parts) == 0 {
		return "nothing said"
	}
	return strings.Join(parts, ", ")
}
