package meeting

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"strings"

	"voidline/clash/finding"
	"voidline/clash/register"
	"voidline/reports/words"
)

// What a finding is stamped with.
const (
	MarkNew    = "new"
	MarkBack   = "back"
	MarkOpen   = "open"
	MarkAgreed = "agreed"
)

// Marks lists them in the order of the meeting.
func Marks() []string { return []string{MarkNew, MarkBack, MarkOpen, MarkAgreed} }

// Standing is how a finding stands: what the register, or the comparison with last time, says of it.
type Standing struct {
	Mark  string
	Fresh bool   // agreed since last time
	Turn  string // worse by 12, better by 3; "" for neither or not known
	turn  register.Turn

	First, Due                              register.Date
	Late                                    bool // the due date is past
	Days                                    int  // by how many days; 0 where it is not
	Owner, Action, Reason, AgreedBy, Raised string
	Query, Amount                           string // Amount: what was agreed, whole mm
	Unconfirmed                             string // what it was matched with, for somebody to confirm
	Replies                                 string // the newest of what came home in exchange files
	Proposed                                bool   // a reply calls it agreed, and nobody has agreed to it
}

func (s Standing) open() bool { return s.Mark != MarkAgreed }

// Notes says what people wrote in the register, part by part.
func (s Standing) Notes() []string {
	var n []string
	add := func(label, text string) {
		if text != "" {
			n = append(n, label+text)
		}
	}
	add("", s.Turn)
	add("owner: ", s.Owner)
	add("due: ", s.By())
	add("action: ", s.Action)
	if s.Mark == MarkAgreed {
		a := s.Amount
		if s.AgreedBy != "" {
			a = strings.TrimSpace(a + " by " + s.AgreedBy)
		}
		add("agreed: ", a)
	}
	add("reason: ", s.Reason)
	add("raised: ", s.Raised)
	add("query: ", s.Query)
	add("replies: ", s.Replies)
	if s.Proposed {
		add("", proposed)
	}
	add("first seen: ", string(s.First))
	if s.Unconfirmed != "" {
		add("to be confirmed in the register: ", s.Unconfirmed)
	}
	return n
}

// By says by when it is due, and by how much that is past: 2026-03-05, overdue 4 days; "" where nobody said.
func (s Standing) By() string {
	if s.Late {
		return string(s.Due) + ", " + words.Overdue(s.Days)
	}
	return string(s.Due)
}

// Brief says in few words whose it is, by when, and what was answered last.
func (s Standing) Brief() string {
	var n []string
	if s.Owner != "" {
		n = append(n, s.Owner)
	}
	switch {
	case s.Late:
		n = append(n, words.Overdue(s.Days))
	case s.Due != "" && s.open():
		n = append(n, "due "+string(s.Due))
	}
	if s.Replies != "" {
		n = append(n, "replies: "+s.Replies)
	}
	if s.Proposed {
		n = append(n, proposed)
	}
	return strings.Join(n, "; ")
}

// proposed says that somebody elsewhere would let a finding stand.
const proposed = "proposed as agreed: to accept, write agreed, a reason and a name in the register"

// How many replies are said with a finding, the newest, and how long each may be.
const (
	mostReplies = 3
	replyLength = 200
)

// replies says what came home about a finding in exchange files.
func replies(cell string) string {
	notes, _ := register.Replies(cell)
	slices.SortStableFunc(notes, func(a, b register.Note) int { return cmp.Compare(a.On, b.On) })
	var l []string
	if n := len(notes) - mostReplies; n > 0 {
		l = append(l, strconv.Itoa(n)+" earlier in the register")
		notes = notes[n:]
	}
	for _, n := range notes {
		s := words.Short(words.Clean(n.Text), replyLength)
		if n.Author != "" {
			s = words.Clean(n.Author) + ": " + s
		}
		if n.On != "" {
			s = string(n.On) + " " + s
		}
		l = append(l, s)
	}
	return strings.Join(l, "; ")
}

// Since is what changed since last time.
type Since struct {
	// Known is false where there is nothing to compare with; then the rest is empty.
	Known bool
	// Against says with what it was compared.
	Against string
	// Problems and Findings count by what became of them.
	Problems, Findings Moved
	Worse, Better      int // problems still open of which a finding changed by more than the touch tolerance
	// New, Back, Worsened and Agreed are the findings now, the worst first, Cleared those that went; NotChecked counts what may
	// be there or not, because rows are missing.
	New, Back, Worsened, Agreed []*Finding
	Cleared                     []Gone
	NotChecked                  int
	Weeks                       []Week
}

// Moved counts what became of problems or findings. Agreed and Cleared are those since last time; Standing
// agreements are counted apart.
type Moved struct{ New, Back, Cleared, Agreed, Open, Stand int }

// Gone is a finding that is cleared.
type Gone struct{ ID, Between, Bay, Storey, Was string }

// Week is how many problems were open at the end of a week: what is agreed or cleared is not among them.
type Week struct {
	Label string
	Open  int
}

// standings says of each finding of the result how it stands.
func standings(in Input) map[string]Standing {
	all := map[string]Standing{}
	for i := range in.Result.Findings {
		all[in.Result.Findings[i].ID] = Standing{Mark: MarkOpen}
	}
	if c := in.Since; c != nil {
		for i := range c.Changes {
			ch := &c.Changes[i]
			if ch.New == nil {
				continue
			}
			s := Standing{Mark: MarkOpen, turn: ch.Turn}
			switch ch.Turn {
			case register.TurnNew:
				s.Mark = MarkNew
			case register.TurnBack:
				s.Mark = MarkBack
			case register.TurnWorse:
				s.Turn = "worse by " + words.Up(ch.By)
			case register.TurnBetter:
				s.Turn = "better by " + words.Down(-ch.By)
			}
			all[ch.New.ID] = s
		}
	}
	if in.Register == nil {
		return all
	}
	for i := range in.Register.Entries {
		e := &in.Register.Entries[i]
		if e.Now == nil {
			continue
		}
		s := Standing{
			Mark: MarkOpen, Turn: all[e.ID].Turn, turn: all[e.ID].turn, First: e.First, Due: e.Due, Days: e.Overdue(in.Date),
			Owner: words.Clean(e.Owner), Action: words.Clean(e.Action), Reason: words.Clean(e.Reason), AgreedBy: words.Clean(e.AgreedBy),
			Raised: words.Clean(e.Raised), Query: words.Clean(e.Query), Replies: replies(e.Answers), Proposed: e.Proposed,
		}
		switch {
		case e.State == register.Agreed:
			s.Mark = MarkAgreed
			s.Fresh = e.News == register.IsAgreed
		case e.State == register.Back:
			s.Mark = MarkBack
		case e.News == register.IsNew:
			s.Mark = MarkNew
		}
		if !math.IsNaN(e.Agreed) {
			s.Amount = words.Up(e.Agreed)
		}
		if e.Unconfirmed {
			s.Unconfirmed = words.Clean(e.Matched)
		}
		s.Late = s.Days > 0
		switch {
		case in.Since != nil || s.Mark == MarkNew:
		case e.By > 0:
			s.Turn, s.turn = "worse by "+words.Up(e.By), register.TurnWorse
		case e.By < 0:
			s.Turn, s.turn = "better by "+words.Down(-e.By), register.TurnBetter
		}
		all[e.ID] = s
	}
	return all
}

// rank orders what became of the findings of one problem: the problem is what the first of them is.
// A problem of which a part was there last time is no new one.
func rank(m *Moved) []*int {
	return []*int{&m.Back, &m.Open, &m.New, &m.Agreed, &m.Stand, &m.Cleared}
}

func (rep *Report) since(in Input, stands map[string]Standing) {
	s := &rep.Since
	open := map[string]bool{}
	place := map[string]int{} // problem -> index into rank
	worse, better := map[string]bool{}, map[string]bool{}
	count := func(problem string, at int) {
		*rank(&s.Findings)[at]++
		if is, ok := place[problem]; !ok || at < is {
			place[problem] = at
		}
	}
	for b := range rep.Bays {
		for _, f := range rep.Bays[b].All {
			if f.Standing.open() {
				open[f.Problem()] = true
			}
			switch f.Standing.Mark {
			case MarkNew:
				s.New = append(s.New, f)
				count(f.Problem(), 2)
			case MarkBack:
				s.Back = append(s.Back, f)
				count(f.Problem(), 0)
			case MarkAgreed:
				if f.Standing.Fresh {
					s.Agreed = append(s.Agreed, f)
					count(f.Problem(), 3)
				} else {
					count(f.Problem(), 4)
				}
			default:
				count(f.Problem(), 1)
			}
			switch {
			case !f.Standing.open():
			case f.Standing.turn == register.TurnWorse:
				worse[f.Problem()] = true
				s.Worsened = append(s.Worsened, f)
			case f.Standing.turn == register.TurnBetter:
				better[f.Problem()] = true
			}
		}
	}
	rep.Open = len(open)
	if in.Register == nil && in.Since == nil {
		*s = Since{}
		return
	}
	s.Known = true
	s.Worse, s.Better = len(worse), len(better)
	if in.Register != nil {
		s.Against = "the register as it was before " + string(in.Date)
		if in.Since != nil {
			s.Against += " (new, back, agreed and cleared); worse and better are against the result given with --since"
		}
		for i := range in.Register.Entries {
			e := &in.Register.Entries[i]
			if e.Now != nil {
				continue
			}
			if e.News == register.NotChecked {
				s.NotChecked++
				continue
			}
			if e.News != register.IsCleared {
				continue
			}
			f := in.Register.Rows[e.Row].Finding()
			s.Cleared = append(s.Cleared, Gone{words.Clean(e.ID), words.Between(&f), bay(&f), words.Clean(f.Storey), wasSaid(&f, e.Short)})
			count(f.Problem(), 5)
		}
		for i, n := range in.Register.WeeksOpen(weeksShown) {
			s.Weeks = append(s.Weeks, Week{string(in.Date.Add(-7 * (weeksShown - 1 - i))), n})
		}
		for len(s.Weeks) > 1 && s.Weeks[0].Open == 0 {
			s.Weeks = s.Weeks[1:] // before the register began
		}
	} else {
		s.Against = "the result given for last time"
		for i := range in.Since.Changes {
			ch := &in.Since.Changes[i]
			if ch.Turn != register.TurnCleared {
				continue
			}
			s.Cleared = append(s.Cleared, Gone{words.Clean(ch.Old.ID), words.Between(ch.Old), bay(ch.Old), words.Clean(ch.Old.Storey), words.What(ch.Old)})
			count(ch.Old.Problem(), 5)
		}
		s.Weeks = []Week{{"last time", finding.CountProblems(in.Since.Old.Findings)}, {string(in.Date), rep.Open}}
	}
	for _, at := range place {
		*rank(&s.Problems)[at]++
	}
	for _, l := range [][]*Finding{s.New, s.Back, s.Worsened, s.Agreed} {
		slices.SortStableFunc(l, func(a, b *Finding) int { return finding.Worse(a.Finding, b.Finding) })
	}
}

// weeksShown is how many weeks the trend shows at most.
const weeksShown = 12

func wasSaid(f *finding.Finding, short float64) string {
	switch {
	case f.Kind == finding.Tight:
		return "tight, " + words.Up(short) + " short"
	case f.Kind == "":
		return ""
	}
	return words.Clean(string(f.Kind)) + ", " + words.Up(short) + " short"
}

func bay(f *finding.Finding) string {
	if f.Bay == nil {
		return "outside every bay"
	}
	return words.Clean(*f.Bay)
}
