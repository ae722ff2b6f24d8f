package whole

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"testing"
)

func TestWritable(t *testing.T) {
	for _, test := range []struct {
		mode os.FileMode // 0: there is no file
		want bool
	}{
		{0, true},
		{0o644, true},
		{0o200, true},
		{0o444, false}, // even of root, who could write to it
		{0o555, false},
	} {
		name := filepath.Join(t.TempDir(), "f")
		if test.mode != 0 {
			if err := os.WriteFile(name, nil, test.mode); err != nil {
				t.Fatal(err)
			}
		}
		if got := Writable(name); got != test.want {
			t.Errorf("Writable of %v = %v, want %v", test.mode, got, test.want)
		}
	}
}

// TestWhoseError: a disk that is full is the file's error and named by it; an error of what fills a file comes back as it is.
func TestWhoseError(t *testing.T) {
	const full = "/dev/full" // every write to it fails so
	if _, err := os.Stat(full); err != nil {
		t.Skip("this system has no ", full)
	}
	want := full + ": cannot be written: no space left on device"
	if err := WriteFile(full, []byte("x")); err == nil || err.Error() != want {
		t.Errorf("WriteFile: %v, want %s", err, want)
	}
	own := errors.New("the well is dry")
	name := filepath.Join(t.TempDir(), "f")
	if err := Write(name, func(io.Writer) error { return own }); err != own { //nolint:errorlint // as it is
		t.Errorf("Write: %v, want %v", err, own)
	}
	if got := names(t, filepath.Dir(name)); len(got) > 0 {
		t.Errorf("left behind: %q", got)
	}
}
