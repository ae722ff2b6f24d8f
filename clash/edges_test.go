package clash_test

import (
	"fmt"
	"strings"
	"testing"

	"voidline/clash"
)

// A hole in a soffit is told once where a slab that is drawn lies on it: where its underside is no more than 50 over or under the
// soffit at 3600. The hole is 25 larger all round than the duct of 200 by 100.
func TestOneHoleWhereTheSlabLiesOnTheSoffit(t *testing.T) {
	const slab, soffit = "hole R/S 250x150", "hole R/soffit A 250x150"
	for _, test := range []struct {
		underside float64
		want      string
	}{{3549, slab + "; " + soffit}, {3550, slab}, {3600, slab}, {3650, slab}, {3651, slab + "; " + soffit}} {
		res := asked(t, map[string]string{
			"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,9000,3600,none\n",
			"slabs.csv":    fmt.Sprintf("id,trade,kind,x1,y1,size,level\nS,structure,slab,4000,4000,3000x3000x200,%g\nO,structure,slab,8000,8000,1000x1000x200,3600\n", test.underside),
			"ductwork.csv": "id,x1,y1,size,level\nR,4000,4000,200x100,FFL+0..FFL+4500\n",
		}, clash.Options{Touch: 1})
		if got := strings.Join(told(res), "; "); got != test.want {
			t.Errorf("slab at %g: came %q, want %q", test.underside, got, test.want)
		}
	}
}
