package clash_test

import (
	"encoding/json"
	"fmt"
	"os"
	"strings"
	"testing"

	"voidline/clash"
)

// dump rows and tables of given ids
func dumpRows(b *building, ids ...string) {
	c := b.only(func(r *row) bool {
		for _, i := range ids {
			if r.id == i {
				return true
			}
		}
		return false
	})
	c.openings, c.access = nil, nil
	for n, f := range c.files(spelling{}) {
		if strings.Contains("levels.csv grid.csv buildups.csv bays.csv gaps.csv", n) {
			continue
		}
		fmt.Printf("-- %s\n%s", n, f.Data)
	}
}

func TestDbg(t *testing.T) {
	ids := strings.Split(os.Getenv("IDS"), ",")
	var seed, mi int
	fmt.Sscan(os.Getenv("SEED"), &seed)
	fmt.Sscan(os.Getenv("MIX"), &mi)
	b := random(uint64(seed), metamorphicMixes[mi])
	dumpRows(b, ids...)
	b.openings, b.access = nil, nil
	for _, v := range []*building{b, b.moved(12345.6, -7890.1), b.turned()} {
		for _, w := range []*building{v, v.only(func(r *row) bool { return strings.Contains(os.Getenv("IDS"), r.id) })} {
			res := w.checked(t, spelling{}, clash.Options{Touch: 1})
			for _, f := range res.Findings {
				if strings.Contains(os.Getenv("IDS"), f.A) && f.B != nil && strings.Contains(os.Getenv("IDS"), *f.B) {
					j, _ := json.Marshal(f)
					fmt.Println(string(j))
				}
			}
			fmt.Println("==")
		}
	}
}
