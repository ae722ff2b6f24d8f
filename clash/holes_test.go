package clash_test

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"voidline/clash"
	"voidline/clash/finding"
)

// Three pipes through a wall along x at y 3000, at one height, 200 apart: DN50 is 60.3 outside, so a hole is 60.3 + 2 x 25 = 110.3 and two of
// them are 200 - 110.3 = 89.7 apart, less than the 100 at which one hole is proposed. The three come to 2 x 200 + 110.3 = 510.3 by 110.3, its
// underside at 3000 - 25 (the underside less the margin). A fourth 300 further is 189.7 away and stays alone; the tray is of another trade.
func TestHolesThatBelongTogether(t *testing.T) {
	for name, walls := range map[string][2]string{
		"along x": {
			"id,kind,x1,y1,x2,y2,size,level\nW1,wall,0,3000,6000,3000,150x3600,0\n",
			"id,kind,x1,y1,x2,y2,size,level\nP1,pipe,1000,1000,1000,5000,DN50,3000\nP2,pipe,1200,1000,1200,5000,DN50,3000\nP3,pipe,1400,1000,1400,5000,DN50,3000\nP4,pipe,1700,1000,1700,5000,DN50,3000\n",
		},
		"along y": {
			"id,kind,x1,y1,x2,y2,size,level\nW1,wall,3000,0,3000,6000,150x3600,0\n",
			"id,kind,x1,y1,x2,y2,size,level\nP1,pipe,1000,1000,5000,1000,DN50,3000\nP2,pipe,1000,1200,5000,1200,DN50,3000\nP3,pipe,1000,1400,5000,1400,DN50,3000\nP4,pipe,1000,1700,5000,1700,DN50,3000\n",
		},
	} {
		t.Run(name, func(t *testing.T) {
			tray := "id,kind,x1,y1,x2,y2,size,level\nT1,tray,1300,1000,1300,5000,50x50,3000\n"
			if name == "along y" {
				tray = "id,kind,x1,y1,x2,y2,size,level\nT1,tray,1000,1300,5000,1300,50x50,3000\n"
			}
			res := asked(t, map[string]string{
				"bays.csv": "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,6000,6000,3600,none\n", "walls.csv": walls[0], "pipework.csv": walls[1], "containment.csv": tray,
			}, clash.Options{Touch: 1})
			var numbers []int
			for _, h := range res.BuildersWork {
				numbers = append(numbers, h.Number)
				if want := map[byte]string{'P': "pipework", 'T': "containment"}[h.Service[0]]; h.Trade != want {
					t.Errorf("%s is of %q, want %q", h.Service, h.Trade, want)
				}
			}
			if d := cmp.Diff([]int{1, 2, 3, 4, 5}, numbers); d != "" {
				t.Errorf("numbers (-want +got):\n%s", d)
			}
			want := []finding.Together{{Holes: []int{1, 2, 3}, Trade: "pipework", In: "W1", Width: 510.3, Height: 110.3, Level: 2975}}
			if d := cmp.Diff(want, res.Together, cmpHalf); d != "" {
				t.Errorf("(-want +got):\n%s", d)
			}
			// Narrowed to the tray, its hole keeps its number.
			res = asked(t, map[string]string{
				"bays.csv": "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,6000,6000,3600,none\n", "walls.csv": walls[0], "pipework.csv": walls[1], "containment.csv": tray,
			}, clash.Options{Touch: 1, Trades: []string{"containment"}})
			if len(res.BuildersWork) != 1 || res.BuildersWork[0].Number != 5 {
				t.Errorf("narrowed: %+v, want hole 5 alone", res.BuildersWork)
			}
		})
	}
}

// Risers of a shaft through one soffit: 150 apart in y they are 150 - 110.3 = 39.7 apart.
func TestHolesInASoffit(t *testing.T) {
	res := asked(t, map[string]string{
		"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,6000,6000,3600,none\n",
		"pipework.csv": "id,kind,x1,y1,size,level\nR1,pipe,1000,1000,DN50,0..4000\nR2,pipe,1000,1150,DN50,0..4000\nR3,pipe,1000,2000,DN50,0..4000\n",
	}, clash.Options{Touch: 1})
	want := []finding.Together{{Holes: []int{1, 2}, Trade: "pipework", In: "soffit A", Width: 110.3, Height: 260.3, Level: 3600}}
	if d := cmp.Diff(want, res.Together, cmpHalf); d != "" {
		t.Errorf("(-want +got):\n%s\nholes %+v", d, res.BuildersWork)
	}
}

var cmpHalf = cmp.Comparer(func(a, b float64) bool { return a-b < 0.05 && b-a < 0.05 })
