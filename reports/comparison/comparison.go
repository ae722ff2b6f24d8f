// Package comparison says what changed between two answers of a check, and what an update did to the
// register: as text for a terminal and as JSON.
package comparison

import (
	"bufio"
	"encoding/json"
	"fmt"
	"io"
	"strconv"
	"strings"

	"github.com/olekukonko/tablewriter"
	"github.com/olekukonko/tablewriter/renderer"
	"github.com/olekukonko/tablewriter/tw"

	"voidline/clash/finding"
	"voidline/clash/register"
	"voidline/reports/words"
)

// Options says how to print.
type Options struct {
	Width int  // columns; 0 stands for 80, less than 40 counts as 40
	Color bool // bold by escape sequences; nothing is told by colour alone
	Most  int  // findings of each turn that are printed; 0 stands for 100, less than 0 for all
	// Register: a register was asked what is back; else that is told as not known.
	Register bool
}

// titles of the turns.
var titles = map[register.Turn]string{
	register.TurnNew:     "New",
	register.TurnBack:    "Back: cleared once, there again",
	register.TurnWorse:   "Worse",
	register.TurnSame:    "The same",
	register.TurnBetter:  "Better, and still there",
	register.TurnCleared: "Cleared",
}

// page writes lines; the first error stays.
type page struct {
	w     *bufio.Writer
	width int
	color bool
}

func (p *page) line(s string) { p.w.WriteString(strings.TrimRight(s, " ") + "\n") } // bufio keeps the first error for Flush

func (p *page) bold(s string) string {
	if !p.color {
		return s
	}
	return "\x1b[1m" + s + "\x1b[0m"
}

func (p *page) para(first, next, s string) {
	for i, l := range words.Wrap(s, p.width-max(words.Width(first), words.Width(next))) {
		if i > 0 {
			first = next
		}
		p.line(first + l)
	}
}

// Text prints a comparison: what it is of, the table by trade, then the findings by turn, worst first. What is
// the same is counted and not listed.
func Text(w io.Writer, c *register.Comparison, opt Options) error {
	if opt.Width == 0 {
		opt.Width = 80
	}
	if opt.Most == 0 {
		opt.Most = 100
	}
	p := &page{bufio.NewWriter(w), max(opt.Width, 40), opt.Color}
	title := "voidline compare: " + name(c.Old) + " -> " + name(c.New)
	for _, l := range words.Wrap(title, p.width) {
		p.line(p.bold(l))
	}
	p.line("")
	if m := missing(c); len(m) > 0 {
		for _, l := range m {
			p.para("!!  ", "    ", l)
		}
		p.line("")
	}
	p.para("", "", fmt.Sprintf("%s before, %s now.", words.Count(len(c.Old.Findings), "finding", "findings"), words.Count(len(c.New.Findings), "finding", "findings"))+
		" In problems: "+strconv.Itoa(c.Old.Problems)+" before, "+strconv.Itoa(c.New.Problems)+" now.")
	if c.New.Filter != "" {
		p.para("", "", "Both are limited to "+words.Clean(c.New.Filter)+".")
	}
	p.line("")
	if len(c.Changes) == 0 {
		p.line("Nothing was found before, and nothing now.")
		return p.w.Flush()
	}
	if err := p.table(c); err != nil {
		return err
	}
	p.para("", "", "Each finding counts once, with the trade that has to move.")
	if !opt.Register {
		p.para("", "", "There is no register to compare with: what is back counts as new.")
	}
	for _, turn := range register.Turns() {
		var of []*register.Change
		for i := range c.Changes {
			if c.Changes[i].Turn == turn {
				of = append(of, &c.Changes[i])
			}
		}
		if turn == register.TurnSame {
			kept := of[:0]
			for _, ch := range of {
				if ch.Matched {
					kept = append(kept, ch) // for a person to confirm
				}
			}
			of = kept
		}
		if len(of) == 0 {
			continue
		}
		title := titles[turn]
		if turn == register.TurnSame {
			title += ", under another id"
		}
		p.line("")
		p.line(p.bold(title + ": " + strconv.Itoa(len(of))))
		for i, ch := range of {
			if i == opt.Most && opt.Most > 0 {
				p.line("  and " + strconv.Itoa(len(of)-i) + " more")
				break
			}
			for j, l := range lines(ch) {
				if j == 0 {
					p.para("  ", "    ", l)
				} else {
					p.para("    ", "    ", l)
				}
			}
		}
	}
	return p.w.Flush()
}

func name(r *finding.Result) string {
	if r.Project == "" {
		return "a project without a name"
	}
	return words.Name(r.Project)
}

// missing says what makes the comparison doubtful.
func missing(c *register.Comparison) []string {
	var l []string
	if n := c.Old.RowsMissing; n > 0 {
		l = append(l, words.Count(n, "row is", "rows are")+" MISSING from the old result: what is listed as new may not be new.")
	}
	if n := c.New.RowsMissing; n > 0 {
		l = append(l, words.Count(n, "row is", "rows are")+" MISSING from the new result: what is listed as cleared may still be there.")
	}
	return l
}

// lines says a change: what, whose, where, by how much.
func lines(ch *register.Change) []string {
	f := ch.Finding()
	what := string(f.Kind)
	if f.Kind == finding.Tight {
		what = "tight gap"
	}
	first := f.ID + "  " + what + ", " + words.Up(f.Short) + " short: " + pair(f)
	if ch.Old != nil && ch.New != nil && (ch.Turn == register.TurnWorse || ch.Turn == register.TurnBetter) {
		first = f.ID + "  " + what + ", " + words.Up(ch.Old.Short) + " -> " + words.Up(ch.New.Short) + " short: " + pair(f)
	}
	out := []string{first, place(f)}
	switch {
	case f.GivesWay == "":
	case len(f.Moves) > 0 && ch.New != nil:
		out[1] += "; " + words.ToMove(f)
	default:
		out[1] += "; to move: " + words.Name(f.GivesWay)
	}
	if ch.Matched {
		out = append(out, "treated as the earlier "+ch.Old.ID+" ("+pair(ch.Old)+"): same run, kinds and place; please confirm")
	}
	return out
}

func pair(f *finding.Finding) string {
	end := func(id, trade, row string) string {
		var in []string
		for _, s := range []string{trade, row} {
			if s != "" {
				in = append(in, words.Name(s))
			}
		}
		if len(in) == 0 {
			return words.Name(id)
		}
		return words.Name(id) + " (" + strings.Join(in, ", ") + ")"
	}
	s := end(f.A, f.ATrade, f.ARow)
	if f.B != nil {
		s += " / " + end(*f.B, f.BTrade, f.BRow)
	}
	return s
}

func place(f *finding.Finding) string {
	s := "outside every bay"
	if f.Bay != nil {
		s = "bay " + words.Name(*f.Bay)
	}
	s = words.InStorey(s, f.Storey)
	if f.At.Where != "" {
		s += ", " + words.Clean(f.At.Where)
	}
	if s += ", " + words.Level(f.At.Level); f.Surveyed {
		s += "; " + words.Found(f)
	}
	return s
}

// The figures of the table take so much of a page, and the name of a trade at most so much.
const (
	figures   = 46
	tradeMost = 24
)

// table writes how many findings of each trade took which turn: on a page too narrow for a table, in words.
func (p *page) table(c *register.Comparison) error {
	if p.width < figures+16 {
		for _, of := range c.ByTrade {
			p.para("", "  ", tradeName(of.Trade)+": "+counted(of))
		}
		p.para("", "  ", "all: "+counted(c.All))
		p.line("")
		return nil
	}
	head := []string{"trade", "new", "back", "worse", "same", "better", "cleared"}
	align := []tw.Align{tw.AlignLeft}
	for range head[1:] {
		align = append(align, tw.AlignRight)
	}
	row := func(t register.TradeTurns, name string) []string {
		out := []string{words.Short(words.Clean(name), min(tradeMost, p.width-figures))}
		for _, n := range []int{t.New, t.Back, t.Worse, t.Same, t.Better, t.Clear} {
			if n == 0 {
				out = append(out, "-")
			} else {
				out = append(out, strconv.Itoa(n))
			}
		}
		return out
	}
	var b strings.Builder
	t := tablewriter.NewTable(&b,
		tablewriter.WithRenderer(renderer.NewBlueprint()),
		tablewriter.WithRendition(tw.Rendition{
			Borders: tw.BorderNone, Symbols: tw.NewSymbols(tw.StyleLight),
			Settings: tw.Settings{
				Separators: tw.Separators{BetweenColumns: tw.Off, BetweenRows: tw.Off},
				Lines:      tw.Lines{ShowHeaderLine: tw.On, ShowFooterLine: tw.On},
			},
		}),
		tablewriter.WithHeaderAutoFormat(tw.Off), tablewriter.WithHeaderAutoWrap(tw.WrapNone),
		tablewriter.WithFooterAutoFormat(tw.Off), tablewriter.WithFooterAutoWrap(tw.WrapNone),
		tablewriter.WithRowAutoWrap(tw.WrapNone), tablewriter.WithEastAsian(tw.Off), tablewriter.WithTrimSpace(tw.Off),
		tablewriter.WithAlignment(align),
		tablewriter.WithHeaderAlignmentConfig(tw.CellAlignment{PerColumn: align}),
		tablewriter.WithFooterAlignmentConfig(tw.CellAlignment{PerColumn: align}),
		tablewriter.WithPadding(tw.Padding{Right: "  ", Overwrite: true}),
	)
	t.Header(head)
	for _, of := range c.ByTrade {
		if err := t.Append(row(of, tradeName(of.Trade))); err != nil {
			return err
		}
	}
	t.Footer(row(c.All, "all"))
	if err := t.Render(); err != nil {
		return err
	}
	for l := range strings.Lines(b.String()) {
		p.line(strings.TrimSuffix(l, "\n"))
	}
	p.line("")
	return nil
}

func tradeName(trade string) string {
	if trade == "" {
		return "(no trade)"
	}
	return words.Name(trade)
}

// counted says how many took which turn, in words.
func counted(t register.TradeTurns) string {
	var parts []string
	for _, n := range []struct {
		n    int
		what string
	}{{t.New, "new"}, {t.Back, "back"}, {t.Worse, "worse"}, {t.Same, "same"}, {t.Better, "better"}, {t.Clear, "cleared"}} {
		if n.n > 0 {
			parts = append(parts, strconv.Itoa(n.n)+" "+n.what)
		}
	}
	return strings.Join(parts, ", ")
}

// change is a change in JSON. Lengths are mm to the nearest 0.1.
type change struct {
	Turn     register.Turn `json:"turn"`
	ID       string        `json:"id"`
	OldID    string        `json:"old_id,omitempty"` // where it was matched by run, kinds and place
	Kind     finding.Kind  `json:"kind"`
	A        string        `json:"a"`
	B        *string       `json:"b"`
	Trade    string        `json:"trade"` // of the zone that gives way
	Bay      *string       `json:"bay"`
	Storey   string        `json:"storey"`
	Where    string        `json:"where"`
	Level    float64       `json:"level"`
	OldShort *float64      `json:"old_short"` // null where it is not in the old answer
	NewShort *float64      `json:"new_short"`
	By       *float64      `json:"by"` // null where it is in one answer only
}

type counts struct {
	New     int `json:"new"`
	Back    int `json:"back"`
	Worse   int `json:"worse"`
	Same    int `json:"same"`
	Better  int `json:"better"`
	Cleared int `json:"cleared"`
}

func countsOf(t register.TradeTurns) counts {
	return counts{t.New, t.Back, t.Worse, t.Same, t.Better, t.Clear}
}

type document struct {
	Old            string            `json:"old"`
	New            string            `json:"new"`
	OldRowsMissing int               `json:"old_rows_missing"`
	NewRowsMissing int               `json:"new_rows_missing"`
	Filter         string            `json:"filter"`
	Register       bool              `json:"register"` // a register was asked what is back
	Counts         counts            `json:"counts"`
	ByTrade        map[string]counts `json:"by_trade"`
	Changes        []change          `json:"changes"`
}

// JSON writes a comparison as a JSON document, all changes in it, worst turn first.
func JSON(w io.Writer, c *register.Comparison, opt Options) error {
	d := document{
		Old: c.Old.Project, New: c.New.Project, OldRowsMissing: c.Old.RowsMissing, NewRowsMissing: c.New.RowsMissing,
		Filter: c.New.Filter, Register: opt.Register, Counts: countsOf(c.All), ByTrade: map[string]counts{}, Changes: []change{},
	}
	for _, t := range c.ByTrade {
		d.ByTrade[t.Trade] = countsOf(t)
	}
	for i := range c.Changes {
		ch := &c.Changes[i]
		f := ch.Finding()
		out := change{
			Turn: ch.Turn, ID: f.ID, Kind: f.Kind, A: f.A, B: f.B, Trade: f.Mover(), Bay: f.Bay, Storey: f.Storey,
			Where: f.At.Where, Level: words.Tenth(f.At.Level),
		}
		tenth := func(v float64) *float64 { v = words.Tenth(v); return &v }
		if ch.Old != nil {
			out.OldShort = tenth(ch.Old.Short)
		}
		if ch.New != nil {
			out.NewShort = tenth(ch.New.Short)
		}
		if ch.Old != nil && ch.New != nil {
			out.By = tenth(ch.By)
		}
		if ch.Matched {
			out.OldID = ch.Old.ID
		}
		d.Changes = append(d.Changes, out)
	}
	text, err := json.MarshalIndent(d, "", " ")
	if err == nil {
		_, err = w.Write(append(words.Spelled(text), '\n'))
	}
	return err
}

// Register says in a few lines what an update did to the register; at most most of what is told of single
// rows (0: all).
func Register(o *register.Outcome, most int) []string {
	n := map[register.News]int{}
	for i := range o.Entries {
		n[o.Entries[i].News]++
	}
	var parts []string
	for _, k := range []register.News{register.IsNew, register.IsBack, register.IsCleared, register.IsAgreed, register.StillOpen, register.StillGood, register.NotChecked} {
		if n[k] > 0 {
			parts = append(parts, strconv.Itoa(n[k])+" "+string(k))
		}
	}
	if len(parts) == 0 {
		parts = []string{"nothing in it"}
	}
	out := []string{"register on " + string(o.Date) + ": " + strings.Join(parts, ", ")}
	return append(out, Told(o.Told, most)...)
}

// Told says what is told of rows, at most most of it (0: all). What stands behind it of the register as a whole is always said.
func Told(all []register.Told, most int) []string {
	behind := len(all)
	for behind > 0 && all[behind-1].ID == "" {
		behind--
	}
	var out []string
	for i, t := range all {
		if i == most && most > 0 && behind > most {
			out = append(out, "and "+strconv.Itoa(behind-most)+" more about the register")
		}
		if i >= most && most > 0 && i < behind {
			continue
		}
		s := words.Clean(t.Text)
		if t.ID != "" {
			s = words.Clean(t.ID) + ": " + s
		}
		out = append(out, s)
	}
	return out
}
