package text

import (
	"strings"

	"github.com/olekukonko/tablewriter"
	"github.com/olekukonko/tablewriter/renderer"
	"github.com/olekukonko/tablewriter/tw"

	"voidline/reports/words"
)

// between is the number of blanks behind each column of a table.
const between = 2

// How narrow a column of text may become before its words are broken (or its longest word, if that is
// shorter), and then before figures are broken.
const (
	easy  = 20
	least = 6
)

// table writes a table of at most width columns, indented: columns too wide for that are wrapped, the
// widest first; figures are never broken while there is text to wrap.
func (p *page) table(t words.Table, indent int) {
	if len(t.Rows) == 0 {
		return
	}
	n := len(t.Columns)
	head := make([]string, n)
	align := make([]tw.Align, n)
	for i, c := range t.Columns {
		head[i] = c.Head
		align[i] = tw.AlignLeft
		if c.Right {
			align[i] = tw.AlignRight
		}
	}
	room := widths(t, p.width-indent)
	fit := func(row []string) []string {
		out := make([]string, n)
		for i := range out {
			if i >= len(row) {
				continue
			}
			var ls []string
			for l := range strings.SplitSeq(row[i], "\n") {
				ls = append(ls, words.Wrap(l, room[i])...)
			}
			out[i] = strings.Join(ls, "\n")
		}
		return out
	}

	var b strings.Builder
	tb := tablewriter.NewTable(&b,
		tablewriter.WithRenderer(renderer.NewBlueprint()),
		tablewriter.WithRendition(tw.Rendition{
			Borders: tw.BorderNone,
			Symbols: tw.NewSymbols(tw.StyleLight),
			Settings: tw.Settings{
				Separators: tw.Separators{BetweenColumns: tw.Off, BetweenRows: tw.Off},
				Lines:      tw.Lines{ShowHeaderLine: tw.On, ShowFooterLine: tw.On},
			},
		}),
		tablewriter.WithHeaderAutoFormat(tw.Off), tablewriter.WithHeaderAutoWrap(tw.WrapNone),
		tablewriter.WithFooterAutoFormat(tw.Off), tablewriter.WithFooterAutoWrap(tw.WrapNone),
		tablewriter.WithRowAutoWrap(tw.WrapNone),
		tablewriter.WithEastAsian(tw.Off), // no locale is read
		tablewriter.WithTrimSpace(tw.Off),
		tablewriter.WithAlignment(align),
		tablewriter.WithHeaderAlignmentConfig(tw.CellAlignment{PerColumn: align}),
		tablewriter.WithFooterAlignmentConfig(tw.CellAlignment{PerColumn: align}),
		tablewriter.WithPadding(tw.Padding{Right: strings.Repeat(" ", between), Overwrite: true}),
	)
	tb.Header(fit(head))
	for _, row := range t.Rows {
		if err := tb.Append(fit(row)); err != nil && p.err == nil {
			p.err = err
		}
	}
	if t.Foot != nil {
		tb.Footer(fit(t.Foot))
	}
	if err := tb.Render(); err != nil && p.err == nil {
		p.err = err
	}
	for l := range strings.Lines(b.String()) {
		p.line(strings.Repeat(" ", indent) + strings.TrimSuffix(l, "\n"))
	}
}

// widths returns how wide each column may be so that the table, with the blanks behind each column,
// is at most width wide.
func widths(t words.Table, width int) []int {
	n := len(t.Columns)
	w := make([]int, n)
	word := make([]int, n) // the longest word
	see := func(row []string) {
		for i := range min(n, len(row)) {
			for l := range strings.SplitSeq(row[i], "\n") {
				w[i] = max(w[i], words.Width(l))
				for s := range strings.FieldsSeq(l) {
					word[i] = max(word[i], words.Width(s))
				}
			}
		}
	}
	for i, c := range t.Columns {
		see(append(make([]string, i), c.Head))
	}
	for _, row := range t.Rows {
		see(row)
	}
	if t.Foot != nil {
		see(t.Foot)
	}
	sum := between * n
	for _, c := range w {
		sum += c
	}
	for ; sum > width; sum-- {
		widest := -1
		pick := func(may func(i int) bool) {
			if widest >= 0 {
				return
			}
			for i := range w {
				if may(i) && (widest < 0 || w[i] > w[widest]) {
					widest = i
				}
			}
		}
		pick(func(i int) bool { return !t.Columns[i].Right && w[i] > max(least, min(word[i], easy)) })
		pick(func(i int) bool { return w[i] > max(least, word[i]) }) // heads of figures
		pick(func(i int) bool { return !t.Columns[i].Right && w[i] > least })
		pick(func(i int) bool { return w[i] > 1 })
		if widest < 0 {
			break
		}
		w[widest]--
	}
	return w
}
