package table

import (
	"context"
	"os"
	"path"
	"slices"
	"strings"

	"voidline/void"
)

// Open reads a project folder and resolves it: a void.Project ready to be checked. Where something is wrong with the
// tables, the error is void.Problems, the project's own: it is there all the same, without the rows that have them, for
// whoever wants an answer of what can be read (errors.As tells). With any other error, which is Read's, there is no
// project. Problems come as they were found; Placed puts them in order, with their columns.
func Open(ctx context.Context, dir string, opt Options) (*void.Project, error) {
	p := void.New("", nil)
	opt.into = p
	t, err := readTables(ctx, dir, opt)
	if err != nil {
		return nil, err
	}
	p.Name, p.Files, p.Sheets = t.Name, t.Files, t.Sheets
	p.Problems = append(t.Problems, p.Problems...)
	p.Warnings = append(t.Warnings, p.Warnings...)
	p.RowsMissing += t.RowsMissing
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	for _, f := range t.Unread {
		p.Told = append(p.Told, void.Note{Text: "rows of " + f + " could not be counted: more are missing than the number says"})
	}
	for _, pr := range t.Problems {
		p.Broken(tableOf(pr.File))
	}
	for _, name := range t.LayersLost {
		p.NotWhole("buildups", name)
	}
	for _, name := range t.PartsLost {
		p.NotWhole("hangers", name)
	}
	if p.BayRows() == 0 {
		p.Broken("bays") // told already: missing, empty or without a row
	}
	p.Resolve()
	return p, void.Problems(p.Problems).Err()
}

// Placed returns problems with their columns looked up in the folder, by file, line and column: of each file the first
// void.MostOfFile, and how many more there are; those of survey coordinates without an origin as one for each file.
func Placed(dir string, ps []void.Problem) []void.Problem {
	ps = void.Bounded(void.Gathered(ps))
	fsys, book := reopened(dir)
	for from := 0; from < len(ps); {
		to := from + 1
		for to < len(ps) && ps[to].File == ps[from].File {
			to++
		}
		locate(fsys, ps[from:to])
		from = to
	}
	placed(book, ps)
	return void.Bounded(ps)
}

// tableOf returns which table a file is: "levels", "bays", … or "zones"; "" for the folder
// itself.
func tableOf(file string) string {
	if file == "" {
		return "" // the folder itself
	}
	base := plain(strings.TrimSuffix(file, path.Ext(file)))
	k := kindOf(base)
	if meant := oneOff(base); k == &zones && meant != nil {
		k = meant
	}
	if k == &zones {
		return "zones"
	}
	return strings.TrimSuffix(k.file, ".csv")
}

// Reads reports whether a file of this name in a project folder is read as one of its tables.
func Reads(name string) bool {
	ext := path.Ext(name)
	_, own := reserved[plain(strings.TrimSuffix(name, ext))]
	return strings.EqualFold(ext, ".csv") && !own && !strings.HasPrefix(name, ".") && !strings.HasPrefix(name, "~$")
}

// Kept reports whether a file of this name in a project folder is one that people keep there: a table, the register, the list of
// sources or what is kept of a model, but no answer of an earlier check.
func Kept(name string) bool {
	return Reads(name) || strings.EqualFold(path.Ext(name), ".csv") && isBeside(plain(strings.TrimSuffix(name, path.Ext(name))))
}

// IsRegister reports whether a file of this name is a project's register.
func IsRegister(name string) bool {
	ext := path.Ext(name)
	return strings.EqualFold(ext, ".csv") && plain(strings.TrimSuffix(name, ext)) == "register"
}

// InProject reports whether a folder is that of a project: there are bays in it.
func InProject(dir string) bool {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return false
	}
	return slices.ContainsFunc(entries, func(e os.DirEntry) bool { return Reads(e.Name()) && tableOf(e.Name()) == "bays" })
}
