package table

import (
	"bytes"
	"context"
	"io"
	"io/fs"
	"path"
	"strings"
	"time"

	"voidline/void"
)

// Originals is a project folder that keeps its tables, byte for byte, as they were when they were read: so the text of a cell
// can be had as a person wrote it, cells can be written back into their places, and it is seen when somebody changed a file
// meanwhile. It is for one goroutine at a time.
type Originals struct {
	dir   string
	fsys  fs.FS // what is read
	files map[string]*original
}

// original is a table as it was read.
type original struct {
	data  []byte
	whole bool    // to its end
	rows  *byLine // nil until a text is asked for
}

// OpenKept is Open that keeps the tables as they are read. The project asks them for the texts of its cells (void.Project.Originals).
func OpenKept(ctx context.Context, dir string, opt Options) (*void.Project, *Originals, error) {
	o := &Originals{dir: dir, files: map[string]*original{}}
	opt.keep = o
	p, err := Open(ctx, dir, opt)
	if p == nil {
		return nil, nil, err
	}
	p.Originals(func(at void.At, column string) (string, bool) {
		if int(at.File) >= len(p.Files) {
			return "", false
		}
		return o.text(p.Files[at.File], int(at.Line), column)
	})
	return p, o, err
}

// ReadDir, Stat and Open make the folder one that can be read.

func (o *Originals) ReadDir(name string) ([]fs.DirEntry, error) { return fs.ReadDir(o.fsys, name) }

func (o *Originals) Stat(name string) (fs.FileInfo, error) { return fs.Stat(o.fsys, name) }

func (o *Originals) Open(name string) (fs.File, error) {
	f, err := o.fsys.Open(name)
	if err != nil {
		return nil, err
	}
	kept := &original{}
	if info, err := f.Stat(); err == nil && info.Size() < 1<<30 {
		kept.data = make([]byte, 0, info.Size()+1) // one more, so that the end is met without growing
	}
	o.files[name] = kept
	return &keeping{f, kept}, nil
}

// keeping is a file whose bytes are kept as they are read.
type keeping struct {
	fs.File
	in *original
}

func (k *keeping) Read(b []byte) (int, error) {
	n, err := k.File.Read(b)
	k.in.data = append(k.in.data, b[:n]...)
	k.in.whole = k.in.whole || err == io.EOF
	return n, err
}

// memory is a file in memory as the only one of a folder.
type memory struct {
	name string
	data []byte
}

func (m memory) Open(name string) (fs.File, error) {
	if name != m.name {
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrNotExist}
	}
	return &memoryFile{memory: m, Reader: bytes.NewReader(m.data)}, nil
}

type memoryFile struct {
	memory
	*bytes.Reader
}

func (f *memoryFile) Stat() (fs.FileInfo, error) { return f, nil }
func (f *memoryFile) Close() error               { return nil }
func (f *memoryFile) Name() string               { return f.name }
func (f *memoryFile) Size() int64                { return int64(len(f.data)) }
func (f *memoryFile) Mode() fs.FileMode          { return 0o444 }
func (f *memoryFile) ModTime() time.Time         { return time.Time{} }
func (f *memoryFile) IsDir() bool                { return false }
func (f *memoryFile) Sys() any                   { return nil }

// sheet opens a table that was kept.
func (k *original) sheet(name string) (*sheet, error) {
	return openSheet(memory{name, k.data})
}

func openSheet(m memory) (*sheet, error) {
	s := &sheet{name: m.name, kind: kindOf(plain(strings.TrimSuffix(m.name, path.Ext(m.name))))}
	if err := s.open(context.Background(), m); err != nil {
		return nil, err
	}
	return s, nil
}

// byLine is a table as text, so that a row is found by its line.
type byLine struct {
	s      *sheet // of its header; nil where it has none
	text   []byte // all lines, each with a line feed
	starts []int  // of each line in it
	line   int    // of the row that was looked at last
	cells  []string
}

func (k *original) read(name string) *byLine {
	t := &byLine{}
	s, err := k.sheet(name)
	if err != nil {
		return t
	}
	defer s.close()
	if s.lost || s.broken {
		return t
	}
	in, err := newLines(bytes.NewReader(k.data))
	if err != nil {
		return t
	}
	for {
		line, _, err := in.next()
		if err != nil {
			break // the end, or where reading had stopped, too
		}
		t.starts = append(t.starts, len(t.text))
		t.text = append(append(t.text, line...), '\n')
	}
	t.s = s
	return t
}

// row returns the cells of the row that begins in a line.
func (t *byLine) row(line int) ([]string, bool) {
	if line == t.line {
		return t.cells, true
	}
	if t.s == nil || line < 1 || line > len(t.starts) {
		return nil, false
	}
	r := newRecords(&lines{in: bytes.NewReader(t.text[t.starts[line-1]:]), buf: make([]byte, 4<<10), here: mark{line: int32(line)}})
	r.separate(t.s.rec.sep)
	cells, bad, err := r.record()
	if bad != nil || err != nil || int(r.at().line) != line {
		return nil, false
	}
	t.line, t.cells = line, cells
	return cells, true
}

// text returns the text of a cell as it was read: of the row that begins in a line, in the column of that name; "" where the table has
// no such column. It is false where the row is not to be had.
func (o *Originals) text(file string, line int, column string) (string, bool) {
	k := o.files[file]
	if k == nil {
		return "", false
	}
	if k.rows == nil {
		k.rows = k.read(file)
	}
	cells, ok := k.rows.row(line)
	if !ok {
		return "", false
	}
	s := k.rows.s
	for _, c := range s.cols {
		if c.name == column && c.at < len(cells) {
			text, _ := s.text(c, strings.TrimSpace(cells[c.at]))
			return text, true
		}
	}
	for _, f := range s.fields {
		if f.name == column {
			return "", true
		}
	}
	return "", false
}
