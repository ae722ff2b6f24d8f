package void

import (
	"strings"
	"testing"
)

// Tiers are numbered from the lowest. Undersides with insulation: a pipe DN50 of 60.3 with 30 round it at 2930 is at 2900.
func TestTiersOutOfOrder(t *testing.T) {
	for _, test := range []struct{ name, rows, want string }{
		{"in order", "A,0,1000,6000,1000,300x60,2900,,F,1\nB,0,1000,6000,1000,300x60,3100,,F,2\nC,0,1000,6000,1000,300x60,3300,,F,3", ""},
		{"swapped", "A,0,1000,6000,1000,300x60,3100,,F,1\nB,0,1000,6000,1000,300x60,2900,,f,2", "B 2 above A"},
		{"the later row is told", "B,0,1000,6000,1000,300x60,2900,,F,2\nA,0,1000,6000,1000,300x60,3100,,F,1", "A 1 below B"},
		{"the middle one of three", "A,0,1000,6000,1000,300x60,2900,,F,1\nB,0,1000,6000,1000,300x60,3500,,F,2\nC,0,1000,6000,1000,300x60,3300,,F,3", "C 3 above B"},
		{"at one level", "A,0,1000,6000,1000,300x60,2900,,F,1\nB,6000,1400,0,1400,200x60,2900,,F,2", "B 2 above A"},
		{"turned, drawn the other way, ten is more than nine", "A,0,0,3000,4000,300x60,3100,,F,9\nB,3000,4000,0,0,300x60,2900,,F,10", "B 10 above A"},
		{"crossing in falling: at the middle the first is at 2950, the second at 2930", "A,0,1000,10000,1000,300x60,3000,1 in 100,F,1\nB,0,1000,10000,1000,300x60,2930,,F,2", "B 2 above A"},
		{"and the other way: 2950 and 2960", "A,0,1000,10000,1000,300x60,3000,1 in 100,F,1\nB,0,1000,10000,1000,300x60,2960,,F,2", ""},
		{"turned and falling, beside its first half: a quarter along the first is at 2975", "A,0,0,6000,8000,300x60,3000,1 in 100,F,1\nB,0,0,3000,4000,300x60,2970,,F,2", "B 2 above A"},
		{"turned and falling, and the second at 2980", "A,0,0,6000,8000,300x60,3000,1 in 100,F,1\nB,0,0,3000,4000,300x60,2980,,F,2", ""},
		{"one after the other", "A,0,1000,6000,1000,300x60,3100,,F,1\nB,6000,1000,9000,1000,300x60,2900,,F,2", ""},
		{"across", "A,0,1000,6000,1000,300x60,3100,,F,1\nB,1000,0,1000,6000,300x60,2900,,F,2", ""},
		{"1001 aside: other rods", "A,0,1000,6000,1000,300x60,3100,,F,1\nB,0,2301,6000,2301,300x60,2900,,F,2", ""},
		{"1000 aside", "A,0,1000,6000,1000,300x60,3100,,F,1\nB,0,2300,6000,2300,300x60,2900,,F,2", "B 2 above A"},
		{"words are no numbers", "A,0,1000,6000,1000,300x60,3100,,F,top\nB,0,1000,6000,1000,300x60,2900,,F,2", ""},
		{"two frames", "A,0,1000,6000,1000,300x60,3100,,F,1\nB,0,1000,6000,1000,300x60,2900,,G,2", ""},
	} {
		t.Run(test.name, func(t *testing.T) {
			p := New("tiers", []string{"bays.csv", "tray.csv"})
			tableOf(t, "bay,x1,y1,x2,y2,soffit,ceiling\nA,-20000,-20000,20000,20000,3800,2400", p.AddBay)
			tableOf(t, "id,x1,y1,x2,y2,size,level,fall,frame,tier\n"+test.rows, func(r ZoneRow) {
				r.At.File = 1
				p.AddZone("tray.csv", &r)
			})
			p.Resolve()
			var got []string
			for _, pr := range p.Problems {
				var tier, frame, way, other string
				words := strings.Fields(strings.NewReplacer("(", "", ",", "").Replace(pr.What)) // tier 2 of frame "F" is not above tier 1 (A, …)
				tier, frame, way, other = words[1], words[4], words[7], words[10]
				id := strings.Split(strings.Split(test.rows, "\n")[pr.Line-2], ",")[0]
				if frame != `"F"` && frame != `"f"` || pr.Cell != "tier" {
					t.Errorf("%+v", pr)
				}
				got = append(got, id+" "+tier+" "+way+" "+other)
			}
			if s := strings.Join(got, "; "); s != test.want || len(got) != p.RowsMissing || p.Zones()+len(got) != strings.Count(test.rows, "\n")+1 {
				t.Errorf("%q, %d rows missing, want %q", s, p.RowsMissing, test.want)
			}
		})
	}
}

// An edit that puts tiers out of order is refused, by whichever row, and by a soffit that carries one.
func TestEditKeepsTiersInOrder(t *testing.T) {
	p := New("tiers", []string{"bays.csv", "tray.csv"})
	tableOf(t, "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,20000,20000,3800,2400", p.AddBay)
	tableOf(t, "id,x1,y1,x2,y2,size,level,frame,tier\nA,0,1000,6000,1000,300x60,2900,F,1\nB,0,1000,6000,1000,300x60,soffit-700,F,2", func(r ZoneRow) {
		r.At.File = 1
		p.AddZone("tray.csv", &r)
	})
	p.Resolve()
	for _, e := range []struct {
		id, column, text string
		refused          bool
	}{
		{"A", "level", "3100", true},
		{"A", "level", "3099", false},
		{"B", "tier", "0", true},
		{"B", "frame", "G", false},
		{"A", "level", "3300", false},
		{"B", "frame", "F", true},
		{"A", "tier", "3", false},
		{"B", "frame", "F", false},
	} {
		if _, pr := p.Edit(e.id, e.column, e.text); (pr != nil) != e.refused {
			t.Errorf("%+v: %v", e, pr)
		}
	}
	if _, pr := p.EditBay("A", "soffit", "4100"); pr == nil || pr.Cell != "tier" {
		t.Errorf("a soffit that takes tier 2 over tier 3: %v", pr)
	}
	if len(p.Problems) != 0 || p.RowsMissing != 0 {
		t.Errorf("%v", p.Problems)
	}
}
