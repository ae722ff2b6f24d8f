package clash

import (
	"cmp"
	"context"
	"slices"
	"strconv"
	"strings"

	"voidline/clash/doubt"
	"voidline/clash/figure"
	"voidline/clash/rules"
	"voidline/clash/tolerance"
	"voidline/void"
)

// What is clear as drawn may not fit once it is built: package doubt weighs it. Where it is asked for, such pairs are told as doubts. They
// are no findings: most tolerances are from memory or common practice.

// Doubt is a pair that is clear enough as drawn and may not fit once built. Upper and Lower are ids of zones, or
// "soffit BAY" and "ceiling BAY". Lengths are millimetres, in JSON to the nearest 0.1; below nothing the two are in each
// other.
type Doubt struct {
	ID         string      `json:"id"` // that a finding between the two has
	Upper      string      `json:"upper"`
	Lower      string      `json:"lower"`
	UpperTrade string      `json:"upper_trade"`
	LowerTrade string      `json:"lower_trade"`
	UpperRow   string      `json:"upper_row"` // file:line
	LowerRow   string      `json:"lower_row"`
	UpperRun   string      `json:"upper_run"`
	LowerRun   string      `json:"lower_run"`
	UpperKind  string      `json:"upper_kind"`
	LowerKind  string      `json:"lower_kind"`
	Bay        *string     `json:"bay"` // null: outside every bay
	Storey     string      `json:"storey"`
	At         Spot        `json:"at"`
	Drawn      float64     `json:"as_drawn"`
	Worst      float64     `json:"at_worst"`        // all tolerances the wrong way, and the beam down
	RSS        float64     `json:"root_of_squares"` // by the root of the sum of squares, and the beam down
	Asked      float64     `json:"asked"`           // 0 where no rule is missed and the two may touch
	Rule       string      `json:"rule"`            // the rule in words
	Basis      rules.Basis `json:"basis"`
	ByHeight   bool        `json:"by_height"` // one of the two lies over a whole bay

	Tolerances []Tolerance `json:"tolerances"`
	ComesDown  *ComesDown  `json:"comes_down"` // null where no beam brings the upper down on the lower
	Note       string      `json:"note"`
}

// Left returns what is left by a way of adding up.
func (d *Doubt) Left(by tolerance.Way) float64 {
	x := doubt.Left{Drawn: d.Drawn, Worst: d.Worst, RSS: d.RSS}
	return x.By(by)
}

// Tolerance is how far off its level one thing may be built, plus or minus.
type Tolerance struct {
	Of      string  `json:"of"` // zone id, ceiling BAY, soffit BAY
	MM      float64 `json:"mm"`
	From    string  `json:"from"`    // file:line of the row that says it; "" for a default
	Default string  `json:"default"` // of what the default is: beam, slab, ceiling, services; "" where the row says it
}

// ComesDown is what a beam under load brings down.
type ComesDown struct {
	Beam string  `json:"beam"`
	Row  string  `json:"row"`  // file:line
	Span float64 `json:"span"` // between the columns under the beam, or its ends
	By   float64 `json:"by"`   // at the place, at most
}

// ToleranceDefault is the tolerance of what has none in its row.
type ToleranceDefault struct {
	Of         string  `json:"of"`
	MM         float64 `json:"mm"`
	Source     string  `json:"source"`
	Provenance string  `json:"provenance"` // from memory; common practice, no source
}

// ToleranceUsed says how doubts were looked for.
type ToleranceUsed struct {
	By         tolerance.Way      `json:"by"`         // worst, rss
	Deflection float64            `json:"deflection"` // beams come down by their span over this; 0: they do not
	Defaults   []ToleranceDefault `json:"defaults"`
}

// doubt adds to an answer what may not fit once built, where that is asked for. Every pair is weighed at each asking: none
// of it is kept in the book.
func (r *run) doubt(ctx context.Context, a *Answer) (*Answer, error) {
	by := r.opt.Tolerance
	if by == tolerance.AsDrawn {
		return a, nil
	}
	got, err := doubt.On(r.tape, r.touch, r.opt.Deflection).All(ctx, by, func(i int32) bool { return r.servedBy(i) > 0 })
	if err != nil {
		return nil, err
	}
	res := &a.head
	res.Tolerance = &ToleranceUsed{By: by, Deflection: max(0, r.opt.Deflection)}
	for _, t := range tolerance.Defaults() {
		res.Tolerance.Defaults = append(res.Tolerance.Defaults, ToleranceDefault(t))
	}
	res.Doubtful = []Doubt{}
	for i := range got {
		if x := r.doubtful(&got[i]); r.wantsAt(x.Bay, x.UpperTrade, x.LowerTrade) {
			x.round()
			res.Doubtful = append(res.Doubtful, x)
		}
	}
	order := map[string]int{}
	for i := range r.Project.Storeys {
		order[r.Project.Storeys[i].Name] = i
	}
	slices.SortFunc(res.Doubtful, func(a, b Doubt) int { return compareDoubts(&a, &b, by, order) })
	return a, nil
}

// doubtful puts a doubt into names.
func (r *run) doubtful(d *doubt.Doubt) Doubt {
	x := Doubt{
		Drawn: d.Drawn, Worst: d.Worst, RSS: d.RSS, Asked: d.Asked, Rule: inOnePlace, Basis: rules.Geometry, ByHeight: d.ByHeight,
		Tolerances: r.offsOf(d.Off), ComesDown: r.comesDown(d.Down),
	}
	if d.Rule != nil {
		x.Rule, x.Basis = d.Rule.Name, d.Rule.Basis
	}
	x.Upper, x.UpperTrade, x.UpperRow, x.UpperRun, x.UpperKind = r.thing(d.Upper)
	x.Lower, x.LowerTrade, x.LowerRow, x.LowerRun, x.LowerKind = r.thing(d.Lower)
	x.ID = FindingID(strings.ToLower(x.Upper), strings.ToLower(x.Lower), "")
	f := Finding{}
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
		return bay.SoffitID(), structureTrade, c.Project.FileLine(bay.Row), "", soffitKind
	}
	return bay.CeilingID(), ceilingTrade, c.Project.FileLine(bay.Row), "", ceilingKind
}

// offs says a tolerance in names.
func (c *Check) offs(o doubt.Off) *Tolerance {
	id, _, row, _, _ := c.thing(o.Thing)
	t := &Tolerance{Of: id, MM: o.MM, Default: o.Default}
	if o.Default == "" {
		t.From = row
	}
	return t
}

func (c *Check) offsOf(list []doubt.Off) (out []Tolerance) {
	for _, o := range list {
		out = append(out, *c.offs(o))
	}
	return out
}

// comesDown says what comes down in names; nil for nothing.
func (c *Check) comesDown(d *doubt.Down) *ComesDown {
	if d == nil {
		return nil
	}
	z := c.Zone(d.Beam)
	return &ComesDown{Beam: z.ID, Row: c.Project.FileLine(z.At()), Span: d.Span, By: d.By}
}

// compareDoubts orders doubts as findings: by storey, by bay (those outside every bay last), what would be into each other
// before what would be too near, worst first.
func compareDoubts(a, b *Doubt, by tolerance.Way, storey map[string]int) int {
	key := func(x *Doubt) (last int, bay string, kind int, short float64) {
		if x.Bay == nil {
			last = 1
		} else {
			bay = *x.Bay
		}
		if left := x.Left(by); left < 0 {
			return last, bay, 0, left
		} else {
			return last, bay, 1, left - x.Asked
		}
	}
	lastA, bayA, kindA, shortA := key(a)
	lastB, bayB, kindB, shortB := key(b)
	return cmp.Or(
		storey[a.Storey]-storey[b.Storey], lastA-lastB, void.Natural(bayA, bayB), kindA-kindB, cmp.Compare(shortA, shortB),
		strings.Compare(a.ID, b.ID), strings.Compare(a.Rule, b.Rule),
	)
}

func (d *Doubt) round() {
	for _, v := range []*float64{&d.At.X, &d.At.Y, &d.At.Z, &d.At.Level, &d.Drawn, &d.Worst, &d.RSS, &d.Asked} {
		*v = figure.Tenth(*v)
	}
	for i := range d.Tolerances {
		d.Tolerances[i].MM = figure.Tenth(d.Tolerances[i].MM)
	}
	if d.ComesDown != nil {
		d.ComesDown.Span, d.ComesDown.By = figure.Tenth(d.ComesDown.Span), figure.Tenth(d.ComesDown.By)
	}
}

// Ratio says a deflection as people do: span/360.
func Ratio(over float64) string { return "span/" + strconv.FormatFloat(over, 'f', -1, 64) }
