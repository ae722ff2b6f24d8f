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
	// Linked, not nil: the file links to others of the set by their names, as a page does. It returns the file's data with the
	// others in a folder of this name beside it.
	Linked func(folder string) []byte
}

// Set is files that belong together, written to a folder whole or not at all: Stage writes them beside the
// place where they shall stand, Commit puts them there, Discard takes them away again.
type Set struct {
	dir   string
	stage string
	held  *os.File // the stage, locked
	fresh bool     // the folder was not there
	names []string
	pages []string // those of names that link to the others
	// placed are the files that have their places.
	placed []string
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
	if s.fresh {
		sweep(in, stagePrefix, true)
	}
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
		if f.Linked != nil && !s.fresh {
			if err := WriteFile(filepath.Join(s.stage, f.Name+turning), f.Linked(filepath.Base(s.stage))); err != nil {
				return err
			}
			s.pages = append(s.pages, f.Name)
		}
	}
	return nil
}

// What is put behind the names of files in the stage: of the old file, kept until all are in their places; of a page that links
// to the stage; of a second name of a new file, which takes its place.
const (
	old     = ".old"
	turning = ".turning"
	second  = ".second"
)

// rename and link are how files get their places.
var rename, link = os.Rename, os.Link

// Commit puts the files into the folder. Where the folder was not there, it comes into being with all of them at
// once. Else no page ever stands beside files of another day that it links to, whenever the process is killed: first a
// page that links to the new files in the stage takes the place of the old one, in one step; then the new files get
// their places, and stay in the stage, too; then the page that links to them there. Where something fails half way, the files
// that were there are put back.
func (s *Set) Commit() error { return s.CommitIf(nil) }

// CommitIf is Commit that asks once more: still, where it is not nil, is called when all is ready, just before the first file gets its
// place. Where it returns an error nothing is written and the error comes back as it is.
func (s *Set) CommitIf(still func() error) error {
	if s.fresh {
		if still != nil {
			if err := still(); err != nil {
				s.Discard()
				return err
			}
		}
		s.let()
		if err := rename(s.stage, s.dir); err != nil {
			s.Discard()
			return fmt.Errorf("%s: nothing was written: %w", s.dir, bare(err))
		}
		return nil
	}
	defer s.Discard()
	at, err := s.places(still)
	if fe, ok := err.(fillError); ok {
		return fe.error
	}
	if err != nil {
		for _, n := range s.names {
			to := filepath.Join(s.dir, n)
			if e := os.Rename(filepath.Join(s.stage, n+old), to); errors.Is(e, fs.ErrNotExist) && slices.Contains(s.placed, n) {
				_ = os.Remove(to) // it was not there before
			}
		}
		return fmt.Errorf("%s: nothing was written: %w", filepath.Join(s.dir, at), bare(err))
	}
	sweep(s.dir, stagePrefix, true) // not before: a page of a killed process may link into one
	return nil
}

// places gives the files their places, if still says so; of an error it says of which file it is.
func (s *Set) places(still func() error) (at string, err error) {
	for _, n := range s.names {
		if err := s.keep(n); err != nil {
			return n, err
		}
	}
	if still != nil {
		if err := still(); err != nil {
			return "", fillError{err}
		}
	}
	for _, n := range s.pages {
		if err := s.place(n+turning, n); err != nil {
			return n, err
		}
	}
	for _, n := range s.names {
		if slices.Contains(s.pages, n) {
			continue
		}
		from := n
		if len(s.pages) > 0 {
			from = n + second
			if err := twice(filepath.Join(s.stage, n), filepath.Join(s.stage, from)); err != nil {
				return n, err
			}
		}
		if err := s.place(from, n); err != nil {
			return n, err
		}
	}
	for _, n := range s.pages {
		if err := s.place(n, n); err != nil {
			return n, err
		}
	}
	return "", nil
}

// keep gives the file that stands where one shall stand a second name in the stage, and the new one its permissions.
func (s *Set) keep(n string) error {
	to := filepath.Join(s.dir, n)
	info, err := os.Lstat(to)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	if !info.Mode().IsRegular() {
		return errors.New("it is no file")
	}
	for _, new := range []string{n, n + turning} {
		_ = os.Chmod(filepath.Join(s.stage, new), info.Mode().Perm()) // the second is there for pages alone
	}
	return twice(to, filepath.Join(s.stage, n+old))
}

// place puts a file of the stage into its place.
func (s *Set) place(from, n string) error {
	err := rename(filepath.Join(s.stage, from), filepath.Join(s.dir, n))
	if err == nil {
		s.placed = append(s.placed, n)
	}
	return err
}

// twice gives a file a second name or, where the file system knows no such thing, copies it.
func twice(name, second string) error {
	if err := link(name, second); err == nil {
		return nil
	}
	data, err := os.ReadFile(name)
	if err != nil {
		return err
	}
	info, err := os.Stat(name)
	if err != nil {
		return err
	}
	if err := WriteFile(second, data); err != nil {
		return err
	}
	return os.Chmod(second, info.Mode().Perm())
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
