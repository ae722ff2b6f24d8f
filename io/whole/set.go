package whole

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
)

// File is one of a set of files.
type File struct {
	Name string // in the folder of the set, without a path
	Data []byte
}

// Set is files that belong together, written to a folder whole or not at all: Stage writes them beside the
// place where they shall stand, Commit puts them there, Discard takes them away again.
type Set struct {
	dir   string
	stage string
	held  *os.File // the stage, locked
	fresh bool     // the folder was not there
	names []string
}

// stagePrefix begins the name of the hidden folder of a set.
const stagePrefix = ".voidline-"

// Stage writes the files, flushed to the disk, to a hidden folder beside dir (inside it where it is there
// already). All that is likely to fail, a full disk, a folder that may not be written to, fails here, and then
// nothing is left. Files that stand in dir are not touched before Commit.
func Stage(dir string, files []File) (*Set, error) {
	s := &Set{dir: filepath.Clean(dir)}
	err := s.write(files)
	if err == nil {
		return s, nil
	}
	s.Discard()
	return nil, fmt.Errorf("%s: nothing was written: %w", dir, bare(err))
}

func (s *Set) write(files []File) error {
	info, err := os.Stat(s.dir)
	in := s.dir
	switch {
	case errors.Is(err, fs.ErrNotExist):
		s.fresh = true
		in = filepath.Dir(s.dir)
		if _, err := os.Stat(in); err != nil {
			return fmt.Errorf("%s: %w", in, bare(err))
		}
	case err != nil:
		return err
	case !info.IsDir():
		return errors.New("it is a file, and a folder is wanted")
	}
	sweep(in, stagePrefix, true)
	if s.stage, err = os.MkdirTemp(in, stagePrefix+"*"); err != nil {
		return err
	}
	if s.held, err = os.Open(s.stage); err == nil {
		hold(s.held)
	}
	if s.fresh {
		if err := os.Chmod(s.stage, 0o755); err != nil {
			return err
		}
	}
	for _, f := range files {
		if f.Name != filepath.Base(f.Name) || slices.Contains(s.names, f.Name) {
			return fmt.Errorf("%q is no name for a file of the set", f.Name)
		}
		// A link or a device where the file shall stand is somebody's doing: it is not replaced.
		if info, err := os.Lstat(filepath.Join(s.dir, f.Name)); err == nil && !info.Mode().IsRegular() {
			return fmt.Errorf("%s stands there and is no file", f.Name)
		}
		if err := WriteFile(filepath.Join(s.stage, f.Name), f.Data); err != nil {
			return err
		}
		s.names = append(s.names, f.Name)
	}
	return nil
}

// Commit puts the files into the folder. Where the folder was not there, it comes into being with all of them at
// once. Else they are renamed one by one, which has no reason to fail half way; if it does, the files that
// were there are put back.
func (s *Set) Commit() error {
	if s.fresh {
		s.let()
		if err := os.Rename(s.stage, s.dir); err != nil {
			s.Discard()
			return fmt.Errorf("%s: nothing was written: %w", s.dir, bare(err))
		}
		return nil
	}
	defer s.Discard()
	const old = ".old"
	var done []string
	back := func() {
		for _, n := range done {
			to := filepath.Join(s.dir, n)
			if err := os.Rename(filepath.Join(s.stage, n+old), to); errors.Is(err, fs.ErrNotExist) {
				_ = os.Remove(to) // it was not there before
			}
		}
	}
	for _, n := range s.names {
		to := filepath.Join(s.dir, n)
		// A second name keeps the old file while the new one takes its place in one step.
		if err := os.Link(to, filepath.Join(s.stage, n+old)); err == nil {
			if info, err := os.Stat(to); err == nil {
				_ = os.Chmod(filepath.Join(s.stage, n), info.Mode().Perm())
			}
		} else if !errors.Is(err, fs.ErrNotExist) {
			if data, e := os.ReadFile(to); e != nil || os.WriteFile(filepath.Join(s.stage, n+old), data, 0o644) != nil {
				back()
				return fmt.Errorf("%s: nothing was written: %w", to, bare(err))
			}
		}
		if err := os.Rename(filepath.Join(s.stage, n), to); err != nil {
			_ = os.Remove(filepath.Join(s.stage, n+old))
			back()
			return fmt.Errorf("%s: nothing was written: %w", to, bare(err))
		}
		done = append(done, n)
	}
	return nil
}

// Discard takes away what Stage wrote. After Commit there is nothing left to take away.
func (s *Set) Discard() {
	s.let()
	if s.stage != "" {
		_ = os.RemoveAll(s.stage)
	}
}

// let lets go of the lock on the stage. An open folder cannot be renamed or taken away everywhere.
func (s *Set) let() {
	if s.held != nil {
		_ = s.held.Close() // it was only looked at
		s.held = nil
	}
}

// bare takes the temporary names off an error, which would tell nobody anything.
func bare(err error) error {
	var pe *fs.PathError
	var le *os.LinkError
	switch {
	case errors.As(err, &pe):
		return pe.Err
	case errors.As(err, &le):
		return le.Err
	}
	return err
}
