package register

import "testing"

// Every column says what its cells hold.
func TestColumnsSay(t *testing.T) {
	for c := range Column(ColumnCount) {
		if what, _ := c.Says(); what == "" || c.Heading() == "" {
			t.Errorf("column %d (%q) says nothing", c, c.Heading())
		}
	}
}
