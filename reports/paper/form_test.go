package paper

import (
	"bytes"
	"fmt"
	"testing"

	"voidline/clash/setout"
)

// The form is the same bytes each time, begins a page for each storey, and breaks where a page is full.
func TestForm(t *testing.T) {
	var points []setout.Point
	for i := range 60 {
		points = append(points, setout.Point{No: i + 1, Storey: i / 50, What: "soffit", Bay: fmt.Sprint("B", i/3), Place: "A+1200, grid 2-300", Drawn: 3600, Datum: 1000})
	}
	var a, b bytes.Buffer
	for _, w := range []*bytes.Buffer{&a, &b} {
		if err := Form(w, points, "job", []string{"Ground", "First"}); err != nil {
			t.Fatal(err)
		}
	}
	if !bytes.Equal(a.Bytes(), b.Bytes()) {
		t.Error("two forms of one project differ")
	}
	// 22 or 23 rows go under the head of the first page, 27 on the next: 50 rows of the ground floor on two, the first floor on a third.
	if n := bytes.Count(a.Bytes(), []byte("/Type /Page\n")); n != 3 {
		t.Errorf("%d pages, want 3", n)
	}
	if err := Form(&a, nil, "", nil); err != nil {
		t.Error(err)
	}
}
