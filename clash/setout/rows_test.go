package setout_test

import (
	"reflect"
	"slices"
	"strings"
	"testing"

	"voidline/clash/setout"
	"voidline/void"
)

// Rows that take the place of others lose none of their columns: each of a zone's is there, but those that say in another way what is there.
func TestRowsHaveEveryColumn(t *testing.T) {
	otherwise := []string{"bay", "width", "height", "diameter"} // the place and the size
	var want []string
	row := reflect.TypeFor[void.ZoneRow]()
	for i := range row.NumField() {
		f := row.Field(i)
		name, _, _ := strings.Cut(f.Tag.Get("csv"), ",")
		if head := f.Tag.Get("head"); head != "" {
			name = head
		}
		if name != "-" && !slices.Contains(otherwise, name) {
			want = append(want, name)
		}
	}
	got := setout.Columns()
	slices.Sort(want)
	slices.Sort(got)
	if !slices.Equal(got, want) {
		t.Errorf("columns %q, want %q", got, want)
	}
}
