package table

import (
	"context"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"voidline/io/workbook"
	"voidline/void"
)

// A project is a folder, or a workbook with a sheet for each table. Which of the two a name is, is said here and nowhere else.

// IsBook reports whether a project is a workbook: it is read, and never written.
func IsBook(dir string) bool {
	info, err := os.Stat(dir)
	return err == nil && info.Mode().IsRegular() && workbook.Is(dir)
}

// Home returns the folder in which what goes with a project stands, such as its register: the project's own, or of a workbook the one that
// it lies in.
func Home(dir string) string {
	if IsBook(dir) {
		return filepath.Dir(dir)
	}
	return dir
}

// folderOf returns what is read of a project, and the workbook where it is one.
func folderOf(ctx context.Context, dir string) (fs.FS, *workbook.Book, error) {
	info, err := os.Stat(dir)
	switch {
	case err != nil:
		return nil, nil, fmt.Errorf("%s: %w", dir, plainError(err))
	case info.IsDir():
		return os.DirFS(dir), nil, nil
	case IsBook(dir):
		b, err := workbook.Read(ctx, dir)
		return b, b, err
	}
	return nil, nil, fmt.Errorf("%s is a file, not a project folder or a workbook (.xlsx)", dir)
}

// reopened is folderOf for what was read before; a folder that cannot be read any more has nothing in it.
func reopened(dir string) (fs.FS, *workbook.Book) {
	fsys, b, err := folderOf(context.Background(), dir)
	if err != nil {
		return noFolder{}, nil
	}
	return fsys, b
}

type noFolder struct{}

func (noFolder) Open(name string) (fs.File, error) {
	return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrNotExist}
}

// twice returns a problem for each table beside a workbook that the workbook has too.
func twice(dir string, l *listing) (out []void.Problem) {
	entries, err := os.ReadDir(filepath.Dir(dir))
	if err != nil {
		return nil
	}
	for _, e := range entries {
		if e.IsDir() || !Reads(e.Name()) {
			continue
		}
		base := plain(strings.TrimSuffix(e.Name(), filepath.Ext(e.Name())))
		k := kindOf(base)
		for _, f := range l.files {
			if f.kind == k && !f.stray && (k != &zones || plain(f.stem) == base) {
				out = append(out, void.Problem{
					File: e.Name(), What: "the table stands in two forms: here and as sheet " + strings.TrimSuffix(f.name, ".csv") + " of " + filepath.Base(dir),
					Want: "one of the two", Hint: "take one away, or put the workbook into a folder of its own",
				})
				break
			}
		}
	}
	return out
}

// placed puts the places in a workbook into problems.
func placed(b *workbook.Book, ps []void.Problem) {
	for i := range ps {
		if p := &ps[i]; b != nil && p.Place == "" && p.More == 0 {
			p.Place = b.Place(p.File, p.Line, p.Column)
		}
	}
}

// PlaceOf returns where a cell of a row is in a workbook, such as trays!C7; "" in a folder.
func PlaceOf(dir string, change CellChange) string {
	ps := Placed(dir, []void.Problem{{File: change.File, Line: change.Line, Cell: change.Column}})
	return ps[0].Place
}
