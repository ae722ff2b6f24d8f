package clash_test

import (
	"context"
	"fmt"
	"runtime"
	"strings"
	"sync"
	"testing"
	"testing/fstest"

	"voidline/clash"
	"voidline/clash/finding"
	"voidline/io/table"
	"voidline/void"
)

// coordinated writes a building of about n zones that is mostly coordinated: storeys of 400 bays of 7200 by 6000, in
// each bay the same services laid out so that they go past each other, and in one bay of ten something that
// does not. The same n gives the same bytes. Sizes, levels and room are common practice, no source.
//
//	y 5400  data basket   2950        soffit 3700
//	  4900  power tray    2950, on a channel
//	  3000  main duct     3050, a branch north of it to a diffuser
//	  2300  sprinkler     3150
//	  1800  cold water    3200
//	  1600  LTHW return   3200
//	  1400  LTHW flow     3200
//	   600  soil          falling from 3250
//	   100  beam          under the soffit, a column at its end    ceiling 2700, tiles 53
func coordinated(n int) fstest.MapFS {
	const inBay, side, across, deep = 17, 20, 7200, 6000
	bays := max(1, (n+inBay/2)/inBay)
	tables := map[string]*strings.Builder{}
	put := func(file, head, format string, args ...any) {
		b := tables[file]
		if b == nil {
			b = &strings.Builder{}
			b.WriteString(head + "\n")
			tables[file] = b
		}
		fmt.Fprintf(b, format+"\n", args...)
	}
	const (
		bayHead  = "bay,storey,x1,y1,x2,y2,soffit,ceiling,build-up"
		zoneHead = "id,storey,service,kind,x1,y1,x2,y2,size,insulation,level,face,fall,hanger,run,class,circuits"
	)
	put("buildups", "build-up,layer,thickness,lifts out", "tiles,tile,15,yes\ntiles,grid,38,yes")
	for s := 0; s <= (bays-1)/(side*side); s++ {
		put("levels", "storey,ffl,ssl,datum", "L%d,%d,%d,1000", s, 1000+4200*s, 925+4200*s)
	}
	for k := range bays {
		s, row, col := k/(side*side), k/side%side, k%side
		x, y := col*across, row*deep
		st := fmt.Sprintf("L%d", s)
		line := fmt.Sprintf("%s-%d", st, row)
		put("bays", bayHead, "%d/%d,%s,%d,%d,%d,%d,FFL+3700,FFL+2700,tiles", col+1, row+1, st, x, y, x+across, y+deep)
		length := func(file, id, service, kind string, at int, size, cover, level, hanger, run, class string, circuits int) {
			c := ""
			if circuits > 0 {
				c = fmt.Sprint(circuits)
			}
			put(file, zoneHead, "%s-%d,%s,%s,%s,%d,%d,%d,%d,%s,%s,%s,,,%s,%s,%s,%s", id, k, st, service, kind, x, y+at, x+across, y+at, size, cover, level, hanger, run, class, c)
		}
		item := func(file, id, service, kind string, dx, dy int, size, level string) {
			put(file, zoneHead, "%s-%d,%s,%s,%s,%d,%d,,,%s,,%s,,,,,,", id, k, st, service, kind, x+dx, y+dy, size, level)
		}
		put("steel", zoneHead, "B-%d,%s,,beam,%d,%d,%d,%d,UB 254x146x31,,soffit,top,,,,,", k, st, x+150, y+100, x+across, y+100)
		put("steel", zoneHead, "C-%d,%s,,column,%d,%d,,,203x203,,FFL..FFL+3700,,,,,,", k, st, x, y+100)
		length("ductwork", "D", "supply air", "", 3000, "600x300", "25", "FFL+3050", "", "SA "+line, "", 0)
		put("ductwork", zoneHead, "DB-%d,%s,supply air,,%d,%d,%d,%d,200x200,25,FFL+3100,,,,SA %s,,", k, st, x+3600, y+3000, x+3600, y+4400, line)
		item("ductwork", "DF", "supply air", "diffuser", 3600, 4400, "600x600x190", "ceiling")
		length("pipework", "HF", "LTHW", "", 1400, "DN50", "30", "FFL+3200", "", "HF "+line, "", 0)
		length("pipework", "HR", "LTHW", "", 1600, "DN50", "30", "FFL+3200", "", "HR "+line, "", 0)
		length("pipework", "CW", "cold water", "", 1800, "ø42", "25", "FFL+3200", "", "CW "+line, "", 0)
		put("drainage", zoneHead, "S-%d,%s,soil,,%d,%d,%d,%d,ø110,,FFL+3250,,1 in 80,,S %d,,", k, st, x+400, y+600, x+across-400, y+600, k)
		length("sprinklers", "SP", "", "", 2300, "ø42", "", "FFL+3150", "", "SP "+line, "", 0)
		item("sprinklers", "SH", "", "sprinkler head", 1500, 2300, "ø50x60", "ceiling-10")
		length("containment", "T", "power", "tray", 4900, "300x60", "", "FFL+2950", "channel 41 M10", "T "+line, "", 6)
		length("containment", "K", "data", "basket", 5500, "200x50", "", "FFL+2950", "", "K "+line, "c", 0)
		item("lighting", "L1", "", "light fitting", 1800, 1500, "600x600x100", "ceiling")
		item("lighting", "L2", "", "light fitting", 5400, 1500, "600x600x100", "ceiling")
		item("lighting", "L3", "", "light fitting", 1800, 4000, "600x600x100", "ceiling")
		item("fire alarm", "FD", "", "detector", 5400, 3000, "ø100x60", "ceiling-10")
		switch k % 30 {
		case 7: // a pipe through the main duct and too near the LTHW
			put("pipework", zoneHead, "X-%d,%s,chilled water,,%d,%d,%d,%d,DN65,30,FFL+3150,,,,X %d,,", k, st, x+6000, y+1200, x+6000, y+5000, k)
		case 17: // a duct hung into the ceiling
			put("ductwork", zoneHead, "X-%d,%s,extract air,,%d,%d,%d,%d,400x250,25,FFL+2770,,,,X %d,,", k, st, x+800, y+3600, x+3000, y+3600, k)
		case 27: // a tray tight under the duct
			put("containment", zoneHead, "X-%d,%s,fire alarm,tray,%d,%d,%d,%d,300x60,,FFL+2940,,,,X %d,,", k, st, x+500, y+3000, x+5000, y+3000, k)
		default:
			continue
		}
	}
	fs := fstest.MapFS{}
	for name, b := range tables {
		fs[name+".csv"] = &fstest.MapFile{Data: []byte(b.String())}
	}
	return fs
}

// sizes are the numbers of zones that are timed.
var sizes = []int{1_000, 10_000, 100_000}

var written sync.Map // size -> fstest.MapFS, so that writing is not timed and done once

func tablesOf(n int) fstest.MapFS {
	if fs, ok := written.Load(n); ok {
		return fs.(fstest.MapFS)
	}
	fs := coordinated(n)
	written.Store(n, fs)
	return fs
}

func openCoordinated(b testing.TB, n int) *void.Project {
	b.Helper()
	p, err := table.Open(context.Background(), "coordinated", table.Options{FS: tablesOf(n)})
	if err != nil {
		b.Fatal(err)
	}
	if len(p.Problems) > 0 {
		b.Fatalf("%d problems, first %v", len(p.Problems), p.Problems[0])
	}
	return p
}

func eachSize(b *testing.B, f func(b *testing.B, n int)) {
	for _, n := range sizes {
		b.Run(fmt.Sprintf("zones=%d", n), func(b *testing.B) { f(b, n) })
	}
}

// BenchmarkParse reads the tables and resolves them.
func BenchmarkParse(b *testing.B) {
	eachSize(b, func(b *testing.B, n int) {
		size := 0
		for _, f := range tablesOf(n) {
			size += len(f.Data)
		}
		b.SetBytes(int64(size))
		b.ReportAllocs()
		zones := 0
		for b.Loop() {
			zones = openCoordinated(b, n).Zones()
		}
		b.ReportMetric(float64(zones)*float64(b.N)/b.Elapsed().Seconds(), "zones/s")
	})
}

// BenchmarkCheck opens a check on a project that is read already and asks for its findings.
func BenchmarkCheck(b *testing.B) {
	eachSize(b, func(b *testing.B, n int) {
		p := openCoordinated(b, n)
		b.ReportAllocs()
		b.ResetTimer()
		var res *finding.Result
		for b.Loop() {
			var err error
			if res, err = clash.Open(p, clash.Options{Touch: 1}).Findings(context.Background()); err != nil {
				b.Fatal(err)
			}
		}
		b.ReportMetric(float64(p.Zones())*float64(b.N)/b.Elapsed().Seconds(), "zones/s")
		b.ReportMetric(float64(len(res.Findings)), "findings")
		b.ReportMetric(float64(res.Checked.Pairs), "pairs")
	})
}

// BenchmarkProved asks once, as a command does, with the moves of the findings proved and without: the difference is what the proofs cost.
func BenchmarkProved(b *testing.B) {
	eachSize(b, func(b *testing.B, n int) {
		p := openCoordinated(b, n)
		for _, proved := range [2]bool{false, true} {
			b.Run(fmt.Sprintf("proved=%t", proved), func(b *testing.B) {
				clear := 0
				for b.Loop() {
					res, err := clash.Open(p, clash.Options{Touch: 1, Once: true, Proved: proved}).Findings(context.Background())
					if err != nil {
						b.Fatal(err)
					}
					clear = 0
					for i := range res.Findings {
						for _, m := range res.Findings[i].Moves {
							if m.Clear != nil && *m.Clear {
								clear++
							}
						}
					}
				}
				b.ReportMetric(float64(clear), "clear")
			})
		}
	})
}

// BenchmarkAgain asks again after an edit of one zone: the answer with its counts, and all findings in words.
func BenchmarkAgain(b *testing.B) {
	ctx := context.Background()
	eachSize(b, func(b *testing.B, n int) {
		p := openCoordinated(b, n)
		ch := clash.Open(p, clash.Options{Touch: 1})
		if _, err := ch.Findings(ctx); err != nil {
			b.Fatal(err)
		}
		edit := func(b *testing.B, i int) {
			changed, pr := p.Edit("D-30", "level", []string{"FFL+3055", "FFL+3050"}[i%2])
			if pr != nil {
				b.Fatal(pr)
			}
			ch.Changed(changed)
		}
		b.Run("answer", func(b *testing.B) {
			for i := 0; b.Loop(); i++ {
				edit(b, i)
				if _, err := ch.Answer(ctx); err != nil {
					b.Fatal(err)
				}
			}
		})
		b.Run("findings", func(b *testing.B) {
			for i := 0; b.Loop(); i++ {
				edit(b, i)
				if _, err := ch.Findings(ctx); err != nil {
					b.Fatal(err)
				}
			}
		})
	})
}

// BenchmarkWhole reads the tables and checks them, from cold memory: what a person waits for.
func BenchmarkWhole(b *testing.B) {
	eachSize(b, func(b *testing.B, n int) {
		tablesOf(n)
		runtime.GC()
		b.ResetTimer()
		for b.Loop() {
			p := openCoordinated(b, n)
			if _, err := clash.Open(p, clash.Options{Touch: 1}).Findings(context.Background()); err != nil {
				b.Fatal(err)
			}
		}
		b.ReportMetric(float64(n)*float64(b.N)/b.Elapsed().Seconds(), "zones/s")
	})
}

// TestCoordinatedIsMostlyClear keeps the benchmarks honest: the building that they time has findings in about one bay of
// ten and, but for what is built into those, none.
func TestCoordinatedIsMostlyClear(t *testing.T) {
	p := openCoordinated(t, 3_000)
	res, err := clash.Open(p, clash.Options{Touch: 1}).Findings(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	bays := map[string]bool{}
	kinds := map[string]int{}
	strangers := 0
	for i := range res.Findings {
		f := &res.Findings[i]
		bays[name(f.Bay)] = true
		kinds[fmt.Sprintf("%s %s/%s %s", f.Kind, f.AKind, f.BKind, f.Rule)]++
		if !strings.HasPrefix(f.A, "X-") && !strings.HasPrefix(name(f.B), "X-") {
			if strangers++; strangers < 6 {
				t.Errorf("%s %s / %s (%s, gap %g, asked %g): nothing is built into these", f.Kind, f.A, name(f.B), f.Rule, f.Gap, f.Asked)
			}
		}
	}
	if strangers > 5 {
		t.Errorf("and %d more", strangers-5)
	}
	if k := len(bays); k < len(p.Bays)/15 || k > len(p.Bays)/7 {
		t.Errorf("%d of %d bays have findings", k, len(p.Bays))
	}
	t.Logf("%d zones in %d bays, findings %+v in %d bays, excused %v: %v", p.Zones(), len(p.Bays), res.Counts, len(bays), res.Excused, kinds)
}
