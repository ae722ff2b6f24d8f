// Package text prints answers for a terminal or a plain page: lines of a given width, readable
// with no colour. It looks at no environment: width and colour are given.
package text

import (
	"bufio"
	"io"
	"strings"

	"voidline/reports/words"
)

// Options says how to print.
type Options struct {
	Width int  // columns; 0 stands for 80, less than 40 counts as 40
	Color bool // bold and faint by escape sequences; nothing is told by colour alone
	Most  int  // findings (and rows of each other table) that are printed; 0 stands for 300, less than 0 for all
}

const (
	usualWidth = 80
	leastWidth = 40
)

// page writes lines; the first error stays and is returned at the end.
type page struct {
	w     *bufio.Writer
	width int
	color bool
	err   error
}

func newPage(w io.Writer, opt Options) *page {
	width := opt.Width
	if width == 0 {
		width = usualWidth
	}
	return &page{w: bufio.NewWriter(w), width: max(width, leastWidth), color: opt.Color}
}

func (p *page) done() error {
	if err := p.w.Flush(); p.err == nil {
		p.err = err
	}
	return p.err
}

// line writes one line; blanks at its end are cut off.
func (p *page) line(s string) {
	if _, err := p.w.WriteString(strings.TrimRight(s, " ") + "\n"); err != nil && p.err == nil {
		p.err = err
	}
}

// bold and faint dress text that is already laid out: escape sequences take no width.
func (p *page) bold(s string) string  { return p.dress("1", s) }
func (p *page) faint(s string) string { return p.dress("2", s) }

func (p *page) dress(code, s string) string {
	if !p.color || strings.TrimSpace(s) == "" {
		return s
	}
	return "\x1b[" + code + "m" + s + "\x1b[0m"
}

// para writes wrapped text, the first line behind first, the others behind next.
func (p *page) para(first, next, s string) {
	for i, l := range words.Wrap(s, p.width-max(words.Width(first), words.Width(next))) {
		if i == 0 {
			p.line(first + l)
		} else {
			p.line(next + l)
		}
	}
}

// heading writes the title of a part, and a few words that belong to it.
func (p *page) heading(title, aside string) {
	p.line("")
	if aside != "" {
		title += ": " + aside
	}
	for _, l := range words.Wrap(title, p.width) {
		p.line(p.bold(l))
	}
}

// ruled writes the title of a smaller part on a rule that reaches across the page; what does
// not fit on it goes on below.
func (p *page) ruled(title, aside string) {
	p.line("")
	room := p.width - 3
	if aside != "" && words.Width(title)+words.Width(aside)+6 <= room {
		rule := strings.Repeat("─", room-words.Width(title)-words.Width(aside)-2)
		p.line("── " + p.bold(title) + " " + rule + " " + aside)
		return
	}
	ls := words.Wrap(title, room-2)
	for i, l := range ls {
		switch {
		case i == 0 && len(ls) == 1:
			p.line("── " + p.bold(l) + " " + strings.Repeat("─", room-words.Width(l)-1))
		case i == 0:
			p.line("── " + p.bold(l))
		default:
			p.line("   " + p.bold(l))
		}
	}
	if aside != "" {
		p.para("   ", "   ", aside)
	}
}
