package whole

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

func names(t *testing.T, dir string) (all []string) {
	t.Helper()
	es, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range es {
		all = append(all, e.Name())
	}
	return all
}

func read(t *testing.T, name string) string {
	t.Helper()
	b, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

func TestSetNewFolder(t *testing.T) {
	in := t.TempDir()
	dir := filepath.Join(in, "out")
	s, err := Stage(dir, []File{{Name: "a.txt", Data: []byte("1")}, {Name: "b.txt", Data: []byte("2")}})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(dir); err == nil {
		t.Error("the folder is there before Commit")
	}
	defer func() { rename = os.Rename }()
	rename = func(from, to string) error {
		if s.held != nil {
			t.Error("the stage is still open when it gets its name: not every system renames an open folder")
		}
		return os.Rename(from, to)
	}
	if err := s.Commit(); err != nil {
		t.Fatal(err)
	}
	if got := names(t, in); !slices.Equal(got, []string{"out"}) {
		t.Errorf("left beside it: %q", got)
	}
	if got := names(t, dir); !slices.Equal(got, []string{"a.txt", "b.txt"}) || read(t, filepath.Join(dir, "b.txt")) != "2" {
		t.Errorf("written: %q", got)
	}
}

func TestSetOverOld(t *testing.T) {
	dir := t.TempDir()
	for _, n := range []string{"a.txt", "mine.txt"} {
		if err := os.WriteFile(filepath.Join(dir, n), []byte("old"), 0o640); err != nil {
			t.Fatal(err)
		}
	}
	s, err := Stage(dir, []File{{Name: "a.txt", Data: []byte("new")}, {Name: "b.txt", Data: []byte("new")}})
	if err != nil {
		t.Fatal(err)
	}
	if got := read(t, filepath.Join(dir, "a.txt")); got != "old" {
		t.Errorf("before Commit a.txt is %q", got)
	}
	if err := s.Commit(); err != nil {
		t.Fatal(err)
	}
	for n, want := range map[string]string{"a.txt": "new", "b.txt": "new", "mine.txt": "old"} {
		if got := read(t, filepath.Join(dir, n)); got != want {
			t.Errorf("%s is %q, want %q", n, got, want)
		}
	}
	if got := names(t, dir); len(got) != 3 {
		t.Errorf("left behind: %q", got)
	}
	if info, _ := os.Stat(filepath.Join(dir, "a.txt")); info.Mode().Perm() != 0o640 {
		t.Errorf("permissions are %v, want those it had, 0640", info.Mode().Perm())
	}
}

func TestSetDiscard(t *testing.T) {
	dir := t.TempDir()
	s, err := Stage(dir, []File{{Name: "a.txt", Data: []byte("new")}})
	if err != nil {
		t.Fatal(err)
	}
	s.Discard()
	if got := names(t, dir); len(got) != 0 {
		t.Errorf("left after Discard: %q", got)
	}
}

// TestSetGoesBack makes the second rename fail: a folder came to stand where the file shall go.
func TestSetGoesBack(t *testing.T) {
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "a.txt"), []byte("old"), 0o644); err != nil {
		t.Fatal(err)
	}
	s, err := Stage(dir, []File{{Name: "a.txt", Data: []byte("new")}, {Name: "b.txt", Data: []byte("new")}, {Name: "c.txt", Data: []byte("new")}})
	if err != nil {
		t.Fatal(err)
	}
	if err := os.MkdirAll(filepath.Join(dir, "c.txt", "x"), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := s.Commit(); err == nil || !strings.Contains(err.Error(), "nothing was written") {
		t.Fatalf("Commit = %v, want that nothing was written", err)
	}
	if got := read(t, filepath.Join(dir, "a.txt")); got != "old" {
		t.Errorf("a.txt is %q, want the old one back", got)
	}
	if got := names(t, dir); !slices.Equal(got, []string{"a.txt", "c.txt"}) {
		t.Errorf("in the folder: %q", got)
	}
}

func TestStageRefuses(t *testing.T) {
	in := t.TempDir()
	if err := os.WriteFile(filepath.Join(in, "file"), nil, 0o644); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink("file", filepath.Join(in, "a.txt")); err != nil {
		t.Fatal(err)
	}
	for _, test := range []struct {
		dir, file, want string
	}{
		{filepath.Join(in, "file"), "x", "a folder is wanted"},
		{filepath.Join(in, "no", "such"), "x", "no such file"},
		{in, "../x", "is no name"},
		{in, "a.txt", "is no file"},
	} {
		_, err := Stage(test.dir, []File{{Name: test.file}})
		if err == nil || !strings.Contains(err.Error(), test.want) {
			t.Errorf("Stage(%s, %s) = %v, want %q in it", test.dir, test.file, err, test.want)
		}
	}
	if got := names(t, in); !slices.Equal(got, []string{"a.txt", "file"}) {
		t.Errorf("left behind: %q", got)
	}
}

// TestFreshSetIsForAll: a folder that comes into being with a set may be read by everybody, as one that mkdir makes, though what is
// staged is the owner's alone.
func TestFreshSetIsForAll(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "new")
	s, err := Stage(dir, []File{{Name: "a.txt", Data: []byte("1")}})
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Commit(); err != nil {
		t.Fatal(err)
	}
	info, err := os.Stat(dir)
	if err != nil {
		t.Fatal(err)
	}
	if got := info.Mode().Perm(); got != 0o755 {
		t.Errorf("permissions of the folder are %v, want 0755", got)
	}
}

// TestFreshSetMeetsAnother: while a set was staged for a folder that was not there, somebody made it and put something in: it
// stays as it is, that is told, and nothing of the set is left.
func TestFreshSetMeetsAnother(t *testing.T) {
	in := t.TempDir()
	dir := filepath.Join(in, "out")
	s, err := Stage(dir, []File{{Name: "a.txt", Data: []byte("1")}})
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Mkdir(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, "mine.txt"), nil, 0o644); err != nil {
		t.Fatal(err)
	}
	if err := s.Commit(); err == nil || !strings.HasPrefix(err.Error(), dir+": nothing was written: ") {
		t.Errorf("Commit = %v, want that nothing was written", err)
	}
	if got := names(t, in); !slices.Equal(got, []string{"out"}) {
		t.Errorf("left beside it: %q", got)
	}
	if got := names(t, dir); !slices.Equal(got, []string{"mine.txt"}) {
		t.Errorf("in the folder: %q", got)
	}
}
