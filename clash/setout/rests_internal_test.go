package setout

import (
	"fmt"
	"math"
	"testing"
	"testing/fstest"

	"voidline/clash/support"
	"voidline/io/table"
	"voidline/void/cell"
)

// A fixed support rests on the run wherever it stands, at its very ends too: also of rows whose length is no whole number.
func TestRestsAtTheEnds(t *testing.T) {
	for _, to := range []struct{ x, y float64 }{{7500, 2000}, {7431.7, 3913.3}, {500, 5127.9}} {
		long := math.Hypot(to.x-500, to.y-2000)
		for _, at := range []float64{0, 1000, long} {
			text := map[string]string{
				"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,9000,3900,none\n",
				"tray.csv":     fmt.Sprintf("id,kind,x1,y1,x2,y2,size,level,hanger,run\nT1,tray,500,2000,%v,%v,200x50,3000,channel 41 M10,T\n", to.x, to.y),
				"supports.csv": fmt.Sprintf("run,number,along,stage\nT,1,%v,fixed\n", at),
			}
			files := fstest.MapFS{}
			for name, data := range text {
				files[name] = &fstest.MapFile{Data: []byte(data)}
			}
			p, err := table.Open(t.Context(), "job", table.Options{FS: files})
			if err != nil || len(p.Problems) > 0 {
				t.Fatal(err, p.Problems)
			}
			runs, err := Assemble(p, "T", cell.Bottom)
			if err != nil {
				t.Fatal(err)
			}
			got := rests(p, &runs[0])
			if len(got) != 1 || math.Abs(got[0].Center()-at) > 1e-6 || math.Abs(got[0].Length()-support.Wide) > 1e-9 {
				t.Errorf("to %v, fixed at %v: rests %v", to, at, got)
			}
		}
	}
}
