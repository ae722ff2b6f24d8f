package void

import (
	"fmt"
	"maps"
	"reflect"
	"slices"
	"strings"
	"testing"

	gocmp "github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

type fataler interface {
	Helper()
	Fatal(args ...any)
}

// cells makes a row of the texts of its cells by column.
func cells[T any](t fataler, line int, texts map[string]string) T {
	t.Helper()
	var row T
	p := New("", nil)
	for column, text := range texts {
		if pr := p.setCell(&row, At{}, column, text, ""); pr != nil {
			t.Fatal(pr)
		}
	}
	reflect.ValueOf(&row).Elem().FieldByName("At").Set(reflect.ValueOf(At{Line: int32(line)}))
	return row
}

// tableOf makes rows of a text: the first line names the columns.
func tableOf[T any](t fataler, text string, add func(T)) {
	t.Helper()
	lines := strings.Split(strings.TrimSpace(text), "\n")
	head := strings.Split(lines[0], ",")
	for n, l := range lines[1:] {
		texts := map[string]string{}
		for i, c := range strings.Split(l, ",") {
			if c = strings.TrimSpace(c); c != "" {
				texts[strings.TrimSpace(head[i])] = c
			}
		}
		add(cells[T](t, n+2, texts))
	}
}

// floors is two storeys of four bays with all that can depend on each other, and rows that lack what they name.
func floors(t fataler) *Project {
	p := New("floors", []string{"bays.csv", "steel.csv", "ductwork.csv", "gizmos.csv", "openings.csv", "access.csv"})
	tableOf(t, "storey,ffl,ssl,datum\nG,0,-75,1000\nF,4200,4125,1000", p.AddLevel)
	tableOf(t, "axis,label,position\nx,A,0\nx,B,6000\nx,C,12000\ny,1,0\ny,2,8000\ny,3,16000", p.AddGrid)
	tableOf(t, "buildup,layer,thickness\nboards,board,25\nboards,top-hat,25\ntiles,tile,20\ntiles,grid,38", p.AddBuildUp)
	tableOf(t, "hanger,part,height,from\nH,channel,41,soffit\nH,nut,10,\nodd,nut,5,sky", p.AddHanger)
	tableOf(t, `bay,storey,x1,y1,x2,y2,soffit,ceiling,buildup
a1,G,A,grid 1,B,grid 2,3600,2700,boards
a2,G,B,grid 1,C,grid 2,FFL+3600,2600,tiles
b1,G,A,grid 2,B,grid 3,3600,soffit-900,tiles
b2,G,B,grid 2,C,grid 3,3500,none,
a1,F,A,grid 1,B,grid 2,3600,2700,boards
f2,F,B,grid 1,C,grid 3,3600,2700,`, p.AddBay)
	zones := func(file, text string) {
		k := int32(slices.Index(p.Files, file))
		tableOf(t, text, func(r ZoneRow) {
			r.At.File = k
			p.AddZone(file, &r)
		})
	}
	zones("steel.csv", `id,storey,x1,y1,x2,y2,size,level,face,kind
B1,G,0,4000,12000,4000,UB 406x178x60,soffit,top,
B2,G,3000,0,3000,16000,254x146,3600,top,
B3,F,A,grid 2,C,grid 2,300x300,soffit,top,
W1,G,6000,0,6000,8000,150,FFL..soffit,,wall
C1,G,0,0,,,200x200,FFL..FFL+8000,,column`)
	zones("ductwork.csv", `id,storey,x1,y1,x2,y2,size,insulation,level,hanger,run,joins,bay,fall,kind
D1,G,0,2000,5900,2000,500x250,25,FFL+2900,,SA,D2;T9,,,
D2,G,5000,1000,5000,7000,400x200,25,steel-100,,SA,,,,
D3,G,1000,9000,11000,9000,ø200,,3000,H,,,,1 in 80,
D4,F,1000,1000,11000,1000,DN150,,ceiling+100,channel 41 M10,,,,,
D5,F,2000,500,2000,15000,100x50,,steel-60,H,SB,,,,
D6,G,2000,3000,2000,7000,DN50,30,steel-40,,,D1,,,
V1,G,2500,2500,,,300x300x200,,3000,,,,,,fan coil
U1,G,,,,,300x60,,build-up+20,,,,a1,,
U2,,,,,,200x60,,soffit-300,,,,f2,,
Q1,G,7000,3000,9000,3000,200x100,,3100,,,,a1,,`)
	zones("gizmos.csv", `id,storey,x1,y1,x2,y2,size,level,service,kind
Z1,G,100,6000,5000,6000,100x100,2900,aether,gizmo
Z2,G,100,6500,5000,6500,100x100,2900,,
Z3,F,100,6500,5000,6500,100x100,2900,aether,`)
	tableOf(t, "in,at,size,level,margin\nB1,3000,ø200,,\nW1,2000,400x300,steel-500,25\nB9,1000,ø100,,\nsoffit b1,,300x300,,", func(r OpeningRow) {
		if r.In.Text == "soffit b1" {
			r.X, r.Y = cells[BayRow](t, 0, map[string]string{"x1": "B-1000"}).X1, cells[BayRow](t, 0, map[string]string{"x1": "9000"}).X1
		}
		p.AddOpening(r)
	})
	tableOf(t, "for,kind,side,depth\nV1,hatch,,\nD1,withdrawal,left,500\nV9,hatch,,", p.AddAccess)
	tableOf(t, "run,row,length,number,along,stage\n,D3,,1,500,\n,d3,,,4000,fixed\nSB,,,1,1000,\nsb,,,,9000,\nSA,,1 of 2,7,400,\nD9,,,1,400,\n", p.AddSupport)
	tableOf(t, "of,to,gap\ntray,any,25\nduct,pipe,30", p.AddGap)
	p.Resolve()
	return p
}

// afresh is a project of the rows as they are now, resolved for the first time.
func afresh(p *Project) *Project {
	q := New(p.Name, p.Files)
	q.rows.levels, q.rows.grid, q.rows.buildups, q.rows.hangers = p.rows.levels, p.rows.grid, p.rows.buildups, p.rows.hangers
	q.rows.openings, q.rows.access, q.rows.surveyed, q.rows.supports, q.Gaps = p.rows.openings, p.rows.access, p.rows.surveyed, p.rows.supports, p.Gaps
	q.readAs = maps.Clone(p.readAs)
	for i := range p.rows.bays.n {
		q.AddBay(p.bayRow(i))
	}
	for i := range p.zones.n {
		if z := p.Zone(i); !z.Gone {
			r := p.written(z)
			q.AddZone(p.raws[z.raw].file, &r)
		}
	}
	q.Resolve()
	return q
}

// zoneState is what others can see of a zone, without its index.
type zoneState struct {
	At                             At
	Character                      Character
	Storey, Bay                    int32
	Hanger                         string
	Bare, Full, Hang               any
	Run                            string
	Bays                           []int32
	Rare                           any
	Web                            float64
	Item, Upright, ByHeight, Reach bool
	Recessed                       bool
	Row                            ZoneRow
}

func stateOf(p *Project, i int) zoneState {
	z := p.Zone(i)
	rare := z.rare()
	frame, tier := z.Frame()
	rare.frame, rare.tier = 0, 0 // words by their number, which hangs on what was read before
	s := zoneState{
		At: z.At(), Character: *p.Character(z.Char), Storey: z.Storey, Bay: z.Bay, Bare: z.Bare(), Full: z.Full(), Run: z.Run(),
		Bays: slices.Clone(z.Bays()), Rare: fmt.Sprintf("%+v %q %q", rare, frame, tier), Web: z.web, Item: z.Item, Upright: z.Upright, ByHeight: z.ByHeight, Reach: z.Reach,
		Recessed: z.Recessed, Row: p.Row(i),
	}
	s.Character.Groups = nil
	s.Row.At = At{}
	s.Hang, _ = p.Hang(z)
	if z.Hanger >= 0 {
		s.Hanger = p.Hangers[z.Hanger].Name
	}
	return s
}

// projectState is what others can see of a project, in an order of its own.
type projectState struct {
	Zones                    map[string]zoneState
	Bays                     []Bay
	Openings, Spaces         []string
	Supports                 []string
	Problems, Warnings, Told []string
	Missing                  int
	Gaps                     string
}

func projectOf(p *Project) projectState {
	s := projectState{Zones: map[string]zoneState{}, Bays: slices.Clone(p.Bays), Missing: p.RowsMissing, Gaps: fmt.Sprintf("%+v", p.Gaps)}
	for i := range p.Zones() {
		z := p.Zone(i)
		if z.Gone {
			continue
		}
		s.Zones[z.ID] = stateOf(p, i)
		if j, ok := p.ZoneByID(strings.ToLower(z.ID)); !ok || j != i {
			s.Problems = append(s.Problems, "not found by its id: "+z.ID)
		}
	}
	for i := range s.Bays {
		s.Bays[i].next = 0 // an index, which bay tests
	}
	name := func(i int32) string {
		if i < 0 {
			return ""
		}
		return p.Zone(int(i)).ID
	}
	for _, o := range p.Openings {
		in := name(o.In)
		o.In = 0
		s.Openings = append(s.Openings, fmt.Sprintf("%s %+v", in, o))
	}
	for _, o := range p.Spaces {
		of := name(o.For)
		o.For = 0
		s.Spaces = append(s.Spaces, fmt.Sprintf("%s %+v", of, o))
	}
	for _, o := range p.Supports {
		on := name(o.Zone)
		o.Zone = 0
		s.Supports = append(s.Supports, fmt.Sprintf("%s %+v", on, o))
	}
	for _, pr := range p.Problems {
		pr.Column = 0
		s.Problems = append(s.Problems, pr.String())
	}
	for _, w := range p.Warnings {
		w.Column = 0
		s.Warnings = append(s.Warnings, w.String())
	}
	for _, n := range p.Told {
		s.Told = append(s.Told, fmt.Sprintf("%+v", n))
	}
	slices.Sort(s.Problems)
	slices.Sort(s.Warnings)
	slices.Sort(s.Told)
	return s
}

// inside is what nobody sees of a project and a refused edit must leave too.
func inside(p *Project) string {
	return fmt.Sprint(p.Zones(), p.Characters(), len(p.Hangers), len(p.raws), len(p.alikes.list), p.Files)
}

// Edits of all kinds, one after the other, leave the project that the rows as they are then make afresh, and say
// exactly what they changed. A refused one leaves everything as it was, and is one that the tables would not bear.
func TestEditsAreReadingAfresh(t *testing.T) {
	taken, refused := map[string]int{}, map[string]int{}
	rapid.Check(t, func(t *rapid.T) {
		p := floors(t)
		if rapid.IntRange(0, 2).Draw(t, "surveyed") == 0 {
			p = surveyed(t, aSurvey)
		}
		now := projectOf(p)
		if d := gocmp.Diff(projectOf(afresh(p)), now, gocmp.AllowUnexported(Bay{})); d != "" {
			t.Fatalf("the rows that are written back make another project (-afresh +was):\n%s", d)
		}
		added := 0
		for range rapid.IntRange(1, 30).Draw(t, "edits") {
			if rapid.IntRange(0, 9).Draw(t, "resolve again") == 0 {
				p.Resolve()
				if d := gocmp.Diff(now, projectOf(p), gocmp.AllowUnexported(Bay{})); d != "" {
					t.Fatalf("resolving again makes another project (-was +is):\n%s", d)
				}
			}
			kind, said, do := someEdit(t, p, &added)
			was, kept, slots := now, inside(p), p.Zones()
			states := map[int]zoneState{}
			gone := map[int]bool{}
			for i := range slots {
				states[i], gone[i] = stateOf(p, i), p.Zone(i).Gone
			}
			if rapid.IntRange(0, 3).Draw(t, "lists") == 0 { // others put the lists in order and look columns up
				slices.Reverse(p.Problems)
				slices.Reverse(p.Warnings)
				for i := range p.Warnings {
					p.Warnings[i].Column = 1 + i
				}
			}
			change, pr := do()
			now = projectOf(p)
			if pr != nil {
				refused[kind]++
				if d := gocmp.Diff(was, now, gocmp.AllowUnexported(Bay{})); d != "" || inside(p) != kept {
					t.Fatalf("%s is refused (%v) and leaves (-was +is), %s, was %s:\n%s", said, pr, inside(p), kept, d)
				}
				if pr.What == "" || !reflect.DeepEqual(change, Change{}) {
					t.Fatalf("%s is refused with %+v and change %+v", said, *pr, change)
				}
				continue
			}
			taken[kind]++
			if d := gocmp.Diff(projectOf(afresh(p)), now, gocmp.AllowUnexported(Bay{})); d != "" {
				t.Fatalf("after %s (-afresh +edited):\n%s", said, d)
			}
			if change.All {
				continue
			}
			var zones, bays []int
			for i := range p.Zones() {
				if i >= slots || gone[i] != p.Zone(i).Gone || !p.Zone(i).Gone && !alikeToCheck(states[i], stateOf(p, i)) {
					zones = append(zones, i)
				}
			}
			for j := range p.Bays {
				if p.Bays[j] != was.Bays[j] && func() bool { b := p.Bays[j]; b.next = was.Bays[j].next; return b != was.Bays[j] }() {
					bays = append(bays, j)
				}
			}
			differs := func(a, b []string) bool { return !slices.Equal(a, b) }
			if !slices.Equal(zones, change.Zones) || !slices.Equal(bays, change.Bays) || change.Openings != differs(was.Openings, now.Openings) ||
				change.Spaces != differs(was.Spaces, now.Spaces) || change.Supports != differs(was.Supports, now.Supports) || change.Rules != (was.Gaps != now.Gaps) {
				t.Fatalf("%s changed zones %v, bays %v, openings %t, spaces %t, rules %t; it says %+v", said, zones, bays,
					differs(was.Openings, now.Openings), differs(was.Spaces, now.Spaces), was.Gaps != now.Gaps, change)
			}
		}
	})
	t.Logf("taken %v, refused %v", taken, refused)
	if testing.Short() {
		return // too few cases for what follows
	}
	for _, kind := range []string{"zone", "cells", "add", "remove", "bay", "gap"} {
		if taken[kind] < 20 || kind != "gap" && refused[kind] < 5 {
			t.Errorf("%s: %d taken, %d refused: that says little", kind, taken[kind], refused[kind])
		}
	}
}

// Several cells change together: what neither alone could be, both are; and where one of them will not do, none changes.
func TestEditCells(t *testing.T) {
	p := floors(t)
	v1, _ := p.ZoneByID("V1")
	was := projectOf(p)
	for _, test := range []struct {
		what  string
		id    string
		cells []CellText
		want  string // the problem, "" for none
	}{
		{"an item becomes a length: neither end alone would do", "V1", []CellText{{"x2", "4000"}, {"y2", "2500"}, {"size", "300x200"}}, ""},
		{"and an item again, with its size in columns", "V1", []CellText{{"x2", ""}, {"y2", ""}, {"diameter", "200"}, {"height", "150"}}, ""},
		{"one of two will not do", "V1", []CellText{{"level", "2900"}, {"y1", "Q+1"}}, `ductwork.csv:8: y1: no grid line "Q" in grid.csv`},
		{"one of two cannot be read", "V1", []CellText{{"level", "2900"}, {"x1", "+"}}, `ductwork.csv:8: x1: "+" is not a place`},
		{"twice", "V1", []CellText{{"level", "2900"}, {"level", "2950"}}, "ductwork.csv:8: level: is changed twice; give each column once"},
		{"the id", "V1", []CellText{{"level", "2900"}, {"id", "X"}}, `ductwork.csv:8: no column "" to edit`},
		{"no such zone", "V7", nil, `no zone "V7"`},
		{"nothing", "V1", nil, ""},
		{"a duct's sides, one after the other", "D1", []CellText{{"width", "600"}}, ""},
		{"both at once", "D1", []CellText{{"height", "310"}, {"width", "610"}}, ""},
		{"both at once, the other way round", "D1", []CellText{{"width", "620"}, {"height", "320"}}, ""},
		{"size and width", "D1", []CellText{{"width", "620"}, {"size", "500x250"}}, "ductwork.csv:2: size: size, width, height and diameter do not go together"},
		{"size, and no width", "D1", []CellText{{"width", ""}, {"size", "500x250"}}, ""},
	} {
		_, pr := p.EditCells(test.id, test.cells)
		got := ""
		if pr != nil {
			got = pr.String()
		}
		now := projectOf(p)
		if !strings.HasPrefix(got, test.want) || (got == "") != (test.want == "") {
			t.Errorf("%s: %q, want %q", test.what, got, test.want)
		}
		if d := gocmp.Diff(was, now, gocmp.AllowUnexported(Bay{})); d != "" && pr != nil {
			t.Errorf("%s: refused, and it left (-was +is):\n%s", test.what, d)
		}
		was = now
		if pr == nil {
			for _, c := range test.cells {
				if is := p.CellOf(func() int { i, _ := p.ZoneByID(test.id); return i }(), c.Column); is != c.Text {
					t.Errorf("%s: %s is %q, want %q", test.what, c.Column, is, c.Text)
				}
			}
		}
	}
	if z := p.Zone(v1); !z.Item || z.Bare().W != 100 || p.Row(v1).Size.Text != "ø200x150" {
		t.Errorf("V1 is %s", p.Row(v1).Size)
	}
	if _, pr := p.Edit("D2", "width", "450"); pr != nil { // of 400x200
		t.Fatal(pr)
	}
	var got []string
	for _, c := range p.Typed() {
		got = append(got, fmt.Sprintf("%s %s %q", c.ID, c.Column, c.Text))
	}
	want := []string{
		`D1 diameter ""`, `D1 height ""`, `D1 size "500x250"`, `D1 width ""`,
		`D2 diameter ""`, `D2 height "200"`, `D2 size ""`, `D2 width "450"`,
		`V1 diameter "200"`, `V1 height "150"`, `V1 size ""`, `V1 width ""`, `V1 x2 ""`, `V1 y2 ""`,
	}
	if d := gocmp.Diff(want, got); d != "" {
		t.Errorf("typed (-want +got):\n%s", d)
	}
	if _, pr := p.Remove("D2"); pr != nil {
		t.Fatal(pr)
	}
	if n := len(p.Typed()); n != len(want)-4 {
		t.Errorf("with D2 gone %d cells are typed, want %d", n, len(want)-4)
	}
}

// Insulation of 30 inside a joint of 40 is seen by nobody outside: the larger of the two counts. 40 over the joint is.
func TestEditThatNobodySees(t *testing.T) {
	p := floors(t)
	b1, _ := p.ZoneByID("B1")
	for _, e := range []struct {
		column, text string
		grow         float64
		seen         bool
	}{
		{"joint", "40", 40, true},
		{"insulation", "30", 40, false},
		{"insulation", "40", 40, false},
		{"insulation", "50", 50, true},
		{"joint", "", 50, false},
		{"joint", "10", 50, false},
		{"insulation", "40 over joint", 50, false},
		{"joint", "20", 60, true},
		{"note", "mind", 60, true},
	} {
		change, pr := p.Edit("B1", e.column, e.text)
		if pr != nil {
			t.Fatal(pr)
		}
		if seen := slices.Contains(change.Zones, b1); seen != e.seen || p.Zone(b1).Grow != e.grow {
			t.Errorf("%s = %q: changed %t, %g round it; want %t, %g", e.column, e.text, seen, p.Zone(b1).Grow, e.seen, e.grow)
		}
		if r := p.Row(b1); e.column == "insulation" && r.Insulation.Text != e.text {
			t.Errorf("insulation %q is written back as %q", e.text, r.Insulation.Text)
		}
	}
}

// A length of 2000 turned into an item of the same 2000 by 300 by 200, in the same place, is another thing to the check: an item has no
// ends that join. Nothing but that differs, and the change names it.
func TestLengthBecomesAnItemInItsPlace(t *testing.T) {
	p := New("item", []string{"bays.csv", "units.csv"})
	tableOf(t, "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,9000,3600,2400", p.AddBay)
	tableOf(t, "id,x1,y1,x2,y2,size,level\nU,1000,2000,3000,2000,300x200,3000", func(r ZoneRow) {
		r.At.File = 1
		p.AddZone("units.csv", &r)
	})
	p.Resolve()
	if len(p.Problems) > 0 {
		t.Fatal(p.Problems)
	}
	was := p.Zone(0).Bare()
	was.Block = true // which has no length
	change, pr := p.EditCells("U", []CellText{{"x1", "2000"}, {"x2", ""}, {"y2", ""}, {"size", "2000x300x200"}})
	if pr != nil {
		t.Fatal(pr)
	}
	if z := p.Zone(0); !z.Item || z.Bare() != was {
		t.Fatalf("item %t, %+v; want an item of the body %+v", z.Item, z.Bare(), was)
	}
	if !slices.Equal(change.Zones, []int{0}) {
		t.Errorf("changed zones %v, want the one", change.Zones)
	}
}

// What an opening, an access space or a level names does not go: the edit is refused with what the row would say, and all is as it was.
func TestEditThatARowCannotBear(t *testing.T) {
	p := floors(t)
	was := projectOf(p)
	for _, test := range []struct {
		what string
		do   func() (Change, *Problem)
		want string
	}{
		{"remove V1, which has a hatch", func() (Change, *Problem) { return p.Remove("V1") }, `bays.csv:2: for: no zone "V1"`},
		{"remove D1, which has room beside it", func() (Change, *Problem) { return p.Remove("D1") }, `bays.csv:3: for: no zone "D1"`},
		{"remove B1, on which D2 hangs", func() (Change, *Problem) { return p.Remove("B1") }, `ductwork.csv:3: level: steel: no beam lies over this row`},
		{"remove W1, which has an opening", func() (Change, *Problem) { return p.Remove("W1") }, `bays.csv:3: in: no zone "W1"`},
	} {
		_, pr := test.do()
		if pr == nil || !strings.HasPrefix(pr.String(), test.want) {
			t.Errorf("%s: %v, want %s", test.what, pr, test.want)
		}
		if d := gocmp.Diff(was, projectOf(p), gocmp.AllowUnexported(Bay{})); d != "" {
			t.Fatalf("%s: it left (-was +is):\n%s", test.what, d)
		}
	}
}

// alikeToCheck compares two states of a zone without the way in which they are written.
func alikeToCheck(a, b zoneState) bool {
	a.Row, b.Row = ZoneRow{}, ZoneRow{}
	return reflect.DeepEqual(a, b)
}

// someEdit draws an edit.
func someEdit(t *rapid.T, p *Project, added *int) (kind, said string, do func() (Change, *Problem)) {
	of := func(label string, from ...string) string { return rapid.SampledFrom(from).Draw(t, label) }
	var ids []string
	for i := range p.Zones() {
		if z := p.Zone(i); !z.Gone {
			ids = append(ids, z.ID)
		}
	}
	values := map[string][]string{
		"level": {"2900", "FFL+3000", "steel-100", "soffit-300", "ceiling+100", "build-up+20", "FFL..soffit", "2000..steel", "up", "project+5000", "SSL+3000"},
		"x1":    {"0", "500", "A+250", "B-500", "5900", "grid 2", "20000", "Q+1"}, "y1": {"0", "2000", "4000", "grid 2-500", "9000", "30000"},
		"x2": {"", "0", "3000", "B+100", "11000", "12000"}, "y2": {"", "2000", "4000", "grid 3", "15000"},
		"size":       {"300x200", "ø150", "UB 254x146x31", "DN150", "DN150 EN 10255", "600x600x100", "150", "UB 1x2x3"},
		"insulation": {"", "30", "20 over joint"}, "joint": {"", "40", "-1"}, "top": {"", "50"}, "fall": {"", "1 in 80", "1 in 2"},
		"kind": {"", "beam", "tray", "fan coil", "gizmo", "widget", "wall"}, "service": {"", "LTHW", "aether", "supply air"}, "trade": {"", "steel", "pipework", "sorcery"},
		"storey": {"G", "F", "", "X"}, "bay": {"", "a1", "f2", "b9"}, "hanger": {"", "H", "channel 41 M12", "pipe clip", "string"},
		"run": {"", "SA", "SC"}, "joins": {"", "D1", "N1;D2", "Z9"}, "recessed": {"", "yes", "no"}, "reach": {"", "yes", "no"}, "class": {"", "a", "z"},
		"circuits": {"", "6"}, "rank": {"", "2", "0"}, "holds": {"", "level", "all"}, "stage": {"", "made", "fixed", "bought"}, "note": {"", "mind"}, "face": {"", "top", "centre"}, "tolerance": {"", "0", "5"},
		"width": {"350"}, "height": {"120"}, "frame": {"", "F", "F"}, "tier": {"", "1", "2"}, "id": {"X"}, "colour": {"red"},
	}
	switch kind = of("edit", "zone", "zone", "zone", "cells", "cells", "add", "remove", "bay", "gap"); kind {
	case "cells":
		id := of("id", ids...)
		var list []CellText
		for range rapid.IntRange(0, 4).Draw(t, "cells") {
			column := of("column", slices.Sorted(maps.Keys(values))...)
			list = append(list, CellText{column, of("text", values[column]...)})
		}
		return kind, fmt.Sprintf("%s %q", id, list), func() (Change, *Problem) { return p.EditCells(id, list) }
	case "zone":
		id, column := of("id", ids...), of("column", slices.Sorted(maps.Keys(values))...)
		text := of("text", values[column]...)
		return kind, fmt.Sprintf("%s %s = %q", id, column, text), func() (Change, *Problem) { return p.Edit(id, column, text) }
	case "add":
		*added++
		texts := map[string]string{"id": fmt.Sprint("N", *added), "storey": of("storey", "G", "F"), "x1": of("x1", values["x1"]...), "y1": of("y1", values["y1"]...), "size": "300x200", "level": of("level", "2900", "steel-100", "soffit-300", "soffit", "3300")}
		if of("what", "length", "beam", "item", "height") != "item" {
			texts["x2"], texts["y2"] = of("x2", "3000", "11000", "B+100"), of("y2", "2000", "4000", "grid 3")
		} else {
			texts["size"] = "200x200x100"
		}
		for _, c := range []string{"kind", "service", "joins", "hanger", "bay", "insulation", "note"} {
			if of("also "+c, "no", "no", "no", "yes") == "yes" {
				texts[c] = of(c, values[c]...)
			}
		}
		if of("a name that rows wait for", "no", "no", "no", "yes") == "yes" {
			texts["id"] = of("name", "B9", "V9", "T9", "Z9", "d1 ")
		}
		for c, text := range texts {
			if text == "" {
				delete(texts, c)
			}
		}
		file := of("file", "ductwork.csv", "steel.csv", "gizmos.csv", "gas.csv", "spells.csv")
		var row ZoneRow
		for _, c := range slices.Sorted(maps.Keys(texts)) {
			if pr := p.setCell(&row, At{}, c, texts[c], ""); pr != nil {
				return kind, "nothing", func() (Change, *Problem) { return Change{}, pr }
			}
		}
		return kind, fmt.Sprintf("add to %s %v", file, texts), func() (Change, *Problem) { return p.Add(file, &row) }
	case "remove":
		id := of("id", ids...)
		return kind, "remove " + id, func() (Change, *Problem) { return p.Remove(id) }
	case "bay":
		var bays []string
		for i := range p.Bays {
			bays = append(bays, p.Bays[i].Label, p.Bays[i].Name)
		}
		bay := of("bay", append(bays, "nowhere")...)
		of2 := map[string][]string{
			"soffit": {"3600", "3500", "ceiling+900", "2000", "steel-1"}, "ceiling": {"2700", "2600", "none", "soffit-800", "", "3900"}, "buildup": {"", "boards", "tiles", "straw"},
			"x1": {"A", "B", "B+100", "500"}, "x2": {"B", "C", "B-100", "11000"}, "y2": {"grid 2", "grid 3", "7000"}, "bay": {"a1", "z1", "b7"}, "storey": {"G", "F", "X"}, "note": {"n"},
		}
		column := of("column", slices.Sorted(maps.Keys(of2))...)
		text := of("text", of2[column]...)
		return kind, fmt.Sprintf("bay %s %s = %q", bay, column, text), func() (Change, *Problem) { return p.EditBay(bay, column, text) }
	}
	column := of("column", "gap", "of", "why", "side", "colour")
	text := map[string][]string{"gap": {"25", "50", "wide"}, "of": {"tray", "pipe"}, "why": {"so"}, "side": {"above", "inward"}, "colour": {"red"}}[column]
	row := rapid.IntRange(0, 2).Draw(t, "row")
	value := of("text", text...)
	return "gap", fmt.Sprintf("gap %d %s = %q", row, column, value), func() (Change, *Problem) { return p.EditGap(row, column, value) }
}
