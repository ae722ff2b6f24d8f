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
func WriteFile(name string, data []byte) error {
	err := write(name, data)
	if err == nil {
		return nil
	}
	// The temporary file's name would tell nobody anything.
	var pe *fs.PathError
	var le *os.LinkError
	switch {
	case errors.As(err, &pe):
		err = pe.Err
	case errors.As(err, &le):
		err = le.Err
	}
	return fmt.Errorf("%s: cannot be written: %w", name, err)
}

func write(name string, data []byte) (err error) {
	mode := fs.FileMode(0o644)
	if info, e := os.Stat(name); e == nil {
		if info.IsDir() {
			return errors.New("it is a folder")
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
			_ = os.Remove(f.Name()) // the error that brought us here is the one to tell
		}
	}()
	_, err = f.Write(data)
	if err == nil {
		err = f.Chmod(mode)
	}
	if err == nil {
		err = f.Sync()
	}
	if e := f.Close(); err == nil {
		err = e
	}
	if err != nil {
		return err
	}
	return os.Rename(f.Name(), name)
}
