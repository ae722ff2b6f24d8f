package main

import (
	"bytes"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"voidline/clash/finding"
)

// The README's tour is real: its commands are run one after the other in a folder that holds the demo alone, and every
// line that it shows of an answer is in that answer, in that order (… stands for lines left out).
func TestReadmeTour(t *testing.T) {
	text, err := os.ReadFile(filepath.Join("..", "..", "README.md"))
	if err != nil {
		t.Fatal(err)
	}
	demo := os.DirFS(filepath.Join("..", "..", "testdata", "demo"))
	dir := t.TempDir()
	if err := os.CopyFS(filepath.Join(dir, "testdata", "demo"), demo); err != nil {
		t.Fatal(err)
	}
	t.Chdir(dir)
	t.Setenv("NO_COLOR", "1")
	ran := 0
	for _, block := range strings.Split(string(text), "```") {
		lines := strings.Split(strings.Trim(block, "\n"), "\n")
		command, ok := strings.CutPrefix(lines[0], "$ voidline ")
		if !ok {
			continue
		}
		ran++
		var out, errs bytes.Buffer
		run(append([]string{"voidline"}, strings.Fields(command)...), strings.NewReader(""), &out, &errs)
		got := strings.Split(out.String(), "\n")
		at := 0
		for _, want := range lines[1:] {
			if want == "…" {
				continue
			}
			k := slices.Index(got[at:], want)
			if k < 0 {
				t.Fatalf("voidline %s does not print, after line %d:\n%s\nit prints:\n%s%s", command, at, want, out.String(), errs.String())
			}
			at += k + 1
		}
	}
	if ran < 4 {
		t.Errorf("only %d commands of the tour were found", ran)
	}
}

// The tour's advice clears the overlap: the basket raised to build-up+81.
func TestReadmeAdvice(t *testing.T) {
	t.Chdir(t.TempDir())
	var out, errs bytes.Buffer
	if s := run([]string{"voidline", "new", "job"}, nil, &out, &errs); s != statusClear {
		t.Fatal(s, errs.String())
	}
	name := filepath.Join("job", "tray.csv")
	text, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(name, bytes.Replace(text, []byte("build-up+40"), []byte("build-up+81"), 1), 0o644); err != nil {
		t.Fatal(err)
	}
	out.Reset()
	run([]string{"voidline", "check", "job"}, nil, &out, &errs)
	if strings.Contains(out.String(), "T-1 (containment, run T1, tray.csv:2)\n") && strings.Contains(out.String(), "ceiling A-B/1-2 (bays.csv:2)") {
		t.Errorf("the overlap is still there:\n%s", out.String())
	}
}

// README and program give the same cautions.
func TestReadmeCautions(t *testing.T) {
	text, err := os.ReadFile(filepath.Join("..", "..", "README.md"))
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range finding.Cautions() {
		if !bytes.Contains(text, []byte("- "+c+"\n")) {
			t.Errorf("README.md lacks the caution %q", c)
		}
	}
}
