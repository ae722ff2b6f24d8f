package table

import (
	"math/bits"
	"strings"
)

// store keeps texts, many in one piece of memory, so that a million short ones are not a million pieces. They
// are good for ever; a piece is free when none of its texts is used any more.
type store struct {
	b    *strings.Builder
	size int // of a piece
}

// add returns a copy of text.
func (s *store) add(text string) string {
	if text == "" {
		return ""
	} else if !s.room(len(text)) {
		return strings.Clone(text)
	}
	from := s.b.Len()
	s.b.WriteString(text)
	return s.b.String()[from:]
}

// addBytes returns a copy of text.
func (s *store) addBytes(text []byte) string {
	if !s.room(len(text)) {
		return string(text)
	}
	from := s.b.Len()
	s.b.Write(text)
	return s.b.String()[from:]
}

// room makes room for n bytes without moving what is there. It reports false where so many want a piece of their own.
func (s *store) room(n int) bool {
	if s.b != nil && s.b.Cap()-s.b.Len() >= n {
		return true
	}
	if n > s.size/8 {
		return false
	}
	s.b = &strings.Builder{}
	s.b.Grow(s.size)
	return true
}

// memo remembers what texts were read as, for the columns in which few of them come again and again. A text
// that falls on the place of another takes it.
type memo[C any] struct {
	read  func(text string) C
	texts *store
	slots []remembered[C] // none before the first text
	long  C
}

type remembered[C any] struct {
	text string
	cell C
}

// memoSize is how many texts a memo holds at most.
const memoSize = 256

// longText is the length in bytes from which a text is not remembered.
const longText = 128

// get reads a text, which is not "". What it returns is good until the next call. Texts in it are copies.
func (m *memo[C]) get(text string) *C {
	if len(text) >= longText {
		m.long = m.read(strings.Clone(text))
		return &m.long
	}
	if m.slots == nil {
		m.slots = make([]remembered[C], memoSize)
	}
	s := &m.slots[slot(text)]
	if s.text != text {
		s.text = m.texts.add(text)
		s.cell = m.read(s.text)
	}
	return &s.cell
}

// slot returns the place of a text, which is not "", in a memo: a number made of its first and last bytes.
func slot(s string) uint8 {
	var a, b uint64
	switch n := len(s); {
	case n >= 8:
		a, b = eight(s), eight(s[n-8:])
	case n >= 4:
		a, b = four(s), four(s[n-4:])
	default:
		a, b = uint64(s[0])<<8|uint64(s[n/2]), uint64(s[n-1])
	}
	// 2^64 divided by the golden ratio, which spreads numbers that lie near each other.
	return uint8((a*0x9e3779b97f4a7c15 ^ bits.RotateLeft64(b, 29)) * 0x9e3779b97f4a7c15 >> 56)
}

func eight(s string) uint64 {
	_ = s[7]
	return uint64(s[0]) | uint64(s[1])<<8 | uint64(s[2])<<16 | uint64(s[3])<<24 |
		uint64(s[4])<<32 | uint64(s[5])<<40 | uint64(s[6])<<48 | uint64(s[7])<<56
}

func four(s string) uint64 {
	_ = s[3]
	return uint64(uint32(s[0]) | uint32(s[1])<<8 | uint32(s[2])<<16 | uint32(s[3])<<24)
}
