package void

import (
	"cmp"
	"fmt"
	"maps"
	"reflect"
	"slices"
	"sync"

	"github.com/golang/geo/r2"

	"voidline/void/cell"
)

// Change is what an edit did to the resolved project.
type Change struct {
	Zones []int // zones added, removed or changed (by index), ascending
	Bays  []int // bays whose plan, soffit, ceiling or build-up changed, ascending
	// Openings, Spaces, Supports, Rules: openings, access spaces, supports that are set out or gap rows were resolved anew and differ.
	Openings, Spaces, Supports, Rules bool
	All                               bool // everything is to be taken as changed (storeys, grid, the list of bays)
}

// Add takes in what another edit changed.
func (c *Change) Add(ch Change) {
	c.Zones, c.Bays = append(c.Zones, ch.Zones...), append(c.Bays, ch.Bays...)
	c.Openings, c.Spaces = c.Openings || ch.Openings, c.Spaces || ch.Spaces
	c.Supports, c.Rules, c.All = c.Supports || ch.Supports, c.Rules || ch.Rules, c.All || ch.All
}

// Edit changes one cell of one zone (column by its canonical name, text as a person would type it into
// the table), resolves again what hangs on it and says what changed: the zone itself, rows that hang on a beam that
// it is, openings in it and the room to reach it. Where the text will not do, or what hangs on the zone could not be
// worked out any more, nothing changes and the problem comes back.
//
// The first edit of a project may take longer than those after it.
func (p *Project) Edit(zone, column, text string) (Change, *Problem) {
	return p.EditCells(zone, []CellText{{column, text}})
}

// Add adds a row to a trade's table, as AddZone does before Resolve, and says what changed. Where the row will not
// do, nothing changes and the problem comes back. A row that stands in no file has the line 0; the file still says
// which table it belongs to.
func (p *Project) Add(file string, r *ZoneRow) (Change, *Problem) {
	row := *r
	e := p.edit(row.At, "")
	k := slices.Index(p.Files, file)
	if k < 0 {
		k = len(p.Files)
		p.Files = append(slices.Clip(p.Files), file)
	}
	row.At.File = int32(k)
	e.at.File = int32(k)
	now, ok := e.fill(file, &row)
	if !ok {
		return e.refuse()
	}
	var before *snapshot
	if p.survey.bearsOn(p, &now, nil, now.Upright) {
		before = p.snapshot()
	}
	n := int32(p.zones.n)
	*p.zones.add() = Zone{ID: now.ID, alike: now.alike, in: [2]int32{-1, -1}, Gone: true}
	if j, ok := p.ids.add(&p.zones, n); !ok {
		e.bad("id", fmt.Sprintf("%q is already used in %s", now.ID, cmp.Or(p.FileLine(p.Zone(int(j)).At()), "the project")), "each row its own id", "")
		return e.refuse()
	}
	if e.redo(n, &now) && e.follow() {
		ch, pr := e.done()
		if before != nil && pr == nil {
			return p.edit(row.At, "").anew(func() {
				e.cut()
				p.restore(before)
			})
		}
		return ch, pr
	}
	p.ids.remove(&p.zones, now.ID)
	return e.refuse()
}

// Remove takes a zone out. Its place in the list stays, with Gone set, so that the others keep their index; its id
// is free. Where another row could not be worked out without it, nothing changes and the problem comes back.
func (p *Project) Remove(zone string) (Change, *Problem) {
	i, ok := p.ZoneByID(zone)
	if !ok {
		return Change{}, &Problem{What: fmt.Sprintf("no zone %q", zone), Want: "the id of a zone"}
	}
	if pr := p.surveyNames(p.Zone(i)); pr != nil {
		return Change{}, pr
	}
	e := p.edit(p.Zone(i).At(), "")
	now := p.Zone(i).own()
	now.Gone, now.in = true, [2]int32{-1, -1}
	if now.more != nil {
		now.more.in = nil
	}
	p.ids.remove(&p.zones, now.ID)
	e.put(int32(i), &now)
	if e.follow() {
		return e.done()
	}
	ch, pr := e.refuse()
	p.ids.add(&p.zones, int32(i))
	return ch, pr
}

// EditBay changes one cell of one bay, named by its label or its name, resolves again what hangs on it and says
// what changed. Where the text will not do, or a row could not be worked out any more, nothing changes and the
// problem comes back.
func (p *Project) EditBay(bay, column, text string) (Change, *Problem) {
	j, pr := p.findBay(bay)
	if pr != nil {
		return Change{}, pr
	}
	row := p.Bays[j].row
	ch, pr := p.editBay(j, column, text)
	if pr == nil {
		p.typedBays.set(int(row), column, text)
	}
	return ch, pr
}

// findBay finds a bay by its label or its name.
func (p *Project) findBay(bay string) (int32, *Problem) {
	j, ok := p.bayLabelled(fold(bay))
	if !ok {
		if j, ok = p.bayNamed[fold(bay)]; ok && p.Bays[j].next >= 0 {
			return 0, &Problem{What: fmt.Sprintf("bay %q is in several storeys", bay), Want: fmt.Sprintf("the bay with its storey, such as %q", p.Bays[j].Label)}
		}
	}
	if !ok {
		return 0, &Problem{What: fmt.Sprintf("no bay %q", bay), Want: "the name of a bay"}
	}
	return j, nil
}

func (p *Project) editBay(j int32, column, text string) (Change, *Problem) {
	was := p.Bays[j]
	row := p.bayRow(int(was.row))
	if pr := p.setCell(&row, row.At, column, text, "a column of bays.csv"); pr != nil {
		return Change{}, pr
	}
	e := p.edit(row.At, column)
	cells := p.rows.bays.at(int(was.row))
	before := *cells
	*cells = p.packBay(&row)
	if column == "bay" || column == "storey" || p.survey != nil {
		return e.anew(func() { *cells = before })
	}
	var now Bay
	ok := false
	if heard := p.listen(func() { now, ok = p.resolveBay(&row) }); !ok {
		*cells = before
		e.lost(&heard)
		return e.refuse()
	}
	now.Label, now.row, now.next = was.Label, was.row, was.next
	if now == was {
		return Change{}, nil
	}
	p.Bays[j] = now
	p.highest[now.Storey] = max(p.highest[now.Storey], now.Soffit)
	if now.Plan != was.Plan {
		p.bayTiles[now.Storey].add(now.Plan, j)
	}
	if e.bayChanged(j, &was) && e.follow() {
		if now.Plan != was.Plan {
			p.forget(teller{part: byOver})
			p.tellOverBays()
		}
		e.change.Bays = []int{int(j)}
		return e.done()
	}
	p.Bays[j], *cells = was, before
	return e.refuse()
}

// EditGap changes one cell of a row of gaps.csv, counted from 0 (see Gaps). Whether the row is a rule is for who
// reads it to say.
func (p *Project) EditGap(row int, column, text string) (Change, *Problem) {
	if row < 0 || row >= len(p.Gaps) {
		return Change{}, &Problem{What: fmt.Sprintf("no row %d in gaps.csv", row), Want: fmt.Sprintf("one of its %d rows", len(p.Gaps))}
	}
	r := p.Gaps[row]
	if pr := p.setCell(&r, r.At, column, text, "a column of gaps.csv"); pr != nil {
		return Change{}, pr
	}
	if r == p.Gaps[row] {
		return Change{}, nil
	}
	p.Gaps = slices.Clone(p.Gaps)
	p.Gaps[row] = r
	return Change{Rules: true}, nil
}

// setCell puts text into the cell of a column of a row, and says where that will not do.
func (p *Project) setCell(row any, at At, column, text, want string) *Problem {
	v := reflect.ValueOf(row).Elem()
	k, ok := columnsOf(v.Type())[column]
	if !ok {
		pr := p.say(at, "", fmt.Sprintf("no column %q to edit", column), want, "")
		return &pr
	}
	f := v.Field(k).Addr().Interface().(interface{ UnmarshalCSV(string) error })
	_ = f.UnmarshalCSV(text) // never fails: the fault stays in the cell
	if fault := v.Field(k).FieldByName("Fault"); !fault.IsNil() {
		f := fault.Interface().(*cell.Fault)
		pr := p.say(at, column, f.What, f.Want, f.Hint)
		return &pr
	}
	return nil
}

var columns sync.Map // type of a row -> map[string]int, see columnsOf

// columnsOf returns the fields of a row by the names of their columns.
func columnsOf(row reflect.Type) map[string]int {
	if at, ok := columns.Load(row); ok {
		return at.(map[string]int)
	}
	at := map[string]int{}
	for k := range row.NumField() {
		if tag := row.Field(k).Tag.Get("csv"); tag != "-" {
			at[tag] = k
		}
	}
	columns.Store(row, at)
	return at
}

// edit is an edit under way. What it changes is put in place at once, so that what hangs on it can be resolved,
// and taken back where the edit is refused; what was told is changed when all is well.
type edit struct {
	resolving
	column string
	change Change

	was      map[int32]*Zone // zones that were put in place of what is here: of each a copy
	again    map[int32]bool  // zones that were resolved again: what they told before counts no more
	hung     []int32         // zones on the steel that are to be resolved again in any case
	beams    []beamAt        // where beams stand or stood that are changed
	whole    bool            // all openings and access spaces are to be resolved again
	openings []redone[Opening]
	spaces   []redone[Space]
	supports []redone[SetSupport]
	woken    *alike // was not resolved

	// Lengths of lists as they were.
	files, characters, raws, alikes, hangers, zones int
}

// beamAt is where a beam stands.
type beamAt struct {
	storey int32
	plan   r2.Rect
}

// redone is a row of openings.csv, access.csv or supports.csv that was resolved again.
type redone[T any] struct {
	row int32
	now T
	ok  bool
	heard
}

func (p *Project) edit(at At, column string) *edit {
	return &edit{
		resolving: resolving{p: p, at: at}, column: column, was: map[int32]*Zone{}, again: map[int32]bool{},
		files: len(p.Files), characters: len(p.characters), raws: len(p.raws), alikes: len(p.alikes.list), hangers: len(p.Hangers), zones: p.zones.n,
	}
}

// fill takes the cells of a row into a zone that is not yet in its place.
func (e *edit) fill(file string, r *ZoneRow) (now Zone, ok bool) {
	f := &e.p.filling
	f.fill(&now, file, r)
	e.problems = append(e.problems, f.problems...)
	if len(f.problems) > 0 {
		return now, false
	}
	if now.when != e.p.resolves { // new, or no row has said it for long
		e.p.resolveAlike(now.alike)
		e.woken = now.alike
	}
	return now, true
}

// redo resolves a zone, which is not yet in its place, and puts it there.
func (e *edit) redo(i int32, now *Zone) bool {
	e.again[i] = true
	if !e.resolve(i, now) {
		return false
	}
	e.put(i, now)
	return true
}

// redoIn resolves a zone that is in its place.
func (e *edit) redoIn(i int32) bool {
	now := e.p.Zone(int(i)).own()
	return e.redo(i, &now)
}

// own returns a copy of a zone that shares nothing with it that resolving changes.
func (z *Zone) own() Zone {
	c := *z
	if z.more != nil {
		m := *z.more
		c.more = &m
	}
	return c
}

// put puts a zone in its place.
func (e *edit) put(i int32, now *Zone) {
	z := e.p.Zone(int(i))
	was := *z
	e.was[i] = &was // each zone is put once
	if a, _ := z.Frame(); z.Gone || !sameFrame(a, now) {
		e.p.frame(i, now)
	}
	if !z.same(now) {
		for _, z := range [...]*Zone{z, now} {
			if e.p.characters[z.Char].Entry.Beam {
				e.beams = append(e.beams, beamAt{z.Storey, z.Bare().Plan()})
				e.p.beamTiles[z.Storey].add(z.Bare().Plan(), i)
			}
		}
	}
	*z = *now
	if key := runKey(now.Run()); key != "" && e.p.runRows != nil {
		if rows, named := e.p.runRows[key]; named && !slices.Contains(rows, i) {
			e.p.runRows[key] = append(slices.Clip(rows), i)
		}
	}
}

// sameFrame reports whether a row hangs on the frame of a name.
func sameFrame(name string, z *Zone) bool {
	now, _ := z.Frame()
	return fold(now) == fold(name)
}

// bayChanged resolves the zones again that a bay bears on that was something else before.
func (e *edit) bayChanged(j int32, was *Bay) bool {
	p := e.p
	now := &p.Bays[j]
	moved := was.Plan != now.Plan
	for i := range int32(p.zones.n) {
		z := p.Zone(int(i))
		if z.Gone {
			continue
		}
		touched := z.Bay == j || slices.Contains(z.Bays(), j)
		if !touched && (z.Upright || moved && int(z.Storey) == now.Storey) {
			plan := z.Bare().Plan()
			touched = plan.Intersects(was.Plan) || plan.Intersects(now.Plan)
		}
		switch {
		case !touched:
		case z.steel:
			e.hung = append(e.hung, i)
		case !e.redoIn(i):
			return false
		}
	}
	e.whole = true
	return true
}

// follow resolves what hangs on what was changed; false where something of it cannot be resolved any more.
func (e *edit) follow() bool {
	p := e.p
	for _, b := range e.beams {
		e.hung = append(e.hung, p.hungNear(b)...)
	}
	slices.Sort(e.hung)
	for _, i := range slices.Compact(e.hung) {
		if !p.Zone(int(i)).Gone && !e.again[i] && !e.redoIn(i) {
			return false
		}
	}
	if !e.tiersHold() {
		return false
	}
	openings, spaces, supports := e.rows()
	for _, row := range openings {
		x := redone[Opening]{row: row}
		x.heard = p.listen(func() { x.now, x.ok = p.resolveOpening(p.rows.openings.at(int(row))) })
		if e.openings = append(e.openings, x); !x.ok && p.openingAt[row] >= 0 {
			return e.lost(&x.heard)
		}
	}
	for _, row := range spaces {
		x := redone[Space]{row: row}
		x.heard = p.listen(func() { x.now, x.ok = p.resolveSpace(p.rows.access.at(int(row))) })
		if e.spaces = append(e.spaces, x); !x.ok && p.spaceAt[row] >= 0 {
			return e.lost(&x.heard)
		}
	}
	runs := p.newRuns()
	for _, row := range supports {
		x := redone[SetSupport]{row: row}
		x.heard = p.listen(func() { x.now, x.ok = p.resolveSupport(row, runs) })
		if x.now.Number == 0 {
			x.now.Number = p.supportNo[row]
		}
		if e.supports = append(e.supports, x); !x.ok && p.supportAt[row] >= 0 {
			return e.lost(&x.heard)
		}
	}
	return true
}

// lost says why a row could not be resolved any more.
func (e *edit) lost(h *heard) bool {
	e.problems = append(e.problems, h.problems...)
	return false
}

// rows returns the rows of openings.csv, access.csv and supports.csv that hang on what was changed.
func (e *edit) rows() (openings, spaces, supports []int32) {
	p := e.p
	if e.whole {
		for i := range p.rows.openings.n {
			openings = append(openings, int32(i))
		}
		for i := range p.rows.access.n {
			spaces = append(spaces, int32(i))
		}
	}
	p.indexRows()
	if len(p.openingsOf) == 0 && len(p.spacesOf) == 0 && p.rows.supports.n == 0 {
		return openings, spaces, nil
	}
	for _, i := range append(slices.Collect(maps.Keys(e.was)), slices.Collect(maps.Keys(e.again))...) {
		id := fold(p.Zone(int(i)).ID)
		if !e.whole {
			openings, spaces = append(openings, p.openingsOf[id]...), append(spaces, p.spacesOf[id]...)
		}
		if p.rows.supports.n > 0 {
			supports = append(append(supports, p.supportsOf[id]...), p.supportsRun[runKey(p.Zone(int(i)).Run())]...)
			if was, put := e.was[i]; put {
				supports = append(supports, p.supportsRun[runKey(was.Run())]...)
			}
		}
	}
	if len(e.beams) > 0 {
		openings = append(openings, p.openingsHung...)
	}
	slices.Sort(openings)
	slices.Sort(spaces)
	slices.Sort(supports)
	return slices.Compact(openings), slices.Compact(spaces), slices.Compact(supports)
}

// refuse takes everything back and returns the first problem.
func (e *edit) refuse() (Change, *Problem) {
	p := e.p
	for i, z := range e.was {
		*p.Zone(int(i)) = *z
	}
	e.cut()
	if len(e.problems) > 0 {
		pr := e.problems[0].guessed()
		return Change{}, &pr
	}
	pr := p.say(e.at, e.column, "cannot be: a row that depends on it depends on one that could not be read", "", "")
	return Change{}, &pr
}

// cut takes out what the edit added to the project's lists.
func (e *edit) cut() {
	p := e.p
	if e.woken != nil {
		e.woken.when = 0
	}
	p.zones.cut(e.zones)
	p.Files = p.Files[:e.files]
	p.alikes.cut(e.alikes)
	for _, r := range p.raws[e.raws:] {
		delete(p.rawIndex, r.rawKey)
	}
	p.raws = p.raws[:e.raws]
	maps.DeleteFunc(p.charOf, func(_ charKey, i int32) bool { return int(i) >= e.characters })
	p.characters = p.characters[:e.characters]
	if len(p.Hangers) > e.hangers {
		maps.DeleteFunc(p.hangerOf, func(_ string, i int) bool { return i >= e.hangers })
		p.Hangers = p.Hangers[:e.hangers]
	}
}

// done makes the edit last and says what it changed.
func (e *edit) done() (Change, *Problem) {
	p := e.p
	stale := map[teller]bool{}
	for i := range e.again {
		stale[teller{byZone, i}] = true
	}
	for _, i := range slices.Sorted(maps.Keys(e.was)) {
		was, now := e.was[i], p.Zone(int(i))
		if !was.same(now) || int(i) >= e.zones {
			e.change.Zones = append(e.change.Zones, int(i))
		}
		stale[teller{byZone, i}] = true
	}
	for _, x := range e.openings {
		stale[teller{byOpening, x.row}] = true
	}
	for _, x := range e.spaces {
		stale[teller{bySpace, x.row}] = true
	}
	for _, x := range e.supports {
		stale[teller{bySupport, x.row}] = true
	}
	p.forget(slices.Collect(maps.Keys(stale))...)
	for _, i := range e.astray {
		p.tellAstray(i)
	}
	for _, x := range e.openings {
		p.retell(&x.heard, teller{byOpening, x.row})
		e.change.Openings = replace(&p.Openings, p.openingAt, x.row, x.now, x.ok) || e.change.Openings
	}
	for _, x := range e.spaces {
		p.retell(&x.heard, teller{bySpace, x.row})
		e.change.Spaces = replace(&p.Spaces, p.spaceAt, x.row, x.now, x.ok) || e.change.Spaces
	}
	for _, x := range e.supports {
		p.retell(&x.heard, teller{bySupport, x.row})
		e.change.Supports = replace(&p.Supports, p.supportAt, x.row, x.now, x.ok) || e.change.Supports
	}
	p.edited = true
	p.by = teller{part: bySupport}
	p.miss(missing(p.supportAt) - p.missing[bySupport])
	p.by = teller{part: byOpening}
	p.miss(missing(p.openingAt) - p.missing[byOpening])
	p.by = teller{part: bySpace}
	p.miss(missing(p.spaceAt) - p.missing[bySpace])
	p.by = teller{}
	for _, i := range slices.Sorted(maps.Keys(e.was)) {
		p.rename(i, e.was[i])
	}
	return e.change, nil
}

// missing counts the rows that are.
func missing(at []int32) int {
	n := 0
	for _, k := range at {
		if k < 0 {
			n++
		}
	}
	return n
}

// replace puts what a row was resolved to into its list and reports whether the list differs.
func replace[T comparable](list *[]T, at []int32, row int32, now T, ok bool) bool {
	k := at[row]
	switch {
	case k >= 0: // and ok, for else the edit is refused
		differs := (*list)[k] != now
		(*list)[k] = now
		return differs
	case !ok:
		return false
	}
	k = 0
	for i, n := range at {
		switch {
		case n < 0:
		case i < int(row):
			k = n + 1
		default:
			at[i]++
		}
	}
	at[row] = k
	*list = slices.Insert(*list, int(k), now)
	return true
}

// listen hears what f tells in place of keeping it.
func (p *Project) listen(f func()) (h heard) {
	problems, warnings, notes, told, tall, warned, unkept := p.Problems, p.Warnings, p.Told, p.told, p.tallies, p.warned, p.unkept
	p.Problems, p.Warnings, p.Told = nil, nil, nil
	p.told, p.tallies, p.warned, p.unkept = tellings{}, tallies{}, tallies{}, counts{}
	f()
	h = heard{p.Problems, p.Warnings, p.Told}
	p.Problems, p.Warnings, p.Told, p.told, p.tallies, p.warned, p.unkept = problems, warnings, notes, told, tall, warned, unkept
	return h
}

// retell tells what was heard.
func (p *Project) retell(h *heard, by teller) {
	for _, pr := range h.problems {
		p.addProblem(pr, by)
	}
	for _, w := range h.warnings {
		p.addWarning(w, by)
	}
	p.by = by
	for _, n := range h.notes {
		p.note(n)
	}
	p.by = teller{}
}

// indexRows finds the rows of openings.csv, access.csv and supports.csv by the zones, or runs, that they name, once.
func (p *Project) indexRows() {
	if p.openingsOf != nil {
		return
	}
	p.openingsOf, p.spacesOf, p.openingsHung = map[string][]int32{}, map[string][]int32{}, nil
	p.supportsOf, p.supportsRun = map[string][]int32{}, map[string][]int32{}
	for i := range p.rows.supports.n {
		r := p.rows.supports.at(i)
		if r.Row.Text != "" {
			p.supportsOf[fold(r.Row.Text)] = append(p.supportsOf[fold(r.Row.Text)], int32(i))
		} else if r.Run.Text != "" {
			p.supportsRun[runKey(r.Run.Text)] = append(p.supportsRun[runKey(r.Run.Text)], int32(i))
		}
	}
	for i := range p.rows.openings.n {
		r := p.rows.openings.at(i)
		id := fold(r.In.Text)
		p.openingsOf[id] = append(p.openingsOf[id], int32(i))
		if r.Level.Low.Ref == cell.Steel {
			p.openingsHung = append(p.openingsHung, int32(i))
		}
	}
	for i := range p.rows.access.n {
		id := fold(p.rows.access.at(i).For.Text)
		p.spacesOf[id] = append(p.spacesOf[id], int32(i))
	}
}

// hungNear returns the zones that may hang on a beam.
func (p *Project) hungNear(b beamAt) []int32 {
	if p.onSteel == nil {
		byStorey := make([][]int32, len(p.Storeys))
		for i := range p.zones.n {
			if z := p.Zone(i); z.steel && !z.Gone {
				byStorey[z.Storey] = append(byStorey[z.Storey], int32(i))
			}
		}
		p.onSteel = make([]tiles, len(p.Storeys))
		for s := range byStorey {
			p.onSteel[s] = lay(byStorey[s], func(i int32) r2.Rect { return p.Zone(int(i)).Bare().Plan() })
		}
	}
	var near []int32
	for _, i := range p.onSteel[b.storey].near(b.plan, nil) {
		if z := p.Zone(int(i)); z.steel && z.Storey == b.storey && !z.Gone {
			near = append(near, i)
		}
	}
	return near
}

// rename follows a zone that was something else in what finds zones by what they say, and in what is told of their
// words.
func (p *Project) rename(i int32, was *Zone) {
	now := p.Zone(int(i))
	if now.steel && !now.Gone && p.onSteel != nil {
		p.onSteel[now.Storey].add(now.Bare().Plan(), i)
	}
	// The ids that it joins, and who joins it.
	if was.Gone != now.Gone || !slices.Equal(was.Joins(), now.Joins()) {
		p.forget(teller{byJoin, i})
		if p.joinedBy != nil {
			p.join(i)
		}
		if !now.Gone {
			p.tellJoins(i)
		}
	}
	if was.Gone != now.Gone {
		if p.joinedBy == nil {
			p.joinedBy = map[string][]int32{}
			for k := range p.zones.n {
				p.join(int32(k))
			}
		}
		for _, k := range p.joinedBy[fold(now.ID)] {
			if k != i && !p.Zone(int(k)).Gone {
				p.forget(teller{byJoin, k})
				p.tellJoins(k)
			}
		}
	}
	// The words that are not known.
	before, after := p.unknown(was), p.unknown(now)
	for _, w := range after {
		by, told := p.wordTold[w.key()]
		if told && by > i {
			p.unsay(&w, by)
			told = false
		}
		if !told {
			p.tellWord(now.At(), i, &w)
		}
	}
	for _, w := range before {
		if by, told := p.wordTold[w.key()]; !told || by != i || slices.Contains(after, w) {
			continue
		}
		p.unsay(&w, i)
		for k := range p.zones.n {
			if slices.Contains(p.unknown(p.Zone(k)), w) {
				p.tellWord(p.Zone(k).At(), int32(k), &w)
				break
			}
		}
	}
}

// join notes the ids that a zone joins.
func (p *Project) join(i int32) {
	z := p.Zone(int(i))
	if z.Gone {
		return
	}
	for _, id := range z.Joins() {
		if list := p.joinedBy[fold(id)]; !slices.Contains(list, i) {
			p.joinedBy[fold(id)] = append(list, i)
		}
	}
}

// unknown returns the unknown words of a zone.
func (p *Project) unknown(z *Zone) []unknownWord {
	if z.Gone {
		return nil
	}
	words := p.raws[z.raw].words
	if z.doubt != nil {
		words = append(slices.Clip(words), *z.doubt)
	}
	return words
}

// anew resolves everything after a change that bears on everything. undo takes that change back.
func (e *edit) anew(undo func()) (Change, *Problem) {
	p := e.p
	was := p.snapshot()
	p.Resolve()
	had, counted := map[string]bool{}, map[string]bool{}
	for i := range was.problems {
		had[rowOf(&was.problems[i])] = true
		counted[was.problems[i].File] = counted[was.problems[i].File] || was.problems[i].More > 0
	}
	for i := range p.Problems {
		if pr := p.Problems[i]; !had[rowOf(&pr)] && !counted[pr.File] { // of a file whose problems are counted the number of rows says it
			p.restore(was)
			undo()
			return Change{}, &pr
		}
	}
	if p.RowsMissing > was.p.RowsMissing {
		p.restore(was)
		undo()
		return e.refuse()
	}
	return Change{All: true}, nil
}

func rowOf(pr *Problem) string { return fmt.Sprintf("%s:%d", pr.File, pr.Line) }

// snapshot is a project as it was.
type snapshot struct {
	p                  Project
	problems, warnings []Problem
	notes              []Note
	zones              []Zone
	alikes             []alike
}

func (p *Project) snapshot() *snapshot {
	s := &snapshot{p: *p, problems: slices.Clone(p.Problems), warnings: slices.Clone(p.Warnings), notes: slices.Clone(p.Told)}
	s.p.broken, s.p.notWhole, s.p.wordTold, s.p.told = maps.Clone(p.broken), maps.Clone(p.notWhole), maps.Clone(p.wordTold), maps.Clone(p.told)
	s.p.typed, s.p.typedBays, s.p.readAs = maps.Clone(p.typed), maps.Clone(p.typedBays), maps.Clone(p.readAs)
	s.p.Openings, s.p.openingAt = slices.Clone(p.Openings), slices.Clone(p.openingAt)
	s.p.Spaces, s.p.spaceAt = slices.Clone(p.Spaces), slices.Clone(p.spaceAt)
	s.p.Supports, s.p.supportAt, s.p.supportNo, s.p.runRows = slices.Clone(p.Supports), slices.Clone(p.supportAt), slices.Clone(p.supportNo), nil
	s.p.tallies, s.p.warned, s.p.unkept = maps.Clone(p.tallies), maps.Clone(p.warned), maps.Clone(p.unkept)
	s.zones = make([]Zone, p.zones.n)
	for i := range s.zones {
		s.zones[i] = p.Zone(i).own()
	}
	for _, a := range p.alikes.list {
		s.alikes = append(s.alikes, *a)
	}
	return s
}

func (p *Project) restore(s *snapshot) {
	*p = s.p
	p.Problems, p.Warnings, p.Told = s.problems, s.warnings, s.notes
	for i := range s.zones {
		*p.Zone(i) = s.zones[i]
	}
	for i, a := range p.alikes.list {
		*a = s.alikes[i]
	}
	p.ids.renew(&p.zones)
	p.resolveGridded()
}

// same reports whether two states of a zone are alike to the check.
func (z *Zone) same(o *Zone) bool {
	if z.alike != o.alike && (z.Char != o.Char || z.Storey != o.Storey || z.Bay != o.Bay || z.Hanger != o.Hanger ||
		z.Grow != o.Grow || z.Top != o.Top || z.web != o.web || z.Item != o.Item || z.Upright != o.Upright ||
		z.ByHeight != o.ByHeight || z.Recessed != o.Recessed || z.Reach != o.Reach || z.room != o.room) {
		return false
	}
	return z.Gone == o.Gone && z.run == o.run && z.Bare() == o.Bare() && slices.Equal(z.Bays(), o.Bays()) && reflect.DeepEqual(z.rare(), o.rare())
}
