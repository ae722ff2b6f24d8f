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
			err = copied(name, kept)
		}
		if errors.Is(err, fs.ErrExist) {
			continue
		}
		if err != nil {
			return "", fmt.Errorf("%s: cannot be kept as %s: %w", name, filepath.Base(kept), bare(err))
		}
		return kept, nil
	}
	return "", fmt.Errorf("%s: %d old files of it are beside it: take some away", name, mostKept)
}

// copied copies a file to a name that is not taken.
func copied(name, to string) (err error) {
	info, err := os.Stat(name)
	if err != nil {
		return err
	}
	data, err := os.ReadFile(name)
	if err != nil {
		return err
	}
	f, err := os.OpenFile(to, os.O_WRONLY|os.O_CREATE|os.O_EXCL, info.Mode().Perm())
	if err != nil {
		return err
	}
	_, err = f.Write(data)
	if err == nil {
		err = f.Sync()
	}
	if e := f.Close(); err == nil {
		err = e
	}
	if err != nil {
		_ = os.Remove(to) // the error that brought us here is the one to tell
	}
	return err
}
