package table

import (
	"context"
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"runtime"
	"strings"
	"sync"
	"testing"
	"testing/fstest"

	"voidline/void"
)

// building writes the tables of a building of n zones: bays of 7200 by 6000 in storeys of 400, in each bay the same
// services, most of the columns blank, as the tables of trades are. The same n gives the same bytes. The hundredth
// zones have levels and places that no other has.
func building(n int) fstest.MapFS {
	const head = "id,storey,service,kind,x1,y1,x2,y2,size,insulation,level,face,fall,hanger,run,class,circuits\n"
	const side, across, deep = 20, 7200, 6000
	r := rand.New(rand.NewPCG(1, 2))
	tables := map[string]*strings.Builder{}
	var storeys, bays strings.Builder
	storeys.WriteString("storey,ffl,ssl,datum\n")
	bays.WriteString("bay,storey,x1,y1,x2,y2,soffit,ceiling\n")
	services := []struct{ file, id, service, kind, y, end, size, rest string }{
		{"steel", "B", "", "beam", "100", "100", "UB 254x146x31", ",soffit,top,,,,,"},
		{"ductwork", "D", "supply air", "", "3000", "3000", "600x300", "25,FFL+3050,,,,SA,,"},
		{"ductwork", "DB", "supply air", "", "3000", "4400", "200x200", "25,FFL+3100,,,,SA,,"},
		{"ductwork", "DF", "supply air", "diffuser", "4400", "", "600x600x250", ",ceiling,,,,,,"},
		{"pipework", "HF", "LTHW", "", "1400", "1400", "DN50", "30,FFL+3200,,,,HF,,"},
		{"pipework", "HR", "LTHW", "", "1600", "1600", "DN50", "30,FFL+3200,,,,HR,,"},
		{"pipework", "CW", "cold water", "", "1800", "1800", "ø42", "25,FFL+3200,,,,CW,,"},
		{"drainage", "S", "soil", "", "600", "600", "ø110", ",FFL+3250,,1 in 80,,S,,"},
		{"sprinklers", "SP", "", "", "2300", "2300", "ø42", ",FFL+3150,,,,SP,,"},
		{"sprinklers", "SH", "", "sprinkler head", "2300", "", "ø50x60", ",ceiling-10,,,,,,"},
		{"containment", "T", "power", "tray", "4900", "4900", "300x60", ",FFL+2950,,,channel 41 M10,T,,6"},
		{"containment", "K", "data", "basket", "5500", "5500", "200x50", ",FFL+2950,,,,K,c,"},
		{"lighting", "L1", "", "light fitting", "1500", "", "600x600x100", ",ceiling,,,,,,"},
	}
	for i := range n {
		bay, v := i/len(services), services[i%len(services)]
		storey, x, y := bay/(side*side), bay%side*across, bay/side%side*deep
		if i%len(services) == 0 {
			if bay%(side*side) == 0 {
				fmt.Fprintf(&storeys, "L%d,%d,%d,1000\n", storey, 4200*storey, 4200*storey-75)
			}
			fmt.Fprintf(&bays, "%d/%d,L%d,%d,%d,%d,%d,FFL+3700,FFL+2700\n", bay%side+1, bay/side%side+1, storey, x, y, x+across, y+deep)
		}
		b := tables[v.file]
		if b == nil {
			b = &strings.Builder{}
			b.WriteString(head)
			tables[v.file] = b
		}
		var at, to int
		fmt.Sscan(v.y, &at)
		end := ","
		if v.end != "" {
			fmt.Sscan(v.end, &to)
			end = fmt.Sprintf("%d,%d", x+across, y+to)
		}
		rest := v.rest
		if name := strings.Split(rest, ",")[5]; name != "" {
			rest = strings.Replace(rest, ","+name+",", fmt.Sprintf(",%s L%d-%d,", name, storey, y/deep), 1)
		}
		if i%100 == 0 && strings.Contains(rest, "FFL+") {
			rest = strings.Replace(rest, "FFL+3", fmt.Sprintf("FFL+3%d.", r.IntN(100)), 1)
			fmt.Fprintf(b, "%s-%d,L%d,%s,%s,%d.%d,%d,%s,%s,%s\n", v.id, bay, storey, v.service, v.kind, x, r.IntN(1000), y+at, end, v.size, rest)
			continue
		}
		fmt.Fprintf(b, "%s-%d,L%d,%s,%s,%d,%d,%s,%s,%s\n", v.id, bay, storey, v.service, v.kind, x, y+at, end, v.size, rest)
	}
	tables["levels"], tables["bays"] = &storeys, &bays
	fsys := fstest.MapFS{}
	for name, b := range tables {
		fsys[name+".csv"] = &fstest.MapFile{Data: []byte(b.String())}
	}
	return fsys
}

var buildings sync.Map // n -> fstest.MapFS, so that it is written once and not timed

// eachBuilding times f, which says how many zones it met, with 1,000 to 1,000,000 zones.
func eachBuilding(b *testing.B, f func(fsys fstest.MapFS) (int, error)) {
	for _, n := range []int{1000, 10_000, 100_000, 1_000_000} {
		b.Run(fmt.Sprintf("zones=%d", n), func(b *testing.B) {
			written, ok := buildings.Load(n)
			if !ok {
				written = building(n)
				buildings.Store(n, written)
			}
			size := int64(0)
			for name, f := range written.(fstest.MapFS) {
				if name != "bays.csv" {
					size += int64(len(f.Data))
				}
			}
			b.SetBytes(size)
			var before, after runtime.MemStats
			runtime.ReadMemStats(&before)
			for b.Loop() {
				if got, err := f(written.(fstest.MapFS)); err != nil || got != n {
					b.Fatalf("%d zones, %v, want %d", got, err, n)
				}
			}
			runtime.ReadMemStats(&after)
			rows := float64(n) * float64(b.N)
			b.ReportMetric(rows/b.Elapsed().Seconds(), "rows/s")
			b.ReportMetric(float64(after.TotalAlloc-before.TotalAlloc)/rows, "B/row")
			b.ReportMetric(float64(after.Mallocs-before.Mallocs)/rows, "allocs/row")
		})
	}
}

// readBuilding reads the zones of a building, with one bay.
func readBuilding(fsys fstest.MapFS, zones rowsOf[void.ZoneRow]) (int, error) {
	fsys = maps.Clone(fsys)
	fsys["bays.csv"] = &fstest.MapFile{Data: []byte(goodBays)}
	n := 0
	_, err := readWith(context.Background(), "building", Options{FS: fsys, Zone: func(string, *void.ZoneRow) { n++ }}, readers{zones, general[void.BayRow]})
	return n, err
}

// BenchmarkGeneral reads zones as the fixed tables are read.
func BenchmarkGeneral(b *testing.B) {
	eachBuilding(b, func(fsys fstest.MapFS) (int, error) { return readBuilding(fsys, general[void.ZoneRow]) })
}

// BenchmarkZones reads zones with the reader that is made for them, in one goroutine.
func BenchmarkZones(b *testing.B) {
	eachBuilding(b, func(fsys fstest.MapFS) (int, error) {
		z := newLongReader[void.ZoneRow]()
		z.alone = math.MaxInt
		return readBuilding(fsys, z.rows)
	})
}

// BenchmarkZonesAhead does so in two goroutines.
func BenchmarkZonesAhead(b *testing.B) {
	eachBuilding(b, func(fsys fstest.MapFS) (int, error) {
		z := newLongReader[void.ZoneRow]()
		z.alone = -1
		return readBuilding(fsys, z.rows)
	})
}

// BenchmarkAdd reads zones into a project, which is not resolved: in one goroutine, in two, and in two for long tables.
func BenchmarkAdd(b *testing.B) {
	for _, way := range []string{"general", "alone", "ahead", "both"} {
		b.Run(way, func(b *testing.B) {
			eachBuilding(b, func(fsys fstest.MapFS) (int, error) {
				zones := general[void.ZoneRow]
				if way != "general" {
					z := newLongReader[void.ZoneRow]()
					z.alone = map[string]int{"alone": math.MaxInt, "ahead": -1, "both": z.alone}[way]
					zones = z.rows
				}
				fsys = maps.Clone(fsys)
				fsys["bays.csv"] = &fstest.MapFile{Data: []byte(goodBays)}
				p := void.New("", nil)
				_, err := readWith(context.Background(), "building", Options{FS: fsys, into: p}, readers{zones, general[void.BayRow]})
				return p.Zones(), err
			})
		})
	}
}

// BenchmarkForms reads a table of 20,000 zones in other forms than the plain one, and ones with something wrong in each row.
func BenchmarkForms(b *testing.B) {
	const n = 20_000
	for _, form := range []struct{ name, head, row string }{
		{"plain", "id,x1,y1,x2,y2,size,level,run,note", "D%d,%d,%d,%d,%d,600x300,FFL+2700,run,a note"},
		{"quoted", "id,x1,y1,x2,y2,size,level,run,note", `"D%d","%d","%d","%d","%d","600x300","FFL+2700","run","a note"`},
		{"doubled quotes", "id,x1,y1,x2,y2,size,level,run,note", `D%d,%d,%d,%d,%d,600x300,FFL+2700,run,"a ""note"""`},
		{"lines in cells", "id,x1,y1,x2,y2,size,level,run,note", "D%d,%d,%d,%d,%d,600x300,FFL+2700,run,\"a\nnote\""},
		{"decimal commas", "id;x1;y1;x2;y2;size;level;run;note", "D%d;%d,5;%d,5;%d,5;%d,5;600x300;FFL+2700;run;a note"},
		{"semicolons", "id;x1;y1;x2;y2;size;level;run;note", "D%d;%d;%d;%d;%d;600x300;FFL+2700;run;a note"},
		{"metres", "id,x1_m,y1_m,x2_m,y2_m,size_m,level_m,run,note", "D%d,%d.5,%d.5,%d.5,%d.5,0.6x0.3,FFL+2.7,run,a note"},
		{"short", "id,x1,y1,x2,y2,size,level,run,note", "D%d,%d,%d,%d,%d"},
		{"faults", "id,x1,y1,x2,y2,size,level,run,note", "D%d,%d,%d,%d,%d,bent,up,run,a note"},
		{"faults that differ", "id,x1,y1,x2,y2,size,level,run,note", "D%d,x%d!,y%d!,%d,%d,600x300,FFL+2700,run,a note"},
		{"stray quotes", "id,x1,y1,x2,y2,size,level,run,note", `D%d,%d,%d,%d,%d,600x300,FFL+2700,run,5" pipe`},
	} {
		var text strings.Builder
		text.WriteString(form.head + "\n")
		for i := range n {
			fmt.Fprintf(&text, form.row+"\n", i, i, i, i+1, i)
		}
		fsys := fstest.MapFS{"bays.csv": {Data: []byte(goodBays)}, "tray.csv": {Data: []byte(text.String())}}
		for _, way := range []string{"general", "zones"} {
			b.Run(form.name+"/"+way, func(b *testing.B) {
				b.ReportAllocs()
				for b.Loop() {
					zones := general[void.ZoneRow]
					if way == "zones" {
						z := newLongReader[void.ZoneRow]()
						z.alone = math.MaxInt
						zones = z.rows
					}
					if _, err := readWith(context.Background(), "forms", Options{FS: fsys}, readers{zones, general[void.BayRow]}); err != nil {
						b.Fatal(err)
					}
				}
				b.ReportMetric(n*float64(b.N)/b.Elapsed().Seconds(), "rows/s")
			})
		}
	}
}

// BenchmarkOpen reads zones into a project and resolves it.
func BenchmarkOpen(b *testing.B) {
	eachBuilding(b, func(fsys fstest.MapFS) (int, error) {
		p, err := Open(context.Background(), "building", Options{FS: fsys})
		if err != nil {
			return 0, err
		}
		return p.Zones(), nil
	})
}
