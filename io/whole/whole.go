// Package whole writes files whole or not at all.
package whole

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
)

// WriteFile puts data into the named file: into a temporary file beside it, flushed to the disk, then renamed.
// A reader sees the old file or the new one, never a part. On an error the old file is untouched and no
// temporary file is left. The file keeps the permissions that it had. What a killed process left of an earlier try is taken
// away once it is an hour old.
func WriteFile(name string, data []byte) error {
	return Write(name, func(w io.Writer) error { _, err := w.Write(data); return err })
}

// Replace is WriteFile that asks once more: still is called when the new file is whole and on the disk, just before it takes
// the place of the old one. Where it returns an error the old file is untouched and the error comes back as it is.
func Replace(name string, data []byte, still func() error) error {
	return said(name, write(name, func(w io.Writer) error { _, err := w.Write(data); return err }, still))
}

// Writable reports whether a file that is there may be written to: renaming a new one over it would not ask.
func Writable(name string) bool {
	info, err := os.Stat(name)
	if err != nil || info.Mode().Perm()&0o222 == 0 {
		return err != nil // root may write to what is marked so all the same
	}
	f, err := os.OpenFile(name, os.O_WRONLY, 0)
	if err == nil {
		_ = f.Close() // nothing was written
	}
	return !errors.Is(err, fs.ErrPermission)
}

// fillError is an error of what fills a file, not of the file.
type fillError struct{ error }

// Write is WriteFile for what is written bit by bit: fill writes into a buffer. Where fill returns an error the old file
// is untouched, no temporary file is left, and the error comes back as it is.
func Write(name string, fill func(w io.Writer) error) error {
	return said(name, write(name, fill, nil))
}

// said puts an error of write into words.
func said(name string, err error) error {
	if fe, ok := err.(fillError); ok {
		return fe.error
	}
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

func write(name string, fill func(w io.Writer) error, still func() error) (err error) {
	into := func(f *os.File) error {
		s := &sink{f: f}
		b := bufio.NewWriterSize(s, 1<<18)
		err := fill(b)
		if err == nil {
			err = b.Flush()
		}
		if err != nil && s.err == nil {
			return fillError{err}
		}
		return s.err
	}
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
			if e = into(f); e != nil {
				_ = f.Close() // the error of the writing is the one to tell
				return e
			}
			return f.Close()
		}
		mode = info.Mode().Perm()
		// A link stays a link: what it points to is replaced.
		if real, e := filepath.EvalSymlinks(name); e == nil {
			name = real
		}
	}
	prefix := "." + filepath.Base(name) + "."
	sweep(filepath.Dir(name), prefix, false)
	f, err := os.CreateTemp(filepath.Dir(name), prefix+"*")
	if err != nil {
		return err
	}
	hold(f) // until it is closed: nobody sweeps it away meanwhile
	defer func() {
		if err != nil {
			_ = os.Remove(f.Name()) // the error that brought us here is the one to tell
		}
	}()
	err = into(f)
	if err == nil {
		err = f.Chmod(mode)
	}
	if err == nil {
		err = f.Sync()
	}
	if e := f.Close(); err == nil {
		err = e
	}
	if err == nil && still != nil {
		if e := still(); e != nil {
			err = fillError{e}
		}
	}
	if err != nil {
		return err
	}
	return os.Rename(f.Name(), name)
}

// sink remembers the file's own first error, so that it is told apart from an error of what fills it.
type sink struct {
	f   *os.File
	err error
}

func (s *sink) Write(p []byte) (int, error) {
	n, err := s.f.Write(p)
	if err != nil {
		s.err = err
	}
	return n, err
}
