package whole

import (
	"errors"
	"os"
	"path/filepath"
)

// ErrBusy says that another voidline writes in a folder.
var ErrBusy = errors.New("another voidline is writing it")

// OpenIn returns the file by which a spreadsheet says that it has another file open, "" where there is none.
func OpenIn(name string) string {
	dir, base := filepath.Split(name)
	for _, l := range []string{".~lock." + base + "#", "~$" + base} {
		if _, err := os.Lstat(filepath.Join(dir, l)); err == nil {
			return l
		}
	}
	return ""
}
