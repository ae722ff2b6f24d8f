package text_test

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"voidline/clash"
	"voidline/clash/finding"
	"voidline/clash/tolerance"
	"voidline/reports/internal/golden"
	"voidline/reports/text"
)

// stackBuilt is stack with tolerances.
func stackBuilt() text.StackTable {
	s := stack()
	slab := finding.Tolerance{Of: "soffit A-B/1-2", MM: 15, Default: "slab"}
	duct := finding.Tolerance{Of: "SA1-02", MM: 10, Default: "services"}
	tray := finding.Tolerance{Of: "B-07", MM: 2.5, From: "tray.csv:9"}
	ceiling := finding.Tolerance{Of: "ceiling A-B/1-2", MM: 5, Default: "ceiling"}
	for i, t := range []*finding.Tolerance{&slab, &duct, &tray, &tray, nil, nil, &ceiling} {
		s.Lines[i].Tolerance = t
	}
	s.Lines[0].Built = &clash.Built{AtWorst: 15, ByRoot: 21.9722, Down: 40, Off: []finding.Tolerance{slab, duct}}
	s.Lines[1].Built = &clash.Built{AtWorst: -2.5, ByRoot: -0.3078, Down: 10, Off: []finding.Tolerance{duct, tray}}
	s.Lines[2].Built = &clash.Built{Fixed: true}
	s.Lines[3].Built = &clash.Built{
		AtWorst: -63.4, ByRoot: -61.4902, Down: -55.9, Off: []finding.Tolerance{tray, ceiling},
		ComesDown: &finding.ComesDown{Beam: "S-3", Row: "steel.csv:4", Span: 7200, By: 20},
	}
	s.Built = &finding.ToleranceUsed{By: tolerance.WorstCase, Deflection: 360, Defaults: []finding.ToleranceDefault{
		{Of: "beam", MM: 10, Source: "a standard", Provenance: "from memory"},
		{Of: "slab", MM: 15, Provenance: "common practice, no source"},
		{Of: "ceiling", MM: 5, Source: "level of a ceiling", Provenance: "from memory"},
		{Of: "services", MM: 10, Provenance: "common practice, no source"},
	}}
	return s
}

func TestStackBuilt(t *testing.T) {
	for _, w := range widths {
		var b bytes.Buffer
		if err := text.Stack(&b, stackBuilt(), text.Options{Width: w}); err != nil {
			t.Fatal(err)
		}
		fits(t, b.String(), w)
		golden.Equal(t, fmt.Sprintf("stack-built-%d.txt", w), b.Bytes())
	}
}

// What is given for the built stack is printed only where it was asked for, and defaults that nothing in the stack takes
// are not listed.
func TestStackBuiltAsked(t *testing.T) {
	var plain, unasked, asked bytes.Buffer
	s := stackBuilt()
	for _, test := range []struct {
		to *bytes.Buffer
		s  text.StackTable
	}{{&plain, stack()}, {&asked, s}} {
		if err := text.Stack(test.to, test.s, text.Options{}); err != nil {
			t.Fatal(err)
		}
	}
	for i := range s.Lines {
		s.Lines[i].Tolerance, s.Lines[i].Built = nil, nil
	}
	s.Built = nil
	if err := text.Stack(&unasked, s, text.Options{}); err != nil {
		t.Fatal(err)
	}
	if unasked.String() != plain.String() {
		t.Errorf("not asked for, yet another text:\n%s", unasked.String())
	}
	if strings.Contains(asked.String(), "* beam") || !strings.Contains(asked.String(), "* services 10: common practice, no source") {
		t.Errorf("the defaults are not those used:\n%s", asked.String())
	}
}
