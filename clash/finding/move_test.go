package finding_test

import (
	"strings"
	"testing"

	"voidline/clash/finding"
)

// A move in words, and of an answer that was written before moves had dx and dy.
func TestWay(t *testing.T) {
	for _, test := range []struct {
		move finding.Move
		want string
	}{
		{finding.Move{Direction: "up", By: 30, DZ: 30}, "up 30"},
		{finding.Move{Direction: "down", By: 30}, "down 30"},
		{finding.Move{Direction: "left", By: 30, DX: 30, Towards: "grid C"}, "30 towards grid C"},
		{finding.Move{Direction: "right", By: 50, DX: 30, DY: -40, Towards: "south-east"}, "50 south-east"},
		{finding.Move{Direction: "sideways", By: 50, DX: -30, DY: 40, Towards: "north-west"}, "50 north-west (30 west, 40 north)"},
		{finding.Move{Direction: "up and left", By: 50, DY: 30, DZ: 40, Towards: "north"}, "up 40 and 30 north"},
		{finding.Move{Direction: "down and right", By: 50, DY: -30, DZ: -40, Towards: "grid 3"}, "down 40 and 30 towards grid 3"},
		{finding.Move{Direction: "left", By: 30}, "sideways 30"},
	} {
		got := test.move.Way()
		if got != test.want {
			t.Errorf("%+v.Way() = %q, want %q", test.move, got, test.want)
		}
		if strings.Contains(got, "left") || strings.Contains(got, "right") {
			t.Errorf("%q says left or right", got)
		}
	}
}
