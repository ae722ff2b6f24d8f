package sheet_test

import (
	"bytes"
	"encoding/csv"
	"slices"
	"strings"
	"testing"

	"voidline/reports/internal/example"
	"voidline/reports/sheet"
)

func TestDoubts(t *testing.T) {
	var b, bom bytes.Buffer
	if err := sheet.Doubts(&b, example.Doubtful(), sheet.Options{}); err != nil {
		t.Fatal(err)
	}
	if err := sheet.Doubts(&bom, example.Doubtful(), sheet.Options{BOM: true}); err != nil {
		t.Fatal(err)
	}
	if bom.String() != "\xef\xbb\xbf"+b.String() {
		t.Error("with BOM: more differs than the mark at the head")
	}
	rows, err := csv.NewReader(&b).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	want := [][]string{
		sheet.DoubtColumns(),
		{
			"", "A-B/1-2", "B+1200, grid 2-450", "2760", "4500", "3000", "T-1", "containment", "T1", "tray.csv:2", "ceiling A-B/1-2", "ceilings", "", "bays.csv:2",
			"20", "-25", "-18", "10", "clear of the ceiling", "practice", "T-1 5 (tray.csv:2); ceiling A-B/1-2 5 (default for ceiling); S-1 10 (default for beam)",
			"25", "S-1", "steel.csv:2", "9000", "", "", "k702mq3n4x2a",
		},
		{
			"", "A-B/1-2", "B+1200, grid 2-450", "2760", "4500", "3000", "D-1", "ductwork", "", "ductwork.csv:3", "P-1", "pipework", "", "pipework.csv:4",
			"33", "13", "19", "25", "insulation to insulation", "practice", "D-1 10 (default for services); P-1 10 (default for services)",
			"", "", "", "", "yes", "a note", "k703mq3n4x2a",
		},
		{
			"", "", "B+1200, grid 2-450", "2760", "4500", "3000", "'=1+1", "ductwork", "", "<b>.csv:3", "|x|\ufffd[31m", "pipework", "", "pipework.csv:5",
			"12", "-8", "-3", "0", "no two things in one place", "geometry", "'=1+1 10 (default for services); |x|\ufffd[31m 10 (default for services)",
			"", "", "", "", "", "", "k704mq3n4x2a",
		},
	}
	if !slices.EqualFunc(rows, want, slices.Equal) {
		t.Errorf("rows\n%q\nwant\n%q", rows, want)
	}
	b.Reset()
	if err := sheet.Doubts(&b, example.Empty(), sheet.Options{}); err != nil || strings.Count(b.String(), "\r\n") != 1 {
		t.Errorf("none: %q, %v, want the header alone", b.String(), err)
	}
}
