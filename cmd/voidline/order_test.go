package main

import (
	"bytes"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// What is said of the demo does not hang on the order of its rows, nor on which table is read first, but for where a row stands. The rows
// of two tables keep theirs: those of hangers.csv are what a hanger is made of, from above down, and bays are told as they are listed. (A drawing paints what overlaps in the order of the
// rows.)
func TestOrderOfRowsChangesNothing(t *testing.T) {
	tables, err := filepath.Glob(filepath.Join(demoDir, "*.csv"))
	if err != nil || len(tables) < 15 {
		t.Fatal(tables, err)
	}
	// made writes the demo with all rows in the other order, or with one table of a trade before all others.
	made := func(reversed bool, first string) string {
		dir := filepath.Join(t.TempDir(), "demo")
		if err := os.Mkdir(dir, 0o755); err != nil {
			t.Fatal(err)
		}
		for _, f := range tables {
			text, err := os.ReadFile(f)
			if err != nil {
				t.Fatal(err)
			}
			name := filepath.Base(f)
			if lines := strings.SplitAfter(strings.TrimSuffix(string(text), "\n"), "\n"); reversed && name != "hangers.csv" && name != "bays.csv" {
				lines[len(lines)-1] += "\n"
				slices.Reverse(lines[1:])
				text = []byte(strings.Join(lines, ""))
			}
			if name == first {
				name = "0 " + name
			}
			if err := os.WriteFile(filepath.Join(dir, name), text, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		return dir
	}
	row := regexp.MustCompile(`(0 )?[a-z-]+\.csv:[0-9]+`)
	asked := [][]string{
		{"setout", "--all", "--format", "csv"},
		{"setout", "LB1", "--format", "rows"},
		{"setout", "CD1"},
		{"line"},
		{"check", "--format", "json", "--tolerance", "worst"},
		{"levels"},
		{"rules"},
	}
	said := func(dir string, args []string) string {
		var out, errs bytes.Buffer
		run(slices.Concat([]string{"voidline", args[0], dir}, args[1:]), nil, &out, &errs)
		if out.Len() == 0 {
			t.Fatal(args, errs.String())
		}
		return row.ReplaceAllString(strings.ReplaceAll(out.String(), dir, "demo"), "a row")
	}
	plain := made(false, "")
	others := map[string]string{"reversed": made(true, ""), "steel first": made(false, "steel.csv")}
	for _, args := range asked {
		want := said(plain, args)
		for how, dir := range others {
			if got := said(dir, args); got != want {
				a, b := strings.Split(want, "\n"), strings.Split(got, "\n")
				n := 0
				for n < min(len(a), len(b))-1 && a[n] == b[n] {
					n++
				}
				t.Errorf("%v, %s, line %d:\n%s\nwas\n%s", args, how, n+1, b[n], a[n])
			}
		}
	}
}
