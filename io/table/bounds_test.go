package table

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"runtime"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"github.com/google/go-cmp/cmp"

	"voidline/void"
)

// made is a folder of which one file is made up while it is read.
type made struct {
	fstest.MapFS
	name string
	head string
	fill func(p []byte) // fills p, wherever in the file that is
	size int64
	read int64 // bytes handed out
}

func (m *made) Open(name string) (fs.File, error) {
	if name == m.name {
		m.read = 0
		return &madeFile{made: m}, nil
	}
	return m.MapFS.Open(name)
}

func (m *made) Stat(name string) (fs.FileInfo, error) { return m.MapFS.Stat(name) }

type madeFile struct {
	*made
	at int64
}

func (f *madeFile) Stat() (fs.FileInfo, error) { return f.MapFS.Stat(f.name) }
func (f *madeFile) Close() error               { return nil }
func (f *madeFile) Read(p []byte) (int, error) {
	if f.at >= f.size {
		return 0, io.EOF
	}
	p = p[:min(int64(len(p)), f.size-f.at)]
	n := 0
	if f.at < int64(len(f.head)) {
		n = copy(p, f.head[f.at:])
	}
	f.fill(p[n:])
	f.at += int64(len(p))
	f.made.read += int64(len(p))
	return len(p), nil
}

// TestHugeFiles reads files that are no tables of a building, in little memory.
func TestHugeFiles(t *testing.T) {
	const header = "id,x1,y1,size,level,note\n"
	all := func(c byte) func([]byte) {
		return func(p []byte) {
			for i := range p {
				p[i] = c
			}
		}
	}
	some := func(line string) func([]byte) {
		return func(p []byte) {
			for i := 0; i < len(p); i += copy(p[i:], line) {
			}
		}
	}
	for _, test := range []struct {
		about string
		head  string
		fill  func([]byte)
		size  int64
		read  int64 // at most
		want  []string
	}{
		{"1 GB of one line", header + "D1,0,0,ø50,2700,", all('n'), 1 << 30, 4 << 20, []string{"tray.csv:2: the line is longer than 1 MiB; give a row of a table (reading stops here)"}},
		{"1 GB of one header", "id,", all('n'), 1 << 30, 4 << 20, []string{"tray.csv:1: the line is longer than 1 MiB; give a row of a table (reading stops here)"}},
		{"1 GB of separators", header, all(','), 1 << 30, 4 << 20, []string{"tray.csv:2: the line is longer than 1 MiB; give a row of a table (reading stops here)"}},
		{"1 GB of NUL", header, all(0), 1 << 30, 4 << 20, []string{"tray.csv: not a text table; give a CSV file (it holds bytes that no text has)"}},
		{"blank lines", header + "D1,0,0,ø50,2700\n", all('\n'), 32 << 20, 32 << 20, nil},
		{"blank lines before a header", "", all('\n'), 32 << 20, 32 << 20, []string{"tray.csv: the file is empty; give a header and one row on each line"}},
		{"blank rows", header + "D1,0,0,ø50,2700\n", some(" ,,\n"), 8 << 20, 8 << 20, nil},
		{"a quote that is never closed", header + "D1,0,0,ø50,2700,\"", all('\n'), 32 << 20, 32 << 20, []string{`tray.csv:2:18: a " opens a cell that is not closed (reading goes on with the next line)`}},
	} {
		t.Run(test.about, func(t *testing.T) {
			m := &made{MapFS: folder(map[string]string{"tray.csv": ""}), name: "tray.csv", head: test.head, fill: test.fill, size: test.size}
			var before, after runtime.MemStats
			runtime.ReadMemStats(&before)
			start := time.Now()
			tables, err := readTables(context.Background(), "project", Options{FS: m})
			took := time.Since(start)
			runtime.ReadMemStats(&after)
			if err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(test.want, asText(tables.Problems)); diff != "" {
				t.Errorf("Problems (-want +got):\n%s", diff)
			}
			if m.read > test.read {
				t.Errorf("read %d bytes of the file, want at most %d", m.read, test.read)
			}
			fresh := after.TotalAlloc - before.TotalAlloc
			if limit := uint64(32 << 20); fresh > limit {
				t.Errorf("took %d bytes of memory, want at most %d", fresh, limit)
			}
			if test.read < test.size && took > time.Second {
				t.Errorf("took %v", took)
			}
			t.Logf("%v, %d bytes read, %d bytes of memory", took, m.read, fresh)
		})
	}
}

// TestManyProblems keeps the first problems of a file, counts the rest, and misses no row.
func TestManyProblems(t *testing.T) {
	text := "id,x1,y1,size,level\n" + strings.Repeat("D,0,0,ø50,up\n", 1500) + "D,0\n" + strings.Repeat("D,0,0,ø50,2700\n", 10)
	tables, zones := read(t, folder(map[string]string{"tray.csv": text, "z.csv": "id,x1,y1,size,level\n,0,0,ø50,2700\n"}))
	if n := len(tables.Problems); n != void.MostOfFile+2 || tables.RowsMissing != 1502 || len(zones) != 11 {
		t.Fatalf("%d problems, %d rows missing, %d zones, want %d, 1502, 11", n, tables.RowsMissing, len(zones), void.MostOfFile+2)
	}
	want := []string{"tray.csv: and 501 more", "z.csv:2:1: id: blank"}
	if diff := cmp.Diff(want, asText(tables.Problems[void.MostOfFile:])); diff != "" {
		t.Errorf("the last problems (-want +got):\n%s", diff)
	}
	wide := "id,x1,y1,size,level" + strings.Repeat(",n", maxColumns) + "\nD1,0,0,ø50,2700\n"
	tables, _ = read(t, folder(map[string]string{"tray.csv": wide}))
	if diff := cmp.Diff([]string{"tray.csv:1: a header of 1005 cells; give the columns of a table"}, asText(tables.Problems)); diff != "" || tables.RowsMissing != 1 {
		t.Errorf("%d rows missing, want 1; problems (-want +got):\n%s", tables.RowsMissing, diff)
	}
}

// TestCancel stops in the middle of an endless table and leaves nothing running.
func TestCancel(t *testing.T) {
	line := "D1,0,0,ø50,2700,\n"
	at := 0
	m := &made{
		MapFS: folder(map[string]string{"tray.csv": ""}), name: "tray.csv", head: "id,x1,y1,size,level,note\n", size: 1 << 60,
		fill: func(p []byte) {
			for i := range p {
				p[i] = line[at%len(line)]
				at++
			}
		},
	}
	before := runtime.NumGoroutine()
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	rows := 0
	tables, err := readTables(ctx, "project", Options{FS: m, Zone: func(string, *void.ZoneRow) {
		if rows++; rows == 1000 {
			cancel()
		}
	}})
	if !errors.Is(err, context.Canceled) || tables != nil {
		t.Errorf("Read = %v, %v, want context.Canceled", tables, err)
	}
	if rows < 1000 || rows > 1000+batchSize {
		t.Errorf("%d rows, want to stop soon after 1000", rows)
	}
	noMoreGoroutines(t, before)

	// Cancelled where no row ever comes.
	ctx, stop := context.WithCancel(context.Background())
	defer stop()
	m.fill = func(p []byte) {
		for i := range p {
			p[i] = '\n'
		}
		if m.read > 1<<20 {
			stop()
		}
	}
	if tables, err := readTables(ctx, "project", Options{FS: m}); !errors.Is(err, context.Canceled) || tables != nil {
		t.Errorf("Read = %v, %v, want context.Canceled", tables, err)
	}
	if m.read > 2<<20 {
		t.Errorf("read %d bytes after it was cancelled", m.read-1<<20)
	}
	m.read = 0 // Cancelled before anything is read.
	if tables, err := readTables(ctx, "project", Options{FS: m}); !errors.Is(err, context.Canceled) || tables != nil || m.read > 0 {
		t.Errorf("Read = %v, %v, %d bytes read, want context.Canceled", tables, err, m.read)
	}
}

// broken hands out some of a file and then an error.
type brokenFS struct{ fstest.MapFS }

type brokenFile struct {
	fs.File
	left int
}

var errDisk = errors.New("input/output error")

func (b brokenFS) Open(name string) (fs.File, error) {
	f, err := b.MapFS.Open(name)
	if name == "tray.csv" {
		return &brokenFile{f, 6010}, err
	}
	return f, err
}

func (b brokenFS) Stat(name string) (fs.FileInfo, error) { return b.MapFS.Stat(name) }

func (b *brokenFile) Read(p []byte) (int, error) {
	if b.left == 0 {
		return 0, &fs.PathError{Op: "read", Path: "tray.csv", Err: errDisk}
	}
	n, err := b.File.Read(p[:min(len(p), b.left)])
	b.left -= n
	return n, err
}

// TestBrokenOff reads a file that cannot be read to its end: what came before is delivered.
func TestBrokenOff(t *testing.T) {
	text := "id,x1,y1,size,level\n"
	for i := range 1000 {
		text += fmt.Sprintf("D%04d,0,0,DN50,2700\n", i) // 20 bytes, as the header
	}
	want := 299 // and half of the next
	rows := 0
	tables, err := readTables(context.Background(), "project", Options{FS: brokenFS{folder(map[string]string{"tray.csv": text, "z.csv": goodZones})}, Zone: func(file string, _ *void.ZoneRow) {
		if file == "tray.csv" {
			rows++
		}
	}})
	if err != nil {
		t.Fatal(err)
	}
	problems := []string{fmt.Sprintf("tray.csv:%d: cannot be read: input/output error", want+2)}
	if diff := cmp.Diff(problems, asText(tables.Problems)); diff != "" || rows != want || len(tables.Unread) != 1 {
		t.Errorf("%d rows, %q unread, want %d, 1 file; problems (-want +got):\n%s", rows, tables.Unread, want, diff)
	}
}
