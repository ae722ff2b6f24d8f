package workbook_test

import (
	"archive/zip"
	"bytes"
	"context"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/xuri/excelize/v2"

	"voidline/io/workbook"
	"voidline/void"
)

// made writes a workbook by a general-purpose library, which knows nothing of the reader.
func made(t testing.TB, fill func(x *excelize.File)) string {
	t.Helper()
	x := excelize.NewFile()
	defer x.Close()
	fill(x)
	name := filepath.Join(t.TempDir(), "job.xlsx")
	if err := x.SaveAs(name); err != nil {
		t.Fatal(err)
	}
	return name
}

func must(t testing.TB, errs ...error) {
	t.Helper()
	for _, err := range errs {
		if err != nil {
			t.Fatal(err)
		}
	}
}

func read(t testing.TB, name string) *workbook.Book {
	t.Helper()
	b, err := workbook.Read(context.Background(), name)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func text(t testing.TB, b *workbook.Book, name string) string {
	t.Helper()
	data, err := fs.ReadFile(b, name)
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

func said(ps []void.Problem) (out []string) {
	for _, p := range ps {
		out = append(out, strings.TrimSpace(fmt.Sprintf("%s %d %s: %s (%s)", p.File, p.Line, p.Place, p.What, p.Hint)))
	}
	return out
}

// Each value as it is stored, whatever a format shows; and the four things that only the format says. Serials by hand: 46115 is 2026-04-03
// (45658 is 2025-01-01, and 457 days later), 0.0972222 of a day is 140 minutes.
func TestValues(t *testing.T) {
	for _, test := range []struct {
		value  any
		format string // of the cell; "" for none
		want   string
	}{
		{2700.6, "0", "2700.6"},
		{12345.678, "#,##0", "12345.678"},
		{0.1 + 0.2, "", "0.3"},
		{1e-7, "", "0.0000001"},
		{123456789012345.0, "", "123456789012345"},
		{-40, `0" mm";[Red]-0" days"`, "-40"},
		{42, "0000", "0042"},
		{42.5, "0000", "42.5"},
		{0.0125, "0.00%", "1.25%"},
		{0.09722222222222222, "h:mm", "02:20"},
		{0.09722222222222222, "[h]:mm", "02:20"},
		{0.05, "[$-809]h:mm AM/PM", "01:12"},
		{0.5000115740740741, "hh:mm:ss", "12:00:01"},
		{46115, "dd/mm/yyyy", "2026-04-03"},
		{46115, "d-mmm", "2026-04-03"},
		{46115, "mmm yy", "2026-04-03"},
		{46115.5, "yyyy-mm-dd hh:mm", "2026-04-03 12:00:00"},
		{1, "yyyy-mm-dd", "1900-01-01"},
		{46115, "General", "46115"},
		{46115, `"day" 0`, "46115"},
		{46115.9999999, "yyyy-mm-dd hh:mm", "2026-04-04 00:00:00"}, // half a second before midnight is midnight
		{46115.75, "yyyy-mm-dd", "2026-04-03"},
		{59, "yyyy-mm-dd", "1900-02-28"},
		{61, "yyyy-mm-dd", "1900-03-01"}, // 60 is a day that there was not
		{2958465, "yyyy-mm-dd", "9999-12-31"},
		{2958466, "yyyy-mm-dd", "2958466"},
		{-1, "yyyy-mm-dd", "-1"},
		{-0.25, "h:mm", "-0.25"},
		{1.5, "h:mm", "36:00"},
		{7, "[s]", "168:00"},
		{7, "[Red]0", "7"},
		{7, "[hh", "7"},
		{7, `0\d`, "7"},
		{7, "0_d", "7"},
		{7, "*d0", "7"},
		{7, `0"d`, "7"},
		{7, `0"%"`, "7"},
		{7, "000;d", "007"},
		{-7, "000", "-7"},
		{1234, "000", "1234"},
		{46115, "m", "2026-04-03"},
		{0.5, "m:s", "12:00"},
		{true, "", "yes"},
		{false, "", "no"},
		{"FFL+2900", "", "FFL+2900"},
		{"007", "", "007"},
		{"a, \"b\"; c", "", `"a, ""b""; c"`},
		{"two\nlines", "", "two lines"},
		{"<&> é ø", "", "<&> é ø"},
		{"  ", "", `"  "`},
	} {
		b := read(t, made(t, func(x *excelize.File) {
			must(t, x.SetCellValue("Sheet1", "A1", "id"), x.SetCellValue("Sheet1", "B1", "end"), x.SetCellValue("Sheet1", "A2", test.value), x.SetCellValue("Sheet1", "B2", "."))
			if test.format != "" {
				style, err := x.NewStyle(&excelize.Style{CustomNumFmt: &test.format})
				must(t, err, x.SetCellStyle("Sheet1", "A2", "A2", style))
			}
		}))
		if got := text(t, b, "Sheet1.csv"); strings.TrimSpace(strings.TrimSuffix(strings.TrimPrefix(got, "id,end\n"), ",.\n")) != test.want {
			t.Errorf("%v as %q: %q, want %q", test.value, test.format, got, test.want)
		}
	}
}

// What people do to sheets is told, and nothing of it is lost.
func TestTold(t *testing.T) {
	b := read(t, made(t, func(x *excelize.File) {
		put := func(sheet string, cells ...any) {
			for i := 0; i < len(cells); i += 2 {
				must(t, x.SetCellValue(sheet, cells[i].(string), cells[i+1]))
			}
		}
		must(t, x.SetSheetName("Sheet1", "trays"))
		put("trays", "A1", "# for people", "A3", "id", "B3", "size", "C3", "level", "A4", "T-1", "C4", 2900, "A6", "T-2", "B6", "300x50", "A7", "T-3", "B7", "300x50", "A8", "T-4")
		must(t, x.SetCellFormula("trays", "C7", "C4+50"), x.MergeCell("trays", "A8", "B8"), x.SetRowVisible("trays", 6, false), x.SetColVisible("trays", "B", false))
		for _, s := range []string{"grid", "empty", "#lists"} {
			_, err := x.NewSheet(s)
			must(t, err)
		}
		put("grid", "A1", "axis", "A2", "x")
		put("#lists", "A1", "kind")
		must(t, x.SetSheetVisible("grid", false))
	}))
	if got, want := text(t, b, "trays.csv"), "\n\nid,size,level\nT-1,,2900\n\nT-2,300x50\n\nT-4\n"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	if d := cmp.Diff([]string{"trays.csv 7 trays!C7: a formula without a saved value (open the workbook in a spreadsheet, save it, and try again)"}, said(b.Problems)); d != "" || b.Lost != 1 {
		t.Errorf("%d lost; (-want +got)\n%s", b.Lost, d)
	}
	want := []string{
		"empty.csv 0 : an empty sheet (not read)",
		"grid.csv 0 : the sheet is hidden (it is read all the same: show it, or take it out)",
		"trays.csv 0 : hidden: column B (read all the same)",
		"trays.csv 6 : hidden: row 6 (read all the same)",
		"trays.csv 8 : A8:B8 is merged (its text counts for A8 alone: the other cells are blank)",
	}
	got := said(b.Warnings)
	slices.Sort(got)
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
	names, err := fs.Glob(b, "*.csv")
	if err != nil || !slices.Equal(names, []string{"grid.csv", "trays.csv"}) {
		t.Errorf("%v %v", names, err)
	}
	for _, p := range []struct {
		line, column int
		want         string
	}{{3, 1, "trays!A3"}, {3, 4, "trays!B3"}, {3, 9, "trays!C3"}, {4, 6, "trays!C4"}, {4, 0, "trays row 4"}, {0, 0, "trays"}, {99, 3, "trays row 99"}} {
		if got := b.Place("trays.csv", p.line, p.column); got != p.want {
			t.Errorf("line %d, column %d: %q, want %q", p.line, p.column, got, p.want)
		}
	}
}

// zipOf makes a workbook of parts as they are.
func zipOf(t testing.TB, parts map[string]string) string {
	t.Helper()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for name, data := range parts {
		w, err := z.Create(name)
		must(t, err)
		_, err = w.Write([]byte(data))
		must(t, err)
	}
	must(t, z.Close())
	name := filepath.Join(t.TempDir(), "job.xlsx")
	must(t, os.WriteFile(name, b.Bytes(), 0o600))
	return name
}

const (
	oneSheet = `<workbook xmlns:r="r"><sheets><sheet name="s" sheetId="1" r:id="rId1"/></sheets></workbook>`
	oneRel   = `<Relationships><Relationship Id="rId1" Type="http://x/worksheet" Target="worksheets/sheet1.xml"/><Relationship Id="rId2" Type="http://x/sharedStrings" Target="/xl/sharedStrings.xml"/></Relationships>`
)

// parts returns a workbook with one sheet and the texts that its cells share.
func parts(sheet, shared string) map[string]string {
	return map[string]string{"xl/workbook.xml": oneSheet, "xl/_rels/workbook.xml.rels": oneRel, "xl/worksheets/sheet1.xml": sheet, "xl/sharedStrings.xml": shared}
}

// What the format allows and the library does not write: prefixes, cells without their places, rich text, text said aloud, CDATA,
// comments, characters by number, a formula of text.
func TestForms(t *testing.T) {
	b := read(t, zipOf(t, parts(
		`<?xml version="1.0"?><!-- a > b --><x:worksheet xmlns:x='m'><x:sheetData><x:row><x:c t="s"><x:v>0</x:v></x:c><x:c t='inlineStr'><x:is><x:r><x:t>si</x:t></x:r><x:r><x:t>ze</x:t></x:r></x:is></x:c></x:row>`+
			`<x:row r="3"><x:c r="B3" t="str"><x:f>"a&gt;b"</x:f><x:v>a&gt;b&#65;&#x42;</x:v></x:c><x:c><x:v>1.5</x:v></x:c><x:c t="e"><x:v>#REF!</x:v></x:c><x:c t="str"><x:f>""</x:f><x:v></x:v></x:c></x:row></x:sheetData></x:worksheet>`,
		`<sst><si><r><t>i</t></r><r><t><![CDATA[d<&]]></t></r><rPh sb="0" eb="1"><t>aloud</t></rPh></si><si/></sst>`)))
	if got, want := text(t, b, "s.csv"), "id<&,size\n\n,a>bAB,1.5,#REF!\n"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}

// Characters that XML has no other way for, and what looks like them; tags with a > in an attribute, and what breaks off within one.
func TestCharacters(t *testing.T) {
	for _, test := range []struct{ in, want string }{
		{"a&quot;b&apos;c&amp;lt;", `"a""b'c&lt;"`},
		{"&#65;&#x42;&#x1F600;", "AB\U0001F600"},
		{"&#0;&#x110000;&#xZ;&#;", "&#0;&#x110000;&#xZ;&#;"},
		{"&nothing;", "&nothing;"},
		{"a & b", "a & b"},
		{"a &" + strings.Repeat("b", 12) + ";", "a &" + strings.Repeat("b", 12) + ";"},
		{"a_x0041_b", "aAb"},
		{"_x0041", "_x0041"},
		{"_x0000_", "_x0000_"},
		{"_xD83D_", "_xD83D_"},
		{"_xE000_", "\uE000"},
		{"_x00G1_", "_x00G1_"},
		{"_x005F_x0041_", "_x0041_"},
		{"<![CDATA[&amp;]]]>]]&gt;", "&amp;]]]>"},
		{"a<!-- -- - > <x> -->b<?x > ?>c", "abc"},
	} {
		for _, kind := range []string{"", "s"} {
			cell, shared := `<c r="A1" t="inlineStr" x="1>2" y='3"4'><is><t>`+test.in+`</t></is></c>`, "<sst/>"
			if kind == "s" {
				cell, shared = `<c r="A1" t="s"><v>0</v></c>`, "<sst><si><t>"+test.in+"</t></si></sst>"
			}
			b := read(t, zipOf(t, parts(`<worksheet><sheetData><row r="1">`+cell+`</row></sheetData></worksheet>`, shared)))
			if got := strings.TrimSuffix(text(t, b, "s.csv"), "\n"); got != test.want {
				t.Errorf("%s, %q: %q, want %q", test.in, kind, got, test.want)
			}
		}
	}
}

// Dates are counted from 1904 in some workbooks. 44653 days from there are 2026-04-03: from 1900 they are 46115, and 1462 lie between the two.
func TestDaysFrom1904(t *testing.T) {
	p := parts(`<worksheet><sheetData><row><c s="1"><v>44653</v></c><c s="1"><v>0.5</v></c><c s="0"><v>1</v></c><c s="2"><v>1</v></c></row></sheetData></worksheet>`, "<sst/>")
	p["xl/workbook.xml"] = strings.Replace(oneSheet, "<sheets>", `<workbookPr date1904="1"/><sheets>`, 1)
	p["xl/_rels/workbook.xml.rels"] = strings.Replace(oneRel, "</Relationships>", `<Relationship Id="rId3" Type="http://x/styles" Target="styles.xml"/></Relationships>`, 1)
	p["xl/styles.xml"] = `<styleSheet><cellXfs><xf numFmtId="0"/><xf numFmtId="14"/></cellXfs></styleSheet>`
	if got, want := text(t, read(t, zipOf(t, p)), "s.csv"), "2026-04-03,1904-01-01,1,1\n"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}

// Hidden rows and columns are told in stretches; a place is found behind cells with commas and quotes in them.
func TestHiddenStretches(t *testing.T) {
	hidden := func(n int, cells string) string { return fmt.Sprintf(`<row r="%d" hidden="true">%s</row>`, n, cells) }
	const cell = `<c t="inlineStr"><is><t>a "b", c</t></is></c><c><v>1</v></c>`
	b := read(t, zipOf(t, parts(`<worksheet><cols><col min="27" max="29" hidden="1"/><col min="1" max="1" hidden="0"/></cols><sheetData><row r="1">`+cell+"</row>"+
		hidden(2, cell)+hidden(3, cell)+hidden(4, "")+hidden(5, cell)+`<row r="6">`+cell+"</row></sheetData></worksheet>", "<sst/>")))
	if d := cmp.Diff([]string{
		"s.csv 0 : hidden: columns AA to AC (read all the same)",
		"s.csv 2 : hidden: rows 2 to 3 (read all the same)",
		"s.csv 5 : hidden: row 5 (read all the same)",
	}, said(b.Warnings)); d != "" {
		t.Error(d)
	}
	line := strings.Split(text(t, b, "s.csv"), "\n")[0]
	for k, want := range map[int]string{1: "s!A1", len(line) - 1: "s!A1", len(line): "s!B1", len(line) + 9: "s!B1"} {
		if got := b.Place("s.csv", 1, k); got != want {
			t.Errorf("column %d of %s: %s, want %s", k, line, got, want)
		}
	}
	if got := b.Place("other.csv", 1, 1); got != "" {
		t.Errorf("a place in a table that is not of the workbook: %q", got)
	}
}

// long returns a text that zipping does not make much shorter.
func long(n int) string {
	var b strings.Builder
	for i := 0; b.Len() < n; i++ {
		fmt.Fprintf(&b, "%x", i*i*2654435761)
	}
	return b.String()
}

// sheets is a list of so many sheets.
func sheets(n int) string {
	var b strings.Builder
	for k := range n {
		fmt.Fprintf(&b, `<sheet name="s%d" sheetId="%d" r:id="rId1"/>`, k, k+1)
	}
	return `<workbook xmlns:r="r"><sheets>` + b.String() + `</sheets></workbook>`
}

func TestRefused(t *testing.T) {
	row := func(s string) string { return "<worksheet><sheetData>" + s + "</sheetData></worksheet>" }
	for _, test := range []struct {
		name  string
		parts map[string]string
		want  string
	}{
		{"no list of sheets", map[string]string{"x": "y"}, "not a workbook"},
		{"no sheet", map[string]string{"xl/workbook.xml": "<workbook/>"}, "no sheet"},
		{"a part that is missing", map[string]string{"xl/workbook.xml": oneSheet, "xl/_rels/workbook.xml.rels": oneRel}, "is missing"},
		{"a sheet too many", map[string]string{"xl/workbook.xml": sheets(1001)}, "more than 1000 sheets"},
		{"a cell too far to the right", parts(row(`<row r="1"><c r="XFE1"/></row>`), "<sst/>"), "a cell"},
		{"breaks off", parts("<worksheet><sheetData><row", "<sst/>"), "breaks off"},
		{"breaks off in a tag", parts(`<worksheet a="`, "<sst/>"), "breaks off"},
		{"breaks off behind a tag begins", parts(`<worksheet><`, "<sst/>"), "breaks off"},
		{"breaks off in a comment", parts(`<worksheet><!-- `, "<sst/>"), "breaks off"},
		{"breaks off in an instruction", parts(`<?xml `, "<sst/>"), "breaks off"},
		{"breaks off in CDATA", parts(`<worksheet><![CDATA[ ]]`, "<sst/>"), "breaks off"},
		{"text behind the end", parts(`<worksheet/> x`, "<sst/>"), "breaks off"},
		{"a tag without a name", parts(`<worksheet>< a="b"></worksheet>`, "<sst/>"), "breaks off"},
		{"a document type", parts(`<!DOCTYPE x [<!ENTITY a "b">]><worksheet/>`, "<sst/>"), "document type"},
		{"rows that go back", parts(row(`<row r="5"/><row r="5"/>`), "<sst/>"), "row \"5\" after row 5"},
		{"a row too far down", parts(row(`<row r="1048577"/>`), "<sst/>"), "after row 0"},
		{"a cell nowhere", parts(row(`<row r="1"><c r="1A"/></row>`), "<sst/>"), "a cell"},
		{"a long text", parts(row(`<row r="1"><c t="inlineStr"><is><t>`+long(1<<21)+`</t></is></c></row>`), "<sst/>"), "more than 1 MiB"},
		{"a bomb", parts(row(strings.Repeat(`<row/>`, 1<<20)), "<sst/>"), "unfolds"},
	} {
		_, err := workbook.Read(context.Background(), zipOf(t, test.parts))
		if err == nil || !strings.Contains(err.Error(), test.want) {
			t.Errorf("%s: %v, want %q", test.name, err, test.want)
		}
	}
	if _, err := workbook.Read(context.Background(), zipOf(t, map[string]string{"xl/workbook.xml": sheets(1000)})); err != nil {
		t.Errorf("as many sheets as may be: %v", err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := workbook.Read(ctx, zipOf(t, parts(row(""), "<sst/>"))); err != context.Canceled {
		t.Errorf("stopped: %v", err)
	}
	b, err := workbook.Read(context.Background(), zipOf(t, parts(row(`<row><c t="s"><v>7</v></c></row>`), "<sst/>")))
	if err != nil || len(b.Problems) != 1 || b.Problems[0].Place != "s!A1" {
		t.Errorf("a text that is not there: %v, %+v", err, b)
	}
}

// Whatever stands in the parts, reading ends, with rows in the order of their lines or an error.
func FuzzRead(f *testing.F) {
	f.Add([]byte(`<worksheet><sheetData><row r="1"><c r="A1" t="s"><v>0</v></c></row></sheetData></worksheet>`), []byte(`<sst><si><t>a</t></si></sst>`))
	f.Add([]byte(`<a b='>'><![CDATA[]]]]><!--`), []byte(`&#x110000;_x0000_`))
	f.Fuzz(func(t *testing.T, sheet, shared []byte) {
		b, err := workbook.Read(context.Background(), zipOf(t, parts(string(sheet), string(shared))))
		if err != nil {
			return
		}
		names, err := fs.Glob(b, "*")
		must(t, err)
		for _, n := range names {
			_ = b.Place(n, 1, 1)
			_ = text(t, b, n)
		}
	})
}

// A workbook that Write makes, opened and saved by a spreadsheet of another make, reads as it did.
func TestSavedByAnother(t *testing.T) {
	tool, err := exec.LookPath("soffice")
	if err != nil {
		if os.Getenv("VOIDLINE_REQUIRE") != "" {
			t.Fatal("soffice is required here: a spreadsheet that opens and saves workbooks")
		}
		t.Skip("no soffice here: a workbook is not opened and saved by another spreadsheet")
	}
	dir := t.TempDir()
	name := filepath.Join(dir, "job.xlsx")
	var b bytes.Buffer
	must(t, workbook.Write(&b, []workbook.Sheet{
		{Name: "bays", Columns: []workbook.Column{{Head: "bay", What: "its name"}, {Head: "x2", What: "a corner", Number: true}}, Rows: [][]string{{"A-B/1-2", "6000"}, {"3-4", "7000.5"}}},
		{
			Name: "drains", Columns: []workbook.Column{{Head: "id", What: "its name"}, {Head: "fall", What: "downwards"}, {Head: "bay", What: "where", Choose: "bays.bay"}, {Head: "kind", What: "what", Choose: "kind"}},
			Rows: [][]string{{"007", "1:80", "3-4", "pipe"}, {"D-2", "1 in 40", "", ""}},
		},
	}, []workbook.List{{Name: "kind", Words: []string{"pipe", "duct"}}}), os.WriteFile(name, b.Bytes(), 0o600))
	before := read(t, name)
	out := filepath.Join(dir, "out")
	cmd := exec.Command(tool, "-env:UserInstallation=file://"+filepath.ToSlash(dir)+"/profile", "--headless", "--convert-to", "xlsx:Calc MS Excel 2007 XML", "--outdir", out, name)
	if said, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, said)
	}
	after := read(t, filepath.Join(out, "job.xlsx"))
	for _, sheet := range []string{"bays.csv", "drains.csv"} {
		if d := cmp.Diff(text(t, before, sheet), text(t, after, sheet)); d != "" {
			t.Errorf("%s (-before +after):\n%s", sheet, d)
		}
	}
	if len(after.Problems)+len(after.Warnings) > 0 {
		t.Errorf("%v %v", said(after.Problems), said(after.Warnings))
	}
	if got, want := text(t, before, "drains.csv"), "\nid,fall,bay,kind\n007,1:80,3-4,pipe\nD-2,1 in 40\n"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}

func BenchmarkRead(b *testing.B) {
	name := made(b, func(x *excelize.File) {
		s, err := x.NewStreamWriter("Sheet1")
		must(b, err)
		for i := range 100_000 {
			row := make([]any, 12)
			for k := range row {
				if row[k] = any(fmt.Sprintf("T-%d", i)); k%2 == 1 {
					row[k] = float64(i) + 0.5
				}
			}
			must(b, s.SetRow(fmt.Sprintf("A%d", i+1), row))
		}
		must(b, s.Flush())
	})
	b.Run("own", func(b *testing.B) {
		for b.Loop() {
			read(b, name)
		}
	})
	b.Run("library", func(b *testing.B) { // which would have to read it once more to know a date
		for b.Loop() {
			x, err := excelize.OpenFile(name)
			must(b, err)
			rows, err := x.Rows("Sheet1")
			must(b, err)
			for rows.Next() {
				_, err := rows.Columns(excelize.Options{RawCellValue: true})
				must(b, err)
			}
			must(b, rows.Close(), x.Close())
		}
	})
}
