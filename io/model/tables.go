package model

import (
	"bytes"
	"cmp"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/golang/geo/r2"

	"voidline/io/csvcell"
	"voidline/io/table"
	"voidline/io/whole"
	"voidline/void"
	"voidline/void/vocabulary"
)

// File is a table as it is written.
type File = whole.File

// Import is the tables that models were made into.
type Import struct {
	Files    []whole.File // in the order in which one would read them
	Rows     []*Row       // of bays, trades and openings, table by table
	Summary  Summary
	Problems []void.Problem // what could not be read of the models, with file and line

	sources  []string            // names of the files that were read
	buildUps []map[string]string // rows of buildups.csv
	froms    []map[string]string // rows of sources.csv
	lattice  float64
}

// importTable is what model.csv has for table in the row that keeps how models were imported.
const importTable = "import"

// The columns of the tables that are written, in order.
var columns = map[string][]string{
	"levels.csv":   {"storey", "ffl"},
	"grid.csv":     {"axis", "label", "position"},
	"origin.csv":   {"x", "y", "turn", "note"},
	"buildups.csv": {"build-up", "layer", "thickness", "lifts out"},
	"bays.csv":     {"bay", "storey", "x1", "y1", "x2", "y2", "soffit", "ceiling", "build-up", "guid", "ceiling guid", "soffit guid", "note"},
	"openings.csv": {"in", "at", "x", "y", "size", "level", "guid", "note"},
	"sources.csv":  {"file", "drawing", "revision", "date", "by"},
	"mapping.csv":  {"class", "predefined type", "name", "system", "becomes", "trade", "service", "kind", "elements", "note"},
	"model.csv":    {"table", "row", "guid", "piece", "file", "class", "name", "cells"},
	"":             {"id", "service", "kind", "storey", "x1", "y1", "x2", "y2", "size", "insulation", "level", "fall", "run", "joins", "recessed", "guid", "note"},
}

// always are columns that are written though all their cells are blank.
var always = []string{"id", "bay", "storey", "x1", "y1", "x2", "y2", "size", "level", "soffit", "ceiling", "file", "drawing", "in", "at", "ffl", "x", "y", "axis", "label", "position", "class", "becomes", "trade", "kind", "name", "cells", "table", "row", "layer", "thickness", "build-up", "guid", "service"}

func columnsOf(name string) []string {
	if c, ok := columns[name]; ok {
		return c
	}
	return columns[""]
}

// sheetOf writes a table. Columns that nobody needs and nothing is in are left out.
func sheetOf(name string, rows []map[string]string) []byte {
	cols := slices.DeleteFunc(slices.Clone(columnsOf(name)), func(c string) bool {
		return !slices.Contains(always, c) && !slices.ContainsFunc(rows, func(r map[string]string) bool { return r[c] != "" })
	})
	var out bytes.Buffer
	line := func(cell func(c string) string) {
		for i, c := range cols {
			if i > 0 {
				out.WriteByte(',')
			}
			out.WriteString(csvcell.Quote(clean(cell(c)), ','))
		}
		out.WriteByte('\n')
	}
	line(func(c string) string { return c })
	for _, r := range rows {
		line(func(c string) string { return csvcell.Defuse(r[c]) })
	}
	return out.Bytes()
}

// clean takes line ends and signs that nobody sees out of a text: a row is a line.
func clean(s string) string {
	return strings.TrimSpace(strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f || r == 0x2028 || r == 0x2029 {
			return ' '
		}
		return r
	}, s))
}

// tables writes the tables, reads them as a check would, and leaves out, and tells, what it would not take.
func (b *building) tables(ctx context.Context) (*Import, error) {
	im := &Import{lattice: b.opt.Lattice}
	for i := range b.files {
		im.sources = append(im.sources, b.files[i].name)
	}
	im.Rows = b.rows()
	for range 6 {
		im.Files = b.written(im, im.Rows)
		p, err := table.Open(ctx, "", table.Options{FS: whole.Folder(im.Files)})
		if p == nil && err != nil {
			return nil, err
		}
		var bad void.Problems
		if !errors.As(err, &bad) {
			break
		}
		gone := map[*Row]bool{}
		for _, pr := range bad {
			if r := im.rowAt(pr.File, pr.Line); r != nil && !gone[r] {
				gone[r] = true
				what := strings.TrimSuffix(r.Table, ".csv") + " " + r.ID
				if r.GUID != "" {
					what += " (" + strings.TrimPrefix(r.Name+", "+r.GUID, ", ") + ")"
				}
				b.told.add("left out", "%s is left out: %s", what, pr.What)
			} else if r == nil && pr.More == 0 {
				b.told.first("%s", pr.String())
			}
		}
		if len(gone) == 0 {
			break
		}
		if b.leave(im, gone); len(b.bays) == 0 {
			return nil, void.Problem{File: b.files[0].name, What: "none of its bays can be taken: " + b.told.lines["left out"][0]}
		}
	}
	b.summary(im)
	return im, nil
}

// leave leaves out rows that the tables do not take.
func (b *building) leave(im *Import, gone map[*Row]bool) {
	im.Rows = slices.DeleteFunc(im.Rows, func(r *Row) bool { return gone[r] })
	b.bays = slices.DeleteFunc(b.bays, func(v bay) bool { return gone[v.row] })
	left := map[*thing]bool{}
	for _, r := range im.Rows {
		left[r.t] = true
	}
	for r := range gone {
		if r.t != nil && !left[r.t] {
			r.t.out("the tables do not take it")
		}
	}
}

// rowAt returns the row that stands in a line of a table.
func (im *Import) rowAt(file string, line int) *Row {
	n := line - 2
	for _, r := range im.Rows {
		if r.Table == file {
			if n == 0 {
				return r
			}
			n--
		}
	}
	return nil
}

// rows returns all rows, table by table: bays, then the trades' by name, then openings.
func (b *building) rows() []*Row {
	var levels, bays, zones, openings []*Row
	for _, s := range b.storeys {
		levels = append(levels, &Row{Table: "levels.csv", ID: s.name, GUID: s.guid, File: s.file, Class: "IfcBuildingStorey", Name: s.name, Cells: map[string]string{"storey": s.name, "ffl": mm(s.z)}})
	}
	for _, a := range b.axes {
		levels = append(levels, &Row{Table: "grid.csv", ID: a.axis + " " + a.label, Class: "IfcGridAxis", Name: a.label, Cells: map[string]string{"axis": a.axis, "label": a.label, "position": mm(a.at)}})
	}
	for i := range b.bays {
		v := &b.bays[i]
		ffl := b.storeys[v.storey].z
		r := &Row{Table: "bays.csv", ID: v.name, Cells: map[string]string{
			"bay": v.name, "x1": mm(v.r.X.Lo), "y1": mm(v.r.Y.Lo), "x2": mm(v.r.X.Hi), "y2": mm(v.r.Y.Hi),
			"soffit": "FFL" + signed(v.soffit-ffl), "ceiling": "none", "note": v.note,
		}}
		if v.of != nil {
			r.t, r.File, r.Class, r.Name = v.of, b.files[v.of.file].name, vocabulary.ClassName(v.of.el.Class), v.of.el.Name
			r.GUID, r.Cells["guid"], r.Piece = v.of.el.GUID, v.of.el.GUID, v.piece+1
		}
		r.Cells["storey"] = b.storeys[v.storey].name
		if v.over != nil {
			r.Cells["ceiling"] = "FFL" + signed(v.face-ffl)
			r.Cells["build-up"] = buildUp(v.layers)
			r.Cells["ceiling guid"] = v.over.el.GUID
		}
		if v.slab != nil {
			r.Cells["soffit guid"] = v.slab.el.GUID
		}
		v.row = r
		bays = append(bays, r)
	}
	for _, t := range b.things {
		for _, r := range t.rows {
			if r.Table == "openings.csv" {
				openings = append(openings, r)
			} else {
				zones = append(zones, r)
			}
		}
	}
	slices.SortStableFunc(zones, func(x, y *Row) int {
		return cmp.Or(cmp.Compare(x.Table, y.Table), void.Natural(x.Cells["storey"], y.Cells["storey"]), cmp.Compare(x.Cells["kind"], y.Cells["kind"]), void.Natural(x.ID, y.ID))
	})
	slices.SortStableFunc(openings, func(x, y *Row) int {
		return cmp.Or(void.Natural(x.ID, y.ID), cmp.Compare(x.Cells["at"], y.Cells["at"]), cmp.Compare(x.GUID, y.GUID))
	})
	return slices.Concat(levels, bays, zones, openings)
}

// buildUp names layers by what they are.
func buildUp(ls []layer) string {
	if len(ls) == 0 {
		return ""
	}
	var parts []string
	for _, l := range ls {
		parts = append(parts, l.name+" "+mm(l.mm))
	}
	return strings.Join(parts, " + ")
}

// written writes all tables of these rows.
func (b *building) written(im *Import, rows []*Row) []whole.File {
	var out []whole.File
	add := func(name string, rows []map[string]string) {
		out = append(out, whole.File{Name: name, Data: sheetOf(name, rows)})
	}
	var list []map[string]string
	if b.origin != (r2.Point{}) || b.turn != 0 {
		o := map[string]string{"x": mm(b.origin.X), "y": mm(b.origin.Y), "note": "as the model"}
		if b.turn != 0 {
			o["turn"] = degrees(math.Mod(b.turn+360, 360))
		}
		add("origin.csv", []map[string]string{o})
	}
	list = nil
	seen := map[string]bool{}
	for i := range b.bays {
		name := buildUp(b.bays[i].layers)
		if name == "" || seen[name] {
			continue
		}
		seen[name] = true
		for _, l := range b.bays[i].layers {
			lifts := ""
			if strings.Contains(strings.ToLower(l.name), "tile") {
				lifts = "yes"
			}
			list = append(list, map[string]string{"build-up": name, "layer": l.name, "thickness": mm(l.mm), "lifts out": lifts})
		}
	}
	if im.buildUps = list; len(list) > 0 {
		add("buildups.csv", list)
	}
	type from struct{ table, file string }
	source := map[from]bool{}
	for len(rows) > 0 {
		n := 1
		for n < len(rows) && rows[n].Table == rows[0].Table {
			n++
		}
		list = nil
		for _, r := range rows[:n] {
			list = append(list, r.Cells)
			if r.File != "" {
				source[from{r.Table, r.File}] = true
			}
		}
		add(rows[0].Table, list)
		rows = rows[n:]
	}
	var froms []from
	for f := range source {
		froms = append(froms, f)
	}
	slices.SortFunc(froms, func(x, y from) int { return cmp.Or(cmp.Compare(x.table, y.table), cmp.Compare(x.file, y.file)) })
	list = nil
	for _, f := range froms {
		day := ""
		for i := range b.files {
			if b.files[i].name == f.file {
				day = b.files[i].m.Day
			}
		}
		list = append(list, map[string]string{"file": f.table, "drawing": f.file, "date": day})
	}
	im.froms = list
	add("sources.csv", list)
	add("mapping.csv", b.mappingRows())
	return out
}

// modelTable writes model.csv: each row as it was imported.
func modelTable(rows []*Row, lattice float64) whole.File {
	var list []map[string]string
	if lattice > 0 {
		list = append(list, map[string]string{"table": importTable, "row": "how", "cells": "lattice=" + mm(lattice)})
	}
	for _, r := range rows {
		m := map[string]string{"table": r.Table, "row": r.ID, "guid": r.GUID, "file": r.File, "class": r.Class, "name": r.Name, "cells": packed(r)}
		if r.Piece > 0 {
			m["piece"] = strconv.Itoa(r.Piece)
		}
		list = append(list, m)
	}
	return whole.File{Name: "model.csv", Data: sheetOf("model.csv", list)}
}

// packed writes the cells of a row as one text.
func packed(r *Row) string {
	var parts []string
	for _, c := range columnsOf(r.Table) {
		if v := r.Cells[c]; v != "" {
			parts = append(parts, c+"="+strings.ReplaceAll(clean(v), "|", "¦"))
		}
	}
	return strings.Join(parts, " | ")
}

// unpacked reads the cells of a row that packed wrote.
func unpacked(text string) map[string]string {
	out := map[string]string{}
	for _, part := range strings.Split(text, " | ") {
		if c, v, ok := strings.Cut(part, "="); ok {
			out[canonical(c)] = v
		}
	}
	return out
}

// mappingRows are the user's lines as they were, with how many elements each took, and behind them what no line fits.
func (b *building) mappingRows() []map[string]string {
	var out []map[string]string
	took := map[int]int{}
	for _, l := range b.mapping.lines {
		if l.user {
			took[l.at] = l.took
		}
	}
	have := map[OpenLine]bool{}
	for _, r := range b.userRow {
		m := map[string]string{
			"class": r.Class.Text, "predefined type": r.Predefined.Text, "name": r.Name.Text, "system": r.System.Text, "becomes": r.Becomes.Text,
			"trade": r.Trade.Text, "service": r.Service.Text, "kind": r.Kind.Text, "note": r.Note.Text,
		}
		n, decided := took[int(r.At.Line)]
		if !decided {
			continue // written anew below, where it still fits something
		}
		m["elements"] = strconv.Itoa(n)
		if m["note"] == notMapped {
			delete(m, "note") // it is now
		}
		have[OpenLine{r.Class.Text, r.Predefined.Text, r.Name.Text, 0}] = true
		out = append(out, m)
	}
	im := Import{}
	told := b.told
	b.summary(&im)
	b.told = told
	for _, o := range im.Summary.Open {
		n := o.Count
		if o.Count = 0; have[o] {
			continue
		}
		out = append(out, map[string]string{"class": o.Class, "predefined type": o.Predefined, "name": o.Name, "elements": strconv.Itoa(n), "note": notMapped})
	}
	return out
}

// Write writes the tables of an import into a new folder, all of them or none.
func (im *Import) Write(dir string) error {
	set, err := whole.Stage(dir, append(slices.Clone(im.Files), modelTable(im.Rows, im.lattice)))
	if err != nil {
		return err
	}
	if err := set.Commit(); err != nil {
		return fmt.Errorf("%w", err)
	}
	return nil
}

// Project opens the tables as a check does, without writing them.
func (im *Import) Project(ctx context.Context) (*void.Project, error) {
	return table.Open(ctx, "", table.Options{FS: whole.Folder(im.Files)})
}

// Folder returns the tables as a folder that can be read.
func (im *Import) Folder() fs.FS { return whole.Folder(im.Files) }
