package comparison

import (
	"bufio"
	"io"
	"strconv"
	"strings"

	"voidline/clash/finding"
	"voidline/reports/words"
)

// Tried prints what changes to a project come to: the cells, the sums, then the findings that are new, worse, better and cleared.
func Tried(w io.Writer, t *finding.Tried, opt Options) error {
	if opt.Width == 0 {
		opt.Width = 80
	}
	if opt.Most == 0 {
		opt.Most = 100
	}
	p := &page{bufio.NewWriter(w), max(opt.Width, 40), opt.Color}
	p.para("", "  ", "What a change to "+name(t.After)+" comes to:")
	p.line("")
	p.title("Cells that change", len(t.Changes))
	if len(t.Changes) == 0 {
		p.line("  None.")
	}
	for i, c := range t.Changes {
		if i == opt.Most && opt.Most > 0 {
			p.line("  and " + strconv.Itoa(len(t.Changes)-i) + " more")
			break
		}
		of, from := words.Name(c.Zone), words.Clean(c.From)
		switch {
		case c.Bay != "": // what stood there is not kept
			of = "bay " + words.Name(c.Bay)
		case from == "":
			from = "blank"
		}
		p.para("  ", "    ", of+" "+words.Clean(c.Column)+": "+strings.TrimSpace(from+" -> "+words.Clean(c.To)))
	}
	p.line("")
	p.para("", "", strconv.Itoa(len(t.Cleared))+" cleared, "+strconv.Itoa(len(t.Made))+" new, "+strconv.Itoa(len(t.Worse))+" worse, "+
		strconv.Itoa(len(t.Better))+" better, "+strconv.Itoa(t.Left)+" as they were. In problems: "+strconv.Itoa(t.Before.Problems)+" before, "+
		strconv.Itoa(t.After.Problems)+" after.")
	for _, x := range t.Parted {
		p.line("")
		w := "Run " + words.Name(x.Run) + " comes in " + words.Count(x.Lengths, "length", "lengths") + " then, not as supports.csv says: " + words.Count(x.Supports, "support", "supports")
		if x.Fixed > 0 {
			w += ", " + strconv.Itoa(x.Fixed) + " of them fixed,"
		}
		p.para("", "  ", w+" would no longer count until it is set out again; the usual places do.")
	}
	list := func(title string, n int, of func(i int) (first string, f *finding.Finding)) {
		if n == 0 {
			return
		}
		p.line("")
		p.title(title, n)
		for i := range n {
			if i == opt.Most && opt.Most > 0 {
				p.line("  and " + strconv.Itoa(n-i) + " more")
				break
			}
			first, f := of(i)
			p.para("  ", "    ", f.ID+"  "+first+": "+pair(f))
			p.para("    ", "    ", place(f))
		}
	}
	short := func(fs []finding.Finding) func(i int) (string, *finding.Finding) {
		return func(i int) (string, *finding.Finding) {
			return kind(&fs[i]) + ", " + words.Up(fs[i].Short) + " short", &fs[i]
		}
	}
	altered := func(as []finding.Altered) func(i int) (string, *finding.Finding) {
		return func(i int) (string, *finding.Finding) {
			f := &as[i].Finding
			return kind(f) + ", " + words.Up(as[i].Before) + " -> " + words.Up(as[i].After) + " short", f
		}
	}
	list("New", len(t.Made), short(t.Made))
	list("Worse", len(t.Worse), altered(t.Worse))
	list("Better, and still there", len(t.Better), altered(t.Better))
	list("Cleared", len(t.Cleared), short(t.Cleared))
	return p.w.Flush()
}

func (p *page) title(s string, n int) { p.line(p.bold(s + ": " + strconv.Itoa(n))) }

func kind(f *finding.Finding) string {
	if f.Kind == finding.Tight {
		return "tight gap"
	}
	return string(f.Kind)
}
