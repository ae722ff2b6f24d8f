package clash_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/golang/geo/r2"

	"voidline/clash"
	"voidline/clash/measure"
	"voidline/clash/rules"
	"voidline/clash/support"
	"voidline/void"
	"voidline/void/body"
)

// What bars supports along a row is held against supports stood there one by one and measured: at a station inside a bar the support is in
// something, or has nothing to hang from; outside all bars it is in nothing. Rows along x, along y, turned and drawn backwards, in
// frames, with gaps between bays, soffits of different levels, beams, ducts and pipes along, across and falling. Of a
// row that falls itself bars may be longer than need be: there only what is outside them is held.
func TestBarsAreWhatSupportsMeet(t *testing.T) {
	asked, barred, falling, grazed := 0, 0, 0, 0
	for seed := range 400 {
		r := rand.New(rand.NewPCG(uint64(seed), 41))
		p := openText(t, barsJob(r))
		c := clash.Open(p, clash.Options{})
		plan := c.SupportPlan()
		site := c.SupportSite(plan)
		for _, id := range []string{"T", "U"} {
			i, _ := p.ZoneByID(id)
			z := p.Zone(i)
			b := z.Bare()
			long := 2 * r2.Point{X: b.Along.X, Y: b.Along.Y}.Norm()
			st := support.Stretch{Row: i, To: long, Up: [2]float64{0, 0}}
			if r.IntN(3) == 0 {
				st.Up = [2]float64{float64(r.IntN(200)) - 100, 0}
				st.Up[1] = st.Up[0]
			}
			bars, ok := site.Bars(st, nil)
			if !ok {
				t.Fatal("not looked at to the end")
			}
			falls := b.Along.Z != 0
			for range 40 {
				x := r.Float64() * long
				in, edge := false, false
				var bar support.Bar
				for _, v := range bars {
					if v.Lo < x && x < v.Hi {
						in, bar = true, v
					}
					edge = edge || x > v.Lo-0.01 && x < v.Lo+0.01 || x > v.Hi-0.01 && x < v.Hi+0.01
				}
				s, ok := plan.Along(i, x, st.Up[0], support.Made{})
				if !ok {
					t.Fatalf("seed %d: no support of %s at %v", seed, id, x)
				}
				why := whatItMeets(p, site, plan, i, x, st.Up[0], &s)
				asked++
				if falls {
					falling++
				}
				if in {
					barred++
				}
				if why != "" && !in && !edge {
					t.Fatalf("seed %d: %s at %v, up %v: in no bar, meets %q", seed, id, x, st.Up[0], why)
				}
				if why != "" || !in || falls || edge {
					continue
				}
				// Of what is in it by less than is ever told the two share space all the same.
				if grazed++; bar.Zone < 0 || !slices.ContainsFunc(s.Bodies(nil), func(q support.Part) bool {
					return string(q.What) == bar.Part && body.Gap(q.Body, p.Zone(bar.Zone).Full()).MM <= 0
				}) {
					t.Fatalf("seed %d: %s at %v, up %v: in a bar from %v to %v of %+v, meets nothing", seed, id, x, st.Up[0], bar.Lo, bar.Hi, bar.Barring)
				}
			}
		}
	}
	t.Logf("%d stations, %d barred, %d of falling rows, %d grazed", asked, barred, falling, grazed)
	if asked < 20000 || barred < asked/10 || barred > asked*9/10 || falling < 500 || grazed > asked/1000 {
		t.Error("too little to mean anything")
	}
}

// whatItMeets says what a support is in, or that it has nothing to hang from; "" for nothing.
func whatItMeets(p *void.Project, site *support.Site, plan *support.Plan, i int, x, up float64, s *support.Support) string {
	return whatItMeetsDeeper(p, site, plan, i, x, up, 0, s)
}

// whatItMeetsDeeper says what a support is in by more than touch.
func whatItMeetsDeeper(p *void.Project, site *support.Site, plan *support.Plan, i int, x, up, touch float64, s *support.Support) string {
	if s.FromSteel >= 0 && plan.MayHangFromSteel(i) {
		// Nobody says that it hangs from steel: a clamp wants it over the whole rod, else it hangs from the soffit.
		for k := range s.Rods {
			for _, d := range []r2.Point{{X: s.Rod / 2}, {X: -s.Rod / 2}, {Y: s.Rod / 2}, {Y: -s.Rod / 2}} {
				if _, u, ok := p.SteelAt(0, s.RodPoint(k).Add(d), s.Levels()[len(s.Levels())-1].Over); !ok || u < s.Up[k]-void.Hair {
					o, _ := plan.Along(i, x, up, support.Made{From: "soffit"})
					s = &o
				}
			}
		}
	}
	if s.Rods > 0 && !s.Held {
		return "nothing to hang from"
	}
	for _, part := range s.Bodies(nil) {
		for o := range p.Zones() {
			if p.Zone(o).Gone || !site.InTheWay(int32(i), int32(o), s) {
				continue
			}
			if measure.Judge(part.Body, p.Zone(o).Full(), &rules.Choice{}, touch, false).Overlap {
				return fmt.Sprintf("%s in %s", part.What, p.Zone(o).ID)
			}
		}
	}
	return ""
}

// barsJob is a small building with two hung rows, T and U.
func barsJob(r *rand.Rand) map[string]string {
	bays := "bay,x1,y1,x2,y2,soffit,ceiling\n"
	for i, x := range []int{0, 2500, 5000, 7500} {
		if r.IntN(7) > 0 {
			bays += fmt.Sprintf("B%d,%d,0,%d,9000,%d,2400\n", i, x, x+2500, 3500+r.IntN(3)*150)
		}
	}
	if bays == "bay,x1,y1,x2,y2,soffit,ceiling\n" {
		bays += "B,0,0,2500,9000,3500,2400\n"
	}
	hang := func() string { return []string{"channel 41 M10", "off", "over", "one"}[r.IntN(4)] }
	frame := [2]string{}
	if r.IntN(4) == 0 {
		frame = [2]string{"F,1", "F,2"}
	} else {
		frame = [2]string{",", ","}
	}
	x1, y1 := 300+r.IntN(1500), 1500+r.IntN(1000)
	x2, y2 := x1+4000+r.IntN(3000), y1
	switch r.IntN(4) {
	case 0:
		x2, y2 = x1, y1+4000
	case 1:
		y2 = y1 + r.IntN(2500)
	case 2:
		x1, x2 = x2, x1
	}
	fall := ""
	if frame[0] == "," && r.IntN(4) == 0 {
		fall = "1 in 100"
	}
	tray := "id,kind,x1,y1,x2,y2,size,level,fall,hanger,frame,tier,run\n" +
		fmt.Sprintf("T,tray,%d,%d,%d,%d,300x60,%d,%s,%s,%s,R\n", x1, y1, x2, y2, 2850+r.IntN(100), fall, hang(), frame[0])
	if frame[0] != "," {
		tray += fmt.Sprintf("U,tray,%d,%d,%d,%d,200x60,3060,,%s,%s,S\n", x1, y1, x2, y2, hang(), frame[1])
	} else {
		tray += fmt.Sprintf("U,tray,%d,%d,%d,%d,200x60,%d,,%s,%s,S\n", x1, y1+700, x2, y2+700, 2850+r.IntN(100), hang(), frame[1])
	}
	steel, duct := "id,kind,x1,y1,x2,y2,size,level\n", "id,kind,x1,y1,x2,y2,size,level,fall\n"
	for k := range r.IntN(4) {
		at := 300 + r.IntN(7000)
		if r.IntN(2) == 0 {
			steel += fmt.Sprintf("S%d,beam,%d,0,%d,9000,%dx%d,%d\n", k, at, at, 80+r.IntN(150), 200, 3100+r.IntN(3)*60)
		} else {
			steel += fmt.Sprintf("S%d,beam,0,%d,9000,%d,%dx%d,%d\n", k, 1200+r.IntN(2500), 1200+r.IntN(2500), 80+r.IntN(150), 200, 3100+r.IntN(3)*60)
		}
	}
	for k := range 1 + r.IntN(5) {
		at, size, f := 300+r.IntN(7000), fmt.Sprintf("%dx%d", 100+r.IntN(500), 60+r.IntN(300)), ""
		if r.IntN(3) == 0 {
			size = fmt.Sprintf("ø%d", 50+r.IntN(300))
		}
		if r.IntN(3) == 0 {
			f = "1 in 60"
		}
		if r.IntN(2) == 0 {
			duct += fmt.Sprintf("D%d,duct,%d,%d,%d,%d,%s,%d,%s\n", k, at, 800+r.IntN(800), at+r.IntN(3000)-1500, 2500+r.IntN(2000), size, 2700+r.IntN(500), f)
		} else {
			duct += fmt.Sprintf("D%d,duct,%d,%d,%d,%d,%s,%d,%s\n", k, at, 1200+r.IntN(2500), at+1500+r.IntN(2500), 1200+r.IntN(2500), size, 2700+r.IntN(500), f)
		}
	}
	return map[string]string{
		"bays.csv": bays, "tray.csv": tray, "steel.csv": steel, "duct.csv": duct,
		"hangers.csv": "hanger,part,height,side,width,rods,from\noff,channel 41,41,under,,2,soffit\nover,channel,41,over,,2,\none,clip,30,under,200,1,beam flange\n",
	}
}
