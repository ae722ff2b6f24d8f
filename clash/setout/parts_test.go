package setout_test

import (
	"context"
	"encoding/csv"
	"fmt"
	"math"
	"math/bits"
	"math/rand/v2"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/golang/geo/r2"

	"voidline/clash"
	"voidline/clash/finding"
	"voidline/clash/setout"
	"voidline/clash/support"
	"voidline/void/cell"
	"voidline/void/need"
)

// The void of 80 between the build-up and the soffit, and a basket 60 high: with what hangs under it in each build-up
// of a hanger, how much is left, and the moment when it no longer goes in.
func TestVoidOf80(t *testing.T) {
	for _, test := range []struct {
		hanger string
		under  float64 // sums of ISO 4032 nuts, 5 plate, one thread or a tail of 25
	}{
		{"", 0},
		{"channel 41 M10", 41 + 5 + 8.4 + 1.5},
		{"channel 41 M8", 41 + 5 + 6.8 + 1.25},
		{"channel 41 M12", 41 + 5 + 10.8 + 1.75},
		{"channel 21 M10", 21 + 5 + 8.4 + 1.5},
		{"channel 21 M8", 21 + 5 + 6.8 + 1.25},
		{"channel 21 nut inside", 21},
		{"channel 41 nut inside", 41},
		{"channel 41 M10 long tail", 41 + 5 + 8.4 + 25},
		{"side bracket", 0},
		{"pipe clip", 0},
		{"wire", 0},
	} {
		for _, asked := range []float64{0, 25} {
			for _, extra := range []float64{-0.1, 0, 0.1} {
				// A void that is just too low, just enough, and a little more.
				void := 60 + test.under + asked + extra
				ts := tables{
					"bays.csv":        fmt.Sprintf("bay,x1,y1,x2,y2,soffit,ceiling,build-up\nA,0,0,9000,3000,%v,2700,b\n", 2750+void),
					"buildups.csv":    "build-up,layer,thickness\nb,board,50\n",
					"gaps.csv":        fmt.Sprintf("of,to,side,gap,basis\nany,ceiling,below,%v,practice\nbasket,structure,above,0,practice\n", asked),
					"containment.csv": "id,service,kind,x1,y1,x2,y2,size,level,hanger,run\nT,power,basket,500,1500,8500,1500,200x60,2800," + test.hanger + ",R\n",
				}
				p := ts.open(t)
				runs, err := setout.Assemble(p, "R", cell.Bottom)
				if err != nil {
					t.Fatal(err)
				}
				a := setout.SetOut(p, clash.Open(p, clash.Options{Touch: clash.None}), &runs[0], setout.Settings{})
				if fits := extra >= 0; a.Found != fits {
					t.Errorf("%q, void %.2f, %v clear asked: set out %v, want %v (60 + %.2f + %v)", test.hanger, void, asked, a.Found, fits, test.under, asked)
				} else if fits {
					if lo, hi := 2750+asked+test.under, 2750+void-60; math.Abs(a.Band[0].Lo-lo) > 0.002 || math.Abs(a.Band[0].Hi-hi) > 0.002 {
						t.Errorf("%q: band %v, want %v to %v", test.hanger, a.Band, lo, hi)
					}
				}
			}
		}
	}
}

// The worked example of a rod stands in the reference data with its sum: soffit, channel top and the parts are read from there.
func TestRodLengthOfTheReference(t *testing.T) {
	name := filepath.Join("..", "..", "..", "shared", "facts", "worked_examples.csv")
	f, err := os.Open(name)
	if err != nil {
		need.Skip(t, "the worked examples are not beside this repository")
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range rows {
		if r[1] != "rod" || !strings.HasPrefix(r[2], "soffit ") {
			continue
		}
		// "soffit 3600, channel top 2900, channel 41, plate 5, nut M10 8.4, tail 25, screw-in 10"
		of := map[string]float64{}
		for _, part := range strings.Split(r[2], ", ") {
			k := strings.LastIndex(part, " ")
			v, err := strconv.ParseFloat(part[k+1:], 64)
			if err != nil {
				t.Fatal(part, err)
			}
			of[part[:k]] = v
		}
		want, err := strconv.ParseFloat(strings.Fields(r[4])[0], 64)
		if err != nil || len(of) != 7 {
			t.Fatal(r, of, err)
		}
		got := support.RodLength(of["soffit"], of["channel top"], of["channel"]+of["plate"]+of["nut M10"]+of["tail"], of["screw-in"])
		if math.Abs(got-want) > 1e-9 {
			t.Errorf("%s: %v, want %v", r[2], got, want)
		}
		return
	}
	t.Error("no worked example of a rod")
}

func TestRodLength(t *testing.T) {
	// Worked example: soffit 3600, channel top 2900, channel 41, plate 5, M10 nut 8.4, tail 25, screwed in 10.
	got := support.RodLength(3600, 2900, 41+5+8.4+25, 10)
	if want := 3600 - 2900 + 41 + 5 + 8.4 + 25 + 10; math.Abs(got-want) > 1e-9 || math.Abs(got-789.4) > 1e-9 {
		t.Errorf("RodLength = %v, want 789.4", got)
	}
	for _, test := range []struct {
		rod, adjust float64
		trim        bool
		want        float64
	}{{789.4, 25, true, 815}, {789.4, 0, true, 790}, {789.4, 25, false, 790}, {790, 0, false, 790}, {775, 25, true, 800}} {
		if got := support.CutLength(test.rod, test.adjust, test.trim); got != test.want || got < test.rod {
			t.Errorf("CutLength(%v, %v, %v) = %v, want %v", test.rod, test.adjust, test.trim, got, test.want)
		}
	}
	// The same through a project: the long tail is cut as it is checked, and not trimmed.
	ts := tables{
		"bays.csv":        "bay,x1,y1,x2,y2,soffit,ceiling,build-up\nA,0,0,9000,3000,3600,2600,none\n",
		"containment.csv": "id,service,kind,x1,y1,x2,y2,size,level,hanger,run\nT,power,tray,500,1500,8500,1500,300x60,2900,channel 41 M10 long tail,R\n",
	}
	ts["bays.csv"] = "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,3000,3600,2600\n"
	p := ts.open(t)
	runs, _ := setout.Assemble(p, "R", cell.Bottom)
	z := 2900.0
	a := setout.SetOut(p, clash.Open(p, clash.Options{Touch: clash.None}), &runs[0], setout.Settings{Steps: setout.Steps{Start: &z}})
	u := setout.SupportRun(p, clash.Open(p, clash.Options{Touch: clash.None}), a, setout.Hanging{})
	// 8000 long, 300 in at both ends: 7400 at 1500 are five spaces, six supports.
	if len(u.List) != 6 || u.List[0].At != 300 || u.List[5].At != 7700 {
		t.Errorf("supports at %+v, want six from 300 to 7700", u.List)
	}
	for _, s := range u.List {
		if math.Abs(s.Rod-789.4) > 1e-6 || s.Cut != 790 || s.Rods != 2 || s.Channel != 300+100+60 {
			t.Errorf("support %d: rod %v cut %v channel %v, want 789.4, 790, 460", s.N, s.Rod, s.Cut, s.Channel)
		}
	}
	// Twelve rods of 790: three from 3 m is nine metres and 1890 left over of each two; four lengths of 3 m take twelve.
	if len(u.Rods) != 1 || u.Rods[0].Total != 12000 || !u.Rods[0].Exact {
		t.Errorf("rods %+v, want 12000 exactly", u.Rods)
	}
}

// Supports move out of the way of what their rods or channels would meet, and never stand further apart than their
// spacing unless it is told.
func TestSupportsStandClear(t *testing.T) {
	moved, missing := 0, 0
	for seed := range 40 {
		r := rand.New(rand.NewPCG(uint64(seed), 43))
		ts := randomJob(r)
		p := ts.open(t)
		runs, _ := setout.Assemble(p, "R", cell.Bottom)
		a := setout.SetOut(p, clash.Open(p, clash.Options{Touch: clash.None}), &runs[0], setout.Settings{})
		if !a.Found {
			continue
		}
		u := setout.SupportRun(p, clash.Open(p, clash.Options{Touch: clash.None}), a, setout.Hanging{})
		missing += len(u.Gaps)
		for i, s := range u.List {
			if s.Moved != 0 {
				moved++
			}
			if s.Rods > 0 && s.Cut < s.Rod {
				t.Errorf("seed %d: rod %v cut to %v", seed, s.Rod, s.Cut)
			}
			if i > 0 && len(u.Gaps) == 0 && s.At-u.List[i-1].At > math.Max(u.Hanging.Spacing, 2*u.Hanging.First+700)+0.01 {
				t.Errorf("seed %d: supports %v and %v are too far apart", seed, u.List[i-1].At, s.At)
			}
			// Put the support's channel and rods into the tables as things of their own: nothing runs through them.
			if s.Channel == 0 {
				continue
			}
			zone := p.Zone(runs[0].Pieces[0].Zone)
			h := p.Hangers[zone.Hanger]
			pc := runs[0].PieceAt(s.At)
			along := math.Abs(pc.Bare.Along.X) > math.Abs(pc.Bare.Along.Y)
			half := s.Channel/2 - 30
			back := tables{}
			for k, v := range ts {
				back[k] = v
			}
			rods := ""
			for k, off := range []float64{half, -half} {
				x, y := s.Where.X, s.Where.Y+off
				if !along {
					x, y = s.Where.X+off, s.Where.Y
				}
				rods += fmt.Sprintf("ROD%d,rod,%v,%v,ø49.9,project%+.3f..project%+.3f\n", k, x, y, s.Top-h.Under, s.From)
			}
			back["rods.csv"] = "id,kind,x1,y1,size,level\n" + rods
			res, err := clash.Open(back.open(t), clash.Options{Touch: clash.None}).Findings(context.Background())
			if err != nil {
				t.Fatal(err)
			}
			for _, f := range res.Findings {
				if f.B == nil || f.Kind != finding.Overlap {
					continue
				}
				for _, id := range []string{f.A, *f.B} {
					if (id == "ROD0" || id == "ROD1") && f.ARun != "R" && f.BRun != "R" {
						t.Errorf("seed %d: support %d at %v: %s %s %s", seed, s.N, s.At, f.Kind, f.A, *f.B)
					}
				}
			}
			if i > 6 {
				break
			}
		}
	}
	t.Logf("%d supports moved, %d stretches without", moved, missing)
	if moved == 0 {
		t.Error("no support had to move: the cases are too tame")
	}
}

// subsets cuts stock by the table of all sets of pieces: exact for a dozen pieces.
func subsets(pieces, stock []float64, kerf float64) float64 {
	n := len(pieces)
	fits := make([]float64, 1<<n) // least single stock length for a set, infinite for none
	for m := range fits {
		sum := 0.0
		for i := range n {
			if m>>i&1 == 1 {
				sum += pieces[i]
			}
		}
		fits[m] = math.Inf(1)
		for _, s := range stock {
			if sum+kerf*float64(max(0, bits.OnesCount(uint(m))-1)) <= s+1e-9 {
				fits[m] = math.Min(fits[m], s)
			}
		}
	}
	best := make([]float64, 1<<n)
	for m := 1; m < 1<<n; m++ {
		best[m] = math.Inf(1)
		for s := m; s > 0; s = (s - 1) & m {
			best[m] = math.Min(best[m], fits[s]+best[m^s])
		}
	}
	return best[1<<n-1]
}

func TestCutStockIsTheLeast(t *testing.T) {
	for seed := range 300 {
		r := rand.New(rand.NewPCG(uint64(seed), 44))
		stock := [][]float64{{1000, 2000, 3000}, {3000}, {2000, 3000}, {1000, 3000}, {2500, 3333}}[r.IntN(5)]
		kerf := float64(r.IntN(3))
		var pieces []float64
		for range 1 + r.IntN(10) {
			if len(pieces) > 0 && r.IntN(3) == 0 {
				pieces = append(pieces, pieces[r.IntN(len(pieces))])
				continue
			}
			pieces = append(pieces, float64(150+r.IntN(1500)))
		}
		got := setout.CutStock(pieces, stock, kerf)
		if want := subsets(pieces, stock, kerf); math.Abs(got.Total-want) > 1e-6 || !got.Exact {
			t.Errorf("seed %d: CutStock(%v, %v) = %v (exact %v), want %v", seed, pieces, stock, got.Total, got.Exact, want)
		}
		var cut []float64
		total := 0.0
		for _, c := range got.Cuts {
			for range c.Times {
				total += c.Stock
				sum := -kerf
				for _, p := range c.Pieces {
					sum += p + kerf
					cut = append(cut, p)
				}
				if sum > c.Stock+1e-6 {
					t.Errorf("seed %d: %v from %v", seed, c.Pieces, c.Stock)
				}
			}
		}
		slices.Sort(cut)
		slices.Sort(pieces)
		if !slices.Equal(cut, pieces) || math.Abs(total-got.Total) > 1e-6 {
			t.Errorf("seed %d: cut %v of %v, %v of %v", seed, cut, pieces, total, got.Total)
		}
	}
	// Few lengths and many of each: exact. Four lengths of 3 m take three of 520 and three of 470 each.
	var few []float64
	for range 12 {
		few = append(few, 520, 470)
	}
	if got := setout.CutStock(few, []float64{1000, 2000, 3000}, 2); got.Total != 12000 || !got.Exact {
		t.Errorf("12 of 520 and 12 of 470: %+v, want 12000 exactly", got)
	}
	// Many pieces: the answer says how far from the least it may be.
	var many []float64
	r := rand.New(rand.NewPCG(1, 45))
	for range 120 {
		many = append(many, float64(300+r.IntN(900)))
	}
	got := setout.CutStock(many, []float64{3000}, 2)
	n, sum := 0, 0.0
	for _, c := range got.Cuts {
		n, sum = n+c.Times*len(c.Pieces), sum+float64(c.Times)*c.Stock
	}
	if n != len(many) || sum != got.Total || got.Total < got.Bound-1e-9 || got.Total > 1.1*got.Bound {
		t.Errorf("120 pieces: %d of them cut, %v of %v from stock, no less than %v", n, sum, got.Total, got.Bound)
	}
	// A stock length that is said more than once is one length: it takes no tries from the others. (These twenty pieces come out worse by
	// a length where it does.)
	twenty := make([]float64, 0, 20)
	r = rand.New(rand.NewPCG(364, 3))
	for n := 18 + r.IntN(12); len(twenty) < n; {
		twenty = append(twenty, float64(400+r.IntN(900)))
	}
	once, twice := setout.CutStock(twenty, []float64{2000, 3000}, 2), setout.CutStock(twenty, []float64{2000, 2000, 3000, 3000}, 2)
	if !reflect.DeepEqual(once, twice) {
		t.Errorf("from 2000 and 3000: %+v\nfrom each said twice: %+v", once, twice)
	}
	if long := setout.CutStock([]float64{3001, 500}, []float64{3000}, 2); len(long.Long) != 1 || long.Total != 3000 {
		t.Errorf("a piece of 3001: %+v", long)
	}
}

func TestFitsInsideChannel(t *testing.T) {
	inside := r2.Point{X: 36, Y: 21}
	if _, why := setout.Fits(inside, 40); why == "" {
		t.Error("a plate of 40 goes into 36")
	}
	room, why := setout.Fits(inside, 30, 2.5, 2, 8.4, 1.5)
	if why != "" || math.Abs(room-(21-14.4)) > 1e-9 {
		t.Errorf("2.5 + 2 + 8.4 + 1.5 in 21: room %v, %q, want 6.6", room, why)
	}
}

func TestFallRunsOutOfDepth(t *testing.T) {
	job := func(length float64) tables {
		return tables{
			"bays.csv":     fmt.Sprintf("bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,%v,3000,3000,2700\n", length),
			"drainage.csv": fmt.Sprintf("id,service,kind,x1,y1,x2,y2,size,level,fall,run\nD1,soil,pipe,0,1500,%v,1500,ø110,2800,1 in 80,D\nD2,soil,pipe,%v,1500,%v,1500,ø110,%v,1 in 80,D\n", length/2, length/2, length, 2800-length/160),
			"gaps.csv":     "of,to,side,gap\nany,ceiling,below,25\n",
		}
	}
	// 110 high, 25 to the ceiling: of 300 are left 165; at 1 in 80 that is 13.2 m.
	for _, test := range []struct {
		length float64
		fits   bool
	}{{13000, true}, {13500, false}} {
		p := job(test.length).open(t)
		runs, err := setout.Assemble(p, "D", cell.Bottom)
		if err != nil || len(runs) != 1 {
			t.Fatal(err, len(runs))
		}
		f := setout.SetFall(p, clash.Open(p, clash.Options{Touch: clash.None}), &runs[0], nil, setout.Steps{})
		if (f.Start != nil) != test.fits {
			t.Errorf("%v m: start %v, want one %v", test.length/1000, f.Start, test.fits)
			continue
		}
		if math.Abs(f.Drop-test.length/80) > 1e-6 {
			t.Errorf("drops %v", f.Drop)
		}
		if test.fits {
			// 1 in 80 makes the section 110 x sqrt(1 + 1/6400) high, measured upright.
			h := 110 * math.Hypot(1, 1.0/80)
			if lo, hi := 2725+f.Drop, 3000-h; math.Abs(f.Band[0].Lo-lo) > 0.02 || math.Abs(f.Band[0].Hi-hi) > 0.02 {
				t.Errorf("the start may lie %v, want %v to %v", f.Band, lo, hi)
			}
		} else if f.Out == nil || f.Out.Above.Name != "soffit A" || f.Out.Below.Name != "ceiling A" {
			t.Errorf("runs out %+v", f.Out)
		}
		if len(f.Notes) != 0 {
			t.Errorf("1 in 80 is usual for soil: %v", f.Notes)
		}
	}
}

// Of wire nothing is cut from stock, of rods each is: 8000 long, 300 to the first support and from there no more than 1500 apart, are six supports, of
// which a pipe has one rod each and a tray two.
func TestWhatIsCutFromStock(t *testing.T) {
	for _, test := range []struct {
		what, hanger, row string
		rods              int
		fixed             string
	}{
		{"wire", "wire", "pipe,500,1500,8500,1500,ø100,2900", 0, ""},
		{"one rod", "clevis", "pipe,500,1500,8500,1500,ø100,2900", 6, "M10"},
		{"two rods", "channel", "tray,500,1500,8500,1500,300x100,2900", 12, "M10"},
	} {
		p := tables{
			"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,3000,3600,2600\n",
			"hangers.csv":  "hanger,part,height,side,width,rods,from\nclevis,clevis M10,30,under,,1,soffit\nchannel,channel M10,41,under,,2,soffit\n",
			"services.csv": "id,kind,x1,y1,x2,y2,size,level,hanger,run,trade\nT," + test.row + "," + test.hanger + ",R,services\n",
		}.open(t)
		runs, _ := setout.Assemble(p, "R", cell.Bottom)
		a := setout.SetOut(p, clash.Open(p, clash.Options{Touch: clash.None}), &runs[0], setout.Settings{})
		u := setout.SupportRun(p, clash.Open(p, clash.Options{Touch: clash.None}), a, setout.Hanging{Spacing: 1500})
		got := 0
		size := ""
		for _, r := range u.Rods {
			size += r.Size
			for _, c := range r.Cuts {
				got += len(c.Pieces)
			}
		}
		if len(u.List) != 6 || got != test.rods || size != test.fixed {
			t.Errorf("%s: %d supports, %d rods of %q from stock; want 6, %d of %q", test.what, len(u.List), got, size, test.rods, test.fixed)
		}
	}
}

// What carries a row is cut as a channel where it is one, and counted as it is called where it is not.
func TestOnlyChannelsAreCutAsChannels(t *testing.T) {
	for _, test := range []struct {
		part    string
		channel float64
		counted int
	}{{"strip 40x4", 0, 6}, {"channel 21", 300 + 100 + 60, 0}} {
		p := tables{
			"bays.csv":        "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,3000,3600,2600\n",
			"hangers.csv":     "hanger,part,height,side,width,rods,from\nown," + test.part + ",21,under,,2,soffit\n",
			"containment.csv": "id,service,kind,x1,y1,x2,y2,size,level,hanger,run\nT,power,tray,500,1500,8500,1500,300x60,2900,own,R\n",
		}.open(t)
		runs, _ := setout.Assemble(p, "R", cell.Bottom)
		a := setout.SetOut(p, clash.Open(p, clash.Options{Touch: clash.None}), &runs[0], setout.Settings{})
		u := setout.SupportRun(p, clash.Open(p, clash.Options{Touch: clash.None}), a, setout.Hanging{})
		if len(u.List) != 6 || u.Channel != 6*test.channel {
			t.Errorf("%s: %d supports, %v of channel; want 6, %v", test.part, len(u.List), u.Channel, 6*test.channel)
		}
		for _, s := range u.List {
			if s.Channel != test.channel {
				t.Errorf("%s: support %d has a channel of %v, want %v", test.part, s.N, s.Channel, test.channel)
			}
		}
		n := 0
		for _, x := range u.Parts {
			if x.Part == test.part {
				n += x.N
			}
		}
		if n != test.counted {
			t.Errorf("%s: counted %d times, want %d", test.part, n, test.counted)
		}
	}
}
