package table

import (
	"bytes"
	"errors"
	"io"
	"unicode/utf16"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"
	"golang.org/x/text/transform"
)

// The bounds of what is read. A table of a building is far inside them; a file that is not a table
// must not fill the memory before it is refused.
const (
	maxCell    = 64 << 10 // bytes in a cell, and in a record of more than one line
	maxLine    = 1 << 20  // bytes in a line
	maxColumns = 1000     // cells in a header
	sniffing   = 4 << 10  // bytes looked at to tell how the file is encoded
)

var (
	errLongLine = errors.New("line longer than 1 MiB")
	errNoText   = errors.New("not a text")
	errZip      = errors.New("a zip file, as spreadsheets save themselves")
)

// mark says where a line begins: its number from 1 and the byte offset in the file as it is stored.
type mark struct {
	line   int32
	offset int64
}

// lines splits a file into lines, whatever its encoding and its line ends (LF, CRLF or a bare CR),
// and gives them as UTF-8. A line that is not valid UTF-8 is taken as Windows-1252.
type lines struct {
	in       io.Reader
	buf      []byte
	from, to int   // bytes read and not yet given: buf[from:to]
	err      error // what in said after them
	wide     bool  // stored as UTF-16
	big      bool  // with the high byte first
	here     mark  // of buf[from]

	foreign   mark // the first line taken as Windows-1252; line 0 where there is none
	converted []byte
}

// newLines looks at the beginning of the file. Its errors are errNoText, errZip, or those of in.
func newLines(in io.Reader) (*lines, error) {
	head := make([]byte, sniffing)
	n, err := io.ReadFull(in, head)
	if err != nil && err != io.EOF && err != io.ErrUnexpectedEOF {
		return nil, err
	}
	head = head[:n]
	s := &lines{in: io.MultiReader(bytes.NewReader(head), in), here: mark{line: 1}}
	order := unicode.LittleEndian
	switch {
	case bytes.HasPrefix(head, []byte("\xef\xbb\xbf")):
		s.skip(3)
	case bytes.HasPrefix(head, []byte("\xff\xfe")):
		s.wide = true
		s.skip(2)
	case bytes.HasPrefix(head, []byte("\xfe\xff")):
		s.wide, order = true, unicode.BigEndian
		s.skip(2)
	case bytes.HasPrefix(head, []byte("PK\x03\x04")), bytes.HasPrefix(head, []byte("\xd0\xcf\x11\xe0")):
		return nil, errZip
	default:
		var even, odd, control int
		for i, b := range head {
			switch {
			case b == 0 && i%2 == 0:
				even++
			case b == 0:
				odd++
			case b < ' ' && b != '\t' && b != '\n' && b != '\r' && b != '\f':
				control++
			}
		}
		// A table without a byte order mark is mostly ASCII (separators, digits): every other byte is 0.
		switch half := n / 2; {
		case odd > 0 && even == 0 && odd*2 >= half:
			s.wide = true
		case even > 0 && odd == 0 && even*2 >= half:
			s.wide, order = true, unicode.BigEndian
		case even+odd > 0 || control*10 > n:
			return nil, errNoText
		}
	}
	if s.wide {
		s.big = order == unicode.BigEndian
		s.in = transform.NewReader(s.in, unicode.UTF16(order, unicode.IgnoreBOM).NewDecoder())
	}
	s.buf = make([]byte, 64<<10)
	return s, nil
}

// skip passes over a byte order mark, which is known to be there.
func (s *lines) skip(n int) {
	io.CopyN(io.Discard, s.in, int64(n))
	s.here.offset = int64(n)
}

// next returns the next line without its end; the text is good until the next call. Its errors
// are io.EOF, errLongLine (the reader is of no use after it) and those of the file.
func (s *lines) next() ([]byte, mark, error) {
	seen := 0 // this many bytes from s.from on hold no line end
	for {
		text := s.buf[s.from:s.to]
		end := bytes.IndexByte(text[seen:], '\n')
		if end >= 0 {
			end += seen
		} else {
			end = len(text)
		}
		size := end + 1
		if cr := bytes.IndexByte(text[seen:end], '\r'); cr >= 0 {
			end = seen + cr
			size = end + 1
			if size < len(text) && text[size] == '\n' {
				size++
			}
		}
		switch {
		case end > maxLine:
			return nil, s.here, errLongLine
		case end < len(text) && (text[size-1] == '\n' || size < len(text) || s.err != nil):
			return s.give(text[:end], text[:size]) // a CR that is the last byte at hand may be half of a CRLF
		case s.err == io.EOF && len(text) > 0:
			return s.give(text, text)
		case s.err != nil:
			return nil, s.here, s.err
		}
		seen = end
		s.fill()
	}
}

// fill reads on, making room where there is none. It sets s.err where nothing more comes.
func (s *lines) fill() {
	if s.from > 0 {
		s.to = copy(s.buf, s.buf[s.from:s.to])
		s.from = 0
	}
	if s.to == len(s.buf) {
		s.buf = append(s.buf, make([]byte, len(s.buf))...)
	}
	for range 100 {
		n, err := s.in.Read(s.buf[s.to:])
		s.to += n
		if err != nil {
			s.err = err
			return
		}
		if n > 0 {
			return
		}
	}
	s.err = io.ErrNoProgress
}

// give steps over a whole line and returns its text.
func (s *lines) give(text, whole []byte) ([]byte, mark, error) {
	at := s.here
	s.from += len(whole)
	s.here.line++
	if !s.wide {
		s.here.offset += int64(len(whole))
	} else {
		for rest := whole; len(rest) > 0; {
			r, n := utf8.DecodeRune(rest)
			s.here.offset += 2 * int64(utf16.RuneLen(r))
			rest = rest[n:]
		}
	}
	if !utf8.Valid(text) {
		if s.foreign.line == 0 {
			s.foreign = at
		}
		s.converted = s.converted[:0]
		for _, b := range text {
			s.converted = utf8.AppendRune(s.converted, charmap.Windows1252.DecodeByte(b))
		}
		text = s.converted
	}
	return text, at, nil
}
