package register

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"voidline/clash/finding"
)

// Answer is what came home about one finding in an exchange file.
type Answer struct {
	ID     string // of the finding
	Status string // as written there: a state, or any word
	Due    Date   // "" for none
	// Assigned is to whom it was given elsewhere; "" where that is as it was sent. Unsure: the file does not say to whom it was
	// sent, so one of the two trades may be that.
	Assigned string
	Unsure   bool
	Notes    []Note // comments
}

// Note is a comment that came home.
type Note struct {
	On     Date
	Author string
	Text   string
}

// Closed is the status under which a finding that is cleared goes out.
const Closed = "closed"

// How much of what comes home one cell takes, bytes of UTF-8. Spreadsheets hold 32,767 signs in a cell (from memory), and a
// register that one of them cannot save again is lost.
const (
	mostInCell = 32000 // of the column answers
	mostInNote = 4000  // of one comment
	mostInWord = 200   // of a status, of a name
)

// Apply enters answers into a register; rows are not changed. Comments, and a status that is not what the register says,
// are added to the column answers, each once. No status changes a state: whether something is open, back or
// cleared is measured, and agreed is a proposal until a person writes it, with a reason and a name. The due
// date, and to whom it was given elsewhere as the owner, fill cells that are blank; where a person wrote
// something else, that stands and is told. Answers to findings that no row knows are told. An answer to a finding that
// goes on under another id (match.go) is its row's.
func Apply(rows []Row, answers []Answer) ([]Row, []Told) {
	out := slices.Clone(rows)
	byID := rowsByID(out)
	days := writingOf(rows, "")
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
		cut := 0
		for _, n := range notes {
			line, short := shorten(n.line(), mostInNote)
			if line != "" {
				lines = append(lines, line)
			}
			if short {
				cut++
			}
		}
		if cut > 0 {
			tell(i, a.ID, fmt.Sprintf("%d of its comments are longer than %d signs and are cut there", cut, mostInNote))
		}
		was, wasState := ParseState(r.Cells[ColState])
		state, isState := ParseState(a.Status)
		word, _ := shorten(Clean(a.Status), mostInWord)
		closed := strings.EqualFold(word, Closed)
		switch {
		case word == "" || isState && state == was || closed && was == Cleared:
		case isState && state == Agreed && was == Cleared:
			tell(i, a.ID, "it is called agreed elsewhere, but it is cleared")
		case isState && state == Agreed:
			lines = append(lines, proposal)
			if !wasState && said(r, ColState) != "" {
				tell(i, a.ID, fmt.Sprintf("it is called agreed elsewhere: a proposal; the register says %s, which stays", quote(said(r, ColState))))
			} else {
				tell(i, a.ID, "it is called agreed elsewhere: a proposal, until somebody writes agreed in the register, with a reason and a name")
			}
		case isState:
			tell(i, a.ID, fmt.Sprintf("it is called %s elsewhere: noted; what it is, the next check measures", state))
		default:
			lines = append(lines, statusMark+unsemi(word))
			tell(i, a.ID, "its status elsewhere is "+quote(word)+": noted, not taken for a state")
		}
		if left := r.addReplies(lines); left > 0 {
			tell(i, a.ID, fmt.Sprintf("%d of its comments are not taken over: the cell answers holds at most %d signs", left, mostInCell))
		}
		fill := func(c Column, text string) {
			text, short := shorten(Clean(text), mostInWord)
			if short {
				tell(i, a.ID, fmt.Sprintf("%s is longer than %d signs elsewhere and is cut there", c.Heading(), mostInWord))
			}
			switch is := said(r, c); {
			case text == "" || strings.EqualFold(is, text):
			case is == "":
				r.Cells[c] = text
			default:
				if d, ok := days.read(is); c == ColDue && ok && string(d) == text {
					return
				}
				tell(i, a.ID, fmt.Sprintf("%s is %s in the register and stays; elsewhere it is %s", c.Heading(), quote(is), quote(text)))
			}
		}
		fill(ColDue, string(a.Due))
		if !a.Unsure || !strings.EqualFold(a.Assigned, said(r, ColATrade)) && !strings.EqualFold(a.Assigned, said(r, ColBTrade)) {
			fill(ColOwner, a.Assigned)
		}
	}
	return out, told
}

// rowsByID returns the row of each id: those that it has, and those that it had before it was matched.
func rowsByID(rows []Row) map[string]int {
	byID := map[string]int{}
	for _, before := range []bool{false, true} {
		for i := range rows {
			id := said(&rows[i], ColFinding)
			if before {
				id, _ = rows[i].Before()
			}
			if _, ok := byID[id]; !ok && IsID(id) {
				byID[id] = i
			}
		}
	}
	return byID
}

// KnownIDs returns the ids of findings that rows of a register know: their own, and those from before they were matched.
func KnownIDs(rows []Row) []string {
	var ids []string
	for id := range rowsByID(rows) {
		ids = append(ids, id)
	}
	slices.Sort(ids)
	return ids
}

// Before returns the id that a row's finding had before it was matched by run, kinds and place; false where it was not, or
// somebody said no to that.
func (r *Row) Before() (string, bool) {
	id, _, ok := wasText(r.Cells[ColMatched])
	if !ok || !IsID(said(r, ColFinding)) || isNo(r.Cells[ColConfirm]) {
		return "", false
	}
	return id, true
}

// The lines of the column answers that are no comments begin so.
const (
	statusMark = "status "
	proposal   = statusMark + string(Agreed)
)

// addReplies adds lines to the column answers, each once and as many as it holds, and returns how many are left out.
func (r *Row) addReplies(lines []string) (left int) {
	have := map[string]bool{}
	for h := range strings.SplitSeq(r.Cells[ColAnswers], ";") {
		have[strings.TrimSpace(h)] = true
	}
	var b strings.Builder
	b.WriteString(r.Cells[ColAnswers])
	if said(r, ColAnswers) == "" {
		b.Reset()
	}
	before := b.Len()
	for _, l := range lines {
		if have[l] {
			continue
		}
		have[l] = true
		if b.Len()+2+len(l) > mostInCell {
			left++
			continue
		}
		if b.Len() > 0 {
			b.WriteString("; ")
		}
		b.WriteString(l)
	}
	if b.Len() > before {
		r.Cells[ColAnswers] = b.String()
	}
	return left
}

// Replies reads the column answers: the comments in it, in their order, and whether it was proposed to let the finding
// stand. Other words of a status are left out.
func Replies(cell string) (notes []Note, proposed bool) {
	for l := range strings.SplitSeq(cell, ";") {
		l = strings.TrimSpace(l)
		switch {
		case l == "":
		case l == proposal:
			proposed = true
		case strings.HasPrefix(l, statusMark):
		default:
			notes = append(notes, noteOf(l))
		}
	}
	return notes, proposed
}

// noteOf reads a comment as line writes it. What has no date or no name at its head has none.
func noteOf(line string) Note {
	var n Note
	if on, rest, ok := strings.Cut(line, " "); ok {
		if d, ok := ParseDate(on); ok && string(d) == on {
			n.On, line = d, rest
		}
	}
	if who, text, ok := strings.Cut(line, ": "); ok && len(who) <= mostInWord {
		n.Author, line = who, text
	}
	n.Text = line
	return n
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

// shorten cuts a text to so many bytes and reports whether it was longer.
func shorten(s string, most int) (string, bool) {
	if len(s) <= most {
		return s, false
	}
	most -= len("…")
	for !utf8.RuneStart(s[most]) {
		most--
	}
	return strings.TrimSpace(s[:most]) + "…", true
}

// mostInSummary is how many comments are told of an answer that no row takes.
const mostInSummary = 5

func summary(a Answer) string {
	var parts []string
	if s := Clean(a.Status); s != "" {
		parts = append(parts, "status "+quote(s))
	}
	for i, n := range a.Notes {
		if i == mostInSummary {
			parts = append(parts, fmt.Sprintf("and %d more", len(a.Notes)-i))
			break
		}
		if l := n.line(); l != "" {
			parts = append(parts, quote(l))
		}
	}
	if len(parts) == 0 {
		return "nothing said"
	}
	return strings.Join(parts, ", ")
}

// Finding is what a row knows of its finding: its ends, its place, its shortfall.
func (r *Row) Finding() finding.Finding {
	c := &r.Cells
	f := finding.Finding{
		ID: said(r, ColFinding), Kind: finding.Kind(said(r, ColKind)), Storey: c[ColStorey],
		A: c[ColA], ATrade: c[ColATrade], ARun: c[ColARun], AKind: c[ColAKind],
		BTrade: c[ColBTrade], BRun: c[ColBRun], BKind: c[ColBKind],
	}
	if b := c[ColB]; b != "" {
		f.B = &b
	}
	if b := c[ColBay]; b != "" {
		f.Bay = &b
	}
	f.At.Where = c[ColPlace]
	f.Short, _ = number(c[ColShort])
	f.At.Level, _ = number(c[ColLevel])
	f.At.X, _ = number(c[ColX])
	f.At.Y, _ = number(c[ColY])
	f.At.Z, _ = number(c[ColZ])
	return f
}
