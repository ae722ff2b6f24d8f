package draw

import (
	"fmt"
	"strings"
	"testing"

	"github.com/golang/geo/r2"
)

// leaf is a pad of pages, 60 mm high each, at most so many; it keeps what is said, page by page.
type leaf struct {
	y     float64
	most  int
	pages [][]string
	cells int
}

func (l *leaf) Say(_, y float64, t Text) {
	l.pages[len(l.pages)-1] = append(l.pages[len(l.pages)-1], t.S)
	if y > 60 {
		l.pages[len(l.pages)-1] = append(l.pages[len(l.pages)-1], fmt.Sprintf("BELOW %v", y))
	}
}
func (l *leaf) Rule(Tone, float64, float64, float64, float64, float64) {}
func (l *leaf) Left() (y, bottom float64)                              { return l.y, 60 }
func (l *leaf) Down(y float64)                                         { l.y = y }
func (l *leaf) Cell(Cell, r2.Rect)                                     { l.cells++ }
func (l *leaf) Turn() bool {
	if l.most > 0 && len(l.pages) >= l.most {
		return false
	}
	l.pages, l.y = append(l.pages, nil), 0
	return true
}

// TestTable: the head stands on every page, no row is parted that fits on one, a row higher than a page goes on over the next, and no word is lost; where no
// page is left it says how many rows it has written.
func TestTable(t *testing.T) {
	long := strings.Repeat("word ", 200)
	table := Table{
		Columns:    []Column{{Head: "No.", Share: 1, Right: true}, {Head: "What", Share: 5}},
		TableStyle: TableStyle{Size: 3, Fine: 2.5, Head: 2.5, Lead: 1.3, Pad: 1, Gap: 1.2},
	}
	for i := range 30 {
		table.Rows = append(table.Rows, []Cell{{Text: fmt.Sprint(i)}, {Text: "row", Small: "small one\nsmall two"}})
	}
	table.Rows = append(table.Rows, []Cell{{Text: "30"}, {Text: long}}, []Cell{{Text: "31"}, {Text: "last"}})
	l := &leaf{}
	l.Turn()
	if n := table.Write(l, 0, 80); n != 32 || l.cells != 64 {
		t.Errorf("%d rows and %d cells, want 32 and 64", n, l.cells)
	}
	words := 0
	for i, p := range l.pages {
		said := strings.Join(p, " ")
		words += strings.Count(said, "word")
		if strings.Contains(said, "BELOW") {
			t.Errorf("page %d: %s", i, said)
		}
		if strings.Count(said, "No.") != 1 || strings.Count(said, "What") != 1 {
			t.Errorf("page %d has its head %d times", i, strings.Count(said, "No."))
		}
		if strings.Count(said, "row") != strings.Count(said, "small two") {
			t.Errorf("page %d: a row is parted: %s", i, said)
		}
	}
	if words != 200 || len(l.pages) < 8 {
		t.Errorf("%d words of 200 on %d pages", words, len(l.pages))
	}
	// A page holds the head of 4.45 mm and rows of 3.9 + 2 x 3.25 + 1.2 = 11.6 mm: four.
	few := &leaf{most: 2}
	few.Turn()
	if n := table.Write(few, 0, 80); n != 8 {
		t.Errorf("two pages hold %d rows, want 8", n)
	}
	if n := table.Fits(0, 80, 60); n != 4 {
		t.Errorf("a page holds %d rows, want 4", n)
	}
}
