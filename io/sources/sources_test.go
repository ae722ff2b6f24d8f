package sources

import (
	"context"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"
	"golang.org/x/text/encoding/unicode"
)

func read(t *testing.T, name, text string, files ...string) List {
	t.Helper()
	fsys := fstest.MapFS{}
	if name != "" {
		fsys[name] = &fstest.MapFile{Data: []byte(text)}
	}
	l, err := Read(context.Background(), "job", files, Options{FS: fsys})
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func told(l List) (all []string) {
	for _, p := range l.Told {
		all = append(all, p.String())
	}
	return all
}

func TestRead(t *testing.T) {
	files := []string{"bays.csv", "light fittings.csv", "ductwork.csv"}
	utf16, err := unicode.UTF16(unicode.LittleEndian, unicode.UseBOM).NewEncoder().String("file\tdrawing\nBays.CSV\tA-100\n")
	if err != nil {
		t.Fatal(err)
	}
	none := []Source{{File: "bays.csv"}, {File: "light fittings.csv"}, {File: "ductwork.csv"}}
	for _, test := range []struct {
		name, file, text string
		want             []Source
		told             []string
	}{
		{"none", "", "", none, nil},
		{"header alone", "sources.csv", "file,drawing,revision,date,by\n", none, []string{"sources.csv:1: a header and no rows"}},
		{"empty", "sources.csv", "", none, []string{"sources.csv: the file is empty; give a header and one row on each line"}},
		{
			"rows", "sources.csv", "file,drawing,revision,date,by\r\nductwork.csv,M-201,C2,2026-03-02,J. Nowak\r\nLight_Fittings,E-400,,,\r\nbays,A-100,P3,,\r\nbays,A-101,P1,,Tŷ\r\n",
			[]Source{
				{"bays.csv", "A-100", "P3", "", "", 4},
				{"bays.csv", "A-101", "P1", "", "Tŷ", 5},
				{"light fittings.csv", "E-400", "", "", "", 3},
				{"ductwork.csv", "M-201", "C2", "2026-03-02", "J. Nowak", 2},
			},
			nil,
		},
		{
			"semicolons and a byte order mark", "Sources.CSV", "\ufeffFile;Revision\nductwork;\"C;2\"\n",
			[]Source{{File: "bays.csv"}, {File: "light fittings.csv"}, {File: "ductwork.csv", Revision: "C;2", Line: 2}},
			nil,
		},
		{"UTF-16", "sources.csv", utf16, []Source{{File: "bays.csv", Drawing: "A-100", Line: 2}, {File: "light fittings.csv"}, {File: "ductwork.csv"}}, nil},
		{
			"of no table", "sources.csv", "file,drawing\nducktwork.csv,M-1\n", none,
			[]string{`sources.csv:2: file: the project has no table "ducktwork.csv"; give the name of one of its tables (did you mean ductwork.csv?)`},
		},
		{"blank file", "sources.csv", "file,drawing\n,M-1\n", none, []string{"sources.csv:2:1: file: blank"}},
		{"no column", "sources.csv", "drawing\nM-1\n", none, []string{`sources.csv:1: no column for "file"`}},
	} {
		l := read(t, test.file, test.text, files...)
		if d := cmp.Diff(test.want, l.Sources); d != "" {
			t.Errorf("%s: sources (-want +got):\n%s", test.name, d)
		}
		if d := cmp.Diff(test.told, told(l)); d != "" {
			t.Errorf("%s: told (-want +got):\n%s", test.name, d)
		}
		if l.Name != test.file {
			t.Errorf("%s: Name = %q, want %q", test.name, l.Name, test.file)
		}
	}
}

func TestBlank(t *testing.T) {
	if got := (Source{Drawing: "A", By: "x"}).blank(); strings.Join(got, " ") != "revision date" {
		t.Errorf("Blank = %q, want revision and date", got)
	}
	if got := (Source{}).blank(); len(got) != 4 {
		t.Errorf("Blank of nothing = %q, want four columns", got)
	}
}
