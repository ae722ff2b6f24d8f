// Package sources reads sources.csv, the table that says which drawing, in which revision, of which date and
// by whom each table of a project was taken from. Its columns are file, drawing, revision, date, by; all but
// the file may be blank, and what is blank is told.
package sources

import (
	"context"
	"errors"
	"fmt"
	"path"
	"strings"
	"unicode"

	"voidline/io/table"
	"voidline/void"
	"voidline/void/vocabulary"
)

// Source is where a table of the project comes from, as people wrote it; "" is blank.
type Source struct {
	File                        string // the table
	Drawing, Revision, Date, By string
	Line                        int // in sources.csv, from 1; 0 where it has no row for this table
}

// blank lists the columns that are blank, in their order.
func (s Source) blank() []string {
	var b []string
	for _, c := range []struct{ name, text string }{{"drawing", s.Drawing}, {"revision", s.Revision}, {"date", s.Date}, {"by", s.By}} {
		if c.text == "" {
			b = append(b, c.name)
		}
	}
	return b
}

// List is the sources of a project's tables.
type List struct {
	// fileName is what sources.csv is called in the folder, "" where there is none.
	Name string
	// Sources has a source for each of the tables asked for, in their order; several where several rows
	// name one table.
	Sources []Source
	// Told is what is wrong or doubtful with the table, by line.
	Told []void.Problem
}

// Options says how a folder is read; see table.Options.
type Options = table.Options

// Read reads the sources of the tables called files (void.Project.Files). A file is matched by its name, without
// regard to case, blanks, hyphens and underscores, with or without .csv. Rows that name none of the tables
// are told, and so is what is wrong with the table: nothing hangs on it. The error is for what keeps it from being read.
func Read(ctx context.Context, dir string, files []string, opt Options) (List, error) {
	t, err := table.ReadSources(ctx, dir, opt)
	var bad void.Problems
	if err != nil && !errors.As(err, &bad) {
		return List{}, err
	}
	l := List{Name: t.Name, Told: append(t.Problems, t.Warnings...)}
	of := map[string][]Source{}
	known := map[string]bool{}
	for _, f := range files {
		known[plain(f)] = true
	}
	for _, r := range t.Rows {
		k := plain(r.File.Text)
		if !known[k] {
			p := void.Problem{
				File: t.Name, Line: int(r.At.Line), Cell: "file",
				What: fmt.Sprintf("the project has no table %q", cut(r.File.Text)), Want: "the name of one of its tables",
			}
			if n, ok := vocabulary.Nearest(r.File.Text, files); ok {
				p.Hint = fmt.Sprintf("did you mean %s?", n)
			}
			l.Told = append(l.Told, p)
			continue
		}
		of[k] = append(of[k], Source{
			Drawing: r.Drawing.Text, Revision: r.Revision.Text, Date: r.Date.Text, By: r.By.Text, Line: int(r.At.Line),
		})
	}
	for _, f := range files {
		rows := of[plain(f)]
		if len(rows) == 0 {
			rows = []Source{{}}
		}
		for _, s := range rows {
			s.File = f
			l.Sources = append(l.Sources, s)
		}
	}
	return l, nil
}

// plain writes a file's name as it is compared.
func plain(name string) string {
	name = strings.TrimSpace(name)
	if ext := path.Ext(name); strings.EqualFold(ext, ".csv") {
		name = strings.TrimSuffix(name, ext)
	}
	return strings.Map(func(r rune) rune {
		if unicode.IsSpace(r) || unicode.Is(unicode.Pd, r) || r == '_' {
			return -1
		}
		return unicode.ToLower(r)
	}, name)
}

// cut keeps a name in a message short.
func cut(s string) string {
	if r := []rune(s); len(r) > 60 {
		return string(r[:60]) + "…"
	}
	return s
}
