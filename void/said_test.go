package void

import (
	"strings"
	"testing"
)

// changed returns changes as one text: of each row its name and its cells.
func changed(rows []RowChange) string {
	var list []string
	for _, r := range rows {
		name := r.Zone
		if r.Bay != "" {
			name = "bay " + r.Bay
		}
		list = append(list, name+": "+text(r.Cells))
	}
	return strings.Join(list, " | ")
}

// Changes as people say them. Z is a length of run S from x 1001000 to 1005000 at y 2001000 (its middle at 1003000), "Z 2" an item of that
// run at 1001000, 2003000; grid A lies at x 1000000, B at 1006000, grid line 2 at y 2008000.
func TestSaid(t *testing.T) {
	p := shiftable(t,
		map[string]string{"id": "Z", "storey": "G", "x1": "1001000", "y1": "2001000", "x2": "1005000", "y2": "2001000", "size": "300x200", "level": "2700", "run": "S"},
		map[string]string{"id": "Z 2", "storey": "G", "x1": "1001000", "y1": "2003000", "size": "300x300x200", "level": "2900", "run": "s"},
	)
	if len(p.Problems) > 0 {
		t.Fatal(p.Problems)
	}
	for _, test := range []struct{ said, want string }{
		{"Z level FFL+2950", "Z: level FFL+2950"},
		{"Z in room yes", "Z: inroom yes"},
		{"z LEVEL: FFL + 2950", "Z: level FFL + 2950"},
		{"Z 2 size 400x300x200", "Z 2: size 400x300x200"},
		{"bay a2 ceiling 2650", "bay a2: ceiling 2650"},
		{"bay A2 ceiling FFL+2650 mm", "bay A2: ceiling FFL+2650 mm"},
		{"bay A2 Ceiling: 2650", "bay A2: ceiling 2650"},
		{"bay A2 build-up tiles 600", "bay A2: buildup tiles 600"},
		{"bay A2 build up tiles 600", "bay A2: buildup tiles 600"},
		{"bay A2 ceilling 2650", `"bay A2 ceilling 2650": no column "ceilling"; give a column of bays.csv`},
		{"Z in-room yes", "Z: inroom yes"},
		{"Z id Q", `"Z id Q": "id" is neither a column nor part of a move`},

		{"Z up 40", "Z: level 2740"},
		{"Z 40 up", "Z: level 2740"},
		{"Z move up by 40 mm", "Z: level 2740"},
		{"Z UP 40mm", "Z: level 2740"},
		{"Z down 40.5", "Z: level 2659.5"},
		{"Z up -40", "Z: level 2660"},
		{"Z north 15", "Z: y1 2001015; y2 2001015"},
		{"Z south 15", "Z: y1 2000985; y2 2000985"},
		{"Z east 15", "Z: x1 1001015; x2 1005015"},
		{"Z west 15", "Z: x1 1000985; x2 1004985"},
		{"Z 2 north-east 100", "Z 2: x1 1001070.7; y1 2003070.7"},
		{"Z 2 north-west 100", "Z 2: x1 1000929.3; y1 2003070.7"},
		{"Z 2 south-east 100", "Z 2: x1 1001070.7; y1 2002929.3"},
		{"Z 2 south-west 100", "Z 2: x1 1000929.3; y1 2002929.3"},
		{"Z up 40 and 30 north", "Z: level 2740; y1 2001030; y2 2001030"},
		{"Z up 40, and north 30 and east 10", "Z: level 2740; x1 1001010; x2 1005010; y1 2001030; y2 2001030"},
		{"Z 16 towards grid B", "Z: x1 1001016; x2 1005016"},
		{"Z 16 towards a", "Z: x1 1000984; x2 1004984"},
		{"Z 16 towards grid 2", "Z: y1 2001016; y2 2001016"},
		{"Z 16 towards grid A-1", "Z: x1 1001016; x2 1005016"},
		{"Z 2 up 40", "Z 2: level 2940"},

		{"Z up 40 with its run", "Z: level 2740 | Z 2: level 2940"},
		{"run S up 40", "Z: level 2740 | Z 2: level 2940"},
		{"run s 16 towards grid 2", "Z: y1 2001016; y2 2001016 | Z 2: y1 2003016"},

		{"Z up", `"Z up": a change has three words at least`},
		{"Z up and 40", `"Z up and 40": a move says which way and how many mm`},
		{"Z up 40 and north", `"Z up 40 and north": a move says which way and how many mm`},
		{"Z 40 and up 40", `"Z 40 and up 40": a move says which way and how many mm`},
		{"Z up 40 40", `"Z up 40 40": "40" is neither a column nor part of a move`},
		{"Z up NaN", `"Z up NaN": "nan" is neither a column nor part of a move`},
		{"Z up 2e7", `"Z up 2e7": "2e7" is neither a column nor part of a move`},
		{"Z left 40", `"Z left 40": "left" is neither a column nor part of a move`},
		{"Z 16 towards grid Q", `"Z 16 towards grid Q": there is no grid line "q" to one side of it`},
		{"Y up 40", `"Y up 40": no zone "Y"`},
		{"run Q up 40", `"run Q up 40": no run of that name`},
		{"bay nowhere ceiling 2650", `"bay nowhere ceiling 2650": no bay of that name`},
		{"bay a2 ceiling", `"bay a2 ceiling": no bay of that name, or no column and text after it`},
	} {
		rows, pr := p.Said(test.said)
		got := changed(rows)
		if pr != nil {
			got = pr.String()
		}
		if got != test.want && (pr == nil || rows != nil || !strings.HasPrefix(got, test.want)) {
			t.Errorf("%s: %q, want %q", test.said, got, test.want)
		}
	}
	for _, row := range []string{"Z", "Z 2"} {
		if i, _ := p.ZoneByID(row); p.CellOf(i, "level") != map[string]string{"Z": "2700", "Z 2": "2900"}[row] {
			t.Errorf("%s has changed before it was told to: %s", row, p.CellOf(i, "level"))
		}
	}
}
