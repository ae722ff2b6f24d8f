package clash_test

import (
	"context"
	"fmt"
	"math/rand"
	"slices"
	"strings"
	"testing"

	"voidline/clash"
	"voidline/clash/finding"
	"voidline/clash/rules"
	"voidline/clash/support"
)

// supportsOnly is the built-in rule of supports alone.
func supportsOnly() []rules.Rule {
	return slices.DeleteFunc(rules.BuiltIn(), func(r rules.Rule) bool { return r.Name != "supports at the usual spacing" })
}

// supportSaid says which supports a finding is about, whether they can move, and its note.
func supportSaid(f *finding.Finding) string {
	h := f.Support
	if h == nil {
		return f.Note
	}
	s := fmt.Sprintf("%d of %d supports", h.Count, h.Of)
	if h.Count > 1 {
		s += ", the worst"
	}
	s += fmt.Sprintf(": the %s %.0f from the row's start; ", h.Part, h.At)
	switch {
	case h.Move != nil && *h.Move < 0:
		s += fmt.Sprintf("may move %.0f along the run towards the row's start", -*h.Move)
	case h.Move != nil:
		s += fmt.Sprintf("may move %.0f along the run towards the row's end", *h.Move)
	case len(h.Two) == 2:
		s += fmt.Sprintf("clear with two in its place, %.0f towards the row's start and %.0f towards its end", h.Two[0], h.Two[1])
	default:
		s += "no clear place along the run within the spacing"
		if h.Can > 0 {
			s += fmt.Sprintf(" (%d of them may move)", h.Can)
		}
	}
	if f.Note != "" {
		s += "; " + f.Note
	}
	return s
}

// supportFindings writes the findings of supports in a few words: kind, the two, depth, who gives way, note.
func supportFindings(t testing.TB, files map[string]string, opt clash.Options) []string {
	t.Helper()
	p := openText(t, files)
	for _, pr := range p.Problems {
		t.Fatalf("problem: %v", pr)
	}
	res, err := clash.Open(p, opt).Findings(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	for _, f := range res.Findings {
		if !strings.HasPrefix(f.A, "supports of ") {
			continue
		}
		s := fmt.Sprintf("%s %s/", f.Kind, strings.TrimPrefix(f.A, "supports of "))
		if f.B != nil {
			s += *f.B
		}
		if f.Depth != nil {
			s += fmt.Sprintf(" %g up %g aside", f.Depth.Vertical, *f.Depth.Sideways)
		}
		if f.Kind == finding.Access && f.Asked > 0 {
			s += fmt.Sprintf(" %g of %g", f.Gap, f.Asked)
		}
		out = append(out, s+" "+f.GivesWay+" gives way: "+supportSaid(&f))
		if f.Basis != rules.Practice || f.AKind != "support" || f.ARow == "" || len(f.Moves) > 0 {
			t.Errorf("%s: basis %s, kind %s, row %s, moves %v", f.A, f.Basis, f.AKind, f.ARow, f.Moves)
		}
	}
	slices.Sort(out)
	return out
}

// Supports against everything, worked out by hand. Tray T runs from x 0 to 6000 at y 1000, 300 wide, underside 2900, on
// channel 41 M10: supports at 300, 1650, 3000, 4350 and 5700, each of them free to move by 1500 - 1350 = 150; rods of 10 at
// y 800 and 1200 from 2900 - 55.9 = 2844.1 up to 3600, the channel from y 770 to 1230.
func TestSupports(t *testing.T) {
	const (
		bays  = "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,10000,10000,3600,2700\n"
		tray  = "id,kind,x1,y1,x2,y2,size,level,hanger,frame,tier,run,joins\n"
		T     = tray + "T,tray,0,1000,6000,1000,300x60,2900,channel 41 M10,,,R,\n"
		duct  = "id,x1,y1,x2,y2,size,level,run\n"
		steel = "id,kind,x1,y1,x2,y2,size,level,face\n"
	)
	for _, test := range []struct {
		name  string
		files map[string]string
		want  []string
	}{
		{"a duct across, x 2900 to 3300: the rods at 3000 are 105 in it, and go 105 back", map[string]string{
			"tray.csv": T, "ductwork.csv": duct + "D,3100,0,3100,2000,400x250,3000,\n",
		}, []string{"overlap T/D 405.9 up 105 aside T gives way: 1 of 5 supports: the rod 3000 from the row's start; may move 105 along the run towards the row's start"}},
		{"drawn the other way it goes towards the end", map[string]string{
			"tray.csv": tray + "T,tray,6000,1000,0,1000,300x60,2900,channel 41 M10,,,R,\n", "ductwork.csv": duct + "D,3100,0,3100,2000,400x250,3000,\n",
		}, []string{"overlap T/D 405.9 up 105 aside T gives way: 1 of 5 supports: the rod 3000 from the row's start; may move 105 along the run towards the row's end"}},
		{"a touch is none: x 3004 to 3404", map[string]string{
			"tray.csv": T, "ductwork.csv": duct + "D,3204,0,3204,2000,400x250,3000,\n",
		}, nil},
		{"x 2700 to 3500: too far for one, two may do", map[string]string{
			"tray.csv": T, "ductwork.csv": duct + "D,3100,0,3100,2000,800x250,3000,\n",
		}, []string{"overlap T/D 405.9 up 305 aside T gives way: 1 of 5 supports: the rod 3000 from the row's start; clear with two in its place, 305 towards the row's start and 505 towards its end"}},
		{"the clear place is 5 wide, 10 are wanted: a second duct, x 2610 to 2895", map[string]string{
			"tray.csv": T, "ductwork.csv": duct + "D,3100,0,3100,2000,400x250,3000,\nE,2752.5,0,2752.5,2000,285x250,3000,\n",
		}, []string{"overlap T/D 405.9 up 105 aside T gives way: 1 of 5 supports: the rod 3000 from the row's start; clear with two in its place, 395 towards the row's start and 305 towards its end"}},
		{"where it would go the soffit is higher, and there a second duct is in the way of its rods", map[string]string{
			"bays.csv": "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,2500,9000,3300,2700\nM,2500,0,2900,9000,3600,2700\nB,2900,0,9000,9000,3300,2700\n",
			"tray.csv": T, "ductwork.csv": duct + "D,3145,0,3145,2000,510x250,3000,\nE,2799.5,0,2799.5,2000,199x100,3400,\n",
		}, []string{"overlap T/D 300 up 115 aside T gives way: 1 of 5 supports: the rod 3000 from the row's start; clear with two in its place, 305 towards the row's start and 405 towards its end"}},
		{"what its channel rests against by half a millimetre all along is not in the way of moving", map[string]string{
			"tray.csv": T + "O,tray,0,1329.5,6000,1329.5,200x60,2850,,,,S,\n", "ductwork.csv": duct + "D,3100,0,3100,2000,400x250,3000,\n",
		}, []string{"overlap T/D 405.9 up 105 aside T gives way: 1 of 5 supports: the rod 3000 from the row's start; may move 105 along the run towards the row's start"}},
		{"the first may go to the very end: x 150 to 550, 5 past 145", map[string]string{
			"tray.csv": T, "ductwork.csv": duct + "D,350,0,350,2000,400x250,3000,\n",
		}, []string{"overlap T/D 405.9 up 155 aside T gives way: 1 of 5 supports: the rod 300 from the row's start; clear with two in its place, 155 towards the row's start and 255 towards its end"}},
		{"a duct over it all along", map[string]string{
			"tray.csv": T, "ductwork.csv": duct + "D,-500,1000,6500,1000,600x250,3000,\n",
		}, []string{"overlap T/D 405.9 up 105 aside T gives way: 5 of 5 supports, the worst: the rod 300 from the row's start; no clear place along the run within the spacing"}},
		{"right under the channel, 5 + 8.4 + 1.5 up, in washers of 40; between the rods there is room", map[string]string{
			"tray.csv": T, "ductwork.csv": duct + "D,-500,1000,6500,1000,300x200,2650,\nE,3000,700,3000,1300,200x200,2659,\n",
		}, []string{"overlap T/E 14.9 up 105 aside T gives way: 1 of 5 supports: the rod 3000 from the row's start; may move 120 along the run towards the row's start"}},
		{"a channel in a column beside the tray", map[string]string{
			"tray.csv": T, "steel.csv": steel + "C,column,3000,1310,,,200x200,0..3600,\n",
		}, []string{"overlap T/C 741 up 20 aside T gives way: 1 of 5 supports: the channel 3000 from the row's start; may move 121 along the run towards the row's start"}},
		{"a beam across, over both rods: where nobody says from what, they hang from that", map[string]string{
			"tray.csv": T, "steel.csv": steel + "B,beam,3000,0,3000,2000,200x300,soffit,top\n",
		}, nil},
		{"and end under it: a duct from x 2990, 3000 to 3250, and the beam at 3300", map[string]string{
			"tray.csv": T, "steel.csv": steel + "B,beam,3000,0,3000,2000,200x300,soffit,top\n", "ductwork.csv": duct + "D,3095,0,3095,2000,210x250,3000,\n",
		}, []string{"overlap T/D 300 up 15 aside T gives way: 1 of 5 supports: the rod 3000 from the row's start; may move 15 along the run towards the row's start"}},
		{"beside it the rods would be in it: the duct begins at 2903, the beam at 2900", map[string]string{
			"tray.csv": T, "steel.csv": steel + "B,beam,3000,0,3000,2000,200x300,soffit,top\n", "ductwork.csv": duct + "D,3051.5,0,3051.5,2000,297x250,3000,\n",
		}, []string{"overlap T/D 300 up 102 aside T gives way: 1 of 5 supports: the rod 3000 from the row's start; may move 105 along the run towards the row's start"}},
		{"out of a duct from x 2900 on it goes under a beam that ends at 2893: with the whole of the rod of 10", map[string]string{
			"tray.csv": T, "steel.csv": steel + "B,beam,2871.5,0,2871.5,2000,43x300,soffit,top\n", "ductwork.csv": duct + "D,3100,0,3100,2000,400x250,3000,\n",
		}, []string{"overlap T/D 405.9 up 105 aside T gives way: 1 of 5 supports: the rod 3000 from the row's start; may move 112 along the run towards the row's start"}},
		{"over one of two rods a beam is in the way", map[string]string{
			"tray.csv": T, "steel.csv": steel + "B,beam,0,800,6000,800,200x300,soffit,top\n",
		}, []string{"overlap T/B 300 up 105 aside T gives way: 5 of 5 supports, the worst: the rod 300 from the row's start; no clear place along the run within the spacing"}},
		{"so are two that are not alike, one over each", map[string]string{
			"tray.csv": T, "steel.csv": steel + "B,beam,0,800,6000,800,200x300,soffit,top\nC,beam,0,1200,6000,1200,200x200,soffit,top\n",
		}, []string{
			"overlap T/B 300 up 105 aside T gives way: 5 of 5 supports, the worst: the rod 300 from the row's start; no clear place along the run within the spacing",
			"overlap T/C 200 up 105 aside T gives way: 5 of 5 supports, the worst: the rod 300 from the row's start; no clear place along the run within the spacing",
		}},
		{"where the hanger says soffit, a beam across is in the way", map[string]string{
			"hangers.csv": "hanger,part,height,side,width,rods,from\nslung,channel 41,41,,,2,soffit\n",
			"tray.csv":    tray + "T,tray,0,1000,6000,1000,300x60,2900,slung,,,R,\n",
			"steel.csv":   steel + "B,beam,3000,0,3000,2000,200x300,soffit,top\n",
		}, []string{"overlap T/B 300 up 105 aside T gives way: 1 of 5 supports: the rod 3000 from the row's start; may move 105 along the run towards the row's start; or hang it from that beam (from in hangers.csv)"}},
		{"hung from steel it is where the beams are, and they are not in its way", map[string]string{
			"hangers.csv": "hanger,part,height,side,width,rods,from\nclamped,channel 41,41,,,2,beam\n",
			"tray.csv":    tray + "T,tray,0,1000,3000,1000,300x60,2900,clamped,,,R,\n",
			"steel.csv":   steel + "B1,beam,250,0,250,2000,200x300,soffit,top\nB2,beam,1600,0,1600,2000,200x300,soffit,top\nB3,beam,2800,0,2800,2000,200x300,soffit,top\n",
		}, nil},
		{"nothing over the last but one beam, 50 further back", map[string]string{
			"hangers.csv": "hanger,part,height,side,width,rods,from\nclamped,channel 41,41,,,2,beam\n",
			"tray.csv":    tray + "T,tray,0,1000,3000,1000,300x60,2900,clamped,,,R,\n",
			"steel.csv":   steel + "B1,beam,250,0,250,2000,200x300,soffit,top\nB2,beam,1600,0,1600,2000,200x300,soffit,top\n",
		}, []string{"access T/ T gives way: 1 of 3 supports: the support 2850 from the row's start; no clear place along the run within the spacing; it hangs from a beam flange, and no steel is over all its rods"}},
		{"no soffit over what stands out of the bay, x 9700 to 12700", map[string]string{
			"tray.csv": tray + "T,tray,9700,1000,12700,1000,300x60,2900,channel 41 M10,,,R,\n",
		}, []string{"access T/ T gives way: 2 of 3 supports, the worst: the support 1500 from the row's start; no clear place along the run within the spacing; there is no soffit over it to hang from"}},
		{"no soffit, but a little further there is: the bay ends at 3900", map[string]string{
			"bays.csv": "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,2900,10000,3600,2700\nB,3100,0,9000,10000,3600,2700\n",
			"tray.csv": T,
		}, []string{"access T/ T gives way: 1 of 5 supports: the support 3000 from the row's start; may move 100 along the run towards the row's start; there is no soffit over it to hang from"}},
		{"an opening in the soffit where a rod would be fixed", map[string]string{
			"tray.csv": T, "openings.csv": "in,x,y,size\nsoffit A,3040,800,200x200\n",
		}, []string{"access T/ T gives way: 1 of 5 supports: the support 3000 from the row's start; may move 65 along the run towards the row's start; it would be fixed in the opening of openings.csv:2"}},
		{"nothing may be fixed, x 2950 to 3400", map[string]string{
			"tray.csv": T, "structure.csv": steel + "N,no fixing,2950,1000,3400,1000,1000x10,soffit,\n",
		}, []string{"access T/N T gives way: 1 of 5 supports: the support 3000 from the row's start; may move 55 along the run towards the row's start"}},
		{"nor over the whole bay", map[string]string{
			"tray.csv": T, "structure.csv": "id,kind,bay,size,level\nN,no fixing,A,10,soffit\n",
		}, []string{"access T/N T gives way: 5 of 5 supports, the worst: the support 300 from the row's start; no clear place along the run within the spacing"}},
		{"what is marked in another storey is not over it either", map[string]string{
			"levels.csv": "storey,ffl\nG,0\nU,4000\n", "bays.csv": "bay,storey,x1,y1,x2,y2,soffit,ceiling\nA,G,0,0,10000,10000,FFL+3600,FFL+2700\nA,U,0,0,10000,10000,FFL+3600,FFL+2700\n",
			"tray.csv":      "id,storey,kind,x1,y1,x2,y2,size,level,hanger\nT,G,tray,0,1000,6000,1000,300x60,FFL+2900,channel 41 M10\n",
			"structure.csv": "id,storey,kind,x1,y1,x2,y2,size,level\nN,U,no fixing,2950,1000,3400,1000,1000x10,soffit\n",
		}, nil},
		{"what is marked lower than the tray is not over it", map[string]string{
			"tray.csv": T, "structure.csv": steel + "N,no fixing,2950,1000,3400,1000,1000x10,2800,\n",
		}, nil},
		// The shaft: x 2700 to 3300, y 1100 to 1700, from the face at 2700 to the damper at 3200. The channel is 130 in it.
		{"a hatch opens under a damper", map[string]string{
			"tray.csv": T, "ductwork.csv": "id,kind,x1,y1,size,level\nV,damper,3000,1400,200x200x200,3200\n", "access.csv": "for,kind\nV,hatch\n",
		}, []string{"access T/V 200 up 130 aside 159 of 500 T gives way: 1 of 5 supports: the channel 3000 from the row's start; clear with two in its place, 321 towards the row's start and 321 towards its end; space needed by access.csv:2"}},
		// The unit: x 2300 to 2900, y 1200 to 1500; its room goes on to x 3400. The channel is 30 in it, from x 2979.5 on.
		{"working space", map[string]string{
			"tray.csv": T, "ductwork.csv": "id,kind,x1,y1,size,level\nU,fan coil,2600,1350,600x300x250,2850\n", "access.csv": "for,kind,side,depth\nU,working space,east,500\n",
		}, []string{
			"access T/U 50 up 30 aside 79.5 of 500 T gives way: 1 of 5 supports: the channel 3000 from the row's start; clear with two in its place, 721 towards the row's start and 421 towards its end; space needed by access.csv:2",
		}},
		{"of one frame, upper tier wider: the rods are outside it", map[string]string{
			"tray.csv": tray + "T,tray,0,1000,6000,1000,300x60,2900,channel 41 M10,F,1,R,\nU,ladder,0,1000,6000,1000,600x100,3100,channel 41 M10,F,2,S,\n",
		}, nil},
		{"not of one frame", map[string]string{
			"tray.csv": tray + "T,tray,0,1000,6000,1000,300x60,2900,channel 41 M10,,,R,\nU,ladder,0,1000,6000,1000,600x100,3100,channel 41 M10,F,2,S,\n",
		}, []string{"overlap T/U 355.9 up 105 aside T gives way: 5 of 5 supports, the worst: the rod 300 from the row's start; no clear place along the run within the spacing"}},
		{"of its own run", map[string]string{
			"tray.csv": T + "T2,tray,3000,0,3000,2000,300x60,3100,,,,R,\n",
		}, nil},
		{"what joins it there", map[string]string{
			"tray.csv": T + "T2,tray,3000,1000,3000,3000,300x60,2900,,,,S,T\n",
		}, nil},
		{"what does not join it", map[string]string{
			"tray.csv": T + "T2,tray,3000,1160,3000,3000,300x60,2900,,,,S,\n",
		}, []string{"overlap T/T2 115.9 up 45 aside T gives way: 1 of 5 supports: the rod 3000 from the row's start; clear with two in its place, 155 towards the row's start and 155 towards its end"}},
		{"fixed to a slab that is lower than the soffit", map[string]string{
			"tray.csv": T, "structure.csv": steel + "S,slab,0,1000,10000,1000,4000x200,3400,\n",
		}, nil},
		{"a tray beside the rods, y 1240 up", map[string]string{
			"tray.csv": T + "O,tray,0,1340,6000,1340,200x60,2900,,,,S,\n",
		}, nil},
		{"a bracket has no rods", map[string]string{
			"tray.csv": tray + "T,tray,0,1000,6000,1000,300x60,2900,side bracket,,,R,\n", "ductwork.csv": duct + "D,3100,0,3100,2000,400x250,3000,\n",
		}, nil},
		{"known by height alone the other is nowhere", map[string]string{
			"tray.csv": T, "ductwork.csv": "id,bay,size,level\nD,A,250,3000\n",
		}, nil},
	} {
		if test.files["bays.csv"] == "" {
			test.files["bays.csv"] = bays
		}
		got := supportFindings(t, test.files, clash.Options{Touch: 1, Rules: supportsOnly()})
		if !slices.Equal(got, test.want) {
			t.Errorf("%s:\n got %s\nwant %s", test.name, strings.Join(got, "\n     "), strings.Join(test.want, "\n     "))
		}
	}
}

// After any edit the supports that are measured again and those that are taken as they were are those of a check opened anew.
func TestSupportsAgain(t *testing.T) {
	for seed := range int64(3 * *more) {
		supportsAgain(t, 11+seed)
	}
}

func supportsAgain(t *testing.T, seed int64) {
	t.Helper()
	rng := rand.New(rand.NewSource(seed))
	p := openText(t, map[string]string{
		"bays.csv":      "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,6000,9000,3600,2700\nB,6000,0,12000,9000,3400,2700\n",
		"hangers.csv":   "hanger,part,height,side,width,rods,from\nclamped,channel 41,41,,,2,beam\n",
		"steel.csv":     "id,kind,x1,y1,x2,y2,size,level,face\nSB1,beam,3000,0,3000,9000,200x250,3300,top\nSB2,beam,7500,0,7500,9000,200x250,3300,top\nSB3,beam,0,4600,12000,4600,150x200,3300,top\n",
		"structure.csv": "id,kind,x1,y1,x2,y2,size,level\nN1,no fixing,4000,2000,5000,2000,1500x10,soffit\nN2,slab,8000,6000,9000,6000,2000x100,3200\n",
		"ductwork.csv":  "id,service,kind,x1,y1,x2,y2,size,level,run\nD1,supply air,duct,2000,0,2000,9000,400x250,3000,SA\nD2,supply air,duct,9000,0,9000,9000,300x200,3050,SB\nV1,,damper,5000,1500,,,200x200x200,3150,\n",
		"fittings.csv":  "id,trade,kind,x1,y1,size,level\nI1,pipework,pipe fitting,900,1250,100x100x100,3000\nI2,pipework,pipe fitting,7000,1250,100x100x100,3000\n",
		"access.csv":    "for,kind\nV1,hatch\n",
		"openings.csv":  "in,x,y,size\nsoffit A,1650,800,300x200\n",
		"tray.csv": "id,kind,x1,y1,x2,y2,size,level,hanger,frame,tier,run\n" +
			"T1,tray,0,1000,6000,1000,300x60,2900,channel 41 M10,,,R\nT2,tray,6000,1000,11800,1000,300x60,2900,channel 41 M10,,,R\n" +
			"T3,basket,0,2500,11000,2500,200x60,2900,clamped,,,S\nT4,tray,0,4000,5000,4000,300x60,2900,channel 21 M8,F,1,U\n" +
			"T5,ladder,0,4000,8000,4000,450x100,3080,channel 41 M12,F,2,W\nT6,tray,1000,6000,9000,8000,200x60,2850,channel 41 M10,,,X\n" +
			"T7,tray,0,7000,9000,7000,300x60,2900,,,,Y\n",
	})
	if len(p.Problems) > 0 {
		t.Fatal(p.Problems)
	}
	opt := clash.Options{Touch: 1, Rules: supportsOnly()}
	check := clash.Open(p, opt)
	ask := func(c *clash.Check) []string {
		res, err := c.Findings(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		var out []string
		for _, f := range res.Findings {
			out = append(out, fmt.Sprintf("%s %s %s %v %v %v %s", f.ID, f.A, name(f.B), f.At, f.Short, f.GivesWay, supportSaid(&f)))
		}
		return out
	}
	was := ask(check)
	differ, refused := 0, 0
	for step := range 400 {
		ids := []string{"T1", "T2", "T3", "T4", "T5", "T6", "T7", "D1", "D2", "V1", "SB1", "SB2", "SB3", "N1", "N2", "I1", "I2", "I1", "I2", "I1", "I2"}
		id := ids[rng.Intn(len(ids))]
		pick := func(list ...string) string { return list[rng.Intn(len(list))] }
		column, text := "level", fmt.Sprint(2800+rng.Intn(50)*10)
		switch k := rng.Intn(8); {
		case id[0] == 'I': // beside the rods, and along them
			column, text = "y1", pick("1210", "1250", "790", "750", "900")
			if k < 6 {
				column, text = "x1", fmt.Sprint(rng.Intn(240)*50)
			}
		case k == 0:
			column, text = pick("x1", "y1"), fmt.Sprint(rng.Intn(90)*100)
		case k == 1 && id != "V1":
			column, text = pick("x2", "y2"), fmt.Sprint(rng.Intn(120)*100)
		case k == 2 && id[0] == 'T':
			column, text = "hanger", pick("channel 41 M10", "channel 21 nut inside", "clamped", "pipe clip", "side bracket", "")
		case k == 3 && id[0] == 'T':
			column, text = "run", pick("R", "S", "U", "")
		case k == 4 && id[0] == 'T':
			column, text = pick("frame", "tier"), pick("F", "1", "2", "")
		case k == 5 && id[0] != 'V':
			column, text = "kind", pick("no fixing", "slab", "beam", "tray", "ladder", "duct")
		case k == 6:
			column, text = "joins", pick("T1", "T3", "D1", "")
		}
		ch, pr := p.Edit(id, column, text)
		if pr != nil {
			refused++
			continue
		}
		check.Changed(ch)
		got, want := ask(check), ask(clash.Open(p, opt))
		if !slices.Equal(got, want) {
			t.Fatalf("seed %d, step %d: %s of %s becomes %q:\n got %s\nwant %s", seed, step, column, id, text, strings.Join(got, "\n     "), strings.Join(want, "\n     "))
		}
		if !slices.Equal(was, got) {
			differ++
		}
		was = got
	}
	if differ < 60 || refused > 250 {
		t.Errorf("%d of 400 edits changed the answer, %d were refused", differ, refused)
	}
}

// Edits whose bearing on supports is far from what is edited: the place in the next row of the run to which one would move, a
// mark that has no body, a hatch away from what it serves.
func TestSupportsAgainFar(t *testing.T) {
	for _, test := range []struct {
		files              map[string]string
		zone, column, text string
		before, after      string
	}{
		{
			map[string]string{
				"tray.csv": "id,kind,x1,y1,x2,y2,size,level,hanger,run\nT1,tray,0,1000,4600,1000,300x60,2900,channel 41 M10,R\nT2,tray,4600,1000,12000,1000,300x60,2900,channel 41 M10,R\n",
				// T1 is held up at 4575, the next support stands at 6000 in T2. The duct is in the way from 4475 to 5800.
				"ductwork.csv": "id,x1,y1,x2,y2,size,level\nD,5137.5,0,5137.5,2000,1325x250,3000\n",
				"pipework.csv": "id,kind,x1,y1,size,level\nI,pipe fitting,9000,5000,200x100x100,3000\n",
			},
			"I", "y1", "1200", "two in its place, 105 towards the row's start and 1230 towards its end", "no clear place",
		},
		{
			map[string]string{
				"tray.csv":      "id,kind,x1,y1,x2,y2,size,level,hanger\nT1,tray,0,1000,6000,1000,300x60,2900,channel 41 M10\n",
				"structure.csv": "id,kind,x1,y1,x2,y2,size,level\nN,no fixing,2950,5000,3400,5000,1000x10,soffit\n",
			},
			"N", "y1", "1000", "", "may move 55",
		},
		{
			map[string]string{
				"tray.csv":     "id,kind,x1,y1,x2,y2,size,level,hanger\nT1,tray,0,1000,6000,1000,300x60,2900,channel 41 M10\n",
				"ductwork.csv": "id,kind,x1,y1,size,level\nV,damper,9000,9000,200x200x200,2750\n",
				"access.csv":   "for,kind,x,y\nV,hatch,3000,1400\n",
			},
			"V", "level", "3300", "", "1 of 5 supports: the channel 3000 from the row's start",
		},
	} {
		test.files["bays.csv"] = "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,14000,10000,3600,2700\n"
		p := openText(t, test.files)
		if len(p.Problems) > 0 {
			t.Fatal(p.Problems)
		}
		opt := clash.Options{Touch: 1, Rules: supportsOnly()}
		notes := func(c *clash.Check) string {
			res, err := c.Findings(context.Background())
			if err != nil {
				t.Fatal(err)
			}
			var out []string
			for _, f := range res.Findings {
				if f.AKind == "support" {
					out = append(out, supportSaid(&f))
				}
			}
			return strings.Join(out, "\n")
		}
		check := clash.Open(p, opt)
		before := notes(check)
		if _, pr := p.Edit(test.zone, "note", "as it was"); pr != nil {
			t.Fatal(pr)
		}
		ch, pr := p.Edit(test.zone, test.column, test.text)
		if test.zone == "I" {
			check.Changed(ch)
			ch, pr = p.Edit("I", "x1", "5890") // first beside, then there: nothing but its place along the run is new
		}
		if test.zone == "N" {
			check.Changed(ch)
			ch, pr = p.Edit("N", "y2", "1000")
		}
		if pr != nil {
			t.Fatal(pr)
		}
		check.Changed(ch)
		after, fresh := notes(check), notes(clash.Open(p, opt))
		if after != fresh {
			t.Errorf("%s: %q, opened anew %q", test.zone, after, fresh)
		}
		if !strings.Contains(before, test.before) || !strings.Contains(after, test.after) || before == after {
			t.Errorf("%s: before %q, after %q, want %q and %q", test.zone, before, after, test.before, test.after)
		}
	}
}

// The identity of a finding is the row's and the other's: it stays when the row has more supports, or moves.
func TestSupportIdentity(t *testing.T) {
	files := func(to, hanger string) map[string]string {
		return map[string]string{
			"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,10000,10000,3600,2700\n",
			"tray.csv":     "id,kind,x1,y1,x2,y2,size,level,hanger\nT-01,tray,0,1000," + to + ",1000,300x60,2900," + hanger + "\n",
			"ductwork.csv": "id,x1,y1,x2,y2,size,level\nD,-500,1000,9500,1000,600x250,3000\n",
		}
	}
	id := func(files map[string]string, opt clash.Options) string {
		res, err := clash.Open(openText(t, files), opt).Findings(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range res.Findings {
			if f.A == "supports of T-01" {
				return f.ID
			}
		}
		return ""
	}
	opt := clash.Options{Touch: 1}
	want := finding.ID("supports of t-01", "d", "")
	for _, f := range []map[string]string{files("6000", "channel 41 M10"), files("9000", "channel 41 M10"), files("600", "channel 21 M8")} {
		if got := id(f, opt); got != want {
			t.Errorf("id %q, want %q", got, want)
		}
	}
	if other := finding.ID("t-01", "d", ""); other == want {
		t.Error("the id of the supports is that of the row")
	}
	// They rest on practice, may be left out, and stand as far apart as one says.
	if got := id(files("6000", "channel 41 M10"), clash.Options{Touch: 1, Firm: true}); got != "" {
		t.Error("firm leaves supports in")
	}
	if got := id(files("6000", "channel 41 M10"), clash.Options{Touch: 1, Supports: support.Options{Off: true}}); got != "" {
		t.Error("left out they are found")
	}
	got := supportFindings(t, files("6000", "channel 41 M10"), clash.Options{Touch: 1, Rules: supportsOnly(), Supports: support.Options{Spacing: 2700}})
	if len(got) != 1 || !strings.Contains(got[0], "3 of 3 supports") {
		t.Errorf("at a spacing of 2700: %q", got)
	}
	p := openText(t, map[string]string{"bays.csv": files("600", "")["bays.csv"], "tray.csv": "id,x1,y1,x2,y2,size,level\nSupports of T-01,0,1000,6000,1000,300x60,2900\n"})
	if len(p.Problems) != 1 || p.Problems[0].Cell != "id" {
		t.Errorf("a row that calls itself supports of another: %v", p.Problems)
	}
}

// How supports were placed is told.
func TestSupportNote(t *testing.T) {
	files := map[string]string{
		"bays.csv": "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,10000,10000,3600,2700\n",
		"tray.csv": "id,kind,x1,y1,x2,y2,size,level,hanger\nT1,tray,0,1000,6000,1000,300x60,2900,channel 41 M10\nT2,basket,0,3000,6000,3000,300x60,2900,wire\n" +
			"T3,tray,0,5000,6000,5000,300x60,2900,side bracket\nT4,unit,5000,7000,,,500x500x200,2900,channel\n",
	}
	for _, test := range []struct {
		opt  clash.Options
		want []string
	}{
		{clash.Options{}, []string{
			"hung, but without supports in the check: 1 row (items, upright rows and rows known by height alone have none)",
			"supports of 2 rows are taken at the usual spacing (basket 1200, tray 1500, the first within 300 of an end or a corner) until they are set out; they are not checked against each other, and loads are not checked",
		}},
		{clash.Options{Firm: true}, []string{"what hangs under 2 services is checked against the ceiling alone: their supports are left out"}},
	} {
		res, err := clash.Open(openText(t, files), test.opt).Findings(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, n := range res.Unchecked {
			if n.Zone == "" && n.Bay == "" {
				got = append(got, n.Text)
			}
		}
		if !slices.Equal(got, test.want) {
			t.Errorf("%q\nwant %q", got, test.want)
		}
	}
}

// The search loses nothing: on random buildings with runs, frames, falls, walls and units every support against every row,
// one by one, gives what the check finds.
func TestSupportsByForce(t *testing.T) {
	compared, framed := 0, 0
	for n := range uint64(12 * *more) {
		b := random(91000+n, mix{zones: 160, storeys: 1 + int(n%2)})
		for k := range b.rows {
			r := &b.rows[k]
			if r.length && r.hanger != "" && n%2 == 0 {
				r.frame = fmt.Sprint("F", k%4)
				framed++
			}
			if r.file == "pipework" && k%3 == 0 {
				r.hanger = "pipe clip"
			}
		}
		p := b.opened(t, spelling{})
		opt := clash.Options{Touch: 1, Rules: supportsOnly()}
		res, err := clash.Open(p, opt).Findings(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		got := map[string]string{}
		for _, f := range res.Findings {
			if id, is := strings.CutPrefix(f.A, "supports of "); is && f.Kind == finding.Overlap {
				count, _, _ := strings.Cut(supportSaid(&f), " supports")
				got[id+" / "+*f.B] = count
			}
		}
		want := clash.Open(p, opt).SupportsByForce()
		for k := range want {
			if got[k] != want[k] {
				t.Errorf("seed %d: supports of %s: %q, by force %q", b.seed, k, got[k], want[k])
			}
		}
		for k := range got {
			if want[k] == "" {
				t.Errorf("seed %d: supports of %s: %q, by force none", b.seed, k, got[k])
			}
		}
		compared += len(want)
	}
	if compared < 150 || framed < 30 {
		t.Errorf("%d findings and %d rows of frames were compared", compared, framed)
	}
}

// A channel, its rods down to 2844.1, rests on the room over a unit, or is as deep in it as things may rest on each other: past a pipe it still moves by the
// 20.5 of its half, 10 of the pipe's and 10 that the pipe is to one side, in whole mm. Where it is deeper in the room, it has to leave that too: two in its place.
func TestASupportThatRestsInARoom(t *testing.T) {
	for _, test := range []struct {
		depth string
		move  float64 // 0: two in its place
	}{{"244.1", -21}, {"244.9", -21}, {"245.2", 0}} {
		res := asked(t, map[string]string{
			"bays.csv": "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,12000,6000,3600,none\n",
			"gaps.csv": "of,to,side,gap\nany,any,around,0\ntray,any,above,0\n",
			"z.csv": "id,trade,service,kind,x1,y1,x2,y2,size,level,hanger,reach\nT,containment,LV power,tray,500,1000,9500,1000,300x60,2900,channel 41 M10,\n" +
				"V,ductwork,,fan coil,5000,1000,,,1200x700x200,2400,,yes\nP,pipework,cold water,pipe,5010,500,5010,1500,ø20,2850,,\n",
			"access.csv": "for,kind,side,depth\nV,working space,above," + test.depth + "\n",
		}, clash.Options{Touch: 1})
		k := slices.IndexFunc(res.Findings, func(f finding.Finding) bool { return f.Support != nil && *f.B == "P" })
		if k < 0 {
			t.Fatalf("depth %s: no finding of the pipe", test.depth)
		}
		switch s := res.Findings[k].Support; {
		case test.move == 0 && (s.Move != nil || len(s.Two) != 2):
			t.Errorf("depth %s: it moves by %v, two at %v; want two", test.depth, s.Move, s.Two)
		case test.move != 0 && (s.Move == nil || *s.Move != test.move):
			t.Errorf("depth %s: it moves by %v, want %g", test.depth, s.Move, test.move)
		}
	}
}
