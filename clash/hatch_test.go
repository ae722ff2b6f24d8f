package clash_test

import (
	"context"
	"fmt"
	"maps"
	"math/rand/v2"
	"strings"
	"testing"

	"voidline/clash"
	"voidline/clash/finding"
	"voidline/clash/support"
)

// Where a hatch would do, worked out by hand. The damper is 400 x 400 in plan, its middle at 5000, 5000, over a boarded ceiling; through a hatch
// of 600 x 600 one reaches 900.
func TestHatchPlace(t *testing.T) {
	const damper = "id,kind,x1,y1,size,level\nV,damper,5000,5000,400x400x300,2900\n"
	for _, test := range []struct {
		name, pipe, access, want string
	}{
		{"none, nothing in the way: right under it", "", "", "put 600x600 at 5000, 5000"},
		// Its face is at 5200: the hatch's middle comes to 6100, from 7200 in steps of 50. Its own is moved before another is put in.
		{"its own, too far east", "", "V,hatch,7200,5000,600x600\n", "access.csv:2 by 1100 to 6100, 5000"},
		// The pipe is 110 wide, from 4945 to 5055: a shaft of 600 beside it has its middle 355 away, in steps of 50 400. South comes before north.
		{"a pipe right under it", "P,3000,5000,7000,5000,ø110,2500\n", "", "put 600x600 at 5000, 4600"},
		{"its own, with the pipe in its shaft", "P,3000,5000,7000,5000,ø110,2500\n", "V,hatch,5000,5000,600x600\n", "access.csv:2 by 400 to 5000, 4600"},
		{"its own, with the pipe in its shaft, no whole size", "P,3000,5000,7000,5000,ø110,2500\n", "V,hatch,5000,5000,595.5x595.5\n", "access.csv:2 by 400 to 5000, 4600, 595.5x595.5"},
		{"and a light in the ceiling to the south", "P,3000,5000,7000,5000,ø110,2500\nL,5000,4200,,,600x600x100,2400\n", "", "put 600x600 at 5000, 5400"},
	} {
		t.Run(test.name, func(t *testing.T) {
			files := map[string]string{
				"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling,build-up\nA,0,0,10000,10000,3800,2400,boards\n",
				"buildups.csv": "build-up,layer,thickness\nboards,board,25\nboards,top-hat,25\n",
				"ductwork.csv": damper,
				"pipework.csv": "id,x1,y1,x2,y2,size,level\n" + test.pipe,
				"access.csv":   "for,kind,x,y,size\n" + test.access,
			}
			if got := hatchPlaces(t, files); got != test.want {
				t.Errorf("%q, want %q", got, test.want)
			}
		})
	}
}

// hatchPlaces says where the hatches of a project's findings would do.
func hatchPlaces(t *testing.T, files map[string]string) string {
	t.Helper()
	var out []string
	for _, f := range proved(t, files) {
		switch h := f.HatchPlace; {
		case h == nil:
		case h.Row == "":
			out = append(out, fmt.Sprintf("put %s at %g, %g", h.Size, h.X, h.Y))
		default:
			said := fmt.Sprintf("%s by %g to %g, %g", h.Row, h.By, h.X, h.Y)
			if h.Size != "600x600" {
				said += ", " + h.Size
			}
			out = append(out, said)
		}
	}
	return strings.Join(out, "; ")
}

func proved(t *testing.T, files map[string]string) []finding.Finding {
	t.Helper()
	res, err := clash.Open(openText(t, files), clash.Options{Touch: 1, Proved: true}).Findings(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	return res.Findings
}

// Hatches put where findings say are put into the table, and the project is checked anew: the finding is gone, and nothing is new or lacks more. Random
// voids of dampers, ducts, hung trays and lights, with hatches somewhere near, or none.
func TestHatchPlacesPutBack(t *testing.T) {
	moved, put, none := 0, 0, 0
	for seed := range 60 {
		r := rand.New(rand.NewPCG(uint64(seed), 77))
		files := hatchJob(r)
		before := map[string]float64{}
		fs := proved(t, files)
		for _, f := range fs {
			before[f.ID] = f.Short
		}
		for _, f := range fs {
			h := f.HatchPlace
			if h == nil {
				if f.Kind == finding.Access && f.Hatch != nil {
					none++
				}
				continue
			}
			row := fmt.Sprintf("%s,hatch,%g,%g,%s", h.For, h.X, h.Y, h.Size)
			lines := strings.Split(strings.TrimSuffix(files["access.csv"], "\n"), "\n")
			if h.Row == "" {
				put++
				lines = append(lines, row)
			} else {
				moved++
				var n int
				if _, err := fmt.Sscanf(h.Row, "access.csv:%d", &n); err != nil {
					t.Fatal(h.Row, err)
				}
				lines[n-1] = row
			}
			then := maps.Clone(files)
			then["access.csv"] = strings.Join(lines, "\n") + "\n"
			for _, g := range proved(t, then) {
				if was, there := before[g.ID]; g.ID == f.ID || !there || g.Short > was+0.2 {
					t.Errorf("seed %d: %s %s at %g, %g: then %s of %s, %g, before %g\n%s", seed, f.Rule, row, h.X, h.Y, g.Rule, g.A, g.Short, was, files)
				}
			}
		}
	}
	if t.Logf("%d moved, %d put, %d have no place", moved, put, none); moved < 20 || put < 20 {
		t.Error("too few to mean anything")
	}
}

// hatchJob is a boarded void with dampers to be reached.
func hatchJob(r *rand.Rand) map[string]string {
	at := func(n, step int) int { return 500 + step*r.IntN(n) }
	duct, access := "id,kind,x1,y1,x2,y2,size,level\n", "for,kind,x,y,size\n"
	for k := range 3 {
		x, y := at(70, 100), at(70, 100)
		duct += fmt.Sprintf("V%d,damper,%d,%d,,,300x300x250,%d\n", k, x, y, 2700+50*r.IntN(8))
		if r.IntN(3) > 0 {
			access += fmt.Sprintf("V%d,hatch,%d,%d,600x600\n", k, x+100*(r.IntN(40)-20), y+100*(r.IntN(40)-20))
		}
	}
	for k := range 3 {
		y := at(70, 100)
		duct += fmt.Sprintf("D%d,duct,500,%d,7500,%d,%dx200,%d\n", k, y, y, 200+100*r.IntN(4), 2500+50*r.IntN(10))
	}
	tray := "id,kind,x1,y1,x2,y2,size,level,hanger\n"
	for k := range 2 {
		x := at(70, 100)
		tray += fmt.Sprintf("T%d,tray,%d,600,%d,7400,200x60,%d,channel 41 M10\n", k, x, x, 2560+50*r.IntN(8))
	}
	light := "id,kind,x1,y1,size,level,recessed\n"
	for k := range 4 {
		light += fmt.Sprintf("L%d,light fitting,%d,%d,600x600x100,2400,yes\n", k, at(70, 100), at(70, 100))
	}
	return map[string]string{
		"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling,build-up\nA,0,0,4000,8000,3600,2400,boards\nB,4000,0,8000,8000,3600,2400,boards\n",
		"buildups.csv": "build-up,layer,thickness\nboards,board,25\nboards,top-hat,25\n",
		"ductwork.csv": duct, "access.csv": access, "containment.csv": tray, "lighting.csv": light,
	}
}

// A support moved as its finding says is clear: set out there, with the others where they stand, the finding is gone or tells fewer supports, and
// nothing is new or lacks more. With a longer channel it is in nothing, measured one thing after the other.
func TestSupportMovesPutBack(t *testing.T) {
	moved, longer := 0, 0
	for seed := range 250 {
		r := rand.New(rand.NewPCG(uint64(seed), 43))
		files := barsJob(r)
		p := openText(t, files)
		c := clash.Open(p, clash.Options{Touch: 1, Proved: true})
		res, err := c.Findings(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		plan := c.SupportPlan()
		for k := range res.Findings {
			f := &res.Findings[k]
			if f.Support == nil || f.SupportNo == nil {
				continue
			}
			row, _ := p.ZoneByID(f.SupportNo.Row)
			set := "row,number,along\n" // as it stands, the one moved
			for _, s := range plan.Zone(row) {
				along := s.At
				if int(s.Zone) == row && s.N == f.SupportNo.Number {
					if l := f.Support.Longer; l != nil {
						longer++
						wide := 0.0
						for by, w := range plan.Wider() {
							if wide = by; 2*by == l.By {
								site := c.SupportSite(w)
								s, _ := w.At(row, s.Station, support.Made{})
								if s.FromSteel >= 0 && w.MayHangFromSteel(row) {
									break // whether a clamp holds there is asked when it is set out
								}
								if why := whatItMeetsDeeper(p, site, w, row, s.At, 0, 1, &s); why != "" {
									t.Errorf("seed %d: with a channel %g longer %s %d is %s", seed, l.By, f.SupportNo.Row, f.SupportNo.Number, why)
								}
								if got := s.Levels()[0].ChannelLength(); got > l.Channel+0.1 {
									t.Errorf("seed %d: a channel of %g, told as %g", seed, got, l.Channel)
								}
								break
							}
						}
						if 2*wide != l.By {
							t.Errorf("seed %d: %g longer is none of what is tried", seed, l.By)
						}
					}
					if f.Support.Move != nil {
						along += *f.Support.Move
					}
				}
				set += fmt.Sprintf("%s,%d,%v mm\n", p.Zone(int(s.Zone)).ID, s.N, along)
			}
			if f.Support.Move == nil || !strings.HasSuffix(f.A, " "+f.SupportNo.Row) {
				continue
			}
			moved++
			was := map[string]float64{}
			for _, g := range res.Findings {
				was[g.ID] = g.Short
			}
			files["supports.csv"] = set
			q := openText(t, files)
			if len(q.Problems) > 0 {
				t.Fatal(q.Problems)
			}
			then, err := clash.Open(q, clash.Options{Touch: 1}).Findings(context.Background())
			if err != nil {
				t.Fatal(err)
			}
			for _, g := range then.Findings {
				short, there := was[g.ID]
				switch {
				case g.ID == f.ID && g.Support.Count >= f.Support.Count:
					t.Errorf("seed %d: moved by %g, %d of the supports of %s still meet %s", seed, *f.Support.Move, g.Support.Count, f.SupportNo.Row, *f.B)
				case g.ID != f.ID && (!there || g.Short > short+0.2):
					t.Errorf("seed %d: support %d of %s moved by %g: then %s of %s, %g, before %g", seed, f.SupportNo.Number, f.SupportNo.Row, *f.Support.Move, g.Rule, g.A, g.Short, short)
				}
			}
		}
	}
	if t.Logf("%d moved, %d with a longer channel", moved, longer); moved < 60 || longer < 10 {
		t.Error("too few to mean anything")
	}
}
