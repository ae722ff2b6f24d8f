package main

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

const demoDir = "../../testdata/demo"

// The demo holds a run that needs no set, one that needs two, one that cannot be done, and a drain with branches.
func TestSetoutOfTheDemo(t *testing.T) {
	for _, test := range []struct {
		run    string
		status int
		says   []string
		not    string
	}{
		{"FA1", statusClear, []string{`One level for the whole run`, `datum\+1840 +FFL\+2840 +underside of tray`, `60 lower than drawn`}, "set up"},
		{"LD2", statusClear, []string{
			`2 sets \(75 down,\s+50 up\)`, `datum\+2185 +FFL\+3185`, `set down 75`, `datum\+2110`, `set up 50`, `datum\+2160`,
		}, "cannot"},
		{"SP2", statusFindings, []string{`It cannot be done`, `CHW-F-02`, `SA1-02 up 20, where it finds room`}, "Supports"},
		{"CD1", statusClear, []string{`length 1 of 3`, `Start nearest to as drawn`, `Start on the line that it drains into`, `The falls are within what is usual`}, "does not drain"},
	} {
		var out, errs bytes.Buffer
		if s := run([]string{"voidline", "setout", demoDir, test.run}, nil, &out, &errs); s != test.status {
			t.Errorf("%s: status %d, want %d: %s", test.run, s, test.status, errs.String())
		}
		for _, want := range test.says {
			if !regexp.MustCompile(want).Match(out.Bytes()) {
				t.Errorf("%s does not say %s:\n%s", test.run, want, out.String())
			}
		}
		if strings.Contains(out.String(), test.not) {
			t.Errorf("%s says %s:\n%s", test.run, test.not, out.String())
		}
	}
}

// What setout gives as rows, put into the demo in place of the old ones, leaves nothing of the run to find, but what is
// said of supports at their usual places.
func TestSetoutPutBackIntoTheDemo(t *testing.T) {
	for _, r := range []struct {
		run, file string
		status    int
	}{
		{"LD2", "containment.csv", statusClear},
		{"TR1", "containment.csv", statusFindings}, // two stretches have no support
		{"BR1", "containment.csv", statusClear},
		{"LB1", "containment.csv", statusClear},
		{"FA1", "containment.csv", statusClear},
		{"CD1", "drainage.csv", statusClear},
		{"DR2", "drainage.csv", statusClear},
	} {
		dir := t.TempDir()
		var out, errs bytes.Buffer
		if s := run([]string{"voidline", "setout", demoDir, r.run, "--format", "rows"}, nil, &out, &errs); s != r.status {
			t.Fatalf("%s: status %d, want %d: %s", r.run, s, r.status, errs.String())
		}
		if (r.status == statusFindings) != strings.Contains(errs.String(), "not supported") {
			t.Errorf("%s: status %d, and it says: %s", r.run, r.status, errs.String())
		}
		rows, err := csv.NewReader(&out).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		_, list, ok := strings.Cut(strings.TrimSpace(errs.String()), "take the place of ")
		if !ok {
			t.Fatalf("%s does not say which rows go: %s", r.run, errs.String())
		}
		gone := strings.Split(list, ", ")
		files, err := filepath.Glob(filepath.Join(demoDir, "*.csv"))
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range files {
			text, err := os.ReadFile(f)
			if err != nil {
				t.Fatal(err)
			}
			if filepath.Base(f) == r.file {
				lines := strings.SplitAfter(string(text), "\n")
				lines = slices.DeleteFunc(lines, func(l string) bool {
					id, _, _ := strings.Cut(l, ",")
					return slices.Contains(gone, id)
				})
				text = []byte(strings.Join(lines, ""))
			}
			if err := os.WriteFile(filepath.Join(dir, filepath.Base(f)), text, 0o600); err != nil {
				t.Fatal(err)
			}
		}
		var set bytes.Buffer
		if err := csv.NewWriter(&set).WriteAll(rows); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, "set.csv"), set.Bytes(), 0o600); err != nil {
			t.Fatal(err)
		}
		out.Reset()
		errs.Reset()
		if s := run([]string{"voidline", "check", dir, "--format", "csv", "--supports", "none"}, nil, &out, &errs); s != statusFindings {
			t.Fatalf("%s put back: status %d: %s", r.run, s, errs.String())
		}
		for _, row := range regexp.MustCompile(`(?m)^.*$`).FindAllString(out.String(), -1) {
			for _, x := range rows[1:] {
				if regexp.MustCompile(fmt.Sprintf(`[,"]%s[,"]`, regexp.QuoteMeta(x[0]))).MatchString(row) {
					t.Errorf("%s put back: %s", r.run, row)
				}
			}
		}
	}
}
