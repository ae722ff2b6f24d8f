// Package example holds results made by hand for the tests of the writers. It is for tests alone.
package example

import (
	"fmt"
	"strings"

	"voidline/clash/finding"
	"voidline/clash/rules"
	"voidline/void/cell"
)

// Long is a name of 300 signs.
var Long = strings.Repeat("LONG-name-of-a-duct/", 15)

func to[T any](v T) *T { return &v }

// Empty is a result in which nothing was found.
func Empty() *finding.Result {
	return &finding.Result{Voidline: "0.1", Project: "empty"}
}

// Result is a small floor with every kind of finding, and with names that a writer must not trust.
func Result() *finding.Result {
	r := &finding.Result{
		Voidline: "0.1", Project: "Łódź, piętro 2",
		Checked: finding.Checked{Storeys: 2, Bays: 8, Zones: 104, Rules: 14, Pairs: 412, ByTrade: map[string]int{
			"structure": 20, "ductwork": 24, "containment": 22, "pipework": 14, "lighting": 18, "sprinklers": 6,
		}},
		RowsMissing: 2,
		InputProblems: []finding.Issue{
			{File: "tray.csv", Line: 14, Column: 22, Text: `level: "2,900" is ambiguous; give millimetres (thousands or decimal comma?)`},
			{File: "duct.csv", Line: 31, Column: 8, Text: "x1: empty; give a place"},
		},
		Warnings: []finding.Issue{
			{File: "tray.csv", Line: 1, Column: 40, Text: `unknown column "colour"`},
			{File: "lights.csv", Line: 7, Column: 0, Text: "service \"lightning\" is not known (did you mean lighting?)"},
		},
		Excused: map[string]int{
			"pieces of one run that meet end to end": 31,
			"a recessed item and its ceiling":        18,
			"joined by name":                         4,
		},
		InRoom: []finding.InRoom{
			{Trade: "lighting", Kind: "light fitting", Number: 12, First: []string{"PL-1", "PL-2", "PL-3"}},
			{Trade: "pipework", Kind: "radiator", Number: 2, First: []string{"RAD-1", "RAD-2"}},
		},
		Through: []finding.Through{{
			Zone: "SVP-1", Trade: "drainage", Kind: "pipe", Run: "DR1", Row: "drainage.csv:4", Storey: "Level 2", Ceilings: []string{"ceiling A-B/1-2"},
			At: finding.Spot{X: 7200, Y: 11550, Z: 6400, Level: 2700, Where: "B+1200, grid 2-450"},
		}},
		Unchecked: []finding.Note{
			{Zone: "P-90", Row: "pipes.csv:12", Text: "is outside every bay: checked against everything else, but not against a ceiling or soffit"},
			{Bay: "C-D/3-4", Row: "bays.csv:9", Text: "has no zones"},
			{Zone: "P-91", Row: "pipes.csv:13", Text: "is outside every bay: checked against everything else, but not against a ceiling or soffit"},
			{Zone: "E-1", Row: "tray.csv:20", Text: "class is blank: separation from data cables is not worked out"},
		},
		Cautions: []string{
			"A check of the data given, not a survey: verify levels on site.",
			"Openings and fixings in structure are the structural engineer's.",
			"Hanger and anchor loads are not checked.",
			"Fire stopping, gas, electrical segregation and sprinkler coverage are for the licensed designer and the local code.",
			"Look out for asbestos, post-tensioned slabs and live services before drilling.",
		},
		BuildersWork: []finding.Hole{
			{
				Service: "SA1-04", In: "W-Tŷ", Row: "duct.csv:12", InRow: "walls.csv:3", Bay: to("A-B/1-2"), Storey: "Level 2",
				At: finding.Spot{X: 7200, Y: 11550, Z: 6688, Level: 2988, Where: "B+1200, grid 2-450"}, Width: 750.04, Height: 450.2, Level: 2762.9, Margin: 25,
			},
			{
				Service: "P-22", In: "soffit B-C/1-2", Row: "pipes.csv:5", InRow: "bays.csv:4", Storey: "Level 2",
				At: finding.Spot{X: 100, Y: 200, Z: 7100, Level: 3400}, Round: true, Width: 160.3, Height: 160.3, Level: 3400, Margin: 25,
			},
		},
		ToBeProtected: []finding.Protection{
			{
				Of: "T1", From: "CHW-2", OfRow: "tray.csv:9", Row: "pipes.csv:7", Bay: to("A-B/1-2"), Pairs: 3,
				Rule: "nothing wet above electrical", Basis: "practice",
				At: finding.Spot{X: 7200, Y: 11550, Level: 2900, Where: "B+1200, grid 2-450"},
			},
		},
	}
	id := 0
	add := func(f finding.Finding) {
		id++
		f.ID = fmt.Sprintf("k7%02dmq3n4x2a", id)[:12]
		f.Storey = "Level 2"
		if f.At.Where == "" && f.At.X == 0 {
			f.At = finding.Spot{X: 7200, Y: 11550, Z: 6664, Level: 2964, Where: "B+1200, grid 2-450"}
		}
		r.Findings = append(r.Findings, f)
	}
	a12, b12, c34 := to("A-B/1-2"), to("B-C/1-2"), to("C-D/3-4")

	add(finding.Finding{
		Kind: finding.Overlap, A: "B-07", B: to("ceiling A-B/1-2"), ATrade: "containment", BTrade: "ceiling", ARow: "tray.csv:9", BRow: "bays.csv:4",
		Bay: a12, ARun: "T1", Depth: &finding.Depth{Vertical: 35.9}, Short: 35.9, Side: cell.Above, Rule: "nothing hangs into the build-up", Basis: "geometry",
		GivesWay: "B-07", Moves: []finding.Move{{Zone: "B-07", Direction: "up", By: 35.9}}, Note: "with the channel, plate washer and nut under it",
	})
	add(finding.Finding{
		Kind: finding.Overlap, A: "SA1-02", B: to("UB-14"), ATrade: "ductwork", BTrade: "structure", ARow: "duct.csv:10", BRow: "steel.csv:15",
		Bay: a12, ARun: "SA1", Depth: &finding.Depth{Vertical: 120, Sideways: to(300.02)}, Asked: 25, Short: 145, Side: cell.Around,
		Rule: "insulated duct to structure", Basis: "geometry", GivesWay: "SA1-02", Cost: "structure",
		Moves: []finding.Move{{Zone: "SA1-02", Direction: "down", By: 145}, {Zone: "SA1-02", Direction: "left", By: 325.02, DY: 325.02, Towards: "grid 3"}},
		Also:  []finding.Also{{Rule: "hand room beside ductwork", Side: cell.Beside, Gap: 0, Asked: 100, Short: 100, Basis: "practice"}},
		Note:  "outside an opening: the beam counts as its full box",
	})
	for i := range 5 {
		add(finding.Finding{
			Kind: finding.Tight, A: fmt.Sprintf("L-%02d", 20+i), B: to(fmt.Sprintf("SA1-%02d", 3+i/2)), ATrade: "lighting", BTrade: "ductwork",
			ARow: fmt.Sprintf("lights.csv:%d", 21+i), BRow: fmt.Sprintf("duct.csv:%d", 11+i/2), BRun: "SA1", Bay: a12,
			At:  finding.Spot{X: 7200 + 1200*float64(i), Y: 11550, Z: 6500, Level: 2800, Where: fmt.Sprintf("B+%d, grid 2-450", 1200*(i+1))},
			Gap: 146.6 - float64(10*i), Asked: 150, Short: 3.4 + float64(10*i), Side: cell.Above, Rule: "room to lift a luminaire out", Basis: "practice",
			GivesWay: fmt.Sprintf("SA1-%02d", 3+i/2), Moves: []finding.Move{{Zone: fmt.Sprintf("SA1-%02d", 3+i/2), Direction: "up", By: 3.4 + float64(10*i)}},
		})
	}
	add(finding.Finding{
		Kind: finding.Overlap, A: "L-25", B: to("SA1-05"), ATrade: "lighting", BTrade: "ductwork", ARow: "lights.csv:26", BRow: "duct.csv:13", BRun: "SA1", Bay: a12,
		At:    finding.Spot{X: 13200, Y: 11550, Z: 6500, Level: 2800, Where: "B+7200, grid 2-450"},
		Depth: &finding.Depth{Vertical: 12.5, Sideways: to(80.0)}, Asked: 150, Short: 162.5, Side: cell.Above, Rule: "room to lift a luminaire out", Basis: "geometry",
		GivesWay: "SA1-05", Moves: []finding.Move{{Zone: "SA1-05", Direction: "up", By: 162.5}},
	})
	add(finding.Finding{
		Kind: finding.Access, A: "VD-03", ATrade: "ductwork", ARow: "duct.csv:22", Bay: b12, Gap: 940, Asked: 600, Short: 340, Side: cell.Below,
		Rule: "a hatch within reach of what must be reached", Basis: "practice", GivesWay: "VD-03", Note: "the ceiling here does not lift out and has no hatch nearer than 940",
	})
	add(finding.Finding{
		Kind: finding.Access, A: "FC-1", B: to("CHW-2b"), ATrade: "ductwork", BTrade: "pipework", ARow: "duct.csv:25", BRow: "pipes.csv:8", BRun: "CHW-2", Bay: b12,
		Gap: 410.96, Asked: 600, Short: 189.04, Side: cell.Left, SideTowards: "grid C", Rule: "working space of FC-1", Basis: "maker", GivesWay: "CHW-2b",
		Moves: []finding.Move{{Zone: "CHW-2b", Direction: "right", By: 189.04, DX: 151.23, DY: -113.42, Towards: "south-east"}},
	})
	add(finding.Finding{
		Kind: finding.Tight, A: "T3-01", B: to("CHW-2a"), ATrade: "containment", BTrade: "pipework", ARow: "tray.csv:16", BRow: "pipes.csv:6", ARun: "T3", BRun: "CHW-2", Bay: b12,
		Gap: 59.99999, Asked: 150, Short: 90.00001, Side: cell.Above, Rule: "room to lay cables above tray", Basis: "practice", ByHeight: true, GivesWay: "CHW-2a",
	})
	add(finding.Finding{
		Kind: finding.Tight, A: "T4-01", B: to("SA2-01"), ATrade: "containment", BTrade: "ductwork", ARow: "tray.csv:18", BRow: "duct.csv:28", ARun: "T4", BRun: "SA2", Bay: b12,
		Gap: 0, Asked: 75, Short: 75, Side: cell.OneSide, Rule: "hand room on one side of containment", Basis: "practice", GivesWay: "T4-01",
		Moves: []finding.Move{{Zone: "T4-01", Direction: "left", By: 75, DX: -75, Towards: "west"}}, Note: "the other side has 40 clear, to UB-15 (steel.csv:16)",
	})
	add(finding.Finding{
		Kind: finding.Overlap, A: "Tŷ Gŵyr \x1b[31mred\x1b[0m", B: to("<script>alert(1)</script> a|b"), ATrade: "ductwork", BTrade: "=1+1", ARow: "duct.csv:40", BRow: "=1+1.csv:2",
		Bay: c34, ARun: "Żółć", BRun: "@cmd", Depth: &finding.Depth{Vertical: 5, Sideways: to(3.2)}, Short: 3.2, Side: cell.Around, Rule: "two things\ncannot share one space", Basis: "geometry",
		GivesWay: "<script>alert(1)</script> a|b", Moves: []finding.Move{{Zone: "<script>alert(1)</script> a|b", Direction: "sideways", By: 3.2, DX: 1.9, DY: 2.6, Towards: "north-east"}},
	})
	add(finding.Finding{
		Kind: finding.Tight, A: Long, B: to("soffit C-D/3-4"), ATrade: "ductwork", BTrade: "structure", ARow: "duct.csv:41", BRow: "bays.csv:9",
		Gap: 11, Asked: 25, Short: 14, Side: cell.Below, Rule: "anything to the soffit", Basis: "practice", GivesWay: Long, Moves: []finding.Move{{Zone: Long, Direction: "down", By: 14}},
	})
	for i := range r.Findings {
		switch r.Findings[i].Kind {
		case finding.Overlap:
			r.Counts.Overlap++
		case finding.Tight:
			r.Counts.Tight++
		case finding.Access:
			r.Counts.Access++
		}
	}
	r.Problems = 14 // none of them is of one run against one run twice
	return r
}

// Rules are rules of every sort.
func Rules() []rules.Rule {
	return []rules.Rule{
		{Name: "anything to the ceiling", Of: "any", To: "ceiling", Side: cell.Above, Gap: 25, Basis: rules.Practice, Why: "the build-up is never quite where it is drawn, and somebody has to get a hand in", Source: "common practice, no source"},
		{Name: "room to lay cables above tray", Of: "tray", To: "any", Side: cell.Above, Gap: 150, Over: 600, Basis: rules.Practice, Why: "cables are laid in from above", Source: "common practice, no source"},
		{Name: "wet above electrical", Of: "electrical", To: "wet", Side: cell.Above, Told: true, Basis: rules.Practice, Why: "a leak drips on it", Source: "common practice, no source"},
		{Name: "power to data", Of: "power", To: "data", Side: cell.Around, Gap: 200, Formula: "S x P of EN 50174-2, from class and circuits", Over: 600, Basis: rules.Law, Why: "what a power cable induces in a data cable", Source: "EN 50174-2"},
		{Name: "sprinkler head clear below", Of: "sprinkler head", To: "any", Side: cell.Below, Gap: 300, Basis: rules.Law, Why: "Wschód: the spray must open", Source: "=1+1", Row: "gaps.csv:2"},
		{Name: "Tŷ fan coil \x1b[31m", Of: "fan coil", To: "any", Side: cell.OneSide, Gap: 599.96, Basis: rules.Maker, Why: Long, Source: "maker's sheet", Row: "gaps.csv:3"},
	}
}
