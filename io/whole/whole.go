// Package whole writes files whole or not at all.
package whole

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
)

// WriteFile puts data into the named file: into a temporary file beside it, flushed to the disk, then renamed.
// A reader sees the old file or the new one, never a part. On an error the old file is untouched and no
// temporary file is left. The file keeps the permissions that it had.
func WriteFile(name string, data []byte) (err error) {
	mode := fs.FileMode(0o644)
	if info, e := os.Stat(name); e == nil {
		if info.IsDir() {
			return fmt.Errorf("%s is a folder", name)
		}
		if !info.Mode().IsRegular() {
			// A pipe or a device is written to, not replaced.
			f, e := os.OpenFile(name, os.O_WRONLY, 0)
			if e != nil {
				return e
			}
			_, e = f.Write(data)
			return errors.Join(e, f.Close())
		}
		mode = info.Mode().Perm()
		// A link stays a link: what it points to is replaced.
		if real, e := filepath.EvalSymlinks(name); e == nil {
			name = real
		}
	}
	f, err := os.CreateTemp(filepath.Dir(name), "."+filepath.Base(name)+".*")
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			err = errors.Join(err, f.Close())
			os.Remove(f.Name())
		}
	}()
	if _, err = f.Write(data); err != nil {
		return err
	}
	if err = f.Chmod(mode); err != nil {
		return err
	}
	if err = f.Sync(); err != nil {
		return err
	}
	if err = f.Close(); err != nil {
		return err
	}
	return os.Rename(f.Name(), name)
}
