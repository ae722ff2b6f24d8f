package finding

import (
	"cmp"
	"strconv"
	"strings"

	"voidline/clash/figure"
	"voidline/clash/rules"
	"voidline/clash/tolerance"
	"voidline/void"
)

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
	return by.Of(d.Drawn, d.Worst, d.RSS)
}

// Round takes every length to the nearest 0.1 mm.
func (d *Doubt) Round() {
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

// Ratio says a deflection as people do: span/360.
func Ratio(over float64) string { return "span/" + strconv.FormatFloat(over, 'f', -1, 64) }

// CompareDoubts orders doubts as findings: by storey, by bay (those outside every bay last), what would be into each other
// before what would be too near, worst first.
func CompareDoubts(a, b *Doubt, by tolerance.Way, storey map[string]int) int {
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
