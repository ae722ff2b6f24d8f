//go:build unix

package table

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"syscall"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

// TestNoFiles reads a folder whose tables are no files that one can read. Opening some of them
// would never return.
func TestNoFiles(t *testing.T) {
	dir := t.TempDir()
	at := func(name string) string { return filepath.Join(dir, name) }
	must := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	must(os.WriteFile(at("bays.csv"), []byte(goodBays), 0o600))
	must(os.WriteFile(at("tray.txt"), []byte(goodZones), 0o600))
	must(os.Symlink("tray.txt", at("tray.csv")))
	must(syscall.Mkfifo(at("a pipe.csv"), 0o600))
	must(os.Symlink("/dev/zero", at("b device.csv")))
	must(os.Symlink("c loop.csv", at("c loop.csv")))
	must(os.Symlink("nowhere", at("d broken.csv")))
	must(os.Symlink(".", at("e folder.csv")))
	must(os.WriteFile(at("f \xff.csv"), nil, 0o600))

	start := time.Now()
	got, err := readTables(context.Background(), dir, Options{})
	if err != nil {
		t.Fatal(err)
	}
	want := []string{
		"a pipe.csv: is no file (a device, a pipe or a socket); give a CSV file",
		"b device.csv: is no file (a device, a pipe or a socket); give a CSV file",
		"c loop.csv: cannot be read: too many levels of symbolic links",
		"d broken.csv: cannot be read: no such file or directory",
		"e folder.csv: is a folder; give a CSV file",
		"f \xff.csv: cannot be read: invalid argument",
	}
	if diff := cmp.Diff(want, asText(got.Problems)); diff != "" {
		t.Errorf("Problems (-want +got):\n%s", diff)
	}
	if len(got.Unread) != len(want) || len(got.Bays) != 1 {
		t.Errorf("Unread = %q, %d bays, want %d files, 1 bay", got.Unread, len(got.Bays), len(want))
	}
	if d := time.Since(start); d > 5*time.Second {
		t.Errorf("took %v", d)
	}
}

// TestNoPermission reads a file and a folder that only their owner may read.
func TestNoPermission(t *testing.T) {
	if os.Geteuid() == 0 {
		t.Skip("root may read everything")
	}
	dir := t.TempDir()
	for name, data := range map[string]string{"bays.csv": goodBays, "tray.csv": goodZones, "pipes.csv": goodZones} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(data), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Chmod(filepath.Join(dir, "pipes.csv"), 0); err != nil {
		t.Fatal(err)
	}
	got, err := readTables(context.Background(), dir, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff([]string{"pipes.csv: no permission to read it"}, asText(got.Problems)); diff != "" {
		t.Errorf("Problems (-want +got):\n%s", diff)
	}
	if err := os.Chmod(dir, 0); err != nil {
		t.Fatal(err)
	}
	defer os.Chmod(dir, 0o700)
	if got, err := readTables(context.Background(), dir, Options{}); !errors.Is(err, fs.ErrPermission) {
		t.Errorf("Read = %v, %v, want a permission error", got, err)
	}
}
