package table

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"voidline/void"
	"voidline/void/cell"
)

// supports.csv is read with semicolons and decimal commas too, with places in metres, as UTF-16 with a byte order mark and CRLF, as spreadsheets
// write it, and under a name in capitals.
func TestSupports(t *testing.T) {
	text := "Run;Length;Row;Number;Along_m;Hanger;Rods;From;Stage;Note\r\n" +
		"SP2;1 of 2;;4;3,9;channel 41 M10;2;Beam flange;fixed;\r\n;;;;;;;;;\r\n" +
		";;T-1;5;0,3;;;;;\"as sheet; 30 November\"\r\n"
	wide := []byte{0xff, 0xfe}
	for _, r := range text {
		wide = append(wide, byte(r), 0)
	}
	at := func(line int32) void.At { return void.At{File: 1, Line: line} }
	want := []void.SupportRow{
		{At: at(2), Run: word("SP2"), Length: word("1 of 2"), Number: cell.ParseNumber("4"), Along: length("3.9 m"), Hanger: word("channel 41 M10"), Rods: cell.ParseNumber("2"), From: word("Beam flange"), Stage: word("fixed")},
		{At: at(4), Row: word("T-1"), Number: cell.ParseNumber("5"), Along: length("0.3 m"), Note: word("as sheet; 30 November")},
	}
	for _, as := range []string{text, string(wide)} {
		got, _ := read(t, folder(map[string]string{"SUPPORTS.CSV": as}))
		for i := range got.Supports {
			got.Supports[i].At.Offset = 0
		}
		if d := cmp.Diff(want, got.Supports); d != "" {
			t.Errorf("(-want +got):\n%s", d)
		}
		if len(got.Problems)+len(got.Warnings) > 0 {
			t.Errorf("problems %v, warnings %v", got.Problems, got.Warnings)
		}
	}
}
