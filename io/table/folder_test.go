package table

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"
)

// TestFolder reads folders with files that are more, fewer or other than expected.
func TestFolder(t *testing.T) {
	const (
		bay  = goodBays
		zone = goodZones
		grid = "axis,label,position\nx,A,0\n"
	)
	noBays := "bays.csv is missing; give a table with a row for each bay"
	noZones := "no table of zones; give a CSV file for each trade, called by its name, such as ductwork.csv"
	near := func(file, meant string) string {
		return file + ": not the name of a table (did you mean " + meant + "? A trade's table wants a name that is not so near)"
	}
	asCSV := func(file string) string { return file + ": not read (save it as CSV)" }
	for _, test := range []struct {
		about    string
		files    map[string]string
		read     []string // Tables.Files
		problems []string
		warnings []string
		missing  int
		unread   []string
	}{
		{about: "nothing", problems: []string{noBays, noZones}},
		{about: "the least", files: map[string]string{"bays.csv": bay, "tray.csv": zone}, read: []string{"bays.csv", "tray.csv"}},
		{
			about: "the order", files: map[string]string{
				"pipes.csv": zone, "bays.csv": bay, "buildups.csv": "build-up,thickness\nX,50\n", "access.csv": "for\nD1\n", "grid.csv": grid, "Tray.csv": zone,
				"gaps.csv": "of,to,gap\ntray,any,25\n", "openings.csv": "in,at,size\nD1,0,ø50\n", "hangers.csv": "hanger,part,height\nH,nut,10\n", "levels.csv": "storey,ffl\nG,0\n",
			},
			read: []string{"levels.csv", "grid.csv", "buildups.csv", "bays.csv", "gaps.csv", "hangers.csv", "openings.csv", "access.csv", "Tray.csv", "pipes.csv"},
		},
		{about: "no zones", files: map[string]string{"bays.csv": bay}, read: []string{"bays.csv"}, problems: []string{noZones}},
		{
			about: "bay for bays", files: map[string]string{"bay.csv": bay + "B2,,0,0,1,1,3000,\n", "tray.csv": zone}, read: []string{"tray.csv"}, missing: 2,
			problems: []string{noBays + " (is bay.csv meant? Rename it)"},
		},
		{
			about: "bay beside bays", files: map[string]string{"bay.csv": bay, "bays.csv": bay, "tray.csv": zone}, read: []string{"bays.csv", "tray.csv"}, missing: 1,
			problems: []string{near("bay.csv", "bays.csv")},
		},
		{
			about: "one letter off", files: map[string]string{"bays.csv": bay, "tray.csv": zone, "gird.csv": grid, "grids.csv": grid, "Level.csv": "", "acess.csv": "for\nD1\nD2\n", "hangars.csv": "", "gap.csv": "of\n"},
			read:     []string{"bays.csv", "tray.csv"},
			problems: []string{near("Level.csv", "levels.csv"), near("gird.csv", "grid.csv"), near("grids.csv", "grid.csv"), near("gap.csv", "gaps.csv"), near("hangars.csv", "hangers.csv"), near("acess.csv", "access.csv")},
			missing:  4,
		},
		{about: "gas is a trade's word", files: map[string]string{"bays.csv": bay, "gas.csv": zone}, read: []string{"bays.csv", "gas.csv"}},
		{
			about: "other ways to write a name", files: map[string]string{"Bays.CSV": bay, "build-ups.csv": "Build-Up,Thickness_m\nX,0.05\n", "tray.csv": zone},
			read: []string{"build-ups.csv", "Bays.CSV", "tray.csv"},
		},
		{
			about: "the same table twice", files: map[string]string{"BAYS.csv": bay, "bays.csv": bay, "tray.csv": zone}, read: []string{"bays.csv", "tray.csv"}, missing: 1,
			problems: []string{"BAYS.csv: a second table of its kind (bays.csv is read)"},
		},
		{
			about: "spreadsheets", files: map[string]string{"bays.csv": bay, "tray.csv": zone, "duct.xlsx": "PK", "duct.XLS": "", "duct.ods": "", "pipes.tsv": ""},
			read:     []string{"bays.csv", "tray.csv"},
			warnings: []string{asCSV("duct.XLS"), asCSV("duct.ods"), "duct.xlsx: not read (save its sheets as CSV, or give the workbook itself in place of the folder)", asCSV("pipes.tsv")},
		},
		{
			about: "a spreadsheet called csv", files: map[string]string{"bays.csv": bay, "tray.csv": "PK\x03\x04\x14\x00"}, read: []string{"bays.csv", "tray.csv"}, unread: []string{"tray.csv"},
			problems: []string{"tray.csv: not a text table but a zip file, as spreadsheets save themselves (save it as CSV)"},
		},
		{
			about: "junk", files: map[string]string{"bays.csv": "\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR", "tray.csv": zone, "a.csv": strings.Repeat("\x01\x02", 50)}, read: []string{"bays.csv", "a.csv", "tray.csv"}, unread: []string{"bays.csv", "a.csv"},
			problems: []string{
				"bays.csv: not a text table; give a CSV file (it holds bytes that no text has)", "a.csv: not a text table; give a CSV file (it holds bytes that no text has)",
			},
		},
		{
			about: "left aside without a word", files: map[string]string{
				"bays.csv": bay, "tray.csv": zone, ".hidden.csv": "x", "._tray.csv": "x", "~$tray.csv": "x", ".~lock.tray.csv#": "x", "readme.txt": "", "plan.pdf": "", "more/duct.csv": "x", "csv": "",
			},
			read: []string{"bays.csv", "tray.csv"},
		},
		{
			about: "our own answers", files: map[string]string{"bays.csv": bay, "tray.csv": zone, "findings.csv": "x", "register.csv": "x", "report.csv": "x", "report.pdf": "", "Sources.csv": "x"},
			read: []string{"bays.csv", "tray.csv"},
			warnings: []string{
				"findings.csv: not read: the name stands for an answer of an earlier check (rename it if it is a table of a trade)",
				"report.csv: not read: the name stands for an answer of an earlier check (rename it if it is a table of a trade)",
			},
		},
		{
			about: "a folder for a table", files: map[string]string{"bays.csv/x": bay, "tray.csv": zone}, read: []string{"bays.csv", "tray.csv"}, unread: []string{"bays.csv"},
			problems: []string{"bays.csv: is a folder; give a CSV file"},
		},
	} {
		t.Run(test.about, func(t *testing.T) {
			fsys := fstest.MapFS{}
			for name, data := range test.files {
				fsys[name] = &fstest.MapFile{Data: []byte(data)}
			}
			got, zones := read(t, fsys)
			if diff := cmp.Diff(test.read, got.Files); diff != "" {
				t.Errorf("Files (-want +got):\n%s", diff)
			}
			if diff := cmp.Diff(test.problems, asText(got.Problems)); diff != "" {
				t.Errorf("Problems (-want +got):\n%s", diff)
			}
			if diff := cmp.Diff(test.warnings, asText(got.Warnings)); diff != "" {
				t.Errorf("Warnings (-want +got):\n%s", diff)
			}
			if got.RowsMissing != test.missing || !slices.Equal(got.Unread, test.unread) {
				t.Errorf("RowsMissing = %d, Unread = %q, want %d, %q", got.RowsMissing, got.Unread, test.missing, test.unread)
			}
			for _, z := range zones {
				if file := got.Files[z.Row.At.File]; file != z.File {
					t.Errorf("a zone of table %q says it is from %q", z.File, file)
				}
			}
		})
	}
}

// TestReadErrors reads folders that cannot be read at all.
func TestReadErrors(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "file")
	if err := os.WriteFile(file, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	missing := filepath.Join(dir, "missing")
	for _, test := range []struct {
		dir, want string
		is        error
	}{
		{missing, missing + ": no such file or directory", fs.ErrNotExist},
		{file, file + " is a file, not a project folder or a workbook (.xlsx)", nil},
	} {
		tables, err := readTables(context.Background(), test.dir, Options{})
		if err == nil || err.Error() != test.want || test.is != nil && !errors.Is(err, test.is) {
			t.Errorf("Read(%q) = %v, %v, want the error %q", test.dir, tables, err, test.want)
		}
	}
}

// TestName reads a folder by several names.
func TestName(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "Block C")
	if err := os.Mkdir(dir, 0o700); err != nil {
		t.Fatal(err)
	}
	t.Chdir(dir)
	for _, name := range []string{dir, ".", dir + "/", "../Block C"} {
		tables, err := readTables(context.Background(), name, Options{})
		if err != nil || tables.Name != "Block C" {
			t.Errorf("Read(%q) = %+v, %v, want the name Block C", name, tables, err)
		}
	}
}

// TestInProject: a folder is a project's if a table of bays is in it that is read.
func TestInProject(t *testing.T) {
	for _, test := range []struct {
		file string
		want bool
	}{
		{"", false},
		{"bays.csv", true},
		{"Bays.CSV", true},
		{"ductwork.csv", false},
		{".bays.csv", false},
		{"bays.txt", false},
	} {
		dir := t.TempDir()
		if test.file != "" {
			if err := os.WriteFile(filepath.Join(dir, test.file), nil, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		if got := InProject(dir); got != test.want {
			t.Errorf("%q in it: %v, want %v", test.file, got, test.want)
		}
		if InProject(filepath.Join(dir, "no such")) {
			t.Error("a folder that is not there is a project's")
		}
	}
}
