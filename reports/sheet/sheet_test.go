package sheet_test

import (
	"bytes"
	"encoding/csv"
	"errors"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"voidline/clash/finding"
	"voidline/reports/internal/example"
	"voidline/reports/internal/golden"
	"voidline/reports/sheet"
)

func TestCheck(t *testing.T) {
	var b, bom bytes.Buffer
	if err := sheet.Check(&b, example.Result(), sheet.Options{}); err != nil {
		t.Fatal(err)
	}
	golden.Equal(t, "findings.csv", b.Bytes())
	if err := sheet.Check(&bom, example.Result(), sheet.Options{BOM: true}); err != nil {
		t.Fatal(err)
	}
	if want := "\xef\xbb\xbf" + b.String(); bom.String() != want {
		t.Error("with BOM: more differs than the mark at the head")
	}
}

func TestCheckEmpty(t *testing.T) {
	var b bytes.Buffer
	if err := sheet.Check(&b, example.Empty(), sheet.Options{}); err != nil {
		t.Fatal(err)
	}
	if got := strings.Count(b.String(), "\r\n"); got != 1 || !strings.HasPrefix(b.String(), "finding,problem,kind,storey,bay,") {
		t.Errorf("got %q, want the header alone", b.String())
	}
}

func TestText(t *testing.T) {
	for _, test := range []struct{ in, want string }{
		{"", ""},
		{"B-07", "B-07"},
		{"=1+1", "'=1+1"},
		{"+cmd", "'+cmd"},
		{"-cmd", "'-cmd"},
		{"@cmd", "'@cmd"},
		{" =1+1", "'=1+1"},
		{"\t=1+1", "'=1+1"},
		{"\tx", "'x"},
		{"\rx", "'x"},
		{"＝1", "'＝1"},
		{"-5", "-5"},
		{"+5.25", "+5.25"},
		{"-5,5", "-5,5"},
		{"-5-3", "'-5-3"},
		{"-1+cmd|' /C calc'!A0", "'-1+cmd|' /C calc'!A0"},
		{"a\x1bb\nc", "a\ufffdb c"},
	} {
		if got := sheet.Text(test.in); got != test.want {
			t.Errorf("Text(%q) = %q, want %q", test.in, got, test.want)
		}
	}
}

// Whatever the names are, the file reads back as one row a finding, no row has a cell more or
// less, and no cell begins like a formula unless it is a plain number.
func TestCheckAnyNames(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		name := rapid.OneOf(rapid.String(), rapid.StringMatching(`[ \t=+@,;"'\r\n1a-]{0,8}`))
		var r finding.Result
		for range rapid.IntRange(0, 4).Draw(t, "findings") {
			b, bay := name.Draw(t, "b"), name.Draw(t, "bay")
			r.Findings = append(r.Findings, finding.Finding{
				ID: name.Draw(t, "id"), A: name.Draw(t, "a"), B: &b, Bay: &bay, ATrade: name.Draw(t, "trade"), Rule: name.Draw(t, "rule"),
				Note: name.Draw(t, "note"), Gap: -3.2, GivesWay: name.Draw(t, "way"),
				Moves: []finding.Move{{Zone: name.Draw(t, "zone"), Direction: "up", By: 3}}, Also: []finding.Also{{Rule: name.Draw(t, "also")}},
			})
		}
		var b bytes.Buffer
		if err := sheet.Check(&b, &r, sheet.Options{}); err != nil {
			t.Fatal(err)
		}
		rows, err := csv.NewReader(&b).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		if len(rows) != 1+len(r.Findings) || !slices.Equal(rows[0], sheet.Columns()) {
			t.Fatalf("%d rows, want a header and %d", len(rows), len(r.Findings))
		}
		for _, row := range rows[1:] {
			for _, c := range row {
				if c == "" || !strings.ContainsAny(c[:1], "=+-@\t\r\n") {
					continue
				}
				if strings.Trim(c[1:], "0123456789.,") != "" || c[0] != '+' && c[0] != '-' || len(c) == 1 {
					t.Fatalf("cell %q begins like a formula", c)
				}
			}
		}
	})
}

type broken struct{}

var errDisk = errors.New("disk full")

func (broken) Write([]byte) (int, error) { return 0, errDisk }

func TestCheckWriteError(t *testing.T) {
	for _, bom := range []bool{false, true} {
		if err := sheet.Check(broken{}, example.Result(), sheet.Options{BOM: bom}); !errors.Is(err, errDisk) {
			t.Errorf("Check returned %v, want %v", err, errDisk)
		}
	}
}
