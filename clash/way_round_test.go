package clash

import (
	"slices"
	"testing"

	"github.com/golang/geo/r3"

	"voidline/clash/scene"
)

// The box round a way holds all of it, whichever point is the first, with the 75 of an arm and 100 of a hand round it.
func TestBoxRoundAWay(t *testing.T) {
	way := []r3.Vector{{X: 100, Y: 200, Z: 300}, {X: 600, Y: -50, Z: 350}, {X: 300, Y: 900, Z: 250}}
	want := scene.Within(r3.Vector{X: 100 - 175, Y: -50 - 175, Z: 250 - 175}, r3.Vector{X: 600 + 175, Y: 900 + 175, Z: 350 + 175})
	for range way {
		q := reaching{way: way}
		if got := q.round(); got != want {
			t.Errorf("round %v: %+v, want %+v", way, got, want)
		}
		way = slices.Concat(way[1:], way[:1])
	}
	one := reaching{way: way[:1]}
	if got := one.round(); got != scene.Within(way[0].Sub(r3.Vector{X: 175, Y: 175, Z: 175}), way[0].Add(r3.Vector{X: 175, Y: 175, Z: 175})) {
		t.Errorf("round one point: %+v", got)
	}
}
