package finding

import (
	"crypto/sha256"
	"encoding/binary"
	"strings"
)

// ID returns the id of a finding: 60 bits, 12 base-32 letters, over the two identities in sorted order,
// and for access its kind of access.
func ID(a, b, access string) string {
	return idText(idNumber([]byte(a), []byte(b), []byte(access)))
}

// Identify gives a finding its id: of its two, and of what kind of access it is about, "" for none.
func (f *Finding) Identify(access string) {
	var with string
	if f.B != nil {
		with = *f.B
	}
	f.ID = idText(idNumber(appendLower(nil, f.A), appendLower(nil, with), []byte(access)))
}

// IDNumber returns the id of a worded finding as a number.
func (f *Finding) IDNumber() (id uint64) {
	for k := range len(f.ID) {
		id = id<<5 | uint64(strings.IndexByte(idLetters, f.ID[k]))
	}
	return id
}

// idNumber returns the 60 bits of an id, each five of them as the place of their letter in the order of letters as text
// has it (figures before letters), so that numbers and texts are in one order.
func idNumber(a, b, access []byte) uint64 {
	if string(b) < string(a) {
		a, b = b, a
	}
	var room [512]byte
	buf := room[:0]
	for _, s := range [3][]byte{a, b, access} {
		buf = binary.BigEndian.AppendUint64(buf, uint64(len(s)))
		buf = append(buf, s...)
	}
	sum := sha256.Sum256(buf)
	v := binary.BigEndian.Uint64(sum[:8]) >> 4
	var id uint64
	for k := 55; k >= 0; k -= 5 {
		five := v >> k & 31
		id = id<<5 | (five+6)&31 // a to z are 0 to 25, 2 to 7 are 26 to 31
	}
	return id
}

// idLetters are those of ids, in their order.
const idLetters = "234567abcdefghijklmnopqrstuvwxyz"

// idText returns an id's letters.
func idText(id uint64) string {
	var t [12]byte
	for k := range t {
		t[k] = idLetters[id>>(55-5*k)&31]
	}
	return string(t[:])
}

// PairID returns the id of a finding of two zones as a number.
func PairID(a, b string) uint64 {
	var buf [256]byte
	x := appendLower(buf[:0], a)
	n := len(x)
	x = appendLower(x, b)
	return idNumber(x[:n:n], x[n:], nil)
}

// appendLower appends a name without case.
func appendLower(to []byte, s string) []byte {
	for i := 0; i < len(s); i++ {
		if s[i] >= 0x80 {
			return append(to, strings.ToLower(s)...)
		}
	}
	for i := 0; i < len(s); i++ {
		c := s[i]
		if 'A' <= c && c <= 'Z' {
			c += 'a' - 'A'
		}
		to = append(to, c)
	}
	return to
}
