package void_test

import (
	"fmt"
	"strings"
	"testing"

	"voidline/void"
)

// Cells that are too far away are one problem for each file, whose numbers add up; a slip of the pen among them does not
// spoil the origin, and what is no such cell stays as it is.
func TestFarCellsAreGathered(t *testing.T) {
	far := func(file string, line int, axis string, mm float64) void.Problem {
		return void.Problem{File: file, Line: line, Cell: axis + "1", What: fmt.Sprintf("%q is more than 10 km from the origin", fmt.Sprint(mm)), Far: void.Far{Axis: axis, MM: mm}}
	}
	other := void.Problem{File: "a.csv", Line: 3, Cell: "size", What: "blank"}
	ps := []void.Problem{
		far("a.csv", 4, "x", 530123456), other, far("a.csv", 2, "x", 530129456), far("b.csv", 7, "y", -180345100), far("a.csv", 9, "x", 9e11),
	}
	got := void.Gathered(ps)
	if len(got) != 3 || got[0].Line != 2 || got[1] != other || got[2].Line != 7 {
		t.Fatalf("gathered %v", got)
	}
	if !strings.HasSuffix(got[0].What, ", and so are 2 more cells of this file") || strings.Contains(got[2].What, "more cells") {
		t.Errorf("numbers: %q, %q", got[0].What, got[2].What)
	}
	// x: 530123456, 530129456, 9e11: the middle one. y: 180.3451 km to the south, rounded away to -181 km.
	for _, k := range []int{0, 2} {
		if !strings.Contains(got[k].Hint, `"530000000,-181000000"`) {
			t.Errorf("hint %q", got[k].Hint)
		}
	}
	if one := void.Gathered(ps[:2]); len(one) != 2 || one[0] != ps[0] {
		t.Errorf("a single cell is %v, want it as it was", one)
	}
}
