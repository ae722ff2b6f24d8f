package table

import (
	"bytes"
	"errors"
	"io"
	"math/rand/v2"
	"regexp"
	"strings"
	"testing"
	"testing/iotest"

	"github.com/google/go-cmp/cmp"
)

// aLine is a line as lines gives it.
type aLine struct {
	Text   string
	Line   int32
	Offset int64
}

func linesOf(t *testing.T, in io.Reader) []aLine {
	t.Helper()
	s, err := newLines(in)
	if err != nil {
		t.Fatal(err)
	}
	var all []aLine
	for {
		text, at, err := s.next()
		if err == io.EOF {
			return all
		} else if err != nil {
			t.Fatal(err)
		}
		all = append(all, aLine{string(text), at.line, at.offset})
	}
}

// TestLinesInPieces splits the same text however it comes, and as a regular expression does. What is looked at to
// tell the encoding comes in one piece, so there is more than that.
func TestLinesInPieces(t *testing.T) {
	const seed = 5
	r := rand.New(rand.NewPCG(seed, 0))
	end := regexp.MustCompile("\r\n|\n|\r")
	for range 20 {
		var b strings.Builder
		for b.Len() < 3*sniffing {
			b.WriteString([]string{"\r", "\n", "\r\n", "ab", "ü", strings.Repeat("x", r.IntN(100))}[r.IntN(6)])
		}
		text := b.String()
		var want []aLine
		from := 0
		for i, e := range append(end.FindAllStringIndex(text, -1), []int{len(text), len(text)}) {
			if from < len(text) {
				want = append(want, aLine{text[from:e[0]], int32(i + 1), int64(from)})
			}
			from = e[1]
		}
		for how, in := range map[string]io.Reader{
			"whole": strings.NewReader(text), "byte by byte": iotest.OneByteReader(strings.NewReader(text)), "by halves": iotest.HalfReader(strings.NewReader(text)), "error with data": iotest.DataErrReader(strings.NewReader(text)),
		} {
			if diff := cmp.Diff(want, linesOf(t, in)); diff != "" {
				t.Fatalf("seed %d, %s: lines of %q (-want +got):\n%s", seed, how, text, diff)
			}
		}
	}
}

// TestLongLines reads lines as long as they may be, and one byte longer.
func TestLongLines(t *testing.T) {
	for _, n := range []int{0, 1, sniffing, 64 << 10, 64<<10 + 1, maxLine - 1, maxLine} {
		for _, end := range []string{"\n", "\r\n", "\r", ""} {
			if n == maxLine && end == "" {
				continue // the y is one too many
			}
			text := strings.Repeat("x", n) + end + "y"
			got := linesOf(t, strings.NewReader("first\n"+text))
			want := []aLine{{"first", 1, 0}, {strings.Repeat("x", n), 2, 6}, {"y", 3, int64(6 + n + len(end))}}
			if end == "" {
				want = []aLine{{"first", 1, 0}, {text, 2, 6}}
			}
			if diff := cmp.Diff(want, got); diff != "" {
				t.Errorf("%d bytes and %q: lines differ from what was written: %d lines, want %d", n, end, len(got), len(want))
			}
		}
	}
	for _, end := range []string{"\n", "\r\n", "\r", ""} {
		s, err := newLines(strings.NewReader("first\n" + strings.Repeat("x", maxLine+1) + end))
		if err != nil {
			t.Fatal(err)
		}
		_, _, first := s.next()
		if _, at, err := s.next(); first != nil || !errors.Is(err, errLongLine) || at.line != 2 {
			t.Errorf("a line of 1 MiB and a byte, and %q: %v at line %d, want %v at line 2", end, err, at.line, errLongLine)
		}
	}
}

// TestEncodings tells how a file is stored by its first bytes.
func TestEncodings(t *testing.T) {
	for _, test := range []struct {
		stored string
		want   []aLine
		err    error
	}{
		{"", nil, nil},
		{"\xef\xbb\xbf", nil, nil},
		{"\xff\xfe", nil, nil},
		{"a", []aLine{{"a", 1, 0}}, nil},
		{"\xef\xbb\xbfa\nb", []aLine{{"a", 1, 3}, {"b", 2, 5}}, nil},
		{"\xff\xfea\x00\n\x00\x3d\xd8\x00\xde\n\x00b\x00", []aLine{{"a", 1, 2}, {"😀", 2, 6}, {"b", 3, 12}}, nil},
		{"\xfe\xff\x00a\x00\r\x00\n\x00b", []aLine{{"a", 1, 2}, {"b", 2, 8}}, nil},
		{"a\x00,\x00\n\x00b\x00", []aLine{{"a,", 1, 0}, {"b", 2, 6}}, nil},
		{"\x00a\x00,\x00\n\x00b", []aLine{{"a,", 1, 0}, {"b", 2, 6}}, nil},
		{"\xff\xfea\x00b", []aLine{{"a\ufffd", 1, 2}}, nil}, // half a character
		// 80 and 9F are among those that Latin-1 has not: the published code page 1252.
		{"\x80\x9f\xe9 \nbé\n\xfc", []aLine{{"€Ÿé ", 1, 0}, {"bé", 2, 5}, {"ü", 3, 9}}, nil},
		{"a\x00b\x00\x00\x00", nil, errNoText},
		{"\x00\x00\x00\x00", nil, errNoText},
		{"abcdefgh\x00ijklmnop", nil, errNoText},
		{"\x01\x02\x03", nil, errNoText},
		{"PK\x03\x04 and so on", nil, errZip},
		{"\xd0\xcf\x11\xe0\xa1\xb1", nil, errZip},
	} {
		if _, err := newLines(strings.NewReader(test.stored)); !errors.Is(err, test.err) {
			t.Errorf("newLines(%q) = %v, want %v", test.stored, err, test.err)
		} else if err == nil {
			if diff := cmp.Diff(test.want, linesOf(t, bytes.NewReader([]byte(test.stored)))); diff != "" {
				t.Errorf("lines of %q (-want +got):\n%s", test.stored, diff)
			}
		}
	}
}
