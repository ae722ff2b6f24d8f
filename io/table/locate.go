package table

import (
	"context"
	"io/fs"
	"os"
	"path"
	"strings"

	"voidline/void"
)

// Locate fills in where in its line the cell of a problem stands, for problems that were found after
// reading: p.Column, and p.Line where the cell begins on a later line of its row. It reads the file again as
// far as the row. p comes back unchanged where it has a column already, names no cell, or the file
// has no such cell (any more).
func Locate(dir string, p void.Problem) void.Problem { return locate(os.DirFS(dir), p) }

func locate(fsys fs.FS, p void.Problem) void.Problem {
	if p.File == "" || p.Line <= 0 || p.Column > 0 || p.Cell == "" {
		return p
	}
	s := &sheet{name: p.File, kind: kindOf(plain(strings.TrimSuffix(p.File, path.Ext(p.File))))}
	if s.open(context.Background(), fsys) != nil {
		return p
	}
	defer s.close()
	want, _ := match(s.fields, p.Cell)
	if want < 0 || s.rec.seek(int32(p.Line)) != nil {
		return p
	}
	cells, bad, err := s.rec.record()
	if bad != nil || err != nil || int(s.rec.at().line) != p.Line {
		return p
	}
	for _, c := range s.cols {
		if c.name == s.fields[want].name && c.at < len(cells) {
			line, column := s.rec.cell(c.at)
			p.Line, p.Column = int(line), int(column)
		}
	}
	return p
}
