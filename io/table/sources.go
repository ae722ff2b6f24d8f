package table

import (
	"context"
	"errors"
	"io/fs"
	"path"
	"reflect"
	"slices"
	"strings"

	"voidline/void"
	"voidline/void/cell"
)

// SourceRow is a row of sources.csv: which drawing a table of the project was taken from. All but the file
// may be blank.
type SourceRow struct {
	At       void.At   `csv:"-"` // File is 0: there is one such table
	File     cell.Word `csv:"file" says:"file name of the table" like:"ductwork.csv"`
	Drawing  cell.Word `csv:"drawing" says:"number of the drawing" like:"M-101"`
	Revision cell.Word `csv:"revision" says:"its revision" like:"C"`
	Date     cell.Word `csv:"date" says:"its date" like:"2026-11-02"`
	By       cell.Word `csv:"by" says:"whose it is" like:"ductwork"`
}

// Sources is what sources.csv says.
type Sources = Beside[SourceRow]

// MappingRow is a row of mapping.csv: what elements of a building model become. Of the rows that fit an element the first counts, and all of them
// before the built-in ones (voidline tables classes).
type MappingRow struct {
	At         void.At   `csv:"-"`
	Class      cell.Word `csv:"class" says:"class of the element, as ISO 16739 writes it; * stands for anything; blank: any" like:"IfcBuildingElementProxy"`
	Predefined cell.Word `csv:"predefinedtype" head:"predefined type" says:"its predefined type; * stands for anything; blank: any" like:"CABLELADDERSEGMENT"`
	Name       cell.Word `csv:"name" says:"its name, its type's name or its object type; * stands for anything; blank: any" like:"*basket*"`
	System     cell.Word `csv:"system" says:"name or predefined type of a system that it belongs to; * stands for anything; blank: any" like:"Sprinkler*"`
	Becomes    cell.Word `csv:"becomes" says:"zone, above (a zone only where it reaches over the ceiling), room, ceiling, soffit, opening, cover (insulation of what it is on) or drop; blank: zone where a trade or a kind is given, else not yet decided" like:"zone"`
	Trade      cell.Word `csv:"trade" says:"who fixes it; blank: as its kind" like:"containment"`
	Service    cell.Word `csv:"service" says:"what it carries; blank: as its system says" like:"power"`
	Kind       cell.Word `csv:"kind" says:"what it is (voidline tables kinds); blank: the usual kind of the trade" like:"basket"`
	Elements   cell.Word `csv:"elements" says:"how many elements it took at the last import; it is not read" like:"12"`
	Note       cell.Word `csv:"note" says:"anything worth saying" like:"as agreed with the modeller"`
}

// ModelRow is a row of model.csv: a row of the project's tables as it was imported from a building model.
type ModelRow struct {
	At    void.At   `csv:"-"`
	Table cell.Word `csv:"table" says:"the table that the row stands in" like:"ductwork.csv"`
	Row   cell.Word `csv:"row" says:"its id, or the name of its bay" like:"D-1"`
	GUID  cell.Word `csv:"guid" says:"id of the element in the model; blank: of none alone" like:"1vX7pQ0jT5RwK2bN8sLmYc"`
	Piece cell.Word `csv:"piece" says:"of an element in several rows, which; blank: it is one" like:"2"`
	File  cell.Word `csv:"file" says:"the model's file" like:"ductwork.ifc"`
	Class cell.Word `csv:"class" says:"class of the element" like:"IfcDuctSegment"`
	Name  cell.Word `csv:"name" says:"its name there" like:"D-1"`
	Cells cell.Word `csv:"cells" says:"the row's cells as they were imported: what the next import compares with" like:"x1=1200; y1=500; size=600x300"`
}

var (
	mappings = kind{
		"mapping.csv", reflect.TypeFor[MappingRow](),
		[]need{
			{"class, name or system", [][]string{{"class"}, {"name"}, {"system"}}},
			{"becomes, trade or kind", [][]string{{"becomes"}, {"trade"}, {"kind"}}},
		},
		nil,
		"what elements of a building model become, before the built-in table (voidline tables classes); voidline import writes it",
	}
	models = kind{
		"model.csv", reflect.TypeFor[ModelRow](), column("table", "row", "cells"),
		[]string{"table", "row"},
		"what was imported from building models; voidline import --again compares with it and writes it anew",
	}
)

// isBeside reports whether a name, as plain writes it, is that of a table that is kept beside those of the project.
func isBeside(base string) bool {
	return base == "register" || base == "sources" || base == "mapping" || base == "model"
}

// Beside is a table that is kept beside those of the project.
type Beside[T any] struct {
	Name     string // of the file as it is called; "" where there is none
	Rows     []T
	Problems []void.Problem // what is wrong with it; rows with a problem are left out
	Warnings []void.Problem
}

// ReadMapping reads mapping.csv of a project folder as Read reads the other tables.
func ReadMapping(ctx context.Context, fsys fs.FS) (Beside[MappingRow], error) {
	return readBeside[MappingRow](ctx, fsys, "mapping", &mappings)
}

// ReadModelRows reads model.csv of a project folder as Read reads the other tables.
func ReadModelRows(ctx context.Context, fsys fs.FS) (Beside[ModelRow], error) {
	return readBeside[ModelRow](ctx, fsys, "model", &models)
}

// ReadSources reads sources.csv of a project folder as Read reads the other tables (opt.Zone is not used). A
// folder without one gives Sources without a name. The error is as Read's.
func ReadSources(ctx context.Context, dir string, opt Options) (Sources, error) {
	fsys := opt.FS
	if fsys == nil {
		fsys, _ = reopened(dir)
	}
	return readBeside[SourceRow](ctx, fsys, "sources", &sources)
}

func readBeside[T any](ctx context.Context, fsys fs.FS, stem string, k *kind) (out Beside[T], err error) {
	entries, err := fs.ReadDir(fsys, ".")
	if err != nil {
		return out, plainError(err)
	}
	for _, e := range entries {
		name := e.Name()
		ext := path.Ext(name)
		if strings.EqualFold(ext, ".csv") && plain(strings.TrimSuffix(name, ext)) == stem && !e.IsDir() && !strings.HasPrefix(name, ".") && !strings.HasPrefix(name, "~$") {
			if out.Name == "" || name == k.file {
				out.Name = name // called exactly so before others
			}
		}
	}
	if out.Name == "" {
		return out, nil
	}
	s := &sheet{name: out.Name, kind: k}
	err = s.open(ctx, fsys)
	if err == nil {
		defer s.close()
		err = collect(ctx, s, &out.Rows, nil, nil)
	}
	if ctx.Err() != nil {
		return out, ctx.Err()
	}
	var p void.Problem
	if errors.As(err, &p) {
		s.told.add(p)
	} else if err != nil {
		return out, err
	}
	s.end()
	out.Problems, out.Warnings = slices.Clone(s.told.all(out.Name)), slices.Clone(s.warned.all(out.Name))
	return out, void.Problems(out.Problems).Err()
}
