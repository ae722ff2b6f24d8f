package issued_test

import (
	"bytes"
	"encoding/csv"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"voidline/clash/setout"
	"voidline/io/issued"
)

// aSheet is a sheet of two supports, written out.
func aSheet() [][]string {
	cols := setout.SheetColumns()
	rows := [][]string{cols}
	row := func(cells ...string) {
		out := make([]string, len(cols))
		out[0] = "'-L1"
		for i := 0; i < len(cells); i += 2 {
			out[slices.Index(cols, cells[i])] = cells[i+1]
		}
		rows = append(rows, out)
	}
	row("what", "not supported", "note", "from 0 to 40, all of it", "from", "0", "to", "40")
	row("what", "line", "no", "1", "from", "0", "to", "4000.5", "place", "A+100, grid 1", "x", "100", "y", "-200", "ffl", "3000", "datum", "2000", "project", "7200")
	row("what", "set", "no", "1", "from", "4000.5", "to", "4100.5", "rise", "-75")
	row("what", "support", "no", "1", "from", "300", "x", "400", "y", "-200", "ffl", "3000", "datum", "2000", "project", "7200", "hangs from", "soffit A", "rods", "2", "channel", "460")
	row("what", "rod", "no", "1", "rod exact", "480.9", "rod cut", "510")
	row("what", "rod", "no", "1", "rod exact", "480.9", "rod cut", "515")
	row("what", "support", "no", "2", "from", "1300", "x", "1400", "y", "-200", "ffl", "3000", "datum", "2000", "project", "7200")
	row("what", "cut", "no", "1", "part", "M10 rod, 3000: 510 + 515", "count", "1")
	row("what", "part", "part", `nut "M10"`, "count", "4")
	row("what", "seal", "count", strconv.Itoa(len(rows)-1), "note", setout.Seal(rows[1:]))
	return rows
}

func written(rows [][]string, sep rune, crlf bool) []byte {
	var b bytes.Buffer
	c := csv.NewWriter(&b)
	c.Comma, c.UseCRLF = sep, crlf
	if c.WriteAll(rows) != nil {
		panic("a sheet that cannot be written")
	}
	return b.Bytes()
}

func TestEveryCellIsRead(t *testing.T) {
	want := &setout.Issued{Run: "-L1", Lengths: []setout.IssuedLength{{
		Lines: []setout.IssuedLine{{From: 0, To: 4000.5, Struck: setout.Struck{FFL: 3000, Datum: 2000, Project: 7200}}},
		Sets:  []setout.IssuedSet{{From: 4000.5, To: 4100.5, Rise: -75}},
		Supports: []setout.IssuedSupport{
			{No: 1, From: 300, Of: "soffit A", Rods: 2, Channel: 460, Cuts: []float64{510, 515}}, {No: 2, From: 1300},
		},
		Parts: []setout.Count{{Part: `nut "M10"`, N: 4}},
		Cuts:  []setout.Count{{Part: "M10 rod, 3000: 510 + 515", N: 1}},
		Holds: []string{"not supported: from 0 to 40, all of it"},
	}}}
	l := &want.Lengths[0]
	l.Lines[0].Where.X, l.Lines[0].Where.Y = 100, -200
	l.Supports[0].Where.X, l.Supports[0].Where.Y = 400, -200
	l.Supports[1].Where.X, l.Supports[1].Where.Y = 1400, -200
	// What a spreadsheet does without changing a cell is no matter.
	for _, sep := range ",;\t" {
		for _, crlf := range []bool{false, true} {
			for _, bom := range []string{"", "\xef\xbb\xbf"} {
				got, problems := issued.Parse("old.csv", append([]byte(bom), written(aSheet(), sep, crlf)...), "-L1")
				if len(problems) > 0 {
					t.Fatal(problems)
				}
				if d := cmp.Diff(want, got); d != "" {
					t.Errorf("with %q (-want +got):\n%s", sep, d)
				}
			}
		}
	}
}

// Whatever cell is another, whatever row is gone, twice or elsewhere: it is told, with its file and line.
func TestNoEditIsOverlooked(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rows := aSheet()
		i := rapid.IntRange(1, len(rows)-1).Draw(t, "row")
		switch rapid.IntRange(0, 3).Draw(t, "how") {
		case 0:
			k := rapid.IntRange(0, len(rows[i])-1).Draw(t, "cell")
			was := rows[i][k]
			rows[i][k] = rapid.SampledFrom([]string{"", "1", "3001", "0", "-L1", "x", "line", was + " ", was + "0"}).Draw(t, "text")
			// A spreadsheet drops the quote that guards a text which begins like a sum: that is no change.
			if rows[i][k] == was || "'"+rows[i][k] == was || i == len(rows)-1 && !slices.Contains([]string{"run", "what", "count", "note"}, setout.SheetColumns()[k]) ||
				i == len(rows)-1 && rows[i][k] == was+" " && k != slices.Index(setout.SheetColumns(), "note") { // the seal's own row says only these
				return
			}
		case 1:
			rows = slices.Delete(rows, i, i+1)
		case 2:
			rows = slices.Insert(rows, i, rows[i])
		case 3:
			k := rapid.IntRange(1, len(rows)-1).Draw(t, "other")
			if slices.Equal(rows[i], rows[k]) {
				return
			}
			rows[i], rows[k] = rows[k], rows[i]
		}
		_, problems := issued.Parse("old.csv", written(rows, ',', true), "-L1")
		if len(problems) == 0 {
			t.Fatalf("taken: %q", rows)
		}
		if p := problems[0]; p.File != "old.csv" || p.Line < 1 || p.Column < 1 || p.What == "" {
			t.Fatalf("%+v says not where", p)
		}
	})
}

func TestSaysWhere(t *testing.T) {
	cut := aSheet()
	for _, test := range []struct {
		data, run, want string
	}{
		{"", "L1", "old.csv:1:1: the file is empty"},
		{"run,lenth\n", "L1", `old.csv:1:5: "lenth" is not a column of a sheet here; give "length"`},
		{"run,length\n", "L1", `old.csv:1:5: column "what" is missing`},
		{string(written(aSheet(), ',', false)), "L2", `old.csv:2:1: run: the sheet is of run "-L1"; give a sheet of run "L2"`},
		{string(written(cut[:4], ',', false)), "-L1", `old.csv:4:7: what: the last row is not "seal": rows at the end are missing`},
		{strings.Replace(string(written(aSheet(), ',', false)), "7200", "7300", 1), "-L1", `old.csv:5:32: ffl: FFL, datum and project level do not agree`},
		{strings.Replace(string(written(aSheet(), ',', false)), "515", "518", 1), "-L1", `old.csv:11:34: note: the sheet was edited`},
		{"run,length\n\"", "L1", "old.csv:2:"},
		{"\xff\xfe", "L1", "old.csv:1:1: not UTF-8"},
	} {
		got, problems := issued.Parse("old.csv", []byte(test.data), test.run)
		if got != nil || len(problems) != 1 || !strings.HasPrefix(problems[0].String(), test.want) {
			t.Errorf("%q: %v, want %s", test.data, problems, test.want)
		}
	}
}

// Headings alone are no sheet; with one row under them it is that row which is looked at.
func TestNoRowsUnderTheHeadings(t *testing.T) {
	for _, test := range []struct {
		rows int
		want string
	}{
		{0, "old.csv:1:1: there is no row under the headings"},
		{1, `old.csv:2:7: what: the last row is not "seal"`},
		{2, `old.csv:3:7: what: the last row is not "seal"`},
	} {
		got, problems := issued.Parse("old.csv", written(aSheet()[:1+test.rows], ',', false), "-L1")
		if got != nil || len(problems) != 1 || !strings.HasPrefix(problems[0].String(), test.want) {
			t.Errorf("%d rows: %v, want %s", test.rows, problems, test.want)
		}
	}
}
