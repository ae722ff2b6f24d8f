package setout_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"voidline/clash"
	"voidline/clash/setout"
	"voidline/void/cell"
)

// Two trays on one frame: one pair of rods outside the wider, one channel a tier, counted on one sheet and on no other.
func TestFrameHasOnePairOfRods(t *testing.T) {
	p := tables{
		"bays.csv": "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,12000,4000,3600,2600\n",
		"containment.csv": "id,service,kind,x1,y1,x2,y2,size,level,hanger,frame,tier,run\n" +
			"P1,LV power,tray,500,2000,11500,2000,300x60,3200,channel 41 M10,F1,2,P\n" +
			"D1,data,basket,500,2000,9500,2000,450x60,2950,channel 41 M10,F1,1,D\n",
	}.open(t)
	sheet := func(run string, z float64) *setout.Supports {
		runs, err := setout.Assemble(p, run, cell.Bottom)
		if err != nil {
			t.Fatal(err)
		}
		a := setout.SetOut(p, clash.Open(p, clash.Options{Touch: clash.None}), &runs[0], setout.Settings{Steps: setout.Steps{Start: &z}})
		if !a.Found {
			t.Fatalf("%s: %+v", run, a.Blocks)
		}
		return setout.SupportRun(p, clash.Open(p, clash.Options{Touch: clash.None}), a, setout.Hanging{})
	}
	d, q := sheet("D", 2940), sheet("P", 3200)
	// The basket is 9000 long: 300 in at both ends, and 8400 at the basket's 1200 are seven spaces.
	if len(d.List) != 8 || len(d.Frames) != 1 || d.Frames[0].With != "" {
		t.Fatalf("D: %d supports, frames %+v", len(d.List), d.Frames)
	}
	for _, s := range d.List {
		// From the soffit to under the lower channel: 41, plate 5, nut 8.4, a thread 1.5; screwed in 10.
		if want := 3600 - 2940 + 41 + 5 + 8.4 + 1.5 + 10; math.Abs(s.Rod-want) > 1e-6 || s.Rods != 2 {
			t.Errorf("D, support %d: %d rods of %v, want 2 of %v", s.N, s.Rods, s.Rod, want)
		}
		if len(s.Tiers) != 2 || s.Tiers[0].Top != 2940 || s.Tiers[1].Top != 3200 || !s.Tiers[0].Own || s.Tiers[1].Own {
			t.Errorf("D, support %d: tiers %+v", s.N, s.Tiers)
		}
		for _, x := range s.Tiers {
			if x.Channel != 450+2*50+2*30 {
				t.Errorf("D, support %d: channel %v, want 610 for both tiers", s.N, x.Channel)
			}
		}
	}
	if d.Channel != 16*610 || len(d.Rods) != 1 {
		t.Errorf("D: channel %v, rods %+v", d.Channel, d.Rods)
	}
	count := func(u *setout.Supports, part string) int {
		for _, c := range u.Parts {
			if c.Part == part {
				return c.N
			}
		}
		return 0
	}
	if n := count(d, "fixing into the soffit, M10"); n != 16 {
		t.Errorf("D: %d fixings, want 16", n)
	}
	if n := count(d, "nut M10"); n != 32 {
		t.Errorf("D: %d nuts under channels, want 32", n)
	}
	// The tray goes on for 2000: there it has rods of its own, two supports, 300 wide.
	with, own := 0, 0
	for _, s := range q.List {
		if s.With == "D" {
			with++
			if math.Abs(s.At-d.List[with-1].At) > 1e-6 {
				t.Errorf("P, support %d at %v, on D's sheet at %v", s.N, s.At, d.List[with-1].At)
			}
			continue
		}
		own++
		if s.At < 9000 || s.Channel != 460 || s.Rods != 2 {
			t.Errorf("P, support %d at %v: channel %v", s.N, s.At, s.Channel)
		}
	}
	if with != 8 || own < 2 || q.Channel != float64(own)*460 || count(q, "fixing into the soffit, M10") != 2*own {
		t.Errorf("P: %d of D, %d own, channel %v, fixings %d", with, own, q.Channel, count(q, "fixing into the soffit, M10"))
	}
}

// What a hanger hangs from: its own word, unless the sheet is asked for another.
func TestHangsFrom(t *testing.T) {
	ts := tables{
		"bays.csv":    "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,12000,4000,3600,2600\n",
		"hangers.csv": "hanger,part,height,rods,from\nat the flange,channel 41,41,2,beam flange\nat the flange,square plate,5,,\nat the flange,nut M10,8.4,,\n",
		"steel.csv":   "id,kind,x1,y1,x2,y2,size,level,face\nB1,beam,1000,0,1000,4000,200x300,3600,top\nB2,beam,2500,0,2500,4000,200x300,3600,top\nB3,beam,4000,0,4000,4000,200x300,3600,top\n",
		"tray.csv":    "id,service,kind,x1,y1,x2,y2,size,level,hanger,run\nT1,LV power,tray,800,2000,4200,2000,300x60,3000,at the flange,T\nT2,LV power,tray,800,3000,4200,3000,300x60,3000,side bracket,S\nT3,LV power,tray,800,1000,4200,1000,300x60,3000,channel 41 M10,U\n",
	}
	p := ts.open(t)
	sheet := func(run string, h setout.Hanging) *setout.Supports {
		runs, err := setout.Assemble(p, run, cell.Bottom)
		if err != nil {
			t.Fatal(err)
		}
		z := 3000.0
		a := setout.SetOut(p, clash.Open(p, clash.Options{Touch: clash.None}), &runs[0], setout.Settings{Steps: setout.Steps{Start: &z}})
		return setout.SupportRun(p, clash.Open(p, clash.Options{Touch: clash.None}), a, h)
	}
	u := sheet("T", setout.Hanging{Clamp: 20})
	if len(u.List) != 3 {
		t.Fatalf("%d supports, want one at each beam: %+v, %v", len(u.List), u.List, u.Gaps)
	}
	for i, s := range u.List {
		// Up to the clamp of 20 under the flange at 3300.
		if want := 3300 - 20 - 3000 + 41 + 5 + 8.4 + 10; s.Of != []string{"B1", "B2", "B3"}[i] || math.Abs(s.Rod-want) > 1e-6 {
			t.Errorf("support %d hangs from %s by %v, want %v", s.N, s.Of, s.Rod, want)
		}
	}
	if u.Parts[len(u.Parts)-1].Part != "clamp for the flange, M10" || u.Parts[len(u.Parts)-1].N != 6 {
		t.Errorf("parts %+v", u.Parts)
	}
	// A plate under the channel is at each rod.
	if u.Parts[0].Part != "square plate" || u.Parts[0].N != 6 {
		t.Errorf("parts %+v", u.Parts)
	}
	for _, s := range sheet("T", setout.Hanging{From: setout.FromSoffit}).List {
		if s.Of != "soffit A" || s.From != 3600 {
			t.Errorf("asked for the soffit it hangs from %s at %v", s.Of, s.From)
		}
	}
	// Nobody says: evenly they would be at x 1100, 2500 and 3900, from the soffit; but a beam is over both rods of the second, and
	// the others go 5, so that the rods are under one with their whole width.
	u = sheet("U", setout.Hanging{Clamp: 20})
	if len(u.List) != 3 {
		t.Fatalf("%d supports, want three: %+v, %v", len(u.List), u.List, u.Gaps)
	}
	for i, s := range u.List {
		want := 3300 - 20 - 3000 + 41 + 5 + 8.4 + 1.5 + 10
		if s.Of != []string{"B1", "B2", "B3"}[i] || math.Abs(s.Rod-want) > 1e-6 || math.Abs(s.Where.X-[]float64{1095, 2500, 3905}[i]) > 1e-6 {
			t.Errorf("support %d at x %v hangs from %s by %v, want %v", s.N, s.Where.X, s.Of, s.Rod, want)
		}
	}
	if u.Parts[len(u.Parts)-1].Part != "clamp for the flange, M10" || u.Parts[len(u.Parts)-1].N != 6 {
		t.Errorf("parts %+v", u.Parts)
	}
	// Asked for the soffit they keep 25 off the beams: clear are x 800 to 875, 1125 to 2375, 2625 to 3875 and 4125 to 4200. Within 300
	// of the ends are the first and the last stretch alone, 3250 apart: two between, as near to their even places (1100 + 933) as may be.
	var at []string
	for _, s := range sheet("U", setout.Hanging{From: setout.FromSoffit}).List {
		if s.Of != "soffit A" || s.From != 3600 {
			t.Errorf("asked for the soffit support %d hangs from %s at %v", s.N, s.Of, s.From)
		}
		at = append(at, fmt.Sprintf("%.0f", s.Where.X))
	}
	if got, want := strings.Join(at, " "), "875 2033 2967 4125"; got != want {
		t.Errorf("beside the beams they stand at x %s, want %s", got, want)
	}
	for _, s := range sheet("S", setout.Hanging{}).List {
		if s.Rods != 0 || s.Cut != 0 || s.Of != "wall" {
			t.Errorf("a bracket: %+v", s)
		}
	}
}

// Supports of a drain: each rod as long as the pipe lies low there; none where nothing may be fixed.
func TestSupportsOfAFall(t *testing.T) {
	p := tables{
		"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,3000,3000,2000\n",
		"drainage.csv": "id,service,kind,x1,y1,x2,y2,size,level,fall,hanger,run\nD1,soil,pipe,500,1500,8500,1500,ø110,2500,1 in 80,pipe clip,D\n",
		"marks.csv":    "id,kind,x1,y1,x2,y2,size,level\nN1,no fixing,3700,1500,3800,1500,600x10,3000\n",
	}.open(t)
	runs, err := setout.Assemble(p, "D", cell.Bottom)
	if err != nil {
		t.Fatal(err)
	}
	z := 2700.0
	f := setout.SetFall(p, clash.Open(p, clash.Options{Touch: clash.None}), &runs[0], nil, setout.Steps{Start: &z})
	u := setout.SupportFall(p, clash.Open(p, clash.Options{Touch: clash.None}), f, setout.Hanging{Spacing: 1600})
	if len(u.List) < 6 || len(u.Gaps) > 0 {
		t.Fatalf("%d supports, %v", len(u.List), u.Gaps)
	}
	moved := false
	for _, s := range u.List {
		line := 2700 - s.At/80
		want := 3000 - (line + 110*math.Hypot(1, 1/80.0)) + 10 // M10, screwed in by its diameter
		if math.Abs(s.Line-line) > 1e-6 || math.Abs(s.Rod-want) > 0.02 || s.Rods != 1 {
			t.Errorf("support at %v: line %v, rod %v; want %v, %v", s.At, s.Line, s.Rod, line, want)
		}
		if x := 500 + s.At; x > 3700-25+0.1 && x < 3800+25-0.1 {
			t.Errorf("a support at x %v, where nothing may be fixed", x)
		}
		moved = moved || s.Moved != 0
	}
	if !moved {
		t.Error("no support had to move: the mark is nowhere near")
	}
}
