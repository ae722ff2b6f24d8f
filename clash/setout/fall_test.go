package setout_test

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"voidline/clash"
	"voidline/clash/setout"
	"voidline/void/cell"
)

// A drain laid at either end of its band, and in the middle of it, leaves nothing of the run to find.
func TestFallPutBackLeavesNothing(t *testing.T) {
	fits, not := 0, 0
	for seed := range 60 {
		r := rand.New(rand.NewPCG(uint64(seed), 47))
		ts := randomJob(r)
		n := []int{60, 80, 120}[r.IntN(3)]
		lengths := []float64{float64(4000 + r.IntN(4000)), float64(3000 + r.IntN(4000))}
		x := float64(1000 + r.IntN(7000))
		lay := func(z float64) string {
			a, b := x+lengths[0], x+lengths[0]+lengths[1]
			return "id,service,kind,x1,y1,x2,y2,size,insulation,level,fall,run\n" +
				fmt.Sprintf("W1,soil,pipe,%v,4000,%v,4000,ø110,10,project%+.4f,1 in %d,D\n", x, a, z, n) +
				fmt.Sprintf("W2,soil,pipe,%v,4000,%v,4000,ø110,10,project%+.4f,1 in %d,D\n", a, b, z-lengths[0]/float64(n), n)
		}
		ts["tray.csv"] = lay(7100)
		p := ts.open(t)
		runs, err := setout.Assemble(p, "D", cell.Bottom)
		if err != nil || len(runs) != 1 {
			t.Fatal(err, len(runs))
		}
		f := setout.SetFall(p, clash.Open(p, clash.Options{}), &runs[0], nil)
		if len(f.Band) == 0 {
			not++
			if f.Out == nil || f.Out.Short <= 0 {
				t.Errorf("seed %d: it does not fit, and does not run out: %+v", seed, f.Out)
			}
			continue
		}
		fits++
		for _, b := range f.Band {
			for _, z := range []float64{b.Lo, (b.Lo + b.Hi) / 2, b.Hi} {
				ts["tray.csv"] = lay(z)
				if fs := foundOf(t, ts.open(t), "D"); len(fs) > 0 {
					t.Errorf("seed %d: at %.4f of %.4f to %.4f the check finds %s of %s: %s, %v of %v %s\n%v", seed, z, b.Lo, b.Hi, fs[0].Kind, *fs[0].B, fs[0].Rule,
						fs[0].Gap, fs[0].Asked, fs[0].Note, ts)
				}
			}
		}
	}
	t.Logf("%d drains fit, %d do not", fits, not)
	if fits == 0 {
		t.Error("no drain fits")
	}
}
