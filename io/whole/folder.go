package whole

import (
	"bytes"
	"io/fs"
	"path"
	"slices"
	"strings"
	"time"
)

// Folder is files in memory as a folder that can be read.
type Folder []File

// Open returns the file of a name.
func (f Folder) Open(name string) (fs.File, error) {
	for i := range f {
		if f[i].Name == name {
			return &opened{inFolder{&f[i]}, bytes.NewReader(f[i].Data)}, nil
		}
	}
	return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrNotExist}
}

// ReadDir returns all files by name: there is one folder, whatever it is called.
func (f Folder) ReadDir(string) ([]fs.DirEntry, error) {
	var out []fs.DirEntry
	for i := range f {
		out = append(out, fs.FileInfoToDirEntry(inFolder{&f[i]}))
	}
	slices.SortFunc(out, func(a, b fs.DirEntry) int { return strings.Compare(a.Name(), b.Name()) })
	return out, nil
}

type opened struct {
	inFolder
	in *bytes.Reader
}

func (o *opened) Stat() (fs.FileInfo, error) { return o.inFolder, nil }
func (o *opened) Close() error               { return nil }
func (o *opened) Read(p []byte) (int, error) { return o.in.Read(p) }

// inFolder is a file as a folder lists it.
type inFolder struct{ f *File }

func (i inFolder) Name() string       { return path.Base(i.f.Name) }
func (i inFolder) Size() int64        { return int64(len(i.f.Data)) }
func (i inFolder) Mode() fs.FileMode  { return 0o444 }
func (i inFolder) ModTime() time.Time { return time.Time{} }
func (i inFolder) IsDir() bool        { return false }
func (i inFolder) Sys() any           { return nil }
