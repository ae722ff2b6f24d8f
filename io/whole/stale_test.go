package whole

import (
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"testing"
	"time"
)

// aged makes a file, or with a slash at the end a folder, that is so old.
func aged(t *testing.T, name string, age time.Duration) {
	t.Helper()
	var err error
	if name[len(name)-1] == '/' {
		err = os.Mkdir(name, 0o755)
	} else {
		err = os.WriteFile(name, []byte("part"), 0o600)
	}
	if err == nil {
		err = os.Chtimes(name, time.Now().Add(-age), time.Now().Add(-age))
	}
	if err != nil {
		t.Fatal(err)
	}
}

// TestSweepFile: a write takes away what a killed one of the same file left an hour ago, and nothing else.
func TestSweepFile(t *testing.T) {
	dir := t.TempDir()
	const old, young = 2 * time.Hour, 10 * time.Minute
	for name, age := range map[string]time.Duration{
		".a.csv.123": old, ".a.csv.4": old, // left behind
		".a.csv.77":    young, // somebody writes it now
		".a.csv.x1":    old,   // not a name of ours
		".a.csv.":      old,
		".b.csv.123":   old, // of another file
		"a.csv.123":    old,
		".a.csv.5/":    old, // a folder
		".a.csv.12345": old, // held, below
	} {
		aged(t, dir+"/"+name, age)
	}
	f, err := os.Open(filepath.Join(dir, ".a.csv.12345"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if !hold(f) {
		t.Fatal("a file that nobody holds is held")
	}
	want := []string{".a.csv.", ".a.csv.12345", ".a.csv.5", ".a.csv.77", ".a.csv.x1", ".b.csv.123", "a.csv", "a.csv.123"}
	g, err := os.Open(f.Name())
	if err != nil {
		t.Fatal(err)
	}
	if hold(g) { // no locks here: age alone tells
		want = slices.DeleteFunc(want, func(n string) bool { return n == ".a.csv.12345" })
	}
	g.Close()
	if err := WriteFile(filepath.Join(dir, "a.csv"), []byte("whole")); err != nil {
		t.Fatal(err)
	}
	if got := names(t, dir); !slices.Equal(got, want) {
		t.Errorf("left: %q\nwant: %q", got, want)
	}
}

// TestSweepSet: likewise the folders of sets, in the folder that they are for and beside one that is to come. One with a
// folder in it is somebody's own.
func TestSweepSet(t *testing.T) {
	in := t.TempDir()
	out := filepath.Join(in, "out")
	stale := func(dir string) {
		name := filepath.Join(dir, ".voidline-99")
		aged(t, name+"/", 0)
		aged(t, filepath.Join(name, "report.html"), 2*time.Hour)
		if err := os.Chtimes(name, time.Now().Add(-2*time.Hour), time.Now().Add(-2*time.Hour)); err != nil {
			t.Fatal(err)
		}
	}
	stale(in)
	for range 2 {
		s, err := Stage(out, []File{{Name: "a.txt", Data: []byte("1")}})
		if err != nil {
			t.Fatal(err)
		}
		if other, err := Stage(out, nil); err != nil { // a second at the same time
			t.Fatal(err)
		} else {
			other.Discard()
		}
		if err := s.Commit(); err != nil {
			t.Fatal(err)
		}
		if got := names(t, in); !slices.Equal(got, []string{"out"}) {
			t.Errorf("beside it: %q", got)
		}
		if got := names(t, out); !slices.Equal(got, []string{"a.txt"}) {
			t.Errorf("in it: %q", got)
		}
		stale(out)
	}
	mine := filepath.Join(in, ".voidline-7")
	aged(t, mine+"/", 0)
	aged(t, mine+"/deeper/", 0)
	if err := os.Chtimes(mine, time.Now().Add(-2*time.Hour), time.Now().Add(-2*time.Hour)); err != nil {
		t.Fatal(err)
	}
	sweep(in, stagePrefix, true)
	if got := names(t, mine); !slices.Equal(got, []string{"deeper"}) {
		t.Errorf("somebody's own folder holds %q", got)
	}
}

// locks says whether this system keeps a second from holding a folder that is held: found on a folder of its own, since a set
// that forgets to hold its stage looks like a system without locks.
func locks(t *testing.T) bool {
	dir := t.TempDir()
	var free [2]bool
	for i := range free {
		f, err := os.Open(dir)
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		free[i] = hold(f)
	}
	return free[0] && !free[1]
}

// TestTwoSets: two sets are staged in one folder, and one of them is so old that it would be swept, were it not held: the other's
// Commit leaves it alone, and both come to stand.
func TestTwoSets(t *testing.T) {
	dir := t.TempDir()
	if !locks(t) {
		if runtime.GOOS == "linux" {
			t.Fatal("what is held is held again")
		}
		t.Skip("this system locks no folders: of what others hold only the age tells")
	}
	first, err := Stage(dir, []File{{Name: "a.txt", Data: []byte("1")}})
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Chtimes(first.stage, time.Now().Add(-2*time.Hour), time.Now().Add(-2*time.Hour)); err != nil {
		t.Fatal(err)
	}
	second, err := Stage(dir, []File{{Name: "b.txt", Data: []byte("2")}})
	if err != nil {
		t.Fatal(err)
	}
	if err := second.Commit(); err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(filepath.Join(first.stage, "a.txt")); err != nil {
		t.Fatalf("the set that is held was swept: %v", err)
	}
	if err := first.Commit(); err != nil {
		t.Fatal(err)
	}
	if got := names(t, dir); !slices.Equal(got, []string{"a.txt", "b.txt"}) {
		t.Errorf("in the folder: %q", got)
	}
}
