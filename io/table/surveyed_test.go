package table

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"voidline/void"
	"voidline/void/cell"
)

// surveyed.csv is read as its form is filled in, with semicolons and decimal commas too, and with readings in metres.
func TestSurveyed(t *testing.T) {
	got, _ := read(t, folder(map[string]string{
		"Surveyed.csv": "No;Storey;What;Place;Bay;Zone;Face;Drawn;Reading_m;Level;Set-up;Not seen;Day;By;Note\n" +
			"1;;datum;;;;;;-0,2;;A;;24/11/2026;RK;\n\n" +
			"2;L1;soffit;B+1200, grid 2-300;;;;+2600;2,598;;A;;;;lamp\n" +
			"3;;steel;;;SB-1;top;;;datum+2300;;;;;\n" +
			"4;;ceiling;;B1;;;;;;;yes;;;\n",
	}))
	at := func(line int32) void.At { return void.At{File: 1, Line: line} }
	want := []void.SurveyRow{
		{At: at(2), No: word("1"), What: word("datum"), Reading: length("-0.2 m"), SetUp: word("A"), Day: word("24/11/2026"), By: word("RK")},
		{At: at(4), No: word("2"), Storey: word("L1"), What: word("soffit"), Place: word("B+1200, grid 2-300"), Drawn: word("+2600"), Reading: length("2.598 m"), SetUp: word("A"), Note: word("lamp")},
		{At: at(5), No: word("3"), What: word("steel"), Zone: word("SB-1"), Face: cell.ParseFace("top"), Level: cell.ParseLevel("datum+2300")},
		{At: at(6), No: word("4"), What: word("ceiling"), Bay: word("B1"), NotSeen: cell.ParseFlag("yes")},
	}
	for i := range got.Surveyed {
		got.Surveyed[i].At.Offset = 0
	}
	if d := cmp.Diff(want, got.Surveyed); d != "" {
		t.Errorf("(-want +got):\n%s", d)
	}
	if len(got.Problems)+len(got.Warnings) > 0 {
		t.Errorf("problems %v, warnings %v", got.Problems, got.Warnings)
	}
}
