package workbook

import (
	"bufio"
	"bytes"
	"errors"
	"io"
	"strconv"
	"strings"
	"unicode/utf8"
)

// token reads the tags of an XML part one after the other. It knows as much of XML as the parts of a workbook use (ECMA-376): elements,
// attributes, character data, CDATA, the five named entities and numbered ones; prefixes of names do not count. There is no document type in
// such a part, and none is read.
type token struct {
	in    *bufio.Reader
	name  string // of the element, without its prefix
	attrs []byte
	close bool // an end tag
	alone bool // opens and ends at once
	text  []byte
	buf   []byte
	names map[string]string
}

var (
	errBroken  = errors.New("it breaks off, or is no XML")
	errLong    = errors.New("a text or a tag of more than 1 MiB")
	errDoctype = errors.New("a document type in it")
)

func newToken(in io.Reader) *token {
	return &token{in: bufio.NewReaderSize(in, 1<<16), names: map[string]string{}}
}

// opens reports whether the tag opens an element of a name.
func (t *token) opens(name string) bool { return !t.close && t.name == name }

// closes reports whether the tag ends an element of a name, with text before it.
func (t *token) closes(name string) bool { return t.close && t.name == name }

// upTo reads up to a byte, which it passes, and adds what is before it.
func (t *token) upTo(to []byte, end byte) ([]byte, error) {
	for {
		part, err := t.in.ReadSlice(end)
		to = append(to, part...)
		if len(to) > mostText {
			return to, errLong
		}
		if err == nil {
			return to[:len(to)-1], nil
		} else if err != bufio.ErrBufferFull {
			return to, err
		}
	}
}

// next reads up to the end of the next tag; the text is what stands between the two. io.EOF after the last.
func (t *token) next() error {
	t.text = t.text[:0]
	for {
		var err error
		from := len(t.text)
		if t.text, err = t.upTo(t.text, '<'); err == io.EOF {
			if len(bytes.TrimSpace(t.text[from:])) > 0 {
				return errBroken
			}
			return io.EOF
		} else if err != nil {
			return err
		}
		switch c, err := t.in.Peek(1); {
		case err != nil:
			return errBroken
		case c[0] == '?':
			if err := t.pass("?>", nil); err != nil {
				return err
			}
		case c[0] == '!':
			head, _ := t.in.Peek(8)
			switch {
			case bytes.HasPrefix(head, []byte("!--")):
				if err := t.pass("-->", nil); err != nil {
					return err
				}
			case bytes.HasPrefix(head, []byte("![CDATA[")):
				_, _ = t.in.Discard(8)
				var data []byte
				if err := t.pass("]]>", &data); err != nil {
					return err
				}
				t.text = append(t.text, escaped(data)...)
			default:
				return errDoctype
			}
		default:
			return t.tag()
		}
		if len(t.text) > mostText {
			return errLong
		}
	}
}

// pass reads up to a mark, which it passes; into takes what is before it.
func (t *token) pass(mark string, into *[]byte) error {
	t.buf = t.buf[:0]
	for {
		var err error
		if t.buf, err = t.upTo(t.buf, mark[len(mark)-1]); err == io.EOF {
			return errBroken
		} else if err != nil {
			return err
		}
		if head := mark[:len(mark)-1]; bytes.HasSuffix(t.buf, []byte(head)) {
			if into != nil {
				*into = append(*into, t.buf[:len(t.buf)-len(head)]...)
			}
			return nil
		}
		t.buf = append(t.buf, mark[len(mark)-1])
	}
}

// tag reads a tag; its < is read already.
func (t *token) tag() error {
	t.buf = t.buf[:0]
	for {
		var err error
		if t.buf, err = t.upTo(t.buf, '>'); err == io.EOF {
			return errBroken
		} else if err != nil {
			return err
		}
		if !inQuotes(t.buf) {
			break
		}
		t.buf = append(t.buf, '>')
	}
	b := t.buf
	t.close, t.alone = false, false
	if len(b) > 0 && b[0] == '/' {
		t.close, b = true, b[1:]
	}
	if n := len(b); n > 0 && b[n-1] == '/' {
		t.alone, b = true, b[:n-1]
	}
	name := b
	if k := bytes.IndexAny(b, " \t\r\n"); k >= 0 {
		name, b = b[:k], b[k:]
	} else {
		b = nil
	}
	if k := bytes.IndexByte(name, ':'); k >= 0 {
		name = name[k+1:]
	}
	if len(name) == 0 {
		return errBroken
	}
	known, ok := t.names[string(name)]
	if !ok {
		known = string(name)
		if len(t.names) < 1000 {
			t.names[known] = known
		}
	}
	t.name, t.attrs = known, b
	return nil
}

// inQuotes reports whether a tag ends within an attribute's quotes.
func inQuotes(b []byte) bool {
	var in byte
	for _, c := range b {
		switch {
		case in == 0 && (c == '"' || c == '\''):
			in = c
		case c == in:
			in = 0
		}
	}
	return in != 0
}

// attr returns an attribute of the tag by its name without prefix; "" where there is none.
func (t *token) attr(name string) string {
	for b := t.attrs; ; {
		b = bytes.TrimLeft(b, " \t\r\n")
		eq := bytes.IndexByte(b, '=')
		if eq < 0 {
			return ""
		}
		key := bytes.TrimSpace(b[:eq])
		if k := bytes.IndexByte(key, ':'); k >= 0 {
			key = key[k+1:]
		}
		b = bytes.TrimLeft(b[eq+1:], " \t\r\n")
		if len(b) == 0 || b[0] != '"' && b[0] != '\'' {
			return ""
		}
		end := bytes.IndexByte(b[1:], b[0])
		if end < 0 {
			return ""
		}
		if string(key) == name {
			return unescapedXML(b[1 : end+1])
		}
		b = b[end+2:]
	}
}

// escaped is CDATA as text in which entities are read.
func escaped(b []byte) []byte { return bytes.ReplaceAll(b, []byte("&"), []byte("&amp;")) }

// unescapedXML returns text with its entities read. What is no entity stays.
func unescapedXML(b []byte) string {
	if bytes.IndexByte(b, '&') < 0 {
		return string(b)
	}
	s := string(b)
	var out strings.Builder
	for {
		k := strings.IndexByte(s, '&')
		if k < 0 {
			out.WriteString(s)
			return out.String()
		}
		out.WriteString(s[:k])
		s = s[k:]
		end := strings.IndexByte(s[:min(len(s), 12)], ';')
		if end < 0 {
			out.WriteByte('&')
			s = s[1:]
			continue
		}
		switch name := s[1:end]; {
		case name == "amp":
			out.WriteByte('&')
		case name == "lt":
			out.WriteByte('<')
		case name == "gt":
			out.WriteByte('>')
		case name == "quot":
			out.WriteByte('"')
		case name == "apos":
			out.WriteByte('\'')
		case strings.HasPrefix(name, "#"):
			digits, base := name[1:], 10
			if strings.HasPrefix(digits, "x") {
				digits, base = digits[1:], 16
			}
			n, err := strconv.ParseUint(digits, base, 32)
			if err != nil || n > utf8.MaxRune || n == 0 {
				out.WriteString(s[:end+1])
			} else {
				out.WriteRune(rune(n))
			}
		default:
			out.WriteString(s[:end+1])
		}
		s = s[end+1:]
	}
}

// unescaped is unescapedXML for a text of a cell.
func unescaped(b []byte) string { return unescapedText(unescapedXML(b)) }

// unescapedText reads what a workbook writes for characters that XML does not have: _x000D_ (ECMA-376-1, 22.9.2.19).
func unescapedText(s string) string {
	if !strings.Contains(s, "_x") {
		return s
	}
	var out strings.Builder
	for i := 0; i < len(s); i++ {
		if i+7 <= len(s) && s[i] == '_' && s[i+1] == 'x' && s[i+6] == '_' {
			if n, err := strconv.ParseUint(s[i+2:i+6], 16, 16); err == nil && n != 0 && !(n >= 0xd800 && n < 0xe000) {
				out.WriteRune(rune(n))
				i += 6
				continue
			}
		}
		out.WriteByte(s[i])
	}
	return out.String()
}
