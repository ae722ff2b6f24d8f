package text

import (
	"cmp"
	"io"
	"slices"
	"strconv"
	"strings"

	"voidline/clash/finding"
	"voidline/reports/words"
)

// lineParts is how many parts a line of Lines has.
const lineParts = 8

// Lines prints one line a finding, in the order of their numbers: number, id, kind and amount, the two, bay, place, level, what
// to move. Two blanks part them; a part that there is nothing to say about is a dash. No line is wrapped.
func Lines(w io.Writer, fs []finding.Finding, numbers map[string]int) error {
	type line struct {
		number int
		parts  [lineParts]string
	}
	lines := make([]line, len(fs))
	var wide [lineParts]int
	for i := range fs {
		f := &fs[i]
		l := &lines[i]
		l.number = numbers[f.Problem()]
		l.parts = [lineParts]string{
			strconv.Itoa(l.number), words.Clean(f.ID), words.What(f), words.Between(f), words.Bay(f), words.Where(f.At),
			words.Level(f.At.Level), words.ToMove(f),
		}
		for k := range l.parts {
			l.parts[k] = cmp.Or(l.parts[k], "-")
			wide[k] = max(wide[k], words.Width(l.parts[k]))
		}
	}
	slices.SortStableFunc(lines, func(a, b line) int { return cmp.Compare(a.number, b.number) })
	p := newPage(w, Options{})
	for _, l := range lines {
		var s strings.Builder
		for k, part := range l.parts {
			fill := strings.Repeat(" ", wide[k]-words.Width(part))
			switch k {
			case 0:
				s.WriteString(fill + part)
			case lineParts - 1:
				s.WriteString("  " + part)
			default:
				s.WriteString("  " + part + fill)
			}
		}
		p.line(s.String())
	}
	return p.done()
}
