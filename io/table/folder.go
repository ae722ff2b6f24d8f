package table

import (
	"context"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"

	"voidline/io/workbook"
	"voidline/void"
	"voidline/void/vocabulary"
)

// found is a file of the folder that is to be read.
type found struct {
	name string
	stem string // the name without .csv
	kind *kind
	// stray: the file cannot be told for what it is, by its name. Its rows are counted, no more.
	stray    bool
	problems []void.Problem
}

// listing is what stands in the folder.
type listing struct {
	files              []found
	problems, warnings []void.Problem
}

// reserved are the names, as plain writes them, under which answers and records of a project are kept
// beside its tables.
var reserved = map[string]string{
	"findings":  "an answer of an earlier check",
	"report":    "an answer of an earlier check",
	"maynotfit": "an answer of an earlier check",
	"register":  "the register of findings, no table of zones",
	"sources":   "a list of sources, no table of zones",
	"mapping":   "what elements of a building model become, no table of zones",
	"model":     "what was imported from building models, no table of zones",
}

// list sorts the names of a folder into tables and what is left aside.
func list(fsys fs.FS) (listing, error) {
	entries, err := fs.ReadDir(fsys, ".")
	if err != nil {
		return listing{}, err
	}
	slices.SortFunc(entries, func(a, b fs.DirEntry) int { return strings.Compare(a.Name(), b.Name()) })
	var l listing
	var near string // a file that may be meant for bays.csv
	var book string // a workbook that stands in the folder
	of := map[*kind][]found{}
	trades := 0
	for _, e := range entries {
		name := e.Name()
		ext := path.Ext(name)
		stem := strings.TrimSuffix(name, ext)
		if strings.HasPrefix(name, ".") || strings.HasPrefix(name, "~$") {
			continue // what systems and open spreadsheets leave behind
		}
		switch strings.ToLower(ext) {
		case ".csv":
		case ".xlsx", ".xls", ".xlsm", ".xlsb", ".ods", ".numbers", ".tsv":
			if !e.IsDir() {
				if workbook.Is(name) {
					book = name
				}
				l.warnings = append(l.warnings, void.Problem{File: name, What: "not read", Hint: asideHint(name)})
			}
			continue
		default:
			continue
		}
		f := found{name: name, stem: strings.TrimSpace(stem)}
		base := plain(stem)
		if isBeside(base) {
			continue // ours too, and read by their own rooms
		}
		if what, ok := reserved[base]; ok && !e.IsDir() {
			l.warnings = append(l.warnings, void.Problem{File: name, What: "not read: the name stands for " + what, Hint: "rename it if it is a table of a trade"})
			continue
		}
		if f.kind = kindOf(base); f.kind != &zones {
		} else if meant := oneOff(base); meant != nil {
			f.kind, f.stray = meant, true
			if meant == &bays {
				near = name
			}
			f.problems = []void.Problem{{What: "not the name of a table", Hint: fmt.Sprintf("did you mean %s? A trade's table wants a name that is not so near", meant.file)}}
		} else {
			trades++
		}
		of[f.kind] = append(of[f.kind], f)
	}
	for _, k := range fixed {
		// The file that is called exactly so is the table; others stand for it in the order of their names.
		slices.SortStableFunc(of[k], func(a, b found) int { return rank(a, k) - rank(b, k) })
		for i, f := range of[k] {
			if i > 0 && !f.stray {
				f.stray = true
				f.problems = []void.Problem{{What: "a second table of its kind", Hint: of[k][0].name + " is read"}}
			}
			if f.stray && k == &bays && i == 0 {
				f.problems = nil // told as missing
			}
			l.files = append(l.files, f)
		}
	}
	l.files = append(l.files, of[&zones]...)
	if !slices.ContainsFunc(of[&bays], func(f found) bool { return !f.stray }) {
		p := void.Problem{What: "bays.csv is missing", Want: "a table with a row for each bay"}
		if near != "" {
			p.Hint = fmt.Sprintf("is %s meant? Rename it", near)
		} else if book != "" {
			p.Hint = fmt.Sprintf("is workbook %s meant? Give it in place of the folder", book)
		}
		l.problems = append(l.problems, p)
	}
	if trades == 0 {
		l.problems = append(l.problems, void.Problem{What: "no table of zones", Want: "a CSV file for each trade, called by its name, such as ductwork.csv"})
	}
	return l, nil
}

// asideHint says what to do with a spreadsheet file in a folder of tables.
func asideHint(name string) string {
	if workbook.Is(name) {
		return "save its sheets as CSV, or give the workbook itself in place of the folder"
	}
	return "save it as CSV"
}

// Separator returns what stands between the cells of a project's bays.csv, so that what is written for the same people opens
// in the same spreadsheet; a comma where that cannot be told.
func Separator(dir string) rune {
	fsys, book := reopened(dir)
	if book != nil {
		return separators[0]
	}
	l, err := list(fsys)
	if err != nil {
		return separators[0]
	}
	for _, f := range l.files {
		if f.kind != &bays || f.stray {
			continue
		}
		s := &sheet{name: f.name, kind: f.kind}
		if s.open(context.Background(), fsys) == nil {
			defer s.close()
			return s.rec.sep
		}
	}
	return separators[0]
}

// kindOf returns the kind of table that a file is called after, without .csv and as plain writes it.
func kindOf(base string) *kind {
	for _, k := range fixed {
		if plain(strings.TrimSuffix(k.file, ".csv")) == base {
			return k
		}
	}
	return &zones
}

// rank orders the files that may be one table: called so, called so but for case and hyphens, nearly so.
func rank(f found, k *kind) int {
	switch {
	case f.name == k.file:
		return 0
	case !f.stray:
		return 1
	}
	return 2
}

// oneOff returns the fixed table whose name is one letter (added, left out, changed or changed about with
// its neighbour) away from base, nil where there is none or base is the word of a trade or service.
func oneOff(base string) *kind {
	if _, ok := vocabulary.TradeWord(base); ok {
		return nil
	} else if _, ok := vocabulary.ServiceWord(base); ok {
		return nil // gas is one letter from gaps
	}
	for _, k := range fixed {
		name := strings.TrimSuffix(k.file, ".csv")
		a, b := []rune(base), []rune(name)
		if len(a) > len(b) {
			a, b = b, a
		}
		i := 0
		for i < len(a) && a[i] == b[i] {
			i++
		}
		switch restA, restB := a[i:], b[i:]; {
		case len(restA)+1 == len(restB):
			if slices.Equal(restA, restB[1:]) {
				return k
			}
		case len(restA) != len(restB) || len(restA) == 0:
		case slices.Equal(restA[1:], restB[1:]),
			len(restA) > 1 && restA[0] == restB[1] && restA[1] == restB[0] && slices.Equal(restA[2:], restB[2:]):
			return k
		}
	}
	return nil
}
