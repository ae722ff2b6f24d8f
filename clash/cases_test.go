package clash_test

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"

	"voidline/clash"
	"voidline/clash/finding"
)

// told writes a result in a few words: what was found between what and by how much, which move comes
// first, holes, excuses and notes.
func told(res *finding.Result) []string {
	var out []string
	for _, f := range res.Findings {
		s := fmt.Sprintf("%s %s/%s %g", f.Kind, f.A, *f.B, f.Short)
		if len(f.Moves) > 0 {
			s += fmt.Sprintf(" %s %s %g", f.Moves[0].Zone, f.Moves[0].Direction, f.Moves[0].By)
		}
		out = append(out, s)
	}
	for _, h := range res.BuildersWork {
		out = append(out, fmt.Sprintf("hole %s/%s %gx%g", h.Service, h.In, h.Width, h.Height))
	}
	slices.Sort(out)
	return out
}

// What carries a tier of a frame is in the way of the tier below it. Channel 41 M10 with plate, nut and thread is 55.9 high; with
// the nut inside 41 or 21.
func TestTiers(t *testing.T) {
	const bay = "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,12000,12000,3800,2400\n"
	const gaps = "of,to,side,gap\nladder,any,above,0\ntray,any,above,0\nbasket,any,above,0\n"
	const head = "id,kind,x1,y1,x2,y2,size,level,fall,hanger,frame,tier,run\n"
	for _, test := range []struct{ name, rows, want string }{
		{
			"a channel in the ladder under it: 2750 - (2755 - 55.9)",
			"L1,ladder,1000,7000,9000,7000,600x100,2650,,channel 41 M10,F,1,L\nB1,basket,1000,7000,9000,7000,300x60,2755,,channel 41 M10,F,2,B\n",
			"overlap supports of B1/L1 50.9 B1 up 50.9",
		},
		{
			"just room for it: 2750 + 55.9",
			"L1,ladder,1000,7000,9000,7000,600x100,2650,,channel 41 M10,F,1,L\nB1,basket,1000,7000,9000,7000,300x60,2805.9,,channel 41 M10,F,2,B\n",
			"",
		},
		{
			"with the nut inside 21 is enough: 25 between the two",
			"L1,ladder,1000,7000,9000,7000,600x100,2650,,channel 41 M10,F,1,L\nB1,basket,1000,7000,9000,7000,300x60,2775,,channel 21 nut inside,F,2,B\n",
			"",
		},
		{
			"the first by id is the lower tier; drawn from end to start; the channel goes over the whole frame, beside the basket too",
			"A1,ladder,9000,7000,1000,7000,600x100,2650,,channel 41 M10,F,1,L\nB1,basket,1000,7500,9000,7500,150x60,2770,,channel 41 M10,f,2,B\n",
			"overlap supports of B1/A1 35.9 B1 up 35.9",
		},
		{
			"turned in plan, 3-4-5",
			"L1,ladder,1000,1000,7000,9000,600x100,2650,,channel 41 M10,F,1,L\nB1,basket,1000,1000,7000,9000,300x60,2755,,channel 41 M10,F,2,B\n",
			"overlap supports of B1/L1 50.9 B1 up 50.9",
		},
		{
			"of four tiers each over the next: 40 and 50 between them where 55.9 are needed, and 60",
			"T1,tray,1000,7000,9000,7000,300x60,2600,,channel 41 M10,F,1,P\nT2,tray,1000,7000,9000,7000,300x60,2700,,channel 41 M10,F,2,Q\n" +
				"T3,tray,1000,7000,9000,7000,300x60,2810,,channel 41 M10,F,3,R\nT4,tray,1000,7000,9000,7000,300x60,2930,,channel 41 M10,F,4,S\n",
			"overlap supports of T2/T1 15.9 T2 up 15.9; overlap supports of T3/T2 5.9 T3 up 5.9",
		},
		{
			"a tier of two: no one row moves alone",
			"L1,ladder,1000,7000,9000,7000,600x100,2650,,channel 41 M10,F,1,L\nB1,basket,1000,6800,9000,6800,200x60,2755,,channel 41 M10,F,2,B\n" +
				"B2,basket,1000,7200,9000,7200,200x60,2755,,channel 41 M10,F,2,C\n",
			"overlap supports of B1/L1 50.9",
		},
		{
			"the lower falls from 2850 by 1 in 100: 300 in, half the channel's 41 nearer, 2850 - 2.795 + 100 - (2950 - 55.9)",
			"L1,ladder,1000,7000,9000,7000,600x100,2850,1 in 100,channel 41 M10,F,1,L\nB1,basket,1000,7000,9000,7000,300x60,2950,,channel 41 M10,F,2,B\n",
			"overlap supports of B1/L1 53.1 B1 up 53.2",
		},
		{
			"two frames of one name: what names no hanger hangs like the rest of its own; channel 21 is 35.9 under B2, 45 over B1",
			"A1,tray,1000,7000,4000,7000,300x60,2900,,channel 41 M10,F,1,A\nB1,tray,6000,7000,9000,7000,300x60,2840,,channel 21 M10,F,1,B\nB2,tray,6000,7000,9000,7000,300x60,2945,,,F,2,C\n",
			"",
		},
		{
			"and channel 41 is 55.9: 10.9 in it",
			"A1,tray,1000,7000,4000,7000,300x60,2900,,channel 21 M10,F,1,A\nB1,tray,6000,7000,9000,7000,300x60,2840,,channel 41 M10,F,1,B\nB2,tray,6000,7000,9000,7000,300x60,2945,,,F,2,C\n",
			"overlap supports of B2/B1 10.9 B2 up 10.9",
		},
		{
			"no frame, no tiers: each hangs on its own rods, which stand in the wider ladder",
			"L1,ladder,1000,7000,9000,7000,600x100,2650,,channel 41 M10,,,L\nB1,basket,1000,7000,9000,7000,300x60,2755,,channel 41 M10,,,B\n",
			"overlap supports of B1/L1 50.9",
		},
	} {
		t.Run(test.name, func(t *testing.T) {
			p := openText(t, map[string]string{"bays.csv": bay, "gaps.csv": gaps, "tray.csv": head + test.rows})
			if len(p.Problems) > 0 {
				t.Fatal(p.Problems)
			}
			res, err := clash.Open(p, clash.Options{Touch: 1}).Findings(context.Background())
			if err != nil {
				t.Fatal(err)
			}
			if got := strings.Join(told(res), "; "); got != test.want {
				t.Errorf("%q, want %q", got, test.want)
			}
		})
	}
}

// Small jobs and what comes of each, worked out by hand from the design.
func TestSmallJobs(t *testing.T) {
	const (
		bay   = "bay,x1,y1,x2,y2,soffit,ceiling,build-up\nA,0,0,10000,10000,3600,2700,b\n"
		fixed = "build-up,layer,thickness,lifts out\nb,board,50,no\n"
		tiles = "build-up,layer,thickness,lifts out\nb,tile,50,yes\n"
		run   = "id,x1,y1,x2,y2,size,level,run\n"
	)
	for _, test := range []struct {
		name  string
		files map[string]string
		want  string
	}{
		{"rows side by side in each other are no joint: 600 wide, 400 apart, 200 deep", map[string]string{
			"ductwork.csv": "id,x1,y1,x2,y2,size,level\nD1,1000,1000,2000,1000,600x300,3000\nD2,1000,1400,2000,1400,600x300,3000\n",
		}, "overlap D1/D2 225 D2 left 225"},
		{"rows end to end are a joint", map[string]string{
			"ductwork.csv": "id,x1,y1,x2,y2,size,level\nD1,1000,1000,2000,1000,600x300,3000\nD2,2000,1000,4000,1000,600x300,3000\n",
		}, ""},
		{"a corner is a joint", map[string]string{
			"ductwork.csv": "id,x1,y1,x2,y2,size,level\nD1,1000,1000,4000,1000,600x300,3000\nD2,4000,1000,4000,5000,600x300,3000\n",
		}, ""},
		{"a tee is a joint", map[string]string{
			"ductwork.csv": run + "D1,1000,1000,6000,1000,600x300,3000,S\nD2,3000,1000,3000,5000,300x200,3050,S\n",
		}, ""},
		{"two pieces of one run that pass right through each other", map[string]string{
			"ductwork.csv": run + "D1,1000,3000,6000,3000,600x300,3000,S\nD2,3000,1000,3000,5000,300x200,3050,S\n",
		}, "overlap D1/D2 275 D2 up 275"},
		{"a row given twice is no joint; there is no room for it above or below", map[string]string{
			"ductwork.csv": "id,x1,y1,x2,y2,size,level\nD1,1000,1000,2700,1000,600x300,3000\nD2,1000,1000,2700,1000,600x300,3000\n",
		}, "overlap D1/D2 325 D2 left 625"},
		{"a beam's end in a unit joins nothing: 300 of its 400 in the beam's height", map[string]string{
			"steel.csv":      "id,x1,y1,x2,y2,size,level\nB,0,2000,6000,2000,200x400,3200\n",
			"mechanical.csv": "id,kind,x1,y1,size,level,reach\nF,fan coil,5900,2000,800x600x300,3200,no\n",
		}, "overlap B/F 300 F down 300"},
		{"runs of one name in two trades are two runs", map[string]string{
			"tray.csv":     "id,kind,x1,y1,x2,y2,size,level,run\nT,trunking,1000,2000,6000,2000,200x100,3000,1\n",
			"pipework.csv": run + "P,3000,1000,3000,2000,ø60,3020,1\n",
		}, "overlap P/T 80 P up 80"},
		{"insulation goes round an item: 20 from its east side, inside 50 of insulation", map[string]string{
			"pipework.csv": "id,kind,x1,y1,size,insulation,level,reach\nV,valve,2000,2000,200x200x200,50,3000,no\nW,valve,2170,2000,100x100x100,0,3050,no\n",
		}, "overlap V/W 30 W sideways 30"},
		{"insulation goes round an upright duct, not on its ends: 400 + 2 x 50 + 2 x 25 by 300 + 100 + 50", map[string]string{
			"ductwork.csv": "id,x1,y1,size,insulation,level\nR,2000,2000,400x300,50,FFL+3000..FFL+4000\n",
		}, "hole R/soffit A 550x450"},
		{"a duct in the upper half of a beam tight under the soffit, 200 from its top, drops 3550 - 3193.6", map[string]string{
			"steel.csv":    "id,x1,y1,x2,y2,size,level,face\nB,0,5000,10000,5000,UB 406x178x60,soffit,top\n",
			"ductwork.csv": run + "D,5000,1000,5000,9000,400x150,3400,S\n",
		}, "overlap B/D 200 D down 356.4"},
		{"a surface light gives way to a duct", map[string]string{
			"ductwork.csv": run + "D,1000,2000,6000,2000,500x300,3000,S\n",
			"lighting.csv": "id,x1,y1,size,level,recessed\nL,3000,2000,100x100x80,3100,no\n",
		}, "overlap D/L 180 L down 180"},
		{"a light far over its ceiling, 80 in a duct and 50 asked; up there are only 3600 - 3520 = 80", map[string]string{
			"ductwork.csv": run + "D,1000,2000,6000,2000,500x200,3320,S\n",
			"lighting.csv": "id,x1,y1,size,level\nL,3000,2000,600x600x100,3300\n",
		}, "overlap L/D 130 D down 220"},
		{"lights and diffusers by height stand side by side in the ceiling", map[string]string{
			"lighting.csv": "id,bay,size,level\nL,A,600x600x100,2700\n",
			"ductwork.csv": "id,kind,bay,size,level\nX,diffuser,A,300x300x250,2700\n",
		}, ""},
		{"a fire damper in a wall between its ducts wants a hole: 300 + 2 x 25 by 200 + 2 x 25", map[string]string{
			"partitions.csv": "id,x1,y1,x2,y2,size,level\nW,0,2000,10000,2000,100,FFL+0..soffit\n",
			"ductwork.csv":   "id,kind,x1,y1,size,level,reach\nFD,fire damper,3000,2000,300x400x200,3000,no\n",
		}, "hole FD/W 350x250"},
		{"withdrawal above is stopped by the soffit: 3600 - 3400 of 500", map[string]string{
			"mechanical.csv": "id,kind,x1,y1,size,level,reach\nF,fan coil,3000,3000,800x600x300,3100,no\n",
			"access.csv":     "for,kind,side,depth\nF,withdrawal,above,500\n",
		}, "access F/soffit A 300"},
		{"working space below is stopped by a ceiling that does not lift out: 3100 - 2750 of 500", map[string]string{
			"mechanical.csv": "id,kind,x1,y1,size,level,reach\nF,fan coil,3000,3000,800x600x300,3100,no\n",
			"access.csv":     "for,kind,side,depth\nF,working space,below,500\n",
		}, "access F/ceiling A 150"},
		{"what a rule asks above the ceiling holds over boards: 60 - 40", map[string]string{
			"ductwork.csv": run + "D,1000,2000,6000,2000,500x200,2790,S\n",
			"gaps.csv":     "of,to,side,gap,basis\nceiling,any,above,60,maker\n",
		}, "tight ceiling A/D 20 D up 20"},
		{"a project's rule of tiles for pipes leaves the built-in one for ducts: 100 - 40", map[string]string{
			"buildups.csv": tiles,
			"ductwork.csv": run + "D,1000,2000,6000,2000,500x200,2790,S\n",
			"gaps.csv":     "of,to,side,gap\ntiles,pipe,above,150\n",
		}, "tight ceiling A/D 60 D up 60"},
		{"an opening's margin by a rule of the project: (200 - 100) / 2 = 50 of 75", map[string]string{
			"steel.csv":    "id,x1,y1,x2,y2,size,level,face\nB,0,5000,10000,5000,UB 406x178x60,soffit,top\n",
			"pipework.csv": run + "P,5000,1000,5000,9000,ø100,3346.8,S\n",
			"openings.csv": "in,at,size,level,face\nB,5000,ø200,3396.8,centre\n",
			"gaps.csv":     "of,to,side,gap,basis\npipe,structure,around,75,law\n",
		}, "tight P/B 25"},
		{"a valve drawn on an unbroken row of its run sits in it", map[string]string{
			"pipework.csv": "id,kind,x1,y1,x2,y2,size,level,run,reach\nP,pipe,1000,2000,6000,2000,ø60,3000,S,\nV,valve,3000,2000,,,200x200x200,2930,S,no\n",
		}, ""},
		{"joins does not excuse rows along each other", map[string]string{
			"ductwork.csv": "id,x1,y1,x2,y2,size,level,run,joins\nD1,0,1000,6000,1000,600x300,3000,S,D2\nD2,1000,1500,5000,1500,600x300,3000,T,\n",
		}, "overlap D1/D2 125 D2 left 125"},
		{"a trade column may say gas as a file name may", map[string]string{
			"all.csv":  "id,trade,x1,y1,x2,y2,size,level\nG,gas,1000,1000,6000,1000,ø30,3000\n",
			"tray.csv": "id,service,kind,x1,y1,x2,y2,size,level\nT,data,trunking,3000,500,3000,1500,100x50,2940\n",
		}, "tight G/T 15 G up 15"},
		{"a hand room without a branch of its own run", map[string]string{
			"partitions.csv": "id,x1,y1,x2,y2,size,level\nW,0,1725,10000,1725,50,FFL+0..soffit\n",
			"tray.csv":       run + "T1,1000,2000,8000,2000,400x50,3000,T\nT2,4000,2200,4000,6000,900x50,3000,T\n",
		}, ""},
	} {
		t.Run(test.name, func(t *testing.T) {
			files := map[string]string{"bays.csv": bay, "buildups.csv": fixed}
			for k, v := range test.files {
				files[k] = v
			}
			p := openText(t, files)
			if len(p.Problems) > 0 {
				t.Fatal(p.Problems)
			}
			res, err := clash.Open(p, clash.Options{Touch: 1}).Findings(context.Background())
			if err != nil {
				t.Fatal(err)
			}
			if got := strings.Join(told(res), "; "); got != test.want {
				t.Errorf("came %q, want %q (excused %v)", got, test.want, res.Excused)
			}
		})
	}
}

// A riser through three storeys meets the soffit of each, and goes through each ceiling above the first.
func TestRiserThroughStoreys(t *testing.T) {
	p := openText(t, map[string]string{
		"levels.csv":   "storey,ffl\nL0,0\nL1,4000\nL2,8000\n",
		"bays.csv":     "bay,storey,x1,y1,x2,y2,soffit,ceiling\nA,L0,0,0,9000,9000,3600,none\nA,L1,0,0,9000,9000,3600,none\nA,L2,0,0,9000,9000,3600,2700\n",
		"pipework.csv": "id,storey,x1,y1,size,level\nR,L0,2000,2000,ø100,FFL+0..project+11000\n",
	})
	if len(p.Problems) > 0 {
		t.Fatal(p.Problems)
	}
	res, err := clash.Open(p, clash.Options{}).Findings(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	if got, want := strings.Join(told(res), "; "), "hole R/soffit A, L0 150x150; hole R/soffit A, L1 150x150"; got != want {
		t.Errorf("came %q, want %q", got, want)
	}
	if len(res.Through) != 1 || res.Through[0].Zone != "R" || strings.Join(res.Through[0].Ceilings, "; ") != "ceiling A, L2" {
		t.Errorf("told %+v, want R through ceiling A, L2", res.Through)
	}
}

// An opening's own margin rests on its row: firm, which leaves out practice, keeps the finding and the name
// of what asks. (200 - 160) / 2 = 20 of 40.
func TestFirmKeepsAnOpeningsOwnMargin(t *testing.T) {
	p := openText(t, map[string]string{
		"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,10000,10000,3600,none\n",
		"steel.csv":    "id,x1,y1,x2,y2,size,level,face\nB,0,5000,10000,5000,UB 406x178x60,soffit,top\n",
		"pipework.csv": "id,x1,y1,x2,y2,size,level,face,run\nP,5000,1000,5000,9000,ø160,3396.8,centre,S\n",
		"openings.csv": "in,at,size,level,face,margin\nB,5000,ø200,3396.8,centre,40\n",
	})
	if len(p.Problems) > 0 {
		t.Fatal(p.Problems)
	}
	res, err := clash.Open(p, clash.Options{Touch: 1, Firm: true}).Findings(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	if len(res.Findings) != 1 {
		t.Fatalf("%d findings, want 1", len(res.Findings))
	}
	if f := res.Findings[0]; f.Rule == "" || f.Basis != "maker" || f.Short != 20 {
		t.Errorf("rule %q, basis %q, short %g; want the opening's rule, maker, 20", f.Rule, f.Basis, f.Short)
	}
}
