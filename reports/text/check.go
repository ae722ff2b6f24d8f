package text

import (
	"io"
	"strings"

	"voidline/clash/finding"
	"voidline/reports/words"
)

// margin is the width of the column at the left of a finding that says what it is and its id.
const margin = 17

// Check prints the result of a check: what is missing from it, what was checked and found, the
// findings by bay with the worst first, builder's work, what is to be protected, what was excused,
// what could not be checked, warnings, cautions.
func Check(w io.Writer, r *finding.Result, opt Options) error {
	return Answer(w, words.Check(r, opt.Most), opt)
}

// Answer prints an answer in words.
func Answer(w io.Writer, a words.Answer, opt Options) error {
	p := newPage(w, opt)
	for _, l := range words.Wrap(a.Title, p.width) {
		p.line(p.bold(l))
	}
	if len(a.Missing) > 0 {
		p.line("")
		for i, part := range a.Missing {
			if para, ok := part.(words.Para); ok && i == 0 {
				for _, l := range words.Wrap(string(para), p.width-4) {
					p.line(p.bold("!!  " + l))
				}
				continue
			}
			p.part(part)
		}
	}
	for _, s := range a.Sections {
		if s.Level == 1 {
			p.heading(s.Title, s.Aside)
		} else {
			p.ruled(s.Title, s.Aside)
		}
		for i, part := range s.Parts {
			if _, ok := part.(words.Table); ok && i > 0 {
				p.line("")
			} else if i > 0 {
				_, group := part.(words.Group)
				switch s.Parts[i-1].(type) {
				case words.Table, words.Group:
					p.line("")
				case words.Para, words.List:
					if group {
						p.line("")
					}
				}
			}
			p.part(part)
		}
	}
	return p.done()
}

func (p *page) part(part words.Part) {
	switch part := part.(type) {
	case words.Para:
		p.para("  ", "  ", string(part))
	case words.List:
		for _, l := range part {
			p.para("  · ", "    ", l)
		}
	case words.Table:
		p.table(part, 2)
	case words.Group:
		p.group(part)
	}
}

// group prints one finding, or several under their heading.
func (p *page) group(g words.Group) {
	indent := 2
	if g.Heading != "" {
		for i, l := range words.Wrap(g.Heading, p.width-4) {
			if i == 0 {
				p.line("  " + p.bold(l))
			} else {
				p.line("    " + p.bold(l))
			}
		}
		for _, c := range g.Common {
			p.para("    ", "      ", c)
		}
		indent = 4
	}
	for _, it := range g.Items {
		p.item(it, indent)
	}
}

// item prints a finding: what it is and its id at the left, the rest beside it.
func (p *page) item(it words.Item, indent int) {
	left := words.Wrap(it.What, margin-1)
	bold := len(left)
	if it.ID != "" {
		left = append(left, words.Wrap(it.ID, margin-1)...)
	}
	var right []string
	for _, l := range it.Lines {
		for i, part := range words.Wrap(l, p.width-indent-margin-2) {
			if i > 0 {
				part = "  " + part
			}
			right = append(right, part)
		}
	}
	for i := range max(len(left), len(right)) {
		l, r := "", ""
		if i < len(left) {
			l = left[i]
		}
		if i < len(right) {
			r = right[i]
		}
		dress := p.faint
		if i < bold {
			dress = p.bold
		}
		gap := strings.Repeat(" ", margin-words.Width(l))
		p.line(strings.Repeat(" ", indent) + dress(l) + gap + r)
	}
}
