package example

import (
	"voidline/clash/finding"
	"voidline/clash/tolerance"
)

// Doubtful returns a result without findings, in which three pairs may not fit once built: two in one bay, of which one
// would overlap, and one outside every bay with names that a spreadsheet or a page might take for their own.
func Doubtful() *finding.Result {
	bay := "A-B/1-2"
	r := Empty()
	r.Checked.Zones, r.Checked.Bays = 4, 1
	r.Tolerance = &finding.ToleranceUsed{By: tolerance.WorstCase, Deflection: 360, Defaults: []finding.ToleranceDefault{
		{Of: "beam", MM: 10, Source: "a standard", Provenance: "from memory"},
		{Of: "services", MM: 10, Provenance: "common practice, no source"},
	}}
	spot := finding.Spot{X: 4500, Y: 3000, Z: 7260, Level: 2760, Where: "B+1200, grid 2-450"}
	r.Doubtful = []finding.Doubt{
		{
			ID: "k702mq3n4x2a", Upper: "T-1", UpperTrade: "containment", UpperRun: "T1", UpperRow: "tray.csv:2", UpperKind: "basket",
			Lower: "ceiling " + bay, LowerTrade: "ceilings", LowerRow: "bays.csv:2", LowerKind: "ceiling",
			Bay: &bay, At: spot, Drawn: 20, Worst: -25, RSS: -17.2, Asked: 10, Rule: "clear of the ceiling", Basis: "practice",
			Tolerances: []finding.Tolerance{
				{Of: "T-1", MM: 5, From: "tray.csv:2"}, {Of: "ceiling " + bay, MM: 5, Default: "ceiling"}, {Of: "S-1", MM: 10, Default: "beam"},
			},
			ComesDown: &finding.ComesDown{Beam: "S-1", Row: "steel.csv:2", Span: 9000, By: 25},
		},
		{
			ID: "k703mq3n4x2a", Upper: "D-1", UpperTrade: "ductwork", UpperRow: "ductwork.csv:3", UpperKind: "duct",
			Lower: "P-1", LowerTrade: "pipework", LowerRow: "pipework.csv:4", LowerKind: "pipe", Bay: &bay, At: spot,
			Drawn: 33.8, Worst: 13.8, RSS: 19.7, Asked: 25, Rule: "insulation to insulation", Basis: "practice", ByHeight: true,
			Tolerances: []finding.Tolerance{{Of: "D-1", MM: 10, Default: "services"}, {Of: "P-1", MM: 10, Default: "services"}},
			Note:       "a note",
		},
		{
			ID: "k704mq3n4x2a", Upper: "=1+1", UpperTrade: "ductwork", UpperRow: "<b>.csv:3", UpperKind: "duct",
			Lower: "|x|\x1b[31m", LowerTrade: "pipework", LowerRow: "pipework.csv:5", LowerKind: "pipe", At: spot,
			Drawn: 12, Worst: -8, RSS: -2.1, Rule: "no two things in one place", Basis: "geometry",
			Tolerances: []finding.Tolerance{{Of: "=1+1", MM: 10, Default: "services"}, {Of: "|x|\x1b[31m", MM: 10, Default: "services"}},
		},
	}
	return r
}
