package model

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"maps"
	"math"
	"os"
	"slices"
	"strconv"
	"strings"

	"github.com/golang/geo/r2"

	"voidline/io/table"
	"voidline/io/whole"
	"voidline/void"
	"voidline/void/vocabulary"
)

// Whose is what somebody chose where the model and the table both changed.
type Whose string

// Whose change counts.
const (
	Model Whose = "model"
	Table Whose = "table"
)

// Choices are what was chosen: for all, and for rows by id.
type Choices struct {
	All Whose
	Of  map[string]Whose // by id in lower case
}

func (c Choices) of(id string) Whose {
	if w, ok := c.Of[strings.ToLower(id)]; ok {
		return w
	}
	return c.All
}

// Renewal is what the next revision of the models comes to.
type Renewal struct {
	Import *Import
	// Changed, Added, Gone say row by row what is done; Same counts rows of which nothing changes.
	Changed, Added, Gone []string
	Same                 int
	Told                 []string
	// Open are the problems that somebody has to choose about; while there are any, nothing can be written.
	Open []void.Problem

	kept    *table.Originals
	changes map[string]*table.TableChange
	others  []whole.File
}

// Write changes the tables; the old ones are kept beside, under the names that are returned.
func (r *Renewal) Write() (kept []string, err error) {
	var list []table.TableChange
	for _, name := range slices.Sorted(maps.Keys(r.changes)) {
		list = append(list, *r.changes[name])
	}
	return r.kept.Renew(list, r.others)
}

// baseRow is a row of model.csv: as it was imported.
type baseRow struct {
	table, id, guid, piece, file, class, name string
	cells                                     map[string]string
	now                                       *nowRow
	next                                      *Row
}

// nowRow is a row of a table as it stands.
type nowRow struct {
	file string
	table.RowText
	base *baseRow
}

// The columns that are told together: where both the model and a person changed some of one group, somebody has to choose.
var groups = map[string][][]string{
	"":             {{"x1", "y1", "x2", "y2"}, {"size"}, {"level", "fall", "storey"}},
	"bays.csv":     {{"x1", "y1", "x2", "y2"}, {"soffit"}, {"ceiling", "buildup"}},
	"openings.csv": {{"in", "at", "x", "y"}, {"size"}, {"level"}},
	"levels.csv":   {{"ffl"}},
	"grid.csv":     {{"position"}},
}

// fixedTable is the name of a table by which its groups are found: "" of the trades' tables.
func fixedTable(name string) string {
	if _, ok := groups[name]; ok {
		return name
	}
	return ""
}

// canonical is a heading as the reader has it.
func canonical(c string) string { return strings.NewReplacer("-", "", " ", "").Replace(c) }

// heading is a column as people see it in a table.
func heading(file, c string) string {
	for _, h := range columnsOf(file) {
		if canonical(h) == c {
			return h
		}
	}
	return c
}

func canonicalRow(m map[string]string) map[string]string {
	out := map[string]string{}
	for c, v := range m {
		if v = clean(v); v != "" {
			out[canonical(c)] = strings.ReplaceAll(v, "|", "¦")
		}
	}
	return out
}

// alike reports whether two cells say the same, as text or as numbers.
func alike(a, b string) bool {
	if a == b {
		return true
	}
	x, err := strconv.ParseFloat(a, 64)
	y, err2 := strconv.ParseFloat(b, 64)
	return err == nil && err2 == nil && math.Abs(x-y) < 1e-9
}

// keyOf is what a row is known by in the next revision: the id of its element and the piece of it, else its own name.
func keyOf(tableName, guid, piece, id string) string {
	t := fixedTable(tableName)
	if guid == "" || t == "levels.csv" || t == "grid.csv" {
		return t + "\x00\x00" + strings.ToLower(id)
	}
	return t + "\x00" + guid + "\x00" + piece
}

func (r *Row) key() string {
	piece := ""
	if r.Piece > 0 {
		piece = strconv.Itoa(r.Piece)
	}
	return keyOf(r.Table, r.GUID, piece, r.ID)
}

// Again reads the next revision of the models of a project and compares three: what was imported before (model.csv), what the models say now,
// and what stands in the tables. Nothing is written before Renewal.Write.
func Again(ctx context.Context, dir string, files []string, opt Options, choices Choices) (*Renewal, error) {
	p, kept, err := table.OpenKept(ctx, dir, table.Options{})
	var bad void.Problems
	if err != nil && !errors.As(err, &bad) {
		return nil, err
	}
	fsys := os.DirFS(dir)
	had, err := table.ReadModelRows(ctx, fsys)
	if err != nil {
		return nil, err
	}
	if had.Name == "" {
		return nil, fmt.Errorf("%s has no model.csv: it was not imported from models; voidline import FILE -o FOLDER makes a new project", dir)
	}
	r := &Renewal{kept: kept, changes: map[string]*table.TableChange{}}
	a := &again{r: r, choices: choices, guids: map[string][]*nowRow{}, ids: map[string]*nowRow{}, next: map[string]string{}}
	if err := a.read(p.Files, had.Rows); err != nil {
		return nil, err
	}
	opt.Mapping, opt.Turn, opt.Origin = fsys, &a.turn, &a.origin
	if opt.Lattice == 0 {
		opt.Lattice = a.lattice
	}
	if r.Import, err = Read(ctx, files, opt); err != nil {
		return nil, err
	}
	if err := a.allGiven(); err != nil {
		return nil, err
	}
	a.match()
	a.compare()
	a.beside(ctx, dir)
	for _, list := range []*[]string{&r.Changed, &r.Added, &r.Gone, &r.Told} {
		slices.SortStableFunc(*list, void.Natural)
	}
	return r, nil
}

// again compares.
type again struct {
	r       *Renewal
	choices Choices
	base    []*baseRow
	byKey   map[string][]*baseRow // several where elements have one guid
	now     []*nowRow
	guids   map[string][]*nowRow
	ids     map[string]*nowRow
	next    map[string]string // what the import calls a row -> what the tables call it
	turn    float64
	origin  r2.Point
	lattice float64
	out     []*baseRow // of model.csv as it will be, beside the import's rows: what a person took out
	dropped map[*Row]bool
}

// read takes in the tables as they stand and what was imported.
func (a *again) read(files []string, had []table.ModelRow) error {
	for _, name := range files {
		rows, err := a.r.kept.Rows(name)
		if err != nil {
			return err
		}
		for _, t := range rows {
			n := &nowRow{file: name, RowText: t}
			if name == "origin.csv" {
				a.turn, _ = strconv.ParseFloat(t.Cells["turn"], 64)
				a.origin.X, _ = strconv.ParseFloat(t.Cells["x"], 64)
				a.origin.Y, _ = strconv.ParseFloat(t.Cells["y"], 64)
			}
			a.now = append(a.now, n)
			if g := t.Cells["guid"]; g != "" {
				a.guids[g] = append(a.guids[g], n)
			}
			switch {
			case name == "bays.csv":
				a.ids["bay "+strings.ToLower(t.Cells["bay"]+", "+t.Cells["storey"])] = n
			case name == "levels.csv":
				a.ids["level "+strings.ToLower(t.Cells["storey"])] = n
			case name == "grid.csv":
				a.ids["grid "+strings.ToLower(t.Cells["axis"]+" "+t.Cells["label"])] = n
			case t.Cells["id"] != "":
				a.ids[strings.ToLower(t.Cells["id"])] = n
			}
		}
	}
	a.byKey = map[string][]*baseRow{}
	for _, m := range had {
		b := &baseRow{table: m.Table.Text, id: m.Row.Text, guid: m.GUID.Text, piece: m.Piece.Text, file: m.File.Text, class: m.Class.Text, name: m.Name.Text, cells: unpacked(m.Cells.Text)}
		if b.table == importTable {
			a.lattice, _ = strconv.ParseFloat(b.cells["lattice"], 64)
			continue
		}
		a.base = append(a.base, b)
		k := keyOf(b.table, b.guid, b.piece, b.id)
		a.byKey[k] = append(a.byKey[k], b)
	}
	return nil
}

// allGiven says which of the models that were imported before are missing: what is not given would look as if all of it were gone.
func (a *again) allGiven() error {
	given, guids := map[string]bool{}, map[string]bool{}
	for _, f := range a.r.Import.sources {
		given[f] = true
	}
	for _, r := range a.r.Import.Rows {
		if r.Table != "levels.csv" { // models of one building often have the storeys of one
			guids[r.GUID] = true
		}
	}
	shared := map[string]bool{}
	var missing []string
	for _, b := range a.base {
		if b.file != "" && (given[b.file] || b.guid != "" && guids[b.guid]) {
			shared[b.file] = true
		}
	}
	for _, b := range a.base {
		if b.file != "" && !shared[b.file] && !slices.Contains(missing, b.file) {
			missing = append(missing, b.file)
		}
	}
	if len(missing) > 0 {
		slices.Sort(missing)
		return fmt.Errorf("nothing of %s is in the files that were given: give all models of the project, the old ones of what has no new revision", strings.Join(missing, ", "))
	}
	return nil
}

// standing finds the row of a table that was imported as b, nil where a person took it out.
func (a *again) standing(b *baseRow) *nowRow {
	var n *nowRow
	switch fixedTable(b.table) {
	case "bays.csv":
		n = a.ids["bay "+strings.ToLower(b.id+", "+b.cells["storey"])]
	case "levels.csv":
		n = a.ids["level "+strings.ToLower(b.id)]
	case "grid.csv":
		n = a.ids["grid "+strings.ToLower(b.id)]
	case "openings.csv":
		for _, o := range a.guids[b.guid] {
			if o.file == "openings.csv" && (n == nil || alike(o.Cells["at"], b.cells["at"])) {
				n = o
			}
		}
	default:
		same := slices.DeleteFunc(slices.Clone(a.guids[b.guid]), func(o *nowRow) bool { return o.Cells["id"] == "" || o.base != nil })
		if i := slices.IndexFunc(same, func(o *nowRow) bool { return strings.EqualFold(o.Cells["id"], b.id) }); i >= 0 {
			n = same[i]
		} else if len(same) == 1 && b.piece == "" {
			n = same[0] // somebody gave it another id
		} else if o := a.ids[strings.ToLower(b.id)]; o != nil && (o.Cells["guid"] == "" || b.guid == "") {
			n = o
		}
	}
	if n == nil || n.base != nil {
		return nil
	}
	n.base = b
	return n
}

// match finds for each row that was imported the one that stands in its table, and the one of the import.
func (a *again) match() {
	for _, b := range a.base {
		b.now = a.standing(b)
	}
	// Of several of one guid each by its name, and what is left of them in order.
	rest := a.r.Import.Rows
	for _, same := range []func(b *baseRow, r *Row) bool{
		func(b *baseRow, r *Row) bool { return b.name == clean(r.Name) && alike(b.cells["at"], r.Cells["at"]) },
		func(*baseRow, *Row) bool { return true },
	} {
		var fresh []*Row
		for _, r := range rest {
			i := slices.IndexFunc(a.byKey[r.key()], func(b *baseRow) bool { return b.next == nil && same(b, r) })
			if i < 0 {
				fresh = append(fresh, r)
				continue
			}
			a.byKey[r.key()][i].next = r
		}
		rest = fresh
	}
	fresh := rest
	// A new guid on the same body: of one class, in the same place, of the same size.
	where := func(t, class string, cells map[string]string) string {
		s := fixedTable(t) + "\x00" + class
		for _, g := range groups[fixedTable(t)] {
			for _, c := range g {
				s += "\x00" + cells[c]
			}
		}
		return s
	}
	bodies := map[string]*baseRow{}
	for _, b := range a.base {
		if b.next == nil {
			bodies[where(b.table, b.class, b.cells)] = b
		}
	}
	for _, r := range fresh {
		if b := bodies[where(r.Table, r.Class, canonicalRow(r.Cells))]; b != nil && b.next == nil {
			b.next = r
			a.r.Told = append(a.r.Told, fmt.Sprintf("%s %s has another guid now, %s in place of %s: the same body in the same place", b.table, b.id, r.GUID, b.guid))
		}
	}
	for _, b := range a.base {
		if b.next != nil && b.now != nil && fixedTable(b.table) == "" {
			a.next[b.next.ID] = b.now.Cells["id"]
		}
	}
	// What is new gets an id that nobody has.
	for _, r := range fresh {
		if fixedTable(r.Table) != "" || a.matched(r) {
			continue
		}
		id := r.ID
		for k := 2; a.ids[strings.ToLower(id)] != nil; k++ {
			id = fmt.Sprintf("%s-%d", r.ID, k)
		}
		a.next[r.ID] = id
		a.ids[strings.ToLower(id)] = &nowRow{}
	}
}

func (a *again) matched(r *Row) bool {
	return slices.ContainsFunc(a.base, func(b *baseRow) bool { return b.next == r })
}

// inTheTables writes a row of the import as the tables call things.
func (a *again) inTheTables(r *Row) map[string]string {
	cells := canonicalRow(r.Cells)
	call := func(id string) string {
		if n, ok := a.next[id]; ok {
			return n
		}
		return id
	}
	if v := cells["joins"]; v != "" {
		var ids []string
		for _, id := range strings.Split(v, "; ") {
			ids = append(ids, call(id))
		}
		cells["joins"] = strings.Join(ids, "; ")
	}
	if v := cells["run"]; v != "" {
		if system, id, ok := strings.Cut(v, "/"); ok && a.next[v] == "" && a.next[id] != "" {
			cells["run"] = system + "/" + call(id)
		} else {
			cells["run"] = call(v)
		}
	}
	if v := cells["in"]; v != "" {
		cells["in"] = call(v)
	}
	if fixedTable(r.Table) == "" {
		cells["id"] = call(r.ID)
	}
	return cells
}

func (a *again) change(file string) *table.TableChange {
	c := a.r.changes[file]
	if c == nil {
		c = &table.TableChange{File: file}
		a.r.changes[file] = c
	}
	return c
}

// open notes what somebody has to choose.
func (a *again) open(n *nowRow, column, what string) {
	a.r.Open = append(a.r.Open, void.Problem{File: n.file, Line: n.Line, Cell: column, What: what, Want: "--take " + nameOf(n) + "=model or --take " + nameOf(n) + "=table"})
}

func nameOf(n *nowRow) string {
	return cmp.Or(n.Cells["id"], n.Cells["bay"], n.Cells["in"], n.Cells["storey"], n.Cells["label"])
}

// compare works out what changes.
func (a *again) compare() {
	a.dropped = map[*Row]bool{}
	known := map[*Row]bool{}
	for _, b := range a.base {
		if b.next != nil {
			known[b.next] = true
		}
		switch {
		case b.next == nil && b.now == nil: // gone from both
		case b.next == nil:
			a.gone(b)
		case b.now == nil:
			a.r.Told = append(a.r.Told, fmt.Sprintf("%s %s was taken out of its table, and stays out", b.table, b.id))
			a.dropped[b.next] = true
			a.out = append(a.out, b)
		default:
			a.three(b)
		}
	}
	added := map[string][]map[string]string{}
	for _, r := range a.r.Import.Rows {
		if known[r] {
			continue
		}
		cells := a.inTheTables(r)
		if t := fixedTable(r.Table); t == "levels.csv" && a.ids["level "+strings.ToLower(r.ID)] != nil || t == "bays.csv" && a.ids["bay "+strings.ToLower(r.ID+", "+r.Cells["storey"])] != nil || t == "grid.csv" && a.ids["grid "+strings.ToLower(r.ID)] != nil {
			a.r.Told = append(a.r.Told, fmt.Sprintf("%s has a row %s already that is not the model's: it stays", r.Table, r.ID))
			a.dropped[r] = true
			continue
		}
		added[r.Table] = append(added[r.Table], cells)
		a.r.Added = append(a.r.Added, fmt.Sprintf("%s: %s (%s)", r.Table, cmp.Or(cells["id"], r.ID), cmp.Or(r.Name, r.GUID)))
	}
	have := map[string]bool{}
	for _, n := range a.now {
		have[n.file] = true
	}
	for _, name := range slices.Sorted(maps.Keys(added)) {
		if have[name] {
			c := a.change(name)
			c.Added = append(c.Added, added[name]...)
			continue
		}
		var rows []map[string]string
		for _, cells := range added[name] {
			m := map[string]string{}
			for _, c := range columnsOf(name) {
				m[c] = cells[canonical(c)]
			}
			rows = append(rows, m)
		}
		a.r.others = append(a.r.others, whole.File{Name: name, Data: sheetOf(name, rows)})
	}
}

// gone takes out the row of an element that is in the model no more, but for one into which people wrote something.
func (a *again) gone(b *baseRow) {
	n := b.now
	var theirs []string
	for _, c := range slices.Sorted(maps.Keys(n.Cells)) {
		if c != "id" && !strings.HasSuffix(c, "guid") && !alike(n.Cells[c], b.cells[c]) {
			theirs = append(theirs, heading(n.file, c))
		}
	}
	if n.Foreign {
		theirs = append(theirs, "columns of their own")
	}
	whose := a.choices.of(nameOf(n))
	switch {
	case len(theirs) == 0 || whose == Model:
		c := a.change(n.file)
		c.Gone = append(c.Gone, n.Line)
		a.r.Gone = append(a.r.Gone, fmt.Sprintf("%s: %s (%s) is in the model no more", n.file, nameOf(n), b.guid))
	case whose == Table:
		c := a.change(n.file)
		for _, column := range []string{"guid", "ceilingguid", "soffitguid"} {
			if n.Cells[column] != "" {
				c.Cells = append(c.Cells, table.CellChange{File: n.file, Line: n.Line, Column: column})
			}
		}
		a.r.Gone = append(a.r.Gone, fmt.Sprintf("%s: %s (%s) is in the model no more: kept as a row of your own, without its guid", n.file, nameOf(n), b.guid))
	default:
		a.open(n, "", fmt.Sprintf("%s is in the model no more, and people wrote into its row: %s", nameOf(n), strings.Join(theirs, ", ")))
	}
}

// three compares the row as it was imported, as the model has it now and as it stands.
func (a *again) three(b *baseRow) {
	n, next := b.now, a.inTheTables(b.next)
	if fixedTable(b.table) == "" {
		next["id"] = n.Cells["id"]
	}
	if b.table != b.next.Table && fixedTable(b.table) == "" {
		trade := strings.ReplaceAll(strings.TrimSuffix(b.next.Table, ".csv"), "-", " ")
		if w, ok := vocabulary.TradeWord(trade); ok {
			next["trade"] = w.Word
		}
	}
	group := map[string]int{}
	for i, g := range groups[fixedTable(b.table)] {
		for _, c := range g {
			group[c] = i + 1
		}
	}
	cols := []string{"trade"}
	for _, c := range columnsOf(b.table) {
		cols = append(cols, canonical(c))
	}
	var set []table.CellChange
	var said []string
	theirs, models := map[int][]string{}, map[int][]string{}
	whose := a.choices.of(nameOf(n))
	for _, c := range cols {
		switch c {
		case "id", "bay", "axis", "label":
			continue
		case "storey":
			if t := fixedTable(b.table); t == "levels.csv" || t == "bays.csv" {
				continue
			}
		}
		was, is, will := b.cells[c], n.Cells[c], next[c]
		if !alike(is, was) && !alike(is, will) {
			theirs[group[c]] = append(theirs[group[c]], c)
		}
		if alike(will, was) || alike(will, is) {
			continue
		}
		models[group[c]] = append(models[group[c]], c)
		if alike(is, was) || group[c] > 0 && whose == Model {
			set = append(set, table.CellChange{File: n.file, Line: n.Line, ID: cmp.Or(n.Cells["id"], n.Cells["bay"]), Column: c, Text: will})
			said = append(said, fmt.Sprintf("%s %s to %s", heading(n.file, c), cmp.Or(is, "blank"), cmp.Or(will, "blank")))
		} else if group[c] == 0 {
			a.r.Told = append(a.r.Told, fmt.Sprintf("%s:%d: %s of %s is %s in the model now; what was written, %s, stays", n.file, n.Line, heading(n.file, c), nameOf(n), cmp.Or(will, "blank"), cmp.Or(is, "blank")))
		}
	}
	var keep []string // columns of groups in which what people wrote stays
	for i := 1; i <= len(groups[fixedTable(b.table)]); i++ {
		if len(theirs[i]) == 0 || len(models[i]) == 0 {
			continue
		}
		switch whose {
		case Model: // the whole group as the model has it
			for _, c := range groups[fixedTable(b.table)][i-1] {
				if !alike(n.Cells[c], next[c]) && !slices.ContainsFunc(set, func(s table.CellChange) bool { return s.Column == c }) {
					set = append(set, table.CellChange{File: n.file, Line: n.Line, ID: cmp.Or(n.Cells["id"], n.Cells["bay"]), Column: c, Text: next[c]})
				}
			}
		case Table:
			keep = append(keep, groups[fixedTable(b.table)][i-1]...)
		default:
			both := append(slices.Clone(theirs[i]), models[i]...)
			slices.Sort(both)
			both = slices.Compact(both)
			var parts []string
			for _, c := range both {
				parts = append(parts, fmt.Sprintf("%s was %s, is %s here and %s in the model", heading(n.file, c), cmp.Or(b.cells[c], "blank"), cmp.Or(n.Cells[c], "blank"), cmp.Or(next[c], "blank")))
			}
			a.open(n, both[0], fmt.Sprintf("%s was changed here and in the model: %s", nameOf(n), strings.Join(parts, "; ")))
		}
	}
	set = slices.DeleteFunc(set, func(s table.CellChange) bool { return slices.Contains(keep, s.Column) })
	if len(set) == 0 {
		a.r.Same++
		return
	}
	c := a.change(n.file)
	c.Cells = append(c.Cells, set...)
	a.r.Changed = append(a.r.Changed, fmt.Sprintf("%s: %s: %s", n.file, nameOf(n), strings.Join(said, "; ")))
}

// beside writes the files that are kept beside the tables, and the build-ups that are new.
func (a *again) beside(ctx context.Context, dir string) {
	for _, f := range a.r.Import.Files {
		switch f.Name {
		case "mapping.csv":
			a.r.others = append(a.r.others, f)
		case "sources.csv":
			a.r.others = append(a.r.others, whole.File{Name: f.Name, Data: a.sources(ctx, dir)})
		case "buildups.csv":
			a.buildUps(f)
		}
	}
	// What was imported, as the tables call it now.
	var rows []*Row
	for _, r := range a.r.Import.Rows {
		if a.dropped[r] {
			continue
		}
		c := *r
		c.Cells = map[string]string{}
		cells := a.inTheTables(r)
		for _, col := range columnsOf(r.Table) {
			c.Cells[col] = cells[canonical(col)]
		}
		if id := cells["id"]; id != "" {
			c.ID = id
		}
		rows = append(rows, &c)
	}
	for _, b := range a.out {
		c := &Row{Table: b.table, ID: b.id, GUID: b.guid, File: b.file, Class: b.class, Name: b.name, Cells: map[string]string{}}
		c.Piece, _ = strconv.Atoi(b.piece)
		for _, col := range columnsOf(b.table) {
			c.Cells[col] = b.cells[canonical(col)]
		}
		rows = append(rows, c)
	}
	a.r.others = append(a.r.others, modelTable(rows, a.r.Import.lattice))
}

// buildUps adds build-ups that the tables have not yet; those that they have stay as they are.
func (a *again) buildUps(f whole.File) {
	have := map[string]bool{}
	any := false
	for _, n := range a.now {
		if n.file == "buildups.csv" {
			any = true
			have[strings.ToLower(n.Cells["buildup"])] = true
		}
	}
	if !any {
		a.r.others = append(a.r.others, f)
		return
	}
	for _, r := range a.r.Import.buildUps {
		if !have[strings.ToLower(r["build-up"])] {
			c := a.change("buildups.csv")
			c.Added = append(c.Added, canonicalRow(r))
		}
	}
}

// sources writes sources.csv anew: of what came from models by the files that were given, with what people wrote of them.
func (a *again) sources(ctx context.Context, dir string) []byte {
	had, _ := table.ReadSources(ctx, dir, table.Options{}) // what cannot be read of it is told by every check
	var rows []map[string]string
	models := map[string]bool{}
	for _, b := range a.base {
		models[b.file] = true
	}
	for _, s := range a.r.Import.froms {
		row := maps.Clone(s)
		for _, h := range had.Rows {
			if h.File.Text == row["file"] && h.Drawing.Text == row["drawing"] {
				row["revision"], row["by"] = h.Revision.Text, h.By.Text
			}
		}
		rows = append(rows, row)
	}
	for _, h := range had.Rows {
		if !models[h.Drawing.Text] {
			rows = append(rows, map[string]string{"file": h.File.Text, "drawing": h.Drawing.Text, "revision": h.Revision.Text, "date": h.Date.Text, "by": h.By.Text})
		}
	}
	return sheetOf("sources.csv", rows)
}
