package clash_test

import (
	"bytes"
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/golang/geo/r2"

	"voidline/clash"
	"voidline/clash/register"
	"voidline/clash/setout"
	"voidline/clash/tolerance"
	"voidline/io/table"
	"voidline/reports/floor"
	"voidline/void"
	"voidline/void/cell"
)

// Answers that are kept. What the program answers to a few projects (kept_projects_test.go) is written down in testdata/kept, one fact a line, and compared: a change
// of the program that changes an answer anywhere shows here, and whoever makes it says in the commit why the new answer is right. The lines say
// nothing of what is right by themselves; that the references and the tests by hand do, and everyProject, to which the same projects are held here.

var keptUpdate = flag.Bool("update", false, "write the kept answers anew")

// keptSeeds are the projects.
var keptSeeds = []uint64{1, 4, 5, 6, 7}

func TestKeptAnswers(t *testing.T) {
	for _, seed := range keptSeeds {
		t.Run(strconv.FormatUint(seed, 10), func(t *testing.T) {
			k := keptProject(seed)
			files := k.files()
			keptEqual(t, fmt.Sprintf("kept/project-%d.txt", seed), k.facts(t, files))
		})
	}
}

// The projects whose answers are kept hold to what holds of every project.
func TestKeptProjectsHold(t *testing.T) {
	for _, seed := range keptSeeds {
		t.Run(strconv.FormatUint(seed, 10), func(t *testing.T) { everyProject(t, keptProject(seed).files()) })
	}
}

// keptEqual compares lines with those that are kept.
func keptEqual(t *testing.T, name string, lines []string) {
	t.Helper()
	file := filepath.Join("testdata", filepath.FromSlash(name))
	if *keptUpdate {
		if err := os.MkdirAll(filepath.Dir(file), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(file, []byte(strings.Join(lines, "\n")+"\n"), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	was, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	kept := strings.Split(strings.TrimSuffix(strings.ReplaceAll(string(was), "\r\n", "\n"), "\n"), "\n")
	if d := keptDiffer(kept, lines); len(d) > 0 {
		t.Errorf("%s, - is kept, + is now (-update writes it anew; say in the commit why each line is right):\n%s", file, strings.Join(d[:min(len(d), 16)], "\n"))
	}
}

// keptDiffer tells which lines went and which came, each with what it is of: the line above it that is not indented.
func keptDiffer(was, is []string) (out []string) {
	count := func(lines []string) (of []string, n map[string]int) {
		n = map[string]int{}
		head := ""
		for _, l := range lines {
			if strings.HasPrefix(l, "\t") {
				l = head + ":" + strings.ReplaceAll(l, "\t", " ")
			} else {
				head = l
			}
			of = append(of, l)
			n[l]++
		}
		return of, n
	}
	a, na := count(was)
	b, nb := count(is)
	for _, l := range a {
		if nb[l]--; nb[l] < 0 {
			out = append(out, "- "+l)
		}
	}
	for _, l := range b {
		if na[l]--; na[l] < 0 {
			out = append(out, "+ "+l)
		}
	}
	if len(out) == 0 && !slices.Equal(was, is) {
		for i := range a {
			if a[i] != b[i] {
				return []string{"the same lines in another order, from " + a[i] + " on"}
			}
		}
	}
	return out
}

// openKept opens a project of tables; it may have problems.
func openKept(t *testing.T, files map[string]string) *void.Project {
	t.Helper()
	fsys := fstest.MapFS{}
	for name, text := range files {
		fsys[name] = &fstest.MapFile{Data: []byte(text)}
	}
	p, err := table.Open(context.Background(), "kept", table.Options{FS: fsys})
	if p == nil {
		t.Fatal(err)
	}
	return p
}

// facts asks everything of a project and writes it down.
func (k *kept) facts(t *testing.T, files map[string]string) (out []string) {
	t.Helper()
	open := func() *void.Project { return openKept(t, files) }
	p := open()
	opt := clash.Options{Touch: 1, Excused: true, Proved: true, Surveyed: p.HasSurvey(), Workers: runtime.GOMAXPROCS(0), Tolerance: tolerance.WorstCase, Deflection: 360}
	if k.rnd.IntN(2) == 0 {
		opt.Tolerance, opt.Deflection, opt.Touch = tolerance.RootOfSquares, 0, clash.None
	}
	check := clash.Open(p, opt)
	add := func(lines ...string) { out = append(out, lines...) }

	for i := range p.Zones() {
		z := p.Zone(i)
		h := z.Full().Height()
		add(fmt.Sprintf("row %s from %s to %s", z.ID, tenthText(h.Lo), tenthText(h.Hi)), "\t"+keptFact(reflect.ValueOf(p.Row(i))))
	}
	for i := range p.Bays {
		add("bay " + keptFact(reflect.ValueOf(p.Bays[i])))
	}
	for i := range p.Openings {
		add("opening " + keptFact(reflect.ValueOf(p.Openings[i])))
	}
	for i := range p.Spaces {
		add("space " + keptFact(reflect.ValueOf(p.Spaces[i])))
	}
	add(keptAnswer(t, answerOf(t, check))...)

	for _, firm := range []clash.Options{{Firm: true}, {Supports: opt.Supports, Bays: []string{k.bay}}, {Trades: []string{"containment"}}} {
		res, err := clash.Open(p, firm).Findings(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		add(fmt.Sprintf("with firm %v, bays %v, trades %v: %v, %d problems", firm.Firm, firm.Bays, firm.Trades, res.Counts, res.Problems))
		for i := range res.Findings {
			f := &res.Findings[i]
			add(fmt.Sprintf("\t%s %s / %s %s: %s", f.Kind, f.A, name(f.B), f.Rule, tenthText(f.Short)))
		}
	}
	for i := range p.Bays {
		b := &p.Bays[i]
		c := b.Plan.Center()
		for _, at := range []r2.Point{c, {X: c.X - 1000, Y: c.Y + 700}} {
			add("stack of " + b.Label)
			for _, l := range check.StackBuilt(i, at, 360).Layers {
				add("\t" + keptFact(reflect.ValueOf(l)))
			}
		}
	}
	plan := check.SupportPlan()
	for i := range p.Zones() {
		z := p.Zone(i)
		if z.Gone {
			continue
		}
		add("bars of " + z.ID)
		for _, b := range check.Bars(i, z.Bare()) {
			add("\t" + keptFact(reflect.ValueOf(b)))
		}
		for _, b := range check.Struck(i, z.Full(), true) {
			add("\tstruck " + keptFact(reflect.ValueOf(b)))
		}
		if plan != nil && plan.Has(i) {
			for _, s := range plan.Zone(i) {
				add("\tsupport " + keptFact(reflect.ValueOf(s)))
			}
		}
	}
	res, err := check.Findings(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	for i := range res.Findings {
		f := &res.Findings[i]
		bay, plane, ok := check.PlaneThrough(f)
		if !ok {
			continue
		}
		add(fmt.Sprintf("section of %s / %s %s, %s", f.A, name(f.B), f.Rule, keptFact(reflect.ValueOf(plane))))
		if view, ok := check.View(bay, plane, f, plan); ok && i%20 == 0 {
			add("\t"+keptFact(reflect.ValueOf(view.Between)), "\t"+keptFact(reflect.ValueOf(view.Cut)))
			for _, s := range view.Supports {
				add("\tsupport " + keptFact(reflect.ValueOf(s)))
			}
		}
	}
	for _, l := range setout.Levels(p) {
		add("levels " + keptFact(reflect.ValueOf(l)))
	}
	for _, pt := range setout.Form(p) {
		add("to be read " + keptFact(reflect.ValueOf(pt)))
	}
	for s := range p.Storeys {
		for _, lines := range []int{1, 2} {
			fl, err := setout.Strike(p, check, setout.FloorSettings{Storey: s, Lines: lines})
			if err != nil {
				add(fmt.Sprintf("line of %s: %v", p.Storeys[s].Name, err))
				continue
			}
			var b bytes.Buffer
			if err := (&floor.Sheet{Project: p, Floor: fl}).JSON(&b); err != nil {
				t.Fatal(err)
			}
			add(fmt.Sprintf("line of %s, %d", p.Storeys[s].Name, lines))
			last := ""
			for _, l := range keptAnswer(t, b.String()) {
				if strings.HasPrefix(l, "curve ") { // the first of the levels that come to the same; with two lines it is the same curve
					_, same, _ := strings.Cut(l, `"clear"`)
					if lines == 2 || same == last {
						continue
					}
					last = same
				}
				add("\t" + l)
			}
		}
	}
	add("sheets")
	add(keptIndented(sheetsOf(t, p, check))...)

	add(keptStruck(t, p, check, k.runs)...)

	opt.Proved = false
	check = clash.Open(p, opt)
	day, before := register.Date("2026-11-30"), res
	outcome, err := register.Update(nil, res, register.Options{Date: day})
	if err != nil {
		t.Fatal(err)
	}
	doc := answerOf(t, check)
	answer := keptAnswer(t, doc)
	for _, e := range k.edits { // each by itself
		was := p.CellOf(keptZone(t, p, e[0]), e[1])
		change, problem := p.Edit(e[0], e[1], e[2])
		add(fmt.Sprintf("with %s %s %s for %s", e[0], e[1], e[2], was))
		if problem != nil {
			add("\t" + problem.Error())
			continue
		}
		check.Changed(change)
		for _, l := range keptDiffer(answer, keptAnswer(t, answerOf(t, check))) {
			add("\t" + l)
		}
		now, err := check.Findings(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		compared, err := register.Compare(before, now, register.CompareOptions{})
		if err != nil {
			t.Fatal(err)
		}
		for i := range compared.Changes {
			if c := &compared.Changes[i]; c.Turn != register.TurnSame {
				f := c.Finding()
				add(fmt.Sprintf("\t%s %s / %s %s: %s, matched %v", c.Turn, f.A, name(f.B), f.Rule, tenthText(c.By), c.Matched))
			}
		}
		day = day.Add(7)
		if outcome, err = register.Update(outcome.Rows, now, register.Options{Date: day}); err != nil {
			t.Fatal(err)
		}
		for i := range outcome.Entries {
			if e := &outcome.Entries[i]; e.News != register.StillOpen && e.News != register.StillGood {
				add(fmt.Sprintf("\tregister %s: %s, %s, %s more, first %s, last %s, matched %s", e.ID, e.State, e.News, tenthText(e.By), e.First, e.Last, e.Matched))
			}
		}
		if change, problem = p.Edit(e[0], e[1], was); problem != nil {
			t.Fatal(problem)
		}
		check.Changed(change)
		if got := answerOf(t, check); got != doc {
			t.Errorf("%v and back: %s", e, difference(got, doc))
		}
	}
	p, opt.Proved = open(), true
	tried, err := clash.Open(p, opt).Improve(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	add("improved")
	for _, c := range tried.Changes {
		add("\t" + keptFact(reflect.ValueOf(c)))
	}
	add(fmt.Sprintf("\tcleared %d, made %d, worse %d, better %d, left %d", len(tried.Cleared), len(tried.Made), len(tried.Worse), len(tried.Better), tried.Left))
	return out
}

// keptStruck sets out runs for one level each, wherever it is best, and what falls at its own fall, and says what the lengths come to together.
func keptStruck(t *testing.T, p *void.Project, check *clash.Check, names []string) (out []string) {
	t.Helper()
	var lengths []setout.Ordered
	for _, name := range names {
		runs, err := setout.Assemble(p, name, cell.Bottom)
		if err != nil {
			out = append(out, fmt.Sprintf("struck %s: %v", name, err))
			continue
		}
		for k := range runs {
			r := &runs[k]
			out = append(out, fmt.Sprintf("struck %s %d", name, k+1))
			l := setout.Ordered{Joints: setout.Joints(runs)[k]}
			if r.Falls() {
				l.Fall = setout.SetFall(p, check, r, nil, setout.Steps{})
				l.Supports = setout.SupportFall(p, check, l.Fall, setout.Hanging{})
				out = append(out, "\tstart "+keptFact(reflect.ValueOf(l.Fall.Start)))
			} else {
				l.Answer = setout.SetOut(p, check, r, setout.Settings{})
				out = append(out, "\tband "+keptFact(reflect.ValueOf(l.Answer.Band)), "\tlevel "+keptFact(reflect.ValueOf(l.Answer.Level)), "\tline "+keptFact(reflect.ValueOf(l.Answer.Line)))
				for _, x := range l.Answer.Limits {
					out = append(out, "\tlimit "+keptFact(reflect.ValueOf(x)))
				}
				for _, x := range l.Answer.Blocks {
					out = append(out, "\tblocked "+keptFact(reflect.ValueOf(x)))
				}
				for _, x := range l.Answer.Gives {
					out = append(out, "\tgives "+keptFact(reflect.ValueOf(x)))
				}
				if l.Answer.Found {
					l.Supports = setout.SupportRun(p, check, l.Answer, setout.Hanging{})
				}
			}
			lengths = append(lengths, l)
		}
	}
	built, err := setout.AsBuilt(context.Background(), p, lengths, clash.Options{Tolerance: tolerance.WorstCase})
	if err != nil {
		return append(out, fmt.Sprintf("as built: %v", err))
	}
	for _, ds := range built.Doubts {
		for _, d := range ds {
			out = append(out, fmt.Sprintf("as built %s / %s: %s of %s", d.Upper, d.Lower, tenthText(d.Worst), tenthText(d.Asked)))
		}
	}
	for i := range built.Between {
		f := &built.Between[i]
		out = append(out, fmt.Sprintf("as built %s / %s: %s", f.A, name(f.B), tenthText(f.Short)))
	}
	return out
}

func keptZone(t *testing.T, p *void.Project, id string) int {
	t.Helper()
	i, ok := p.ZoneByID(id)
	if !ok {
		t.Fatalf("no row %s", id)
	}
	return i
}

// keptIndented makes lines of a text, each indented.
func keptIndented(text string) (out []string) {
	for _, l := range strings.Split(strings.TrimRight(text, "\n"), "\n") {
		if l = strings.TrimRight(l, " ─"); l != "" && !strings.HasPrefix(l, "- ") { // those are the cautions
			out = append(out, "\t"+l)
		}
	}
	return out
}

// keptAnswer makes lines of a JSON answer: of a finding one for each field, of other lists one for each member.
func keptAnswer(t *testing.T, doc string) (out []string) {
	t.Helper()
	fields := func(raw []byte, each func(key string, v json.RawMessage)) {
		dec := json.NewDecoder(bytes.NewReader(raw))
		if _, err := dec.Token(); err != nil {
			t.Fatal(err)
		}
		for dec.More() {
			key, err := dec.Token()
			if err != nil {
				t.Fatal(err)
			}
			var v json.RawMessage
			if err := dec.Decode(&v); err != nil {
				t.Fatal(err)
			}
			switch string(v) {
			case "null", `""`, "[]", "{}", "false":
			default:
				each(fmt.Sprint(key), v)
			}
		}
	}
	fields([]byte(doc), func(key string, v json.RawMessage) {
		if key == "cautions" || key == "voidline" {
			return
		}
		var list []json.RawMessage
		if v[0] != '[' {
			list = []json.RawMessage{v}
		} else if err := json.Unmarshal(v, &list); err != nil {
			t.Fatal(err)
		}
		for _, m := range list {
			if key != "findings" {
				var one bytes.Buffer
				if err := json.Compact(&one, m); err != nil {
					t.Fatal(err)
				}
				out = append(out, key+" "+one.String())
				continue
			}
			var f struct{ Kind, A, B, Rule string }
			if err := json.Unmarshal(m, &f); err != nil {
				t.Fatal(err)
			}
			out = append(out, fmt.Sprintf("finding %s %s / %s %s", f.Kind, f.A, f.B, f.Rule))
			fields(m, func(key string, v json.RawMessage) {
				if key != "kind" && key != "a" && key != "b" && key != "rule" {
					out = append(out, "\t"+key+" "+string(v))
				}
			})
		}
	})
	return out
}

// tenthText writes a length to the tenth.
func tenthText(v float64) string {
	if math.IsInf(v, 0) || math.IsNaN(v) {
		return fmt.Sprint(v)
	}
	if v = math.Round(v*10) / 10; v == 0 {
		v = 0 // not the negative one
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

// keptFact writes a value in one line: of a struct what its exported fields say that say something.
func keptFact(v reflect.Value) string {
	switch v.Kind() {
	case reflect.Float64, reflect.Float32:
		return tenthText(v.Float())
	case reflect.Pointer, reflect.Interface:
		if v.IsNil() {
			return ""
		}
		return keptFact(v.Elem())
	case reflect.Slice, reflect.Array:
		if v.Kind() == reflect.Array && v.IsZero() {
			return ""
		}
		var out []string
		for i := range v.Len() {
			out = append(out, keptFact(v.Index(i)))
		}
		if len(out) == 0 {
			return ""
		}
		return "[" + strings.Join(out, ", ") + "]"
	case reflect.Struct:
		if v.Type() == reflect.TypeFor[void.At]() {
			return "" // where it stands in its table
		}
		if f := v.FieldByName("Text"); f.IsValid() && strings.HasSuffix(v.Type().PkgPath(), "void/cell") {
			return f.String() // as it is written
		}
		var out []string
		for i := range v.NumField() {
			f := v.Type().Field(i)
			if !f.IsExported() || v.Field(i).IsZero() {
				continue
			}
			if s := keptFact(v.Field(i)); s != "" {
				out = append(out, f.Name+" "+s)
			}
		}
		if len(out) == 0 {
			return ""
		}
		return "{" + strings.Join(out, ", ") + "}"
	case reflect.Func, reflect.Map, reflect.Chan, reflect.UnsafePointer:
		return ""
	}
	if s, ok := v.Interface().(fmt.Stringer); ok {
		return s.String()
	}
	return fmt.Sprint(v.Interface())
}
