package clash_test

import (
	"context"
	"fmt"
	"math"
	"testing"

	"github.com/golang/geo/r2"

	"voidline/clash"
)

// taut returns the length of a string drawn tight round discs: rho is the radius of each, above 0 where the disc stands on the
// left of the way, below on its right, 0 for a point.
func taut(at []r2.Point, rho []float64) float64 {
	length, was := 0.0, math.NaN()
	for k := 1; k < len(at); k++ {
		d := at[k].Sub(at[k-1])
		by := rho[k] - rho[k-1]
		length += math.Sqrt(d.Dot(d) - by*by)
		now := math.Atan2(d.Y, d.X) - math.Asin(by/d.Norm())
		if !math.IsNaN(was) {
			length += math.Abs(rho[k-1] * math.Remainder(now-was, 2*math.Pi))
		}
		was = now
	}
	return length
}

// The way that is told against the least that there is, for ways of which the least is known: of a ball of 75 round corners it is a
// string round discs of 75. The damper is 200 x 200 x 300 at 2900, its middle at 5000, 5000; the way ends at its nearest corner
// or edge. A hand needs no room, but in none of these does that shorten the way.
func TestReachAgainstTheLeastWay(t *testing.T) {
	const r = 75.0
	p := func(x, y float64) r2.Point { return r2.Point{X: x, Y: y} }
	wall := func(y1, y2 float64, level string) string {
		return fmt.Sprintf("W,5300,%g,5300,%g,100,%s\n", y1, y2, level)
	}
	end := func(y float64) float64 { // of a wall from 5250 to 5350, round its end at y
		return taut([]r2.Point{p(5500, 5000), p(5350, y), p(5250, y), p(5100, 5100)}, []float64{0, r, r, 0})
	}
	// Over a head at z, or under a foot: one may begin at any level, so level over the wall, and down to the edge of the damper.
	head := func(z, far float64) float64 {
		return taut([]r2.Point{p(far, z+r), p(5250, z), p(5100, 3200)}, []float64{0, r, 0})
	}
	cases := []struct {
		name  string
		x, y  float64 // of the hatch
		walls string
		least float64
	}{
		{"straight", 5500, 5000, "", 400},
		{"straight, further", 5777, 5000, "", 677},
		{"diagonal", 5400, 5300, "", math.Hypot(300, 200)},
		{"diagonal, 7 in 24", 5340, 5170, "", math.Hypot(240, 70)},
		{"round the end of a wall at 5400", 5500, 5000, wall(0, 5400, "FFL..soffit"), end(5400)},
		{"round its end at 5463", 5500, 5000, wall(0, 5463, "FFL..soffit"), end(5463)},
		{"round its end at 5600", 5500, 5000, wall(0, 5600, "FFL..soffit"), end(5600)},
		{"round its end at 5817", 5500, 5000, wall(0, 5817, "FFL..soffit"), end(5817)},
		{"over a wall to 3400", 5500, 5000, wall(0, 9000, "FFL..FFL+3400"), head(3400, 5500)},
		{"over a wall to 3511", 5500, 5000, wall(0, 9000, "FFL..FFL+3511"), head(3511, 5500)},
		{"over a wall to 3600", 5633, 5000, wall(0, 9000, "FFL..FFL+3600"), head(3600, 5633)},
		{"over a wall, askew: unrolled it is straight", 5500, 5300, wall(0, 9000, "FFL..FFL+3400"), math.Hypot(head(3400, 5500), 200)},
		{"over a wall, more askew", 5500, 5500, wall(0, 9000, "FFL..FFL+3450"), math.Hypot(head(3450, 5500), 400)},
		{"over a duct from 2850 to 3450, no room under it", 5500, 5000, "X,5300,0,5300,9000,100,FFL+2600..FFL+3450\n", head(3450, 5500)},
		{"under a downstand to 2690", 5500, 5000, wall(0, 9000, "FFL+2690..soffit"), taut([]r2.Point{p(5500, -2690+r), p(5250, -2690), p(5100, -2900)}, []float64{0, r, 0})},
		{
			"round two: the end of a wall at 5300, then of one that comes from the north to 4950", 5900, 5000,
			"W,5700,0,5700,5300,100,FFL..soffit\nV,5300,4950,5300,9000,100,FFL..soffit\n",
			taut([]r2.Point{p(5900, 5000), p(5750, 5300), p(5650, 5300), p(5350, 4950), p(5250, 4950), p(5100, 4900)}, []float64{0, r, r, -r, -r, 0}),
		},
	}
	worst, least := 0.0, 1.0
	for _, c := range cases {
		reached := func(reach float64) bool {
			q := openText(t, map[string]string{
				"bays.csv":       "bay,x1,y1,x2,y2,soffit,ceiling,build-up\nA,0,0,10000,10000,3800,2400,boards\n",
				"buildups.csv":   "build-up,layer,thickness,lifts out\nboards,b,90,no\n",
				"mechanical.csv": "id,kind,x1,y1,size,level,reach\nD,volume control damper,5000,5000,200x200x300,2900,yes\nE,fan coil,1000,9000,200x200x200,2900,no\n",
				"access.csv":     fmt.Sprintf("for,kind,x,y,size\nE,hatch,%g,%g,300x300\n", c.x, c.y),
				"partitions.csv": "id,x1,y1,x2,y2,size,level\nFAR,0,9800,9000,9800,100,FFL..soffit\n" + c.walls,
			})
			if len(q.Problems) > 0 {
				t.Fatal(q.Problems)
			}
			res, err := clash.Open(q, clash.Options{Touch: 1, Reach: reach}).Findings(context.Background())
			if err != nil {
				t.Fatal(err)
			}
			for _, f := range res.Findings {
				if f.Hatch != nil {
					return false
				}
			}
			return true
		}
		lo, hi := c.least*0.8, c.least*1.3
		if reached(lo) || !reached(hi) {
			t.Errorf("%s: reached at 0.8 of the least way of %.1f: %v; at 1.3: %v", c.name, c.least, reached(lo), reached(hi))
			continue
		}
		for hi-lo > 0.2 {
			if m := (lo + hi) / 2; reached(m) {
				hi = m
			} else {
				lo = m
			}
		}
		ratio := hi / c.least
		worst, least = math.Max(worst, ratio), math.Min(least, ratio)
		t.Logf("%-80s least %7.1f, told %7.1f: %.4f", c.name, c.least, hi, ratio)
	}
	t.Logf("told against the least: %.4f to %.4f", least, worst)
	// A corner may be passed by 5 nearer than the radius.
	if worst > 1+clash.WayLonger || least < 0.99 {
		t.Errorf("ways are told as %.4f to %.4f of the least, which is said to be 1 to %g", least, worst, 1+clash.WayLonger)
	}
}
