package main

import (
	"bytes"
	"embed"
	"encoding/csv"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"voidline/io/table"
	"voidline/io/whole"
	"voidline/io/workbook"
	"voidline/reports/words"
	"voidline/void/catalogue"
	"voidline/void/vocabulary"
)

//go:embed starter/*.csv
var starter embed.FS

func newCommand(w *world) *cli.Command {
	return &cli.Command{
		Name:      "new",
		Usage:     "write a small project to start from",
		ArgsUsage: "DIR | BOOK.xlsx",
		Description: "Writes one bay with a beam, a duct, a pipe and a tray as CSV tables into DIR, which is made if it is not\n" +
			"there; or as a workbook, a sheet for each table, with a line that explains each column and lists to choose\n" +
			"from. No file is ever written over.",
		OnUsageError: usageError,
		Action: func(c *cli.Context) error {
			dir, err := folder(c)
			if err != nil {
				return err
			}
			if workbook.Is(dir) {
				return startBook(w, dir)
			}
			return start(w, dir)
		},
	}
}

// start writes the starter project; with one of its files there already it writes nothing.
func start(w *world, dir string) error {
	files, err := fs.Glob(starter, "starter/*.csv")
	if err != nil {
		return err
	}
	if info, err := os.Stat(dir); err == nil && !info.IsDir() {
		return exit{statusUsage, fmt.Errorf("%s is a file, not a folder", dir)}
	}
	var there []string
	for _, f := range files {
		if _, err := os.Lstat(filepath.Join(dir, filepath.Base(f))); err == nil {
			there = append(there, filepath.Base(f))
		} else if !errors.Is(err, fs.ErrNotExist) {
			return err
		}
	}
	if len(there) > 0 {
		return exit{statusUsage, fmt.Errorf("%s has %s already: nothing was written", dir, strings.Join(there, ", "))}
	}
	if err := w.write(w.ctx, func() error {
		if err := os.MkdirAll(dir, 0o755); err != nil {
			return err
		}
		for _, f := range files {
			data, err := starter.ReadFile(f)
			if err != nil {
				return err
			}
			if err := whole.WriteFile(filepath.Join(dir, filepath.Base(f)), data); err != nil {
				return err
			}
		}
		return nil
	}); err != nil {
		return err
	}
	fmt.Fprintf(w.out, "Wrote %d tables to %s. Next: voidline check %s\n", len(files), words.Clean(dir), words.Clean(dir))
	return nil
}

// Sheets of a new workbook, in their order, and the columns that a trade's sheet has besides those that the starter project fills.
var (
	bookSheets   = []string{"bays", "grid", "buildups", "ductwork", "pipework", "tray", "steel"}
	tradeColumns = []string{
		"id", "service", "kind", "bay", "x1", "y1", "x2", "y2", "size", "insulation", "level", "face", "fall", "hanger", "run", "stage", "note",
	}
	chosen = map[string]string{"service": "service", "kind": "kind", "hanger": "hanger", "bay": "bays.bay", "build-up": "buildups.build-up", "stage": "stage", "face": "face"}
)

// startBook writes the starter project as a workbook.
func startBook(w *world, name string) error {
	if _, err := os.Lstat(name); err == nil {
		return exit{statusUsage, fmt.Errorf("%s is there already: nothing was written", name)}
	} else if !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	sheets, err := starterSheets()
	if err != nil {
		return err
	}
	var hangers []string
	for _, h := range catalogue.Hangers() {
		hangers = append(hangers, h.Name)
	}
	var b bytes.Buffer
	if err := workbook.Write(&b, sheets, []workbook.List{
		{Name: "service", Words: vocabulary.Services()},
		{Name: "kind", Words: vocabulary.Kinds()},
		{Name: "hanger", Words: hangers},
		{Name: "stage", Words: []string{"drawn", "ordered", "made", "fixed"}},
		{Name: "face", Words: []string{"bottom", "centre", "top"}},
	}); err != nil {
		return err
	}
	if err := w.write(w.ctx, func() error { return whole.WriteFile(name, b.Bytes()) }); err != nil {
		return err
	}
	fmt.Fprintf(w.out, "Wrote %d sheets to %s. Next: voidline check %s\n", len(sheets), words.Clean(name), words.Clean(name))
	return nil
}

// starterSheets returns the tables of the starter project as sheets.
func starterSheets() ([]workbook.Sheet, error) {
	abouts := map[string]table.About{}
	for _, a := range table.Abouts() {
		abouts[a.Name] = a
	}
	var sheets []workbook.Sheet
	for _, name := range bookSheets {
		data, err := starter.ReadFile(path.Join("starter", name+".csv"))
		if err != nil {
			return nil, err
		}
		rows, err := csv.NewReader(bytes.NewReader(data)).ReadAll()
		if err != nil {
			return nil, err
		}
		heads, about := rows[0], abouts[name+".csv"]
		trade := about.Name == ""
		if trade {
			about, heads = abouts["zones.csv"], tradeColumns
		}
		s := workbook.Sheet{Name: name}
		for _, h := range heads {
			k := slices.IndexFunc(about.Columns, func(c table.Column) bool { return strings.EqualFold(c.Name, h) })
			if k < 0 {
				return nil, fmt.Errorf("the starter project has a column %q that %s has not", h, about.Name)
			}
			c := about.Columns[k]
			col := workbook.Column{Head: c.Name, What: c.What + ", such as " + c.Like, Number: c.Plain}
			if trade || h == "build-up" && name == "bays" {
				col.Choose = chosen[h]
			}
			s.Columns = append(s.Columns, col)
		}
		for _, row := range rows[1:] {
			to := make([]string, len(heads))
			for k, text := range row {
				to[slices.Index(heads, rows[0][k])] = text
			}
			s.Rows = append(s.Rows, to)
		}
		sheets = append(sheets, s)
	}
	return sheets, nil
}
