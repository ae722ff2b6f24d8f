package clash

import (
	"context"
	"slices"
	"strings"

	"voidline/clash/doubt"
	"voidline/clash/finding"
	"voidline/clash/rules"
	"voidline/clash/tolerance"
)

// What is clear as drawn may not fit once it is built: package doubt weighs it. Where it is asked for, such pairs are told as doubts. They
// are no findings: most tolerances are from memory or common practice.

// doubt adds to an answer what may not fit once built, where that is asked for. Every pair is weighed at each asking: none
// of it is kept in the book.
func (r *run) doubt(ctx context.Context, a *Answer) (*Answer, error) {
	by := r.opt.Tolerance
	if by == tolerance.AsDrawn {
		return a, nil
	}
	got, err := doubt.On(r.tape, r.touch, r.opt.Deflection).All(ctx, by, func(i int32) bool { return r.kept.ServedBy(i) > 0 })
	if err != nil {
		return nil, err
	}
	res := &a.head
	res.Tolerance = &finding.ToleranceUsed{By: by, Deflection: max(0, r.opt.Deflection)}
	for _, t := range tolerance.Defaults() {
		res.Tolerance.Defaults = append(res.Tolerance.Defaults, finding.ToleranceDefault(t))
	}
	res.Doubtful = []finding.Doubt{}
	for i := range got {
		if x := r.doubtful(&got[i]); r.wantsAt(x.Bay, x.UpperTrade, x.LowerTrade) {
			x.Round()
			res.Doubtful = append(res.Doubtful, x)
		}
	}
	order := map[string]int{}
	for i := range r.Project.Storeys {
		order[r.Project.Storeys[i].Name] = i
	}
	slices.SortFunc(res.Doubtful, func(a, b finding.Doubt) int { return finding.CompareDoubts(&a, &b, by, order) })
	return a, nil
}

// doubtful puts a doubt into names.
func (r *run) doubtful(d *doubt.Doubt) finding.Doubt {
	x := finding.Doubt{
		Drawn: d.Drawn, Worst: d.Worst, RSS: d.RSS, Asked: d.Asked, Rule: inOnePlace, Basis: rules.Geometry, ByHeight: d.ByHeight,
		Tolerances: r.offsOf(d.Off), ComesDown: r.comesDown(d.Down),
	}
	if d.Rule != nil {
		x.Rule, x.Basis = d.Rule.Name, d.Rule.Basis
	}
	x.Upper, x.UpperTrade, x.UpperRow, x.UpperRun, x.UpperKind = r.thing(d.Upper)
	x.Lower, x.LowerTrade, x.LowerRow, x.LowerRun, x.LowerKind = r.thing(d.Lower)
	x.ID = finding.ID(strings.ToLower(x.Upper), strings.ToLower(x.Lower), "")
	f := finding.Finding{}
	switch bay := max(d.Upper.Bay, d.Lower.Bay); {
	case bay >= 0:
		b := &r.Project.Bays[bay]
		f.At, f.Bay, f.Storey = r.spotAt(b.Storey, d.At), &b.Label, r.Project.Storeys[b.Storey].Name
	case r.Zone(d.Upper.Zone).ID < r.Zone(d.Lower.Zone).ID: // told where a finding between the two is
		r.place(&f, d.At, d.Upper.Zone, d.Lower.Zone)
	default:
		r.place(&f, d.At, d.Lower.Zone, d.Upper.Zone)
	}
	x.At, x.Bay, x.Storey = f.At, f.Bay, f.Storey
	if d.Hung {
		x.Note = "lowest point: the hanger under it: " + r.Project.Hangers[r.Zone(d.Upper.Zone).Hanger].Name
	}
	return x
}

// thing says who one of the two of a doubt is.
func (c *Check) thing(t doubt.Thing) (id, trade, row, run, kind string) {
	if t.Zone >= 0 {
		z, ch := c.Zone(t.Zone), c.Char(t.Zone)
		return z.ID, ch.Trade, c.Project.FileLine(z.At()), z.Run(), ch.Kind
	}
	bay := &c.Project.Bays[t.Bay]
	if t.Soffit {
		return bay.SoffitID(), finding.StructureTrade, c.Project.FileLine(bay.Row), "", finding.SoffitKind
	}
	return bay.CeilingID(), finding.CeilingTrade, c.Project.FileLine(bay.Row), "", finding.CeilingKind
}

// offs says a tolerance in names.
func (c *Check) offs(o doubt.Off) *finding.Tolerance {
	id, _, row, _, _ := c.thing(o.Thing)
	t := &finding.Tolerance{Of: id, MM: o.MM, Default: o.Default}
	if o.Default == "" {
		t.From = row
	}
	return t
}

func (c *Check) offsOf(list []doubt.Off) (out []finding.Tolerance) {
	for _, o := range list {
		out = append(out, *c.offs(o))
	}
	return out
}

// comesDown says what comes down in names; nil for nothing.
func (c *Check) comesDown(d *doubt.Down) *finding.ComesDown {
	if d == nil {
		return nil
	}
	z := c.Zone(d.Beam)
	return &finding.ComesDown{Beam: z.ID, Row: c.Project.FileLine(z.At()), Span: d.Span, By: d.By}
}
