package whole

import (
	"errors"
	"os"
	"path/filepath"
)

// Why a file that people keep is not replaced. They come wrapped in what to do.
var (
	ErrChanged = errors.New("somebody changed it since it was read")
	ErrOpen    = errors.New("it is open in a spreadsheet")
	ErrBusy    = errors.New("another voidline is writing it")
	ErrLocked  = errors.New("it is read-only")
)

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
