package setout

import (
	"context"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"
	"testing/fstest"

	"voidline/clash"
	"voidline/io/table"
	"voidline/void"
)

// largeFloor is a floor of about 20,000 zones: 500 runs of 14 lengths, and beams, ducts and pipes across them.
func largeFloor(b *testing.B) *void.Project {
	b.Helper()
	r := rand.New(rand.NewPCG(1, 500))
	bays, steel, duct, pipe, tray := "bay,x1,y1,x2,y2,soffit,ceiling\n", "id,kind,x1,y1,x2,y2,size,level\n", "id,kind,x1,y1,x2,y2,size,level\n", "id,kind,x1,y1,x2,y2,size,level\n",
		strings.Builder{}
	tray.WriteString("id,kind,run,x1,y1,x2,y2,size,level,hanger\n")
	for k := range 100 {
		x, y := k%10*12000, k/10*25000
		bays += fmt.Sprintf("B%d,%d,%d,%d,%d,3900,%d\n", k, x, y, x+12000, y+25000, 2600+50*(k%3))
	}
	for k := range 4000 {
		x, y := r.IntN(119000), r.IntN(249000)
		steel += fmt.Sprintf("S%d,beam,%d,%d,%d,%d,200x%d,soffit-%d\n", k, x, y, x, y+900, 200+50*r.IntN(5), 200+50*r.IntN(5))
		duct += fmt.Sprintf("D%d,duct,%d,%d,%d,%d,%dx%d,%d\n", k, x, y, x, y+2000, 200+50*r.IntN(8), 150+50*r.IntN(5), 2800+25*r.IntN(24))
		x, y = r.IntN(119000), r.IntN(249000)
		pipe += fmt.Sprintf("P%d,pipe,%d,%d,%d,%d,ø%d,CL %d\n", k, x, y, x, y+3000, 30+10*r.IntN(12), 2800+25*r.IntN(30))
	}
	for k := range 500 {
		y := 250 + 499*k
		for i := range 14 {
			x := 1000 + 8000*i
			fmt.Fprintf(&tray, "T%d-%d,tray,R%d,%d,%d,%d,%d,%dx60,3200,channel 41 M10\n", k, i, k, x, y, x+8000, y, 100+50*(k%5))
		}
	}
	p, err := table.Open(context.Background(), "job", table.Options{FS: fstest.MapFS{
		"bays.csv": {Data: []byte(bays)}, "steel.csv": {Data: []byte(steel)}, "ductwork.csv": {Data: []byte(duct)}, "pipework.csv": {Data: []byte(pipe)}, "tray.csv": {Data: []byte(tray.String())},
	}})
	if err != nil || len(p.Problems) > 0 {
		b.Fatal(err, p.Problems)
	}
	return p
}

// BenchmarkLineWithoutSets works out the line of a floor of 500 runs among 19,000 zones, its curve and its places, from the project on; the sets are
// left out: 500 lengths are more than are laid to weigh levels. Beside it, in the same run, one check of the floor.
func BenchmarkLineWithoutSets(b *testing.B) {
	p := largeFloor(b)
	b.Run("line", func(b *testing.B) {
		places := 0
		for b.Loop() {
			f := &floor{p: p, c: clash.Open(p, clash.Options{Touch: 1}), Floor: Floor{LowestOf: -1}}
			if err := f.gather(); err != nil {
				b.Fatal(err)
			}
			f.bars()
			f.choose(f.sweep())
			f.place()
			places = len(f.Places)
		}
		b.ReportMetric(float64(places), "places")
	})
	b.Run("check", func(b *testing.B) {
		for b.Loop() {
			if _, err := clash.Open(p, clash.Options{Touch: 1, Once: true}).Findings(context.Background()); err != nil {
				b.Fatal(err)
			}
		}
	})
}
