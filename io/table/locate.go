package table

import (
	"context"
	"io/fs"
	"path"
	"slices"
	"strings"

	"voidline/void"
)

// locate fills in where in their lines the cells of problems stand that were found after reading: Column, and Line where the cell
// begins on a later line of its row. They are of one file, in the order of its lines, which is read once more as far as they
// go. A problem stays as it is where it has a column already, names no cell, or the file has no such cell (any more).
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
