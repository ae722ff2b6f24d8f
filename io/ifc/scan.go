package ifc

import (
	"bytes"
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"sort"
	"strings"

	"voidline/void"
)

// The limits of what is read, so that a hostile file costs no more than a large one.
const (
	mostInstances = 50_000_000
	mostBytes     = 4 << 30  // of a file, unzipped
	mostStatement = 32 << 20 // bytes of one instance: a large mesh is one
	mostString    = 64 << 10 // bytes of one string
	mostDepth     = 64       // placements in placements, mapped items in mapped items, lists in lists
	mostRatio     = 200      // how many times its size a zipped file may unfold to
)

// Bounds are how much of a model file is read, and what keeps anybody from writing more.
func Bounds() []void.Bound {
	const why, source = "keeps a hostile file from costing more than a large one; the file is refused, with the line", void.NoSource
	return []void.Bound{
		{Name: "instances of a model file", Most: mostInstances, Why: why, Source: source},
		{Name: "megabytes of a model file, unzipped", Most: mostBytes >> 20, Why: why, Source: source},
		{Name: "times its size to which a zipped model file may unfold", Most: mostRatio, Why: why, Source: source},
		{Name: "megabytes of one instance of a model file", Most: mostStatement >> 20, Why: why, Source: source},
		{Name: "kilobytes of one string of a model file", Most: mostString >> 10, Why: why, Source: source},
		{Name: "placements or mapped shapes of a model, one inside the other", Most: mostDepth, Why: "the element goes without its form, and is told with the line", Source: source},
	}
}

// instance is where an instance stands and of what type it is.
type instance struct {
	at   int64
	id   uint32
	kind uint16
}

// File is an open model file with its index.
type File struct {
	Name   string // as it was given, without its folder
	Schema string // IFC2X3, IFC4, IFC4X3 …
	Bytes  int64  // unzipped
	Day    string // on which it was written, as its header says: 2026-11-30; "" where it does not

	in     source
	pages  pages
	index  []instance // by id
	types  []string
	number map[string]uint16
	lines  []int // number of line ends before each chunk of the first pass
	remove string
}

// source is what a file is read from.
type source interface {
	io.ReaderAt
	io.Closer
}

// chunk is how much is read at a time, bytes.
const chunk = 1 << 18

// Open indexes a model file. progress, where it is not nil, is called now and then with the bytes that were read and their number.
func Open(ctx context.Context, name string, progress func(done, of int64)) (*File, error) {
	f := &File{Name: filepath.Base(name), number: map[string]uint16{}}
	in, err := os.Open(name)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, bare(err))
	}
	info, err := in.Stat()
	if err == nil && info.IsDir() {
		err = errors.New("it is a folder, and a model file is wanted")
	}
	if err != nil {
		_ = in.Close() // nothing was written
		return nil, fmt.Errorf("%s: %w", name, bare(err))
	}
	f.in, f.Bytes = in, info.Size()
	var head [4]byte
	if n, _ := in.ReadAt(head[:], 0); n == 4 && string(head[:]) == "PK\x03\x04" {
		if err := f.unzip(ctx, in, info.Size()); err != nil {
			f.Close()
			return nil, err
		}
	}
	if f.Bytes > mostBytes {
		f.Close()
		return nil, f.whole(fmt.Sprintf("it has %d MB; more than %d are not read", f.Bytes>>20, int64(mostBytes)>>20))
	}
	if err := f.scan(ctx, progress); err != nil {
		f.Close()
		return nil, err
	}
	f.pages.from, f.pages.size = f.in, f.Bytes
	return f, nil
}

// Close closes the file and takes away what was unzipped.
func (f *File) Close() {
	_ = f.in.Close() // it was only read
	if f.remove != "" {
		_ = os.Remove(f.remove) // a temporary file; the system takes it away otherwise
	}
}

// bare takes operation and path, which the message has already, off an error.
func bare(err error) error {
	var path *os.PathError
	if errors.As(err, &path) {
		return path.Err
	}
	return err
}

// whole is a problem of the file as a whole.
func (f *File) whole(what string) error { return void.Problem{File: f.Name, What: what} }

// wrong is a problem at a place in the file.
func (f *File) wrong(at int64, what string) void.Problem {
	return void.Problem{File: f.Name, Line: f.line(at), What: what}
}

// line returns the line, from 1, in which a byte of the file stands.
func (f *File) line(at int64) int {
	n := int(at / chunk)
	if n >= len(f.lines) {
		n = len(f.lines) - 1
	}
	if n < 0 {
		return 1
	}
	b := make([]byte, max(0, at-int64(n)*chunk))
	m, _ := f.in.ReadAt(b, int64(n)*chunk) // it was read before
	return f.lines[n] + bytes.Count(b[:m], []byte{'\n'}) + 1
}

// scanner is the first pass: it splits the file into statements, which end in a semicolon outside of strings and comments.
type scanner struct {
	f      *File
	at     int64 // of the statement's first sign
	text   []byte
	inData bool
	schema string
	ended  bool
	seen   bool // the first statement was looked at
	sorted bool
	quoted int64 // where the string that is open began
}

// What the first pass is in.
const (
	between = iota // before a statement
	within
	inString
	inComment
	slash // after a / that may begin a comment
	star  // after a * that may end one
)

// headOf is how much of a statement of the data is kept: its id and its type.
const headOf = 128

func (f *File) scan(ctx context.Context, progress func(done, of int64)) error {
	s := scanner{f: f, sorted: true}
	buf := make([]byte, chunk)
	state, back := between, between
	lines := 0
	for pos := int64(0); ; {
		if err := ctx.Err(); err != nil {
			return err
		}
		n, err := f.in.ReadAt(buf, pos)
		if err != nil && !errors.Is(err, io.EOF) {
			return fmt.Errorf("%s: %w", f.Name, bare(err))
		}
		if n == 0 {
			break
		}
		f.lines = append(f.lines, lines)
		b := buf[:n]
		if pos == 0 {
			if err := f.first(b); err != nil {
				return err
			}
			if bytes.HasPrefix(b, []byte("\xef\xbb\xbf")) {
				copy(b, "   ")
			}
		}
		lines += bytes.Count(b, []byte{'\n'})
		for i := 0; i < n; i++ {
			c := b[i]
			switch state {
			case between:
				switch {
				case c == 0:
					return f.wrong(pos+int64(i), "a zero byte: it is no STEP file, or damaged")
				case c <= ' ' || c == ';':
				case c == '/':
					state, back = slash, between
				default:
					state, s.at, s.text = within, pos+int64(i), append(s.text[:0], c)
				}
			case within:
				switch c {
				case ';':
					if err := s.statement(); err != nil {
						return err
					}
					state = between
					continue
				case '\'':
					state, s.quoted = inString, pos+int64(i)
				case '/':
					state, back = slash, within
				}
				if len(s.text) < headOf || !s.inData {
					s.text = append(s.text, c)
				}
				if size := pos + int64(i) - s.at; size > mostStatement || !s.inData && size > mostString {
					return f.wrong(s.at, fmt.Sprintf("an instance of more than %d MB, or a header without an end: not read", mostStatement>>20))
				}
			case inString:
				// What is in a string is looked at when it is read; here only its end counts.
				j := bytes.IndexByte(b[i:], '\'')
				if j < 0 {
					j = n - 1 - i
				} else {
					state = within
				}
				if pos+int64(i+j)-s.quoted > mostString {
					return f.wrong(s.quoted, fmt.Sprintf("a string of more than %d KB, or one without an end: not read", mostString>>10))
				}
				if !s.inData || len(s.text) < headOf {
					s.text = append(s.text, b[i:i+j+1]...)
				}
				i += j
			case slash:
				if c == '*' {
					state = inComment
					if back == within && len(s.text) > 0 && (len(s.text) < headOf || !s.inData) {
						s.text = s.text[:len(s.text)-1]
					}
					continue
				}
				if back == between {
					return f.wrong(pos+int64(i), "a / where an instance or a comment should begin")
				}
				state = within
				i-- // looked at again as what it is
			case inComment:
				if c == '*' {
					state = star
				}
			case star:
				if c == '/' {
					state = back
				} else if c != '*' {
					state = inComment
				}
			}
		}
		pos += int64(n)
		if progress != nil {
			progress(pos, f.Bytes)
		}
	}
	switch {
	case state == within || state == inString:
		return f.wrong(s.at, "the file ends in the midst of this instance: it was cut short")
	case state == inComment || state == star:
		return f.wrong(f.Bytes, "the file ends in a comment: it was cut short")
	case !s.seen:
		return f.whole("it is empty")
	case !s.ended:
		return f.wrong(f.Bytes, "the file ends without END-ISO-10303-21: it was cut short")
	case len(f.index) == 0:
		return f.whole("it has no instances")
	}
	if !s.sorted {
		slices.SortFunc(f.index, func(a, b instance) int { return cmp.Or(cmp.Compare(a.id, b.id), cmp.Compare(a.at, b.at)) })
		for i := 1; i < len(f.index); i++ {
			if f.index[i].id == f.index[i-1].id {
				return f.wrong(f.index[i].at, fmt.Sprintf("#%d is there twice, first in line %d", f.index[i].id, f.line(f.index[i-1].at)))
			}
		}
	}
	f.Schema = s.schema
	return nil
}

// first looks at how the file begins, to say what it is where it is no STEP file.
func (f *File) first(b []byte) error {
	head := strings.TrimSpace(strings.TrimPrefix(string(b[:min(len(b), 512)]), "\xef\xbb\xbf"))
	switch {
	case strings.HasPrefix(head, "<"):
		return f.whole("it is XML; save the model as IFC in STEP form (.ifc)")
	case strings.HasPrefix(head, "{") || strings.HasPrefix(head, "["):
		return f.whole("it is JSON; save the model as IFC in STEP form (.ifc)")
	case len(b) > 1 && (b[0] == 0xff && b[1] == 0xfe || b[0] == 0xfe && b[1] == 0xff):
		return f.whole("it is UTF-16; STEP files are plain text")
	case !strings.HasPrefix(strings.TrimLeft(strings.ToUpper(head), " \t\r\n"), "ISO-10303-21") && !strings.HasPrefix(head, "/*"):
		return f.whole("it does not begin with ISO-10303-21: it is no model in STEP form")
	}
	return nil
}

// statement takes a statement that has ended.
func (s *scanner) statement() error {
	f, text := s.f, s.text
	if !s.seen {
		s.seen = true
		if word := strings.ToUpper(strings.TrimSpace(string(text))); word != "ISO-10303-21" {
			return f.wrong(s.at, "it does not begin with ISO-10303-21: it is no model in STEP form")
		}
		return nil
	}
	if text[0] != '#' {
		word := strings.ToUpper(strings.TrimSpace(string(text[:min(len(text), 40)])))
		name, _, _ := strings.Cut(word, "(")
		switch strings.TrimSpace(name) {
		case "DATA":
			s.inData = true
			if s.schema == "" {
				return f.wrong(s.at, "no FILE_SCHEMA in the header: it is not known what the model is written in")
			}
			if !strings.HasPrefix(s.schema, "IFC2X") && !strings.HasPrefix(s.schema, "IFC4") {
				return f.wrong(s.at, fmt.Sprintf("FILE_SCHEMA is %s; IFC2X3 and IFC4 are read", s.schema))
			}
		case "ENDSEC":
			s.inData = false
		case "END-ISO-10303-21":
			s.ended = true
		case "FILE_SCHEMA":
			if _, rest, ok := strings.Cut(string(text), "'"); ok {
				name, _, _ := strings.Cut(rest, "'")
				s.schema = strings.ToUpper(strings.TrimSpace(name))
			}
		case "FILE_NAME":
			f.Day = day(string(text))
		default:
			if s.inData {
				return f.wrong(s.at, fmt.Sprintf("%q where an instance, such as #12=IFCWALL(...), should be", trimmed(text)))
			}
		}
		return nil
	}
	id, i := uint64(0), 1
	for ; i < len(text) && text[i] >= '0' && text[i] <= '9' && id < 1<<32; i++ {
		id = id*10 + uint64(text[i]-'0')
	}
	if i == 1 || id == 0 || id >= 1<<32 {
		return f.wrong(s.at, fmt.Sprintf("%q is no number of an instance", trimmed(text)))
	}
	for i < len(text) && text[i] <= ' ' {
		i++
	}
	if i >= len(text) || text[i] != '=' {
		return f.wrong(s.at, fmt.Sprintf("#%d is not followed by =", id))
	}
	for i++; i < len(text) && text[i] <= ' '; i++ {
	}
	from := i
	for i < len(text) && (text[i] == '_' || text[i] >= '0' && text[i] <= '9' || text[i] >= 'A' && text[i] <= 'Z' || text[i] >= 'a' && text[i] <= 'z') {
		i++
	}
	kind, ok := f.number[string(text[from:i])]
	if !ok {
		name := strings.ToUpper(string(text[from:i])) // "" of an instance of several types
		if kind, ok = f.number[name]; !ok {
			if len(f.types) == 1<<16 {
				return f.wrong(s.at, "more types of instances than any model has")
			}
			kind = uint16(len(f.types))
			f.types = append(f.types, name)
			f.number[name] = kind
		}
		f.number[string(text[from:i])] = kind
	}
	if len(f.index) == mostInstances {
		return f.wrong(s.at, fmt.Sprintf("more than %d instances: not read", mostInstances))
	}
	if n := len(f.index); n > 0 && f.index[n-1].id >= uint32(id) {
		s.sorted = false
	}
	f.index = append(f.index, instance{s.at, uint32(id), kind})
	return nil
}

// day returns the day out of FILE_NAME, whose second text is a time.
func day(text string) string {
	parts := strings.Split(text, "'")
	for _, p := range parts[min(3, len(parts)):] {
		if len(p) >= 10 && p[4] == '-' && p[7] == '-' {
			return p[:10]
		}
	}
	return ""
}

func trimmed(text []byte) string {
	if len(text) > 40 {
		return string(text[:40]) + "…"
	}
	return string(text)
}

// find returns an instance by its id.
func (f *File) find(id uint32) (instance, bool) {
	i := sort.Search(len(f.index), func(i int) bool { return f.index[i].id >= id })
	if i == len(f.index) || f.index[i].id != id {
		return instance{}, false
	}
	return f.index[i], true
}

// typeOf returns the type of an instance in capitals, "" where it is not there.
func (f *File) typeOf(id uint32) string {
	in, ok := f.find(id)
	if !ok {
		return ""
	}
	return f.types[in.kind]
}

// byType returns the ids of instances of each of the types, in the order of the file's ids.
func (f *File) byType() map[string][]uint32 {
	many := make([]int, len(f.types))
	for i := range f.index {
		many[f.index[i].kind]++
	}
	out := map[string][]uint32{}
	keep := make([]bool, len(f.types))
	for k, name := range f.types {
		if !bulk[name] {
			keep[k] = true
			out[name] = make([]uint32, 0, many[k])
		}
	}
	for i := range f.index {
		if k := f.index[i].kind; keep[k] {
			out[f.types[k]] = append(out[f.types[k]], f.index[i].id)
		}
	}
	return out
}

// bulk are the types that make up most of a file and are never looked for by type.
var bulk = map[string]bool{
	"IFCCARTESIANPOINT": true, "IFCDIRECTION": true, "IFCPOLYLOOP": true, "IFCFACEOUTERBOUND": true, "IFCFACEBOUND": true, "IFCFACE": true,
	"IFCAXIS2PLACEMENT3D": true, "IFCAXIS2PLACEMENT2D": true, "IFCPOLYLINE": true, "IFCPROPERTYSINGLEVALUE": true, "IFCINDEXEDPOLYGONALFACE": true,
	"IFCORIENTEDEDGE": true, "IFCEDGECURVE": true, "IFCVERTEXPOINT": true, "IFCEDGELOOP": true, "IFCPLANE": true, "IFCLINE": true, "IFCVECTOR": true,
	"IFCSTYLEDITEM": true, "IFCLOCALPLACEMENT": true, "IFCCOMPOSITECURVESEGMENT": true, "IFCTRIMMEDCURVE": true, "IFCSHAPEREPRESENTATION": true,
	"IFCPRODUCTDEFINITIONSHAPE": true, "IFCPROPERTYSET": true, "IFCEXTRUDEDAREASOLID": true,
}

// pages are what was read of a file lately.
type pages struct {
	from io.ReaderAt
	size int64
	have map[int64][]byte
	ring []int64
	next int
}

// keptPages is how many pieces of a file are kept: 16 MB.
const keptPages = 64

// page returns a piece of the file. It stays good, whatever is read after it.
func (p *pages) page(n int64) ([]byte, error) {
	if b, ok := p.have[n]; ok {
		return b, nil
	}
	if p.have == nil {
		p.have = map[int64][]byte{}
	}
	b := make([]byte, min(chunk, p.size-n*chunk))
	if _, err := p.from.ReadAt(b, n*chunk); err != nil && !errors.Is(err, io.EOF) {
		return nil, err
	}
	if len(p.ring) < keptPages {
		p.ring = append(p.ring, n)
	} else {
		delete(p.have, p.ring[p.next])
		p.ring[p.next] = n
		p.next = (p.next + 1) % keptPages
	}
	p.have[n] = b
	return b, nil
}

// text returns the text of an instance from its first byte up to its semicolon, without comments.
func (f *File) text(at int64) ([]byte, error) {
	n := at / chunk
	b, err := f.pages.page(n)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", f.Name, bare(err))
	}
	b = b[at-n*chunk:]
	quoted := false
	for i, c := range b {
		if c == '\'' {
			quoted = !quoted
		} else if c == ';' && !quoted {
			return b[:i], nil
		} else if c == '*' && !quoted && i > 0 && b[i-1] == '/' {
			break
		}
	}
	// With a comment, or over the end of a page.
	var text []byte
	for state := within; ; {
		for _, c := range b {
			switch state {
			case inString:
				if c == '\'' {
					state = within
				}
			case inComment:
				if c == '*' {
					state = star
				}
				continue
			case star:
				if c == '/' {
					state = within
				} else if c != '*' {
					state = inComment
				}
				continue
			default:
				switch {
				case c == ';':
					return text, nil
				case c == '\'':
					state = inString
				case c == '*' && len(text) > 0 && text[len(text)-1] == '/':
					text, state = text[:len(text)-1], inComment
					continue
				}
			}
			text = append(text, c)
		}
		n++
		if len(text) > mostStatement || n*chunk >= f.Bytes {
			return nil, f.wrong(at, "an instance without an end")
		}
		if b, err = f.pages.page(n); err != nil {
			return nil, fmt.Errorf("%s: %w", f.Name, bare(err))
		}
	}
}
