package clash_test

import (
	"context"
	"strings"
	"testing"
	"testing/fstest"

	"voidline/clash"
	"voidline/clash/support"
	"voidline/io/table"
	"voidline/void"
)

// hungBuilding is the coordinated building with six in seventeen of its rows hung: trays and baskets on channels, pipes on
// clips, ducts on channels, so that a little more than a third has supports.
func hungBuilding(t testing.TB, n int) *void.Project {
	t.Helper()
	fs := fstest.MapFS{}
	for name, f := range tablesOf(n) {
		lines := strings.Split(string(f.Data), "\n")
		for k, l := range lines {
			c := strings.Split(l, ",")
			if len(c) < 17 || c[13] != "" {
				continue
			}
			switch id, _, _ := strings.Cut(c[0], "-"); id {
			case "HF", "HR", "CW", "SP":
				c[13] = "pipe clip"
			case "D":
				c[13] = "channel 41 M10"
			default:
				continue
			}
			lines[k] = strings.Join(c, ",")
		}
		fs[name] = &fstest.MapFile{Data: []byte(strings.Join(lines, "\n"))}
	}
	p, err := table.Open(context.Background(), "hung", table.Options{FS: fs})
	if err != nil {
		t.Fatal(err)
	}
	if len(p.Problems) > 0 {
		t.Fatalf("%d problems, first %v", len(p.Problems), p.Problems[0])
	}
	return p
}

// BenchmarkSupports times the check of supports alone, where more than a third of the rows are hung.
func BenchmarkSupports(b *testing.B) {
	eachSize(b, func(b *testing.B, n int) {
		p := hungBuilding(b, n)
		c := clash.Open(p, clash.Options{Touch: 1})
		plan := support.Of(p, support.Options{})
		count := 0
		for i := range p.Zones() {
			count += len(plan.Zone(i))
		}
		if _, err := c.SupportsAlone(context.Background()); err != nil { // lays the grid, which the check of pairs has laid
			b.Fatal(err)
		}
		b.ReportAllocs()
		found := 0
		for b.Loop() {
			n, err := c.SupportsAlone(context.Background())
			if err != nil {
				b.Fatal(err)
			}
			found = n
		}
		b.ReportMetric(float64(count), "supports")
		b.ReportMetric(float64(found), "findings")
	})
}

// BenchmarkSupportPlan times the gathering of runs and frames alone.
func BenchmarkSupportPlan(b *testing.B) {
	eachSize(b, func(b *testing.B, n int) {
		p := hungBuilding(b, n)
		b.ReportAllocs()
		for b.Loop() {
			support.Of(p, support.Options{})
		}
	})
}
