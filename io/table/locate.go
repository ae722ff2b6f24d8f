package table

import (
	"context"
	"io/fs"
	"os"
	"path"
	"slices"
	"strings"

	"voidline/void"
)

// Locate fills in where in its line the cell of a problem stands, for problems that were found after
// reading: p.Column, and p.Line where the cell begins on a later line of its row. It reads the file again as
// far as the row. p comes back unchanged where it has a column already, names no cell, or the file
// has no such cell (any more).
func Locate(dir string, p void.Problem) void.Problem {
	ps := []void.Problem{p}
	locate(os.DirFS(dir), ps)
	return ps[0]
}

// locate is Locate for problems of one file, which come in the order of its lines. It reads the file once.
func locate(fsys fs.FS, ps []void.Problem) {
	wanting := func(p *void.Problem) bool { return p.File != "" && p.Line > 0 && p.Column == 0 && p.Cell != "" }
	first := slices.IndexFunc(ps, func(p void.Problem) bool { return wanting(&p) })
	if first < 0 {
		return
	}
	name := ps[first].File
	s := &sheet{name: name, kind: kindOf(plain(strings.TrimSuffix(name, path.Ext(name))))}
	if s.open(context.Background(), fsys) != nil {
		return
	}
	defer s.close()
	var cells []string // of the row that was read last
	line := 0          // where it begins
	for i := range ps {
		p := &ps[i]
		if !wanting(p) {
			continue
		}
		if p.Line > line {
			if s.rec.seek(int32(p.Line)) != nil {
				return
			}
			var bad *void.Problem
			var err error
			if cells, bad, err = s.rec.record(); err != nil {
				return
			} else if bad != nil {
				cells = nil
			}
			line = int(s.rec.at().line)
		}
		if p.Line != line {
			continue
		}
		want, _ := match(s.fields, p.Cell)
		for _, c := range s.cols {
			if want >= 0 && c.name == s.fields[want].name && c.at < len(cells) {
				l, column := s.rec.cell(c.at)
				p.Line, p.Column = int(l), int(column)
			}
		}
	}
}
