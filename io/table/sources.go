package table

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path"
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
type Sources struct {
	Name     string // of the file as it is called; "" where there is none
	Rows     []SourceRow
	Problems []void.Problem // what is wrong with it; rows with a problem are left out
	Warnings []void.Problem
}

// ReadSources reads sources.csv of a project folder as Read reads the other tables (opt.Zone is not used). A
// folder without one gives Sources without a name. The error is as Read's.
func ReadSources(ctx context.Context, dir string, opt Options) (Sources, error) {
	fsys := opt.FS
	if fsys == nil {
		fsys = os.DirFS(dir)
	}
	var out Sources
	entries, err := fs.ReadDir(fsys, ".")
	if err != nil {
		return out, plainError(err)
	}
	for _, e := range entries {
		name := e.Name()
		ext := path.Ext(name)
		if strings.EqualFold(ext, ".csv") && plain(strings.TrimSuffix(name, ext)) == "sources" && !e.IsDir() && !strings.HasPrefix(name, ".") && !strings.HasPrefix(name, "~$") {
			if out.Name == "" || name == "sources.csv" {
				out.Name = name // called exactly so before others
			}
		}
	}
	if out.Name == "" {
		return out, nil
	}
	s := &sheet{name: out.Name, kind: &sources}
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
