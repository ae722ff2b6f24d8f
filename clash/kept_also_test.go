package clash_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"

	"voidline/clash"
	"voidline/clash/finding"
	"voidline/clash/register"
	"voidline/clash/setout"
	"voidline/clash/tolerance"
	"voidline/io/issued"
	"voidline/io/table"
	sheets "voidline/reports/setout"
	"voidline/void"
	"voidline/void/body"
	"voidline/void/cell"
)

// keptAlsoSeeds are the projects of which more is kept than what is asked of them once (kept_test.go): how rows are moved in their own words, what edits of bays, rules
// and rows change, what tables become, sheets against those that were issued, cuts, runs beside what they pass, the register over weeks.
var keptAlsoSeeds = []uint64{4, 5, 9}

func TestKeptAlso(t *testing.T) {
	for _, seed := range keptAlsoSeeds {
		t.Run(strconv.FormatUint(seed, 10), func(t *testing.T) {
			k := keptAlsoProject(seed)
			keptEqual(t, fmt.Sprintf("kept/also-%d.txt", seed), k.also(t, k.files()))
		})
	}
}

// also asks of a project what facts does not.
func (k *kept) also(t *testing.T, files map[string]string) (out []string) {
	t.Helper()
	add := func(format string, of ...any) { out = append(out, fmt.Sprintf(format, of...)) }
	open := func() *void.Project { return openKept(t, files) }
	p := open()
	for _, w := range p.Problems {
		add("problem %v", w)
	}
	for _, w := range p.Warnings {
		add("warning %v", w)
	}
	opt := clash.Options{Excused: true, Tolerance: tolerance.RootOfSquares, Deflection: 500}
	check := clash.Open(p, opt)
	find := func() *finding.Result {
		res, err := check.Findings(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		return res
	}
	k.alsoMoved(t, p, add)
	k.alsoPlaces(p, check, add)
	res := find()
	for i := range res.Findings {
		f := &res.Findings[i]
		add("finding %s %s / %s %s: %s of %s, %s gives way, %s", f.Kind, f.A, name(f.B), f.Rule, tenthText(f.Short), tenthText(f.Asked), f.GivesWay, f.Note)
		for _, m := range f.Moves {
			add("\t%s %s %s %s", m.Zone, m.Direction, tenthText(m.By), m.Towards)
		}
	}
	for _, e := range res.ExcusedPairs {
		add("excused %s", keptFact(reflect.ValueOf(e)))
	}
	k.alsoCounted(t, p, check, res, add)
	k.alsoEdited(t, p, check, add)
	k.alsoTried(t, open, opt, add)
	k.alsoSheets(t, open, add)
	k.alsoWritten(t, files, add)
	return out
}

// alsoMoved moves every row in its own words.
func (k *kept) alsoMoved(t *testing.T, p *void.Project, add func(string, ...any)) {
	t.Helper()
	for i := range p.Zones() {
		z := p.Zone(i)
		add("moved %s", z.ID)
		for _, by := range []r3.Vector{{Z: 30}, {X: 25, Y: -0.5}, {X: -40, Y: 10, Z: -12.5}} {
			cells, problem := p.Moved(i, by)
			if problem != nil {
				add("\t%g %g %g: %v", by.X, by.Y, by.Z, problem)
				continue
			}
			var said []string
			for _, c := range cells {
				said = append(said, c.Column+" "+c.Text)
			}
			add("\t%g %g %g: %s", by.X, by.Y, by.Z, strings.Join(said, "; "))
		}
		for _, text := range []string{z.ID + " up 40", z.ID + " 16 north and 5 down", z.ID + " east 20 with its run", "run " + z.Run() + " down 10", z.ID + " level FFL+2950"} {
			changes, problem := p.Said(text)
			if problem != nil {
				add("\t%s: %v", text, problem)
				continue
			}
			var said []string
			for _, c := range changes {
				for _, x := range c.Cells {
					said = append(said, c.Zone+c.Bay+" "+x.Column+" "+x.Text)
				}
			}
			add("\t%s: %s", text, strings.Join(said, "; "))
		}
	}
}

// alsoPlaces asks what is where: steel and soffits over points, words of places, cuts through bays, what rows pass and go through.
func (k *kept) alsoPlaces(p *void.Project, check *clash.Check, add func(string, ...any)) {
	for s := range p.Storeys {
		for _, at := range []r2.Point{{X: 1500, Y: 1500}, {X: 6000, Y: 3000}, {X: 7500, Y: 1500.1}, {X: 12000, Y: 6000}, {X: 13500, Y: 4500}, {X: -1, Y: 0}} {
			steel, under, hung := p.SteelAt(s, at, p.Storeys[s].FFL+2000)
			bay, soffit, roofed := p.SoffitAt(s, at, p.Storeys[s].FFL+2000)
			in, is := p.BayAt(s, at)
			x, y := p.Places(at)
			add("at %g %g of %s: steel %d %s %t, soffit %d %s %t, bay %d %t, %s, %s %s, %s, towards %s and %s", at.X, at.Y, p.Storeys[s].Name, steel, tenthText(under), hung, bay, tenthText(soffit), roofed,
				in, is, p.Where(at), x, y, p.PlaceText(at), p.Towards(at, r2.Point{X: 1}), p.Towards(at, r2.Point{X: -1, Y: -1}))
		}
	}
	for i := range p.Bays {
		b := &p.Bays[i]
		c := b.Plan.Center()
		for _, plane := range []body.Plane{b.Middle(), b.AcrossX(c.X - 1500), b.AcrossY(c.Y + 1500)} {
			cut, ok := p.Section(i, plane, 150)
			if !ok {
				continue
			}
			add("cut %s %s from %s to %s", b.Label, keptFact(reflect.ValueOf(plane)), tenthText(cut.Inside.Lo), tenthText(cut.Inside.Hi))
			for k := range cut.Pieces {
				q := cut.Pieces[k]
				for _, s := range []*body.Section{q.Bare, q.Full} {
					if s != nil && len(s.Outline) > 8 { // of what is round its box is enough
						box := r2.RectFromPoints(s.Outline...).Vertices()
						s.Outline = box[:]
					}
				}
				add("\t%s %s", p.Zone(q.Zone).ID, keptFact(reflect.ValueOf(q)))
			}
			for _, x := range cut.Holes {
				add("\thole %s", keptFact(reflect.ValueOf(x)))
			}
			for _, x := range cut.Rooms {
				add("\troom %s", keptFact(reflect.ValueOf(x)))
			}
			for _, x := range cut.Grid {
				add("\tgrid %s", keptFact(reflect.ValueOf(x)))
			}
		}
	}
	for i := range p.Zones() {
		z := p.Zone(i)
		if z.Gone || z.ByHeight || p.Character(z.Char).Structure() {
			continue
		}
		add("next to %s", z.ID)
		for _, n := range check.Neighbours(i, z.Full(), true, nil) {
			add("\t%s over %t, %s clear, %s", n.By, n.Over, tenthText(n.Clear), keptFact(reflect.ValueOf(n.Plan)))
		}
		for _, g := range check.Through(i, z.Full()) {
			add("\tthrough %s, by an opening %t, room %s of %s, hole %s", p.Zone(g.Zone).ID, g.Opening != nil, tenthText(g.Room), tenthText(g.Asked), keptFact(reflect.ValueOf(g.Hole)))
		}
		for _, side := range []cell.Towards{cell.Above, cell.Below} {
			if plate, way, ok := void.SideOf(z, z.Full(), side); ok {
				add("\tside %v %s %s", side, keptFact(reflect.ValueOf(plate)), keptFact(reflect.ValueOf(way)))
			}
		}
		mm, by := check.Project.Followed(z), ""
		if tol, set := z.Tolerance(); set {
			by = tenthText(tol)
		}
		add("\tfollows by %s, tolerance %q", tenthText(mm), by)
	}
}

// alsoCounted counts an answer, and keeps the register over some weeks.
func (k *kept) alsoCounted(t *testing.T, p *void.Project, check *clash.Check, res *finding.Result, add func(string, ...any)) {
	t.Helper()
	var fs []*finding.Finding
	for i := range res.Findings {
		fs = append(fs, &res.Findings[i])
	}
	for _, n := range finding.Needs(fs, func(f *finding.Finding) bool { return f.Kind != finding.Tight }) {
		add("need of %s %s: %d, %d open", name(n.Bay), n.Storey, n.Points, n.Open)
	}
	for _, c := range finding.PairCounts(res.Findings) {
		add("pairs %s", keptFact(reflect.ValueOf(c)))
	}
	for i := range p.Bays {
		if f, ok := finding.Worst(res.Findings, p.Bays[i].Label); ok {
			add("worst of %s: %s / %s", p.Bays[i].Label, f.A, name(f.B))
		}
	}
	for i := range res.Findings {
		if d, ok := check.Between(&res.Findings[i]); ok && i%5 == 0 {
			add("between %s / %s: %s", res.Findings[i].A, name(res.Findings[i].B), keptFact(reflect.ValueOf(d)))
		}
	}
	day := register.Date("2026-11-30")
	outcome, err := register.Update(nil, res, register.Options{Date: day, Touch: 1})
	if err != nil {
		t.Fatal(err)
	}
	rows := outcome.Rows
	for i := range rows { // some are agreed, some have owners, some are late
		c := &rows[i].Cells
		switch i % 4 {
		case 1:
			c[register.ColOwner], c[register.ColDue] = "Ductwork", "2026-12-04"
		case 2:
			c[register.ColOwner], c[register.ColState], c[register.ColReason] = "pipework", "agreed", "as on site"
			if i%8 == 2 {
				c[register.ColAgreedBy] = "the site manager"
			}
		case 3:
			c[register.ColOwner] = "ductwork"
		}
	}
	less := *res
	less.Findings = slices.DeleteFunc(slices.Clone(res.Findings), func(f finding.Finding) bool { return f.Kind == finding.Access })
	for week, r := range []*finding.Result{res, &less, res} {
		day = day.Add(7)
		if outcome, err = register.Update(rows, r, register.Options{Date: day, Touch: 1}); err != nil {
			t.Fatal(err)
		}
		rows = outcome.Rows
		for _, o := range outcome.Owners(3) {
			add("week %d owner %s", week, keptFact(reflect.ValueOf(o)))
		}
		for _, w := range register.Trend(outcome.Entries, day, 3) {
			add("week %d trend %s", week, keptFact(reflect.ValueOf(w)))
		}
		for _, c := range register.Closings(p, r, outcome) {
			add("week %d closing %s", week, keptFact(reflect.ValueOf(c)))
		}
		for _, x := range outcome.Told {
			add("week %d told %s", week, keptFact(reflect.ValueOf(x)))
		}
		add("week %d open %v", week, outcome.WeeksOpen(3))
	}
}

// alsoEdited edits bays, rules and rows, each by itself.
func (k *kept) alsoEdited(t *testing.T, p *void.Project, check *clash.Check, add func(string, ...any)) {
	t.Helper()
	doc := answerOf(t, check)
	answer := keptAnswer(t, doc)
	changed := func(what string, ch void.Change, problem *void.Problem) bool {
		add("with %s", what)
		if problem != nil {
			add("\t%v", problem)
			return false
		}
		var ids []string
		for _, i := range ch.Zones {
			ids = append(ids, p.Zone(i).ID)
		}
		slices.Sort(ids)
		add("\tchanges %s, bays %v", strings.Join(ids, " "), ch.Bays)
		check.Changed(ch)
		for _, l := range keptDiffer(answer, keptAnswer(t, answerOf(t, check))) {
			add("\t%s", l)
		}
		return true
	}
	for i := range p.Bays {
		b := &p.Bays[i]
		e := [][2]string{{"ceiling", "FFL+2720"}, {"soffit", "FFL+3560"}, {"build-up", "boards"}, {"ceiling", "soffit-1000"}, {"x2", "17000"}, {"soffit", "SSL+3600"}}[i%6]
		was := p.CellOfBay(b.Label, e[0])
		ch, problem := p.EditBay(b.Label, e[0], e[1])
		if changed(fmt.Sprintf("bay %s %s %s for %s", b.Label, e[0], e[1], was), ch, problem) {
			if ch, problem = p.EditBay(b.Label, e[0], was); problem != nil {
				t.Fatal(problem)
			}
			check.Changed(ch)
		}
	}
	for i := range p.Gaps {
		was := p.Gaps[i].Gap.Text
		ch, problem := p.EditGap(i, "gap", "120")
		if changed(fmt.Sprintf("gap %d 120 for %s", i, was), ch, problem) {
			if ch, problem = p.EditGap(i, "gap", was); problem != nil {
				t.Fatal(problem)
			}
			check.Changed(ch)
		}
	}
	if got := answerOf(t, check); got != doc {
		t.Errorf("edits and back: %s", difference(got, doc))
	}
	rows := p.Zones()
	for i := 0; i < rows; i += 5 { // taken out, and added again under another name
		z := p.Zone(i)
		row, file := p.Row(i), p.Files[z.At().File]
		id := z.ID
		ch, problem := p.Remove(id)
		if !changed("no "+id, ch, problem) {
			continue
		}
		ch, problem = p.Add(file, &row)
		if problem != nil {
			add("\tadded again: %v", problem)
			answer = keptAnswer(t, answerOf(t, check))
			continue
		}
		check.Changed(ch)
	}
	fresh := answerOf(t, clash.Open(p, clash.Options{Excused: true, Tolerance: tolerance.RootOfSquares, Deflection: 500}))
	if got := answerOf(t, check); got != fresh {
		t.Errorf("rows out and in, asked again: %s", difference(got, fresh))
	}
}

// alsoTried tries what a person may say.
func (k *kept) alsoTried(t *testing.T, open func() *void.Project, opt clash.Options, add func(string, ...any)) {
	t.Helper()
	for _, e := range k.edits {
		for _, text := range []string{e[0] + " up 25", e[0] + " 50 north with its run", e[0] + " " + e[1] + " " + e[2]} {
			p := open()
			changes, problem := p.Said(text)
			if problem != nil {
				continue // kept with the moves
			}
			tried, err := clash.Open(p, opt).Try(context.Background(), changes)
			if err != nil {
				add("tried %s: %v", text, err)
				continue
			}
			add("tried %s: left %d, harms %t", text, tried.Left, tried.Harms())
			for _, c := range tried.Changes {
				add("\t%s", keptFact(reflect.ValueOf(c)))
			}
			for what, list := range [][]finding.Finding{tried.Cleared, tried.Made} {
				for i := range list {
					add("\t%s %s / %s %s", []string{"cleared", "made"}[what], list[i].A, name(list[i].B), tenthText(list[i].Short))
				}
			}
			for what, list := range [][]finding.Altered{tried.Worse, tried.Better} {
				for i := range list {
					add("\t%s %s", []string{"worse", "better"}[what], keptFact(reflect.ValueOf(list[i])))
				}
			}
			for _, x := range tried.Parted {
				add("\tparted %s", keptFact(reflect.ValueOf(x)))
			}
		}
	}
}

// alsoSheets sets every run out under several settings, and says what of a sheet that was issued is no longer so after an edit.
func (k *kept) alsoSheets(t *testing.T, open func() *void.Project, add func(string, ...any)) {
	t.Helper()
	p := open()
	check := clash.Open(p, clash.Options{})
	sheet := func(p *void.Project, name string) (all []*sheets.Sheet, runs []*setout.Run) {
		check := clash.Open(p, clash.Options{})
		list, err := setout.Assemble(p, name, cell.Bottom)
		if err != nil {
			return nil, nil
		}
		joints := setout.Joints(list)
		for i := range list {
			s := &sheets.Sheet{Project: p, Joints: joints[i], Lengths: &all}
			if len(list) > 1 {
				s.Part = fmt.Sprintf("%d of %d", i+1, len(list))
			}
			if list[i].Falls() {
				s.Fall = setout.SetFall(p, check, &list[i], nil, setout.Steps{AsDrawn: true})
				s.Supports = setout.SupportFall(p, check, s.Fall, setout.Hanging{})
			} else if s.Answer = setout.SetOut(p, check, &list[i], setout.Settings{Steps: setout.Steps{AsDrawn: true}}); s.Answer.Found {
				s.Supports = setout.SupportRun(p, check, s.Answer, setout.Hanging{})
			}
			all, runs = append(all, s), append(runs, &list[i])
		}
		return all, runs
	}
	read := func(all []*sheets.Sheet, name string) *setout.Issued {
		var b bytes.Buffer
		if err := sheets.CSV(&b, all, nil, ','); err != nil {
			t.Fatal(err)
		}
		s, problems := issued.Parse("sheet.csv", b.Bytes(), name)
		if len(problems) > 0 {
			t.Errorf("the sheet of %s is not read: %v", name, problems[0])
			return nil
		}
		return s
	}
	low, high := 2860.0, 3100.0
	for _, run := range k.runs {
		lengths, err := setout.Assemble(p, run, cell.Top)
		if err != nil {
			continue
		}
		for i := range lengths {
			r := &lengths[i]
			add("run %s %d: %s, in bays %s", run, i+1, tenthText(r.Length), keptFact(reflect.ValueOf(r.Bays(p))))
			for _, b := range r.Beside(p) {
				add("\tbeside %s %s", p.Zone(b.Zone).ID, keptFact(reflect.ValueOf(b)))
			}
			if r.Falls() {
				for _, fall := range []float64{1.0 / 200, 1.0 / 40} {
					f := setout.SetFall(p, check, r, &fall, setout.Steps{})
					add("\tfall %s: %s", tenthText(1/fall), keptFact(reflect.ValueOf(f.Start)))
				}
				continue
			}
			for _, o := range []setout.Steps{{Angle: 30, Straight: 300}, {Above: 50, AsDrawn: true}, {Min: &low, Max: &high}, {Start: &low, End: &low}, {Most: 1}} {
				a := setout.SetOut(p, check, r, setout.Settings{Steps: o})
				add("\tsteps %s: level %s, line %s, bends %s", keptFact(reflect.ValueOf(o)), keptFact(reflect.ValueOf(a.Level)), keptFact(reflect.ValueOf(a.Line)), keptFact(reflect.ValueOf(a.Bends(o.Angle))))
				if len(a.Mates) > 0 {
					add("\t\tmates %s", keptFact(reflect.ValueOf(a.Mates)))
				}
				for _, h := range []setout.Hanging{{Spacing: 900, First: 150, Adjust: -1, Stock: []float64{1000, 3000}, Kerf: 3}, {From: setout.Fixing("soffit"), Beside: 80, Clear: 60}} {
					if !a.Found || o.Min == nil {
						continue
					}
					u := setout.SupportRun(p, check, a, h)
					for _, s := range u.List {
						add("\t\tsupport %s", keptFact(reflect.ValueOf(s)))
					}
				}
			}
		}
		for _, e := range k.edits {
			then, _ := sheet(p, run)
			q := open()
			if _, problem := q.Edit(e[0], e[1], e[2]); problem != nil || then == nil {
				continue
			}
			now, runs := sheet(q, run)
			if now == nil {
				add("since %s with %s %s %s: no run", run, e[0], e[1], e[2])
				continue
			}
			before, after := read(then, run), read(now, run)
			if before == nil || after == nil {
				continue
			}
			s := setout.SinceIssued(q, runs, before, after)
			if s.Holds() {
				continue
			}
			add("since %s with %s %s %s", run, e[0], e[1], e[2])
			for _, l := range sheets.Since(s, "sheet.csv") {
				add("\t%s", l)
			}
		}
	}
	add("order %s", strings.Join(setout.InOrder(p, slices.Clone(k.runs)), ", "))
	for s := range p.Storeys {
		for _, set := range []setout.FloorSettings{{Storey: s, Lines: 2}, {Storey: s, Lines: 2, By: setout.ByRoom}, {Storey: s, Trade: "pipework"}, {Storey: s, Trade: "ductwork", Falling: true}, {Storey: s, Trade: "drainage", Falling: true, Steps: setout.Steps{Angle: 30}}} {
			f, err := setout.Strike(p, check, set)
			if err != nil {
				add("line of %s, %s: %v", p.Storeys[s].Name, set.Trade, err)
				continue
			}
			add("line of %s, %s: %s, lowest %s, %s of %s, keeps %s", p.Storeys[s].Name, set.Trade, tenthText(f.Level), tenthText(f.Lowest), tenthText(f.Clear), tenthText(f.All), tenthText(f.Kept()))
			if f.Two != nil {
				add("\ttwo %s", keptFact(reflect.ValueOf(*f.Two)))
			}
			for i := range f.Places {
				add("\tplace %s %s to %s, %s short", f.Places[i].Run.Run.Name, tenthText(f.Places[i].From), tenthText(f.Places[i].To), tenthText(f.Places[i].Short()))
			}
			for _, o := range f.Runs {
				for _, x := range f.Stretches(o) {
					add("\t%s %s to %s is %v", o.Run.Name, tenthText(x.From), tenthText(x.To), x.Is)
				}
			}
		}
	}
}

// alsoWritten writes edits into tables on disk.
func (k *kept) alsoWritten(t *testing.T, files map[string]string, add func(string, ...any)) {
	t.Helper()
	dir := t.TempDir()
	for name, text := range files {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	p, originals, err := table.OpenKept(context.Background(), dir, table.Options{})
	if bad := (void.Problems{}); err != nil && !errors.As(err, &bad) {
		t.Fatal(err)
	}
	for _, e := range k.edits {
		_, _ = p.Edit(e[0], e[1], e[2]) // what is wrong with it is kept with the answers
	}
	for i := range p.Zones() {
		if z := p.Zone(i); i%4 == 0 {
			if cells, problem := p.Moved(i, r3.Vector{X: 10, Y: -20, Z: 5}); problem == nil {
				_, _ = p.EditCells(z.ID, cells)
			}
		}
	}
	if _, err := originals.Rewrite(table.Changes(p)); err != nil {
		add("written: %v", err)
	}
	for _, name := range slices.Sorted(maps.Keys(files)) {
		now, err := os.ReadFile(filepath.Join(dir, name))
		if err != nil {
			t.Fatal(err)
		}
		was, is := strings.Split(files[name], "\n"), strings.Split(string(now), "\n")
		if len(was) != len(is) {
			add("written %s: %d lines for %d", name, len(is), len(was))
			continue
		}
		for i := range is {
			if is[i] != was[i] {
				add("written %s:%d %s", name, i+1, is[i])
			}
		}
	}
}

// keptAlsoProject is a project with a storey more: runs that have to step, frames of several tiers, what stands at a point and is long, ceilings of two
// heights with trays that pass from one to the other, steel to hang from.
func keptAlsoProject(seed uint64) *kept {
	k := keptProject(seed)
	k.storey = "L3"
	k.put("levels", "storey", k.storey, "ffl", "8000", "ssl", "7920", "datum", "1000")
	for b := range 6 {
		x, y := keptBay*float64(b%3), keptBay*float64(b/3)
		k.x, k.y = 0, 0
		k.put("bays", "bay", fmt.Sprintf("B%d", b+1), "storey", k.storey, "x1", k.px(x), "y1", k.py(y), "x2", k.px(x+keptBay), "y2", k.py(y+keptBay),
			"soffit", ffl(keptSoffit), "ceiling", ffl([]float64{2700, 2700, 2700, 2700, 2400, 2400}[b]), "build-up", one(k, "tiles", "boards", ""))
	}
	k.runs, k.edits = nil, nil
	k.stepped(0, 0)
	k.framed(0, 3000)
	k.standing(0, 6000)
	k.heights(0, 9000)
	return k
}

// stepped: a tray that goes under a beam and over a duct, further along under a pipe; another that its steel carries.
func (k *kept) stepped(x, y float64) {
	k.x, k.y = x, y
	cells := []string{"service", "LV power", "kind", "tray", "size", "300x60", "hanger", one(k, "channel 41 M10", "channel 21 M8"), "run", "ST"}
	at := one(k, 5200, 6000, 7000, 9000.0)
	first := k.length("containment", 500, 900, at+1500, 900, append(cells, "level", ffl(one(k, 2950, 3000.0)))...)
	k.length("containment", at+1500, 900, 17000, 900, append(cells, "level", ffl(3000))...)
	beam := k.length("steel", 4000, 0, 4000, 3000, "kind", "beam", "size", "UB 406x178x60", "level", ffl(k.edge(3000)), "face", "bottom")
	k.length("ductwork", at, 300, at, 2700, "service", "supply air", "size", "600x200", "level", ffl(2780))
	k.length("pipework", 13000, 300, 13000, 2700, "service", "cold water", "size", "ø60", "level", ffl(k.edge(3100)), "holds", one(k, "", "both"))
	for _, j := range []float64{1500, 7500, 10500, 13500} {
		k.length("steel", j, 1500, j, 3000, "kind", "joist", "size", "UB 203x133x25", "level", "soffit", "face", "top")
	}
	k.length("containment", 500, 2200, 14500, 2200, "service", "data", "kind", "basket", "size", "200x60", "level", ffl(2880), "hanger", "kept channel", "run", "SJ", "tolerance", one(k, "", "10"))
	k.runs = append(k.runs, "ST", "SJ")
	k.edits = append(k.edits, [3]string{first, "level", ffl(2930)}, [3]string{beam, "level", ffl(3060)})
}

// framed: a wide tray with two side by side over it and a third tier over part of it; a frame of the same name elsewhere on another hanger.
func (k *kept) framed(x, y float64) {
	k.x, k.y = x, y
	hangers := []string{"channel 41 M10", "channel 21 M10", ""}
	tray := func(run string, from, to, at, wide, level float64, tier string) string {
		h := one(k, hangers...)
		if tier == "1" && h == "" {
			h = hangers[0]
		}
		return k.length("containment", from, at, to, at, "service", "data", "kind", one(k, "tray", "basket"), "size", mm(wide)+"x60", "level", ffl(level), "hanger", h, "frame", "FR", "tier", tier, "run", run)
	}
	low := tray("FL", 500, 7500, 1500, 600, one(k, 2770, 2800.0), "1")
	tray("FA", 500, 7500, 1350, 200, 2900, "2")
	tray("FB", 500, 7500, 1650, 200, 2900, "2")
	tray("FT", 2000, 6000, 1500, 300, one(k, 3020, 3015.9, 3100), "3")
	k.length("pipework", 300, 1650, one(k, 1900, 8000.0), 1650, "service", "cold water", "size", "ø60", "level", ffl(one(k, 2920, 2960, 2970.0)))
	tray("FX", 9500, 15000, 1500, 300, 2900, "1")
	tray("FY", 9500, 15000, 1500, 300, k.edge(3020), "2")
	k.runs = append(k.runs, "FL", "FB", "FX", "FY")
	k.edits = append(k.edits, [3]string{low, "level", ffl(2760)})
}

// standing: what stands at a point and is long, in height or on one side, beside what it must keep from.
func (k *kept) standing(x, y float64) {
	k.x, k.y = x, y
	gap := k.edge(one(k, 30, 50.0))
	high := one(k, "FFL+3600", "FFL+2600", "FFL+2600.1", "FFL+3300")
	riser := k.item("containment", 700, 700, "service", "LV power", "kind", "trunking", "size", "100x100", "level", "FFL+2000.."+high, "circuits", "30", "run", one(k, "", "PR"))
	k.item("containment", 800+gap, 700, "service", "data", "kind", "trunking", "size", "100x100", "level", "FFL..FFL+3600", "class", "b")
	long := one(k, 600, 600.1, 650.0)
	sides := mm(long) + "x150x100"
	if one(k, true, false) {
		sides = mm(long) + "x" + mm(long) + "x100"
	}
	board := k.item("containment", 3000, 1500, "service", "LV power", "kind", "trunking", "size", sides, "level", ffl(3000), "circuits", "30")
	k.length("containment", 3000+long/2+50+gap, 300, 3000+long/2+50+gap, 2700, "service", "data", "kind", "trunking", "size", "100x100", "level", ffl(3000), "class", "b")
	pipe := k.length("pipework", 5000, 1500, 10000, 1500, "service", "LTHW flow", "size", "ø60", "level", ffl(3000))
	k.item("pipework", 7000, 1500+one(k, 90, 100, 120.0), "service", one(k, "LTHW flow", "cold water"), "kind", "pipe fitting", "size", "1000x150x150", "level", ffl(2955), "joins", one(k, "", pipe), "reach", "no")
	k.length("ductwork", 11000, 700, 16500, 700, "service", "supply air", "size", "300x200", "level", ffl(2800), "run", "SD", "holds", one(k, "", "level", "place"), "stage", one(k, "", "made"))
	k.length("containment", 11500, 1100+k.edge(100), 16500, 1100+k.edge(100), "service", "LV power", "kind", "tray", "size", "300x60", "level", ffl(2830), "run", "SC")
	k.length("pipework", 11500, 1500+k.edge(50), 12600, 1500+k.edge(50), "service", "cold water", "size", "ø60", "level", ffl(2830), "holds", one(k, "", "both"))
	k.edits = append(k.edits, [3]string{riser, "x1", k.px(720)}, [3]string{board, "y1", k.py(1520)})
}

// heights: trays that pass from one height of ceiling to another, over ducts that cross.
func (k *kept) heights(x, y float64) {
	k.x, k.y = x, y
	for i, at := range []float64{500, 1300, 2100} {
		from, to := one(k, 500, 3000.0), one(k, 11000, 17500.0)
		k.length("containment", from, at, to, at, "service", "LV power", "kind", "tray", "size", "300x60", "level", ffl(2900-100*float64(i)), "hanger", "channel 41 M10", "run", fmt.Sprintf("H%c", 'A'+i))
	}
	k.length("containment", 6500, 2700, 11500, 2700, "service", "LV power", "kind", "ladder", "size", "300x100", "level", ffl(2600), "hanger", "channel 41 M10", "run", "HD")
	k.length("ductwork", 8000, 200, 8000, 2900, "service", "extract", "size", "500x"+one(k, "800", "850"), "level", ffl(2720))
	k.length("ductwork", 15000, 200, 15000, 2900, "service", "extract", "size", "400x880", "level", ffl(k.edge(2700)))
	k.length("ductwork", 2500, 200, 2500, 2900, "service", "extract", "size", "400x260", "level", ffl(2738))
	k.runs = append(k.runs, "HA", "HD")
}
