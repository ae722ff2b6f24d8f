package register

import (
	"bytes"
	"errors"
	"fmt"
	"unicode/utf8"

	text "golang.org/x/text/encoding"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"
)

// encoding is how a file is stored.
type encoding int

const (
	utf8Plain encoding = iota
	utf8BOM
	utf16LE // with a byte order mark
	utf16BE
	windows1252
)

var (
	bom8  = []byte("\xef\xbb\xbf")
	bomLE = []byte("\xff\xfe")
	bomBE = []byte("\xfe\xff")
)

// decode tells how a file is stored and returns its text. A file is taken only if its text, stored in the
// same way, gives its bytes again.
func decode(data []byte) (encoding, string, error) {
	switch {
	case bytes.HasPrefix(data, []byte("PK\x03\x04")), bytes.HasPrefix(data, []byte("\xd0\xcf\x11\xe0")):
		return 0, "", errors.New("not a text table but a file as spreadsheets save themselves")
	case bytes.HasPrefix(data, bomLE):
		return check(utf16LE, data)
	case bytes.HasPrefix(data, bomBE):
		return check(utf16BE, data)
	case bytes.IndexByte(data, 0) >= 0:
		return 0, "", errors.New("not a text table: it holds bytes that no text has")
	case bytes.HasPrefix(data, bom8):
		return check(utf8BOM, data)
	case utf8.Valid(data):
		return utf8Plain, string(data), nil
	}
	return check(windows1252, data)
}

func check(e encoding, data []byte) (encoding, string, error) {
	var words string
	switch e {
	case utf8BOM:
		words = string(data[len(bom8):])
		if !utf8.ValidString(words) {
			return 0, "", errors.New("begins as UTF-8, but is not throughout")
		}
		return e, words, nil
	case utf16LE, utf16BE:
		b, err := e.utf16().NewDecoder().Bytes(data[2:])
		if err != nil {
			return 0, "", errors.New("not a text table: begins as UTF-16, but is not")
		}
		words = string(b)
	case windows1252:
		b, err := charmap.Windows1252.NewDecoder().Bytes(data)
		if err != nil {
			return 0, "", errors.New("not a text table")
		}
		words = string(b)
	}
	back, err := e.encode(words)
	if err != nil || !bytes.Equal(back, data) {
		return 0, "", errors.New("holds bytes that are no letters, so that it could not be written back as it is")
	}
	return e, words, nil
}

func (e encoding) utf16() text.Encoding {
	order := unicode.LittleEndian
	if e == utf16BE {
		order = unicode.BigEndian
	}
	return unicode.UTF16(order, unicode.IgnoreBOM)
}

// encode stores a text.
func (e encoding) encode(words string) ([]byte, error) {
	switch e {
	case utf8BOM:
		return append(bytes.Clone(bom8), words...), nil
	case utf16LE, utf16BE:
		b, err := e.utf16().NewEncoder().Bytes([]byte(words))
		if err != nil {
			return nil, err
		}
		mark := bomLE
		if e == utf16BE {
			mark = bomBE
		}
		return append(bytes.Clone(mark), b...), nil
	case windows1252:
		out := make([]byte, 0, len(words))
		for _, r := range words {
			b, ok := charmap.Windows1252.EncodeRune(r)
			if !ok {
				return nil, fmt.Errorf("%w: %q in Windows-1252; save it once as CSV UTF-8", ErrLetter, r)
			}
			out = append(out, b)
		}
		return out, nil
	}
	return []byte(words), nil
}
