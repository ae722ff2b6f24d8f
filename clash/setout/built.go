package setout

import (
	"context"
	"slices"
	"strings"

	"voidline/clash"
	"voidline/clash/finding"
	"voidline/void"
)

// Built is what the check says of lengths when all of them are laid as they are set out, in place of their rows: their supports aside, which
// setting out looks at itself.
type Built struct {
	// Tolerance says how doubts were looked for; nil where they were not asked for.
	Tolerance *finding.ToleranceUsed
	// Doubts are, by length, what is clear as laid and may not fit once it is built.
	Doubts [][]finding.Doubt
	// Between are findings between two of the lengths: each is set out with the others as the tables have them, so two of them may want one
	// place.
	Between []finding.Finding
}

// AsBuilt lays lengths as they are set out and asks the check: opt says how. Lengths without a line stay as the tables have them.
func AsBuilt(ctx context.Context, p *void.Project, lengths []Ordered, opt clash.Options) (*Built, error) {
	var laid []void.Instead
	of := map[string]int{} // by row: the length that it is of
	columns := Columns()
	for k := range lengths {
		l := &lengths[k]
		var rows [][]string
		var zones []int
		switch {
		case l.Fall != nil && l.Fall.Start != nil:
			rows, zones = fallRows(p, l.Fall)
		case l.Answer != nil && l.Answer.Found:
			rows, zones = laidRows(p, l.Answer, l.Supports)
		}
		for i, r := range rows {
			x := void.Instead{Zone: zones[i]}
			for n, text := range r {
				x.Cells = append(x.Cells, void.CellText{Column: strings.ReplaceAll(columns[n], " ", ""), Text: text}) // a heading is read without blanks
			}
			laid, of[strings.ToLower(r[0])] = append(laid, x), k
		}
	}
	q, pr := p.Replaced(laid)
	if pr != nil {
		return nil, pr
	}
	opt.Supports.Off, opt.Once = true, true
	res, err := clash.Open(q, opt).Findings(ctx)
	if err != nil {
		return nil, err
	}
	out := &Built{Tolerance: res.Tolerance, Doubts: make([][]finding.Doubt, len(lengths))}
	for i := range res.Doubtful {
		d := &res.Doubtful[i]
		a, isA := of[strings.ToLower(d.Upper)]
		b, isB := of[strings.ToLower(d.Lower)]
		if isA {
			out.Doubts[a] = append(out.Doubts[a], *d)
		}
		if isB && (!isA || a != b) {
			out.Doubts[b] = append(out.Doubts[b], *d)
		}
	}
	for i := range res.Findings {
		f := &res.Findings[i]
		if f.B == nil {
			continue
		}
		a, isA := of[strings.ToLower(f.A)]
		b, isB := of[strings.ToLower(*f.B)]
		if isA && isB && a != b && (lengths[a].alone(f) || lengths[b].alone(f)) {
			out.Between = append(out.Between, *f)
		}
	}
	return out, nil
}

// alone reports whether a sheet does not say itself what a finding says.
func (l *Ordered) alone(f *finding.Finding) bool {
	return l.Answer == nil || !slices.ContainsFunc(l.Answer.Unproved, func(t Thing) bool {
		return strings.EqualFold(t.Name, f.A) || f.B != nil && strings.EqualFold(t.Name, *f.B)
	})
}
