package void_test

import (
	"fmt"
	"runtime"
	"strings"
	"testing"

	"voidline/void"
	"voidline/void/cell"
)

// tower is a building of about n zones in storeys of 400 bays of 7200 by 6000: in each bay a beam, a duct, pipes, one
// of which falls, a tray on a channel, and items, by number but for what hangs on the beam, the soffit and the ceiling;
// in one bay of ten a pipe under the beam.
func tower(n int) (*void.Project, []*void.ZoneRow) {
	p := void.New("tower", []string{"bays.csv", "steel.csv", "pipework.csv", "containment.csv"})
	word := func(format string, args ...any) cell.Word { return cell.ParseWord(fmt.Sprintf(format, args...)) }
	at := func(mm int) cell.Place { return cell.ParsePlace(fmt.Sprint(mm)) }
	var rows []*void.ZoneRow
	for bay := 0; len(rows) < n; bay++ {
		storey, x, y := bay/400, bay%20*7200, bay/20%20*6000
		st := word("L%d", storey)
		if bay%400 == 0 {
			p.AddLevel(void.LevelRow{At: void.At{Line: int32(2 + storey)}, Storey: st, FFL: cell.ParseLength(fmt.Sprint(1000 + 4200*storey))})
		}
		p.AddBay(void.BayRow{
			At: void.At{Line: int32(2 + bay)}, Bay: word("%d/%d", bay%20+1, bay/20%20+1), Storey: st,
			X1: at(x), Y1: at(y), X2: at(x + 7200), Y2: at(y + 6000), Soffit: cell.ParseLevel("FFL+3700"), Ceiling: cell.ParseLevel("FFL+2700"),
		})
		row := func(file int32, id, kind string, dy int, size, level string) *void.ZoneRow {
			r := &void.ZoneRow{
				At: void.At{File: file, Line: int32(2 + len(rows))}, ID: word("%s-%d", id, bay), Storey: st, Kind: word("%s", kind),
				X1: at(x), Y1: at(y + dy), X2: at(x + 7200), Y2: at(y + dy), Size: cell.ParseSize(size), Level: cell.ParseLevel(level),
			}
			rows = append(rows, r)
			return r
		}
		item := func(id, kind string, dx, dy int, size, level string) {
			r := row(3, id, kind, dy, size, level)
			r.X1, r.X2, r.Y2 = at(x+dx), cell.Place{}, cell.Place{}
		}
		row(1, "B", "beam", 100, "UB 254x146x31", "soffit").Face = cell.ParseFace("top")
		row(2, "D", "duct", 3000, "600x300", "FFL+3050").Insulation = cell.ParseCovering("25")
		row(2, "HF", "pipe", 1400, "DN50", "FFL+3200").Run = word("HF %d/%d", storey, bay/20)
		row(2, "CW", "pipe", 1800, "ø42", fmt.Sprintf("FFL+%d.%d", 3150+bay%40, bay%7))
		row(2, "S", "pipe", 600, "ø110", "FFL+3250").Fall = cell.ParseFall("1 in 80")
		row(3, "T", "tray", 4900, "300x60", "FFL+2950").Hanger = word("channel 41 M10")
		item("L", "light fitting", 1800, 1500, "600x600x100", "ceiling")
		item("V", "damper", 5400, 3000, "400x400x200", "FFL+3000")
		if bay%10 == 3 {
			r := row(2, "X", "pipe", 0, "ø54", "steel-50")
			r.X1, r.X2, r.Y2 = at(x+200), at(x+7000), at(y+2000)
		}
	}
	return p, rows
}

func resolvedTower(tb testing.TB, n int) *void.Project {
	tb.Helper()
	p, rows := tower(n)
	for _, r := range rows {
		p.AddZone(p.Files[r.At.File], r)
	}
	p.Resolve()
	if len(p.Problems) > 0 {
		tb.Fatal(p.Problems[0])
	}
	return p
}

// BenchmarkResolve resolves a project whose rows are added; B/zone is what it keeps of all.
func BenchmarkResolve(b *testing.B) {
	for _, n := range []int{1000, 10_000, 100_000, 1_000_000} {
		b.Run(fmt.Sprintf("zones=%d", n), func(b *testing.B) {
			var before, after runtime.MemStats
			var p *void.Project
			for b.Loop() {
				b.StopTimer()
				p = nil
				runtime.GC()
				runtime.ReadMemStats(&before)
				var rows []*void.ZoneRow
				p, rows = tower(n)
				for _, r := range rows {
					p.AddZone(p.Files[r.At.File], r)
				}
				rows = nil
				runtime.GC()
				b.StartTimer()
				p.Resolve()
				b.StopTimer()
				runtime.GC()
				runtime.ReadMemStats(&after)
				b.StartTimer()
			}
			b.ReportMetric(float64(after.HeapAlloc-before.HeapAlloc)/float64(p.Zones()), "B/zone")
			b.ReportMetric(float64(p.Zones())*float64(b.N)/b.Elapsed().Seconds(), "zones/s")
		})
	}
}

// BenchmarkEdit changes a project of 100,000 zones: after the first edits of each kind, which find what later ones
// use.
func BenchmarkEdit(b *testing.B) {
	p := resolvedTower(b, 100_000)
	did := func(change void.Change, pr *void.Problem) void.Change {
		if pr != nil {
			b.Fatal(pr)
		}
		return change
	}
	levels := []string{"FFL+3055", "FFL+3050"}
	added := void.ZoneRow{
		ID: cell.ParseWord("N"), Storey: cell.ParseWord("L1"), X1: cell.ParsePlace("1000"), Y1: cell.ParsePlace("4000"),
		X2: cell.ParsePlace("5000"), Y2: cell.ParsePlace("4000"), Size: cell.ParseSize("200x200"), Level: cell.ParseLevel("3000"),
	}
	for _, edit := range []struct {
		name string
		do   func(i int)
	}{
		{"level", func(i int) { did(p.Edit("D-777", "level", levels[i%2])) }},
		{"place", func(i int) { did(p.Edit("HF-4321", "y1", fmt.Sprint(90000+i%500))) }},
		{"beam", func(i int) {
			if c := did(p.Edit("B-13", "level", []string{"soffit-10", "soffit"}[i%2])); len(c.Zones) != 2 {
				b.Fatal(c) // the beam and the pipe under it
			}
		}},
		{"add and remove", func(int) {
			did(p.Add("pipework.csv", &added))
			did(p.Remove("N"))
		}},
		{"refused", func(int) {
			if _, pr := p.Remove("B-13"); pr == nil {
				b.Fatal("a beam is taken away from over the pipe that hangs on it")
			}
		}},
		{"bay", func(i int) {
			if c := did(p.EditBay("4/5, L2", "ceiling", []string{"FFL+2690", "FFL+2700"}[i%2])); len(c.Bays) != 1 {
				b.Fatal(c)
			}
		}},
	} {
		b.Run(edit.name, func(b *testing.B) {
			edit.do(0)
			edit.do(1)
			b.ReportAllocs()
			i := 0
			for b.Loop() {
				edit.do(i)
				i++
			}
		})
	}
}

// A project with rows of all sorts that cannot be resolved is the same, and tells the same in the same order, whatever
// the number of processors.
func TestResolveAnyProcessors(t *testing.T) {
	resolve := func(processors int) (*void.Project, string) {
		defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(processors))
		p, rows := tower(30_000)
		for i, r := range rows {
			switch i % 501 {
			case 7:
				r.Level = cell.ParseLevel("steel-20") // over most of them there is none
			case 70:
				r.Bay = cell.ParseWord("1/1") // not where most of them lie
			case 170:
				r.Hanger = cell.ParseWord("string")
			case 270:
				r.Joins = cell.ParseNames("D-1; nothing")
			case 370:
				r.X1 = cell.ParsePlace("Q+1")
			case 470:
				r.Kind = cell.ParseWord(fmt.Sprint("gizmo ", i%3))
			}
			p.AddZone(p.Files[r.At.File], r)
		}
		p.Resolve()
		var all strings.Builder
		fmt.Fprintln(&all, p.Problems, p.Warnings, p.Told, p.RowsMissing)
		for i := range p.Zones() {
			z := p.Zone(i)
			fmt.Fprintln(&all, z.ID, z.Bare(), z.Bays(), z.Hanger)
		}
		return p, all.String()
	}
	p, want := resolve(1)
	if len(p.Problems) < 100 || len(p.Warnings) < 100 {
		t.Fatalf("%d problems and %d warnings: that says little", len(p.Problems), len(p.Warnings))
	}
	for _, n := range []int{2, 7} {
		if _, got := resolve(n); got != want {
			t.Errorf("with %d processors the project differs from that with one", n)
		}
	}
}
