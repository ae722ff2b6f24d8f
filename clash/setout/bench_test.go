package setout_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"
	"testing/fstest"

	"voidline/clash"
	"voidline/clash/setout"
	"voidline/io/table"
	"voidline/void/cell"
)

// BenchmarkSetOut sets out a tray of 60 m among 200 ducts and pipes that cross it, from the project on: what the check's bars
// are, the line, and each length of it measured again.
func BenchmarkSetOut(b *testing.B) {
	for _, high := range []int{100, 300} {
		b.Run(fmt.Sprintf("crossing things up to %d high", high), func(b *testing.B) {
			r := rand.New(rand.NewPCG(200, uint64(high)))
			var rows strings.Builder
			rows.WriteString("id,service,kind,x1,y1,x2,y2,size,level\n")
			for i := range 200 {
				x, h := 600+r.IntN(58800), 20+r.IntN(high-20)
				// Most of them high up or low down, as in a void that somebody has thought about.
				z := 2700 + r.IntN(200)
				if r.IntN(3) > 0 {
					z = 3590 - h - r.IntN(200)
				}
				switch i % 40 { // a few that leave no one level
				case 0:
					z = 3150 - h
				case 20:
					z, h = 2950, 630
				}
				fmt.Fprintf(&rows, "D%d,%s,duct,%d,200,%d,3800,%dx%d,%d\n", i, []string{"supply air", "extract"}[r.IntN(2)], x, x, 100+r.IntN(400), h, z)
			}
			p, err := table.Open(context.Background(), "job", table.Options{FS: fstest.MapFS{
				"bays.csv": {Data: []byte("bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,60000,4000,3600,2600\n")},
				"duct.csv": {Data: []byte(rows.String())},
				"tray.csv": {Data: []byte("id,service,kind,x1,y1,x2,y2,size,level,hanger,run\nT1,LV power,tray,0,2000,60000,2000,300x60,3000,channel 41 M10,T\n")},
			}})
			if err != nil || len(p.Problems) > 0 {
				b.Fatal(err, p.Problems)
			}
			c := clash.Open(p, clash.Options{Touch: clash.None})
			runs, err := setout.Assemble(p, "T", cell.Bottom)
			if err != nil {
				b.Fatal(err)
			}
			sets := 0
			for b.Loop() {
				a := setout.SetOut(p, c, &runs[0], setout.Settings{Steps: setout.Steps{Straight: 100}})
				if sets = len(a.Line.Steps); !a.Found {
					sets = -1
				}
			}
			b.ReportMetric(float64(sets), "sets")
		})
	}
}
