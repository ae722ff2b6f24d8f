package whole

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
)

// mostKept is how many old files are kept beside one before it is asked to take some away.
const mostKept = 10000

// Beside keeps a file as it is now under a second name beside it, which it returns: NAME.old, or NAME.old2 and so on where that is
// taken. Where the file system gives a file no second name it is copied. What stands there already is never replaced.
func Beside(name string) (string, error) {
	for n := 1; n <= mostKept; n++ {
		kept := name + old
		if n > 1 {
			kept += fmt.Sprint(n)
		}
		if _, err := os.Lstat(kept); err == nil {
			continue
		}
		err := link(name, kept)
		if errors.Is(err, fs.ErrExist) {
			continue // another was quicker
		}
		if err != nil {
			err = twice(name, kept) // a copy, whole or not at all
		}
		if err != nil {
			return "", fmt.Errorf("%s: cannot be kept as %s: %w", name, filepath.Base(kept), bare(err))
		}
		return kept, nil
	}
	return "", fmt.Errorf("%s: %d old files of it are beside it: take some away", name, mostKept)
}
