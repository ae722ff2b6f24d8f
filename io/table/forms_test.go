package table

import (
	"bytes"
	"context"
	"fmt"
	"strings"
	"testing"
	"testing/fstest"
	"unicode/utf16"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"voidline/void"
	"voidline/void/cell"
)

// encodings are the ways in which a file may be stored.
var encodings = []struct {
	name   string
	encode func(string) []byte
}{
	{"UTF-8", func(s string) []byte { return []byte(s) }},
	{"UTF-8 with a mark", func(s string) []byte { return []byte("\ufeff" + s) }},
	{"UTF-16 LE with a mark", func(s string) []byte { return wide("\ufeff"+s, 0) }},
	{"UTF-16 BE with a mark", func(s string) []byte { return wide("\ufeff"+s, 1) }},
	{"UTF-16 LE", func(s string) []byte { return wide(s, 0) }},
	{"UTF-16 BE", func(s string) []byte { return wide(s, 1) }},
	{"Windows-1252", windows},
}

func wide(s string, low int) []byte {
	var b []byte
	for _, u := range utf16.Encode([]rune(s)) {
		pair := []byte{byte(u), byte(u >> 8)}
		b = append(b, pair[low], pair[1-low])
	}
	return b
}

// windows encodes the characters of the tests below. The codes are from the published table of code page
// 1252: Latin-1 has the same but for 80 to 9F, where € is 80.
func windows(s string) []byte {
	var b []byte
	for _, r := range s {
		switch {
		case r == '€':
			b = append(b, 0x80)
		case r < 0x80 || r >= 0xa0 && r <= 0xff:
			b = append(b, byte(r))
		default:
			panic(fmt.Sprintf("%q is not for this test", r))
		}
	}
	return b
}

// write writes records as a table. quote says which cells are put in quotes though they need none.
func write(records [][]string, sep, end string, quote func() bool) (text string, starts []int) {
	var b strings.Builder
	for _, r := range records {
		starts = append(starts, b.Len())
		for i, c := range r {
			if i > 0 {
				b.WriteString(sep)
			}
			if strings.ContainsAny(c, sep+"\"\n") || strings.TrimSpace(c) != c || quote() {
				c = `"` + strings.ReplaceAll(c, `"`, `""`) + `"`
			}
			b.WriteString(strings.ReplaceAll(c, "\n", end))
		}
		b.WriteString(end)
	}
	return b.String(), starts
}

// TestForms writes rows in every form of a table and reads them back: texts, lines and offsets.
func TestForms(t *testing.T) {
	for _, sep := range []string{",", ";", "\t"} {
		for _, end := range []string{"\n", "\r\n", "\r"} {
			for _, enc := range encodings {
				t.Run(fmt.Sprintf("%q %q %s", sep, end, enc.name), func(t *testing.T) {
					rapid.Check(t, func(t *rapid.T) { formed(t, sep, end, enc.encode) })
				})
			}
		}
	}
}

func formed(t *rapid.T, sep, end string, encode func(string) []byte) {
	number := rapid.Map(rapid.IntRange(-99999, 99999), func(i int) string { return fmt.Sprintf("%d.%d", i/10, max(i, -i)%10) })
	// The letters are such that no line of them is UTF-8 by chance when stored as Windows-1252.
	note := rapid.StringOfN(rapid.SampledFrom([]rune("aB 0'x,;\t\"\nüø€")), 0, 12, -1)
	commas := sep != "," && rapid.Bool().Draw(t, "decimal commas")
	records := [][]string{{"id", "X1", "y 1", "Size (mm)", "level_mm", "fall", "rank", "note"}}
	want := []zoneRow{}
	for i := range rapid.IntRange(1, 5).Draw(t, "rows") {
		c := []string{
			fmt.Sprintf("Dü%d", i), number.Draw(t, "x1"), number.Draw(t, "y1"),
			rapid.SampledFrom([]string{"600x300", "ø250.5", "DN50", "12.5"}).Draw(t, "size"),
			rapid.SampledFrom([]string{"2700", "FFL+2712.5", "soffit-60"}).Draw(t, "level"),
			rapid.SampledFrom([]string{"", "1 in 80", "12.5 mm/m"}).Draw(t, "fall"),
			rapid.SampledFrom([]string{"", "3"}).Draw(t, "rank"), note.Draw(t, "note"),
		}
		want = append(want, zoneRow{"tray.csv", void.ZoneRow{
			At: void.At{File: 1, Line: int32(len(records))}, // its number, until the text is there
			ID: cell.ParseWord(c[0]), X1: cell.ParsePlace(c[1]), Y1: cell.ParsePlace(c[2]), Size: cell.ParseSize(c[3]), Level: cell.ParseLevel(c[4]),
			Fall: cell.ParseFall(c[5]), Rank: cell.ParseNumber(c[6]), Note: cell.ParseWord(c[7]),
		}})
		for j := 1; commas && j < 7; j++ {
			c[j] = strings.ReplaceAll(c[j], ".", ",")
		}
		records = append(records, c)
		if rapid.Bool().Draw(t, "a blank row") {
			records = append(records, make([]string, len(c)))
		}
	}
	text, starts := write(records, sep, end, func() bool { return rapid.Bool().Draw(t, "quoted") })
	if rapid.Bool().Draw(t, "no end of the last line") {
		text = strings.TrimSuffix(text, end)
	}
	if rapid.Bool().Draw(t, "sep=") {
		said := "sep=" + sep + end
		text = said + text
		for i := range starts {
			starts[i] += len(said)
		}
	}
	for i := range want {
		at := &want[i].Row.At
		before := text[:starts[at.Line]]
		at.Line, at.Offset = int32(1+strings.Count(before, end)), int64(len(encode(before)))
	}

	got := []zoneRow{}
	stored := encode(text)
	checkTwin(t, fstest.MapFS{"bays.csv": {Data: []byte(goodBays)}, "tray.csv": {Data: stored}})
	tables, err := readTables(context.Background(), "project", Options{
		FS:   fstest.MapFS{"bays.csv": {Data: []byte(goodBays)}, "tray.csv": {Data: stored}},
		Zone: func(file string, row *void.ZoneRow) { got = append(got, zoneRow{file, *row}) },
	})
	if err != nil || len(tables.Problems) > 0 || tables.RowsMissing > 0 {
		t.Fatalf("Read of %q: %v, %v", stored, err, asText(tables.Problems))
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Fatalf("rows of %q (-want +got):\n%s", stored, diff)
	}
	var warnings []string
	if !utf8.Valid(stored) && !bytes.Contains(stored, []byte{0}) {
		warnings = append(warnings, fmt.Sprintf("tray.csv:%d: not UTF-8: read as Windows-1252 (save it as CSV UTF-8 to be sure of letters with accents)", 1+strings.Count(text[:strings.IndexAny(text, "üø€")], end)))
	}
	if diff := cmp.Diff(warnings, asText(tables.Warnings)); diff != "" {
		t.Fatalf("warnings of %q (-want +got):\n%s", stored, diff)
	}
}
