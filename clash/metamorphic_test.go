package clash_test

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io/fs"
	"maps"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"

	"voidline/clash"
	"voidline/io/table"
	"voidline/reports/record"
	"voidline/void/cell"

	"voidline/clash/finding"
	"voidline/void/need"
)

// document returns the JSON answer of a result.
func document(t testing.TB, res *finding.Result) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := record.Check(&b, res); err != nil {
		t.Fatalf("record.Check: %v", err)
	}
	return b.Bytes()
}

// rowsIn matches what says where a row stands.
var rowsIn = regexp.MustCompile(`"(a_row|b_row|row|in_row|of_row|from_row)":"[^"]*"`)

// lists whose members stand in the order of the tables.
var byTable = regexp.MustCompile(`(?sm)^"(warnings|problems)": \[.*?\],\n`)

// linesIn matches a row that a note names.
var linesIn = regexp.MustCompile(`\.csv:\d+`)

// masked blanks rows, and leaves out what is told in the order of the tables.
func masked(doc []byte) []byte {
	doc = linesIn.ReplaceAll(rowsIn.ReplaceAll(doc, []byte(`"$1":""`)), []byte(".csv"))
	return byTable.ReplaceAll(doc, nil)
}

// differ tells where two documents differ first, "" where they do not.
func differ(a, b []byte) string {
	la, lb := bytes.Split(a, []byte("\n")), bytes.Split(b, []byte("\n"))
	diffs, first := 0, ""
	for i := range max(len(la), len(lb)) {
		var x, y []byte
		if i < len(la) {
			x = la[i]
		}
		if i < len(lb) {
			y = lb[i]
		}
		if !bytes.Equal(x, y) {
			if diffs == 0 {
				at := 0
				for at < min(len(x), len(y)) && x[at] == y[at] {
					at++
				}
				from := max(0, at-160)
				first = fmt.Sprintf("line %d (%.120s) byte %d\n  was %.300s\n  is  %.300s", i+1, x, at+1, x[min(from, len(x)):], y[min(from, len(y)):])
			}
			diffs++
		}
	}
	if diffs == 0 {
		return ""
	}
	return fmt.Sprintf("%d lines differ, first %s", diffs, first)
}

// askFS opens tables and asks for findings.
func askFS(t testing.TB, fsys fs.FS, opt clash.Options) *finding.Result {
	t.Helper()
	p, err := table.Open(context.Background(), "random", table.Options{FS: fsys})
	if err != nil {
		t.Fatal(err)
	}
	if len(p.Problems) > 0 {
		t.Fatalf("%d problems, first %v", len(p.Problems), p.Problems[0])
	}
	res, err := clash.Open(p, opt).Findings(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	return res
}

// metamorphic seeds; each project has another mix.
var metamorphicMixes = []mix{
	{zones: 300, storeys: 1, gaps: 0},
	{zones: 300, storeys: 2, gaps: 4},
	{zones: 300, storeys: 2, gaps: 9},
}

func TestSpellingChangesNothingButRows(t *testing.T) {
	for i := range len(metamorphicMixes) * *more {
		m := metamorphicMixes[i%len(metamorphicMixes)]
		seed := uint64(10000 + i)
		b := random(seed, m)
		opt := clash.Options{Touch: 1, Workers: 1}
		want := document(t, b.checked(t, spelling{}, opt))
		if n := bytes.Count(want, []byte(`"kind":`)); n < 50 {
			t.Fatalf("seed %d: %d findings are too few to tell anything", seed, n)
		}
		for _, test := range []struct {
			name string
			s    spelling
			opt  clash.Options
			same bool // every byte
		}{
			{"again", spelling{}, opt, true},
			{"two workers", spelling{}, clash.Options{Touch: 1, Workers: 2}, true},
			{"metres", spelling{metres: true}, opt, true},
			{"semicolons and decimal commas", spelling{comma: true}, opt, true},
			{"metres and decimal commas", spelling{metres: true, comma: true}, opt, true},
			{"rows in another order", spelling{shuffle: rand.New(rand.NewPCG(seed, 1))}, opt, false},
			{"rows in a third order", spelling{shuffle: rand.New(rand.NewPCG(seed, 2))}, opt, false},
			{"each trade in two tables", spelling{split: true}, opt, false},
			{"storeys in another order", spelling{upside: true}, opt, false},
			{"all at once", spelling{metres: true, comma: true, split: true, upside: true, shuffle: rand.New(rand.NewPCG(seed, 3))}, clash.Options{Touch: 1, Workers: 2}, false},
		} {
			got, was := document(t, b.checked(t, test.s, test.opt)), want
			if !test.same {
				got, was = masked(got), masked(was)
			}
			if d := differ(was, got); d != "" {
				t.Errorf("seed %d, %s: %s", seed, test.name, d)
			}
		}
	}
}

func TestProcessorsChangeNothing(t *testing.T) {
	b := random(111, mix{zones: 300, storeys: 2, gaps: 3})
	keep := runtime.GOMAXPROCS(1)
	defer runtime.GOMAXPROCS(keep)
	want := document(t, b.checked(t, spelling{}, clash.Options{Touch: 1}))
	runtime.GOMAXPROCS(2)
	if d := differ(want, document(t, b.checked(t, spelling{}, clash.Options{Touch: 1}))); d != "" {
		t.Errorf("seed %d: GOMAXPROCS 2: %s", b.seed, d)
	}
}

// moved returns the building moved in plan.
func (b *building) moved(dx, dy float64) *building {
	c := b.copy()
	shift := func(p *place, d float64) {
		if p.line == "" {
			p.mm = tenth(p.mm + d)
		}
	}
	for i := range c.grid {
		d := dx
		if c.grid[i].axis == "y" {
			d = dy
		}
		c.grid[i].at = tenth(c.grid[i].at + d)
	}
	for i := range c.bays {
		r := &c.bays[i]
		r.x1, r.y1, r.x2, r.y2 = tenth(r.x1+dx), tenth(r.y1+dy), tenth(r.x2+dx), tenth(r.y2+dy)
	}
	for i := range c.rows {
		r := &c.rows[i]
		shift(&r.x1, dx)
		shift(&r.x2, dx)
		shift(&r.y1, dy)
		shift(&r.y2, dy)
	}
	for i := range c.openings {
		shift(&c.openings[i].x, dx)
		shift(&c.openings[i].y, dy)
	}
	for i := range c.access {
		shift(&c.access[i].x, dx)
		shift(&c.access[i].y, dy)
	}
	return c
}

// quarter says what a side is called after a quarter turn to the left.
var quarter = map[string]string{"east": "north", "north": "west", "west": "south", "south": "east"}

// turned returns the building turned by a quarter to the left: x, y become -y, x.
func (b *building) turned() *building {
	c := b.copy()
	back := func(p place) place { p.mm = -p.mm; return p }
	turn := func(x, y *place) { *x, *y = back(*y), *x }
	for i := range c.grid {
		g := &c.grid[i]
		if g.axis == "x" {
			g.axis = "y"
		} else {
			g.axis, g.at = "x", -g.at
		}
	}
	for i := range c.bays {
		r := &c.bays[i]
		r.x1, r.y1, r.x2, r.y2 = -r.y2, r.x1, -r.y1, r.x2
	}
	for i := range c.rows {
		r := &c.rows[i]
		turn(&r.x1, &r.y1)
		turn(&r.x2, &r.y2)
		if r.placed && !r.length && !r.round {
			r.a, r.b = r.b, r.a
		}
	}
	for i := range c.openings {
		turn(&c.openings[i].x, &c.openings[i].y)
	}
	for i := range c.access {
		a := &c.access[i]
		turn(&a.x, &a.y)
		a.a, a.b = a.b, a.a
		if to, ok := quarter[a.side]; ok {
			a.side = to
		}
	}
	return c
}

func (b *building) copy() *building {
	c := *b
	c.grid, c.bays, c.rows = slices.Clone(b.grid), slices.Clone(b.bays), slices.Clone(b.rows)
	c.openings, c.access = slices.Clone(b.openings), slices.Clone(b.access)
	return &c
}

// alike compares two answers for one building in two places: same ids, kinds and words, amounts within a hair
// once rounded, and places where to says.
func alike(t *testing.T, what string, was, is *finding.Result, to func(x, y float64) (float64, float64), turned bool, item func(string) bool) {
	t.Helper()
	bad := 0
	say := func(format string, args ...any) {
		if bad++; bad <= 8 {
			t.Errorf("%s: "+format, append([]any{what}, args...)...)
		}
	}
	defer func() {
		if bad > 8 {
			t.Errorf("%s: and %d more", what, bad-8)
		}
	}()
	near := func(a, b float64) bool { return math.Abs(a-b) <= 0.1+1e-6 }
	byID := map[string]*finding.Finding{}
	for i := range is.Findings {
		byID[is.Findings[i].ID] = &is.Findings[i]
	}
	if len(was.Findings) != len(is.Findings) {
		say("%d findings, now %d", len(was.Findings), len(is.Findings))
	}
	for i := range was.Findings {
		f := &was.Findings[i]
		g, ok := byID[f.ID]
		if !ok {
			say("%s %s / %s (short %.4f) is gone", f.Kind, f.A, name(f.B), f.Short)
			continue
		}
		delete(byID, f.ID)
		side := f.Side.String()
		if to, ok := quarter[side]; ok && turned {
			side = to
		}
		// The axes of an item are those of the building: its sideways moves, and so who gives way between equals, and
		// the stretch that its place is the middle of, are others once it is turned.
		loose := turned && (item(f.A) || f.B != nil && item(*f.B))
		if f.Kind != g.Kind || f.A != g.A || name(f.B) != name(g.B) || side != g.Side.String() || f.Rule != g.Rule || f.GivesWay != g.GivesWay && !loose || name(f.Bay) != name(g.Bay) && !loose {
			say("%s: was %s %s / %s %s %q %s in %s, is %s %s / %s %s %q %s in %s", f.ID, f.Kind, f.A, name(f.B), f.Side, f.Rule, f.GivesWay, name(f.Bay), g.Kind, g.A, name(g.B), g.Side, g.Rule, g.GivesWay, name(g.Bay))
			continue
		}
		if !near(f.Gap, g.Gap) || !near(f.Asked, g.Asked) || !near(f.Short, g.Short) {
			say("%s %s / %s: gap, asked, short were %.4f %.4f %.4f, are %.4f %.4f %.4f", f.Kind, f.A, name(f.B), f.Gap, f.Asked, f.Short, g.Gap, g.Asked, g.Short)
		}
		if (f.Depth == nil) != (g.Depth == nil) {
			say("%s %s / %s: overlap was %v, is %v", f.Kind, f.A, name(f.B), f.Depth, g.Depth)
		} else if f.Depth != nil {
			if !near(f.Depth.Vertical, g.Depth.Vertical) || (f.Depth.Sideways == nil) != (g.Depth.Sideways == nil) ||
				f.Depth.Sideways != nil && !near(*f.Depth.Sideways, *g.Depth.Sideways) {
				say("%s %s / %s: depth was %s, is %s", f.Kind, f.A, name(f.B), depth(f.Depth), depth(g.Depth))
			}
		}
		x, y := to(f.At.X, f.At.Y)
		if !loose && (!near(x, g.At.X) || !near(y, g.At.Y)) || !near(f.At.Z, g.At.Z) || !near(f.At.Level, g.At.Level) {
			say("%s %s / %s: place was (%.3f, %.3f, %.3f), should be at (%.3f, %.3f), is (%.3f, %.3f, %.3f)", f.Kind, f.A, name(f.B), f.At.X, f.At.Y, f.At.Z, x, y, g.At.X, g.At.Y, g.At.Z)
		}
		if !turned && !sameWords(f.At.Where, g.At.Where) {
			say("%s %s / %s: where was %q, is %q", f.Kind, f.A, name(f.B), f.At.Where, g.At.Where)
		}
		if loose {
			continue
		}
		if len(f.Moves) != len(g.Moves) {
			say("%s %s / %s: moves were %v, are %v", f.Kind, f.A, name(f.B), f.Moves, g.Moves)
			continue
		}
		for k := range f.Moves {
			if m, n := f.Moves[k], g.Moves[k]; m.Zone != n.Zone || m.Direction != n.Direction || !near(m.By, n.By) {
				say("%s %s / %s: moves were %v, are %v", f.Kind, f.A, name(f.B), f.Moves, g.Moves)
				break
			}
		}
	}
	for _, id := range slices.Sorted(maps.Keys(byID)) {
		g := byID[id]
		say("%s %s / %s (short %.4f) is new", g.Kind, g.A, name(g.B), g.Short)
	}
	if w, i := was.Counts, is.Counts; w != i {
		say("counts were %+v, are %+v", w, i)
	}
	if !maps.Equal(was.Excused, is.Excused) {
		say("excused were %v, are %v", was.Excused, is.Excused)
	}
	if len(was.BuildersWork) != len(is.BuildersWork) || len(was.ToBeProtected) != len(is.ToBeProtected) {
		say("holes and protections were %d and %d, are %d and %d", len(was.BuildersWork), len(was.ToBeProtected), len(is.BuildersWork), len(is.ToBeProtected))
	}
}

// sameWords reports whether two places in words differ by no more than 1 mm: half a millimetre may be rounded either way.
func sameWords(a, b string) bool {
	numbers := regexp.MustCompile(`\d+`)
	x, y := numbers.FindAllString(a, -1), numbers.FindAllString(b, -1)
	if numbers.ReplaceAllString(a, "") != numbers.ReplaceAllString(b, "") || len(x) != len(y) {
		return false
	}
	for i := range x {
		m, err1 := strconv.Atoi(x[i])
		n, err2 := strconv.Atoi(y[i])
		if err1 != nil || err2 != nil || max(m-n, n-m) > 1 {
			return false
		}
	}
	return true
}

func name(s *string) string {
	if s == nil {
		return "-"
	}
	return *s
}

func depth(d *finding.Depth) string {
	if d.Sideways == nil {
		return fmt.Sprintf("%.4f up", d.Vertical)
	}
	return fmt.Sprintf("%.4f up, %.4f sideways", d.Vertical, *d.Sideways)
}

func TestMovingAndTurningChangeNothingButPlaces(t *testing.T) {
	for i := range len(metamorphicMixes) * *more {
		m := metamorphicMixes[i%len(metamorphicMixes)]
		seed := uint64(20000 + i)
		b := random(seed, m)
		items := map[string]bool{}
		for i := range b.rows {
			items[b.rows[i].id] = !b.rows[i].length
		}
		item := func(id string) bool { return items[id] }
		was := b.checked(t, spelling{}, clash.Options{Touch: 1})
		alike(t, fmt.Sprintf("seed %d, moved", seed), was, b.moved(12345.6, -7890.1).checked(t, spelling{}, clash.Options{Touch: 1}),
			func(x, y float64) (float64, float64) { return x + 12345.6, y - 7890.1 }, false, item)
		alike(t, fmt.Sprintf("seed %d, turned", seed), was, b.turned().checked(t, spelling{}, clash.Options{Touch: 1}),
			func(x, y float64) (float64, float64) { return -y, x }, true, item)
	}
}

// TestDemoRowsInAnotherOrder shuffles and splits the tables of the demo project as they stand.
func TestDemoRowsInAnotherOrder(t *testing.T) {
	dir := filepath.Join("..", "testdata", "demo")
	if _, err := os.Stat(dir); err != nil {
		need.Skip(t, "no demo project: %v", err)
	}
	names, err := filepath.Glob(filepath.Join(dir, "*.csv"))
	if err != nil {
		t.Fatal(err)
	}
	tables := fstest.MapFS{}
	for _, n := range names {
		data, err := os.ReadFile(n)
		if err != nil {
			t.Fatal(err)
		}
		tables[filepath.Base(n)] = &fstest.MapFile{Data: data}
	}
	want := masked(document(t, askFS(t, tables, clash.Options{Touch: 1, Workers: 1})))
	for round := range 3 {
		r := rand.New(rand.NewPCG(7, uint64(round)))
		other := fstest.MapFS{}
		for n, f := range tables {
			data := f.Data
			if n != "buildups.csv" && n != "hangers.csv" && n != "gaps.csv" {
				lines := strings.Split(strings.TrimRight(strings.ReplaceAll(string(data), "\r\n", "\n"), "\n"), "\n")
				if !strings.Contains(string(data), "\"") {
					r.Shuffle(len(lines)-1, func(i, j int) { lines[i+1], lines[j+1] = lines[j+1], lines[i+1] })
				}
				data = []byte(strings.Join(lines, "\n") + "\n")
			}
			other[n] = &fstest.MapFile{Data: data}
		}
		got := masked(document(t, askFS(t, other, clash.Options{Touch: 1, Workers: 1 + round%2})))
		if d := differ(want, got); d != "" {
			t.Errorf("round %d: %s", round, d)
		}
	}
}

// TestAnswerIsSound checks what must hold of every answer: numbers are finite, a place inside a bay has a bay, shortfall,
// gap and what is asked agree, moves are of the zone that gives way.
func TestAnswerIsSound(t *testing.T) {
	for seed := uint64(30000); seed < 30000+4*uint64(*more); seed++ {
		b := random(seed, mix{zones: 300, storeys: 1 + int(seed%2), gaps: int(seed % 5)})
		res := b.checked(t, spelling{}, clash.Options{Touch: 1})
		if !json.Valid(document(t, res)) {
			t.Errorf("seed %d: not JSON", seed)
		}
		seen := map[string]bool{}
		for i := range res.Findings {
			f := &res.Findings[i]
			at := fmt.Sprintf("seed %d: %s %s / %s", seed, f.Kind, f.A, name(f.B))
			if seen[f.ID] {
				t.Errorf("%s: id %s is there twice", at, f.ID)
			}
			seen[f.ID] = true
			if f.Bay == nil {
				for _, bay := range b.bays {
					if bay.storey == f.Storey && f.At.X > bay.x1+1 && f.At.X < bay.x2-1 && f.At.Y > bay.y1+1 && f.At.Y < bay.y2-1 {
						t.Errorf("%s: no bay, but (%.1f, %.1f) is inside %s", at, f.At.X, f.At.Y, bay.name)
					}
				}
			} else {
				k := slices.IndexFunc(b.bays, func(bay bayRow) bool {
					return bay.storey == f.Storey && (bay.name == *f.Bay || strings.HasPrefix(*f.Bay, bay.name+", "))
				})
				if k < 0 {
					t.Errorf("%s: bay %q is none of storey %s", at, *f.Bay, f.Storey)
				} else if bay := b.bays[k]; f.At.X < bay.x1-1 || f.At.X > bay.x2+1 || f.At.Y < bay.y1-1 || f.At.Y > bay.y2+1 {
					t.Errorf("%s: place (%.1f, %.1f) is not in its bay %s", at, f.At.X, f.At.Y, *f.Bay)
				}
			}
			switch f.Kind {
			case finding.Overlap:
				if f.Depth == nil || f.Gap != 0 {
					t.Errorf("%s: gap %g, depth %v", at, f.Gap, f.Depth)
					break
				}
				d := f.Depth.Vertical
				if f.Depth.Sideways != nil {
					d = min(d, *f.Depth.Sideways)
				}
				if d < 0.95 || math.Abs(f.Asked+d-f.Short) > 0.15 { // each is rounded to 0.1
					t.Errorf("%s: asked %g, depth %s, short %g", at, f.Asked, depth(f.Depth), f.Short)
				}
			case finding.Tight:
				if f.Depth != nil || f.Short <= 0 || f.Gap < 0 || math.Abs(f.Asked-f.Gap-f.Short) > 0.15 {
					t.Errorf("%s: asked %g, gap %g, short %g, depth %v", at, f.Asked, f.Gap, f.Short, f.Depth)
				}
			}
			for _, m := range f.Moves {
				if m.Zone != f.GivesWay || !(m.By > 0) {
					t.Errorf("%s: %s gives way, move %+v", at, f.GivesWay, m)
				}
			}
			for _, a := range f.Also {
				if f.Kind == finding.Tight && a.Short > f.Short+0.05 {
					t.Errorf("%s: short %g, and also short %g (%s)", at, f.Short, a.Short, a.Rule)
				}
			}
		}
		if len(res.ToBeProtected) == 0 {
			t.Errorf("seed %d: nothing is to be protected", seed)
		}
	}
}

// absolute writes a row's level from the project datum, so that it stays where it is when the row moves to another bay.
func (b *building) absolute(r *row) {
	abs := func(e end) end {
		switch e.ref {
		case "ceiling", "build-up", "soffit":
			t := b.thing(r)
			bay := &b.bays[t.bays[0]]
			face, top, _ := b.ceilingTop(bay)
			return end{"project", map[string]float64{"ceiling": face, "build-up": top, "soffit": b.z(bay.storey, bay.soffit)}[e.ref] + e.mm}
		}
		return end{"project", b.z(r.storey, e)}
	}
	r.level = abs(r.level)
	if r.upper != nil {
		u := abs(*r.upper)
		r.upper = &u
	}
}

// shifted returns the building with one row moved.
func (b *building) shifted(mv *finding.Move, by float64) *building {
	c := b.copy()
	k := slices.IndexFunc(c.rows, func(r row) bool { return r.id == mv.Zone })
	r := &c.rows[k]
	if r.placed {
		b.absolute(r)
	}
	if mv.Direction == "left" || mv.Direction == "right" {
		// Square to the row, and not as its dx and dy are rounded to 0.1: they say the same.
		d := pt{1, 0}
		if r.length {
			d = pt{b.xy(r.x2, "x") - b.xy(r.x1, "x"), b.xy(r.y2, "y") - b.xy(r.y1, "y")}
		}
		n := math.Hypot(d.x, d.y)
		if mv.Direction == "right" {
			n = -n
		}
		exact := *mv
		exact.DX, exact.DY = -d.y/n*mv.By, d.x/n*mv.By
		if math.Abs(exact.DX-mv.DX) > 0.2 || math.Abs(exact.DY-mv.DY) > 0.2 {
			panic(fmt.Sprintf("%+v: %s of the row is %g, %g", *mv, mv.Direction, exact.DX, exact.DY))
		}
		mv = &exact
	}
	by /= math.Sqrt(mv.DX*mv.DX + mv.DY*mv.DY + mv.DZ*mv.DZ)
	r.level.mm += by * mv.DZ
	if r.upper != nil {
		r.upper = &end{r.upper.ref, r.upper.mm + by*mv.DZ}
	}
	if mv.DX != 0 || mv.DY != 0 {
		r.x1.mm += by * mv.DX
		r.y1.mm += by * mv.DY
		r.x2.mm += by * mv.DX
		r.y2.mm += by * mv.DY
	}
	return c
}

// TestMovesClear takes the rows of each finding alone, checks that the finding is the same without the rest of the
// building, makes each move that is given, and checks that the finding is gone; with 1 mm less it
// is still there. Amounts are given to 0.1 mm, so that a move may be 0.05 short of its own.
func TestMovesClear(t *testing.T) {
	find := func(res *finding.Result, id string) *finding.Finding {
		for i := range res.Findings {
			if res.Findings[i].ID == id {
				return &res.Findings[i]
			}
		}
		return nil
	}
	tried := map[string]int{}
	alone := 0
	for n := range uint64(3 * *more) {
		seed := 50000 + n
		m := mix{zones: 220, storeys: 1 + int(n%2), gaps: 3 * int(n%3)}
		b := random(seed, m)
		// With a touch tolerance 1 mm less would do where nothing is asked; what is asked for tiles is asked of one row a bay.
		opt := clash.Options{Touch: clash.None, Rules: measured()}
		bad := 0
		say := func(format string, args ...any) {
			if bad++; bad <= 10 {
				t.Errorf("seed %d, mix %+v: "+format, append([]any{seed, m}, args...)...)
			}
		}
		for _, f := range b.checked(t, spelling{}, opt).Findings {
			also := slices.ContainsFunc(f.Also, func(a finding.Also) bool { return a.Side == cell.OneSide })
			if f.Kind == finding.Access || f.Side == cell.OneSide || also || f.B == nil || f.AKind == "support" || strings.Contains(f.Note, "its rows together") {
				continue // what else stands there counts for these
			}
			two := b.only(func(r *row) bool { return r.id == f.A || r.id == *f.B }).copy()
			two.access = nil
			two.openings = slices.DeleteFunc(two.openings, func(o openingRow) bool { return o.in != f.A && o.in != *f.B })
			g := find(two.checked(t, spelling{}, opt), f.ID)
			if g == nil {
				say("%s %s / %s is gone without the rest of the building", f.Kind, f.A, *f.B)
				continue
			}
			if g.Kind != f.Kind || g.Gap != f.Gap || g.Asked != f.Asked || g.Short != f.Short || !slices.Equal(f.Moves, g.Moves) || g.At != f.At {
				say("%s %s / %s: gap %g asked %g short %g at %v moves %v, without the rest of the building %g %g %g at %v moves %v", f.Kind, f.A, *f.B, f.Gap, f.Asked, f.Short, f.At, f.Moves, g.Gap, g.Asked, g.Short, g.At, g.Moves)
			}
			alone++
			for _, mv := range f.Moves {
				tried[mv.Direction]++
				if g := find(two.shifted(&mv, mv.By+0.06).checked(t, spelling{}, opt), f.ID); g != nil {
					say("%s %s / %s short %g (%s, %s): move %s %s by %g leaves %s gap %g asked %g short %g (%s, %s)", f.Kind, f.A, *f.B, f.Short, f.Side, f.Rule, mv.Zone, mv.Direction, mv.By, g.Kind, g.Gap, g.Asked, g.Short, g.Side, g.Rule)
				}
				if mv.By <= 1.1 {
					continue
				}
				less := two.shifted(&mv, mv.By-1).checked(t, spelling{}, opt)
				if g := find(less, f.ID); g == nil && len(less.Excused) == 0 { // an end may come to stop at a unit on the way
					say("%s %s / %s short %g (%s, %s): move %s %s by %g, but 1 mm less is enough", f.Kind, f.A, *f.B, f.Short, f.Side, f.Rule, mv.Zone, mv.Direction, mv.By)
				}
			}
		}
		if bad > 10 {
			t.Errorf("seed %d: and %d more", seed, bad-10)
		}
	}
	t.Logf("%d findings alone, moves tried: %v", alone, tried)
	for _, d := range []string{"up", "down", "left", "right", "sideways"} {
		if tried[d] < 20 {
			t.Errorf("only %d moves %s were tried", tried[d], d)
		}
	}
}

// TestMovesClearByEdit makes moves up and down as a person does, by an edit of the level, and asks again.
func TestMovesClearByEdit(t *testing.T) {
	b := random(520, mix{zones: 100, storeys: 1})
	opt := clash.Options{Touch: 1}
	ctx := context.Background()
	tried := 0
	for _, f := range b.checked(t, spelling{}, opt).Findings {
		if f.Kind == finding.Access || f.Side == cell.OneSide || len(f.Also) > 1 || tried >= 24 {
			continue
		}
		for _, mv := range f.Moves {
			if mv.Direction != "up" && mv.Direction != "down" {
				continue
			}
			tried++
			by := mv.By + 0.06
			if mv.Direction == "down" {
				by = -by
			}
			k := slices.IndexFunc(b.rows, func(r row) bool { return r.id == mv.Zone })
			r := b.rows[k]
			r.level.mm += by
			text := spelling{}.end(r.level)
			if r.upper != nil {
				text += ".." + spelling{}.end(end{r.upper.ref, r.upper.mm + by})
			}
			p := b.opened(t, spelling{})
			ch := clash.Open(p, opt)
			if _, err := ch.Findings(ctx); err != nil {
				t.Fatal(err)
			}
			changed, pr := p.Edit(mv.Zone, "level", text)
			if pr != nil {
				t.Errorf("seed %d: edit of %s to %q: %v", b.seed, mv.Zone, text, pr)
				continue
			}
			if len(changed.Zones) == 0 {
				t.Errorf("seed %d: edit of %s to %q changed nothing", b.seed, mv.Zone, text)
			}
			ch.Changed(changed)
			res, err := ch.Findings(ctx)
			if err != nil {
				t.Fatal(err)
			}
			for _, g := range res.Findings {
				if g.ID == f.ID && g.Side != cell.OneSide {
					t.Errorf("seed %d: %s %s / %s (short %g): after edit of %s to %q still %s, short %g (%s)", b.seed, f.Kind, f.A, name(f.B), f.Short, mv.Zone, text, g.Kind, g.Short, g.Rule)
				}
			}
			// The same, opened anew with the row moved.
			if mv.Direction == "up" {
				if d := differ(document(t, b.withLevel(k, r).checked(t, spelling{}, opt)), document(t, res)); d != "" {
					t.Errorf("seed %d: after edit of %s to %q and opened anew: %s", b.seed, mv.Zone, text, d)
				}
			}
		}
	}
	if tried < 20 {
		t.Errorf("only %d edits were tried", tried)
	}
}

// withLevel returns the building with one row in place of another.
func (b *building) withLevel(k int, r row) *building {
	c := b.copy()
	if r.upper != nil {
		r.upper = &end{r.upper.ref, r.upper.mm + r.level.mm - b.rows[k].level.mm}
	}
	c.rows[k] = r
	return c
}
