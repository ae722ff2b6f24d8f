package clash_test

import (
	"bytes"
	"cmp"
	"context"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"hash/fnv"
	"maps"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"testing/fstest"

	"github.com/rogpeppe/go-internal/txtar"

	"voidline/clash"
	"voidline/clash/finding"
	"voidline/clash/setout"
	"voidline/clash/tolerance"
	"voidline/io/table"
	sheets "voidline/reports/setout"
	"voidline/void"
	"voidline/void/cell"
)

// What holds of every project, whatever it is made to show. Each project of tables that a test here opens as text, and each of the
// command's scripts, is held to it: answer and sheets do not hang on which row comes first, nor on rows far away that come before all
// others; turned in plan, and with lengths drawn from their other end, there are the same findings; and an edit in memory, several at once, and
// moves that are made one after the other, come to what reading the changed tables comes to, asked again or anew.

// everyMost is how many rows of zones a project may have for that; larger ones take long.
const everyMost = 60

// everyOf is how many projects of one test are held to it: one that makes them by the hundred shows much the same with each.
const everyOf = 8

// everyDone are the projects that were held to it, by the text of their tables, and how many there were of each test.
var everyDone = struct {
	sync.Mutex
	project map[uint64]bool
	of      map[string]int
}{project: map[uint64]bool{}, of: map[string]int{}}

// everyNew reports whether a project is still to be held to it.
func everyNew(test string, sum uint64) bool {
	everyDone.Lock()
	defer everyDone.Unlock()
	test, _, _ = strings.Cut(test, "/")
	if everyDone.project[sum] || test != "TestScriptProjectsHold" && everyDone.of[test] >= everyOf {
		return false
	}
	everyDone.project[sum] = true
	everyDone.of[test]++
	return true
}

// everySheet is a table that can be written with its rows otherwise.
type everySheet struct {
	name string
	head []string
	rows [][]string
}

func (s *everySheet) write(rows [][]string) []byte {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	_ = w.Write(s.head) // a bytes.Buffer takes everything
	_ = w.WriteAll(rows)
	return b.Bytes()
}

// column returns the place of a column, -1 where there is none.
func (s *everySheet) column(name string) int { return slices.Index(s.head, name) }

// isZones reports whether it is a trade's table.
func (s *everySheet) isZones() bool { return s.column("id") >= 0 }

// everySheets reads tables with commas; ok is false where one of them is written in another way.
func everySheets(files map[string]string) (out []*everySheet, ok bool) {
	for _, name := range slices.Sorted(maps.Keys(files)) {
		recs, err := csv.NewReader(strings.NewReader(files[name])).ReadAll()
		if err != nil || len(recs) == 0 || len(recs[0]) < 2 {
			return nil, false
		}
		out = append(out, &everySheet{name, recs[0], recs[1:]})
	}
	return out, true
}

// ordered names the tables whose rows say something by their order: layers and parts, from below up.
var ordered = map[string]bool{"buildups.csv": true, "hangers.csv": true}

// everyProject holds a project to what holds of all.
func everyProject(t *testing.T, files map[string]string) {
	t.Helper()
	sheets, ok := everySheets(files)
	if !ok {
		return
	}
	h := fnv.New64a()
	most := 0
	for _, s := range sheets {
		fmt.Fprint(h, s.name, files[s.name])
		if s.isZones() {
			most += len(s.rows)
		}
	}
	sum := h.Sum64()
	if most > everyMost || !everyNew(t.Name(), sum) {
		return
	}
	opt := clash.Options{Touch: 1, Firm: sum>>1&1 == 1, Surveyed: true, Excused: true, Workers: 1}
	if sum>>2&1 == 1 {
		opt.Tolerance, opt.Deflection = tolerance.WorstCase, 360
	}
	e := every{t: t, sheets: sheets, opt: opt}
	p := e.open(e.files(nil))
	check := clash.Open(p, opt)
	e.want, e.set = answerOf(t, check), sheetsOf(t, p, check)
	if len(p.Problems) > 0 {
		return // what is wrong with tables is told row by row, in their order
	}
	if res := e.result(e.files(nil)); !slices.IsSortedFunc(res.ExcusedPairs, func(x, y finding.ExcusedPair) int {
		return cmp.Or(strings.Compare(x.A, y.A), strings.Compare(x.B, y.B))
	}) {
		t.Errorf("excused in no order: %+v", res.ExcusedPairs)
	}
	e.orders()
	e.farRows()
	e.turned(p)
	e.improved()
	e.edits(p, sum)
}

// every is a project that is held to what holds of all, and its answer.
type every struct {
	t      *testing.T
	sheets []*everySheet
	opt    clash.Options
	want   string // the answer
	set    string // the sheets
}

// files writes the tables, one of them with its rows otherwise: as instead has them.
func (e *every) files(instead map[string][][]string) fstest.MapFS {
	out := fstest.MapFS{}
	for _, s := range e.sheets {
		rows, there := instead[s.name]
		if !there {
			rows = s.rows
		}
		out[s.name] = &fstest.MapFile{Data: s.write(rows)}
	}
	return out
}

// text is the tables as they are read, for who looks at what failed.
func (e *every) text(instead map[string][][]string) string {
	fsys, out := e.files(instead), ""
	for _, name := range slices.Sorted(maps.Keys(fsys)) {
		out += "-- " + name + " --\n" + string(fsys[name].Data)
	}
	return out
}

func (e *every) open(fsys fstest.MapFS) *void.Project {
	p, err := table.Open(context.Background(), "p", table.Options{FS: fsys})
	if p == nil {
		e.t.Fatal(err)
	}
	return p
}

// asked is the answer to tables that are written otherwise, and their sheets; they have no problems.
func (e *every) asked(what string, fsys fstest.MapFS) (answer, sheets string) {
	e.t.Helper()
	p := e.open(fsys)
	if len(p.Problems) > 0 {
		e.t.Errorf("%s: %v", what, p.Problems[0])
		return "", ""
	}
	check := clash.Open(p, e.opt)
	return answerOf(e.t, check), sheetsOf(e.t, p, check)
}

// sheetsAre compares sheets but for which rows they name.
func (e *every) sheetsAre(what, got string) {
	e.t.Helper()
	if d := differ(linesIn.ReplaceAll([]byte(e.set), []byte(".csv")), linesIn.ReplaceAll([]byte(got), []byte(".csv"))); d != "" {
		e.t.Errorf("%s, set out: %s\n%s", what, d, e.text(nil))
	}
}

// orders: with the rows of every table turned round so that another comes first, and with all in the opposite order, the answer is the same but for which row is named.
func (e *every) orders() {
	e.t.Helper()
	most := 1
	for _, s := range e.sheets {
		if !ordered[s.name] {
			most = max(most, len(s.rows))
		}
	}
	for by := 1; by < min(most, 6); by++ {
		instead := map[string][][]string{}
		for _, s := range e.sheets {
			if n := len(s.rows); n > 1 && !ordered[s.name] {
				rows := append(slices.Clone(s.rows[by%n:]), s.rows[:by%n]...)
				if by == 1 { // and once the other way round
					rows = slices.Clone(s.rows)
					slices.Reverse(rows)
				}
				instead[s.name] = rows
			}
		}
		what := fmt.Sprintf("rows from the %d. on", by+1)
		got, set := e.asked(what, e.files(instead))
		if d := differ(masked([]byte(e.want)), masked([]byte(got))); d != "" {
			e.t.Errorf("%s: %s\n%s", what, d, e.text(nil))
		}
		e.sheetsAre(what, set)
	}
}

// farAway is what all names of far rows begin with.
const farAway = "ZZ-"

// farRows: a bay 500 m away, a length of each trade in it, and a build-up and a hanger that nobody has, all before the first rows of their tables, change nothing of what is told of the rest.
func (e *every) farRows() {
	e.t.Helper()
	instead := map[string][][]string{}
	storey, n := "", 0
	x0, y0 := 0, 0 // the origin, from which nothing may be 10 km away
	for _, s := range e.sheets {
		if x, y := s.column("x"), s.column("y"); s.name == "origin.csv" && x >= 0 && y >= 0 {
			var err, err2 error
			x0, err = strconv.Atoi(s.rows[0][x])
			if y0, err2 = strconv.Atoi(s.rows[0][y]); err != nil || err2 != nil {
				return
			}
		}
	}
	far := func(v0, v int) string { return strconv.Itoa(v0 + v) }
	row := func(s *everySheet, cells map[string]string) []string {
		out := make([]string, len(s.head))
		for i, h := range s.head {
			out[i] = cells[h]
		}
		return out
	}
	put := func(s *everySheet, cells map[string]string) {
		for _, need := range []string{"x1", "y1"} {
			if _, wants := cells[need]; wants && s.column(need) < 0 {
				return
			}
		}
		instead[s.name] = append([][]string{row(s, cells)}, s.rows...)
	}
	for _, s := range e.sheets {
		if s.name != "bays.csv" || s.column("bay") < 0 || s.column("soffit") < 0 {
			continue
		}
		if k := s.column("storey"); k >= 0 && len(s.rows) > 0 {
			storey = s.rows[0][k]
		}
		put(s, map[string]string{"bay": farAway + "bay", "storey": storey, "x1": far(x0, 500000), "y1": far(y0, 500000), "x2": far(x0, 600000), "y2": far(y0, 600000), "soffit": "9000", "ceiling": "none"})
	}
	if instead["bays.csv"] == nil {
		return
	}
	for _, s := range e.sheets {
		switch {
		case s.isZones() && s.column("size") >= 0 && s.column("level") >= 0 && s.column("x2") >= 0:
			n++
			cells := map[string]string{
				"id": farAway + s.name, "storey": storey, "x1": far(x0, 510000), "x2": far(x0, 520000), "y1": far(y0, 510000+3000*n), "y2": far(y0, 510000+3000*n),
				"size": "100x100", "level": "FFL+5000",
			}
			for _, c := range []string{"kind", "trade", "service"} { // as the first that is a length
				if k := s.column(c); k >= 0 {
					for _, r := range s.rows {
						if r[s.column("x2")] != "" {
							cells[c] = r[k]
							break
						}
					}
				}
			}
			if cells["kind"] != "" || s.column("kind") < 0 {
				put(s, cells)
			}
		case s.name == "buildups.csv" && s.column("build-up") >= 0:
			put(s, map[string]string{"build-up": farAway + "b", "layer": "board", "thickness": "12"})
		case s.name == "hangers.csv" && s.column("hanger") >= 0:
			put(s, map[string]string{"hanger": farAway + "h", "part": "nut", "height": "12"})
		}
	}
	p := e.open(e.files(instead))
	if len(p.Problems) > 0 {
		for name := range instead { // a trade of which there are no lengths, say: the bay alone
			if name != "bays.csv" {
				delete(instead, name)
			}
		}
	}
	got, set := e.asked("far rows", e.files(instead))
	e.sheetsAre("far rows", set)
	if d := differ(masked(withoutFar(e.t, e.want)), masked(withoutFar(e.t, got))); d != "" {
		e.t.Errorf("rows far away before the first: %s\n%s", d, e.text(instead))
	}
}

// inPlan are the columns of places in plan, by table; of trades' tables those of "".
var inPlan = map[string][][2]string{
	"": {{"x1", "y1"}, {"x2", "y2"}}, "bays.csv": {{"x1", "y1"}, {"x2", "y2"}}, "access.csv": {{"x", "y"}}, "openings.csv": {{"x", "y"}},
}

// turned: turned by a quarter to the left (x, y become -y, x) the building has the same findings in other places, and with its lengths drawn
// from their other end the same in the same places. What is written otherwise than in plain numbers of mm is left as it is.
func (e *every) turned(p *void.Project) {
	e.t.Helper()
	quarterTurn, back := map[string][][]string{}, map[string][][]string{}
	turnable, turnsBack := true, true
	for _, s := range e.sheets {
		if s.name == "surveyed.csv" || s.name == "supports.csv" || s.name == "origin.csv" {
			return // places in words, along rows, and from a point that would have to turn too
		}
		rows, other := make([][]string, len(s.rows)), make([][]string, len(s.rows))
		columns := inPlan[s.name]
		if s.isZones() {
			columns = inPlan[""]
		}
		for i, r := range s.rows {
			r, o := slices.Clone(r), slices.Clone(r)
			for _, c := range columns {
				x, y := s.column(c[0]), s.column(c[1])
				if x < 0 || y < 0 || r[x] == "" && r[y] == "" {
					continue
				}
				a, err := strconv.ParseFloat(r[x], 64)
				b, err2 := strconv.ParseFloat(r[y], 64)
				turnable = turnable && err == nil && err2 == nil
				r[x], r[y] = strconv.FormatFloat(-b, 'f', -1, 64), strconv.FormatFloat(a, 'f', -1, 64)
			}
			switch {
			case s.name == "bays.csv": // from the lesser to the greater
				if x, x2 := s.column("x1"), s.column("x2"); x >= 0 && x2 >= 0 {
					r[x], r[x2] = r[x2], r[x]
				}
			case s.name == "grid.csv":
				if a, at := s.column("axis"), s.column("position"); a >= 0 && at >= 0 {
					v, err := strconv.ParseFloat(r[at], 64)
					if turnable = turnable && err == nil; r[a] == "y" {
						r[a], r[at] = "x", strconv.FormatFloat(-v, 'f', -1, 64)
					} else {
						r[a] = "y"
					}
				}
			case s.isZones():
				x2, size := s.column("x2"), s.column("size")
				if x := s.column("x1"); x >= 0 && size >= 0 && r[x] != "" && (x2 < 0 || r[x2] == "") { // an item, along x and along y
					r[size] = acrossFirst(r[size])
				}
				if x2 >= 0 && o[x2] != "" {
					x1, y1, y2 := s.column("x1"), s.column("y1"), s.column("y2")
					o[x1], o[x2], o[y1], o[y2] = o[x2], o[x1], o[y2], o[y1]
				}
				if fall := s.column("fall"); fall >= 0 && o[fall] != "" {
					turnsBack = false
				}
				for _, c := range []string{"side", "face"} {
					if k := s.column(c); k >= 0 && quarter[r[k]] != "" {
						r[k] = quarter[r[k]]
					}
				}
			case s.name == "access.csv", s.name == "openings.csv":
				size, in := s.column("size"), s.column("in")
				if size >= 0 && (in < 0 || strings.HasPrefix(r[in], "soffit") || strings.HasPrefix(r[in], "ceiling")) {
					r[size] = acrossFirst(r[size])
				}
				if k := s.column("side"); k >= 0 {
					if to := quarter[r[k]]; to != "" {
						r[k] = to
					} else if r[k] == "left" || r[k] == "right" {
						turnsBack = false
					}
				}
				if at := s.column("at"); at >= 0 && r[at] != "" {
					turnsBack = false
				}
			}
			rows[i], other[i] = r, o
		}
		quarterTurn[s.name], back[s.name] = rows, other
	}
	was := e.result(e.files(nil))
	item := func(id string) bool {
		i, ok := p.ZoneByID(id)
		return ok && p.Zone(i).Item
	}
	if turnable {
		alike(e.t, "turned "+e.text(quarterTurn), was, e.result(e.files(quarterTurn)), func(x, y float64) (float64, float64) { return -y, x }, true, item)
	}
	if turnsBack {
		e.drawnBack(was, e.result(e.files(back)))
	}
}

// acrossFirst swaps the first two measures of a size.
func acrossFirst(size string) string {
	if m := strings.Split(size, "x"); len(m) > 1 && !strings.ContainsAny(size, "øØ ") {
		m[0], m[1] = m[1], m[0]
		return strings.Join(m, "x")
	}
	return size
}

// drawnBack compares the findings of a building with those of the same with its lengths drawn from their other end.
func (e *every) drawnBack(was, is *finding.Result) {
	e.t.Helper()
	say := func(res *finding.Result) string {
		var out []string
		for i := range res.Findings {
			f := &res.Findings[i]
			if f.Support != nil {
				continue // the first support that meets something is named, the first from where the row begins
			}
			deep := ""
			if f.Depth != nil {
				deep = depth(f.Depth)
			}
			out = append(out, fmt.Sprintf("%s %s/%s %q in %s: gap %.1f of %.1f, short %.1f %s", f.Kind, f.A, name(f.B), f.Rule, name(f.Bay), f.Gap, f.Asked, f.Short, deep))
		}
		for _, h := range res.BuildersWork {
			out = append(out, fmt.Sprintf("hole %s/%s %gx%g", h.Service, h.In, h.Width, h.Height))
		}
		for _, d := range res.Doubtful {
			out = append(out, fmt.Sprintf("doubt %s/%s %.1f %.1f of %.1f", d.Upper, d.Lower, d.Drawn, d.Worst, d.Asked))
		}
		for _, j := range res.Joints {
			out = append(out, fmt.Sprintf("joint %s %s/%s %.1f", j.Kind, j.A, j.B, j.By))
		}
		slices.Sort(out)
		return strings.Join(out, "\n")
	}
	if a, b := say(was), say(is); a != b {
		e.t.Errorf("drawn from the other end:\n%s\n%s", difference(b, a), e.text(nil))
	}
}

// result is the answer to tables that have no problems.
func (e *every) result(fsys fstest.MapFS) *finding.Result {
	e.t.Helper()
	p := e.open(fsys)
	if len(p.Problems) > 0 {
		e.t.Fatalf("%v", p.Problems[0])
	}
	res, err := clash.Open(p, e.opt).Findings(context.Background())
	if err != nil {
		e.t.Fatal(err)
	}
	return res
}

// sheetsOf sets out every run of a project, and every hung row without one, and writes what comes of it in all words.
func sheetsOf(t *testing.T, p *void.Project, check *clash.Check) string {
	t.Helper()
	var names []string
	for i := range p.Zones() {
		z := p.Zone(i)
		name := strings.ToLower(z.Run())
		if name == "" && z.Hanger >= 0 {
			name = z.ID
		}
		if name != "" && !z.Gone && !strings.HasPrefix(name, farAway) && !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	slices.SortFunc(names, void.Natural)
	var out bytes.Buffer
	var lengths []setout.Ordered
	for _, name := range names[:min(len(names), 4)] {
		runs, err := setout.Assemble(p, name, cell.Bottom)
		if err != nil {
			fmt.Fprintf(&out, "%s: %v\n", name, err)
			continue
		}
		var all []*sheets.Sheet
		var level []*setout.Answer
		falls := make([]*setout.Fall, len(runs))
		joints := setout.Joints(runs)
		for k := range runs {
			s := &sheets.Sheet{Project: p, Joints: joints[k], Lengths: &all}
			if len(runs) > 1 {
				s.Part = fmt.Sprintf("%d of %d", k+1, len(runs))
			}
			if runs[k].Falls() {
				s.Fall = setout.SetFall(p, check, &runs[k], nil, setout.Steps{AsDrawn: true})
				falls[k] = s.Fall
			} else {
				s.Answer = setout.SetOut(p, check, &runs[k], setout.Settings{Steps: setout.Steps{AsDrawn: true}})
				level = append(level, s.Answer)
			}
			all = append(all, s)
		}
		setout.OneLevel(p, check, level, setout.Settings{Steps: setout.Steps{AsDrawn: true}})
		setout.Drain(p, runs, falls)
		for _, s := range all {
			var rows [][]string
			var gone []string
			switch {
			case s.Fall != nil:
				if s.Supports = setout.SupportFall(p, check, s.Fall, setout.Hanging{}); s.Fall.Start != nil {
					rows, gone = setout.FallRows(p, s.Fall)
				}
			case s.Answer.Found:
				s.Supports = setout.SupportRun(p, check, s.Answer, setout.Hanging{})
				rows, gone = setout.Rows(p, s.Answer, s.Supports)
			}
			if s.Supports != nil {
				rows = append(rows, setout.SupportRows(p, s.Run(), s.Part, s.Supports)...)
			}
			slices.Sort(gone)
			fmt.Fprintf(&out, "%q for %q\n", rows, gone)
			if err := sheets.Text(&out, s, 200); err != nil {
				t.Fatal(err)
			}
			lengths = append(lengths, setout.Ordered{Answer: s.Answer, Fall: s.Fall, Supports: s.Supports, Joints: s.Joints})
		}
		if err := sheets.JSON(&out, all, nil, nil); err != nil {
			t.Fatal(err)
		}
	}
	if len(lengths) > 1 {
		if err := sheets.OrderText(&out, setout.OrderFor(p, lengths), 200); err != nil {
			t.Fatal(err)
		}
	}
	return out.String()
}

// withoutFar returns an answer without what it says of far rows, and without counts of what was looked at.
func withoutFar(t *testing.T, doc string) []byte {
	var all map[string]any
	if err := json.Unmarshal([]byte(doc), &all); err != nil {
		t.Fatal(err)
	}
	for _, k := range []string{"checked", "warnings", "problems_with_input"} { // how many, and in which line
		delete(all, k)
	}
	var without func(v any) any
	without = func(v any) any {
		switch x := v.(type) {
		case map[string]any:
			for k := range x {
				x[k] = without(x[k])
			}
		case []any:
			kept := []any{}
			for _, m := range x {
				if b, _ := json.Marshal(m); !bytes.Contains(b, []byte(farAway)) {
					kept = append(kept, without(m))
				}
			}
			return kept
		}
		return v
	}
	b, err := json.MarshalIndent(without(all), "", " ")
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// everyEdits is how many edits are made of one project.
const everyEdits = 5

// edits: an edit in memory is the edited table read, asked again as anew; and the opposite edit takes it back.
func (e *every) edits(p *void.Project, sum uint64) {
	e.t.Helper()
	type edit struct {
		sheet    *everySheet
		row, col int
		text     string
	}
	var all []edit
	surveyed := map[string]bool{} // rows that were found: with another level they leave their reading behind, which a table cannot say
	for _, s := range e.sheets {
		if k := s.column("zone"); s.name == "surveyed.csv" && k >= 0 {
			for _, r := range s.rows {
				surveyed[r[k]] = true
			}
		}
	}
	for _, s := range e.sheets {
		for i, r := range s.rows {
			if s.isZones() && surveyed[r[s.column("id")]] {
				continue
			}
			for k, h := range s.head {
				by := map[string]int{"x1": 210, "y1": -170, "x2": -330, "y2": 260, "level": 35, "insulation": 20, "joint": 15, "soffit": -60, "ceiling": 25, "gap": 30}[h]
				if by == 0 || s.name != "bays.csv" && s.name != "gaps.csv" && !s.isZones() || s.name == "bays.csv" && len(h) < 3 {
					continue
				}
				v, text := 0, r[k]
				before, number := "", text
				if at := strings.LastIndexAny(text, "+-"); at > 0 && !strings.Contains(text, "..") {
					before, number = text[:at], text[at:]
				}
				v, err := strconv.Atoi(number)
				if err != nil && !(text == "" && (h == "insulation" || h == "joint")) || v+by < 0 && before == "" {
					continue
				}
				if text = strconv.Itoa(v + by); before != "" {
					text = before + fmt.Sprintf("%+d", v+by)
				}
				all = append(all, edit{s, i, k, text})
			}
		}
	}
	for n := range min(2, len(all)-1) { // two cells of two rows at once
		x, y := all[(int(sum%1009)+n)%len(all)], all[(int(sum%1009)+n+len(all)/2)%len(all)]
		if x.sheet.isZones() && y.sheet.isZones() && (x.sheet != y.sheet || x.row != y.row) {
			said := func(x edit) void.RowChange {
				return void.RowChange{Zone: x.sheet.rows[x.row][x.sheet.column("id")], Cells: []void.CellText{{Column: x.sheet.head[x.col], Text: x.text}}}
			}
			e.tried(said(x), said(y))
		}
	}
	check := clash.Open(p, e.opt)
	if got := answerOf(e.t, check); got != e.want {
		e.t.Fatalf("asked anew it differs:\n%s\n%s", difference(got, e.want), e.text(nil))
	}
	for n := range min(everyEdits, len(all)) {
		x := all[(int(sum%1009)+n*max(1, len(all)/everyEdits))%len(all)]
		r := x.sheet.rows[x.row]
		what := fmt.Sprintf("%s: %s %s = %q", x.sheet.name, r[0], x.sheet.head[x.col], x.text)
		do := func(text string) (void.Change, *void.Problem) {
			switch {
			case x.sheet.isZones():
				return p.Edit(r[x.sheet.column("id")], x.sheet.head[x.col], text)
			case x.sheet.name == "gaps.csv":
				return p.EditGap(x.row, x.sheet.head[x.col], text)
			}
			label := r[x.sheet.column("bay")]
			if k := x.sheet.column("storey"); k >= 0 && r[k] != "" {
				if _, unique := e.bay(label); !unique {
					label += ", " + r[k]
				}
			}
			return p.EditBay(label, x.sheet.head[x.col], text)
		}
		rows := slices.Clone(x.sheet.rows)
		rows[x.row] = slices.Clone(r)
		rows[x.row][x.col] = x.text
		fsys := e.files(map[string][][]string{x.sheet.name: rows})
		change, problem := do(x.text)
		if problem != nil {
			if q := e.open(fsys); len(q.Problems) == 0 {
				e.t.Errorf("%s is refused with %v, and read without a problem", what, problem)
			}
			continue
		}
		check.Changed(change)
		got := answerOf(e.t, check)
		if anew := answerOf(e.t, clash.Open(p, e.opt)); got != anew {
			e.t.Errorf("%s: asked again and anew differ:\n%s\n%s", what, difference(got, anew), e.text(nil))
		}
		read, set := e.asked(what, fsys)
		if read != got {
			e.t.Errorf("%s: edited and read differ:\n%s\n%s", what, difference(got, read), e.text(nil))
		}
		if is := sheetsOf(e.t, p, check); is != set {
			e.t.Errorf("%s: set out once edited and once read they differ:\n%s\n%s", what, difference(is, set), e.text(nil))
		}
		if change, problem = do(r[x.col]); problem != nil {
			e.t.Fatalf("%s is not taken back: %v", what, problem)
		}
		check.Changed(change)
		if got := answerOf(e.t, check); got != e.want {
			e.t.Errorf("%s, and back, is not as it was:\n%s\n%s", what, difference(got, e.want), e.text(nil))
		}
	}
}

// tried: changes that are tried together come to what reading the changed tables comes to.
func (e *every) tried(changes ...void.RowChange) {
	e.t.Helper()
	p := e.open(e.files(nil))
	check := clash.Open(p, e.opt)
	tried, err := check.Try(context.Background(), changes)
	if pr := (*void.Problem)(nil); errors.As(err, &pr) {
		return // one of them cannot be
	} else if err != nil {
		e.t.Fatal(err)
	}
	e.comesTo(fmt.Sprintf("%+v", changes), p, check, tried)
}

// improved: what moves are made one after the other comes to what reading the moved tables comes to, and leaves no more findings than before.
func (e *every) improved() {
	e.t.Helper()
	p := e.open(e.files(nil))
	check := clash.Open(p, e.opt)
	before, err := check.Findings(context.Background())
	if err != nil {
		e.t.Fatal(err)
	}
	if len(before.Findings) == 0 {
		return
	}
	tried, err := check.Improve(context.Background())
	if err != nil {
		e.t.Fatal(err)
	}
	after, err := check.Findings(context.Background())
	if err != nil {
		e.t.Fatal(err)
	}
	if len(after.Findings) > len(before.Findings) || len(tried.Changes) > 0 && len(after.Findings) == len(before.Findings) {
		e.t.Errorf("improved by %+v: %d findings, before %d\n%s", tried.Changes, len(after.Findings), len(before.Findings), e.text(nil))
	}
	e.comesTo("improved", p, check, tried)
}

// comesTo compares the answer after changes with that to a check opened anew and that to tables with the changed cells.
func (e *every) comesTo(what string, p *void.Project, check *clash.Check, tried *finding.Tried) {
	e.t.Helper()
	got := answerOf(e.t, check)
	if anew := answerOf(e.t, clash.Open(p, e.opt)); got != anew {
		e.t.Errorf("%s: tried and anew differ:\n%s\n%s", what, difference(got, anew), e.text(nil))
	}
	if len(p.Outdated()) > 0 {
		return // a row that was found has left its reading behind: surveyed.csv cannot say that until that row of it is taken out
	}
	instead := map[string][][]string{}
	for _, c := range tried.Changes {
		written := false
		for _, s := range e.sheets {
			id, col := s.column("id"), s.column(c.Column)
			for i, r := range s.rows {
				if id < 0 || col < 0 || r[id] != c.Zone {
					continue
				}
				if instead[s.name] == nil {
					for _, r := range s.rows {
						instead[s.name] = append(instead[s.name], slices.Clone(r))
					}
				}
				instead[s.name][i][col] = c.To
				written = true
			}
		}
		if !written {
			return // a column that the table has not
		}
	}
	q := e.open(e.files(instead))
	if len(q.Problems) > 0 {
		e.t.Errorf("%s: %v\n%s", what, q.Problems[0], e.text(instead))
		return
	}
	if read := answerOf(e.t, clash.Open(q, e.opt)); got != read {
		e.t.Errorf("%s: tried and read differ:\n%s\n%s", what, difference(got, read), e.text(instead))
	}
}

// bay returns the row of a bay of that name, and whether there is but one.
func (e *every) bay(name string) (row int, unique bool) {
	n := 0
	for _, s := range e.sheets {
		if s.name == "bays.csv" {
			for i, r := range s.rows {
				if strings.EqualFold(r[s.column("bay")], name) {
					row = i
					n++
				}
			}
		}
	}
	return row, n == 1
}

// The projects of the command's scripts hold to it as those of the tests here do.
func TestScriptProjectsHold(t *testing.T) {
	scripts, err := filepath.Glob("../cmd/voidline/testdata/script/*.txtar")
	if err != nil || len(scripts) < 100 {
		t.Fatalf("%d scripts, %v", len(scripts), err)
	}
	for _, script := range scripts {
		t.Run(strings.TrimSuffix(filepath.Base(script), ".txtar"), func(t *testing.T) {
			a, err := txtar.ParseFile(script)
			if err != nil {
				t.Fatal(err)
			}
			folders := map[string]map[string]string{}
			for _, f := range a.Files {
				if strings.HasSuffix(f.Name, ".csv") {
					dir := path.Dir(f.Name)
					if folders[dir] == nil {
						folders[dir] = map[string]string{}
					}
					folders[dir][path.Base(f.Name)] = string(f.Data)
				}
			}
			for _, dir := range slices.Sorted(maps.Keys(folders)) {
				if folders[dir]["bays.csv"] != "" {
					everyProject(t, folders[dir])
				}
			}
		})
	}
}
