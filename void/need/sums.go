package need

import (
	"fmt"
	"hash/fnv"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
)

// Amd64 skips a test of sums that were made on amd64: where a product and a sum are rounded at once, as on arm64, a tenth may be another.
func Amd64(t testing.TB) {
	t.Helper()
	if runtime.GOARCH != "amd64" {
		t.Skip("the sums were made on amd64; where a product and a sum are rounded at once, as on arm64, a tenth may be another")
	}
}

// Sums are answers of which a file keeps how many bytes each has and a sum of them: enough to see that one changed.
type Sums struct {
	File   string // that keeps them, a line for each
	Update bool   // it is written anew
	Folder string // to write the answers themselves into; "" for none
	lines  []string
}

// Keep adds an answer by its name.
func (s *Sums) Keep(t testing.TB, name string, answer []byte) {
	t.Helper()
	h := fnv.New64a()
	h.Write(answer)
	s.lines = append(s.lines, fmt.Sprintf("%s: %d %016x", name, len(answer), h.Sum64()))
	if s.Folder != "" {
		if err := os.WriteFile(filepath.Join(s.Folder, name+".txt"), answer, 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// Compare holds the answers, in their order, to those that are kept.
func (s *Sums) Compare(t testing.TB) {
	t.Helper()
	if s.Update {
		if err := os.WriteFile(s.File, []byte(strings.Join(s.lines, "\n")+"\n"), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	was, err := os.ReadFile(s.File)
	if err != nil {
		t.Fatal(err)
	}
	kept := strings.Split(strings.TrimSpace(strings.ReplaceAll(string(was), "\r\n", "\n")), "\n")
	if len(kept) != len(s.lines) {
		t.Fatalf("%s: %d answers, %d are kept", s.File, len(s.lines), len(kept))
	}
	for k, l := range s.lines {
		if l != kept[k] {
			t.Errorf("%s, kept is %s (-update writes it anew; say in the commit why the new answer is right)", l, kept[k])
		}
	}
}
