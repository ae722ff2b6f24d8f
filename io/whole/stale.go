package whole

import (
	"os"
	"path/filepath"
	"strings"
	"time"
)

// staleAfter is how old a temporary file must be to be taken for one that a killed process left behind.
const staleAfter = time.Hour

// sweep takes away what killed processes left in a folder: temporary files, or with sets the folders of sets, whose name is
// prefix and digits, older than an hour, and held by nobody. What cannot be looked at or taken away stays, and is tried again next time.
func sweep(dir, prefix string, sets bool) {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return
	}
	for _, e := range entries {
		digits, ok := strings.CutPrefix(e.Name(), prefix)
		if !ok || digits == "" || strings.Trim(digits, "0123456789") != "" {
			continue
		}
		info, err := e.Info() // of a link itself
		if err != nil || sets && !info.IsDir() || !sets && !info.Mode().IsRegular() || time.Since(info.ModTime()) < staleAfter {
			continue
		}
		name := filepath.Join(dir, e.Name())
		f, err := os.Open(name)
		if err != nil {
			continue
		}
		free := hold(f)
		_ = f.Close() // nothing was written
		switch {
		case !free:
		case sets:
			sweepSet(name)
		default:
			_ = os.Remove(name)
		}
	}
}

// sweepSet takes away the folder of a set; one in which there is more than files is somebody's own.
func sweepSet(dir string) {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return
	}
	for _, e := range entries {
		if !e.Type().IsRegular() {
			return
		}
	}
	for _, e := range entries {
		_ = os.Remove(filepath.Join(dir, e.Name()))
	}
	_ = os.Remove(dir)
}
